"""What no single line of a job shows: ports without a line, blocked returns, load holding, a pump that has nowhere to go."""

from collections.abc import Iterator

from fittings.circuit import Finding
from fittings.circuit import oil as oils
from fittings.circuit.cylinder import Cylinder, rod_side_psi
from fittings.circuit.flow import power_hp
from fittings.circuit.rules import because, rule_value, says
from fittings.job.check_valves import one_way_told
from fittings.job.cylinder_ends import cap_end_fed, ratio, rod_end_fed, shape_of, side_of
from fittings.job.dead_ends import is_dead_end
from fittings.job.inside import TO_TANK, inside_findings
from fittings.job.kinds import PASSES, by_hand_by_name, hand_pump, nature_of
from fittings.job.model import Component, Job, Line, end_named
from fittings.job.port_names import is_drain, is_tank_port, never_plugged_unasked, role_of, says_of
from fittings.job.regeneration import regeneration_told
from fittings.job.rod_sides import holding_at
from fittings.job.seats import seat_findings
from fittings.job.series import series_findings
from fittings.job.stream import Circuit
from fittings.units import format_force, format_power, format_pressure, format_temperature

PUMP_TO_TANK = ("open", "motor")
"""Centres of a valve that let the pump go to the tank."""


def circuit_findings(job: Job) -> tuple[Finding, ...]:
    """What no single line shows: ports without a line, blocked returns, load holding, a pump that has nowhere to go."""
    warm = job.system.temperature_used
    circuit = Circuit(job)
    holding = holding_at(job, circuit)
    found = [*_assumed(job), *oils.findings(job.system.oil_used, warm.cold_c, warm.hot_c, job.units)]
    for component in job.component:
        idle = [port for port in component.ports if f"{component.name}.{port}" not in job.used and port not in component.open_to_air]
        found += _vents(component)
        if component.is_cylinder:
            found += _cylinder(job, component, idle, holding.get(component.name, ()))
        else:
            found += _idle(job, component, idle)
            found += _no_way_out(job, component, idle)
        if component.kind == "motor":
            found += _motor(job, component)
        if component.bypass_psi is not None:
            found.append(Finding(
                "filter-bypass", "info", f"{component.name}: with cold or dirty oil its bypass opens at {_psi(job, component.bypass_psi)}. "
                "About that much comes on top of what the lines behind it hold back, and what then goes by is not filtered: warm the oil, "
                "change the element in time", ("practice",)))
        if component.centre is not None:
            found += _centre(job, component)
    found += seat_findings(job)
    found += [*series_findings(job, circuit), *regeneration_told(job, circuit), *one_way_told(job, circuit),
              *inside_findings(job, circuit)]
    found += _driven(job)
    return tuple(found)


def _driven(job: Job) -> Iterator[Finding]:
    """What it means that an engine drives the pump, or a hand."""
    by_hand = hand_pump(job)
    if by_hand is not None:
        yield Finding(
            "hand-pump", "info", f"{by_hand.name}: its check valve holds what it has raised, and its release valve lets it down. Open that "
            "slowly, a load comes down as fast as the oil gets out; open it before anything is loosened, and prop what hangs on it",
            because("hand-pump"))
        return
    for pump in filter(by_hand_by_name, job.component):
        yield Finding(
            "hand-pump", "info", f"the name of {pump.name} says that it is worked by hand: then write kind = \"hand pump\". What is told "
            "here of heat, relief and valve is that of a pump which an engine drives", because("hand-pump"))
    yield Finding(
        "heat", "info", f"over the relief valve all {_power(job)} of the pump turn to heat in the oil: do not hold a function against "
        "its end (all its flow at the relief setting; a two-stage pump gives less there)",
        because("power"))


def _vents(component: Component) -> Iterator[Finding]:
    """Ports left open to the air where oil comes out."""
    for port in component.vented if not component.open_to_air else ():
        yield Finding("vent-elsewhere", "refuse", f"{component.name}.{port} cannot be open to the air: oil comes out there, in the end "
                      "with all that the pump gives. Only an end of a cylinder to which nothing is fed, and the breather of a tank, are: "
                      "give it a line", because("vent-where"))


def _psi(job: Job, psi: float) -> str:
    return format_pressure(psi, job.units)


def _power(job: Job) -> str:
    return format_power(power_hp(job.system.flow_gpm, job.system.relief_psi), job.units)


def _assumed(job: Job) -> Iterator[Finding]:
    if job.system.oil is None:
        yield Finding("oil-assumed", "info", f"no oil given: {job.system.oil_used.name} is reckoned with", ("practice",))
    if job.system.oil_used.taken:
        yield Finding("oil-taken", "info", job.system.oil_used.taken, job.system.oil_used.sources)
    if job.system.temperature is None:
        warm = job.system.temperature_used
        cold, hot = (format_temperature(each, job.units) for each in (warm.cold_c, warm.hot_c))
        yield Finding("temperature-assumed", "info", f"no temperatures given: a start at {cold} and oil at {hot} are reckoned with",
                      ("practice",))


