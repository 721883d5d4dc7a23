"""The search for chains: level by level from both sides, keeping only what no other chain beats in every respect."""

from collections.abc import Callable, Sequence
from functools import cache, lru_cache
from typing import NamedTuple, TypeVar

from fittings.chain import (
    UNLIMITED,
    UNRATED,
    Chain,
    Made,
    Used,
    bends,
    chain_through,
    end_psi,
    joints_made,
    one_end,
    part_bore,
    part_psi,
)
from fittings.ends import End, family
from fittings.limits import USUAL_MOST, Limits
from fittings.network import far_ends, part_cost, penalty, planned_partners
from fittings.parts import STRAIGHT, Part, lacks, parts_with

WORTH_SHOWING = 1600
"""Points by which an alternative may be dearer than the best chain: one part more and some trouble."""

LONGEST_WITH_SPARE = 3
"""Chains longer than this are looked for only where they could be the best: such a stack is bad enough as it is."""


class _Tail(NamedTuple):
    """The rest of a chain, seen from the end it begins with.

    `sets`: one of its joints can be set to an angle; `waits`: one of its elbows has no such joint between it and the start;
    `lacks`: conditions that its first part never meets at the end it begins with.
    """

    steps: tuple[Used, ...]
    names: tuple[str, ...]
    cost: int
    had: int
    psi: float
    tapers: int
    conditions: int
    bends: int
    bore: float
    turns: bool
    bushings: int
    sets: bool
    waits: bool
    lacks: frozenset[str]

    def beats(self, other: "_Tail") -> bool:
        """Whether no respect is worse than the other's."""
        return (
            self.cost <= other.cost and self.had <= other.had and self.psi >= other.psi
            and self.tapers <= other.tapers and self.conditions <= other.conditions and self.bends <= other.bends
            and self.bore >= other.bore and self.turns >= other.turns and self.bushings <= other.bushings
            and self.sets >= other.sets and self.waits <= other.waits and self.lacks <= other.lacks
        )


_NO_BOUND = 10**9
_NOTHING = _Tail(steps=(), names=(), cost=0, had=0, psi=UNLIMITED, tapers=0, conditions=0, bends=0, bore=999.0, turns=False,
                 bushings=0, sets=False, waits=False, lacks=frozenset())


def search(start: End, finish: End, limits: Limits) -> list[Chain]:
    """The chains worth showing, the one that costs least first; empty when there is none."""
    found = _unbeaten(_found(start, finish, limits, WORTH_SHOWING))
    return [chain_through(start, finish, tail.steps) for tail in found if tail.cost <= found[0].cost + WORTH_SHOWING]


def first(start: End, finish: End, limits: Limits) -> Chain | None:
    """The first chain of `search`, found without looking for any other; None when there is none."""
    found = _unbeaten(_found(start, finish, limits, 0))
    return chain_through(start, finish, found[0].steps) if found else None


def _found(start: End, finish: End, limits: Limits, worth: int) -> list[_Tail]:
    """Every chain, as a tail from `start`, that no other of as many parts beats and that is at most `worth` points dearer
    than the cheapest."""
    if limits.psi is not None and min(end_psi(start), end_psi(finish)) < limits.psi:
        return []
    direct = joints_made(start).get(finish)
    if direct is not None and not limits.shape_from and not limits.shape_to and (direct.turns or not limits.fixed) and (
            limits.psi is None or direct.psi >= limits.psi):
        return [_NOTHING]
    most = USUAL_MOST if limits.max_parts is None else limits.max_parts
    held = limits.fixed or start.held, limits.fixed or finish.held
    search = _search_for(start, finish, limits._replace(fixed=False, max_parts=None), held)
    found: list[_Tail] = []
    fewest = cheapest = 0
    dearest = _NO_BOUND
    for count in range(1, most + 1):
        if found:
            # A chain of so many parts costs at least that many times the points of one part.
            spare = worth if count <= min(fewest + 1, LONGEST_WITH_SPARE) else 0
            dearest = cheapest + spare
            if count * penalty("part", "one") > dearest:
                break
        tails = [tail for tail in search.chains(count, dearest) if tail.turns or not limits.fixed]
        if tails:
            found += tails
            fewest = fewest or count
            cheapest = min(tail.cost for tail in found)
    return found


