"""Marks, words and dimensions around a drawing, each put where nothing else lies."""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from fittings.drawing.lettering import ASCENT, DESCENT, LINE, Box, width_mm, wrapped
from fittings.drawing.svg import INK, Canvas, Point, number, on_circle
from fittings.units import MM_PER_IN, Units

BALLOON_MM = 2.9
TEXT_MM = 3.2
_AROUND = (0, 18, -18, 36, -36, 54, -54, 72, -72, 90, -90, 120, -120, 150, -150, 180)


class Label(NamedTuple):
    """A mark in a balloon with words beside it, led to a point of the drawing; `towards_deg` where it would rather lie.
    Without a mark it is words alone."""

    at: Point
    towards_deg: float
    mark: str
    words: str = ""
    nearest_mm: float = 10.0


def place(canvas: Canvas, labels: Iterable[Label], taken: list[Box], solid: Sequence[Box] = ()) -> None:
    """Set labels around a drawing, clear of `taken` rectangles and of one another; adds their own to `taken`. No leader
    runs through a `solid` rectangle."""
    led: list[tuple[Point, Point]] = []
    for label in labels:
        wide = 2 * BALLOON_MM + (1.2 + width_mm(label.words, TEXT_MM) if label.words else 0.0)
        closed = [*canvas.texts, *solid]
        centre = _free_place(label, wide, taken, closed, led) or _free_place(label, wide, taken, closed, ())
        if centre is None:
            centre = on_circle(label.at, label.nearest_mm + 150.0, label.towards_deg)
        led.append((label.at, centre))
        leftwards = _leftwards(label, centre)
        canvas.line(_edge(centre, label.at) if label.mark else centre, label.at, "thin", "leader")
        canvas.circle(label.at, 0.55, "none", INK)
        if label.mark:
            canvas.balloon(centre, label.mark)
        if label.words:
            beside = BALLOON_MM + 1.2 if label.mark else 0.9
            side = -beside if leftwards else beside
            canvas.text((centre[0] + side, centre[1] + 0.36 * TEXT_MM), label.words, TEXT_MM, "end" if leftwards else "start")
        taken.append(_label_box(centre, wide, leftwards))


def _leftwards(label: Label, centre: Point) -> bool:
    return centre[0] < label.at[0] - 1.0


def _label_box(centre: Point, wide: float, leftwards: bool) -> Box:
    left = centre[0] + BALLOON_MM - wide if leftwards else centre[0] - BALLOON_MM
    return Box(left, centre[1] - BALLOON_MM, left + wide, centre[1] + BALLOON_MM).grown(0.8)


def _edge(centre: Point, at: Point) -> Point:
    turn = math.degrees(math.atan2(at[1] - centre[1], at[0] - centre[0]))
    return on_circle(centre, BALLOON_MM, turn)


def _free_place(label: Label, wide: float, taken: Sequence[Box], closed: Sequence[Box],
                led: Sequence[tuple[Point, Point]]) -> Point | None:
    """The nearest place where a label lies on nothing, and its leader runs through no word and over none of `led`."""
    for step in range(60 if not led else 12):
        for turn in _AROUND:
            centre = on_circle(label.at, label.nearest_mm + 2.5 * step, label.towards_deg + turn)
            box = _label_box(centre, wide, _leftwards(label, centre))
            if any(box.meets(other) for other in taken):
                continue
            if any(crosses(label.at, centre, other) for other in closed):
                continue
            if any(_cut(label.at, centre, *other) or crosses(*other, box.grown(-0.8)) for other in led):
                continue
            return centre
    return None


