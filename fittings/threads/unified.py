"""Limits of size of unified inch threads, from the formulas of ASME B1.1.

The formulas are exact, the printed tables are rounded. Of the ways of rounding that were tried on 390 printed cells the
one used here (allowance, every tolerance and the basic diameter each to four places, then added) misses the fewest, 38,
each by 0.0001 in but for a few. It fills gaps; a printed figure always wins.
"""

import math

from fittings.threads.designation import Thread, series
from fittings.threads.figures import Figure, Sizes, settle
from fittings.units import MM_PER_IN

FORMULA = "formula-b1-1"

_PITCH_FACTOR = {"1A": 1.5, "2A": 1.0, "3A": 0.75, "1B": 1.95, "2B": 1.3, "3B": 0.975}
"""Pitch diameter tolerance of a class over that of class 2A: ASME B1.1 clauses 5.8.1(c), 5.8.2(b)."""

GRADES = {"external": ("2A", "1A", "3A"), "internal": ("2B", "1B", "3B")}
"""Classes by side, the usual one first."""


def pitch_tolerance_in(major_in: float, tpi: float, engagement_in: float, grade: str = "2A") -> float:
    """Tolerance of the pitch diameter in inches, unrounded: ASME B1.1 clause 5.8.1(c) times the factor of the class.

    `major_in` basic major diameter in inches, `tpi` threads per inch, `engagement_in` length of engagement in inches.
    Raises KeyError for a class that is not 1A, 2A, 3A, 1B, 2B, 3B.

    >>> round(pitch_tolerance_in(0.5, 20, 0.5), 6)
    0.004287
    """
    basic = 0.0015 * math.cbrt(major_in) + 0.0015 * math.sqrt(engagement_in) + 0.015 / math.cbrt(tpi) ** 2
    return basic * _PITCH_FACTOR[grade]


def minor_tolerance_in(major_in: float, tpi: float, grade: str = "2B") -> float:
    """Tolerance of the internal minor diameter in inches, unrounded: ASME B1.1 clause 5.8.2(c).

    `major_in` basic major diameter in inches, `tpi` threads per inch, class 1B, 2B or 3B.

    >>> round(minor_tolerance_in(0.5, 20), 4)
    0.0115
    """
    pitch = 1 / tpi
    fine = 0.05 * math.cbrt(pitch) ** 2 + 0.03 * pitch / major_in - 0.002
    coarse = 0.25 * pitch - 0.40 * pitch**2
    if grade == "3B":
        least = 0.23 * pitch - 1.5 * pitch**2 if tpi >= 13 else 0.120 * pitch
        return max(min(fine, 0.394 * pitch), least)
    if major_in < 0.250:
        return max(min(fine, 0.394 * pitch), coarse)
    return coarse if tpi >= 4 else 0.15 * pitch


def rule_unified(major_in: float, tpi: float, engagement_in: float, grade: str = "2A") -> Sizes:
    """Limits of size in inches by ASME B1.1 clause 8.3, rounded as the printed tables are.

    `major_in` basic major diameter in inches, `tpi` threads per inch, `engagement_in` length of engagement in inches
    (`engagement_in` of this module gives the standard one), `grade` 1A, 2A, 3A, 1B, 2B or 3B. The external minor
    maximum is that of the flat UN root; the internal major diameter has a minimum only.
    Raises KeyError for another class.

    >>> rule_unified(0.75, 16, 0.75, "2A").pitch_max
    0.7079
    """
    pitch = 1 / tpi
    basic_pitch = round(major_in - 0.64951905 * pitch, 4)
    basic_minor = major_in - 1.08253175 * pitch
    tolerance = round(pitch_tolerance_in(major_in, tpi, engagement_in, grade), 4)
    if grade.endswith("A"):
        allowance = 0.0 if grade == "3A" else round(0.3 * pitch_tolerance_in(major_in, tpi, engagement_in), 4)
        major_tolerance = round((0.09 if grade == "1A" else 0.06) * math.cbrt(pitch) ** 2, 4)
        major_max, pitch_max = major_in - allowance, basic_pitch - allowance
        return _rounded(Sizes(major_max, major_max - major_tolerance, pitch_max, pitch_max - tolerance,
                              basic_minor - allowance, None))
    minor_max = basic_minor + minor_tolerance_in(major_in, tpi, grade)
    if major_in >= 0.138:
        basic_minor = round(basic_minor, 3)
        minor_max = minor_max if grade == "3B" else round(minor_max, 3)
    return _rounded(Sizes(None, major_in, basic_pitch + tolerance, basic_pitch, minor_max, basic_minor))


def _rounded(sizes: Sizes) -> Sizes:
    return Sizes(*(None if each is None else round(each, 4) for each in sizes))


def engagement_in(thread: Thread) -> float:
    """Length of engagement in inches behind the standard tolerances: ASME B1.1 section 5.1.

    One diameter for UNC, UNF and the 4, 6 and 8 thread series; nine pitches for every other. The 1-14 UNS is the one
    that moved: printed with one diameter up to the 2003 edition, with nine pitches in that of 2019.
    """
    assert thread.tpi is not None
    by_diameter = series(thread.key) in ("UNC", "UNF") or (series(thread.key) == "UN" and thread.tpi <= 8)
    return thread.major_mm / MM_PER_IN if by_diameter else 9 / thread.tpi


def unified_figures(thread: Thread, side: str, grade: str) -> tuple[Figure, ...]:
    """Limits of a unified thread in inches, each with its source."""
    assert thread.tpi is not None
    rule = rule_unified(thread.major_mm / MM_PER_IN, thread.tpi, engagement_in(thread), grade)
    return settle("un", thread.key, side, grade, "in", rule, FORMULA)
