"""More of what people type, and laws beyond those of `test_notation`: spelling, order, two ends in one text, advice that
works, the questions of an experienced hand, and tables of words in which nothing is idle."""

import csv
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from budget import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.ends import End, all_ends, families, sizes
from fittings.ends import family as family_row
from fittings.notation import (
    Ambiguous,
    BadText,
    NotUnderstood,
    read_end,
    read_family,
    read_pair,
    read_part,
)
from fittings.notation.words import fold, groups, phrase_at
from fittings.parts import all_parts
from fittings.tables import table

HERE = Path(__file__).parent
ENDS = all_ends()
PLACES = ("loose", "port", "part", "any")


@cache
def _habits() -> list[dict[str, str]]:
    """Texts as people type them and what an experienced hand makes of them; `from` says whether a text was met or is
    common practice, no source. `offers` are the ends that must be among the candidates."""
    with open(HERE / "authorities" / "notation_typed.csv", newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


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


@pytest.mark.parametrize("row", _habits(), ids=lambda row: f"{row['read_as']}: {row['typed']}")
def test_as_people_type_it(row: dict[str, str]) -> None:
    got, offered = _read(row["typed"], row["read_as"])
    assert got == row["expected"]
    assert set(row["offers"].split()) <= offered


@pytest.mark.parametrize("change", [
    str.upper, str.lower, str.swapcase, str.title,
    lambda text: f"  {text}\t", lambda text: text.replace(" ", "   "), lambda text: text.replace(" ", "\u00a0"),
    lambda text: text.replace("-", "–"), lambda text: text.replace("1/2", "½").replace("3/8", "⅜").replace("1/4", "¼"),
    lambda text: text.replace("°", " deg"), lambda text: text.replace(" x ", " × "),
], ids=["upper", "lower", "swapped", "title", "around", "wide", "no-break", "en dash", "fractions", "degrees", "times"])
def test_spelling_does_not_matter(change: Callable[[str], str]) -> None:
    """Case, spaces, fractions and signs in Unicode change nothing, neither the end nor the question."""
    for row in _habits():
        assert _read(change(row["typed"]), row["read_as"]) == _read(row["typed"], row["read_as"]), row["typed"]
    for each in ENDS:
        assert read_end(change(each.say)).end == each


def test_a_part_is_read_whole_from_its_words_and_from_its_id() -> None:
    """Not only found again: ends and shape are those of the part, and nothing had to be taken."""
    parts = all_parts()
    assert len(parts) > 3000
    for part in parts:
        reading = read_part(part.say)
        assert (sorted(reading.ends), reading.shape, reading.taken) == (sorted(part.ends), part.shape, ""), part.say
    for part in parts[::7]:
        reading = read_part(part.id)
        assert (sorted(reading.ends), reading.shape) == (sorted(part.ends), part.shape), part.id


def test_two_ends_in_one_text() -> None:
    some = ENDS[::37]
    for a in some:
        for b in some:
            for link in (" to ", " x ", " × ", " -> "):
                first, second = read_pair(a.id + link + b.id)
                assert (first.end, second.end) == (a, b)
            assert [each.end for each in read_pair(f"{a.say} to {b.say}")] == [a, b]


@settings(max_examples=examples(150), deadline=None)
@given(st.sampled_from(ENDS), st.sampled_from(PLACES))
def test_words_in_another_order_name_the_same_end(each: End, place: str) -> None:
    family, _, rest = each.say.partition(f" {each.size} ")
    assert read_end(f"{each.size} {family} {rest}", place=place).end == each
    assert read_end(f"{rest} {family} {each.size}", place=place).end == each


@pytest.mark.parametrize("read", [read_end, read_pair, read_part, read_family])
def test_no_text_is_not_understood(read: Callable[[str], object]) -> None:
    for text in ("", "   ", "\n", "-", "…", "()"):
        with pytest.raises(NotUnderstood):
            read(text)


def _advised() -> list[tuple[str, str, str]]:
    """Every advice “say …” that a reading gives, over the table and over bare families and sizes."""
    typed = {row["typed"] for row in _habits() if row["read_as"] in ("end", "port")}
    for family in families():
        nick = next(iter(each.say.partition(f" {each.size}")[0] for each in ENDS if each.family == family))
        typed |= {f"{nick} {size} {sex}".strip() for size in sizes(family)[:9] for sex in ("", "male", "female")}
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

def test_every_word_is_found_where_it_stands() -> None:
    for row in table("words"):
        folded = fold(row["word"]).text.strip()
        found = phrase_at(folded, 0)
        assert found is not None, row["word"]
        assert not folded[found.stop:].strip(" .)°"), row["word"]
        assert (found.word.kind, found.word.value) == (row["kind"], row["value"]), row["word"]


def test_every_word_is_understood_beside_a_whole_end() -> None:
    """Beside other words a word may contradict, ask or not be covered; unknown it never is."""
    for row in table("words"):
        for text in (row["word"], f"JIC -8 male {row['word']}", f"{row['word']} 1/2 NPT"):
            try:
                read_end(text)
            except BadText as error:
                assert "not a word we know" not in error.text, text
                assert "is no size" not in error.text or error.candidates or error.ask, text


def test_groups_name_families_and_are_used() -> None:
    used = {row["value"] for row in table("words") if row["kind"] in ("family", "short")}
    for key, group in groups().items():
        assert set(group.families) <= set(families()), key
        assert key in used or key in families() or key.startswith("bare-"), key
    for family in families():
        assert family in groups()[family].families
        assert groups()[family].tell  # the question that is composed needs it


def test_what_is_usual_is_an_end_and_is_reachable() -> None:
    made = {(each.family, each.form) for each in ENDS}
    asks = {value for row in table("words") for kind, value in
            [(row["kind"], row["value"]), *(part.split(" ", 1) for part in row["also"].split("; ") if part)] if kind == "ask"}
    others = {"thread-metric", "thread-metric-bare", "elbow-swivel", *asks}
    for row in table("words-usual"):
        said = row["said"].split()
        assert row["said"] in others or set(said) <= set(groups()) | {"port"}, row["said"]
        first, *rest = row["take"].split()
        if first == "ask":
            assert row["text"], row["said"]
            assert all(tuple(each.split(":")) in made or each in families() for each in rest), row["said"]
        else:
            assert (first, *rest) in made, row["said"]
    for row in table("words-rare"):
        assert set(row["sizes"].split()) <= set(sizes(row["family"])), row["family"]


def test_families_and_forms_of_every_end_can_be_left_out_or_are_asked_for() -> None:
    """Family and size alone, at each place: an end of that family and size, or a question that offers it."""
    for each in ENDS:
        text = f"{family_row(each.family)['nick']} {each.size}"
        for place in PLACES:
            try:
                got = read_end(text, place=place).end
                assert (got.family, got.size) == (each.family, each.size), text
            except BadText as error:
                assert error.kind == "ambiguous", text
                assert (each.family, each.size) in {(one.family, one.size) for one in error.candidates}, text
