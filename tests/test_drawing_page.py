"""No word lies on another or hangs over the edge, whatever is drawn and whatever somebody called it."""

import random
import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from svg_reading import NS, Picture

from fittings.drawing import chain_svg, diagram_svg, end_svg, gauge_svg, pair_svg, swing_svg
from fittings.drawing.gauge import page_count
from fittings.drawing.lettering import clean, fitted, width_mm, wrapped
from fittings.drawing.shapes import shape
from fittings.drawing.svg import ACCENT, Canvas
from fittings.ends import all_ends, end_by_id
from fittings.job.plan import plan_file, plan_text_of
from fittings.limits import Limits
from fittings.mating import mate
from fittings.planner import join

TOP = Path(__file__).parent.parent
JOBS = sorted([*(TOP / "tests" / "jobs").glob("*.toml"), *(TOP / "docs" / "examples").glob("*.toml")])

HOSTILE = [
    "<script>alert('x')</script>", 'say "5/8" & <b>go</b>', "x" * 200, "lift " * 40, "ذراع الرفع \u202etxet", "קו הרמה", "🚜🔧👨‍🔧",
    "a\x00b\x1bc\nd", "”’<!-- -->]]>", "\u0301" * 50,
]


def _numbers_are_real(svg: str) -> bool:
    return not re.search(r'="-?(nan|inf)', svg)


def test_every_end_is_drawn_and_can_be_read() -> None:
    wrong = []
    for each in all_ends():
        svg = end_svg(each)
        wrong += [f"{each.id}: {trouble}" for trouble in Picture(svg).troubles()]
        if not _numbers_are_real(svg):
            wrong.append(f"{each.id}: not a number")
    assert wrong == []


def test_every_form_has_an_outline_that_is_a_solid() -> None:
    for each in all_ends():
        made = shape(each)
        assert made.tip_mm > 0 and made.wide_mm > made.bore_mm > 0, each.id
        assert all(r >= 0 for piece in made.pieces for _, r in piece.outline), each.id


def test_pairs_can_be_read() -> None:
    chosen = random.Random(1)
    wrong = []
    for a in chosen.sample(all_ends(), 60):
        alike = [each for each in all_ends() if each.thread and each.thread == a.thread and each.side != a.side]
        for b in [*chosen.sample(all_ends(), 2), *alike[:4]]:
            svg = pair_svg(mate(a, b))
            wrong += [f"{a.id} {b.id}: {trouble}" for trouble in Picture(svg).troubles()]
            if not _numbers_are_real(svg):
                wrong.append(f"{a.id} {b.id}: not a number")
    assert wrong == []


def test_pair_drawing_is_of_the_same_verdict_both_ways() -> None:
    a, b = end_by_id("jic-6-male"), end_by_id("orb-6-port")
    banners = [next(words for _, words in Picture(pair_svg(mate(*ends))).texts() if words.startswith("UNSAFE")) for ends in ((a, b), (b, a))]
    assert banners[0] == banners[1]


def test_chains_can_be_read() -> None:
    chosen = random.Random(2)
    ends = [each for each in all_ends() if each.family != "hose"]
    wrong, count = [], 0
    for _ in range(60):
        limits = Limits(shape_from=chosen.choice([None, "90", "45"]), shape_to=chosen.choice([None, None, "90"]))
        for chain in join(chosen.choice(ends), chosen.choice(ends), limits, 2).chains:
            count += 1
            wrong += [f"{chain.start.id} {chain.finish.id}: {trouble}" for trouble in Picture(chain_svg(chain)).troubles()]
            page = Picture(chain_svg(chain, listed=False)).page
            if page.right - page.left > 186.0 + 0.01:
                wrong.append(f"{chain.start.id} {chain.finish.id}: wider than A4 between its margins")
    assert wrong == []
    assert count > 10


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_diagrams_can_be_read(path: Path) -> None:
    plan = plan_file(str(path))
    picture = Picture(diagram_svg(plan))
    assert picture.troubles() == []
    words = [said for _, said in picture.texts()]
    for number, _ in enumerate(plan.lines, 1):
        assert str(number) in words
    assert all(component.name in " ".join(words) for component in plan.job.component)


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_every_hose_of_the_diagram_is_a_bow_with_its_number(path: Path) -> None:
    """ISO 1219-1: a flexible line is a bow between two dots. Legs of a line that splits have a letter each."""
    plan = plan_file(str(path))
    picture = Picture(diagram_svg(plan, listed=False))
    hoses = [leg for line in plan.lines for leg in line.everything if leg.hose is not None and not leg.refused]
    assert len(picture.elements("hose")) == len(hoses)
    words = [said for _, said in picture.texts()]
    for number, line in enumerate(plan.lines, 1):
        assert {f"{number}{'abc'[n]}" for n, _ in enumerate(line.branches)} <= set(words)
    assert all(f"{leg.hose.hose.type} {leg.hose.hose.size}" in words for leg in hoses)


