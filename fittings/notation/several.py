"""Two ends in one text, and parts: the ends of one piece with its shape.

What shapes mean for the ends (a cap is female, a bushing is male at its large end) stands in `data/words-shapes.csv`.
"""

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from fittings.ends import End, end
from fittings.notation.errors import NotUnderstood
from fittings.notation.hearing import Heard, hear
from fittings.notation.pieces import Piece, cut
from fittings.notation.reading import Reading, interpret
from fittings.tables import Row, table

BENT = ("90", "45", "tee", "tee-run", "tee-branch", "cross")
"""Shapes whose studs are adjustable: a part that looks sideways must be set to its angle."""


class PartReading(NamedTuple):
    """A part as typed: its `ends` in the order named, its `shape` ("" when none was named), and what was `taken`."""

    ends: tuple[End, ...]
    shape: str
    taken: str


def read_pair(text: str) -> tuple[Reading, Reading]:
    """The two ends of "A to B", "A x B" or "A -> B". Raises BadText.

    >>> [each.end.id for each in read_pair("ORB -6 port to JIC -8 swivel")]
    ['orb-6-port', 'jic-8-swivel']
    """
    typed = text.strip()
    pieces = cut(typed)
    sides = pieces.sides()
    if len(sides) != 2:
        raise NotUnderstood(typed, f"“{typed}” names {len(sides)} end{'' if len(sides) == 1 else 's'}, and two are wanted",
                            "put “to” between two ends, such as “ORB -6 port to JIC -8 swivel”")
    first, second = (interpret(hear(side, pieces.typed_side(side))) for side in sides)
    return first, second


def read_part(text: str) -> PartReading:
    """The ends and the shape of a part. Raises BadText.

    >>> [each.id for each in read_part("90 ORB -6 male x JIC -6 male").ends]
    ['orb-6-stud-adj', 'jic-6-male']
    >>> read_part("1/2 NPT coupling").shape
    'straight'
    """
    typed = text.strip()
    pieces = cut(typed)
    row = _shape_named(pieces.pieces)
    sides = [tuple(piece for piece in side if not piece.is_kind("shape")) for side in pieces.sides()]
    heard = [hear(side, pieces.typed_side(side)) for side in sides if side]
    if not heard:
        raise NotUnderstood(typed, f"“{typed}” names no part", "name both ends, such as “ORB -6 male x JIC -6 male”")
    count = int(row["ends"]) if row else 2
    if len(heard) == 1 and (row is None or row["shape"] in ("90", "45", "elbow", "straight", "reducer", "bushing")):
        raise NotUnderstood(typed, f"“{typed}” names one end, and a part of this kind has two",
                            "name both ends, such as “90 ORB -6 male x JIC -6 male”")
    if len(heard) not in (1, count):
        raise NotUnderstood(typed, f"“{typed}” names {len(heard)} ends, a {row['shape'] if row else 'part'} has {count}",
                            "name each end, with an x between them")
    heard = _lent(heard if len(heard) > 1 else heard * count)
    heard = _sexed(heard, row)
    shape = row["part"] if row else ""
    read = [interpret(each, "part", shape in BENT) for each in heard]
    taken = list(dict.fromkeys(each.taken for each in read if each.taken))
    return PartReading(tuple(_on_a_part(each.end) for each in read), shape, "; ".join(taken))


@cache
def _shapes() -> dict[str, Row]:
    return {row["shape"]: row for row in table("words-shapes")}


def _shape_named(pieces: Sequence[Piece]) -> Row | None:
    named = [piece.word.value for piece in pieces if piece.word and piece.word.kind == "shape"]
    rows = [_shapes()[each] for each in named if each in _shapes()]
    # "90 bulkhead union": the word that says how it bends or how many ends it has tells more than "union".
    return min(rows, key=lambda row: row["part"] == "straight", default=None)


def _lent(heard: list[Heard]) -> list[Heard]:
    """Sides that name only a size take the family of a side that names one: "1/2 x 3/8 NPT bushing"."""
    lender = next((each for each in reversed(heard) if each.groups), None)
    if lender is None:
        return heard
    return [each if each.groups else each._replace(strong=lender.strong, weak=lender.weak) for each in heard]


def _sexed(heard: list[Heard], row: Row | None) -> list[Heard]:
    """What the shape says of the sexes, for sides that do not say it themselves."""
    if row is None or any(each.sexes or each.forms for each in heard):
        return heard
    sexes = row["sexes"].split()
    if not sexes and len(set(heard)) > 1:
        return heard
    sexes = sexes or ["male"]
    if row["order"] == "large first" and len(heard) == 2 and _large(heard[0]) < _large(heard[1]):
        sexes = sexes[::-1]
    sexes = sexes * len(heard) if len(sexes) == 1 else sexes
    return [each._replace(sexes=((sex, sex),)) for each, sex in zip(heard, sexes, strict=False)] or heard


def _large(of: Heard) -> float:
    return max((size.inch_64 or size.number * 4 for size in of.sizes), default=0.0)


def _on_a_part(of: End) -> End:
    """A part never has a hose, only the tail that goes into one."""
    return end(of.family, of.size, "tail") if (of.family, of.form) == ("hose", "bore") else of
