"""What happens when an external thread is offered to an internal one, by arithmetic alone.

The profile of one thread is laid over the other. What is left between the flanks, measured along the axis, is the play.
A difference of pitch eats play with every turn, a taper eats it with every turn, different flank angles eat some at
once. When it is used up the thread binds. This ranks suspicion. It is never permission: that a thread goes in says
nothing of whether it holds or seals.
"""

import math
from functools import cache
from typing import NamedTuple

from fittings.threads.designation import TAPER, Thread
from fittings.threads.figures import value
from fittings.threads.limits_of_size import Limits, grades, limits
from fittings.threads.whitworth import r_shift_mm, rule_whitworth
from fittings.units import MM_PER_IN

SAME_PITCH = 0.002
"""Pitches closer than this part of each other are one pitch: 14 threads per inch against 1.814 mm."""

LOOSE_SHARE = 0.75
"""A male that fills less than this part of the female's thread depth is loose: the usual tap drill leaves 75 % of
thread (common practice, no source)."""

WEAR_MM = 0.02
"""Play that is short by less than this is no sure "will not start": wear and a lead chamfer decide (common practice, no
source). It keeps 1/8 NPT in a 1/8 Rc, which many have started, among the suspects."""


class Fact(NamedTuple):
    """One number behind a meeting: name, value, unit."""

    name: str
    value: float
    unit: str


class Meeting(NamedTuple):
    """The arithmetic of one external thread offered to one internal thread.

    `engages` fully | partly | no; `text` one sentence as a fitter would say it; `clearance_mm` internal less external
    basic pitch diameter where they first touch (negative: too big); `overlap_mm` how far the basic crests reach over
    each other there, on radius (negative: they miss); `turns` made when it binds or tightens on its taper (of the
    loosest pair; on a taper of one pitch, of the basic pair where that starts), 0.0 when it does not start, None when
    nothing stops it; `facts` the numbers behind.
    """

    external: Thread
    internal: Thread
    engages: str
    text: str
    clearance_mm: float
    overlap_mm: float
    turns: float | None
    facts: tuple[Fact, ...]


class _Profile(NamedTuple):
    """One thread where it first touches: diameters in mm, half flank angle in radians."""

    major_mm: float
    pitch_dia_mm: float
    minor_mm: float
    pitch_mm: float
    half_angle: float


def meet(external: Thread, internal: Thread, engagement_mm: float | None = None) -> Meeting:
    """What happens when `external` is offered to `internal`. A ranking of suspicion, never permission.

    Whether it starts is asked at the most permissive corner of tolerance: the smallest male (the widest class) in the
    largest female. Whether it catches at all is asked at the corner where the crests reach furthest: the largest male
    in the smallest female. So a dangerous pair is not called `no`. Sizes in the text and in `clearance_mm` and
    `overlap_mm` are basic ones. `engagement_mm`: how deep the female is threaded, in mm; when left out one diameter
    for a parallel male, the effective thread for a taper one.

    Rests on the profiles of ASME B1.1, ISO 68-1, ISO 228-1 and the tapers of ASME B1.20.1, ISO 7-1: play between the
    flanks is (clearance) × tan(half angle), a pitch difference Δp uses up Δp of it a turn, a taper a sixteenth of the
    advance on diameter.

    Raises ValueError for an engagement that is not above zero, NoSuchLimits for an external Rp.

    >>> from fittings.threads import thread
    >>> meet(thread("9/16-18"), thread("5/8-18")).text
    'drops in without catching: 0.03 mm short of the threads on each side'
    """
    if engagement_mm is not None and not engagement_mm > 0:
        raise ValueError(f"engagement_mm={engagement_mm!r}: must be more than 0 mm, for example 12.0")
    return _meet(external, internal, engagement_mm)


@cache
def _meet(external: Thread, internal: Thread, engagement_mm: float | None) -> Meeting:
    male, female = _basic(external, "external"), _basic(internal, "internal")
    small, large = _loosest(external, "external", male), _loosest(internal, "internal", female)
    reach = engagement_mm or _thread_length_mm(external)

    clearance = female.pitch_dia_mm - male.pitch_dia_mm
    tapers = max(external.taper, internal.taper)
    overlap = (male.major_mm - female.minor_mm) / 2
    # A taper male grows as it goes in, so what drops in at its small end may still catch further back.
    deep_overlap = overlap + external.taper * reach / 2
    furthest_overlap = deep_overlap + _crest_gain_mm(external, internal, male, female)

    pitch_error = abs(male.pitch_mm - female.pitch_mm)
    if pitch_error < SAME_PITCH * female.pitch_mm:
        pitch_error = 0.0
    play = _play_mm(small, large)
    starting_play = play
    if tapers and not pitch_error:
        # On a taper a turn of tolerance is a whole turn more or less, so the basic pair tells the fitter more.
        starting_play = max(_play_mm(male, female), 0.0) or play
    eaten_per_mm = pitch_error / male.pitch_mm + tapers * math.tan(min(male.half_angle, female.half_angle))
    bind_mm = max(starting_play, 0.0) / eaten_per_mm if eaten_per_mm else math.inf
    turns = bind_mm / male.pitch_mm if bind_mm < reach else None

    facts = _facts(external, internal, male, female, clearance, overlap, play, pitch_error, reach)
    if _same(external, internal):
        hand_tight = max(clearance, 0.0) / tapers / male.pitch_mm if tapers else None
        return Meeting(external, internal, "fully", _same_text(external, internal, hand_tight),
                       round(clearance, 4), round(overlap, 4), _round(hand_tight), facts)
    engages, text = _judge(external, internal, clearance, deep_overlap, furthest_overlap, play, turns, pitch_error)
    if engages == "no":
        turns = 0.0
    return Meeting(external, internal, engages, text, round(clearance, 4), round(overlap, 4), _round(turns), facts)


