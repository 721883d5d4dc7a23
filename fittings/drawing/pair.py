"""Two ends offered to each other: the joint where there is one, and why it does not hold where there is none.

Both are pushed together until metal meets metal or their threads bind; what touches is found from the outlines, never
told. The drawing explains a verdict; it decides nothing.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from fittings.drawing.bodies import stub
from fittings.drawing.callouts import Label, Row, listing, paragraph, place, scale_bar, scale_for, scale_words
from fittings.drawing.chain import WIDE_MM, rating_words, seal_words, torque_words
from fittings.drawing.lettering import Box
from fittings.drawing.section import Placed, Pose, axis, boxes, draw
from fittings.drawing.shapes import shape
from fittings.drawing.solids import Contact, Point, Shape, contact, known_mm, reach_at, seal_place
from fittings.drawing.svg import PAPER, Canvas
from fittings.ends import family
from fittings.mating import Verdict, headline, mate, meeting
from fittings.threads import Thread

ROOM_MM = (104.0, 96.0)
DETAIL_MM = 54.0
APART_MM = 9.0


class _Spot(NamedTuple):
    """A place that the drawing points at: a point of `a` or `b` in its own frame, good or bad, what to say of it."""

    of_a: bool
    at: Point
    bad: bool
    says: str


class _Pair(NamedTuple):
    a: Shape
    b: Shape
    apart_mm: float
    contact: Contact
    together: bool


def pair_svg(verdict: Verdict, listed: bool = True, root: bool = True) -> str:
    """A verdict as SVG: both ends in section, pushed together as far as they go, and what happens at the seal.

    A second view shows the seal enlarged, a third the threads where they differ. `listed` False leaves out the reasons
    below, `root` False the XML line.

    >>> from fittings.ends import end
    >>> from fittings.mating import mate
    >>> "UNSAFE" in pair_svg(mate(end("jic", "-6", "male"), end("orb", "-6", "port")))
    True
    """
    pair = _pushed_together(verdict)
    extent = pair.apart_mm, 2 * max(pair.a.wide_mm, pair.b.wide_mm)
    scale = scale_for(extent[0] + 18.0, extent[1], ROOM_MM)
    canvas = Canvas(f"{verdict.a.say} with {verdict.b.say}", headline(verdict), scale)
    placed = _placed(pair, scale)
    draw(canvas, placed)
    axis(canvas, (canvas.extent.left - 2.0, 0.0), (canvas.extent.right + 2.0, 0.0))
    spots = _spots(verdict, pair)
    taken = boxes(placed)
    labels = []
    places = [_page(pair, spot, scale) for spot in spots]
    for index, (spot, at) in enumerate(zip(spots, places, strict=True)):
        _mark(canvas, at, spot.bad, _mark_radius(at, places))
        labels.append(Label(at, 75.0 if spot.of_a else 105.0, "abcdef"[index]))
    place(canvas, labels, taken)
    if pair.together and spots:
        _detail(canvas, pair, spots, scale)
    if pair.together:
        _threads(canvas, verdict)
    held = canvas.extent
    bottom = scale_bar(canvas, held.left, held.bottom + 4.0, scale)
    if listed:
        _words(canvas, verdict, spots, held.left, bottom + 3.0)
    return canvas.svg(root=root)


def _pushed_together(verdict: Verdict) -> _Pair:
    a, b = shape(verdict.a), shape(verdict.b)
    met = contact(a, b)
    good = verdict.good
    if not good and verdict.engages == "no":
        return _Pair(a, b, a.tip_mm + b.tip_mm + APART_MM, met, False)
    apart = met.apart_mm
    threads = None if good else meeting(verdict.a, verdict.b)
    if threads is not None and threads.turns is not None and a.screws and b.screws:
        turned = threads.turns * threads.external.pitch_mm
        bound = a.screws[-1].stop + b.screws[-1].stop - turned
        if bound > apart:
            return _Pair(a, b, bound, Contact(bound, ()), True)
    return _Pair(a, b, apart, met, True)


def _placed(pair: _Pair, scale: float) -> list[Placed]:
    left = Pose((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), scale)
    right = left.moved(pair.apart_mm).facing_back()
    found = []
    for number, (each, pose) in enumerate(((pair.a, left), (pair.b, right))):
        if not any(piece.kind == "block" for piece in each.pieces):
            found.append(Placed(stub(each), pose, number))
        found.append(Placed(each, pose, number))
    return found


def _page(pair: _Pair, spot: _Spot, scale: float) -> Point:
    x, r = spot.at
    return (x if spot.of_a else pair.apart_mm - x) * scale, r * scale


def _spots(verdict: Verdict, pair: _Pair) -> list[_Spot]:
    """What there is to see at the seal: where it seals, or where metal only touches and which seat meets nothing."""
    in_steel = mate(verdict.a, verdict.b)  # what the ends are made of changes nothing that is seen at the seal
    if in_steel.seal is not None:
        return [_good(in_steel, pair)]
    if not pair.together:
        return []
    both = {family(each.family)["seal"] for each in (verdict.a, verdict.b)}
    if both == {"thread-and-sealant"}:
        at = _seat_point(pair.a) or (pair.a.tip_mm, 0.0)
        return [_Spot(True, at, True, "the flanks stand at different angles: a gap winds along the thread and leaks")]
    spots = []
    touching = _touching(pair)
    if touching is not None:
        spots.append(touching)
    for of_a, each in ((True, pair.a), (False, pair.b)):
        seat = _seat_point(each)
        near = touching is not None and _on_seat(each, touching, of_a, pair)
        if seat is not None and not near:
            spots.append(_Spot(of_a, seat, True, f"{each.end.say}: {each.end.seat}; here it meets nothing of its kind"))
    return spots


def _good(verdict: Verdict, pair: _Pair) -> _Spot:
    cones = verdict.seal is not None and verdict.seal.on_cones
    of_a, at = seal_place(pair.a, pair.b, pair.contact, cones)
    said = seal_words(verdict.seal)
    return _Spot(of_a, at, False, f"{said}; only if {verdict.condition}" if verdict.condition else said)


def _seat_point(of: Shape) -> Point | None:
    return of.marks["seal"][0] if "seal" in of.marks else None


def _touching(pair: _Pair) -> _Spot | None:
    """Where metal meets metal, on `a`; None when the threads bind first, or nothing was pushed together."""
    radii = pair.contact.touching
    if not radii or not pair.together:
        return None
    radius = (radii[0] + radii[-1]) / 2
    along = reach_at(pair.a, radius)
    if along is None:
        radius = radii[0]
        along = reach_at(pair.a, radius)
    if along is None:
        return None
    line = pair.contact.band_mm < 0.35
    how = "metal touches on a line only" if line else f"metal touches on a band of {pair.contact.band_mm:.1f} mm"
    return _Spot(True, (along, radius), True, f"{how}, ⌀ {2 * radius:.1f} mm as drawn: no seal")


def _on_seat(of: Shape, touching: _Spot, of_a: bool, pair: _Pair) -> bool:
    if "seat" not in of.marks:
        return False
    x, r = touching.at
    if not of_a:
        x = pair.apart_mm - x
    (x1, r1), (x2, r2) = of.marks["seat"]
    length = math.hypot(x2 - x1, r2 - r1)
    along = ((x - x1) * (x2 - x1) + (r - r1) * (r2 - r1)) / length**2
    off = abs((x - x1) * (r2 - r1) - (r - r1) * (x2 - x1)) / length
    return -0.08 <= along <= 1.08 and off < 0.15


def _mark(canvas: Canvas, at: Point, bad: bool, radius: float) -> None:
    """A cross in a ring where it does not seal, a plain ring where it does."""
    canvas.circle(at, radius, "mark", name="bad" if bad else "good")
    if bad:
        arm = 0.65 * radius
        for turn in (1, -1):
            canvas.line((at[0] - arm, at[1] - arm * turn), (at[0] + arm, at[1] + arm * turn), "mark")


def _mark_radius(at: Point, places: Sequence[Point]) -> float:
    """As large as a mark can be without lying on another, within reason."""
    apart = [math.dist(at, other) for other in places if other != at]
    return max(1.1, min([2.0, *(each / 2 - 0.3 for each in apart)]))


def _detail(canvas: Canvas, pair: _Pair, spots: Sequence[_Spot], scale: float) -> None:
    """The seal enlarged, in a window to the right of the drawing."""
    pages = [_page(pair, spot, 1.0) for spot in spots]
    spread = max(abs(one[n] - other[n]) for one in pages for other in pages for n in (0, 1))
    factor = next((each for each in (10.0, 5.0) if each > scale and (spread + 2.0) * each < DETAIL_MM), 0.0)
    if factor:
        centre = [sum(point[n] for point in pages) / len(pages) * factor for n in (0, 1)]
    else:
        factor = 10.0 if scale >= 2 else 5.0
        reach = (DETAIL_MM - 6.0) / factor
        crowds = [[other for other in pages if math.dist(page, other) < reach / 2] for page in (pages[1], *pages)]
        crowd = max(crowds, key=len)
        centre = [sum(point[n] for point in crowd) / len(crowd) * factor for n in (0, 1)]
    inside = Canvas("", "", factor)
    draw(inside, _placed(pair, factor))
    for spot in spots:
        _mark(inside, _page(pair, spot, factor), spot.bad, 2.0)
    _angles(inside, pair, factor)
    looks_at = Box(centre[0] - DETAIL_MM / 2, centre[1] - DETAIL_MM / 2, centre[0] + DETAIL_MM / 2, centre[1] + DETAIL_MM / 2)
    held = canvas.extent
    left, top = held.right + 9.0, held.top
    canvas.window(inside, looks_at, left, top)
    canvas.text((left, top + DETAIL_MM + 4.0), f"the seal, {scale_words(factor)}", 3.2)
    angles = [known_mm(each.end, "seat_deg", "chamfer_seat_deg") if "seat" in each.marks else None for each in (pair.a, pair.b)]
    if all(angles):
        canvas.text((left, top + DETAIL_MM + 8.4), " on ".join(f"{angle:g}°" for angle in angles) + " to the axis", 3.2)


def _angles(canvas: Canvas, pair: _Pair, factor: float) -> None:
    """Both seats drawn once more as heavy lines: where their angles differ it is seen."""
    for of_a, each in ((True, pair.a), (False, pair.b)):
        if "seat" in each.marks:
            ends = [_page(pair, _Spot(of_a, point, False, ""), factor) for point in each.marks["seat"]]
            canvas.line(ends[0], ends[1], "heavy", "seat-a" if of_a else "seat-b")


def _threads(canvas: Canvas, verdict: Verdict) -> None:
    """Eight millimetres of both threads, laid into each other from the first turn, where they are not the same."""
    met = meeting(verdict.a, verdict.b)
    if met is None or verdict.good or verdict.a.thread == verdict.b.thread:
        return
    male, female = met.external, met.internal
    factor = 5.0
    long = DETAIL_MM / factor
    inside = Canvas("", "", factor)
    play = max(0.0, (female.major_mm - male.major_mm) / 2)
    _profile(inside, female, long, factor, -play * factor, "section-nut", True)
    _profile(inside, male, long, factor, 0.0, "section-body", False)
    left, top = canvas.extent.right - DETAIL_MM, canvas.extent.bottom + 3.0
    looks_at = Box(0.0, -10.0, DETAIL_MM, 12.0)
    canvas.window(inside, looks_at, left, top)
    canvas.text((left, top + 26.0), f"threads, {scale_words(factor)}", 3.2)
    canvas.text((left, top + 30.4), f"{female.say} above", 3.2)
    canvas.text((left, top + 34.8), f"{male.say} below", 3.2)


def _profile(canvas: Canvas, of: Thread, long: float, factor: float, offset: float, name: str, female: bool) -> None:
    """A run of sharp-cut teeth of a thread, its crests and roots flattened by an eighth and a quarter."""
    depth = of.pitch_mm * 0.5 / math.tan(math.radians(of.flank_deg / 2)) * 0.68
    points: list[Point] = []
    for n in range(-1, math.ceil(long / of.pitch_mm) + 2):
        at = n * of.pitch_mm
        slope = depth * math.tan(math.radians(of.flank_deg / 2))
        crest = (of.pitch_mm - 2 * slope) / 2
        points += [(at, depth), (at + slope, 0.0), (at + slope + crest, 0.0), (at + 2 * slope + crest, depth)]
    page = [(x * factor, y * factor + offset) for x, y in points]
    level = -40.0 if female else 40.0
    outline = [(page[0][0], level), *page, (page[-1][0], level)]
    canvas.lines(outline, "none", PAPER, closed=True)
    canvas.hatch(outline, 135.0 if female else 45.0, 1.6)
    canvas.lines(page, "outline", name=name)


def _words(canvas: Canvas, verdict: Verdict, spots: Sequence[_Spot], left: float, top: float) -> None:
    y = paragraph(canvas, f"{verdict.a.say} with {verdict.b.say}", left, top, WIDE_MM, 4.0, bold=True)
    y = paragraph(canvas, headline(verdict), left, y + 1.0, WIDE_MM, 4.0, bold=True) + 2.0
    y = listing(canvas, [Row("abcdef"[n], spot.says, ()) for n, spot in enumerate(spots)], left, y, WIDE_MM)
    for reason in verdict.reasons:
        y = paragraph(canvas, f"– {reason.text}", left, y, WIDE_MM, 3.2) + 0.6
    if verdict.good:
        y = paragraph(canvas, f"{rating_words(verdict.rating)}; {torque_words(verdict)}", left, y + 0.5, WIDE_MM, 3.2)
    if verdict.instead:
        y = paragraph(canvas, f"Instead: {verdict.instead}", left, y + 1.0, WIDE_MM, 3.2)
    paragraph(canvas, "Both are pushed together as far as their outlines allow; seats and lengths that no table holds are "
              "drawn by proportion.", left, y + 1.0, WIDE_MM, 2.6)
