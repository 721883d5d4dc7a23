"""How the flow of a line divides: over the legs behind a tee, behind a flow divider, beside a brake; and what reaches each cylinder."""

from fittings.circuit import Finding
from fittings.circuit.rules import because, rule_value
from fittings.job.cylinder_ends import ratio, shape_of, side_of
from fittings.job.inside import Leg, legs_of, share_of
from fittings.job.kinds import nature_of
from fittings.job.model import Component, Job, Line
from fittings.job.port_names import looks_like_valve, role_of
from fittings.job.stream import Circuit
from fittings.saying import both
from fittings.units import IN3_PER_GAL


def divided_told(legs: tuple[Leg, ...], share: float) -> Finding:
    """What a leg of a flow divider carries."""
    names = both(list(dict.fromkeys(leg.divider.name for leg in legs)))
    return Finding("divider-share", "info", f"{share:.0%} of the flow is reckoned for this leg of {names}, its legs taken as alike: where "
                   "they are not, write flow = \"…\" into each", ("arithmetic", "practice"))


def brake_told(motor: str) -> Finding:
    """What the line of a brake carries."""
    return Finding("brake-line", "info", f"the brake of {motor} is a dead end of a few cm³: {rule_value('brake-share'):.0%} of the flow is "
                   "reckoned for its line (common practice, no source)", because("brake-share"))


def shares_of(job: Job, line: Line) -> list[tuple[float, float]]:
    """For each leg of a line that splits: its share of what the line carries, and what comes back through it on retract, both as
    parts of the flow; reckoned as if the cylinders moved together.

    On the way out the oil divides by the areas it presses on. On the way back it divides by the rod sides, and every cap end
    gives its own area times the common speed; a cylinder whose rod end is not fed gives nothing that the pump drives.
    """
    ends = [job.port(target) for target in line.targets]
    stores = [nature_of(component, "stores") is not None for component, _ in ends]
    if line.kind in ("pressure", "return") and any(_is_valve(component) for component, _ in ends):
        return [(1.0, 0.0)] * len(ends)
    if any(stores):
        # an accumulator takes nothing from the others for long, and may be filled with all
        rest = iter(_shares([end for end, storing in zip(ends, stores, strict=True) if not storing]))
        return [(1.0, 0.0) if storing else next(rest) for storing in stores]
    motors = sum(_turns(component, port) for component, port in ends)
    if line.kind in ("work", "pressure") and motors:
        flow = line.flow_gpm or job.system.flow_gpm
        return [(1 / motors, 0.0) if _turns(*end) else _beside_a_motor(end, flow, len(ends)) for end in ends]
    return _shares(ends)


def _turns(component: Component, port: str) -> bool:
    """Whether a port of a motor takes the oil that turns it."""
    return component.kind == "motor" and not lets_go(component, port)


def lets_go(component: Component, port: str) -> bool:
    """Whether oil into a port of a motor only lets its brake go."""
    return component.kind == "motor" and role_of(port) == "brake"


def _beside_a_motor(end: tuple[Component, str], flow_gpm: float, legs: int) -> tuple[float, float]:
    """The share of a leg beside one to a motor, and what comes back: a cylinder comes to its end, and then the motor has all; a brake
    takes what fills it in a second."""
    component, port = end
    if lets_go(component, port):
        return rule_value("brake-share"), 0.0
    shape, share = shape_of(component), 1 / legs
    if shape is not None and shape.stroke_in:
        area = shape.cap_in2 if side_of(component, port) == "cap" else shape.annulus_in2
        share = min(share, area * shape.stroke_in / rule_value("full-at-once") * 60 / IN3_PER_GAL / flow_gpm)
    return share, share * ratio(component) if side_of(component, port) == "cap" and ratio(component) > 1 else 0.0


def _shares(ends: list[tuple[Component, str]]) -> list[tuple[float, float]]:
    """The shares of `shares_of` where no leg may take all."""
    if not ends:
        return []
    shapes = [shape_of(component) for component, _ in ends]
    caps = [side_of(component, port) == "cap" for component, port in ends]
    areas = [0.0 if shape is None else shape.cap_in2 if cap else shape.annulus_in2 for shape, cap in zip(shapes, caps, strict=True)]
    shares = [area / sum(areas) if all(areas) else 1 / len(areas) for area in areas]
    fed = [shape if cap and shape is not None and ratio(component) > 1 else None
           for (component, _), shape, cap in zip(ends, shapes, caps, strict=True)]
    rods = sum(shape.annulus_in2 for shape in fed if shape is not None)
    known = all(areas)
    backs = [0.0 if shape is None else shape.cap_in2 / rods if known else share * shape.phi
             for shape, share in zip(fed, shares, strict=True)]
    return list(zip(shares, backs, strict=True))


def _is_valve(component: Component) -> bool:
    """Whether a component is a valve, or a block of them, which may let nothing through or all that comes."""
    return component.kind in ("valve", "manifold") or component.centre is not None or (
        component.kind is None and not component.is_cylinder and looks_like_valve(component.ports))


def feeds_gpm(job: Job, component: Component) -> tuple[float, float]:
    """Flow into the cap end and into the rod end of a cylinder, US gpm: of the work lines that reach them, by their shares; the
    pump's where no line does."""
    found = {"cap": job.system.flow_gpm, "rod": job.system.flow_gpm}
    divides = any(nature_of(each, "divides") is not None for each in job.component)
    legs = legs_of(job, Circuit(job)) if divides else {}
    for line in job.line:
        if line.kind not in ("work", "pressure"):
            continue
        flow = line.flow_gpm or job.system.flow_gpm * share_of(legs.get(line.name, ()))
        shares = [share for share, _ in shares_of(job, line)] if len(line.targets) > 1 else [1.0]
        for reference, share in ((line.from_, 1.0), *zip(line.targets, shares, strict=True)):
            of, port = job.port(reference)
            if of is component:
                found[side_of(of, port)] = flow * share
    return found["cap"], found["rod"]
