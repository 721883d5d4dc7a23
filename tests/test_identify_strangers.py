"""Never wrongly sure: threads that are in no table, another seat on the same thread, readings that contradict.

Threads of strangers are from memory (`data/identify/strangers.csv` says so); sizes of standards as each test names them.
"""

import pytest

from fittings.cli import run
from fittings.identify import Answer, BadReading, identify, read_readings
from fittings.identify.batch import read_batch
from fittings.identify.interview import Interview
from fittings.identify.prior import prior, regions
from fittings.identify.readings import COLUMN_OF
from fittings.identify.specimen import NOSES
from fittings.identify.strangers import strangers
from fittings.reports.identify_json import identify_json
from fittings.reports.identify_text import batch_text, identify_text
from fittings.tables import table


def asked(**typed: str) -> Answer:
    taken = read_readings({name.rstrip("_").replace("_", "-"): text for name, text in typed.items()})
    return identify(taken.readings, taken.notes)


def next_of(of: Answer) -> str:
    return COLUMN_OF[of.ask_next.reading] if of.ask_next else ""


@pytest.mark.parametrize(("typed", "thread", "says"), [
    # ASME B1.20.7 garden hose 1-1/16-11.5; SAE J512 compression 1/4 tube 7/16-24, 3/8 tube 9/16-24; ISO 15171-2 M16x2 (from memory)
    ({"od": "26.9 mm", "tpi": "11.5", "male": "yes", "nose": "plain", "straight": "yes"}, "1-1/16-11.5", "garden hose"),
    ({"id": "24.8 mm", "tpi": "11.5", "female": "yes"}, "1-1/16-11.5", "garden hose"),
    ({"od": "11.05 mm", "tpi": "24", "male": "yes", "fixed": "yes"}, "7/16-24", "compression body for 1/4 in tube"),
    ({"od": "14.2 mm", "tpi": "24", "male": "yes"}, "9/16-24", "compression body for 3/8 in tube"),
    ({"od": "15.9 mm", "pitch": "2", "male": "yes"}, "M16x2", "diagnostic coupling"),
    ({"od": "21.9 mm", "pitch": "1.5", "male": "yes", "nose": "plain", "bore": "15 mm", "from": "pressure washer"}, "M22x1.5", "pressure-washer"),
    ({"od": "29.9 mm", "pitch": "1.5", "male": "yes", "chamfer": "yes"}, "M30x1.5", "French 24° cone"),
])
def test_a_known_stranger_is_named(typed: dict[str, str], thread: str, says: str) -> None:
    answer = asked(**typed)
    assert answer.none_share > 0.5
    first, share = answer.strangers[0]
    assert first.kind[1] == thread and says in first.say and share > answer.none_share / 2
    text = " ".join(identify_text(answer).split())
    assert f"end not in our tables: {first.name} (from memory)" in text
    assert identify_json(answer)["strangers"][0]["confidence"] == "C"  # type: ignore[index, call-overload]


@pytest.mark.parametrize(("typed", "best", "thread"), [
    ({"id": "18.4 mm", "pitch": "1.5", "swivel": "yes", "nose": "cone"}, "cone24-12S-swivel", "M20x1.5"),
    ({"od": "19.9 mm", "pitch": "1.5", "chamfer": "yes", "male": "yes"}, "cone24-12S-male", "M20x1.5"),
    ({"od": "23.9 mm", "pitch": "1.5", "chamfer": "yes", "male": "yes", "country": "Germany"}, "cone24-16S-male", "M24x1.5"),
])
def test_a_24_degree_cone_that_may_be_french_asks_for_the_tube(typed: dict[str, str], best: str, thread: str) -> None:
    """M20x1.5 and M24x1.5 are 12S and 16S (ISO 8434-1), and French for tubes of 13.25 and 14, 16 and 16.75 mm (from memory)."""
    answer = asked(**typed)
    assert answer.candidates[0].end.id == best and not answer.clear and next_of(answer) == "bore"
    assert answer.strangers[0][0].kind[1] == thread
    left = " ".join(name for split in answer.ask_next.splits for name in split.strangers) if answer.ask_next else ""
    assert "French 24° cone" in left


