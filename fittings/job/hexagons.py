"""Whether a hexagon that a table prints for one end can be that of the whole part."""

from fittings.ends import End
from fittings.threads import thread

WALL = 1.2
"""Across flats over the thread that is cut into a part, at least (common practice, no source)."""


def hexagon_passes(each: End, flats_mm: float) -> bool:
    """Whether a hexagon of so many mm across flats is wide enough for the thread of an end of the same piece."""
    if not each.thread or each.moves == "turns":
        return True
    return flats_mm >= thread(each.thread).major_mm * (WALL if each.sex == "female" else 1)
