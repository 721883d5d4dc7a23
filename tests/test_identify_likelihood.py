"""The model behind `identify` by the laws of probability: what can be read adds up to one, and figures worked by hand.

Noise as `data/identify/noise.csv` has it (practice of the trade, confidence C); the arithmetic beside each figure is by hand.
"""

import math
from collections.abc import Callable

import pytest

from fittings.ends import end_by_id
from fittings.identify.likelihood import (
    FLOOR,
    bore_density,
    count_sd_mm,
    diameter_density,
    diameter_sd_mm,
    gauge_share,
    hex_density,
    leaf_of,
    leaf_read,
    leaf_shares,
    leaves,
    likelihood,
    none_diameter_density,
    none_likelihood,
    none_pitch_likelihood,
    nose_share,
    pitch_likelihood,
    pitch_sd,
    quick_density,
    seat_density,
)
from fittings.identify.marks import mark_share, own_marks
from fittings.identify.prior import Prior, prior
from fittings.identify.readings import Readings, instrument_sd_mm
from fittings.identify.shares import shares
from fittings.identify.specimen import NOSES, Diameter, Specimen, specimens

STILL = ((0.0, 1.0),)


def _area(density: Callable[[float], float], low: float, high: float, steps: int = 4000) -> float:
    """Integral by the midpoint rule."""
    step = (high - low) / steps
    return step * sum(density(low + (n + 0.5) * step) for n in range(steps))


def of(id_: str) -> Specimen:
    end = end_by_id(id_)
    return next(each for each in specimens() if each.end == end)


# --- diameters ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("sd", [0.05, 0.6, 2.0])
@pytest.mark.parametrize("diameter", [Diameter(14.0, 14.3, STILL), Diameter(20, 20.4, ((0.0, 0.5), (-0.3, 0.3), (0.8, 0.2)))])
def test_a_diameter_is_read_somewhere(diameter: Diameter, sd: float) -> None:
    assert _area(lambda mm: diameter_density(mm, diameter, sd), 0, 40) == pytest.approx(1, abs=1e-3)
    assert _area(lambda mm: quick_density(mm, diameter, sd), 0, 40) == pytest.approx(1, abs=1e-3)


def test_density_of_a_diameter_by_hand() -> None:
    """A span of 1 mm read to 0.01 mm: 1 per mm inside, half of it at either edge, nothing outside; carelessly
    (one reading in fifty) hypot(0.01, 0.15) = 0.1503 mm."""
    wide = Diameter(10.0, 11.0, STILL)
    assert quick_density(10.5, wide, 0.01) == pytest.approx(1.0, abs=1e-9)
    assert quick_density(10.0, wide, 0.01) == quick_density(11.0, wide, 0.01) == pytest.approx(0.5, abs=1e-9)
    assert quick_density(11.041, wide, 0.01) == quick_density(9.959, wide, 0.01) == FLOOR
    assert quick_density(11.039, wide, 0.01) != FLOOR
    half_careless = 0.02 * 0.5 * math.erfc(0.2 / (0.15033 * math.sqrt(2)))
    assert diameter_density(11.2, wide, 0.01) == pytest.approx(half_careless, rel=1e-3)
    assert diameter_density(11.0 + 6 * 0.1504, wide, 0.01) == diameter_density(10.0 - 6 * 0.1504, wide, 0.01) == FLOOR
    assert diameter_density(11.0 + 6 * 0.1503, wide, 0.01) != FLOOR
    assert diameter_density(10.0 - 6 * 0.1503, wide, 0.01) != FLOOR
    moved = Diameter(10.0, 11.0, ((0.0, 0.25), (-2.0, 0.75)))
    assert moved.span_mm == (8.0, 11.0)
    assert quick_density(8.5, moved, 0.01) == pytest.approx(0.75, abs=1e-9)


def test_an_odd_thread_has_any_size_in_proportion() -> None:
    # between 4 and 110 mm: 1 / (x ln 27.5); a fiftieth of it outside
    assert _area(none_diameter_density, 4, 110) == pytest.approx(1, abs=1e-3)
    assert none_diameter_density(20) == pytest.approx(1 / (20 * math.log(27.5)))
    assert none_diameter_density(4) == pytest.approx(1 / (4 * math.log(27.5)))
    assert none_diameter_density(110) == pytest.approx(1 / (110 * math.log(27.5)))
    assert none_diameter_density(3.9) == pytest.approx(0.02 / (3.9 * math.log(27.5)))
    assert none_diameter_density(120) == pytest.approx(0.02 / (120 * math.log(27.5)))
    assert none_diameter_density(0) == pytest.approx(0.02 / (0.1 * math.log(27.5)))


def test_standard_deviation_as_said_else_by_the_instrument() -> None:
    assert diameter_sd_mm(Readings(plus_minus_mm=0.3), False) == 0.3
    assert [diameter_sd_mm(Readings(instrument=name), inside) for name in ("caliper", "ruler", "guess") for inside in (False, True)] == [
        0.05, 0.08, 0.6, 0.8, 2.0, 2.5]
    assert instrument_sd_mm("caliper") == 0.05
    assert [pitch_sd(name) for name in ("caliper", "ruler", "guess")] == [0.013, 0.04, 0.08]


