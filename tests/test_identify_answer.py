"""The answer itself: what is told apart and how, the next reading, slips, the machine it came off, and how it is printed.

Expected ends come from the standards' sizes (thread tables of SAE J1926, J514, J1453, ASME B1.20.1, ISO 228-1, 7-1,
8434-1); trade facts are common practice, no source.
"""

import csv
import json
from pathlib import Path

import pytest

from fittings.ends import all_ends, end_by_id
from fittings.identify import COLUMN_OF, Answer, BadReading, Readings, identify, read_readings
from fittings.identify.batch import BadBatch, read_batch
from fittings.identify.interview import Interview
from fittings.identify.prior import prior, region_of, regions, usual_ports
from fittings.identify.specimen import NOSES, specimens
from fittings.reports.identify_json import batch_json, identify_json
from fittings.reports.identify_text import batch_text, identify_text, readings_words
from fittings.sources import register
from fittings.tables import table

AUTHORITIES = Path(__file__).parent / "authorities"


def asked(**typed: str) -> Answer:
    taken = read_readings({name.replace("_", "-"): text for name, text in typed.items()})
    return identify(taken.readings, taken.notes)


def best_id(of: Answer) -> str:
    return of.candidates[0].end.id if of.candidates and of.candidates[0].kind_share > of.none_share else "none"


with (AUTHORITIES / "identify_twenty.csv").open(encoding="utf-8", newline="") as _file:
    TWENTY = list(csv.DictReader(_file))


@pytest.mark.parametrize("row", TWENTY, ids=lambda row: row["case"])
def test_readings_from_the_bench_are_named_or_end_in_the_right_question(row: dict[str, str]) -> None:
    """Written down with their answers before the model had seen them (from memory)."""
    answer = asked(**dict(pair.strip().split("=", 1) for pair in row["readings"].split(";")))
    what, _, rest = row["expect"].partition(" ")
    if what == "end":
        assert best_id(answer) == rest
    elif what == "none":
        assert answer.none_share > 0.5
    else:
        assert answer.ask_next is not None and COLUMN_OF[answer.ask_next.reading] in rest.split()
        assert not answer.clear


def test_one_thread_of_three_families_is_told_by_the_nose() -> None:
    """9/16-18 is JIC -6, O-ring boss -6 and face seal -4 (SAE J514, J1926, J1453)."""
    answer = asked(od="14.2 mm", tpi="18", sex="male")
    assert {each.end.family for each in answer.candidates} == {"jic", "orb", "orfs"}
    assert answer.ask_next is not None and answer.ask_next.reading == "nose"
    leads_to = {split.answer: split.ends[0].id for split in answer.ask_next.splits}
    assert (leads_to["cone"], leads_to["o-ring-at-hex"], leads_to["flat-groove"]) == ("jic-6-male", "orb-6-stud", "orfs-4-male")
    assert any("no caliper tells them apart" in text and "the nose" in text for text in answer.cannot_tell)


@pytest.mark.parametrize(("size", "od"), [("1/2", "20.6 mm"), ("3/4", "25.9 mm")])
def test_half_and_three_quarter_pipe_cannot_be_told_by_caliper(size: str, od: str) -> None:
    """Both have 14 threads per inch; 60° against 55° (ASME B1.20.1, ISO 7-1)."""
    answer = asked(od=od, tpi="14", sex="male", taper="yes")
    top = {each.end.id: each.kind_share for each in answer.candidates}
    assert top[f"npt-{size}-male"] > 0.05 and top[f"bspt-{size}-male"] > 0.05
    assert not answer.clear
    told = " ".join(answer.cannot_tell)
    assert "14 TPI" in told and "60° against 55°" in told
    assert "a marking" in told and "where it was built" in told and "flank angle under a profile gauge" in told
    assert answer.ask_next is not None and answer.ask_next.reading in ("country", "marking", "flank_deg")


