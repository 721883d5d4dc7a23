"""Shelf lists as shops keep them: names of columns, titles, sheets, quantities and prices. What shops write is common practice, no source."""

import json
from pathlib import Path

import pytest

from fittings.cli import run
from fittings.stock import Aside, BadShelf, Shelf, ShelfRow, read_shelf
from fittings.stock.shelf import read_row
from fittings.stock.words import columns_named, folded
from fittings.tables import table

PLUG = "3/8 NPT plug"


def written(tmp_path: Path, text: str) -> Shelf:
    path = tmp_path / "shelf.csv"
    path.write_text(text, encoding="utf-8")
    return read_shelf(str(path))


def book(tmp_path: Path, **sheets: list[list[object]]) -> Shelf:
    openpyxl = pytest.importorskip("openpyxl")
    made = openpyxl.Workbook()
    made.remove(made.active)
    for title, rows in sheets.items():
        sheet = made.create_sheet(title)
        for row in rows:
            sheet.append(row)
    made.save(tmp_path / "shelf.xlsx")
    return read_shelf(str(tmp_path / "shelf.xlsx"))


def row(qty: str, part: str = PLUG, price: str = "", decimals: str = "") -> ShelfRow:
    read = read_row(2, qty, part, price, "", decimals)
    assert isinstance(read, ShelfRow), read
    return read


def aside(qty: str, part: str = PLUG) -> Aside:
    read = read_row(2, qty, part)
    assert isinstance(read, Aside), read
    return read


# How many

@pytest.mark.parametrize(("qty", "count"), [
    ("3.0", 3), ("3,0", 3), ("3,00", 3), ("6 no", 6), ("6 nos.", 6), ("x6", 6), ("6x", 6), ("× 6", 6), ("6 St.", 6), ("6 Stück", 6), ("6 pz", 6),
    ("6 pcs", 6), ("6 off", 6), ("6-off", 6), ("6 ea.", 6), ("0", 0), ("1 000", 1000), ("1'000", 1000), ("1,000.00", 1000), ("1.000,00", 1000),
    ("12.", 12),
])
def test_a_quantity_in_a_shops_words(qty: str, count: int) -> None:
    assert row(qty).qty == count


@pytest.mark.parametrize(("qty", "decimals", "count"), [("1,000", ".", 1000), ("2,500", ".", 2500), ("1.000", ",", 1000)])
def test_thousands_where_the_file_leaves_no_doubt(qty: str, decimals: str, count: int) -> None:
    assert row(qty, decimals=decimals).qty == count


@pytest.mark.parametrize("decimals", ["", ".", ","])
@pytest.mark.parametrize("qty", ["1,000", "1.000", "2,500", "12.000"])
def test_a_thousand_is_never_read_as_one(qty: str, decimals: str) -> None:
    read = read_row(2, qty, PLUG, decimals=decimals)
    if decimals and decimals not in qty:
        assert isinstance(read, ShelfRow) and read.qty >= 1000
    else:
        assert isinstance(read, Aside) and "two ways" in read.why and qty.replace(".", "").replace(",", "") in read.ask


@pytest.mark.parametrize("qty", ["2.5", "6 box", "6 %", "-6", "1 2", "6 pcs of 4", "6?", "٣", "100,001.0", "1,00,000"])
def test_what_is_no_count_of_pieces(qty: str) -> None:
    assert "not a quantity" in aside(qty).why


def test_a_unit_in_a_column_of_its_own(tmp_path: Path) -> None:
    shelf = written(tmp_path, f"qty,uom,part\n6,EA,{PLUG}\n2,box,{PLUG}\n25,m,2SN hose -8\n3,1.20,{PLUG}\n")
    assert [(each.number, each.qty) for each in shelf.rows] == [(2, 6), (4, 1), (5, 3)]
    assert "“2 box” is not a quantity" in shelf.aside[0].why
    assert shelf.rows[1].hose is not None and shelf.rows[1].hose.length_in == pytest.approx(25 / 0.0254, abs=0.01)


# Hose

@pytest.mark.parametrize(("qty", "inches"), [("10 m", 393.70), ("30 ft", 360), ("2,5 m", 98.43), ("10 Meter", 393.70), ("8'6\"", 102), ("40 metri", 1574.80)])
def test_a_length_as_a_quantity_is_one_piece_of_hose(qty: str, inches: float) -> None:
    """1 m = 39.3701 in, 1 ft = 12 in (NIST SP 811)."""
    read = row(qty, "2SN hose -8")
    assert read.hose is not None and read.hose.length_in == pytest.approx(inches, abs=0.01)
    assert (read.qty, "one piece" in read.taken) == (1, True)


