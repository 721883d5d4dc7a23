"""Limits of American pipe threads: NPT (ASME B1.20.1; NPTF of B1.20.3 has the same pitch line) and NPSM.

A taper thread has one diameter at every depth, so its limits stand at a named plane. The gauge plane is where a male
turned in by hand stops: L1 behind its small end, at the mouth of the female.
"""

import math

from fittings.threads.designation import TAPER, Thread
from fittings.threads.figures import Figure, Sizes, settle, value
from fittings.threads.unified import pitch_tolerance_in
from fittings.units import MM_PER_IN

FORMULA = "formula-b1-20-1"
PLANES = {"external": ("small end", "gauge plane", "large end"), "internal": ("gauge plane", "wrench depth")}
"""Planes at which a taper thread is measured, by side, the one a caliper reaches first."""

NPSM_GRADES = {"external": ("2A",), "internal": ("2B",)}

_SHARP = math.sqrt(3) / 2
_TOLERANCE_TURNS = 1.0
"""Product tolerance of an NPT thread, either way, from the gauge step (ASME B1.20.1, from memory)."""


def rule_npt(pipe_od_in: float, tpi: float, hand_tight_in: float) -> dict[str, float]:
    """Basic dimensions of an NPT thread in inches, by ASME B1.20.1: `e0`, `e1`, `e2`, `e3`, `e5`, `l2` … `l5`, `k0`.

    `pipe_od_in` outside diameter of the pipe in inches, `tpi` threads per inch, `hand_tight_in` the length L1 in
    inches, which has no formula. Pitch diameters e to five places, lengths l to four.

    >>> rule_npt(0.840, 14, 0.320)["e1"]
    0.77843
    """
    pitch = 1 / tpi
    e0 = pipe_od_in - (0.050 * pipe_od_in + 1.1) * pitch
    l2 = (0.80 * pipe_od_in + 6.8) * pitch
    l3 = (3 if pipe_od_in < 2.5 else 2) * pitch
    l5 = l2 - 2 * pitch
    diameters = {"e0": e0, "e1": e0 + TAPER * hand_tight_in, "e2": e0 + TAPER * l2, "e3": e0 - TAPER * l3,
                 "e5": e0 + TAPER * l5}
    lengths = {"l2": l2, "l3": l3, "l4": l2 + 3.47 * pitch, "l5": l5, "vanish": 3.47 * pitch,
               "k0": e0 - 0.8 * pitch}
    return {name: round(each, 5) for name, each in diameters.items()} | {
        name: round(each, 4) for name, each in lengths.items()
    }


_PLANE_FIGURE = {"small end": "e0_in", "gauge plane": "e1_in", "large end": "e2_in", "wrench depth": "e3_in"}


def npt_pitch_in(thread: Thread, plane: str) -> float:
    """Basic pitch diameter of an NPT thread in inches at a plane. Raises KeyError for a plane that it has not.

    The wrench depth is as far past the mouth as a wrench drives the male: there the female fits E0 less its taper.
    """
    return value("npt", thread.key, _PLANE_FIGURE[plane])


def npt_figures(thread: Thread, side: str, plane: str) -> tuple[Figure, ...]:
    """Limits of an NPT thread in inches at a plane, one turn either way on the pitch line, least to most truncation.

    The pitch line is well attested; the tolerance and the least truncation are from memory, so every limit is C.
    """
    assert thread.tpi is not None
    pitch = 1 / thread.tpi
    basic = npt_pitch_in(thread, plane)
    play = TAPER * pitch * _TOLERANCE_TURNS
    least = 2 * value("npt", thread.key, "truncation_min_in")
    most = 2 * value("npt", thread.key, "truncation_max_in")
    sharp = _SHARP * pitch
    external = Sizes(basic + play + sharp - least, basic - play + sharp - most, basic + play, basic - play)
    internal = Sizes(None, None, basic + play, basic - play, basic + play - sharp + most, basic - play - sharp + least)
    sizes = external if side == "external" else internal
    return tuple(
        Figure(name, round(each, 4), "in", FORMULA, "C")
        for name, each in zip(Sizes._fields, sizes, strict=True) if each is not None
    )


def rule_npsm(pipe_od_in: float, tpi: float, gauge_pitch_in: float, grade: str = "2A") -> Sizes:
    """Pitch diameter limits of an NPSM thread in inches: ASME B1.20.1 table 6, tolerances as unified with nine pitches.

    `pipe_od_in` outside diameter of the pipe in inches, `tpi` threads per inch, `gauge_pitch_in` the pitch diameter E1
    of the NPT thread of that size in inches, class 2A or 2B. Major and minor diameters have no such rule: None.
    Rounded once, at the end; within 0.0002 in of every remembered row.

    >>> rule_npsm(0.405, 27, 0.37360, "2A").pitch_max
    0.3725
    """
    tolerance = pitch_tolerance_in(pipe_od_in, tpi, 9 / tpi, grade)
    if grade == "2A":
        top = gauge_pitch_in - 0.3 * tolerance
        return Sizes(pitch_max=round(top, 4), pitch_min=round(top - tolerance, 4))
    return Sizes(pitch_max=round(gauge_pitch_in + tolerance, 4), pitch_min=round(gauge_pitch_in, 4))


def npsm_figures(thread: Thread, side: str, grade: str) -> tuple[Figure, ...]:
    """Limits of an NPSM thread in inches, each with its source."""
    assert thread.tpi is not None
    taper_key = thread.key.removesuffix("NPSM") + "NPT"
    rule = rule_npsm(thread.major_mm / MM_PER_IN, thread.tpi, value("npt", taper_key, "e1_in"), grade)
    return settle("npt", thread.key, side, grade, "in", rule, FORMULA)
