"""What people type: the tables of what was typed, the questions that are asked back, and the laws that every text keeps."""

import csv
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from budget import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.ends import End, all_ends, families, family, sizes
from fittings.notation import Ambiguous, BadText, NotUnderstood, Reading, read_end, read_family, read_pair, read_part
from fittings.notation.pieces import cut
from fittings.notation.words import LONGEST_TEXT, fold, groups, phrase_at, shapes
from fittings.parts import all_parts, find
from fittings.tables import table

AUTHORITIES = Path(__file__).parent / "authorities"
ALL_ENDS = all_ends()
PLACES = ("loose", "port", "part", "any")
READERS: dict[str, Callable[[str], object]] = {
    "end": read_end, "port": lambda text: read_end(text, place="port"), "part": read_part, "pair": read_pair,
    "family": read_family,
}


def _rows(name: str) -> list[dict[str, str]]:
    with (AUTHORITIES / name).open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


HABITS = _rows("notation_habits.csv")
TYPED = _rows("notation_typed.csv")
"""Two tables written by two hands: what was typed, where, and what an experienced hand makes of it; each row says whether
the text was seen or is common practice, no source."""


def _answer(row: dict[str, str]) -> tuple[str, BadText | None]:
    """What is read from a row of the first table, in the spelling of its `expect` column, and the error if there is one."""
    typed = row["typed"]
    try:
        if row["read_as"] == "end":
            return read_end(typed, place=row["place"]).end.id, None
        if row["read_as"] == "pair":
            return " > ".join(each.end.id for each in read_pair(typed, place=row["place"])), None
        if row["read_as"] == "family":
            return read_family(typed), None
        part = read_part(typed)
        ends = " + ".join(each.id for each in part.ends)
        return f"{ends} [{part.shape}]" if row["expect"].endswith("]") else ends, None
    except BadText as error:
        return error.kind, error


@pytest.mark.parametrize("row", HABITS, ids=lambda row: f"{row['read_as']}:{row['typed']}:{row['place']}")
def test_habit(row: dict[str, str]) -> None:
    """Each way of typing that was seen, or is common, gives the end that the table names or the question it asks."""
    read, error = _answer(row)
    assert read == row["expect"], str(error)
    if error is None:
        return
    offered = {each.id for each in error.candidates}
    assert set(row["among"].split()) <= offered
    assert row["asks"].casefold() in f"{error.ask} {error.text}".casefold()
    if error.kind == "ambiguous":
        assert error.ask


def test_table_of_habits_is_whole() -> None:
    """A row is not lost unseen: its evidence is named (`seen` only where the very text stands on a page that was read), what
    it expects exists, no question is asked twice."""
    ids = {each.id for each in all_ends()}
    assert len({(row["typed"], row["read_as"], row["place"]) for row in HABITS}) == len(HABITS) == 378
    for row in HABITS:
        assert row["evidence"] in ("seen", "common practice, no source")
        assert set(row["among"].split()) <= ids
        expected = row["expect"].split(" [")[0].replace(" > ", " + ").split(" + ")
        kinds = {"not understood", "ambiguous", "not covered"} | ids
        assert set(expected) <= (set(families()) if row["read_as"] == "family" else set()) | kinds


def test_every_family_has_a_habit_of_its_own() -> None:
    named = {end.split("-")[0] for row in HABITS for end in f"{row['expect']} {row['among']}".split()}
    assert not set(families()) - named


def _read(typed: str, read_as: str) -> tuple[str, set[str]]:
    """What a text was read as, in the spelling of the table, and the candidates that were offered."""
    try:
        if read_as == "pair":
            return " ".join(each.end.id for each in read_pair(typed)), set()
        if read_as == "part":
            part = read_part(typed)
            return " ".join([part.shape or "-", *(each.id for each in part.ends)]), set()
        return read_end(typed, place="loose" if read_as == "end" else read_as).end.id, set()
    except BadText as error:
        return error.kind, {each.id for each in error.candidates}


@pytest.mark.parametrize("row", TYPED, ids=lambda row: f"{row['read_as']}: {row['typed']}")
def test_as_people_type_it(row: dict[str, str]) -> None:
    got, offered = _read(row["typed"], row["read_as"])
    assert got == row["expected"]
    assert set(row["offers"].split()) <= offered


