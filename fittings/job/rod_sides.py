"""What presses on a work line beside the pump: rod sides that are shut, loads that hang on oil, valves that hold them.

Which rod sides and cylinders a line leads to is gone through once for the whole job; what follows from it is told line by line.
"""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from fittings.circuit import Finding
from fittings.circuit.cylinder import Cylinder
from fittings.circuit.rules import because
from fittings.job.between import (
    Block,
    Doubt,
    ask_load,
    blocks_between,
    cap_psi,
    doubt_of,
    doubts_told,
    holding_told,
    load_psi,
    load_said,
    made_of,
    shut_rod_psi,
    shuts_by_kind,
)
from fittings.job.cylinder_ends import cap_end_fed, ratio, shape_of, side_of
from fittings.job.kinds import nature_of
from fittings.job.model import Component, Job, Line
from fittings.job.stream import Circuit, Step, through_coupler
from fittings.saying import both
from fittings.units import format_pressure


class Rod(NamedTuple):
    """The rod side of a cylinder as a line of its stream sees it, its measures where they are given: whether the line can be shut off
    from its valve; at the cylinder, the line that ends at the farthest coupler which the job does not say can shut; what shuts it by its
    kind; what may, for all that is said."""

    component: Component
    shape: Cylinder | None
    shut: bool
    coupler: str
    by: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()


class Side(NamedTuple):
    """One side of a cylinder, `cap` or `rod`, or a motor, as a line of its stream sees it: the cylinder or motor, and what holds its load
    at this line."""

    component: Component
    side: str
    holding: tuple[Block, ...]


def rods_of(job: Job, circuit: Circuit) -> dict[str, tuple[Rod, ...]]:
    """For each work line the rod sides that it leads to; `shut` for the lines up to the last that something can close."""
    found: dict[str, tuple[Rod, ...]] = {}
    for line in job.line:
        for component, port in circuit.ends(line) if line.kind == "work" else ():
            shape = shape_of(component)
            if (shape is not None and not shape.rod_in) or side_of(component, port) != "rod" or not cap_end_fed(component):
                continue
            steps = circuit.stream(line, [component.name])
            shut = {name for step in steps.values() if step.line.can_close for name in _way_to(steps, step)}
            blocks = blocks_between(steps, component)
            closing = {name: block.component.name for block in blocks if shuts_by_kind(block) for name in _way_to(steps, block.near)}
            shut |= closing.keys()
            doubts = [doubt for block in blocks if (doubt := doubt_of(circuit, block)) is not None]
            coupler = _up_to_coupler(circuit, steps, shut)
            for name, step in steps.items():
                own = tuple(doubt for doubt in doubts if name in _way_to(steps, steps[doubt.line]))
                if step.line is line or name in shut or own:
                    by = (closing[name],) if name in closing and not step.line.can_close else ()
                    rod = Rod(component, shape, name in shut, coupler if step.line is line else "", by, own)
                    found[name] = (*found.get(name, ()), rod)
    return found


def sides_of(job: Job, circuit: Circuit) -> dict[str, tuple[Side, ...]]:
    """For each work line the sides of cylinders, and the motors, that it leads to for certain, with what holds a load at it."""
    found: dict[str, tuple[Side, ...]] = {}
    for line in job.line:
        for component, port in circuit.ends(line) if line.kind == "work" else ():
            if not component.is_cylinder and component.kind != "motor":
                continue
            steps = circuit.stream(line, [component.name])
            blocks = [block for block in blocks_between(steps, component) if nature_of(block.component, "holds") is not None]
            for name, step in steps.items():
                own = tuple(block for block in blocks if block.near.line.name == name)
                if step.sure:
                    found[name] = (*found.get(name, ()), Side(component, side_of(component, port), own))
    return found


def _way_to(steps: Mapping[str, Step], last: Step) -> Iterator[str]:
    """The lines of a stream from its first to one of them."""
    while True:
        yield last.line.name
        if not last.before:
            return
        last = steps[last.before]


