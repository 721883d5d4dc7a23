"""What an end is rated for, and what it takes to assemble it: pressure, torque bands, flats, turns and rings.

Nothing here is computed: every figure is a row of `data/` with its source and confidence.
"""

from collections.abc import Callable, Sequence
from functools import cache
from typing import NamedTuple

from fittings.ends import End, family, size_row
from fittings.reasons import split_sources
from fittings.tables import Row, table
from fittings.units import MM_PER_IN, Units

BAR_PER_PSI = 0.0689475729


class Rating(NamedTuple):
    """Working pressure of an end: `psi` and `bar`, what it is the rating of, sources, confidence A, B or C; `material` where the
    figure is of another than steel."""

    psi: int
    bar: float
    context: str
    sources: tuple[str, ...]
    confidence: str
    material: str = ""

    @property
    def exact_psi(self) -> float:
        """The most it may be asked to hold, in psi: of a figure printed in bar or MPa the whole of it, not only its whole psi."""
        return exact_psi(self.psi, self.bar)


def exact_psi(psi: int, bar: float) -> float:
    """A tabled pressure in psi without what rounding took from it; a hair more, for sums in floating point.

    `psi` was rounded down where the document prints bar or MPa: 250 bar are 3625 psi in the table and 3625.94 exactly. Where
    the two do not agree to the psi it is the psi that was printed.

    >>> round(exact_psi(3625, 250.0), 2), round(exact_psi(5000, 345.0), 2)
    (3625.94, 5000.0)
    """
    exact = bar / BAR_PER_PSI + 1e-6
    return exact if int(exact) == psi else psi + 1e-6


class Torque(NamedTuple):
    """One published band of assembly torque in N·m, never merged with another school's. `says` what the school is for, `kind`
    of seal ring or class of screw that it is for ('': for all), `series` of the stud (`L`, `S`, '': either); whether it is for
    a steel port and an aluminium one takes less."""

    low_nm: float
    high_nm: float
    school: str
    port: str
    default: bool
    sources: tuple[str, ...]
    confidence: str
    note: str
    says: str = ""
    kind: str = ""
    series: str = ""
    plug: bool = False
    less_in_aluminium: bool = False


class Turn(NamedTuple):
    """How far to turn: flats from wrench resistance or finger tight, or turns past finger tight of a taper thread."""

    low: float
    high: float
    unit: str
    start: str
    ceiling_nm: float | None
    school: str
    sources: tuple[str, ...]
    confidence: str


RING_NAMES = {"bonded": "bonded seal", "elastomer": "elastomer ring"}
"""What a ring is called that goes by a thread."""


class Ring(NamedTuple):
    """The seal ring of an end: its number or size, and millimetres; `kind` o-ring, elastomer (the profile ring of a stud of form E)
    or bonded; `note` when it is used."""

    key: str
    kind: str
    id_mm: float | None
    cs_mm: float | None
    od_mm: float | None
    thickness_mm: float | None
    sources: tuple[str, ...]
    confidence: str
    note: str

    @property
    def thread(self) -> str:
        """The thread that a bonded seal or an elastomer ring is sold for; '' for an O-ring, which goes by its size."""
        return "" if self.kind == "o-ring" else self.key.partition(" ")[2]

    @property
    def comes_with_part(self) -> bool:
        """Whether the part is sold with it."""
        return self.kind == "elastomer"

    @property
    def say(self) -> str:
        return self.words("both")

    def words(self, units: Units) -> str:
        """The ring in words: for its thread, or with its section, in inches only where those alone are asked for."""
        if self.thread:
            return ring_said(self.key)
        size = ""
        if self.id_mm and self.cs_mm:
            inches = f"{self.id_mm / MM_PER_IN:.3f} x {self.cs_mm / MM_PER_IN:.3f} in"
            size = f" ({inches if units == 'inch' else f'{self.id_mm:g} x {self.cs_mm:g} mm'})"
        return f"O-ring {self.key}{size}"


