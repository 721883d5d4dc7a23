"""What agrees and what differs between the readings and an end, in figures that a person can check."""

from collections.abc import Callable
from typing import NamedTuple

from fittings.ends import End
from fittings.identify.likelihood import count_sd_mm, diameter_sd_mm, leaf_read, leaves, nose_share, places_read
from fittings.identify.marks import meant
from fittings.identify.prior import region_of, usual_ports, within_region
from fittings.identify.readings import Readings
from fittings.identify.specimen import Diameter, Specimen
from fittings.threads import Thread, thread
from fittings.units import MM_PER_IN

SAME_PITCH = 0.02
"""Pitches closer than this part of each other are read as one."""

BESIDE_MM = 0.1
"""A diameter further than this outside what an end can measure is told, though the reading may be that far off."""

NOSE_SAYS = {
    "cone": "a cone standing out", "seat": "a funnel-shaped seat", "flat-groove": "a flat face with a groove", "flat": "a flat face",
    "o-ring-at-hex": "a ring under the hex", "plain": "a plain end", "flange": "a four-bolt flange",
    "coupler": "a quick coupler",
}


class Compared(NamedTuple):
    """Lines for what agrees and for what differs."""

    agrees: tuple[str, ...]
    differs: tuple[str, ...]


def compare(readings: Readings, of: Specimen) -> Compared:
    """Every reading against one end.

    >>> from fittings.ends import end
    >>> compare(Readings(od_mm=14.2, tpi=18), Specimen(end("orb", "-6", "stud"))).agrees[1]
    '18 TPI'
    """
    agrees: list[str] = []
    differs: list[str] = []
    for reading in readings.given:
        fits, text = _SAYS[reading](readings, of)
        if text:
            (agrees if fits else differs).append(text)
    return Compared(tuple(agrees), tuple(differs))


WEAK = ("hex_mm", "country", "came_off")
"""Readings that lead and prove nothing: makers choose their own hexes, and a part may come from elsewhere."""


def differing(readings: Readings, of: Specimen) -> dict[str, str]:
    """The readings that an end does not have, each with its line; those that prove nothing left out.

    >>> from fittings.ends import end
    >>> differing(Readings(od_mm=19.0, seat_deg=41), Specimen(end("jic", "-8", "male")))
    {'seat_deg': 'seat 41°: 37° or 74° here'}
    """
    found = {name: _SAYS[name](readings, of) for name in readings.given if name not in WEAK}
    return {name: text for name, (fits, text) in found.items() if not fits}


# --- one reading against one end: whether it fits, and the line that says so ---------------------------------------------

def _outside(readings: Readings, of: Specimen) -> tuple[bool, str]:
    return _diameter(readings.od_mm or 0.0, "outside", of.is_outside, of, diameter_sd_mm(readings, False))


def _bore(readings: Readings, of: Specimen) -> tuple[bool, str]:
    return _diameter(readings.id_mm or 0.0, "inside", not of.is_outside, of, diameter_sd_mm(readings, True))


def _sex(readings: Readings, of: Specimen) -> tuple[bool, str]:
    fits = of.is_called(readings.sex or "")
    return fits, "" if fits else f"this end is {of.end.sex}"


def _taper(readings: Readings, of: Specimen) -> tuple[bool, str]:
    tapers = bool(of.thread and of.thread.taper)
    return readings.taper == tapers, "it tapers" if tapers else "its thread is straight"


def _nose(readings: Readings, of: Specimen) -> tuple[bool, str]:
    word = readings.nose or ""
    likely = max(of.nose, key=lambda each: of.nose[each], default="plain")
    if nose_share(word, of) >= 0.12:
        return True, NOSE_SAYS[word]
    return False, f"{NOSE_SAYS[word]}, where {NOSE_SAYS[likely]} is usual"


def _seat(readings: Readings, of: Specimen) -> tuple[bool, str]:
    said = " or ".join(f"{deg:g}°" for deg, _ in of.seats[:2]) or "no cone"
    fits = any(abs(deg - (readings.seat_deg or 0)) <= 3 for deg, _ in of.seats)
    return fits, f"seat {readings.seat_deg:g}°: {said} here"


def _chamfer(readings: Readings, of: Specimen) -> tuple[bool, str]:
    has = "cut to a cone" if readings.chamfer else "not cut to a cone"
    return (of.chamfer if readings.chamfer else 1 - of.chamfer) >= 0.2, f"the edge is {has}"


