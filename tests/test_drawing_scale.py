"""Drawings are true to the scale they state: what is measured on them is what the standards print.

The evidence stands in tests/authorities/drawing_measures.csv, with the source beside each figure.
"""

import csv
from pathlib import Path

import pytest
from svg_reading import Picture, angle_deg

from fittings.drawing import chain_svg, end_svg, pair_svg
from fittings.drawing.layout import lay_out
from fittings.drawing.shapes import shape
from fittings.drawing.solids import contact
from fittings.ends import end_by_id
from fittings.limits import Limits
from fittings.mating import mate
from fittings.planner import join

HERE = Path(__file__).parent
with open(HERE / "authorities" / "drawing_measures.csv", encoding="utf-8", newline="") as file:
    MEASURES = list(csv.DictReader(file))


def _rows(what: str) -> list[tuple[str, float]]:
    return [(row["end"], float(row["value_mm"])) for row in MEASURES if row["what"] == what]


@pytest.mark.parametrize(("end", "major_mm"), _rows("thread"))
def test_thread_is_as_wide_as_its_standard_says(end: str, major_mm: float) -> None:
    picture = Picture(end_svg(end_by_id(end)))
    reach = max(abs(y) for run in picture.points("section-body") for _, y in run)
    assert 2 * reach / picture.scale == pytest.approx(major_mm, abs=0.01)
    assert picture.unit_mm == pytest.approx(1.0)


@pytest.mark.parametrize(("end", "flats_mm"), _rows("hex"))
def test_hexagon_is_as_wide_across_flats_as_the_spanner(end: str, flats_mm: float) -> None:
    picture = Picture(end_svg(end_by_id(end)))
    (corners,) = picture.points("hex")
    across = max(x for x, _ in corners) - min(x for x, _ in corners)
    assert across / picture.scale == pytest.approx(flats_mm, abs=0.02)
    upright = max(y for _, y in corners) - min(y for _, y in corners)
    assert upright / across == pytest.approx(2 / 3**0.5, abs=0.001)


@pytest.mark.parametrize(("end", "degrees"), _rows("seat_deg"))
def test_seat_stands_at_its_angle_to_the_axis(end: str, degrees: float) -> None:
    picture = Picture(end_svg(end_by_id(end)))
    (seat,) = picture.points("seat")
    assert angle_deg(seat) == pytest.approx(degrees, abs=0.1)


def test_face_seal_ring_and_its_groove() -> None:
    """AS568-014: 12.42 x 1.78 mm (open CAD parts library); the ring stands proud of its groove."""
    picture = Picture(end_svg(end_by_id("orfs-8-male")))
    (ring,) = picture.points("seal")
    inner, outer = min(abs(y) for _, y in ring), max(abs(y) for _, y in ring)
    assert 2 * inner / picture.scale == pytest.approx(12.42, abs=0.02)
    assert (outer - inner) / picture.scale == pytest.approx(1.78, abs=0.02)
    face = max(x for run in picture.points("section-body") for x, _ in run)
    assert max(x for x, _ in ring) > face + 0.2 * picture.scale


def test_o_ring_port_is_cut_as_j1926_1_says() -> None:
    """-8: spotface 30 mm, mouth 20.6 mm, full thread 14.3 mm (open port dataset of SAE J1926-1, metric edition)."""
    picture = Picture(end_svg(end_by_id("orb-8-port")))
    block = [run for run in picture.points("section-block")]
    (seat,) = picture.points("seat")
    mouth = 2 * max(abs(y) for _, y in seat) / picture.scale
    assert mouth == pytest.approx(20.6, abs=0.02)
    assert any(abs(2 * abs(run[0][1]) / picture.scale - 30.0) < 0.02 for run in block)
    floor = max(x for x, _ in seat)
    ends = [x for run in picture.points("thread-root") for x, _ in run]
    assert (floor - min(ends)) / picture.scale == pytest.approx(14.3, abs=0.05)


def test_flange_screws_stand_on_their_pattern() -> None:
    """Code 61 -12: 47.6 x 22.2 mm (ISO 6162-1 as a public page reprints it)."""
    picture = Picture(end_svg(end_by_id("code61-12-pad")))
    centres = [((a[0] + b[0]) / 2, a[1]) for a, b in picture.points("screw")]
    xs, ys = sorted({round(x, 2) for x, _ in centres}), sorted({round(y, 2) for _, y in centres})
    assert len(centres) == 4
    assert (ys[-1] - ys[0]) / picture.scale == pytest.approx(47.6, abs=0.05)
    assert (xs[-1] - xs[0]) / picture.scale == pytest.approx(22.2, abs=0.05)


def test_taper_runs_at_one_in_sixteen() -> None:
    """ASME B1.20.1: 1 in 16 on diameter, so 1 in 32 on each side."""
    picture = Picture(end_svg(end_by_id("npt-1/2-male")))
    slopes = [abs(b[1] - a[1]) / abs(b[0] - a[0]) for a, b in picture.points("thread-root") if abs(b[0] - a[0]) > 1]
    assert slopes and all(slope == pytest.approx(1 / 32, abs=0.0005) for slope in slopes)


@pytest.mark.parametrize("end", ["jic-6-male", "orb-16-port", "code61-32-head"])
def test_scale_bar_is_as_long_as_it_says(end: str) -> None:
    picture = Picture(end_svg(end_by_id(end)))
    bars = picture.points("bar")
    long = max(x for run in bars for x, _ in run) - min(x for run in bars for x, _ in run)
    said = next(words for _, words in picture.texts() if "the bar is" in words)
    millimetres = float(said.split("the bar is ")[1].split(" mm")[0])
    assert long == pytest.approx(millimetres * picture.scale, abs=0.01)


