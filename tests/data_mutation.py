"""`python tests/data_mutation.py`: changes the tables of `data/` cell by cell and counts what notices.

First every filled cell of every table in turn, in several ways, against the pins alone. Then, for a seeded few cells of
every column and figure, what notices without the pins: the models of `tables/schema.py`, the data check, and the tests
whose expected values come from outside. What only a pin guards was copied from its source with care, and with nothing
else: a wrong copy would have been pinned as it is. Not part of the normal run; half an hour.
"""

import argparse
import gc
import os
import random
import re
import select
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from functools import _lru_cache_wrapper, cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest

TOP = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(TOP))

import fittings.tables  # noqa: E402
from fittings.tables import audit, names, table  # noqa: E402
from fittings.tables.pins import UNPINNED, pins, pins_of  # noqa: E402
from fittings.tables.schema import model_of, row_problems  # noqa: E402

OUTSIDE = {
    "figures/": "data_figures data_rings drawing_scale",
    "ratings": "data_ratings mating planner", "derating": "data_ratings mating",
    "torque": "data_torque mating", "torque-schools": "data_torque", "flats": "data_torque", "turns": "data_torque",
    "rings": "data_rings", "ring-use": "data_rings",
    "threads/": "threads_limits threads_designation threads_meeting",
    "sizes": "data_figures graph threads_designation", "families": "mating graph notation", "forms": "mating graph parts",
    "mates": "mating graph", "clashes": "mating", "conditions": "mating reasons", "seal-kinds": "mating reasons",
    "parts/": "parts parts_envelopes planner", "preferences": "planner",
    "hose/": "circuit_oracles circuit_flow circuit_hose circuit_route size",
    "identify/": "identify_published identify_answer identify_readings",
    "drawing/": "drawing_scale", "stock/": "shelf", "words": "notation", "job-rules": "reasons job_worked",
    "port-names": "port_names plan_inside", "component-kinds": "plan_inside", "component-words": "plan_inside",
    "cautions": "reasons", "reasons": "reasons", "line-findings": "check_tampered", "sources": "",
}
"""For each table the tests that hold something from outside against it: published figures, worked examples, counts by hand."""

PROSE = {"note", "says", "text", "why", "do", "what", "ask", "tell", "echo", "unit", "meaning", "why_no_sealant", "edition", "trust",
         "applies", "context", "say", "detail", "documents", "words", "layers", "reinforcement"}
"""Columns of words for people: no arithmetic can guard them, a person reads them."""

LONGEST_S = 60.0
"""What the trial of one slip may take before it counts as unnoticed."""

SLOW_S = 0.5
"""Tests that cost more are left out, and so are the laws that hypothesis tries: they hold no value from outside."""

KEPT = {fittings.tables.table, fittings.tables.names, fittings.tables.folder}


class Slip(NamedTuple):
    """One cell, changed: the table, the number of its row from 0, the column, and what stands there instead."""

    table: str
    row: int
    column: str
    cell: str


def changed(cell: str) -> dict[str, str]:
    """A cell with one thing changed, by kind of slip.

    >>> changed("-12.5")
    {'last digit': '-12.6', 'first digit': '-22.5', 'decimal point': '-1.25', 'sign': '12.5'}
    >>> changed("jic"), changed("A")
    ({'last letter': 'jid'}, {'last letter': 'B'})
    """
    digits = [place for place, sign in enumerate(cell) if sign in "0123456789"]
    found = {}
    if digits:
        for kind, place in (("last digit", digits[-1]), ("first digit", digits[0])):
            found[kind] = f"{cell[:place]}{(int(cell[place]) + 1) % 10}{cell[place + 1:]}"
    if re.fullmatch(r"-?\d+(\.\d+)?", cell) and float(cell):
        whole, _, part = cell.partition(".")
        found["decimal point"] = f"{whole[:-1] or '0'}.{whole[-1]}{part}" if whole[-2:-1].isdigit() else f"{whole}{part or '0'}"
        found["sign"] = cell[1:] if cell.startswith("-") else f"-{cell}"
    if letters := [place for place, sign in enumerate(cell) if sign.isalpha() and sign.isascii()]:
        place = letters[-1]
        found["last letter"] = f"{cell[:place]}{chr(ord(cell[place]) + 1) if cell[place] not in 'zZ' else 'a'}{cell[place + 1:]}"
    return found


