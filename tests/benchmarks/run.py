"""Measures what is claimed about speed, side by side in one run, as ratios. Not part of the tests.

    python tests/benchmarks/run.py            prints the tables
    python tests/benchmarks/run.py --write    also writes docs/performance.md
"""

import itertools
import os
import platform
import random
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP))

import networkx  # noqa: E402

import fittings  # noqa: E402
from fittings.ends import End, all_ends  # noqa: E402
from fittings.network import joint_cost, planned_partners  # noqa: E402
from fittings.planner import Limits, join  # noqa: E402

ROUNDS = 11
CORE = ("orb", "jic", "orfs", "npt", "npsm", "bspp", "bsp60", "bspt", "iso6149")
STARTS = {
    "--help": ["--help"],
    "show": ["show", "ORB -6 port"],
    "mate": ["mate", "JIC -6 male", "ORB -6 port"],
    "join": ["join", "ORB -6 port", "JIC -8 swivel", "--psi", "3000"],
    "identify": ["identify", "--od", "14.2 mm", "--tpi", "18", "--male"],
    "plan (demo)": ["plan", "docs/examples/log-lift.toml"],
}


def seconds(work: Callable[[], object]) -> float:
    """Wall time of one call."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def start_up() -> list[tuple[str, float, float]]:
    """(verb, median ms, ratio to a bare interpreter), each round running the bare interpreter beside every verb."""
    env = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}

    def run(words: list[str]) -> float:
        return seconds(lambda: subprocess.run([sys.executable, *words], cwd=TOP, env=env, capture_output=True, check=False))

    times: dict[str, list[float]] = {name: [] for name in ("bare", *STARTS)}
    for _ in range(ROUNDS):
        times["bare"].append(run(["-c", "pass"]))
        for name, words in STARTS.items():
            times[name].append(run(["-m", "fittings", *words]))
    bare = statistics.median(times["bare"])
    return [(name, statistics.median(some) * 1000, statistics.median(some) / bare) for name, some in times.items()]


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


def queries() -> list[tuple[str, float, float]]:
    """(what, median ms, ratio to ours) for the best three chains, on the same questions in the same run."""
    chances = random.Random(1)
    ends = [each for each in all_ends() if each.family in CORE]
    questions = [chances.sample(ends, 2) for _ in range(150)]
    plain = plain_graph()
    for start, finish in questions:
        join(start, finish, Limits(psi=2000))
    ours, theirs, single = [], [], []
    for start, finish in questions:
        ours.append(seconds(lambda start=start, finish=finish: join(start, finish, Limits(psi=2000))))
        single.append(seconds(lambda start=start: networkx.single_source_dijkstra(plain, start, weight="cost")))
    for start, finish in questions[:30]:
        theirs.append(seconds(lambda start=start, finish=finish: three_paths(plain, start, finish)))
    base = statistics.median(ours)
    rows = [("join, best three under 2000 psi", ours), ("networkx single_source_dijkstra", single),
            ("networkx shortest_simple_paths(3)", theirs)]
    return [(name, statistics.median(some) * 1000, statistics.median(some) / base) for name, some in rows]


def page() -> str:
    """The results as a document."""
    out = ["# How fast", "", "Made by `python tests/benchmarks/run.py --write`; every figure of a table was measured in one run, side by",
           f"side. Python {platform.python_version()}, {os.cpu_count()} cores, {platform.machine()}; medians of {ROUNDS} rounds. A shared machine: read the",
           "ratios, not the milliseconds.", "", "## From the command line", "", "| what | median | times a bare interpreter |", "| --- | --- | --- |"]
    out += [f"| {name} | {ms:.0f} ms | {ratio:.1f} |" for name, ms, ratio in start_up()]
    out += ["", "## One question in a running program", "", "150 random pairs of ends in the core families, tables already read.", "",
            "| what | median | times ours |", "| --- | --- | --- |"]
    out += [f"| {name} | {ms:.2f} ms | {ratio:.1f} |" for name, ms, ratio in queries()]
    return "\n".join(out) + "\n"


if __name__ == "__main__":
    text = page()
    print(text)
    if "--write" in sys.argv:
        (TOP / "docs" / "performance.md").write_text(text, "utf-8")