@pytest.mark.parametrize(("id_", "reading", "right", "wrong"), [
    # 9/16-18: crests of the male about 14.2, of the female about 12.9 mm (ASME B1.1)
    ("jic-6-male", "od_mm", 14.2, 14.2), ("jic-6-swivel", "id_mm", 12.95, 12.95),
])
def test_a_diameter_given_for_the_other_side_counts_little(id_: str, reading: str, right: float, wrong: float) -> None:
    """One in fifty notes the wrong side: half of these measure the crests all the same, half the other half's."""
    other = "id_mm" if reading == "od_mm" else "od_mm"
    straight = likelihood(reading, Readings(**{reading: right, "plus_minus_mm": 0.05}), of(id_))
    crossed = likelihood(other, Readings(**{other: wrong, "plus_minus_mm": 0.05}), of(id_))
    assert crossed == pytest.approx(straight * 0.01 / 0.98, rel=0.02)
    assert likelihood(reading, Readings(**{reading: right + 12}), of(id_)) == FLOOR
    area = _area(lambda mm: likelihood(reading, Readings(**{reading: mm}), of(id_)), 5, 25)
    assert area == pytest.approx(0.98, abs=2e-3)
    assert _area(lambda mm: likelihood(other, Readings(**{other: mm}), of(id_)), 5, 25) == pytest.approx(0.02, abs=1e-3)


def test_what_can_be_reached_at_all() -> None:
    """9/16-18 is 14.29 mm: from 5 mm below to 1 mm above, and the slack; a flange is asked whatever is read."""
    male = of("jic-6-male")
    assert [male.may_measure(mm, 0.5) for mm in (8.78, 8.80, 15.78, 15.80)] == [False, True, True, False]
    tube = of("cone24-15L-male")  # M22x1.5: 17 less half a millimetre, 23 and half a millimetre more
    assert [tube.may_measure(mm, 0.5) for mm in (16.5, 16.51, 23.49, 23.5)] == [False, True, True, False]
    assert of("code61-16-head").may_measure(500, 0)


# --- pitches --------------------------------------------------------------------------------------------------------


def test_leaves_of_the_two_gauges() -> None:
    assert leaf_of(1.5, None) == ("mm", 1.5)
    assert leaf_of(None, 18.0) == ("tpi", 25.4 / 18)
    assert leaf_of(25.4 / 18, None) == leaf_of(1.411, None) == ("tpi", 25.4 / 18)  # 1.411 mm is no leaf in mm, 18 TPI is 1.4111
    assert leaf_of(1.41, None) == ("tpi", 25.4 / 18)  # 0.08 % off
    assert leaf_of(1.405, None) is None and leaf_of(1.417, None) is None  # 0.4 % off: that was counted
    assert leaf_of(None, 17.2) is None and leaf_of(None, 18.01) is None
    assert leaf_of(1.27, None) == ("tpi", 1.27)  # 20 TPI
    assert len(leaves("tpi")) == 23 and len(leaves("mm")) == 14


@pytest.mark.parametrize("true_mm", [0.6, 0.907, 1.0, 25.4 / 18, 1.5, 25.4 / 14, 2.0, 25.4 / 11, 3.175, 4.4])
@pytest.mark.parametrize("unit", ["tpi", "mm"])
@pytest.mark.parametrize("sd", [0.013, 0.001])
def test_some_leaf_is_found_to_fit(true_mm: float, unit: str, sd: float) -> None:
    found = leaf_shares(true_mm, unit, sd)
    assert sum(found.values()) == pytest.approx(1, abs=1e-9)
    assert max(found, key=lambda leaf: found[leaf]) == min(leaves(unit), key=lambda leaf: abs(math.log(leaf / true_mm)))
    assert all(share >= 0 for share in found.values())


