"""Attacks on tables that people hand in: shelves (CSV and XLSX) and lists of readings. Law: rows that are read, rows kept aside with a
reason, or one word on why the file is no table."""

import csv
import io
import json
import random
import re
import tempfile
import zipfile
from contextlib import redirect_stdout
from functools import cache
from pathlib import Path

from fuzz.signs import STRANGE, mutated, noise, strange
from fuzz.words import AMOUNTS, LONGEST_ANSWER, typed

from fittings.cli.frame import Failure
from fittings.cli.join_batch import join_batch
from fittings.identify.batch import BadBatch, read_batch
from fittings.identify.readings import COLUMNS
from fittings.parts import all_parts
from fittings.reports.as_json import dumps
from fittings.reports.identify_json import batch_json
from fittings.reports.identify_text import batch_text
from fittings.reports.stock_text import shelf_json, shelf_text
from fittings.stock import BadShelf, read_shelf

FORMULAS = ('=1+1', '=HYPERLINK("http://x","y")', "=cmd|' /C calc'!A0", "+1+1", "-1+1", "@SUM(1)", "\t=1", "\r=1", " =1", "'=1", '"=1"', "\uff1d1", "%0A=1")
HEADERS = ("qty,part,price,place", "qty;part;price;place", "Qty\tPart", "quantity,description", "place,price,part,qty", "part", "qty,qty,part", "",
           "qty,part,part", "sep=;\nqty;part", "\ufeffqty,part", '"qty","part"', "QTY , PART ", "Menge,Teil", "Item,Qty On Hand,Description,UOM",
           "Lager\n\nAnzahl;Bezeichnung;Preis (EUR);Lagerort", "a,b\nqty|part|price|place", "Q.tà;Descrizione;Prezzo", "stock,count,part,unit", "cost,price,qty,part,bin,box")


def _cell(rng: random.Random) -> str:
    return rng.choice((
        lambda: str(rng.randrange(40)), lambda: rng.choice(all_parts()).say, lambda: rng.choice(all_parts()).say, lambda: mutated(rng.choice(typed()), rng),
        lambda: rng.choice(AMOUNTS), lambda: rng.choice(FORMULAS), lambda: noise(rng)[:300], lambda: strange(rng), lambda: "", lambda: "2SN hose -8, 10 ft",
        lambda: rng.choice(("1/2", "1,5", "1.234,50 €", "$3.20", "3 pcs", "-1", "1e9", "99999999", "½", "٣", "3.0", "0", "None")),
        lambda: rng.choice(("1,000", "1.000", "2,500", "1 000", "4.20/m", "4,20 € per ft", "10 m", "30 ft", "x6", "6 Stück", "6 nos.", "Total", "Summe", "2SN hose -8", "AS568-908 O-ring")),
    ))()


def _table(rng: random.Random, header: str) -> str:
    sign = ";" if ";" in header else "\t" if "\t" in header else ","
    out = io.StringIO()
    writer = csv.writer(out, delimiter=sign, lineterminator=rng.choice(("\n", "\r\n", "\r")), quoting=rng.choice((csv.QUOTE_MINIMAL, csv.QUOTE_ALL)))
    for _ in range(rng.choice((0, 1, 2, 3))):
        writer.writerow([rng.choice((str(rng.randrange(40)), _cell(rng))), *(_cell(rng) for _ in range(rng.choice((1, 2, 3, 3, 8))))])
    return header + rng.choice(("\n", "\r\n")) + out.getvalue()


def _bytes(text: str, rng: random.Random) -> bytes:
    encoding = rng.choice(("utf-8", "utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252", "shift_jis", "utf-32"))
    content = text.encode(encoding, "surrogatepass" if encoding.startswith("utf-8") else "replace")
    for _ in range(rng.choice((0, 0, 0, 1, 3))):
        at = rng.randrange(len(content) + 1)
        content = content[:at] + rng.choice((b"\0", b"\xff", b'"', b"\r", b"\n", b"\xef\xbb\xbf", b"PK\x03\x04", b"\x80" * 9)) + content[at + rng.choice((0, 1)):]
    return content


def shelf_case(rng: random.Random) -> bytes:
    return _bytes(_table(rng, rng.choice(HEADERS) if rng.random() < 0.4 else "qty,part,price,place"), rng)


@cache
def _book() -> bytes:
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (("qty", "part", "price", "place"), (3, "ORB -6 male x JIC -6 male", 2.5, "bin 1"), (2.0, "JIC -6 cap", None, "b"), ("x", 1, True, "=1+1")):
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


