"""The usual slips of those who measure, found by asking what the reading would be if it were the slip.

A slip is told only when the readings as given fit badly and fit well once it is mended, or when a size was typed that
is a name as often as it is a measure.
"""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from fittings.ends import End
from fittings.identify.likelihood import count_sd_mm
from fittings.identify.readings import Readings
from fittings.identify.shares import Shares, shares
from fittings.identify.specimen import Specimen
from fittings.identify.tell import SAME_PITCH, compare
from fittings.tables import table
from fittings.units import MM_PER_IN, inch

FITS_BADLY = 0.4
"""Share of “none of the standard ends” from which a slip is looked for."""

FITS_WELL = 0.25
"""Share of “none” below which the mended readings are believed."""


class Slip(NamedTuple):
    """A likely slip: `code`, the line for the person, the readings as mended, the end they name (None: only a hint)."""

    code: str
    text: str
    readings: Readings | None
    end: End | None


class _Mended(NamedTuple):
    code: str
    text: str
    readings: Readings
    only: Callable[[Specimen], bool] | None = None


def find_slips(readings: Readings, now: Shares) -> tuple[Slip, ...]:
    """Slips that would explain the readings better, the likeliest first; at most three."""
    found: list[Slip] = []
    if now.none >= FITS_BADLY or not now.ends:
        tried = []
        for mended in _candidates(readings):
            then = shares(mended.readings, mended.only)
            if then.best is not None and then.none <= FITS_WELL and _fits(mended.readings, then.kept[then.best]):
                tried.append(
                    (then.none, Slip(mended.code, f"{mended.text}: then {then.best.say}", mended.readings, then.best))
                )
        tried.sort(key=lambda each: each[0])
        found = [slip for _, slip in tried]
        found += _cover(readings)
    found += _miscounted(readings, now)
    found += _wrong_side(readings, now)
    found += _name_or_measure(readings, found)
    first_of = {slip.code: slip for slip in reversed(found)}
    return tuple(dict.fromkeys(first_of[slip.code] for slip in found))[:3]


def _fits(readings: Readings, of: Specimen) -> bool:
    """Nothing differs, and the pitch is the very pitch."""
    read_mm = readings.pitch_mm or (MM_PER_IN / readings.tpi if readings.tpi else None)
    same = read_mm is None or (of.thread is not None and abs(read_mm / of.thread.pitch_mm - 1) < SAME_PITCH)
    return same and not compare(readings, of).differs


def _candidates(readings: Readings) -> Iterator[_Mended]:
    for name in ("od_mm", "id_mm"):
        read_mm = getattr(readings, name)
        if read_mm is None:
            continue
        word = "outside" if name == "od_mm" else "inside"
        if read_mm < 4:
            yield _Mended("inch-as-mm", f"{read_mm:g} mm {word} is too small for a connector; if it was inches",
                          readings._replace(**{name: read_mm * MM_PER_IN, "plus_minus_mm": None}))
        if read_mm > 100:
            yield _Mended(
                "mm-as-inch",
                f"{read_mm:.0f} mm {word} is too large for a connector; if it was mm and not inches",
                readings._replace(**{name: read_mm / MM_PER_IN, "plus_minus_mm": None}),
            )
        yield from _other_things(readings, name, read_mm, word)
    if readings.pitch_mm is not None and readings.pitch_mm > 4:
        yield _Mended("tpi-as-pitch", f"a pitch of {readings.pitch_mm:g} mm is too coarse; if it was threads per inch",
                      readings._replace(pitch_mm=None, counted=None, tpi=readings.pitch_mm))
    if readings.tpi is not None and readings.tpi < 6:
        yield _Mended("pitch-as-tpi", f"{readings.tpi:g} threads per inch is too coarse; if it was a pitch in mm",
                      readings._replace(pitch_mm=readings.tpi, counted=None, tpi=None))
    if "pitch" in readings.given and (readings.od_mm or readings.id_mm):
        yield _Mended(
            "pitch-misread",
            "if the pitch was misread and the diameter is right",
            readings._replace(pitch_mm=None, counted=None, tpi=None),
        )


