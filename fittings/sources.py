"""The register of documents that every figure comes from, and which figures rest on one of them."""

from functools import cache
from typing import NamedTuple

from fittings.tables import names, table


class UnknownSource(LookupError):
    """No document of the register has this id."""


class Source(NamedTuple):
    """One document: `id`, `kind` (standard, catalogue, manual, page, dataset, memory, arithmetic, practice), what it is."""

    id: str
    kind: str
    what: str
    edition: str
    trust: str
    note: str


class Use(NamedTuple):
    """Rows of one table that rest on a document: table, how many rows, the first few of them in words."""

    table: str
    rows: int
    confidences: dict[str, int]
    examples: tuple[str, ...]


@cache
def register() -> dict[str, Source]:
    """All documents by id."""
    return {row["id"]: Source(**{name: row[name] for name in Source._fields}) for row in table("sources")}


def source(key: str) -> Source:
    """The document of that id. Raises UnknownSource."""
    try:
        return register()[key]
    except KeyError:
        raise UnknownSource(key) from None


def uses(key: str) -> tuple[Use, ...]:
    """Which rows of which tables rest on a document. Raises UnknownSource."""
    source(key)
    found = []
    for name in names():
        if name == "sources":
            continue
        rows = table(name)
        columns = [column for column in (rows[0] if rows else ()) if column == "source" or column.endswith("_source")]
        ours = [row for row in rows if any(key in _ids(row[column]) for column in columns)]
        if ours:
            confidences: dict[str, int] = {}
            for row in ours:
                letter = row.get("confidence", "")
                confidences[letter] = confidences.get(letter, 0) + 1
            examples = tuple(" ".join(list(row.values())[:5]).strip() for row in ours[:3])
            found.append(Use(name, len(ours), confidences, examples))
    return tuple(found)


def _ids(cell: str) -> list[str]:
    return [part.strip() for part in cell.split(";")]
