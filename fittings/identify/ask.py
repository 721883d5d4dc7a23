"""The one reading that is expected to narrow the answer most.

For each reading that was not taken yet, every outcome it may have is weighed by how likely it is now and by how much
it would leave open. A reading that few people can take, or that takes a tool, counts for less.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from fittings.ends import End
from fittings.identify.likelihood import (
    bore_density,
    diameter_sd_mm,
    gauge_share,
    hex_density,
    leaf_shares,
    leaves,
    none_diameter_density,
    nose_share,
    pitch_sd,
    quick_density,
    seat_density,
)
from fittings.identify.marks import own_marks
from fittings.identify.noise import noise
from fittings.identify.prior import regions, within_region
from fittings.identify.readings import Readings
from fittings.identify.shares import Shares
from fittings.identify.specimen import NOSES, Seen
from fittings.identify.strangers import Stranger
from fittings.tables import Row, table
from fittings.units import MM_PER_IN

WORTH_ASKING_BITS = 0.03
"""A reading expected to tell less than this is not worth the walk."""


MOST_OPEN = 50
"""So many of the likeliest ends are weighed; the rest hardly move what is best to ask."""


LEFT_BY_AN_ANSWER = 0.05
"""An end with this share after an answer is named beside the first: the answer does not settle it."""


class Split(NamedTuple):
    """One outcome of a reading: what would be answered, how likely that is now, and the ends it would leave on top;
    `strangers` names of those in no table that it would leave beside them, or alone."""

    answer: str
    share: float
    ends: tuple[End, ...]
    strangers: tuple[str, ...] = ()

    @property
    def left(self) -> tuple[str, ...]:
        """All that it leaves, in words."""
        return (*(each.say for each in self.ends), *(f"not in our tables: {name}" for name in self.strangers))


class Ask(NamedTuple):
    """The next reading: its name, the question in words, why it helps, how the answer splits the candidates.

    `bits` is how much it is expected to tell.
    """

    reading: str
    ask: str
    why: str
    splits: tuple[Split, ...]
    bits: float


class _Open(NamedTuple):
    """What is still in question: ends and known strangers with their shares, and the share of none of them."""

    of: tuple[Seen, ...]
    share: tuple[float, ...]
    none: float


Density = Callable[[float, Seen], float]
Outcomes = dict[str, tuple[list[float], float]]
"""By answer: its share on each specimen in question, and on none of them."""


def next_reading(readings: Readings, now: Shares, cannot: Iterable[str] = ()) -> Ask | None:
    """The reading to take next, or None when nothing that can be asked would tell more.

    `cannot` names readings that the person said they cannot take.
    """
    still, cannot = _still_open(now), tuple(cannot)
    skip = {*readings.given, *cannot}
    if "sex" not in skip and readings.nose not in _SMOOTH and ("od_mm" in skip) == ("id_mm" in skip) and _sex_in_doubt(still):
        return _ask_sex(still)
    rows = [row for row in _questions(_sex_in_question(readings, now))
            if row["reading"] not in (*skip, "sex", _not_this_side(readings, still, cannot)) and readings.nose not in row["not_on"].split()]
    return (_best_of([row for row in rows if row["reading"] not in _LAST], readings, still)
            or _best_of([row for row in rows if row["reading"] in _LAST], readings, still))


def ask_for(reading: str, readings: Readings, now: Shares) -> Ask | None:
    """The question for one reading, whatever it would tell; None where nobody asks for it on such an end."""
    still = _still_open(now)
    for row in _questions(_sex_in_question(readings, now)):
        if row["reading"] == reading:
            weighed = _weighed(row, readings, still)
            return Ask(reading, row["ask"], row["why"], _splits(reading, weighed.outcomes, still), round(weighed.bits, 3))
    return None


def _best_of(rows: Sequence[Row], readings: Readings, still: _Open) -> Ask | None:
    """The question of these that is worth most, None when none is worth the walk or all leave the same ends in doubt."""
    found = [each for each in (_weighed(row, readings, still) for row in rows) if each.bits >= WORTH_ASKING_BITS]
    for best in sorted(found, key=lambda each: -each.worth):
        splits = _splits(best.row["reading"], best.outcomes, still)
        left = {split.left[:2] for split in splits}
        if len(left) > 1 or (best.row["reading"] in _MEASURES_IT and len(splits[0].left) == 1):
            return Ask(best.row["reading"], best.row["ask"], best.row["why"], splits, round(best.bits, 3))
    return None


_MEASURES_IT = ("od_mm", "id_mm")
"""Readings that are worth taking though every answer leaves the same end: nothing proves an end like its diameter."""

_SMOOTH = ("flange", "coupler")
"""Noses of ends that have no thread."""

_LAST = ("hex_mm",)
"""Readings that are asked for only when nothing else helps."""


class _Weighed(NamedTuple):
    row: Row
    outcomes: Outcomes
    bits: float
    worth: float


def _weighed(row: Row, readings: Readings, still: _Open) -> _Weighed:
    outcomes = _outcomes(row["reading"], readings, still)
    bits = float(row["told_share"]) * told_bits(outcomes, still)
    return _Weighed(row, outcomes, bits, bits * (1 - float(row["effort"])))


SEX_TAKEN = 0.95
"""From this share of one sex nobody is asked for it."""


def _sex_in_doubt(still: _Open) -> bool:
    by_sex = _by_kind([of.sex for of in still.of], still.share)
    return max(by_sex, default=0.0) < SEX_TAKEN


def _not_this_side(readings: Readings, still: _Open, cannot: Sequence[str]) -> str:
    """Of a flange or a coupler, the diameter that is not asked for: the bore, unless nearly all that is in question has no other.

    Whoever cannot measure the one (a body has no tip, a pad no head) is asked for the other; one of them is enough.
    """
    if readings.nose not in _SMOOTH:
        return ""
    if readings.od_mm is not None or readings.id_mm is not None:
        return "id_mm" if readings.id_mm is None else "od_mm"
    outside = sum(share for of, share in zip(still.of, still.share, strict=True) if of.is_outside)
    first, second = ("od_mm", "id_mm") if outside > (1 - SEX_TAKEN) * sum(still.share) else ("id_mm", "od_mm")
    return first if first in cannot else second


def _sex_in_question(readings: Readings, now: Shares) -> str:
    if readings.nose in _SMOOTH:
        return "none"
    if readings.sex:
        return readings.sex
    if readings.od_mm is not None or readings.id_mm is not None:
        return "male" if readings.od_mm is not None else "female"
    return now.best.sex if now.best is not None else "male"


@cache
def _questions(sex: str) -> tuple[Row, ...]:
    return tuple(row for row in table("identify/questions") if row["sex"] in ("", sex))


def question(reading: str, sex: str) -> tuple[str, str]:
    """The words that ask for a reading of an end of that sex, and why it helps. Raises KeyError."""
    for row in _questions(sex):
        if row["reading"] == reading:
            return row["ask"], row["why"]
    raise KeyError(reading)


def told_by(readings: Readings, of: tuple[Seen, ...], names: Iterable[str]) -> list[tuple[str, float]]:
    """Which of these readings part some ends taken as equally likely, the best first, each with the bits it would tell.

    Readings that were taken already are left out; the order counts how easily a reading is had, the bits do not.
    """
    still = _Open(of, (1 / len(of),) * len(of), 0.0)
    wanted = set(names) - set(readings.given)
    rows = {row["reading"]: row for row in _questions(of[0].sex) if row["reading"] in wanted}
    found = [_weighed(row, readings, still) for row in rows.values()]
    return [(each.row["reading"], each.bits / float(each.row["told_share"]))
            for each in sorted(found, key=lambda each: -each.worth)]


def _ask_sex(still: _Open) -> Ask:
    ask, why = question("sex", "")
    outcomes = _normalised({word: ([1.0 if of.is_called(word) else 0.0 for of in still.of], 1 / 3)
                            for word in ("male", "female", "none")}, len(still.of))
    return Ask("sex", ask, why, _splits("sex", outcomes, still), round(told_bits(outcomes, still), 3))


def _still_open(now: Shares) -> _Open:
    top: list[tuple[Seen, float]] = [(now.kept[each], share) for each, share in list(now.ends.items())[:MOST_OPEN]]
    top += now.strangers.items()
    none = max(0.0, now.none - sum(now.strangers.values()))
    whole = sum(share for _, share in top) + none
    return _Open(tuple(of for of, _ in top), tuple(share / whole for _, share in top), none / whole)


def told_bits(outcomes: Outcomes, still: _Open) -> float:
    """How many bits the outcome of a reading tells on average about the kind of end."""
    if not outcomes:
        return 0.0
    kinds = [of.kind for of in still.of]
    before = _entropy(_by_kind(kinds, still.share), still.none)
    after = 0.0
    for on_each, on_none in outcomes.values():
        joint = [share * likely for share, likely in zip(still.share, on_each, strict=True)]
        none = still.none * on_none
        whole = sum(joint) + none
        if whole > 1e-9:
            after += whole * _entropy([each / whole for each in _by_kind(kinds, joint)], none / whole)
    return max(0.0, before - after)


def _by_kind(kinds: Sequence[object], weights: Sequence[float]) -> list[float]:
    summed: dict[object, float] = {}
    for kind, weight in zip(kinds, weights, strict=True):
        summed[kind] = summed.get(kind, 0.0) + weight
    return list(summed.values())


def _entropy(weights: Iterable[float], none: float) -> float:
    return -sum(weight * math.log2(weight) for weight in (*weights, none) if weight > 0)


def _splits(reading: str, outcomes: Outcomes, still: _Open) -> tuple[Split, ...]:
    """The likely outcomes in words, each with the ends it leaves; outcomes that leave the same ends are one."""
    by_left: dict[tuple[tuple[End, ...], tuple[str, ...]], list[tuple[str, float]]] = {}
    for answer, (on_each, on_none) in outcomes.items():
        joint = [share * likely for share, likely in zip(still.share, on_each, strict=True)]
        whole = sum(joint) + still.none * on_none
        if whole < 0.02:
            continue
        best_of: dict[object, tuple[float, Seen]] = {}
        for of, weight in zip(still.of, joint, strict=True):
            if not weight:
                continue  # a pad is of one kind with its head, and has none to measure
            known = best_of.get(of.kind, (0.0, of))
            best_of[of.kind] = known[0] + weight, known[1]
        ranked = sorted(best_of.values(), key=lambda found: -found[0])
        left = [each for weight, each in ranked if weight >= LEFT_BY_AN_ANSWER * whole][:3]
        ends = tuple(each.end for each in left if each.end is not None)
        names = tuple(dict.fromkeys(each.name for each in left if isinstance(each, Stranger)))
        if left:
            by_left.setdefault((ends, names), []).append((answer, whole))
    found = [Split(_joined(reading, [answer for answer, _ in told]), round(sum(share for _, share in told), 3), ends, names)
             for (ends, names), told in by_left.items()]
    return tuple(sorted(found, key=lambda split: -split.share)[:6])


_MEASURED = {"od_mm": "mm", "id_mm": "mm", "tube_bore_mm": "mm", "hex_mm": "mm", "seat_deg": "°"}


def _joined(reading: str, answers: list[str]) -> str:
    """Answers in one phrase: neighbouring measures as a span."""
    unit = _MEASURED.get(reading)
    measures = sorted(float(answer.split()[0]) for answer in answers if unit and answer[0].isdigit())
    words = [answer for answer in answers if not (unit and answer[0].isdigit())]
    if len(measures) > 2 and reading in ("od_mm", "id_mm"):
        words.insert(0, f"{measures[0]:.1f} to {measures[-1]:.1f} {unit}")
    else:
        words[:0] = [f"{measure:g}{'' if unit == '°' else ' '}{unit}" for measure in measures[:3]]
    return " or ".join(words[:4])


def _outcomes(reading: str, readings: Readings, still: _Open) -> Outcomes:
    match reading:
        case "od_mm" | "id_mm":
            return _diameter_outcomes(readings, still, reading == "id_mm")
        case "pitch":
            return _pitch_outcomes(readings, still)
        case "taper":
            seen, imagined = noise("taper_seen"), noise("taper_imagined")
            return _yes_no(
                "it tapers",
                "straight",
                [seen if of.thread and of.thread.taper else imagined for of in still.of],
                noise("none_taper"),
            )
        case "nose":
            return {word: ([nose_share(word, of) for of in still.of], 1 / len(NOSES)) for word in NOSES}
        case "chamfer":
            return _yes_no("cut to a cone", "not cut", [of.chamfer for of in still.of], 0.5)
        case "turns":
            return _yes_no("it turns", "fixed", [of.turns for of in still.of], 0.5)
        case "hole":
            return _yes_no("a hole", "solid", [of.hole for of in still.of], 0.5)
        case "seat_deg":
            return _seat_outcomes(still)
        case "tube_bore_mm":
            bores = [bore_mm for of in still.of for bore_mm in of.bores_mm]
            return _listed_outcomes(still, bores, noise("bore_play") / 2, lambda mm, of: bore_density(mm, of, noise("bore_sd")))
        case "hex_mm":
            return _listed_outcomes(still, [hex_mm for of in still.of for hex_mm in of.hexes_mm], 0.0, hex_density)
        case "flank_deg":
            seen = noise("flank_seen")
            fits = [seen if of.thread and of.thread.flank_deg == 55 else 1 - seen for of in still.of]
            return _yes_no("55°", "60°", fits, 0.5)
        case "marking":
            return _mark_outcomes(still)
    return _country_outcomes(still)


def _yes_no(yes: str, no: str, on_each: list[float], on_none: float) -> Outcomes:
    return {yes: (on_each, on_none), no: ([1 - share for share in on_each], 1 - on_none)}


def _normalised(raw: Mapping[str, tuple[list[float], float]], count: int) -> Outcomes:
    """Outcomes whose shares add up to one on each specimen."""
    sums = [sum(on_each[index] for on_each, _ in raw.values()) or 1.0 for index in range(count)]
    none = sum(on_none for _, on_none in raw.values()) or 1.0
    return {answer: ([share / whole for share, whole in zip(on_each, sums, strict=True)], on_none / none)
            for answer, (on_each, on_none) in raw.items()}


def _diameter_outcomes(readings: Readings, still: _Open, inside: bool) -> Outcomes:
    """Outcomes of a diameter; an end without a thread has none on its other side: a coupler's body has no tip."""
    sd_mm = diameter_sd_mm(readings, inside)
    there = [of.thread is not None or of.is_outside is not inside for of in still.of]
    crests = [of.crests if here else None for of, here in zip(still.of, there, strict=True)]
    known = [each for each in crests if each is not None]
    if not known:
        return {}
    low, high = min(each.span_mm[0] for each in known) - 0.5, max(each.span_mm[1] for each in known) + 0.5
    step = max(2.5 * sd_mm, (high - low) / 90)
    centres = [low + step * (index + 0.5) for index in range(int((high - low) / step) + 1)]
    blurred = math.hypot(sd_mm, step / 3.5)
    raw = {
        f"{centre:.2f} mm": (
            [quick_density(centre, each, blurred) * step if each else here / len(centres)
             for each, here in zip(crests, there, strict=True)],
            none_diameter_density(centre) * step)
        for centre in centres
    }
    if not all(there):
        raw["none there"] = [float(not here) for here in there], 0.0
    return _normalised(raw, len(still.of))


