"""Unknown ends drawn from the standards' limits of size, measured by an imaginary hand, and put to `identify`.

The hand is not the model's: diameters come from the limits of size of the thread standards, wear and the place on a
taper from distributions written down here, the words for the nose from the drawings of the standards. Only the calibration
draws words and ends from the tables of the program, since a share can be right only under the prior that it states.

    python tests/identify_simulation.py > docs/identify-confusion.md      (about three minutes)
"""

import random
import sys
from collections import Counter, defaultdict
from pathlib import Path
from statistics import median
from typing import NamedTuple

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from fittings.ends import End, all_ends
from fittings.identify import Readings, shares
from fittings.identify.interview import Interview
from fittings.identify.noise import noise
from fittings.identify.prior import Prior, prior, regions, within_region
from fittings.identify.specimen import Seen, specimens
from fittings.tables import table
from fittings.threads import Thread, limits, thread

CALIPER_SD_MM = 0.05

NOSES = {
    ("orb", "stud"): "o-ring-at-hex",
    ("orb", "stud-adj"): "o-ring-at-hex",
    ("orb", "port"): "plain",
    ("jic", "male"): "cone",
    ("jic", "swivel"): "seat",
    ("jic", "tube-nut"): "seat",
    ("jic", "swivel-dual"): "seat",
    ("orfs", "male"): "flat-groove",
    ("orfs", "swivel"): "flat",
    ("npt", "male"): "plain",
    ("npt", "female"): "plain",
    ("npsm", "swivel"): "cone",
    ("bspp", "stud"): "o-ring-at-hex",
    ("bspp", "stud-adj"): "o-ring-at-hex",
    ("bspp", "port"): "flat",
    ("bsp60", "male"): "plain",
    ("bsp60", "swivel"): "cone",
    ("bspt", "male"): "plain",
    ("bspt", "female"): "plain",
    ("iso6149", "stud"): "o-ring-at-hex",
    ("iso6149", "stud-adj"): "o-ring-at-hex",
    ("iso6149", "port"): "plain",
    ("iso9974", "stud"): "o-ring-at-hex",
    ("iso9974", "port"): "flat",
    ("cone24", "male"): "plain",
    ("cone24", "swivel"): "cone",
    ("cone24", "tube-nut"): "cone",
    ("jis30", "male"): "cone",
    ("jis30", "swivel"): "seat",
    ("metric30", "male"): "cone",
    ("metric30", "swivel"): "seat",
    ("sae45", "male"): "cone",
    ("sae45", "swivel"): "seat",
    ("invflare", "male"): "plain",
    ("invflare", "female"): "cone",
}
"""What the drawing of each standard shows at the end."""

