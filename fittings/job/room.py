"""Is there room above a port for what is screwed into it, and for the hose behind it?

Heights come from makers' measures of a part where the tables have them (`data/parts/envelopes.csv`) and are estimates all
the same: another maker's part of the same ends may be 6 mm longer.
"""

from collections.abc import Iterator, Sequence
from functools import cache
from typing import NamedTuple

from fittings.chain import Used, bends
from fittings.circuit import Finding
from fittings.circuit.hose import Hose
from fittings.circuit.lengths import end_length_mm
from fittings.circuit.rules import because, rule_value
from fittings.ends import End
from fittings.envelopes import envelope
from fittings.reasons import split_sources
from fittings.saying import counted
from fittings.tables import table
from fittings.units import MM_PER_IN, Units, format_length

OTHER_MAKER_MM = rule_value("other-maker")


class Height(NamedTuple):
    """Height above the port face, of what in words, and what it rests on. `mm` is an estimate, None where it is not known; `least_mm`
    is what makers' measures alone come to."""

    mm: float | None
    least_mm: float
    of: str
    sources: tuple[str, ...]


UNKNOWN = Height(None, 0.0, "what is screwed in there", ())
"""Nothing is known of how high it stands."""


def height_mm(adapters: Sequence[Used], crimped: Used, hose: Hose) -> Height:
    """Height above the port face of what is screwed in; `adapters` from the port outward.

    An elbow ends the count: behind it the hose runs sideways. A straight hose end adds its length and the bend of the
    hose behind it.
    """
    total = 0.0
    sources: dict[str, None] = {}
    for used in adapters:
        known = envelope(used.part)
        leg = None if known is None else known.leg_a_mm if used.near == used.part.ends[0] else known.leg_b_mm
        long = leg if bends(used.part) else None if known is None else known.overall_length_mm
        if known is None or long is None:
            return UNKNOWN._replace(least_mm=total, sources=tuple(sources))
        sources.update(dict.fromkeys(split_sources(known.source)))
        total += long - _hidden(used.near)
        if bends(used.part):
            top = total + max(known.body_hex_mm or 0.0, known.nut_hex_mm or 0.0, hose.od_known_mm) / 2
            return Height(top, top, used.part.say, tuple(sources))
    if not bends(crimped.part):
        top = total + end_length_mm(hose) + hose.bend_to_centre_mm + hose.od_known_mm / 2
        return Height(top, total, "the straight hose end with the bend of the hose behind it", tuple(dict.fromkeys((*sources, "practice"))))
    known = envelope(crimped.part)
    if known is None or known.drop_mm is None:
        return UNKNOWN._replace(least_mm=total, sources=tuple(sources))
    top = total + known.drop_mm + hose.od_known_mm / 2
    return Height(top, top, crimped.part.say, tuple(dict.fromkeys((*sources, *split_sources(known.source)))))


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
    return format_length(round(mm) if units == "metric" else round(mm / MM_PER_IN * 16) / 16 * MM_PER_IN, units)


def room_findings(reference: str, room_in: float, height: Height, units: Units) -> Iterator[Finding]:
    """What the free height above a port (inches) means for what is planned there. What cannot go in by makers' measures, whoever makes
    it, forbids the line; what an estimate says is a warning."""
    room = room_in * MM_PER_IN
    free = f"{reference} leaves {format_length(room, units)}"
    high = f"{height.of} stands about {_about(height.mm or 0.0, units)} high (estimate"
    if height.least_mm - OTHER_MAKER_MM > room:
        least = _about(height.least_mm - OTHER_MAKER_MM, units)
        yield Finding("room-short", "refuse", f"{free}, but what is screwed in there stands at least {least} high, by any maker",
                      height.sources)
    elif height.mm is None:
        least = f"; what is known of it comes to about {_about(height.least_mm, units)}" if height.least_mm else ""
        yield Finding("room-unknown", "warn", f"{free}: our tables do not know how high what is planned there stands{least}; "
                      "measure it at the shop before you buy", ("practice", *height.sources))
    elif height.mm > room:
        yield Finding("room-short", "warn", f"{free}, but {high})", height.sources)
    else:
        close = height.mm + OTHER_MAKER_MM > room
        yield Finding("room-close" if close else "room-enough", "warn" if close else "info",
                      f"{free}, {high}" + (f"; another maker's may be {_about(OTHER_MAKER_MM, units)} higher)" if close else ")"),
                      height.sources)


STACKED_PARTS, STACKED_MM = rule_value("stacked-parts"), rule_value("stacked-height")


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


def too_high(room_in: float, height: Height) -> bool:
    """Whether something is known not to fit under a free height in inches."""
    return max(height.mm or 0.0, height.least_mm) > room_in * MM_PER_IN
