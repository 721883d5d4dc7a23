"""Three or four ends joined by the smallest tree: a tee or a cross, and a chain to each end.

Over the same steps as a chain, grown from all ends at once: what is the cheapest way to have one end open with a given
set of ends already joined? A part carries an open end further; a tee brings two such ends together and leaves its third
open; a cross brings three together (Dreyfus and Wagner, Networks 1, 1971).
"""

import heapq
from collections.abc import Iterator
from itertools import combinations, permutations
from typing import NamedTuple

from fittings.chain import Chain, Made, Used, chain_through, end_psi, joints_made
from fittings.ends import End
from fittings.limits import Limits
from fittings.network import part_cost
from fittings.parts import Part, lacks, tees
from fittings.planner import Refusal, Sought, most_held, why_not
from fittings.ratings import Rating, series_among
from fittings.saying import both
from fittings.search import Allowed, Option

DEAREST = 4000
"""Points that one leg may cost: three parts and a little; longer stacks are not worth showing."""


class Tree(NamedTuple):
    """Tees and crosses, and the chains between them and to the ends asked for; `cost` in points.

    Told from the last end asked for: a chain from a body's open end, then that body's other ends in order, each with all
    that hangs on it. `begins` says of each chain the number of the body it begins at, -1 for an end asked for.
    """

    bodies: tuple[Part, ...]
    chains: tuple[Chain, ...]
    cost: int
    begins: tuple[int, ...]


class _Open(NamedTuple):
    """An open end, and what of its leg so far bears on what may still follow.

    `sets`: a joint of the leg can be set to an angle; `points`: an elbow put on now could be pointed, seen from where the leg
    began; `waits`: one of its elbows has no such joint behind it yet; `lacks`: conditions that its part never meets at this end.
    """

    end: End
    points: bool
    sets: bool = False
    waits: bool = False
    bushing: bool = False
    lacks: frozenset[str] = frozenset()

    def allows(self, other: "_Open") -> bool:
        """Whether all that may follow on the other, at the same end, may follow on this one."""
        return (self.points >= other.points and self.sets >= other.sets and self.waits <= other.waits
                and self.bushing <= other.bushing and self.lacks <= other.lacks)

    def after(self, option: Option, made: Made) -> "_Open | None":
        """What is open with one more part on this; None where that part cannot stand."""
        sets, points = self.sets or made.sets, self.points or made.sets
        if (option.elbow and not points) or (option.bushing and self.bushing) or made.condition in self.lacks | option.near_lacks:
            return None
        return _Open(option.used.far, points, sets, option.elbow or (self.waits and not made.sets), bool(option.bushing) or self.bushing,
                     option.far_lacks)

    def closes(self, with_end: End, made: Made) -> bool:
        """Whether the leg can end with this joint: it depends on nothing that its part never has, and every elbow can be pointed."""
        if made.condition in self.lacks:
            return False
        return made.sets or not self.waits or (self.sets and not with_end.held)


def _begun(end: End, never_has: frozenset[str] = frozenset()) -> _Open:
    return _Open(end, not end.held, lacks=never_has)


class _Way(NamedTuple):
    """How an end came to be open: from which open ends, by which part."""

    cost: int
    came: tuple[tuple[frozenset[int], _Open], ...]
    used: Used | None
    body: Part | None
    mouths: tuple[End, ...]


_Ways = dict[_Open, _Way]
_Onto = dict[End, dict[str, tuple[int, _Open]]]
"""By end that can be put on an open end and by what the joint depends on: the cheapest way, with its joint, and which open end."""


