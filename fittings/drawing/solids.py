"""What a turned part is made of, in the half plane of its axis, and where two of them touch.

A point is (along the axis, away from the axis), in mm. An end stands on its part at 0 and looks towards growing
numbers; two ends that meet look at each other.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from fittings.ends import End
from fittings.figures import figure
from fittings.units import MM_PER_IN

Point = tuple[float, float]



class Piece(NamedTuple):
    """One piece of an end, as the outline of its half section.

    `kind` what it is (`body`, `barrel`, `nut`, `tail`, `tube`, `hose`, `washer`, `block`, `clamp`, `ring`, `seal`, `ball`, `sleeve`).
    `shown` `half` (outside above the axis, section below), `cut` (section on both sides), `below` (section below only:
    it cannot be seen from outside). `broken_at` where along the axis it goes on beyond the picture; `grown` places along
    the axis where it goes on into the rest of its own part, with the radius up to which it does.
    """

    kind: str
    outline: tuple[Point, ...]
    shown: str = "half"
    broken_at: float | None = None
    grown: tuple[Point, ...] = ()

    @property
    def soft(self) -> bool:
        """Whether it is rubber, which gives way."""
        return self.kind in ("ring", "seal")

    @property
    def stops(self) -> bool:
        """Whether metal is stopped by it: rubber gives way, and a sleeve frees the balls of a coupler."""
        return not self.soft and self.kind != "ball"


class Screw(NamedTuple):
    """A screw thread: where it runs along the axis, its major diameter at `stop`, taper on diameter, depth on radius."""

    side: str
    start: float
    stop: float
    major_mm: float
    depth_mm: float
    taper: float = 0.0

    def major_at(self, along: float) -> float:
        """Major radius at a place along the axis; a taper is narrowest at `stop` of a male and at `start` of a female."""
        return self.major_mm / 2 + (self.stop - along) * self.taper / 2 * (1 if self.side == "external" else -1)


class Hexagon(NamedTuple):
    """A hexagon on a piece: from where to where, its width across flats, whether its two ends are chamfered."""

    start: float
    stop: float
    flats_mm: float
    first: bool = True
    last: bool = True

    @property
    def corner(self) -> float:
        """Radius over the corners."""
        return self.flats_mm / 3**0.5

    @property
    def cut(self) -> float:
        """How far along the axis the 30° chamfer reaches."""
        return min((self.corner - self.flats_mm / 2) * math.tan(math.radians(30)), 0.3 * (self.stop - self.start))


class Shape(NamedTuple):
    """The geometry of an end.

    `neck_mm` and `bore_mm` are the radii at 0, where it grows out of its part; `marks` names places to be measured;
    `guesses` names of lengths that no table holds; `flats_mm` is the hexagon that its part has right behind it, 0 where
    there is none; `grip_mm` how deep a taper thread goes when it is tight, None for one that stops at a seat.
    """

    end: End
    pieces: tuple[Piece, ...]
    screws: tuple[Screw, ...]
    hexagons: tuple[Hexagon, ...]
    neck_mm: float
    bore_mm: float
    marks: Mapping[str, tuple[Point, ...]]
    guesses: frozenset[str]
    flats_mm: float = 0.0
    grip_mm: float | None = None

    @property
    def tip_mm(self) -> float:
        """How far its metal reaches."""
        return max(x for piece in self.pieces if not piece.soft for x, _ in piece.outline)

    @property
    def wide_mm(self) -> float:
        """Its greatest radius."""
        return max(r for piece in self.pieces for _, r in piece.outline)


def known_mm(end: End, *names: str) -> float | None:
    """The first of these figures that our tables hold for an end, in mm (inches are converted), or None."""
    for name in names:
        found = figure(end, name)
        if found is not None:
            return float(found.value) * (MM_PER_IN if name.endswith("_in") else 1.0)
    return None


def bars(*corners: Point) -> tuple[Point, ...]:
    """The outline of a rectangle from two opposite corners."""
    (x1, r1), (x2, r2) = corners
    return (x1, r1), (x2, r1), (x2, r2), (x1, r2)


def disc(along: float, away: float, radius: float) -> tuple[Point, ...]:
    """The outline of a ring's round section."""
    turns = [math.pi * n / 12 for n in range(24)]
    return tuple((along + radius * math.cos(turn), away + radius * math.sin(turn)) for turn in turns)


# --- where two ends touch --------------------------------------------------------------------------------------------

_NEAR = 1e-4


