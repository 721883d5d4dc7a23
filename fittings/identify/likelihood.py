"""How likely each reading is on each end, and on a thread that is none of the standard ones.

Densities of a diameter are per mm, of a pitch per part; a word, a leaf of a gauge and an angle have plain shares. All
readings are taken as independent once the end is known.
"""

import math
from collections.abc import Callable
from functools import cache

from fittings.identify.marks import mark_share
from fittings.identify.noise import noise
from fittings.identify.readings import Readings, instrument_sd_mm
from fittings.identify.specimen import NOSES, BorePlace, Diameter, Seen
from fittings.tables import Row, table
from fittings.units import MM_PER_IN

FLOOR = 1e-9
"""Nothing is quite impossible: the least share or density of any reading."""

_ROOT2 = math.sqrt(2.0)


def diameter_sd_mm(readings: Readings, inside: bool) -> float:
    """Standard deviation in mm of the diameter: as the person says, else by the instrument."""
    return readings.plus_minus_mm or instrument_sd_mm(readings.instrument, inside)


def diameter_density(read_mm: float, of: Diameter, sd_mm: float) -> float:
    """Density per mm of a caliper's reading on a diameter: limits of size, wear and taper, then the hand."""
    careless = noise("slip_share")
    low, high = of.span_mm
    wide_mm = math.hypot(sd_mm, noise("slip_sd"))
    if read_mm < low - 6 * wide_mm or read_mm > high + 6 * wide_mm:
        return FLOOR
    return (1 - careless) * _spread(read_mm, of, sd_mm) + careless * _spread(read_mm, of, wide_mm)


def quick_density(read_mm: float, of: Diameter, sd_mm: float) -> float:
    """As `diameter_density`, without the careless reading; for weighing many possible readings."""
    low, high = of.span_mm
    return _spread(read_mm, of, sd_mm) if low - 4 * sd_mm < read_mm < high + 4 * sd_mm else FLOOR


def _spread(read_mm: float, of: Diameter, sd_mm: float) -> float:
    width, scale, erf = of.high_mm - of.low_mm, sd_mm * _ROOT2, math.erf
    start = read_mm - of.low_mm
    total = sum(share * (erf((start - move) / scale) - erf((start - move - width) / scale)) for move, share in of.moves)
    return total / (2 * width)


def none_diameter_density(read_mm: float) -> float:
    """Density per mm of a diameter that is none of the standard ones: any size is as likely in proportion."""
    low, high = noise("none_smallest"), noise("none_largest")
    inside = 1.0 if low <= read_mm <= high else 0.02
    return inside / (max(read_mm, 0.1) * math.log(high / low))


def _od(readings: Readings, of: Seen) -> float:
    assert readings.od_mm is not None
    return _measured(readings.od_mm, of, diameter_sd_mm(readings, False), of.is_outside)


def _id(readings: Readings, of: Seen) -> float:
    assert readings.id_mm is not None
    return _measured(readings.id_mm, of, diameter_sd_mm(readings, True), not of.is_outside)


def _measured(read_mm: float, of: Seen, sd_mm: float, right_side: bool) -> float:
    if not of.may_measure(read_mm, 6 * math.hypot(sd_mm, noise("slip_sd"))) or of.crests is None:
        return FLOOR
    wrong = noise("wrong_side")
    if right_side:
        return (1 - wrong) * diameter_density(read_mm, of.crests, sd_mm) + FLOOR
    other = diameter_density(read_mm, of.other_side, sd_mm) if of.other_side else 0.0
    return wrong / 2 * (diameter_density(read_mm, of.crests, sd_mm) + other) + FLOOR


@cache
def leaves(unit: str) -> tuple[float, ...]:
    """Leaves of a thread gauge, as pitches in mm, for `tpi` or `mm`."""
    rows = [float(row["leaf"]) for row in table("identify/gauge-leaves") if row["unit"] == unit]
    return tuple(MM_PER_IN / leaf if unit == "tpi" else leaf for leaf in rows)


