"""The cylinders of a job: force, speed, volumes, what the rod stands, and what to know of each."""

from collections.abc import Iterator, Sequence

from fittings.circuit import Finding
from fittings.circuit.cylinder import Cylinder, answer, buckling_findings, findings
from fittings.job.cylinder_ends import cap_end_fed, ratio, shape_of
from fittings.job.cylinder_fit import fit_findings
from fittings.job.from_job import PlannedCylinder, Reach
from fittings.job.model import Component, Job
from fittings.job.shares import feeds_gpm
from fittings.saying import both
from fittings.units import format_flow, format_force, format_pressure


def cylinders_of(job: Job, reach: Sequence[Reach]) -> tuple[PlannedCylinder, ...]:
    """The cylinders of a job whose measures are given; `reach` tells what its lines see. Raises nothing."""
    found = []
    for component in job.component:
        shape, size = shape_of(component), component.cylinder
        if shape is None or size is None:
            continue
        into_cap, into_rod = feeds_gpm(job, component)
        if not cap_end_fed(component):
            found.append(_pulls(job, component, shape, into_rod))
            continue
        fit = component.fit
        extended = fit.closed_in + shape.stroke_in if fit is not None and fit.closed_in and shape.stroke_in else None
        # where nothing is fed into the rod end, the cylinder goes back by its load, as a ram does
        works_as = shape if ratio(component) > 1 else shape._replace(rod_in=0.0)
        told = answer(works_as, job.system.relief_psi, into_cap, size.load_lbf)
        back = answer(works_as, job.system.relief_psi, into_rod, size.load_lbf)
        told = told._replace(retract_in_s=back.retract_in_s, retract_s=back.retract_s, return_gpm=back.return_gpm,
                             buckling_lbf=answer(shape, extended_in=extended).buckling_lbf)
        # that it is rated too low is told once, at the line that reaches it
        rated = component.psi
        if rated is not None and rated < job.system.relief_psi and _told_at_a_line(job, reach, component, rated):
            rated = None
        notes = (*findings(works_as, job.system.relief_psi, rated, job.units, size.load_lbf),
                 *buckling_findings(shape, job.system.relief_psi, size.load_lbf, extended, job.units),
                 *_own_flow(job, into_cap, into_rod if works_as.rod_in else None))
        if size.load_acts == "pushes":  # nothing pulls against such a load
            notes = tuple(each for each in notes if each.code != "load-above-pull")
        if component.fit is not None:
            notes = (*notes, *fit_findings(component.fit, shape, job.system.relief_psi, job.system.flow_gpm, job.units))
        found.append(PlannedCylinder(
            component.name, shape.bore_in, shape.rod_in, shape.stroke_in, shape.phi, told, notes, component.back_by,
            size.load_acts))
    return tuple(found)


def _told_at_a_line(job: Job, reach: Sequence[Reach], component: Component, rated_psi: float) -> bool:
    """Whether a line at a component tells that it reaches more than the maker rates it."""
    reached = {each.line: each.max_psi for each in reversed(reach)}  # of a line that splits the line itself, which stands first
    touching = job.touching(component)
    return any((asked.pressure_psi or reached[number]) > rated_psi for number, asked in enumerate(job.line) if asked in touching)


def _pulls(job: Job, component: Component, shape: Cylinder, into_rod: float) -> PlannedCylinder:
    """A cylinder whose cap end is open to the air: it pulls, and its load brings it out."""
    relief, size = job.system.relief_psi, component.cylinder
    load = None if size is None else size.load_lbf
    told = answer(shape, relief, into_rod, load)._replace(
        push_lbf=None, extend_in_s=None, extend_s=None, return_gpm=None, rod_side_psi=None, psi_to_push=None, volume_extend_gal=None,
        buckling_lbf=None)
    notes = list(_own_flow(job, None, into_rod))
    if load is not None and told.pull_lbf is not None and load > told.pull_lbf:
        notes.append(Finding(
            "load-too-great", "refuse",
            f"the load of {format_force(load, job.units)} is more than it pulls: at {format_pressure(relief, job.units)} "
            f"{format_force(told.pull_lbf, job.units)}, friction not counted; a larger bore, or less load", ("arithmetic",)))
    if component.fit is not None:
        notes += fit_findings(component.fit, shape, relief, job.system.flow_gpm, job.units)
    return PlannedCylinder(component.name, shape.bore_in, shape.rod_in, shape.stroke_in, shape.phi, told, tuple(notes), component.back_by)


def _own_flow(job: Job, into_cap: float | None, into_rod: float | None) -> Iterator[Finding]:
    """What a cylinder is reckoned with when that is not what the pump gives; None where nothing is fed into an end."""
    if any(flow is not None and abs(flow - job.system.flow_gpm) > 1e-9 for flow in (into_cap, into_rod)):
        ends = [f"{format_flow(flow, job.units)} into its {end} end" for flow, end in ((into_cap, "cap"), (into_rod, "rod"))
                if flow is not None]
        yield Finding("own-flow", "info", f"reckoned with {both(ends)}, what its lines bring",
                      ("arithmetic",))
