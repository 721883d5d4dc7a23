"""The assembly sheet: everything a stranger needs, in the order of the work, and nothing from elsewhere."""

import os
import re
import stat
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest

from fittings.drawing import run_svg
from fittings.job.plan import plan as plan_job
from fittings.job.plan import plan_file, plan_text_of
from fittings.job.reading import read_job
from fittings.job.result import Plan
from fittings.reports.files import write_whole
from fittings.reports.plan_text import spanner_words
from fittings.reports.sheet import sheet_html
from fittings.reports.sheet_lines import drawn_lines
from fittings.stock import Shelf, ShelfRow

TOP = Path(__file__).parent.parent
DEMO = TOP / "docs" / "examples" / "log-lift.toml"
TEE = TOP / "docs" / "examples" / "tailgate.toml"
JOBS = sorted((TOP / "tests" / "jobs").glob("*.toml"))

SPLIT = """
title = "{title}"
[system]
relief = "2500 psi"
flow = "8 gpm"
[[component]]
name = "{valve}"
kind = "valve"
ports = {{ A = "ORB -8 port", B = "ORB -8 port" }}
[[component]]
name = "left"
cylinder = {{ bore = "2 in", rod = "1.25 in", stroke = "12 in" }}
ports = {{ cap = "ORB -6 port", rod = "ORB -6 port" }}
back_driven = false
[[component]]
name = "right"
cylinder = {{ bore = "2 in", rod = "1.25 in", stroke = "12 in" }}
ports = {{ cap = "ORB -6 port" }}
vented = ["rod"]
back_driven = false
[[line]]
name = "out"
from = "{valve}.A"
to = ["left.cap", "right.cap"]
route = {{ length = "40 in" }}
[[line]]
name = "back"
from = "{valve}.B"
to = "left.rod"
route = {{ swing = {{ pivot_to_from = "10 in", pivot_to_to = "14 in", angle = ["40 deg", "150 deg"] }} }}
hose = {{ type = "R17" }}
"""


THREE = """
title = "Three rams"
[system]
relief = "2000 psi"
flow = "9 gpm"
[[component]]
name = "valve"
kind = "valve"
ports = { A = "ORB -8 port" }
""" + "".join(f"""
[[component]]
name = "{name}"
cylinder = {{ bore = "2 in", rod = "1 in" }}
ports = {{ cap = "ORB -6 port" }}
vented = ["rod"]
back_driven = false
""" for name in "abc") + """
[[line]]
name = "out"
from = "valve.A"
to = ["a.cap", "b.cap", "c.cap"]
route = { length = "40 in" }
"""


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.unbalanced: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))
        if tag not in ("meta", "br", "input"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.unbalanced.append(tag)


def _read(page: str) -> _Tags:
    tags = _Tags()
    tags.feed(page)
    return tags


def _words(page: str) -> str:
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)))


@pytest.fixture(scope="module")
def demo() -> Plan:
    return plan_file(str(DEMO))


@pytest.fixture(scope="module")
def page(demo: Plan) -> str:
    return sheet_html(demo)


def test_order_is_the_order_of_the_work(page: str) -> None:
    heads = re.findall(r"<h2>(.*?)</h2>", page)
    assert heads[0] == "Read this first"
    assert heads.index("What to get") < heads.index("The lines") < heads.index("Putting it together, in this order")
    assert heads.index("Putting it together, in this order") < heads.index("First start and after")


def test_what_to_mind_on_this_machine_stands_before_the_work(demo: Plan, page: str) -> None:
    """Warnings of the circuit, and what each cylinder pushes (F = p·A by hand in test_plan), before the diagram and the bill."""
    before = _words(page.partition("<h2>What it is</h2>")[0])
    warned = [each for each in (*demo.findings, *demo.cylinders[0].findings) if each.level != "info" and each.code != "margin"]
    assert warned and [each.code for each in warned if each.text not in before] == []
    assert "pushes 13499 lbf" in before and "in/s" in before


def test_a_line_that_is_not_proved_is_told_at_the_head() -> None:
    """No table rates the 30° flare of JIS B 8363 (data/README.md)."""
    unrated = THREE.replace('cap = "ORB -6 port"', 'cap = "JIS 3/8 male"')
    assert unrated != THREE
    head = _words(sheet_html(plan_text_of(unrated)).partition("<h2>")[0])
    assert "NOT PROVED TO HOLD" in head and "out to a.cap" in head
    assert "NOT PROVED" not in sheet_html(plan_text_of(THREE))