@pytest.mark.parametrize(("size", "od", "npt", "bsp"), [("1/8", "9.9 mm", 27, 28), ("1/4", "13.0 mm", 18, 19), ("3/8", "16.6 mm", 18, 19),
                                                       ("1", "32.9 mm", 11.5, 11)])
def test_other_pipe_sizes_are_told_by_their_threads_per_inch(size: str, od: str, npt: float, bsp: float) -> None:
    assert best_id(asked(od=od, tpi=f"{npt:g}", sex="male", taper="yes")) == f"npt-{size}-male"
    assert best_id(asked(od=od, tpi=f"{bsp:g}", sex="male", taper="yes")) == f"bspt-{size}-male"


@pytest.mark.parametrize(("light", "heavy", "od", "pitch", "tube"), [
    ("15L", "14S", "21.9 mm", "1.5 mm", "15"), ("12L", "10S", "17.9 mm", "1.5 mm", "12"), ("22L", "20S", "29.9 mm", "2 mm", "22")])
def test_light_and_heavy_are_told_by_the_tube(light: str, heavy: str, od: str, pitch: str, tube: str) -> None:
    """One thread each (ISO 8434-1)."""
    answer = asked(od=od, pitch=pitch, sex="male", nose="plain", chamfer="yes")
    assert {each.end.size for each in answer.candidates[:2]} == {light, heavy}
    assert answer.ask_next is not None and answer.ask_next.reading == "tube_bore_mm"
    assert best_id(asked(od=od, pitch=pitch, sex="male", chamfer="yes", bore=f"{tube}.1 mm")) == f"cone24-{light}-male"


@pytest.mark.parametrize(("nose", "speaks"), [
    # ISO 6149: a ring in a chamfered mouth, so under the hexagon of its stud; ISO 9974: a seal on the flat face
    ("o-ring-at-hex", "a ring under the hex, as read, speaks for ISO 6149 M27x2 male stud"),
    ("flat", "a flat face, as read, speaks for ISO 9974 M27x2 male stud"),
    (None, ""),
])
def test_a_nose_that_was_read_already_is_not_left_out_of_what_tells_them_apart(nose: str | None, speaks: str) -> None:
    answer = asked(od="26.8 mm", pitch="2 mm", sex="male", **({"nose": nose} if nose else {}))
    (told,) = [text for text in answer.cannot_tell if "one thread, M27x2" in text]
    assert speaks in told and ("as read" in told) == bool(speaks)
    assert ("to be sure a marking does" in told) == bool(speaks)


@pytest.mark.parametrize("more", [{}, {"seat": "30", "swivel": "yes"}, {"seat": "60", "hex": "27 mm"}], ids=str)
def test_a_japanese_swivel_whose_cone_stands_out_is_not_the_hollow_one(more: dict[str, str]) -> None:
    """JIS B 8363: the usual flare has its nose on the male and a concave seat in the swivel; a swivel with the nose is the inverted kind,
    which equals the BSP 60° cone (from memory). The two do not seal on each other, so neither is called certain."""
    typed = {"id": "18.7 mm", "sex": "female", "tpi": "14", "country": "Japan", **more}
    out, hollow = asked(nose="cone", **typed), asked(nose="seat", **typed)
    assert (best_id(out), best_id(hollow)) == ("bsp60-1/2-swivel", "jis30-1/2-swivel")
    assert not out.clear and "seldom met in Japan" not in out.candidates[0].differs
    other = next(each for each in out.candidates if each.end.id == "jis30-1/2-swivel")
    assert "a cone standing out, where a funnel-shaped seat is usual" in other.differs
    told = " ".join(out.cannot_tell)
    assert "speaks for BSP 60° cone 1/2 female swivel, 60° cone, and to be sure look once more, and at what it screws onto" in told
    assert out.ask_next is None  # nobody stamps a cone on it; to look once more is said above


