"""Cylinder arithmetic against published worked examples (tests/authorities/circuit_oracles.csv) and trade values."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.circuit import BadCircuit
from fittings.circuit import cylinder as cyl
from fittings.units import MM_PER_IN, N_PER_LBF, PSI_PER_MPA


def test_common_practice_two_inch_cylinder():
    """Common practice, no source: 2.00 in bore, 1.25 in rod, 2500 psi pushes about 7,850 lbf and pulls 4,780."""
    answer = cyl.answer(cyl.cylinder(2.0, 1.25), psi=2500)
    assert answer.push_lbf == pytest.approx(7850, rel=0.002)
    assert answer.pull_lbf == pytest.approx(4780, rel=0.002)


@pytest.mark.parametrize(
    ("bore", "rod", "phi"),
    [
        # ratios of common farm cylinders, worked out apart from this code
        (2, 1.125, 1.463),
        (2.5, 1.25, 1.333),
        (3, 1.25, 1.210),
        (3, 1.5, 1.333),
        (4, 2, 1.333),
        (5, 2.5, 1.333),
        (3, 2, 1.800),
    ],
)
def test_area_ratio(bore, rod, phi):
    assert cyl.cylinder(bore, rod).phi == pytest.approx(phi, abs=0.0006)


def test_distributors_six_inch_example():
    """US fluid-power distributor's toolbox (pi = 3.14): 28.26, 21.19 in², 70,650, 52,975 lbf, 1769.29, 2359.60 psi."""
    six = cyl.cylinder(6, 3, 8)
    answer = cyl.answer(six, psi=2500, flow_gpm=15, load_lbf=50_000)
    assert (six.cap_in2, six.annulus_in2) == pytest.approx((28.26, 21.19), rel=0.001)
    assert (answer.push_lbf, answer.pull_lbf) == pytest.approx((70_650, 52_975), rel=0.001)
    assert (answer.psi_to_push, answer.psi_to_pull) == pytest.approx((1769.29, 2359.60), rel=0.001)
    assert (answer.extend_in_s, answer.retract_in_s) == pytest.approx((2.044, 2.725), rel=0.001)
    assert cyl.flow_for_speed_gpm(six.cap_in2, 8 / 10) == pytest.approx(5.87, rel=0.002)


def test_engineering_reference_retract_speed_and_return_flow():
    """Engineering reference page: 4 in bore, 2 in rod, 10 gpm retracts at 245.098 in/min; 13.333 gpm come out."""
    answer = cyl.answer(cyl.cylinder(4, 2, 20), flow_gpm=10)
    assert answer.retract_in_s == pytest.approx(245.098 / 60, rel=1e-5)
    assert answer.return_gpm == pytest.approx(13.333, abs=0.001)
    assert answer.retract_s == pytest.approx(20 / 4.0850, rel=1e-4)


def test_metric_study_site_example():
    """Study site: 75 mm piston, 14 mm rod, 5 MPa, 200 000 mm³/s: 22 090 and 21 320 N, 45.3 and 46.9 mm/s."""
    metric = cyl.cylinder(75 / MM_PER_IN, 14 / MM_PER_IN)
    gpm = 200_000 * 60 / 1e6 / 3.785411784
    answer = cyl.answer(metric, psi=5 * PSI_PER_MPA, flow_gpm=gpm)
    assert answer.push_lbf * N_PER_LBF == pytest.approx(22_090, rel=0.0005)
    assert answer.pull_lbf * N_PER_LBF == pytest.approx(21_320, rel=0.0005)
    assert answer.extend_in_s * MM_PER_IN == pytest.approx(45.3, rel=0.001)
    assert answer.retract_in_s * MM_PER_IN == pytest.approx(46.9, rel=0.001)


@pytest.mark.parametrize(
    ("bore", "rod", "psi", "printed", "tolerance"),
    [
        # cylinder repairer's safety page, which rounds the areas to 7 and 4 in²; second page: half-area cylinder, exact
        (3, 2, 2000, 3500, 0.03),
        (3, 2, 2800, 4900, 0.03),
        (4, 4 / 2**0.5, 3000, 6000, 1e-9),
    ],
)
def test_rod_side_pressure_when_its_port_is_blocked(bore, rod, psi, printed, tolerance):
    assert cyl.rod_side_psi(cyl.cylinder(bore, rod), psi) == pytest.approx(printed, rel=tolerance)