def _cylinder(job: Job, component: Component, idle: list[str], holding: tuple[Component, ...]) -> Iterator[Finding]:
    shape = shape_of(component)
    relief = job.system.relief_psi
    vented = {end_named(each) for each in component.vented}
    sides = {side_of(component, port) for port in component.ports}
    for port in idle:
        if side_of(component, port) == "rod" and shape is not None and shape.rod_in and cap_end_fed(component):
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
    if shape is None and rod_end_fed(component) and cap_end_fed(component):
        yield Finding(
            "cylinder-sizes-unknown", "warn",
            f"{component.name}: bore and rod are not given, so nothing is reckoned of it. Its rod side can reach more than the relief "
            "setting when it cannot empty, and more than the pump gives comes back from its cap end: measure it, and write "
            'cylinder = { bore = "…", rod = "…" }', ("hydraulic-consultants-intensification", "arithmetic"))
    plunger = shape is not None and not shape.rod_in
    if "rod" not in sides and "rod" not in vented and not plunger:
        yield Finding("vent-unknown", "warn", f"{component.name} has no rod port in the job file: the rod end must breathe, through "
                      "an open vent with a filter; a plugged vent bursts or locks it", ("practice",))
    if plunger and "rod" in vented:
        yield Finding("no-rod-end", "info", f"{component.name} has no rod end (rod = 0, a plunger): nothing breathes there, and no "
                      "breather is on the bill", ("arithmetic",))
        vented.discard("rod")
    if vented:
        yield Finding("vent-open", "info", f"{component.name}: keep the {' and '.join(sorted(vented))} end open to the air, with a "
                      "breather that keeps dirt out; never plug it", ("practice",))
    if component.back_driven is None:
        yield Finding("back-driven-unknown", "info", f"{component.name}: can something else push it while its valve is shut? write "
                      "back_driven = true or false", ("practice",))
    if component.back_driven:
        yield from _held(job, component, shape, holding)
    yield from _no_pilot(job, component, holding)
    yield from _loaded(job, component, single="rod" not in sides or bool(component.vented))


def _held(job: Job, component: Component, shape: Cylinder | None, holding: tuple[Component, ...]) -> Iterator[Finding]:
    """A cylinder that something can push while its valve is shut; `holding` what holds its load already."""
    by_hand = hand_pump(job)
    if by_hand is not None and not any(each.kind == "valve" or each.centre is not None for each in job.component):
        yield Finding(
            "load-holding", "warn",
            f"{component.name} can be pushed while the release valve of {by_hand.name} is shut: the trapped side takes whatever pushes it "
            "gives, a relief before the check valve of the pump does not see it, and both valves only hold as well as they seal. See that "
            "nothing pushes it harder than hose and cylinder hold, and prop it",
            because("load-holding", "hand-pump"))
        return
    yield Finding(
        "load-holding", "warn",
        f"{component.name} can be pushed while its valve is shut: the trapped side takes whatever pushes it gives, the "
        "main relief does not see it, and a spool only holds as well as it seals. It wants a relief of its own at the cylinder "
        f"({_own_relief(component)}), set above the main relief and below the weakest hose and cylinder",
        because("load-holding"))
    if not _fed_at_both_ends(component) and not holding:
        yield Finding(
            "holding-valve", "info",
            f"{component.name} is fed at one end only: a pilot-operated check or a counterbalance valve has nothing that opens it, and "
            "does not let its load down. To hold it, a valve that shuts tight and is opened by hand or by a solenoid, with the lowering "
            "restrictor, at the cylinder port", because("holding-check", "lowering"))
    elif not holding:
        yield Finding(
            "holding-valve", "info",
            f"{component.name}: to hold a load, a pilot-operated check holds still and does not lower; to lower one, a counterbalance "
            f"valve at the cylinder port, set at {rule_value('counterbalance'):g} times the pressure of the greatest load",
            because("holding-check", "counterbalance"))
    if shape is not None and ratio(component) > 1:
        yield Finding(
            "single-rod", "warn",
            f"{component.name} has a single rod: a crossover relief passes unequal volumes ({shape.phi:.2f} to 1), so a port "
            "relief to tank with an anti-cavitation check suits it better", because("single-rod-crossover"))


def _own_relief(component: Component) -> str:
    """Which relief suits a cylinder that is pushed: a crossover only where as much leaves the one end as the other takes."""
    unequal = ratio(component) > 1 or not _fed_at_both_ends(component)
    return "a port relief to tank" if unequal else "a port relief to tank; a crossover relief only where both ends take equal volumes"


