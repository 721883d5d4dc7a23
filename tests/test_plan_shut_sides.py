"""Cap ends that something can shut, valves that hold or guard a load, cylinders and valves that do more than one stroke shows.

Expected values by hand from the balance of forces on a piston (reference safety.md 4, flow.md 4): p_cap = (p·A_annulus + F) / A_cap.
"""

import json

import pytest

from fittings.circuit import Finding
from fittings.job.mistakes import BadJob
from fittings.job.plan import plan_text_of
from fittings.job.recheck import plan_flaws
from fittings.job.result import Plan, PlannedLine
from fittings.reports.plan_json import plan_json

SYSTEM = '[system]\nrelief = "{relief}"\nflow = "{flow}"\noil = "ISO VG 46"\ntemperature = {{ cold = "32 F", hot = "140 F" }}\n'
VALVE = 'name = "valve"\nkind = "valve"\ncentre = "float"\nports = { A = "ORB -8 port", B = "ORB -8 port" }'
# 2.5 in bore, 1.25 in rod: A_cap 4.9087 in2, A_annulus 3.6816 in2, ratio 1.3333
RAM = ('name = "ram"\ncylinder = { bore = "2.5 in", rod = "1.25 in", stroke = "20 in", load = "9000 lbf", load_acts = "pushes" }\n'
       'ports = { cap = "ORB -8 port", rod = "ORB -8 port" }\nback_driven = true')
BLOCK = 'name = "block"\nkind = "%s"\nports = { V = "ORB -8 port", C = "ORB -8 port" }'
LIFT = 'name = "lift"\nfrom = "valve.A"\nto = "block.V"'
CAP = 'name = "cap"\nfrom = "block.C"\nto = "ram.cap"'
LOWER = 'name = "lower"\nfrom = "valve.B"\nto = "ram.rod"'


def planned(components: tuple[str, ...], lines: tuple[str, ...] = (LIFT, CAP, LOWER), relief: str = "2500 psi", flow: str = "8 gpm") -> Plan:
    return plan_text_of(SYSTEM.format(relief=relief, flow=flow) + "".join(f"[[component]]\n{each}\n" for each in components)
                        + "".join(f"[[line]]\n{each}\nroute = {{ length = \"30 in\" }}\n" for each in lines))


def line_of(plan: Plan, name: str) -> PlannedLine:
    return next(line for line in plan.lines if line.name == name)


def told(plan: Plan, line: str, code: str) -> Finding | None:
    return next((each for each in line_of(plan, line).findings if each.code == code), None)


def whole(plan: Plan, code: str) -> Finding | None:
    return next((each for each in plan.findings if each.code == code), None)


# --- a cap side that can be shut -----------------------------------------------------------------------------------------

# (2500 x 3.6816 + 9000) / 4.9087 = (9204 + 9000) / 4.9087 = 3708 psi
CAP_SHUT_PSI = 3708


@pytest.mark.parametrize("kind", ["shut-off valve", "flow control", "check valve", "hose-burst valve"])
def test_a_cap_side_behind_what_shuts_carries_its_load_and_the_rod_side(kind: str) -> None:
    plan = planned((VALVE, BLOCK % kind, RAM + '\npsi = "3000 psi"'))
    assert line_of(plan, "cap").demand.max_psi == pytest.approx(CAP_SHUT_PSI, abs=1)
    assert line_of(plan, "lift").demand.max_psi == pytest.approx(2500) == line_of(plan, "lower").demand.max_psi
    said, rated = told(plan, "cap", "cap-side-shut"), told(plan, "cap", "component-rating")
    assert said is not None and "3708 psi" in said.text and "goes in" in said.text and "can_close = false" in said.text
    assert rated is not None and rated.level == "refuse"


def test_a_line_that_can_close_at_a_cap_end_is_planned_for_it() -> None:
    up = 'name = "up"\nfrom = "valve.A"\nto = "ram.cap"'
    assert line_of(planned((VALVE, RAM), (up + "\ncan_close = true", LOWER)), "up").demand.max_psi == pytest.approx(CAP_SHUT_PSI, abs=1)
    assert line_of(planned((VALVE, RAM), (up, LOWER)), "up").demand.max_psi == pytest.approx(2500)


