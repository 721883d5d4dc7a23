"""What happens when a male thread is offered to a female one: known pairs, an oracle of its own, and laws."""

import math
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.tables import table
from fittings.threads import Thread, limits, meet, thread
from fittings.threads.figures import keys
from fittings.threads.meeting import Meeting, _count


def offered(male: str, female: str, engagement_mm: float | None = None) -> Meeting:
    return meet(thread(male), thread(female), engagement_mm)


def fact(of: Meeting, name: str) -> float:
    return next(each.value for each in of.facts if each.name == name)


# --- pairs known to the trade ---------------------------------------------------------------------------------------

# One designation, or one pitch line by the standard: NPSM has the pitch diameter E1 of NPT (ASME B1.20.1 table 6);
# R, G and Rp have one gauge diameter (ISO 7-1, ISO 228-1).
@pytest.mark.parametrize(("male", "female", "text"), [
    ("9/16-18", "9/16-18", "same thread: runs in fully"),
    ("M22x1.5", "M22x1.5", "same thread: runs in fully"),
    ("G1/2", "G1/2", "same thread: runs in fully"),
    ("G1/2", "Rp1/2", "same thread: runs in fully"),
    ("1/2 NPT", "1/2 NPT", "same thread: runs in about 4.5 turns by hand, then tightens on its taper"),
    ("R1/2", "R1/2", "same thread: runs in about 4.5 turns by hand, then tightens on its taper"),
    ("1/2 NPT", "1/2 NPSM", "same pipe thread, taper male in a parallel female: runs in about 4.5 turns by hand, "
                            "then tightens on its taper"),
    ("R1/2", "G1/2", "same pipe thread, taper male in a parallel female: runs in about 4.5 turns by hand, then "
                     "tightens on its taper"),
    ("R1/2", "Rp1/2", "same pipe thread, taper male in a parallel female: runs in about 4.5 turns by hand, then "
                      "tightens on its taper"),
])
def test_same_thread_runs_in_fully(male: str, female: str, text: str) -> None:
    met = offered(male, female)
    assert (met.engages, met.text) == ("fully", text)


# ASME B1.20.1: turns by hand L1 × n as printed by a valve maker's page; ISO 7-1: gauge length over pitch.
@pytest.mark.parametrize(("key", "turns"), [
    ("1/8 NPT", 4.36), ("1/4 NPT", 4.10), ("3/8 NPT", 4.32), ("1/2 NPT", 4.48), ("3/4 NPT", 4.75), ("1 NPT", 4.60),
    ("1-1/4 NPT", 4.83), ("2 NPT", 5.01), ("R1/8", 4.0 / 0.907), ("R3/4", 9.5 / 1.814), ("R2", 15.9 / 2.309),
])
def test_turns_by_hand_of_a_taper_thread(key: str, turns: float) -> None:
    assert offered(key, key).turns == pytest.approx(turns, abs=0.011)


# Whole sentences, pinned. The first three are the pairs the trade warns of most; instrument and fitting makers' texts
# list the twins, the numbers beside them are plain arithmetic on nominal sizes.
@pytest.mark.parametrize(("male", "female", "engages", "text"), [
    ("1-1/16-12", "M27x2", "partly", "starts, binds after about 2 turns (26.99 against 27.00 mm, pitch 5.8 % apart)"),
    ("M27x2", "1-1/16-12", "partly", "starts, binds after about 2 turns (27.00 against 26.99 mm, pitch 5.8 % apart)"),
    ("7/8-14", "G5/8", "partly", "runs in 0.7 mm loose, will strip (flanks 60° against 55°)"),
    ("9/16-18", "5/8-18", "no", "drops in without catching: 0.03 mm short of the threads on each side"),
    ("5/8-18", "9/16-18", "no", "will not start: 1.6 mm too big"),
    ("1-1/16-12", "1-1/16-14", "partly",
     "catches, binds within the first turn (26.99 against 26.99 mm, pitch 17 % apart)"),
    ("1/2 NPT", "G1/2", "partly",
     "starts, tightens on its taper after about 4 turns (21.34 against 20.95 mm, flanks 60° against 55°)"),
    ("1/4 NPT", "G1/4", "partly",
     "starts, binds after about 1.5 turns (13.72 against 13.16 mm, pitch 5.6 % apart, flanks 60° against 55°)"),
    ("3/8-16", "M10x1.5", "partly",
     "starts 0.5 mm loose, binds after about 5 turns (9.52 against 10.00 mm, pitch 5.8 % apart), will strip"),
    ("M10x1.5", "3/8-16", "no", "will not start: 0.5 mm too big"),
    ("M12x1.5", "M12x1", "partly", "catches, binds within the first turn (12.00 against 12.00 mm, pitch 50 % apart)"),
    ("M22x1.5", "M24x1.5", "no", "drops in without catching: 0.2 mm short of the threads on each side"),
    # 20.715 mm over the crests at the small end of 1/2 NPT (E0 + 0.8 p), 21.562 mm at L2 = 0.5337 in of it; M24x1.5: D1 22.376
    ("1/2 NPT", "M24x1.5", "no", "drops in without catching: 0.4 mm short of the threads on each side"),
    ("M12x1", "1/2-13", "partly",
     "starts 0.08 mm loose, binds after about half a turn (12.00 against 12.70 mm, pitch 95 % apart), will strip"),
    ("3/4 NPSM", "R3/4", "partly",
     "starts, tightens on its taper after about half a turn (26.67 against 26.44 mm, flanks 60° against 55°)"),
])
def test_sentences(male: str, female: str, engages: str, text: str) -> None:
    met = offered(male, female)
    assert (met.engages, met.text) == (engages, text)


