"""A line that splits: the tee or cross, a hose to it, and a hose to each port behind it.

Where the way to the tee is given, a hose leads there; where it is not, the tee sits at the port that the line begins at.
"""

from collections.abc import Iterator, Sequence
from functools import cache
from typing import NamedTuple, cast

from fittings.chain import Chain, Joint, Used, chain_through, joint, part_bore, part_psi
from fittings.circuit import Finding, LineKind
from fittings.circuit.flow import velocity_fps, velocity_limits
from fittings.circuit.hose import lowest_psi
from fittings.ends import End
from fittings.job.around_port import around_port
from fittings.job.ask import Ask, Side
from fittings.job.both_ends import home_families
from fittings.job.ends_of_hose import MOST_ADAPTERS, STRANGE_FAMILY
from fittings.job.from_job import Demand
from fittings.job.hand import EMPTY, Hand
from fittings.job.model import Branch, Job, Line
from fittings.job.one_hose import Draft, draft_hose, finish_hose, on_the_seal, planned_joint
from fittings.job.port_metal import at_port, metal_findings, torque_metal_at
from fittings.job.result import PlannedLine
from fittings.job.room import UNKNOWN, stacked
from fittings.limits import Limits
from fittings.network import part_cost
from fittings.parts import Part, tees
from fittings.planner import KINDS, Fact, Refusal, impossible
from fittings.ratings import rating, series_among
from fittings.reasons import reason, split_sources
from fittings.search import search
from fittings.units import format_flow, format_pressure

TRIED = 6
"""Tees that are tried before a line that splits is given up."""


class Body(NamedTuple):
    """A tee, a cross, or a tee hung on a tee: the end that the line comes in at, the ends it goes out at, and the joints
    inside."""

    parts: tuple[Part, ...]
    mouth: End
    outlets: tuple[End, ...]
    inner: tuple[Joint, ...]


@cache
def _with_three_or_four() -> tuple[Part, ...]:
    return tuple(part for part in tees() if not part.shape.startswith("bulkhead"))


@cache
def bodies(legs: int) -> tuple[Body, ...]:
    """What divides a line into 2 or 3 legs that all leave by equal male ends, easiest had and fewest parts first."""
    found = []
    three_ended = [part for part in _with_three_or_four() if len(part.ends) == 3]
    for part in _with_three_or_four():
        for mouth, outlets in _ways_in(part):
            if len(outlets) == legs:
                found.append(Body((part,), mouth, outlets, ()))
    if legs == 3:
        hung: dict[End, list[tuple[Part, End]]] = {}
        for part in three_ended:
            for mouth, outlets in _ways_in(part):
                if mouth.form == "swivel":
                    hung.setdefault(outlets[0], []).append((part, mouth))
        for first in three_ended:
            for mouth, outlets in _ways_in(first):
                found += [
                    Body((first, second), mouth, (*outlets[:1], *outlets[:1], *outlets[:1]), (joint(outlets[1], swivel),))
                    for second, swivel in hung.get(outlets[0], []) if swivel[:2] == outlets[0][:2]
                ]
    return tuple(sorted(found, key=lambda body: (sum(part_cost(part) for part in body.parts), [part.id for part in body.parts])))


def _ways_in(part: Part) -> Iterator[tuple[End, tuple[End, ...]]]:
    """Each way to use a tee: one end to come in at, the rest, all alike and male, to go out at."""
    for number, mouth in enumerate(part.ends):
        rest = part.ends[:number] + part.ends[number + 1 :]
        if len(set(rest)) == 1 and rest[0].sex == "male" and rest[0].form == "male" and rest[0].moves == "rigid" and (
                mouth not in part.ends[:number]):
            yield mouth, rest


class SplitDraft(NamedTuple):
    """A line that splits, as far as it is settled: the body, what leads to it (a hose, or a chain from the port), and the legs."""

    line: Line
    whole: Demand
    body: Body
    lead: Draft | PlannedLine | Chain
    legs: tuple[Draft | PlannedLine, ...]

    @property
    def refused(self) -> int:
        """How many of its hoses cannot be done."""
        return sum(isinstance(each, PlannedLine) for each in (self.lead, *self.legs))



Drafted = Draft | PlannedLine | tuple[SplitDraft, ...]
"""A line with all that may still be chosen for it: its hose, or where it splits one draft a tee, the best first; or refused."""