def _by_end(name: str) -> Callable[[], dict[tuple[str, str, str], list[Row]]]:
    @cache
    def rows() -> dict[tuple[str, str, str], list[Row]]:
        found: dict[tuple[str, str, str], list[Row]] = {}
        for row in table(name):
            found.setdefault((row["family"], row["size"], row.get("form", "")), []).append(row)
        return found

    return rows


_ratings = _by_end("ratings")
_torques = _by_end("torque")
_flats = _by_end("flats")
_turns = _by_end("turns")
_ring_use = _by_end("ring-use")


def _rows(source: Callable[[], dict[tuple[str, str, str], list[Row]]], end: End) -> list[Row]:
    rows = source()
    return rows.get((end.family, end.size, end.form), []) + rows.get((end.family, end.size, ""), [])


def stud_series(other: End) -> str:
    """Series (`L` light, `S` heavy) of a stud whose part has `other` at its far side, or '' when that does not tell.

    Light studs belong to 37° fittings and light 24° cones, heavy ones to face-seal fittings and heavy 24° cones
    (forewords of SAE J2244-3 and -4).
    """
    return size_row(other.family, other.size)["stud_series"]


def series_among(ends: Sequence[End], stud: End) -> str:
    """Series of a stud by the part with these ends: that of the first other end.

    >>> series_among((End("orfs", "-8", "male"), End("orfs", "-8", "male"), End("orb", "-8", "stud-adj")), End("orb", "-8", "stud-adj"))
    'S'
    """
    others = list(ends)
    others.remove(stud)
    return stud_series(others[0]) if others else ""


def rated_by_hose(end: End) -> bool:
    """Whether an end has no pressure of its own: a crimped joint is rated by the hose it is made with."""
    return family(end.family)["seal"] == "crimp"


@cache
def strongest_hose(end: End) -> Rating | None:
    """What the strongest hose now made in the size of a hose end holds: no crimped joint of it is worth more.

    None for an end that is not crimped, and where our tables hold no hose of that size.
    """
    if not rated_by_hose(end):
        return None
    made = [row for row in table("hose/hoses") if row["size"] == end.size and row["use"] == "current"]
    if not made:
        return None
    best = max(made, key=lambda row: int(row["pressure_psi"]))
    return Rating(int(best["pressure_psi"]), float(best["pressure_bar"]), f"{best['type']}, the strongest {end.size} hose",
                  split_sources(best["source"]), best["confidence"])


@cache
def ratings(end: End) -> tuple[tuple[str, bool, Rating], ...]:
    """All pressures our tables hold for an end, as (series, in use, rating)."""
    return tuple(
        (row["series"], row["use"] == "yes",
         Rating(int(float(row["pressure_psi"])), round(float(row["pressure_mpa"]) * 10, 1), row["context"],
                split_sources(row["source"]), row["confidence"], row["material"]))
        for row in _rows(_ratings, end)
    )


@cache
def also_printed(end: End, series: str = "") -> tuple[Rating, ...]:
    """Higher pressures that other editions and makers print for an end, beside the one in use; each figure once.

    >>> [(of.bar, of.context) for of in also_printed(End("cone24", "15L", "male"))]
    [(315.0, "maker's PN, DIN 2353 practice")]
    """
    used = rating(end, series)
    others = (each for of, use, each in ratings(end) if not use and of in ("", series))
    return tuple(dict.fromkeys(each for each in others if used is not None and each.psi > used.psi))


@cache
def rating(end: End, series: str = "") -> Rating | None:
    """The working pressure in use for an end, or None when our tables hold none.

    A stud is rated by its series; without one the lowest in use counts.
    """
    used = [(of, each) for of, use, each in ratings(end) if use]
    ours = [each for of, each in used if of == series] or [each for _, each in used]
    return min(ours, key=lambda each: each.exact_psi, default=None)


