"""What a thread designation says: system, diameter, pitch, flank angle, taper.

Six systems: unified inch (`9/16-18`), American taper pipe (`1/2-14 NPT`) and its straight mechanical relation
(`1/2-14 NPSM`), Whitworth pipe parallel (`G1/2`) and taper (`R1/2`; `Rp1/2` is its parallel female), ISO metric
(`M22x1.5`).
"""

import math
import re
from functools import cache
from typing import NamedTuple

from fittings.tables import table
from fittings.threads.figures import keys, value
from fittings.units import MM_PER_IN

TAPER = 0.0625
"""Taper of pipe threads, on diameter: 1 in 16 (ASME B1.20.1, ISO 7-1)."""


class UnknownThread(LookupError):
    """A designation that names no thread: what was typed, what is wrong, what would be right."""

    def __init__(self, typed: str, why: str, right: str) -> None:
        self.typed, self.why, self.right = typed, why, right
        super().__init__(f"{typed!r}: {why}; {right}")


class Thread(NamedTuple):
    """A thread as its designation gives it. Diameters and pitch in mm whatever the unit of the standard.

    `major_mm` basic major diameter (for NPT and NPSM the outside diameter of the pipe, for R the gauge diameter);
    `tpi` threads per inch, None for metric; `flank_deg` angle between the flanks; `taper` on diameter, 0.0 or 0.0625;
    `unit` of the standard's own tables, `in` or `mm`; `say` the words of the trade.
    """

    key: str
    system: str
    major_mm: float
    pitch_mm: float
    tpi: float | None
    flank_deg: float
    taper: float
    unit: str
    say: str


_NUMBERED = {f"{n}-{tpi}" for n, tpis in {
    0: (80,), 1: (64, 72), 2: (56, 64), 3: (48, 56), 4: (40, 48), 5: (40, 44), 6: (32, 40), 8: (32, 36),
    10: (24, 32), 12: (24, 28, 32),
}.items() for tpi in tpis}

_INCHES = re.compile(r"(?:(?:(\d+)[ \-]+)?(\d+)/(\d+)|(\d+\.?\d*|\.\d+))$")
_UNIFIED = re.compile(r"(#?)([\d/ .\-]+?)\s*-\s*(\d+(?:\.\d+)?)\s*(UNR?|UNR?[CFS]|UNR?EF|N[CFS])?$")
_METRIC = re.compile(r"M\s*(\d+(?:[.,]\d+)?)\s*(?:[X×*]\s*(\d+(?:[.,]\d+)?))?$")
_AMERICAN = re.compile(r"([\d/ \-]+?)(?:\s*-\s*(\d+(?:\.\d+)?))?\s+(NPTF?|NPSM)$")
_WHITWORTH = re.compile(r"(G|RP|RC|R)\s*([\d/ \-]+)$")

_METRIC_PITCHES = (
    0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 8,
)
"""Pitches of ISO 261 (from memory)."""

_COARSE: dict[float, float] = {
    3: 0.5, 4: 0.7, 5: 0.8, 6: 1, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2, 16: 2, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3, 27: 3,
    30: 3.5, 33: 3.5, 36: 4, 39: 4, 42: 4.5, 45: 4.5, 48: 5, 52: 5, 56: 5.5, 60: 5.5, 64: 6,
}
"""Coarse pitch in mm by diameter in mm, for a bare `M10`: ISO 261 (from memory)."""

METRIC_MM = (1, 355)
"""Smallest and largest diameter with tolerances in ISO 965-1."""

_EXAMPLES = "write for example 9/16-18, 1/2-14 NPT, 1/2-14 NPSM, G1/2, R1/2 or M22x1.5"


