"""A file of questions for `join`, one a row: read as they come, answered in order, a bad row told in its place.

Nothing is kept but the questions that were asked last, so that a file of any length takes the same memory.
"""

import csv
import io
import re
import sys
import time
from collections import Counter, deque
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from itertools import islice
from typing import NamedTuple, TextIO

from fittings.cli.frame import ANSWERED, BAD_INPUT, NOT_COVERED, REFUSED, Failure, note, text_failure
from fittings.cli.limits import avoided_at_an_end, families_of, parts_of, psi_of, shape_of, yes_of
from fittings.ends import End
from fittings.limits import Limits
from fittings.notation import BadText, Reading, read_end
from fittings.planner import join
from fittings.reports.batch_lines import (
    COLUMNS,
    answer_body,
    answer_cells,
    csv_line,
    json_line,
    wrong_body,
    wrong_cells,
)

ASKED = ("from", "to", "psi", "avoid", "max_parts", "shape_from", "shape_to", "full_bore", "fixed")
"""The columns that make a question."""

LABELS = ("name", "id")
"""Either is the label of a row; `name` is what a list of readings calls it too."""

LONGEST_LINE = 20_000
KEPT = 8_192
"""Different questions, and different texts of ends, whose answers are kept."""

AT_ONCE = 256
"""Rows that a core is given at a time."""

WORST_LAST = (ANSWERED, REFUSED, NOT_COVERED, BAD_INPUT)


class Row(NamedTuple):
    """A row of the file: its line, its label, and its cells in the order of `ASKED`, or what is wrong with it."""

    line: int
    name: str
    cells: tuple[str, ...]
    wrong: str = ""


def join_batch(path: str, jobs: int, best: int, as_json: bool) -> int:
    """Answer the questions of a CSV file (`-`: of stdin) on stdout and return the exit code, which is the worst of its
    rows. `jobs` cores share the work. Raises Failure when the file is no table of questions."""
    codes: Counter[int] = Counter()
    with _opened(path) as file:
        rows = read_rows(file, path)
        if not as_json:
            sys.stdout.write(csv_line(COLUMNS))
        progress = _Progress()
        for text, some in _told(rows, jobs, best, as_json):
            sys.stdout.write(text)
            codes.update(some)
            progress.tell(codes)
        progress.end(codes)
    return max(codes, key=WORST_LAST.index, default=ANSWERED)


@contextmanager
def _opened(path: str) -> Iterator[TextIO]:
    if path == "-":
        file = io.TextIOWrapper(sys.stdin.buffer, encoding="utf-8-sig", errors="replace", newline="")
        try:
            yield file
        finally:
            file.detach()
        return
    try:
        file = open(path, encoding="utf-8-sig", errors="replace", newline="")  # noqa: SIM115 (closed below)
    except OSError as error:
        raise Failure(BAD_INPUT, "bad input", path, f"{path} cannot be read: {error.strerror}") from None
    with file:
        yield file


def read_rows(file: TextIO, path: str) -> Iterator[Row]:
    """The rows of a table of questions that are not empty, as they are read; comma, semicolon or tab between the cells.

    Raises Failure when the first line does not name the columns `from` and `to`, or names one that we do not know: a
    limit that was misspelt must not be passed over.
    """
    first = _line(file, path)
    delimiter = max((",", ";", "\t"), key=first.count)
    header = [re.sub(r"[-\s]+", "_", cell.strip().lower().lstrip("-")) for cell in next(csv.reader([first], delimiter=delimiter), [])]
    strange = [cell for cell in header if cell not in (*ASKED, *LABELS)]
    if strange or not {"from", "to"} <= set(header) or len(set(header)) < len(header) or set(LABELS) <= set(header):
        what = (f"no such column: {', '.join(strange)[:80]}" if strange else "name and id are both the label of a row: keep one"
                if set(LABELS) <= set(header) else "the first line must name the columns from and to, each column once")
        raise Failure(BAD_INPUT, "bad input", path, f"{path}: {what}", f"the columns are name (or id), {', '.join(ASKED)}")
    return _rows(file, path, header, delimiter)


def _rows(file: TextIO, path: str, header: Sequence[str], delimiter: str) -> Iterator[Row]:
    places = [header.index(name) if name in header else None for name in ASKED]
    label = next((header.index(name) for name in LABELS if name in header), None)
    reader = csv.reader(iter(lambda: _line(file, path), ""), delimiter=delimiter)
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            yield Row(reader.line_num + 1, "", ("",) * len(ASKED), f"the row cannot be read: {error}")
            continue
        if any(cell.strip() for cell in cells):
            line, have = reader.line_num + 1, len(cells)
            wrong = f"{have} cells under {len(header)} columns" if have > len(header) else ""
            yield Row(line, cells[label].strip() if label is not None and label < have else "",
                      tuple([cells[place].strip() if place is not None and place < have else "" for place in places]), wrong)


def _line(file: TextIO, path: str) -> str:
    line = file.readline(LONGEST_LINE + 1)
    if len(line) > LONGEST_LINE:
        raise Failure(BAD_INPUT, "bad input", path, f"{path}: a line is longer than {LONGEST_LINE} signs",
                      "save the questions as CSV, one a row")
    return line


