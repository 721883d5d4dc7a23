"""A job in BSP and 24° threads stays there; its refusals and hints are in its own units."""

import json
import re

import pytest

from fittings.cli import run
from fittings.ends import End, end_by_id
from fittings.job.mistakes import BadJob
from fittings.job.plan import plan
from fittings.job.reading import read_job
from fittings.job.recheck import plan_flaws, second_opinion
from fittings.job.result import Plan
from fittings.limits import Limits, pressure_asked
from fittings.mating import in_material, mate
from fittings.parts import find
from fittings.planner import join
from fittings.reports.as_json import dumps
from fittings.reports.bill import counter_text
from fittings.reports.plan_json import plan_json
from fittings.reports.plan_text import plan_text
from fittings.reports.sheet import sheet_html
from fittings.units import format_least_length, pressure_psi

HEAD = 'title = "Crane"\nunits = "metric"\n[system]\nrelief = "{relief}"\nflow = "{flow}"\noil = "ISO VG 32"\n'
TWO = ('[[component]]\nname = "block"\nkind = "valve"\nports = {{ A = "{a}" }}\n[[component]]\nname = "ram"\nkind = "motor"\n'
       'ports = {{ A = "{b}" }}\n[[line]]\nname = "out"\nfrom = "block.A"\nto = "ram.A"\nkind = "work"\n'
       'route = {{ length = "2 m" }}\n[limits]\nmax_parts = {most}\navoid = ["npt"]\n')


def job(a: str, b: str, relief: str = "220 bar", flow: str = "42 L/min", most: int = 2) -> Plan:
    return plan(read_job(HEAD.format(relief=relief, flow=flow) + TWO.format(a=a, b=b, most=most)))


@pytest.mark.parametrize(("a", "b"), [("G3/8 port", "M18x1.5 12L male"), ("G1/4 port", "G1/4 port"), ("G1/2 port", "16S male")])
def test_a_machine_of_bsp_and_24_degree_threads_gets_no_flare(a: str, b: str) -> None:
    (line,) = job(a, b).lines
    assert line.can_be_done and line.hose is not None
    used = [end.family for each in (*line.from_parts, *line.to_parts, *line.hose.ends) for end in each.part.ends]
    assert set(used) <= {"bspp", "bsp60", "cone24", "hose"}


@pytest.mark.parametrize("size", ["6L", "15L", "42L", "6S", "38S"])
def test_two_equal_24_degree_males_take_one_connector_with_two_nuts(size: str) -> None:
    male = End("cone24", size, "male")
    (first, *_) = join(male, male).chains
    assert [used.part.say for used in first.parts] == [f"straight, 24° cone {size} female swivel × 24° cone {size} female swivel"]
    assert find((End("cone24", size, "swivel"),) * 2, "straight")[0].had == "made"


def test_a_plan_never_offers_a_lower_pressure() -> None:
    """No line may be planned below the relief: 16S heavy ends hold 400 bar, a flare -8 207 (SAE J514)."""
    said = " ".join(plan_text(job("ISO 6149 M22x1.5 port", "20S male", "280 bar", "226 L/min", 1)).split())
    of_the_line = said.partition("LINE ")[2].partition("WHILE YOU WORK")[0]
    assert "CANNOT BE DONE" in of_the_line and "instead of 280 bar" not in said and not re.search(r"\d psi", of_the_line)


@pytest.mark.parametrize(("psi", "said"), [
    (3000.0, "3000 psi"), (250 * 1e5 / 6894.757293168361, "250 bar"), (250 * 98066.5 / 6894.757293168361, "250 kg/cm2"),
    (5345.886527, "5346 psi (368.6 bar)"),
])
def test_a_pressure_is_said_as_it_was_asked_for(psi: float, said: str) -> None:
    assert pressure_asked(psi) == said
    assert pressure_psi(Limits(psi=psi).pressure_typed, "psi") == pytest.approx(psi, rel=1e-9)


def test_a_hint_is_in_the_unit_of_the_question() -> None:
    """ORB -8 holds 41.3 MPa, 413 bar, as its heavy stud (SAE J1453-3)."""
    refused = join(end_by_id("orb-8-port"), end_by_id("orb-8-port"), Limits(psi=700 * 1e5 / 6894.757293168361)).refused
    assert refused is not None
    (hint, *_) = refused.hints
    assert hint.text.startswith("at 413 bar instead of 700 bar") and hint.run.endswith("--psi 413bar")


def test_aluminium_holds_the_210_bar_that_its_source_prints() -> None:
    judged = in_material(mate(end_by_id("orb-8-port"), end_by_id("orb-8-stud")), "aluminium-port").verdict
    assert judged.rating is not None and (judged.rating.psi, judged.rating.bar) == (3045, 210)


