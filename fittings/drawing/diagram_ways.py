"""The lines of a hydraulic diagram: each in a lane of its own, hoses as bows, numbers on them, tees as dots."""

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import permutations
from typing import TYPE_CHECKING, NamedTuple

from fittings.drawing import symbols
from fittings.drawing.callouts import BALLOON_MM, TEXT_MM, Label
from fittings.drawing.lettering import Box, width_mm
from fittings.drawing.svg import INK, Canvas, Point
from fittings.drawing.symbols import Symbol
from fittings.ends import family
from fittings.job.port_names import looks_like_valve

if TYPE_CHECKING:
    from fittings.chain import Used
    from fittings.job.model import Component
    from fittings.job.result import PlannedLine

LANE_MM = 10.0
"""From one line to the next that runs beside it: room for a number and its words."""

GUTTER_MM = 8.0
"""From one line to the next that goes around a row."""


class Standing(NamedTuple):
    """A component set on the page: its symbol, corner, row."""

    component: "Component"
    symbol: Symbol
    at: Point
    row: int

    def port(self, name: str) -> tuple[Point, str]:
        """Where a port is on the page, and whether it leaves at the `top` or the `bottom`."""
        x, edge = self.symbol.ports[name]
        return (self.at[0] + x, self.at[1] + (0.0 if edge == "top" else self.symbol.high)), edge


class Wire(NamedTuple):
    """A line of the plan as it is to be drawn: its number, the ports it joins."""

    number: int
    line: "PlannedLine"
    references: tuple[str, ...]


class Way(NamedTuple):
    """A way as drawn: the places on it where its label may stand, best first, and the rectangles that it takes."""

    spots: list[Point]
    boxes: list[Box]


Told = tuple[Label, Way]


def kind_of(component: "Component") -> str:
    """What a component is drawn as: `pump`, `tank`, `filter`, `valve`, `cylinder`, `motor`, or `other`."""
    if component.is_cylinder:
        return "cylinder"
    return component.kind or ("valve" if looks_like_valve(component.ports) else "other")


def draw_ways(canvas: Canvas, sets: dict[str, Standing], wires: Sequence[Wire], taken: list[Box]) -> Iterator[Told]:
    """Draw every line in its lane; gives the labels that name them."""
    lanes: dict[float, int] = {}
    right = max(each.at[0] + each.symbol.wide for each in sets.values()) + 16.0
    for each in sets.values():
        (x, y), beyond = each.at, 14.0 if kind_of(each.component) == "cylinder" else 4.0
        taken.append(Box(x - 8.0, y - 1.0, x + each.symbol.wide + beyond, y + each.symbol.high + 1.0))
    around = _around_rows(sets, wires)
    spare = len(around)
    for wire in _in_order(sets, wires, around):
        pen = "estimate" if wire.line.kind == "drain" or wire.line.refused else "outline"
        ends = [_port(sets, reference) for reference in wire.references]
        upwards = wire.number in around and ends[0][0][1] > ends[1][0][1]
        base, *targets = reversed(ends) if upwards else ends
        ways: dict[int, list[Point]] = {}
        own: dict[tuple[int, int], int] = {}
        # a leg that goes around a row lies outside those that do not
        for n, port in sorted(enumerate(targets), key=lambda leg: _beyond(base, leg[1])):
            level = _channel(sets, base, port)
            shared = level == _channel(sets, base, targets[0]) and not _beyond(base, port)
            key = round(level), -1 if shared else n
            if key not in own:
                own[key] = lanes.get(round(level), 0)
                lanes[round(level)] = own[key] + 1
            onward = -LANE_MM if _over(base, port) else LANE_MM
            far_lane = around.index(wire.number) if wire.number in around else spare
            gutter = right + GUTTER_MM * (len(around) - 1 - far_lane if wire.number in around else spare)
            path = _path(base, port, level + onward * own[key], gutter, far_lane, lanes)
            spare += len(path) > 4 and wire.number not in around
            ways[n] = path[::-1] if upwards else path
        paths = [ways[n] for n in range(len(targets))]
        if len(paths) == 1:
            way = _draw_way(canvas, paths[0], pen, wire.line, taken)
            _couplings(canvas, wire.line, paths[0])
            yield Label(way.spots[0], -70.0, str(wire.number), _says(wire.line), 6.0), way
        else:
            yield from _split(canvas, wire, paths, pen, taken)


