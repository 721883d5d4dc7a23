"""What a person has measured and seen, and how it is read from what they type.

A reading that was left out is None. Lengths are kept in mm, angles in degrees; how well they were taken is kept beside
them, since a ruler and a caliper do not deserve the same trust.
"""

import math
import re
from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from fittings.tables import table
from fittings.units import MM_PER_IN, BadQuantity, angle_deg, length_mm


class BadReading(ValueError):
    """A reading that cannot be used: which one, what was typed, what is wrong, what would be right."""

    def __init__(self, reading: str, typed: str, why: str, right: str) -> None:
        super().__init__(f"{reading}: “{typed}”: {why}; {right}")
        self.reading, self.typed, self.why, self.right = reading, typed, why, right


class Readings(NamedTuple):
    """Readings of one unknown end, each None when it was not taken.

    `sex` male | female | none; `od_mm` outside diameter over the crests of a male (or over a flange head or a tip);
    `id_mm` inside diameter over the crests of a female; `pitch_mm` pitch, `tpi` threads per inch (both may be given:
    then either may be right); `taper` True when the crests taper; `seat_deg` angle of the cone as the gauge says it;
    `nose` cone | seat | flat-groove | flat | o-ring-at-hex | plain | flange | coupler; `chamfer` True when the inner
    edge of a male, or the mouth of a port, is cut to a cone; `tube_bore_mm` bore that takes the tube, or the tube
    itself; `hex_mm` across the flats; `marking` what is stamped on it; `country` where the machine was built;
    `came_off` what it came off, in words; `plus_minus_mm` one standard deviation of the diameter (two readings in
    three lie inside), None for that of the `instrument` caliper | ruler | guess; `turns` True when the nut turns by
    itself; `flank_deg` 55 or 60 by a profile gauge; `counted` how many threads the pitch in mm was counted over, None
    when it was not, and `counted_sd_mm` the standard deviation of that length, None for that of the instrument;
    `bore_at` mouth (the wide step that takes the tube, or the tube itself) or behind, None when nobody says where the bore was read;
    `hole` True when a hole goes through it, False when it is solid.
    """

    sex: str | None = None
    od_mm: float | None = None
    id_mm: float | None = None
    pitch_mm: float | None = None
    tpi: float | None = None
    taper: bool | None = None
    seat_deg: float | None = None
    nose: str | None = None
    chamfer: bool | None = None
    tube_bore_mm: float | None = None
    hex_mm: float | None = None
    marking: str | None = None
    country: str | None = None
    came_off: str | None = None
    plus_minus_mm: float | None = None
    instrument: str = "caliper"
    turns: bool | None = None
    flank_deg: float | None = None
    counted: int | None = None
    counted_sd_mm: float | None = None
    bore_at: str | None = None
    hole: bool | None = None

    @property
    def given(self) -> tuple[str, ...]:
        """Names of the readings that were taken; pitch and TPI are one reading, `pitch`."""
        skip = ("plus_minus_mm", "instrument", "counted", "counted_sd_mm", "bore_at")
        names = [name for name, value in zip(self._fields, self, strict=True) if value is not None and name not in skip]
        return tuple(dict.fromkeys("pitch" if name in ("pitch_mm", "tpi") else name for name in names))


class Pitch(NamedTuple):
    """A pitch as typed: in mm, or threads per inch, or both when either may be right; a note when the unit was guessed.

    `counted` and `counted_sd_mm` as in `Readings`, when it was counted over a length.
    """

    pitch_mm: float | None = None
    tpi: float | None = None
    note: str = ""
    counted: int | None = None
    counted_sd_mm: float | None = None


class Taken(NamedTuple):
    """Readings as they were understood, and a line for each thing that was taken for granted."""

    readings: Readings
    notes: tuple[str, ...]


COLUMNS = ("od", "id", "pitch", "tpi", "sex", "male", "female", "taper", "straight", "seat", "nose", "chamfer",
           "no-chamfer", "swivel", "fixed", "hole", "solid", "bore", "hex", "flank", "marking", "country", "from", "plus-minus",
           "instrument")
"""Names of readings as they are typed: the long options of the command, and the columns of a batch file."""

COLUMN_OF = {
    "sex": "sex", "od_mm": "od", "id_mm": "id", "pitch": "pitch", "taper": "taper", "seat_deg": "seat", "nose": "nose",
    "chamfer": "chamfer", "tube_bore_mm": "bore", "hex_mm": "hex", "marking": "marking", "country": "country",
    "came_off": "from", "turns": "swivel", "flank_deg": "flank", "hole": "hole",
}
"""The column, and the long option, for each reading."""