def test_leaves_by_hand() -> None:
    """18 TPI with the inch leaves: 19 and 20 stand 5.4 and 10.5 % off, 17 there is none, 16 stands 11.8 % off: at 1.3 % a
    leaf they are exp(-8.6) and less. Four leaves lie within a fifth of it, 16, 18, 19 and 20, with a slip of 0.0002 each."""
    found = leaf_shares(25.4 / 18, "tpi", 0.013)
    near = [tpi for tpi in (14, 16, 18, 19, 20, 22, 24) if abs(math.log(tpi / 18)) < 0.2]
    assert near == [16, 18, 19, 20]
    assert found[25.4 / 18] == pytest.approx((1 - math.exp(-0.5 * (math.log(19 / 18) / 0.013) ** 2)) * (1 - 4 * 0.0002) + 0.0002, abs=1e-6)
    assert found[25.4 / 20] == pytest.approx(0.0002, abs=1e-6)
    assert found[25.4 / 22] == pytest.approx(0, abs=1e-6)
    # a pitch that no leaf comes near (4.4 mm, leaves of 4 and 3.5 at 1 %): the nearest two, by how much closer the one is
    apart = math.log(4.4 / 3.5) - math.log(4.4 / 4)
    exact = leaf_shares(4.4, "mm", 0.01)
    assert exact[4.0] == pytest.approx(1 / (1 + math.exp(-apart / 0.01)) * (1 - 0.0002) + 0.0002, abs=1e-6)
    spread = leaf_shares(1.62, "mm", 0.01)  # 1.5 is 7.7 % off, 1.75 is 7.7 % off: as good as equal
    assert spread[1.5] == pytest.approx(1 / (1 + math.exp((math.log(1.62 / 1.5) - math.log(1.75 / 1.62)) / 0.01)), abs=0.01)
    assert spread[1.5] + spread[1.75] == pytest.approx(1, abs=0.002)


def test_the_gauge_of_the_other_kind_is_laid_on_one_time_in_twenty() -> None:
    assert [gauge_share(unit, inch) for unit in ("tpi", "mm") for inch in (True, False)] == pytest.approx([0.95, 0.05, 0.05, 0.95])


@pytest.mark.parametrize("inch", [True, False])
@pytest.mark.parametrize("true_mm", [25.4 / 18, 1.5, 2.0, 25.4 / 12])
def test_every_leaf_of_both_gauges_together_is_one(true_mm: float, inch: bool) -> None:
    both = sum(pitch_likelihood(Readings(tpi=25.4 / leaf), true_mm, inch) for leaf in leaves("tpi"))
    both += sum(pitch_likelihood(Readings(pitch_mm=leaf), true_mm, inch) for leaf in leaves("mm"))
    assert both == pytest.approx(1, abs=1e-6)


def test_of_two_pitches_either_may_be_right() -> None:
    one, other = Readings(tpi=18.0), Readings(pitch_mm=1.5)
    both = Readings(tpi=18.0, pitch_mm=1.5)
    assert pitch_likelihood(both, 25.4 / 18, True) == pytest.approx(
        (pitch_likelihood(one, 25.4 / 18, True) + pitch_likelihood(other, 25.4 / 18, True)) / 2)


def test_a_counted_pitch_by_hand() -> None:
    """No leaf: 17.2 TPI was counted, to 2.5 % of a part, one in ten to 5 %; a hundredth of the density per part. A ruler
    counts to 4 %, carelessly to one and a half times that."""
    def normal(off: float, sd: float) -> float:
        return math.exp(-0.5 * (off / sd) ** 2) / (sd * math.sqrt(2 * math.pi))

    off = math.log(25.4 / 17.2 / (25.4 / 18))
    assert pitch_likelihood(Readings(tpi=17.2), 25.4 / 18, True) == pytest.approx(0.01 * (0.9 * normal(off, 0.025) + 0.1 * normal(off, 0.05)))
    assert pitch_likelihood(Readings(pitch_mm=1.46), 25.4 / 18, False) == pytest.approx(
        0.01 * (0.9 * normal(math.log(1.46 * 18 / 25.4), 0.025) + 0.1 * normal(math.log(1.46 * 18 / 25.4), 0.05)))
    assert pitch_likelihood(Readings(tpi=18.0, instrument="ruler"), 25.4 / 18, True) == pytest.approx(
        0.01 * (0.9 * normal(0, 0.04) + 0.1 * normal(0, 0.06)))


def _normal(off: float, sd: float) -> float:
    return math.exp(-0.5 * (off / sd) ** 2) / (sd * math.sqrt(2 * math.pi))


@pytest.mark.parametrize(("readings", "true_mm", "sd_mm", "offs_mm"), [
    # ten of 1.411 mm are 14.11, nine 12.70, eleven 15.52 mm; laid off to 0.2 mm with a caliper, 0.4 with a ruler (practice)
    (Readings(pitch_mm=1.5, counted=10), 25.4 / 18, 0.2, (0.8889, 2.3, -0.5222)),
    (Readings(pitch_mm=1.5, counted=10, counted_sd_mm=0.25), 25.4 / 18, 0.25, (0.8889, 2.3, -0.5222)),
    (Readings(pitch_mm=1.5, counted=10, counted_sd_mm=0.025), 25.4 / 18, 0.2, (0.8889, 2.3, -0.5222)),
    (Readings(pitch_mm=1.5, counted=20, instrument="ruler"), 1.5, 0.4, (0.0, 1.5, -1.5)),
    (Readings(pitch_mm=2.0, counted=20, instrument="guess"), 25.4 / 12, 1.0, (-2.3333, -0.2167, -4.45)),
])
def test_threads_counted_over_a_length_by_hand(readings: Readings, true_mm: float, sd_mm: float, offs_mm: tuple[float, float, float]) -> None:
    """The length is off a little, or the count by one thread, three times in a hundred each way (practice). What it comes to may be a leaf
    of a gauge, yet none was laid on: ten threads in 15 mm are not 18 TPI read with the leaf next to it."""
    on, less, more = (_normal(off, sd_mm) for off in offs_mm)
    assert readings.pitch_mm is not None and readings.counted is not None
    by_hand = 0.01 * readings.counted * readings.pitch_mm * (0.94 * on + 0.03 * less + 0.03 * more)
    assert pitch_likelihood(readings, true_mm, True) == pitch_likelihood(readings, true_mm, False) == pytest.approx(by_hand, rel=2e-3)
    assert leaf_read(readings, readings.pitch_mm, None) is None
    assert none_pitch_likelihood(readings) == pytest.approx(0.01 / math.log(4 / 0.6))


