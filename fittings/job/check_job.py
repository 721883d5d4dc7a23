"""A saved plan against the job that is written in it: every line of the job, what each must carry and hold, what was found of lines,
circuit and cylinders, word for word. Reckoned anew from the job; nothing of the planner is asked."""

import re
from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any, NamedTuple

from fittings.check import Flaw
from fittings.circuit import Finding
from fittings.job.cold_way import cold_ways
from fittings.job.cylinders import cylinders_of
from fittings.job.demands import Flows, demands, flows_of
from fittings.job.from_job import Demand, PlannedCylinder, Reach
from fittings.job.margins import margin, port_relief
from fittings.job.mistakes import BadJob
from fittings.job.model import Job, Line, Route
from fittings.job.reading import job_in
from fittings.job.rubber import rubber_findings
from fittings.job.saved_plan import Saved, every_line, number, tables_in, written_as
from fittings.job.whole_circuit import circuit_findings
from fittings.sources import register
from fittings.tables import table

ROUNDED = 0.001
"""Figures are saved to a thousandth."""

RECKONED = "return-pressure-reckoned"
"""A return planned for what it holds back with cold oil: by its hoses, which only the plan knows."""


class Dropped(NamedTuple):
    """A line as it is written, for what it takes with cold oil."""

    name: str
    to_ref: str
    drop_cold_psi: float | None
    branches: tuple["Dropped", ...]


class Asked(NamedTuple):
    """A line of a saved plan beside its line of the job, what it must carry and hold, and the same of its legs."""

    written: Saved
    line: Line
    whole: Demand
    legs: tuple[Demand, ...]


def job_of(saved: Saved) -> Job | None:
    """The job that is written in a saved plan; None where none can be read from it."""
    try:
        return job_in(saved["job"]) if isinstance(saved.get("job"), dict) else None
    except BadJob:
        return None


def must_hold(saved: Saved, job: Job) -> dict[str, float]:
    """What each line of the job must hold, psi, by its name; the relief setting for one that the plan does not have."""
    known = {each.line.name: each.whole.max_psi for each in _asked(saved, job)}
    return {line.name: known.get(line.name, job.system.relief_psi) for line in job.line}


def job_flaws(saved: Saved) -> Iterator[Flaw]:
    """Everything in a saved plan that does not follow from the job written in it. Raises LookupError, TypeError, ValueError for what
    cannot be read."""
    if not isinstance(saved.get("job"), dict):
        yield Flaw("job-missing", "plan", "the job itself is not written in it, and without it no port, breather or warning can be "
                   "worked out again: plan the job file again")
        return
    try:
        job = job_in(saved["job"])
    except BadJob as error:
        yield Flaw("job-unreadable", "plan", f"the job written in it cannot be read: {error.mistakes[0].say()}")
        return
    yield from _head_flaws(saved, job)
    asked = list(_asked(saved, job))
    for each in asked:
        where = f"line {each.line.name}"
        for look in (_line_flaws, _leg_flaws):
            yield from (flaw._replace(where=where) for flaw in look(job, each))
    if len(asked) == len(job.line):
        yield from _whole_flaws(saved, job, asked)


# --- the lines of the job ----------------------------------------------------------------------------------------------------

def _head_flaws(saved: Saved, job: Job) -> Iterator[Flaw]:
    warm, system = job.system.temperature_used, job.system
    right = {
        "title": job.title, "units": job.units,
        "system": {"relief_psi": system.relief_psi, "flow_gpm": system.flow_gpm, "oil": system.oil_used.name, "cold_c": warm.cold_c,
                   "hot_c": warm.hot_c},
        "limits": {"avoid": list(job.limits.avoid), "max_parts": job.limits.max_parts, "full_bore": job.limits.full_bore},
    }
    for name, value in right.items():
        if not _as(saved.get(name), value):
            yield Flaw("job-differs", "plan", f"the {name} written for the plan is not that of its job")
    names, written = [line.name for line in job.line], [str(each.get("name")) for each in tables_in(saved.get("lines"))]
    if names != written:
        yield Flaw("job-differs", "plan", f"the job has the lines {', '.join(names)}, the plan {', '.join(written) or 'none'}")


def _as(written: Any, right: Any) -> bool:
    """Whether a value is written as it is, figures to what they are rounded to."""
    if isinstance(right, dict):
        return isinstance(written, dict) and all(_as(written.get(name), value) for name, value in right.items())
    return written_as(written, right, lambda figure: ROUNDED + 1e-9 * figure)


def _asked(saved: Saved, job: Job) -> Iterator[Asked]:
    flows = flows_of(job)
    for line in job.line:
        written = next((each for each in tables_in(saved.get("lines")) if each.get("name") == line.name), None)
        if written is not None:
            yield Asked(written, line, *demands(job, line, _held(flows, written)))