def _cut(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two lines cross between their ends."""
    def side(one: Point, other: Point, of: Point) -> float:
        return (other[0] - one[0]) * (of[1] - one[1]) - (other[1] - one[1]) * (of[0] - one[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def crosses(start: Point, end: Point, box: Box) -> bool:
    """Whether a straight line runs through a rectangle."""
    count = max(2, int(math.dist(start, end) / 0.8))
    return any(
        box.left < start[0] + (end[0] - start[0]) * n / count < box.right
        and box.top < start[1] + (end[1] - start[1]) * n / count < box.bottom
        for n in range(count + 1)
    )


def across(canvas: Canvas, left: Point, right: Point, level: float, words: str, guessed: bool = False,
           taken: list[Box] | None = None, name: str = "", others: Sequence[float] = ()) -> None:
    """A horizontal dimension at height `level` between two points; dashed where the figure is an estimate. Its words stand
    where none of the `others`, upright lines of neighbouring dimensions, runs through them; where they find no such room,
    the figure alone."""
    pen = "estimate" if guessed else "thin"
    (x1, y1), (x2, y2) = left, right
    for x, y in ((x1, y1), (x2, y2)):
        way = 1.0 if level > y else -1.0
        canvas.line((x, y + way * 0.8), (x, level + way * 1.2), pen)
        if taken is not None:
            taken.append(Box(x - 0.5, min(y, level), x + 0.5, max(y, level)))
    if abs(x2 - x1) > 6.0:
        canvas.line((x1, level), (x2, level), pen, name)
        canvas.arrow((x1, level), 180.0)
        canvas.arrow((x2, level), 0.0)
    else:
        canvas.line((x1 - 5.0, level), (x2 + 5.0, level), pen, name)
        canvas.arrow((x1, level), 0.0)
        canvas.arrow((x2, level), 180.0)
    size = TEXT_MM
    begin = _words_begin(x1, x2, width_mm(words, size), others)
    if begin is None:
        words = words.removesuffix(" estimate").removesuffix(", drawn longer")
        begin = _words_begin(x1, x2, width_mm(words, size), others)
    if begin is None:
        begin = (x1 + x2 - width_mm(words, size)) / 2
    if x1 < begin < x2:
        set_at = canvas.text((begin, level - 0.9), words, size)
    else:
        near, far = (x2, x2 + 6.0) if begin > x2 else (x1, x1 - 6.0)
        canvas.line((near, level), (far, level), pen)
        set_at = canvas.text((begin, level + 0.35 * size), words, size)
    if taken is not None:
        taken.append(Box(min(x1, x2) - 3.0, level - 1.5, max(x1, x2) + 3.0, level + 1.5))
        taken.append(set_at.grown(0.6))


def _words_begin(x1: float, x2: float, wide: float, others: Sequence[float]) -> float | None:
    """Where the words of a dimension begin: between its arrows, else to the right, else to the left of it; None: nowhere."""
    begins = []
    if x2 - x1 > wide + 7.0:
        stops = sorted([x1 + 2.6, x2 - 2.6, *(x for x in others if x1 + 2.6 < x < x2 - 2.6)])
        gaps = [(one, other) for one, other in zip(stops, stops[1:], strict=False) if other - one > wide + 1.6]
        begins = sorted(((one + other - wide) / 2 for one, other in gaps), key=lambda begin: abs(begin + wide / 2 - (x1 + x2) / 2))
    begins += [x2 + 7.0, x1 - 7.0 - wide]
    free = (begin for begin in begins if not any(begin - 0.6 < x < begin + wide + 0.6 for x in others))
    return next(free, None)


def upright(canvas: Canvas, top: Point, bottom: Point, at: float, words: str, guessed: bool = False,
            taken: list[Box] | None = None, name: str = "") -> None:
    """A vertical dimension at `at` between two points, its words lying level beside it."""
    pen = "estimate" if guessed else "thin"
    (x1, y1), (x2, y2) = top, bottom
    for x, y in ((x1, y1), (x2, y2)):
        way = 1.0 if at > x else -1.0
        canvas.line((x + way * 0.8, y), (at + way * 1.2, y), pen)
        if taken is not None:
            taken.append(Box(min(x, at), y - 0.5, max(x, at), y + 0.5))
    size = TEXT_MM
    if abs(y2 - y1) > 6.0:
        canvas.line((at, y1), (at, y2), pen, name)
        canvas.arrow((at, y1), -90.0)
        canvas.arrow((at, y2), 90.0)
    else:
        canvas.line((at, y1 - 5.0), (at, y2 + 5.0), pen, name)
        canvas.arrow((at, y1), 90.0)
        canvas.arrow((at, y2), -90.0)
    right = at > max(x1, x2)
    set_at = canvas.text((at + (1.4 if right else -1.4), (y1 + y2) / 2 + 0.35 * size), words, size, "start" if right else "end")
    if taken is not None:
        taken.append(Box(at - 1.5, min(y1, y2) - 3.0, at + 1.5, max(y1, y2) + 3.0))
        taken.append(set_at.grown(0.6))


class Row(NamedTuple):
    """A line of the list under a drawing: its mark, its first words in bold, and the rest."""

    mark: str
    head: str
    lines: tuple[str, ...]


def listing(canvas: Canvas, rows: Iterable[Row], left: float, top: float, wide: float, size: float = TEXT_MM) -> float:
    """The list under a drawing; returns where it ends."""
    y = top
    for row in rows:
        canvas.balloon((left + BALLOON_MM, y + BALLOON_MM), row.mark)
        x, room = left + 2 * BALLOON_MM + 2.5, wide - 2 * BALLOON_MM - 2.5
        y += BALLOON_MM + 0.36 * size
        for line in wrapped(row.head, size, room, bold=True):
            canvas.text((x, y), line, size, bold=True)
            y += LINE * size
        for each in row.lines:
            for line in wrapped(each, size, room):
                canvas.text((x, y), line, size)
                y += LINE * size
        y += 0.4 - ASCENT * size + BALLOON_MM / 2
    return y


def paragraph(canvas: Canvas, words: str, left: float, top: float, wide: float, size: float = 2.8, bold: bool = False) -> float:
    """Words in lines no wider than `wide`; returns where they end."""
    y = top + ASCENT * size
    for line in wrapped(words, size, wide, bold=bold):
        canvas.text((left, y), line, size, bold=bold)
        y += LINE * size
    return y - LINE * size + DESCENT * size + 0.5


def scale_words(scale: float) -> str:
    """A scale as drawings state it.

    >>> scale_words(2), scale_words(0.5)
    ('2:1', '1:2')
    """
    return f"{number(scale)}:1" if scale >= 1 else f"1:{number(1 / scale)}"


def scale_bar(canvas: Canvas, left: float, top: float, scale: float, units: Units = "both") -> float:
    """A bar of known length of the thing drawn, in steps of 10 mm, or of half an inch where inches alone are asked for, with
    the scale; returns where it ends."""
    steps = 4 if scale <= 1 else 2
    unit, unit_mm, step, more = ("in", MM_PER_IN, 0.5, 4) if units == "inch" else ("mm", 1.0, 10.0, 5)
    while step * unit_mm * steps * scale > 60.0:
        step /= 2
    while step * unit_mm * steps * scale < 15.0:
        step *= more
    for n in range(steps):
        x1, x2 = (left + each * step * unit_mm * scale for each in (n, n + 1))
        canvas.lines([(x1, top), (x2, top), (x2, top + 1.6), (x1, top + 1.6)], "thin", INK if n % 2 == 0 else "none", closed=True,
                     name="bar")
    words = f"the bar is {number(step * steps)} {unit}; scale {scale_words(scale)} when printed without scaling"
    canvas.text((left + steps * step * unit_mm * scale + 2.0, top + 1.9), words, 2.8)
    return top + 4.0


PREFERRED = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1)
"""Scales of ISO 5455 that drawings here use."""


def scale_for(wide_mm: float, high_mm: float, room: Point, largest: float = 2.0) -> float:
    """The largest preferred scale (ISO 5455) at which a thing fits a room, both in mm."""
    fits = [each for each in PREFERRED if each <= largest and wide_mm * each <= room[0] and high_mm * each <= room[1]]
    return fits[0] if fits else PREFERRED[-1]
