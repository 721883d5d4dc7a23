"""What a chain must keep to, as it is asked for and as the second opinion holds it against the result."""

from typing import NamedTuple

from fittings.ratings import BAR_PER_PSI

USUAL_MOST = 4
"""Parts that a chain may have when nothing else is asked: a longer stack is a lever that breaks its port."""

MOST_ALLOWED = 5
"""Parts that a chain may be asked to have at most."""


class Limits(NamedTuple):
    """What a chain must keep to. `psi` working pressure in psi, as it was asked for and not rounded; `avoid` family keys (but where
    an end itself is one); `shape_from`, `shape_to` (`straight`, `45`,
    `90`) of the first and last part; `full_bore` no part narrower than the narrower end; `fixed` both ends are held and
    cannot be turned; `max_parts` at most (None: USUAL_MOST)."""

    psi: float | None = None
    avoid: tuple[str, ...] = ()
    max_parts: int | None = None
    shape_from: str | None = None
    shape_to: str | None = None
    full_bore: bool = False
    fixed: bool = False

    @property
    def pressure(self) -> str:
        """The working pressure in words, as it was most likely asked for: in whole psi, else in whole bar. Empty when none was."""
        return "" if self.psi is None else pressure_asked(self.psi)


def pressure_asked(psi: float) -> str:
    """A pressure as it was most likely asked for: in whole psi, else in whole bar.

    >>> pressure_asked(3000.0), pressure_asked(250 * 14.5037737797)
    ('3000 psi', '250 bar')
    """
    whole, bar = round(psi), round(psi * BAR_PER_PSI, 1)
    if abs(psi - whole) > 1e-6 and abs(psi * BAR_PER_PSI - bar) < 1e-6:
        return f"{bar:g} bar"
    return f"{psi:.10g} psi"
