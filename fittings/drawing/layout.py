"""A run of parts laid out on the page: each joint pushed home, each elbow turned, the hose between two tails cut short."""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from fittings.chain import Used, bends
from fittings.drawing.blanks import blank
from fittings.drawing.bodies import Body, Size, barrel, body_of, in_a_part, rounded, stub, with_flats
from fittings.drawing.bulkhead import through_wall
from fittings.drawing.bushing import bushing
from fittings.drawing.fork import Branch, Fork, junction, outline
from fittings.drawing.lettering import Box
from fittings.drawing.section import Placed, Pose, axis, boxes, draw, free_hand
from fittings.drawing.shapes import shape
from fittings.drawing.solids import Contact, Shape, contact, seal_place
from fittings.drawing.svg import PAPER, Canvas, Point
from fittings.ends import End, end
from fittings.mating import mate
from fittings.parts import Part


class Elbow(NamedTuple):
    """A bent body: the path of its axis on the page, half its width, its bore's radius, whether it is a bent tube."""

    path: tuple[Point, Point, Point]
    half_mm: float
    bore_mm: float
    tube: bool


class Tee(NamedTuple):
    """The body of a tee or cross on the page: its centre; of each arm the foot, half its width, the radius of its passage."""

    centre: Point
    feet: tuple[Point, ...]
    halves_mm: tuple[float, ...]
    bores_mm: tuple[float, ...]


class LaidJoint(NamedTuple):
    """A joint on the page: its two ends, where its seal is, the side its section is on (degrees clockwise from the x axis)."""

    a: End
    b: End
    seal: Point
    section_deg: float


class Open(NamedTuple):
    """A free end on the page: where its thread or seat is, the side its section is on (degrees), what is said of it."""

    end: End
    at: Point
    section_deg: float
    says: str


class LaidPart(NamedTuple):
    """A part on the page: its mark (none for the crimped end of a hose: it comes with the hose), its middle, the points that
    its dimensions run between (tip and tip of a straight part, centre and tip of each leg of another), its size, the way
    the run goes at its near end, half its width, and whether a hose goes on from it."""

    mark: str
    part: Part
    middle: Point
    spans: tuple[tuple[Point, Point], ...]
    size: Size
    heading_deg: float
    half_mm: float
    into_hose: bool = False

    @property
    def straight(self) -> bool:
        """Whether it is measured from tip to tip."""
        return self.size.overall_mm is not None or len(self.spans) == 1


class Run(NamedTuple):
    """Everything that a drawing of a run needs; page coordinates in mm at `scale`."""

    placed: tuple[Placed, ...]
    elbows: tuple[Elbow, ...]
    tees: tuple[Tee, ...]
    joints: tuple[LaidJoint, ...]
    parts: tuple[LaidPart, ...]
    opens: tuple[Open, ...]
    axes: tuple[tuple[Point, Point], ...]
    breaks: tuple[Pose, ...]
    scale: float

    @property
    def extent(self) -> Box:
        """Rectangle around the shapes."""
        found = self._boxes(0.0)
        return Box(min(each.left for each in found), min(each.top for each in found), max(each.right for each in found),
                   max(each.bottom for each in found))

    def taken(self) -> list[Box]:
        """Rectangles that words must keep clear of."""
        return self._boxes(0.8)

    def _boxes(self, gap: float) -> list[Box]:
        bodies = [_around(point for side in elbow_sides(each, each.half_mm) for point in side) for each in self.elbows]
        bodies += [_around(point for side in outline(each.centre, each.feet, each.halves_mm) for point in side) for each in self.tees]
        return boxes(self.placed, gap) + bodies


def lay_out(start: End | Fork, uses: Sequence[Used], leads_to: End | Fork | None, scale: float) -> Run:
    """The run from `start` through these parts to an end or a tee, at a scale, beginning at 0, 0 and going to the right.

    Two hose tails that follow one another have their hose between them, cut short. A tee at the start has nothing on its
    mouth, and everything else on its branches.
    """
    layer = _Layer(scale)
    pose = Pose((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), scale)
    if isinstance(start, Fork):
        layer.begin_at_fork(start, pose)
    else:
        of = shape(start)
        layer.free(of, pose)
        layer.go_on(pose, of, uses, leads_to, pose)
    return layer.laid()


