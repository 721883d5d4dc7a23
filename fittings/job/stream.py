"""Where the oil of a line goes on: through blocks, filters and couplers, from a cylinder to its valve, from a valve to the tank.

Which way round a line is written says nothing of the oil. What has two lines of a kind passes the one on into the other; at what has
more, the names of its ports decide (V1 and C1, A and A2), and where they do not, every way is taken for possible. The valve that works a
cylinder passes nothing from one work port to the other, whether or not the job says how it is fed: what leads to a cylinder or a motor
beyond it is no way on.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from fittings.ends import family
from fittings.job.kinds import PASSES, nature_of
from fittings.job.model import Component, Job, Line
from fittings.job.port_names import is_tank_port, letters_of, number_of, one_passage, role_of
from fittings.saying import both

TAKES = ("pump", "motor", "tank", "cylinder")
"""Kinds of component that oil does not merely go through."""

MAY_WORK = ("valve", "coupler", None)
"""Kinds of component that may be what works a cylinder, with two work ports or more that are not one passage."""


class Step(NamedTuple):
    """One line of a stream: how many lines it lies behind the first, the line before it, whether its way there is certain; by which of
    its ports, as `component.port`, the oil comes into it ('' into the first), and what it goes on to."""

    line: Line
    depth: int
    before: str
    sure: bool
    by: str
    on: tuple[Component, ...]


class Back(NamedTuple):
    """What comes back through a line, US gpm; out of what, in words; the lines of a stream where it is not certain that it does."""

    gpm: float
    why: str
    sure: bool = True


class Circuit:
    """The lines of a job, by what they touch."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.at = job.places
        self.touching: dict[str, list[Line]] = {component.name: [] for component in job.component}
        for line in job.paths:
            for name in dict.fromkeys(self.at[each][0].name for each in line.references):
                self.touching[name].append(line)

    def ends(self, line: Line) -> list[tuple[Component, str]]:
        """Every component and port that a line touches."""
        return [self.at[each] for each in line.references]

    def works(self, component: Component) -> bool:
        """Whether a component turns pump oil into work and back: a valve with work lines, and lines of the pump or the tank."""
        kinds = {line.kind for line in self.touching[component.name]}
        plain = component.kind in ("valve", component.kind_given)  # a lock block with a line to the tank works nothing
        return plain and component.kind not in ("coupler", "filter") and "work" in kinds and bool(kinds & {"pressure", "return"})

    def ends_at(self, line: Line, component: Component) -> bool:
        """Whether the oil of a line does not go on at a component: what takes it, what works a cylinder, a row of coupler halves."""
        if component.is_cylinder or component.kind in TAKES:
            return True
        halves = component.kind == "coupler" and all(is_coupler_half(component, port) for port in component.ports)
        return line.kind == "work" and (
            self.works(component) or component.centre is not None or (halves and not one_passage(component.ports)))

    def gives(self, component: Component, port: str) -> bool:
        """Whether a return begins at a port of a component: a valve, a motor, a cylinder, or what has no other return and is no tank."""
        if is_tank(component, port):
            return False
        alone = sum(line.kind == "return" for line in self.touching[component.name]) == 1
        return component.is_cylinder or component.kind in ("motor", "pump") or self.works(component) or (
            alone and component.kind in PASSES)

    def open_to_tank(self, line: Line, ends: Iterable[tuple[Component, str]]) -> bool:
        """Whether all that stands at one side of a return leads on to a tank that nothing shuts: through filters, coolers and blocks."""
        return all(self._leads_to_tank(component, port, frozenset([line.name])) for component, port in ends)

    def _leads_to_tank(self, component: Component, port: str, way: frozenset[str]) -> bool:
        if is_coupler_half(component, port):
            return False
        if is_tank(component, port):
            return True
        lines = self.touching[component.name]
        nature = nature_of(component, "shuts")
        opens = nature is not None and nature.kind == "check valve" and role_of(port) == "inlet"
        if nature is not None and nature.written and not opens:
            return False
        if component.kind not in ("filter", "manifold", "other") or any(each.kind != "return" for each in lines):
            return False
        if component.kind == "filter" and len(lines) == 1:
            return True  # it sits in the tank; where its outlet is named and has no line, that is refused for itself
        return any(self._goes_on(each, component, way | {each.name}) for each in lines if each.name not in way)

    def _goes_on(self, line: Line, component: Component, way: frozenset[str]) -> bool:
        """Whether a return leads from a component on to a tank that nothing shuts."""
        ends = self.ends(line)
        return not any(is_coupler_half(of, at) for of, at in ends if of is component) and any(
            self._leads_to_tank(far, at, way) for far, at in ends if far is not component)

    def node(self, line: Line) -> tuple[set[str], dict[str, Component]]:
        """The lines that stand under one pressure with a line, whatever their kind, and what they end at: all but what only passes on."""
        lines, ends, edge = {line.name}, dict[str, Component](), [line]
        while edge:
            last = edge.pop()
            for component, _ in self.ends(last):
                if not self._only_passes(last, component):
                    ends[component.name] = component
                    continue
                near = [each for each in self.touching[component.name] if each.kind not in ("drain", "suction") and each.name not in lines]
                lines |= {each.name for each in near}
                edge += near
        return lines, ends

    def stream(self, first: Line, source: Iterable[str]) -> dict[str, Step]:
        """The lines of its kind that the oil of `first` goes on through, by name, itself included, away from the components `source`."""
        on = self._legs_on(first, frozenset(source))
        found = {first.name: Step(first, 0, "", True, "", _components(on))}
        edge = [(first, *leg) for leg in on]
        while edge:
            line, component, port, way = edge.pop(0)
            if self.ends_at(line, component):
                continue
            way |= {component.name}
            onward, sure = self._onward(line, component, port, way)
            for each in onward:
                if each.name in found:
                    continue
                step = found[line.name]
                by = next(reference for reference in each.references if self.at[reference][0] is component)
                on = self._legs_on(each, way)
                found[each.name] = Step(each, step.depth + 1, line.name, step.sure and sure, by, _components(on))
                edge += [(each, *leg) for leg in on]
        return found

    def fed_by(self, first: Line, source: Component) -> set[str]:
        """The lines of its kind that a line feeds on the far side of a component, itself included: through all that passes it on, up to
        what takes the oil or works with it. At what has more ports, by the one of the same number, else by all."""
        found, edge = {first.name}, [(first, source)]
        while edge:
            line, came = edge.pop()
            for component, port in self.ends(line):
                if component is came or component is source or self.ends_at(line, component):
                    continue
                others = {at: each for at, each in self._taken(line, component).items() if each.name not in found}
                alike = {at: each for at, each in others.items() if number_of(at) == number_of(port) != ""}
                for each in (alike if len(alike) == 1 else others).values():
                    found.add(each.name)
                    edge.append((each, component))
        return found

    def straight_on(self, line: Line, component: Component, port: str) -> list[Line]:
        """The lines that a port of a component surely leads on to, whatever these end at: the other one of two, the other half of a
        coupler by its name; none where it ends there, or where that is not certain."""
        taken = self._taken(line, component)
        if self.ends_at(line, component) or component.kind in TAKES or {"a", "b"} == {letters_of(at) for at in taken}:
            return []
        others = {at: each for at, each in taken.items() if each is not line}
        if component.kind == "coupler" and len(taken) > 2:
            others = {at: each for at, each in others.items() if letters_of(at) == letters_of(port) != ""}
        sure = len(taken) == 2 and (component.kind not in MAY_WORK or one_passage(taken))
        return list(others.values()) if len(others) == 1 and (sure or component.kind == "coupler") else []

    def _legs_on(self, line: Line, way: frozenset[str]) -> list[tuple[Component, str, frozenset[str]]]:
        """The ends that the oil of a line goes on to from the components it came by, each with these; where the line splits, into no leg
        that only leads to what takes its oil otherwise."""
        far = [(component, port, way) for component, port in self.ends(line) if component.name not in way]
        on = [leg for leg in far if not self._is_beyond(line, leg[0], way)] if len(line.targets) > 1 else far
        return on or far

    def _onward(self, line: Line, component: Component, port: str, way: frozenset[str]) -> tuple[list[Line], bool]:
        """The lines that go on from a port of a component, and whether that is certain."""
        taken = self._taken(line, component)
        others = {at: each for at, each in taken.items() if each is not line and not self._ends_beyond(each, component, way)}
        named = {at for at in others if number_of(at) == number_of(port) != ""} if len(taken) > 2 else set()
        spelled = {at for at in others if letters_of(at) == letters_of(port) != ""} if len(taken) > 2 else set()
        told = named & spelled if named and spelled else named | spelled
        if len(told) == 1:
            return [others[at] for at in told], True
        sure = len(others) == 1 if len(taken) > 2 else component.kind not in MAY_WORK or line.kind != "work" or one_passage(taken)
        return list(others.values()), sure

    def _taken(self, line: Line, component: Component) -> dict[str, Line]:
        """The ports of a component that have a line of the kind of `line`."""
        return {at: each for each in self.touching[component.name] if each.kind == line.kind
                for of, at in self.ends(each) if of is component}

    def _ends_beyond(self, line: Line, component: Component, way: frozenset[str]) -> bool:
        """Whether a line leads from a component to nothing but what takes its oil otherwise, or back: of a work line, through all that
        passes it on. Where it splits, one leg that leads elsewhere is a way on."""
        way |= {component.name}
        far = [end for end, _ in self.ends(line) if end is not component]
        return bool(far) and all(self._is_beyond(line, end, way) for end in far)

    def _is_beyond(self, line: Line, far: Component, way: frozenset[str]) -> bool:
        """Whether at this end of a line its oil is taken otherwise, or led back."""
        if far.name in way or far.is_cylinder or far.kind in ("motor", "pump") or (line.kind == "return" and self._gives_only(far)):
            return True
        return line.kind == "work" and self._only_passes(line, far) and any(
            self._ends_beyond(each, far, way) for each in self._taken(line, far).values() if each is not line)

    def _only_passes(self, line: Line, component: Component) -> bool:
        """Whether nothing but what passes work oil on can be meant by a component: no valve with an A and a B whose feed is left out."""
        taken = self._taken(line, component)
        if self.ends_at(line, component) or {"a", "b"} <= {letters_of(port) for port in taken}:
            return False
        return component.kind not in MAY_WORK or (len(taken) == 2 and one_passage(taken))

    def _gives_only(self, component: Component) -> bool:
        """Whether a valve has one return: its own oil leaves by it, and none of another comes in."""
        return self.works(component) and sum(line.kind == "return" for line in self.touching[component.name]) == 1


