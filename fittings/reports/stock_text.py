"""What a shelf was understood as: in words or tables, and as plain dictionaries."""

from typing import Any

from fittings.reports.as_json import end_json
from fittings.reports.window import lines, takes_tables
from fittings.saying import counted
from fittings.stock import Aside, Shelf, ShelfRow

Json = dict[str, Any]


def shelf_text(of: Shelf) -> str:
    """The rows as they were read, then those kept aside with the reason."""
    if takes_tables():
        return _shelf_board(of)
    out = [lines(_counts(of)), *(lines(note, "  ", "    ") for note in of.notes)]
    for row in of.rows:
        place = f" ({row.place})" if row.place else ""
        price = f", {row.price:.2f} each" if row.price is not None else ""
        out.append(lines(f"{row.qty:>4} x {row.say}{price}{place}", "", " " * 7))
        if row.taken:
            out.append(lines(f"row {row.number}: {row.taken}", " " * 7))
    if of.aside:
        out.append("kept aside")
        out += [lines(f"row {each.number}: “{each.text}”: {each.why}" + (f"; {each.ask}" if each.ask else ""), "  ", "    ")
                for each in of.aside]
    return "\n".join(out)


def _shelf_board(of: Shelf) -> str:
    from fittings.reports.board import Column, board

    number, qty, each = (Column(head, right=True) for head in ("row", "qty", "each"))
    out = [lines(_counts(of)), *(lines(note, "  ", "    ") for note in of.notes)]
    if of.rows:
        rows = [(str(row.number), str(row.qty), f"{row.say}\n{row.taken}".rstrip(),
                 "" if row.price is None else f"{row.price:.2f}", row.place) for row in of.rows]
        out.append(board((number, qty, Column("part", 5), each, Column("place", 1)), rows))
    if of.aside:
        aside = [(str(row.number), row.text, "; ".join(filter(None, (row.why, row.ask)))) for row in of.aside]
        out += ["", board((number, Column("kept aside", 2), Column("why", 3)), aside)]
    return "\n".join(out)


def shelf_json(of: Shelf) -> Json:
    """The shelf as plain types."""
    return {
        "file": of.file, "kinds": _kinds(of), "pieces": sum(row.qty for row in of.rows), "taken": list(of.notes),
        "rows": [_row_json(row) for row in of.rows], "aside": [_aside_json(each) for each in of.aside],
    }


def _kinds(of: Shelf) -> int:
    return len({row.say for row in of.rows if row.qty})


def _counts(of: Shelf) -> str:
    pieces, kinds = sum(row.qty for row in of.rows), _kinds(of)
    return (f"{of.file}: {counted(pieces, 'piece')} in {counted(kinds, 'kind')}; "
            f"{counted(len(of.aside), 'row')} kept aside")


def _row_json(of: ShelfRow) -> Json:
    return {
        "row": of.number, "qty": of.qty, "text": of.text, "say": of.say, "shape": of.part.shape if of.part else None,
        "ends": [end_json(each) for each in of.part.ends] if of.part else [],
        "hose": of.hose._asdict() if of.hose else None, "ring": of.ring or None, "price": of.price, "place": of.place, "taken": of.taken,
    }


def _aside_json(of: Aside) -> Json:
    return {"row": of.number, "text": of.text, "why": of.why, "ask": of.ask}
