"""Attacks on job files and saved plans. Law: every mistake at once and in few words, or a job; a job is planned, and its plan passes `check`."""

import json
import random
import re
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

from fuzz.signs import STRANGE, mutated
from fuzz.words import AMOUNTS, LONGEST_ANSWER, typed

from fittings.ends import all_ends
from fittings.job.mistakes import BadJob
from fittings.job.plan import plan, shelf_file
from fittings.job.reading import read_job
from fittings.job.recheck import plan_flaws, second_opinion
from fittings.job.saved_plan import BadPlan, read_plan_file
from fittings.reports.as_json import dumps
from fittings.reports.bill import bill_csv, counter_text
from fittings.reports.check_report import check_json, check_text
from fittings.reports.plan_json import plan_json
from fittings.reports.plan_text import plan_text
from fittings.reports.sheet import sheet_html
from fittings.stock import BadShelf, read_shelf

TOP = Path(__file__).resolve().parents[2]
NAME = str(TOP / "docs" / "examples" / "job.toml")
HOSTILE = (
    "0", "-1", "1e400", "nan", "-inf", "1e-300", "9" * 240, "9" * 5000, "0x" + "f" * 300, "true", "[]", "{}", "[[]]", "[[[[[[[[[[]]]]]]]]]]", '""', "''",
    '"\\u0000"', '"\\U0010ffff"', '"=1+1"', '"-2+3+cmd|\' /C calc\'!A0"', '"<script>alert(1)</script>"', '"</style><img src=x>"', '"‮evil"', '"a" * 3',
    "1979-05-27T07:32:00Z", "07:32:00", "1979-05-27", '"0 psi"', '"1e3 psi"', '"-5 psi"', '"20000 psi"', '"999999999 psi"', '"0.0001 gpm"', '"2000 gpm"',
    '"0.001 in"', '"10000 in"', '"-273.15 C"', '"400 C"', '"360 deg"', '"-360 deg"', '["0 deg", "0 deg"]', '["-360 deg", "360 deg"]', '["40 deg"]',
    '["a", "b", "c", "d", "e"]', '["valve.A", "valve.A"]', '"valve.A"', '"tank"', '"work"', '"drain"', '"suction"', '"return"', '"pressure"', '"ORB -8 port"',
    '"hose -8 bore"', '"JIC -8 swivel"', '"hose"', '"NPT 1/2"', '["npt"]', '["jic", "orb", "orfs", "npt", "bspp"]', '"90"', '"45"', '"R17"', '"100R2"', '"-8"',
    "{ length = \"1 in\" }", '{ swing = { pivot_to_from = "0.001 in", pivot_to_to = "10000 in", angle = ["0 deg", "360 deg"] } }',
    '{ bore = "0.01 in", rod = "0 in" }', '{ bore = "1000 in", rod = "999.9 in", stroke = "10000 in", load = "1e7 lbf" }', '{ cap = "ORB -8 port" }', "0", "5", "6",
)
_VALUE = re.compile(r"=[ \t]*([^\n#]+)")
_QUOTED = re.compile(r'"([^"\n]*)"')


@cache
def jobs() -> tuple[str, ...]:
    from fittings.job.template import TEMPLATE

    return (*(path.read_text("utf-8") for path in sorted([*TOP.glob("docs/examples/*.toml"), *TOP.glob("tests/jobs/*.toml")])), TEMPLATE)


@cache
def _lines() -> tuple[str, ...]:
    return tuple(dict.fromkeys(line for text in jobs() for line in text.splitlines()))


@cache
def _values() -> tuple[str, ...]:
    return tuple(dict.fromkeys(found[1] for text in jobs() for found in _QUOTED.finditer(text)))