def test_a_leaf_is_read_where_nothing_was_counted() -> None:
    assert leaf_read(Readings(pitch_mm=1.5), 1.5, None) == ("mm", 1.5)
    assert leaf_read(Readings(pitch_mm=1.5, counted=10, tpi=16.0), None, 16.0) == ("tpi", 25.4 / 16)  # the other of two readings
    assert leaf_read(Readings(pitch_mm=1.5, instrument="ruler"), 1.5, None) is None
    assert [count_sd_mm(Readings(instrument=name)) for name in ("caliper", "ruler", "guess")] == [0.2, 0.4, 1.0]
    assert count_sd_mm(Readings(counted_sd_mm=0.3)) == 0.3


def test_a_count_of_many_threads_tells_what_a_leaf_may_not() -> None:
    """20 threads in 30 mm: 1.5 mm to the figure, 18 TPI 1.78 mm off (nine times 0.2) unless 21 were there (29.63 mm, 0.37 off)."""
    counted = Readings(pitch_mm=1.5, counted=20)
    odds = pitch_likelihood(counted, 1.5, False) / pitch_likelihood(counted, 25.4 / 18, True)
    assert odds == pytest.approx(0.94 / (0.03 * math.exp(-0.5 * (0.3667 / 0.2) ** 2)), rel=0.01)  # about 170
    leaf = Readings(pitch_mm=1.5)
    assert odds > 5 * pitch_likelihood(leaf, 1.5, False) / pitch_likelihood(leaf, 25.4 / 18, True)


def test_any_pitch_of_an_odd_thread_in_proportion() -> None:
    """Finest 0.6, coarsest 4 mm: 1 / ln(6.667) per part; a leaf stands for half the way to its neighbours, on one gauge of two."""
    per_part = 1 / math.log(4 / 0.6)
    assert none_pitch_likelihood(Readings(pitch_mm=1.5)) == pytest.approx(per_part * math.log(1.75 / 1.25) / 4)
    assert none_pitch_likelihood(Readings(tpi=18.0)) == pytest.approx(per_part * math.log(19 / 16) / 4)
    assert none_pitch_likelihood(Readings(pitch_mm=0.5)) == pytest.approx(per_part * math.log(0.6 / 0.45) / 4)  # the finest leaf
    assert none_pitch_likelihood(Readings(tpi=6.0)) == pytest.approx(per_part * math.log(1.1 * 7 / 6) / 4)  # the coarsest
    assert none_pitch_likelihood(Readings(tpi=17.2)) == pytest.approx(per_part * 0.01)
    assert none_pitch_likelihood(Readings(tpi=18.0, instrument="ruler")) == pytest.approx(per_part * 0.01)


def test_a_pitch_on_an_end_without_a_thread_is_a_slip() -> None:
    assert likelihood("pitch", Readings(tpi=18.0), of("code61-16-head")) == pytest.approx(
        0.0002 * none_pitch_likelihood(Readings(tpi=18.0)))
    assert likelihood("pitch", Readings(tpi=18.0), of("jic-6-male")) == pytest.approx(pitch_likelihood(Readings(tpi=18.0), 25.4 / 18, True))
    assert likelihood("pitch", Readings(pitch_mm=1.5), of("cone24-15L-male")) == pytest.approx(
        pitch_likelihood(Readings(pitch_mm=1.5), 1.5, False))


# --- what is seen ---------------------------------------------------------------------------------------------------


def test_what_is_said_of_an_end_adds_up_to_one() -> None:
    for each in specimens():
        assert sum(nose_share(word, each) for word in NOSES) == pytest.approx(1, abs=1e-9)
        assert sum(likelihood("nose", Readings(nose=word), each) for word in NOSES) == pytest.approx(1, abs=1e-9)
        assert sum(likelihood("sex", Readings(sex=word), each) for word in ("male", "female", "none")) == pytest.approx(1, abs=1e-9)
        for name in ("taper", "chamfer", "turns"):
            assert sum(likelihood(name, Readings(**{name: flag}), each) for flag in (True, False)) == pytest.approx(1, abs=1e-9)
        if each.thread:
            assert sum(likelihood("flank_deg", Readings(flank_deg=deg), each) for deg in (55.0, 60.0)) == pytest.approx(1, abs=1e-9)
        assert _area(lambda deg, each=each: seat_density(deg, each), -30, 150, 900) == pytest.approx(
            1 + 60 * 0.05 / 120 if each.seats else 0.05 * 180 / 120, abs=2e-3)


