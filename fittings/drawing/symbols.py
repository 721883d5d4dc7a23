"""Symbols of hydraulic components after ISO 1219-1, in plain lines, and where their ports are.

Each symbol is drawn around its own corner: x to the right, y downwards, in mm of the page.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from fittings.drawing.svg import INK, PAPER, Canvas, Point, direction_deg


class Symbol(NamedTuple):
    """A component's symbol: width and height in mm, where each of its ports leaves (x along the top or bottom edge, and
    which edge), how it is drawn from its top left corner, whether it is an empty box that a name can stand in."""

    wide: float
    high: float
    ports: Mapping[str, tuple[float, str]]
    draw: Callable[[Canvas, Point], None]
    plain: bool = False


def spread(names: Sequence[str], wide: float) -> dict[str, float]:
    """Places of ports along an edge, evenly."""
    step = wide / max(1, len(names))
    return {name: step * (n + 0.5) for n, name in enumerate(names)}


def box(top: Sequence[str], bottom: Sequence[str]) -> Symbol:
    """Anything that has no symbol of its own: a box with its ports."""
    wide = max(22.0, 12.0 * max(len(top), len(bottom)))
    high = 13.0

    def draw(canvas: Canvas, at: Point) -> None:
        _frame(canvas, at, wide, high)

    ports = {name: (x, "top") for name, x in spread(top, wide).items()}
    ports |= {name: (x, "bottom") for name, x in spread(bottom, wide).items()}
    return Symbol(wide, high, ports, draw, True)


def _frame(canvas: Canvas, at: Point, wide: float, high: float, pen: str = "outline", fill: str = PAPER) -> None:
    x, y = at
    canvas.lines([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)], pen, fill, closed=True)


def valve(ports: Sequence[str], centre: str | None) -> Symbol:
    """A 4/3 directional valve by a lever, spring-centred; ports A, B above, P, T below. A centre that is not told is a ?."""
    side, high = 16.0, 16.0
    places = {"A": (side + 4.0, "top"), "B": (side + 12.0, "top"), "P": (side + 4.0, "bottom"), "T": (side + 12.0, "bottom")}

    def draw(canvas: Canvas, at: Point) -> None:
        x, y = at
        for n in range(3):
            _frame(canvas, (x + n * side, y), side, high)
        _way(canvas, (x + 4.0, y + high), (x + 4.0, y))
        _way(canvas, (x + 12.0, y), (x + 12.0, y + high))
        _centre(canvas, (x + side, y), high, centre)
        _way(canvas, (x + 2 * side + 4.0, y + high), (x + 2 * side + 12.0, y))
        _way(canvas, (x + 2 * side + 4.0, y), (x + 2 * side + 12.0, y + high))
        _spring(canvas, (x - 7.0, y + high - 4.0))
        _spring(canvas, (x + 3 * side, y + high - 4.0))
        canvas.line((x - 3.0, y + 4.0), (x, y + 4.0), "outline")
        canvas.line((x - 3.0, y + 4.0), (x - 6.5, y - 1.5), "outline")
        canvas.circle((x - 6.9, y - 2.1), 0.8, "thin", PAPER)

    return Symbol(3 * side, high, {name: places[name] for name in ports}, draw)


def _way(canvas: Canvas, start: Point, end: Point) -> None:
    canvas.line(start, end, "thin")
    canvas.arrow(end, direction_deg(start, end), length=3.0)


def _centre(canvas: Canvas, at: Point, high: float, centre: str | None) -> None:
    x, y = at
    shut = [(4.0, 0.0), (12.0, 0.0), (4.0, high), (12.0, high)]
    if centre is None:
        canvas.text((x + 8.0, y + high / 2 + 1.4), "?", 4.0, "middle")
        return
    if centre == "open":
        # pump to tank, A and B shut: the spool of a cylinder; that of a motor may join all four
        middle = y + high / 2
        canvas.lines([(x + 4.0, y + high), (x + 4.0, middle), (x + 12.0, middle), (x + 12.0, y + high)], "thin",
                     name="centre")
        shut = shut[:2]
    elif centre in ("float", "motor"):
        # A and B to the tank; the pump too, or shut
        middle = y + high / 2
        start = y + high if centre == "motor" else middle
        canvas.lines([(x + 4.0, start), (x + 4.0, y)], "thin")
        canvas.lines([(x + 12.0, y), (x + 12.0, y + high)], "thin")
        canvas.lines([(x + 4.0, middle), (x + 12.0, middle)], "thin", name="centre")
        shut = shut[2:3] if centre == "float" else []
    for dx, dy in shut:
        inward = 3.5 if dy == 0.0 else high - 3.5
        canvas.line((x + dx, y + dy), (x + dx, y + inward), "thin")
        canvas.line((x + dx - 1.8, y + inward), (x + dx + 1.8, y + inward), "outline")


def _spring(canvas: Canvas, at: Point) -> None:
    x, y = at
    points = [(x + 7.0 * n / 6, y + (2.0 if n % 2 else -2.0)) for n in range(7)]
    canvas.lines(points, "thin")


def cylinder(top: Sequence[str], bottom: Sequence[str], rod: bool = True) -> Symbol:
    """A cylinder with its rod to the right; the cap end at the left."""
    wide, high = 46.0, 12.0
    names = [*top, *bottom]

    def place(name: str) -> float:
        lower = name.lower()
        if lower.startswith("cap"):
            return 3.5
        if lower.startswith("rod"):
            return wide - 3.5
        return spread(names, wide)[name]

    def draw(canvas: Canvas, at: Point) -> None:
        x, y = at
        _frame(canvas, at, wide, high)
        canvas.line((x + 16.0, y), (x + 16.0, y + high), "outline")
        canvas.line((x + 19.0, y), (x + 19.0, y + high), "outline")
        if rod:
            canvas.lines([(x + 19.0, y + 4.4), (x + wide + 12.0, y + 4.4), (x + wide + 12.0, y + 7.6), (x + 19.0, y + 7.6)],
                         "outline", PAPER)

    ports = {name: (place(name), "top") for name in top} | {name: (place(name), "bottom") for name in bottom}
    return Symbol(wide, high, ports, draw)


def pump(outlets: Sequence[str], drains: Sequence[str], inlets: Sequence[str], returns: Sequence[str] = ()) -> Symbol:
    """A pump; pressure goes up from the first of its outlets.

    Its drains leave its case and its inlets lead to its foot. One that no line feeds draws from a tank of its own, into which its
    returns go, and is framed with it as one unit. A relief valve is not drawn: a job does not say where it sits.
    """
    names = [*outlets, *drains, *inlets, *returns]
    middle = 12.0
    places = {name: middle + 12.0 * n for n, name in enumerate(names, 0 if outlets else 1)}
    wide, high = max(24.0, *(place + 6.0 for place in places.values())), 38.0

    def draw(canvas: Canvas, at: Point) -> None:
        x, y = at
        if not inlets:
            _frame(canvas, at, wide, high, "axis")
        centre = (x + middle, y + 20.0)
        canvas.line((centre[0], y if outlets else y + 7.0), (centre[0], y + 13.5), "outline")
        canvas.circle(centre, 6.5, "outline", PAPER)
        canvas.lines([(centre[0] - 2.6, centre[1] - 2.0), (centre[0], centre[1] - 6.4), (centre[0] + 2.6, centre[1] - 2.0)],
                     "none", INK, closed=True)
        for level in (y + 19.0, y + 21.0):
            canvas.line((centre[0] - 9.0, level), (centre[0] - 6.5, level), "thin")
        for name in drains:
            canvas.lines([(x + places[name], y), (x + places[name], centre[1]), (centre[0] + 6.5, centre[1])], "estimate")
        for name in inlets:
            canvas.lines([(x + places[name], y), (x + places[name], y + 32.0), (centre[0], y + 32.0), (centre[0], y + 26.5)],
                         "outline", name="inlet")
        for name in returns:
            canvas.line((x + places[name], y), (x + places[name], y + 31.0), "outline")
            _tank(canvas, (x + places[name], y + 29.0))
        if not inlets:
            canvas.line((centre[0], y + 26.5), (centre[0], y + 31.0), "outline")
            _tank(canvas, (centre[0], y + 29.0))

    return Symbol(wide, high, {name: (place, "top") for name, place in places.items()}, draw)


def _tank(canvas: Canvas, at: Point) -> None:
    """A tank, open at the top, its line ending in it."""
    x, y = at
    canvas.lines([(x - 5.0, y), (x - 5.0, y + 4.0), (x + 5.0, y + 4.0), (x + 5.0, y)], "outline", name="tank")


def tank(top: Sequence[str], bottom: Sequence[str]) -> Symbol:
    """A tank, open at the top."""
    wide, high = max(20.0, 12.0 * len([*top, *bottom])), 9.0
    places = spread([*top, *bottom], wide)

    def draw(canvas: Canvas, at: Point) -> None:
        x, y = at
        canvas.lines([(x, y), (x, y + high), (x + wide, y + high), (x + wide, y)], "outline", name="tank")
        for place in places.values():
            canvas.line((x + place, y), (x + place, y + high - 2.5), "outline")

    return Symbol(wide, high, {name: (place, "top") for name, place in places.items()}, draw)


def motor(top: Sequence[str], bottom: Sequence[str]) -> Symbol:
    """A motor for both directions."""
    wide, high = max(26.0, 12.0 * max(len(top), len(bottom))), 16.0

    def draw(canvas: Canvas, at: Point) -> None:
        x, y = at
        centre = (x + wide / 2, y + high / 2)
        for edge, names in ((y, top), (y + high, bottom)):
            for place in spread(names, wide).values():
                canvas.lines([(x + place, edge), (x + place, centre[1]), centre], "outline")
        canvas.circle(centre, 6.5, "outline", PAPER)
        for side in (-1, 1):
            canvas.lines([(centre[0] - 2.4, centre[1] + side * 6.4), (centre[0] + 2.4, centre[1] + side * 6.4),
                          (centre[0], centre[1] + side * 2.2)], "none", INK, closed=True)

    ports = {name: (x, "top") for name, x in spread(top, wide).items()}
    ports |= {name: (x, "bottom") for name, x in spread(bottom, wide).items()}
    return Symbol(wide, high, ports, draw)


def filter_(top: Sequence[str], bottom: Sequence[str]) -> Symbol:
    """A filter."""
    made = motor(top, bottom)

    def draw(canvas: Canvas, at: Point) -> None:
        x, y = at
        centre = (x + made.wide / 2, y + made.high / 2)
        for edge, names in ((y, top), (y + made.high, bottom)):
            for place in spread(names, made.wide).values():
                canvas.lines([(x + place, edge), (x + place, centre[1]), centre], "outline")
        cx, cy = centre
        canvas.lines([(cx, cy - 6.5), (cx + 6.5, cy), (cx, cy + 6.5), (cx - 6.5, cy)], "outline", PAPER, closed=True)
        canvas.line((cx, cy - 6.5), (cx, cy + 6.5), "estimate")

    return made._replace(draw=draw)


def coupling(canvas: Canvas, at: Point) -> None:
    """A quick coupler on an upright line: two halves, each with its own valve."""
    x, y = at
    canvas.lines([(x - 2.4, y - 5.0), (x + 2.4, y - 5.0), (x + 2.4, y + 5.0), (x - 2.4, y + 5.0)], "none", PAPER, closed=True)
    for side in (-1, 1):
        canvas.lines([(x - 2.4, y + side * 0.6), (x, y + side * 3.6), (x + 2.4, y + side * 0.6)], "outline")
        canvas.circle((x, y + side * 1.7), 1.1, "thin", PAPER)
        canvas.line((x, y + side * 3.6), (x, y + side * 5.0), "outline")


def hose(canvas: Canvas, start: Point, end: Point, pen: str) -> float:
    """A flexible line: a bow between two dots, level or upright; returns how far it sags, downwards or to the right."""
    (x1, y1), (x2, y2) = start, end
    upright = abs(y2 - y1) > abs(x2 - x1)
    sag = min(2.4 if upright else 3.0, math.dist(start, end) / 6)
    across = (1.0, 0.0) if upright else (0.0, 1.0)
    off = [4 * sag * (n / 16) * (1 - n / 16) for n in range(17)]
    points = [(x1 + (x2 - x1) * n / 16 + across[0] * off[n], y1 + (y2 - y1) * n / 16 + across[1] * off[n]) for n in range(17)]
    canvas.lines(points, pen, name="hose")
    for at in (start, end):
        canvas.circle(at, 0.9, "none", INK)
    return sag
