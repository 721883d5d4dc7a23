"""What stands between a cylinder and the valve that works it: what shuts or holds back its oil, and what its load makes of that.

A rod side that is shut or held back while the cylinder is pushed out reaches the ratio of areas times the pressure at the cap end, and a
load that pulls comes on top: p_rod = (p·A_cap + F) / A_annulus. A cap side that is shut while it is pushed in reaches less than the
pump's pressure by itself, and a load that pushes comes on top: p_cap = (p·A_annulus + F) / A_cap.
"""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from fittings.circuit import Finding
from fittings.circuit.cylinder import Cylinder, cap_side_psi, rod_side_psi
from fittings.circuit.rules import because
from fittings.job.kinds import PASSES, Nature, is_directional, nature_of
from fittings.job.model import Component, Job, end_named
from fittings.job.port_names import letters_of
from fittings.job.stream import Circuit, Step
from fittings.units import format_force, format_pressure

WHILE = {"rod": "is pushed out", "cap": "goes in"}
"""When a side of a cylinder that is shut is pressed on."""

RULE = {"rod": "meter-out", "cap": "meter-out-cap"}
"""What is known of a side of a cylinder that is held back."""


class Block(NamedTuple):
    """What stands at the far end of a line from a cylinder, and the step of the stream that the line is."""

    component: Component
    near: Step


class Doubt(NamedTuple):
    """What may shut a line, though the job file does not say so: the component, the kind that its name hints at (None where only that it
    is a valve or a block is known), the line between it and the cylinder."""

    component: Component
    nature: Nature | None
    line: str


def blocks_between(steps: Mapping[str, Step], cylinder: Component) -> list[Block]:
    """What a stream from a cylinder goes through or comes to, each at the line nearest the cylinder; nothing on a side leg."""
    near: dict[str, Block] = {}
    for step in steps.values():
        for component in step.on:
            known = near.get(component.name)
            if component is not cylinder and (known is None or step.depth < known.near.depth):
                near[component.name] = Block(component, step)
    return list(near.values())


def shuts_by_kind(block: Block) -> bool:
    """Whether the job file says that a component can shut its line, by its kind, and not that it cannot."""
    nature = nature_of(block.component, "shuts")
    return nature is not None and nature.written and block.near.line.can_close is not False


def doubt_of(circuit: Circuit, block: Block) -> Doubt | None:
    """Whether a component may shut its line for all that the job file says."""
    component, line = block.component, block.near.line
    if line.can_close is not None or component.is_cylinder or component.kind not in PASSES:
        return None
    nature = nature_of(component, "shuts")
    if nature is not None and nature.written:
        return None
    if is_directional(component, circuit.works(component)):
        return None
    if nature is None and not _stands_between(circuit, component):
        return None
    return Doubt(component, nature, line.name)


def _stands_between(circuit: Circuit, component: Component) -> bool:
    """Whether work oil goes in and out of a component that is no valve with an A and a B, and that is not known to be harmless."""
    harmless = component.kind_given not in (component.kind, None) or component.kind not in PASSES
    passes = sum(line.kind == "work" for line in circuit.touching[component.name]) > 1
    return passes and not harmless and not {"a", "b"} <= {letters_of(port) for port in component.ports}


def load_of(component: Component, side: str) -> float:
    """The load that presses on the `cap` or the `rod` side of a cylinder while its valve is shut, lbf: 0 where the job says that it acts
    the other way, or names none."""
    size = component.cylinder
    if size is None or size.load_lbf is None or size.load_acts == {"cap": "pulls", "rod": "pushes"}[side]:
        return 0.0
    return size.load_lbf


def load_psi(component: Component, shape: Cylinder, side: str) -> float:
    """The pressure that the load of a cylinder alone makes on a side of it, psi, where the job says that something can push it."""
    area = shape.cap_in2 if side == "cap" else shape.annulus_in2
    return load_of(component, side) / area if component.back_driven else 0.0


def shut_psi(job: Job, component: Component, shape: Cylinder, side: str, least_psi: float = 0.0) -> float:
    """What a side of a cylinder reaches when it is shut, psi: with the most that can press on the other side, and at least `least_psi` on
    its cap end, and the load that acts against the side that is shut."""
    if side == "rod":
        return rod_side_psi(shape, max(pressed_psi(job, component, "cap"), least_psi), load_of(component, "rod"))
    return cap_side_psi(shape, pressed_psi(job, component, "rod"), _pushing(component))


def _pushing(component: Component) -> float:
    """The load that pushes the rod in while it goes in, lbf: what the job says can push it, or which way it acts; not what it works
    against."""
    size = component.cylinder
    says = component.back_driven is not False or (size is not None and size.load_acts is not None)
    return load_of(component, "cap") if says else 0.0