@pytest.mark.parametrize(("reading", "value", "id_", "share"), [
    ("taper", True, "npt-1/2-male", 0.93), ("taper", True, "jic-6-male", 0.02), ("taper", False, "bspt-1/2-female", 0.07),
    ("taper", True, "code61-16-head", 0.02), ("sex", "male", "jic-6-male", 0.994), ("sex", "male", "jic-6-swivel", 0.003),
    ("flank_deg", 60.0, "npt-1/2-male", 0.85), ("flank_deg", 55.0, "npt-1/2-male", 0.15), ("flank_deg", 55.0, "bspt-1/2-male", 0.85),
    ("flank_deg", 60.0, "code61-16-head", 0.15), ("country", "Japan", "npt-1/2-male", 1.0), ("came_off", "pump", "npt-1/2-male", 1.0),
])
def test_what_is_seen_by_hand(reading: str, value: object, id_: str, share: float) -> None:
    assert likelihood(reading, Readings(**{reading: value}), of(id_)) == pytest.approx(share)


def test_seat_angles_by_hand() -> None:
    """A 37° seat is said to be 37 nine times in ten, else 74; read to 2 degrees; any angle of 120 one time in twenty."""
    peak = 1 / (2 * math.sqrt(2 * math.pi))
    assert seat_density(37, of("jic-6-male")) == pytest.approx(0.95 * 0.9 * peak + 0.05 / 120)
    assert seat_density(74, of("jic-6-male")) == pytest.approx(0.95 * 0.1 * peak + 0.05 / 120)
    assert likelihood("seat_deg", Readings(seat_deg=39), of("jic-6-male")) == pytest.approx(0.95 * 0.9 * peak * math.exp(-0.5) + 0.05 / 120)
    assert seat_density(37, of("orb-6-port")) == pytest.approx(0.05 / 120)


def test_the_odd_thread_says_anything() -> None:
    for name, words in (("taper", (True, False)), ("chamfer", (True, False)), ("turns", (True, False)), ("flank_deg", (55.0, 60.0)),
                        ("nose", NOSES), ("sex", ("male", "female", "none"))):
        assert sum(none_likelihood(name, Readings(**{name: word})) for word in words) == pytest.approx(1), name
    assert none_likelihood("taper", Readings(taper=True)) == pytest.approx(0.15)
    assert [none_likelihood("sex", Readings(sex=word)) for word in ("male", "female", "none")] == [0.5, 0.4, 0.1]
    assert none_likelihood("seat_deg", Readings(seat_deg=37)) == pytest.approx(1 / 120)
    assert none_likelihood("country", Readings(country="Japan")) == 1.0
    for name in ("od_mm", "id_mm", "tube_bore_mm", "hex_mm"):
        assert none_likelihood(name, Readings(**{name: 20.0})) == none_diameter_density(20.0)
    assert none_likelihood("pitch", Readings(tpi=18.0)) == none_pitch_likelihood(Readings(tpi=18.0))


# --- bores and hexes ------------------------------------------------------------------------------------------------


def test_bores_by_hand() -> None:
    """15L takes a 15 mm tube, its socket is up to 0.35 mm wider, and eight in ten read it there; where nothing is known anything from a quarter
    of the thread to 95 %."""
    fifteen = of("cone24-15L-male")
    assert fifteen.bore_mm == 15.0
    assert bore_density(15.2, fifteen, 0.02, "mouth") == pytest.approx(0.98 / 0.35 + 0.02 * _area(
        lambda true: math.exp(-0.5 * ((15.2 - true) / math.hypot(0.02, 0.15)) ** 2) / (math.hypot(0.02, 0.15) * math.sqrt(2 * math.pi)), 15, 15.35) / 0.35,
        rel=1e-3)
    assert _area(lambda mm: bore_density(mm, fifteen, 0.15), 2, 22) == pytest.approx(1, abs=1e-3)
    # its hole behind the socket is 12 mm (a catalogue of tube fittings), read by 15 in 100, and 5 in 100 read something else
    assert bore_density(12.0, fifteen, 0.02) == pytest.approx(0.15 / 0.6 + 0.05 / (0.7 * 22), rel=0.01)
    assert bore_density(12.0, fifteen, 0.02, "behind") > 3 * bore_density(12.0, fifteen, 0.02) > 100 * bore_density(12.0, fifteen, 0.02, "mouth")
    assert bore_density(18.0, fifteen, 0.15) == pytest.approx(0.05 / (0.7 * 22), rel=1e-3)
    male = of("jic-6-male")  # 14.2875 mm over the thread
    assert male.bore_mm is None
    assert bore_density(9.5, male, 0.15) == pytest.approx(1 / (0.7 * 14.2875))
    assert [bore_density(mm, male, 0.15) > FLOOR for mm in (3.5, 3.6, 13.5, 13.6)] == [False, True, True, False]
    assert likelihood("tube_bore_mm", Readings(tube_bore_mm=15.2), fifteen) == pytest.approx(bore_density(15.2, fifteen, 0.15))
    assert likelihood("tube_bore_mm", Readings(tube_bore_mm=15.2, plus_minus_mm=0.5), fifteen) == pytest.approx(bore_density(15.2, fifteen, 0.5))


