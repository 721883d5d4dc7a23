"""Worked examples that reach every reason, finding, flaw, hint, refusal, failure and mistake, and what each says.

`python tests/worked_reasons.py` writes what they say now to `tests/reasons_said.csv`; look at the difference as a fitter
would read it: right, plain, and whole (what was asked, what stands against it, what would help).
"""

import contextlib
import csv
import io
import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple
from unittest.mock import patch

TOP = Path(__file__).resolve().parent.parent
SAID = TOP / "tests" / "reasons_said.csv"
if __name__ == "__main__":
    sys.path.insert(0, str(TOP))

from fittings import check, planner  # noqa: E402
from fittings.circuit import cylinder, flow, hose, lengths, oil, route  # noqa: E402
from fittings.cli import run  # noqa: E402
from fittings.ends import end_by_id  # noqa: E402
from fittings.job.mistakes import BadJob  # noqa: E402
from fittings.job.plan import plan_text_of  # noqa: E402
from fittings.job.reading import read_job  # noqa: E402
from fittings.job.recheck import plan_flaws  # noqa: E402
from fittings.limits import Limits  # noqa: E402
from fittings.mating import in_material, mate  # noqa: E402
from fittings.reports.plan_json import plan_json  # noqa: E402
from fittings.tables import BadTable  # noqa: E402
from fittings.tree import why_no_tree  # noqa: E402


class Said(NamedTuple):
    """What one example says under one code: `example` in short words, `code`, `level` or kind, `text`."""

    example: str
    code: str
    level: str
    text: str


Told = Iterator[tuple[str, str, str]]


# --- two ends, and chains ------------------------------------------------------------------------------------------------

def pair(a: str, b: str, material: str = "") -> Told:
    verdict = mate(end_by_id(a), end_by_id(b))
    for each in (in_material(verdict, material).verdict if material else verdict).reasons:
        yield each.code, "", each.text


def chain(start: str, finish: str, **limits: object) -> Told:
    refused = planner.join(end_by_id(start), end_by_id(finish), Limits(**limits)).refused  # type: ignore[arg-type]
    assert refused is not None
    yield from said_in(refused)


def tree(*ends: str, **limits: object) -> Told:
    yield from said_in(why_no_tree(tuple(map(end_by_id, ends)), Limits(**limits)))  # type: ignore[arg-type]


def said_in(refused: planner.Refusal) -> Told:
    yield refused.kind, "kind", " + ".join("".join(f"[{n}]" for n in some) for some in refused.because)
    for fact in refused.facts:
        yield fact.code, "fact", f"[{fact.n}] {fact.text}"
    for hint in refused.hints:
        yield hint.code, "hint", f"{hint.text} ({hint.run})"


def flaws(start: str, finish: str, *pieces: tuple[str, str, str], **asked: object) -> Told:
    """`pieces`: shape, the end towards `start`, the end towards `finish`."""
    made = [check.Piece(end_by_id(near), end_by_id(far), shape) for shape, near, far in pieces]
    for flaw in check.chain_flaws(end_by_id(start), end_by_id(finish), made, Limits(**asked)):  # type: ignore[arg-type]
        yield flaw.code, flaw.where, flaw.text


def found(*findings: object) -> Told:
    for each in findings:
        yield each.code, each.level, each.text  # type: ignore[attr-defined]


# --- jobs ----------------------------------------------------------------------------------------------------------------

VALVE = 'name = "valve"\nkind = "valve"\nports = { P = "ORB -10 port", A = "ORB -8 port", B = "ORB -8 port", T = "ORB -10 port" }'
RAM = ('name = "ram"\ncylinder = { bore = "2.5 in", rod = "1.5 in", stroke = "16 in" }\n'
       'ports = { cap = "ORB -8 port", rod = "ORB -8 port" }\nback_driven = false')
TANK = 'name = "tank"\nkind = "tank"\nports = { in = "NPT 3/4 female", low = "NPT 1/2 female" }'
LIFT = 'name = "lift"\nfrom = "valve.A"\nto = "ram.cap"\nroute = { length = "60 in" }'
LOWER = 'name = "lower"\nfrom = "valve.B"\nto = "ram.rod"\nroute = { length = "60 in" }'
BACK = 'name = "back"\nkind = "return"\nfrom = "valve.T"\nto = "tank.in"\nroute = { length = "60 in" }'
REDUCING = 'name = "low"\nkind = "reducing valve"\nports = { in = "ORB -8 port", out = "ORB -8 port" }'
SYSTEM = 'relief = "2500 psi"\nflow = "11 gpm"\noil = "ISO VG 46"\ntemperature = { cold = "0 C", hot = "60 C" }'


def job_text(components: tuple[str, ...] = (VALVE, RAM, TANK), lines: tuple[str, ...] = (LIFT, LOWER, BACK), system: str = SYSTEM,
             more: str = "") -> str:
    parts = ['units = "inch"', "[system]", system]
    parts += [f"[[component]]\n{each}" for each in components]
    parts += [f"[[line]]\n{each}" for each in lines]
    return "\n".join([*parts, more])


def job(components: tuple[str, ...] = (VALVE, RAM, TANK), lines: tuple[str, ...] = (LIFT, LOWER, BACK), system: str = SYSTEM,
        more: str = "") -> Told:
    plan = plan_text_of(job_text(components, lines, system, more))
    for line in plan.lines:
        for each in line.everything:
            yield from found(*each.findings)
            if each.refused is not None:
                yield each.refused.kind, "kind", ""
                for fact in each.refused.facts:
                    yield fact.code, "fact", fact.text
    for of in plan.cylinders:
        yield from found(*of.findings)
    yield from found(*plan.findings)


def mistakes(old: str, new: str, text: str = "") -> Told:
    text = text or job_text()
    assert old in text, old
    try:
        read_job(text.replace(old, new, 1), "job.toml")
    except BadJob as error:
        for each in error.mistakes:
            yield "mistake", "", each.say("job.toml")


# --- the command line ----------------------------------------------------------------------------------------------------

def broken(error: Exception) -> Told:
    """What is said when the program itself is at fault."""
    with patch("fittings.notation.read_end", side_effect=error):
        yield from typed("mate", "JIC -6 male", "ORB -6 port")


def without(module: str, *words: str, **files: str | bytes) -> Told:
    """What is said where a package that is not always installed is missing."""
    with patch.dict(sys.modules, {module: None}):
        yield from typed(*words, **files)


def unsolved(job_toml: str, s_csv: str) -> Told:
    """What is said of a job whose choices are too many to be tried one by one."""
    with patch("fittings.stock.solving.MOST_TRIED", 0):
        yield from without("highspy", "plan", "job.toml", "--stock", "s.csv", job_toml=job_toml, s_csv=s_csv)


def asked_in_a_file(questions: str) -> Told:
    """What is answered, row for row, to questions that cannot be."""
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(io.StringIO()) as told, contextlib.redirect_stderr(io.StringIO()):
        Path(folder, "q.csv").write_text(questions, "utf-8")
        run(["join", "--batch", str(Path(folder, "q.csv"))])
    for row in csv.DictReader(told.getvalue().splitlines()):
        yield row["answer"], f"row {row['id']}", ": ".join(cell for name, cell in row.items() if cell and name not in ("id", "answer"))


def typed(*words: str, **files: str | bytes) -> Told:
    """What a command says on stderr; `files` stand in the folder it is called from, with `_` for `.` in their names."""
    told, here = io.StringIO(), os.getcwd()
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stderr(told), contextlib.redirect_stdout(io.StringIO()):
        for name, content in files.items():
            data = content.encode() if isinstance(content, str) else content
            Path(folder, name.replace("_", ".")).write_bytes(data)
        os.chdir(folder)
        try:
            status = run(list(words))
        finally:
            os.chdir(here)
    kind, _, text = told.getvalue().strip().partition(": ")
    yield kind, f"exit {status}", text.replace(folder, "FOLDER")


Example = tuple[str, str, Callable[[], Told]]
"""What is shown in short words; the code that it is an example of ('*' for all it says); how it is worked."""


def _of_circuit() -> Iterator[Example]:
    one = cylinder.cylinder(2.5, 1.5, 16)
    for name, gpm, bore, kind, psi in (
        ("suction", 11, 0.75, "suction", None), ("return", 11, 0.3125, "return", None), ("drain", 11, 0.3125, "drain", None),
        ("pressure", 11, 0.25, "pressure", 3000),
    ):
        yield f"far too fast, {name}", "oil-too-fast", lambda a=(gpm, bore, kind, psi): found(*flow.velocity_findings(*a))
    yield "above the usual limit", "oil-fast", lambda: found(*flow.velocity_findings(11, 0.4375, "pressure", 3000))
    yield "within the limit, not calm", "oil-fast", lambda: found(*flow.velocity_findings(11, 0.5, "pressure", 3000))
    yield "a suction line at cold start", "suction-starves", lambda: found(*flow.drop_findings(1, 9, "suction"))
    yield "a return at cold start", "return-pressure", lambda: found(*flow.drop_findings(5, 200, "return"))
    yield "a long thin line", "drop-hot", lambda: found(*flow.drop_findings(400, 600, "work"))
    some = hose.hose("2SN", "-8")
    for name, of, gpm, kind, words in (
        ("a fluid that no hose takes", some, 11, "pressure", {"fluid": "ester"}),
        ("a pressure hose on a suction line", some, 11, "suction", {}), ("a weak hose on a work line", hose.hose("R4", "-12"), 11, "work", {}),
        ("a suction hose on a pressure line", hose.hose("R4", "-12"), 11, "pressure", {}),
    ):
        yield name, "hose-fluid" if words else "hose-kind", lambda a=(of, 100, gpm, kind), w=words: found(*hose.judge(*a, **w))
    yield "too weak", "hose-rating", lambda: found(*hose.judge(some, 5000, 8))
    yield "nothing left for surges", "surge-margin", lambda: found(*hose.judge(some, 3900, 8))
    yield "oil too hot for it", "hose-hot", lambda: found(*hose.judge(some, 2500, 8, hot_c=130))
    yield "too cold for it", "hose-cold", lambda: found(*hose.judge(some, 2500, 8, cold_c=-50))
    yield "too cold for a hose known from memory", "hose-cold", lambda: found(*hose.judge(hose.hose("R19", "-8"), 2500, 8, cold_c=-50))
    yield "too hot in another fluid", "hose-hot", lambda: found(*hose.judge(some, 2500, 8, hot_c=80, fluid="HFC"))
    yield "hose of old", "hose-old", lambda: found(*hose.judge(next(each for each in hose.hoses(legacy=True) if each.legacy), 1000, 8))
    yield "a figure from memory", "hose-from-memory", lambda: found(
        *hose.judge(next(each for each in hose.hoses() if each.confidence == "C" and not each.legacy), 100, 0.1))
    yield "more than any hose carries", "bore-too-large", lambda: found(*hose.size_for(900, "suction").findings)
    yield "nothing presses the oil through", "suction-drop", lambda: found(*hose.size_for(11, "suction", cst=3000).findings)
    yield "the pump cavitates", "suction-drop", lambda: found(*hose.size_for(11, "suction", cst=1000).findings)
    yield "a larger one serves", "no-hose", lambda: found(*hose.size_for(2, "suction").findings)
    yield "none serves", "no-hose", lambda: found(*hose.size_for(11, "pressure", 9000).findings)
    yield "fixed ports", "hose-shortens", lambda: found(*lengths.fixed(600, some).findings)
    yield "fixed ports, a textile hose", "hose-shortens", lambda: found(*lengths.fixed(600, hose.hose("R6", "-8")).findings)
    yield "a long way", "clamp-hose", lambda: found(*lengths.fixed(3000, some).findings)
    yield "a very short way", "hose-too-short-to-make", lambda: found(*lengths.fixed(60, some).findings)
    yield "an oil from memory", "oil-from-memory", lambda: found(
        *oil.findings(next(each for each in oil.oils() if each.confidence == "C"), 0, 60))
    yield "a cold start", "cold-oil-unsure", lambda: found(*oil.findings(oil.oil("ISO VG 46"), -25, 60))
    yield "a cold start", "oil-stiff-when-cold", lambda: found(*oil.findings(oil.oil("ISO VG 46"), -25, 60))
    yield "an arctic start", "oil-stiff-when-cold", lambda: found(*oil.findings(oil.oil("ISO VG 46"), -32, 60))
    yield "hot and thin", "oil-thin-when-hot", lambda: found(*oil.findings(oil.oil("ISO VG 22"), 0, 100))
    yield "rod port blocked", "intensification", lambda: found(*cylinder.findings(one, 2500))
    yield "a cylinder too weak", "cylinder-rating", lambda: found(*cylinder.findings(one, 2500, 2000))
    yield "a load beyond it", "load-too-great", lambda: found(*cylinder.findings(one, 2500, load_lbf=20_000))
    yield "a load that it pushes only", "load-above-pull", lambda: found(*cylinder.findings(one, 2500, load_lbf=10_000))
    yield "pins it never reaches", "pins-out-of-reach", lambda: found(*cylinder.fit(50, 10, 26, 42).findings)
    yield "too long when shut", "closing-short", lambda: found(*cylinder.fit(26.25, 16, 26, 42).findings)
    yield "too short when open", "opening-short", lambda: found(*cylinder.fit(26, 15, 26, 42).findings)
    yield "shuts further", "closing-past", lambda: found(*cylinder.fit(25, 16, 26, 41).findings)
    yield "opens further", "opening-past", lambda: found(*cylinder.fit(26, 17, 26, 42).findings)
    yield "a thicker rod", "pull-differs", lambda: found(*cylinder.compare(one, cylinder.cylinder(2.5, 1.75, 16), 2500, 11))
    yield "a wider bore", "push-differs", lambda: found(*cylinder.compare(one, cylinder.cylinder(3, 1.5, 16), 2500, 11))
    yield "a port behind a bracket", "port-covered", lambda: found(cylinder.port_clear(2, 2.5))


