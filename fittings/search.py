"""The search for chains: level by level from both sides, keeping only what no other chain beats in every respect."""

from collections.abc import Callable, Iterator, Sequence
from functools import cache, lru_cache
from typing import NamedTuple, TypeVar

from fittings.ends import End, family
from fittings.limits import Limits
from fittings.mating import Seal, mate
from fittings.network import far_ends, joint_cost, part_cost, penalty, planned_partners
from fittings.parts import Part, parts_with
from fittings.ratings import Rating, rated_by_hose, rating, strongest_hose, stud_series

WORTH_SHOWING = 1600
"""Points by which an alternative may be dearer than the best chain: one part more and some trouble."""

LONGEST_WITH_SPARE = 3
"""Chains longer than this are looked for only where they could be the best: such a stack is bad enough as it is."""

MOST_PARTS = 4
"""Parts that a chain may have when nothing else is asked: a longer stack is a lever that breaks its port."""


class Used(NamedTuple):
    """A part as it lies in a chain: `near` looks to the start, `far` to the end."""

    part: Part
    near: End
    far: End


class Joint(NamedTuple):
    """A joint of a chain: the two ends, how it holds, its rating in psi (None: not in our tables)."""

    a: End
    b: End
    verdict: str
    condition: str | None
    seal: Seal | None
    rating: Rating | None


class Chain(NamedTuple):
    """Parts in order from the first end to the second, with their joints; `weakest` is the index of the joint that rules."""

    start: End
    finish: End
    parts: tuple[Used, ...]
    joints: tuple[Joint, ...]
    rating: Rating | None
    weakest: int
    cost: int
    gives_up: str


class _Tail(NamedTuple):
    """The rest of a chain, seen from the end it begins with.

    `sets`: one of its joints can be set to an angle; `waits`: one of its elbows has no such joint between it and the start.
    """

    steps: tuple[Used, ...]
    names: tuple[str, ...]
    cost: int
    had: int
    psi: int
    tapers: int
    conditions: int
    bends: int
    narrowest: float
    turns: bool
    bushings: int
    sets: bool
    waits: bool

    def beats(self, other: "_Tail") -> bool:
        """Whether no respect is worse than the other's."""
        return (
            self.cost <= other.cost and self.had <= other.had and self.psi >= other.psi
            and self.tapers <= other.tapers and self.conditions <= other.conditions and self.bends <= other.bends
            and self.narrowest >= other.narrowest and self.turns >= other.turns and self.bushings <= other.bushings
            and self.sets >= other.sets and self.waits <= other.waits
        )


_UNRATED, _UNLIMITED = -1, 999_999
_NO_BOUND = 10**9
_NOTHING = _Tail((), (), 0, 0, _UNLIMITED, 0, 0, 0, 999.0, False, 0, False, False)


@cache
def part_psi(part: Part) -> int:
    """Lowest rating of a part's ends in psi, a stud by the series of the part's far side; -1 when one is not in our tables."""
    lowest = None
    for index, each in enumerate(part.ends):
        if rated_by_hose(each):
            continue
        others = part.ends[:index] + part.ends[index + 1 :]
        of = rating(each, stud_series(others[0]) if others else "")
        if of is None:
            return _UNRATED
        lowest = of.psi if lowest is None else min(lowest, of.psi)
    return _UNRATED if lowest is None else lowest


@cache
def part_bore(part: Part) -> float:
    """Narrowest nominal size of a part's ends in sixteenths of an inch (a large number when only threads are named)."""
    return min((each.nominal_16ths for each in part.ends if each.nominal_16ths is not None), default=999.0)


def end_psi(of: End) -> int:
    """Rating of a bare end in psi, of a hose that of the strongest hose of its size; -1 when it is not in our tables."""
    rated = _rating(of, "")
    return _UNRATED if rated is None else rated.psi


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
    if direct is not None and not limits.shape_from and not limits.shape_to:
        return [_NOTHING] if direct.turns or not limits.fixed else []
    most = MOST_PARTS if limits.max_parts is None else limits.max_parts
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


def _order(of: "_Tail | Option") -> tuple[int, tuple[str, ...]]:
    return of.cost, of.names