LONGEST_TEXT = 100
WORDS_OF_THEIR_OWN = ("marking", "country", "from")
"""Readings that take any words, of any length."""

SMALLEST_MM, LARGEST_MM = 0.1, 600.0
_BARE_IS_INCH_BELOW = {"od": 4.0, "id": 4.0, "hex": 4.0, "bore": 2.2, "plus-minus": 0.0}
"""A bare number below this is inches, above it mm: no thread is so small in mm nor so large in inches."""

_UNIT = re.compile(r"[a-zA-Z\"”″']")
_FRACTION = re.compile(r"/\s*(\d+)|[½⅓¼⅔¾⅛⅜⅝⅞]")
_HALVES = re.compile(r"\s*/\s*(?=[\d.])")
_SIZE_AND_PITCH = re.compile(r"(.*?(?:mm|in|inch|[\"”″]))(?:\s+|\s*[x×]\s*)(\d[\d.,]*\s*(?:tpi|mm)?)", re.IGNORECASE)
_COUNTED = re.compile(r"(\d+)\s*(?:threads?|crests?|turns?)?\s*(?:in|over|across|per|on)\s+(.+)", re.IGNORECASE)


@cache
def _words() -> dict[tuple[str, str], str]:
    return {(row["reading"], row["word"]): row["value"] for row in table("identify/words")}


def _known(reading: str) -> str:
    return ", ".join(dict.fromkeys(value for (name, _), value in _words().items() if name == reading))


def read_word(reading: str, typed: str) -> str:
    """The word of `data/identify/words.csv` that a typed word means. Raises BadReading.

    >>> read_word("nose", "O-ring under the hex")
    'o-ring-at-hex'
    """
    key = " ".join(typed.lower().replace("_", " ").split()).strip(".!?")
    for spelled in (key, key.replace("-", " "), key.removeprefix("a ").removeprefix("an ").removeprefix("the ")):
        if (reading, spelled) in _words():
            return _words()[reading, spelled]
    raise BadReading(reading, typed, "not a word that we know here", f"write {_known(reading)}")


def _yes(words: str, column: str, typed: str) -> bool:
    try:
        return read_word(words, typed) == "yes"
    except BadReading as error:
        raise BadReading(column, typed, error.why, error.right) from None


def read_length(reading: str, typed: str) -> tuple[float, float, str]:
    """A diameter as typed: mm, the standard deviation in mm that its last digit leaves, a note when a unit was guessed.

    Takes `14.2 mm`, `9/16`, `0.56 in`, a range `13.7 to 13.9`, two units in one line `13.8 mm / 0.54 in`. Raises
    BadReading.

    >>> read_length("od", "14.2 mm")[0]
    14.2
    """
    for join in (" to ", "..", " bis "):
        if join in typed:
            low, high = typed.split(join, 1)
            if _UNIT.search(high) and not _UNIT.search(low):
                low += re.sub(r"^[\d.,/ -]+", " ", high.strip())
            (a_mm, _, note), (b_mm, _, _) = read_length(reading, low), read_length(reading, high)
            if not 0 < b_mm - a_mm < 0.5 * b_mm:
                raise BadReading(reading, typed, "not a range that helps", "write it like 13.7 to 13.9 mm")
            return (a_mm + b_mm) / 2, (b_mm - a_mm) / math.sqrt(12), note
    halves = _HALVES.split(typed)
    if len(halves) == 2 and all(_UNIT.search(half) for half in halves):
        (a_mm, a_sd, _), (b_mm, b_sd, _) = (read_length(reading, half) for half in halves)
        if abs(a_mm - b_mm) > 0.03 * a_mm:
            raise BadReading(
                reading, typed, f"{a_mm:.2f} mm and {b_mm:.2f} mm are two sizes", "write the one you trust"
            )
        return ((a_mm, a_sd, "") if a_sd < b_sd else (b_mm, b_sd, ""))
    return _one_length(reading, typed)


def _named_thread(typed: str) -> str:
    """The thread that a text names, '' for none: `M18x1,5`, `9/16-18`."""
    if not re.fullmatch(r"\s*(?:M\s*\d.*|[\d/ -]+-\s*\d+(?:\.\d+)?|G\s*\d.*)", typed, re.IGNORECASE):
        return ""
    from fittings.threads import UnknownThread, thread

    try:
        return thread(typed.strip()).say
    except UnknownThread:
        return ""


