"""Hose lengths against published forms, a worked swing, closed-form shortest curves, and a search by brute force."""

import csv
import itertools
from math import cos, degrees, hypot, pi, radians, sin, sqrt
from pathlib import Path

import pytest
from budget import examples
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from fittings.circuit import BadCircuit, curve, lengths, route
from fittings.circuit.curve import Pose
from fittings.circuit.hose import hose

AUTHORITIES = Path(__file__).parent / "authorities"
with (AUTHORITIES / "circuit_geometry.csv").open(encoding="utf-8", newline="") as file:
    GEOMETRY = list(csv.DictReader(file))
with (AUTHORITIES / "circuit_oracles.csv").open(encoding="utf-8", newline="") as file:
    ORACLES = {row["id"]: row for row in csv.DictReader(file)}
IN = 25.4
WORKED = route.Swing(10 * IN, 14 * IN, (40, 150))
TWO_WIRE, COMPACT = hose("2SN", "-8"), hose("R17", "-8")


def expected(case: str, figure: str) -> tuple[float, float]:
    row = next(row for row in GEOMETRY if (row["case"], row["figure"]) == (case, figure))
    return float(row["value"]), float(row["tolerance"])


# ---- published forms


def test_length_round_a_corner():
    """PTFE hose maker's guide: legs 400 and 600 mm, radius 334 mm to the centre line: 857 mm."""
    assert lengths.corner_mm(400, 600, 334) == pytest.approx(
        float(ORACLES["G1"]["expected"]), rel=float(ORACLES["G1"]["tolerance"])
    )
    with pytest.raises(BadCircuit):
        lengths.corner_mm(300, 600, 334)


def test_rolling_loops_of_two_handbooks():
    """Loop of R 7.5 in, T 12 in: 36.0 in along the legs, 48.8 in across."""
    assert lengths.rolling_loop_mm(7.5, 12) == pytest.approx(float(ORACLES["G2"]["expected"]), rel=0.001)
    assert lengths.rolling_loop_mm(7.5, 12, across=True) == pytest.approx(48.8, abs=0.05)


@pytest.mark.parametrize(("offset", "length"), [(1.0, 6.78), (1.5, 8.35), (1.875, 9.38)])
def test_offset_of_three_handbooks(offset, length):
    assert lengths.offset_mm(7.5, offset) == pytest.approx(length, abs=0.006)


def test_trial_lengths_of_sae_j343():
    assert lengths.trial_length_mm(180, 22.2) == pytest.approx(float(ORACLES["G4"]["expected"]), rel=0.001)
    assert lengths.trial_length_mm(300, 38, 90) == pytest.approx(577, abs=0.5)


@pytest.mark.parametrize(("turn", "arc"), [(45, 150), (90, 300), (135, 450), (180, 600)])
def test_arc_lengths(turn, arc):
    """1/2 in 2SN, radius 180 mm and 22.2 mm of diameter: 150, 300, 450, 600 mm of arc, rounded to 2 mm."""
    assert lengths.bend_mm(turn, TWO_WIRE.bend_to_centre_mm) == pytest.approx(arc, abs=1.0)


@pytest.mark.parametrize(
    ("name", "size", "spacing"),
    [
        ("2SN", "-6", 279),
        ("2SN", "-8", 382),
        ("R17", "-8", 201),
        ("2SN", "-12", 509),
        ("R12", "-12", 511),
        ("2SN", "-16", 638),
    ],
)
def test_spacing_of_the_legs(name, size, spacing):
    """Leg spacing of at least 2·R + OD: computed apart."""
    each = hose(name, size)
    assert 2 * each.bend_to_centre_mm == pytest.approx(spacing, abs=0.6)


def test_straight_hose_between_rigid_ports():
    """600 mm takes 625 mm: the hose may shorten by 4 %."""
    made = lengths.fixed(600, TWO_WIRE, step_mm=1)
    assert made.needed_mm == pytest.approx(625)
    assert made.build_length_mm == 632  # and the tolerance of 1/4 in, up to the whole mm
    assert lengths.fixed(84 * IN, TWO_WIRE).build_length_mm / IN == pytest.approx(88.5)
    assert "hose-too-short-to-make" in {each.code for each in lengths.fixed(100, TWO_WIRE).findings}
    assert "clamp-hose" in {each.code for each in lengths.fixed(84 * IN, TWO_WIRE).findings}
    with pytest.raises(BadCircuit):
        lengths.fixed(0, TWO_WIRE)


