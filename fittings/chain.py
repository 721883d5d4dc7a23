"""A chain of parts as a fitter holds it: its joints with seal and rating, its points, and whether it can be put together."""

from collections.abc import Iterator, Sequence
from functools import cache
from typing import NamedTuple

from fittings.ends import End, turns_freely
from fittings.mating import Seal, joint_condition, mate, rated_as
from fittings.network import joint_cost, part_cost, planned_partners
from fittings.parts import Part, is_elbow, lacks
from fittings.ratings import Rating, rated_by_hose, rating, series_among, strongest_hose, stud_series

UNRATED = -1
"""Stands for a pressure that our tables do not hold."""

UNLIMITED = 999_999
"""Stands for a pressure that nothing limits."""


class Used(NamedTuple):
    """A part as it lies in a chain: `near` looks to the start, `far` to the end."""

    part: Part
    near: End
    far: End

    @property
    def turned(self) -> "Used":
        """The same part as it lies in the chain walked the other way."""
        return Used(self.part, self.far, self.near)


class Joint(NamedTuple):
    """A joint of a chain: the two ends, how it holds, its rating in psi (None: not in our tables), the series of the part
    that its stud belongs to (`L`, `S`, '' not known), the condition in words and its key ('' for none)."""

    a: End
    b: End
    verdict: str
    condition: str | None
    seal: Seal | None
    rating: Rating | None
    series: str = ""
    condition_key: str = ""

    @property
    def turns_freely(self) -> bool:
        """Whether it can be tightened while the parts at both sides stand still."""
        return turns_freely(self.a, self.b)

    @property
    def turned(self) -> "Joint":
        """The same joint in the chain walked the other way."""
        return self._replace(a=self.b, b=self.a)


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

    @property
    def needs_a_turn(self) -> bool:
        """Whether two ends that stand still are joined by nothing that turns: one of them must then be turned as a whole."""
        return self.start.held and self.finish.held and not any(each.turns_freely for each in self.joints)

    @property
    def turned(self) -> "Chain":
        """The same chain walked the other way."""
        return self._replace(start=self.finish, finish=self.start, parts=tuple(used.turned for used in reversed(self.parts)),
                             joints=tuple(each.turned for each in reversed(self.joints)), weakest=len(self.joints) - 1 - self.weakest)


def chain_through(start: End, finish: End, steps: Sequence[Used], series: tuple[str, str] = ("", "")) -> Chain:
    """The chain from `start` to `finish` through these parts, its joints judged and rated, its points counted.

    `series`: that of the studs which `start` and `finish` are, where they belong to a tee (`stud_series`).
    """
    joints = tuple(_joints(start, finish, steps, series))
    weakest = min(range(len(joints)), key=lambda index: _joint_psi(joints[index]))
    points = sum(part_cost(used.part) for used in steps) + sum(_points(each.a, each.b) for each in joints)
    return Chain(start, finish, tuple(steps), joints, joints[weakest].rating, weakest, points, "")


def _joints(start: End, finish: End, steps: Sequence[Used], series: tuple[str, str]) -> Iterator[Joint]:
    left, of_left = start, series[0]
    for used in steps:
        yield joint(left, used.near, of_left, stud_series(used.far))
        left, of_left = used.far, stud_series(used.near)
    yield joint(left, finish, of_left, series[1])


@cache
def joint(a: End, b: End, series_a: str = "", series_b: str = "") -> Joint:
    """The joint of two ends in a chain, rated by its weaker end (a stud by the series of its part), and by what one stands for."""
    verdict = mate(a, b)
    stands_for = rated_as(a, b)
    rated = [_rating(a, series_a), _rating(b, series_b), *([rating(stands_for)] if stands_for else [])]
    known = [each for each in rated if each is not None]
    # Of two alike the same one is told, whichever end is named first.
    weaker = min(known) if len(known) == len(rated) else None
    return Joint(a, b, verdict.verdict, verdict.condition, verdict.seal, rating=weaker,
                 series=series_a if a.side == "external" else series_b, condition_key=verdict.condition_key)


def _rating(of: End, series: str) -> Rating | None:
    return strongest_hose(of) if rated_by_hose(of) else rating(of, series)


def _joint_psi(of: Joint) -> int:
    return of.rating.psi if of.rating else UNRATED


