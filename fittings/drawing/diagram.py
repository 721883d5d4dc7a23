"""The hydraulic diagram of a job: what feeds below, what steers between, what moves above, and the lines between them.

Symbols after ISO 1219-1. Every line runs in a lane of its own between two rows, so that no two ever lie on each other;
where two cross without a dot they are not joined.
"""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from fittings.drawing import symbols
from fittings.drawing.callouts import Row, listing, paragraph, place
from fittings.drawing.chain import WIDE_MM
from fittings.drawing.diagram_ways import LANE_MM, Standing, Wire, coupled, draw_ways, kind_of, leg_mark, set_on_line
from fittings.drawing.lettering import Box, width_mm
from fittings.drawing.svg import MARGIN_MM, NARROW_MM, Canvas
from fittings.drawing.symbols import Symbol
from fittings.units import MM_PER_IN, format_length, format_pressure

if TYPE_CHECKING:
    from fittings.job.model import Component, CylinderSize, Job
    from fittings.job.result import Plan, PlannedLine

GAP_MM = 12.0
SOURCES = ("pump", "tank", "filter")
ACTUATORS = ("cylinder", "motor")


def diagram_svg(plan: "Plan", listed: bool = True, root: bool = True) -> str:
    """The hydraulic diagram of a plan as SVG, by the symbols of ISO 1219-1.

    Lines carry their number and hose; the list says from where to where, with the hose, the adapters as the bill has
    them, and what was refused. `listed` False leaves out the list, `root` False the XML line.
    """
    job = plan.job
    canvas = Canvas(f"Hydraulic diagram: {plan.title}", "Pump and tank below, valves between, cylinders and motors above.")
    wires = [Wire(n + 1, line, plan.job.line[n].references) for n, line in enumerate(plan.lines)]
    sets = _set_out(job, wires)
    taken: list[Box] = []
    told = list(draw_ways(canvas, sets, wires, taken))
    for each in sets.values():
        each.symbol.draw(canvas, each.at)
        _name(canvas, job, each, taken)
    labels = [label for label, way in told
              if not any(set_on_line(canvas, label._replace(at=spot), taken, way.boxes) for spot in way.spots)]
    solid = [Box(x, y, x + each.symbol.wide, y + each.symbol.high) for each in sets.values() for x, y in (each.at,)]
    place(canvas, labels, taken, solid)
    if listed:
        held = canvas.extent
        y = paragraph(canvas, plan.title, held.left, held.bottom + 4.0, WIDE_MM, 4.0, bold=True) + 2.0
        listing(canvas, (*line_rows(plan), *note_rows(plan)), held.left, y, WIDE_MM)
    return canvas.svg(MARGIN_MM if listed else NARROW_MM, root=root)


def line_rows(plan: "Plan") -> Iterator[Row]:
    """The lines of a plan as the list of its diagram: number, from where to where, hose, adapters."""
    for n, line in enumerate(plan.lines):
        targets = ", ".join(plan.job.line[n].targets)
        yield Row(str(n + 1), f"{line.name}: {line.from_ref} to {targets}", tuple(_line_words(plan, line, n + 1)))


def note_rows(plan: "Plan") -> Iterator[Row]:
    """What a diagram draws though the job does not say it, or leaves out for that reason; told below its list."""
    job = plan.job
    if any(kind_of(each) == "pump" for each in job.component):
        yield Row("i", f"relief valve, set to {format_pressure(job.system.relief_psi, job.units)}",
                  ("not drawn: the job does not say where it sits",))
    if any(each.centre == "open" and kind_of(each) == "valve" for each in job.component):
        said = "drawn with the pump open to tank, A and B shut, as for cylinders; a spool for a motor may join all four: ask its maker"
        yield Row("i", "open centre", (said,))


def _line_words(plan: "Plan", line: "PlannedLine", number: int) -> Iterator[str]:
    for n, leg in enumerate(line.everything):
        head = f"{leg_mark(number, n - 1)} to {leg.to_ref}: " if leg is not line else ""
        if leg.refused:
            yield f"{head}cannot be done as asked"
            continue
        words = [hose_label(leg, plan)] if leg.hose else []
        words += [used.part.say for used in (*leg.from_parts, *leg.to_parts)]
        words += [part.say for part in leg.tees]
        if words:
            yield head + "; ".join(words)


def hose_label(line: "PlannedLine", plan: "Plan") -> str:
    """The hose of a line: type, size, length to order."""
    if line.hose is None:
        return ""
    made = line.hose
    long = f", {format_length(made.length_in * MM_PER_IN, plan.units)} long" if made.length_in else ""
    return f"hose {made.hose.type} {made.hose.size}{long}"


# --- where everything stands -----------------------------------------------------------------------------------------


