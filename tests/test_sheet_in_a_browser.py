"""The sheet and the drawings as a browser shows and prints them. Skipped where there is no Chromium.

Checked in the page itself: no word on another, nothing wider than the screen at 360 and 800 px, no violation of the
accessibility rules (axe-core, where its package is installed), and how many pages come out of the printer.
"""

import functools
import http.server
import importlib.util
import json
import re
import shutil
import subprocess
import threading
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from fittings.drawing import end_svg, gauge_html, pair_svg
from fittings.ends import end_by_id
from fittings.job.plan import plan_file, plan_text_of
from fittings.mating import mate
from fittings.reports.sheet import sheet_html

TOP = Path(__file__).parent.parent
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync"]

pytestmark = [pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: apt-get install chromium"), pytest.mark.xdist_group("browser")]

# words of one drawing that lie on one another, and what hangs over the right edge of the page
LOOK = """
function look(doc, win) {
  const bad = [];
  for (const svg of doc.querySelectorAll('svg')) {
    const all = [...svg.querySelectorAll('text')].map(t => [t.getBoundingClientRect(), t.textContent]);
    const edge = svg.getBoundingClientRect();
    for (let i = 0; i < all.length; i++) {
      const [a, x] = all[i];
      if (a.left < edge.left - 1 || a.right > edge.right + 1) bad.push('over the edge: ' + x);
      for (let j = i + 1; j < all.length; j++) {
        const [b, y] = all[j];
        if (a.left < b.right - 0.5 && b.left < a.right - 0.5 && a.top < b.bottom - 0.5 && b.top < a.bottom - 0.5)
          bad.push(x + ' lies on ' + y);
      }
    }
  }
  const root = doc.scrollingElement;
  if (root.scrollWidth > win.innerWidth) bad.push('wider than the screen: ' + root.scrollWidth + ' > ' + win.innerWidth);
  return bad;
}
"""


SHEETS = ("log-lift", "tailgate")

_LONG, _RTL, _TAG = "x" * 100, "مرفاع \\u202Egnorw", "<script>alert(1)</script>"
HOSTILE = f"""
title = "{_TAG}"
[system]
relief = "2500 psi"
flow = "8 gpm"
[[component]]
name = "{_LONG}"
kind = "valve"
ports = {{ A = "ORB -8 port", "🚜🔧👨‍🔧" = "ORB -8 port" }}
[[component]]
name = "{_RTL}"
cylinder = {{ bore = "2 in", rod = "1 in" }}
ports = {{ cap = "ORB -6 port", rod = "ORB -6 port" }}
back_driven = false
[[component]]
name = '{_TAG[:20]} "& co"'
cylinder = {{ bore = "2 in", rod = "1 in" }}
ports = {{ cap = "ORB -6 port" }}
vented = ["rod"]
back_driven = false
[[line]]
name = '</title> "& <b>'
from = "{_LONG}.A"
to = ["{_RTL}.cap", '{_TAG[:20]} "& co".cap']
route = {{ length = "40 in" }}
[[line]]
name = "{_LONG[:99]}y"
from = "{_LONG}.🚜🔧👨‍🔧"
to = "{_RTL}.rod"
route = {{ length = "40 in" }}
"""


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        """Say nothing."""


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("pages")
    jobs = [TOP / "tests" / "jobs" / f"{name}.toml" for name in ("bucket-diverter", "motor-with-drain", "shop-press")]
    for job in [*jobs, *(TOP / "docs" / "examples" / f"{name}.toml" for name in SHEETS)]:
        (folder / f"{job.stem}.html").write_text(sheet_html(plan_file(str(job))), "utf-8")
    (folder / "hostile.html").write_text(sheet_html(plan_text_of(HOSTILE)), "utf-8")
    for job, paper in (("log-lift", "Letter"), ("tailgate", "A4"), ("hostile", "A4")):
        page = (folder / f"{job}.html").read_text("utf-8")
        (folder / f"{job}-on-paper.html").write_text(page.replace("@media print", "@media all"), "utf-8")
        (folder / f"{job}-{paper}.html").write_text(page.replace("@page {", f"@page {{ size: {paper};", 1), "utf-8")
    (folder / "gauge-a4.html").write_text(gauge_html("a4"), "utf-8")
    (folder / "gauge-letter.html").write_text(gauge_html("letter"), "utf-8")
    drawings = [end_svg(end_by_id(each), root=False) for each in ("jic-6-male", "orb-8-port", "code61-12-head", "cone24-15L-tube-nut")]
    drawings += [pair_svg(mate(end_by_id(a), end_by_id(b)), root=False)
                 for a, b in (("jic-6-male", "orb-6-port"), ("npt-1/2-male", "bspt-1/2-female"))]
    (folder / "drawings.html").write_text(f"<!DOCTYPE html><meta charset=utf-8><title>d</title>{''.join(drawings)}", "utf-8")
    return folder


@pytest.fixture(scope="module")
def server(place: Path) -> Iterator[str]:
    served = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(_Quiet, directory=str(place)))
    threading.Thread(target=served.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{served.server_address[1]}"
    served.shutdown()


def _chromium(tmp_path: Path, *words: str) -> str:
    assert CHROMIUM is not None
    done = subprocess.run([CHROMIUM, *FLAGS, f"--user-data-dir={tmp_path / 'profile'}", *words], capture_output=True, text=True, timeout=240)
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


def _ask(server: str, place: Path, tmp_path: Path, page: str, wide: int, script: str, more: str = "") -> object:
    """Load a page in a frame of a width, run a script on it, and return what it found."""
    name = f"frame-{page}-{wide}-{len(script)}.html"
    (place / name).write_text(
        f"<!DOCTYPE html><meta charset=utf-8><pre id=out></pre><iframe id=f width={wide} height=900></iframe><script>{LOOK}\n"
        f"const frame = document.getElementById('f');\nframe.onload = async () => {{\n  const doc = frame.contentDocument;\n{more}"
        f"  document.getElementById('out').textContent = 'FOUND' + JSON.stringify({script}) + 'END';\n}};\nframe.src = '{page}.html';</script>", "utf-8")
    dumped = _chromium(tmp_path, "--virtual-time-budget=30000", "--dump-dom", f"{server}/{name}")
    found = re.search(r"FOUND(.*?)END</pre>", dumped, re.S)
    assert found is not None, dumped[:500]
    return json.loads(unescape(found.group(1)))


@pytest.mark.parametrize("wide", [360, 800])
@pytest.mark.parametrize("page", ["log-lift", "tailgate", "bucket-diverter", "motor-with-drain", "shop-press", "hostile"])
def test_nothing_lies_on_anything_or_is_cut_off(server: str, place: Path, tmp_path: Path, page: str, wide: int) -> None:
    assert _ask(server, place, tmp_path, page, wide, "look(doc, frame.contentWindow)") == []


def test_drawings_on_their_own(server: str, place: Path, tmp_path: Path) -> None:
    assert _ask(server, place, tmp_path, "drawings", 1200, "look(doc, frame.contentWindow)") == []


@pytest.mark.parametrize("page", ["log-lift", "shop-press", "hostile", "gauge-a4"])
def test_accessibility_rules(server: str, place: Path, tmp_path: Path, page: str) -> None:
    found = importlib.util.find_spec("axe_core_python")
    if found is None or found.origin is None:
        pytest.skip("axe-core-python is not installed")
    shutil.copy(Path(found.origin).parent / "axe.min.js", place / "axe.js")
    load = ("  await new Promise(done => { const s = doc.createElement('script'); s.src = 'axe.js'; s.onload = done; "
            "doc.head.append(s); });\n  const told = await frame.contentWindow.axe.run(doc);\n")
    wrong = _ask(server, place, tmp_path, page, 800,
                 "told.violations.map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120)).join(' | '))", load)
    assert wrong == []


def _pages(pdf: bytes) -> int:
    return max(int(count) for count in re.findall(rb"/Count (\d+)", pdf))


@pytest.mark.parametrize(("page", "least", "most"), [
    ("log-lift-Letter", 6, 9), ("tailgate-A4", 6, 10), ("hostile-A4", 4, 12), ("gauge-a4", 4, 4), ("gauge-letter", 4, 4),
])
def test_pages_that_come_out_of_the_printer(server: str, tmp_path: Path, page: str, least: int, most: int) -> None:
    """No more pages than that, and on none of them a word that lies on another or hangs over the edge of the paper."""
    out = tmp_path / "out.pdf"
    _chromium(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={out}", f"{server}/{page}.html")
    assert least <= _pages(out.read_bytes()) <= most
    assert _words_in_the_way(out) == []


def _words_in_the_way(pdf: Path) -> list[str]:
    """Words of a printed page that lie on one another or hang over its edge, as poppler reads them; none where it is missing."""
    if shutil.which("pdftotext") is None:
        return []
    told = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    wrong = []
    for number, page in enumerate(told.split("<page ")[1:], 1):
        wide, high = (float(each) for each in re.findall(r'(?:width|height)="([\d.]+)"', page)[:2])
        words = [(*(float(each) for each in box), unescape(word)) for *box, word in re.findall(
            r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>', page)]
        for n, (left, top, right, bottom, word) in enumerate(words):
            if left < 0 or top < 0 or right > wide or bottom > high:
                wrong.append(f"page {number}: {word!r} hangs over the edge")
            for left_2, top_2, right_2, bottom_2, other in words[n + 1:]:
                # lines stand closer than the boxes that poppler draws around them, so a third of the height may be shared
                deep = min(bottom, bottom_2) - max(top, top_2)
                if min(right, right_2) - max(left, left_2) > 1.0 and deep > 0.34 * min(bottom - top, bottom_2 - top_2):
                    wrong.append(f"page {number}: {word!r} lies on {other!r}")
    return wrong


A4_MM, SIDES_MM, PX_PER_MM = 210.0, 24.0, 96 / 25.4


@pytest.mark.parametrize("page", SHEETS)
def test_drawings_are_printed_to_the_scale_that_they_state(server: str, place: Path, tmp_path: Path, page: str) -> None:
    """On paper no drawing of a line is shrunk: a millimetre of its page is a millimetre (CSS: 96 px to the inch), and none is
    wider than A4 between its margins. The diagram has no scale."""
    wide = round((A4_MM - SIDES_MM) * PX_PER_MM) + 15  # the bar that the frame scrolls by
    script = "[...doc.querySelectorAll('article svg')].map(s => s.getBoundingClientRect().width / s.viewBox.baseVal.width)"
    scales = _ask(server, place, tmp_path, f"{page}-on-paper", wide, script)
    assert isinstance(scales, list) and len(scales) >= 4
    assert scales == [pytest.approx(PX_PER_MM, rel=0.002)] * len(scales)


LETTER_HIGH_MM = 279.4 - 24.0
"""US Letter less the margins of the sheet, top and bottom."""


def test_a_high_diagram_is_printed_whole_on_one_page(server: str, place: Path, tmp_path: Path) -> None:
    """A valve, five blocks on one another and a cylinder are higher than US Letter (279.4 mm): the diagram has no scale to keep."""
    names = ["valve", *(f"block {n}" for n in range(5)), "ram"]
    tables = ['[system]\nrelief = "2500 psi"\nflow = "8 gpm"', '[[component]]\nname = "valve"\nkind = "valve"\nports = { A = "ORB -8 port" }',
              '[[component]]\nname = "ram"\ncylinder = { bore = "2 in", rod = "1 in" }\nports = { cap = "ORB -8 port" }\nvented = ["rod"]']
    tables += [f'[[component]]\nname = "{each}"\nkind = "manifold"\nports = {{ in = "ORB -8 port", A = "ORB -8 port" }}' for each in names[1:-1]]
    ports = [*(f"{each}.in" for each in names[1:-1]), "ram.cap"]
    tables += [f'[[line]]\nname = "{a} up"\nfrom = "{a}.A"\nto = "{to}"' for a, to in zip(names, ports, strict=False)]
    page = sheet_html(plan_text_of("\n".join(tables)))
    (place / "high.html").write_text(page.replace("@media print", "@media all"), "utf-8")
    script = "[doc.querySelector('section > div > .picture svg')].map(s => [s.getBoundingClientRect().height, s.viewBox.baseVal.height])[0]"
    found = _ask(server, place, tmp_path, "high", round((A4_MM - SIDES_MM) * PX_PER_MM) + 15, script)
    assert isinstance(found, list)
    printed_px, whole_mm = found
    assert printed_px / PX_PER_MM < LETTER_HIGH_MM < whole_mm


def test_gauge_is_printed_on_its_own_paper_and_not_scaled(server: str, tmp_path: Path) -> None:
    """ISO 216 A4 is 210 x 297 mm: 595.28 x 841.89 points; Letter is 612 x 792."""
    for page, size in (("gauge-a4", (595.28, 841.89)), ("gauge-letter", (612.0, 792.0))):
        out = tmp_path / f"{page}.pdf"
        _chromium(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={out}", f"{server}/{page}.html")
        box = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", out.read_bytes())
        assert box is not None
        assert [float(each) for each in box.groups()] == [pytest.approx(each, abs=1.0) for each in size]


LEFT_ON_PAGE_MM = range(8, 104, 8)


def test_a_heading_is_printed_whole_and_with_what_follows(place: Path, server: str, tmp_path: Path) -> None:
    """The steps printed over and over, each time with some millimetres more left on the page: heading, hose and first step of a
    line stand in one column, and no line of a paragraph stands alone."""
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext here: apt-get install poppler-utils")
    page = (place / "tailgate-A4.html").read_text("utf-8")
    (steps,) = re.findall(r"<section>\s*<h2>Putting it together.*?</section>", page, re.S)
    printed = "".join(f'<div style="break-before: page; height: {A4_HIGH_MM - left}mm"></div>{steps}' for left in LEFT_ON_PAGE_MM)
    (place / "steps.html").write_text(re.sub(r"<body>.*</body>", lambda _: f"<body>{printed}</body>", page, flags=re.S), "utf-8")
    out = tmp_path / "out.pdf"
    _chromium(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={out}", f"{server}/steps.html")
    pages = _printed_words(out)
    begun = [*re.findall(r'<p class="lead">.*?</p>', steps, re.S), *re.findall(r"<h3>.*?</li>", steps, re.S)]
    assert len(begun) >= 5
    whole = [re.sub(r"<[^>]*>", " ", each.split("<ul")[0]).split() for each in begun]
    assert {" ".join(unescape(word) for word in each): _in_one_column(pages, [unescape(word) for word in each]) for each in whole} == {
        " ".join(unescape(word) for word in each): len(LEFT_ON_PAGE_MM) for each in whole}


A4_HIGH_MM = 297.0 - 24.0
"""A4 less the margins of the sheet, top and bottom."""

_Word = tuple[float, float, str]


def _printed_words(pdf: Path) -> list[list[_Word]]:
    """The words of every printed page in the order they were set in: left and top edge, word."""
    told = subprocess.run(["pdftotext", "-raw", "-bbox", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    return [[(float(x), float(y), unescape(word)) for x, y, word in re.findall(
        r'<word xMin="([-\d.]+)" yMin="([-\d.]+)"[^>]*>(.*?)</word>', page)] for page in told.split("<page ")[1:]]


def _in_one_column(pages: list[list[_Word]], words: list[str]) -> int:
    """How often these words are printed one after the other without ever going up the page again."""
    count = 0
    for page in pages:
        for n in range(len(page) - len(words) + 1):
            run = page[n:n + len(words)]
            if [word for _, _, word in run] == words:
                count += all(after[1] > before[1] - 6.0 for before, after in zip(run, run[1:], strict=False))
    return count
