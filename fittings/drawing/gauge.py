"""A gauge to print: thread pitches, seat angles, rod and hole rings, and two bars that prove the printer did not scale.

Everything on it is drawn one to one from the threads and seats of the tables.
"""

import math
from collections.abc import Iterable, Mapping
from functools import cache

from fittings.drawing.lettering import wrapped
from fittings.drawing.svg import INK, PAPER, Canvas, Point
from fittings.ends import End, all_ends, family
from fittings.figures import figure
from fittings.threads import Thread, limits, thread
from fittings.units import MM_PER_IN

PAPERS: Mapping[str, Point] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height in mm (ISO 216 A4; 8 1/2 x 11 in)."""

AREA: Point = (186.0, 252.0)
"""What both papers can print, mm."""

COMB_MM = 42.0
WHO_MM, RING_WHO_MM = 2.3, 2.1
"""Size of the letters that tell which ends have a pitch, or a thread."""

SEAT_DEEP_MM = 14.0
LARGEST_RING_MM = 42.5


class UnknownPaper(ValueError):
    """A paper that the gauge is not laid out for; the text says which there are."""


def gauge_svg(paper: str = "a4", page: int = 1, root: bool = True) -> str:
    """A page of the gauge as SVG, one to one. `paper` `a4` or `letter`; `page` from 1 to `page_count(paper)`.

    Pitches are those of the thread standards, angles those of `data/figures/`, rings the limits of size: the thick
    circle is the greatest outside diameter of the male, the thin one the least inside diameter of the female.

    Raises UnknownPaper, and ValueError for a page that there is not.

    >>> gauge_svg("a4").count('width="210mm"')
    1
    """
    size = paper_mm(paper)
    pages = _pages(paper)
    if not 1 <= page <= len(pages):
        raise ValueError(f"the gauge has {len(pages)} pages, there is no page {page}")
    canvas = Canvas(f"Printed gauge, page {page} of {len(pages)}", "Print at 100 %. Check the bars before use.")
    left, top = (size[0] - AREA[0]) / 2, (size[1] - AREA[1]) / 2
    y = _head(canvas, left, top, page, len(pages))
    if page == 1:
        y = _combs(canvas, left, y + 3.0)
        _seats(canvas, left, y + 4.0)
    else:
        _rings(canvas, left, y + 3.0, pages[page - 1])
    return canvas.svg(page=size, root=root)


def page_count(paper: str = "a4") -> int:
    """How many pages the gauge has. Raises UnknownPaper."""
    return len(_pages(paper))


def paper_mm(paper: str) -> Point:
    """Width and height of a paper in mm. Raises UnknownPaper."""
    try:
        return PAPERS[paper.strip().lower()]
    except KeyError:
        raise UnknownPaper(f"{paper[:40]!r} is no paper of the gauge: write {' or '.join(PAPERS)}") from None


def gauge_html(paper: str = "a4") -> str:
    """All pages of the gauge as one page to print, without scripts and without anything from elsewhere.

    Raises UnknownPaper.
    """
    wide, high = paper_mm(paper)
    pages = "".join(f"<section>{gauge_svg(paper, n, root=False)}</section>" for n in range(1, page_count(paper) + 1))
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>Printed gauge</title>\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<style>@page {{ size: {wide:g}mm {high:g}mm; margin: 0 }} body {{ margin: 0; background: #fff }} "
        "section { break-after: page; overflow: hidden } section:last-child { break-after: auto } svg { display: block }"
        "h1 { position: absolute; left: -999em }</style>\n"
        f"</head>\n<body>\n<main>\n<h1>Printed gauge</h1>\n{pages}</main>\n</body>\n</html>\n"
    )


# --- what stands on every page ---------------------------------------------------------------------------------------


def _head(canvas: Canvas, left: float, top: float, page: int, pages: int) -> float:
    canvas.text((left, top + 4.5), "Fittings gauge", 5.0, bold=True)
    canvas.text((left + AREA[0], top + 4.5), f"page {page} of {pages}", 3.2, "end")
    words = "Print at 100 % (“actual size”), lay a steel rule on both bars. If one is off, so is all the rest."
    canvas.text((left, top + 10.0), words, 3.0)
    y = _bar(canvas, left, top + 13.0, 100.0, 10.0, "100 mm")
    return _bar(canvas, left, y + 1.5, 4 * MM_PER_IN, MM_PER_IN / 4, "4 in")


def _bar(canvas: Canvas, left: float, top: float, long: float, step: float, words: str) -> float:
    """A bar of exact length with ticks."""
    canvas.line((left, top + 4.0), (left + long, top + 4.0), "outline", f"bar {words}")
    for n in range(round(long / step) + 1):
        high = 4.0 if n in (0, round(long / step)) else 2.4
        canvas.line((left + n * step, top + 4.0), (left + n * step, top + 4.0 - high), "thin", "tick")
    canvas.text((left + long + 3.0, top + 4.0), words, 3.2)
    return top + 4.5


# --- thread pitches --------------------------------------------------------------------------------------------------


@cache
def pitches() -> tuple[tuple[Thread, tuple[End, ...]], ...]:
    """Every pitch and flank angle that ends of the tables have, finest first, one thread of each and its ends."""
    found: dict[tuple[float, float], tuple[Thread, list[End]]] = {}
    for each in all_ends():
        if each.thread:
            of = thread(each.thread)
            found.setdefault((of.flank_deg, round(of.pitch_mm, 4)), (of, []))[1].append(each)
    order = sorted(found.values(), key=lambda pair: (_system(pair[0]), pair[0].pitch_mm))
    return tuple((of, tuple(ends)) for of, ends in order)


def _system(of: Thread) -> int:
    return 1 if of.flank_deg == 55 else 2 if of.tpi is None else 0


def _combs(canvas: Canvas, left: float, top: float) -> float:
    words = "Thread pitch: hold the thread to the teeth against the light; no gap along the whole comb"
    canvas.text((left, top + 3.2), words, 3.2, bold=True, room=AREA[0])
    columns = 3
    wide = AREA[0] / columns
    y = top + 6.0
    shown = [(of, wrapped(_who(ends), WHO_MM, wide - 4.0)) for of, ends in pitches()]
    for first in range(0, len(shown), columns):
        row = shown[first:first + columns]
        for n, (of, lines) in enumerate(row):
            x = left + n * wide
            comb(canvas, (x, y + 6.6), of)
            name = f"{of.tpi:g} per inch" if of.tpi else f"{of.pitch_mm:g} mm"
            canvas.text((x, y + 3.0), f"{name}, {of.flank_deg:g}°", 3.0, bold=True)
            for line, who in enumerate(lines):
                canvas.text((x, y + 12.6 + 2.9 * line), who, WHO_MM)
        y += 13.2 + 2.9 * max(len(lines) for _, lines in row)
    return y


def comb(canvas: Canvas, where: Point, of: Thread) -> None:
    """A comb of teeth of a thread's pitch and flank angle, sharp roots, crests an eighth of the pitch wide."""
    x, y = where
    flank = math.tan(math.radians(of.flank_deg / 2))
    crest = of.pitch_mm / 8
    deep = (of.pitch_mm - crest) / 2 / flank
    count = int(COMB_MM / of.pitch_mm)
    points: list[Point] = [(x, y - 2.2), (x, y)]
    for n in range(count):
        at = x + n * of.pitch_mm
        points += [(at, y), (at + deep * flank, y + deep), (at + deep * flank + crest, y + deep)]
    points += [(x + count * of.pitch_mm, y), (x + count * of.pitch_mm, y - 2.2)]
    canvas.lines(points, "none", INK, closed=True, name=f"comb {of.flank_deg:g} {of.pitch_mm:.6f}")


