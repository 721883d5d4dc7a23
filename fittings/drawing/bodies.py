"""What lies between the ends of a part: a hexagon, a forged elbow, a bent tube; and the stub of an end that stands alone.

Lengths come from `fittings.envelopes` where a source has them; else they are estimates, and said to be.
"""

import math
from typing import NamedTuple

from fittings.drawing.bushing import bushing_least_mm
from fittings.drawing.male_ends import chamfered_bar
from fittings.drawing.solids import Hexagon, Piece, Shape, bars
from fittings.envelopes import Envelope, envelope
from fittings.parts import Part
from fittings.units import MM_PER_IN, Units

FERRULE_FOOT_MM = 3.0
"""How far the hose stops short of the foot of its tail, as `other_ends.hose_tail` draws it."""


_WORDS = {"A": "two sources", "B": "one source", "C": "from memory"}


ESTIMATE = "about {0} {unit} end to end: an estimate"


class Size(NamedTuple):
    """How long a part is: words with `{0}`, `{1}`, `{unit}` where its `lengths_mm` stand; `guessed` when no table has it,
    `stretched` when the drawing is longer than the part, `overall_mm` end to end of a straight one."""

    says: str
    lengths_mm: tuple[float, ...]
    guessed: bool
    stretched: bool
    overall_mm: float | None = None

    def words(self, units: Units = "both") -> str:
        """How long it is, in words: in mm, in inches where those alone are asked for."""
        inches = units == "inch"
        return self.says.format(*(_figure(each, self.guessed, inches) for each in self.lengths_mm), unit="in" if inches else "mm")


def _figure(length_mm: float, guessed: bool, inches: bool) -> str:
    if inches:
        return f"{length_mm / MM_PER_IN:.{1 if guessed else 2}f}"
    return f"{round(length_mm)}" if guessed else f"{length_mm:g}"


def overall_words(length_mm: float, guessed: bool, units: Units = "both") -> str:
    """The figure of a dimension line: mm without a unit, as drawings have it, or inches with theirs."""
    if units == "inch":
        return f"{_figure(length_mm, guessed, True)} in"
    return _figure(round(length_mm, 1), guessed, False)


class Body(NamedTuple):
    """The body of a part: `first_mm` from the foot of its near end to its bend, `second_mm` on to the foot of its far
    end (0 for a straight part; of a bulkhead, to where its long thread begins), how far it turns, its hexagon and bores,
    `wall_mm` of a bulkhead: how far its long thread reaches before its far end begins."""

    first_mm: float
    second_mm: float
    turn_deg: float
    flats_mm: float
    bores_mm: tuple[float, float]
    tube: bool
    size: Size
    wall_mm: float = 0.0


def body_of(part: Part, near: Shape, far: Shape) -> Body:
    """The body between two ends of a part, lengths in mm."""
    found = envelope(part)
    flats = flats_of(part, near, far)
    bores = near.bore_mm, far.bore_mm
    turn = {"45": 45.0, "90": 90.0}.get(part.shape.rpartition("-")[2], 0.0)
    hose = "hose" in (near.end.family, far.end.family)
    wall = thread_past_wall_mm(found, far) if part.shape.startswith("bulkhead") else 0.0
    if not turn:
        return _straight(found, near, far, flats, bores, hose, wall, part.shape == "bushing")
    turned = part.ends[0] != near.end
    return _bent(found, near, far, flats, bores, hose, turn, turned, wall)


def flats_of(part: Part, *ends: Shape) -> float:
    """Width across flats of the body of a part in mm: of the tables, else by its ends."""
    found = envelope(part)
    if found is not None and found.body_hex_mm:
        return found.body_hex_mm
    flats = max(each.flats_mm for each in ends) or 2.1 * max(each.neck_mm for each in ends)
    return max([flats, *(hexagon.flats_mm for each in ends for hexagon in own_hexagon(each))])


def thread_past_wall_mm(found: Envelope | None, far: Shape) -> float:
    """How far the long thread of a bulkhead reaches beyond a plain end of its kind, mm."""
    if found is not None and found.thread_b_mm:
        return max(found.thread_b_mm - far.tip_mm, 0.0)
    return 1.1 * far.tip_mm


