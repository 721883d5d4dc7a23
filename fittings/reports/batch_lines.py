"""The answers to a file of questions, one line each: CSV for a spreadsheet, or one JSON object a line."""

import csv
import io
from collections.abc import Sequence

from fittings.chain import Chain
from fittings.ends import End
from fittings.planner import Answer
from fittings.reports.as_json import answer_json, dumps, error_json
from fittings.reports.spreadsheet import harmless
from fittings.reports.window import harmless as unsteered

COLUMNS = ("line", "id", "from", "to", "answer", "parts", "chain", "rating_psi", "weakest", "only_if", "taken", "why", "hint")
"""`answer` is `chain`, `refused`, or what was wrong with the row: `not understood`, `ambiguous`, `bad input`, `not covered`."""


def csv_line(cells: Sequence[str]) -> str:
    """One line of CSV in which no cell is a formula or steers a terminal."""
    plain = (cell if cell.isascii() and cell.isprintable() else unsteered(cell) for cell in cells)
    out = io.StringIO()
    # only what stands in the end of a line is put in quotes, and a bare return would begin a row of its own in a spreadsheet
    csv.writer(out, lineterminator="\r\n").writerow([harmless(cell) for cell in plain])
    return out.getvalue().removesuffix("\r\n") + "\n"


def answer_cells(of: Answer, taken: Sequence[str]) -> tuple[str, ...]:
    """An answer under `COLUMNS`, from `from` on: its first chain, or why there is none."""
    head = (of.start.say, of.finish.say)
    said = "; ".join(each for each in taken if each)
    if of.refused is not None:
        told = {number for some in of.refused.because for number in some}
        facts = "; ".join(fact.text for fact in of.refused.facts if fact.n in told and fact.code != "takes")
        hint = f"{of.refused.hints[0].text}: {of.refused.hints[0].run}" if of.refused.hints else ""
        return (*head, "refused", "", "", "", "", "", said, f"{of.refused.kind}: {facts}", hint)
    return (*head, "chain", *_chain_cells(of.chains[0]), said, "", "")


def _chain_cells(of: Chain) -> tuple[str, ...]:
    weakest, conditions = of.joints[of.weakest], dict.fromkeys(each.condition for each in of.joints if each.condition)
    return (
        str(len(of.parts)), " + ".join(used.part.say for used in of.parts) or "they join directly",
        str(of.rating.psi) if of.rating else "", f"{weakest.a.say} with {weakest.b.say}" if of.rating else "",
        "; ".join(conditions))


def wrong_cells(typed: tuple[str, str], kind: str, text: str, ask: str | None) -> tuple[str, ...]:
    """A row that was not understood, under `COLUMNS` from `from` on; `typed` as it stands in the file."""
    return (*typed, kind, "", "", "", "", "", "", text, ask or "")


def answer_body(of: Answer, taken: Sequence[str]) -> str:
    """The JSON object of an answer from its third field on, as `json_line` completes it."""
    return _body([each for each in taken if each], None, answer_json(of))


def wrong_body(kind: str, typed: str, text: str, ask: str | None, candidates: Sequence[End]) -> str:
    """The JSON object of a row that was not understood, from its third field on."""
    return _body([], error_json(kind, typed, text, ask, candidates)["error"], None)


def _body(taken: list[str], error: object, answer: object) -> str:
    return dumps({"taken": taken, "error": error, "answer": answer}, None)[1:]


def json_line(line: int, name: str, body: str) -> str:
    """One JSON object: `line` of the file, `id` or null, then `taken`, `error` and `answer`, of which one is null.

    >>> json_line(2, "a", '"taken": [], "error": null, "answer": null}')
    '{"line": 2, "id": "a", "taken": [], "error": null, "answer": null}\\n'
    """
    return f'{{"line": {line}, "id": {dumps(name or None)}, {body}\n'
