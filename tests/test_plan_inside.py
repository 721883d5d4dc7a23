"""What a component is on the inside, and what a plan makes of it: shut rod sides, loads that hang on oil, locks behind a hose.

Expected values by hand from the balance of forces on a piston (reference safety.md 4, flow.md 4): p_rod = (p·A_cap + F) / A_annulus.
"""

import json

import pytest

from fittings.circuit import Finding
from fittings.job.plan import plan_text_of
from fittings.job.recheck import plan_flaws
from fittings.job.result import Plan, PlannedLine
from fittings.reports.plan_json import plan_json

SYSTEM = '[system]\nrelief = "2800 psi"\nflow = "6 gpm"\noil = "ISO VG 46"\ntemperature = { cold = "0 C", hot = "60 C" }\n'
VALVE = 'name = "valve"\nkind = "valve"\nports = { A = "ORB -6 port", B = "ORB -6 port" }'
LEG = ('name = "leg"\ncylinder = { bore = "3 in", rod = "2.25 in", stroke = "20 in" }\n'
       'ports = { cap = "ORB -6 port", rod = "ORB -6 port" }\nback_driven = false')
BLOCK = 'name = "grey block"\nkind = "manifold"\nports = { in = "ORB -6 port", out = "ORB -6 port" }'
DOWN = 'name = "down"\nfrom = "valve.A"\nto = "leg.cap"'
UP_A = 'name = "up a"\nfrom = "valve.B"\nto = "grey block.in"'
UP_B = 'name = "up b"\nfrom = "grey block.out"\nto = "leg.rod"'


def planned(components: tuple[str, ...] = (VALVE, BLOCK, LEG), lines: tuple[str, ...] = (DOWN, UP_A, UP_B)) -> Plan:
    return plan_text_of(SYSTEM + "".join(f"[[component]]\n{each}\n" for each in components) + "".join(f"[[line]]\n{each}\n" for each in lines))


def line_of(plan: Plan, name: str) -> PlannedLine:
    return next(line for line in plan.lines if line.name == name)


def told(plan: Plan, line: str, code: str) -> Finding | None:
    return next((each for each in line_of(plan, line).findings if each.code == code), None)


def with_block(old: str = "", new: str = "", *lines: str) -> Plan:
    return planned((VALVE, BLOCK.replace(old, new) if old else BLOCK, LEG), lines or (DOWN, UP_A.replace(old, new), UP_B.replace(old, new)))


# 3 in bore, 2.25 in rod: 9 / (9 - 5.0625) = 2.2857; 2.2857 x 2800 psi = 6400 psi
SHUT_PSI = 6400


@pytest.mark.parametrize("kind", ["shut-off valve", "flow control", "check valve", "hose-burst valve", "pilot check", "counterbalance valve"])
def test_a_rod_side_behind_what_shuts_is_planned_for_it(kind: str) -> None:
    plan = planned((VALVE, BLOCK.replace('"manifold"', f'"{kind}"'), LEG))
    assert line_of(plan, "up b").demand.max_psi == pytest.approx(SHUT_PSI, abs=1)
    # what lies between it and the valve is open to the valve
    assert line_of(plan, "up a").demand.max_psi == pytest.approx(2800, abs=0.01) == line_of(plan, "down").demand.max_psi
    said = told(plan, "up b", "intensification")
    assert said is not None and "grey block" in said.text and "2.29 times" in said.text and "can_close = false" in said.text


def test_the_user_may_say_that_it_cannot_shut() -> None:
    plan = planned((VALVE, BLOCK.replace('"manifold"', '"flow control"'), LEG), (DOWN, UP_A, UP_B + "\ncan_close = false"))
    assert line_of(plan, "up b").demand.max_psi == pytest.approx(2800, abs=0.01)