@pytest.mark.parametrize(("typed", "best", "beside"), [
    # 9/16-18 is 1.411 mm, ten 14.1 mm, twenty 28.2 mm; M14x1.5 15.0 and 30.0 mm (arithmetic). M14x1.5 goes up to 13.97 mm (ISO 965-1)
    ({"od": "14.05 mm", "pitch": "10 in 15 mm", "nose": "o-ring", "sex": "male"}, "iso6149-M14x1.5-stud", "10 threads in 15 mm (18 TPI here: 14.1 mm)"),
    ({"od": "14.05 mm", "pitch": "20 in 30 mm", "nose": "o-ring", "sex": "male"}, "iso6149-M14x1.5-stud", "20 threads in 30 mm (18 TPI here: 28.2 mm)"),
    ({"od": "14.05 mm", "pitch": "20 in 28.2 mm", "nose": "o-ring", "sex": "male"}, "orb-6-stud", ""),
    ({"od": "26.9 mm", "pitch": "20 in 40 mm", "nose": "o-ring", "sex": "male"}, "iso6149-M27x2-stud", "20 threads in 40 mm (12 TPI here: 42.3 mm)"),
    ({"od": "26.9 mm", "pitch": "20 in 42.3 mm", "nose": "o-ring", "sex": "male"}, "orb-12-stud", ""),
])
def test_counted_threads_weigh_as_a_length_and_not_as_a_leaf(typed: dict[str, str], best: str, beside: str) -> None:
    answer = asked(**typed)
    assert best_id(answer) == best
    assert not answer.candidates[0].differs
    assert not beside or any(beside in each.differs for each in answer.candidates)
    assert not any("nearest leaf" in text for each in answer.candidates for text in each.agrees)


def test_a_count_against_the_best_end_is_told_and_nothing_is_clear() -> None:
    """20 in 40 mm on a cone of 26.95 mm: 12 TPI has 19 in 40.2 mm, 20 in 42.3 mm."""
    answer = asked(od="26.95 mm", pitch="20 in 40 mm", nose="cone")
    assert answer.candidates[0].end.id == "jic-12-male" and not answer.clear
    assert answer.candidates[0].differs == ("20 threads in 40 mm (12 TPI here: 42.3 mm)",)
    (slip,) = answer.slips
    assert slip.code == "miscounted" and "hold 19 threads, not 20: count the gaps again" in slip.text
    assert slip.readings is not None and (slip.readings.counted, slip.readings.pitch_mm) == (19, pytest.approx(40 / 19))
    assert asked(od="26.95 mm", pitch="20 in 42.3 mm", nose="cone").slips == ()
    between = asked(od="26.95 mm", pitch="20 in 37.1 mm", nose="cone")  # 12 TPI: 17.5 threads, 14 TPI: 20.4
    assert "miscounted" not in {each.code for each in between.slips}
    assert "2 mm pitch, 20 threads counted in 40 mm" in readings_words(answer.readings)


@pytest.mark.parametrize(("id_", "tpi", "country"), [("18.5 mm", "14", "USA"), ("18.7 mm", "14", "USA"), ("18.9 mm", "14", "USA"), ("18.9 mm", "", "USA"),
                                                     ("18.9 mm", "14", ""), ("15.2 mm", "18", "USA"), ("11.6 mm", "", "USA")])
def test_a_taper_that_was_felt_outweighs_a_mouth_worn_wide(id_: str, tpi: str, country: str) -> None:
    """Inside jaws in the mouth of 1/2 NPT: 18.21 to 18.60 mm at the small end (ASME B1.20.1), 0.2 mm over where it is countersunk or worn
    (practice); no straight thread comes first, though NPSM (18.97 to 19.28) and face seal (18.92 to 19.28) are nearer."""
    answer = asked(id=id_, sex="female", taper="yes", tpi=tpi, country=country)
    assert answer.candidates[0].end.family == "npt"
    straight = sum(each.share for each in answer.candidates if each.end.family not in ("npt", "bspt"))
    assert straight < 0.2


