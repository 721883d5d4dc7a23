"""The usual slips of those who measure, found by asking what the reading would be if it were the slip.

A slip is told only when the readings as given fit badly and fit well once it is mended, or when a size was typed that
is a name as often as it is a measure.
"""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from fittings.ends import End
from fittings.identify.likelihood import count_sd_mm, diameter_sd_mm, leaf_read, nose_share
from fittings.identify.noise import noise
from fittings.identify.prior import region_of, within_region
from fittings.identify.readings import Readings, instrument_sd_mm
from fittings.identify.shares import Shares, shares
from fittings.identify.specimen import Seen, Specimen, specimens
from fittings.identify.tell import SAME_PITCH, bores_met, compare, differing
from fittings.saying import either
from fittings.tables import table
from fittings.threads import Thread, thread
from fittings.units import MM_PER_IN, inch

FITS_BADLY = 0.4
"""Share of “none of the standard ends, nor a known stranger” from which a slip is looked for."""

FITS_WELL = 0.25
"""Share of “none” below which the mended readings are believed."""


class Slip(NamedTuple):
    """A likely slip: `code`, the line for the person, the readings as mended, the end they name (None: only a hint), and
    all the ends that they would fit, the likeliest first."""

    code: str
    text: str
    readings: Readings | None
    end: End | None
    ends: tuple[End, ...] = ()


class _Mended(NamedTuple):
    code: str
    text: str
    readings: Readings
    only: Callable[[Specimen], bool] | None = None


def find_slips(readings: Readings, now: Shares) -> tuple[Slip, ...]:
    """Slips that would explain the readings better, the likeliest first; at most three."""
    found: list[Slip] = []
    badly = now.none - sum(now.strangers.values()) >= FITS_BADLY or not (now.ends or now.strangers)
    if badly or _beside_its_measure(readings, now):
        tried = []
        for mended in _candidates(readings):
            if not badly and mended.code != "nominal":
                continue
            then = shares(mended.readings, mended.only)
            ends = _fitting(mended.readings, then)
            if ends and then.none <= FITS_WELL:
                text = f"{mended.text}: then {either(each.say for each in ends)}"
                tried.append((then.none, Slip(mended.code, text, mended.readings, ends[0], ends)))
        tried.sort(key=lambda each: each[0])
        found = [slip for _, slip in tried]
        found += _cover(readings) if badly else []
    found += _miscounted(readings, now)
    found += _neighbours(readings, now)
    found += _against(readings, now, {slip.code for slip in found})
    found += _wrong_side(readings, now)
    found += _name_or_measure(readings, found)
    first_of = {slip.code: slip for slip in reversed(found)}
    return tuple(dict.fromkeys(first_of[slip.code] for slip in found))[:3]


def _fits(readings: Readings, of: Specimen) -> bool:
    """Nothing differs, and the pitch is the very pitch."""
    read_mm = readings.pitch_mm or (MM_PER_IN / readings.tpi if readings.tpi else None)
    same = read_mm is None or (of.thread is not None and abs(read_mm / of.thread.pitch_mm - 1) < SAME_PITCH)
    return same and not compare(readings, of).differs


ALSO_FITS = 0.03
"""Share from which another end that the mended readings fit is named beside the first."""


def _fitting(readings: Readings, then: Shares) -> tuple[End, ...]:
    """The likeliest ends that mended readings fit, one of each kind; empty when they do not fit the very likeliest."""
    firsts: dict[object, End] = {}
    for each in then.ends:
        firsts.setdefault(then.kept[each].kind, each)
    ranked = [firsts[kind] for kind, share in then.kinds.items() if share >= ALSO_FITS]
    if not ranked or not _fits(readings, then.kept[ranked[0]]):
        return ()
    return tuple(each for each in ranked if _fits(readings, then.kept[each]))[:4]


def _beside_its_measure(readings: Readings, now: Shares) -> bool:
    """The diameter lies outside what a person with that instrument reads on the best end: a fraction may be but a name."""
    best = now.best
    crests = now.kept[best].crests if best else None
    read_mm = readings.od_mm if readings.od_mm is not None else readings.id_mm
    if crests is None or read_mm is None:
        return False
    low, high = crests.span_mm
    reach_mm = 2.5 * instrument_sd_mm(readings.instrument, readings.od_mm is None)
    return not low - reach_mm <= read_mm <= high + reach_mm


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
    if readings.od_mm is None or "pitch" in readings.given or readings.nose not in (None, "plain", "flat"):
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


NEAR_LEAVES = 0.075
"""Leaves of a thread gauge closer than this part of each other are taken for one another: 18 TPI and 1.5 mm are 6 % apart."""


