"""What people type for a reading, and what is taken from it.

The ways of typing are those seen in first-hand accounts (decimal comma, Unicode fractions, two units in one line); the
numbers are plain arithmetic: 1 in = 25.4 mm.
"""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from fittings.identify import COLUMN_OF, COLUMNS, BadReading, Readings, identify, read_readings
from fittings.identify.readings import read_length
from fittings.reports.identify_text import identify_text


@pytest.mark.parametrize(("typed", "mm"), [
    ("14.2 mm", 14.2), ("14,2 mm", 14.2), ("14.2", 14.2), ("14.2mm", 14.2), ("0.56 in", 14.224), ('0.56"', 14.224), ("0.56", 14.224),
    ("9/16", 14.2875), ("9/16 in", 14.2875), ("1-1/16 in", 26.9875), ("1 1/16", 26.9875), ("½", 12.7), ("1½ in", 38.1),
    ("13.7 to 13.9 mm", 13.8), ("13.7 mm to 13.9 mm", 13.8), ("13.8mm / 0.54in", 13.8), ("1 in", 25.4), ("3", 76.2), ("22", 22.0),
])
def test_diameter_as_typed(typed: str, mm: float) -> None:
    assert read_readings({"od": typed}).readings.od_mm == pytest.approx(mm, abs=0.005)


@pytest.mark.parametrize(("column", "typed", "pitch_mm", "tpi"), [
    ("pitch", "1.5", 1.5, None), ("pitch", "1,5 mm", 1.5, None), ("pitch", "18 TPI", None, 18), ("pitch", "18", None, 18),
    ("pitch", "11-1/2 tpi", None, 11.5), ("tpi", "11.5", None, 11.5), ("tpi", "18 threads per inch", None, 18), ("tpi", "1.5", 1.5, None),
    ("pitch", "10 in 14.1 mm", 1.41, None), ("pitch", "10 threads over 14.1 mm", 1.41, None), ("pitch", "9 in 1/2 in", 1.4111, None),
    ("pitch", "1/16 in", 1.5875, None), ("pitch", "1.5 mm or 16 tpi", 1.5, 16), ("pitch", "16 tpi or 1.5 mm", 1.5, 16),
])
def test_pitch_as_typed(column: str, typed: str, pitch_mm: float | None, tpi: float | None) -> None:
    found = read_readings({column: typed}).readings
    assert found.tpi == tpi
    assert found.pitch_mm == (None if pitch_mm is None else pytest.approx(pitch_mm, abs=1e-3))


@pytest.mark.parametrize(("column", "typed", "threads", "sd_mm"), [
    # a quarter of the last digit, as for a diameter: 0.1 mm, a whole mm, a sixteenth of an inch
    ("pitch", "10 in 14.1 mm", 10, 0.025), ("pitch", "20 in 30 mm", 20, 0.25), ("pitch", "9 in 1/2 in", 9, 25.4 / 64),
    ("tpi", "14 in 1 in", 14, 25.4 / 64), ("pitch", "10 in 15.0 mm or 16 tpi", 10, 0.025), ("pitch", "16 tpi or 10 in 15.0 mm", 10, 0.025),
    ("pitch", "1.5 mm", None, None), ("pitch", "18 TPI", None, None), ("pitch", "1.41", None, None), ("tpi", "18", None, None),
])
def test_a_counted_pitch_says_over_how_many_threads(column: str, typed: str, threads: int | None, sd_mm: float | None) -> None:
    found = read_readings({column: typed}).readings
    assert found.counted == threads
    assert found.counted_sd_mm == (None if sd_mm is None else pytest.approx(sd_mm))
    assert found.given == ("pitch",)


