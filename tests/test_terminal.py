"""Answers in a terminal: tables as wide as the window, lists in a narrow one, colour that never says anything alone, nothing
that steers it from a file; and in a pipe the plain text of always."""

import io
import json
import os
import re
import sys
import time
import unicodedata
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from rich.cells import cell_len

from fittings.cli import run
from fittings.cli.plan import planned_job
from fittings.cli.waiting import waiting
from fittings.job.result import Plan
from fittings.reports.plan_shown import plan_shown

TOP = Path(__file__).resolve().parent.parent
JOB = str(TOP / "docs" / "examples" / "tailgate.toml")
SHELF = str(TOP / "docs" / "examples" / "shelf.csv")

RULE = "━"
COLOUR = re.compile(r"\x1b\[(?:0|1|1;31|33|1;32)m")

WITH_TABLES = {
    "plan": ["plan", JOB],
    "plan with a shelf": ["plan", JOB, "--stock", SHELF],
    "stock": ["stock", SHELF],
    "size": ["size", "--flow", "11 gpm", "--psi", "2750"],
    "sources": ["sources"],
    "one source": ["sources", "arithmetic"],
}
WITHOUT_TABLES = {
    "show": ["show", "ORB -6 port"],
    "mate": ["mate", "JIC -6 male", "ORB -6 port"],
    "join": ["join", "ORB -6 port", "JIC -8 swivel", "--psi", "3000"],
    "refused": ["join", "ORB -6 port", "JIC -8 swivel", "--psi", "5500"],
    "identify": ["identify", "--od", "14.2 mm", "--male"],
    "cylinder": ["cylinder", "--bore", "2.5 in", "--rod", "1.5 in", "--psi", "2750"],
}


class Screen(io.StringIO):
    """Stands for a terminal."""

    def isatty(self) -> bool:
        return True


Shown = Callable[..., str]


@cache
def planned(shelf: str | None) -> Plan:
    """The plan of the demo: it does not depend on the window."""
    return planned_job(JOB, False, shelf)


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> Shown:
    """What a command shows in a window of so many columns, or with none at all in a pipe."""

    def show(words: list[str], columns: int | None, **environment: str) -> str:
        with monkeypatch.context() as here:
            for name in ("NO_COLOR", "COLUMNS", "TERM"):
                here.delenv(name, raising=False)
            for name, value in {"TERM": "xterm", "COLUMNS": str(columns or 40), **environment}.items():
                here.setenv(name, value)
            out = Screen() if columns else io.StringIO()
            here.setattr(sys, "stdout", out)
            here.setattr(sys, "stderr", io.StringIO())
            if words in (WITH_TABLES["plan"], WITH_TABLES["plan with a shelf"]):
                return plan_shown(planned(words[3] if len(words) > 2 else None))
            assert run(words) in (0, 1)
        return out.getvalue()

    return show


def figures(text: str) -> set[str]:
    """Every word of a text in which a digit stands, without brackets and signs around it."""
    return {word.strip("()[],;:.") for word in text.split() if any(sign.isdigit() for sign in word)}


@pytest.mark.parametrize("words", WITH_TABLES.values(), ids=WITH_TABLES)
def test_tables_in_a_window_and_not_in_a_pipe(words: list[str], shown: Shown) -> None:
    assert RULE in shown(words, 80)
    piped = shown(words, None)
    assert RULE not in piped and "\x1b" not in piped
    assert max(len(line) for line in piped.splitlines() if "fittings " not in line) <= 80


@pytest.mark.parametrize("words", WITHOUT_TABLES.values(), ids=WITHOUT_TABLES)
def test_quick_verbs_say_the_same_in_a_window_as_in_a_pipe(words: list[str], shown: Shown) -> None:
    assert shown(words, 80, NO_COLOR="1") == shown(words, None)
    assert shown(words, 40).split() != []


