"""What each line of a job must carry and hold.

Flow: what the pump gives, and on retract the ratio of areas times as much out of the cap end. Pressure: the relief
setting, more on a rod side that can be shut, less on the way to the tank.
"""

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from fittings.circuit import Finding
from fittings.circuit.rules import because, rule_value
from fittings.job.check_valves import check_valve, return_check_told
from fittings.job.cylinder_ends import ratio, side_of
from fittings.job.from_job import Demand
from fittings.job.inside import Leg, leg_told, legs_of, share_of
from fittings.job.kinds import nature_of, reduces
from fittings.job.model import Component, Job, Line
from fittings.job.regeneration import Regenerating, regenerating, regenerating_told
from fittings.job.rod_sides import Shut, Side, pressed_by, shut_sides, sides_of
from fittings.job.shares import brake_told, divided_told, lets_go, shares_of
from fittings.job.stream import Back, Circuit, is_tank, out_of, through_coupler
from fittings.job.wrong_kind import (
    both_ways,
    drain_alone,
    drain_elsewhere,
    drain_shut,
    no_drain,
    no_suction,
    pack_tanks,
    pump_shut,
    regeneration,
    return_shut,
    suction_shut,
)
from fittings.units import format_flow, format_pressure


class Flows(NamedTuple):
    """What comes through the lines of a job from beyond them, by the name of the line: out of cap ends (and of a line that splits by the
    `component.port` of each leg too), back to the tank, and which sides of cylinders they lead to; `held` what the returns are reckoned to
    hold back, psi, once their hoses are known."""

    circuit: Circuit
    backs: dict[str, Back]
    returns: dict[str, Back]
    shut: dict[str, tuple[Shut, ...]]
    sides: dict[str, tuple[Side, ...]]
    legs: dict[str, tuple[Leg, ...]]
    regenerating: dict[str, tuple[Regenerating, ...]]
    held: Mapping[str, float] = MappingProxyType({})


def flows_of(job: Job) -> Flows:
    """The flows of a job that no single line shows, US gpm."""
    circuit = Circuit(job)
    legs = legs_of(job, circuit)
    backs = _backs(job, circuit, legs)
    return Flows(circuit, backs, _returns(job, circuit, backs), shut_sides(job, circuit), sides_of(job, circuit), legs,
                 regenerating(job, circuit))


def _backs(job: Job, circuit: Circuit, legs: Mapping[str, tuple[Leg, ...]]) -> dict[str, Back]:
    """The greatest flow out of cap ends through each work line on the way to the valve; what it is out of, in words. A leg of a flow
    divider gives its share of that."""
    found: dict[str, Back] = {}
    for line in job.paths:
        share = share_of(legs.get(line.name, ()))
        back = _out_of_caps(line, circuit, line.flow_gpm / share if line.flow_gpm else job.system.flow_gpm) if line.kind == "work" else None
        if back is None:
            continue
        behind = [component.name for component, _ in circuit.ends(line) if component.is_cylinder]
        for name, step in circuit.stream(line, behind).items():
            gpm = back.gpm * share_of(legs.get(name, ()))
            for at in (name, step.by):
                if at and (at not in found or gpm > found[at].gpm):
                    found[at] = back._replace(gpm=gpm, sure=step.sure)
    return found


def _out_of_caps(line: Line, circuit: Circuit, flow: float) -> Back | None:
    """What a line takes straight out of the cap ends at it while so much, US gpm, is fed into the rod ends; None where the pump drives
    none of them back."""
    start, *targets = circuit.ends(line)
    if len(targets) > 1 and not start[0].is_cylinder:
        out = flow * sum(back for _, back in shares_of(circuit.job, line))
        names = [each.name for each, at in targets if side_of(each, at) == "cap" and ratio(each) > 1]
        return Back(out, out_of(names)) if names else None
    return max((Back(flow * ratio(each), out_of([each.name])) for each, at in circuit.ends(line)
                if side_of(each, at) == "cap" and ratio(each) > 1), default=None)


