"""A job, planned: what each line carries and holds, its hose, its ends, the bill, the steps, the JSON; and the laws of all plans."""

import copy
import csv
import io
import json
import re
from pathlib import Path
from typing import Any

import pytest
from budget import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.cautions import STAGES, for_plan, short
from fittings.cli import run
from fittings.job.plan import plan_file, plan_text_of
from fittings.job.recheck import plan_flaws
from fittings.job.result import Plan, PlannedLine
from fittings.job.saved_plan import BadPlan, read_plan_file
from fittings.job.template import TEMPLATE
from fittings.reports.bill import COLUMNS, bill_csv, counter_text
from fittings.reports.plan_json import plan_json
from fittings.reports.plan_text import plan_text
from fittings.sources import register

TOP = Path(__file__).resolve().parent.parent
DEMO = str(TOP / "docs" / "examples" / "log-lift.toml")
FILES = [DEMO, str(TOP / "docs" / "examples" / "tailgate.toml"), *sorted(str(path) for path in (TOP / "tests" / "jobs").glob("*.toml"))]


def job(relief: str = "2500 psi", flow: str = "8 gpm", lines: str = "", extra: str = "", ports: str = 'cap = "ORB -6 port", rod = "ORB -6 port"',
        line: str = "", component: str = "") -> str:
    """A small job; `line` and `component` go into its first line and its cylinder."""
    return f"""
[system]
relief = "{relief}"
flow = "{flow}"
[[component]]
name = "valve"
ports = {{ A = "ORB -8 port", B = "ORB -8 port", T = "ORB -10 port" }}
[[component]]
name = "ram"
cylinder = {{ bore = "2 in", rod = "1.25 in", stroke = "12 in" }}
ports = {{ {ports} }}
{component}
{extra}
[[line]]
name = "lift"
from = "valve.A"
to = "ram.cap"
{line}
[[line]]
name = "lower"
from = "valve.B"
to = "ram.rod"
{lines}
"""


def codes(of: Plan | PlannedLine) -> set[str]:
    return {finding.code for finding in of.findings}


@pytest.fixture(scope="module")
def demo() -> Plan:
    return plan_file(DEMO)


# --- the demo job ----------------------------------------------------------------------------------------------------

def test_the_demo_is_planned_whole(demo: Plan) -> None:
    assert not demo.refused
    assert [line.name for line in demo.lines] == ["pressure", "return", "raise", "lower"]
    assert all(line.hose is not None and line.hose.length_in for line in demo.lines)
    assert all(line.rating_psi is not None and line.rating_psi >= line.demand.max_psi for line in demo.lines)


def test_the_demo_by_hand(demo: Plan) -> None:
    """F = p·A, phi = D²/(D² - d²) and v = 0.4085·Q/d², worked by hand."""
    cylinder = demo.cylinders[0]
    assert cylinder.answer.push_lbf == pytest.approx(13499, rel=1e-3)
    assert cylinder.phi == pytest.approx(6.25 / (6.25 - 2.25))
    raise_, lower = demo.lines[2], demo.lines[3]
    assert raise_.demand.flow_gpm == pytest.approx(11 * 1.5625)
    assert lower.demand.flow_gpm == 11
    assert lower.velocity_fps == pytest.approx(0.4085 * 11 / 0.25, rel=1e-3)
    assert demo.lines[1].demand.flow_gpm == pytest.approx(11 * 1.5625)
    # 84 in of way: 84 / 0.96 = 87.5 in, and a tolerance of 1 %
    assert raise_.hose is not None
    assert raise_.hose.length_in is not None
    assert raise_.hose.length_in - (raise_.hose.minus_in or 0) >= 87.5


def test_the_shape_at_the_port_is_there(demo: Plan) -> None:
    raise_ = demo.lines[2]
    assert raise_.hose is not None
    last = raise_.hose.ends[1], *raise_.to_parts
    assert [used.part.shape for used in last].count("90") == 1
    # no table holds how high a 90° hose end in BSPP 3/8 stands: it must be said, and nothing claimed
    assert codes(raise_) & {"room-unknown", "room-short", "room-enough", "room-close"} == {"room-unknown"}


def test_avoided_families_only_stand_where_a_port_asks_for_them(demo: Plan) -> None:
    """NPT is to be avoided, and only the tank has such a port: one end goes into it, and there is no other."""
    met = [(line.to_ref, end.id) for line in demo.lines
           for used in (*line.from_parts, *line.to_parts, *(line.hose.ends if line.hose else ()))
           for end in (used.near, used.far) if end.family == "npt"]
    assert met == [("tank.return", "npt-1-male")]