SEATS = {
    "jic": "37",
    "sae45": "45",
    "jis30": "30",
    "metric30": "30",
    "bsp60": "60",
    "cone24": "24",
    "npsm": "30",
    "invflare": "42",
}
STRANGERS = (
    ("1-1/16-11.5", "male", "plain", "no", "fixed", ()), ("1-1/16-11.5", "female", "flat", "no", "turns", ()),
    ("7/16-24", "male", "plain", "yes", "fixed", (6.35,)), ("7/16-24", "female", "plain", "no", "turns", (6.35,)),
    ("9/16-24", "male", "plain", "yes", "fixed", (9.53,)), ("11/16-20", "male", "plain", "yes", "fixed", (12.7,)),
    ("M22x1.5", "male", "plain", "no", "fixed", (14.0, 15.0)), ("M22x1.5", "female", "plain", "no", "turns", (14.0, 15.0)),
    ("M20x1.5", "male", "plain", "yes", "fixed", (13.25, 14.0)), ("M20x1.5", "female", "cone", "no", "turns", (13.25, 14.0)),
    ("M24x1.5", "male", "plain", "yes", "fixed", (16.75,)), ("M24x1.5", "female", "cone", "no", "turns", (16.75,)),
    ("M30x1.5", "male", "plain", "yes", "fixed", (21.25,)), ("M16x2", "male", "plain", "no", "fixed", ()),
    ("M10x1", "male", "plain", "no", "turns", (4.75,)),
    ("1/4-18 NPSM", "male", "plain", "yes", "fixed", ()), ("1-11.5 NPSM", "male", "flat", "no", "fixed", ()),
    ("1-1/2-11.5 NPSM", "male", "plain", "no", "fixed", ()), ("1/2-14 NPSM", "female", "flat", "no", "turns", ()),
    ("G1/2", "female", "flat", "no", "turns", ()), ("1-12", "male", "plain", "no", "fixed", ()), ("3/4-16", "male", "plain", "no", "fixed", ()),
    ("1/2-20", "male", "flat", "no", "fixed", ()), ("M14x1.5", "male", "flat", "no", "fixed", ()), ("M20x1.5", "male", "plain", "no", "fixed", ()),
    ("M18x1.5", "male", "plain", "yes", "fixed", ()), ("M18x1.5", "female", "cone", "no", "turns", ()),
    ("9/16-18", "female", "cone", "no", "turns", ()), ("M18x1.5", "male", "cone", "no", "fixed", ()),
)
"""Threads that are in no table: garden hose, brass compression, pressure washer, French 24° cones, diagnostic coupling,
brake nut, straight pipe males and hose threads, washer nuts, filters, bolts, gauge, metric 60° cones, welding gas, spark plug
(from memory): thread, sex, what is seen at the end, inner edge, whether it turns, bores or tubes in mm."""

CHAMFERED = {("orb", "port"), ("iso6149", "port"), ("bsp60", "male"), ("cone24", "male")}


def threaded() -> list[End]:
    """Every end that has a thread."""
    return [each for each in all_ends() if each.thread]


def diameter_mm(of: End, rng: random.Random) -> float:
    """What a caliper reads across the crests: inside the limits of size, worn a little, somewhere on a taper."""
    return crests_mm(thread(of.thread), of.side, rng)


def crests_mm(spec: Thread, side: str, rng: random.Random) -> float:
    """As `diameter_mm`, of a thread on one side."""
    size = limits(spec, side)
    if side == "external":
        low, high = size.major_min, size.major_max
        worn = min(0.3, rng.expovariate(1 / 0.06)) if rng.random() < 0.4 else 0.0
        along = rng.uniform(0.5, 4) * spec.pitch_mm * spec.taper
        true = rng.uniform(low, high) * size.unit_mm - worn + along
    else:
        low, high = size.minor_min, size.minor_max
        worn = min(0.2, rng.expovariate(1 / 0.04)) if rng.random() < 0.25 else 0.0
        along = rng.uniform(0.5, 3) * spec.pitch_mm * spec.taper
        true = rng.uniform(low, high) * size.unit_mm + worn - along
    return true + rng.gauss(0, CALIPER_SD_MM)


def measured(of: End, rng: random.Random, looked: bool = False) -> Readings:
    """Sex, diameter and pitch of an end; with `looked` its nose and taper too."""
    spec = thread(of.thread)
    read_mm = round(diameter_mm(of, rng), 2)
    found = Readings(
        sex=of.sex,
        od_mm=read_mm if of.side == "external" else None,
        id_mm=read_mm if of.side == "internal" else None,
        tpi=spec.tpi,
        pitch_mm=None if spec.tpi else spec.pitch_mm,
    )
    return found._replace(nose=NOSES[of.family, of.form], taper=bool(spec.taper)) if looked else found


def same_to_the_hand(one: End, other: End) -> bool:
    """Thread, sex, nose and taper are one: no reading of diameter, pitch, nose or taper tells the two apart."""
    return (one.thread, one.sex, NOSES.get((one.family, one.form))) == (
        other.thread,
        other.sex,
        NOSES.get((other.family, other.form)),
    )