def test_hexes_by_hand() -> None:
    """Listed hexes six times in ten, to 0.25 mm; else anything from one to two thread diameters."""
    nut = of("jic-12-swivel")
    assert 31.75 in nut.hexes_mm  # header maker's manuals: 1-1/4 in at -12
    assert _area(lambda mm: hex_density(mm, nut), 0, 100) == pytest.approx(1, abs=2e-3)
    across = 1.0625 * 25.4
    broad = 0.4 / across
    assert hex_density(45.0, nut) == pytest.approx(broad)
    assert hex_density(31.75, nut) >= broad + 0.6 / (0.25 * math.sqrt(2 * math.pi)) / len(nut.hexes_mm) - 1e-9
    bare = next(each for each in specimens() if each.thread and not each.hexes_mm)
    assert bare.thread is not None
    major = bare.thread.major_mm
    assert hex_density(1.5 * major, bare) == pytest.approx(1 / major)
    assert hex_density(0.99 * major, bare) == hex_density(2.01 * major, bare) == FLOOR
    assert likelihood("hex_mm", Readings(hex_mm=31.75), nut) == hex_density(31.75, nut)


def test_a_hex_speaks_for_nobody_only_because_he_is_listed() -> None:
    """A JIS 1/2 nut is as wide as a BSP 1/2 nut, 27 mm, a metric 30° nut as that of the tube with its thread (practice): our tables list
    the one and not the other."""
    for unlisted, listed, mm in (("jis30-1/2-swivel", "bsp60-1/2-swivel", 27.0), ("cone24-15L-swivel", "cone24-15L-tube-nut", 27.0),
                                 ("metric30-M18x1.5-swivel", "cone24-12L-tube-nut", 22.0)):
        assert mm in of(unlisted).hexes_mm and mm in of(listed).hexes_mm
    assert hex_density(27.0, of("jis30-1/2-swivel")) == pytest.approx(hex_density(27.0, of("bsp60-1/2-swivel")))


def test_an_angle_speaks_for_no_name_of_one_cone() -> None:
    """30° per side is 60° across (ISO 8434-6, JIS B 8363): the same metal, whichever way a gauge says it."""
    for deg in (30.0, 60.0):
        cones = {seat_density(deg, of(id_)) for id_ in ("jis30-1/2-swivel", "bsp60-1/2-swivel", "npsm-1/2-swivel", "metric30-M22x1.5-swivel")}
        assert len(cones) == 1


@pytest.mark.parametrize(("text", "id_", "share"), [
    # its own mark three times in ten; a mark of another kind six in a thousand, a whole size of another kind three in ten thousand (practice)
    ("NPT", "npt-1/2-male", 0.3), ("NPT", "bspt-1/2-male", 0.006), ("15L", "cone24-15L-male", 0.3), ("15L", "cone24-14S-male", 0.0003),
    ("G1/2", "bspp-1/2-stud", 0.3), ("G1/2", "npt-1/2-male", 0.0003), ("M22x1.5", "cone24-15L-male", 0.3), ("DKOL 15", "cone24-15L-swivel", 0.3),
    ("DKOL 15", "cone24-15L-male", 0.0003), ("15 DKOL", "cone24-15L-swivel", 0.3), ("DKOS20", "cone24-20S-swivel", 0.3), ("DKOL", "cone24-12L-swivel", 0.3),
    ("DKOL", "cone24-12L-male", 0.006), ("XK77", "jic-6-male", 1.0), ("DKO 15", "jic-6-male", 1.0), ("15L", None, 0.0003), ("NPT", None, 0.006),
])
def test_marks_by_hand(text: str, id_: str | None, share: float) -> None:
    assert mark_share(text, end_by_id(id_) if id_ else None) == pytest.approx(share)


def test_marks_that_are_asked_for_are_those_that_are_stamped() -> None:
    assert own_marks("jis30") == own_marks("bsp60") == own_marks("bspp") == "BSPP, G or PF"
    assert (own_marks("npt"), own_marks("bspt"), own_marks("iso6149"), own_marks("invflare")) == (
        "NPTF, NPT or PTF", "BSPT, R or RC", "ISO6149, M or METRIC", "")