@pytest.mark.parametrize(("name", "kind"), [
    ("rod shut-off ball valve", "shut-off valve"), ("lock block", "pilot check"), ("meter-out", "flow control"),
    ("PO check", "pilot check"), ("over-centre block", "counterbalance valve"), ("non-return", "check valve"), ("velocity fuse", "hose-burst valve"),
])
def test_a_word_in_a_name_only_warns_but_with_the_figure(name: str, kind: str) -> None:
    plan = with_block("grey block", name)
    said = told(plan, "up b", "rod-side-may-shut")
    assert said is not None and said.level == "warn" and "6400 psi" in said.text and f'kind = "{kind}"' in said.text
    assert told(plan, "up a", "rod-side-may-shut") is None
    quiet = planned((VALVE, BLOCK.replace("grey block", name), LEG),
                    (DOWN, UP_A.replace("grey block", name), UP_B.replace("grey block", name) + "\ncan_close = false"))
    assert told(quiet, "up b", "rod-side-may-shut") is None


@pytest.mark.parametrize("name", ["block", "grey blocks", "checker plate", "fused block"])
def test_a_word_within_a_word_says_nothing(name: str) -> None:
    said = told(with_block("grey block", name), "up b", "rod-side-may-shut")
    assert said is None


def test_what_is_not_named_at_all_is_asked_about() -> None:
    assert told(planned(), "up b", "rod-side-block") is not None
    valve = told(planned((VALVE, BLOCK.replace('"manifold"', '"valve"'), LEG)), "up b", "rod-side-may-shut")
    assert valve is not None and valve.level == "warn" and "6400 psi" in valve.text


def test_a_kind_that_shuts_without_the_measures_is_refused() -> None:
    leg = 'name = "leg"\nkind = "cylinder"\nports = { cap = "ORB -6 port", rod = "ORB -6 port" }\nback_driven = false'
    said = told(planned((VALVE, BLOCK.replace('"manifold"', '"flow control"'), leg)), "up b", "intensification-unknown")
    assert said is not None and said.level == "refuse"


def test_a_cylinder_that_is_rated_for_less_is_refused() -> None:
    plan = planned((VALVE, BLOCK.replace('"manifold"', '"shut-off valve"'), LEG + '\npsi = "5000 psi"'))
    said = told(plan, "up b", "component-rating")
    assert said is not None and said.level == "refuse" and "6400 psi" in said.text


# --- loads ---------------------------------------------------------------------------------------------------------------

# 2 in bore, 1.25 in rod: A_annulus 1.9144 in2, A_cap 3.1416 in2; 7000 lbf / 1.9144 = 3656 psi, / 3.1416 = 2228 psi
RAM = ('name = "leg"\ncylinder = { bore = "2 in", rod = "1.25 in", stroke = "12 in", load = "7000 lbf" }\n'
       'ports = { cap = "ORB -6 port", rod = "ORB -6 port" }\nback_driven = true')
UP = 'name = "up"\nfrom = "valve.B"\nto = "leg.rod"'


def hung(more: str = "", back_driven: str = "true", line: str = "") -> Plan:
    ram = RAM.replace('"7000 lbf"', f'"7000 lbf"{more}').replace("back_driven = true", f"back_driven = {back_driven}")
    return planned((VALVE, ram), (DOWN, UP + line))


def test_a_load_that_hangs_on_the_rod_is_held_against_line_and_cylinder() -> None:
    plan = hung()
    assert line_of(plan, "up").demand.max_psi == pytest.approx(3656, abs=1)
    said = told(plan, "up", "load-pressure")
    assert said is not None and "3656 psi" in said.text and "load_acts" in said.text
    weak = planned((VALVE, RAM + '\npsi = "3000 psi"'), (DOWN, UP))
    assert told(weak, "up", "component-rating") is not None


def test_the_job_may_say_which_way_the_load_acts() -> None:
    assert line_of(hung(', load_acts = "pushes"'), "up").demand.max_psi == pytest.approx(2800, abs=0.01)
    pulls = told(hung(', load_acts = "pulls"'), "up", "load-pressure")
    assert pulls is not None and "load_acts" not in pulls.text
    assert line_of(hung(back_driven="false"), "up").demand.max_psi == pytest.approx(2800, abs=0.01)