def test_the_tube_settles_which_cone_it_is() -> None:
    german = asked(od="19.9 mm", pitch="1.5", chamfer="yes", male="yes", bore="12.2 mm")
    assert german.clear and german.candidates[0].end.id == "cone24-12S-male"
    french = asked(od="19.9 mm", pitch="1.5", chamfer="yes", male="yes", bore="14.2 mm")
    assert french.none_share > 0.9 and "French" in french.strangers[0][0].say


def test_a_smooth_bore_of_a_pressure_washer_is_no_15l_for_sure() -> None:
    """M22x1.5 with a smooth bore of 15 mm: 15L has its tube there (ISO 8434-1), a washer's outlet its plug (from memory)."""
    typed = {"od": "21.9 mm", "pitch": "1.5", "male": "yes", "nose": "plain", "bore": "15 mm"}
    assert not asked(**typed).clear and next_of(asked(**typed)) == "chamfer"
    assert asked(**typed, chamfer="yes").clear


def test_a_batch_names_strangers() -> None:
    text = " ".join(batch_text(read_batch(["name,od,tpi,male,nose", "tap,26.9 mm,11.5,yes,plain"])).split())
    assert text.startswith("tap: not in our tables: garden hose thread (ASME B1.20.7), 1-1/16-11.5 (100%)")


def test_strangers_take_part_of_none_and_no_more() -> None:
    for region in (None, *regions()):
        found = prior(region, None)
        assert 0 < sum(found.strangers.values()) < found.none
        assert sum(found.shares.values()) + found.none == pytest.approx(1)
    named = prior(None, "pressure washer")
    assert sum(named.shares.values()) + named.none == pytest.approx(1)
    assert named.notes == ("came off: not in our tables: pressure-washer outlet; pressure-washer hose screw",)


def test_every_stranger_can_be_measured_and_says_that_it_is_from_memory() -> None:
    for of in strangers():
        assert of.crests is not None and of.crests.low_mm < of.crests.high_mm
        assert set(of.nose) <= set(NOSES) and sum(of.nose.values()) == pytest.approx(1)
        assert of.confidence == "C" and "memory" in of.source and "memory" in of.note
    assert {region for row in table("identify/strangers") for region in row["regions"].split()} <= {*regions()}


@pytest.mark.parametrize("typed", [
    {"od": "18.95 mm", "tpi": "16", "male": "yes", "nose": "cone"}, {"id": "17.5 mm", "tpi": "16", "swivel": "yes", "nose": "seat"}])
def test_one_thread_with_two_flares_is_not_clear_before_the_seat_is_known(typed: dict[str, str]) -> None:
    """3/4-16 is JIC -8 (37°, SAE J514) and 45° flare 1/2 (SAE J512); the one leaks on the other."""
    answer = asked(**typed)
    assert not answer.clear and answer.ask_next is not None
    assert {split.ends[0].family for split in answer.ask_next.splits} & {"jic"}
    assert asked(**typed, seat="37").clear
    assert answer.candidates[0].end.say not in identify_text(answer).split("say ")[-1] or "say    “" not in identify_text(answer)


@pytest.mark.parametrize(("typed", "line"), [
    ({"od": "18.95 mm", "tpi": "16", "male": "yes", "seat": "41", "nose": "cone"}, "measure the seat again: seat 41°: 37° or 74° here"),
    ({"od": "26.9 mm", "tpi": "12", "male": "yes", "nose": "cone", "seat": "45"}, "measure the seat again: seat 45°: 37° or 74° here"),
])
def test_a_seat_that_contradicts_is_measured_again(typed: dict[str, str], line: str) -> None:
    answer = asked(**typed)
    assert not answer.clear and "say    “" not in identify_text(answer)
    assert line in {slip.text for slip in answer.slips}