# --- specimens ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("id_", "low", "high", "moves"), [
    # ASME B1.1, 9/16-18 2A: .5524 to .5611 in; its 2B minor .502 to .515 in; SAE J518 head of code 61 -16: 44.45 mm
    ("jic-6-male", 0.5524 * 25.4, 0.5611 * 25.4, 7), ("jic-6-swivel", 0.502 * 25.4, 0.515 * 25.4, 4),
    ("code61-16-head", 44.15, 44.75, 1), ("hose-8-bore", 12.3, 13.3, 1), ("hose-8-tail", 12.3, 13.3, 1),
    # 1/2-14 NPT at its small end, one turn either way; wear in seven and four steps, each at five places along the taper
    ("npt-1/2-male", 0.8046 * 25.4, 0.8200 * 25.4, 35), ("npt-1/2-female", 0.7169 * 25.4, 0.7322 * 25.4, 20),
    # ISO 7241-B 1/2 probe: 23.44 to 23.55 mm (coupling maker's reprint); a body takes it with up to half a millimetre more
    ("iso16028-1/2-tip", 24.4, 24.6, 1),  # 24.5 mm over the probe (from memory)
    ("iso7241b-1/2-tip", 23.34, 23.65, 1), ("iso7241b-1/2-body", 23.44, 24.05, 1),
])
def test_diameters_of_specimens(id_: str, low: float, high: float, moves: int) -> None:
    found = of(id_).crests
    assert found is not None
    assert (found.low_mm, found.high_mm, len(found.moves)) == (pytest.approx(low, abs=0.004), pytest.approx(high, abs=0.004), moves)
    assert sum(share for _, share in found.moves) == pytest.approx(1)


def test_a_taper_male_grows_and_a_taper_female_shrinks_along_the_thread() -> None:
    """1/2-14: a pitch is 1.814 mm; half a pitch in a male is 1.814/32 = 0.057 mm larger, half a pitch in a female as much smaller."""
    male, female = of("npt-1/2-male").crests, of("npt-1/2-female").crests
    assert male is not None and female is not None
    assert {round(move, 4): round(share, 4) for move, share in male.moves}[0.0567] == round(0.43 * 0.4, 4)
    assert {round(move, 4): round(share, 4) for move, share in female.moves}[-0.0567] == round(0.72 * 0.5, 4)
    # a mouth that the countersink or wear has opened reads as if the taper went on before it: 4 pitches are 0.45 mm
    assert {round(move, 4): round(share, 4) for move, share in female.moves}[0.4536] == round(0.72 * 0.05, 4)
    assert max(move for move, _ in female.moves) == pytest.approx(0.2 + 4 * 25.4 / 14 / 16)
    assert max(move for move, _ in male.moves) == pytest.approx(0.15 + 7 * 25.4 / 14 / 16)
    assert min(move for move, _ in female.moves) == pytest.approx(-4 * 25.4 / 14 / 16)


@pytest.mark.parametrize(("id_", "low", "high"), [
    # male 9/16-18: depth 1.08 × 1.411 = 1.524 below 14.2875; female: its major, 0.3 under to 0.1 over
    ("jic-6-male", 14.2875 - 1.524, 14.2875 - 1.524 + 0.4), ("jic-6-swivel", 13.9875, 14.3875),
    ("npt-1/2-male", 21.336 - 1.08 * 25.4 / 14 - 0.6, 21.336 - 1.08 * 25.4 / 14 + 0.4), ("npt-1/2-female", 21.336 - 0.9, 21.436),
    ("bspp-1/2-stud", 20.955 - 1.28 * 25.4 / 14, 20.955 - 1.28 * 25.4 / 14 + 0.4),
])
def test_the_other_half_of_a_specimen(id_: str, low: float, high: float) -> None:
    found = of(id_).other_side
    assert found is not None
    assert (found.low_mm, found.high_mm, found.moves) == (pytest.approx(low, abs=1e-6), pytest.approx(high, abs=1e-6), STILL)


def test_sides_kinds_and_bores_of_specimens() -> None:
    assert [of(id_).is_outside for id_ in ("jic-6-male", "jic-6-swivel", "code61-16-head", "code61-16-pad", "iso7241a-1/2-tip", "hose-8-tail")] == [
        True, False, True, False, True, True]
    assert [of(id_).side for id_ in ("jic-6-male", "jic-6-swivel", "code61-16-head")] == ["external", "internal", "none"]
    assert of("orb-6-stud").kind == of("orb-6-stud-adj").kind == ("orb", "-6", "male")
    # tubes by their standards: -6 is 3/8 in, 15L is 15 mm; a male flare takes its tube from outside: none
    assert [of(id_).bore_mm for id_ in ("jic-6-tube-nut", "sae45-6-swivel", "invflare-6-female", "cone24-15L-swivel", "jic-6-male", "sae45-6-male")] == [
        pytest.approx(9.525, abs=0.01), pytest.approx(9.525), pytest.approx(9.525), 15.0, None, None]
    assert of("code61-16-head").other_side is None
    assert of("code61-16-pad").crests == Diameter(pytest.approx(24.1), pytest.approx(25.6), STILL)  # ISO 6162-1: bore up to 25.6 mm


