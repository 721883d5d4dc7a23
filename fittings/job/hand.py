"""What is at hand for a job: parts by their number, and hose by type and size."""

from collections.abc import Mapping
from dataclasses import dataclass

from fittings.parts import Part


@dataclass(frozen=True, eq=False)
class Hand:
    """How many of each part, and which hose (type, size), lie on the shelf. One hand is equal to itself only, so that what was
    found for it can be kept without going through the shelf again."""

    parts: Mapping[Part, int]
    hoses: frozenset[tuple[str, str]]


EMPTY = Hand({}, frozenset())
