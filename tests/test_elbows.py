"""An elbow must be able to be pointed where it must go: what may be offered at a port, which stands still.

A stud that seals on its shoulder and a cone stop where they are tight; an adjustable stud, a nut, a flange and a taper
thread can be set (common practice, no source; the rule is written apart in `chain_oracle.cannot_be_pointed`).
"""

import random
from itertools import pairwise

import pytest
from budget import examples
from chain_oracle import can_be_set, wrong
from walks import CORE, any_walk, judged, takers

from fittings.cautions import elbow_on_taper
from fittings.chain import Chain
from fittings.check import Piece, chain_flaws
from fittings.ends import End, all_ends, end_by_id
from fittings.limits import Limits
from fittings.planner import join
from fittings.reports.text import answer_text

ELBOWS = ("45", "90")


def _row(chain: Chain) -> tuple[tuple[End, End, str], ...]:
    return tuple((used.near, used.far, used.part.shape) for used in chain.parts)


ASKED = [
    # what was met at a bench: the first of these was once answered with a coned elbow screwed into the port
    ("bspp-1/2-port", "bsp60-1/2-swivel", Limits(shape_from="90"), "bspp-1/2-stud-adj"),
    ("bspp-3/8-port", "jic-6-swivel", Limits(shape_from="90"), "bspp-3/8-stud-adj"),
    ("bspp-3/8-port", "bspp-3/8-port", Limits(shape_from="90", shape_to="90", fixed=True), "bspp-3/8-stud-adj"),
    ("orb-8-port", "jic-8-swivel", Limits(shape_from="45"), "orb-8-stud-adj"),
    ("iso6149-M18x1.5-port", "jic-8-swivel", Limits(shape_from="90"), "iso6149-M18x1.5-stud-adj"),
    ("npt-1/2-female", "jic-8-swivel", Limits(shape_from="90"), "npt-1/2-male"),
    ("code61-16-pad", "jic-16-swivel", Limits(shape_from="90"), "code61-16-head"),
]


@pytest.mark.parametrize(("start", "finish", "asked", "near"), ASKED)
def test_an_elbow_goes_into_a_port_by_what_can_be_set(start: str, finish: str, asked: Limits, near: str) -> None:
    chains = join(end_by_id(start), end_by_id(finish), asked, best=9).chains
    assert chains[0].parts[0].near.id == near
    for chain in chains:
        assert wrong(chain.start, chain.finish, _row(chain), asked) == set()
        assert can_be_set(chain.parts[0].near)
        if asked.shape_to:
            assert can_be_set(chain.parts[-1].far) or can_be_set(chain.finish)


def test_no_elbow_is_offered_above_what_an_adjustable_stud_is_rated_for() -> None:
    """No table that we hold rates the adjustable BSPP stud, so that nothing is proved at 3700 psi; the refusal says why."""
    refused = join(end_by_id("bspp-3/8-port"), end_by_id("jic-6-swivel"), Limits(psi=3700, shape_from="90")).refused
    assert refused is not None
    told = {fact.n: fact.code for fact in refused.facts}
    assert [{told[n] for n in some} for some in refused.because] == [{"takes", "limit-psi", "limit-shape-from", "elbow-at-port"}]


STUCK = [
    ("bspp-1/2-port", "bsp60-1/2-swivel", ("bsp60-1/2-male", "bsp60-1/2-male"), False, ["part 1"]),
    ("bsp60-1/2-swivel", "bspp-1/2-port", ("bsp60-1/2-male", "bsp60-1/2-male"), False, ["part 1"]),
    ("bspp-3/8-port", "jic-6-swivel", ("bspp-3/8-stud", "jic-6-male"), False, ["part 1"]),
    ("bspp-3/8-port", "jic-6-swivel", ("bspp-3/8-stud-adj", "jic-6-male"), False, []),
    # the port of a part that lies loose is turned with its part, a held one is not
    ("orb-6-stud", "jic-6-swivel", ("orb-6-port", "jic-6-male"), False, []),
    ("orb-6-stud", "jic-6-swivel", ("orb-6-port", "jic-6-male"), True, ["part 1"]),
]


@pytest.mark.parametrize(("start", "finish", "elbow", "fixed", "where"), STUCK)
def test_the_second_opinion_sees_an_elbow_that_stops_where_it_stops(
        start: str, finish: str, elbow: tuple[str, str], fixed: bool, where: list[str]) -> None:
    pieces = [Piece(end_by_id(elbow[0]), end_by_id(elbow[1]), "90")]
    flaws = chain_flaws(end_by_id(start), end_by_id(finish), pieces, Limits(fixed=fixed))
    assert [flaw.where for flaw in flaws if flaw.code == "elbow-cannot-be-set"] == where


def test_elbows_behind_a_nut_or_in_front_of_one() -> None:
    """A rigid adapter in the port and the elbow's nut on it can be pointed; the elbow in front of that nut cannot."""
    start, finish = end_by_id("bspp-3/8-port"), end_by_id("jic-6-male")
    ends = [end_by_id(each) for each in ("bspp-3/8-stud", "jic-6-male", "jic-6-swivel", "jic-6-swivel")]
    for shapes, stuck in ((("straight", "90"), False), (("90", "straight"), True)):
        pieces = [Piece(near, far, shape) for (near, far), shape in zip(list(pairwise(ends))[::2], shapes, strict=True)]
        codes = [flaw.code for flaw in chain_flaws(start, finish, pieces)]
        assert ("elbow-cannot-be-set" in codes) == stuck


def test_elbows_of_any_walk_judged_twice() -> None:
    """Rows of parts at random from a port: the second opinion and the oracle agree on every elbow."""
    chances, elbows, stuck = random.Random(31), 0, 0
    ports = [each for each in all_ends() if each.form == "port" and each.family in CORE]
    for _ in range(examples(1500)):
        start, count = chances.choice(ports), chances.choice((1, 2, 3))
        row = any_walk(chances, start, count)
        if not row or not any(shape in ELBOWS for _, _, shape in row) or not takers(row[-1][1]):
            continue
        asked = Limits(fixed=chances.random() < 0.5)
        ours, theirs = judged(start, chances.choice(takers(row[-1][1])), row, asked)
        assert ours == theirs
        elbows, stuck = elbows + 1, stuck + any(what == "elbow" for what, _ in ours)
    assert elbows > examples(200) and stuck > examples(15)


def test_a_taper_thread_is_turned_on_and_never_back() -> None:
    """Said where an elbow stands on a taper thread, and nowhere else."""
    for start, said in (("npt-1/2-female", True), ("orb-8-port", False)):
        for shape in ("90", "straight"):
            answer = join(end_by_id(start), end_by_id("jic-8-swivel"), Limits(shape_from=shape), best=1)
            text = " ".join(answer_text(answer).replace("|", " ").split())
            assert (elbow_on_taper() in text) == (said and shape == "90")
    assert "never back" in elbow_on_taper()
