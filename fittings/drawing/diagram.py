"""The hydraulic diagram of a job: what feeds below, what steers between, what moves above, and the lines between them.

Symbols after ISO 1219-1. Every line runs in a lane of its own between two rows, so that no two ever lie on each other;
where two cross without a dot they are not joined.
"""

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from fittings.drawing import symbols
from fittings.drawing.callouts import BALLOON_MM, TEXT_MM, Label, Row, listing, paragraph, place
from fittings.drawing.chain import WIDE_MM
from fittings.drawing.lettering import Box, width_mm
from fittings.drawing.svg import INK, MARGIN_MM, NARROW_MM, Canvas, Point
from fittings.drawing.symbols import Symbol
from fittings.units import format_length, format_pressure

if TYPE_CHECKING:
    from fittings.job.model import Component, CylinderSize, Job
    from fittings.job.result import Plan, PlannedLine
    from fittings.planner import Used

LANE_MM = 10.0
GAP_MM = 12.0
SOURCES = ("pump", "tank", "filter")
ACTUATORS = ("cylinder", "motor")
COUPLERS = ("iso7241a", "iso7241b", "iso16028")


class _Set(NamedTuple):
    """A component set on the page: its symbol, corner, row."""

    component: "Component"
    symbol: Symbol
    at: Point
    row: int

    def port(self, name: str) -> tuple[Point, str]:
        x, edge = self.symbol.ports[name]
        return (self.at[0] + x, self.at[1] + (0.0 if edge == "top" else self.symbol.high)), edge


class _Wire(NamedTuple):
    """A line of the plan as it is to be drawn: its number, the ports it joins."""

    number: int
    line: "PlannedLine"
    references: tuple[str, ...]


class _Way(NamedTuple):
    """A way as drawn: the places on it where its label may stand, best first, and the rectangles that it takes."""

    spots: list[Point]
    boxes: list[Box]


_Told = tuple[Label, _Way]


def diagram_svg(plan: "Plan", listed: bool = True, root: bool = True) -> str:
    """The hydraulic diagram of a plan as SVG, by the symbols of ISO 1219-1.

    Lines carry their number and hose; the list says from where to where, with the hose, the adapters as the bill has
    them, and what was refused. `listed` False leaves out the list, `root` False the XML line.
    """
    job = plan.job
    canvas = Canvas(f"Hydraulic diagram: {plan.title}", "Pump and tank below, valves between, cylinders and motors above.")
    wires = [_Wire(n + 1, line, _references(plan, n)) for n, line in enumerate(plan.lines)]
    sets = _set_out(job, wires)
    taken: list[Box] = []
    told = list(_wire_all(canvas, sets, wires, taken))
    for each in sets.values():
        each.symbol.draw(canvas, each.at)
        _name(canvas, job, each, taken)
    labels = [label for label, way in told
              if not any(_set_on_line(canvas, label._replace(at=spot), taken, way.boxes) for spot in way.spots)]
    solid = [Box(x, y, x + each.symbol.wide, y + each.symbol.high) for each in sets.values() for x, y in (each.at,)]
    place(canvas, labels, taken, solid)
    if listed:
        held = canvas.extent
        y = paragraph(canvas, plan.title, held.left, held.bottom + 4.0, WIDE_MM, 4.0, bold=True) + 2.0
        listing(canvas, line_rows(plan), held.left, y, WIDE_MM)
    return canvas.svg(MARGIN_MM if listed else NARROW_MM, root=root)


def line_rows(plan: "Plan") -> Iterator[Row]:
    """The lines of a plan as the list of its diagram: number, from where to where, hose, adapters."""
    for n, line in enumerate(plan.lines):
        targets = ", ".join(_references(plan, n)[1:])
        yield Row(str(n + 1), f"{line.name}: {line.from_ref} to {targets}", tuple(_line_words(plan, line, n + 1)))


