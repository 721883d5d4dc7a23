"""The second opinion on a saved plan: everything in it worked out again from what was written, by code that did not plan it.

Reads the JSON of a plan. Chains are judged by `fittings.check`, hoses, velocities and lengths by `fittings.circuit`.
"""

import json
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from fittings.cautions import for_plan
from fittings.check import Flaw, Piece, chain_flaws
from fittings.circuit import BadCircuit
from fittings.circuit.flow import velocity_fps
from fittings.circuit.hose import hose, judge
from fittings.ends import End, UnknownEnd, end, end_by_id
from fittings.job.written import written_flaws
from fittings.limits import Limits
from fittings.parts import find
from fittings.ratings import best_rating, rated_by_hose, rating, series_among

Saved = dict[str, Any]

LARGEST_BYTES = 20_000_000
MOST_LINES = 5_000


class BadPlan(ValueError):
    """A file is not a saved plan, or something in it cannot be read; the text says where and what."""


class _Own(Exception):
    """Something is missing in one line of a plan; told as a flaw of that line."""


def read_plan_file(path: str) -> Saved:
    """A saved plan. Raises BadPlan, and OSError when the file cannot be read."""
    with Path(path).open("rb") as file:
        content = file.read(LARGEST_BYTES + 1)  # never all of it: a device never ends
    if len(content) > LARGEST_BYTES:
        raise BadPlan(f"more than {LARGEST_BYTES} bytes is too long for a saved plan")
    try:
        saved = json.loads(content.decode("utf-8-sig"), parse_constant=_no_number)
    except (ValueError, RecursionError) as error:  # ValueError: no UTF-8, no JSON, or a number of thousands of digits
        raise BadPlan(f"not a saved plan: {error}; it is what fittings plan FILE --json prints") from None
    if not isinstance(saved, dict) or not isinstance(saved.get("lines"), list):
        raise BadPlan("not a saved plan: it has no list of lines; it is what fittings plan FILE --json prints")
    if next(islice(_every(saved["lines"]), MOST_LINES, None), None) is not None:
        raise BadPlan(f"more than {MOST_LINES} lines is too long for a saved plan")
    return saved


def _no_number(constant: str) -> None:
    raise ValueError(f"{constant} is no number that a plan can hold")


def plan_flaws(saved: Saved) -> list[Flaw]:
    """Everything wrong with a saved plan; an empty list when it stands. Lines that were refused have nothing to check.

    Pressures in psi as written. Raises nothing: what cannot be read is a flaw.

    >>> [flaw.code for flaw in plan_flaws({"lines": [{"name": "raise"}], "cautions": []})]
    ['system-missing', 'line-unreadable', 'cautions-missing']
    """
    flaws: list[Flaw] = list(_whole_flaws(saved))
    for line in _every(saved.get("lines")):
        name = str(line.get("name", "?"))
        if line.get("refused"):
            continue
        try:
            flaws += [flaw._replace(where=f"line {name}, {flaw.where}") for flaw in _line_flaws(saved, line)]
        except (LookupError, TypeError, ValueError, ArithmeticError, AttributeError, UnknownEnd, BadCircuit, _Own) as error:
            flaws.append(Flaw("line-unreadable", f"line {name}", f"cannot be checked: {_told(error)}"))
    flaws += written_flaws(saved)
    flaws += [*_bill_flaws(saved), *_step_flaws(saved)]
    written = {str(each.get("code")) for each in _dicts(saved.get("cautions"))}
    missing = [each.code for each in for_plan() if each.code not in written]
    if missing:
        flaws.append(Flaw("cautions-missing", "plan", f"cautions are missing: {', '.join(missing)}"))
    return flaws


def _told(error: Exception) -> str:
    if isinstance(error, (TypeError, AttributeError)):
        return "something is written that is no number or no table"
    return f"{error.args[0]} is missing" if isinstance(error, KeyError) and error.args else str(error)


def _dicts(value: Any) -> list[Saved]:
    return [each for each in value if isinstance(each, dict)] if isinstance(value, list) else []


def _every(lines: Any) -> Iterator[Saved]:
    for line in _dicts(lines):
        yield line
        yield from _every(line.get("branches"))


def _end(written: Saved) -> End:
    return end_by_id(str(written["id"]))


