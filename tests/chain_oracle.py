"""What may be screwed together and called a chain, written apart from the program.

Nothing here asks `mating`, `check`, `planner` or `ratings`. Which halves make a joint is the hand-written list
`authorities/joints_by_hand.csv`; what turns, what bends and what is narrow is said below in words of the trade; pressures
are read from the table itself. Of the program only the list of parts is used, turned into a plain set.
"""

import csv
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from pathlib import Path

from fittings.ends import End
from fittings.limits import Limits
from fittings.parts import all_parts

HERE = Path(__file__).parent
Piece = tuple[End, End, str]
"""Near end, far end, shape."""


@cache
def legal_halves() -> dict[frozenset[tuple[str, str]], bool]:
    """Pairs of halves that make a joint at one size, and whether it depends on something."""
    with open(HERE / "authorities" / "joints_by_hand.csv", newline="", encoding="utf-8") as file:
        return {
            frozenset({(row["family_a"], row["form_a"]), (row["family_b"], row["form_b"])}): row["if"] == "yes"
            for row in csv.DictReader(file)
        }


def holds(a: End, b: End) -> bool:
    """Whether two ends make a joint, with or without a condition."""
    return a.size == b.size and frozenset({(a.family, a.form), (b.family, b.form)}) in legal_halves()


def turns(of: End) -> bool:
    """A nut, a flange or a coupler can be tightened while its part stands still (common practice, no source)."""
    return (
        of.form in ("swivel", "swivel-dual", "tube-nut", "head")
        or (of.family, of.form) == ("invflare", "male") or of.family.startswith("iso7241") or of.family == "iso16028"
    )


def can_be_set(of: End) -> bool:
    """What turns, an adjustable stud, a taper thread (it is tight anywhere within a turn) and a crimp can be set to an angle."""
    return turns(of) or of.form == "stud-adj" or of.family in ("npt", "bspt", "hose")


def cannot_be_pointed(lefts: Sequence[End], rights: Sequence[End], n: int, fixed: bool) -> bool:
    """Whether the elbow after `n` joints stops where it stops: a shoulder or a cone drawn tight in what stands still, which is a
    port, or either end where both are held (common practice, no source)."""
    loose = [can_be_set(a) or can_be_set(b) for a, b in zip(lefts, rights, strict=True)]
    needed = [True in loose]
    if fixed or lefts[0].form == "port":
        needed.append(True in loose[:n])
    if fixed or rights[-1].form == "port":
        needed.append(True in loose[n:])
    return not all(needed)


@cache
def strongest_hose_psi(size: str) -> int | None:
    """Of all hoses that are made today, the highest working pressure in this size, read from the table itself."""
    with open(HERE.parent / "data" / "hose" / "hoses.csv", newline="", encoding="utf-8") as file:
        return max((int(row["pressure_psi"]) for row in csv.DictReader(file) if row["size"] == size and row["use"] == "current"), default=None)


@cache
def sixteenths(family: str, size: str) -> Fraction | None:
    """Nominal size in sixteenths of an inch; None for a size that names a thread only."""
    if size.startswith("-"):
        return Fraction(size[1:])
    if size[0] == "M":
        return None
    if size[-1] in "LS":
        tube_mm = int(size.rstrip("LS"))
        return Fraction(tube_mm * 160, 254)  # tube outside diameter; 1 in = 25.4 mm
    whole, _, part = size.rpartition("-")
    return 16 * (Fraction(whole or 0) + Fraction(part))


