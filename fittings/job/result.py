"""What a planned job is made of. Plain tuples: nothing here decides or prints anything."""

from typing import TYPE_CHECKING, NamedTuple

from fittings.cautions import Caution
from fittings.chain import Joint, Used
from fittings.circuit import Finding, worst
from fittings.circuit.hose import Hose
from fittings.circuit.route import Laid
from fittings.ends import End
from fittings.figures import Figure
from fittings.job.from_job import Demand, PlannedCylinder, Reach
from fittings.job.model import Job, Route
from fittings.job.shop_words import MEASURED
from fittings.parts import Part
from fittings.planner import NOT_COVERED, Refusal
from fittings.ratings import Torque, Turn
from fittings.units import Units

if TYPE_CHECKING:
    from fittings.stock import Aside


class PlannedJoint(NamedTuple):
    """A joint of a line in the order of the line, with its torque bands (the one in use first) and turns, and what our tables
    hold no torque for."""

    joint: Joint
    torque: tuple[Torque, ...]
    turns: tuple[Turn, ...]
    no_torque_for: str

    @property
    def coupled(self) -> bool:
        """Whether it is made by pushing the halves of a quick coupler together."""
        return self.joint.seal is not None and self.joint.seal.kind == "coupler"


class HoseAssembly(NamedTuple):
    """A hose to be made up: the hose, its length in inches (None: the route was not given), the crimped end at either
    side, the angle between two bent ends (degrees; None where it does not matter or is not known)."""

    hose: Hose
    length_in: float | None
    plus_in: float | None
    minus_in: float | None
    ends: tuple[Used, Used]
    angle_deg: float | None
    route: Laid | None

    @property
    def bent_ends(self) -> int:
        return sum(used.part.shape != "straight" for used in self.ends)


def end_of(used: Used) -> End:
    """The end of a hose end that is not the crimp."""
    return used.near if used.far.family == "hose" else used.far


class PlannedLine(NamedTuple):
    """One line: from port to port, or to a tee and on in branches.

    `from_parts` and `to_parts` are the adapters in the order of the line; `joints` run from port to port, without the
    crimps. Pressures in psi, flow in US gpm, velocity in ft/s. A line that cannot be done is `refused` and has no hose.
    """

    name: str
    kind: str
    from_ref: str
    to_ref: str
    start: End
    finish: End | None
    demand: Demand
    hose: HoseAssembly | None = None
    from_parts: tuple[Used, ...] = ()
    to_parts: tuple[Used, ...] = ()
    joints: tuple[PlannedJoint, ...] = ()
    rating_psi: float | None = None
    weakest: str = ""
    velocity_fps: float | None = None
    drop_hot_psi: float | None = None
    drop_cold_psi: float | None = None
    findings: tuple[Finding, ...] = ()
    refused: Refusal | None = None
    tees: tuple[Part, ...] = ()
    branches: tuple["PlannedLine", ...] = ()
    way: Route | None = None

    @property
    def can_be_done(self) -> bool:
        """Whether neither the line nor one of its branches is refused."""
        return not any(each.refused for each in self.everything)

    @property
    def everything(self) -> tuple["PlannedLine", ...]:
        """This line and its branches."""
        return (self, *(each for branch in self.branches for each in branch.everything))


class BillItem(NamedTuple):
    """One line of the bill: how many, in words, the standard designation where it is certain, for which lines; `place` on the
    shelf when it is `from_stock`, and the `price` of one in the money of the shelf file, where that has it. `sort` is one of
    `bill.SORTS`."""

    qty: float
    say: str
    spec: str = ""
    for_: tuple[str, ...] = ()
    from_stock: bool = False
    sort: str = ""
    ends: tuple[End, ...] = ()
    note: str = ""
    place: str = ""
    price: float | None = None

    @property
    def note_beside(self) -> str:
        """The note as it stands in a list that says once, below, how hoses are measured."""
        return self.note.removesuffix(f"; {MEASURED}")


class ShelfUse(NamedTuple):
    """What a job takes from a shelf: `file`; adapters and tees taken and bought, kinds bought; the lines that the shelf gives
    other joints than the plan without it, with how many more; the rows of the file that were kept aside."""

    file: str
    taken: int
    bought: int
    kinds_bought: int
    extra_joints: tuple[tuple[str, int], ...]
    aside: "tuple[Aside, ...]"


class Step(NamedTuple):
    """One step of putting it together: the line, what to do, and for a joint everything that belongs to it.

    `spanner` is the size of the nut or hexagon, where the tables have it; `hold` says where the second spanner goes; `sealant` None
    where no joint is made.
    """

    n: int
    line: str
    do: str
    joint: PlannedJoint | None
    ring: str
    lube: str
    sealant: bool | None
    sealant_why: str
    spanner: Figure | None
    hold: str


class Plan(NamedTuple):
    """A whole job, planned."""

    job: Job
    title: str
    units: Units
    lines: tuple[PlannedLine, ...]
    bill: tuple[BillItem, ...]
    steps: tuple[Step, ...]
    cylinders: tuple[PlannedCylinder, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
    shelf: ShelfUse | None = None

    @property
    def every_line(self) -> tuple[PlannedLine, ...]:
        """All lines, and the branches of those that split."""
        return tuple(each for line in self.lines for each in line.everything)

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """What was found of the circuit, of every line and of every cylinder."""
        return (*self.findings, *(each for line in self.every_line for each in line.findings),
                *(each for cylinder in self.cylinders for each in cylinder.findings))

    @property
    def only_not_covered(self) -> bool:
        """Whether nothing stands against the job but that our tables do not hold what a line takes."""
        kinds = {each.refused.kind for each in self.every_line if each.refused is not None}
        return kinds == {NOT_COVERED} and worst(self.all_findings) != "refuse"

    @property
    def found_alike(self) -> dict[str, tuple[Finding, tuple[str, ...]]]:
        """What was found alike of several lines and forbids none of them, by its words, with the names of the lines."""
        found: dict[str, tuple[Finding, tuple[str, ...]]] = {}
        for line in self.every_line:
            for finding in line.findings:
                if finding.level != "refuse":
                    first, names = found.get(finding.text, (finding, ()))
                    found[finding.text] = first, (*names, line.name)
        return {text: alike for text, alike in found.items() if len(alike[1]) > 1}

    @property
    def refused(self) -> bool:
        """Whether a line cannot be done, or something found forbids the job as it stands."""
        return any(each.refused for each in self.every_line) or worst(self.all_findings) == "refuse"


def reach_of(lines: tuple[PlannedLine, ...]) -> tuple[Reach, ...]:
    """Lines and their branches as a whole job sees them."""
    return tuple(
        Reach(number, each.name, each.demand.max_psi, each.rating_psi, each.weakest, each.refused is not None, bool(each.joints))
        for number, line in enumerate(lines) for each in line.everything)
