"""The shelf as it was written down: each row a quantity, a part in words, a price, a place."""

import re
from collections.abc import Sequence
from functools import cached_property, lru_cache
from typing import NamedTuple

from fittings.notation import BadText, read_part
from fittings.parts import Part, find, why_not_made
from fittings.stock.reels import NotAHose, read_hose
from fittings.stock.rings import names_a_ring, read_ring
from fittings.stock.sheets import MADE_A_DATE, MOST_COLUMNS, BadShelf, sheet_rows
from fittings.units import format_length

LONGEST_PART = 200
MOST_OF_ONE = 100_000
KEPT = 65_536
"""Different texts of which it is kept what they were read as."""

_COLUMNS = {
    "qty": "qty quantity count pcs pieces amount on-hand how-many",
    "part": "part parts item description what name fitting part-in-words",
    "price": "price cost each unit-price price-each unit-cost",
    "place": "place bin location where shelf box drawer tray",
}


class ShelfHose(NamedTuple):
    """Hose on the shelf: type and size as in the tables, length in inches when it was written."""

    type: str
    size: str
    length_in: float | None


class ShelfRow(NamedTuple):
    """A row that was read: `number` in the file, how many, a part or a hose or a ring (its key in our tables), price of one, place,
    what was assumed."""

    number: int
    qty: int
    text: str
    part: Part | None
    hose: ShelfHose | None
    price: float | None
    place: str
    taken: str
    ring: str = ""

    @property
    def say(self) -> str:
        """The part in the words of the counter."""
        if self.part is not None:
            return self.part.say
        if self.hose is None:
            return f"bonded seal for {self.ring.removeprefix('bonded ')}" if self.ring.startswith("bonded") else f"O-ring {self.ring}"
        return f"hose {self.hose.type} {self.hose.size}" + (
            f", {format_length(self.hose.length_in * 25.4)}" if self.hose.length_in is not None else "")


class Aside(NamedTuple):
    """A row kept aside: `number` in the file, what it says, why it was not read, what would be right."""

    number: int
    text: str
    why: str
    ask: str


class _Read(NamedTuple):
    file: str
    rows: tuple[ShelfRow, ...]
    aside: tuple[Aside, ...]


class Shelf(_Read):
    """A shelf: the rows of `file` that were read and those kept aside. What is asked of all rows is found out once."""

    @cached_property
    def places(self) -> dict[Part, list[ShelfRow]]:
        """The rows of each part that still have one, in the order of the file."""
        found: dict[Part, list[ShelfRow]] = {}
        for row in self.rows:
            if row.part is not None and row.qty:
                found.setdefault(row.part, []).append(row)
        return found

    @cached_property
    def rings(self) -> dict[str, list[ShelfRow]]:
        """The rows of each ring, by its key, that still have one, in the order of the file."""
        found: dict[str, list[ShelfRow]] = {}
        for row in self.rows:
            if row.ring and row.qty:
                found.setdefault(row.ring, []).append(row)
        return found

    @cached_property
    def hoses(self) -> frozenset[tuple[str, str]]:
        """Type and size of the hose there is; a piece whose length is not written down is not counted on."""
        there = (row.hose for row in self.rows if row.hose is not None and row.qty)
        return frozenset((each.type, each.size) for each in there if each.length_in is not None)

    @cached_property
    def on_hand(self) -> dict[Part, int]:
        """How many of each part there are, rows of one part taken together."""
        return {part: sum(row.qty for row in rows) for part, rows in self.places.items()}

    @cached_property
    def prices(self) -> dict[Part, float]:
        """Lowest price written for each part; a row of none left still tells the price."""
        found: dict[Part, float] = {}
        for row in self.rows:
            if row.part is not None and row.price is not None:
                found[row.part] = min(row.price, found.get(row.part, row.price))
        return found


def read_shelf(path: str) -> Shelf:
    """The shelf in a CSV (comma, semicolon or tab; UTF-8, UTF-16 or cp1252) or XLSX file with a row of column names.

    Columns `qty` and `part` are needed, `price` and `place` may be there, in any order, with any others. Raises BadShelf
    when the file is no such table and OSError when it cannot be opened; a row that cannot be read is kept aside.

    >>> read_shelf("docs/examples/shelf.csv").rows[4].say
    'cap, JIC -6 female swivel'
    """
    rows: list[ShelfRow] = []
    aside: list[Aside] = []
    columns: dict[str, int] | None = None
    for number, cells in sheet_rows(path):
        if columns is None:
            columns = _columns(cells, path)
            places = [columns.get(name, len(cells) + MOST_COLUMNS) for name in ("qty", "part", "price", "place")]
            continue
        have = len(cells)
        qty, part, price, place = [cells[each] if each < have else "" for each in places]
        if not part and not qty:
            continue
        read = read_row(number, qty, part, price, place)
        if isinstance(read, Aside):
            aside.append(read)
        else:
            rows.append(read)
    if columns is None:
        raise BadShelf(path, "the file is empty", "begin with a row of names: qty,part,price,place")
    return Shelf(path, tuple(rows), tuple(aside))


def _columns(cells: Sequence[str], path: str) -> dict[str, int]:
    found: dict[str, int] = {}
    for index, cell in enumerate(cells):
        word = re.sub(r"[^a-z]+", "-", cell.lower().split("(")[0]).strip("-")
        for name, words in _COLUMNS.items():
            if word in words.split():
                if name in found:
                    raise BadShelf(path, f"two columns can be the {name}: “{cells[found[name]][:40]}” and “{cell[:40]}”",
                                   f"name only one of them {name}")
                found[name] = index
    missing = [name for name in ("qty", "part") if name not in found]
    if missing:
        read = ", ".join(f"“{cell[:20]}”" for cell in cells[:6])
        raise BadShelf(path, f"the first row names no column {' and no column '.join(missing)}: read {read}",
                       "begin with a row of names: qty,part,price,place")
    return found


