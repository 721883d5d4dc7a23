"""Pressures in `data/ratings.csv` against what the standards' tables and the makers print."""

import csv
from pathlib import Path

import pytest

from fittings.tables import table

AUTHORITIES = Path(__file__).parent / "authorities"


def authority(name: str) -> list[dict[str, str]]:
    """Rows of a transcribed table, each with the document and where it was read."""
    with (AUTHORITIES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def in_use(family: str, size: str, form: str, series: str = "") -> dict[str, str]:
    rows = [
        row
        for row in table("ratings")
        if (row["family"], row["size"], row["form"], row["series"], row["use"]) == (family, size, form, series, "yes")
    ]
    assert len(rows) == 1, (family, size, form, series, len(rows))
    return dict(rows[0])


def also(family: str, size: str, form: str, series: str = "") -> list[float]:
    return [
        float(row["pressure_mpa"])
        for row in table("ratings")
        if (row["family"], row["size"], row["form"], row["series"], row["use"]) == (family, size, form, series, "also")
    ]


@pytest.mark.parametrize("row", authority("ends_j514_pressures"), ids=lambda row: row["dash"])
def test_j514_pressures_of_the_37_degree_end_and_the_boss_stud(row: dict[str, str]) -> None:
    for form, column in (("male", "tube_end_psi"), ("tube-nut", "tube_end_psi"), ("swivel", "swivel_psi")):
        assert in_use("jic", row["dash"], form)["pressure_psi"] == row[column]
    for form, column in (("stud", "boss_fixed_psi"), ("stud-adj", "boss_adjustable_psi")):
        assert in_use("orb", row["dash"], form, "L")["pressure_psi"] == row[column]


@pytest.mark.parametrize("row", authority("ends_j514_pipe_pressures"), ids=lambda row: row["pipe"])
def test_j514_pressures_of_pipe_ends(row: dict[str, str]) -> None:
    for form in ("male", "female"):
        assert in_use("npt", row["pipe"], form)["pressure_psi"] == row["nptf_psi"]
    assert in_use("npsm", row["pipe"], "swivel")["pressure_psi"] == row["npsm_swivel_psi"]


@pytest.mark.parametrize("row", authority("ends_j1453_pressures"), ids=lambda row: row["size"])
def test_j1453_pressures_of_the_face_seal_and_its_adjustable_stud(row: dict[str, str]) -> None:
    for form in ("male", "swivel"):
        assert float(in_use("orfs", row["size"], form)["pressure_mpa"]) == float(row["face_seal_mpa"])
    assert float(in_use("orb", row["size"], "stud-adj", "S")["pressure_mpa"]) == float(row["with_adjustable_stud_mpa"])


def test_a_face_seal_size_that_no_table_shows_takes_the_lower_neighbour() -> None:
    for size, neighbour in (("-10", "-16"), ("-12", "-16"), ("-20", "-24")):
        for family, form, series in (("orfs", "male", ""), ("orb", "stud-adj", "S"), ("orb", "stud", "S")):
            ours, theirs = in_use(family, size, form, series), in_use(family, neighbour, form, series)
            assert ours["pressure_psi"] == theirs["pressure_psi"], (family, size, form)


def test_the_heavy_fixed_stud_is_held_to_the_adjustable_one_and_memory_stands_beside_it() -> None:
    # Lower bounds from the digest of SAE J1453-3: its 63 MPa at -4 is the face-seal column, not a stud rating.
    assert float(in_use("orb", "-8", "stud", "S")["pressure_mpa"]) == 41.3
    assert 63.0 in also("orb", "-8", "stud", "S")
    assert float(in_use("orb", "-20", "stud-adj", "S")["pressure_mpa"]) == 20.7
    assert 27.5 in also("orb", "-20", "stud-adj", "S")


@pytest.mark.parametrize("row", authority("ends_cone24_pressures"), ids=lambda row: row["size"])
def test_24_degree_pressures_iso_in_use_and_the_makers_pn_beside_it(row: dict[str, str]) -> None:
    for form in ("male", "swivel", "tube-nut"):
        used = in_use("cone24", row["size"], form)
        assert float(row["maker_pn_bar"]) / 10 in also("cone24", row["size"], form)
        assert float(used["pressure_mpa"]) <= float(row["maker_pn_bar"]) / 10
        if row["iso_mpa"]:
            assert float(used["pressure_mpa"]) == float(row["iso_mpa"])


def test_24_degree_sources_that_disagree_leave_the_lower_in_use() -> None:
    # A tube-fitting catalogue prints 400 and 315 bar, a trade table for tube fitters 250 for both.
    assert float(in_use("cone24", "30S", "male")["pressure_mpa"]) == 25
    assert float(in_use("cone24", "38S", "male")["pressure_mpa"]) == 25
    # 315 bar is the maker's PN, 16 MPa a memory of the ISO table: a factor of two, the lower is used.
    assert float(in_use("cone24", "18L", "swivel")["pressure_mpa"]) == 16
    # ISO 8434-4:1995, scope: light to 25 MPa, heavy to 63 MPa.
    for row in table("ratings"):
        if row["family"] == "cone24" and row["use"] == "yes":
            assert float(row["pressure_mpa"]) <= (63 if row["size"].endswith("S") else 25)


@pytest.mark.parametrize("row", authority("ends_code61"), ids=lambda row: row["size"])
def test_code_61_pressures(row: dict[str, str]) -> None:
    # 3-1/2 and 5 in are not printed: the lowest step of the standard, as at 4 in.
    printed = float(row["pressure_bar"] or 34)
    for form in ("head", "pad"):
        assert float(in_use("code61", row["size"], form)["pressure_mpa"]) * 10 == pytest.approx(printed, abs=0.5)


def test_code_61_by_the_words_of_the_trade() -> None:
    # 345 276 207 172 138 bar return 5000 4000 3000 2500 2000 psi; "3000 psi series" is true at 1-1/2 and 2 in only.
    spoken = {"-8": 5000, "-12": 5000, "-16": 5000, "-20": 4000, "-24": 3000, "-32": 3000, "-40": 2500, "-48": 2000}
    assert {size: int(in_use("code61", size, "pad")["pressure_psi"]) for size in spoken} == spoken


def test_code_62_is_6000_psi_at_every_size() -> None:
    # Titles of ISO 6162-2 and SAE J518-2: 42 MPa (6000 psi), DN 13 to 76.
    for size in ("-8", "-12", "-16", "-20", "-24", "-32", "-40", "-48"):
        assert in_use("code62", size, "head")["pressure_psi"] == "6000"


def test_the_ceilings_of_the_series_are_kept() -> None:
    # SAE J1926-2 63 / 41.3 MPa, J1926-3 35 MPa (digests of 2023); ISO 6149-2 63 / 40, ISO 6149-3 40 / 31.5 (scopes).
    ceilings = {
        ("orb", "stud", "S"): 63,
        ("orb", "stud-adj", "S"): 41.3,
        ("orb", "stud", "L"): 35,
        ("orb", "stud-adj", "L"): 35,
        ("iso6149", "stud", "S"): 63,
        ("iso6149", "stud-adj", "S"): 40,
        ("iso6149", "stud", "L"): 40,
        ("iso6149", "stud-adj", "L"): 31.5,
    }
    seen = set()
    for row in table("ratings"):
        key = row["family"], row["form"], row["series"]
        if key in ceilings and row["use"] == "yes":
            seen.add(key)
            assert float(row["pressure_mpa"]) <= ceilings[key], row
    assert seen == ceilings.keys()


def test_two_memories_of_the_large_iso_6149_studs_leave_the_lower() -> None:
    # From memory, two recollections: M27 and M33 40, M48 adjustable 20, M60 16 MPa.
    assert float(in_use("iso6149", "M27x2", "stud", "S")["pressure_mpa"]) == 40
    assert float(in_use("iso6149", "M48x2", "stud-adj", "S")["pressure_mpa"]) == 20
    assert float(in_use("iso6149", "M60x2", "stud-adj", "S")["pressure_mpa"]) == 16
    assert in_use("iso6149", "M48x2", "stud-adj", "S")["confidence"] == "C"


@pytest.mark.parametrize(("size", "mpa"), [("1/4", 35), ("3/8", 35), ("1/2", 35), ("3/4", 25), ("1", 25), ("2", 25)])
def test_bspp_ports_of_components(size: str, mpa: float) -> None:
    # Lowest PN of five makers' line-mounted steel valves: 35 MPa to G1/2, 25 above.
    assert float(in_use("bspp", size, "port")["pressure_mpa"]) == mpa


@pytest.mark.parametrize(
    ("family", "size", "mpa"),
    [
        ("iso7241a", "1/2", 25),  # European, by-size and US catalogues: 25, 32 and 35 MPa for one name
        ("iso7241a", "1-1/4", 25),
        ("iso7241a", "1-1/2", 23),
        ("iso7241a", "2", 17),  # data sheets by size: 250, 230, 170 bar
        ("iso16028", "1/2", 20),  # ISO 16028:1999, scope: 20 to 31.5 MPa
        ("iso16028", "1/4", 30),  # US catalogue, standard series at its smallest size
        ("iso16028", "1/8", 30),  # the same series ends at 30 MPa; another maker prints 50
    ],
)
def test_a_coupler_earns_the_low_figure_of_its_name(family: str, size: str, mpa: float) -> None:
    for form in ("tip", "body"):
        assert float(in_use(family, size, form)["pressure_mpa"]) == mpa


def test_45_degree_flare_is_rated_by_the_copper_tube() -> None:
    # Brass flare maker's sheet: copper tube below 73 °C.
    printed = {
        "-2": 2800,
        "-3": 1900,
        "-4": 1400,
        "-5": 1200,
        "-6": 1000,
        "-8": 750,
        "-10": 650,
        "-12": 550,
        "-14": 450,
    }
    assert {size: int(in_use("sae45", size, "male")["pressure_psi"]) for size in printed} == printed


def test_ends_that_no_table_rates_have_no_row() -> None:
    for family in ("bspt", "jis30", "metric30", "invflare"):
        assert not [row for row in table("ratings") if row["family"] == family]
    assert not [row for row in table("ratings") if row["family"] == "sae45" and row["size"] in ("-7", "-16")]
    assert not [row for row in table("ratings") if row["family"] == "bspp" and row["form"] == "stud-adj"]


def test_memory_is_never_shown_as_verified() -> None:
    for row in table("ratings"):
        if row["source"] == "memory":
            assert row["confidence"] == "C", row


def test_materials() -> None:
    # Two instrument-fitting makers, 24 ratios of brass to carbon steel: 0.495 to 0.541. ASME B16.3, class 150: 300 psi.
    rows = {row["code"]: row for row in table("derating")}
    assert (float(rows["brass"]["factor"]), float(rows["brass"]["low"])) == (0.50, 0.49)
    assert float(rows["stainless"]["factor"]) == 0.90
    assert float(rows["malleable-iron"]["factor"]) == 0
    assert "class 150 is 300 psi" in rows["malleable-iron"]["text"]
    nipples = {row["size"]: float(row["high"]) for row in table("derating") if row["code"] == "pipe-nipple-40"}
    assert [nipples[size] for size in ("1/2", "3/4", "1")] == [1515, 1315, 1170]


def test_only_an_end_that_is_crimped_is_rated_by_the_strongest_hose() -> None:
    from fittings.ends import end
    from fittings.ratings import strongest_hose

    assert strongest_hose(end("jic", "-8", "male")) is None
    assert strongest_hose(end("hose", "-8", "bore")) is not None
