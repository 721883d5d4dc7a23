"""How a benchmark measures and tells: works taken in turn, medians with quartiles, ratios of the same round."""

import gc
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

TOP = Path(__file__).resolve().parents[2]
Work = Callable[[], object]


class Table(NamedTuple):
    """One table of docs/performance.md: what stands above it, its heads, its rows of words, what stands below."""

    title: str
    above: str
    heads: tuple[str, ...]
    rows: list[tuple[str, ...]]
    below: str = ""

    @property
    def text(self) -> str:
        """As Markdown."""
        lines = [f"## {self.title}", "", self.above, "", _line(self.heads), _line(["---"] * len(self.heads)), *map(_line, self.rows)]
        return "\n".join([*lines, "", self.below] if self.below else lines) + "\n"


class Spread(NamedTuple):
    """Median and quartiles of one quantity."""

    median: float
    low: float
    high: float

    def say(self, form: str = ".1f") -> str:
        """`7.3 (7.1–7.6)`: the median, and between which values half of the rounds lay."""
        return f"{self.median:{form}} ({self.low:{form}}–{self.high:{form}})"

    @property
    def width(self) -> float:
        """The distance of the quartiles as a share of the median."""
        return (self.high - self.low) / self.median


def spread(values: Sequence[float]) -> Spread:
    """Median and quartiles of at least two values."""
    low, median, high = statistics.quantiles(values, n=4, method="inclusive")
    return Spread(median, low, high)


def seconds(work: Work) -> float:
    """Wall time of one call."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def in_turn(works: Mapping[str, Work], rounds: int) -> dict[str, list[float]]:
    """Seconds of every work in every round: A, B, C, A, B, C … so that a busy minute of the machine strikes all alike."""
    times: dict[str, list[float]] = {name: [] for name in works}
    gc.collect()
    for _ in range(rounds):
        for name, work in works.items():
            times[name].append(seconds(work))
    return times


def ratios(times: Sequence[float], base: Sequence[float]) -> Spread:
    """How many times the base, each round against the base of the same round."""
    return spread([mine / its for mine, its in zip(times, base, strict=True)])


def noise(base: Sequence[float]) -> str:
    """A word on how noisy the machine was, by the spread of one and the same work in all rounds."""
    width = spread(base).width
    word = "quiet" if width < 0.1 else "a little noisy" if width < 0.25 else "noisy" if width < 0.6 else "very noisy"
    return f"The machine was {word}: the middle half of the rounds of one and the same work is {width:.0%} of its median wide."


def compared(title: str, above: str, times: Mapping[str, Sequence[float]], base: str, against: str,
             also: Mapping[str, str] | None = None, also_head: str = "") -> Table:
    """The table of works measured in turn: median in ms, and how many times the work `base`, both with quartiles.

    `above` stands over the table (see `noise` for a word on the machine); `also` is a last column with head `also_head`.
    """
    heads = ("what", "median (quartiles), ms", f"times {against}", *([also_head] if also is not None else []))
    rows = []
    for name, some in times.items():
        row = [name, spread([each * 1000 for each in some]).say(".2f" if statistics.median(some) < 0.02 else ".0f"),
               "1" if name == base else ratios(some, times[base]).say()]
        rows.append(tuple(row if also is None else [*row, also.get(name, "")]))
    return Table(title, above, heads, rows)


def python(*words: str, exits: int = 0) -> Work:
    """A run of this environment's interpreter from the top of the checkout; RuntimeError when it ends otherwise than it should."""

    def run() -> None:
        done = subprocess.run([sys.executable, *words], cwd=TOP, stdin=subprocess.DEVNULL, capture_output=True, check=False)
        if done.returncode != exits:
            raise RuntimeError(f"{words} ended with {done.returncode}: {done.stderr.decode()}")

    return run


def _line(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"
