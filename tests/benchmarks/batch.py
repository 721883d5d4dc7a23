"""A file of questions: how many a second, on one core and on two, and in how much memory."""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from measuring import TOP, Table, noise, ratios, spread
from questions import HEADER, Question, counted, different, repeated

ROWS = 20_000
ROUNDS = 3
LENGTHS = (2_000, 20_000, 100_000)


class Run(NamedTuple):
    """One run of the command line: wall time and processor time in seconds, with its children; peak memory in MB."""

    wall_s: float
    cpu_s: float
    peak_mb: float


def run(words: Sequence[str]) -> Run:
    """Run `fittings` with its output thrown away."""
    began = os.times().elapsed
    process = subprocess.Popen([sys.executable, "-m", "fittings", *words], cwd=TOP, stdout=subprocess.DEVNULL)
    _, _, usage = os.wait4(process.pid, 0)
    process.returncode = 0  # it was waited for here
    return Run(os.times().elapsed - began, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def write(path: Path, questions: Iterator[Question]) -> list[Question]:
    """Write a file of questions and give them back."""
    asked = list(questions)
    path.write_text("\n".join(",".join(f'"{cell}"' for cell in row) for row in (HEADER, *asked)) + "\n", "utf-8")
    return asked


def tables() -> list[Table]:
    """Two tables: questions a second, and memory by the length of the file."""
    with tempfile.TemporaryDirectory() as folder:
        return [_speed(Path(folder)), _memory(Path(folder))]


def _speed(folder: Path) -> Table:
    files = {"as people ask": write(folder / "as people ask", repeated(ROWS)),
             "no two alike": write(folder / "no two alike", different(ROWS))}
    works = {(name, form, jobs): ["join", "--batch", str(folder / name), "--jobs", str(jobs), *form]
             for name in files for form in ((), ("--json",)) for jobs in (1, 2)}
    runs: dict[tuple[str, tuple[str, ...], int], list[Run]] = {work: [] for work in works}
    for _ in range(ROUNDS):
        for work, words in works.items():
            runs[work].append(run(words))
    rows = []
    for name, asked in files.items():
        for form in ((), ("--json",)):
            one, two = runs[name, form, 1], runs[name, form, 2]
            rows.append((
                f"{name}, {'JSON, best three' if form else 'CSV'}", f"{counted(asked)[0]:,}",
                spread([ROWS / each.cpu_s for each in one]).say(",.0f"), spread([ROWS / each.wall_s for each in one]).say(",.0f"),
                ratios([each.wall_s for each in one], [each.wall_s for each in two]).say(".2f")))
    quiet = noise([each.wall_s for each in runs["no two alike", (), 1]])
    return Table("Questions a second", f"`join --batch` on {ROWS:,} rows, {ROUNDS} rounds, start of the program and reading of the "
                 f"tables within. {quiet}",
                 ("file", "different questions", "a second of one core", "a second of the clock", "two cores, times as quick"), rows)


def _memory(folder: Path) -> Table:
    rows = []
    for length in LENGTHS:
        path = folder / str(length)
        write(path, repeated(length))
        rows.append((f"{length:,}", *(f"{run(['join', '--batch', str(path), *form]).peak_mb:.0f}" for form in ((), ("--json",)))))
    return Table("Memory by the length of the file", "Peak of the process, one core, questions as people ask them.",
                 ("rows", "CSV, MB", "JSON, MB"), rows)
