"""`size` and `cylinder` against published worked examples, through the command line."""

import json
from typing import Any

import pytest

from fittings.cli import run


def asked(capsys: pytest.CaptureFixture[str], line: list[str], code: int = 0) -> dict[str, Any]:
    assert run([*line, "--json"]) == code
    answer = json.loads(capsys.readouterr().out)
    assert isinstance(answer, dict)
    return answer


def test_push_of_a_six_inch_cylinder(capsys: pytest.CaptureFixture[str]) -> None:
    # 70 650 lbf at 2500 psi (it takes pi for 3.14): a US fluid-power distributor's toolbox.
    assert asked(capsys, ["cylinder", "--bore", "6 in", "--rod", "3 in", "--psi", "2500 psi"])["push_lbf"] == pytest.approx(70_650, rel=1e-3)


def test_blocked_rod_port(capsys: pytest.CaptureFixture[str]) -> None:
    # 2800 psi on a 3 in bore with a 2 in rod gives 4900 psi (rounded, exact 5040): a cylinder repairer's safety page.
    answer = asked(capsys, ["cylinder", "--bore", "3 in", "--rod", "2 in", "--psi", "2800"])
    assert answer["rod_side_psi"] == pytest.approx(4900, rel=0.03)
    assert [each["code"] for each in answer["findings"]] == ["intensification"]


def test_bore_for_sixteen_gpm(capsys: pytest.CaptureFixture[str]) -> None:
    # 16 gpm at 20 ft/s: 5/8 in is the next hose: a hose catalogue's nomogram.
    answer = asked(capsys, ["size", "--flow", "16 gpm", "--psi", "2750"])
    assert answer["size"] == "-10"
    assert answer["bore_in"] == pytest.approx(0.5717, abs=5e-4)


def test_both_systems_of_units_give_one_answer(capsys: pytest.CaptureFixture[str]) -> None:
    # 11 gpm is 41.6395 L/min, 2750 psi is 189.606 bar: NIST SP 811.
    inch = asked(capsys, ["size", "--flow", "11 gpm", "--psi", "2750 psi", "--length", "10 ft", "--bore", "1/2 in"])
    metric = asked(capsys, ["size", "--flow", "41.6395 L/min", "--psi", "189.606 bar", "--length", "3.048 m", "--bore", "12.7 mm"])
    for name in ("bore_in", "velocity_fps", "reynolds", "drop_psi"):
        assert metric[name] == pytest.approx(inch[name], rel=1e-4)
    assert metric["hoses"] == inch["hoses"]


def test_what_was_not_asked_is_null(capsys: pytest.CaptureFixture[str]) -> None:
    answer = asked(capsys, ["cylinder", "--bore", "2.5", "--rod", "1.5"])
    assert {name for name, value in answer.items() if value is not None} == {"findings", "taken", "cap_in2", "annulus_in2", "phi"}


def test_bore_and_rod_alone_give_the_areas(capsys: pytest.CaptureFixture[str]) -> None:
    """6 in by 3 in: 28.26 and 21.19 in² (a US fluid-power distributor's toolbox, pi = 3.14); 36 / (36 - 9) = 1.333."""
    answer = asked(capsys, ["cylinder", "--bore", "6 in", "--rod", "3 in"])
    assert (answer["cap_in2"], answer["annulus_in2"], answer["phi"]) == pytest.approx((28.26, 21.19, 4 / 3), rel=1e-3)
    assert run(["cylinder", "--bore", "6 in", "--rod", "3 in", "--units", "inch"]) == 0
    assert "28.274 in²" in capsys.readouterr().out


def test_a_ram_has_nothing_to_say_of_its_rod_end(capsys: pytest.CaptureFixture[str]) -> None:
    answer = asked(capsys, ["cylinder", "--bore", "2 in", "--rod", "0 in", "--psi", "2000", "--load", "4000"])
    assert [answer[name] for name in ("pull_lbf", "psi_to_pull", "rod_side_psi", "annulus_in2", "phi")] == [None] * 5
    run(["cylinder", "--bore", "2 in", "--rod", "0 in", "--psi", "2000", "--load", "4000"])
    out = capsys.readouterr().out
    assert "pull" not in out and "rod side" not in out and "ram" in out


def test_what_a_bare_number_was_taken_for_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert asked(capsys, ["cylinder", "--bore", "2.5", "--rod", "1-1/2"])["taken"] == ["bore 2.5 taken as inches"]
    assert asked(capsys, ["size", "--flow", "11 gpm", "--bore", "0.5", "--length", "3 m"])["taken"] == ["bore 0.5 taken as inches"]
    run(["cylinder", "--bore", "2.5", "--rod", "1.25"])
    assert capsys.readouterr().out.startswith("bore 2.5 taken as inches; rod 1.25 taken as inches\n")