def test_a_pulling_load_adds_to_the_rod_side():
    one = cyl.cylinder(3, 2)
    assert cyl.rod_side_psi(one, 0, 10_000) == pytest.approx(10_000 / one.annulus_in2)


def test_fields_are_those_of_the_design_and_empty_where_nothing_was_asked():
    answer = cyl.answer(cyl.cylinder(2.5, 1.5))
    assert answer._fields == (
        "push_lbf",
        "pull_lbf",
        "extend_in_s",
        "retract_in_s",
        "extend_s",
        "retract_s",
        "return_gpm",
        "rod_side_psi",
        "psi_to_push",
        "psi_to_pull",
        "volume_extend_gal",
        "volume_retract_gal",
        "buckling_lbf",
    )
    assert set(answer) == {None}
    full = cyl.answer(cyl.cylinder(2.5, 1.5, 16), 2750, 11, 5000)
    assert None not in full


@given(st.floats(0.5, 12), st.floats(0.05, 0.95), st.floats(1, 60), st.floats(1, 10_000), st.floats(0.1, 100))
def test_laws_of_a_cylinder(bore, share, stroke, psi, gpm):
    one = cyl.cylinder(bore, bore * share, stroke)
    answer = cyl.answer(one, psi, gpm, load_lbf=cyl.push_lbf(one, psi))
    assert answer.psi_to_push == pytest.approx(psi)
    assert answer.pull_lbf < answer.push_lbf
    assert answer.retract_s < answer.extend_s
    # oil in = oil out: what leaves the cap end on retract moves the piston at the same speed
    assert cyl.speed_in_s(one.cap_in2, answer.return_gpm) == pytest.approx(answer.retract_in_s)
    assert answer.volume_extend_gal == pytest.approx(gpm * answer.extend_s / 60)
    # force balance of the blocked rod port
    assert answer.rod_side_psi * one.annulus_in2 == pytest.approx(psi * one.cap_in2)


@pytest.mark.parametrize(
    ("bore", "rod", "stroke"), [(0, 0, None), (2, 2, None), (2, 3, None), (2, -1, None), (2, 1, 0), (-2, 1, 5)]
)
def test_impossible_cylinders_are_refused(bore, rod, stroke):
    with pytest.raises(BadCircuit):
        cyl.cylinder(bore, rod, stroke)


def test_eye_in_a_gap_and_pin_in_a_hole():
    """Common practice, no source: a 1.5 in eye in a 2.5 in gap takes 0.5 in each side."""
    assert cyl.spacers_in(1.5, 2.5) == 0.5
    assert cyl.sleeve_wall_in(1.0, 1.25) == 0.125
    with pytest.raises(BadCircuit, match="does not go into a gap"):
        cyl.spacers_in(2.6, 2.5)
    with pytest.raises(BadCircuit, match="does not go into a hole"):
        cyl.sleeve_wall_in(1.3, 1.25)


def test_fit_says_what_is_lost_and_what_is_past():
    """Stroke = extended less retracted, pin to pin: common practice, no source."""
    good = cyl.fit(closed_in=26, stroke_in=16, retracted_in=26, extended_in=42)
    assert good.findings == ()
    assert good.stroke_wanted_in == 16
    long_shut = cyl.fit(closed_in=27, stroke_in=16, retracted_in=26, extended_in=42)
    assert (long_shut.lost_closing_in, long_shut.past_opening_in) == (1, 1)
    assert [each.code for each in long_shut.findings] == ["closing-short", "opening-past"]
    short = cyl.fit(closed_in=25, stroke_in=14, retracted_in=26, extended_in=42)
    assert (short.past_closing_in, short.lost_opening_in) == (1, 3)
    never = cyl.fit(closed_in=44, stroke_in=16, retracted_in=26, extended_in=42)
    assert "pins-out-of-reach" in {each.code for each in never.findings}
    with pytest.raises(BadCircuit, match="cannot hide"):
        cyl.fit(closed_in=15, stroke_in=16, retracted_in=15, extended_in=31)


