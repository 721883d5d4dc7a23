"""Three and four ends: the smallest tree, judged joint by joint."""

import random
import re

import pytest
from budget import examples

from fittings.chain import end_psi, joints_made, part_psi
from fittings.check import Piece, chain_flaws
from fittings.ends import all_ends, end_by_id
from fittings.limits import Limits
from fittings.reports.text import tree_text
from fittings.search import options
from fittings.tree import _begun, join_all, legs, tree_rating, why_no_tree

ASKED = [
    # common practice, no source: a branch tee takes both hoses, its stud goes into the port
    (("orb-6-port", "jic-6-swivel", "jic-6-swivel"), ["branch tee, JIC -6 male × JIC -6 male × ORB -6 male stud, adjustable"]),
    (("jic-8-swivel", "jic-8-swivel", "jic-8-swivel"), ["tee, JIC -8 male × JIC -8 male × JIC -8 male"]),
    (("npt-1/2-male", "npt-1/2-male", "npt-1/2-male"), ["tee, NPT 1/2 female × NPT 1/2 female × NPT 1/2 female"]),
]


@pytest.mark.parametrize(("ends", "bodies"), ASKED)
def test_what_a_counter_sells(ends: tuple[str, ...], bodies: list[str]) -> None:
    tree = join_all(tuple(end_by_id(each) for each in ends))
    assert tree is not None
    assert [body.say for body in tree.bodies] == bodies


CORE = ("orb", "jic", "orfs", "npt", "npsm", "bspp", "bsp60", "bspt", "iso6149", "iso9974", "cone24")

QUESTIONS = [
    ("orb-8-port", "jic-6-swivel", "jic-6-swivel"), ("orb-8-port", "bspp-3/8-port", "orfs-6-swivel"),
    ("npt-1/2-female", "jic-8-swivel", "orb-6-port"), ("jic-6-swivel", "jic-6-swivel", "jic-6-swivel", "orb-6-port"),
    ("cone24-12S-male", "cone24-12S-male", "cone24-12S-swivel"),
]


@pytest.mark.parametrize("ends", QUESTIONS, ids=" ".join)
def test_every_leg_stands_and_every_end_is_reached(ends: tuple[str, ...]) -> None:
    asked = [end_by_id(each) for each in ends]
    tree = join_all(tuple(asked), Limits(psi=2000))
    assert tree is not None
    assert 1 <= len(tree.bodies) <= len(asked) - 2
    mouths = [each for body in tree.bodies for each in body.ends]
    touched = [each for chain in tree.chains for each in (chain.start, chain.finish)]
    assert sorted(touched) == sorted([*mouths, *asked])
    for chain in tree.chains:
        pieces = [Piece(used.near, used.far, used.part.shape) for used in chain.parts]
        assert chain_flaws(chain.start, chain.finish, pieces) == []
    rated = tree_rating(tree)
    assert rated is not None
    assert rated.psi >= 2000


def test_too_much_pressure_has_no_tree() -> None:
    """SAE J514: a 37° swivel -6 is rated 4000 psi."""
    ends = tuple(end_by_id(each) for each in ("orb-6-port", "jic-6-swivel", "jic-6-swivel"))
    assert join_all(ends, Limits(psi=4000)) is not None
    assert join_all(ends, Limits(psi=4001)) is None
    refused = why_no_tree(ends, Limits(psi=4001))
    assert refused.kind == "excluded by your limits"
    assert "JIC -6 female swivel is rated 4000 psi" in refused.facts[-1].text
    assert refused.hints[0].text.startswith("at 4000 psi instead of 4001 psi there is a tree with branch tee, JIC -6 male")
    assert refused.hints[0].run == "fittings join orb-6-port jic-6-swivel jic-6-swivel --psi 4000"


def test_a_tee_holds_the_whole_of_its_rating() -> None:
    """SAE J514: an adjustable ORB -6 stud of the 37° series holds 4000 psi, no more than the swivel nuts: the tee with it is still the one."""
    ends = tuple(end_by_id(each) for each in ("orb-6-port", "jic-6-swivel", "jic-6-swivel"))
    tree = join_all(ends, Limits(psi=end_psi(ends[1])))
    assert tree is not None
    assert [(body.id, int(part_psi(body))) for body in tree.bodies] == [("tee-branch:jic-6-male+jic-6-male+orb-6-stud-adj", 4000)]


def test_an_elbow_waits_until_a_joint_behind_it_can_be_set() -> None:
    """BSP 60° swivel, 90°, BSPP stud: screwed home into a port it stops where it stops; behind that a 37° nut can be set."""
    def put(of, near: str, far: str, shape: str):  # type: ignore[no-untyped-def]
        (option,) = [each for each in options(end_by_id(near)) if (each.used.far.id, each.used.part.shape) == (far, shape)]
        return of.after(option, joints_made(of.end)[end_by_id(near)])

    elbow = put(_begun(end_by_id("bsp60-1/4-male")), "bsp60-1/4-swivel", "bspp-1/4-stud", "90")
    home = put(elbow, "bspp-1/4-port", "jic-6-swivel", "straight")
    behind_a_nut = put(home, "jic-6-male", "orb-6-stud", "straight")
    assert (elbow.waits, home.waits, behind_a_nut.waits) == (True, True, False)
    port = end_by_id("orb-6-port")
    assert behind_a_nut.closes(port, joints_made(behind_a_nut.end)[port])
    assert not home._replace(end=behind_a_nut.end).closes(port, joints_made(behind_a_nut.end)[port])