def join_all(ends: tuple[End, ...], limits: Limits = Limits()) -> Tree | None:
    """The smallest tree that joins three or four ends under `limits` (psi, avoid, full_bore), or None.

    Raises ValueError for fewer than three or more than four ends.
    """
    if not 3 <= len(ends) <= 4:
        raise ValueError(f"a tree joins three or four ends, not {len(ends)}")
    if limits.psi is not None and min(end_psi(each) for each in ends) < limits.psi:
        return None
    allowed = Allowed(ends, limits)
    ways: dict[frozenset[int], _Ways] = {}
    last = len(ends) - 1
    for size in range(1, last + 1):
        for some in combinations(range(last), size):
            joined = frozenset(some)
            begun = {_begun(ends[some[0]]): _Way(0, (), None, None, ())} if size == 1 else _merged(joined, ways, allowed)
            ways[joined] = _spread(begun, joined, allowed)
    return _finished(ends, ways, allowed)


def why_no_tree(ends: tuple[End, ...], limits: Limits) -> Refusal:
    """What stands against a tree under these limits, every smallest set of reasons, and what would help, tried."""
    def words(eased: Limits) -> str | None:
        tree = join_all(ends, eased)
        return tree and f"there is a tree with {both(body.say for body in tree.bodies)}"

    def held(eased: Limits) -> float | None:
        tree = join_all(ends, eased._replace(psi=min(map(end_psi, ends)))) or join_all(ends, eased)
        return most_held([tree_rating(tree)] if tree else [], limits)

    return why_not(Sought(ends, limits, words, held, lambda: list(limits.avoid)))


def _spread(begun: _Ways, joined: frozenset[int], allowed: Allowed) -> _Ways:
    best: _Ways = {}
    done: dict[End, list[_Open]] = {}
    queue = [(way.cost, each) for each, way in begun.items()]
    known = dict(begun)
    heapq.heapify(queue)
    while queue:
        cost, each = heapq.heappop(queue)
        if any(other.allows(each) for other in done.setdefault(each.end, [])):
            continue
        done[each.end].append(each)
        best[each] = known[each]
        for opens, dearer, mouth, used in _onward(each, cost, allowed):
            if opens not in known or dearer < known[opens].cost:
                known[opens] = _Way(dearer, ((joined, each),), used, None, (mouth,))
                heapq.heappush(queue, (dearer, opens))
    return best


def _onward(each: _Open, cost: int, allowed: Allowed) -> Iterator[tuple[_Open, int, End, Used]]:
    """What is open with one more part on an open end, at what cost, by which mouth and which part; nothing dearer than `DEAREST`."""
    for mouth, made in joints_made(each.end).items():
        for option in allowed.uses(mouth) if made.psi >= allowed.psi else ():
            dearer = cost + made.cost + option.cost
            opens = each.after(option, made) if dearer <= DEAREST else None
            if opens:
                yield opens, dearer, mouth, option.used


def _merged(joined: frozenset[int], ways: dict[frozenset[int], _Ways], allowed: Allowed) -> _Ways:
    """What a tee or cross can leave open with all of `joined` on its other mouths, each the cheapest way."""
    onto = {some: _onto(found, allowed) for some, found in ways.items() if some < joined}
    best: _Ways = {}
    for body in tees():
        for opens, way in _teed(body, joined, onto) if allowed.part(body) else ():
            if opens not in best or way.cost < best[opens].cost:
                best[opens] = way
    return best


def _teed(body: Part, joined: frozenset[int], onto: dict[frozenset[int], _Onto]) -> Iterator[tuple[_Open, _Way]]:
    """What one body leaves open, whichever of its mouths that is and however `joined` is dealt out to the others."""
    points = part_cost(body)
    for order in permutations(range(len(body.ends))):
        *mouths, last = (body.ends[index] for index in order)
        opens = _begun(last, lacks(body, last))
        for split in _splits(joined, len(mouths)):
            reached = [_cheapest(onto[some].get(mouth, {}), lacks(body, mouth)) for some, mouth in zip(split, mouths, strict=True)]
            got = [each for each in reached if each]
            if len(got) == len(mouths):
                came = tuple((some, each) for some, (_, each) in zip(split, got, strict=True))
                yield opens, _Way(points + sum(cost for cost, _ in got), came, None, body, tuple(mouths))