def _round(turns: float | None) -> float | None:
    return None if turns is None else round(turns, 2)


def _basic(thread: Thread, side: str) -> _Profile:
    """Basic profile where the thread first touches: small end of a taper male, mouth of a taper female."""
    if thread.flank_deg == 55.0:
        pitch_dia, minor = rule_whitworth(thread.major_mm, thread.tpi or 0.0)
        shift = r_shift_mm(thread, "small end") if thread.system == "R" and side == "external" else 0.0
        return _Profile(thread.major_mm + shift, pitch_dia + shift, minor + shift, thread.pitch_mm, math.radians(27.5))
    if thread.system in ("NPT", "NPSM"):
        taper_key = thread.key.replace("NPSM", "NPT")
        plane = "e0_in" if thread.system == "NPT" and side == "external" else "e1_in"
        pitch_dia = value("npt", taper_key, plane) * MM_PER_IN
        height = 0.8 * thread.pitch_mm
        return _Profile(pitch_dia + height, pitch_dia, pitch_dia - height, thread.pitch_mm, math.radians(30))
    pitch_dia = thread.major_mm - 0.6495190528 * thread.pitch_mm
    minor = thread.major_mm - 1.0825317547 * thread.pitch_mm
    return _Profile(thread.major_mm, pitch_dia, minor, thread.pitch_mm, math.radians(30))


def _loosest(thread: Thread, side: str, basic: _Profile) -> _Profile:
    """The smallest male, or the largest female, that its standard lets through in its usual classes."""
    if side == "external":
        size = min((limits(thread, side, grade) for grade in _usual(thread, side)), key=lambda each: each.pitch_min)
        pitch_dia, crest = size.pitch_min * size.unit_mm, size.major_min
        return basic._replace(pitch_dia_mm=pitch_dia, major_mm=_mm(size, crest, basic.major_mm))
    size = limits(thread, side)
    # The gauge plane of an Rc thread lies half a pitch inside its mouth (ISO 7-1), where the male arrives first.
    wider = TAPER * thread.pitch_mm / 2 if thread.system == "R" else 0.0
    return basic._replace(pitch_dia_mm=size.pitch_max * size.unit_mm + wider,
                          minor_mm=_mm(size, size.minor_max, basic.minor_mm) + wider)


def _usual(thread: Thread, side: str) -> tuple[str, ...]:
    """Classes a fitting may come in: A and B of a G thread, the first one of any other."""
    return grades(thread, side) if thread.system == "G" else grades(thread, side)[:1]


def _mm(size: Limits, figure: float | None, basic_mm: float) -> float:
    return basic_mm if figure is None else figure * size.unit_mm


def _crest_gain_mm(external: Thread, internal: Thread, male: _Profile, female: _Profile) -> float:
    """How much further than basic the crests can reach over each other, on radius: largest male, smallest female."""
    large, small = limits(external, "external"), limits(internal, "internal")
    return (_mm(large, large.major_max, male.major_mm) - male.major_mm
            + female.minor_mm - _mm(small, small.minor_min, female.minor_mm)) / 2


def _play_mm(male: _Profile, female: _Profile) -> float:
    """Least play along the axis between a ridge of the male and the groove of the female over their common depth.

    On its pitch diameter a ridge is half a pitch wide, and so is a groove; from there both go along their flanks.
    The gap is linear in the radius, so it is least at the female's crest or at the male's.
    """
    def gap(diameter: float) -> float:
        ridge = male.pitch_mm / 2 - (diameter - male.pitch_dia_mm) * math.tan(male.half_angle)
        groove = female.pitch_mm / 2 - (diameter - female.pitch_dia_mm) * math.tan(female.half_angle)
        return groove - ridge

    return min(gap(female.minor_mm), gap(male.major_mm))


def _thread_length_mm(thread: Thread) -> float:
    """Length of thread a male is taken to have when nothing is said of it."""
    if thread.system == "NPT":
        return value("npt", thread.key, "l2_in") * MM_PER_IN
    if thread.system == "R":
        return value("r", thread.key, "useful_length_mm")
    return thread.major_mm


