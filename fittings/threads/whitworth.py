"""Limits of 55° pipe threads: parallel G (ISO 228-1), taper R and Rc with parallel Rp (ISO 7-1)."""

from fittings.threads.designation import TAPER, Thread
from fittings.threads.figures import Figure, Sizes, settle, value
from fittings.units import MM_PER_IN

G_FORMULA = "formula-iso-228-1"
R_FORMULA = "formula-iso-7-1"
GRADES = {"external": ("A", "B"), "internal": ("",)}
"""Classes of G by side: the female has one only."""

PLANES = {"external": ("small end", "gauge plane", "large end"), "internal": ("gauge plane",)}
"""Planes at which a taper R or Rc thread is measured, by side, the one a caliper reaches first."""

_PITCH_TOLERANCE_MM = {28: 0.107, 19: 0.125, 14: 0.142}
_MINOR_TOLERANCE_MM = {28: 0.282, 19: 0.445, 14: 0.541, 11: 0.640}


def rule_whitworth(major_mm: float, tpi: float) -> tuple[float, float]:
    """Basic pitch and minor diameter in mm of a 55° pipe thread: ISO 228-1 clause on basic sizes.

    `major_mm` basic major diameter in mm, `tpi` threads per inch. The thread height 0.640327 P is rounded to 0.001 mm
    first, which reproduces every printed row.

    >>> rule_whitworth(20.955, 14)
    (19.793, 18.631)
    """
    height = round(0.640327 * round(MM_PER_IN / tpi, 3), 3)
    return round(major_mm - height, 3), round(major_mm - 2 * height, 3)


def rule_g(major_mm: float, tpi: float, side: str, grade: str = "A") -> Sizes:
    """Limits of size in mm of a G thread, by the tolerances of ISO 228-1.

    `major_mm` basic major diameter in mm, `tpi` threads per inch, `side` external or internal, `grade` A or B of an
    external thread (B has twice the tolerance on the pitch diameter). Raises KeyError when the count is not 28, 19,
    14 or 11.

    >>> rule_g(20.955, 14, "external", "B").pitch_min
    19.509
    """
    pitch, minor = rule_whitworth(major_mm, tpi)
    tolerance = _PITCH_TOLERANCE_MM[int(tpi)] if tpi != 11 else (0.180 if major_mm < 60 else 0.217)
    if side == "external":
        sizes = Sizes(major_mm, major_mm - 2 * tolerance, pitch, pitch - tolerance * (2 if grade == "B" else 1), minor)
    else:
        sizes = Sizes(None, major_mm, pitch + tolerance, pitch, minor + _MINOR_TOLERANCE_MM[int(tpi)], minor)
    return Sizes(*(None if each is None else round(each, 3) for each in sizes))


def g_figures(thread: Thread, side: str, grade: str) -> tuple[Figure, ...]:
    """Limits of a G thread in mm, each with its source."""
    assert thread.tpi is not None
    return settle("g", thread.key, side, grade, "mm", rule_g(thread.major_mm, thread.tpi, side, grade), G_FORMULA)


def r_shift_mm(thread: Thread, plane: str) -> float:
    """How much larger an R thread is at a plane than at its gauge plane, in mm on diameter. Raises KeyError."""
    row = "R" + thread.key.removeprefix("R")
    gauge = value("r", row, "gauge_length_mm")
    return {"small end": -TAPER * gauge, "gauge plane": 0.0,
            "large end": TAPER * (value("r", row, "useful_length_mm") - gauge)}[plane]


def r_figures(thread: Thread, side: str, plane: str) -> tuple[Figure, ...]:
    """Limits in mm of an R (external), Rc (internal) thread at a plane, or of an Rp thread.

    ISO 7-1 sets the tolerance along the axis, as a shift of the gauge plane; on a fixed plane that is a sixteenth of it
    on diameter. The gauge plane of a female lies half a pitch inside its mouth.
    """
    row = "R" + thread.key.removeprefix("Rp").removeprefix("R")
    if thread.system == "Rp":
        play, shift = value("r", row, "parallel_diameter_tolerance_mm"), 0.0
    else:
        axial = "gauge_length_tolerance_mm" if side == "external" else "internal_plane_tolerance_mm"
        play, shift = TAPER * value("r", row, axial), r_shift_mm(thread, plane)
    major, pitch, minor = (value("r", row, f"gauge_{each}_mm") + shift for each in ("major", "pitch", "minor"))
    if side == "external":
        sizes = Sizes(major + play, major - play, pitch + play, pitch - play, minor + play, minor - play)
    else:
        sizes = Sizes(None, major - play, pitch + play, pitch - play, minor + play, minor - play)
    return tuple(
        Figure(name, round(each, 3), "mm", R_FORMULA, "B")
        for name, each in zip(Sizes._fields, sizes, strict=True) if each is not None
    )
