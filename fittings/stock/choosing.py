"""Which chain each line takes, so that over all lines together the least has to be bought.

Exact over the chains of `stock.chains`: by trying every set of them while there are few, else as an integer programme
that HiGHS solves, one aim after the other.
"""

import os
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from importlib import import_module
from itertools import product
from math import prod
from typing import NamedTuple, Protocol

from fittings.ends import End
from fittings.limits import Limits
from fittings.parts import Part
from fittings.planner import Answer, Refusal, join
from fittings.search import Chain, Used
from fittings.stock.bins import Bins, Take
from fittings.stock.chains import candidates
from fittings.stock.shelf import Shelf


class Offered(Protocol):
    """What may be chosen for a need: a chain, or anything else that takes parts and has points against it."""

    @property
    def parts(self) -> tuple[Used, ...]: ...

    @property
    def cost(self) -> int: ...


MOST_TRIED = 5_000
"""Sets of chains that are simply tried; above it the solver is quicker."""


class Need(NamedTuple):
    """A line, or one side of a line: the chain that it needs, from `start` to `finish` under `limits`."""

    name: str
    start: End
    finish: End
    limits: Limits = Limits()


class Pick(NamedTuple):
    """What one need gets: its chain (None when `refused`), what comes from where, what to buy.

    `extra_joints` is how many joints more this chain has than the best one without a shelf.
    """

    need: Need
    chain: Chain | None
    takes: tuple[Take, ...]
    buy: tuple[Part, ...]
    extra_joints: int
    refused: Refusal | None


class Score(NamedTuple):
    """What is kept small, the first before all: parts bought, kinds bought, their price in hundredths, points."""

    bought: int
    kinds: int
    price: int
    points: int


class Choice(NamedTuple):
    """The picks in the order of the needs; totals over all. `unpriced` parts to buy have no price that we know."""

    picks: tuple[Pick, ...]
    score: Score
    from_shelf: int
    price: float
    unpriced: int
    extra_joints: int


class SolverMissing(RuntimeError):
    """The question is too large to be tried out, and the solver is not installed."""


def choose(needs: Sequence[Need], shelf: Shelf, prices: Mapping[Part, float] | None = None) -> Choice:
    """One chain for every need: fewest parts bought, then fewest kinds of them, then the price, then fewest points.

    `prices` are for what has to be bought, in any one money; without them the prices on the shelf count. The price only
    decides when every part that may have to be bought has one: an unknown price must not pass for a low or a high one.
    A need without a chain is refused and takes nothing. Raises SolverMissing when the question is large and `highspy`
    is not installed.

    >>> from fittings.ends import end_by_id
    >>> choose([Need("raise", end_by_id("orb-8-port"), end_by_id("jic-8-swivel"))], Shelf("", (), ())).score.bought
    1
    """
    money = shelf.prices if prices is None else prices
    on_hand = shelf.on_hand
    offers = [candidates(need.start, need.finish, need.limits, on_hand) for need in needs]
    can = [number for number, some in enumerate(offers) if some]
    some = [offers[number] for number in can]
    deciding = deciding_prices(some, on_hand, money)
    chosen = best_set(some, on_hand, deciding)
    chains = {number: offers[number][index] for number, index in zip(can, chosen, strict=True)}
    bins = Bins(shelf)
    picks = tuple(_pick(need, chains.get(number), bins) for number, need in enumerate(needs))
    buy = [part for pick in picks for part in pick.buy]
    return Choice(
        picks, score(list(chains.values()), on_hand, deciding), sum(take.qty for pick in picks for take in pick.takes),
        round(sum(money.get(part, 0.0) for part in buy), 2), sum(part not in money for part in buy),
        sum(pick.extra_joints for pick in picks))


def join_with_shelf(start: End, finish: End, limits: Limits, shelf: Shelf, best: int = 3) -> Answer:
    """The answer of `planner.join`, with the chain first that buys least; `gives_up` says what is bought and what it costs."""
    answer = join(start, finish, limits, best)
    if not answer.chains:
        return answer
    pick = choose([Need("", start, finish, limits)], shelf).picks[0]
    assert pick.chain is not None
    if not pick.takes:
        return answer
    more = pick.extra_joints
    said = (f"from the shelf: {sum(take.qty for take in pick.takes)} of {len(pick.chain.parts)} parts, "
            f"{len(pick.buy) or 'nothing'} to buy"
            + (f"; {more} joint{'' if more == 1 else 's'} more than the best chain without a shelf" if more > 0 else ""))
    first = pick.chain._replace(gives_up=said)
    others = [chain for chain in answer.chains if chain.parts != first.parts]
    return answer._replace(chains=(first, *others)[:best])


def deciding_prices(offers: Sequence[Sequence[Offered]], on_hand: Mapping[Part, int],
                    prices: Mapping[Part, float]) -> Mapping[Part, float]:
    """The prices, or none at all when a part that may have to be bought has no price."""
    most: Counter[Part] = Counter()
    for some in offers:
        uses = [Counter(used.part for used in chain.parts) for chain in some]
        most.update({part: max(use[part] for use in uses) for part in {part for use in uses for part in use}})
    return prices if all(part in prices for part, count in most.items() if count > on_hand.get(part, 0)) else {}


