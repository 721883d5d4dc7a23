"""A drawer of fittings in one go: a CSV with one fitting a row, columns named like the options of the command."""

import csv
from collections.abc import Iterable
from itertools import chain
from typing import NamedTuple

from fittings.identify.answer import Answer, identify
from fittings.identify.readings import COLUMNS, BadReading, read_readings

MOST_ROWS = 10_000
"""Each takes some milliseconds."""


NO_LABEL = "id is the inside diameter here: call a column of labels name"


class BatchRow(NamedTuple):
    """One fitting: line of the file, its name if it has one, and the answer, or why its readings could not be used."""

    line: int
    name: str
    answer: Answer | None
    wrong: str


class BadBatch(ValueError):
    """A file that is no table of readings: what is wrong and what would be right."""


def read_batch(lines: Iterable[str]) -> tuple[BatchRow, ...]:
    """The answer for each row of a CSV text; blank cells are readings that were not taken.

    Columns are the long options without dashes (`od`, `id`, `pitch`, `tpi`, `sex`, `nose` …) in any order, and `name`
    for a label; comma, semicolon or tab between the cells. A bad cell spoils its own row only. Raises BadBatch when the
    header is not of that kind.

    >>> read_batch(["name,od,tpi,sex", "a,14.2 mm,18,male"])[0].answer.candidates[0].end.id
    'jic-6-male'
    """
    lines = iter(lines)
    first = next(lines, "")
    reader = csv.reader(chain([first], lines), delimiter=max((",", ";", "\t"), key=first.count))
    try:
        names = next(reader, [])
    except csv.Error as error:
        raise BadBatch(f"the first line: {error}; look for a quotation mark that is not closed") from None
    header = [cell.strip().lower().replace("_", "-").lstrip("\ufeff").lstrip("-") for cell in names]
    strange = [cell for cell in header if cell not in (*COLUMNS, "name")]
    if not header or strange or not set(header) & set(COLUMNS):
        what = f"no such column: {', '.join(strange)}" if strange else "the first line must name the columns"
        raise BadBatch(f"{what}; the columns are name, {', '.join(COLUMNS)}")
    rows: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append((reader.line_num, cells))
            if len(rows) > MOST_ROWS:
                raise BadBatch(f"more than {MOST_ROWS} rows; ask about a part of them at a time")
    except csv.Error as error:
        raise BadBatch(f"line {reader.line_num}: {error}; look for a quotation mark that is not closed") from None
    if "id" in header and len(rows) > 2:
        place = header.index("id")
        if [cells[place].strip() for _, cells in rows if place < len(cells)] == [str(number) for number in range(1, len(rows) + 1)]:
            raise BadBatch(f"the column id counts the rows; {NO_LABEL}")
    return tuple(_row(line, header, cells) for line, cells in rows)


def _row(line: int, header: list[str], cells: list[str]) -> BatchRow:
    texts = dict(zip(header, cells, strict=False))
    name = texts.pop("name", "").strip()
    if len(cells) > len(header):
        return BatchRow(line, name, None, f"{len(cells)} cells under {len(header)} columns")
    try:
        taken = read_readings(texts)
    except BadReading as error:
        label = f"; {NO_LABEL}" if error.reading == "id" and "name" not in header else ""
        return BatchRow(line, name, None, f"{error}{label}")
    if not taken.readings.given:
        return BatchRow(line, name, None, "no reading in this row")
    return BatchRow(line, name, identify(taken.readings, taken.notes), "")