def _returns(job: Job, circuit: Circuit, backs: dict[str, Back]) -> dict[str, Back]:
    """What comes back through each return: from its valve the most that any cylinder on it gives, else the most of the whole job."""
    pump = Back(job.system.flow_gpm, "what the pump gives")
    most = max((pump, *backs.values()))
    found: dict[str, Back] = {}
    for line in job.line:
        for component, port in circuit.ends(line) if line.kind == "return" else ():
            if component.is_cylinder:
                given = Back(pump.gpm * ratio(component), out_of([component.name])) if side_of(component, port) == "cap" else pump
            elif circuit.works(component):
                given = max((pump, *(backs[each.name] for each in circuit.touching[component.name] if each.name in backs)))
            elif component.kind in ("motor", "pump"):
                given = pump
            else:
                continue
            for name in circuit.stream(line, [component.name]):
                found[name] = max(found.get(name, pump), given)
    return {line.name: found.get(line.name, most) for line in job.line if line.kind == "return"}


def demands(job: Job, line: Line, flows: Flows) -> tuple[Demand, tuple[Demand, ...]]:
    """What a line must carry and hold, and the same for each of its legs (none when it does not split)."""
    component, port = job.port(line.from_)
    ends = [(component, port), *(job.port(target) for target in line.targets)]
    share = share_of(flows.legs.get(line.name, ())) if line.kind in ("work", "pressure") and not line.flow_gpm else 1.0
    flow = line.flow_gpm or job.system.flow_gpm * share
    given = "as the job file says" if line.flow_gpm else "what the pump gives" if share == 1 else (
        f"its share, {share:.0%}, of what the pump gives")
    brake = [component.name for component, port in ends if lets_go(component, port)] if len(line.targets) == 1 and not line.flow_gpm else []
    if brake and line.kind in ("work", "pressure"):
        flow, given = flow * rule_value("brake-share"), f"what lets the brake of {brake[0]} go"
    if line.kind == "work":
        whole = _work(job, line, Back(flow, given), flows)
    elif line.kind == "return":
        whole = _return(job, line, ends, flows)
    elif line.kind == "drain":
        whole = _drain(job, line, ends)
    else:
        psi = 0.0 if line.kind == "suction" else line.pressure_psi or job.system.relief_psi
        found = [*no_suction(ends, flows.circuit), *suction_shut(line, ends)] if line.kind == "suction" else [
            *_below_relief(job, line, ends), *pump_shut(line, ends), *both_ways(line, ends)]
        if line.kind == "pressure":
            psi, told = _divided(job, line, flows, psi)
            found += told
        whole = Demand(flow, given, psi, tuple(found))
    also = [*drain_elsewhere(line, ends), *regeneration(ends)] if line.kind != "drain" else []
    if share < 1:
        also.append(divided_told(flows.legs[line.name], share))
    if brake:
        also.append(brake_told(brake[0]))
    whole = whole._replace(findings=(*whole.findings, *also), flow_asked=line.flow_gpm is not None)
    # what is reckoned to be held back is weighed against components where it is reckoned, not along the whole line
    assumed = line.kind == "return" and not line.pressure_psi and _opens(line, ends, flows.circuit)
    seen = rule_value("return-pressure") if assumed else line.pressure_psi or whole.max_psi
    if line.kind in ("work", "pressure"):
        seen = max(seen, whole.max_psi)
    if len(line.targets) == 1:
        return whole._replace(findings=(*whole.findings, *_ratings(job, ends, seen, assumed))), ()
    whole = whole._replace(findings=(*whole.findings, *_ratings(job, ends[:1], seen, assumed)))
    fast = [of.gpm(flow) for of in flows.regenerating.get(line.name, ()) if of.nature.written and line.flow_gpm is None]
    return _split(job, line, whole, max([flow, *fast]), flows, seen, assumed)


