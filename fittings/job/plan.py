"""A job, planned: every line with its hose, parts and joints, and what the job as a whole needs.

A line that cannot be done is explained, and the others are planned all the same.
"""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, cast

from fittings.cautions import for_plan
from fittings.circuit import Finding, LineKind
from fittings.circuit.cylinder import Cylinder, answer, buckling_findings, findings
from fittings.circuit.rules import because, rule_value
from fittings.ends import End
from fittings.job.ask import Ask, Side
from fittings.job.assembly import assembly_steps
from fittings.job.back_pressure import held_back, with_back_pressure
from fittings.job.bill import bill_of
from fittings.job.cold_way import cold_ways
from fittings.job.cylinder_ends import cap_end_fed, ratio, shape_of
from fittings.job.cylinder_fit import fit_findings
from fittings.job.demands import Flows, demands, feeds_gpm, flows_of
from fittings.job.hand import EMPTY, Hand
from fittings.job.model import Component, Job, Line
from fittings.job.one_hose import Draft, draft_hose, finish_hose
from fittings.job.reading import beside, read_job, read_job_file
from fittings.job.result import Plan, PlannedCylinder, PlannedLine
from fittings.job.rubber import rubber_findings
from fittings.job.split import Drafted, draft_split, finish_split
from fittings.job.whole_circuit import circuit_findings
from fittings.saying import both
from fittings.units import format_flow, format_force, format_pressure

if TYPE_CHECKING:
    from fittings.stock import Shelf


def plan(job: Job, progress: Callable[[str], None] | None = None, shelf: "Shelf | None" = None) -> Plan:
    """The whole job, planned; `progress` is told the name of each line before it is begun. With a shelf its parts are used
    before any is bought, each once over all lines.

    Raises nothing for a job that `read_job` accepted, but SolverMissing when the job and the shelf are large and `highspy` is
    not installed.

    >>> from fittings.job.reading import read_job
    >>> job = read_job('''
    ... [system]
    ... relief = "2500 psi"
    ... flow = "8 gpm"
    ... [[component]]
    ... name = "valve"
    ... ports = { A = "ORB -8 port" }
    ... [[component]]
    ... name = "ram"
    ... cylinder = { bore = "2 in", rod = "1.25 in" }
    ... ports = { cap = "ORB -6 port" }
    ... vented = ["rod"]
    ... [[line]]
    ... name = "lift"
    ... from = "valve.A"
    ... to = "ram.cap"
    ... ''')
    >>> plan(job).lines[0].hose.hose.size
    '-8'
    """
    hand = EMPTY if shelf is None else Hand(shelf.on_hand, shelf.hoses)
    flows = flows_of(job)
    drafted = _holding(job, flows, [draft_line(job, each, flows, progress, hand) for each in job.line], hand)
    lines = with_back_pressure(job, flows.circuit, [_as_bought(job, each) for each in drafted])
    use, bill = None, None
    if shelf is not None:
        from fittings.job.from_shelf import lines_with_shelf, shelf_use
        from fittings.stock import Bins

        plain, lines = lines, with_back_pressure(job, flows.circuit, lines_with_shelf(job, drafted, shelf))
        bill = bill_of(job, lines, Bins(shelf))
        use = shelf_use(shelf, bill, plain, lines)
    cylinders = tuple(_cylinders(job, lines))
    found = (*circuit_findings(job), *rubber_findings(job), *_margin(job, lines), *_port_relief(job, lines),
             *cold_ways(job, flows.circuit, lines))
    return Plan(job, job.title, job.units, lines, bill or bill_of(job, lines), assembly_steps(job, lines), cylinders, found,
                for_plan(), use)


def plan_text_of(text: str) -> Plan:
    """The plan of a job file given as text. Raises BadJob."""
    return plan(read_job(text))


def plan_file(path: str, progress: Callable[[str], None] | None = None) -> Plan:
    """The plan of a job file, with the shelf that it names.

    Raises BadJob, BadShelf, SolverMissing, and OSError when a file cannot be read.
    """
    job = read_job_file(path)
    file = shelf_file(job, path)
    if file is None:
        return plan(job, progress)
    from fittings.stock import read_shelf

    return plan(job, progress, read_shelf(file))


def shelf_file(job: Job, path: str) -> str | None:
    """The shelf that a job file at `path` names, if it does."""
    return None if job.stock is None else beside(path, job.stock.file)


def draft_line(job: Job, line: Line, flows: Flows, progress: Callable[[str], None] | None, hand: Hand) -> Drafted:
    """A line with all that may still be chosen: the pairs of ends of its hose, and where it splits the tee; or refused."""
    if progress is not None:
        progress(line.name)
    whole, legs = demands(job, line, flows)
    if legs:
        return draft_split(job, line, whole, legs, hand)
    target = line.targets[0]
    branch = next((each for each in line.branch if each.to == target), None)
    start = Side(line.from_, _port(job, line.from_), line.at_from)
    finish = Side(target, _port(job, target), (branch and branch.at_to) or line.at_to)
    return draft_hose(job, Ask(line.name, cast(LineKind, line.kind), start, finish, whole, (branch and branch.route) or line.route,
                               (branch and branch.hose) or line.hose), hand)


