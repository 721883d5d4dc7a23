"""Turned parts on the page: outside above the axis, section below it, threads and hexagons by drawing practice.

Half sections, section lining and broken-off ends follow ISO 128-3, threads ISO 6410-1: the crest is a thick line, the
root a thin one, and a male thread hides the female around it.
"""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from fittings.drawing.lettering import Box
from fittings.drawing.solids import Hexagon, Piece, Screw, Shape, skyline
from fittings.drawing.svg import INK, PAPER, Canvas, Point, lining


class Pose(NamedTuple):
    """Where a shape lies on the page: its foot, the way it looks, the side its section is on (unit vectors), the scale."""

    foot: Point
    along: Point
    across: Point
    scale: float

    def at(self, along_mm: float, away_mm: float) -> Point:
        """Page point of a place along the axis and away from it; away counts towards the section side."""
        x, y = (self.foot[n] + self.scale * (self.along[n] * along_mm + self.across[n] * away_mm) for n in (0, 1))
        return x, y

    def moved(self, along_mm: float) -> "Pose":
        """The same pose further along its axis."""
        return self._replace(foot=self.at(along_mm, 0.0))

    def turned(self, degrees: float) -> "Pose":
        """The same place, looking another way, degrees clockwise as the page shows it; its section side turns with it."""
        turn = math.radians(degrees)
        return self._replace(along=_turned(self.along, turn), across=_turned(self.across, turn))

    def facing_back(self) -> "Pose":
        """The same place, looking the other way, its section still on the same side."""
        return self._replace(along=(-self.along[0], -self.along[1]))


def _turned(way: Point, turn: float) -> Point:
    x, y = way
    turned = (x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn))
    return round(turned[0], 12), round(turned[1], 12)


class Placed(NamedTuple):
    """A shape at its place, and the number that sets its section lining apart from its neighbour's."""

    shape: Shape
    pose: Pose
    lining: int = 0


_ORDER = {"hose": 0, "braid": 0, "valve": 0, "body": 1, "tail": 1, "tube": 1, "ring": 3, "seal": 3, "ball": 3, "clamp": 3,
          "bolt": 4, "washer": 4, "hole": 4, "nut": 6, "sleeve": 6, "block": 0, "barrel": 1, "bushing": 2}


def _order(placed: Placed, piece: Piece) -> int:
    outer = placed.shape.end.side == "internal" or placed.shape.end.form == "body"
    return 5 if piece.kind == "body" and outer else _ORDER[piece.kind]


def draw(canvas: Canvas, all_placed: Sequence[Placed]) -> None:
    """Draw shapes that may lie in one another, each edge hidden that something else covers."""
    pieces = [(placed, piece) for placed in all_placed for piece in placed.shape.pieces]
    for placed, piece in sorted(pieces, key=lambda pair: _order(*pair)):
        if piece.shown == "cut":
            for side in (1, -1):
                _section(canvas, placed, piece, side)
    for placed, _ in [pair for pair in pieces if pair[1].shown == "cut" and pair[1].kind == "block"]:
        for side in (1, -1):
            _internal_threads(canvas, placed, side)
    below = [pair for pair in pieces if pair[1].shown != "cut"]
    for placed, piece in sorted(below, key=lambda pair: (_depth(*pair), _order(*pair))):
        _section(canvas, placed, piece, 1)
        if piece.kind == "bushing" or (piece.kind in ("nut", "body") and placed.shape.end.side == "internal"):
            _internal_threads(canvas, placed, 1)
        if _hides(placed, piece):
            _external_threads(canvas, placed, 1)
    for placed, piece in sorted((pair for pair in below if pair[1].shown == "half"), key=lambda pair: _order(*pair)):
        _outside(canvas, placed, piece)
        if _hides(placed, piece):
            _external_threads(canvas, placed, -1)


def _hides(placed: Placed, piece: Piece) -> bool:
    """Whether the piece carries a male thread, which is drawn over the female."""
    kinds = ("nut",) if placed.shape.end.family == "invflare" else ("body", "barrel", "bushing")
    return piece.kind in kinds and any(screw.side == "external" for screw in placed.shape.screws)


def _depth(placed: Placed, piece: Piece) -> int:
    """How far in a piece lies: females first, a bushing in between, males over them."""
    return 1 if piece.kind == "bushing" else 2 * _hides(placed, piece)


