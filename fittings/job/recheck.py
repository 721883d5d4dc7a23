"""The second opinion on a saved plan: everything in it worked out again from what was written, by code that did not plan it.

Reads the JSON of a plan. Chains are judged by `fittings.check`, hoses, velocities and lengths by `fittings.circuit`.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from fittings.cautions import Caution, for_plan
from fittings.check import Flaw, Piece, chain_flaws
from fittings.circuit import BadCircuit
from fittings.circuit.flow import velocity_fps
from fittings.circuit.hose import hose, judge
from fittings.ends import End, UnknownEnd, end
from fittings.job.check_bill import bill_flaws
from fittings.job.check_figures import line_figure_flaws, whole_figure_flaws
from fittings.job.check_job import job_flaws
from fittings.job.check_joints import joint_flaws, same
from fittings.job.check_steps import step_flaws
from fittings.job.saved_plan import Saved, asked_psi, end_written, every_line, pieces, tables_in
from fittings.job.written import written_flaws
from fittings.limits import Limits
from fittings.parts import find
from fittings.ratings import rating, series_among

HELD = ("joints, seals, ratings and torques; parts and hoses; what each line must carry and hold; velocity, drop and length of each hose; "
        "cylinders; what is warned of; the bill with breathers, plugs and the rubber of rings; the steps, their order and their words; "
        "the cautions")
NOT_HELD = ("as written, and held against nothing: the job itself (ports, routes, room, relief, oil, temperatures, loads, what it says of "
            "flow and pressure); how much a return holds back with cold oil, where it is planned for that; further findings of a hose, "
            "its way and its room, beyond those that must be told, and their words; which joint is called weakest; angles of hose ends; "
            "standards, prices, shelf and other notes on the bill")


LOOKS: tuple[tuple[str, Callable[[Saved], Iterator[Flaw]]], ...] = (
    ("job", job_flaws), ("joints", joint_flaws), ("bill", bill_flaws), ("steps", step_flaws), ("plan", whole_figure_flaws))
"""What is gone through again over the whole plan, with the place that is named where it cannot be read."""


class Opinion(NamedTuple):
    """The second opinion on a plan. `flaws`: what is wrong in it; `refused`: lines that it gives up itself, which are not checked;
    `forbidden`: what it finds unsafe itself; `unproved`: lines that no table rates in every end, and which it does not call refused."""

    flaws: tuple[Flaw, ...]
    refused: tuple[str, ...]
    forbidden: tuple[str, ...]
    unproved: tuple[str, ...]

    @property
    def agrees(self) -> bool:
        """Whether all that was worked out again came out as written."""
        return not self.flaws

    @property
    def stands(self) -> bool:
        """Whether the job can be built as planned, as far as we can tell."""
        return not (self.flaws or self.refused or self.forbidden)


def second_opinion(saved: Saved) -> Opinion:
    """The second opinion on a saved plan. Raises nothing: what cannot be read is a flaw.

    >>> second_opinion({"lines": [{"name": "raise", "refused": {"kind": "impossible"}}], "cautions": []}).refused
    ('raise',)
    """
    lines = list(every_line(saved.get("lines")))
    places = [saved, *lines, *tables_in(saved.get("cylinders"))]
    found = [each for place in places for each in tables_in(place.get("findings"))]
    return Opinion(
        tuple(plan_flaws(saved)),
        tuple(str(line.get("name", "?")) for line in lines if line.get("refused")),
        tuple(dict.fromkeys(str(each.get("text")) for each in found if each.get("level") == "refuse")),
        tuple(str(line.get("name", "?")) for line in lines
              if not line.get("refused") and line.get("joints") and line.get("rating_psi") is None))


class _Own(Exception):
    """Something is missing in one line of a plan; told as a flaw of that line."""


def plan_flaws(saved: Saved) -> list[Flaw]:
    """Everything wrong with a saved plan; an empty list when it stands. Lines that were refused have nothing to check.

    Pressures in psi as written. Raises nothing: what cannot be read is a flaw.

    >>> [flaw.code for flaw in plan_flaws({"lines": [{"name": "raise"}], "cautions": []})]
    ['system-missing', 'line-unreadable', 'job-missing', 'cautions-missing']
    """
    flaws: list[Flaw] = list(_whole_flaws(saved))
    for line in every_line(saved.get("lines")):
        if not line.get("refused"):
            flaws += _read("line-unreadable", f"line {line.get('name', '?')}", _line_flaws, saved, line)
    flaws += written_flaws(saved)
    broken = any(flaw.code in ("line-unreadable", "system-missing") for flaw in flaws)
    for where, look in LOOKS:
        # what cannot be read of a line or the system is told already, and hides the rest
        flaws += [flaw for flaw in _read("cannot-be-read", where, look, saved) if not (broken and flaw.code == "cannot-be-read")]
    flaws += _caution_flaws(saved)
    return list(dict.fromkeys(flaws))


def _caution_flaws(saved: Saved) -> Iterator[Flaw]:
    """The cautions must be those of the tables, word for word: all of them, in their order, none else."""
    right = [caution_written(each) for each in for_plan()]
    written = tables_in(saved.get("cautions"))
    codes, known = [each.get("code") for each in written], [each["code"] for each in right]
    missing = [code for code in known if code not in codes]
    if missing:
        yield Flaw("cautions-missing", "plan", f"cautions are missing: {', '.join(missing)}")
    for each in written:
        if each.get("code") not in known:
            yield Flaw("caution-strange", "plan", f"“{each.get('text')}” is no caution of ours")
        elif not any(same(each, one) for one in right):
            yield Flaw("words-differ", "plan", f"the caution {each['code']} is not in our words")
    if not missing and codes != known and set(codes) == set(known):
        yield Flaw("cautions-disordered", "plan", "the cautions do not stand once each, in the order of the work")


def caution_written(of: Caution) -> Saved:
    """A caution as a plan writes it."""
    return {**of._asdict(), "sources": list(of.sources)}


def _read(code: str, where: str, look: Callable[..., Iterable[Flaw]], *of: Saved) -> Iterator[Flaw]:
    """What one look finds; and where it stops at something that cannot be read, that."""
    inside = f"{where}, " if code == "line-unreadable" else ""
    try:
        for flaw in look(*of):
            yield flaw._replace(where=f"{inside}{flaw.where}")
    except (LookupError, TypeError, ValueError, ArithmeticError, AttributeError, UnknownEnd, BadCircuit, _Own) as error:
        yield Flaw(code, where, f"cannot be checked: {_told(error)}")


def _told(error: Exception) -> str:
    if isinstance(error, (TypeError, AttributeError)):
        return "something is written that is no number or no table"
    return f"{error.args[0]} is missing" if isinstance(error, KeyError) and error.args else str(error)


def _line_flaws(saved: Saved, line: Saved) -> Iterator[Flaw]:
    yield from _tee_flaws(line)
    start, finish = end_written(line["from"]["end"]), end_written(line["to"]["end"])
    before, behind = pieces(line["from_parts"]), pieces(line["to_parts"])
    if line["hose"] is None:
        if not line.get("tees"):
            raise _Own("it has no hose, no tee, and was not refused")
        yield from chain_flaws(start, finish, before, _asked(saved, line, 0))
        yield from _joint_flaws(line, [start, *(piece.far for piece in before)], [*(piece.near for piece in before), finish])
        yield from line_figure_flaws(saved, line)
        return
    crimped = pieces(line["hose"]["end_parts"])
    bore = end("hose", str(line["hose"]["size"]), "bore")
    # the limits were given for adapters, the hose end is not one
    yield from _unless_owned(line, chain_flaws(start, bore, [*before, crimped[0]], _asked(saved, line, 1)))
    yield from _unless_owned(line, chain_flaws(bore, finish, [crimped[1], *behind], _asked(saved, line, 1)))
    yield from _hose_flaws(saved, line)
    yield from _turning_flaws(start, finish, before, behind, crimped)
    yield from _joint_flaws(
        line, [start, *(piece.far for piece in before), crimped[1].far, *(piece.far for piece in behind)],
        [*(piece.near for piece in before), crimped[0].near, *(piece.near for piece in behind), finish])
    yield from line_figure_flaws(saved, line)


def _asked(saved: Saved, line: Saved, hose_ends: int) -> Limits:
    limits = saved.get("limits") or {}
    most = limits.get("max_parts")
    return Limits(asked_psi(line) or None, tuple(limits.get("avoid") or ()), None if most is None else int(most) + hose_ends,
                  full_bore=bool(limits.get("full_bore")))


def _unless_owned(line: Saved, flaws: list[Flaw]) -> Iterator[Flaw]:
    """An end that our tables do not rate is no flaw where the plan says so itself and claims no rating."""
    owned = line.get("rating_psi") is None and any(each.get("code") == "rating-unknown" for each in line.get("findings", []))
    for flaw in flaws:
        if not (flaw.code == "rating-unknown" and owned):
            yield flaw


def _whole_flaws(saved: Saved) -> Iterator[Flaw]:
    """What a plan cannot be without: a relief setting above nothing, and lines."""
    relief = (saved.get("system") or {}).get("relief_psi") if isinstance(saved.get("system"), dict) else None
    if not isinstance(relief, (int, float)) or isinstance(relief, bool) or not relief > 0:
        yield Flaw("system-missing", "plan", "no relief setting is written, and without it no pressure can be judged")
    if not tables_in(saved.get("lines")):
        yield Flaw("lines-missing", "plan", "no line is written")
    if not isinstance(saved.get("shelf"), dict) and any(each.get("from_stock") for each in tables_in(saved.get("bill"))):
        yield Flaw("shelf-missing", "bill", "parts are to be taken from a shelf, and no shelf is written")


def _tee_flaws(line: Saved) -> Iterator[Flaw]:
    if line.get("branches") and not line.get("tees"):
        yield Flaw("tee-missing", "tee", "the line splits, and no tee is written where it does")
    for tee in line.get("tees", []):
        ends = tuple(end_written(each) for each in tee["ends"])
        if not find(ends, str(tee["shape"])):
            yield Flaw("part-not-made", "tee", f"{tee['say']}: our tables do not hold it; ask at the counter")
        for each in ends:
            rated = rating(each, series_among(ends, each))
            if rated is not None and rated.exact_psi < asked_psi(line):
                yield Flaw("rating-below", "tee", f"{each.say} is rated {rated.psi} psi, below {line['max_psi']:g} psi")


def _hose_flaws(saved: Saved, line: Saved) -> Iterator[Flaw]:
    written = line["hose"]
    each = hose(str(written["type"]), str(written["size"]))
    system = saved.get("system") or {}
    for finding in judge(each, asked_psi(line), float(line["flow_gpm"]), line["kind"], system.get("hot_c"),
                         system.get("cold_c")):
        if finding.level == "refuse":
            yield Flaw(finding.code, "hose", finding.text)
    fps = velocity_fps(float(line["flow_gpm"]), each.bore_in)
    if abs(fps - float(line["velocity_fps"])) > 0.01 * fps + 0.01:
        yield Flaw("velocity-differs", "hose", f"{line['velocity_fps']:g} ft/s is written, {fps:.2f} ft/s is right")
    length, route = written.get("length_in"), line.get("route") or {}
    if length is not None and route.get("length_in") is not None:
        least = float(route["length_in"]) / 0.96
        if float(length) - float(written.get("minus_in") or 0) < least - 0.01:
            yield Flaw("hose-too-short", "hose", f"{length:g} in less its tolerance is below the {least:.2f} in that shortening asks for")


def _turning_flaws(start: End, finish: End, before: list[Piece], behind: list[Piece], crimped: list[Piece]) -> Iterator[Flaw]:
    near = [start, *(end_ for piece in before for end_ in (piece.near, piece.far)), crimped[0].near]
    far = [crimped[1].far, *(end_ for piece in behind for end_ in (piece.near, piece.far)), finish]
    if not any(each.moves == "turns" for each in (*near, *far)):
        yield Flaw("hose-cannot-be-tightened", "hose", "neither end of the hose turns: the last one tightened would twist it")


def _joint_flaws(line: Saved, lefts: list[End], rights: list[End]) -> Iterator[Flaw]:
    """The joints written must be those that the parts make, port to port, and then those between its tees."""
    made = [(a.id, b.id) for a, b in zip(lefts, rights, strict=True)]
    written = [(str(each["a"]), str(each["b"])) for each in line["joints"]]
    mouths = [[str(each["id"]) for each in tee["ends"]] for tee in line.get("tees", [])]
    inner = written[len(made):]
    if written[: len(made)] != made or len(inner) != max(len(mouths) - 1, 0) or not all(
            a in one and b in other for (a, b), one, other in zip(inner, mouths, mouths[1:], strict=False)):
        yield Flaw("joints-differ", "joints", "the joints written are not those that the parts make")
