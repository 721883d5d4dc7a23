"""What each line of a job must carry and hold.

Flow: what the pump gives, and on retract the ratio of areas times as much out of the cap end. Pressure: the relief
setting, more on a rod side that can be shut, less on the way to the tank.
"""

from collections.abc import Iterator

from fittings.circuit import Finding
from fittings.circuit.cylinder import Cylinder, cylinder, rod_side_psi
from fittings.circuit.rules import because, figure
from fittings.ends import family
from fittings.job.model import Component, Job, Line
from fittings.job.result import Demand
from fittings.units import format_flow, format_pressure

OPEN_TO_TANK = ("tank", "filter")


def shape_of(component: Component) -> Cylinder | None:
    """The cylinder of a component, None when it is none or its measures are not given."""
    size = component.cylinder
    return None if size is None else cylinder(size.bore_in, size.rod_in, size.stroke_in)


def ratio(component: Component) -> float:
    """How much more leaves the cap end on retract than is fed in at the rod end; 1 when the rod end is not fed with oil."""
    shape = shape_of(component)
    return shape.phi if shape is not None and shape.rod_in and rod_end_fed(component) else 1.0


def rod_end_fed(component: Component) -> bool:
    """Whether oil is fed into the rod end of a cylinder: it has a port there that is not open to the air."""
    return any(side_of(component, port) == "rod" for port in component.ports) and not any(
        each.lower().startswith("rod") for each in component.vented)


def side_of(component: Component, port: str) -> str:
    """`cap` or `rod` for a cylinder's port, '' for any other."""
    if not component.is_cylinder:
        return ""
    return "cap" if port.lower().startswith("cap") else "rod"


def demands(job: Job, line: Line) -> tuple[Demand, tuple[Demand, ...]]:
    """What a line must carry and hold, and the same for each of its legs (none when it does not split)."""
    component, port = job.port(line.from_)
    ends = [(component, port), *(job.port(target) for target in line.targets)]
    flow = line.flow_gpm or job.system.flow_gpm
    if line.kind == "work":
        whole = _work(job, line, ends, flow)
    elif line.kind == "return":
        whole = _return(job, line, ends)
    elif line.kind == "drain":
        whole = _drain(job, line, ends)
    else:
        psi = 0.0 if line.kind == "suction" else line.pressure_psi or job.system.relief_psi
        found = _no_suction(ends) if line.kind == "suction" else _below_relief(job, line)
        whole = Demand(flow, _why(line), psi, tuple(found))
    whole = whole._replace(flow_asked=line.flow_gpm is not None)
    if len(line.targets) == 1:
        return whole._replace(findings=(*whole.findings, *_ratings(job, ends, whole.max_psi))), ()
    whole = whole._replace(findings=(*whole.findings, *_ratings(job, ends[:1], whole.max_psi)))
    return _split(job, line, whole, flow)


def _why(line: Line) -> str:
    return "as the job file says" if line.flow_gpm else "what the pump gives"


def _below_relief(job: Job, line: Line) -> Iterator[Finding]:
    if line.pressure_psi is not None and line.pressure_psi < job.system.relief_psi:
        yield Finding(
            "pressure-below-relief", "refuse" if line.kind == "pressure" else "warn",
            f"planned for the {_psi(job, line.pressure_psi)} that the job file says; the relief is set to "
            f"{_psi(job, job.system.relief_psi)}: something between must keep the rest away", ("practice",))