def test_every_caution_is_there(demo: Plan, page: str) -> None:
    said = _words(page)
    assert [each.code for each in demo.cautions if re.sub(r"\s+", " ", each.text) not in said] == []


def test_everything_to_get_and_to_do_has_a_box_to_tick(demo: Plan, page: str) -> None:
    boxes = [attrs for tag, attrs in _read(page).seen if tag == "input"]
    after = sum(each.stage == "after" for each in demo.cautions)
    assert len(boxes) == len(demo.bill) + len(demo.steps) + after
    assert {attrs["type"] for attrs in boxes} == {"checkbox"}


def test_every_item_of_the_bill_stands_with_its_quantity(demo: Plan, page: str) -> None:
    said = _words(page)
    assert [item.say for item in demo.bill if f"{item.qty:g} × {item.say}" not in said] == []


def test_a_stranger_finds_seal_sealant_and_torque_at_every_joint(demo: Plan, page: str) -> None:
    steps = re.findall(r'<li value="(\d+)">(.*?</ul>)', page, re.S)
    assert [int(number) for number, _ in steps] == [step.n for step in demo.steps]
    for (_, block), step in zip(steps, demo.steps, strict=True):
        said = _words(block)
        assert step.do in said
        if step.joint is not None:
            assert "Sealant: NO" in said or "Sealant: YES" in said
            assert "Torque: " in said or "Turn: " in said
            assert not step.ring or f"Ring: {step.ring}" in said


def _articles(page: str) -> dict[str, tuple[str, dict[str, str], str]]:
    """The drawings of a page by their mark: the name of the line, the list of the joints by letter, the drawing."""
    found = {}
    for block in re.findall(r"<article.*?</article>", page, re.S):
        mark, name = re.findall(r'<h3><span class="mark">(.*?)</span> <bdi>(.*?)</bdi>', block)[0]
        joints = re.search(r'<ol class="marked joints">(.*?)</ol>', block, re.S)
        rows = re.findall(r'<b class="mark">(.*?)</b>(.*?)</li>', joints.group(1), re.S) if joints else []
        found[mark] = unescape(name), {letter: _words(row) for letter, row in rows}, block[block.index("<svg "):block.index("</svg>")]
    return found


@pytest.mark.parametrize("job", [DEMO, TEE], ids=lambda path: path.stem)
def test_each_step_leads_to_its_joint_in_the_drawing(job: Path) -> None:
    """Both ends of every joint that a step makes stand beside its letter, in the list of the drawing that the step names, and
    the letter stands in that drawing. No two steps are led to the same place."""
    plan = plan_file(str(job))
    page = sheet_html(plan)
    drawings = _articles(page)
    made = [step for step in plan.steps if step.joint is not None]
    led = re.findall(r"Joint ([A-Z]) in drawing (\w+)", page)
    assert len(led) == len(set(led)) == len(made)
    for (letter, mark), step in zip(led, made, strict=True):
        name, joints, svg = drawings[mark]
        assert step.joint is not None and name == step.line
        assert step.joint.joint.a.say in joints[letter] and step.joint.joint.b.say in joints[letter]
        assert f'font-weight="bold">{letter}</text>' in svg


def test_each_line_has_its_drawing_and_each_joint_its_letter(demo: Plan, page: str) -> None:
    assert page.count("<article") == len(demo.every_line)
    for each in drawn_lines(demo.lines, "both"):
        assert each.sketch is not None and len(each.sketch.joints) == len(each.line.joints)
    assert page.count("<svg ") == 1 + len(demo.every_line)


def test_a_line_that_splits_shows_its_tee_in_every_drawing_of_it() -> None:
    """Trunk and legs each show the tee with all its outlets, and words at those that lead elsewhere."""
    plan = plan_file(str(TEE))
    drawings = _articles(sheet_html(plan))
    assert set(drawings) == {"1", "1a", "1b", "2", "2a", "2b", "3", "4"}
    for mark, says in (("1", ("to 1a", "to 1b")), ("1a", ("from 1", "to 1b")), ("1b", ("from 1", "to 1a"))):
        svg = drawings[mark][2]
        assert svg.count('data-is="tee"') == 1
        assert all(f">{words}</text>" in svg for words in says)


