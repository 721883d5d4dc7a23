"""The planner against brute force: of all chains of up to two parts that stand, its first is the cheapest.

The chains come from `walks` and are judged by `chain_oracle`; the points are added up here from `data/preferences.csv`
and the table of joints, so neither the search nor its bookkeeping is asked. Further down: what the answers say.
"""

import csv
import random
from collections import Counter
from functools import cache

import pytest
from budget import examples
from chain_oracle import HERE, Piece, joint_psi, psi, sixteenths, turns, wrong
from walks import CORE, takers, walks

from fittings.chain import Chain, Used, can_be_made_up, chain_through, end_psi, joints_made, part_bore, part_psi
from fittings.chain import joint as joint_of
from fittings.check import Piece as Lying
from fittings.check import chain_flaws
from fittings.ends import End, all_ends, end_by_id
from fittings.limits import Limits
from fittings.network import planned_partners
from fittings.parts import Part, all_parts, find, step
from fittings.planner import KINDS, Answer, Hint, command, impossible, join
from fittings.reasons import reason

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


# Whose threads they are: SAE and ASME, British, of the ISO metric series, Japanese; flanges and couplers go with any.
SYSTEM = {family: system for system, families in {
    "inch": "orb jic orfs npt npsm sae45 invflare", "BSP": "bspp bsp60 bspt", "metric": "iso6149 iso9974 cone24", "JIS": "jis30 metric30",
}.items() for family in families.split()}