def _other_things(readings: Readings, name: str, read_mm: float, word: str) -> Iterator[_Mended]:
    """The diameter of something else: the name of the size, the hex, the tube."""
    without = readings._replace(od_mm=None) if name == "od_mm" else readings._replace(id_mm=None)
    sixteenths = round(read_mm / MM_PER_IN * 16)
    if sixteenths and abs(read_mm / MM_PER_IN * 16 - sixteenths) < 0.15 and "pitch" in readings.given:
        yield _Mended(
            "nominal",
            f"if {inch(sixteenths / 16)} is the name of the size and was not measured across the thread",
            without,
            lambda of: of.end.nominal_16ths == sixteenths,
        )
    if "pitch" in readings.given and readings.hex_mm is None:
        yield _Mended(
            "hex",
            f"if {read_mm:.1f} mm was measured across the flats of the hex",
            without._replace(hex_mm=read_mm),
            lambda of: any(abs(each - read_mm) < 0.6 for each in of.hexes_mm),
        )
    if name == "od_mm" and readings.sex != "male":
        yield _Mended(
            "outside-for-inside",
            f"if {read_mm:.1f} mm was measured {'inside' if word == 'outside' else 'outside'}",
            without._replace(id_mm=read_mm, sex="female"),
        )
    if name == "id_mm" and readings.sex != "female":
        yield _Mended(
            "inside-for-outside",
            f"if {read_mm:.1f} mm was measured outside",
            without._replace(od_mm=read_mm, sex="male"),
        )


def _cover(readings: Readings) -> list[Slip]:
    """A hose measured over its cover, when nothing was said of a thread."""
    if readings.od_mm is None or "pitch" in readings.given:
        return []
    sizes = {
        row["size"] for row in table("hose/hoses") if row["od_mm"] and abs(float(row["od_mm"]) - readings.od_mm) < 0.5
    }
    if not sizes:
        return []
    named = ", ".join(sorted(sizes, key=lambda size: int(size.strip("-")))[:3])
    return [
        Slip(
            "hose-cover",
            f"{readings.od_mm:.1f} mm is also the cover of a hose (size {named}): a hose is named by its bore, "
            "read the print on it",
            None,
            None,
        )
    ]


def _miscounted(readings: Readings, now: Shares) -> list[Slip]:
    """The best end has a thread of another pitch, unless one thread too many or too few was counted."""
    best, threads = now.best, readings.counted
    spec = now.kept[best].thread if best else None
    if best is None or spec is None or not threads or readings.pitch_mm is None or readings.tpi is not None:
        return []
    span_mm, reach_mm = threads * readings.pitch_mm, 2.5 * count_sd_mm(readings)
    if abs(span_mm - threads * spec.pitch_mm) <= reach_mm:
        return []
    right = min((threads - 1, threads + 1), key=lambda count: abs(span_mm - count * spec.pitch_mm))
    if abs(span_mm - right * spec.pitch_mm) > reach_mm:
        return []
    text = f"on {best.say} {span_mm:.4g} mm hold {right} threads, not {threads}: count the gaps again"
    return [Slip("miscounted", text, readings._replace(pitch_mm=span_mm / right, counted=right), best)]


def _wrong_side(readings: Readings, now: Shares) -> list[Slip]:
    """The best end is measured on the other side than the reading says."""
    best = now.best
    if best is None:
        return []
    outside = now.kept[best].is_outside
    if readings.od_mm is not None and not outside and readings.id_mm is None:
        return [
            Slip(
                "outside-for-inside",
                f"{readings.od_mm:.2f} mm was given as outside, yet a {best.sex} end is measured inside, "
                "crest to crest: measure again",
                readings._replace(od_mm=None, id_mm=readings.od_mm),
                best,
            )
        ]
    if readings.id_mm is not None and outside and readings.od_mm is None:
        return [
            Slip(
                "inside-for-outside",
                f"{readings.id_mm:.2f} mm was given as inside; it fits the outside of {best.say}: which was measured?",
                readings._replace(id_mm=None, od_mm=readings.id_mm),
                best,
            )
        ]
    return []


def _name_or_measure(readings: Readings, found: list[Slip]) -> list[Slip]:
    """A round fraction may be the name of a size: 1/2 pipe is 21 mm across."""
    read_mm = readings.od_mm if readings.od_mm is not None else readings.id_mm
    if read_mm is None or "pitch" in readings.given or any(slip.code == "nominal" for slip in found):
        return []
    eighths = read_mm / MM_PER_IN * 8
    if abs(eighths - round(eighths)) > 0.012 or round(eighths) not in (1, 2, 3, 4, 6, 8, 10, 12, 16):
        return []
    name = inch(round(eighths) / 8).removesuffix(" in")
    across = {row["size"]: row["thread"] for row in table("sizes") if row["family"] == "npt"}
    if name not in across:
        return []
    from fittings.threads import thread

    npt, bsp = thread(across[name]), thread(f"G{name}")
    return [
        Slip(
            "nominal",
            f"if {name} is the name and not measured: {name} NPT is {npt.major_mm:.1f} mm across the threads, "
            f"{name} BSP {bsp.major_mm:.1f} mm, dash size -{round(eighths) * 2} is named after its tube",
            None,
            None,
        )
    ]