@cache
def thread(key: str) -> Thread:
    """The thread of a designation.

    `key`: unified `9/16-18` (inches and threads per inch, with or without UN, UNF, UNS …), numbered `#10-32`, pipe
    `1/2-14 NPT` (NPTF has the same pitch line), `1/2-14 NPSM`, `G1/2`, `R1/2` (`Rc1/2` is its female), `Rp1/2`,
    metric `M22x1.5` (a bare `M10` is coarse). Unified and metric threads need not stand in a table: any diameter and
    pitch that make a thread will do (ASME B1.1, ISO 261). Pipe threads are those of ASME B1.20.1, ISO 228-1, ISO 7-1.

    Raises UnknownThread.

    >>> thread("9/16-18").say
    '9/16-18 UNF'
    >>> thread("1/2-14 NPT").taper
    0.0625
    """
    typed = " ".join(key.upper().replace("”", "").replace('"', "").split())
    for pattern, build in ((_AMERICAN, _american), (_WHITWORTH, _whitworth), (_METRIC, _metric), (_UNIFIED, _unified)):
        match = pattern.match(typed)
        if match:
            return build(key, match)
    raise UnknownThread(key, "not a thread designation", _EXAMPLES)


def _inches(key: str, text: str) -> float:
    """Inches from `9/16`, `1-1/16`, `1 1/16` or `0.5625`."""
    match = _INCHES.match(text.strip())
    if not match or (match[3] and not int(match[3])):
        raise UnknownThread(key, f"{text!r} is no diameter in inches", "write 9/16, 1-1/16 or 0.5625")
    whole, over, under, plain = match.groups()
    return float(plain) if plain else int(whole or 0) + int(over) / int(under)


def inch_text(inches: float) -> str:
    """Inches as the trade writes them: `9/16`, `1-1/16`; decimals where they are no 64ths.

    >>> inch_text(1.0625)
    '1-1/16'
    """
    whole, rest = divmod(inches * 64, 64)
    if not rest.is_integer():
        return f"{inches:.6g}"
    if not rest:
        return f"{whole:.0f}"
    common = math.gcd(int(rest), 64)
    part = f"{int(rest) // common}/{64 // common}"
    return f"{whole:.0f}-{part}" if whole else part


def _unified(key: str, match: re.Match[str]) -> Thread:
    hash_mark, diameter, threads, _ = match.groups()
    tpi = float(threads)
    if hash_mark or f"{diameter}-{threads}" in _NUMBERED:
        if not diameter.isdigit() or f"{diameter}-{threads}" not in _NUMBERED:
            raise UnknownThread(key, "no such numbered thread", "write for example #10-24 or #10-32")
        inches, name = (60 + 13 * int(diameter)) / 1000, f"#{diameter}"
    else:
        inches = _inches(key, diameter)
        name = inch_text(inches)
    if not 0.05 < inches <= 12:
        raise UnknownThread(key, f"{name} in across the threads is outside ASME B1.1", "it runs from #0 to 12 in")
    if not 3 <= tpi <= 80:
        raise UnknownThread(key, f"{tpi:g} threads per inch is outside ASME B1.1", "it runs from 3 to 80 per inch")
    if inches * tpi < 3:
        raise UnknownThread(key, "the pitch is too coarse for the diameter", "diameter must be 3 pitches or more")
    bare = f"{name}-{tpi:g}"
    return Thread(bare, "UN", inches * MM_PER_IN, MM_PER_IN / tpi, tpi, 60.0, 0.0, "in", f"{bare} {series(bare)}")


@cache
def _standard_series() -> dict[str, str]:
    return {row["thread"]: row["series"] for row in table("threads/un-series")}


_CONSTANT_PITCH = {4: (2.5, 6), 6: (1.375, 6), 8: (1, 6), 12: (0.5625, 6), 16: (0.375, 6), 20: (0.25, 3),
                   28: (0.216, 1.5), 32: (0.138, 1)}
"""Threads per inch of the constant-pitch series and their diameters from … to, in inches (ASME B1.1, from memory)."""


