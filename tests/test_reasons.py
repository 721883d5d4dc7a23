"""Every reason, finding, flaw, hint, refusal, failure and mistake is reached by a worked example, and says what was read and found right.

The list of what can be said is taken from the register and from the source; `tests/reasons_said.csv` holds the whole
texts, read one by one as a fitter would (`tests/worked_reasons.py` writes it).
"""

import ast
import csv
import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from worked_reasons import SAID, Said, examples, said_by

from fittings.tables import table

PACKAGE = Path(__file__).resolve().parent.parent / "fittings"
CODED = {"Finding", "Reason", "reason", "Flaw", "Hint", "Refusal"}
"""Calls that say something under a code, their first argument."""

WORDS = {"Finding": (2,), "Reason": (1,), "Flaw": (2,), "Hint": (1,), "Failure": (3, 4), "Mistake": (3, 4), "wrong_value": (1, 2)}
"""Calls whose words must be seen in some example, and which of their arguments are words."""

SHORTEST = 12
"""Pieces of text shorter than this, such as a comma between two figures, say nothing alone."""


@cache
def pinned() -> dict[str, list[Said]]:
    kept: dict[str, list[Said]] = defaultdict(list)
    with SAID.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            kept[f"{row['example']} / {row['code']}"].append(Said(**row))
    return kept


WORKED = examples()


@pytest.mark.parametrize("code", sorted({code for _, code, _ in WORKED}))
def test_what_is_said_is_what_was_read_and_found_right(code: str) -> None:
    for example in WORKED:
        if example[1] == code:
            said = said_by(example)
            assert said, f"{example[0]} does not reach {code}"
            for each in said:
                assert each in pinned()[f"{each.example} / {each.code}"], each.text


def test_no_text_is_kept_that_nothing_says() -> None:
    shown = {name for name, _, _ in WORKED}
    assert {each.example for rows in pinned().values() for each in rows} == shown


def _calls() -> Iterator[tuple[str, Path, ast.Call]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call):
                name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
                if name in CODED or name in WORDS:
                    yield name, path, node


def _codes(node: ast.expr) -> Iterator[str]:
    """The codes that an argument can be, as patterns; nothing for a code that is handed on."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield re.escape(node.value)
    elif isinstance(node, ast.IfExp):
        yield from (*_codes(node.body), *_codes(node.orelse))
    elif isinstance(node, ast.JoinedStr):
        yield "".join(re.escape(str(part.value)) if isinstance(part, ast.Constant) else r"[a-z0-9-]+" for part in node.values)


def _pieces(node: ast.AST) -> Iterator[str]:
    keys = {each.slice for each in ast.walk(node) if isinstance(each, ast.Subscript)}
    for each in ast.walk(node):
        if isinstance(each, ast.Constant) and each not in keys and isinstance(each.value, str) and len(each.value.strip()) >= SHORTEST:
            yield each.value.strip()


def test_every_code_of_the_source_has_an_example() -> None:
    reached = {each.code for rows in pinned().values() for each in rows}
    wanted = {code for name, _, call in _calls() if name in CODED and call.args for code in _codes(call.args[0])}
    assert len(wanted) > 100
    assert [code for code in sorted(wanted) if not any(re.fullmatch(code, each) for each in reached)] == []


def test_every_reason_of_the_register_has_an_example_and_none_is_left_over() -> None:
    reached = {each.code for rows in pinned().values() for each in rows}
    register = [row["code"] for row in table("reasons")]
    assert [code for code in register if code not in reached] == []
    used = [re.compile(code) for name, _, call in _calls() if name == "reason" for code in _codes(call.args[0])]
    spoken = {row["code"] for row in table("clashes")}
    assert [code for code in register if code not in spoken and not any(each.fullmatch(code) for each in used)] == []


def test_every_word_of_the_source_is_seen_in_an_example() -> None:
    said = " ".join(re.sub(r"\s+", " ", each.text) for rows in pinned().values() for each in rows)
    unseen = [
        f"{path.relative_to(PACKAGE.parent)}:{call.lineno}: {piece}"
        for name, path, call in _calls()
        for place in WORDS.get(name, ()) if place < len(call.args)
        for piece in _pieces(call.args[place])
        if re.sub(r"\s+", " ", piece) not in said
    ]
    assert unseen == []


@pytest.mark.parametrize("condition", [row["condition"] for row in table("conditions")])
def test_conditions_say_what_must_be_true_and_what_to_do(condition: str) -> None:
    """A condition stands after "holds only if", so it is a sentence without a capital or a full stop."""
    row = next(each for each in table("conditions") if each["condition"] == condition)
    assert row["says"][0].islower()
    assert not row["says"].endswith(".")
    assert row["do"]
