"""What a hostile or broken file, a full disk or a killed process may do: nothing. A small budget of tests/fuzz, every case that once failed,
each step of writing a file interrupted once, and what goes out searched for formulas, markup, fetches and code that data could reach."""

import ast
import contextlib
import csv
import errno
import io
import json
import os
import random
import re
import signal
import stat
import subprocess
import sys
import zipfile
from collections.abc import Callable
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from fuzz.attacks import ATTACKS
from fuzz.jobs import hold_job, hold_saved
from fuzz.tables import hold_batch, hold_questions, is_formula
from fuzz.words import hold_notation, hold_quantity, hold_reading

from fittings.cli import run
from fittings.job.mistakes import BadJob
from fittings.job.plan import plan_file, plan_text_of
from fittings.job.reading import read_job
from fittings.reports import files
from fittings.reports.as_json import dumps
from fittings.reports.bill import bill_csv, bill_xlsx
from fittings.reports.files import write_whole
from fittings.reports.plan_json import plan_json
from fittings.reports.sheet import sheet_html

TOP = Path(__file__).resolve().parent.parent
PACKAGE = TOP / "fittings"
DEMO = (TOP / "docs" / "examples" / "log-lift.toml").read_text("utf-8")
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(TOP)}

# --- a small budget of the attacks; FITTINGS_FUZZ multiplies it --------------------------------------------------------

BUDGET = {"words": 300, "amounts": 100, "readings": 60, "talks": 12, "jobs": 60, "plans": 10, "saved": 15, "shelves": 80, "books": 12, "batches": 40, "questions": 40, "verbs": 10}


