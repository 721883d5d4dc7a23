"""Chains: against networkx on the same graph, against the second opinion, and against what a counter would say."""

import random
from functools import cache
from itertools import combinations

import networkx
import pytest
from budget import examples
from chain_oracle import can_be_set
from hypothesis import given, settings
from hypothesis import strategies as st

import fittings
from fittings.chain import Chain
from fittings.check import Piece, chain_flaws
from fittings.drawing.chain import chain_svg
from fittings.ends import End, all_ends, end_by_id
from fittings.limits import USUAL_MOST, Limits
from fittings.network import joint_cost, planned_partners, steps
from fittings.planner import join
from fittings.reports.text import answer_text

CORE = ("orb", "jic", "orfs", "npt", "npsm", "bspp", "bsp60", "bspt", "iso6149")
CORE_ENDS = tuple(each for each in all_ends() if each.family in CORE)



def _flaws(chain: Chain, limits: Limits) -> list[str]:
    pieces = [Piece(used.near, used.far, used.part.shape) for used in chain.parts]
    return [flaw.code for flaw in chain_flaws(chain.start, chain.finish, pieces, limits)]


@cache
def _graph() -> "networkx.MultiDiGraph[End]":
    return fittings.graph()


def test_graph_edges_are_the_steps() -> None:
    graph = _graph()
    assert set(graph.nodes) == set(all_ends())
    for each in all_ends():
        made = {(step.opens, step.part.id, step.meets.id) for step in steps(each)}
        assert {(far, *key) for _, far, key in graph.out_edges(each, keys=True)} == made




Open = tuple[End, bool, bool, frozenset[str]]
"""An open end; whether a joint before it can be set to an angle; whether an elbow waits for such a joint behind it; what its part
never has there."""


@cache
def _plain(held: bool) -> "networkx.DiGraph[Open]":
    """`held`: the start is a port, which stands still: every elbow needs a joint on its way back that can be set."""
    plain: networkx.DiGraph[Open] = networkx.DiGraph()
    opened: dict[End, set[frozenset[str]]] = {each: {frozenset()} for each in all_ends()}
    for _, y, data in _graph().edges(data=True):
        opened[y].add(data["lacks"])
    for each, lacking in opened.items():
        plain.add_nodes_from((each, sets, waits, never) for sets in (False, True) for waits in (False, True) for never in lacking)
    for x, y, data in _graph().edges(data=True):
        cost, shape = data["cost"], data["part"].shape
        if shape == "coupler":
            continue  # couplers come in only where an end that was asked for is one
        loose, elbow = can_be_set(x) or can_be_set(data["meets"]), shape.endswith(("45", "90"))
        for sets in (False, True):
            for waits in (False, True):
                if held and elbow and not (loose or sets):
                    continue
                for never in opened[x]:
                    before, after = (x, sets, waits, never), (y, sets or loose, elbow or (waits and not loose), data["lacks"])
                    if data["condition"] not in never and (not plain.has_edge(before, after) or plain[before][after]["cost"] > cost):
                        plain.add_edge(before, after, cost=cost, shape=shape)
    return plain


def _costs_on(plain: "networkx.DiGraph[Open]", start: End) -> dict[End, tuple[int, list[Open]]]:
    """Cheapest points from `start` to every end, final joint included, and the ends that are open on the way."""
    dist, paths = networkx.single_source_dijkstra(plain, (start, False, False, frozenset()), weight="cost")
    best: dict[End, tuple[int, list[Open]]] = {}
    for (open_end, sets, waits, never), cost in dist.items():
        for mouth in planned_partners(open_end):
            whole = cost + joint_cost(mouth.condition)
            loose = can_be_set(open_end) or can_be_set(mouth.end)
            if waits and not loose and (mouth.end.form == "port" or not sets):
                continue  # an elbow that nothing lets be pointed
            if mouth.condition in never:
                continue  # no shoulder or no chamfer on that part
            if mouth.end not in best or whole < best[mouth.end][0]:
                best[mouth.end] = whole, paths[open_end, sets, waits, never]
    return best


def _two_bushings(path: list[Open], held: bool) -> bool:
    """Whether the shortest path cannot be had without a second bushing, which no fitter stacks."""
    plain = _plain(held)
    return sum(plain[x][y]["shape"] == "bushing" for x, y in zip(path, path[1:], strict=False)) > 1


