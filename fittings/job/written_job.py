"""A job as tables with the keys of a job file, every quantity with its unit: so it stands in a saved plan, and is read from it again."""

from decimal import Decimal
from typing import Any

from pydantic import BaseModel

from fittings.circuit.oil import Oil
from fittings.job.model import Job
from fittings.job.quantities import TypedEnd

UNITS = {"psi": "psi", "gpm": "gpm", "in": "in", "c": "C", "lbf": "lbf", "deg": "deg"}
"""The last part of a field's name is what its quantity is held in."""


def job_written(of: Job) -> dict[str, Any]:
    """The job in the keys of a job file; what was left out there is left out here.

    >>> from fittings.job.reading import job_in, read_job
    >>> job = read_job('[system]\\nrelief = "172 bar"\\nflow = "8 gpm"\\n[[component]]\\nname = "a"\\nports = { A = "ORB -8 port" }\\n'
    ...                '[[component]]\\nname = "b"\\nports = { B = "ORB -8 port" }\\n[[line]]\\nname = "l"\\nfrom = "a.A"\\nto = "b.B"\\n')
    >>> job_written(job)["line"], job_in(job_written(job)).system == job.system
    ([{'name': 'l', 'from': 'a.A', 'to': ['b.B'], 'kind': 'work'}], True)
    """
    written: dict[str, Any] = _written("", of)
    return written


def _written(name: str, value: Any) -> Any:
    if isinstance(value, BaseModel):
        fields = {field.alias or each: each for each, field in type(value).model_fields.items()}
        kept = {key: (each, getattr(value, each)) for key, each in fields.items()}
        return {key: _written(each, inner) for key, (each, inner) in kept.items() if inner is not None and inner != []}
    if isinstance(value, list):
        return [_written(name, each) for each in value]
    if isinstance(value, dict):
        return {key: _written("", each) for key, each in value.items()}
    if isinstance(value, TypedEnd):
        return value.end.id  # its words may come to be read otherwise
    if isinstance(value, Oil):
        return value.asked_as or value.name
    if isinstance(value, float):
        return f"{Decimal(repr(value)):f} {UNITS[name.rsplit('_', 1)[-1]]}"
    return value
