"""The shape that the words of a part name, and what it says of the ends.

A cap is female, a bushing is male at its large end, a tee has three ends: that stands in `data/words-shapes.csv`. Here
stand only the ways in which two shape words go together: "bulkhead" and "90", "street" and "45".
"""

from collections.abc import Iterable
from typing import NamedTuple

from fittings.notation.errors import Ambiguous, NotUnderstood
from fittings.notation.words import shapes

TEES = ("tee", "tee-run", "tee-branch")
ALIKE = frozenset(("union", "coupling", "nipple", "tee", "cross", "bulkhead", "male-male", "female-female"))


class Shaped(NamedTuple):
    """A shape: the `part` shape of `data/parts/shapes.csv` ("" when none was named), the number of its `ends` (0: as many
    as are named), their genders where the shape fixes them, and whether the first gender is that of the larger end. A word
    that leaves the genders to the family tells which end is then the `male` one, `large` or `small` (`reducing`: that word)."""

    part: str
    ends: int
    sexes: tuple[str, ...]
    large_first: bool
    words: tuple[str, ...]
    reducing: str = ""
    male: str = ""

    @property
    def bent(self) -> bool:
        """Whether it looks sideways, so that a stud on it must be set to its angle."""
        return any(corner in self.part for corner in ("90", "45", "tee", "cross"))

    @property
    def same_ends(self) -> bool:
        """Whether the words say that all its ends are alike: a union, a coupling, a plain tee."""
        return bool(ALIKE & set(self.words))


def read_shape(typed: str) -> str:
    """The shape of a part that joins two ends, as typed: `straight`, `45` or `90`, with or without its degrees. Raises NotUnderstood.

    >>> read_shape(" 90° "), read_shape("45 deg")
    ('90', '45')
    """
    shape = typed.strip().lower().rstrip("°").removesuffix("deg").strip()
    if shape not in ("straight", "45", "90"):
        raise NotUnderstood(typed, f"{typed}: a shape is straight, 45 or 90")
    return shape


def shaped(words: Iterable[str], typed: str) -> Shaped:
    """The shape that shape words (keys of `data/words-shapes.csv`) name together.

    Raises NotUnderstood when they contradict each other, Ambiguous for a bulkhead tee without a side.

    >>> shaped(("bulkhead", "90"), "").part
    'bulkhead-90'
    """
    said = tuple(dict.fromkeys(words))
    if not said:
        return Shaped("", 0, (), False, ())
    rows = {key: shapes()[key] for key in said}
    counts = {key: row.ends for key, row in rows.items()
              if key not in ("90", "45", "elbow", "straight", "bulkhead", "reducer", "expander")}
    if len(set(counts.values())) > 1 or {"90", "45"} <= set(said) or {"cap", "plug"} <= set(said):
        raise NotUnderstood(typed, f"a part cannot be {' and '.join(said)} at once", "name one shape")
    ends = next(iter(counts.values()), 2)
    sexes = next((row.sexes for row in rows.values() if row.sexes), ())
    large_first = any(row.order == "large first" for row in rows.values())
    part = _part(said, typed)
    reducing = next((key for key, row in rows.items() if row.order in _MALE), "")
    if part != "straight" or sexes or ALIKE & set(said):
        reducing = ""
    return Shaped(part, ends, sexes, large_first, said, reducing, _MALE[rows[reducing].order] if reducing else "")


_MALE = {"male large": "large", "male small": "small"}
"""The orders of `data/words-shapes.csv` by which end is the male one."""


def _part(said: tuple[str, ...], typed: str) -> str:
    parts = {shapes()[key].part for key in said}
    tee = next((each for each in ("tee-run", "tee-branch", "tee", "cross") if each in parts), "")
    bend = "45" if "45" in parts else "90" if "90" in parts else ""
    if "bulkhead" in said:
        if tee == "tee":
            raise Ambiguous(typed, f"“{typed}” does not say which end goes through the bulkhead", "Is it on the run or the branch?")
        return "bulkhead" + (f"-{tee or bend}" if tee or bend else "")
    for each in (tee, "cap", "plug", "bushing"):
        if each and each in parts:
            return each
    return bend or "straight"
