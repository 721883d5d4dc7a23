"""The cells of a shelf file, row by row: CSV as spreadsheets write it, or XLSX."""

import csv
import datetime
import os
import re
import warnings
import zipfile
from codecs import BOM_UTF16_BE, BOM_UTF16_LE, getincrementaldecoder
from collections.abc import Iterable, Iterator, Sequence
from importlib import import_module
from itertools import chain, islice
from typing import Any, TextIO

from fittings.saying import both
from fittings.stock.words import columns_named, names_columns

LONGEST_LINE = 20_000
MOST_ROWS = 1_048_576
"""As many as one sheet of a workbook has."""

MOST_COLUMNS = 50
LARGEST_WORKBOOK = 20_000_000
"""Bytes of a workbook when it is unpacked; its reader needs up to seventy times as many, and 50,000 rows are 13 million."""

MOST_SWOLLEN = 60
"""Bytes out of one packed: a sheet of 50,000 like rows stays below 20, and a small file can be made to swell to any size."""

LOOKED_DOWN = 20
"""Rows among which the names of the columns are looked for: a title may stand above them."""

MADE_A_DATE = "\0date"
"""Stands for a cell in which the spreadsheet made a date of a size such as 1/2."""

Cells = tuple[int, tuple[str, ...]]
"""Row number as the spreadsheet shows it, and the texts of its cells."""


class BadShelf(ValueError):
    """A shelf file cannot be read: `file`, what is wrong (`text`), what would be right (`ask`)."""

    def __init__(self, file: str, text: str, ask: str) -> None:
        super().__init__(f"{file}: {text}")
        self.file, self.text, self.ask = file, text, ask


def sheet_rows(path: str, notes: list[str] | None = None) -> Iterator[Cells]:
    """The rows of a CSV or XLSX file that are not empty; of a workbook those of the first sheet that names the columns of a shelf.
    Which sheet that was is added to `notes` where it was not the only one.

    Raises BadShelf, and OSError when the file cannot be opened.
    """
    if os.path.exists(path) and not os.path.isfile(path):
        # read more than once, which a pipe cannot be, and to its end, which a device has not
        what = "this is a folder" if os.path.isdir(path) else "this is no file but a pipe or a device"
        raise BadShelf(path, what, "name a CSV or XLSX file")
    with open(path, "rb") as file:
        head = file.read(4)
    return _workbook(path, [] if notes is None else notes) if head == b"PK\x03\x04" else _filled(_text(path), path)


def _filled(rows: Iterable[Cells], path: str) -> Iterator[Cells]:
    for count, (number, cells) in enumerate(rows):
        if count >= MOST_ROWS:
            raise BadShelf(path, f"more than {MOST_ROWS} rows", "keep only the rows of the shelf")
        if any(cells):
            yield number, cells


def _text(path: str) -> Iterator[Cells]:
    with open(path, encoding=_encoding(path), errors="replace", newline="") as file:
        lines = iter(lambda: _line(file, path), "")
        head = list(islice(lines, LOOKED_DOWN))
        first = next((place for place, line in enumerate(head) if line.strip()), None)
        told = "" if first is None else head[first].strip().lower()
        if first is not None and told.startswith("sep=") and len(told) == 5:
            delimiter, head[first] = told[4], "\n"
        else:
            delimiter = _delimiter(head)
        reader = csv.reader(chain(head, lines), delimiter=delimiter)
        while True:
            number = reader.line_num + 1
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                raise BadShelf(path, f"row {number}: {error}", "look for a quotation mark that is not closed") from None
            yield number, tuple(each.strip() for each in cells[:MOST_COLUMNS])


def _delimiter(head: Sequence[str]) -> str:
    """The sign that parts the row of names; where there is none, the one that stands most often in the first line."""
    first = next((line for line in head if line.strip()), "")

    def names(sign: str) -> int:
        rows = (line.split(sign) for line in head if sign in line)
        return max((len(columns_named([cell.strip(' "') for cell in cells[:MOST_COLUMNS]])) for cells in rows), default=0)

    return max((",", ";", "\t", "|"), key=lambda sign: (names(sign), first.count(sign)))


def _line(file: TextIO, path: str) -> str:
    line = file.readline(LONGEST_LINE + 1)
    if len(line) > LONGEST_LINE:
        raise BadShelf(path, f"a line is longer than {LONGEST_LINE} signs", "save the shelf as CSV, one part a row")
    return line


def _encoding(path: str) -> str:
    """UTF-16 by its mark, else UTF-8 when every byte of the file is, else the code page of older spreadsheets."""
    decoder = getincrementaldecoder("utf-8")()
    with open(path, "rb") as file:
        if file.read(2) in (BOM_UTF16_LE, BOM_UTF16_BE):
            return "utf-16"
        file.seek(0)
        try:
            while block := file.read(65_536):
                decoder.decode(block)
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            return "cp1252"
    return "utf-8-sig"


def _workbook(path: str, notes: list[str]) -> Iterator[Cells]:
    try:
        openpyxl = import_module("openpyxl")
    except ImportError:
        raise BadShelf(path, "reading a workbook needs openpyxl, which is not installed",
                       "pip install openpyxl, or save the shelf as CSV") from None
    try:
        with zipfile.ZipFile(path) as packed:
            unpacked = sum(each.file_size for each in packed.infolist())
            if unpacked > min(LARGEST_WORKBOOK, max(1_000_000, MOST_SWOLLEN * os.path.getsize(path))):
                raise BadShelf(path, "the workbook is too large", "keep only the sheet of the shelf, or save it as CSV")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and links that a shelf has no use for
            book = openpyxl.load_workbook(path, read_only=True, data_only=True)
        try:
            yield from _sheet_of_the_shelf(book.worksheets, path, notes)
        finally:
            book.close()
    except BadShelf:
        raise
    except Exception as error:
        # openpyxl lets whatever its XML and zip readers meet through.
        raise BadShelf(path, f"not a workbook that can be read ({type(error).__name__})", "save the shelf as CSV") from None


def _sheet_of_the_shelf(sheets: Sequence[Any], path: str, notes: list[str]) -> Iterator[Cells]:
    """The rows of the first sheet that names the columns; where none does, of the first that is not empty."""
    looked = [(sheet, *_looked_into(sheet, path)) for sheet in sheets]
    named = [each for each in looked if any(names_columns(cells) for _, cells in each[1])]
    sheet, head, rest = (named or [each for each in looked if each[1]] or looked)[0]
    others = [f"“{each[0].title[:40]}”" for each in named[1:]]
    if others:
        notes.append(f"only the sheet “{sheet.title[:40]}” was read, not {both(others)}")
    elif sheet is not sheets[0]:
        notes.append(f"read from the sheet “{sheet.title[:40]}”")
    return chain(head, rest)


def _looked_into(sheet: Any, path: str) -> tuple[list[Cells], Iterator[Cells]]:
    """The first rows of a sheet that are not empty, and the others."""
    sheet.reset_dimensions()
    every = enumerate(sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True), 1)
    rows = _filled(((number, tuple(map(_cell, row))) for number, row in every), path)
    return list(islice(rows, LOOKED_DOWN)), rows


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime.date | datetime.time):
        return MADE_A_DATE
    if isinstance(value, float):
        if value.is_integer():
            return str(int(value))
        # a number with three decimals is given a fourth, since such a text could be one with thousands
        return re.sub(r"(\.\d{3})$", r"\g<1>0", str(value))
    return str(value).strip()
