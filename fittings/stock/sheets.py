"""The cells of a shelf file, row by row: CSV as spreadsheets write it, or XLSX."""

import csv
import datetime
import os
import warnings
import zipfile
from codecs import BOM_UTF16_BE, BOM_UTF16_LE, getincrementaldecoder
from collections.abc import Iterator
from importlib import import_module
from typing import TextIO

LONGEST_LINE = 20_000
MOST_ROWS = 1_048_576
"""As many as one sheet of a workbook has."""

MOST_COLUMNS = 50
LARGEST_WORKBOOK = 20_000_000
"""Bytes of a workbook when it is unpacked; its reader needs up to seventy times as many, and 50,000 rows are 13 million."""

MOST_SWOLLEN = 60
"""Bytes out of one packed: a sheet of 50,000 like rows stays below 20, and a small file can be made to swell to any size."""

MADE_A_DATE = "\0date"
"""Stands for a cell in which the spreadsheet made a date of a size such as 1/2."""

Cells = tuple[int, tuple[str, ...]]
"""Row number as the spreadsheet shows it, and the texts of its cells."""


class BadShelf(ValueError):
    """A shelf file cannot be read: `file`, what is wrong (`text`), what would be right (`ask`)."""

    def __init__(self, file: str, text: str, ask: str) -> None:
        super().__init__(f"{file}: {text}")
        self.file, self.text, self.ask = file, text, ask


def sheet_rows(path: str) -> Iterator[Cells]:
    """The rows of a CSV or XLSX file that are not empty. Raises BadShelf, and OSError when it cannot be opened."""
    if os.path.exists(path) and not os.path.isfile(path):
        # read more than once, which a pipe cannot be, and to its end, which a device has not
        what = "this is a folder" if os.path.isdir(path) else "this is no file but a pipe or a device"
        raise BadShelf(path, what, "name a CSV or XLSX file")
    with open(path, "rb") as file:
        head = file.read(4)
    rows = _workbook(path) if head == b"PK\x03\x04" else _text(path)
    for count, (number, cells) in enumerate(rows):
        if count >= MOST_ROWS:
            raise BadShelf(path, f"more than {MOST_ROWS} rows", "keep only the rows of the shelf")
        if any(cells):
            yield number, cells


def _text(path: str) -> Iterator[Cells]:
    with open(path, encoding=_encoding(path), errors="replace", newline="") as file:
        first, before = _first_line(file, path)
        told = first.strip().lower()
        if told.startswith("sep=") and len(told) == 5:
            delimiter, before = told[4], before + 1
            first, more = _first_line(file, path)
            before += more
        else:
            delimiter = max((",", ";", "\t"), key=first.count)
        reader = csv.reader(_rest(first, file, path), delimiter=delimiter)
        while True:
            number = before + reader.line_num + 1
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                raise BadShelf(path, f"row {number}: {error}", "look for a quotation mark that is not closed") from None
            yield number, tuple(each.strip() for each in cells[:MOST_COLUMNS])


def _first_line(file: TextIO, path: str) -> tuple[str, int]:
    """The first line that is not empty, and how many lines were."""
    empty = 0
    while line := _line(file, path):
        if line.strip():
            return line, empty
        empty += 1
    return "", empty


def _rest(first: str, file: TextIO, path: str) -> Iterator[str]:
    yield first
    while line := _line(file, path):
        yield line


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


def _workbook(path: str) -> Iterator[Cells]:
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
            sheet = book.worksheets[0]
            sheet.reset_dimensions()
            for number, row in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True), 1):
                yield number, tuple(_cell(each) for each in row)
        finally:
            book.close()
    except BadShelf:
        raise
    except Exception as error:
        # openpyxl lets whatever its XML and zip readers meet through.
        raise BadShelf(path, f"not a workbook that can be read ({type(error).__name__})", "save the shelf as CSV") from None


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime.date | datetime.time):
        return MADE_A_DATE
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value).strip()
