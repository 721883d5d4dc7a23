"""What the lines to the tank hold back at a cold start, each added to those between it and the tank.

A return leads through filters and coolers; every line on the way takes its drop, and the one farthest from the tank sees them all.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from fittings.circuit import Finding
from fittings.job.model import Job
from fittings.job.result import PlannedLine
from fittings.job.stream import Circuit
from fittings.units import format_pressure


class Held(NamedTuple):
    """Pressures with cold oil, psi: of each return at its end away from the tank, by its name; of each component at its worst port on
    the way, by its name, with the line that it is reckoned at."""

    lines: Mapping[str, float]
    components: Mapping[str, tuple[float, str]]


def held_back(circuit: Circuit, lines: Sequence[PlannedLine]) -> Held:
    """What the returns of a job hold back, psi, as far as their lengths are known. What a filter or cooler takes itself is not in it."""
    drops = {line.name: _drop_psi(line) for line in lines if line.kind == "return"}
    found = dict(drops)
    at: dict[str, tuple[float, str]] = {}
    for line in circuit.job.line:
        for source, _ in circuit.ends(line) if line.kind == "return" else ():
            if not circuit.gives(source):
                continue
            steps = circuit.stream(line, [source.name])
            behind = dict.fromkeys(steps, 0.0)
            for name, step in sorted(steps.items(), key=lambda each: -each[1].depth):
                total = drops.get(name, 0.0) + behind[name]
                if step.before:
                    behind[step.before] = max(behind[step.before], total)
                found[name] = max(found.get(name, 0.0), total)
                nearer = {component.name for component, _ in circuit.ends(steps[step.before].line)} if step.before else {source.name}
                for component, _ in circuit.ends(step.line):
                    psi = total if component.name in nearer else behind[name]
                    at[component.name] = max(at.get(component.name, (0.0, "")), (psi, name))
    return Held(found, at)


def _drop_psi(line: PlannedLine) -> float:
    return (line.drop_cold_psi or 0.0) + max((_drop_psi(each) for each in line.branches), default=0.0)


def with_back_pressure(job: Job, circuit: Circuit, lines: Sequence[PlannedLine]) -> tuple[PlannedLine, ...]:
    """The lines, with a finding of level `refuse` where what is held back is more than a component on the way is rated."""
    held = held_back(circuit, lines)
    return tuple(line._replace(findings=(*line.findings, *_too_weak(job, held, line))) for line in lines)


def _too_weak(job: Job, held: Held, line: PlannedLine) -> Iterator[Finding]:
    for component in job.component:
        psi, where = held.components.get(component.name, (0.0, ""))
        if where == line.name and component.psi is not None and psi > component.psi:
            yield Finding(
                "back-pressure-rating", "refuse",
                f"with cold oil {format_pressure(psi, job.units)} is reckoned at {component.name}, from there to the tank, and its maker "
                f"rates it {format_pressure(component.psi, job.units)}: wider or shorter lines behind it, or thinner oil",
                ("arithmetic", "practice"))