def _one_length(reading: str, typed: str) -> tuple[float, float, str]:
    unit, note = "", ""
    fraction = _FRACTION.search(typed)
    if not _UNIT.search(typed):
        number = re.search(r"[\d.,]+", typed)
        digits = number[0].replace(",", ".").strip(".") if number else ""
        value = float(digits or 0) if digits.count(".") < 2 else 0.0
        unit = "in" if fraction or value < _BARE_IS_INCH_BELOW.get(reading, 4.0) else "mm"
        note = f"{reading} {typed.strip()} taken as inches" if unit == "in" and not fraction else ""
    try:
        value_mm = length_mm(typed, unit or None)
    except BadQuantity as error:
        named = _named_thread(typed)
        if named:
            right = "write what the caliper says, like 17.9 mm; what is stamped goes into the marking"
            raise BadReading(reading, typed, f"the name of a thread, {named}, and no measure", right) from None
        raise BadReading(reading, typed, error.why, f"write it like {'14.2 mm, 9/16 in or 0.56 in'}") from None
    if not SMALLEST_MM <= value_mm <= LARGEST_MM:
        raise BadReading(
            reading, typed, f"{value_mm:g} mm is no size of a connector", "write it like 14.2 mm or 9/16 in"
        )
    return value_mm, _last_digit_mm(typed, fraction, unit) / 4, note


def _last_digit_mm(typed: str, fraction: "re.Match[str] | None", unit: str) -> float:
    """The step of the reading in mm: a sixteenth, a whole mm, a tenth."""
    if fraction:
        return MM_PER_IN / max(16, int(fraction[1] or 0))  # a rule has no coarser lines than sixteenths
    decimals = re.search(r"[.,](\d+)", typed)
    inches = unit == "in" or bool(re.search(r"in\b|inch|\"|”|″|''|zoll", typed.lower()))
    if inches:
        return MM_PER_IN * (0.1 ** len(decimals[1]) if decimals else 1 / 16)
    return float(0.1 ** len(decimals[1])) if decimals else 1.0


def read_pitch(typed: str, bare: str = "mm") -> Pitch:
    """A pitch as typed, in mm or as threads per inch; both for “16 tpi or 1.5 mm”.

    `bare` is what a number without unit means, `mm` or `tpi`; a number that cannot be that is taken as the other.
    Also counted: `10 in 14.1 mm` is ten threads over 14.1 mm. Raises BadReading.

    >>> read_pitch("18 TPI").tpi, read_pitch("10 in 14.1 mm").pitch_mm
    (18.0, 1.41)
    """
    text = " ".join(typed.lower().replace("threads per inch", "tpi").replace("per inch", "tpi").replace("t.p.i.", "tpi").split())
    halves = re.split(r" or | / (?=[\d.])", text)
    if len(halves) == 2:
        found = [read_pitch(half, bare) for half in halves]
        metric, inch = sorted(found, key=lambda each: each.pitch_mm is None)
        if metric.pitch_mm is None or inch.tpi is None:
            raise BadReading("pitch", typed, "two pitches of one kind", "write the one that fits better")
        return metric._replace(tpi=inch.tpi, note="")
    counted = _COUNTED.fullmatch(text)
    if counted and int(counted[1]) > 1:
        span_mm, step_sd_mm, _ = read_length("pitch", counted[2])
        threads = int(counted[1])
        return Pitch(_checked_mm(span_mm / threads, typed), counted=threads, counted_sd_mm=step_sd_mm)
    number = re.fullmatch(r"([\d.,]+(?:[ -]\d+/\d+)?|\d+/\d+)\s*(tpi|t|mm|in|inch|\")?", text)
    if not number:
        raise BadReading(
            "pitch", typed, "not a pitch", "write 1.5 mm, 18 TPI, or 10 in 14.1 mm for ten threads counted"
        )
    value, unit = _plain_number(number[1], typed), number[2] or ""
    if unit in ("in", "inch", '"'):
        return Pitch(_checked_mm(value * MM_PER_IN, typed))
    if unit == "mm" or (not unit and bare == "mm" and value <= 6.5):
        return Pitch(_checked_mm(value, typed))
    if not unit and bare == "tpi" and value < 4:
        note = f"{typed.strip()} threads per inch is no connector: taken as a pitch in mm"
        return Pitch(_checked_mm(value, typed), note=note)
    note = f"pitch {typed.strip()} taken as threads per inch" if not unit and bare == "mm" else ""
    if not 4 <= value <= 80:
        raise BadReading("tpi", typed, f"{value:g} threads per inch is no connector", "they run from 8 to 28 per inch")
    return Pitch(tpi=value, note=note)


