"""Chains of parts between two ends: the best ones, or every smallest set of reasons why there is none."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

from fittings.chain import Chain, end_psi, part_bore
from fittings.ends import End
from fittings.limits import MOST_ALLOWED, USUAL_MOST, Limits, pressure_asked
from fittings.network import penalty, planned_partners
from fittings.parts import STRAIGHT
from fittings.ratings import BAR_PER_PSI, Rating, also_printed, rating, strongest_hose
from fittings.reasons import Reason, reason
from fittings.saying import counted
from fittings.search import first, search

MOST_LIMITS_TOGETHER = 4
"""Sets of conflicting limits are looked for up to this size, then the whole: there are too many larger ones to try."""

ROUNDED_UP, ROUND_PSI = 1.005, 100
"""A round pressure that is so little above a rating is most likely the rating, rounded up by whoever sold the part."""


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


IMPOSSIBLE, EXCLUDED, NOT_COVERED = KINDS = ("impossible", "excluded by your limits", "not covered")
"""Kinds of refusal, the gravest first."""


class Refusal(NamedTuple):
    """Why there is no chain, hose or line: `kind` impossible | excluded by your limits | not covered (by our tables); `because` lists
    sets of fact numbers."""

    kind: str
    facts: tuple[Fact, ...]
    because: tuple[tuple[int, ...], ...]
    hints: tuple[Hint, ...]


def impossible(*reasons: Reason, kind: str = IMPOSSIBLE) -> Refusal:
    """A refusal of plain facts that all stand against what was asked, as impossible or of another kind."""
    facts = tuple(Fact(number, each.code, each.text, each.sources) for number, each in enumerate(reasons, 1))
    return Refusal(kind, facts, (tuple(fact.n for fact in facts),), ())


class Answer(NamedTuple):
    """Chains, best first, or a refusal."""

    start: End
    finish: End
    chains: tuple[Chain, ...]
    refused: Refusal | None


def join(start: End, finish: End, limits: Limits = Limits(), best: int = 3) -> Answer:
    """The best chains from `start` to `finish` under `limits`, at most `best` of them, or the reasons why there is none.

    Ends that mate directly give one chain with no parts. The first chain costs least (`data/preferences.csv`); the
    others are not beaten by any in every respect: number of parts, how easily had, rating, seals, bends, bore.
    """
    chains = search(start, finish, limits) if best > 1 else [each for each in [first(start, finish, limits)] if each]
    if chains:
        return Answer(start, finish, _tell_apart(chains, best), None)
    return Answer(start, finish, (), why_not(_sought(start, finish, limits)))


class Sought(NamedTuple):
    """What was asked for and is not there: `ends`, `limits`; `words` says what there is under other limits, None for nothing;
    `held` the most pressure in psi that anything there holds; `avoids` the families to avoid that count."""

    ends: tuple[End, ...]
    limits: Limits
    words: Callable[[Limits], str | None]
    held: Callable[[Limits], float | None]
    avoids: Callable[[], list[str]]


def _sought(start: End, finish: End, limits: Limits) -> Sought:
    def words(eased: Limits) -> str | None:
        chain = first(start, finish, eased)
        if chain is None:
            return None
        parts = " + ".join(used.part.say for used in chain.parts)
        return f"there is a chain of {counted(len(chain.parts), 'part')}: {parts}" if parts else "they join directly"

    return Sought((start, finish), limits, words,
                  lambda eased: most_held((chain.rating for chain in search(start, finish, eased)), limits),
                  lambda: _avoid_that_counts(start, finish, limits))


def _tell_apart(chains: list[Chain], best: int) -> tuple[Chain, ...]:
    """The best chain, and alternatives that gain something for what they give up."""
    first = chains[0]
    told = (chain._replace(gives_up=_gives_up(chain, first)) for chain in chains[1:])
    return (first, *(chain for chain in told if chain.gives_up))[:best]


def _gives_up(chain: Chain, first: Chain) -> str:
    """What an alternative gives up and gains against the first chain; nothing is said of one that gains nothing."""
    said: list[str] = []
    gains: list[str] = []
    more = len(chain.parts) - len(first.parts)
    if more > 0:
        said.append(f"{counted(more, 'part')} more")
    _weigh(_hardest(first) - _hardest(chain), said, gains, "harder to get", "easier to get")
    ours, theirs = (each.rating.psi if each.rating else None for each in (chain, first))
    if theirs is not None and ours is None:
        said.append("no rating in our tables")
    elif ours is not None and theirs is not None and ours != theirs:
        _weigh(ours - theirs, said, gains, f"rated {theirs - ours} psi lower", f"rated {ours - theirs} psi higher")
    wants, wanted = ({joint.condition for joint in each.joints if joint.condition} for each in (chain, first))
    said += [f"holds only if {condition}" for condition in sorted(wants - wanted)]
    gains += [f"need not ask whether {condition}" for condition in sorted(wanted - wants)]
    bends, straighter = (sum(used.part.shape not in STRAIGHT for used in one.parts) for one in (chain, first))
    _weigh(straighter - bends, said, gains, "not straight", "straighter")
    narrow, wide = (min(part_bore(used.part) for used in one.parts) for one in (chain, first))
    _weigh(narrow - wide, said, gains, "narrower bore", "wider bore")
    if not gains:
        return ""
    text = f"gives up: {', '.join(said)}" if said else "less usual" if chain.cost > first.cost else "gives up nothing"
    return f"{text}; gains: {', '.join(gains)}"


def _weigh(gain: float, said: list[str], gains: list[str], worse: str, better: str) -> None:
    if gain < 0:
        said.append(worse)
    elif gain > 0:
        gains.append(better)


def _hardest(chain: Chain) -> int:
    return max(penalty("had", used.part.had) for used in chain.parts)



_LIMIT_WORDS = ("psi", "max_parts", "shape_from", "shape_to", "full_bore", "fixed")


def _asked(limits: Limits) -> list[tuple[str, str]]:
    """The limits that were set, one by one: (name, value); each family to avoid is a limit of its own."""
    given = ((name, getattr(limits, name)) for name in _LIMIT_WORDS)
    asked = [(name, limits.pressure if name == "psi" else str(value))
             for name, value in given if value is not None and value is not False]
    return asked + [("avoid", each) for each in limits.avoid]


def _only(limits: Limits, kept: Iterable[tuple[str, str]]) -> Limits:
    """The same question with only the limits in `kept`."""
    bare = Limits()
    for name, value in kept:
        bare = bare._replace(avoid=(*bare.avoid, value)) if name == "avoid" else bare._replace(
            **{name: getattr(limits, name)})
    return bare


def why_not(of: Sought) -> Refusal:
    """Every smallest set of reasons why there is no chain or tree, and what would help, tried."""
    limits = of.limits
    facts: list[Fact] = []

    def fact(said: Reason) -> int:
        facts.append(Fact(len(facts) + 1, said.code, said.text, said.sources))
        return len(facts)

    base = [fact(reason("takes", end=each.say, takes=_takes(each))) for each in dict.fromkeys(of.ends)]
    asked = _asked(limits)
    tried = {tuple(asked): True}
    asked = asked if len(asked) <= 8 else [each for each in asked if each[0] != "avoid"] + [("avoid", each) for each in of.avoids()]

    def blocked(kept: tuple[tuple[str, str], ...]) -> bool:
        if kept not in tried:
            tried[kept] = of.words(_only(limits, kept)) is None
        return tried[kept]

    if blocked(()):
        most = max(USUAL_MOST, limits.max_parts or 0)
        number = fact(reason("no-link" if len(of.ends) == 2 else "no-tree", most=most, ends=_every(of.ends)))
        return Refusal(NOT_COVERED, tuple(facts), ((*base, number),), ())
    numbers = {each: tuple(map(fact, _limit_facts(each, of))) for each in asked}
    conflicts: list[tuple[tuple[str, str], ...]] = []
    for size in (*range(1, MOST_LIMITS_TOGETHER + 1), len(asked)):
        for some in combinations(asked, size):
            if not any(set(known) <= set(some) for known in conflicts) and blocked(some):
                conflicts.append(some)
    because = tuple((*base, *(number for each in some for number in numbers[each])) for some in conflicts)
    return Refusal(EXCLUDED, tuple(facts), because, _hints(of, conflicts))


def _avoid_that_counts(start: End, finish: End, limits: Limits) -> list[str]:
    """Of many families to avoid, enough to leave no chain: those of the first chain, again and again, without the pressure and with it."""
    kept: list[str] = []
    for psi in (None, limits.psi):
        while chain := first(start, finish, limits._replace(psi=psi, avoid=tuple(kept))):
            inner = {each.family for joint in chain.joints[1:-1] for each in (joint.a, joint.b)}
            met = [each for each in limits.avoid if each in inner and each not in kept]
            if not met:
                break
            kept += met
    return kept


def _every(ends: Sequence[End]) -> str:
    return f"{', '.join(each.say for each in ends[:-1])} and {ends[-1].say}"


def _takes(of: End) -> str:
    return "; ".join(each.end.say for each in planned_partners(of)) or "nothing that a plan may count on"


def _limit_facts(limit: tuple[str, str], of: Sought) -> Iterator[Reason]:
    """What a limit says, and what the trade adds to it."""
    name, value = limit
    limits = of.limits
    if name == "psi" and limits.psi is not None:
        weak = {each: rating(each) or strongest_hose(each) for each in of.ends if end_psi(each) < limits.psi}
        told = "; ".join(
            f"{each.say} is rated {_held_words(rated, value)} ({rated.context}{_also_words(each, value)})" if rated
            else f"our tables hold no rating for {each.say}"
            for each, rated in weak.items()
        )
        sources = tuple(dict.fromkeys(
            source for each, used in weak.items() if used for rated in (used, *also_printed(each)) for source in rated.sources))
        yield reason("limit-psi", sources, psi=value, own=f": {told}" if told else "")
        for psi, mpa in dict.fromkeys((rated.psi, f"{rated.bar / 10:g}") for rated in weak.values() if rated):
            if psi < limits.psi <= psi * ROUNDED_UP and not limits.psi % ROUND_PSI:
                yield reason("rounded-up", psi=psi, mpa=mpa, value=value)
        return
    parts = counted(int(value), "part") if name == "max_parts" else ""
    yield reason(f"limit-{name.replace('_', '-')}", value=_shape_words(value) if name.startswith("shape") else value, parts=parts)
    if name.startswith("shape") and value != "straight":
        near = of.ends[0] if name == "shape_from" else of.ends[-1]
        if limits.fixed or near.held:
            yield reason("elbow-at-port", end=near.say)


def _also_words(of: End, asked: str) -> str:
    """What others print for an end beside its rating in use."""
    return "".join(f"; also {_held_words(other, asked)}, {other.context}: the lower is in use" for other in also_printed(of))


def _held_words(of: Rating, asked: str) -> str:
    """A rating in the unit of the pressure that was asked for, in both where that was reckoned."""
    psi, bar = f"{of.psi} psi", f"{of.bar:g} bar"
    return psi if asked.endswith("psi") else f"{psi} ({bar})" if asked.endswith(")") else bar


def _hints(of: Sought, conflicts: Sequence[tuple[tuple[str, str], ...]]) -> tuple[Hint, ...]:
    """What would help, each tried: first one limit eased alone, the least of it that does."""
    hints = []
    touched = dict.fromkeys(each for some in conflicts for each in some)
    for name, value in touched:
        for eased, says in _eased(of, name, value):
            if found := of.words(eased):
                hints.append(Hint(f"ease-{name.replace('_', '-')}", f"{says} {found}", command(of.ends, eased)))
                break
    if not hints:
        hints = _all_eased(of, list(touched))
    return tuple(hints[:4])


def _all_eased(of: Sought, touched: Sequence[tuple[str, str]]) -> list[Hint]:
    """The hint of last resort: several limits eased at once, each of which has to be.

    The pressure is lowered only as far as all the others do not help, and is the first that is kept.
    """
    limits = of.limits
    kept = [each for each in _asked(limits) if each not in touched]
    free = _only(limits, kept)
    if of.words(free) is None:
        return []
    psi = limits.psi
    if psi is not None and free.psi is None:
        holds = of.held(free)
        psi = psi if holds is not None and holds >= psi else _in_its_unit(holds, limits)
    says = []
    for name, value in touched:
        if name != "psi" and of.words(_only(limits, [*kept, (name, value)])._replace(psi=psi)) is not None:
            kept.append((name, value))
        elif name != "psi":
            says.append(_without(name, value))
    eased = _only(limits, kept)._replace(psi=psi)
    if psi != limits.psi:
        says.insert(0, "without the pressure" if psi is None else f"at {eased.pressure} instead of {limits.pressure}")
    found = of.words(eased)
    return [Hint("ease-all", f"{' and '.join(says)} {found}", command(of.ends, eased))] if found else []


def most_held(ratings: Iterable[Rating | None], limits: Limits) -> float | None:
    """The highest of some ratings in psi: whole psi, or the whole of a figure in bar where the pressure was asked for in bar."""
    rated = [of for of in ratings if of is not None]
    if limits.pressure.endswith("psi"):
        return max((float(of.psi) for of in rated), default=None)
    return max((of.bar / BAR_PER_PSI if of.exact_psi > of.psi + 1e-3 else of.psi for of in rated), default=None)


def _in_its_unit(held: float | None, limits: Limits) -> float | None:
    """A pressure that is held, psi; in whole bar, rounded down, where one in bar was asked for."""
    if held is None or not limits.pressure.endswith("bar") or pressure_asked(held).endswith("bar"):
        return held
    return int(held * BAR_PER_PSI) / BAR_PER_PSI


def _shape_words(shape: str) -> str:
    return f"{shape}°" if shape.isdigit() else shape


def _without(name: str, value: str) -> str:
    """What easing a limit altogether comes to, in words."""
    return {
        "avoid": f"with {value} allowed", "max_parts": f"with more than {counted(int(value), 'part') if value.isdigit() else value}",
        "full_bore": "with a narrower bore", "fixed": "if one of the two can be turned by hand",
    }.get(name, _other_shape("any shape", name, value))


def _other_shape(shape: str, name: str, value: str) -> str:
    return f"with {shape} at the {'start' if name == 'shape_from' else 'end'} instead of {_shape_words(value)}"


def _eased(of: Sought, name: str, value: str) -> Iterator[tuple[Limits, str]]:
    limits = of.limits
    if name == "psi":
        eased = limits._replace(psi=_in_its_unit(of.held(limits._replace(psi=None)), limits))
        if eased.psi is not None:
            yield eased, f"at {eased.pressure} instead of {value}"
        yield limits._replace(psi=None), f"without the pressure ({value}; our tables do not prove it)"
    elif name == "avoid":
        kept = tuple(each for each in limits.avoid if each != value)
        yield limits._replace(avoid=kept), _without(name, value)
    elif name == "max_parts":
        for more in range(int(value) + 1, MOST_ALLOWED + 1):
            yield limits._replace(max_parts=more), f"with up to {counted(more, 'part')}"
    elif name == "full_bore":
        yield limits._replace(full_bore=False), _without(name, value)
    elif name == "fixed":
        yield limits._replace(fixed=False), _without(name, value)
    else:
        for shape in (*(each for each in ("straight", "90", "45") if each != value), None):
            eased = limits._replace(shape_from=shape) if name == "shape_from" else limits._replace(shape_to=shape)
            yield eased, _other_shape(_shape_words(shape or "any shape"), name, value)


def command(ends: Sequence[End], limits: Limits) -> str:
    """The command line that asks this question.

    >>> command((End("orb", "-6", "port"), End("jic", "-8", "swivel")), Limits(psi=3000))
    'fittings join orb-6-port jic-8-swivel --psi 3000'
    """
    words = ["fittings join", *(each.id for each in ends)]
    if limits.psi is not None:
        words.append(f"--psi {limits.pressure_typed}")
    words += [f"--avoid {each}" for each in limits.avoid]
    if limits.max_parts is not None:
        words.append(f"--max-parts {limits.max_parts}")
    if limits.shape_from:
        words.append(f"--shape-from {limits.shape_from}")
    if limits.shape_to:
        words.append(f"--shape-to {limits.shape_to}")
    words += ["--full-bore"] * limits.full_bore + ["--fixed"] * limits.fixed
    return " ".join(words)
