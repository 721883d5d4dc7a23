"""One hose between two ports that are held: which hose, how long, which ends and adapters, what every joint needs."""

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from fittings.chain import Joint
from fittings.circuit import BadCircuit, Finding
from fittings.circuit import route as routes
from fittings.circuit.flow import drop_findings, velocity_fps, velocity_limits
from fittings.circuit.hose import Fit, Hose, lowest_psi
from fittings.circuit.lengths import elbow_angle_text, fixed
from fittings.circuit.rules import because
from fittings.job.around_port import around_port
from fittings.job.ask import Ask, Side
from fittings.job.back_pressure import most_psi
from fittings.job.both_ends import Pair, height_of, pairs_for, turned
from fittings.job.drop import coupler_findings, drops_psi
from fittings.job.ends_of_hose import Way
from fittings.job.hand import EMPTY, Hand
from fittings.job.model import Job
from fittings.job.port_metal import at_port, metal_findings, torque_metal_at
from fittings.job.result import HoseAssembly, PlannedJoint, PlannedLine
from fittings.job.room import stacked
from fittings.job.which_hose import hoses_for, wide_enough
from fittings.mating import mate, tightening_of_part
from fittings.parts import GRADES
from fittings.planner import Refusal, impossible
from fittings.reasons import Reason, split_sources
from fittings.units import MM_PER_IN, Units, format_flow, format_length, format_pressure, format_speed


class Draft(NamedTuple):
    """One hose as far as it is settled: which hose, how it lies, and the pairs of ends that would do, the best to buy first."""

    ask: Ask
    fit: Fit
    laid: routes.Laid | None
    pairs: tuple[Pair, ...]


def draft_hose(job: Job, ask: Ask, hand: Hand = EMPTY) -> Draft | PlannedLine:
    """The hose for a line with its pairs of ends; or the line, refused with its reasons."""
    fits, refusal = hoses_for(job, ask, hand.hoses)
    endless: dict[str, Refusal] = {}
    unlaid: routes.Laid | None = None
    narrow: Draft | None = None
    stiffest = float("inf")
    for fit in fits:
        size = fit.hose.size
        # a hose that bends no tighter than one that was refused does not pass either
        if size in endless or fit.hose.bend_to_centre_mm >= stiffest:
            continue
        pairs = pairs_for(job, ask, fit.hose, hand)
        if isinstance(pairs, Refusal):
            endless[size] = pairs
            continue
        laid = _laid(job, ask, fit.hose)
        if laid is None or laid.possible:
            draft = Draft(ask, fit, laid, pairs)
            if not _blows_the_seal(job, draft):
                return _narrower(job, ask, fits, draft, hand) or draft
            narrow = narrow or draft
            continue
        stiffest = fit.hose.bend_to_centre_mm
        unlaid = unlaid or laid
        if not _tightest_passes(job, ask, fits):
            break
    if narrow is not None:
        return narrow
    if unlaid is not None:
        return refused_line(ask, _route_refusal(unlaid), (*ask.demand.findings, *unlaid.findings, *_instead(ask, unlaid)))
    return refused_line(ask, refusal or next(iter(endless.values())), ask.demand.findings)


def _narrower(job: Job, ask: Ask, fits: Iterable[Fit], wide: Draft, hand: Hand) -> Draft | None:
    """The same line with a narrower hose that takes fewer adapters, or such as are easier had; None where there is none. Between ports
    that are narrower than either a wider hose makes no oil slower there."""
    for fit in fits:
        if not wide_enough(ask, fit, wide.fit.hose):
            continue
        pairs = pairs_for(job, ask, fit.hose, hand)
        if isinstance(pairs, Refusal) or _trouble(pairs[0]) >= _trouble(wide.pairs[0]):
            continue
        laid = _laid(job, ask, fit.hose)
        if laid is None or laid.possible:
            return Draft(ask, fit, laid, pairs)
    return None


def _trouble(pair: Pair) -> tuple[int, int]:
    """How hard the adapters of a pair of ends are to get, and how many they are."""
    adapters = [used.part for way in pair for used in way.adapters]
    return max((GRADES.index(part.had) for part in adapters), default=0), len(adapters)


def _blows_the_seal(job: Job, draft: Draft) -> bool:
    """Whether a drain, with its ends and adapters, holds back more than it may of what the shaft seal stands: then a larger hose is
    tried."""
    if draft.ask.kind != "drain":
        return False
    line = finish_hose(job, draft)
    return max(line.drop_hot_psi or 0.0, line.drop_cold_psi or 0.0) > draft.ask.demand.max_psi * draft.ask.seal_share