class Derated(NamedTuple):
    """A rating brought down by what a part is made of: `psi` and `bar` (0: never in a pressure line; None: not in our tables), why,
    sources, confidence."""

    psi: int | None
    bar: float | None
    text: str
    sources: tuple[str, ...]
    confidence: str


@cache
def materials() -> tuple[str, ...]:
    """Materials other than steel that `data/derating.csv` knows a rule for."""
    return tuple(dict.fromkeys(row["code"] for row in table("derating") if row["code"] in _MATERIALS))


_MATERIALS = ("brass", "stainless", "malleable-iron", "aluminium-port", "pipe-nipple-40", "pipe-nipple-80")


def derated(of: Rating | None, material: str, pipe: str = "") -> Derated:
    """The rating of a steel joint as it stands in another material: unknown where that of steel is, save 0 where the material
    never goes into a pressure line. `pipe` is the size of the NPT male, for a rule that goes by size; '' for none.
    Raises KeyError for a material without a rule.

    >>> derated(Rating(4000, 276.0, "", (), "B"), "brass").psi
    2000
    """
    rows = [row for row in table("derating") if row["code"] == material and material in materials()]
    if not rows:
        raise KeyError(material)
    row = next((row for row in rows if row["size"] in ("", pipe)), None)
    if row is None:
        return Derated(None, None, "our tables hold this for NPT males of 1/8 to 2 only", split_sources(rows[0]["source"]),
                       rows[0]["confidence"])
    psi, bar = (0, 0.0) if row["factor"] and not float(row["factor"]) else (None, None) if of is None else _brought_down(of, row)
    return Derated(psi, bar, row["text"], split_sources(row["source"]), row["confidence"])


def _brought_down(of: Rating, row: Row) -> tuple[int, float]:
    """What a rule leaves of a rating, psi and bar: a share of it, or no more than a pressure, in the unit that it is printed in."""
    if row["unit"] == "factor":
        psi = int(of.psi * float(row["factor"]))
        return psi, round(psi * BAR_PER_PSI, 1)
    most = float(row["high"])
    capped = (int(most), round(most * BAR_PER_PSI, 1)) if row["unit"] == "psi" else (int(most / BAR_PER_PSI), most)
    return min((of.psi, of.bar), capped)


@cache
def _schools() -> dict[tuple[str, str], Row]:
    return {(row["family"], row["school"]): row for row in table("torque-schools")}


def _of_series(rows: list[Row], series: str) -> list[Row]:
    """The rows for a stud of that series, its own first; all of them when it is not known, or no row is for it."""
    ours = sorted((row for row in rows if row["series"] in ("", series)), key=lambda row: row["series"] != series)
    return ours if series and ours else rows


def _own_series(rows: list[Row], series: str) -> list[Row]:
    """The rows for a stud of that series, and for either."""
    return [row for row in rows if row["series"] in ("", series)]


@cache
def usual_series(end: End) -> str:
    """The series that an end has where nobody says: that of its band in use in steel, '' where it has none."""
    return next((row["series"] for row in _rows(_torques, end) if row["port"] == "steel" and row["default"] == "yes"), "")


@cache
def torques(end: End, series: str = "", metal: str = "steel") -> tuple[Torque, ...]:
    """Published torque bands for tightening this end into a port of that metal, or made of it, the one in use first.

    A stud takes the bands of its series (`L` or `S`). Where none is for it those of the other stand in steel, and say so by their
    `series`; in a softer metal none does, and one of which the series is not known is taken for the common one.

    >>> [band.school for band in torques(End("orb", "-8", "stud"), "S")]
    ['heavy', 'plug hex head', 'plug hollow hex']
    """
    rows = sorted((row for row in _rows(_torques, end) if row["port"] == metal), key=lambda row: row["default"] != "yes")
    return tuple(_torque(row) for row in (_of_series(rows, series) if metal == "steel" else _own_series(rows, series or usual_series(end))))