def _of_swings() -> Iterator[Example]:
    wide = route.Swing(10 * 25.4, 14 * 25.4, (40.0, 150.0))
    some = hose.hose("2SN", "-8")
    yield "where the ports look is not given", "swing-longest", lambda: found(*route.swing(wide, some).findings)
    yield "where the ports look is not given", "swing-plane", lambda: found(*route.swing(wide, some).findings)
    yield "where the ports look is not given", "ports-free", lambda: found(*route.swing(wide, some).findings)
    yield "slack in the closed position", "bend-too-tight", lambda: found(*route.swing(wide, some).findings)
    yield "slack in the closed position", "try-near-pivot", lambda: found(*route.swing(wide, some).findings)
    yield "a hose that bends tighter", "try-compact", lambda: found(*route.swing(wide, some).findings)
    looks = wide._replace(from_points_deg=90.0, to_points_deg=-90.0)
    yield "ports that look away", "hose-loops", lambda: found(*route.swing(looks, some, max_psi=2750).findings)
    yield "an elbow", "try-elbow", lambda: found(*route.swing(looks, some, max_psi=2750).findings)
    near = route.Swing(10 * 25.4, 14 * 25.4, (80.0, 150.0))
    yield "slack near the least bend", "bend-close", lambda: found(*route.swing(near, some).findings)


def _of_pairs() -> Iterator[Example]:
    for name, code, a, b in (
        ("the same thread, other seats", "same-thread", "jic-6-male", "orb-6-port"),
        ("the same thread, other seats", "seat-clash", "jic-6-male", "orb-6-port"),
        ("the same thread, other seats", "screws-in-only", "jic-6-male", "orb-6-port"),
        ("the same thread, other seats", "suspicion", "jic-6-male", "orb-6-port"),
        ("two threads that nearly go", "meeting", "bspp-1/2-stud", "npt-1/2-female"),
        ("two males", "both-external", "jic-6-male", "orb-6-stud"),
        ("two females", "both-internal", "jic-6-swivel", "orb-6-port"),
        ("a hose bore and a thread", "no-thread-to-meet", "hose-8-bore", "jic-8-swivel"),
        ("halves of two profiles", "other-profile", "iso7241a-1/2-tip", "iso16028-1/2-body"),
        ("halves of two sizes", "other-size", "iso7241a-1/2-tip", "iso7241a-3/8-body"),
        ("a half twice", "same-half", "iso7241a-1/2-tip", "iso7241a-1/2-tip"),
        ("tips of two sizes", "same-half", "iso7241a-1/2-tip", "iso7241a-3/8-tip"),
        ("a joint", "seal", "jic-8-male", "jic-8-swivel"),
        ("a pipe swivel on a pipe male", "condition", "npt-1/2-male", "npsm-1/2-swivel"),
        ("one thread, two tubes", "seat-size", "cone24-5LL-male", "cone24-6LL-swivel"),
        ("two taper threads", "tapers-differ", "npt-1/2-male", "bspt-1/2-female"),
        ("a flange of the other code", "other-flange", "code61-16-head", "code62-12-pad"),
        ("a nut on a tube", "tube-wall", "jic-6-male", "jic-6-tube-nut"),
        ("a flange on the other code", "code-61-on-62", "code61-16-head", "code62-16-pad"),
        ("no pressure in our tables", "rating-unknown", "bspt-1/2-male", "bspt-1/2-female"),
        ("a crimp", "rated-by-hose", "hose-8-bore", "hose-8-tail"),
        ("a coned male in a port", "rated-as", "bsp60-3/4-male", "bspp-3/4-port"),
    ):
        yield name, code, lambda a=a, b=b: pair(a, b)
    yield "a pipe joint in brass", "material", lambda: pair("npt-3/8-male", "npt-3/8-female", "brass")


def _of_chains() -> Iterator[Example]:
    for name, code, start, finish, limits in (
        ("nothing joins them", "*", "invflare-6-female", "orb-6-port", {}),
        ("too much pressure for an end", "*", "orb-8-port", "npt-1/2-female", {"psi": 6000}),
        ("no rating on the way", "*", "orb-8-port", "bspt-1/2-female", {"psi": 3000}),
        ("no part is allowed", "*", "orb-8-port", "bspp-3/8-port", {"max_parts": 0}),
        ("one part is not enough", "*", "hose-16-bore", "bspp-3/8-port", {"max_parts": 1}),
        ("a family on the way is avoided", "*", "sae45-6-swivel", "orb-6-stud", {"avoid": ("npt",)}),
        ("a shape that is not made", "*", "orb-8-stud-adj", "bspp-3/8-port", {"shape_from": "45"}),
        ("a shape that is not made", "*", "bspp-1/2-port", "orb-6-stud-adj", {"shape_to": "90"}),
        ("every way narrows", "*", "cone24-14S-male", "jic-24-swivel", {"full_bore": True}),
        ("an elbow in a port that stands still", "*", "bspp-3/8-port", "jic-6-swivel", {"shape_from": "90", "psi": 3700}),
        ("a hose above the strongest of its size", "*", "hose-8-bore", "orfs-8-male", {"psi": 6500}),
        ("nothing turns", "*", "iso6149-M18x1.5-port", "iso6149-M18x1.5-stud", {"fixed": True, "max_parts": 1}),
        ("a pressure asked for in bar", "*", "cone24-15L-swivel", "iso6149-M18x1.5-port", {"psi": 300 * 14.5037737797}),
        ("several limits at once", "*", "npt-1/2-male", "orb-8-stud", {"psi": 5000, "max_parts": 0, "avoid": ("jic", "npt")}),
    ):
        yield name, code, lambda a=start, b=finish, kept=limits: chain(a, b, **kept)
    yield "no tee for these three", "*", lambda: tree("code62-32-pad", "sae45-2-male", "jic-6-swivel")
    yield "three ports above what the tee holds", "*", lambda: tree("orb-8-port", "orb-8-port", "jic-8-swivel", psi=6000, avoid=("orfs",))


PUMP = 'name = "pump"\nkind = "pump"\nports = { out = "ORB -10 port" }'
FEED = 'name = "feed"\nkind = "pressure"\nfrom = "pump.out"\nto = "valve.P"\nroute = { length = "60 in" }'
MOTOR = 'name = "motor"\nkind = "motor"\nports = { A = "ORB -8 port", drain = "ORB -4 port" }'
TURN = 'name = "turn"\nfrom = "valve.A"\nto = "motor.A"\nroute = { length = "60 in" }'
DRAIN = 'name = "leak"\nkind = "drain"\nfrom = "motor.drain"\nto = "tank.low"\nroute = { length = "60 in" }'
COUPLER = 'name = "coupler"\nkind = "coupler"\nports = { in = "ISO 7241-A 3/4 body" }'
BARE_RAM = 'name = "ram"\nkind = "cylinder"\nports = { cap = "ORB -8 port", rod = "ORB -8 port" }\nback_driven = false'
FILTER = 'name = "filter"\nkind = "filter"\nports = { in = "NPT 3/4 female", out = "NPT 3/4 female" }'
INTO = BACK.replace("back", "into").replace("tank.in", "filter.in").replace("60 in", "120 in")
ONWARD = BACK.replace("back", "onward").replace("valve.T", "filter.out").replace("60 in", "120 in")
HOIST = RAM.replace(', rod = "ORB -8 port" }', ' }\nvented = ["rod"]').replace('stroke = "16 in"', 'stroke = "16 in", load = "5000 lbf"')
PULLED = RAM.replace('cap = "ORB -8 port", ', "").replace('stroke = "16 in"', 'stroke = "16 in", load = "5000 lbf"') + '\nvented = ["cap"]'
TWO_MOTORS = tuple(MOTOR.replace('"motor"', f'"{name} motor"', 1).replace("drain", "B") for name in ("left", "right"))
ONE_BY_ONE = (TURN.replace("motor.A", "left motor.A"), TURN.replace("turn", "on").replace("valve.A", "left motor.B").replace("motor.A", "right motor.A"),
              TURN.replace("turn", "home").replace("valve.A", "right motor.B").replace("motor.A", "valve.B"), BACK)
BLOCK = 'name = "block"\nkind = "%s"\nports = { in = "ORB -8 port", out = "ORB -8 port" }'
HOLD = 'name = "hold"\nfrom = "valve.B"\nto = "block.in"\nroute = { length = "60 in" }'
LOWER_ON = 'name = "lower"\nfrom = "block.out"\nto = "ram.rod"\nroute = { length = "20 in" }'
BOTTLE = 'name = "bottle"\nkind = "accumulator"\nports = { oil = "ORB -8 port" }'
DIVIDER = 'name = "divider"\nkind = "%s"\nports = { in = "ORB -8 port", M1 = "ORB -8 port", M2 = "ORB -8 port" }'
BEFORE = 'name = "before"\nfrom = "valve.A"\nto = "divider.in"\nroute = { length = "60 in" }'
LEGS = tuple(f'name = "{side}"\nfrom = "divider.M{n}"\nto = "{side} motor.A"\nroute = {{ length = "60 in" }}' for n, side in enumerate(("left", "right"), 1))
RAM_2 = RAM.replace('"ram"', '"second ram"')