def _tightest_passes(job: Job, ask: Ask, fits: list[Fit]) -> bool:
    """Whether the hose that bends tightest passes; when it does not, none does."""
    laid = _laid(job, ask, min((fit.hose for fit in fits), key=lambda each: each.bend_to_centre_mm))
    return laid is None or laid.possible


def refused_line(ask: Ask, refusal: Refusal, findings: Iterable[Finding]) -> PlannedLine:
    """A line that cannot be done, and why."""
    told = {fact.text for fact in refusal.facts}
    return _line(ask)._replace(findings=tuple(each for each in findings if each.text not in told), refused=refusal)


def _line(ask: Ask) -> PlannedLine:
    """The line with what is known before its hose is."""
    return PlannedLine(name=ask.name, kind=ask.kind, from_ref=ask.start.reference, to_ref=ask.finish.reference, start=ask.start.port,
                       finish=ask.finish.port, demand=ask.demand, way=ask.route)


def _route_refusal(laid: routes.Laid) -> Refusal:
    wrong = [Reason(finding.code, finding.text, finding.sources) for finding in laid.findings if finding.level == "refuse"]
    return impossible(*wrong)


INSTEAD = {
    "suction": "a pipe nipple and a union, suction hose on barbs with two clamps at each, or the pump flanged to the tank",
    "return": "a pipe nipple and a union, a bent tube, or what stands there screwed on the port itself",
}
BENT_TUBE = "a bent tube with a nut at each end, or the two ports joined by an adapter with a swivel"


def _instead(ask: Ask, laid: routes.Laid) -> Iterator[Finding]:
    """What leads over a way that is too short for a hose."""
    if any(each.code == "hose-too-short-to-make" for each in laid.findings):
        yield Finding("short-way", "info", f"what leads over a way so short: {INSTEAD.get(ask.kind, BENT_TUBE)}; or a longer way with the "
                      "hose in an arc. None of these is planned here", ("practice",))


def planned_joint(joint: Joint, metal: str = "steel") -> PlannedJoint:
    """A joint with the torque and turns of the half that is tightened, a stud by the series of its part, in a port of that metal."""
    return PlannedJoint(joint, *tightening_of_part(joint.a, joint.b, joint.series, metal))


# --- length ------------------------------------------------------------------------------------------------------------

def scheme(job: Job) -> str:
    """Which length tolerances and steps a job's hoses are ordered by."""
    return "metric" if job.units == "metric" else "inch"


@lru_cache(maxsize=1000)
def _swung(motion: routes.Swing, of: Hose, lengths: str, max_psi: float, units: Units) -> routes.Laid:
    try:
        return routes.swing(motion, of, scheme=lengths, max_psi=max_psi, units=units)
    except BadCircuit as error:
        return routes.Laid(0, 0, 0, 0, (), (Finding("swing-impossible", "refuse", str(error), ("arithmetic",)),))


def _laid(job: Job, ask: Ask, of: Hose) -> routes.Laid | None:
    units, way = job.units, ask.route
    if way is None:
        return None
    if way.swing is None:
        return fixed((way.length_in or 0) * MM_PER_IN, of, scheme=scheme(job), units=units)
    swing = way.swing
    tried = []
    for from_deg, from_said in _leaves(ask.start, swing.from_points_deg):
        for to_deg, to_said in _leaves(ask.finish, swing.to_points_deg):
            motion = routes.Swing(swing.pivot_to_from_in * MM_PER_IN, swing.pivot_to_to_in * MM_PER_IN,
                                  (swing.angle_deg[0], swing.angle_deg[1]), from_deg, to_deg)
            laid = _swung(motion, of, scheme(job), ask.demand.max_psi, units)
            said = [Finding("elbow-turned", "info", text, ("arithmetic",)) for text in (from_said, to_said) if text]
            # where an elbow is already reckoned with, another one is no help
            found = [each for each in laid.findings if not (said and each.code == "try-elbow")]
            tried.append(laid._replace(findings=(*found, *said)))
    return min(tried, key=lambda laid: (not laid.possible, laid.build_length_mm))