@pytest.mark.parametrize(("od", "inch", "metric"), [("22,0 mm", "orb-10-stud", "iso6149-M22x1.5-stud"), ("26.9 mm", "orb-12-stud", "iso6149-M27x2-stud")])
def test_a_stud_with_a_ring_is_not_settled_by_its_diameter(od: str, inch: str, metric: str) -> None:
    """7/8-14 and M22x1.5, 1-1/16-12 and M27x2: one diameter to the hand, the ring under the hex on both (J1926-2, ISO 6149-2)."""
    answer = asked(od=od, sex="male", nose="o-ring-at-hex")
    assert answer.candidates[0].end.id == inch and not answer.clear
    assert answer.ask_next is not None and answer.ask_next.reading == "pitch"
    leads_to = {split.answer.split(" or ")[0]: split.ends[0].id for split in answer.ask_next.splits}
    assert metric in leads_to.values() and inch in leads_to.values()
    bare = asked(od=od.split()[0] + " mm", sex="male")
    assert bare.ask_next is not None
    (ring,) = [split for split in bare.ask_next.splits if split.answer == "o-ring-at-hex"]
    assert {inch, metric} <= {each.id for each in ring.ends}


def test_when_an_answer_is_clear() -> None:
    """Far ahead, no other thread left that would go in and strip, nothing measured against it, and not by hearsay."""
    assert asked(od="14.2 mm", tpi="18", nose="cone").clear
    assert not asked(od="22 mm", sex="male", nose="o-ring").clear  # M22x1.5 is left
    assert asked(od="22.0 mm", tpi="14", sex="male", nose="o-ring").clear
    assert not asked(od="26.95 mm", pitch="20 in 40 mm", nose="cone").clear  # the count is against it
    off_a_bulkhead = {"od": "18.0 mm", "sex": "male", "from": "tractor bulkhead"}
    led = asked(**off_a_bulkhead)
    assert led.candidates[0].end.id == "cone24-12L-male" and led.candidates[0].kind_share > 0.9 and not led.clear
    assert asked(**off_a_bulkhead, bore="12.1 mm", pitch="1.5", chamfer="yes").clear
    assert not asked(marking="15L").clear


def test_a_stamped_tube_is_all_but_proof() -> None:
    """ISO 8434-1 has tube and series stamped; a tube of 15 mm, light series."""
    marked = asked(marking="15L")
    assert {each.end.size for each in marked.candidates[:3]} == {"15L"}
    assert sum(each.share for each in marked.candidates if each.end.size == "15L") > 0.9
    swivel = asked(marking="15L", sex="female", swivel="yes")
    assert best_id(swivel) == "cone24-15L-swivel" and swivel.candidates[0].kind_share > 0.95
    assert best_id(asked(marking="15L", od="20.9 mm", tpi="14", sex="male", nose="o-ring")) == "bspp-1/2-stud"  # the mark of its other end
    assert best_id(asked(marking="DKOL 15")) == "cone24-15L-swivel"  # trade abbreviation (practice)


def test_a_marking_that_says_nothing_to_us_is_told() -> None:
    assert asked(marking="XK77", od="14.2 mm").notes == ("our tables know no marking “XK77”: it counts for nothing",)
    assert asked(marking="15L", od="21.9 mm").notes == ()


def test_no_question_is_asked_that_settles_nothing() -> None:
    """A flange has no sex to ask for; two swivels with one thread both turn; one diameter may be all that is needed."""
    flange = asked(marking="6000", nose="flange").ask_next
    assert flange is not None and flange.reading == "od_mm"
    tube = asked(marking="15L").ask_next
    assert tube is not None and tube.reading == "sex"
    japan = asked(id="18.7 mm", sex="female", tpi="14", nose="cone", country="Japan").ask_next
    assert japan is None


def test_too_little_is_not_none_of_them() -> None:
    assert "end    too little is known yet" in identify_text(asked(country="UK"))
    assert "end    none of the standard ends: take it along" in identify_text(asked(od="11.1 mm", tpi="26"))


