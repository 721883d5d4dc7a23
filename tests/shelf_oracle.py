"""Two other ways to choose from a shelf, which the program's own choice is held against."""

from collections import Counter

from fittings.stock.solving import Offers, _solved
from fittings.stock.weighing import OnHand, Prices, lots, score


def greedy_set(offers: Offers, on_hand: OnHand, prices: Prices) -> tuple[int, ...]:
    """One need after the other, each for itself: what the exact answer must never be worse than."""
    left = Counter(on_hand)
    chosen = []
    for some in offers:
        index = min(range(len(some)), key=lambda each: score([some[each]], left, prices))
        left.subtract(used.part for used in some[index].parts if left[used.part] > 0)
        chosen.append(index)
    return tuple(chosen)


def solved(offers: Offers, on_hand: OnHand, prices: Prices) -> tuple[int, ...]:
    """`best_set` by integer programming alone, all offers in one programme. Raises SolverMissing."""
    chosen = _solved(lots(offers), on_hand, prices)
    return tuple(chosen[number] for number in range(len(offers)))
