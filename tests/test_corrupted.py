"""The second opinion against an oracle of its own: chains that stand, chains spoilt at random, plans tampered with.

`chain_oracle` says when a change matters; the second opinion must object just then, and name the same thing.
"""

import copy
import json
import random
from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from budget import examples
from chain_oracle import Piece, psi
from walks import CORE, SHAPES, any_walk, judged, takers, walks

from fittings.ends import End, all_ends, families, forms, sizes
from fittings.job.plan import plan_file
from fittings.job.recheck import plan_flaws
from fittings.limits import Limits
from fittings.reports.plan_json import plan_json

TOP = Path(__file__).resolve().parent.parent
ENDS = all_ends()
CORE_ENDS = tuple(each for each in ENDS if each.family in CORE)


def test_every_chain_of_one_part_between_core_ends() -> None:
    """All 12,087 of them, and the 380 joints without a part. `python tests/walks.py` takes two and three parts as well."""
    inside, counted = set(CORE_ENDS), 0
    for start in CORE_ENDS:
        for parts in (0, 1):
            for row in walks(start, parts):
                for finish in takers(row[-1][1] if row else start):
                    if finish in inside:
                        ours, theirs = judged(start, finish, row)
                        assert ours == theirs, (start.id, finish.id, row)
                        counted += 1
    assert counted > 11_000


def test_any_chain_of_up_to_four_parts_under_any_limits() -> None:
    """No false alarm and nothing missed, on chains of any family."""
    chances, stood = random.Random(3), 0
    for _ in range(examples(2500)):
        start = chances.choice(ENDS)
        row = any_walk(chances, start, chances.randrange(1, 5))
        there = takers(row[-1][1] if row else start)
        if there:
            finish = chances.choice(there)
            ours, theirs = judged(start, finish, row, _limits(chances, start, finish, row))
            assert ours == theirs, (start.id, finish.id, row)
            stood += not theirs
    assert stood > examples(80)


def _limits(chances: random.Random, start: End, finish: End, row: tuple[Piece, ...]) -> Limits:
    """Some limits, the pressure just at or beside a rating of the chain."""
    if chances.random() < 0.3:
        return Limits()
    rated = [value for each, beside in ((start, None), (finish, None), *((a, b) for a, b, _ in row), *((b, a) for a, b, _ in row))
             if (value := psi(each, beside)) is not None] or [3000]
    return Limits(
        psi=chances.choice((None, chances.choice(rated) + chances.choice((-1, 0, 1)))),
        avoid=tuple(chances.sample(families(), chances.choice((0, 0, 1, 3)))),
        max_parts=chances.choice((None, None, len(row) - 1, len(row), len(row) + 1)),
        shape_from=chances.choice((None, None, "straight", "90", "45")), shape_to=chances.choice((None, None, "straight", "90")),
        full_bore=chances.random() < 0.4, fixed=chances.random() < 0.4,
    )


Chain = tuple[End, End, tuple[Piece, ...], Limits]