def _rows_of(job: "Job", wires: Sequence[Wire]) -> dict[str, int]:
    """The row of each component: 0 feeds, the last moves, in between by how many lines away from what feeds."""
    kinds = {each.name: kind_of(each) for each in job.component}
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


class _Ports(NamedTuple):
    """What ports are joined to: the highest row that each leads to, the kind of its line, the kind of component beside it
    that it leads to, and the place of the first port that it leads to among all ports of the job."""

    rows: dict[str, int]
    kinds: dict[str, str]
    beside: dict[str, str]
    places: dict[str, int]


def _ports(job: "Job", wires: Sequence[Wire], rows: dict[str, int]) -> _Ports:
    found = _Ports({}, {}, {}, {})
    order = [f"{each.name}.{name}" for each in job.component for name in each.ports]
    for wire in wires:
        ends = [(reference, job.port(reference)[0]) for reference in wire.references]
        levels = [rows[each.name] for _, each in ends]
        for n, (reference, _) in enumerate(ends):
            found.rows[reference] = levels[0] if n else max(levels[1:], default=-1)
            found.kinds[reference] = wire.line.kind
            found.places[reference] = order.index(wire.references[0 if n else 1])
            others = [kind_of(each) for m, (_, each) in enumerate(ends) if m != n and levels[m] == levels[n]]
            found.beside[reference] = others[0] if others else ""
    return found


def _symbol(component: "Component", rows: dict[str, int], ports: _Ports) -> Symbol:
    kind, row = kind_of(component), rows[component.name]
    names = list(component.ports)
    upward = [name for name in names if ports.rows.get(f"{component.name}.{name}", -1) > row]
    top = [name for name in names if name in upward]
    bottom = [name for name in names if name not in upward]
    if kind == "pump":
        served = {name: ports.kinds.get(f"{component.name}.{name}", "") for name in names}
        apart = [[name for name in names if served[name] == each] for each in ("drain", "suction", "return")]
        return symbols.pump([name for name in names if served[name] not in ("drain", "suction", "return")], *apart)
    if kind in SOURCES:
        top, bottom = sorted(names, key=lambda name: _nesting(kind, f"{component.name}.{name}", ports)), []
    if kind in ACTUATORS:
        top, bottom = [], names
    if kind == "valve" and set(names) <= {"A", "B", "P", "T"} and set(top) <= {"A", "B"} and set(bottom) <= {"P", "T"}:
        return symbols.valve(names, component.centre)
    makers = {"cylinder": symbols.cylinder, "motor": symbols.motor, "tank": symbols.tank, "filter": symbols.filter_}
    return makers[kind](top, bottom) if kind in makers else symbols.box(top, bottom)


def _nesting(kind: str, reference: str, ports: _Ports) -> tuple[int, int]:
    """The place of a port of a tank or filter, from the pump's side on: lines to what stands beside lie in one another, and
    so do those that come around the rows between, down the right of the page.

    A pump has its inlet on that side and its drain before it; a filter in the return stands beyond the tank.
    """
    beside = ports.beside.get(reference, "")
    if kind == "filter":
        return ("pump", "tank").index(beside) if beside in ("pump", "tank") else 2, 0
    if not beside:
        around = ports.rows.get(reference, 0) > 1
        return 3 if around else 2, ports.places[reference] if around else 0
    return {"suction": 0, "drain": 1}.get(ports.kinds[reference], 4), 0


def _rank(component: "Component", ports: _Ports) -> int:
    """The place in its row of what feeds, where one feeds the other: pump, filter in the suction, tank, any other filter."""
    kind = kind_of(component)
    drawn = any(ports.kinds.get(f"{component.name}.{name}") == "suction" for name in component.ports)
    return {"pump": 0, "filter": 1 if drawn else 3, "tank": 2}[kind]


def _set_out(job: "Job", wires: Sequence[Wire]) -> dict[str, Standing]:
    rows = _rows_of(job, wires)
    ports = _ports(job, wires, rows)
    made = {each.name: _symbol(each, rows, ports) for each in job.component}
    by_row: dict[int, list[Component]] = {}
    for each in job.component:
        by_row.setdefault(rows[each.name], []).append(each)
    if any(ports.beside.get(f"{each.name}.{name}") for each in by_row.get(0, ()) for name in each.ports):
        by_row[0].sort(key=lambda each: _rank(each, ports))
        return _place_rows(job, wires, by_row, made, True)
    return _place_rows(job, wires, by_row, made, False)


