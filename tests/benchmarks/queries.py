"""One question in a running program: our search beside the path searches of four graph libraries on the same edges.

Every library gets one graph that holds what the limits allow: for each pair of ends the cheapest part, and a goal behind
every end that mates the end asked for. What each of them answers is less than a chain and is said in the table.
"""

import itertools
import random
import statistics
from collections.abc import Callable, Iterator
from typing import Any

import igraph
import networkx
import numpy
import rustworkx
from measuring import Table, compared, noise, seconds
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra, yen

import fittings
from fittings import chain, search
from fittings.ends import End, all_ends, family
from fittings.limits import USUAL_MOST, Limits
from fittings.network import joint_cost, planned_partners
from fittings.planner import Answer, join

PSI, BEST, ASKED, ROUNDS = 2000, 3, 100, 3
OURS = f"`join`, best {BEST}"
NUMBERED = f"networkx `shortest_simple_paths`, {BEST}, on numbers for ends"
Question = tuple[End, End]
Ask = Callable[[End, End], Any]


def edges() -> dict[tuple[int, int], int]:
    """Points of the cheapest allowed part from one open end to the next, by numbers of ends; an end's goal is its number
    plus the number of ends."""
    number = {each: n for n, each in enumerate(all_ends())}
    found: dict[tuple[int, int], int] = {}
    for x, y, data in fittings.graph().edges(data=True):
        if data["part"].shape != "coupler" and chain.part_psi(data["part"]) >= PSI:
            key = number[x], number[y]
            found[key] = min(data["cost"], found.get(key, data["cost"]))
    for finish, n in number.items():
        for mouth in planned_partners(finish):
            found[number[mouth.end], n + len(number)] = joint_cost(mouth.condition)
    return found


def fresh(start: End, finish: End) -> Answer:
    """Our answer, with nothing kept of any question before but the tables and what the limits allow."""
    search._search_for.cache_clear()
    return join(start, finish, Limits(psi=PSI), BEST)


def works() -> dict[str, Ask]:
    """Every search by what it is called in the table."""
    number = {each: n for n, each in enumerate(all_ends())}
    ends = len(number)
    found = edges()
    graph: networkx.DiGraph[int] = networkx.DiGraph()
    graph.add_nodes_from(range(2 * ends))
    graph.add_weighted_edges_from((x, y, cost) for (x, y), cost in found.items())
    # As the public graph holds it: an end is its own node, and its goal the end once more with a word to tell them apart.
    named = networkx.relabel_nodes(graph, {
        n + behind: each._replace(form=each.form + (" taken" if behind else "")) for each, n in number.items() for behind in (0, ends)})
    rust = rustworkx.PyDiGraph()
    rust.add_nodes_from(range(2 * ends))
    rust.add_edges_from([(x, y, cost) for (x, y), cost in found.items()])
    other = igraph.Graph(2 * ends, list(found), directed=True)
    costs = list(found.values())
    xs, ys = numpy.array(list(found), "int32").T
    matrix = csr_array((numpy.array(costs, float) + 1e-9, (xs, ys)), shape=(2 * ends, 2 * ends))

    def simple_paths(start: End, finish: End) -> list[list[int]]:
        paths = networkx.shortest_simple_paths(graph, number[start], number[finish] + ends, weight="weight")
        return list(itertools.islice(paths, BEST))

    def paths_of_ends(start: End, finish: End) -> list[list[End]]:
        paths = networkx.shortest_simple_paths(named, start, finish._replace(form=f"{finish.form} taken"), weight="weight")
        return list(itertools.islice(paths, BEST))

    return {
        OURS: fresh,
        f"networkx `shortest_simple_paths`, {BEST}, on the ends of the public graph": paths_of_ends,
        NUMBERED: simple_paths,
        "networkx `bidirectional_dijkstra`": lambda start, finish: networkx.bidirectional_dijkstra(
            graph, number[start], number[finish] + ends, weight="weight"),
        f"igraph `get_k_shortest_paths`, {BEST}": lambda start, finish: other.get_k_shortest_paths(
            number[start], number[finish] + ends, k=BEST, weights=costs),
        f"scipy `csgraph.yen`, {BEST}": lambda start, finish: yen(matrix, number[start], number[finish] + ends, BEST),
        "rustworkx `dijkstra_shortest_paths`": lambda start, finish: rustworkx.digraph_dijkstra_shortest_paths(
            rust, number[start], number[finish] + ends, weight_fn=float),
        "scipy `csgraph.dijkstra`": lambda start, finish: dijkstra(matrix, indices=number[start]),
    }


