"""A small writer of SVG: pens after ISO 128, hatching as plain lines, words measured before they are set.

One unit of the page is one millimetre, so that a print without scaling is true to the scale that the drawing states.
Every point is given in page coordinates (x to the right, y downwards) and written as it is: nothing is rotated or
scaled by the viewer, and a test can measure what it reads. The same calls give the same text, byte for byte.
"""

import math
from collections.abc import Iterable, Sequence
from html import escape

from fittings.drawing.lettering import Box, box, clean, fitted

Point = tuple[float, float]

INK = "#111"
PAPER = "#fff"
ACCENT = "#9a3412"
"""The one colour. It is never the only sign of anything: what is drawn in it also differs in shape or word."""

FONT = "sans-serif"

THICK, THIN = 0.5, 0.25

MARGIN_MM, NARROW_MM = 4.0, 1.5
"""White around a drawing by itself, and around one that stands in a page of its own."""

PENS: dict[str, tuple[float, str, str]] = {
    "outline": (THICK, "", INK),
    "thin": (THIN, "", INK),
    "axis": (0.2, "5 1 0.8 1", INK),
    "hidden": (THIN, "1.8 0.9", INK),
    "estimate": (THIN, "1.4 1.1", INK),
    "phantom": (THIN, "5 1 0.8 1 0.8 1", INK),
    "hatch": (0.15, "", INK),
    "faint": (0.15, "", "#666"),
    "mark": (0.6, "", ACCENT),
    "mark-thin": (0.3, "", ACCENT),
    "heavy": (0.8, "", INK),
    "none": (0.0, "", "none"),
}
"""Width in mm, dashes, colour. Thick to thin is two to one (ISO 128-2)."""