def test_a_shut_rod_side_carries_the_load_beside_the_pump() -> None:
    """(2800 x 3.1416 + 7000) / 1.9144 = 4595 + 3656 = 8251 psi."""
    assert line_of(hung(line="\ncan_close = true"), "up").demand.max_psi == pytest.approx(8251, abs=2)
    assert line_of(hung(', load_acts = "pushes"', line="\ncan_close = true"), "up").demand.max_psi == pytest.approx(4595, abs=2)


# --- what holds a load ---------------------------------------------------------------------------------------------------

@pytest.mark.parametrize(("old", "new"), [('"manifold"', '"pilot check"'), ("grey block", "lock block"), ('"manifold"', '"counterbalance valve"')])
def test_a_hose_between_a_lock_and_its_cylinder_is_told(old: str, new: str) -> None:
    """A burst hose between the two drops the load (reference safety.md 4)."""
    plan = with_block(old, new)
    said = told(plan, "up b", "holding-hose")
    assert said is not None and said.level == "warn"
    assert told(plan, "up b", "trapped-oil") is not None
    assert told(plan, "up a", "holding-hose") is None


# --- what lowers a pressure ----------------------------------------------------------------------------------------------

def lowered(name: str, kind: str, inlet: str = "", outlet: str = "", port: str = "out") -> Plan:
    block = f'name = "{name}"\nkind = "{kind}"\nports = {{ in = "ORB -6 port", {port} = "ORB -6 port" }}'
    return planned((VALVE, block, LEG), (
        UP, f'name = "before"\nfrom = "valve.A"\nto = "{name}.in"{inlet}', f'name = "behind"\nfrom = "{name}.{port}"\nto = "leg.cap"{outlet}'))


LESS = '\npressure = "600 psi"'


@pytest.mark.parametrize(("name", "kind"), [
    ("port relief block", "manifold"), ("pressure-reducing block", "manifold"), ("reducing valve", "valve"), ("gear reducer", "other"),
])
def test_no_word_in_a_name_lowers_a_pressure(name: str, kind: str) -> None:
    """A port relief is set above the main relief (reference safety.md 4), and a name proves no reducing valve."""
    said = told(lowered(name, kind, outlet=LESS), "behind", "pressure-below-relief")
    assert said is not None and said.level == "refuse"


def test_a_reducing_valve_lowers_the_pressure_behind_its_outlet_only() -> None:
    behind = told(lowered("press block", "reducing valve", outlet=LESS), "behind", "pressure-below-relief")
    before = told(lowered("press block", "reducing valve", inlet=LESS), "before", "pressure-below-relief")
    other = told(lowered("press block", "reducing valve", outlet=LESS, port="P"), "behind", "pressure-below-relief")
    assert behind is not None and behind.level == "warn" and "drain" in behind.text
    assert before is not None and before.level == "refuse" and other is not None and other.level == "refuse"


def test_behind_a_reducing_valve_the_rod_side_goes_by_what_the_cap_end_sees() -> None:
    """2.2857 x 600 = 1371 psi, less than the 2800 psi that the valve can bring there itself."""
    block = BLOCK.replace('"manifold"', '"reducing valve"')
    plan = planned((VALVE, block, LEG), (UP + "\ncan_close = true", 'name = "a"\nfrom = "valve.A"\nto = "grey block.in"',
                                         'name = "b"\nfrom = "grey block.out"\nto = "leg.cap"' + LESS))
    said = told(plan, "up", "intensification")
    assert line_of(plan, "up").demand.max_psi == pytest.approx(2800, abs=0.01) and said is not None and "1371 psi" in said.text


def test_a_low_rod_line_that_can_be_shut_is_held_against_what_the_cap_end_makes() -> None:
    """A reducing valve in the rod line does not lower what the cap end makes there: 6400 psi."""
    block = BLOCK.replace('"manifold"', '"reducing valve"')
    plan = planned((VALVE, block, LEG + '\npsi = "5000 psi"'), (DOWN, UP_A, UP_B + LESS + "\ncan_close = true"))
    assert line_of(plan, "up b").demand.max_psi == pytest.approx(SHUT_PSI, abs=1)
    assert told(plan, "up b", "component-rating") is not None


# --- locks, dividers, accumulators ---------------------------------------------------------------------------------------

def codes(plan: Plan) -> dict[str, str]:
    return {each.code: each.text for each in plan.findings}


