"""Oil: grades, viscosity against temperature, density.

Grades by ISO 3448 (midpoint in cSt at 40 °C, ±10 %), viscosity between and beyond two known points by ASTM D341
(log log (ν + 0.7) is a straight line against log T). Below 0 °C real oils depart from the line: an order of magnitude.
"""

from collections.abc import Iterator
from math import log10
from typing import NamedTuple

from fittings.circuit import BadCircuit, Finding
from fittings.circuit.rules import because, rule_value
from fittings.reasons import split_sources
from fittings.tables import table
from fittings.units import Units, format_temperature

ZERO_C_IN_K = 273.15


class Oil(NamedTuple):
    """One oil: viscosity in cSt at 40 and 100 °C, density in kg/L at 15 °C, where the figures come from; `asked_as` the class of
    DIN 51524 or ISO 6743-4 that it was asked for by."""

    name: str
    cst_40c: float
    cst_100c: float
    density_15c_kg_l: float
    sources: tuple[str, ...]
    confidence: str
    asked_as: str = ""

    @property
    def taken(self) -> str:
        """What the class was taken for, in words, '' when the oil was asked for by its own name."""
        return f"oil {self.asked_as} taken as {self.name}" if self.asked_as else ""


def oils() -> tuple[Oil, ...]:
    """All oils of `data/hose/oil.csv`, thinnest first."""
    return tuple(
        Oil(row["oil"], float(row["cst_40c"]), float(row["cst_100c"]), float(row["density_15c_kg_l"]), split_sources(row["source"]),
            row["confidence"])
        for row in table("hose/oil")
    )


def oil(text: str) -> Oil:
    """The oil meant by `ISO VG 46`, `VG46`, `46`, `AW 46`, `HLP 46` or `tractor fluid`. Raises BadCircuit naming those there are.

    >>> oil("vg46").cst_100c, oil("HLP 46").taken
    (6.8, 'oil HLP 46 taken as ISO VG 46')
    """
    typed = _key(text)
    for row, known in zip(table("hose/oil"), oils(), strict=True):
        if typed in {_key(row["oil"]), *(_key(word) for word in row["words"].split(";"))}:
            return known
        if typed in {_key(word) for word in row["classes"].split(";") if word}:
            return known._replace(asked_as=text.strip())
    raise BadCircuit(f"“{text[:40]}” is not an oil that we have figures for: write {', '.join(each.name for each in oils())}")


def _key(text: str) -> str:
    return "".join(sign for sign in text.lower() if sign.isalnum())


class Walther(NamedTuple):
    """The line of ASTM D341: log10 log10 (ν + 0.7) = a - b · log10 T, ν in cSt, T in kelvin."""

    a: float
    b: float

    def cst(self, kelvin: float) -> float:
        """Viscosity in cSt at a temperature in K; a viscosity beyond 10⁹ cSt is returned as 10⁹ (a solid)."""
        inner = self.a - self.b * log10(kelvin)
        power = 10**inner if inner < 1 else 10.0
        return 10**power - 0.7 if power < 9 else 1e9


def walther(cst_1: float, kelvin_1: float, cst_2: float, kelvin_2: float) -> Walther:
    """The line through two known points (cSt, K).

    Raises BadCircuit when the temperatures are the same or a viscosity is too thin.

    >>> line = walther(32, 313.15, 5.4, 373.15)
    >>> round(line.a, 5), round(line.b, 5), round(line.cst(353.15), 3)
    (9.53082, 3.74658, 8.533)
    """
    if min(cst_1, cst_2) <= 0.3:
        raise BadCircuit("the line of ASTM D341 needs viscosities above 0.3 cSt")
    if kelvin_1 == kelvin_2:
        raise BadCircuit("two different temperatures are needed for a line")
    w1, w2 = (log10(log10(cst + 0.7)) for cst in (cst_1, cst_2))
    b = (w1 - w2) / (log10(kelvin_2) - log10(kelvin_1))
    return Walther(w1 + b * log10(kelvin_1), b)


def viscosity_cst(known: Oil, celsius: float) -> float:
    """Kinematic viscosity, cSt, at a temperature in °C, by ASTM D341 through the points at 40 and 100 °C.

    >>> round(viscosity_cst(oil("ISO VG 46"), 60), 1)
    20.6
    """
    if celsius <= -ZERO_C_IN_K:
        raise BadCircuit(f"{celsius:g} °C is below absolute zero")
    line = walther(known.cst_40c, 40 + ZERO_C_IN_K, known.cst_100c, 100 + ZERO_C_IN_K)
    return line.cst(celsius + ZERO_C_IN_K)


def density_kg_l(known: Oil, celsius: float) -> float:
    """Density in kg/L at a temperature in °C: about 0.065 % less per °C above 15 °C (typical mineral oil).

    >>> round(density_kg_l(oil("ISO VG 46"), 60), 3)
    0.845
    """
    return known.density_15c_kg_l * (1 - rule_value("density-loss") * (celsius - 15))


def findings(known: Oil, cold_c: float, hot_c: float, units: Units = "both") -> tuple[Finding, ...]:
    """What to know of an oil that starts at `cold_c` and works at `hot_c`, both in °C."""
    return tuple(_findings(known, cold_c, hot_c, units))


def _findings(known: Oil, cold_c: float, hot_c: float, units: Units) -> Iterator[Finding]:
    cold, hot = viscosity_cst(known, cold_c), viscosity_cst(known, hot_c)
    cold_said, hot_said = format_temperature(cold_c, units), format_temperature(hot_c, units)
    if known.confidence == "C":
        yield Finding("oil-from-memory", "info", f"the viscosity of {known.name} is from memory", known.sources)
    if cold_c < rule_value("cold-oil"):
        yield Finding("cold-oil-unsure", "info", f"at {cold_said} real oil departs from the line: the cold pressure drop is an order of "
                      "magnitude, not a figure", because("cold-oil"))
    if cold > rule_value("oil-unpumped"):
        yield Finding("oil-stiff-when-cold", "warn", f"{known.name} is about {cold:.0f} cSt at {cold_said}: it will not pump at this cold. "
                      "A short suction line alone takes all that the air presses with, and the pump runs dry: heat the oil before the pump "
                      "turns, or take a thinner grade", because("oil-unpumped"))
    elif cold > rule_value("oil-stiff"):
        yield Finding("oil-stiff-when-cold", "warn", f"{known.name} is about {cold:.0f} cSt at {cold_said}: warm it slowly at idle, or "
                      "take a thinner grade", because("oil-stiff"))
    if hot < rule_value("oil-thin"):
        yield Finding("oil-thin-when-hot", "warn", f"{known.name} is only {hot:.0f} cSt at {hot_said}: pump and seals leak more; cool it "
                      "or take a thicker grade", because("oil-thin"))