class Tally(NamedTuple):
    """How often the true end was kept, first, or first among ends that are the same to the hand."""

    draws: int
    kept: int
    first: int
    first_or_same: int
    confused: Counter[tuple[str, str]]
    lost: tuple[str, ...]


def tally(draws_each: int, seed: int, looked: bool) -> Tally:
    """Draws every threaded end some times and asks what it is."""
    rng = random.Random(seed)
    kept = first = same = draws = 0
    confused: Counter[tuple[str, str]] = Counter()
    lost = []
    for of in threaded():
        for _ in range(draws_each):
            readings = measured(of, rng, looked)
            now = shares(readings)
            draws += 1
            kept += of in now.ends
            if of not in now.ends:
                lost.append(f"{of.id} {readings.od_mm or readings.id_mm}")
            best = now.best if not now.ends or now.none < max(now.kinds.values()) else None
            right = best is not None and (best.family, best.size, best.sex) == (of.family, of.size, of.sex)
            first += right
            same += right or (best is not None and same_to_the_hand(best, of))
            if not right:
                confused[of.family, best.family if best else "none"] += 1
    return Tally(draws, kept, first, same, confused, tuple(lost))


def pick(weights: dict[End, float], rng: random.Random) -> End:
    """An end, as often as it is met."""
    return rng.choices(list(weights), list(weights.values()))[0]


class Talked(NamedTuple):
    """How a dialogue went: the true end, questions asked, whether it ended clear and right."""

    of: End
    questions: int
    clear: bool
    right: bool


def talk(of: End, region: str, rng: random.Random) -> Talked:
    """A dialogue with someone who holds this end: answers what can be seen, seldom has a profile gauge, finds no mark."""
    dialogue = Interview()
    spec = thread(of.thread)
    tube = next((each.bore_mm for each in specimens() if each.end == of), None)
    says = {
        "sex": of.sex, "od_mm": f"{diameter_mm(of, rng):.2f} mm", "id_mm": f"{diameter_mm(of, rng):.2f} mm",
        "pitch": (f"{spec.tpi:g} TPI" if spec.tpi else f"{spec.pitch_mm:g} mm") if rng.random() < 0.8 else "?",
        "nose": NOSES[of.family, of.form], "taper": "taper" if spec.taper else "straight",
        "turns": "turns" if of.moves == "turns" or (of.family, of.form) == ("invflare", "male") else "fixed",
        "chamfer": "yes" if (of.family, of.form) in CHAMFERED else "no",
        "seat_deg": SEATS.get(of.family, "?") if rng.random() < 0.5 else "?",
        "tube_bore_mm": f"{tube + rng.uniform(0.05, 0.3):.1f} mm" if tube else "?",
        "flank_deg": f"{spec.flank_deg:g}" if rng.random() < 0.25 else "?",
        "hole": "yes", "marking": "?", "country": region.replace("-", " ") if rng.random() < 0.8 else "?", "hex_mm": "?",
    }
    while dialogue.question is not None and dialogue.count < 15:
        asked = dialogue.question.reading
        dialogue.answer(says[asked])
        if asked == "pitch":
            says["pitch"] = f"10 in {10 * spec.pitch_mm + rng.gauss(0, 0.15):.1f} mm"  # asked again, they are counted
    best = dialogue.result
    top = best.candidates[0].end if best.candidates and best.candidates[0].kind_share > best.none_share else None
    right = top is not None and (top.family, top.size, top.sex) == (of.family, of.size, of.sex)
    return Talked(of, dialogue.count, dialogue.clear, right)


class Met(NamedTuple):
    """How a dialogue over a thread of no table went: clear and called an end of the tables, or called none of them."""

    thread: str
    clear: bool
    wrongly_sure: bool
    none: bool