def _split(canvas: Canvas, wire: Wire, paths: Sequence[Sequence[Point]], pen: str, taken: list[Box]) -> Iterator[Told]:
    """A line that splits: its trunk to the tee, a dot there, and each leg with a hose and a letter of its own."""
    line = wire.line
    (x, start), ends = paths[0][0], sorted({path[1][1] for path in paths}, key=lambda y: abs(y - paths[0][0][1]))
    way = _draw_way(canvas, [(x, start), (x, ends[0])], pen, line, taken)
    if ends[-1] != ends[0]:
        canvas.line((x, ends[0]), (x, ends[-1]), pen, "wire")
    yield Label(way.spots[0], 200.0, str(wire.number), _says(line), 6.0), way
    for n, path in enumerate(paths):
        leg = line.branches[n] if n < len(line.branches) else None
        way = _draw_way(canvas, path[1:], pen, leg, taken)
        canvas.circle(path[1], 0.9, "none", INK)
        if leg is not None:
            _couplings(canvas, leg, path)
            yield Label(way.spots[0], -70.0, leg_mark(wire.number, n), _says(leg), 6.0), way


def leg_mark(line: int, leg: int) -> str:
    """What a leg of a line that splits is called: the number of its line and a letter.

    >>> leg_mark(1, 0)
    '1a'
    """
    return f"{line}{'abcdefgh'[leg]}"


def _says(line: "PlannedLine") -> str:
    if line.refused:
        return "cannot be done"
    return f"{line.hose.hose.type} {line.hose.hose.size}" if line.hose else ""


def set_on_line(canvas: Canvas, label: Label, taken: list[Box], own: Sequence[Box]) -> bool:
    """Set a label on the line that it names, its words beside it, where nothing but that line is; False where it cannot."""
    x, y = label.at
    wide = width_mm(label.words, TEXT_MM)
    others = [box for box in taken if box not in own]
    # words may lie under the bow that they stand on, and on no other run of their own way either
    beside = [box for box in taken if box not in own or not box.left <= x <= box.right or not box.top <= y <= box.bottom]
    ring = Box(x - BALLOON_MM, y - BALLOON_MM, x + BALLOON_MM, y + BALLOON_MM)
    if any(ring.meets(other) for other in others):
        return False
    for side in (1, -1):
        for level in (y + 4.3, y + 1.2):  # under the sag of a level bow; beside an upright one
            near, far = x + side * (BALLOON_MM + 0.7), x + side * (BALLOON_MM + 0.7 + wide)
            words = Box(min(near, far), level - 3.0, max(near, far), level + 0.8)
            if any(words.meets(other) for other in (beside if level == y + 4.3 else taken)):
                continue
            canvas.balloon(label.at, label.mark)
            if label.words:
                canvas.text((near, level), label.words, TEXT_MM, "start" if side > 0 else "end")
            taken += [ring, words]
            return True
    return False


_Port = tuple[Point, str, Standing]


def _port(sets: dict[str, Standing], reference: str) -> _Port:
    for each in sorted(sets.values(), key=lambda one: -len(one.component.name)):
        name = reference.removeprefix(each.component.name + ".")
        if reference.startswith(each.component.name + ".") and name in each.component.ports:
            at, edge = each.port(name)
            return at, edge, each
    raise KeyError(reference)


def _over(a: _Port, b: _Port) -> bool:
    """Whether a line goes up from one port and down to another that stands beside it: its lanes count upwards from them."""
    return a[1] == b[1] == "top" and a[2].row == b[2].row


def _span_beside(sets: dict[str, Standing], wire: Wire) -> float:
    """How far a line goes over what stands beside it, 0 for any other: the shorter lies inside the longer."""
    ends = [_port(sets, reference) for reference in wire.references]
    return max(abs(ends[0][0][0] - each[0][0]) if _over(ends[0], each) else 0.0 for each in ends[1:])


