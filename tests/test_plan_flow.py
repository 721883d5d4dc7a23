"""What oil does on its way through a job: where it leaves, what comes back through blocks, what returns and drains hold back, motors, loads."""

import pytest
from test_plan_dangers import ROUTE, codes, component, job, line

from fittings.circuit import Finding
from fittings.job.result import Plan

PUMP = component("pump", 'out = "ORB -10 port"', kind='"pump"')
VALVE = component("valve", 'P = "ORB -10 port", T = "ORB -10 port", A = "ORB -8 port", B = "ORB -8 port"', kind='"valve"')
TANK = component("tank", 'return = "NPT 3/4 female", low = "NPT 3/8 female"', kind='"tank"')
RAM = component("ram", 'cap = "ORB -8 port", rod = "ORB -8 port"', cylinder='{ bore = "3 in", rod = "2 in", stroke = "20 in" }', back_driven="false")
FEED = line("P", "pump.out", "valve.P", kind='"pressure"', route=ROUTE)
BACK = line("T", "valve.T", "tank.return", kind='"return"', route=ROUTE)
UP, DOWN = line("up", "valve.A", "ram.cap", route=ROUTE), line("down", "valve.B", "ram.rod", route=ROUTE)


def every(of: Plan) -> list[Finding]:
    return [*of.findings, *(one for cyl in of.cylinders for one in cyl.findings), *(one for each in of.every_line for one in each.findings)]


def text_of(of: Plan, code: str) -> str:
    return next(each.text for each in every(of) if each.code == code)


# --- what has no line --------------------------------------------------------------------------------------------------------

@pytest.mark.parametrize("centre", ["", 'centre = "closed"\n', 'centre = "open"\n'])
def test_a_tank_port_is_never_plugged(centre: str) -> None:
    """Never plug a case drain or a tank line (a hydraulic trainer's safety page): with T shut nothing comes out of the cylinder."""
    of = job(PUMP, VALVE + centre, RAM, FEED, UP, DOWN)
    assert codes(of)["tank-port-blocked"] == "refuse" and of.refused
    assert not any("valve.T" in each.text and "or takes a plug" in each.text for each in of.findings)
    assert "tank-port-blocked" not in codes(job(PUMP, VALVE + centre, RAM, TANK, FEED, UP, DOWN, BACK))


def test_a_tank_port_whose_line_may_be_there_already_is_asked_about() -> None:
    assert codes(job(VALVE, RAM, UP, DOWN))["tank-port-blocked"] == "warn"


@pytest.mark.parametrize("centre", ["", 'centre = "closed"\n'])
def test_a_valve_that_is_fed_has_a_way_to_the_tank(centre: str) -> None:
    bare = VALVE.replace('T = "ORB -10 port", ', "")
    assert codes(job(PUMP, bare + centre, RAM, FEED, UP, DOWN))["no-way-to-tank"] == "refuse"
    assert "no-way-to-tank" not in codes(job(bare + centre, RAM, UP, DOWN))


@pytest.mark.parametrize(("kind", "level"), [('"filter"', "refuse"), ('"other"', "refuse"), ('"manifold"', "refuse")])
def test_what_a_return_goes_through_has_an_outlet(kind: str, level: str) -> None:
    through = component("cooler", 'in = "NPT 3/4 female", out = "NPT 3/4 female"', kind=kind)
    into = line("T", "valve.T", "cooler.in", kind='"return"', route=ROUTE)
    on = line("T2", "cooler.out", "tank.return", kind='"return"', route=ROUTE)
    assert codes(job(PUMP, VALVE, RAM, TANK, through, FEED, UP, DOWN, into))["outlet-blocked"] == level
    assert "outlet-blocked" not in codes(job(PUMP, VALVE, RAM, TANK, through, FEED, UP, DOWN, into, on))
    in_tank = through.replace(', out = "NPT 3/4 female"', "")
    assert "outlet-blocked" not in codes(job(PUMP, VALVE, RAM, in_tank, FEED, UP, DOWN, into))


def test_a_motor_with_one_line_cannot_turn() -> None:
    motor = component("motor", 'A = "ORB -8 port", B = "ORB -8 port"', kind='"motor"')
    assert codes(job(VALVE, motor, line("a", "valve.A", "motor.A", route=ROUTE)))["no-way-to-tank"] == "refuse"