class Option(NamedTuple):
    """One way to put a part on an open end, with what the part brings: points, psi, bore, and whether it bends.

    `turned` is the part as it lies in a chain that is walked from its other end.
    """

    used: Used
    turned: Used
    cost: int
    had: int
    psi: int
    bore: float
    bends: int
    elbow: bool
    bushing: int
    coupler: bool
    names: tuple[str]

    def beats(self, other: "Option") -> bool:
        """Whether no respect is worse than that of the other, which leads to the same end."""
        return (
            self.cost <= other.cost and self.had <= other.had and self.psi >= other.psi and self.bore >= other.bore
            and self.bends <= other.bends and self.elbow <= other.elbow and self.bushing <= other.bushing
            and self.coupler <= other.coupler
        )


_known_ends: dict[End, End] = {}


def _one(end: End) -> End:
    """The one object for an end: ends that are the same object are found in sets and tables without looking at their words."""
    return _known_ends.setdefault(end, end)


@cache
def options(near: End) -> tuple[Option, ...]:
    """Every two-ended part that begins with `near`."""
    near = _one(near)
    return tuple(
        Option(Used(part, near, far), Used(part, far, near), part_cost(part), penalty("had", part.had), part_psi(part),
               part_bore(part), int(part.shape not in ("straight", "bushing")), bends(part), int(part.shape == "bushing"),
               part.shape == "coupler", (part.id,))
        for part in parts_with(near) for far in map(_one, far_ends(part, near))
    )


@cache
def best_options(near: End) -> tuple[Option, ...]:
    """Those of `options` that are enough where no shape is asked for: none that another to the same end beats."""
    by_end: dict[End, list[Option]] = {}
    for option in options(near):
        by_end.setdefault(option.used.far, []).append(option)
    return tuple(option for some in by_end.values() for option in _unbeaten(some))


def bends(part: Part) -> bool:
    """Whether a part is an elbow."""
    return part.shape.endswith(("45", "90"))


def can_be_set(a: End, b: End) -> bool:
    """Whether the joint of two ends holds at any angle: a nut, a locknut, a flange, a crimp, or a taper thread within a turn."""
    return not a.moves == b.moves == "rigid"


class Made(NamedTuple):
    """What a joint brings to a chain: points, whether it is a taper thread, whether it has a condition, whether it turns,
    whether it can be set to an angle."""

    cost: int
    taper: bool
    conditional: bool
    turns: bool
    sets: bool


@cache
def joints_made(of: End) -> dict[End, Made]:
    """The joints that a plan may count on an end to make, by the other end."""
    return {
        _one(mouth.end): Made(joint_cost(mouth.condition), mouth.condition == "sealant",
                               mouth.condition not in ("", "face-seal-fitted"), "turns" in (of.moves, mouth.end.moves),
                               can_be_set(of, mouth.end))
        for mouth in planned_partners(of)
    }


class _Known(NamedTuple):
    """What was found out under the same limits before: the parts that begin with an end, those of them that no other beats,
    the ends that follow an open end."""

    uses: dict[End, tuple[Option, ...]]
    best: dict[End, tuple[Option, ...]]
    opens: dict[End, frozenset[End]]