def read_row(number: int, qty: str, part: str, price: str = "", place: str = "") -> ShelfRow | Aside:
    """One row of a shelf, or the reason why it is kept aside. Prices are in the money of the file."""
    if MADE_A_DATE in (qty, part):
        return _aside(number, part, _Aside("the spreadsheet made a date of it", "give the cell the format “text” and type it again"))
    said = _said(part)
    if isinstance(said, _Aside) and said.first:
        return _aside(number, part, said)
    count = _count(qty)
    if count is None:
        why = f"“{qty[:20]}” is not a quantity" if qty else "no quantity is given"
        return _aside(number, part, _Aside(why, "a whole number, such as 3"))
    if isinstance(said, _Aside):
        return _aside(number, part, said)
    cost = None if price in ("", MADE_A_DATE) else _price(price)
    taken = said.taken
    if price and cost is None:
        taken = "; ".join(each for each in (taken, f"price “{price[:20]}” not read") if each)
    return ShelfRow(number, count, said.text, said.part, said.hose, cost, place[:LONGEST_PART], taken, said.ring)


class _Said(NamedTuple):
    """What a text was read as: a part or a hose or a ring, and what was assumed. The text is kept once for all its rows."""

    text: str
    part: Part | None
    hose: ShelfHose | None
    taken: str
    ring: str = ""


class _Aside(NamedTuple):
    """Why a text was not read, and what would be right; `first`: to be told before anything else."""

    why: str
    ask: str
    first: bool = False


def _aside(number: int, part: str, said: _Aside) -> Aside:
    return Aside(number, part.replace(MADE_A_DATE, "(a date)")[:LONGEST_PART], said.why, said.ask)


@lru_cache(KEPT)
def _said(part: str) -> _Said | _Aside:
    """What the words of a row mean: the same words stand in many rows of a long list."""
    if not part:
        return _Aside("no part is named", "name the part in words, such as “ORB -6 male x JIC -6 male”", True)
    if len(part) > LONGEST_PART:
        return _Aside("too long for a part", f"write it in fewer than {LONGEST_PART} signs", True)
    if names_a_ring(part):
        ring = read_ring(part)
        if ring is None:
            return _Aside("our tables know no ring of that size",
                          "write it like “O-ring AS568-908”, “O-ring 15.3x2.2” or “bonded seal G1/4”")
        return _Said(part, None, None, "look at its material and its age", ring)
    if _is_hose(part):
        try:
            return _Said(part, None, ShelfHose(*read_hose(part)), "")
        except NotAHose as error:
            return _Aside(str(error), "write type, size and length, such as “2SN hose -8, 10 ft”")
    try:
        read = read_part(part)
    except BadText as error:
        if _HOSE.search(part):
            return _Aside("hose with an end on it: no plan counts on that, for an end belongs to the hose and the length it was made for",
                          "hold it against the bill by hand: length, both ends, type, age")
        return _Aside(error.text, error.ask or "")
    made = find(read.ends, read.shape or None)
    if not made:
        ends = " × ".join(each.say for each in read.ends)
        known = why_not_made(read.ends, read.shape or None)
        return _Aside(f"read as {f'{read.shape} ' if read.shape else ''}{ends}: "
                      + (known or "our tables hold no such part, so no plan can use it"), "look at the words again")
    # Nobody writes "straight"; a part without a word for its shape is the straight one.
    best = min(made, key=lambda each: (each.shape not in ("straight", "bushing"), made.index(each)))
    if not read.shape and best.shape not in ("straight", "bushing") and len(made) > 1:
        return _Aside("it is made in more than one shape: " + ", ".join(each.say.split(",")[0] for each in made),
                      "add the shape, such as 90, 45, tee")
    return _Said(part, best, None, read.taken)


@lru_cache(KEPT)
def _count(text: str) -> int | None:
    match = re.fullmatch(r"(\d{1,6})(?:[.,]0+)?\s*(?:x|pcs?|pieces?|off|ea|each)?\.?", text.strip(), re.IGNORECASE | re.ASCII)
    return int(match[1]) if match and int(match[1]) <= MOST_OF_ONE else None


@lru_cache(KEPT)
def _price(text: str) -> float | None:
    """An amount of money, with a decimal point or comma, without its currency."""
    plain = re.sub(r"^[^\d.,-]*|[^\d.,]*$", "", text.replace("\xa0", "").replace(" ", ""))
    if re.fullmatch(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", plain, re.ASCII):
        plain = plain.replace(",", "")
    elif re.fullmatch(r"\d{1,3}(?:\.\d{3})*,\d{1,2}|\d+,\d{1,2}", plain, re.ASCII):
        plain = plain.replace(".", "").replace(",", ".")
    return float(plain) if re.fullmatch(r"\d{1,7}(?:\.\d{1,4})?|\.\d{1,4}", plain, re.ASCII) else None


_HOSE = re.compile(r"\bhose\b", re.IGNORECASE)
_HOSE_END = re.compile(r"\b(?:ends?|tails?|barbs?|crimp\w*|swivels?|males?|females?|fittings?|assembl\w+|with)\b|[x×]\s+(?=[a-z])",
                       re.IGNORECASE)


def _is_hose(text: str) -> bool:
    return bool(_HOSE.search(text)) and not _HOSE_END.search(text)
