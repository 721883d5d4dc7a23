"""The data check: everything that can be wrong with the tables and that no single cell shows.

`python -m fittings.tables` prints what is wrong and exits 1 when anything is.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from itertools import combinations, pairwise

from fittings.tables import Row, geometry, names, preferred, table
from fittings.tables.pins import pins
from fittings.tables.schema import validate_all
from fittings.units import PSI_PER_MPA

SAME_PRESSURE = 0.006
"""How far psi and MPa of one row may be apart: the standards print MPa to one decimal, 7.8 for 1125 psi."""

SEVERAL = "counts as several"
"""What the note of a source says when its id stands for several independent documents."""

RISES = {
    ("iso7241a", "1-1/4"): "the figure at 1 is memory and low; one maker prints 25 MPa at both",
    ("iso9974", "M12x1.5"): "M10x1 carries light studs only",
}
"""Sizes whose rating lies above that of the next smaller one, and why that stands."""

NOT_MONOTONE = {
    "planning_drop_kpa": "drop at the rated flow of each size",
    "seat_deg": "an angle",
    "chamfer_deg": "an angle",
    "cone_included_deg": "an angle",
    "chamfer_seat_deg": "an angle",
    "chamfer_tol_deg": "a tolerance",
}
"""Figures that need not grow with size."""

ABOVE_ITS_TWIN = {
    ("bspp", "stud"): "the port has the lowest figure of five valve makers, the stud that of ISO 1179",
}
"""Forms whose rating may lie above that of the port they go into or of their rigid twin, and why that stands."""

FALLS = {
    ("iso6149", "M20x1.5", "full_thread_depth_min_mm"): "cartridge cavity, a shorter thread than M18",
    ("iso6149", "M20x1.5", "tap_drill_depth_min_mm"): "cartridge cavity, a shorter thread than M18",
}
"""Figures that lie below those of the next smaller size, and why that stands."""


def _sourced() -> Iterator[tuple[str, int, Row, str, str]]:
    for name in names():
        for number, row in enumerate(table(name), 2):
            for column in row:
                if column == "source" or column.endswith("_source"):
                    grade = row.get("confidence" if column == "source" else f"{column[:-7]}_confidence", "")
                    yield name, number, row, row[column], grade


def _ids(cell: str) -> list[str]:
    return [key.strip() for key in cell.split(";") if key.strip()]


def _witnesses(name: str) -> Counter[tuple[str, ...]]:
    """How many rows of a long table speak of one figure: a second source may stand in a row of its own."""
    return Counter(_subject(row) for row in table(name))


def _subject(row: Row) -> tuple[str, ...]:
    return tuple(cell for column, cell in row.items() if column not in ("value", "source", "confidence", "note"))


def provenance() -> Iterator[str]:
    """Every figure has a source of the register, every source is used, and the grades say what the sources allow."""
    register = {row["id"]: row["kind"] for row in table("sources")}
    several = {row["id"] for row in table("sources") if SEVERAL in row["note"]}
    twice = [key for key, count in Counter(row["id"] for row in table("sources")).items() if count > 1]
    yield from (f"sources: {key} is listed twice" for key in twice)
    used: set[str] = set()
    witnesses = {name: _witnesses(name) for name in names()}
    for name, number, row, cell, grade in _sourced():
        ids = _ids(cell)
        used.update(ids)
        at = f"{name} row {number}"
        if grade and not ids:
            yield f"{at}: a confidence without a source"
        yield from (f"{at}: source {key} is not in data/sources.csv" for key in ids if key not in register)
        kinds = [register.get(key, "") for key in ids]
        if ids and grade in ("A", "B") and all(kind in ("memory", "practice") for kind in kinds):
            yield f"{at}: {cell} alone is confidence C, not {grade}"
        alone = len(ids) < 2 and witnesses[name][_subject(row)] < 2
        if grade == "A" and alone and not {"standard", "arithmetic"} & set(kinds) and not several & set(ids):
            yield f"{at}: confidence A wants two independent sources, {cell or 'none'} is one"
    yield from (f"sources: {key} is listed and nothing rests on it" for key in register if key not in used)


def ends() -> Iterator[str]:
    """Every row speaks of an end that exists: family, size of that family, form of that family."""
    forms = {(row["family"], row["form"]) for row in table("forms")}
    sizes = {(row["family"], row["size"]): row["forms"].split() for row in table("sizes")}
    for name in names():
        for number, row in enumerate(table(name), 2):
            if name == "sizes" or not {"family", "size", "form"} <= row.keys():
                continue
            at, key = f"{name} row {number}", (row["family"], row["size"])
            if key not in sizes:
                yield f"{at}: there is no {' '.join(key)}"
            elif row["form"] and not (
                (row["family"], row["form"]) in forms and row["form"] in (sizes[key] or [row["form"]])
            ):
                yield f"{at}: there is no {' '.join(key)} {row['form']}"


def figure_names() -> Iterator[str]:
    """Every figure has a meaning, every meaning a figure, the unit is the suffix, and a number is a number."""
    unit = {"deg": "°", "nm": "N·m", "lpm": "L/min", "kpa": "kPa"}
    meant = {row["figure"]: row["unit"] for row in table("figure-names")}
    used = set()
    for name in (name for name in names() if name.startswith("figures/")):
        for number, row in enumerate(table(name), 2):
            used.add(row["figure"])
            if row["figure"] not in meant:
                yield f"{name} row {number}: {row['figure']} has no meaning in data/figure-names.csv"
            if not row["figure"].endswith("_text") and not _is_number(row["value"]):
                yield f"{name} row {number}: {row['value']!r} is not a number above 0"
    yield from (f"figure-names: {figure} is used by no row" for figure in meant if figure not in used)
    for figure, said in meant.items():
        suffix = figure.rpartition("_")[2]
        if said != unit.get(suffix, suffix):
            yield f"figure-names: {figure} says {said}, its suffix says {unit.get(suffix, suffix)}"


def _is_number(cell: str) -> bool:
    try:
        return 0 < float(cell) < 10000
    except ValueError:
        return False


def doubled() -> Iterator[str]:
    """No figure is printed twice by one source with one value, and none twice with two first rows."""
    for name in (name for name in names() if name.startswith("figures/")):
        seen = Counter((row["family"], row["size"], row["form"], row["figure"], row["value"]) for row in table(name))
        yield from (f"{name}: {' '.join(key)} stands {count} times" for key, count in seen.items() if count > 1)


def _series(size: str) -> str:
    return size.lstrip("0123456789") if size[-1:] in ("L", "S") else ""


def monotone() -> Iterator[str]:
    """A figure in use never falls with size within its family and form, save where the reason is written down."""
    order = {(row["family"], row["size"]): place for place, row in enumerate(table("sizes"))}
    columns: dict[tuple[str, str, str, str], list[tuple[int, str, float]]] = defaultdict(list)
    for (family, size, figure), (form, row) in geometry.in_use().items():
        if not figure.endswith("_text") and figure not in NOT_MONOTONE:
            columns[family, form, figure, _series(size)].append((order[family, size], size, float(row["value"])))
    for (family, form, figure, _), cells in columns.items():
        cells.sort()
        for (_, _, before), (_, size, now) in pairwise(cells):
            if now < before and (family, size, figure) not in FALLS:
                yield f"{family} {size} {form}: {figure} falls from {before:g} to {now:g}"


def pressures() -> Iterator[str]:
    """Ratings: psi is MPa, one in use per end and series, none rises with size, no moving end above its rigid twin."""
    order = {(row["family"], row["size"]): place for place, row in enumerate(table("sizes"))}
    used: dict[tuple[str, str, str], dict[str, int]] = defaultdict(dict)
    for number, row in enumerate(table("ratings"), 2):
        psi, mpa = int(row["pressure_psi"]), float(row["pressure_mpa"])
        if abs(psi / (mpa * PSI_PER_MPA) - 1) > SAME_PRESSURE:
            yield f"ratings row {number}: {psi} psi is not {mpa} MPa"
        if row["use"] == "yes":
            key = row["family"], row["form"], row["series"]
            if row["size"] in used[key]:
                yield f"ratings row {number}: a second figure in use for {' '.join(key)} {row['size']}"
            used[key][row["size"]] = psi
    for number, row in enumerate(table("ratings"), 2):
        if row["use"] == "also" and row["size"] not in used.get((row["family"], row["form"], row["series"]), {}):
            yield f"ratings row {number}: another figure beside none in use"
    for (family, form, series), column in used.items():
        ladder = sorted(column, key=lambda size: order[family, size])
        for smaller, larger in pairwise(ladder):
            if (
                column[larger] > column[smaller]
                and _series(smaller) == _series(larger)
                and (family, larger) not in RISES
            ):
                yield (
                    f"ratings: {family} {form} {series} rises from {column[smaller]} psi at {smaller} "
                    f"to {column[larger]} at {larger}"
                )
        for stronger, weaker in (("stud", "stud-adj"), ("male", "swivel"), ("port", "stud")):
            if form == weaker:
                for size, psi in column.items():
                    above = used.get((family, stronger, series), used.get((family, stronger, ""), {})).get(size, psi)
                    if psi > above and (family, form) not in ABOVE_ITS_TWIN:
                        yield f"ratings: {family} {size} {form} {series} {psi} psi is above its {stronger}, {above} psi"
        if series == "L":
            for size, psi in column.items():
                if psi > used.get((family, form, "S"), {}).get(size, psi):
                    yield f"ratings: {family} {size} {form}: the light series is above the heavy one"


def j514_factors() -> Iterator[str]:
    """SAE J514: swivel and adjustable against rigid are the factors of `data/derating.csv`, to a hundredth."""
    factors = {
        size: float(row["factor"])
        for row in table("derating")
        if row["code"] == "swivel-or-adjustable"
        for size in row["applies"].rpartition("size ")[2].split()
    }
    psi = {
        (row["family"], row["size"], row["form"]): int(row["pressure_psi"])
        for row in table("ratings")
        if row["use"] == "yes" and row["series"] in ("", "L")
    }
    for family, moving, rigid in (("jic", "swivel", "male"), ("orb", "stud-adj", "stud")):
        for size, factor in factors.items():
            found = psi[family, size, moving] / psi[family, size, rigid]
            if abs(found - factor) > 0.0101:
                yield f"ratings: {family} {size} {moving} is {found:.3f} of {rigid}, SAE J514 says {factor}"


def torques() -> Iterator[str]:
    """Bands run upwards, one default in steel for each end that has any, one school once for each port metal; an A only where
    bands that the note names overlap; every school of a band has its words, and the turns beside it are of such a school."""
    schools: Counter[tuple[str, ...]] = Counter()
    defaults: Counter[tuple[str, ...]] = Counter()
    steel: set[tuple[str, ...]] = set()
    for number, row in enumerate(table("torque"), 2):
        end = row["family"], row["size"], row["form"]
        if float(row["low_nm"]) > float(row["high_nm"]):
            yield f"torque row {number}: {row['low_nm']} to {row['high_nm']} N·m runs downwards"
        schools[(*end, *filter(None, (row["screw"], row["school"])), row["port"])] += 1
        bands = named_bands(row["note"])
        if row["confidence"] == "A" and len(bands) > 1 and not overlap(bands):
            yield f"torque row {number}: an A, and the makers that its note names differ"
        if row["port"] == "steel":
            steel.add(end)
            defaults[end] += row["default"] == "yes"
        elif row["default"] == "yes":
            yield f"torque row {number}: the default must be a steel port"
    yield from (f"torque: {' '.join(key)} stands {count} times" for key, count in schools.items() if count > 1)
    yield from (f"torque: {' '.join(end)} has {defaults[end]} defaults" for end in sorted(steel) if defaults[end] != 1)
    said = [(row["family"], row["school"]) for row in table("torque-schools")]
    used = {(row["family"], row["school"]) for row in table("torque")}
    yield from (f"torque-schools: {' '.join(key)} stands twice" for key, count in Counter(said).items() if count > 1)
    yield from (f"torque-schools: {' '.join(key)} has no words, or no band" for key in sorted(used ^ set(said)))
    for number, row in enumerate(table("flats"), 2):
        bands = named_bands(row["note"])
        if row["confidence"] == "A" and len(bands) > 1 and not overlap(bands):
            yield f"flats row {number}: an A, and the makers that its note names differ"
        if row["school"] and (row["family"], row["school"]) not in used:
            yield f"flats row {number}: there is no torque of the school {row['school']}"
    for name, low, high in (("flats", "low_flats", "high_flats"), ("turns", "low_turns", "high_turns")):
        for number, row in enumerate(table(name), 2):
            if float(row[low]) > float(row[high]):
                yield f"{name} row {number}: {row[low]} to {row[high]} runs downwards"


def named_bands(note: str) -> list[tuple[float, float]]:
    """The bands of single makers that a note names, `maker 41-50; another 54`, from low to high.

    >>> named_bands("header maker 46-50; compact-loader maker 54; locknuts of 37° fittings")
    [(46.0, 50.0), (54.0, 54.0)]
    """
    found = [re.search(r"\s(\d+(?:\.\d+)?)(?:-(\d+(?:\.\d+)?))?(?:, from finger tight)?$", part) for part in note.split(";")]
    return [(float(each[1]), float(each[2] or each[1])) for each in found if each]


def overlap(bands: list[tuple[float, float]]) -> bool:
    """Whether two of these bands have a figure in common."""
    return any(max(one[0], other[0]) <= min(one[1], other[1]) for one, other in combinations(bands, 2))


def ring_use() -> Iterator[str]:
    """Every ring in use is in the register of rings; an end has one of its own and one that may be laid under it."""
    known = [row["key"] for row in table("rings")]
    yield from (f"rings: {key} stands twice" for key, count in Counter(known).items() if count > 1)
    ends_of: Counter[tuple[str, ...]] = Counter()
    for number, row in enumerate(table("ring-use"), 2):
        ends_of[row["family"], row["size"], row["form"], *([row["role"]] if row["role"] == "loose seal" else [])] += 1
        if row["ring"] not in known:
            yield f"ring-use row {number}: {row['ring']} is not in data/rings.csv"
    yield from (f"ring-use: {' '.join(end)} has {count} rings" for end, count in ends_of.items() if count > 1)


CHECKS: tuple[Callable[[], Iterator[str]], ...] = (
    provenance,
    ends,
    figure_names,
    doubled,
    monotone,
    pressures,
    j514_factors,
    torques,
    ring_use,
    pins,
    *geometry.RULES,
    *preferred.RULES,
)


def problems() -> list[str]:
    """All that is wrong with the data, in words; cells first, since the other checks read them as numbers.

    >>> problems()
    []
    """
    cells = validate_all()
    return cells or [said for check in CHECKS for said in check()]


def shares() -> dict[str, int]:
    """How many sourced rows of all tables are of confidence A, B and C."""
    counts = Counter(grade for _, _, _, _, grade in _sourced() if grade)
    return {grade: counts[grade] for grade in "ABC"}