# --- shares ---------------------------------------------------------------------------------------------------------


def test_shares_are_in_order_and_kinds_are_their_sums() -> None:
    found = shares(Readings(sex="male", od_mm=14.2, tpi=18.0))
    assert list(found.ends.values()) == sorted(found.ends.values(), reverse=True)
    assert found.kinds["orb", "-6", "male"] == pytest.approx(found.ends[end_by_id("orb-6-stud")] + found.ends[end_by_id("orb-6-stud-adj")])
    assert list(found.kinds.values()) == sorted(found.kinds.values(), reverse=True)
    assert found.best is not None and found.kept[found.best].kind == next(iter(found.kinds))
    assert min(found.ends.values()) >= 0.001
    assert shares(Readings(od_mm=300.0)).best is None


def test_the_best_end_is_the_likeliest_of_the_likeliest_kind() -> None:
    """Two forms of one kind may together outweigh a single end that alone is likelier."""
    for readings in (Readings(sex="male", od_mm=14.2), Readings(sex="female"), Readings(sex="male"), Readings(sex="male", od_mm=21.9)):
        found = shares(readings)
        top = max(found.kinds, key=lambda kind: found.kinds[kind])
        ours = {each: share for each, share in found.ends.items() if found.kept[each].kind == top}
        assert found.best == max(ours, key=lambda each: ours[each])


def test_few_readings_leave_many_ends_each_with_its_little_share() -> None:
    """Nothing is left out that has a hundredth of the likeliest, however small its share of the whole."""
    found = shares(Readings(sex="male"))
    assert len(found.ends) > 100
    assert min(found.ends.values()) < 0.001
    assert min(found.ends.values()) >= 0.0099 * max(found.ends.values())


def test_only_the_ends_asked_for_are_weighed() -> None:
    found = shares(Readings(od_mm=14.2, tpi=18.0), lambda each: each.end.family == "orb")
    assert {each.family for each in found.ends} == {"orb"}
    assert sum(found.ends.values()) + found.none == pytest.approx(1)


@pytest.mark.parametrize("readings", [
    Readings(sex="male"), Readings(sex="male", od_mm=14.2, tpi=18.0), Readings(od_mm=21.9, pitch_mm=1.5), Readings(od_mm=20.6, tpi=14.0),
    Readings(id_mm=12.9), Readings(od_mm=26.9), Readings(sex="female", nose="seat"), Readings(od_mm=300.0), Readings(od_mm=11.1, tpi=19.0),
    Readings(seat_deg=37.0, country="Japan"), Readings(hex_mm=22.2, taper=True, came_off="gear pump"),
], ids=str)
def test_which_ends_are_kept_by_hand(readings: Readings) -> None:
    """Prior times likelihood for all 526 ends; kept is what has a thousandth of the whole, or a hundredth of the likeliest where that
    is less; where the likeliest has no thousandth, none is left. What is kept, and none of them, make up the whole."""
    start = prior(readings.country, readings.came_off)
    weights = {each.end: start.shares[each.end] * math.prod(likelihood(name, readings, each) for name in readings.given) for each in specimens()}
    none = _none_by_hand(start, readings)
    whole, best = sum(weights.values()) + none, max(weights.values())
    least = min(0.001 * whole, 0.01 * best)
    kept = {end: weight for end, weight in weights.items() if weight >= least} if best >= 0.001 * whole else {}
    found = shares(readings)
    assert set(found.ends) == set(kept)
    assert found.none == pytest.approx(none / (sum(kept.values()) + none))
    for end, weight in kept.items():
        assert found.ends[end] == pytest.approx(weight / (sum(kept.values()) + none))


def test_the_odds_of_two_ends_are_prior_times_likelihood() -> None:
    """Bayes by hand, for the two that 9/16-18 leaves most in doubt."""
    readings = Readings(sex="male", od_mm=14.2, tpi=18.0, nose="plain")
    found, start = shares(readings), prior(None, None)
    a, b = of("jic-6-male"), of("orb-6-stud")
    by_hand = start.shares[a.end] / start.shares[b.end]
    for name in ("sex", "od_mm", "pitch", "nose"):
        by_hand *= likelihood(name, readings, a) / likelihood(name, readings, b)
    assert found.ends[a.end] / found.ends[b.end] == pytest.approx(by_hand)
    weight = start.shares[a.end] * math.prod(likelihood(name, readings, a) for name in ("sex", "od_mm", "pitch", "nose"))
    assert found.none / found.ends[a.end] == pytest.approx(_none_by_hand(start, readings) / weight)


def _none_by_hand(start: Prior, readings: Readings) -> float:
    """Known strangers weigh as ends do; what they leave of the share of none lies evenly over all sizes."""
    strange = sum(share * math.prod(likelihood(name, readings, each) for name in readings.given) for each, share in start.strangers.items())
    rest = start.none - sum(start.strangers.values())
    return strange + rest * math.prod(none_likelihood(name, readings) for name in readings.given)
