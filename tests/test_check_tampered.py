"""The second opinion on a plan that somebody changed to make it look better: what the tables and the job say must be found out again."""

import ast
import copy
import json
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from fittings.job.plan import plan_text_of
from fittings.job.recheck import plan_flaws, second_opinion
from fittings.reports.plan_json import plan_json
from fittings.tables import table

Change = Callable[[dict[str, Any]], object]

LATHE_BED = """
title = "Press beside the lathe"
units = "inch"
[system]
relief = "3000 psi"
flow = "10 gpm"
oil = "ISO VG 46"
temperature = { cold = "0 C", hot = "60 C" }
[[component]]
name = "pump"
kind = "pump"
ports = { out = "ORB -10 port" }
[[component]]
name = "tank"
kind = "tank"
ports = { ret = "ORB -12 port" }
[[component]]
name = "valve"
kind = "valve"
ports = { P = "ORB -10 port", T = "ORB -12 port", A = "ORB -8 port", B = "ORB -8 port" }
[[component]]
name = "press"
ports = { cap = "ORB -8 port", rod = "ORB -8 port" }
cylinder = { bore = "3 in", rod = "2 in", stroke = "12 in" }
back_driven = false
[[line]]
name = "pressure"
from = "pump.out"
to = "valve.P"
kind = "pressure"
route = { length = "48 in" }
[[line]]
name = "return"
from = "valve.T"
to = "tank.ret"
kind = "return"
route = { length = "48 in" }
[[line]]
name = "a"
from = "valve.A"
to = "press.cap"
route = { length = "48 in" }
[[line]]
name = "b"
from = "valve.B"
to = "press.rod"
route = { length = "48 in" }
"""


def saved_of(text: str) -> dict[str, Any]:
    whole: dict[str, Any] = json.loads(json.dumps(plan_json(plan_text_of(text))))
    return whole


@cache
def _press() -> dict[str, Any]:
    return saved_of(LATHE_BED)


def found(change: Change, plan: dict[str, Any]) -> set[str]:
    changed = copy.deepcopy(plan)
    change(changed)
    return {flaw.code for flaw in plan_flaws(changed)}


def joints(plan: dict[str, Any]) -> list[dict[str, Any]]:
    """Every joint, in the lines and at the steps."""
    lines = [*plan["lines"], *(leg for line in plan["lines"] for leg in line["branches"])]
    return [*(joint for line in lines for joint in line["joints"]), *(step["joint"] for step in plan["steps"] if step["joint"])]


def test_the_plan_itself_stands() -> None:
    assert second_opinion(_press()).stands


# --- joints ------------------------------------------------------------------------------------------------------------------

def _rated_as_a_heavy_stud(plan: dict[str, Any]) -> None:
    """The stud -10 of a 37° fitting is rated 3500 psi (SAE J514), that of a face-seal fitting 5003 psi; the hose is rated 3988 psi."""
    plan["lines"][0]["rating_psi"] = 3988.0
    for joint in joints(plan):
        if joint["rating_psi"] == 3500:
            joint["rating_psi"] = 5003


HEAVY = {"low_nm": 98.0, "high_nm": 164.0, "school": "heavy"}
"""The band of a heavy -10 stud; the light one of a 37° fitting is 55.8 to 85.4 N·m."""


def _tightened_as_a_heavy_stud(plan: dict[str, Any]) -> None:
    for joint in joints(plan):
        if "orb-10-stud" in (joint["a"], joint["b"]):
            joint["torque"] = [{**joint["torque"][0], **HEAVY}]


def _last_band_alone(plan: dict[str, Any]) -> None:
    for joint in joints(plan):
        joint["torque"] = joint["torque"][-1:]


def _said_of_bands(**words: str) -> Change:
    return lambda plan: [band.update(words) for joint in joints(plan) for band in joint["torque"]]


def _at_a_step_only(plan: dict[str, Any]) -> None:
    step = next(each for each in plan["steps"] if each["joint"] and each["joint"]["torque"])
    step["joint"]["torque"] = [{**step["joint"]["torque"][0], "high_nm": 400.0}]


@pytest.mark.parametrize(("change", "code"), [
    (_rated_as_a_heavy_stud, "rating-too-high"), (_tightened_as_a_heavy_stud, "torque-differs"), (_last_band_alone, "torque-missing"),
    (_said_of_bands(says="for aluminium too"), "torque-differs"), (_said_of_bands(note="tighten it under pressure"), "torque-differs"),
    (_said_of_bands(confidence="A", source="iso-6149"), "torque-differs"), (_at_a_step_only, "torque-differs"),
    (lambda plan: [joint["torque"].reverse() for joint in joints(plan)], "torque-differs"),
    (lambda plan: [joint.update(no_torque_for="a light stud") for joint in joints(plan)], "torque-differs"),
    (lambda plan: [turn.update(ceiling_nm=400.0) for joint in joints(plan) for turn in joint["turns"]], "torque-differs"),
])
def test_a_stud_is_rated_and_tightened_by_its_own_part(change: Change, code: str) -> None:
    assert code in found(change, _press())