@pytest.mark.parametrize(("of", "words"), [(TWO_WIRE, "1 in (25.4 mm) shorter and 1/2 in (12.7 mm) longer: let"),
                                           (hose("R6", "-8"), "longer (the band of wire hose; textile hose"), (hose("R4", "-16"), "")])
def test_what_a_hose_does_under_pressure_is_told_as_far_as_sources_go(of, words):
    """-4 and +2 % of 25 in (EN 853/854/856/857): EN 854 has a wider band for larger textile bores; a suction hose is under none."""
    told = [each.text for each in lengths.fixed(600, of).findings if each.code == "hose-shortens"]
    assert words in told[0] if words else not told


@pytest.mark.parametrize(("inches", "plus"), [(12, 1 / 8), (18, 3 / 16), (36, 1 / 4), (60, 0.6)])
def test_length_tolerance(inches, plus):
    """Up to 12 in from an assembler's note and the RMA table; above from memory."""
    assert lengths.tolerance_mm(inches * IN, 12.7)[0] == pytest.approx(plus * IN, abs=0.06)


def test_length_tolerance_of_the_en_standards():
    """EN 853 to 857 table 3, from memory: to 630 mm +7/-3, above bore 25 +12/-4; over 2.5 m +1.5 % and -0.5 %."""
    assert lengths.tolerance_mm(600, 12.7, "metric") == (7, 3)
    assert lengths.tolerance_mm(600, 31.75, "metric") == (12, 4)
    assert lengths.tolerance_mm(3000, 12.7, "metric") == pytest.approx((45, 15))
    with pytest.raises(BadCircuit):
        lengths.tolerance_mm(600, 12.7, "furlong")


# ---- angle between bent ends


@pytest.mark.parametrize(
    ("angle", "length", "clock", "tolerance"),
    [
        (0, 500, "6 o’clock", "±3°"),
        (90, 500, "3 o’clock", "±3°"),
        (180, 600, "12 o’clock", "±3°"),
        (270, 700, "9 o’clock", "±5°"),
        (45, 700, "4:30", "±5°"),
        (0.1, 500, "6 o’clock", "±3°"),
        (359.9, 500, "6 o’clock", "±3°"),
        (1, 500, "5:58", "±3°"),
    ],
)
def test_elbow_angle_in_words(angle, length, clock, tolerance):
    """SAE J517 as quoted in MIL-DTL-83796/5: near end at 6 o'clock, counter-clockwise; ±3° to 24 in, ±5° above."""
    text = lengths.elbow_angle_text(angle, length)
    assert f"far end points to {clock}" in text
    assert tolerance in text


# ---- shortest curves of bounded curvature


def test_closed_forms_of_the_shortest_curve():
    straight = curve.shortest(Pose(0, 0, 0), Pose(500, 0, 0), 100)
    assert straight.length_mm == pytest.approx(500)
    half_turn = curve.shortest(Pose(0, 0, 0), Pose(0, 200, pi), 100)
    assert half_turn.length_mm == pytest.approx(100 * pi)
    # U-turn wider than two radii: two quarter arcs and the straight across
    wide = curve.shortest(Pose(0, 0, 0), Pose(0, 500, pi), 100)
    assert (wide.word, wide.length_mm) == ("LSL", pytest.approx(100 * pi + 300))
    # parallel shift by 2·r over a long way: S of two arcs and a crossing tangent
    far = curve.shortest(Pose(0, 0, 0), Pose(1000, 200, 0), 100)
    assert far.word == "LSR"
    d = hypot(1000, 200 - 200)
    assert far.pieces_mm[1] == pytest.approx(sqrt(d**2 - 200**2))
    # about-turn on the spot: three arcs, 60°, 300° and 60°, 7·π/3 radii (a classic of the subject)
    spot = curve.shortest(Pose(0, 0, 0), Pose(0, 0, pi), 100)
    assert spot.word in ("LRL", "RLR")
    assert spot.length_mm == pytest.approx(100 * 7 * pi / 3)


POSES = st.builds(Pose, st.floats(-800, 800), st.floats(-800, 800), st.floats(-pi, pi))
RADII = st.floats(40, 300)