# --- the JSON of the design ---------------------------------------------------------------------------------------------

LINE_FIELDS = {"name", "flow_gpm", "max_psi", "hose", "from_parts", "to_parts", "joints", "rating_psi", "velocity_fps", "drop_psi",
               "findings", "refused", "branches"}
END_FIELDS = {"id", "family", "size", "form", "sex", "thread", "standard", "say"}


def _line_has_its_fields(line: dict[str, Any]) -> None:
    assert set(line) >= LINE_FIELDS
    assert set(line["drop_psi"]) == {"hot", "cold"}
    if line["hose"] is not None:
        assert set(line["hose"]) >= {"type", "size", "length_in", "ends", "angle_deg"}
        assert len(line["hose"]["ends"]) == 2
        assert all(set(end) == END_FIELDS for end in line["hose"]["ends"])
    for part in (*line["from_parts"], *line["to_parts"]):
        assert set(part) >= {"say", "shape", "had", "ends"}
        assert all(set(end) == END_FIELDS for end in part["ends"])
    for joint in line["joints"]:
        assert set(joint) >= {"a", "b", "verdict", "seal", "rating_psi"}
    for finding in line["findings"]:
        assert set(finding) == {"code", "level", "text", "sources"}
        assert finding["level"] in ("info", "warn", "refuse")
    if line["refused"] is not None:
        assert set(line["refused"]) == {"kind", "facts", "because", "hints"}
    for branch in line["branches"]:
        _line_has_its_fields(branch)


@pytest.mark.parametrize("file", FILES, ids=lambda each: Path(each).stem)
def test_json_has_every_field(file: str) -> None:
    told = json.loads(json.dumps(plan_json(plan_file(file)), allow_nan=False))
    assert set(told) >= {"title", "lines", "bill", "cylinders", "findings", "cautions"}
    for line in told["lines"]:
        _line_has_its_fields(line)
    for item in told["bill"]:
        assert set(item) >= {"qty", "say", "spec", "for", "from_stock"}
    for cylinder in told["cylinders"]:
        assert set(cylinder) >= {
            "push_lbf", "pull_lbf", "extend_in_s", "retract_in_s", "extend_s", "retract_s", "return_gpm", "rod_side_psi",
            "psi_to_push", "psi_to_pull", "volume_extend_gal", "volume_retract_gal"}
    assert [each["code"] for each in told["cautions"]] == [each.code for each in for_plan()]


@pytest.mark.parametrize("file", FILES, ids=lambda each: Path(each).stem)
def test_everything_told_rests_on_a_document_of_the_register(file: str) -> None:
    plan = plan_file(file)
    strange = {source for finding in plan.all_findings for source in finding.sources} - set(register())
    assert strange == set()
    assert {source for caution in plan.cautions for source in caution.sources} <= set(register())


@pytest.mark.parametrize("file", FILES, ids=lambda each: Path(each).stem)
def test_the_text_fits_the_terminal_and_carries_every_caution(file: str) -> None:
    text = plan_text(plan_file(file))
    assert [line for line in text.split("\n") if len(line) > 80 and "fittings join" not in line] == []
    flat = " ".join(text.split())
    for caution in for_plan():
        assert " ".join(caution.text.split()) in flat
    assert short() in flat


def at_a_glance(plan: Plan) -> dict[str, str]:
    """What the overview says of every line, by its name."""
    part = plan_text(plan).split("AT A GLANCE\n")[1].split("\n\n")[0]
    rows = " ".join(part.split("\n")).replace("     ", " ").split("   ")
    return dict(row.strip().split(": ", 1) for row in rows)


def test_every_line_stands_at_a_glance(demo: Plan) -> None:
    """Hoses and what they hold by hand: 2SC -8 is 27.5 MPa, but SAE J514 gives 3500 psi to the stud of a 37° fitting in -10."""
    assert at_a_glance(demo) == {
        "pressure": "2SC -8, 63-1/2 in (1613 mm); 2 parts; must hold 2750 psi (190 bar), rated 3500 psi (241 bar)",
        "return": "R4 -16, 76 in (1930 mm); 1 part; must hold 150 psi (10.3 bar), rated 250 psi (17.2 bar)",
        "raise": "2SC -10, 88-1/2 in (2248 mm); 2 parts; must hold 2750 psi (190 bar), rated 3000 psi (207 bar); look at 2 !",
        "lower": "2SC -8, 76 in (1930 mm); 2 parts; must hold 2750 psi (190 bar), rated 3625 psi (250 bar)",
    }


