"""Whether a hexagon that a table prints for one end can be that of the whole part."""

from fittings.ends import End
from fittings.figures import Figure
from fittings.parts import Part
from fittings.threads import thread
from fittings.units import MM_PER_IN

WALL = 1.2
"""Across flats over the thread that is cut into a part, at least (common practice, no source)."""


def flats_of_the_part_mm(printed: Figure, part: Part) -> float | None:
    """Across flats in mm of a hexagon that is printed for one end of a part; None where the part must have a larger one, since a thread
    of it would not pass."""
    flats_mm = float(printed.value) * (MM_PER_IN if printed.unit == "in" else 1)
    return flats_mm if all(_passes(each, flats_mm) for each in part.ends) else None


def _passes(each: End, flats_mm: float) -> bool:
    if not each.thread or each.moves == "turns":
        return True
    return flats_mm >= thread(each.thread).major_mm * (WALL if each.sex == "female" else 1)
