"""One question in a running program: our search beside networkx on the same graph and the same questions."""

import itertools
import random

import networkx
from measuring import Table, compared, seconds

import fittings
from fittings.ends import End, all_ends
from fittings.network import joint_cost, planned_partners
from fittings.planner import Limits, join

CORE = ("orb", "jic", "orfs", "npt", "npsm", "bspp", "bsp60", "bspt", "iso6149")
ASKED = 40


def plain_graph() -> "networkx.DiGraph[End]":
    """The public graph with the cheapest of parallel edges, without couplers, as a shortest-path search wants it."""
    plain: networkx.DiGraph[End] = networkx.DiGraph()
    plain.add_nodes_from(all_ends())
    for x, y, data in fittings.graph().edges(data=True):
        if data["part"].shape != "coupler" and (not plain.has_edge(x, y) or plain[x][y]["cost"] > data["cost"]):
            plain.add_edge(x, y, cost=data["cost"])
    return plain


def three_paths(plain: "networkx.DiGraph[End]", start: End, finish: End) -> list[list[End]]:
    """Three cheapest simple paths to a sink behind every end that mates `finish`."""
    sink = End("sink", "", "")
    for mouth in planned_partners(finish):
        plain.add_edge(mouth.end, sink, cost=joint_cost(mouth.condition))
    try:
        return list(itertools.islice(networkx.shortest_simple_paths(plain, start, sink, weight="cost"), 3))
    except networkx.NetworkXNoPath:
        return []
    finally:
        plain.remove_node(sink)


def tables() -> list[Table]:
    """One table: the best three chains, ours and theirs."""
    chances = random.Random(1)
    ends = [each for each in all_ends() if each.family in CORE]
    questions = [chances.sample(ends, 2) for _ in range(ASKED)]
    plain = plain_graph()
    for start, finish in questions:
        join(start, finish, Limits(psi=2000))
    ours, theirs = [], []
    for start, finish in questions:
        ours.append(seconds(lambda start=start, finish=finish: join(start, finish, Limits(psi=2000))))
        theirs.append(seconds(lambda start=start, finish=finish: three_paths(plain, start, finish)))
    return [compared("One question in a running program", f"{ASKED} random pairs of ends in the core families.",
                     {"join, best three under 2000 psi": ours, "networkx shortest_simple_paths (3)": theirs},
                     "join, best three under 2000 psi", "ours")]
