"""The second opinion: a finished chain judged again by code that did not make it.

Nothing here asks how a chain was found. Every joint is judged by `mating`, every part is looked up among those that are
made, every pressure is read from the tables, and the limits are held against the result.
"""

from collections.abc import Sequence
from typing import NamedTuple

from fittings.ends import End, turns_freely
from fittings.limits import Limits
from fittings.mating import condition_says, joint_condition, mate, rated_as
from fittings.parts import find, is_elbow, lacks
from fittings.ratings import Rating, rated_by_hose, rating, strongest_hose, stud_series


class Piece(NamedTuple):
    """One part of a chain as a person would write it down: its two ends in chain order, and its shape."""

    near: End
    far: End
    shape: str


class Flaw(NamedTuple):
    """One thing wrong with a chain: `code`, where it is (`joint 2`, `part 1`, `chain`), and what, in words."""

    code: str
    where: str
    text: str


def chain_flaws(start: End, finish: End, pieces: Sequence[Piece], asked: Limits = Limits()) -> list[Flaw]:
    """Everything wrong with the chain from `start` to `finish` through `pieces`; an empty list when it stands.

    >>> from fittings.ends import end
    >>> [flaw.code for flaw in chain_flaws(end("jic", "-6", "male"), end("orb", "-6", "port"), [])]
    ['joint-unsafe']
    """
    return [*_joint_flaws(start, finish, pieces), *_part_flaws(pieces), *_never_flaws(start, finish, pieces),
            *_limit_flaws(start, finish, pieces, asked)]


def _pairs(start: End, finish: End, pieces: Sequence[Piece]) -> list[tuple[End, End]]:
    lefts = [start, *(piece.far for piece in pieces)]
    rights = [*(piece.near for piece in pieces), finish]
    return list(zip(lefts, rights, strict=True))


def _joint_flaws(start: End, finish: End, pieces: Sequence[Piece]) -> list[Flaw]:
    flaws = []
    for number, (a, b) in enumerate(_pairs(start, finish, pieces), 1):
        verdict = mate(a, b)
        if not verdict.good:
            told = "; ".join(reason.text for reason in verdict.reasons)
            flaws.append(Flaw(f"joint-{verdict.verdict}", f"joint {number}", f"{a.say} with {b.say}: {told}"))
    return flaws


def _never_flaws(start: End, finish: End, pieces: Sequence[Piece]) -> list[Flaw]:
    """Joints that depend on a shoulder or a chamfer that the part on one side never has."""
    flaws = []
    for index, (a, b) in enumerate(_pairs(start, finish, pieces)):
        condition = joint_condition(a, b)
        beside = [*((each, a) for each in pieces[:index][-1:]), *((each, b) for each in pieces[index:index + 1])] if condition else []
        for piece, of in beside:
            if any(condition in lacks(part, of) for part in find((piece.near, piece.far), piece.shape)):
                text = f"{piece.shape} {piece.near.say} x {piece.far.say}: on such a part it is never so that {condition_says(condition)}"
                flaws.append(Flaw("joint-never", f"joint {index + 1}", text))
    return flaws


def _part_flaws(pieces: Sequence[Piece]) -> list[Flaw]:
    flaws = []
    for number, piece in enumerate(pieces, 1):
        if not find((piece.near, piece.far), piece.shape):
            text = f"{piece.shape} {piece.near.say} x {piece.far.say}: our tables do not hold it; ask at the counter"
            flaws.append(Flaw("part-not-made", f"part {number}", text))
    return flaws


def rated_ends(start: End, finish: End, pieces: Sequence[Piece]) -> list[tuple[End, Rating | None]]:
    """Every end of the chain with its rating.

    A stud is rated by the series that the far side of its part calls for, a crimped joint by the strongest hose of its size; an
    end that does another's work in its joint by that one too.
    """
    ends = [(start, ""), (finish, "")]
    for piece in pieces:
        ends += [(piece.near, stud_series(piece.far)), (piece.far, stud_series(piece.near))]
    ends += [(of, "") for a, b in _pairs(start, finish, pieces) if (of := rated_as(a, b)) is not None]
    return [(each, strongest_hose(each) if rated_by_hose(each) else rating(each, series)) for each, series in ends]