ENTITIES = '<!DOCTYPE x [<!ENTITY a "' + "a" * 1000 + '">' + "".join(
    f'<!ENTITY {new} "{f"&{old};" * 10}">' for old, new in zip("abcdefghi", "bcdefghij", strict=True)) + "]>"
CELLS = ('<c r="B3" t="inlineStr"><is><t>=1+1</t></is></c>', '<c r="B3" t="e"><v>#REF!</v></c>', '<c r="B3" t="b"><v>7</v></c>', '<c r="B3" t="d"><v>2026-13-99</v></c>',
         '<c r="ZZZZ99999999"><v>1</v></c>', '<c r="B3" t="s"><v>999999</v></c>', '<c r="B3" t="s"><v>-1</v></c>', '<c r="B3"><v>1e400</v></c>', '<c r="B3"><v>nan</v></c>',
         '<c r="A1048577"><v>1</v></c>', '<c r="B3" s="99"><v>45000</v></c>', '<c><v>1</v></c>', '<c r="B3"><f>1+</f><v></v></c>', "<c r='B3' t='n'><v>" + "9" * 5000 + "</v></c>")


def book_case(rng: random.Random) -> bytes:
    """A workbook with one of its files changed, lost, swollen or scrambled; or its own bytes scrambled."""
    content = _book()
    if rng.random() < 0.3:
        for _ in range(rng.choice((1, 2, 8))):
            at = rng.randrange(len(content))
            content = content[:at] + bytes([rng.randrange(256)]) * rng.choice((1, 1, 4)) + content[at + rng.choice((0, 1, 1, 40)):]
        return b"PK\x03\x04" + content[4:]
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        names = old.namelist()
        chosen = rng.choice([name for name in names if "sheet1" in name or "shared" in name or "workbook.xml" in name or "styles" in name] * 4 + names)
        for name in names:
            part = old.read(name).decode("utf-8")
            if name == chosen:
                kind = rng.randrange(8)
                if kind == 0:
                    continue
                part = (part[: rng.randrange(len(part))] if kind == 1 else re.sub(r"(<\?xml[^>]*>)?", r"\g<0>" + ENTITIES, part, count=1).replace("</v>", "&j;</v>") if kind == 2
                        else re.sub(r"<row [^>]*>", lambda found: found[0] + rng.choice(CELLS), part) if kind == 3
                        else re.sub(r'"[0-9]+"', lambda _: f'"{rng.choice((0, -1, 10**9, 10**30, "x", ""))}"', part) if kind == 4
                        else part.replace("<c ", "<row><c ", rng.choice((1, 50))) if kind == 5 else "<a>" * 3000 + part if kind == 6 else mutated(part, rng))
            new.writestr(name, part.encode("utf-8", "surrogatepass"))
            if name == chosen and rng.random() < 0.05:
                new.writestr("xl/worksheets/swollen.xml", b" " * 60_000_000)
    return out.getvalue()


def hold_shelf(content: bytes) -> str:
    """Read, and told in words and as JSON; no cell is lost silently, and no answer is longer than what was handed in allows."""
    with tempfile.NamedTemporaryFile(suffix=".xlsx" if content[:2] == b"PK" else ".csv", dir=_folder()) as file:
        file.write(content)
        file.flush()
        try:
            shelf = read_shelf(file.name)
        except BadShelf as error:
            assert error.text and error.ask and len(str(error)) < LONGEST_ANSWER
            return "no shelf"
    for row in shelf.rows:
        assert (row.part is not None) + (row.hose is not None) + bool(row.ring) == 1
        assert 0 <= row.qty <= 100_000 and (row.price is None or 0 <= row.price < 1e8)
        assert row.part is None or row.part in _parts()
    for aside in shelf.aside:
        assert aside.why and aside.ask is not None and len(aside.why) + len(aside.ask) < LONGEST_ANSWER, aside
    assert shelf_text(shelf) and dumps(shelf_json(shelf))
    return "all rows read" if not shelf.aside else "some rows kept aside" if shelf.rows else "every row kept aside"


@cache
def _parts() -> frozenset[object]:
    return frozenset(all_parts())


@cache
def _folder() -> str:
    return "/dev/shm" if Path("/dev/shm").is_dir() else tempfile.gettempdir()


# --- lists of readings -----------------------------------------------------------------------------------------------