def neighbour(readings: Readings, now: Shares) -> End | None:
    """An end that fits by the neighbouring leaf no worse than the best end fits by the leaf that was read.

    Of straight males the best must fit only as worn, or with paint and burrs, and the other as new; of taper threads both fit
    somewhere along their tapers, and the other must be at home where the machine was built, or nobody knows where.

    None when there is none; None too once threads were counted: that is what tells the two apart.
    """
    best = now.best
    of = now.kept[best] if best else None
    if best is None or of is None or of.thread is None or of.crests is None or "pitch" not in readings.given:
        return None
    read_mm = readings.od_mm if best.sex == "male" else readings.id_mm
    if read_mm is None or leaf_read(readings, readings.pitch_mm, readings.tpi) is None:
        return None
    sd_mm = diameter_sd_mm(readings, best.sex == "female")
    if not of.thread.taper and (best.sex != "male" or _as_new(read_mm, of, 2 * sd_mm)):
        return None
    found = [each for each in specimens() if _by_the_next_leaf(each, of.thread, best.sex)
             and (_along(read_mm, each, sd_mm) and at_home(each.end, best, readings) if of.thread.taper else _as_new(read_mm, each, sd_mm))
             and (readings.nose is None or nose_share(readings.nose, each) >= 0.12)]
    return max(found, key=lambda each: now.ends.get(each.end, 0.0)).end if found else None


def _as_new(read_mm: float, of: Seen, slack_mm: float) -> bool:
    return of.crests is not None and of.crests.low_mm - slack_mm <= read_mm <= of.crests.high_mm + slack_mm


def _along(read_mm: float, of: Seen, slack_mm: float) -> bool:
    return of.crests is not None and of.crests.span_mm[0] - slack_mm <= read_mm <= of.crests.span_mm[1] + slack_mm


def _by_the_next_leaf(of: Specimen, spec: Thread, sex: str) -> bool:
    return (of.sex == sex and of.thread is not None and bool(of.thread.taper) == bool(spec.taper)
            and SAME_PITCH < abs(of.thread.pitch_mm / spec.pitch_mm - 1) < NEAR_LEAVES)


def at_home(other: End, best: End, readings: Readings) -> bool:
    """Whether another end is met no less than the best one where the machine was built; True when nobody knows where."""
    region = region_of(readings.country) if readings.country else None
    return region is None or within_region(region)[other] >= within_region(region)[best]


def mouth_or_behind(readings: Readings, now: Shares) -> tuple[End, End] | None:
    """Two ends of which one has its tube as wide as the bore that was read, the other the hole behind its socket; the likelier first.

    None when nobody can have mixed them up, or where the bore was read was said.
    """
    if readings.tube_bore_mm is None or readings.bore_at is not None:
        return None
    found: dict[str, End] = {}
    for each, share in now.ends.items():
        for place in bores_met(readings.tube_bore_mm, now.kept[each], None):
            if share >= LEFT_IN_DOUBT and place != "other":
                found.setdefault(place, each)
    tube, behind = found.get("tube"), found.get("through")
    if tube is None or behind is None or now.kept[tube].kind == now.kept[behind].kind:
        return None
    return (tube, behind) if now.ends[tube] >= now.ends[behind] else (behind, tube)


LEFT_IN_DOUBT = 0.01
"""Share from which another end is worth measuring the mouth again."""


def ten_threads_mm(of: End) -> float:
    """The length in mm of ten threads of an end.

    >>> from fittings.ends import end
    >>> round(ten_threads_mm(end("orb", "-6", "stud")), 1)
    14.1
    """
    return 10 * thread(of.thread).pitch_mm


def _neighbours(readings: Readings, now: Shares) -> list[Slip]:
    """The diameter fits another thread by the neighbouring leaf as well as the best one by the leaf that was read."""
    best, other = now.best, neighbour(readings, now)
    if best is None or other is None:
        return []
    of, read_mm = now.kept[best], readings.od_mm if best.sex == "male" else readings.id_mm
    was, then = thread(best.thread).key, f"a {thread(other.thread).key}"
    if not thread(best.thread).taper:
        worn = of.crests is not None and read_mm is not None and read_mm < of.crests.low_mm
        was, then = f"worn {was}" if worn else f"{was} with paint or burrs", f"{then} as new"
    text = (f"{read_mm:.2f} mm is a {was} or {then}, and their leaves are "
            f"neighbours: ten threads are {ten_threads_mm(best):.1f} mm on {best.say}, {ten_threads_mm(other):.1f} mm on {other.say}")
    return [Slip("neighbouring-leaf", text, None, other, (other,))]


_AGAIN = {
    "od_mm": "measure the diameter again", "id_mm": "measure the diameter again", "pitch": "take the pitch again",
    "taper": "lay a straight edge along the crests again", "seat_deg": "measure the seat again",
    "tube_bore_mm": "measure the bore or the tube again", "flank_deg": "hold the profile gauge in again",
}


def _against(readings: Readings, now: Shares, told: set[str]) -> list[Slip]:
    """One end is far ahead, yet a reading is against it: that reading is to be taken again, unless a slip told so already."""
    best = now.best
    if best is None or next(iter(now.kinds.values())) < noise("clear_share"):
        return []
    against = differing(readings, now.kept[best])
    text = "; ".join(f"{_AGAIN.get(name, 'look again')}: {line}" for name, line in against.items()
                     if line and not (name == "pitch" and "miscounted" in told))
    return [Slip("differs", text, None, None)] if text else []


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
