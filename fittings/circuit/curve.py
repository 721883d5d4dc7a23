"""Shortest curves of bounded curvature in a plane (Dubins 1957), for a hose that must not bend tighter than it may.

A pose is x, y in mm and a heading in radians, counter-clockwise from the x axis. A curve is three pieces: an arc, a
straight or an arc, an arc, all arcs of one radius. The shortest of the six kinds is the shortest curve there is.
"""

from collections.abc import Iterator, Mapping
from math import acos, asin, atan2, ceil, cos, hypot, pi, sin, sqrt
from typing import NamedTuple

from fittings.circuit import above_zero

_FULL = 2 * pi
# an arc that should be nothing comes out a hair below a full turn; no real hose makes the difference
_HAIR = 1e-9


class Pose(NamedTuple):
    """A place (mm) and a heading (radians, counter-clockwise from x)."""

    x_mm: float
    y_mm: float
    heading_rad: float


class Curve(NamedTuple):
    """One curve: its word (`LSL`, `RSR`, `LSR`, `RSL`, `LRL`, `RLR`), radius and the lengths of its pieces, mm."""

    word: str
    radius_mm: float
    pieces_mm: tuple[float, float, float]

    @property
    def length_mm(self) -> float:
        """Length of the whole curve, mm."""
        return sum(self.pieces_mm)

    @property
    def turning_rad(self) -> float:
        """All its arcs added up without sign, radians."""
        arcs = zip(self.word, self.pieces_mm, strict=True)
        return sum(piece for letter, piece in arcs if letter != "S") / self.radius_mm


def curves(start: Pose, goal: Pose, radius_mm: float) -> Iterator[Curve]:
    """All curves arc-straight-arc and arc-arc-arc of one radius (mm) from `start` to `goal`, in no order.

    Of arc-arc-arc both are given, the middle arc above and below half a turn; the latter is a hose with a little slack.
    """
    above_zero(radius_mm, "a radius", "mm")
    for first in (1, -1):
        for last in (1, -1):
            yield from _with_straight(start, goal, radius_mm, first, last)
        yield from _with_arc(start, goal, radius_mm, first)


def shortest(start: Pose, goal: Pose, radius_mm: float) -> Curve:
    """The shortest curve from `start` to `goal` that nowhere bends tighter than `radius_mm`. Raises BadCircuit.

    >>> round(shortest(Pose(0, 0, 0), Pose(0, 200, pi), 100).length_mm, 3)
    314.159
    """
    return min(curves(start, goal, radius_mm), key=lambda curve: curve.length_mm)


def calmest(start: Pose, goal: Pose, radius_mm: float, most_turning_rad: float) -> Curve:
    """The shortest curve turning no more than `most_turning_rad` in all; where there is none, the shortest of all."""
    found = list(curves(start, goal, radius_mm))
    calm = [curve for curve in found if curve.turning_rad <= most_turning_rad]
    return min(calm or found, key=lambda curve: curve.length_mm)


def _arc(angle: float) -> float:
    turned = angle % _FULL
    return 0.0 if turned > _FULL - _HAIR else turned


def _centre(pose: Pose, radius: float, side: int) -> tuple[float, float]:
    return (pose.x_mm - side * radius * sin(pose.heading_rad), pose.y_mm + side * radius * cos(pose.heading_rad))


_LETTER = {1: "L", -1: "R"}


def _with_straight(start: Pose, goal: Pose, radius: float, first: int, last: int) -> Iterator[Curve]:
    x1, y1 = _centre(start, radius, first)
    x2, y2 = _centre(goal, radius, last)
    between = hypot(x2 - x1, y2 - y1)
    if first == last:
        straight = between
        along = atan2(y2 - y1, x2 - x1) if between > _HAIR * radius else start.heading_rad
    else:
        if between < 2 * radius:
            return
        straight = sqrt((between - 2 * radius) * (between + 2 * radius))
        along = atan2(y2 - y1, x2 - x1) + first * asin(2 * radius / between)
    leaving, arriving = _arc(first * (along - start.heading_rad)), _arc(last * (goal.heading_rad - along))
    yield Curve(f"{_LETTER[first]}S{_LETTER[last]}", radius, (radius * leaving, straight, radius * arriving))


def _with_arc(start: Pose, goal: Pose, radius: float, first: int) -> Iterator[Curve]:
    x1, y1 = _centre(start, radius, first)
    x2, y2 = _centre(goal, radius, first)
    between = hypot(x2 - x1, y2 - y1)
    if between > 4 * radius or between < _HAIR * radius:
        return
    line, spread = atan2(y2 - y1, x2 - x1), acos(between / (4 * radius))
    for side in (1, -1):
        out = line + side * spread
        back = atan2(y1 + 2 * radius * sin(out) - y2, x1 + 2 * radius * cos(out) - x2)
        leaving, arriving = out + first * pi / 2, back + first * pi / 2
        yield Curve(f"{_LETTER[first]}{_LETTER[-first]}{_LETTER[first]}", radius, (
            radius * _arc(first * (leaving - start.heading_rad)),
            radius * _arc(first * (out - back)),
            radius * _arc(first * (goal.heading_rad - arriving)),
        ))


