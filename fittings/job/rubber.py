"""What the seal rings of a job are made of: nitrile, as long as the oil keeps to the temperatures that it stands."""

from collections.abc import Iterator
from functools import cache

from fittings.circuit import Finding
from fittings.circuit.rules import rule_value
from fittings.job.model import Job
from fittings.ratings import Ring
from fittings.reasons import split_sources
from fittings.tables import Row, table
from fittings.units import format_temperature


@cache
def _nitrile() -> Row:
    return next(row for row in table("rubbers") if row["rubber"] == "nitrile")


def nitrile_serves(job: Job) -> bool:
    """Whether the oil of a job, mineral in every grade that a job may name, stays within what nitrile stands all day."""
    warm, row = job.system.temperature_used, _nitrile()
    return float(row["cold_c"]) <= warm.cold_c and warm.hot_c <= float(row["hot_c"])


def rubber_words(job: Job, of: Ring) -> str:
    """What a ring is to be of, in the words for the counter. A bonded seal or the ring of a stud is named without its hardness: it
    has none to choose."""
    if not nitrile_serves(job):
        warm = job.system.temperature_used
        cold, hot = (format_temperature(each, job.units) for each in (warm.cold_c, warm.hot_c))
        return f"of a rubber for oil from {cold} to {hot}: ask, nitrile is not enough"
    says = _nitrile()["says"]
    return says if of.thread else f"{says}, {rule_value('ring-hardness'):g} Shore A"


def ring_spec(job: Job, of: Ring) -> str:
    """The standard of a ring, where it has one, and its rubber, as a bill names them."""
    standard = "AS568 / ISO 3601" if of.key.startswith("AS568") else {"o-ring": "ISO 3601", "elastomer": "DIN 3869"}.get(of.kind, "")
    return ", ".join(each for each in (standard, rubber_words(job, of)) if each)


def rubber_findings(job: Job) -> Iterator[Finding]:
    """A warning where the oil is colder or hotter than nitrile stands."""
    if nitrile_serves(job):
        return
    row, units = _nitrile(), job.units
    cold, hot = (format_temperature(float(row[name]), units) for name in ("cold_c", "hot_c"))
    yield Finding(
        "ring-rubber", "warn", f"seal rings are usually {row['says']}, and that is good for {cold} to {hot}: outside it they go hard or "
        "stiff and leak. Ask for rings of another rubber, and ask the makers of pump, valves and cylinders about the seals inside",
        split_sources(row["source"]))