@pytest.mark.parametrize(("typed", "ends"), [
    # names of pipe sizes with their threads per inch, ASME B1.20.1; 9/16-18 is JIC -6, whose tube is 3/8 (SAE J514)
    ({"od": "1-1/4", "tpi": "11.5", "male": "yes", "taper": "yes", "country": "USA"}, ["npt-1-1/4-male"]),
    ({"od": "3/4", "tpi": "14", "male": "yes", "taper": "yes", "country": "USA"}, ["npt-3/4-male"]),
    ({"od": "3/8", "tpi": "18", "male": "yes"}, ["jic-6-male", "npt-3/8-male"]),
])
def test_a_fraction_beside_its_measure_may_be_a_name(typed: dict[str, str], ends: list[str]) -> None:
    answer = asked(**typed)
    assert not any(each.share > answer.none_share for each in answer.candidates) or not answer.clear
    assert not any(line.endswith("along its taper)") for each in answer.candidates for line in each.agrees)
    slip = next(slip for slip in answer.slips if slip.code == "nominal")
    assert set(ends) <= {each.id for each in slip.ends}
    assert all(end.say in slip.text for end in slip.ends)


@pytest.mark.parametrize(("typed", "inch", "metric"), [
    # M14x1.5 runs from 13.73 to 13.97 mm, M33x2 from 32.68 to 32.96 (ISO 965-1 6g); ten threads of 18 TPI are 14.1 mm, of 12 TPI 21.2
    ({"od": "13.9 mm", "tpi": "18", "male": "yes", "nose": "o-ring-at-hex"}, "14.1 mm", "15.0 mm"),
    ({"od": "13.85 mm", "tpi": "18", "male": "yes", "nose": "o-ring-at-hex"}, "14.1 mm", "15.0 mm"),
    ({"od": "32.85 mm", "tpi": "12", "male": "yes", "nose": "o-ring-at-hex"}, "21.2 mm", "20.0 mm"),
])
def test_a_worn_stud_or_a_new_one_of_the_neighbouring_leaf_is_counted(typed: dict[str, str], inch: str, metric: str) -> None:
    answer = asked(**typed)
    assert not answer.clear and next_of(answer) == "pitch" and answer.ask_next is not None
    assert [split.answer for split in answer.ask_next.splits] == [inch, metric]
    assert "neighbouring-leaf" in {slip.code for slip in answer.slips}


def test_threads_counted_in_the_dialogue_take_the_place_of_the_leaf() -> None:
    taken = read_readings({"od": "13.9 mm", "tpi": "18", "male": "yes", "nose": "o-ring-at-hex"})
    talk = Interview(taken.readings)
    assert talk.question is not None and talk.question.reading == "pitch"
    talk.answer("10 in 15.0 mm")
    assert talk.readings.tpi is None and talk.readings.counted == 10
    assert talk.result.candidates[0].end.id == "iso6149-M14x1.5-stud"
    talk.back()
    talk.answer("?")
    assert talk.question is None or talk.question.reading != "pitch"


@pytest.mark.parametrize("typed", [
    {"od": "21.2 mm", "tpi": "14", "male": "yes", "taper": "yes", "country": "usa"},
    {"od": "20.9 mm", "tpi": "14", "male": "yes", "straight": "yes", "nose": "cone", "country": "japan"},
])
def test_where_it_was_built_leads_and_does_not_settle(typed: dict[str, str]) -> None:
    """1/2 NPT and R1/2 both have 14 threads per inch (ASME B1.20.1, ISO 7-1); a part on a machine may come from elsewhere."""
    answer = asked(**typed)
    assert answer.candidates[0].kind_share > 0.9 and not answer.clear and answer.ask_next is not None


def test_a_coupler_is_asked_for_nothing_that_it_has_not() -> None:
    for typed in ({"nose": "coupler"}, {"nose": "coupler", "od": "23.6 mm"}, {"nose": "coupler", "od": "27 mm"}, {"nose": "coupler", "sex": "female"}):
        assert next_of(asked(**typed)) in ("", "od", "id", "marking", "country")


