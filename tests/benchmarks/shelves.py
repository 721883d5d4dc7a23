"""Seeded shelves and price lists of any length, written as people write them.

    python tests/benchmarks/shelves.py 30000 shelf.csv      (or shelf.xlsx)
"""

import csv
import random
import sys
from collections.abc import Iterator

from measuring import TOP

sys.path.insert(0, str(TOP))

from fittings.parts import Part, all_parts

HEADER = ("part number", "part", "qty", "price", "place")
OTHER_GOODS = 0.3
"""Share of rows that are not our trade's: bolts, bearings, filters, each with a text of its own."""

_OTHERS = ("M{a}x{b} hex bolt zinc plated", "bearing 6{b}-2RS", "oil filter element {a}A{b}", "V-belt B{b}", "spring pin {a} x {b}",
           "seal kit for pump {b}", "work lamp LED {b} lm", "grease cartridge {a}/{b}")


def rows(count: int, seed: int = 1) -> Iterator[tuple[str, ...]]:
    """Rows under `HEADER`: any part of the tables in one of several spellings, or other goods; few have none left."""
    chances = random.Random(seed)
    parts = all_parts()
    for number in range(count):
        if chances.random() < OTHER_GOODS:
            text = chances.choice(_OTHERS).format(a=chances.randint(4, 30), b=chances.randint(10, 99_999))
        else:
            text = _typed(chances, chances.choice(parts))
        price = f"{chances.uniform(1, 90):.2f}"
        yield (f"{chances.randrange(10**8):08d}", text, str(chances.choice((0, 1, 1, 2, 3, 5, 10, 25))), price,
               f"aisle {number // 4000 + 1} bin {number % 4000}")


def _typed(chances: random.Random, part: Part) -> str:
    words = part.say
    style = chances.randrange(5)
    return (words, words.lower(), words.replace(" × ", " x "), words.replace("°", ""), words.replace(" -", "-").upper())[style]


def write(path: str, count: int, seed: int = 1) -> None:
    """A shelf as CSV, or as a workbook when the name ends so."""
    if path.endswith(".xlsx"):
        from openpyxl import Workbook

        book = Workbook(write_only=True)
        sheet = book.create_sheet()
        sheet.append(HEADER)
        for name, text, qty, price, place in rows(count, seed):
            sheet.append((name, text, int(qty), float(price), place))
        book.save(path)
        return
    with open(path, "w", encoding="utf-8", newline="") as file:
        written = csv.writer(file, lineterminator="\r\n")
        written.writerow(HEADER)
        written.writerows(rows(count, seed))


if __name__ == "__main__":
    write(sys.argv[2], int(sys.argv[1]))
