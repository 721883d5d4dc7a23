"""Readings to ranked ends, with what to measure next."""

from typing import NamedTuple

from fittings.ends import End
from fittings.identify.alike import cannot_tell
from fittings.identify.ask import Ask, next_reading
from fittings.identify.marks import mark_notes
from fittings.identify.noise import noise
from fittings.identify.readings import Readings
from fittings.identify.shares import Shares, shares
from fittings.identify.slips import Slip, find_slips
from fittings.identify.tell import compare, measures_fit


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
    shares of all candidates and this add up to one, save for ends below a thousandth; `ask_next` the reading to take
    next, None when nothing more helps; `cannot_tell` what no caliper can tell; `slips` likely slips; `clear` as
    `is_clear` has it; `notes` what was taken for granted.
    """

    readings: Readings
    candidates: tuple[Candidate, ...]
    none_share: float
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
        next_reading(readings, now, cannot),
        cannot_tell(readings, now),
        find_slips(readings, now),
        is_clear(readings, now),
        (*notes, *now.notes, *mark_notes(readings.marking)),
    )


def is_clear(readings: Readings, now: Shares) -> bool:
    """True when one kind of end, or none of the standard ones, is far ahead and nothing that was measured speaks against it.

    No end with another thread may be left: one that is a little smaller or coarser goes in, and strips. What it came
    off may lead, it does not settle.
    """
    if len(readings.given) < 2:
        return False
    if readings.came_off:
        readings = readings._replace(came_off=None)
        return is_clear(readings, shares(readings))
    if now.none >= noise("clear_share"):
        return True
    best = now.best
    if best is None or next(iter(now.kinds.values())) < noise("clear_share"):
        return False
    others = sum(share for each, share in now.ends.items() if each.thread not in ("", best.thread))
    return others < noise("other_thread_share") and measures_fit(readings, now.kept[best])