# --- cautions ----------------------------------------------------------------------------------------------------------------

FEEL = {"code": "tip", "stage": "before", "text": "Run a bare hand along each hose to find leaks.", "why": "", "sources": [], "confidence": "A"}


@pytest.mark.parametrize(("change", "code"), [
    (lambda plan: plan["cautions"].insert(0, FEEL), "caution-strange"),
    (lambda plan: plan["cautions"][1].update(why="it is harmless"), "words-differ"),
    (lambda plan: plan["cautions"][1].update(stage="after"), "words-differ"),
    (lambda plan: plan["cautions"].pop(1), "cautions-missing"),
    (lambda plan: plan["cautions"].reverse(), "cautions-disordered"),
    (lambda plan: plan["cautions"].append(plan["cautions"][0]), "cautions-disordered"),
])
def test_the_cautions_are_ours_word_for_word(change: Change, code: str) -> None:
    assert code in found(change, _press())


# --- the job ---------------------------------------------------------------------------------------------------------------------

TIPPER = """
title = "Tipping bed of a barrow on tracks"
units = "inch"
[system]
relief = "2500 psi"
flow = "3 gpm"
[[component]]
name = "power unit"
kind = "pump"
ports = { P = "ORB -6 port" }
[[component]]
name = "ram"
cylinder = { bore = "2 in", rod = "1.25 in", stroke = "20 in", load = "2000 lbf" }
ports = { cap = "ORB -6 port", rod = "ORB -6 port" }
vented = ["rod"]
back_driven = true
[[component]]
name = "motor"
kind = "motor"
ports = { A = "ORB -6 port", B = "ORB -6 port", D = "ORB -4 port" }
[[component]]
name = "spare valve"
kind = "valve"
ports = { A = "ORB -6 port", B = "ORB -6 port", T = "ORB -8 port" }
[[line]]
name = "tip"
from = "power unit.P"
to = "ram.cap"
route = { length = "40 in" }
[[line]]
name = "turn"
from = "spare valve.A"
to = "motor.A"
route = { length = "40 in" }
"""


@cache
def _tipper() -> dict[str, Any]:
    return saved_of(TIPPER)


def _off(word: str) -> Change:
    return lambda plan: plan.update(bill=[each for each in plan["bill"] if word not in each["say"]])


def _plug_in(reference: str, **new: Any) -> Change:
    """A plug for a port, of those that hold the relief setting."""
    def change(plan: dict[str, Any]) -> None:
        plug = next(each for each in plan["bill"] if each["sort"] == "plug" and not each["for"])
        plan["bill"].append({**plug, "note": plug["note"].replace("spare valve.B", reference), **new})
    return change


def _finding(level: str) -> Change:
    def change(plan: dict[str, Any]) -> None:
        plan["findings"] = [each for each in plan["findings"] if each["level"] != level]
    return change


def test_the_job_is_written_in_its_plan() -> None:
    """Without it nobody can tell which port must breathe and which may be shut."""
    assert "job-missing" in found(lambda plan: plan.pop("job"), _tipper())
    assert "job-unreadable" in found(lambda plan: plan["job"]["system"].pop("relief"), _tipper())
    assert found(lambda plan: None, _tipper()) == set()
    assert second_opinion(_tipper()).forbidden  # a plugged case drain blows the shaft seal


@pytest.mark.parametrize(("change", "code"), [
    (_off("breather"), "bill-short"), (_plug_in("motor.D"), "bill-long"), (_plug_in("spare valve.T"), "bill-long"),
    (_plug_in("spare valve.B"), "bill-long"), (_off("plug, ORB -6"), "bill-short"), (_plug_in("ram.rod", **{"for": ["tip"]}), "bill-long"),
    (lambda plan: [each.update(say="plug, ORB -4 male stud") for each in plan["bill"] if each["sort"] == "plug" and not each["for"]], "words-differ"),
    (lambda plan: plan["bill"].append({**plan["bill"][0], "sort": "extra", "say": "pressure plug for the vent"}), "bill-long"),
    (lambda plan: [each.update(spec="AS568 / ISO 3601, EPDM") for each in plan["bill"] if each["sort"] == "ring"], "words-differ"),
    (lambda plan: [each.update(note="steel, holds the relief setting") for each in plan["bill"] if each["sort"] == "plug" and each["for"]], "words-differ"),
    (lambda plan: [each.update(note="or a plug") for each in plan["bill"] if each["sort"] == "breather"], "words-differ"),
    (lambda plan: [each.update(say="US gallons of brake fluid") for each in plan["bill"] if each["sort"] == "oil"], "words-differ"),
])
def test_what_shuts_a_port_and_what_lets_it_breathe_is_worked_out_again(change: Change, code: str) -> None:
    assert code in found(change, _tipper())


