"""Outlines of the halves of quick couplers: tips and bodies, stepped or flat-faced.

Each function takes an end and its row of `data/drawing/profiles.csv` and gives its shape. What the tables lack is drawn
by proportion and named in `guesses`. A body is drawn from the measures of its tip, as it stands with the tip in it: the
balls in the groove, both faces in one plane.
"""

from typing import NamedTuple

from fittings.drawing.other_ends import nominal_mm
from fittings.drawing.solids import Piece, Point, Shape, bars, disc, known_mm
from fittings.ends import End
from fittings.tables import Row

FLANGE_MM, VALVE_MM = 4.0, 6.0
"""The collar that a tip is gripped by, how deep a valve is."""


class _Probe(NamedTuple):
    """What goes into a body, mm: radii of nose, collar, flange and passage, how far the groove lies behind the face, the
    depth of the groove, the radius of the balls, the length from flange to face."""

    nose: float
    collar: float
    gauge: float
    bore: float
    groove: float
    dip: float
    ball: float
    long: float


def coupler_tip(of: End, row: Row) -> Shape:
    """The male half of a quick coupler: a stepped probe with a groove for the balls of the body (ISO 7241)."""
    return _tip(of, _stepped(of), False)


def coupler_body(of: End, row: Row) -> Shape:
    """The female half of a quick coupler: a socket with balls and a sleeve that pulls back (ISO 7241)."""
    return _body(of, _stepped(_tip_of(of)), False)


def flat_face_tip(of: End, row: Row) -> Shape:
    """The male half of a flat-face coupler: a probe of one diameter, its valve flush with its face (ISO 16028)."""
    return _tip(of, _even(of), True)


def flat_face_body(of: End, row: Row) -> Shape:
    """The female half of a flat-face coupler: a flat face that the face of the tip meets (ISO 16028)."""
    return _body(of, _even(_tip_of(of)), True)


def _tip_of(of: End) -> End:
    return End(of.family, of.size, "tip")


def _even(of: End) -> _Probe:
    size = known_mm(of, "body_size_mm") or nominal_mm(of)
    nose = (known_mm(of, "probe_tip_dia_min_mm", "probe_od_mm") or 1.1 * size + 6.0) / 2
    gauge = (known_mm(of, "gauge_dia_mm") or 2.6 * nose) / 2
    bore = 0.5 * size if 0.5 * size < nose - 1.0 else nose - 1.5
    return _Probe(nose, nose, gauge, bore, 0.35 * size + 6.0, 0.09 * size + 0.6, 0.12 * size + 0.8, 1.1 * size + 18.0)


def _stepped(of: End) -> _Probe:
    even = _even(of)
    collar = (known_mm(of, "probe_collar_dia_max_mm") or 2.15 * even.nose) / 2
    return even._replace(collar=max(collar, even.nose + 0.1))


def _tip(of: End, probe: _Probe, flat: bool) -> Shape:
    nose, collar, gauge, bore, dip = probe.nose, probe.collar, probe.gauge, probe.bore, probe.dip
    tip = FLANGE_MM + probe.long
    groove = tip - probe.groove
    front: tuple[Point, ...] = ((tip, nose),) if flat else ((tip - 1.5, nose), (tip, nose - 1.0))
    outline: tuple[Point, ...] = (
        (0.0, bore), (0.0, gauge), (FLANGE_MM, gauge), (FLANGE_MM, collar), (groove - 2 * dip, collar), (groove - dip, collar - dip),
        (groove + dip, collar - dip), (groove + 2 * dip, collar), (groove + 2 * dip, nose), *front, (tip, bore))
    marks = {"probe": ((tip - 3.0, nose),), "collar": ((groove - 3 * dip, collar),), "seal": ((tip - 2.8, nose),),
             "length": ((FLANGE_MM, collar), (tip, nose)), "groove": ((groove, collar - dip),)}
    guesses = {"length", "groove"} | (set() if known_mm(of, "probe_tip_dia_min_mm", "probe_od_mm") else {"probe"})
    return Shape(of, (Piece("body", outline), _valve(tip, bore, flat)), (), (), gauge, bore, marks, frozenset(guesses))


def _body(of: End, probe: _Probe, flat: bool) -> Shape:
    bore, ball = probe.bore, probe.ball
    back = 1.5 * VALVE_MM + 0.3 * (known_mm(of, "body_size_mm") or nominal_mm(of))
    tip, groove, at = back + probe.long, back + probe.groove, back + 2.8
    nose, collar = probe.nose + 0.15, probe.collar + 0.15
    middle = probe.collar - probe.dip + ball
    wall = middle + ball
    step = groove - 2 * probe.dip - 0.5
    ring = min(1.0, 0.42 * ball)
    land, deep = 1.3 * ring, nose + 1.6 * ring
    rear: tuple[Point, ...] = (
        (0.0, bore), (0.0, wall), (groove - ball, wall), (groove - ball, collar), (step, collar), (step, nose), (at + land, nose),
        (at + land, deep), (at - land, deep), (at - land, nose), (back, nose), (back, bore))
    sleeve = bars((groove - 4 * ball - 3.0, wall), (min(groove + 3 * ball, tip - 1.0), wall + 3.5))
    pieces = (
        Piece("body", rear), Piece("body", bars((groove + ball, collar), (tip, wall))), Piece("sleeve", sleeve),
        _valve(back, bore, flat), Piece("ring", disc(at, deep - ring, ring), "below"),
        Piece("ball", disc(groove, middle, ball), "below"))
    marks = {"socket": ((tip, collar),), "seal": ((at, deep - 2 * ring),), "ring": ((at, deep - ring),),
             "ball": ((groove, middle),)}
    return Shape(of, pieces, (), (), wall, bore, marks, frozenset({"length", "socket"}))


def _valve(face: float, bore: float, flat: bool) -> Piece:
    """The valve in a half: flush with its face, or a poppet whose nose reaches it."""
    foot, wide = face - VALVE_MM, 0.98 * bore
    front: tuple[Point, ...] = ((face, wide),) if flat else ((face - 0.5 * VALVE_MM, wide), (face, 0.35 * bore))
    return Piece("valve", ((foot, 0.0), (foot, wide), *front, (face, 0.0)), "below")
