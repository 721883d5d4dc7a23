"""The joints of a saved plan, each rated and tightened again by the parts that it joins: a stud by the series of its own part."""

from collections.abc import Iterator
from typing import NamedTuple

from fittings.check import Flaw
from fittings.circuit.hose import hose
from fittings.ends import End
from fittings.job.check_job import job_of
from fittings.job.model import Job
from fittings.job.port_metal import left_of, metal_findings, torque_metal_at
from fittings.job.saved_plan import Saved, asked_psi, done_lines, end_written, number, tables_in, written_as
from fittings.mating import Tightening, rated_as, tightening_of_part
from fittings.ratings import Rating, Torque, Turn, rated_by_hose, rating, series_among

SAME_FIGURE = 1e-6
"""Figures of the tables are saved whole."""


class Side(NamedTuple):
    """One side of a joint: the end, and the series of the part that it belongs to (`L`, `S`, '' for a port, and where it does not tell)."""

    end: End
    series: str

    @property
    def rating(self) -> Rating | None:
        return rating(self.end, self.series)


class Met(NamedTuple):
    """Two sides that meet in a joint, and the port of a component that one of them is ('' for neither)."""

    a: Side
    b: Side
    port: str = ""

    def rating(self, job: Job | None) -> Rating | None:
        """What it carries: its weaker end, and what one end stands for; less where the body round its port leaves less. None where our
        tables hold none."""
        stands_for = rated_as(self.a.end, self.b.end)
        rated = [self.a.rating, self.b.rating, *([rating(stands_for)] if stands_for else [])]
        known = [each for each in rated if each is not None]
        weaker = min(known, key=lambda each: each.psi) if len(known) == len(rated) else None
        return weaker if job is None or not self.port else left_of(job, self.port, weaker)

    def tightening(self, job: Job | None) -> Tightening:
        """What it takes to tighten it: by the series of its stud, in the metal round its port."""
        series = self.a.series if self.a.end.side == "external" else self.b.series
        metal = torque_metal_at(job, self.port) if job is not None and self.port else "steel"
        return tightening_of_part(self.a.end, self.b.end, series, metal)


def joint_flaws(saved: Saved) -> Iterator[Flaw]:
    """Every joint of the lines that can be done, and every step that makes one, against the parts beside it. Raises LookupError,
    TypeError, ValueError for what cannot be read."""
    steps, job = tables_in(saved.get("steps")), job_of(saved)
    for line in done_lines(saved):
        where = f"line {line.get('name')}"
        written = tables_in(line.get("joints"))
        met = list(_met(line))
        for joint, each in zip(written, met, strict=False):
            yield from (flaw._replace(where=where) for flaw in _joint(joint, each, job))
        for look in (_line_rating, _metal_flaws):
            yield from (flaw._replace(where=where) for flaw in look(line, met, job))
        yield from _steps(where, written, [each for each in steps if each.get("line") == line.get("name")])


# --- which part each end belongs to ------------------------------------------------------------------------------------------

def _met(line: Saved) -> Iterator[Met]:
    """The joints of a line in their order: from port to port, the crimps left out, then those between its tees."""
    tees = [[end_written(each) for each in tee["ends"]] for tee in tables_in(line.get("tees"))]
    mouth = end_written(line["to"]["end"])
    last = Side(mouth, series_among(tees[0], mouth) if tees and mouth in tees[0] else "")
    free, port = Side(end_written(line["from"]["end"]), ""), _reference(line, "from")
    crimped = line["hose"]["end_parts"] if isinstance(line.get("hose"), dict) else []
    for part in [*line["from_parts"], *crimped, *line["to_parts"]]:
        near, far = (end_written(each) for each in part["ends"])
        if not rated_by_hose(near):
            yield Met(free, Side(near, series_among((near, far), near)), port)
            port = ""
        free = Side(far, series_among((near, far), far))
    yield Met(free, last, port or _reference(line, "to"))
    for joint in tables_in(line.get("joints"))[-max(len(tees) - 1, 0):] if len(tees) > 1 else ():
        yield Met(Side(end_written({"id": joint["a"]}), ""), Side(end_written({"id": joint["b"]}), ""))


def _reference(line: Saved, side: str) -> str:
    """The port of a component at a side of a line; '' for a tee."""
    return "" if line[side]["port"] == "tee" else str(line[side]["port"])


# --- what is written of a joint ----------------------------------------------------------------------------------------------

def _joint(written: Saved, met: Met, job: Job | None) -> Iterator[Flaw]:
    a, b = met.a.end, met.b.end
    if (written.get("a"), written.get("b")) != (a.id, b.id):
        return  # told already: the joints are not those that the parts make
    said, most = f"{a.say} with {b.say}", _psi(met, job)
    claimed = written.get("rating_psi")
    if claimed is not None and (most is None or float(claimed) > most + 0.5):
        yield Flaw("rating-too-high", "", f"{said}: {claimed:g} psi is claimed, our tables hold {f'{most:g} psi' if most else 'none'}")
    tight = met.tightening(job)
    yield from _as_tabled(said, "torque", [band_written(each) for each in tight.torque], tables_in(written.get("torque")))
    yield from _as_tabled(said, "turns", [turn_written(each) for each in tight.turns], tables_in(written.get("turns")))
    lacks = written.get("no_torque_for") or ""
    if lacks != tight.no_torque_for:
        yield Flaw("torque-differs", "", f"{said}: “{lacks}” is written as what no torque is held for, it is "
                   f"“{tight.no_torque_for}”")