@pytest.mark.parametrize("start", CORE_ENDS, ids=lambda each: each.id)
def test_best_chain_is_the_shortest_path_of_networkx(start: End) -> None:
    """All pairs of ends in the core families: the same points, unless the path is a stack that the rules forbid.

    Each pair is asked one way round; that the other way costs the same is a law of its own below.
    """
    held = start.form == "port"
    costs = _costs_on(_plain(held), start)
    for finish in CORE_ENDS[CORE_ENDS.index(start):]:
        answer = join(start, finish, best=1)
        if finish not in costs:
            assert answer.chains == ()
            continue
        cost, path = costs[finish]
        forbidden = len(path) - 1 > USUAL_MOST or _two_bushings(path, held)
        if forbidden:
            assert all(chain.cost >= cost for chain in answer.chains)
        else:
            assert answer.chains[0].cost == cost, (start.id, finish.id)
            assert _flaws(answer.chains[0], Limits()) == []


COUNTER = [
    # what a counter hands over; common practice, no source
    ("orb-6-port", "jic-6-swivel", {}, ["straight, ORB -6 male stud × JIC -6 male"]),
    ("orb-6-port", "jic-8-swivel", {"psi": 3000}, ["straight, ORB -6 male stud × JIC -8 male"]),
    ("npt-1/2-male", "npt-1/2-male", {}, ["straight, NPT 1/2 female × NPT 1/2 female"]),
    ("jic-8-swivel", "jic-8-swivel", {}, ["straight, JIC -8 male × JIC -8 male"]),
    ("jic-8-male", "jic-8-swivel", {}, []),
    ("npt-1/2-male", "npsm-1/2-swivel", {}, []),
    ("orb-6-port", "jic-6-swivel", {"shape_from": "90"}, ["90°, ORB -6 male stud, adjustable × JIC -6 male"]),
    ("npt-3/8-female", "jic-6-swivel", {"avoid": ("npt",)}, ["straight, JIC -6 male × NPT 3/8 male"]),
    ("bspp-3/8-port", "jic-8-swivel", {"psi": 2750}, ["straight, JIC -8 male × BSPP 3/8 male stud"]),
    ("iso6149-M18x1.5-port", "jic-8-swivel", {"psi": 3000}, ["straight, JIC -8 male × ISO 6149 M18x1.5 male stud"]),
    ("code61-16-pad", "jic-16-swivel", {"psi": 2500}, ["straight, JIC -16 male × code 61 -16 flange head"]),
    ("npt-1/2-female", "npt-3/8-male", {}, ["bushing, NPT 3/8 female × NPT 1/2 male"]),
    ("cone24-15L-swivel", "cone24-12L-swivel", {}, ["straight, 24° cone 15L male × 24° cone 12L male"]),
    ("iso6149-M18x1.5-port", "cone24-12L-swivel", {}, ["straight, ISO 6149 M18x1.5 male stud × 24° cone 12L male"]),
    # the hose end of the trade: BSP on a BSP port, 37° on an inch port, 24° on a metric one
    ("hose-8-bore", "bspp-1/2-port", {}, ["hose end, straight, hose -8 hose tail × BSP 60° cone 1/2 female swivel, 60° cone",
                                          "straight, BSPP 1/2 male stud × BSP 60° cone 1/2 male, 60° cone"]),
    ("hose-8-bore", "orb-8-port", {}, ["hose end, straight, hose -8 hose tail × JIC -8 female swivel", "straight, ORB -8 male stud × JIC -8 male"]),
    ("hose-8-bore", "iso9974-M22x1.5-port", {}, ["hose end, straight, hose -8 hose tail × 24° cone 16S female swivel",
                                                 "straight, ISO 9974 M22x1.5 male stud × 24° cone 16S male"]),
]


@pytest.mark.parametrize(("start", "finish", "limits", "parts"), COUNTER)
def test_classic_questions(start: str, finish: str, limits: dict[str, object], parts: list[str]) -> None:
    kept = Limits(**limits)  # type: ignore[arg-type]
    (chain, *_) = join(end_by_id(start), end_by_id(finish), kept).chains
    assert [used.part.say for used in chain.parts] == parts
    assert _flaws(chain, kept) == []


def test_a_coned_male_is_offered_no_higher_than_the_stud_it_stands_for() -> None:
    """G3/4 stud, light series: 16 MPa, 2320 psi; its cone would be called 25 (both from memory)."""
    coned, port = end_by_id("bsp60-3/4-male"), end_by_id("bspp-3/4-port")
    (direct,) = join(coned, port).chains
    assert direct.parts == () and direct.rating is not None and direct.rating.psi == 2320
    assert join(coned, port, Limits(psi=2320)).chains[0].parts == ()
    for chain in join(coned, port, Limits(psi=2400)).chains:
        assert chain.parts and chain.rating is not None and chain.rating.psi >= 2400
    assert "rating-below" in _flaws(direct, Limits(psi=2400))