@pytest.mark.parametrize(("centre", "told_"), [("", True), ("open", True), ("closed", True), ("float", False), ("motor", False)])
def test_a_pilot_check_wants_a_and_b_open_to_the_tank_in_the_middle(centre: str, told_: bool) -> None:
    lock = BLOCK.replace('"manifold"', '"pilot check"')
    valve = VALVE + (f'\ncentre = "{centre}"' if centre else "")
    assert ("pilot-check-centre" in codes(planned((valve, lock, LEG), (DOWN, UP_A, UP_B)))) == told_


MOTORS = "".join(f'[[component]]\nname = "{side} motor"\nkind = "motor"\nports = {{ A = "ORB -8 port", B = "ORB -8 port" }}\n' for side in ("left", "right"))


def divided(kind: str, name: str = "divider", legs: tuple[str, str] = ("", "")) -> Plan:
    text = SYSTEM + f'[[component]]\n{VALVE}\n[[component]]\nname = "{name}"\nkind = "{kind}"\n'
    text += 'ports = { in = "ORB -8 port", M1 = "ORB -8 port", M2 = "ORB -8 port" }\n' + MOTORS
    text += f'[[line]]\nname = "to"\nfrom = "valve.A"\nto = "{name}.in"\n'
    text += f'[[line]]\nname = "left"\nfrom = "{name}.M1"\nto = "left motor.A"\n{legs[0]}\n'
    text += f'[[line]]\nname = "right"\nfrom = "{name}.M2"\nto = "right motor.A"\n{legs[1]}\n'
    return plan_text_of(text)


def test_a_gear_divider_raises_the_leg_that_works() -> None:
    """Power in is power out: 2800 psi x 2 shares = 5600 psi in the one leg while the other carries none."""
    plan = divided("gear divider")
    assert line_of(plan, "left").demand.max_psi == line_of(plan, "right").demand.max_psi == pytest.approx(5600, abs=1)
    assert line_of(plan, "to").demand.max_psi == pytest.approx(2800, abs=0.01)
    unequal = divided("gear divider", legs=('flow = "1.5 gpm"', 'flow = "4.5 gpm"'))  # 6/1.5 = 4 times, 6/4.5 = 1.33 times
    assert [round(line_of(unequal, name).demand.max_psi) for name in ("left", "right")] == [11200, 3733]


def test_the_legs_of_a_divider_carry_their_shares() -> None:
    """6 gpm into two sections that are alike: 3 gpm each, and 6 gpm in the line to it; of a divider of no sort either leg may take all."""
    plan = divided("gear divider")
    assert [line_of(plan, name).demand.flow_gpm for name in ("to", "left", "right")] == pytest.approx([6, 3, 3])
    assert [line_of(divided("spool divider"), name).demand.flow_gpm for name in ("to", "left")] == pytest.approx([6, 3])
    assert line_of(divided("flow divider"), "left").demand.flow_gpm == pytest.approx(6)
    assert not plan_flaws(json.loads(json.dumps(plan_json(divided("gear divider", legs=('pressure = "3000 psi"',) * 2)))))


def test_a_leg_of_a_divider_goes_on_through_a_block() -> None:
    """What the other section drives stands behind a block in the leg as well: 2 x 2800 psi up to the motor, 3 gpm."""
    block = 'name = "divider"\nkind = "gear divider"\nports = { in = "ORB -8 port", M1 = "ORB -8 port", M2 = "ORB -8 port" }'
    motors = [f'name = "{side} motor"\nkind = "motor"\nports = {{ A = "ORB -8 port", B = "ORB -8 port" }}' for side in ("left", "right")]
    lines = [f'name = "{name}"\nfrom = "{start}"\nto = "{to}"' for name, start, to in (
        ("to", "valve.A", "divider.in"), ("left", "divider.M1", "grey block.in"), ("left on", "grey block.out", "left motor.A"),
        ("right", "divider.M2", "right motor.A"))]
    plan = planned((VALVE, BLOCK, block, *motors), tuple(lines))
    for name in ("left", "left on", "right"):
        assert line_of(plan, name).demand.max_psi == pytest.approx(5600, abs=1) and line_of(plan, name).demand.flow_gpm == pytest.approx(3)
    assert line_of(plan, "to").demand.max_psi == pytest.approx(2800, abs=1)