def lay_out_part(part: Part, scale: float, at: Point = (0.0, 0.0)) -> Run:
    """A part by itself, its first end to the left with its foot at a place of the page."""
    layer = _Layer(scale)
    pose = Pose(at, (1.0, 0.0), (0.0, 1.0), scale)
    if len(part.ends) == 1:
        layer.blank(part, pose)
    elif len(part.ends) == 2:
        layer.alone(Used(part, *part.ends), pose)
    else:
        layer.begin_at_fork(Fork(part, part.ends[0], tuple(Branch(each) for each in part.ends[1:])), pose)
    return layer.laid()


class _Layer:
    def __init__(self, scale: float) -> None:
        self.scale = scale
        self.placed: list[Placed] = []
        self.elbows: list[Elbow] = []
        self.tees: list[Tee] = []
        self.joints: list[LaidJoint] = []
        self.parts: list[LaidPart] = []
        self.opens: list[Open] = []
        self.axes: list[tuple[Point, Point]] = []
        self.breaks: list[Pose] = []
        self.turned = False
        self.lining = 0

    def laid(self) -> Run:
        """What was laid."""
        return Run(tuple(self.placed), tuple(self.elbows), tuple(self.tees), tuple(self.joints), tuple(self.parts), tuple(self.opens),
                   tuple(self.axes), tuple(self.breaks), self.scale)

    def go_on(self, pose: Pose, last: Shape, uses: Sequence[Used], leads_to: End | Fork | None, begun: Pose, says: str = "") -> None:
        """Lay parts on an open end whose foot is at `pose`, and what they lead to; `begun` is where the centre line starts."""
        for used in uses:
            near, far = (self._in_its_part(used.part, each) for each in (used.near, used.far))
            if last.end.family == near.end.family == "hose" and last.end.form == near.end.form == "tail":
                pose, last = self._hose(pose, last)
            crimped = near.end.family == "hose" and last.end.form == "bore" and bool(self.breaks)
            foot = self._join(pose, last, near)
            pose, begun, last = self._body(used, foot, near, far, begun)
            if crimped:
                self.parts[-1] = self.parts[-1]._replace(mark="")
            self.lining += 1
        if leads_to is None:
            self._open(last, pose, says)
            self.axes.append((begun.at(-4 / self.scale, 0.0), pose.at(last.tip_mm + 4 / self.scale, 0.0)))
        elif isinstance(leads_to, Fork):
            mouth = self._in_its_part(leads_to.part, leads_to.mouth)
            self._fork(leads_to, self._join(pose, last, mouth), mouth, begun)
        else:
            of = shape(leads_to)
            foot = self._join(pose, last, of)
            self.free(of, foot.facing_back())
            self.axes.append((begun.at(-4 / self.scale, 0.0), foot.at(4 / self.scale, 0.0)))

    def begin_at_fork(self, fork: Fork, pose: Pose) -> None:
        """A tee with nothing on its mouth, turned so that the first branch with something on it goes to the right."""
        mouth = self._in_its_part(fork.part, fork.mouth)
        used = next((number for number, branch in enumerate(fork.branches) if branch.leads_to is not None), 0)
        turns = [arm.turn_deg for arm in junction(fork, [self._in_its_part(fork.part, each) for each in fork.ends]).arms]
        pose = pose.turned(-turns[1 + used] if fork.branches[used].leads_to is not None else 0.0)
        self._open(mouth, pose.facing_back(), fork.says)
        self._fork(fork, pose, mouth, pose.moved(-mouth.tip_mm))

    def alone(self, used: Used, pose: Pose) -> None:
        """A part of two ends with nothing on either."""
        near, far = (self._in_its_part(used.part, each) for each in (used.near, used.far))
        self._open(near, pose.facing_back())
        ahead, begun, far = self._body(used, pose, near, far, pose.moved(-near.tip_mm))
        self._open(far, ahead)
        self.axes.append((begun.at(-4 / self.scale, 0.0), ahead.at(far.tip_mm + 4 / self.scale, 0.0)))

    def blank(self, part: Part, pose: Pose) -> None:
        """A cap or plug."""
        closed, head, size = blank(part)
        if head is not None:
            self.placed.append(Placed(head, pose, self.lining))
        self.placed.append(Placed(closed, pose, self.lining))
        back = min(x for each in self.placed for piece in each.shape.pieces for x, _ in piece.outline)
        self._open(closed, pose)
        tips = pose.at(back, 0.0), pose.at(closed.tip_mm, 0.0)
        self.parts.append(LaidPart("1", part, pose.at(0.5 * back if head else 0.3 * closed.tip_mm, 0.0), (tips,), size, 0.0,
                                   self.scale * 0.5 * max(closed.flats_mm, closed.wide_mm)))
        self.axes.append((pose.at(back - 4 / self.scale, 0.0), pose.at(closed.tip_mm + 4 / self.scale, 0.0)))

    def free(self, of: Shape, pose: Pose) -> None:
        """An end of something that is not drawn: a port in its block, a swivel on a piece of its hose."""
        if not any(piece.kind == "block" for piece in of.pieces):
            self.placed.append(Placed(stub(of), pose, self.lining))
        self.placed.append(Placed(of, pose, self.lining))
        self.lining += 1

    def _in_its_part(self, part: Part, of: End) -> Shape:
        made = in_a_part(shape(of))
        bent = len(part.ends) > 2 or bends(part)
        return rounded(made) if bent else made

    def _open(self, of: Shape, pose: Pose, says: str = "") -> None:
        """Note an end that nothing is on."""
        for name in ("thread", "seal"):
            if name in of.marks:
                points = of.marks[name]
                middle = [sum(point[n] for point in points) / len(points) for n in (0, 1)]
                self.opens.append(Open(of.end, pose.at(*middle), _degrees(pose.across), says))
                return

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
        self.parts[-1] = self.parts[-1]._replace(into_hose=True, mark="")
        return further, bore

    def _body(self, used: Used, foot: Pose, near: Shape, far: Shape, begun: Pose) -> tuple[Pose, Pose, Shape]:
        body = body_of(used.part, near, far)
        if not body.turn_deg:
            return self._straight(used, body, foot, near, far, begun)
        near, far = with_flats(near, body.flats_mm), with_flats(far, body.flats_mm)
        self.placed.append(Placed(near, foot.facing_back(), self.lining))
        centre = foot.moved(body.first_mm)
        onward = centre.turned(body.turn_deg * (-1 if self.turned else 1))
        self.turned = not self.turned
        ahead = onward.moved(body.second_mm)
        half = min(near.neck_mm, far.neck_mm) + 0.6 if body.tube else max(near.neck_mm + 0.6, far.neck_mm + 0.6, 0.5 * body.flats_mm)
        self.elbows.append(Elbow((foot.foot, centre.foot, ahead.foot), half * self.scale, min(body.bores_mm) * self.scale, body.tube))
        self.axes.append((begun.at(-4 / self.scale, 0.0), centre.at(2 / self.scale, 0.0)))
        ahead = self._through_wall(body.wall_mm, far, ahead, body.flats_mm)
        self.placed.append(Placed(far, ahead, self.lining))
        spans = (centre.foot, foot.at(-near.tip_mm, 0.0)), (centre.foot, ahead.at(far.tip_mm, 0.0))
        self._note(used.part, centre.foot, spans, body.size, _degrees(foot.along), half * self.scale)
        return ahead, onward.moved(2 / self.scale), far

    def _straight(self, used: Used, body: Body, foot: Pose, near: Shape, far: Shape, begun: Pose) -> tuple[Pose, Pose, Shape]:
        ahead = foot.moved(body.first_mm)
        middle = foot.at(body.first_mm / 2, 0.0)
        if used.part.shape == "bushing":
            inside, outside, pose = (near, far, ahead) if near.end.side == "internal" else (far, near, foot.facing_back())
            overall = near.tip_mm + body.first_mm + far.tip_mm
            self.placed.append(Placed(bushing(inside, outside, body.flats_mm, overall), pose, self.lining))
            middle = pose.at((outside.tip_mm - overall) / 2, 0.0)
        else:
            near, far = with_flats(near, body.flats_mm), with_flats(far, body.flats_mm)
            self.placed.append(Placed(near, foot.facing_back(), self.lining))
            self.placed.append(Placed(barrel(body, near, far), foot, self.lining))
            ahead = self._through_wall(body.wall_mm, far, ahead, body.flats_mm)
            self.placed.append(Placed(far, ahead, self.lining))
        tips = (foot.at(-near.tip_mm, 0.0), ahead.at(far.tip_mm, 0.0))
        self._note(used.part, middle, (tips,), body.size, _degrees(foot.along), self.scale * body.flats_mm / 2)
        return ahead, begun, far

    def _through_wall(self, wall_mm: float, of: Shape, pose: Pose, flats_mm: float) -> Pose:
        """The long thread of a bulkhead before its end, and the locknut on it; returns where the end begins."""
        if wall_mm <= 0.0:
            return pose
        threaded, locknut = through_wall(of, wall_mm, flats_mm)
        self.placed += [Placed(threaded, pose, self.lining), Placed(locknut, pose, self.lining + 1)]
        return pose.moved(wall_mm)

    def _fork(self, fork: Fork, foot: Pose, mouth: Shape, begun: Pose) -> None:
        """A tee whose mouth has its foot at `foot`, and all that goes on from it."""
        shapes = [self._in_its_part(fork.part, each) for each in fork.ends]
        body = junction(fork, shapes)
        first = body.arms[0]
        foot = self._through_wall(first.wall_mm, mouth, foot, 2 * first.half_mm)
        centre = foot.moved(first.leg_mm)
        self.placed.append(Placed(mouth, foot.moved(-first.wall_mm).facing_back(), self.lining))
        arms = _branching(centre, [arm.turn_deg for arm in body.arms[1:]])
        feet = [way.moved(arm.leg_mm) for way, arm in zip(arms, body.arms[1:], strict=True)]
        self.tees.append(Tee(centre.foot, (foot.foot, *(each.foot for each in feet)), tuple(arm.half_mm * self.scale for arm in body.arms),
                             tuple(arm.bore_mm * self.scale for arm in body.arms)))
        starts = []
        spans = [(centre.foot, foot.at(-first.wall_mm - mouth.tip_mm, 0.0))]
        for each, arm, of in zip(feet, body.arms[1:], shapes[1:], strict=True):
            start = self._through_wall(arm.wall_mm, of, each, 2 * arm.half_mm)
            self.placed.append(Placed(of, start, self.lining))
            spans.append((centre.foot, start.at(of.tip_mm, 0.0)))
            starts.append(start)
        self._note(fork.part, centre.foot, tuple(spans), body.size, _degrees(foot.along), first.half_mm * self.scale)
        self.lining += 1
        self.axes.append((begun.at(-4 / self.scale, 0.0), centre.at(first.half_mm, 0.0)))
        for branch, way, start, of in zip(fork.branches, arms, starts, shapes[1:], strict=True):
            self.turned = False
            self.go_on(start, of, branch.uses, branch.leads_to, way.moved(4 / self.scale), branch.says)

    def _note(self, part: Part, middle: Point, spans: tuple[tuple[Point, Point], ...], size: Size, heading: float, half: float) -> None:
        """Note a part under its mark: numbers for what lies in a run, T for a tee."""
        tees = sum(each.mark.startswith("T") for each in self.parts)
        tee = f"T{tees + 1}" if tees else "T"
        mark = tee if len(part.ends) > 2 else str(sum(each.mark.isdigit() for each in self.parts) + 1)
        self.parts.append(LaidPart(mark, part, middle, spans, size, heading, half))


