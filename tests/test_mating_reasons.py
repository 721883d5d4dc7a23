"""What a verdict says beside itself: every reason in its order, the seal, the rating, the torque, what to do instead.

The oracle reads halves, seats and standards from hand-written lists; it never asks `mating`.
"""

import csv
import random
from functools import cache
from itertools import combinations_with_replacement
from pathlib import Path

import pytest
from budget import examples
from chain_oracle import holds, joint_psi, legal_halves, psi

from fittings.ends import End, all_ends, end_by_id
from fittings.limits import Limits
from fittings.mating import (
    condition_do,
    condition_says,
    in_material,
    joint_condition,
    joint_rating,
    mate,
    meeting,
    partners,
)
from fittings.reports.text import verdict_text

HERE = Path(__file__).parent
ENDS = all_ends()
BARE = ("code61", "code62", "iso7241a", "iso7241b", "iso16028", "hose")
"""Families without a thread of their own: flanges, couplers, hose."""

SEALS = {
    # how each family seals, by its standard: SAE J1926, J514, J1453, J512, J518; ISO 1179, 6149, 9974, 8434, 7-1; ASME B1.20.1
    **dict.fromkeys(("orb", "iso6149"), "o-ring-in-chamfer"), **dict.fromkeys(("bspp", "iso9974"), "seal-on-face"),
    **dict.fromkeys(("jic", "sae45", "invflare", "cone24", "jis30", "metric30", "bsp60", "npsm"), "metal-cone"),
    **dict.fromkeys(("orfs", "code61", "code62"), "face-o-ring"), **dict.fromkeys(("npt", "bspt"), "thread-and-sealant"),
    **dict.fromkeys(("iso7241a", "iso7241b", "iso16028"), "coupler"), "hose": "crimp",
}
# where one end is of another family: the seat of the half that carries a cone or a face decides
MIXED = {frozenset({"npt", "npsm"}): "metal-cone", frozenset({"bspt", "bsp60"}): "metal-cone", frozenset({"bspt", "bspp"}): "thread-and-sealant",
         frozenset({"sae45", "jic"}): "metal-cone"}


def _seal(a: End, b: End) -> str:
    if a.family == b.family:
        if "swivel" in (a.form, b.form) and a.family == "cone24" and not a.size.endswith("LL"):
            return "o-ring-on-cone"  # ISO 8434-4: an O-ring on the nipple's nose; with a cutting ring (ISO 8434-1) metal to metal
        return SEALS[a.family]
    if {a.family, b.family} == {"bspp", "bsp60"}:
        return "seal-on-face" if "port" in (a.form, b.form) else "metal-cone"
    return MIXED[frozenset({a.family, b.family})]


def _codes(a: End, b: End, engages: str) -> list[str]:
    """Reasons by the rules of the house: what the threads do, why it does not seal, and how much that is worth."""
    bare = [each.family in BARE for each in (a, b)]
    if holds(a, b):
        threads = [] if all(bare) else ["same-thread" if a.thread == b.thread else "meeting"]
        condition = ["condition"] if legal_halves()[frozenset({(a.family, a.form), (b.family, b.form)})] else []
        if a.family == "hose":
            return ["seal", "rated-by-hose"]
        rated = [a, b]
        if {(a.family, a.form), (b.family, b.form)} == {("bspp", "port"), ("bsp60", "male")}:
            rated.append(End("bspp", a.size, "stud"))
        unrated = ["rating-unknown" for each in rated if psi(each, None) is None]
        walls = [] if unrated else ["tube-wall"] * sum(each.form == "tube-nut" for each in (a, b))
        return [*threads, "seal", *condition, *["rated-as"] * (len(rated) - 2), *unrated, *walls]
    if all(bare):
        if {a.family, b.family} == {"code61", "code62"} and a.size == b.size and a.form != b.form:
            return ["other-flange", "code-61-on-62"]
        other = "other-flange" if {a.family, b.family} == {"code61", "code62"} else "other-profile"
        return [other if a.family != b.family else "same-half" if a.form == b.form else "other-size"]
    if any(bare):
        return ["no-thread-to-meet"]
    if a.side == b.side:
        return [f"both-{a.side}"]
    threads = ["same-thread" if a.thread == b.thread else "meeting"]
    if engages == "no":
        return threads
    why = ("seat-size" if frozenset({(a.family, a.form), (b.family, b.form)}) in legal_halves()
           else "tapers-differ" if {a.family, b.family} <= {"npt", "bspt"} else "seat-clash")
    return [*threads, why, "screws-in-only", "suspicion"]