_SAME_PITCH_LINE = {("NPT", "NPSM"), ("R", "G"), ("R", "Rp"), ("G", "Rp")}
"""External and internal system that are cut on one pitch diameter, pitch and flank in every size."""


def _same(external: Thread, internal: Thread) -> bool:
    if external.key == internal.key:
        return True
    if (external.system, internal.system) not in _SAME_PITCH_LINE:
        return False
    return external.tpi == internal.tpi and external.major_mm == internal.major_mm


def _same_text(external: Thread, internal: Thread, hand_tight: float | None) -> str:
    if hand_tight is None:
        return "same thread: runs in fully"
    what = "same thread" if external.key == internal.key else "same pipe thread, taper male in a parallel female"
    return f"{what}: runs in about {_count(hand_tight)} by hand, then tightens on its taper"


def _judge(external: Thread, internal: Thread, clearance: float, deep_overlap: float, furthest_overlap: float,
           play: float, turns: float | None, pitch_error: float) -> tuple[str, str]:
    if furthest_overlap <= 0:
        return "no", f"drops in without catching: {_size(-deep_overlap)} mm short of the threads on each side"
    against = _against(external, internal, pitch_error)
    if play <= -WEAR_MM:
        # Diameter and pitch both cost play; the one that costs more is the one to name.
        if -clearance * math.tan(math.radians(external.flank_deg / 2)) > pitch_error / 2:
            return "no", f"will not start: {_size(-clearance)} mm too big"
        return "no", f"will not start{against}"
    loose = clearance > 0 and deep_overlap < LOOSE_SHARE * _depth_mm(internal)
    strips = f"{_size(clearance)} mm loose"
    if turns is None:
        if loose:
            return "partly", f"runs in {strips}, will strip{_flanks(external, internal)}"
        return "partly", f"runs in, but is not the same thread{against}"
    if pitch_error == 0.0:
        return "partly", f"starts, tightens on its taper after about {_count(turns)}{against}"
    if loose:
        return "partly", f"starts {strips}, binds after about {_count(turns)}{against}, will strip"
    if turns < 1:
        return "partly", f"catches, binds within the first turn{against}"
    return "partly", f"starts, binds after about {_count(turns)}{against}"


def _depth_mm(thread: Thread) -> float:
    basic = _basic(thread, "internal")
    return (basic.major_mm - basic.minor_mm) / 2


def _against(external: Thread, internal: Thread, pitch_error: float) -> str:
    parts = [f"{external.major_mm:.2f} against {internal.major_mm:.2f} mm"]
    if pitch_error:
        apart = 100 * pitch_error / min(external.pitch_mm, internal.pitch_mm)
        parts.append(f"pitch {apart:.{0 if apart >= 10 else 1}f} % apart")
    if external.flank_deg != internal.flank_deg:
        parts.append(f"flanks {external.flank_deg:.0f}° against {internal.flank_deg:.0f}°")
    return f" ({', '.join(parts)})"


def _flanks(external: Thread, internal: Thread) -> str:
    if external.flank_deg == internal.flank_deg:
        return ""
    return f" (flanks {external.flank_deg:.0f}° against {internal.flank_deg:.0f}°)"


def _size(mm: float) -> str:
    return f"{mm:.1f}" if mm >= 0.1 else f"{mm:.2f}"


def _count(turns: float) -> str:
    nearest = round(turns * 2) / 2 if turns < 5 else round(turns)
    if nearest <= 0.5:
        return "half a turn"
    return f"{nearest:g} turn" + ("" if nearest == 1 else "s")


def _facts(external: Thread, internal: Thread, male: _Profile, female: _Profile, clearance: float, overlap: float,
           play: float, pitch_error: float, reach: float) -> tuple[Fact, ...]:
    return (
        Fact("external diameter", round(external.major_mm, 3), "mm"),
        Fact("internal diameter", round(internal.major_mm, 3), "mm"),
        Fact("difference of diameter", round(internal.major_mm - external.major_mm, 3), "mm"),
        Fact("clearance at the pitch diameter, basic", round(clearance, 3), "mm"),
        Fact("overlap of the crests on radius, basic", round(overlap, 3), "mm"),
        Fact("play along the axis, loosest pair", round(play, 3), "mm"),
        Fact("external pitch", round(male.pitch_mm, 4), "mm"),
        Fact("internal pitch", round(female.pitch_mm, 4), "mm"),
        Fact("pitch error a turn", round(pitch_error, 4), "mm"),
        Fact("pitch error, part of the finer pitch", round(pitch_error / min(male.pitch_mm, female.pitch_mm), 4), ""),
        Fact("external flank angle", external.flank_deg, "deg"),
        Fact("internal flank angle", internal.flank_deg, "deg"),
        Fact("external taper on diameter", external.taper, ""),
        Fact("internal taper on diameter", internal.taper, ""),
        Fact("length of thread taken", round(reach, 2), "mm"),
    )