def test_out_of_cap_ends_a_divider_sums_what_its_legs_give() -> None:
    """Two cylinders with 2.29 times the area at the cap end, 6 gpm into both rod ends: 6.86 gpm comes out of either, 13.7 through the inlet."""
    rams = [LEG.replace('"leg"', f'"{side}"') for side in ("left", "right")]
    block = 'name = "divider"\nkind = "gear divider"\nports = { in = "ORB -8 port", M1 = "ORB -8 port", M2 = "ORB -8 port" }'
    lines = ['name = "to"\nfrom = "valve.A"\nto = "divider.in"', 'name = "rods"\nfrom = "valve.B"\nto = ["left.rod", "right.rod"]',
             *(f'name = "{side} cap"\nfrom = "divider.M{n}"\nto = "{side}.cap"' for n, side in enumerate(("left", "right"), 1))]
    plan = planned((VALVE, block, *rams), tuple(lines))
    assert line_of(plan, "left cap").demand.flow_gpm == pytest.approx(3 * 9 / (9 - 2.25**2))
    assert line_of(plan, "to").demand.flow_gpm == pytest.approx(6 * 9 / (9 - 2.25**2))


@pytest.mark.parametrize("brake", [
    'name = "winch"\nkind = "motor"\nback_driven = true\nports = { A = "ORB -8 port", B = "ORB -8 port", drain = "ORB -4 port", brake = "ORB -4 port" }',
    'name = "brake"\nkind = "cylinder"\nback_driven = false\nback_by = "spring"\n'
    'cylinder = { bore = "1.5 in", rod = "0 in", stroke = "0.5 in" }\nports = { cap = "ORB -4 port" }'])
def test_a_brake_beside_its_motor_takes_nothing_from_it(brake: str) -> None:
    """A brake of 1.77 in² x 0.5 in = 0.88 in³ is full in a second of 0.23 gpm; of one on the motor a twentieth of 6 gpm is taken."""
    winch = 'name = "winch"\nkind = "motor"\nback_driven = true\nports = { A = "ORB -8 port", B = "ORB -8 port", drain = "ORB -4 port" }'
    at = "winch.brake" if "kind = \"motor\"" in brake else "brake.cap"
    lines = (f'name = "up"\nfrom = "valve.A"\nto = ["winch.A", "{at}"]', 'name = "down"\nfrom = "valve.B"\nto = "winch.B"')
    plan = planned((VALVE, brake) if at == "winch.brake" else (VALVE, winch, brake), lines)
    to_motor, to_brake = line_of(plan, "up").branches
    assert to_motor.demand.flow_gpm == pytest.approx(6)
    assert to_brake.demand.flow_gpm == pytest.approx(0.3 if at == "winch.brake" else 0.884 * 60 / 231, rel=0.01)


def test_the_relief_of_a_leg_is_planned_for_where_it_is_written() -> None:
    plan = divided("gear divider", legs=('pressure = "3500 psi"', 'pressure = "3500 psi"'))
    said = told(plan, "left", "divider-raises")
    assert line_of(plan, "left").demand.max_psi == pytest.approx(3500, abs=0.01) and said is not None and "5600 psi" in said.text


@pytest.mark.parametrize(("kind", "name"), [("flow divider", "block"), ("manifold", "flow divider"), ("manifold", "gear flow divider"), ("other", "combiner")])
def test_a_divider_of_no_sort_is_asked_about(kind: str, name: str) -> None:
    said = told(divided(kind, name), "left", "divider-unknown")
    assert said is not None and said.level == "warn" and "5600 psi" in said.text and "spool divider" in said.text


def test_a_spool_divider_raises_nothing() -> None:
    plan = divided("spool divider")
    assert not {each.code for line in plan.lines for each in line.findings} & {"divider-unknown", "divider-raises"}
    assert line_of(plan, "left").demand.max_psi == pytest.approx(2800, abs=0.01)


