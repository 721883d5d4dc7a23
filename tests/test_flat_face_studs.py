"""Flat-face studs in a plan: the ring that comes with them, the loose one beside it, the torque and the drawing of both."""

import json

import pytest
from svg_reading import Picture

from fittings.drawing import pair_svg
from fittings.ends import End, end_by_id
from fittings.job.plan import plan
from fittings.job.reading import read_job
from fittings.job.recheck import second_opinion
from fittings.job.result import Plan
from fittings.mating import headline, mate
from fittings.reports.as_json import dumps
from fittings.reports.plan_json import plan_json
from fittings.reports.plan_text import plan_text
from fittings.reports.sheet import sheet_html

JOB = """title = "Fan motor"
units = "metric"
[system]
relief = "180 bar"
flow = "30 L/min"
oil = "ISO VG 46"
[[component]]
name = "valve"
kind = "valve"
ports = { A = "G1/2 port" }
[[component]]
name = "motor"
kind = "motor"
ports = { A = "M22x1.5 ISO 9974 port" }
[[line]]
name = "feed"
from = "valve.A"
to = "motor.A"
kind = "work"
hose = { ends = "16S swivel" }
route = { length = "2 m" }
"""


@pytest.fixture(scope="module")
def feed() -> Plan:
    return plan(read_job(JOB))


def flat(text: str) -> str:
    return " ".join(text.split())


def test_the_ring_that_comes_with_the_stud_is_bought_once_as_a_spare(feed: Plan) -> None:
    bought = {item.say: item.qty for item in feed.bill if item.sort == "ring"}
    assert bought["elastomer ring for G1/2"] == bought["elastomer ring for M22"] == 1
    assert not any("bonded" in say for say in bought)


def test_a_plan_and_its_sheet_say_when_a_bonded_seal_may_be_laid_under_a_stud(feed: Plan) -> None:
    for said in (flat(plan_text(feed)), flat(sheet_html(feed))):
        assert "bonded seal for M22, when the stud has no seal of its own; a recessed narrow spotface does not take it" in said
        assert "never on the narrow spotface" in said


def test_the_heavy_stud_of_a_16s_coupling_has_its_own_torque_only(feed: Plan) -> None:
    """16S is a heavy 24° cone: 135 N·m from memory. A soft ring (form A) or a light stud is another part."""
    (at_motor,) = [each for each in feed.lines[0].joints if {each.joint.a.family, each.joint.b.family} == {"iso9974"}]
    assert [(band.school, band.low_nm) for band in at_motor.torque] == [("form E heavy", 135)]


def test_the_second_opinion_finds_a_bonded_seal_written_in(feed: Plan) -> None:
    saved = json.loads(dumps(plan_json(feed)))
    assert second_opinion(saved).stands
    for item in saved["bill"]:
        if item["say"] == "elastomer ring for M22":
            item["say"] = "bonded seal for M22"
    assert {flaw.code for flaw in second_opinion(saved).flaws} == {"bill-short", "bill-long"}


@pytest.mark.parametrize("pair", [("bspp-1/2-port", "bspp-1/2-stud"), ("jis30-1/2-male", "jis30-1/2-swivel"), ("jic-6-male", "orb-6-port")])
def test_the_drawing_of_a_joint_is_headed_as_the_verdict_is(pair: tuple[str, str]) -> None:
    of = mate(*(end_by_id(each) for each in pair))
    drawn = flat(" ".join(said for _, said in Picture(pair_svg(of)).texts()))
    assert headline(of) in drawn and "seals and holds" not in drawn


@pytest.mark.parametrize(("family", "size"), [("bspp", "1/2"), ("iso9974", "M22x1.5"), ("iso9974", "M42x2"), ("bspp", "1/8")])
def test_the_ring_of_a_form_e_stud_is_drawn_on_the_flat_of_the_port(family: str, size: str) -> None:
    """The mark of the seal stands on metal: outside the mouth of the port and inside the collar of the stud."""
    from fittings.drawing.shapes import shape

    stud, port = shape(End(family, size, "stud")), shape(End(family, size, "port"))
    ((_, seal),), ((_, collar),) = stud.marks["seal"], stud.marks["face"]
    mouth = max(r for _, r in port.marks["mouth"])
    assert mouth < seal < collar
