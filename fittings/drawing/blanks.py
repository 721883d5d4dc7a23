"""Caps and plugs: an end with its passage closed, and the hexagon it is turned by."""

from fittings.drawing.bodies import ESTIMATE, Size, flats_of
from fittings.drawing.male_ends import chamfered_bar
from fittings.drawing.shapes import shape
from fittings.drawing.solids import Hexagon, Piece, Point, Shape
from fittings.envelopes import envelope
from fittings.parts import Part

_WORDS = {"A": "two sources", "B": "one source", "C": "from memory"}


def blank(part: Part) -> tuple[Shape, Shape | None, Size]:
    """A cap or plug: its end closed, the hexagon behind it (None where the end is a nut or a flange), and its length."""
    (of,) = part.ends
    closed = _closed(shape(of))
    flats = flats_of(part, closed)
    found = envelope(part)
    known = found.overall_length_mm if found is not None else None
    if not closed.flats_mm:
        if closed.hexagons and closed.pieces[0].kind == "body":
            closed = closed._replace(hexagons=tuple(each._replace(first=True) for each in closed.hexagons))
        closed = _cut_behind(closed, known)
        long = closed.tip_mm - min(x for piece in closed.pieces for x, _ in piece.outline)
        if known and found:
            says = f"{{0}} {{unit}} end to end ({_WORDS[found.confidence]})"
            return closed, None, Size(says, (known,), False, long > known + 0.05, known)
        return closed, None, Size(ESTIMATE, (long,), True, False, long)
    least = 0.12 * flats
    length = known - closed.tip_mm if known else 0.35 * flats
    overall = known or length + closed.tip_mm
    says = f"{{0}} {{unit}} end to end ({_WORDS[found.confidence]})" if known and found else ESTIMATE
    stretched = length < least
    length = max(length, least)
    hexagon = Hexagon(-length, 0.0, flats)
    outline = chamfered_bar(-length, 0.0, 0.0, hexagon)
    head = Shape(of, (Piece("barrel", outline, grown=((0.0, closed.neck_mm),)),), (), (hexagon,), hexagon.corner, 0.0, {}, frozenset())
    return closed, head, Size(says, (overall,), not known, stretched, known or length + closed.tip_mm)


def _closed(of: Shape) -> Shape:
    pieces = []
    for piece in of.pieces:
        if piece.kind in ("body", "tail", "tube", "block"):
            grown = piece.grown if of.flats_mm else ()
            piece = piece._replace(outline=_filled(piece.outline, of.bore_mm), grown=grown)
        pieces.append(piece)
    return of._replace(pieces=tuple(piece for piece in pieces if piece.kind != "valve"), bore_mm=0.0)


def _cut_behind(of: Shape, known_mm: float | None) -> Shape:
    """A closed end behind a nut, cut off to its known length, or just behind the nut."""
    if not any(piece.kind == "nut" for piece in of.pieces):
        return of
    nut = of.hexagons[0].start
    cut = min(max(of.tip_mm - known_mm, 0.0), nut) if known_mm else nut - 0.6
    pieces = tuple(piece._replace(outline=tuple((max(x, cut), r) for x, r in piece.outline)) if piece.kind != "nut" else piece
                   for piece in of.pieces)
    return of._replace(pieces=pieces)


def _filled(outline: tuple[Point, ...], bore: float) -> tuple[Point, ...]:
    """An outline with its passage closed; a cone that runs into the passage keeps its angle and ends in a flat floor."""
    found: list[Point] = []
    for before, (x, r), after in zip((outline[-1], *outline), outline, (*outline[1:], outline[0]), strict=False):
        if abs(r - bore) > 1e-6:
            found.append((x, r))
            continue
        sloped = [each for each in (before, after) if abs(each[1] - bore) > 1e-6 and abs(each[0] - x) > 1e-6]
        if not sloped:
            found.append((x, 0.0))
        else:
            found += [(x, r), (x, 0.0)] if before in sloped else [(x, 0.0), (x, r)]
    return tuple(found)