def _leaves(side: Side, points_deg: float | None) -> list[tuple[float | None, str]]:
    """Where the hose leaves at a port that looks to `points_deg`, counter-clockwise from its line from the pivot: straight on, or by an
    elbow to either side; and what to say of the elbow."""
    bend = int(side.at.shape) if side.at is not None and side.at.shape in ("45", "90") else 0
    if points_deg is None or not bend:
        return [(points_deg, "")]
    return [(_within_half_a_turn(points_deg + way * bend),
             f"the {bend}° elbow at {side.reference} is turned {'counter-' if way > 0 else ''}clockwise from where the port looks, in the "
             "plane of the motion") for way in (1, -1)]


def _within_half_a_turn(degrees: float) -> float:
    return (degrees + 180) % 360 - 180


# --- the line put together ----------------------------------------------------------------------------------------------

def finish_hose(job: Job, draft: Draft, pick: int = 0) -> PlannedLine:
    """The line with the pair of ends of that number, and all that is to be known of it."""
    ask, fit, laid, pair = draft.ask, draft.fit, draft.laid, draft.pairs[pick]
    from_parts, from_joints, from_end = turned(pair[0])
    to_end, to_parts, to_joints = pair[1].crimped, pair[1].adapters, pair[1].joints
    ports = ask.start.reference, ask.finish.reference
    joints = (at_port(job, ports[0], from_joints[0]), *from_joints[1:], *to_joints[:-1], at_port(job, ports[1], to_joints[-1]))
    metals = [torque_metal_at(job, ports[0]), *["steel"] * (len(joints) - 2), torque_metal_at(job, ports[1])]
    length = None if laid is None else round(laid.build_length_mm / MM_PER_IN, 4)
    assembly = HoseAssembly(
        hose=fit.hose, length_in=length, plus_in=laid and laid.plus_mm / MM_PER_IN, minus_in=laid and laid.minus_mm / MM_PER_IN,
        ends=(from_end, to_end), angle_deg=ask.given.angle_deg if ask.given else None, route=laid)
    psi, weakest = _rating(fit.hose, joints)
    drops = drops_psi(job, ask.demand, fit.hose, (*from_parts, from_end), (to_end, *to_parts), length, ask.tee_loss)
    found = [*ask.demand.findings, *fit.findings, *_unrated(pair), *(laid.findings if laid else _no_route()),
             *_notes(job, ask, assembly, pair), *_narrow(job, ask, pair, fit.hose), *_drop_notes(job, ask, drops, fit.hose),
             *coupler_findings(job, ask.demand, (*from_parts, from_end, to_end, *to_parts)),
             *(found for port, joint in ((ports[0], joints[0]), (ports[1], joints[-1]))
               for found in metal_findings(job, port, joint.rating, ask.demand.max_psi))]
    return _line(ask)._replace(
        hose=assembly, from_parts=from_parts, to_parts=to_parts, joints=tuple(map(planned_joint, joints, metals)),
        rating_psi=psi, weakest=weakest, velocity_fps=fit.velocity_fps, drop_hot_psi=drops[0], drop_cold_psi=drops[1],
        findings=tuple(dict.fromkeys(found)))


def _rating(of: Hose, joints: Iterable[Joint]) -> tuple[float | None, str]:
    """The rating of a line in psi, and what rules it; None when one end is not in our tables."""
    rated = [(of.pressure_psi, f"the hose, {of.type} {of.size}")]
    for joint in joints:
        if joint.rating is None:
            return None, ""
        rated.append((float(joint.rating.psi), f"{joint.a.say} in {joint.b.say}: {joint.rating.context}"))
    return lowest_psi([psi for psi, _ in rated]), min(rated)[1]


def _unrated(pair: Pair) -> Iterator[Finding]:
    for each in dict.fromkeys((*pair[0].unrated, *pair[1].unrated)):
        yield Finding("rating-unknown", "warn", f"our tables hold no pressure for {each.say}: go by its maker's figure before this "
                      "line is used", ("memory",))


def _no_route() -> Iterator[Finding]:
    yield Finding("no-length", "warn", "no route was given, so no length: measure port to port along the way the hose will lie",
                  ("practice",))