@pytest.mark.parametrize(("qty", "part"), [("10 m", PLUG), ("10 m", "2SN hose -8, 5 m"), ("2 in", "2SN hose -8"), ("30 ft used", "2SN hose -8"), ("2 x 10 m", "2SN hose -8")])
def test_a_length_that_is_no_quantity(qty: str, part: str) -> None:
    read = aside(qty, part)
    assert "length" in read.why or "not a quantity" in read.why


def test_a_length_of_something_else_says_where_to_write_it() -> None:
    assert "in the part" in aside("10 m").ask


def test_hose_without_a_length_is_told(tmp_path: Path) -> None:
    shelf = written(tmp_path, 'part,qty,price\n2SN hose -8,25,4.20/m\n"2SN hose -8, 5 m",25,4.20/m\n')
    bare, cut = shelf.rows
    assert "no length" in bare.taken and "no plan" in bare.taken and bare.price is None
    assert cut.price == 21.0  # 5 x 4.20
    assert shelf.hoses == {("2SN", "-8")}


# Prices

@pytest.mark.parametrize(("price", "cost"), [("4.20/m", 84.0), ("EUR 4.20 per m", 84.0), ("4,20 €/m", 84.0), ("4.20 pro Meter", 84.0), ("€/m 4.20", 84.0),
                                             ("1.50/ft", 98.43), ("30.00", 30.0), ("30.00 / pc", 30.0), ("30.00 each", 30.0)])
def test_hose_priced_by_length(price: str, cost: float) -> None:
    """20 m at 4.20 is 84.00; 20 m is 65.617 ft."""
    read = row("1", "2SN hose -8, 20 m", price)
    assert read.price == cost
    assert ("for the piece" in read.taken) == (cost != 30.0)


@pytest.mark.parametrize("price", ["4.20/m", "4.20 per ft", "4.20/pack", "4.20 per 100", "4.20/100", "-4.20", "4.20 - 5.00", "ask", "1e400", "9" * 400, "4.20 m"])
def test_a_price_of_anything_but_one_piece_is_not_read(price: str) -> None:
    read = row("1", PLUG, price)
    assert read.price is None
    assert "not read" in read.taken


@pytest.mark.parametrize(("price", "value"), [("€ 1.234,50", 1234.5), ("$1,234.50", 1234.5), ("1 234,50", 1234.5), ("1'234.50", 1234.5), ("0,125", 0.125), ("0.125", 0.125),
                                              ("4.-", 4), ("4,-", 4), ("CHF 4.20 Stk.", 4.2), ("3", 3)])
def test_a_price_that_is_plain(price: str, value: float) -> None:
    assert (row("1", PLUG, price).price, row("1", PLUG, price).taken) == (value, "")


@pytest.mark.parametrize(("others", "price"), [("4,10", 3.2), ("4.10", 3200.0), ("4", None)])
def test_the_file_says_which_sign_parts_the_decimals(tmp_path: Path, others: str, price: float | None) -> None:
    shelf = written(tmp_path, f"qty;part;price\n3;{PLUG};3,200\n2;{PLUG};{others}\n")
    assert [each.number for each in shelf.rows] == [2, 3]
    assert shelf.rows[0].price == price
    assert ("two ways" in shelf.rows[0].taken) == (price is None)


def test_a_file_with_both_signs_does_not_say(tmp_path: Path) -> None:
    shelf = written(tmp_path, f"qty;part;price\n1,000;{PLUG};3,20\n2;{PLUG};3.20\n")
    assert [each.number for each in shelf.aside] == [2]


def test_a_number_of_a_workbook_is_never_in_doubt(tmp_path: Path) -> None:
    shelf = book(tmp_path, Van=[["qty", "part", "price"], [1000, PLUG, 4.125], [3.0, PLUG, 1250.5]])
    assert [(each.qty, each.price) for each in shelf.rows] == [(1000, 4.125), (3, 1250.5)]


def test_a_price_that_became_a_date_is_told_as_one() -> None:
    assert row("1", PLUG, "\0date").taken == "price “(a date)” not read"


# The names of the columns

