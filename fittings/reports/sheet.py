"""The assembly sheet of a plan: one HTML file that stands alone, for the bench, the phone and the printer.

It decides nothing: words and figures are the plan's, drawings those of `fittings.drawing`, the page a template.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from fittings.cautions import STAGES, short
from fittings.circuit import Finding, gravest_first
from fittings.circuit.route import Swing
from fittings.drawing.callouts import Row
from fittings.drawing.chain import Sketch, joint_rows, laid_to_fit, part_rows, run_svg
from fittings.drawing.diagram import diagram_svg, line_rows, note_rows
from fittings.drawing.lettering import clean
from fittings.drawing.swing import swing_rows, swing_svg
from fittings.job.from_job import PlannedCylinder
from fittings.job.result import Plan, PlannedLine
from fittings.job.shop_words import MEASURED, outlets_said
from fittings.job.tee_outlets import tee_outlets
from fittings.planner import Refusal
from fittings.reports.documents import Documents
from fittings.reports.plan_text import STAGE_HEADS, cylinder_said, ends_taken, kind_said, must_carry, unproved_words
from fittings.reports.sheet_lines import Drawn, drawn_lines
from fittings.reports.sheet_steps import Steps
from fittings.units import MM_PER_IN, format_flow, format_pressure, format_speed, format_temperature

ROOM_BESIDE_MM = 125.0
"""How wide a drawing may be on paper that has all its words beside it."""

ROOM_UPRIGHT_MM = 260.0
"""How wide a diagram may be that is made smaller to fit an upright page; a wider one lies across a page of its own."""


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


class _Sheet:
    def __init__(self, plan: Plan) -> None:
        self.plan, self.units = plan, plan.units
        self.cited = Documents()
        self.drawn = list(drawn_lines(plan.lines, self.units))
        self.marks = {each.line.name: each.mark for each in self.drawn}

    def whole(self) -> dict[str, Any]:
        plan = self.plan
        steps = Steps(plan, self.drawn, self.cited.mark)
        alike = plan.found_alike
        diagram = diagram_svg(plan, listed=False, root=False)
        found = {
            "title": plan.title, "head": short(), "alarms": list(self._alarms()), "cautions": list(self._cautions()),
            "circuit": list(self._circuit()), "summary": list(self._summary()), "diagram": _safe(diagram),
            "diagram_is": _diagram_class(_width_mm(diagram)), "diagram_rows": [*line_rows(plan), *note_rows(plan)],
            "bill": list(self._bill(False)), "shelf": list(self._bill(True)), "tools": list(steps.tools()),
            "measured": MEASURED if any(item.sort == "hose" for item in plan.bill) else "",
            "shared": [self._finding(each, [self.marks[name] for name in names]) for each, names in alike.values()],
            "lines": [self._line(each, set(alike)) for each in self.drawn],
            "steps": list(steps.groups()), "schools": list(steps.other_schools()),
            "after": [each.text + self.cited.mark(each.sources) for each in plan.cautions if each.stage == "after"],
        }
        found["documents"] = self.cited.listed()
        return found

    def _alarms(self) -> Iterator[str]:
        refused = [line.name for line in self.plan.every_line if line.refused]
        if refused:
            yield f"CANNOT BE DONE as asked: {', '.join(refused)}"
        for finding in self.plan.all_findings:
            if finding.level == "refuse":
                yield f"NOT SAFE AS IT STANDS: {finding.text}"
        if unproved := unproved_words(self.plan):
            yield unproved

    def _cautions(self) -> Iterator[dict[str, Any]]:
        for stage in STAGES[:2]:
            items = [each.text + self.cited.mark(each.sources) for each in self.plan.cautions if each.stage == stage]
            yield {"head": STAGE_HEADS[stage].capitalize(), "said": items}

    def _summary(self) -> Iterator[str]:
        plan, units = self.plan, self.units
        system, warm = plan.job.system, plan.job.system.temperature_used
        yield (f"Relief {format_pressure(system.relief_psi, units)}, {format_flow(system.flow_gpm, units)}, "
               f"{system.oil_used.name}, {format_temperature(warm.cold_c, units)} to {format_temperature(warm.hot_c, units)}")
        done = sum(line.can_be_done for line in plan.lines)
        yield f"{done} of {len(plan.lines)} lines planned, {len(plan.steps)} steps"
        yield from ends_taken(plan)
        for finding in plan.findings:
            if finding.code == "margin":
                yield finding.text + self.cited.mark(finding.sources)

    def _bill(self, shelved: bool) -> Iterator[dict[str, Any]]:
        """What is to be got, or what is `shelved` and only to be taken."""
        for item in self.plan.bill:
            if item.from_stock != shelved:
                continue
            lines = ", ".join(self.marks.get(name, name) for name in item.for_)
            where = f"for line {lines}: tag it {lines}" if item.sort == "hose" else f"for line {lines}" if lines else ""
            yield {"qty": f"{item.qty:g}", "say": item.say, "spec": item.spec, "for_": where,
                   "note": item.note_beside, "shelf": item.place if item.from_stock else ""}

    # --- a line ------------------------------------------------------------------------------------------------------

    def _line(self, drawn: Drawn, told: set[str]) -> dict[str, Any]:
        of, sketch = drawn.line, drawn.sketch
        units = self.units
        carries = f"Carries {must_carry(of, units)}. {self._rated(of)}"
        swing = self._swing(of)
        drawing = run_svg(sketch, listed=False, root=False) if sketch else ""
        return {
            "mark": drawn.mark, "leg": drawn.leg, "name": of.name, "kind": of.kind, "way": f"{of.from_ref} to {of.to_ref}",
            "carries": carries, "refused": _refused(of.refused) if of.refused is not None else None,
            "drawing": _safe(drawing), "wide": not drawing or _width_mm(drawing) > ROOM_BESIDE_MM,
            "parts": list(self._parts(drawn, sketch)) if sketch else [],
            "joints": list(joint_rows(sketch)) if sketch else [],
            "swing": _safe(swing[0]) if swing else "", "swing_rows": swing[1] if swing else (),
            "findings": self._findings(each for each in of.findings if each.text not in told),
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

    def _parts(self, drawn: Drawn, sketch: Sketch) -> Iterator[Row]:
        hose, outlets = drawn.line.hose, tee_outlets(drawn.line)
        for row in part_rows(sketch, laid_to_fit(sketch)):
            if row.mark == "H" and hose is not None:
                rated = f"{format_pressure(hose.hose.pressure_psi, self.units)}{self.cited.mark(hose.hose.sources, hose.hose.confidence)}"
                yield row._replace(lines=(f"{rated}; drawn cut short",))
            elif row.mark.startswith("T") and not drawn.leg:
                yield row._replace(lines=(*row.lines, outlets_said(self._led(next(outlets)[1]))))
            elif not (drawn.leg and row.mark.startswith("T")):
                yield row

    def _led(self, outlets: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
        """The outlets of a tee with the marks of the legs that they lead to."""
        marks = {each.line.to_ref: each.mark for each in self.drawn if each.leg}
        return [(place, marks.get(leads, leads)) for place, leads in outlets]

    def _swing(self, of: PlannedLine) -> tuple[str, tuple[Row, ...]] | None:
        """The drawing of a hose across a pivot, where the job has one and the hose could be laid."""
        asked = of.way.swing if of.way is not None else None
        if asked is None or of.hose is None or of.hose.route is None or not of.hose.route.positions:
            return None
        motion = Swing(asked.pivot_to_from_in * MM_PER_IN, asked.pivot_to_to_in * MM_PER_IN, (asked.angle_deg[0], asked.angle_deg[1]),
                       asked.from_points_deg, asked.to_points_deg)
        route, hose = of.hose.route, of.hose.hose
        return (swing_svg(motion, hose, route, self.units, listed=False, root=False),
                tuple(swing_rows(motion, hose, route, self.units)))

    def _findings(self, found: Iterable[Finding]) -> list[dict[str, str]]:
        return [self._finding(each) for each in gravest_first(found)]

    def _finding(self, of: Finding, marks: Sequence[str] = ()) -> dict[str, str]:
        return {"level": of.level, "text": of.text + self.cited.mark(of.sources), "marks": ", ".join(marks)}

    def _circuit(self) -> Iterator[dict[str, Any]]:
        found = [each for each in self.plan.findings if each.code != "margin"]  # that one stands in the summary
        if found:
            yield {"head": "", "said": "", "findings": self._findings(found)}
        alike: dict[tuple[str, tuple[str, ...]], list[PlannedCylinder]] = {}
        for each in self.plan.cylinders:
            said = "; ".join([*cylinder_said(each, self.units), f"areas {each.phi:.3f} to 1"])
            said = f"{said[:1].upper()}{said[1:]}."
            alike.setdefault((said, tuple(finding.text for finding in each.findings)), []).append(each)
        for (said, _), some in alike.items():
            yield {"head": ", ".join(each.name for each in some), "said": said, "findings": self._findings(some[0].findings)}


def _diagram_class(wide_mm: float) -> str:
    return "drawn" if wide_mm <= ROOM_BESIDE_MM else "spread" if wide_mm <= ROOM_UPRIGHT_MM else "spread across"


def _width_mm(svg: str) -> float:
    return float(svg.partition('width="')[2].partition("mm")[0])


def _refused(of: Refusal) -> dict[str, Any]:
    """Why a line cannot be done, and what was tried that helps."""
    items = [fact.text for fact in of.facts]
    items += [f"would help: {hint.text}" for hint in of.hints]
    return {"head": f"Cannot be done: {kind_said(of)}", "facts": items}