@cache
def leaf_of(pitch_mm: float | None, tpi: float | None) -> tuple[str, float] | None:
    """The leaf that a reading names, as its unit and pitch in mm; None when it is no leaf and so was counted.

    A pitch in mm that is a whole number of threads per inch was read off an inch leaf.

    >>> leaf_of(1.5, None), leaf_of(None, 17.2)
    (('mm', 1.5), None)
    """
    if tpi is not None:
        pitch_mm = MM_PER_IN / tpi
        near = min(leaves("tpi"), key=lambda leaf: abs(leaf - pitch_mm))
        return ("tpi", near) if abs(near / pitch_mm - 1) < 1e-6 else None
    assert pitch_mm is not None
    for unit, close in (("mm", 1e-6), ("tpi", 0.002)):
        near = min(leaves(unit), key=lambda leaf: abs(leaf - pitch_mm))
        if abs(near / pitch_mm - 1) <= close:
            return unit, near
    return None


def leaf_read(readings: Readings, pitch_mm: float | None, tpi: float | None) -> tuple[str, float] | None:
    """As `leaf_of`, for one of the two pitches of some readings: None too when it was counted, whatever it comes to."""
    counted = pitch_mm is not None and readings.counted is not None
    return leaf_of(pitch_mm, tpi) if _by_gauge(readings) and not counted else None


@cache
def leaf_shares(true_mm: float, unit: str, sd: float) -> dict[float, float]:
    """Which leaf of a gauge of that unit a person finds to fit a true pitch, with the share of each."""
    fits = {leaf: math.exp(-0.5 * (math.log(leaf / true_mm) / sd) ** 2) for leaf in leaves(unit)}
    if sum(fits.values()) < 1e-6:
        nearest = sorted(leaves(unit), key=lambda leaf: abs(math.log(leaf / true_mm)))[:2]
        apart = [abs(math.log(leaf / true_mm)) for leaf in nearest]
        closer = 1 / (1 + math.exp((apart[0] - apart[1]) / sd))
        fits = dict.fromkeys(leaves(unit), 0.0) | {nearest[0]: closer, nearest[1]: 1 - closer}
    total, slip = sum(fits.values()), noise("gauge_leaf_by_mistake")
    near = {leaf for leaf in fits if abs(math.log(leaf / true_mm)) < 0.2}
    return {leaf: fit / total * (1 - slip * len(near)) + (slip if leaf in near else 0.0) for leaf, fit in fits.items()}


def gauge_share(unit: str, inch_thread: bool) -> float:
    """How often a gauge of that unit is laid on such a thread."""
    other = noise("gauge_other_kind")
    return 1 - other if inch_thread == (unit == "tpi") else other


def pitch_likelihood(readings: Readings, true_mm: float, inch_thread: bool) -> float:
    """Share of a pitch reading on a thread of that pitch; of two readings in two units either may be the right one."""
    found = []
    for pitch_mm, tpi in ((readings.pitch_mm, None), (None, readings.tpi)):
        if pitch_mm is None and tpi is None:
            continue
        leaf = leaf_read(readings, pitch_mm, tpi)
        if leaf:
            shares = leaf_shares(true_mm, leaf[0], pitch_sd(readings.instrument))
            found.append(gauge_share(leaf[0], inch_thread) * shares[leaf[1]])
        elif pitch_mm is not None and readings.counted:
            found.append(_counted_over(readings.counted, pitch_mm, true_mm, count_sd_mm(readings)) * _COUNT_STEP)
        else:
            read_mm = pitch_mm if pitch_mm is not None else MM_PER_IN / (tpi or 1.0)
            found.append(_counted(math.log(read_mm / true_mm), readings) * _COUNT_STEP)
    return max(found) if len(found) == 1 else sum(found) / 2


_COUNT_STEP = 0.01
"""A counted pitch is a density per part; one part in a hundred of it compares with the share of a leaf."""


def _by_gauge(readings: Readings) -> bool:
    return _instrument(readings.instrument)["pitch_by"] == "gauge"


def pitch_sd(instrument: str) -> float:
    """Standard deviation of a pitch, as a part of it, by an instrument: of the fit of a leaf, or of a count."""
    return float(_instrument(instrument)["pitch_sd"])