@pytest.mark.parametrize(("reading", "typed", "mm", "pitch_mm", "tpi"), [
    # two readings in one text, as people write them
    ("od", "13.8mm 1.5 / 0.54in 16 tpi", 13.8, 1.5, 16), ("od", "13.8 mm 1.5", 13.8, 1.5, None), ("od", "13.8mm x 1.5mm", 13.8, 1.5, None),
    ("od", "9/16 in 18 tpi", 14.2875, None, 18), ("od", "1-1/16 in 12 tpi", 26.9875, None, 12), ("id", "20.5 mm 1,5 mm", 20.5, 1.5, None),
    ("od", "13.80 mm / 0.54in 16 tpi", 13.8, None, 16), ("od", '0.56" 18', 14.224, None, 18),
])
def test_a_pitch_behind_a_diameter(reading: str, typed: str, mm: float, pitch_mm: float | None, tpi: float | None) -> None:
    found = read_readings({reading: typed}).readings
    assert (getattr(found, f"{reading}_mm"), found.pitch_mm, found.tpi) == (pytest.approx(mm, abs=1e-6), pitch_mm, tpi)


def test_a_pitch_behind_a_diameter_is_not_taken_beside_another() -> None:
    with pytest.raises(BadReading):
        read_readings({"od": "13.8 mm 1.5", "tpi": "18"})


@pytest.mark.parametrize(("typed", "value"), [
    ({"nose": "O-ring under the hex"}, {"nose": "o-ring-at-hex"}), ({"nose": "flat-groove"}, {"nose": "flat-groove"}),
    ({"nose": "a flare"}, {"nose": "cone"}), ({"nose": "flat-with-groove"}, {"nose": "flat-groove"}), ({"nose": "Flat face"}, {"nose": "flat"}), ({"nose": "plain"}, {"nose": "plain"}),
    ({"sex": "inside"}, {"sex": "female"}), ({"male": "yes"}, {"sex": "male"}), ({"male": "no", "female": "yes"}, {"sex": "female"}),
    ({"taper": "parallel"}, {"taper": False}), ({"straight": "yes"}, {"taper": False}), ({"taper": "yes"}, {"taper": True}),
    ({"chamfer": "no"}, {"chamfer": False}), ({"no-chamfer": "yes"}, {"chamfer": False}), ({"swivel": "yes"}, {"turns": True}),
    ({"fixed": "yes"}, {"turns": False}), ({"seat": "37°"}, {"seat_deg": 37.0}), ({"flank": "55 deg"}, {"flank_deg": 55.0}),
    ({"bore": "12 mm"}, {"tube_bore_mm": 12.0}), ({"hex": "7/8"}, {"hex_mm": 22.225}), ({"country": "Japan"}, {"country": "Japan"}),
    ({"marking": "15L"}, {"marking": "15L"}), ({"from": "dump trailer"}, {"came_off": "dump trailer"}),
    ({"instrument": "Vernier"}, {"instrument": "caliper"}), ({"od": "14.2 ± 0.3 mm"}, {"od_mm": 14.2, "plus_minus_mm": 0.3}),
    ({"od": "14.2 mm", "plus-minus": "0.2"}, {"plus_minus_mm": 0.2}), ({"od": ""}, {}), ({"od": "   "}, {"od_mm": None}),
])
def test_other_readings_as_typed(typed: dict[str, str], value: dict[str, object]) -> None:
    found = read_readings(typed).readings
    assert {name: getattr(found, name) for name in value} == value


