"""Digests of many answers, so that work on speed is seen to change none of them, and a change of answers is wilful.

    python tests/benchmarks/digest.py            prints the digests beside the last that were kept; exit 1 when they differ
    python tests/benchmarks/digest.py --write    keeps them in tests/benchmarks/digests.csv, with the date

Of `mate`: every pair of ends. Of `join`: a seeded sample of pairs with limits, refusals and their hints included. The
digest of `data/` stands beside them, since new rows change answers as they should.
"""

import csv
import random
import sys
from collections.abc import Iterable, Iterator
from datetime import date
from hashlib import sha256
from itertools import combinations_with_replacement
from pathlib import Path

from measuring import TOP

sys.path.insert(0, str(TOP))

from fittings.ends import End, all_ends, families
from fittings.limits import Limits
from fittings.mating import Verdict, mate
from fittings.planner import Answer, join

KEPT = Path(__file__).with_name("digests.csv")
COLUMNS = ("date", "what", "answers", "digest")
ASKED = 3000
CORE = ("orb", "jic", "orfs", "npt", "npsm", "bspp", "bsp60", "bspt", "iso6149")


def digest(lines: Iterable[str]) -> tuple[int, str]:
    """How many lines, and the first sixteen hexadecimal digits of the SHA-256 of them all."""
    whole, count = sha256(), 0
    for count, line in enumerate(lines, 1):  # noqa: B007
        whole.update(line.encode() + b"\n")
    return count, whole.hexdigest()[:16]


def data_lines() -> Iterator[str]:
    """Every data file: its place and the digest of its bytes."""
    for path in sorted((TOP / "data").rglob("*.csv")):
        yield f"{path.relative_to(TOP).as_posix()} {sha256(path.read_bytes()).hexdigest()}"


def verdict_line(of: Verdict) -> str:
    """A verdict in one line: what it says, by codes and figures."""
    seal = (of.seal.kind, of.seal.ring.key if of.seal.ring else "", of.seal.sealant) if of.seal else None
    rating = (of.rating.psi, of.rating.sources) if of.rating else None
    codes = [(each.code, each.text, each.sources) for each in of.reasons]
    return repr((of.a.id, of.b.id, of.engages, of.seals, of.verdict, of.condition, seal, rating, codes, of.instead))


def verdicts() -> Iterator[str]:
    """Every pair of ends, each once."""
    for a, b in combinations_with_replacement(all_ends(), 2):
        yield verdict_line(mate(a, b))


def questions(count: int) -> Iterator[tuple[End, End, Limits]]:
    """Pairs of ends with limits, by a seeded generator; two of three pairs of the core families."""
    chances = random.Random(20261126)
    ends = all_ends()
    core = [each for each in ends if each.family in CORE]
    for _ in range(count):
        start, finish = (chances.choice(core if chances.random() < 0.8 else ends) for _ in range(2))
        yield start, finish, Limits(
            psi=chances.choice((None, 1000, 2000, 2000, 3000, 4500)),
            avoid=tuple(chances.sample(families(), chances.choice((0, 0, 0, 1, 2)))),
            max_parts=chances.choice((None, None, None, None, 1, 2, 3)),
            shape_from=chances.choice((None,) * 6 + ("90", "45", "straight")),
            shape_to=chances.choice((None,) * 8 + ("90", "45", "straight")),
            full_bore=chances.random() < 0.1, fixed=chances.random() < 0.15)


def answer_line(of: Answer) -> str:
    """An answer in one line: the parts, joints and points of every chain, or the refusal."""
    chains = [
        ([used.part.id for used in chain.parts], [(joint.a.id, joint.b.id, joint.verdict, joint.rating and joint.rating.psi) for joint in chain.joints],
         chain.rating and chain.rating.psi, chain.weakest, chain.cost, chain.gives_up)
        for chain in of.chains
    ]
    no = of.refused
    refused = no and (no.kind, [(fact.n, fact.code, fact.text) for fact in no.facts], no.because,
                      [(hint.code, hint.text, hint.run) for hint in no.hints])
    return repr((of.start.id, of.finish.id, chains, refused))


def answers() -> Iterator[str]:
    """What `join` answers to the seeded questions."""
    for start, finish, limits in questions(ASKED):
        yield answer_line(join(start, finish, limits))


def main() -> int:
    """Print the digests, and keep them when asked to; 1 when one differs from the last that was kept."""
    kept = {}
    if KEPT.exists():
        with open(KEPT, encoding="utf-8", newline="") as file:
            kept = {row["what"]: row["digest"] for row in csv.DictReader(file)}
    rows = [(date.today().isoformat(), what, *digest(lines()))
            for what, lines in (("data", data_lines), ("mate", verdicts), ("join", answers))]
    for _, what, count, found in rows:
        said = "not kept before" if what not in kept else "as kept" if kept[what] == found else f"was {kept[what]}"
        print(f"{what}: {count} answers, {found} ({said})")
    if "--write" in sys.argv:
        with open(KEPT, "a" if KEPT.exists() else "w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerows([COLUMNS, *rows] if not file.tell() else rows)
        return 0
    return int(any(kept.get(what) != found for _, what, _, found in rows))


if __name__ == "__main__":
    sys.exit(main())