@pytest.mark.parametrize("sex", ["male", "female", "none", None])
def test_the_sex_of_a_coupler_is_not_asked_and_parts_no_halves(sex: str | None) -> None:
    """Whoever says female may mean the NPT thread at the back, which tips have as well as bodies: the halves stay as likely."""
    said = {"sex": sex} if sex else {}
    answer = asked(nose="coupler", **said, **{"from": "rear remote of a compact tractor"})
    share = {each.end.id: each for each in answer.candidates}
    tip, body = share["iso7241a-1/2-tip"], share["iso7241a-1/2-body"]
    assert 0.9 < tip.share / body.share < 1.1 and not tip.differs and not body.differs
    assert next_of(answer) == "od" and not answer.clear and answer.ask_next is not None
    assert {split.answer: [each.form for each in split.ends] for split in answer.ask_next.splits}["none there"] == ["body"]


@pytest.mark.parametrize(("answers", "end"), [(["20.5 mm"], "iso7241a-1/2-tip"), (["no", "20.8 mm"], "iso7241a-1/2-body"), (["?", "20.8 mm"], "iso7241a-1/2-body")])
@pytest.mark.parametrize("sex", ["male", "female", "none"])
def test_the_diameter_names_the_half_of_a_coupler(answers: list[str], end: str, sex: str) -> None:
    """ISO 7241-A 1/2: a tip of 20.48 to 20.56 mm (the table of figures); a body has no tip, and its bore is a little wider."""
    talk = Interview(read_readings({"nose": "coupler", "sex": sex}).readings)
    for answer in answers:
        talk.answer(answer)
    assert talk.result.candidates[0].end.id == end and talk.result.candidates[0].share > 0.9 and talk.question is None


@pytest.mark.parametrize("typed", [{"nose": "flange"}, {"nose": "flange", "from": "hydraulic pump of an excavator"}])
def test_a_flange_is_asked_for_its_head_at_once(typed: dict[str, str]) -> None:
    """Heads of SAE J518: code 61 -16 44.45 mm; a pad has none, and is asked for its bore; neither has a thread."""
    answer = asked(**typed)
    assert next_of(answer) == "od" and answer.ask_next is not None
    forms = {split.answer: {each.form for each in split.ends} for split in answer.ask_next.splits}
    bores = forms.pop("none there")
    assert "pad" in bores and "head" not in bores and set().union(*forms.values()) == {"head"}
    talk = Interview(read_readings(typed).readings)
    talk.answer("no")
    assert talk.question is not None and talk.question.reading == "id_mm"


@pytest.mark.parametrize("flags", [("--male", "--female", "--id", "12 mm"), ("--taper", "--straight", "--od", "14 mm"),
                                   ("--swivel", "--fixed", "--od", "14 mm"), ("--chamfer", "--no-chamfer", "--od", "14 mm")])
def test_two_flags_that_contradict_are_refused(flags: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["identify", *flags]) == 2
    err = capsys.readouterr().err
    assert f"both {flags[0].lstrip('-')} and {flags[1].lstrip('-')}" in err and "keep one of the two" in err


def test_a_pitch_and_threads_per_inch_that_contradict_are_told_and_settle_nothing() -> None:
    """18 TPI is 1.411 mm, 6.3 % from 1.5 mm (arithmetic)."""
    answer = asked(od="14.2 mm", pitch="1.5 mm", tpi="18", male="yes", nose="cone", seat="37")
    assert answer.notes[0] == "1.5 mm and 18 TPI are 6% apart: one of them is wrong, and either may be; count ten threads over a length"
    assert not answer.clear and asked(od="14.2 mm", pitch="1.411 mm", tpi="18", male="yes", nose="cone", seat="37").clear


@pytest.mark.parametrize(("mark", "end"), [("JIC 8", "jic-8-male"), ("ORB-10", "orb-10-stud"), ("1/2 NPT", "npt-1/2-male"),
                                           ("1 1/4 NPTF", "npt-1-1/4-male"), ("ORFS8", "orfs-8-male"), ("J514-8", "jic-8-male")])
def test_a_size_beside_the_letters_of_a_mark_counts(mark: str, end: str) -> None:
    answer = asked(marking=mark, male="yes")
    assert answer.candidates[0].end.id == end and answer.candidates[0].kind_share > 0.75
    assert not answer.notes


