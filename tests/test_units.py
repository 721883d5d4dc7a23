"""Quantities as typed: exact factors (NIST SP 811), the ways people write them, and that no text crashes the reader."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings import units
from fittings.units import BadQuantity

# NIST SP 811 (2008), appendix B.8: exact or to the digits printed there
FACTORS = [
    (units.length_mm, "1 in", 25.4),
    (units.length_mm, "1 ft", 304.8),
    (units.pressure_psi, "6.894757 kPa", 1.0),
    (units.pressure_psi, "1 bar", 14.50377),
    (units.pressure_psi, "1 MPa", 145.0377),
    (units.pressure_psi, "1 kgf/cm2", 14.22334),
    (units.torque_nm, "1 lbf·ft", 1.355818),
    (units.torque_nm, "1 lbf·in", 0.1129848),
    (units.torque_nm, "1 kgf·m", 9.80665),
    (units.flow_gpm, "3.785412 L/min", 1.0),
    (units.flow_gpm, "231 in³/min", 1.0),
    (units.flow_gpm, "1 m³/h", 4.402868),
    (units.force_lbf, "4.448222 N", 1.0),
    (units.force_lbf, "1 kN", 224.8089),
    (units.volume_gal, "3.785412 L", 1.0),
    (units.temperature_c, "32 F", 0.0),
    (units.temperature_c, "-40 °F", -40.0),
    (units.temperature_c, "273.15 K", 0.0),
    (units.angle_deg, "3.14159265359 rad", 180.0),
    (units.density_kg_l, "870 kg/m3", 0.87),
    (units.viscosity_cst, "0.46 St", 46.0),
]


@pytest.mark.parametrize(("read", "text", "expected"), FACTORS, ids=lambda case: case if isinstance(case, str) else "")
def test_factors_are_those_of_the_standard(read, text, expected):
    assert read(text) == pytest.approx(expected, rel=5e-7, abs=1e-9)


# how people write sizes: common practice, no source
LENGTHS = [
    ("1-1/16", 1.0625),
    ("1 1/16", 1.0625),
    ("1.1/4", 1.25),
    ('1-1/16"', 1.0625),
    ("1–1/16 in.", 1.0625),
    ("½", 0.5),
    ("1½", 1.5),
    ("1 ½ in", 1.5),
    ("⅜", 0.375),
    ("⅞”", 0.875),
    ("9/16", 0.5625),
    ("1⁄2", 0.5),
    (".5", 0.5),
    ("0,5 in", 0.5),
    ("22 mm", 22 / 25.4),
    ("2,5 cm", 25 / 25.4),
    ("2.5cm", 25 / 25.4),
    ("7'6\"", 90),
    ("7' 6 1/2\"", 90.5),
    ("7 ft 6 in", 90),
    ("7'-6\"", 90),
    ("7'", 84),
    ("84 in", 84),
    ("84 Inches", 84),
    ("12 500 mm", 12500 / 25.4),
    ("1.234,5 mm", 1234.5 / 25.4),
    ("1,234,567 mm", 1234567 / 25.4),
    ("0,500 in", 0.5),
    ("6''", 6),
    ("  3  in ", 3),
    ("5 thou", 0.005),
]


@pytest.mark.parametrize(("text", "inches"), LENGTHS)
def test_lengths_as_people_write_them(text, inches):
    assert units.length_in(text, "in") == pytest.approx(inches, rel=1e-12)
    assert units.length_mm(text, "in") == pytest.approx(inches * 25.4, rel=1e-12)


@pytest.mark.parametrize(
    ("read", "text", "expected"),
    [
        (units.pressure_psi, "2,750 psi", 2750),
        (units.pressure_psi, "3000psi", 3000),
        (units.pressure_psi, "3 000 psi", 3000),
        (units.pressure_psi, "190 BAR", 2755.717),
        (units.pressure_psi, "20 N/mm²", 2900.755),
        (units.torque_nm, "35 ft-lb", 47.4536),
        (units.torque_nm, "35 lb-ft", 47.4536),
        (units.torque_nm, "35 ft. lbs.", 47.4536),
        (units.torque_nm, "420 in-lb", 47.4536),
        (units.torque_nm, "47 N·m", 47),
        (units.torque_nm, "47 Nm", 47),
        (units.torque_nm, "47 N-m", 47),
        (units.flow_gpm, "11 gal per min", 11),
        (units.flow_gpm, "42 litres per minute", 11.09523),
        (units.flow_gpm, "42 lpm", 11.09523),
        (units.flow_gpm, "1 imp gpm", 1.20095),
        (units.force_lbf, "1 tonne", 2204.623),
        (units.force_lbf, "5,000 lbs", 5000),
        (units.temperature_c, "−10 C", -10),
        (units.temperature_c, "140°F", 60),
        (units.volume_gal, "231 cu. in.", 1),
        (units.angle_deg, "-90", -90),
        (units.angle_deg, "40 degrees", 40),
        (units.density_kg_l, "0.87", 0.87),
    ],
)
def test_other_quantities_as_people_write_them(read, text, expected):
    assert read(text) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("read", "text", "why"),
    [
        (units.length_mm, "2500", "no unit"),
        (units.pressure_psi, "2500", "no unit"),
        (units.length_mm, "1,250 in", "can mean 1250 or 1.250"),
        (units.length_mm, "-8 in", "negative"),
        (units.length_mm, "3/0 in", "0 below the line"),
        (units.length_mm, "", "no length given"),
        (units.length_mm, "abc", "number and a unit"),
        (units.length_mm, "5'13\"", "below 12"),
        (units.length_mm, "3 psi", "“psi”"),
        (units.pressure_psi, "2500 lbs", "may be a force"),
        (units.force_lbf, "2 tons", "2000 lb, 2240 lb or 1000 kg"),
        (units.viscosity_cst, "97 SSU", "about 20 cSt"),
        (units.temperature_c, "-300 C", "absolute zero"),
        (units.pressure_psi, "9" * 30 + " psi", "too large"),
        (units.pressure_psi, "9" * 300 + " psi", "too long"),
        (units.length_mm, "1 2 3 in", "not a number"),
        (units.length_mm, "٣ in", "number and a unit"),
        (units.units_style, "imperial", "inch, metric or both"),
    ],
)
def test_what_cannot_be_read_says_why_and_what_would_do(read, text, why):
    with pytest.raises(BadQuantity) as caught:
        read(text)
    assert why in str(caught.value)
    assert "write it like" in str(caught.value)
    assert caught.value.typed in text or caught.value.typed.endswith("…")


READERS = [
    units.length_mm,
    units.length_in,
    units.pressure_psi,
    units.torque_nm,
    units.flow_gpm,
    units.force_lbf,
    units.temperature_c,
    units.volume_gal,
    units.angle_deg,
    units.viscosity_cst,
    units.density_kg_l,
]
TYPED = st.one_of(st.text(max_size=80), st.text(alphabet="0123456789/.,- '\"½⅜″xinmft°Cbarpsi", max_size=25))


@given(TYPED, st.sampled_from(READERS), st.sampled_from([None, "in", "psi", "bar", "F"]))
def test_no_text_crashes_a_reader(text, read, default):
    try:
        value = read(text, default)
    except BadQuantity as error:
        assert error.why
        assert error.example
    else:
        assert math.isfinite(value)


@given(st.floats(0, 1e5))
def test_units_go_there_and_back(value):
    typed = f"{value:.6f}"
    assert units.length_in(f"{units.length_mm(typed + ' in'):.9f} mm") == pytest.approx(
        float(typed), rel=1e-11, abs=1e-8
    )
    bar = units.pressure_psi(typed + " psi") / units.PSI_PER_BAR
    assert units.pressure_psi(f"{bar:.9f} bar") == pytest.approx(float(typed), abs=1e-6)
    litres = units.flow_gpm(typed + " gpm") * units.L_PER_GAL
    assert units.flow_gpm(f"{litres:.9f} L/min") == pytest.approx(float(typed), abs=1e-6)
    newton_metres = units.torque_nm(typed + " lbf·ft")
    assert newton_metres / units.NM_PER_LBF_FT == pytest.approx(float(typed), abs=1e-6)


@given(st.integers(0, 40), st.integers(0, 63))
def test_a_fraction_printed_is_read_back_the_same(whole, over):
    value = whole + over / 64
    assert units.length_in(units.inch(value)) == pytest.approx(value, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (units.inch(0.5625), "9/16 in"),
        (units.inch(1.0625), "1-1/16 in"),
        (units.inch(24.5), "24-1/2 in"),
        (units.inch(0.571), "0.571 in"),
        (units.inch(7.524), "7.52 in"),
        (units.inch(3.0), "3 in"),
        (units.inch(0.0), "0 in"),
        (units.format_length(14.2875), "9/16 in (14.3 mm)"),
        (units.format_pressure(2750), "2750 psi (190 bar)"),
        (units.format_pressure(2750, "metric"), "190 bar"),
        (units.format_pressure(43.5, "metric"), "3 bar"),
        (units.format_torque(47), "35 lbf·ft (47 N·m)"),
        (units.format_torque(10, "inch"), "89 lbf·in"),
        (units.format_flow(11), "11 gpm (41.6 L/min)"),
        (units.format_temperature(-10, "both"), "14 °F (-10 °C)"),
        (units.format_speed(13.1, "metric"), "4 m/s"),
        (units.format_volume(0.34), "0.34 gal (1.29 L)"),
        (units.format_force(7854, "inch"), "7854 lbf"),
    ],
)
def test_printed_as_it_is_said(text, expected):
    assert text == expected


@given(st.floats(0.001, 1e5), st.sampled_from([0.5, 1.0, 10.0, 12.7]))
def test_rounding_up_never_shortens(value, step):
    assert units.round_up(value, step) >= value - 1e-8 * step
    assert units.round_up(value, step) - value < step + 1e-8


def test_a_reckoned_radius_reads_in_sixteenths_never_above_what_it_is() -> None:
    """5-61/64 in (5.953) beside 5.36 in was read off a plan: a tape has sixteenths."""
    assert units.format_reached_length(5.953 * 25.4, "inch") == "5-15/16 in" and units.format_least_length(5.36 * 25.4, "inch") == "5-3/8 in"
