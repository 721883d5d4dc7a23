"""Sizes as people write them, and what each can be in a family.

One stretch of text (`3/4`, `3/4-16`, `-8`, `M22x1,5`, `15L`, `DN12`) is a `Size`; `fits` says which sizes of a family it
can mean and by what it was named: the tube, the thread, the bore. Inches are counted in sixty-fourths, so that no
fraction is ever rounded.
"""

import re
from functools import cache
from typing import Literal, NamedTuple

from fittings.ends import family as family_row
from fittings.ends import size_row, sizes
from fittings.notation.words import rare_sizes
from fittings.tables import table

Kind = Literal["dash", "whole", "inch", "thread", "metric", "tube", "mm", "dn", "tpi"]


class Size(NamedTuple):
    """A size as written. `inch_64` in 64ths of an inch, `tpi_x2` in half threads per inch (11.5 is 23), `mm` and
    `pitch_mm` in mm, `number` a dash or whole number; `role` is what the words say was measured (`tube` or `thread`),
    or `id` for a size inside an id."""

    kind: Kind
    text: str
    number: int = 0
    inch_64: int = 0
    tpi_x2: int = 0
    mm: float = 0.0
    pitch_mm: float = 0.0
    role: str = ""


class Fit(NamedTuple):
    """A size of a family that a written size can be, and by what it was named: `by` is "" when written as its standard
    does, else `tube`, `thread`, `bore` or `dash` (a number that was not marked as a dash size)."""

    size: str
    by: str


_FRACTION = re.compile(r"(?:(\d+)[ .-]+)?(\d+)/(\d+)", re.ASCII)