def test_a_number_in_a_mark_that_is_no_size_is_told() -> None:
    assert asked(marking="JIC 7", male="yes").notes == ("of the marking “JIC 7” the 7 is no size that our tables know: it counts for nothing",)


@pytest.mark.parametrize("text", ["air conditioner", "air compressor", "lawn mower deck", "Anbaugerät", "Gerät", "Prüfgerät"])
def test_what_a_thing_is_called_must_be_known(text: str) -> None:
    """An air conditioner is no air cylinder, and the t of Gerät is no port T."""
    found = prior(None, text)
    assert found.notes == (f"our tables know no usual ports for “{text}”: what is met anywhere is taken",)
    assert found.shares == prior(None, None).shares


def test_a_word_that_is_not_known_beside_one_that_is_is_told() -> None:
    (note,) = prior(None, "loader bucket cylinder").notes
    assert note.startswith("came off: loader lift and curl cylinder") and note.endswith("our tables do not know “bucket”")


def test_a_metric_leaf_that_fits_holds_its_thread_through_paint() -> None:
    """M33x2 goes up to 32.96 mm (ISO 965-1 6g); 12 TPI is 2.117 mm, 5.8 % from the leaf of 2 mm that was found to fit."""
    answer = asked(od="33.1 mm", pitch="2 mm", male="yes", country="Germany")
    held = sum(each.share for each in answer.candidates if each.end.thread == "M33x2")
    assert held > 0.2 and not answer.clear


@pytest.mark.parametrize("typed", ["M18x1,5", "M18x1.5", "9/16-18", "G1/2"])
def test_the_name_of_a_thread_is_no_diameter(typed: str) -> None:
    with pytest.raises(BadReading, match=r"the name of a thread, .* and no measure"):
        read_readings({"od": typed})


def test_the_dialogue_asks_again_for_a_country_or_a_mark_that_it_does_not_know() -> None:
    talk = Interview(read_readings({"od": "20.9 mm", "tpi": "14", "male": "yes", "taper": "yes"}).readings)
    asked_for = set()
    while talk.question is not None:
        reading = talk.question.reading
        if reading in ("country", "marking"):
            with pytest.raises(BadReading, match="Atlantis"):
                talk.answer("Atlantis")
            assert talk.question.reading == reading
            asked_for.add(reading)
        talk.answer("dunno")
    assert asked_for == {"country", "marking"} and set(talk.cannot) >= asked_for


@pytest.mark.parametrize(("light", "heavy", "od", "hole"), [
    # 12L, 10L, 8L have holes of 10, 8, 6 mm behind their sockets (a catalogue of tube fittings): the tubes of 10S, 8S, 6S on the same threads
    ("12L", "10S", "17.85 mm", "10 mm"), ("10L", "8S", "15.85 mm", "8 mm"), ("8L", "6S", "13.85 mm", "6 mm")])
def test_the_hole_behind_the_socket_is_no_tube(light: str, heavy: str, od: str, hole: str) -> None:
    typed = {"od": od, "pitch": "1.5", "male": "yes", "chamfer": "yes"}
    answer = asked(**typed, bore=hole)
    assert not answer.clear and {f"cone24-{light}-male", f"cone24-{heavy}-male"} == {each.end.id for each in answer.candidates[:2]}
    assert next_of(answer) == "bore" and answer.ask_next is not None and "the hole behind it" in answer.ask_next.ask
    settled = asked(**typed, bore=f"{hole} at the mouth")
    assert settled.candidates[0].end.size == heavy and settled.candidates[0].share > 0.9
    assert asked(**typed, bore=f"{hole} through").candidates[0].end.size == light


@pytest.mark.parametrize(("id_", "hole"), [("16.5 mm", "10 mm"), ("14.5 mm", "8 mm"), ("12.5 mm", "6 mm")])
def test_the_nipple_of_a_hose_is_no_tube(id_: str, hole: str) -> None:
    """M18x1.5, M16x1.5 and M14x1.5 are light and heavy (ISO 8434-1); what a hose's nipple is bored to hangs on the hose."""
    answer = asked(id=id_, pitch="1.5", swivel="yes", nose="cone", bore=hole)
    assert not answer.clear and next_of(answer) == "bore"


