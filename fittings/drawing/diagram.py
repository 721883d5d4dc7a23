"""The hydraulic diagram of a job: what feeds below, what steers between, what moves above, and the lines between them.

Symbols after ISO 1219-1. Every line runs in a lane of its own between two rows, so that no two ever lie on each other;
where two cross without a dot they are not joined.
"""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from fittings.drawing import symbols
from fittings.drawing.callouts import Label, Row, listing, paragraph, place
from fittings.drawing.chain import WIDE_MM
from fittings.drawing.lettering import Box, width_mm
from fittings.drawing.svg import INK, Canvas, Point
from fittings.drawing.symbols import Symbol
from fittings.units import format_length, format_pressure

if TYPE_CHECKING:
    from fittings.job.model import Component, Job
    from fittings.job.result import Plan, PlannedLine

LANE_MM = 7.0
GAP_MM = 16.0
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
    labels = list(_wire_all(canvas, sets, wires, taken))
    for each in sets.values():
        each.symbol.draw(canvas, each.at)
        _name(canvas, job, each, taken)
    place(canvas, labels, taken)
    if listed:
        held = canvas.extent
        y = paragraph(canvas, plan.title, held.left, held.bottom + 4.0, WIDE_MM, 4.0, bold=True) + 2.0
        listing(canvas, line_rows(plan), held.left, y, WIDE_MM)
    return canvas.svg(root=root)


def line_rows(plan: "Plan") -> Iterator[Row]:
    """The lines of a plan as the list of its diagram: number, from where to where, hose, adapters."""
    for n, line in enumerate(plan.lines):
        yield Row(str(n + 1), f"{line.name}: {line.from_ref} to {', '.join(_references(plan, n)[1:])}", tuple(_line_words(plan, line)))


def _line_words(plan: "Plan", line: "PlannedLine") -> Iterator[str]:
    for leg in line.everything:
        head = f"to {leg.to_ref}: " if len(line.everything) > 1 and leg is not line else ""
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
    for row in sorted(by_row):
        high = max(made[each.name].high for each in by_row[row])
        levels[row] = y - high
        y -= high + 20.0 + LANE_MM * lanes.get(row, 0)
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


def _wire_all(canvas: Canvas, sets: dict[str, _Set], wires: Sequence[_Wire], taken: list[Box]) -> Iterator[Label]:
    """Draw every line in its lane; gives the labels that name them."""
    lanes: dict[float, int] = {}
    gutter = max(each.at[0] + each.symbol.wide for each in sets.values()) + 16.0
    for each in sets.values():
        left, right = each.at[0] - 8.0, each.at[0] + each.symbol.wide + (14.0 if _kind(each.component) == "cylinder" else 4.0)
        taken.append(Box(left, each.at[1] - 1.0, right, each.at[1] + each.symbol.high + 1.0))
    for wire in wires:
        pen = "estimate" if wire.line.kind == "drain" or wire.line.refused else "outline"
        ports = [_port(sets, reference) for reference in wire.references]
        base = ports[0]
        for n, port in enumerate(ports[1:]):
            level = _channel(base, port)
            lane = lanes.get(round(level), 0)
            if n == 0 or level != _channel(base, ports[1]):
                lanes[round(level)] = lane + 1
            y = level + LANE_MM * (lane if n == 0 else lanes[round(level)] - 1)
            path = _path(base, port, y, gutter, lanes)
            if len(path) > 4:
                gutter += 8.0
            spot = _draw_wire(canvas, path, pen, wire, taken)
            if n == 0:
                words = f"{wire.line.hose.hose.type} {wire.line.hose.hose.size}" if wire.line.hose else ""
                first = next((leg for leg in wire.line.everything if leg.hose), None)
                if not words and first is not None and first.hose is not None:
                    words = f"{first.hose.hose.type} {first.hose.hose.size}"
                if wire.line.refused:
                    words = "cannot be done"
                yield Label(spot, -70.0, str(wire.number), words, 6.0)
        if len(ports) > 2:
            canvas.circle((base[0][0], y), 0.9, "none", INK)


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


def _draw_wire(canvas: Canvas, path: Sequence[Point], pen: str, wire: _Wire, taken: list[Box]) -> Point:
    """Draw one way of a line, its hose as a bow; returns where its label points to."""
    runs = list(zip(path, path[1:], strict=False))
    widest = max((run for run in runs if run[0][1] == run[1][1]), key=lambda run: abs(run[1][0] - run[0][0]), default=runs[0])
    spot = ((widest[0][0] + widest[1][0]) / 2, (widest[0][1] + widest[1][1]) / 2)
    for start, end in runs:
        wide = abs(end[0] - start[0])
        if (start, end) == widest and wide > 14.0 and wire.line.hose is not None:
            way = 1.0 if end[0] > start[0] else -1.0
            inner = (start[0] + way * 3.0, start[1]), (end[0] - way * 3.0, end[1])
            canvas.line(start, inner[0], pen)
            symbols.hose(canvas, inner[0], inner[1], pen)
            canvas.line(inner[1], end, pen)
            spot = (spot[0], spot[1] + min(3.0, (wide - 6.0) / 6))
        else:
            canvas.line(start, end, pen, "wire")
        taken.append(Box(min(start[0], end[0]) - 1.2, min(start[1], end[1]) - 1.2, max(start[0], end[0]) + 1.2,
                         max(start[1], end[1]) + (3.8 if start[1] == end[1] else 1.2)))
    for used, at in ((wire.line.from_parts, path[0]), (wire.line.to_parts, path[-1])):
        if any(each.family in COUPLERS for part in used for each in part.part.ends):
            onward = path[1] if at == path[0] else path[-2]
            symbols.coupling(canvas, (at[0], at[1] + (6.5 if onward[1] > at[1] else -6.5)))
    return spot


def _name(canvas: Canvas, job: "Job", each: _Set, taken: list[Box]) -> None:
    """The component's name beside its symbol, the names of its ports at theirs."""
    room = each.symbol.wide + (12.0 if _kind(each.component) in SOURCES + ACTUATORS else 22.0)
    component = each.component
    below = _kind(component) in SOURCES
    x, y = each.at
    level = y + each.symbol.high + 4.5 if below else y - 2.5
    if _kind(component) not in SOURCES + ACTUATORS:
        level = y + each.symbol.high / 2 + 1.2
        x += each.symbol.wide + (9.0 if _kind(component) == "valve" else 2.5)
    taken.append(canvas.text((x, level), component.name, 3.2, room=room, bold=True).grown(0.5))
    if component.cylinder is not None:
        shape = component.cylinder
        words = " x ".join(f"{value:g}" for value in (shape.bore_in, shape.rod_in, shape.stroke_in) if value) + " in"
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
