"""Ports without a line that stand under the pressure of the lines beside them."""

from collections.abc import Sequence

from fittings.job.model import Component, Line
from fittings.job.port_names import looks_like_valve, role_of

MOUTHS = {"valve": ("pressure", "inlet", "gauge"), "block": ("pressure", "inlet", "outlet", "gauge", "work", "")}
"""What the ports are for, by their names, that stand under the pressure of the others: of a valve that shuts, of a block that does not."""

FED_BY = ("pressure", "inlet", "outlet")
"""What a port is for whose line may only be left out of the job: no plug is offered for it but beside a line that feeds."""


def is_dead_end(lines: Sequence[Line], component: Component, port: str) -> bool:
    """Whether a port without a line stands under the pressure of the `lines` at its component: any of a block or a filter, of a valve what
    is named as its feed or a gauge's. A component without a kind may be a valve, so its A and B are left out."""
    if component.is_cylinder or component.kind not in ("valve", "manifold", "other", "filter", None):
        return False
    unknown = component.kind is None
    is_valve = component.kind == "valve" or component.centre is not None or (unknown and looks_like_valve(component.ports))
    role, kinds = role_of(port), {line.kind for line in lines}
    if is_valve and role in FED_BY and "pressure" not in kinds:
        return False  # what feeds it is not in this job
    return bool(kinds & {"pressure", "work"}) and role in MOUTHS["valve" if is_valve else "block"] and not (unknown and role == "work")


def takes_a_plug(lines: Sequence[Line], component: Component, port: str) -> bool:
    """Whether a plug is what a dead end wants: not where the line that belongs there may only be left out of the job."""
    return is_dead_end(lines, component, port) and (role_of(port) not in FED_BY or any(line.kind == "pressure" for line in lines))
