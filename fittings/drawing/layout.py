"""A run of parts laid out on the page: each joint pushed home, each elbow turned, the hose between two tails cut short."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from fittings.drawing.bodies import Body, barrel, body_of, in_a_part, stub, with_flats
from fittings.drawing.lettering import Box
from fittings.drawing.section import Placed, Pose, axis, boxes, draw, free_hand
from fittings.drawing.shapes import shape
from fittings.drawing.solids import Contact, Shape, contact, seal_place
from fittings.drawing.svg import PAPER, Canvas, Point
from fittings.ends import End, end
from fittings.mating import mate
from fittings.planner import Used


class Elbow(NamedTuple):
    """A bent body: the path of its axis on the page, half its width, its bore's radius, whether it is a bent tube."""

    path: tuple[Point, Point, Point]
    half_mm: float
    bore_mm: float
    tube: bool


class LaidJoint(NamedTuple):
    """A joint on the page: its two ends, where its seal is, the way the run goes there."""

    a: End
    b: End
    seal: Point
    heading_deg: float


class LaidPart(NamedTuple):
    """A part on the page: its middle, from tip to tip (None when bent), its body, the way the run goes at its near end."""

    used: Used
    middle: Point
    tips: tuple[Point, Point] | None
    body: Body
    heading_deg: float
    half_mm: float


class Run(NamedTuple):
    """Everything that a drawing of a run needs; page coordinates in mm at `scale`."""

    placed: tuple[Placed, ...]
    elbows: tuple[Elbow, ...]
    joints: tuple[LaidJoint, ...]
    parts: tuple[LaidPart, ...]
    axes: tuple[tuple[Point, Point], ...]
    breaks: tuple[Pose, ...]
    scale: float

    @property
    def extent(self) -> Box:
        """Rectangle around the shapes."""
        found = boxes(self.placed, 0.0) + [_elbow_box(each) for each in self.elbows]
        return Box(min(each.left for each in found), min(each.top for each in found), max(each.right for each in found),
                   max(each.bottom for each in found))

    def taken(self) -> list[Box]:
        """Rectangles that words must keep clear of."""
        return boxes(self.placed) + [_elbow_box(each) for each in self.elbows]


def lay_out(start: End, finish: End, uses: Sequence[Used], scale: float) -> Run:
    """The run from `start` to `finish` through these parts, at a scale, beginning at 0, 0 and going to the right.

    Two hose tails that follow one another have their hose between them, cut short.
    """
    return _Layer(scale).run(start, finish, uses)


class _Layer:
    def __init__(self, scale: float) -> None:
        self.scale = scale
        self.placed: list[Placed] = []
        self.elbows: list[Elbow] = []
        self.joints: list[LaidJoint] = []
        self.parts: list[LaidPart] = []
        self.axes: list[tuple[Point, Point]] = []
        self.breaks: list[Pose] = []
        self.turned = False
        self.lining = 0

    def run(self, start: End, finish: End, uses: Sequence[Used]) -> Run:
        pose, last = Pose((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), self.scale), shape(start)
        self._free(last, pose)
        begun = pose
        for used in uses:
            near, far = in_a_part(shape(used.near)), in_a_part(shape(used.far))
            if last.end.family == near.end.family == "hose" and last.end.form == near.end.form == "tail":
                pose, last = self._hose(pose, last)
            foot = self._join(pose, last, near)
            pose, begun, last = self._body(used, foot, near, far, begun)
            self.lining += 1
        end_shape = shape(finish)
        foot = self._join(pose, last, end_shape)
        self._free_end(end_shape, foot)
        self.axes.append((begun.at(-4 / self.scale, 0.0), foot.at(4 / self.scale, 0.0)))
        return Run(tuple(self.placed), tuple(self.elbows), tuple(self.joints), tuple(self.parts), tuple(self.axes),
                   tuple(self.breaks), self.scale)

    def _free(self, of: Shape, pose: Pose) -> None:
        if not any(piece.kind == "block" for piece in of.pieces):
            self.placed.append(Placed(stub(of), pose, self.lining))
        self.placed.append(Placed(of, pose, self.lining))
        self.lining += 1

    def _free_end(self, of: Shape, foot: Pose) -> None:
        self._free(of, foot.facing_back())

    def _join(self, pose: Pose, last: Shape, near: Shape) -> Pose:
        """Push `near` home on `last`; returns where its foot is, still looking the way the run goes."""
        met = contact(last, near)
        foot = pose.moved(met.apart_mm)
        self.joints.append(_laid_joint(last, pose, near, foot, met))
        return foot

    def _hose(self, pose: Pose, tail: Shape) -> tuple[Pose, Shape]:
        """The hose between two tails: a piece on each, and a break between them."""
        bore = shape(end("hose", tail.end.size, "bore"))
        foot = pose.moved(contact(tail, bore).apart_mm)
        self.placed.append(Placed(bore, foot.facing_back(), self.lining))
        further = foot.moved(5.0 / self.scale)
        self.breaks += [foot, further]
        self.placed.append(Placed(bore, further, self.lining))
        self.lining += 1
        return further, bore

    def _body(self, used: Used, foot: Pose, near: Shape, far: Shape, begun: Pose) -> tuple[Pose, Pose, Shape]:
        body = body_of(used.part, near, far)
        near, far = with_flats(near, body.flats_mm), with_flats(far, body.flats_mm)
        self.placed.append(Placed(near, foot.facing_back(), self.lining))
        heading = math.degrees(math.atan2(foot.along[1], foot.along[0]))
        if not body.turn_deg:
            self.placed.append(Placed(barrel(body, near, far), foot, self.lining))
            ahead = foot.moved(body.first_mm)
            tips = (foot.at(-near.tip_mm, 0.0), ahead.at(far.tip_mm, 0.0))
            middle = foot.at(body.first_mm / 2, 0.0)
            self.parts.append(LaidPart(used, middle, tips, body, heading, self.scale * body.flats_mm / 2))
            self.placed.append(Placed(far, ahead, self.lining))
            return ahead, begun, far
        centre = foot.moved(body.first_mm)
        turn = math.radians(body.turn_deg * (-1 if self.turned else 1))
        self.turned = not self.turned
        onward = centre._replace(along=_turned(centre.along, turn), across=_turned(centre.across, turn))
        ahead = onward.moved(body.second_mm)
        half = min(near.neck_mm, far.neck_mm) + 0.6 if body.tube else max(near.neck_mm + 0.6, far.neck_mm + 0.6, 0.5 * body.flats_mm)
        self.elbows.append(Elbow((foot.foot, centre.foot, ahead.foot), half * self.scale, min(body.bores_mm) * self.scale, body.tube))
        self.parts.append(LaidPart(used, centre.foot, None, body, heading, half * self.scale))
        self.axes.append((begun.at(-4 / self.scale, 0.0), centre.at(2 / self.scale, 0.0)))
        self.placed.append(Placed(far, ahead, self.lining))
        return ahead, onward.moved(2 / self.scale), far


