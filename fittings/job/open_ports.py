"""Ports that no line leads to: those that stay open to the air, those that a plug may shut; and what is written of either on a bill."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from fittings.ends import End
from fittings.job.cylinder_ends import shape_of
from fittings.job.dead_ends import takes_a_plug
from fittings.job.model import Component, Job, end_named
from fittings.job.port_names import is_work_port
from fittings.job.seats import seats_psi
from fittings.job.stream import Circuit
from fittings.units import format_pressure

DUST_NOTE = "against dirt, while the port is open; not for pressure"
SHELF_DUST_NOTE = "against dirt, while the port is open"
HOSE_DUST_NOTE = "on the hose until it is screwed on"
HOSE_CAPS = "plastic cap or plug for a hose end"
"""What keeps dirt out while the job is put together."""

SEALANT, SEALANT_NOTE = "thread sealant paste for hydraulic taper threads", "on taper threads only, first thread bare"


def vented(job: Job) -> Iterator[tuple[Component, str]]:
    """Each port that the job leaves open to the air; a plunger has no rod end."""
    for component in job.component:
        shape = shape_of(component)
        for port in component.open_to_air:
            if shape is None or shape.rod_in or end_named(port) != "rod":
                yield component, port


def breather_words(component: Component, port: str) -> tuple[str, str]:
    """A breather for a port on a bill, and its note."""
    typed = component.ports.get(port)
    where = f"{typed.end.say}" if typed is not None else f"the {port} end, its thread to be measured"
    return (f"breather with a filter, for {where}",
            f"for {component.name}.{port}, which is open to the air: never a plug there; many cylinders come with one")


class IdlePort(NamedTuple):
    """A port without a line that a plug may shut, as the job names it, its end, and what the plug must hold, psi."""

    reference: str
    port: End
    psi: float


def may_be_plugged(job: Job, psi: Mapping[str, float]) -> Iterator[IdlePort]:
    """Each work port of a valve, and each dead end of a block, without a line; `psi` what each line of the job must hold, by its name."""
    circuit = Circuit(job)
    holds = {**psi, **seats_psi(job)}
    for component in job.component:
        beside = circuit.touching[component.name]
        for name, port in component.ports.items():
            reference = f"{component.name}.{name}"
            if reference in job.used:
                continue
            dead = takes_a_plug(beside, component, name)
            if dead or (component.kind in (None, "valve") and not component.is_cylinder and is_work_port(name)):
                yield IdlePort(reference, port.end, max([job.system.relief_psi, *(holds[line.name] for line in beside if dead)]))


def plug_note(job: Job, of: IdlePort) -> str:
    """The note of a plug that holds what it can see."""
    what = "the relief setting of " if of.psi == job.system.relief_psi else "the "
    holds = f"holds {what}{format_pressure(of.psi, job.units)}"
    return f"for {of.reference}, if it is open and its maker lets it be shut; {holds}; with its seal"


def oil_words(job: Job) -> str:
    """The oil on a bill."""
    return f"{'litres' if job.units == 'metric' else 'US gallons'} of {job.system.oil_used.name} hydraulic oil"