def _held(flows: Flows, written: Saved) -> Flows:
    """The flows with what a return is said to hold back: how much that is rests on its hoses."""
    psi = number(written.get("max_psi"))
    return flows._replace(held={str(written.get("name")): psi}) if psi is not None and _reckoned(written) else flows


def _reckoned(written: Saved) -> bool:
    return any(each.get("code") == RECKONED for each in tables_in(written.get("findings")))


def _line_flaws(job: Job, asked: Asked) -> Iterator[Flaw]:
    line, written = asked.line, asked.written
    if written.get("kind") != line.kind:
        yield Flaw("job-differs", "", f"it is written as a line of kind {written.get('kind')}, the job says {line.kind}")
    splits = len(line.targets) > 1
    yield from _port_flaws(job, written, "from", line.from_)
    yield from _port_flaws(job, written, "to", "tee" if splits else line.targets[0])
    yield from _demand_flaws(written, asked.whole)
    if not written.get("refused"):
        branch = next((each for each in line.branch if each.to == line.targets[0]), None)
        route = line.route if splits else (branch and branch.route) or line.route
        yield from _route_flaws(written, route)
    grave = asked.legs if written.get("refused") else ()
    yield from _finding_flaws(written, asked.whole.findings, [each for leg in grave for each in leg.findings])


def _leg_flaws(job: Job, asked: Asked) -> Iterator[Flaw]:
    line, branches = asked.line, tables_in(asked.written.get("branches"))
    if asked.written.get("refused") and not branches:
        return
    names = [f"{line.name} to {target}" for target in line.targets] if asked.legs else []
    if [each.get("name") for each in branches] != names:
        yield Flaw("job-differs", "", f"the job splits it into {', '.join(names) or 'no legs'}, the plan does not")
        return
    for leg, demand, target in zip(branches, asked.legs, line.targets if names else (), strict=True):
        detail = next((each for each in line.branch if each.to == target), None)
        yield from _port_flaws(job, leg, "from", "tee")
        yield from _port_flaws(job, leg, "to", target)
        yield from _demand_flaws(leg, demand)
        if not leg.get("refused"):
            yield from _route_flaws(leg, detail.route if detail else None)
        yield from _finding_flaws(leg, demand.findings, [])


def _port_flaws(job: Job, written: Saved, side: str, reference: str) -> Iterator[Flaw]:
    there = written.get(side)
    if not isinstance(there, dict) or there.get("port") != reference:
        yield Flaw("job-differs", "", f"the job leads it {side} {reference}, the plan does not")
        return
    if reference != "tee":
        component, port = job.port(reference)
        right = component.ports[port].end
        if not isinstance(there.get("end"), dict) or there["end"].get("id") != right.id:
            yield Flaw("job-differs", "", f"{reference} is {right.say} in the job, the plan has another end there")


def _demand_flaws(written: Saved, demand: Demand) -> Iterator[Flaw]:
    psi, flow = float(written["max_psi"]), float(written["flow_gpm"])
    if not _as(psi, demand.max_psi):
        code = "pressure-too-low" if psi < demand.max_psi else "pressure-differs"
        yield Flaw(code, "", f"planned for {psi:g} psi, by the job it must hold {demand.max_psi:g} psi")
    if not _as(flow, demand.flow_gpm):
        code = "flow-too-low" if flow < demand.flow_gpm else "flow-differs"
        yield Flaw(code, "", f"planned for {flow:.4g} gpm, by the job it carries {demand.flow_gpm:.4g} gpm")
    if (written.get("flow_why"), bool(written.get("flow_asked"))) != (demand.flow_why, demand.flow_asked):
        yield Flaw("flow-differs", "", f"what it carries is, by the job, {demand.flow_why}; the plan says {written.get('flow_why')}")


def _route_flaws(written: Saved, right: Route | None) -> Iterator[Flaw]:
    route = None if right is None else right.model_dump(exclude_none=True)
    if written.get("route") != route:
        yield Flaw("length-differs", "", "the way of its hose is not that of the job")


# --- what was found ------------------------------------------------------------------------------------------------------------

@cache
def _levels() -> dict[str, tuple[str, ...]]:
    """The findings that a hose, its way and its parts may have, with their levels: those that the job alone does not tell."""
    return {row["code"]: tuple(row["levels"].split()) for row in table("line-findings")}


def _told(of: Saved) -> tuple[Any, ...]:
    sources = of.get("sources")
    return of.get("code"), of.get("level"), _words(of.get("code"), of.get("text")), tuple(sources) if isinstance(sources, list) else ()


def _words(code: object, text: object) -> object:
    """The words of a finding; of one that adds up drops, which are saved to a thousandth, without its figures."""
    return re.sub(r"\d[\d.]*", "#", text) if code == "cold-way" and isinstance(text, str) else text