def draft_split(job: Job, line: Line, whole: Demand, legs: tuple[Demand, ...], hand: Hand = EMPTY) -> tuple[SplitDraft, ...] | PlannedLine:
    """The line with each of the tees tried, first the one that refuses least and takes the easiest parts; or the line refused."""
    tried = list(_tried(job, line, whole, legs, hand))
    if tried and line.kind == "drain" and _blow_the_seal(job, tried):
        # the hose that drains share and each leg may then take half of what the seal stands
        halved = list(_tried(job, line, whole, legs, hand, seal_share=0.5))
        tried = tried if _blow_the_seal(job, halved) else halved
    if tried:
        return tuple(sorted(tried, key=lambda each: _against(job, each)))
    words = "tee" if len(legs) == 2 else "cross, or pair of tees,"
    fact = reason("no-tee", body=words, start=_start(job, line).say, legs=len(legs), psi=format_pressure(whole.max_psi, job.units),
                  flow=format_flow(whole.flow_gpm, job.units))
    return _refused(job, line, whole, whole.findings, impossible(fact))


def _against(job: Job, draft: SplitDraft) -> tuple[int, bool, int]:
    """What speaks against a tee: hoses that cannot be done, a shaft seal that is blown, points for the parts."""
    line = finish_split(job, draft)
    return draft.refused, _blows(line), _points_of(line)


def _blows(line: PlannedLine) -> bool:
    return any(found.code == "drain-pressure" for each in line.everything for found in each.findings)


def _blow_the_seal(job: Job, drafts: Sequence[SplitDraft]) -> bool:
    """Whether every draft of a drain holds back more than the shaft seal stands."""
    return all(draft.refused or _blows(finish_split(job, draft)) for draft in drafts)


def finish_split(job: Job, draft: SplitDraft, picks: Sequence[int] | None = None) -> PlannedLine:
    """The line with its tee and branches; `picks`: number of the pair of ends at each of its hoses, the one to the tee first.

    Refused whole where a leg is refused: half a tee is no line.
    """
    hoses = [each for each in (draft.lead, *draft.legs) if not isinstance(each, Chain)]
    made = [each if isinstance(each, PlannedLine) else finish_hose(job, each, pick)
            for each, pick in zip(hoses, picks or (0,) * len(hoses), strict=True)]
    if any(isinstance(each, PlannedLine) for each in draft.legs):
        return _refused_whole(job, draft, made[-len(draft.legs):])
    if isinstance(draft.lead, Chain):
        return _at_port(job, draft, draft.lead, tuple(made))
    whole = _behind_hose(draft, made[0], tuple(made[1:]))
    return whole._replace(findings=(*whole.findings, *_drains_together(job, whole)))


def _drains_together(job: Job, whole: PlannedLine) -> Iterator[Finding]:
    """What the drains of several cases hold back when they go on in one hose: each case sees its own leg and that hose."""
    if whole.kind != "drain" or whole.refused is not None or whole.drop_hot_psi is None or whole.drop_cold_psi is None:
        return
    for leg in whole.branches:
        if leg.drop_hot_psi is not None and leg.drop_cold_psi is not None:
            yield from on_the_seal(job, whole.demand.max_psi, whole.drop_hot_psi + leg.drop_hot_psi,
                                   whole.drop_cold_psi + leg.drop_cold_psi,
                                   f"the way from {leg.to_ref} through its leg and the hose that the drains share")


def _refused_whole(job: Job, draft: SplitDraft, legs: Sequence[PlannedLine]) -> PlannedLine:
    """The line refused for the reasons of its legs, each told with the port that it leads to."""
    facts: list[Fact] = []
    because: list[tuple[int, ...]] = []
    for leg, refused in ((leg, leg.refused) for leg in legs if leg.refused is not None):
        first = len(facts)
        facts += [fact._replace(n=first + fact.n, text=f"leg to {leg.to_ref}: {fact.text}") for fact in refused.facts]
        because += [tuple(first + n for n in some) for some in refused.because]
    kinds = {leg.refused.kind for leg in legs if leg.refused is not None}
    hints = tuple(hint for leg in legs if leg.refused is not None for hint in leg.refused.hints)
    told = {fact.text for leg in legs if leg.refused is not None for fact in leg.refused.facts}
    grave = (each for leg in legs for each in leg.findings if each.level != "info" and each.text not in told)
    found = dict.fromkeys((*draft.whole.findings, *grave))
    line = draft.line
    return _refused(job, line, draft.whole, tuple(found), Refusal(min(kinds, key=KINDS.index), tuple(facts), tuple(because), hints))