def _who(ends: Iterable[End], known: str = "") -> str:
    """Families and sizes of ends in short: `JIC -6 -8; ORB -6`; a size that stands beside it already is left out."""
    by_family: dict[str, list[str]] = {}
    for each in ends:
        sizes = by_family.setdefault(family(each.family)["nick"], [])
        if each.size not in sizes:
            sizes.append(each.size)
    return "; ".join(" ".join([nick, *(size for size in sizes if size != known)]) for nick, sizes in by_family.items())


# --- seat angles -----------------------------------------------------------------------------------------------------


@cache
def seats() -> tuple[tuple[float, tuple[str, ...]], ...]:
    """Every seat angle to the axis that the tables have, degrees, with the families that have it."""
    found: dict[float, dict[str, None]] = {}
    for each in all_ends():
        for name in ("seat_deg", "chamfer_seat_deg"):
            seat = figure(each, name)
            if seat is not None:
                found.setdefault(float(seat.value), {})[family(each.family)["nick"]] = None
    return tuple((angle, tuple(found[angle])) for angle in sorted(found))


def _seats(canvas: Canvas, left: float, top: float) -> None:
    canvas.text((left, top + 3.2), "Seat angle: cut out; the notch goes over a nose, the wedge into a hollow seat", 3.2, bold=True)
    x, y = left, top + 7.0
    for angle, families in seats():
        half = SEAT_DEEP_MM * math.tan(math.radians(angle))
        block = max(2 * half + 8.0, 30.0)
        middle = x + block / 2
        canvas.lines([(middle - half, y), (middle, y + SEAT_DEEP_MM), (middle + half, y), (x + block, y),
                      (x + block, y + SEAT_DEEP_MM + 4.0), (x, y + SEAT_DEEP_MM + 4.0), (x, y)], "none", INK, closed=True,
                     name=f"notch {angle:g}")
        foot = y + SEAT_DEEP_MM + 7.0
        canvas.lines([(middle - half, foot), (middle + half, foot), (middle, foot + SEAT_DEEP_MM)], "none", INK, closed=True,
                     name=f"wedge {angle:g}")
        label = foot + SEAT_DEEP_MM + 4.0
        canvas.text((x, label), f"{angle:g}°, {2 * angle:g}° across", 2.8, bold=True, room=block)
        for n, line in enumerate(wrapped(", ".join(families), 2.3, block, 4)):
            canvas.text((x, label + 3.2 + 3.0 * n), line, 2.3)
        x += block + 3.5


