"""Parts by themselves and on tees: every shape that the tables have, true to its figures, nothing on anything."""

import itertools
import random
from pathlib import Path

import pytest
from svg_reading import Picture

from fittings.cli import run as command
from fittings.drawing import part_svg, tree_svg
from fittings.drawing.bodies import body_of, in_a_part
from fittings.drawing.bushing import bushing
from fittings.drawing.chain import laid_to_fit
from fittings.drawing.fork import Branch, Fork
from fittings.drawing.layout import lay_out, lay_out_part
from fittings.drawing.section import Placed, boxes
from fittings.drawing.shapes import shape
from fittings.drawing.tree import tree_sketch
from fittings.ends import end_by_id
from fittings.limits import Limits
from fittings.outlets import directions
from fittings.parts import Part, all_parts, find
from fittings.tree import Tree, join_all

JOB = Path(__file__).parent.parent / "docs" / "examples" / "tailgate.toml"


def _part(form: str, *ends: str) -> Part:
    (found,) = find([end_by_id(each) for each in ends], form)
    return found


def _kinds() -> list[Part]:
    """One part of every shape and pair of forms, the common shapes sampled."""
    found: dict[tuple[object, ...], list[Part]] = {}
    for part in all_parts():
        found.setdefault((part.shape, tuple(each[::2] for each in part.ends)), []).append(part)
    chosen = random.Random(3)
    rare = [key for key in found if key[0] not in ("straight", "90", "45")]
    common = chosen.sample([key for key in found if key not in rare], 30)
    return [chosen.choice(found[key]) for key in (*rare, *common)]


def test_every_kind_of_part_is_drawn_and_can_be_read() -> None:
    kinds = _kinds()
    assert {part.shape for part in kinds} == {part.shape for part in all_parts()}
    wrong = [f"{part.id}: {trouble}" for part in kinds for trouble in Picture(part_svg([part])).troubles()]
    assert wrong == []


def test_every_end_of_a_part_is_called_out() -> None:
    for part in _kinds():
        run = lay_out_part(part, 1.0)
        assert sorted(each.end for each in run.opens) == sorted(part.ends), part.id


# lengths in mm end to end: a maker's adapter catalogue, reprinted (JIC cap and plug, bulkhead, NPT bushing); a US
# distributor's catalogue (ORB plug)
@pytest.mark.parametrize(("form", "ends", "overall_mm"), [
    ("cap", ("jic-8-swivel",), 19.0), ("plug", ("jic-8-male",), 23.9), ("plug", ("orb-8-stud",), 20.3),
    ("bulkhead", ("jic-8-male", "jic-8-male"), 62.0), ("bushing", ("npt-3/8-female", "npt-1/2-male"), 28.5),
    ("straight", ("orb-8-stud", "jic-8-male"), 37.6),
])
def test_length_of_a_part_is_what_the_catalogue_prints(form: str, ends: tuple[str, ...], overall_mm: float) -> None:
    picture = Picture(part_svg([_part(form, *ends)]))
    ((left, right),) = picture.points("overall")
    assert (right[0] - left[0]) / picture.scale == pytest.approx(overall_mm, abs=0.02)
    outline = [x for name in ("outside-body", "outside-nut", "outside-tail", "outside-barrel", "outside-bushing")
               for line in picture.points(name) for x, _ in line]
    assert (max(outline) - min(outline)) / picture.scale == pytest.approx(overall_mm, abs=0.05)


# legs in mm from the centre: the same catalogue
@pytest.mark.parametrize(("form", "ends", "legs_mm"), [
    ("tee", ("jic-8-male",) * 3, (32.0, 32.0, 32.0)),
    ("tee-branch", ("jic-6-male", "jic-6-male", "orb-6-stud-adj"), (26.9, 26.9, 31.8)),
    ("tee-branch", ("orfs-8-male", "orfs-8-male", "npt-1/2-male"), (28.0, 28.0, 37.3)),
    ("90", ("orb-8-stud-adj", "jic-8-male"), (36.8, 31.8)),
])
def test_legs_of_a_part_are_what_the_catalogue_prints(form: str, ends: tuple[str, ...], legs_mm: tuple[float, ...]) -> None:
    picture = Picture(part_svg([_part(form, *ends)]))
    drawn = [max(abs(b[0] - a[0]), abs(b[1] - a[1])) / picture.scale for a, b in picture.points("leg")]
    assert sorted(drawn) == pytest.approx(sorted(legs_mm), abs=0.02)
    body = picture.points("tee") or picture.points("elbow")
    assert len(body) == 1