def _of_insides() -> Iterator[Example]:
    """What components are on the inside."""
    def behind(kind: str, block: str = "", line: str = "", ram: str = RAM, valve: str = VALVE) -> Told:
        return job((valve, BLOCK % kind + block, ram, TANK), (LIFT, HOLD, LOWER_ON + line, BACK))

    def divided(kind: str, *legs: str, name: str = "divider") -> Told:
        lines = (BEFORE, *(leg + more for leg, more in zip(LEGS, legs or ("", ""), strict=True)), BACK)
        return job((VALVE, DIVIDER.replace('"divider"', f'"{name}"', 1) % kind, *TWO_MOTORS, TANK),
                   tuple(each.replace("divider.", f"{name}.") for each in lines))

    hung = RAM.replace('"16 in"', '"16 in", load = "9000 lbf"').replace("false", "true")
    yield "a flow control at the rod side", "intensification", lambda: behind("flow control")
    yield "a flow control at a rod side, and a load", "intensification", lambda: behind("flow control", ram=hung)
    yield "a flow control at a rod side of no measures", "intensification-unknown", lambda: behind("flow control", ram=BARE_RAM)
    yield "a shut rod side behind a reducing valve", "intensification", lambda: job(
        (VALVE, REDUCING, RAM, TANK), (LIFT.replace("ram.cap", "low.in"), LIFT.replace('"lift"', '"on"').replace("valve.A", "low.out")
                                       + '\npressure = "1000 psi"', LOWER + "\ncan_close = true", BACK))
    for name, kind in (("ball valve", "manifold"), ("lock", "other")):
        yield f"a rod side behind what is named {name}", "rod-side-may-shut", lambda name=name, kind=kind: job(
            (VALVE, (BLOCK % kind).replace('"block"', f'"{name}"'), RAM, TANK),
            (LIFT, HOLD.replace("block.", f"{name}."), LOWER_ON.replace("block.", f"{name}."), BACK))
    yield "a rod side of no measures behind a lock", "rod-side-may-shut", lambda: job(
        (VALVE, (BLOCK % "other").replace('"block"', '"lock"'), BARE_RAM, TANK),
        (LIFT, HOLD.replace("block.", "lock."), LOWER_ON.replace("block.", "lock."), BACK))
    yield "a rod side behind a valve", "rod-side-may-shut", lambda: behind("valve")
    yield "a rod side behind a block", "rod-side-block", lambda: behind("manifold")
    def under(kind: str, block: str = "block", line: str = "", ram: str = hung) -> Told:
        up = HOLD.replace("valve.B", "valve.A").replace("block.", f"{block}."), LOWER_ON.replace("ram.rod", "ram.cap").replace("block.", f"{block}.")
        return job((VALVE, (BLOCK % kind).replace('"block"', f'"{block}"'), ram, TANK),
                   (up[0], up[1] + line, LOWER.replace('"lower"', '"down"'), BACK))

    yield "a flow control at a cap side, and a load", "cap-side-shut", lambda: under("flow control")
    yield "a cap line that can be shut, and a load", "cap-side-shut", lambda: under("pilot check", line="\ncan_close = true")
    yield "a reducing valve before a cap end", "cap-side-shut", lambda: under("reducing valve", line='\npressure = "1000 psi"', ram=RAM)
    yield "what is named a throttle at a cap side", "cap-side-may-shut", lambda: under("manifold", "throttle")
    yield "a valve at a cap side", "cap-side-may-shut", lambda: under("valve")
    yield "a block at a cap side", "cap-side-block", lambda: under("manifold")
    yield "a coupler in the cap line, and a load", "cap-coupler", lambda: job(
        (VALVE.replace('A = "ORB -8 port"', 'A = "ISO 7241-A 1/2 body"'), hung, TANK))
    yield "cylinders in series", "cylinders-in-series", lambda: job((VALVE, RAM, RAM_2, TANK), (
        LIFT, LOWER.replace("valve.B", "second ram.cap"), LOWER.replace('"lower"', '"on"').replace("ram.rod", "second ram.rod"), BACK))
    regen = tuple(each.replace("valve.", "regen valve.") for each in (LIFT, LOWER, BACK))
    for code in ("regenerating", "regeneration-flow"):
        yield "a valve named for regeneration", code, lambda: job((VALVE.replace('"valve"', '"regen valve"', 1), RAM, TANK), regen)
        yield "a regenerative valve", code, lambda: job((VALVE.replace('kind = "valve"', 'kind = "regenerative valve"'), RAM, TANK))
    yield "a regenerative valve and a flow", "regeneration-flow", lambda: job(
        (VALVE.replace('kind = "valve"', 'kind = "regenerative valve"'), RAM, TANK), (LIFT + '\nflow = "12 gpm"', LOWER, BACK))
    yield "a regenerative valve and no measures", "regenerating", lambda: job(
        (VALVE.replace('kind = "valve"', 'kind = "regenerative valve"'), BARE_RAM, TANK))
    yield "a pilot check under a lift", "holding-no-pilot", lambda: job(
        (VALVE, BLOCK % "pilot check", HOIST, TANK), (HOLD.replace("valve.B", "valve.A"), LOWER_ON.replace("ram.rod", "ram.cap"), BACK))
    yield "a lift that its load pushes", "holding-valve", lambda: job((VALVE, HOIST.replace("false", "true"), TANK), (LIFT, BACK))
    in_line = tuple(each.replace("block", "check") for each in (HOLD, LOWER_ON))
    ahead = (BLOCK % "check valve").replace('"block"', '"check"')
    bare = ahead.replace("in =", "V =").replace("out =", "C =")
    turned = tuple(each.replace("check.in", "check.X").replace("check.out", "check.in").replace("check.X", "check.out") for each in in_line)
    yield "a check valve to a rod end", "check-one-way", lambda: job((VALVE, ahead, RAM, TANK), (LIFT, *in_line, BACK))
    yield "a check valve from a rod end", "check-one-way", lambda: job((VALVE, ahead, RAM, TANK), (LIFT, *turned, BACK))
    yield "a check valve, which way round", "check-one-way", lambda: job(
        (VALVE, bare, RAM, TANK), (LIFT, *(each.replace("check.in", "check.V").replace("check.out", "check.C") for each in in_line), BACK))
    home = BACK.replace("tank.in", "check.in"), BACK.replace("back", "home").replace("valve.T", "check.out")
    pipe = "NPT 3/4 female"
    yield "a check valve in a return", "return-check", lambda: job((VALVE, RAM, TANK, ahead.replace("ORB -8 port", pipe)), (LIFT, LOWER, *home))
    yield "a check valve in a return, which way round", "return-check", lambda: job(
        (VALVE, RAM, TANK, bare.replace("ORB -8 port", pipe)), (LIFT, LOWER, home[0].replace("check.in", "check.V"), home[1].replace("check.out", "check.C")))
    yield "a check valve against a return", "return-check", lambda: job(
        (VALVE, RAM, TANK, ahead.replace("ORB -8 port", pipe)), (LIFT, LOWER, home[0].replace("check.in", "check.out"), home[1].replace("check.out", "check.in")))
    seated = BLOCK.replace(', out = "ORB -8 port" }', ' }\non = { C = "ram.cap" }')
    for code, kind in (("seat", "pilot check"), ("cap-side-shut", "flow control"), ("counterbalance-setting", "counterbalance valve")):
        yield f"a {kind} on the port itself", code, lambda kind=kind: job(
            (VALVE, seated % kind, hung.replace("9000 lbf", "11800 lbf"), TANK), (HOLD.replace("valve.B", "valve.A"), LOWER, BACK))
    yield "a burst valve on a hose", "burst-hose", lambda: under("hose-burst valve")
    yield "a counterbalance valve and a heavy load", "counterbalance-setting", lambda: under(
        "counterbalance valve", ram=hung.replace("9000 lbf", "11800 lbf"))
    for code in ("holding-hose", "trapped-oil", "pilot-check-centre"):
        yield "a pilot check on a hose", code, lambda: behind("pilot check")
    yield "a pilot check and an open centre", "pilot-check-centre", lambda: behind("pilot check", valve=VALVE + '\ncentre = "open"')
    yield "a pilot check and a closed centre", "pilot-check-centre", lambda: behind("pilot check", valve=VALVE + '\ncentre = "closed"')
    yield "a pilot check and no valve", "pilot-check-centre", lambda: job((BLOCK % "pilot check", RAM, TANK), (LOWER_ON,))
    yield "a load that hangs on a rod", "load-pressure", lambda: job((VALVE, hung, TANK))
    yield "a load that pulls on a rod", "load-pressure", lambda: job((VALVE, hung.replace('lbf"', 'lbf", load_acts = "pulls"'), TANK))
    yield "a load that pushes a rod in", "load-pressure", lambda: job(
        (VALVE, hung.replace("9000 lbf", "15000 lbf").replace('lbf"', 'lbf", load_acts = "pushes"'), TANK))
    yield "a shut-off valve in a return", "return-may-shut", lambda: job(
        (VALVE, RAM, TANK, (BLOCK % "shut-off valve").replace("ORB -8 port", "NPT 3/4 female")),
        (LIFT, LOWER, BACK.replace("tank.in", "block.in"), BACK.replace("back", "home").replace("valve.T", "block.out")))
    for code in ("accumulator", "accumulator-flow"):
        yield "an accumulator", code, lambda: job((VALVE, RAM, TANK, BOTTLE), (LIFT.replace('"ram.cap"', '["ram.cap", "bottle.oil"]'), LOWER, BACK))
    yield "what is named an accumulator", "accumulator", lambda: job((VALVE, RAM, TANK, BOTTLE.replace("accumulator", "other").replace("bottle", "accumulator")))
    yield "a gear divider", "divider-raises", lambda: divided("gear divider")
    yield "a leg of a gear divider", "divider-share", lambda: divided("gear divider")
    yield "a line to the brake of a motor", "brake-line", lambda: job(
        (VALVE, MOTOR.replace("drain", "brake"), TANK), (TURN, TURN.replace("turn", "let go").replace("valve.A", "valve.B").replace("motor.A", "motor.brake"), BACK))
    yield "a gear divider with reliefs", "divider-raises", lambda: divided("gear divider", *('\npressure = "3000 psi"',) * 2)
    yield "a gear divider whose inlet has no name", "divider-raises", lambda: job(
        (VALVE, DIVIDER.replace("in =", "one =") % "gear divider", *TWO_MOTORS, TANK), (BEFORE.replace("divider.in", "divider.one"), *LEGS, BACK))
    yield "a divider of no sort", "divider-unknown", lambda: divided("flow divider")
    yield "what is named a divider", "divider-unknown", lambda: divided("manifold", name="flow divider")
    yield "a plunger that is vented", "no-rod-end", lambda: job((VALVE, HOIST.replace('rod = "1.5 in"', 'rod = "0 in"'), TANK), (LIFT, BACK))
    for by in ("load", "spring", "cylinder"):
        yield f"a lift that comes back by a {by}", "load-pushes", lambda by=by: job((VALVE, HOIST + f'\nback_by = "{by}"', TANK), (LIFT, BACK))
    yield "a lift that comes back by a load", "lowering", lambda: job((VALVE, HOIST + '\nback_by = "load"', TANK), (LIFT, BACK))
    yield "an open port in a pressure line", "port-open", lambda: job(
        (VALVE, (BLOCK % "manifold").replace(" }", ', g = "NPT 1/4 female" }'), RAM, TANK), (LIFT, HOLD, LOWER_ON, BACK))
    for port in ("drain", "X", "LS", "PB", "EX"):
        yield f"an idle port {port}", "port-unknown", lambda port=port: job((VALVE.replace(" }", f', {port} = "ORB -4 port" }}'), RAM, TANK))


