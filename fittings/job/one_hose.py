"""One hose between two ports that are held: which hose, how long, which ends and adapters, what every joint needs."""

from collections.abc import Iterable, Iterator, Set
from functools import cache
from typing import NamedTuple, cast

from fittings.circuit import BadCircuit, Finding, LineKind, worst
from fittings.circuit import route as routes
from fittings.circuit.flow import drop_findings, velocity_fps, velocity_limits
from fittings.circuit.hose import Fit, Hose, choose, hose, judge, lowest_psi
from fittings.circuit.lengths import elbow_angle_text, fixed
from fittings.circuit.rules import because
from fittings.ends import End, families
from fittings.job.drop import drops_psi
from fittings.job.ends_of_hose import MOST_ADAPTERS, Wanted, Way, best_pair, impossible, no_way, ways, whole_psi
from fittings.job.model import AtPort, GivenHose, Job, Route
from fittings.job.result import Demand, HoseAssembly, PlannedJoint, PlannedLine
from fittings.job.room import Height, height_mm, room_findings, too_high
from fittings.mating import mate
from fittings.planner import Refusal
from fittings.reasons import Reason, split_sources
from fittings.search import Joint, Used
from fittings.tables import table
from fittings.units import Units, format_flow, format_length, format_pressure, format_speed, inch

SIZES_TRIED = 3
"""Sizes of hose that are tried before a line is given up: the one by velocity, and the next that serve."""


class Side(NamedTuple):
    """One side of a line: the port as `component.port`, its end, what the room there asks for."""

    reference: str
    port: End
    at: AtPort | None


class Ask(NamedTuple):
    """One hose to be planned; `tee_loss` when its oil has gone round the corner of a tee."""

    name: str
    kind: LineKind
    start: Side
    finish: Side
    demand: Demand
    route: Route | None
    given: GivenHose | None
    tee_loss: bool = False


def plan_hose(job: Job, ask: Ask) -> PlannedLine:
    """The line, planned; or the line, refused with its reasons."""
    fits, refusal = _hoses(job, ask)
    endless: dict[str, Refusal] = {}
    unlaid: routes.Route | None = None
    stiffest = float("inf")
    for fit in _of_few_sizes(fits):
        size = fit.hose.size
        # a hose that bends no tighter than one that was refused does not pass either
        if size in endless or fit.hose.bend_to_centre_mm >= stiffest:
            continue
        pair = _pair(job, ask, fit.hose)
        if isinstance(pair, Refusal):
            endless[size] = pair
            continue
        laid = _laid(job, ask, fit.hose)
        if laid is None or laid.possible:
            return _finished(job, ask, fit, pair, laid)
        stiffest = fit.hose.bend_to_centre_mm
        unlaid = unlaid or laid
        if not _tightest_passes(job, ask, fits):
            break
    if unlaid is not None:
        return refused_line(ask, _route_refusal(unlaid), (*ask.demand.findings, *unlaid.findings))
    refusal = refusal or next(iter(endless.values()), None) or impossible(Reason("no-hose", "no hose of our tables serves this line"))
    return refused_line(ask, refusal, ask.demand.findings)


def _of_few_sizes(fits: list[Fit]) -> list[Fit]:
    """Hoses in the sizes that come first; a line is not given a hose far from its velocity to save an adapter."""
    sizes = list(dict.fromkeys(fit.hose.size for fit in fits))[:SIZES_TRIED]
    return [fit for fit in fits if fit.hose.size in sizes]


def _tightest_passes(job: Job, ask: Ask, fits: list[Fit]) -> bool:
    """Whether the hose that bends tightest passes; when it does not, none does."""
    laid = _laid(job, ask, min((fit.hose for fit in fits), key=lambda each: each.bend_to_centre_mm))
    return laid is None or laid.possible


def refused_line(ask: Ask, refusal: Refusal, findings: Iterable[Finding]) -> PlannedLine:
    """A line that cannot be done, and why."""
    return PlannedLine(ask.name, ask.kind, ask.start.reference, ask.finish.reference, ask.start.port, ask.finish.port, ask.demand,
                       None, (), (), (), None, "", None, None, None, tuple(findings), refusal, way=ask.route)


def _route_refusal(laid: routes.Route) -> Refusal:
    wrong = [Reason(finding.code, finding.text, finding.sources) for finding in laid.findings if finding.level == "refuse"]
    return impossible(*wrong)


# --- which hose -------------------------------------------------------------------------------------------------------

