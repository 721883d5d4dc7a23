"""Every figure that is known of an end, each with unit, source and confidence, and what other sources print.

The rows stand in `data/figures/`, one file per standard. Of several rows for one figure the first is the one in use;
the rest are shown beside it.
"""

from functools import cache
from typing import NamedTuple

from fittings.ends import End
from fittings.reasons import split_sources
from fittings.tables import Row, names, table


class Also(NamedTuple):
    """The value of another source for the same figure."""

    value: str
    sources: tuple[str, ...]
    confidence: str


class Figure(NamedTuple):
    """One figure: `name` (with its unit as suffix), value as printed, `unit`, sources, confidence A, B or C; others in `also`."""

    name: str
    value: str
    unit: str
    sources: tuple[str, ...]
    confidence: str
    note: str
    also: tuple[Also, ...]


_UNITS = {
    "mm": "mm", "in": "in", "psi": "psi", "mpa": "MPa", "bar": "bar", "deg": "°", "nm": "N·m", "lpm": "L/min",
    "kpa": "kPa", "n": "N", "text": "", "c": "°C", "16ths": "1/16 in", "tpi": "TPI", "turns": "turns", "gpm": "gpm",
}


def unit_of(name: str) -> str:
    """Unit that the suffix of a figure's name stands for, '' for a bare text or count.

    >>> unit_of("spotface_wide_min_mm")
    'mm'
    """
    return _UNITS.get(name.rpartition("_")[2], "")


@cache
def _by_family() -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for name in names():
        if name.startswith("figures/"):
            for row in table(name):
                found.setdefault(row["family"], []).append(row)
    return found


@cache
def figures(of: End) -> tuple[Figure, ...]:
    """All figures of an end, in the order of the tables."""
    rows: dict[str, list[Row]] = {}
    for row in _by_family().get(of.family, ()):
        if row["size"] == of.size and row["form"] in ("", of.form):
            rows.setdefault(row["figure"], []).append(row)
    return tuple(
        Figure(name, first["value"], unit_of(name), split_sources(first["source"]), first["confidence"], first["note"],
               tuple(Also(row["value"], split_sources(row["source"]), row["confidence"]) for row in rest))
        for name, (first, *rest) in rows.items()
    )


def figure(of: End, name: str) -> Figure | None:
    """One figure of an end by name, or None when our tables lack it."""
    return next((each for each in figures(of) if each.name == name), None)