def _of_jobs() -> Iterator[Example]:
    def lift(extra: str) -> tuple[str, ...]:
        return (f"{LIFT}\n{extra}", LOWER, BACK)

    def ram(old: str, new: str) -> tuple[str, ...]:
        assert old in RAM
        return (VALVE, RAM.replace(old, new), TANK)

    bare = 'relief = "2500 psi"\nflow = "11 gpm"'
    flared = VALVE.replace('A = "ORB -8 port"', 'A = "JIC -8 male"'), RAM.replace('cap = "ORB -8 port"', 'cap = "JIC -8 male"'), TANK
    piped = VALVE.replace('A = "ORB -8 port"', 'A = "NPT 1/2 female"'), RAM.replace('cap = "ORB -8 port"', 'cap = "NPT 1/2 female"'), TANK
    bent = 'at_from = { shape = "90" }\nat_to = { shape = "90" }'
    near = RAM + '\nfit = { %s }'
    swing = 'route = { swing = { pivot_to_from = "10 in", pivot_to_to = "14 in", angle = ["%s", "150 deg"] } }'
    yield from (
        ("planned below the relief", "pressure-below-relief", lambda: job(lines=lift('pressure = "2000 psi"'))),
        ("planned below the relief behind a reducing valve", "pressure-below-relief", lambda: job(
            (VALVE, RAM, TANK, REDUCING), (LIFT.replace("ram.cap", "low.in"), LIFT.replace('"lift"', '"on"').replace("valve.A", "low.out")
                                           + '\npressure = "2000 psi"', LOWER, BACK))),
        *_of_insides(),
        ("out of the cap end", "retract-flow", lambda: job()),
        ("out of the cap end, behind a block", "retract-flow", lambda: job(
            (VALVE, RAM, TANK, 'name = "lock"\nports = { V1 = "ORB -8 port", V2 = "ORB -8 port", C1 = "ORB -8 port", C2 = "ORB -8 port" }'),
            (LIFT.replace("ram.cap", "lock.V1"), LIFT.replace("lift", "on").replace("valve.A", "lock.C1"), BACK))),
        ("out of the cap end, behind a block that nobody knows", "retract-flow", lambda: job(
            (VALVE, RAM, TANK, 'name = "lock"\nports = { V = "ORB -8 port", W = "ORB -8 port", X = "ORB -8 port", Y = "ORB -8 port" }'),
            (LIFT.replace("ram.cap", "lock.V"), LIFT.replace("lift", "also").replace("valve.A", "valve.B").replace("ram.cap", "lock.W"),
             LIFT.replace("lift", "on").replace("valve.A", "lock.X"), LOWER.replace("valve.B", "lock.Y"), BACK))),
        ("a coupler before a ram of a low rating", "rod-coupler", lambda: job(
            (VALVE.replace('B = "ORB -8 port"', 'B = "ISO 7241-A 1/2 body"'), RAM + '\npsi = "3000 psi"', TANK))),
        ("a rod side that can be shut", "intensification", lambda: job(lines=(LIFT, LOWER + "\ncan_close = true", BACK))),
        ("more comes back than the pump gives", "return-flow", lambda: job()),
        ("a return to the tank", "return-pressure-assumed", lambda: job()),
        ("two long returns in very cold oil", "return-pressure-reckoned", lambda: job(
            (VALVE, RAM, TANK, FILTER), (LIFT, LOWER, INTO, ONWARD), SYSTEM.replace('"0 C"', '"-25 C"'))),
        ("a return held to less than is reckoned", "return-pressure-reckoned", lambda: job(lines=(LIFT, LOWER, BACK + '\npressure = "2 psi"'))),
        ("two long returns behind a weak filter", "back-pressure-rating", lambda: job(
            (VALVE, RAM, TANK, FILTER + '\npsi = "60 psi"'), (LIFT, LOWER, INTO, ONWARD), SYSTEM.replace('"0 C"', '"-25 C"'))),
        ("a very long return in the cold that would take more than the relief", "return-cold", lambda: job(
            (VALVE, RAM, TANK), (LIFT, LOWER, BACK.replace("60 in", "1800 in")), SYSTEM.replace('"0 C"', '"-25 C"').replace("2500 psi", "800 psi"))),
        ("a filter of a low rating in the tank, much held back before it", "component-rating-reckoned", lambda: job(
            (VALVE, RAM, FILTER.replace(', out = "NPT 3/4 female"', "") + '\npsi = "145 psi"'), (LIFT, LOWER, INTO),
            SYSTEM.replace('"0 C"', '"-25 C"'))),
        ("a filter below what a return is taken to see", "component-rating-assumed", lambda: job(
            (VALVE, RAM, TANK, FILTER + '\npsi = "145 psi"'), (LIFT, LOWER, INTO, ONWARD))),
        ("a filter with its bypass", "filter-bypass", lambda: job((VALVE, RAM, TANK, FILTER + '\nbypass = "25 psi"'), (LIFT, LOWER, INTO, ONWARD))),
        ("a filter in a line of more than it is rated", "component-rating", lambda: job(
            (VALVE, RAM, TANK, FILTER + '\npsi = "25 psi"'), (LIFT, LOWER, INTO + '\npressure = "100 psi"', ONWARD))),
        ("a pump line that can be shut", "pump-shut", lambda: job((VALVE, RAM, PUMP, TANK), (FEED + "\ncan_close = true", LIFT, LOWER, BACK))),
        ("a suction from the pump's own filter", "suction-elsewhere", lambda: job(
            (PUMP, FILTER, TANK), (INTO.replace("return", "suction").replace("valve.T", "pump.out"), ONWARD))),
        *((f"{what} hand pump", code, lambda pump=pump: job((pump, HOIST.replace("false", "true")), (LIFT.replace("valve.A", "hand pump.out"),)))
          for what, pump, code in (
              ("a", PUMP.replace('"pump"', '"hand pump"'), "hand-pump"), ("by its name a", PUMP.replace('"pump"', '"hand pump"', 1), "hand-pump"),
              ("a load on a", PUMP.replace('"pump"', '"hand pump"'), "load-holding"), ("lowered by a", PUMP.replace('"pump"', '"hand pump"'), "lowering"))),
        ("cold oil through all lines of a ram", "cold-way", lambda: job(
            (VALVE, RAM, PUMP, TANK), (FEED, LIFT, LOWER, BACK), SYSTEM.replace('"0 C"', '"-20 C"'))),
        ("cold oil through all lines of a hoist with its load", "cold-way", lambda: job(
            (VALVE, HOIST.replace("5000 lbf", "11000 lbf"), PUMP, TANK), (FEED, LIFT, BACK), SYSTEM.replace('"0 C"', '"-10 C"'))),
        ("a return to a coupler", "return-can-be-pressurised",
         lambda: job((VALVE, RAM, COUPLER), (LIFT, LOWER, BACK.replace("tank.in", "coupler.in")))),
        ("a return to a coupler", "return-coupler", lambda: job((VALVE, RAM, COUPLER), (LIFT, LOWER, BACK.replace("tank.in", "coupler.in")))),
        ("a case drain", "drain-flow-assumed", lambda: job((VALVE, MOTOR, TANK), (TURN, DRAIN, BACK))),
        ("a case drain into the return", "drain-shared",
         lambda: job((VALVE, MOTOR, TANK, FILTER), (TURN, DRAIN.replace("tank.low", "filter.in"), BACK))),
        ("a drain from a work port", "drain-no-case", lambda: job((VALVE, MOTOR, TANK), (TURN, DRAIN.replace("motor.drain", "valve.B"), BACK))),
        ("a drain from a cylinder", "drain-no-case", lambda: job(lines=(LIFT, DRAIN.replace("motor.drain", "ram.rod"), BACK))),
        ("a drain that can be shut", "drain-shut", lambda: job((VALVE, MOTOR, TANK), (TURN, DRAIN + "\ncan_close = true", BACK))),
        ("a drain to a coupler", "drain-coupler", lambda: job((VALVE, MOTOR, TANK, COUPLER), (TURN, DRAIN.replace("tank.low", "coupler.in"), BACK))),
        ("a rod side called a return", "both-ways", lambda: job(lines=(LIFT, LOWER + '\nkind = "return"', BACK))),
        ("a cap side called a pressure line", "both-ways", lambda: job(lines=(LIFT + '\nkind = "pressure"', LOWER, BACK))),
        ("a return that can be shut", "return-shut", lambda: job(lines=(LIFT, LOWER, BACK + "\ncan_close = true"))),
        ("a return from the pump", "return-can-be-pressurised", lambda: job((VALVE, RAM, PUMP, TANK), (LIFT, LOWER, BACK.replace("valve.T", "pump.out")))),
        ("a return into a power pack", "power-pack-tank",
         lambda: job((VALVE, RAM, PUMP.replace("out = ", "T = ")), (LIFT, LOWER, BACK.replace("tank.in", "pump.T")))),
        ("a drain left open", "vent-elsewhere", lambda: job((VALVE, MOTOR + '\nvented = ["drain"]', TANK), (TURN, BACK))),
        ("both ends of a cylinder on one line", "regeneration", lambda: job(lines=(LIFT.replace('"ram.cap"', '["ram.cap", "ram.rod"]'), BACK))),
        ("a pump that feeds two valves", "leg-share", lambda: job(
            (VALVE, VALVE.replace('"valve"', '"second"', 1), PUMP), (FEED.replace('"valve.P"', '["valve.P", "second.P"]'),))),
        ("a suction a little too fast", "oil-fast", lambda: job(
            (PUMP.replace('out = "ORB -10', 'in = "ORB -20'), TANK.replace("NPT 3/4", "NPT 1-1/4")),
            (BACK.replace("return", "suction").replace("valve.T", "pump.in"),), SYSTEM.replace("11 gpm", "16 gpm"))),
        *((f"a {kind} too short for a hose", "short-way", lambda kind=kind, line=line: job(  # type: ignore[misc]
            (VALVE, RAM, PUMP.replace("out", "in"), TANK), (line.replace("60 in", "4 in"),)))
          for kind, line in (("suction", BACK.replace("return", "suction").replace("valve.T", "pump.in")), ("return", BACK), ("work line", LIFT))),
        ("a suction that can be shut", "suction-shut", lambda: job((PUMP.replace("out", "in"), TANK), (BACK.replace("return", "suction").replace("valve.T", "pump.in") + "\ncan_close = true",))),
        ("a case drain as a return", "drain-elsewhere", lambda: job((VALVE, MOTOR, TANK), (TURN, DRAIN.replace('"drain"', '"return"'), BACK))),
        ("a port that may be a case drain", "drain-elsewhere",
         lambda: job((VALVE, MOTOR.replace("drain", "L"), TANK), (TURN, DRAIN.replace('"drain"', '"return"').replace("motor.drain", "motor.L"), BACK))),
        ("a drain too narrow for the cold", "drain-pressure", lambda: job(
            (VALVE, MOTOR, TANK), (TURN, DRAIN + '\nhose = { size = "-4" }', BACK), SYSTEM.replace('"0 C"', '"-10 C"'))),
        ("a drain too narrow", "drain-pressure", lambda: job(
            (VALVE, MOTOR, TANK), (TURN, DRAIN + '\nhose = { size = "-4" }\npressure = "2 psi"', BACK))),
        ("a case drain without a line", "drain-blocked", lambda: job((VALVE, MOTOR, TANK), (TURN, BACK))),
        ("a port without a line", "port-idle", lambda: job((VALVE, MOTOR, TANK), (TURN, BACK))),
        ("a long thin rod under its load", "buckling", lambda: job(ram('stroke = "16 in"', 'stroke = "90 in", load = "10000 lbf"'))),
        ("a rod too thin for its load", "buckling", lambda: job(ram('rod = "1.5 in", stroke = "16 in"', 'rod = "0.75 in", stroke = "60 in", load = "5000 lbf"'))),
        ("a long rod that the relief can buckle", "buckling", lambda: job(ram('rod = "1.5 in", stroke = "16 in"', 'rod = "0.75 in", stroke = "60 in"'))),
        ("a long rod near what the relief can do", "buckling", lambda: job(ram('stroke = "16 in"', 'stroke = "34 in"'))),
        ("a long rod near its load", "buckling", lambda: job(ram('stroke = "16 in"', 'stroke = "50 in", load = "4000 lbf"'))),
        ("a rod side that can be shut, on a ram of a low rating", "intensification", lambda: job(ram("back_driven", 'psi = "3000 psi"\nback_driven'))),
        ("a work line in very cold oil", "drop-cold", lambda: job(
            lines=(LIFT.replace("60 in", "300 in"), LOWER, BACK), system=SYSTEM.replace('"0 C"', '"-25 C"'))),
        ("a cylinder that is pushed, on hose that holds no more than the relief", "port-relief-no-room", lambda: job(
            ram("= false", "= true"), system=SYSTEM.replace("2500 psi", "2900 psi"))),
        ("a cylinder that is pushed, rated little above the relief", "port-relief-no-room", lambda: job(
            ram("= false", '= true\npsi = "2700 psi"'))),
        ("a flow beyond every hose", "no-hose", lambda: job(system=SYSTEM.replace("11 gpm", "700 gpm"))),
        ("a motor", "motor-stopping", lambda: job((VALVE, MOTOR, TANK), (TURN, BACK))),
        ("a motor on a valve with a motor centre", "motor-stopping", lambda: job((VALVE + '\ncentre = "motor"', MOTOR.replace("drain", "B"), TANK),
                                                                                   (TURN, TURN.replace("turn", "other").replace(".A", ".B"), BACK))),
        ("a motor that its load turns", "motor-load", lambda: job((VALVE, MOTOR + "\nback_driven = true", TANK), (TURN, BACK))),
        ("a cylinder that only pulls", "lowering", lambda: job((VALVE, PULLED, TANK), (LOWER, BACK))),
        ("a cylinder that only pulls", "load-pushes", lambda: job((VALVE, PULLED, TANK), (LOWER, BACK))),
        ("a cylinder that only pulls, and too much", "load-too-great", lambda: job((VALVE, PULLED.replace("5000 lbf", "9000 lbf"), TANK), (LOWER, BACK))),
        ("two motors one behind the other", "motors-in-series", lambda: job((VALVE, *TWO_MOTORS, TANK), ONE_BY_ONE)),
        ("a single-acting lift", "lowering", lambda: job((VALVE, HOIST, TANK), (LIFT, BACK))),
        ("a single-acting lift", "load-pushes", lambda: job((VALVE, HOIST, TANK), (LIFT, BACK))),
        ("a load on a cylinder that nothing is said to push", "load-pushes", lambda: job(ram('stroke = "16 in"', 'stroke = "16 in", load = "5000 lbf"'))),
        ("a tank port without a line", "tank-port-blocked", lambda: job((PUMP, VALVE, RAM), (FEED, LIFT, LOWER))),
        ("a tank port whose line may be there", "tank-port-blocked", lambda: job((VALVE, RAM), (LIFT, LOWER))),
        ("a filter without a line onward", "outlet-blocked", lambda: job(
            (VALVE, RAM, FILTER), (LIFT, LOWER, BACK.replace("tank.in", "filter.in")))),
        ("a valve without a tank port", "no-way-to-tank", lambda: job((PUMP, VALVE.replace(', T = "ORB -10 port"', ""), RAM), (FEED, LIFT, LOWER))),
        ("a motor with one line", "no-way-to-tank", lambda: job((VALVE, MOTOR.replace("drain", "B"), TANK), (TURN, BACK))),
        ("a cylinder too weak", "component-rating", lambda: job(ram("back_driven", 'psi = "2000 psi"\nback_driven'))),
        ("two cylinders on one line", "leg-share", lambda: job(
            (VALVE, RAM, RAM_2, TANK), (LIFT.replace('"ram.cap"', '["ram.cap", "second ram.cap"]'),
                                        LOWER.replace('"ram.rod"', '["ram.rod", "second ram.rod"]'), BACK))),
        ("two cylinders on one line", "cylinders-parallel", lambda: job(
            (VALVE, RAM, RAM_2, TANK), (LIFT.replace('"ram.cap"', '["ram.cap", "second ram.cap"]'),
                                        LOWER.replace('"ram.rod"', '["ram.rod", "second ram.rod"]'), BACK))),
        ("an oil by another standard", "oil-taken", lambda: job(system=SYSTEM.replace("ISO VG 46", "HLP 46"))),
        ("no oil given", "oil-assumed", lambda: job(system=bare)), ("no temperatures given", "temperature-assumed", lambda: job(system=bare)),
        ("a rod port without a line", "return-blocked", lambda: job(lines=(LIFT, BACK))),
        ("a cap port without a line", "return-blocked", lambda: job(lines=(LOWER, BACK))),
        ("no rod port at all", "vent-unknown", lambda: job(ram(', rod = "ORB -8 port"', ""), (LIFT, BACK))),
        ("a rod end open to the air", "vent-open", lambda: job(ram(', rod = "ORB -8 port" }', ' }\nvented = ["rod"]'), (LIFT, BACK))),
        ("not said whether it is pushed", "back-driven-unknown", lambda: job(ram("\nback_driven = false", ""))),
        ("a cylinder that is pushed", "load-holding", lambda: job(ram("= false", "= true"))),
        ("a cylinder that is pushed", "holding-valve", lambda: job(ram("= false", "= true"))),
        ("a cylinder that is pushed", "single-rod", lambda: job(ram("= false", "= true"))),
        ("an open centre without a return", "dead-headed",
         lambda: job((PUMP, VALVE + '\ncentre = "open"', RAM), (FEED, LIFT, LOWER))),
        ("a closed centre", "closed-centre", lambda: job((PUMP, VALVE + '\ncentre = "closed"', RAM, TANK), (FEED, LIFT, LOWER, BACK))),
        ("every job", "heat", lambda: job()), ("every job", "margin", lambda: job()),
        ("no route", "no-length", lambda: job(lines=(LIFT.replace('\nroute = { length = "60 in" }', ""), LOWER, BACK))),
        ("two bent ends", "angle-unknown", lambda: job(flared, lift(bent))),
        ("a body of brass", "port-material", lambda: job(ram("back_driven", 'material = "brass"\nback_driven'))),
        ("a tube for a port", "tube-wall", lambda: job(ram('cap = "ORB -8 port"', 'cap = "JIC -8 tube nut"'))),
        ("a port that narrows", "narrow-port", lambda: job(ram('cap = "ORB -8 port"', 'cap = "ORB -4 port"'))),
        ("an end that our tables do not rate", "rating-unknown", lambda: job(ram('cap = "ORB -8 port"', 'cap = "BSPT 1/2 female"'))),
        ("a chamfer or sealant", "condition", lambda: job(ram('cap = "ORB -8 port"', 'cap = "NPT 1/2 female"'))),
        ("a part that is seldom kept", "to-order", lambda: job(lines=lift('hose = { size = "-24" }'))),
        ("a hose that is settled and unknown in that size", "no-such-hose", lambda: job(lines=lift('hose = { type = "R15", size = "-3" }'))),
        ("a hose that is settled and too weak", "hose-rating", lambda: job(lines=lift('hose = { type = "1SN", size = "-16" }'))),
        ("no hose holds that", "no-hose", lambda: job(system=SYSTEM.replace("2500 psi", "9000 psi"))),
        ("no hose of that size", "no-hose", lambda: job(lines=lift('hose = { size = "-32" }'), system=SYSTEM.replace("2500", "5500"))),
        ("a line that cannot be done", "impossible", lambda: job(lines=lift('hose = { size = "-8", ends = "JIC -24 swivel" }'))),
        ("a hose end that nobody crimps", "no-hose-end", lambda: job(lines=lift('hose = { size = "-8", ends = "JIC -24 swivel" }'))),
        ("two rigid ends", "both-ends-rigid",
         lambda: job(piped, lift('hose = { size = "-8", ends = "NPT 1/2 male" }'), more="[limits]\nmax_parts = 0")),
        ("an angle that is given", "angle-between-ends", lambda: job(flared, lift(bent + '\nhose = { angle = "90 deg" }'))),
        ("no way with that shape", "no-way-from-hose", lambda: job(
            ram('cap = "ORB -8 port"', 'cap = "code 62 -24 pad"'), lift('hose = { size = "-6" }\nat_to = { shape = "90" }'),
            SYSTEM.replace("11 gpm", "1 gpm"))),
        ("a swing that cannot be", "swing-impossible", lambda: job(lines=(LIFT.replace('route = { length = "60 in" }', swing % "150 deg"), LOWER, BACK))),
        ("room enough", "room-enough", lambda: job(lines=lift('at_to = { shape = "90", room = "20 in" }'))),
        ("room that is close", "room-close", lambda: job(lines=lift('at_to = { shape = "90", room = "1.75 in" }'))),
        ("too little room", "room-short", lambda: job(lines=lift('hose = { ends = "JIC -8 swivel" }\nat_to = { shape = "straight", room = "1 in" }'))),
        ("room that nobody knows", "room-unknown", lambda: job(ram('cap = "ORB -8 port"', 'cap = "code 62 -8 pad"'), lift('at_to = { room = "3 in" }'))),
        ("a stack of adapters", "stacked-adapters", lambda: job(
            ram('cap = "ORB -8 port"', 'cap = "JIS 1/2 male"'), lift(""), SYSTEM.replace("11 gpm", "30 gpm"))),
        ("oil colder than nitrile stands", "ring-rubber", lambda: job(system=SYSTEM.replace('"0 C"', '"-35 C"'))),
        ("a neighbour far off", "next-port-enough", lambda: job(lines=lift('at_to = { next_port = "4 in" }'))),
        ("a neighbour too near", "next-port-short", lambda: job(lines=lift('at_to = { next_port = "1 in" }'))),
        ("no room for a spanner", "next-port-spanner", lambda: job(lines=lift('at_to = { next_port = "1.3 in" }'))),
        ("a hexagon that nobody knows", "next-port-unknown", lambda: job(ram('cap = "ORB -8 port"', 'cap = "code 62 -8 pad"'), lift('at_to = { next_port = "2 in" }'))),
        ("an elbow beside a neighbour", "elbow-sweep", lambda: job(lines=lift('at_to = { shape = "90", next_port = "1.6 in" }'))),
        ("a wide flat", "spotface-enough", lambda: job(lines=lift('at_to = { spotface = "2 in" }'))),
        ("a narrow flat", "spotface-short", lambda: job(lines=lift('at_to = { spotface = "0.9 in" }'))),
        ("a narrow flat", "spotface-hexagon", lambda: job(lines=lift('at_to = { spotface = "0.9 in" }'))),
        ("a flat of which no standard speaks", "spotface-unknown", lambda: job(ram('cap = "ORB -8 port"', 'cap = "NPT 1/2 female"'), lift('at_to = { spotface = "2 in" }'))),
        ("no tee leads there", "no-tee", lambda: job((VALVE, RAM, RAM_2, TANK), (LIFT.replace(
            '"ram.cap"', '["ram.cap", "second ram.cap"]'), LOWER, BACK), SYSTEM.replace("11 gpm", "80 gpm"))),
        ("pins", "stroke-wanted", lambda: job((VALVE, near % 'closed = "26.25 in", retracted = "26 in", extended = "42 in"', TANK))),
        ("pins that cannot be", "fit-impossible", lambda: job((VALVE, near % 'closed = "10 in", retracted = "26 in", extended = "42 in"', TANK))),
        ("an eye in a gap", "spacers", lambda: job((VALVE, near % 'eye = "1.5 in", gap = "2.5 in"', TANK))),
        ("a cylinder in the place of another", "push-differs", lambda: job(
            (VALVE, near % 'replaces = { bore = "3 in", rod = "1.5 in", stroke = "16 in" }', TANK))),
        ("a port behind what stands beside it", "port-covered", lambda: job(
            (VALVE, near % 'port_from_pin = "2 in", obstacle_from_pin = "2.5 in"', TANK))),
        ("a load too great", "load-too-great", lambda: job(ram('stroke = "16 in"', 'stroke = "16 in", load = "30000 lbf"'))),
        ("a load that it only pushes", "load-above-pull", lambda: job(ram('stroke = "16 in"', 'stroke = "16 in", load = "10000 lbf"'))),
        ("a flow of its own", "own-flow", lambda: job(lines=(LIFT + '\nflow = "4 gpm"', LOWER + '\nflow = "4 gpm"', BACK))),
        ("an end that our tables do not rate", "margin-unknown", lambda: job(ram('cap = "ORB -8 port"', 'cap = "BSPT 1/2 female"'))),
        ("a port of a motor without a line", "port-unknown", lambda: job((VALVE, MOTOR.replace("drain", "X"), TANK), (TURN, BACK))),
        ("a drain that holds back too much", "drop-above-rating", lambda: job(
            (VALVE, MOTOR, TANK), (TURN, DRAIN.replace("60 in", "900 in") + '\nhose = { size = "-4" }', BACK), SYSTEM.replace('"0 C"', '"-20 C"'))),
        ("an elbow on a swing", "elbow-turned", lambda: job(lines=(LIFT.replace('route = { length = "60 in" }', 'at_to = { shape = "90" }\n' + (
            swing % "60 deg").replace("] } }", '], from_points = "0 deg", to_points = "0 deg" } }')), LOWER, BACK))),
        ("a suction port that narrows", "narrow-port", lambda: job(
            (VALVE, RAM, TANK, 'name = "pump"\nkind = "pump"\nports = { in = "ORB -8 port" }'),
            (LIFT, LOWER, BACK, 'name = "suction"\nkind = "suction"\nfrom = "tank.low"\nto = "pump.in"\nroute = { length = "60 in" }'))),
        ("a suction line to a valve", "suction-elsewhere", lambda: job(lines=(LIFT, LOWER, BACK, 'name = "s"\nkind = "suction"\nfrom = "tank.low"\nto = "valve.P"'))),
        ("a suction line out of who knows what", "suction-unknown", lambda: job(
            (VALVE, RAM, TANK, PUMP.replace("out", "in"), 'name = "box"\nports = { out = "ORB -16 port" }'),
            (LIFT, LOWER, BACK, 'name = "s"\nkind = "suction"\nfrom = "box.out"\nto = "pump.in"'))),
        ("a coupler that is small for its flow", "coupler-flow", lambda: job((VALVE.replace('B = "ORB -8 port"', 'B = "ISO 7241-A 1/2 body"'), RAM, TANK),
                                                                              system=SYSTEM.replace("11 gpm", "14 gpm"))),
        ("a coupler a little small for its flow", "coupler-flow", lambda: job((VALVE.replace('B = "ORB -8 port"', 'B = "ISO 7241-A 1/2 body"'), RAM, TANK),
                                                                              system=SYSTEM.replace("11 gpm", "12 gpm"))),
        ("a coupler far too small", "coupler-flow", lambda: job((VALVE.replace('B = "ORB -8 port"', 'B = "ISO 7241-A 1/4 body"'), RAM, TANK))),
        ("a coupler that no table knows", "coupler-flow-unknown", lambda: job((VALVE.replace('B = "ORB -8 port"', 'B = "ISO 7241-A 1-1/4 body"'), RAM, TANK))),
        ("a coupler in the rod line", "rod-coupler", lambda: job((VALVE.replace('B = "ORB -8 port"', 'B = "ISO 7241-A 1/2 body"'), RAM, TANK))),
        ("a cylinder whose sizes nobody gave", "cylinder-sizes-unknown", lambda: job((VALVE, BARE_RAM, TANK))),
        ("a rod side of unknown size that can be shut", "intensification-unknown",
         lambda: job((VALVE, BARE_RAM, TANK), (LIFT, LOWER + "\ncan_close = true", BACK))),
        ("room that is too little for any maker's", "room-short", lambda: job(lines=lift('hose = { ends = "JIC -8 swivel" }\nat_to = { shape = "straight", room = "0.5 in" }'))),
        ("a narrow hose end and full bore", "limit-full-bore", lambda: job(
            lines=lift('hose = { size = "-8", ends = "JIC -6 swivel" }'), more="[limits]\nfull_bore = true")),
        ("a ram in the place of a cylinder", "pull-differs", lambda: job(
            (VALVE, RAM.replace('rod = "1.5 in", stroke', 'rod = "0 in", stroke') + '\nfit = { replaces = { bore = "2.5 in", rod = "1.5 in", stroke = "16 in" } }', TANK))),
        ("a cylinder in the place of a ram", "pull-differs", lambda: job(
            (VALVE, near % 'replaces = { bore = "2.5 in", rod = "0 in", stroke = "16 in" }', TANK))),
        ("a pin in a hole", "sleeve", lambda: job((VALVE, near % 'pin = "1 in", hole = "1.25 in"', TANK))),
    )