def talk_of_a_stranger(row: tuple[str, str, str, str, str, tuple[float, ...]], region: str, rng: random.Random) -> Met:
    """A dialogue with someone who holds what no table has."""
    key, sex, nose, edge, turns, tubes = row
    spec = thread(key)
    read = f"{crests_mm(spec, 'external' if sex == 'male' else 'internal', rng):.2f} mm"
    says = {
        "sex": sex, "od_mm": read, "id_mm": read, "nose": nose, "taper": "straight", "turns": turns, "chamfer": edge,
        "pitch": (f"{spec.tpi:g} TPI" if spec.tpi else f"{spec.pitch_mm:g} mm") if rng.random() < 0.8 else "?",
        "tube_bore_mm": f"{rng.choice(tubes) + rng.uniform(0.05, 0.3):.1f} mm" if tubes else "?",
        "flank_deg": f"{spec.flank_deg:g}" if rng.random() < 0.25 else "?",
        "country": region.replace("-", " ") if rng.random() < 0.8 else "?",
    }
    dialogue = Interview()
    while dialogue.question is not None and dialogue.count < 15:
        dialogue.answer(says.get(dialogue.question.reading, "?"))
    found = dialogue.result
    called = found.candidates[0] if found.candidates and found.candidates[0].kind_share > found.none_share else None
    return Met(key, dialogue.clear, dialogue.clear and called is not None, called is None)


def talks_of_strangers(each: int, seed: int) -> list[Met]:
    """Dialogues over threads that are in no table, somewhere in the world."""
    rng = random.Random(seed)
    return [talk_of_a_stranger(row, rng.choices(list(regions()), list(regions().values()))[0], rng) for row in STRANGERS for _ in range(each)]


def talks(count: int, seed: int) -> list[Talked]:
    """Dialogues over ends drawn as often as they are met, somewhere in the world."""
    rng = random.Random(seed)
    found = []
    for _ in range(count):
        region = rng.choices(list(regions()), list(regions().values()))[0]
        of = pick({each: share for each, share in within_region(region).items() if each.thread}, rng)
        found.append(talk(of, region, rng))
    return found


def calibration(count: int, seed: int) -> dict[int, tuple[int, int, float]]:
    """By tenth of the share of the best kind: answers, right ones, and the sum of the shares given.

    Ends, odd threads and words are drawn with the program's own prior; any subset of readings is taken.
    """
    rng = random.Random(seed)
    start = prior(None, None)
    seen = {each.end: each for each in specimens()}
    weights = {each: share for each, share in start.shares.items() if each.thread}
    found: dict[int, list[tuple[bool, float]]] = defaultdict(list)
    for _ in range(count):
        odd = rng.random() < start.none
        look = _odd_one(start, rng) if odd else seen[pick(weights, rng)]
        if look is None:
            readings = _odd_thread(rng)
            noses, taper, edge = dict.fromkeys(SAID_OF_NONE, 1.0), noise("none_taper"), 0.5
        else:
            readings = _diameter_and_pitch(look, rng)
            tapers = bool(look.thread and look.thread.taper)
            noses, taper, edge = look.nose, noise("taper_seen" if tapers else "taper_imagined"), look.chamfer
        if rng.random() < 0.5:
            readings = readings._replace(tpi=None, pitch_mm=None)
        if rng.random() < 0.4:
            readings = readings._replace(nose=rng.choices(list(noses), list(noses.values()))[0])
        if rng.random() < 0.2:
            readings = readings._replace(taper=rng.random() < taper)
        if rng.random() < 0.2:
            readings = readings._replace(chamfer=rng.random() < edge)
        now = shares(readings)
        top = next(iter(now.kinds.items()), (("", "", ""), 0.0))
        if now.none > top[1]:
            found[min(9, int(now.none * 10))].append((odd, now.none))
        else:
            found[min(9, int(top[1] * 10))].append((not odd and look is not None and top[0] == look.kind, top[1]))
    return {
        tenth: (len(hits), sum(right for right, _ in hits), sum(share for _, share in hits))
        for tenth, hits in found.items()
    }


