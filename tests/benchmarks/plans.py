"""Many lines on one shelf, to a choice that is proved to be best."""

import random
import sys
import time

from measuring import TOP, Table
from questions import PORTS, end_drawn, hose_drawn

sys.path.insert(0, str(TOP / "tests"))

from shelf_oracle import greedy_set

from fittings.limits import Limits
from fittings.parts import Part, all_parts
from fittings.search import first
from fittings.stock import Need, Shelf, ShelfRow, choose
from fittings.stock.choosing import _offers
from fittings.stock.weighing import score

CASES = (
    ("a full store", 10_000, 3, 100), ("a full store", 10_000, 3, 1_000),
    ("a small store", 1_000, 1, 100), ("nearly nothing left", 300, 1, 100),
)
"""Name, rows, greatest quantity of a row, lines."""


def shelf_of(rows: int, most: int, seed: int = 3) -> Shelf:
    """A shelf of two-ended parts, some rows with none left."""
    chances = random.Random(seed)
    parts = [each for each in all_parts() if len(each.ends) == 2 and each.shape != "coupler"]
    return Shelf("", tuple(_row(number, chances.choice(parts), chances, most) for number in range(2, rows + 2)), ())


def _row(number: int, part: Part, chances: random.Random, most: int) -> ShelfRow:
    return ShelfRow(number, chances.randint(0, most), part.say, part, None, round(chances.uniform(1, 30), 2), f"bin {number}", "")


def lines(count: int, seed: int = 5) -> list[Need]:
    """Lines with a chain, asked for as at a counter."""
    chances = random.Random(seed)
    found: list[Need] = []
    while len(found) < count:
        need = Need(str(len(found)), end_drawn(chances, PORTS), hose_drawn(chances), Limits(psi=chances.choice((None, 2000, 3000))))
        if first(need.start, need.finish, need.limits) is not None:
            found.append(need)
    return found


def tables() -> list[Table]:
    """One table: time to the proof, and what a choice line by line would have bought."""
    rows = []
    for name, length, most, count in CASES:
        shelf, needs = shelf_of(length, most), lines(count)
        began, worked = time.perf_counter(), time.process_time()
        choice = choose(needs, shelf)
        wall, cpu = time.perf_counter() - began, time.process_time() - worked
        offers = _offers(needs, shelf.on_hand)[1]
        greedy = score([some[index] for some, index in zip(offers, greedy_set(offers, shelf.on_hand, {}), strict=True)],
                       shelf.on_hand, {})
        rows.append((name, f"{length:,}", f"{count:,}", f"{sum(map(len, offers)):,}", str(choice.score.bought), str(greedy.bought),
                     f"{cpu:.1f}", f"{wall:.1f}"))
    return [Table("Lines on one shelf, to the proved optimum", "`stock.choose` with two-ended parts of every kind on the shelf, each case "
                  "once in a warm process.", ("shelf", "rows", "lines", "chains weighed", "parts to buy", "line by line it would be",
                                              "processor, s", "clock, s"), rows)]