def _torque(row: Row) -> Torque:
    school = _schools()[row["family"], row["school"]]
    return Torque(
        float(row["low_nm"]), float(row["high_nm"]), f"{row['screw']} {row['school']}".strip(), row["port"], row["default"] == "yes",
        split_sources(row["source"]), row["confidence"], row["note"], school["says"], school["kind"], row["series"],
        school["plug"] == "yes", row["port"] == "steel" and row["family"] in _in_aluminium())


@cache
def _in_aluminium() -> frozenset[str]:
    return frozenset(row["family"] for row in table("torque") if row["port"] == "aluminium")


def has_torque(end: End, metal: str) -> bool:
    """Whether any band is printed for an end in or of that metal, for whichever series."""
    return any(row["port"] == metal and row["series"] for row in _rows(_torques, end))


def makers_differ(bands: Sequence[Torque]) -> bool:
    """Whether what is printed for one thing, by seal and series, lies apart by a factor of two or more."""
    alike = [band for band in bands if (band.kind, band.series) == (bands[0].kind, bands[0].series)]
    return bool(alike) and max(band.high_nm for band in alike) >= 2 * min(band.low_nm for band in alike)


@cache
def turns(end: End, series: str = "", metal: str = "steel") -> tuple[Turn, ...]:
    """Flats from wrench resistance or finger tight, or turns of a taper thread, for this end in or of that metal."""
    rows = [row for row in _rows(_flats, end) if row["port"] == metal]
    flats = [
        Turn(float(row["low_flats"]), float(row["high_flats"]), "flats", row["from"], None, row["school"],
             split_sources(row["source"]), row["confidence"])
        for row in (_of_series(rows, series) if metal == "steel" else _own_series(rows, series or usual_series(end)))
    ]
    taper = [
        Turn(float(row["low_turns"]), float(row["high_turns"]), "turns", row["from"],
             float(row["ceiling_nm"]) if row["ceiling_nm"] else None, row["school"],
             split_sources(row["source"]), row["confidence"])
        for row in _rows(_turns, end) if row["port"] == metal
    ]
    return tuple(flats + taper)


@cache
def _rings() -> dict[str, Row]:
    return {row["key"]: row for row in table("rings")}


def best_rating(of: End) -> Rating | None:
    """The highest rating of an end in any of its series: more than that it never holds. None when our tables hold none."""
    known = [each for series in ("", "L", "S") if (each := rating(of, series)) is not None]
    return max(known, key=lambda each: each.psi, default=None)


def ring_said(key: str) -> str:
    """A ring by its key: its name and the thread that it goes with, or the number or size of an O-ring.

    >>> ring_said("bonded G1/4"), ring_said("AS568-908")
    ('bonded seal for G1/4', 'O-ring AS568-908')
    """
    kind, _, fits = key.partition(" ")
    return f"{RING_NAMES[kind]} for {fits}" if fits else f"O-ring {key}"


def ring_keys() -> frozenset[str]:
    """The keys of all rings that our tables know: `AS568-908`, `15.3x2.2`, `bonded G1/4`."""
    return frozenset(_rings())


@cache
def ring(end: End) -> Ring | None:
    """The seal ring that belongs to this end, or None: its own where it has one, else the loose one that is laid under it."""
    return _ring(_rows(_ring_use, end))


@cache
def loose_ring(end: End) -> Ring | None:
    """The ring that is laid under the shoulder of a stud without one of its own, or None."""
    return _ring([use for use in _rows(_ring_use, end) if use["role"] == "loose seal"])


def _ring(uses: list[Row]) -> Ring | None:
    for use in sorted(uses, key=lambda use: use["role"] == "loose seal"):
        row = _rings()[use["ring"]]
        number = {name: float(row[name]) if row[name] else None for name in ("id_mm", "cs_mm", "od_mm", "thickness_mm")}
        return Ring(row["key"], row["kind"], number["id_mm"], number["cs_mm"], number["od_mm"], number["thickness_mm"],
                    split_sources(use["source"]), use["confidence"], use["note"])
    return None
