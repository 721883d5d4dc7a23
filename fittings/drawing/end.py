"""One end, to scale, with letters where to measure and what the caliper, the pitch gauge or the eye should find."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from fittings.drawing.bodies import stub
from fittings.drawing.callouts import BALLOON_MM, Label, Row, listing, paragraph, place, scale_bar, scale_for
from fittings.drawing.chain import CONFIDENCE, WIDE_MM, ring_words
from fittings.drawing.lettering import Box
from fittings.drawing.other_ends import hose_radii_mm
from fittings.drawing.section import Placed, Pose, axis, boxes, draw
from fittings.drawing.shapes import profile, shape
from fittings.drawing.solids import Piece, Point, Shape
from fittings.drawing.svg import INK, PAPER, Canvas, on_circle
from fittings.ends import End, family
from fittings.figures import Figure, figure
from fittings.ratings import ring
from fittings.tables import Row as TableRow
from fittings.tables import table
from fittings.threads import limits, thread
from fittings.units import MM_PER_IN

ROOM_MM = (128.0, 90.0)


class Measure(NamedTuple):
    """A place to measure: its letter, how it is shown, the mark of the shape, what it is, the tool, the reading in words."""

    letter: str
    how: str
    place: str
    what: str
    tool: str
    reading: str


def end_svg(of: End, listed: bool = True, root: bool = True) -> str:
    """An end as SVG, to the scale it states: from the side (outside above the axis, section below) and from its front.

    Letters say where to measure; the list says with what, and what should be read, mm first and inches after. Rests on
    the thread limits of the standard and on `data/figures/`; what no table holds is drawn by proportion and said so.
    `listed` False leaves out the list, `root` False the XML line.

    >>> from fittings.ends import end
    >>> "caliper" in end_svg(end("jic", "-6", "male"))
    True
    """
    made = shape(of)
    wide = made.tip_mm + 0.5 * made.flats_mm + 2 * made.wide_mm
    scale = scale_for(wide, 2 * made.wide_mm, ROOM_MM, 5.0 if made.wide_mm < 7 else 2.0)
    canvas = Canvas(of.say, f"{family(of.family)['name']}; {of.standard}; {of.seat}", scale)
    pose = Pose((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), scale)
    placed = [Placed(made, pose, 0)]
    if not any(piece.kind == "block" for piece in made.pieces):
        placed.insert(0, Placed(stub(made), pose, 0))
    draw(canvas, placed)
    left = canvas.extent.left
    axis(canvas, (left - 3.0, 0.0), pose.at(made.tip_mm + 4.0 / scale, 0.0))
    _named_edges(canvas, pose, made)
    taken = boxes(placed)
    measures = list(measures_of(of))
    labels = _show(canvas, pose, made, measures, taken)
    right = max(canvas.extent.right, max(box.right for box in taken))
    front = right + made.wide_mm * scale + 16.0
    _front(canvas, (front, 0.0), made, scale, measures, taken)
    place(canvas, labels, taken)
    held = canvas.extent
    end = scale_bar(canvas, held.left, held.bottom + 4.0, scale)
    if listed:
        _words(canvas, of, made, measures, held.left, end + 3.0)
    return canvas.svg(root=root)


def measures_of(of: End) -> Iterator[Measure]:
    """Where an end is measured and what should be read, in the order of `data/drawing/measures.csv`."""
    found = shape(of)
    count = 0
    for row in table("drawing/measures"):
        if row["outline"] != profile(of)["outline"] or (row["place"] not in found.marks and row["place"] != "hex"):
            continue
        if row["how"] == "flats" and not any(figure(of, name) for name in row["value"].split(";")):
            continue
        yield Measure("abcdefghij"[count], row["how"], row["place"], row["what"], row["tool"], _reading(of, row))
        count += 1


def _reading(of: End, row: TableRow) -> str:
    value = row["value"]
    if value == "thread-major":
        return _limits(of, "external", "major")
    if value == "thread-minor":
        return _limits(of, "internal", "minor")
    if value == "pitch":
        found = thread(of.thread)
        counted = f"{found.tpi:g} threads per inch = {found.pitch_mm:.3f} mm" if found.tpi else f"{found.pitch_mm:g} mm"
        return f"{counted}; flanks {found.flank_deg:g}°"
    if value == "ring":
        held = ring(of)
        return ring_words(held) if held else ""
    if value == "hose-bore":
        bore, _, known = hose_radii_mm(of.size)
        return _mm(2 * bore) if known else ""
    if row["how"] == "bolts":
        long, short = (figure(of, f"bolt_spacing_{side}_mm") for side in ("long", "short"))
        return f"{long.value} x {short.value} mm ({CONFIDENCE[long.confidence]})" if long and short else ""
    figures = [held for name in value.split(";") if name for held in _figures(of, name)]
    if not figures and value:
        return "not in our tables: drawn by proportion" if row["how"] != "seat" else ""
    return _figure_words(figures)


def _figures(of: End, name: str) -> list[Figure]:
    """A figure, or its least and greatest where the tables give a range."""
    exact = figure(of, name)
    if exact is not None:
        return [exact]
    return [held for held in (figure(of, f"{name}_min_mm"), figure(of, f"{name}_max_mm")) if held is not None]


def _figure_words(figures: Sequence[Figure]) -> str:
    if not figures:
        return ""
    first = figures[0]
    if first.unit == "°":
        each = float(first.value)
        return f"{each:g}° to the axis, {2 * each:g}° across ({CONFIDENCE[first.confidence]})"
    if len(figures) > 1 and first.name.endswith("_min_mm") and figures[1].name.endswith("_max_mm"):
        return f"{first.value} to {figures[1].value} mm ({CONFIDENCE[first.confidence]})"
    held = float(first.value) * (MM_PER_IN if first.unit == "in" else 1.0)
    least = "at least " if "_min" in first.name else ""
    return f"{least}{_mm(held)} ({CONFIDENCE[first.confidence]})"


def _mm(value: float) -> str:
    return f"{value:.2f} mm ({value / MM_PER_IN:.3f} in)"


def _limits(of: End, side: str, which: str) -> str:
    found = limits(thread(of.thread), side)
    least, most = (getattr(found, f"{which}_{end}") for end in ("min", "max"))
    words = f", {CONFIDENCE[found.confidence]}"
    where = f" at the {found.plane}" if found.plane else ""
    if least is None or most is None:
        basic = thread(of.thread)
        value = basic.major_mm if which == "major" else basic.major_mm - 1.0825 * basic.pitch_mm
        return f"about {_mm(value)}{where}"
    low, high = least * found.unit_mm, most * found.unit_mm
    return f"{low:.2f} to {high:.2f} mm ({low / MM_PER_IN:.3f} to {high / MM_PER_IN:.3f} in){where}{words}"


def _named_edges(canvas: Canvas, pose: Pose, made: Shape) -> None:
    """The seat once more, by name: it is what the drawing is about, and a test measures its angle."""
    if "seat" in made.marks:
        (x1, r1), (x2, r2) = made.marks["seat"]
        canvas.line(pose.at(x1, r1), pose.at(x2, r2), "heavy", "seat")


def _show(canvas: Canvas, pose: Pose, made: Shape, measures: Sequence[Measure], taken: list[Box]) -> list[Label]:
    """Draw the jaws and dimension lines; returns the labels that are led to a point."""
    labels, lane, jaws = [], 0, 0
    for each in measures:
        places = made.marks.get(each.place, ())
        if each.how == "jaws" and places:
            _jaws(canvas, pose, places, each.letter, jaws, taken)
            jaws += 1
        elif each.how == "inside" and places:
            _inside(canvas, pose, made, places, each.letter, lane, taken)
            lane += 1
        elif each.how == "along" and len(places) == 2:
            _along(canvas, pose, made, places, each.letter, taken)
        elif each.how in ("lead", "seat") and places:
            x, r = (sum(point[n] for point in places) / len(places) for n in (0, 1))
            labels.append(Label(pose.at(x, r), 60.0, each.letter))
    return labels


def _jaws(canvas: Canvas, pose: Pose, places: Sequence[Point], letter: str, count: int, taken: list[Box]) -> None:
    """Caliper jaws: one arrow from above, one from below, at a diameter."""
    x = places[0][0] * 0.5 + places[-1][0] * 0.5
    r = max(point[1] for point in places)
    middle = pose.at(x, 0.0)[0]
    above = [abs(box.top) for box in taken if box.left < middle + 3 and box.right > middle - 3]
    high = max([abs(pose.at(0.0, r)[1]), *above])
    for side in (-1, 1):
        tip, tail = pose.at(x, side * r), (pose.at(x, 0.0)[0], pose.at(0.0, 0.0)[1] + side * (high + 5.0))
        canvas.line(tail, tip, "thin", "jaw")
        canvas.arrow(tip, 90.0 if side < 0 else -90.0)
        taken.append(Box(tail[0] - 1.2, min(tail[1], tip[1]), tail[0] + 1.2, max(tail[1], tip[1])))
    top = (pose.at(x, 0.0)[0], -(high + 5.0 + BALLOON_MM))
    canvas.balloon(top, letter)
    taken.append(Box(top[0] - 3.5, top[1] - 3.5, top[0] + 3.5, top[1] + 3.5))


def _inside(canvas: Canvas, pose: Pose, made: Shape, places: Sequence[Point], letter: str, lane: int, taken: list[Box]) -> None:
    """A diameter in front of the mouth: a dimension line across, its letter on it."""
    x = max(point[0] for point in places)
    r = places[-1][1]
    at = pose.at(made.tip_mm, 0.0)[0] + 7.0 + 8.0 * lane
    ends = [pose.at(x, side * r) for side in (-1, 1)]
    for _, y in ends:
        canvas.line((ends[0][0] + 0.8, y), (at + 1.4, y), "thin")
    canvas.line((at, ends[0][1]), (at, ends[1][1]), "thin", "inside")
    canvas.arrow((at, ends[0][1]), -90.0)
    canvas.arrow((at, ends[1][1]), 90.0)
    middle = (at, pose.at(0.0, 0.0)[1] - 0.35 * r * pose.scale)
    canvas.balloon(middle, letter)
    taken.append(Box(at - 3.6, ends[0][1] - 1.0, at + 3.6, ends[1][1] + 1.0))


def _along(canvas: Canvas, pose: Pose, made: Shape, places: Sequence[Point], letter: str, taken: list[Box]) -> None:
    """A length along the axis, above everything."""
    left, right = sorted((pose.at(*places[0]), pose.at(*places[1])))
    top = min(box.top for box in taken if box.left < right[0] + 6 and box.right > left[0] - 6)
    level = top - 5.0
    for x, y in (left, right):
        canvas.line((x, -abs(y)), (x, level - 1.2), "thin")
    wide = right[0] - left[0] > 5.0
    canvas.line((left[0] - (0 if wide else 4.0), level), (right[0] + (0 if wide else 4.0), level), "thin", "along")
    canvas.arrow((left[0], level), 180.0 if wide else 0.0)
    canvas.arrow((right[0], level), 0.0 if wide else 180.0)
    at = ((left[0] + right[0]) / 2, level - BALLOON_MM - 0.6)
    canvas.balloon(at, letter)
    taken.append(Box(min(left[0], at[0] - 3.5) - 4.0, at[1] - 3.5, max(right[0], at[0] + 3.5) + 4.0, level + 1.0))


def _front(canvas: Canvas, centre: Point, made: Shape, scale: float, measures: Sequence[Measure], taken: list[Box]) -> None:
    """The end as it looks at you: every edge that nothing in front of it hides, the hexagon, the screws."""
    wide = 0.0
    for ring_piece in (piece for piece in made.pieces if piece.kind == "ring" and "face" in made.marks):
        outer, inner = (end(r for _, r in ring_piece.outline) for end in (max, min))
        over = [screw.major_mm / 2 for screw in made.screws if inner < screw.major_mm / 2 < outer]
        inner = max([inner, *over])
        canvas.circle(centre, outer * scale, "outline", INK, "front-ring")
        canvas.circle(centre, inner * scale, "outline", PAPER, "front-ring")
    for radius in _front_radii(made):
        canvas.circle(centre, radius * scale, "outline", name="front")
        wide = max(wide, radius * scale)
    for screw in made.screws[-1:]:
        root = screw.major_mm / 2 - screw.depth_mm if screw.side == "external" else screw.major_mm / 2
        canvas.arc(centre, root * scale, -80.0, 190.0, "thin", "front-thread")
    flats = made.hexagons[0].flats_mm if made.hexagons else made.flats_mm
    if flats:
        corner = flats / 3**0.5 * scale
        canvas.lines([on_circle(centre, corner, 30.0 + 60.0 * n) for n in range(6)], "outline", closed=True, name="hex")
        wide = max(wide, corner)
    if "bolts" in made.marks:
        wide = max(wide, _screws(canvas, centre, made, scale, measures))
    reach = wide + 5.0
    canvas.line((centre[0] - reach, centre[1]), (centre[0] + reach, centre[1]), "axis")
    canvas.line((centre[0], centre[1] - reach), (centre[0], centre[1] + reach), "axis")
    taken.append(Box(centre[0] - wide - 2, centre[1] - wide - 2, centre[0] + wide + 2, centre[1] + wide + 2))
    for each in measures:
        if each.how == "flats" and flats:
            half = flats / 2 * scale
            level = centre[1] + 0.22 * flats * scale
            for side in (-1, 1):
                tip, tail = (centre[0] + side * half, level), (centre[0] + side * (wide + 7.0), level)
                canvas.line(tail, tip, "thin", "jaw")
                canvas.arrow(tip, 180.0 if side > 0 else 0.0)
            at = (centre[0] + wide + 7.0 + BALLOON_MM, level)
            canvas.balloon(at, each.letter)
            taken.append(Box(centre[0] - wide - 8.0, level - 3.6, at[0] + 3.6, level + 3.6))


def _front_radii(made: Shape) -> list[float]:
    pieces = [piece for piece in made.pieces if piece.kind not in ("bolt", "hole", "braid", "clamp", "ring")]
    hexes = [hexagon for hexagon in made.hexagons]
    found = set()
    for piece in pieces:
        for x, r in piece.outline:
            if r > 0.2 and not any(_covers(other, x, r) for other in pieces):
                found.add(round(r, 3))
    limit = max((hexagon.flats_mm / 2 for hexagon in hexes), default=1e9)
    if made.flats_mm:
        limit = min(limit, made.flats_mm / 2)
    return sorted(r for r in found if r < limit + 0.01 or not (hexes or made.flats_mm))


def _covers(piece: Piece, x: float, r: float) -> bool:
    """Whether a piece lies in front of a ring of that radius, seen from the tip."""
    run = [*piece.outline, piece.outline[0]]
    for near in (-1e-3, 1e-3):
        reach = max((x1 + (x2 - x1) * (r + near - r1) / (r2 - r1) for (x1, r1), (x2, r2) in zip(run, run[1:], strict=False)
                     if min(r1, r2) < r + near < max(r1, r2)), default=-1.0)
        if reach > x + 0.05:
            return True
    return False


def _screws(canvas: Canvas, centre: Point, made: Shape, scale: float, measures: Sequence[Measure]) -> float:
    """Four screws of a flange, with both spacings."""
    long = made.marks["bolts"][0][1] * scale
    found = next((figure(made.end, name) for name in ("bolt_spacing_short_mm",) if figure(made.end, name)), None)
    short = float(found.value) / 2 * scale if found else 0.46 * long
    screw = 0.09 * long
    for x in (-short, short):
        for y in (-long, long):
            canvas.circle((centre[0] + x, centre[1] + y), screw, "outline", name="screw")
    for each in measures:
        if each.how == "bolts":
            canvas.balloon((centre[0] + short + 9.0, centre[1]), each.letter)
            for y in (-long, long):
                canvas.line((centre[0] + short + screw + 1.0, centre[1] + y), (centre[0] + short + 10.5, centre[1] + y), "thin")
            for side in (-1, 1):
                canvas.line((centre[0] + short + 9.0, centre[1] + side * BALLOON_MM),
                            (centre[0] + short + 9.0, centre[1] + side * long), "thin", "spacing")
                canvas.arrow((centre[0] + short + 9.0, centre[1] + side * long), side * 90.0)
    return long + screw


def _words(canvas: Canvas, of: End, made: Shape, measures: Sequence[Measure], left: float, top: float) -> None:
    y = paragraph(canvas, of.say, left, top, WIDE_MM, 4.0, bold=True)
    says = "; ".join(each for each in (of.standard, f"thread {of.thread}" if of.thread else "", of.seat) if each)
    y = paragraph(canvas, says, left, y + 0.5, WIDE_MM, 3.2) + 2.0
    rows = [Row(each.letter, each.what, (f"{each.reading}; {each.tool}" if each.reading else each.tool,)) for each in measures]
    y = listing(canvas, rows, left, y, WIDE_MM)
    unknown = set(made.guesses) - {"hex"}
    if (made.flats_mm or made.hexagons) and not any(each.how == "flats" for each in measures):
        unknown.add("hexagon")
    guesses = ", ".join(sorted(unknown))
    note = f"Not in our tables and drawn by proportion: {guesses}." if guesses else ""
    paragraph(canvas, f"{note} A thread that is worn reads smaller outside and larger inside.".strip(), left, y + 0.5, WIDE_MM, 2.6)
