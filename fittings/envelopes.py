"""Lengths and hexagons of parts, for room at a port and for the spanner.

The tables give them for parts of two makers and a few others, to a tenth of a millimetre; another maker's part of the
same ends may be 6 mm longer where the stud is the smaller end (`data/parts/envelopes.csv`).
"""

from functools import cache
from typing import NamedTuple

from fittings.parts import Part
from fittings.tables import Row, table


class Envelope(NamedTuple):
    """Outside measures of a part in mm; None where the source has none.

    `overall_length_mm` end to end of a straight part, with the tail of a hose end; `leg_a_mm`, `leg_b_mm` of an elbow
    or tee: centre line to the face of its first and last end; `thread_a_mm`, `thread_b_mm` of a straight part: what
    stands beyond the hexagon at the first and last end; `cutoff_mm` of a hose end: what stands beyond the hose;
    `drop_mm` of a bent hose end: how far its end lies off the hose's axis; `body_hex_mm`, `nut_hex_mm` across flats,
    the nut being the swivel nut or locknut. `version` is empty, or `long drop`.
    """

    overall_length_mm: float | None
    leg_a_mm: float | None
    leg_b_mm: float | None
    thread_a_mm: float | None
    thread_b_mm: float | None
    cutoff_mm: float | None
    drop_mm: float | None
    body_hex_mm: float | None
    nut_hex_mm: float | None
    version: str
    source: str
    confidence: str


_FIGURES = Envelope._fields[:-3]


@cache
def envelopes(part: Part) -> tuple[Envelope, ...]:
    """All that the sources say of a part's measures in mm, the one in use first; empty when they say nothing.

    Rests on `data/parts/envelopes.csv`.

    >>> from fittings.ends import end
    >>> from fittings.parts import find
    >>> (union,) = find((end("orb", "-8", "stud"), end("jic", "-8", "male")), "straight")
    >>> envelopes(union)[0].overall_length_mm
    37.6
    """
    first, last = part.ends[0], part.ends[-1]
    ends = [f"{first.family} {first.form}", first.size]
    ends += [f"{last.family} {last.form}", last.size] if len(part.ends) > 1 else ["", ""]
    return tuple(_envelope(row) for row in _rows().get((part.shape, *ends), ()))


def envelope(part: Part) -> Envelope | None:
    """The measures in use, in mm, of the ordinary version of a part; None when no source gives any.

    >>> from fittings.ends import end
    >>> from fittings.parts import find
    >>> (elbow,) = find((end("orb", "-8", "stud-adj"), end("jic", "-8", "male")), "90")
    >>> found = envelope(elbow)
    >>> (found.leg_a_mm, found.leg_b_mm) if found else None
    (36.8, 31.8)
    """
    return next((each for each in envelopes(part) if not each.version), None)


@cache
def _rows() -> dict[tuple[str, ...], list[Row]]:
    found: dict[tuple[str, ...], list[Row]] = {}
    for row in table("parts/envelopes"):
        key = row["shape"], row["end_a"], row["size_a"], row["end_b"], row["size_b"]
        found.setdefault(key, []).append(row)
    return found


def _envelope(row: Row) -> Envelope:
    figures = (float(row[name]) if row[name] else None for name in _FIGURES)
    return Envelope._make([*figures, row["version"], row["source"], row["confidence"]])
