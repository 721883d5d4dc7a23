"""Chains worth weighing against a shelf: the planner's own, and those that the shelf makes cheaper than they look."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import NamedTuple

from fittings.chain import Chain, Used, can_be_made_up, chain_through
from fittings.ends import End
from fittings.limits import Limits
from fittings.network import penalty, planned_partners
from fittings.parts import Part
from fittings.search import Allowed, search

EXTRA_PARTS = 1
"""Parts that a chain off the shelf may have more than the best one: a stack saves a trip and strains the port."""

MOST_OFF_THE_SHELF = 3
"""Chains of more parts than these are weighed only when the planner itself offers them."""


def candidates(start: End, finish: End, limits: Limits, on_hand: Mapping[Part, int], most_bought: int = 1) -> tuple[Chain, ...]:
    """Chains from `start` to `finish` under `limits`, the planner's best first; empty when there is none.

    Beside the planner's own these are all chains of at most one part more than its best (and three in all) that buy no more
    than `most_bought` parts, and never one that is harder to get than the planner's best asks for.
    """
    best = search(start, finish, limits)
    if not best or not best[0].parts:
        return tuple(best[:1])
    most = min(len(best[0].parts) + EXTRA_PARTS, MOST_OFF_THE_SHELF)
    if limits.max_parts is not None:
        most = min(most, limits.max_parts)
    hardest = max(penalty("had", used.part.had) for used in best[0].parts)
    found = {tuple(sorted(used.part.id for used in chain.parts)): chain for chain in reversed(best)}
    offered = set(found)
    fewest = len(best[0].parts)
    for steps in _walks(start, finish, limits, on_hand, _Walk(most, fewest, hardest, most_bought)):
        key = tuple(sorted(used.part.id for used in steps))
        if key in offered:
            continue
        chain = chain_through(start, finish, steps)
        if can_be_made_up(chain, limits.fixed) and _keeps_to(chain, limits) and (key not in found or chain.cost < found[key].cost):
            found[key] = chain
    worth = [chain for chain in found.values()
             if len(chain.parts) <= fewest or bought([used.part for used in chain.parts], on_hand) < fewest]
    return tuple(sorted(worth, key=lambda each: (each.cost, [used.part.id for used in each.parts])))


def bought(parts: Iterable[Part], on_hand: Mapping[Part, int]) -> int:
    """How many of these parts are not on the shelf."""
    use = Counter(parts)
    return sum(max(count - on_hand.get(part, 0), 0) for part, count in use.items())


class _Walk(NamedTuple):
    """How far a walk goes: parts at most, parts of the best chain, how hard to get a bought part may be, bought parts at most."""

    most: int
    fewest: int
    hardest: int
    most_bought: int


def _walks(start: End, finish: End, limits: Limits, on_hand: Mapping[Part, int], walk_to: _Walk) -> Iterator[tuple[Used, ...]]:
    allowed = Allowed((start, finish), limits)
    last = {mouth.end for mouth in planned_partners(finish)}

    @cache
    def usable(near: End) -> list[tuple[Used, int, bool]]:
        """Parts that begin with an end, how many of each are on the shelf, and whether one may be bought."""
        there = [(option, on_hand.get(option.used.part, 0)) for option in allowed.uses(near)]
        return [(option.used, have, option.had <= walk_to.hardest) for option, have in there if have or option.had <= walk_to.hardest]

    @cache
    def closing(near: End) -> list[tuple[Used, int, bool]]:
        """Those of them that end a chain."""
        return [each for each in usable(near) if each[0].far in last]

    def further(open_end: End, steps: tuple[Used, ...], buys: int) -> Iterator[tuple[Used, ...]]:
        ends_here = len(steps) + 1 == walk_to.most
        for mouth in planned_partners(open_end):
            for used, have, can_be_bought in (closing if ends_here else usable)(mouth.end):
                missing = buys + (have <= sum(each.part == used.part for each in steps))
                # Another joint is a fair price for a part less to buy, and for nothing else.
                too_many = missing > walk_to.most_bought or (missing >= walk_to.fewest and len(steps) >= walk_to.fewest)
                if too_many or (missing > buys and not can_be_bought):
                    continue
                walk = (*steps, used)
                if used.far in last:
                    yield walk
                if not ends_here:
                    yield from further(used.far, walk, missing)

    return further(start, (), 0)


def _keeps_to(chain: Chain, limits: Limits) -> bool:
    """The limits that only a whole chain can keep to."""
    shapes = ((limits.shape_from, chain.parts[0]), (limits.shape_to, chain.parts[-1]))
    if any(shape is not None and used.part.shape != shape for shape, used in shapes):
        return False
    if limits.fixed and not any(each.turns_freely for each in chain.joints):
        return False
    return not any(end.family in limits.avoid for each in chain.joints[1:-1] for end in (each.a, each.b))
