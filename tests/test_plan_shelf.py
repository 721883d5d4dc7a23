"""A plan that takes from the shelf first: what it takes and buys, against counts by hand, brute force and its own laws."""

import csv
import io
import json
from collections import Counter
from itertools import product
from pathlib import Path

import openpyxl
import pytest
from budget import examples
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fittings.circuit.hose import hose
from fittings.cli import run
from fittings.job.demands import flows_of
from fittings.job.hand import EMPTY, Hand
from fittings.job.model import Job, Line
from fittings.job.one_hose import Draft
from fittings.job.plan import draft_line, plan
from fittings.job.reading import read_job, read_job_file
from fittings.job.recheck import plan_flaws
from fittings.job.result import Plan
from fittings.notation import read_part
from fittings.parts import Part, find
from fittings.reports import bill as bills
from fittings.reports.plan_json import plan_json
from fittings.stock import Bins, Shelf, ShelfHose, ShelfRow
from fittings.stock.weighing import score

TOP = Path(__file__).parents[1]

TWO_LINES = """
[system]
relief = "2500 psi"
flow = "8 gpm"
[[component]]
name = "valve"
ports = { A = "ORB -8 port", B = "ORB -8 port" }
[[component]]
name = "block"
kind = "manifold"
ports = { cap = "ORB -6 port", rod = "ORB -6 port" }
[[line]]
name = "out"
from = "valve.A"
to = "block.cap"
route = { length = "60 in" }
[[line]]
name = "in"
from = "valve.B"
to = "block.rod"
route = { length = "72 in" }
"""


def part(words: str) -> Part:
    read = read_part(words)
    return find(read.ends, read.shape or "straight")[0]


def shelf_of(*rows: tuple[int, Part] | tuple[int, Part, float], hoses: tuple[tuple[str, str, float], ...] = ()) -> Shelf:
    made = [ShelfRow(number, row[0], row[1].say, row[1], None, row[2] if len(row) > 2 else None, f"bin {number}", "")
            for number, row in enumerate(rows, 2)]
    made += [ShelfRow(number, 1, "hose", None, ShelfHose(*each), None, "wall", "") for number, each in enumerate(hoses, len(rows) + 2)]
    return Shelf("shelf.csv", tuple(made), ())


def parts_of(of: Plan) -> Counter[Part]:
    found: Counter[Part] = Counter()
    for line in of.every_line:
        found.update(used.part for used in (*line.from_parts, *line.to_parts))
        found.update(line.tees)
    return found


def test_an_adapter_on_the_shelf_is_taken_once_and_the_second_is_bought() -> None:
    """Two valve ports of one kind and one adapter for them: one is taken, the other bought (counted by hand)."""
    job = read_job(TWO_LINES)
    bought = plan(job)
    valve = bought.lines[0].from_parts[0].part
    of = plan(job, None, shelf_of((1, valve)))
    rows = {(item.from_stock, item.place): item.qty for item in of.bill if item.say == valve.say}
    assert rows == {(True, "bin 2"): 1, (False, ""): 1}
    assert of.shelf is not None
    assert of.shelf.taken == 1
    assert of.shelf.bought == sum(parts_of(bought).values()) - 1


def test_an_empty_shelf_changes_no_line() -> None:
    job = read_job(TWO_LINES)
    assert plan(job, None, Shelf("s", (), ())).lines == plan(job).lines


def test_another_adapter_is_chosen_when_it_lies_there() -> None:
    """The best adapter is ORB to 37° flare; one to the face seal that lies on the shelf saves buying it."""
    job = read_job(TWO_LINES)
    faced = part("ORB -8 male x ORFS -8 male")
    of = plan(job, None, shelf_of((2, faced)))
    assert [line.from_parts[0].part for line in of.lines] == [faced, faced]
    assert plan(job).lines[0].from_parts[0].part != faced
    assert of.shelf is not None and of.shelf.taken == 2