def test_three_legs_from_two_tees_or_a_cross() -> None:
    """Every leg of a line to three cylinders is drawn on from its tee, and each outlet is used once."""
    plan = plan_text_of(THREE)
    drawn = list(drawn_lines(plan.lines, "both"))
    assert [each.mark for each in drawn] == ["1", "1a", "1b", "1c"]
    trunk = run_svg(drawn[0].sketch)
    assert trunk.count('data-is="tee"') == len(plan.lines[0].tees)
    for n, each in enumerate(drawn[1:]):
        assert each.sketch is not None
        assert f">to 1{'abc'[n]}</text>" in trunk
        assert run_svg(each.sketch).count('data-is="tee"') == 1


def test_a_wide_diagram_lies_across_a_page_of_its_own(page: str) -> None:
    """Five cylinders side by side are 360 mm; made smaller to an upright A4 their letters would be 1.6 mm high."""
    many = "".join(f'[[component]]\nname = "ram {n}"\ncylinder = {{ bore = "2 in", rod = "1 in" }}\nports = {{ cap = "ORB -6 port" }}\n'
                   'vented = ["rod"]\nback_driven = false\n' for n in range(3))
    wide = sheet_html(plan_text_of(SPLIT.format(title="Rams", valve="valve") + many))
    assert '<div class="spread across">' in wide
    assert '<div class="drawn">' in page and "spread" not in re.sub(r"<style>.*?</style>", "", page, flags=re.S)


def test_spanners_are_told_at_the_step_and_before_the_work(demo: Plan, page: str) -> None:
    """Every across-flats figure of the steps stands at its step and in the list of tools."""
    told = re.search(r"Spanners to turn with: (.*?)\. A second", page)
    assert told is not None
    steps = dict(re.findall(r'<li value="(\d+)">(.*?</ul>)', page, re.S))
    for step in demo.steps:
        if step.spanner is not None:
            assert spanner_words(step.spanner) in told.group(1).split(", ")
            assert f"spanner {spanner_words(step.spanner)}" in _words(steps[str(step.n)]).lower()


def test_every_hose_is_tagged_with_the_line_that_it_is_for() -> None:
    plan = plan_file(str(TEE))
    page = _words(sheet_html(plan))
    for each in drawn_lines(plan.lines, "both"):
        if each.line.hose is not None:
            assert f"for line {each.mark}: tag it {each.mark}" in page


def test_what_several_lines_have_in_common_is_said_once() -> None:
    plan = plan_file(str(TEE))
    said = _words(sheet_html(plan))
    often = [finding.text for line in plan.every_line for finding in line.findings]
    assert any(often.count(text) > 1 for text in often)
    for text in set(often):
        assert said.count(re.sub(r"\s+", " ", text)) == 1, text


def test_sheet_stands_alone(page: str) -> None:
    tags = _read(page)
    assert tags.unbalanced == [] and tags.open == []
    assert not {"script", "link", "img", "iframe", "object"} & {tag for tag, _ in tags.seen}
    assert not any(name in attrs for _, attrs in tags.seen for name in ("src", "href", "onclick", "onload"))
    assert set(re.findall(r"https?://[^\"'\s<]+", page)) == {"http://www.w3.org/2000/svg"}
    assert "url(" not in page and "@import" not in page


def test_figures_from_memory_say_so_beside_the_figure(page: str) -> None:
    for line in re.findall(r"\[C [^\]]*\](.{0,16})", page):
        assert line.startswith(" (from memory)")


def test_every_number_in_brackets_has_its_document(page: str) -> None:
    numbers = {int(each) for inside in re.findall(r"\[[ABC]? ?((?:\d+ ?)+)\]", page) for each in inside.split()}
    documents = re.search(r'<ol class="documents">(.*?)</ol>', page, re.S)
    assert documents is not None
    assert numbers == set(range(1, documents.group(1).count("<li>") + 1))


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_sheet_of_every_job(path: Path) -> None:
    plan = plan_file(str(path))
    said = sheet_html(plan)
    tags = _read(said)
    assert tags.unbalanced == [] and tags.open == []
    for line in plan.every_line:
        if line.refused is not None:
            assert "CANNOT BE DONE" in said and "Cannot be done:" in said


def test_line_that_splits_and_line_that_swings() -> None:
    plan = plan_text_of(SPLIT.format(title="Two rams", valve="valve"))
    page = sheet_html(plan)
    assert page.count('<article class="leg">') == 2
    assert "tee, " in page and "pivot" in page
    assert page.count("<svg ") == 1 + len(plan.every_line) + 1