def test_hexagon_of_a_tee_is_the_width_of_its_forging() -> None:
    """JIC -8 tee: 19 mm across (a maker's adapter catalogue, reprinted)."""
    picture = Picture(part_svg([_part("tee", "jic-8-male", "jic-8-male", "jic-8-male")]))
    (body,) = picture.points("tee")
    left = min(x for x, _ in body)
    ys = [y for x, y in body if x == left]
    assert (max(ys) - min(ys)) / picture.scale == pytest.approx(19.0, abs=0.02)


def test_run_tee_has_its_odd_end_on_the_run_and_branch_tee_on_the_branch() -> None:
    """SAE J846 styles: run tee, branch tee (from memory)."""
    run = _part("tee-run", "jic-8-male", "jic-8-male", "jic-8-swivel")
    branch = _part("tee-branch", "jic-8-male", "jic-8-male", "jic-8-swivel")
    odd = [directions(part)[part.ends.index(end_by_id("jic-8-swivel"))] for part in (run, branch)]
    assert odd == [0.0, 90.0]
    for part in (run, branch):
        laid = lay_out_part(part, 1.0)
        (swivel,) = [each for each in laid.opens if each.end.form == "swivel"]
        (tee,) = laid.tees
        off = abs(swivel.at[1] - tee.centre[1]) > abs(swivel.at[0] - tee.centre[0])
        assert off == (part is branch)


def test_every_bushing_keeps_metal_around_its_hole() -> None:
    for part in (each for each in all_parts() if each.shape == "bushing"):
        near, far = (in_a_part(shape(each)) for each in part.ends)
        body = body_of(part, near, far)
        made = bushing(near, far, body.flats_mm, near.tip_mm + body.first_mm + far.tip_mm)
        (piece,) = [each for each in made.pieces if each.kind == "bushing"]
        for n in range(1, 40):
            at = min(x for x, _ in piece.outline) * (1 - n / 40) + max(x for x, _ in piece.outline) * n / 40
            radii = _radii(piece.outline, at)
            # beside the groove of a stud of form E there is a lip of metal outside the ring too
            metal = [outer - inner for inner, outer in zip(radii[::2], radii[1::2], strict=True)]
            assert metal and min(metal) > 0.4, (part.id, at, radii)


def _radii(outline: tuple[tuple[float, float], ...], at: float) -> list[float]:
    """Where the outline is met, from the axis outward, at a place along the axis."""
    return sorted(r1 + (r2 - r1) * (at - x1) / (x2 - x1) for (x1, r1), (x2, r2) in zip(outline, [*outline[1:], outline[0]], strict=True)
                  if min(x1, x2) <= at < max(x1, x2))


def test_caps_and_plugs_are_shut() -> None:
    for part in (each for each in all_parts() if len(each.ends) == 1):
        placed = lay_out_part(part, 1.0).placed
        assert all(each.shape.bore_mm == 0.0 or each.shape.hexagons for each in placed), part.id
        assert any(r == 0.0 for each in placed for piece in each.shape.pieces for _, r in piece.outline), part.id


def test_bulkhead_goes_on_through_the_wall_with_its_locknut() -> None:
    """JIC -6 bulkhead: 32.5 mm of thread beyond the hexagon (a maker's adapter catalogue, reprinted)."""
    run = lay_out_part(_part("bulkhead", "jic-6-male", "jic-6-male"), 1.0)
    far = end_by_id("jic-6-male")
    long = next(each.shape for each in run.placed if each.shape.screws and each.shape.pieces[0].kind == "body" and not each.shape.marks)
    assert long.tip_mm + shape(far).tip_mm == pytest.approx(32.5, abs=0.02)
    assert sum(piece.kind == "nut" for each in run.placed for piece in each.shape.pieces) == 1


# --- three and four ends ------------------------------------------------------------------------------------------------

TREES = [("orb-8-port", "jic-8-swivel", "bspp-1/2-port"), ("orb-8-port",) * 3, ("orb-8-port",) * 4, ("orfs-8-swivel",) * 4,
         ("npt-1/2-female",) * 4, ("orb-16-port", "orb-4-port", "orb-4-port"), ("orb-8-port", "jic-8-swivel", "bspp-1/2-port", "npt-1/2-female"),
         ("jic-8-swivel",) * 4, ("cone24-12L-swivel",) * 3]


