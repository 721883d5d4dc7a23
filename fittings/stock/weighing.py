"""What a choice of chains costs, and which chains cannot belong to the best choice.

Every aim only grows with what is used. So a chain is out when another of the same need uses no more of anything scarce
and has no more points; and needs that share nothing scarce are chosen for each by itself.
"""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import NamedTuple, Protocol

from fittings.chain import Used
from fittings.parts import Part

Prices = Mapping[Part, float]
OnHand = Mapping[Part, int]
Use = dict[Part, int]


class Offer(Protocol):
    """What may be chosen for a need: a chain, or anything else that takes parts and has points against it."""

    @property
    def parts(self) -> tuple[Used, ...]: ...

    @property
    def cost(self) -> int: ...


class Score(NamedTuple):
    """What is kept small, the first before all: parts bought, kinds bought, their price in hundredths, points."""

    bought: int
    kinds: int
    price: int
    points: int


class Way(NamedTuple):
    """A chain as it is weighed: its `number` among the offers of its need, its points, how many it uses of what is scarce."""

    number: int
    points: int
    use: Use


class Lot(NamedTuple):
    """Needs that have the same ways."""

    needs: tuple[int, ...]
    ways: tuple[Way, ...]


def score(chains: Sequence[Offer], on_hand: OnHand, prices: Prices) -> Score:
    """The score of these chains together; every shelf part is used once."""
    return score_of_use(Counter(used.part for chain in chains for used in chain.parts), sum(chain.cost for chain in chains),
                        on_hand, prices)


def score_of_use(use: Use, points: int, on_hand: OnHand, prices: Prices) -> Score:
    """The score of so many of each part and these points."""
    buy = [(part, count - on_hand.get(part, 0)) for part, count in use.items() if count > on_hand.get(part, 0)]
    return Score(sum(count for _, count in buy), len(buy), sum(hundredths(part, prices) * count for part, count in buy), points)


def hundredths(part: Part, prices: Prices) -> int:
    """The price of a part in hundredths of the money, 0 when it is not known."""
    return round(100 * prices.get(part, 0.0))


def deciding_prices(offers: Sequence[Sequence[Offer]], on_hand: OnHand, prices: Prices) -> Prices:
    """The prices, or none at all when a part that may have to be bought has no price."""
    return prices if all(part in prices for part in scarce(lots(offers), on_hand)) else {}


def lots(offers: Sequence[Sequence[Offer]]) -> list[Lot]:
    """The needs with these offers, those with the same offers together."""
    alike: dict[tuple[tuple[int, frozenset[tuple[Part, int]]], ...], list[int]] = {}
    keys: dict[int, tuple[tuple[int, frozenset[tuple[Part, int]]], ...]] = {}
    for number, some in enumerate(offers):
        key = keys.get(id(some))
        if key is None:
            key = keys[id(some)] = tuple(
                (chain.cost, frozenset(Counter(used.part for used in chain.parts).items())) for chain in some)
        alike.setdefault(key, []).append(number)
    return [Lot(tuple(numbers), tuple(Way(index, points, dict(use)) for index, (points, use) in enumerate(key)))
            for key, numbers in alike.items()]


def scarce(of: Sequence[Lot], on_hand: OnHand) -> dict[Part, int]:
    """Parts that may run out, and how many at most would have to be bought."""
    most: Use = {}
    for lot in of:
        for part in {part for way in lot.ways for part in way.use}:
            most[part] = most.get(part, 0) + len(lot.needs) * max(way.use.get(part, 0) for way in lot.ways)
    return {part: count - on_hand.get(part, 0) for part, count in most.items() if count > on_hand.get(part, 0)}


def thinned(of: Sequence[Lot], on_hand: OnHand, watched: Collection[Part]) -> list[Lot]:
    """The lots without the ways that the best choice can do without, and of each way only its use of parts that are both
    `watched` and scarce: as if there were no end of all others."""
    now = [Lot(lot.needs, tuple(
        Way(way.number, way.points, {part: count for part, count in way.use.items() if part in watched}) for way in lot.ways))
        for lot in of]
    while True:
        short = scarce(now, on_hand)
        thinner = [Lot(lot.needs, _unbeaten(lot.ways, short, on_hand)) for lot in now]
        if thinner == now:
            return now
        now = thinner


def _unbeaten(ways: Sequence[Way], short: Mapping[Part, int], on_hand: OnHand) -> tuple[Way, ...]:
    lean = [Way(way.number, way.points, {part: count for part, count in way.use.items() if part in short}) for way in ways]
    # At worst a way buys all that it uses; one that is sure to buy more than another at worst is never taken.
    worst = min(sum(way.use.values()) for way in lean)
    kept: list[Way] = []
    for way in sorted(lean, key=lambda each: (each.points, sum(each.use.values()), each.number)):
        sure = sum(max(count - on_hand.get(part, 0), 0) for part, count in way.use.items())
        if sure <= worst and not any(all(way.use.get(part, 0) >= count for part, count in other.use.items()) for other in kept):
            kept.append(way)
            if not way.use:
                break  # all that follow have as many points or more
    return tuple(kept)


def apart(of: Sequence[Lot]) -> Iterator[list[Lot]]:
    """The lots in groups that share no part."""
    left = [(lot, {part for way in lot.ways for part in way.use}) for lot in of]
    while left:
        group: list[Lot] = []
        near, parts = left[:1], set[Part]()
        left = left[1:]
        while near:
            group += [lot for lot, _ in near]
            parts.update(*(its for _, its in near))
            near, left = ([each for each in left if parts.isdisjoint(each[1]) is far] for far in (False, True))
        yield group
