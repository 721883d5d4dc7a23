"""Is there room above a port for what is screwed into it, and for the hose behind it?

Heights come from makers' measures of a part where the tables have them (`data/parts/envelopes.csv`) and are estimates all
the same: another maker's part of the same ends may be 6 mm longer.
"""

from collections.abc import Iterator, Sequence
from functools import cache
from typing import NamedTuple

from fittings.chain import Used
from fittings.circuit import Finding
from fittings.circuit.hose import Hose
from fittings.circuit.lengths import end_length_mm
from fittings.ends import End
from fittings.envelopes import envelope
from fittings.job.trade_rules import because, figure
from fittings.reasons import split_sources
from fittings.saying import counted
from fittings.tables import table
from fittings.units import Units, format_length

OTHER_MAKER_MM = figure("other-maker")


class Height(NamedTuple):
    """Height above the port face in mm, of what in words, and what it rests on."""

    mm: float
    of: str
    sources: tuple[str, ...]


def height_mm(adapters: Sequence[Used], crimped: Used, hose: Hose) -> Height | None:
    """Height above the port face of what is screwed in, mm; `adapters` from the port outward. None when it is not known.

    An elbow ends the count: behind it the hose runs sideways. A straight hose end adds its length and the bend of the
    hose behind it.
    """
    total = 0.0
    sources: list[str] = []
    for used in adapters:
        known = envelope(used.part)
        if known is None:
            return None
        sources += split_sources(known.source)
        if used.part.shape in ("45", "90"):
            leg = known.leg_a_mm if used.near == used.part.ends[0] else known.leg_b_mm
            if leg is None:
                return None
            across = max(known.body_hex_mm or 0.0, known.nut_hex_mm or 0.0, hose.od_known_mm)
            top = total + leg - _hidden(used.near) + across / 2
            return Height(top, used.part.say, tuple(dict.fromkeys(sources)))
        if known.overall_length_mm is None:
            return None
        total += known.overall_length_mm - _hidden(used.near)
    if crimped.part.shape == "straight":
        rigid = end_length_mm(hose)
        top = total + rigid + hose.bend_to_centre_mm + hose.od_known_mm / 2
        return Height(top, "the straight hose end with the bend of the hose behind it",
                      tuple(dict.fromkeys((*sources, "practice"))))
    known = envelope(crimped.part)
    if known is None or known.drop_mm is None:
        return None
    sources += split_sources(known.source)
    return Height(total + known.drop_mm + hose.od_known_mm / 2, crimped.part.say, tuple(dict.fromkeys(sources)))


@cache
def _hidden(near: End) -> float:
    """Length of an end's thread that goes into the other half, mm; 0 where no table has it, which errs to the high side."""
    half = f"{near.family} {near.form.removesuffix('-adj')}"
    for row in table("parts/envelopes"):
        for side in ("a", "b"):
            if (row[f"end_{side}"], row[f"size_{side}"]) == (half, near.size) and row[f"thread_{side}_mm"]:
                return float(row[f"thread_{side}_mm"])
    return 0.0


def _about(mm: float, units: Units) -> str:
    """A height that is an estimate: to the sixteenth of an inch, or whole millimetres."""
    return format_length(round(mm) if units == "metric" else round(mm / 25.4 * 16) / 16 * 25.4, units)


def room_findings(reference: str, room_in: float, height: Height | None, units: Units) -> Iterator[Finding]:
    """What the free height above a port (inches) means for what is planned there."""
    free = format_length(room_in * 25.4, units)
    if height is None:
        yield Finding("room-unknown", "warn", f"{reference} leaves {free}: our tables do not know how high what is planned there stands; "
                      "measure it at the shop before you buy", ("practice",))
    elif height.mm > room_in * 25.4:
        yield Finding("room-short", "warn", f"{reference} leaves {free}, but {height.of} stands about "
                      f"{_about(height.mm, units)} high (estimate)", height.sources)
    else:
        close = height.mm + OTHER_MAKER_MM > room_in * 25.4
        yield Finding("room-close" if close else "room-enough", "warn" if close else "info",
                      f"{reference} leaves {free}, {height.of} stands about {_about(height.mm, units)} high (estimate"
                      + (f"; another maker's may be {_about(OTHER_MAKER_MM, units)} higher)" if close else ")"), height.sources)


STACKED_PARTS, STACKED_MM = figure("stacked-parts"), figure("stacked-height")


def stacked(reference: str, adapters: Sequence[Used], units: Units) -> Iterator[Finding]:
    """A warning of several adapters hung on one port, or of one that stands far off it; `adapters` from the port outward.

    A coupler half belongs to the port that it is pushed on.
    """
    hung = [used for used in adapters if used.part.shape != "coupler"]
    known = [envelope(used.part) for used in hung]
    lengths = [each.overall_length_mm if each is not None else None for each in known]
    measured = [long - _hidden(used.near) for used, long in zip(hung, lengths, strict=True) if long is not None]
    high_mm = sum(measured) if len(measured) == len(hung) else None
    if len(hung) >= STACKED_PARTS or (high_mm or 0.0) >= STACKED_MM:
        high = "" if high_mm is None else f", about {_about(high_mm, units)} high (estimate),"
        yield Finding("stacked-adapters", "warn", f"at {reference} a stack of {counted(len(hung), 'adapter')} on one port{high} is a lever "
                      "that can break it when the hose pulls: ask for one part that does it, or clamp the hose close by",
                      because("stacked-parts"))


def too_high(room_in: float, height: Height | None) -> bool:
    """Whether something is known not to fit under a free height in inches."""
    return height is not None and height.mm > room_in * 25.4