def test_the_twin_within_a_hundredth_of_a_millimetre() -> None:
    # 1-1/16 in = 26.9875 mm against 27 mm; 25.4/12 = 2.1167 mm against 2 mm
    met = offered("1-1/16-12", "M27x2")
    assert fact(met, "difference of diameter") == pytest.approx(0.0125, abs=0.0006)
    assert fact(met, "pitch error, part of the finer pitch") == pytest.approx(0.0583, abs=0.0001)


# 1/2 and 3/4 have 14 threads per inch in both systems; 60° against 55° never seals (texts of two fitting makers).
@pytest.mark.parametrize("size", ["1/2", "3/4"])
@pytest.mark.parametrize("female", ["G", "R", "Rp"])
def test_half_and_three_quarter_npt_start_in_british_pipe(size: str, female: str) -> None:
    met = offered(f"{size} NPT", female + size)
    assert met.engages == "partly"
    assert met.turns is not None and met.turns > 2
    assert fact(met, "pitch error a turn") == 0
    assert "flanks 60° against 55°" in met.text


@pytest.mark.parametrize("size", ["1/8", "1/4", "3/8", "1"])
def test_other_pipe_sizes_clash_in_pitch(size: str) -> None:
    for female in ("G" + size, "R" + size):
        met = offered(f"{size} NPT", female)
        assert met.engages == "partly"
        assert 0.03 < fact(met, "pitch error, part of the finer pitch") < 0.06
        assert "pitch" in met.text


# Flange screws: 3/8-16 v M10, 1/2-13 v M12, 5/8-11 v M16 "start and strip" (from memory); which way is arithmetic: the
# smaller screw in the larger hole. 5/8 and M16 catch either way and bind at once.
@pytest.mark.parametrize(("screw", "hole", "text_has"), [
    ("3/8-16", "M10x1.5", "will strip"), ("M12x1.75", "1/2-13", "will strip"),
    ("5/8-11", "M16x2", "binds within the first turn"), ("M16x2", "5/8-11", "binds within the first turn"),
])
def test_flange_screws_start_in_the_wrong_hole(screw: str, hole: str, text_has: str) -> None:
    met = offered(screw, hole)
    assert met.engages == "partly"
    assert text_has in met.text


# Near misses inside the error of a caliper (identification texts, and arithmetic): one of the two ways always starts.
@pytest.mark.parametrize(("one", "other"), [
    ("7/8-14", "M22x1.5"), ("1-1/16-12", "M27x2"), ("1-3/16-12", "M30x2"), ("1-5/16-12", "G1"), ("1-5/16-12", "M33x2"),
    ("G1", "M33x2"), ("1-7/8-12", "G1-1/2"), ("1-7/8-12", "M48x2"), ("13/16-16", "G1/2"), ("9/16-18", "M14x1.5"),
    ("5/8-18", "M16x1.5"), ("3/8-24", "G1/8"), ("G1-1/4", "M42x2"), ("1/4 NPT", "M14x1.5"),
])
def test_near_misses_are_never_called_no_both_ways(one: str, other: str) -> None:
    ways = [offered(one, other).engages]
    ways.append(offered(other, one).engages)
    assert "partly" in ways
    assert "fully" not in ways


# --- an oracle of its own -------------------------------------------------------------------------------------------