def _points(a: End, b: End) -> int:
    made = joints_made(a).get(b)
    return joint_cost("") if made is None else made.cost


class Made(NamedTuple):
    """What a joint brings to a chain: points, what it depends on (key of a condition, '' for nothing), the psi that it holds whatever
    its ends hold, whether it is a taper thread, whether it has a condition, whether it turns, whether it can be set to an angle."""

    cost: int
    condition: str
    psi: float
    taper: bool
    conditional: bool
    turns: bool
    sets: bool


@cache
def joints_made(of: End) -> dict[End, Made]:
    """The joints that a plan may count on an end to make, by the other end."""
    return {
        one_end(mouth.end): Made(joint_cost(mouth.condition), mouth.condition, _psi_as(rated_as(of, mouth.end)),
                               mouth.condition == "sealant", mouth.condition not in ("", "face-seal-fitted"),
                               turns_freely(of, mouth.end), can_be_set(of, mouth.end))
        for mouth in planned_partners(of)
    }


def _psi_as(stands_for: End | None) -> float:
    return UNLIMITED if stands_for is None else end_psi(stands_for)


_known_ends: dict[End, End] = {}


def one_end(end: End) -> End:
    """The one object for an end: ends that are the same object are found in sets and tables without looking at their words."""
    return _known_ends.setdefault(end, end)


def can_be_made_up(chain: Chain, fixed: bool) -> bool:
    """Whether a fitter can put it together: every elbow can be set to its angle, no joint depends on what its part never has, and
    there are not two bushings.

    `fixed`: both ends are held; a port always is. Seen from an end that is held, a joint up to the elbow must be one that can
    be set: a shoulder or a cone that is drawn tight stops where it stops.
    """
    if any(never_has(chain, index) for index in range(len(chain.joints))):
        return False
    sets = [can_be_set(each.a, each.b) for each in chain.joints]
    for index, used in enumerate(chain.parts):
        before, behind = any(sets[: index + 1]), any(sets[index + 1 :])
        if bends(used.part) and not (
                (before or behind) and (before or not (fixed or chain.start.held)) and (behind or not (fixed or chain.finish.held))):
            return False
    return sum(used.part.shape == "bushing" for used in chain.parts) < 2


def never_has(chain: Chain, index: int) -> bool:
    """Whether the joint of that index depends on a shoulder or a chamfer that the part on one side of it never has."""
    joint = chain.joints[index]
    condition = joint_condition(joint.a, joint.b)
    before, behind = chain.parts[:index][-1:], chain.parts[index:index + 1]
    return (any(condition in lacks(used.part, used.far) for used in before)
            or any(condition in lacks(used.part, used.near) for used in behind))


def winds_an_elbow(chain: Chain, index: int) -> bool:
    """Whether the joint of that index is a taper thread that an elbow beside it is pointed on."""
    joint = chain.joints[index]
    return "winds" in (joint.a.moves, joint.b.moves) and any(bends(used.part) for used in chain.parts[max(index - 1, 0):index + 1])


def bends(part: Part) -> bool:
    """Whether a part is an elbow."""
    return is_elbow(part.shape)


def can_be_set(a: End, b: End) -> bool:
    """Whether the joint of two ends holds at any angle: a nut, a locknut, a flange, a crimp, or a taper thread within a turn."""
    return not a.moves == b.moves == "rigid"


@cache
def part_psi(part: Part) -> float:
    """Lowest exact rating of a part's ends in psi, a stud by the series of the part's far side; -1 when one is not in our tables."""
    lowest: float | None = None
    for each in part.ends:
        if rated_by_hose(each):
            continue
        of = rating(each, series_among(part.ends, each))
        if of is None:
            return UNRATED
        lowest = of.exact_psi if lowest is None else min(lowest, of.exact_psi)
    return UNRATED if lowest is None else lowest


@cache
def part_bore(part: Part) -> float:
    """Narrowest nominal size of a part's ends in sixteenths of an inch (a large number when only threads are named)."""
    return min((each.nominal_16ths for each in part.ends if each.nominal_16ths is not None), default=999.0)


def end_psi(of: End) -> float:
    """Exact rating of a bare end in psi, of a hose that of the strongest hose of its size; -1 when it is not in our tables."""
    rated = _rating(of, "")
    return UNRATED if rated is None else rated.exact_psi
