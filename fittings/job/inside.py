"""What a component is on the inside, told for the whole job: accumulators, flow dividers, pilot-operated checks."""

from collections.abc import Iterator
from typing import NamedTuple

from fittings.circuit import Finding
from fittings.circuit.rules import because
from fittings.job.kinds import Nature, is_directional, nature_of
from fittings.job.model import Component, Job, Line
from fittings.job.port_names import letters_of, role_of
from fittings.job.stream import Circuit
from fittings.saying import both
from fittings.units import format_pressure

TO_TANK = ("float", "motor")
"""Centres of a valve that let A and B go to the tank."""


class Leg(NamedTuple):
    """A line behind a flow divider, as the divider sees it: what it is, whether its sort is known, what the leg reaches, psi."""

    divider: Component
    nature: Nature
    reaches_psi: float
    times: float

    @property
    def share(self) -> float:
        """What this leg carries of all that goes into the divider: all of it where the job file does not say of which sort it is (one
        that serves a leg first may give the other everything), or which port is its inlet."""
        known = self.nature.written and ("raises" in self.nature.does or self.nature.kind == "spool divider")
        return 1 / self.times if known and not self.ask_inlet else 1.0

    @property
    def ask_inlet(self) -> str:
        """What to write where no port of the divider is its inlet by its name, so that each is taken for a leg."""
        return "" if any(map(_is_inlet, self.divider.ports)) else (
            f". Each port of {self.divider.name} that has a line is taken for a leg: call its inlet in")


def legs_of(job: Job, circuit: Circuit) -> dict[str, tuple[Leg, ...]]:
    """For each line behind a flow divider what the divider can bring it to while its other legs are unloaded.

    The inlet stands at the mean of the legs, each by its share of the flow: with the others at nothing p_leg = p_inlet / share.
    """
    found: dict[str, tuple[Leg, ...]] = {}
    for component in job.component:
        nature = nature_of(component, "divides")
        if nature is None:
            continue
        legs = [line for line in circuit.touching[component.name] for of, port in circuit.ends(line)
                if of is component and line.kind in ("work", "pressure") and not _is_no_leg(port)]
        for line, share in zip(legs, _shares(legs), strict=True):
            raised = 0.0 if nature.kind == "spool divider" else job.system.relief_psi / share
            leg = Leg(component, nature, raised, 1 / share)
            for name in sorted(circuit.fed_by(line, component)):
                found[name] = (*found.get(name, ()), leg)
    return found


def _is_inlet(port: str) -> bool:
    return role_of(port) in ("inlet", "pressure")


def _is_no_leg(port: str) -> bool:
    """Whether a port of a divider is its inlet by its name, or leads to the tank; where none is named so, every port may be a leg."""
    return _is_inlet(port) or role_of(port) in ("tank", "drain")


def _shares(legs: list[Line]) -> list[float]:
    """The share of each leg: of the flows that the job gives them, alike where one is not given."""
    flows = [line.flow_gpm for line in legs]
    known = [flow for flow in flows if flow is not None]
    if len(known) == len(legs) and known:
        return [flow / sum(known) for flow in known]
    return [1 / len(legs) for _ in legs]


def share_of(legs: tuple[Leg, ...]) -> float:
    """What a line carries of the flow of the job behind these dividers."""
    share = 1.0
    for leg in legs:
        share *= leg.share
    return share


def leg_told(job: Job, line: Line, leg: Leg, planned_psi: float) -> tuple[float, list[Finding]]:
    """What a line behind a flow divider must hold, psi, 0 where that is not more than what it is planned for; and what is told of it."""
    if leg.reaches_psi <= planned_psi or leg.times <= 1:
        return 0.0, []
    name, most = leg.divider.name, format_pressure(leg.reaches_psi, job.units)
    raises = (f"while its other legs carry no load, the sections that they drive bring this one to {most}, {leg.times:.2g} times the "
              "relief setting, unless it has a relief of its own")
    is_ = leg.nature.told_of(name)
    if "raises" not in leg.nature.does or not leg.nature.written:
        return 0.0, [Finding(
            "divider-unknown", "warn",
            f"{is_}: which sort? With gears that turn together, {raises}, and this line is planned for "
            f"{format_pressure(planned_psi, job.units)} only. Write kind = \"gear divider\" or kind = \"spool divider\" into {name}: a "
            f"spool throttles and raises nothing{leg.ask_inlet}", because("gear-divider", "spool-divider"))]
    if line.pressure_psi is not None:
        return 0.0, [Finding(
            "divider-raises", "warn",
            f"{is_}: {raises}. It is planned for the {format_pressure(line.pressure_psi, job.units)} that the job file says: a relief in "
            "this leg must be set to no more than that, prove it with a gauge", because("gear-divider"))]
    return leg.reaches_psi, [Finding(
        "divider-raises", "warn",
        f"{is_}: {raises}. It is planned for that; where the leg has a relief, write what that is set to as pressure = \"…\" into the "
        f"line{leg.ask_inlet}",
        because("gear-divider"))]


