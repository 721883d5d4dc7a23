"""What the whole way of the oil takes at a cold start: from the pump to a cylinder or motor, and on from there to the tank.

Every line is judged by its own drop where it is planned; here the lines that one oil passes are added up, once for each cylinder and
motor, against what the relief lets through.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple, Protocol

from fittings.circuit import Finding
from fittings.circuit.flow import takes_cold
from fittings.circuit.rules import because, rule_value
from fittings.job.cylinder_ends import ratio, shape_of, side_of
from fittings.job.model import Component, Job, Line
from fittings.job.port_names import role_of
from fittings.job.stream import Circuit, is_tank, way_to


class Dropping(Protocol):
    """What is asked of a line, planned or saved: its name, where it leads, what it takes with cold oil, psi, and its legs."""

    @property
    def name(self) -> str: ...

    @property
    def to_ref(self) -> str: ...

    @property
    def drop_cold_psi(self) -> float | None: ...

    @property
    def branches(self) -> "Sequence[Dropping]": ...


class Way(NamedTuple):
    """Lines that one oil passes: what they take with cold oil, psi, their names, and the component that they lead to."""

    psi: float = 0.0
    lines: tuple[str, ...] = ()
    end: Component | None = None


def cold_ways(job: Job, circuit: Circuit, lines: Sequence[Dropping]) -> Iterator[Finding]:
    """For each cylinder and motor what all lines on its way take together with cold oil, where that leaves too little to work with. As
    far as lengths are known; what valves, filters and couplers without a figure take is not in it."""
    planned = {line.name: line for line in lines}
    for component in job.component:
        if component.is_cylinder or component.kind == "motor":
            yield from _told(job, component, *_whole(circuit, planned, component))


def _whole(circuit: Circuit, planned: Mapping[str, Dropping], component: Component) -> tuple[float, tuple[str, ...], bool]:
    """What the way to a component and back takes, psi, the names of its lines, and whether it is that of a cylinder that goes in.

    A cylinder that goes in takes the most: its cap end gives the ratio of areas times the flow, which is what its lines are planned for,
    and what is held back there counts that many times at the rod end.
    """
    ways = [(side_of(component, port), _to_valve(circuit, planned, each, component))
            for each in circuit.touching[component.name] if each.kind in ("work", "pressure")
            for at, port in circuit.ends(each) if at is component and role_of(port) != "brake"]
    if not ways:
        return 0.0, (), False
    fed = next((way for side, way in ways if side == "rod"), ways[0][1]) if ratio(component) > 1 else ways[0][1]
    back = [way for _, way in ways if way is not fed][:1]
    valve = fed.end
    feed = _from(circuit, planned, valve, "pressure", lambda end, _: end.kind == "pump") if valve is not None else Way()
    ret = _from(circuit, planned, valve, "return", is_tank) if valve is not None and back else Way()
    home = sum(way.psi for way in (*back, ret)) * (ratio(component) if back else 1.0)
    names = (*feed.lines, *reversed(fed.lines), *(name for way in (*back, ret) for name in way.lines))
    return feed.psi + fed.psi + home, names, bool(back) and component.is_cylinder


def _to_valve(circuit: Circuit, planned: Mapping[str, Dropping], line: Line, component: Component) -> Way:
    """The way from a component to the valve that works it; where the job shows none, the lines that are surely on it."""
    whole = _longest(circuit, planned, line, component, lambda end, _: circuit.works(end) or end.centre is not None)
    return whole or _longest(circuit, planned, line, component, lambda end, _: True) or Way()


def _from(circuit: Circuit, planned: Mapping[str, Dropping], valve: Component, kind: str,
          wanted: Callable[[Component, str], bool]) -> Way:
    """The way on from a valve by lines of a kind to what is wanted."""
    ways = [_longest(circuit, planned, each, valve, wanted) for each in circuit.touching[valve.name] if each.kind == kind]
    return max((way for way in ways if way is not None), key=lambda way: way.psi, default=Way())


def _longest(circuit: Circuit, planned: Mapping[str, Dropping], first: Line, source: Component,
             wanted: Callable[[Component, str], bool]) -> Way | None:
    """Of the ways from a component by a line that are certain, to what is wanted, the one that takes most."""
    steps = circuit.stream(first, [source.name])
    found = []
    for step in steps.values():
        ends = [end for end, port in circuit.ends(step.line) if end is not source and wanted(end, port)]
        if step.sure and ends:
            names = tuple(name for name in way_to(steps, step) if name in planned)[::-1]  # a seat is no hose
            found.append(Way(sum(_drop_psi(planned[name], circuit, source) for name in names), names, ends[0]))
    return max(found, key=lambda way: way.psi, default=None)


def _drop_psi(line: Dropping, circuit: Circuit, to: Component) -> float:
    """What a line takes with cold oil, psi; of one that splits with its leg to a component, else its worst."""
    own = [leg for leg in line.branches if circuit.at[leg.to_ref][0] is to] or line.branches
    return (line.drop_cold_psi or 0.0) + max((leg.drop_cold_psi or 0.0 for leg in own), default=0.0)


def _told(job: Job, component: Component, psi: float, names: tuple[str, ...], goes_in: bool) -> Iterator[Finding]:
    relief, units = job.system.relief_psi, job.units
    left = rule_value("pressure-drop-cold") * relief
    shape, size = shape_of(component), component.cylinder
    if shape is not None and size is not None and size.load_lbf is not None and not goes_in:
        left = min(left, relief - size.load_lbf / shape.cap_in2)
    if psi <= left or len(names) < 2:
        return
    going = f" while it goes in, what its cap end gives back counted {ratio(component):.2f} times," if goes_in else ""
    yield Finding(
        "cold-way", "warn", f"{component.name}: with cold oil its lines one behind the other ({', '.join(names)}){going} take "
        f"{takes_cold(psi, relief, units)}. Warm it at idle first; thinner oil, shorter lines or larger bores",
        because("pressure-drop-cold"))
