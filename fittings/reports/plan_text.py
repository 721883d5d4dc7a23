"""A plan in words, folded to 80 columns or to the window; stands without colour.

Documents are named by number, as in `[A 1 4]`, with their confidence before them; the list stands at the foot.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from fittings.cautions import short
from fittings.chain import Used
from fittings.circuit import Finding
from fittings.figures import Figure
from fittings.job.bill import assembly_words
from fittings.job.flange import bolted
from fittings.job.from_job import PlannedCylinder
from fittings.job.result import BillItem, Plan, PlannedJoint, PlannedLine, ShelfUse, Step
from fittings.job.shop_words import MEASURED, outlets_said, ring_words
from fittings.job.tee_outlets import tee_outlets
from fittings.mating import condition_do
from fittings.planner import NOT_COVERED, Refusal
from fittings.ratings import Torque
from fittings.reports.documents import Documents
from fittings.reports.torque_words import ASK, tightening_lines
from fittings.reports.window import Paint, harmless, lines, painted
from fittings.saying import both, counted
from fittings.units import (
    MM_PER_IN,
    Units,
    format_flow,
    format_force,
    format_length,
    format_pressure,
    format_speed,
    format_temperature,
    format_volume,
    inch,
)

SIGNS = {"refuse": "X", "warn": "!", "info": "-"}
LEVEL_COLOURS: dict[str, Paint] = {"refuse": "red", "warn": "yellow", "info": "plain"}
STAGE_HEADS = {"before": "BEFORE YOU BEGIN", "during": "WHILE YOU WORK", "after": "FIRST START AND AFTER"}


def plan_text(of: Plan) -> str:
    """The whole plan: what it is for, every line, the bill, the steps, the cautions, and the documents it rests on."""
    return "\n".join(PlanWords(of).whole())


def step_ring(step: Step, units: Units) -> str:
    """The ring of a step, and when it is the one."""
    held = step.joint.joint.seal.ring if step.joint is not None and step.joint.joint.seal is not None else None
    return step.ring if held is None else "; ".join(filter(None, (ring_words(held, units), held.note)))


def loose_words(step: Step) -> str:
    """The ring that is laid under a part made without one of its own, and when; '' for none."""
    held = step.joint.joint.seal.loose if step.joint is not None and step.joint.joint.seal is not None else None
    return "" if held is None else f"{held.say}, {held.note}"


def ring_lacks(step: Step) -> bool:
    """Whether the joint of a step takes a ring that our tables do not hold."""
    seal = step.joint.joint.seal if step.joint is not None else None
    return seal is not None and seal.ring_unknown


def headed(text: str) -> str:
    """The head of a section."""
    return painted(lines(text), "bold")


def unproved_words(of: Plan) -> str:
    """Which lines of a plan no table rates at every end, '' when there is none."""
    unproved = [line.name for line in of.every_line if line.refused is None and line.rating_psi is None and line.joints]
    return f"NOT PROVED TO HOLD, since no table rates every end: {', '.join(unproved)}" if unproved else ""


BACK_BY = {"load": "its load", "spring": "its spring", "cylinder": "another cylinder", None: "a load, a spring or another cylinder"}
"""What brings a cylinder back that oil does not, in words."""


def cylinder_said(of: PlannedCylinder, units: Units) -> list[str]:
    """Bore and rod of a cylinder, what it pushes and pulls, how fast it goes, what it takes: what is known of it."""
    answer = of.answer
    rod = f"rod {format_length(of.rod_in * MM_PER_IN, units)}" if of.rod_in else "a ram"
    said = [f"bore {format_length(of.bore_in * MM_PER_IN, units)}, {rod}"]
    if answer.push_lbf is not None:
        pulls = "" if answer.pull_lbf is None else f", pulls {format_force(answer.pull_lbf, units)}"
        said.append(f"pushes {format_force(answer.push_lbf, units)}{pulls} at the relief")
    elif answer.pull_lbf is not None:
        said.append(f"only pulls, {format_force(answer.pull_lbf, units)} at the relief")
    for way, speed, seconds in (("out", answer.extend_in_s, answer.extend_s), ("back", answer.retract_in_s, answer.retract_s)):
        if speed is not None:
            said.append(f"{_per_second(speed, units)} {way}" + ("" if seconds is None else f", {seconds:.1f} s"))
    if answer.retract_in_s is None or answer.extend_in_s is None:
        said.append(f"goes {'back' if answer.retract_in_s is None else 'out'} by {BACK_BY[of.back_by]}")
    for way, volume in (("out", answer.volume_extend_gal), ("back", None if answer.push_lbf is not None else answer.volume_retract_gal)):
        if volume is not None:
            said.append(f"takes {format_volume(volume, units)} to go {way}")
    needs = [f"{format_pressure(psi, units)} to {way}" for way, psi in _against_load(of).items() if psi is not None]
    if needs:
        said.append(f"the load needs {', '.join(needs)}")
    return said


def _against_load(of: PlannedCylinder) -> dict[str, float | None]:
    """What it takes to work against the load, psi, by the way: one way where the job says how the load acts, else both."""
    both_ways = {"push": of.answer.psi_to_push, "pull": of.answer.psi_to_pull}
    against = {"pushes": "push", "pulls": "pull"}.get(of.load_acts or "")
    return {way: psi for way, psi in both_ways.items() if against in (None, way)}


def _per_second(speed_in_s: float, units: Units) -> str:
    inch, metric = f"{speed_in_s:.1f} in/s", f"{speed_in_s * MM_PER_IN:.0f} mm/s"
    return inch if units == "inch" else metric if units == "metric" else f"{inch} ({metric})"


class Glance(NamedTuple):
    """One line in short: its hose and length, how many parts are screwed on beside the crimped ends, what it must hold and what it
    is rated, and how many findings forbid it or want a look; '' where there is nothing to say."""

    line: str
    hose: str
    parts: int
    must_hold: str
    rated: str
    look: str


def glances(of: Plan) -> Iterator[Glance]:
    """Every line and branch of a plan in short, in the order of the plan."""
    units = of.units
    for line in of.every_line:
        count = {level: sum(each.level == level for each in line.findings) for level in SIGNS}
        look = ", ".join(f"{count[level]} {sign}" for level, sign in SIGNS.items() if level != "info" and count[level])
        must_hold = "vacuum" if line.kind == "suction" else format_pressure(line.demand.max_psi, units)
        if line.refused is not None:
            yield Glance(line.name, f"CANNOT BE DONE: {kind_said(line.refused)}", 0, must_hold, "", look)
            continue
        yield Glance(line.name, _hose_in_short(line, units), len(line.from_parts) + len(line.to_parts) + len(line.tees), must_hold,
                      "not in our tables" if line.rating_psi is None else format_pressure(line.rating_psi, units), look)


def _hose_in_short(of: PlannedLine, units: Units) -> str:
    if of.hose is None:
        return "no hose"
    hose = f"{of.hose.hose.type} {of.hose.hose.size}"
    return hose if of.hose.length_in is None else f"{hose}, {format_length(of.hose.length_in * MM_PER_IN, units)}"


def kind_said(of: Refusal) -> str:
    """The kind of a refusal, in words."""
    return "not in our tables" if of.kind == NOT_COVERED else of.kind


def must_carry(of: PlannedLine, units: Units) -> str:
    """What a line carries and must hold, in words; a suction line is pressed together, not blown up."""
    holds = "must stand vacuum, not pressure" if of.kind == "suction" else f"must hold {format_pressure(of.demand.max_psi, units)}"
    return f"{format_flow(of.demand.flow_gpm, units)}, {of.demand.flow_why}; {holds}"


def other_bands(of: PlannedJoint) -> Sequence[Torque]:
    """The bands of other schools for a joint: all where none is in use, and of a flange, of which one is for the bolt of its pad."""
    bands = of.torque
    others = bands if of.no_torque_for else [
        band for band in bands[1:] if (band.low_nm, band.high_nm) != (bands[0].low_nm, bands[0].high_nm)]
    return others if bolted(of.joint) else others[:3]


def spanner_words(of: Figure) -> str:
    """A spanner as it is called in the shop: inches as a fraction, or millimetres."""
    try:
        value = float(of.value)
    except ValueError:
        return f"{of.value} {of.unit}"
    return inch(value, 32) if of.unit == "in" else f"{value:g} mm"


How = tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]
"""How a step is done, in lines: seals, torque and turns, spanners."""

AT_HAND = 4
"""So many lines of a step are told again in full: to leave some out would save none."""


class PlanWords:
    """Writes a plan in paragraphs and lists."""

    def __init__(self, of: Plan) -> None:
        self.plan, self.units = of, of.units
        self.cited = Documents()
        self._told: dict[How, int] = {}
        self._alike = {text: alike for text, alike in of.found_alike.items() if alike[0].level == "info"}

    def whole(self) -> Iterator[str]:
        of = self.plan
        yield from self._head()
        yield from ("", headed("AT A GLANCE"), *self.glance())
        if of.findings:
            yield from ("", headed("THE CIRCUIT"), *self._findings(of.findings))
        yield from ("", *self._cautions("before"))
        if self._alike:
            yield from ("", headed("FOR SEVERAL LINES"), *self._of_several())
        for line in of.lines:
            yield from ("", *self._line(line))
        for each in of.cylinders:
            yield from ("", *self._cylinder(each))
        if of.shelf is not None:
            yield from ("", *self.shelf(of.shelf, of.bill))
        if of.bill:
            yield from ("", *self.bill([item for item in of.bill if not item.from_stock]))
        yield from ("", *self._cautions("during"))
        if of.steps:
            yield from ("", *self.steps(of.steps))
        yield from ("", *self._cautions("after"), "", *self._documents())

    def _documents(self) -> Iterator[str]:
        yield headed("WHAT IT RESTS ON (A two independent sources, B one, C from memory)")
        for number, document in enumerate(self.cited.listed(), 1):
            yield lines(f"{number:>3}  {document}", "", " " * 5)

    def _head(self) -> Iterator[str]:
        of, units = self.plan, self.units
        system, warm = of.job.system, of.job.system.temperature_used
        yield headed(of.title)
        yield lines(f"relief {format_pressure(system.relief_psi, units)}, {format_flow(system.flow_gpm, units)}, "
                    f"{system.oil_used.name}, {format_temperature(warm.cold_c, units)} to {format_temperature(warm.hot_c, units)}", "  ")
        refused = [line.name for line in of.every_line if line.refused]
        done = sum(line.can_be_done for line in of.lines)
        yield lines(f"{done} of {len(of.lines)} lines planned." + (f" CANNOT BE DONE: {', '.join(refused)}." if refused else ""), "  ")
        unproved = unproved_words(of)
        if unproved:
            yield painted(lines(f"{unproved}.", "  "), "yellow")
        # what stands at a line that cannot be done is part of its refusal
        undone = {finding for line in of.every_line if line.refused for finding in line.findings}
        forbidden = sum(finding.level == "refuse" for finding in of.all_findings if finding not in undone)
        if forbidden:
            yield painted(lines(f"NOT SAFE AS IT STANDS: {counted(forbidden, 'finding')} marked X below.", "  "), "red")
        for taken in ends_taken(of):
            yield lines(taken, "  ")
        yield lines(short(), "  ")

    def glance(self) -> Iterator[str]:
        """Every line in short."""
        for each in glances(self.plan):
            rated = f", rated {each.rated}" if each.rated else ""
            parts = counted(each.parts, "part") if rated else ""
            said = [each.hose, parts, f"must hold {each.must_hold}{rated}", each.look and f"look at {each.look}"]
            yield lines(f"{each.line}: {'; '.join(filter(None, said))}", "  ", "    ")

    def _findings(self, found: Iterable[Finding], indent: str = "  ") -> Iterator[str]:
        """Findings, the gravest first, each with what it rests on."""
        for each in sorted(found, key=lambda finding: list(SIGNS).index(finding.level)):
            said = lines(f"{SIGNS[each.level]} {each.text}{self.cited.mark(each.sources)}", indent, indent + "  ")
            yield painted(said, LEVEL_COLOURS[each.level])

    def _of_several(self) -> Iterator[str]:
        """What is to be known of several lines alike, with their names; it is not said again of each."""
        for finding, names in self._alike.values():
            yield from self._findings([finding._replace(text=f"{', '.join(names)}: {finding.text}")])

    # --- a line ------------------------------------------------------------------------------------------------------

    def _line(self, of: PlannedLine, indent: str = "") -> Iterator[str]:
        units, inner = self.units, indent + "  "
        yield painted(lines(f"LINE {of.name} ({of.kind}): {of.from_ref} to {of.to_ref}", indent, inner), "bold")
        yield lines(f"carries {must_carry(of, units)}", inner)
        if of.refused is not None:
            yield from self._refusal(of.refused, inner)
            yield from self._findings((each for each in of.findings if each.text not in self._alike), inner)
            return
        yield lines(self._rated(of), inner)
        if of.velocity_fps is not None:
            yield lines(f"oil runs at {format_speed(of.velocity_fps, units)}{self._drops(of)}", inner)
        yield from self.way(of, inner)
        yield from self._findings((each for each in of.findings if each.text not in self._alike), inner)
        for branch in of.branches:
            yield from ("", *self._line(branch, inner))

    def _refusal(self, of: Refusal, indent: str) -> Iterator[str]:
        """Why a line cannot be done: the facts, which of them stand against each other, and what was tried that helps."""
        yield painted(lines(f"CANNOT BE DONE: {kind_said(of)}.", indent), "red")
        for fact in of.facts:
            yield lines(f"{fact.n}. {fact.text}{self.cited.mark(fact.sources)}", f"{indent}  ", f"{indent}     ")
        for some in of.because:
            if len(some) > 1 and of.kind != NOT_COVERED:
                yield lines(f"so {both(map(str, some))} cannot all be kept", f"{indent}  ")
        for number, hint in enumerate(of.hints):
            if not number:
                yield f"{indent}what would help (each was tried)"
            yield lines(f"- {hint.text}", f"{indent}  ", f"{indent}    ")
            yield f"{indent}    {harmless(hint.run)}"

    def _rated(self, of: PlannedLine) -> str:
        if of.rating_psi is None:
            return "rated: not every end is in our tables"
        return f"rated {format_pressure(of.rating_psi, self.units)} by its weakest, {of.weakest}"

    def _drops(self, of: PlannedLine) -> str:
        if of.drop_hot_psi is None or of.drop_cold_psi is None:
            return ""
        return (f"; it loses {format_pressure(of.drop_hot_psi, self.units)} with hot oil, "
                f"{format_pressure(of.drop_cold_psi, self.units)} at a cold start (reckoned)")

    def way(self, of: PlannedLine, indent: str) -> Iterator[str]:
        """The line from port to port: ends, parts, hose, and what seals each joint."""
        inner = max(len(of.tees) - 1, 0)
        pieces = [_part(used) for used in of.from_parts]
        if of.hose is not None:
            hose = of.hose.hose
            pieces.append(f"= {assembly_words(of.hose, self.units)}; {format_pressure(hose.pressure_psi, self.units)}"
                          f"{self.cited.mark(hose.sources, hose.confidence)}")
        pieces += [_part(used) for used in of.to_parts]
        yield lines(of.start.say, f"{indent}  ")
        for joint, piece in zip(of.joints[: len(of.joints) - inner], [*pieces, ""], strict=False):
            yield lines(f"|  {'; '.join(self.joint_words(joint))}", f"{indent}    ", f"{indent}    |  ")
            if piece:
                yield lines(piece, f"{indent}  ", f"{indent}    ")
        for part, onward in tee_outlets(of):
            yield lines(f"* [{part.had}] {part.say}: {outlets_said(onward)}", f"{indent}  ", f"{indent}    ")
        if not of.tees and of.finish is not None:
            yield lines(of.finish.say, f"{indent}  ")

    def joint_words(self, of: PlannedJoint) -> tuple[str, str]:
        """What seals a joint, with its ring, and the pressure that it holds."""
        joint = of.joint
        seal = joint.seal.says if joint.seal else ""
        ring = f", {ring_words(joint.seal.ring, self.units)}" if joint.seal and joint.seal.ring else ""
        rated = "no pressure in our tables" if joint.rating is None else (
            f"{format_pressure(joint.rating.psi, self.units)}{self.cited.mark(joint.rating.sources, joint.rating.confidence)}")
        return f"{seal}{ring}", rated

    # --- cylinders, bill, steps, cautions ---------------------------------------------------------------------------------

    def _cylinder(self, of: PlannedCylinder) -> Iterator[str]:
        yield headed(f"CYLINDER {of.name}")
        yield lines("; ".join(cylinder_said(of, self.units)), "  ")
        yield from self._findings(of.findings)

    def shelf(self, of: ShelfUse, bill: Sequence[BillItem]) -> Iterator[str]:
        """What to take from which place of the shelf, what that costs in joints, and the rows that were not read."""
        yield headed(f"FROM THE SHELF, {of.file}")
        for each in bill:
            if each.from_stock:
                yield lines(f"{each.qty:>5g}  {each.say}", "", " " * 9)
                yield lines(f"from {each.place}" + (f", for {', '.join(each.for_)}" if each.for_ else ""), " " * 9)
        yield from self._shelf_notes(of, bill)

    def _shelf_notes(self, of: ShelfUse, bill: Sequence[BillItem]) -> Iterator[str]:
        for each in bill:
            if each.sort == "hose" and each.place:
                yield lines(f"for {', '.join(each.for_)}: hose cut from that at {each.place}", " " * 7, " " * 9)
        yield lines(f"adapters and tees: {of.taken} taken, {of.bought} to buy in {counted(of.kinds_bought, 'kind')}", " " * 7)
        for name, count in of.extra_joints:
            joints = counted(abs(count), "joint")
            yield lines(f"{name}: {joints} {'more' if count > 0 else 'fewer'} than if everything were bought", " " * 7)
        for row in of.aside:
            yield lines(f"row {row.number} kept aside: “{row.text}”: {row.why}", " " * 7, " " * 9)

    def _bill_head(self) -> str:
        return headed("BILL OF MATERIALS" + (", what is to be bought" if self.plan.shelf else ""))

    def bill(self, of: Sequence[BillItem]) -> Iterator[str]:
        yield self._bill_head()
        for each in of:
            spec = f" ({each.spec})" if each.spec else ""
            yield lines(f"{each.qty:>5g}  {each.say}{spec}", "", " " * 9)
            notes = [f"for {', '.join(each.for_)}" if each.for_ else "", each.note_beside]
            yield lines("; ".join(filter(None, notes)), " " * 9)
        if any(each.sort == "hose" for each in of):
            yield lines(f"hoses: {MEASURED}", " " * 7)

    def steps(self, of: Sequence[Step]) -> Iterator[str]:
        yield headed("PUTTING IT TOGETHER, in this order")
        line = ""
        for step in of:
            if step.line != line:
                line = step.line
                yield painted(lines(line, "  "), "bold")
            yield lines(f"[ ] {step.n}. {step.do}", "  ", " " * 8)
            for some in self.how(step):
                for said in some:
                    yield lines(said, " " * 8, " " * 10)

    def how(self, step: Step) -> "How":
        """What to look at and what seals, how tight, and with which spanners. Where all of it has been told of an earlier step, only
        what must be at hand: the condition, the ring, the sealant, the first torque and the spanner."""
        how = tuple(self.seal_notes(step)), tuple(self.torque_notes(step)), tuple(self.spanner_notes(step))
        told = self._told.setdefault(how, step.n)
        if told == step.n or sum(map(len, how)) <= AT_HAND:
            return how
        seals, tightens, spanners = how
        needed = ("look first:", "ring:", "or:", "sealant: yes")
        return (*(said for said in seals if said.startswith(needed)),), tightens[:1], (*spanners[:1], f"all else as in step {told}")

    def seal_notes(self, step: Step) -> Iterator[str]:
        """What to look at first, the ring, whether sealant belongs there, and what is oiled."""
        if step.joint is not None and step.joint.joint.condition and not step.sealant:
            yield f"look first: {condition_do(step.joint.joint.condition_key)}"
        if step.ring:
            yield f"ring: {step_ring(step, self.units)}"
            if loose := loose_words(step):
                yield f"or: {loose}"
        elif ring_lacks(step):
            yield f"ring: not in our tables: {ASK}"
        if step.sealant is not None:
            yield f"sealant: {'yes' if step.sealant else 'no'}" + (f"; {step.sealant_why}" if step.sealant_why else "")
        if step.lube:
            yield f"oil: {step.lube}"

    def torque_notes(self, step: Step) -> Iterator[str]:
        """The torque band in use and how far to turn, each with school, source and confidence; other schools beside it."""
        if step.joint is None or step.joint.coupled:
            return
        most = 99 if bolted(step.joint.joint) else 4
        for head, said in tightening_lines(step.joint, step.joint.joint.seal, self.units, self.cited.mark, most):
            yield f"{'  ' if head == 'or' else ''}{head}: {said}" if head else said

    def spanner_notes(self, step: Step) -> Iterator[str]:
        """The spanner, and where the second one goes."""
        if step.spanner is not None:
            yield f"spanner: {spanner_words(step.spanner)}{self.cited.mark(step.spanner.sources, step.spanner.confidence)}"
        if step.hold:
            yield f"second spanner: {step.hold}"

    def _cautions(self, stage: str) -> Iterator[str]:
        """The cautions of a stage of the work, where it begins."""
        yield headed(STAGE_HEADS[stage])
        for each in self.plan.cautions:
            if each.stage == stage:
                yield lines(f"- {each.text}{self.cited.mark(each.sources)}", "  ", "    ")


def _part(used: Used) -> str:
    return f"* [{used.part.had}] {used.part.say}"


def ends_taken(of: Plan) -> Iterator[str]:
    """What an end was taken for where something was left out of the job file."""
    for component in of.job.component:
        for port, typed in component.ports.items():
            if typed.taken:
                yield f"{component.name}.{port}: {typed.taken}"