@example(Pose(0, 229.34849233992168, 0), Pose(0, 229.34849233992168, 0), 229.34849233992168)  # two circles that just touch
@given(POSES, POSES, RADII)
def test_every_curve_ends_where_it_should(start, goal, radius):
    for each in curve.curves(start, goal, radius):
        x, y = curve.points(start, each, 50)[-1]
        assert hypot(x - goal.x_mm, y - goal.y_mm) < 1e-4
        assert min(each.pieces_mm) >= 0


@given(POSES, POSES, RADII)
def test_laws_of_the_shortest_curve(start, goal, radius):
    found = curve.shortest(start, goal, radius).length_mm
    assert found >= hypot(goal.x_mm - start.x_mm, goal.y_mm - start.y_mm) - 1e-6
    # there and back again, heading turned round, is the same way
    back = curve.shortest(Pose(*goal[:2], goal.heading_rad + pi), Pose(*start[:2], start.heading_rad + pi), radius)
    assert back.length_mm == pytest.approx(found, rel=1e-6, abs=1e-3)
    # a picture in a mirror has the same length
    mirrored = [Pose(pose.x_mm, -pose.y_mm, -pose.heading_rad) for pose in (start, goal)]
    assert curve.shortest(*mirrored, radius).length_mm == pytest.approx(found, rel=1e-6, abs=1e-3)


def brute_force_mm(start: Pose, goal: Pose, radius: float) -> float:
    """Shortest three-piece way by trying first and last arcs on a grid: it knows nothing of tangents or circles.

    For arc-straight-arc: the first arc is tried, the last arc is tried backwards, and the straight must join them.
    """
    grid = [2 * pi * step / 720 for step in range(720)]
    best = float("inf")
    for first, last in itertools.product((1, -1), repeat=2):
        ends = []
        for turn in grid:
            heading = start.heading_rad + first * turn
            ends.append(
                (
                    turn,
                    start.x_mm + first * radius * (sin(heading) - sin(start.heading_rad)),
                    start.y_mm - first * radius * (cos(heading) - cos(start.heading_rad)),
                    heading,
                )
            )
        for turn, x, y, heading in ends:
            back = (last * (goal.heading_rad - heading)) % (2 * pi)
            bx = goal.x_mm - last * radius * (sin(goal.heading_rad) - sin(heading))
            by = goal.y_mm + last * radius * (cos(goal.heading_rad) - cos(heading))
            along, aside = (
                (bx - x) * cos(heading) + (by - y) * sin(heading),
                -(bx - x) * sin(heading) + (by - y) * cos(heading),
            )
            # half a grid step of heading, seen over the way still to go
            if along >= -1 and abs(aside) <= (abs(along) + 2 * radius) * (2 * pi / 720):
                best = min(best, radius * (turn + back) + hypot(along, aside))
    return best


@settings(max_examples=examples(40), deadline=None)
@given(POSES, POSES, st.floats(60, 200))
def test_shortest_curve_against_brute_force(start, goal, radius):
    """More than four radii apart the shortest way is arc-straight-arc, which the grid search covers."""
    assume(hypot(goal.x_mm - start.x_mm, goal.y_mm - start.y_mm) > 4 * radius)
    found = curve.shortest(start, goal, radius).length_mm
    searched = brute_force_mm(start, goal, radius)
    assert searched == pytest.approx(found, rel=0.03, abs=6)


@pytest.mark.parametrize(
    ("x", "y", "heading"),
    [(0, 0, pi), (50, 0, pi), (30, 40, 2.0), (-60, 20, -2.5), (0, 120, 3.0), (-90, -90, 1.0), (10, -130, 0.0)],
)
def test_three_arcs_against_brute_force(x, y, heading):
    """Close ends: first and middle arc on a grid of 2°, the last arc must then end at the goal; radius 100 mm."""
    start, goal, radius = Pose(0, 0, 0), Pose(x, y, heading), 100.0
    best = min(each.length_mm for each in curve.curves(start, goal, radius) if "S" not in each.word)
    searched = float("inf")
    steps = [radians(2 * step) for step in range(180)]
    for first in (1, -1):
        gx, gy = goal.x_mm - first * radius * sin(heading), goal.y_mm + first * radius * cos(heading)
        for one, two in itertools.product(steps, steps):
            h1, h2 = first * one, first * (one - two)
            # two arcs, then the centre of the third circle, which must be that of the goal
            cx = first * radius * (2 * sin(h1) - 2 * sin(h2))
            cy = first * radius * (1 - 2 * cos(h1) + 2 * cos(h2))
            if hypot(cx - gx, cy - gy) < 6:
                searched = min(searched, radius * (one + two + (first * (heading - h2)) % (2 * pi)))
    assert searched == pytest.approx(best, abs=25)
    assert curve.shortest(start, goal, radius).length_mm <= searched + 25