def test_the_valve_of_a_log_splitter_is_no_pump() -> None:
    assert {row["component"] for row, _ in usual_ports("log splitter valve", "north-america").rows} == {"lever directional valve"}
    assert {row["component"] for row, _ in usual_ports("log splitter pump", "north-america").rows} == {"two-stage pump"}


def test_near_misses_are_said_with_both_pitches() -> None:
    """1-1/16-12 against M27x2: 0.01 mm on the diameter, 5.8 % on the pitch (arithmetic)."""
    answer = asked(od="26.9 mm", sex="male")
    assert any("12 TPI and 2 mm are 5.8% apart" in text for text in answer.cannot_tell)
    assert best_id(asked(od="26.9 mm", pitch="2 mm", sex="male", nose="o-ring")) == "iso6149-M27x2-stud"
    assert best_id(asked(od="26.9 mm", tpi="12", sex="male", nose="o-ring")) == "orb-12-stud"


def test_agrees_and_differs_are_in_figures() -> None:
    first = asked(od="14.2 mm", tpi="18", sex="male").candidates[0]
    assert first.agrees == ("14.20 mm outside (new 14.03 to 14.25)", "18 TPI") and first.differs == ()
    worn = asked(od="13.85 mm", tpi="18", sex="male", nose="cone").candidates[0]
    assert worn.end.id == "jic-6-male" and "worn" in worn.agrees[0]
    strange = asked(od="26.9 mm", tpi="11.5", sex="male", taper="no").candidates[0]
    assert strange.differs == ("11.5 TPI (12 TPI here, 4.3% apart)",)


def test_the_country_moves_a_pipe_thread() -> None:
    typed = {"od": "20.55 mm", "tpi": "14", "sex": "male", "taper": "yes"}
    assert best_id(asked(**typed, country="USA")) == "npt-1/2-male"
    for country in ("Japan", "UK", "Germany"):
        assert best_id(asked(**typed, country=country)) == "bspt-1/2-male"
    assert any("say nothing of Atlantis" in note for note in asked(**typed, country="Atlantis").notes)


@pytest.mark.parametrize(("text", "family", "size"), [
    ("rear remote of a compact tractor", "iso7241a", "1/2"), ("hoist ram of a dump trailer", "orb", "-6"),
    ("hydrostatic steering unit", "orb", "-8"), ("test point", "npt", "1/8"), ("skid steer auxiliary, high flow", "iso16028", "3/4"),
    ("trailer brake", "cone24", "15L"), ("two-stage pump of a log splitter", "npt", "1/2"),
])
def test_what_it_came_off_leans_on_the_usual_ports(text: str, family: str, size: str) -> None:
    """The rows are those of `data/identify/machines.csv`, which has a source for each."""
    rows = usual_ports(text, None).rows
    assert (family, size) in {(row["port_family"], row["port_size"]) for row, _ in rows}
    plain, leaned = prior(None, None), prior(None, text)
    share = {name: sum(value for each, value in of.shares.items() if (each.family, each.size) == (family, size))
             for name, of in (("plain", plain), ("leaned", leaned))}
    assert share["leaned"] > 2 * share["plain"]
    assert leaned.notes


def test_words_that_no_machine_has_are_said() -> None:
    assert any("no usual ports" in note for note in asked(od="14.2 mm", **{"from": "frobnicator"}).notes)


@pytest.mark.parametrize(("typed", "code", "end"), [
    ({"od": "0.56 mm", "tpi": "18", "sex": "male"}, "inch-as-mm", "jic-6-male"),
    ({"od": "14.2 in", "tpi": "18", "sex": "male"}, "mm-as-inch", "jic-6-male"),
    ({"od": "1/2", "tpi": "14", "sex": "male"}, "nominal", "npt-1/2-male"),
    ({"od": "1/4", "tpi": "19", "sex": "male"}, "nominal", "bspp-1/4-stud"),
    ({"od": "1/2", "sex": "male"}, "nominal", None),
    ({"od": "17.5 mm", "tpi": "18", "sex": "female"}, "hex", "jic-6-swivel"),
    ({"id": "14.2 mm", "tpi": "18"}, "inside-for-outside", "jic-6-male"),
    ({"od": "14.2 mm", "tpi": "18", "sex": "female"}, "outside-for-inside", "jic-6-swivel"),
    ({"od": "11.1 mm", "tpi": "19", "sex": "male"}, "pitch-misread", "jic-4-male"),
    ({"od": "95 mm"}, "", None),
])
def test_slips_are_caught(typed: dict[str, str], code: str, end: str | None) -> None:
    slips = {slip.code: slip for slip in asked(**typed).slips}
    if not code:
        assert not slips
        return
    assert code in slips, slips
    assert (slips[code].end.id if slips[code].end else None) == end