def _of_flaws() -> Iterator[Example]:
    stud = ("straight", "orb-8-stud", "jic-8-male")
    for name, code, ends, pieces, asked in (
        ("a cone in an O-ring port", "joint-unsafe", ("jic-6-male", "orb-6-port"), (), {}),
        ("two males", "joint-no", ("jic-6-male", "orb-6-stud"), (), {}),
        ("a leg without a shoulder", "joint-never", ("bspp-1/2-port", "bsp60-1/2-swivel"), (("90", "bsp60-1/2-male", "bsp60-1/2-male"),), {}),
        ("a part that nobody makes", "part-not-made", ("orb-8-port", "jic-24-swivel"), (("straight", "orb-8-stud", "jic-24-male"),), {}),
        ("a weak end", "rating-below", ("orb-8-port", "jic-8-swivel"), (stud,), {"psi": 4900}),
        ("a weak hose", "rating-below", ("hose-8-bore", "jic-8-male"), (("straight", "hose-8-tail", "jic-8-swivel"),), {"psi": 6500}),
        ("no rating", "rating-unknown", ("bspt-1/2-male", "bspt-1/2-female"), (), {"psi": 1000}),
        ("an avoided family", "family-avoided", ("orb-8-port", "npt-1/2-female"),
         (stud, ("straight", "jic-8-swivel", "npt-1/2-male")), {"avoid": ("jic",)}),
        ("too many", "too-many-parts", ("orb-8-port", "jic-8-swivel"), (stud,), {"max_parts": 0}),
        ("not the shape", "shape-differs", ("orb-8-port", "jic-8-swivel"), (stud,), {"shape_from": "90"}),
        ("not the shape", "shape-differs", ("orb-8-port", "jic-8-swivel"), (stud,), {"shape_to": "45"}),
        ("held at both ends", "nothing-turns", ("orb-8-port", "npt-1/2-female"), (("straight", "orb-8-stud", "npt-1/2-male"),),
         {"fixed": True}),
        ("an elbow that stands as it comes", "elbow-cannot-be-set", ("orb-8-port", "orb-8-port"),
         (("90", "orb-8-stud", "orb-8-stud"),), {}),
        ("an elbow that is drawn tight in a port", "elbow-cannot-be-set", ("bspp-3/8-port", "jic-6-swivel"),
         (("90", "bspp-3/8-stud", "jic-6-male"),), {}),
        ("two bushings", "two-bushings", ("npt-3/4-female", "npt-1/4-male"),
         (("bushing", "npt-3/4-male", "npt-1/2-female"), ("bushing", "npt-1/2-male", "npt-1/4-female")), {}),
        ("a narrow part", "bore-narrower", ("orb-8-port", "jic-8-swivel"), (("straight", "orb-8-stud", "jic-6-male"),), {"full_bore": True}),
    ):
        yield name, code, lambda a=ends, b=pieces, kept=asked: flaws(*a, *b, **kept)


