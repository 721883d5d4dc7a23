"""The bill of materials as a table: CSV for a spreadsheet, and the counter text, one line an item."""

import csv
import io
from collections.abc import Sequence

from fittings.job.result import BillItem
from fittings.reports.spreadsheet import harmless

COLUMNS = ("qty", "item", "end 1", "end 2", "end 3", "standard", "for", "from stock", "note")


def bill_rows(items: Sequence[BillItem]) -> list[list[str]]:
    """The bill as rows under `COLUMNS`; both ends of every part in words."""
    rows = []
    for item in items:
        ends = [each.say for each in item.ends][:3]
        rows.append([f"{item.qty:g}", item.say, *ends, *[""] * (3 - len(ends)), item.spec, ", ".join(item.for_),
                     "yes" if item.from_stock else "no", item.note])
    return rows


def bill_csv(items: Sequence[BillItem]) -> str:
    """The bill as CSV with a header; a cell that a spreadsheet would take for a formula is made harmless."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows([[harmless(cell) for cell in row] for row in bill_rows(items)])
    return out.getvalue()


def counter_text(items: Sequence[BillItem]) -> str:
    """What to say or send to the shop: one line an item, nothing that the shop does not sell.

    >>> from fittings.job.result import BillItem
    >>> counter_text([BillItem(2, "straight, ORB -8 male stud × JIC -8 male", "", ("raise",), False, "adapter", (), "")])
    '2 x straight, ORB -8 male stud × JIC -8 male'
    """
    return "\n".join(f"{item.qty:g} x {item.say}" for item in items if not item.from_stock)