@pytest.mark.parametrize(("start", "finish"), [("iso6149-M16x1.5-port", "bsp60-3/8-swivel"), ("iso9974-M22x1.5-port", "bsp60-1/2-swivel"),
                                               ("cone24-12L-swivel", "bsp60-3/8-swivel")])
def test_the_stud_of_a_24_degree_coupling_never_goes_into_a_bsp_swivel(start: str, finish: str) -> None:
    """Forms B and E are bored plain (common practice, no source)."""
    chains = join(end_by_id(start), end_by_id(finish), best=9).chains
    assert chains
    for chain in chains:
        assert not any(used.far.family == "bspp" and used.near.family == "cone24" and joint.b.family == "bsp60"
                       for used, joint in zip(chain.parts, chain.joints[1:], strict=True))


REFUSED = [
    # a refusal names what stands against it
    ("orb-8-port", "jic-8-swivel", {"psi": 6000}, "excluded by your limits", [("limit-psi",)]),
    ("npt-1/2-male", "npt-1/2-male", {"fixed": True}, "excluded by your limits", None),
    ("orfs-8-swivel", "jic-8-swivel", {"max_parts": 0}, "excluded by your limits", None),
    ("invflare-6-female", "orb-6-port", {}, "not covered", None),
]


@pytest.mark.parametrize(("start", "finish", "limits", "kind", "codes"), REFUSED)
def test_refusals(start: str, finish: str, limits: dict[str, object], kind: str, codes: list[tuple[str, ...]] | None) -> None:
    kept = Limits(**limits)  # type: ignore[arg-type]
    answer = join(end_by_id(start), end_by_id(finish), kept)
    if answer.refused is None:
        assert kept.fixed
        assert all("turns" in (joint.a.moves, joint.b.moves) for chain in answer.chains for joint in chain.joints
                   if joint.condition is None)
        return
    assert answer.refused.kind == kind
    by_number = {fact.n: fact.code for fact in answer.refused.facts}
    if codes is not None:
        told = [tuple(by_number[n] for n in some if by_number[n].startswith("limit")) for some in answer.refused.because]
        assert told == codes
    for hint in answer.refused.hints:
        assert hint.run.startswith("fittings join ")


@settings(max_examples=examples(60), deadline=None)
@given(st.sampled_from(CORE_ENDS), st.sampled_from(CORE_ENDS), st.sampled_from([None, 1000, 2500, 3000, 4000, 5000]),
       st.lists(st.sampled_from(["npt", "bspt", "jic"]), max_size=2, unique=True), st.booleans(), st.booleans())
def test_laws_of_chains(start: End, finish: End, psi: int | None, avoid: list[str], full_bore: bool, fixed: bool) -> None:
    limits = Limits(psi=psi, avoid=tuple(avoid), full_bore=full_bore, fixed=fixed)
    answer = join(start, finish, limits)
    assert bool(answer.chains) != (answer.refused is not None)
    for chain in answer.chains:
        assert _flaws(chain, limits) == []  # every chain passes the second opinion
    turned = join(finish, start, limits)
    assert [chain.cost for chain in turned.chains[:1]] == [chain.cost for chain in answer.chains[:1]]
    if psi is not None and answer.chains:
        eased = join(start, finish, limits._replace(psi=psi - 500))
        assert eased.chains  # lowering the pressure never loses an answer
        assert eased.chains[0].cost <= answer.chains[0].cost
    if answer.refused and answer.refused.kind == "excluded by your limits":
        assert answer.refused.because


def test_corrupted_chains_are_caught() -> None:
    """Any end of a chain changed for another, at random: the second opinion objects whenever a joint or part is spoilt."""
    chances = random.Random(8)
    ends = list(CORE_ENDS)
    caught = matters = 0
    for _ in range(400):
        start, finish = chances.sample(ends, 2)
        chains = join(start, finish, best=1).chains
        if not chains or not chains[0].parts:
            continue
        pieces = [Piece(used.near, used.far, used.part.shape) for used in chains[0].parts]
        index, side, other = chances.randrange(len(pieces)), chances.choice(("near", "far")), chances.choice(ends)
        before = getattr(pieces[index], side)
        neighbour = ([start, *(p.far for p in pieces)][index] if side == "near" else [*(p.near for p in pieces[1:]), finish][index])
        if other == before or any(mouth.end == other for mouth in planned_partners(neighbour)):
            continue  # the changed end still mates: whether the part is made is looked up by the same table, no test
        matters += 1
        pieces[index] = pieces[index]._replace(**{side: other})
        caught += bool(chain_flaws(start, finish, pieces))
    assert matters > 100
    assert caught == matters


