"""The second opinion on a plan, in words or as a table, and as JSON."""

from collections.abc import Sequence

from fittings.cautions import short
from fittings.check import Flaw
from fittings.job.recheck import Saved
from fittings.reports.as_json import Json
from fittings.reports.window import lines as folded
from fittings.reports.window import painted, takes_tables
from fittings.saying import counted


def _lines(saved: Saved) -> list[Saved]:
    lines = saved.get("lines")
    return [line for line in lines if isinstance(line, dict)] if isinstance(lines, list) else []


def refused_lines(saved: Saved) -> list[str]:
    """Names of the lines that the plan itself gives up, branches included."""
    return [str(line.get("name", "?")) for line in _every_line(saved) if line.get("refused")]


def forbidding(saved: Saved) -> list[str]:
    """What the plan itself finds unsafe as it stands, of the circuit, its lines and its cylinders."""
    places = [saved, *_every_line(saved), *(each for each in saved.get("cylinders") or [] if isinstance(each, dict))]
    found = [each for place in places for each in place.get("findings") or [] if isinstance(each, dict)]
    return list(dict.fromkeys(str(each.get("text")) for each in found if each.get("level") == "refuse"))


def _every_line(saved: Saved) -> list[Saved]:
    return [each for line in _lines(saved) for each in (line, *_every_line({"lines": line.get("branches")}))]


def check_json(saved: Saved, flaws: Sequence[Flaw]) -> Json:
    return {"title": saved.get("title"), "stands": not flaws, "lines": len(_lines(saved)),
            "refused": refused_lines(saved), "not_safe": forbidding(saved), "flaws": [flaw._asdict() for flaw in flaws]}


def check_text(saved: Saved, flaws: Sequence[Flaw]) -> str:
    """What was found, one flaw a paragraph; or that nothing was."""
    refused = refused_lines(saved)
    out = [folded(str(saved.get("title") or "A plan"))]
    if flaws:
        out.append(painted(f"DOES NOT STAND: {counted(len(flaws), 'thing')} wrong.", "red"))
        out += _flaw_board(flaws) if takes_tables() else [folded(f"- {flaw.where}: {flaw.text}", "  ", "    ") for flaw in flaws]
    else:
        stands = ("STANDS: every joint, part, rating, hose, length, bill and step was worked out again and agrees. Ports, flow and "
                  "pressures are taken as written.")
        out.append(painted(folded(stands), "green"))
    unproved = [str(line.get("name")) for line in _every_line(saved)
                if not line.get("refused") and line.get("joints") and line.get("rating_psi") is None]
    if unproved:
        out.append(painted(folded(f"NOT PROVED TO HOLD, since no table rates every end: {', '.join(unproved)}."), "yellow"))
    unsafe = forbidding(saved)
    if unsafe:
        out.append(painted("NOT SAFE AS IT STANDS, by the plan's own word:", "red"))
        out += [folded(f"X {text}", "  ", "    ") for text in unsafe]
    if refused:
        out.append(folded(f"Not checked, since the plan itself gives them up: {', '.join(refused)}."))
    out.append(folded(short()))
    return "\n".join(out)


def _flaw_board(flaws: Sequence[Flaw]) -> list[str]:
    from fittings.reports.board import Column, board

    return [board((Column("where", 1), Column("what is wrong", 3)), [(flaw.where, flaw.text) for flaw in flaws])]