@pytest.mark.parametrize(("typed", "asked"), [
    # what an experienced hand asks back: common practice, no source
    ("3/4 JIC", ("tube", "-12", "3/4-16", "-8")),
    ("-6 AN female", ("hole", "nut")),
    ("9/16-18", ("37° cone", "ring under the hex", "flat face")),
    ("3/4-16", ("37° cone", "ring under the hex", "45° cone")),
    ("1-1/16", ("threads per inch", "12", "14", "16")),
    ("SAE 8", ("ring", "37°", "45°")),
    ("1/2 NPTF", ("female",)),
    ("1/2 NPTM", ("taper male", "NPSM")),
    ("metric", ("pitch", "outside diameter")),
    ("M22x1.5", ("outside diameter of the tube", "ring", "cone")),
    ("M16", ("pitch",)),
    ("M30x2", ("22L", "20S", "outside")),
    ("BSP 3/8", ("Parallel", "taper")),
    ("G 1/2 taper", ("parallel", "taper", "washer")),
    ("flat face 1/2", ("coupler", "ORFS")),
    ("3/8 pipe", ("18", "19")),
    ("3/8", ("pipe", "tube", "hose")),
    ("14 bsp", ("1/4", "threads per inch")),
    ("90 swivel", ("assembly only", "live swivel")),
    ("5/8 on steering", ("threads per inch", "tube")),
    ("19 mm nut", ("across the threads",)),
    ("flare 3/8", ("37°", "45°")),
    ("1/4 PT", ("Male or female",)),
    ("FSX -8", ("differs",)),
    ("JIC -7 male", ("-6", "-8")),
    ("ORFFS -6", ("ORFS",)),
    ("nptt", ("NPT",)),
    ("M18x1.5 15L", ("12L", "15L", "M22x1.5")),
    ("1\" flange", ("code 61", "code 62")),
])
def test_the_question_that_is_asked_back(typed: str, asked: tuple[str, ...]) -> None:
    with pytest.raises(BadText) as caught:
        read_end(typed)
    assert caught.value.ask
    for word in asked:
        assert word in caught.value.ask


def test_contradictions_name_both_sides() -> None:
    for typed, named in (("JIC npt", ("JIC", "NPT")), ("M18x1.5 15L", ("M18x1.5", "15L")), ("JIC -8 -6", ("-8", "-6"))):
        with pytest.raises(NotUnderstood) as caught:
            read_end(typed)
        for word in named:
            assert word in caught.value.text


@pytest.mark.parametrize(("typed", "words"), [
    ("JIC -6 female", "the usual female turns"), ("BSPP 1/2", "say “male”"), ("1/2 JIC", "1/2 is read as its tube"),
    ("8MP", "-8 is read in sixteenths of an inch"), ("JIC -8 male", ""), ("9/16-18 o-ring boss", "9/16-18 is the thread of ORB -6"), ("PT 1/2 male", "never NPT"),
])
def test_what_was_left_out_is_said(typed: str, words: str) -> None:
    taken = read_end(typed).taken
    assert words in taken
    assert bool(taken) == bool(words)


def _advised() -> list[tuple[str, str, str]]:
    """Every advice “say …” that a reading gives, over the table and over bare families and sizes."""
    typed = {row["typed"] for row in TYPED if row["read_as"] in ("end", "port")}
    for key in families():
        nick = next(iter(each.say.partition(f" {each.size}")[0] for each in ALL_ENDS if each.family == key))
        typed |= {f"{nick} {size} {sex}".strip() for size in sizes(key)[:9] for sex in ("", "male", "female")}
    found = []
    for place in ("loose", "port"):
        for text in sorted(typed):
            try:
                taken = read_end(text, place=place).taken
            except BadText:
                continue
            found += [(text, place, word) for word in re.findall(r"(?:say|,|or) “([^”]+)” if", taken)]
    return found


def test_the_advice_that_is_given_works() -> None:
    """“Taken as ORB -6 port; say “male” if it is the stud”: then “ORB -6 male” is another end, and no question."""
    advised = _advised()
    assert len(advised) > 200
    for text, place, word in advised:
        assert read_end(f"{text} {word}", place=place).end != read_end(text, place=place).end, (text, word)


