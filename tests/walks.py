"""Chains by the million, made from the list of parts and the hand-written joints: no planner, no search.

    python tests/walks.py            # every chain of up to three parts between core ends, judged twice
    python tests/walks.py --every 4  # all are made, every fourth is judged

Judged by `fittings.check` and by `chain_oracle`; prints how many chains there are, how many stand, and any difference.
"""

import argparse
import random
import time
from collections import Counter
from collections.abc import Iterator
from functools import cache

from chain_oracle import Piece, holds, wrong

from fittings.check import Flaw, chain_flaws
from fittings.check import Piece as Part
from fittings.ends import End, all_ends
from fittings.limits import Limits
from fittings.parts import all_parts

CORE = ("orb", "jic", "orfs", "npt", "npsm", "bspp", "bsp60", "bspt", "iso6149")
SHAPES = ("straight", "45", "90", "bushing", "bulkhead", "coupler", "cap", "tee")


@cache
def takers(of: End) -> tuple[End, ...]:
    """Ends that make a joint with `of`."""
    return tuple(each for each in all_ends() if each.size == of.size and holds(of, each))


@cache
def beginning_with(near: End) -> tuple[Piece, ...]:
    """Two-ended parts, near end first."""
    found: list[Piece] = []
    for part in all_parts():
        if len(part.ends) == 2 and near in part.ends:
            first, second = part.ends
            found.append((near, second if first == near else first, part.shape))
    return tuple(found)


@cache
def after(open_end: End) -> tuple[Piece, ...]:
    """Parts that go on an open end; couplers only where one is asked for, as everywhere."""
    return tuple(piece for near in takers(open_end) for piece in beginning_with(near) if piece[2] != "coupler")


def walks(start: End, parts: int) -> Iterator[tuple[Piece, ...]]:
    """Every row of `parts` parts that can be put on `start`."""
    if parts == 0:
        yield ()
        return
    for before in walks(start, parts - 1):
        for piece in after(before[-1][1] if before else start):
            yield (*before, piece)


def any_walk(chances: random.Random, start: End, parts: int) -> tuple[Piece, ...]:
    """A row of up to `parts` parts on `start`, at random."""
    row: list[Piece] = []
    for _ in range(parts):
        if there := after(row[-1][1] if row else start):
            row.append(chances.choice(there))
    return tuple(row)


@cache
def _by_words() -> dict[str, str]:
    return {each.say: each.id for each in all_ends()}


def told(flaws: list[Flaw]) -> set[tuple[str, str]]:
    """Flaws in the words of the oracle."""
    plain = {"part-not-made": "part", "elbow-cannot-be-set": "elbow", "two-bushings": "bushings", "rating-unknown": "unrated",
             "rating-below": "weak", "family-avoided": "avoided", "too-many-parts": "many", "shape-differs": "shape",
             "nothing-turns": "nothing turns", "bore-narrower": "narrow"}
    found = set()
    for flaw in flaws:
        what = "never" if flaw.code == "joint-never" else "joint" if flaw.code.startswith("joint-") else plain[flaw.code]
        side = "start" if " start" in flaw.text else "end"
        where = side if what == "shape" else "" if flaw.where == "chain" else flaw.where
        found.add((what, _by_words().get(where, where.removeprefix("joint ").removeprefix("part "))))
    return found


def judged(start: End, finish: End, pieces: tuple[Piece, ...], asked: Limits = Limits()
           ) -> tuple[set[tuple[str, str]], set[tuple[str, str]]]:
    """What the second opinion says and what the oracle says."""
    return told(chain_flaws(start, finish, [Part(*piece) for piece in pieces], asked)), wrong(start, finish, pieces, asked)


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--most", type=int, default=3, help="parts")
    words.add_argument("--every", type=int, default=1, help="judge every Nth chain")
    asked = words.parse_args()
    core = [each for each in all_ends() if each.family in CORE]
    inside = set(core)
    for parts in range(asked.most + 1):
        began, counted, reasons = time.monotonic(), Counter[str](), Counter[str]()
        for start in core:
            for row in walks(start, parts):
                for finish in takers(row[-1][1] if row else start):
                    if finish not in inside:
                        continue
                    counted["all"] += 1
                    if counted["all"] % asked.every == 0:
                        ours, theirs = judged(start, finish, row)
                        counted["judged"] += 1
                        counted["differ"] += ours != theirs
                        counted["stand"] += not ours
                        reasons.update(what for what, _ in ours)
        print(f"{parts} parts: {counted['all']} chains, {counted['judged']} judged, {counted['stand']} stand, {counted['differ']} judged differently; "
              f"{dict(reasons)}; {time.monotonic() - began:.0f} s", flush=True)


if __name__ == "__main__":
    main()
