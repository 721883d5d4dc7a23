"""What follows from a job alone, before any hose or part is chosen: what each line must carry and hold, what each cylinder does."""

from typing import NamedTuple

from fittings.circuit import Finding
from fittings.circuit.cylinder import CylinderAnswer


class Demand(NamedTuple):
    """What a line must carry and hold: US gpm (the greatest, and of which motion), psi, what was found on the way; whether the job file
    sets the flow of this line."""

    flow_gpm: float
    flow_why: str
    max_psi: float
    findings: tuple[Finding, ...]
    flow_asked: bool = False


class PlannedCylinder(NamedTuple):
    """Force, speed and volumes of one cylinder of the job, and what to know of it; `load_acts` 'pushes' the rod in or 'pulls' it out."""

    name: str
    bore_in: float
    rod_in: float
    stroke_in: float | None
    phi: float
    answer: CylinderAnswer
    findings: tuple[Finding, ...]
    back_by: str | None = None
    load_acts: str | None = None


class Reach(NamedTuple):
    """A line or branch as a whole job sees it: the line of the job file that it belongs to by its number, its name, the psi it must hold
    and that it is rated (None: not known), what rules that, whether it is refused, whether it has joints."""

    line: int
    name: str
    max_psi: float
    rating_psi: float | None
    weakest: str
    refused: bool
    joined: bool