def _section(canvas: Canvas, placed: Placed, piece: Piece, side: int) -> None:
    points = [placed.pose.at(x, side * r) for x, r in piece.outline]
    if piece.soft:
        canvas.lines(points, "thin", INK, closed=True, name="seal")
        return
    if piece.kind == "hole":
        canvas.lines(points, "thin", PAPER, closed=True)
        return
    canvas.lines(points, "none", PAPER, closed=True)
    if piece.kind == "braid":
        canvas.segments(lining(points, 45, 0.8) + lining(points, 135, 0.8), "hatch")
    elif piece.kind not in ("ball", "valve", "bolt"):
        angle, gap = _lining_of(placed, piece)
        canvas.hatch(points, angle, gap)
    _edges(canvas, placed, piece, side)
    if piece.kind in ("body", "tail", "tube", "barrel", "block", "bushing"):
        _edges_behind(canvas, placed, piece, side)


def _lining_of(placed: Placed, piece: Piece) -> tuple[float, float]:
    turned = {"nut": 1, "washer": 1, "sleeve": 1, "clamp": 1}.get(piece.kind, 0)
    angle = 45.0 if (placed.lining + turned) % 2 == 0 else 135.0
    gap = {"block": 2.0, "nut": 1.1, "washer": 0.9, "sleeve": 0.9, "hose": 1.1, "clamp": 1.7}.get(piece.kind, 1.4)
    return angle, gap


def _edges(canvas: Canvas, placed: Placed, piece: Piece, side: int) -> None:
    """The faces of a piece as thick lines; a free-hand line where it goes on beyond the picture; none where it goes on
    into the rest of its own part."""
    edge = max(r for _, r in piece.outline) if piece.kind == "block" else -1.0
    run = [*piece.outline, piece.outline[0]]
    for (x1, r1), (x2, r2) in zip(run, run[1:], strict=False):
        start, end = placed.pose.at(x1, side * r1), placed.pose.at(x2, side * r2)
        if (x1 == x2 == piece.broken_at) or (r1 == r2 == edge):
            free_hand(canvas, start, end)
        elif not (x1 == x2 and any(abs(x1 - at) < 1e-6 and max(r1, r2) <= up_to + 1e-6 for at, up_to in piece.grown)):
            canvas.line(start, end, "outline", f"section-{piece.kind}")


def _edges_behind(canvas: Canvas, placed: Placed, piece: Piece, side: int) -> None:
    """The edges of the passage that are seen behind the cut, where no other part lies in front of them."""
    run = [*piece.outline, piece.outline[0]]
    bore = placed.shape.bore_mm
    if piece.kind == "block":
        deepest = min((screw.start for screw in placed.shape.screws), default=0.0)
        places = {(x, r) for x, r in piece.outline if 0.0 < x <= deepest and r < placed.shape.marks["thread"][0][1] + 0.01}
    else:
        places = {pair[0] for pair in zip(run, run[1:], strict=False)
                  if pair[0][0] == pair[1][0] and min(pair[0][1], pair[1][1]) <= bore + 0.01 and pair[0][0] != piece.broken_at}
        places = {(x, bore) for x, _ in places if x > 0.0 or piece.kind == "barrel"}
    for x, r in sorted(places):
        canvas.line(placed.pose.at(x, 0.0), placed.pose.at(x, side * r), "outline")


