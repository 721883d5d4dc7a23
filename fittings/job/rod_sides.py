"""What presses on a work line beside the pump: sides of cylinders that are shut, loads that hang on oil, valves that hold them.

Which cylinders and which of their sides a line leads to is gone through once for the whole job; what follows from it is told line by line.
"""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from fittings.circuit import Finding
from fittings.circuit.cylinder import Cylinder
from fittings.circuit.rules import because, rule_value
from fittings.job.between import (
    RULE,
    WHILE,
    Block,
    Doubt,
    ask_load,
    blocks_between,
    doubt_of,
    doubts_told,
    holding_told,
    load_psi,
    load_said,
    made_of,
    shut_psi,
    shuts_by_kind,
)
from fittings.job.cylinder_ends import cap_end_fed, ratio, rod_end_fed, shape_of, side_of
from fittings.job.kinds import is_counterbalance, nature_of
from fittings.job.model import Component, Job, Line, Seat
from fittings.job.stream import Circuit, Step, through_coupler, way_to
from fittings.saying import both
from fittings.units import format_pressure


class Shut(NamedTuple):
    """A side of a cylinder, `cap` or `rod`, as a line of its stream sees it, its measures where they are given: whether the line can be
    shut off from its valve; at the cylinder, the line that ends at the farthest coupler which the job does not say can shut; what shuts it
    by its kind; what may, for all that is said."""

    component: Component
    side: str
    shape: Cylinder | None
    shut: bool
    coupler: str
    by: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()


class Side(NamedTuple):
    """One side of a cylinder, `cap` or `rod`, or a motor, as a line of its stream sees it: the cylinder or motor, what holds its load, or
    guards it against a burst hose, at this line, and whether the line lies between it and a counterbalance valve."""

    component: Component
    side: str
    holding: tuple[Block, ...]
    balanced: bool = False


def shut_sides(job: Job, circuit: Circuit) -> dict[str, tuple[Shut, ...]]:
    """For each work line the sides of cylinders that it leads to; `shut` for the lines up to the last that something can close."""
    found: dict[str, tuple[Shut, ...]] = {}
    for line in job.paths:
        for component, port in circuit.ends(line) if line.kind == "work" else ():
            side, shape = side_of(component, port), shape_of(component)
            if not _is_pressed(component, side, shape):
                continue
            steps = circuit.stream(line, [component.name])
            shut = {name for step in steps.values() if step.line.can_close for name in way_to(steps, step)}
            blocks = [block for block in blocks_between(steps, component) if side == "rod" or not _opens_itself(block)]
            closing = {name: block.component.name for block in blocks if shuts_by_kind(block) for name in way_to(steps, block.near)}
            shut |= closing.keys()
            doubts = [doubt for block in blocks if (doubt := doubt_of(circuit, block)) is not None]
            coupler = _up_to_coupler(circuit, steps, shut)
            for name, step in steps.items():
                own = tuple(doubt for doubt in doubts if name in way_to(steps, steps[doubt.line]))
                if step.line is line or name in shut or own:
                    by = (closing[name],) if name in closing and not step.line.can_close else ()
                    of = Shut(component, side, shape, name in shut, coupler if step.line is line else "", by, own)
                    found[name] = (*found.get(name, ()), of)
    return found


def _is_pressed(component: Component, side: str, shape: Cylinder | None) -> bool:
    """Whether oil is fed into the other end of a cylinder, and presses on this side where that is shut. Of a cap side without measures
    there is no load to reckon with, and the pump alone makes no more of it than the relief lets through."""
    if side == "cap":
        return shape is not None and bool(shape.rod_in) and rod_end_fed(component)
    return side == "rod" and (shape is None or bool(shape.rod_in)) and cap_end_fed(component)


def _opens_itself(block: Block) -> bool:
    """Whether what holds a load at a cap end opens by the pressure that is fed into the rod end: a pilot does that."""
    return nature_of(block.component, "holds") is not None


def sides_of(job: Job, circuit: Circuit) -> dict[str, tuple[Side, ...]]:
    """For each work line the sides of cylinders, and the motors, that it leads to for certain, with what holds a load at it."""
    found: dict[str, tuple[Side, ...]] = {}
    for line in job.paths:
        for component, port in circuit.ends(line) if line.kind == "work" else ():
            if not component.is_cylinder and component.kind != "motor":
                continue
            steps = circuit.stream(line, [component.name])
            blocks = [block for block in blocks_between(steps, component)
                      if nature_of(block.component, "holds") is not None or nature_of(block.component, "guards") is not None]
            balanced = {name for block in blocks if is_counterbalance(block.component) for name in way_to(steps, block.near)}
            for name, step in steps.items():
                own = tuple(block for block in blocks if block.near.line.name == name)
                if step.sure:
                    found[name] = (*found.get(name, ()), Side(component, side_of(component, port), own, name in balanced))
    return found


def holding_at(job: Job, circuit: Circuit) -> dict[str, tuple[Component, ...]]:
    """What holds the load of each cylinder and motor, by their names."""
    found: dict[str, tuple[Component, ...]] = {}
    for sides in sides_of(job, circuit).values():
        for side in sides:
            new = [block.component for block in side.holding if nature_of(block.component, "holds") is not None]
            found[side.component.name] = (*found.get(side.component.name, ()), *new)
    return found


