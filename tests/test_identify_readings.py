"""What people type for a reading, and what is taken from it.

The ways of typing are those seen in first-hand accounts (decimal comma, Unicode fractions, two units in one line); the
numbers are plain arithmetic: 1 in = 25.4 mm.
"""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from fittings.identify import COLUMNS, BadReading, Readings, identify, read_readings
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


@pytest.mark.parametrize(("typed", "value"), [
    ({"nose": "O-ring under the hex"}, {"nose": "o-ring-at-hex"}), ({"nose": "flat-groove"}, {"nose": "flat-groove"}),
    ({"nose": "a flare"}, {"nose": "cone"}), ({"nose": "Flat face"}, {"nose": "flat"}), ({"nose": "plain"}, {"nose": "plain"}),
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
