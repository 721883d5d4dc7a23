"""A world with many times the families: the tables grown by rows, and nothing else of the program.

Every family but hose is there again under other names (`orb`, `orb~1`, `orb~2` …) with its forms, sizes, mates, ratings,
figures and parts; and every part made between two families is also made between one copy and the next, so that the
copies are one graph and an end has about twice as many parts on it as in the real tables.
"""

import csv
import json
import os
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]

TABLES = ("families", "forms", "sizes", "mates", "clashes", "ratings", "torque", "turns", "ring-use", "flats")
PARTS = ("rules", "pairs", "blanks", "couplers", "tees", "seen", "not-made")
BETWEEN = ("rules", "pairs")
"""Tables whose rows join two families, `end_a` and `end_b`."""

ASK = """
import json, random, sys, time
from fittings.ends import all_ends
from fittings.limits import Limits
from fittings.network import planned_partners
from fittings.parts import all_parts, parts_with
from fittings.planner import join
ends = all_ends()
began = time.process_time()
for each in ends:
    planned_partners(each), parts_with(each)
first = time.process_time() - began
chances = random.Random(1)
home = [each for each in ends if "~" not in each.family]
told = {"ends": len(ends), "parts": len(all_parts()), "first_s": first}
for name, there in (("home", home), ("all", ends)):
    for times in ([], []):  # the first round, with other questions, fills what is kept of parts and joints
        for _ in range(int(sys.argv[1])):
            start, finish = chances.sample(there, 2)
            began = time.process_time()
            join(start, finish, Limits(psi=2000))
            times.append(time.process_time() - began)
    told[name] = times
print(json.dumps(told))
"""


def grow(folder: Path, times: int) -> None:
    """Put the program, and tables with `times` the families, into an empty folder."""
    (folder / "fittings").symlink_to(TOP / "fittings")
    with open(TOP / "data" / "families.csv", encoding="utf-8", newline="") as file:
        families = [row["family"] for row in csv.DictReader(file) if row["family"] != "hose"]
    for path in sorted((TOP / "data").rglob("*.csv")):
        name = path.relative_to(TOP / "data").with_suffix("").as_posix()
        target = folder / "data" / f"{name}.csv"
        target.parent.mkdir(parents=True, exist_ok=True)
        head, kind = name.split("/")[0], name.split("/")[-1]
        if name not in TABLES and head != "figures" and not (head == "parts" and kind in PARTS):
            target.symlink_to(path)
            continue
        with open(path, encoding="utf-8", newline="") as file:
            header, *rows = list(csv.reader(file))
        grown = list(rows)
        for copy in range(1, times):
            grown += _again(rows, families, copy)
        if head == "parts" and kind in BETWEEN and times > 1:
            for copy in range(times):
                grown += _between(rows, header, families, copy, (copy + 1) % times)
        with open(target, "w", encoding="utf-8", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows([header, *grown])


def _again(rows: list[list[str]], families: list[str], copy: int) -> list[list[str]]:
    """The rows that speak of a family, speaking of its copy."""
    return [changed for row in rows if (changed := [_renamed(cell, families, copy) for cell in row]) != row]


def _between(rows: list[list[str]], header: list[str], families: list[str], copy: int, other: int) -> list[list[str]]:
    """The rows that join two families, joining one copy to another, either way round."""
    a, b = header.index("end_a"), header.index("end_b")
    found = []
    for row in rows:
        if any(row[each].split()[0] not in families for each in (a, b)):
            continue
        for first, second in ((copy, other), (other, copy)):
            joined = list(row)
            joined[a], joined[b] = _renamed(row[a], families, first), _renamed(row[b], families, second)
            found.append(joined)
    return found


def _renamed(cell: str, families: list[str], copy: int) -> str:
    """A cell with the names of families, alone, before a form or in the id of an end, turned to those of a copy."""
    if not copy:
        return cell
    words = []
    for word in cell.split(" "):
        name = next((each for each in families if word == each or word.startswith(f"{each}-")), None)
        words.append(f"{name}~{copy}{word[len(name):]}" if name else word)
    return " ".join(words)


def asked(folder: Path, questions: int) -> dict[str, object]:
    """What a fresh process in that folder needs for so many questions, in seconds of processor time."""
    done = subprocess.run([sys.executable, "-c", ASK, str(questions)], cwd=folder, capture_output=True, text=True, check=True,
                          env={**os.environ, "PYTHONPATH": str(folder)})
    told: dict[str, object] = json.loads(done.stdout)
    return told