SWUNG = LIFT.replace('{ length = "60 in" }', '{ swing = { pivot_to_from = "20 in", pivot_to_to = "28 in", angle = ["60 deg", "120 deg"] } }')


def saved(change: Callable[[dict[str, Any]], object], components: tuple[str, ...] = (), lines: tuple[str, ...] = (LIFT, LOWER, BACK)) -> Told:
    """What the second opinion says of the plan of the small job when one thing of it was changed by hand."""
    plan = json.loads(json.dumps(plan_json(plan_text_of(job_text(components or (VALVE, RAM, TANK), lines)))))
    change(plan)
    for flaw in plan_flaws(plan):
        yield flaw.code, flaw.where, flaw.text


def _of_written_words() -> Iterator[tuple[str, str, Callable[[dict[str, Any]], object]]]:
    """Changes beside the ids of a saved plan, which a fitter would read and believe."""
    def joint(**new: object) -> Callable[[dict[str, Any]], object]:
        return lambda plan: next(each for each in plan["lines"][0]["joints"] if each["seal"]["ring"]).update(new)

    def in_ring(**new: object) -> Callable[[dict[str, Any]], object]:
        return lambda plan: next(each for each in plan["lines"][0]["joints"] if each["seal"]["ring"])["seal"].update(new)

    def flats(plan: dict[str, Any]) -> None:
        next(each for each in plan["lines"][0]["joints"] if each["turns"])["turns"][0].update(high=9)

    def step(**new: object) -> Callable[[dict[str, Any]], object]:
        return lambda plan: next(each for each in plan["steps"] if each["joint"]).update(new)

    def hose_of(**new: object) -> Callable[[dict[str, Any]], object]:
        return lambda plan: plan["lines"][0]["hose"].update(new)

    yield from (
        ("another size written for an end", "words-differ", lambda plan: plan["lines"][0]["from"]["end"].update(say="ORB -10 port")),
        ("another part written", "words-differ", lambda plan: plan["lines"][0]["from_parts"][0].update(say="bushing")),
        ("a part said to be had anywhere", "words-differ", lambda plan: plan["lines"][0]["from_parts"][0].update(had="to order")),
        ("a hose of another standard", "words-differ", lambda plan: plan["lines"][0]["hose"].update(standard="ISO 6149")),
        ("a caution made shorter", "words-differ", lambda plan: plan["cautions"][0].update(text="take care")),
        ("the ends of a hose written anew", "words-differ", lambda plan: plan["lines"][0]["hose"]["ends"].reverse()
            or plan["lines"][0]["hose"]["ends"][0].update(plan["lines"][0]["to"]["end"])),
        ("a joint called another", "joint-differs", joint(verdict="conditional")),
        ("a joint rated higher", "rating-too-high", joint(rating_psi=9000)), ("a hose rated higher", "rating-too-high", hose_of(rating_psi=9000)),
        ("another torque", "torque-differs", lambda plan: next(
            each for each in plan["lines"][0]["joints"] if each["torque"])["torque"][0].update(high_nm=500)), ("other flats", "torque-differs", flats),
        ("a loose ring where none is laid", "seal-differs", in_ring(loose_ring={"key": "bonded G1/2", "say": "bonded seal for G1/2"})),
        ("when a ring is used", "seal-differs", in_ring(ring_when="always")),
        ("another seal", "seal-differs", in_ring(say="paste")), ("another ring", "seal-differs", in_ring(ring="AS568-999")),
        ("sealant where none belongs", "seal-differs", step(sealant=True)), ("another ring to put on", "seal-differs", step(ring="O-ring AS568-999")),
        ("a tighter bend", "bend-differs", hose_of(bend_in=1)),
        ("a hose that a position outgrows", "hose-too-short", hose_of(positions=[{"angle_deg": 40, "needed_in": 900.0}])),
        ("an id that there is not", "cannot-be-read", lambda plan: plan["steps"][0].update(joint={**plan["steps"][0]["joint"], "a": "nonsense"})),
    )


