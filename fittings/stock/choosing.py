"""Which chain each line takes, so that over all lines together the least has to be bought.

Exact over the chains of `stock.chains`.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from fittings.chain import Chain
from fittings.ends import End
from fittings.limits import Limits
from fittings.parts import Part
from fittings.planner import Answer, Refusal, join
from fittings.saying import counted
from fittings.search import first
from fittings.stock.bins import Bins, Take
from fittings.stock.chains import MOST_OFF_THE_SHELF, bought, candidates
from fittings.stock.shelf import Shelf
from fittings.stock.solving import SolverMissing, best_set
from fittings.stock.weighing import Score, deciding_prices, score

__all__ = ["Choice", "Need", "Pick", "Score", "SolverMissing", "Take", "choose", "join_with_shelf"]


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


class Choice(NamedTuple):
    """The picks in the order of the needs; totals over all. `unpriced` parts to buy have no price that we know."""

    picks: tuple[Pick, ...]
    score: Score
    from_shelf: int
    price: float
    unpriced: int
    extra_joints: int


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
    best, offers = _offers(needs, on_hand)
    can = [number for number, some in enumerate(offers) if some]
    some = [offers[number] for number in can]
    deciding = deciding_prices(some, on_hand, money)
    chosen = best_set(some, on_hand, deciding)
    chains = {number: offers[number][index] for number, index in zip(can, chosen, strict=True)}
    bins = Bins(shelf)
    picks = tuple(_pick(need, chains.get(number), best[number], bins) for number, need in enumerate(needs))
    buy = [part for pick in picks for part in pick.buy]
    return Choice(
        picks, score(list(chains.values()), on_hand, deciding), sum(take.qty for pick in picks for take in pick.takes),
        round(sum(money.get(part, 0.0) for part in buy), 2), sum(part not in money for part in buy),
        sum(pick.extra_joints for pick in picks))


def _offers(needs: Sequence[Need], on_hand: Mapping[Part, int]) -> tuple[list[Chain | None], list[tuple[Chain, ...]]]:
    """For each need its best chain without a shelf, and the chains to weigh; each question is asked once.

    Where every part of the best chain is there in plenty for all needs, nothing can be gained by another.
    """
    answered: dict[Need, tuple[Chain | None, tuple[Chain, ...]]] = {}
    enough = 0 if len(needs) == 1 else len(needs) * MOST_OFF_THE_SHELF
    for need in needs:
        question = need._replace(name="")
        if question not in answered:
            best = first(need.start, need.finish, need.limits)
            if best is None:
                answered[question] = None, ()
            elif not bought([used.part for used in best.parts], on_hand) and all(on_hand[used.part] >= enough for used in best.parts):
                answered[question] = best, (best,)
            else:
                answered[question] = best, candidates(need.start, need.finish, need.limits, on_hand)
    both = [answered[need._replace(name="")] for need in needs]
    return [best for best, _ in both], [some for _, some in both]


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
            + (f"; {counted(more, 'joint')} more than the best chain without a shelf" if more > 0 else ""))
    first = pick.chain._replace(gives_up=said)
    others = [chain for chain in answer.chains if chain.parts != first.parts]
    return answer._replace(chains=(first, *others)[:best])


def _pick(need: Need, chain: Chain | None, best: Chain | None, bins: Bins) -> Pick:
    if chain is None or best is None:
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
    return Pick(need, chain, tuple(Take(part, count, place, row) for (part, place, row), count in merged.items()), tuple(buy),
                len(chain.joints) - len(best.joints), None)