def test_chain_shows_the_length_that_the_catalogue_prints() -> None:
    """ORB -8 x JIC -8 straight: 37.6 mm end to end (a maker's adapter catalogue, reprinted; US distributor 37.6)."""
    chain = join(end_by_id("orb-8-port"), end_by_id("jic-8-swivel"), Limits(shape_from="straight")).chains[0]
    picture = Picture(chain_svg(chain))
    (dimension,) = picture.points("overall")
    assert abs(dimension[1][0] - dimension[0][0]) / picture.scale == pytest.approx(37.6, abs=0.02)
    assert any(words == "37.6" for _, words in picture.texts())


def test_estimated_length_is_dashed_and_called_an_estimate() -> None:
    chain = join(end_by_id("orb-8-port"), end_by_id("bspp-1/2-port")).chains[0]
    picture = Picture(chain_svg(chain))
    (line,) = picture.elements("overall")
    assert line.get("stroke-dasharray")
    assert any("estimate" in words for _, words in picture.texts())
    known = join(end_by_id("orb-8-port"), end_by_id("jic-8-swivel"), Limits(shape_from="straight")).chains[0]
    (line,) = Picture(chain_svg(known)).elements("overall")
    assert not line.get("stroke-dasharray")


def test_legs_of_an_elbow() -> None:
    """ORB -8 adjustable x JIC -8, 90°: legs 36.8 and 31.8 mm from the centre (a maker's adapter catalogue, reprinted)."""
    chain = join(end_by_id("orb-8-port"), end_by_id("jic-8-swivel"), Limits(shape_from="90")).chains[0]
    run = lay_out(chain.start, chain.parts, chain.finish, 1.0)
    (elbow,) = run.elbows
    near, far = shape(chain.parts[0].near), shape(chain.parts[0].far)
    assert abs(elbow.path[1][0] - elbow.path[0][0]) + near.tip_mm == pytest.approx(36.8, abs=0.02)
    assert abs(elbow.path[2][1] - elbow.path[1][1]) + far.tip_mm == pytest.approx(31.8, abs=0.02)


@pytest.mark.parametrize(("a", "b"), [
    ("jic-8-male", "jic-8-swivel"), ("sae45-8-male", "sae45-8-swivel"), ("bsp60-1/2-male", "bsp60-1/2-swivel"),
    ("cone24-15L-male", "cone24-15L-swivel"), ("npt-1/2-male", "npsm-1/2-swivel"), ("jis30-1/2-male", "jis30-1/2-swivel"),
])
def test_seats_of_one_kind_close_on_a_band(a: str, b: str) -> None:
    """A cone seals on a band, not on an edge (common practice, no source); the figure is our drawing's."""
    assert contact(shape(end_by_id(a)), shape(end_by_id(b))).band_mm > 0.5


@pytest.mark.parametrize(("a", "b"), [
    ("sae45-8-male", "jic-8-swivel"), ("jic-8-male", "sae45-8-swivel"), ("jis30-1/2-male", "bsp60-1/2-swivel"),
])
def test_seats_of_two_kinds_touch_on_a_line(a: str, b: str) -> None:
    """45° on 37°, and two noses of opposite form: no band (SAE J512, J514; hose maker's page on JIS threads)."""
    assert contact(shape(end_by_id(a)), shape(end_by_id(b))).band_mm < 0.35
    svg = pair_svg(mate(end_by_id(a), end_by_id(b)))
    assert "UNSAFE" in svg and "on a line only" in svg


def test_unsafe_pair_marks_every_fault_and_a_good_joint_none() -> None:
    bad = Picture(pair_svg(mate(end_by_id("jic-6-male"), end_by_id("orb-6-port"))))
    assert len(bad.elements("bad")) >= 2 and not bad.elements("good")
    good = Picture(pair_svg(mate(end_by_id("jic-6-male"), end_by_id("jic-6-swivel"))))
    assert good.elements("good") and not good.elements("bad")


def test_missing_chamfer_is_told_in_the_drawing() -> None:
    svg = pair_svg(mate(end_by_id("npt-1/2-male"), end_by_id("npsm-1/2-swivel")))
    assert "CONDITIONAL" in svg and "30° chamfer inside its nose" in svg


def test_threads_that_differ_are_laid_into_each_other() -> None:
    """7/8-14 against M22x1.5: pitches 1.814 and 1.5 mm (ASME B1.1, ISO 261), true in the enlarged window."""
    svg = pair_svg(mate(end_by_id("orb-10-stud"), end_by_id("iso6149-M22x1.5-port")))
    root = Picture(svg).root
    windows = [each for each in root if each.tag.endswith("svg") and each.get("viewBox", "").startswith("0 -10")]
    assert len(windows) == 1
    runs = {each.get("data-is"): each for each in windows[0] if each.get("data-is") in ("section-body", "section-nut")}
    for name, pitch in (("section-body", 25.4 / 14), ("section-nut", 1.5)):
        xs = [float(pair.split(",")[0]) for pair in runs[name].get("points", "").split()][::4]
        steps = {round(b - a, 3) for a, b in zip(xs, xs[1:], strict=False)}
        assert all(step / 5.0 == pytest.approx(pitch, abs=0.001) for step in steps)
