"""Pressure drop of one hose with its ends and adapters, hot and at a cold start."""

from collections.abc import Sequence

from fittings.chain import Used, bends
from fittings.circuit.flow import Stretch, coupler_drop, line_drop_psi
from fittings.circuit.hose import Hose, end_bore_in
from fittings.circuit.oil import density_kg_l, viscosity_cst
from fittings.ends import End, family
from fittings.job.model import Job
from fittings.job.result import Demand


def _bore_in(used: Used, most: float) -> float:
    sizes = [each.nominal_16ths / 16 for each in (used.near, used.far) if each.nominal_16ths is not None]
    return min((*sizes, most))


def _stretch(used: Used, most: float) -> Stretch:
    return Stretch(_bore_in(used, most), 0.0, (f"elbow-{used.part.shape[-2:]}" if bends(used.part) else "straight",))


def drops_psi(job: Job, demand: Demand, each: Hose, before: Sequence[Used], behind: Sequence[Used], length_in: float | None,
              tee_loss: bool = False) -> tuple[float | None, float | None]:
    """Pressure drop of a line in psi, with hot oil and at a cold start; None when its length is not known."""
    if length_in is None:
        return None, None
    tight = end_bore_in(each)
    corner = [Stretch(tight, 0.0, ("tee-branch",))] if tee_loss else []
    stretches = [*corner, *(_stretch(used, tight) for used in before if not _is_coupler(used)), Stretch(each.bore_in, length_in),
                 *(_stretch(used, tight) for used in behind if not _is_coupler(used))]
    couplers = sum(
        drop.psi for used in (*before, *behind) if _is_coupler(used)
        and (drop := coupler_drop(_coupler_end(used).size, demand.flow_gpm)) is not None)
    oil, warm = job.system.oil_used, job.system.temperature_used
    hot, cold = (
        line_drop_psi(stretches, demand.flow_gpm, viscosity_cst(oil, celsius), density_kg_l(oil, celsius)) + couplers
        for celsius in (warm.hot_c, warm.cold_c))
    return hot, cold


def _coupler_end(used: Used) -> End:
    return used.near if family(used.near.family)["kin"] == "coupler" else used.far


def _is_coupler(used: Used) -> bool:
    return used.part.shape == "coupler"