def test_a_hose_measured_over_its_cover_is_caught() -> None:
    """A two-wire hose of 3/4 in is 29.3 mm over its cover (EN 853 2SN, as `data/hose/hoses.csv` has it)."""
    slips = {slip.code: slip.text for slip in asked(od="29.3 mm").slips}
    assert "-12" in slips["hose-cover"] and "named by its bore" in slips["hose-cover"]
    assert "hose-cover" not in {slip.code for slip in asked(od="29.3 mm", tpi="16").slips}


def test_good_readings_are_not_called_slips() -> None:
    for typed in ({"od": "14.2 mm", "tpi": "18"}, {"od": "7/8", "tpi": "14"}, {"od": "3/4", "tpi": "16"}, {"id": "12.9 mm", "tpi": "18"}):
        assert asked(**typed).slips == ()


def test_flanges_and_couplers_are_named_too() -> None:
    """Head diameters of SAE J518: code 61 -16 44.45 mm, code 62 -16 47.63 mm."""
    assert best_id(asked(od="44.4 mm", nose="flange")) == "code61-16-head"
    assert best_id(asked(od="47.6 mm", nose="flange")) == "code62-16-head"
    assert end_by_id(best_id(asked(sex="male", nose="coupler", **{"from": "rear remote of a tractor"}))).family == "iso7241a"


@pytest.mark.parametrize(("mark", "end"), [
    ("NPTF", "npt-1/2-male"), ("R 1/2", "bspt-1/2-male"), ("PT 1/2", "bspt-1/2-male"), ("1/2-14 NPT", "npt-1/2-male")])
def test_a_mark_settles_what_no_caliper_can(mark: str, end: str) -> None:
    assert best_id(asked(od="20.6 mm", tpi="14", sex="male", taper="yes", marking=mark)) == end


def test_a_makers_own_mark_counts_for_nothing() -> None:
    assert asked(od="14.2 mm", tpi="18", marking="XK77").none_share == asked(od="14.2 mm", tpi="18").none_share


def test_dialogue_goes_on_to_a_clear_answer() -> None:
    talk = Interview()
    said = {"sex": "male", "od_mm": "14.2 mm", "nose": "cone", "pitch": "18 TPI"}
    order = []
    while talk.question is not None:
        order.append(talk.question.reading)
        talk.answer(said[talk.question.reading])
    assert order[:2] == ["sex", "od_mm"] and len(order) <= 4
    assert talk.clear and best_id(talk.result) == "jic-6-male"


def test_dialogue_takes_cannot_tell_back_and_nonsense() -> None:
    talk = Interview()
    talk.answer("male")
    with pytest.raises(BadReading):
        talk.answer("large")
    assert talk.question is not None and talk.question.reading == "od_mm" and talk.count == 1
    talk.answer("can't tell")
    assert talk.question is not None and talk.question.reading != "od_mm" and talk.cannot == ("od_mm",)
    talk.answer("back")
    assert talk.question is not None and talk.question.reading == "od_mm" and talk.cannot == ()
    talk.answer("back")
    talk.answer("back")
    assert talk.count == 0 and talk.question is not None and talk.question.reading == "sex"


def test_dialogue_ends_when_nothing_can_be_told() -> None:
    talk = Interview()
    while talk.question is not None:
        talk.answer("?")
    assert not talk.clear and 5 < talk.count < 16
    assert identify_text(talk.result)