SAID_OF_NONE = ("cone", "seat", "flat-groove", "flat", "o-ring-at-hex", "plain", "flange", "coupler")


def _odd_one(start: Prior, rng: random.Random) -> Seen | None:
    """A known stranger as often as the prior has it, else None: a thread that nobody knows."""
    if rng.random() >= sum(start.strangers.values()) / start.none:
        return None
    return rng.choices(list(start.strangers), list(start.strangers.values()))[0]


def _diameter_and_pitch(of: Seen, rng: random.Random) -> Readings:
    assert of.thread is not None
    read_mm, outside = round(crests_mm(of.thread, of.side, rng), 2), of.side == "external"
    return Readings(sex=of.sex, od_mm=read_mm if outside else None, id_mm=None if outside else read_mm, tpi=of.thread.tpi,
                    pitch_mm=None if of.thread.tpi else of.thread.pitch_mm)


def _odd_thread(rng: random.Random) -> Readings:
    """A thread that is none of ours: any diameter and any leaf of a gauge, in proportion."""
    read_mm = round(4 * (110 / 4) ** rng.random(), 2)
    male = rng.random() < 0.55
    pitch_mm = 0.6 * (4 / 0.6) ** rng.random()
    inch = rng.random() < 0.5
    leaves = (
        [8, 10, 11, 11.5, 12, 13, 14, 16, 18, 19, 20, 22, 24, 26, 27, 28, 32]
        if inch
        else [0.75, 0.8, 1, 1.25, 1.5, 1.75, 2, 2.5, 3]
    )
    true = 25.4 / pitch_mm if inch else pitch_mm
    leaf = min(leaves, key=lambda each: abs(each / true - 1))
    return Readings(sex="male" if male else "female", od_mm=read_mm if male else None, id_mm=None if male else read_mm,
                    tpi=leaf if inch else None, pitch_mm=None if inch else leaf)


PAGE = """\
# How often `identify` is right

Made by `python tests/identify_simulation.py > docs/identify-confusion.md`; seeded, so it comes out the same each time.

Every one of the {ends} threaded ends is drawn {each} times: a true diameter inside the standard's limits of size, four
males in ten worn (0.06 mm on average, at most 0.3), taper threads measured half a pitch to four pitches in, and caliper
noise of ±0.05 mm (one standard deviation). “The same to the hand” are ends with one thread, sex, nose and taper, such as
15L and 14S, or JIC -4 and 45° flare -4: no reading so far tells them apart.

| readings | draws | true end among the candidates | first | first, ends that are the same to the hand as one |
| --- | --- | --- | --- | --- |
{tallies}

## What is taken for what, with nose and taper given

Down: the family of the true end. Across: the family named first when it was not that very end, per hundred draws of the
true family; blank is none.

{confusion}

## The dialogue

{talks} dialogues over ends drawn as often as they are met. One in five has no thread gauge, half have no seat gauge, one
in four has a profile gauge, none finds a marking, one in five does not know the country. Clear is an answer with nine
tenths when ends that do not hold on the same partner, and known strangers, have less than three hundredths together and nothing read
differs.

* questions asked: median {median:g}, nine in ten within {ninth}
* ended clear: {clear:.0%}; of these right: {clear_right:.1%}
* right in all: {right:.1%}

## Threads that are in no table

{met} dialogues over {strange} threads that people meet and the tables do not have (garden hose, brass compression, pressure
washer, French 24° cones, diagnostic coupling, brake nut, straight pipe males, filters, bolts, metric 60° cones and others; from
memory), answered by the same hands. The worst that can happen
is an end of the tables told as clear.

* told as clear, and an end of the tables: {wrongly:.1%}
* called none of the standard ends: {none_said:.0%}

## Are the shares honest?

Ends and odd threads drawn with the prior that the program states, any subset of the readings; by the share that the best
kind was given.

| share given | answers | mean share | right |
| --- | --- | --- | --- |
{honest}

## What the model takes for granted

Limits of size are those of the thread standards. Everything else stands in `data/identify/`, a source in every row:
how often an end is met (`regions`, `families`, `sizes`, `forms`), the usual ports of machines (`machines`), the words
that are said of an end (`looks`, `seats`), and the figures below. `practice` is common practice without a source.

| figure | value | unit | source | confidence | what it is |
| --- | --- | --- | --- | --- | --- |
{noise}

| instrument | outside, ± mm | inside, ± mm | pitch by | ± part of it | length of threads counted, ± mm | source |
| --- | --- | --- | --- | --- | --- | --- |
{instruments}

| thread | crests read off by, mm | share | source | why |
| --- | --- | --- | --- | --- |
{wear}

| taper thread | jaws so many pitches in | share | source | why |
| --- | --- | --- | --- | --- |
{places}
"""