def against_the_pins() -> tuple[int, int, list[Slip]]:
    """Every filled cell of every table, changed in every way: cells, slips, and those that no pin notices."""
    cells, slips, missed = 0, 0, []
    for name in names():
        if name == UNPINNED:
            continue
        rows = [dict(row) for row in table(name)]
        right = pins_of(name, rows)
        for number, row in enumerate(rows):
            for column, cell in list(row.items()):
                if not cell:
                    continue
                cells += 1
                for other in changed(cell).values():
                    slips += 1
                    row[column] = other
                    if pins_of(name, rows)[0] == right[0] and pins_of(name, rows) == right:
                        missed.append(Slip(name, number, column, other))
                row[column] = cell
    return cells, slips, missed


# --- what notices without the pins ---------------------------------------------------------------------------------------

def few(seed: int, most: int) -> Iterator[tuple[str, Slip]]:
    """For every column and figure a seeded few slips that look right: one digit, or another word of the same column."""
    for name in names():
        if name == UNPINNED:
            continue
        groups: dict[str, list[tuple[int, str, str]]] = defaultdict(list)
        for number, row in enumerate(table(name)):
            for column, cell in row.items():
                if cell and column not in PROSE:
                    groups[row["figure"] if column == "value" and "figure" in row else column].append((number, column, cell))
        for group, cells in groups.items():
            chance = random.Random(f"{seed} {name} {group}")
            words = sorted({cell for _, _, cell in cells})
            for number, column, cell in chance.sample(cells, min(most, len(cells))):
                yield group, Slip(name, number, column, _slip(chance, cell, words))


def _slip(chance: random.Random, cell: str, words: list[str]) -> str:
    if re.fullmatch(r"\d+(\.\d+)?", cell):
        place = chance.choice([place for place, sign in enumerate(cell) if sign != "."])
        return f"{cell[:place]}{chance.choice([each for each in '123456789' if each != cell[place]])}{cell[place + 1:]}"
    others = [each for each in words if each != cell]
    return chance.choice(others) if others else next(iter(changed(cell).values()), cell + "x")


@cache
def _remembered() -> list[Any]:
    found = [each for each in gc.get_objects() if isinstance(each, _lru_cache_wrapper)]
    return [each for each in found if str(each.__module__).startswith("fittings") and each not in KEPT]


def forget() -> None:
    """Empty what `fittings` has worked out from the tables, but not the tables."""
    for each in _remembered():
        each.cache_clear()


def put(slip: Slip) -> None:
    """Change the cell where every reader of the table sees it."""
    table(slip.table)[slip.row][slip.column] = slip.cell  # type: ignore[index]
    forget()


def noticed_by_form(slip: Slip) -> bool:
    model = model_of(slip.table)
    return model is None or bool(row_problems(model, {**table(slip.table)[slip.row], slip.column: slip.cell}, ""))


def noticed_by_the_check() -> str:
    for check in audit.CHECKS:
        if check is not pins:
            try:
                if next(iter(check()), None) is not None:
                    return check.__name__
            except Exception:
                return check.__name__
    return ""


class Trial:
    """A pytest plugin: once the tests are collected, each slip is tried in a child of its own."""

    def __init__(self, seed: int, most: int, only: str) -> None:
        self.seed, self.most, self.only = seed, most, only
        self.told: list[tuple[str, Slip, str]] = []
        self.failed = ""
        self.broken: list[str] = []
        self.needed = {stem for name in names() if only in name for stem in guards(name)}
        self.took: dict[str, float] = defaultdict(float)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.took[report.nodeid] += report.duration
        if report.failed and not self.failed:
            self.failed = report.nodeid

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        files: dict[str, list[pytest.Item]] = defaultdict(list)
        for item in session.items:
            if not getattr(getattr(item, "function", None), "is_hypothesis_test", False):
                files[item.path.stem.removeprefix("test_")].append(item)
        _remembered()
        quick = {name: self._quick(items) for name, items in files.items() if name in self.needed}
        if self.broken:
            print("fails as the tables are:", *self.broken, file=sys.__stderr__)
            return True
        for group, slip in few(self.seed, self.most):
            if self.only not in slip.table:
                continue
            items = [item for name in guards(slip.table) for item in quick[name]]
            by = "form" if noticed_by_form(slip) else in_a_child(lambda slip=slip, items=items: self._try(slip, items))
            self.told.append((group, slip, by))
            print("\t".join((slip.table, group, str(slip.row + 2), slip.cell, by)), file=sys.__stderr__, flush=True)
        return True

    def _run(self, items: list[pytest.Item]) -> str:
        for item, after in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if self.failed:
                return self.failed
        return ""

    def _try(self, slip: Slip, items: list[pytest.Item]) -> str:
        put(slip)
        by = noticed_by_the_check()
        if by:
            return f"check {by}"
        forget()
        return self._run(items)

    def _quick(self, items: list[pytest.Item]) -> list[pytest.Item]:
        """The tests that pass as the tables are and cost little."""
        def once() -> str:
            began = time.process_time(), time.monotonic()
            wrong = self._run(items)
            busy = (time.process_time() - began[0]) / max(time.monotonic() - began[1], 1e-9)
            return "\n".join([f"fails {wrong}"] * bool(wrong) + [name for name, took in self.took.items() if took * busy > SLOW_S])

        out = in_a_child(once, 600).split("\n")
        self.broken += [each.removeprefix("fails ") for each in out if each.startswith("fails ")]
        return [item for item in items if item.nodeid not in out]


