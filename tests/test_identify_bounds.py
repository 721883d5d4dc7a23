"""Readings at the edge of what is heard, and densities that must come to one."""

import pytest

from fittings.identify.likelihood import bore_density
from fittings.identify.readings import Readings, pitches_apart, read_readings, read_word
from fittings.identify.shares import shares
from fittings.identify.strangers import strangers


@pytest.mark.parametrize("typed", ["calliper", "caliper", "Callipers", "rule", "ruler"])
def test_an_instrument_that_our_tables_hold_needs_no_word(typed: str) -> None:
    """The British calliper and the rule of the shop are no other instruments."""
    taken = read_readings({"od": "13.8 mm", "instrument": typed})
    assert taken.readings.instrument == ("ruler" if typed.startswith("rule") else "caliper")
    assert not [note for note in taken.notes if "taken as" in note]


def test_another_instrument_is_taken_as_one_of_ours_and_told() -> None:
    assert [note for note in read_readings({"od": "13.8 mm", "instrument": "vernier"}).notes if note.startswith("vernier taken as caliper")]


@pytest.mark.parametrize("article", ["the ", "a ", "an ", ""])
def test_an_article_before_a_word_is_nothing(article: str) -> None:
    assert read_word("nose", f"{article}o-ring under the hex") == "o-ring-at-hex"


@pytest.mark.parametrize(("pitch_mm", "tpi", "apart"), [
    (1.5, 18, 0.063), (1.41, 18, 0.0), (1.41, 16, 0.112), (1.5, None, 0.0), (None, 18, 0.0)])
def test_how_far_two_pitches_contradict(pitch_mm: float | None, tpi: float | None, apart: float) -> None:
    """By hand: 1.5 × 18 / 25.4 = 1.063; 1.41 × 18 / 25.4 = 0.999, which is one pitch; 1.41 × 16 / 25.4 = 0.888."""
    assert pitches_apart(pitch_mm, tpi) == pytest.approx(apart, abs=5e-4)


@pytest.mark.parametrize("bores", [1, 2])
def test_bores_share_one_density(bores: int) -> None:
    """Whatever the number of bores, the density over all readings comes to one."""
    some = [each for each in strangers() if len(each.bores_mm) == bores and min(each.bores_mm) > 5]
    assert some
    for of in some[:3]:
        low = min(of.bores_mm) - 4
        assert sum(bore_density(low + step / 100, of, 0.15) / 100 for step in range(1500)) == pytest.approx(1, abs=0.005), of.say


def test_strangers_are_told_the_likeliest_first() -> None:
    """With nothing but a gender many are left."""
    told = list(shares(Readings(sex="male")).strangers.values())
    assert len(told) > 3 and told == sorted(told, reverse=True) and told[0] > told[-1]