def _plain_number(text: str, typed: str) -> float:
    whole, _, rest = text.replace(",", ".").replace("-", " ").rpartition(" ")
    try:
        top, _, bottom = rest.partition("/")
        return float(whole or 0) + float(top) / float(bottom or 1)
    except (ValueError, ZeroDivisionError):
        raise BadReading("pitch", typed, "not a number", "write 1.5 mm or 18 TPI") from None


def _checked_mm(pitch_mm: float, typed: str) -> float:
    if not 0.3 <= pitch_mm <= 6.5:
        raise BadReading("pitch", typed, f"a pitch of {pitch_mm:.3g} mm is no connector", "they run from 0.9 to 3.2 mm")
    return round(pitch_mm, 4)


def read_readings(typed: Mapping[str, str]) -> Taken:
    """Readings from texts by name (`COLUMNS`), as a person types them; an empty text is a reading that was not taken.

    Raises BadReading for the first that cannot be used.

    >>> read_readings({"od": "14.2 mm", "tpi": "18", "sex": "male"}).readings.tpi
    18.0
    """
    texts = {name: text.strip() for name, text in typed.items() if text is not None and text.strip()}
    for name, text in texts.items():
        if len(text) > LONGEST_TEXT and name not in WORDS_OF_THEIR_OWN:
            raise BadReading(name, text[:LONGEST_TEXT] + "…", "too long for a reading", "write it like 14.2 mm or 18 TPI")
    notes: list[str] = []
    kept: dict[str, Any] = {}
    step_mm = 0.0
    texts = _pitch_apart(texts)
    for reading in ("od", "id", "hex", "bore"):
        if reading in texts:
            text, _, wide = texts[reading].replace("+/-", "±").partition("±")
            if wide and "plus-minus" not in texts:
                texts["plus-minus"] = wide
            if reading == "bore":
                text, kept["bore_at"] = _bore_at(text)
            value_mm, sd_mm, note = read_length(reading, text.strip())
            kept[{"bore": "tube_bore_mm"}.get(reading, f"{reading}_mm")] = value_mm
            notes += [note] if note else []
            if reading in ("od", "id"):
                step_mm = max(sd_mm, step_mm)
    for reading, bare in (("pitch", "mm"), ("tpi", "tpi")):
        if reading in texts:
            pitch = read_pitch(texts[reading], bare)
            notes += [pitch.note] if pitch.note else []
            kept |= {name: value for name, value in pitch._asdict().items() if name != "note" and value is not None}
    notes += _washer(texts) + (_two_pitches(kept) if {"pitch", "tpi"} <= texts.keys() else [])
    kept |= _seen(texts)
    if "country" in texts:
        kept["country"] = texts["country"]
    instrument = kept.get("instrument", "caliper")
    if "instrument" in texts and instrument[:3] not in texts["instrument"].lower():
        notes.append(f"{texts['instrument']} taken as {instrument}: our tables hold caliper, ruler and guess")
    if "plus-minus" in texts:
        kept["plus_minus_mm"] = read_length("plus-minus", _with_unit(texts["plus-minus"]))[0]
    elif "instrument" not in kept and step_mm > 0.8 * instrument_sd_mm(instrument, "id_mm" in kept):
        kept["plus_minus_mm"] = round(math.hypot(step_mm, instrument_sd_mm(instrument, "id_mm" in kept)), 3)
    return Taken(Readings(**kept), tuple(notes))


_BORE_AT = re.compile(r"(.*?\d\s*(?:mm|in|inch|[\"”″])?)\s*(?:at|in|of)?\s*(?:the)?\s+([a-z][a-z ]+)", re.IGNORECASE)


def names_a_place(text: str) -> bool:
    """Whether a text says where a bore was read.

    >>> names_a_place("mouth"), names_a_place("12 mm")
    (True, False)
    """
    return ("bore-at", text) in _words()


def _bore_at(typed: str) -> tuple[str, str | None]:
    """A bore without the words for where it was read, and the place that they name.

    >>> _bore_at("10.2 mm at the mouth"), _bore_at("10 mm")
    (('10.2 mm', 'mouth'), ('10 mm', None))
    """
    found = _BORE_AT.fullmatch(" ".join(typed.split()))
    place = _words().get(("bore-at", found[2].strip().lower())) if found else None
    return (found[1], place) if found and place else (typed, None)


