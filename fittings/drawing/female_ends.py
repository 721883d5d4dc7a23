"""Outlines of ends with an internal thread: ports, taper pipe, swivel nuts and tube nuts.

Each function takes an end and its row of `data/drawing/profiles.csv` and gives its shape. Figures come from the tables;
what they lack is drawn by the proportions of that row and named in `guesses`.
"""

import math
from collections.abc import Mapping
from typing import NamedTuple

from fittings.drawing.male_ends import bore_radius_mm, chamfered_bar, male_length_mm, screw_depth_mm, taper_lengths_mm
from fittings.drawing.solids import Hexagon, Piece, Point, Screw, Shape, disc, known_mm
from fittings.ends import End
from fittings.ratings import ring
from fittings.tables import Row
from fittings.threads import thread


def port_chamfer(of: End, row: Row) -> Shape:
    """A port whose chamfered mouth takes an O-ring (SAE J1926-1, ISO 6149-1)."""
    major, depth = thread(of.thread).major_mm, screw_depth_mm(of)
    hole = major / 2 - depth
    mouth = (known_mm(of, "seal_chamfer_dia_mm", "seal_chamfer_dia_in") or 1.12 * major) / 2
    chamfer = known_mm(of, "chamfer_depth_mm", "chamfer_depth_in") or 2.0
    angle = math.radians(known_mm(of, "chamfer_deg") or 15.0)
    narrow = mouth - chamfer * math.tan(angle)
    face = (known_mm(of, "spotface_wide_min_mm", "spotface_narrow_min_mm") or 1.7 * major) / 2
    sunk = min(known_mm(of, "spotface_depth_max_mm", "spotface_depth_max_in") or 1.0, 1.0)
    full, drill = _depths(of, major)
    edge, back = face + 0.22 * major + 1.0, 0.25 * major + 2.0
    floor = back + drill + 0.3 * (hole - _pilot(of, hole))
    top = floor + sunk
    thread_at = floor - chamfer - (narrow - major / 2)
    block = (
        (0.0, _pilot(of, hole)), (floor - drill - 0.3 * (hole - _pilot(of, hole)), _pilot(of, hole)), (floor - drill, hole),
        (floor - chamfer - (narrow - hole), hole), (floor - chamfer, narrow), (floor, mouth), (floor, face), (top, face),
        (top, edge), (0.0, edge),
    )
    screw = Screw("internal", floor - full, thread_at, major, depth)
    marks = {
        "thread": ((floor - full, hole), (thread_at, hole)), "mouth": ((floor, mouth),), "spotface": ((floor, face),),
        "seat": ((floor - chamfer, narrow), (floor, mouth)), "seal": ((floor - chamfer / 2, (mouth + narrow) / 2),),
        "depth": ((floor, hole), (floor - full, hole)), "chamfer": ((floor, mouth), (floor - chamfer, narrow)),
        "drill": ((floor, hole), (floor - drill, hole)), "face": ((floor, face),),
    }
    return Shape(of, (Piece("block", block, "cut", 0.0),), (screw,), (), edge, _pilot(of, hole), marks, _port_guesses(of))


def port_flat(of: End, row: Row) -> Shape:
    """A port that seals on the flat face around its mouth (ISO 1179-1, ISO 9974-1)."""
    major, depth = thread(of.thread).major_mm, screw_depth_mm(of)
    hole = major / 2 - depth
    face = (known_mm(of, "spotface_wide_min_mm", "spotface_narrow_min_mm") or 1.5 * major) / 2
    full, drill = _depths(of, major)
    edge, back, sunk = face + 0.22 * major + 1.0, 0.25 * major + 2.0, 0.6
    pilot = _pilot(of, hole)
    floor = back + drill + 0.3 * (hole - pilot)
    top = floor + sunk
    mouth = major / 2 + 0.2
    block = ((0.0, pilot), (back, pilot), (floor - drill, hole), (floor - (mouth - hole), hole), (floor, mouth), (floor, face),
             (top, face), (top, edge), (0.0, edge))
    screw = Screw("internal", floor - full, floor - (mouth - hole), major, depth)
    marks = {"thread": ((floor - full, hole), (floor - (mouth - hole), hole)), "spotface": ((floor, face),),
             "depth": ((floor, hole), (floor - full, hole)), "drill": ((floor, hole), (floor - drill, hole)),
             "seal": ((floor, (mouth + face) / 2),), "face": ((floor, face),), "mouth": ((floor, mouth),)}
    return Shape(of, (Piece("block", block, "cut", 0.0),), (screw,), (), edge, pilot, marks, _port_guesses(of))


