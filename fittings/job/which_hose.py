"""Which hoses serve a line: by what they hold, by the velocity in them, by what the job file settles."""

from collections.abc import Collection, Iterable
from functools import cache

from fittings.circuit import BadCircuit, worst
from fittings.circuit.flow import least_bore_in, velocity_fps, velocity_limits
from fittings.circuit.hose import Fit, Hose, Unfit, choose, hose, judge
from fittings.job.ask import Ask
from fittings.job.drop import drops_psi
from fittings.job.model import Job
from fittings.planner import EXCLUDED, IMPOSSIBLE, NOT_COVERED, Refusal, impossible
from fittings.reasons import Reason, reason
from fittings.tables import table
from fittings.units import MM_PER_IN, format_flow, format_length, format_pressure

NEARLY = 0.05
"""Sixteenths of an inch that the bore of a hose may be under its nominal size."""

SIZES_TRIED = 3
"""Sizes of hose that are tried before a line is given up: the one by velocity, and the next that serve."""


def hoses_for(job: Job, ask: Ask, at_hand: Collection[tuple[str, str]] = ()) -> tuple[list[Fit], Refusal | None]:
    """Hoses that serve a line, the best first, of few sizes; or none, and why. `at_hand`: type and size of hose on the shelf,
    which comes before other types of its size."""
    units, given, demand = job.units, ask.given, ask.demand
    warm = job.system.temperature_used
    if given is not None and given.type and given.size:
        try:
            each = hose(given.type, given.size)
        except BadCircuit as error:
            return [], impossible(reason("no-such-hose", text=error), kind=NOT_COVERED)
        found = judge(each, demand.max_psi, demand.flow_gpm, ask.kind, warm.hot_c, warm.cold_c, units=units)
        wrong = [finding for finding in found if finding.level == "refuse"]
        if wrong:
            return [], impossible(*(Reason(finding.code, finding.text, finding.sources) for finding in wrong), kind=EXCLUDED)
        return [Fit(each, velocity_fps(demand.flow_gpm, each.bore_in), found)], None
    size = given.size if given is not None else None
    choice = choose(demand.max_psi, demand.flow_gpm, ask.kind, warm.hot_c, warm.cold_c, size=size, units=units)
    fits = [fit for fit in choice.fits if given is None or given.type in (None, fit.hose.type)]
    if ask.kind == "drain":
        fits = _that_let_go(job, ask, fits)
    if fits:
        few = _of_few_sizes(sorted(fits, key=lambda fit: (_rank(ask, fit), fit.hose.size in _seldom())), at_hand)
        return [*few, *(fit for fit in fits if fit not in few and wide_enough(ask, fit, few[0].hose))], None
    against = [each for each in choice.unfit if given is None or given.type in (None, each.hose.type)]
    return [], _no_hose(job, ask, size, against)


def _rank(ask: Ask, fit: Fit) -> int:
    """Which hoses come first: one as wide as the ports of a suction, though the oil is fast in it, since a wider one makes the oil in the
    ports no slower, and the adapters to it hold the pump back; then those that nothing is to be warned of."""
    warned = _warned(fit)
    if ask.kind == "suction" and warned == ["oil-fast"] and _as_wide_as_a_port(ask, fit.hose):
        return 0
    return 2 if warned else 1


def _warned(fit: Fit) -> list[str]:
    return [each.code for each in fit.findings if each.level == "warn"]


def _as_wide_as_a_port(ask: Ask, of: Hose) -> bool:
    """Whether a hose is no narrower than the narrower of its ports."""
    ports = [port.nominal_16ths for port in (ask.start.port, ask.finish.port) if port.nominal_16ths is not None]
    return bool(ports) and of.bore_in * 16 >= min(ports) - NEARLY