def band_written(of: Torque) -> Saved:
    """A torque band as a plan writes it."""
    return {"low_nm": of.low_nm, "high_nm": of.high_nm, "school": of.school, "port": of.port, "default": of.default,
            "source": ";".join(of.sources), "confidence": of.confidence, "note": of.note, "says": of.says, "series": of.series,
            "for": of.kind}


def turn_written(of: Turn) -> Saved:
    """How far to turn, as a plan writes it."""
    return {"low": of.low, "high": of.high, "unit": of.unit, "from": of.start, "ceiling_nm": of.ceiling_nm, "school": of.school,
            "source": ";".join(of.sources), "confidence": of.confidence}


def _as_tabled(said: str, name: str, right: list[Saved], written: list[Saved]) -> Iterator[Flaw]:
    """Each band of the tables must be written, the one in use first, and none else."""
    if right and not written:
        yield Flaw("torque-missing", "", f"{said}: our tables have {'a torque' if name == 'torque' else name} for it, the plan none")
        return
    for each in written:
        if not any(same(each, one) for one in right):
            yield Flaw("torque-differs", "", f"{said}: {_told(each)} stands in no table of ours for it")
    for each in right:
        if not any(same(one, each) for one in written):
            yield Flaw("torque-missing", "", f"{said}: {_told(each)} stands in our tables for it, and not in the plan")
    if written and right and any(same(written[0], one) for one in right[1:]) and not same(written[0], right[0]):
        yield Flaw("torque-differs", "", f"{said}: {_told(right[0])} comes first")


def _told(of: Saved) -> str:
    low, high, unit = (of["low_nm"], of["high_nm"], "N·m") if "low_nm" in of else (of.get("low"), of.get("high"), of.get("unit"))
    figures = " to ".join(f"{each:g}" if number(each) is not None else str(each) for each in (low, high))
    return f"{figures} {unit}" + (f" ({of['school']})" if of.get("school") else "")


def same(written: Saved, right: Saved) -> bool:
    """Whether all that we write of a thing is written so. What stands beside it that we do not write is left alone."""
    return all(name in written and written_as(written[name], value, lambda figure: SAME_FIGURE * max(1.0, figure))
               for name, value in right.items())


# --- the line, and the steps -------------------------------------------------------------------------------------------------

def _psi(met: Met, job: Job | None) -> float | None:
    of = met.rating(job)
    return None if of is None else float(of.psi)


def _metal_flaws(line: Saved, met: list[Met], job: Job | None) -> Iterator[Flaw]:
    """A port in a body of another metal that can see more than is left of its joint must be told."""
    told = [(each.get("code"), each.get("level"), each.get("text")) for each in tables_in(line.get("findings"))]
    for each in met if job is not None else ():
        for found in metal_findings(job, each.port, each.rating(job), asked_psi(line)) if each.port and job is not None else ():
            if not any(one[:2] == (found.code, found.level) and each.port in str(one[2]) for one in told):
                yield Flaw("finding-missing", "", f"{found.code} ({found.level}) is not told: {found.text}")


def _line_rating(line: Saved, met: list[Met], job: Job | None) -> Iterator[Flaw]:
    claimed = line.get("rating_psi")
    if claimed is None:
        return
    carries = [_psi(each, job) for each in met]
    for ends in ([end_written(each) for each in tee["ends"]] for tee in tables_in(line.get("tees"))):
        rated = [rating(each, series_among(ends, each)) for each in ends]
        carries += [None if each is None else float(each.psi) for each in rated]
    if isinstance(line.get("hose"), dict):
        carries.append(hose(str(line["hose"]["type"]), str(line["hose"]["size"])).pressure_psi)
    known = [each for each in carries if each is not None]
    most = min(known) if len(known) == len(carries) else 0.0
    if float(claimed) > most + 0.5:
        yield Flaw("rating-too-high", "", f"{claimed:g} psi is claimed, the weakest part carries {most:g} psi")


TOLD_AT_A_STEP = ("verdict", "condition", "seal", "rating_psi", "torque", "turns", "no_torque_for")


def _steps(where: str, joints: list[Saved], steps: list[Saved]) -> Iterator[Flaw]:
    """What stands at a step must be what stands at its joint of the line."""
    for step in steps:
        made = step.get("joint")
        if not isinstance(made, dict):
            continue
        alike = [each for each in joints if {each.get("a"), each.get("b")} == {made.get("a"), made.get("b")}]
        if alike and not any(all(made.get(name) == each.get(name) for name in TOLD_AT_A_STEP) for each in alike):
            yield Flaw("torque-differs", where, f"step {step.get('n')}: what stands there of its joint is not what the line says of it")