@pytest.mark.parametrize(("kind", "ram", "more"), [
    ("pilot check", RAM, ""), ("flow control", RAM, "\ncan_close = false"), ("flow control", RAM.replace("pushes", "pulls"), ""),
    ("flow control", RAM.replace(', load = "9000 lbf", load_acts = "pushes"', ""), ""),
    # what it presses against is no load that comes back at it
    ("flow control", RAM.replace(', load_acts = "pushes"', "").replace("= true", "= false"), ""),
    # (9204 + 2900) / 4.9087 = 2466 psi, below the relief
    ("flow control", RAM.replace("9000", "2900"), ""),
])
def test_a_cap_side_that_opens_or_carries_no_load_is_left_alone(kind: str, ram: str, more: str) -> None:
    plan = planned((VALVE, BLOCK % kind, ram), (LIFT, CAP + more, LOWER))
    assert line_of(plan, "cap").demand.max_psi == pytest.approx(2500)
    assert told(plan, "cap", "cap-side-shut") is None and told(plan, "cap", "cap-side-may-shut") is None


def test_a_word_at_a_cap_side_warns_with_the_figure() -> None:
    plan = planned((VALVE, (BLOCK % "manifold").replace('"block"', '"throttle"'), RAM),
                   (LIFT.replace("block", "throttle"), CAP.replace("block", "throttle"), LOWER))
    said = told(plan, "cap", "cap-side-may-shut")
    assert said is not None and said.level == "warn" and "3708 psi" in said.text and 'kind = "flow control"' in said.text
    asked = told(planned((VALVE, BLOCK % "manifold", RAM)), "cap", "cap-side-block")
    assert asked is not None and asked.level == "info" and "3708 psi" in asked.text


def test_a_coupler_at_a_cap_side_that_carries_a_load_is_warned_of() -> None:
    coupled, up = VALVE.replace('A = "ORB -8 port"', 'A = "ISO 16028 1/2 body"'), 'name = "up"\nfrom = "valve.A"\nto = "ram.cap"'
    said = told(planned((coupled, RAM), (up, LOWER)), "up", "cap-coupler")
    assert said is not None and "3708 psi" in said.text
    assert told(planned((coupled, RAM.replace("9000", "2900")), (up, LOWER)), "up", "cap-coupler") is None


# --- a reducing valve before a cap end ------------------------------------------------------------------------------------

def reduced(more: str = "") -> Plan:
    """3 in bore, 1.5 in rod: ratio 1.3333. A reducing valve shuts against what comes back into its outlet, so the oil of the cap end is
    held there: 3000 psi / 1.3333 = 2250 psi."""
    ram = 'name = "ram"\ncylinder = { bore = "3 in", rod = "1.5 in", stroke = "20 in" }\nports = { cap = "ORB -8 port", rod = "ORB -8 port" }\nback_driven = false'
    low = 'name = "low"\nkind = "reducing valve"\nports = { in = "ORB -8 port", out = "ORB -8 port" }'
    return planned((VALVE, low, ram), ('name = "before"\nfrom = "valve.A"\nto = "low.in"',
                                       'name = "clamp"\nfrom = "low.out"\nto = "ram.cap"\npressure = "1000 psi"' + more, LOWER), "3000 psi")


def test_behind_a_reducing_valve_the_back_stroke_counts_too() -> None:
    plan = reduced()
    said = told(plan, "clamp", "cap-side-shut")
    assert line_of(plan, "clamp").demand.max_psi == pytest.approx(2250, abs=1)
    assert said is not None and "2250 psi" in said.text and "a check that lets this oil by" in said.text
    assert line_of(reduced("\ncan_close = false"), "clamp").demand.max_psi == pytest.approx(1000)


# --- what guards and what holds ------------------------------------------------------------------------------------------

@pytest.mark.parametrize(("name", "kind"), [("block", "hose-burst valve"), ("velocity fuse", "manifold")])
def test_a_hose_between_a_burst_valve_and_its_cylinder_is_told(name: str, kind: str) -> None:
    plan = planned((VALVE, (BLOCK % kind).replace('"block"', f'"{name}"'), RAM), (LIFT.replace("block", name), CAP.replace("block", name), LOWER))
    said = told(plan, "cap", "burst-hose")
    assert said is not None and said.level == "warn" and "ram" in said.text
    assert told(plan, "lift", "burst-hose") is None