def pressed_psi(job: Job, component: Component, end: str) -> float:
    """The most that can press on the `cap` or `rod` end of a cylinder, psi: what the lines there are planned for."""
    there = [line.pressure_psi or job.system.relief_psi for line in job.paths for reference in line.references
             for of, port in [job.port(reference)] if of is component and end_named(port) == end]
    return max(there, default=job.system.relief_psi)


def load_said(job: Job, component: Component, side: str) -> str:
    """The load that is counted on a side, in words, and how to say that it acts the other way."""
    size = component.cylinder
    if size is None or not load_of(component, side):
        return ""
    way = "" if size.load_acts else f" (taken to {'push the rod in' if side == 'cap' else 'pull the rod out'})"
    return f"its load of {format_force(load_of(component, side), job.units)}{way}"


def made_of(job: Job, component: Component, shape: Cylinder, side: str) -> str:
    """What a side that is shut is reckoned from, in words."""
    end = {"rod": "cap", "cap": "rod"}[side]
    load = load_said(job, component, side) if side == "rod" or _pushing(component) else ""
    at = pressed_psi(job, component, end)
    what = "the relief setting" if at == job.system.relief_psi else f"the {format_pressure(at, job.units)} at its {end} end"
    times = f"{shape.phi:.2f} times {what}" if side == "rod" else f"{what} over {shape.phi:.2f}"
    return f"{times} and {load}" if load else times


def ask_load(component: Component) -> str:
    """What to write where it is not said which way a load acts."""
    size = component.cylinder
    if size is None or size.load_lbf is None or size.load_acts:
        return ""
    return '. Which way does the load act? write load_acts = "pushes" (the rod in) or "pulls" (it out) beside the load'


def doubts_told(job: Job, component: Component, shape: Cylinder | None, side: str, doubts: tuple[Doubt, ...],
                planned_psi: float) -> Iterator[Finding]:
    """What may shut a side of a cylinder and is not planned for, at the line that would carry it, with the figure."""
    for doubt in doubts:
        block, nature = doubt.component.name, doubt.nature
        reaches = "more than the relief setting, nobody can say how much more while bore and rod are not given"
        if shape is not None:
            blocked = shut_psi(job, component, shape, side)
            if blocked <= planned_psi:
                continue
            planned = format_pressure(planned_psi, job.units)
            made = made_of(job, component, shape, side)
            reaches = f"{format_pressure(blocked, job.units)}, {made}, and this line is planned for {planned} only"
        if nature is not None:
            yield Finding(
                f"{side}-side-may-shut", "warn",
                f"{nature.told_of(block)}: where it can shut the oil in or hold it back while {component.name} {WHILE[side]}, "
                f"its {side} side reaches {reaches}. Write kind = \"{nature.kind}\" into {block}, and the line is planned for it; where it "
                f"cannot, write can_close = false into line {doubt.line}{ask_load(component)}", because(RULE[side]))
        elif doubt.component.kind == "valve":
            yield Finding(
                f"{side}-side-may-shut", "warn",
                f"{block} is a valve between {component.name} and what works it: where it can shut the oil in or hold it back while "
                f"{component.name} {WHILE[side]}, its {side} side reaches {reaches}. Write can_close = true into line {doubt.line}, "
                "and it is planned for that, or can_close = false where it cannot", because(RULE[side]))
        else:
            yield Finding(
                f"{side}-side-block", "info",
                f"what {block} is on the inside is not said: where it can shut the oil in or hold it back, the {side} side of "
                f"{component.name} reaches {reaches}. Then write its kind, or can_close = true into line {doubt.line}; else "
                "can_close = false", because(RULE[side]))


def holding_told(job: Job, block: Block, held: Component, seated: bool = False) -> Iterator[Finding]:
    """What is to be known of a valve that holds the load of a cylinder or motor, or guards it, through a hose, or `seated` on
    its port itself."""
    name = block.component.name
    guards, holds = nature_of(block.component, "guards"), nature_of(block.component, "holds")
    if guards is not None and not seated:
        yield Finding(
            "burst-hose", "warn",
            f"{guards.told_of(name)}, and this hose lies between it and {held.name}: when this hose bursts it shuts nothing, and the load "
            f"comes down. It sits in the port of {held.name} itself, or on rigid tube: then write on = {{ … = \"{held.name}.…\" }} "
            f"into {name}, and leave this line out", because("lowering", "holding-hose"))
    if holds is None:
        return
    if not seated:
        yield Finding(
            "holding-hose", "warn",
            f"{holds.told_of(name)}, and this hose lies between it and {held.name}: when the hose bursts nothing holds the load. A valve "
            f"that holds a load sits on the port of {held.name} itself, or on rigid tube: then write on = {{ … = \"{held.name}.…\" }} "
            f"into {name}, and leave this line out", because("holding-hose"))
    yield Finding(
        "trapped-oil", "warn",
        f"oil that {name} shuts in cannot leave when it warms, and rises 11 bar for every °C (90 psi for every °F): it wants a thermal "
        "relief, set above the relief of the machine and below the weakest of hose and cylinder", because("trapped-oil"))
