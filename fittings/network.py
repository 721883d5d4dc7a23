"""Ends are nodes, parts are edges: the graph that chains are found in.

`steps(open_end)` says what one more part can make of an open end. The quick queries walk these steps directly; the
public networkx graph is made from the very same function, so the two cannot differ.
"""

from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from fittings.ends import End, all_ends, family
from fittings.mating import Partner, partners
from fittings.parts import Part, lacks, parts_with
from fittings.parts import step as rung
from fittings.ratings import rated_by_hose, rating
from fittings.tables import table

if TYPE_CHECKING:
    import networkx


class Step(NamedTuple):
    """One part put on an open end: the joint it makes (`meets`, with its `condition`), and the end that is open next."""

    part: Part
    meets: End
    condition: str
    opens: End


@cache
def planned_partners(of: End) -> tuple[Partner, ...]:
    """Partners of an end that a plan may count on."""
    return tuple(each for each in partners(of) if each.planned)


@cache
def steps(open_end: End) -> tuple[Step, ...]:
    """Every way to put one two-ended part on an open end."""
    return tuple(
        Step(part, mouth.end, mouth.condition, opens)
        for mouth in planned_partners(open_end)
        for part in parts_with(mouth.end)
        if mouth.condition not in lacks(part, mouth.end)
        for opens in far_ends(part, mouth.end)
    )


def far_ends(part: Part, near: End) -> tuple[End, ...]:
    """The other end of a two-ended part; nothing for caps, plugs, tees and crosses."""
    if len(part.ends) != 2:
        return ()
    first, second = part.ends
    return (second,) if first == near else (first,)


@cache
def _penalties() -> dict[tuple[str, str], int]:
    return {(row["what"], row["which"]): int(row["points"]) for row in table("preferences")}


def penalty(what: str, which: str) -> int:
    """Points that count against a choice (`data/preferences.csv`): `part`, `had`, `condition` or `shape`."""
    return _penalties()[what, which]


def cost(step: Step) -> int:
    """Points against a step: one part more, how hard it is to get, what its joint depends on, its shape."""
    return part_cost(step.part) + joint_cost(step.condition)


@cache
def part_cost(part: Part) -> int:
    """Points against a part: one more, how hard to get, its shape, a rating we lack, two systems of threads, the sizes it jumps."""
    shape = part.shape.split("-")[0]
    points = penalty("part", "one") + penalty("had", part.had) + penalty("shape", shape)
    if any(rated_by_hose(each) for each in part.ends):
        points += penalty("hose end", "rigid") if part.rigid else 0
        points += sum(_penalties().get(("hose end", each.family), 0) for each in part.ends)
    if any(rating(each) is None for each in part.ends if not rated_by_hose(each)):
        points += penalty("rating", "unknown")
    if len({family(each.family)["system"] for each in part.ends} - {""}) > 1:
        points += penalty("system", "crossed")
    return points + round(penalty("jump", "step") * jump(part))


def jump(part: Part) -> float:
    """Steps of the size ladder between the two ends of a part; 0 where they share no ladder."""
    if len(part.ends) != 2:
        return 0.0
    a, b = part.ends
    rungs = rung(a.family, a.size, b.family), rung(b.family, b.size, a.family)
    return 0.0 if rungs[0] is None or rungs[1] is None else abs(rungs[0] - rungs[1])


def joint_cost(condition: str) -> int:
    """Points against a joint: what it depends on; none for one that simply holds."""
    return penalty("condition", condition or "none")


def graph() -> "networkx.MultiDiGraph[End]":
    """The whole graph as networkx holds it.

    Nodes are ends. An edge x → y is a part that can be put on the open end x and then leaves y open; it carries `part`,
    `meets` (the end of the part that x takes), `condition` and `cost` (points). A chain from x to y is a path from x to
    any end that mates y; none of its joints may depend on what the part before it never has there (`lacks`: keys of conditions).

    >>> graph().number_of_nodes() == len(all_ends())
    True
    """
    import networkx

    whole: networkx.MultiDiGraph[End] = networkx.MultiDiGraph()
    for each in all_ends():
        whole.add_node(each, family=each.family, size=each.size, form=each.form, say=each.say)
    for each in all_ends():
        for step in steps(each):
            whole.add_edge(each, step.opens, key=(step.part.id, step.meets.id), part=step.part, meets=step.meets,
                           condition=step.condition, cost=cost(step), lacks=lacks(step.part, step.opens))
    return whole
