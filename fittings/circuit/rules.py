"""The rules of thumb and of the standards that circuits and jobs are reckoned by, each with its source.

They stand in `data/hose/rules.csv` and `data/job-rules.csv`, so that a figure can be looked up, doubted and changed without touching
code. No rule stands in both.
"""

from functools import cache

from fittings.reasons import split_sources
from fittings.tables import Row, table


@cache
def _rules() -> dict[str, Row]:
    return {row["rule"]: row for name in ("hose/rules", "job-rules") for row in table(name)}


def rule_value(rule: str) -> float:
    """The figure of a rule, in the unit that its row names. Raises KeyError for no such rule, and for one without a figure.

    >>> rule_value("shortens"), rule_value("drain-share")
    (0.04, 0.1)
    """
    value = _rules()[rule]["value"]
    if not value:
        raise KeyError(rule)
    return float(value)


def says(rule: str) -> str:
    """The words of a rule. Raises KeyError.

    >>> says("plugged-drain")
    'a reducing or sequence valve whose drain is shut no longer works'
    """
    return _rules()[rule]["says"]


def because(*rules: str) -> tuple[str, ...]:
    """Sources of one or several rules, each once, in order. Raises KeyError.

    >>> because("open-centre", "fixed-pump")
    ('power-beyond-page',)
    """
    return tuple(dict.fromkeys(each for rule in rules for each in split_sources(_rules()[rule]["source"])))
