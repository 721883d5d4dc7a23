"""Chains of parts between two ends: the best ones, or every smallest set of reasons why there is none.

A chain is walked from the open end at one side to the open end at the other. It is searched level by level from both
sides, so that only ends that lie on some chain are looked at, and of the chains through one end only those are kept
that no other beats in every respect.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import combinations
from typing import NamedTuple

from fittings.ends import End, family
from fittings.network import cost as step_cost
from fittings.network import far_ends, joint_cost, part_cost, penalty, planned_partners
from fittings.mating import Seal, mate
from fittings.parts import Part, parts_with
from fittings.ratings import Rating, rated_by_hose, rating, stud_series
from fittings.reasons import Reason, reason

WORTH_SHOWING = 1600
"""Points by which an alternative may be dearer than the best chain: one part more and some trouble."""

LONGEST_WITH_SPARE = 3
"""Chains longer than this are looked for only where they could be the best: such a stack is bad enough as it is."""

MOST_PARTS = 4
"""Parts that a chain may have when nothing else is asked: a longer stack is a lever that breaks its port."""


class Limits(NamedTuple):
    """What a chain must keep to. `psi` working pressure; `avoid` family keys (but where
    an end itself is one); `shape_from`, `shape_to` (`straight`, `45`,
    `90`) of the first and last part; `full_bore` no part narrower than the narrower end; `fixed` both ends are held and
    cannot be turned; `max_parts`."""

    psi: int | None = None
    avoid: tuple[str, ...] = ()
    max_parts: int | None = None
    shape_from: str | None = None
    shape_to: str | None = None
    full_bore: bool = False
    fixed: bool = False


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


class Fact(NamedTuple):
    """A numbered fact of a refusal."""

    n: int
    code: str
    text: str
    sources: tuple[str, ...]


class Hint(NamedTuple):
    """Something that would help, tried before it is told: `code`, `text`, and the command that does it."""

    code: str
    text: str
    run: str


class Refusal(NamedTuple):
    """Why there is no chain: `kind` impossible | excluded by your limits; `because` lists sets of fact numbers."""

    kind: str
    facts: tuple[Fact, ...]
    because: tuple[tuple[int, ...], ...]
    hints: tuple[Hint, ...]


class Answer(NamedTuple):
    """Chains, best first, or a refusal."""

    start: End
    finish: End
    chains: tuple[Chain, ...]
    refused: Refusal | None


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


def join(start: End, finish: End, limits: Limits = Limits(), best: int = 3) -> Answer:
    """The best chains from `start` to `finish` under `limits`, at most `best` of them, or the reasons why there is none.

    Ends that mate directly give one chain with no parts. The first chain costs least (`data/preferences.csv`); the
    others are not beaten by any in every respect: number of parts, how easily had, rating, seals, bends, bore.
    """
    chains = _search(start, finish, limits)
    if chains:
        return Answer(start, finish, _tell_apart(chains[:best]), None)
    return Answer(start, finish, (), _refuse(start, finish, limits))


def _search(start: End, finish: End, limits: Limits) -> list[Chain]:
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
        self._reach: list[set[End]] = [{finish}]
        self.dearest = 10**9

    def _further(self, ends: Iterable[End]) -> set[End]:
        mouths = {mouth.end for each in ends for mouth in planned_partners(each)}
        return {option.used.far for each in mouths for option in self.uses(each)}

    def opened(self, count: int) -> set[End]:
        """Ends that can be open after `count` parts from the start."""
        while len(self._opened) <= count:
            self._opened.append(self._further(self._opened[-1]))
        return self._opened[count]

    def reach(self, count: int) -> set[End]:
        """Ends that a tail of `count` parts can begin with; with no part left, the finish itself."""
        while len(self._reach) <= count:
            self._reach.append(self._further(self._reach[-1]))
        return self._reach[count]

    def chains(self, count: int) -> list[_Tail]:
        """Unbeaten chains of exactly `count` parts that are not too dear to show."""
        near_start = {mouth.end: mouth for mouth in planned_partners(self.start)}
        tails: dict[End, list[_Tail]] = {self.finish: [_Tail((), (), 0, 0, _UNLIMITED, 0, 0, 0, 999.0, False, 0)]}
        for left in range(1, count + 1):
            # Ends are told from the nearer side: few lie within a part or two of either.
            mouths = self.reach(left) if left <= count // 2 else {
                mouth.end for each in self.opened(count - left) for mouth in planned_partners(each)}
            dearest = self.dearest - penalty("part", "one") * (count - left)
            tails = self._longer(tails, mouths, left == count, left == 1, dearest)
            if not tails:
                return []
        whole = [
            self._closed(tail, near_start[near].condition, _frees(self.start, near))
            for near, some in tails.items() if near in near_start
            for tail in some
        ]
        return [tail for tail in whole if (tail.turns or not self.limits.fixed) and tail.cost <= self.dearest]

    def _longer(self, tails: dict[End, list[_Tail]], mouths: set[End], first: bool, last: bool,
                dearest: int) -> dict[End, list[_Tail]]:
        shapes = {self.limits.shape_from if first else None, self.limits.shape_to if last else None} - {None}
        longer: dict[End, list[_Tail]] = {}
        for near in mouths:
            some: list[_Tail] = []
            for option in self.uses(near):
                if shapes and any(option.used.part.shape != shape for shape in shapes):
                    continue
                for mouth in planned_partners(option.used.far):
                    behind = tails.get(mouth.end)
                    if behind is None:
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


def _tell_apart(chains: list[Chain]) -> tuple[Chain, ...]:
    first = chains[0]
    return (first, *(chain._replace(gives_up=_gives_up(chain, first)) for chain in chains[1:]))


def _gives_up(chain: Chain, first: Chain) -> str:
    said, gains = [], []
    more = len(chain.parts) - len(first.parts)
    if more > 0:
        said.append(f"{more} part{'s' if more > 1 else ''} more")
    _weigh(_hardest(first) - _hardest(chain), said, gains, "harder to get", "easier to get")
    ours, theirs = (each.rating.psi if each.rating else None for each in (chain, first))
    if theirs is not None and ours is None:
        said.append("no rating in our tables")
    elif ours is not None and theirs is not None and ours != theirs:
        _weigh(ours - theirs, said, gains, f"rated {theirs - ours} psi lower", f"rated {ours - theirs} psi higher")
    wants, wanted = ({joint.condition for joint in each.joints if joint.condition} for each in (chain, first))
    said += [f"holds only if {condition}" for condition in sorted(wants - wanted)]
    gains += [f"need not ask whether {condition}" for condition in sorted(wanted - wants)]
    bends, straighter = (sum(used.part.shape not in ("straight", "bushing") for used in one.parts) for one in (chain, first))
    _weigh(straighter - bends, said, gains, "not straight", "straighter")
    narrow, wide = (min((part_bore(used.part) for used in one.parts), default=999.0) for one in (chain, first))
    _weigh(narrow - wide, said, gains, "narrower bore", "wider bore")
    text = "gives up: " + ", ".join(said) if said else "gives up nothing much"
    return text + ("; gains: " + ", ".join(gains) if gains else "")


def _weigh(gain: float, said: list[str], gains: list[str], worse: str, better: str) -> None:
    if gain < 0:
        said.append(worse)
    elif gain > 0:
        gains.append(better)


def _hardest(chain: Chain) -> int:
    return max((penalty("had", used.part.had) for used in chain.parts), default=0)


# --- why there is no chain -------------------------------------------------------------------------------------------

_LIMIT_WORDS = ("psi", "max_parts", "shape_from", "shape_to", "full_bore", "fixed")


def _asked(limits: Limits) -> list[tuple[str, str]]:
    """The limits that were set, one by one: (name, value); each family to avoid is a limit of its own."""
    asked = [(name, str(getattr(limits, name))) for name in _LIMIT_WORDS if getattr(limits, name)]
    return asked + [("avoid", each) for each in limits.avoid]


def _only(limits: Limits, kept: Iterable[tuple[str, str]]) -> Limits:
    """The same question with only the limits in `kept`."""
    bare = Limits()
    for name, value in kept:
        bare = bare._replace(avoid=(*bare.avoid, value)) if name == "avoid" else bare._replace(
            **{name: getattr(limits, name)})
    return bare


def _refuse(start: End, finish: End, limits: Limits) -> Refusal:
    facts: list[Fact] = []

    def fact(said: Reason) -> int:
        facts.append(Fact(len(facts) + 1, said.code, said.text, said.sources))
        return len(facts)

    base = [fact(reason("takes", end=each.say, takes=_takes(each))) for each in dict.fromkeys((start, finish))]
    asked = _asked(limits)
    tried: dict[tuple[tuple[str, str], ...], bool] = {}

    def blocked(kept: tuple[tuple[str, str], ...]) -> bool:
        if kept not in tried:
            tried[kept] = not _search(start, finish, _only(limits, kept))
        return tried[kept]

    if blocked(()):
        most = max(MOST_PARTS, limits.max_parts or 0)
        number = fact(reason("no-link", most=most, a=start.say, b=finish.say))
        return Refusal("impossible", tuple(facts), ((*base, number),), ())
    numbers = {each: fact(_limit_fact(each, start, finish)) for each in asked}
    conflicts: list[tuple[tuple[str, str], ...]] = []
    for size in range(1, len(asked) + 1):
        for some in combinations(asked, size):
            if not any(set(known) <= set(some) for known in conflicts) and blocked(some):
                conflicts.append(some)
    because = tuple((*base, *(numbers[each] for each in some)) for some in conflicts)
    return Refusal("excluded by your limits", tuple(facts), because, _hints(start, finish, limits, conflicts))


def _takes(of: End) -> str:
    return ", ".join(each.end.say for each in planned_partners(of)) or "nothing that a plan may count on"


def _limit_fact(limit: tuple[str, str], start: End, finish: End) -> Reason:
    name, value = limit
    if name == "psi":
        weak = [each for each in dict.fromkeys((start, finish)) if end_psi(each) < int(value)]
        told = "; ".join(
            f"{each.say} is rated {end_psi(each)} psi" if rating(each) else f"our tables hold no rating for {each.say}"
            for each in weak
        )
        sources = tuple(source for each in weak if (rated := rating(each)) for source in rated.sources)
        return reason("limit-psi", sources, psi=value, own=f": {told}" if told else "")
    return reason(f"limit-{name.replace('_', '-')}", value=value)


def _hints(start: End, finish: End, limits: Limits, conflicts: Sequence[tuple[tuple[str, str], ...]]) -> tuple[Hint, ...]:
    """What would help, each tried: first one limit eased alone, the least of it that does."""
    hints = []
    touched = dict.fromkeys(each for some in conflicts for each in some)
    for name, value in touched:
        for eased, says in _eased(start, finish, limits, name, value):
            chains = _search(start, finish, eased)
            if chains:
                hints.append(_hint(f"ease-{name.replace('_', '-')}", says, start, finish, eased, chains[0]))
                break
    if not hints:
        hints = _all_eased(start, finish, limits, list(touched))
    return tuple(hints[:4])


def _all_eased(start: End, finish: End, limits: Limits, touched: Sequence[tuple[str, str]]) -> list[Hint]:
    """The hint of last resort: every limit that stands in the way, eased at once."""
    bare = _only(limits, [each for each in _asked(limits) if each not in touched])
    chains = _search(start, finish, bare)
    if not chains:
        return []
    eased, says = bare, [f"without {name.replace('_', ' ')} {value}" for name, value in touched if name != "psi"]
    if limits.psi is not None and any(name == "psi" for name, _ in touched):
        rated = [chain.rating.psi for chain in chains if chain.rating]
        eased = bare._replace(psi=max(rated)) if rated else bare
        says.insert(0, f"at {max(rated)} psi instead of {limits.psi}" if rated else "without the pressure")
    best = _search(start, finish, eased)
    return [_hint("ease-all", " and ".join(says), start, finish, eased, best[0])] if best else []


def _hint(code: str, says: str, start: End, finish: End, eased: Limits, chain: Chain) -> Hint:
    count = len(chain.parts)
    words = " + ".join(used.part.say for used in chain.parts) or "they join directly"
    return Hint(code, f"{says} there is a chain of {count} part{'' if count == 1 else 's'}: {words}",
                command(start, finish, eased))


def _eased(start: End, finish: End, limits: Limits, name: str, value: str) -> Iterator[tuple[Limits, str]]:
    if name == "psi":
        free = _search(start, finish, limits._replace(psi=None))
        rated = [chain.rating.psi for chain in free if chain.rating]
        if rated:
            yield limits._replace(psi=max(rated)), f"at {max(rated)} psi instead of {value}"
        yield limits._replace(psi=None), f"without the pressure ({value} psi; our tables do not prove it)"
    elif name == "avoid":
        kept = tuple(each for each in limits.avoid if each != value)
        yield limits._replace(avoid=kept), f"with {value} allowed"
    elif name == "max_parts":
        for more in range(int(value) + 1, MOST_PARTS + 2):
            yield limits._replace(max_parts=more), f"with up to {more} parts"
    elif name == "full_bore":
        yield limits._replace(full_bore=False), "with a narrower bore"
    elif name == "fixed":
        yield limits._replace(fixed=False), "if one of the two can be turned by hand"
    else:
        for shape in (each for each in ("straight", "90", "45") if each != value):
            yield limits._replace(**{name: shape}), f"with {shape} instead of {value}"
        yield limits._replace(**{name: None}), f"with any shape instead of {value}"


def command(start: End, finish: End, limits: Limits) -> str:
    """The command line that asks this question.

    >>> command(End("orb", "-6", "port"), End("jic", "-8", "swivel"), Limits(psi=3000))
    'fittings join orb-6-port jic-8-swivel --psi 3000'
    """
    words = ["fittings join", start.id, finish.id]
    if limits.psi is not None:
        words.append(f"--psi {limits.psi}")
    words += [f"--avoid {each}" for each in limits.avoid]
    if limits.max_parts is not None:
        words.append(f"--max-parts {limits.max_parts}")
    if limits.shape_from:
        words.append(f"--shape-from {limits.shape_from}")
    if limits.shape_to:
        words.append(f"--shape-to {limits.shape_to}")
    words += ["--full-bore"] * limits.full_bore + ["--fixed"] * limits.fixed
    return " ".join(words)


__all__ = ["Answer", "Chain", "Fact", "Hint", "Joint", "Limits", "Refusal", "Used", "command", "end_psi", "join", "joint",
           "part_bore", "part_psi", "step_cost"]