@pytest.mark.parametrize(("kind", "name"), [("accumulator", "bottle"), ("other", "accumulator")])
def test_an_accumulator_is_told_of_and_is_no_consumer(kind: str, name: str) -> None:
    bottle = f'name = "{name}"\nkind = "{kind}"\nports = {{ oil = "ORB -6 port" }}'
    plan = planned((VALVE, LEG, bottle), (f'name = "down"\nfrom = "valve.A"\nto = ["leg.cap", "{name}.oil"]', UP))
    said = codes(plan)
    assert all(word in said["accumulator"] for word in ("nitrogen", "relief of its own", "bleed-down", "pre-charge", "engine off"))
    assert "accumulator-flow" in said
    # 6 gpm into the cap end, out of it 2.2857 times as much: 13.71 gpm; the accumulator takes none of it away
    assert line_of(plan, "down").branches[0].demand.flow_gpm == pytest.approx(13.71, abs=0.01)
    assert line_of(plan, "down").branches[1].demand.flow_gpm == pytest.approx(6)


def test_a_word_never_stands_against_a_kind() -> None:
    block = BLOCK.replace("grey block", "accumulator room filter").replace('"manifold"', '"filter"')
    assert "accumulator" not in codes(planned((VALVE, LEG, block), (DOWN, UP)))


# --- what brings a cylinder back -----------------------------------------------------------------------------------------

PLUNGER = 'name = "leg"\nkind = "cylinder"\ncylinder = { bore = "3 in", rod = "0 in", stroke = "20 in" }\nports = { cap = "ORB -6 port" }\nback_driven = true'


def test_a_plunger_does_not_breathe() -> None:
    plan = planned((VALVE, PLUNGER), (DOWN,))
    assert "vent-unknown" not in codes(plan)
    vented = planned((VALVE, PLUNGER + '\nvented = ["rod"]'), (DOWN,))
    assert "no-rod-end" in codes(vented) and "vent-open" not in codes(vented)
    assert not [item for item in vented.bill if item.sort == "breather"]


def test_it_is_asked_what_brings_a_cylinder_back() -> None:
    asked = codes(planned((VALVE, PLUNGER), (DOWN,)))["lowering"]
    assert all(word in asked for word in ("load", "spring", "another cylinder", "back_by", "prop"))
    assert "lowering" in codes(planned((VALVE, PLUNGER + '\nback_by = "load"'), (DOWN,)))
    for other in ("spring", "cylinder"):
        assert "lowering" not in codes(planned((VALVE, PLUNGER + f'\nback_by = "{other}"'), (DOWN,)))


# --- ports without a line ------------------------------------------------------------------------------------------------

def open_port(port: str, kind: str = "manifold") -> Plan:
    block = f'name = "grey block"\nkind = "{kind}"\nports = {{ in = "ORB -6 port", out = "ORB -6 port", "{port}" = "ORB -4 port" }}'
    return planned((VALVE, block, LEG), (DOWN, UP_A, UP_B + "\ncan_close = false"))


@pytest.mark.parametrize("port", ["g", "M", "b", "spare"])
def test_an_open_port_in_a_pressure_line_is_shut_with_what_holds(port: str) -> None:
    plan = open_port(port)
    assert "grey block" in codes(plan)["port-open"]
    assert [item.say for item in plan.bill if item.sort == "plug" and f"grey block.{port}" in item.note and "holds the relief" in item.note]


def test_the_plug_holds_what_the_line_does() -> None:
    """A rod side that can be shut: 6400 psi."""
    plan = open_port("g", "shut-off valve")
    plug = [item.note for item in planned((VALVE, BLOCK.replace('"manifold"', '"shut-off valve"').replace(" }", ', g = "ORB -4 port" }'), LEG)).bill
            if item.sort == "plug" and "grey block.g" in item.note]
    assert [note for note in plug if "6400 psi" in note] or not plug
    assert "port-open" in codes(plan)