def _refused(job: Job, line: Line, whole: Demand, found: tuple[Finding, ...], refusal: Refusal) -> PlannedLine:
    """A line that splits and cannot be done."""
    return PlannedLine(name=line.name, kind=line.kind, from_ref=line.from_, to_ref="tee", start=_start(job, line), finish=None,
                       demand=whole, findings=found, refused=refusal)


def _start(job: Job, line: Line) -> End:
    component, name = job.port(line.from_)
    return component.ports[name].end


def _tried(job: Job, line: Line, whole: Demand, legs: tuple[Demand, ...], hand: Hand, seal_share: float = 1.0) -> Iterator[SplitDraft]:
    allowed = [body for body in bodies(len(legs)) if _allowed(job, line, body, whole)]
    home = home_families(job)
    allowed = [body for body in allowed if {each.family for part in body.parts for each in part.ends} <= home] or allowed
    if line.route is not None:
        wanted = _hose_size(job, line, whole)
        equal = [body for body in allowed if body.mouth == body.outlets[0]]
        for body in sorted(equal, key=lambda body: _off(body, wanted))[:TRIED]:
            ask = Ask(line.name, cast(LineKind, line.kind), Side(line.from_, _start(job, line), line.at_from),
                      Side("tee", body.mouth, None), whole, line.route, line.hose, seal_share=seal_share)
            lead = draft_hose(job, ask, hand)
            # what cannot reach its tee has no branches to be told of
            behind = () if isinstance(lead, PlannedLine) else _branches(job, line, legs, body, hand, seal_share)
            yield SplitDraft(line, whole, body, lead, behind)
        return
    wanted = _hose_size(job, line, legs[0])
    near = [body for body in allowed if _off(body, wanted) <= 6]
    reached = [(chain, body) for body in near for chain in _to_tee(job, line, whole, body)]
    for chain, body in sorted(reached, key=lambda pair: (_points(*pair), _off(pair[1], wanted)))[:TRIED]:
        yield SplitDraft(line, whole, body, chain, _branches(job, line, legs, body, hand, seal_share))


def _off(body: Body, sixteenths: int) -> float:
    return abs((body.outlets[0].nominal_16ths or 99) - sixteenths)


def _points_of(planned: PlannedLine) -> int:
    """Points against everything that a line and its branches take."""
    kinds = {end_.family for each in planned.everything if each.hose for used in each.hose.ends for end_ in (used.near, used.far)}
    points = STRANGE_FAMILY * len(kinds - {"hose"})
    for each in planned.everything:
        taken = (*each.from_parts, *each.to_parts, *(each.hose.ends if each.hose else ()))
        points += sum(part_cost(one.part) for one in taken) + sum(part_cost(tee) for tee in each.tees)
    return points


def _points(chain: Chain, body: Body) -> int:
    return chain.cost + sum(part_cost(part) for part in body.parts)


def _allowed(job: Job, line: Line, body: Body, whole: Demand) -> bool:
    families = {each.family for part in body.parts for each in part.ends}
    start = {each.family for each in (body.mouth,)}
    narrowest = min((each.nominal_16ths for each in (body.mouth, *body.outlets[:1]) if each.nominal_16ths), default=99.0) / 16
    limits = velocity_limits(cast(LineKind, line.kind), whole.max_psi)
    return (
        velocity_fps(whole.flow_gpm, narrowest) <= limits.warn_fps
        and all(part_psi(part) >= whole.max_psi for part in body.parts)
        and not (families - start) & set(job.limits.avoid)
        and (not job.limits.full_bore or all(part_bore(part) >= _narrowest_port(job, line) for part in body.parts))
    )


def _narrowest_port(job: Job, line: Line) -> float:
    """Nominal size of the narrowest port of a line, sixteenths of an inch; 0 where none has one."""
    ports = [component.ports[name].end.nominal_16ths for component, name in map(job.port, line.references)]
    return min((each for each in ports if each is not None), default=0.0)


def _hose_size(job: Job, line: Line, demand: Demand) -> int:
    from fittings.circuit.hose import choose

    if line.hose is not None and line.hose.size:
        return int(line.hose.size.lstrip("-"))
    best = choose(demand.max_psi, demand.flow_gpm, cast(LineKind, line.kind)).best
    return int(best.size.lstrip("-")) if best else 8