def test_families_avoided_only_where_they_are_a_choice() -> None:
    chain = join(end_by_id("npt-3/8-female"), end_by_id("npt-3/8-female"), Limits(avoid=("npt",))).chains[0]
    inner = [joint for joint in chain.joints[1:-1]]
    assert all("npt" not in (joint.a.family, joint.b.family) for joint in inner)


def test_many_families_to_avoid_are_answered_in_the_end() -> None:
    """Twenty families avoided: the families that count are told, and what would help."""
    avoid = tuple(sorted({each.family for each in all_ends()} - {"jic"}))
    answer = join(end_by_id("npt-1/2-female"), end_by_id("jic-8-male"), Limits(psi=9000, avoid=avoid))
    assert answer.refused is not None
    assert answer.refused.because


def test_an_avoided_family_is_kept_out_between_the_ends() -> None:
    """A part whose end would fit the given port is no choice at the port, but it is one further on."""
    limits = Limits(avoid=("bspp",))
    for chain in join(end_by_id("bspp-3/4-port"), end_by_id("jic-12-swivel"), limits, best=10).chains:
        assert _flaws(chain, limits) == []


def test_smallest_sets_of_limits() -> None:
    """Each set told is in conflict, and no smaller one is."""
    limits = Limits(psi=4500, avoid=("jic",), max_parts=1, shape_from="45")
    answer = join(end_by_id("orb-8-port"), end_by_id("jic-8-swivel"), limits)
    assert answer.refused is not None
    names = {fact.n: fact.code.removeprefix("limit-").replace("-", "_") for fact in answer.refused.facts if fact.code.startswith("limit")}
    sets = [frozenset(names[n] for n in some if n in names) for some in answer.refused.because]
    assert sets
    for one, other in combinations(sets, 2):
        assert not one <= other and not other <= one


@pytest.mark.parametrize(("size", "strongest"), [
    # 4SP -8: 415 bar, 4SH -12: 420 bar (two hose catalogues); SAE 100R15 -16: 6000 psi
    ("-8", 6019), ("-12", 6091), ("-16", 6000),
])
def test_nothing_is_offered_above_the_strongest_hose_of_its_size(size: str, strongest: int) -> None:
    hose = end_by_id(f"hose-{size[1:]}-bore")
    for finish in (hose, *(each for each in all_ends() if (each.family, each.size, each.form) == ("orfs", size, "male"))):
        for chain in join(hose, finish, Limits(psi=strongest), best=9).chains:
            assert chain.rating is not None and chain.rating.psi == strongest
            assert _flaws(chain, Limits(psi=strongest)) == []
            assert "rating-below" in _flaws(chain, Limits(psi=strongest + 1))
        refused = join(hose, finish, Limits(psi=strongest + 1)).refused
        assert refused is not None
        assert f"hose {size} bore is rated {strongest} psi" in " ".join(fact.text for fact in refused.facts)
        assert join(finish, hose, Limits(psi=strongest + 1)).chains == ()
        unlimited = join(hose, finish).chains
        assert all(chain.rating is None or chain.rating.psi <= strongest for chain in unlimited)


def test_what_rules_a_chain_from_a_hose_is_told() -> None:
    """4SP -8: 415 bar (two hose catalogues), below the 630 bar of its face-seal end."""
    answer = join(end_by_id("hose-8-bore"), end_by_id("orfs-8-male"))
    chain = answer.chains[0]
    assert chain.weakest == 0
    told = " ".join(answer_text(answer).replace("|", " ").split())
    assert "the crimped ferrule on the hose, at most 6019 psi: 4SP, the strongest -8 hose <- weakest" in told
    assert "rated by its hose, at most 6019 psi (415 bar)" in chain_svg(chain)


def test_a_rating_that_was_rounded_up_when_it_was_sold() -> None:
    """SAE J1453-3, heavy stud: 41.3 MPa, which is 5990 psi (41.3 / 0.00689476) and is sold as 6000 psi."""
    for psi, told in ((6000, True), (6100, False)):
        refused = join(end_by_id("orb-8-port"), end_by_id("orfs-8-swivel"), Limits(psi=psi)).refused
        assert refused is not None
        said = [fact.text for fact in refused.facts if fact.code == "rounded-up"]
        assert bool(said) == told
        assert all("5990 psi is the 41.3 MPa of the table" in each for each in said)
