"""Which ends and tees each line takes, so that over all lines together the least has to be bought.

Every hose may end in any of a few pairs of ways, and a line that splits may do so at the tee that it would buy or at one from
the shelf; `stock.best_set` chooses among them for all lines at once. Hose is cut afterwards: it comes off a reel or a length,
and a type that hangs on the wall was put first when the hoses were chosen.
"""

from collections.abc import Callable, Mapping, Sequence
from itertools import product
from math import prod
from typing import NamedTuple

from fittings.chain import Chain, Used, bends
from fittings.job.both_ends import Pair, home_families
from fittings.job.ends_of_hose import pair_cost
from fittings.job.model import Job
from fittings.job.one_hose import Draft, finish_hose
from fittings.job.result import BillItem, PlannedLine, ShelfUse
from fittings.job.split import Drafted, SplitDraft, finish_split
from fittings.network import part_cost
from fittings.parts import Part
from fittings.stock.chains import bought
from fittings.stock.shelf import Shelf
from fittings.stock.solving import best_set
from fittings.stock.weighing import deciding_prices, score

MOST_TOGETHER = 64
"""Sets of tees that are weighed for all lines together; above it every line keeps the tee that is easiest had."""


class Offer(NamedTuple):
    """One way to make a joint of a line with the shelf: the parts it takes, points against it, its number among the pairs."""

    parts: tuple[Used, ...]
    cost: int
    pick: int


class Variant(NamedTuple):
    """A line with one tee, or without: what may be chosen at each of its hoses, and the line that a choice makes."""

    offers: tuple[tuple[Offer, ...], ...]
    finish: Callable[[Sequence[int]], PlannedLine]


def lines_with_shelf(job: Job, drafted: Sequence[Drafted], shelf: Shelf) -> tuple[PlannedLine, ...]:
    """The lines, each with the ends and the tee that leave least to be bought over all of them. Raises SolverMissing."""
    on_hand = shelf.on_hand
    variants = [_variants(job, each, on_hand) for each in drafted]
    every = [offers for some in variants for variant in some for offers in variant.offers]
    money = deciding_prices(every, on_hand, shelf.prices)
    together = list(product(*variants)) if prod(len(some) for some in variants) <= MOST_TOGETHER else [tuple(some[0] for some in variants)]
    best = min((_weighed(chosen, on_hand, money) for chosen in together), key=lambda each: each.rank)
    rest = iter(best.taken)
    return tuple(variant.finish([next(rest).pick for _ in variant.offers]) for variant in best.chosen)


class _Weighed(NamedTuple):
    """One set of tees with the best choice for it; `rank` is kept small: another joint is only taken if it saves a part."""

    rank: tuple[int, ...]
    taken: list[Offer]
    chosen: tuple[Variant, ...]


def _weighed(chosen: tuple[Variant, ...], on_hand: Mapping[Part, int], money: Mapping[Part, float]) -> _Weighed:
    offers = [each for variant in chosen for each in variant.offers]
    taken = [some[index] for some, index in zip(offers, best_set(offers, on_hand, money), strict=True)]
    fewest, *rest = score(taken, on_hand, money)
    return _Weighed((fewest, sum(len(each.parts) for each in taken), *rest), taken, chosen)


def shelf_use(shelf: Shelf, bill: Sequence[BillItem], plain: Sequence[PlannedLine], lines: Sequence[PlannedLine]) -> ShelfUse:
    """What a job takes from the shelf, beside the same lines as they would be `plain`, with everything bought."""
    parts = [item for item in bill if item.sort in ("adapter", "tee")]
    more = ((line.name, _joints(line) - _joints(before)) for before, line in zip(plain, lines, strict=True))
    bought = [item for item in parts if not item.from_stock]
    return ShelfUse(shelf.file, round(sum(item.qty for item in parts if item.from_stock)), round(sum(item.qty for item in bought)),
                    len(bought), tuple(each for each in more if each[1]), shelf.aside)


def _joints(line: PlannedLine) -> int:
    return sum(len(each.joints) for each in line.everything)


def _variants(job: Job, drafted: Drafted, on_hand: Mapping[Part, int]) -> tuple[Variant, ...]:
    if isinstance(drafted, PlannedLine):
        return (Variant((), lambda picks: drafted),)
    if isinstance(drafted, Draft):
        return (Variant((_offers(job, drafted, on_hand),), lambda picks: finish_hose(job, drafted, picks[0])),)
    if drafted[0].refused:
        return (Variant((), lambda picks: finish_split(job, drafted[0])),)
    return tuple(_with_tee(job, each, on_hand) for each in drafted
                 if each is drafted[0] or (not each.refused and any(part in on_hand for part in each.body.parts)))


def _with_tee(job: Job, draft: SplitDraft, on_hand: Mapping[Part, int]) -> Variant:
    body = [Used(part, part.ends[0], part.ends[1]) for part in draft.body.parts]
    lead = draft.lead.parts if isinstance(draft.lead, Chain) else ()
    whole = Offer((*body, *lead), sum(part_cost(used.part) for used in (*body, *lead)), 0)
    hoses = [each for each in (draft.lead, *draft.legs) if isinstance(each, Draft)]
    # the tee is no choice within this variant, so its number is left out again
    return Variant(((whole,), *(_offers(job, each, on_hand) for each in hoses)), lambda picks: finish_split(job, draft, picks[1:]))


def _bends(pair: Pair) -> int:
    return sum(bends(used.part) for way in pair for used in way.chain.parts)


def _offers(job: Job, draft: Draft, on_hand: Mapping[Part, int]) -> tuple[Offer, ...]:
    """What may be chosen at the ends of one hose: of the same parts only the cheapest pair, and none that buys more than another
    would if the shelf were empty."""
    home = home_families(job)
    found: dict[tuple[str, ...], Offer] = {}
    fewest_bends = _bends(draft.pairs[0])
    for number, pair in enumerate(draft.pairs):
        if _bends(pair) > fewest_bends:
            continue  # an elbow that nobody asked for leads the hose another way
        parts = tuple(used for way in pair for used in way.adapters)
        key = tuple(sorted(used.part.id for used in parts))
        if key not in found:
            found[key] = Offer(parts, pair_cost(*pair, home), number)
    offers = list(found.values())
    fewest = min(len(each.parts) for each in offers)
    least = {id(each): bought([used.part for used in each.parts], on_hand) for each in offers}
    # another joint is a fair price for a part less to buy, and for nothing else
    return tuple(each for each in offers
                 if least[id(each)] < fewest or (least[id(each)] == fewest and len(each.parts) == fewest) or each.pick == 0)
