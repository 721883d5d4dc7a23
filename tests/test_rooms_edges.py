"""Questions at the edge of what a room answers: many limits at once, sizes in words, what was given and need not be assumed."""

import datetime
import zipfile
from pathlib import Path

import pytest
from worked_reasons import BACK, DRAIN, LIFT, LOWER, MOTOR, RAM, SYSTEM, TANK, TURN, VALVE, job, job_text

from fittings import units
from fittings.circuit.flow import Stretch, drop_psi, line_drop_psi
from fittings.ends import End, end, end_by_id, families
from fittings.job.ends_of_hose import Wanted, no_way, ways
from fittings.job.mistakes import BadJob
from fittings.job.reading import read_job
from fittings.job.saved_plan import LARGEST_BYTES, BadPlan, read_plan_file
from fittings.limits import Limits
from fittings.lookalikes import lookalikes
from fittings.planner import join
from fittings.ratings import Ring, strongest_hose
from fittings.stock import BadShelf, Shelf, join_with_shelf
from fittings.stock.sheets import LARGEST_WORKBOOK, sheet_rows


def test_of_many_families_to_avoid_only_those_that_matter_are_told() -> None:
    """Only pipe links a 45° flare to an O-ring boss (common practice, no source); ten families stand under avoid."""
    spared = ("sae45", "orb", "jic", "orfs", "bspp", "hose")
    avoid = tuple(each for each in families() if each not in spared)
    assert len(avoid) > 9
    refused = join(end_by_id("sae45-6-swivel"), end_by_id("orb-6-stud"), Limits(avoid=avoid)).refused
    assert refused is not None
    told = [fact.text for fact in refused.facts if fact.code == "limit-avoid"]
    assert "you asked to avoid npt" in told
    assert len(told) < len(avoid)


def test_of_many_families_kept_from_a_hose_only_those_in_conflict_are_told() -> None:
    port = end("orb", "-8", "port")
    wanted = Wanted(2750, tuple(each for each in families() if each not in ("orb", "hose")))
    assert ways("-8", port, wanted) == ()
    refused = no_way("-8", port, wanted)
    assert refused.kind == "excluded by your limits"
    assert {fact.text for fact in refused.facts if fact.code == "limit-avoid"} < {f"you asked to avoid {each}" for each in wanted.avoid}


@pytest.mark.parametrize(("typed", "size"), [("1/2 in", "-8"), ("12.7 mm", "-8"), ("3/4", "-12"), ("#8", "-8"), ("8", "-8"), ("dash 8", "-8")])
def test_a_hose_size_as_people_write_it(typed: str, size: str) -> None:
    """A dash is a sixteenth of an inch of bore."""
    read = read_job(job_text(lines=(f'{LIFT}\nhose = {{ size = "{typed}" }}', LOWER, BACK)))
    assert read.line[0].hose is not None
    assert read.line[0].hose.size == size


@pytest.mark.parametrize("typed", ["wide", "1/3 in", "-0"])
def test_a_hose_size_that_is_none(typed: str) -> None:
    with pytest.raises(BadJob, match="not a hose size"):
        read_job(job_text(lines=(f'{LIFT}\nhose = {{ size = "{typed}" }}', LOWER, BACK)))


def test_what_is_given_is_not_assumed() -> None:
    told = {code for code, _, _ in job(lines=(LIFT, LOWER, BACK + '\npressure = "200 psi"\nflow = "18 gpm"'))}
    assert not told & {"return-pressure-assumed", "return-flow", "return-can-be-pressurised"}
    told = {code for code, _, _ in job((VALVE, MOTOR, TANK), (TURN, DRAIN + '\nflow = "0.5 gpm"', BACK + '\npressure = "200 psi"'))}
    assert "drain-flow-assumed" not in told


