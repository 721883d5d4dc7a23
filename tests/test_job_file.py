"""The job file: every mistake at once, each on its line, with what was read and what would be right; and no traceback."""

import tomllib
from pathlib import Path

import pytest
from budget import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.job.mistakes import BadJob, Mistake
from fittings.job.reading import LARGEST_BYTES, read_job, read_job_file
from fittings.job.template import TEMPLATE
from fittings.job.toml_lines import line_of, toml_lines

TOP = Path(__file__).resolve().parent.parent
DEMO = (TOP / "docs" / "examples" / "log-lift.toml").read_text("utf-8")

GOOD = """[system]
relief = "2500 psi"
flow = "8 gpm"
[[component]]
name = "valve"
ports = { A = "ORB -8 port", B = "ORB -8 port" }
[[component]]
name = "ram"
cylinder = { bore = "2 in", rod = "1.25 in" }
ports = { cap = "ORB -6 port", rod = "ORB -6 port" }
[[line]]
name = "lift"
from = "valve.A"
to = "ram.cap"
[[line]]
name = "lower"
from = "valve.B"
to = "ram.rod"
"""


def mistakes(text: str) -> list[Mistake]:
    with pytest.raises(BadJob) as caught:
        read_job(text, "job.toml")
    return caught.value.mistakes


def test_a_good_job_is_read() -> None:
    job = read_job(GOOD)
    assert (job.system.relief_psi, job.system.flow_gpm) == (2500, 8)
    assert [line.name for line in job.line] == ["lift", "lower"]
    assert job.component[1].ports["cap"].end.id == "orb-6-port"


@pytest.mark.parametrize("text", [DEMO, TEMPLATE])
def test_the_files_that_we_hand_out_are_read(text: str) -> None:
    assert read_job(text).line


def test_a_component_whose_name_may_be_is_a_component_that_lines_may_name() -> None:
    longest = "v" * 120
    job = read_job(GOOD.replace("valve", longest))
    assert [line.from_ for line in job.line] == [f"{longest}.A", f"{longest}.B"]
    (too_long,) = mistakes(GOOD.replace('"valve"', f'"{longest}x"').replace("valve.", f"{longest}x."))
    assert "120" in too_long.wrong
    of_its_port = mistakes(GOOD.replace("A =", "A" * 241 + " =").replace("valve.A", "valve." + "A" * 241))
    assert [each.line for each in of_its_port if "component and its port" in each.wrong] == [13]


