"""Lengths and hexagons of parts against figures that are printed elsewhere, and against the parts themselves."""

import csv
from pathlib import Path

import pytest

from fittings.ends import end_by_id
from fittings.envelopes import Envelope, envelope, envelopes
from fittings.parts import Part, all_parts, find
from fittings.tables import table

AUTHORITIES = Path(__file__).parent / "authorities"


def authority(name: str) -> list[dict[str, str]]:
    with open(AUTHORITIES / f"parts_{name}.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def one(ends: str, shape: str) -> Part:
    (part,) = find(tuple(end_by_id(word) for word in ends.split()), shape)
    return part


@pytest.mark.parametrize("row", authority("lengths"), ids=lambda row: f"{row['ends']} {row['figure']}")
def test_lengths_as_printed(row: dict[str, str]) -> None:
    found = envelope(one(row["ends"], row["shape"]))
    assert found is not None
    assert getattr(found, row["figure"]) == pytest.approx(float(row["mm"]), abs=0.05)


@pytest.mark.parametrize("row", authority("orfs_orb_lengths_inch"), ids=lambda row: row["ends"])
def test_face_seal_connectors_against_the_inch_table(row: dict[str, str]) -> None:
    """A fitting maker's table in inches, to 0.01 in: 0.13 mm of rounding, and the same again in the millimetres."""
    every = envelopes(one(row["ends"], "straight"))
    (ours,) = [each for each in every if each.source == "face-seal-connector-table"]
    assert ours.overall_length_mm == pytest.approx(float(row["overall_in"]) * 25.4, abs=0.2)
    assert ours.body_hex_mm == pytest.approx(float(row["hex_in"]) * 25.4, abs=0.02)


def test_two_makers_agree_but_where_the_stud_is_the_smaller_end() -> None:
    """Straight ORFS with ORB: 0.6 mm where the stud is equal or larger, from -8 up; 4 to 6 mm where it is smaller."""
    apart = {}
    for part in all_parts():
        lengths = {each.source: each.overall_length_mm for each in envelopes(part)}
        theirs, ours = lengths.get("face-seal-connector-table"), lengths.get("maker-adapter-catalogue-reprint")
        if theirs is not None and ours is not None:
            stud, tube = part.ends
            apart[stud.size, tube.size] = (theirs - ours, (stud.nominal_16ths or 0) - (tube.nominal_16ths or 0))
    assert len(apart) == 15
    assert all(abs(more) <= 0.65 for more, larger in apart.values() if larger >= 0)
    smaller = {sizes: more for sizes, (more, larger) in apart.items() if larger < 0 and sizes[0] not in ("-4", "-6")}
    assert set(smaller) == {("-8", "-10"), ("-10", "-12"), ("-12", "-16"), ("-16", "-20")}
    assert all(3.9 <= more <= 6 for more in smaller.values())


def test_every_row_belongs_to_a_part_and_says_something() -> None:
    key = ("shape", "end_a", "size_a", "end_b", "size_b")
    held = {tuple(row[name] for name in key) for row in table("parts/envelopes")}
    reached = set()
    for part in all_parts():
        if envelopes(part):
            first, last = part.ends[0], part.ends[-1]
            far = (f"{last.family} {last.form}", last.size) if len(part.ends) > 1 else ("", "")
            reached.add((part.shape, f"{first.family} {first.form}", first.size, *far))
    assert reached == held
    figures = Envelope._fields[:-3]
    assert [row for row in table("parts/envelopes") if not any(row[name] for name in figures)] == []


def test_measures_are_those_of_a_part_one_can_hold() -> None:
    for part in all_parts():
        for each in envelopes(part):
            for name in Envelope._fields[:-3]:
                value = getattr(each, name)
                assert value is None or 0 < value < 400, (part.id, name)
            if each.overall_length_mm and each.thread_a_mm and each.thread_b_mm:
                assert each.thread_a_mm + each.thread_b_mm < each.overall_length_mm + 0.05, part.id
            if each.overall_length_mm and each.cutoff_mm:
                assert each.cutoff_mm < each.overall_length_mm, part.id


def test_an_unmeasured_part_has_no_envelope() -> None:
    part = one("iso7241a-1/2-body npt-1/2-female", "coupler")
    assert envelopes(part) == () and envelope(part) is None


def test_the_long_drop_is_kept_apart() -> None:
    part = one("jic-6-male npt-1/4-male", "90")
    versions = {each.version for each in envelopes(part)}
    assert versions == {"", "long drop"}
    ordinary = envelope(part)
    assert ordinary is not None and ordinary.version == ""
    (long,) = [each for each in envelopes(part) if each.version]
    assert (long.leg_b_mm or 0) > (ordinary.leg_b_mm or 0)


def test_table_of_envelopes_is_pinned() -> None:
    """Column sums in mm, against a slip of the pen."""
    rows = table("parts/envelopes")
    sums = {name: round(sum(float(row[name]) for row in rows if row[name]), 1) for name in Envelope._fields[:-3]}
    assert sums == {
        "overall_length_mm": 24552.6, "leg_a_mm": 8182.5, "leg_b_mm": 7665.5,
        "thread_a_mm": 197.2, "thread_b_mm": 361.8, "cutoff_mm": 5396.2,
        "drop_mm": 1977.7, "body_hex_mm": 17227.3, "nut_hex_mm": 6867.4}