def page(each: int = 40, spoken: int = 400, drawn: int = 12000) -> str:
    """The page `docs/identify-confusion.md`."""
    plain, looked = tally(each, 1, False), tally(each, 2, True)
    dialogues = talks(spoken, 3)
    clear, strange = [one for one in dialogues if one.clear], talks_of_strangers(10, 5)
    asked = sorted(one.questions for one in dialogues)
    return PAGE.format(
        ends=len(threaded()), each=each,
        tallies="\n".join((_line("diameter and pitch", plain), _line("diameter, pitch, nose, taper", looked))),
        confusion="\n".join(_confusion(looked, each)),
        talks=len(dialogues), median=median(asked), ninth=asked[int(0.9 * len(asked))],
        clear=len(clear) / len(dialogues), clear_right=sum(one.right for one in clear) / len(clear),
        right=sum(one.right for one in dialogues) / len(dialogues),
        met=len(strange), strange=len({one.thread for one in strange}), wrongly=sum(one.wrongly_sure for one in strange) / len(strange),
        none_said=sum(one.none for one in strange) / len(strange),
        honest="\n".join(
            f"| {tenth / 10:.1f} to {tenth / 10 + 0.1:.1f} | {count} | {total / count:.1%} | {right / count:.1%} |"
            for tenth, (count, right, total) in sorted(calibration(drawn, 4).items()) if count >= 30),
        noise=_rows("noise", "name", "value", "unit", "source", "confidence", "note"),
        instruments=_rows("instruments", "says", "outside_sd_mm", "inside_sd_mm", "pitch_by", "pitch_sd", "span_sd_mm", "source"),
        wear=_rows("wear", "side", "off_mm", "share", "source", "note"),
        places=_rows("taper-places", "side", "pitches_in", "share", "source", "note"),
    )


def _rows(name: str, *columns: str) -> str:
    return "\n".join(f"| {' | '.join(row[column] for column in columns)} |" for row in table(f"identify/{name}"))


def _line(name: str, of: Tally) -> str:
    return (f"| {name} | {of.draws} | {of.kept / of.draws:.2%} | {of.first / of.draws:.1%} | "
            f"{of.first_or_same / of.draws:.1%} |")


def _confusion(of: Tally, each_end: int) -> list[str]:
    drawn = Counter(each.family for each in threaded())
    families = list(dict.fromkeys(end.family for end in threaded()))
    columns = [each for each in (*families, "none") if any(of.confused[family, each] for family in families)]
    out = [f"| true | {' | '.join(columns)} |", "| --- |" + " --- |" * len(columns)]
    for family in families:
        draws = each_end * drawn[family]
        cells = [100 * of.confused[family, column] / draws for column in columns]
        out.append(f"| {family} | " + " | ".join(f"{cell:.0f}" if cell >= 0.5 else "" for cell in cells) + " |")
    return out


if __name__ == "__main__":
    print(page(), end="")
