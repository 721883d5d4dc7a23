"""Hoses, couplers and oils against scopes of standards and published tables, each read in the page its row names."""

import csv
from pathlib import Path

import pytest

from fittings.circuit.lengths import tolerance_mm
from fittings.circuit.oil import oil, viscosity_cst
from fittings.tables import Row, table

AUTHORITIES = Path(__file__).parent / "authorities"


def facts(name: str) -> list[Row]:
    with (AUTHORITIES / f"circuit_{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", facts("hose_scopes"), ids=lambda row: row["type"])
def test_temperatures_and_sizes_are_within_the_scope(row: Row) -> None:
    ours = [each for each in table("hose/hoses") if each["type"] == row["type"]]
    assert ours
    for each in ours:
        assert (each["temp_min_c"], each["temp_max_c"]) == (row["temp_min_c"], row["temp_max_c"])
        assert float(each["bore_mm"]) >= float(row["size_min_mm"]) - 0.3


@pytest.mark.parametrize("row", facts("iso1307_bores"), ids=lambda row: row["dn"])
def test_bores_are_those_of_the_standard(row: Row) -> None:
    """R5 and R14 count by the tube that they replace, and plastic hose is made on no mandrel: none of these claims ISO 1307."""
    ours = [each for each in table("hose/hoses") if each["dn"] == row["dn"] and each["bore_source"] == "iso-1307-bores"]
    assert ours or row["dn"] in ("63", "76", "100")
    for each in ours:
        assert [float(each[name]) for name in ("bore_min_mm", "bore_max_mm")] == [float(row[name]) for name in ("bore_min_mm", "bore_max_mm")]


@pytest.mark.parametrize("row", facts("length_tolerances"), ids=lambda row: f"{row['scheme']} DN {row['bore_mm']} {row['length_mm']}")
def test_a_hose_may_be_so_much_longer_or_shorter(row: Row) -> None:
    assert tolerance_mm(float(row["length_mm"]), float(row["bore_mm"]), row["scheme"]) == pytest.approx((float(row["plus_mm"]), float(row["minus_mm"])))


@pytest.mark.parametrize("row", facts("iso14541"), ids=lambda row: row["size"])
def test_a_coupler_loses_what_iso_14541_prints(row: Row) -> None:
    ours = [each for each in table("hose/couplers") if each["size"] == row["size"] and float(each["rated_lpm"]) == float(row["rated_lpm"])]
    assert ours
    assert float(row["drop_bar"]) in [float(each["drop_bar"]) for each in ours]


@pytest.mark.parametrize("row", facts("iso3448"), ids=lambda row: row["oil"])
def test_oil_keeps_to_its_class(row: Row) -> None:
    """ISO 3448: within a tenth of the grade at 40 °C; at 100 °C what an oil of viscosity index about 100 has, typical figures."""
    assert float(row["cst_40c_min"]) <= viscosity_cst(oil(row["oil"]), 40) <= float(row["cst_40c_max"])
    assert viscosity_cst(oil(row["oil"]), 100) == pytest.approx(float(row["cst_100c_typical"]), rel=0.06)