def _line_words(plan: "Plan", line: "PlannedLine", number: int) -> Iterator[str]:
    for n, leg in enumerate(line.everything):
        head = f"{leg_mark(number, n - 1)} to {leg.to_ref}: " if leg is not line else ""
        if leg.refused:
            yield f"{head}cannot be done as asked"
            continue
        words = [hose_words(leg, plan)] if leg.hose else []
        words += [used.part.say for used in (*leg.from_parts, *leg.to_parts)]
        words += [part.say for part in leg.tees]
        if words:
            yield head + "; ".join(words)


def hose_words(line: "PlannedLine", plan: "Plan") -> str:
    """The hose of a line: type, size, length to order."""
    if line.hose is None:
        return ""
    made = line.hose
    long = f", {format_length(made.length_in * 25.4, plan.units)} long" if made.length_in else ""  # type: ignore[arg-type]
    return f"hose {made.hose.type} {made.hose.size}{long}"


def _references(plan: "Plan", index: int) -> tuple[str, ...]:
    """The ports that a line of the plan joins, the one it begins at first."""
    asked = plan.job.line[index]
    return (asked.from_, *asked.targets)


# --- where everything stands -----------------------------------------------------------------------------------------


def _kind(component: "Component") -> str:
    if component.is_cylinder:
        return "cylinder"
    return component.kind or ("valve" if {"P", "T"} & set(component.ports) else "other")


def _rows_of(job: "Job", wires: Sequence[_Wire]) -> dict[str, int]:
    """The row of each component: 0 feeds, the last moves, in between by how many lines away from what feeds."""
    kinds = {each.name: _kind(each) for each in job.component}
    near: dict[str, set[str]] = {name: set() for name in kinds}
    for wire in wires:
        names = [job.port(reference)[0].name for reference in wire.references]
        for name in names[1:]:
            near[names[0]].add(name)
            near[name].add(names[0])
    between = [name for name, kind in kinds.items() if kind not in SOURCES + ACTUATORS]
    rows = {name: 0 for name, kind in kinds.items() if kind in SOURCES}
    first = [name for name in between if near[name] & set(rows)] or between[:1]
    level, queue = 1, first
    while queue:
        rows |= dict.fromkeys(queue, level)
        level += 1
        queue = [name for name in between if name not in rows and any(other in queue for other in near[name])]
    for name in between:
        rows.setdefault(name, 1)
    top = max([*(rows[name] for name in between), 0]) + 1
    return {name: rows.get(name, top) for name in kinds}


def _symbol(job: "Job", component: "Component", rows: dict[str, int], partners: dict[str, int]) -> Symbol:
    kind, row = _kind(component), rows[component.name]
    names = list(component.ports)
    upward = [name for name in names if partners.get(f"{component.name}.{name}", -1) > row]
    top = [name for name in names if name in upward]
    bottom = [name for name in names if name not in upward]
    if kind in SOURCES:
        top, bottom = names, []
    if kind in ACTUATORS:
        top, bottom = [], names
    if kind == "valve" and set(names) <= {"A", "B", "P", "T"} and set(top) <= {"A", "B"} and set(bottom) <= {"P", "T"}:
        return symbols.valve(names, component.centre)
    makers = {"cylinder": symbols.cylinder, "motor": symbols.motor, "tank": symbols.tank, "filter": symbols.filter_,
              "pump": symbols.pump}
    return makers[kind](top, bottom) if kind in makers else symbols.box(top, bottom)


def _set_out(job: "Job", wires: Sequence[_Wire]) -> dict[str, _Set]:
    rows = _rows_of(job, wires)
    partners: dict[str, int] = {}
    for wire in wires:
        levels = [rows[job.port(reference)[0].name] for reference in wire.references]
        partners[wire.references[0]] = max(levels[1:], default=-1)
        for reference in wire.references[1:]:
            partners[reference] = levels[0]
    made = {each.name: _symbol(job, each, rows, partners) for each in job.component}
    by_row: dict[int, list[Component]] = {}
    for each in job.component:
        by_row.setdefault(rows[each.name], []).append(each)
    return _place_rows(job, wires, by_row, made)


