"""What people type: the table of habits, and the laws that every text keeps."""

import csv
from collections.abc import Callable
from pathlib import Path

import pytest
from budget import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.ends import End, all_ends, families, family
from fittings.notation import BadText, Reading, read_end, read_family, read_pair, read_part
from fittings.notation.pieces import cut
from fittings.notation.words import LONGEST_TEXT, fold, groups, shapes
from fittings.parts import Part, all_parts, find
from fittings.tables import table

HERE = Path(__file__).parent
PLACES = ("loose", "port", "part", "any")
READERS: dict[str, Callable[[str], object]] = {
    "end": read_end, "port": lambda text: read_end(text, place="port"), "part": read_part, "pair": read_pair,
    "family": read_family,
}

with (HERE / "authorities" / "notation_habits.csv").open(encoding="utf-8", newline="") as opened:
    HABITS = list(csv.DictReader(opened))


def answer(row: dict[str, str]) -> tuple[str, BadText | None]:
    """What is read from a row of the table, in the spelling of its `expect` column, and the error if there is one."""
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
    read, error = answer(row)
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
    assert len({(row["typed"], row["read_as"], row["place"]) for row in HABITS}) == len(HABITS) == 358
    for row in HABITS:
        assert row["evidence"] in ("seen", "common practice, no source")
        assert set(row["among"].split()) <= ids
        expected = row["expect"].split(" [")[0].replace(" > ", " + ").split(" + ")
        kinds = {"not understood", "ambiguous", "not covered"} | ids
        assert set(expected) <= (set(families()) if row["read_as"] == "family" else set()) | kinds


def test_every_family_has_a_habit_of_its_own() -> None:
    named = {end.split("-")[0] for row in HABITS for end in f"{row['expect']} {row['among']}".split()}
    assert not set(families()) - named


@pytest.mark.parametrize("place", PLACES)
def test_every_end_is_read_from_its_words_and_from_its_id(place: str) -> None:
    wrong = [(each.id, text) for each in all_ends() for text in (each.say, each.id)
             if read_end(text, place=place).end != each]
    assert not wrong


def test_words_and_id_of_an_end_leave_nothing_to_be_taken() -> None:
    assert not [(each.say, read_end(text).taken) for each in all_ends() for text in (each.say, each.id) if read_end(text).taken]


def _lost(part: Part) -> bool:
    try:
        read = read_part(part.say)
    except BadText:
        return True
    return part not in find(read.ends, read.shape or None)


def test_every_part_is_found_by_its_own_words() -> None:
    assert not [part.say for part in all_parts() if _lost(part)]


ENDS = st.sampled_from(all_ends())
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


@settings(max_examples=examples(200), deadline=None)
@given(end=ENDS, data=st.data())
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


@pytest.mark.parametrize("row", table("words"), ids=lambda row: row["word"])
def test_each_word_of_the_table_is_heard_whole(row: dict[str, str]) -> None:
    """A word that the cutter would split, or take for a size, would lie in the table for nothing."""
    pieces = [piece for side in [cut(row["word"]).pieces] for piece in side]
    assert all(piece.word or piece.size for piece in pieces)


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
    for group in groups().values():
        assert set(group.families) <= set(families()), group.key
    for row in table("words-usual"):
        first, *rest = row["take"].split()
        assert row["text"] or first != "ask", row["said"]
        named = {each.split(":")[0] for each in rest} if first == "ask" else {first}
        assert named <= set(families()), row["said"]


def test_no_word_stands_in_the_table_twice() -> None:
    spelled = [fold(row["word"]).text.strip() for row in table("words")]
    assert not {each for each in spelled if spelled.count(each) > 1}


@pytest.mark.parametrize("reader", READERS)
def test_long_texts_are_refused_by_their_length(reader: str) -> None:
    """Nobody types 200 characters for one end: a page pasted by mistake is told so."""
    with pytest.raises(BadText) as caught:
        READERS[reader]("JIC -8 male " * 20)
    assert caught.value.kind == "not understood"
    assert len(caught.value.typed) <= LONGEST_TEXT + 1
    assert len(caught.value.text) < 2 * LONGEST_TEXT


@pytest.mark.parametrize(("typed", "words"), [
    ("JIC -6 female", "the usual female turns"), ("BSPP 1/2", "say “male”"), ("1/2 JIC", "1/2 is read as its tube"),
    ("8MP", "-8 is read in sixteenths of an inch"), ("JIC -8 male", ""), ("9/16-18 o-ring boss", "9/16-18 is the thread of ORB -6"), ("PT 1/2 male", "never NPT"),
])
def test_what_was_left_out_is_said(typed: str, words: str) -> None:
    taken = read_end(typed).taken
    assert words in taken
    assert bool(taken) == bool(words)
