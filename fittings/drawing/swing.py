"""A hose across a pivot: both ports, the hose at both ends of the motion and at its worst, and the bend it allows."""

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from fittings.circuit.curve import Pose, ahead, calmest, points, slack_curve
from fittings.circuit.hose import Hose
from fittings.circuit.lengths import Laid, Position, end_length_mm, straight_behind_mm
from fittings.circuit.route import Swing
from fittings.circuit.rules import rule_value
from fittings.drawing.callouts import Label, Row, listing, paragraph, place, scale_bar, scale_for
from fittings.drawing.chain import WIDE_MM
from fittings.drawing.lettering import Box, box
from fittings.drawing.svg import INK, MARGIN_MM, NARROW_MM, PAPER, Canvas, Point, on_circle
from fittings.units import Units, format_least_length, format_length, format_reached_length

ROOM_MM = (140.0, 120.0)


class _Drawn(NamedTuple):
    """The hose at one position: its letter, what the position is, its path in mm (y upwards), where it bends most and the
    centre of the bend that the hose allows there (None for a straight or a taut one), whether it can be laid at all."""

    letter: str
    says: str
    position: Position
    path: tuple[Point, ...]
    tightest: tuple[Point, Point] | None
    lies: bool


def swing_svg(motion: Swing, hose: Hose, route: Laid, units: Units = "both", listed: bool = True, root: bool = True) -> str:
    """A swing as SVG: what `circuit.route.swing(motion, hose)` found, drawn to the scale it states.

    The pivot is a ringed cross; ports are blocks, each with the way it looks; a dashed circle is the least bend of the
    hose, laid against its tightest place. `units` as in `units.format_length`; `listed` False leaves out the list,
    `root` False the XML line.

    >>> from fittings.circuit.hose import hose
    >>> from fittings.circuit.route import Swing, swing
    >>> log = Swing(254, 355.6, (40, 150))
    >>> "pivot" in swing_svg(log, hose("2SN", "-8"), swing(log, hose("2SN", "-8")))
    True
    """
    laid = _all_laid(motion, hose, route)
    reach = [(0.0, 0.0), *(point for each in laid for point in each.path)]
    wide, high = (max(point[n] for point in reach) - min(point[n] for point in reach) for n in (0, 1))
    scale = scale_for(wide + 60.0, high + 60.0, ROOM_MM, 1.0)
    canvas = Canvas(f"Hose {hose.type} {hose.size} across a pivot", "; ".join(each.says for each in laid), scale)

    def page(point: Point) -> Point:
        return point[0] * scale, -point[1] * scale

    taken: list[Box] = []
    for each in reversed(laid):
        path = [page(point) for point in each.path]
        canvas.tube(path, max(hose.od_known_mm * scale, 1.2), dashed=not each.lies)
        taken += [Box(x - 2.0, y - 2.0, x + 2.0, y + 2.0) for x, y in path[:: max(1, len(path) // 40)]]
    _allowed(canvas, laid, hose, scale, page, taken)
    for n, each in enumerate(laid):
        _port(canvas, page(each.path[-1]), page(each.path[-2]), taken)
        canvas.line(page((0.0, 0.0)), page(_moving(motion, each.position.angle_deg)), "phantom", "arm")
        if n == 0:
            _port(canvas, page(each.path[0]), page(each.path[1]), taken)
            canvas.line(page((0.0, 0.0)), page(each.path[0]), "phantom", "arm")
    arms = [place_ for each in laid for place_ in _along((0.0, 0.0), page(_moving(motion, each.position.angle_deg)))]
    _motion(canvas, motion, scale, taken, arms)
    _pivot(canvas, (0.0, 0.0), taken)
    place(canvas, [Label(page(each.path[len(each.path) // 2]), 90.0 - 60 * n, each.letter) for n, each in enumerate(laid)], taken)
    place(canvas, [Label((0.0, 0.0), 160.0, "P"), Label(page(laid[0].path[0]), 60.0, "F")], taken)
    held = canvas.extent
    end = scale_bar(canvas, held.left, held.bottom + 4.0, scale, units)
    if listed:
        _words(canvas, motion, hose, route, laid, units, held.left, end + 3.0)
    return canvas.svg(MARGIN_MM if listed else NARROW_MM, root=root)


def _all_laid(motion: Swing, hose: Hose, route: Laid) -> list[_Drawn]:
    return [_lay(motion, hose, route, position, "abc"[n], says) for n, (position, says) in enumerate(_shown(motion, route))]


def _shown(motion: Swing, route: Laid) -> list[tuple[Position, str]]:
    """Both ends of the motion, and the worst position when it is neither."""
    by_angle = {each.angle_deg: each for each in route.positions}
    found = []
    worst = route.tightest_at_deg
    for angle in motion.angle_deg:
        if angle in by_angle:
            also = " and the tightest place" if angle == worst else " and the longest way" if angle == route.longest_at_deg else ""
            found.append((by_angle[angle], f"end of the motion{also}"))
    if worst in by_angle and worst not in motion.angle_deg:
        found.append((by_angle[worst], "the tightest place"))
    return found


def _moving(motion: Swing, angle_deg: float) -> Point:
    turn = math.radians(angle_deg)
    return motion.pivot_to_to_mm * math.cos(turn), motion.pivot_to_to_mm * math.sin(turn)


def _lay(motion: Swing, hose: Hose, route: Laid, position: Position, letter: str, says: str) -> _Drawn:
    fixed, moving = (motion.pivot_to_from_mm, 0.0), _moving(motion, position.angle_deg)
    if motion.from_points_deg is None or motion.to_points_deg is None:
        return _arc(hose, route, position, letter, says, fixed, moving)
    theta = math.radians(position.angle_deg)
    start = Pose(*fixed, math.radians(motion.from_points_deg))
    goal = Pose(*moving, theta + math.radians(motion.to_points_deg) + math.pi)
    stub = end_length_mm(hose) + straight_behind_mm(hose)
    begin, finish = ahead(start, stub), ahead(goal, -stub)
    most, least = math.radians(rule_value("most-turning")), hose.bend_to_centre_mm
    slack = slack_curve(begin, finish, route.build_length_mm - 2 * stub, least, most)
    curve, from_, lies = calmest(begin, finish, least, most), begin, False
    if slack is not None:
        curve, from_ = slack.curve, ahead(begin, slack.straight_mm)
        lies = curve.radius_mm >= least - 0.5
    run = points(from_, curve, 8.0)
    path = (fixed, (begin.x_mm, begin.y_mm), *run, (finish.x_mm, finish.y_mm), moving)
    return _Drawn(letter, says, position, path, _tightest(run, least), lies)


def _arc(hose: Hose, route: Laid, position: Position, letter: str, says: str, fixed: Point, moving: Point) -> _Drawn:
    """Ends that turn freely: an arc of the hose's length, bowed away from the pivot."""
    radius, chord = position.radius_mm, position.chord_mm
    least = hose.bend_to_centre_mm
    if radius is None or not math.isfinite(radius) or chord >= route.build_length_mm:
        return _Drawn(letter, says, position, (fixed, moving), None, radius is not None)
    half = math.radians(position.turning_deg) / 2
    middle = (fixed[0] + moving[0]) / 2, (fixed[1] + moving[1]) / 2
    out = math.hypot(*middle) or 1.0
    away = middle[0] / out, middle[1] / out
    normal = away
    if chord > 1e-6:
        normal = -(moving[1] - fixed[1]) / chord, (moving[0] - fixed[0]) / chord
        if normal[0] * away[0] + normal[1] * away[1] < 0:
            normal = -normal[0], -normal[1]
    centre = middle[0] - normal[0] * radius * math.cos(half), middle[1] - normal[1] * radius * math.cos(half)
    begin = math.atan2(fixed[1] - centre[1], fixed[0] - centre[0])
    way = 1.0 if _turn(fixed, moving, normal) else -1.0
    path = tuple((centre[0] + radius * math.cos(begin + way * 2 * half * n / 48),
                  centre[1] + radius * math.sin(begin + way * 2 * half * n / 48)) for n in range(49))
    return _Drawn(letter, says, position, path, _tightest(path, least), radius >= least - 0.5)


def _turn(fixed: Point, moving: Point, normal: Point) -> bool:
    """Whether the arc over the chord runs counter-clockwise when it bows towards `normal`."""
    return (moving[0] - fixed[0]) * normal[1] - (moving[1] - fixed[1]) * normal[0] < 0


def _tightest(path: Sequence[Point], least: float) -> tuple[Point, Point] | None:
    """The place where a path turns most, and the centre of a circle of radius `least` laid against it from inside."""
    best, found = 1e-6, None
    for n in range(2, len(path) - 2):
        (x0, y0), (x1, y1), (x2, y2) = path[n - 2], path[n], path[n + 2]
        area = (x1 - x0) * (y2 - y0) - (y1 - y0) * (x2 - x0)
        sides = math.dist(path[n - 2], path[n]) * math.dist(path[n], path[n + 2]) * math.dist(path[n - 2], path[n + 2])
        bend = abs(2 * area / sides) if sides else 0.0
        middle = abs(n - len(path) / 2) / len(path)
        if bend > best * 1.001 or (found is not None and bend > best * 0.999 and middle < 0.02):
            best = max(best, bend)
            chord = math.dist(path[n - 2], path[n + 2]) or 1.0
            side = 1.0 if area > 0 else -1.0
            normal = -(y2 - y0) / chord * side, (x2 - x0) / chord * side
            found = (x1, y1), (x1 + normal[0] * least, y1 + normal[1] * least)
    return found


def _along(start: Point, end: Point) -> list[Box]:
    """Small rectangles along a line, for words to keep clear of."""
    count = max(1, round(math.dist(start, end)))
    places = [(start[0] + (end[0] - start[0]) * n / count, start[1] + (end[1] - start[1]) * n / count) for n in range(count + 1)]
    return [Box(x - 0.6, y - 0.6, x + 0.6, y + 0.6) for x, y in places]


def _allowed(canvas: Canvas, laid: Sequence[_Drawn], hose: Hose, scale: float, page: Callable[[Point], Point], taken: list[Box]) -> None:
    """The least bend of the hose, a dashed circle at the tightest place of the position that is worst."""
    bent = [each for each in laid if each.tightest is not None]
    if not bent:
        return
    worst = min(bent, key=lambda each: each.position.radius_mm or math.inf)
    assert worst.tightest is not None
    centre = page(worst.tightest[1])
    radius = hose.bend_to_centre_mm * scale
    canvas.circle(centre, radius, "hidden", name="least-bend")
    tip = page(worst.tightest[0])
    canvas.line(centre, tip, "thin")
    taken += _along(centre, tip)
    canvas.arrow(tip, math.degrees(math.atan2(tip[1] - centre[1], tip[0] - centre[0])))


def _port(canvas: Canvas, at: Point, looks_to: Point, taken: list[Box]) -> None:
    """A port: a small block behind the end of the hose, square to the way it looks."""
    dx, dy = looks_to[0] - at[0], looks_to[1] - at[1]
    length = math.hypot(dx, dy) or 1.0
    along, across = (dx / length, dy / length), (-dy / length, dx / length)
    corners = [(at[0] + along[0] * a + across[0] * b, at[1] + along[1] * a + across[1] * b)
               for a, b in ((-4.0, -3.0), (0.0, -3.0), (0.0, 3.0), (-4.0, 3.0))]
    canvas.lines(corners, "outline", PAPER, closed=True, name="port")
    canvas.hatch(corners, 45, 1.0)
    taken.append(Box(min(x for x, _ in corners), min(y for _, y in corners), max(x for x, _ in corners),
                     max(y for _, y in corners)))


def _motion(canvas: Canvas, motion: Swing, scale: float, taken: list[Box], arms: Sequence[Box]) -> None:
    """The angle that the moving port turns through, about the pivot, where its figure finds room."""
    shorter = min(motion.pivot_to_from_mm, motion.pivot_to_to_mm) * scale
    first, last = (-angle for angle in motion.angle_deg)
    words = f"{abs(last - first):g}°"
    for radius in (0.4 * shorter, 0.55 * shorter, 0.7 * shorter):
        if radius < 7.0 or math.radians(abs(last - first)) * radius < 8.0:
            continue
        places = [on_circle((0.0, 0.0), radius + off, first + (last - first) * part)
                  for part in (0.5, 0.35, 0.65, 0.25, 0.75) for off in (3.6, -4.4)]
        free = (at for at in places if not any(box(at[0], at[1] + 1.1, words, 3.2, "middle").meets(other) for other in (*taken, *arms)))
        found = next(free, None)
        if found is not None:
            break
    else:
        return
    canvas.arc((0.0, 0.0), radius, first, last, "thin", "motion")
    way = 1.0 if last > first else -1.0
    for at, turn in ((first, -90.0 * way), (last, 90.0 * way)):
        canvas.arrow(on_circle((0.0, 0.0), radius, at), at + turn)
    taken.append(canvas.text((found[0], found[1] + 1.1), words, 3.2, "middle").grown(0.8))


def _pivot(canvas: Canvas, at: Point, taken: list[Box]) -> None:
    canvas.circle(at, 2.4, "outline", PAPER, "pivot")
    canvas.circle(at, 0.7, "none", INK)
    for dx, dy in ((4.0, 0.0), (0.0, 4.0)):
        canvas.line((at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy), "axis")
    taken.append(Box(at[0] - 4, at[1] - 4, at[0] + 4, at[1] + 4))


def _words(canvas: Canvas, motion: Swing, hose: Hose, route: Laid, laid: Sequence[_Drawn], units: Units, left: float, top: float) -> None:
    y = paragraph(canvas, canvas.title, left, top, WIDE_MM, 4.0, bold=True)
    order = (f"Order {format_length(route.build_length_mm, units)} long; least bend "
             f"{format_least_length(hose.bend_to_centre_mm, units)} to its centre line, the dashed circle")
    y = paragraph(canvas, order, left, y + 0.5, WIDE_MM, 3.2) + 2.0
    y = listing(canvas, _rows(motion, hose, laid, units), left, y, WIDE_MM)
    for finding in route.findings:
        mark = {"refuse": "NO: ", "warn": "! "}.get(finding.level, "– ")
        y = paragraph(canvas, f"{mark}{finding.text}", left, y, WIDE_MM, 3.0, bold=finding.level == "refuse") + 0.6


def swing_rows(motion: Swing, hose: Hose, route: Laid, units: Units = "both") -> list[Row]:
    """The list that belongs to the drawing of a swing: pivot, port, and the positions drawn."""
    return _rows(motion, hose, _all_laid(motion, hose, route), units)


def _rows(motion: Swing, hose: Hose, laid: Sequence[_Drawn], units: Units) -> list[Row]:
    rows = [Row("P", "pivot", (f"turns from {motion.angle_deg[0]:g}° to {motion.angle_deg[1]:g}°",)),
            Row("F", "port that stands still", ())]
    return rows + [_row(each, hose, units) for each in laid]


def _row(each: _Drawn, hose: Hose, units: Units) -> Row:
    chord = f"{format_length(each.position.chord_mm, units)} from port to port"
    radius = each.position.radius_mm
    if radius is None:
        bend = f"the easiest way turns {each.position.turning_deg:.0f}° in all"
    elif not math.isfinite(radius):
        bend = "straight"
    else:
        grown = each.position.radius_grown_mm
        bend = f"bends to {format_reached_length(radius, units)} as ordered"
        if grown is not None and math.isfinite(grown) and abs(grown - radius) > 0.5:
            bend += f", {format_reached_length(grown, units)} when it is at its longest"
        if radius < hose.bend_to_centre_mm - 0.5:
            bend += ": tighter than it allows"
    return Row(each.letter, f"{each.position.angle_deg:g}°, {each.says}", (f"{chord}; {bend}",))