def test_dialogue_starts_from_what_was_given() -> None:
    talk = Interview(Readings(sex="male", od_mm=21.9, pitch_mm=1.5))
    assert talk.question is not None and talk.question.reading not in ("sex", "od_mm", "pitch")


SCREENS = [
    {"od": "14.2 mm", "tpi": "18", "sex": "male"}, {"od": "20.6 mm", "tpi": "14", "sex": "male", "taper": "yes"},
    {"od": "21.9 mm", "pitch": "1.5", "sex": "male"}, {"id": "20.5 mm", "pitch": "1.5", "swivel": "yes"}, {"od": "11.1", "tpi": "19"},
    {"od": "26.9", "pitch": "2"}, {"od": "1/2", "sex": "male"}, {"sex": "female"}, {"od": "0.56 mm", "tpi": "18"},
    {"od": "33.2", "instrument": "ruler", "country": "Japan", "from": "gear pump"}, {"od": "14.2", "nose": "cone", "tpi": "18"},
    {"id": "14.2", "tpi": "18"}, {"od": "17.5", "sex": "female", "tpi": "18"}, {"marking": "15L"},
]


@pytest.mark.parametrize("typed", SCREENS, ids=str)
def test_an_answer_fits_one_screen_of_eighty_columns(typed: dict[str, str]) -> None:
    lines = identify_text(asked(**typed)).split("\n")
    assert max(len(line) for line in lines) <= 80
    assert len(lines) <= 24, "\n".join(lines)


def test_the_whole_answer_in_words() -> None:
    assert identify_text(asked(od="14.2 mm", tpi="18", sex="male")) == """\
male, 14.20 mm (0.559 in) outside, 18 TPI; by caliper
  48%  JIC -6 male, 9/16-18 UNF
       fits: 14.20 mm outside (new 14.03 to 14.25); 18 TPI
  36%  ORB -6 male stud (or stud, adjustable), 9/16-18 UNF
  13%  ORFS -4 male, 9/16-18 UNF
   2%  none of the standard ends: 1% fine-threaded bolt, 9/16-18; 1% welding-gas
       hose fitting, 9/16-18
next   Look at the end: a cone, a flat face with a ring groove, a flat face, an
       O-ring or seal ring under the hex, a washer, or plain?
       - cone: JIC -6 male
       - o-ring-at-hex: ORB -6 male stud
       - flat-groove: ORFS -4 male
note   JIC -6 male, ORB -6 male stud and ORFS -4 male have one thread, 9/16-18
       UNF: no caliper tells them apart; the nose, a marking or the angle of the
       seat does
run    fittings show "jic-6-male\""""


def test_json_has_its_fields_and_adds_up() -> None:
    for typed in SCREENS:
        found = json.loads(json.dumps(identify_json(asked(**typed))))
        assert set(found) >= {"candidates", "none_share", "ask_next", "cannot_tell", "slips"}
        assert abs(sum(each["share"] for each in found["candidates"]) + found["none_share"] - 1) < 1e-3
        for each in found["candidates"]:
            assert set(each) >= {"end", "share", "agrees", "differs"}
            assert set(each["end"]) == {"id", "family", "size", "form", "sex", "thread", "standard", "say"}
        if found["ask_next"]:
            assert set(found["ask_next"]) >= {"reading", "why", "splits"}


def test_readings_are_echoed_in_both_units() -> None:
    assert readings_words(Readings(id_mm=12.7, tpi=20, taper=False, country="Japan")) == (
        "12.70 mm (0.500 in) inside, 20 TPI, straight, built in Japan; by caliper")
    assert readings_words(Readings()) == "no reading yet"