HEADS = [
    "Qty On Hand,Description,Cost,Bin", "In Stock,Part,Price,Location", "Stock,Item,Price,Location", "Menge,Bezeichnung,Preis,Lagerort", "Anzahl,Artikel,Preis (EUR),Fach",
    "Stück,Beschreibung,Einzelpreis,Lagerplatz", "Quantité,Désignation,Prix,Emplacement", "Qté,Article,Prix unitaire,Emplacement", "Q.tà,Descrizione,Prezzo,Ubicazione",
    "QUANTITÀ,DESCRIZIONE,PREZZO,SCAFFALE", "Cantidad,Descripción,Precio,Ubicación",
]


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
@pytest.mark.parametrize("head", HEADS)
def test_names_that_shops_give_their_columns(tmp_path: Path, head: str, sign: str) -> None:
    shelf = written(tmp_path, sign.join(head.split(",")) + "\n" + sign.join(("3", PLUG, "0.70", "B1")) + "\n")
    assert [(each.qty, each.text, each.price, each.place) for each in shelf.rows] == [(3, PLUG, 0.7, "B1")]
    assert shelf.notes == ()


def test_no_word_of_a_column_stands_for_two_things() -> None:
    known = [(row["kind"], folded(row["word"])) for row in table("stock/words")]
    assert "" not in {word for _, word in known}
    assert len({(row["kind"], folded(row["word"]), row["value"]) for row in table("stock/words")}) == len(set(known))


@pytest.mark.parametrize("name", ["Desc", "Desc.", "Details", "Item description", "Item desc.", "Part desc", "Bez.", "Benennung", "Artikelbez.", "Désignation", "Desig.",
                                  "Descr.", "Descrizione", "Descripción"])
def test_the_words_of_the_part_beside_its_number(tmp_path: Path, name: str) -> None:
    """`Item` or `Artikel` is then a number; both stand in every shop's export (common practice, no source)."""
    for number in ("Item", "Artikel"):
        shelf = written(tmp_path, f"Qty,{number},{name},Bin\n4,10-4711,{PLUG},A1\n2,10-4712,brass thing,A2\n")
        assert [each.text for each in shelf.rows] == [PLUG]
        assert shelf.notes == (f"the part is read from “{name}”, of “{number}” and “{name}”",)


def test_the_columns_that_are_not_read_are_told(tmp_path: Path) -> None:
    head = "Supplier,Qty,Part,Min Qty,,Group"
    assert written(tmp_path, f"{head}\nnone,3,{PLUG},1,x,9\n").notes == ("the columns “Supplier”, “Min Qty” and “Group” are not read",)
    many = ",".join(f"c{number}" for number in range(20))
    assert written(tmp_path, f"qty,part,{many}\n3,{PLUG}\n").notes == ("the columns “c0”, “c1”, “c2”, “c3”, “c4”, “c5” and 14 others are not read",)
    shelf = written(tmp_path, f"qty,part,cost,price\n4,{PLUG},1,2\n")
    assert len(shelf.notes) == 1  # that neither price is read is told already


@pytest.mark.parametrize("name", ["Min Qty", "Qty on order", "Reorder level", "Part Number", "Stock #", "Stock No.", "Total Price", "Unit Weight", "Pos.", "Date", "#"])
def test_columns_that_only_sound_like_ours(name: str) -> None:
    assert columns_named([name]) == {}


@pytest.mark.parametrize(("head", "cells"), [("Item,Qty,Description", f"1,4,{PLUG}"), ("Description,Qty,Item", f"{PLUG},4,1"), ("Artikel,Menge,Bezeichnung", f"4711,4,{PLUG}"),
                                             ("Item,Qty,Description", "1,4,M8 hex bolt"), ("Stock #,Qty,Part", f"7,4,{PLUG}"), ("Count,In stock,Part", f"yes,4,{PLUG}")])
def test_of_two_columns_the_one_with_the_words_or_the_count(tmp_path: Path, head: str, cells: str) -> None:
    shelf = written(tmp_path, f"{head}\n{cells}\n")
    assert [each.qty for each in shelf.rows] == [4] or [each.text for each in shelf.aside] == ["M8 hex bolt"]


@pytest.mark.parametrize("text", [f"Item,Qty,Description\n{PLUG},4,{PLUG}\n", f"Qty,In stock,Part\n3,4,{PLUG}\n", "Item,Qty,Description\n1,4,2\n", "Item,Qty,Description\n"])
def test_of_two_columns_that_may_both_be_it_none_is_taken(tmp_path: Path, text: str) -> None:
    with pytest.raises(BadShelf, match="two columns can be the"):
        written(tmp_path, text)


def test_two_prices_are_no_price(tmp_path: Path) -> None:
    shelf = written(tmp_path, f"qty,part,cost,price,bin\n4,{PLUG},1,2,A\n")
    assert (shelf.rows[0].price, shelf.rows[0].place) == (None, "A")
    assert "two columns can be the price" in shelf.notes[0]


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_a_title_stands_above_the_names(tmp_path: Path, sign: str) -> None:
    shelf = written(tmp_path, f"Stock of the van\n\nas of May 3, 2026\n{sign.join(('qty', 'part'))}\n{sign.join(('3', PLUG))}\n")
    assert [(each.number, each.qty) for each in shelf.rows] == [(5, 3)]
    assert "row 4" in shelf.notes[0]