def _fits(male: Thread, female: Thread, turns: float) -> bool:
    """Do `turns` of the smallest parallel male fit the largest parallel female? By laying ridges into grooves.

    Every ridge is cut at many radii, and at each the place left for it along the axis is an interval; the ridges fit
    when one shift lies in all of them.
    """
    small, large = limits(male, "external", "B" if male.system == "G" else None), limits(female, "internal")
    assert small.major_min is not None and large.minor_max is not None
    radii = [(small.major_min * small.unit_mm * (1 - part) + large.minor_max * large.unit_mm * part) / 2
             for part in (0, 0.25, 0.5, 0.75, 1)]
    lowest, highest = -math.inf, math.inf
    for step in range(101 if turns else 1):
        along = turns * step / 100
        drift = along * (male.pitch_mm - female.pitch_mm)
        for radius in radii:
            ridge = male.pitch_mm / 4 - (radius - small.pitch_min * small.unit_mm / 2) * math.tan(
                math.radians(male.flank_deg / 2))
            groove = female.pitch_mm / 4 - (radius - large.pitch_max * large.unit_mm / 2) * math.tan(
                math.radians(female.flank_deg / 2))
            lowest, highest = max(lowest, ridge - groove - drift), min(highest, groove - ridge - drift)
    return lowest <= highest


@pytest.mark.parametrize(("male", "female"), [
    ("1-1/16-12", "M27x2"), ("M27x2", "1-1/16-12"), ("M22x1.5", "7/8-14"), ("7/8-14", "M22x1.5"),
    ("M30x2", "1-3/16-12"),
    ("13/16-16", "G1/2"), ("G1-1/4", "M42x2"), ("5/8-18", "M16x1.5"), ("3/8-16", "M10x1.5"), ("M12x1.75", "1/2-13"),
    ("3/8-24", "G1/8"), ("1-1/16-14", "1-1/16-12"),
])
def test_turns_until_it_binds_by_laying_ridges_into_grooves(male: str, female: str) -> None:
    met = offered(male, female, 100.0)
    assert met.turns is not None and met.turns > 0
    assert _fits(thread(male), thread(female), met.turns * 0.97 - 0.01)
    assert not _fits(thread(male), thread(female), met.turns * 1.03 + 0.01)


@pytest.mark.parametrize(("male", "female"), [
    ("M10x1.5", "3/8-16"), ("5/8-18", "9/16-18"), ("M24x1.5", "M22x1.5"), ("1/2-13", "M12x1.75"),
    ("1-5/16-12", "1-1/4-12"),
])
def test_what_will_not_start_does_not_fit_at_all(male: str, female: str) -> None:
    assert offered(male, female).engages == "no"
    assert not _fits(thread(male), thread(female), 0.0)


def test_lead_error_rule_of_the_handbooks() -> None:
    # A lead error ΔP needs cot(30°) ΔP = 1.732 ΔP more clearance on the pitch diameter (thread gauging handbooks).
    # Equal pitch diameter clearances, so the larger pitch error must bind in proportion sooner.
    met = offered("M27x2", "1-1/16-12", 100.0)
    male, female = limits(thread("M27x2"), "external"), limits(thread("1-1/16-12"), "internal")
    clearance = female.pitch_max * 25.4 - male.pitch_min
    error = 25.4 / 12 - 2
    # half the difference of pitch is the difference of ridge and groove on their pitch lines
    assert met.turns == pytest.approx((clearance / math.sqrt(3) + error / 2) / error, abs=0.01)


# --- laws -----------------------------------------------------------------------------------------------------------

KNOWN = [
    *sorted({row["thread"] for row in table("sizes")} - {""}),
    "3/8-16", "1/2-13", "5/8-11", "M10x1.5", "M12x1.75", "M16x2", "#10-32", "12-4", "M300x6", "M1x0.2", "3-8 NPT", "G3",
    "R3",
]
MALES, FEMALES = KNOWN, [*KNOWN, "Rp1/2", "Rp2"]


def test_meeting_answers_every_pair_of_the_sizes_table() -> None:
    for male in MALES:
        for female in FEMALES:
            met = offered(male, female)
            assert met.engages in ("fully", "partly", "no"), (male, female)
            assert (met.engages == "fully") == met.text.startswith("same"), (male, female)
            assert (met.engages == "no") == met.text.startswith(("will not start", "drops in without")), (male, female)
            assert (met.turns == 0.0) == (met.engages == "no") or met.turns is None or met.turns < 0.005
            if male == female:
                assert met.engages == "fully"