# what is changed in the good job: (old, new, line of the mistake, where it is named, what would be right is said with)
ONE_BY_ONE = [
    ('relief = "2500 psi"', "relief = 2500", 2, "relief", '"2500 psi"'),
    ('relief = "2500 psi"', 'relief = "2500"', 2, "relief", "psi"),
    ('relief = "2500 psi"', 'relief = "lots"', 2, "relief", "psi"),
    ('relief = "2500 psi"', 'relief = "0 psi"', 2, "relief", "psi"),
    ('relief = "2500 psi"', 'relief = "999999 psi"', 2, "relief", "psi"),
    ('relief = "2500 psi"', 'relief = true', 2, "relief", "psi"),
    ('flow = "8 gpm"', 'flwo = "8 gpm"', 3, "system", "flow"),
    ('flow = "8 gpm"', 'flow = "8 gpm"\noil = "olive"', 4, "oil", "ISO VG 46"),
    ('flow = "8 gpm"', 'flow = "8 gpm"\ntemperature = { cold = "70 C", hot = "20 C" }', 4, "temperature", "cold"),
    ('flow = "8 gpm"', 'flow = "8 gpm"\ntemperature = { cold = "cool" }', 4, "temperature.cold", "60 °C"),
    ('A = "ORB -8 port"', 'A = "ORBB -8 port"', 6, "ports.A", "ORB"),
    ('A = "ORB -8 port"', 'A = "ORB -7 port"', 6, "ports.A", "-6"),
    ('A = "ORB -8 port"', 'A = 8', 6, "ports.A", "ORB -8 port"),
    ('name = "ram"', 'name = "valve"', 8, "component", "name of its own"),
    ('name = "ram"', 'name = "ram"\nkind = "cylindre"', 9, "kind", "cylinder"),
    ('bore = "2 in", rod = "1.25 in"', 'bore = "1 in", rod = "1.25 in"', 9, "cylinder", "thinner"),
    ('bore = "2 in", rod', 'bohre = "2 in", rod', 9, "cylinder", "bore"),
    ('rod = "ORB -6 port"', 'annulus = "ORB -6 port"', 10, "component", "rod"),
    ('rod = "ORB -6 port" }', 'rod = "ORB -6 port" }\nback_driven = "no"', 11, "back_driven", "false"),
    ('rod = "ORB -6 port" }', 'rod = "ORB -6 port" }\nvented = ["rode"]', 11, "vented", "rod"),
    ('name = "lift"', 'name = "lift"\nkind = "presure"', 13, "kind", "pressure"),
    ('from = "valve.A"', 'from = "valve.C"', 13, "from", "A, B"),
    ('from = "valve.A"', 'from = "vavle.A"', 13, "from", "valve.A"),
    ('from = "valve.A"', 'from = "valve"', 13, "from", "valve.A"),
    ('from = "valve.A"', 'from = "valve."', 13, "from", "A, B"),
    ('from = "valve.A"\n', "", 11, "from", "valve.A"),
    ('to = "ram.cap"\n', "", 11, "line", "to ="),
    ('to = "ram.cap"', 'to = "ram.rod"', 18, "to", "split"),
    ('to = "ram.cap"', 'to = ["ram.cap", "ram.cap"]', 14, "to", "to = ["),
    ('name = "lower"', 'name = "lift"', 16, "line", "name of its own"),
    ('from = "valve.B"', 'from = "valve.B"\nroute = { length = "84" }', 18, "route.length", "84 in"),
    ('from = "valve.B"', 'from = "valve.B"\nroute = { }', 18, "route", "length"),
    ('from = "valve.B"', 'from = "valve.B"\nroute = { swing = { pivot_to_from = "3 in", angle = ["1 deg"] } }', 18, "swing",
     "pivot_to_to"),
    ('from = "valve.B"', 'from = "valve.B"\nat_to = { shape = "60" }', 18, "at_to.shape", "45"),
    ('from = "valve.B"', 'from = "valve.B"\nhose = { type = "R99" }', 18, "hose.type", "R1"),
    ('from = "valve.B"', 'from = "valve.B"\nhose = { size = "-7" }', 18, "hose.size", "-8"),
    ('from = "valve.B"', 'from = "valve.B"\nhose = { ends = ["JIC -8 swivel"] }', 18, "hose.ends", "two ends"),
    ('to = "ram.rod"\n', 'to = "ram.rod"\nhose = { ends = "JIC -8 female swivel" }\n[limits]\navoid = ["jic"]\n', 19, "hose.ends", "avoid"),
    ('to = "ram.rod"\n', 'to = "ram.rod"\n[limits]\navoid = ["nptt"]\n', 20, "avoid", "npt"),
    ('to = "ram.rod"\n', 'to = "ram.rod"\n[limits]\nmax_parts = "3"\n', 20, "max_parts", "0 to 5"),
    ('to = "ram.rod"\n', 'to = "ram.rod"\n[limit]\nmax_parts = 3\n', 19, "top of the file", "limits"),
    ("[system]", "system = 3\n[systems]", 1, "system", "table"),
]


@pytest.mark.parametrize(("old", "new", "line", "where", "right"), ONE_BY_ONE, ids=[each[1][:50] for each in ONE_BY_ONE])
def test_one_mistake_is_told_on_its_line(old: str, new: str, line: int, where: str, right: str) -> None:
    assert old in GOOD
    found = mistakes(GOOD.replace(old, new, 1))
    on_line = [each for each in found if each.line == line]
    assert on_line, [each.say() for each in found]
    assert any(where in each.where and right in f"{each.wrong} {each.right}" for each in on_line), [each.say() for each in on_line]


def test_all_mistakes_are_told_at_once_in_the_order_of_the_file() -> None:
    changes = [each for each in ONE_BY_ONE if "\n" not in each[0] + each[1] and not each[1].startswith("system")]
    one_per_line = list({each[2]: each for each in changes}.values())
    text = GOOD
    for old, new, _, _, _ in one_per_line:
        text = text.replace(old, new, 1)
    found = mistakes(text)
    lines = [each.line or 0 for each in found]
    assert lines == sorted(lines)
    assert {each[2] for each in one_per_line} <= set(lines)
    assert len(one_per_line) > 8


