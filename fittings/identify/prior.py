"""How often each end is met, before anything is measured: by family and size, by country, by what it came off.

The shares stand in `data/identify/`; most are common practice without a source and say so there.
"""

import math
import re
from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from fittings.ends import End, all_ends
from fittings.identify.noise import noise
from fittings.identify.readings import Readings
from fittings.identify.strangers import Stranger, strangers
from fittings.tables import Row, table


class Prior(NamedTuple):
    """Shares of all ends that add up to one together with `none`, and a line for each hint that was or was not used.

    `strangers` the parts of `none` that known strangers take.
    """

    shares: Mapping[End, float]
    none: float
    notes: tuple[str, ...]
    strangers: Mapping[Stranger, float]


@cache
def regions() -> dict[str, float]:
    """Regions that our tables tell apart, with the share of questions from each when nobody says where."""
    return {row["region"]: float(row["share"]) for row in table("identify/regions")}


@cache
def region_of(country: str) -> str | None:
    """Region of a country or continent as typed, None when our tables do not know the word.

    >>> region_of("Germany")
    'europe'
    """
    words = {row["word"]: row["region"] for row in table("identify/region-words")}
    key = " ".join(country.lower().split())
    for spelled in (key, key.strip("."), key.removeprefix("the ")):
        if spelled in words or spelled in regions():
            return words.get(spelled, spelled)
    return None


@cache
def within_region(region: str) -> Mapping[End, float]:
    """Shares of all ends among those met in a region; they add up to one."""
    weights = {row["family"]: float(row["weight"]) for row in table("identify/families") if row["region"] == region}
    whole = sum(weights.values())
    return {each: weights[each.family] / whole * share for each, share in _within_family().items()}


@cache
def _within_family() -> Mapping[End, float]:
    """Share of each end within its family: how often the size is met times how often the form is."""
    sizes = {(row["family"], row["size"]): float(row["weight"]) for row in table("identify/sizes")}
    forms = {(row["family"], row["form"]): float(row["weight"]) for row in table("identify/forms")}
    raw = {each: sizes[each.family, each.size] * forms[each.family, each.form] for each in all_ends()}
    sums: dict[str, float] = {}
    for each, weight in raw.items():
        sums[each.family] = sums.get(each.family, 0.0) + weight
    return {each: weight / sums[each.family] for each, weight in raw.items()}


@cache
def _everywhere() -> Mapping[End, float]:
    by_region: dict[str, float] = {}
    for row in table("identify/families"):
        by_region[row["region"]] = by_region.get(row["region"], 0.0) + float(row["weight"])
    by_family: dict[str, float] = {}
    for row in table("identify/families"):
        share = regions()[row["region"]] * float(row["weight"]) / by_region[row["region"]]
        by_family[row["family"]] = by_family.get(row["family"], 0.0) + share
    return {each: by_family[each.family] * share for each, share in _within_family().items()}


@cache
def prior(country: str | None, came_off: str | None, doubt: float = 0.0) -> Prior:
    """How often each end is met, given the country and the words for the machine; both may be None.

    `doubt` is the share of parts that come from anywhere, whatever is said of the country.
    """
    notes = []
    region = region_of(country) if country else None
    if country and region is None:
        notes.append(f"our tables say nothing of {country}: the usual mix is taken")
    if came_off and region is None:
        region = _region_in(came_off)
    base = within_region(region) if region else _everywhere()
    if region and doubt:
        anywhere = _everywhere()
        base = {each: (1 - doubt) * share + doubt * anywhere[each] for each, share in base.items()}
    odd, named = _odd_ones(region, came_off, doubt)
    if came_off:
        ports = usual_ports(came_off, region)
        if ports.rows:
            base = _lean(base, ports)
            strange = [word for word in dict.fromkeys(_tokens(came_off)) if word not in _rarity()]
            notes.append(f"came off: {ports.says}" + (f"; our tables do not know “{' '.join(strange)}”" if strange else ""))
        if named:
            notes.append(f"came off: not in our tables: {'; '.join(named)}")
        elif not ports.rows:
            notes.append(f"our tables know no usual ports for “{came_off}”: what is met anywhere is taken")
    none = noise("none_share")
    rest = none * (1 - sum(_of_odd(each, region, doubt) for each in strangers()))
    whole = 1 - none + rest + sum(odd.values())
    return Prior({each: share * (1 - none) / whole for each, share in base.items()}, (rest + sum(odd.values())) / whole,
                 tuple(notes), {each: share / whole for each, share in odd.items()})


def _of_odd(of: Stranger, region: str | None, doubt: float) -> float:
    return (1 - doubt) * of.share_of_odd(region, regions()) + doubt * of.share_of_odd(None, regions())


def _odd_ones(region: str | None, came_off: str | None, doubt: float) -> tuple[dict[Stranger, float], list[str]]:
    """Shares of the known strangers, and the names of those that what it came off speaks of."""
    none, found, named = noise("none_share"), {}, []
    for each in strangers():
        found[each] = none * _of_odd(each, region, doubt)
        if came_off and each.named_in(came_off):
            found[each] *= noise("stranger_named")
            named.append(each.say)
    return found, list(dict.fromkeys(named))[:3]


