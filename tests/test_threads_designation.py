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