def inches_64(text: str) -> int | None:
    """Inches in 64ths from `9/16`, `1-1/16`, `1 1/16`, `2` or `0.75`; None when it is no whole number of 64ths.

    >>> inches_64("1-1/16"), inches_64("1/3")
    (68, None)
    """
    match = _FRACTION.fullmatch(text.strip())
    if match:
        whole, top, bottom = int(match[1] or 0), int(match[2]), int(match[3])
        if bottom not in (2, 4, 8, 16, 32, 64) or top >= bottom * (1 if whole else 100):
            return None
        return whole * 64 + top * (64 // bottom)
    try:
        exact = float(text.replace(",", ".")) * 64
    except ValueError:
        return None
    return int(exact) if exact == int(exact) and 0 < exact < 64 * 100 else None


def inch_text(inch_64: int) -> str:
    """Inches as the tables write them.

    >>> inch_text(68), inch_text(32), inch_text(128)
    ('1-1/16', '1/2', '2')
    """
    whole, over = divmod(inch_64, 64)
    if not over:
        return str(whole)
    below = 64
    while over % 2 == 0:
        over, below = over // 2, below // 2
    return f"{whole}-{over}/{below}" if whole else f"{over}/{below}"


class _Thread(NamedTuple):
    """A thread of `data/sizes.csv`, cut up: inch or metric, diameter (for pipe its name), pitch or threads per inch."""

    inch_64: int = 0
    tpi_x2: int = 0
    mm: float = 0.0
    pitch_mm: float = 0.0


@cache
def _whitworth_tpi_x2() -> dict[str, int]:
    return {row["thread"].removeprefix("G"): int(float(row["value"]) * 2) for row in table("threads/g")
            if row["figure"] == "tpi"}


def _cut(thread: str) -> _Thread | None:
    if not thread:
        return None
    if thread[0] == "M":
        mm, pitch = thread[1:].split("x")
        return _Thread(mm=float(mm), pitch_mm=float(pitch))
    if thread[0] in "GR":
        name = thread[1:]
        return _Thread(inches_64(name) or 0, _whitworth_tpi_x2().get(name, 0))
    name, _, tpi = thread.split()[0].rpartition("-")
    return _Thread(inches_64(name) or 0, int(float(tpi) * 2))


@cache
def _threads(family: str) -> tuple[tuple[str, _Thread | None], ...]:
    return tuple((size, _cut(size_row(family, size)["thread"])) for size in sizes(family))


@cache
def size_kind(family: str) -> str:
    """How a family writes its sizes: `dash`, `pipe`, `metric` or `tube`."""
    return family_row(family)["size_kind"]


@cache
def _dn(kind: str) -> dict[float, str]:
    return {float(row["dn_mm"]): row["size"] for row in table("words-dn") if row["kind"] == kind}


def _dn_kind(family: str) -> str:
    kin = family_row(family)["kin"]
    return {"": "hose", "flange": "flange", "coupler": "coupler"}.get(kin, "pipe")


def is_known_thread(inch_64: int, tpi_x2: int) -> bool:
    """Whether some end of the tables has this inch thread."""
    return (inch_64, tpi_x2) in _inch_threads()


@cache
def _all_threads() -> tuple[_Thread, ...]:
    return tuple(cut for cut in (_cut(thread) for thread in dict.fromkeys(row["thread"] for row in table("sizes"))) if cut)


@cache
def _inch_threads() -> frozenset[tuple[int, int]]:
    return frozenset((cut.inch_64, cut.tpi_x2) for cut in _all_threads() if cut.inch_64)


def is_known_metric(mm: float, pitch_mm: float) -> bool:
    """Whether some end of the tables has this metric thread."""
    return (mm, pitch_mm) in _metric_threads()


@cache
def _metric_threads() -> frozenset[tuple[float, float]]:
    return frozenset((cut.mm, cut.pitch_mm) for cut in _all_threads() if cut.mm)


def fits(written: Size, family: str) -> tuple[Fit, ...]:
    """Sizes of a family that a written size can mean.

    >>> [fit.size for fit in fits(Size("inch", "3/4", inch_64=48), "jic")]
    ['-12', '-8']
    """
    kind = size_kind(family)
    if written.kind == "tpi":
        return tuple(Fit(size, "") for size, cut in _threads(family) if cut and cut.tpi_x2 == written.tpi_x2)
    if written.kind == "thread":
        return tuple(
            Fit(size, "" if kind == "pipe" else "thread") for size, cut in _threads(family)
            if cut and (cut.inch_64, cut.tpi_x2) == (written.inch_64, written.tpi_x2))
    if written.kind == "metric":
        return tuple(
            Fit(size, "" if kind == "metric" and written.pitch_mm else "thread") for size, cut in _threads(family)
            if cut and cut.mm == written.mm and written.pitch_mm in (0.0, cut.pitch_mm))
    by_kind = {"dash": _fits_dash, "pipe": _fits_pipe, "metric": _fits_metric, "tube": _fits_tube}
    return tuple(dict.fromkeys(by_kind[kind](written, family)))


def _fits_dash(written: Size, family: str) -> list[Fit]:
    known = sizes(family)
    hose_or_flange = family_row(family)["kin"] in ("", "flange")
    if written.kind in ("dash", "whole"):
        name, by_inches = f"-{written.number}", f"-{written.number * 16}"
        also_inches = written.kind == "whole" and by_inches in known
        doubtful = also_inches and name in rare_sizes(family)
        found = [Fit(name, "dash" if doubtful else "")] if name in known else []
        if also_inches:
            found.append(Fit(by_inches, "bore" if hose_or_flange else "tube"))
        if written.kind == "whole" and not hose_or_flange:
            found += [Fit(size, "thread") for size, cut in _threads(family) if cut and cut.inch_64 == written.number * 64]
        return found
    if written.kind == "inch":
        by_name = f"-{written.inch_64 // 4}" if written.inch_64 % 4 == 0 else ""
        found = []
        if by_name in known and written.role != "thread":
            found.append(Fit(by_name, "bore" if hose_or_flange else "tube"))
        if written.role != "tube":
            found += [Fit(size, "thread") for size, cut in _threads(family) if cut and cut.inch_64 == written.inch_64]
        return found
    if written.kind in ("mm", "dn") and hose_or_flange:
        size = _dn(_dn_kind(family)).get(written.mm)
        return [Fit(size, "bore")] if size and size in known else []
    return []


def _fits_pipe(written: Size, family: str) -> list[Fit]:
    known = sizes(family)
    if written.kind == "inch":
        name = inch_text(written.inch_64)
        return [Fit(name, "")] if name in known else []
    if written.kind == "whole" and str(written.number) in known:
        return [Fit(str(written.number), "")]
    if written.kind == "dash" and written.role == "id":
        return [Fit(str(written.number), "")] if str(written.number) in known else []
    if written.kind == "dash":
        return [Fit(size, "dash") for size in known if size_row(family, size)["nominal_16ths"] == str(written.number)]
    if written.kind == "dn" or (written.kind == "mm" and _dn_kind(family) == "coupler"):
        size = _dn(_dn_kind(family)).get(written.mm)
        return [Fit(size, "bore")] if size and size in known else []
    return []


def _fits_metric(written: Size, family: str) -> list[Fit]:
    if written.kind in ("mm", "whole"):
        across = written.mm or float(written.number)
        return [Fit(size, "thread") for size, cut in _threads(family) if cut and cut.mm == across]
    return []


def _fits_tube(written: Size, family: str) -> list[Fit]:
    known = sizes(family)
    if written.kind == "tube":
        return [Fit(written.text, "")] if written.text in known else []
    if written.kind in ("mm", "whole"):
        across = written.mm or float(written.number)
        found = [Fit(f"{across:g}{series}", "tube") for series in ("LL", "L", "S") if f"{across:g}{series}" in known]
        if written.kind == "mm" and written.role != "tube":
            found += [Fit(size, "thread") for size, cut in _threads(family) if cut and cut.mm == across]
        return found
    return []
