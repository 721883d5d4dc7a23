"""Where a reader of sizes and parts begins and ends: the last figure that is still one, the first that is not.

Worked by hand; threads of ISO 261 from memory.
"""

import pytest

from fittings.ends import families, sizes
from fittings.notation import BadText, NotUnderstood, read_end, read_pair, read_part
from fittings.notation.pieces import cut
from fittings.notation.shaping import shaped
from fittings.notation.sizes import Fit, fits, inches_64
from fittings.notation.words import fold, nearest, phrase_at


# 64ths by hand: 3/64 is 3; 199/2 is 99.5 in, 99.5 × 64 = 6368. A hundred inches are no size of anything here.
@pytest.mark.parametrize(("text", "sixty_fourths"), [
    ("3/64", 3), ("1-3/64", 67), ("3/65", None), ("199/2", 6368), ("200/2", None), ("201/2", None), ("1 2/2", None), ("99.5", 6368), ("100", None),
    ("0", None)])
def test_inches_in_64ths_up_to_a_hundred(text: str, sixty_fourths: int | None) -> None:
    assert inches_64(text) == sixty_fourths


@pytest.mark.parametrize(("typed", "says"), [
    # the coarsest pitches of ISO 261, written without the M: M60x5.5, M64x6
    ("64x6.0", "no end in our tables has the thread M64x6"),
    ("60x5.5 stud", "no end in our tables has the thread M60x5.5"),
    # threads counted, though no such thread is known
    ("3/4 x 15 tpi", "no end in our tables has the thread 3/4-15"),
    ("3/4-15 tpi orb", "no end in our tables has the thread 3/4-15"),
    ("3/4 x 80 tpi", "no end in our tables has the thread 3/4-80"),
    # a pitch of more than a third of the diameter is none: 6 × 3 > 10; 2 × 3 = 6 just may be
    ("10x6.0", "“10x6.0” names 2 ends"),
    ("6x2.0", "no end in our tables has the thread M6x2"),
    # threads an inch come whole or in halves (11.5), from 3 to 80
    ("7/8-14.3 orb port", "ORB has no size 14.3"),
    ("3/4-2 orb", "3/4 and -2 are two sizes that do not agree"),
    ("3/4 x 90 tpi", "“3/4 x 90 tpi” names 2 ends"),
    # how a size of the family is written; a bore that other families of its kind are made in
    ("iso6149 15L", "15L is no size of ISO 6149, which is written like M22x1.5"),
    ("cone24 DN13", "DN13 is no size of the 24° cone, which is written like 15L"),
    ("code62 DN 90 pad", "DN90 is no size of code 62"),
    ("iso7241b DN 16 tip", "ISO 7241-B is not made in size DN16, as far as our tables go"),
])
def test_what_is_said_of_a_size_that_is_none(typed: str, says: str) -> None:
    with pytest.raises(BadText) as caught:
        read_end(typed)
    assert caught.value.text.startswith(says), caught.value.text


@pytest.mark.parametrize("word", ["reducer", "expander", "straight", "90", "bulkhead"])
def test_words_that_go_with_any_number_of_ends(word: str) -> None:
    """A tee that reduces still has three ends."""
    assert shaped(("cross", word), "").ends == 4
    if word != "bulkhead":
        assert shaped(("tee", word), "").ends == 3


@pytest.mark.parametrize(("typed", "shape", "ends"), [
    ("run tee jic 8 x orb 8", "tee-run", "jic-8-male orb-8-stud-adj"), ("branch tee jic 8 x orb 8", "tee-branch", "jic-8-male orb-8-stud-adj")])
def test_two_ends_of_a_tee_name_the_third(typed: str, shape: str, ends: str) -> None:
    read = read_part(typed)
    assert read.shape == shape and len(read.ends) == 3
    assert {each.id for each in read.ends} == set(ends.split())


