"""From a hose to a port: which crimped end, and which adapters behind it.

A hose end that mates the port directly beats any adapter; a jump in size belongs into the hose end first; and one end of
every hose must turn freely, or it cannot be tightened without a twist.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import cache, lru_cache
from typing import NamedTuple

from fittings.chain import Chain, Joint, Used, bends, chain_through, part_bore
from fittings.circuit.rules import rule_value
from fittings.ends import End, end
from fittings.job.hand import Hand
from fittings.limits import Limits
from fittings.parts import parts_with
from fittings.planner import Refusal, impossible, join
from fittings.ratings import best_rating, rated_by_hose, rating
from fittings.reasons import reason
from fittings.saying import counted
from fittings.search import search

MOST_ADAPTERS = int(rule_value("most-adapters"))
TWO_KINDS = int(rule_value("two-kinds-of-ends"))
STRANGE_FAMILY = int(rule_value("strange-family"))
BEND = int(rule_value("bend"))

SHOWN = 8
"""Chains looked at for each side of a hose."""


class Wanted(NamedTuple):
    """What a side of a line asks for: pressure in psi, families to avoid, adapters at most, shape at the port (`straight`,
    `45`, `90`), the hose end that is settled already, and whether nothing may be narrower than the narrower of hose and port."""

    psi: float
    avoid: tuple[str, ...] = ()
    max_adapters: int = MOST_ADAPTERS
    shape: str | None = None
    hose_end: End | None = None
    full_bore: bool = False


class Way(NamedTuple):
    """A chain from a plain hose to a port, the crimped end first.

    `free`: one of its joints turns, so that it can be tightened while the hose is held; `unrated`: ends of it that our
    tables hold no pressure for.
    """

    chain: Chain
    free: bool
    unrated: tuple[End, ...]

    @property
    def crimped(self) -> Used:
        """The hose end."""
        return self.chain.parts[0]

    @property
    def adapters(self) -> tuple[Used, ...]:
        """The adapters from the hose end to the port."""
        return self.chain.parts[1:]

    @property
    def joints(self) -> tuple[Joint, ...]:
        """The joints from the hose end to the port; the crimp is not one of them."""
        return self.chain.joints[1:]


@lru_cache(maxsize=1000)
def ways(size: str, port: End, wanted: Wanted) -> tuple[Way, ...]:
    """Ways from a hose of `size` (`-8`) to a port, cheapest first; none when our tables know none.

    Ends that our tables hold no pressure for are only used when nothing else is left; an end that is known not to hold
    never is.

    >>> [used.part.say for used in ways("-8", end("orb", "-8", "port"), Wanted(2750))[0].adapters]
    ['straight, ORB -8 male stud × JIC -8 male']
    """
    for psi in (wanted.psi, None):
        found = _found(size, port, wanted, psi, lambda start, finish, limits: search(start, finish, limits)[:SHOWN])
        if found:
            return found
    return ()


@lru_cache(maxsize=1000)
def ways_off_the_shelf(size: str, port: End, wanted: Wanted, hand: Hand) -> tuple[Way, ...]:
    """Ways that take an adapter from the shelf, cheapest first.

    One of more adapters than the best way to buy saves at least one from being bought. Hose ends are as if at hand: they are
    bought with the hose in any case, and never taken from a shelf, since an end belongs to the hose it was made for.
    """
    from fittings.stock.chains import bought, candidates

    best = ways(size, port, wanted)
    if not best or not best[0].adapters:
        return ()
    fewest = len(best[0].adapters)
    there = {**hand.parts, **dict.fromkeys(parts_with(end("hose", size, "tail")), 1)}
    most_bought = min(fewest - 1, 1)
    found = _found(size, port, wanted, wanted.psi, lambda start, finish, limits: candidates(start, finish, limits, there, most_bought))
    return tuple(
        way for way in found
        if any(used.part in hand.parts for used in way.adapters)
        and (len(way.adapters) <= fewest or bought([used.part for used in way.adapters], hand.parts) < fewest))


Find = Callable[[End, End, Limits], Sequence[Chain]]


def _found(size: str, port: End, wanted: Wanted, psi: float | None, find: Find) -> tuple[Way, ...]:
    found = {
        chain.parts: Way(chain, any(each.turns_freely for each in chain.joints[1:]), _unrated(chain))
        for limits in _limits(wanted, psi)
        for chain in _chains(size, port, wanted, limits, find)
        if _can_be_set(chain) and _bends_as_asked(chain, wanted.shape) and _known_to_hold(chain, wanted.psi)
        and _keeps_out(chain, wanted.avoid) and (not wanted.full_bore or _full_bore(chain))
    }
    return tuple(sorted(found.values(), key=lambda way: way.chain.cost))


def _limits(wanted: Wanted, psi: float | None) -> Iterator[Limits]:
    bare = Limits(psi=psi or None, avoid=wanted.avoid, max_parts=wanted.max_adapters + 1, full_bore=wanted.full_bore)
    shapes = [bare] if wanted.shape is None else [bare._replace(shape_to=wanted.shape), bare._replace(shape_from=wanted.shape)]
    for limits in shapes:
        yield limits
        yield limits._replace(fixed=True)


def _chains(size: str, port: End, wanted: Wanted, limits: Limits, find: Find) -> Iterator[Chain]:
    bore = end("hose", size, "bore")
    if wanted.hose_end is None:
        yield from find(bore, port, limits)
        return
    for crimped in _crimped(size, wanted.hose_end):
        if limits.shape_from not in (None, crimped.part.shape):
            continue
        rest = limits._replace(shape_from=None, max_parts=(limits.max_parts or 1) - 1)
        if limits.shape_to == crimped.part.shape and _meet(wanted.hose_end, port):
            rest = rest._replace(shape_to=None, max_parts=0)
        for chain in find(wanted.hose_end, port, rest):
            yield chain_through(bore, port, (crimped, *chain.parts))


def _crimped(size: str, hose_end: End) -> list[Used]:
    tail = end("hose", size, "tail")
    return [Used(part, tail, hose_end) for part in parts_with(tail) if sorted(part.ends) == sorted((tail, hose_end))]


@cache
def crimped_families(size: str) -> frozenset[str]:
    """Families of ends that are crimped on a hose of `size`."""
    return frozenset(each.family for part in parts_with(end("hose", size, "tail")) for each in part.ends) - {"hose"}


def _meet(hose_end: End, port: End) -> bool:
    return bool(search(hose_end, port, Limits(max_parts=0)))


def _unrated(chain: Chain) -> tuple[End, ...]:
    ends = [each for joint in chain.joints[1:] for each in (joint.a, joint.b)]
    return tuple(dict.fromkeys(each for each in ends if rating(each) is None and not rated_by_hose(each)))


def _known_to_hold(chain: Chain, psi: float) -> bool:
    """Whether no joint is known to hold less: by its own rating, or where that is not known by what its ends hold at best."""
    for joint in chain.joints[1:]:
        known = [joint.rating] if joint.rating is not None else [best_rating(joint.a), best_rating(joint.b)]
        if any(of is not None and of.exact_psi < psi for of in known):
            return False
    return True


def _keeps_out(chain: Chain, avoid: tuple[str, ...]) -> bool:
    """Whether no family to be avoided stands in the chain but where the port asks for it."""
    chosen = [end_ for used in chain.parts for end_ in (used.near, used.far)][:-1]
    return not any(each.family in avoid for each in chosen)


def _full_bore(chain: Chain) -> bool:
    """Whether no part is narrower than the narrower of hose and port."""
    ends = [each.nominal_16ths for each in (chain.start, chain.finish) if each.nominal_16ths is not None]
    return all(part_bore(used.part) >= min(ends, default=0) for used in chain.parts)


def _bends_as_asked(chain: Chain, shape: str | None) -> bool:
    """With a shape asked for at the port, nothing else on the way bends."""
    bent = [used for used in chain.parts if bends(used.part)]
    return shape is None or len(bent) == (shape != "straight")


def _can_be_set(chain: Chain) -> bool:
    """Whether every elbow can be pointed where it must go by the joint on its port side: the port stands still."""
    return all(
        number == 0 or not bends(used.part)
        or {chain.joints[number + 1].a.moves, chain.joints[number + 1].b.moves} != {"rigid"}
        for number, used in enumerate(chain.parts)
    )


def pairs(from_ways: Sequence[Way], to_ways: Sequence[Way], home: frozenset[str]) -> tuple[tuple[Way, Way], ...]:
    """Ways at either end of one hose of which at least one can be tightened while the hose is held, cheapest first; of the same
    points those with one kind of hose end.

    `home`: families of ends that the job has anyway.
    """
    found = sorted(
        (pair_cost(a, b, home), a.crimped.far != b.crimped.far, number_a, number_b)
        for number_a, a in enumerate(from_ways) for number_b, b in enumerate(to_ways) if a.free or b.free)
    return tuple((from_ways[number_a], to_ways[number_b]) for _, _, number_a, number_b in found)


def pair_cost(a: Way, b: Way, home: frozenset[str]) -> int:
    """Points against two ways at the ends of one hose."""
    bent = sum(bends(used.part) for way in (a, b) for used in way.chain.parts)
    return (a.chain.cost + b.chain.cost + BEND * bent + TWO_KINDS * (a.crimped.far.family != b.crimped.far.family)
            + STRANGE_FAMILY * len(_strange(a, home) | _strange(b, home)))


def _strange(way: Way, home: frozenset[str]) -> set[str]:
    """Families that a way brings in beside those at home; what its port itself takes does not count."""
    families = {each.family for used in way.chain.parts for each in (used.near, used.far)}
    last = way.chain.joints[-1]
    return families - home - {last.a.family, last.b.family, "hose"}


@lru_cache(maxsize=1000)
def no_way(size: str, port: End, wanted: Wanted) -> Refusal:
    """Why there is no way from a hose of `size` to a port: the planner's own reasons, or what nobody makes."""
    start = wanted.hose_end or end("hose", size, "bore")
    if wanted.hose_end is not None and not _crimped(size, wanted.hose_end):
        return impossible(reason("no-hose-end", size=size, end=wanted.hose_end.say))
    # the planner's own limit is no limit that somebody asked for
    most = None if wanted.max_adapters == MOST_ADAPTERS else wanted.max_adapters + (wanted.hose_end is None)
    for shape in dict.fromkeys((wanted.shape, None)):
        limits = _in_conflict(start, port, Limits(wanted.psi or None, wanted.avoid, most, shape_to=shape, full_bore=wanted.full_bore))
        refused = None if limits is None else join(start, port, limits).refused
        if refused is not None:
            return refused
    bend = "" if wanted.shape is None else f" with a {wanted.shape}{'°' * wanted.shape.isdigit()} part at the port"
    no_way_there = reason("no-way-from-hose", parts=counted(wanted.max_adapters, "adapter"), size=size, port=port.say, bend=bend)
    return impossible(no_way_there, *([reason("limit-full-bore")] if wanted.full_bore else []))


MANY = 4
"""Families to be avoided from which on only those are told that are in each other's way."""


def _in_conflict(start: End, port: End, limits: Limits) -> Limits | None:
    """The limits without the families to be avoided that change nothing; None when nothing is refused.

    The planner tells every smallest set of limits in conflict, which takes twice as long for each family more.
    """
    if search(start, port, limits):
        return None
    if len(limits.avoid) < MANY:
        return limits
    kept = limits.avoid
    for each in limits.avoid:
        fewer = tuple(other for other in kept if other != each)
        if not search(start, port, limits._replace(avoid=fewer)):
            kept = fewer
    return limits._replace(avoid=kept)
