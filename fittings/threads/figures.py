"""A figure of a thread with where it comes from, and the choice between a printed figure and a computed one.

A printed figure (confidence A or B) wins over the formula, the formula wins over memory; what was not chosen is kept
beside the figure as `also`, so that a reader sees where sources differ.
"""

from functools import cache
from typing import NamedTuple

from fittings.tables import Row, table


class Sizes(NamedTuple):
    """Six limits of size of one thread on one side, all in one unit; None where the standard sets none."""

    major_max: float | None = None
    major_min: float | None = None
    pitch_max: float | None = None
    pitch_min: float | None = None
    minor_max: float | None = None
    minor_min: float | None = None


class Witness(NamedTuple):
    """What another source says of the same figure, in the figure's own unit."""

    value: float
    source: str
    confidence: str


class Figure(NamedTuple):
    """One figure of a thread: `value` in `unit`, `source` (id of `data/sources.csv`), `confidence` A, B or C."""

    name: str
    value: float
    unit: str
    source: str
    confidence: str
    also: tuple[Witness, ...] = ()

    @property
    def computed(self) -> bool:
        """True when the figure is worked out from the formula of its standard and was not read off a printed table."""
        return self.source.startswith("formula-")


@cache
def _rows(name: str) -> dict[tuple[str, str, str], dict[str, list[Row]]]:
    found: dict[tuple[str, str, str], dict[str, list[Row]]] = {}
    for row in table("threads/" + name):
        found.setdefault((row["thread"], row["side"], row["grade"]), {}).setdefault(row["figure"], []).append(row)
    return found


def keys(name: str) -> tuple[str, ...]:
    """Designations that have a row in `data/threads/<name>.csv`, in the order of the file."""
    return tuple(dict.fromkeys(key for key, _, _ in _rows(name)))


def _witness(row: Row) -> Witness:
    return Witness(float(row["value"]), row["source"], row["confidence"])


def _figure(name: str, unit: str, witnesses: list[Witness]) -> Figure:
    first, *rest = witnesses
    return Figure(name, first.value, unit, first.source, first.confidence, tuple(rest))


def printed(name: str, key: str, side: str = "", grade: str = "") -> tuple[Figure, ...]:
    """Every figure of `data/threads/<name>.csv` for one thread, side and class, as it stands there.

    The unit is the ending of the column name (`_in`, `_mm`, `_turns`) and is taken off the figure's name.
    """
    figures = []
    for figure, rows in _rows(name).get((key, side, grade), {}).items():
        stem, _, unit = figure.rpartition("_")
        figures.append(_figure(stem or figure, unit, [_witness(row) for row in rows]))
    return tuple(figures)


def value(name: str, key: str, figure: str) -> float:
    """One basic figure (no side, no class) of `data/threads/<name>.csv`; the unit is the ending of `figure`.

    Raises KeyError when the table has no such figure.
    """
    return float(_rows(name)[key, "", ""][figure][0]["value"])


def settle(name: str, key: str, side: str, grade: str, unit: str, rule: Sizes, formula: str) -> tuple[Figure, ...]:
    """The six limits of a thread: printed figure first, formula in the gaps, memory last.

    `unit` is `in` or `mm` for both the rows and `rule`; `formula` is the source id of the rule. A computed figure is
    B: its formula is well attested, but nobody printed the number.
    """
    rows = _rows(name).get((key, side, grade), {})
    figures = []
    for limit, computed in zip(Sizes._fields, rule, strict=True):
        witnesses = [_witness(row) for row in rows.get(f"{limit}_{unit}", ())]
        if computed is not None and all(each.value != computed or each.confidence == "C" for each in witnesses):
            witnesses.append(Witness(computed, formula, "B"))
        witnesses.sort(key=lambda each: (each.confidence == "C", each.source == formula))
        if witnesses:
            figures.append(_figure(limit, unit, witnesses))
    return tuple(figures)