def _notes(job: Job, ask: Ask, assembly: HoseAssembly, pair: Pair) -> Iterator[Finding]:
    if assembly.bent_ends == 2 and assembly.angle_deg is None:
        yield Finding(
            "angle-unknown", "warn",
            "both hose ends are bent: the shop needs the angle between them. Look along the hose from one end with the near end "
            "hanging down; the angle is counted counter-clockwise from the near end to the far one (0 to 359)",
            because("elbow-angle"))
    elif assembly.bent_ends == 2 and assembly.angle_deg is not None:
        length_mm = (assembly.length_in or 0) * MM_PER_IN
        yield Finding("angle-between-ends", "info", elbow_angle_text(assembly.angle_deg, length_mm), because("elbow-angle"))
    for side, way in zip((ask.start, ask.finish), pair, strict=True):
        for joint in way.joints:
            if joint.condition:
                said = next(each for each in mate(joint.a, joint.b).reasons if each.code == "condition")
                yield Finding("condition", "info", f"at {side.reference}, {joint.a.say} in {joint.b.say} {said.text}", said.sources)
            for each in (end_ for end_ in (joint.a, joint.b) if end_.limited_by):
                yield Finding("tube-wall", "info", f"at {side.reference}, {each.say}: the pressure is that of the fitting alone, "
                              f"{each.limited_by}", ("practice",))
        yield from _hard_to_get(way)
        adapters, _, crimped = turned(way)
        yield from around_port(side, (*adapters, crimped)[0], height_of(way, assembly.hose), job.units)
        yield from stacked(side.reference, adapters, job.units)


def _narrow(job: Job, ask: Ask, pair: Pair, of: Hose) -> Iterator[Finding]:
    """A passage much narrower than the hose: short, but fast."""
    units = job.units
    for side, way in zip((ask.start, ask.finish), pair, strict=True):
        ends = [end_ for used in way.adapters for end_ in (used.near, used.far)] + [side.port]
        sizes = [end_.nominal_16ths / 16 for end_ in ends if end_.nominal_16ths is not None]
        if not sizes or min(sizes) >= of.bore_in:
            continue
        limits = velocity_limits(ask.kind, ask.demand.max_psi)
        fps = velocity_fps(ask.demand.flow_gpm, min(sizes))
        if fps > limits.refuse_fps:
            yield Finding(
                "narrow-port", "warn",
                f"at {side.reference} the way narrows to a nominal {format_length(min(sizes) * MM_PER_IN, units)}: "
                f"{format_flow(ask.demand.flow_gpm, units)} runs at {format_speed(fps, units)} or more there; "
                + ("the pump may starve and cavitate behind it" if ask.kind == "suction" else "short, but it heats the oil and slows the "
                   "motion"), (*limits.sources, "arithmetic"))


def _hard_to_get(way: Way) -> Iterator[Finding]:
    for used in way.chain.parts:
        if used.part.had == "to order":
            yield Finding("to-order", "warn", f"{used.part.say}: made to order, ask for the time it takes", split_sources(used.part.source))


def _drop_notes(job: Job, ask: Ask, drops: tuple[float | None, float | None], of: Hose) -> Iterator[Finding]:
    if drops[0] is not None and drops[1] is not None:
        held = drops[1] if ask.kind == "drain" else min(drops[1], most_psi(job))
        if ask.kind in ("return", "drain") and held > of.pressure_psi:
            units = job.units
            yield Finding("drop-above-rating", "refuse", f"cold, the line holds back {format_pressure(held, units)}, more than the "
                          f"{format_pressure(of.pressure_psi, units)} that the hose holds: a size larger, shorter, or thinner oil",
                          ("arithmetic", *of.sources))
        if ask.kind == "drain":
            yield from on_the_seal(job, ask.demand.max_psi, drops[0], drops[1])
        yield from drop_findings(drops[0], drops[1], ask.kind, job.units, job.system.relief_psi)


def on_the_seal(job: Job, stands_psi: float, hot_psi: float, cold_psi: float, which: str = "the drain") -> Iterator[Finding]:
    """What a drain holds back, psi, against what the shaft seal is taken, or said, to stand: the demand of the line."""
    cold = hot_psi <= stands_psi
    psi = cold_psi if cold else hot_psi
    if psi > stands_psi:
        units = job.units
        yield Finding(
            "drain-pressure", "warn" if cold else "refuse",
            f"{'at a cold start' if cold else 'with hot oil'} {which} holds back {format_pressure(psi, units)}, and the shaft seal is "
            f"taken to stand {format_pressure(stands_psi, units)}: it blows; a size larger, shorter, or thinner oil"
            + (", and warm the oil at idle before it is loaded" if cold else ""), because("drain-alone"))
