"""The shelf as it was written down: each row a quantity, a part in words, a price, a place."""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property, lru_cache
from itertools import chain, islice
from typing import NamedTuple, TypeVar

from fittings.notation import BadText, PartReading, read_part
from fittings.parts import STRAIGHT, Part, find, find_named, find_straight, why_not_made
from fittings.ratings import ring_said
from fittings.saying import both, either
from fittings.stock.amounts import KEPT, MOST_MONEY, Price, Unread, decimal_sign, length_said, read_count, read_price
from fittings.stock.reels import NotAHose, names_an_end, names_hose, read_hose
from fittings.stock.rings import names_a_ring, read_ring
from fittings.stock.sheets import LOOKED_DOWN, MADE_A_DATE, MOST_COLUMNS, BadShelf, Cells, sheet_rows
from fittings.stock.words import columns_named, is_total, names_columns
from fittings.units import MM_PER_IN, format_length, length_in

LONGEST_PART = 200
SAMPLED = 50
"""Rows that are looked into where two columns may be the same thing."""


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
            return ring_said(self.ring)
        return f"hose {self.hose.type} {self.hose.size}" + (
            f", {format_length(self.hose.length_in * MM_PER_IN)}" if self.hose.length_in is not None else "")


class Aside(NamedTuple):
    """A row kept aside: `number` in the file, what it says, why it was not read, what would be right."""

    number: int
    text: str
    why: str
    ask: str


_What = TypeVar("_What", Part, str)


def _by(what: Callable[[ShelfRow], _What | None], rows: Iterable[ShelfRow]) -> dict[_What, list[ShelfRow]]:
    found: dict[_What, list[ShelfRow]] = {}
    for row in rows:
        key = what(row)
        if key and row.qty:
            found.setdefault(key, []).append(row)
    return found


class _Read(NamedTuple):
    file: str
    rows: tuple[ShelfRow, ...]
    aside: tuple[Aside, ...]
    notes: tuple[str, ...] = ()


class Shelf(_Read):
    """A shelf: the rows of `file` that were read and those kept aside; `notes` is what was assumed of the file as a whole. What is
    asked of all rows is found out once."""

    @cached_property
    def places(self) -> dict[Part, list[ShelfRow]]:
        """The rows of each part that still have one, in the order of the file."""
        return _by(lambda row: row.part, self.rows)

    @cached_property
    def rings(self) -> dict[str, list[ShelfRow]]:
        """The rows of each ring, by its key, that still have one, in the order of the file."""
        return _by(lambda row: row.ring, self.rows)

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
    """The shelf in a CSV (comma, semicolon, tab or upright stroke; UTF-8, UTF-16 or cp1252) or XLSX file with a row of column names.

    Columns `qty` and `part` are needed, `price`, `place` and `unit` may be there, in any order, with any others, under these names
    or others that shops use (`data/stock/words.csv`). Raises BadShelf when the file is no such table and OSError when it cannot be
    opened; a row that cannot be read is kept aside.

    >>> read_shelf("docs/examples/shelf.csv").rows[4].say
    'cap, JIC -6 female swivel'
    """
    notes: list[str] = []
    names, cells = _names(sheet_rows(path, notes), path, notes)
    sample = list(islice(cells, SAMPLED))
    columns = _columns(names, [each for _, each in sample], path, notes)
    places = [columns.get(name, MOST_COLUMNS) for name in ("qty", "part", "price", "place", "unit")]
    told = _Told()
    for number, row in chain(sample, cells):
        have = len(row)
        qty, part, price, place, unit = [row[each] if each < have else "" for each in places]
        if part or qty:
            # a price in a column called unit is no unit
            told.add(_Typed(number, f"{qty} {unit}" if unit and not re.search(r"\d", unit) else qty, part, price, place), row)
    told.end()
    notes += [f"row {number}: taken for a total, passed over" for number in told.totals]
    notes += _not_read(names)
    return Shelf(path, tuple(told.rows), tuple(told.aside), tuple(notes))


def _names(rows: Iterator[Cells], path: str, notes: list[str]) -> tuple[Sequence[str], Iterator[Cells]]:
    """The row of names and the rows below it; what stands above is a title."""
    looked = list(islice(rows, LOOKED_DOWN))
    if not looked:
        raise BadShelf(path, "the file is empty", _BEGIN)
    for place, (number, cells) in enumerate(looked):
        if names_columns(cells):
            if place:
                notes.append(f"the names of the columns are read from row {number}, what stands above it is not")
            return cells, chain(looked[place + 1:], rows)
    number, cells = max(looked, key=lambda each: len(columns_named(each[1])))
    missing = [f"no column {name}" for name in ("qty", "part") if name not in columns_named(cells)]
    read = ", ".join(f"“{cell[:20]}”" for cell in cells[:6])
    raise BadShelf(path, f"row {number} names {' and '.join(missing)}: read {read}", _BEGIN)


_BEGIN = "begin with a row of names: qty,part,price,place"


