"""The one register of reasons: every verdict and refusal is told in these words.

The words stand in `data/reasons.csv`, keyed by a code that programs can rely on.
"""

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from fittings.tables import table


class Reason(NamedTuple):
    """One fact that speaks for or against something: `code`, `text` for people, `sources` (ids of `data/sources.csv`)."""

    code: str
    text: str
    sources: tuple[str, ...] = ()


@cache
def _register() -> dict[str, str]:
    return {row["code"]: row["says"] for row in table("reasons")}


def reason(code: str, sources: Sequence[str] = (), **words: object) -> Reason:
    """The reason of that code with its blanks filled. Raises KeyError for a code or a blank that is not in the register.

    >>> reason("both-external").text
    'both have an external thread: two males never join'
    """
    return Reason(code, _register()[code].format(**words), tuple(sources))


def split_sources(cell: str) -> tuple[str, ...]:
    """Source ids of a cell, where several are joined with `;`."""
    return tuple(part.strip() for part in cell.split(";") if part.strip())