def _turns(readings: Readings, of: Specimen) -> tuple[bool, str]:
    return (of.turns if readings.turns else 1 - of.turns) >= 0.2, "the nut turns" if readings.turns else "it is fixed"


def _hole(readings: Readings, of: Specimen) -> tuple[bool, str]:
    fits = (of.hole if readings.hole else 1 - of.hole) >= 0.1
    return fits, "a hole goes through it" if readings.hole else "it is solid" + ("" if fits else ", where a hole goes through")


ANY_BORE = 0.2
"""From this share of bores that hang on the hose or the maker a bore says nothing against an end."""


def bores_met(read_mm: float, of: Specimen, at: str | None) -> set[str]:
    """The places of an end where a bore of that size may have been read; `other` only where that is common."""
    places = places_read(of, at)
    met = {each.place for each in places if each.size and each.size.low_mm - 0.4 <= read_mm <= each.size.high_mm + 0.4}
    any_bore = sum(each.share for each in places if each.size is None) / sum(each.share for each in places)
    return met | ({"other"} if any_bore >= ANY_BORE else set())


def _tube_bore(readings: Readings, of: Specimen) -> tuple[bool, str]:
    """A bore against the tube of an end, the hole behind it, or neither."""
    if of.bore_mm is None:
        return True, ""
    read_mm = readings.tube_bore_mm or 0.0
    met = bores_met(read_mm, of, readings.bore_at)
    if "tube" in met or not met:
        return bool(met), f"bore {read_mm:.1f} mm: tube {of.bore_mm:g} mm here"
    if "through" not in met:
        return True, ""
    return True, f"bore {read_mm:.1f} mm: the hole behind the mouth here, tube {of.bore_mm:g} mm"


def _hexagon(readings: Readings, of: Specimen) -> tuple[bool, str]:
    if not of.hexes_mm:
        return True, ""
    near = min(of.hexes_mm, key=lambda each: abs(each - (readings.hex_mm or 0.0)))
    return abs(near - (readings.hex_mm or 0.0)) < 0.8, f"hex {readings.hex_mm:.1f} mm: {near:g} mm is usual"


def _flanks(readings: Readings, of: Specimen) -> tuple[bool, str]:
    here = f"{of.thread.flank_deg:g}°" if of.thread else "none"
    return bool(of.thread and of.thread.flank_deg == readings.flank_deg), f"flanks {here}, read {readings.flank_deg:g}°"


def _marking(readings: Readings, of: Specimen) -> tuple[bool, str]:
    speaks = meant(readings.marking or "")
    if not speaks:
        return True, ""
    fits = any(family == of.end.family and size in ("", of.end.size) and form in ("", of.end.form) for family, size, form in speaks)
    return fits, f"marked {readings.marking}"


def _country(readings: Readings, of: Specimen) -> tuple[bool, str]:
    region = region_of(readings.country or "")
    if region is None:
        return True, ""
    met = within_region(region)[of.end] * 2 > _fair_share(of)
    return met, f"{'usual' if met else 'seldom met'} in {readings.country}"


def _came_off(readings: Readings, of: Specimen) -> tuple[bool, str]:
    usual = usual_ports(readings.came_off or "", region_of(readings.country or "")).rows
    here = [row for row, _ in usual if row["port_family"] == of.end.family and row["port_size"] in ("", of.end.size)]
    return True, f"{here[0]['usual']} there" if here else ""


def _fair_share(of: Specimen) -> float:
    """Share of this end among all regions taken alike."""
    from fittings.identify.prior import regions

    return sum(within_region(region)[of.end] for region in regions()) / len(regions())


def _diameter(read_mm: float, word: str, right_side: bool, of: Specimen, sd_mm: float) -> tuple[bool, str]:
    if of.crests is None:
        return False, f"{word} {read_mm:.2f} mm: our tables know no diameter here"
    if not right_side:
        return False, _wrong_side(read_mm, word, of, sd_mm)
    low, high = of.crests.span_mm
    where = " along its taper" if of.thread and of.thread.taper else ""
    limits = f"{low:.2f} to {high:.2f}{where}" if where else f"new {of.crests.low_mm:.2f} to {of.crests.high_mm:.2f}"
    text = f"{read_mm:.2f} mm {word} ({limits})"
    if read_mm > high + 2.5 * sd_mm:
        return False, f"{text}: {read_mm - high:.2f} mm over"
    if read_mm < low - 2.5 * sd_mm:
        return False, f"{text}: {low - read_mm:.2f} mm under"
    if not where and of.is_outside and read_mm < of.crests.low_mm - 2 * sd_mm:
        return True, f"{text}, worn"
    if not where and of.is_outside and read_mm > of.crests.high_mm + 2 * sd_mm:
        return True, f"{text}, with paint or burrs"
    off_mm = max(read_mm - high, low - read_mm)
    if off_mm > BESIDE_MM:
        return True, f"{text}, {off_mm:.2f} mm {'over' if read_mm > high else 'under'}, as near as it was read"
    return True, text


