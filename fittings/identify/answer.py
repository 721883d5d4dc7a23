"""Readings to ranked ends, with what to measure next."""

from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from fittings.ends import End
from fittings.identify.alike import cannot_tell
from fittings.identify.ask import Ask, Split, ask_for, next_reading, question
from fittings.identify.marks import mark_notes, meant
from fittings.identify.noise import noise
from fittings.identify.readings import Readings, pitches_apart
from fittings.identify.shares import Shares, shares
from fittings.identify.slips import Slip, at_home, find_slips, mouth_or_behind, neighbour, ten_threads_mm
from fittings.identify.specimen import Kind, Seen
from fittings.identify.strangers import Stranger
from fittings.identify.tell import compare, differing
from fittings.tables import table


class Candidate(NamedTuple):
    """One end with its share, what agrees and what differs, and the share of all forms of its family, size and sex."""

    end: End
    share: float
    agrees: tuple[str, ...]
    differs: tuple[str, ...]
    kind_share: float


class Answer(NamedTuple):
    """What an unknown end may be.

    `candidates` the likeliest kind first, its forms together; `none_share` that it is none of the standard ends: the
    shares of all candidates and this add up to one, save for ends below a thousandth; `strangers` known threads that
    are in no table, with the parts of `none_share` that they hold; `ask_next` the reading to take
    next, None when nothing more helps; `cannot_tell` what no caliper can tell; `slips` likely slips; `clear` as
    `is_clear` has it; `notes` what was taken for granted.
    """

    readings: Readings
    candidates: tuple[Candidate, ...]
    none_share: float
    strangers: tuple[tuple[Stranger, float], ...]
    ask_next: Ask | None
    cannot_tell: tuple[str, ...]
    slips: tuple[Slip, ...]
    clear: bool
    notes: tuple[str, ...]


def identify(readings: Readings, notes: tuple[str, ...] = (), cannot: tuple[str, ...] = ()) -> Answer:
    """What an end may be, by what was measured and seen on it.

    `readings`: any subset, lengths in mm, angles in degrees (`Readings`); `notes` lines to carry along; `cannot` names
    of readings that cannot be taken. Rests on the limits of size of ASME B1.1, B1.20.1, ISO 228-1, 7-1 and 965-1, on
    `data/identify/` for how ends are met and how people measure. Raises BadReading when nothing at all was given.

    >>> identify(Readings(sex="male", od_mm=14.2, tpi=18, nose="cone")).candidates[0].end.id
    'jic-6-male'
    """
    now = shares(readings)
    ranked = sorted(now.ends, key=lambda each: (-now.kinds[now.kept[each].kind], -now.ends[each]))
    candidates = []
    for each in ranked:
        fits = compare(readings, now.kept[each])
        candidates.append(Candidate(each, now.ends[each], *fits, now.kinds[now.kept[each].kind]))
    return Answer(
        readings,
        tuple(candidates),
        now.none,
        tuple(now.strangers.items()),
        ask_next(readings, now, cannot),
        cannot_tell(readings, now) or (cannot_tell(readings, _by_hand_alone(readings)) if _hearsay(readings) else ()),
        find_slips(readings, now),
        is_clear(readings, now, cannot),
        (*notes, *now.notes, *mark_notes(readings.marking)),
    )


def ask_next(readings: Readings, now: Shares, cannot: Iterable[str] = ()) -> Ask | None:
    """The reading to take next, None when nothing more helps.

    What the likeliest end is not believed without comes first (`wanting`). Where the neighbouring leaf of a thread gauge fits
    another end as well, threads are counted before anything else. What only the country would settle is asked for as if it were in doubt.
    """
    cannot, best, other = tuple(cannot), now.best, neighbour(readings, now)
    far = bool(now.kinds) and next(iter(now.kinds.values())) >= noise("clear_share")
    missing = wanting(readings, now) if far or now.none >= noise("clear_share") else None
    if missing and missing not in cannot and (ask := ask_for(missing, readings, now)):
        return ask
    ask = None if far and other else next_reading(readings, now, cannot)
    if ask is None and best is not None and other is not None and "pitch" not in cannot:
        return _count_threads(best, other, now)
    if ask is None and best is not None and other is not None and "country" not in (*readings.given, *cannot):
        return _ask_where(best, other)
    if "tube_bore_mm" not in cannot and (two := mouth_or_behind(readings, now)):
        return _measure_the_mouth(readings.tube_bore_mm or 0.0, two, now)
    if ask is None and _hearsay(readings) and _far_ahead(readings, now):
        return next_reading(readings, _doubted(readings), cannot)
    return ask


def _hearsay(readings: Readings) -> bool:
    return readings.country is not None or readings.came_off is not None


def _by_hand_alone(readings: Readings) -> Shares:
    """The shares by what was measured and seen: what no caliper tells apart does not hang on where it was built."""
    return shares(readings._replace(country=None, came_off=None))


def _doubted(readings: Readings) -> Shares:
    """The shares when nobody says what it came off, and it may come from elsewhere than the machine was built."""
    return shares(readings._replace(came_off=None), doubt=noise("country_doubt"))