@cache
def series(key: str) -> str:
    """Series of a unified thread by its bare designation: UNC, UNF, UNEF, UN (constant pitch) or UNS (special).

    It decides the length of engagement behind the tolerances (ASME B1.1 section 5.1).

    >>> series("1-14"), series("1-1/16-12"), series("3/4-16")
    ('UNS', 'UN', 'UNF')
    """
    named = _standard_series().get(key)
    if named:
        return named
    diameter, _, tpi = key.rpartition("-")
    span = _CONSTANT_PITCH.get(int(float(tpi))) if float(tpi).is_integer() else None
    if span is None or diameter.startswith("#"):
        return "UNS"
    inches = _inches(key, diameter)
    return "UN" if span[0] <= inches <= span[1] and (inches * 16).is_integer() else "UNS"


def _metric(key: str, match: re.Match[str]) -> Thread:
    diameter = float(match[1].replace(",", "."))
    pitch = float(match[2].replace(",", ".")) if match[2] else _COARSE.get(diameter)
    if pitch is None:
        raise UnknownThread(key, "no pitch given, and no coarse thread of that diameter", "write M22x1.5")
    if pitch not in _METRIC_PITCHES:
        listed = ", ".join(f"{each:g}" for each in _METRIC_PITCHES[11:])
        raise UnknownThread(key, f"{pitch:g} mm is no pitch of ISO 261", f"common pitches are {listed} mm")
    if not METRIC_MM[0] <= diameter <= METRIC_MM[1]:
        raise UnknownThread(key, f"{diameter:g} mm across the threads is outside ISO 965-1",
                            f"it runs from {METRIC_MM[0]} to {METRIC_MM[1]} mm")
    if diameter < 3 * pitch:
        raise UnknownThread(key, "the pitch is too coarse for the diameter", "diameter must be 3 pitches or more")
    name = f"M{diameter:g}x{pitch:g}"
    return Thread(name, "M", diameter, float(pitch), None, 60.0, 0.0, "mm", name)


def _american(key: str, match: re.Match[str]) -> Thread:
    size, threads, word = match.groups()
    system = "NPSM" if word == "NPSM" else "NPT"
    wanted = inch_text(_inches(key, size))
    known = {each.split()[0].rpartition("-")[0]: each for each in keys("npt") if each.endswith(system)}
    if wanted not in known:
        raise UnknownThread(key, f"{system} is not made in size {wanted}", f"there is {', '.join(known)}")
    name = known[wanted]
    tpi = float(name.split()[0].rpartition("-")[2])
    if threads and float(threads) != tpi:
        raise UnknownThread(key, f"{wanted} {system} has {tpi:g} threads per inch, not {threads}", f"write {name}")
    pipe_od_in = value("npt", f"{wanted}-{tpi:g} NPT", "pipe_od_in")
    return Thread(name, system, pipe_od_in * MM_PER_IN, MM_PER_IN / tpi, tpi, 60.0, TAPER if system == "NPT" else 0.0,
                  "in", name)


def _whitworth(key: str, match: re.Match[str]) -> Thread:
    letter, size = match.groups()
    system = {"G": "G", "RP": "Rp"}.get(letter, "R")
    wanted = inch_text(_inches(key, size))
    file, prefix, major = ("g", "G", "major_basic_mm") if system == "G" else ("r", "R", "gauge_major_mm")
    if prefix + wanted not in keys(file):
        known = ", ".join(each.removeprefix(prefix) for each in keys(file))
        raise UnknownThread(key, f"{system} is not made in size {wanted}", f"there is {known}")
    row = prefix + wanted
    tpi = value(file, row, "tpi")
    # The standards print the pitch rounded to 0.001 mm; the inch count is the truth, and over many turns it shows.
    return Thread(system + wanted, system, value(file, row, major), MM_PER_IN / tpi, tpi, 55.0,
                  TAPER if system == "R" else 0.0, "mm", system + wanted)
