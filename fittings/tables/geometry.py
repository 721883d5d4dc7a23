"""The arithmetic that the figures of a standard must keep among themselves.

Two transcriptions of one wrong original agree; a mouth that cuts into its own thread does not. Each function returns
what breaks a rule, in words, and nothing when the figures keep it. The rules prove no pairing: they catch slips.
"""

import math
from collections.abc import Iterator
from functools import cache

from fittings.tables import Row, names, table
from fittings.units import MM_PER_IN

BLEND_MM = {"orb": (0.18, 0.46), "iso6149": (0.41, 0.75)}
"""How much wider the chamfer ends than the thread it runs into, on diameter: seen in all 26 ports."""

RING_FIT_MM = {"orb": (0.13, 0.26), "iso6149": (-0.11, 0.21)}
"""Free outside diameter of the ring less the diameter of its mouth."""

RING_LOOSE_MM = {"-20": (-0.05, 0.0), "-24": (-0.15, -0.1), "-32": (-0.36, -0.33)}
"""The three largest bosses take a ring that is smaller than the mouth, by more with each size."""

ISO_6149_RING_MM = {1.0: 1.9, 1.5: 2.7, 2.0: 3.4}
"""Thread diameter less inside diameter of the ring, by pitch: all 13 sizes of ISO 6149."""

ORFS_RING_IN = {"-4": 0.0625, "-16": -0.0625, "-20": -0.0625}
"""Nominal inside diameter of the face-seal ring less the tube: nothing at the other sizes."""

FLANGE_RING_IN = {"-16": 0.296, "-24": 0.359, "-48": 0.359, "-56": 0.359, "-64": 0.359, "-80": 0.359}
"""Inside diameter of the ring less the size of the flange: 0.234 in at the other sizes."""

WALLS_MM = (1.0, 1.5, 2.0, 2.5, 3.0)
"""Walls that lie between the bore and the tube of a 24° end."""

TWO_UNITS_MM = 0.11
"""How far the inch and the millimetre figure of one thing may be apart: one of them is rounded to 0.1 mm."""

TWO_EDITIONS = {
    "spotface_wide_min": "the inch column is an older edition",
    "tap_drill_depth_min": "the inch column is an older edition",
    "nut_hex": "two nuts: an inch and a metric wrench",
}


@cache
def in_use() -> dict[tuple[str, str, str], tuple[str, Row]]:
    """First row, the one in use, of each (family, size, figure): the form and the row."""
    found: dict[tuple[str, str, str], tuple[str, Row]] = {}
    for name in names():
        if name.startswith("figures/"):
            for row in table(name):
                found.setdefault((row["family"], row["size"], row["figure"]), (row["form"], row))
    return found


def value(family: str, size: str, figure: str) -> float | None:
    """The figure in use as a number, in the unit of its name, or None when the tables lack it."""
    kept = in_use().get((family, size, figure))
    return float(kept[1]["value"]) if kept else None


def thread_mm(designation: str) -> tuple[float, float]:
    """Nominal diameter and pitch in mm of a UN or metric designation (`9/16-18`, `M22x1.5`). Raises ValueError.

    >>> thread_mm("M22x1.5")
    (22.0, 1.5)
    >>> thread_mm("1/2-20")
    (12.7, 1.27)
    """
    if designation.startswith("M"):
        diameter, _, pitch = designation[1:].partition("x")
        return float(diameter), float(pitch)
    size, _, tpi = designation.rpartition("-")
    whole, _, part = size.rpartition("-") if "/" in size else (size, "", "")
    inches = float(whole or 0)
    if part:
        over, _, under = part.partition("/")
        inches += float(over) / float(under)
    return inches * MM_PER_IN, MM_PER_IN / float(tpi)


@cache
def _threads() -> dict[tuple[str, str], str]:
    return {(row["family"], row["size"]): row["thread"] for row in table("sizes")}


def _sizes(family: str) -> list[tuple[str, float, float]]:
    return [(size, *thread_mm(thread)) for (key, size), thread in _threads().items() if key == family]


@cache
def _rings() -> dict[tuple[str, str], Row]:
    rows = {row["key"]: row for row in table("rings")}
    return {(use["family"], use["size"]): rows[use["ring"]] for use in table("ring-use")
            if use["ring"] in rows and rows[use["ring"]]["kind"] != "elastomer"}


def _outside_mm(ring: Row) -> float:
    return float(ring["id_mm"]) + 2 * float(ring["cs_mm"])


def _either_mm(family: str, size: str, figure: str) -> float | None:
    inches = value(family, size, f"{figure}_in")
    return inches * MM_PER_IN if inches is not None else value(family, size, f"{figure}_mm")


def _out(number: float, low: float, high: float) -> bool:
    return not low - 1e-6 <= number <= high + 1e-6