def _around_rows(sets: dict[str, Standing], wires: Sequence[Wire]) -> list[int]:
    """The numbers of the lines that go around a row, down the right of the page, from the outermost in: what leaves furthest
    to the right lies outermost, so that no other crosses it."""
    found = []
    for wire in wires:
        upper, *others = sorted((_port(sets, reference) for reference in wire.references), key=lambda each: each[0][1])
        if len(others) == 1 and upper[1] != others[0][1] and abs(upper[2].row - others[0][2].row) != 1:
            found.append((-upper[0][0], wire.number))
    return [number for _, number in sorted(found)]


MOST_REORDERED = 6
"""Lines of one channel of which every order is tried."""


def _in_order(sets: dict[str, Standing], wires: Sequence[Wire], around: Sequence[int]) -> list[Wire]:
    """The lines in the order in which they take their lanes: those of one channel so that they cross least, else as the job has them."""
    ordered = sorted(wires, key=lambda each: (_span_beside(sets, each), around.index(each.number) if each.number in around else -1))
    channels: dict[int, list[int]] = {}
    for place, wire in enumerate(ordered):
        ends = [_port(sets, reference) for reference in wire.references]
        if len(ends) == 2 and wire.number not in around and not _over(*ends):
            channels.setdefault(round(_channel(sets, *ends)), []).append(place)
    for places in channels.values():
        if len(places) <= MOST_REORDERED:
            some = [ordered[place] for place in places]
            for place, wire in zip(places, min(permutations(some), key=lambda order: _crossings(sets, order)), strict=True):
                ordered[place] = wire
    return ordered


def _crossings(sets: dict[str, Standing], order: Iterable[Wire]) -> int:
    """How often lines of one channel cross, the first in the uppermost lane: an upright crosses what runs level where it passes."""
    drops = [[x for (x, _), _, _ in sorted((_port(sets, reference) for reference in wire.references), key=lambda each: each[0][1])]
             for wire in order]
    return sum((min(low) < down < max(low)) + (min(high) < up < max(high))
               for n, high in enumerate(drops) for low in drops[n + 1:] for down, up in [(high[1], low[0])])


def _beyond(a: _Port, b: _Port) -> bool:
    """Whether a line that goes up must pass a row on its way to the other port."""
    return a[1] == "top" and b[1] == "bottom" and b[2].row - a[2].row > 1


def _channel(sets: dict[str, Standing], a: _Port, b: _Port) -> float:
    """Height of the first lane of the channel that a line leaves its first port into."""
    at, edge, _ = a
    other = b[0]
    if _over(a, b):
        return at[1] - 10.0
    if _beyond(a, b):
        # below the row that it must not run through
        return max(each.at[1] + each.symbol.high for each in sets.values() if each.row == a[2].row + 1) + 10.0
    if edge == "top":
        return min(at[1], max(other[1], at[1] - 400.0) if other[1] < at[1] else at[1]) + 10.0 if other[1] < at[1] else at[1] - 10.0
    return at[1] + 10.0


def _path(a: _Port, b: _Port, y: float, gutter: float, far_lane: int, lanes: dict[float, int]) -> list[Point]:
    (xa, ya), edge_a, _ = a
    (xb, yb), edge_b, _ = b
    straight = (edge_b == "bottom" and yb < y) or (edge_b == "top" and yb > y)
    between = edge_a != edge_b
    neighbours = between and abs(a[2].row - b[2].row) == 1
    if straight and (neighbours or edge_a == edge_b):
        return [(xa, ya), (xa, y), (xb, y), (xb, yb)]
    far = yb + (10.0 if edge_b == "bottom" else -10.0)
    lanes[round(far)] = max(lanes.get(round(far), 0), far_lane + 1)
    far += LANE_MM * far_lane * (1 if edge_b == "bottom" else -1)
    return [(xa, ya), (xa, y), (gutter, y), (gutter, far), (xb, far), (xb, yb)]