@cache
def _instrument(name: str) -> Row:
    return next(row for row in table("identify/instruments") if row["instrument"] == name)


def count_sd_mm(readings: Readings) -> float:
    """Standard deviation in mm of the length that threads were counted over: of the instrument, or as coarse as typed."""
    return max(float(_instrument(readings.instrument)["span_sd_mm"]), readings.counted_sd_mm or 0.0)


def _counted_over(threads: int, pitch_mm: float, true_mm: float, sd_mm: float) -> float:
    """Density per part of a pitch counted over a length: the length a little off, or the count off by a whole thread."""
    slip, span_mm = noise("count_slip_share"), threads * pitch_mm
    on, less, more = [_normal(span_mm - count * true_mm, sd_mm) for count in (threads, threads - 1, threads + 1)]
    return span_mm * ((1 - 2 * slip) * on + slip * (less + more))


def _counted(off: float, readings: Readings) -> float:
    sd = noise("count_sd") if _by_gauge(readings) else pitch_sd(readings.instrument)
    careless, careless_sd = noise("count_careless_share"), max(noise("count_careless_sd"), 1.5 * sd)
    return (1 - careless) * _normal(off, sd) + careless * _normal(off, careless_sd)


def _normal(off: float, sd: float) -> float:
    return math.exp(-0.5 * (off / sd) ** 2) / (sd * math.sqrt(2 * math.pi))


def _pitch(readings: Readings, of: Seen) -> float:
    if of.thread is None:
        return noise("pitch_on_no_thread") * none_pitch_likelihood(readings)
    return pitch_likelihood(readings, of.thread.pitch_mm, of.thread.tpi is not None) + FLOOR


def none_pitch_likelihood(readings: Readings) -> float:
    """Share of a pitch reading on a thread that is none of the standard ones: any pitch is as likely in proportion."""
    fine, coarse = noise("none_pitch_finest"), noise("none_pitch_coarsest")
    density = 1 / math.log(coarse / fine)
    leaf = leaf_read(readings, readings.pitch_mm, readings.tpi)
    if leaf is None:
        return density * _COUNT_STEP
    unit, pitch_mm = leaf
    around = sorted(leaves(unit))
    place = around.index(pitch_mm)
    low = around[place - 1] if place else pitch_mm * 0.9
    high = around[place + 1] if place + 1 < len(around) else pitch_mm * 1.1
    return density * math.log(high / low) / 2 * 0.5


def _sex(readings: Readings, of: Seen) -> float:
    wrong = noise("sex_wrong")
    called = [word for word in ("male", "female", "none") if of.is_called(word)]
    return (1 - (3 - len(called)) * wrong) / len(called) if readings.sex in called else wrong


def _taper(readings: Readings, of: Seen) -> float:
    seen = noise("taper_seen") if of.thread and of.thread.taper else noise("taper_imagined")
    return seen if readings.taper else 1 - seen


def nose_share(word: str, of: Seen) -> float:
    """Share of people who would say this word of the nose."""
    wrong = noise("word_wrong")
    return (1 - wrong) * of.nose.get(word, 0.0) + wrong / len(NOSES)


def _nose(readings: Readings, of: Seen) -> float:
    return nose_share(readings.nose or "", of)


def _chamfer(readings: Readings, of: Seen) -> float:
    return of.chamfer if readings.chamfer else 1 - of.chamfer


def _turns(readings: Readings, of: Seen) -> float:
    return of.turns if readings.turns else 1 - of.turns


def _hole(readings: Readings, of: Seen) -> float:
    return of.hole if readings.hole else 1 - of.hole


def _flank(readings: Readings, of: Seen) -> float:
    seen = noise("flank_seen")
    return seen if of.thread and of.thread.flank_deg == readings.flank_deg else 1 - seen


def _seat(readings: Readings, of: Seen) -> float:
    assert readings.seat_deg is not None
    return seat_density(readings.seat_deg, of)