def _limit_flaws(start: End, finish: End, pieces: Sequence[Piece], asked: Limits) -> list[Flaw]:
    flaws = []
    if asked.psi is not None:
        for each, rated in rated_ends(start, finish, pieces):
            if rated is None:
                flaws.append(Flaw("rating-unknown", each.say, f"our tables hold no pressure for {each.say}"))
            elif rated.exact_psi < asked.psi:
                text = f"{each.say} is rated {rated.psi} psi, below the {asked.pressure} asked for"
                flaws.append(Flaw("rating-below", each.say, text))
    for number, piece in enumerate(pieces, 1):
        # The halves that meet the two given ends are not a choice.
        chosen = {piece.near.family} if number > 1 else set()
        chosen |= {piece.far.family} if number < len(pieces) else set()
        flaws += [Flaw("family-avoided", f"part {number}", f"{family} was to be avoided")
                  for family in sorted(chosen & set(asked.avoid))]
    if asked.max_parts is not None and len(pieces) > asked.max_parts:
        flaws.append(Flaw("too-many-parts", "chain", f"parts: {len(pieces)}, and no more than {asked.max_parts} allowed"))
    for shape, place in ((asked.shape_from, 0), (asked.shape_to, -1)):
        if shape and (not pieces or pieces[place].shape != shape):
            flaws.append(Flaw("shape-differs", "chain", f"the shape asked for at the {'end' if place else 'start'} is {shape}"))
    flaws += _assembly_flaws(start, finish, pieces, asked.fixed)
    if asked.full_bore:
        flaws += _bore_flaws(start, finish, pieces)
    return flaws


def _assembly_flaws(start: End, finish: End, pieces: Sequence[Piece], fixed: bool) -> list[Flaw]:
    pairs = _pairs(start, finish, pieces)
    flaws = []
    if fixed and not any(turns_freely(a, b) for a, b in pairs):
        flaws.append(Flaw("nothing-turns", "chain", "both ends are held and no joint turns freely: it cannot be tightened"))
    flaws += _elbow_flaws(pairs, pieces, fixed)
    bushings = [piece for piece in pieces if piece.shape == "bushing"]
    if len(bushings) > 1:
        flaws.append(Flaw("two-bushings", "chain", "never two bushings in one chain"))
    return flaws


def _elbow_flaws(pairs: Sequence[tuple[End, End]], pieces: Sequence[Piece], fixed: bool) -> list[Flaw]:
    """Elbows that stop where their shoulder or cone stops: nothing on the way to an end that stands still lets them be pointed."""
    firm = [number for number, (a, b) in enumerate(pairs) if {a.moves, b.moves} == {"rigid"}]
    start, finish = pairs[0][0], pairs[-1][1]
    flaws = []
    for number, piece in enumerate(pieces, 1):
        to_start, to_finish = range(number), range(number, len(pairs))
        stuck = [each for each, way in ((start, to_start), (finish, to_finish))
                 if (fixed or each.form == "port") and all(joint in firm for joint in way)]
        if is_elbow(piece.shape) and (stuck or len(firm) == len(pairs)):
            held = " and ".join(dict.fromkeys(each.say for each in stuck)) or "either end"
            text = f"nothing between this elbow and {held} lets its angle be set: it stops where it is tight"
            flaws.append(Flaw("elbow-cannot-be-set", f"part {number}", text))
    return flaws


def _bore_flaws(start: End, finish: End, pieces: Sequence[Piece]) -> list[Flaw]:
    wanted = [each.nominal_16ths for each in (start, finish) if each.nominal_16ths is not None]
    flaws = []
    for number, piece in enumerate(pieces, 1):
        narrow = [each.nominal_16ths for each in (piece.near, piece.far) if each.nominal_16ths is not None]
        if wanted and narrow and min(narrow) < min(wanted):
            text = f"nominal {min(narrow):g}/16 in between ends of {min(wanted):g}/16 in"
            flaws.append(Flaw("bore-narrower", f"part {number}", text))
    return flaws