def _pieces(parts: list[Saved]) -> list[Piece]:
    return [Piece(_end(each["ends"][0]), _end(each["ends"][1]), str(each["shape"])) for each in parts]


def _line_flaws(saved: Saved, line: Saved) -> Iterator[Flaw]:
    yield from _pressure_flaws(saved, line)
    yield from _tee_flaws(line)
    start, finish = _end(line["from"]["end"]), _end(line["to"]["end"])
    before, behind = _pieces(line["from_parts"]), _pieces(line["to_parts"])
    if line["hose"] is None:
        if not line.get("tees"):
            raise _Own("it has no hose, no tee, and was not refused")
        yield from chain_flaws(start, finish, before, _asked(saved, line, 0))
        return
    crimped = _pieces(line["hose"]["end_parts"])
    bore = end("hose", str(line["hose"]["size"]), "bore")
    # the limits were given for adapters, the hose end is not one
    yield from _unless_owned(line, chain_flaws(start, bore, [*before, crimped[0]], _asked(saved, line, 1)))
    yield from _unless_owned(line, chain_flaws(bore, finish, [crimped[1], *behind], _asked(saved, line, 1)))
    yield from _hose_flaws(saved, line)
    yield from _turning_flaws(start, finish, before, behind, crimped)
    yield from _rating_flaws(line, start, finish, [*before, *crimped, *behind])
    yield from _joint_flaws(line, start, finish, before, behind, crimped)


def _asked(saved: Saved, line: Saved, hose_ends: int) -> Limits:
    limits = saved.get("limits") or {}
    most = limits.get("max_parts")
    return Limits(float(line["max_psi"]) or None, tuple(limits.get("avoid") or ()), None if most is None else int(most) + hose_ends)


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
    if not _dicts(saved.get("lines")):
        yield Flaw("lines-missing", "plan", "no line is written")
    if not isinstance(saved.get("shelf"), dict) and any(each.get("from_stock") for each in _dicts(saved.get("bill"))):
        yield Flaw("shelf-missing", "bill", "parts are to be taken from a shelf, and no shelf is written")


def _leg_flaws(line: Saved) -> Iterator[Flaw]:
    for leg in _dicts(line.get("branches")):
        if float(leg["max_psi"]) < float(line["max_psi"]):
            yield Flaw("pressure-too-low", "pressure", f"the leg {leg.get('name')} is planned for {float(leg['max_psi']):g} psi, its line "
                       f"for {float(line['max_psi']):g} psi")


def _pressure_flaws(saved: Saved, line: Saved) -> Iterator[Flaw]:
    yield from _leg_flaws(line)
    relief = (saved.get("system") or {}).get("relief_psi")
    told = {each.get("code") for each in line.get("findings", [])}
    if relief is not None and line["kind"] in ("pressure", "work") and float(line["max_psi"]) < float(relief) and (
            "pressure-below-relief" not in told and line["from"]["port"] != "tee"):
        yield Flaw("pressure-too-low", "pressure", f"planned for {line['max_psi']:g} psi, the relief is set to {relief:g} psi")


def _tee_flaws(line: Saved) -> Iterator[Flaw]:
    if line.get("branches") and not line.get("tees"):
        yield Flaw("tee-missing", "tee", "the line splits, and no tee is written where it does")
    for tee in line.get("tees", []):
        ends = tuple(_end(each) for each in tee["ends"])
        if not find(ends, str(tee["shape"])):
            yield Flaw("part-not-made", "tee", f"{tee['say']}: our tables do not hold it; ask at the counter")
        for each in ends:
            rated = rating(each, series_among(ends, each))
            if rated is not None and rated.exact_psi < float(line["max_psi"]):
                yield Flaw("rating-below", "tee", f"{each.say} is rated {rated.psi} psi, below {line['max_psi']:g} psi")


