"""Dimensions in `data/figures/` against the tables they were read from, and threads per size."""

import csv
from pathlib import Path

import pytest

from fittings.tables import names, table
from fittings.tables.geometry import in_use, value

AUTHORITIES = Path(__file__).parent / "authorities"


def authority(name: str) -> list[dict[str, str]]:
    """Rows of a transcribed table, each with the document and where it was read."""
    with (AUTHORITIES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def text(family: str, size: str, figure: str) -> str:
    return in_use()[family, size, figure][1]["value"]


def rows_of(family: str, size: str, figure: str) -> list[tuple[float, str]]:
    return [
        (float(row["value"]), row["confidence"])
        for name in names()
        if name.startswith("figures/")
        for row in table(name)
        if (row["family"], row["size"], row["figure"]) == (family, size, figure)
    ]


@pytest.mark.parametrize("row", authority("ends_threads_per_size"), ids=lambda row: f"{row['family']} {row['size']}")
def test_thread_of_each_size(row: dict[str, str]) -> None:
    threads = {(each["family"], each["size"]): each["thread"] for each in table("sizes")}
    assert threads[row["family"], row["size"]] == row["thread"]


@pytest.mark.parametrize(("name", "family"), [("ends_j1926_ports", "orb"), ("ends_iso6149_ports", "iso6149")])
def test_o_ring_ports(name: str, family: str) -> None:
    for row in authority(name):
        for figure in row.keys() - {"size", "document", "read_in"}:
            assert value(family, row["size"], figure) == float(row[figure]), (row["size"], figure)


@pytest.mark.parametrize("row", authority("ends_code61"), ids=lambda row: row["size"])
def test_code_61_pattern(row: dict[str, str]) -> None:
    size = row["size"]
    for figure, column in (
        ("dn_mm", "dn_mm"),
        ("port_bore_max_mm", "port_bore_max_mm"),
        ("bolt_spacing_long_mm", "bolt_long_mm"),
        ("bolt_spacing_short_mm", "bolt_short_mm"),
    ):
        assert value("code61", size, figure) == float(row[column]), figure
    assert text("code61", size, "screw_metric_text") == row["screw_metric"]
    assert text("code61", size, "screw_inch_text") == row["screw_inch"]


def test_code_61_pattern_is_in_inch_fractions() -> None:
    # The true pattern is in sixteenths and thirty-seconds of an inch (two flange makers, open CAD dataset).
    for row in table("figures/sae-j518"):
        if row["family"] == "code61" and row["figure"].startswith("bolt_spacing") and row["figure"].endswith("_in"):
            assert (float(row["value"]) * 32).is_integer(), row
            millimetres = value("code61", row["size"], row["figure"].replace("_in", "_mm"))
            assert millimetres == pytest.approx(float(row["value"]) * 25.4, abs=0.06)


def test_code_62_stands_wider_than_code_61() -> None:
    # Alert of a fluid-power safety institute: at 1 in the pattern is 0.064 and 0.188 in wider.
    wider = [
        value("code62", "-16", f"bolt_spacing_{side}_in") - value("code61", "-16", f"bolt_spacing_{side}_in")
        for side in ("short", "long")
    ]
    assert wider == pytest.approx([0.064, 0.188], abs=0.003)


@pytest.mark.parametrize(
    "row", authority("ends_iso7241"), ids=lambda row: f"{row['family']} {row['size']} {row['figure']}"
)
def test_coupler_tips(row: dict[str, str]) -> None:
    assert value(row["family"], row["size"], row["figure"]) == float(row["value"])


def test_flow_of_couplers() -> None:
    # A coupling maker's data sheets by size, L/min; 189 at series A size 25 by two makers.
    printed = {
        "iso16028": {"1/4": 12, "3/8": 23, "1/2": 45, "5/8": 74, "3/4": 100, "1": 189},
        "iso7241a": {"3/8": 23, "1/2": 45, "3/4": 106, "1": 189, "1-1/4": 288, "1-1/2": 379, "2": 757},
    }
    for family, flows in printed.items():
        assert {size: value(family, size, "rated_flow_lpm") for size in flows} == flows


@pytest.mark.parametrize(
    ("family", "size", "figure", "degrees"),
    [
        ("jic", "-6", "seat_deg", 37),
        ("sae45", "-6", "seat_deg", 45),
        ("invflare", "-6", "seat_deg", 42),
        ("cone24", "15L", "seat_deg", 12),
        ("bsp60", "1/2", "seat_deg", 30),
        ("jis30", "1/2", "seat_deg", 30),
        ("npsm", "1/2", "seat_deg", 30),
        ("npt", "1/2", "chamfer_seat_deg", 30),
        ("metric30", "M22x1.5", "seat_deg", 30),
        ("orb", "-6", "chamfer_deg", 12),
        ("orb", "-8", "chamfer_deg", 15),
        ("iso6149", "M10x1", "chamfer_deg", 12),
    ],
)
def test_angles_are_per_side(family: str, size: str, figure: str, degrees: float) -> None:
    # SAE J514, J512, J1926-1; ISO 8434-1, 8434-6, 6149-1; JIS B 8363; ASME B1.20.1: the names of the families.
    assert value(family, size, figure) == degrees


def test_pipe_gauging_figures() -> None:
    # ASME B1.20.1, basic dimensions, as reprinted by a pipe supplier and an engineering firm; 1/8 and 1/4 after 1983.
    printed = {
        "1/8": (0.36351, 0.1615, 0.37360),
        "1/4": (0.47739, 0.2278, 0.49163),
        "3/8": (0.61201, 0.240, 0.62701),
        "1/2": (0.75843, 0.320, 0.77843),
        "3/4": (0.96768, 0.339, 0.98887),
        "1": (1.21363, 0.400, 1.23863),
        "1-1/4": (1.55713, 0.420, 1.58338),
        "1-1/2": (1.79609, 0.420, 1.82234),
        "2": (2.26902, 0.436, 2.29627),
    }
    found = {
        size: tuple(
            value("npt", size, figure)
            for figure in ("pitch_dia_small_end_in", "hand_tight_engagement_in", "pitch_dia_hand_tight_in")
        )
        for size in printed
    }
    assert found == printed


def test_two_columns_of_the_wide_bspp_spotface_leave_the_smaller_in_use() -> None:
    # What an ISO 1179-1 port guarantees is the smaller figure; memory's wider column is most likely DIN 3852-2.
    assert rows_of("bspp", "1/2", "spotface_wide_min_mm") == [(29.6, "B"), (34.0, "C")]
    for size in ("1/8", "1/4", "3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2"):
        first, second = (number for number, _ in rows_of("bspp", size, "spotface_wide_min_mm"))
        assert first < second


@pytest.mark.parametrize(
    ("family", "size", "figure", "values"),
    [
        ("iso6149", "M48x2", "full_thread_depth_min_mm", [22, 21.5]),  # port-milling program; memory
        ("iso6149", "M60x2", "full_thread_depth_min_mm", [24.5, 24]),  # 27.5 less 1.5 P; memory
        (
            "iso6149",
            "M20x1.5",
            "full_thread_depth_min_mm",
            [14, 14.5],
        ),  # stud and port form catalogue; port-milling program
        ("iso6149", "M10x1", "chamfer_depth_mm", [1.6, 2.2]),  # the same two
        ("cone24", "22L", "through_bore_mm", [19, 18]),  # catalogue body; one stud adapter
        (
            "jic",
            "-16",
            "nut_hex_in",
            [1.5, 1.5, 1.625, 1.625],
        ),  # header maker; wood-chipper maker; swivel and tube nut each
        ("code62", "-40", "bolt_spacing_short_mm", [58.7, 58.8]),  # memory; manifold-drawing program
    ],
)
def test_both_sources_are_kept_the_one_in_use_first(family: str, size: str, figure: str, values: list[float]) -> None:
    assert [number for number, _ in rows_of(family, size, figure)] == values


def test_the_screw_of_code_62_at_1_1_4_is_left_open() -> None:
    rows = [
        row
        for row in table("figures/sae-j518")
        if (row["family"], row["size"], row["figure"]) == ("code62", "-20", "screw_metric_text")
    ]
    assert [(row["value"], row["confidence"]) for row in rows] == [("M12", "C"), ("M14", "C")]
    assert not [row for row in table("torque") if (row["family"], row["size"]) == ("code62", "-20")]


def test_face_seal_nuts() -> None:
    # Digest of SAE J1453-3 (2012), inch and metric wrench.
    printed = {"-4": (0.6875, 17), "-8": (0.9375, 24), "-16": (1.625, 41), "-24": (2.25, 60), "-32": (2.875, 75)}
    assert {size: (value("orfs", size, "nut_hex_in"), value("orfs", size, "nut_hex_mm")) for size in printed} == printed


def test_body_hex_of_straight_face_seal_connectors() -> None:
    # A fitting maker's table of straight connectors, transcribed in an open CAD dataset.
    printed = {
        "-4": 5 / 8,
        "-6": 3 / 4,
        "-8": 7 / 8,
        "-10": 1 + 1 / 16,
        "-12": 1.25,
        "-16": 1.5,
        "-20": 1.875,
        "-24": 2.125,
        "-32": 2.75,
    }
    assert {size: value("orfs", size, "body_hex_in") for size in printed} == printed


def test_45_degree_flares_of_both_practices_are_held() -> None:
    # SAE J533 digest: 1/4 single 8.0 to 8.3; air-conditioner manuals: up to 9.1.
    assert (value("sae45", "-4", "single_flare_od_min_mm"), value("sae45", "-4", "single_flare_od_max_mm")) == (
        8.0,
        8.3,
    )
    assert value("sae45", "-4", "refrigeration_flare_od_max_mm") == 9.1


@pytest.mark.parametrize("row", authority("ends_figures_more"), ids=lambda row: f"{row['family']} {row['size']} {row['figure']}")
def test_figures_that_nothing_else_holds(row: dict[str, str]) -> None:
    assert float(row["value"]) in [figure for figure, _ in rows_of(row["family"], row["size"], row["figure"])]
