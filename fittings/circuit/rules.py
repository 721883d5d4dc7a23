"""The rules of thumb and of the standards that the circuit arithmetic goes by, each with its source.

They stand in `data/hose/rules.csv`, so that a figure can be looked up, doubted and changed without touching code.
"""

from functools import cache
from typing import NamedTuple

from fittings.tables import table


class Rule(NamedTuple):
    """One rule: its figure (None when it has none), the unit, the words, ids of sources, confidence."""

    value: float | None
    unit: str
    says: str
    sources: tuple[str, ...]
    confidence: str


@cache
def rules() -> dict[str, Rule]:
    """All rules by name."""
    return {
        row["rule"]: Rule(float(row["value"]) if row["value"] else None, row["unit"], row["says"],
                          tuple(row["source"].split(";")), row["confidence"])
        for row in table("hose/rules")
    }


def figure(name: str) -> float:
    """The figure of a rule, in the unit that its row names. Raises KeyError for a rule without one: a fault of ours.

    >>> figure("shortens")
    0.04
    """
    value = rules()[name].value
    if value is None:
        raise KeyError(name)
    return value


def because(*names: str) -> tuple[str, ...]:
    """The sources of one or several rules, each once, in order."""
    found: dict[str, None] = {}
    for name in names:
        found.update(dict.fromkeys(rules()[name].sources))
    return tuple(found)