def _up_to_coupler(circuit: Circuit, steps: Mapping[str, Step], planned: set[str]) -> str:
    """The line of a stream on the near side of the farthest coupler, but for lines that are planned for it; '' where there is none. Where
    the job shows the valve, a coupler on no way to it shuts nothing."""
    to_valve = {name for step in steps.values() if any(circuit.works(end) or end.centre is not None for end in step.on)
                for name in way_to(steps, step)}
    near: dict[str, Step] = {}
    for step in steps.values():
        for component, port in circuit.ends(step.line) if not to_valve or step.line.name in to_valve else ():
            if len(step.line.targets) > 1 and component not in step.on:
                continue  # a leg that the oil does not go
            if through_coupler([(component, port)]) and (component.name not in near or step.depth < near[component.name].depth):
                near[component.name] = step
    left = [step for step in near.values() if step.line.name not in planned]
    return max(left, key=lambda step: step.depth).line.name if left else ""


def pressed_by(job: Job, line: Line, sides: tuple[Side, ...], shut: tuple[Shut, ...]) -> tuple[float, list[Finding]]:
    """What a work line must hold, psi: the relief setting, or more where a load hangs on it or a side of a cylinder can be shut; and
    what is to be told of that."""
    psi, found = line.pressure_psi or job.system.relief_psi, list[Finding]()
    for each in sides:
        most, told = _hung_on(job, line, each, psi)
        psi, found = max(psi, most), [*found, *told]
    for each_shut in shut:
        most, told = _shut_in(job, line, each_shut, psi)
        psi, found = max(psi, most), [*found, *told]
    return psi, found


def _hung_on(job: Job, line: Line, each: Side, psi: float) -> tuple[float, list[Finding]]:
    """What the load of a cylinder makes of a line that is planned for `psi` without it."""
    component, side, found = each.component, each.side, list[Finding]()
    shape = shape_of(component)
    alone = 0.0 if shape is None or (side == "rod" and not shape.rod_in) else load_psi(component, shape, side)
    if alone > psi:
        found.append(Finding(
            "load-pressure", "warn",
            f"while its valve is shut, {load_said(job, component, side)} alone makes {_psi(job, alone)} on the {side} side of "
            f"{component.name}: more than the relief setting, and {_planned(line)}{ask_load(component)}",
            because("load-holding")))
    factor = rule_value("counterbalance")
    setting = factor * alone if each.balanced and not line.pressure_psi else 0.0
    if setting > psi:
        found.append(Finding(
            "counterbalance-setting", "warn",
            f"{load_said(job, component, side)} makes {_psi(job, alone)} on the {side} side of {component.name}, and a counterbalance "
            f"valve is set at {factor:g} times that, {_psi(job, setting)}: what is between them reaches that, and {_planned(line)}. "
            f"Where it is set to less, write what it is set to as pressure = \"…\" into the line{ask_load(component)}",
            because("counterbalance")))
    for block in each.holding:
        found += holding_told(job, block, component, isinstance(line, Seat))
    return max(alone, setting), found


def _shut_in(job: Job, line: Line, of: Shut, psi: float) -> tuple[float, list[Finding]]:
    """What a side of a cylinder that can be shut makes of a line that is planned for `psi` without it."""
    component, side, shape = of.component, of.side, of.shape
    found = [] if of.shut else list(doubts_told(job, component, shape, side, of.doubts, psi))
    if shape is None:
        return 0.0, [*found, *(_size_unknown(component) if of.shut else ())]
    blocked = shut_psi(job, component, shape, side, line.pressure_psi or 0.0)
    if side == "cap" and blocked <= psi:
        return 0.0, found
    rated = component.psi
    weak = "" if rated is None or rated >= blocked else f"; {component.name} is rated {_psi(job, rated)}, less than that"
    if of.shut:
        found.append(Finding(
            "intensification" if side == "rod" else "cap-side-shut", "warn",
            f"{_shut_by(of.by)} while {component.name} {WHILE[side]}: its {side} side then reaches {_psi(job, blocked)}, "
            f"{made_of(job, component, shape, side)}; {_planned(line)}{weak}{_unless(of.by)}{ask_load(component)}",
            because(RULE[side])))
    if ratio(component) > 1 and of.coupler:
        found.append(Finding(
            f"{side}-coupler", "warn", f"a coupler between the {side} side of {component.name} and its valve that is not fully home shuts "
            f"it, and all from the {side} side to the coupler then reaches {_psi(job, blocked)}{weak}: see that it is home before every "
            f"start, or write can_close = true in line {of.coupler}, and all up to there is planned for it", because(RULE[side])))
    return blocked if of.shut else 0.0, found


def _psi(job: Job, psi: float) -> str:
    return format_pressure(psi, job.units)


def _planned(line: Line) -> str:
    return "it must hold that" if isinstance(line, Seat) else "the line is planned for it"


def _shut_by(by: tuple[str, ...]) -> str:
    return f"{both(list(by))} can shut this line, or hold its oil back," if by else "this line can be shut"


def _unless(by: tuple[str, ...]) -> str:
    return ". Where it cannot, or has a check that lets this oil by, write can_close = false" if by else ""


def _size_unknown(component: Component) -> Iterator[Finding]:
    yield Finding(
        "intensification-unknown", "refuse",
        f"this line can be shut while {component.name} is pushed out, and its bore and rod are not given: its rod side then reaches "
        "more than the relief setting, and nobody can say how much more. Measure it, and write "
        'cylinder = { bore = "…", rod = "…" }', because("meter-out"))