def guards(name: str) -> list[str]:
    """The tests of `OUTSIDE` that stand for a table."""
    return next((tests.split() for key, tests in OUTSIDE.items() if name == key or (name.startswith(key) and key[-1] == "/")),
                ["notation"] if name.startswith("words") else [])


def in_a_child(work, longest_s: float = LONGEST_S) -> str:  # type: ignore[no-untyped-def]
    """What `work` returns, done in a fork of this process; '' when it takes too long, `crash` when it dies."""
    inlet, outlet = os.pipe()
    child = os.fork()
    if not child:
        os.close(inlet)
        try:
            said = work()
        except BaseException as error:
            said = f"crash {type(error).__name__}"
        with os.fdopen(outlet, "w") as file:
            file.write(said)
        os._exit(0)
    os.close(outlet)
    said, until = b"", time.monotonic() + longest_s
    while select.select([inlet], [], [], max(until - time.monotonic(), 0))[0]:
        some = os.read(inlet, 65536)
        if not some:
            break
        said += some
    else:
        os.kill(child, signal.SIGKILL)
    os.close(inlet)
    os.waitpid(child, 0)
    return said.decode()


def report(told: list[tuple[str, Slip, str]]) -> str:
    """Per table: slips tried, noticed by form, by the data check, by a published figure or a worked answer, and the
    columns of which a slip went by everything but the pin."""
    lines = ["| table | slips | form | data check | outside values | pin alone | columns and figures with a slip that only the pin sees |",
             "| --- | --- | --- | --- | --- | --- | --- |"]
    tables: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for group, slip, by in told:
        tables[slip.table].append((group, by))
    total = [0, 0, 0, 0, 0]
    for name, each in [*tables.items()]:
        kinds = ["form" if by == "form" else "check" if by.startswith("check ") else "outside" if by else "pin" for _, by in each]
        counts = [len(each), *(kinds.count(kind) for kind in ("form", "check", "outside", "pin"))]
        total = [a + b for a, b in zip(total, counts, strict=True)]
        missed: dict[str, int] = defaultdict(int)
        for (group, _), kind in zip(each, kinds, strict=True):
            missed[group] += kind == "pin"
        tried = {group: sum(other == group for other, _ in each) for group in missed}
        alone = ", ".join(group if missed[group] == tried[group] else f"{group} ({missed[group]} of {tried[group]})"
                          for group in missed if missed[group])
        lines.append(f"| {name} | {' | '.join(map(str, counts))} | {alone} |")
    lines.append(f"| **all** | {' | '.join(map(str, total))} | |")
    return "\n".join(lines)


def main() -> int:
    read = argparse.ArgumentParser(description=__doc__)
    read.add_argument("--seed", type=int, default=1)
    read.add_argument("--cells", type=int, default=3, help="cells tried in each column or figure without the pins; 0: pins only")
    read.add_argument("--only", help="only tables with this in their name, and only what notices without the pins ('' for all)")
    asked = read.parse_args()
    if asked.only is None:
        cells, slips, missed = against_the_pins()
        print(f"{cells} filled cells in {len(names()) - 1} tables, {slips} slips, {len(missed)} unnoticed by the pins")
        for slip in missed:
            print(f"  {slip}")
        if missed:
            return 1
    if asked.cells:
        trial = Trial(asked.seed, asked.cells, asked.only or "")
        stems = dict.fromkeys(stem for tests in OUTSIDE.values() for stem in tests.split())
        files = [str(TOP / "tests" / f"test_{stem}.py") for stem in stems]
        pytest.main([*files, "-o", "addopts=", "-p", "no:xdist", "-p", "no:terminal", "-p", "no:cacheprovider"], plugins=[trial])
        print(report(trial.told))
    return 0


if __name__ == "__main__":
    sys.exit(main())
