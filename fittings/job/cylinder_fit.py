"""Does a cylinder fit where it is to go: its stroke against the pins, the eye in its gap, the pin in its hole, the port clear
of what stands beside it, and how it compares with the one it replaces."""

from collections.abc import Iterator

from fittings.circuit import BadCircuit, Finding
from fittings.circuit.cylinder import Cylinder, compare, cylinder, fit, port_clear, sleeve_wall_in, spacers_in
from fittings.job.model import FitAsked
from fittings.units import MM_PER_IN, Units, format_length


def fit_findings(asked: FitAsked, shape: Cylinder, psi: float, flow_gpm: float, units: Units) -> tuple[Finding, ...]:
    """What the measures of a place say of a cylinder of `shape`, at `psi` and `flow_gpm` (US). Measures that cannot be are told as a
    finding of level `refuse`, each for itself; measures that were not given are not asked about."""
    found: list[Finding] = []
    for look in (_pins, _replaced, _eye, _pin, _port):
        try:
            found += look(asked, shape, psi, flow_gpm, units)
        except BadCircuit as error:
            found.append(Finding("fit-impossible", "refuse", str(error), ("arithmetic",)))
    return tuple(found)


def _long(value_in: float, units: Units) -> str:
    return format_length(value_in * MM_PER_IN, units)


def _pins(asked: FitAsked, shape: Cylinder, psi: float, flow_gpm: float, units: Units) -> Iterator[Finding]:
    if asked.closed_in and asked.retracted_in and asked.extended_in and shape.stroke_in:
        answer = fit(asked.closed_in, shape.stroke_in, asked.retracted_in, asked.extended_in, units)
        yield Finding("stroke-wanted", "info",
                      f"the pins ask for a stroke of {_long(answer.stroke_wanted_in, units)}, extended less retracted; it has "
                      f"{_long(shape.stroke_in, units)}", ("practice", "arithmetic"))
        yield from answer.findings


def _replaced(asked: FitAsked, shape: Cylinder, psi: float, flow_gpm: float, units: Units) -> Iterator[Finding]:
    if asked.replaces is not None:
        old = cylinder(asked.replaces.bore_in, asked.replaces.rod_in, asked.replaces.stroke_in)
        yield from compare(old, shape, psi, flow_gpm, units)


def _eye(asked: FitAsked, shape: Cylinder, psi: float, flow_gpm: float, units: Units) -> Iterator[Finding]:
    if asked.eye_in and asked.gap_in:
        side = spacers_in(asked.eye_in, asked.gap_in, units)
        if side:
            yield Finding("spacers", "info", f"an eye {_long(asked.eye_in, units)} wide in a gap of {_long(asked.gap_in, units)} takes a "
                          f"spacer of {_long(side, units)} on each side", ("practice",))


def _pin(asked: FitAsked, shape: Cylinder, psi: float, flow_gpm: float, units: Units) -> Iterator[Finding]:
    if asked.pin_in and asked.hole_in:
        wall = sleeve_wall_in(asked.pin_in, asked.hole_in, units)
        if wall:
            yield Finding("sleeve", "info", f"a pin of {_long(asked.pin_in, units)} in a hole of {_long(asked.hole_in, units)} takes a "
                          f"sleeve with a wall of {_long(wall, units)}", ("practice",))


def _port(asked: FitAsked, shape: Cylinder, psi: float, flow_gpm: float, units: Units) -> Iterator[Finding]:
    if asked.port_from_pin_in and asked.obstacle_from_pin_in:
        covered = port_clear(asked.port_from_pin_in, asked.obstacle_from_pin_in, units)
        if covered is not None:
            yield covered