def inside_findings(job: Job, circuit: Circuit) -> Iterator[Finding]:
    """What accumulators and pilot-operated checks ask of the job as a whole."""
    for component in job.component:
        stores, piloted = nature_of(component, "stores"), nature_of(component, "piloted")
        if stores is not None:
            yield from _accumulator(component, stores, circuit)
        if piloted is not None:
            yield from _piloted(component, piloted, circuit)


def _accumulator(component: Component, nature: Nature, circuit: Circuit) -> Iterator[Finding]:
    is_ = nature.told_of(component.name) + ("" if nature.written else f" (then write kind = \"{nature.kind}\")")
    lines = sorted({name for line in circuit.touching[component.name] for name in circuit.node(line)[0]})
    kept = both(lines) if lines else "all that it is joined to"
    under = f"With the engine off it keeps {kept} under pressure, and what is driven from there can still move"
    yield Finding(
        "accumulator", "warn",
        f"{is_}. It wants a relief of its own between it and whatever can shut it off, a shut-off and a bleed-down to the tank at it, "
        "nitrogen only (never air or oxygen), and the pre-charge that its maker and the machine's maker ask for; it is a pressure vessel, "
        f"for which the place has rules. {under}: bleed it down and read a gauge before anything is opened",
        because("accumulator"))
    yield Finding(
        "accumulator-flow", "warn",
        f"{component.name} empties as fast as its lines let it, and not with the pump's flow: what it drives is reckoned with the pump's. "
        "Write flow = \"…\" into the lines that it feeds, and throttle it where that is too fast", because("accumulator"))


def _piloted(component: Component, nature: Nature, circuit: Circuit) -> Iterator[Finding]:
    valves = _valves_before(component, circuit)
    shut = [each for each in valves if each.centre not in TO_TANK]
    if valves and not shut:
        return
    is_ = nature.told_of(component.name)
    if not shut:
        which = "see that the valve before it does that, and write its centre"
    else:
        told = [f"{each.name} has {_centre_said(each)}" for each in shut]
        which = (f"{both(told)}. It wants a spool that lets A and B go to the tank there: centre = \"float\", or \"motor\" where the pump "
                 "does too")
    yield Finding(
        "pilot-check-centre", "warn",
        f"{is_}: it seats only while A and B of the valve before it go to the tank in the middle, else what is shut in between keeps it "
        f"open and the load creeps; {which}", because("pilot-open"))


def _centre_said(valve: Component) -> str:
    if valve.centre is None:
        return "no centre written"
    return f"{'an' if valve.centre == 'open' else 'a'} {valve.centre} centre, with A and B shut"


def _valves_before(component: Component, circuit: Circuit) -> list[Component]:
    """The directional valves that the work lines of a component lead to."""
    found: dict[str, Component] = {}
    for line in circuit.touching[component.name]:
        for step in circuit.stream(line, [component.name]).values() if line.kind == "work" else ():
            found |= {far.name: far for far, _ in circuit.ends(step.line) if far is not component and _works_with_a_and_b(far, circuit)}
    return list(found.values())


def _works_with_a_and_b(component: Component, circuit: Circuit) -> bool:
    """Whether a component is the valve that a function is worked with, by what it joins or by its ports."""
    ports = {letters_of(port) for port in component.ports}
    return is_directional(component, circuit.works(component)) or (component.kind == "valve" and {"a", "b"} <= ports)