def test_only_one_pitch_line_is_ever_called_the_same_thread() -> None:
    for male in MALES:
        for female in FEMALES:
            if offered(male, female).engages == "fully":
                one, other = thread(male), thread(female)
                assert (one.pitch_mm, one.flank_deg, one.major_mm) == (other.pitch_mm, other.flank_deg, other.major_mm)


sixteenths = st.integers(4, 40)
tpis = st.sampled_from((11, 12, 13, 14, 16, 18, 20, 24, 28))
metrics = st.builds(lambda d, p: f"M{d}x{p:g}", st.integers(6, 64), st.sampled_from((1.0, 1.25, 1.5, 2.0)))
unified = st.builds(lambda d, n: f"{d / 16}-{n}", st.integers(5, 40), tpis)
any_parallel = st.one_of(metrics, unified, st.sampled_from(keys("g")))
any_thread = st.one_of(any_parallel, st.sampled_from(keys("r")), st.sampled_from(keys("npt")))


@given(any_thread, any_thread, st.one_of(st.none(), st.floats(0.01, 1000)))
def test_meeting_is_total(male: str, female: str, engagement_mm: float | None) -> None:
    met = offered(male, female, engagement_mm)
    assert met.engages in ("fully", "partly", "no")
    assert met.turns is None or (math.isfinite(met.turns) and met.turns >= 0)
    assert met.text and "nan" not in met.text and "inf" not in met.text


def _starts_as_it_should(one: Thread, other: Thread) -> str:
    """Holds a meeting against ridges laid into grooves, and says which way it went."""
    met = meet(one, other)
    big, tight = limits(one, "external"), limits(other, "internal")
    assert big.major_max is not None and tight.minor_min is not None
    if big.major_max * big.unit_mm <= tight.minor_min * tight.unit_mm - 0.001:
        assert met.engages == "no" and met.text.startswith("drops in")
        return "drops in"
    if met.engages == "no" and met.text.startswith("will not start"):
        assert not _fits(one, other, 0.0)
        return "does not start"
    if met.engages == "partly" and fact(met, "play along the axis, loosest pair") > 0.001:
        assert _fits(one, other, 0.0)
        return "starts"
    return "at the edge"


@given(any_parallel, any_parallel)
def test_it_starts_just_when_a_ridge_fits_a_groove_and_the_crests_reach(male: str, female: str) -> None:
    _starts_as_it_should(thread(male), thread(female))


def test_every_two_parallel_threads_of_the_tables() -> None:
    """All that can meet in the sizes of the tables: few stand at the edge, where wear decides."""
    parallel = [each for each in map(thread, KNOWN) if not each.taper]
    ways = Counter(_starts_as_it_should(one, other) for one in parallel for other in parallel)
    assert ways.total() == len(parallel) ** 2 > 5000
    assert min(ways["drops in"], ways["does not start"], ways["starts"]) > 100
    assert ways["at the edge"] < 0.05 * ways.total()


@given(any_thread, any_thread, st.floats(1, 50))
def test_a_longer_female_never_lets_a_refused_parallel_male_in(male: str, female: str, engagement_mm: float) -> None:
    if thread(male).taper:
        return
    short, long = offered(male, female, engagement_mm), offered(male, female, engagement_mm * 2)
    assert short.engages == long.engages
    if short.turns is not None:
        assert long.turns == short.turns


@pytest.mark.parametrize("engagement_mm", [0.0, -1.0, math.nan])
def test_an_engagement_that_is_none_is_refused(engagement_mm: float) -> None:
    with pytest.raises(ValueError, match=r"must be more than 0 mm, for example 12\.0"):
        offered("G1/2", "G1/2", engagement_mm)


def test_overlap_and_clearance_of_pipe_threads_by_hand() -> None:
    """1/2-14 NPT at its small end: E0 .75843 in = 19.264 mm, crests 0.8 of 1.814 mm above, so 20.715 mm; G1/2 female: 19.793
    and 18.631 mm (ASME B1.20.1, ISO 228-1)."""
    met = offered("1/2 NPT", "G1/2")
    assert met.overlap_mm == pytest.approx((20.715 - 18.631) / 2, abs=0.002)
    assert met.clearance_mm == pytest.approx(19.793 - 19.264, abs=0.002)
    turned = offered("G1/2", "1/2 NPT")  # the female at its mouth: E1 .77843 in = 19.772 mm, crests 0.8 pitch inside
    assert turned.clearance_mm == pytest.approx(19.772 - 19.793, abs=0.002)
    assert turned.overlap_mm == pytest.approx((20.955 - (19.772 - 0.8 * 25.4 / 14)) / 2, abs=0.002)