def prior_of(readings: Readings, doubt: float = 0.0) -> Prior:
    """The prior that a set of readings asks for; `doubt` as in `prior`."""
    return prior(readings.country, readings.came_off, doubt)


class UsualPorts(NamedTuple):
    """Rows of `data/identify/machines.csv` that the words name, each with its weight, and what they say in words."""

    rows: tuple[tuple[Row, float], ...]
    says: str


_IDLE = frozenset((
    "the", "of", "a", "an", "on", "from", "my", "in", "at", "to", "for", "and", "or", "port", "fitting", "hose", "line",
    "end", "hydraulic", "side", "it", "its", "off", "old", "new", "big", "small", "with", "by", "is", "was", "unknown",
    "thread",
))
"""Words that say nothing of a machine."""


def _tokens(text: str) -> list[str]:
    same = {row["word"]: row["means"] for row in table("identify/machine-words")}
    plain = " ".join(re.findall(r"[^\W_]+", text.lower().replace("-", " ")))
    for word, means in same.items():
        if " " in word:
            plain = re.sub(rf"\b{re.escape(word)}\b", means, plain)
    found: list[str] = []
    for word in plain.split():
        stem = word if word in same or len(word) < 4 or word.endswith("ss") else word.removesuffix("s")
        found += same.get(stem, stem).split()
    return [word for word in found if word not in _IDLE]


def _called(text: str) -> str:
    """The word that says what a thing is: the last before `of`, `on` and the like.

    >>> _called("rear remote of a compact tractor"), _called("air conditioner")
    ('remote', 'conditioner')
    """
    parts = [_tokens(part) for part in re.split(r",|\b(?:of|on|from|in|at|to|for|with|by)\b", text.lower())]
    return next((words[-1] for words in parts if words), "")


@cache
def _indexed() -> tuple[tuple[Row, frozenset[str], frozenset[str]], ...]:
    return tuple((row, frozenset(_tokens(f"{row['machine']} {row['component']}")), frozenset(_tokens(row["detail"])))
                 for row in table("identify/machines"))


@cache
def _rarity() -> dict[str, float]:
    rows = _indexed()
    counts: dict[str, int] = {}
    for _, words, details in rows:
        for word in words | details:
            counts[word] = counts.get(word, 0) + 1
    return {word: math.log(1 + len(rows) / count) for word, count in counts.items()}


@cache
def usual_ports(came_off: str, region: str | None) -> UsualPorts:
    """The usual ports of what an end came off, by the words that name it; a row of another region counts little.

    What it is called must be known: an air conditioner is no air cylinder.

    >>> usual_ports("rear remote of a compact tractor", "north-america").rows[0][0]["port_family"]
    'iso7241a'
    """
    asked = {word: _rarity()[word] for word in _tokens(came_off) if word in _rarity()}
    if not asked or _called(came_off) not in asked:
        return UsualPorts((), "")
    whole = sum(asked.values())
    scored = []
    for row, words, details in _indexed():
        met = sum(rare * (1.0 if word in words else 0.5) for word, rare in asked.items() if word in words | details)
        scored.append((met / whole, row))
    best = max(score for score, _ in scored)
    if best < 0.45:
        return UsualPorts((), "")
    rows = []
    for score, row in scored:
        if score < 0.8 * best:
            continue
        weight = noise("came_off_sometimes") if row["usual"] == "sometimes" else 1.0
        places = row["regions"].split()
        if places:
            weight *= (1.0 if region in places else 0.08) if region else sum(regions()[place] for place in places)
        rows.append((row, weight))
    kept = [(row, weight) for row, weight in rows if weight >= 0.1 * max(weight for _, weight in rows)]
    names = dict.fromkeys(
        row["component"] if row["machine"].startswith("any") else f"{row['component']} ({row['machine']})"
        for row, _ in kept
    )
    return UsualPorts(tuple(kept), "; ".join(list(names)[:2]) + (" and others" if len(names) > 2 else ""))


def _region_in(text: str) -> str | None:
    words = re.findall(r"[^\W\d_]+", text.lower())
    found = [region_of(word) for word in words if len(word) > 3]
    found += [region_of(f"{one} {two}") for one, two in pairwise(words)]
    return next((each for each in found if each), None)


def _lean(base: Mapping[End, float], ports: UsualPorts) -> Mapping[End, float]:
    """The base moved towards the usual ports: each row speaks for all forms of its family and size."""
    lean = noise("came_off_weight")
    whole = sum(weight for _, weight in ports.rows)
    leaned = {each: share * (1 - lean) for each, share in base.items()}
    for row, weight in ports.rows:
        ends = [each for each in base if each.family == row["port_family"] and row["port_size"] in ("", each.size)]
        met = sum(base[each] for each in ends)
        for each in ends:
            leaned[each] += lean * weight / whole * base[each] / met
    return leaned