def test_a_line_that_cannot_be_done_says_so_at_a_glance() -> None:
    plan = plan_text_of(job().replace('to = "ram.rod"', 'to = "ram.rod"\nhose = { size = "-3" }'))
    refused = [line.name for line in plan.lines if line.refused]
    assert refused
    told = at_a_glance(plan)
    assert list(told) == [line.name for line in plan.every_line]
    assert [name for name, said in told.items() if said.startswith("CANNOT BE DONE: ")] == refused


def test_the_cautions_stand_where_they_count(demo: Plan) -> None:
    """What to do before the work before the lines, what to mind at it before the steps, the first start after them."""
    text = plan_text(demo)
    heads = ["AT A GLANCE", "THE CIRCUIT", "BEFORE YOU BEGIN", "FOR SEVERAL LINES", "LINE pressure", "BILL OF MATERIALS", "WHILE YOU WORK",
             "PUTTING IT TOGETHER", "FIRST START AND AFTER", "WHAT IT RESTS ON"]
    places = [text.index(f"\n{head}") for head in heads]
    assert places == sorted(places)
    for head, stage in (("BEFORE YOU BEGIN", "before"), ("WHILE YOU WORK", "during"), ("FIRST START AND AFTER", "after")):
        part = " ".join(text.split(f"\n{head}\n")[1].split("\n\n")[0].split())
        assert part.count("- ") >= len([each for each in for_plan() if each.stage == stage])
        assert all(" ".join(each.text.split()) in part for each in for_plan() if each.stage == stage)


def test_what_several_lines_have_alike_is_said_once_with_their_names(demo: Plan) -> None:
    text = " ".join(plan_text(demo).split())
    clamps = [line.name for line in demo.every_line for each in line.findings if each.text.startswith("clamp it about every 36 in")]
    assert len(clamps) > 1
    assert text.count("clamp it about every 36 in") == 1
    assert f"- {', '.join(clamps)}: clamp it about every 36 in" in text


def test_a_step_done_as_an_earlier_one_names_it_and_keeps_what_must_be_at_hand(demo: Plan) -> None:
    text = plan_text(demo).split("PUTTING IT TOGETHER, in this order\n")[1].split("\n\n")[0]
    steps = {int(number): " ".join(said.split()) for number, said in re.findall(r"\[ \] (\d+)\. (.*?)(?=\n  \S|\Z)", text, re.DOTALL)}
    again = {number: int(said.rsplit("all else as in step ", 1)[1]) for number, said in steps.items() if "all else as in step " in said}
    assert again
    for number, first in again.items():
        assert first < number and first not in again
        for step in (demo.steps[number - 1], demo.steps[first - 1]):
            said = steps[step.n]
            assert step.joint is not None
            assert (step.ring in said) and ("torque: " in said) == bool(step.joint.torque or step.joint.no_torque_for)
            assert ("sealant: yes" in said) == bool(step.sealant)


def test_every_torque_and_rating_in_the_text_has_its_source(demo: Plan) -> None:
    for line in plan_text(demo).split("\n"):
        if line.strip().startswith("torque:") and "not in our tables" not in line:
            joined = plan_text(demo).split(line)[1].split("\n")[1]
            assert "[" in line or "[" in joined


def test_from_memory_stands_beside_figures_from_memory(demo: Plan) -> None:
    bspp = [joint for line in demo.lines for joint in line.joints if joint.joint.b.family == "bspp"]
    assert bspp
    if any(joint.joint.rating and joint.joint.rating.confidence == "C" for joint in bspp):
        assert "(from memory)" in plan_text(demo)


# --- what a line carries and holds ------------------------------------------------------------------------------------------

def test_a_rod_side_that_can_be_shut_is_planned_for_its_pressure() -> None:
    """2.00 in bore, 1.25 in rod: phi = 4/(4 - 1.5625) = 1.641; 2500 psi become 4103 psi."""
    open_ = plan_text_of(job())
    shut = plan_text_of(job().replace('to = "ram.rod"', 'to = "ram.rod"\ncan_close = true'))
    assert open_.lines[1].demand.max_psi == 2500
    assert shut.lines[1].demand.max_psi == pytest.approx(4102.6, abs=0.1)
    assert "intensification" in codes(shut.lines[1])
    assert shut.lines[1].hose is not None
    assert shut.lines[1].hose.hose.pressure_psi >= 4102.6


def test_a_rod_port_without_a_line_is_refused_and_a_vented_one_is_not() -> None:
    text = job().split("[[line]]\nname = \"lower\"")[0]
    assert "return-blocked" in codes(plan_text_of(text))
    assert plan_text_of(text).refused
    vented = plan_text_of(text.replace('cylinder = {', 'vented = ["rod"]\ncylinder = {'))
    assert not vented.refused
    assert vented.lines[0].demand.flow_gpm == 8


