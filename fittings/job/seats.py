"""Components that sit on a port of a cylinder or motor itself: what that joint and what stands at it must hold."""

from collections.abc import Iterator

from fittings.circuit import Finding
from fittings.circuit.rules import because
from fittings.job.demands import demands, flows_of
from fittings.job.from_job import Demand
from fittings.job.model import Job, Seat
from fittings.units import format_pressure


def _demands(job: Job) -> Iterator[tuple[Seat, Demand]]:
    flows = flows_of(job) if job.seats else None
    if flows is not None:
        yield from ((seat, demands(job, seat, flows)[0]) for seat in job.seats)


def seats_psi(job: Job) -> dict[str, float]:
    """What each seat of a job must hold, psi, by its name."""
    return {seat.name: whole.max_psi for seat, whole in _demands(job)}


def seat_findings(job: Job) -> Iterator[Finding]:
    """What must be known of each seat: what it must hold, and what is grave of it."""
    for seat, whole in _demands(job):
        yield Finding(
            "seat", "info",
            f"{seat.name} itself, no hose between: it must hold {format_pressure(whole.max_psi, job.units)}. How it is sealed and "
            "tightened there, its maker's sheet says; nothing for that joint is on the bill", because("holding-hose"))
        yield from (each._replace(text=f"{seat.name}: {each.text}") for each in whole.findings if each.level != "info")