@pytest.mark.parametrize("columns", [24, 40, 79, 80, 100, 120, 200])
@pytest.mark.parametrize("words", [*WITH_TABLES.values(), *WITHOUT_TABLES.values()], ids=[*WITH_TABLES, *WITHOUT_TABLES])
def test_nothing_is_wider_than_the_window(words: list[str], columns: int, shown: Shown) -> None:
    """A command to be copied is the exception: a line break in it would be typed too."""
    told = shown(words, columns, NO_COLOR="1")
    wide = [line for line in told.splitlines() if cell_len(line) > columns and "fittings " not in line]
    assert wide == []
    assert (RULE in told) == (columns >= 80 and words in WITH_TABLES.values())


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize("words", WITH_TABLES.values(), ids=WITH_TABLES)
def test_a_table_holds_every_figure_of_the_words(words: list[str], columns: int, shown: Shown) -> None:
    in_a_table = figures(shown(words, columns, NO_COLOR="1"))
    broken = "".join(shown(words, columns, NO_COLOR="1").split())
    assert [each for each in figures(shown(words, None)) - in_a_table if each not in broken] == []


@pytest.mark.parametrize("words", [*WITH_TABLES.values(), *WITHOUT_TABLES.values()], ids=[*WITH_TABLES, *WITHOUT_TABLES])
def test_colour_says_nothing_alone(words: list[str], shown: Shown) -> None:
    """Without colour the very same signs stand in the same places."""
    plain = shown(words, 80, NO_COLOR="1")
    assert "\x1b" not in plain
    assert [line.rstrip() for line in COLOUR.sub("", shown(words, 80)).splitlines()] == plain.splitlines()


def test_colour_is_used_where_it_may_be(shown: Shown) -> None:
    assert "\x1b[1;31mUNSAFE" in shown(["mate", "JIC -6 male", "ORB -6 port"], 80)
    assert "\x1b[" in shown(WITH_TABLES["plan"], 80)


def test_a_terminal_without_the_signs_gets_rules_that_it_can_show(monkeypatch: pytest.MonkeyPatch) -> None:
    class Latin(Screen):
        encoding = "latin-1"

    screen = Latin()
    monkeypatch.setattr(sys, "stdout", screen)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "80")
    assert run(WITH_TABLES["size"]) == 0
    assert "====" in screen.getvalue()
    screen.getvalue().encode("latin-1")


@pytest.mark.parametrize("terminal", ["dumb", "unknown", ""])
def test_a_dumb_terminal_gets_plain_words(terminal: str, shown: Shown) -> None:
    for words in (WITH_TABLES["stock"], WITH_TABLES["size"], WITHOUT_TABLES["mate"]):
        assert shown(words, 80, TERM=terminal) == shown(words, None)


STEERING = "\x1b[2J\x1b]0;title\x07\x9b31m\u202e\u2066\u200f\x08\x7f"


def hostile_job(folder: Path) -> str:
    """A job whose every name tries to steer."""
    escaped = "".join(f"\\u{ord(sign):04x}" for sign in STEERING)
    text = (TOP / "docs" / "examples" / "log-lift.toml").read_text("utf-8")
    named = re.sub(r'((?:name|title)\s*=\s*"[^"]*)"', lambda each: f'{each[1]}{escaped}"', text)
    for component in re.findall(r'\[\[component\]\]\s+name\s*=\s*"([^"]*)"', text):
        named = named.replace(f'"{component}.', f'"{component}{escaped}.')
    place = folder / "job.toml"
    place.write_text(named, "utf-8")
    return str(place)


TURNING = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
"""Explicit directional formatting, by the Unicode Bidirectional Algorithm (UAX #9), table of bidirectional character types."""


def steering(text: str) -> set[str]:
    """Signs of a text that a terminal would act on, beside the few colours of our own."""
    plain = COLOUR.sub("", text).replace("\n", "")
    return {sign for sign in plain if unicodedata.category(sign) == "Cc" or unicodedata.bidirectional(sign) in TURNING
            or sign in "\u200e\u200f\u061c"}


@pytest.mark.parametrize("columns", [None, 40, 80, 120])
def test_a_job_file_cannot_steer_the_terminal(columns: int | None, shown: Shown, tmp_path: Path) -> None:
    job = hostile_job(tmp_path)
    for words in (["plan", job], ["plan", job, "--json"], ["plan", job, "--counter"], ["check", job]):
        told = shown(words, columns)
        assert told and steering(told) == set()
    assert STEERING in json.loads(shown(["plan", job, "--json"], columns))["title"]


@pytest.mark.parametrize("columns", [None, 40, 80, 120])
def test_a_shelf_cannot_steer_the_terminal(columns: int | None, shown: Shown, tmp_path: Path) -> None:
    shelf = tmp_path / "shelf.csv"
    shelf.write_text(f"qty,part,price,place\n2,ORB -6 male x JIC -8 male,8.10,bin {STEERING}\n1,JIC {STEERING} -7 male,2,\n", "utf-8")
    for words in (["stock", str(shelf)], ["join", "ORB -6 port", "JIC -8 swivel", "--stock", str(shelf)]):
        assert steering(shown(words, columns)) == set()