def test_no_rest_of_a_conversion_is_a_missing_length():
    """600 mm shut and 400 mm of stroke are 1000 mm open; a hundredth of an inch is still told (arithmetic by hand)."""
    mm = [float(f"{each / 25.4:.13g}") for each in (600, 400, 600, 1000)]
    assert cyl.fit(*mm).findings == ()
    assert [each.code for each in cyl.fit(26, 16, 26, 42.01).findings] == ["opening-short"]


def test_a_ram_does_not_pull():
    """Without a rod end nothing is fed that could pull it back; it pushes like any bore: 2 in at 2000 psi, 6283 lbf (p pi D²/4)."""
    answer = cyl.answer(cyl.cylinder(2, 0, 10), 2000, 5, 4000)
    assert answer.push_lbf == pytest.approx(6283, abs=1)
    assert (answer.pull_lbf, answer.retract_in_s, answer.retract_s, answer.return_gpm, answer.rod_side_psi, answer.psi_to_pull,
            answer.volume_retract_gal) == (None,) * 7
    assert None not in (answer.extend_in_s, answer.extend_s, answer.psi_to_push, answer.volume_extend_gal)
    for old, new, said in ((1, 0, "does not pull"), (0, 1, "it pulls too")):
        (found,) = cyl.compare(cyl.cylinder(2, old), cyl.cylinder(2, new), 2000, 5)
        assert (found.code, found.level) == ("pull-differs", "warn") and said in found.text


def test_measures_that_cannot_be_are_told_in_the_units_asked_for():
    for ask, said in ((lambda: cyl.spacers_in(50 / 25.4, 40 / 25.4, "metric"), "an eye 50 mm wide does not go into a gap of 40 mm"),
                      (lambda: cyl.sleeve_wall_in(50 / 25.4, 40 / 25.4, "metric"), "a pin of 50 mm does not go into a hole of 40 mm"),
                      (lambda: cyl.cylinder(50 / 25.4, 63 / 25.4, None, "metric"), "a rod of 63 mm does not go into a bore of 50 mm")):
        with pytest.raises(BadCircuit, match=said):
            ask()
    (push, _) = cyl.compare(cyl.cylinder(2, 1), cyl.cylinder(3, 1), 2000, 10.5669, "metric")
    assert push.text.endswith("speed at 40 L/min")


def test_beside_the_cylinder_it_must_match():
    found = cyl.compare(cyl.cylinder(2.5, 1.5), cyl.cylinder(3, 1.5), psi=2750, flow_gpm=11, units="inch")
    assert [(each.code, each.level) for each in found] == [("push-differs", "warn"), ("pull-differs", "warn")]
    assert found[0].text == "push: 19439 lbf instead of 13499 lbf (+44%), and -31% speed at 11 gpm"
    assert cyl.compare(cyl.cylinder(2.5, 1.5), cyl.cylinder(2.5, 1.5), 2750, 11) == ()


def test_port_behind_what_stands_in_the_way():
    assert cyl.port_clear(3.0, 2.5) is None
    assert cyl.port_clear(2.0, 2.5).level == "refuse"


def test_findings_name_intensification_and_a_low_rating():
    found = cyl.findings(cyl.cylinder(3, 2), 2800, rated_psi=2500)
    assert [each.code for each in found] == ["intensification", "cylinder-rating"]
    assert "5040 psi" in found[0].text


def test_the_buckling_load_of_a_published_example() -> None:
    """22 mm of steel, 500 mm between pins, E = 200 GPa: about 90.8 kN (a calculator's page on rod buckling, its worked example); ours
    reckons with 207 GPa."""
    assert cyl.buckling_lbf(22 / 25.4, 500 / 25.4) * 4.4482 * 200 / 207 == pytest.approx(90_800, rel=0.001)


def test_what_a_rod_stands_is_told_with_the_load_that_is_usual() -> None:
    """3/4 in of steel over 120 in bends at 320 lbf by hand (pi² × 30.02e6 psi × pi/64 × 0.75⁴ / 120²): a part in 3.5 of that is 91 lbf."""
    (told,) = cyl.buckling_findings(cyl.cylinder(3, 0.75, 60), load_lbf=200, units="inch")
    assert "bends sideways at 320 lbf" in told.text and "no more than 1/3.5 of that, 91 lbf, and the load is 200 lbf" in told.text
    assert "Euler" not in told.text