def test_the_setting_of_a_counterbalance_valve_is_held_against_line_and_cylinder() -> None:
    """11800 lbf / 4.9087 in2 = 2404 psi; 1.3 x 2404 = 3125 psi (reference safety.md 4: at least 1.3 times the load's pressure)."""
    heavy = RAM.replace("9000", "11800") + '\npsi = "3000 psi"'
    plan = planned((VALVE, BLOCK % "counterbalance valve", heavy))
    said, rated = told(plan, "cap", "counterbalance-setting"), told(plan, "cap", "component-rating")
    assert line_of(plan, "cap").demand.max_psi == pytest.approx(3125, abs=1)
    assert said is not None and "3125 psi" in said.text and rated is not None
    assert told(plan, "lift", "counterbalance-setting") is None
    lower = planned((VALVE, BLOCK % "counterbalance valve", heavy), (LIFT, CAP + '\npressure = "2900 psi"', LOWER))
    assert line_of(lower, "cap").demand.max_psi == pytest.approx(2900, abs=0.1)
    assert told(lower, "cap", "component-rating") is None


# --- cylinders in series -------------------------------------------------------------------------------------------------

def in_series(link: tuple[str, ...] = ('name = "link"\nfrom = "master.rod"\nto = "slave.cap"',), *more: str) -> Plan:
    """3 in and 2.75 in bores, 2 in rods: 9/5 = 1.8 and 7.5625/3.5625 = 2.1228. 1.8 x 2200 = 3960 psi between them; 6 gpm into the rod end
    of the slave is 12.74 out of its cap end and 22.93 gpm out of the cap end of the master."""
    ram = 'name = "%s"\ncylinder = { bore = "%s", rod = "2 in", stroke = "20 in" }\nports = { cap = "ORB -8 port", rod = "ORB -8 port" }\nback_driven = false'
    return planned((VALVE, ram % ("master", "3 in"), ram % ("slave", "2.75 in"), *more), (
        'name = "a"\nfrom = "valve.A"\nto = "master.cap"', *link, 'name = "b"\nfrom = "slave.rod"\nto = "valve.B"'), "2200 psi", "6 gpm")


THROUGH = ('name = "one"\nfrom = "master.rod"\nto = "block.V"', 'name = "two"\nfrom = "block.C"\nto = "slave.cap"')
PAIR = 'name = "block"\nkind = "coupler"\nports = { V = "ORB -8 port", C = "ORB -8 port" }'


@pytest.mark.parametrize(("link", "more"), [
    (('name = "link"\nfrom = "master.rod"\nto = "slave.cap"',), ()), (THROUGH, (BLOCK % "manifold",)), (THROUGH, (BLOCK % "flow control",)), (THROUGH, (PAIR,))])
def test_cylinders_in_series_are_refused_with_their_figures(link: tuple[str, ...], more: tuple[str, ...]) -> None:
    plan = in_series(link, *more)
    said = whole(plan, "cylinders-in-series")
    assert plan.refused and said is not None and said.level == "refuse"
    assert "3960 psi" in said.text and "22.9 gpm" in said.text


def test_cylinders_side_by_side_are_not_in_series() -> None:
    other = RAM.replace('"ram"', '"other"')
    split = planned((VALVE, RAM, other), ('name = "a"\nfrom = "valve.A"\nto = ["ram.cap", "other.cap"]', 'name = "b"\nfrom = "valve.B"\nto = ["ram.rod", "other.rod"]'))
    assert whole(split, "cylinders-in-series") is None
    legs = ('name = "one"\nfrom = "block.A1"\nto = "ram.cap"', 'name = "two"\nfrom = "block.A2"\nto = "other.cap"', 'name = "b"\nfrom = "valve.B"\nto = ["ram.rod", "other.rod"]')
    block = 'name = "block"\nkind = "manifold"\nports = { P = "ORB -8 port", A1 = "ORB -8 port", A2 = "ORB -8 port" }'
    assert whole(planned((VALVE, block, RAM, other), ('name = "to"\nfrom = "valve.A"\nto = "block.P"', *legs)), "cylinders-in-series") is None
    assert whole(planned((VALVE, block, RAM, other), legs), "cylinders-in-series") is None
    valve = tuple(leg.replace("block.A1", "valve.A").replace("block.A2", "valve.B") for leg in legs[:2])
    assert whole(planned((VALVE, RAM, other), valve), "cylinders-in-series") is None