def test_a_drawer_of_fittings() -> None:
    rows = read_batch(["name,od,id,tpi,pitch,sex,nose", "a,14.2 mm,,18,,male,cone", "b,,20.5,,1.5,female,", "", "c,banana,,,,,",
                       "d,11.1,,26,,male,", "e,,,,,,"])
    assert [row.name for row in rows] == ["a", "b", "c", "d", "e"]
    assert rows[0].answer is not None and best_id(rows[0].answer) == "jic-6-male"
    assert rows[2].answer is None and "banana" in rows[2].wrong and rows[2].line == 5
    assert rows[4].answer is None and "no reading" in rows[4].wrong
    text = batch_text(rows)
    assert "a: JIC -6 male (100%)" in text and "none of the standard ends" in text and max(map(len, text.split("\n"))) <= 80
    assert [row["name"] for row in batch_json(rows)["rows"]] == ["a", "b", "c", "d", "e"]


@pytest.mark.parametrize("lines", [[], [""], ["name,colour", "a,red"], ["name", "a"]])
def test_a_file_that_is_no_drawer_says_which_columns_there_are(lines: list[str]) -> None:
    with pytest.raises(BadBatch, match="columns are name, od, id"):
        read_batch(lines)


def test_rows_counted_under_id_are_no_inside_diameters() -> None:
    with pytest.raises(BadBatch, match="call a column of labels name"):
        read_batch(["id,od", "1,14.2 mm", "2,14.2 mm", "3,22 mm"])
    assert read_batch(["id,tpi", "12.9 mm,18", "12.9 mm,18", "3,18"])[0].answer is not None


def test_every_end_has_its_weights_and_looks() -> None:
    sizes = {(row["family"], row["size"]) for row in table("identify/sizes")}
    forms = {(row["family"], row["form"]) for row in table("identify/forms")}
    assert {(each.family, each.size) for each in all_ends()} == sizes
    assert {(each.family, each.form) for each in all_ends()} == forms
    for of in specimens():
        assert abs(sum(of.nose.values()) - 1) < 1e-9 and set(of.nose) <= set(NOSES), of.end
        assert not of.seats or abs(sum(share for _, share in of.seats) - 1) < 1e-9
        assert of.thread is None or (of.crests is not None and of.crests.low_mm <= of.crests.high_mm)


def test_wear_and_places_are_shares() -> None:
    for name in ("wear", "taper-places"):
        for side in ("external", "internal"):
            assert abs(sum(float(row["share"]) for row in table(f"identify/{name}") if row["side"] == side) - 1) < 1e-9


def test_regions_and_machines_are_spelled_as_the_tables_have_them() -> None:
    assert {row["region"] for row in table("identify/region-words")} == set(regions())
    assert {region for row in table("identify/machines") for region in row["regions"].split()} <= set(regions())
    known = {(each.family, each.size) for each in all_ends()} | {(each.family, "") for each in all_ends()}
    assert {(row["port_family"], row["port_size"]) for row in table("identify/machines")} <= known
    assert region_of("the Netherlands") == "europe" and region_of("U.S.A.") == "north-america" and region_of("Mars") is None


def test_a_size_that_the_source_does_not_give_is_from_memory() -> None:
    """Where makers' lists say “metric” or “bulkhead” and no size, the size is ours: graded C (data/README.md)."""
    rows = table("identify/machines")
    assert {row["confidence"] for row in rows if "metric only" in row["note"] or "from memory" in row["note"]} == {"C"}
    (bulkhead,) = {row["confidence"] for row in rows if "bulkhead" in row["detail"] and row["port_family"] == "cone24"}
    assert bulkhead == "C"
    drains = {row["port_size"]: row["usual"] for row in rows if row["component"] == "case drain"}
    assert drains == {"3/8": "common", "1/4": "sometimes"}  # 3/8, some 1/4


def test_every_share_has_a_source() -> None:
    for name in ("regions", "families", "sizes", "forms", "looks", "seats", "instruments", "noise", "wear", "taper-places",
                 "gauge-leaves", "questions", "markings", "machines", "machine-words"):
        for row in table(f"identify/{name}"):
            if "source" in row:
                assert set(row["source"].split(";")) <= set(register()), (name, row)