def _pitch_outcomes(readings: Readings, still: _Open) -> Outcomes:
    raw: dict[str, tuple[list[float], float]] = {}
    sd = pitch_sd("caliper")
    for unit in ("tpi", "mm"):
        for leaf in leaves(unit):
            on_each = []
            for of in still.of:
                if of.thread is None:
                    on_each.append(0.0)
                    continue
                inch = of.thread.tpi is not None
                on_each.append(gauge_share(unit, inch) * leaf_shares(of.thread.pitch_mm, unit, sd)[leaf])
            if max(on_each, default=0.0) > 0.01:
                says = f"{MM_PER_IN / leaf:g} TPI" if unit == "tpi" else f"{leaf:g} mm"
                raw[says] = on_each, 0.5 / len(leaves(unit))
    rest = [max(0.0, 1 - sum(on_each[index] for on_each, _ in raw.values())) for index in range(len(still.of))]
    raw["no thread, or another pitch"] = rest, max(0.0, 1 - sum(on_none for _, on_none in raw.values()))
    return raw


def _seat_outcomes(still: _Open) -> Outcomes:
    said = sorted({deg for of in still.of for deg, _ in of.seats})
    raw = {f"{deg:g} °": ([seat_density(deg, of) for of in still.of], 1 / 120) for deg in said}
    raw["no cone, or another angle"] = [0.05 if of.seats else 0.9 for of in still.of], 0.5
    return _normalised(raw, len(still.of))