def test_return_to_a_tank_and_return_that_a_lever_can_pressurise() -> None:
    tank = '[[component]]\nname = "tank"\nkind = "tank"\nports = { r = "NPT 3/4 female" }\n'
    line = '[[line]]\nname = "return"\nfrom = "valve.T"\nto = "tank.r"\nkind = "return"\n'
    low = plan_text_of(job(extra=tank, lines=line)).lines[2]
    assert low.demand.max_psi < 300
    assert low.demand.flow_gpm == pytest.approx(8 * 4 / (4 - 1.5625))
    high = plan_text_of(job(extra=tank.replace('"tank"\nports', '"coupler"\nports'), lines=line)).lines[2]
    assert high.demand.max_psi == 2500
    assert {"return-can-be-pressurised", "return-coupler"} <= codes(high)


def test_open_centre_without_a_tank_line_is_dead_headed() -> None:
    pump = '[[component]]\nname = "pump"\nkind = "pump"\nports = { P = "ORB -8 port" }\n'
    valve = job(extra=pump, lines='[[line]]\nname = "p"\nfrom = "pump.P"\nto = "valve.T"\nkind = "pressure"\n').replace(
        'name = "valve"\n', 'name = "valve"\nkind = "valve"\ncentre = "open"\n')
    assert "dead-headed" in codes(plan_text_of(valve))
    assert "closed-centre" in codes(plan_text_of(valve.replace('"open"', '"closed"')))


def test_a_component_below_the_relief_is_refused() -> None:
    plan = plan_text_of(job(component='psi = "2000 psi"'))
    assert plan.refused
    assert "component-rating" in codes(plan.lines[0])


def test_back_driven_asks_for_a_relief_of_its_own() -> None:
    assert {"load-holding", "single-rod"} <= codes(plan_text_of(job(component="back_driven = true")))
    assert "back-driven-unknown" in codes(plan_text_of(job()))
    assert not codes(plan_text_of(job(component="back_driven = false"))) & {"back-driven-unknown", "load-holding"}


def test_drop_is_told_hot_and_cold_and_only_with_a_length() -> None:
    with_length = plan_text_of(job(line='route = { length = "84 in" }')).lines[0]
    assert with_length.drop_hot_psi is not None and with_length.drop_cold_psi is not None
    assert 0 < with_length.drop_hot_psi < with_length.drop_cold_psi
    without = plan_text_of(job()).lines[0]
    assert (without.drop_hot_psi, without.drop_cold_psi) == (None, None)
    assert "no-length" in codes(without)


def test_cylinder_fit_by_hand() -> None:
    """A 1.5 in eye in a 2.5 in gap takes 0.5 in each side; stroke wanted = extended less retracted (common practice, no source)."""
    plan = plan_text_of(job(component='fit = { closed = "20.25 in", retracted = "20 in", extended = "32 in", eye = "1.5 in", gap = "2.5 in" }'))
    found = {finding.code: finding.text for finding in plan.cylinders[0].findings}
    assert "1/2 in" in found["spacers"]
    assert "12 in" in found["stroke-wanted"]
    assert "1/4 in" in found["closing-short"]


# --- hoses ------------------------------------------------------------------------------------------------------------------

def test_a_given_hose_is_kept_and_judged() -> None:
    given_ = plan_text_of(job(line='hose = { type = "2SN", size = "-8" }')).lines[0]
    assert given_.hose is not None
    assert (given_.hose.hose.type, given_.hose.hose.size) == ("2SN", "-8")
    weak = plan_text_of(job(line='hose = { type = "1SN", size = "-8" }'))
    assert weak.lines[0].refused is not None
    assert {fact.code for fact in weak.lines[0].refused.facts} >= {"hose-rating"}
    assert weak.lines[1].hose is not None


def test_given_hose_ends_are_kept() -> None:
    line = plan_text_of(job(line='hose = { ends = "ORFS -8 female swivel" }')).lines[0]
    assert line.hose is not None
    assert {used.near.id for used in line.hose.ends} | {used.far.id for used in line.hose.ends} == {"orfs-8-swivel", "hose-10-tail"}


def test_a_hose_end_that_nobody_makes_is_refused() -> None:
    refused = plan_text_of(job(line='hose = { size = "-8", ends = "JIC -16 female swivel" }')).lines[0].refused
    assert refused is not None
    assert refused.facts[0].code == "no-hose-end"