def _order(of: "_Tail | Option") -> tuple[int, float, float, tuple[str, ...]]:
    """The dearer behind the cheaper, of equals the weaker behind the stronger, the narrower behind the wider."""
    return of.cost, -of.psi, -of.bore, of.names


class Option(NamedTuple):
    """One way to put a part on an open end, with what the part brings: points, psi, bore, whether it bends, and the conditions that
    it never meets at its near and at its far end.

    `turned` is the part as it lies in a chain that is walked from its other end.
    """

    used: Used
    turned: Used
    cost: int
    had: int
    psi: float
    bore: float
    bends: int
    elbow: bool
    bushing: int
    coupler: bool
    near_lacks: frozenset[str]
    far_lacks: frozenset[str]
    names: tuple[str]

    def beats(self, other: "Option") -> bool:
        """Whether no respect is worse than that of the other, which has the same two ends: pressure and bore are the same, and both
        are couplers or neither."""
        return (
            self.cost <= other.cost and self.had <= other.had
            and self.bends <= other.bends and self.elbow <= other.elbow and self.bushing <= other.bushing
            and self.near_lacks <= other.near_lacks and self.far_lacks <= other.far_lacks
        )


@cache
def options(near: End) -> tuple[Option, ...]:
    """Every two-ended part that begins with `near`."""
    near = one_end(near)
    return tuple(
        Option(Used(part, near, far), Used(part, far, near), part_cost(part), penalty("had", part.had), part_psi(part),
               part_bore(part), int(part.shape not in STRAIGHT), bends(part), int(part.shape == "bushing"),
               part.shape == "coupler", lacks(part, near), lacks(part, far), (part.id,))
        for part in parts_with(near) for far in map(one_end, far_ends(part, near))
    )


@cache
def best_options(near: End) -> tuple[Option, ...]:
    """Those of `options` that are enough where no shape is asked for: none that another to the same end beats."""
    by_end: dict[End, list[Option]] = {}
    for option in options(near):
        by_end.setdefault(option.used.far, []).append(option)
    return tuple(option for some in by_end.values() for option in _unbeaten(some))


class _Known(NamedTuple):
    """What was found out under the same limits before: the parts that begin with an end, those of them that no other beats,
    the ends that follow an open end."""

    uses: dict[End, tuple[Option, ...]]
    best: dict[End, tuple[Option, ...]]
    opens: dict[End, frozenset[End]]


@lru_cache(maxsize=32)
def _known(psi: float, bore: float, couplers: bool, avoid: frozenset[str], given: frozenset[End]) -> _Known:
    """What is found out under these limits, empty at first: it is kept, and `Allowed` fills it from one question to the next."""
    return _Known({}, {}, {})


