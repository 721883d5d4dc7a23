"""What an end is taken for, and how to tell the two apart.

Two ends look alike when their threads are the same, or differ by less than a hand with a caliper and a simple pitch
gauge can see.
"""

from functools import cache
from typing import NamedTuple

from fittings.ends import End, all_ends, family
from fittings.figures import figure
from fittings.threads import Thread, thread

NEAR_DIAMETER_MM = 0.5
"""Diameters closer than this are one diameter to a worn thread and a hurried caliper (common practice, no source)."""

NEAR_PITCH = 0.07
"""Pitches closer than this part of each other are taken for equal: 16 TPI and 1.5 mm differ by 6 %."""


class Lookalike(NamedTuple):
    """Another end that this one is taken for, and what tells them apart."""

    end: End
    tell_apart: str


@cache
def _threaded() -> tuple[tuple[End, Thread], ...]:
    return tuple((each, thread(each.thread)) for each in all_ends() if each.thread)


@cache
def lookalikes(of: End) -> tuple[Lookalike, ...]:
    """Ends of another family or size, on the same side, that are taken for this one; the nearest first."""
    if not of.thread:
        return tuple(
            Lookalike(each, _measured_apart(of, each))
            for each in all_ends()
            if each.size == of.size and each.form == of.form and each.family != of.family
            and family(each.family)["kin"] == family(of.family)["kin"]
        )
    ours = thread(of.thread)
    found = []
    for each, theirs in _threaded():
        if each.side != of.side or (each.family, each.size) == (of.family, of.size):
            continue
        across, along = abs(theirs.major_mm - ours.major_mm), abs(theirs.pitch_mm / ours.pitch_mm - 1)
        if across <= NEAR_DIAMETER_MM and along <= NEAR_PITCH:
            found.append((across + 10 * along, each, theirs))
    found.sort(key=lambda near: (near[0], near[1]))
    return tuple(Lookalike(each, _tell_apart(of, ours, each, theirs)) for _, each, theirs in found)


MEASURED = ("head_dia_mm", "bolt_spacing_long_mm", "bolt_spacing_short_mm")
"""Figures by which ends without a thread are told apart with a caliper."""


def _measured_apart(of: End, each: End) -> str:
    """Where the seats are told in the same words, the figures that differ: here, and on the other."""
    told = [] if of.seat == each.seat else [f"{each.seat}, not {of.seat}"]
    for name in MEASURED:
        ours, theirs = figure(of, name), figure(each, name)
        if ours and theirs and ours.value != theirs.value:
            words = name.removesuffix("_mm").replace("_", " ").replace("dia", "diameter")
            told.append(f"{words} {ours.value} mm here, {theirs.value} mm there")
    return "; ".join(told) if len(told) > (of.seat != each.seat) else "; ".join([*told, "measure it against the table"])


def _tell_apart(of: End, ours: Thread, each: End, theirs: Thread) -> str:
    told = []
    across, along = theirs.major_mm - ours.major_mm, abs(theirs.pitch_mm / ours.pitch_mm - 1)
    if ours.key == theirs.key:
        told.append("same thread, no caliper tells them apart")
    else:
        pitches = f"{_pitch(ours)} here, {_pitch(theirs)} there"
        told.append(f"{abs(across):.2f} mm on diameter" + (f"; {pitches} ({along:.1%} apart)" if along > 1e-4 else ""))
        if ours.flank_deg != theirs.flank_deg:
            told.append(f"flanks {ours.flank_deg:g}° against {theirs.flank_deg:g}° under a profile gauge")
        if bool(ours.taper) != bool(theirs.taper):
            told.append("one tapers, the other is straight: lay a straight edge along the crests")
    if of.seat != each.seat:
        told.append(f"look for {of.seat} (this one) or {each.seat}")
    elif each.family == of.family:
        told.append(f"measure the {family(of.family)['size_kind']}: this is {of.size}, that {each.size}")
    elif ours.key == theirs.key:
        told.append("ask for the marking on the part")
    return "; ".join(told)


def _pitch(of: Thread) -> str:
    return f"{of.tpi:g} TPI" if of.tpi else f"{of.pitch_mm:g} mm pitch"