def _of_lines(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    at, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    what = rng.randrange(6)
    if what == 0:
        del lines[at]
    elif what == 1:
        lines.insert(at, rng.choice(_lines()))
    elif what == 2:
        lines[at], lines[other] = lines[other], lines[at]
    elif what == 3:
        lines[at:at] = lines[other:other + rng.choice((1, 4, 12))]
    elif what == 4:
        lines[at] = "#" + lines[at] if not lines[at].startswith("#") else lines[at].lstrip("# ")
    else:
        lines[at] = rng.choice(_lines())
    return "\n".join(lines)


def _instead(text: str, found: "re.Match[str]", new: str, group: int = 1) -> str:
    return text[:found.start(group)] + new + text[found.end(group):]


def _of_values(text: str, rng: random.Random) -> str:
    """Another whole value: of the right kind, of another, or of none."""
    places = list(_VALUE.finditer(text))
    return _instead(text, rng.choice(places), rng.choice(HOSTILE)) if places else text


def _in_quotes(text: str, rng: random.Random) -> str:
    """Another text between the quotation marks: a port, an amount, a word of the file, something mistyped."""
    places = list(_QUOTED.finditer(text))
    if not places:
        return text
    found = rng.choice(places)
    new = rng.choice((
        lambda: rng.choice(_values()), lambda: rng.choice(AMOUNTS), lambda: rng.choice(typed()), lambda: mutated(found[1], rng, _values()),
        lambda: re.sub(r"\d+", lambda _: str(rng.choice((1, 2, 3, 4, 6, 8, 12, 16, 24, 99, 3000))), found[1])))()
    escaped = "".join(sign if sign.isprintable() and sign not in '"\\' else f"\\U{ord(sign):08x}" for sign in new)
    return _instead(text, found, escaped)


def _of_signs(text: str, rng: random.Random) -> str:
    at = rng.randrange(len(text) + 1)
    new = rng.choice(STRANGE) if rng.random() < 0.5 else rng.choice("[]{}=\"'#.,\n-0")
    return text[:at] + new + text[at + rng.choice((0, 0, 1, 3)):]


def _deep(text: str, rng: random.Random) -> str:
    depth = rng.choice((3, 50, 90, 130, 200, 400, 900, 5000))
    key = rng.choice(("title", "units", "line", "component", "limits", "system", "avoid", "x"))
    return rng.choice((f"{key} = {'[' * depth}{']' * depth}\n{text}", f"{key} = {'{a=' * depth}1{'}' * depth}\n{text}",
                       f"[{'.'.join('a' * depth)}]\n{text}", f"{'.'.join('a' * depth)} = 1\n{text}", f"{text}\n[limits]\navoid = {'[' * depth}{']' * depth}"))


def job_case(rng: random.Random) -> str:
    text = rng.choice(jobs())
    for _ in range(rng.choice((1, 1, 1, 2, 2, 4))):
        chance = rng.random()
        change = (_in_quotes if chance < 0.45 else _of_values if chance < 0.65 else _of_lines if chance < 0.85 else _of_signs if chance < 0.98 else _deep)
        text = change(text, rng)
    return text


_AMOUNT = re.compile(r"-?[\d./-]+ (psi|bar|gpm|L/min|in|mm|lbf|deg|C)")
_PLAUSIBLE = {"psi": (50, 9000), "bar": (5, 600), "gpm": (0.3, 120), "L/min": (1, 400), "in": (0.3, 200), "mm": (8, 5000), "lbf": (50, 90_000),
              "deg": (-180, 180), "C": (-40, 110)}


def _of_its_kind(text: str, rng: random.Random) -> str:
    """Another amount of the same unit, another port, another word of the same place: what a person might have meant."""
    places = list(_QUOTED.finditer(text))
    if not places:
        return text
    found = rng.choice(places)
    amount = _AMOUNT.fullmatch(found[1])
    if amount:
        low, high = _PLAUSIBLE[amount[1]]
        number = rng.uniform(low, high) if low <= 0 else low * (high / low) ** rng.random()
        return _instead(text, found, f"{number:.3g} {amount[1]}" if abs(number) < 999 else f"{number:.0f} {amount[1]}")
    if any(word in found[1] for word in ("ORB", "JIC", "BSP", "NPT", "ORFS", "M22", "M18", "code")):
        return _instead(text, found, rng.choice(all_ends()).say)
    key = re.search(r"(\w+)[^\w\n]*$", text[:found.start()])
    same = re.findall(rf'\b{key[1]}[ \t]*=[ \t]*"([^"\n]*)"', "\n".join(jobs())) if key else []
    return _instead(text, found, rng.choice(same or _values()))


_WHOLE_LINES = ('kind = "drain"', 'kind = "return"', 'kind = "suction"', 'kind = "pressure"', "can_close = true", 'hose = { size = "-6" }',
                'hose = { type = "R17" }', 'hose = { ends = "JIC -8 swivel" }', 'flow = "3 gpm"', 'pressure = "500 psi"', 'route = { length = "30 in" }',
                'at_to = { shape = "90" }', 'at_from = { shape = "45", room = "1.5 in" }', 'hose = { angle = "90 deg" }')


def _another_line(text: str, rng: random.Random) -> str:
    heads = list(re.finditer(r"\[\[line\]\]\n", text))
    if not heads:
        return text
    at = rng.choice(heads).end()
    return text[:at] + rng.choice(_WHOLE_LINES) + "\n" + text[at:]


def plan_case(rng: random.Random) -> str:
    """A job file that most often can still be read."""
    text = rng.choice(jobs())
    for _ in range(rng.choice((1, 1, 2, 3, 5))):
        chance = rng.random()
        change = (_of_its_kind if chance < 0.75 else _another_line if chance < 0.92 else _in_quotes if chance < 0.96 else _of_values)
        text = change(text, rng)
    return text


def hold_job(text: str) -> str:
    """Only read: a job, or every mistake, each told in a line that can be read."""
    try:
        read_job(text, NAME)
    except BadJob as error:
        assert error.mistakes
        for each in error.mistakes[:200]:
            assert each.where and each.wrong, each
            assert len(each.say(error.name)) < LONGEST_ANSWER, f"{len(each.say())} signs"
            assert each.line is None or 1 <= each.line <= text.count("\n") + 1
        return "mistakes"
    return "read"


def hold_plan(text: str) -> str:
    """Read, planned, told in every form, and checked by the code that did not plan it."""
    try:
        job = read_job(text, NAME)
    except BadJob:
        return "mistakes"
    file = shelf_file(job, NAME)
    try:
        planned = plan(job, None, read_shelf(file) if file else None)
    except (BadShelf, OSError):
        return "no shelf"
    saved = plan_json(planned)
    written = dumps(saved)
    read_back = json.loads(written, parse_constant=_no_constant)
    flaws = plan_flaws(read_back)
    assert not flaws, flaws
    assert plan_text(planned) and bill_csv(planned.bill) is not None and counter_text(planned.bill) is not None
    if len(text) % 4 == 0:
        page = sheet_html(planned)
        assert "<script" not in page and "<img" not in page
    return "planned, with a line refused" if planned.refused else "planned"


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} in JSON")