class Allowed:
    """The parts that the limits of one question allow."""

    def __init__(self, ends: Sequence[End], limits: Limits) -> None:
        self.avoid = frozenset(limits.avoid)
        # A port of a family to be avoided still needs a part of that family in it.
        self.given = frozenset(mouth.end for each in ends for mouth in planned_partners(each) if mouth.end.family in self.avoid)
        # Couplers part a line that is to be taken apart; only an end that is one asks for the other half.
        self.couplers = any(family(each.family)["kin"] == "coupler" for each in ends)
        sizes = [each.nominal_16ths for each in ends if each.nominal_16ths is not None]
        self.bore = min(sizes) if limits.full_bore and sizes else 0.0
        self.psi = limits.psi if limits.psi is not None else UNRATED
        self._uses, self._best, self._opens = _known(self.psi, self.bore, self.couplers, self.avoid, self.given)

    def part(self, part: Part) -> bool:
        """Whether a part keeps to pressure, bore and families, and brings in no coupler that nobody asked for."""
        return (
            part_psi(part) >= self.psi and part_bore(part) >= self.bore and (self.couplers or part.shape != "coupler")
            and not any(each.family in self.avoid and each not in self.given for each in part.ends)
        )

    def uses(self, near: End) -> tuple[Option, ...]:
        """Allowed two-ended parts that begin with `near`."""
        known = self._uses.get(near)
        if known is None:
            known = self._uses[near] = self._those(near, options)
        return known

    def best(self, near: End) -> tuple[Option, ...]:
        """Allowed parts out of `best_options`."""
        known = self._best.get(near)
        if known is None:
            known = self._best[near] = self._those(near, best_options)
        return known

    def _those(self, near: End, made: Callable[[End], tuple[Option, ...]]) -> tuple[Option, ...]:
        psi, bore, couplers, avoid, given = self.psi, self.bore, self.couplers, self.avoid, self.given
        if near.family in avoid and near not in given:
            return ()
        return tuple(
            option for option in made(near)
            if option.psi >= psi and option.bore >= bore and (couplers or not option.coupler)
            and (option.used.far.family not in avoid or option.used.far in given)
        )

    def opens(self, open_end: End) -> frozenset[End]:
        """Ends that can be open once one allowed part is on `open_end`."""
        known = self._opens.get(open_end)
        if known is None:
            known = self._opens[open_end] = frozenset(option.used.far for near in joints_made(open_end) for option in self.best(near))
        return known


class _Reach:
    """Ends that can be open, or can be put on what is open, after so many parts from an end."""

    def __init__(self, begin: End, allowed: Allowed) -> None:
        self._allowed = allowed
        self._opened: list[frozenset[End]] = [frozenset({begin})]
        self._mouths: dict[int, frozenset[End]] = {}

    def opened(self, count: int) -> frozenset[End]:
        """Ends that can be open after `count` parts."""
        while len(self._opened) <= count:
            self._opened.append(frozenset().union(*map(self._allowed.opens, self._opened[-1])))
        return self._opened[count]

    def mouths(self, count: int) -> frozenset[End]:
        """Ends that can be put on what is open after `count` parts."""
        if count not in self._mouths:
            self._mouths[count] = frozenset().union(*map(joints_made, self.opened(count)))
        return self._mouths[count]