# --- rings -----------------------------------------------------------------------------------------------------------


@cache
def rings() -> tuple[tuple[Thread, float, float, tuple[End, ...]], ...]:
    """Every thread up to the largest ring: greatest male diameter and least female diameter in mm, and its ends."""
    found: dict[str, list[End]] = {}
    for each in all_ends():
        if each.thread:
            found.setdefault(each.thread, []).append(each)
    made = []
    for key, ends in found.items():
        of = thread(key)
        male, female = limits(of, "external"), limits(of, "internal")
        outer = (male.major_max or of.major_mm / male.unit_mm) * male.unit_mm
        inner = female.minor_min * female.unit_mm if female.minor_min else outer - 1.0825 * of.pitch_mm
        if outer <= LARGEST_RING_MM:
            made.append((of, outer, inner, tuple(ends)))
    return tuple(sorted(made, key=lambda ring: ring[1]))


_Ring = tuple[Thread, float, float, tuple[End, ...]]
_Cell = tuple[float, float, _Ring]


def _ring_wide(ring: _Ring) -> float:
    return max(ring[1] + 4.0, 26.0)


def _ring_words(ring: _Ring) -> list[str]:
    """Which ends have a ring's thread, in lines no wider than its cell."""
    return wrapped(_who(ring[3], ring[0].key), RING_WHO_MM, _ring_wide(ring) - 1.0)


@cache
def _pages(paper: str) -> tuple[tuple[_Cell, ...], ...]:
    """Pages of rings, each a tuple of (x, y of the middle, ring) from the top left of the area; page one has none."""
    paper_mm(paper)
    pages: list[list[_Cell]] = [[], []]
    x, y = 0.0, 0.0
    row: list[tuple[float, _Ring]] = []
    room = AREA[1] - 31.0

    def flush() -> None:
        nonlocal x, y
        if not row:
            return
        words = 5.3 + 2.6 * max(len(_ring_words(ring)) for _, ring in row)
        high = max(ring[1] for _, ring in row) + words
        if y + high > room:
            pages.append([])
            y = 0.0
        pages[-1].extend((at, y + (high - words) / 2, ring) for at, ring in row)
        y, x = y + high, 0.0
        row.clear()

    for ring in rings():
        wide = _ring_wide(ring)
        if x + wide > AREA[0]:
            flush()
        row.append((x + wide / 2, ring))
        x += wide
    flush()
    return tuple(tuple(page) for page in pages)


def _rings(canvas: Canvas, left: float, top: float, cells: Iterable[_Cell]) -> None:
    words = "Stand a male on the thick circle, a female on the thin one; then prove the pitch."
    canvas.text((left, top + 3.2), words, 3.2, bold=True, room=AREA[0])
    top += 6.0
    for x, y, ring in cells:
        of, outer, inner, _ = ring
        centre = (left + x, top + y)
        canvas.circle(centre, outer / 2, "outline", PAPER, f"rod {of.key}")
        canvas.circle(centre, inner / 2, "thin", "none", f"hole {of.key}")
        for dx, dy in ((1.5, 0.0), (0.0, 1.5)):
            canvas.line((centre[0] - dx, centre[1] - dy), (centre[0] + dx, centre[1] + dy), "thin")
        label = top + y + outer / 2
        canvas.text((centre[0], label + 3.6), of.say, 2.8, "middle", bold=True, room=_ring_wide(ring) - 1.0)
        for n, line in enumerate(_ring_words(ring)):
            canvas.text((centre[0], label + 6.5 + 2.6 * n), line, RING_WHO_MM, "middle")