def test_swing_of_the_geometry_reference() -> None:
    """10 in and 14 in from the pivot, 40° to 150°: a 2SN -8 cannot, a compact -8 can; 24.5 in to build (worked in plane geometry)."""
    swing = 'route = { swing = { pivot_to_from = "10 in", pivot_to_to = "14 in", angle = ["40 deg", "150 deg"] } }'
    stiff = plan_text_of(job(line=f'{swing}\nhose = {{ type = "2SN", size = "-8" }}')).lines[0]
    assert stiff.refused is not None
    assert "bend-too-tight" in {fact.code for fact in stiff.refused.facts}
    free = plan_text_of(job(line=swing)).lines[0]
    assert free.hose is not None and free.hose.length_in is not None
    assert free.hose.hose.bend_in < 4.1
    assert 24.17 <= free.hose.length_in <= 25
    assert free.hose.route is not None and len(free.hose.route.positions) > 4


def test_a_line_that_cannot_be_done_leaves_the_others_planned() -> None:
    plan = plan_text_of(job(line='hose = { size = "-8", ends = "code 62 -8 flange head" }', extra="[limits]\nmax_parts = 0\n"))
    assert plan.lines[0].refused is not None
    assert plan.refused
    other = plan_text_of(job(line='hose = { type = "1SN", size = "-8" }'))
    assert [line.refused is None for line in other.lines] == [False, True]
    assert all("lift" not in item.for_ for item in other.bill)
    text = plan_text(other)
    assert "CANNOT BE DONE" in text and "LINE lower" in text


def test_unrated_ends_are_owned_up_to() -> None:
    plan = plan_text_of(job(ports='cap = "JIS 30 flare 1/2 male", rod = "ORB -6 port"'))
    line = plan.lines[0]
    assert line.hose is not None
    assert line.rating_psi is None
    assert "rating-unknown" in codes(line)
    assert [flaw.text for flaw in plan_flaws(plan_json(plan))] == []


# --- lines that split --------------------------------------------------------------------------------------------------------

TWO = '''
[[component]]
name = "twin"
cylinder = { bore = "2 in", rod = "1.25 in", stroke = "12 in" }
ports = { cap = "ORB -6 port", rod = "ORB -6 port" }
'''


def split_job(route: str = 'route = { length = "60 in" }') -> str:
    return job(extra=TWO).replace('to = "ram.cap"', f'to = ["ram.cap", "twin.cap"]\n{route}').replace(
        'to = "ram.rod"', 'to = ["ram.rod", "twin.rod"]')


@pytest.mark.parametrize("route", ['route = { length = "60 in" }', ""], ids=["hose to the tee", "tee at the port"])
def test_a_line_splits(route: str) -> None:
    plan = plan_text_of(split_job(route))
    lift = plan.lines[0]
    assert not plan.refused
    assert [branch.to_ref for branch in lift.branches] == ["ram.cap", "twin.cap"]
    assert len(lift.tees) == 1
    assert (lift.hose is not None) == bool(route)
    # the legs' flows out of the cap ends add up to the trunk's
    assert sum(branch.demand.flow_gpm for branch in lift.branches) == pytest.approx(lift.demand.flow_gpm)
    assert lift.demand.flow_gpm == pytest.approx(8 * 4 / (4 - 1.5625))
    assert all(branch.hose is not None for branch in lift.branches)
    assert "cylinders-parallel" in codes(lift)
    assert any(item.sort == "tee" for item in plan.bill)
    assert [flaw.text for flaw in plan_flaws(plan_json(plan))] == []


def test_legs_share_by_area() -> None:
    text = split_job().replace('bore = "2 in", rod = "1.25 in", stroke = "12 in" }\nports = { cap = "ORB -6 port", rod = "ORB -6 port" }\n\n[[line]]',
                               'bore = "4 in", rod = "1.25 in", stroke = "12 in" }\nports = { cap = "ORB -6 port", rod = "ORB -6 port" }\n\n[[line]]')
    assert '"4 in"' in text
    first, second = plan_text_of(text).lines[0].branches
    # On the way back both move alike: 8 gpm over the rod sides, 4 - 1.5625 and 16 - 1.5625 (in² over pi/4), times each cap end.
    assert first.demand.flow_gpm == pytest.approx(8 * 4 / (4 + 16 - 2 * 1.5625))
    assert second.demand.flow_gpm == pytest.approx(8 * 16 / (4 + 16 - 2 * 1.5625))


def test_three_legs() -> None:
    third = TWO.replace("twin", "third")
    text = split_job().replace('to = ["ram.cap", "twin.cap"]', 'to = ["ram.cap", "twin.cap", "third.cap"]').replace(
        "[[line]]", third + "vented = [\"rod\"]\n[[line]]", 1)
    plan = plan_text_of(text)
    assert len(plan.lines[0].branches) == 3
    assert not any(line.refused for line in plan.every_line)
    assert [flaw.text for flaw in plan_flaws(plan_json(plan))] == []