def _up_to_coupler(circuit: Circuit, steps: Mapping[str, Step], planned: set[str]) -> str:
    """The line of a stream on the near side of the farthest coupler, but for lines that are planned for it; '' where there is none. Where
    the job shows the valve, a coupler on no way to it shuts nothing."""
    to_valve = {name for step in steps.values() if any(circuit.works(end) or end.centre is not None for end in step.on)
                for name in _way_to(steps, step)}
    near: dict[str, Step] = {}
    for step in steps.values():
        for component, port in circuit.ends(step.line) if not to_valve or step.line.name in to_valve else ():
            if len(step.line.targets) > 1 and component not in step.on:
                continue  # a leg that the oil does not go
            if through_coupler([(component, port)]) and (component.name not in near or step.depth < near[component.name].depth):
                near[component.name] = step
    left = [step for step in near.values() if step.line.name not in planned]
    return max(left, key=lambda step: step.depth).line.name if left else ""


def pressed_by(job: Job, line: Line, sides: tuple[Side, ...], rods: tuple[Rod, ...]) -> tuple[float, list[Finding]]:
    """What a work line must hold, psi: the relief setting, or more where a load hangs on it or a rod side can be shut; and what is to be
    told of that."""
    psi, found = line.pressure_psi or job.system.relief_psi, list[Finding]()
    for each in sides:
        most, told = _hung_on(job, each, psi)
        psi, found = max(psi, most), [*found, *told]
    for rod in rods:
        most, told = _shut_in(job, line, rod, psi)
        psi, found = max(psi, most), [*found, *told]
    return psi, found


def _hung_on(job: Job, each: Side, psi: float) -> tuple[float, list[Finding]]:
    """What the load of a cylinder makes of a line that is planned for `psi` without it."""
    component, side, holding = each
    shape, found = shape_of(component), list[Finding]()
    alone = 0.0 if shape is None or (side == "rod" and not shape.rod_in) else load_psi(component, shape, side)
    if alone > psi:
        found.append(Finding(
            "load-pressure", "warn",
            f"while its valve is shut, {load_said(job, component, side)} alone makes {_psi(job, alone)} on the {side} side of "
            f"{component.name}: more than the relief setting, and the line is planned for it{ask_load(component)}",
            because("load-holding")))
    for block in holding:
        found += holding_told(job, block, component)
    return alone, found


def _shut_in(job: Job, line: Line, rod: Rod, psi: float) -> tuple[float, list[Finding]]:
    """What a rod side that can be shut makes of a line that is planned for `psi` without it."""
    component, shape = rod.component, rod.shape
    found = [] if rod.shut else list(doubts_told(job, component, shape, rod.doubts, psi))
    if shape is None:
        return 0.0, [*found, *(_size_unknown(component) if rod.shut else ())]
    blocked = shut_rod_psi(component, shape, max(cap_psi(job, component), line.pressure_psi or 0.0))
    rated = component.psi
    weak = "" if rated is None or rated >= blocked else f"; {component.name} is rated {_psi(job, rated)}, less than that"
    if rod.shut:
        found.append(Finding(
            "intensification", "warn",
            f"{_shut_by(rod.by)} while {component.name} is pushed out: its rod side then reaches {_psi(job, blocked)}, "
            f"{made_of(job, component, shape)}; the line is planned for it{weak}{_unless(rod.by)}{ask_load(component)}",
            because("meter-out")))
    if ratio(component) > 1 and rod.coupler:
        found.append(Finding(
            "rod-coupler", "warn", f"a coupler between the rod side of {component.name} and its valve that is not fully home shuts it, "
            f"and all from the rod side to the coupler then reaches {_psi(job, blocked)}{weak}: see that it is home before every "
            f"start, or write can_close = true in line {rod.coupler}, and all up to there is planned for it", because("meter-out")))
    return blocked if rod.shut else 0.0, found


def _psi(job: Job, psi: float) -> str:
    return format_pressure(psi, job.units)


def _shut_by(by: tuple[str, ...]) -> str:
    return f"{both(list(by))} can shut this line, or hold its oil back," if by else "this line can be shut"


def _unless(by: tuple[str, ...]) -> str:
    return ". Where it cannot, write can_close = false" if by else ""


def _size_unknown(component: Component) -> Iterator[Finding]:
    yield Finding(
        "intensification-unknown", "refuse",
        f"this line can be shut while {component.name} is pushed out, and its bore and rod are not given: its rod side then reaches "
        "more than the relief setting, and nobody can say how much more. Measure it, and write "
        'cylinder = { bore = "…", rod = "…" }', because("meter-out"))
