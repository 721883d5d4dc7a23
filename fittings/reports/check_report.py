"""The second opinion on a plan, in words or as a table, and as JSON."""

from collections.abc import Sequence

from fittings.cautions import short
from fittings.check import Flaw
from fittings.job.recheck import Saved
from fittings.reports.as_json import Json
from fittings.reports.window import has_window, painted, takes_tables
from fittings.reports.window import lines as folded


def _lines(saved: Saved) -> list[Saved]:
    lines = saved.get("lines")
    return [line for line in lines if isinstance(line, dict)] if isinstance(lines, list) else []


def refused_lines(saved: Saved) -> list[str]:
    """Names of the lines that the plan itself gives up, branches included."""
    found = []
    for line in _lines(saved):
        if line.get("refused"):
            found.append(str(line.get("name", "?")))
        found += refused_lines({"lines": line.get("branches")})
    return found


def check_json(saved: Saved, flaws: Sequence[Flaw]) -> Json:
    return {"title": saved.get("title"), "stands": not flaws, "lines": len(_lines(saved)),
            "refused": refused_lines(saved), "flaws": [flaw._asdict() for flaw in flaws]}


def check_text(saved: Saved, flaws: Sequence[Flaw]) -> str:
    """What was found, one flaw a paragraph; or that nothing was."""
    refused = refused_lines(saved)
    out = [folded(str(saved.get("title") or "A plan"))]
    if flaws:
        out.append(painted(f"DOES NOT STAND: {len(flaws)} thing{'' if len(flaws) == 1 else 's'} wrong.", "red"))
        out += _flaw_board(flaws) if takes_tables() else [folded(f"- {flaw.where}: {flaw.text}", "  ", "    ") for flaw in flaws]
    else:
        stands = "STANDS: every joint, part, rating, hose and length was worked out again and agrees."
        out.append(painted(folded(stands), "green") if has_window() else stands)
    if refused:
        out.append(folded(f"Not checked, since the plan itself gives them up: {', '.join(refused)}."))
    out.append(folded(short()))
    return "\n".join(out)


def _flaw_board(flaws: Sequence[Flaw]) -> list[str]:
    from fittings.reports.board import Column, board

    return [board((Column("where", 1), Column("what is wrong", 3)), [(flaw.where, flaw.text) for flaw in flaws])]