@pytest.mark.parametrize("port", ["drain", "X", "Y", "L", "LS", "PB", "power beyond", "Dr"])
def test_some_ports_are_never_plugged_unasked(port: str) -> None:
    plan = open_port(port)
    said = codes(plan)
    assert "maker's sheet" in said["port-unknown"] and "never plug" in said["port-unknown"] and "port-open" not in said
    assert not [item for item in plan.bill if item.sort == "plug" and f"grey block.{port}" in item.note]


def test_no_plug_is_offered_where_only_the_line_may_be_left_out() -> None:
    """The pump line of a valve, and the way on from a block, are often not drawn."""
    assert not [item for item in open_port("outlet").bill if item.sort == "plug" and "grey block.outlet" in item.note]
    fed = planned((VALVE.replace("ports = {", 'ports = { P = "ORB -8 port", M = "ORB -4 port",'), LEG), (DOWN, UP))
    assert "port-open" in codes(fed) and "valve.M" in codes(fed)["port-open"] and "valve.P" not in codes(fed)["port-open"]


# --- a load on a motor, and a divider of no inlet ------------------------------------------------------------------------

def test_a_hose_between_a_counterbalance_valve_and_its_motor_is_told() -> None:
    """A winch lets its load fall when that hose bursts, as a cylinder does."""
    winch = 'name = "winch"\nkind = "motor"\nports = { A = "ORB -6 port", B = "ORB -6 port" }\nback_driven = true'
    hold = BLOCK.replace('"manifold"', '"counterbalance valve"')
    plan = planned((VALVE, hold, winch), ('name = "on"\nfrom = "valve.A"\nto = "winch.A"', UP_A, UP_B.replace("leg.rod", "winch.B")))
    said = told(plan, "up b", "holding-hose")
    assert said is not None and "winch" in said.text
    assert told(plan, "up a", "holding-hose") is None and told(plan, "on", "holding-hose") is None


def test_a_divider_whose_inlet_has_no_name_asks_for_it() -> None:
    """Three ports that may each be a leg: three times the relief is on the safe side, and it is said why."""
    text = SYSTEM + f'[[component]]\n{VALVE}\n[[component]]\nname = "divider"\nkind = "gear divider"\n'
    text += 'ports = { one = "ORB -8 port", two = "ORB -8 port", three = "ORB -8 port" }\n' + MOTORS
    for name, start, finish in (("to", "valve.A", "divider.one"), ("left", "divider.two", "left motor.A"), ("right", "divider.three", "right motor.A")):
        text += f'[[line]]\nname = "{name}"\nfrom = "{start}"\nto = "{finish}"\n'
    plan = plan_text_of(text)
    said = told(plan, "left", "divider-raises")
    assert line_of(plan, "left").demand.max_psi == pytest.approx(8400, abs=1) and said is not None and "call its inlet in" in said.text


# --- a hand pump -------------------------------------------------------------------------------------------------------------------

CART = ('name = "tip ram"\npsi = "3000 psi"\nback_driven = true\nback_by = "load"\nvented = ["rod"]\n'
        'cylinder = { bore = "2 in", rod = "1.25 in", stroke = "16 in", load = "5000 lbf", load_acts = "pushes" }\nports = { cap = "NPT 1/4 female" }')


@pytest.mark.parametrize(("name", "kind", "by_hand"), [("lever", "hand pump", True), ("hand pump", "pump", False), ("pump", "pump", None)])
def test_a_hand_pump_has_a_release_valve_and_no_heat(name: str, kind: str, by_hand: bool | None) -> None:
    """It stops when the hand stops, and no spool holds the load. A name alone takes no danger away (decision 15): it asks."""
    plan = planned((f'name = "{name}"\nkind = "{kind}"\nports = {{ out = "NPT 1/4 female" }}', CART),
                   (f'name = "lift"\nfrom = "{name}.out"\nto = "tip ram.cap"',))
    said = {each.code: each.text for each in plan.findings}
    assert ("heat" in said) is (by_hand is not True)
    assert ("spool" in said["load-holding"]) is (by_hand is not True)
    assert ("release valve" in said["lowering"]) is (by_hand is True)
    assert ("port-relief-no-room" in said) is (by_hand is not True)
    assert ('kind = "hand pump"' in said.get("hand-pump", "")) is (by_hand is False)