def test_cylinders_are_told_in_the_unit_they_are_whole_in() -> None:
    """The bores of the example files, as they are written there."""
    words = [said for job in ("tailgate", "log-lift") for _, said in
             Picture(diagram_svg(plan_file(str(TOP / "docs" / "examples" / f"{job}.toml")))).texts()]
    assert {"50 x 30 x 400 mm", "32 x 18 x 150 mm", "2.5 x 1.5 x 16 in"} <= set(words)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_gauge_can_be_read(paper: str) -> None:
    for page in range(1, page_count(paper) + 1):
        picture = Picture(gauge_svg(paper, page))
        assert picture.troubles() == []
        assert not any(said.endswith("…") for _, said in picture.texts())


def test_swings_can_be_read() -> None:
    from fittings.circuit.hose import hose
    from fittings.circuit.route import Swing, swing

    for motion in (Swing(254, 355.6, (40, 150)), Swing(254, 355.6, (60, 120), 90, -90), Swing(300, 300, (-20, 20)),
                   Swing(100, 900, (0, 90), 45, 200)):
        for each in (hose("2SN", "-8"), hose("R17", "-8")):
            svg = swing_svg(motion, each, swing(motion, each))
            assert Picture(svg).troubles() == []
            assert _numbers_are_real(svg)