def _place_rows(job: "Job", wires: Sequence[Wire], by_row: dict[int, list["Component"]], made: dict[str, Symbol],
                ranked_below: bool) -> dict[str, Standing]:
    """Rows from the bottom up, each component near those it is joined to, each port on a line of its own.

    `ranked_below` True leaves the lowest row in the order that it comes in.
    """
    lanes = _lane_counts(job, wires, by_row)
    y = 0.0
    sets: dict[str, Standing] = {}
    used: set[int] = set()
    order = sorted(by_row, key=lambda row: (row != 1, row))
    levels = {}
    wide = any(coupled((*each.from_parts, *each.to_parts)) for wire in wires for each in wire.line.everything)
    for row in sorted(by_row):
        high = max(made[each.name].high for each in by_row[row])
        levels[row] = y - high
        y -= high + (30.0 if wide else 22.0) + LANE_MM * lanes.get(row, 0)
    for row in order:
        high = max(made[each.name].high for each in by_row[row])
        ranked = by_row[row]
        if row or not ranked_below:
            ranked = sorted(by_row[row], key=lambda each: _pull(job, wires, each, sets, by_row[row].index(each)))
        x = 0.0
        for each in ranked:
            symbol = made[each.name]
            lead = 14.0 if kind_of(each) == "valve" else 0.0
            x += lead
            while any(round((x + place) / 3.0) in used for place, _ in symbol.ports.values()):
                x += 3.0
            used |= {round((x + place) / 3.0) for place, _ in symbol.ports.values()}
            top = levels[row] if kind_of(each) in SOURCES else levels[row] + high - symbol.high
            sets[each.name] = Standing(each, symbol, (x, top), row)
            x += symbol.wide + GAP_MM + (14.0 if kind_of(each) in ("cylinder", "pump") else 0.0) + lead / 2
    return sets


def _pull(job: "Job", wires: Sequence[Wire], component: "Component", sets: dict[str, Standing], position: int) -> tuple[float, int]:
    """Where a component would like to stand: over what it is joined to, of what already stands."""
    found = []
    for wire in wires:
        ends = [job.port(reference) for reference in wire.references]
        if any(each.name == component.name for each, _ in ends):
            found += [sets[each.name].port(name)[0][0] for each, name in ends if each.name in sets]
    return (sum(found) / len(found) if found else float(position), position)


def _lane_counts(job: "Job", wires: Sequence[Wire], by_row: dict[int, list["Component"]]) -> dict[int, int]:
    rows = {each.name: row for row, some in by_row.items() for each in some}
    counts: dict[int, int] = {}
    for wire in wires:
        base, *others = (rows[job.port(reference)[0].name] for reference in wire.references)
        levels = sorted({base, *others})
        if base + 1 in others and max(others) > base + 1:
            counts[base] = counts.get(base, 0) + 1  # one leg ends in the next row, another goes around it
        for row in range(max(0, levels[0] - (len(levels) == 1)), max(levels[-1], levels[0] + 1)):
            counts[row] = counts.get(row, 0) + 1
    return counts


def cylinder_words(of: "CylinderSize", units: str) -> str:
    """Bore, rod and stroke of a cylinder in short, in the unit that they are whole in where both are asked for."""
    measures = [value for value in (of.bore_in, of.rod_in, of.stroke_in) if value]
    metric = units == "metric" or (units == "both" and all(abs(value * MM_PER_IN - round(value * MM_PER_IN)) < 0.05 for value in measures))
    unit = MM_PER_IN if metric else 1.0
    return " x ".join(f"{round(value * unit, 1 if metric else 3):g}" for value in measures) + (" mm" if metric else " in")


def _name(canvas: Canvas, job: "Job", each: Standing, taken: list[Box]) -> None:
    """The component's name beside its symbol, the names of its ports at theirs."""
    room = each.symbol.wide + (12.0 if kind_of(each.component) in SOURCES + ACTUATORS else 22.0)
    component = each.component
    called = ", ".join([component.name, *(f"on {to}" for to in (component.on or {}).values())])
    below = kind_of(component) in SOURCES
    x, y = each.at
    level = y + each.symbol.high + 4.5 if below else y - 2.5
    if kind_of(component) not in SOURCES + ACTUATORS:
        level = y + each.symbol.high / 2 + 1.2
        inside = each.symbol.plain and width_mm(called, 3.2, True) < each.symbol.wide - 3.0
        x += 1.5 if inside else each.symbol.wide + (2.5 if each.symbol.plain else 9.0)
    taken.append(canvas.text((x, level), called, 3.2, room=room, bold=True).grown(0.5))
    if component.cylinder is not None:
        words = cylinder_words(component.cylinder, job.units)
        taken.append(canvas.text((x, level - 4.4), words, 2.8, room=room).grown(0.5))
    for name in component.ports:
        (px, py), edge = each.port(name)
        size = 2.5
        wide = min(width_mm(name, size), 12.0)
        at = (px + 1.2, py - 1.4) if edge == "top" else (px + 1.2, py + 3.2)
        taken.append(Box(at[0], at[1] - 2.5, at[0] + wide, at[1] + 0.8))
        canvas.text(at, name, size, room=12.0)