def _hoses(job: Job, ask: Ask) -> tuple[list[Fit], Refusal | None]:
    units, given, demand = cast(Units, job.units), ask.given, ask.demand
    warm = job.system.temperature_used
    if given is not None and given.type and given.size:
        try:
            each = hose(given.type, given.size)
        except BadCircuit as error:
            return [], impossible(Reason("no-such-hose", str(error)))
        found = judge(each, demand.max_psi, demand.flow_gpm, ask.kind, warm.hot_c, warm.cold_c, units=units)
        wrong = [finding for finding in found if finding.level == "refuse"]
        if wrong:
            return [], impossible(*(Reason(finding.code, finding.text, finding.sources) for finding in wrong))
        return [Fit(each, velocity_fps(demand.flow_gpm, each.bore_in), found)], None
    size = given.size if given is not None else None
    choice = choose(demand.max_psi, demand.flow_gpm, ask.kind, warm.hot_c, warm.cold_c, size=size, units=units)
    fits = [fit for fit in choice.fits if given is None or given.type in (None, fit.hose.type)]
    if fits:
        return sorted(fits, key=lambda fit: (worst(fit.findings) == "warn", fit.hose.size in _seldom())), None
    against = [each for each in choice.refusals if given is None or given.type in (None, each.hose.type)]
    return [], _no_hose(ask, size, against, units)


@cache
def _seldom() -> frozenset[str]:
    """Sizes that shops seldom have."""
    return frozenset(row["size"] for row in table("parts/ladder") if row["seldom"])


def _no_hose(ask: Ask, size: str | None, against: Iterable[object], units: Units) -> Refusal:
    """Why no hose serves: the strongest that there is, and what each of the best still lacks."""
    from fittings.circuit.hose import Refusal as NoHose

    refusals = [each for each in against if isinstance(each, NoHose) and not each.hose.legacy]
    refusals.sort(key=lambda each: (len(each.reasons), -each.hose.pressure_psi))
    which = f" in size {size}" if size else ""
    head = Reason("no-hose", f"no hose of our tables{which} serves {format_pressure(ask.demand.max_psi, units)} and this flow on a "
                  f"{ask.kind} line")
    seen: dict[str, Reason] = {}
    for each in refusals:
        if len(each.reasons) > len(refusals[0].reasons):
            break
        for finding in each.reasons:
            seen.setdefault(finding.code, Reason(finding.code, finding.text, finding.sources))
    return impossible(head, *list(seen.values())[:4])


# --- ends and adapters -------------------------------------------------------------------------------------------------

def _wanted(job: Job, ask: Ask, side: Side, number: int) -> Wanted:
    most = MOST_ADAPTERS if job.limits.max_parts is None else job.limits.max_parts
    given = ask.given.ends[number].end if ask.given is not None and ask.given.ends else None
    shape = side.at.shape if side.at is not None else None
    return Wanted(whole_psi(ask.demand.max_psi), tuple(job.limits.avoid), most, shape, given)


def _pair(job: Job, ask: Ask, each: Hose) -> tuple[Way, Way] | Refusal:
    size = each.size
    wanted = [_wanted(job, ask, side, number) for number, side in enumerate((ask.start, ask.finish))]
    sides = (ask.start.port, ask.finish.port)
    home = home_families(job)
    found = []
    for port, want in zip(sides, wanted, strict=True):
        # the search keeps what is best on its own; what is at home in the job, or goes with the other end, is looked for by itself
        looked = [want, _only(want, home), *(_only(want, {kind}) for kind in sorted(home - set(want.avoid)))]
        found.append(tuple(dict.fromkeys(way for each in looked for way in ways(size, port, each))))
    for some, port, want in zip(found, sides, wanted, strict=True):
        if not some:
            return no_way(size, port, want)
    low = [_low_enough(some, side, each) for some, side in zip(found, (ask.start, ask.finish), strict=True)]
    pair = best_pair(low[0], low[1], home) or best_pair(found[0], found[1], home)
    if pair is None:
        return impossible(Reason(
            "both-ends-rigid", "neither end of the hose turns: whichever is tightened last would twist the hose; one end needs a "
            "swivel"))
    return pair


def _only(want: Wanted, kinds: Set[str]) -> Wanted:
    """The same, with all families kept out but these, the hose's own, and what the port itself takes."""
    strange = tuple(each for each in families() if each not in kinds and each != "hose")
    return want._replace(avoid=tuple(dict.fromkeys((*want.avoid, *strange))))


def _height(way: Way, each: Hose) -> Height | None:
    adapters, _, crimped = turned(way)
    return height_mm(adapters, crimped, each)