@settings(max_examples=examples(30), deadline=None)
@given(st.floats(150, 900), st.floats(-200, 200), st.floats(-1.2, 1.2), st.floats(1.03, 1.6))
def test_slack_has_the_length_asked_and_ends_where_it_should(x, y, heading, more):
    start, goal = Pose(0, 0, 0), Pose(x, y, heading)
    length = more * curve.shortest(start, goal, 60).length_mm
    laid = curve.slack_curve(start, goal, length, 60, radians(300))
    assume(laid is not None)
    assert 2 * laid.straight_mm + laid.curve.length_mm == pytest.approx(length, abs=0.2)
    ends = curve.points(curve.ahead(start, laid.straight_mm), laid.curve, 20)[-1]
    target = curve.ahead(goal, -laid.straight_mm)
    assert hypot(ends[0] - target.x_mm, ends[1] - target.y_mm) < 1e-3
    assert degrees(laid.curve.turning_rad) <= 300 + 1e-6


def test_slack_between_ports_that_face_each_other_bows_in_an_s():
    """Chord 4·r·sin θ, length 4·r·θ; 320 mm of hose over 300 mm, solved apart: θ 0.618 rad, r 129.4 mm."""
    laid = curve.slack_curve(Pose(0, 0, 0), Pose(300, 0, 0), 320, 60, radians(300))
    assert laid.curve.radius_mm == pytest.approx(129.4, abs=0.1)
    assert degrees(laid.curve.turning_rad) == pytest.approx(degrees(4 * 0.618), abs=0.2)


# ---- the worked swing: 10 in and 14 in from the pivot, 40° to 150°, 1/2 in hose


@pytest.mark.parametrize("angle", [40, 60, 90, 120, 150])
def test_chords_of_the_worked_swing(angle):
    value, tolerance = expected(f"swing 10 14 40 150 at {angle}", "chord")
    made = route.swing(WORKED, TWO_WIRE)
    position = next(each for each in made.positions if each.angle_deg == pytest.approx(angle))
    assert position.chord_mm / IN == pytest.approx(value, abs=tolerance)


@pytest.mark.parametrize("angle", [40, 60, 90, 150])
def test_bends_of_the_worked_swing(angle):
    value, tolerance = expected(f"swing 10 14 40 150 at {angle}", "radius")
    made = route.swing(WORKED, TWO_WIRE)
    position = next(each for each in made.positions if each.angle_deg == pytest.approx(angle))
    assert position.radius_mm / IN == pytest.approx(value, abs=tolerance)


def test_worked_swing_builds_24_and_a_half_and_fails_at_40():
    made = route.swing(WORKED, TWO_WIRE)
    assert made.needed_mm / IN == pytest.approx(24.17, abs=0.005)
    assert made.build_length_mm / IN == pytest.approx(24.5)
    assert made.longest_at_deg == 150
    assert made.tightest_at_deg == 40
    (refusal,) = [each for each in made.findings if each.level == "refuse"]
    assert refusal.code == "bend-too-tight"
    assert "at 40°" in refusal.text
    assert made.positions[0].turning_deg == pytest.approx(252, abs=0.5)
    assert lengths.fixed(600, TWO_WIRE).possible
    assert not lengths.fixed(1, TWO_WIRE).possible  # shorter than its own two ends
    assert {"try-compact", "try-near-pivot"} <= {each.code for each in made.findings}


def test_compact_hose_passes_the_worked_swing_with_a_quarter_in_hand():
    made = route.swing(WORKED, COMPACT)
    assert made.possible
    assert "bend-close" not in {each.code for each in made.findings}
    assert made.build_length_mm / IN == pytest.approx(24.5)


def test_narrow_range_of_the_worked_swing():
    """60° to 120°: chords 12.49 to 20.88 in, hose at least 21.75 in."""
    assert route.swing(WORKED._replace(angle_deg=(60, 120)), COMPACT).needed_mm / IN == pytest.approx(21.75, abs=0.005)