# Every end and every part is read from its own words.


@pytest.mark.parametrize("place", PLACES)
def test_every_end_is_read_from_its_words_and_from_its_id(place: str) -> None:
    wrong = [(each.id, text) for each in all_ends() for text in (each.say, each.id)
             if read_end(text, place=place).end != each]
    assert not wrong


def test_words_and_id_of_an_end_leave_nothing_to_be_taken() -> None:
    assert not [(each.say, read_end(text).taken) for each in all_ends() for text in (each.say, each.id) if read_end(text).taken]


def test_a_part_is_read_whole_from_its_words_and_from_its_id() -> None:
    """Found again, ends and shape are those of the part, and nothing had to be taken."""
    parts = all_parts()
    assert len(parts) > 3000
    for part in parts:
        reading = read_part(part.say)
        assert (sorted(reading.ends), reading.shape, reading.taken) == (sorted(part.ends), part.shape, ""), part.say
        assert part in find(reading.ends, reading.shape or None), part.say
    for part in parts[::7]:
        reading = read_part(part.id)
        assert (sorted(reading.ends), reading.shape) == (sorted(part.ends), part.shape), part.id


def test_families_and_forms_of_every_end_can_be_left_out_or_are_asked_for() -> None:
    """Family and size alone, at each place: an end of that family and size, or a question that offers it."""
    for each in ALL_ENDS:
        text = f"{family(each.family)['nick']} {each.size}"
        for place in PLACES:
            try:
                got = read_end(text, place=place).end
                assert (got.family, got.size) == (each.family, each.size), text
            except BadText as error:
                assert error.kind == "ambiguous", text
                assert (each.family, each.size) in {(one.family, one.size) for one in error.candidates}, text


def test_two_ends_in_one_text() -> None:
    some = ALL_ENDS[::37]
    for a in some:
        for b in some:
            for link in (" to ", " x ", " × ", " -> "):
                first, second = read_pair(a.id + link + b.id)
                assert (first.end, second.end) == (a, b)
            assert [each.end for each in read_pair(f"{a.say} to {b.say}")] == [a, b]


@settings(max_examples=examples(150), deadline=None)
@given(st.sampled_from(ALL_ENDS), st.sampled_from(PLACES))
def test_words_in_another_order_name_the_same_end(each: End, place: str) -> None:
    family, _, rest = each.say.partition(f" {each.size} ")
    assert read_end(f"{each.size} {family} {rest}", place=place).end == each
    assert read_end(f"{rest} {family} {each.size}", place=place).end == each


# Spelling changes nothing.


@pytest.mark.parametrize("change", [
    str.upper, str.lower, str.swapcase, str.title,
    lambda text: f"  {text}\t", lambda text: text.replace(" ", "   "), lambda text: text.replace(" ", "\u00a0"),
    lambda text: text.replace("-", "–"), lambda text: text.replace("1/2", "½").replace("3/8", "⅜").replace("1/4", "¼"),
    lambda text: text.replace("°", " deg"), lambda text: text.replace(" x ", " × "),
], ids=["upper", "lower", "swapped", "title", "around", "wide", "no-break", "en dash", "fractions", "degrees", "times"])
def test_spelling_does_not_matter(change: Callable[[str], str]) -> None:
    """Case, spaces, fractions and signs in Unicode change nothing, neither the end nor the question."""
    for row in TYPED:
        assert _read(change(row["typed"]), row["read_as"]) == _read(row["typed"], row["read_as"]), row["typed"]
    for each in ALL_ENDS:
        assert read_end(change(each.say)).end == each


@settings(max_examples=examples(200), deadline=None)
@given(end=st.sampled_from(ALL_ENDS), data=st.data())
def test_case_and_spaces_change_nothing(end: End, data: st.DataObject) -> None:
    said = data.draw(st.sampled_from((end.say, end.say.upper(), end.say.lower(), end.say.swapcase())))
    spaced = "".join(data.draw(st.sampled_from((" ", "  ", "\t", "\u00a0"))) if sign == " " else sign for sign in said)
    assert read_end(f" {spaced}\n").end == end
    assert read_end(data.draw(st.sampled_from((end.id.upper(), end.id.lower())))).end == end


FRACTIONS = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞"}