def _low_enough(some: tuple[Way, ...], side: Side, each: Hose) -> tuple[Way, ...]:
    """The ways that are not known to stand too high for the room at a port; all of them when none is left."""
    room = side.at.room_in if side.at is not None else None
    return some if room is None else tuple(way for way in some if not too_high(room, _height(way, each))) or some


WORLDS = (
    frozenset({"orb", "jic", "orfs", "npt", "npsm"}), frozenset({"bspp", "bsp60", "bspt"}),
    frozenset({"iso6149", "iso9974", "cone24"}), frozenset({"jis30", "metric30", "bspp"}),
)
"""Families that are met on one machine together (common practice, no source)."""


def home_families(job: Job) -> frozenset[str]:
    """Families of ends that a job has anyway: those of its ports and what goes with them, and the 37° flare."""
    ports = {port.end.family for component in job.component for port in component.ports.values()}
    worlds = [world for world in WORLDS if world & ports] or [WORLDS[0]]
    return frozenset({"jic"}).union(ports, *worlds)


def turned(way: Way) -> tuple[tuple[Used, ...], tuple[Joint, ...], Used]:
    """Adapters, joints and hose end of a way, seen from the port."""
    adapters = tuple(Used(used.part, used.far, used.near) for used in reversed(way.adapters))
    joints = tuple(joint._replace(a=joint.b, b=joint.a) for joint in reversed(way.joints))
    return adapters, joints, Used(way.crimped.part, way.crimped.far, way.crimped.near)


def planned_joint(joint: Joint) -> PlannedJoint:
    """A joint with the torque and turns of the half that is tightened."""
    verdict = mate(joint.a, joint.b)
    return PlannedJoint(joint, verdict.torque, verdict.turns)


# --- length ------------------------------------------------------------------------------------------------------------

def scheme(job: Job) -> str:
    """Which length tolerances and steps a job's hoses are ordered by."""
    return "metric" if job.units == "metric" else "inch"


@cache
def _swung(motion: routes.Swing, each: Hose, lengths: str, max_psi: float, units: Units) -> routes.Route:
    try:
        return routes.swing(motion, each, scheme=lengths, max_psi=max_psi, units=units)
    except BadCircuit as error:
        return routes.Route(0, 0, 0, 0, (), (Finding("swing-impossible", "refuse", str(error), ("arithmetic",)),))


def _laid(job: Job, ask: Ask, each: Hose) -> routes.Route | None:
    units, way = cast(Units, job.units), ask.route
    if way is None:
        return None
    if way.swing is not None:
        swing = way.swing
        motion = routes.Swing(swing.pivot_to_from_in * 25.4, swing.pivot_to_to_in * 25.4, (swing.angle_deg[0], swing.angle_deg[1]),
                              swing.from_points_deg, swing.to_points_deg)
        return _swung(motion, each, scheme(job), ask.demand.max_psi, units)
    return fixed((way.length_in or 0) * 25.4, each, scheme=scheme(job), units=units)


# --- the line put together ----------------------------------------------------------------------------------------------

def _finished(job: Job, ask: Ask, fit: Fit, pair: tuple[Way, Way], laid: routes.Route | None) -> PlannedLine:
    from_parts, from_joints, from_end = turned(pair[0])
    to_end, to_parts, to_joints = pair[1].crimped, pair[1].adapters, pair[1].joints
    joints = (*from_joints, *to_joints)
    length = None if laid is None else round(laid.build_length_mm / 25.4, 4)
    assembly = HoseAssembly(
        fit.hose, length, laid and laid.plus_mm / 25.4, laid and laid.minus_mm / 25.4, (from_end, to_end),
        ask.given.angle_deg if ask.given else None, laid)
    psi, weakest = _rating(fit.hose, joints)
    drops = drops_psi(job, ask.demand, fit.hose, (*from_parts, from_end), (to_end, *to_parts), length, ask.tee_loss)
    found = [*ask.demand.findings, *fit.findings, *_unrated(pair), *(laid.findings if laid else _no_route()),
             *_notes(job, ask, assembly, pair), *_narrow(job, ask, pair, fit.hose), *_drop_notes(job, ask, drops)]
    return PlannedLine(
        ask.name, ask.kind, ask.start.reference, ask.finish.reference, ask.start.port, ask.finish.port, ask.demand, assembly,
        from_parts, to_parts, tuple(planned_joint(joint) for joint in joints), psi, weakest, fit.velocity_fps, drops[0], drops[1],
        tuple(dict.fromkeys(found)), None, way=ask.route)