@cache
def _points_of_part(near: End, far: End, shape: str) -> int:
    (part,) = find((near, far), shape)
    ends = [each for each in part.ends if each.family != "hose"]
    return (
        _points()["part", "one"] + _points()["had", part.had] + _points()["shape", shape.split("-")[0]] + round(15 * _steps(part))
        + (80 if len(ends) < 2 and part.rigid else 0) + (10 if len(ends) < 2 and ends[0].family == "orfs" else 0) + (300 if any(psi(each, None) is None for each in ends) else 0)
        + (60 if len({SYSTEM[each.family] for each in ends if each.family in SYSTEM}) > 1 else 0)
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
    if finish in takers(start) and _planned(start, finish, ()) and not asked.shape_from and not asked.shape_to and not (
            wrong(start, finish, (), asked)):
        return _cost(start, finish, ())  # what mates needs no part
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
    for _ in range(examples(150)):
        start, finish = _near(chances)
        asked = _any_limits(chances)
        cheapest = _brute(start, finish, asked, asked.max_parts or 0)
        answer = join(start, finish, asked)
        assert [chain.cost for chain in answer.chains[:1]] == ([] if cheapest is None else [cheapest]), (start.id, finish.id, asked)
        assert (answer.refused is None) == (cheapest is not None)
        for chain in answer.chains:
            _stands(chain, asked)
        answered, refused = answered + bool(answer.chains), refused + (not answer.chains)
    assert answered > examples(12) and refused > examples(12)


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
        expected = joint_psi(left, right, before, behind)
        assert (joint.rating.psi if joint.rating else None) == expected
        lowest.append(-1 if expected is None else expected)
    assert lowest[chain.weakest] == min(lowest)
    assert (chain.rating.psi if chain.rating else -1) == min(lowest)


def test_a_question_turned_round_has_the_same_answers_turned_round() -> None:
    chances = random.Random(22)
    for _ in range(examples(40)):
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
    for _ in range(examples(40)):
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
    assert eased_count > examples(25)


GRADES = ("common", "made", "to order")


def _traits(chain: Chain) -> tuple[int, int, int, set[str], int, float]:
    """Parts, hardest grade, psi (-1 unknown), conditions in words, bends, narrowest sixteenths."""
    ends = [each for used in chain.parts for each in used.part.ends]
    bores = [float(size) for each in ends if (size := sixteenths(each.family, each.size)) is not None]
    return (
        len(chain.parts), max((GRADES.index(used.part.had) for used in chain.parts), default=0),
        chain.rating.psi if chain.rating else -1, {joint.condition for joint in chain.joints if joint.condition},
        sum(used.part.shape not in ("straight", "bushing") for used in chain.parts), min(bores, default=999),
    )


def _expected(chain: Chain, first: Chain) -> str:
    parts, grade, rated, wants, bends, bore = _traits(chain)
    parts0, grade0, rated0, wants0, bends0, bore0 = _traits(first)
    worse = [f"{parts - parts0} part{'s' if parts - parts0 > 1 else ''} more"] * (parts > parts0)
    worse += ["harder to get"] * (grade > grade0)
    worse += ["no rating in our tables"] * (rated0 >= 0 > rated) + [f"rated {rated0 - rated} psi lower"] * (rated0 > rated >= 0)
    worse += [f"holds only if {each}" for each in sorted(wants - wants0)]
    worse += ["not straight"] * (bends > bends0) + ["narrower bore"] * (round(bore0 - bore, 9) > 0)
    better = ["easier to get"] * (grade < grade0) + [f"rated {rated - rated0} psi higher"] * (rated > rated0 >= 0)
    better += [f"need not ask whether {each}" for each in sorted(wants0 - wants)]
    better += ["straighter"] * (bends < bends0) + ["wider bore"] * (round(bore - bore0, 9) > 0)
    text = f"gives up: {', '.join(worse)}" if worse else "less usual" if chain.cost > first.cost else "gives up nothing"
    return f"{text}; gains: {', '.join(better)}" if better else text


def test_alternatives_say_what_they_give_up_and_gain() -> None:
    """Each gains something, costs at most a part and some trouble more, and says so in full."""
    chances, told, words = random.Random(24), 0, set()
    for _ in range(examples(60)):
        start, finish = _near(chances)
        asked = Limits(shape_from=chances.choice((None, None, None, "90")), fixed=chances.random() < 0.2)
        first, *others = join(start, finish, asked, best=9).chains or (None,)
        assert first is None or first.gives_up == ""
        for other in others:
            assert first is not None
            assert first.cost <= other.cost <= first.cost + 1600
            assert other.gives_up == _expected(other, first)
            assert "; gains: " in other.gives_up
            words |= {word for word in ("harder", "easier", "lower", "higher", "holds only", "need not", "straighter", "not straight", "narrower",
                                        "wider", "part more") if word in other.gives_up}
            told += 1
    assert told > examples(4)
    assert len(words) >= 7


Respects = tuple[float, ...]
"""What no other chain may be better or as good in throughout, each the smaller the better."""


def _respects(start: End, finish: End, row: tuple[Piece, ...]) -> Respects:
    lefts, rights = [start, *(far for _, far, _ in row)], [*(near for near, _, _ in row), finish]
    conditions = [_mate(a, b)["condition"] for a, b in zip(lefts, rights, strict=True)]
    had = sum(_points()["had", part.had] for near, far, shape in row for part in find((near, far), shape))
    rated = [-1 if value is None else value for near, far, _ in row for value in (psi(near, far), psi(far, near))]
    rated += [-1 if value is None else value for a, b in zip(lefts, rights, strict=True) if _mate(a, b)["condition"] == "shoulder-and-seal"
              for value in [psi(End("bspp", a.size, "stud"), None)]]
    bores = [float(size) for near, far, _ in row for each in (near, far) if (size := sixteenths(each.family, each.size)) is not None]
    return (
        _cost(start, finish, row), had, -min(rated), conditions.count("sealant"),
        sum(each not in ("", "face-seal-fitted") for each in conditions), sum(shape not in ("straight", "bushing") for _, _, shape in row),
        -round(min(bores, default=999), 1), -any(turns(each) for each in (*lefts, *rights)), sum(shape == "bushing" for _, _, shape in row),
    )


def _worth_showing(start: End, finish: End, asked: Limits) -> list[tuple[Piece, ...]]:
    """The chains of up to two parts that no other beats, dearer than the best by a part and some trouble at most."""
    by_count = {parts: [row for row in walks(start, parts) if finish in takers(row[-1][1]) and _planned(start, finish, row)
                        and not wrong(start, finish, row, asked)] for parts in (1, 2)}
    found = by_count[1] or by_count[2]
    if by_count[1]:
        cheapest = min(_cost(start, finish, row) for row in found)
        found = found + [row for row in by_count[2] if _cost(start, finish, row) <= cheapest + 1600]
    weighed = [(_respects(start, finish, row), _names(row), row) for row in found]
    kept: list[tuple[Respects, tuple[Piece, ...]]] = []
    # of chains with the same points the stronger, then the wider, is weighed first: it may beat the others
    for respects, _, row in sorted(weighed, key=lambda each: (each[0][0], each[0][2], each[0][6], each[1])):
        if not any(all(a <= b for a, b in zip(other, respects, strict=True)) for other, _ in kept):
            kept.append((respects, row))
    return [row for respects, row in kept if respects[0] <= kept[0][0][0] + 1600]


def _names(row: tuple[Piece, ...]) -> tuple[str, ...]:
    return tuple(part.id for near, far, shape in row for part in find((near, far), shape))


def test_nothing_worth_showing_is_left_out_and_nothing_else_is_shown() -> None:
    """All unbeaten chains of up to two parts by brute force; the answer tells the first, and those that gain something over it."""
    chances, several = random.Random(26), 0
    for _ in range(examples(60)):
        start, finish = _near(chances)
        asked = Limits(psi=chances.choice((None, None, 2000, 3000)), max_parts=2, fixed=chances.random() < 0.2, full_bore=chances.random() < 0.2)
        if finish in takers(start):
            continue
        told = join(start, finish, asked, best=99).chains
        rows = _worth_showing(start, finish, asked)
        worth = [chain_through(start, finish, [Used(*find((near, far), shape), near, far) for near, far, shape in row]) for row in rows]
        gain = [chain for number, chain in enumerate(worth) if number == 0 or "gains: " in _expected(chain, worth[0])]
        assert [[used.part.id for used in chain.parts] for chain in told] == [[used.part.id for used in chain.parts] for chain in gain]
        several += len(told) > 1
    assert several > examples(2)


@pytest.mark.parametrize(("start", "finish", "text"), [
    # fixed examples; sizes, ratings and conditions as the tables have them
    ("hose-8-bore", "orb-8-port", "less usual; gains: rated 1990 psi higher"),
    ("orfs-4-swivel", "jic-4-male", "gives up: narrower bore; gains: rated 500 psi higher"),
    ("jic-14-male", "npsm-1-1/4-swivel", "gives up: 1 part more; gains: need not ask whether sealant is used on the taper thread"),
    ("iso6149-M14x1.5-port", "jic-4-swivel", "gives up: 1 part more, rated 500 psi lower; gains: straighter"),
    ("orfs-16-swivel", "cone24-20S-swivel", "gives up: 1 part more, no rating in our tables, not straight; gains: wider bore"),
    ("iso9974-M20x1.5-port", "orfs-8-swivel", "gives up: harder to get; gains: need not ask whether sealant is used on the taper thread"),
])
def test_alternatives_in_words(start: str, finish: str, text: str) -> None:
    assert text in [chain.gives_up for chain in join(end_by_id(start), end_by_id(finish), best=9).chains]


def test_an_alternative_with_a_rating_beside_a_first_without() -> None:
    """No table rates ORFS -10 over a BSPP 1/2 nose with its chamfer here; the pressure of the others is then no gain and no loss."""
    first, *others = join(end_by_id("orb-5-stud-adj"), end_by_id("orfs-10-male"), best=9).chains
    assert first.rating is None
    assert {each.rating.psi for each in others if each.rating} == {3500, 4000}  # SAE J514: JIC -10 3500, a -5 stud of the 37° series 4000
    assert all("rated" not in each.gives_up and "rating" not in each.gives_up for each in others)


def test_as_many_chains_as_were_asked_for() -> None:
    ends = end_by_id("iso9974-M20x1.5-port"), end_by_id("orfs-8-swivel")
    many = join(*ends, best=9).chains
    assert len(many) >= 3
    for best in (1, 2, 3):
        assert join(*ends, best=best).chains == many[:best]
    assert join(*ends).chains == many[:3]


ENDS = end_by_id("orb-6-port"), end_by_id("jic-8-swivel")


def test_command_that_asks_the_question_again() -> None:
    asked = Limits(psi=3000, avoid=("npt", "jic"), max_parts=2, shape_from="90", shape_to="45", full_bore=True, fixed=True)
    assert command(ENDS, asked) == (
        "fittings join orb-6-port jic-8-swivel --psi 3000 --avoid npt --avoid jic --max-parts 2 --shape-from 90 --shape-to 45 --full-bore --fixed")
    assert command(ENDS, Limits(max_parts=0)).endswith(" --max-parts 0")
    assert _said(command(ENDS, asked)) == asked


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


def _eased_alone(asked: Limits, conflicts: list[Limits]) -> list[tuple[str, Limits]]:
    """The question with one limit less of those that stand in the way, and the code of the hint that would say so."""
    found = [(f"ease-{name.replace('_', '-')}", asked._replace(**{name: getattr(Limits(), name)})) for name in Limits._fields
             if name != "avoid" and any(getattr(each, name) != getattr(Limits(), name) for each in conflicts)]
    return found + [("ease-avoid", asked._replace(avoid=tuple(each for each in asked.avoid if each != family)))
                    for family in asked.avoid if any(family in each.avoid for each in conflicts)]


def _eases_what_it_says(hint: Hint, asked: Limits) -> None:
    """Only the limit that the code names is eased, and by the least: a part more, a family fewer, the pressure lowered or left out."""
    eased = _said(hint.run)
    changed = {name for name in asked._fields if getattr(eased, name) != getattr(asked, name)}
    if hint.code == "ease-all":
        assert len(changed) > 1 or len(asked.avoid) - len(eased.avoid) > 1 or (eased.psi or 0) < (asked.psi or 0)
        for name in changed - {"psi", "avoid"}:
            assert getattr(eased, name) == getattr(Limits(), name)
        assert set(eased.avoid) <= set(asked.avoid) and (eased.psi or 0) <= (asked.psi or 0)
        return
    (name,) = changed
    assert hint.code == f"ease-{name.replace('_', '-')}"
    if name == "avoid":
        (allowed,) = set(asked.avoid) - set(eased.avoid)
        assert hint.text.startswith(f"with {allowed} allowed ")
    elif name == "max_parts":
        assert eased.max_parts is not None and asked.max_parts is not None and eased.max_parts > asked.max_parts
    elif name == "psi":
        assert (eased.psi or 0) < (asked.psi or 0)
    elif name in ("fixed", "full_bore"):
        assert getattr(eased, name) is False


def test_a_refusal_names_the_smallest_sets_of_limits_and_hints_that_were_tried() -> None:
    """Each set told is refused by itself, and answered when any one of its limits is taken away; each hint has a chain."""
    chances, refused, kinds = random.Random(25), 0, set()
    while refused < examples(15):
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
        conflicts = [_limits_told(answer, some, asked) for some in answer.refused.because]
        for code, eased in _eased_alone(asked, conflicts):
            if join(start, finish, eased, best=1).chains and len(answer.refused.hints) < 4:
                assert code in [hint.code for hint in answer.refused.hints], (start.id, finish.id, asked)
        for hint in answer.refused.hints:
            kinds.add(hint.code)
            _eases_what_it_says(hint, asked)
            assert hint.run.startswith(f"fittings join {start.id} {finish.id}")
            (chain, *_) = join(start, finish, _said(hint.run), best=1).chains
            count, words = len(chain.parts), " + ".join(used.part.say for used in chain.parts)
            found = f" there is a chain of {count} part{'' if count == 1 else 's'}: {words}" if words else " they join directly"
            assert hint.text.endswith(found)
    assert len(kinds) >= 3


@pytest.mark.parametrize(("start", "finish", "asked", "code", "says"), [
    # no part at all allowed between a port and a nut that is not its own
    ("orb-8-port", "jic-8-swivel", Limits(max_parts=0), "limit-max-parts", "with up to 1 part there is a chain of 1 part: "),
    # SAE J514: the swivel nut of -8 is rated 4000 psi
    ("orb-8-port", "jic-8-swivel", Limits(psi=4500), "limit-psi", "at 4000 psi instead of 4500 psi there is a chain of 1 part: "),
    # the family that the one chain of two parts goes through; ends that are held; a bore that narrows on the way; the shape at the end
    ("iso6149-M14x1.5-port", "npt-1/4-male", Limits(avoid=("orfs", "jic"), max_parts=2), "limit-avoid", "with jic allowed there is a chain of 2 parts: "),
    ("npt-1/2-female", "orb-5-stud-adj", Limits(psi=3000, max_parts=2, fixed=True), "limit-fixed",
     "if one of the two can be turned by hand there is a chain of 2 parts: "),
    ("bsp60-1/4-swivel", "orb-3-port", Limits(avoid=("bspt",), max_parts=2, full_bore=True), "limit-full-bore", "with a narrower bore there is a chain of 2"),
    ("jic-24-tube-nut", "npt-1-1/2-male", Limits(avoid=("bspt", "orb"), max_parts=1, shape_to="90"), "limit-shape-to", "with straight at the end instead of 90° there is"),
    # JIC -4 and M12x1.5 are made in 45° alone
    ("jic-4-swivel", "iso6149-M12x1.5-port", Limits(shape_from="90", max_parts=1), "limit-shape-from", "with 45° at the start instead of 90° there is a chain of 1"),
    ("jic-8-male", "jic-8-male", Limits(shape_from="45", max_parts=1), "limit-shape-from", "with straight at the start instead of 45° there is"),
])
def test_what_a_refusal_says(start: str, finish: str, asked: Limits, code: str, says: str) -> None:
    refused = join(end_by_id(start), end_by_id(finish), asked).refused
    assert refused is not None
    (some,) = refused.because
    told = [fact.code for fact in refused.facts if fact.n in some and fact.code.startswith("limit")]
    assert code in told
    assert any(hint.text.startswith(says) for hint in refused.hints), refused.hints


METRIC = end_by_id("cone24-15L-swivel"), end_by_id("iso6149-M18x1.5-port")


@pytest.mark.parametrize(("asked_bar", "holds"), [(250, True), (250.1, False), (251, False)])
def test_a_pressure_is_held_up_to_the_figure_that_is_printed(asked_bar: float, holds: bool) -> None:
    """ISO 8434-1: 24° cone 15L, 25 MPa (250 bar, 3625.94 psi)."""
    answer = join(*METRIC, Limits(psi=asked_bar * 14.5037737797))
    assert (answer.refused is None) == holds
    assert chain_flaws(*METRIC, [Lying(used.near, used.far, used.part.shape) for used in join(*METRIC).chains[0].parts],
                       Limits(psi=asked_bar * 14.5037737797)) == [] or not holds


def test_an_end_holds_the_whole_of_its_rating_and_no_more() -> None:
    """SAE J514: a 37° swivel -6 is rated 4000 psi; what is kept of it in fractions of a psi is held too."""
    ends = end_by_id("orb-6-port"), end_by_id("jic-6-swivel")
    assert int(end_psi(ends[1])) == 4000
    assert join(*ends, Limits(psi=end_psi(ends[1]))).chains
    assert not join(*ends, Limits(psi=4000.5)).chains


def test_a_joint_is_rated_the_same_from_both_sides() -> None:
    """Pressure, and whose pressure it is: also where both ends hold the same."""
    alike = 0
    for a in all_ends():
        for b in (mouth.end for mouth in planned_partners(a)):
            assert joint_of(a, b).rating == joint_of(b, a).rating, (a.id, b.id)
            alike += end_psi(a) == end_psi(b)
    assert alike > 20


def test_what_a_joint_brings_to_a_chain() -> None:
    """A taper thread wants sealant, a pipe nose its chamfer, a face seal its ring, a 37° cone nothing (common practice, no source)."""
    told = {ends: joints_made(end_by_id(ends[0]))[end_by_id(ends[1])] for ends in (
        ("npt-1/2-male", "npt-1/2-female"), ("npt-1/2-male", "npsm-1/2-swivel"), ("jic-8-male", "jic-8-swivel"), ("orb-8-stud", "orb-8-port"))}
    assert [(made.taper, made.conditional, made.turns) for made in told.values()] == [
        (True, True, False), (False, True, True), (False, False, True), (False, False, False)]


def test_parts_with_the_same_ends_have_the_same_pressure_and_bore() -> None:
    """So that of two the search need not weigh either."""
    known: dict[frozenset[End], tuple[float, float]] = {}
    for part in all_parts():
        if len(part.ends) == 2:
            assert known.setdefault(frozenset(part.ends), (part_psi(part), part_bore(part))) == (part_psi(part), part_bore(part)), part.id


def test_a_part_that_names_threads_alone_narrows_nothing() -> None:
    (plug,) = (part for part in all_parts() if part.id == "plug:iso6149-M10x1-stud")
    assert part_bore(plug) > max(each.nominal_16ths for each in all_ends() if each.nominal_16ths is not None)


def test_kinds_of_refusal_in_words() -> None:
    """As the README has them; a plain refusal puts all its facts together against what was asked."""
    assert KINDS == ("impossible", "excluded by your limits", "not covered")
    refused = impossible(reason("limit-fixed", value="True", parts=""), reason("limit-fixed", value="True", parts=""))
    assert (refused.kind, [fact.n for fact in refused.facts], refused.because, refused.hints) == ("impossible", [1, 2], ((1, 2),), ())
    assert impossible(kind=KINDS[2]).kind == "not covered"


def test_a_refusal_speaks_in_the_unit_of_the_question() -> None:
    refused = join(*METRIC, Limits(psi=300 * 14.5037737797)).refused
    assert refused is not None
    assert refused.facts[2].text == (
        "you asked for 300 bar: 24° cone 15L female swivel is rated 250 bar (ISO 8434-1 table; also 315 bar, maker's PN, DIN 2353 practice: the lower is in use)")
    assert refused.hints[0].text.startswith("at 250 bar instead of 300 bar there is a chain of 1 part: ")
    assert refused.hints[0].run == "fittings join cone24-15L-swivel iso6149-M18x1.5-port --psi 250bar"


def test_ends_that_mate_and_do_not_turn_find_what_turns_between_them() -> None:
    """A stud in a port, both held: neither can be screwed in; a chain with a swivel can."""
    answer = join(end_by_id("orb-6-port"), end_by_id("orb-6-stud"), Limits(fixed=True))
    assert answer.chains
    for each in answer.chains:
        assert any("turns" in (joint.a.moves, joint.b.moves) for joint in each.joints)


def test_facts_of_a_refusal_in_words() -> None:
    """SAE J514: JIC -8 is rated 4000 psi; SAE J1453-3: an ORB -8 stud of the heavy series 5990 psi (41.3 MPa)."""
    refused = join(end_by_id("orb-8-port"), end_by_id("jic-8-swivel"), Limits(psi=7000, avoid=("npt",))).refused
    assert refused is not None
    assert (refused.kind, refused.because) == ("excluded by your limits", ((1, 2, 3),))
    assert [(fact.n, fact.code, fact.text) for fact in refused.facts] == [
        (1, "takes", "ORB -8 port takes: ORB -8 male stud; ORB -8 male stud, adjustable"),
        (2, "takes", "JIC -8 female swivel takes: JIC -8 male"),
        (3, "limit-psi", "you asked for 7000 psi: ORB -8 port is rated 5990 psi (ceiling: the heavy fixed stud); "
         "JIC -8 female swivel is rated 4000 psi (SAE J514 37° female swivel)"),
        (4, "limit-avoid", "you asked to avoid npt"),
    ]
    assert refused.facts[2].sources == ("j1453-3-digest-2012", "j514-pressure-reprint-1")
    (hint,) = refused.hints
    assert (hint.code, hint.run) == ("ease-psi", "fittings join orb-8-port jic-8-swivel --psi 4000 --avoid npt")


@pytest.mark.parametrize(("start", "finish"), [("orb-8-port", "npt-1/2-female"), ("npt-1/2-female", "npt-1/2-female"), ("npt-1/4-female", "npt-3/8-female")])
def test_between_held_ends_something_turns(start: str, finish: str) -> None:
    """A rigid nipple goes between loose ends; when both are held it cannot be tightened (common practice, no source)."""
    (loose, *_) = join(end_by_id(start), end_by_id(finish)).chains
    (held, *others) = join(end_by_id(start), end_by_id(finish), Limits(fixed=True), best=9).chains
    assert not any(turns(each) for joint in loose.joints for each in (joint.a, joint.b))
    for chain in (held, *others):
        assert any(turns(each) for joint in chain.joints for each in (joint.a, joint.b))
    assert held.cost > loose.cost


def test_only_the_weak_end_is_named() -> None:
    """ORB -8 carries 5990 psi, JIC -8 4000 (SAE J1453-3, J514): at 4500 only the nut is weak."""
    refused = join(end_by_id("orb-8-port"), end_by_id("jic-8-swivel"), Limits(psi=4500)).refused
    assert refused is not None
    assert refused.facts[2].text == "you asked for 4500 psi: JIC -8 female swivel is rated 4000 psi (SAE J514 37° female swivel)"
    assert refused.facts[2].sources == ("j514-pressure-reprint-1",)


@pytest.mark.parametrize(("start", "finish", "asked", "text", "run"), [
    # SAE J514: 1/2 NPT is rated 3000 psi, ORB -16 2000 psi beside JIC -16; nothing less helps
    ("orb-10-stud", "npsm-1/2-swivel", Limits(psi=4000, avoid=("bspt",), max_parts=0, full_bore=True),
     "at 3000 psi instead of 4000 psi and with more than 0 parts there is a chain of 1 part: straight, ORB -10 port × NPT 1/2 male",
     "fittings join orb-10-stud npsm-1/2-swivel --psi 3000 --avoid bspt --full-bore"),
    ("orb-20-stud-adj", "jic-16-swivel", Limits(psi=4000, avoid=("npt",), max_parts=2, shape_from="straight", shape_to="straight"),
     "at 2000 psi instead of 4000 psi and with more than 2 parts there is a chain of 3 parts: straight, ORB -20 port × "
     "ORB -16 male stud + straight, ORB -16 port × ORB -16 port + straight, ORB -16 male stud × JIC -16 male",
     "fittings join orb-20-stud-adj jic-16-swivel --psi 2000 --avoid npt --shape-from straight --shape-to straight"),
    # neither elbow can be had; the two parts and the pressure can be kept
    ("npt-1/8-male", "bspp-3/8-port", Limits(psi=2000, max_parts=2, shape_from="90", shape_to="90"),
     "with any shape at the end instead of 90° and with any shape at the start instead of 90° there is a chain of 2 parts: straight, JIC -4 "
     "female swivel × NPT 1/8 female + straight, JIC -4 male × BSPP 3/8 male stud", "fittings join npt-1/8-male bspp-3/8-port --psi 2000 --max-parts 2"),
])
def test_the_hint_of_last_resort(start: str, finish: str, asked: Limits, text: str, run: str) -> None:
    refused = join(end_by_id(start), end_by_id(finish), asked).refused
    assert refused is not None
    assert [(hint.code, hint.text, hint.run) for hint in refused.hints] == [("ease-all", text, run)]


def test_two_bushings_or_an_elbow_that_cannot_be_set_are_not_made_up() -> None:
    """3/4 to 1/2 and 1/2 to 3/8 in bushings: one will do, two never (common practice, no source)."""
    start, middle, finish = end_by_id("npt-3/4-female"), end_by_id("npt-1/2-female"), end_by_id("npt-3/8-male")

    def bushing(large: str, small: str) -> Used:
        ends = end_by_id(f"npt-{large}-male"), end_by_id(f"npt-{small}-female")
        return Used(*find(ends, "bushing"), *ends)

    assert can_be_made_up(chain_through(start, end_by_id("npt-1/2-male"), [bushing("3/4", "1/2")]), False)
    assert not can_be_made_up(chain_through(start, finish, [bushing("3/4", "1/2"), bushing("1/2", "3/8")]), False)
    assert can_be_made_up(chain_through(middle, finish, [bushing("1/2", "3/8")]), True)
    elbow = end_by_id("bsp60-1/2-male"), end_by_id("bsp60-1/2-male")
    rigid = end_by_id("bspp-1/2-port")
    assert not can_be_made_up(chain_through(rigid, rigid, [Used(*find(elbow, "90"), *elbow)]), False)
    swivel = end_by_id("bsp60-1/2-swivel")
    assert can_be_made_up(chain_through(swivel, swivel, [Used(*find(elbow, "90"), *elbow)]), True)
    assert not can_be_made_up(chain_through(rigid, swivel, [Used(*find(elbow, "90"), *elbow)]), True)


def test_an_end_that_no_chain_reaches_and_one_without_a_rating() -> None:
    refused = join(end_by_id("invflare-6-female"), end_by_id("orb-6-port")).refused
    assert refused is not None
    assert (refused.kind, refused.because, refused.hints) == ("not covered", ((1, 2, 3),), ())
    assert refused.facts[2].text == "our tables hold no chain of up to 4 parts that links inverted flare -6 female and ORB -6 port: ask at the counter"
    longer = join(end_by_id("invflare-6-female"), end_by_id("orb-6-port"), Limits(max_parts=5)).refused
    assert longer is not None and "of up to 5 parts" in longer.facts[2].text
    twice = join(end_by_id("invflare-6-female"), end_by_id("invflare-6-female")).refused
    assert twice is not None and [fact.code for fact in twice.facts] == ["takes", "no-link"]
    unrated = end_by_id("bspt-1/2-male")  # no table that we hold rates R threads
    assert psi(unrated, None) is None
    told = join(unrated, end_by_id("jic-8-swivel"), Limits(psi=1000)).refused
    assert told is not None
    assert f"our tables hold no rating for {unrated.say}" in " ".join(fact.text for fact in told.facts)


@pytest.mark.parametrize(("size", "far", "psi"), [("-8", "jic-8-swivel", 4000), ("-8", "orfs-8-swivel", 9137), ("-16", "jic-16-swivel", 2500)])
def test_a_hose_end_is_worth_what_its_thread_holds(size: str, far: str, psi: int) -> None:
    """SAE J514: 37° swivel -8 4000 psi, -16 2500; SAE J1453-3: face seal -8 63 MPa. The crimp is rated by the hose."""
    tail = end_by_id(f"hose-{size[1:]}-tail")
    (part,) = find((tail, end_by_id(far)), "straight")
    assert int(part_psi(part)) == psi


def test_a_limit_on_parts_says_nothing_of_elbows() -> None:
    refused = join(end_by_id("orb-8-port"), end_by_id("bspp-3/8-port"), Limits(max_parts=0, fixed=True)).refused
    assert refused is not None
    assert "elbow-at-port" not in [fact.code for fact in refused.facts]
    straight = join(end_by_id("orb-8-stud-adj"), end_by_id("bspp-3/8-port"), Limits(shape_from="straight", shape_to="straight", max_parts=0)).refused
    assert straight is not None and "elbow-at-port" not in [fact.code for fact in straight.facts]


EVERY_FAMILY = tuple(sorted({each.family for each in all_ends()}))


def _avoided(of: Answer) -> list[str]:
    return [] if of.refused is None else [fact.text.removeprefix("you asked to avoid ") for fact in of.refused.facts if fact.code == "limit-avoid"]


# Once refused without a word of why: six or more families count, or only with the pressure.
@pytest.mark.parametrize(("start", "finish", "psi"), [
    ("hose-10-bore", "cone24-10S-swivel", None), ("npt-3/4-female", "bspp-3/8-port", None), ("jic-8-swivel", "hose-20-bore", 3000),
    ("orfs-12-swivel", "bspp-1/2-port", 4500), ("iso7241b-3/4-body", "iso7241b-3/4-body", 3000), ("hose-16-bore", "hose-24-bore", 3000)])
def test_with_every_family_avoided_the_reasons_are_those_that_leave_no_chain(start: str, finish: str, psi: int | None) -> None:
    ends = end_by_id(start), end_by_id(finish)
    answer = join(*ends, Limits(psi=psi, avoid=EVERY_FAMILY))
    assert answer.refused is not None and answer.refused.because
    for some in answer.refused.because:
        said = [fact for fact in answer.refused.facts if fact.n in some]
        avoid = tuple(fact.text.removeprefix("you asked to avoid ") for fact in said if fact.code == "limit-avoid")
        told = Limits(psi=psi if any(fact.code == "limit-psi" for fact in said) else None, avoid=avoid)
        assert told != Limits() and not join(*ends, told, best=1).chains


def test_of_more_than_eight_limits_only_the_families_that_count_are_told() -> None:
    """A quick coupler is brought in by no one: of nine families to be avoided it is not told, of eight it is."""
    ends = end_by_id("npt-3/4-female"), end_by_id("bspp-3/8-port")
    eight = ("iso7241a", "jic", "bspp", "npt", "bsp60", "orb", "orfs", "cone24")
    assert _avoided(join(*ends, Limits(avoid=eight))) == list(eight)
    assert "iso7241a" not in _avoided(join(*ends, Limits(psi=4500, avoid=eight)))
    counted = _avoided(join(*ends, Limits(avoid=EVERY_FAMILY)))
    assert {"jic", "npt", "bspp"} <= set(counted) and not {"iso7241a", "iso7241b", "iso16028"} & set(counted)


@pytest.mark.parametrize(("start", "finish"), [("orb-8-port", "orb-10-port"), ("orb-12-port", "orb-6-port"), ("hose-8-bore", "bspp-1/2-port"),
                                               ("npt-1/2-female", "orfs-8-swivel"), ("orb-8-port", "jic-8-swivel")])
def test_a_chain_turned_round_is_the_same_chain(start: str, finish: str) -> None:
    for chain in join(end_by_id(start), end_by_id(finish), best=9).chains:
        turned = chain.turned
        assert (turned.start, turned.finish, turned.rating, turned.cost) == (chain.finish, chain.start, chain.rating, chain.cost)
        assert [(each.b, each.a) for each in reversed(turned.joints)] == [(each.a, each.b) for each in chain.joints]
        assert [(used.far, used.near) for used in reversed(turned.parts)] == [(used.near, used.far) for used in chain.parts]
        assert turned.joints[turned.weakest].rating == turned.rating == min((each.rating for each in turned.joints if each.rating), key=lambda of: of.psi)
        assert turned.turned == chain


def test_no_elbow_that_stops_where_it_is_tight_is_offered_at_a_port() -> None:
    """Every elbow of one part between core ends that the oracle calls one that cannot be pointed, asked for by its shape."""
    stuck = [(start, finish, row) for start in CORE_ENDS for row in walks(start, 1) if row[0][2] in ("45", "90")
             for finish in takers(row[0][1]) if ("elbow", "1") in wrong(start, finish, row, Limits())]
    assert len(stuck) > 300 and any(finish.held for _, finish, _ in stuck) and any(start.held for start, _, _ in stuck)
    for start, finish, row in stuck:
        for chain in join(start, finish, Limits(max_parts=1, shape_from=row[0][2]), best=9).chains:
            assert [(used.near, used.far, used.part.shape) for used in chain.parts] != list(row), (start.id, finish.id)


def test_of_chains_alike_the_stronger_comes_first() -> None:
    """ORB -8 to ORB -10 over a 37° pair: of -8 it carries 3500 psi (the ORB -10 stud, SAE J514), of -10 3000 (the -10 swivel)."""
    first, *_ = join(end_by_id("orb-8-port"), end_by_id("orb-10-port")).chains
    assert first.rating is not None and first.rating.psi == 3500


@pytest.mark.parametrize("fixed", [False, True])
def test_what_can_be_made_up_is_what_the_second_opinion_says(fixed: bool) -> None:
    """Elbows and bushings of chains of one and two parts, as `fittings.check` judges them without this code."""
    seen = Counter[bool]()
    for number, start in enumerate(CORE_ENDS):
        for parts in (1, 2):
            for row in list(walks(start, parts))[number % 11::11 * parts]:
                finish = next(iter(takers(row[-1][1])))
                used = [Used(find((near, far), shape)[0], near, far) for near, far, shape in row]
                flaws = {each.code for each in chain_flaws(start, finish, [Lying(*piece) for piece in row], Limits(fixed=fixed))}
                stands = not flaws & {"elbow-cannot-be-set", "two-bushings", "joint-never"}
                assert can_be_made_up(chain_through(start, finish, used), fixed) == stands, (start.id, finish.id, row)
                seen[stands] += 1
    assert min(seen.values()) > 50