@pytest.mark.parametrize(("typed", "reading", "says"), [
    ({"od": "banana"}, "od", "not a length"), ({"od": "-5 mm"}, "od", "negative"), ({"od": "0 mm"}, "od", "no size"),
    ({"od": "1e9 mm"}, "od", "not"), ({"od": "12 bar"}, "od", "not a unit"), ({"id": "13 mm / 1 in"}, "id", "two sizes"),
    ({"od": "14 to 13 mm"}, "od", "range"), ({"tpi": "0"}, "pitch", "pitch of 0 mm"), ({"tpi": "200"}, "tpi", "no connector"),
    ({"tpi": "many"}, "pitch", "not a pitch"), ({"pitch": "0.01 mm"}, "pitch", "no connector"), ({"pitch": "40 mm"}, "pitch", "no connector"),
    ({"nose": "green"}, "nose", "not a word"), ({"sex": "both"}, "sex", "not a word"), ({"male": "yes", "female": "yes"}, "sex", "both"),
    ({"taper": "yes", "straight": "yes"}, "taper", "both"), ({"seat": "3"}, "seat", "cannot be"), ({"flank": "90"}, "flank", "cannot be"),
    ({"instrument": "laser"}, "instrument", "not a word"), ({"pitch": "1.5 mm or 1.6 mm"}, "pitch", "two pitches"),
])
def test_what_cannot_be_used_says_why_and_what_would_be_right(typed: dict[str, str], reading: str, says: str) -> None:
    with pytest.raises(BadReading) as caught:
        read_readings(typed)
    assert caught.value.reading == reading
    assert says in caught.value.why
    assert caught.value.right and caught.value.typed in str(caught.value)


_TYPED = st.one_of(
    st.text(max_size=20),
    st.from_regex(r"[0-9]{0,3}[.,/ -]?[0-9]{0,3} ?(mm|in|\"|tpi|TPI|cm|°|to|or|in 1|±)?[0-9./]{0,4}", fullmatch=True),
)


@example("od", "0.,0")
@given(st.sampled_from(COLUMNS), _TYPED)
def test_no_text_crashes_a_reading_or_its_answer(column: str, text: str) -> None:
    """A law: any text is read, or refused with a BadReading; what is read can be answered."""
    try:
        taken = read_readings({column: text})
    except BadReading as error:
        assert error.why and error.right
        return
    answer = identify(taken.readings, taken.notes)
    assert identify_text(answer)


def test_a_guessed_unit_is_said() -> None:
    assert read_readings({"od": "0.56"}).notes == ("od 0.56 taken as inches",)
    assert read_readings({"pitch": "18"}).notes == ("pitch 18 taken as threads per inch",)
    assert "taken as a pitch in mm" in read_readings({"tpi": "1.5"}).notes[0]
    assert read_readings({"od": "14.2 mm", "pitch": "1.5 mm"}).notes == ()


def test_a_coarse_reading_is_trusted_less() -> None:
    """A sixteenth by ruler is not a tenth by caliper; a caliper that was named is trusted whatever is typed."""
    assert read_readings({"od": "14.20 mm"}).readings.plus_minus_mm is None
    sixteenth = read_readings({"od": "9/16"}).readings.plus_minus_mm
    assert sixteenth is not None and 25.4 / 32 / math.sqrt(12) < sixteenth < 25.4 / 16
    assert read_readings({"od": "9/16", "instrument": "caliper"}).readings.plus_minus_mm is None


def test_what_was_given_counts_pitch_once() -> None:
    assert Readings(sex="male", tpi=18, pitch_mm=1.41, taper=False).given == ("sex", "pitch", "taper")
    assert Readings(plus_minus_mm=0.1).given == ()


@pytest.mark.parametrize(("typed", "mm", "step_mm"), [
    # the last digit typed is the step: a quarter of it is taken for the standard deviation (practice); 1 in = 25.4 mm
    ("14.2 mm", 14.2, 0.1), ("14,20 mm", 14.2, 0.01), ("14 mm", 14.0, 1.0), ("14.2", 14.2, 0.1), ("22", 22.0, 1.0),
    ("0.56 in", 14.224, 0.254), ('0.5625"', 14.2875, 0.00254), ("0.56", 14.224, 0.254), ("0,56", 14.224, 0.254), ("1 in", 25.4, 25.4 / 16), ("3", 76.2, 25.4 / 16),
    ("9/16", 14.2875, 25.4 / 16), ("17/32 in", 13.49375, 25.4 / 32), ("1/2", 12.7, 25.4 / 16), ("½", 12.7, 25.4 / 16), ("⅞ in", 22.225, 25.4 / 16),
    ("2 zoll", 50.8, 25.4 / 16), ("1.5 inch", 38.1, 2.54),
])
def test_a_length_and_how_finely_it_was_read(typed: str, mm: float, step_mm: float) -> None:
    read_mm, sd_mm, _ = read_length("od", typed)
    assert read_mm == pytest.approx(mm, abs=1e-6)
    assert sd_mm == pytest.approx(step_mm / 4, rel=1e-6)