# --- a valve that regenerates --------------------------------------------------------------------------------------------

def splitter(name: str, kind: str = "valve", flow: str = "") -> Plan:
    """4 in bore, 2 in rod: A_cap 12.566, A_annulus 9.425, A_rod 3.1416 in2. 11 gpm x 4 = 44 gpm at the cap end, x 3 = 33 gpm at the rod
    end; 11 x 231 / 60 / 3.1416 = 13.48 in/s; 2750 psi x 3.1416 = 8639 lbf."""
    valve = f'name = "{name}"\nkind = "{kind}"\ncentre = "open"\nports = {{ A = "ORB -16 port", B = "ORB -16 port", T = "ORB -16 port" }}'
    ram = 'name = "ram"\ncylinder = { bore = "4 in", rod = "2 in", stroke = "24 in" }\nports = { cap = "ORB -16 port", rod = "ORB -16 port" }\nback_driven = false'
    tank = 'name = "tank"\nkind = "tank"\nports = { in = "ORB -16 port" }'
    return planned((valve, ram, tank), (f'name = "out"\nfrom = "{name}.A"\nto = "ram.cap"{flow}', f'name = "back"\nfrom = "{name}.B"\nto = "ram.rod"',
                                        f'name = "home"\nkind = "return"\nfrom = "{name}.T"\nto = "tank.in"'), "2750 psi", "11 gpm")


@pytest.mark.parametrize("name", ["regen valve", "regenerative valve"])
def test_a_valve_that_is_named_for_regeneration_is_warned_of_with_the_figures(name: str) -> None:
    plan = splitter(name)
    said, cap, rod = whole(plan, "regenerating"), told(plan, "out", "regeneration-flow"), told(plan, "back", "regeneration-flow")
    assert said is not None and said.level == "warn" and "8639 lbf" in said.text and "13.48 in" in said.text
    assert cap is not None and cap.level == "warn" and "44 gpm" in cap.text and rod is not None and "33 gpm" in rod.text
    # 4/3 of 11 gpm while it goes in
    assert line_of(plan, "out").demand.flow_gpm == pytest.approx(14.67, abs=0.01)


def test_a_regenerative_valve_by_its_kind_is_planned_for() -> None:
    plan = splitter("lever", "regenerative valve")
    assert line_of(plan, "out").demand.flow_gpm == pytest.approx(44) and line_of(plan, "back").demand.flow_gpm == pytest.approx(33)
    # it is the valve that works the ram: what comes back to the tank is what leaves the cap end while it goes in
    assert line_of(plan, "home").demand.flow_gpm == pytest.approx(14.67, abs=0.01)
    said = whole(plan, "regenerating")
    assert said is not None and said.level == "info"
    # 4/3 of 20 gpm, while it goes in
    less = told(splitter("lever", "regenerative valve", '\nflow = "20 gpm"'), "out", "regeneration-flow")
    assert less is not None and less.level == "warn" and "26.7 gpm" in less.text
    assert whole(splitter("lever"), "regenerating") is None


# --- what holds the load of a cylinder that is fed at one end -------------------------------------------------------------

LIFT_RAM = RAM.replace("back_driven = true", 'back_driven = true\nvented = ["rod"]\nback_by = "load"')


@pytest.mark.parametrize("kind", ["counterbalance valve", "pilot check"])
def test_what_opens_by_the_other_line_never_lowers_a_cylinder_without_one(kind: str) -> None:
    """A counterbalance valve and a pilot-operated check take their pilot from the line at the other end (reference safety.md 4)."""
    said = whole(planned((VALVE, BLOCK % kind, LIFT_RAM), (LIFT, CAP)), "holding-no-pilot")
    assert said is not None and said.level == "warn" and "does not come down" in said.text
    assert whole(planned((VALVE, BLOCK % kind, RAM)), "holding-no-pilot") is None
    piloted = (BLOCK % kind).replace(" }", ', X = "ORB -4 port" }')
    pump = 'name = "hand pump"\nkind = "pump"\nports = { out = "ORB -4 port" }'
    assert whole(planned((VALVE, piloted, LIFT_RAM, pump), (LIFT, CAP, 'name = "open"\nfrom = "hand pump.out"\nto = "block.X"\nkind = "pressure"')),
                 "holding-no-pilot") is None