def _listed_outcomes(still: _Open, listed: Sequence[float], above_mm: float, density: Density) -> Outcomes:
    """Outcomes of a length that the tables list, read within half a mm `above_mm` its size, and one for anything else."""
    sizes = sorted(set(listed))
    if not sizes:
        return {}
    raw = {f"{mm:g} mm": ([min(1.0, density(mm + above_mm, of)) for of in still.of], none_diameter_density(mm))
           for mm in sizes}
    rest = [max(0.02, 1 - sum(on_each[index] for on_each, _ in raw.values())) for index in range(len(still.of))]
    raw["another size"] = rest, 0.5
    return _normalised(raw, len(still.of))


def _mark_outcomes(still: _Open) -> Outcomes:
    """A mark that is there and read names the family, and for a tube its size."""
    names = [f"marked {_own_mark(of.end) if of.end else ''}" for of in still.of]
    kinds = [name for name in dict.fromkeys(names) if name != "marked "]
    wrong = noise("mark_false")
    raw = {kind: ([1.0 if name == kind else wrong for name in names], wrong) for kind in kinds}
    raw["no such mark"] = [0.1] * len(names), 1.0
    return _normalised(raw, len(still.of))


def _own_mark(of: End) -> str:
    return of.size if of.family == "cone24" else own_marks(of.family)


def _country_outcomes(still: _Open) -> Outcomes:
    names = {row["region"]: row["says"] for row in table("identify/regions")}
    return _normalised(
        {
            names[region]: ([weight * _met(of, region) for of in still.of], weight)
            for region, weight in regions().items()
        },
        len(still.of),
    )


def _met(of: Seen, region: str) -> float:
    """How often an end is met in a region, or a known stranger."""
    if isinstance(of, Stranger):
        return noise("none_share") * of.share_of_odd(region, regions())
    assert of.end is not None
    return within_region(region)[of.end]