def _place_rows(job: "Job", wires: Sequence[_Wire], by_row: dict[int, list["Component"]], made: dict[str, Symbol]) -> dict[str, _Set]:
    """Rows from the bottom up, each component near those it is joined to, each port on a line of its own."""
    lanes = _lane_counts(job, wires, by_row)
    y = 0.0
    sets: dict[str, _Set] = {}
    used: set[int] = set()
    order = sorted(by_row, key=lambda row: (row != 1, row))
    levels = {}
    coupled = any(_coupled((*each.from_parts, *each.to_parts)) for wire in wires for each in wire.line.everything)
    for row in sorted(by_row):
        high = max(made[each.name].high for each in by_row[row])
        levels[row] = y - high
        y -= high + (30.0 if coupled else 22.0) + LANE_MM * lanes.get(row, 0)
    for row in order:
        high = max(made[each.name].high for each in by_row[row])
        ranked = sorted(by_row[row], key=lambda each: _pull(job, wires, each, sets, by_row[row].index(each)))
        x = 0.0
        for each in ranked:
            symbol = made[each.name]
            lead = 14.0 if _kind(each) == "valve" else 0.0
            x += lead
            while any(round((x + place) / 3.0) in used for place, _ in symbol.ports.values()):
                x += 3.0
            used |= {round((x + place) / 3.0) for place, _ in symbol.ports.values()}
            top = levels[row] if _kind(each) in SOURCES else levels[row] + high - symbol.high
            sets[each.name] = _Set(each, symbol, (x, top), row)
            x += symbol.wide + GAP_MM + (14.0 if _kind(each) in ("cylinder", "pump") else 0.0) + lead / 2
    return sets


def _pull(job: "Job", wires: Sequence[_Wire], component: "Component", sets: dict[str, _Set], position: int) -> tuple[float, int]:
    """Where a component would like to stand: over what it is joined to, of what already stands."""
    found = []
    for wire in wires:
        ends = [job.port(reference) for reference in wire.references]
        if any(each.name == component.name for each, _ in ends):
            found += [sets[each.name].port(name)[0][0] for each, name in ends if each.name in sets]
    return (sum(found) / len(found) if found else float(position), position)


def _lane_counts(job: "Job", wires: Sequence[_Wire], by_row: dict[int, list["Component"]]) -> dict[int, int]:
    rows = {each.name: row for row, some in by_row.items() for each in some}
    counts: dict[int, int] = {}
    for wire in wires:
        levels = sorted({rows[job.port(reference)[0].name] for reference in wire.references})
        for row in range(max(0, levels[0] - (len(levels) == 1)), max(levels[-1], levels[0] + 1)):
            counts[row] = counts.get(row, 0) + 1
    return counts


# --- the lines -------------------------------------------------------------------------------------------------------


def _wire_all(canvas: Canvas, sets: dict[str, _Set], wires: Sequence[_Wire], taken: list[Box]) -> Iterator[_Told]:
    """Draw every line in its lane; gives the labels that name them."""
    lanes: dict[float, int] = {}
    gutter = max(each.at[0] + each.symbol.wide for each in sets.values()) + 16.0
    for each in sets.values():
        left, right = each.at[0] - 8.0, each.at[0] + each.symbol.wide + (14.0 if _kind(each.component) == "cylinder" else 4.0)
        taken.append(Box(left, each.at[1] - 1.0, right, each.at[1] + each.symbol.high + 1.0))
    for wire in wires:
        pen = "estimate" if wire.line.kind == "drain" or wire.line.refused else "outline"
        base, *targets = (_port(sets, reference) for reference in wire.references)
        paths: list[list[Point]] = []
        for n, port in enumerate(targets):
            level = _channel(base, port)
            lane = lanes.get(round(level), 0)
            if n == 0 or level != _channel(base, targets[0]):
                lanes[round(level)] = lane + 1
            path = _path(base, port, level + LANE_MM * (lane if n == 0 else lanes[round(level)] - 1), gutter, lanes)
            if len(path) > 4:
                gutter += 8.0
            paths.append(path)
        if len(paths) == 1:
            way = _draw_way(canvas, paths[0], pen, wire.line, taken)
            _couplings(canvas, wire.line, paths[0])
            yield Label(way.spots[0], -70.0, str(wire.number), _says(wire.line), 6.0), way
        else:
            yield from _split(canvas, wire, paths, pen, taken)