def _count_threads(best: End, other: End, now: Shares) -> Ask:
    splits = tuple(Split(f"{ten_threads_mm(each):.1f} mm", round(now.ends.get(each, 0.0), 3), (each,)) for each in (best, other))
    return Ask("pitch", "Count ten threads, or as many as there are, and measure how long they are: write it like 10 in "
               f"{ten_threads_mm(best):.1f} mm.", "two leaves lie close by each other, a length does not lie", splits, 0.0)


def _ask_where(best: End, other: End) -> Ask:
    """The country, where threads cannot be counted: it settles it only where the other thread is not at home."""
    ask, why = question("country", "")
    left = {row["says"]: (best, other) if at_home(other, best, Readings(country=row["region"])) else (best,)
            for row in table("identify/regions")}
    says = {ends: " or ".join(where for where, here in left.items() if here == ends) for ends in left.values()}
    return Ask("country", ask, why, tuple(Split(where, 0.0, ends) for ends, where in says.items()), 0.0)


def _measure_the_mouth(read_mm: float, two: tuple[End, End], now: Shares) -> Ask:
    tubes = [(each, now.kept[each].bore_mm or 0.0) for each in two]
    splits = tuple(Split(f"{tube_mm:g} mm at the mouth", round(now.ends[each], 3), (each,)) for each, tube_mm in tubes)
    widest_mm = max(tube_mm for _, tube_mm in tubes)
    if two[0].sex == "male":
        ask = (f"Is {read_mm:.1f} mm the wide step at the mouth, or the hole behind it? Measure the wide step: write it like "
               f"{widest_mm + 0.2:.1f} mm at the mouth.")
    else:
        ask = (f"Is {read_mm:.1f} mm the outside of a tube, or the bore of a hose's nipple, which tells nothing? Measure a tube: write it "
               f"like {widest_mm:g} mm tube.")
    return Ask("tube_bore_mm", ask, "the hole of one is as wide as the tube of the other", splits, 0.0)


def wanting(readings: Readings, now: Shares) -> str | None:
    """The reading without which the likeliest end, or known stranger, is not believed; None when nothing is wanting.

    Nothing that has a thread is named by its diameter alone, unless its size is stamped on it; a taper thread must have been
    looked at along its crests, since straight pipe threads of the same pitch exist; nor is a hole a port before it is known
    that it is no nut.
    """
    best = now.best if now.kinds and next(iter(now.kinds.values())) > now.none else None
    of: Seen | None = now.kept[best] if best else next(iter(now.strangers), None)
    if of is None or of.thread is None:
        return None
    stamped = best is not None and any(size for _, size, _ in meant(readings.marking or ""))
    if "pitch" not in readings.given and not stamped:
        return "pitch"
    if best is None:
        return None
    if of.thread.taper and readings.taper is None and not stamped:
        return "taper"
    return "turns" if best.sex == "female" and best.moves != "turns" and readings.turns is None else None


ENOUGH = 4
"""So many readings name an end without its pitch: sex and diameter, and two looks more."""


def is_clear(readings: Readings, now: Shares, cannot: Iterable[str] = ()) -> bool:
    """True when one kind of end, or none of the standard ones, is far ahead and nothing that was read speaks against it.

    No end may be left that would not hold on its partner: one with a smaller or coarser thread goes in and strips, one
    with another seat goes on and leaks; nor a known stranger, nor a likely slip. What it came off and where it was built
    may lead, they do not settle: it must be as clear without the one, and with doubt of the other. Of two pitches that
    contradict neither is believed; without any (`cannot`: nobody could take it) two looks more must agree.
    """
    missing = wanting(readings, now)
    if missing and not (missing == "pitch" and missing in cannot and len(set(readings.given) - {"country", "came_off"}) >= ENOUGH):
        return False
    if len(set(readings.given) - {"country", "came_off"}) < 2 or pitches_apart(readings.pitch_mm, readings.tpi):
        return False
    if not _far_ahead(readings, now):
        return False
    if not _hearsay(readings):
        return True
    doubted = _doubted(readings)
    return _kind_ahead(doubted) == _kind_ahead(now) and _far_ahead(readings, doubted)


def _kind_ahead(now: Shares) -> Kind | None:
    """The likeliest kind of end, None when none of them is likelier."""
    kind, share = next(iter(now.kinds.items()), (None, 0.0))
    return kind if share > now.none else None


def _far_ahead(readings: Readings, now: Shares) -> bool:
    if now.none >= noise("clear_share"):
        return True
    best = now.best
    if best is None or next(iter(now.kinds.values())) < noise("clear_share"):
        return False
    others = sum(share for each, share in now.ends.items() if not _holds_where(each, best)) + sum(now.strangers.values())
    return (others < noise("other_end_share") and not differing(readings, now.kept[best])
            and all(slip.end in (None, best) for slip in find_slips(readings, now)))


@cache
def _holds_where(other: End, best: End) -> bool:
    """Whether an end holds on all the usual partners of another, so that it is no harm to take the one for the other."""
    if (other.family, other.size, other.sex) == (best.family, best.size, best.sex):
        return True
    from fittings.mating import mate, partners  # here, since most answers have no end far ahead

    usual = [each.end for each in partners(best) if each.planned]
    return bool(usual) and all(mate(other, each).good for each in usual)
