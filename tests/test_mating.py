"""The verdict on every pair of ends, against rules written down apart from the code and its data."""

import csv
from collections import Counter
from fractions import Fraction
from itertools import combinations_with_replacement
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.ends import End, all_ends, end, end_by_id
from fittings.mating import mate, partners

HERE = Path(__file__).parent
ENDS = all_ends()


def _hand_rows() -> list[dict[str, str]]:
    with open(HERE / "authorities" / "joints_by_hand.csv", newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


LEGAL = {
    frozenset({(row["family_a"], row["form_a"]), (row["family_b"], row["form_b"])}): row for row in _hand_rows()
}


# An oracle of its own: nominal thread sizes read from the designation alone, no limits, no data table.
PIPE_OD_IN = {"1/16": .3125, "1/8": .405, "1/4": .54, "3/8": .675, "1/2": .84, "3/4": 1.05, "1": 1.315, "1-1/4": 1.66,
              "1-1/2": 1.9, "2": 2.375}  # ASME B36.10 outside diameters
PIPE_TPI = {"1/16": 27, "1/8": 27, "1/4": 18, "3/8": 18, "1/2": 14, "3/4": 14, "1": 11.5, "1-1/4": 11.5, "1-1/2": 11.5, "2": 11.5}
BSP = {"1/16": (7.723, 28), "1/8": (9.728, 28), "1/4": (13.157, 19), "3/8": (16.662, 19), "1/2": (20.955, 14),
       "5/8": (22.911, 14), "3/4": (26.441, 14), "1": (33.249, 11), "1-1/4": (41.91, 11), "1-1/2": (47.803, 11),
       "2": (59.614, 11)}  # ISO 228-1


def _nominal(of: End) -> tuple[float, float, bool] | None:
    """Major diameter in mm, pitch in mm, taper."""
    if not of.thread:
        return None
    text = of.thread
    if text[0] == "M":
        major, pitch = text[1:].split("x")
        return float(major), float(pitch), False
    if text[0] in "GR":
        major, tpi = BSP[text[1:]]
        return major, 25.4 / tpi, text[0] == "R"
    if text.endswith(("NPT", "NPSM")):
        size = text.rsplit("-", 1)[0]
        return PIPE_OD_IN[size] * 25.4, 25.4 / PIPE_TPI[size], text.endswith("NPT")
    size, tpi = text.rsplit("-", 1)
    inches = sum(Fraction(part) for part in size.split("-"))
    return float(inches) * 25.4, 25.4 / float(tpi), False


def _oracle(a: End, b: End) -> set[str]:
    """Verdicts that the rules allow: one where they are plain, two where only a gauge could tell `no` from `unsafe`."""
    row = LEGAL.get(frozenset({(a.family, a.form), (b.family, b.form)}))
    if row and a.size == b.size:
        return {"conditional" if row["if"] == "yes" else "joint"}
    if {a.family, b.family} == {"code61", "code62"} and {a.form, b.form} == {"head", "pad"} and a.size == b.size:
        return {"unsafe"}  # flange safety alert: code 61 on code 62
    if {a.side, b.side} != {"external", "internal"}:
        return {"no"}
    external, internal = (a, b) if a.side == "external" else (b, a)
    if external.thread == internal.thread:
        return {"unsafe"}  # same thread, no seal
    (d, _, taper), (big, pitch, narrows) = _nominal(external), _nominal(internal)  # type: ignore[misc]
    root = big - 1.0825 * pitch - (1.0 if narrows else 0.0)
    smallest = d - (1.6 if taper else 0.4)
    if smallest > big + 0.8:
        return {"no"}
    if d < root - 0.8:
        return {"no"}
    return {"no", "unsafe"}


def test_all_pairs_agree_with_the_rules() -> None:
    """Every unordered pair of all ends: 138,601 of them."""
    wrong, found = [], Counter()
    for a, b in combinations_with_replacement(ENDS, 2):
        verdict = mate(a, b).verdict
        found[verdict] += 1
        if verdict not in _oracle(a, b):
            wrong.append((a.id, b.id, verdict, _oracle(a, b)))
    assert wrong == []
    assert sum(found.values()) == len(ENDS) * (len(ENDS) + 1) // 2 == 138_601


@pytest.mark.parametrize("row", _hand_rows(), ids=lambda row: f"{row['family_a']} {row['form_a']} x {row['family_b']} {row['form_b']}")
def test_legal_joints_counted_by_hand(row: dict[str, str]) -> None:
    sides = [[each for each in ENDS if (each.family, each.form) == (row[f"family_{s}"], row[f"form_{s}"])] for s in "ab"]
    good = [(a, b) for a in sides[0] for b in sides[1] if mate(a, b).verdict in ("joint", "conditional")]
    assert len(good) == int(row["count"])


def test_no_other_pair_of_halves_makes_a_joint() -> None:
    halves = {frozenset({(each.family, each.form), (other.end.family, other.end.form)})
              for each in ENDS for other in partners(each)}
    assert halves == set(LEGAL)


SAME_THREAD = [
    # reference rules on thread identity: a header maker's manuals 2014-2022 with the J514 tables; arithmetic
    *[(f"jic-{n}-male", f"orb-{n}-port") for n in (2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 20, 24, 32)],
    *[(f"orb-{n}-stud", f"jic-{n}-swivel") for n in (2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 20, 24, 32)],
    ("orfs-4-male", "orb-6-port"), ("orfs-4-male", "jic-6-swivel"), ("jic-6-male", "orfs-4-swivel"),
    ("orfs-12-male", "jic-14-swivel"), ("orfs-12-male", "orb-14-port"), ("orfs-32-male", "jic-32-swivel"),
    # 37° and 45° share threads at these dashes (instrumentation text and arithmetic)
    *[(f"jic-{n}-male", f"sae45-{n}-swivel") for n in (2, 3, 4, 5, 8, 10)],
    *[(f"sae45-{n}-male", f"jic-{n}-swivel") for n in (2, 3, 4, 5, 8, 10)],
    # L and S series of ISO 8434-1 on one thread
    *[pair for light, heavy in (("8L", "6S"), ("10L", "8S"), ("12L", "10S"), ("15L", "14S"), ("22L", "20S"), ("28L", "25S"),
                                ("42L", "38S"))
      for pair in ((f"cone24-{light}-male", f"cone24-{heavy}-swivel"), (f"cone24-{heavy}-male", f"cone24-{light}-swivel"))],
    # one thread, opposite cones (hose-fitting maker's page)
    *[(f"bsp60-{s}-male", f"jis30-{s}-swivel") for s in ("1/8", "1/4", "3/8", "1/2", "3/4", "1")],
    # metric 30° flare against 24° cone
    ("metric30-M14x1.5-male", "cone24-8L-swivel"), ("metric30-M18x1.5-male", "cone24-12L-swivel"),
    ("metric30-M22x1.5-male", "cone24-15L-swivel"), ("metric30-M24x1.5-male", "cone24-16S-swivel"),
    # ISO 6149 against ISO 9974: same thread, different mouth (maker's article)
    ("iso6149-M22x1.5-stud", "iso9974-M22x1.5-port"), ("iso9974-M22x1.5-stud", "iso6149-M22x1.5-port"),
]


@pytest.mark.parametrize(("a", "b"), SAME_THREAD)
def test_same_thread_other_seat_is_unsafe(a: str, b: str) -> None:
    verdict = mate(end_by_id(a), end_by_id(b))
    assert (verdict.verdict, verdict.engages, verdict.seals) == ("unsafe", "fully", "no")
    assert verdict.instead


CLASSIC = [
    # common practice, no source, unless said
    ("jic-6-male", "orb-6-port", "unsafe"), ("jic-8-male", "sae45-8-swivel", "unsafe"),
    ("jic-6-male", "sae45-6-swivel", "no"), ("npt-1/2-male", "bspp-1/2-port", "unsafe"),
    ("npt-1/2-male", "npsm-1/2-swivel", "conditional"), ("npt-3/4-male", "bspp-3/4-port", "unsafe"),
    ("bspt-1/2-male", "npt-1/2-female", "unsafe"), ("jic-12-male", "iso6149-M27x2-port", "unsafe"),
    ("jic-10-male", "bspp-5/8-port", "unsafe"), ("npt-1/2-male", "npt-1/2-male", "no"),
    ("jic-8-swivel", "jic-8-swivel", "no"), ("orb-6-stud", "orb-6-port", "joint"),
    ("npt-1/2-male", "npt-1/2-female", "conditional"), ("code61-16-head", "code62-16-pad", "unsafe"),
    ("iso7241a-1/2-tip", "iso7241b-1/2-body", "no"), ("iso7241a-1/2-tip", "iso16028-1/2-body", "no"),
]


@pytest.mark.parametrize(("a", "b", "verdict"), CLASSIC)
def test_classic_pairs(a: str, b: str, verdict: str) -> None:
    assert mate(end_by_id(a), end_by_id(b)).verdict == verdict


@given(st.sampled_from(ENDS), st.sampled_from(ENDS))
def test_the_order_of_the_two_does_not_matter(a: End, b: End) -> None:
    one, other = mate(a, b), mate(b, a)
    assert one._replace(a=b, b=a) == other


@given(st.sampled_from(ENDS), st.sampled_from(ENDS))
def test_a_verdict_is_whole(a: End, b: End) -> None:
    verdict = mate(a, b)
    assert verdict.reasons
    assert (verdict.seal is not None) == (verdict.verdict in ("joint", "conditional"))
    assert (verdict.condition is not None) == (verdict.verdict == "conditional") == (verdict.seals == "if")
    assert (verdict.instead is None) == (verdict.verdict in ("joint", "conditional"))
    if verdict.rating:
        assert verdict.rating.sources


def test_sealant_never_goes_near_an_o_ring() -> None:
    for each in ENDS:
        for other in partners(each):
            seal = mate(each, other.end).seal
            assert seal is not None
            assert seal.sealant == (seal.kind == "thread-and-sealant")
            assert seal.sealant or seal.why_no_sealant


def test_joint_of_dash_six_boss_names_its_ring() -> None:
    """AS568-906 for ORB -6: the last two digits are the tube size in sixteenths (naval training text)."""
    seal = mate(end("orb", "-6", "port"), end("orb", "-6", "stud")).seal
    assert seal is not None
    assert seal.ring is not None
    assert seal.ring.key == "AS568-906"
