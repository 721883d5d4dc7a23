"""Outlines of ends with an external thread: studs, cone noses, flat faces, taper pipe.

Each function takes an end and its row of `data/drawing/profiles.csv` and gives its shape. Figures come from the tables;
what they lack is drawn by the proportions of that row and named in `guesses`.
"""

import math

from fittings.drawing.solids import Hexagon, Piece, Point, Screw, Shape, bars, disc, known_mm
from fittings.ends import End
from fittings.ratings import Ring, ring
from fittings.tables import Row, table
from fittings.threads import basics, limits, thread
from fittings.units import MM_PER_IN


def screw_depth_mm(of: End) -> float:
    """Height of the thread of an end on radius, mm: 17/24 of the sharp triangle at 60° (ASME B1.1), 0.6403 P at 55°."""
    found = thread(of.thread)
    return found.pitch_mm * (0.6134 if found.flank_deg == 60 else 0.6403)


def printed_length_mm(of: End) -> float | None:
    """Length of a male end from its shoulder to its tip as a catalogue prints it, mm, or None."""
    for row in table("drawing/lengths"):
        if (row["family"], row["size"], row["form"]) == (of.family, of.size, of.form):
            return float(row["length_mm"])
    return None


def male_length_mm(of: End, row: Row) -> float:
    """Length of a male end from its shoulder to its tip, mm: printed, or by the proportion of its row."""
    printed = printed_length_mm(of)
    if printed is not None:
        return printed
    return float(row["length_share"]) * thread(of.thread).major_mm + float(row["length_plus_mm"])


def length_guess(of: End) -> frozenset[str]:
    """`length` where no catalogue prints it."""
    return frozenset() if printed_length_mm(of) is not None else frozenset({"length"})


def flats_mm(of: End, row: Row) -> float:
    """Width across flats of the hexagon behind a male end, mm: of the tables, else by the proportion of its row."""
    return known_mm(of, "hex_in", "hex_mm", "body_hex_in", "body_hex_mm") or (
        float(row["flats_share"]) * thread(of.thread).major_mm)


def bore_radius_mm(of: End, inside: float) -> float:
    """Radius of the passage: of the tables, else by the nominal size, and always well inside `inside` mm."""
    printed = known_mm(of, "through_bore_mm", "through_bore_in", "pilot_bore_mm", "pilot_bore_in")
    if printed is None:
        nominal = of.nominal_16ths
        printed = 0.75 * nominal * MM_PER_IN / 16 if nominal else 1.1 * inside
    return min(printed / 2, 0.82 * inside)


def stud_shoulder(of: End, row: Row) -> Shape:
    """A stud that squeezes its O-ring under its own shoulder (SAE J1926-2, ISO 6149-2)."""
    major = thread(of.thread).major_mm
    return _stud(of, row, 0.0, [], _bore(of), length_guess(of), major / 2)._replace(flats_mm=flats_mm(of, row))


def stud_washer(of: End, row: Row) -> Shape:
    """A stud that squeezes its O-ring under a washer, behind it a locknut (SAE J1926-2, ISO 6149-2, ISO 1179)."""
    major = thread(of.thread).major_mm
    flats = flats_mm(of, row)
    free, thick, washer = 0.12 * major + 1.0, 0.34 * major, 1.0 + 0.02 * major
    shoulder = free + thick + washer
    nut = Hexagon(free, free + thick, flats)
    pieces = [
        Piece("nut", chamfered_bar(free, free + thick, major / 2, nut)),
        Piece("washer", bars((free + thick, major / 2), (shoulder, flats / 2))),
    ]
    made = _stud(of, row, shoulder, pieces, _bore(of), length_guess(of) | {"locknut"}, major / 2)
    return made._replace(hexagons=(nut,))


def stud_face(of: End, row: Row) -> Shape:
    """A stud that seals on the face of the port (ISO 1179, ISO 9974): with the elastomer ring in its own shoulder (form E), or with a
    bonded seal where it has none."""
    found = ring(of)
    return _stud_form_e(of, row, found) if found is not None and found.kind == "elastomer" else _stud_bonded(of, row, found)


