"""The printed gauge is true: pitches, flanks, angles, rings and bars, measured back from the page."""

import json
import math
import subprocess
import sys
from pathlib import Path

import pytest
from svg_reading import Picture

from fittings.cli import run
from fittings.drawing.gauge import UnknownPaper, gauge_html, gauge_svg, page_count, paper_mm, pitches

TOP = Path(__file__).parent.parent

# threads per inch and flank angle: ASME B1.1 (60°), ASME B1.20.1 (60°), ISO 228-1 and ISO 7-1 (55°); mm: ISO 261 (60°)
NOMINAL_MM = {
    60: [25.4 / tpi for tpi in (28, 27, 24, 20, 18, 16, 14, 12, 11.5)] + [1.0, 1.5, 2.0],
    55: [25.4 / tpi for tpi in (28, 19, 14, 11)],
}


def _page(number: int, paper: str = "a4") -> Picture:
    return Picture(gauge_svg(paper, number))


def _combs(picture: Picture) -> dict[tuple[int, float], list[tuple[float, float]]]:
    found = {}
    for each in picture.root.iter():
        name = each.get("data-is", "")
        if name.startswith("comb "):
            _, flank, pitch = name.split()
            points = [(float(x), float(y)) for x, y in (pair.split(",") for pair in each.get("points", "").split())]
            found[int(flank), float(pitch)] = points
    return found


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pitches_are_nominal_within_a_hundredth(paper: str) -> None:
    combs = _combs(_page(1, paper))
    for flank, wanted in NOMINAL_MM.items():
        for pitch in wanted:
            points = next(points for (angle, named), points in combs.items() if angle == flank and abs(named - pitch) < 1e-4)
            roots = [x for x, y in points if abs(y - points[1][1]) < 1e-6][1:-1]
            steps = [b - a for a, b in zip(roots, roots[1:], strict=False)]
            assert all(step == pytest.approx(pitch, abs=0.01) for step in steps), (flank, pitch)
            assert roots[-1] - roots[0] == pytest.approx(pitch * (len(roots) - 1), abs=0.01)
    assert len(combs) == sum(len(each) for each in NOMINAL_MM.values())


def test_flanks_stand_at_their_angle() -> None:
    for (flank, _), points in _combs(_page(1)).items():
        (x1, y1), (x2, y2) = points[2], points[3]
        assert 2 * math.degrees(math.atan2(x2 - x1, y2 - y1)) == pytest.approx(flank, abs=0.3)


def test_every_pitch_of_the_tables_has_a_comb() -> None:
    assert len(pitches()) == len(_combs(_page(1)))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_bars_are_exact_on_every_page(paper: str) -> None:
    for number in range(1, page_count(paper) + 1):
        picture = _page(number, paper)
        for name, long in (("bar 100 mm", 100.0), ("bar 4 in", 101.6)):
            ((start, end),) = picture.points(name)
            assert end[0] - start[0] == pytest.approx(long, abs=0.001)
        assert picture.unit_mm == 1.0
        assert (picture.page.right, picture.page.bottom) == paper_mm(paper)


# half angles: ISO 8434-1, ISO 8434-6 and JIS B 8363, SAE J514, SAE J512 (inverted flare, flare)
@pytest.mark.parametrize("half", [12, 30, 37, 42, 45])
def test_notch_and_wedge_have_the_angle_of_the_seat(half: int) -> None:
    picture = _page(1)
    (notch,) = picture.points(f"notch {half}")
    (wedge,) = picture.points(f"wedge {half}")
    for (x1, y1), (x2, y2) in ((notch[0], notch[1]), (wedge[0], wedge[2])):
        assert math.degrees(math.atan2(abs(x2 - x1), abs(y2 - y1))) == pytest.approx(half, abs=0.05)


# greatest male and least female diameter in mm: ASME B1.1 class 2A/2B as a handbook prints it (9/16-18: .5611, .502),
# ISO 228-1 (G1/2: 20.955, 18.631), ISO 965-1 6g/6H (M22x1.5: 21.968, 20.376)
@pytest.mark.parametrize(("thread", "male_mm", "female_mm"), [
    ("9/16-18", 0.5611 * 25.4, 0.502 * 25.4), ("G1/2", 20.955, 18.631), ("M22x1.5", 21.968, 20.376),
])
def test_rings_are_the_limits_of_size(thread: str, male_mm: float, female_mm: float) -> None:
    for number in range(2, page_count() + 1):
        picture = _page(number)
        rods, holes = picture.points(f"rod {thread}"), picture.points(f"hole {thread}")
        if rods:
            assert rods[0][1][0] - rods[0][0][0] == pytest.approx(male_mm, abs=0.01)
            assert holes[0][1][0] - holes[0][0][0] == pytest.approx(female_mm, abs=0.02)
            return
    pytest.fail(f"no ring for {thread}")


def test_page_to_print_stands_alone() -> None:
    page = gauge_html("letter")
    assert page.count("<svg ") == page_count("letter")
    assert "size: 215.9mm 279.4mm" in page
    assert "<script" not in page and "http" not in page.replace("http://www.w3.org/2000/svg", "")


def test_unknown_paper_is_told_what_there_is() -> None:
    with pytest.raises(UnknownPaper, match="a4 or letter"):
        gauge_svg("legal")
    with pytest.raises(ValueError, match="4 pages"):
        gauge_svg("a4", 9)


def test_verb_writes_every_page(tmp_path: Path) -> None:
    out = tmp_path / "gauge.svg"
    done = subprocess.run([sys.executable, "-m", "fittings", "gauge", "--out", str(out), "--paper", "Letter", "--json"], cwd=TOP,
                          capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["pages"] == len(told["files"]) == len(list(tmp_path.iterdir())) == page_count("letter")
    assert Picture(out.read_text("utf-8")).page.right == 215.9


@pytest.mark.parametrize(("words", "says"), [
    (["gauge", "--out", "gauge.png"], "written as .html or .svg"),
    (["gauge", "--paper", "legal"], "a4 or letter"),
    (["gauge", "--out", "/no/such/folder/gauge.svg"], "cannot be written"),
])
def test_verb_says_what_is_wrong(words: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words) == 2
    assert says in capsys.readouterr().err
