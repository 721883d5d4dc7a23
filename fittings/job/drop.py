"""Pressure drop of one hose with its ends and adapters, hot and at a cold start."""

from collections.abc import Iterator, Sequence

from fittings.chain import Used, bends
from fittings.circuit import Finding
from fittings.circuit.flow import Stretch, coupler_drop, exit_drop_psi, line_drop_psi
from fittings.circuit.hose import Hose, end_bore_in
from fittings.circuit.oil import density_kg_l, viscosity_cst
from fittings.circuit.rules import because, rule_value
from fittings.ends import End, family
from fittings.job.from_job import Demand
from fittings.job.model import Job
from fittings.units import format_flow, format_pressure


def _bore_in(used: Used, most: float) -> float:
    sizes = [each.nominal_16ths / 16 for each in (used.near, used.far) if each.nominal_16ths is not None]
    return min((*sizes, most))


def _stretch(used: Used, most: float) -> Stretch:
    return Stretch(_bore_in(used, most), 0.0, (f"elbow-{used.part.shape[-2:]}" if bends(used.part) else "straight",))


def drops_psi(job: Job, demand: Demand, of: Hose, before: Sequence[Used], behind: Sequence[Used], length_in: float | None,
              tee_loss: bool = False) -> tuple[float | None, float | None]:
    """Pressure drop of a line in psi, with hot oil and at a cold start; None when its length, or what a coupler in it
    takes, is not known."""
    if length_in is None:
        return None, None
    tight = end_bore_in(of)
    corner = [Stretch(tight, 0.0, ("tee-branch",))] if tee_loss else []
    stretches = [*corner, *(_stretch(used, tight) for used in before if not _is_coupler(used)), Stretch(of.bore_in, length_in),
                 *(_stretch(used, tight) for used in behind if not _is_coupler(used))]
    couplers = 0.0
    for used in (*before, *behind):
        if _is_coupler(used):
            drop = coupler_drop(_coupler_end(used).size, demand.flow_gpm)
            if drop is None:
                return None, None
            couplers += drop.psi
    # oil in a work line runs both ways: it leaves by the narrower of the two ports
    mouths = [_bore_in(used, tight) for used in (*before[:1], *behind[-1:])]
    oil, warm = job.system.oil_used, job.system.temperature_used
    hot, cold = (
        line_drop_psi(stretches, demand.flow_gpm, viscosity_cst(oil, celsius), density_kg_l(oil, celsius)) + couplers
        + (exit_drop_psi(demand.flow_gpm, min(mouths), density_kg_l(oil, celsius)) if mouths else 0.0)
        for celsius in (warm.hot_c, warm.cold_c))
    return hot, cold


def coupler_findings(job: Job, demand: Demand, parts: Sequence[Used]) -> Iterator[Finding]:
    """What each coupler of a line is rated for in flow, against what it must carry: told whether the length is known or not."""
    for used in parts:
        if not _is_coupler(used):
            continue
        end_ = _coupler_end(used)
        name = f"{family(end_.family)['nick']} {end_.size} coupler"
        drop = coupler_drop(end_.size, demand.flow_gpm)
        carries = format_flow(demand.flow_gpm, job.units)
        if drop is None:
            yield Finding("coupler-flow-unknown", "warn", f"no table of ours holds the flow of the {name}: what it takes at {carries} is "
                          "not known and stands in no drop; ask its maker", ("memory",))
        elif round(drop.over, 2) > 1:
            most = rule_value("coupler-most")
            rated, takes = format_flow(drop.rated_gpm, job.units), format_pressure(drop.psi, job.units)
            rated += " (in part from memory)" if drop.confidence == "C" else ""
            times = f"{drop.over:.2f}" if drop.over < 1.1 else f"{drop.over:.1f}"
            said = f"the {name} is rated for {rated} and carries {carries}, {times} times that: it takes about {takes}"
            if round(drop.over, 2) > most:
                yield Finding("coupler-flow", "refuse", f"{said}. More than {most:g} times is beyond any such coupler: it shuts itself or "
                              "wears out; take a larger one, or a second beside it", (*drop.sources, *because("coupler-most")))
            elif round(drop.over, 2) < rule_value("coupler-slight"):
                yield Finding("coupler-flow", "info", f"{said}, as heat, little more than at its rating",
                              (*drop.sources, *because("coupler-slight")))
            else:
                yield Finding("coupler-flow", "warn", f"{said}, as heat; a size larger is calmer", drop.sources)


def _coupler_end(used: Used) -> End:
    return used.near if family(used.near.family)["kin"] == "coupler" else used.far


def _is_coupler(used: Used) -> bool:
    return used.part.shape == "coupler"