def _stud_form_e(of: End, row: Row, found: Ring) -> Shape:
    """The ring lies in a groove of the collar; outside it the collar lands on the face of the port, metal on metal."""
    major, depth, pitch, bore = thread(of.thread).major_mm, screw_depth_mm(of), thread(of.thread).pitch_mm, _bore(of)
    assert found.id_mm and found.od_mm and found.thickness_mm
    root, inner, outer, deep = major / 2 - depth, found.id_mm / 2, found.od_mm / 2, found.thickness_mm
    collar = max((known_mm(of, "collar_od_mm") or 0.0) / 2, outer + 0.8)
    face = deep + 1.5
    length = male_length_mm(of, row) if printed_length_mm(of) else 0.85 * (_port_thread_mm(of) or 0.75 * major)
    tip, neck, relief = face + length, min(inner, root), face + 1.5 * pitch
    cone = (root - 0.6 - bore) * 0.7
    body = (
        (0.0, bore), (0.0, collar), (face, collar), (face, outer), (face - deep, outer), (face - deep, neck), (relief, neck),
        (relief + depth, major / 2), (tip - depth, major / 2), (tip, root), (tip, bore + cone),
        (tip - cone / math.tan(math.radians(30)), bore),
    )
    pieces = (Piece("body", body), Piece("ring", bars((face - deep, inner), (face, outer))))
    screw = Screw("external", relief + depth, tip, major, depth)
    marks = {"thread": ((relief + depth, major / 2), (tip - depth, major / 2)), "shoulder": ((face, collar),),
             "ring": ((face - deep / 2, (inner + outer) / 2),), "seal": ((face, (inner + 3 * outer) / 4),), "face": ((face, collar),),
             "seat": ((tip - cone / math.tan(math.radians(30)), bore), (tip, bore + cone))}
    guesses = {"length", "cone", "groove"} | (set() if known_mm(of, "collar_od_mm") else {"shoulder"})
    return Shape(of, pieces, (screw,), (), root, bore, marks, frozenset(guesses), max(flats_mm(of, row), 2 * collar))


def _stud_bonded(of: End, row: Row, found: Ring | None) -> Shape:
    major = thread(of.thread).major_mm
    thick = 2.0
    inner, outer = major / 2 + 0.3, 0.68 * major + 2.0
    if found is not None and found.id_mm and found.od_mm:
        inner, outer = found.id_mm / 2, found.od_mm / 2
    length = (male_length_mm(of, row) if printed_length_mm(of) else 0.85 * (_port_thread_mm(of) or 0.75 * major))
    bore, depth, lip = _bore(of), screw_depth_mm(of), min(1.6, 0.3 * (outer - inner) + 0.5)
    root = major / 2 - depth
    relief = 1.5 * thread(of.thread).pitch_mm
    tip = thick + length
    cone = (root - 0.6 - bore) * 0.7
    body: list[Point] = [
        (0.0, bore), (0.0, root), (relief, root), (relief + depth, major / 2), (tip - depth, major / 2), (tip, root),
        (tip, bore + cone), (tip - cone / math.tan(math.radians(30)), bore),
    ]
    pieces = (
        Piece("body", tuple(body)),
        Piece("washer", bars((0.0, inner + lip), (thick, outer))),
        Piece("seal", ((0.2, inner), (0.0, inner + lip), (thick, inner + lip), (thick - 0.2, inner))),
    )
    screw = Screw("external", relief + depth, tip, major, depth)
    guesses = {"length", "cone"} | (set() if found is not None and found.od_mm else {"seal"})
    marks = {"thread": ((relief + depth, major / 2), (tip - depth, major / 2)), "shoulder": ((thick, outer),),
             "ring": ((thick / 2, inner + lip / 2),), "seal": ((thick, inner + lip),), "face": ((0.0, outer),),
             "seat": ((tip - cone / math.tan(math.radians(30)), bore), (tip, bore + cone))}
    collar = known_mm(of, "collar_od_mm")
    return Shape(of, pieces, (screw,), (), root, bore, marks, frozenset(guesses),
                 max(flats_mm(of, row), collar or 0.0, 2 * outer))


