"""Designations: what is read, what is refused and how the refusal reads."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.tables import table
from fittings.threads import Thread, UnknownThread, thread
from fittings.threads.designation import inch_text, series


@pytest.mark.parametrize(("typed", "key", "say"), [
    ("9/16-18", "9/16-18", "9/16-18 UNF"),
    ("9/16-18 UNF", "9/16-18", "9/16-18 UNF"),
    ("9/16 - 18 un", "9/16-18", "9/16-18 UNF"),
    ("0.5625-18", "9/16-18", "9/16-18 UNF"),
    ("1-1/16-12", "1-1/16-12", "1-1/16-12 UN"),
    ("1 1/16-12 UN", "1-1/16-12", "1-1/16-12 UN"),
    ("1-14 UNF", "1-14", "1-14 UNS"),
    ("1-1/16-14", "1-1/16-14", "1-1/16-14 UNS"),
    ("5/16-28", "5/16-28", "5/16-28 UN"),
    ("3/4-18", "3/4-18", "3/4-18 UNS"),
    ("10-32", "#10-32", "#10-32 UNF"),
    ("#8-32 UNC", "#8-32", "#8-32 UNC"),
    ("1-8", "1-8", "1-8 UNC"),
    ("1/2-14 NPT", "1/2-14 NPT", "1/2-14 NPT"),
    ("1/2 npt", "1/2-14 NPT", "1/2-14 NPT"),
    ("1-11.5 NPTF", "1-11.5 NPT", "1-11.5 NPT"),
    ("1-1/4-11.5 NPSM", "1-1/4-11.5 NPSM", "1-1/4-11.5 NPSM"),
    ("G1/2", "G1/2", "G1/2"),
    ("g 1 1/4", "G1-1/4", "G1-1/4"),
    ("R3/4", "R3/4", "R3/4"),
    ("Rc3/4", "R3/4", "R3/4"),
    ("Rp 3/4", "Rp3/4", "Rp3/4"),
    ("M22x1.5", "M22x1.5", "M22x1.5"),
    ("m22 × 1,5", "M22x1.5", "M22x1.5"),
    ("M10", "M10x1.5", "M10x1.5"),
])
def test_what_people_type(typed: str, key: str, say: str) -> None:
    read = thread(typed)
    assert (read.key, read.say) == (key, say)
    assert thread(read.key) == read


@pytest.mark.parametrize(("typed", "text"), [
    ("", "'': not a thread designation; write for example 9/16-18, 1/2-14 NPT, 1/2-14 NPSM, G1/2, R1/2 or M22x1.5"),
    ("9/16", "'9/16': not a thread designation; write for example 9/16-18, 1/2-14 NPT, 1/2-14 NPSM, G1/2, R1/2 or "
             "M22x1.5"),
    ("9/0-18", "'9/0-18': '9/0' is no diameter in inches; write 9/16, 1-1/16 or 0.5625"),
    ("1/2-3/4-18", "'1/2-3/4-18': '1/2-3/4' is no diameter in inches; write 9/16, 1-1/16 or 0.5625"),
    ("1/000-18", "'1/000-18': '1/000' is no diameter in inches; write 9/16, 1-1/16 or 0.5625"),
    ("G1/000", "'G1/000': '1/000' is no diameter in inches; write 9/16, 1-1/16 or 0.5625"),
    ("1-1/0000 NPT", "'1-1/0000 NPT': '1-1/0000' is no diameter in inches; write 9/16, 1-1/16 or 0.5625"),
    ("M356x6", "'M356x6': 356 mm across the threads is outside ISO 965-1; it runs from 1 to 355 mm"),
    ("9/16-2", "'9/16-2': 2 threads per inch is outside ASME B1.1; it runs from 3 to 80 per inch"),
    ("1/4-4", "'1/4-4': the pitch is too coarse for the diameter; diameter must be 3 pitches or more"),
    ("13-12", "'13-12': 13 in across the threads is outside ASME B1.1; it runs from #0 to 12 in"),
    ("#10-12", "'#10-12': no such numbered thread; write for example #10-24 or #10-32"),
    ("M22x1.4", "'M22x1.4': 1.4 mm is no pitch of ISO 261; common pitches are 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, "
                "4.5, 5, 5.5, 6, 8 mm"),
    ("M23", "'M23': no pitch given, and no coarse thread of that diameter; write M22x1.5"),
    ("M3x2", "'M3x2': the pitch is too coarse for the diameter; diameter must be 3 pitches or more"),
    ("1/2-11.5 NPT", "'1/2-11.5 NPT': 1/2 NPT has 14 threads per inch, not 11.5; write 1/2-14 NPT"),
    ("5/8 NPT", "'5/8 NPT': NPT is not made in size 5/8; there is 1/16, 1/8, 1/4, 3/8, 1/2, 3/4, 1, 1-1/4, 1-1/2, 2, "
                "2-1/2, 3"),
    ("R5/8", "'R5/8': R is not made in size 5/8; there is 1/16, 1/8, 1/4, 3/8, 1/2, 3/4, 1, 1-1/4, 1-1/2, 2, 2-1/2, 3"),
])
def test_refusals_say_what_is_wrong_and_what_is_right(typed: str, text: str) -> None:
    with pytest.raises(UnknownThread) as caught:
        thread(typed)
    assert str(caught.value) == text


def test_every_thread_of_the_sizes_table_is_read_as_written() -> None:
    written = {row["thread"] for row in table("sizes")} - {""}
    assert len(written) > 80
    assert {thread(each).key for each in written} == written


# ASME B1.20.1, ISO 228-1, ISO 7-1: threads per inch and angle; 1/2 and 3/4 are the only sizes with one count in both.
@pytest.mark.parametrize(("size", "american", "british"), [
    ("1/8", 27, 28), ("1/4", 18, 19), ("3/8", 18, 19), ("1/2", 14, 14), ("3/4", 14, 14), ("1", 11.5, 11),
])
def test_threads_per_inch_of_pipe(size: str, american: float, british: float) -> None:
    npt, g, r = thread(f"{size} NPT"), thread(f"G{size}"), thread(f"R{size}")
    assert (npt.tpi, g.tpi, r.tpi) == (american, british, british)
    assert (npt.flank_deg, g.flank_deg, r.flank_deg) == (60, 55, 55)
    assert (npt.taper, g.taper, r.taper) == (1 / 16, 0, 1 / 16)


# B1.1-2019 rows of screw_thread_lib 0.0.6 name their series.
@pytest.mark.parametrize(("key", "name"), [
    ("#10-24", "UNC"), ("#10-32", "UNF"), ("1/4-20", "UNC"), ("1/4-28", "UNF"), ("1/2-13", "UNC"), ("1/2-20", "UNF"),
    ("3/4-10", "UNC"), ("3/4-16", "UNF"), ("1-8", "UNC"), ("1-12", "UNF"), ("1-14", "UNS"),
    ("1-1/16-12", "UN"), ("1-5/16-12", "UN"), ("2-1/2-12", "UN"), ("13/16-16", "UN"), ("11/16-16", "UN"),
    ("1-1/4-12", "UNF"), ("1-3/8-12", "UNF"),  # ASME B1.1 section 5.1, as the tables obey it
])
def test_series(key: str, name: str) -> None:
    assert series(key) == name


@given(st.text(max_size=30))
def test_no_text_does_anything_but_name_a_thread_or_be_refused(typed: str) -> None:
    try:
        read = thread(typed)
    except UnknownThread as refusal:
        assert repr(typed) in str(refusal)
    else:
        assert isinstance(read, Thread)


@given(st.text(alphabet="0123456789/-.,xMGRpc #NPTSUF", max_size=14))
def test_no_near_designation_crashes(typed: str) -> None:
    try:
        assert thread(thread(typed).key) == thread(typed)
    except UnknownThread as refusal:
        assert repr(typed) in str(refusal)


@given(st.integers(1, 12 * 64))
def test_inches_round_trip(sixty_fourths: int) -> None:
    inches = Fraction(sixty_fourths, 64)
    whole, _, part = inch_text(float(inches)).rpartition("-")
    assert Fraction(whole or 0) + Fraction(part) == inches


# ISO 261, coarse series, as the sizes of hexagon screws and nuts of ISO 4014 and 4032 in an open part library (2024); all
# diameters that it lists from 3 mm up.
COARSE = ("M3x0.5 M4x0.7 M5x0.8 M6x1 M8x1.25 M10x1.5 M12x1.75 M14x2 M16x2 M18x2.5 M20x2.5 M22x2.5 M24x3 M27x3 M30x3.5 M33x3.5 M36x4 M39x4 "
          "M42x4.5 M45x4.5 M48x5 M52x5 M56x5.5 M60x5.5 M64x6")


@pytest.mark.parametrize("key", COARSE.split())
def test_a_bare_metric_diameter_is_coarse(key: str) -> None:
    diameter, pitch = key[1:].split("x")
    assert thread(f"M{diameter}") == thread(key)
    assert thread(key).pitch_mm == float(pitch)


@pytest.mark.parametrize("diameter", [2.9, 7, 9, 11, 13, 15, 23, 25, 26, 28, 65, 68, 100])
def test_no_other_bare_diameter_has_a_pitch(diameter: float) -> None:
    with pytest.raises(UnknownThread) as caught:
        thread(f"M{diameter:g}")
    assert caught.value.args and "no pitch given" in str(caught.value)


def test_pitches_of_iso_261() -> None:
    """ISO 261 table 1, from memory: the pitches that it knows, and their neighbours that it does not."""
    known = (0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 8)
    for pitch in known:
        assert thread(f"M100x{pitch:g}").pitch_mm == pitch
    for pitch in (0.1, 0.55, 0.65, 0.9, 1.1, 1.4, 1.6, 2.2, 6.5, 7, 9):
        with pytest.raises(UnknownThread, match="no pitch of ISO 261"):
            thread(f"M100x{pitch:g}")


# Numbered sizes of ASME B1.1, as the tapping drills of an open part library (2024) list them: #n is 0.060 + 0.013 n in.
NUMBERED = ("#0-80 #1-64 #1-72 #2-56 #2-64 #3-48 #3-56 #4-40 #4-48 #5-40 #5-44 #6-32 #6-40 #8-32 #8-36 #10-24 #10-32 #12-24 #12-28 #12-32")


def test_numbered_sizes_are_these_and_no_others() -> None:
    listed = set(NUMBERED.split())
    for number in range(14):
        for tpi in range(20, 84):
            key = f"#{number}-{tpi}"
            if key in listed:
                assert thread(key).major_mm == pytest.approx((0.060 + 0.013 * number) * 25.4, abs=1e-9)
                assert thread(key[1:]).key == key  # 10-32 without the mark is the same
            else:
                with pytest.raises(UnknownThread, match="no such numbered thread"):
                    thread(key)


# ASME B1.1 table 1, constant-pitch columns, from memory: the smallest and the largest diameter of each, and its neighbours
# outside. Diameters in sixteenths only.
@pytest.mark.parametrize(("key", "name"), [
    ("2-9/16-4", "UN"), ("6-4", "UN"), ("2-7/16-4", "UNS"), ("6-1/16-4", "UNS"),
    ("1-7/16-6", "UN"), ("6-6", "UN"), ("1-5/16-6", "UNS"), ("6-1/4-6", "UNS"),
    ("1-1/16-8", "UN"), ("6-8", "UN"), ("15/16-8", "UNS"), ("6-1/16-8", "UNS"),
    ("5/8-12", "UN"), ("6-12", "UN"), ("1/2-12", "UNS"), ("6-1/2-12", "UNS"), ("1-1/32-12", "UNS"),
    ("3/8-16", "UNC"), ("7/16-16", "UN"), ("6-16", "UN"), ("5/16-16", "UNS"), ("6-1/16-16", "UNS"),
    ("5/16-20", "UN"), ("3-20", "UN"), ("3-1/16-20", "UNS"), ("3/16-20", "UNS"),
    ("5/16-28", "UN"), ("1-1/2-28", "UN"), ("1-9/16-28", "UNS"), ("3/16-28", "UNS"),
    ("9/16-32", "UN"), ("1-32", "UN"), ("1-1/16-32", "UNS"), ("1/8-32", "UNS"), ("3/4-14", "UNS"), ("1-11.5", "UNS"),
])
def test_constant_pitch_series(key: str, name: str) -> None:
    assert series(key) == name
    assert thread(key).say == f"{key} {name}"


@pytest.mark.parametrize(("typed", "why"), [
    ("3/64-80", "outside ASME B1.1"), ("12-1/16-4", "outside ASME B1.1"), ("1/4-81", "outside ASME B1.1"), ("2-2", "outside ASME B1.1"),
    ("1/4-11", "too coarse"), ("M0.9x0.2", "outside ISO 965-1"), ("M356x6", "outside ISO 965-1"), ("M8x3", "too coarse"),
])
def test_edges_of_the_standards(typed: str, why: str) -> None:
    """ASME B1.1 runs from #0 (0.060 in) to 12 in and 3 to 80 threads per inch, ISO 965-1 from 1 to 355 mm (from memory; its last range of diameters
    ends there)."""
    with pytest.raises(UnknownThread, match=why):
        thread(typed)


@pytest.mark.parametrize("key", ["12-4", "1-3", "1/4-80", "1/4-12", "M1x0.25", "M300x6", "M355x6", "M9x3"])
def test_at_the_edges_there_is_still_a_thread(key: str) -> None:
    assert thread(key).key == key


def test_the_system_of_a_designation() -> None:
    assert [thread(key).system for key in ("9/16-18", "M22x1.5", "1/2-14 NPT", "1/2-14 NPSM", "G1/2", "R1/2", "Rp1/2")] == [
        "UN", "M", "NPT", "NPSM", "G", "R", "Rp"]
    assert [thread(key).unit for key in ("9/16-18", "M22x1.5", "1/2-14 NPT", "G1/2", "R1/2")] == ["in", "mm", "in", "mm", "mm"]
    # NPSM is straight, R tapers and Rp does not (ASME B1.20.1, ISO 7-1); 1/2 pipe is 0.840 in over the pipe
    assert [thread(key).taper for key in ("1/2-14 NPSM", "R1/2", "Rp1/2", "9/16-18", "M10")] == [0, 1 / 16, 0, 0, 0]
    assert thread("1/2-14 NPT").major_mm == thread("1/2-14 NPSM").major_mm == pytest.approx(0.840 * 25.4)
    assert thread("G1/2").major_mm == thread("R1/2").major_mm == 20.955