def _no_suction(ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """A suction line leads from a tank to the inlet of a pump; any other sees pressure."""
    kinds = {component.kind for component, _ in ends}
    if kinds & {"tank", "filter"} and kinds <= {"tank", "filter", "pump"}:
        return
    names = " and ".join(f"{component.name}.{port}" for component, port in ends)
    if kinds <= {"tank", "filter", "pump", None} and kinds & {"tank", "filter", "pump"}:
        yield Finding("suction-unknown", "warn", "a suction line leads from a tank to a pump, and holds no pressure: "
                      f"{names} must be that; write kind = \"tank\" or \"pump\" into the component", ("practice",))
    else:
        yield Finding("suction-elsewhere", "refuse", "a suction line leads from a tank to a pump, and its hose holds next to no "
                      f"pressure: {names} can see the pump's", ("practice",))


def _psi(job: Job, psi: float) -> str:
    return format_pressure(psi, job.units)


def _gpm(job: Job, gpm: float) -> str:
    return format_flow(gpm, job.units)


def _work(job: Job, line: Line, ends: list[tuple[Component, str]], flow: float) -> Demand:
    relief = line.pressure_psi or job.system.relief_psi
    psi, why, most = relief, _why(line), flow
    found = list(_below_relief(job, line))
    for component, port in ends:
        shape = shape_of(component)
        if shape is None and line.can_close and side_of(component, port) == "rod":
            found.append(Finding(
                "intensification-unknown", "refuse",
                f"this line can be shut while {component.name} is pushed out, and its bore and rod are not given: its rod side then "
                "reaches more than the relief setting, and nobody can say how much more. Measure it, and write "
                'cylinder = { bore = "…", rod = "…" }', ("hydraulic-consultants-intensification", "arithmetic")))
        if shape is None or not shape.rod_in:
            continue
        if side_of(component, port) == "cap":
            out = flow * ratio(component)
            if len(line.targets) == 1 and out > most:
                most, why = out, f"out of the cap end of {component.name} while it retracts"
                found.append(Finding(
                    "retract-flow", "info",
                    f"while {component.name} retracts, {_gpm(job, out)} leaves its cap end: {ratio(component):.2f} times the "
                    f"{_gpm(job, flow)} that goes in at the rod end", because("retract-flow")))
        elif line.can_close:
            blocked = rod_side_psi(shape, relief)
            psi = max(psi, blocked)
            found.append(Finding(
                "intensification", "warn",
                f"this line can be shut while {component.name} is pushed out: its rod side then reaches {_psi(job, blocked)}, "
                f"{shape.phi:.2f} times the relief setting; the line is planned for it",
                ("hydraulic-consultants-intensification", "arithmetic")))
        elif ratio(component) > 1 and _through_coupler(ends):
            found.append(Finding(
                "rod-coupler", "warn", f"a coupler in the line to the rod side of {component.name} that is not fully home shuts it, "
                f"and the rod side then reaches {_psi(job, rod_side_psi(shape, relief))}: see that it is home before every start, or write "
                "can_close = true and the line is planned for it", ("hydraulic-consultants-intensification", "arithmetic")))
    return Demand(most, why, psi, tuple(found))


def _through_coupler(ends: list[tuple[Component, str]]) -> bool:
    return any(component.kind == "coupler" or family(component.ports[port].end.family)["kin"] == "coupler" for component, port in ends)


def _return(job: Job, line: Line, ends: list[tuple[Component, str]]) -> Demand:
    found = []
    open_end = any(all(component.kind in OPEN_TO_TANK for component, _ in side) for side in (ends[:1], ends[1:]))
    begins = [component for component, _ in (ends[1:] if ends[0][0].kind in OPEN_TO_TANK else ends[:1])]
    flow, why = (line.flow_gpm, _why(line)) if line.flow_gpm else max(_return_flow(job, each) for each in begins)
    if flow > job.system.flow_gpm and not line.flow_gpm:
        found.append(Finding(
            "return-flow", "info", f"sized for {_gpm(job, flow)}, {why}", because("retract-flow")))
    if open_end:
        psi = line.pressure_psi or figure("return-pressure")
        if not line.pressure_psi:
            found.append(Finding(
                "return-pressure-assumed", "info",
                f"taken as never above {_psi(job, psi)}, filter and cold oil included (common practice, no source); write "
                "pressure = \"…\" into the line if it can be more", ("practice",)))
    else:
        psi = line.pressure_psi or job.system.relief_psi
        if not line.pressure_psi:
            ends_at = ", ".join(component.name for component, _ in ends[1:])
            found.append(Finding(
                "return-can-be-pressurised", "warn",
                f"it ends at {ends_at}, not at a tank: a lever can put full pressure on it, so it is planned for the relief "
                "setting", ("practice",)))
    for component, port in ends:
        if _through_coupler([(component, port)]):
            found.append(Finding(
                "return-coupler", "warn", f"{component.name} in a return: a coupler that is not fully home shuts it, and what "
                "is behind it sees the relief pressure or more; never a one-way coupler here", ("practice",)))
    return Demand(flow, why, psi, tuple(found))


def _return_flow(job: Job, start: Component) -> tuple[float, str]:
    """The greatest flow that comes back through a component: the cap end of a cylinder on retract, or what the pump gives."""
    best, why = job.system.flow_gpm, "what the pump gives"
    fed = [line for line in job.line if line.kind == "work" and job.port(line.from_)[0] is start]
    for line in fed or [each for each in job.line if each.kind == "work"]:
        for reference in (line.from_, *line.targets):
            component, port = job.port(reference)
            if side_of(component, port) == "cap":
                out = (line.flow_gpm or job.system.flow_gpm) * ratio(component)
                if out > best:
                    best, why = out, f"out of the cap end of {component.name} while it retracts"
    return best, why


def _drain(job: Job, line: Line, ends: list[tuple[Component, str]]) -> Demand:
    found = []
    flow = line.flow_gpm or job.system.flow_gpm * figure("drain-share")
    if not line.flow_gpm:
        found.append(Finding(
            "drain-flow-assumed", "info",
            f"a tenth of the pump's flow, {_gpm(job, flow)}, is taken to leak into the case (common practice, no source)",
            ("practice",)))
    if not any(component.kind == "tank" for component, _ in ends) or len(ends) > 2:
        found.append(Finding(
            "drain-shared", "refuse",
            "a case drain goes alone and straight to the tank: shared with another line, or through a coupler or valve that "
            "can shut, it blows the shaft seal", because("drain-alone")))
    return Demand(flow, _why(line) if line.flow_gpm else "assumed", line.pressure_psi or figure("drain-pressure"), tuple(found))


def _ratings(job: Job, ends: list[tuple[Component, str]], psi: float) -> Iterator[Finding]:
    for component, port in ends:
        if component.psi is None or component.psi >= psi:
            continue
        yield Finding(
            "component-rating", "refuse",
            f"{component.name} is rated {_psi(job, component.psi)} by its maker, below the {_psi(job, psi)} that "
            f"{component.name}.{port} can reach", ("practice",))


def _split(job: Job, line: Line, whole: Demand, flow: float) -> tuple[Demand, tuple[Demand, ...]]:
    """The legs behind a tee: in proportion to the areas when they all end in cylinders, else alike."""
    base = flow if line.kind in ("work", "pressure") else whole.flow_gpm
    shares = shares_of(job, line)
    legs, out = [], 0.0
    for target, (share, back) in zip(line.targets, shares, strict=True):
        own, found = base * share, []
        why = f"its share, {share:.0%}, of what the line carries"
        if line.kind == "work" and base * back > own:
            own, why = base * back, "its share out of the cap end while it retracts"
        out += own
        found.append(Finding(
            "leg-share", "info",
            f"{share:.0%} of the flow is reckoned for this leg; oil takes the easiest way, so the lighter load moves first and "
            "may take it all for a while", ("arithmetic", "practice")))
        found += _ratings(job, [job.port(target)], whole.max_psi)
        legs.append(Demand(own, why, whole.max_psi, tuple(found)))
    backs = base * sum(back for _, back in shares)
    if line.kind == "work" and backs > whole.flow_gpm:
        whole = whole._replace(flow_gpm=backs, flow_why="out of the cap ends while they retract")
    if all(job.port(target)[0].is_cylinder for target in line.targets):
        whole = whole._replace(findings=(*whole.findings, Finding(
            "cylinders-parallel", "warn",
            "cylinders on one line move together only when something ties them; the one with less load goes first, and either "
            "can push oil into the other while the valve is shut", ("practice",))))
    return whole, tuple(legs)


def shares_of(job: Job, line: Line) -> list[tuple[float, float]]:
    """For each leg of a line that splits: its share of what the line carries, and what comes back through it on retract, both as
    parts of the flow; reckoned as if the cylinders moved together.

    On the way out the oil divides by the areas it presses on. On the way back it divides by the rod sides, and every cap end
    gives its own area times the common speed; a cylinder whose rod end is not fed gives nothing that the pump drives.
    """
    ends = [job.port(target) for target in line.targets]
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


def feeds_gpm(job: Job, component: Component) -> tuple[float, float]:
    """Flow into the cap end and into the rod end of a cylinder, US gpm: of the work lines that reach them, by their shares; the
    pump's where no line does."""
    found = {"cap": job.system.flow_gpm, "rod": job.system.flow_gpm}
    for line in job.line:
        if line.kind != "work":
            continue
        flow = line.flow_gpm or job.system.flow_gpm
        shares = [share for share, _ in shares_of(job, line)] if len(line.targets) > 1 else [1.0]
        for reference, share in ((line.from_, 1.0), *zip(line.targets, shares, strict=True)):
            of, port = job.port(reference)
            if of is component:
                found[side_of(of, port)] = flow * share
    return found["cap"], found["rod"]