@pytest.mark.parametrize("plain", FRACTIONS)
def test_fraction_signs_are_fractions(plain: str) -> None:
    """A sign, and a whole number before it with or without a space, read as the fraction written out."""
    for end in all_ends():
        if end.size in (plain, f"1-{plain}") and family(end.family)["size_kind"] == "pipe":
            sign = end.size.replace(f"-{plain}", FRACTIONS[plain]).replace(plain, FRACTIONS[plain])
            for text in (sign, sign.replace("1" + FRACTIONS[plain], f"1 {FRACTIONS[plain]}"), f"{sign}”"):
                assert read_end(end.say.replace(end.size, text)).end == end


@pytest.mark.parametrize(("typed", "same"), [
    ("JIC –8 male", "JIC -8 male"), ("M22×1,5 iso6149 port", "M22x1.5 iso6149 port"), ("1/2” NPT male", '1/2" NPT male'),
    ("G1⁄2 male", "G1/2 male"), ("MÂLE JIC -6", "male JIC -6"), ("¾–16 ORB", "3/4-16 ORB"),
])
def test_signs_of_print_are_signs_of_the_keyboard(typed: str, same: str) -> None:
    assert read_end(typed).end == read_end(same).end


# No text crashes a reader.


WORDS = [row["word"] for row in table("words")]
SIZES = ["-6", "-8", "6", "1/2", "1-1/16", "9/16-18", "M22x1.5", "22 x 1,5", "M16", "15L", "L12", "DN12", "12 mm", "7/8 x 14", "½", "0", "-0",
         "1/0", "99999999999", "1.5.5", "3/", "M0", "x", "×", "to", "(", "°", "\""]
MADE_UP = st.lists(st.sampled_from(WORDS) | st.sampled_from(SIZES), min_size=1, max_size=6).map(" ".join)
RUN_TOGETHER = st.lists(st.sampled_from(WORDS) | st.sampled_from(SIZES), min_size=1, max_size=4).map("".join)
ANY_TEXT = st.text(max_size=250) | MADE_UP | RUN_TOGETHER


@pytest.mark.parametrize("reader", READERS)
@settings(max_examples=examples(150), deadline=None)
@given(text=ANY_TEXT)
def test_any_text_is_read_or_refused_with_words(reader: str, text: str) -> None:
    """No text crashes a reader, and every refusal says on one line what was wrong, and a question where one is due."""
    try:
        read = READERS[reader](text)
    except BadText as error:
        assert error.kind in ("not understood", "ambiguous", "not covered")
        assert error.text and "\n" not in error.text
        assert error.ask or error.kind != "ambiguous"
        assert all(isinstance(each, End) for each in error.candidates)
        assert len(error.candidates) == len(set(error.candidates))
    else:
        assert isinstance(read, Reading | tuple | str)


@pytest.mark.parametrize("reader", READERS)
def test_long_texts_are_refused_by_their_length(reader: str) -> None:
    """Nobody types 200 characters for one end: a page pasted by mistake is told so."""
    with pytest.raises(BadText) as caught:
        READERS[reader]("JIC -8 male " * 20)
    assert caught.value.kind == "not understood"
    assert len(caught.value.typed) <= LONGEST_TEXT + 1
    assert len(caught.value.text) < 2 * LONGEST_TEXT


@pytest.mark.parametrize("read", [read_end, read_pair, read_part, read_family])
def test_no_text_is_not_understood(read: Callable[[str], object]) -> None:
    for text in ("", "   ", "\n", "-", "…", "()"):
        with pytest.raises(NotUnderstood):
            read(text)


# Families by name.


@pytest.mark.parametrize(("typed", "key"), [
    ("npt", "npt"), ("NPT", "npt"), ("ORB", "orb"), ("O-ring boss", "orb"), ("o ring boss", "orb"), ("JIC", "jic"), ("37° flare", "jic"),
    ("BSPP", "bspp"), ("bsp60", "bsp60"), ("BSP 60° cone", "bsp60"), ("24° cone", "cone24"), ("cone24", "cone24"), ("face seal", "orfs"),
    ("code 61", "code61"), ("ISO 7241-A", "iso7241a"), ("iso7241a", "iso7241a"), ("inverted flare", "invflare"), ("PT", "bspt"),
    ("DIN 2353", "cone24"), ("hose", "hose"), ("metric 30° flare", "metric30"), ("SAE 45° flare", "sae45"), ("BPP", "bspp"),
])
def test_families_by_name(typed: str, key: str) -> None:
    assert read_family(typed) == key