def score(chains: Sequence[Offered], on_hand: Mapping[Part, int], prices: Mapping[Part, float]) -> Score:
    """The score of these chains together; every shelf part is used once."""
    use = Counter(used.part for chain in chains for used in chain.parts)
    buy = {part: count - on_hand.get(part, 0) for part, count in use.items() if count > on_hand.get(part, 0)}
    return Score(sum(buy.values()), len(buy), sum(_hundredths(part, prices) * count for part, count in buy.items()),
                 sum(chain.cost for chain in chains))


def best_set(offers: Sequence[Sequence[Offered]], on_hand: Mapping[Part, int], prices: Mapping[Part, float]) -> tuple[int, ...]:
    """The index of the chain to take from each of the offers (none empty), so that `score` is least."""
    if prod(len(some) for some in offers) <= MOST_TRIED:
        sets = product(*(range(len(some)) for some in offers))
        return min(sets, key=lambda each: score(
            [offers[number][index] for number, index in enumerate(each)], on_hand, prices))
    return solved(offers, on_hand, prices)


def greedy_set(offers: Sequence[Sequence[Offered]], on_hand: Mapping[Part, int], prices: Mapping[Part, float]) -> tuple[int, ...]:
    """The same question answered one need after the other, each for itself: what the exact answer must never be worse than."""
    left = Counter(on_hand)
    chosen = []
    for some in offers:
        index = min(range(len(some)), key=lambda each: score([some[each]], left, prices))
        left.subtract(used.part for used in some[index].parts if left[used.part] > 0)
        chosen.append(index)
    return tuple(chosen)


def solved(offers: Sequence[Sequence[Offered]], on_hand: Mapping[Part, int], prices: Mapping[Part, float]) -> tuple[int, ...]:
    """`best_set` by integer programming. Raises SolverMissing."""
    try:
        highspy = import_module("highspy")
    except ImportError:
        raise SolverMissing("so many lines on one shelf need the solver highspy: pip install highspy, or ask for fewer "
                            "lines at a time") from None
    with _hushed():
        model = highspy.Highs()
    model.silent()
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 0.5)
    model.setOptionValue("threads", 1)
    takes = [[model.addBinary() for _ in some] for some in offers]
    for some in takes:
        model.addConstr(sum(some[1:], 1 * some[0]) == 1)
    uses: dict[Part, list[tuple[int, int, int]]] = {}
    for number, chains in enumerate(offers):
        for index, chain in enumerate(chains):
            for part, count in Counter(used.part for used in chain.parts).items():
                uses.setdefault(part, []).append((number, index, count))
    # Columns of one aim: (column, weight). A part that can never run out needs no column of its own.
    bought, kinds, price = [], [], []
    for part, where in uses.items():
        have = on_hand.get(part, 0)
        most: dict[int, int] = {}
        for number, _, count in where:
            most[number] = max(count, most.get(number, 0))
        short = sum(most.values()) - have
        if short <= 0:
            continue
        buy, kind = model.addIntegral(0, short), model.addBinary()
        model.addConstr(sum((count * takes[number][index] for number, index, count in where), -1 * buy) <= have)
        model.addConstr(1 * buy - short * kind <= 0)
        bought.append((buy, 1))
        kinds.append((kind, 1))
        price.append((buy, _hundredths(part, prices)))
    points = [(takes[number][index], chain.cost) for number, some in enumerate(offers) for index, chain in enumerate(some)]
    for aim in (bought, kinds, price, points):
        weighed = [(column, weight) for column, weight in aim if weight]
        if not weighed:
            continue
        whole = sum((weight * column for column, weight in weighed[1:]), weighed[0][1] * weighed[0][0])
        model.minimize(whole)
        if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise RuntimeError("the solver found no best choice, though each line has a chain")
        if aim is not points:
            model.addConstr(whole <= round(model.getObjectiveValue()))
    values = [[model.val(column) for column in some] for some in takes]
    return tuple(some.index(max(some)) for some in values)


@contextmanager
def _hushed() -> Iterator[None]:
    """Nothing reaches stdout meanwhile: the solver prints its name when it is made, and stdout is for the answer."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def _hundredths(part: Part, prices: Mapping[Part, float]) -> int:
    return round(100 * prices.get(part, 0.0))


def _pick(need: Need, chain: Chain | None, bins: Bins) -> Pick:
    if chain is None:
        return Pick(need, None, (), (), 0, join(need.start, need.finish, need.limits, 1).refused)
    takes: list[Take] = []
    buy = []
    for used in chain.parts:
        taken = bins.take(used.part)
        if taken is None:
            buy.append(used.part)
        else:
            takes.append(taken)
    merged = Counter((take.part, take.place, take.row) for take in takes)
    plain = join(need.start, need.finish, need.limits, 1).chains
    return Pick(need, chain, tuple(Take(part, count, place, row) for (part, place, row), count in merged.items()), tuple(buy),
                len(chain.joints) - len(plain[0].joints), None)
