"""The circuit diagram around a pump that is fed by lines: one line from the tank to it, and no line across another for nothing.

One tank symbol feeds the pump and a drain ends in the tank (ISO 1219-1, from memory); that lines cross as little as they
can is common practice, no source.
"""

import itertools
import math
import re
from pathlib import Path

import pytest
from svg_reading import Picture, Point

from fittings.drawing import diagram_svg
from fittings.job.plan import plan_text_of

MOTOR = Path(__file__).parent / "jobs" / "motor-with-drain.toml"

HEAD = """
title = "Drawn by hand"
units = "metric"
[system]
relief = "150 bar"
flow = "20 L/min"
oil = "ISO VG 46"
temperature = { cold = "0 C", hot = "60 C" }
"""

PORTS = {
    "pump": 'out = "G1/2 port", in = "G1 port", drain = "G3/8 port"',
    "valve": 'P = "G1/2 port", T = "G1/2 port"',
    "tank": 'R = "G3/4 port", S = "G1 port", L = "G3/8 port"',
    "filter": 'in = "G3/4 port", out = "G3/4 port"',
}

FED = ("D pump.drain tank.L drain", "S tank.S pump.in suction", "P pump.out valve.P pressure", "R valve.T tank.R return")
OTHER_ORDER = ("S tank.S pump.in suction", "P pump.out valve.P pressure", "R valve.T tank.R return", "D pump.drain tank.L drain")
FILTERED = ("D pump.drain tank.L drain", "S tank.S pump.in suction", "P pump.out valve.P pressure", "R valve.T filter.in return",
            "F filter.out tank.R return")
STRAINED = ("S filter.out pump.in suction", "F tank.S filter.in suction", "P pump.out valve.P pressure", "R valve.T tank.R return",
            "D pump.drain tank.L drain")
UNFED = ("P pump.out valve.P pressure", "R valve.T tank.R return")


def _drawn(lines: tuple[str, ...]) -> Picture:
    used = dict.fromkeys(reference.split(".")[0] for line in lines for reference in line.split()[1:3])
    text = HEAD + "".join(f'[[component]]\nname = "{name}"\nkind = "{name}"\nports = {{ {PORTS[name]} }}\n' for name in used)
    for line in lines:
        name, start, finish, kind = line.split()
        text += f'[[line]]\nname = "{name}"\nfrom = "{start}"\nto = "{finish}"\nkind = "{kind}"\nroute = {{ length = "900 mm" }}\n'
    return Picture(diagram_svg(plan_text_of(text), listed=False))


def _segments(picture: Picture) -> list[tuple[Point, Point]]:
    runs = [*picture.points("wire"), *picture.points("hose"), *picture.points("inlet")]
    return [pair for run in runs for pair in itertools.pairwise(run)]