def test_15l_read_at_its_hole_stays_in_question() -> None:
    answer = asked(od="21.85 mm", pitch="1.5", male="yes", chamfer="yes", bore="12 mm")
    assert answer.candidates[0].end.id == "cone24-15L-male"
    assert "bore 12.0 mm: the hole behind the mouth here, tube 15 mm" in answer.candidates[0].agrees


@pytest.mark.parametrize(("id_", "tpi", "bore"), [("17.5 mm", "16", "9.5 mm"), ("17.5 mm", "16", "10 mm"), ("20.5 mm", "14", "12.5 mm"), ("9.9 mm", "20", "4.5 mm")])
def test_the_bore_of_a_hose_end_tells_no_flare_from_another(id_: str, tpi: str, bore: str) -> None:
    """3/4-16, 7/8-14 and 7/16-20 are 37° (SAE J514) and 45° (SAE J512); a nipple's bore is neither tube."""
    typed = {"id": id_, "tpi": tpi, "swivel": "yes", "nose": "seat"}
    assert not asked(**typed, bore=bore).clear
    with_seat = asked(**typed, bore=bore, seat="45")
    assert with_seat.candidates[0].end.family == "sae45"


def test_a_bore_answered_twice_is_not_asked_a_third_time() -> None:
    talk = Interview(read_readings({"od": "17.85 mm", "pitch": "1.5", "male": "yes", "chamfer": "yes", "nose": "plain", "straight": "yes"}).readings)
    asked_for = []
    while talk.question is not None and talk.count < 12:
        asked_for.append(talk.question.reading)
        talk.answer("10 mm" if talk.question.reading == "tube_bore_mm" else "?")
    assert asked_for.count("tube_bore_mm") == 2 and not talk.clear


@pytest.mark.parametrize(("said", "size"), [("the mouth", "10S"), ("wide step", "10S"), ("12.1 mm", "12L"), ("the hole behind it", "12L")])
def test_who_is_asked_where_the_bore_was_read_says_so(said: str, size: str) -> None:
    """10S has a tube of 10 mm, 12L a hole of 10 mm behind its socket of 12 (ISO 8434-1; a catalogue of tube fittings)."""
    talk = Interview(read_readings({"od": "17.85 mm", "pitch": "1.5", "male": "yes", "chamfer": "yes", "bore": "10 mm"}).readings)
    assert talk.question is not None and talk.question.reading == "tube_bore_mm"
    talk.answer(said)
    assert talk.result.candidates[0].end.size == size


@pytest.mark.parametrize(("od", "id_"), [("23.55 mm", "iso7241b-1/2-tip"), ("20.5 mm", "iso7241a-1/2-tip"), ("11.8 mm", "iso7241a-1/4-tip")])
def test_a_coupler_without_a_thread_is_neither_male_nor_female(od: str, id_: str) -> None:
    """Tips of ISO 7241: 23.5 mm (B 1/2), 20.5 mm (A 1/2), 11.8 mm (A 1/4); a tip has no thread, so "none" is true of it."""
    talk = Interview()
    says = {"sex": "none", "od_mm": od, "nose": "coupler"}
    while talk.question is not None and talk.count < 12:
        talk.answer(says.get(talk.question.reading, "?"))
    assert talk.result.candidates[0].end.id == id_ and talk.result.candidates[0].kind_share > talk.result.none_share
    for sex in ("none", "male"):
        row = read_batch(["od,nose,sex", f"{od},coupler,{sex}"])[0].answer
        assert row is not None and row.candidates[0].end.id == id_ and not row.candidates[0].differs


