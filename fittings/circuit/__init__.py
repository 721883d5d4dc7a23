"""The arithmetic of the trade: cylinder, flow, oil, hose, and the run of a hose that moves.

Every module answers with plain figures and with findings: what is worth knowing, worth a second look, or not to be
done.
"""

from collections.abc import Iterable
from typing import Literal, NamedTuple

from fittings.saying import either

Level = Literal["info", "warn", "refuse"]
LEVELS: tuple[Level, ...] = ("refuse", "warn", "info")
"""The gravest first."""
LineKind = Literal["pressure", "return", "suction", "drain", "work"]
LINE_KINDS: tuple[LineKind, ...] = ("pressure", "return", "suction", "drain", "work")


class BadCircuit(ValueError):
    """A figure is impossible (a rod thicker than its bore, a flow of nothing); the text says what would be right."""


class Finding(NamedTuple):
    """One thing found: a `code` that never changes, a `level`, the words, and ids of `data/sources.csv` it rests on."""

    code: str
    level: Level
    text: str
    sources: tuple[str, ...] = ()


def worst(findings: Iterable[Finding]) -> Level | None:
    """The gravest level among findings, None when there are none.

    >>> worst([Finding("a", "info", ""), Finding("b", "warn", "")])
    'warn'
    """
    first = gravest_first(findings)
    return first[0].level if first else None


def gravest_first(findings: Iterable[Finding]) -> list[Finding]:
    """Findings by their level, those of one level in the order they came in."""
    return sorted(findings, key=lambda finding: LEVELS.index(finding.level))


def line_kind(text: str) -> LineKind:
    """A line kind as typed: `pressure`, `return`, `suction`, `drain` or `work`. Raises BadCircuit.

    >>> line_kind(" Return ")
    'return'
    """
    for kind in LINE_KINDS:
        if kind == text.strip().lower():
            return kind
    raise BadCircuit(f"“{text[:40]}” is not a kind of line: write {either(LINE_KINDS)}")


def above_zero(value: float, what: str, unit: str) -> float:
    """`value` when it is above nothing. Raises BadCircuit, naming the figure and its unit."""
    if not value > 0:
        raise BadCircuit(f"{what} of {value:g} {unit} cannot be: it must be above 0")
    return value