@pytest.mark.parametrize(("typed", "mm", "sd_mm"), [
    # evenly between two figures: width / √12; of two units in one line the finer one counts
    ("13.7 to 13.9 mm", 13.8, 0.2 / math.sqrt(12)), ("13.7..13.9", 13.8, 0.2 / math.sqrt(12)), ("13.7 bis 13.9 mm", 13.8, 0.2 / math.sqrt(12)),
    ("0.54 to 0.55 in", 13.843, 0.254 / math.sqrt(12)), ("1/2 to 9/16", 13.49375, 1.5875 / math.sqrt(12)),
    ("13.80 mm / 0.54 in", 13.8, 0.0025), ("14 mm / 0.550 in", 13.97, 0.00635),
])
def test_ranges_and_two_units(typed: str, mm: float, sd_mm: float) -> None:
    read_mm, sd, _ = read_length("od", typed)
    assert (read_mm, sd) == (pytest.approx(mm, abs=1e-6), pytest.approx(sd_mm, rel=1e-6))


@pytest.mark.parametrize(("reading", "bare", "mm"), [
    # the smallest thread is over 4 mm, the largest under 4 in; a tube bore from 2.2 mm
    ("od", "3.9", 99.06), ("od", "4.0", 4.0), ("id", "3.9", 99.06), ("id", "4", 4.0), ("hex", "3.99", 101.346), ("hex", "4", 4.0),
    ("bore", "2.1", 53.34), ("bore", "2.2", 2.2), ("plus-minus", "0.2", 0.2), ("other", "3.9", 99.06),
])
def test_which_bare_numbers_are_inches(reading: str, bare: str, mm: float) -> None:
    assert read_length(reading, bare)[0] == pytest.approx(mm)


