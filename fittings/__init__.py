"""Which fittings join these ports, and does every joint engage, seal and hold.

The public functions, imported when first used so that a quick question stays quick:

`end`, `end_by_id`, `all_ends` (what there is), `read_end`, `read_part` (what people type), `mate` (the verdict on two
ends), `join`, `Limits` (chains of parts), `graph` (the networkx graph), `chain_flaws` (the second
opinion), `table` (the rows of a data file). Naming an unknown end is `fittings.identify.identify`, a whole job
`fittings.job.plan.plan_file`.
"""

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "End": "ends", "end": "ends", "end_by_id": "ends", "all_ends": "ends",
    "read_end": "notation", "read_part": "notation", "BadText": "notation",
    "mate": "mating", "partners": "mating",
    "join": "planner", "Limits": "limits",
    "graph": "network",
    "chain_flaws": "check",
    "table": "tables",
}

__all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    try:
        home = _HOMES[name]
    except KeyError:
        raise AttributeError(f"module 'fittings' has no attribute {name!r}") from None
    value = getattr(import_module(f"fittings.{home}"), name)
    globals()[name] = value
    return value
