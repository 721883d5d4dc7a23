"""A file of questions: each row is answered as if it had been asked alone, in its place, however long the file is."""

import csv
import io
import json
import os
import random
import signal
import subprocess
import sys
from itertools import islice
from pathlib import Path

import pytest

from fittings.cli import run
from fittings.cli.join_batch import AT_ONCE, _told, join_batch, read_rows
from fittings.ends import all_ends
from fittings.limits import Limits
from fittings.reports.batch_lines import COLUMNS
from fittings.reports.spreadsheet import harmless
from fittings.search import first, search

ROWS = """id,from,to,psi,avoid,max_parts
a,ORB -6 port,JIC -8 swivel,3000,,
b,NPT 1/2 female,JIC -8 swivel,,,

c,JIC -7 male,ORB -6 port,,,
d,ORB -6 port,JIC -8 swivel,9000,,1
e,ORB -6 port,wobble,,,
f,ORB -6 port,JIC -8 swivel,many,,
g,,JIC -8 swivel,,,
h,ORB -6 port,JIC -8 swivel,3000,,,,,
"""

Capture = pytest.CaptureFixture[str]


def written(tmp_path: Path, text: str | bytes) -> str:
    path = tmp_path / "questions.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return str(path)


def table(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_every_row_is_told_in_its_place(tmp_path: Path, capsys: Capture) -> None:
    assert run(["join", "--batch", written(tmp_path, ROWS)]) == 2
    told = table(capsys.readouterr().out)
    assert tuple(told[0]) == COLUMNS
    assert [(row["line"], row["id"], row["answer"]) for row in told] == [
        ("2", "a", "chain"), ("3", "b", "chain"), ("5", "c", "not covered"), ("6", "d", "refused"), ("7", "e", "not understood"),
        ("8", "f", "bad input"), ("9", "g", "bad input"), ("10", "h", "bad input")]
    assert told[0]["parts"] == "1"
    assert "sealant" in told[1]["only_if"]  # a taper thread seals on sealant: ASME B1.20.1 pipe threads, general purpose
    assert "-7" in told[2]["why"]
    assert all(row["why"] for row in told[2:])
    assert "9 cells under 6 columns" in told[7]["why"]


@pytest.mark.parametrize(("rows", "code"), [
    ([], 0), (["ORB -6 port,JIC -8 swivel,"], 0), (["ORB -6 port,JIC -8 swivel,", "ORB -6 port,JIC -8 swivel,50000"], 1),
    (["JIC -7 male,ORB -6 port,", "ORB -6 port,JIC -8 swivel,50000"], 3), (["JIC -7 male,ORB -6 port,", "wobble,ORB -6 port,"], 2),
    (["ORB -6 port,JIC -8 swivel,50000", "wobble,ORB -6 port,"], 2),
])
def test_the_exit_code_is_that_of_the_worst_row(rows: list[str], code: int, tmp_path: Path) -> None:
    assert run(["join", "--batch", written(tmp_path, "\n".join(["from,to,psi", *rows]) + "\n")]) == code


ALONE = [
    (["ORB -6 port", "JIC -8 swivel", "--psi", "3000"], "ORB -6 port,JIC -8 swivel,3000,,,,,,"),
    (["1/2 NPT male", "-8 JIC", "--avoid", "npt", "--avoid", "bspt"], '1/2 NPT male,-8 JIC,,"npt, bspt",,,,,'),
    (["ORB -6 port", "ORB -8 port", "--max-parts", "2", "--fixed"], "ORB -6 port,ORB -8 port,,,2,,,,yes"),
    (["ORB -6 port", "JIC -6 swivel", "--shape-from", "90", "--full-bore"], "ORB -6 port,JIC -6 swivel,,,,90°,,yes,no"),
    (["ORB -6 port", "JIC -8 swivel", "--psi", "9000"], "ORB -6 port,JIC -8 swivel,9000,,,,,,"),
    (["wobble", "JIC -8 swivel"], "wobble,JIC -8 swivel,,,,,,,"),
    (["1/2 pipe thread", "JIC -8 swivel"], "1/2 pipe thread,JIC -8 swivel,,,,,,,"),
]


@pytest.mark.parametrize("form", ["csv", "json"])
def test_a_row_is_answered_as_if_asked_alone(form: str, tmp_path: Path, capsys: Capture) -> None:
    alone = []
    for words, _ in ALONE:
        code = run(["join", *words, "--json"])
        alone.append((code, json.loads(capsys.readouterr().out)))
    rows = "\n".join(["from,to,psi,avoid,max_parts,shape_from,shape_to,full_bore,fixed", *(row for _, row in ALONE)])
    code = run(["join", "--batch", written(tmp_path, rows), *(["--json"] if form == "json" else [])])
    out = capsys.readouterr().out
    assert code == 2 == max(code for code, _ in alone)
    if form == "json":
        for line, (_, answer) in zip(out.splitlines(), alone, strict=True):
            told = json.loads(line)
            assert list(told) == ["line", "id", "taken", "error", "answer"]
            typed = told["error"] and told["error"]["typed"].replace("-", "\u2212")
            taken = answer.pop("taken", None)
            assert told["answer"] == (None if "error" in answer else answer)
            assert taken in (None, [each for each in told["taken"] if each])
            assert (typed is None) == ("error" not in answer)
            if told["error"]:
                assert (told["error"]["kind"], told["error"]["text"]) == (answer["error"]["kind"], answer["error"]["text"])
        return
    for row, (_, answer) in zip(table(out), alone, strict=True):
        if "error" in answer:
            assert (row["answer"], row["why"]) == (answer["error"]["kind"], answer["error"]["text"])
        elif answer["refused"]:
            assert row["answer"] == "refused"
            assert answer["refused"]["hints"][0]["run"] in row["hint"]
        else:
            best = answer["chains"][0]
            assert row["chain"] == " + ".join(part["say"] for part in best["parts"])
            assert row["rating_psi"] == str(best["rating_psi"] or "")


def test_the_first_chain_alone_is_the_first_of_all() -> None:
    chances, ends, answered = random.Random(11), all_ends(), 0
    while answered < 60:
        pair = chances.sample(ends, 2)
        limits = Limits(psi=chances.choice((None, 1000, 3000)), shape_from=chances.choice((None, None, "90")),
                        max_parts=chances.choice((None, 2, 3)), fixed=chances.random() < 0.2, full_bore=chances.random() < 0.1,
                        avoid=chances.choice(((), ("npt",))))
        whole = search(*pair, limits)
        assert first(*pair, limits) == (whole[0] if whole else None)
        answered += bool(whole)


def test_several_cores_tell_the_same_in_the_same_order(tmp_path: Path, capsys: Capture) -> None:
    sizes = ["-4", "-6", "-8", "-10", "-12", "-16"]
    rows = [f"{number},ORB {sizes[number % 6]} port,JIC {sizes[number // 6 % 6]} swivel" for number in range(3 * AT_ONCE + 5)]
    path = written(tmp_path, "\n".join(["id,from,to", *rows, "x,wobble,"]) + "\n")
    assert run(["join", "--batch", path]) == 2
    one = capsys.readouterr().out
    assert run(["join", "--batch", path, "--jobs", "2"]) == 2
    assert capsys.readouterr().out == one
    assert [row["id"] for row in table(one)] == [*map(str, range(3 * AT_ONCE + 5)), "x"]


class Endless(io.StringIO):
    """A file of questions that never ends, and how many lines of it were read."""

    read_so_far = 0

    def readline(self, size: int | None = -1, /) -> str:
        self.read_so_far += 1
        return "from,to\n" if self.read_so_far == 1 else "ORB -6 port,JIC -8 swivel\n"


@pytest.mark.parametrize("jobs", [1, 2])
def test_nothing_is_read_far_ahead(jobs: int) -> None:
    file = Endless()
    told = _told(read_rows(file, "endless"), jobs, 1, False)
    some = list(islice(told, 3))
    told.close()  # type: ignore[attr-defined]
    assert sum(codes.total() for _, codes in some) == 3 * AT_ONCE
    assert file.read_so_far <= 1 + (3 + 4 * jobs) * AT_ONCE


def _heard() -> None:
    """Ctrl-C is heard, also where the tests themselves run in the background of a shell, which makes it deaf to that."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def test_an_interrupt_from_the_terminal_ends_every_core(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    path.write_text("from,to,psi\n" + "".join(f"ORB -6 port,JIC -8 swivel,{number + 1000}\n" for number in range(100_000)), "utf-8")
    for _ in range(3):
        with subprocess.Popen([sys.executable, "-m", "fittings", "join", "--batch", str(path), "--jobs", "2"], stdout=subprocess.PIPE,
                              stderr=subprocess.PIPE, start_new_session=True, preexec_fn=_heard) as process:
            assert process.stdout is not None
            process.stdout.read(20_000)
            os.killpg(process.pid, signal.SIGINT)
            _, said = process.communicate(timeout=60)
        assert process.returncode == 130
        assert b"Traceback" not in said


def test_from_stdin(tmp_path: Path) -> None:
    done = subprocess.run([sys.executable, "-m", "fittings", "join", "--batch", "-"], input=ROWS.encode("utf-8-sig"),
                          capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (2, b"")
    assert len(table(done.stdout.decode())) == 8


@pytest.mark.parametrize(("text", "wrong"), [
    ("", "must name the columns"), ("from,too\n", "no such column: too"), ("from,psi\n", "must name the columns"),
    ("from,to,presure\n", "no such column: presure"), ("from,to,to\n", "each column once"), ("id,name,from,to\n", "keep one"), ("from,to\n" + "x" * 30_000, "longer than"),
])
def test_no_table_of_questions(text: str, wrong: str, tmp_path: Path, capsys: Capture) -> None:
    assert run(["join", "--batch", written(tmp_path, text)]) == 2
    assert wrong in capsys.readouterr().err


@pytest.mark.parametrize("label", ["id", "name", "Name"])
def test_a_label_is_called_name_or_id(label: str, tmp_path: Path, capsys: Capture) -> None:
    assert run(["join", "--batch", written(tmp_path, f"{label},from,to\na,ORB -6 port,JIC -8 swivel\n")]) == 0
    assert table(capsys.readouterr().out)[0]["id"] == "a"


def test_no_file(tmp_path: Path, capsys: Capture) -> None:
    assert run(["join", "--batch", str(tmp_path / "none.csv"), "--json"]) == 2
    assert "cannot be read" in json.loads(capsys.readouterr().out)["error"]["text"]


@pytest.mark.parametrize("words", [["ORB -6 port", "JIC -8 swivel"], ["--psi", "3000"], ["--stock", "shelf.csv"], ["--fixed"]])
def test_the_file_alone_says_what_is_asked(words: list[str], tmp_path: Path, capsys: Capture) -> None:
    assert run(["join", *words, "--batch", written(tmp_path, ROWS)]) == 2
    assert "from the file alone" in capsys.readouterr().err


def test_jobs_go_only_with_a_batch(capsys: Capture) -> None:
    assert run(["join", "ORB -6 port", "JIC -8 swivel", "--jobs", "2"]) == 2
    assert "only with --batch" in capsys.readouterr().err


@pytest.mark.parametrize("head", ["from;to;psi", "From\tTO\tPsi", "\ufeffto,from,psi", "--from,--to,PSI"])
def test_tables_as_spreadsheets_write_them(head: str, tmp_path: Path, capsys: Capture) -> None:
    sign = next(each for each in ";\t," if each in head)
    assert run(["join", "--batch", written(tmp_path, f"{head}\r\n{sign.join(['ORB -6 port', 'JIC -8 swivel', '3000'])}\r\n")]) == 0
    assert table(capsys.readouterr().out)[0]["answer"] == "chain"


def test_what_cannot_be_text_spoils_its_own_row_only(tmp_path: Path, capsys: Capture) -> None:
    path = written(tmp_path, b"from,to\nORB -6 port,JIC -8 \xff\nORB\0,JIC\n" + b'"' + b"x" * 15_000 + b"\n" * 3 + b'",y\nORB -6 port,JIC -8 swivel\n')
    assert run(["join", "--batch", path]) == 2
    told = table(capsys.readouterr().out)
    assert [row["answer"] == "chain" for row in told] == [False, False, False, True]
    assert told[-1]["line"] == "8"


def test_no_cell_is_a_formula(tmp_path: Path, capsys: Capture) -> None:
    # The openings that spreadsheets take for a formula: the list that security guides give, from memory, and the same signs in full width.
    evil = ["=1+1", "+1+1", "-1+1|x", "@SUM(1)", "\t=1", "\uff1d1", " =1", "-8 JIC", "\u22121+1"]
    rows = [f'"{each}","{each}","{each}"' for each in evil]
    assert run(["join", "--batch", written(tmp_path, "\n".join(["id,from,to", *rows]))]) == 2
    for row in table(capsys.readouterr().out):
        for cell in row.values():
            assert not cell.lstrip().startswith(("=", "+", "-", "@", "\uff1d", "\u2212"))


@pytest.mark.parametrize("cell", ["-8", "-12.5", "", "ORB -8 port", "3000", "90°, ORB"])
def test_what_is_no_formula_stays(cell: str) -> None:
    assert harmless(cell) == cell


@pytest.mark.parametrize("form", [[], ["--json"]])
def test_nothing_in_a_file_steers_the_terminal(form: list[str], tmp_path: Path, capsys: Capture) -> None:
    run(["join", "--batch", written(tmp_path, "id,from,to\na\x1b[2J\u202e,ORB\x9b\x1b[2J -6 port,JIC\u200f -8 swivel\n"), *form])
    out = capsys.readouterr().out
    assert out.isascii() or not set(out) & set("\x1b\x9b\u202e\u200f")
    assert "\x1b" not in out


def test_progress_is_told_only_to_a_terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    path = written(tmp_path, "from,to\nORB -6 port,JIC -8 swivel\n")
    join_batch(path, 1, 1, False)
    assert capsys.readouterr().err == ""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    join_batch(path, 1, 1, False)
    assert "1 asked: 1 answered" in capsys.readouterr().err
