"""What a shelf was understood as, and what a choice takes from it: in words or tables, and as plain dictionaries."""

from typing import Any

from fittings.reports.as_json import end_json
from fittings.reports.window import lines, takes_tables
from fittings.saying import counted
from fittings.stock import Aside, Choice, Shelf, ShelfRow

Json = dict[str, Any]


def shelf_text(of: Shelf) -> str:
    """The rows as they were read, then those kept aside with the reason."""
    if takes_tables():
        return _shelf_board(of)
    out = [lines(_counts(of))]
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
    out = [lines(_counts(of))]
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
        "file": of.file, "kinds": _kinds(of), "pieces": sum(row.qty for row in of.rows),
        "rows": [_row_json(row) for row in of.rows], "aside": [_aside_json(each) for each in of.aside],
    }


def choice_text(of: Choice) -> str:
    """For each line what to take from which place and what to buy; then the totals."""
    out = []
    for pick in of.picks:
        if pick.chain is None:
            out.append(lines(f"{pick.need.name}: no chain of parts joins these ends under the limits"))
            continue
        out.append(lines(pick.need.name))
        for take in pick.takes:
            place = take.place or f"row {take.row} of the shelf"
            out.append(lines(f"take {take.qty} x {take.part.say} from {place}", "  ", "    "))
        out += [lines(f"buy 1 x {part.say}", "  ", "    ") for part in pick.buy]
        if not pick.chain.parts:
            out.append("  the ends join directly")
        if pick.extra_joints > 0:
            out.append(lines(f"the shelf costs {counted(pick.extra_joints, 'more joint')} here", "  "))
    score = of.score
    priced = f", {of.price:.2f}" if of.price else ""
    unknown = f" ({of.unpriced} without a price)" if of.unpriced and of.price else ""
    out.append(lines(f"in all: {of.from_shelf} from the shelf, {score.bought} to buy in "
                     f"{counted(score.kinds, 'kind')}{priced}{unknown}"))
    return "\n".join(out)


def choice_json(of: Choice) -> Json:
    """A choice as plain types."""
    return {
        "picks": [{
            "name": pick.need.name, "can_be_done": pick.chain is not None, "extra_joints": pick.extra_joints,
            "take": [{"qty": take.qty, "say": take.part.say, "place": take.place, "row": take.row} for take in pick.takes],
            "buy": [part.say for part in pick.buy],
        } for pick in of.picks],
        "from_shelf": of.from_shelf, "bought": of.score.bought, "kinds_bought": of.score.kinds, "price": of.price,
        "unpriced": of.unpriced, "extra_joints": of.extra_joints,
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
        "hose": of.hose._asdict() if of.hose else None, "price": of.price, "place": of.place, "taken": of.taken,
    }


def _aside_json(of: Aside) -> Json:
    return {"row": of.number, "text": of.text, "why": of.why, "ask": of.ask}
