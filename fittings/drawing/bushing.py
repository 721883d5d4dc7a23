"""A bushing: the female end lies inside the male one, so both are drawn as one piece."""

from fittings.drawing.male_ends import chamfered_bar
from fittings.drawing.solids import Hexagon, Piece, Point, Screw, Shape

_FLOOR_MM = 1.5
"""Metal left between the hole and the tip of the male, at least."""


def bushing_least_mm(near: Shape, far: Shape, flats_mm: float) -> float:
    """The least length at which a bushing has a hexagon and holds its hole, mm end to end."""
    female, male = (near, far) if near.end.side == "internal" else (far, near)
    deepest = min(x for x, _ in _hole(female))
    return max(male.tip_mm + 0.2 * flats_mm, female.tip_mm - deepest + _FLOOR_MM)


def bushing(female: Shape, male: Shape, flats_mm: float, overall_mm: float) -> Shape:
    """A bushing in the frame of its male end: its hexagon lies behind 0, the hole goes in from there."""
    face = male.tip_mm - overall_mm
    bore = min(female.bore_mm, male.bore_mm)
    hexagon = Hexagon(face, 0.0, flats_mm)
    threaded = next(piece for piece in male.pieces if piece.kind == "body")
    outside = [point for point in threaded.outline if point[1] > male.bore_mm + 0.01]
    if outside[-1][0] < male.tip_mm - 0.01:
        outside.append((male.tip_mm, outside[-1][1]))
    inside = sorted(((face + female.tip_mm - x, max(r, bore)) for x, r in _hole(female)), key=lambda point: (-point[0], point[1]))
    outline = (*chamfered_bar(face, 0.0, bore, hexagon)[1:5], *outside, (male.tip_mm, bore), *inside)
    inner = tuple(
        Screw("internal", face + female.tip_mm - screw.stop, face + female.tip_mm - screw.start, _far_major_mm(screw), screw.depth_mm,
              -screw.taper) for screw in female.screws)
    more = tuple(piece for piece in male.pieces if piece.kind != "body")
    return Shape(male.end, (Piece("bushing", outline), *more), (*male.screws, *inner), (hexagon,), hexagon.corner, bore, male.marks,
                 male.guesses)


def _far_major_mm(screw: Screw) -> float:
    """Major diameter at the inner end of a female thread, which comes last when it is seen from the other side."""
    return 2 * screw.major_at(screw.start)


def _hole(female: Shape) -> list[Point]:
    """The hole of a female end from its mouth inwards, without the passage behind it."""
    mouth = max(r for x, r in female.marks["mouth"]) + 0.3
    body = next(piece for piece in female.pieces if piece.kind in ("body", "block"))
    return [(x, r) for x, r in body.outline if r <= mouth and x > 0.01]