def cavities() -> Iterator[str]:
    """O-ring ports of SAE J1926-1 and ISO 6149-1: mouth, chamfer, thread, pilot, spotface and ring fit each other."""
    for family in ("orb", "iso6149"):
        for size, major, pitch in _sizes(family):
            at = f"{family} {size} port"
            mouth, depth = _either_mm(family, size, "seal_chamfer_dia"), _either_mm(family, size, "chamfer_depth")
            angle, pilot = value(family, size, "chamfer_deg"), _either_mm(family, size, "pilot_bore")
            spotface = value(family, size, "spotface_wide_min_mm")
            if mouth is None or depth is None or angle is None or pilot is None or spotface is None:
                yield f"{at}: mouth, chamfer depth and angle, pilot or spotface is missing"
                continue
            blend = mouth - 2 * depth * math.tan(math.radians(angle)) - major
            if _out(blend, *BLEND_MM[family]):
                yield f"{at}: the chamfer ends {blend:.2f} mm wider than the thread, should be {BLEND_MM[family]}"
            if pilot >= major - 1.0825318 * pitch:
                yield f"{at}: the pilot bore {pilot:.2f} mm is not inside the thread"
            if spotface <= mouth:
                yield f"{at}: the spotface {spotface} mm is not wider than the mouth {mouth:.1f} mm"
            fit = _outside_mm(_rings()[family, size]) - (value(family, size, "seal_chamfer_dia_mm") or mouth)
            low, high = RING_LOOSE_MM.get(size, RING_FIT_MM[family]) if family == "orb" else RING_FIT_MM[family]
            if _out(fit, low, high):
                yield f"{at}: the ring is {fit:+.2f} mm on the mouth, should be {low:+} to {high:+}"


def depths() -> Iterator[str]:
    """Every drill is deeper than its thread; in ISO 6149 by 1.5 pitches, and by 2.5 mm at pitch 1.5."""
    for (family, size, figure), (_, row) in in_use().items():
        if figure.startswith("tap_drill_depth") and "standard" not in figure:
            drill, thread = float(row["value"]), value(family, size, figure.replace("tap_drill", "full_thread"))
            if thread is None or drill <= thread:
                yield f"{family} {size}: drill depth {drill} is not deeper than the full thread {thread} ({figure})"
    for size, _, pitch in _sizes("iso6149"):
        drill, full = (value("iso6149", size, f"{what}_depth_min_mm") or 0 for what in ("tap_drill", "full_thread"))
        step = 2.5 if pitch == 1.5 else 1.5 * pitch
        if abs(drill - full - step) > 1e-6:
            yield f"iso6149 {size}: drill less thread is {drill - full:g} mm, should be {step:g}"


def rings() -> Iterator[str]:
    """Rings keep the steps of their series: ISO 6149, face seal, flange, 24° cone; inches and millimetres agree."""
    for row in table("rings"):
        for name in ("id", "cs"):
            if row[f"{name}_in"] and abs(float(row[f"{name}_in"]) * MM_PER_IN - float(row[f"{name}_mm"])) > 0.011:
                yield f"ring {row['key']}: {row[f'{name}_in']} in is not {row[f'{name}_mm']} mm ({name})"
    for size, major, pitch in _sizes("iso6149"):
        step = major - float(_rings()["iso6149", size]["id_mm"])
        if abs(step - ISO_6149_RING_MM[pitch]) > 1e-6:
            yield f"iso6149 {size}: thread less ring is {step:.2f} mm, should be {ISO_6149_RING_MM[pitch]}"
    land = 0.0
    for size, major, pitch in _sizes("orfs"):
        ring, tube = _rings().get(("orfs", size)), value("orfs", size, "tube_od_in")
        if ring is None or tube is None:
            continue
        over = float(ring["id_in"]) + 0.011 - tube
        if abs(over - ORFS_RING_IN.get(size, 0.0)) > 0.001:
            yield f"orfs {size}: nominal ring less tube is {over:+.4f} in, should be {ORFS_RING_IN.get(size, 0.0):+}"
        new = (major - 1.0825318 * pitch - _outside_mm(ring)) / 2
        if new < land - 0.01:
            yield f"orfs {size}: the land outside the ring falls from {land:.2f} to {new:.2f} mm"
        land = new
    for (family, size), ring in _rings().items():
        if family in ("code61", "code62"):
            over = float(ring["id_in"]) - int(size.removeprefix("-")) / 16
            if abs(over - FLANGE_RING_IN.get(size, 0.234)) > 0.001:
                yield f"{family} {size}: ring less flange is {over:.3f} in, should be {FLANGE_RING_IN.get(size, 0.234)}"
            head, bore = value(family, size, "head_dia_mm"), value(family, size, "port_bore_max_mm")
            if (head and _outside_mm(ring) >= head) or (bore and float(ring["id_mm"]) <= bore):
                yield f"{family} {size}: the ring does not lie between bore {bore} and head {head} mm"
        if family == "cone24":
            tube, mouth = value(family, size, "tube_od_mm") or 0, value(family, size, "cone_mouth_dia_mm") or 0
            if _out(_outside_mm(ring), tube, mouth):
                yield f"cone24 {size}: ring {_outside_mm(ring):.1f} mm is not between tube {tube} and mouth {mouth}"