def free_hand(canvas: Canvas, start: Point, end: Point, swing: float = 0.7) -> None:
    """A thin wavy line: what is drawn ends here, the thing does not (ISO 128-2, line 01.1)."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = (dx * dx + dy * dy) ** 0.5
    if length < 1e-6:
        return
    waves = max(1, round(length / 7.0))
    points = [start]
    for step in range(1, waves * 10):
        part = step / (waves * 10)
        off = swing * math.sin(2 * math.pi * waves * part)
        points.append((start[0] + dx * part - dy / length * off, start[1] + dy * part + dx / length * off))
    canvas.lines([*points, end], "thin", name="break")


def _outside(canvas: Canvas, placed: Placed, piece: Piece) -> None:
    """The view from outside, above the axis."""
    line = skyline(piece.outline)
    pose = placed.pose
    shown = [pose.at(line[0][0], 0.0), *(pose.at(x, -r) for x, r in line), pose.at(line[-1][0], 0.0)]
    canvas.lines(shown, "none", PAPER, closed=True)
    hexagon = _hexagon_of(placed, piece)
    for (x1, r1), (x2, r2) in zip([(line[0][0], 0.0), *line], [*line, (line[-1][0], 0.0)], strict=True):
        if piece.broken_at is not None and abs(x1 - piece.broken_at) + abs(x2 - piece.broken_at) < 1e-3:
            free_hand(canvas, pose.at(x1, -r1), pose.at(x2, -r2))
        elif not (abs(x1 - x2) < 1e-3 and any(abs(x1 - at) < 1e-3 and max(r1, r2) <= up_to + 1e-3 for at, up_to in piece.grown)):
            canvas.line(pose.at(x1, -r1), pose.at(x2, -r2), "outline", f"outside-{piece.kind}")
    smooth = piece.kind in ("ring", "seal")
    for before, (x, r), after in zip(line, line[1:], line[2:], strict=False):
        if smooth or (hexagon is not None and hexagon.start - 0.01 <= x <= hexagon.stop + 0.01):
            continue
        if abs(_slope(before, (x, r)) - _slope((x, r), after)) > 0.25:
            canvas.line(pose.at(x, 0.0), pose.at(x, -r), "outline")
    if hexagon is not None:
        _faces(canvas, pose, hexagon)


def _slope(a: Point, b: Point) -> float:
    return (b[1] - a[1]) / max(b[0] - a[0], 1e-3)


def _hexagon_of(placed: Placed, piece: Piece) -> Hexagon | None:
    if piece.kind not in ("nut", "body", "barrel", "bushing"):
        return None
    if piece.kind == "body" and any(other.kind == "nut" for other in placed.shape.pieces):
        return None
    return placed.shape.hexagons[0] if placed.shape.hexagons else None


def _faces(canvas: Canvas, pose: Pose, hexagon: Hexagon) -> None:
    """The edge between two faces, and the curves that the 30° chamfer leaves on them."""
    corner, cut = hexagon.corner, hexagon.cut
    low, high = hexagon.start + cut * hexagon.first, hexagon.stop - cut * hexagon.last
    canvas.line(pose.at(low, -corner / 2), pose.at(high, -corner / 2), "outline", "hex-edge")
    ends = ((hexagon.start, 1.0, hexagon.first), (hexagon.stop, -1.0, hexagon.last))
    for end, inward in ((at, way) for at, way, chamfered in ends if chamfered):
        for inner, outer in ((-0.5, 0.5), (0.5, 1.0)):
            middle, half = (inner + outer) / 2, (outer - inner) / 2
            curve = [pose.at(end + inward * cut * ((part - middle) / half) ** 2, -corner * part)
                     for part in (inner + (outer - inner) * n / 12 for n in range(13)) if part >= 0]
            canvas.lines(curve, "thin")


def _external_threads(canvas: Canvas, placed: Placed, side: int) -> None:
    for screw in placed.shape.screws:
        if screw.side == "external":
            _root_line(canvas, placed.pose, screw, side)


def _root_line(canvas: Canvas, pose: Pose, screw: Screw, side: int) -> None:
    ends = [pose.at(x, side * (screw.major_at(x) - screw.depth_mm)) for x in (screw.start, screw.stop)]
    canvas.line(ends[0], ends[1], "thin", "thread-root")


def _internal_threads(canvas: Canvas, placed: Placed, side: int) -> None:
    for screw in placed.shape.screws:
        if screw.side == "internal":
            ends = [placed.pose.at(x, side * screw.major_at(x)) for x in (screw.start, screw.stop)]
            canvas.line(ends[0], ends[1], "thin", "thread-root")


def axis(canvas: Canvas, start: Point, end: Point) -> None:
    """The centre line, a little longer than what it runs through."""
    canvas.line(start, end, "axis", "axis")


def boxes(all_placed: Iterable[Placed], gap: float = 0.8) -> list[Box]:
    """Rectangles on the page that the shapes take, for words to keep clear of."""
    found = []
    for placed in all_placed:
        for piece in placed.shape.pieces:
            line = skyline(piece.outline)
            for (x1, r1), (x2, r2) in zip(line, line[1:], strict=False):
                reach = max(r1, r2)
                count = max(1, int((x2 - x1) / 6))
                for n in range(count):
                    a, b = x1 + (x2 - x1) * n / count, x1 + (x2 - x1) * (n + 1) / count
                    corners = [placed.pose.at(x, r) for x in (a, b) for r in (-reach, reach)]
                    found.append(_around(corners).grown(gap))
    return found


def _around(points: Sequence[Point]) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs), min(ys), max(xs), max(ys))
