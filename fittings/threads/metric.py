"""Limits of size of ISO metric threads: profile of ISO 68-1 and ISO 724, tolerances of ISO 965-1."""

import itertools
import math
from functools import cache

from fittings.tables import table
from fittings.threads.designation import METRIC_MM, Thread
from fittings.threads.figures import Figure, Sizes, settle

FORMULA = "formula-iso-965-1"
GRADES = {"external": ("6g", "6e", "6h"), "internal": ("6H", "6G")}
"""Tolerance classes by side, the usual one first."""

_RANGES_MM = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45, 90, 180, METRIC_MM[1])
_R40 = (1, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2, 2.12, 2.24, 2.36, 2.5, 2.65, 2.8, 3, 3.15,
        3.35, 3.55, 3.75, 4, 4.25, 4.5, 4.75, 5, 5.3, 5.6, 6, 6.3, 6.7, 7.1, 7.5, 8, 8.5, 9, 9.5, 10)


def _preferred_um(computed_um: float) -> float:
    """Nearest number of the R40 series, which ISO 965-1 rounds its tolerances to."""
    decade = 10.0 ** math.floor(math.log10(computed_um))
    return round(min(_R40, key=lambda each: abs(each - computed_um / decade)) * decade, 6)


@cache
def _printed_um() -> dict[tuple[str, float, str], float]:
    printed: dict[tuple[str, float, str], float] = {}
    for row in table("threads/metric-tolerances"):
        printed.setdefault((row["figure"], float(row["pitch_mm"]), row["diameters_mm"]), float(row["value"]))
    return printed


def _range_mm(major_mm: float) -> tuple[float, float]:
    for low, high in itertools.pairwise(_RANGES_MM):
        if low < major_mm <= high:
            return low, high
    raise ValueError(f"{major_mm:g} mm is outside ISO 965-1, which runs from {METRIC_MM[0]} to {METRIC_MM[1]} mm")


def allowance_um(pitch_mm: float, letter: str) -> float:
    """Fundamental deviation in µm, as a positive number, of `e`, `g`, `G`, `h` or `H`: ISO 965-1.

    `pitch_mm` in mm. Raises KeyError for another letter.

    >>> allowance_um(1.5, "g")
    32.0
    """
    base = {"e": 50, "g": 15, "G": 15, "h": None, "H": None}[letter]
    if base is None:
        return 0.0
    printed = _printed_um().get((f"allowance_{letter.lower()}_um", pitch_mm, ""))
    return printed if printed is not None else float(round(base + 11 * pitch_mm))


def tolerances_um(major_mm: float, pitch_mm: float) -> dict[str, float]:
    """Tolerances of grade 6 in µm: `major` (external), `minor` (internal), `pitch_external`, `pitch_internal`.

    `major_mm` and `pitch_mm` in mm. The formulas of ISO 965-1 rounded to the R40 series; where its table, read in an
    open transcription, says otherwise, the table wins; for the minor tolerance of pitch 0.5 mm and the major one of 4 mm from memory.
    Raises ValueError outside 1 to 355 mm.

    >>> tolerances_um(22, 1.5)["pitch_internal"]
    190.0
    """
    low, high = _range_mm(major_mm)
    pitch_external = 90 * pitch_mm**0.4 * math.sqrt(low * high) ** 0.1
    computed = {
        "major": 180 * pitch_mm ** (2 / 3) - 3.15 / math.sqrt(pitch_mm),
        "minor": 230 * pitch_mm**0.7 if pitch_mm >= 1 else 433 * pitch_mm - 190 * pitch_mm**1.22,
        "pitch_external": pitch_external,
        "pitch_internal": 1.32 * pitch_external,
    }
    names = {"major": "major_tolerance_um", "minor": "minor_tolerance_um",
             "pitch_external": "pitch_tolerance_external_um", "pitch_internal": "pitch_tolerance_internal_um"}
    span = f"{low:g}-{high:g}"
    return {
        key: _printed_um().get((names[key], pitch_mm, span if key.startswith("pitch") else ""), _preferred_um(raw))
        for key, raw in computed.items()
    }


def rule_metric(major_mm: float, pitch_mm: float, grade: str = "6g") -> Sizes:
    """Limits of size in mm by ISO 724 and ISO 965-1, rounded to 0.001 mm.

    `major_mm` and `pitch_mm` in mm; `grade` 6g, 6e, 6h (external), 6H, 6G (internal). The external minor maximum is
    that of the flat root; the internal major diameter has a minimum only.
    Raises KeyError for another class, ValueError outside 1 to 355 mm.

    >>> rule_metric(22, 1.5, "6g").pitch_min
    20.854
    """
    allowance = allowance_um(pitch_mm, grade[1:]) / 1000
    tolerance = {name: um / 1000 for name, um in tolerances_um(major_mm, pitch_mm).items()}
    pitch = round(major_mm - 0.6495190528 * pitch_mm, 3)
    minor = round(major_mm - 1.0825317547 * pitch_mm, 3)
    if grade[1:].islower():
        major_max, pitch_max = major_mm - allowance, pitch - allowance
        return _rounded(Sizes(major_max, major_max - tolerance["major"], pitch_max,
                              pitch_max - tolerance["pitch_external"], minor - allowance, None))
    minor_min, pitch_min = minor + allowance, pitch + allowance
    return _rounded(Sizes(None, major_mm + allowance, pitch_min + tolerance["pitch_internal"], pitch_min,
                          minor_min + tolerance["minor"], minor_min))


def _rounded(sizes: Sizes) -> Sizes:
    return Sizes(*(None if each is None else round(each, 3) for each in sizes))


def metric_figures(thread: Thread, side: str, grade: str) -> tuple[Figure, ...]:
    """Limits of a metric thread in mm, each with its source."""
    rule = rule_metric(thread.major_mm, thread.pitch_mm, grade)
    figures = settle("metric", thread.key, side, grade, "mm", rule, FORMULA)
    unsure = [limit for (of, limit), tolerance in _RESTS_ON.items() if of == side and (tolerance, thread.pitch_mm) in _from_memory()]
    return tuple(each._replace(source="memory", confidence="C") if each.name in unsure and each.source == FORMULA else each
                 for each in figures)


_RESTS_ON = {("external", "major_min"): "major_tolerance_um", ("internal", "minor_max"): "minor_tolerance_um"}
"""The limits that a tolerance of a pitch alone stands behind: where it is from memory, the limit is no surer."""


@cache
def _from_memory() -> frozenset[tuple[str, float]]:
    """Tolerances, by figure and pitch in mm, that are from memory of the table of ISO 965-1."""
    return frozenset((row["figure"], float(row["pitch_mm"])) for row in table("threads/metric-tolerances") if row["confidence"] == "C")