def _port_thread_mm(of: End) -> float | None:
    return known_mm(End(of.family, of.size, "port"), "full_thread_depth_min_mm")


def _bore(of: End) -> float:
    inside = thread(of.thread).major_mm / 2 - screw_depth_mm(of)
    port = known_mm(End(of.family, of.size, "port"), "pilot_bore_mm", "pilot_bore_in")
    return min(port / 2, 0.82 * inside) if port else bore_radius_mm(of, inside)


def _stud(of: End, row: Row, shoulder: float, before: list[Piece], bore: float, guesses: frozenset[str],
          neck: float) -> Shape:
    found, major, depth = ring(of), thread(of.thread).major_mm, screw_depth_mm(of)
    section = found.cs_mm if found is not None and found.cs_mm else 0.07 * major + 1.0
    inner = found.id_mm / 2 if found is not None and found.id_mm else major / 2 - depth
    printed = printed_length_mm(of)
    length = printed or 0.88 * (_port_thread_mm(of) or 0.75 * major)
    root, tip = major / 2 - depth, shoulder + length
    relief = shoulder + 1.1 * section
    body: list[Point] = [(0.0, bore), (0.0, neck)]
    if shoulder:
        body.append((shoulder, neck))
    body += [(shoulder, min(inner, root)), (relief, min(inner, root)), (relief + depth, major / 2),
             (tip - depth, major / 2), (tip, root), (tip, bore)]
    pieces = [Piece("body", tuple(body)), *before,
              Piece("ring", disc(shoulder + section / 2, inner + section / 2, section / 2))]
    screws = [Screw("external", relief + depth, tip, major, depth)]
    if shoulder:
        screws.insert(0, Screw("external", 0.5, shoulder, major, depth))
    marks = {
        "thread": ((relief + depth, major / 2), (tip - depth, major / 2)), "ring": ((shoulder + section / 2, inner + section / 2),),
        "seal": ((shoulder + section / 2, inner + section),), "face": ((shoulder, major / 2 + section),),
        "length": ((shoulder, major / 2), (tip, root)),
    }
    return Shape(of, tuple(pieces), tuple(screws), (), neck, bore, marks, guesses)


def chamfered_bar(start: float, stop: float, inner: float, hexagon: Hexagon) -> tuple[Point, ...]:
    """The outline of a hexagon over a bore, its corners taken off at 30° at the ends that are chamfered."""
    corner, flat, cut = hexagon.corner, hexagon.flats_mm / 2, hexagon.cut
    low, high = (flat if chamfered else corner for chamfered in (hexagon.first, hexagon.last))
    return ((start, inner), (start, low), (start + cut, corner), (stop - cut, corner), (stop, high), (stop, inner))


def nose_cone(of: End, row: Row) -> Shape:
    """A male whose end is a cone that presses into a hollow seat (SAE J514, J512, JIS B 8363)."""
    major, depth, pitch = thread(of.thread).major_mm, screw_depth_mm(of), thread(of.thread).pitch_mm
    root, tip = major / 2 - depth, male_length_mm(of, row)
    angle = math.radians(known_mm(of, "seat_deg") or 45.0)
    bore = bore_radius_mm(of, root - 0.8)
    wide = root - 0.1
    narrow = bore + 0.3 * (wide - bore)
    foot = tip - (wide - narrow) / math.tan(angle)
    stop = foot - 0.4 * pitch
    body = ((0.0, bore), (0.0, root), (1.2 * pitch, root), (1.2 * pitch + depth, major / 2), (stop - depth, major / 2),
            (stop, root), (foot, wide), (tip, narrow), (tip, bore))
    marks = {"thread": ((1.2 * pitch + depth, major / 2), (stop - depth, major / 2)), "seat": ((foot, wide), (tip, narrow)),
             "seal": (((foot + tip) / 2, (wide + narrow) / 2),), "length": ((0.0, root), (tip, narrow))}
    return Shape(of, (Piece("body", body),), (Screw("external", 1.2 * pitch + depth, stop, major, depth),), (), root, bore,
                 marks, length_guess(of), flats_mm(of, row))