ROWS = ("14.2 mm,18,male", "9/16,18,male", "0.56 in,18,female", "22 mm,1.5 mm,male", "13.7 to 13.9 mm,14,", ",,", "12.9,19,female")


def batch_case(rng: random.Random) -> bytes:
    columns = ["od", "pitch", "sex"] if rng.random() < 0.6 else rng.sample([*COLUMNS, "name", "name", "price", "OD", "--od", "plus_minus"], rng.choice((1, 2, 5, 9)))
    rows = [rng.choice(ROWS) if rng.random() < 0.4 and columns[0] == "od" else ",".join(
        rng.choice((rng.choice(AMOUNTS), mutated(rng.choice(AMOUNTS), rng), rng.choice(FORMULAS), "yes", "male", "cone", "37", "")) for _ in columns)
        for _ in range(rng.choice((0, 1, 1, 2)))]
    return _bytes("\n".join([",".join(columns), *rows]) + rng.choice(("", "\n", '"', rng.choice(STRANGE))), rng)


def hold_batch(content: bytes) -> str:
    """As the verb reads it."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return "no text"
    try:
        rows = read_batch(io.StringIO(text, newline=""))
    except BadBatch as error:
        assert str(error)
        return "no table"
    for row in rows:
        if row.answer is None:
            assert row.wrong
        else:
            shares = [each.share for each in row.answer.candidates]
            assert abs(sum(shares) + row.answer.none_share) < 1.02 and all(0 <= each <= 1 for each in shares), shares
    assert rows == () or batch_text(rows)
    dumps(batch_json(rows))
    return "answered" if any(row.answer for row in rows) else "no row answered"


# --- files of questions ----------------------------------------------------------------------------------------------

ASKED = ("id", "psi", "avoid", "max_parts", "shape_from", "shape_to", "full_bore", "fixed")


def questions_case(rng: random.Random) -> bytes:
    columns = ["from", "to", *rng.sample(ASKED, rng.choice((0, 0, 1, 2, 4)))]
    if rng.random() < 0.2:
        columns = [rng.choice((each, each.upper(), f"--{each}", mutated(each, rng))) for each in columns]
    cells = {"id": lambda: rng.choice(FORMULAS), "psi": lambda: rng.choice(("3000", "210 bar", "nan", "-1", "1e9", "")), "avoid": lambda: rng.choice(("npt", "npt,jic", "x", "")),
             "max_parts": lambda: rng.choice(("0", "1", "3", "9", "1.0", "٣", ""))}
    out = io.StringIO()
    writer = csv.writer(out, delimiter=rng.choice(",;\t"), lineterminator=rng.choice(("\n", "\r\n")))
    writer.writerow(columns)
    for _ in range(rng.choice((0, 1, 2, 3))):
        writer.writerow([cells.get(each, lambda: rng.choice(typed()) if rng.random() < 0.7 else _cell(rng))() for each in columns][: rng.choice((1, 2, 9, 9, 9))])
    return _bytes(out.getvalue() + rng.choice(("", "", '"', rng.choice(STRANGE))), rng)


def hold_questions(content: bytes) -> str:
    """Every row answered or told in its place, as CSV without a formula and as one JSON object a line."""
    said = []
    with tempfile.NamedTemporaryFile(suffix=".csv", dir=_folder()) as file:
        file.write(content)
        file.flush()
        for as_json in (False, True):
            out = io.StringIO()
            try:
                with redirect_stdout(out):
                    code = join_batch(file.name, 1, 3, as_json)
            except Failure as failure:
                assert failure.code == 2 and len(failure.text) < LONGEST_ANSWER
                return "no table"
            assert code in (0, 1, 2, 3)
            said.append((code, out.getvalue()))
    (code, table), (same, objects) = said
    assert code == same
    rows = list(csv.reader(io.StringIO(table, newline="")))[1:]
    assert len(rows) == len([json.loads(line, parse_constant=_no_constant) for line in objects.split("\n") if line])
    assert not [cell for row in rows for cell in row if is_formula(cell)]
    return f"exit {code}"


def is_formula(cell: str) -> bool:
    """Whether a spreadsheet may take a cell for a formula; a number, and with it a dash size, is none."""
    return bool(re.match(r"\s*[=+@\t\r\n\uff1d\uff0b\uff0d\uff20-]", cell)) and not re.fullmatch(r"-?\d+(\.\d+)?", cell)


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} in JSON")


def shown(content: bytes) -> str:
    return repr(content) if len(content) < 300 else f"{content[:250]!r}… ({len(content)} bytes)"
