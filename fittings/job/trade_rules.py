"""Rules of thumb that a job is planned by: figures and sources of `data/job-rules.csv`."""

from functools import cache

from fittings.reasons import split_sources
from fittings.tables import Row, table


@cache
def _rules() -> dict[str, Row]:
    return {row["rule"]: row for row in table("job-rules")}


def figure(rule: str) -> float:
    """The figure of a rule, in the unit that its row names. Raises KeyError for no such rule, ValueError for one without a figure.

    >>> figure("drain-share")
    0.1
    """
    return float(_rules()[rule]["value"])


def because(*rules: str) -> tuple[str, ...]:
    """Sources of one or several rules, each once, in order. Raises KeyError.

    >>> because("open-centre", "fixed-pump")
    ('power-beyond-page',)
    """
    return tuple(dict.fromkeys(each for rule in rules for each in split_sources(_rules()[rule]["source"])))
