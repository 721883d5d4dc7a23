"""The ends of one hose: what leads from it to the port at either side, and which two of those ways go together."""

from collections.abc import Set

from fittings.chain import Joint, Used
from fittings.circuit.hose import Hose
from fittings.ends import End, families
from fittings.job.ask import Ask, Side
from fittings.job.ends_of_hose import (
    MOST_ADAPTERS,
    Wanted,
    Way,
    crimped_families,
    no_way,
    pairs,
    ways,
    ways_off_the_shelf,
)
from fittings.job.hand import Hand
from fittings.job.model import Job
from fittings.job.room import Height, height_mm, too_high
from fittings.limits import Limits, pressure_asked
from fittings.planner import Refusal, impossible
from fittings.reasons import reason
from fittings.units import format_pressure

Pair = tuple[Way, Way]


def pairs_for(job: Job, ask: Ask, of: Hose, hand: Hand) -> tuple[Pair, ...] | Refusal:
    """Pairs of ways at the ends of a hose, the best to buy first; or why there is none. Also those that take from what
    is at hand."""
    home = home_families(job)
    sides = (ask.start, ask.finish)
    wanted = [_wanted(job, ask, side, number) for number, side in enumerate(sides)]
    found = []
    for side, want in zip(sides, wanted, strict=True):
        # the search keeps what is best on its own; what is at home in the job, or goes with the other end, is looked for by itself
        kinds = sorted(home & crimped_families(of.size) - set(want.avoid))
        looked = [want, _only(want, home), *(_only(want, {kind}) for kind in kinds)]
        some = tuple(dict.fromkeys(way for each_want in looked for way in ways(of.size, side.port, each_want)))
        if not some:
            return _in_the_words_of_the_job(no_way(of.size, side.port, want), job, want)
        if hand.parts:
            some = tuple(dict.fromkeys((*some, *ways_off_the_shelf(of.size, side.port, want, hand))))
        found.append(some)
    found = [_also_alike(of, side.port, want, mine, other)
             for side, want, mine, other in zip(sides, wanted, found, reversed(found), strict=True)]
    low = [_low_enough(some, side, of) for some, side in zip(found, sides, strict=True)]
    made = pairs(low[0], low[1], home) or pairs(found[0], found[1], home)
    if not made:
        return impossible(reason("both-ends-rigid"))
    return made


def _in_the_words_of_the_job(refused: Refusal, job: Job, want: Wanted) -> Refusal:
    """The planner's facts with the limits as the job file has them: its own units, adapters without the hose end. What a lower pressure
    would bring is no help: the line must hold what it sees."""
    asked = f"you asked for {pressure_asked(want.psi)}", f"this line must hold {format_pressure(want.psi, job.units)}"
    most = f"max_parts allows {want.max_adapters} adapters between hose end and port"
    facts = tuple(fact._replace(text=most if fact.code == "limit-max-parts" else fact.text.replace(*asked)) for fact in refused.facts)
    kept = f"--psi {Limits(psi=want.psi).pressure_typed} " if want.psi else ""
    return refused._replace(facts=facts, hints=tuple(each for each in refused.hints if kept in f"{each.run} "))


def _also_alike(of: Hose, port: End, want: Wanted, mine: tuple[Way, ...], other: tuple[Way, ...]) -> tuple[Way, ...]:
    """The ways to a port, and those by a hose end that the far side of the hose may have: a hose is best alike at both ends."""
    if want.hose_end is not None:
        return mine
    strange = dict.fromkeys(way.crimped.far for way in other if all(way.crimped.far != own.crimped.far for own in mine))
    kin = {own.crimped.far.family for own in mine}
    alike = (way for end in strange if end.family in kin for way in ways(of.size, port, want._replace(hose_end=end))[:1])
    return tuple(dict.fromkeys((*mine, *alike)))


def _wanted(job: Job, ask: Ask, side: Side, number: int) -> Wanted:
    most = MOST_ADAPTERS if job.limits.max_parts is None else job.limits.max_parts
    given = ask.given.ends[number].end if ask.given is not None and ask.given.ends else None
    shape = side.at.shape if side.at is not None else None
    return Wanted(ask.demand.max_psi, tuple(job.limits.avoid), most, shape, given, job.limits.full_bore)


def _only(want: Wanted, kinds: Set[str]) -> Wanted:
    """The same, with all families kept out but these, the hose's own, and what the port itself takes."""
    strange = tuple(each for each in families() if each not in kinds and each != "hose")
    return want._replace(avoid=tuple(dict.fromkeys((*want.avoid, *strange))))


def height_of(way: Way, of: Hose) -> Height:
    """Height of a way above its port, with what it rests on."""
    adapters, _, crimped = turned(way)
    return height_mm(adapters, crimped, of)


def _low_enough(some: tuple[Way, ...], side: Side, of: Hose) -> tuple[Way, ...]:
    """The ways that are not known to stand too high for the room at a port; all of them when none is left."""
    room = side.at.room_in if side.at is not None else None
    return some if room is None else tuple(way for way in some if not too_high(room, height_of(way, of))) or some


WORLDS = (
    frozenset({"orb", "jic", "orfs", "npt", "npsm"}), frozenset({"bspp", "bsp60", "bspt"}),
    frozenset({"iso6149", "iso9974", "cone24"}), frozenset({"jis30", "metric30", "bspp"}),
)
"""Families that are met on one machine together (common practice, no source)."""


def home_families(job: Job) -> frozenset[str]:
    """Families of ends that a job has anyway: those of its ports and what goes with them. Without a port of any world, those of the
    inch world."""
    ports = {port.end.family for component in job.component for port in component.ports.values()}
    worlds = [world for world in WORLDS if world & ports] or [WORLDS[0]]
    return frozenset().union(ports, *worlds)


def turned(way: Way) -> tuple[tuple[Used, ...], tuple[Joint, ...], Used]:
    """Adapters, joints and hose end of a way, seen from the port."""
    return (tuple(used.turned for used in reversed(way.adapters)), tuple(joint.turned for joint in reversed(way.joints)),
            way.crimped.turned)
