"""The only room that opens a data file: what it says of a damaged one, and the command of the data check."""

import csv
import io
import sys
import zlib
from pathlib import Path

import pytest

from fittings import tables
from fittings.tables import BadTable, __main__, audit, schema
from fittings.tables.pins import pins_of


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder of its own, in which nothing is remembered."""
    monkeypatch.setattr(tables, "folder", lambda: str(tmp_path))
    for cached in (tables.table, tables.names):
        cached.cache_clear()
    yield tmp_path
    for cached in (tables.table, tables.names):
        cached.cache_clear()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (None, "No such file"), (b"", "data/flats.csv cannot be read"), (b"a,b\n1\n", "argument 2 is shorter"),
        (b"a,b\n1,2,3\n", "argument 2 is longer"), (b"a,b\n\xff,1\n", "can't decode"),
    ],
    ids=["gone", "empty", "a cell short", "a cell more", "not UTF-8"],
)
def test_a_damaged_table_is_named(folder: Path, content: bytes | None, says: str) -> None:
    if content is not None:
        (folder / "flats.csv").write_bytes(content)
    with pytest.raises(BadTable) as caught:
        tables.table("flats")
    assert says in str(caught.value)


def test_every_damaged_or_strange_file_is_told_at_once(folder: Path) -> None:
    (folder / "flats.csv").write_bytes(b"")
    (folder / "strange.csv").write_bytes(b"a\n1\n")
    told = schema.validate_all()
    assert told[0].startswith("data/flats.csv cannot be read")
    assert told[1:] == ["strange: no model in fittings/tables/schema.py"]


def test_no_data_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables.os.path, "isfile", lambda _: False)
    tables.folder.cache_clear()
    with pytest.raises(BadTable, match="neither inside the package nor beside it"):
        tables.folder()


def test_the_data_check_as_a_command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    assert __main__.main([]) == 0
    assert capsys.readouterr().err.startswith("0 problems; sourced cells by confidence: ")
    monkeypatch.setattr(__main__, "problems", lambda: ["flats row 2: wrong"])
    assert __main__.main([]) == 1
    assert capsys.readouterr().out == "flats row 2: wrong\n"


def test_the_pins_as_a_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert __main__.main(["--pins"]) == 0
    assert capsys.readouterr().out == (Path(tables.folder()) / "pins.csv").read_text("utf-8")


def test_cells_come_first_since_the_other_checks_read_them_as_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(audit, "validate_all", lambda: ["ratings row 2, pressure_psi 'nan': no number"])
    monkeypatch.setattr(audit, "CHECKS", (lambda: iter([sys.exit("read as a number")]),))
    assert audit.problems() == ["ratings row 2, pressure_psi 'nan': no number"]


def test_pins_by_hand() -> None:
    """CRC-32 of `123456789` is cbf43926, the check value that every description of it prints; sums are exact."""
    assert pins_of("x", [{"123456": "789"}])[0].crc32 == f"{zlib.crc32(b'123456' + bytes([10]) + b'789'):08x}"
    assert f"{zlib.crc32(b'123456789'):08x}" == "cbf43926"
    rows = list(csv.DictReader(io.StringIO("size,figure,value,note\n-6,bore_mm,0.1,\n-8,bore_mm,0.2,1\n-8,is_text,a,2\n")))
    assert [(pin.what, pin.cells, pin.sum) for pin in pins_of("x", rows)] == [
        ("rows", 3, ""), ("bore_mm", 2, "0.3"), ("note", 2, "3")]
    assert pins_of("x", rows) != pins_of("x", [rows[1], rows[0], rows[2]])
    assert pins_of("x", [])[0] == ("x", "rows", 0, "", "00000000")