ROUNDS = 3
"""How often returns are planned again for what they hold back: another hose has another bore."""


def _holding(job: Job, flows: Flows, drafted: list[Drafted], hand: Hand) -> list[Drafted]:
    """The lines, with returns that hold back more with cold oil than they were planned for planned again for that."""
    for _ in range(ROUNDS):
        lines = [_as_bought(job, each) for line, each in zip(job.line, drafted, strict=True) if line.kind == "return"]
        held = held_back(flows.circuit, lines).lines
        weak = {line.name for line in lines if line.demand.max_psi < held.get(line.name, 0.0)}
        if not weak:
            break
        flows = flows._replace(held=held)
        drafted = [draft_line(job, line, flows, None, hand) if line.name in weak else each
                   for line, each in zip(job.line, drafted, strict=True)]
    return drafted


def _as_bought(job: Job, drafted: Drafted) -> PlannedLine:
    """The line as it is when everything is bought."""
    if isinstance(drafted, PlannedLine):
        return drafted
    return finish_hose(job, drafted) if isinstance(drafted, Draft) else finish_split(job, drafted[0])


def _port(job: Job, reference: str) -> End:
    component, name = job.port(reference)
    return component.ports[name].end


def _cylinders(job: Job, lines: tuple[PlannedLine, ...]) -> list[PlannedCylinder]:
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
        if rated is not None and rated < job.system.relief_psi and _told_at_a_line(job, lines, component, rated):
            rated = None
        notes = (*findings(works_as, job.system.relief_psi, rated, job.units, size.load_lbf),
                 *buckling_findings(shape, job.system.relief_psi, size.load_lbf, extended, job.units),
                 *_own_flow(job, into_cap, into_rod if works_as.rod_in else None))
        if component.fit is not None:
            notes = (*notes, *fit_findings(component.fit, shape, job.system.relief_psi, job.system.flow_gpm, job.units))
        found.append(PlannedCylinder(
            component.name, shape.bore_in, shape.rod_in, shape.stroke_in, shape.phi, told, notes, component.back_by))
    return found


def _told_at_a_line(job: Job, lines: tuple[PlannedLine, ...], component: Component, rated_psi: float) -> bool:
    """Whether a line at a component tells that it reaches more than the maker rates it."""
    touching = job.touching(component)
    return any((asked.pressure_psi or line.demand.max_psi) > rated_psi for line, asked in zip(lines, job.line, strict=True)
               if asked in touching)


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


def _port_relief(job: Job, lines: tuple[PlannedLine, ...]) -> Iterator[Finding]:
    """Is there room between the main relief and what the maker of a cylinder or motor rates it, and its weakest line that the pump works
    on, for the relief that it wants at its port?"""
    wanted = rule_value("port-relief") * job.system.relief_psi
    for component in job.component:
        if not component.back_driven:
            continue
        touching = job.touching(component)
        own = [each for line, asked in zip(lines, job.line, strict=True) for each in line.everything
               if line.kind in ("work", "pressure") and asked in touching]
        weakest = min(((each.rating_psi, each.name) for each in own if each.rating_psi is not None and each.refused is None),
                      default=(wanted, ""))
        below, stronger = [], []
        if weakest[0] < wanted:
            below.append(f"its weakest line, {weakest[1]}, rated {format_pressure(weakest[0], job.units)}")
            stronger.append("a stronger hose or ends there")
        if component.psi is not None and component.psi < wanted:
            below.append(f"the {format_pressure(component.psi, job.units)} that its maker rates it")
            stronger.append(f"a {component.name} that is rated for more")
        if below:
            yield Finding(
                "port-relief-no-room", "warn",
                f"{component.name}: a relief at its port is set 10 to 20 % above the main relief, {format_pressure(wanted, job.units)} "
                f"or more, and must lie below {both(below)}: there is no room for it. It wants {both(stronger)}, or a lower main relief",
                because("port-relief"))


def _margin(job: Job, lines: tuple[PlannedLine, ...]) -> list[Finding]:
    """What is left between the relief setting and the weakest of the lines that see it."""
    seen = [each for line in lines for each in line.everything
            if each.refused is None and each.demand.max_psi >= job.system.relief_psi]
    rated = [each for each in seen if each.rating_psi is not None]
    unrated = [each.name for each in seen if each.rating_psi is None and each.joints]
    units = job.units
    found = []
    below = any(each.code == "pressure-below-relief" and each.level == "refuse" for line in lines for each in line.findings)
    if rated and not below:
        line = min(rated, key=lambda each: each.rating_psi or 0.0)
        found.append(Finding(
            "margin", "info",
            f"the weakest line is {line.name}, {format_pressure(line.rating_psi or 0.0, units)} by {line.weakest}; the relief is set to "
            f"{format_pressure(job.system.relief_psi, units)} and must never be set above it", ("sae-j517-scope",)))
    if unrated:
        found.append(Finding(
            "margin-unknown", "warn", f"no table rates every end of {', '.join(unrated)}: what these hold is not proved; go by the makers' "
            "figures before the relief is set", ("memory",)))
    return found
