"""The bill of materials as a table: CSV or a workbook, and the counter text, one line an item."""

import csv
import io
import re
from collections.abc import Sequence
from importlib import import_module

from fittings.job.result import BillItem
from fittings.job.shop_words import MEASURED
from fittings.reports.spreadsheet import harmless

COLUMNS = ("qty", "item", "end 1", "end 2", "end 3", "standard", "for", "from stock", "place", "price each", "note")

WIDTHS = (6, 60, 28, 28, 28, 24, 24, 10, 14, 10, 50)
"""Widths of the columns of the workbook, in signs."""

ILLEGAL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
"""Signs that a workbook cannot hold."""


def bill_rows(items: Sequence[BillItem]) -> list[list[str]]:
    """The bill as rows under `COLUMNS`; both ends of every part in words."""
    rows = []
    for item in items:
        ends = [each.say for each in item.ends][:3]
        rows.append([f"{item.qty:g}", item.say, *ends, *[""] * (3 - len(ends)), item.spec, ", ".join(item.for_),
                     "yes" if item.from_stock else "no", item.place, "" if item.price is None else f"{item.price:.2f}", item.note])
    return rows


def bill_csv(items: Sequence[BillItem]) -> str:
    """The bill as CSV with a header; a cell that a spreadsheet would take for a formula is made harmless."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows([[harmless(cell) for cell in row] for row in bill_rows(items)])
    return out.getvalue()


def bill_xlsx(items: Sequence[BillItem]) -> bytes:
    """The bill as a workbook of one sheet: quantity and price as numbers, all else as text, so that nothing is a formula.

    Raises ImportError when `openpyxl` is not installed.
    """
    workbook, styles = import_module("openpyxl"), import_module("openpyxl.styles")
    book = workbook.Workbook()
    sheet = book.active
    sheet.title = "bill of materials"
    numbers = {COLUMNS.index("qty"), COLUMNS.index("price each")}
    for at, row in enumerate([list(COLUMNS), *bill_rows(items)], 1):
        for column, text in enumerate(row):
            cell = sheet.cell(at, column + 1)
            if at > 1 and column in numbers and text:
                cell.value = float(text)
            else:
                cell.value, cell.data_type = ILLEGAL.sub(" ", text), "s"
            cell.alignment = styles.Alignment(wrap_text=True, vertical="top")
            cell.font = styles.Font(bold=at == 1)
    for column, width in enumerate(WIDTHS):
        sheet.column_dimensions[chr(ord("A") + column)].width = width
    sheet.freeze_panes = "A2"
    sheet.page_setup.orientation, sheet.page_setup.fitToHeight = "landscape", 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_title_rows = "1:1"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def counter_text(items: Sequence[BillItem]) -> str:
    """What to say or send to the shop: one line an item, nothing that the shop does not sell; rings with their rubber, plugs with what
    they hold, and how the length of a hose is measured.

    >>> from fittings.job.result import BillItem
    >>> counter_text([BillItem(2, "straight, ORB -8 male stud × JIC -8 male", for_=("raise",), sort="adapter")])
    '2 x straight, ORB -8 male stud × JIC -8 male'
    """
    wanted = [item for item in items if not item.from_stock]
    said = [f"{item.qty:g} x {item.say}" + _besides(item) for item in wanted]
    return "\n".join([*said, *([f"hoses: {MEASURED}"] if any(item.sort == "hose" for item in wanted) else [])])


def _besides(item: BillItem) -> str:
    """What the shop must know of an item beyond its name."""
    if item.sort == "hose":
        return "; the hose itself is brought along" if item.place else ""
    if item.sort == "ring":
        return f" ({item.spec})" if item.spec else ""
    return f" ({item.note})" if item.sort in ("plug", "adapter", "tee") and item.note else ""