def test_no_counterbalance_valve_is_advised_where_it_would_never_open() -> None:
    said = whole(planned((VALVE, LIFT_RAM), ('name = "up"\nfrom = "valve.A"\nto = "ram.cap"',)), "holding-valve")
    assert said is not None and "at one end only" in said.text and "set at" not in said.text
    both_ends = whole(planned((VALVE, RAM), ('name = "up"\nfrom = "valve.A"\nto = "ram.cap"', LOWER)), "holding-valve")
    assert both_ends is not None and "1.3 times" in both_ends.text


@pytest.mark.parametrize("kind", ["counterbalance valve", "pilot check"])
def test_what_is_there_is_not_advised(kind: str) -> None:
    assert whole(planned((VALVE, BLOCK % kind, RAM)), "holding-valve") is None


# --- plain check valves --------------------------------------------------------------------------------------------------

CHECK = 'name = "check"\nkind = "check valve"\nports = { in = "ORB -8 port", out = "ORB -8 port" }'
FREE_RAM = RAM.replace("back_driven = true", "back_driven = false").replace(', load = "9000 lbf", load_acts = "pushes"', "")


def checked(to_valve: str, to_ram: str, check: str = CHECK, more: str = "") -> Plan:
    return planned((VALVE, check, FREE_RAM), (f'name = "lift"\nfrom = "valve.A"\nto = "check.{to_valve}"', f'name = "cap"\nfrom = "check.{to_ram}"\nto = "ram.cap"{more}', LOWER))


def test_a_check_valve_in_a_work_line_lets_nothing_back() -> None:
    ahead, back = whole(checked("in", "out"), "check-one-way"), whole(checked("out", "in"), "check-one-way")
    asked = whole(checked("V", "C", BLOCK.replace("block", "check") % "manifold"), "check-one-way")
    assert ahead is not None and ahead.level == "warn" and "can go out, and not go in again" in ahead.text
    assert back is not None and "cannot go out" in back.text
    assert asked is not None and "by its name" in asked.text and "which way round" in asked.text
    assert whole(checked("in", "out", more="\ncan_close = false"), "check-one-way") is None
    assert whole(planned((VALVE, BLOCK % "pilot check", RAM)), "check-one-way") is None


def returning(first: str, second: str, check: str = CHECK) -> Plan:
    valve = VALVE.replace(" }", ', T = "ORB -8 port" }')
    tank = 'name = "tank"\nkind = "tank"\nports = { in = "ORB -8 port" }'
    return planned((valve, check, FREE_RAM, tank), ('name = "up"\nfrom = "valve.A"\nto = "ram.cap"', LOWER,
                   f'name = "back"\nkind = "return"\nfrom = "valve.T"\nto = "check.{first}"', f'name = "home"\nkind = "return"\nfrom = "check.{second}"\nto = "tank.in"'))


def test_a_check_valve_that_opens_to_the_tank_leaves_the_return_a_return() -> None:
    plan = returning("in", "out")
    assert line_of(plan, "back").demand.max_psi == line_of(plan, "home").demand.max_psi == 150
    said = told(plan, "back", "return-check")
    assert said is not None and said.level == "info" and told(plan, "home", "return-check") is None
    assert not {"return-may-shut", "return-can-be-pressurised"} & {each.code for each in plan.all_findings}
    unasked = returning("V", "C", BLOCK.replace("block", "check") % "check valve")
    unnamed = told(unasked, "back", "return-check")
    assert line_of(unasked, "back").demand.max_psi == pytest.approx(2500)
    assert unnamed is not None and unnamed.level == "warn" and "call its ports in and out" in unnamed.text


def test_a_check_valve_the_wrong_way_round_shuts_the_return() -> None:
    plan = returning("out", "in")
    said = told(plan, "back", "return-check")
    assert said is not None and said.level == "refuse" and line_of(plan, "back").demand.max_psi == pytest.approx(2500)