@pytest.mark.parametrize(("off_in", "change_in"), [(1, 1.92), (2, 3.84), (4, 7.68)])
def test_past_the_pivot(off_in, change_in):
    """Off the pivot by 1, 2, 4 in over 110°: 1.92, 3.84, 7.68 in of change: arithmetic."""
    assert off_in * radians(110) == pytest.approx(change_in, abs=0.005)
    if off_in == 1:
        text = route.what_helps(WORKED, TWO_WIRE, units="inch")[-1].text
        assert "only 1.92 in" in text


def test_angles_past_in_line_reach_across_the_pivot():
    made = route.swing(route.Swing(254, 355.6, (120, 240)), COMPACT)
    assert made.longest_at_deg == 180
    assert max(each.chord_mm for each in made.positions) == pytest.approx(254 + 355.6)


# ---- swings with port directions

DIRECTED = route.Swing(10 * IN, 14 * IN, (40, 150), 90, -90)


def test_directed_swing_is_the_longest_shortest_curve_over_the_motion():
    """Length against the shortest curve worked out here for ports that look along the legs of a wide U."""
    motion = route.Swing(400, 400, (50, 100), 90, 90 + 1e-9)
    made = route.swing(motion, COMPACT, ends_mm=(60, 60), step_mm=0.01)
    stub = 60 + lengths.straight_behind_mm(COMPACT)
    longest = 0.0
    for angle in (50 + number for number in range(51)):
        theta = radians(angle)
        start = Pose(400, stub, pi / 2)
        look = theta + pi / 2
        goal = Pose(400 * cos(theta) + stub * cos(look), 400 * sin(theta) + stub * sin(look), look + pi)
        found = [
            each for each in curve.curves(start, goal, COMPACT.bend_to_centre_mm) if each.turning_rad <= radians(300)
        ]
        longest = max(longest, min(each.length_mm for each in found))
    needed = 120 + (2 * lengths.straight_behind_mm(COMPACT) + longest) / 0.96
    assert made.needed_mm == pytest.approx(needed, rel=0.002)


def test_no_room_for_the_bend_is_refused_with_what_helps():
    made = route.swing(DIRECTED, TWO_WIRE, max_psi=2750)
    assert not made.possible
    assert "hose-loops" in {each.code for each in made.findings if each.level == "refuse"}
    assert "try-near-pivot" in {each.code for each in made.findings}
    hint = next(each for each in made.findings if each.code == "try-elbow")
    assert "elbow" in hint.text


def test_every_hint_was_tried():
    """The hint says: compact hose and an elbow turned counter-clockwise at the “to” port; laid out again, it passes."""
    hint = next(each for each in route.what_helps(DIRECTED, TWO_WIRE, max_psi=2750) if each.code == "try-elbow")
    assert "100R17" in hint.text
    assert "90° elbow at the “to” port, turned counter-clockwise" in hint.text
    again = route.swing(DIRECTED._replace(to_points_deg=0), COMPACT)
    assert again.possible


def test_a_wide_easy_swing_passes():
    """Ports that look out of the bend of a wide link, small motion, half-inch compact hose."""
    made = route.swing(route.Swing(400, 400, (80, 100), 60, -60), hose("R17", "-6"))
    assert made.possible, made.findings
    assert made.build_length_mm >= made.needed_mm + made.minus_mm - 1e-6
    assert {each.angle_deg for each in made.positions} >= {80, 100}


@settings(max_examples=examples(15), deadline=None)
@given(st.floats(150, 500), st.floats(150, 500), st.floats(20, 100), st.floats(10, 80))
def test_laws_of_a_swing(a, b, low, span):
    motion = route.Swing(a, b, (low, low + span))
    made = route.swing(motion, COMPACT)
    turned = route.swing(motion._replace(angle_deg=(low + span, low)), COMPACT)
    assert made.build_length_mm == turned.build_length_mm
    # never taut: shortened by 4 % and cut short, it still reaches everywhere
    for each in made.positions:
        assert (made.build_length_mm - made.minus_mm) * 0.96 >= each.chord_mm - 1e-6
    wider = route.swing(motion._replace(angle_deg=(low, low + span + 20)), COMPACT)
    assert wider.needed_mm >= made.needed_mm - 1e-6


@pytest.mark.parametrize(
    "motion",
    [
        route.Swing(0, 100, (0, 90)),
        route.Swing(100, -1, (0, 90)),
        route.Swing(100, 100, (50, 50)),
        route.Swing(100, 100, (0, 900)),
    ],
)
def test_impossible_swings_are_refused(motion):
    with pytest.raises(BadCircuit):
        route.swing(motion, TWO_WIRE)
