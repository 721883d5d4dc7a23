"""Long shelves, and a graph with many times the families."""

import json
import random
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from grown import asked, grow
from measuring import TOP, Table, in_turn, noise, ratios, spread
from questions import PORTS, end_drawn, hose_drawn
from shelves import write

sys.path.insert(0, str(TOP))

from fittings.limits import Limits
from fittings.stock import join_with_shelf, read_shelf

LENGTHS = (1_000, 30_000, 1_000_000)
WORKBOOK = 30_000
GROWN = (1, 4, 16)
QUESTIONS = 60
ROUNDS = 9

READ = """
import json, resource, sys, time
from fittings.stock import read_shelf
began, worked = time.perf_counter(), time.process_time()
shelf = read_shelf(sys.argv[1])
shelf.on_hand, shelf.prices
print(json.dumps([time.perf_counter() - began, time.process_time() - worked,
                  resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, len(shelf.rows), len(shelf.aside)]))
"""


def tables() -> list[Table]:
    """Three tables: reading a shelf, a question beside it, a question in a grown graph."""
    with tempfile.TemporaryDirectory() as folder:
        files = {f"{length:,} rows, CSV": Path(folder) / f"{length}.csv" for length in LENGTHS}
        files[f"{WORKBOOK:,} rows, XLSX"] = Path(folder) / f"{WORKBOOK}.xlsx"
        for path in files.values():
            write(str(path), int(path.stem))
        return [_reading(files), _beside({length: Path(folder) / f"{length}.csv" for length in LENGTHS}), _grown()]


def _reading(files: dict[str, Path]) -> Table:
    rows = []
    for name, path in files.items():
        done = subprocess.run([sys.executable, "-c", READ, str(path)], cwd=TOP, capture_output=True, text=True, check=True)
        wall, cpu, peak, read, aside = json.loads(done.stdout)
        rows.append((name, f"{read:,}", f"{aside:,}", f"{cpu:.1f}", f"{wall:.1f}", f"{peak:.0f}"))
    return Table("Reading a shelf", "Seeded lists of parts in five spellings and of other goods (three rows in ten, each with a text of "
                 "its own), each read once by a fresh process, with the index that a question needs.",
                 ("shelf", "read", "kept aside", "processor, s", "clock, s", "peak, MB"), rows)


def _beside(files: dict[int, Path]) -> Table:
    chances = random.Random(4)
    ends = [(end_drawn(chances, PORTS), hose_drawn(chances)) for _ in range(QUESTIONS)]
    shelves = {length: read_shelf(str(path)) for length, path in files.items()}
    works = {
        length: lambda shelf=shelf: [join_with_shelf(*pair, Limits(psi=2000), shelf) for pair in ends]
        for length, shelf in shelves.items()
    }
    for work in works.values():
        work()
    times = in_turn({str(length): work for length, work in works.items()}, ROUNDS)
    base = times[str(LENGTHS[0])]
    rows = [(f"{length:,} rows", spread([1000 * each / QUESTIONS for each in times[str(length)]]).say(".2f"),
             "1" if length == LENGTHS[0] else ratios(times[str(length)], base).say(".2f")) for length in files]
    return Table("A question beside a shelf that was read", f"`join --stock` under 2000 psi without the reading, mean of {QUESTIONS} pairs "
                 f"of ends, {ROUNDS} rounds. {noise(base)}", ("shelf", "ms a question", f"times {LENGTHS[0]:,} rows"), rows)


def _grown() -> Table:
    told = {}
    for times in GROWN:
        with tempfile.TemporaryDirectory() as folder:
            grow(Path(folder), times)
            told[times] = asked(Path(folder), 300)
    rows = []
    for times, each in told.items():
        cells = []
        for name in ("home", "all"):
            mine, base = each[name], told[1][name]
            mean = statistics.mean(mine)
            cells += [f"{1000 * statistics.median(mine):.2f}", f"{1000 * mean:.2f} ({mean / statistics.mean(base):.1f})"]
        rows.append((f"×{times}", f"{each['ends']:,}", f"{each['parts']:,} (×{each['parts'] / told[1]['parts']:.1f})",
                     f"{each['first_s']:.2f}", *cells))
    return Table("A graph with many times the families", "`join` under 2000 psi in tables grown by rows (`tests/benchmarks/grown.py`), "
                 "300 questions that were not asked before; processor time, in brackets how many times that of the real tables.",
                 ("families", "ends", "parts", "all joints and parts once, s", "real ends, median ms", "mean ms",
                  "any ends, median ms", "mean ms"), rows)