def test_a_higher_pressure_of_another_edition_is_told_and_not_used(capsys: pytest.CaptureFixture[str]) -> None:
    """15L: ISO 8434-1 gives 25 MPa, tube-fitting makers print PN 315 (their PN pages and a trade table)."""
    told = "4568 psi (315 bar), maker's PN, DIN 2353 practice"
    for line in (["mate", "15L male", "15L swivel"], ["join", "15L male", "orb -8 port"], ["show", "15L male"]):
        assert run(line) == 0
        said = " ".join(capsys.readouterr().out.split())
        assert told in said and ("in use" in said) and "3625 psi (250 bar)" in said
    assert run(["join", "15L male", "orb -8 port", "--psi", "290 bar"]) == 1
    assert "also 315 bar, maker's PN, DIN 2353 practice: the lower is in use" in " ".join(capsys.readouterr().out.split())


def test_show_tells_what_an_end_holds_and_how_it_is_tightened(capsys: pytest.CaptureFixture[str]) -> None:
    """24° 15L nut: 65-75 N·m, an access-platform maker; SAE J514 -8 male 4500 psi and its nut 43-65 N·m by several makers."""
    for end_, rated, torque in (("15L male", "rating 3625 psi (250 bar)", "(65-75 N·m)"), ("15L swivel", "rating 3625 psi", "(65-75 N·m)"),
                                ("jic -8 male", "rating 4500 psi", "(43-65 N·m)")):
        assert run(["show", end_]) == 0
        said = " ".join(capsys.readouterr().out.split())
        assert rated in said and torque in said


def test_a_cutting_ring_is_a_joint_only_when_it_has_bitten(capsys: pytest.CaptureFixture[str]) -> None:
    """How far to turn past the firm point differs by maker: it is not told, but that there is something to do is (DIN 3859-2 practice)."""
    assert run(["mate", "16S tube nut", "16S male"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert said.count("CONDITIONAL: a joint only if the cutting ring has bitten into its tube") == 1
    for word in ("pre-assemble", "mark nut and tube", "firm point", "maker of the ring", "collar", "not in our tables, nor how far to turn"):
        assert word in said


def test_a_hose_is_read_by_its_nominal_bore_and_an_oil_by_its_class(capsys: pytest.CaptureFixture[str]) -> None:
    """ISO 1307: DN 10 is -6, DN 12 -8; DIN 51524 HLP 46 is a mineral oil of ISO VG 46."""
    text = HEAD.format(relief="190 bar", flow="20 L/min").replace("ISO VG 32", "HLP 46") + TWO.format(a="G3/8 port", b="12L male", most=2)
    of = plan(read_job(text.replace('route = ', 'hose = { type = "2SN", size = "DN10" }\nroute = ')))
    assert of.lines[0].hose is not None and (of.lines[0].hose.hose.type, of.lines[0].hose.hose.size) == ("2SN", "-6")
    assert "oil HLP 46 taken as ISO VG 46" in [each.text for each in of.findings]
    assert plan_flaws(json.loads(dumps(plan_json(of)))) == []
    assert of.job.system.oil_used.cst_40c == 46
    assert run(["size", "--flow", "42 L/min", "--bore", "DN12", "--units", "metric"]) == 0
    assert capsys.readouterr().out.startswith("bore DN12 taken as hose -8, 12.7 mm\n")
    with pytest.raises(BadJob, match="or DN12 and the like"):
        read_job(text.replace('route = ', 'hose = { size = "DN11" }\nroute = '))


@pytest.mark.parametrize(("mm", "units", "said"), [
    (151.2, "inch", "6 in"), (90.0, "inch", "3-9/16 in"), (127.0, "inch", "5 in"), (64.6, "metric", "65 mm"), (101.6, "both", "4 in (102 mm)"),
])
def test_a_least_bend_radius_is_only_ever_rounded_up(mm: float, units: str, said: str) -> None:
    """90 / 25.4 = 3.543 in, above 3-1/2 and below 3-9/16."""
    assert format_least_length(mm, units) == said  # type: ignore[arg-type]


def test_rings_of_an_inch_job_are_told_in_inches_everywhere() -> None:
    """AS568-906: 0.468 by 0.078 in (naval training text)."""
    text = (HEAD.format(relief="2000 psi", flow="4 gpm").replace('"metric"', '"inch"')
            + TWO.format(a="ORB -6 port", b="ORB -6 port", most=2).replace("2 m", "60 in"))
    of = plan(read_job(text))
    for said in (plan_text(of), sheet_html(of), counter_text(of.bill)):
        assert "0.468 x 0.078 in" in " ".join(said.split()) and "11.89 x 1.98" not in said
    assert second_opinion(json.loads(dumps(plan_json(of)))).stands


def test_the_counter_is_told_what_a_plug_is_for_and_how_a_hose_is_measured() -> None:
    text = (HEAD.format(relief="3000 psi", flow="8 gpm").replace('"metric"', '"inch"')
            + TWO.format(a="ORB -8 port", b="ORB -8 port", most=2).replace('A = "ORB -8 port" }', 'A = "ORB -8 port", B = "ORB -8 port" }', 1))
    said = counter_text(plan(read_job(text)).bill)
    assert "plug, ORB -8 male stud (for block.B" in said and "holds the relief setting of 3000 psi" in said
    assert "plug for ORB -8 port (against dirt, while the port is open; not for pressure)" in said
    assert said.splitlines()[-1].startswith("hoses: overall length")