def _straight(found: Envelope | None, near: Shape, far: Shape, flats: float, bores: tuple[float, float], hose: bool, wall: float,
              bushing: bool) -> Body:
    least = 0.3 if own_hexagon(near) or own_hexagon(far) else 0.15 * flats
    tail = near if near.end.family == "hose" else far
    if hose and found is not None and found.cutoff_mm:
        other = far if tail is near else near
        length = found.cutoff_mm - FERRULE_FOOT_MM - other.tip_mm
        says = f"stands {{0}} {{unit}} beyond the hose ({_WORDS[found.confidence]})"
        return Body(max(length, least), 0.0, 0.0, flats, bores, True, Size(says, (found.cutoff_mm,), False, length < least))
    if bushing:
        least = bushing_least_mm(near, far, flats) - near.tip_mm - far.tip_mm
    if found is not None and found.overall_length_mm and not hose:
        length = found.overall_length_mm - near.tip_mm - far.tip_mm
        wall = max(min(wall, 0.75 * length), 0.0)
        says = f"{{0}} {{unit}} end to end ({_WORDS[found.confidence]})"
        stretched = length - wall < least - 0.05
        overall = found.overall_length_mm
        return Body(max(length - wall, least), 0.0, 0.0, flats, bores, False, Size(says, (overall,), False, stretched, overall), wall)
    length = least if bushing else (0.25 if hose else 0.45) * flats
    overall = length + wall + near.tip_mm + far.tip_mm
    says = "length not in our tables" if hose else ESTIMATE
    return Body(length, 0.0, 0.0, flats, bores, hose, Size(says, (overall,), True, False, None if hose else overall), wall)


def _bent(found: Envelope | None, near: Shape, far: Shape, flats: float, bores: tuple[float, float], hose: bool, turn: float,
          turned: bool, wall: float) -> Body:
    least = 0.5 * flats * math.tan(math.radians(turn / 2)) + 0.5
    if hose and found is not None and found.cutoff_mm and found.drop_mm:
        tail_first = near.end.family == "hose"
        other = far if tail_first else near
        leg = found.drop_mm / math.sin(math.radians(turn))
        along = found.cutoff_mm - FERRULE_FOOT_MM - leg * math.cos(math.radians(turn))
        legs = [along, leg - other.tip_mm]
        says = f"stands {{0}} {{unit}} beyond the hose, drop {{1}} {{unit}} ({_WORDS[found.confidence]})"
        first, second = legs if tail_first else legs[::-1]
        size = Size(says, (found.cutoff_mm, found.drop_mm), False, min(legs) < least)
        return Body(max(first, least), max(second, least), turn, flats, bores, True, size)
    if found is not None and found.leg_a_mm and found.leg_b_mm and not hose:
        legs = [found.leg_b_mm, found.leg_a_mm] if turned else [found.leg_a_mm, found.leg_b_mm]
        first, second = legs[0] - near.tip_mm, legs[1] - far.tip_mm - wall
        says = f"legs {{0}} and {{1}} {{unit}} from the centre ({_WORDS[found.confidence]})"
        size = Size(says, tuple(legs), False, min(first, second) < least)
        return Body(max(first, least), max(second, least), turn, flats, bores, False, size, wall)
    first = second = 0.75 * flats
    if hose:
        return Body(1.6 * flats, 1.2 * flats, turn, flats, bores, True, Size("length not in our tables", (), True, False))
    says = "legs about {0} and {1} {unit} from the centre: an estimate"
    return Body(first, second, turn, flats, bores, False, Size(says, (first + near.tip_mm, second + wall + far.tip_mm), True, False), wall)


def barrel(of: Body, near: Shape, far: Shape) -> Shape:
    """The body of a straight part as a shape: a hexagon, or a plain collar for a hose end."""
    length, (bore, far_bore) = of.first_mm, of.bores_mm
    inside = ((length, far_bore), (length / 2, far_bore), (length / 2, bore), (0.0, bore))
    grown = ((0.0, near.neck_mm), (length, far.neck_mm))
    if of.tube:
        collar = Piece("barrel", ((0.0, near.neck_mm), (length, far.neck_mm), *inside), grown=grown)
        return Shape(near.end, (collar,), (), (), near.neck_mm, bore, {}, frozenset())
    flats = [hexagon.flats_mm for each in (near, far) for hexagon in own_hexagon(each)]
    hexagon = Hexagon(0.0, length, max([of.flats_mm, *flats]), first=not _same(near, flats), last=not _same(far, flats))
    outer = chamfered_bar(0.0, length, bore, hexagon)[1:5]
    outline = ((0.0, min(near.neck_mm, outer[0][1])), *outer, (length, min(far.neck_mm, outer[-1][1])), *inside)
    return Shape(near.end, (Piece("barrel", outline, grown=grown),), (), (hexagon,), near.neck_mm, bore, {}, frozenset())