class Contact(NamedTuple):
    """Two ends pushed together until metal meets metal: how far apart their feet then stand, and the radii that touch."""

    apart_mm: float
    touching: tuple[float, ...]

    @property
    def band_mm(self) -> float:
        """Width of the band that touches, on radius; about nothing for a line."""
        return self.touching[-1] - self.touching[0] if self.touching else 0.0


def contact(a: Shape, b: Shape) -> Contact:
    """Where two ends that look at each other touch first, their threads left out of account.

    Rests on nothing but the outlines: pushed together along the axis, metal stops at the radius where the sum of both
    reaches is greatest. A taper thread may stop it earlier.
    """
    grips = [each.grip_mm for each in (a, b) if each.grip_mm is not None]
    tight = a.tip_mm + b.tip_mm - min(grips) if grips else None
    sides = [list(_edges(shape)) for shape in (a, b)]
    radii = sorted({round(r + nudge, 6) for edges in sides for pair in edges for _, r in pair for nudge in (-_NEAR, _NEAR)})
    sums = []
    for radius in radii:
        reaches = [_reach(edges, radius) for edges in sides]
        if reaches[0] is not None and reaches[1] is not None:
            sums.append((reaches[0] + reaches[1], radius))
    apart = max((total for total, _ in sums), default=a.tip_mm + b.tip_mm)
    if tight is not None and tight > apart:
        return Contact(tight, ())
    return Contact(apart, tuple(radius for total, radius in sums if apart - total < 0.02))


def _edges(shape: Shape) -> Iterable[tuple[Point, Point]]:
    for piece in shape.pieces:
        if not piece.stops:
            continue
        points = [_without_thread(point, shape.screws) for point in piece.outline]
        yield from zip(points, [*points[1:], points[0]], strict=True)
    if shape.flats_mm:
        yield (0.0, shape.bore_mm), (0.0, shape.flats_mm / 2)


def _without_thread(point: Point, screws: Sequence[Screw]) -> Point:
    x, r = point
    for screw in screws:
        if screw.start - 0.01 <= x <= screw.stop + 0.01:
            major = screw.major_at(x)
            minor = major - screw.depth_mm
            if screw.side == "external" and minor < r <= major + 0.05:
                return x, minor
            if screw.side == "internal" and minor - 0.05 <= r < major:
                return x, major
    return point


def _reach(edges: Sequence[tuple[Point, Point]], radius: float) -> float | None:
    """How far metal reaches at a radius."""
    found = [
        x1 + (x2 - x1) * (radius - r1) / (r2 - r1)
        for (x1, r1), (x2, r2) in edges
        if min(r1, r2) < radius < max(r1, r2)
    ]
    return max(found, default=None)


def reach_at(of: Shape, radius: float) -> float | None:
    """How far the metal of an end reaches at a radius, its thread left out of account; None where there is none."""
    return _reach(list(_edges(of)), radius)


def seal_place(a: Shape, b: Shape, met: Contact, cones: bool) -> tuple[bool, Point]:
    """Where a good joint seals: whether the place is told in the frame of `a`, and the place.

    `cones`: two cones press on each other, so it is where they touch; else where the ring or the thread is.
    """
    if cones and met.touching:
        radius = (met.touching[0] + met.touching[-1]) / 2
        along = reach_at(a, radius)
        if along is not None:
            return True, (along, radius)
    for of_a, each in ((True, a), (False, b)):
        if "ring" in each.marks and "seal" in each.marks:
            return of_a, each.marks["seal"][0]
    for of_a, each in ((True, a), (False, b)):
        if "seal" in each.marks:
            return of_a, each.marks["seal"][0]
    return True, (a.tip_mm, a.bore_mm)


def skyline(outline: Sequence[Point]) -> list[Point]:
    """The outer edge of an outline as it is seen from the side, from its first to its last place along the axis."""
    edges = list(zip(outline, [*outline[1:], outline[0]], strict=True))
    places = sorted({round(x, 6) for x, _ in outline})
    line: list[Point] = []
    for left, right in zip(places, places[1:], strict=False):
        for at in (left + 1e-6, right - 1e-6):
            heights = [
                r1 + (r2 - r1) * (at - x1) / (x2 - x1) for (x1, r1), (x2, r2) in edges if min(x1, x2) < at < max(x1, x2)
            ]
            point = (round(at, 5), max(heights, default=0.0))
            if not line or abs(line[-1][0] - point[0]) > 1e-4 or abs(line[-1][1] - point[1]) > 1e-4:
                line.append(point)
    return line