def test_an_open_end_allows_what_a_worse_one_allows_and_not_the_reverse() -> None:
    """Worse: no elbow could be pointed, no joint can be set, an elbow waits, a bushing is used, a shoulder is missing."""
    good = _begun(end_by_id("jic-6-swivel"))._replace(points=True, sets=True)
    for worse in (good._replace(points=False), good._replace(sets=False), good._replace(waits=True), good._replace(bushing=True),
                  good._replace(lacks=frozenset({"shoulder-and-seal"}))):
        assert good.allows(good) and good.allows(worse) and not worse.allows(good), worse


@pytest.mark.parametrize("size", ["1/4", "1/2", "3/4", "1"])
def test_a_forged_leg_is_never_wound_into_a_port(size: str) -> None:
    """A coned BSP leg of a tee has no shoulder for a bonded seal (common practice, no source)."""
    tree = join_all((end_by_id(f"bspp-{size}-port"),) * 3)
    assert tree is not None
    for leg in legs(tree):
        first = leg.chain.joints[0]
        assert (first.a.family, first.b.form) != ("bsp60", "port"), leg.chain


def test_what_no_tee_of_our_tables_joins_is_not_covered() -> None:
    refused = why_no_tree(tuple(end_by_id(each) for each in ("code62-32-pad", "sae45-2-male", "jic-6-swivel")), Limits())
    assert (refused.kind, refused.facts[-1].code, refused.hints) == ("not covered", "no-tree", ())


@pytest.mark.parametrize("ends", [("orb-8-port", "orfs-8-swivel", "orfs-8-swivel"), ("orb-8-port", "orb-8-port", "orb-8-port"),
                                  ("orb-16-port", "orb-16-port", "orfs-16-swivel")], ids=" ".join)
@pytest.mark.parametrize("psi", [2600, 3000, 4200, 5000])
def test_a_tree_is_never_told_below_what_was_asked(ends: tuple[str, ...], psi: int) -> None:
    """SAE J1453-3 digest: the stud of a face-seal tee is of the heavy series, and the tee is found and told by the same figure."""
    tree = join_all(tuple(end_by_id(each) for each in ends), Limits(psi=psi))
    rated = tree_rating(tree) if tree else None
    assert tree is None or (rated is not None and rated.psi >= psi)
    assert tree is not None or psi > 3000


@pytest.mark.parametrize("count", [1, 2, 5])
def test_only_three_or_four(count: int) -> None:
    with pytest.raises(ValueError, match="three or four"):
        join_all((end_by_id("jic-6-swivel"),) * count)


# Each of these had a leg with two bushings, or with an elbow that stops where it is tight.
ONCE_WRONG = [
    ("bspp-1-1/4-stud-adj", "orb-8-port", "bspp-3/8-port"), ("npsm-1-1/4-swivel", "npt-1/2-female", "bsp60-3/8-male"),
    ("cone24-6S-swivel", "bsp60-1-1/4-swivel", "bsp60-1-swivel"), ("npt-1-male", "npsm-3/4-swivel", "bspp-1/8-stud"),
]


def _any_ends(chances: random.Random) -> tuple[str, ...]:
    core = [each.id for each in all_ends() if each.family in CORE]
    return tuple(chances.choice(core) for _ in range(chances.choice((3, 3, 3, 4))))


@pytest.mark.parametrize("ends", [*ONCE_WRONG, *(_any_ends(random.Random(seed)) for seed in range(examples(120)))], ids=" ".join)
def test_no_tree_that_the_second_opinion_refuses(ends: tuple[str, ...]) -> None:
    tree = join_all(tuple(end_by_id(each) for each in ends))
    for chain in tree.chains if tree else ():
        pieces = [Piece(used.near, used.far, used.part.shape) for used in chain.parts]
        assert chain_flaws(chain.start, chain.finish, pieces) == []


@pytest.mark.parametrize("ends", QUESTIONS, ids=" ".join)
def test_every_leg_is_told_outward_from_the_tee_that_it_hangs_on(ends: tuple[str, ...]) -> None:
    """Each end of a tee begins a leg or takes one, and every end that was asked for is where a leg ends."""
    asked = [end_by_id(each) for each in ends]
    tree = join_all(tuple(asked))
    assert tree is not None
    told = legs(tree)
    assert sorted(leg.chain.finish for leg in told if leg.leads_to is None) == sorted(asked)
    for number, body in enumerate(tree.bodies):
        here = [leg.chain.start for leg in told if leg.hangs_on == number]
        here += [leg.chain.finish for leg in told if leg.leads_to == number]
        assert sorted(here) == sorted(body.ends)
    assert [leg.hangs_on for leg in told] == sorted(leg.hangs_on for leg in told)
    assert {leg.leads_to for leg in told} - {None} == set(range(1, len(tree.bodies)))


def test_each_leg_says_whether_it_is_on_the_run_or_on_the_branch() -> None:
    """Of a run tee the odd end is on the run, of a branch tee it is the branch (data/parts/shapes.csv)."""
    ends = tuple(end_by_id(each) for each in ("jic-8-swivel", "jic-8-swivel", "jic-8-male"))
    tree = join_all(ends)
    assert tree is not None and [body.shape for body in tree.bodies] in (["tee-run"], ["tee-branch"])
    said = re.findall(r"^from tee 1, its (run|branch)$", tree_text(ends, tree, None, Limits()), re.MULTILINE)
    assert sorted(said) == ["branch", "run", "run"]
    odd = [leg.chain.finish.form for leg in legs(tree)].index("male")
    assert said[odd] == {"tee-run": "run", "tee-branch": "branch"}[tree.bodies[0].shape]