def test_what_was_typed_is_shown() -> None:
    (mistake,) = mistakes(GOOD.replace('"2500 psi"', '"2,5x psi"'))
    assert mistake.typed == "2,5x psi"
    assert "“2,5x psi”" in mistake.say("job.toml")
    assert mistake.say("job.toml").startswith("job.toml:2: system, relief")


@pytest.mark.parametrize("text", ["", "a", "x = [[[[", '[system]\nrelief = "', "[[line]]\n[line]\n", "a.b = 1\na = 2\n"])
def test_broken_files_are_told_too(text: str) -> None:
    assert mistakes(text)


def test_a_file_that_is_no_text(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_bytes(b"title = 'a'\nunits = '\xff\xfe'\n")
    with pytest.raises(BadJob) as caught:
        read_job_file(str(file))
    assert (caught.value.mistakes[0].line, caught.value.mistakes[0].wrong) == (2, "not written in UTF-8")
    file.write_bytes(b"#" * (LARGEST_BYTES + 1))
    with pytest.raises(BadJob):
        read_job_file(str(file))


def test_a_file_with_a_byte_order_mark_and_windows_lines_is_read(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert read_job_file(str(file)).line


def test_ambiguous_end_asks_back() -> None:
    (mistake,) = mistakes(GOOD.replace('A = "ORB -8 port"', 'A = "3/4 JIC"'))
    assert mistake.line == 6
    assert "?" in mistake.right


# --- the line finder against the reader of the standard library ---------------------------------------------------------

TOML = '''title  = "Log # lift"
[system]
relief = """a
b\\""" c"""
temperature = { cold = "-10 C", hot = "60 C" }
[[component]]
name = "v"
ports = { A = "x", "B c" = "y" }
[[component]]
name='w'
cylinder.bore = "3"
[[line]]
to = [ "a", # x
  "b",
  "c" ]
[line.at_to]
shape = "90"
[[line]]
n = 1
[[line.branch]]
to = "q"
[[line.branch]]
to = "r"
'''


def _paths(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [each for key, below in inside for each in [(*path, key), *_paths(below, (*path, key))]]


@pytest.mark.parametrize("text", [TOML, DEMO, TEMPLATE, GOOD])
def test_every_key_of_a_file_has_a_line_that_names_it(text: str) -> None:
    lines, found = text.split("\n"), toml_lines(text)
    for path in _paths(tomllib.loads(text)):
        line = line_of(found, path)
        assert line is not None
        key = next(part for part in reversed(path) if isinstance(part, str))
        if path in found and isinstance(path[-1], str):
            assert key in lines[line - 1], path


def test_lines_by_hand() -> None:
    found = toml_lines(TOML)
    assert found["system", "temperature", "hot"] == 5
    assert found["component", 1, "cylinder", "bore"] == 11
    assert (found["line", 0, "to", 1], found["line", 0, "at_to", "shape"]) == (14, 17)
    assert (found["line", 1, "branch", 1, "to"], line_of(found, ("line", 1, "branch", 1, "wrong"))) == (23, 22)


@settings(max_examples=examples(150), deadline=None)
@given(st.text(max_size=80))
def test_no_text_is_answered_with_anything_but_a_bad_job(text: str) -> None:
    with pytest.raises(BadJob):
        read_job(text)


_ODD = st.recursive(st.none() | st.booleans() | st.integers(-5, 5) | st.text("ab.-\"", max_size=5),
                    lambda below: st.lists(below, max_size=3), max_leaves=6)


@settings(max_examples=examples(150), deadline=None)
@given(st.sampled_from([line for line in GOOD.split("\n") if "=" in line]), _ODD)
def test_no_odd_value_gives_a_traceback(line: str, value: object) -> None:
    import json

    written = json.dumps(value).replace("null", '"" ')
    text = GOOD.replace(line, f"{line.split('=')[0]}= {written}", 1)
    try:
        read_job(text)
    except BadJob as error:
        assert all(each.wrong for each in error.mistakes)
