"""What each line of a job must carry and hold, and what the circuit as a whole is in danger of.

Flow: what the pump gives, and on retract the ratio of areas times as much out of the cap end. Pressure: the relief
setting, more on a rod side that can be shut, less on the way to the tank.
"""

from collections.abc import Iterator

from fittings.circuit import Finding
from fittings.circuit import oil as oils
from fittings.circuit.cylinder import Cylinder, cylinder, rod_side_psi
from fittings.circuit.flow import power_hp
from fittings.job.model import Component, Job, Line
from fittings.job.result import Demand
from fittings.job.trade_rules import because, figure
from fittings.units import format_flow, format_power, format_pressure, format_temperature

OPEN_TO_TANK = ("tank", "filter")
DRAIN_NAMES = ("drain", "case", "case drain", "dr", "l")


def shape_of(component: Component) -> Cylinder | None:
    """The cylinder of a component, None when it is none or its measures are not given."""
    size = component.cylinder
    return None if size is None else cylinder(size.bore_in, size.rod_in, size.stroke_in)


def ratio(component: Component) -> float:
    """How much more leaves the cap end on retract than is fed in at the rod end; 1 when the rod end is not fed with oil."""
    shape = shape_of(component)
    fed = any(side_of(component, port) == "rod" for port in component.ports) and not any(
        each.lower().startswith("rod") for each in component.vented)
    return shape.phi if shape is not None and shape.rod_in and fed else 1.0


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
        whole = Demand(flow, "what the pump gives", psi, tuple(_below_relief(job, line)))
    if len(line.targets) == 1:
        return whole._replace(findings=(*whole.findings, *_ratings(job, ends, whole.max_psi))), ()
    whole = whole._replace(findings=(*whole.findings, *_ratings(job, ends[:1], whole.max_psi)))
    return _split(job, line, whole, flow)


def _below_relief(job: Job, line: Line) -> Iterator[Finding]:
    if line.pressure_psi is not None and line.pressure_psi < job.system.relief_psi:
        yield Finding(
            "pressure-below-relief", "warn",
            f"planned for the {_psi(job, line.pressure_psi)} that the job file says; the relief is set to "
            f"{_psi(job, job.system.relief_psi)}: something between must keep the rest away", ("practice",))


def _psi(job: Job, psi: float) -> str:
    return format_pressure(psi, job.units)  # type: ignore[arg-type]


def _power(job: Job) -> str:
    return format_power(power_hp(job.system.flow_gpm, job.system.relief_psi), job.units)  # type: ignore[arg-type]


def _gpm(job: Job, gpm: float) -> str:
    return format_flow(gpm, job.units)  # type: ignore[arg-type]


def _work(job: Job, line: Line, ends: list[tuple[Component, str]], flow: float) -> Demand:
    relief = line.pressure_psi or job.system.relief_psi
    psi, why, most = relief, "what the pump gives", flow
    found = list(_below_relief(job, line))
    for component, port in ends:
        shape = shape_of(component)
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
    return Demand(most, why, psi, tuple(found))


def _return(job: Job, line: Line, ends: list[tuple[Component, str]]) -> Demand:
    found = []
    flow, why = (line.flow_gpm, "as the job file says") if line.flow_gpm else _return_flow(job, ends[0][0])
    if flow > job.system.flow_gpm and not line.flow_gpm:
        found.append(Finding(
            "return-flow", "info", f"sized for {_gpm(job, flow)}, {why}", because("retract-flow")))
    if all(component.kind in OPEN_TO_TANK for component, _ in ends[1:]):
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
    for component, _ in ends[1:]:
        if component.kind == "coupler":
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
    if not all(component.kind == "tank" for component, _ in ends[1:]) or len(ends) > 2:
        found.append(Finding(
            "drain-shared", "refuse",
            "a case drain goes alone and straight to the tank: shared with another line, or through a coupler or valve that "
            "can shut, it blows the shaft seal", because("drain-alone")))
    return Demand(flow, "as the job file says" if line.flow_gpm else "assumed", line.pressure_psi or figure("drain-pressure"), tuple(found))


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
    areas = []
    capped_ends = []
    for target in line.targets:
        component, port = job.port(target)
        shape = shape_of(component)
        cap = side_of(component, port) == "cap"
        capped_ends.append(component if cap else None)
        areas.append(None if shape is None else shape.cap_in2 if cap else shape.annulus_in2)
    known = [area for area in areas if area]
    shares = [area / sum(known) if area and len(known) == len(areas) else 1 / len(areas) for area in areas]
    base = flow if line.kind in ("work", "pressure") else whole.flow_gpm
    legs, out = [], 0.0
    for target, capped, share in zip(line.targets, capped_ends, shares, strict=True):
        own, found = base * share, []
        why = f"its share, {share:.0%}, of what the line carries"
        if capped is not None and ratio(capped) > 1 and line.kind == "work":
            own *= ratio(capped)
            why = f"its share, {share:.0%}, out of the cap end while it retracts"
        out += own
        found.append(Finding(
            "leg-share", "info",
            f"{share:.0%} of the flow is reckoned for this leg; oil takes the easiest way, so the lighter load moves first and "
            "may take it all for a while", ("arithmetic", "practice")))
        found += _ratings(job, [job.port(target)], whole.max_psi)
        legs.append(Demand(own, why, whole.max_psi, tuple(found)))
    if out > whole.flow_gpm:
        whole = whole._replace(flow_gpm=out, flow_why="out of the cap ends while they retract")
    if len(known) == len(areas):
        whole = whole._replace(findings=(*whole.findings, Finding(
            "cylinders-parallel", "warn",
            "cylinders on one line move together only when something ties them; the one with less load goes first, and either "
            "can push oil into the other while the valve is shut", ("practice",))))
    return whole, tuple(legs)


