"""The second opinion on a plan, in words or as a table, and as JSON."""

from collections.abc import Sequence

from fittings.cautions import short
from fittings.check import Flaw
from fittings.job.recheck import HELD, NOT_HELD, Opinion
from fittings.job.saved_plan import Saved, tables_in
from fittings.reports.as_json import Json
from fittings.reports.window import lines as folded
from fittings.reports.window import painted, takes_tables
from fittings.saying import counted


def check_json(saved: Saved, of: Opinion) -> Json:
    """The second opinion on a plan: whether it stands, every flaw, and what was not held against anything."""
    return {"title": saved.get("title"), "stands": of.stands, "lines": len(tables_in(saved.get("lines"))),
            "refused": list(of.refused), "not_safe": list(of.forbidden), "not_proved": list(of.unproved),
            "flaws": [flaw._asdict() for flaw in of.flaws], "not_held": NOT_HELD}


def check_text(saved: Saved, of: Opinion) -> str:
    """What was found, one flaw a paragraph; or that nothing was. What was held, and what was not."""
    out = [folded(str(saved.get("title") or "A plan"))]
    if of.flaws:
        out.append(painted(f"DOES NOT STAND: {counted(len(of.flaws), 'thing')} wrong.", "red"))
        out += _flaw_board(of.flaws) if takes_tables() else [folded(f"- {flaw.where}: {flaw.text}", "  ", "    ") for flaw in of.flaws]
    else:
        head = "STANDS: what was worked out again agrees." if of.stands else "DOES NOT STAND, though what was worked out again agrees."
        out.append(painted(head, "green" if of.stands else "red"))
    out += [folded(f"Worked out again: {HELD}."), folded(f"Taken {NOT_HELD}.")]
    if of.unproved:
        out.append(painted(folded(f"NOT PROVED TO HOLD, since no table rates every end: {', '.join(of.unproved)}."), "yellow"))
    if of.forbidden:
        out.append(painted("NOT SAFE AS IT STANDS, by the plan's own word:", "red"))
        out += [folded(f"X {text}", "  ", "    ") for text in of.forbidden]
    if of.refused:
        out.append(folded(f"Not checked, since the plan itself gives them up: {', '.join(of.refused)}."))
    out.append(folded(short()))
    return "\n".join(out)


def _flaw_board(flaws: Sequence[Flaw]) -> list[str]:
    from fittings.reports.board import Column, board

    return [board((Column("where", 1), Column("what is wrong", 3)), [(flaw.where, flaw.text) for flaw in flaws])]