def way_to(steps: Mapping[str, Step], last: Step) -> Iterator[str]:
    """The lines of a stream from its first to one of them."""
    while True:
        yield last.line.name
        if not last.before:
            return
        last = steps[last.before]


def _components(legs: Iterable[tuple[Component, str, frozenset[str]]]) -> tuple[Component, ...]:
    return tuple(component for component, _, _ in legs)


def is_tank(component: Component, port: str) -> bool:
    """Whether a port opens into a tank: of a tank, or the T of a power pack, which has its own."""
    return component.kind == "tank" or (component.kind == "pump" and is_tank_port(port))


def is_coupler_half(component: Component, port: str) -> bool:
    """Whether a port is the half of a coupler."""
    return port in component.ports and family(component.ports[port].end.family)["kin"] == "coupler"


def through_coupler(ends: Iterable[tuple[Component, str]]) -> bool:
    """Whether one of these ports is that of a coupler."""
    return any(component.kind == "coupler" or is_coupler_half(component, port) for component, port in ends)


def out_of(names: Iterable[str]) -> str:
    """Out of which cap ends a flow comes, in words."""
    names = list(dict.fromkeys(names))
    return f"out of the cap end of {names[0]} while it retracts" if len(names) == 1 else (
        f"out of the cap ends of {both(names)} while they retract together")
