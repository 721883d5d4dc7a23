"""Chains: against networkx on the same graph, against the second opinion, and against what a counter would say."""

from functools import cache

import networkx
import pytest

import fittings
from fittings.check import Asked, Piece, chain_flaws
from fittings.ends import End, all_ends
from fittings.network import joint_cost, planned_partners, steps
from fittings.planner import MOST_PARTS, Chain, Limits, join

CORE = ("orb", "jic", "orfs", "npt", "npsm", "bspp", "bsp60", "bspt", "iso6149")
CORE_ENDS = tuple(each for each in all_ends() if each.family in CORE)



def _flaws(chain: Chain, limits: Limits) -> list[str]:
    pieces = [Piece(used.near, used.far, used.part.shape) for used in chain.parts]
    asked = Asked(limits.psi, limits.avoid, limits.max_parts, limits.shape_from, limits.shape_to, limits.full_bore, limits.fixed)
    return [flaw.code for flaw in chain_flaws(chain.start, chain.finish, pieces, asked)]


@cache
def _graph() -> "networkx.MultiDiGraph[End]":
    return fittings.graph()


def test_graph_edges_are_the_steps() -> None:
    graph = _graph()
    assert set(graph.nodes) == set(all_ends())
    for each in all_ends():
        made = {(step.opens, step.part.id, step.meets.id) for step in steps(each)}
        assert {(far, *key) for _, far, key in graph.out_edges(each, keys=True)} == made




@cache
def _plain() -> "networkx.DiGraph[End]":
    plain: networkx.DiGraph[End] = networkx.DiGraph()
    plain.add_nodes_from(all_ends())
    for x, y, data in _graph().edges(data=True):
        if data["part"].shape == "coupler":
            continue  # couplers come in only where an end that was asked for is one
        cost, shape = data["cost"], data["part"].shape
        if not plain.has_edge(x, y) or plain[x][y]["cost"] > cost:
            plain.add_edge(x, y, cost=cost, shape=shape)
    return plain


def _costs_on(plain: "networkx.DiGraph[End]", start: End) -> dict[End, tuple[int, list[End]]]:
    """Cheapest points from `start` to every end, final joint included, and the ends that are open on the way."""
    dist, paths = networkx.single_source_dijkstra(plain, start, weight="cost")
    best: dict[End, tuple[int, list[End]]] = {}
    for open_end, cost in dist.items():
        for mouth in planned_partners(open_end):
            whole = cost + joint_cost(mouth.condition)
            if mouth.end not in best or whole < best[mouth.end][0]:
                best[mouth.end] = whole, paths[open_end]
    return best


def _two_bushings(path: list[End]) -> bool:
    """Whether the shortest path cannot be had without a second bushing, which no fitter stacks."""
    plain = _plain()
    return sum(plain[x][y]["shape"] == "bushing" for x, y in zip(path, path[1:], strict=False)) > 1


@pytest.mark.parametrize("start", CORE_ENDS, ids=lambda each: each.id)
def test_best_chain_is_the_shortest_path_of_networkx(start: End) -> None:
    """All pairs of ends in the core families: the same points, unless the path is a stack that the rules forbid."""
    costs = _costs_on(_plain(), start)
    for finish in CORE_ENDS:
        answer = join(start, finish, best=1)
        if finish not in costs:
            assert answer.chains == ()
            continue
        cost, path = costs[finish]
        forbidden = len(path) - 1 > MOST_PARTS or _two_bushings(path)
        if forbidden:
            assert all(chain.cost >= cost for chain in answer.chains)
        else:
            assert answer.chains[0].cost == cost, (start.id, finish.id)
            assert _flaws(answer.chains[0], Limits()) == []
