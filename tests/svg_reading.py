"""Reading a drawing back: its elements in page coordinates, its words with the room they take."""

import itertools
import math
import xml.etree.ElementTree as ET
from collections.abc import Iterator

from fittings.drawing.lettering import Box, box

NS = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]


class Picture:
    """A drawing as parsed; `scale` is what it states of itself."""

    def __init__(self, svg: str) -> None:
        self.root = ET.fromstring(svg.encode("utf-8"))
        self.scale = float(self.root.get("data-scale", "1"))
        left, top, wide, high = (float(each) for each in self.root.get("viewBox", "").split())
        self.page = Box(left, top, left + wide, top + high)
        self.unit_mm = float(self.root.get("width", "").removesuffix("mm")) / wide

    def elements(self, name: str) -> list[ET.Element]:
        """Elements drawn under a name, those of enlarged windows left out."""
        return [each for each in self._outer(self.root) if each.get("data-is") == name]

    def _outer(self, of: ET.Element) -> Iterator[ET.Element]:
        for each in of:
            if each.tag != NS + "svg":
                yield each
                yield from self._outer(each)

    def points(self, name: str) -> list[list[Point]]:
        """The points of every line, run of lines or circle of a name; a circle gives its left and right ends."""
        return [points_of(each) for each in self.elements(name)]

    def texts(self) -> list[tuple[Box, str]]:
        """Every word and the rectangle it takes by the table of letter widths."""
        found = []
        for each in self._outer(self.root):
            if each.tag == NS + "text":
                tip = each.find(NS + "title")
                words = (tip.tail or "") if tip is not None else (each.text or "")
                x, y, size = (float(each.get(name, "0")) for name in ("x", "y", "font-size"))
                found.append((box(x, y, words, size, each.get("text-anchor", "start"), each.get("font-weight") == "bold"), words))
        return found

    def struck(self) -> list[str]:
        """Words that a thin line, a leader or a line of a dimension, runs through; marks in balloons lie over lines."""
        words = [(box_.grown(-0.45), said) for box_, said in self.texts() if len(said) > 2]
        lines = [points_of(each) for each in self._outer(self.root)
                 if each.tag == NS + "line" and float(each.get("stroke-width", "0")) == 0.25]
        return [said for taken, said in words for start, end in lines if _runs_through(start, end, taken)]

    def troubles(self) -> list[str]:
        """Words that lie on one another, hang over the edge of the page, or are struck through."""
        words = self.texts()
        found = [f"a line runs through {said!r}" for said in self.struck()]
        found += [f"{a!r} lies on {b!r}" for (one, a), (other, b) in itertools.combinations(words, 2) if one.meets(other, -0.02)]
        for taken, said in words:
            if (taken.left < self.page.left or taken.right > self.page.right + 0.01 or taken.top < self.page.top - 0.01
                    or taken.bottom > self.page.bottom + 0.01):
                found.append(f"{said!r} hangs over the edge")
        return found


def _runs_through(start: Point, end: Point, box_: Box) -> bool:
    steps = max(2, int(math.dist(start, end) / 0.2))
    return any(box_.left < start[0] + (end[0] - start[0]) * n / steps < box_.right
               and box_.top < start[1] + (end[1] - start[1]) * n / steps < box_.bottom for n in range(steps + 1))


def points_of(element: ET.Element) -> list[Point]:
    """The points of one element, page coordinates."""
    if element.tag == NS + "line":
        x1, y1, x2, y2 = (float(element.get(name, "0")) for name in ("x1", "y1", "x2", "y2"))
        return [(x1, y1), (x2, y2)]
    if element.tag == NS + "circle":
        x, y, r = (float(element.get(name, "0")) for name in ("cx", "cy", "r"))
        return [(x - r, y), (x + r, y)]
    pairs = (pair.split(",") for pair in element.get("points", "").split())
    return [(float(x), float(y)) for x, y in pairs]


def angle_deg(run: list[Point]) -> float:
    """Angle of a line to the horizontal, 0 to 90°."""
    (x1, y1), (x2, y2) = run[0], run[-1]
    return math.degrees(math.atan2(abs(y2 - y1), abs(x2 - x1)))