# Signs of print, by their looks: hyphens, dashes and a minus; quotation marks and primes; strokes; an ordinal and a ring above for a
# degree; crosses and stars; a middle dot; the sign for a diameter; arrows; a number sign; wide brackets.
@pytest.mark.parametrize(("signs", "plain"), [
    ("‐‑‒–—−﹣－", "-"), ("“”„″‟", '"'), ("‘’′‚`´", "'"), ("⁄∕", "/"), ("º˚", "°"), ("×✕✖∗*", "x"), ("·", "."), ("∅⌀ø", " "), ("→⇒⟶", " -> "),
    ("№", "#"), ("（", "("), ("）", ")")])
def test_signs_of_print(signs: str, plain: str) -> None:
    for sign in signs:
        assert fold(f"8{sign}9").text == f"8{plain}9", sign


@pytest.mark.parametrize(("text", "word"), [("90° jic", "90°"), ("90 jic", "90"), ("37° flare -6", "37° flare"), ("orb-8", "orb")])
def test_a_degree_sign_belongs_to_its_word(text: str, word: str) -> None:
    found = phrase_at(text, 0)
    assert found is not None and text[:found.stop] == word


@pytest.mark.parametrize(("typed", "id"), [("R1-1/4", "bspt-1-1/4-male"), ("R1 1/4 male", "bspt-1-1/4-male"), ("R1-1/2", "bspt-1-1/2-male")])
def test_r1_before_a_fraction_is_a_thread_and_no_hose(typed: str, id: str) -> None:
    """ISO 7-1: R1-1/4 is a taper male. R1 by itself may be the hose 100R1, and is asked about."""
    assert read_end(typed).end.id == id
    with pytest.raises(BadText) as caught:
        read_end("R1")
    assert caught.value.ask and "hose" in caught.value.ask


def test_a_sign_that_is_several_letters_is_told_as_typed() -> None:
    folded = fold("1½x")
    assert folded.text == "1 1/2 x"
    assert [folded.typed("1½x", place, place + 1) for place in (0, 2, 6)] == ["1", "½", "x"]
    assert folded.typed("1½x", 0, 5) == "1½" and folded.typed("1½x", 3, 3) == ""


@pytest.mark.parametrize(("typed", "part"), [("JIC -8 tee", True), ("JIC -8 union", True), ("wobble -8", False)])
def test_a_part_where_an_end_is_wanted_is_known_for_one(typed: str, part: bool) -> None:
    """So that show can draw it as a part."""
    with pytest.raises(NotUnderstood) as caught:
        read_end(typed)
    assert caught.value.part is part


def test_of_a_text_that_is_too_long_the_first_forty_characters_are_shown() -> None:
    with pytest.raises(NotUnderstood) as caught:
        read_end("0123456789" * 21)
    assert caught.value.typed == "0123456789" * 4 + " …"


@pytest.mark.parametrize(("typed", "id", "word"), [("SAE NPT 1/2 male", "npt-1/2-male", "SAE"), ("JIC -8 male metric", "jic-8-male", "metric")])
def test_a_loose_word_that_does_not_fit_is_told(typed: str, id: str, word: str) -> None:
    """NPT is of ASME, not of SAE; JIC is no metric end: the name of the family counts, and the other word is not swallowed."""
    read = read_end(typed)
    assert (read.end.id, f"“{word}” does not fit and was passed over" in read.taken) == (id, True)


def test_an_x_that_clings_to_the_next_word_parts_two_ends() -> None:
    assert [each.end.id for each in read_pair("JIC -8 male xORB -6 port")] == ["jic-8-male", "orb-6-port"]


@pytest.mark.parametrize("family", families())
def test_every_size_as_its_standard_writes_it_is_named_by_itself(family: str) -> None:
    """Not by its tube, thread or bore."""
    for size in sizes(family):
        assert Fit(size, "") in [fit for piece in cut(size).pieces if piece.size for fit in fits(piece.size, family)], size


def test_the_likeliest_spelling_is_offered_first() -> None:
    """One sign is missing to “oring boss”; “o-ring boss” wants two."""
    assert nearest("oringboss") == ("oring boss", "O-ring boss", "O ring boss")