def _columns(names: Sequence[str], sample: Sequence[Sequence[str]], path: str, notes: list[str]) -> dict[str, int]:
    """Which column is what. Where two have a name for the same thing, what stands in them decides; a price or a place is left out
    where that does not tell."""
    found: dict[str, int] = {}
    for name, some in columns_named(names).items():
        titles = [f"“{names[each][:40]}”" for each in some]
        index = _the_one(some, sample, _TESTS.get(name, ())) if len(some) > 1 else some[0]
        if index is not None:
            found[name] = index
            if len(some) > 1:
                notes.append(f"the {name} is read from “{names[index][:40]}”, of {both(titles)}")
        elif name in ("qty", "part"):
            raise BadShelf(path, f"two columns can be the {name}: {' and '.join(titles[:2])}", f"name only one of them {name}")
        else:
            notes.append(f"two columns can be the {name}: {both(titles)}; none is read: name only one of them {name}")
    return found


MOST_NAMED = 6
"""Columns named one by one where they are told of."""


def _not_read(names: Sequence[str]) -> list[str]:
    """That columns are left unread whose names say nothing to us; of two that can be the same thing it is told where one is chosen."""
    known = {each for some in columns_named(names).values() for each in some}
    other = [f"“{name[:40]}”" for index, name in enumerate(names) if name and index not in known]
    if not other:
        return []
    if len(other) == 1:
        return [f"the column {other[0]} is not read"]
    more = [f"{len(other) - MOST_NAMED} others"] if len(other) > MOST_NAMED else []
    return [f"the columns {both([*other[:MOST_NAMED], *more])} are not read"]


def _the_one(columns: Sequence[int], sample: Sequence[Sequence[str]], tests: Iterable[Callable[[str], bool]]) -> int | None:
    """The only one of some columns in which any cell passes the first test that any cell passes."""
    for test in tests:
        passed = [each for each in columns if any(each < len(row) and test(row[each]) for row in sample)]
        if passed:
            return passed[0] if len(passed) == 1 else None
    return None


def _is_count(cell: str) -> bool:
    return isinstance(read_count(cell), int)


def _is_part(cell: str) -> bool:
    return isinstance(_said(cell), _Said)


def _has_words(cell: str) -> bool:
    return any(len(word) > 2 and word.isalpha() for word in cell.split())


_TESTS: dict[str, tuple[Callable[[str], bool], ...]] = {"qty": (_is_count,), "part": (_is_part, _has_words)}


class _Typed(NamedTuple):
    """A row as it stands in the file."""

    number: int
    qty: str
    part: str
    price: str
    place: str


class _Told:
    """What becomes of the rows. Amounts that can be read in two ways wait until all others have told which sign parts decimals."""

    def __init__(self) -> None:
        self.rows: list[ShelfRow] = []
        self.aside: list[Aside] = []
        self.totals: list[int] = []
        self._waiting: list[tuple[_Typed, Sequence[str]]] = []
        self._signs: set[str] = set()
        self._last: _Typed | None = None

    def add(self, typed: _Typed, cells: Sequence[str]) -> None:
        """One row, and all its cells."""
        self._last = typed
        signs = {decimal_sign(typed.qty), decimal_sign(typed.price)}
        self._signs |= signs
        if "?" in signs:
            self._waiting.append((typed, cells))
        else:
            self._keep(typed, cells, "")

    def end(self) -> None:
        """All rows have been added."""
        signs = self._signs & {".", ","}
        decimals = signs.pop() if len(signs) == 1 else ""
        for typed, cells in self._waiting:
            self._keep(typed, cells, decimals)
        for some in (self.rows, self.aside):
            some.sort(key=lambda each: each.number)
        last = self._last
        if self.rows and last and not last.part and re.search(r"\d", last.qty) and last.number not in self.totals:
            self.aside.pop()  # an amount under all others
            self.totals.append(last.number)

    def _keep(self, typed: _Typed, cells: Sequence[str], decimals: str) -> None:
        read = read_row(*typed, decimals)
        if isinstance(read, ShelfRow):
            self.rows.append(read)
        elif any(map(is_total, [typed.part] if typed.part else cells)):
            self.totals.append(typed.number)
        else:
            self.aside.append(read)


def read_row(number: int, qty: str, part: str, price: str = "", place: str = "", decimals: str = "") -> ShelfRow | Aside:
    """One row of a shelf, or the reason why it is kept aside. Prices are in the money of the file; `decimals` is the sign that parts
    the decimals there, where that is known."""
    if MADE_A_DATE in (qty, part):
        return _aside(number, part, Unread("the spreadsheet made a date of it", "give the cell the format “text” and type it again"))
    said = _said(part)
    if isinstance(said, Unread) and said.first:
        return _aside(number, part, said)
    count = read_count(qty, decimals)
    longer = _of_length(said, qty) if isinstance(count, Unread) and isinstance(said, _Said) else None
    if longer:
        said, count = longer, 1
    if isinstance(count, Unread):
        return _aside(number, part, count)
    if isinstance(said, Unread):
        return _aside(number, part, said)
    cost, remark = _cost(price, decimals, said, longer is not None)
    taken = "; ".join(filter(None, (said.taken, remark)))
    return ShelfRow(number, count, said.text, said.part, said.hose, cost, place[:LONGEST_PART], taken, said.ring)