def seat_density(read_deg: float, of: Seen) -> float:
    """Density per degree of a seat angle; an end without a cone may show any angle, seldom."""
    sd, wrong = noise("seat_sd"), noise("seat_wrong")
    if not of.seats:
        return wrong / 120
    return (1 - wrong) * sum(share * _normal(read_deg - said, sd) for said, share in of.seats) + wrong / 120


def _bore(readings: Readings, of: Seen) -> float:
    assert readings.tube_bore_mm is not None
    return bore_density(readings.tube_bore_mm, of, max(noise("bore_sd"), readings.plus_minus_mm or 0.0), readings.bore_at)


def bore_density(read_mm: float, of: Seen, sd_mm: float, at: str | None = None) -> float:
    """Density per mm of a bore, `at` the mouth, behind it, or (None) wherever people read it (`Seen.bore_places`).

    Where our tables know no measure, anything that fits in the thread.
    """
    places = places_read(of, at)
    whole = sum(each.share for each in places)
    across = of.thread.major_mm if of.thread else (of.crests.high_mm if of.crests else 0.0)
    broad = 1 / (0.7 * across) if 0.25 * across < read_mm < 0.95 * across else 0.0
    found = [each.share * (diameter_density(read_mm, each.size, sd_mm) if each.size else broad) for each in places]
    return sum(found) / whole + FLOOR


def places_read(of: Seen, at: str | None) -> tuple[BorePlace, ...]:
    """The places of an end that a bore read there may be: the mouth is the socket, where it has one."""
    if at is None:
        return of.bore_places
    wanted = [each for each in of.bore_places if (each.place == "tube") == (at == "mouth")]
    return tuple(wanted) or of.bore_places


def _hex(readings: Readings, of: Seen) -> float:
    assert readings.hex_mm is not None
    return hex_density(readings.hex_mm, of)


def hex_density(read_mm: float, of: Seen) -> float:
    """Density per mm of a hex: as listed, or anything from one to two thread diameters."""
    across = of.thread.major_mm if of.thread else (of.crests.high_mm if of.crests else 0.0)
    broad = 1 / across if across < read_mm < 2 * across else FLOOR
    if not of.hexes_mm:
        return broad
    listed = noise("hex_as_listed")
    near = sum(_normal(read_mm - hex_mm, noise("hex_sd")) for hex_mm in of.hexes_mm) / len(of.hexes_mm)
    return listed * near + (1 - listed) * broad


def _marking(readings: Readings, of: Seen) -> float:
    return mark_share(readings.marking or "", of.end)


_BY_READING: dict[str, Callable[[Readings, Seen], float]] = {
    "sex": _sex, "od_mm": _od, "id_mm": _id, "pitch": _pitch, "taper": _taper, "seat_deg": _seat, "nose": _nose,
    "chamfer": _chamfer, "tube_bore_mm": _bore, "hex_mm": _hex, "marking": _marking, "turns": _turns, "hole": _hole,
    "flank_deg": _flank,
}


def likelihood(reading: str, readings: Readings, of: Seen) -> float:
    """How likely one of the readings taken is on an end; 1 for those that only bear on the prior."""
    known = _BY_READING.get(reading)
    return known(readings, of) if known else 1.0


def none_likelihood(reading: str, readings: Readings) -> float:
    """How likely one of the readings taken is on an odd thread."""
    match reading:
        case "od_mm" | "id_mm" | "tube_bore_mm" | "hex_mm":
            return none_diameter_density(getattr(readings, reading))
        case "pitch":
            return none_pitch_likelihood(readings)
        case "taper":
            return noise("none_taper") if readings.taper else 1 - noise("none_taper")
        case "nose":
            coupler = noise("none_coupler")
            return coupler if readings.nose == "coupler" else (1 - coupler) / (len(NOSES) - 1)
        case "sex":
            return {"male": 0.5, "female": 0.4}.get(readings.sex or "", 0.1)
        case "chamfer" | "turns" | "flank_deg" | "hole":
            return 0.5
        case "seat_deg":
            return 1 / 120
        case "marking":
            return mark_share(readings.marking or "", None)
    return 1.0
