"""The whole graph, edge by edge, against rules written down apart from the code."""

import csv
from collections import Counter
from functools import cache
from pathlib import Path

import networkx
from chain_oracle import never

import fittings
from fittings.chain import joints_made
from fittings.ends import End, all_ends
from fittings.parts import all_parts
from fittings.search import best_options, options

HERE = Path(__file__).parent


def _rows(name: str) -> list[dict[str, str]]:
    with open(HERE / "authorities" / name, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


@cache
def _graph() -> "networkx.MultiDiGraph[End]":
    return fittings.graph()


# A taper male in a parallel port or on a coned swivel holds only at low pressure or by luck: never planned
# (air-line supplier's text).
NEVER_PLANNED = {frozenset({("bspt", "male"), ("bspp", "port")}), frozenset({("bspt", "male"), ("bsp60", "swivel")})}
LEGAL = {
    frozenset({(row["family_a"], row["form_a"]), (row["family_b"], row["form_b"])}) for row in _rows("joints_by_hand.csv")
} - NEVER_PLANNED


def test_every_joint_of_the_graph_is_legal() -> None:
    """No import of `mating` here: a joint is two halves that the hand-written list pairs, of one size."""
    wrong = [
        (x.id, data["meets"].id)
        for x, _, data in _graph().edges(data=True)
        if frozenset({(x.family, x.form), (data["meets"].family, data["meets"].form)}) not in LEGAL or x.size != data["meets"].size
    ]
    assert wrong == []


def test_every_edge_is_a_part_entered_at_one_end_and_left_at_the_other() -> None:
    for _, y, data in _graph().edges(data=True):
        assert sorted((data["meets"], y)) == sorted(data["part"].ends)


def test_nodes_per_family_counted_by_hand() -> None:
    counted = Counter(each.family for each in _graph().nodes)
    assert counted == {row["family"]: int(row["nodes"]) for row in _rows("graph_nodes.csv")}
    assert sum(counted.values()) == _graph().number_of_nodes() == 526


def test_edges_per_family_follow_from_parts_and_halves() -> None:
    """Each end of a two-ended part can be put on as many open ends as the hand-written list pairs it with at its size."""
    ends = set(all_ends())

    def takers(of: End) -> list[End]:
        halves = [next(iter(pair - {(of.family, of.form)})) for pair in LEGAL if (of.family, of.form) in pair]
        return [each for each in (End(family, of.size, form) for family, form in halves) if each in ends]

    expected: Counter[str] = Counter()
    for part in all_parts():
        if len(part.ends) == 2:
            first, second = part.ends
            for meets, beside in ((first, second), (second, first)) if first != second else ((first, second),):
                expected.update(each.family for each in takers(meets) if not never(meets, each, beside, part.shape))
    counted = Counter(x.family for x, _ in _graph().edges())
    assert counted == expected
    assert _graph().number_of_edges() == sum(expected.values())


def test_what_the_search_walks_is_the_graph_edge_by_edge() -> None:
    """Every step that the search can take is an edge of the public graph with the same part, joint and points, and the other way
    round; neither holds anything twice."""
    walked = Counter(
        (x, option.used.far, option.used.part, near, made.cost + option.cost)
        for x in all_ends() for near, made in joints_made(x).items() for option in options(near) if made.condition not in option.near_lacks
    )
    held = Counter((x, y, data["part"], data["meets"], data["cost"]) for x, y, data in _graph().edges(data=True))
    assert walked == held
    assert set(held.values()) == {1}


def test_a_part_that_the_search_leaves_out_is_no_better_in_anything_than_one_it_keeps() -> None:
    """Between the same two ends: not cheaper, not easier had, not rated higher, not wider, not straighter, and no adapter where
    the one kept is a bushing or half a coupler."""
    for near in all_ends():
        kept = best_options(near)
        assert {each.used.far for each in kept} == {each.used.far for each in options(near)}
        for out in set(options(near)) - set(kept):
            assert any(
                each.used.far == out.used.far and each.cost <= out.cost and each.had <= out.had and each.psi >= out.psi
                and each.bore >= out.bore and each.bends <= out.bends and each.bushing <= out.bushing and each.coupler <= out.coupler
                and each.near_lacks <= out.near_lacks and each.far_lacks <= out.far_lacks
                for each in kept), out.used.part.say
