"""The search for chains: level by level from both sides, keeping only what no other chain beats in every respect."""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from typing import NamedTuple

from fittings.ends import End, family
from fittings.limits import Limits
from fittings.mating import Seal, mate
from fittings.network import far_ends, joint_cost, part_cost, penalty, planned_partners
from fittings.parts import Part, parts_with
from fittings.ratings import Rating, rated_by_hose, rating, stud_series

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
    """The rest of a chain, seen from the end it begins with."""

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

    def beats(self, other: "_Tail") -> bool:
        """Whether no respect is worse than the other's."""
        return (
            self.cost <= other.cost and self.had <= other.had and self.psi >= other.psi
            and self.tapers <= other.tapers and self.conditions <= other.conditions and self.bends <= other.bends
            and self.narrowest >= other.narrowest and self.turns >= other.turns and self.bushings <= other.bushings
        )


_UNRATED, _UNLIMITED = -1, 999_999


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
    """Rating of a bare end in psi, -1 when it is not in our tables; a plain hose bore sets no limit of its own."""
    if rated_by_hose(of):
        return _UNLIMITED
    rated = rating(of)
    return _UNRATED if rated is None else rated.psi


def search(start: End, finish: End, limits: Limits) -> list[Chain]:
    if limits.psi is not None and min(end_psi(start), end_psi(finish)) < limits.psi:
        return []
    direct = next((mouth for mouth in planned_partners(start) if mouth.end == finish), None)
    if direct is not None and not limits.shape_from and not limits.shape_to:
        return [chain_through(start, finish, ())] if _frees(start, finish) or not limits.fixed else []
    most = MOST_PARTS if limits.max_parts is None else limits.max_parts
    search = _Search(start, finish, limits)
    found: list[_Tail] = []
    fewest = cheapest = 0
    for count in range(1, most + 1):
        if found:
            # A chain of so many parts costs at least that many times the points of one part.
            spare = WORTH_SHOWING if count <= min(fewest + 1, LONGEST_WITH_SPARE) else 0
            search.dearest = cheapest + spare
            if count * penalty("part", "one") > search.dearest:
                break
        tails = search.chains(count)
        if tails:
            found += tails
            fewest = fewest or count
            cheapest = min(tail.cost for tail in found)
    chains = [chain_through(start, finish, tail.steps) for tail in sorted(_unbeaten(found), key=_order)]
    chains = [chain for chain in chains if can_be_made_up(chain)]
    return [chain for chain in chains if chain.cost <= chains[0].cost + WORTH_SHOWING]


def _order(tail: _Tail) -> tuple[int, tuple[str, ...]]:
    return tail.cost, tail.names


class Option(NamedTuple):
    """One way to put a part on an open end, with what the part brings: points, psi, bore, and whether it bends."""

    used: Used
    cost: int
    had: int
    psi: int
    bore: float
    bends: int
    bushing: int
    coupler: bool
    name: str


@cache
def options(near: End) -> tuple[Option, ...]:
    """Every two-ended part that begins with `near`."""
    return tuple(
        Option(Used(part, near, far), part_cost(part), penalty("had", part.had), part_psi(part), part_bore(part),
               int(part.shape not in ("straight", "bushing")), int(part.shape == "bushing"), part.shape == "coupler", part.id)
        for part in parts_with(near) for far in far_ends(part, near)
    )


