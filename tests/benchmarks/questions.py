"""Seeded files of questions for `join --batch`, such as a shop or a parts counter would send.

    python tests/benchmarks/questions.py 100000 > questions.csv              asked again and again, as people do
    python tests/benchmarks/questions.py 100000 --different > questions.csv  no question twice
"""

import csv
import random
import sys
from collections.abc import Iterator

from measuring import TOP

sys.path.insert(0, str(TOP))

from fittings.ends import End, all_ends

HEADER = ("id", "from", "to", "psi", "avoid", "max_parts", "shape_from")
Question = tuple[str, ...]

# How often each is asked for at a counter that serves farm and building machines: a guess, no source.
PORTS = {("orb", "port"): 30, ("npt", "female"): 25, ("bspp", "port"): 10, ("jic", "male"): 15, ("orfs", "male"): 8,
         ("iso6149", "port"): 4, ("bspt", "female"): 3, ("iso9974", "port"): 2, ("cone24", "male"): 3}
HOSES = {("jic", "swivel"): 45, ("orfs", "swivel"): 12, ("npt", "male"): 22, ("bsp60", "swivel"): 8, ("npsm", "swivel"): 6,
         ("cone24", "swivel"): 4, ("jis30", "swivel"): 3}
SIZES = {"-4": 10, "-6": 25, "-8": 30, "-10": 8, "-12": 15, "-16": 8, "1/4": 12, "3/8": 25, "1/2": 35, "3/4": 15, "1": 8}
PRESSURES = {"": 40, "2500": 20, "3000": 30, "210 bar": 5, "4000": 5}
MISTYPED = 0.01


def _drawn(chances: random.Random, weights: dict[str, int]) -> str:
    return chances.choices(list(weights), list(weights.values()))[0]


def end_drawn(chances: random.Random, kinds: dict[tuple[str, str], int]) -> End:
    """An end of these kinds, the usual sizes more often."""
    family, form = chances.choices(list(kinds), list(kinds.values()))[0]
    made = [each for each in all_ends() if (each.family, each.form) == (family, form)]
    return chances.choices(made, [SIZES.get(each.size, 2) for each in made])[0]


def hose_drawn(chances: random.Random) -> End:
    """The end of a hose, or what is asked to be led to."""
    return end_drawn(chances, HOSES)


def _typed(chances: random.Random, of: End) -> str:
    """An end as one person or another writes it; now and then with a slip."""
    text = chances.choice((of.say, of.say, of.say.lower(), of.id, of.say.replace(" -", "-")))
    if chances.random() < MISTYPED:
        place = chances.randrange(len(text))
        return text[:place] + chances.choice("qx7") + text[place + 1:]
    return text


def repeated(count: int, seed: int = 1) -> Iterator[Question]:
    """Questions as people ask them: the usual ones often, in several spellings, one row in fifty with a slip."""
    chances = random.Random(seed)
    for number in range(count):
        yield (str(number), _typed(chances, end_drawn(chances, PORTS)), _typed(chances, hose_drawn(chances)), _drawn(chances, PRESSURES),
               _drawn(chances, {"": 95, "npt": 5}), _drawn(chances, {"": 90, "2": 10}), _drawn(chances, {"": 92, "90": 8}))


def different(count: int, seed: int = 1) -> Iterator[Question]:
    """Questions of which no two are alike, over all pairs of ends of the tables, the rare ones as often as the usual."""
    chances = random.Random(seed)
    ends, asked = all_ends(), set[Question]()
    while len(asked) < count:
        question = (*(each.id for each in chances.sample(ends, 2)), _drawn(chances, PRESSURES), "", "", "")
        if question not in asked:
            asked.add(question)
            yield (str(len(asked)), *question)


def counted(questions: list[Question]) -> tuple[int, int]:
    """How many different questions and different pairs of texts there are."""
    return len({each[1:] for each in questions}), len({each[1:3] for each in questions})


if __name__ == "__main__":
    written = csv.writer(sys.stdout, lineterminator="\n")
    written.writerow(HEADER)
    written.writerows((different if "--different" in sys.argv else repeated)(int(sys.argv[1])))
