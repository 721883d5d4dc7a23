"""The steps of the sheet: what to do, and at every joint its place in the drawings, ring, sealant, oil, torque, spanner."""

from collections.abc import Iterator, Sequence
from typing import Any

from fittings.drawing.chain import joint_mark
from fittings.job.bill import assembly_words
from fittings.job.result import Plan, PlannedJoint, Step
from fittings.mating import condition_do
from fittings.ratings import Torque
from fittings.reports.plan_text import loose_words, other_bands, ring_lacks, spanner_words, step_ring
from fittings.reports.sheet_lines import Drawn
from fittings.reports.torque_words import (
    ASK,
    Mark,
    band_words,
    lacking,
    own_turns,
    school_words,
    torque_notes,
    turn_words,
)
from fittings.units import MM_PER_IN


class Steps:
    """The steps of a plan as the sheet tells them. What several joints have in common is told with the first of them."""

    def __init__(self, plan: Plan, drawn: Sequence[Drawn], mark: Mark) -> None:
        self.plan, self.units, self._mark = plan, plan.units, mark
        self._told: set[str] = set()
        self._open = {each.line.name: (each.mark, list(enumerate(each.line.joints))) for each in drawn}
        self._hoses = {each.line.name: assembly_words(each.line.hose, self.units) for each in drawn if each.line.hose is not None}

    def groups(self) -> Iterator[dict[str, Any]]:
        """Steps of one line after another: mark, name and hose of the line, its steps with their notes."""
        group: dict[str, Any] = {}
        for step in self.plan.steps:
            if not group or group["line"] != step.line:
                if group:
                    yield group
                mark = self._open[step.line][0] if step.line in self._open else ""
                group = {"line": step.line, "mark": mark, "hose": self._hoses.get(step.line, ""), "steps": []}
            group["steps"].append({"n": step.n, "do": step.do, "notes": list(self._notes(step))})
        if group:
            yield group

    def tools(self) -> Iterator[str]:
        """Spanners and the reach of the torque wrench that the steps ask for."""
        spanners = {spanner_words(each.spanner): _across_mm(each.spanner.value, each.spanner.unit)
                    for each in self.plan.steps if each.spanner is not None}
        if spanners:
            words = ", ".join(sorted(spanners, key=lambda word: spanners[word]))
            yield f"Spanners to turn with: {words}. A second one at each joint to hold with, by the hexagon of the part behind."
        bands = [each.joint.torque[0] for each in self.plan.steps
                 if each.joint is not None and each.joint.torque and not each.joint.no_torque_for]
        if bands:
            reach = bands[0]._replace(low_nm=min(band.low_nm for band in bands), high_nm=max(band.high_nm for band in bands))
            yield f"Torque wrench for {band_words(reach, self.units)}."

    def other_schools(self) -> Iterator[str]:
        """What other makers print for the same joints, each pair of ends once."""
        seen = set()
        for step in self.plan.steps:
            others = other_bands(step.joint) if step.joint is not None else []
            if step.joint is None or not others:
                continue
            says = f"{step.joint.joint.a.say} × {step.joint.joint.b.say}: " + "; ".join(self._band(band) for band in others)
            if frozenset((step.joint.joint.a, step.joint.joint.b)) not in seen:
                seen.add(frozenset((step.joint.joint.a, step.joint.joint.b)))
                yield says

    def _band(self, band: Torque) -> str:
        return f"{band_words(band, self.units)} {school_words(band)}{self._mark(band.sources, band.confidence)}"

    def _notes(self, step: Step) -> Iterator[str]:
        place = self._place(step)
        spanner = ""
        if step.spanner is not None:
            spanner = f"spanner {spanner_words(step.spanner)}{self._mark(step.spanner.sources, step.spanner.confidence)}"
        if place or spanner:
            first = "; ".join(each for each in (place, spanner) if each)
            yield first[:1].upper() + first[1:]
        if step.joint is not None and step.joint.joint.condition and not step.sealant:
            yield f"Look first: {condition_do(step.joint.joint.condition_key)}"
        if step.ring:
            yield f"Ring: {step_ring(step, self.units)}"
            if loose := loose_words(step):
                yield f"Or: {loose}"
        elif ring_lacks(step):
            yield f"Ring: not in our tables: {ASK}"
        oil = f"Oil: {step.lube}" if step.lube else ""
        if step.sealant is not None:
            sealant, why = f"Sealant: {'YES' if step.sealant else 'NO'}", self._once(step.sealant_why)
            yield f"{sealant}; {why}" if why else f"{sealant}. {oil}".strip()
            oil = oil if why else ""
        if oil:
            yield oil
        if step.joint is not None and not step.joint.coupled:
            yield from self._torque(step.joint)
        if step.hold:
            yield f"Second spanner: {step.hold}"

    def _once(self, why: str) -> str:
        """A reason the first time it is given; every later joint of its kind does without."""
        if not why or why in self._told:
            return ""
        self._told.add(why)
        return why

    def _torque(self, of: PlannedJoint) -> Iterator[str]:
        lacks = lacking(of, of.joint.seal)
        if lacks:
            yield f"Torque: {lacks}"
        elif of.torque:
            first = of.torque[0]
            yield f"Torque: {band_words(first, self.units)}, school: {school_words(first)}{self._mark(first.sources, first.confidence)}"
        for turn in own_turns(of):
            yield f"Turn: {turn_words(turn, self.units)}{self._mark(turn.sources, turn.confidence)}"
        yield from (note[:1].upper() + note[1:] for note in torque_notes(of))

    def _place(self, step: Step) -> str:
        """Which letter of which drawing a joint is; two alike are taken in the order of the line."""
        mark, joints = self._open.get(step.line, ("", []))
        if step.joint is None:
            return ""
        ends = step.joint.joint.a, step.joint.joint.b
        # seen from the far port a joint is told the other way round
        for asked in (ends, ends[::-1]):
            found = next((each for each in joints if (each[1].joint.a, each[1].joint.b) == asked), None)
            if found is not None:
                joints.remove(found)
                return f"joint {joint_mark(found[0])} in drawing {mark}"
        return ""


def _across_mm(value: str, unit: str) -> float:
    try:
        return float(value) * (MM_PER_IN if unit == "in" else 1.0)
    except ValueError:
        return 0.0
