"""What stands one behind the other: motors whose outlets drive the next, cylinders that feed each other."""

from collections.abc import Iterator
from typing import NamedTuple

from fittings.circuit import Finding
from fittings.circuit.rules import because
from fittings.job.between import made_of, shut_psi
from fittings.job.cylinder_ends import cap_end_fed, ratio, shape_of, side_of
from fittings.job.model import Component, Job, Line
from fittings.job.port_names import never_plugged_unasked, role_of
from fittings.job.stream import Circuit
from fittings.saying import both
from fittings.units import format_flow, format_pressure


def series_findings(job: Job, circuit: Circuit) -> Iterator[Finding]:
    """Motors and cylinders of a job that stand one behind the other."""
    yield from _motors(job, circuit)
    yield from _cylinders(job, circuit)


def _motors(job: Job, circuit: Circuit) -> Iterator[Finding]:
    """Motors one behind the other: all but the last stand with their outlet under what drives the next."""
    seen: set[str] = set()
    for line in job.paths:
        if line.name in seen or line.kind in ("drain", "suction"):
            continue
        lines, ends = circuit.node(line)
        seen |= lines
        if len(ends) < 2 or any(component.kind != "motor" for component in ends.values()):
            continue
        bare = [name for name in ends if not any(
            each.kind == "drain" or (each.kind == "return" and each.name not in lines) for each in circuit.touching[name])]
        if bare:
            yield Finding(
                "motors-in-series", "warn",
                f"{both(list(ends))} are in series, joined by {both(sorted(lines))}: what drives the next stands in the outlet of the one "
                f"before it, up to the relief setting, and without a case drain on its shaft seal. {both(bare)}: a case drain alone to the "
                "tank, or its maker's word that the seal is rated for that pressure. Only the last may do without, and where a valve turns "
                "them both ways none is the last", because("drain-alone"))


class Link(NamedTuple):
    """Lines that join ends of cylinders with each other: their names, the ends (cylinder, `cap` or `rod`), whether anything else is, or
    may be, joined to them."""

    lines: tuple[str, ...]
    ends: tuple[tuple[Component, str], ...]
    other: bool


def _cylinders(job: Job, circuit: Circuit) -> Iterator[Finding]:
    """Cylinders that feed each other: what the first makes of the pump's pressure and flow, the next makes more of."""
    seen: set[str] = set()
    for line in job.paths:
        if line.kind in ("drain", "suction") or line.name in seen:
            continue
        link = _link(circuit, line)
        seen.update(link.lines)
        names = list(dict.fromkeys(component.name for component, _ in link.ends))
        if link.other or len(names) < 2:
            continue
        yield Finding(
            "cylinders-in-series", "refuse",
            f"{both(names)} are in series, joined by {both(sorted(link.lines))} and by nothing else: the oil that leaves the one drives "
            f"the other{''.join(_makes(job, link))}. That is not planned here: it takes cylinders made for it, that fill each other at the "
            "end of the stroke, and hoses for those figures. Give each its own lines from the valve", because("cylinder-series"))


def _link(circuit: Circuit, first: Line) -> Link:
    """All that a line is joined to, through what surely only passes on."""
    lines, ends, other, edge = {first.name}, list[tuple[Component, str]](), False, [first]
    while edge:
        line = edge.pop()
        for component, port in circuit.ends(line):
            if component.is_cylinder:
                ends.append((component, side_of(component, port)))
                continue
            onward = circuit.straight_on(line, component, port)
            other |= not onward or any(_may_feed(at) for at in component.ports if f"{component.name}.{at}" not in circuit.job.used)
            new = [each for each in onward if each.name not in lines]
            lines |= {each.name for each in new}
            edge += new
    return Link(tuple(lines), tuple(ends), other)


def _may_feed(port: str) -> bool:
    """Whether a port without a line may be where the oil comes from, the line being left out of the job."""
    return role_of(port) != "gauge" and not never_plugged_unasked(port)


def _makes(job: Job, link: Link) -> Iterator[str]:
    """What cylinders in series make of the pump's pressure and flow, as far as their measures are given."""
    for component, side in link.ends:
        shape = shape_of(component)
        if side == "rod" and shape is not None and shape.rod_in and cap_end_fed(component):
            most, made = format_pressure(shut_psi(job, component, shape, "rod"), job.units), made_of(job, component, shape, "rod")
            yield f". On the rod side of {component.name}, and all that it is joined to, {most} can stand, {made}"
    times = 1.0
    for component in {component.name: component for component, _ in link.ends}.values():
        times *= ratio(component)
    if times > 1 and {side for _, side in link.ends} == {"cap", "rod"}:
        yield f"; while they go in, {format_flow(job.system.flow_gpm * times, job.units)} comes out of the last cap end"