def test_facts_of_a_meeting_by_hand() -> None:
    """13/16-16 (20.6375 mm, pitch 1.5875) in M22x1.5: basic pitch diameters 19.6064 and 21.0257, crests 20.6375 over 20.3762."""
    facts = {each.name: (each.value, each.unit) for each in offered("13/16-16", "M22x1.5").facts}
    assert facts["difference of diameter"] == (pytest.approx(1.3625, abs=6e-4), "mm")
    assert facts["clearance at the pitch diameter, basic"] == (pytest.approx(1.4193, abs=6e-4), "mm")
    assert facts["overlap of the crests on radius, basic"] == (pytest.approx(0.1306, abs=6e-4), "mm")
    assert facts["pitch error a turn"] == (pytest.approx(0.0875, abs=6e-5), "mm")
    assert facts["pitch error, part of the finer pitch"] == (pytest.approx(0.0583, abs=6e-5), "")
    assert (facts["external pitch"], facts["internal pitch"]) == ((1.5875, "mm"), (1.5, "mm"))
    assert (facts["external flank angle"], facts["external taper on diameter"], facts["length of thread taken"]) == ((60.0, "deg"), (0.0, ""), (20.64, "mm"))


# By hand. 1-1/16-12 in M26x1.5: pitch diameters 25.613 in 25.026, 0.587 mm too big, which costs 0.587 × tan 30° = 0.339 mm of
# play; the pitches differ by 0.617 mm, of which half, 0.308, is lost on each flank: the diameter costs more and is named.
# 12 and 11 threads an inch: 12/11 - 1 = 9.1 %; 16 and 14: 14 %. Play of 1.064 mm, 0.1924 mm of it used up a turn: 5.53 turns.
# From five turns on only whole ones are told, below that halves.
@pytest.mark.parametrize(("male", "female", "text"), [
    ("1-1/16-12", "M26x1.5", "will not start: 0.6 mm too big"),
    ("1-5/16-12", "G1", "catches, binds within the first turn (33.34 against 33.25 mm, pitch 9.1 % apart, flanks 60° against 55°)"),
    ("1-1/4-12", "G1", "starts 1.4 mm loose, binds after about 6 turns (31.75 against 33.25 mm, pitch 9.1 % apart, flanks 60° against 55°), will strip"),
])
def test_which_words_a_meeting_is_told_in(male: str, female: str, text: str) -> None:
    assert offered(male, female).text == text


@pytest.mark.parametrize(("turns", "words"), [
    (0.3, "half a turn"), (0.74, "half a turn"), (0.8, "1 turn"), (1.2, "1 turn"), (1.3, "1.5 turns"), (4.7, "4.5 turns"), (5.4, "5 turns"), (5.6, "6 turns")])
def test_turns_in_halves_below_five_and_whole_from_there(turns: float, words: str) -> None:
    assert _count(turns) == words


def test_facts_are_told_to_the_place_that_can_be_measured() -> None:
    """7/8-14 (22.225 mm) on 5/16-24 (7.9375 mm): diameters to a thousandth, pitches and shares to a ten-thousandth; 24/14 - 1 = 0.7143."""
    met = offered("7/8-14", "5/16-24")
    told = [(each.name, each.value, each.unit) for each in met.facts]
    assert told[:3] == [("external diameter", 22.225, "mm"), ("internal diameter", round(7.9375, 3), "mm"), ("difference of diameter", round(-14.2875, 3), "mm")]
    assert ("pitch error, part of the finer pitch", 0.7143, "") in told
    assert ("external pitch", 1.8143, "mm") in told and ("internal pitch", 1.0583, "mm") in told
    assert met.overlap_mm == round((22.225 - (7.9375 - 1.0825317547 * 25.4 / 24)) / 2, 4)


def test_what_each_fact_of_a_meeting_is_called() -> None:
    assert [each.name for each in offered("7/8-14", "G5/8").facts] == [
        "external diameter", "internal diameter", "difference of diameter", "clearance at the pitch diameter, basic",
        "overlap of the crests on radius, basic", "play along the axis, loosest pair", "external pitch", "internal pitch", "pitch error a turn",
        "pitch error, part of the finer pitch", "external flank angle", "internal flank angle", "external taper on diameter",
        "internal taper on diameter", "length of thread taken"]
