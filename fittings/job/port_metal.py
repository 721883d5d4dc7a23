"""What the body of a component leaves of a joint at its port: another metal than steel holds less, and takes less torque."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from fittings.circuit import Finding
from fittings.job.model import Component, Job
from fittings.mating import metal_of_torque, rated_in
from fittings.ratings import Derated, Rating, derated
from fittings.units import format_pressure

if TYPE_CHECKING:
    from fittings.chain import Joint


def material_at(job: Job, reference: str) -> str:
    """The material of the component at a port, as the tables call it; '' for steel, where none is said, and for a tee."""
    return "" if reference == "tee" else job.port(reference)[0].other_than_steel


def torque_metal_at(job: Job, reference: str) -> str:
    """The metal that the torque at a port goes by."""
    return metal_of_torque(material_at(job, reference) or "steel")


def weakens(component: Component) -> str:
    """The material that brings down what a joint at a component holds; '' where its maker's own rating is given, which goes before it."""
    return "" if component.psi is not None else component.other_than_steel


def left_of(job: Job, reference: str, rating: Rating | None) -> Rating | None:
    """What the body of a component leaves of the rating of a joint at its port."""
    material = "" if reference == "tee" else weakens(job.port(reference)[0])
    return rated_in(rating, material) if material else rating


def at_port(job: Job, reference: str, joint: "Joint") -> "Joint":
    """A joint at a port, with what the body of its component leaves of it."""
    return joint._replace(rating=left_of(job, reference, joint.rating))


def metal_findings(job: Job, reference: str, holds: Rating | None, psi: float) -> Iterator[Finding]:
    """A port in a body of another metal that can see more than is left of its joint; pressures in psi."""
    material = "" if reference == "tee" else weakens(job.port(reference)[0])
    if not material or holds is None or holds.exact_psi >= psi:
        return
    rule: Derated = derated(holds, material)
    yield Finding(
        "port-material", "refuse",
        f"{reference} is in a body of {job.port(reference)[0].material} and can see {format_pressure(psi, job.units)}; it holds "
        f"{format_pressure(holds.psi, job.units)}: {rule.text}. Where its maker rates it for more, write psi = \"…\" into the component",
        rule.sources)
