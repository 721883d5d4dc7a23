"""The cautions that every plan, sheet and rating carries.

The words stand in `data/cautions.csv`, each with why it is there and what it rests on.
"""

from functools import cache
from typing import NamedTuple

from fittings.reasons import split_sources
from fittings.tables import table

STAGES = ("before", "during", "after")
"""When a caution matters: before work begins, while parts are put together, at the first start and after."""


class Caution(NamedTuple):
    """One caution: `code` that never changes, `stage` of the work, the words, why, sources, confidence A, B or C."""

    code: str
    stage: str
    text: str
    why: str
    sources: tuple[str, ...]
    confidence: str


@cache
def _placed(*places: str) -> tuple[Caution, ...]:
    return tuple(
        Caution(row["code"], row["stage"], row["text"], row["why"], split_sources(row["source"]), row["confidence"])
        for row in table("cautions") if row["place"] in places
    )


def for_plan() -> tuple[Caution, ...]:
    """Every caution a plan must carry, bleeding, first start, tests and recheck included, in the order of the work.

    >>> [each.code for each in for_plan()][:2]
    ['defer', 'injection']
    """
    return tuple(sorted(_placed("plan", "sheet"), key=lambda caution: STAGES.index(caution.stage)))


def elbow_on_taper() -> str:
    """What to mind where an elbow is pointed on its taper thread."""
    return _placed("elbow")[0].text


def short() -> str:
    """The one line that stands beneath every rating and torque.

    >>> short().startswith("Ratings and torques")
    True
    """
    return _placed("short")[0].text