def own_hexagon(of: Shape) -> tuple[Hexagon, ...]:
    """The hexagon of an end whose whole body is one."""
    return of.hexagons if not of.hexagons or not of.hexagons[0].first else ()


def _same(of: Shape, flats: list[float]) -> bool:
    return any(hexagon.flats_mm == max(flats) for hexagon in own_hexagon(of))


def with_flats(of: Shape, flats: float) -> Shape:
    """An end whose body is a hexagon, with another width across flats."""
    if not own_hexagon(of):
        return of
    (old,) = of.hexagons
    new = old._replace(flats_mm=flats)
    radii = {round(old.flats_mm / 2, 6): flats / 2, round(old.corner, 6): new.corner}
    pieces = tuple(
        piece._replace(outline=tuple((x, radii.get(round(r, 6), r)) for x, r in piece.outline)) if piece.kind == "body" else piece
        for piece in of.pieces
    )
    return of._replace(pieces=pieces, hexagons=(new,), neck_mm=new.corner)


def rounded(of: Shape) -> Shape:
    """An end whose body is a hexagon, as it is on a forged elbow or tee: a round boss."""
    if not own_hexagon(of):
        return of
    (hexagon,) = of.hexagons
    radius = 0.53 * hexagon.flats_mm
    radii = {round(hexagon.flats_mm / 2, 6), round(hexagon.corner, 6)}
    pieces = tuple(
        piece._replace(outline=tuple(dict.fromkeys((x, radius if round(r, 6) in radii else r) for x, r in piece.outline)))
        if piece.kind == "body" else piece for piece in of.pieces
    )
    return of._replace(pieces=pieces, hexagons=(), neck_mm=radius)


def stub(of: Shape) -> Shape:
    """What an end stands on when it stands alone: a piece of its part, broken off."""
    flats = of.flats_mm or max((hexagon.flats_mm for hexagon in own_hexagon(of)), default=0.0)
    length = 0.5 * flats if flats else 0.9 * of.neck_mm + 3.0
    grown = ((0.0, of.neck_mm),)
    if flats:
        hexagon = Hexagon(-length, 0.0, flats, first=False, last=not own_hexagon(of))
        outer = chamfered_bar(-length, 0.0, of.bore_mm, hexagon)
        outline = (*outer[:5], (0.0, min(of.neck_mm, outer[4][1])), outer[5])
        piece = Piece("barrel", outline, broken_at=-length, grown=grown)
        return Shape(of.end, (piece,), (), (hexagon,), hexagon.corner, of.bore_mm, {}, frozenset())
    kind = "hose" if of.end.form == "bore" else "barrel"
    piece = Piece(kind, bars((-length, of.bore_mm), (0.0, of.neck_mm)), broken_at=-length, grown=grown)
    return Shape(of.end, (piece,), (), (), of.neck_mm, of.bore_mm, {}, frozenset())


def in_a_part(of: Shape) -> Shape:
    """A port as it is when it belongs to an adapter: in a hexagon instead of a block."""
    block = next((piece for piece in of.pieces if piece.kind == "block"), None)
    if block is None or "thread" not in of.marks:
        return of
    floor, face = of.marks["face"][0]
    hole = [point for point in block.outline if point[1] < face - 0.01 and point[0] <= floor + 0.01]
    hexagon = Hexagon(0.0, floor, 2 * face, first=False)
    outer = chamfered_bar(0.0, floor, of.bore_mm, hexagon)
    piece = Piece("body", (*hole, *reversed(outer[1:5])), grown=((0.0, 99.0),))
    return of._replace(pieces=(piece,), hexagons=(hexagon,), neck_mm=hexagon.corner)