def _of_saved_plans() -> Iterator[Example]:
    def line(**new: object) -> Callable[[dict[str, Any]], object]:
        return lambda plan: plan["lines"][0].update(new)

    def every(value: Any) -> Iterator[dict[str, Any]]:
        if isinstance(value, dict):
            yield value
        for each in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
            yield from every(each)

    def other_turns(plan: dict[str, Any]) -> None:
        next(each["turns"][0] for each in every(plan) if each.get("turns")).update(low=9)

    def sealed_step(plan: dict[str, Any]) -> dict[str, Any]:
        return next(each for each in every(plan) if {"do", "joint", "sealant", "ring"} <= each.keys() and each["joint"] and each["ring"])

    def turned_round(plan: dict[str, Any]) -> None:
        plan["steps"].reverse()
        for number, each in enumerate(plan["steps"], 1):
            each["n"] = number

    def rigid(plan: dict[str, Any]) -> None:
        pipe = {"id": "npt-1/2-male"}
        for part in plan["lines"][0]["hose"]["end_parts"]:
            part["ends"] = [each if each["id"].startswith("hose-") else pipe for each in part["ends"]]
        plan["lines"][0].update(from_parts=[], to_parts=[])
        plan["lines"][0]["from"]["end"] = plan["lines"][0]["to"]["end"] = {"id": "npt-1/2-female"}

    for name, code, change in (
        ("a part taken off the bill", "bill-short", lambda plan: plan.update(bill=[])),
        ("the job taken out", "job-missing", lambda plan: plan.pop("job")),
        ("a job that cannot be read", "job-unreadable", lambda plan: plan["job"]["system"].pop("relief")),
        ("another relief than the job's", "job-differs", lambda plan: plan["system"].update(relief_psi=900.0)),
        ("a line taken out", "job-differs", lambda plan: plan["lines"].pop()), ("another kind of line", "job-differs", line(kind="return")),
        ("another port", "job-differs", lambda plan: plan["lines"][0]["from"].update(port="valve.B")),
        ("another end at a port", "job-differs", lambda plan: plan["lines"][0]["from"].update(end=plan["lines"][0]["hose"]["ends"][0])),
        ("legs that the job has not", "job-differs", lambda plan: plan["lines"][0].update(branches=[plan["lines"][1]])),
        ("more flow than there is", "flow-differs", line(flow_gpm=90.0)), ("flow by a guess", "flow-differs", line(flow_why="a guess")),
        ("planned for more than it must hold", "pressure-differs", line(max_psi=9000.0)),
        ("a finding of somebody's own", "finding-strange", lambda plan: plan["lines"][0]["findings"].append(
            {"code": "fine", "level": "info", "text": "it may be shut", "sources": []})),
        ("a finding of the circuit of somebody's own", "finding-strange", lambda plan: plan["findings"].append(
            {"code": "fine", "level": "info", "text": "", "sources": []})),
        ("the cylinders taken out", "cylinder-differs", lambda plan: plan.update(cylinders=[])),
        ("a cylinder of another bore", "cylinder-differs", lambda plan: plan["cylinders"][0].update(bore_in=9.0)),
        ("something else on the bill", "bill-long", lambda plan: plan["bill"].append({"sort": "extra", "say": "a plug for the vent"})),
        ("a plug where none may go", "bill-long", lambda plan: plan["bill"].append(
            {"sort": "plug", "say": "plug, ORB -8 male stud", "qty": 1, "for": [], "note": "for tank.low"})),
        ("rings of another rubber", "words-differ", lambda plan: [
            each.update(spec="AS568 / ISO 3601, EPDM") for each in plan["bill"] if each["sort"] == "ring"]),
        ("a caution of somebody's own", "caution-strange", lambda plan: plan["cautions"].append(
            {"code": "tip", "stage": "before", "text": "Run a bare hand along each hose to find leaks."})),
        ("the cautions turned round", "cautions-disordered", lambda plan: plan["cautions"].reverse()),
        ("the bands turned round", "torque-differs", lambda plan: [each["torque"].reverse() for each in plan["lines"][0]["joints"]]),
        ("a band too few", "torque-missing", lambda plan: [each["torque"].pop() for each in plan["lines"][0]["joints"] if each["torque"][1:]]),
        ("a torque said to be lacking", "torque-differs", lambda plan: [each.update(no_torque_for="a stud") for each in plan["lines"][0]["joints"]]),
        ("another torque at the step alone", "torque-differs", lambda plan: plan["steps"][0]["joint"].update(torque=[])),
        ("the cautions taken out", "cautions-missing", lambda plan: plan.update(cautions=plan["cautions"][2:])),
        ("two rigid ends written in", "hose-cannot-be-tightened", rigid),
        ("a hose cut short", "hose-too-short", lambda plan: plan["lines"][0]["hose"].update(length_in=50)),
        ("a joint taken out", "joints-differ", lambda plan: plan["lines"][0]["joints"].pop()),
        ("no hose written", "line-unreadable", line(hose=None)), ("nothing written", "line-unreadable", lambda plan: plan["lines"][0].pop("kind")),
        ("planned below the relief", "pressure-too-low", line(max_psi=1000)), ("a rating raised", "rating-too-high", line(rating_psi=9000)),
        ("another velocity", "velocity-differs", line(velocity_fps=3)),
        ("a part too many on the bill", "bill-long", lambda plan: next(each for each in plan["bill"] if each["sort"] == "adapter").update(qty=9)),
        ("no relief setting", "system-missing", lambda plan: plan.update(system=None)), ("no lines", "lines-missing", lambda plan: plan.update(lines=[])),
        ("a shelf that is not written", "shelf-missing", lambda plan: plan["bill"][0].update(from_stock=True)),
        ("words for a number", "line-unreadable", line(velocity_fps=None)),
        ("a tee that is not written", "tee-missing", lambda plan: plan["lines"][0].update(branches=[plan["lines"][1]])),
        ("the steps taken out", "step-missing", lambda plan: plan.update(steps=[])),
        ("the steps turned round", "steps-disordered", lambda plan: plan["steps"].reverse()),
        ("the steps turned round and numbered anew", "steps-disordered", turned_round),
        ("a step twice", "step-strange", lambda plan: plan["steps"].append({**plan["steps"][-1], "n": len(plan["steps"]) + 1})),
        ("a step of no line", "step-strange", lambda plan: plan["steps"][0].update(line="up")),
        ("joints without end", "step-strange", lambda plan: plan["lines"][0].update(from_parts=plan["lines"][0]["from_parts"] * 30)),
        ("a step in other words", "words-differ", lambda plan: plan["steps"][0].update(do="Tighten it under pressure")),
        ("a step without a joint", "words-differ", lambda plan: plan["steps"][0].update(joint=None)),
        ("nothing for the second spanner", "words-differ", lambda plan: plan["steps"][0].update(hold="on the wall")),
        ("grease for oil", "words-differ", lambda plan: plan["steps"][0].update(lube="grease")),
        ("a spanner that fits nothing", "spanner-differs",
         lambda plan: next(each for each in plan["steps"] if each["spanner"])["spanner"].update(value=3)),
        ("a hose written in other words", "words-differ", lambda plan: plan["lines"][0]["hose"].update(say="hose")),
        ("no torque", "torque-missing", lambda plan: next(each for each in plan["lines"][0]["joints"] if each["torque"]).update(torque=[])),
        ("no oil", "oil-differs", lambda plan: plan.update(bill=[each for each in plan["bill"] if each["sort"] != "oil"])),
        ("less flow than comes out of the cap end", "flow-too-low", line(flow_gpm=11.0)),
        ("legs that carry nothing", "flow-too-low", lambda plan: plan["lines"][0].update(branches=[{**plan["lines"][1], "flow_gpm": 0.5}])),
        ("a route of an inch", "length-differs", line(route={"length_in": 1.0})), ("a route taken out", "length-differs", line(route=None)),
        ("a length taken out", "length-differs", lambda plan: plan["lines"][0]["hose"].update(length_in=None)),
        ("a tighter tolerance", "length-differs", lambda plan: plan["lines"][0]["hose"].update(minus_in=0.0)),
        ("no drop", "drop-differs", line(drop_psi={"hot": 0.0, "cold": 0.0})),
        ("a cylinder that lifts all", "cylinder-differs", lambda plan: plan["cylinders"][0].update(push_lbf=1e9)),
        ("a cylinder without a rod side", "cylinder-differs", lambda plan: plan["cylinders"][0].update(rod_side_psi=None)),
        ("a warning taken out", "finding-missing", line(findings=[])),
        ("what the circuit warns of taken out", "finding-missing", lambda plan: plan.update(findings=[])),
        *_of_written_words(),
    ):
        yield name, code, lambda change=change: saved(change)

    split = LIFT.replace('"ram.cap"', '["ram.cap", "second ram.cap"]').replace("60 in", "40 in")
    both = (VALVE, RAM, RAM_2, TANK), (split, LOWER.replace('"ram.rod"', '["ram.rod", "second ram.rod"]'), BACK)

    def unready(plan: dict[str, Any]) -> None:
        plan["steps"] = [each for each in plan["steps"] if not each["do"].startswith("Have ")]
        for number, each in enumerate(plan["steps"], 1):
            each["n"] = number

    yield "a leg below its line", "pressure-too-low", lambda: saved(lambda plan: plan["lines"][0]["branches"][0].update(max_psi=9), *both)
    yield "nothing said of a body of brass", "finding-missing", lambda: saved(lambda plan: plan["lines"][0].update(
        findings=[each for each in plan["lines"][0]["findings"] if each["code"] != "port-material"]),
        (VALVE, RAM.replace("back_driven", 'material = "brass"\nback_driven'), TANK), (LIFT, LOWER, BACK))
    yield "a plug left out", "bill-short", lambda: saved(lambda plan: plan.update(
        bill=[each for each in plan["bill"] if each["sort"] != "plug" or each["for"]]), lines=(LIFT, BACK))
    yield "another plug than holds", "words-differ", lambda: saved(lambda plan: [
        each.update(say="plug, ORB -4 male stud") for each in plan["bill"] if each["sort"] == "plug" and not each["for"]], lines=(LIFT, BACK))
    yield "a tee that nobody has ready", "step-missing", lambda: saved(unready, *both)
    coupled = (VALVE.replace('A = "ORB -8 port"', 'A = "ISO 7241-A 1/2 body"'), RAM, TANK), (LIFT, LOWER, BACK)
    yield "a coupler joined at once", "steps-disordered", lambda: saved(turned_round, *coupled)
    yield "a drop where a coupler takes who knows what", "drop-differs", lambda: saved(
        lambda plan: plan["lines"][0].update(drop_psi={"hot": 1.0, "cold": 1.0}),
        (VALVE.replace('A = "ORB -8 port"', 'A = "ISO 7241-A 1-1/4 body"'), RAM, TANK), (LIFT, LOWER, BACK))
    yield "a rod that cannot buckle", "cylinder-differs", lambda: saved(lambda plan: plan["cylinders"][0].update(buckling_lbf=1e9))

    def hose(plan: dict[str, Any]) -> dict[str, Any]:
        return plan["lines"][0]["hose"]

    for name, code, change in (
        ("half a motion", "swing-differs", lambda plan: hose(plan).update(positions=hose(plan)["positions"][:3])),
        ("ports nearer to each other", "swing-differs", lambda plan: hose(plan)["positions"][-1].update(chord_in=9.0)),
        ("a hose too short for its motion", "hose-too-short", lambda plan: hose(plan).update(length_in=30.0)),
    ):
        yield name, code, lambda change=change: saved(change, lines=(SWUNG, LOWER, BACK))