@pytest.mark.parametrize("typed", ["BSP", "SAE", "flare", "flange", "coupler", "pipe", "metric"])
def test_names_of_several_families_are_asked_back(typed: str) -> None:
    with pytest.raises(Ambiguous):
        read_family(typed)


@pytest.mark.parametrize("typed", ["nptt", "JIC -6", "male", "wobble", "90"])
def test_what_is_no_family(typed: str) -> None:
    with pytest.raises(NotUnderstood):
        read_family(typed)


@pytest.mark.parametrize("key", families())
def test_every_family_key_and_every_bare_id_word_is_a_family(key: str) -> None:
    assert read_family(key) == read_family(key.upper()) == key


# The tables of words: nothing in them is idle or points nowhere.


def test_each_word_of_the_table_is_heard_whole() -> None:
    """A word that the cutter would split, or take for a size, would lie in the table for nothing."""
    for row in table("words"):
        assert all(piece.word or piece.size for piece in cut(row["word"]).pieces), row["word"]


# The tables of words: nothing in them is idle or points nowhere.

def test_every_word_is_found_where_it_stands() -> None:
    for row in table("words"):
        folded = fold(row["word"]).text.strip()
        found = phrase_at(folded, 0)
        assert found is not None, row["word"]
        assert not folded[found.stop:].strip(" .)°"), row["word"]
        assert (found.word.kind, found.word.value) == (row["kind"], row["value"]), row["word"]


def test_no_word_stands_in_the_table_twice() -> None:
    spelled = [fold(row["word"]).text.strip() for row in table("words")]
    assert not {each for each in spelled if spelled.count(each) > 1}


def test_every_word_is_understood_beside_a_whole_end() -> None:
    """Beside other words a word may contradict, ask or not be covered; unknown it never is."""
    for row in table("words"):
        for text in (row["word"], f"JIC -8 male {row['word']}", f"{row['word']} 1/2 NPT"):
            try:
                read_end(text)
            except BadText as error:
                assert "not a word we know" not in error.text, text
                assert "is no size" not in error.text or error.candidates or error.ask, text


def test_words_point_at_what_there_is() -> None:
    """Each family, form, shape and question that a word names stands in the tables."""
    forms = {row["form"] for row in table("forms")}
    asked = {row["said"] for row in table("words-usual")}
    for row in table("words"):
        if row["kind"] in ("family", "short"):
            assert row["value"] in groups(), row["word"]
        if row["kind"] == "form":
            assert set(row["value"].split()) <= forms, row["word"]
        if row["kind"] == "shape":
            assert row["value"] in shapes(), row["word"]
        if row["kind"] == "ask":
            assert row["value"] in asked, row["word"]


def test_groups_name_families_and_are_used() -> None:
    used = {row["value"] for row in table("words") if row["kind"] in ("family", "short")}
    for key, group in groups().items():
        assert set(group.families) <= set(families()), key
        assert key in used or key in families() or key.startswith("bare-"), key
    for key in families():
        assert key in groups()[key].families
        assert groups()[key].tell  # the question that is composed needs it


def test_what_is_usual_is_an_end_and_is_reachable() -> None:
    made = {(each.family, each.form) for each in ALL_ENDS}
    asks = {value for row in table("words") for kind, value in
            [(row["kind"], row["value"]), *(part.split(" ", 1) for part in row["also"].split("; ") if part)] if kind in ("ask", "alone")}
    others = {"thread-metric", "thread-metric-bare", "elbow-swivel", *asks}
    for row in table("words-usual"):
        said = row["said"].split()
        assert row["said"] in others or set(said) <= set(groups()) | {form for _, form in made}, row["said"]
        first, *rest = row["take"].split()
        if first == "ask":
            assert row["text"], row["said"]
            assert all(tuple(each.split(":")) in made or each in families() for each in rest), row["said"]
        else:
            assert (first, *rest) in made, row["said"]
    for row in table("words-rare"):
        assert set(row["sizes"].split()) <= set(sizes(row["family"])), row["family"]