GIVES = {
    "networkx `shortest_simple_paths`": "three paths by points alone",
    "igraph": "three paths by points alone; compiled",
    "scipy `csgraph.yen`": "lengths of three paths; compiled",
    "networkx `bidirectional": "one path", "rustworkx": "one path; compiled", "scipy `csgraph.dijkstra`": "lengths to all ends; compiled",
}


def pairs(seed: int) -> Iterator[Question]:
    """Random pairs of ends; no couplers, whose halves are left out of other questions and so out of the graph."""
    chances = random.Random(seed)
    ends = [each for each in all_ends() if family(each.family)["kin"] != "coupler"]
    while True:
        yield chances.choice(ends), chances.choice(ends)


def questions() -> list[Question]:
    """Pairs of ends that have a chain under the limits and do not mate directly."""
    found: list[Question] = []
    for start, finish in pairs(1):
        if len(found) == ASKED:
            break
        answer = fresh(start, finish)
        if answer.chains and answer.chains[0].parts:
            found.append((start, finish))
    return found


def cheapest(path: list[int]) -> chain.Chain:
    """The chain of a path: between its ends the cheapest allowed parts."""
    *opened, goal = (all_ends()[n % len(all_ends())] for n in path)
    parts = [
        min((made.cost + option.cost, option.used) for near, made in chain.joints_made(x).items() for option in search.options(near)
            if option.used.far == y and option.psi >= PSI and not option.coupler)[1]
        for x, y in itertools.pairwise(opened)
    ]
    return chain.chain_through(opened[0], goal, parts)


def agreement(asked: list[Question], peer: Ask) -> str:
    """On how many questions the first chain costs what the first path costs, and what is wrong with the other paths."""
    same = long = cannot = 0
    for start, finish in asked:
        path, first = cheapest(peer(start, finish)[0]), fresh(start, finish).chains[0]
        same += first.cost == path.cost
        if first.cost != path.cost:
            long += len(path.parts) > USUAL_MOST
            weak = path.rating is None or path.rating.exact_psi < PSI
            cannot += len(path.parts) <= USUAL_MOST and (weak or not chain.can_be_made_up(path, False))
    assert same + long + cannot == len(asked), "a chain was missed"
    return (f"The first chain costs what the shortest path costs on {same} of {len(asked)} questions; on the others the path has more "
            f"than {USUAL_MOST} parts ({long}), or two bushings, an elbow that cannot be set or a joint that holds less ({cannot}).")


def tables() -> list[Table]:
    """The best three chains under 2000 psi; and what a refusal costs."""
    asked, doing = questions(), works()
    best: dict[str, list[float]] = {name: [9.0] * len(asked) for name in doing}
    metronome: list[float] = []
    for each in asked:  # tables read, what the limits allow known
        for work in doing.values():
            work(*each)
    for _ in range(ROUNDS):
        for n, each in enumerate(asked):
            metronome.append(seconds(lambda: fresh(*asked[0])))
            for name, work in doing.items():
                best[name][n] = min(best[name][n], seconds(lambda work=work, each=each: work(*each)))
    gives = {OURS: "chains proved joint by joint, with ratings, seals and what each gives up"}
    gives |= {name: what for name in doing for begins, what in GIVES.items() if name.startswith(begins)}
    above = (
        f"{ASKED} seeded pairs of ends that can be joined at {PSI} psi; tables read. Each question was asked of all in turn, {ROUNDS} "
        f"times, and the quickest counts; the quartiles are over the questions. {noise(metronome)} {agreement(asked, doing[NUMBERED])}")
    refusals = [seconds(lambda start=start, finish=finish: fresh(start, finish)) for start, finish in refused()]
    table = compared("One question in a running program", above, best, OURS, "ours", gives, "gives")
    told = statistics.quantiles([each * 1000 for each in refusals], n=20)
    return [table._replace(below=(
        f"A question that ends in a refusal is searched again without each limit, for the reasons and the hints: median "
        f"{told[9]:.2f} ms, 19 of 20 within {told[18]:.1f} ms ({len(refusals)} seeded pairs)."))]


def refused() -> list[Question]:
    """Pairs of ends that have no chain under the limits."""
    return [each for each in itertools.islice(pairs(2), 300) if fresh(*each).refused]