def _other_end(chances: random.Random, chain: Chain, change: Callable[[End], End]) -> Chain:
    start, finish, row, asked = chain
    place = chances.randrange(-2, 2 * len(row))
    if place < 0:
        return (change(start), finish, row, asked) if place == -2 else (start, change(finish), row, asked)
    near, far, shape = row[place // 2]
    spoilt = (change(near), far, shape) if place % 2 else (near, change(far), shape)
    return start, finish, (*row[: place // 2], spoilt, *row[place // 2 + 1:]), asked


def _other_part(chances: random.Random, chain: Chain, change: Callable[[Piece], tuple[Piece, ...]]) -> Chain:
    start, finish, row, asked = chain
    place = chances.randrange(len(row))
    return start, finish, (*row[:place], *change(row[place]), *row[place + 1:]), asked


def _raised(chances: random.Random, chain: Chain) -> Chain:
    start, finish, row, asked = chain
    return start, finish, row, asked._replace(psi=chances.choice((500, 1500, 2500, 3500, 4500, 6000, 9000)))


SPOILT: dict[str, Callable[[random.Random, Chain], Chain]] = {
    "end": lambda chances, chain: _other_end(chances, chain, lambda _: chances.choice(ENDS)),
    "size": lambda chances, chain: _other_end(chances, chain, lambda of: of._replace(size=chances.choice(sizes(of.family)))),
    "form": lambda chances, chain: _other_end(chances, chain, lambda of: of._replace(form=chances.choice(forms(of.family)))),
    "shape": lambda chances, chain: _other_part(chances, chain, lambda part: ((*part[:2], chances.choice(SHAPES)),)),
    "turned round": lambda chances, chain: _other_part(chances, chain, lambda part: ((part[1], part[0], part[2]),)),
    "left out": lambda chances, chain: _other_part(chances, chain, lambda part: ()),
    "twice": lambda chances, chain: _other_part(chances, chain, lambda part: (part, part)),
    "pressure": _raised,
}


@pytest.mark.parametrize("kind", SPOILT)
def test_a_spoilt_chain_is_caught_whenever_it_matters(kind: str) -> None:
    """A chain that stands, one thing changed: the second opinion objects just when the oracle does."""
    chances, seen = random.Random(f"spoilt {kind}"), Counter[str]()
    for _ in range(examples(800)):
        start = chances.choice(CORE_ENDS)
        row = any_walk(chances, start, chances.randrange(1, 4))
        there = takers(row[-1][1] if row else start)
        if not row or not there or judged(start, finish := chances.choice(there), row)[1]:
            continue
        ours, theirs = judged(*SPOILT[kind](chances, (start, finish, row, Limits())))
        assert ours == theirs, (kind, start.id, finish.id, row)
        seen["matters" if theirs else "does not"] += 1
    assert seen["matters"] > examples(60)
    assert seen["does not"] > examples(4) or kind in ("end", "left out")


# Plans that were tampered with

WORDS = ("id", "family", "size", "form", "say", "shape", "type", "verdict", "kind", "code", "sex", "ring", "ring_say", "a", "b", "do", "lube", "hold",
         "sealant_why")
HIGHER = ("rating_psi", "high_nm", "high", "needed_in", "qty", "n", "push_lbf", "pull_lbf", "rod_side_psi", "bore_in", "stroke_in", "phi", "extend_in_s",
          "retract_in_s", "volume_extend_gal", "volume_retract_gal", "length_in", "plus_in")
LOWER = ("bend_in", "low_nm", "low", "velocity_fps", "hot", "cold", "extend_s", "retract_s", "return_gpm", "rod_in", "minus_in", "flow_gpm")
FREE_TEXT = ("findings", "route", "system", "from_stock", "spanner")
"""Told beside the plan and worked out nowhere else: nothing to hold them against."""


@cache
def _plan() -> dict[str, Any]:
    whole: dict[str, Any] = json.loads(json.dumps(plan_json(plan_file(str(TOP / "docs" / "examples" / "log-lift.toml")))))
    return whole


def _leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[tuple[Any, ...], Any]]:
    if isinstance(value, dict | list):
        inner = value.items() if isinstance(value, dict) else enumerate(value)
        return [leaf for name, each in inner for leaf in _leaves(each, (*path, name))]
    return [(path, value)]


def _tampered(path: tuple[Any, ...], value: Any) -> Any:
    """Another value that makes the plan say something wrong, or None where the change would not matter."""
    name = next((step for step in reversed(path) if isinstance(step, str)), "")
    loose = path[0] == "bill" and _plan()["bill"][path[1]]["sort"] in ("oil", "sealant") and name == "say"
    if set(path) & set(FREE_TEXT) or loose:
        return None
    if isinstance(value, str) and name in WORDS:
        return {"joint": "conditional", "conditional": "joint"}.get(value, f"{value}x")
    if isinstance(value, bool):
        return not value if name in ("sealant", "default") else None
    if isinstance(value, int | float) and name in (*HIGHER, *LOWER):
        return value * 1.6 + 2 if name in HIGHER else value / 2
    return "it is looked at first" if name == "condition" else None


def _each(value: Any, key: str) -> list[dict[str, Any]]:
    """Every table of a plan that has a key."""
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [*([value] if isinstance(value, dict) and key in value else []), *(found for each in inner for found in _each(each, key))]


def _steps_turned_round(plan: dict[str, Any]) -> None:
    plan["steps"].reverse()
    for number, step in enumerate(plan["steps"], 1):
        step["n"] = number


def _off_the_bill(*sorts: str) -> Callable[[dict[str, Any]], None]:
    return lambda plan: plan.update(bill=[each for each in plan["bill"] if each["sort"] not in sorts])


def _all(key: str, value: Any) -> Callable[[dict[str, Any]], None]:
    return lambda plan: [each.update({key: value}) for each in _each(plan, key)] and None


def _halved(plan: dict[str, Any]) -> None:
    for each in _each(plan["lines"], "velocity_fps"):
        each.update(flow_gpm=each["flow_gpm"] / 2, velocity_fps=each["velocity_fps"] and each["velocity_fps"] / 2)


def _line(**new: Any) -> Callable[[dict[str, Any]], None]:
    return lambda plan: plan["lines"][2].update(new)


TAMPERED: list[tuple[str, Callable[[dict[str, Any]], None], str]] = [
    ("steps turned round", _steps_turned_round, "steps-disordered"),
    ("a step twice", lambda plan: plan["steps"].append({**plan["steps"][-1], "n": len(plan["steps"]) + 1}), "step-strange"),
    ("words of a step", lambda plan: plan["steps"][0].update(do="Tighten it under pressure"), "words-differ"),
    ("a part into another port", lambda plan: plan["steps"][0].update(do=plan["steps"][0]["do"].replace("power pack.P", "valve.T")), "words-differ"),
    ("sealant said to be needless", _all("sealant_why", "the tape is left out"), "words-differ"),
    ("oil on taper threads", _all("lube", "plenty of grease"), "words-differ"),
    ("where the second spanner goes", _all("hold", "on nothing"), "words-differ"),
    ("another thread", _all("thread", "3/4-16 UNF"), "words-differ"), ("another standard", _all("standard", "ISO 6149"), "words-differ"),
    ("parts that are said to be had anywhere", _all("had", "to order"), "words-differ"),
    ("a spanner in millimetres", lambda plan: next(each for each in plan["steps"] if each["spanner"])["spanner"].update(unit="mm"), "spanner-differs"),
    ("another spanner", lambda plan: next(each for each in plan["steps"] if each["spanner"])["spanner"].update(value=3), "spanner-differs"),
    ("rings off the bill", _off_the_bill("ring"), "bill-short"), ("sealant off the bill", _off_the_bill("sealant"), "bill-short"),
    ("plugs off the bill", _off_the_bill("plug"), "bill-short"), ("oil off the bill", _off_the_bill("oil"), "oil-differs"),
    ("one of each on the bill", _all("qty", 1), "bill-short"),
    ("nothing found of the lines", lambda plan: [each.update(findings=[]) for each in plan["lines"]] and None, "finding-missing"),
    ("nothing found of the circuit", lambda plan: plan.update(findings=[]), "finding-missing"),
    ("warnings made notes", _all("level", "info"), "finding-missing"),
    ("flow and velocity halved", _halved, "flow-too-low"),
    ("no drop", _all("drop_psi", {"hot": 0.0, "cold": 0.0}), "drop-differs"),
    ("a cylinder that lifts all", _all("push_lbf", 1e9), "cylinder-differs"),
    ("a cylinder without a rod side", _all("rod_side_psi", None), "cylinder-differs"),
    ("a cylinder ten times as fast", _all("extend_s", 0.1), "cylinder-differs"),
    ("no torque", _all("torque", []), "torque-missing"), ("no turns", _all("turns", []), "torque-missing"),
    ("a route of an inch", _line(route={"length_in": 1.0}), "length-differs"), ("no route", _line(route=None), "length-differs"),
    ("a tighter tolerance", lambda plan: plan["lines"][2]["hose"].update(minus_in=0.0), "length-differs"),
]
"""What a saved plan was changed in by hand, and the flaw that must be told."""


@pytest.mark.parametrize(("change", "code"), [each[1:] for each in TAMPERED], ids=[each[0] for each in TAMPERED])
def test_a_plan_tampered_with_by_hand_is_caught(change: Callable[[dict[str, Any]], None], code: str) -> None:
    changed = copy.deepcopy(_plan())
    change(changed)
    assert code in {flaw.code for flaw in plan_flaws(changed)}


def test_a_plan_tampered_with_is_caught_whenever_it_matters() -> None:
    """Every word of every end, part, joint, seal, hose and step; every figure of joints, hoses, cylinders and the bill made better."""
    assert plan_flaws(_plan()) == []
    missed, tried = [], Counter[str]()
    matters = [(path, other) for path, value in _leaves(_plan()) if (other := _tampered(path, value)) is not None]
    assert len(matters) > 300
    for path, other in random.Random(1).sample(matters, min(examples(300), len(matters))):
        changed = copy.deepcopy(_plan())
        inside = changed
        for step in path[:-1]:
            inside = inside[step]
        inside[path[-1]] = other
        tried[str(path[-1])] += 1
        if not plan_flaws(changed):
            missed.append(path)
    assert missed == []
    assert len(tried) > 15
