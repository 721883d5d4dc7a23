"""Outlines of ends without a thread: flanges, hose and hose tails.

Each function takes an end and its row of `data/drawing/profiles.csv` and gives its shape. Figures come from the tables;
what they lack is drawn by proportion and named in `guesses`.
"""

from functools import cache

from fittings.drawing.solids import Piece, Point, Shape, bars, disc, known_mm
from fittings.ends import End
from fittings.ratings import ring
from fittings.tables import Row, table
from fittings.units import MM_PER_IN


def nominal_mm(of: End) -> float:
    """The nominal size of an end, mm; half an inch where it has none."""
    return (of.nominal_16ths or 8.0) * MM_PER_IN / 16


def flange_head(of: End, row: Row) -> Shape:
    """A flanged head with an O-ring in its face, and the clamp halves and screws that hold it (SAE J518, ISO 6162)."""
    nominal, found = nominal_mm(of), ring(of)
    wide = (known_mm(of, "head_dia_mm", "head_dia_in") or 2.2 * nominal) / 2
    rim = known_mm(of, "head_thickness_mm") or 0.25 * nominal + 3.0
    bore = (known_mm(of, "port_bore_max_mm", "dn_mm") or nominal) / 2
    neck = max(bore + 0.12 * nominal + 1.0, 0.62 * wide)
    long = (known_mm(of, "bolt_spacing_long_mm") or 2.6 * nominal) / 2
    thick = (known_mm(of, "block_thickness_mm") or 0.4 * nominal + 12.0) * 0.5
    section = found.cs_mm if found is not None and found.cs_mm else 3.53
    inner = found.id_mm / 2 if found is not None and found.id_mm else bore + 3.0
    groove = 1.25 * section
    inner = min(inner, wide - groove - 0.8)
    tip = thick + 4.0 + rim
    deep = 0.76 * section
    body: tuple[Point, ...] = (
        (0.0, bore), (0.0, neck), (tip - rim, neck), (tip - rim, wide), (tip, wide), (tip, inner + groove),
        (tip - deep, inner + groove), (tip - deep, inner), (tip, inner), (tip, bore))
    lip = tip - rim - thick + 1.0
    screw = 0.14 * long + 2.0
    edge = long + 2.0 * screw
    clamp: tuple[Point, ...] = ((lip, neck + 0.4), (lip, edge), (tip - 0.4, edge), (tip - 0.4, wide + 0.4), (tip - rim, wide + 0.4),
                                (tip - rim, neck + 0.4))
    bolt: tuple[Point, ...] = ((lip - 0.8 * screw, long - screw), (lip - 0.8 * screw, long + screw), (lip, long + screw),
                               (lip, long + screw / 2), (tip - 0.4, long + screw / 2), (tip - 0.4, long - screw / 2),
                               (lip, long - screw / 2), (lip, long - screw))
    pieces = (Piece("clamp", clamp, "cut"), Piece("bolt", bolt, "cut"), Piece("body", body),
              Piece("ring", disc(tip - deep + section / 2, inner + section / 2, section / 2), "below"))
    marks = {"head": ((tip, wide),), "rim": ((tip - rim, wide), (tip, wide)), "ring": ((tip - deep / 2, inner + section / 2),),
             "seal": ((tip, inner + section / 2),), "bolts": ((tip, long),), "face": ((tip, wide),),
             "groove": ((tip - deep, inner), (tip - deep, inner + groove))}
    return Shape(of, pieces, (), (), neck, bore, marks, frozenset({"clamp"}))


def flange_pad(of: End, row: Row) -> Shape:
    """A flat pad with four screw holes (SAE J518, ISO 6162)."""
    nominal = nominal_mm(of)
    bore = (known_mm(of, "port_bore_max_mm", "dn_mm") or nominal) / 2
    long = (known_mm(of, "bolt_spacing_long_mm") or 2.6 * nominal) / 2
    screw = 0.14 * long + 2.0
    edge, tip = long + 2.4 * screw, 3.2 * screw + 6.0
    block: tuple[Point, ...] = ((0.0, bore), (tip, bore), (tip, edge), (0.0, edge))
    hole = bars((tip - 2.6 * screw, long - screw / 2), (tip, long + screw / 2))
    marks = {"bolts": ((tip, long),), "seal": ((tip, bore + 0.35 * nominal),), "bore": ((tip, bore),), "face": ((tip, edge),)}
    return Shape(of, (Piece("block", block, "cut", 0.0), Piece("hole", hole, "cut")), (), (), edge, bore, marks,
                 frozenset({"pad"}))


@cache
def hose_radii_mm(size: str) -> tuple[float, float, bool]:
    """Bore and outside radius of a hose of that dash size in mm, and whether both stand in our tables."""
    for row in table("hose/hoses"):
        if row["size"] == size and row["use"] == "current" and row["bore_mm"] and row["od_mm"]:
            return float(row["bore_mm"]) / 2, float(row["od_mm"]) / 2, True
    bore = float(size.removeprefix("-")) * MM_PER_IN / 16 / 2
    return bore, bore + 0.25 * bore + 3.0, False


def hose_bore(of: End, row: Row) -> Shape:
    """The end of a hose, cut square."""
    bore, outer, known = hose_radii_mm(of.size)
    tip = 1.1 * outer + 0.9 * _ferrule_mm(of)
    braid = bore + 0.55 * (outer - bore)
    pieces = (Piece("hose", bars((0.0, bore), (tip, outer))),
              Piece("braid", bars((0.0, braid - 0.35), (tip, braid + 0.35)), "below"))
    marks = {"seal": ((tip - 0.3 * _ferrule_mm(of), bore),), "bore": ((tip, bore),)}
    return Shape(of, pieces, (), (), outer, bore, marks, frozenset() if known else frozenset({"hose"}))


def _ferrule_mm(of: End) -> float:
    return 0.9 * nominal_mm(of) + 16.0


def hose_tail(of: End, row: Row) -> Shape:
    """A tail that goes into the hose, with the ferrule that is crimped over it."""
    bore, outer, _ = hose_radii_mm(of.size)
    long = _ferrule_mm(of)
    inside = max(0.78 * bore, bore - 1.4)
    foot = 3.0
    points: list[Point] = [(0.0, inside), (0.0, outer - 0.3), (foot, outer - 0.3), (foot, bore)]
    barbs = 5
    step = (long - foot - 2.0) / barbs
    for barb in range(barbs):
        at = foot + 1.0 + barb * step
        points += [(at, bore), (at, bore - 0.5), (at + 0.8 * step, bore)]
    points += [(long - 0.6, bore), (long, bore - 0.5), (long, inside)]
    shell: tuple[Point, ...] = ((0.8, outer - 0.3), (0.8, outer + 2.2), (long - 2.0, outer + 2.2), (long - 1.0, outer + 1.6),
                                (long - 1.0, outer), (foot, outer), (foot, outer - 0.3))
    marks = {"seal": ((0.5 * long, bore),), "length": ((0.0, outer), (long, outer))}
    return Shape(of, (Piece("tail", tuple(points)), Piece("washer", shell)), (), (), outer - 0.3, inside, marks,
                 frozenset({"ferrule"}))