# --- the order of assembly --------------------------------------------------------------------------------------------------

@pytest.mark.parametrize("file", FILES, ids=lambda each: Path(each).stem)
def test_every_joint_is_made_once_and_a_hose_ends_on_a_joint_that_turns(file: str) -> None:
    plan = plan_file(file)
    for line in plan.every_line:
        steps = [step for step in plan.steps if step.line == line.name and step.joint is not None]
        made = sorted(tuple(sorted((step.joint.joint.a.id, step.joint.joint.b.id))) for step in steps if step.joint)
        assert made == sorted(tuple(sorted((each.joint.a.id, each.joint.b.id))) for each in line.joints)
        if line.hose is not None:
            last = steps[-1].joint
            assert last is not None
            assert "turns" in (last.joint.a.moves, last.joint.b.moves)
    assert [step.n for step in plan.steps] == list(range(1, len(plan.steps) + 1))


def test_a_rigid_hose_end_goes_first(demo: Plan) -> None:
    steps = [step.do for step in demo.steps if step.line == "return"]
    rigid = next(number for number, do in enumerate(steps) if "rigid end" in do)
    swivel = next(number for number, do in enumerate(steps) if do.startswith("Put the hose on"))
    assert rigid < swivel


def test_sealant_only_on_taper_threads(demo: Plan) -> None:
    for step in demo.steps:
        if step.joint is not None and step.joint.joint.seal is not None:
            assert step.sealant == (step.joint.joint.a.family in ("npt", "bspt"))
            assert step.sealant_why
            assert step.joint.torque or step.joint.turns


# --- the bill ------------------------------------------------------------------------------------------------------------------

def test_the_bill_holds_what_the_lines_take(demo: Plan) -> None:
    parts = [used.part.say for line in demo.every_line for used in (*line.from_parts, *line.to_parts)]
    for say in set(parts):
        (item,) = [item for item in demo.bill if item.say == say]
        assert item.qty == parts.count(say)
        assert len(item.ends) == 2
    assert sum(item.qty for item in demo.bill if item.sort == "hose") == 4
    rings = [joint.joint.seal.ring.key for line in demo.every_line for joint in line.joints
             if joint.joint.seal and joint.joint.seal.ring]
    # one for each joint and one spare of each kind; the elastomer ring of a stud comes with it
    laid_in = [ring for ring in rings if not ring.startswith("elastomer")]
    assert len(laid_in) < len(rings)
    assert sum(item.qty for item in demo.bill if item.sort == "ring") == len(laid_in) + len(set(rings))
    assert [item for item in demo.bill if item.sort == "sealant"]
    (oil,) = [item for item in demo.bill if item.sort == "oil"]
    # 16 in of a 2.5 in bore: 78.5 in³ = 0.34 gal, and the hoses
    assert 0.34 < oil.qty < 1.2


def test_the_bill_as_csv(demo: Plan) -> None:
    rows = list(csv.reader(io.StringIO(bill_csv(demo.bill))))
    assert tuple(rows[0]) == COLUMNS
    assert len(rows) == len(demo.bill) + 1
    assert all(len(row) == len(COLUMNS) for row in rows)
    hose = next(row for row in rows if row[1].startswith("hose"))
    assert hose[2] and hose[3]
    assert "overall length" in hose[-1]


def test_a_cell_that_looks_like_a_formula_is_made_harmless() -> None:
    text = job().replace('name = "lift"', 'name = "=1+1"')
    rows = list(csv.reader(io.StringIO(bill_csv(plan_text_of(text).bill))))
    assert not any(cell.startswith(("=", "+", "@")) for row in rows for cell in row)


def test_the_counter_text_is_one_line_an_item(demo: Plan) -> None:
    said = counter_text(demo.bill).split("\n")
    assert len(said) == len(demo.bill) + 1 and said[-1].startswith("hoses: overall length")


# --- the second opinion bites ----------------------------------------------------------------------------------------------------

def _spoilt(demo: Plan, path: tuple[str | int, ...], value: Any) -> list[str]:
    told = copy.deepcopy(json.loads(json.dumps(plan_json(demo))))
    inside = told
    for part in path[:-1]:
        inside = inside[part]
    inside[path[-1]] = value
    return [flaw.code for flaw in plan_flaws(told)]