def _pitch_apart(texts: dict[str, str]) -> dict[str, str]:
    """The same texts, with a pitch that was written behind a diameter under its own name: `13.8mm 1.5 / 0.54in 16 tpi`."""
    for reading in ("od", "id"):
        if reading not in texts or "pitch" in texts or "tpi" in texts:
            continue
        halves = _HALVES.split(texts[reading])
        if not all(_UNIT.search(half) for half in halves):
            halves = [texts[reading]]  # the stroke of a fraction
        found = [_SIZE_AND_PITCH.fullmatch(half.strip()) for half in halves]
        pitches = [each[2] for each in found if each]
        if pitches:
            sizes = [each[1] if each else half for each, half in zip(found, halves, strict=True)]
            texts = texts | {reading: " / ".join(sizes), "pitch": " or ".join(pitches)}
    return texts


TWO_PITCHES = 0.02
"""A pitch in mm and threads per inch further apart than this part of each other cannot both be right."""


def pitches_apart(pitch_mm: float | None, tpi: float | None) -> float:
    """How far a pitch in mm and threads per inch contradict, as a part of the pitch; 0 where they may be one, or one is not given.

    >>> round(pitches_apart(1.5, 18), 3), pitches_apart(1.41, 18)
    (0.063, 0.0)
    """
    apart = abs(pitch_mm * tpi / MM_PER_IN - 1) if pitch_mm and tpi else 0.0
    return apart if apart >= TWO_PITCHES else 0.0


def _two_pitches(kept: Mapping[str, Any]) -> list[str]:
    apart = pitches_apart(kept.get("pitch_mm"), kept.get("tpi"))
    if not apart:
        return []
    return [f"{kept['pitch_mm']:.4g} mm and {kept['tpi']:g} TPI are {apart:.0%} apart: one of them is wrong, and either may be; "
            "count ten threads over a length"]


def _washer(texts: Mapping[str, str]) -> list[str]:
    if not any(word in texts.get("nose", "").lower() for word in ("washer", "gasket")):
        return []
    return [f"a {texts['nose'].lower()} lies on a flat face: taken as flat; a ring in a chamfer or a groove of the stud is o-ring-at-hex"]


def _with_unit(text: str) -> str:
    return text if _UNIT.search(text) or "/" in text else f"{text} mm"


def _seen(texts: Mapping[str, str]) -> dict[str, Any]:
    """What was seen and not measured."""
    kept: dict[str, Any] = {}
    if "sex" in texts:
        kept["sex"] = read_word("sex", texts["sex"])
    for flag in ("male", "female"):
        if flag in texts and (_words().get(("sex", texts[flag].lower())) == flag or _yes("yes-no", flag, texts[flag])):
            if kept.get("sex", flag) != flag:
                raise BadReading("sex", f"{kept['sex']} {flag}", f"both {kept['sex']} and {flag}", "keep one of the two")
            kept["sex"] = flag
    for name, yes, no in (
        ("taper", "taper", "straight"),
        ("turns", "swivel", "fixed"),
        ("hole", "hole", "solid"),
        ("chamfer", "chamfer", "no-chamfer"),
    ):
        said = [_yes(name, yes, texts[yes])] if yes in texts else []
        said += [not _yes("yes-no", no, texts[no])] if no in texts else []
        if len(set(said)) > 1:
            raise BadReading(name, f"{yes} {no}", f"both {yes} and {no}", "keep one of the two")
        if said:
            kept[name] = said[0]
    for name, column in (("nose", "nose"), ("instrument", "instrument")):
        if column in texts:
            kept[name] = read_word(name, texts[column])
    for name, column, low, high in (("seat_deg", "seat", 5, 130), ("flank_deg", "flank", 50, 65)):
        if column in texts:
            kept[name] = _angle(column, texts[column], low, high)
    for name, column in (("marking", "marking"), ("came_off", "from")):
        if column in texts:
            kept[name] = texts[column][:200]
    return kept


def _angle(reading: str, typed: str, low_deg: float, high_deg: float) -> float:
    try:
        value_deg = abs(angle_deg(typed.lower().replace("jic", ""), "deg"))
    except BadQuantity as error:
        raise BadReading(reading, typed, error.why, "write it like 37 or 37 deg") from None
    if not low_deg <= value_deg <= high_deg:
        raise BadReading(reading, typed, f"{value_deg:g}° cannot be", f"it lies between {low_deg:g} and {high_deg:g}")
    return 55.0 if reading == "flank" and value_deg < 57.5 else 60.0 if reading == "flank" else value_deg


@cache
def instrument_sd_mm(instrument: str, inside: bool = False) -> float:
    """Standard deviation in mm of one diameter by an instrument (`data/identify/instruments.csv`).

    >>> instrument_sd_mm("caliper")
    0.05
    """
    row = next(row for row in table("identify/instruments") if row["instrument"] == instrument)
    return float(row["inside_sd_mm" if inside else "outside_sd_mm"])
