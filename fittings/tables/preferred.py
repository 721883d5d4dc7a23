"""Figures that can only take certain values: spanners, seats, tubes, nominal sizes, and what is printed in two units.

A digit that slipped in such a figure makes it something that nobody sells. Each function returns what breaks a rule, in
words.
"""

from collections import defaultdict
from collections.abc import Iterator

from fittings.tables import Row, names, table
from fittings.units import L_PER_GAL, MM_PER_IN, PSI_PER_BAR

FLATS_MM = frozenset({
    8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 21, 22, 24, 26, 27, 29, 30, 32, 34, 36, 38, 41, 46, 50, 55, 60, 65, 70, 75, 80})
"""Widths across flats of ISO 272, and the older and Japanese ones beside them (from memory)."""

IN_BOTH_UNITS = (
    ("hose/hoses", "pressure_psi", "pressure_bar", PSI_PER_BAR, 0.02), ("hose/couplers", "drop_psi", "drop_bar", PSI_PER_BAR, 0.02),
    ("hose/couplers", "rated_lpm", "rated_gpm", L_PER_GAL, 0.02), ("hose/hoses", "bore_mm", "dn", 1.0, 0.06),
)
"""Columns of one row that are one thing: the first is the second times a factor, within a share (of a rounded print)."""


def _figures() -> Iterator[tuple[str, int, Row]]:
    for name in names():
        if name.startswith("figures/"):
            yield from ((name, number, row) for number, row in enumerate(table(name), 2))


def spanners() -> Iterator[str]:
    """A hexagon is a width across flats that spanners are made in: of ISO 272, or a sixteenth of an inch."""
    for name, number, row in _figures():
        if row["figure"].endswith("hex_mm") and float(row["value"]) not in FLATS_MM:
            yield f"{name} row {number}: no spanner is {row['value']} mm"
        if row["figure"].endswith("hex_in") and not (float(row["value"]) * 16).is_integer():
            yield f"{name} row {number}: no spanner is {row['value']} in"
    for number, row in enumerate(table("parts/envelopes"), 2):
        for column in ("body_hex_mm", "nut_hex_mm"):
            flats = float(row[column] or 0)
            if not flats.is_integer() and abs(flats * 16 / MM_PER_IN - round(flats * 16 / MM_PER_IN)) > 0.06:
                yield f"parts/envelopes row {number}: no spanner is {row[column]} mm ({column})"


def seats() -> Iterator[str]:
    """A seat has one angle at all sizes of its family, and the cone that it makes is twice as wide."""
    angles: dict[tuple[str, str], set[str]] = defaultdict(set)
    for _, _, row in _figures():
        if row["figure"] in ("seat_deg", "cone_included_deg", "chamfer_seat_deg"):
            angles[row["family"], row["figure"]].add(row["value"])
    for (family, figure), found in angles.items():
        if len(found) > 1:
            yield f"{family}: {figure} is {' and '.join(sorted(found))}, and a seat has one angle"
        elif figure == "cone_included_deg" and 2 * float(min(angles[family, "seat_deg"])) != float(min(found)):
            yield f"{family}: a cone of {min(found)}° does not sit on a seat of {min(angles[family, 'seat_deg'])}°"


def tubes() -> Iterator[str]:
    """A tube is as wide as its size says: sixteenths of an inch, or the millimetres of a 24° cone."""
    nominal = {(row["family"], row["size"]): row["nominal_16ths"] for row in table("sizes")}
    for (family, size), sixteenths in nominal.items():
        if size.startswith("-") and sixteenths and float(sixteenths) != -float(size):
            yield f"sizes: {family} {size} is {sixteenths} sixteenths"
    for name, number, row in _figures():
        if row["figure"] == "tube_od_in" and float(row["value"]) * 16 != float(nominal[row["family"], row["size"]]):
            yield f"{name} row {number}: a tube of {row['value']} in is no {row['size']}"
        if row["figure"] == "tube_od_mm" and row["family"] == "cone24" and float(row["value"]) != float(row["size"].rstrip("LS")):
            yield f"{name} row {number}: a tube of {row['value']} mm is no {row['size']}"


def both_units() -> Iterator[str]:
    """What one row prints in two units is one thing; the bore of a hose is a whole number of 32nds of an inch."""
    for name, first, second, factor, share in IN_BOTH_UNITS:
        for number, row in enumerate(table(name), 2):
            if row[first] and row[second] and abs(float(row[first]) / (float(row[second]) * factor) - 1) > share:
                yield f"{name} row {number}: {first} {row[first]} is not {second} {row[second]}"
    for number, row in enumerate(table("hose/hoses"), 2):
        if abs(float(row["bore_mm"]) * 32 / MM_PER_IN - round(float(row["bore_mm"]) * 32 / MM_PER_IN)) > 0.01:
            yield f"hose/hoses row {number}: a bore of {row['bore_mm']} mm is no 32nd of an inch"


RULES = (spanners, seats, tubes, both_units)