SPOILT: list[tuple[tuple[str | int, ...], Any, str]] = [
    (("lines", 2, "max_psi"), 1000, "pressure-too-low"),
    (("lines", 2, "rating_psi"), 9000, "rating-too-high"),
    (("lines", 2, "velocity_fps"), 5, "velocity-differs"),
    (("lines", 2, "hose", "length_in"), 84, "hose-too-short"),
    (("lines", 2, "hose", "type"), "1SN", "hose-rating"),
    (("lines", 2, "from", "end"), {"id": "jic-8-male"}, "joint-no"),
    (("lines", 2, "from", "end"), {"id": "sae45-8-swivel"}, "joint-unsafe"),
    (("lines", 2, "from_parts", 0, "shape"), "bushing", "part-not-made"),
    (("lines", 2, "from_parts"), [], "joint-no"),
    (("lines", 2, "joints"), [], "joints-differ"),
    (("lines", 2, "from_parts", 0, "ends", 0, "id"), "nonsense", "line-unreadable"),
    (("lines", 2, "hose"), None, "line-unreadable"),
    (("bill",), [], "bill-short"),
    (("cautions",), [], "cautions-missing"),
]


@pytest.mark.parametrize(("path", "value", "code"), SPOILT, ids=[f"{'.'.join(map(str, each[0]))}" for each in SPOILT])
def test_a_spoilt_plan_does_not_stand(demo: Plan, path: tuple[str | int, ...], value: Any, code: str) -> None:
    assert code in _spoilt(demo, path, value)


@settings(max_examples=examples(60), deadline=None)
@given(st.recursive(st.none() | st.integers() | st.text(max_size=4), lambda below: st.lists(below, max_size=3) | st.dictionaries(
    st.sampled_from(["lines", "name", "hose", "from", "end", "id", "joints", "kind", "bill", "cautions"]), below, max_size=4), max_leaves=12))
def test_no_saved_plan_gives_a_traceback(value: Any) -> None:
    if isinstance(value, dict):
        assert isinstance(plan_flaws(value), list)


def test_what_is_no_plan_is_said_so(tmp_path: Path) -> None:
    file = tmp_path / "plan.json"
    for text in ("{", "[]", "{}", '{"lines": 3}', "\xff"):
        file.write_text(text, "latin-1")
        with pytest.raises(BadPlan):
            read_plan_file(str(file))


# --- laws ----------------------------------------------------------------------------------------------------------------------

_PORTS = st.sampled_from(["ORB -6 port", "ORB -8 port", "NPT 1/2 female", "BSPP 3/8 port", "BSPP 1/2 port", "M22x1.5 ISO 6149 port",
                          "JIC -8 male", "ORFS -8 male", "15L 24 degree cone male"])


def _margin(plan: Plan, line: int) -> float | None:
    planned = plan.lines[line]
    return None if planned.rating_psi is None else planned.rating_psi - planned.demand.max_psi


@settings(max_examples=examples(12), deadline=None)
@given(_PORTS, _PORTS, st.integers(500, 3500), st.integers(50, 1500))
def test_a_higher_relief_never_saves_a_line_and_loses_no_finding(cap: str, rod: str, relief: int, more: int) -> None:
    ports = f'cap = "{cap}", rod = "{rod}"'
    low = plan_text_of(job(relief=f"{relief} psi", ports=ports))
    high = plan_text_of(job(relief=f"{relief + more} psi", ports=ports))
    # "margin" names the weakest of the lines that stand; where a line is newly refused, the refusal takes its place.
    refused_now = any(other.refused and not one.refused for one, other in zip(low.lines, high.lines, strict=True))
    assert codes(low) - codes(high) <= ({"margin"} if refused_now else set())
    for one, other in zip(low.lines, high.lines, strict=True):
        if one.refused:
            assert other.refused
        if other.hose is not None and one.hose is not None and other.hose.hose == one.hose.hose and other.joints == one.joints:
            assert (other.rating_psi or 0) - other.demand.max_psi <= (one.rating_psi or 0) - one.demand.max_psi
    for plan in (low, high):
        assert [flaw.text for flaw in plan_flaws(plan_json(plan))] == []


@pytest.mark.parametrize("hose", ["2SN", "R17", "4SP"])
def test_a_higher_relief_never_raises_the_margin_of_a_settled_hose(hose: str) -> None:
    margins = []
    for relief in (500, 1000, 1500, 2000, 2500, 3000, 3500):
        plan = plan_text_of(job(relief=f"{relief} psi", line=f'hose = {{ type = "{hose}", size = "-8", ends = "JIC -8 female swivel" }}'))
        if not plan.lines[0].refused:
            margins.append(_margin(plan, 0) or 0.0)
    assert len(margins) > 3
    assert margins == sorted(margins, reverse=True)


def test_the_same_job_gives_the_same_plan() -> None:
    first, second = (json.dumps(plan_json(plan_file(DEMO))) for _ in range(2))
    assert first == second