def _split(canvas: Canvas, wire: _Wire, paths: Sequence[Sequence[Point]], pen: str, taken: list[Box]) -> Iterator[_Told]:
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


def _set_on_line(canvas: Canvas, label: Label, taken: list[Box], own: Sequence[Box]) -> bool:
    """Set a label on the line that it names, its words beside it, where nothing but that line is; False where it cannot."""
    x, y = label.at
    wide = width_mm(label.words, TEXT_MM)
    others = [box for box in taken if box not in own]
    ring = Box(x - BALLOON_MM, y - BALLOON_MM, x + BALLOON_MM, y + BALLOON_MM)
    if any(ring.meets(other) for other in others):
        return False
    for side in (1, -1):
        for level in (y + 4.3, y + 1.2):  # under the sag of a level bow; beside an upright one
            near, far = x + side * (BALLOON_MM + 0.7), x + side * (BALLOON_MM + 0.7 + wide)
            words = Box(min(near, far), level - 3.0, max(near, far), level + 0.8)
            if any(words.meets(other) for other in (others if level == y + 4.3 else taken)):
                continue
            canvas.balloon(label.at, label.mark)
            if label.words:
                canvas.text((near, level), label.words, TEXT_MM, "start" if side > 0 else "end")
            taken += [ring, words]
            return True
    return False


_Port = tuple[Point, str, _Set]


def _port(sets: dict[str, _Set], reference: str) -> _Port:
    for each in sorted(sets.values(), key=lambda one: -len(one.component.name)):
        name = reference.removeprefix(each.component.name + ".")
        if reference.startswith(each.component.name + ".") and name in each.component.ports:
            at, edge = each.port(name)
            return at, edge, each
    raise KeyError(reference)


def _channel(a: _Port, b: _Port) -> float:
    """Height of the first lane of the channel that a line leaves its first port into."""
    at, edge, _ = a
    other = b[0]
    if edge == "top":
        return min(at[1], max(other[1], at[1] - 400.0) if other[1] < at[1] else at[1]) + 10.0 if other[1] < at[1] else at[1] - 10.0
    return at[1] + 10.0


def _path(a: _Port, b: _Port, y: float, gutter: float, lanes: dict[float, int]) -> list[Point]:
    (xa, ya), edge_a, _ = a
    (xb, yb), edge_b, _ = b
    straight = (edge_b == "bottom" and yb < y) or (edge_b == "top" and yb > y)
    between = edge_a != edge_b
    neighbours = between and abs(a[2].row - b[2].row) == 1
    if straight and (neighbours or edge_a == edge_b):
        return [(xa, ya), (xa, y), (xb, y), (xb, yb)]
    far = yb + (10.0 if edge_b == "bottom" else -10.0)
    count = lanes.get(round(far), 0)
    lanes[round(far)] = count + 1
    far += LANE_MM * count * (1 if edge_b == "bottom" else -1)
    return [(xa, ya), (xa, y), (gutter, y), (gutter, far), (xb, far), (xb, yb)]


LEAST_BOW_MM, LEAST_LEVEL_MM = 6.0, 14.0
"""A hose is drawn as a bow at least so long, rather on a level stretch of so much."""