def _to_tee(job: Job, line: Line, whole: Demand, body: Body) -> tuple[Chain, ...]:
    most = MOST_ADAPTERS if job.limits.max_parts is None else job.limits.max_parts
    shape = line.at_from.shape if line.at_from else None
    limits = Limits(whole.max_psi or None, tuple(job.limits.avoid), max(most - 1, 0), shape)
    limits = limits._replace(full_bore=job.limits.full_bore)
    series = "", series_among(body.parts[0].ends, body.mouth)
    chains = [chain_through(each.start, each.finish, each.parts, series) for each in search(_start(job, line), body.mouth, limits)[:1]]
    return tuple(chain for chain in chains if any(each.moves != "rigid" for each in chain.joints[-1][:2]))


def _branches(job: Job, line: Line, legs: tuple[Demand, ...], body: Body, hand: Hand,
              seal_share: float) -> tuple[Draft | PlannedLine, ...]:
    details = {each.to: each for each in line.branch}
    return tuple(
        draft_hose(job, _leg(job, line, target, demand, outlet, details.get(target))._replace(seal_share=seal_share), hand)
        for target, demand, outlet in zip(line.targets, legs, body.outlets, strict=True))


def _leg(job: Job, line: Line, target: str, demand: Demand, outlet: End, detail: Branch | None) -> Ask:
    component, name = job.port(target)
    at = detail.at_to if detail is not None and detail.at_to is not None else line.at_to
    route = detail.route if detail is not None else None
    # the hose of a line that splits behind a hose is that one; where the tee sits at the port there is none, and it speaks of the legs
    given = (detail and detail.hose) or (line.hose if line.route is None else None)
    return Ask(f"{line.name} to {target}", cast(LineKind, line.kind), Side("tee", outlet, None),
               Side(target, component.ports[name].end, at), demand, route, given, True)


def _behind_hose(draft: SplitDraft, trunk: PlannedLine, branches: tuple[PlannedLine, ...]) -> PlannedLine:
    if trunk.refused is not None:
        return trunk
    body = draft.body
    joints = (*trunk.joints, *(planned_joint(each) for each in body.inner))
    psi, weakest = _with_body(trunk.rating_psi, trunk.weakest, body)
    return trunk._replace(joints=joints, rating_psi=psi, weakest=weakest, tees=body.parts, branches=branches,
                          findings=(*trunk.findings, *_tee_notes(body)))


def _at_port(job: Job, draft: SplitDraft, chain: Chain, branches: tuple[PlannedLine, ...]) -> PlannedLine:
    line, whole, body = draft.line, draft.whole, draft.body
    joints = (at_port(job, line.from_, chain.joints[0]), *chain.joints[1:], *body.inner)
    planned = (planned_joint(joints[0], torque_metal_at(job, line.from_)), *map(planned_joint, joints[1:]))
    rated = [each.rating.psi if each.rating else None for each in joints]
    lowest = lowest_psi([None if psi is None else float(psi) for psi in rated])
    psi, weakest = _with_body(lowest, f"{chain.joints[0].a.say} in {chain.joints[0].b.say}", body)
    side = Side(line.from_, chain.start, line.at_from)
    first = chain.parts[0] if chain.parts else Used(body.parts[0], body.mouth, body.outlets[0])
    around = (*around_port(side, first, UNKNOWN, job.units), *stacked(line.from_, chain.parts, job.units),
              *metal_findings(job, line.from_, joints[0].rating, whole.max_psi))
    return PlannedLine(
        name=line.name, kind=line.kind, from_ref=line.from_, to_ref="tee", start=chain.start, finish=body.mouth, demand=whole,
        from_parts=chain.parts, joints=planned, rating_psi=psi, weakest=weakest,
        findings=(*whole.findings, *_tee_notes(body), *around), tees=body.parts, branches=branches)


def _with_body(psi: float | None, weakest: str, body: Body) -> tuple[float | None, str]:
    rated = [rating(each, series_among(part.ends, each)) for part in body.parts for each in part.ends]
    lowest = min((float(each.psi) for each in rated if each is not None), default=None)
    if psi is None or lowest is None or any(each is None for each in rated):
        return None, ""
    return (lowest, "the tee") if lowest < psi else (psi, weakest)


def _tee_notes(body: Body) -> Iterator[Finding]:
    for part in body.parts:
        if part.had == "to order":
            yield Finding("to-order", "warn", f"{part.say}: made to order, ask for the time it takes", split_sources(part.source))