def test_reasons_seal_and_rating_of_every_pair() -> None:
    """All joints, flanges and couplers, and some of the other 138,601 unordered pairs, at night all of them.

    The other way round it is the same, the ends changed about.
    """
    pairs = list(combinations_with_replacement(ENDS, 2))
    few = [(a, b) for a, b in pairs if holds(a, b) or a.family == b.family == "hose" or (a.family in BARE and b.form == "pad")]
    for a, b in [*few, *random.Random(5).sample(pairs, min(examples(25_000), len(pairs)))]:
        verdict = mate(a, b)
        assert [reason.code for reason in verdict.reasons] == _codes(a, b, verdict.engages), (a.id, b.id)
        assert mate(b, a)._replace(a=a, b=b) == verdict
        assert (verdict.a, verdict.b) == (a, b)
        good = holds(a, b)
        assert verdict.seals == ("no" if not good else "if" if verdict.verdict == "conditional" else "yes")
        threaded = {a.family, b.family}.isdisjoint(BARE)
        assert good or not threaded or verdict.verdict == ("no" if verdict.engages == "no" else "unsafe")
        assert (verdict.verdict == "no") <= (verdict.engages == "no")
        assert good <= (verdict.engages == "fully")
        assert (verdict.instead is None) == good
        if good:
            assert verdict.seal is not None and verdict.seal.kind == _seal(a, b), (a.id, b.id)
            lowest = None if a.family == "hose" else joint_psi(a, b)  # a crimp is rated by the hose it is made with
            assert (verdict.rating.psi if verdict.rating else None) == lowest
            if verdict.rating:
                assert verdict.rating.bar == pytest.approx(verdict.rating.psi / 14.50377, rel=0.01)
                assert joint_rating(b, a) is not None