@pytest.mark.parametrize(("typed", "text"), [
    ({"od": "0.05 mm"}, "od: “0.05 mm”: 0.05 mm is no size of a connector; write it like 14.2 mm or 9/16 in"),
    ({"od": "601 mm"}, "od: “601 mm”: 601 mm is no size of a connector; write it like 14.2 mm or 9/16 in"),
    ({"id": "13 mm / 1 in"}, "id: “13 mm / 1 in”: 13.00 mm and 25.40 mm are two sizes; write the one you trust"),
    ({"od": "14 to 13 mm"}, "od: “14 to 13 mm”: not a range that helps; write it like 13.7 to 13.9 mm"),
    ({"od": "5 to 10 mm"}, "od: “5 to 10 mm”: not a range that helps; write it like 13.7 to 13.9 mm"),
    ({"od": "banana"}, "od: “banana”: not a length: it must be a number and a unit; write it like 14.2 mm, 9/16 in or 0.56 in"),
    ({"tpi": "3 tpi"}, "tpi: “3 tpi”: 3 threads per inch is no connector; they run from 8 to 28 per inch"),
    ({"tpi": "81"}, "tpi: “81”: 81 threads per inch is no connector; they run from 8 to 28 per inch"),
    ({"pitch": "0.29 mm"}, "pitch: “0.29 mm”: a pitch of 0.29 mm is no connector; they run from 0.9 to 3.2 mm"),
    ({"pitch": "6.51 mm"}, "pitch: “6.51 mm”: a pitch of 6.51 mm is no connector; they run from 0.9 to 3.2 mm"),
    ({"pitch": "1.5 mm or 1.6 mm"}, "pitch: “1.5 mm or 1.6 mm”: two pitches of one kind; write the one that fits better"),
    ({"pitch": "many"}, "pitch: “many”: not a pitch; write 1.5 mm, 18 TPI, or 10 in 14.1 mm for ten threads counted"),
    ({"pitch": "1/0"}, "pitch: “1/0”: not a number; write 1.5 mm or 18 TPI"),
    ({"pitch": "1.5.5"}, "pitch: “1.5.5”: not a number; write 1.5 mm or 18 TPI"),
    ({"taper": "yes", "straight": "yes"}, "taper: “taper straight”: both taper and straight; keep one of the two"),
    ({"swivel": "yes", "fixed": "yes"}, "turns: “swivel fixed”: both swivel and fixed; keep one of the two"),
    ({"chamfer": "yes", "no-chamfer": "yes"}, "chamfer: “chamfer no-chamfer”: both chamfer and no-chamfer; keep one of the two"),
    ({"sex": "male", "female": "yes"}, "sex: “male female”: both male and female; keep one of the two"),
    ({"seat": "4"}, "seat: “4”: 4° cannot be; it lies between 5 and 130"), ({"seat": "131"}, "seat: “131”: 131° cannot be; it lies between 5 and 130"),
    ({"flank": "49"}, "flank: “49”: 49° cannot be; it lies between 50 and 65"), ({"flank": "66"}, "flank: “66”: 66° cannot be; it lies between 50 and 65"),
    ({"seat": "steep"}, "seat: “steep”: not an angle: it must be a number and a unit; write it like 37 or 37 deg"),
    ({"sex": "both"}, "sex: “both”: not a word that we know here; write male, female, none"),
])
def test_refusals_in_full(typed: dict[str, str], text: str) -> None:
    with pytest.raises(BadReading) as caught:
        read_readings(typed)
    assert str(caught.value) == text


@pytest.mark.parametrize(("typed", "value"), [
    # at the very edges, and what stands beside them
    ({"od": "0.1 mm"}, {"od_mm": 0.1}), ({"od": "600 mm"}, {"od_mm": 600.0}), ({"pitch": "0.3 mm"}, {"pitch_mm": 0.3}), ({"pitch": "6.5"}, {"pitch_mm": 6.5}),
    ({"pitch": "6.6"}, {"tpi": 6.6}), ({"tpi": "4"}, {"tpi": 4.0}), ({"tpi": "80"}, {"tpi": 80.0}), ({"tpi": "3.9"}, {"pitch_mm": 3.9}),
    ({"pitch": "18 t"}, {"tpi": 18.0}), ({"pitch": "18 t.p.i."}, {"tpi": 18.0}), ({"pitch": "18 threads per inch"}, {"tpi": 18.0}),
    ({"pitch": '0.0556"'}, {"pitch_mm": 1.4122}), ({"pitch": "0.0556 inch"}, {"pitch_mm": 1.4122}), ({"pitch": "16 tpi / 1.5 mm"}, {"tpi": 16.0, "pitch_mm": 1.5}),
    ({"pitch": "10 crests across 14.1 mm"}, {"pitch_mm": 1.41}), ({"pitch": "10 turns per 14.1 mm"}, {"pitch_mm": 1.41}), ({"pitch": "2 on 3 mm"}, {"pitch_mm": 1.5}),
    ({"seat": "5"}, {"seat_deg": 5.0}), ({"seat": "130 deg"}, {"seat_deg": 130.0}), ({"seat": "JIC 37"}, {"seat_deg": 37.0}), ({"seat": "-37"}, {"seat_deg": 37.0}),
    ({"flank": "50"}, {"flank_deg": 55.0}), ({"flank": "57.4"}, {"flank_deg": 55.0}), ({"flank": "57.5"}, {"flank_deg": 60.0}), ({"flank": "65"}, {"flank_deg": 60.0}),
    ({"seat": "57.4"}, {"seat_deg": 57.4}), ({"od": "14.2 +/- 0.3 mm"}, {"od_mm": 14.2, "plus_minus_mm": 0.3}), ({"od": "14.2 mm ± 0.3"}, {"plus_minus_mm": 0.3}),
    ({"id": "0.56 ± 1/64"}, {"id_mm": 14.224, "plus_minus_mm": 0.396875}), ({"od": "14.2 ± 0.3", "plus-minus": "0.5"}, {"plus_minus_mm": 0.5}),
    ({"marking": "x" * 300}, {"marking": "x" * 200}), ({"from": "y" * 300}, {"came_off": "y" * 200}), ({"male": "no"}, {"sex": None}),
    ({"sex": "male", "male": "yes"}, {"sex": "male"}), ({"straight": "yes", "taper": "no"}, {"taper": False}), ({"fixed": "no"}, {"turns": True}),
])
def test_at_the_edges(typed: dict[str, str], value: dict[str, object]) -> None:
    found = read_readings(typed).readings
    assert {name: getattr(found, name) for name in value} == {
        name: pytest.approx(each, abs=1e-4) if isinstance(each, float) else each for name, each in value.items()}