def _finding_flaws(written: Saved, demanded: Iterable[Finding], may: list[Finding]) -> Iterator[Flaw]:
    """What the job demands to be told of a line must be told in these words; whatever else is told must be a finding of ours."""
    there = tables_in(written.get("findings"))
    rightly = [_of(each) for each in demanded]
    # what is held back is saved to a thousandth, and may be told as a psi more or less
    loose = {(RECKONED, "warn")} if _reckoned(written) else set()
    left_out = {"component-rating-assumed"} if _reckoned(written) else set()
    yield from _missing(there, [each for each in rightly if each[:2] not in loose and each[0] not in left_out])
    known = {*rightly, *map(_of, may)}
    for each in there:
        code, level, *_ = _told(each)
        ours = (code, level) in loose & {one[:2] for one in known} or (level in _levels().get(str(code), ()) and _rests(each))
        if _told(each) not in known and not ours:
            yield _strange(each)


def _of(each: Finding) -> tuple[Any, ...]:
    return each.code, each.level, _words(each.code, each.text), tuple(each.sources)


def _rests(each: Saved) -> bool:
    """Whether a finding says something, and rests on documents of the register."""
    text, sources = each.get("text"), each.get("sources")
    if not isinstance(text, str) or not text.strip() or not isinstance(sources, list):
        return False
    return all(str(source) in register() for source in sources)


def _missing(written: list[Saved], demanded: Iterable[tuple[Any, ...]]) -> Iterator[Flaw]:
    told = [_told(each) for each in written]
    for each in dict.fromkeys(demanded):
        if each not in told:
            yield Flaw("finding-missing", "", f"{each[0]} ({each[1]}) is not told in our words: {each[2]}")


def _exactly(written: object, right: Iterable[Finding]) -> Iterator[Flaw]:
    """These findings and no others."""
    there, demanded = tables_in(written), [_of(each) for each in right]
    yield from _missing(there, demanded)
    for each in there:
        if _told(each) not in demanded:
            yield _strange(each)


def _strange(of: Saved) -> Flaw:
    told = f"{of.get('code')} ({of.get('level')})"
    return Flaw("finding-strange", "", f"{told} is told and was not found: {of.get('text') or 'it says nothing'}")


def _dropped(line: Saved) -> Dropped:
    drop = line.get("drop_psi")
    return Dropped(str(line.get("name")), str(line["to"]["port"]), number(drop.get("cold")) if isinstance(drop, dict) else None,
                   tuple(_dropped(leg) for leg in tables_in(line.get("branches"))))


# --- the job as a whole ----------------------------------------------------------------------------------------------------------

def _reach(asked: list[Asked]) -> Iterator[Reach]:
    for place, each in enumerate(asked):
        for line, demand in zip(every_line([each.written]), (each.whole, *each.legs), strict=False):
            yield Reach(place, str(line.get("name")), demand.max_psi, number(line.get("rating_psi")), str(line.get("weakest") or ""),
                        bool(line.get("refused")), bool(line.get("joints")))


def _whole_flaws(saved: Saved, job: Job, asked: list[Asked]) -> Iterator[Flaw]:
    reach = list(_reach(asked))
    below = any((each.code, each.level) == ("pressure-below-relief", "refuse") for line in asked for each in line.whole.findings)
    right = (*circuit_findings(job), *rubber_findings(job), *margin(job, reach, below), *port_relief(job, reach),
             *cold_ways(job, flows_of(job).circuit, [_dropped(each.written) for each in asked]))
    yield from (flaw._replace(where="circuit") for flaw in _exactly(saved.get("findings"), right))
    cylinders = {each.name: each for each in cylinders_of(job, reach)}
    written = {str(each.get("name")): each for each in tables_in(saved.get("cylinders"))}
    if list(cylinders) != [str(each.get("name")) for each in tables_in(saved.get("cylinders"))]:
        yield Flaw("cylinder-differs", "cylinders", f"the job gives the measures of {', '.join(cylinders) or 'no cylinder'}, the plan "
                   f"tells of {', '.join(written) or 'none'}")
    for name in [each for each in cylinders if each in written]:
        yield from (flaw._replace(where=f"cylinder {name}") for flaw in _cylinder_flaws(written[name], cylinders[name]))


def _cylinder_flaws(written: Saved, right: PlannedCylinder) -> Iterator[Flaw]:
    figures = {"bore_in": right.bore_in, "rod_in": right.rod_in, "stroke_in": right.stroke_in, "phi": right.phi, **right.answer._asdict()}
    for name, value in figures.items():
        if not _as(written.get(name), value):
            yield Flaw("cylinder-differs", "", f"{name} is written as {_figure(written.get(name))}, by the job it is {_figure(value)}")
    yield from _exactly(written.get("findings"), right.findings)


def _figure(value: object) -> str:
    return "none" if (figure := number(value)) is None else f"{figure:.5g}"
