"""What the lines to the tank hold back at a cold start, each added to those between it and the tank.

A return leads through filters and coolers; every line on the way takes its drop, and the one farthest from the tank sees them all.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from fittings.circuit import Finding
from fittings.circuit.flow import return_findings, takes_cold
from fittings.circuit.rules import because, rule_value
from fittings.job.cylinder_ends import ratio, shape_of
from fittings.job.model import Job
from fittings.job.result import PlannedLine
from fittings.job.stream import Circuit
from fittings.units import format_pressure


class Held(NamedTuple):
    """Pressures with cold oil, psi: of each return at its end away from the tank, by its name; of each component at its worst port on
    the way, by its name, with the line that it is reckoned at; and what each return that begins a way to the tank would take at full
    flow, by its name, whatever there is to push with."""

    lines: Mapping[str, float]
    components: Mapping[str, tuple[float, str]]
    at_full_flow: Mapping[str, float]


def most_psi(job: Job) -> float:
    """The most that can press on a return, psi: what the relief lets through, and out of a rod end that times the ratio of areas. No
    limit where the areas of a cylinder are not known."""
    known = all(not component.is_cylinder or shape_of(component) is not None for component in job.component)
    return job.system.relief_psi * max((ratio(component) for component in job.component), default=1.0) if known else float("inf")


def held_back(circuit: Circuit, lines: Sequence[PlannedLine]) -> Held:
    """What the returns of a job hold back, psi, as far as their lengths are known, and never more than there is to push with. What a
    filter or cooler takes itself is not in it."""
    drops = {line.name: _drop_psi(line) for line in lines if line.kind == "return"}
    found, within = dict(drops), set[str]()
    at: dict[str, tuple[float, str]] = {}
    for line in circuit.job.line:
        for source, port in circuit.ends(line) if line.kind == "return" else ():
            if not circuit.gives(source, port):
                continue
            steps = circuit.stream(line, [source.name])
            behind = dict.fromkeys(steps, 0.0)
            for name, step in sorted(steps.items(), key=lambda each: -each[1].depth):
                total = drops.get(name, 0.0) + behind[name]
                if step.before:
                    behind[step.before] = max(behind[step.before], total)
                    within.add(name)
                found[name] = max(found.get(name, 0.0), total)
                nearer = {component.name for component, _ in circuit.ends(steps[step.before].line)} if step.before else {source.name}
                for component, _ in circuit.ends(step.line):
                    psi = total if component.name in nearer else behind[name]
                    at[component.name] = max(at.get(component.name, (0.0, "")), (psi, name))
    most = most_psi(circuit.job)
    return Held({name: min(psi, most) for name, psi in found.items()}, {name: (min(psi, most), where) for name, (psi, where) in at.items()},
                {name: psi for name, psi in found.items() if name not in within})


def _drop_psi(line: PlannedLine) -> float:
    return (line.drop_cold_psi or 0.0) + max((_drop_psi(each) for each in line.branches), default=0.0)


def with_back_pressure(job: Job, circuit: Circuit, lines: Sequence[PlannedLine]) -> tuple[PlannedLine, ...]:
    """The lines, those to the tank with what is held back from them on in place of their own drop alone; with a finding of level `refuse`
    where that is more than a component on the way is rated."""
    held = held_back(circuit, lines)
    return tuple(line._replace(findings=(*_without_own(line), *_told(job, held, line))) if line.kind == "return" else line
                 for line in lines)


def _reckoned(line: PlannedLine) -> bool:
    """Whether a return is planned for what is reckoned, because that is more than it is taken to see."""
    return any(each.code == "return-pressure-reckoned" for each in line.findings)


def _without_own(line: PlannedLine) -> Iterator[Finding]:
    """The findings of a return, but what its own drop says, and what a pressure says that it is not planned for."""
    for each in line.findings:
        if each.code != "return-pressure" and not (each.code == "component-rating-assumed" and _reckoned(line)):
            yield each


def _told(job: Job, held: Held, line: PlannedLine) -> Iterator[Finding]:
    units = job.units
    yield from () if _reckoned(line) else return_findings(held.lines.get(line.name, 0.0), units)
    whole = held.at_full_flow.get(line.name, 0.0)
    if whole > job.system.relief_psi:
        yield Finding(
            "return-cold", "warn",
            f"with cold oil the way from here to the tank would take {takes_cold(whole, job.system.relief_psi, units)}. Warm it at "
            "idle first",
            because("pressure-drop-cold"))
    for component, (psi, where) in held.components.items():
        rated = _rating(job, component)
        if where != line.name or rated is None:
            continue
        if psi > rated:
            yield Finding(
                "back-pressure-rating", "refuse",
                f"with cold oil {format_pressure(psi, units)} is reckoned at {component}, from there to the tank, and its maker "
                f"rates it {format_pressure(rated, units)}: wider or shorter lines behind it, or thinner oil",
                ("arithmetic", "practice"))
        elif _reckoned(line) and rated < rule_value("return-pressure"):
            yield Finding(
                "component-rating-reckoned", "warn",
                f"{component} is rated {format_pressure(rated, units)} by its maker, and with cold oil {format_pressure(psi, units)} is "
                "reckoned behind it, as far as lengths are known and without what it takes itself: measure it at the first start",
                ("arithmetic", "practice"))


def _rating(job: Job, name: str) -> float | None:
    """What the maker of a component rates it, psi."""
    return next(component.psi for component in job.component if component.name == name)
