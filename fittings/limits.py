"""What a chain must keep to, as it is asked for and as the second opinion holds it against the result."""

from typing import NamedTuple

from fittings.ratings import BAR_PER_PSI

PSI_PER_KG_CM2 = 98066.5 / 1e5 / BAR_PER_PSI

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
        """The working pressure in words, as it was most likely asked for. Empty when none was."""
        return "" if self.psi is None else pressure_asked(self.psi)

    @property
    def pressure_typed(self) -> str:
        """The working pressure as it is typed to ask for just this one; a bare number is psi. Empty when none was."""
        if self.psi is None:
            return ""
        said = self.pressure
        return f"{self.psi:.10g}" if said.endswith(")") else said.removesuffix(" psi").replace(" ", "")


def pressure_asked(psi: float) -> str:
    """A pressure as it was most likely asked for: in whole psi, else in tenths of a bar or whole kg/cm²; what is none of these, such as
    a pressure that was reckoned, in rounded psi and bar.

    >>> pressure_asked(3000.0), pressure_asked(250 * 14.5037737797), pressure_asked(250 * 14.2233433072)
    ('3000 psi', '250 bar', '250 kg/cm2')
    >>> pressure_asked(5345.886527)
    '5346 psi (368.6 bar)'
    """
    whole, bar, kilograms = round(psi), round(psi * BAR_PER_PSI, 1), round(psi / PSI_PER_KG_CM2)
    if abs(psi - whole) < 1e-6:
        return f"{whole} psi"
    if abs(psi * BAR_PER_PSI - bar) < 1e-6:
        return f"{bar:g} bar"
    return f"{kilograms} kg/cm2" if abs(psi / PSI_PER_KG_CM2 - kilograms) < 1e-6 else f"{whole} psi ({bar:g} bar)"