@pytest.mark.parametrize("line", [["cylinder", "--bore", "63", "--rod", "36"], ["size", "--flow", "11 gpm", "--bore", "12.7"]])
def test_a_bare_number_that_is_no_bore_in_inches_is_asked_back(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """63 by 36 mm is a bore and a rod of ISO 3320; 63 in is none."""
    error = asked(capsys, line, 2)["error"]
    assert error["kind"] == "ambiguous" and "inches or millimetres" in error["text"] and " mm" in error["ask"]


METRIC = ["--units", "metric"]


@pytest.mark.parametrize(("line", "says"), [
    (["size", "--flow", "42 L/min", *METRIC, "--psi", "190"], "no unit: the pressure"),
    (["size", *METRIC, "--flow", "42"], "no unit: the flow"),
    (["cylinder", "--bore", "63 mm", "--rod", "36 mm", *METRIC, "--psi", "190"], "no unit: the pressure"),
    (["cylinder", "--bore", "63 mm", "--rod", "36 mm", *METRIC, "--load", "5000"], "no unit: the load"),
])
def test_a_bare_number_in_a_metric_question_is_asked_back(line: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    """190 may be bar; taken for psi it chose a hose of 130 bar. The job file asks the same."""
    error = asked(capsys, line, 2)["error"]
    assert says.replace("load", "force") in error["text"] and "write it like" in error["text"]


def test_what_a_bare_pressure_flow_and_load_were_taken_for_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    line = ["size", "--flow", "11", "--psi", "2750"]
    assert asked(capsys, line)["taken"] == ["flow 11 taken as gpm", "pressure 2750 taken as psi"]
    assert asked(capsys, line)["psi"] == 2750
    run(line)
    assert "pressure line, 11 gpm (41.6 L/min), 2750 psi (190 bar)" in capsys.readouterr().out
    assert "load 5000 taken as lbf" in asked(capsys, ["cylinder", "--bore", "2 in", "--rod", "1 in", "--load", "5000"])["taken"]


@pytest.mark.parametrize(("flow", "psi"), [("20 L/min", "190 bar"), ("6 gpm", "2800 psi"), ("42 L/min", "190 bar")])
def test_braid_goes_before_spiral_where_it_serves(flow: str, psi: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A two-wire 2SC -6 holds 330 bar and bends to 90 mm (EN 857), a four-spiral R12 -6 276 bar and 125 mm: two-wire is what a shop hangs."""
    types = [each["type"] for each in asked(capsys, ["size", "--flow", flow, "--psi", psi])["hoses"] if each["had"] == "common"]
    assert {"2SC", "2SN"} <= set(types[:types.index("R12")])


@pytest.mark.parametrize(("line", "says"), [
    (["size", "--flow", "banana"], "not a flow"),
    (["size", "--flow", "11", "--kind", "gusher"], "not a kind of line"),
    (["size", "--flow", "11", "--bore", "0 in", "--length", "3 m"], "above 0"),
    (["cylinder", "--bore", "2 in", "--rod", "1 in", "--psi", "0 bar"], "above 0"),
    (["size", "--flow", "0"], "above 0"),
    (["cylinder", "--bore", "2 in", "--rod", "3 in"], "thinner"),
    (["cylinder", "--bore", "2 in", "--rod", "1 in", "--units", "cubits"], "cubits"),
])
def test_bad_input_is_told(line: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    error = asked(capsys, line, 2)["error"]
    assert error["kind"] == "bad input"
    assert says in error["text"]
    assert line[-1] in error["typed"]


def test_no_hose_is_a_refusal(capsys: pytest.CaptureFixture[str]) -> None:
    assert asked(capsys, ["size", "--flow", "5000", "--psi", "3000"], 1)["hoses"] == []


@pytest.mark.parametrize("line", [
    ["size", "--flow", "11", "--psi", "2750"], ["size", "--flow", "5000"],
    ["cylinder", "--bore", "2.5", "--rod", "1.5", "--stroke", "16", "--psi", "2750", "--flow", "11", "--load", "22 kN"],
])
def test_text_fits_eighty_columns(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    run(line)
    out = capsys.readouterr().out
    assert out
    assert max(len(each) for each in out.splitlines()) <= 80


@pytest.mark.parametrize(("cst", "level", "code"), [("20 cSt", None, 0), ("1000 cSt", "warn", 0), ("3000 cSt", "refuse", 1)])
def test_a_suction_line_is_held_against_the_air(cst: str, level: str | None, code: int, capsys: pytest.CaptureFixture[str]) -> None:
    """The air presses with 101.325 kPa, 14.7 psi (ISO 2533); 3 psi is where a pump cavitates (common practice, no source)."""
    assert run(["size", "--flow", "11 gpm", "--kind", "suction", "--viscosity", cst, "--json"]) == code
    told = [each["level"] for each in json.loads(capsys.readouterr().out)["findings"] if each["code"] == "suction-drop"]
    assert told == ([] if level is None else [level])


@pytest.mark.parametrize("typed", ["870", "2000", "0.1"])
def test_what_no_oil_weighs_is_no_density(typed: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["size", "--flow", "11 gpm", "--density", typed]) == 2
    assert "is the density of no oil" in capsys.readouterr().err


def test_a_cylinder_that_cannot_do_it_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """4 in of bore at 2500 psi pushes 31,416 lbf."""
    assert run(["cylinder", "--bore", "4 in", "--rod", "2 in", "--load", "60000 lbf", "--psi", "2500"]) == 1
    assert "NO: the load" in capsys.readouterr().out
