"""Measures what is claimed about speed, side by side in one run, as ratios. Not part of the tests.

    python tests/benchmarks/run.py                      prints the tables
    python tests/benchmarks/run.py startup queries      only these subjects
    python tests/benchmarks/run.py --write              also writes docs/performance.md (startup, queries, form)
    python tests/benchmarks/run.py batch scale plans --write    also writes the figures of docs/scaling.md (some minutes)

A subject is a module beside this one with a function `tables()` that gives its `measuring.Table`s.
"""

import os
import platform
import sys
from collections.abc import Sequence
from datetime import date
from importlib import import_module

from measuring import TOP, Table

sys.path.insert(0, str(TOP))

SUBJECTS = ("startup", "queries", "form")
SCALING = ("batch", "scale", "plans")
FIGURES = "<!-- figures: python tests/benchmarks/run.py batch scale plans --write -->\n"

HEAD = """# How fast

Made by `python tests/benchmarks/run.py --write` on {today}; Python {python}, {cores} cores, {machine}, {load}.
All works of one table were measured in turn in one run (A, B, A, B …). A figure is a median with the two quartiles
behind it; a ratio is taken round by round, so that a busy minute strikes both sides. Read the ratios, not the
milliseconds. What was tried, also what did not help, is in [performance-log.md](performance-log.md).
"""


def measured(subjects: Sequence[str]) -> list[Table]:
    """The tables of these subjects, in their order."""
    found = []
    for name in subjects:
        print(f"measuring {name} …", file=sys.stderr)
        found += import_module(name).tables()
    return found


def page(tables: Sequence[Table]) -> str:
    """The results as a document."""
    head = HEAD.format(today=date.today(), python=platform.python_version(), cores=os.cpu_count(), machine=platform.machine(),
                       load=f"{os.getloadavg()[0]:.1f} processes waiting or running at the start")
    return "\n".join([head, *(table.text for table in tables)])


if __name__ == "__main__":
    wanted = [each for each in sys.argv[1:] if not each.startswith("-")]
    text = page(measured(wanted or SUBJECTS))
    print(text)
    if "--write" in sys.argv and not wanted:
        (TOP / "docs" / "performance.md").write_text(text, "utf-8")
    if "--write" in sys.argv and tuple(wanted) == SCALING:
        told = TOP / "docs" / "scaling.md"
        told.write_text(told.read_text("utf-8").split(FIGURES)[0] + FIGURES + text.partition("\n")[2], "utf-8")