class _Said(NamedTuple):
    """What a text was read as: a part or a hose or a ring, and what was assumed. The text is kept once for all its rows."""

    text: str
    part: Part | None
    hose: ShelfHose | None
    taken: str
    ring: str = ""


def _aside(number: int, part: str, said: Unread) -> Aside:
    return Aside(number, part.replace(MADE_A_DATE, "(a date)")[:LONGEST_PART], said.why, said.ask)


@lru_cache(KEPT)
def _said(part: str) -> _Said | Unread:
    """What the words of a row mean: the same words stand in many rows of a long list."""
    if not part:
        return Unread("no part is named", "name the part in words, such as “ORB -6 male x JIC -6 male”", True)
    if len(part) > LONGEST_PART:
        return Unread("too long for a part", f"write it in fewer than {LONGEST_PART} signs", True)
    if names_a_ring(part):
        ring = read_ring(part)
        if ring is None:
            return Unread("our tables know no ring of that size",
                          "write it like “O-ring AS568-908”, “O-ring 15.3x2.2” or “bonded seal G1/4”")
        return _Said(part, None, None, "look at its material and its age", ring)
    if names_hose(part) and not names_an_end(part):
        try:
            hose = ShelfHose(*read_hose(part))
        except NotAHose as error:
            return Unread(str(error), "write type, size and length, such as “2SN hose -8, 10 ft”")
        return _Said(part, None, hose, "" if hose.length_in is not None else
                     "no length is written, so no plan cuts from it: write it in the part, such as “2SN hose -8, 10 ft”")
    try:
        read = read_part(part)
    except BadText as error:
        if names_hose(part):
            return Unread("hose with an end on it: no plan counts on that, for an end belongs to the hose and the length it was made for",
                          "hold it against the bill by hand: length, both ends, type, age")
        return Unread(error.text, error.ask or "")
    made = find_named(read.ends, read.shape) or find_straight(read.ends, read.shape)
    if not made:
        return _not_made(read)
    # Nobody writes "straight"; a part without a word for its shape is the straight one.
    best = min(made, key=lambda each: (each.shape not in STRAIGHT, made.index(each)))
    if not read.shape and best.shape not in STRAIGHT and len(made) > 1:
        return Unread("it is made in more than one shape: " + ", ".join(each.say.split(",")[0] for each in made),
                      "add the shape, such as 90, 45, tee")
    return _Said(part, best, None, read.taken)


def _not_made(read: PartReading) -> Unread:
    """Why no plan can use a part that our tables do not hold, and in which shape they hold it."""
    otherwise = find(read.ends)
    shape = read.shape or ("straight" if otherwise else "")
    known = why_not_made(read.ends, shape or None) or "our tables hold no such part, so no plan can use it"
    made = f"; it is made as {either(each.say for each in otherwise)}" if otherwise else ""
    return Unread(f"read as {shape} ".rstrip() + f" {' × '.join(each.say for each in read.ends)}: {known}{made}",
                  "look at the part again, and write its shape in front, such as 90" if otherwise else "look at the words again")


def _of_length(said: _Said, qty: str) -> _Said | None:
    """Hose without a length whose quantity is one: `10 m` of it is one piece."""
    if said.hose is None or said.hose.length_in is not None or not qty:
        return None
    longer = _said(f"{said.text}, {length_said(qty)}")
    if isinstance(longer, _Said) and longer.hose and longer.hose[:2] == said.hose[:2] and longer.hose.length_in is not None:
        return longer._replace(taken=f"“{qty[:20]}” taken for the length of one piece")
    return None


def _cost(price: str, decimals: str, said: _Said, in_lengths: bool) -> tuple[float | None, str]:
    """What one costs, and what is to be said of it; a price by length is made that of the piece. A bare price of hose that is counted
    `in_lengths` may be of the piece or of so much of it."""
    if not price:
        return None, ""
    read = read_price(price, decimals)
    if isinstance(read, Price) and not read.unit and not in_lengths:
        return read.value, ""
    shown = f"price “{price.replace(MADE_A_DATE, '(a date)')[:20]}”"
    if isinstance(read, str):
        return None, f"{shown} {read}"
    if not read.unit:
        return None, f"{shown} may be by length: not read"
    inches = said.hose.length_in if said.hose else None
    if inches is None:
        return None, f"{shown} is by length: not read"
    cost = round(read.value * inches / length_in(f"1 {read.unit}"), 2)
    return (cost, f"{shown} makes {cost:.2f} for the piece") if cost < MOST_MONEY else (None, f"{shown} not read")