LEAST_BOW_MM, LEAST_LEVEL_MM = 6.0, 14.0
"""A hose is drawn as a bow at least so long, rather on a level stretch of so much."""

CLEAR_OF_PORT_MM, CLEAR_OF_COUPLER_MM, CLEAR_OF_CORNER_MM = 5.0, 12.5, 2.5
"""How far a bow stays away from a port with its name, from a quick coupler at a port, from a corner or a tee."""


def _draw_way(canvas: Canvas, path: Sequence[Point], pen: str, line: "PlannedLine | None", taken: list[Box]) -> Way:
    """Draw a way from corner to corner, with a bow in it where it is a hose."""
    before = len(taken)
    hose = line is not None and line.hose is not None
    runs = [run for run in zip(path, path[1:], strict=False) if math.dist(*run) > 1e-6]
    level = [run for run in runs if run[0][1] == run[1][1]]
    widest = max(level, key=lambda run: math.dist(*run), default=runs[0])
    bowed = widest if math.dist(*widest) > LEAST_LEVEL_MM else max(runs, key=lambda run: math.dist(*run))
    spots = [_between(*bowed, part, 0.0) for part in _ALONG]
    for start, end in runs:
        upright = start[0] == end[0]
        long = math.dist(start, end)
        sag = 0.0
        clear = [_clear(line, at, path) for at in (start, end)]
        if (start, end) == bowed and hose and long - sum(clear) >= LEAST_BOW_MM:
            along = (end[0] - start[0]) / long, (end[1] - start[1]) / long
            inner = [(at[0] + way * along[0], at[1] + way * along[1]) for at, way in ((start, clear[0]), (end, -clear[1]))]
            canvas.line(start, inner[0], pen, "wire")
            sag = symbols.hose(canvas, inner[0], inner[1], pen)
            canvas.line(inner[1], end, pen, "wire")
            spots = [_between(inner[0], inner[1], part, sag) for part in _ALONG]
        else:
            canvas.line(start, end, pen, "wire")
        taken.append(Box(min(start[0], end[0]) - 1.2, min(start[1], end[1]) - 1.2, max(start[0], end[0]) + 1.2 + (sag if upright else 0.0),
                         max(start[1], end[1]) + (1.2 if upright else 3.8)))
    return Way(spots, taken[before:])


_ALONG = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)


def _between(start: Point, end: Point, part: float, sag: float) -> Point:
    """A place on a bow between two points, `part` of the way along; it sags downwards, or to the right when it is upright."""
    off = 4 * sag * part * (1 - part)
    across = (off, 0.0) if start[0] == end[0] else (0.0, off)
    return start[0] + (end[0] - start[0]) * part + across[0], start[1] + (end[1] - start[1]) * part + across[1]


def _clear(line: "PlannedLine | None", at: Point, path: Sequence[Point]) -> float:
    """How far a bow stays away from a place of its way. A leg begins at its tee, not at a port."""
    if line is None or at not in (path[0], path[-1]):
        return CLEAR_OF_CORNER_MM
    if (at == path[0] and line.from_ref == "tee") or (at == path[-1] and line.to_ref == "tee"):
        return CLEAR_OF_CORNER_MM
    return CLEAR_OF_COUPLER_MM if coupled(line.from_parts if at == path[0] else line.to_parts) else CLEAR_OF_PORT_MM


def coupled(used: Sequence["Used"]) -> bool:
    """Whether there is a quick coupler among these parts."""
    return any(family(each.family)["kin"] == "coupler" for part in used for each in part.part.ends)


def _couplings(canvas: Canvas, line: "PlannedLine", path: Sequence[Point]) -> None:
    """The symbol of a quick coupler at the end of a line that has one."""
    for used, at in ((line.from_parts, path[0]), (line.to_parts, path[-1])):
        if coupled(used):
            onward = path[1] if at == path[0] else path[-2]
            symbols.coupling(canvas, (at[0], at[1] + (6.5 if onward[1] > at[1] else -6.5)))
