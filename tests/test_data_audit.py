"""The data check itself: it passes on the tables as they are, and it fails on tables that are wrong."""

from collections.abc import Callable

import pytest

from fittings.tables import audit, geometry, names, pins, preferred, table
from fittings.tables.schema import Condition, Rating, model_of, row_problems, validate_all

Change = Callable[[dict[str, str]], None]


def test_every_cell_fits_its_model() -> None:
    assert validate_all() == []


@pytest.mark.parametrize("check", audit.CHECKS, ids=lambda check: check.__name__)
def test_the_tables_pass(check: Callable[[], object]) -> None:
    assert list(check()) == []


def test_every_table_has_a_model() -> None:
    assert [name for name in names() if model_of(name) is None] == []


@pytest.fixture
def altered(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Makes the audit see one table with a change in the rows that match."""

    def alter(name: str, change: Change, **match: str) -> None:
        rows = [dict(row) for row in table(name)]
        chosen = [row for row in rows if all(row[column] == cell for column, cell in match.items())]
        assert chosen, match
        for row in chosen:
            change(row)

        def altered_table(asked: str) -> list[dict[str, str]]:
            return rows if asked == name else table(asked)

        for room in (audit, geometry, pins, preferred):
            monkeypatch.setattr(room, "table", altered_table)
        for cached in (geometry.in_use, geometry._threads, geometry._rings):
            cached.cache_clear()

    yield alter
    monkeypatch.undo()
    for cached in (geometry.in_use, geometry._threads, geometry._rings):
        cached.cache_clear()


@pytest.mark.parametrize(
    ("check", "name", "column", "cell", "match", "says"),
    [
        (
            audit.pressures,
            "ratings",
            "pressure_psi",
            "9000",
            {"family": "jic", "size": "-8", "form": "male"},
            "is not 31.0 MPa",
        ),
        (
            audit.pressures,
            "ratings",
            "pressure_mpa",
            "20.6",
            {"family": "jic", "size": "-8", "form": "swivel"},
            "is not 20.6",
        ),
        (
            audit.pressures,
            "ratings",
            "use",
            "yes",
            {"family": "cone24", "size": "18L", "form": "male"},
            "a second figure in use",
        ),
        (
            audit.j514_factors,
            "ratings",
            "pressure_psi",
            "3900",
            {"family": "jic", "size": "-8", "form": "swivel"},
            "SAE J514 says 0.89",
        ),
        (
            audit.torques,
            "torque",
            "low_nm",
            "900",
            {"family": "jic", "size": "-8", "school": "steel nut"},
            "runs downwards",
        ),
        (
            audit.torques,
            "torque",
            "default",
            "yes",
            {"family": "orfs", "size": "-8", "school": "oiled"},
            "has 2 defaults",
        ),
        (audit.torques, "torque", "default", "no", {"family": "orfs", "size": "-8"}, "has 0 defaults"),
        (
            audit.ring_use,
            "ring-use",
            "ring",
            "AS568-999",
            {"family": "orb", "size": "-8", "form": "stud"},
            "AS568-999 is not in",
        ),
        (
            audit.ends,
            "torque",
            "form",
            "port",
            {"family": "jic", "size": "-8", "form": "swivel"},
            "there is no jic -8 port",
        ),
        (audit.ends, "ratings", "size", "-9", {"family": "jic", "size": "-8", "form": "male"}, "there is no jic -9"),
        (
            audit.figure_names,
            "figures/sae-j514",
            "value",
            "3/8",
            {"size": "-2", "figure": "tube_od_in"},
            "is not a number above 0",
        ),
        (
            audit.figure_names,
            "figures/sae-j514",
            "figure",
            "bore_mm",
            {"size": "-2", "figure": "through_bore_in"},
            "has no meaning",
        ),
        (
            audit.monotone,
            "figures/sae-j514",
            "value",
            "1.5",
            {"size": "-6", "figure": "through_bore_in"},
            "falls from 1.5",
        ),
        (
            audit.provenance,
            "flats",
            "source",
            "hearsay",
            {"family": "orb", "size": "-8"},
            "hearsay is not in data/sources.csv",
        ),
        (
            audit.provenance,
            "flats",
            "source",
            "memory",
            {"family": "orb", "size": "-8"},
            "memory alone is confidence C, not B",
        ),
        (
            audit.provenance,
            "flats",
            "confidence",
            "A",
            {"family": "orb", "size": "-8"},
            "wants two independent sources",
        ),
        (audit.pins, "figures/sae-j514", "value", "0.393", {"size": "-8", "figure": "through_bore_in"}, "cells, sum "),
        (
            geometry.cavities,
            "figures/sae-j1926",
            "value",
            "15",
            {"size": "-2", "figure": "chamfer_deg"},
            "wider than the thread",
        ),
        (
            geometry.cavities,
            "figures/sae-j1926",
            "value",
            "21.6",
            {"size": "-8", "figure": "seal_chamfer_dia_mm"},
            "mm on the mouth",
        ),
        (
            geometry.cavities,
            "figures/sae-j1926",
            "value",
            "0.75",
            {"size": "-8", "figure": "pilot_bore_in"},
            "not inside the thread",
        ),
        (geometry.cavities, "rings", "cs_mm", "2.56", {"key": "AS568-910"}, "the ring is +0.40 mm"),
        (
            geometry.depths,
            "figures/iso-6149",
            "value",
            "16.5",
            {"size": "M18x1.5", "figure": "tap_drill_depth_min_mm"},
            "should be 2.5",
        ),
        (geometry.rings, "rings", "id_mm", "59.09", {"key": "AS568-928"}, "is not 59.09 mm"),
        (geometry.rings, "rings", "id_mm", "19.2", {"key": "19.3x2.2"}, "should be 2.7"),
        (geometry.rings, "ring-use", "ring", "AS568-016", {"family": "orfs", "size": "-8"}, "should be +0.0"),
        (geometry.rings, "ring-use", "ring", "AS568-222", {"family": "code61", "size": "-16"}, "should be 0.296"),
        (
            geometry.cones,
            "figures/iso-8434-1",
            "value",
            "11.5",
            {"size": "15L", "figure": "through_bore_mm"},
            "the wall between",
        ),
        (
            geometry.taper,
            "figures/asme-b1-20",
            "value",
            "0.402",
            {"size": "1-1/2", "figure": "hand_tight_engagement_in"},
            "E1 is",
        ),
        (
            geometry.flares,
            "figures/sae-j514",
            "value",
            "0.8",
            {"size": "-10", "figure": "flare_od_max_in"},
            "does not lie between",
        ),
        (
            geometry.two_units,
            "figures/sae-j518",
            "value",
            "62.3",
            {"size": "-20", "figure": "bolt_spacing_long_mm"},
            "mm apart",
        ),
        (geometry.bonded, "rings", "od_mm", "30.0", {"key": "bonded G1/2"}, "wider than the spotface"),
        (geometry.bonded, "rings", "id_mm", "22.9", {"key": "bonded G1/2"}, "mm of play on the thread"),
        (
            geometry.cavities,
            "figures/sae-j1926",
            "figure",
            "bore_mm",
            {"size": "-8", "figure": "chamfer_deg"},
            "chamfer depth and angle, pilot or spotface is missing",
        ),
        (
            geometry.cavities,
            "figures/sae-j1926",
            "value",
            "20",
            {"size": "-8", "figure": "spotface_wide_min_mm"},
            "is not wider than the mouth",
        ),
        (
            geometry.depths,
            "figures/sae-j1926",
            "value",
            "14.0",
            {"size": "-8", "figure": "tap_drill_depth_min_mm"},
            "is not deeper than the full thread",
        ),
        (geometry.rings, "ring-use", "ring", "15.3x2.2", {"family": "cone24", "size": "6L"}, "is not between tube"),
        (geometry.rings, "figures/sae-j518", "value", "30", {"family": "code61", "size": "-16", "figure": "head_dia_mm"}, "does not lie between bore"),
        (geometry.cones, "figures/iso-8434-1", "figure", "bore_mm", {"size": "15L", "figure": "tube_od_mm"}, "the tube is missing"),
        (geometry.cones, "figures/iso-8434-1", "value", "33", {"size": "15L", "figure": "nut_hex_mm"}, "on one thread"),
        (
            geometry.flares,
            "figures/iso-7241",
            "value",
            "19",
            {"family": "iso7241a", "size": "1/4", "figure": "probe_tip_dia_min_mm"},
            "is above",
        ),
        (preferred.spanners, "figures/iso-8434-1", "value", "28", {"size": "15L", "figure": "nut_hex_mm"}, "no spanner is 28 mm"),
        (preferred.spanners, "parts/envelopes", "body_hex_mm", "22.9", {"body_hex_mm": "22.2"}, "no spanner is 22.9 mm"),
        (preferred.seats, "figures/sae-j514", "value", "38", {"size": "-8", "figure": "seat_deg"}, "and a seat has one angle"),
        (preferred.seats, "figures/sae-j514", "value", "90", {"figure": "cone_included_deg"}, "a cone of 90° does not sit on a seat of 37°"),
        (preferred.tubes, "figures/sae-j514", "value", "0.625", {"size": "-8", "figure": "tube_od_in"}, "a tube of 0.625 in is no -8"),
        (preferred.tubes, "figures/iso-8434-1", "value", "16", {"size": "15L", "figure": "tube_od_mm"}, "a tube of 16 mm is no 15L"),
        (preferred.tubes, "sizes", "nominal_16ths", "9", {"family": "jic", "size": "-8"}, "jic -8 is 9 sixteenths"),
        (preferred.both_units, "hose/hoses", "pressure_psi", "3088", {"type": "2SN", "size": "-8"}, "pressure_psi 3088 is not pressure_bar 275"),
        (preferred.both_units, "hose/hoses", "bore_mm", "12.9", {"type": "2SN", "size": "-8"}, "is no 32nd of an inch"),
        (audit.torques, "flats", "low_flats", "9", {"family": "jic", "size": "-8", "form": "swivel"}, "runs downwards"),
        (audit.torques, "torque", "port", "aluminium", {"default": "yes", "family": "jic"}, "the default must be a steel port"),
        (audit.ring_use, "rings", "key", "AS568-906", {"key": "AS568-908"}, "AS568-906 stands twice"),
        (audit.ring_use, "ring-use", "size", "-6", {"family": "orb", "size": "-8"}, "has 2 rings"),
        (audit.provenance, "sources", "id", "memory", {"id": "practice"}, "memory is listed twice"),
        (audit.provenance, "flats", "source", "", {"family": "orb", "size": "-8"}, "a confidence without a source"),
        (audit.doubled, "figures/sae-j514", "size", "-6", {"size": "-8", "figure": "seat_deg"}, "stands 2 times"),
        (audit.figure_names, "figure-names", "unit", "in", {"figure": "seat_deg"}, "seat_deg says in, its suffix says °"),
        (audit.figure_names, "figure-names", "figure", "nothing_mm", {"figure": "seat_deg"}, "nothing_mm is used by no row"),
        (audit.pins, "pins", "what", "nothing", {"table": "flats", "what": "low_flats"}, "flats nothing is pinned and gone"),
        (audit.pins, "pins", "what", "nothing", {"table": "flats", "what": "low_flats"}, "flats low_flats is not pinned"),
        (audit.pressures, "ratings", "use", "also", {"family": "jic", "size": "-8", "form": "male"}, "another figure beside none in use"),
    ],
    ids=lambda item: getattr(item, "__name__", None),
)
def test_a_slip_is_caught(
    altered: Callable[..., None],
    check: Callable[[], object],
    name: str,
    column: str,
    cell: str,
    match: dict[str, str],
    says: str,
) -> None:
    altered(name, lambda row: row.__setitem__(column, cell), **match)
    found = list(check())
    assert any(says in said for said in found), found


def test_figures_that_change_places_are_seen_though_no_sum_changes(altered: Callable[..., None]) -> None:
    swapped = {"-10": "1", "-12": "1.25"}  # as printed: 1.25 at -10, 1 at -12

    def swap(row: dict[str, str]) -> None:
        row["low_flats"] = swapped.get(row["size"], row["low_flats"])

    altered("flats", swap, family="jic", form="swivel")
    (said,) = audit.pins()
    assert said.startswith("pins: flats rows was 70 cells with the checksum ")


def test_a_rating_that_rises_with_size_is_caught(altered: Callable[..., None]) -> None:
    def raise_it(row: dict[str, str]) -> None:
        row["pressure_psi"], row["pressure_mpa"] = "5000", "34.5"

    altered("ratings", raise_it, family="jic", size="-10", form="male")
    assert any("rises from 4500 psi at -8 to 5000 at -10" in said for said in audit.pressures())


def test_an_adjustable_stud_above_its_fixed_twin_is_caught(altered: Callable[..., None]) -> None:
    def raise_it(row: dict[str, str]) -> None:
        row["pressure_psi"], row["pressure_mpa"] = "3625", "25"

    altered("ratings", raise_it, family="iso6149", size="M60x2", form="stud-adj", series="S", use="yes")
    assert any("is above its stud" in said for said in audit.pressures())


def test_the_exceptions_that_are_written_down_are_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(audit, "RISES", {})
    rising = list(audit.pressures())
    assert len([said for said in rising if "iso7241a" in said]) == 2
    assert len([said for said in rising if "iso9974" in said]) == 1
    assert len(rising) == 3
    monkeypatch.setattr(audit, "FALLS", {})
    assert {said.split(":")[0] for said in audit.monotone()} == {"iso6149 M20x1.5 port"}


@pytest.mark.parametrize(
    ("model", "row", "says"),
    [
        (Condition, {"condition": "ok", "says": "", "do": "look"}, "says '': String should have at least 1 character"),
        (Condition, {"condition": "ok", "says": "look"}, "column do: missing"),
        (Condition, {"condition": "ok", "says": "look", "do": "look", "why": ""}, "column why: not in the model"),
        (
            Rating,
            {
                "family": "jic",
                "size": "8",
                "form": "plug",
                "series": "",
                "context": "x",
                "pressure_psi": "5000",
                "pressure_mpa": "34.5",
                "use": "yes",
                "source": "memory",
                "confidence": "C",
                "note": "",
            },
            "form 'plug': Input should be 'port'",
        ),
        (
            Rating,
            {
                "family": "jic",
                "size": "-8",
                "form": "male",
                "series": "",
                "context": "x",
                "pressure_psi": "nan",
                "pressure_mpa": "34.5",
                "use": "yes",
                "source": "memory",
                "confidence": "C",
                "note": "",
            },
            "pressure_psi 'nan'",
        ),
    ],
)
def test_a_bad_cell_is_named(model: type, row: dict[str, str], says: str) -> None:
    found = row_problems(model, row, "x row 2")
    assert any(said.startswith("x row 2, ") and says in said for said in found), found