def cones() -> Iterator[str]:
    """24° ends: the bore is the tube less two walls; one thread takes one nut, save M36."""
    hexes: dict[str, set[float]] = {}
    for (family, size), thread in _threads().items():
        if family != "cone24":
            continue
        tube, bore = value(family, size, "tube_od_mm"), value(family, size, "through_bore_mm")
        if tube is None:
            yield f"cone24 {size}: the tube is missing"
        elif bore is not None and not size.endswith("LL") and (tube - bore) / 2 not in WALLS_MM:
            yield f"cone24 {size}: the wall between tube {tube:g} and bore {bore:g} mm is none of {WALLS_MM}"
        nut = value(family, size, "nut_hex_mm")
        if nut is not None:
            hexes.setdefault(thread, set()).add(nut)
    yield from (
        f"cone24 {thread}: nuts of {sorted(found)} mm on one thread"
        for thread, found in hexes.items()
        if len(found) > 1 and thread != "M36x2"
    )


def taper() -> Iterator[str]:
    """ASME B1.20.1: E0 = D - (0.05 D + 1.1) p, E1 = E0 + L1 / 16, L2 = (0.80 D + 6.8) p; inches."""
    for (family, size), thread in _threads().items():
        if family != "npt":
            continue
        pitch = 1 / float(thread.split()[0].rpartition("-")[2])
        pipe, small, hand, tight, long = (
            value(family, size, name) or 0.0
            for name in (
                "pipe_od_in",
                "pitch_dia_small_end_in",
                "hand_tight_engagement_in",
                "pitch_dia_hand_tight_in",
                "effective_thread_in",
            )
        )
        rules = (
            ("E0", small, pipe - (0.05 * pipe + 1.1) * pitch, 1e-5),
            ("E1", tight, small + hand / 16, 2e-5),
            ("L2", long, (0.80 * pipe + 6.8) * pitch, 6e-5),
        )
        yield from (
            f"npt {size}: {name} is {printed} in, the formula gives {reckoned:.5f}"
            for name, printed, reckoned, near in rules
            if abs(printed - reckoned) > near
        )


def flares() -> Iterator[str]:
    """A 37° flare is wider than its tube and goes through its nut; each least figure is below its greatest."""
    for size, major, pitch in _sizes("jic"):
        flare, tube = value("jic", size, "flare_od_max_in"), value("jic", size, "tube_od_in") or 0
        if flare is not None and not tube < flare < (major - 1.0825318 * pitch) / MM_PER_IN:
            yield f"jic {size}: a flare of {flare} in does not lie between tube {tube} in and the thread of the nut"
    for (family, size, figure), (_, row) in in_use().items():
        greatest = value(family, size, figure.replace("_min_", "_max_")) if "_min_" in figure else None
        if greatest is not None and float(row["value"]) > greatest:
            yield f"{family} {size}: {figure} {row['value']} is above {greatest}"


def two_units() -> Iterator[str]:
    """A figure held in inches and in millimetres is one figure."""
    for (family, size, figure), (_, row) in in_use().items():
        stem = figure.removesuffix("_in")
        other = value(family, size, f"{stem}_mm") if stem != figure and stem not in TWO_EDITIONS else None
        if other is not None and abs(float(row["value"]) * MM_PER_IN - other) > TWO_UNITS_MM:
            apart = abs(float(row["value"]) * MM_PER_IN - other)
            yield f"{family} {size}: {stem} is {row['value']} in and {other} mm, {apart:.2f} mm apart"


def bonded() -> Iterator[str]:
    """A bonded seal slips over its G thread by 0.5 to 1.1 mm and fits the wide spotface of ISO 1179-1."""
    majors = {row["thread"]: float(row["value"]) for row in table("threads/g") if row["figure"] == "major_basic_mm"}
    for (family, size), ring in _rings().items():
        if family != "bspp":
            continue
        spotface, play = value(family, size, "spotface_wide_min_mm") or 0, float(ring["id_mm"]) - majors[f"G{size}"]
        if _out(play, 0.5, 1.1):
            yield f"bonded seal G{size}: {play:.2f} mm of play on the thread"
        if float(ring["od_mm"]) >= spotface:
            yield f"bonded seal G{size}: {ring['od_mm']} mm is wider than the spotface {spotface} mm"


RULES = (cavities, depths, rings, cones, taper, flares, two_units, bonded)