CLEAR_OF_PORT_MM, CLEAR_OF_COUPLER_MM, CLEAR_OF_CORNER_MM = 5.0, 12.5, 2.5
"""How far a bow stays away from a port with its name, from a quick coupler at a port, from a corner or a tee."""


def _draw_way(canvas: Canvas, path: Sequence[Point], pen: str, line: "PlannedLine | None", taken: list[Box]) -> _Way:
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
            canvas.line(start, inner[0], pen)
            sag = symbols.hose(canvas, inner[0], inner[1], pen)
            canvas.line(inner[1], end, pen)
            spots = [_between(inner[0], inner[1], part, sag) for part in _ALONG]
        else:
            canvas.line(start, end, pen, "wire")
        taken.append(Box(min(start[0], end[0]) - 1.2, min(start[1], end[1]) - 1.2, max(start[0], end[0]) + 1.2 + (sag if upright else 0.0),
                         max(start[1], end[1]) + (1.2 if upright else 3.8)))
    return _Way(spots, taken[before:])


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
    return CLEAR_OF_COUPLER_MM if _coupled(line.from_parts if at == path[0] else line.to_parts) else CLEAR_OF_PORT_MM


def _coupled(used: Sequence["Used"]) -> bool:
    return any(each.family in COUPLERS for part in used for each in part.part.ends)


def _couplings(canvas: Canvas, line: "PlannedLine", path: Sequence[Point]) -> None:
    """The symbol of a quick coupler at the end of a line that has one."""
    for used, at in ((line.from_parts, path[0]), (line.to_parts, path[-1])):
        if _coupled(used):
            onward = path[1] if at == path[0] else path[-2]
            symbols.coupling(canvas, (at[0], at[1] + (6.5 if onward[1] > at[1] else -6.5)))


def cylinder_words(of: "CylinderSize", units: str) -> str:
    """Bore, rod and stroke of a cylinder in short, in the unit that they are whole in where both are asked for."""
    measures = [value for value in (of.bore_in, of.rod_in, of.stroke_in) if value]
    metric = units == "metric" or (units == "both" and all(abs(value * 25.4 - round(value * 25.4)) < 0.05 for value in measures))
    unit = 25.4 if metric else 1.0
    return " x ".join(f"{round(value * unit, 1 if metric else 3):g}" for value in measures) + (" mm" if metric else " in")


def _name(canvas: Canvas, job: "Job", each: _Set, taken: list[Box]) -> None:
    """The component's name beside its symbol, the names of its ports at theirs."""
    room = each.symbol.wide + (12.0 if _kind(each.component) in SOURCES + ACTUATORS else 22.0)
    component = each.component
    below = _kind(component) in SOURCES
    x, y = each.at
    level = y + each.symbol.high + 4.5 if below else y - 2.5
    if _kind(component) not in SOURCES + ACTUATORS:
        level = y + each.symbol.high / 2 + 1.2
        inside = each.symbol.plain and width_mm(component.name, 3.2, True) < each.symbol.wide - 3.0
        x += 1.5 if inside else each.symbol.wide + (2.5 if each.symbol.plain else 9.0)
    taken.append(canvas.text((x, level), component.name, 3.2, room=room, bold=True).grown(0.5))
    if component.cylinder is not None:
        words = cylinder_words(component.cylinder, job.units)
        taken.append(canvas.text((x, level - 4.4), words, 2.8, room=room).grown(0.5))
    if _kind(component) == "pump":
        words = f"relief {format_pressure(job.system.relief_psi, job.units)}"  # type: ignore[arg-type]
        taken.append(canvas.text((x, level + 4.2), words, 2.8).grown(0.5))
    for name in component.ports:
        (px, py), edge = each.port(name)
        size = 2.5
        wide = min(width_mm(name, size), 12.0)
        at = (px + 1.2, py - 1.4) if edge == "top" else (px + 1.2, py + 3.2)
        taken.append(Box(at[0], at[1] - 2.5, at[0] + wide, at[1] + 0.8))
        canvas.text(at, name, size, room=12.0)