@pytest.mark.parametrize(("typed", "abroad", "home"), [
    # 1/4 and 3/8 pipe: 18 per inch by ASME B1.20.1, 19 by ISO 7-1, at diameters that overlap along the tapers
    ({"od": "13.0 mm", "tpi": "18"}, "Japan", "USA"), ({"od": "13.0 mm", "tpi": "18"}, "Italy", "USA"), ({"od": "16.9 mm", "tpi": "19"}, "USA", "Japan")])
def test_the_leaf_beside_the_right_one_is_counted(typed: dict[str, str], abroad: str, home: str) -> None:
    pipe = {**typed, "male": "yes", "taper": "yes"}
    for unsure in (asked(**pipe), asked(**pipe, country=abroad)):
        assert not unsure.clear and unsure.ask_next is not None
        # ten threads: 254 / 18 = 14.1 mm, 254 / 19 = 13.4 mm
        assert next_of(unsure) == "marking" or {split.answer for split in unsure.ask_next.splits} == {"14.1 mm", "13.4 mm"}
    assert asked(**pipe, country=home).clear
    counted = {"18": "10 in 14.1 mm", "19": "10 in 13.4 mm"}[typed["tpi"]]
    found = asked(od=typed["od"], male="yes", taper="yes", pitch=counted)
    assert found.candidates[0].end.family == {"18": "npt", "19": "bspt"}[typed["tpi"]] and found.candidates[0].share > 0.9


def test_who_cannot_count_is_asked_where_it_was_built() -> None:
    talk = Interview(read_readings({"od": "13.0 mm", "tpi": "18", "male": "yes", "taper": "yes"}).readings)
    talk.answer("?")
    assert talk.question is not None and talk.question.reading == "country"
    talk.answer("USA")
    assert talk.clear and talk.result.candidates[0].end.id == "npt-1/4-male"


@pytest.mark.parametrize("typed", [
    # NPSM and NPSH (ASME B1.20.1, B1.20.7) are straight pipe threads of 18, 14 and 11.5 per inch, about as wide as NPT (from memory)
    {"od": "32.9 mm", "tpi": "11.5"}, {"od": "47.7 mm", "tpi": "11.5"}, {"od": "13.45 mm", "tpi": "18"}, {"od": "16.9 mm", "tpi": "18"}])
def test_a_taper_thread_is_looked_at_along_its_crests(typed: dict[str, str]) -> None:
    answer = asked(**typed, male="yes", country="USA")
    assert answer.candidates[0].end.family == "npt" and not answer.clear and next_of(answer) == "taper"
    straight = asked(**typed, male="yes", country="USA", straight="yes")
    assert not straight.clear or straight.none_share > 0.9
    assert any("NPS" in of.say for of, _ in straight.strangers)
    assert asked(**typed, male="yes", country="USA", taper="yes").clear


@pytest.mark.parametrize(("typed", "asks"), [
    # 1-12 and 1-14 are filter nipples, 1-18 a compression body (from memory); G1/2 is 18.63 to 19.17 mm inside (ISO 228-1), ORFS -8 has 13/16-16
    ({"od": "25.2 mm", "male": "yes", "nose": "plain"}, "pitch"), ({"id": "19.0 mm", "nose": "flat", "swivel": "yes"}, "pitch"),
    ({"id": "18.8 mm", "nose": "flat", "tpi": "14", "straight": "yes"}, "swivel"), ({"od": "50.4 mm", "male": "yes"}, "nose")])
def test_no_thread_is_named_by_its_diameter_alone(typed: dict[str, str], asks: str) -> None:
    answer = asked(**typed)
    assert not answer.clear and next_of(answer) == asks


