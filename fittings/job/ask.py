"""One hose to be planned: the ports at either side of it, and what it must carry."""

from typing import NamedTuple

from fittings.circuit import LineKind
from fittings.ends import End
from fittings.job.from_job import Demand
from fittings.job.model import AtPort, GivenHose, Route


class Side(NamedTuple):
    """One side of a line: the port as `component.port`, its end, what the room there asks for."""

    reference: str
    port: End
    at: AtPort | None


class Ask(NamedTuple):
    """One hose to be planned; `tee_loss` when its oil has gone round the corner of a tee; `seal_share` of what the shaft seal stands that a
    hose for a drain may hold back, where it is not the whole way."""

    name: str
    kind: LineKind
    start: Side
    finish: Side
    demand: Demand
    route: Route | None
    given: GivenHose | None
    tee_loss: bool = False
    seal_share: float = 1.0
