"""Seal rings: AS568 numbers and sizes, and which ring belongs where."""

import csv
from pathlib import Path

import pytest

from fittings.tables import table

AUTHORITIES = Path(__file__).parent / "authorities"


def authority(name: str) -> list[dict[str, str]]:
    with (AUTHORITIES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def ring(key: str) -> dict[str, str]:
    return dict(next(row for row in table("rings") if row["key"] == key))


def used(family: str, size: str, form: str) -> tuple[str, str]:
    rows = [row for row in table("ring-use") if (row["family"], row["size"], row["form"]) == (family, size, form)]
    assert len(rows) == 1
    return rows[0]["ring"], rows[0]["confidence"]


@pytest.mark.parametrize("row", authority("ends_as568"), ids=lambda row: row["key"])
def test_as568_sizes(row: dict[str, str]) -> None:
    found = ring(row["key"])
    assert (float(found["id_in"]), float(found["cs_in"])) == (float(row["id_in"]), float(row["cs_in"]))
    assert float(found["id_mm"]) == pytest.approx(float(row["id_in"]) * 25.4, abs=0.011)
    assert float(found["cs_mm"]) == pytest.approx(float(row["cs_in"]) * 25.4, abs=0.011)
    if row["boss"]:
        for form in ("stud", "stud-adj"):
            assert used("orb", row["boss"].removeprefix("ORB "), form) == (row["key"], "A")


def test_the_last_two_digits_of_a_boss_ring_are_the_dash() -> None:
    # Naval training text on AS568-9xx.
    rows = [row for row in table("ring-use") if row["family"] == "orb"]
    assert len(rows) == 26
    for row in rows:
        assert int(row["ring"][-2:]) == int(row["size"].removeprefix("-"))


def test_misprints_of_the_port_dataset_are_not_adopted() -> None:
    # It prints 2.56 mm for the section of -910 and 59.09 for the inside diameter of -928; both break their series.
    assert ring("AS568-910")["cs_mm"] == "2.46"
    assert ring("AS568-928")["id_mm"] == "53.09"
    assert {ring("AS568-910")["confidence"], ring("AS568-928")["confidence"]} == {"C"}


@pytest.mark.parametrize(
    ("family", "size", "form", "key"),
    [
        # All from memory.
        ("orfs", "-4", "male", "AS568-011"),
        ("orfs", "-8", "male", "AS568-014"),
        ("orfs", "-12", "male", "AS568-018"),
        ("iso6149", "M18x1.5", "stud", "15.3x2.2"),
        ("iso6149", "M27x2", "stud-adj", "23.6x2.9"),
        ("code61", "-16", "head", "AS568-219"),
        ("code62", "-16", "head", "AS568-219"),
        ("cone24", "15L", "swivel", "12x2"),
        ("bspp", "2", "stud", "bonded G2"),
        ("iso6149", "M48x2", "stud", "44.6x2.9"),
    ],
)
def test_pairings_from_memory_are_marked_so(family: str, size: str, form: str, key: str) -> None:
    assert used(family, size, form) == (key, "C")


@pytest.mark.parametrize(("family", "size", "own", "loose"), [
    ("bspp", "1/2", "elastomer G1/2", "bonded G1/2"), ("iso9974", "M22x1.5", "elastomer M22", "bonded M22"),
])
def test_a_flat_face_stud_has_its_own_ring_and_one_that_may_be_laid_under_it(family: str, size: str, own: str, loose: str) -> None:
    """Form E has an elastomer ring in its shoulder; a bonded seal belongs under a stud that has none (port article)."""
    rows = {row["role"]: (row["ring"], row["confidence"]) for row in table("ring-use") if (row["family"], row["size"]) == (family, size)}
    assert rows == {"face seal": (own, "C"), "loose seal": (loose, "C")}


def test_the_ring_of_a_form_e_stud_lies_inside_its_collar() -> None:
    """Collars of studs, read off a catalogue of stud and port forms: the ring must lie inside, with metal round it, and inside the
    narrow spotface of the port."""
    collars = {(row["family"], row["size"]): float(row["value"]) for name in ("figures/iso-1179", "figures/iso-9974") for row in table(name)
               if row["figure"] == "collar_od_mm"}
    own = {(row["family"], row["size"]): ring(row["ring"]) for row in table("ring-use") if row["ring"].startswith("elastomer")}
    assert len(own) == 20 and set(own) <= set(collars)
    for of, held in own.items():
        assert float(held["id_mm"]) < float(held["od_mm"]) < collars[of] - 0.4, of


def test_the_largest_face_seal_has_no_ring_in_the_tables() -> None:
    # Which ring -32 takes was not found anywhere: better none than a guess.
    assert not [row for row in table("ring-use") if (row["family"], row["size"]) == ("orfs", "-32")]


def test_bonded_seals_are_too_wide_for_the_narrow_spotface() -> None:
    # Eight of eight G sizes against the narrow spotface of DIN 3852-2.
    narrow = {
        row["size"]: float(row["value"])
        for row in table("figures/iso-1179")
        if row["figure"] == "spotface_din_3852_min_mm"
    }
    assert len(narrow) == 8
    for size, spotface in narrow.items():
        assert float(ring(f"bonded G{size}")["od_mm"]) > spotface


def test_the_thickness_of_a_bonded_seal_is_never_better_than_memory() -> None:
    for row in table("rings"):
        if row["kind"] == "bonded":
            assert row["thickness_confidence"] == "C"


@pytest.mark.parametrize("row", authority("ends_ring_tolerances"), ids=lambda row: row["key"])
def test_tolerances_of_rings(row: dict[str, str]) -> None:
    found = ring(row["key"])
    for name in ("id_mm", "cs_mm", "id_tol_mm", "cs_tol_mm"):
        assert float(found[name]) == float(row[name]), name