@pytest.mark.parametrize(("typed", "says"), [
    # threads from memory
    ({"od": "25.2 mm", "male": "yes", "nose": "plain", "tpi": "12"}, "spin-on filter"), ({"od": "50.4 mm", "male": "yes", "tpi": "9"}, "fire hose"),
    ({"id": "16.5 mm", "pitch": "1.5", "swivel": "yes", "nose": "cone", "seat": "60"}, "DIN 7631"), ({"od": "21.7 mm", "tpi": "14", "male": "yes", "nose": "flat", "country": "Germany"}, "gas bottle"),
    ({"id": "18.8 mm", "tpi": "14", "nose": "flat", "swivel": "yes", "straight": "yes"}, "flat washer"), ({"od": "13.9 mm", "pitch": "1.25", "male": "yes"}, "spark plug"),
    ({"od": "19.85 mm", "pitch": "1.5", "male": "yes", "nose": "plain", "no_chamfer": "yes", "country": "Germany"}, "pressure gauge"),
    ({"od": "11.9 mm", "pitch": "1.25", "male": "yes"}, "bolt"), ({"id": "13.0 mm", "tpi": "18", "swivel": "yes", "nose": "cone", "country": "USA"}, "welding-gas")])
def test_what_lies_beside_our_ends_is_named(typed: dict[str, str], says: str) -> None:
    answer = asked(**typed)
    assert says in " ".join(of.say for of, share in answer.strangers if share > 0.02)
    assert not answer.clear or answer.none_share > 0.9


@pytest.mark.parametrize("marking", ["LH", "G3/8 LH", "left hand", "left-hand", "links", "Linksgewinde", "gauche", "sinistro", "izquierda"])
def test_a_left_hand_thread_is_none_of_ours(marking: str) -> None:
    """No end of the tables is left-handed; fuel gas has left-hand threads (from memory)."""
    answer = asked(od="16.55 mm", tpi="19", male="yes", marking=marking)
    assert answer.none_share > 0.9 and any("left-hand" in note for note in answer.notes)


def test_a_mark_of_the_light_series_is_not_left_handed() -> None:
    assert asked(od="21.9 mm", pitch="1.5", male="yes", marking="15L").candidates[0].end.id == "cone24-15L-male"


def test_a_washer_lies_on_a_flat_face() -> None:
    """A washer never sits in the chamfer of an O-ring port (ISO 6149-1); ISO 9974 seals on the flat face."""
    answer = asked(od="13.85 mm", pitch="1.5", male="yes", nose="washer")
    assert any("washer lies on a flat face: taken as flat" in note for note in answer.notes)
    share = {each.end.id: each.kind_share for each in answer.candidates}
    assert share["iso9974-M14x1.5-stud"] > 3 * share.get("iso6149-M14x1.5-stud", 0.0) and not answer.clear


@pytest.mark.parametrize(("yes", "no"), [("ja", "nein"), ("si", "no"), ("oui", "non"), ("sí", "no")])
def test_a_cell_says_yes_in_other_tongues(yes: str, no: str) -> None:
    rows = read_batch(["id,tpi,swivel,straight,nose", f"17.5 mm,16,{yes},{yes},seat", f"17.5 mm,16,{no},{yes},plain"])
    assert [row.answer.readings.turns for row in rows if row.answer] == [True, False]


@pytest.mark.parametrize("od", ["27 mm", "32 mm"])
def test_a_quick_coupler_is_asked_for_no_mark_and_is_no_cover_of_a_hose(od: str) -> None:
    answer = asked(od=od, nose="coupler")
    assert next_of(answer) not in ("marking", "country") and "hose-cover" not in {slip.code for slip in answer.slips}


@pytest.mark.parametrize("typed", [{"od": "12.6 mm", "tpi": "20"}, {"od": "14.15 mm", "tpi": "18"}, {"od": "13.9 mm", "pitch": "1.5"}, {"od": "18.95 mm", "tpi": "16"}])
def test_what_is_solid_may_be_a_bolt(typed: dict[str, str]) -> None:
    """1/2-20, 9/16-18, 3/4-16 and M14x1.5 are bolts as well as studs (from memory); a bolt has no hole through it, a stud has, save a plug."""
    looks = {**typed, "male": "yes", "nose": "flat", "fixed": "yes", "straight": "yes", "no_chamfer": "yes"}
    assert next_of(asked(**looks)) == "hole"
    solid, bored = asked(**looks, solid="yes"), asked(**looks, hole="yes")
    assert "bolt" in solid.strangers[0][0].say and solid.none_share > 0.6
    assert not any("bolt" in of.say and share > 0.2 for of, share in bored.strangers)
