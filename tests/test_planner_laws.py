"""The planner against brute force: of all chains of up to two parts that stand, its first is the cheapest.

The chains come from `walks` and are judged by `chain_oracle`; the points are added up here from `data/preferences.csv`
and the table of joints, so neither the search nor its bookkeeping is asked. Further down: what the answers say.
"""

import csv
import random
from functools import cache

import pytest
from budget import examples
from chain_oracle import HERE, Piece, psi, sixteenths, wrong
from walks import CORE, takers, walks

from fittings.ends import End, all_ends, end_by_id
from fittings.limits import Limits
from fittings.parts import Part, find, step
from fittings.planner import Answer, Chain, join

CORE_ENDS = tuple(each for each in all_ends() if each.family in CORE)


def _rows(name: str) -> list[dict[str, str]]:
    with open(HERE.parent / "data" / f"{name}.csv", newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


@cache
def _points() -> dict[tuple[str, str], int]:
    return {(row["what"], row["which"]): int(row["points"]) for row in _rows("preferences")}


@cache
def _mates() -> dict[frozenset[tuple[str, str]], dict[str, str]]:
    return {frozenset({(row["family_a"], row["form_a"]), (row["family_b"], row["form_b"])}): row for row in _rows("mates")}


def _mate(a: End, b: End) -> dict[str, str]:
    return _mates()[frozenset({(a.family, a.form), (b.family, b.form)})]


def _steps(part: Part) -> float:
    a, b = part.ends
    rungs = step(a.family, a.size, b.family), step(b.family, b.size, a.family)
    return 0 if rungs[0] is None or rungs[1] is None else abs(rungs[0] - rungs[1])


@cache
def _points_of_part(near: End, far: End, shape: str) -> int:
    (part,) = find((near, far), shape)
    ends = [each for each in part.ends if each.family != "hose"]
    return (
        _points()["part", "one"] + _points()["had", part.had] + _points()["shape", shape.split("-")[0]] + round(15 * _steps(part))
        + (80 if len(ends) < 2 and part.rigid else 0) + (300 if any(psi(each, None) is None for each in ends) else 0)
    )


def _cost(start: End, finish: End, row: tuple[Piece, ...]) -> int:
    lefts, rights = [start, *(far for _, far, _ in row)], [*(near for near, _, _ in row), finish]
    joints = sum(_points()["condition", _mate(a, b)["condition"] or "none"] for a, b in zip(lefts, rights, strict=True))
    return joints + sum(_points_of_part(*piece) for piece in row)


def _planned(start: End, finish: End, row: tuple[Piece, ...]) -> bool:
    lefts, rights = [start, *(far for _, far, _ in row)], [*(near for near, _, _ in row), finish]
    return all(_mate(a, b)["planned"] == "yes" for a, b in zip(lefts, rights, strict=True))


def _brute(start: End, finish: End, asked: Limits, most: int) -> int | None:
    """Points of the cheapest chain of up to `most` parts, or None when there is none."""
    if finish in takers(start) and _planned(start, finish, ()) and not asked.shape_from and not asked.shape_to:
        return None if wrong(start, finish, (), asked) else _cost(start, finish, ())  # what mates needs no part
    found = [
        _cost(start, finish, row) for parts in range(1, most + 1) for row in walks(start, parts)
        if finish in takers(row[-1][1]) and _planned(start, finish, row) and not wrong(start, finish, row, asked)
    ]
    return min(found, default=None)


def _any_limits(chances: random.Random) -> Limits:
    return Limits(
        psi=chances.choice((None, None, 1000, 2000, 3000, 4000, 5000)),
        avoid=tuple(chances.sample(("npt", "jic", "orb", "bspp", "bspt", "orfs"), chances.choice((0, 0, 1, 2)))),
        max_parts=chances.choice((0, 1, 2, 2, 2)), shape_from=chances.choice((None, None, None, "90", "45", "straight")),
        shape_to=chances.choice((None, None, None, "90", "straight")), full_bore=chances.random() < 0.3,
        fixed=chances.random() < 0.3,
    )


def _near(chances: random.Random) -> tuple[End, End]:
    """Two core ends, every second time of nearly one size, where chains of two parts are many."""
    start = chances.choice(CORE_ENDS)
    beside = [each for each in CORE_ENDS if abs((sixteenths(each.family, each.size) or 0) - (sixteenths(start.family, start.size) or 0)) <= 4]
    return start, chances.choice(beside if chances.random() < 0.7 else CORE_ENDS)


def test_the_first_chain_is_the_cheapest_that_stands_under_any_limits() -> None:
    chances, answered, refused = random.Random(21), 0, 0
    for _ in range(examples(220)):
        start, finish = _near(chances)
        asked = _any_limits(chances)
        cheapest = _brute(start, finish, asked, asked.max_parts or 0)
        answer = join(start, finish, asked)
        assert [chain.cost for chain in answer.chains[:1]] == ([] if cheapest is None else [cheapest]), (start.id, finish.id, asked)
        assert (answer.refused is None) == (cheapest is not None)
        for chain in answer.chains:
            _stands(chain, asked)
        answered, refused = answered + bool(answer.chains), refused + (not answer.chains)
    assert answered > examples(18) and refused > examples(18)


def _stands(chain: Chain, asked: Limits) -> None:
    """Parts and limits by the oracle; points, rating and weakest joint by the tables."""
    row = tuple((used.near, used.far, used.part.shape) for used in chain.parts)
    assert wrong(chain.start, chain.finish, row, asked) == set()
    assert chain.cost == _cost(chain.start, chain.finish, row)
    lefts, rights = [chain.start, *(far for _, far, _ in row)], [*(near for near, _, _ in row), chain.finish]
    behind_left, behind_right = [None, *(near for near, _, _ in row)], [*(far for _, far, _ in row), None]
    lowest = []
    for joint, left, right, before, behind in zip(chain.joints, lefts, rights, behind_left, behind_right, strict=True):
        assert (joint.a, joint.b) == (left, right)
        assert (joint.verdict == "conditional") == bool(_mate(left, right)["condition"]) == (joint.condition is not None)
        both = [psi(left, before), psi(right, behind)]
        expected = None if None in both else min(each for each in both if each is not None)
        assert (joint.rating.psi if joint.rating else None) == expected
        lowest.append(-1 if expected is None else expected)
    assert lowest[chain.weakest] == min(lowest)
    assert (chain.rating.psi if chain.rating else -1) == min(lowest)


def test_a_question_turned_round_has_the_same_answers_turned_round() -> None:
    chances = random.Random(22)
    for _ in range(examples(60)):
        start, finish = _near(chances)
        asked = _any_limits(chances)._replace(max_parts=None)
        turned = asked._replace(shape_from=asked.shape_to, shape_to=asked.shape_from)
        there, back = join(start, finish, asked, best=9), join(finish, start, turned, best=9)
        assert [chain.cost for chain in there.chains[:1]] == [chain.cost for chain in back.chains[:1]]
        for chain in back.chains:
            row = tuple((used.far, used.near, used.part.shape) for used in reversed(chain.parts))
            assert wrong(start, finish, row, asked) == set()


def test_easing_any_limit_never_loses_an_answer() -> None:
    """Each limit taken away, or the pressure lowered: the best chain costs no more than before."""
    chances, eased_count = random.Random(23), 0
    for _ in range(examples(60)):
        start, finish = _near(chances)
        asked = _any_limits(chances)._replace(max_parts=chances.choice((1, 2, 3)))
        (best, *_) = join(start, finish, asked, best=1).chains or (None,)
        if best is None:
            continue
        free = Limits()
        easier = [asked._replace(**{name: getattr(free, name)}) for name in asked._fields
                  if name not in ("shape_from", "shape_to") or best.parts]
        easier += [asked._replace(psi=asked.psi - 1)] if asked.psi else []
        for each in easier:
            chains = join(start, finish, each, best=1).chains
            assert chains
            assert chains[0].cost <= best.cost
            eased_count += 1
    assert eased_count > examples(40)


def test_alternatives_are_no_worse_in_everything_and_say_what_they_gain() -> None:
    chances, told = random.Random(24), 0
    for _ in range(examples(60)):
        first, *others = join(*_near(chances), best=9).chains or (None,)
        for other in others:
            assert first is not None
            assert "gains: " in other.gives_up
            assert first.cost <= other.cost <= first.cost + 1600
            gains = other.gives_up.split("gains: ")[1]
            ours, theirs = (chain.rating.psi if chain.rating else None for chain in (other, first))
            if ours is not None and theirs is not None:
                assert (f"rated {ours - theirs} psi higher" in gains) == (ours > theirs)
                assert (f"rated {theirs - ours} psi lower" in other.gives_up) == (ours < theirs)
            assert ("part more" in other.gives_up or "parts more" in other.gives_up) == (len(other.parts) > len(first.parts))
            told += 1
    assert told > examples(4)


def _said(command: str) -> Limits:
    """The limits of a `fittings join …` command, read by hand."""
    words, asked = command.split()[4:], Limits()
    while words:
        word = words.pop(0).removeprefix("--").replace("-", "_")
        if word in ("full_bore", "fixed"):
            asked = asked._replace(**{word: True})
        elif word == "avoid":
            asked = asked._replace(avoid=(*asked.avoid, words.pop(0)))
        else:
            asked = asked._replace(**{word: int(words.pop(0)) if word in ("psi", "max_parts") else words.pop(0)})
    return asked


def _limits_told(answer: Answer, some: tuple[int, ...], asked: Limits) -> Limits:
    """Only the limits that these facts of a refusal name."""
    kept = Limits()
    assert answer.refused is not None
    for fact in answer.refused.facts:
        if fact.n in some and fact.code == "limit-avoid":
            (family,) = [each for each in asked.avoid if f" {each}" in fact.text]
            kept = kept._replace(avoid=(*kept.avoid, family))
        elif fact.n in some and fact.code.startswith("limit-"):
            name = fact.code.removeprefix("limit-").replace("-", "_")
            kept = kept._replace(**{name: getattr(asked, name)})
    return kept


def test_a_refusal_names_the_smallest_sets_of_limits_and_hints_that_were_tried() -> None:
    """Each set told is refused by itself, and answered when any one of its limits is taken away; each hint has a chain."""
    chances, refused, kinds = random.Random(25), 0, set()
    while refused < examples(25):
        start, finish = _near(chances)
        asked = _any_limits(chances)
        answer = join(start, finish, asked)
        if answer.refused is None or answer.refused.kind != "excluded by your limits":
            continue
        refused += 1
        assert answer.refused.because
        for some in answer.refused.because:
            alone = _limits_told(answer, some, asked)
            assert not join(start, finish, alone, best=1).chains
            for name in alone._fields:
                for less in ([alone.avoid[:n] + alone.avoid[n + 1:] for n in range(len(alone.avoid))] if name == "avoid" else
                             [getattr(Limits(), name)] * (getattr(alone, name) != getattr(Limits(), name))):
                    assert join(start, finish, alone._replace(**{name: less}), best=1).chains, (start.id, finish.id, asked, some)
        for hint in answer.refused.hints:
            kinds.add(hint.code)
            assert hint.run.startswith(f"fittings join {start.id} {finish.id}")
            (chain, *_) = join(start, finish, _said(hint.run), best=1).chains
            count = len(chain.parts)
            assert f" there is a chain of {count} part{'' if count == 1 else 's'}: " in hint.text
            assert hint.text.endswith(" + ".join(used.part.say for used in chain.parts) or "they join directly")
    assert len(kinds) >= 3


@pytest.mark.parametrize(("start", "finish", "asked", "code", "says"), [
    # no part at all allowed between a port and a nut that is not its own
    ("orb-8-port", "jic-8-swivel", Limits(max_parts=0), "limit-max-parts", "with up to 1 parts there is a chain of 1 part: "),
    # SAE J514: the swivel nut of -8 is rated 4000 psi
    ("orb-8-port", "jic-8-swivel", Limits(psi=4500), "limit-psi", "at 4000 psi instead of 4500 there is a chain of 1 part: "),
    # the -4 ends let a narrower part in only when the bore may narrow
    ("jic-8-male", "jic-8-male", Limits(shape_from="45", max_parts=1), "limit-shape-from", "with straight instead of 45 there is"),
])
def test_what_a_refusal_says(start: str, finish: str, asked: Limits, code: str, says: str) -> None:
    refused = join(end_by_id(start), end_by_id(finish), asked).refused
    assert refused is not None
    (some,) = refused.because
    told = [fact.code for fact in refused.facts if fact.n in some and fact.code.startswith("limit")]
    assert code in told
    assert any(hint.text.startswith(says) for hint in refused.hints), refused.hints