# Answering

Told = tuple[str, Counter[int]]
"""Lines of the output, and how many rows had which exit code."""


def _told(rows: Iterator[Row], jobs: int, best: int, as_json: bool) -> Iterator[Told]:
    portions = iter(lambda: list(islice(rows, AT_ONCE)), [])
    if jobs == 1:
        return (told_rows(some, best, as_json) for some in portions)
    return _by_several(portions, jobs, best, as_json)


def _by_several(portions: Iterable[list[Row]], jobs: int, best: int, as_json: bool) -> Iterator[Told]:
    """The same on several cores: in order, and never more portions under way than keep the cores busy."""
    from concurrent.futures import Future, ProcessPoolExecutor
    from signal import SIG_IGN, SIGINT, signal

    under_way: deque[Future[Told]] = deque()
    # Ctrl-C reaches every process of the terminal; cores that it ended in the middle would be waited for without end
    cores = ProcessPoolExecutor(jobs, initializer=signal, initargs=(SIGINT, SIG_IGN))
    try:
        for some in portions:
            under_way.append(cores.submit(told_rows, some, best, as_json))
            if len(under_way) > 3 * jobs:
                yield under_way.popleft().result()
        while under_way:
            yield under_way.popleft().result()
    finally:
        cores.shutdown(cancel_futures=True)


def told_rows(rows: Sequence[Row], best: int, as_json: bool) -> Told:
    """The lines for these rows, in order."""
    lines, codes = [], []
    for row in rows:
        code, body = _wrong(row.cells, Failure(BAD_INPUT, "bad input", "", row.wrong), as_json) if row.wrong else (
            _question(row.cells, best, as_json))
        lines.append(json_line(row.line, row.name, body) if as_json else f"{csv_line([str(row.line), row.name])[:-1]},{body}")
        codes.append(code)
    return "".join(lines), Counter(codes)


@lru_cache(KEPT)
def _question(cells: tuple[str, ...], best: int, as_json: bool) -> tuple[int, str]:
    """Exit code of one question, and what is told of it after its line and label."""
    try:
        start, finish = _end(cells[0], "from"), _end(cells[1], "to")
        return _answer(start.end, finish.end, (start.taken, finish.taken), _limits(*cells[2:]), best, as_json)
    except Failure as failure:
        return _wrong(cells, failure, as_json)


@lru_cache(KEPT)
def _answer(start: End, finish: End, taken: tuple[str, str], limits: Limits, best: int, as_json: bool) -> tuple[int, str]:
    answer, said = join(start, finish, limits, best), (*taken, *avoided_at_an_end((start, finish), limits.avoid))
    told = answer_body(answer, said) if as_json else csv_line(answer_cells(answer, said))
    return REFUSED if answer.refused else ANSWERED, told


def _wrong(cells: tuple[str, ...], failure: Failure, as_json: bool) -> tuple[int, str]:
    return failure.code, (
        wrong_body(failure.kind, failure.typed, failure.text, failure.ask, failure.candidates) if as_json else
        csv_line(wrong_cells((cells[0], cells[1]), failure.kind, failure.text, failure.ask)))


def _end(text: str, column: str) -> Reading:
    if not text:
        raise Failure(BAD_INPUT, "bad input", "", f"the column {column} is empty", "name an end, such as ORB -6 port")
    read = _read_end(text)
    if isinstance(read, BadText):
        raise text_failure(read)
    return read


@lru_cache(KEPT)
def _read_end(text: str) -> Reading | BadText:
    try:
        return read_end(text)
    except BadText as error:
        return error.with_traceback(None)


@lru_cache(KEPT)
def _limits(psi: str, avoid: str, max_parts: str, shape_from: str, shape_to: str, full_bore: str, fixed: str) -> Limits:
    return Limits(
        psi_of(psi) if psi else None, families_of(avoid.split(";")) if avoid else (), parts_of(max_parts) if max_parts else None,
        shape_of(shape_from) if shape_from else None, shape_of(shape_to) if shape_to else None,
        yes_of(full_bore) if full_bore else False, yes_of(fixed) if fixed else False)


class _Progress:
    """How far it is, on stderr, when somebody looks at it there and the answers go elsewhere."""

    def __init__(self) -> None:
        self._shown = sys.stderr is not None and sys.stderr.isatty() and not sys.stdout.isatty()
        self._began = self._last = time.monotonic()

    def tell(self, codes: Counter[int]) -> None:
        now = time.monotonic()
        if self._shown and now - self._last > 0.2:
            self._last = now
            sys.stderr.write(f"\r{codes.total():,} questions, {codes.total() / (now - self._began):,.0f} a second ")
            sys.stderr.flush()

    def end(self, codes: Counter[int]) -> None:
        if self._shown:
            bad = codes[BAD_INPUT] + codes[NOT_COVERED]
            sys.stderr.write("\r")
            note(f"{codes.total():,} asked: {codes[ANSWERED]:,} answered, {codes[REFUSED]:,} refused, {bad:,} not understood"
                 " or not covered")