def face_groove(of: End, row: Row) -> Shape:
    """A male with an O-ring in a groove of its flat face (SAE J1453)."""
    major, depth, pitch = thread(of.thread).major_mm, screw_depth_mm(of), thread(of.thread).pitch_mm
    root, tip, found = major / 2 - depth, male_length_mm(of, row), ring(of)
    section = found.cs_mm if found is not None and found.cs_mm else 1.78
    inner = found.id_mm / 2 if found is not None and found.id_mm else root - 1.0 - 1.35 * section
    bore = min(bore_radius_mm(of, inner), inner - 0.4)
    wide, deep = 1.3 * section, 0.75 * section
    body = ((0.0, bore), (0.0, root), (1.2 * pitch, root), (1.2 * pitch + depth, major / 2), (tip - depth, major / 2),
            (tip, root), (tip, inner + wide), (tip - deep, inner + wide), (tip - deep, inner), (tip, inner), (tip, bore))
    marks = {"thread": ((1.2 * pitch + depth, major / 2), (tip - depth, major / 2)),
             "seal": ((tip, inner + section / 2),), "ring": ((tip - deep + section / 2, inner + section / 2),),
             "groove": ((tip - deep, inner), (tip - deep, inner + wide)), "face": ((tip, root),),
             "length": ((0.0, root), (tip, root))}
    pieces = (Piece("body", body), Piece("ring", disc(tip - deep + section / 2, inner + section / 2, section / 2), "below"))
    return Shape(of, pieces, (Screw("external", 1.2 * pitch + depth, tip, major, depth),), (), root, bore, marks,
                 length_guess(of) | {"groove"}, flats_mm(of, row))


def mouth_cone(of: End, row: Row) -> Shape:
    """A male with a hollow cone in its mouth that a nose presses into (ISO 8434-1, ISO 8434-6)."""
    major, depth, pitch = thread(of.thread).major_mm, screw_depth_mm(of), thread(of.thread).pitch_mm
    root, tip = major / 2 - depth, male_length_mm(of, row)
    angle = math.radians(known_mm(of, "seat_deg") or 30.0)
    guesses = set(length_guess(of))
    mouth = (known_mm(of, "cone_mouth_dia_mm") or 0.0) / 2
    if not mouth or mouth > root - 0.25:
        mouth = root - 0.6
        guesses.add("mouth")
    tube, stop = (known_mm(of, "tube_od_mm") or 0.0) / 2, known_mm(of, "tube_stop_depth_mm")
    body: list[Point] = [(0.0, root), (1.2 * pitch, root), (1.2 * pitch + depth, major / 2),
                         (tip - depth, major / 2), (tip, root), (tip, mouth)]
    if tube:
        bore = bore_radius_mm(of, tube)
        foot = tip - (mouth - tube) / math.tan(angle)
        deep = min(stop or 1.4 * (tip - foot), tip - 1.0)
        body += [(foot, tube), (min(tip - deep, foot - 0.5), tube), (min(tip - deep, foot - 0.5), bore), (0.0, bore)]
        inner = tube
    else:
        bore = bore_radius_mm(of, mouth - 0.8)
        foot = max(tip - (mouth - bore) / math.tan(angle), 1.0)
        body += [(foot, bore), (0.0, bore)]
        inner = bore
    marks = {"thread": ((1.2 * pitch + depth, major / 2), (tip - depth, major / 2)), "seat": ((foot, inner), (tip, mouth)),
             "seal": (((foot + tip) / 2, (inner + mouth) / 2),), "mouth": ((tip, mouth),), "tube": ((foot, inner),),
             "length": ((0.0, root), (tip, root))}
    return Shape(of, (Piece("body", tuple(body)),), (Screw("external", 1.2 * pitch + depth, tip, major, depth),), (), root,
                 bore, marks, frozenset(guesses), flats_mm(of, row))