def _depths(of: End, major: float) -> tuple[float, float]:
    full = known_mm(of, "full_thread_depth_min_mm", "full_thread_depth_min_in") or 0.8 * major
    drill = known_mm(of, "tap_drill_depth_min_mm", "tap_drill_depth_min_in") or full + 3.0
    return full, drill


def _pilot(of: End, hole: float) -> float:
    return bore_radius_mm(of, hole)


def _port_guesses(of: End) -> frozenset[str]:
    return frozenset() if known_mm(of, "full_thread_depth_min_mm", "full_thread_depth_min_in") else frozenset({"depth"})


def taper_female(of: End, row: Row) -> Shape:
    """A female taper pipe thread."""
    found = thread(of.thread)
    depth = screw_depth_mm(of)
    length, hand_tight, small = taper_lengths_mm(of)
    mouth = small / 2 + hand_tight * found.taper / 2
    deep = length + 1.5 * found.pitch_mm
    back = 0.15 * found.major_mm + 1.5
    tip = back + deep
    narrow = mouth - deep * found.taper / 2
    bore = bore_radius_mm(of, narrow - depth)
    hexagon = Hexagon(0.0, tip, float(row["flats_share"]) * found.major_mm, first=False)
    outer = chamfered_bar(0.0, tip, bore, hexagon)
    body: tuple[Point, ...] = (
        (0.0, bore), *outer[1:5], (tip, mouth + 0.2), (tip - depth - 0.2, mouth - depth), (back, narrow - depth),
        (back - 0.3 * (narrow - depth - bore), bore))
    screw = Screw("internal", back, tip, 2 * narrow, depth, found.taper)
    screw = screw._replace(major_mm=2 * mouth)
    marks = {"thread": ((back, narrow - depth), (tip - depth, mouth - depth)), "mouth": ((tip, mouth),),
             "seal": ((tip - hand_tight / 2, mouth - depth / 2),), "face": ((tip, mouth),)}
    return Shape(of, (Piece("body", body),), (screw,), (hexagon,), hexagon.corner, bore, marks,
                 frozenset({"hex"}), grip_mm=hand_tight + 2.0 * found.pitch_mm)


class _Nut(NamedTuple):
    """What all swivel nuts share: radii and places of nut and tail, mm."""

    major: float
    depth: float
    hole: float
    head: float
    neck: float
    bore: float
    wall: float
    start: float
    engaged: float
    flats: float
    guesses: frozenset[str]


def _nut(of: End, row: Row) -> _Nut:
    major, depth = thread(of.thread).major_mm, screw_depth_mm(of)
    hole = major / 2 - depth
    flats = known_mm(of, "nut_hex_in", "nut_hex_mm")
    guesses = {"nut length"} | (set() if flats else {"hex"})
    head = hole - 0.3
    bore = bore_radius_mm(of, 0.75 * head)
    engaged = 0.72 * male_length_mm(of, row)
    return _Nut(major, depth, hole, head, max(0.72 * head, bore + 0.8), bore, 0.13 * major + 0.6, 0.08 * major + 1.0,
                engaged, flats or float(row["flats_share"]) * major, frozenset(guesses))


def _assemble(of: End, nut: _Nut, tail: tuple[Point, ...], front: float, marks: Mapping[str, tuple[Point, ...]],
              more: tuple[Piece, ...] = (), kind: str = "tail") -> Shape:
    """Tail and nut put together; `front` is where the head of the tail ends, which the male reaches past by `engaged`."""
    stop = front + nut.engaged
    hexagon = Hexagon(nut.start, stop, nut.flats)
    outer = chamfered_bar(nut.start, stop, nut.neck, hexagon)
    inside = nut.start + nut.wall
    mouth = nut.major / 2 + 0.2
    shell: tuple[Point, ...] = (
        (nut.start, nut.neck + 0.25), *outer[1:5], (stop, mouth), (stop - (mouth - nut.hole), nut.hole), (inside, nut.hole),
        (inside, nut.neck + 0.25))
    screw = Screw("internal", front - 0.5, stop - (mouth - nut.hole), nut.major, nut.depth)
    marks = {"thread": ((front - 0.5, nut.hole), (stop - (mouth - nut.hole), nut.hole)), "hex": ((nut.start, nut.flats / 2),),
             "mouth": ((stop, mouth),), **marks}
    return Shape(of, (Piece(kind, tail), *more, Piece("nut", shell)), (screw,), (hexagon,), nut.neck, nut.bore, marks,
                 nut.guesses)