def test_what_can_shut_a_return_is_told_once() -> None:
    plan = returning("V", "C", BLOCK.replace("block", "check") % "flow control")
    assert told(plan, "back", "return-may-shut") is not None and told(plan, "home", "return-may-shut") is None


@pytest.mark.parametrize("port", ["ex", "EX", "excess", "bypass", "BP"])
def test_the_excess_port_of_a_flow_control_is_never_plugged_unasked(port: str) -> None:
    """A three-port flow control lets by what the regulated port does not take; plugged, that has nowhere to go (common practice)."""
    block = (BLOCK % "flow control").replace(" }", f', {port} = "ORB -8 port" }}')
    plan = planned((VALVE, block, FREE_RAM))
    said = next(each for each in plan.findings if each.code == "port-unknown")
    assert f"block.{port}" in said.text and "never plug it unasked" in said.text
    assert not [item for item in plan.bill if item.sort == "plug" and f"block.{port}" in item.note]


# --- what sits on a port itself ------------------------------------------------------------------------------------------

UP = 'name = "up"\nfrom = "valve.A"\nto = "lock.V"'
LOCK = 'name = "lock"\nkind = "%s"\nports = { V = "ORB -8 port" }\non = { C = "ram.cap" }'


def test_a_lock_on_the_port_is_no_hose_and_the_oil_goes_through_it() -> None:
    plan = planned((VALVE, LOCK % "pilot check", RAM), (UP, LOWER))
    assert not plan.refused and [line.name for line in plan.lines] == ["up", "lower"]
    assert not {"holding-hose", "return-blocked", "holding-valve"} & {each.code for each in plan.all_findings}
    assert whole(plan, "trapped-oil") is not None
    # 8 gpm x 4/3 comes out of the cap end while it goes in
    assert line_of(plan, "up").demand.flow_gpm == pytest.approx(10.67, abs=0.01)
    seat = whole(plan, "seat")
    assert seat is not None and "lock on ram.cap" in seat.text and "2500 psi" in seat.text
    written = json.loads(json.dumps(plan_json(plan)))
    assert written["job"]["component"][1]["on"] == {"C": "ram.cap"} and not list(plan_flaws(written))


def test_what_sits_on_the_port_is_held_against_the_cylinder() -> None:
    for kind, most in (("flow control", "3708 psi"), ("hose-burst valve", "3708 psi")):
        plan = planned((VALVE, LOCK % kind, RAM + '\npsi = "3000 psi"'), (UP, LOWER))
        rated = whole(plan, "component-rating")
        assert plan.refused and rated is not None and most in rated.text
        assert line_of(plan, "up").demand.max_psi == pytest.approx(2500)
        assert whole(plan, "burst-hose") is None and told(plan, "up", "burst-hose") is None
    assert not planned((VALVE, LOCK % "flow control", RAM + '\npsi = "3000 psi"'), (UP + "\ncan_close = false", LOWER)).refused
    heavy = RAM.replace("9000", "11800") + '\npsi = "3000 psi"'
    set_high = planned((VALVE, LOCK % "counterbalance valve", heavy), (UP, LOWER))
    said = whole(set_high, "counterbalance-setting")
    assert set_high.refused and said is not None and "3125 psi" in said.text


def test_the_plug_of_a_block_on_a_port_holds_what_that_does() -> None:
    """A gauge port of a flow control on the cap port stands under its 3708 psi."""
    block = (LOCK % "flow control").replace(' }\non', ', M = "ORB -4 port" }\non')
    notes = [item.note for item in planned((VALVE, block, RAM), (UP, LOWER)).bill if item.sort == "plug" and "lock.M" in item.note]
    assert notes and all("3708 psi" in note for note in notes)


@pytest.mark.parametrize(("on", "wrong"), [
    ('{ C = "ram.cup" }', "has no port"), ('{ C = "valve.A" }', "cylinder or motor"), ('"ram.cap"', "which port of it"),
    ('{ C = "ram.rod" }', "taken already"), ('{ V = "ram.cap" }', "taken already")])
def test_a_seat_that_cannot_be_is_a_mistake(on: str, wrong: str) -> None:
    with pytest.raises(BadJob, match=wrong):
        planned((VALVE, (LOCK % "pilot check").replace('{ C = "ram.cap" }', on), RAM), (UP, LOWER))
