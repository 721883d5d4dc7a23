"""What is left between the relief setting and the weakest line of a job, and whether a relief at a port has room above it."""

from collections.abc import Iterator, Sequence

from fittings.circuit import Finding
from fittings.circuit.rules import because, rule_value
from fittings.job.from_job import Reach
from fittings.job.kinds import hand_pump
from fittings.job.model import Job
from fittings.saying import both
from fittings.units import format_pressure


def port_relief(job: Job, reach: Sequence[Reach]) -> Iterator[Finding]:
    """Is there room between the main relief and what the maker of a cylinder or motor rates it, and its weakest line that the pump works
    on, for the relief that it wants at its port?"""
    wanted = rule_value("port-relief") * job.system.relief_psi
    for component in job.component if hand_pump(job) is None else ():
        if not component.back_driven:
            continue
        touching = job.touching(component)
        own = {number for number, line in enumerate(job.line) if line.kind in ("work", "pressure") and line in touching}
        weakest = min(((each.rating_psi, each.name) for each in reach
                       if each.line in own and each.rating_psi is not None and not each.refused), default=(wanted, ""))
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


def margin(job: Job, reach: Sequence[Reach], below: bool) -> Iterator[Finding]:
    """What is left between the relief setting and the weakest of the lines that see it; `below`: a line is planned for less, which
    nothing keeps."""
    seen = [each for each in reach if not each.refused and each.max_psi >= job.system.relief_psi]
    rated = [(each.rating_psi, each) for each in seen if each.rating_psi is not None]
    unrated = [each.name for each in seen if each.rating_psi is None and each.joined]
    units = job.units
    if rated and not below:
        psi, line = min(rated, key=lambda pair: pair[0])
        yield Finding(
            "margin", "info",
            f"the weakest line is {line.name}, {format_pressure(psi, units)} by {line.weakest}; the relief is set to "
            f"{format_pressure(job.system.relief_psi, units)} and must never be set above it", ("sae-j517-scope",))
    if unrated:
        yield Finding(
            "margin-unknown", "warn", f"no table rates every end of {', '.join(unrated)}: what these hold is not proved; go by the makers' "
            "figures before the relief is set", ("memory",))