def _turned(way: Point, turn: float) -> Point:
    x, y = way
    turned = (x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn))
    return round(turned[0], 12), round(turned[1], 12)


def _laid_joint(last: Shape, pose: Pose, near: Shape, foot: Pose, met: Contact) -> LaidJoint:
    judged = mate(last.end, near.end)
    of_last, (along, away) = seal_place(last, near, met, judged.seal is not None and judged.seal.kind == "metal-cone")
    seat = pose if of_last else foot.facing_back()
    heading = math.degrees(math.atan2(pose.along[1], pose.along[0]))
    return LaidJoint(last.end, near.end, seat.at(along, away), heading)


def render(canvas: Canvas, run: Run) -> None:
    """Draw a laid-out run: shapes, elbows, centre lines."""
    draw(canvas, run.placed)
    for elbow in run.elbows:
        _draw_elbow(canvas, elbow)
    for pose in run.breaks:
        outer = max(placed.shape.neck_mm for placed in run.placed if placed.shape.end.form == "bore")
        ends = pose.at(0.0, -outer - 1.0), pose.at(0.0, outer + 1.0)
        canvas.line(*ends, "none")
        free_hand(canvas, *ends)
    for start, end_ in run.axes:
        axis(canvas, start, end_)


def elbow_sides(elbow: Elbow, half: float) -> tuple[list[Point], list[Point]]:
    """The two sides of a bent body: the outer with a round corner, the inner with a sharp one."""
    (x0, y0), (cx, cy), (x1, y1) = elbow.path
    way_in = math.atan2(cy - y0, cx - x0)
    way_out = math.atan2(y1 - cy, x1 - cx)
    turn = way_out - way_in
    left = 1.0 if turn > 0 else -1.0

    def beside(point: Point, way: float, by: float) -> Point:
        return point[0] + math.sin(way) * by, point[1] - math.cos(way) * by

    outer = [beside(elbow.path[0], way_in, half * left)]
    outer += [beside(elbow.path[1], way_in + turn * n / 8, half * left) for n in range(9)]
    outer.append(beside(elbow.path[2], way_out, half * left))
    back = half * math.tan(abs(turn) / 2)
    corner = beside(elbow.path[1], way_in, -half * left)
    inner_corner = corner[0] - math.cos(way_in) * back, corner[1] - math.sin(way_in) * back
    inner = [beside(elbow.path[0], way_in, -half * left), inner_corner, beside(elbow.path[2], way_out, -half * left)]
    return outer, inner


def _draw_elbow(canvas: Canvas, elbow: Elbow) -> None:
    outer, inner = elbow_sides(elbow, elbow.half_mm)
    canvas.lines([*outer, *reversed(inner)], "outline", PAPER, closed=True, name="elbow")
    for side in elbow_sides(elbow, elbow.bore_mm):
        canvas.lines(side, "hidden")


def _elbow_box(elbow: Elbow) -> Box:
    xs = [x for side in elbow_sides(elbow, elbow.half_mm) for x, _ in side]
    ys = [y for side in elbow_sides(elbow, elbow.half_mm) for _, y in side]
    return Box(min(xs), min(ys), max(xs), max(ys))