def wide_enough(ask: Ask, fit: Fit, wider: Hose) -> bool:
    """Whether a hose would do in place of a wider one that takes parts which are hard to get: no narrower than the narrower port, where
    the oil stays as fast in either case, and within the limit of its velocity."""
    narrower = fit.hose.bore_in < wider.bore_in and _as_wide_as_a_port(ask, fit.hose)
    return ask.kind != "drain" and narrower and _warned(fit) in ([], ["oil-fast"])


def _that_let_go(job: Job, ask: Ask, fits: list[Fit]) -> list[Fit]:
    """Of hoses for a drain those that hold back no more at a cold start than the shaft seal stands; where none does, or the way is not
    known, all."""
    length = ask.route.length_in if ask.route is not None else None
    wide = [fit for fit in fits if (cold := drops_psi(job, ask.demand, fit.hose, (), (), length)[1]) is not None
            and cold <= ask.demand.max_psi * ask.seal_share]
    return wide or fits


def _of_few_sizes(fits: list[Fit], at_hand: Collection[tuple[str, str]]) -> list[Fit]:
    """Hoses in the sizes that come first; a line is not given a hose far from its velocity to save an adapter."""
    sizes = list(dict.fromkeys(fit.hose.size for fit in fits))[:SIZES_TRIED]
    few = [fit for fit in fits if fit.hose.size in sizes]
    if not at_hand:
        return few
    ranks = [(fit.hose.size, worst(fit.findings) == "warn") for fit in few]
    return sorted(few, key=lambda fit: (ranks.index((fit.hose.size, worst(fit.findings) == "warn")),
                                        (fit.hose.type, fit.hose.size) not in at_hand))


@cache
def _seldom() -> frozenset[str]:
    """Sizes of hose that shops seldom have: the half steps of the ladder (-3, -5, -14)."""
    return frozenset(row["size"] for row in table("parts/ladder") if row["dash_step"] and not float(row["dash_step"]).is_integer())


def _too_fast(of: Unfit) -> bool:
    return any(each.code == "oil-too-fast" for each in of.reasons)


def _no_hose(job: Job, ask: Ask, size: str | None, against: Iterable[Unfit]) -> Refusal:
    """Why no hose serves: the strongest that there is, and what each of the best still lacks."""
    unfit = [each for each in against if not each.hose.legacy]
    # of those that are too narrow the widest is quoted, of those that are too weak the strongest
    unfit.sort(key=lambda each: (len(each.reasons), -each.hose.bore_in if _too_fast(each) else -each.hose.pressure_psi))
    which = f" in size {size}" if size else ""
    settled = ask.given is not None and bool(ask.given.type or ask.given.size)
    raised = ask.demand.max_psi > job.system.relief_psi  # what raises it is to be taken out, no stronger hose to be sought
    units = job.units
    narrow = ""
    if any(_too_fast(each) for each in unfit if len(each.reasons) == len(unfit[0].reasons)):
        least = least_bore_in(ask.demand.flow_gpm, velocity_limits(ask.kind, ask.demand.max_psi).refuse_fps)
        narrow = f"; that flow takes a bore of {format_length(least * MM_PER_IN, units)} at least: pipe, or two lines beside each other"
    elif not settled and not raised and unfit and any(finding.code == "hose-rating" for finding in unfit[0].reasons):
        narrow = "; hose marked for that pressure, with ends made for it, is made: ask at a hydraulics shop"
    flow = format_flow(ask.demand.flow_gpm, units)
    asked = flow if ask.kind == "suction" else f"{format_pressure(ask.demand.max_psi, units)} and {flow}"
    head = reason("no-hose", which=which, asked=asked, kind=ask.kind, narrow=narrow)
    seen: dict[str, Reason] = {}
    for each in unfit:
        if len(each.reasons) > len(unfit[0].reasons):
            break
        for finding in each.reasons:
            seen.setdefault(finding.code, Reason(finding.code, finding.text, finding.sources))
    return impossible(head, *list(seen.values())[:4], kind=EXCLUDED if settled else IMPOSSIBLE if raised else NOT_COVERED)