def _of_mistakes() -> Iterator[Example]:
    fit = RAM + '\nfit = { closed = "26 in" }'
    for name, old, new in (
        ("a number without its unit", 'relief = "2500 psi"', "relief = 2500"), ("no number", 'relief = "2500 psi"', "relief = true"),
        ("not a pressure", 'relief = "2500 psi"', 'relief = "lots"'), ("nothing", 'relief = "2500 psi"', 'relief = "0 psi"'),
        ("too much", 'relief = "2500 psi"', 'relief = "999999 psi"'), ("left out", 'relief = "2500 psi"\n', ""),
        ("a key that is not there", "flow =", "flwo ="), ("an unknown oil", "ISO VG 46", "olive"),
        ("cold is not cold", 'cold = "0 C", hot', 'cold = "70 C", hot'), ("no such end", "ORB -8 port", "ORBB -8 port"),
        ("no such size", "ORB -8 port", "ORB -7 port"), ("no end at all", '"ORB -8 port"', "8"), ("an end that can be two", "ORB -8 port", "3/8"),
        ("a name twice", 'name = "ram"', 'name = "valve"'), ("a line twice", 'name = "lower"', 'name = "lift"'),
        ("no name", 'name = "ram"', "name = 3"), ("an endless name", 'name = "ram"', f'name = "{"ram" * 50}"'),
        ("a kind that is none", 'kind = "tank"', 'kind = "tnak"'), ("a material that is none", 'kind = "tank"', 'kind = "tank"\nmaterial = "wood"'),
        ("a centre of a tank", 'kind = "tank"', 'kind = "tank"\ncentre = "open"'),
        ("a seat in words", 'kind = "valve"', 'kind = "valve"\non = "ram.cap"'),
        ("a tank on a port", 'kind = "tank"', 'kind = "tank"\non = { C = "ram.cap" }'),
        ("a seat on a tank", 'kind = "valve"', 'kind = "valve"\non = { C = "tank.in" }'),
        ("two seats on one port", 'kind = "valve"', 'kind = "valve"\non = { C = "ram.cap", D = "ram.cap" }'),
        ("a seat where it is open to the air", "[system]", '[[component]]\nname = "hoist"\nkind = "cylinder"\n'
         'ports = { cap = "ORB -8 port", rod = "ORB -8 port" }\nvented = ["rod"]\n[[component]]\nname = "lock"\n'
         'ports = { V = "ORB -8 port" }\non = { C = "hoist.rod" }\n[system]'),
        ("a bare hose for a port", '"ORB -8 port"', '"hose -8 bore"'), ("a kind of line", 'kind = "return"', 'kind = "retrun"'),
        ("a bypass of a tank", 'kind = "tank"', 'kind = "tank"\nbypass = "25 psi"'),
        ("a rod too thick", 'rod = "1.5 in"', 'rod = "3 in"'), ("a port of a cylinder", 'rod = "ORB -8 port"', 'ring = "ORB -8 port"'),
        ("no ports", 'ports = { in = "NPT 3/4 female", low = "NPT 1/2 female" }', "ports = {}"),
        ("yes is no word", "back_driven = false", 'back_driven = "no"'), ("a vent that is not there", "back_driven = false", 'vented = ["rode"]'),
        ("no such port", '"valve.A"', '"valve.C"'), ("no such component", '"valve.A"', '"vavle.A"'), ("no port named", '"valve.A"', '"valve"'),
        ("a port named halfway", '"valve.A"', '"valve."'), ("a port twice", '"ram.rod"', '"ram.cap"'), ("nowhere to", 'to = "ram.cap"\n', ""),
        ("no port in to", '"ram.cap"', "[]"), ("too many legs", '"ram.cap"', '["ram.cap", "ram.rod", "tank.in", "tank.low"]'),
        ("a length without a unit", 'length = "60 in"', 'length = "60"'), ("no route in a route", 'length = "60 in"', ""),
        ("two routes in one", 'length = "60 in"', 'length = "60 in", swing = { pivot_to_from = "3 in", pivot_to_to = "4 in", angle = ["1 deg", "9 deg"] }'),
        ("one angle", 'length = "60 in"', 'swing = { pivot_to_from = "3 in", pivot_to_to = "4 in", angle = ["1 deg"] }'),
        ("a shape that is none", LIFT, LIFT + '\nat_to = { shape = "60" }'), ("no such hose", LIFT, LIFT + '\nhose = { type = "R99" }'),
        ("a hose whose name had another meaning once", LIFT, LIFT + '\nhose = { type = "R2AT" }'),
        ("no such hose size", LIFT, LIFT + '\nhose = { size = "-7" }'), ("one end of a hose", LIFT, LIFT + '\nhose = { ends = ["JIC -8 swivel"] }'),
        ("an end that is avoided", LIFT, LIFT + '\nhose = { ends = "JIC -8 female swivel" }\n[limits]\navoid = ["jic"]'),
        ("a family that is none", LIFT, LIFT + '\n[limits]\navoid = ["nptt"]'), ("a family that is a number", LIFT, LIFT + "\n[limits]\navoid = [3]"),
        ("families outside a list", LIFT, LIFT + '\n[limits]\navoid = "npt"'), ("parts in quotes", LIFT, LIFT + '\n[limits]\nmax_parts = "3"'),
        ("a table that is a number", "[system]", "system = 3\n[systems]"), 
        ("not TOML", 'relief = "2500 psi"', "relief = 2500 psi"), ("a measure alone", RAM, fit), ("a fit without a cylinder", TANK, TANK + '\nfit = { eye = "1 in", gap = "2 in" }'),
        ("a fit without a stroke", RAM, RAM.replace(', stroke = "16 in"', "") + '\nfit = { closed = "26 in", retracted = "26 in", extended = "42 in" }'),
        ("a shelf that is not there", LIFT, LIFT + '\n[stock]\nfile = "none.csv"'), ("a shelf that is a number", LIFT, LIFT + "\n[stock]\nfile = 3"),
        ("an endless reference", '"valve.A"', f'"{"valve" * 60}"'), ("no reference", 'from = "valve.A"', "from = 3"),
        ("half a sign", "[system]", "[system]\n# \ud800"), ("a number without end", "[system]", f"[system]\nserial = {'9' * 5000}"), ("an endless number", "[system]", f"[system]\nserial = {'9' * 300}"), ("an endless key", "[system]", f"[system]\n{'a.' * 3000}b = 1"),
        ("a table inside a value", 'name = "tank"', "name = { a = 1 }"),
    ):
        yield name, "mistake", lambda a=old, b=new: mistakes(a, b)
    yield "no components and no lines", "mistake", lambda: mistakes("x", f"line = []\ncomponent = []\n[system]\n{SYSTEM}", "x")
    yield "a line that is no list", "mistake", lambda: mistakes("x", f"line = 3\n{job_text(lines=())}", "x")
    yield "brackets without end", "mistake", lambda: mistakes("x", "x = " + "[" * 100_000, "x")


def _of_commands() -> Iterator[Example]:
    shelf = "qty,part\n2,straight ORB -8 male stud x JIC -8 male\n"
    for name, words, files in (
        ("show nothing", ("show", " "), {}), ("an end that is none", ("show", "blorb"), {}), ("an end that can be two", ("show", "3/8"), {}),
        ("an end beyond the tables", ("show", "JIC -7 male"), {}), ("a part that nobody makes", ("show", "90 ORB -8 male stud x JIC -24 male"), {}),
        ("a part made as an elbow only", ("show", "15L swivel x 15L male"), {}),
        ("a material without a rule", ("mate", "JIC -6 male", "ORB -6 port", "--material", "wood"), {}),
        ("five ends to join", ("join", "a", "b", "c", "d", "e"), {}), ("a job that is too long", ("plan", "job.toml"), {"job_toml": "#" * 500_001}),
        ("a job that is no text", ("plan", "job.toml"), {"job_toml": b"title = 'a'\nunits = '\xff'\n"}),
        ("one end to join", ("join", "ORB -6 port"), {}), ("a pressure that is none", ("join", "ORB -6 port", "JIC -6 swivel", "--psi", "lots"), {}),
        ("no pressure", ("join", "ORB -6 port", "JIC -6 swivel", "--psi", "0"), {}),
        ("a family that is none", ("join", "ORB -6 port", "JIC -6 swivel", "--avoid", "nptt"), {}),
        ("a shape that is none", ("join", "ORB -6 port", "JIC -6 swivel", "--shape-from", "60"), {}),
        ("three ends and a shape", ("join", "ORB -6 port", "JIC -6 swivel", "JIC -8 swivel", "--shape-from", "90"), {}),
        ("three ends and a shelf", ("join", "ORB -6 port", "JIC -6 swivel", "JIC -8 swivel", "--stock", "shelf.csv"), {"shelf_csv": shelf}),
        ("cores without a batch", ("join", "ORB -6 port", "JIC -6 swivel", "--jobs", "2"), {}),
        ("ends and a batch", ("join", "ORB -6 port", "--batch", "q.csv"), {"q_csv": "from,to\n"}),
        ("questions without an end", ("join", "--batch", "q.csv"), {"q_csv": "from,where\n"}), ("questions with two labels", ("join", "--batch", "q.csv"), {"q_csv": "id,name,from,to\n"}),
        ("an endless question", ("join", "--batch", "q.csv"), {"q_csv": "from,to" + "x" * 100_000}),
        ("no such option", ("join", "--pressure", "3"), {}), ("no such verb", ("mat", "a", "b"), {}),
        ("no reading", ("identify",), {}), ("only who reads", ("identify", "--plus-minus", "0.1 mm", "--instrument", "ruler"), {}),
        ("a diameter that is none", ("identify", "--od", "wide"), {}),
        ("readings and a file", ("identify", "--batch", "some.csv", "--od", "14 mm"), {"some_csv": "name,od\na,14 mm\n"}),
        ("a batch that is not there", ("identify", "--batch", "none.csv"), {}), ("a batch without readings", ("identify", "--batch", "some.csv"), {"some_csv": "x,y\n1,2\n"}),
        ("a batch with rows counted under id", ("identify", "--batch", "some.csv"), {"some_csv": "id,od\n1,14 mm\n2,14 mm\n3,14 mm\n"}),
        ("a batch that is no text", ("identify", "--batch", "some.csv"), {"some_csv": b"name,od\n\xff\xfe,1\n"}),
        ("a job that is not there", ("plan", "none.toml"), {}), ("a job with a mistake", ("plan", "job.toml"), {"job_toml": job_text().replace('"2500 psi"', "2500")}),
        ("a plan that is none", ("check", "plan.json"), {"plan_json": "[1]"}), ("a plan that is no JSON", ("check", "plan.json"), {"plan_json": "{"}),
        ("a plan that is not there", ("check", "none.json"), {}), ("a shelf that is not there", ("stock", "none.csv"), {}),
        ("a shelf without a head", ("stock", "shelf.csv"), {"shelf_csv": "1,2\n"}), ("an empty shelf", ("stock", "shelf.csv"), {"shelf_csv": ""}),
        ("a shelf with two such columns", ("stock", "shelf.csv"), {"shelf_csv": "qty,part,description\n1,a,b\n"}),
        ("a shelf of another kind", ("stock", "shelf.xlsx"), {"shelf_xlsx": b"PK\x03\x04nothing"}),
        ("a document that is none", ("sources", "sae-j517"), {}), ("a document that is like none", ("sources", "qqqq"), {}),
        ("a bore that may be in inches or not", ("cylinder", "--bore", "63", "--rod", "36"), {}),
        ("a bore that is none", ("cylinder", "--bore", "wide", "--rod", "1 in"), {}), ("a rod too thick", ("cylinder", "--bore", "2 in", "--rod", "3 in"), {}),
        ("no flow", ("size", "--flow", "0 gpm"), {}),
        ("a suction under pressure", ("size", "--flow", "8 gpm", "--kind", "suction", "--psi", "3000"), {}), ("a kind of line", ("size", "--flow", "8 gpm", "--kind", "retrun"), {}),
        ("a viscosity that is none", ("size", "--flow", "8 gpm", "--viscosity", "thick"), {}),
        ("a gauge of another kind", ("gauge", "--out", "gauge.pdf"), {}), ("a paper that is none", ("gauge", "--out", "gauge.svg", "--paper", "a9"), {}),
        ("a job that is there already", ("new", "job.toml"), {"job_toml": "x"}), ("a place that cannot be written", ("new", "no/such/job.toml"), {}),
    ):
        yield name, "*", lambda a=words, b=files: typed(*a, **b)
    questions = ("id,from,to,max_parts,full_bore,shape_from\n1,,JIC -6 swivel,,,\n2,ORB -6 port,JIC -6 swivel,9,,\n"
                 "3,ORB -6 port,JIC -6 swivel,,maybe,\n4,ORB -6 port,JIC -6 swivel,,,60\n5,a,b,c,d,e,f\n")
    yield "questions that cannot be answered", "*", lambda: asked_in_a_file(questions)
    yield "a bill of another kind", "*", lambda: typed("plan", "job.toml", "--bill", "bill.pdf", job_toml=job_text())
    yield "a workbook without its reader", "*", lambda: without("openpyxl", "plan", "job.toml", "--bill", "bill.xlsx", job_toml=job_text())
    yield "a large shelf without the solver", "*", lambda: unsolved(job_text(), shelf)
    yield "a table that is gone", "our fault", lambda: broken(BadTable("data/mates.csv cannot be read: no such file"))
    yield "a fault of ours", "our fault", lambda: broken(ZeroDivisionError("division by zero"))


def examples() -> list[Example]:
    """All of them, in a fixed order."""
    return [*_of_pairs(), *_of_chains(), *_of_flaws(), *_of_circuit(), *_of_swings(), *_of_jobs(), *_of_saved_plans(), *_of_mistakes(), *_of_commands()]


def said_by(example: Example) -> list[Said]:
    """What an example says under its code; all that it says for '*'."""
    name, code, work = example
    told = dict.fromkeys(Said(name, *each) for each in work())
    return [each for each in told if code in ("*", each.code)]


def main() -> None:
    lines = csv.writer(SAID.open("w", encoding="utf-8", newline=""), lineterminator="\n")
    lines.writerow(Said._fields)
    for example in examples():
        said = said_by(example)
        if not said:
            print(f"does not reach {example[1]}: {example[0]}; it says {sorted({code for code, _, _ in example[2]()})}")
        lines.writerows(said)


if __name__ == "__main__":
    main()