def test_a_step_coarser_than_the_instrument_widens_it() -> None:
    """Caliper 0.05 mm outside, 0.08 inside (practice): the step counts from four fifths of that, root of the squares; the coarser of
    two diameters; a hex or a bore says nothing of it."""
    def widened(**typed: str) -> float | None:
        return read_readings({name.replace("_", "-"): text for name, text in typed.items()}).readings.plus_minus_mm

    assert widened(od="14 mm") == 0.255  # hypot(0.25, 0.05) = 0.25495
    assert widened(id="14 mm") == pytest.approx(math.hypot(0.25, 0.08), abs=1e-3)
    assert widened(od="14.2 mm") is None  # a quarter of a tenth
    assert widened(od="0.56 in") == pytest.approx(math.hypot(0.0635, 0.05), abs=1e-3)
    assert widened(id="0.56 in") is None  # 0.0635 is less than four fifths of 0.08
    assert widened(od="14 mm", hex="3/4") == widened(od="14 mm") and widened(hex="3/4", bore="1/2") is None
    assert widened(od="14 mm", id="12.2 mm") == pytest.approx(math.hypot(0.25, 0.08), abs=1e-3)
    assert widened(od="14 mm", instrument="ruler") is None and widened(od="14 mm", plus_minus="0.7") == 0.7


def test_nothing_is_noted_where_nothing_was_guessed() -> None:
    for typed in ({"od": "22"}, {"od": "9/16"}, {"pitch": "10 in 14.1 mm"}, {"pitch": "16 tpi or 1.5 mm"}, {"tpi": "18"}, {"pitch": "0.0556 in"},
                  {"hex": "22.2"}, {"bore": "12"}):
        assert read_readings(typed).notes == ()
    assert read_readings({"hex": "0.875", "bore": "0.5"}).notes == ("hex 0.875 taken as inches", "bore 0.5 taken as inches")
    assert read_readings({"tpi": "1.5"}).notes == ("1.5 threads per inch is no connector: taken as a pitch in mm",)


def test_every_reading_has_its_column() -> None:
    """What is asked for next is typed under the name of a column; pitch and TPI are one reading."""
    names = {"pitch" if name in ("pitch_mm", "tpi") else name for name in Readings._fields} - {
        "plus_minus_mm", "instrument", "counted", "counted_sd_mm", "bore_at"}
    assert set(COLUMN_OF) == names
    assert set(COLUMNS) == set(COLUMN_OF.values()) | {"tpi", "male", "female", "straight", "no-chamfer", "fixed", "solid", "plus-minus", "instrument"}
    assert [COLUMN_OF[name] for name in ("od_mm", "seat_deg", "tube_bore_mm", "came_off", "turns", "flank_deg", "marking", "country")] == [
        "od", "seat", "bore", "from", "swivel", "flank", "marking", "country"]