@lru_cache(maxsize=32)
def _known(psi: int, bore: float, couplers: bool, avoid: frozenset[str], given: frozenset[End]) -> _Known:
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
        self.psi = limits.psi if limits.psi is not None else _UNRATED - 1
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
        whole = (_closed(tail, made) for near, made in joints_made(self.start).items() for tail in tails.get(near, ()))
        return [tail for tail in whole if tail.cost <= dearest and (not tail.waits or (tail.sets and not self.start_held))]

    def _longer(self, tails: dict[End, list[_Tail]], still: int, last: bool, dearest: int) -> dict[End, list[_Tail]]:
        """Every tail with one more part before it, by the end it begins with, when `still` parts are to come before that one."""
        shapes = {self.limits.shape_from if still == 0 else None, self.limits.shape_to if last else None} - {None}
        dearest -= penalty("part", "one") * still
        begins, ends = self._from_start.mouths(still), _joints_before(tails, () if last else self.limits.avoid)
        # The smaller side is walked from: few ends lie within a part or two of either.
        if len(begins) < len(ends):
            walked = ((option, option.used) for near in begins for option in self.uses(near) if option.used.far in ends)
        else:
            walked = ((option, option.turned) for far in ends for option in self.uses(far) if option.used.far in begins)
        longer: dict[End, list[_Tail]] = {}
        for option, used in walked:
            if shapes and any(used.part.shape != shape for shape in shapes):
                continue
            some = longer.setdefault(used.near, [])
            for made, behind in ends[used.far]:
                left = dearest - option.cost - made.cost
                some += [_put_before(option, used, made, tail) for tail in behind
                         if tail.cost <= left and tail.bushings + option.bushing < 2
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


def _put_before(option: Option, used: Used, made: Made, tail: _Tail) -> _Tail:
    return _Tail(
        (used, *tail.steps), option.names + tail.names, tail.cost + option.cost + made.cost, tail.had + option.had,
        option.psi if option.psi < tail.psi else tail.psi, tail.tapers + made.taper, tail.conditions + made.conditional,
        tail.bends + option.bends, option.bore if option.bore < tail.narrowest else tail.narrowest, tail.turns or made.turns,
        tail.bushings + option.bushing, tail.sets or made.sets, option.elbow or (tail.waits and not made.sets),
    )


def _closed(tail: _Tail, made: Made) -> _Tail:
    return tail._replace(cost=tail.cost + made.cost, tapers=tail.tapers + made.taper, conditions=tail.conditions + made.conditional,
                         turns=tail.turns or made.turns, sets=tail.sets or made.sets, waits=tail.waits and not made.sets)


_Weighed = TypeVar("_Weighed", _Tail, Option)


def _unbeaten(some: Sequence[_Weighed]) -> list[_Weighed]:
    """Those that no other beats, the cheapest first."""
    kept: list[_Weighed] = []
    for each in sorted(some, key=_order):
        if not any(other.beats(each) for other in kept):
            kept.append(each)
    return kept


def chain_through(start: End, finish: End, steps: Sequence[Used]) -> Chain:
    """The chain from `start` to `finish` through these parts, its joints judged and rated, its points counted."""
    joints = tuple(_joints(start, finish, steps))
    weakest = min(range(len(joints)), key=lambda index: _joint_psi(joints[index]))
    points = sum(part_cost(used.part) for used in steps) + sum(_points(each.a, each.b) for each in joints)
    return Chain(start, finish, tuple(steps), joints, joints[weakest].rating, weakest, points, "")


def _joint_psi(of: Joint) -> int:
    return of.rating.psi if of.rating else _UNRATED


def _points(a: End, b: End) -> int:
    made = joints_made(a).get(b)
    return joint_cost("") if made is None else made.cost


def can_be_made_up(chain: Chain, fixed: bool) -> bool:
    """Whether a fitter can put it together: every elbow can be set to its angle, and there are not two bushings.

    `fixed`: both ends are held; a port always is. Seen from an end that is held, a joint up to the elbow must be one that can
    be set: a shoulder or a cone that is drawn tight stops where it stops.
    """
    sets = [can_be_set(each.a, each.b) for each in chain.joints]
    for index, used in enumerate(chain.parts):
        before, behind = any(sets[: index + 1]), any(sets[index + 1 :])
        if bends(used.part) and not (
                (before or behind) and (before or not (fixed or chain.start.held)) and (behind or not (fixed or chain.finish.held))):
            return False
    return sum(used.part.shape == "bushing" for used in chain.parts) < 2


def winds_an_elbow(chain: Chain, index: int) -> bool:
    """Whether the joint of that index is a taper thread that an elbow beside it is pointed on."""
    joint = chain.joints[index]
    return "winds" in (joint.a.moves, joint.b.moves) and any(bends(used.part) for used in chain.parts[max(index - 1, 0):index + 1])


def _joints(start: End, finish: End, steps: Sequence[Used]) -> Iterator[Joint]:
    left, series = start, ""
    for used in steps:
        yield joint(left, used.near, series, stud_series(used.far))
        left, series = used.far, stud_series(used.near)
    yield joint(left, finish, series, "")


def _rating(of: End, series: str) -> Rating | None:
    return strongest_hose(of) if rated_by_hose(of) else rating(of, series)


@cache
def joint(a: End, b: End, series_a: str = "", series_b: str = "") -> Joint:
    """The joint of two ends in a chain, rated by its weaker end (a stud by the series of its part)."""
    verdict = mate(a, b)
    rated = [_rating(a, series_a), _rating(b, series_b)]
    known = [each for each in rated if each is not None]
    weaker = min(known, key=lambda each: each.psi) if len(known) == len(rated) else None
    return Joint(a, b, verdict.verdict, verdict.condition, verdict.seal, weaker)