@pytest.mark.parametrize("fit", ['eye = "2 in", gap = "2 in"', 'pin = "1 in", hole = "1 in"', 'port_from_pin = "3 in", obstacle_from_pin = "2 in"'])
def test_what_fits_needs_nothing(fit: str) -> None:
    told = {code for code, _, _ in job((VALVE, f"{RAM}\nfit = {{ {fit} }}", TANK))}
    assert not told & {"spacers", "sleeve", "port-covered", "fit-impossible"}


def test_a_line_in_two_stretches_takes_what_the_whole_takes() -> None:
    whole = drop_psi(11, 0.5, 84, 20.6, 0.845)
    assert line_drop_psi([Stretch(0.5, 42), Stretch(0.5, 42)], 11, 20.6, 0.845) == pytest.approx(whole)
    assert line_drop_psi([Stretch(0.5, 42), Stretch(0.375, 42)], 11, 20.6, 0.845) > whole


@pytest.mark.parametrize(("content", "says"), [(b'{"lines": [], "psi": NaN}', "NaN is no number"), (b"[" * 100_000, "not a saved plan"),
                                               (b" " * (LARGEST_BYTES + 1), "too long for a saved plan"), (b"3", "it has no list of lines")],
                         ids=["NaN", "brackets", "too long", "a number"])
def test_a_saved_plan_that_is_none(tmp_path: Path, content: bytes, says: str) -> None:
    file = tmp_path / "plan.json"
    file.write_bytes(content)
    with pytest.raises(BadPlan, match=says):
        read_plan_file(str(file))


def test_ends_that_a_caliper_cannot_tell_apart() -> None:
    """1/2-14 NPT and R1/2 have one pitch within half a percent: the marking or the flanks tell (a gauge maker's page)."""
    told = {each.end.family: each.tell_apart for each in lookalikes(end_by_id("npt-1/2-male"))}
    assert "flanks 60° against 55° under a profile gauge" in told["bspt"]
    light = {each.end.id: each.tell_apart for each in lookalikes(end_by_id("cone24-15L-male"))}
    assert any("same thread, no caliper tells them apart" in text for text in light.values())


def test_a_shelf_is_of_no_help_where_there_is_no_chain() -> None:
    answer = join_with_shelf(end_by_id("invflare-6-female"), end_by_id("orb-6-port"), Limits(), Shelf("shelf.csv", (), ()))
    assert answer.refused is not None


def test_workbooks_that_are_none(tmp_path: Path) -> None:
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    book.active.append(["qty", "part"])
    book.active.append([2.0, datetime.date(2026, 3, 8)])
    book.save(tmp_path / "dates.xlsx")
    rows = [cells for _, cells in sheet_rows(str(tmp_path / "dates.xlsx"))]
    assert rows[1][0] == "2"
    assert "date" in rows[1][1]
    with zipfile.ZipFile(tmp_path / "large.xlsx", "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", b"0" * (LARGEST_WORKBOOK + 1))
    with pytest.raises(BadShelf, match="too large"):
        list(sheet_rows(str(tmp_path / "large.xlsx")))


def test_units_of_print_that_are_none() -> None:
    with pytest.raises(units.BadQuantity, match="answers are printed in inch, metric or both"):
        units.units_style("furlong")


def test_the_small_job_stands() -> None:
    """The job that the examples change is itself without a refusal."""
    assert "kind" not in {level for _, level, _ in job(system=SYSTEM)}


def test_a_question_without_a_pressure_types_none() -> None:
    assert Limits().pressure_typed == "" and Limits(psi=3000).pressure_typed == "3000"


def test_no_strongest_hose_where_no_hose_of_that_size_is_made() -> None:
    """The widest hose of SAE J517 is R4 of 4 in, -64."""
    assert strongest_hose(End("hose", "-96", "bore")) is None


def test_a_ring_without_its_section_is_called_by_its_number_alone() -> None:
    assert Ring("AS568-908", "o-ring", None, None, None, None, (), "C", "").say == "O-ring AS568-908"
