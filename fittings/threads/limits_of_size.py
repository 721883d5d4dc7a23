"""Limits of size of any thread on either side: one question for all six systems."""

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from fittings.threads import american_pipe, metric, unified, whitworth
from fittings.threads.designation import Thread
from fittings.threads.figures import Figure, Sizes, printed
from fittings.units import MM_PER_IN

SIDES = ("external", "internal")
_GRADES: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "UN": unified.GRADES, "M": metric.GRADES, "G": whitworth.GRADES, "NPSM": american_pipe.NPSM_GRADES,
}
_PLANES: Mapping[str, Mapping[str, tuple[str, ...]]] = {"NPT": american_pipe.PLANES, "R": whitworth.PLANES}


class NoSuchLimits(ValueError):
    """A side, class or plane that this thread has not; the text says what there is."""


class Limits(NamedTuple):
    """Limits of size of one thread on one side; diameters in `unit` (`in` or `mm`), None where the standard has none.

    `grade` tolerance class; `plane` where a taper thread has these diameters, None for a parallel one; `source` ids
    of `data/sources.csv` joined with `;`; `confidence` the weakest of the figures; `computed` names of the limits that
    come from the formula and not from a printed table; `figures` the same limits one by one with their own sources.
    """

    thread: Thread
    side: str
    grade: str
    unit: str
    major_max: float | None
    major_min: float | None
    pitch_max: float
    pitch_min: float
    minor_max: float | None
    minor_min: float | None
    source: str
    confidence: str
    computed: tuple[str, ...]
    plane: str | None
    figures: tuple[Figure, ...]

    @property
    def unit_mm(self) -> float:
        """How many mm one unit of these limits is."""
        return MM_PER_IN if self.unit == "in" else 1.0


def grades(thread: Thread, side: str) -> tuple[str, ...]:
    """Tolerance classes of a thread on a side, the usual one first; a single empty text where there is but one.

    >>> from fittings.threads import thread
    >>> grades(thread("9/16-18"), "external")
    ('2A', '1A', '3A')
    """
    return _GRADES[thread.system][side] if thread.system in _GRADES else ("",)


def planes(thread: Thread, side: str) -> tuple[str, ...]:
    """Planes at which limits of a taper thread can be asked, the usual one first; none for a parallel thread.

    >>> from fittings.threads import thread
    >>> planes(thread("1/2-14 NPT"), "external")
    ('small end', 'gauge plane', 'large end')
    """
    return _PLANES[thread.system][side] if thread.system in _PLANES else ()


@cache
def limits(thread: Thread, side: str, grade: str | None = None, plane: str | None = None) -> Limits:
    """Limits of size of `thread` on `side` (`external` or `internal`), diameters in the unit of its standard.

    `grade`: tolerance class; when left out 2A/2B (ASME B1.1, B1.20.1 for NPSM), 6g/6H (ISO 965-1), A (ISO 228-1; B
    is the wider one). `plane`: where on a taper thread (`planes` lists them); when left out the small end of a male
    and the gauge plane of a female. A printed figure wins over the formula, the formula over memory.

    Raises NoSuchLimits for a side, class or plane that the thread has not.

    >>> from fittings.threads import thread
    >>> limits(thread("3/4-16"), "external").pitch_max
    0.7079
    >>> limits(thread("1/2-14 NPT"), "external").plane
    'small end'
    """
    if side not in SIDES:
        raise NoSuchLimits(f"{side!r} is no side of a thread: write external or internal")
    if thread.system == "Rp" and side == "external":
        raise NoSuchLimits(f"{thread.say} is a female thread only: its male is R{thread.key.removeprefix('Rp')}")
    grade = _pick(grade, grades(thread, side), thread, side, "class")
    plane = _pick(plane, planes(thread, side) or ("",), thread, side, "plane")
    figures = _figures(thread, side, grade, plane)
    by_name = {each.name: each for each in figures}
    six = Sizes(*(by_name[name].value if name in by_name else None for name in Sizes._fields))
    assert six.pitch_max is not None and six.pitch_min is not None
    return Limits(
        thread, side, grade, thread.unit, six.major_max, six.major_min, six.pitch_max, six.pitch_min, six.minor_max,
        six.minor_min, ";".join(dict.fromkeys(each.source for each in figures)),
        max(each.confidence for each in figures), tuple(each.name for each in figures if each.computed),
        plane or None, figures,
    )


def _pick(asked: str | None, known: tuple[str, ...], thread: Thread, side: str, what: str) -> str:
    if asked is None:
        return known[0]
    if asked not in known:
        there = ", ".join(known) if known != ("",) else f"no {what} to choose"
        raise NoSuchLimits(f"{asked!r} is no {what} of {thread.say} {side}: there is {there}")
    return asked


def _figures(thread: Thread, side: str, grade: str, plane: str) -> tuple[Figure, ...]:
    match thread.system:
        case "UN":
            return unified.unified_figures(thread, side, grade)
        case "M":
            return metric.metric_figures(thread, side, grade)
        case "NPT":
            return american_pipe.npt_figures(thread, side, plane)
        case "NPSM":
            return american_pipe.npsm_figures(thread, side, grade)
        case "G":
            return whitworth.g_figures(thread, side, grade)
    return whitworth.r_figures(thread, side, plane)


_TABLE = {"UN": "un", "M": "metric", "NPT": "npt", "NPSM": "npt", "G": "g", "R": "r", "Rp": "r"}


def basics(thread: Thread) -> tuple[Figure, ...]:
    """The other figures of a pipe or metric thread, with sources: lengths, planes, truncations, in their own units.

    >>> from fittings.threads import thread
    >>> next(each.value for each in basics(thread("1/2-14 NPT")) if each.name == "l1")
    0.32
    """
    key = thread.key.replace("Rp", "R")
    return printed(_TABLE[thread.system], key)