def _rating(each: Hose, joints: Iterable[Joint]) -> tuple[float | None, str]:
    """The rating of a line in psi, and what rules it; None when one end is not in our tables."""
    rated = [(each.pressure_psi, f"the hose, {each.type} {each.size}")]
    for joint in joints:
        if joint.rating is None:
            return None, ""
        rated.append((float(joint.rating.psi), f"{joint.a.say} in {joint.b.say}: {joint.rating.context}"))
    return lowest_psi([psi for psi, _ in rated]), min(rated)[1]


def _unrated(pair: tuple[Way, Way]) -> Iterator[Finding]:
    for each in dict.fromkeys((*pair[0].unrated, *pair[1].unrated)):
        yield Finding("rating-unknown", "warn", f"our tables hold no pressure for {each.say}: go by its maker's figure before this "
                      "line is used", ("memory",))


def _no_route() -> Iterator[Finding]:
    yield Finding("no-length", "warn", "no route was given, so no length: measure port to port along the way the hose will lie",
                  ("practice",))


def _notes(job: Job, ask: Ask, assembly: HoseAssembly, pair: tuple[Way, Way]) -> Iterator[Finding]:
    if assembly.bent_ends == 2 and assembly.angle_deg is None:
        yield Finding(
            "angle-unknown", "warn",
            "both hose ends are bent: the shop needs the angle between them. Look along the hose from one end with the near end "
            "hanging down; the angle is counted counter-clockwise from the near end to the far one (0 to 359)",
            because("elbow-angle"))
    elif assembly.bent_ends == 2 and assembly.angle_deg is not None:
        length_mm = (assembly.length_in or 0) * 25.4
        yield Finding("angle-between-ends", "info", elbow_angle_text(assembly.angle_deg, length_mm), because("elbow-angle"))
    for side, way in zip((ask.start, ask.finish), pair, strict=True):
        for joint in way.joints:
            if joint.condition:
                yield Finding("condition", "info", f"at {side.reference}, {joint.a.say} in {joint.b.say} holds only if "
                              f"{joint.condition}", ())
        yield from _hard_to_get(way)
        if side.at is not None and side.at.room_in is not None:
            yield from room_findings(side.reference, side.at.room_in, _height(way, assembly.hose), cast(Units, job.units))


def _narrow(job: Job, ask: Ask, pair: tuple[Way, Way], each: Hose) -> Iterator[Finding]:
    """A passage much narrower than the hose: short, but fast."""
    units = cast(Units, job.units)
    for side, way in zip((ask.start, ask.finish), pair, strict=True):
        ends = [end_ for used in way.adapters for end_ in (used.near, used.far)] + [side.port]
        sizes = [end_.nominal_16ths / 16 for end_ in ends if end_.nominal_16ths is not None]
        if not sizes or min(sizes) >= each.bore_in:
            continue
        limits = velocity_limits(ask.kind, ask.demand.max_psi)
        fps = velocity_fps(ask.demand.flow_gpm, min(sizes))
        if fps > limits.refuse_fps:
            yield Finding(
                "narrow-port", "warn",
                f"at {side.reference} the way narrows to a nominal {format_length(min(sizes) * 25.4, units)}: "
                f"{format_flow(ask.demand.flow_gpm, units)} runs at {format_speed(fps, units)} or more there; short, but it heats the "
                "oil and slows the motion", (*limits.sources, "arithmetic"))


def _hard_to_get(way: Way) -> Iterator[Finding]:
    for used in way.chain.parts:
        if used.part.had == "to order":
            yield Finding("to-order", "warn", f"{used.part.say}: made to order, ask for the time it takes", split_sources(used.part.source))


def _drop_notes(job: Job, ask: Ask, drops: tuple[float | None, float | None]) -> Iterator[Finding]:
    if drops[0] is not None and drops[1] is not None:
        yield from drop_findings(drops[0], drops[1], ask.kind, cast(Units, job.units))


def length_words(assembly: HoseAssembly, units: Units) -> str:
    """The length of a hose with its tolerance, as ordered."""
    if assembly.length_in is None or assembly.plus_in is None or assembly.minus_in is None:
        return "length to be measured"
    plus, minus = (_tolerance(each, units) for each in (assembly.plus_in, assembly.minus_in))
    return f"{format_length(assembly.length_in * 25.4, units)} long, {'±' + plus if plus == minus else f'+{plus} -{minus}'}"


def _tolerance(value_in: float, units: Units) -> str:
    """A tolerance as the trade writes it: to the nearest 1/8 in (SAE J517), or whole millimetres."""
    if units == "metric":
        return f"{value_in * 25.4:.0f} mm"
    return inch(round(value_in * 8) / 8 if value_in > 0.2 else value_in)