# --- saved plans -----------------------------------------------------------------------------------------------------

@cache
def _saved() -> tuple[str, ...]:
    return tuple(dumps(plan_json(plan(read_job(text, NAME)))) for text in jobs()[1:5])


JUNK: tuple[Any, ...] = (None, True, False, 0, -1, 1e308, -1e308, float("inf"), float("nan"), 10**400, "", "x", "\ud800", "orb-8-port", [], [[]], {}, [None], {"id": 1},
                         {"end": None}, ["a", "b"], "9" * 5000)


def saved_case(rng: random.Random) -> str:
    """A saved plan with a few of its values turned into something else, or its text cut or scrambled."""
    text = rng.choice(_saved())
    if rng.random() < 0.15:
        at = rng.randrange(len(text))
        return text[:at] + rng.choice((*STRANGE, "[" * 3000, "", '{"a":' * 2000, "9" * 5000)) + text[at + rng.choice((0, 1, 50, 10**6)):]
    whole = json.loads(text)
    for _ in range(rng.choice((1, 1, 2, 5))):
        here: Any = whole
        while True:
            keys = list(here) if isinstance(here, dict) else list(range(len(here)))
            if not keys:
                break
            key = rng.choice(keys)
            if isinstance(here[key], (dict, list)) and here[key] and rng.random() < 0.8:
                here = here[key]
                continue
            if rng.random() < 0.2:
                del here[key]
            else:
                here[key] = deepcopy(rng.choice(JUNK))
            break
    if rng.random() < 0.05 and isinstance(whole.get("lines"), list):
        inner: Any = whole["lines"]
        for _ in range(rng.choice((10, 300, 480))):
            inner.append({"name": "deep", "refused": True, "branches": []})
            inner = inner[-1]["branches"]
    return json.dumps(whole)


def hold_saved(text: str) -> str:
    """A saved plan that is broken is said to be no plan, or has flaws, or stands; it never breaks the check."""
    place = Path(f"/dev/shm/fuzz-{_pid()}.json") if Path("/dev/shm").is_dir() else Path(f"fuzz-{_pid()}.json")
    place.write_text(text, "utf-8", "replace")
    try:
        saved = read_plan_file(str(place))
    except BadPlan as error:
        assert len(str(error)) < LONGEST_ANSWER
        return "no plan"
    finally:
        place.unlink()
    opinion = second_opinion(saved)
    assert check_text(saved, opinion) and dumps(check_json(saved, opinion))
    return "flaws" if opinion.flaws else "agrees"


def _pid() -> int:
    import os

    return os.getpid()