class _Search:
    """The search between two ends under limits on the parts: the unbeaten tails from an end, by number of parts.

    `held`: whether start and finish stand still, so that every elbow must be set by a joint on its way to them.
    """

    def __init__(self, start: End, finish: End, limits: Limits, held: tuple[bool, bool]) -> None:
        self.start, self.finish, self.limits = start, finish, limits
        self.start_held, self.finish_held = held
        allowed = Allowed((start, finish), limits)
        self.psi = allowed.psi
        self.uses = allowed.uses if limits.shape_from or limits.shape_to else allowed.best
        self._from_start, self._from_finish = _Reach(start, allowed), _Reach(finish, allowed)
        self._chains: dict[tuple[int, int], list[_Tail]] = {}

    def chains(self, count: int, dearest: int) -> list[_Tail]:
        """Unbeaten chains of exactly `count` parts and at most `dearest` points."""
        if (count, dearest) not in self._chains:
            self._chains[count, dearest] = self._grown(count, dearest)
        return self._chains[count, dearest]

    def _grown(self, count: int, dearest: int) -> list[_Tail]:
        if self._from_start.mouths(count - count // 2).isdisjoint(self._from_finish.opened(count // 2)):
            return []
        tails: dict[End, list[_Tail]] = {self.finish: [_NOTHING]}
        for left in range(1, count + 1):
            tails = self._longer(tails, count - left, left == 1, dearest)
            if not tails:
                return []
        whole = (_closed(tail, made) for near, made in joints_made(self.start).items() if made.psi >= self.psi
                 for tail in tails.get(near, ()) if made.condition not in tail.lacks)
        return [tail for tail in whole if tail.cost <= dearest and (not tail.waits or (tail.sets and not self.start_held))]

    def _longer(self, tails: dict[End, list[_Tail]], still: int, last: bool, dearest: int) -> dict[End, list[_Tail]]:
        """Every tail with one more part before it, by the end it begins with, when `still` parts are to come before that one."""
        shapes = {self.limits.shape_from if still == 0 else None, self.limits.shape_to if last else None} - {None}
        dearest -= penalty("part", "one") * still
        begins, ends = self._from_start.mouths(still), _joints_before(tails, () if last else self.limits.avoid)
        # The smaller side is walked from: few ends lie within a part or two of either.
        if len(begins) < len(ends):
            walked = ((option, option.used, option.near_lacks, option.far_lacks)
                      for near in begins for option in self.uses(near) if option.used.far in ends)
        else:
            walked = ((option, option.turned, option.far_lacks, option.near_lacks)
                      for far in ends for option in self.uses(far) if option.used.far in begins)
        longer: dict[End, list[_Tail]] = {}
        for option, used, near_lacks, far_lacks in walked:
            if shapes and any(used.part.shape != shape for shape in shapes):
                continue
            some = longer.setdefault(used.near, [])
            for made, behind in ends[used.far]:
                if made.condition in far_lacks or made.psi < self.psi:
                    continue
                left = dearest - option.cost - made.cost
                some += [_put_before(option, used, near_lacks, made, tail) for tail in behind
                         if tail.cost <= left and tail.bushings + option.bushing < 2 and made.condition not in tail.lacks
                         and not (option.elbow and self.finish_held and not tail.sets and not made.sets)]
        return {near: _unbeaten(some) for near, some in longer.items() if some}


@lru_cache(maxsize=64)
def _search_for(start: End, finish: End, limits: Limits, held: tuple[bool, bool]) -> _Search:
    """The search, kept for a while: refusals and plans ask the same question again with other limits on the whole chain."""
    return _Search(start, finish, limits, held)


def _joints_before(tails: dict[End, list[_Tail]], avoid: Sequence[str]) -> dict[End, list[tuple[Made, list[_Tail]]]]:
    """For every end that can stand before a tail: the joints that it makes with tails, none with a family to be avoided.

    In the order of the tables, so that of a part that fits either way round the same way is always told.
    """
    begins = {each: behind for each, behind in tails.items() if each.family not in avoid}
    before = {end for each in begins for end in joints_made(each) if end.family not in avoid}
    return {end: [(made, begins[each]) for each, made in joints_made(end).items() if each in begins] for end in before}


def _put_before(option: Option, used: Used, near_lacks: frozenset[str], made: Made, tail: _Tail) -> _Tail:
    return _Tail(
        (used, *tail.steps), option.names + tail.names, tail.cost + option.cost + made.cost, tail.had + option.had,
        min(option.psi, made.psi, tail.psi), tail.tapers + made.taper, tail.conditions + made.conditional,
        tail.bends + option.bends, option.bore if option.bore < tail.bore else tail.bore, tail.turns or made.turns,
        tail.bushings + option.bushing, tail.sets or made.sets, option.elbow or (tail.waits and not made.sets),
        near_lacks,
    )


def _closed(tail: _Tail, made: Made) -> _Tail:
    return tail._replace(cost=tail.cost + made.cost, psi=min(tail.psi, made.psi), tapers=tail.tapers + made.taper,
                         conditions=tail.conditions + made.conditional, turns=tail.turns or made.turns,
                         sets=tail.sets or made.sets, waits=tail.waits and not made.sets)


_Weighed = TypeVar("_Weighed", _Tail, Option)


def _unbeaten(some: Sequence[_Weighed]) -> list[_Weighed]:
    """Those that no other beats, the cheapest first."""
    kept: list[_Weighed] = []
    for each in sorted(some, key=_order):
        if not any(other.beats(each) for other in kept):
            kept.append(each)
    return kept


