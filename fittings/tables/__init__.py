"""The only room that opens a data file.

`table("sizes")` reads `data/sizes.csv` once and hands out its rows. Reading is plain `csv`, so that a quick question
does not pay for a validator; every cell is validated by `fittings.tables.schema` in the data check and in the tests.
"""

import csv
import os
from collections.abc import Mapping, Sequence
from functools import cache

Row = Mapping[str, str]

_HERE = os.path.dirname(os.path.abspath(__file__))
_PACKAGE = os.path.dirname(_HERE)


class BadTable(Exception):
    """A data file is missing or cannot be read as a table: the installation is damaged."""


@cache
def folder() -> str:
    """Path of the data folder: inside the installed package, or beside it in a source checkout.

    Raises BadTable when neither is there.
    """
    for place in (os.path.join(_PACKAGE, "data"), os.path.join(os.path.dirname(_PACKAGE), "data")):
        if os.path.isfile(os.path.join(place, "sizes.csv")):
            return place
    raise BadTable("the data folder is neither inside the package nor beside it")


@cache
def table(name: str) -> Sequence[Row]:
    """Rows of `data/<name>.csv`, each a mapping from column name (unit in the name) to the text of the cell.

    Raises BadTable when there is no such file, or when a row has more or fewer cells than the header.

    >>> table("families")[0]["standard"]
    'SAE J1926 / ISO 11926'
    """
    path = os.path.join(folder(), *name.split("/")) + ".csv"
    try:
        with open(path, encoding="utf-8", newline="") as file:
            lines = csv.reader(file)
            header = next(lines)
            rows = [dict(zip(header, line, strict=True)) for line in lines]
    except (OSError, StopIteration, ValueError, UnicodeDecodeError) as error:
        raise BadTable(f"data/{name}.csv cannot be read: {error}") from error
    return rows


@cache
def names() -> tuple[str, ...]:
    """Names of all tables, as `table` takes them, in alphabetical order."""
    top = folder()
    found = []
    for place, _, files in os.walk(top):
        inside = os.path.relpath(place, top).replace(os.sep, "/")
        prefix = "" if inside == "." else inside + "/"
        found += [prefix + file[:-4] for file in files if file.endswith(".csv")]
    return tuple(sorted(found))
