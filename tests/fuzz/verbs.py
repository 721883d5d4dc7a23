"""Attacks on the command line, verb by verb, in one process. Law: an exit code of the design, never our fault, never a traceback, and JSON that
is JSON where JSON was asked for.

Everything runs in a folder of its own. No argument names a place outside it: a verb that writes, writes where it is told.
"""

import io
import json
import os
import random
import sys
import tempfile
from contextlib import redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path

from fuzz.jobs import jobs
from fuzz.signs import mutated, noise, strange
from fuzz.tables import FORMULAS
from fuzz.words import AMOUNTS, typed

from fittings.cli import VERBS, run

CODES = (0, 1, 2, 3)
FILES = ("job.toml", "other.toml", "shelf.csv", "shelf.xlsx", "plan.json", "list.csv", "broken.toml", "empty", "folder", "loop", "missing.toml", "binary")
OUTPUTS = ("out.svg", "out.html", "folder", "loop", "nowhere/out.svg", "job.svg", "OUT.SVG", "a" * 300 + ".svg", "ü.svg", ".svg", "out.csv", "out.xlsx", "")
OPTIONS = {
    "show": ("--svg", "--json"), "mate": ("--material", "--svg", "--json"),
    "join": ("--psi", "--avoid", "--max-parts", "--shape-from", "--shape-to", "--full-bore", "--fixed", "--stock", "--best", "--batch", "--svg", "--json"),
    "identify": ("--od", "--id", "--pitch", "--tpi", "--male", "--female", "--taper", "--straight", "--seat", "--nose", "--chamfer", "--no-chamfer", "--swivel",
                 "--fixed", "--bore", "--hex", "--flank", "--marking", "--country", "--from", "--plus-minus", "--instrument", "--batch", "--json"),
    "plan": ("--stock", "--bill", "--sheet", "--counter", "--json"), "check": ("--json",), "new": ("--force", "--json"), "stock": ("--json",),
    "size": ("--flow", "--psi", "--kind", "--bore", "--length", "--viscosity", "--density", "--units", "--json"),
    "cylinder": ("--bore", "--rod", "--stroke", "--psi", "--flow", "--load", "--units", "--json"), "gauge": ("--out", "--paper", "--json"), "sources": ("--json",),
}
FLAGS = ("--json", "--male", "--female", "--taper", "--straight", "--chamfer", "--no-chamfer", "--swivel", "--fixed", "--full-bore", "--counter", "--force")
WORDS = ("npt", "jic,npt", "steel", "brass", "both", "inch", "metric", "a4", "letter", "pressure", "drain", "90", "45", "cone", "plain", "caliper", "Japan",
         "memory", "iso-8434-1", "3", "0", "-5", "99", "3000", "210 bar", "nan", "inf", "1e400", "--", "-", "--help", "9" * 400, "37")
WRITES = ("--svg", "--bill", "--sheet", "--out")
READS = ("--stock", "--batch")


def _word(rng: random.Random) -> str:
    return rng.choice((
        lambda: rng.choice(typed()), lambda: rng.choice(typed()), lambda: mutated(rng.choice(typed()), rng, typed()), lambda: rng.choice(AMOUNTS),
        lambda: mutated(rng.choice(AMOUNTS), rng), lambda: rng.choice(WORDS), lambda: noise(rng), lambda: strange(rng), lambda: rng.choice(FORMULAS),
        lambda: rng.choice(typed()) + " to " + rng.choice(typed()),
    ))()


def _value(option: str, rng: random.Random) -> list[str]:
    if option in FLAGS:
        return []
    if option in WRITES:
        return [rng.choice(OUTPUTS)]
    if option in READS:
        return [rng.choice(FILES)]
    if option in ("--psi", "--flow", "--bore", "--rod", "--stroke", "--length", "--load", "--od", "--id", "--hex") and rng.random() < 0.5:
        return [f"{rng.choice((0.001, 0.5, 1, 2.5, 14.2, 63, 3000, 1e8)):g} {rng.choice(('in', 'mm', 'psi', 'bar', 'gpm', 'lbf', ''))}".strip()]
    return [_word(rng)]


