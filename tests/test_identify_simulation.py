"""Ends drawn from the standards' limits of size and measured by an imaginary hand (`identify_simulation`), seeded.

The same on a larger scale, with the table of what is taken for what, is `docs/identify-confusion.md`.
"""

import random
from statistics import median

from hypothesis import given
from hypothesis import strategies as st
from identify_simulation import calibration, measured, talks, talks_of_strangers, tally, threaded

from fittings.identify import shares
from fittings.identify.prior import prior, regions, within_region
from fittings.threads import limits, thread


def test_the_true_end_is_kept_by_diameter_and_pitch() -> None:
    found = tally(2, 11, looked=False)
    assert found.kept / found.draws >= 0.995, found.lost


def test_the_true_end_is_first_once_nose_and_taper_are_given() -> None:
    found = tally(2, 12, looked=True)
    assert found.kept / found.draws >= 0.995, found.lost
    assert found.first_or_same / found.draws >= 0.90, found.confused.most_common(8)


def test_the_dialogue_is_short_and_right() -> None:
    """A third ends without a clear answer: pipe threads of 14 TPI, 37° and 45° without a seat gauge, metric ports of two standards."""
    spoken = talks(60, 13)
    assert median(each.questions for each in spoken) <= 5
    clear = [each for each in spoken if each.clear]
    assert len(clear) >= 0.6 * len(spoken)
    assert sum(each.right for each in clear) >= 0.95 * len(clear)


def test_what_is_in_no_table_is_never_told_as_an_end_for_sure() -> None:
    met = talks_of_strangers(4, 15)
    assert [each for each in met if each.wrongly_sure] == []
    assert sum(each.none for each in met) >= 0.75 * len(met)  # a bolt of 3/4-16 or a cone of M18x1.5 is led astray, and left open


def test_shares_of_eight_or_nine_tenths_are_right_as_often() -> None:
    count, right, total = calibration(3000, 14)[8]
    assert count > 150
    assert abs(right / count - total / count) <= 0.05, (count, right, total)


@given(st.sampled_from(threaded()), st.floats(0, 1), st.floats(-0.1, 0.1))
def test_a_reading_inside_tolerance_keeps_the_end(of, place: float, off_mm: float) -> None:
    """A law: no true diameter, misread by two caliper errors, loses the end."""
    spec = thread(of.thread)
    size = limits(spec, of.side)
    low, high = (size.major_min, size.major_max) if of.side == "external" else (size.minor_min, size.minor_max)
    read_mm = (low + place * (high - low)) * size.unit_mm + off_mm
    readings = measured(of, random.Random(0))._replace(**{"od_mm" if of.side == "external" else "id_mm": read_mm})
    assert of in shares(readings).ends


@given(st.sampled_from(threaded()), st.integers(0, 10_000), st.booleans())
def test_shares_add_up_to_one(of, seed: int, looked: bool) -> None:
    now = shares(measured(of, random.Random(seed), looked))
    assert abs(sum(now.ends.values()) + now.none - 1) < 1e-9
    assert all(0 <= share <= 1 for share in (*now.ends.values(), now.none))


def test_priors_add_up_to_one() -> None:
    assert abs(sum(regions().values()) - 1) < 1e-9
    for region in regions():
        assert abs(sum(within_region(region).values()) - 1) < 1e-9
    for came_off in (None, "rear remote of a compact tractor", "gear pump", "nothing known"):
        for country in (None, "Japan", "Atlantis"):
            found = prior(country, came_off)
            assert abs(sum(found.shares.values()) + found.none - 1) < 1e-9
