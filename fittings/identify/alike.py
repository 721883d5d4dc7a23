"""What no caliper can tell among the ends that are left, said plainly, with what can."""

from collections.abc import Iterable

from fittings.identify.ask import told_by
from fittings.identify.likelihood import nose_share
from fittings.identify.readings import Readings
from fittings.identify.shares import Shares
from fittings.identify.specimen import Diameter, Seen
from fittings.identify.tell import NOSE_SAYS, pitch_says
from fittings.saying import both, either

NOTHING_DOES = "nothing that we know of does, take it along"

WORTH_SAYING = 0.04
"""Share from which an end is worth telling apart from the others."""

SPEAKS = 1.5
"""How many times likelier a nose must be on one end than on another, to speak for it."""

_CAN = {
    "nose": "the nose", "seat_deg": "the angle of the seat", "tube_bore_mm": "the bore that takes the tube",
    "chamfer": "the chamfer", "turns": "whether the nut turns",
    "hole": "whether a hole goes through it", "taper": "a straight edge along the crests",
    "marking": "a marking", "country": "where it was built", "flank_deg": "the flank angle under a profile gauge",
}
_LOOKED_AT = ("nose", "seat_deg", "tube_bore_mm", "chamfer", "turns", "hole", "marking")
_PIPE_AGAINST_PIPE = ("taper", "marking", "country", "flank_deg")


def cannot_tell(readings: Readings, now: Shares) -> tuple[str, ...]:
    """Lines on the ends in question that share a thread or that a caliper cannot part, each with what parts them."""
    tops: list[Seen] = []
    for kind, share in list(now.kinds.items())[:6]:
        if share >= WORTH_SAYING:
            tops.append(next(now.kept[each] for each in now.ends if now.kept[each].kind == kind))
    tops += [of for of, share in now.strangers.items() if share >= WORTH_SAYING]
    threaded = [of for of in tops if of.thread is not None]
    lines = []
    for group in _same_thread(threaded):
        names = _listed(group)
        thread = group[0].thread
        assert thread is not None
        does = _what_can(readings, group, _LOOKED_AT)
        seen = _nose_speaks_for(readings, group)
        if seen and does == NOTHING_DOES:
            does = "look once more, and at what it screws onto"
        lines.append(f"{names} have one thread, {thread.say}: no caliper tells them apart; {seen}{does}")
    lines += _near(readings, _one_of_each_thread(threaded))
    return tuple(lines[:4])


def _nose_speaks_for(readings: Readings, group: list[Seen]) -> str:
    """What the nose says that was looked at already, where it is much likelier on one of the ends than on another."""
    shares = {of: nose_share(readings.nose, of) for of in group} if readings.nose else {}
    for_ = [each for each, share in shares.items() if share * SPEAKS >= max(shares.values())]
    if len(for_) == len(shares):
        return ""
    return f"{NOSE_SAYS[readings.nose or '']}, as read, speaks for {_listed(for_)}, and to be sure "


def _same_thread(tops: Iterable[Seen]) -> list[list[Seen]]:
    groups: dict[tuple[str, str], list[Seen]] = {}
    for of in tops:
        groups.setdefault((_key(of), of.side), []).append(of)
    return [group for group in groups.values() if len(group) > 1]


def _one_of_each_thread(tops: list[Seen]) -> list[Seen]:
    first: dict[tuple[str, str], Seen] = {}
    for of in tops:
        first.setdefault((_key(of), of.side), of)
    return list(first.values())


def _near(readings: Readings, tops: list[Seen]) -> list[str]:
    lines = []
    for place, one in enumerate(tops):
        for other in tops[place + 1:]:
            if one.side != other.side or not (one.thread and other.thread and one.crests and other.crests):
                continue
            if overlap(one.crests, other.crests) < 0.15:
                continue
            apart = abs(one.thread.pitch_mm / other.thread.pitch_mm - 1)
            names = _listed([one, other])
            pitches = f"{pitch_says(one.thread)} and {pitch_says(other.thread)}"
            if apart < 0.01:
                same = pitch_says(one.thread) if one.thread.tpi == other.thread.tpi else pitches
                flanks = "" if one.thread.flank_deg == other.thread.flank_deg else (
                    f" (flanks {one.thread.flank_deg:g}° against {other.thread.flank_deg:g}°)")
                lines.append(
                    f"{names} have the same pitch, {same}, and diameters that overlap{flanks}: no caliper tells them "
                    f"apart for certain; {_what_can(readings, [one, other], _PIPE_AGAINST_PIPE)}"
                )
            elif apart < 0.075:
                lines.append(
                    f"{names}: the diameters overlap, {pitches} are {apart:.1%} apart; only a close look with the "
                    "right leaf of a thread gauge tells"
                )
    return lines


def overlap(one: Diameter, other: Diameter) -> float:
    """Part of the readings of two diameters that could be either, 0 to 1, by a perfect caliper."""
    low, high = min(one.span_mm[0], other.span_mm[0]), max(one.span_mm[1], other.span_mm[1])
    steps = 200
    width = (high - low) / steps
    return (
        sum(
            min(_exact(low + (step + 0.5) * width, one), _exact(low + (step + 0.5) * width, other))
            for step in range(steps)
        )
        * width
    )


def _exact(at_mm: float, of: Diameter) -> float:
    span = max(of.high_mm - of.low_mm, 0.02)
    return sum(share for move, share in of.moves if of.low_mm + move <= at_mm <= of.low_mm + move + span) / span


def _what_can(readings: Readings, group: list[Seen], names: tuple[str, ...]) -> str:
    told = told_by(readings, tuple(group), names)
    best = [name for name, bits in told if bits >= 0.2][:3]
    if not best:
        return NOTHING_DOES
    says = [_CAN[name] for name in best]
    return f"{either(says)} does"


def _key(of: Seen) -> str:
    return of.thread.key if of.thread else ""


def _listed(ends: Iterable[Seen]) -> str:
    return both(each.say for each in ends)
