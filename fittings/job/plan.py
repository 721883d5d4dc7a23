"""A job, planned: every line with its hose, parts and joints, and what the job as a whole needs.

A line that cannot be done is explained, and the others are planned all the same.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, cast

from fittings.cautions import for_plan
from fittings.circuit import LineKind
from fittings.ends import End
from fittings.job.ask import Ask, Side
from fittings.job.assembly import assembly_steps
from fittings.job.back_pressure import held_back, with_back_pressure
from fittings.job.bill import bill_of
from fittings.job.cold_way import cold_ways
from fittings.job.cylinders import cylinders_of
from fittings.job.demands import Flows, demands, flows_of
from fittings.job.hand import EMPTY, Hand
from fittings.job.margins import margin, port_relief
from fittings.job.model import Job, Line
from fittings.job.one_hose import Draft, draft_hose, finish_hose
from fittings.job.reading import beside, read_job, read_job_file
from fittings.job.result import Plan, PlannedLine, reach_of
from fittings.job.rubber import rubber_findings
from fittings.job.split import Drafted, draft_split, finish_split
from fittings.job.whole_circuit import circuit_findings

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
    reach = reach_of(lines)
    below = any(each.code == "pressure-below-relief" and each.level == "refuse" for line in lines for each in line.findings)
    cylinders = cylinders_of(job, reach)
    found = (*circuit_findings(job), *rubber_findings(job), *margin(job, reach, below), *port_relief(job, reach),
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