def _below_relief(job: Job, line: Line, ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """A line planned for less than the relief: only behind the outlet of what the job file says is a reducing valve."""
    if line.pressure_psi is None or line.pressure_psi >= job.system.relief_psi:
        return
    pumps = any(component.kind == "pump" for component, _ in ends)
    keeper = next((component.name for component, port in ends if reduces(component, port) and not pumps), None)
    given, relief = _psi(job, line.pressure_psi), _psi(job, job.system.relief_psi)
    said = f"planned for the {given} that the job file says; the relief is set to {relief}: "
    if keeper is not None:
        yield Finding("pressure-below-relief", "warn", f"{said}{keeper} must keep the rest away. Prove its setting with a gauge, "
                      "and see that its drain is open to the tank: shut, it stops reducing", because("reduced-outlet"))
    else:
        yield Finding("pressure-below-relief", "refuse", f"{said}something between must keep the rest away. Where a reducing valve does, "
                      "let it be a component with kind = \"reducing valve\", and this line begin at its port called out or reduced: its "
                      "inlet and all before it see the whole relief setting, and a relief at a port is set above the main relief. Else "
                      "take the pressure out", because("reduced-outlet"))


def _psi(job: Job, psi: float) -> str:
    return format_pressure(psi, job.units)


def _gpm(job: Job, gpm: float) -> str:
    return format_flow(gpm, job.units)


def _work(job: Job, line: Line, fed: Back, flows: Flows) -> Demand:
    most = fed
    found = list(_below_relief(job, line, flows.circuit.ends(line)))
    back = flows.backs.get(line.name)
    if back is not None and back.gpm > fed.gpm:
        most = back
        found += _retract_flow(job, line, back, fed.gpm, flows.circuit)
    for of in flows.regenerating.get(line.name, ()):
        gpm, said = regenerating_told(job, line, of, most.gpm)
        most, found = max(most, Back(gpm, f"while {of.component.name} regenerates")), [*found, *said]
    psi, pressed = pressed_by(job, line, flows.sides.get(line.name, ()), flows.shut.get(line.name, ()))
    psi, divided = _divided(job, line, flows, psi)
    return Demand(most.gpm, most.why, psi, (*found, *pressed, *divided))


def _divided(job: Job, line: Line, flows: Flows, psi: float) -> tuple[float, list[Finding]]:
    """What a line must hold, psi, that is planned for `psi` without the flow dividers before it; and what is told of them."""
    found = list[Finding]()
    for leg in flows.legs.get(line.name, ()):
        more, told = leg_told(job, line, leg, psi)
        psi = max(psi, more)
        found += told
    return psi, found


def _retract_flow(job: Job, line: Line, back: Back, fed_gpm: float, circuit: Circuit) -> Iterator[Finding]:
    """A cap end gives more than the pump: said at the cylinder with its ratio, and on the lines behind it up to the valve."""
    caps = [component for component, port in circuit.ends(line) if side_of(component, port) == "cap"]
    if len(caps) == 1 == len(line.targets):
        yield Finding(
            "retract-flow", "info",
            f"while {caps[0].name} retracts, {_gpm(job, back.gpm)} leaves its cap end: {ratio(caps[0]):.2f} times the "
            f"{_gpm(job, fed_gpm)} that goes in at the rod end", because("retract-flow"))
    elif not caps:
        unsure = "" if back.sure else (
            "; which port leads where inside what lies between is not known from the job, so every line that may carry it is sized for it")
        yield Finding("retract-flow", "info", f"{_gpm(job, back.gpm)} comes this way {back.why}{unsure}", because("retract-flow"))


def _return(job: Job, line: Line, ends: list[tuple[Component, str]], flows: Flows) -> Demand:
    found = []
    flow, why = (line.flow_gpm, "as the job file says") if line.flow_gpm else flows.returns[line.name][:2]
    if flow > job.system.flow_gpm and not line.flow_gpm:
        found.append(Finding(
            "return-flow", "info", f"sized for {_gpm(job, flow)}, {why}", because("retract-flow")))
    if _opens(line, ends, flows.circuit):
        psi, reckoned = line.pressure_psi or rule_value("return-pressure"), flows.held.get(line.name, 0.0)
        if reckoned > psi:
            taken = "the job file says" if line.pressure_psi else "a return is taken to see"
            found.append(Finding(
                "return-pressure-reckoned", "warn",
                f"with cold oil {_psi(job, reckoned)} is reckoned to be held back from here to the tank, more than the "
                f"{_psi(job, psi)} that {taken}: it is planned for the greater. What a filter or cooler takes comes on top; "
                "wider or shorter lines, or thinner oil, bring it down", ("arithmetic", "practice")))
            psi = reckoned
        elif not line.pressure_psi:
            found.append(Finding(
                "return-pressure-assumed", "info",
                f"taken as never above {_psi(job, psi)}, filter and cold oil included (common practice, no source); write "
                "pressure = \"…\" into the line if it can be more", ("practice",)))
    else:
        psi = line.pressure_psi or job.system.relief_psi
        found += [*_below_relief(job, line, ends), *both_ways(line, ends)]
        if psi >= job.system.relief_psi:
            found.append(Finding(
                "return-can-be-pressurised", "warn", f"{_why_pressed(ends)}, so it is planned for the relief setting",
                ("practice",)))
    found += [*pack_tanks(ends), *return_shut(line, ends)]
    for component, port in ends:
        if through_coupler([(component, port)]):
            found.append(Finding(
                "return-coupler", "warn", f"{component.name} in a return: a coupler that is not fully home shuts it, and what "
                "is behind it sees the relief pressure or more; never a one-way coupler here", ("practice",)))
    found += _shuts_a_return(line, ends, flows.circuit)
    return Demand(flow, why, psi, tuple(found))


def _shuts_a_return(line: Line, ends: list[tuple[Component, str]], circuit: Circuit) -> Iterator[Finding]:
    """What can shut a return by its kind, or may by its name, told before it and not on its way on to the tank."""
    for component, port in ends:
        nature = nature_of(component, "shuts")
        if nature is None or line.can_close is not None or component.kind not in ("manifold", "other", None):
            continue
        if circuit.open_to_tank(line, [each for each in ends if each[0] is not component]):
            continue
        if check_valve(component) is not None:
            yield from return_check_told(line, component, port)
            continue
        yield Finding(
            "return-may-shut", "warn",
            f"{nature.told_of(component.name)}, and this is a return: shut, or held back, what is "
            "behind it sees the relief pressure or more. A return leads to the tank with nothing in it that can shut; write "
            "can_close = false where it cannot", ("practice",))


def _opens(line: Line, ends: list[tuple[Component, str]], circuit: Circuit) -> bool:
    """Whether one side of a return is open to the tank, and the pump does not press on the other."""
    return not _pumps(ends) and any(circuit.open_to_tank(line, side) for side in (ends[:1], ends[1:]))


def _pumps(ends: list[tuple[Component, str]]) -> list[str]:
    """The ends of a line that are ports of a pump, but for the tank of a power pack."""
    return [f"{component.name}.{port}" for component, port in ends if component.kind == "pump" and not is_tank(component, port)]


def _why_pressed(ends: list[tuple[Component, str]]) -> str:
    """Why a return can see the relief setting, in words."""
    if pumps := _pumps(ends):
        return f"it begins at {pumps[0]}, and what the pump gives goes into it; a pump's line is of kind pressure"
    halves = [component.name for component, port in ends if is_tank(component, port)]
    if halves:
        return f"it goes to the tank by a coupler at {halves[0]}: not fully home, that shuts it"
    return f"it ends at {', '.join(component.name for component, _ in ends[1:])}, not at a tank: a lever can put full pressure on it"


def _drain(job: Job, line: Line, ends: list[tuple[Component, str]]) -> Demand:
    elsewhere = tuple(no_drain(ends))
    found = [*elsewhere, *drain_shut(line, ends)]
    cases = sum(component.kind in ("motor", "pump") and not is_tank(component, port) for component, port in ends)
    flow = line.flow_gpm or job.system.flow_gpm * rule_value("drain-share") * max(cases, 1)
    if not line.flow_gpm:
        each = f", {_gpm(job, flow)} from all {cases} of them" if cases > 1 else f", {_gpm(job, flow)}"
        found.append(Finding(
            "drain-flow-assumed", "info",
            f"a tenth of the pump's flow{each}, is taken to leak into the case (common practice, no source)",
            ("practice",)))
    if not elsewhere and not drain_alone(ends):
        found.append(Finding(
            "drain-shared", "refuse",
            "a case drain goes alone and straight to the tank: shared with another line, or through a valve that can shut, it blows the "
            "shaft seal. Drains alone may be teed into one line, written from the tank", because("drain-alone")))
    return Demand(flow, "as the job file says" if line.flow_gpm else "assumed", line.pressure_psi or rule_value("drain-pressure"),
                  tuple(found))


def _ratings(job: Job, ends: list[tuple[Component, str]], psi: float, assumed: bool = False) -> Iterator[Finding]:
    for component, port in ends:
        if component.psi is None or component.psi >= psi:
            continue
        if assumed:
            yield Finding(
                "component-rating-assumed", "warn",
                f"{component.name} is rated {_psi(job, component.psi)} by its maker, and a return is taken to see up to "
                f"{_psi(job, psi)} (common practice, no source): measure it with cold oil at the first start, or "
                f"write pressure = \"…\" into the line where it is known{_or_bypass(component)}", ("practice",))
            continue
        yield Finding(
            "component-rating", "refuse",
            f"{component.name} is rated {_psi(job, component.psi)} by its maker, below the {_psi(job, psi)} that "
            f"{component.name}.{port} can reach{_or_bypass(component)}", ("practice",))


def _or_bypass(component: Component) -> str:
    """What a small figure on a filter may be instead of its rating."""
    small = component.psi is not None and component.psi <= rule_value("bypass-opens")
    return "" if component.kind != "filter" or component.bypass_psi or not small else (
        ". Is that what its bypass opens at? Then write bypass in place of psi; psi is what its housing stands")


def _split(job: Job, line: Line, whole: Demand, flow: float, flows: Flows, seen_psi: float, assumed: bool
           ) -> tuple[Demand, tuple[Demand, ...]]:
    """The legs behind a tee: in proportion to the areas where they all end in cylinders, all of it to each valve, else alike."""
    base = flow if line.kind in ("work", "pressure") else whole.flow_gpm
    shares = shares_of(job, line)
    legs, out = [], 0.0
    for target, (share, back) in zip(line.targets, shares, strict=True):
        own, found = base * share, []
        why = f"its share, {share:.0%}, of what the line carries" if share < 1 else "all that the line carries, where the others take none"
        if line.kind == "work" and base * back > own:
            own, why = base * back, "its share out of the cap end while it retracts"
        behind = flows.backs.get(target) if line.kind == "work" else None
        if behind is not None and behind.gpm > own:
            own, why = behind.gpm, behind.why
            found.append(Finding("retract-flow", "info", f"{_gpm(job, own)} comes this way {why}", because("retract-flow")))
        out += own
        easiest = "" if line.kind in ("return", "drain") else (
            "; where the line feeds, oil takes the easiest way, so the lighter load moves first and may take it all for a while")
        told = f"{share:.0%} of the flow is reckoned for this leg{easiest}" if share < 1 else (
            "all of the flow is reckoned for this leg: while the others take none, it all goes this way")
        found.append(Finding("leg-share", "info", told, ("arithmetic", "practice")))
        found += _ratings(job, [job.port(target)], seen_psi, assumed)
        legs.append(Demand(own, why, whole.max_psi, tuple(found)))
    if len({component.name for component, _ in map(job.port, line.targets) if component.is_cylinder}) == len(line.targets):
        whole = whole._replace(findings=(*whole.findings, Finding(
            "cylinders-parallel", "warn",
            "cylinders on one line move together only when something ties them; the one with less load goes first, and either "
            "can push oil into the other while the valve is shut", ("practice",))))
    return whole, tuple(legs)