def test_no_names_at_all_are_told_with_what_stands_there(tmp_path: Path) -> None:
    with pytest.raises(BadShelf, match="row 2 names no column part: read “menge”, “farbe”"):
        written(tmp_path, "Lager\nmenge,farbe\n3,rot\n")


def test_the_sheet_that_names_the_columns_is_read(tmp_path: Path) -> None:
    head, old = ["qty", "part"], [["qty", "part"], [9, PLUG]]
    shelf = book(tmp_path, Cover=[["Shelf"]], Empty=[], Van=[["Van 2", None], [], head, [3, PLUG]], Old=old)
    assert [(each.number, each.qty) for each in shelf.rows] == [(4, 3)]
    assert "only the sheet “Van” was read, not “Old”" in shelf.notes
    shelf = book(tmp_path, Empty=[], Van=old)
    assert [each.qty for each in shelf.rows] == [9]
    assert shelf.notes == ("read from the sheet “Van”",)


@pytest.mark.parametrize("last", [["Total", 8], ["", 8], ["Summe:", 8], ["Totale", 8.5]])
def test_a_total_is_no_part(tmp_path: Path, last: list[object]) -> None:
    shelf = book(tmp_path, Van=[["part", "qty"], [PLUG, 3], [PLUG, 5], last])
    assert ([each.qty for each in shelf.rows], shelf.aside) == ([3, 5], ())
    assert shelf.notes == ("row 4: taken for a total, passed over",)


def test_a_total_named_beside_the_parts_and_a_row_kept_aside_before_it(tmp_path: Path) -> None:
    shelf = written(tmp_path, f"line,qty,part\n1,3,{PLUG}\nSubtotal,3,\n2,3,\n3,few,{PLUG}\nTotal,6,\n")
    assert [each.number for each in shelf.aside] == [4, 5]
    assert [note[:5] for note in shelf.notes[:2]] == ["row 3", "row 6"]
    assert shelf.notes[2:] == ("the column “line” is not read",)


def test_the_verb_tells_rings_and_what_it_assumed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "shelf.csv"
    path.write_text(f"Van\nqty,part\n6,O-ring AS568-908\n1,{PLUG}\n", encoding="utf-8")
    assert run(["stock", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [each["ring"] for each in told["rows"]] == ["AS568-908", None]
    assert "row 2" in told["taken"][0]
    assert run(["stock", str(path)]) == 0
    assert told["taken"][0] in " ".join(capsys.readouterr().out.split())


def test_a_reducer_that_is_a_bushing_is_found() -> None:
    """What one shop calls a reducer is a bushing to the next (common practice, no source)."""
    row = read_row(2, "3", "reducer NPT 1/2 male x 1/4 female")
    assert isinstance(row, ShelfRow) and row.part is not None
    assert row.part.say == "bushing, NPT 1/4 female × NPT 1/2 male"

@pytest.mark.parametrize(("words", "made"), [
    # read off data/parts: each is made, but as an elbow only
    ("BSP 60 cone 3/4 male x JIC -12 male", "90°"), ("15L swivel x 15L male", "90°"), ("BSPT 1/2 male x BSP 60 cone 1/2 male", "45°"),
])
def test_no_word_for_the_shape_is_never_read_as_an_elbow(words: str, made: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Nobody writes “straight” (common practice, no source), so a part without a shape word is straight or it is not read."""
    aside = read_row(2, "1", words)
    assert isinstance(aside, Aside)
    assert aside.why.startswith("read as straight ") and f"it is made as {made}, " in aside.why
    said = []
    for typed in (words, f"straight {words}"):
        assert run(["show", typed]) == 3
        said.append(capsys.readouterr().err)
    assert said[0] == said[1] and "our tables hold no straight " in said[0] and f"it is made as {made}, " in said[0]
    bent = read_row(2, "1", f"{made} {words}")
    assert isinstance(bent, ShelfRow) and bent.part is not None and bent.part.shape == made.rstrip("°")
    assert run(["show", f"{made} {words}"]) == 0


def test_an_adjustable_stud_tells_by_itself_that_the_part_is_bent() -> None:
    """Only elbows and tees have studs with a locknut (data/parts)."""
    row = read_row(2, "1", "ORB -6 male adjustable x ORFS -6 male")
    assert isinstance(row, ShelfRow) and row.part is not None and row.part.shape == "90"