def _onto(found: _Ways, allowed: Allowed) -> _Onto:
    best: _Onto = {}
    for each, way in found.items():
        for mouth, made in joints_made(each.end).items():
            cost, there = way.cost + made.cost, best.setdefault(mouth, {})
            if each.closes(mouth, made) and made.psi >= allowed.psi and (made.condition not in there or cost < there[made.condition][0]):
                there[made.condition] = cost, each
    return best


def _cheapest(ways: dict[str, tuple[int, _Open]], never_has: frozenset[str]) -> tuple[int, _Open] | None:
    """The cheapest of the ways whose joint depends on nothing that the other side never has."""
    return min((way for condition, way in ways.items() if condition not in never_has), key=lambda way: way[0], default=None)


def _splits(joined: frozenset[int], count: int) -> Iterator[tuple[frozenset[int], ...]]:
    """Every way to deal `joined` out to `count` mouths, none empty."""
    if count == 1:
        yield (joined,)
        return
    members = sorted(joined)
    for size in range(1, len(members) - count + 2):
        for some in combinations(members, size):
            first = frozenset(some)
            for rest in _splits(joined - first, count - 1):
                yield (first, *rest)


def _finished(ends: tuple[End, ...], ways: dict[frozenset[int], _Ways], allowed: Allowed) -> Tree | None:
    everything = frozenset(range(len(ends) - 1))
    reached = _cheapest(_onto(ways[everything], allowed).get(ends[-1], {}), frozenset())
    if reached is None:
        return None
    cost, opens = reached
    bodies: list[Part] = []
    chains: list[Chain] = []
    begins: list[int] = []
    _walk(everything, opens, ends[-1], "", ways, bodies, chains, begins)
    return Tree(tuple(bodies), tuple(chains), cost, tuple(begins))


def _walk(joined: frozenset[int], opens: _Open, finish: End, series: str, ways: dict[frozenset[int], _Ways], bodies: list[Part],
          chains: list[Chain], begins: list[int]) -> None:
    """Tell the way back as chains: from `finish`, a stud of `series` or none, to where the leg began, then every leg behind a tee."""
    steps: list[Used] = []
    way = ways[joined][opens]
    while way.used is not None:
        steps.insert(0, way.used)
        ((joined, opens),) = way.came
        way = ways[joined][opens]
    chains.append(chain_through(opens.end, finish, steps, (series_among(way.body.ends, opens.end) if way.body else "", series)))
    begins.append(len(bodies) if way.body is not None else -1)
    if way.body is not None:
        bodies.append(way.body)
        for (some, each), mouth in zip(way.came, way.mouths, strict=True):
            _walk(some, each, mouth, series_among(way.body.ends, mouth), ways, bodies, chains, begins)


class Leg(NamedTuple):
    """A chain of a tree, told outward from the body that it hangs on; `leads_to` is the body at its far end, None for an end
    asked for. Bodies by their number in `Tree.bodies`."""

    hangs_on: int
    leads_to: int | None
    chain: Chain


def legs(tree: Tree) -> tuple[Leg, ...]:
    """The chains of a tree as they are walked away from its first body, each body's together."""
    rest = iter(zip(tree.chains, tree.begins, strict=True))
    chain, first = next(rest)
    found = [Leg(first, None, chain)]

    def hang(body: int) -> None:
        for _ in tree.bodies[body].ends[1:]:
            chain, begins = next(rest)
            found.append(Leg(body, begins if begins >= 0 else None, chain.turned))
            if begins >= 0:
                hang(begins)

    hang(first)
    return tuple(sorted(found, key=lambda leg: leg.hangs_on))


def tree_rating(tree: Tree) -> Rating | None:
    """Lowest rating over all chains of a tree; None when one end is not in our tables."""
    rated = [chain.rating for chain in tree.chains]
    return None if None in rated else min((of for of in rated if of is not None), key=lambda of: of.exact_psi)