def nut_hollow(of: End, row: Row) -> Shape:
    """A swivel whose tail ends in a hollow cone that a nose presses into (SAE J514, J512, JIS B 8363)."""
    nut = _nut(of, row)
    angle = math.radians(known_mm(of, "seat_deg") or 37.0)
    wide, narrow = nut.head - 0.35, nut.bore + 0.2 * (nut.head - nut.bore)
    deep = (wide - narrow) / math.tan(angle)
    back = nut.start + nut.wall
    front = back + 0.1 * nut.major + 0.6 * deep
    foot = front - deep
    tail = ((0.0, nut.bore), (0.0, nut.neck), (back, nut.neck), (back, nut.head), (front, nut.head), (front, wide),
            (foot, narrow), (max(foot - 0.8, 0.4), narrow), (max(foot - 0.8, 0.4), nut.bore))
    marks = {"seat": ((foot, narrow), (front, wide)), "seal": (((foot + front) / 2, (wide + narrow) / 2),)}
    return _assemble(of, nut, tail, front, marks)


def nut_flat(of: End, row: Row) -> Shape:
    """A swivel whose tail ends in a plain flat face (SAE J1453)."""
    nut = _nut(of, row)
    back = nut.start + nut.wall
    front = back + 0.11 * nut.major + 0.5
    tail = ((0.0, nut.bore), (0.0, nut.neck), (back, nut.neck), (back, nut.head), (front, nut.head), (front, nut.bore))
    marks = {"seal": ((front, (nut.head + nut.bore) / 2),), "face": ((front, nut.head),)}
    return _assemble(of, nut, tail, front, marks)


def nut_nose(of: End, row: Row) -> Shape:
    """A swivel whose tail ends in a cone nose that presses into a hollow mouth (ISO 8434-1, ISO 8434-6, NPSM)."""
    nut = _nut(of, row)
    angle = math.radians(known_mm(of, "seat_deg") or 30.0)
    back = nut.start + nut.wall
    front = back + 0.1 * nut.major + 0.4
    tube, found = (known_mm(of, "tube_od_mm") or 0.0) / 2, ring(of)
    if tube:
        mouth = min((known_mm(End(of.family, of.size, "male"), "cone_mouth_dia_mm") or 0.0) / 2 or nut.hole - 0.6, nut.hole - 0.6)
        wide, narrow = mouth + 0.15, tube + 0.05
    elif of.family == "npsm":
        wide, narrow = nut.hole - 1.6, nut.bore + 0.35
    else:
        wide, narrow = nut.hole - 0.35, nut.bore + 0.35
    tip = front + (wide - narrow) / math.tan(angle)
    nose: list[Point] = [(front, nut.head), (front, wide), (tip, narrow), (tip, nut.bore)]
    more: tuple[Piece, ...] = ()
    marks = {"seat": ((front, wide), (tip, narrow)), "seal": (((front + tip) / 2, (wide + narrow) / 2),)}
    if found is not None and found.cs_mm:
        middle, radius = front + 0.45 * (tip - front), found.cs_mm / 2
        at = wide - (middle - front) * math.tan(angle)
        deep = min(0.8 * found.cs_mm, at - nut.bore - 0.3)
        nose[2:2] = [(middle - radius * 1.15, at + radius * 1.15 * math.tan(angle)), (middle - radius * 1.15, at - deep),
                     (middle + radius * 1.15, at - deep), (middle + radius * 1.15, at - radius * 1.15 * math.tan(angle))]
        more = (Piece("ring", disc(middle, at - deep + radius, radius), "below"),)
        marks["ring"] = ((middle, at - deep + radius),)
    tail = ((0.0, nut.bore), (0.0, nut.neck), (back, nut.neck), (back, nut.head), *nose)
    return _assemble(of, nut, tail, front, marks, more)


