"""Which parts are offered: against lists of what is made and sold, and against what nobody makes.

The lists in `tests/authorities/parts_*.csv` were transcribed from a shop chain's price list, a web shop's option lists,
two catalogues and a table of lengths (`data/sources.csv` names them). They were at hand when the rules were written, so
these tests guard against slips; they do not foretell how the rules fare on a list that nobody has read yet.
"""

import csv
from collections import Counter, defaultdict
from collections.abc import Mapping
from functools import cache
from itertools import product
from pathlib import Path

import pytest

from fittings import parts
from fittings.ends import End, all_ends, end, end_by_id, families, family, sizes
from fittings.parts import GRADES, Part, all_parts, find, lacks, parts_with, step, why_not_made
from fittings.tables import table

AUTHORITIES = Path(__file__).parent / "authorities"


def authority(name: str) -> list[dict[str, str]]:
    with open(AUTHORITIES / f"parts_{name}.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def ends_of(text: str) -> tuple[End, ...]:
    return tuple(end_by_id(word) for word in text.split())


def halves(part: Part) -> tuple[str, ...]:
    return tuple(f"{each.family} {each.form}" for each in part.ends)


@cache
def offered() -> dict[tuple[str, ...], list[Part]]:
    """Parts by shape and the halves at their ends."""
    found: dict[tuple[str, ...], list[Part]] = defaultdict(list)
    for part in all_parts():
        found[part.shape, *halves(part)].append(part)
    return found


# What was met must be offered, by the rules alone


def test_rules_alone_offer_what_was_met(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every row of the lists that were read, with the lists themselves put away; not one in a hundred may be missed."""
    rows = table("parts/seen")
    monkeypatch.setattr(parts, "_met", dict)
    parts.parts_with.cache_clear()
    try:
        missed = [(row["shape"], row["ends"]) for row in rows if not find(ends_of(row["ends"]), row["shape"])]
    finally:
        parts.parts_with.cache_clear()
    assert missed == []
    assert len(rows) == 1338


def test_rules_offer_what_only_the_tables_of_lengths_hold() -> None:
    """112 parts whose lengths are printed by a maker, and that stand in no list of `data/parts/seen.csv`."""
    rows = authority("only_in_length_tables")
    met = {(row["shape"], row["ends"]) for row in table("parts/seen")}
    assert not {(row["shape"], row["ends"]) for row in rows} & met
    assert [row for row in rows if not find(ends_of(row["ends"]), row["shape"])] == []
    assert len(rows) == 112


def _jump(part: Part) -> str:
    a, b = part.ends
    one, other = step(a.family, a.size, b.family), step(b.family, b.size, a.family)
    assert one is not None and other is not None
    return "0" if one == other else f"{other - one:+g}"


Jump = tuple[str, str, str, str]
"""The two halves, the shape, and the jump in steps, as text."""


@cache
def counted() -> dict[Jump, int]:
    """Sizes that the lists hold of each jump."""
    rows = authority("jump_counts")
    return {(row["end_a"], row["end_b"], row["shape"], row["jump"]): int(row["sizes"]) for row in rows}


@cache
def _offered_by_jump() -> Counter[Jump]:
    count: Counter[Jump] = Counter()
    for part in all_parts():
        if len(part.ends) == 2 and all(family(each.family)["size_kind"] in ("dash", "pipe") for each in part.ends):
            a, b = part.ends
            if step(a.family, a.size, b.family) is not None and step(b.family, b.size, a.family) is not None:
                count[(*halves(part), part.shape, _jump(part))] += 1
    return count


def test_no_jump_is_offered_in_fewer_sizes_than_were_counted() -> None:
    """Sizes counted per pair of ends, shape and jump; some were counted without being written down one by one."""
    assert [jump for jump, sizes_met in counted().items() if _offered_by_jump()[jump] < sizes_met] == []
    assert (len(counted()), sum(counted().values())) == (311, 1188)


WELL_READ = {
    ("orb stud", "jic male", "straight"), ("orb stud-adj", "jic male", "90"), ("orb stud-adj", "jic male", "45"),
    ("orb stud", "orfs male", "straight"), ("orb stud-adj", "orfs male", "90"), ("jic male", "jic male", "90"),
    ("jic male", "jic swivel", "90"), ("jic male", "npt male", "straight"), ("jic male", "npt male", "90"),
    ("jic male", "bspt male", "90"), ("orfs male", "orfs swivel", "90"), ("orfs male", "npt male", "straight"),
    ("jic male", "code61 head", "straight"), ("npt male", "npt male", "straight"), ("npt male", "npsm swivel", "90"),
    ("bspt female", "bspt male", "bushing"), ("bspt male", "bspt male", "straight"),
    ("orb stud", "npt male", "straight"),
}


def test_where_a_whole_size_table_was_read_hardly_more_is_offered() -> None:
    """Pairs whose table was read to the end: at most two sizes a jump beyond it, and no jump that it has not."""
    more = {key for key, count in _offered_by_jump().items()
            if key[:3] in WELL_READ and count > counted().get(key, 0) + (2 if key in counted() else 0)}
    from_memory = {
        ("jic male", "npt male", "straight", "-0.5"),  # JIC -3 with NPT 1/8, from memory, to order
        ("jic male", "npt male", "90", "-0.5"),
    }
    assert more - from_memory == set()
    assert {jump[:3] for jump in counted()} >= WELL_READ


@pytest.mark.parametrize("row", authority("listed_counts"), ids=lambda row: "-".join(list(row.values())[:4]))
def test_families_listed_by_number_of_sizes_only(row: dict[str, str]) -> None:
    named = tuple(row[name] for name in ("end_a", "end_b", "end_c") if row[name])
    if row["shape"] == "cross":
        named *= 2
    assert abs(len(offered()[row["shape"], *named]) - int(row["sizes"])) <= int(row["within"]), row["note"]


# What nobody makes must not be offered


def _which(row: Mapping[str, str], a: End, b: End) -> bool:
    if row["which"] == "unequal":
        return step(a.family, a.size, b.family) != step(b.family, b.size, a.family)
    if row["which"].startswith("above"):
        return sizes(a.family).index(a.size) > sizes(a.family).index(row["which"].removeprefix("above "))
    assert row["which"] == ""
    return True


def test_nothing_is_offered_that_nobody_makes() -> None:
    wrong = []
    for row, part in product(table("parts/not-made"), all_parts()):
        if len(part.ends) != 2 or row["shape"] not in ("", part.shape):
            continue
        for a, b in (part.ends, part.ends[::-1]):
            if (f"{a.family} {a.form}", f"{b.family} {b.form}") != (row["end_a"], row["end_b"]):
                continue
            easier = not row["at_best"] or GRADES.index(part.had) < GRADES.index(row["at_best"])
            if easier and _which(row, a, b):
                wrong.append((part.id, part.had, row["note"]))
    assert wrong == []


def test_what_the_trade_says_is_not_made() -> None:
    """Pairs that the lists were searched for in vain (shop chain, web shop, maker, distributor)."""
    def any_size(a: str, b: str, shape: str = "") -> list[Part]:
        return [part for part in all_parts() if sorted(halves(part)) == sorted((a, b)) and shape in ("", part.shape)]

    assert any_size("orb stud-adj", "orfs male", "45") == []
    assert any_size("orb port", "orb stud-adj", "90") == any_size("orb port", "orb stud", "90") == []
    assert any_size("orb port", "jic swivel") == []
    assert any_size("sae45 male", "jic male") == any_size("invflare male", "jic male") == []
    assert any_size("sae45 male", "orb stud") == []
    assert any_size("jis30 male", "npt male") == any_size("jis30 male", "cone24 male") == []
    assert any_size("hose tail", "orb stud") == []
    assert {part.had for part in any_size("jic male", "orfs male")} == {"to order"}
    assert all(part.ends[0].size == part.ends[1].size for part in any_size("npt male", "npsm swivel"))
    assert all(part.ends[0].size == part.ends[1].size for part in any_size("orfs male", "orfs swivel", "90"))
    assert all(part.ends[0].size == part.ends[1].size for part in any_size("jic male", "jic male", "90"))
    assert any(part.ends[0].size != part.ends[1].size for part in any_size("jic male", "jic male", "straight"))


def test_no_jump_in_a_tee_but_at_its_odd_leg() -> None:
    tees = [part for part in all_parts() if len(part.ends) > 2]
    assert tees
    assert [part.id for part in tees if len({each.size for each in part.ends[:-1]}) != 1] == []
    larger = {part.id for part in tees if (part.ends[-1].nominal_16ths or 0) > (part.ends[0].nominal_16ths or 0)}
    # A stud fixed by a heavy 24° tube is called a hair larger than it: 1/4 in is 6.35 mm, the tube 6 mm.
    tubes = {f"{shape}:cone24-{tube}-male+cone24-{tube}-male+bspp-{stud}-stud-adj" for shape in ("tee-run", "tee-branch")
             for tube, stud in (("6S", "1/4"), ("25S", "1"), ("30S", "1-1/4"), ("38S", "1-1/2"))}
    assert larger == tubes | {  # a maker's size table, ORFS run tees with the ORB one step larger
        "tee-run:orfs-4-male+orfs-4-male+orb-6-stud-adj", "tee-run:orfs-6-male+orfs-6-male+orb-8-stud-adj",
        "tee-run:orfs-8-male+orfs-8-male+orb-10-stud-adj"}


def test_a_reason_is_told_only_for_what_is_not_made() -> None:
    orb, jic = end("orb", "-8", "stud-adj"), end("jic", "-8", "male")
    assert why_not_made((orb, jic), "90") == ""
    assert "only the 90" in why_not_made((end("orfs", "-8", "male"), orb), "45")
    assert "equal sizes" in why_not_made((end("npsm", "3/8", "swivel"), end("npt", "1/2", "male")), "straight")
    assert "not above 1/2" in why_not_made((end("orb", "-12", "stud"), end("jis30", "3/4", "male")), "straight")
    assert why_not_made((end("orb", "-8", "stud"), end("jis30", "1/2", "male")), "straight") == ""
    assert why_not_made((jic,), "cap") == ""


# What people ask at the counter


@pytest.mark.parametrize("row", authority("counter_questions"), ids=lambda row: row["question"])
def test_counter_questions(row: dict[str, str]) -> None:
    answers = [part.had for part in find(ends_of(row["ends"]), row["shape"])]
    assert answers == ([] if row["answer"] == "none" else [row["answer"]]), row["source"]


# Grades


def test_usual_sizes_are_common_and_seldom_ones_are_not() -> None:
    """-6 and -8 stand most often in the shop lists, -5 and -14 hardly ever, -24 and -32 seldom."""
    for size in ("-6", "-8"):
        for shape, stud in (("straight", "stud"), ("90", "stud-adj")):
            for tube in ("jic", "orfs"):
                assert [p.had for p in find((end("orb", size, stud), end(tube, size, "male")), shape)] == ["common"]
    rare = {End(tube, size, form) for tube in ("orb", "jic", "orfs") for size in ("-5", "-14", "-24", "-32")
            for form in ("port", "stud", "stud-adj", "male", "swivel")}
    seldom = [part for part in all_parts() if rare & set(part.ends)]
    assert seldom and "common" not in {part.had for part in seldom}
    shops = {"shop-price-list-southern-africa", "web-shop-australia"}
    assert [part.id for part in seldom if part.had == "made" and not shops & set(part.source.split(";"))] == []


def test_two_independent_lists_make_a_part_common() -> None:
    for row in table("parts/seen"):
        for part in find(ends_of(row["ends"]), row["shape"]):
            if row["confidence"] == "A" and not any(each.size in ("-5", "-14", "-24", "-32") for each in part.ends):
                assert part.had == "common", part.id
            if row["shop"]:
                assert part.had != "to order", part.id


def test_what_rests_on_memory_says_so() -> None:
    weak = [part for part in all_parts() if set(part.source.split(";")) <= {"memory", "practice"}]
    assert weak and {part.confidence for part in weak} == {"C"}
    met = {(row["shape"], row["ends"]) for row in table("parts/seen")}
    named = [part for part in all_parts() if part.confidence == "A"]
    assert {(part.shape, " ".join(each.id for each in part.ends)) for part in named} <= met
    assert {part.had for part in all_parts()} == set(GRADES)


# The list hangs together


def test_every_end_of_every_part_exists() -> None:
    known = set(all_ends())
    assert [(part.id, each.id) for part in all_parts() for each in part.ends if each not in known] == []


def test_every_part_is_found_from_each_of_its_ends() -> None:
    assert [part.id for part in all_parts() if any(part not in parts_with(each) for each in part.ends)] == []
    assert set(all_parts()) == {part for each in all_ends() for part in parts_with(each)}
    assert [part.id for each in all_ends() for part in parts_with(each) if each not in part.ends] == []


def test_a_part_stands_in_the_list_once() -> None:
    names = Counter((part.shape, tuple(sorted(part.ends))) for part in all_parts())
    assert [name for name, times in names.items() if times > 1] == []
    assert len({part.id for part in all_parts()}) == len(all_parts())


def test_shapes_fit_the_number_of_ends() -> None:
    wanted = {"cap": 1, "plug": 1, "tee": 3, "tee-run": 3, "tee-branch": 3, "bulkhead-tee-run": 3,
              "bulkhead-tee-branch": 3, "cross": 4}
    assert [part.id for part in all_parts() if len(part.ends) != wanted.get(part.shape, 2)] == []
    assert {part.shape for part in all_parts()} == {row["shape"] for row in table("parts/shapes")}


def test_bent_parts_with_an_orb_or_metric_stud_can_be_set() -> None:
    bent = [part for part in all_parts() if part.shape in ("45", "90")]
    assert [part.id for part in bent if any(h in ("orb stud", "iso6149 stud") for h in halves(part))] == []


def test_a_bushing_goes_from_a_larger_male_to_a_smaller_female() -> None:
    bushings = [part for part in all_parts() if part.shape == "bushing"]
    assert bushings
    for part in bushings:
        female, male = sorted(part.ends, key=lambda each: each.sex)
        assert (female.sex, male.sex) == ("female", "male")
        assert (female.nominal_16ths or 0) < (male.nominal_16ths or 0)


def test_what_an_end_of_a_part_never_has() -> None:
    """No flat shoulder on a forged leg, no 60° chamfer in the port stud of a 24° coupling (common practice, no source)."""
    coned, stud = End("bsp60", "1/2", "male"), End("bspp", "1/2", "stud")
    for part in all_parts():
        for each in part.ends:
            forged = part.shape in ("45", "90", "cross") or part.shape.startswith("tee")
            wanted = {"shoulder-and-seal"} if forged and (each.family, each.form) == ("bsp60", "male") else set()
            if (each.family, each.form) == ("bspp", "stud") and "cone24" in [other.family for other in part.ends]:
                wanted |= {"chamfer-60"}
            assert lacks(part, each) == wanted, (part.id, each.id)
    assert {tuple(sorted(lacks(*pair))) for part in find((coned, coned)) for pair in ((part, coned),)} == {(), ("shoulder-and-seal",)}
    (nipple,) = find((stud, coned), "straight")
    assert not lacks(nipple, stud) and not lacks(nipple, coned)


def test_find_takes_ends_in_any_order_and_any_kind_of_tee() -> None:
    a, b = end("orb", "-6", "stud"), end("jic", "-8", "male")
    assert find((a, b)) == find((b, a)) == find((a, b), "straight") != ()
    assert find((a, b), "90") == () == find((), "cap")
    legs = (end("jic", "-8", "swivel"), end("jic", "-8", "male"), end("jic", "-8", "male"))
    assert {part.shape for part in find(legs, "tee")} == {"tee-run", "tee-branch"}


def test_words_of_a_part() -> None:
    say = {part.id: part.say for part in all_parts()}
    assert say["90:orb-6-stud-adj+jic-6-male"] == "90°, ORB -6 male stud, adjustable × JIC -6 male"
    assert say["straight:hose-8-tail+jic-8-swivel"].startswith("hose end, straight, ")
    assert say["cap:jic-6-swivel"] == "cap, JIC -6 female swivel"
    assert say["tee-run:jic-8-male+jic-8-male+jic-8-swivel"].startswith("run tee, JIC -8 male × JIC -8 male × ")


def test_what_turns_or_can_be_set_is_not_rigid() -> None:
    def one(shape: str, *ids: str) -> Part:
        (part,) = find(tuple(end_by_id(word) for word in ids), shape)
        return part

    assert one("straight", "orb-6-stud", "jic-6-male").rigid
    assert one("90", "npt-1/2-male", "npt-1/2-male").rigid
    assert not one("90", "orb-6-stud-adj", "jic-6-male").rigid
    assert not one("straight", "jic-6-male", "jic-8-swivel").rigid


def test_counts_per_pair_of_families() -> None:
    """Pinned with the reasons beside each; a changed rule must show here."""
    order = families()
    count: dict[str, Counter[str]] = defaultdict(Counter)
    for part in all_parts():
        key = " ".join(dict.fromkeys(sorted((each.family for each in part.ends), key=order.index)))
        count[key].update({"offered": 1, part.had: 1})
    now = {key: [str(found[name]) for name in ("offered", *GRADES)] for key, found in count.items()}
    columns = ("offered", "common", "made", "to_order")
    assert now == {row["families"]: [row[name] for name in columns] for row in authority("counts")}


# The tables behind the rules


def test_a_step_is_a_size_of_the_ladder_and_a_half_step_one_between() -> None:
    """Ladder of the trade: 2 4 6 8 10 12 16 20 24 32 40; -3, -5, -14 and pipe 5/8 are half steps."""
    whole = ["-2", "-4", "-6", "-8", "-10", "-12", "-16", "-20", "-24", "-32"]
    assert [step("jic", size, "orb") for size in whole] == list(range(10))
    assert [step("jic", size, "orb") for size in ("-3", "-5", "-14")] == [0.5, 1.5, 5.5]
    assert [step("npt", size, "bspt") for size in ("1/8", "1/4", "3/8", "1/2", "3/4", "1")] == [0, 1, 2, 3, 4, 5]
    assert step("bspp", "5/8", "bspt") == 3.5
    assert step("npt", "3/4", "orb") == step("orb", "-12", "npt")
    assert step("cone24", "15L", "orb") is None


def _sized(half: str, size: str) -> End:
    key, form = half.split()
    return end(key, size, form)


def test_every_row_of_every_table_offers_something() -> None:
    """A rule that matches no size is a slip of the pen."""
    for row in table("parts/rules"):
        key = row["shape"], row["end_a"], row["end_b"]
        jumps = {float(jump) for jump in row["jumps"].split()}
        got = {float(_jump(part)) for part in offered()[key]}
        assert jumps <= got, row
    for row in table("parts/pairs"):
        for shape, pair in product(row["shapes"].split(), row["sizes"].split()):
            size_a, size_b = pair.split(":")
            assert find((_sized(row["end_a"], size_a), _sized(row["end_b"], size_b)), shape), (row, pair)
    for row in table("parts/blanks"):
        for size in row["sizes"].split():
            assert find((_sized(row["end"], size),), row["shape"]), (row["end"], size)
    for number, row in enumerate(table("parts/tees")):
        assert parts._tees_of_row(number), row


def test_every_table_is_pinned() -> None:
    pinned = {
        "blanks": (24, 7), "couplers": (207, 9), "envelopes": (708, 18), "ladder": (24, 6), "not-made": (82, 8),
        "lacks": (3, 7), "pairs": (56, 8), "rules": (390, 13), "seen": (1338, 6), "shapes": (16, 3), "tees": (82, 13)}
    assert {name: (len(table(f"parts/{name}")), len(table(f"parts/{name}")[0])) for name in pinned} == pinned
    assert Counter(row["confidence"] for row in table("parts/seen")) == {"A": 223, "B": 1115}
