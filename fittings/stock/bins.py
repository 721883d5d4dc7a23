"""The places of a shelf, emptied as parts and lengths of hose are taken out."""

from collections.abc import Sequence
from typing import NamedTuple

from fittings.parts import Part
from fittings.stock.shelf import Shelf, ShelfRow


class Take(NamedTuple):
    """So many of a part out of one place of the shelf; `row` is the row of the shelf file."""

    part: Part
    qty: int
    place: str
    row: int


class Bins:
    """What is left on a shelf while a job takes from it."""

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._taken: dict[int, int] = {}
        self.prices = shelf.prices
        self._rings: dict[str, list[tuple[int, str]]] = {}

    def rings(self, key: str, wanted: int) -> list[tuple[int, str]]:
        """Up to so many rings of that key out of the places that have them: how many from which."""
        if key not in self._rings:
            rows = self._shelf.rings.get(key, ())
            self._rings[key] = [(row.qty, row.place or f"row {row.number} of the shelf") for row in rows]
        there, left, found = self._rings[key], [], []
        for count, place in there:
            taken = min(count, wanted)
            wanted -= taken
            found += [(taken, place)] if taken else []
            left += [(count - taken, place)] if taken < count else []
        self._rings[key] = left
        return found

    def take(self, part: Part) -> Take | None:
        """One of a part, out of the first place that still has one."""
        for row in self._shelf.places.get(part, ()):
            if self._taken.get(row.number, 0) < row.qty:
                self._taken[row.number] = self._taken.get(row.number, 0) + 1
                return Take(part, 1, row.place, row.number)
        return None

    def cut(self, wanted: Sequence[tuple[str, str, float]]) -> tuple[ShelfRow | None, ...]:
        """The row of the shelf that each length of hose is cut from: (type, size, inches). The longest is cut first, from the
        shortest piece that gives it; None where no piece does."""
        rows = {row.number: row for row in self._shelf.rows if row.hose is not None}
        pieces: dict[tuple[str, str], list[list[float]]] = {}
        for row in self._shelf.rows:
            if row.hose is not None and row.hose.length_in is not None:
                there = pieces.setdefault((row.hose.type, row.hose.size), [])
                there += ([row.hose.length_in, row.number] for _ in range(min(row.qty, len(wanted))))
        found: list[ShelfRow | None] = [None] * len(wanted)
        for index in sorted(range(len(wanted)), key=lambda each: -wanted[each][2]):
            kind, size, inches = wanted[index]
            long_enough = [piece for piece in pieces.get((kind, size), []) if piece[0] >= inches]
            if long_enough:
                piece = min(long_enough)
                piece[0] -= inches
                found[index] = rows[int(piece[1])]
        return tuple(found)