@pytest.mark.parametrize(("change", "code"), [
    (_finding("refuse"), "finding-missing"), (_finding("info"), "finding-missing"),
    (lambda plan: plan["findings"][0].update(text="all is well"), "finding-strange"),
    (lambda plan: plan["findings"].append({"code": "fine", "level": "info", "text": "it may be shut", "sources": []}), "finding-strange"),
    (lambda plan: plan["lines"][0]["findings"].append({"code": "fine", "level": "info", "text": "it holds", "sources": []}), "finding-strange"),
    (lambda plan: plan["lines"][0]["findings"].append({"code": "hose-old", "level": "info", "text": "new", "sources": []}), "finding-strange"),
    (lambda plan: plan["lines"][0]["findings"].append({"code": "no-length", "level": "warn", "text": "", "sources": []}), "finding-strange"),
    (lambda plan: plan["lines"][0]["findings"].append({"code": "no-length", "level": "warn", "text": "x", "sources": ["hearsay"]}), "finding-strange"),
    (lambda plan: plan["cylinders"][0]["findings"].append({"code": "buckling", "level": "info", "text": "no", "sources": []}), "finding-strange"),
    (lambda plan: plan["lines"][0].update(max_psi=100.0), "pressure-too-low"), (lambda plan: plan["lines"][0].update(max_psi=2600.0), "pressure-differs"),
    (lambda plan: plan["lines"][0].update(flow_gpm=4.0), "flow-differs"), (lambda plan: plan["lines"][0].update(flow_why="a guess"), "flow-differs"),
    (lambda plan: plan.update(cylinders=[]), "cylinder-differs"), (lambda plan: plan["cylinders"][0].update(psi_to_push=1.0), "cylinder-differs"),
    (lambda plan: plan["system"].update(relief_psi=2000.0), "job-differs"), (lambda plan: plan.update(units="metric"), "job-differs"),
    (lambda plan: plan["lines"].pop(), "job-differs"), (lambda plan: plan["lines"][0].update(kind="return"), "job-differs"),
    (lambda plan: plan["lines"][0]["from"].update(port="ram.rod"), "job-differs"),
    (lambda plan: plan["lines"][0]["to"].update(end=plan["lines"][1]["hose"]["ends"][0]), "job-differs"),
    (lambda plan: plan["lines"][0].update(branches=[plan["lines"][1]]), "job-differs"),
    (lambda plan: plan["lines"][0].update(route={"length_in": 41.0}), "length-differs"),
])
def test_what_the_job_alone_demands_is_worked_out_again(change: Change, code: str) -> None:
    assert code in found(change, _tipper())


def test_a_pressure_line_is_not_planned_below_the_relief_by_a_word_of_the_plan() -> None:
    """A finding of somebody's own that says that something keeps the rest away lets nothing pass."""
    def change(plan: dict[str, Any]) -> None:
        plan["lines"][3]["max_psi"] = 100.0
        plan["lines"][3]["findings"].append({"code": "pressure-below-relief", "level": "info", "text": "", "sources": []})

    assert {"pressure-too-low", "finding-strange"} <= found(change, _press())


FROM_JOB_ALONE = ("cylinder.py", "oil.py", "between.py", "check_valves.py", "cold_way.py", "cylinder_fit.py", "cylinders.py", "demands.py", "inside.py",
                  "margins.py", "regeneration.py", "rod_sides.py", "rubber.py", "seats.py", "series.py", "shares.py", "whole_circuit.py", "wrong_kind.py")
"""Modules whose findings are worked out again word for word."""


def _either(node: ast.expr) -> Iterator[str]:
    if isinstance(node, ast.IfExp):
        yield from (*_either(node.body), *_either(node.orelse))
    else:
        yield ast.literal_eval(node)


def test_every_finding_of_a_line_stands_in_the_table_with_its_levels() -> None:
    """A code that is not there would be called strange in a plan of our own: add its row to `data/line-findings.csv`."""
    source: dict[str, set[str]] = {}
    for path in sorted(Path(__file__).resolve().parent.parent.joinpath("fittings").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if path.name not in FROM_JOB_ALONE and isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding":
                code, level = (list(_either(each)) for each in node.args[:2])
                for each in code:
                    source.setdefault(each, set()).update(level)
    assert {row["code"]: set(row["levels"].split()) for row in table("line-findings")} == source