def points(start: Pose, curve: Curve, step_mm: float = 5.0) -> tuple[tuple[float, float], ...]:
    """Places (x, y in mm) along a curve from `start`, about every `step_mm`, ends included, for drawing."""
    above_zero(step_mm, "a step", "mm")
    x, y, heading = start
    found = [(x, y)]
    for letter, piece in zip(curve.word, curve.pieces_mm, strict=True):
        turn = {"L": 1, "R": -1, "S": 0}[letter] / curve.radius_mm
        steps = ceil(piece / step_mm)
        for _ in range(steps):
            part = piece / steps
            if turn:
                after = heading + turn * part
                x, y = x + (sin(after) - sin(heading)) / turn, y - (cos(after) - cos(heading)) / turn
                heading = after
            else:
                x, y = x + part * cos(heading), y + part * sin(heading)
            found.append((x, y))
    return tuple(found)


class Slack(NamedTuple):
    """A hose with slack: it runs straight for `straight_mm` at both ends, with `curve` between."""

    straight_mm: float
    curve: Curve


def ahead(pose: Pose, distance_mm: float) -> Pose:
    """The pose `distance_mm` straight ahead (behind when negative)."""
    return Pose(pose.x_mm + distance_mm * cos(pose.heading_rad), pose.y_mm + distance_mm * sin(pose.heading_rad), pose.heading_rad)


def slack_curve(start: Pose, goal: Pose, length_mm: float, least_radius_mm: float, most_turning_rad: float) -> Slack | None:
    """The roomiest way to lay exactly `length_mm` from `start` to `goal`, turning at most `most_turning_rad` in all.

    Tried: straight on for a while at both ends, any of the curves between, radii from half of `least_radius_mm`
    upwards; the greatest radius wins. A stiff hose left to itself bends a little tighter than that at its middle.
    None when nothing of that length can be laid.
    """
    spare = length_mm - shortest(start, goal, least_radius_mm).length_mm
    best: Slack | None = None
    for tenth in range(11):
        straight = max(spare, 0.0) / 2 * tenth / 10
        floor = best.curve.radius_mm if best else least_radius_mm / 2
        curve = _roomiest(ahead(start, straight), ahead(goal, -straight), length_mm - 2 * straight, floor, most_turning_rad)
        if curve:
            best = Slack(straight, curve)
    return best


def _roomiest(start: Pose, goal: Pose, length: float, floor: float, most_turning: float) -> Curve | None:
    """The curve of one length with the greatest radius above `floor`; radii are tried downwards."""
    previous: dict[tuple[str, int], Curve] = {}
    radius = 20 * length
    while radius > floor:
        current = _numbered(start, goal, radius)
        crossed = [curve for curve in _crossed(start, goal, length, previous, current)
                   if curve.turning_rad <= most_turning and curve.radius_mm > floor]
        if crossed:
            return max(crossed, key=lambda curve: curve.radius_mm)
        previous = current
        radius /= 1.1
    return None


def _crossed(start: Pose, goal: Pose, length: float, larger: Mapping[tuple[str, int], Curve], smaller: Mapping[tuple[str, int], Curve]
             ) -> Iterator[Curve]:
    """Curves of a length between those of a larger radius and those of a smaller one, where they pass that length."""
    for key, curve in smaller.items():
        before = larger.get(key)
        if before and (before.length_mm - length) * (curve.length_mm - length) <= 0:
            found = _between(start, goal, length, key, before.radius_mm, curve.radius_mm)
            if found:
                yield found


def _numbered(start: Pose, goal: Pose, radius: float) -> dict[tuple[str, int], Curve]:
    found: dict[tuple[str, int], Curve] = {}
    for curve in curves(start, goal, radius):
        found[curve.word, 1 if (curve.word, 0) in found else 0] = curve
    return found


def _between(start: Pose, goal: Pose, length: float, key: tuple[str, int], larger: float, smaller: float) -> Curve | None:
    """Halve the gap between two radii until the length is met; None where the length jumps instead of crossing."""
    high = _numbered(start, goal, larger).get(key)
    if high is None:
        return None
    above = high.length_mm > length
    curve = None
    for _ in range(36):
        middle = (larger + smaller) / 2
        curve = _numbered(start, goal, middle).get(key)
        if curve is None:
            return None
        if (curve.length_mm > length) == above:
            larger = middle
        else:
            smaller = middle
    return curve if curve and abs(curve.length_mm - length) < 0.05 else None
