"""What every table adds up to, held against `data/pins.csv`, so that no cell changes unseen.

A sum says which column changed and by how much; the checksum of a whole table sees what no sum does: a word, two
figures that changed places, an order of rows that decides which figure is in use.
"""

import re
import zlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import NamedTuple

from fittings.tables import Row, names, table

UNPINNED = "pins"
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_SIZES = {"size", "size_a", "size_b", "port_size"}


class Pin(NamedTuple):
    """One pin: `table`; `what` is `rows`, a column, or a figure of a long table; how many `cells` it has; their exact
    `sum` ('' for `rows`); `crc32` of the whole table ('' but for `rows`)."""

    table: str
    what: str
    cells: int
    sum: str
    crc32: str


def pins_of(name: str, rows: Sequence[Row]) -> list[Pin]:
    """The pins of one table: its rows, then every column or figure that holds nothing but numbers."""
    text = "\n".join("\t".join(row.values()) for row in rows)
    if rows:
        text = "\t".join(rows[0]) + "\n" + text
    return [Pin(name, "rows", len(rows), "", f"{zlib.crc32(text.encode()):08x}"), *_sums(name, rows)]


def _sums(name: str, rows: Sequence[Row]) -> Iterator[Pin]:
    columns: dict[str, list[str]] = defaultdict(list)
    for row in rows:
        for column, cell in row.items():
            if cell and column not in _SIZES:
                columns[row["figure"] if column == "value" and "figure" in row else column].append(cell)
    for column, cells in columns.items():
        if all(map(_NUMBER.fullmatch, cells)):
            yield Pin(name, column, len(cells), f"{sum(map(Decimal, cells)):f}", "")


def pins_now() -> list[Pin]:
    """The pins of all tables as they are."""
    return [pin for name in names() if name != UNPINNED for pin in pins_of(name, table(name))]


def pins() -> Iterator[str]:
    """Every table has the rows, the sums and the checksum of `data/pins.csv`."""
    pinned = {(row["table"], row["what"]): Pin(row["table"], row["what"], int(row["cells"]), row["sum"], row["crc32"])
              for row in table(UNPINNED)}
    now = {(pin.table, pin.what): pin for pin in pins_now()}
    for key in sorted(pinned.keys() | now.keys()):
        if key not in now or key not in pinned:
            yield f"pins: {' '.join(key)} is {'pinned and gone' if key in pinned else 'not pinned'}"
        elif pinned[key] != now[key]:
            yield f"pins: {' '.join(key)} was {_said(pinned[key])}, is {_said(now[key])}"


def _said(pin: Pin) -> str:
    return f"{pin.cells} cells with the checksum {pin.crc32}" if pin.crc32 else f"{pin.cells} cells, sum {pin.sum}"