@cache
def _printed(name: str) -> list[dict[str, str]]:
    with open(HERE.parent / "data" / f"{name}.csv", newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


# Who is wound in when a pipe male meets a cone or a face: by how it seals, the nut of the swivel or the stud in its port.
NOT_WOUND = {("npt", "npsm"): "npsm", ("bspt", "bsp60"): "bsp60", ("sae45", "jic"): "jic"}


def test_torque_and_turns_are_those_of_the_end_that_is_tightened() -> None:
    """A pipe male on a swivel's cone is not turned two or three turns past finger tight: only the nut is tightened."""
    for a in ENDS:
        for partner in partners(a):
            b = partner.end
            tightened = {each for each in (a, b)}
            for (idle, nut) in NOT_WOUND.items() and [pair for pair in NOT_WOUND if set(pair) == {a.family, b.family}]:
                tightened = {each for each in (a, b) if each.family != idle or a.family == b.family}
                assert nut in {each.family for each in tightened}
            if {a.family, b.family} == {"bspp", "bsp60"}:
                tightened = {each for each in (a, b) if each.family == "bsp60"} if "swivel" in (a.form, b.form) else {
                    each for each in (a, b) if each.family == "bspp"}
            bands = sorted(
                (float(row["low_nm"]), float(row["high_nm"]), f"{row['screw']} {row['school']}".strip())
                for row in _printed("torque") for each in tightened
                if (row["family"], row["size"]) == (each.family, each.size) and row["form"] in ("", each.form) and row["port"] == "steel"
                and (row["default"] == "yes" or row["school"] not in ("plug", "compressor plug", "plug hex head", "plug hollow hex")))
            told = sorted((band.low_nm, band.high_nm, band.school) for band in mate(a, b).torque)
            assert told == bands, (a.id, b.id)
            turned = any(row["family"] == each.family and row["size"] == each.size and row["form"] in ("", each.form)
                         for name in ("flats", "turns") for row in _printed(name) for each in tightened)
            assert bool(mate(a, b).turns) == turned, (a.id, b.id)


@pytest.mark.parametrize(("a", "b", "ring"), [
    # AS568 by the boss's dash (naval training text); bonded seals go by the thread; face seals of SAE J1453 as tabled
    ("orb-8-port", "orb-8-stud-adj", "AS568-908"), ("orb-12-stud", "orb-12-port", "AS568-912"), ("orb-16-port", "orb-16-stud", "AS568-916"),
    ("orfs-8-male", "orfs-8-swivel", "AS568-014"), ("orfs-16-swivel", "orfs-16-male", "AS568-021"),
    ("code61-16-head", "code61-16-pad", "AS568-219"), ("jic-8-male", "jic-8-swivel", None), ("npt-1/2-male", "npt-1/2-female", None),
])
def test_ring_of_a_joint(a: str, b: str, ring: str | None) -> None:
    seal = mate(end_by_id(a), end_by_id(b)).seal
    assert seal is not None
    assert (seal.ring.key if seal.ring else None) == ring


@pytest.mark.parametrize(("a", "b", "instead"), [
    ("jic-6-male", "orb-6-port",
     "JIC -6 male takes JIC -6 female swivel or JIC -6 tube nut on flared tube; ORB -6 port takes "
     "ORB -6 male stud or ORB -6 male stud, adjustable; for the adapter between them: fittings join jic-6-male orb-6-port"),
    ("jic-8-male", "orfs-8-male",
     "JIC -8 male takes JIC -8 female swivel, JIC -8 tube nut on flared tube or JIC -8 female swivel, dual seat 37°/45°; ORFS -8 male takes "
     "ORFS -8 female swivel; for the adapter between them: fittings join jic-8-male orfs-8-male"),
    ("orfs-8-male", "orfs-8-male", "ORFS -8 male takes ORFS -8 female swivel; for the adapter between them: fittings join orfs-8-male orfs-8-male"),
    ("bspt-1/2-male", "npt-1/2-female",
     "BSPT 1/2 male takes BSPT 1/2 female; NPT 1/2 female takes NPT 1/2 male; for the adapter between them: fittings join bspt-1/2-male npt-1/2-female"),
])
def test_what_to_do_instead(a: str, b: str, instead: str) -> None:
    assert mate(end_by_id(a), end_by_id(b)).instead == instead


def test_what_the_fitter_does_about_a_condition() -> None:
    assert "first thread bare" in condition_do("sealant")
    assert "no sealant" in condition_do("chamfer-30")
    assert condition_do("") == ""
    with pytest.raises(KeyError):
        condition_do("full-moon")


def test_a_meeting_is_of_an_external_and_an_internal_thread_in_either_order() -> None:
    male, port, flange = end_by_id("jic-6-male"), end_by_id("orb-6-port"), end_by_id("code61-16-head")
    assert meeting(male, port) == meeting(port, male)
    found = meeting(port, male)
    assert found is not None and found.external.key == "9/16-18"
    assert meeting(male, male) is None and meeting(port, port) is None
    assert meeting(male, flange) is None and meeting(flange, flange) is None


def test_partners_are_the_ends_that_mate_and_know_what_a_plan_may_count_on() -> None:
    never = {frozenset({("bspt", "male"), ("bspp", "port")}), frozenset({("bspt", "male"), ("bsp60", "swivel")})}
    for each in ENDS:
        found = {partner.end: partner for partner in partners(each)}
        assert set(found) == {other for other in ENDS if holds(each, other)}
        for other, partner in found.items():
            assert partner.planned == (frozenset({(each.family, each.form), (other.family, other.form)}) not in never)
            assert (partner.condition != "") == (mate(each, other).verdict == "conditional")
            if partner.condition:
                assert condition_says(partner.condition) == mate(each, other).condition


def test_every_reason_of_the_register_is_given_somewhere() -> None:
    """A code that nothing gives is dead: it stands in the code, in the table of clashes, or names a limit."""
    code = "".join(path.read_text("utf-8") for path in (HERE.parent / "fittings").rglob("*.py"))
    given = {row["code"] for row in _printed("clashes")} | {f"limit-{name.replace('_', '-')}" for name in Limits._fields}
    assert [row["code"] for row in _printed("reasons") if f'"{row["code"]}"' not in code and row["code"] not in given] == []


@pytest.mark.parametrize(("a", "b", "texts"), [
    # what the counter would say to each; wording ours
    ("code61-16-head", "code61-16-head", ["code 61 -16 flange head and code 61 -16 flange head are the same half: like halves do not join"]),
    ("code61-12-head", "code61-16-head", ["code 61 -12 flange head and code 61 -16 flange head are the same half: like halves do not join"]),
    ("code61-12-head", "code61-16-pad", ["code 61 -12 flange head and code 61 -16 pad are different sizes"]),
    ("hose-8-bore", "code61-16-pad", ["code 61 -16 pad and hose -8 bore are different profiles: the halves do not lock"]),
    ("jic-6-male", "code61-16-head", ["code 61 -16 flange head is not held by a thread that JIC -6 male could take"]),
    ("hose-8-bore", "orb-6-port", ["hose -8 bore is not held by a thread that ORB -6 port could take"]),
    ("iso7241a-1/2-tip", "bspp-1/2-port", ["ISO 7241-A 1/2 coupler tip (male half) is not held by a thread that BSPP 1/2 port could take"]),
    ("jic-6-male", "jic-8-male", ["both have an external thread: two males never join"]),
    ("orb-6-port", "jic-8-swivel", ["both have an internal thread: two females never join"]),
    ("jic-6-male", "orb-6-port", [
        "JIC -6 male and ORB -6 port carry the same thread, 9/16-18: they run in fully",
        "a 37° cone nose meets a chamfered mouth for an O-ring: nothing seals",
        "it screws together and will not hold: the dangerous kind",
        "judged by arithmetic on the threads: a reason to doubt, never a permission"]),
    ("cone24-15L-male", "cone24-14S-swivel", [
        "24° cone 15L male and 24° cone 14S female swivel carry the same thread, M22x1.5: they run in fully",
        "the threads meet, the seats do not: 24° cone 15L on 24° cone 14S, a different tube and cone",
        "it screws together and will not hold: the dangerous kind",
        "judged by arithmetic on the threads: a reason to doubt, never a permission"]),
    ("hose-8-bore", "hose-8-tail", ["the crimped ferrule on the hose", "a crimped joint is rated by the hose it is made with"]),
    ("npt-1/2-male", "npt-1/2-female", [
        "NPT 1/2 male and NPT 1/2 female carry the same thread, 1/2-14 NPT: they run in fully",
        "the taper threads themselves, with sealant", "holds only if sealant is used on the taper thread"]),
])
def test_reasons_in_words(a: str, b: str, texts: list[str]) -> None:
    """Whoever is asked first, the words are the same; the end without a thread is the one that is not held."""
    one, other = end_by_id(a), end_by_id(b)
    assert [reason.text for reason in mate(one, other).reasons] == texts
    assert [reason.text for reason in mate(one, other).reasons] == [reason.text for reason in mate(other, one).reasons]


@pytest.mark.parametrize(("a", "b", "kind", "ring"), [
    # only what seals on a face or in a chamfer has a ring; sizes as the makers print them
    ("bspt-1/2-male", "bspp-1/2-port", "thread-and-sealant", None),  # a taper male has no shoulder to hold a bonded seal
    ("bspp-1/2-stud", "bspp-1/2-port", "seal-on-face", "elastomer G1/2"),
    ("bspp-1/2-stud", "bsp60-1/2-swivel", "metal-cone", None),
    ("jic-8-male", "jic-8-swivel", "metal-cone", None),
    # ISO 8434-4: the O-ring seals, the cones carry; ISO 8434-1: the cutting ring is metal to metal; LL nipples have no groove
    ("cone24-15L-male", "cone24-15L-swivel", "o-ring-on-cone", "12x2"),
    ("cone24-15L-male", "cone24-15L-tube-nut", "metal-cone", None),
    ("cone24-6LL-male", "cone24-6LL-swivel", "metal-cone", None),
])
def test_what_seals_has_its_ring_and_nothing_else_has(a: str, b: str, kind: str, ring: str | None) -> None:
    seal = mate(end_by_id(a), end_by_id(b)).seal
    assert seal is not None
    assert (seal.kind, seal.ring.key if seal.ring else None) == (kind, ring)
    assert ("O-ring" in seal.says or "seal ring" in seal.says) == (ring is not None)


def test_a_material_is_the_headline() -> None:
    """Brass half of steel (two instrument-fitting makers); SAE J514: NPTF 3/8 3000 psi; malleable iron never holds a pressure line."""
    steel = mate(end_by_id("npt-3/8-male"), end_by_id("npt-3/8-female"))
    brass = in_material(steel, "brass")
    assert brass.steel is not None and brass.verdict.rating is not None
    assert (brass.steel.psi, brass.verdict.rating.psi, brass.verdict.rating.bar) == (3000, 1500, pytest.approx(103.4, abs=0.1))
    assert "3000 psi in steel" in brass.verdict.rating.context and brass.verdict.verdict == "conditional"
    iron = in_material(steel, "malleable-iron").verdict
    assert iron.rating is not None
    assert (iron.verdict, iron.seals, iron.rating.psi, iron.seal, iron.torque) == ("unsafe", "no", 0, None, ())
    unrated = mate(end_by_id("bspt-3/8-male"), end_by_id("bspt-3/8-female"))
    assert in_material(unrated, "brass").verdict.rating is None  # half of what nobody printed is not known either
    assert in_material(unrated, "malleable-iron").verdict.verdict == "unsafe"
    assert in_material(mate(end_by_id("jic-6-male"), end_by_id("orb-6-port")), "brass").verdict.verdict == "unsafe"
    with pytest.raises(KeyError):
        in_material(steel, "wood")


def test_a_nipple_cut_from_pipe() -> None:
    """An industrial fitting supplier's calculated ratings of threaded nipples (ASTM A53 B): 1/2 in 1515 psi in schedule 40, 2925 in
    schedule 80; no such nipple has an O-ring boss."""
    steel = mate(end_by_id("npt-1/2-male"), end_by_id("npt-1/2-female"))
    psi_of = {code: in_material(steel, code).derated.psi for code in ("pipe-nipple-40", "pipe-nipple-80")}
    assert psi_of == {"pipe-nipple-40": 1515, "pipe-nipple-80": 2925}
    boss = in_material(mate(end_by_id("orb-8-port"), end_by_id("orb-8-stud")), "pipe-nipple-40")
    assert (boss.derated.psi, boss.verdict.rating) == (None, None)


@pytest.mark.parametrize(("size", "psi_in_port"), [
    # the light stud of each size (ISO 1179-2 type E, from memory): 25 MPa to 1/2, 16 to 1, 10 above, none at 2; its cone would be
    # called 35, 35, 31.5, 25, 20, 16, 12.5 and 8 MPa (from memory)
    ("1/4", 3625), ("3/8", 3625), ("1/2", 3625), ("3/4", 2320), ("1", 2320), ("1-1/4", 1450), ("1-1/2", 1450), ("2", None), ("1/8", None),  # no port of 1/8 is rated
])
def test_a_coned_male_in_a_port_carries_no_more_than_the_stud(size: str, psi_in_port: int | None) -> None:
    port, coned, stud = (end_by_id(f"{half[0]}-{size}-{half[1]}") for half in (("bspp", "port"), ("bsp60", "male"), ("bspp", "stud")))
    rated = [mate(each, port).rating for each in (coned, stud)]
    assert [each.psi if each else None for each in rated] == [psi_in_port, psi_in_port]
    assert "rated-as" in [each.code for each in mate(coned, port).reasons]


def test_a_joint_that_no_table_rates_is_not_said_to_hold() -> None:
    said = verdict_text(mate(end_by_id("jis30-1/2-male"), end_by_id("jis30-1/2-swivel")))
    assert "JOINT: goes together and seals; what it holds is not in our tables." in said and "seals and holds" not in said
    assert "JOINT: goes together, seals and holds." in verdict_text(mate(end_by_id("jic-8-male"), end_by_id("jic-8-swivel")))


def test_a_ring_says_when_it_is_used() -> None:
    """Form E comes with its ring; a bonded seal belongs under a stud without one, and the pressure is that of form E."""
    said = " ".join(verdict_text(mate(end_by_id("bspp-1/2-stud"), end_by_id("bspp-1/2-port"))).split())
    assert "ring elastomer ring for G1/2, it comes with a stud of form E" in said
    assert "or bonded seal for G1/2, when the stud has no seal of its own" in said
    assert "ISO 1179-2 type E (elastomer seal)" in said


def test_a_pressure_printed_for_brass_is_not_halved_for_brass_again() -> None:
    """A brass flare maker's sheet: 45° flare -6, brass on copper tube, 1000 psi. It says nothing of steel or stainless."""
    flare = mate(end_by_id("sae45-6-male"), end_by_id("sae45-6-swivel"))
    brass = in_material(flare, "brass")
    assert brass.verdict.rating is not None and brass.verdict.rating.psi == 1000
    assert (brass.steel, brass.derated.psi) == (None, 1000)
    assert in_material(flare, "stainless").verdict.rating is None


@pytest.mark.parametrize(("a", "b"), [("orb-8-port", "orb-6-stud"), ("orb-6-port", "orb-8-stud"), ("bspp-1/2-port", "bspp-3/8-stud"),
                                      ("bspp-3/8-port", "bspp-1/2-stud")])
def test_ends_of_two_sizes_are_no_joint_whichever_is_larger(a: str, b: str) -> None:
    assert joint_condition(end_by_id(a), end_by_id(b)) == ""
    assert mate(end_by_id(a), end_by_id(b)).verdict == "no"
