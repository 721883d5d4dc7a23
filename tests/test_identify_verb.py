"""The verb: exit codes, what goes where, the dialogue at a terminal."""

import io
import json
import sys
from pathlib import Path

import pytest
import typer

from fittings.cli.frame import Failure
from fittings.cli.identify import identify as verb


class Terminal(io.StringIO):
    """Typed lines, as from a terminal."""

    def isatty(self) -> bool:
        return True


def _run(**typed: object) -> int:
    with pytest.raises(typer.Exit) as left:
        verb(**typed)  # type: ignore[arg-type]
    return left.value.exit_code


def test_an_answer_goes_to_stdout(capsys: pytest.CaptureFixture[str]) -> None:
    assert _run(od="14.2 mm", tpi="18", male=True) == 0
    said = capsys.readouterr()
    assert "JIC -6 male" in said.out and said.err == ""


def test_json_is_nothing_but_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert _run(id_="12.9 mm", tpi="18", swivel=True, as_json=True) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["candidates"][0]["end"]["sex"] == "female"


@pytest.mark.parametrize("typed", [{"od": "banana"}, {"nose": "green"}, {"od": "14 mm", "tpi": "999"}, {"plus_minus": "0.1"}])
def test_bad_input_is_exit_2_with_what_would_be_right(typed: dict[str, str]) -> None:
    with pytest.raises(Failure) as caught:
        verb(**typed)  # type: ignore[arg-type]
    assert caught.value.code == 2 and caught.value.ask


def test_bare_and_not_a_terminal_shows_an_example(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    with pytest.raises(Failure) as caught:
        verb()
    assert caught.value.code == 2 and "fittings identify --od" in (caught.value.ask or "")


def test_bare_in_a_terminal_asks_until_it_is_clear(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal("male\nhuge\n14.2 mm\nback\n14.2 mm\ncone\n18\n"))
    assert _run() == 0
    said = capsys.readouterr()
    assert "1. Is the thread on the outside" in said.err and "not a length" in said.err
    assert said.out.count("JIC -6 male") > 1 and 'fittings join "jic-6-male"' in said.out
    assert "SAE J514" in said.out and "id jic-6-male" in said.out


@pytest.mark.parametrize("lines", ["", "stop\n", "?\n?\n?\n?\n?\n?\n?\n?\n?\n?\n?\n?\n?\n?\n?\n?\n"])
def test_dialogue_can_be_left_at_any_time(lines: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal(lines))
    assert _run() == 0
    assert "no reading yet" in capsys.readouterr().out


def test_batch(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawer = tmp_path / "drawer.csv"
    drawer.write_text("name,od,tpi,nose\na,14.2 mm,18,cone\nb,21.9 mm,,\n", encoding="utf-8")
    assert _run(batch=str(drawer)) == 0
    assert "a: JIC -6 male" in capsys.readouterr().out
    assert _run(batch=str(drawer), as_json=True) == 0
    assert len(json.loads(capsys.readouterr().out)["rows"]) == 2


def _batch(tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str) -> str:
    drawer = tmp_path / "drawer.csv"
    drawer.write_text(text, encoding="utf-8")
    _run(batch=str(drawer))
    said = capsys.readouterr()
    return " ".join((said.out + said.err).split())


def test_batch_names_the_column_of_a_word_that_is_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = _batch(tmp_path, capsys, "name,od,male,straight\na,14.2 mm,perhaps,\nb,14.2 mm,yes,maybe\n")
    assert "a: cannot be used: male: “perhaps”: not a word that we know here; write yes, no" in told
    assert "b: cannot be used: straight: “maybe”" in told


@pytest.mark.parametrize("tick", ["yes", "male", "Male", "m", "x", "X"])
def test_batch_takes_a_tick_or_the_word_for_a_male(tick: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "a: JIC -6 male" in _batch(tmp_path, capsys, f"name,od,tpi,nose,male\na,14.2 mm,18,cone,{tick}\n")


def test_batch_whose_labels_stand_under_id_says_what_to_do(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "id is the inside diameter here: call a column of labels name" in _batch(tmp_path, capsys, "id,od\na,14.2 mm\n")


@pytest.mark.parametrize("sign", [";", "\t"])
def test_batch_with_another_sign_between_the_cells(sign: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "a: JIC -6 male" in _batch(tmp_path, capsys, "name,od,tpi,nose\na,14.2 mm,18,cone\n".replace(",", sign))


def test_batch_that_cannot_be_read(tmp_path: Path) -> None:
    binary = tmp_path / "picture.csv"
    binary.write_bytes(b"\xff\xfe\x00\x81")
    colour = tmp_path / "colour.csv"
    colour.write_text("colour\nred\n", encoding="utf-8")
    for path in (tmp_path / "missing.csv", tmp_path, binary, colour):
        with pytest.raises(Failure) as caught:
            verb(batch=str(path))
        assert caught.value.code == 2
    with pytest.raises(Failure):
        verb(batch=str(colour), od="14.2 mm")
