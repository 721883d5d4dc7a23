"""Joints as they are drawn pushed home: what seals touches, what need not touch stands clear. All by geometry."""

import math

import pytest
from svg_reading import Picture

from fittings.drawing import pair_svg
from fittings.drawing.shapes import shape
from fittings.drawing.solids import Piece, Shape, contact, reach_at
from fittings.ends import End, all_ends
from fittings.mating import mate

FLARES = sorted({each.size for each in all_ends() if each.family == "invflare"})
COUPLERS = [each for each in all_ends() if each.family in ("iso7241a", "iso7241b", "iso16028") and each.form == "tip"]


def _piece(of: Shape, kind: str) -> Piece:
    return next(piece for piece in of.pieces if piece.kind == kind)


def _middle(piece: Piece) -> tuple[float, float]:
    xs, rs = zip(*piece.outline, strict=True)
    return (min(xs) + max(xs)) / 2, (min(rs) + max(rs)) / 2


@pytest.mark.parametrize("size", FLARES)
def test_inverted_flare_closes_on_its_cone_and_on_nothing_else(size: str) -> None:
    """The flare is clamped on the seat; the hexagon stays off the body (SAE J512, from memory)."""
    nut, body = shape(End("invflare", size, "male")), shape(End("invflare", size, "female"))
    met = contact(nut, body)
    for of, seat in ((nut, nut.marks["seat"]), (body, body.marks["seat"])):
        low, high = sorted(r for _, r in seat)
        assert low - 0.01 < met.touching[0] < met.touching[-1] < high + 0.01, of.end.id
    assert met.band_mm > 0.4
    assert met.apart_mm - nut.hexagons[0].stop - body.tip_mm > 0.8


@pytest.mark.parametrize("size", FLARES)
def test_mark_of_an_inverted_flare_stands_on_its_cone(size: str) -> None:
    nut, body = End("invflare", size, "male"), End("invflare", size, "female")
    picture = Picture(pair_svg(mate(nut, body)))
    ((left, right),) = picture.points("good")
    x, r = (left[0] + right[0]) / 2 / picture.scale, left[1] / picture.scale
    (x1, r1), (x2, r2) = shape(nut).marks["seat"]
    off = abs((x - x1) * (r2 - r1) - (r - r1) * (x2 - x1)) / math.hypot(x2 - x1, r2 - r1)
    assert off < 0.1 and min(r1, r2) < r < max(r1, r2)


@pytest.mark.parametrize("tip", COUPLERS, ids=lambda each: each.id)
def test_coupler_halves_are_home(tip: End) -> None:
    """The balls lie in the groove, the ring is squeezed on the nose, the valves meet (ISO 7241, ISO 16028, from memory)."""
    male, female = shape(tip), shape(tip._replace(form="body"))
    apart = contact(male, female).apart_mm
    along, radius = _middle(_piece(female, "ball"))
    ball = radius - min(r for _, r in _piece(female, "ball").outline)
    groove, bottom = male.marks["groove"][0]
    assert apart - along == pytest.approx(groove, abs=0.01)
    assert radius - ball == pytest.approx(bottom, abs=0.01)
    assert bottom < radius - 0.5 * ball < male.marks["collar"][0][1]  # held by the flank, not beside it
    along, radius = _middle(_piece(female, "ring"))
    inner = min(r for _, r in _piece(female, "ring").outline)
    nose = male.marks["probe"][0][1]
    assert 0.0 < nose - inner < 0.4 < radius - inner
    rear = max(r for _, r in _piece(female, "body").outline)
    assert 2 * radius - inner < rear - 0.4  # the groove does not cut through the wall
    assert reach_at(male, nose - 0.01) is not None and groove < apart - along < male.tip_mm
    fronts = [max(x for x, _ in _piece(each, "valve").outline) for each in (male, female)]
    assert sum(fronts) == pytest.approx(apart, abs=0.01)
    assert apart - male.tip_mm == pytest.approx(fronts[1], abs=0.01)


@pytest.mark.parametrize("tip", [each for each in COUPLERS if each.family == "iso16028"], ids=lambda each: each.id)
def test_flat_faces_meet_flat(tip: End) -> None:
    """Tip and body of ISO 16028 end in a plane, valve and rim alike; the tip has one diameter from its face to its collar."""
    male, female = shape(tip), shape(tip._replace(form="body"))
    apart = contact(male, female).apart_mm
    nose = male.marks["probe"][0][1]
    for part in (0.1, 0.5, 0.9, 0.97):
        radius = part * nose
        if abs(radius - male.bore_mm) < 0.05 * male.bore_mm:
            continue  # the slit between valve and rim
        reaches = [reach_at(each, radius) for each in (male, female)]
        assert None not in reaches
        assert sum(each for each in reaches if each is not None) == pytest.approx(apart, abs=0.01)
    assert male.marks["collar"][0][1] == nose


@pytest.mark.parametrize("family", ["iso7241a", "iso7241b"])
def test_ball_couplers_are_stepped_and_their_valves_are_poppets(family: str) -> None:
    """A probe of ISO 7241 is thinner before its groove than behind it (its table of both diameters); a poppet has a nose."""
    male = shape(End(family, "1/2", "tip"))
    assert male.marks["collar"][0][1] > male.marks["probe"][0][1]
    rim = [reach_at(male, part * male.bore_mm) for part in (0.1, 0.9)]
    assert rim[0] is not None and rim[1] is not None and rim[0] > rim[1] + 0.5