@pytest.mark.parametrize("name", [
    "<script>alert(1)</script>", "</title><script>x</script>", "a' onload='x", "y" * 100, "مرفاع \u202egnorw", "🚜🔧👨‍🔧", "{{ 7 * 7 }}",
])
def test_hostile_names_stay_words(name: str) -> None:
    page = sheet_html(plan_text_of(SPLIT.format(title=name, valve=name)))
    tags = _read(page)
    assert tags.unbalanced == [] and tags.open == []
    assert "script" not in {tag for tag, _ in tags.seen}
    assert "\u202e" not in page and "49" not in re.findall(r"<h1>(.*?)</h1>", page)[0]
    assert name.replace("\u202e", "") in unescape(page)


@pytest.mark.parametrize("place", ["<script>alert(1)</script>", '"><b>bin', "y" * 200, "مرفاع \u202egnorw", "🚜🔧👨‍🔧", "{{ 7 * 7 }}"])
def test_hostile_places_on_the_shelf_stay_words(place: str) -> None:
    pytest.importorskip("highspy")
    shelf = Shelf("shelf.csv", (ShelfRow(2, 5, "o-ring 908", None, None, 0.1, place, "", "AS568-908"),), ())
    page = sheet_html(plan_job(read_job(SPLIT.format(title="Two rams", valve="valve")), None, shelf))
    tags = _read(page)
    assert tags.unbalanced == [] and tags.open == [] and not {"script"} & {tag for tag, _ in tags.seen}
    told = [unescape(each) for each in re.findall(r"from <b><bdi>(.*?)</bdi>", page)]
    assert "What to take from the shelf" in page and told == [place.replace("\u202e", "")]


def test_file_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "sheet.html"
    write_whole(str(target), "first")
    os.chmod(target, 0o640)
    write_whole(str(target), "second")
    assert target.read_text() == "second" and stat.S_IMODE(target.stat().st_mode) == 0o640
    with pytest.raises(OSError, match="No such file"):
        write_whole(str(tmp_path / "nowhere" / "sheet.html"), "x")
    with pytest.raises(UnicodeEncodeError):
        write_whole(str(target), "half \ud800")
    assert target.read_text() == "second" and [path.name for path in tmp_path.iterdir()] == ["sheet.html"]


def test_a_link_keeps_pointing_at_what_is_written(tmp_path: Path) -> None:
    (tmp_path / "real.svg").write_text("old")
    (tmp_path / "link.svg").symlink_to(tmp_path / "real.svg")
    write_whole(str(tmp_path / "link.svg"), "new")
    assert (tmp_path / "link.svg").is_symlink() and (tmp_path / "real.svg").read_text() == "new"


UNITS_OF = {"metric": r"\d (psi|lbf·ft|in)\b", "inch": r"\d (bar|N·m|mm)\b"}


@pytest.mark.parametrize("units", list(UNITS_OF))
@pytest.mark.parametrize("job", [DEMO, TEE], ids=lambda job: job.stem)
def test_drawings_keep_to_the_units_of_the_job(job: Path, units: str) -> None:
    """Words of drawings and of the lists under them; a hose's or thread's name is no measure, a ring's size is one."""
    page = sheet_html(plan_job(read_job(job.read_text("utf-8").replace('units = "both"', f'units = "{units}"'), str(job))))
    lists = re.findall(r'<ol class="marked (?:parts|joints)">(.*?)</ol>', page, re.S)
    drawn = re.findall(r"<text[^>]*>(.*?)</text>", page, re.S)
    assert len(lists) >= 6 and any("the bar is" in each for each in drawn)
    words = [unescape(re.sub(r"<[^>]*>", " ", each)) for each in (*lists, *drawn)]
    assert [found.group(0) for each in words for found in re.finditer(UNITS_OF[units], each)] == []
    own = UNITS_OF["inch" if units == "metric" else "metric"]
    assert {found.group(1) for each in words for found in re.finditer(own, each)} == set(re.findall(r"psi|lbf·ft|in\b|bar|N·m|mm", own))


def test_lengths_and_rings_in_inches() -> None:
    """ORB -8 x JIC -8 straight: 37.6 mm (a maker's adapter catalogue, reprinted), 1.48 in; AS568-908: 0.644 x 0.087 in (from memory)."""
    page = sheet_html(plan_text_of(DEMO.read_text("utf-8").replace('units = "both"', 'units = "inch"')))
    assert "1.48 in end to end" in page and "0.644 x 0.087 in" in page and ">1.48 in</text>" in page