@pytest.mark.parametrize("name", ATTACKS)
def test_attack(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    attack, ended = ATTACKS[name], set()
    for number in range(BUDGET[name] * int(os.environ.get("FITTINGS_FUZZ", "1"))):
        ended.add(attack.hold(attack.case(random.Random(f"26 {number}"))))
    assert len(ended) > 1  # an attack of which every case ends alike attacks nothing


# --- what failed once --------------------------------------------------------------------------------------------------

DIGITS = "9" * 5000
FAILED_ONCE: list[tuple[Callable[..., str], object, str]] = [
    # a number that Python refuses to read, in two formats; and ones that cannot be reckoned with
    (hold_job, f"{DEMO}\n[x]\ny = {DIGITS}\n", "mistakes"),
    (hold_job, DEMO.replace('"11 gpm"', "9" * 400), "mistakes"),
    (hold_job, DEMO.replace('"11 gpm"', "0x" + "f" * 5000), "mistakes"),
    # half a sign, which no file can hold and a text in the program can
    (hold_job, DEMO.replace("11 gpm", "11\udfff gpm"), "mistakes"),
    (hold_saved, '{"lines": [], "x": ' + DIGITS + "}", "no plan"),
    (hold_saved, '{"lines": [], "x": NaN}', "no plan"),
    (hold_saved, '{"lines": [{"name": "a", "kind": "work", "max_psi": 1, "flow_gpm": 1}], "system": {"relief_psi": ' + "9" * 400 + "}}", "flaws"),
    (hold_saved, '{"lines": [{"name": "a", "max_psi": 1e999, "kind": "drain"}]}', "flaws"),
    # minutes and gigabytes for one key
    (hold_job, ".".join("a" * 100_000) + " = 1", "mistakes"),
    (hold_job, "[" + ".".join("a" * 100_000) + "]", "mistakes"),
    (hold_job, "title = " + "[" * 400 + "]" * 400, "mistakes"),
    # a decimal point and a comma in one number, and ranges of ranges of ranges
    (hold_reading, "1.234,5 ", "refused"),
    (hold_reading, "1 to " * 3000, "refused"),
    (hold_reading, "1.." * 3000, "refused"),
    # feet were not held to what is large, and a plan not to any number of lines
    (hold_quantity, "7777777777777777777777777777777'6\"", "refused"),
    (hold_saved, '{"lines": [' + "{}," * 5_000 + "{}]}", "no plan"),
    (hold_saved, '{"lines": [' + ('{"branches":[' * 300 + "]}" * 300 + ",") * 20 + "{}]}", "no plan"),
    # a quotation mark that is never closed, beyond what the reader of CSV holds
    (hold_batch, b'od,tpi\n"' + b"1" * 200_000 + b'",3\n', "no table"),
    (hold_batch, b"od" + b"x" * 200_000, "no table"),
    # a bare return in a cell began a row of its own, with a formula in it
    (hold_questions, b'from;to\nJIC -8 male;"x\r=1+1"\n', "exit 2"),
]


@pytest.mark.parametrize("hold, case, ended", FAILED_ONCE, ids=[f"{hold.__name__} {number}" for number, (hold, _, _) in enumerate(FAILED_ONCE)])
def test_what_failed_once(hold: Callable[..., str], case: object, ended: str) -> None:
    assert hold(case) == ended


def test_thousands_of_mistyped_ports_are_told_in_few_words() -> None:
    count = 500
    text = '[system]\nrelief = "2500 psi"\nflow = "8 gpm"\n' + "".join(
        f'[[component]]\nname = "v{n}"\nports = {{ A = "ORB -8 port" }}\n[[line]]\nname = "l{n}"\nfrom = "v{n}.A"\nto = "q{n}.A"\n' for n in range(count))
    with pytest.raises(BadJob) as caught:
        read_job(text)
    assert len(caught.value.mistakes) == count
    assert max(len(each.say()) for each in caught.value.mistakes) < 1500


def test_the_same_words_hold_for_quantities_and_notation() -> None:
    """Texts that are no size of anything, through every reader of words."""
    for text in ("", "\0", "‮", "1/0", "½½", "9" * 400, "x" * 1_000_000, "\ud800", "1e400 in", "nan psi", "-0 C", "٣/٤ NPT", "JIC -8 male\0"):
        assert hold_notation(text) in ("read", "not understood", "ambiguous", "not covered")
        assert hold_quantity(text) in ("read", "refused")
        assert hold_reading(text) in ("read", "refused")


# --- files that are none -----------------------------------------------------------------------------------------------

READING_VERBS = (["plan"], ["check"], ["stock"], ["identify", "--batch"], ["join", "--batch"], ["join", "JIC -8 male", "JIC -6 male", "--stock"])


@pytest.mark.parametrize("words", READING_VERBS, ids=" ".join)
@pytest.mark.parametrize("kind", ["device without end", "folder", "empty", "binary", "loop", "link to nothing", "utf-16", "no name"])
def test_what_is_no_such_file_ends_with_a_word(words: list[str], kind: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    place = tmp_path / "given"
    if kind == "device without end":
        place = Path("/dev/zero")
    elif kind == "folder":
        place.mkdir()
    elif kind == "binary":
        place.write_bytes(bytes(range(256)) * 40)
    elif kind == "loop":
        place.symlink_to(place)
    elif kind == "link to nothing":
        place.symlink_to(tmp_path / "nowhere")
    elif kind == "utf-16":
        place.write_bytes(DEMO.encode("utf-16"))
    elif kind == "empty":
        place.write_bytes(b"")
    code = run([*words, "" if kind == "no name" else str(place)])
    out, err = capfd.readouterr()
    assert code == 2 and err.startswith("bad input") and not out, (code, out[:200], err[:200])


def test_a_pressure_of_four_hundred_digits_in_a_saved_plan_is_a_flaw() -> None:
    saved = re.sub(r'"rating_psi": [0-9.]+', f'"rating_psi": {10**400}', dumps(plan_json(plan_text_of(DEMO))), count=3)
    assert str(10**400) in saved
    assert hold_saved(saved) == "flaws"


def test_a_plan_can_be_checked_through_a_pipe() -> None:
    saved = dumps(plan_json(plan_text_of(DEMO)))
    done = subprocess.run([sys.executable, "-m", "fittings", "check", "/dev/stdin"], input=saved, env=ENVIRONMENT, capture_output=True, text=True)
    assert done.returncode == 0 and "STANDS" in done.stdout, done.stderr


def test_byte_order_marks_and_windows_lines_are_read(tmp_path: Path) -> None:
    for content in (b"\xef\xbb\xbf" + DEMO.encode(), DEMO.replace("\n", "\r\n").encode()):
        (tmp_path / "job.toml").write_bytes(content)
        assert plan_file(str(tmp_path / "job.toml")).title == plan_text_of(DEMO).title


@pytest.mark.parametrize("member, content", [
    ("xl/worksheets/sheet1.xml", b" " * 60_000_000), ("xl/anything", b"\0" * 60_000_000),
], ids=["sheet", "other"])
def test_a_workbook_that_swells_is_not_unpacked(member: str, content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with zipfile.ZipFile(tmp_path / "bomb.xlsx", "w", zipfile.ZIP_DEFLATED, compresslevel=1) as packed:
        packed.writestr(member, content)
    assert (tmp_path / "bomb.xlsx").stat().st_size < 400_000
    assert run(["stock", str(tmp_path / "bomb.xlsx")]) == 2
    assert "too large" in capsys.readouterr().err


# --- outputs that fail -------------------------------------------------------------------------------------------------

def _shell(line: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(["bash", "-c", line.replace("FITTINGS", f"{sys.executable} -m fittings")], env=ENVIRONMENT, capture_output=True, text=True)


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no /dev/full here")
@pytest.mark.parametrize("line, code, told", [
    ("FITTINGS mate 'ORB -6 port' 'ORB -6 male' >/dev/full", 2, "bad input: the answer cannot be written: No space left on device\n"),
    ("FITTINGS mate nope nope --json >/dev/full", 2, "bad input: the answer cannot be written: No space left on device\n"),
    ("FITTINGS mate 'ORB -6 port' 'ORB -6 male' >&-", 2, "bad input: the answer cannot be written: standard output is closed\n"),
    ("FITTINGS mate nope nope 2>/dev/full", 2, ""),
    ("FITTINGS mate nope nope >&- 2>&-", 2, ""),
    ("FITTINGS sources | head -1 >/dev/null; exit ${PIPESTATUS[0]}", 0, ""),
    ("(echo from,to; yes 'JIC -8 male,ORB -8 port' | head -3000) | FITTINGS join --batch - | head -1 >/dev/null; exit ${PIPESTATUS[1]}", 0, ""),
    ("FITTINGS identify <&-", 2, "not understood: no reading was given\nfor example: fittings identify --od \"14.2 mm\" --tpi 18 --male\n"),
    ("PYTHONIOENCODING=ascii FITTINGS show 'ORB -6 port' >/dev/null", 0, ""),
])
def test_an_answer_that_cannot_be_given_ends_with_a_word(line: str, code: int, told: str) -> None:
    done = _shell(line)
    assert (done.returncode, done.stderr) == (code, told)


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="no groups of processes here")
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_ctrl_c_ends_a_long_batch_with_a_word(jobs: str) -> None:
    """Sent as a terminal sends it: to every process of the group. With several cores this once waited without end."""
    started = subprocess.Popen([sys.executable, "-m", "fittings", "join", "--batch", "-", "--jobs", jobs], env=ENVIRONMENT, stdin=subprocess.PIPE,
                               stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True,
                               preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL))  # a test in the background is deaf to it
    assert started.stdin is not None and started.stdout is not None and started.stderr is not None
    started.stdin.write(b"from,to\n" + b"JIC -8 male,ORB -8 port\n" * 2000)
    started.stdin.flush()
    started.stdout.read(20_000)  # the cores are at work
    os.killpg(started.pid, signal.SIGINT)
    started.stdout.close()
    assert started.wait(60) == 130
    assert started.stderr.read() == b"stopped\n"
    started.stderr.close()
    with contextlib.suppress(BrokenPipeError):
        started.stdin.close()


# --- a file is whole at every moment -----------------------------------------------------------------------------------

STEPS = ("tempfile.mkstemp", "os.fdopen", "os.fsync", "os.chown", "os.chmod", "os.replace")


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("error", [OSError(errno.ENOSPC, "No space left on device"), KeyboardInterrupt(), MemoryError()], ids=lambda each: type(each).__name__)
def test_a_step_that_fails_leaves_the_old_file_and_nothing_beside_it(
        step: str, error: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "sheet.html"
    target.write_text("old")
    module, name = step.split(".")

    def fail(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr(getattr(files, module), name, fail)
    # who may not give a file away writes it all the same
    if step == "os.chown" and isinstance(error, OSError):
        write_whole(str(target), "new")
    else:
        with pytest.raises(type(error)):
            write_whole(str(target), "new")
    monkeypatch.undo()
    assert target.read_text() == ("new" if step == "os.chown" and isinstance(error, OSError) else "old")
    assert [each.name for each in tmp_path.iterdir()] == ["sheet.html"]


KILLED = """
import os, signal, sys, tempfile
from fittings.reports import files
step, path = sys.argv[1:]
module, name = step.split(".")
real = getattr(globals()[module], name)
def killed(*given, **named):
    if name == "replace" and len(sys.argv[1]) % 2:
        real(*given, **named)
    os.kill(os.getpid(), signal.SIGKILL)
setattr(getattr(files, module), name, killed)
files.write_whole(path, "new")
"""


@pytest.mark.parametrize("step", STEPS[1:])
def test_a_process_killed_at_a_step_leaves_a_whole_file(step: str, tmp_path: Path) -> None:
    target = tmp_path / "sheet.html"
    target.write_text("old")
    done = subprocess.run([sys.executable, "-c", KILLED, step, str(target)], env=ENVIRONMENT)
    assert done.returncode == -signal.SIGKILL
    assert target.read_text() in ("old", "new")
    beside = [each.name for each in tmp_path.iterdir() if each.name != "sheet.html"]
    # what a killed process cannot take away says what it is
    assert all(re.fullmatch(r"\.sheet\.html\..{8}\.unfinished", name) for name in beside) and len(beside) <= 1


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with a name here")
def test_what_is_no_file_is_written_into_and_never_replaced(tmp_path: Path) -> None:
    """A device or a pipe under that name stays one."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = subprocess.Popen([sys.executable, "-c", f"print(open({str(pipe)!r}).read())"], stdout=subprocess.PIPE, text=True)
    write_whole(str(pipe), "through the pipe")
    assert reader.communicate()[0] == "through the pipe\n"
    assert stat.S_ISFIFO(pipe.stat().st_mode)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root may make a device")
def test_a_device_stays_a_device(tmp_path: Path) -> None:
    device = tmp_path / "null"
    try:
        os.mknod(device, 0o666 | stat.S_IFCHR, os.makedev(1, 3))
        write_whole(str(device), "gone")
    except PermissionError:
        pytest.skip("no devices may be made or used in this folder")
    assert stat.S_ISCHR(device.stat().st_mode)


def test_links_rights_and_write_protection_are_kept(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    target, link = tmp_path / "real" / "a.svg", tmp_path / "link.svg"
    target.write_text("old")
    target.chmod(0o640)
    link.symlink_to(target)
    write_whole(str(link), "new")
    assert link.is_symlink() and target.read_text() == "new" and stat.S_IMODE(target.stat().st_mode) == 0o640
    dangling = tmp_path / "dangling.svg"
    dangling.symlink_to(tmp_path / "real" / "b.svg")
    write_whole(str(dangling), "new")
    assert dangling.is_symlink() and (tmp_path / "real" / "b.svg").read_text() == "new"
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    for place in (tmp_path / "loop", tmp_path / "real", tmp_path / "nowhere" / "a.svg", tmp_path / ("a" * 300), target / "a.svg"):
        with pytest.raises(OSError):
            write_whole(str(place), "new")
    if os.geteuid():
        target.chmod(0o440)
        with pytest.raises(PermissionError, match="write-protected"):
            write_whole(str(target), "newer")
        assert target.read_text() == "new"
        (tmp_path / "real").chmod(0o500)
        with pytest.raises(PermissionError):
            write_whole(str(tmp_path / "real" / "c.svg"), "new")
        (tmp_path / "real").chmod(0o700)
    assert not [path for path in tmp_path.rglob("*unfinished*")]


def test_a_disk_that_is_full_is_told(tmp_path: Path) -> None:
    """Files of 1000 bytes at most; the gauge is larger."""
    (tmp_path / "gauge.svg").write_text("old")
    done = subprocess.run(["bash", "-c", f"ulimit -f 1; {sys.executable} -m fittings gauge --out gauge.svg"], cwd=tmp_path,
                          env=ENVIRONMENT | {"PYTHONDONTWRITEBYTECODE": "1"}, capture_output=True, text=True)
    assert done.returncode == 2 and "gauge.svg cannot be written" in done.stderr and "Traceback" not in done.stderr
    assert (tmp_path / "gauge.svg").read_text() == "old" and len(list(tmp_path.iterdir())) == 1


# --- what goes out is harmless -----------------------------------------------------------------------------------------

FORMULAS = ("=1+1", "+1+1", "-1+1", "@SUM(1)", "=HYPERLINK(\\\"http://x\\\",\\\"y\\\")", "=cmd|' /C calc'!A0", "\uff1d1+1", "'=1", "\\\"=1\\\"", "x\\r\\n=1", "x\\n=1")
MARKUP = ("<script>alert(1)</script>", "</style><img src=http://x/y onerror=z>", "&lt;b&gt;", "]]>", "{{ 7*7 }}", "{% raw %}", "url(http://x)",
          "<svg onload=alert(1)>", "javascript:alert(1)", "\\u202eevil", "\\u0000\\u001b[2J", "\\\" onmouseover=\\\"x", "' onload='x", "<!--", "<?xml", "<!ENTITY x>")


def _job(evil: str) -> str:
    """A job in which every text that is free says the same."""
    return f"""
title = "{evil}"
[system]
relief = "2500 psi"
flow = "8 gpm"
[[component]]
name = "{evil} 1"
kind = "valve"
ports = {{ "{evil}" = "ORB -8 port", B = "ORB -8 port" }}
[[component]]
name = "{evil} 2"
cylinder = {{ bore = "2 in", rod = "1.25 in", stroke = "12 in" }}
ports = {{ cap = "BSPP 3/8 port", rod = "JIC -6 male" }}
back_driven = true
[[line]]
name = "{evil}"
from = "{evil} 1.{evil}"
to = "{evil} 2.cap"
route = {{ length = "40 in" }}
[[line]]
name = "{evil} back"
from = "{evil} 1.B"
to = "{evil} 2.rod"
route = {{ swing = {{ pivot_to_from = "10 in", pivot_to_to = "14 in", angle = ["40 deg", "150 deg"] }} }}
"""


@pytest.mark.parametrize("evil", FORMULAS)
def test_no_cell_of_a_bill_is_a_formula(evil: str) -> None:
    planned = plan_text_of(_job(evil))
    rows = list(csv.reader(io.StringIO(bill_csv(planned.bill), newline="")))
    assert len(rows) == len(planned.bill) + 1 and {len(row) for row in rows} == {len(rows[0])}
    assert [cell for row in rows for cell in row if is_formula(cell)] == []
    # a spreadsheet may take a bare return in a cell that is not in quotes for the end of a row
    assert not re.search(r'(?m)(^|,)[=+@]', re.sub(r'"(?:[^"]|"")*"', "", bill_csv(planned.bill)))


@pytest.mark.parametrize("evil", FORMULAS[:6])
def test_no_cell_of_a_workbook_is_a_formula(evil: str) -> None:
    openpyxl = pytest.importorskip("openpyxl")
    content = bill_xlsx(plan_text_of(_job(evil)).bill)
    sheet = openpyxl.load_workbook(io.BytesIO(content)).worksheets[0]
    assert {cell.data_type for row in sheet.iter_rows() for cell in row if cell.value is not None} <= {"s", "n"}
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        assert not [name for name in packed.namelist() if "external" in name.lower() or "vba" in name.lower()]
        assert b"<f>" not in packed.read("xl/worksheets/sheet1.xml")


FETCHING_TAGS = {"script", "link", "img", "iframe", "frame", "object", "embed", "base", "form", "audio", "video", "source", "use", "image", "foreignobject",
                 "a", "animate", "set", "feimage"}
FETCHING_ATTRIBUTES = {"src", "href", "srcset", "action", "data", "poster", "background", "formaction", "xlink:href", "ping", "manifest"}
FETCHING_STYLE = re.compile(r"url\s*\(|@import|@font-face|image-set|expression\s*\(", re.IGNORECASE)


class _Page(HTMLParser):
    """What a browser acts on: tags, attributes and styles; `acts` holds what would fetch or run something."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.acts: list[str] = []
        self.in_style = False
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.in_style = tag == "style"
        self.acts += [tag] if tag in FETCHING_TAGS else []
        self.acts += [f"{tag} {name}" for name, _ in attrs if name in FETCHING_ATTRIBUTES or name.startswith("on")]
        self.acts += [f"{tag} {name}" for name, value in attrs
                      if name not in ("aria-label", "aria-labelledby") and (FETCHING_STYLE.search(value or "") or "javascript:" in (value or ""))]
        self.acts += [f"{tag} {name}" for name, value in attrs if "://" in (value or "") and value != "http://www.w3.org/2000/svg" and name != "aria-label"]

    def handle_endtag(self, tag: str) -> None:
        self.in_style = False

    def handle_data(self, data: str) -> None:
        if self.in_style and FETCHING_STYLE.search(data):
            self.acts.append("style")

    def handle_comment(self, data: str) -> None:
        self.acts.append("comment")

    def handle_pi(self, data: str) -> None:
        if not data.startswith("xml "):
            self.acts.append("instruction")


def test_the_search_for_fetches_finds_them() -> None:
    for page in ('<img src="x">', "<a href='http://x'>", '<p style="background:url(x)">', "<style>@import 'x'</style>", '<svg onload="x">', "<script>", "<!-- x -->",
                 '<rect fill="url(#x)"/>', '<svg xmlns="http://elsewhere">'):
        assert _Page(page).acts, page
    assert not _Page('<svg xmlns="http://www.w3.org/2000/svg"><title>url(x) http://x</title></svg>').acts


@pytest.mark.parametrize("evil", MARKUP)
def test_no_page_carries_markup_from_a_job_or_fetches_anything(evil: str) -> None:
    page = sheet_html(plan_text_of(_job(evil)))
    read = _Page(page)
    assert read.acts == []
    assert read.tags <= _Page(_bare()).tags | {"tspan", "g", "path", "polyline", "ellipse"}
    assert "49" not in re.findall(r"<h1><bdi>(.*?)</bdi>", page)
    assert not re.search("[\u202a-\u202e\u2066-\u2069\x00-\x08\x1b]", page)


@cache
def _bare() -> str:
    return sheet_html(plan_text_of(_job("x")))


def test_drawings_and_gauge_fetch_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(["gauge", "--out", "gauge.html"]) == run(["gauge", "--out", "gauge.svg"]) == 0
    assert run(["mate", "JIC -6 male", "JIC -6 swivel", "--svg", "pair.svg"]) == run(["show", "ORB -6 port", "--svg", "end.svg"]) == 0
    assert run(["join", "ORB -6 port", "JIC -8 swivel", "--svg", "chain.svg"]) == 0
    capsys.readouterr()
    drawn = sorted(tmp_path.iterdir())
    assert len(drawn) >= 5
    for path in drawn:
        text = path.read_text("utf-8")
        assert not _Page(text).acts, path.name  # a name space is a name and is not fetched


def test_nothing_is_written_where_a_job_file_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """A job file names one file, the shelf; it is read and never written, and no name of a job becomes the name of a file."""
    (tmp_path / "job").mkdir()
    (tmp_path / "work").mkdir()
    shelf = tmp_path / "shelf.csv"
    shelf.write_text("qty,part\n1,ORB -8 male x JIC -8 male\n")
    (tmp_path / "job" / "job.toml").write_text(_job("../../evil.svg") + '[stock]\nfile = "../shelf.csv"\n')
    monkeypatch.chdir(tmp_path / "work")
    assert run(["plan", "../job/job.toml", "--bill", "bill.csv", "--sheet", "sheet.html"]) in (0, 1)
    assert run(["check", "../job/job.toml"]) in (0, 1)
    capsys.readouterr()
    assert {str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*") if path.is_file()} == {
        "job/job.toml", "shelf.csv", "work/bill.csv", "work/sheet.html"}
    assert shelf.read_text().startswith("qty,part\n1,")


# --- no code is run from data ------------------------------------------------------------------------------------------

RUNS_CODE = {"eval", "exec", "compile", "__import__", "execfile", "system", "popen", "spawnv", "spawnl", "execv", "execve", "startfile"}
LOADS_CODE = {"pickle", "cPickle", "marshal", "shelve", "subprocess", "yaml", "dill", "ctypes", "code", "codeop", "runpy", "socket", "urllib", "http", "requests",
              "ftplib", "smtplib", "webbrowser", "xmlrpc"}


WORTH_READING = re.compile("|".join([*RUNS_CODE, *LOADS_CODE, "import_module", "render_template_string", "from_string", "shell"]))


def _runs_code(tree: ast.AST) -> list[str]:
    """Calls that run code or load it, of modules that do, and of modules whose name is not written down."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names if alias.name.split(".")[0] in LOADS_CODE]
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found += [node.module] if node.module.split(".")[0] in LOADS_CODE else []
        elif isinstance(node, ast.Call):
            called = node.func.attr if isinstance(node.func, ast.Attribute) else node.func.id if isinstance(node.func, ast.Name) else ""
            builtin = isinstance(node.func, ast.Name) or (isinstance(node.func.value, ast.Name) and node.func.value.id in ("os", "builtins")
                                                          if isinstance(node.func, ast.Attribute) else False)
            if called in RUNS_CODE and builtin:
                found.append(f"{called}()")
            if called in ("import_module", "render_template_string", "from_string", "load_module") and not (
                    node.args and isinstance(node.args[0], (ast.Constant, ast.JoinedStr))):
                found.append(f"{called}() of what is not written down")
            if any(word.arg == "shell" for word in node.keywords):
                found.append("shell=")
    return found


@pytest.mark.parametrize("text", ["eval(x)", "exec('x')", "import pickle", "from os import path\nos.system(x)", "import subprocess", "__import__(x)",
                                  "import_module(name)", "import yaml", "run(x, shell=True)", "environment.from_string(x)"])
def test_the_search_for_code_finds_it(text: str) -> None:
    assert _runs_code(ast.parse(text))


def test_no_code_is_run_from_data() -> None:
    """Of all modules: what would run text as code, or fetch anything from elsewhere, is not even imported. `import_module` is given names
    that are written in the code; a name put together may only choose among our own rooms."""
    found, names = {}, []
    for path in PACKAGE.rglob("*.py"):
        text = path.read_text("utf-8")
        if not WORTH_READING.search(text):
            continue
        tree = ast.parse(text)
        if wrong := _runs_code(tree):
            found[str(path.relative_to(TOP))] = wrong
        names += [node.args[0] for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
                  and node.func.id == "import_module" and isinstance(node.args[0], ast.JoinedStr)]
    assert found == {}
    assert names and all(isinstance(each.values[0], ast.Constant) and str(each.values[0].value).startswith("fittings.") for each in names)


@pytest.mark.parametrize("words", [["show", "ORB -6 port"], ["show", "90 ORB -6 male x JIC -6 male"], ["mate", "JIC -6 male", "JIC -6 swivel"],
                                   ["join", "ORB -6 port", "JIC -8 swivel"], ["join", "ORB -8 port", "JIC -6 swivel", "JIC -6 swivel"]], ids=" ".join)
def test_a_drawing_that_cannot_be_written_is_one_answer(words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Not the answer and then, as a second JSON document, the failure."""
    assert run([*words, "--svg", str(tmp_path / "nowhere" / "a.svg"), "--json"]) == 2
    assert "error" in json.loads(capsys.readouterr().out)


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} in JSON")


def test_json_says_no_word_that_is_no_json(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Neither NaN nor Infinity, whatever was typed."""
    for words in (["size", "--flow", "1e-300 gpm"], ["size", "--flow", "1 gpm", "--bore", "1e-300 in"], ["cylinder", "--bore", "1e8 in", "--rod", "0.1 in"],
                  ["size", "--flow", "0 gpm"], ["cylinder", "--bore", "1 in", "--rod", "1 in", "--flow", "0 gpm", "--stroke", "1 in"],
                  ["cylinder", "--bore", "2 in", "--rod", "1 in", "--psi", "0", "--load", "1 lbf"]):
        assert run([*words, "--json"]) in (0, 1, 2)
        json.loads(capsys.readouterr().out, parse_constant=_no_constant)