def _fed_at_both_ends(component: Component) -> bool:
    return rod_end_fed(component) and cap_end_fed(component)


def _no_pilot(job: Job, component: Component, holding: tuple[Component, ...]) -> Iterator[Finding]:
    """What holds the load of a cylinder that is fed at one end only, and is opened by the pressure at the other."""
    for block in holding if not _fed_at_both_ends(component) else ():
        nature = nature_of(block, "holds")
        if nature is None or any(role_of(port) == "pilot" and f"{block.name}.{port}" in job.used for port in block.ports):
            continue
        yield Finding(
            "holding-no-pilot", "warn",
            f"{nature.told_of(block.name)}: what opens it comes from the line at the other end of {component.name}, and there is "
            "none: it goes up and does not come down. Never open a fitting to let it down. It wants a lowering valve that is opened by "
            f"hand or by a solenoid in its place, or a line to the pilot port of {block.name}", because("holding-check", "lowering"))


def _loaded(job: Job, component: Component, single: bool) -> Iterator[Finding]:
    """A load that hangs on a cylinder: how it comes down, what holds it when a hose bursts, and whether it pushes by itself."""
    load = component.cylinder.load_lbf if component.cylinder is not None else None
    way = "back" if cap_end_fed(component) else "out"
    by_load = single and component.back_by in ("load", None)
    if by_load and (load is not None or component.back_driven):
        goes = f"{component.name} goes {way} by its load" if component.back_by else (
            f"no oil brings {component.name} {way}: a load, a spring or another cylinder does (write back_by = \"load\", \"spring\" or "
            "\"cylinder\"). By a load it goes")
        yield Finding(
            "lowering", "warn",
            f"{goes}{',' if component.back_by else ''} as fast as the oil gets out: {_lowered_by(job)} sets how fast, and a "
            "hose-burst valve (velocity fuse) screwed into the cylinder port itself, no hose between, holds it when a hose bursts: fit "
            "them if there are none yet. A prop made for it before anybody goes under", because("lowering"))
    if load is not None and component.back_driven is False:
        weight = format_force(load, job.units)
        yield Finding(
            "load-pushes", "warn" if by_load else "info",
            f"{component.name}: back_driven = false, and " + (
                f"its load of {weight} is what brings it {way}: the load itself pushes while the valve is shut, write back_driven = true"
                if by_load and component.back_by else f"where its load of {weight} hangs on it or leans on it, the load itself pushes "
                "while the valve is shut: then write back_driven = true"), because("load-holding"))


def _lowered_by(job: Job) -> str:
    """What sets how fast a load comes down."""
    by_hand = hand_pump(job)
    return "a lowering restrictor" if by_hand is None else f"the release valve of {by_hand.name}, opened slowly,"


def _motor(job: Job, component: Component) -> Iterator[Finding]:
    ask = "; can a load turn it, as on a winch or a wheel? write back_driven = true or false" if component.back_driven is None else ""
    coasts = _coasts_in(job, component)
    if coasts is None:
        yield Finding(
            "motor-stopping", "info",
            f"{component.name}: shut, its valve stops it dead, and whatever still turns it drives the pressure up. It wants crossover "
            "reliefs across its two lines, and where it coasts a way to draw oil: an anti-cavitation check, or a valve that floats in the "
            f"centre{ask}", because("load-holding", "motor-coasting"))
    else:
        yield Finding(
            "motor-stopping", "info",
            f"{component.name}: in the centre of {coasts.name} (centre = \"{coasts.centre}\") both its ports are open to the tank: it "
            "coasts to a stop and draws its oil from the line to the tank. Stay clear until it stands; what still turns it keeps it turning"
            f"{ask}", because("motor-coasting"))
    if component.back_driven:
        yield Finding(
            "motor-load", "warn",
            f"{component.name} can be turned by its load. A motor leaks inside, so no valve holds it: to hold, a brake that closes when "
            "the pressure is gone; to let down, a counterbalance valve at the port that carries the load, set at "
            f"{rule_value('counterbalance'):g} times the pressure of the greatest load; and crossover reliefs, since the main relief "
            "does not see what it pumps when driven",
            because("counterbalance", "load-holding", "motor-coasting"))


def _coasts_in(job: Job, motor: Component) -> Component | None:
    """The valve in whose centre both work lines of a motor are open to the tank, nothing between that may shut; None: not known to be."""
    lines = [line for line in job.touching(motor) if line.kind == "work"]
    floating = [component for line in lines if not line.can_close for component, _ in map(job.port, line.references)
                if component.centre in TO_TANK]
    one_valve = len({each.name for each in floating}) == 1
    return floating[0] if one_valve and len(lines) == len(floating) > 1 else None