def test_a_part_that_does_not_hold_is_left_on_the_shelf() -> None:
    """ORB to NPT at -8: 1/2 NPT is not rated for 5000 psi by SAE J514, so the shelf's adapter is not taken."""
    text = TWO_LINES.replace("2500 psi", "5000 psi")
    pipe = part("ORB -8 male x NPT 1/2 male")
    of = plan(read_job(text), None, shelf_of((2, pipe)))
    assert pipe not in parts_of(of)


def test_families_to_be_avoided_stay_on_the_shelf() -> None:
    faced = part("ORB -8 male x ORFS -8 male")
    of = plan(read_job(TWO_LINES + '[limits]\navoid = ["orfs"]\n'), None, shelf_of((2, faced)))
    assert faced not in parts_of(of)


def test_elbow_on_the_shelf_serves_where_an_elbow_is_asked_for() -> None:
    text = TWO_LINES.replace('route = { length = "60 in" }', 'route = { length = "60 in" }\nat_from = { shape = "90" }')
    elbow = part("90 ORB -8 male x JIC -8 male")
    of = plan(read_job(text), None, shelf_of((1, elbow)))
    assert of.lines[0].from_parts[0].part == elbow
    assert next(item for item in of.bill if item.say == elbow.say).from_stock


def test_tee_on_the_shelf_is_taken() -> None:
    job = read_job_file(str(TOP / "docs" / "examples" / "tailgate.toml"))
    plain = plan(job)
    tees = Counter(tee for line in plain.every_line for tee in line.tees)
    tee = next(iter(tees))
    of = plan(job, None, shelf_of((1, tee)))
    assert sum(item.qty for item in of.bill if item.sort == "tee" and item.from_stock) == 1
    assert sum(item.qty for item in of.bill if item.sort == "tee") == sum(tees.values())


def test_hose_is_cut_from_the_shelf_longest_first() -> None:
    """72 in of route and 60 in of route off pieces of 100 in and 70 in (lengths worked by hand: each piece serves one line)."""
    job = read_job(TWO_LINES)
    kind = plan(job).lines[0].hose
    assert kind is not None
    of = plan(job, None, shelf_of(hoses=((kind.hose.type, kind.hose.size, 100.0), (kind.hose.type, kind.hose.size, 75.0))))
    cut = {item.for_: item.place for item in of.bill if item.sort == "hose"}
    assert cut == {("out",): "wall", ("in",): "wall"}
    assert all("only" not in item.note and "cut from the hose at wall" in item.note for item in of.bill if item.sort == "hose")
    short = plan(job, None, shelf_of(hoses=((kind.hose.type, kind.hose.size, 30.0),)))
    assert all(not item.place for item in short.bill if item.sort == "hose")


def test_pieces_of_hose_are_not_cut_twice() -> None:
    bins = Bins(shelf_of(hoses=(("2SN", "-8", 100.0), ("2SN", "-8", 60.0))))
    cut = bins.cut([("2SN", "-8", 55.0), ("2SN", "-8", 90.0), ("2SN", "-8", 50.0), ("2SN", "-6", 5.0)])
    # 90 out of 100 leaves 10; 55 out of 60 leaves 5; nothing is left for 50; no -6 is there
    assert [row and row.number for row in cut] == [3, 2, None, None]


def test_another_type_of_hose_is_chosen_when_it_lies_there_and_serves() -> None:
    job = read_job(TWO_LINES)
    first = plan(job).lines[0].hose
    assert first is not None
    other = next(kind for kind in ("2SN", "R17", "2SC", "1SN") if kind != first.hose.type and hose(kind, first.hose.size).pressure_psi >= 2500)
    of = plan(job, None, shelf_of(hoses=((other, first.hose.size, 500.0),)))
    assert {line.hose.hose.type for line in of.lines if line.hose} == {other}


def test_weaker_hose_on_the_wall_is_left_there() -> None:
    """1SN -8 holds 2320 psi (EN 853): it hangs on the wall and is not used at 2500 psi."""
    of = plan(read_job(TWO_LINES), None, shelf_of(hoses=(("1SN", "-8", 500.0),)))
    assert all(line.hose is not None and line.hose.hose.type != "1SN" for line in of.lines)