# --- the circuit as a whole -------------------------------------------------------------------------------------------

def circuit_findings(job: Job) -> tuple[Finding, ...]:
    """What no single line shows: ports without a line, blocked returns, load holding, a pump that has nowhere to go."""
    used = {reference for line in job.line for reference in (line.from_, *line.targets)}
    warm = job.system.temperature_used
    found = [*_assumed(job), *oils.findings(job.system.oil_used, warm.cold_c, warm.hot_c, job.units)]  # type: ignore[arg-type]
    for component in job.component:
        idle = [port for port in component.ports if f"{component.name}.{port}" not in used and port not in component.vented]
        if component.is_cylinder:
            found += _cylinder(job, component, idle)
        else:
            found += _idle(component, idle)
        if component.kind == "valve":
            found += _centre(job, component)
    found.append(Finding(
        "heat", "info", f"over the relief valve all {_power(job)} of the pump turn to heat in the oil: do not hold a function against "
        "its end", because("power")))
    return tuple(found)


def _assumed(job: Job) -> Iterator[Finding]:
    if job.system.oil is None:
        yield Finding("oil-assumed", "info", f"no oil given: {job.system.oil_used.name} is reckoned with", ("practice",))
    if job.system.temperature is None:
        warm = job.system.temperature_used
        cold, hot = (format_temperature(each, job.units) for each in (warm.cold_c, warm.hot_c))  # type: ignore[arg-type]
        yield Finding("temperature-assumed", "info", f"no temperatures given: a start at {cold} and oil at {hot} are reckoned with",
                      ("practice",))


def _cylinder(job: Job, component: Component, idle: list[str]) -> Iterator[Finding]:
    shape = shape_of(component)
    relief = job.system.relief_psi
    vented = {each.lower()[:3] for each in component.vented}
    sides = {side_of(component, port) for port in component.ports}
    for port in idle:
        if side_of(component, port) == "rod" and shape is not None and shape.rod_in:
            yield Finding(
                "return-blocked", "refuse",
                f"{component.name}.{port} has no line: plugged, its rod side reaches {_psi(job, rod_side_psi(shape, relief))} when "
                "the cap end is fed. Give it a line, or write vented = [\"rod\"] if it is open to the air on purpose",
                ("hydraulic-consultants-intensification", "arithmetic"))
        else:
            yield Finding(
                "return-blocked", "refuse",
                f"{component.name}.{port} has no line: shut, the cylinder cannot move. Give it a line, or write it under vented",
                ("practice",))
    if "rod" not in sides and "rod" not in vented:
        yield Finding("vent-unknown", "warn", f"{component.name} has no rod port in the job file: the rod end must breathe, through "
                      "an open vent with a filter; a plugged vent bursts or locks it", ("practice",))
    if vented:
        yield Finding("vent-open", "info", f"{component.name}: keep the {' and '.join(sorted(vented))} end open to the air, with a "
                      "breather that keeps dirt out; never plug it", ("practice",))
    if component.back_driven is None:
        yield Finding("back-driven-unknown", "info", f"{component.name}: can something else push it while its valve is shut? write "
                      "back_driven = true or false", ("practice",))
    if component.back_driven:
        yield from _held(job, component, shape)


def _held(job: Job, component: Component, shape: Cylinder | None) -> Iterator[Finding]:
    yield Finding(
        "load-holding", "warn",
        f"{component.name} can be pushed while its valve is shut: the trapped side takes whatever the other cylinder gives, the "
        "main relief does not see it, and a spool only holds as well as it seals. It wants a relief of its own at the cylinder "
        "(port or crossover relief), set above the main relief and below the weakest hose and cylinder",
        because("load-holding"))
    yield Finding(
        "holding-valve", "info",
        f"{component.name}: to hold a load, a pilot-operated check holds still and does not lower; to lower one, a counterbalance "
        f"valve at the cylinder port, set at {figure('counterbalance'):g} times the pressure of the greatest load",
        because("holding-check", "counterbalance"))
    if shape is not None and ratio(component) > 1:
        yield Finding(
            "single-rod", "warn",
            f"{component.name} has a single rod: a crossover relief passes unequal volumes ({shape.phi:.2f} to 1), so a port "
            "relief to tank with an anti-cavitation check suits it better", because("single-rod-crossover"))


def _idle(component: Component, idle: list[str]) -> Iterator[Finding]:
    for port in idle:
        if component.kind == "motor" and port.lower() in DRAIN_NAMES:
            yield Finding("drain-blocked", "refuse", f"{component.name}.{port} has no line: a plugged case drain blows the shaft seal; "
                          "give it a line of its own to the tank", because("drain-alone"))
        else:
            yield Finding("port-idle", "info", f"{component.name}.{port} has no line in this job: it stays as it is, or takes a plug",
                          ("practice",))


def _centre(job: Job, valve: Component) -> Iterator[Finding]:
    leaving = [line for line in job.line if job.port(line.from_)[0] is valve and line.kind == "return"]
    entering = [line for line in job.line if line.kind == "pressure" and any(job.port(to)[0] is valve for to in line.targets)]
    if valve.centre == "open" and entering and not leaving:
        yield Finding("dead-headed", "refuse", f"{valve.name} has an open centre and no return line: the pump is dead-headed and goes "
                      "over its relief all the time. Its tank port needs a line, and a high-pressure carry-over must go on",
                      because("open-centre"))
    if valve.centre == "closed" and entering:
        yield Finding("closed-centre", "warn", f"{valve.name} has a closed centre: a pump of fixed flow is dead-headed while nothing "
                      "moves; it wants a pressure-compensated pump or an unloading valve", because("fixed-pump"))