def _tree(ends: tuple[str, ...]) -> Tree:
    found = join_all(tuple(end_by_id(each) for each in ends), Limits())
    assert found is not None
    return found


@pytest.mark.parametrize("ends", TREES, ids="+".join)
def test_tree_is_drawn_whole(ends: tuple[str, ...]) -> None:
    """Every end asked for is there, every tee, every part of every chain, every joint once and in the order of the list."""
    tree = _tree(ends)
    sketch = tree_sketch(tree)
    laid = laid_to_fit(sketch)
    assert [(each.a, each.b) for each in laid.joints] == [(each.a, each.b) for each in sketch.joints]
    assert len(sketch.joints) == sum(len(chain.joints) for chain in tree.chains)
    assert len(laid.tees) == len(tree.bodies) and laid.opens == ()
    parts = [used.part.id for chain in tree.chains for used in chain.parts] + [body.id for body in tree.bodies]
    assert sorted(each.part.id for each in laid.parts) == sorted(parts)
    free = [each.shape.end.id for each in laid.placed if each.shape.marks]
    assert all(free.count(each) >= ends.count(each) for each in ends)
    picture = Picture(tree_svg(tree))
    assert picture.troubles() == []
    words = [said for _, said in picture.texts()]
    assert words.count("T") == 2 and ("T2" in words) == (len(tree.bodies) == 2)  # once in the drawing, once in the list


@pytest.mark.parametrize("ends", TREES, ids="+".join)
def test_arms_of_a_tee_keep_clear_of_one_another(ends: tuple[str, ...]) -> None:
    arms = _arms(_tree(ends))
    rectangles = [[box for placed in arm for box in boxes([placed], -0.1)] for arm in arms]
    for (one, some), (other, more) in itertools.combinations(enumerate(rectangles), 2):
        assert not any(a.meets(b) for a in some for b in more), (one, other)


def _arms(tree: Tree) -> list[list[Placed]]:
    """What lies on each branch of the first tee of a tree, in mm of the thing."""
    sketch = tree_sketch(tree)
    fork = sketch.finish
    assert isinstance(fork, Fork)
    bare = fork._replace(branches=tuple(Branch(each.opens) for each in fork.branches))

    def placed(of: Fork) -> dict[tuple[object, ...], Placed]:
        return {(each.shape.end, each.pose.foot, len(each.shape.pieces)): each
                for each in lay_out(sketch.start, sketch.uses, of, 1.0).placed}

    known = placed(bare)
    found = []
    for n in range(len(fork.branches)):
        one = bare._replace(branches=(*bare.branches[:n], fork.branches[n], *bare.branches[n + 1:]))
        found.append([each for key, each in placed(one).items() if key not in known])
    return found


def test_tee_with_ends_that_it_has_not_is_refused() -> None:
    part = _part("tee", "jic-8-male", "jic-8-male", "jic-8-male")
    with pytest.raises(ValueError, match="has no ORB -8 port left"):
        lay_out(Fork(part, end_by_id("jic-8-male"), (Branch(end_by_id("orb-8-port")),)), (), None, 1.0)
    with pytest.raises(ValueError, match="it is no tee"):
        directions(_part("straight", "orb-8-stud", "jic-8-male"))
    with pytest.raises(ValueError, match="no part"):
        part_svg([])


# --- the verbs ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("words", "has"), [
    (["show", "ORB -6 male x JIC -6 male"], "9/16-18"),
    (["show", "90 ORB -6 male adjustable x JIC -6 male"], 'data-is="elbow"'),
    (["join", "ORB -8 port", "JIC -8 swivel", "BSPP 1/2 port"], 'data-is="tee"'),
    (["plan", str(JOB)], "Hydraulic diagram"),
])
def test_svg_option_draws_what_is_told(words: list[str], has: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out.svg"
    assert command([*words, "--json", "--svg", str(out)]) == 0
    assert has in out.read_text("utf-8")
    assert f"drawing written to {out}" in capsys.readouterr().err


def test_no_drawing_of_what_is_not_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No tree and no such part: the exit code says so, and no file is left that looks like an answer."""
    out = tmp_path / "out.svg"
    assert command(["join", "ORB -8 port", "Code 61 -16 pad", "1/2 ISO 7241-A body", "--svg", str(out)]) in (1, 2, 3)
    assert command(["show", "ORB -32 male x JIC -4 male", "--svg", str(out)]) in (2, 3)
    assert not out.exists()
    capsys.readouterr()
