"""Is there room beside a port: for the hexagon next to its neighbour, for the spanner, and on the flat round its mouth?

Hexagons come from makers' measures of a part (`data/parts/envelopes.csv`) or from the figures of the end, and are estimates all
the same: another maker's hexagon may be a size larger.
"""

from collections.abc import Iterator
from math import cos, radians
from typing import NamedTuple

from fittings.chain import Used, bends
from fittings.circuit import Finding
from fittings.circuit.rules import because, rule_value
from fittings.ends import End
from fittings.envelopes import envelope
from fittings.figures import Figure, figure
from fittings.job.ask import Side
from fittings.job.hexagons import flats_of_the_part_mm
from fittings.job.room import Height, room_findings
from fittings.parts import Part
from fittings.reasons import split_sources
from fittings.units import MM_PER_IN, Units, format_length

ACROSS_CORNERS = 1 / cos(radians(30))
"""Across corners of a hexagon over across flats."""


class Hexagon(NamedTuple):
    """What a spanner goes on at a port: across flats in mm, and what that rests on."""

    flats_mm: float
    sources: tuple[str, ...]

    @property
    def corners_mm(self) -> float:
        return self.flats_mm * ACROSS_CORNERS

    @property
    def spanner_head_mm(self) -> float:
        """Width of the head of an open-ended spanner for it."""
        return rule_value("spanner-head") * self.flats_mm + rule_value("spanner-head-more")


def hexagon(used: Used) -> Hexagon | None:
    """The hexagon of what is screwed into a port (`used.near` looks to the port); None when no table has it."""
    names = ("nut_hex_mm", "nut_hex_in") if used.near.moves == "turns" else ("hex_mm", "hex_in")
    printed = next((each for name in names if (each := figure(used.near, name)) is not None), None)
    known = envelope(used.part)
    if known is not None:
        flats = known.nut_hex_mm if used.near.moves in ("turns", "sets") else known.body_hex_mm
        if flats is not None:
            return Hexagon(flats, split_sources(known.source))
    if printed is None:
        return None
    flats_mm = flats_of_the_part_mm(printed, used.part)
    return None if flats_mm is None else Hexagon(flats_mm, printed.sources)


def around_port(side: Side, first: Used, height: Height, units: Units) -> Iterator[Finding]:
    """What the room above, beside and on the face of a port means for what is screwed in `first`, and the height that all of
    it has."""
    at = side.at
    if at is None:
        return
    if at.room_in is not None:
        yield from room_findings(side.reference, at.room_in, height, units)
    if at.next_port_in is not None:
        yield from beside_findings(side.reference, at.next_port_in, first, units)
    if at.spotface_in is not None:
        yield from spotface_findings(side.reference, at.spotface_in, side.port, first, units)


def beside_findings(reference: str, next_port_in: float, first: Used, units: Units) -> Iterator[Finding]:
    """What the distance to the next port, centre to centre in inches, means for what is screwed in first; the neighbour is taken
    to carry the same."""
    apart = next_port_in * MM_PER_IN
    lies = f"{reference} lies {format_length(apart, units)} from the next port"
    known = hexagon(first)
    if known is None:
        yield Finding("next-port-unknown", "warn", f"{lies}: our tables do not know the hexagon of {first.part.say}; measure it across "
                      "the corners before you buy", because("spanner-head"))
        return
    corners = f"{format_length(known.corners_mm, units)} across its corners (estimate)"
    if known.corners_mm > apart:
        yield Finding("next-port-short", "warn", f"{lies}, and the hexagon is about {corners}: two of them do not pass each other; stagger "
                      "them with an extension, or use a smaller stud", known.sources)
    elif (known.spanner_head_mm + known.corners_mm) / 2 > apart:
        yield Finding("next-port-spanner", "warn", f"{lies}: the hexagons pass, each about {corners}, but a spanner may not go between "
                      "them; tighten this one before its neighbour is in, or with a socket", (*known.sources, *because("spanner-head")))
    else:
        yield Finding("next-port-enough", "info", f"{lies}; the hexagon is about {corners}", known.sources)
    leg = _leg_mm(first.part, first.near)
    if leg is not None and leg + known.corners_mm / 2 > apart:
        yield Finding("elbow-sweep", "warn", f"at {reference} the elbow swings {format_length(leg, units)} out (estimate) as it is screwed "
                      "in and meets what stands in the next port: screw it in first", known.sources)


def _leg_mm(part: Part, near: End) -> float | None:
    """How far an elbow reaches out to the side of the port that `near` looks to, mm."""
    if not bends(part):
        return None
    known = envelope(part)
    leg = None if known is None else known.leg_b_mm if near == part.ends[0] else known.leg_a_mm
    return None if leg is None else leg * (1 if part.shape.endswith("90") else cos(radians(45)))


SPOTFACES = ("spotface_wide_min_mm", "spotface_narrow_min_mm")


def spotface_findings(reference: str, spotface_in: float, port: End, first: Used, units: Units) -> Iterator[Finding]:
    """What the measured diameter of the flat round a port's mouth, in inches, means for what is screwed in."""
    read = spotface_in * MM_PER_IN
    measured = f"at {reference} the flat round the port is {format_length(read, units)}"
    standard = _smallest(port)
    known = hexagon(first)
    if standard is None:
        yield Finding("spotface-unknown", "warn", f"{measured}; our tables know no least diameter for {port.say}", ("practice",))
    elif read < float(standard.value) - 0.05:
        yield Finding(
            "spotface-short", "warn", f"{measured}, smaller than the standard's {format_length(float(standard.value), units)}: locknut and "
            "washer of an adjustable stud, a bonded seal and a wide hexagon may not lie flat; use a fixed stud with a narrow hexagon and "
            "try it dry", (*standard.sources, "cartridge-valve-body-catalogue"))
    else:
        yield Finding("spotface-enough", "info", f"{measured}; the standard asks for {format_length(float(standard.value), units)}",
                      standard.sources)
    if known is not None and known.corners_mm > read and first.near.sex == "male":
        yield Finding(
            "spotface-hexagon", "warn", f"{measured}, and the hexagon is about {format_length(known.corners_mm, units)} across its corners "
            "(estimate): where that flat is sunk, the hexagon rides on its edge and the ring is not shut in", known.sources)


def _smallest(port: End) -> Figure | None:
    """The least diameter that a standard lets this port have: of a wide and a narrow form the narrow one."""
    found = [each for name in SPOTFACES if (each := figure(port, name)) is not None]
    return min(found, key=lambda each: float(each.value), default=None)