def taper(of: End, row: Row) -> Shape:
    """A male taper pipe thread; a pipe of ASME B1.20.1 may carry a 30° chamfer inside its nose."""
    found = thread(of.thread)
    length, hand_tight, small = taper_lengths_mm(of)
    depth, tip = screw_depth_mm(of), length + 2.0 * found.pitch_mm
    start = tip - length
    root = small / 2 - depth
    bore = bore_radius_mm(of, root - 0.5)
    large = small / 2 + length * found.taper / 2
    chamfer = 0.0
    if known_mm(of, "chamfer_seat_deg"):
        chamfer = 0.6 * (root - bore)
    body = ((0.0, bore), (0.0, large - depth), (start - depth, large - depth), (start, large), (tip - depth, small / 2),
            (tip, root), (tip, bore + chamfer), (tip - chamfer / math.tan(math.radians(30)), bore))
    marks = {"thread": ((start, large), (tip - depth, small / 2)),
             "seal": (((start + tip) / 2, (large + small / 2) / 2),), "tip": ((tip, small / 2),)}
    if chamfer:
        marks["seat"] = ((tip - chamfer / math.tan(math.radians(30)), bore), (tip, bore + chamfer))
    screw = Screw("external", start, tip, small, depth, found.taper)
    grip = hand_tight + 2.0 * found.pitch_mm
    return Shape(of, (Piece("body", body),), (screw,), (), large - depth, bore, marks, frozenset({"chamfer"}),
                 flats_mm(of, row), grip)


def taper_lengths_mm(of: End) -> tuple[float, float, float]:
    """Of a taper pipe thread, mm: length of useful thread, hand-tight engagement, major diameter at the small end."""
    found = thread(of.thread)
    printed = {each.name: each.value for each in basics(found)}
    if found.system == "NPT":
        at_tip = limits(found, "external")
        assert at_tip.major_max is not None
        return printed["l2"] * at_tip.unit_mm, printed["l1"] * at_tip.unit_mm, at_tip.major_max * at_tip.unit_mm
    return printed["useful_length"], printed["gauge_length"], printed["small_end_major"]


def flare_nut_male(of: End, row: Row) -> Shape:
    """A male nut that pushes a double-flared tube onto a seat (SAE J512 inverted flare)."""
    major, depth = thread(of.thread).major_mm, screw_depth_mm(of)
    root, length = major / 2 - depth, male_length_mm(of, row)
    tube = (known_mm(of, "tube_od_mm", "tube_od_in") or 0.6 * major) / 2
    wall = max(0.7, 0.09 * tube * 2)
    head = Hexagon(2.0, 2.0 + 0.45 * major, float(row["flats_share"]) * major)
    tip = head.stop + length
    angle = math.radians(known_mm(of, "seat_deg") or 42.0)
    flare = root - 0.3
    back = tip - 0.4
    nut = ((head.start, tube + 0.2), *chamfered_bar(head.start, head.stop, tube, head)[1:5], (head.stop, root),
           (head.stop + depth, major / 2), (tip - depth - 0.4, major / 2), (back, root),
           (back, flare), (back - (flare - tube) * math.tan(angle) * 0.6, tube + 0.2))
    lip = 2 * wall
    mouth = back + lip + 0.2
    walled = ((0.0, tube - wall), (0.0, tube), (back - (flare - tube) * math.tan(angle) * 0.6, tube), (back, flare),
              (mouth, flare), (mouth - (flare - tube + wall) / math.tan(angle), tube - wall))
    marks = {"thread": ((head.stop + depth, major / 2), (tip - depth - 0.4, major / 2)),
             "seat": ((mouth - (flare - tube + wall) / math.tan(angle), tube - wall), (mouth, flare)),
             "seal": ((mouth - 0.5 * (flare - tube + wall) / math.tan(angle), (flare + tube - wall) / 2),)}
    return Shape(of, (Piece("tube", walled), Piece("nut", nut)), (Screw("external", head.stop + depth, back, major, depth),),
                 (head,), tube, tube - wall, marks, frozenset({"length", "flare"}))