def _idle(job: Job, component: Component, idle: list[str]) -> Iterator[Finding]:
    ends_here = _return_ends(job, component)
    for port in idle:
        name = f"{component.name}.{port}"
        if component.kind in ("motor", "pump") and is_drain(port):
            yield Finding("drain-blocked", "refuse", f"{name} has no line: a plugged case drain blows the shaft seal; give it a line of "
                          "its own to the tank", because("drain-alone"))
        elif component.kind in ("motor", "pump"):
            yield Finding("port-unknown", "warn", f"{name} has no line in this job: find out from the maker's sheet what it is before "
                          "anything is plugged; a case drain that is plugged blows the shaft seal", because("drain-alone"))
        elif _is_tank_port(component, port):
            fed = any(line.kind == "pressure" for line in job.touching(component))
            yield Finding(
                "tank-port-blocked", "refuse" if fed else "warn",
                f"{name} has no line in this job: what comes back from the cylinders and motors leaves there, and shut it cannot leave at "
                "all. It takes a line to the tank, never a plug"
                + ("" if fed else "; where that line is there already, leave the port out of the job"), because("drain-alone"))
        elif ends_here:
            yield Finding(
                "outlet-blocked", "refuse",
                f"{name} has no line, and {ends_here.name} ends at {component.name}: shut, nothing can go on to the tank. It takes a line, "
                f"never a plug; where {component.name} sits in the tank, leave the port out of the job", because("drain-alone"))
        elif component.kind in PASSES and never_plugged_unasked(port):
            yield Finding(
                "port-unknown", "warn",
                f"{name} has no line in this job: by its name it is a {says_of(port)} port, and {says('plugged-' + role_of(port))}. Find "
                "out from the maker's sheet what belongs there, and never plug it unasked", because("plugged-" + role_of(port)))
        elif is_dead_end(job.touching(component), component, port):
            yield Finding(
                "port-open", "warn",
                f"{name} has no line in this job, and stands under all that the lines at {component.name} hold: open, oil jets out of it. "
                "Give it its line, or shut it with a plug or a gauge that is rated for that, where its maker has not", because("dead-port"))
        else:
            yield Finding("port-idle", "info", f"{name} has no line in this job: it stays as it is, or takes a plug", ("practice",))


def _is_tank_port(component: Component, port: str) -> bool:
    return component.kind in PASSES and is_tank_port(port)


def _return_ends(job: Job, component: Component) -> Line | None:
    """The line that ends at what must pass it on: any line at a filter, a return at a block or a cooler; None where it goes on."""
    lines = job.touching(component)
    ends = len(lines) == 1 and (component.kind == "filter" or (component.kind in ("manifold", "other", None) and lines[0].kind == "return"))
    return lines[0] if ends else None


def _no_way_out(job: Job, component: Component, idle: list[str]) -> Iterator[Finding]:
    """A valve that is fed, or a motor, from which the oil cannot go back."""
    lines = [line for line in job.touching(component) if line.kind in ("pressure", "work", "return")]
    kinds = {line.kind for line in lines}
    is_valve = component.kind == "valve" or component.centre is not None
    if is_valve and component.centre not in PUMP_TO_TANK and kinds >= {"pressure", "work"} and "return" not in kinds and not any(
            _is_tank_port(component, port) for port in idle):
        yield Finding(
            "no-way-to-tank", "refuse",
            f"{component.name} is fed and works something, and no line leads from it to the tank: what comes back cannot "
            "leave. Its tank port needs a line, kind = \"return\"", because("drain-alone"))
    if component.kind == "motor" and len(lines) == 1 and any(not is_drain(port) for port in idle):
        yield Finding(
            "no-way-to-tank", "refuse",
            f"{component.name} has one line, {lines[0].name}, and no other for the oil to leave by: shut, it cannot "
            "turn, and what feeds it presses on its shaft seal", because("drain-alone"))


def _centre(job: Job, valve: Component) -> Iterator[Finding]:
    leaving = [line for line in job.touching(valve) if line.kind == "return"]
    entering = [line for line in job.touching(valve) if line.kind == "pressure"]
    if valve.centre in PUMP_TO_TANK and entering and not leaving:
        yield Finding("dead-headed", "refuse", f"{valve.name} lets the pump go to the tank in its centre, and has no return line: the "
                      "pump is dead-headed and goes over its relief all the time. Its tank port needs a line, and a high-pressure "
                      "carry-over must go on",
                      because("open-centre"))
    if valve.centre in ("closed", "float") and entering:
        yield Finding("closed-centre", "warn", f"{valve.name} shuts the pump off in its centre: a pump of fixed flow is dead-headed while "
                      "nothing moves; it wants a pressure-compensated pump or an unloading valve", because("fixed-pump"))