def nut_flare(of: End, row: Row) -> Shape:
    """A nut over a flared tube, a sleeve behind the flare (SAE J514, ISO 8434-2)."""
    nut = _nut(of, row)
    tube = (known_mm(of, "tube_od_mm", "tube_od_in") or 0.66 * nut.major) / 2
    wall = max(0.6, 0.12 * tube)
    nut = nut._replace(neck=tube + 1.0, bore=tube - wall)
    angle = math.radians(known_mm(of, "seat_deg") or 37.0)
    flare = known_mm(of, "flare_od_max_in", "flare_od_min_in")
    wide = min((flare or 2 * nut.head) / 2, nut.head)
    back = nut.start + nut.wall
    sleeve_front = back + 0.16 * nut.major
    reach = (wide - tube) / math.tan(angle)
    front = sleeve_front + reach
    walled: tuple[Point, ...] = (
        (0.0, tube - wall), (0.0, tube), (sleeve_front, tube), (front, wide),
        (front + wall * math.sin(angle), wide - wall * math.cos(angle)),
        (sleeve_front + wall / math.sin(angle) - wall / math.tan(angle), tube - wall))
    foot = walled[5][0]
    sleeve: tuple[Point, ...] = ((nut.start - 0.6, tube), (nut.start - 0.6, nut.neck), (back, nut.neck), (back, nut.head),
                                 (back + 0.4 * (front - back), nut.head), (front, wide + 0.02), (sleeve_front, tube))
    marks = {"seat": ((foot, tube - wall), (walled[4][0], walled[4][1])),
             "seal": (((foot + walled[4][0]) / 2, (tube - wall + walled[4][1]) / 2),), "tube": ((0.0, tube),)}
    made = _assemble(of, nut, walled, front, marks, (Piece("washer", sleeve),), "tube")
    return made._replace(neck_mm=tube, guesses=made.guesses | {"sleeve"})


def nut_cutting_ring(of: End, row: Row) -> Shape:
    """A nut that drives a cutting ring onto a tube (ISO 8434-1)."""
    nut = _nut(of, row)
    tube = (known_mm(of, "tube_od_mm") or 0.66 * nut.major) / 2
    wall = max(0.8, 0.12 * tube)
    nut = nut._replace(neck=tube, bore=tube - wall)
    angle = math.radians(known_mm(of, "seat_deg") or 12.0)
    mouth = min((known_mm(End(of.family, of.size, "male"), "cone_mouth_dia_mm") or 0.0) / 2 or nut.hole - 0.6, nut.hole - 0.6)
    back = nut.start + nut.wall
    head = min(mouth + 0.5, nut.hole - 0.2)
    ramp = 0.5 * (head - tube)
    front = back + ramp + 0.08 * nut.major + 0.8
    wide = mouth + 0.1
    tip = front + (wide - tube - 0.2) / math.tan(angle)
    stop = max(known_mm(End(of.family, of.size, "male"), "tube_stop_depth_mm") or 0.0, (mouth - tube) / math.tan(angle) + 0.5)
    end_of_tube = front + (wide - mouth) / math.tan(angle) + stop - 0.05
    walled = ((0.0, tube - wall), (0.0, tube), (end_of_tube, tube), (end_of_tube, tube - wall))
    cutter = ((back - 0.2, tube), (back - 0.2, tube + 0.3), (back + ramp, head), (front, head), (front, wide),
              (tip, tube + 0.2), (tip, tube))
    marks = {"seat": ((front, wide), (tip, tube + 0.2)), "seal": (((front + tip) / 2, (mouth + tube) / 2),),
             "tube": ((0.0, tube),)}
    made = _assemble(of, nut, walled, front, marks, (Piece("washer", cutter),), "tube")
    return made._replace(neck_mm=tube, guesses=made.guesses | {"cutting ring"})


def flare_seat_female(of: End, row: Row) -> Shape:
    """A threaded hole with a raised seat at its bottom (SAE J512 inverted flare)."""
    major, depth = thread(of.thread).major_mm, screw_depth_mm(of)
    hole = major / 2 - depth
    length = male_length_mm(of, row)
    angle = math.radians(known_mm(of, "seat_deg") or 42.0)
    tube = (known_mm(of, "tube_od_mm", "tube_od_in") or 0.6 * major) / 2
    bore = 0.55 * tube
    wide = hole - 0.2
    rise = (wide - bore - 0.6) / math.tan(angle)
    back = 2.0 + 0.1 * major
    floor = back + 0.4
    tip = floor + length - 0.1 * major - 1.0  # shorter than the nut, whose hexagon must not stop it before the seat does
    hexagon = Hexagon(0.0, tip, float(row["flats_share"]) * major, first=False)
    outer = chamfered_bar(0.0, tip, bore, hexagon)
    body: tuple[Point, ...] = (
        (0.0, bore), *outer[1:5], (tip, major / 2 + 0.2), (tip - depth - 0.2, hole), (floor, hole), (floor, wide),
        (floor + rise, bore + 0.6), (floor + rise, bore))
    marks = {"thread": ((floor + rise, hole), (tip - depth, hole)), "seat": ((floor, wide), (floor + rise, bore + 0.6)),
             "seal": ((floor + rise / 2, (wide + bore + 0.6) / 2),), "mouth": ((tip, major / 2),)}
    return Shape(of, (Piece("body", body),), (Screw("internal", floor + 0.5 * rise, tip - depth, major, depth),), (hexagon,),
                 hexagon.corner, bore, marks, frozenset({"length", "hex"}))
