"""Chains worth weighing against a shelf: the planner's own, and those that the shelf makes cheaper than they look."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from fittings.ends import End
from fittings.limits import Limits
from fittings.network import penalty, planned_partners
from fittings.parts import Part
from fittings.search import Allowed, Chain, Used, can_be_made_up, chain_through, search

EXTRA_PARTS = 1
"""Parts that a chain off the shelf may have more than the best one: a stack saves a trip and strains the port."""

MOST_PARTS = 3
"""Chains of more parts than these are weighed only when the planner itself offers them."""


def candidates(start: End, finish: End, limits: Limits, on_hand: Mapping[Part, int], may_buy: bool = True) -> tuple[Chain, ...]:
    """Chains from `start` to `finish` under `limits`, the planner's best first; empty when there is none.

    Beside the planner's own these are all chains of at most one part more than its best (and three in all) that buy
    no part or (where they `may_buy`) one, and never one that is harder to get than the planner's best asks for.
    """
    best = search(start, finish, limits)
    if not best or not best[0].parts:
        return tuple(best[:1])
    most = min(len(best[0].parts) + EXTRA_PARTS, MOST_PARTS)
    if limits.max_parts is not None:
        most = min(most, limits.max_parts)
    hardest = max(penalty("had", used.part.had) for used in best[0].parts)
    found = {tuple(sorted(used.part.id for used in chain.parts)): chain for chain in reversed(best)}
    offered = {key: best.index(chain) for key, chain in found.items()}
    for steps in _walks(start, finish, limits, on_hand, most, hardest if may_buy else None):
        key = tuple(sorted(used.part.id for used in steps))
        if key in offered:
            continue
        chain = chain_through(start, finish, steps)
        if can_be_made_up(chain) and _keeps_to(chain, limits) and (key not in found or chain.cost < found[key].cost):
            found[key] = chain
    fewest = len(best[0].parts)
    # Another joint is a fair price for a part less to buy, and for nothing else.
    worth = [chain for chain in found.values() if len(chain.parts) <= fewest or bought(_parts(chain), on_hand) < fewest]
    return tuple(sorted(worth, key=lambda each: (each.cost, [used.part.id for used in each.parts])))


def bought(parts: Iterable[Part], on_hand: Mapping[Part, int]) -> int:
    """How many of these parts are not on the shelf."""
    use = Counter(parts)
    return sum(max(count - on_hand.get(part, 0), 0) for part, count in use.items())


def _parts(chain: Chain) -> Iterator[Part]:
    return (used.part for used in chain.parts)


def _walks(start: End, finish: End, limits: Limits, on_hand: Mapping[Part, int], most: int,
           hardest: int | None) -> Iterator[tuple[Used, ...]]:
    """Walks over parts at hand and at most one that is bought, no harder to get than `hardest` (None: nothing is bought)."""
    allowed = Allowed((start, finish), limits)
    last = {mouth.end for mouth in planned_partners(finish)}

    def further(open_end: End, steps: tuple[Used, ...], may_buy: bool) -> Iterator[tuple[Used, ...]]:
        for mouth in planned_partners(open_end):
            for option in allowed.uses(mouth.end):
                part = option.used.part
                shelved = sum(used.part == part for used in steps) < on_hand.get(part, 0)
                if not shelved and (not may_buy or hardest is None or option.had > hardest):
                    continue
                walk = (*steps, option.used)
                if option.used.far in last:
                    yield walk
                if len(walk) < most:
                    yield from further(option.used.far, walk, may_buy and shelved)

    return further(start, (), hardest is not None)


def _keeps_to(chain: Chain, limits: Limits) -> bool:
    """The limits that only a whole chain can keep to."""
    shapes = ((limits.shape_from, chain.parts[0]), (limits.shape_to, chain.parts[-1]))
    if any(shape is not None and used.part.shape != shape for shape, used in shapes):
        return False
    if limits.fixed and not any("turns" in (each.a.moves, each.b.moves) for each in chain.joints):
        return False
    return not any(end.family in limits.avoid for each in chain.joints[1:-1] for end in (each.a, each.b))