class Allowed:
    """The parts that the limits of one question allow."""

    def __init__(self, ends: Sequence[End], limits: Limits) -> None:
        self.avoid = frozenset(limits.avoid)
        # A port of a family to be avoided still needs a part of that family in it.
        self.given = frozenset(mouth.end for each in ends for mouth in planned_partners(each))
        # Couplers part a line that is to be taken apart; only an end that is one asks for the other half.
        self.couplers = any(family(each.family)["kin"] == "coupler" for each in ends)
        sizes = [each.nominal_16ths for each in ends if each.nominal_16ths is not None]
        self.bore = min(sizes) if limits.full_bore and sizes else 0.0
        self.psi = limits.psi if limits.psi is not None else _UNRATED - 1
        self._uses: dict[End, tuple[Option, ...]] = {}

    def part(self, part: Part) -> bool:
        """Whether a part keeps to pressure, bore and families, and brings in no coupler that nobody asked for."""
        return (
            part_psi(part) >= self.psi and part_bore(part) >= self.bore and self._families(part.ends)
            and (self.couplers or part.shape != "coupler")
        )

    def _families(self, ends: Sequence[End]) -> bool:
        return not any(each.family in self.avoid and each not in self.given for each in ends)

    def uses(self, near: End) -> tuple[Option, ...]:
        """Allowed two-ended parts that begin with `near`."""
        known = self._uses.get(near)
        if known is None:
            psi, bore, couplers, avoid = self.psi, self.bore, self.couplers, self.avoid
            known = self._uses[near] = tuple(
                option for option in options(near)
                if option.psi >= psi and option.bore >= bore and (couplers or not option.coupler)
                and (not avoid or self._families(option.used.part.ends))
            )
        return known


class _Search:
    """One question's search: the unbeaten tails from an end, by number of parts."""

    def __init__(self, start: End, finish: End, limits: Limits) -> None:
        self.start, self.finish, self.limits = start, finish, limits
        self.uses = Allowed((start, finish), limits).uses
        self._opened: list[set[End]] = [{start}]
        self.dearest = 10**9

    def opened(self, count: int) -> set[End]:
        """Ends that can be open after `count` parts from the start."""
        while len(self._opened) <= count:
            mouths = {mouth.end for each in self._opened[-1] for mouth in planned_partners(each)}
            self._opened.append({option.used.far for each in mouths for option in self.uses(each)})
        return self._opened[count]

    def chains(self, count: int) -> list[_Tail]:
        """Unbeaten chains of exactly `count` parts that are not too dear to show."""
        near_start = {mouth.end: mouth for mouth in planned_partners(self.start)}
        tails: dict[End, list[_Tail]] = {self.finish: [_Tail((), (), 0, 0, _UNLIMITED, 0, 0, 0, 999.0, False, 0)]}
        for left in range(1, count + 1):
            dearest = self.dearest - penalty("part", "one") * (count - left)
            # The nearer side is walked from: few ends lie within a part or two of either.
            if left == count:
                tails = self._longer(tails, near_start, True, left == 1, dearest)
            elif left <= count // 2:
                tails = self._back(tails, left == 1, dearest)
            else:
                mouths = {mouth.end for each in self.opened(count - left) for mouth in planned_partners(each)}
                tails = self._longer(tails, mouths, False, False, dearest)
            if not tails:
                return []
        whole = [
            self._closed(tail, near_start[near].condition, _frees(self.start, near))
            for near, some in tails.items() if near in near_start
            for tail in some
        ]
        return [tail for tail in whole if (tail.turns or not self.limits.fixed) and tail.cost <= self.dearest]

    def _back(self, tails: dict[End, list[_Tail]], last: bool, dearest: int) -> dict[End, list[_Tail]]:
        """Every tail with one more part before it, found from the parts that fit the tails' own ends."""
        shape = self.limits.shape_to if last else None
        avoid = () if last else self.limits.avoid
        longer: dict[End, list[_Tail]] = {}
        for begins, behind in tails.items():
            for mouth in planned_partners(begins):
                if avoid and (begins.family in avoid or mouth.end.family in avoid):
                    continue
                spent, frees = joint_cost(mouth.condition), _frees(mouth.end, begins)
                for option in self.uses(mouth.end):
                    if shape and option.used.part.shape != shape:
                        continue
                    turned = option._replace(used=Used(option.used.part, option.used.far, option.used.near))
                    longer.setdefault(turned.used.near, []).extend(
                        self._put_before(turned, spent + option.cost, mouth.condition, tail, frees)
                        for tail in behind
                        if spent + option.cost + tail.cost <= dearest and tail.bushings + option.bushing < 2)
        return {near: _unbeaten(some) for near, some in longer.items() if some}

    def _longer(self, tails: dict[End, list[_Tail]], mouths: Iterable[End], first: bool, last: bool,
                dearest: int) -> dict[End, list[_Tail]]:
        shapes = {self.limits.shape_from if first else None, self.limits.shape_to if last else None} - {None}
        avoid = () if last else self.limits.avoid
        longer: dict[End, list[_Tail]] = {}
        for near in mouths:
            some: list[_Tail] = []
            for option in self.uses(near):
                if shapes and any(option.used.part.shape != shape for shape in shapes):
                    continue
                for mouth in planned_partners(option.used.far):
                    behind = tails.get(mouth.end)
                    if behind is None or (avoid and (option.used.far.family in avoid or mouth.end.family in avoid)):
                        continue
                    spent = option.cost + joint_cost(mouth.condition)
                    frees = _frees(option.used.far, mouth.end)
                    some += [self._put_before(option, spent, mouth.condition, tail, frees)
                             for tail in behind if spent + tail.cost <= dearest and tail.bushings + option.bushing < 2]
            if some:
                longer[near] = _unbeaten(some)
        return longer

    @staticmethod
    def _put_before(option: Option, spent: int, condition: str, tail: _Tail, frees: bool) -> _Tail:
        return _Tail(
            (option.used, *tail.steps), (option.name, *tail.names), tail.cost + spent, tail.had + option.had, min(tail.psi, option.psi),
            tail.tapers + (condition == "sealant"), tail.conditions + (condition not in ("", "face-seal-fitted")),
            tail.bends + option.bends, min(tail.narrowest, option.bore), tail.turns or frees,
            tail.bushings + option.bushing,
        )

    @staticmethod
    def _closed(tail: _Tail, condition: str, frees: bool) -> _Tail:
        return tail._replace(
            cost=tail.cost + joint_cost(condition), tapers=tail.tapers + (condition == "sealant"),
            conditions=tail.conditions + (condition not in ("", "face-seal-fitted")), turns=tail.turns or frees,
        )