def _branching(centre: Pose, turns: Sequence[float]) -> list[Pose]:
    """The ways out of a tee; a single branch goes to the right or downwards on the page, where there is room."""
    ways = [centre.turned(turn) for turn in turns]
    off = [way.along for way, turn in zip(ways, turns, strict=True) if abs(turn) == 90.0]
    flip = len(off) == 1 and sum(off[0]) < 0.0
    return [centre.turned(-turn if flip and abs(turn) == 90.0 else turn) for turn in turns]


def _degrees(way: Point) -> float:
    return math.degrees(math.atan2(way[1], way[0]))


def _laid_joint(last: Shape, pose: Pose, near: Shape, foot: Pose, met: Contact) -> LaidJoint:
    judged = mate(last.end, near.end)
    of_last, (along, away) = seal_place(last, near, met, judged.seal is not None and judged.seal.on_cones)
    seat = pose if of_last else foot.facing_back()
    return LaidJoint(last.end, near.end, seat.at(along, away), _degrees(pose.across))


def render(canvas: Canvas, run: Run) -> None:
    """Draw a laid-out run: shapes, elbows, tees, centre lines."""
    draw(canvas, run.placed)
    for elbow in run.elbows:
        _draw_elbow(canvas, elbow)
    for tee in run.tees:
        _draw_tee(canvas, tee)
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


def _draw_tee(canvas: Canvas, tee: Tee) -> None:
    body = [point for side in outline(tee.centre, tee.feet, tee.halves_mm) for point in side]
    canvas.lines(body, "outline", PAPER, closed=True, name="tee")
    for side in outline(tee.centre, tee.feet, tee.bores_mm):
        canvas.lines(side, "hidden")


def _around(points: Iterable[Point]) -> Box:
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))
