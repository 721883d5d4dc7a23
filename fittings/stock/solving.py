"""The best choice out of the chains that are offered to each need, exact.

Needs that share nothing scarce are chosen apart: by trying every choice while there are few, else as an integer programme
that HiGHS solves, one aim after the other.
"""

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module
from itertools import combinations_with_replacement, product
from math import comb, prod
from typing import Any

from fittings.stock.weighing import (
    Lot,
    Offer,
    OnHand,
    Prices,
    Score,
    Use,
    Way,
    apart,
    hundredths,
    lots,
    scarce,
    score_of_use,
    thinned,
)

MOST_TRIED = 5_000
"""Choices that are simply tried; above it the solver is quicker."""


class SolverMissing(RuntimeError):
    """The question is too large to be tried out, and the solver is not installed."""


Offers = Sequence[Sequence[Offer]]


def best_set(offers: Offers, on_hand: OnHand, prices: Prices) -> tuple[int, ...]:
    """The index of the chain to take from each of the offers (none empty), so that `score` is least. Raises SolverMissing.

    At first there seems to be no end of every part that is there at all. A choice that is best then and overdraws nothing
    is best; where it overdraws, those parts are watched too, and it is made again.
    """
    asked = lots(offers)
    watched = {part for lot in asked for way in lot.ways for part in way.use if not on_hand.get(part)}
    while True:
        chosen: dict[int, int] = {}
        for group in apart(thinned(asked, on_hand, watched)):
            tries = prod(comb(len(lot.needs) + len(lot.ways) - 1, len(lot.needs)) for lot in group)
            chosen |= _tried(group, on_hand, prices) if tries <= MOST_TRIED else _solved(group, on_hand, prices)
        use = _use([lot.ways[chosen[number]] for lot in asked for number in lot.needs])
        overdrawn = {part for part, count in use.items() if count > on_hand.get(part, 0)} - watched
        if not overdrawn:
            return tuple(chosen[number] for number in range(len(offers)))
        watched |= overdrawn


def _tried(group: Sequence[Lot], on_hand: OnHand, prices: Prices) -> dict[int, int]:
    def cost(choice: Sequence[Sequence[Way]]) -> Score:
        ways = [way for some in choice for way in some]
        return score_of_use(_use(ways), sum(way.points for way in ways), on_hand, prices)

    best = min(product(*(combinations_with_replacement(lot.ways, len(lot.needs)) for lot in group)), key=cost)
    return {number: way.number for lot, some in zip(group, best, strict=True) for number, way in zip(lot.needs, some, strict=True)}


def _use(ways: Sequence[Way]) -> Use:
    use: Use = {}
    for way in ways:
        for part, count in way.use.items():
            use[part] = use.get(part, 0) + count
    return use


# The integer programme


def _solved(group: Sequence[Lot], on_hand: OnHand, prices: Prices) -> dict[int, int]:
    """How many needs of each lot take each way: the columns of the first kind; beside them, for each part that may run out,
    how many are bought and whether any is."""
    ways = [(lot, way) for lot in group for way in lot.ways]
    short = scarce(group, on_hand)
    buy = {part: len(ways) + place for place, part in enumerate(short)}
    kind = {part: len(ways) + len(short) + place for place, part in enumerate(short)}
    rows: list[_Row] = []
    column = 0
    for lot in group:
        rows.append((len(lot.needs), len(lot.needs), {column + place: 1 for place in range(len(lot.ways))}))
        column += len(lot.ways)
    for part, most in short.items():
        use = {place: way.use[part] for place, (_, way) in enumerate(ways) if part in way.use}
        rows.append((None, on_hand.get(part, 0), use | {buy[part]: -1}))
        rows.append((None, 0, {buy[part]: 1, kind[part]: -most}))
        if not on_hand.get(part):
            # Follows from the two before; said for each way, it spares the solver most of its work.
            rows += [(None, 0, {place: 1, kind[part]: -len(ways[place][0].needs)}) for place in use]
    upper = [len(lot.needs) for lot, _ in ways] + list(short.values()) + [1] * len(short)
    aims = (
        dict.fromkeys(buy.values(), 1),
        dict.fromkeys(kind.values(), 1),
        {buy[part]: cost for part in short if (cost := hundredths(part, prices))},
        {place: way.points for place, (_, way) in enumerate(ways)},
    )
    values = _least(upper, rows, [*filter(None, aims[:-1]), aims[-1]])
    chosen: dict[int, int] = {}
    place = 0
    for lot in group:
        taken = [way.number for way, count in zip(lot.ways, values[place:], strict=False) for _ in range(count)]
        chosen |= zip(lot.needs, taken, strict=True)
        place += len(lot.ways)
    return chosen


_Row = tuple[int | None, int, dict[int, int]]
"""Least and greatest value of a sum, and what each column counts in it."""


def _least(upper: Sequence[int], rows: Sequence[_Row], aims: Sequence[dict[int, int]]) -> list[int]:
    """Whole numbers from 0 to `upper` that keep to the rows and make the first aim least, then the second, and so on.

    Raises SolverMissing.
    """
    try:
        highspy = import_module("highspy")
    except ImportError:
        raise SolverMissing("so many lines on one shelf need the solver highspy, which is not installed") from None
    with _hushed():
        model = highspy.Highs()
    model.silent()
    for option, value in (("mip_rel_gap", 0.0), ("threads", 1)):
        model.setOptionValue(option, value)
    model.passModel(_programme(highspy, upper, rows))
    values: list[int] = []
    # Each aim is begun anew: given the last choice to start from, the solver has called a choice best that was not.
    for number, aim in enumerate(aims):
        model.changeColsCost(len(upper), list(range(len(upper))), [float(aim.get(place, 0)) for place in range(len(upper))])
        model.run()
        if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise RuntimeError("the solver found no best choice, though each line has a chain")
        values = [round(value) for value in model.getSolution().col_value]
        if number + 1 < len(aims):
            model.addRow(-highspy.kHighsInf, float(sum(weight * values[place] for place, weight in aim.items())), len(aim),
                         list(aim), [float(weight) for weight in aim.values()])
    return values


def _programme(highspy: Any, upper: Sequence[int], rows: Sequence[_Row]) -> Any:
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(upper), len(rows)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = [0.0] * len(upper), [0.0] * len(upper), [float(each) for each in upper]
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(upper)
    lp.row_lower_ = [-highspy.kHighsInf if low is None else float(low) for low, _, _ in rows]
    lp.row_upper_ = [float(high) for _, high, _ in rows]
    starts = [0]
    for _, _, row in rows:
        starts.append(starts[-1] + len(row))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = starts
    lp.a_matrix_.index_ = [place for _, _, row in rows for place in row]
    lp.a_matrix_.value_ = [float(weight) for _, _, row in rows for weight in row.values()]
    return lp


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