@cache
def _pressures() -> dict[tuple[str, str, str], list[tuple[str, int]]]:
    found: dict[tuple[str, str, str], list[tuple[str, int]]] = {}
    with open(HERE.parent / "data" / "ratings.csv", newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if row["use"] == "yes":
                found.setdefault((row["family"], row["size"], row["form"]), []).append((row["series"], int(row["pressure_psi"])))
    return found


LIGHT, HEAVY = ("jic",), ("orfs",)


def series(other: End) -> str:
    """Studs of 37° fittings and light 24° cones are light, of face-seal fittings and heavy cones heavy (SAE J2244-3, -4)."""
    if other.family == "cone24":
        return "S" if other.size.endswith("S") else "L"
    return "L" if other.family in LIGHT else "S" if other.family in HEAVY else ""


def psi(of: End, beside: End | None) -> int | None:
    """Working pressure of an end in a part whose other end is `beside`; the lowest that fits when that does not tell.

    A crimped joint is worth no more than the best hose."""
    if of.family == "hose":
        return strongest_hose_psi(of.size)
    known = [pair for form in (of.form, "") for pair in _pressures().get((of.family, of.size, form), [])]
    ours = [value for one, value in known if beside is not None and one == series(beside)] or [value for _, value in known]
    return min(ours, default=None)


def never(of: End, meets: End, beside: End, shape: str) -> bool:
    """Whether an end of a part never makes this joint: the coned leg of a forged elbow has no shoulder for a bonded seal in a port, the
    port stud of a 24° coupling no chamfer for a BSP swivel (common practice, no source)."""
    forged = "45" in shape or "90" in shape
    if (of.family, of.form, meets.family, meets.form) == ("bsp60", "male", "bspp", "port"):
        return forged and "bulkhead" not in shape
    return (of.family, of.form, meets.family, meets.form) == ("bspp", "stud", "bsp60", "swivel") and beside.family == "cone24"


def joint_psi(a: End, b: End, beside_a: End | None = None, beside_b: End | None = None) -> int | None:
    """Lowest working pressure of a joint. A coned BSP male under a bonded seal does what the stud of its size does in that port, and
    carries no more (common practice, no source)."""
    both = [psi(a, beside_a), psi(b, beside_b)]
    if {(a.family, a.form), (b.family, b.form)} == {("bspp", "port"), ("bsp60", "male")}:
        both.append(psi(End("bspp", a.size, "stud"), None))
    return None if None in both else min(each for each in both if each is not None)


@cache
def made() -> frozenset[tuple[End, End, str]]:
    """Parts with two ends, either way round."""
    return frozenset((*ends, part.shape) for part in all_parts() if len(part.ends) == 2 for ends in (part.ends, part.ends[::-1]))


def wrong(start: End, finish: End, pieces: Sequence[Piece], asked: Limits = Limits()) -> set[tuple[str, str]]:
    """What is wrong with a chain, as (what, where); empty when it stands."""
    lefts = [start, *(far for _, far, _ in pieces)]
    rights = [*(near for near, _, _ in pieces), finish]
    found = {("joint", str(n)) for n, (a, b) in enumerate(zip(lefts, rights, strict=True), 1) if not holds(a, b)}
    for n, (a, b) in enumerate(zip(lefts, rights, strict=True)):
        sides = [(a, b, near, shape) for near, _, shape in pieces[:n][-1:]] + [(b, a, far, shape) for _, far, shape in pieces[n:n + 1]]
        found |= {("never", str(n + 1)) for of, meets, beside, shape in sides
                  if never(of, meets, beside, shape) and holds(a, b) and (of, beside, shape) in made()}
    for n, (near, far, shape) in enumerate(pieces, 1):
        if (near, far, shape) not in made():
            found.add(("part", str(n)))
        if ("45" in shape or "90" in shape) and cannot_be_pointed(lefts, rights, n, asked.fixed):
            found.add(("elbow", str(n)))
    if [shape for _, _, shape in pieces].count("bushing") > 1:
        found.add(("bushings", ""))
    return found | _against_limits(start, finish, pieces, asked, lefts, rights)


def _against_limits(start: End, finish: End, pieces: Sequence[Piece], asked: Limits, lefts: Sequence[End],
                    rights: Sequence[End]) -> set[tuple[str, str]]:
    found = set()
    if asked.psi is not None:
        rated = [(start, psi(start, None)), (finish, psi(finish, None))]
        rated += [pair for near, far, _ in pieces for pair in ((near, psi(near, far)), (far, psi(far, near)))]
        rated += [(stud, psi(stud, None)) for a, b in zip(lefts, rights, strict=True)
                  if {(a.family, a.form), (b.family, b.form)} == {("bspp", "port"), ("bsp60", "male")} for stud in [End("bspp", a.size, "stud")]]
        for each, value in rated:
            if value is None:
                found.add(("unrated", each.id))
            elif value < asked.psi:
                found.add(("weak", each.id))
    # Between two parts the family is a choice; on the given end it is not.
    for n in range(1, len(pieces)):
        found |= {("avoided", str(n)) for each in [pieces[n - 1][1]] if each.family in asked.avoid}
        found |= {("avoided", str(n + 1)) for each in [pieces[n][0]] if each.family in asked.avoid}
    if asked.max_parts is not None and len(pieces) > asked.max_parts:
        found.add(("many", ""))
    shapes = [shape for _, _, shape in pieces]
    if asked.shape_from and shapes[:1] != [asked.shape_from]:
        found.add(("shape", "start"))
    if asked.shape_to and shapes[-1:] != [asked.shape_to]:
        found.add(("shape", "end"))
    if asked.fixed and not any(turns(each) for each in (*lefts, *rights)):
        found.add(("nothing turns", ""))
    if asked.full_bore:
        asked_for = [size for each in (start, finish) if (size := sixteenths(each.family, each.size)) is not None]
        for n, (near, far, _) in enumerate(pieces, 1):
            narrow = [size for each in (near, far) if (size := sixteenths(each.family, each.size)) is not None]
            if asked_for and narrow and min(narrow) < min(asked_for):
                found.add(("narrow", str(n)))
    return found