def test_what_was_typed_wrong_cannot_steer_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["show", f"JIC {STEERING}"], ["sources", STEERING], ["plan", f"{STEERING}.toml"], [STEERING]):
        assert run(words) in (2, 3)
        assert steering(capsys.readouterr().err) == set()


def test_what_is_wrong_is_folded_to_the_window(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """And stands on one line where another program reads it."""
    job = tmp_path / "job.toml"
    job.write_text((TOP / "docs" / "examples" / "log-lift.toml").read_text("utf-8").replace("ORB -8 port", "ORC -8 port"), "utf-8")
    told = []
    for screen in (Screen(), io.StringIO()):
        monkeypatch.setattr(sys, "stderr", screen)
        assert run(["plan", str(job)]) == 2
        told.append(screen.getvalue())
    in_a_window, in_a_file = told
    assert max(map(len, in_a_window.splitlines())) <= 80 < max(map(len, in_a_file.splitlines()))
    assert "".join(in_a_window.split()) == "".join(in_a_file.split())


@pytest.mark.parametrize("name", ["漢字漢字漢字漢字漢字漢字 valve", "🚜🚜🚜 lift", "e\u0301" * 40, "x" * 118])
def test_names_of_any_width_keep_to_the_window(name: str, shown: Shown, tmp_path: Path) -> None:
    place = tmp_path / "job.toml"
    place.write_text((TOP / "docs" / "examples" / "log-lift.toml").read_text("utf-8").replace("lift cylinder", name), "utf-8")
    told = shown(["plan", str(place)], 80, NO_COLOR="1")
    tables = [line for line in told.splitlines() if RULE in line]
    assert tables and max(map(cell_len, tables)) <= 80
    assert name.split()[0][:8] in told


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminal there")
def test_in_a_true_terminal_the_quick_verbs_load_no_rich() -> None:
    """And a slow one draws its tables; in the pipe it loads none."""
    import pty
    import subprocess

    code = ("import sys\nfrom fittings.cli import run\nstatus = run(sys.argv[1:])\n"
            "print(status, 'rich' in sys.modules)")
    seen = {}
    for verb, words in (("mate", WITHOUT_TABLES["mate"]), ("size", WITH_TABLES["size"]), ("plan", WITH_TABLES["plan"])):
        ours, theirs = pty.openpty()
        environment = {**os.environ, "TERM": "xterm", "COLUMNS": "90"}
        with subprocess.Popen([sys.executable, "-c", code, *words], cwd=TOP, stdin=theirs, stdout=theirs, stderr=theirs,
                              env=environment) as asked:
            os.close(theirs)
            told = b""
            while True:
                try:
                    piece = os.read(ours, 65536)
                except OSError:
                    break
                if not piece:
                    break
                told += piece
            asked.wait()
        os.close(ours)
        seen[verb] = told.decode().split()[-2:], RULE in told.decode()
    assert seen == {"mate": (["1", "False"], False), "size": (["0", "True"], True), "plan": (["0", "True"], True)}
    piped = subprocess.run([sys.executable, "-c", code, *WITH_TABLES["size"]], cwd=TOP, capture_output=True, text=True)
    assert piped.stdout.split()[-2:] == ["0", "False"]


def test_long_work_is_told_where_somebody_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Screen()
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setattr(sys.modules["fittings.cli.waiting"], "PATIENCE_S", 0.0)
    with waiting("reading the shelf\x1b[2J") as now:
        now("planning lift")
        until = time.monotonic() + 30
        while "planning lift" not in screen.getvalue() and time.monotonic() < until:
            time.sleep(0.01)
    told = screen.getvalue()
    assert "planning lift … 0 s" in told
    assert "\x1b" not in told
    assert told.endswith("\r") and told.rstrip("\r").split("\r")[-1].strip() == ""


def test_long_work_is_not_told_to_a_file_nor_to_the_impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    for stream in (io.StringIO(), Screen()):
        monkeypatch.setattr(sys, "stderr", stream)
        with waiting("reading the shelf"):
            pass
        assert stream.getvalue() == ""