def _side(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _cross(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Whether two segments cross, or lie on each other; a common end is no crossing."""
    (a, b), (c, d) = one, other
    turns = [_side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b)]
    if all(abs(turn) < 1e-6 for turn in turns):
        along = sorted((one, other), key=min)
        return max(along[0]) > min(along[1]) and math.dist(max(along[0]), min(along[1])) > 1e-3
    return turns[0] * turns[1] < -1e-6 and turns[2] * turns[3] < -1e-6


@pytest.mark.parametrize("lines", [FED, OTHER_ORDER, FILTERED, STRAINED, UNFED])
def test_no_line_crosses_another(lines: tuple[str, ...]) -> None:
    picture = _drawn(lines)
    assert len(picture.elements("hose")) == len(lines)
    _nothing_crosses(picture)


@pytest.mark.parametrize("turned", [False, True])
def test_return_and_drain_of_a_motor_go_around_what_steers_it(turned: bool) -> None:
    """Side by side, whichever way they are written, as far as the tank."""
    text = MOTOR.read_text("utf-8")
    if turned:
        text = re.sub(r'from  = "(brush motor.drain)"\nto    = "(tank.drain)"', r'from = "\2"\nto = "\1"', text)
        assert 'from = "tank.drain"' in text
    picture = Picture(diagram_svg(plan_text_of(text), listed=False))
    assert len(picture.elements("hose")) == 3
    _nothing_crosses(picture)


@pytest.mark.parametrize("order", [("A V1 A", "B V2 B"), ("B V2 B", "A V1 A")])
def test_two_lines_that_shift_to_one_side_do_not_cross(order: tuple[str, str]) -> None:
    """A lock valve stands to the left of what steers it: the line that ends further right takes the upper lane, whichever is named first."""
    text = HEAD + ('[[component]]\nname = "valve"\nkind = "valve"\nports = { A = "G3/8 port", B = "G3/8 port", P = "G1/2 port", '
                   'T = "G1/2 port" }\n[[component]]\nname = "lock"\nkind = "manifold"\nports = { V1 = "G3/8 port", V2 = "G3/8 port", '
                   'C1 = "G3/8 port", C2 = "G3/8 port" }\n[[component]]\nname = "ram"\nback_driven = false\n'
                   'cylinder = { bore = "63 mm", rod = "40 mm", stroke = "500 mm" }\nports = { cap = "12L male", rod = "12L male" }\n')
    work = [each.split() for each in order]
    lines = [(name, f"valve.{name}", f"lock.{port}") for name, port, _ in work]
    lines += [("cap", "lock.C1", "ram.cap"), ("rod", "lock.C2", "ram.rod")]
    text += "".join(f'[[line]]\nname = "{name}"\nfrom = "{start}"\nto = "{finish}"\nkind = "work"\nroute = {{ length = "900 mm" }}\n'
                    for name, start, finish in lines)
    picture = Picture(diagram_svg(plan_text_of(text), listed=False))
    assert len(picture.elements("hose")) == 4
    _nothing_crosses(picture)


def _nothing_crosses(picture: Picture) -> None:
    walls = [pair for run in picture.points("tank") for pair in itertools.pairwise(run)]
    segments = _segments(picture)
    assert [pair for pair in itertools.combinations(segments, 2) if _cross(*pair)] == []
    assert [(wall, each) for wall in walls for each in segments if _cross(wall, each)] == []


@pytest.mark.parametrize("lines", [FED, OTHER_ORDER, FILTERED, STRAINED])
def test_a_pump_that_a_line_feeds_has_no_tank_of_its_own(lines: tuple[str, ...]) -> None:
    """The job's tank is the only one; the inlet goes on to the foot of the pump."""
    picture = _drawn(lines)
    assert len(picture.elements("tank")) == 1
    (inlet,) = picture.points("inlet")
    assert inlet[0] in [point for each in picture.points("wire") for point in each]
    x, foot = inlet[-1]
    assert any(math.isclose(x, outlet[0][0]) and outlet[0][1] < foot for outlet in picture.points("wire"))


def test_a_pump_without_a_suction_line_draws_from_its_own_tank() -> None:
    picture = _drawn(UNFED)
    assert len(picture.elements("tank")) == 2 and not picture.elements("inlet")


PLATFORM = HEAD + """
[[component]]
name = "pack"
kind = "pump"
ports = { P = "G3/8 port", T = "G3/8 port" }
[[component]]
name = "lift"
cylinder = { bore = "60 mm", rod = "40 mm" }
ports = { cap = "G3/8 port" }
vented = ["rod"]
[[component]]
name = "valve"
kind = "valve"
centre = "open"
ports = { P = "G3/8 port", T = "G3/8 port", A = "G1/4 port", B = "G1/4 port" }
[[component]]
name = "ram"
cylinder = { bore = "40 mm", rod = "25 mm" }
ports = { cap = "G1/4 port", rod = "G1/4 port" }
""" + "".join(f"""[[line]]
name = "{name}"
from = "{start}"
to = {to}
kind = "{kind}"
route = {{ length = "900 mm" }}
""" for name, start, to, kind in (
    ("P", "pack.P", '["lift.cap", "valve.P"]', "pressure"), ("T", "valve.T", '"pack.T"', "return"),
    ("A", "valve.A", '"ram.cap"', "work"), ("B", "valve.B", '"ram.rod"', "work")))


def test_a_leg_that_passes_a_row_goes_around_what_stands_in_it() -> None:
    """A pump line that splits to the valve and to a cylinder above it: no line runs through the valve, none ends in nothing."""
    picture = Picture(diagram_svg(plan_text_of(PLATFORM), listed=False))
    (centre,) = picture.points("centre")
    (p, bottom), *_, (t, _) = centre
    assert not [run for run in _segments(picture) if run[0][0] == run[1][0] and p - 5 < run[0][0] < t + 5
                and min(run[0][1], run[1][1]) < bottom - 1 < max(run[0][1], run[1][1])]
    ends = [point for run in (*picture.points("wire"), *picture.points("hose")) for point in (run[0], run[-1])]
    loose = [point for point in ends if sum(math.dist(point, other) < 0.01 for other in ends) == 1]
    assert len(loose) == 9, "each line and leg leaves or ends at one port, and nowhere else"


def test_an_open_centre_lets_the_pump_to_the_tank_and_shuts_both_sides_of_the_cylinder() -> None:
    """P to T with A and B blocked: the spool of most mobile valves for cylinders (common practice, no source)."""
    picture = Picture(diagram_svg(plan_text_of(PLATFORM)))
    (centre,) = picture.points("centre")
    ports = {words: box for box, words in picture.texts() if words in "PTAB"}
    assert min(y for _, y in centre) > ports["A"].bottom, "nothing of it leads up to A or B"
    said = [words for _, words in picture.texts()]
    assert any("open centre" in words for words in said) and any("motor" in words for words in said)


def test_no_relief_valve_is_drawn_where_the_job_names_none() -> None:
    picture = Picture(diagram_svg(plan_text_of(PLATFORM)))
    said = " ".join(words for _, words in picture.texts())
    assert "set to 150 bar" in said and "does not say where it sits" in said
    assert len(picture.elements("tank")) == 2, "the pump's own, and the return's"


@pytest.mark.parametrize("lines", [FED, OTHER_ORDER, FILTERED, STRAINED])
def test_every_number_stands_on_its_line(lines: tuple[str, ...]) -> None:
    picture = _drawn(lines)
    bows = picture.points("hose")
    numbers = [box for box, words in picture.texts() if words.isdigit()]
    assert len(numbers) == len(lines)
    for box in numbers:
        middle = ((box.left + box.right) / 2, (box.top + box.bottom) / 2)
        assert min(math.dist(middle, point) for bow in bows for point in bow) < 2.0
