"""A valve that leads the oil of a rod end into the cap end of the same cylinder: it goes out faster, and pushes with the area of its rod.

With Q from the pump the piston moves as if Q filled the rod's own area, so Q·A_cap / A_rod goes in at the cap end and Q·A_annulus / A_rod
leaves the rod end.
"""

from collections.abc import Iterator
from typing import NamedTuple

from fittings.circuit import Finding
from fittings.circuit.cylinder import Cylinder, speed_in_s
from fittings.circuit.rules import because
from fittings.job.between import Block, blocks_between
from fittings.job.cylinder_ends import cap_end_fed, rod_end_fed, shape_of, side_of
from fittings.job.kinds import Nature, nature_of
from fittings.job.model import Component, Job, Line
from fittings.job.stream import Circuit, way_to
from fittings.units import MM_PER_IN, format_flow, format_force, format_length, format_pressure


class Regenerating(NamedTuple):
    """One side of a cylinder, `cap` or `rod`, that a valve feeds with oil of its rod end: its measures where they are given, the valve and
    what says so."""

    component: Component
    side: str
    shape: Cylinder | None
    valve: Component
    nature: Nature

    def gpm(self, flow_gpm: float) -> float:
        """What runs in a line at this side while the pump gives so much, US gpm; 0 where the measures are not given."""
        if self.shape is None:
            return 0.0
        area = self.shape.cap_in2 if self.side == "cap" else self.shape.annulus_in2
        return flow_gpm * area / _rod_in2(self.shape)


def _rod_in2(shape: Cylinder) -> float:
    return shape.cap_in2 - shape.annulus_in2


def regenerating(job: Job, circuit: Circuit) -> dict[str, tuple[Regenerating, ...]]:
    """For each work line the cylinders behind a valve that regenerates."""
    found: dict[str, tuple[Regenerating, ...]] = {}
    for line in job.paths:
        for component, port in circuit.ends(line) if line.kind == "work" else ():
            shape, side = shape_of(component), side_of(component, port)
            if not component.is_cylinder or not (rod_end_fed(component) and cap_end_fed(component)) or (shape and not shape.rod_in):
                continue
            steps = circuit.stream(line, [component.name])
            for valve, nature, near in _valves(blocks_between(steps, component)):
                for name in way_to(steps, near.near):
                    found[name] = (*found.get(name, ()), Regenerating(component, side, shape, valve, nature))
    return found


def _valves(blocks: list[Block]) -> Iterator[tuple[Component, Nature, Block]]:
    for block in blocks:
        nature = nature_of(block.component, "regenerates")
        if nature is not None:
            yield block.component, nature, block


def regenerating_told(job: Job, line: Line, of: Regenerating, planned_gpm: float) -> tuple[float, list[Finding]]:
    """What a line must carry while its cylinder regenerates, US gpm, 0 where that is not more than what it is planned for; and what is to
    be told of that."""
    flow = of.gpm(job.system.flow_gpm)
    if flow <= planned_gpm:
        return 0.0, []
    name, carries = of.component.name, format_flow(flow, job.units)
    runs = f"while it leads the oil of the rod end of {name} into its cap end, {carries} runs here"
    if of.nature.written and line.flow_gpm is None:
        return flow, [Finding("regeneration-flow", "info", f"{of.nature.told_of(of.valve.name)}: {runs}", because("regeneration"))]
    cure = f'. Write kind = "{of.nature.kind}" into {of.valve.name}, and it is planned for that' if line.flow_gpm is None else (
        ", by the flow that the job file gives it: take that out of the line")
    return 0.0, [Finding(
        "regeneration-flow", "warn",
        f"{of.nature.told_of(of.valve.name)}: {runs}. Too narrow, a line holds that oil back, and the rod side rises; this one is planned "
        f"for {format_flow(planned_gpm, job.units)} only{cure}", because("regeneration", "meter-out"))]


def regeneration_told(job: Job, circuit: Circuit) -> Iterator[Finding]:
    """What each cylinder behind a valve that regenerates does meanwhile."""
    told: dict[str, Regenerating] = {}
    for each in regenerating(job, circuit).values():
        told |= {of.component.name: of for of in each if of.component.name not in told}
    for name, of in told.items():
        is_ = of.nature.told_of(of.valve.name)
        if of.shape is None:
            yield Finding(
                "regenerating", "warn", f"{is_}: {name} goes out faster then, pushes less, and more runs in its lines than the pump "
                'gives. How much more rests on its bore and rod: write cylinder = { bore = "…", rod = "…" }', because("regeneration"))
            continue
        area, psi, units = _rod_in2(of.shape), job.system.relief_psi, job.units
        speed = format_length(speed_in_s(area, job.system.flow_gpm) * MM_PER_IN, units)
        yield Finding(
            "regenerating", "info" if of.nature.written else "warn",
            f"{is_}: while it leads the oil of its rod end into its cap end {name} goes out at {speed} a second and pushes only "
            f"with the area of its rod, {format_force(psi * area, units)} at {format_pressure(psi, units)}; what is told of {name} holds "
            "while its rod end is open to the tank. Keep hands away: it is that much faster", because("regeneration"))