@cache
def _frees(a: End, b: End) -> bool:
    return "turns" in (a.moves, b.moves)


def _unbeaten(tails: list[_Tail]) -> list[_Tail]:
    kept: list[_Tail] = []
    for tail in sorted(tails, key=_order):
        if not any(other.beats(tail) for other in kept):
            kept.append(tail)
    return kept


def chain_through(start: End, finish: End, steps: Sequence[Used]) -> Chain:
    """The chain from `start` to `finish` through these parts, its joints judged and rated, its points counted."""
    joints = tuple(_joints(start, finish, steps))
    weakest = min(range(len(joints)), key=lambda index: _joint_psi(joints[index]))
    conditions = [_condition(joint.a, joint.b) for joint in joints]
    points = sum(part_cost(used.part) for used in steps) + sum(joint_cost(each) for each in conditions)
    return Chain(start, finish, tuple(steps), joints, joints[weakest].rating, weakest, points, "")


def _joint_psi(of: Joint) -> int:
    if rated_by_hose(of.a):
        return _UNLIMITED
    return of.rating.psi if of.rating else _UNRATED


def _condition(a: End, b: End) -> str:
    return next((mouth.condition for mouth in planned_partners(a) if mouth.end == b), "")


def can_be_made_up(chain: Chain) -> bool:
    """Whether a fitter can put it together: every elbow can be set to its angle, and there are not two bushings."""
    for index, used in enumerate(chain.parts):
        around = [*chain.joints[index][:2], *chain.joints[index + 1][:2]]
        if used.part.shape in ("45", "90") and all(each.moves == "rigid" for each in around):
            return False
    return sum(used.part.shape == "bushing" for used in chain.parts) < 2


def _joints(start: End, finish: End, steps: Sequence[Used]) -> Iterator[Joint]:
    left, series = start, ""
    for used in steps:
        yield joint(left, used.near, series, stud_series(used.far))
        left, series = used.far, stud_series(used.near)
    yield joint(left, finish, series, "")


def joint(a: End, b: End, series_a: str = "", series_b: str = "") -> Joint:
    """The joint of two ends in a chain, rated by its weaker end (a stud by the series of its part)."""
    verdict = mate(a, b)
    rated = [rating(a, series_a), rating(b, series_b)]
    known = [each for each in rated if each is not None]
    weaker = min(known, key=lambda each: each.psi) if len(known) == len(rated) else None
    return Joint(a, b, verdict.verdict, verdict.condition, verdict.seal, weaker)