def test_plug_for_an_open_port_is_taken_from_the_shelf() -> None:
    of = plan(read_job(TWO_LINES), None, shelf_of((1, find((part("ORB -8 male x JIC -8 male").ends[0],), None)[0])))
    plugs = [item for item in of.bill if item.sort == "plug" and item.from_stock]
    assert [(item.qty, item.place) for item in plugs] == [(1, "bin 2")]


def test_rings_come_from_the_shelf_as_far_as_they_go() -> None:
    """Two -8 ports need two rings AS568-908 (SAE J1926) and one spare: two of three lie there, one is bought."""
    shelf = Shelf("s", (ShelfRow(2, 2, "o-ring 908", None, None, 0.1, "box", "", "AS568-908"),), ())
    of = plan(read_job(TWO_LINES), None, shelf)
    rows = [(item.qty, item.from_stock, item.place) for item in of.bill if "AS568-908" in item.say]
    assert rows == [(2, True, "box"), (1, False, "")]


# --- exactness and laws -------------------------------------------------------------------------------------------------

def _draft(job: Job, line: Line, hand: Hand) -> Draft:
    drafted = draft_line(job, line, flows_of(job), None, hand)
    assert isinstance(drafted, Draft)
    return drafted


def _near(job_text: str) -> list[Part]:
    """Parts that might serve the two lines: what the pairs of ends of their hoses are made of."""
    job = read_job(job_text)
    found = {}
    for line in job.line:
        draft = _draft(job, line, EMPTY)
        for pair in draft.pairs:
            for way in pair:
                for used in way.adapters:
                    found[used.part.id] = used.part
    return [found[key] for key in sorted(found)]


NEAR = _near(TWO_LINES)
SHELVES = st.lists(st.tuples(st.integers(1, 2), st.sampled_from(NEAR)), max_size=6, unique_by=lambda row: row[1].id)


@settings(max_examples=examples(25), deadline=None, suppress_health_check=list(HealthCheck))
@given(SHELVES)
def test_no_set_of_pairs_buys_less(rows: list[tuple[int, Part]]) -> None:
    """Every pair of ends of every hose, tried with every other: none has a better score than what the plan took."""
    job = read_job(TWO_LINES)
    shelf = shelf_of(*rows)
    on_hand = shelf.on_hand
    of = plan(job, None, shelf)
    drafts = [_draft(job, line, Hand(on_hand, frozenset())) for line in job.line]
    every = [[_Taken(tuple(used for way in pair for used in way.adapters)) for pair in draft.pairs] for draft in drafts]
    fewest = [min(len(each.parts) for each in some) for some in every]
    fair = [[each for each in some if len(each.parts) <= least or _short(each.parts, on_hand) < least]
            for some, least in zip(every, fewest, strict=True)]
    least = min(score(list(both), on_hand, {})[:2] for both in product(*({_key(each): each for each in some}.values() for some in fair)))
    assert of.shelf is not None
    assert (of.shelf.bought, of.shelf.kinds_bought) == least


class _Taken:
    cost = 0

    def __init__(self, parts) -> None:  # type: ignore[no-untyped-def]
        self.parts = parts


def _key(of: _Taken) -> tuple[str, ...]:
    return tuple(sorted(used.part.id for used in of.parts))


def _short(parts, on_hand) -> int:  # type: ignore[no-untyped-def]
    use = Counter(used.part for used in parts)
    return sum(max(count - on_hand.get(each, 0), 0) for each, count in use.items())


