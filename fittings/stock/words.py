"""Words that stand round the parts of a shelf: the names of its columns, of units and of totals (`data/stock/words.csv`)."""

import re
import unicodedata
from collections.abc import Sequence
from functools import cache

from fittings.tables import table


def folded(text: str) -> str:
    """A text without its case, accents, signs and digits.

    >>> folded("Q.tà"), folded("Stück:"), folded("Stock #")
    ('q ta', 'stuck', 'stock no')
    """
    apart = unicodedata.normalize("NFKD", text.casefold().replace("#", " no "))
    return " ".join(re.findall(r"[a-z]+", "".join(sign for sign in apart if not unicodedata.combining(sign))))


@cache
def words_of(kind: str) -> dict[str, str]:
    """The words of one kind, folded, and what each stands for."""
    return {folded(row["word"]): row["value"] for row in table("stock/words") if row["kind"] == kind}


def columns_named(cells: Sequence[str]) -> dict[str, list[int]]:
    """Where a row names columns of ours; what stands in brackets is no part of a name.

    >>> columns_named(("Pos.", "Menge", "Bezeichnung", "Preis (EUR)"))
    {'qty': [1], 'part': [2], 'price': [3]}
    """
    known = words_of("column")
    found: dict[str, list[int]] = {}
    for index, cell in enumerate(cells):
        name = known.get(folded(re.split(r"[(\[]", cell)[0]))
        if name is not None:
            found.setdefault(name, []).append(index)
    return found


def names_columns(cells: Sequence[str]) -> bool:
    """Whether a row is the row of names that a shelf needs."""
    return {"qty", "part"} <= columns_named(cells).keys()


def is_total(text: str) -> bool:
    """Whether a text is the word for a total.

    >>> is_total("Summe:"), is_total("total height")
    (True, False)
    """
    return folded(text) in words_of("total")
