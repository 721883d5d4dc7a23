"""The command line as a stranger uses it: exit codes, JSON shape, and no traceback for anything typed."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from budget import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings.cli import run

TOP = Path(__file__).resolve().parent.parent


def ask(*words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    code = run(words)
    out, err = capsys.readouterr()
    return code, out, err


CODES = [
    # exit codes of the design: 0 answered, 1 refused, 2 not understood, 3 not covered
    (["mate", "ORB -6 port", "ORB -6 male"], 0),
    (["mate", "NPT 1/2 male", "NPSM 1/2 swivel"], 0),
    (["mate", "JIC -6 male", "ORB -6 port"], 1),
    (["mate", "JIC -6 male", "JIC -6 male"], 1),
    (["mate", "JIC -7 male", "JIC -6 male"], 3),
    (["mate", "nptt", "JIC -6 male"], 2),
    (["mate", "3/4 JIC", "JIC -6 male"], 2),
    (["mate", "only one"], 2),
    (["join", "ORB -6 port", "JIC -8 swivel", "--psi", "3000"], 0),
    (["join", "ORB -6 port to JIC -8 swivel"], 0),
    (["join", "ORB -6 port", "JIC -8 swivel", "--psi", "9000"], 1),
    (["join", "ORB -6 port", "JIC -8 swivel", "--psi", "lots"], 2),
    (["join", "ORB -6 port", "JIC -8 swivel", "--psi", "-5"], 2),
    (["join", "ORB -6 port", "JIC -8 swivel", "--avoid", "nptt"], 2),
    (["join", "ORB -6 port", "JIC -8 swivel", "--shape-from", "60"], 2),
    (["join", "ORB -8 port", "JIC -6 swivel", "JIC -6 swivel"], 0),
    (["join", "-8 JIC male", "-6 ORB port"], 0),
    (["show", "15L swivel"], 0),
    (["show", "90 ORB -6 male x JIC -6 male"], 0),
    (["show", "JIC -7 male"], 3),
    (["show", "1/4 PT"], 2),
    (["show", ""], 2),
    (["sources"], 0),
    (["sources", "memory"], 0),
    (["sources", "no-such"], 2),
    (["plan", "no-such.toml"], 2),
    (["check", "no-such.toml"], 2),
    (["wiggle"], 2),
    (["join", "--wiggle"], 2),
]


@pytest.mark.parametrize(("words", "code"), CODES, ids=lambda each: " ".join(each) if isinstance(each, list) else str(each))
def test_exit_codes(words: list[str], code: int, capsys: pytest.CaptureFixture[str]) -> None:
    got, out, err = ask(*words, capsys=capsys)
    assert got == code, err
    assert "Traceback" not in out + err
    assert bool(out) == (code in (0, 1) or (code == 3 and not err))


@pytest.mark.parametrize(("words", "code"), [each for each in CODES if each[1] in (2, 3)],
                         ids=lambda each: " ".join(each) if isinstance(each, list) else str(each))
def test_failures_have_a_json_form(words: list[str], code: int, capsys: pytest.CaptureFixture[str]) -> None:
    got, out, _ = ask(*words, "--json", capsys=capsys)
    assert got == code
    error = json.loads(out)["error"]
    assert set(error) >= {"kind", "typed", "text", "ask", "candidates"}
    assert error["kind"] in ("not understood", "ambiguous", "bad input", "not covered")
    assert error["text"]


END_FIELDS = {"id", "family", "size", "form", "sex", "thread", "standard", "say"}


def test_show_json(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = ask("show", "ORB -6 port", "--json", capsys=capsys)
    shown = json.loads(out)
    assert set(shown) >= {"end", "limits", "figures", "mates", "looks_like"}
    assert set(shown["end"]) >= END_FIELDS
    assert set(shown["limits"]) >= {"external", "internal", "unit", "tpi", "pitch_mm", "flank_deg", "taper"}
    assert set(shown["limits"]["internal"]) == {"minor_max", "minor_min", "pitch_max", "pitch_min"}
    assert shown["limits"]["tpi"] == 18
    assert all(set(each) >= {"name", "value", "unit", "source", "confidence", "also"} for each in shown["figures"])
    assert {each["end"]["family"] for each in shown["looks_like"]} >= {"jic", "orfs"}


def test_mate_json(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = ask("mate", "ORB -6 port", "ORB -6 male", "--json", capsys=capsys)
    verdict = json.loads(out)
    assert set(verdict) >= {"a", "b", "engages", "seals", "verdict", "condition", "seal", "rating", "torque", "reasons", "instead"}
    assert set(verdict["seal"]) >= {"kind", "ring"}
    assert verdict["seal"]["ring"] == "AS568-906"
    assert set(verdict["rating"]) >= {"psi", "bar", "source"}
    assert all(set(each) >= {"code", "text", "sources"} for each in verdict["reasons"])


def test_mate_in_another_material(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """SAE J514: NPTF 3/8 is rated 3000 psi in steel; brass half of it; malleable iron never in a pressure line."""
    ends = ("mate", "NPT 3/8 male", "NPT 3/8 female", "--material")
    code, out, _ = ask(*ends, "brass", "--json", capsys=capsys)
    verdict = json.loads(out)
    assert (code, verdict["rating"]["psi"], verdict["rating_in_steel"]["psi"], verdict["derated"]["psi"]) == (0, 1500, 3000, 1500)
    _, out, _ = ask(*ends, "brass", capsys=capsys)
    assert "rating          1500 psi (103.4 bar), in brass; 3000 psi in steel" in out
    code, out, _ = ask(*ends, "malleable-iron", "--json", capsys=capsys)
    verdict = json.loads(out)
    assert (code, verdict["verdict"], verdict["rating"]["psi"]) == (1, "unsafe", 0)
    code, out, _ = ask(*ends, "malleable-iron", capsys=capsys)
    assert code == 1 and "NOT in a pressure line" in out and "CONDITIONAL" not in out
    code, out, _ = ask("mate", "BSPT 3/8 male", "BSPT 3/8 female", "--material", "malleable-iron", capsys=capsys)
    assert code == 1
    ask(*ends, "malleable-iron", "--svg", str(tmp_path / "pair.svg"), capsys=capsys)
    drawn = (tmp_path / "pair.svg").read_text("utf-8")
    assert "UNSAFE" in drawn and "the taper threads themselves" in drawn and "different angles" not in drawn


def test_a_nipple_between_two_ports_says_that_one_must_be_turned(capsys: pytest.CaptureFixture[str]) -> None:
    """Two right-hand threads on one piece screw into one hole and out of the other (plain geometry)."""
    _, out, _ = ask("join", "ORB -8 port", "ORB -8 port", "--json", capsys=capsys)
    for chain in json.loads(out)["chains"]:
        turns = any("swivel" in joint[side] for joint in chain["joints"] for side in "ab")
        assert chain["needs_a_turn"] == (not turns)
    _, out, _ = ask("join", "ORB -8 port", "ORB -8 port", capsys=capsys)
    assert "only if one side can be turned as a whole" in out
    _, out, _ = ask("join", "ORB -8 port", "ORB -8 port", "--fixed", capsys=capsys)
    assert "turned as a whole" not in out


def test_a_rating_is_never_told_without_its_source(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = ask("join", "ISO 9974 M22x1.5 port", "JIC -8 male", capsys=capsys)
    assert "2320 psi (160 bar) [memory; C] (from memory)" in out
    _, out, _ = ask("join", "ISO 9974 M22x1.5 port", "JIC -8 male", "--json", capsys=capsys)
    assert json.loads(out)["chains"][0]["rating"]["confidence"] == "C"


def test_join_json(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = ask("join", "ORB -6 port", "JIC -8 swivel", "--psi", "3000", "--json", capsys=capsys)
    answer = json.loads(out)
    assert set(answer) == {"from", "to", "chains", "refused", "taken"}
    (chain, *_) = answer["chains"]
    assert set(chain) >= {"parts", "joints", "rating_psi", "weakest", "gives_up"}
    assert set(chain["parts"][0]) >= {"say", "shape", "had", "ends"}
    assert set(chain["joints"][0]) >= {"a", "b", "verdict", "seal", "rating_psi"}
    # SAE J514: 37° swivel -8 is rated 4000 psi, the boss stud -6 5000 psi
    assert chain["rating_psi"] == 4000


def test_refusal_json(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = ask("join", "ORB -6 port", "JIC -8 swivel", "--psi", "5500", "--json", capsys=capsys)
    refused = json.loads(out)["refused"]
    assert code == 1
    assert refused["kind"] == "excluded by your limits"
    numbers = {fact["n"] for fact in refused["facts"]}
    assert all(set(some) <= numbers for some in refused["because"])
    # the rating that the swivel has: the hint was run before it was told
    assert any("4000 psi instead of 5500" in hint["text"] for hint in refused["hints"])
    for hint in refused["hints"]:
        words = hint["run"].split()[1:]
        assert run([*words, "--json"]) == 0


@settings(max_examples=examples(120), deadline=None)
@given(st.lists(st.text(max_size=30), max_size=5), st.sampled_from(["show", "mate", "join", "sources", ""]))
def test_nothing_typed_makes_a_traceback(words: list[str], verb: str) -> None:
    line = [verb, *words] if verb else words
    assert run(line) in (0, 1, 2, 3)


def test_no_colour_and_eighty_columns() -> None:
    done = subprocess.run([sys.executable, "-m", "fittings", "show", "ORB -6 port"], cwd=TOP, capture_output=True, text=True)
    assert done.returncode == 0
    assert "\x1b" not in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_completion_script_is_written() -> None:
    """As docs/completion.md tells."""
    import os

    done = subprocess.run([sys.executable, "-c", "import sys; sys.argv = ['fittings']; from fittings.cli import main; main()"],
                          cwd=TOP, capture_output=True, text=True, env={**os.environ, "_FITTINGS_COMPLETE": "source_bash"})
    assert "complete" in done.stdout


@pytest.mark.parametrize("material", ["aluminium", "aluminum", "Aluminium-port"])
def test_a_material_by_its_beginning(material: str, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = ask("mate", "ORB -8 stud", "ORB -8 port", "--material", material, capsys=capsys)
    assert "in aluminium-port" in out


def test_an_end_without_quotes_is_told_of_them(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = ask("mate", "jic", "8", "male", "orb", "8", "port", capsys=capsys)
    assert code == 2 and "stands in quotes" in err


@pytest.mark.parametrize(("words", "said"), [
    (["mate", "JIC -6 male", "JIC -6 tube nut"], "the wall of the tube may carry less"),
    (["mate", "24° cone 15L male", "24° cone 15L tube nut"], "the wall of the tube may carry less"),
    (["show", "JIC -6 tube nut"], "the wall of the tube may carry less"),
    (["join", "JIC -6 tube nut", "ORB -6 port"], "the wall of the tube may carry less"),
    (["join", "ORB -8 port", "JIC -8 swivel", "--avoid", "jic"], "JIC -8 female swivel is JIC itself, which was to be avoided"),
    (["identify", "--od", "14.2 mm", "--tpi", "18", "--instrument", "micrometer"], "micrometer taken as caliper"),
    (["join", "SAE 45 flare -8 male", "NPT 1/2 female"], "straight, NPT 1/2 male × SAE 45° flare -8 female swivel"),
    (["join", "inverted flare -6 female", "ORB -6 port"], "NO CHAIN: not covered"),
])
def test_what_is_known_is_told(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    run(words)
    assert said in " ".join(capsys.readouterr().out.replace("|", " ").split())


def test_flanges_of_two_patterns_are_told_apart_in_words_of_flanges(capsys: pytest.CaptureFixture[str]) -> None:
    run(["mate", "code 61 12 head", "code 62 12 pad"])
    told = " ".join(capsys.readouterr().out.split())
    assert "are flanges of two patterns" in told
    assert "lock" not in told


def test_a_suction_line_is_sized_without_a_pressure(capsys: pytest.CaptureFixture[str]) -> None:
    """It was left out without a word."""
    assert run(["size", "--flow", "8 gpm", "--kind", "suction", "--psi", "3000"]) == 2
    assert "a suction line sees no pressure" in capsys.readouterr().err
    assert run(["size", "--flow", "8 gpm", "--kind", "suction"]) == 0