@settings(max_examples=examples(25), deadline=None, suppress_health_check=list(HealthCheck))
@given(SHELVES)
def test_plan_with_a_shelf_buys_no_more_and_passes_check(rows: list[tuple[int, Part]]) -> None:
    job = read_job(TWO_LINES)
    shelf = shelf_of(*rows)
    of = plan(job, None, shelf)
    assert of.shelf is not None
    assert of.shelf.bought <= sum(parts_of(plan(job)).values())
    assert plan_flaws(json.loads(json.dumps(plan_json(of)))) == []
    taken = Counter({item.say: round(item.qty) for item in of.bill if item.from_stock})
    there = Counter({each.say: count for each, count in shelf.on_hand.items()})
    assert taken <= there
    wanted = Counter({each.say: count for each, count in parts_of(of).items()})
    billed: Counter[str] = Counter()
    for item in of.bill:
        if item.sort in ("adapter", "tee"):
            billed[item.say] += round(item.qty)
    assert billed == wanted


# --- the verb ------------------------------------------------------------------------------------------------------------

@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "job.toml").write_text(TWO_LINES + '[stock]\nfile = "shelf.csv"\n', "utf-8")
    (tmp_path / "shelf.csv").write_text("qty,part,price,place\n1,ORB -8 male x JIC -8 male,3.90,=cmd()\n2,mystery,,\n", "utf-8")
    return tmp_path


def test_shelf_named_in_the_job_file_is_found_beside_it(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", str(folder / "job.toml"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["shelf"]["taken"] == 1
    assert [each["row"] for each in told["shelf"]["aside"]] == [3]
    assert [(item["qty"], item["from_stock"], item["place"]) for item in told["bill"] if "ORB -8 male stud × JIC" in item["say"]] == [
        (1, True, "=cmd()"), (1, False, None)]
    assert next(item["price"] for item in told["bill"] if "ORB -8 male stud × JIC" in item["say"] and not item["from_stock"]) == 3.9


def test_option_goes_before_the_job_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "other.csv").write_text("qty,part\n2,ORB -8 male x JIC -8 male\n", "utf-8")
    assert run(["plan", str(folder / "job.toml"), "--stock", str(folder / "other.csv"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["shelf"]["taken"] == 2


def test_missing_shelf_is_a_mistake_with_its_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "shelf.csv").unlink()
    assert run(["plan", str(folder / "job.toml")]) == 2
    line = (folder / "job.toml").read_text("utf-8").splitlines().index('file = "shelf.csv"') + 1
    assert f"job.toml:{line}: stock, file “shelf.csv”: there is no such file" in capsys.readouterr().err


def test_shelf_that_is_none_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "shelf.csv").write_text("a,b\n1,2\n", "utf-8")
    assert run(["plan", str(folder / "job.toml")]) == 2
    assert "names no column qty" in capsys.readouterr().err


def test_text_says_what_to_take_from_where(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", str(folder / "job.toml")]) == 0
    told = capsys.readouterr().out
    shelf = told[told.index("FROM THE SHELF"): told.index("BILL OF MATERIALS")]
    assert "    1  straight, ORB -8 male stud × JIC -8 male\n         from =cmd(), for out" in shelf
    assert "row 3 kept aside: “mystery”" in shelf


def test_bill_as_workbook_holds_no_formula(folder: Path) -> None:
    out = folder / "bill.xlsx"
    assert run(["plan", str(folder / "job.toml"), "--bill", str(out)]) == 0
    sheet = openpyxl.load_workbook(out).active
    rows = list(sheet.iter_rows())
    assert [cell.value for cell in rows[0]] == list(bills.COLUMNS)
    assert {cell.data_type for row in rows for cell in row} <= {"s", "n", "inlineStr"}
    assert "=cmd()" in {cell.value for row in rows for cell in row}
    quantities = [row[0].value for row in rows[1:]]
    table = list(csv.DictReader(io.StringIO(_bill_csv(folder))))
    assert quantities == [float(row["qty"]) for row in table]
    assert [row[1].value for row in rows[1:]] == [row["item"] for row in table]
    assert "'=cmd()" in {row["place"] for row in table}


def _bill_csv(folder: Path) -> str:
    out = folder / "bill.csv"
    assert run(["plan", str(folder / "job.toml"), "--bill", str(out)]) == 0
    return out.read_text("utf-8")
