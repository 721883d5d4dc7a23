"""What a bulkhead has and a plain part has not: a long thread that goes through the wall, and the locknut on it."""

from fittings.drawing.male_ends import chamfered_bar
from fittings.drawing.solids import Hexagon, Piece, Screw, Shape, bars


def through_wall(of: Shape, length_mm: float, flats_mm: float) -> tuple[Shape, Shape]:
    """The long thread before an end, from 0 to `length_mm`, and its locknut. The end carries the same thread on."""
    screw = next(each for each in of.screws if each.side == "external")
    radius = screw.major_mm / 2
    nut = Hexagon(0.0, min(0.34 * screw.major_mm, 0.5 * length_mm), max(flats_mm, 1.3 * screw.major_mm))
    start = 0.42 * length_mm
    nut = nut._replace(start=start, stop=start + nut.stop)
    shank = Piece("body", bars((0.0, of.bore_mm), (length_mm, radius)), grown=((0.0, radius), (length_mm, radius)))
    threaded = Shape(of.end, (shank,), (Screw("external", 0.0, length_mm, screw.major_mm, screw.depth_mm),), (), radius, of.bore_mm, {},
                     frozenset())
    locknut = Shape(of.end, (Piece("nut", chamfered_bar(nut.start, nut.stop, radius, nut)),), (), (nut,), radius, radius, {}, frozenset())
    return threaded, locknut