def test_swing_shows_both_ends_of_the_motion_and_the_bend_that_the_hose_allows() -> None:
    """2SN -8: 7.09 in to the inside, 0.87 in outside, so 7.52 in to the centre line (a hose catalogue; arithmetic)."""
    from fittings.circuit.hose import hose
    from fittings.circuit.route import Swing, swing

    motion, each = Swing(254, 355.6, (40, 150)), hose("2SN", "-8")
    picture = Picture(swing_svg(motion, each, swing(motion, each)))
    ((left, right),) = picture.points("least-bend")
    assert (right[0] - left[0]) / 2 / picture.scale / 25.4 == pytest.approx(7.52, abs=0.02)
    assert len(picture.elements("port")) == 3
    arms = [((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5 / picture.scale for a, b in picture.points("arm")]
    assert sorted({round(arm, 1) for arm in arms}) == [254.0, 355.6]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_words_stay_words(name: str) -> None:
    canvas = Canvas(name, name)
    canvas.text((0, 0), name, 3.5, room=40.0)
    canvas.text((0, 10), name, 3.5)
    svg = canvas.svg()
    picture = Picture(svg)
    assert {each.tag for each in picture.root.iter()} <= {NS + tag for tag in ("svg", "title", "desc", "rect", "text")}
    assert "\u202e" not in svg and "\x00" not in svg
    assert picture.texts()[0][0].right <= 40.01
    if len(clean(name)) > 60:
        assert picture.root.find(f"{NS}text/{NS}title") is not None


@pytest.mark.parametrize("name", [each for each in HOSTILE if "\x00" not in each and "\u0301" not in each])
def test_hostile_names_do_not_break_the_diagram(name: str) -> None:
    name = name[:100].strip()
    told = name.replace("\\", "").replace('"', '\\"').replace("\x1b", "").replace("\n", "")
    plan = plan_text_of(
        f'title = "{told}"\n[system]\nrelief = "2500 psi"\nflow = "8 gpm"\n[[component]]\nname = "{told}"\nkind = "valve"\n'
        'ports = { A = "ORB -8 port" }\n[[component]]\nname = "ram"\ncylinder = { bore = "2 in", rod = "1 in" }\n'
        f'ports = {{ cap = "ORB -6 port" }}\nvented = ["rod"]\n[[line]]\nname = "{told}"\nfrom = "{told}.A"\nto = "ram.cap"\n')
    svg = diagram_svg(plan)
    assert Picture(svg).troubles() == []
    assert "<script" not in svg


@given(st.text(max_size=60), st.floats(8, 80))
def test_words_are_cut_to_their_room(words: str, room: float) -> None:
    words = clean(words)
    assert width_mm(fitted(words, 3.5, room), 3.5) <= room + 1e-9
    assert all(width_mm(line, 3.5) <= room + 1e-9 or len(line) == 1 for line in wrapped(words, 3.5, room))
    kept = "".join(wrapped(words, 3.5, room)).replace(" ", "")
    assert kept == words.replace(" ", "")


INKS = {"#111", "#fff", "#666", ACCENT}
"""Black, white, a grey for faint lines, and the one colour."""

# Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of Color Vision Deficiency" (2009), severity
# 1.0, linear RGB (from memory; each row adds up to one, so that grey stays grey)
DEFICIENCIES = {
    "none": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "tritanopia": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
    "grey printer": ((0.2126, 0.7152, 0.0722),) * 3,
}


def _linear(colour: str) -> list[float]:
    full = colour if len(colour) == 7 else "#" + "".join(2 * digit for digit in colour[1:])
    values = [int(full[n: n + 2], 16) / 255 for n in (1, 3, 5)]
    return [value / 12.92 if value <= 0.03928 else ((value + 0.055) / 1.055) ** 2.4 for value in values]


def _contrast(one: str, other: str, seen: tuple[tuple[float, ...], ...]) -> float:
    """WCAG 2.1 contrast of two colours as somebody with a deficiency sees them."""
    lights = []
    for colour in (one, other):
        linear = [min(1.0, max(0.0, sum(weight * value for weight, value in zip(row, _linear(colour), strict=True)))) for row in seen]
        lights.append(0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2])
    return (max(lights) + 0.05) / (min(lights) + 0.05)


@pytest.mark.parametrize("name", DEFICIENCIES)
def test_every_ink_stands_out_from_the_paper_for_every_eye(name: str) -> None:
    """WCAG 2.1, 1.4.3 and 1.4.11: 4.5 to 1 for words, 3 to 1 for lines; the colour is held to what words need."""
    seen = DEFICIENCIES[name]
    assert all(abs(sum(row) - 1) < 1e-5 for row in seen)
    for ink in INKS - {"#fff"}:
        assert _contrast(ink, "#fff", seen) > 4.5, ink


@pytest.mark.parametrize("picture", sorted((TOP / "docs" / "pictures").glob("*.svg")), ids=lambda path: path.stem)
def test_colour_is_never_the_only_sign(picture: Path) -> None:
    """Every kind of picture: nothing but these inks, and in colour only the rings of a pair; a bad one is crossed as well."""
    svg = picture.read_text("utf-8")
    assert set(re.findall(r'(?:stroke|fill)="(#[0-9a-f]+)"', svg)) <= INKS
    coloured = [each for each in Picture(svg).root.iter() if ACCENT in (each.get("stroke"), each.get("fill"))]
    rings = [each for each in coloured if each.tag == NS + "circle"]
    crosses = [each for each in coloured if each.tag == NS + "line"]
    assert {each.get("data-is") for each in rings} <= {"good", "bad"}
    assert len(coloured) == len(rings) + len(crosses)
    assert len(crosses) == 2 * sum(each.get("data-is") == "bad" for each in rings)


def test_the_sheet_is_black_on_white() -> None:
    style = (TOP / "fittings" / "reports" / "templates" / "sheet.css").read_text("utf-8")
    assert set(re.findall(r"#[0-9a-f]{3,6}\b", style)) <= {"#111", "#fff", "#bbb"}
    assert not re.search(r"color: (?!#|light)", style)


def test_the_same_question_gives_the_same_drawing() -> None:
    code = (
        "import hashlib\nfrom fittings.drawing import *\nfrom fittings.ends import end_by_id as e\nfrom fittings.planner import join\n"
        "from fittings.mating import mate\n"
        "t = end_svg(e('orb-8-port')) + chain_svg(join(e('orb-8-port'), e('bspp-1/2-port')).chains[0])\n"
        "t += pair_svg(mate(e('jic-6-male'), e('orb-6-port'))) + gauge_svg('a4', 2)\n"
        "print(hashlib.sha256(t.encode()).hexdigest())\n"
    )
    seen = {
        subprocess.run([sys.executable, "-c", code], cwd=TOP, capture_output=True, text=True, check=True,
                       env={"PYTHONHASHSEED": seed, "PATH": "/usr/bin:/bin"}).stdout for seed in ("1", "2")
    }
    assert len(seen) == 1


def test_drawing_one_end_loads_nothing_heavy() -> None:
    code = (
        "import sys\nfrom fittings.drawing import end_svg, chain_svg, pair_svg\nfrom fittings.ends import end_by_id\n"
        "end_svg(end_by_id('orb-8-port'))\n"
        "print([name for name in ('pydantic', 'networkx', 'rich', 'numpy', 'jinja2') if name in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=TOP, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