def number(value: float) -> str:
    """A coordinate as written: thousandths of a millimetre, no trailing zeros.

    >>> number(12.5000001), number(-0.0)
    ('12.5', '0')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


class Canvas:
    """A page that grows with what is drawn on it.

    `title` and `about` are read out instead of the picture. `texts` holds the rectangle of every word set, for whoever
    wants to keep clear of it.
    """

    def __init__(self, title: str, about: str, scale: float = 1.0) -> None:
        self.title, self.about, self.scale = clean(title), clean(about), scale
        self.texts: list[Box] = []
        self._parts: list[str] = []
        self._left = self._top = math.inf
        self._right = self._bottom = -math.inf

    @property
    def extent(self) -> Box:
        """Rectangle around all that is drawn, in mm."""
        if self._left > self._right:
            return Box(0.0, 0.0, 0.0, 0.0)
        return Box(self._left, self._top, self._right, self._bottom)

    def reach(self, *points: Point) -> None:
        """Make sure that the page holds these points."""
        for x, y in points:
            self._left, self._right = min(self._left, x), max(self._right, x)
            self._top, self._bottom = min(self._top, y), max(self._bottom, y)

    def line(self, start: Point, end: Point, pen: str = "thin", name: str = "") -> None:
        """A straight line between two points."""
        self.reach(start, end)
        self._put(f'<line x1="{number(start[0])}" y1="{number(start[1])}" x2="{number(end[0])}" y2="{number(end[1])}"'
                  f"{_named(name)}{_pen(pen)}/>")

    def lines(self, points: Iterable[Point], pen: str = "outline", fill: str = "none", closed: bool = False,
              name: str = "") -> None:
        """A run of straight lines; `closed` joins the last point to the first, `fill` colours what it holds."""
        run = list(points)
        self.reach(*run)
        kind = "polygon" if closed else "polyline"
        where = " ".join(f"{number(x)},{number(y)}" for x, y in run)
        self._put(f'<{kind} points="{where}" fill="{fill}"{_named(name)}{_pen(pen)}/>')

    def circle(self, centre: Point, radius: float, pen: str = "outline", fill: str = "none", name: str = "") -> None:
        """A circle, radius in mm."""
        x, y = centre
        self.reach((x - radius, y - radius), (x + radius, y + radius))
        self._put(f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}" fill="{fill}"{_named(name)}{_pen(pen)}/>')

    def arc(self, centre: Point, radius: float, start_deg: float, end_deg: float, pen: str = "thin", name: str = "") -> None:
        """Part of a circle from one direction to another, degrees clockwise from the x axis as the page shows it."""
        count = max(2, math.ceil(abs(end_deg - start_deg) / 6))
        self.reach(*(on_circle(centre, radius, start_deg + (end_deg - start_deg) * n / count) for n in range(count + 1)))
        (x1, y1), (x2, y2) = on_circle(centre, radius, start_deg), on_circle(centre, radius, end_deg)
        large, sweep = int(abs(end_deg - start_deg) > 180), int(end_deg > start_deg)
        self._put(f'<path d="M{number(x1)} {number(y1)}A{number(radius)} {number(radius)} 0 {large} {sweep} '
                  f'{number(x2)} {number(y2)}" fill="none"{_named(name)}{_pen(pen)}/>')

    def tube(self, points: Sequence[Point], across_mm: float, dashed: bool = False) -> None:
        """A hose or pipe seen from the side: two lines `across_mm` apart along a path."""
        half = across_mm / 2
        for x, y in points:
            self.reach((x - half, y - half), (x + half, y + half))
        where = " ".join(f"{number(x)},{number(y)}" for x, y in points)
        dashes = ' stroke-dasharray="5 2"' if dashed else ""
        for width, colour, more in ((across_mm + THIN, INK, dashes), (max(across_mm - THIN, 0.1), PAPER, "")):
            self._put(f'<polyline points="{where}" fill="none" stroke="{colour}" stroke-width="{number(width)}"{more}/>')

    def segments(self, pairs: Iterable[tuple[Point, Point]], pen: str, name: str = "") -> None:
        """Many short lines as one element, as hatching is."""
        run = list(pairs)
        if run:
            for start, end in run:
                self.reach(start, end)
            where = "".join(f"M{number(a[0])} {number(a[1])}L{number(b[0])} {number(b[1])}" for a, b in run)
            self._put(f'<path d="{where}" fill="none"{_named(name)}{_pen(pen)}/>')

    def hatch(self, outline: Sequence[Point], angle_deg: float = 45.0, gap_mm: float = 1.2) -> None:
        """Section lining of a closed outline: thin lines at an angle, `gap_mm` apart (ISO 128-3)."""
        self.segments(lining(outline, angle_deg, gap_mm), "hatch", "section")

    def text(self, where: Point, words: str, size: float = 3.5, anchor: str = "start", bold: bool = False,
             room: float | None = None, colour: str = INK, name: str = "") -> Box:
        """Words on a line that begins, has its middle or ends at `where`; cut to `room` mm, the whole in a tooltip."""
        whole = clean(words)
        shown = whole if room is None else fitted(whole, size, room, bold)
        taken = box(where[0], where[1], shown, size, anchor, bold)
        self.texts.append(taken)
        self.reach((taken.left, taken.top), (taken.right, taken.bottom))
        tip = "" if shown == whole else f"<title>{escape(whole)}</title>"
        style = ' font-weight="bold"' if bold else ""
        at = "" if anchor == "start" else f' text-anchor="{anchor}"'
        self._put(f'<text x="{number(where[0])}" y="{number(where[1])}" font-size="{number(size)}" fill="{colour}"'
                  f"{at}{style}{_named(name)}>{tip}{escape(shown)}</text>")
        return taken

    def arrow(self, tip: Point, towards_deg: float, pen: str = "thin", length: float = 2.2) -> None:
        """A filled arrowhead whose tip is at `tip`, pointing in a direction (degrees clockwise from the x axis)."""
        back = [on_circle(tip, length, towards_deg + 180 + turn) for turn in (-9.5, 9.5)]
        colour = PENS[pen][2]
        self.lines([tip, *back], "none", colour, closed=True)

    def balloon(self, centre: Point, mark: str, radius: float = 2.9, colour: str = INK) -> None:
        """A mark in a circle, as item references are (ISO 6433)."""
        self.circle(centre, radius, "thin", PAPER)
        size = 3.2 if len(mark) < 2 else 2.8
        self.text((centre[0], centre[1] + 0.36 * size), mark, size, "middle", bold=True, colour=colour)

    def window(self, inside: "Canvas", looks_at: Box, left: float, top: float) -> None:
        """Part of another canvas, cut off at the edge of `looks_at`, with its corner at left, top and a frame around it."""
        wide, high = looks_at.right - looks_at.left, looks_at.bottom - looks_at.top
        self.reach((left, top), (left + wide, top + high))
        self._put(f'<svg x="{number(left)}" y="{number(top)}" width="{number(wide)}" height="{number(high)}" '
                  f'viewBox="{number(looks_at.left)} {number(looks_at.top)} {number(wide)} {number(high)}" '
                  f'overflow="hidden" data-scale="{number(inside.scale)}">')
        self._parts += inside._parts
        self._put("</svg>")
        self.lines([(left, top), (left + wide, top), (left + wide, top + high), (left, top + high)], "thin", closed=True)

    def svg(self, margin: float = MARGIN_MM, page: tuple[float, float] | None = None, root: bool = True) -> str:
        """The drawing as SVG text. `page` fixes width and height in mm, else the page is as large as the drawing.

        `root` False leaves out the XML line, for a drawing that stands inside an HTML page.
        """
        held = self.extent.grown(margin)
        left, top, wide, high = held.left, held.top, held.right - held.left, held.bottom - held.top
        if page is not None:
            left, top, (wide, high) = 0.0, 0.0, page
        head = (f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(wide)}mm" height="{number(high)}mm" '
                f'viewBox="{number(left)} {number(top)} {number(wide)} {number(high)}" role="img" '
                f'aria-label="{escape(self.title)}" data-scale="{number(self.scale)}" font-family="{FONT}" '
                'stroke-linejoin="round">')
        paper = f'<rect x="{number(left)}" y="{number(top)}" width="{number(wide)}" height="{number(high)}" fill="{PAPER}"/>'
        about = f"<title>{escape(self.title)}</title>" + (f"<desc>{escape(self.about)}</desc>" if self.about else "")
        first = '<?xml version="1.0" encoding="UTF-8"?>\n' if root else ""
        return first + "\n".join([head, about, paper, *self._parts, "</svg>"]) + "\n"

    def _put(self, element: str) -> None:
        self._parts.append(element)


def _named(name: str) -> str:
    return f' data-is="{escape(name)}"' if name else ""


def _pen(pen: str) -> str:
    width, dashes, colour = PENS[pen]
    if not width:
        return ""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f' stroke="{colour}" stroke-width="{number(width)}"{dashed}'


def on_circle(centre: Point, radius: float, degrees: float) -> Point:
    """The point of a circle in a direction, degrees clockwise from the x axis as the page shows it."""
    turn = math.radians(degrees)
    return centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)


def direction_deg(start: Point, end: Point) -> float:
    """The direction from one point to another, degrees clockwise from the x axis as the page shows it."""
    return math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))


def lining(outline: Sequence[Point], angle_deg: float, gap_mm: float) -> list[tuple[Point, Point]]:
    """The hatch lines inside a closed outline, `gap_mm` apart, rising to the right by `angle_deg`.

    >>> len(lining([(0, 0), (10, 0), (10, 10), (0, 10)], 45, 2))
    7
    """
    turn = math.radians(-angle_deg)
    along, across = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
    corners = [(x * along[0] + y * along[1], x * across[0] + y * across[1]) for x, y in outline]
    first = math.ceil(min(v for _, v in corners) / gap_mm + 1e-9)
    last = math.floor(max(v for _, v in corners) / gap_mm - 1e-9)
    found = []
    for count in range(first, last + 1):
        level = count * gap_mm
        cuts = sorted(
            u1 + (u2 - u1) * (level - v1) / (v2 - v1)
            for (u1, v1), (u2, v2) in zip(corners, [*corners[1:], corners[0]], strict=True)
            if (v1 <= level) != (v2 <= level)
        )
        for start, end in zip(cuts[::2], cuts[1::2], strict=False):
            if end - start > 1e-6:
                found.append(tuple((u * along[0] + level * across[0], u * along[1] + level * across[1])
                                   for u in (start, end)))
    return [(pair[0], pair[1]) for pair in found]