def _hose_flaws(saved: Saved, line: Saved) -> Iterator[Flaw]:
    written = line["hose"]
    each = hose(str(written["type"]), str(written["size"]))
    system = saved.get("system") or {}
    for finding in judge(each, float(line["max_psi"]), float(line["flow_gpm"]), line["kind"], system.get("hot_c"),
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


def _rating_flaws(line: Saved, start: End, finish: End, pieces: list[Piece]) -> Iterator[Flaw]:
    claimed = line.get("rating_psi")
    if claimed is None:
        return
    lowest = [hose(str(line["hose"]["type"]), str(line["hose"]["size"])).pressure_psi]
    for each in (start, finish):
        rated = rating(each)
        lowest.append(float(rated.psi) if rated is not None else 0.0)
    for piece in pieces:
        for each in (piece.near, piece.far):
            if not rated_by_hose(each):
                # the highest that any series of the end is rated: more than that cannot be claimed
                rated = best_rating(each)
                lowest.append(float(rated.psi) if rated is not None else 0.0)
    if float(claimed) > min(lowest) + 0.5:
        yield Flaw("rating-too-high", "rating", f"{claimed:g} psi is claimed, the weakest part carries {min(lowest):g} psi")


def _joint_flaws(line: Saved, start: End, finish: End, before: list[Piece], behind: list[Piece], crimped: list[Piece]
                 ) -> Iterator[Flaw]:
    lefts = [start, *(piece.far for piece in before), crimped[1].far, *(piece.far for piece in behind)]
    rights = [*(piece.near for piece in before), crimped[0].near, *(piece.near for piece in behind), finish]
    made = [[a.id, b.id] for a, b in zip(lefts, rights, strict=True)]
    written = [[each["a"], each["b"]] for each in line["joints"]][: len(made)]
    if written != made:
        yield Flaw("joints-differ", "joints", "the joints written are not those that the parts make")


def _bill_flaws(saved: Saved) -> Iterator[Flaw]:
    """Every part and hose of every line must be on the bill as often as it is used, no more and no less."""
    needed: dict[str, int] = {}
    whole = [line for line in _dicts(saved.get("lines")) if not any(each.get("refused") for each in _every([line]))]
    for line in _every(whole):
        parts = [str(part.get("say")) for name in ("from_parts", "to_parts", "tees") for part in _dicts(line.get(name))]
        if isinstance(line.get("hose"), dict):
            parts.append(f"hose {line['hose'].get('type')} {line['hose'].get('size')}")
        for say in parts:
            needed[say] = needed.get(say, 0) + 1
    there: dict[str, float] = {}
    for item in _dicts(saved.get("bill")):
        if isinstance(item.get("qty"), (int, float)) and item.get("sort") in ("hose", "adapter", "tee"):
            # the words of a hose go on with its length, in the units of the job
            say = str(item.get("say")).partition(",")[0] if item["sort"] == "hose" else str(item.get("say"))
            there[say] = there.get(say, 0) + item["qty"]
    for say in dict.fromkeys((*needed, *there)):
        count, written = needed.get(say, 0), there.get(say, 0)
        if written < count:
            yield Flaw("bill-short", "bill", f"the lines take {count} of {say}, the bill has {written:g}")
        elif written > count:
            yield Flaw("bill-long", "bill", f"the lines take {count} of {say}, the bill has {written:g}")


def _step_flaws(saved: Saved) -> Iterator[Flaw]:
    """Every joint that is screwed must be a step, and the parts at a port must be in before the hose goes on."""
    joints: dict[str, list[frozenset[str]]] = {}
    for step in _dicts(saved.get("steps")):
        joint = step.get("joint")
        if isinstance(joint, dict):
            joints.setdefault(str(step.get("line")), []).append(frozenset((str(joint.get("a")), str(joint.get("b")))))
    for line in _every(saved.get("lines")):
        if line.get("refused") or any(each.get("refused") for each in _every(line.get("branches"))):
            continue
        made = joints.get(str(line.get("name")), [])
        for joint in _dicts(line.get("joints")):
            ends = frozenset((str(joint.get("a")), str(joint.get("b"))))
            if made.count(ends) < sum(frozenset((str(each.get("a")), str(each.get("b")))) == ends for each in _dicts(line.get("joints"))):
                yield Flaw("step-missing", f"line {line.get('name')}", f"no step makes the joint of {' and '.join(sorted(ends))}")
                break
    numbers = [step.get("n") for step in _dicts(saved.get("steps"))]
    if numbers != list(range(1, len(numbers) + 1)):
        yield Flaw("steps-disordered", "steps", "the steps are not numbered in the order in which they stand")
