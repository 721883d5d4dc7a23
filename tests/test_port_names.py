"""What ports are called, and what follows from it: one home for the names, every spelling of a drain known."""

import pytest

from fittings.job.plan import plan_text_of
from fittings.job.port_names import is_surely_drain, is_tank_port, is_work_port, one_passage, role_of

MOTOR = """
[system]
relief = "3000 psi"
flow = "10 gpm"
[[component]]
name = "valve"
ports = { A = "ORB -10 port", B = "ORB -10 port" }
[[component]]
name = "tank"
kind = "tank"
ports = { back = "ORB -10 port" }
[[component]]
name = "fan motor"
kind = "motor"
ports = { A = "ORB -10 port", B = "ORB -10 port", "CASE" = "ORB -6 port" }
[[line]]
name = "on"
from = "valve.A"
to = "fan motor.A"
[[line]]
name = "off"
from = "valve.B"
to = "fan motor.B"
"""
RETURN = '[[line]]\nname = "leak oil"\nfrom = "fan motor.CASE"\nto = "tank.back"\nkind = "return"\n'


@pytest.mark.parametrize("name", ["L1", "L2", "case", "case1", "Case 2", "case_drain", "Leak", "leakage", "DR", "Dr2", "drain"])
def test_every_spelling_of_a_drain_is_one(name: str) -> None:
    """A motor's drain on a return of another kind, or without a line, is refused: both blow the shaft seal (reference flow.md, drains)."""
    assert role_of(name) == "drain" and is_surely_drain(name)
    text = MOTOR.replace('"CASE"', f'"{name}"')
    shut = {each.code for each in plan_text_of(text).findings if each.level == "refuse"}
    assert "drain-blocked" in shut
    shared = plan_text_of(text + RETURN.replace("CASE", name)).lines[2]
    assert "drain-elsewhere" in {each.code for each in shared.findings if each.level == "refuse"}


@pytest.mark.parametrize("name", ["L", "D", "d"])
def test_a_bare_letter_is_asked_about(name: str) -> None:
    assert role_of(name) == "drain" and not is_surely_drain(name)
    shared = plan_text_of(MOTOR.replace('"CASE"', f'"{name}"') + RETURN.replace("CASE", name)).lines[2]
    assert [each.level for each in shared.findings if each.code == "drain-elsewhere"] == ["warn"]


def test_the_other_names() -> None:
    assert [role_of(name) for name in ("X", "Y", "LS", "PB", "power_beyond", "HPCO", "G2", "M", "P1", "cap")] == [
        "pilot", "drain", "load-sense", "carry-over", "carry-over", "carry-over", "gauge", "gauge", "pressure", ""]
    assert all(map(is_tank_port, ("T", "T2", "tank", "RETURN", "ret 1"))) and not is_tank_port("P")
    # D is a drain on some blocks, so it is no work port that a plug is offered for
    assert all(map(is_work_port, ("A", "B2", "C1"))) and not any(map(is_work_port, ("P", "D", "T", "LS", "a")))
    assert one_passage(["V2", "C2"]) and one_passage(["inlet", "outlet"]) and not one_passage(["A", "B"])
