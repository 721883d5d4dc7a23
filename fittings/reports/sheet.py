"""The assembly sheet of a plan: one HTML file that stands alone, for the bench, the phone and the printer.

It decides nothing: words and figures are the plan's, drawings those of `fittings.drawing`, the page a template.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from importlib.resources import files
from typing import Any, cast

from fittings.cautions import STAGES, short
from fittings.circuit import Finding
from fittings.circuit.route import Swing
from fittings.drawing.callouts import Row
from fittings.drawing.chain import Sketch, joint_mark, joint_rows, laid_to_fit, part_rows, run_svg
from fittings.drawing.diagram import diagram_svg, line_rows
from fittings.drawing.lettering import clean
from fittings.drawing.swing import swing_rows, swing_svg
from fittings.job.bill import MEASURED, hose_words
from fittings.job.result import Plan, PlannedLine, Step
from fittings.mating import condition_do_for
from fittings.planner import Refusal
from fittings.ratings import Torque, Turn
from fittings.reports.documents import Documents
from fittings.reports.plan_text import STAGE_HEADS, band_words
from fittings.units import (
    Units,
    format_flow,
    format_length,
    format_pressure,
    format_speed,
    format_temperature,
    format_torque,
)

IN = 25.4


def sheet_html(plan: Plan) -> str:
    """A plan as one HTML page without scripts, links or fonts from elsewhere: cautions, summary, diagram, bill, each line
    with its drawing, steps to tick off, first start, and the documents behind every figure.

    Prints on A4 and Letter in black and white, and reads at 360 px.
    """
    return str(_template().render(sheet=_Sheet(plan).whole(), style=_style()))


def _plain(value: object) -> object:
    """Words without the marks that would turn the writing direction of the page around them."""
    return clean(value) if type(value) is str else value


@cache
def _template() -> Any:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(loader=PackageLoader("fittings.reports", "templates"), autoescape=True,
                              undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, finalize=_plain)
    return environment.get_template("sheet.html")


def _safe(made_here: str) -> Any:
    """Marks what this program wrote itself (drawings, style) as HTML; never anything that somebody typed."""
    from markupsafe import Markup

    return Markup(made_here)


@cache
def _style() -> Any:
    return _safe(files("fittings.reports").joinpath("templates/sheet.css").read_text("utf-8"))


def line_sketch(line: PlannedLine, units: Units) -> Sketch | None:
    """What is to be drawn of a planned line: from its port through adapters and hose to its other port, or to its tee."""
    if line.refused is not None:
        return None
    crimped = line.hose.ends if line.hose is not None else ()
    uses = (*line.from_parts, *crimped, *line.to_parts)
    inner = max(len(line.tees) - 1, 0)
    joints = tuple(each.joint for each in line.joints[: len(line.joints) - inner])
    finish = line.finish or (joints[-1].b if joints else None)
    if finish is None:
        return None
    if not uses and not joints:
        return None
    rated = [(each.rating.psi if each.rating else -1, n) for n, each in enumerate(joints)]
    hose = hose_words(line.hose, units) if line.hose is not None else ""
    title = f"{line.from_ref} to {line.to_ref}"
    about = "; ".join(used.part.say for used in uses)
    return Sketch(title, about, line.start, finish, uses, joints, min(rated)[1] if rated else None, hose)


class _Sheet:
    def __init__(self, plan: Plan) -> None:
        self.plan, self.units = plan, cast(Units, plan.units)
        self.cited = Documents()

    def whole(self) -> dict[str, Any]:
        plan = self.plan
        found = {
            "title": plan.title, "head": short(), "alarms": list(self._alarms()), "cautions": list(self._cautions()),
            "summary": list(self._summary()), "diagram": _safe(diagram_svg(plan, listed=False, root=False)),
            "diagram_rows": list(line_rows(plan)), "bill": list(self._bill()),
            "measured": MEASURED if any(item.sort == "hose" for item in plan.bill) else "", "lines": list(self._lines()),
            "steps": list(self._steps()), "after": [each.text + self.cited.mark(each.sources) for each in plan.cautions
                                                    if each.stage == "after"],
            "circuit": list(self._circuit()),
        }
        found["documents"] = self.cited.listed()
        return found

    def _alarms(self) -> Iterator[str]:
        refused = [line.name for line in self.plan.every_line if line.refused]
        if refused:
            yield f"CANNOT BE DONE as asked: {', '.join(refused)}"
        for finding in self._every_finding():
            if finding.level == "refuse":
                yield f"NOT SAFE AS IT STANDS: {finding.text}"

    def _every_finding(self) -> Iterator[Finding]:
        yield from self.plan.findings
        for line in self.plan.every_line:
            yield from line.findings
        for each in self.plan.cylinders:
            yield from each.findings

    def _cautions(self) -> Iterator[dict[str, Any]]:
        for stage in STAGES[:2]:
            items = [each.text + self.cited.mark(each.sources) for each in self.plan.cautions if each.stage == stage]
            yield {"head": STAGE_HEADS[stage].capitalize(), "said": items}

    def _summary(self) -> Iterator[str]:
        plan, units = self.plan, self.units
        system, warm = plan.job.system, plan.job.system.temperature_used
        yield (f"Relief {format_pressure(system.relief_psi, units)}, {format_flow(system.flow_gpm, units)}, "
               f"{system.oil_used.name}, {format_temperature(warm.cold_c, units)} to {format_temperature(warm.hot_c, units)}")
        done = sum(not any(each.refused for each in line.everything) for line in plan.lines)
        yield f"{done} of {len(plan.lines)} lines planned, {len(plan.steps)} steps"
        for component in plan.job.component:
            for port, typed in component.ports.items():
                if typed.taken:
                    yield f"{component.name}.{port}: {typed.taken}"
        for finding in plan.findings:
            if finding.code == "margin":
                yield finding.text + self.cited.mark(finding.sources)

    def _bill(self) -> Iterator[dict[str, Any]]:
        for item in self.plan.bill:
            yield {"qty": f"{item.qty:g}", "say": item.say, "spec": item.spec, "for_": ", ".join(item.for_),
                   "note": item.note.replace(f"; {MEASURED}", "")}

    # --- a line ------------------------------------------------------------------------------------------------------

    def _lines(self) -> Iterator[dict[str, Any]]:
        for number, line in enumerate(self.plan.lines, 1):
            for leg in line.everything:
                yield self._line(leg, str(number) if leg is line else "", leg is not line)

    def _line(self, of: PlannedLine, number: str, leg: bool) -> dict[str, Any]:
        units = self.units
        carries = (f"Carries {format_flow(of.demand.flow_gpm, units)}, {of.demand.flow_why}; must hold "
                   f"{format_pressure(of.demand.max_psi, units)}. {self._rated(of)}")
        sketch = line_sketch(of, units)
        swing = self._swing(of)
        return {
            "number": number, "leg": leg, "name": of.name, "kind": of.kind, "way": f"{of.from_ref} to {of.to_ref}",
            "carries": carries, "refused": _refused(of.refused) if of.refused is not None else None,
            "drawing": _safe(run_svg(sketch, listed=False, root=False)) if sketch else "",
            "parts": list(self._parts(of, sketch)) if sketch else [],
            "joints": list(joint_rows(sketch)) if sketch else [],
            "swing": _safe(swing[0]) if swing else "", "swing_rows": swing[1] if swing else (),
            "findings": self._findings(of.findings),
        }

    def _rated(self, of: PlannedLine) -> str:
        if of.refused is not None:
            return ""
        rated = ("Rating: not every end is in our tables." if of.rating_psi is None else
                 f"Rated {format_pressure(of.rating_psi, self.units)} by its weakest, {of.weakest}.")
        if of.velocity_fps is None:
            return rated
        drops = ""
        if of.drop_hot_psi is not None and of.drop_cold_psi is not None:
            drops = (f"; it loses {format_pressure(of.drop_hot_psi, self.units)} with hot oil, "
                     f"{format_pressure(of.drop_cold_psi, self.units)} at a cold start (reckoned)")
        return f"{rated} Oil runs at {format_speed(of.velocity_fps, self.units)}{drops}."

    def _parts(self, of: PlannedLine, sketch: Sketch) -> Iterator[Row]:
        for row in part_rows(sketch, laid_to_fit(sketch)):
            if row.mark == "H" and of.hose is not None:
                hose = of.hose.hose
                rated = f"{format_pressure(hose.pressure_psi, self.units)}{self.cited.mark(hose.sources, hose.confidence)}"
                yield row._replace(lines=(rated, "drawn cut short"))
            else:
                yield row
        for part in of.tees:
            yield Row("T", part.say, (part.had,))

    def _swing(self, of: PlannedLine) -> tuple[str, tuple[Row, ...]] | None:
        """The drawing of a hose across a pivot, where the job has one and the hose could be laid."""
        asked = of.way.swing if of.way is not None else None
        if asked is None or of.hose is None or of.hose.route is None or not of.hose.route.positions:
            return None
        motion = Swing(asked.pivot_to_from_in * IN, asked.pivot_to_to_in * IN, (asked.angle_deg[0], asked.angle_deg[1]),
                       asked.from_points_deg, asked.to_points_deg)
        route, hose = of.hose.route, of.hose.hose
        return (swing_svg(motion, hose, route, self.units, listed=False, root=False),
                tuple(swing_rows(motion, hose, route, self.units)))

    def _findings(self, found: Iterable[Finding]) -> list[dict[str, str]]:
        order = ("refuse", "warn", "info")
        return [{"level": each.level, "text": each.text + self.cited.mark(each.sources)}
                for each in sorted(found, key=lambda finding: order.index(finding.level))]

    # --- steps -------------------------------------------------------------------------------------------------------

    def _steps(self) -> Iterator[dict[str, Any]]:
        group: dict[str, Any] = {}
        letters = _Letters(self.plan)
        for step in self.plan.steps:
            if not group or group["line"] != step.line:
                if group:
                    yield group
                group = {"line": step.line, "steps": []}
            notes = [*letters.of(step), *self._notes(step)]
            group["steps"].append({"n": step.n, "do": step.do, "notes": notes})
        if group:
            yield group

    def _notes(self, step: Step) -> Iterator[str]:
        if step.joint is not None and step.joint.joint.condition and not step.sealant:
            yield f"Look first: {condition_do_for(step.joint.joint.condition)}"
        if step.ring:
            yield f"Ring: {step.ring}"
        if step.sealant is not None:
            yield f"Sealant: {'YES' if step.sealant else 'NO'}" + (f"; {step.sealant_why}" if step.sealant_why else "")
        if step.lube:
            yield f"Oil: {step.lube}"
        if step.joint is not None:
            yield from self._torque(step.joint.torque, step.joint.turns)
        if step.hold:
            yield f"Second spanner: {step.hold}"

    def _torque(self, bands: Sequence[Torque], turns: Sequence[Turn]) -> Iterator[str]:
        units = self.units
        if bands:
            first = bands[0]
            yield (f"Torque: {band_words(first, units)}, school: {first.school}, into {first.port}"
                   f"{self.cited.mark(first.sources, first.confidence)}")
            others = [band for band in bands[1:] if (band.low_nm, band.high_nm) != (first.low_nm, first.high_nm)]
            if others:
                yield "Other schools: " + "; ".join(
                    f"{band_words(band, units)} {band.school}, {band.port}{self.cited.mark(band.sources, band.confidence)}"
                    for band in others[:3])
        for turn in turns:
            cap = f", at most {format_torque(turn.ceiling_nm, units)}" if turn.ceiling_nm else ""
            yield (f"Turn: {turn.low:g} to {turn.high:g} {turn.unit} from {turn.start}{cap}"
                   f"{self.cited.mark(turn.sources, turn.confidence)}")
        if not bands and not turns:
            yield "Torque: not in our tables; by the maker's figure"

    def _circuit(self) -> Iterator[dict[str, Any]]:
        if self.plan.findings:
            yield {"head": "", "said": "", "findings": self._findings(self.plan.findings)}
        for each in self.plan.cylinders:
            said = (f"Bore {format_length(each.bore_in * IN, self.units)}, rod {format_length(each.rod_in * IN, self.units)}, "
                    f"areas {each.phi:.3f} to 1.")
            yield {"head": each.name, "said": said, "findings": self._findings(each.findings)}


class _Letters:
    """Which letter of which drawing the joint of a step is; two alike are taken in the order of the line."""

    def __init__(self, plan: Plan) -> None:
        self.open = {leg.name: (number, list(enumerate(leg.joints)))
                     for number, line in enumerate(plan.lines, 1) for leg in line.everything}

    def of(self, step: Step) -> Iterator[str]:
        """The note that leads from a step to its drawing."""
        number, joints = self.open.get(step.line, (0, []))
        if step.joint is None:
            return
        ends = step.joint.joint.a, step.joint.joint.b
        # seen from the far port a joint is told the other way round
        for asked in (ends, ends[::-1]):
            found = next((each for each in joints if (each[1].joint.a, each[1].joint.b) == asked), None)
            if found is not None:
                joints.remove(found)
                yield f"Joint {joint_mark(found[0])} in the drawing of line {number}"
                return


def _refused(of: Refusal) -> dict[str, Any]:
    """Why a line cannot be done, and what was tried that helps."""
    items = [fact.text for fact in of.facts]
    items += [f"would help: {hint.text}" for hint in of.hints]
    return {"head": f"Cannot be done: {of.kind}", "facts": items}