def _within(argument: str) -> str:
    """Nothing absolute, nothing upwards, and no NUL, which no command line can carry."""
    return argument.replace("\0", "").replace("..", ".").lstrip("/~") if "/" in argument or "\0" in argument or argument.startswith("~") else argument


def verb_case(rng: random.Random) -> list[str]:
    verb = rng.choice(VERBS)
    words: list[str] = []
    for option in rng.sample(OPTIONS[verb], min(rng.choice((0, 0, 1, 1, 2, 3, 6)), len(OPTIONS[verb]))):
        words += [option, *_value(option, rng)]
    if verb in ("size", "cylinder") and rng.random() < 0.8:
        words += [word for option in OPTIONS[verb][:2] if option not in words for word in (option, *_value(option, rng))]
    if verb in ("plan", "check", "stock"):
        words.insert(rng.choice((0, len(words))), rng.choice(FILES))
    elif verb == "new":
        words.append(rng.choice(OUTPUTS))
    elif verb not in ("size", "cylinder", "gauge", "identify") or rng.random() < 0.1:
        words += [_word(rng) for _ in range(rng.choice((0, 1, 2, 2, 2, 3, 4, 7)))]
    if rng.random() < 0.05:
        rng.shuffle(words)
    if rng.random() < 0.03:
        words.insert(rng.randrange(len(words) + 1), rng.choice(("--wiggle", "--json=1", "-x", "--", "---", "-", "--psi", "\u2212-json", "--jso")))
    return [_within(each) for each in ([verb, *words] if rng.random() > 0.02 else words)]


@cache
def _folder() -> str:
    """The folder that the verbs run in, filled anew before each case."""
    return tempfile.mkdtemp(prefix="fuzz-verbs-")


def _fill(folder: Path, rng: random.Random) -> None:
    from fuzz.tables import book_case, shelf_case

    (folder / "job.toml").write_text(rng.choice(jobs()), "utf-8")
    (folder / "other.toml").write_text(rng.choice(jobs()), "utf-8")
    (folder / "shelf.csv").write_bytes(shelf_case(rng))
    (folder / "shelf.xlsx").write_bytes(book_case(rng))
    (folder / "list.csv").write_text("name,od,tpi\na,14.2 mm,18\nb,x,\n", "utf-8")
    (folder / "broken.toml").write_text(mutated(rng.choice(jobs()), rng), "utf-8", "replace")
    (folder / "plan.json").write_text('{"lines": [{"name": "a"}]}', "utf-8")
    (folder / "binary").write_bytes(bytes(range(256)))
    (folder / "empty").write_bytes(b"")
    (folder / "folder").mkdir(exist_ok=True)
    if not (folder / "loop").is_symlink():
        (folder / "loop").symlink_to("loop")


def hold_verb(arguments: list[str]) -> str:
    folder = Path(_folder())
    _fill(folder, random.Random(len(" ".join(arguments))))
    before, held = os.getcwd(), (sys.stdin, sys.stdout, sys.stderr)
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", errors="replace", write_through=True) for _ in range(2))
    os.chdir(folder)
    try:
        sys.stdin = io.StringIO("")
        with redirect_stdout(out), redirect_stderr(err):
            code = run(arguments)
    finally:
        os.chdir(before)
        sys.stdin, sys.stdout, sys.stderr = held
    answer, told = (each.buffer.getvalue().decode("utf-8") for each in (out, err))  # type: ignore[attr-defined]
    assert code in CODES, f"exit {code}: {told[-600:]}"
    assert "Traceback" not in answer + told
    if "--json" in arguments and answer.startswith("{"):
        json.loads(answer, parse_constant=_no_constant)
    elif "--json" in arguments and code in (1, 3):
        raise AssertionError(f"exit {code} without JSON: {answer[:200]}")
    left = [name for name in os.listdir(folder) if name.endswith(".unfinished")]
    assert not left, left
    for name in set(os.listdir(folder)) - set(FILES):
        if (folder / name).is_file():
            (folder / name).unlink()
    return f"exit {code}"


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} in JSON")


def shown(arguments: list[str]) -> str:
    return ascii(arguments) if len(ascii(arguments)) < 400 else ascii(arguments)[:380] + "…"
