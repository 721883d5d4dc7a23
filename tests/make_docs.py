"""Writes what the documents show: the output of every console block, and the pages that are made by a command.

Run it from anywhere: `python tests/make_docs.py`. `tests/test_docs.py` fails when a page is stale.

A console block holds lines `$ fittings …`; what follows each is its output. A comment `<!-- only WORDS -->` before the
block keeps of it only the paragraph that begins with these words, and marks both cuts with `…`.
"""

import contextlib
import io
import os
import re
import shlex
import sys
from functools import cache
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(TOP))
os.environ["COLUMNS"] = "80"

BLOCK = re.compile(r"(?:<!-- only (?P<only>[^\n]+) -->\n)?```console\n(?P<body>.*?)```\n", re.DOTALL)


@cache
def answer(words: tuple[str, ...]) -> str:
    """What the command line prints: the answer, or what it says instead. Notes on progress depend on the clock."""
    from fittings.cli import run

    out, notes = io.StringIO(), io.StringIO()
    here = Path.cwd()
    os.chdir(TOP)
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(notes):
            run(list(words))
    finally:
        os.chdir(here)
    return out.getvalue() or notes.getvalue()


def paragraph(said: str, begins: str) -> str:
    """The one paragraph of an answer that begins with these words, both cuts marked."""
    (kept,) = (each for each in said.split("\n\n") if each.startswith(begins))
    return f"…\n{kept}\n…"


def refreshed(page: str) -> str:
    """A page with the output of its console blocks made anew."""

    def again(match: re.Match[str]) -> str:
        told = []
        for line in match["body"].splitlines():
            if line.startswith("$ fittings"):
                said = answer(tuple(shlex.split(line)[2:])).rstrip("\n")
                told += [line, paragraph(said, match["only"]) if match["only"] else said]
        head = f"<!-- only {match['only']} -->\n" if match["only"] else ""
        return head + "```console\n" + "\n".join(told) + "\n```\n"

    return BLOCK.sub(again, page)


def commands_page() -> str:
    """The reference of all verbs, from their own help."""
    from fittings.cli import VERBS

    out = ["# Every verb", "", "Made by `python tests/make_docs.py` from the help of the command line.", ""]
    for verb in VERBS:
        out += [f"## {verb}", "", "```text", answer((verb, "--help")).strip("\n"), "```", ""]
    return "\n".join(out)


def pages() -> dict[Path, str]:
    """Every page that this command writes, as it should be."""
    made = {TOP / "docs" / "commands.md": commands_page()}
    for path in [TOP / "README.md", *sorted((TOP / "docs").rglob("*.md"))]:
        text = path.read_text("utf-8")
        if path not in made and "```console" in text:
            made[path] = refreshed(text)
    return made


if __name__ == "__main__":
    for place, text in pages().items():
        place.write_text(text, "utf-8")
        print(place.relative_to(TOP))