def _wrong_side(read_mm: float, word: str, of: Specimen, sd_mm: float) -> str:
    own = "outside" if of.is_outside else "inside"
    for known, what in ((of.crests, f"its {own} diameter"), (of.other_side, "what its partner measures")):
        if known and _inside(read_mm, known, sd_mm):
            return f"{read_mm:.2f} mm given as {word}: fits {what}, {known.low_mm:.2f} to {known.high_mm:.2f}"
    return f"{read_mm:.2f} mm given as {word}, of an end that is measured {own}"


def _inside(read_mm: float, of: Diameter, sd_mm: float) -> bool:
    low, high = of.span_mm
    return low - 2.5 * sd_mm <= read_mm <= high + 2.5 * sd_mm


def pitch_says(of: Thread) -> str:
    """The pitch as the thread's own standard says it: `18 TPI`, `1.5 mm`."""
    return f"{of.tpi:g} TPI" if of.tpi else f"{of.pitch_mm:g} mm"


def _pitch(readings: Readings, specimen: Specimen) -> tuple[bool, str]:
    of = specimen.thread
    if of is None:
        return False, "no thread here"
    best: tuple[float, float | None, float | None] | None = None
    for pitch_mm, tpi in ((readings.pitch_mm, None), (None, readings.tpi)):
        read_mm = pitch_mm if pitch_mm is not None else MM_PER_IN / tpi if tpi else None
        if read_mm is not None and (best is None or abs(read_mm / of.pitch_mm - 1) < best[0]):
            best = abs(read_mm / of.pitch_mm - 1), pitch_mm, tpi
    assert best is not None
    off, pitch_mm, tpi = best
    if pitch_mm is not None and readings.counted:
        return _counted(readings.counted, pitch_mm, count_sd_mm(readings), of)
    read = f"{tpi:g} TPI" if tpi else f"{pitch_mm:.4g} mm pitch"
    if off < 0.001 and (tpi is None) == (of.tpi is None):
        return True, read
    text = f"{read} ({pitch_says(of)} here, {off:.1%} apart)"
    if off < SAME_PITCH:
        return True, text
    leaf = leaf_read(readings, pitch_mm, tpi)
    if leaf and (of.tpi is None) != (leaf[0] == "mm"):
        near = sorted(leaves(leaf[0]), key=lambda each: abs(each / of.pitch_mm - 1))[:2]
        if leaf[1] in near and off < 0.075:
            return True, f"{text}: the nearest leaf of {'an inch' if leaf[0] == 'tpi' else 'a metric'} gauge"
    return False, text


def _counted(threads: int, pitch_mm: float, sd_mm: float, of: Thread) -> tuple[bool, str]:
    """Threads counted over a length, against the length that so many take on this thread."""
    read_mm, true_mm = threads * pitch_mm, threads * of.pitch_mm
    text = f"{threads} threads in {read_mm:.4g} mm"
    if f"{read_mm:.1f}" == f"{true_mm:.1f}":
        return True, text
    return abs(read_mm - true_mm) <= 2.5 * sd_mm, f"{text} ({pitch_says(of)} here: {true_mm:.1f} mm)"


_SAYS: dict[str, Callable[[Readings, Specimen], tuple[bool, str]]] = {
    "od_mm": _outside, "id_mm": _bore, "pitch": _pitch, "sex": _sex, "taper": _taper, "nose": _nose, "seat_deg": _seat,
    "chamfer": _chamfer, "turns": _turns, "hole": _hole, "tube_bore_mm": _tube_bore, "hex_mm": _hexagon, "flank_deg": _flanks,
    "marking": _marking, "country": _country, "came_off": _came_off,
}
"""What says how a reading fits, by the name of the reading."""


def counter_words(of: End) -> str:
    """The words for the counter: end, thread, standard.

    >>> from fittings.ends import end
    >>> counter_words(end("jic", "-6", "male"))
    'JIC -6 male, thread 9/16-18 UNF, SAE J514 / ISO 8434-2'
    """
    called = f", thread {thread(of.thread).say}" if of.thread else ""
    return f"{of.say}{called}, {of.standard}"