# --- the verbs -------------------------------------------------------------------------------------------------------------------

def test_plan_check_and_new_at_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, saved, bill = (str(tmp_path / name) for name in ("job.toml", "plan.json", "bill.csv"))
    assert run(["new", file]) == 0
    assert run(["new", file]) == 2
    assert Path(file).read_text("utf-8") == TEMPLATE
    assert run(["new", file, "--force"]) == 0
    capsys.readouterr()
    assert run(["plan", file, "--json", "--bill", bill]) == 0
    Path(saved).write_text(capsys.readouterr().out, "utf-8")
    assert Path(bill).read_text("utf-8").startswith("qty,item")
    assert run(["check", saved]) == 0
    assert "STANDS" in capsys.readouterr().out
    assert run(["check", file, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["flaws"] == []
    told = json.loads(Path(saved).read_text("utf-8"))
    told["cautions"] = []
    Path(saved).write_text(json.dumps(told), "utf-8")
    assert run(["check", saved]) == 1
    assert list(tmp_path.iterdir()) == [path for path in tmp_path.iterdir() if not path.name.startswith(".")]


def test_exit_codes_of_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "job.toml"
    file.write_text(job(line='hose = { type = "1SN", size = "-8" }'), "utf-8")
    assert run(["plan", str(file)]) == 1
    assert run(["check", str(file)]) == 1
    file.write_text(job(relief="lots"), "utf-8")
    capsys.readouterr()
    assert run(["plan", str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "system, relief" in err
    assert run(["plan", str(file), "--json"]) == 2
    error = json.loads(capsys.readouterr().out)["error"]
    assert set(error) >= {"kind", "typed", "text", "ask", "candidates"}
    assert error["mistakes"][0]["line"] == 3
    assert run(["check", str(file)]) == 2
    assert run(["plan", str(tmp_path)]) == 2
    assert run(["plan", str(file), "--bill", str(tmp_path / "no" / "bill.csv")]) == 2


def test_only_the_counter_text(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", DEMO, "--counter"]) == 0
    assert all(" x " in line for line in capsys.readouterr().out.strip().split("\n")[:-1])


# --- cautions --------------------------------------------------------------------------------------------------------------------

def test_the_twenty_cautions_and_the_steps_of_a_first_start_are_there() -> None:
    """The list that a sheet must carry: twenty cautions, and bleeding, first start, leak check, pressure test, recheck."""
    found = {caution.code for caution in for_plan()}
    assert found >= {
        "injection", "eyes-and-hands", "stored-pressure", "support-load", "no-pressure-wrench", "release-first", "whip", "hot-oil", "fire",
        "clean", "do-not-swap", "no-weak-part", "no-makeshift", "trapped-oil", "rod-port", "relief-first", "drain-open", "lockout",
        "couplers", "two-people"}
    assert found >= {"defer", "bleed-cylinder", "bleed-system", "first-start", "pressure-test", "relief-gauge", "recheck", "oil-level"}
    assert "short" not in found
    assert {caution.stage for caution in for_plan()} == set(STAGES) == {"before", "during", "after"}
    assert all(caution.why for caution in for_plan())


def test_the_caution_on_injection_says_what_the_sources_say() -> None:
    """Cardboard or wood, 100 mm (a trainer's page), surgical emergency however small (an extension leaflet, a radio interview)."""
    (caution,) = [each for each in for_plan() if each.code == "injection"]
    for word in ("cardboard", "100 mm", "surgical emergency", "however small"):
        assert word in caution.text


def test_hose_is_alike_at_both_ends_where_it_may_be() -> None:
    """Light and heavy 24° ends on one hose are two spanners, two spares and a mistake waiting to be made (common practice, no source)."""
    of = plan_text_of("""
units = "metric"
[system]
relief = "210 bar"
flow = "45 l/min"
[[component]]
name = "pump"
kind = "pump"
ports = { out = "M22x1.5 ISO 6149 port" }
[[component]]
name = "valve"
ports = { P = "G1/2 port" }
[[line]]
name = "pressure"
kind = "pressure"
from = "pump.out"
to = "valve.P"
route = { length = "1.2 m" }
""").lines[0].hose
    assert of is not None
    ends = [next(each for each in (used.near, used.far) if each.family != "hose") for used in of.ends]
    assert ends[0] == ends[1]


@pytest.mark.parametrize("file", FILES, ids=[Path(each).stem for each in FILES])
def test_no_finding_stands_without_a_document(file: str) -> None:
    found = plan_file(file).all_findings
    assert [each.text for each in found if not each.sources] == []
    assert {source for each in found for source in each.sources} <= set(register())
