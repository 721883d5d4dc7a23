"""What to buy: every part once for all lines, hose assemblies, flange clamps and bolts, rings with a spare of each, breathers, caps and
plugs, sealant, oil."""

from collections.abc import Iterable, Iterator
from math import inf
from typing import TYPE_CHECKING

from fittings.circuit.cylinder import volume_gal
from fittings.circuit.hose import oil_gal
from fittings.ends import End, family
from fittings.job import shop_words as words
from fittings.job.cylinder_ends import shape_of
from fittings.job.flange import BOLTS, bolted, bolts_said, halves_said
from fittings.job.model import Job
from fittings.job.open_ports import (
    DUST_NOTE,
    HOSE_CAPS,
    HOSE_DUST_NOTE,
    SEALANT,
    SEALANT_NOTE,
    SHELF_DUST_NOTE,
    IdlePort,
    breather_words,
    may_be_plugged,
    oil_words,
    plug_note,
    vented,
)
from fittings.job.port_metal import left_of
from fittings.job.result import BillItem, HoseAssembly, PlannedLine, end_of
from fittings.job.rubber import ring_spec
from fittings.parts import GRADES, Part, parts_with
from fittings.ratings import Ring, rating, ring
from fittings.units import L_PER_GAL, MM_PER_IN, Units, format_volume

if TYPE_CHECKING:
    from fittings.stock import Bins


def bill_of(job: Job, lines: tuple[PlannedLine, ...], bins: "Bins | None" = None) -> tuple[BillItem, ...]:
    """The bill of materials, merged over all lines: hoses, adapters, flange clamps, rings and spares, breathers, plugs and caps,
    sealant, oil.

    What lies in the `bins` of a shelf is taken out of them and stands under its place.
    """
    every = [each for line in lines if line.can_be_done for each in line.everything]
    items = [*_hoses(job, every, bins), *_adapters(every, bins), *_tees(every, bins), *_clamps(every), *_rings(job, every, bins),
             *_breathers(job), *_plugs(job, lines, bins), *_blanks(every, bins), *_sealant(every), *_oil(job, every)]
    return tuple(_merged(items))


def _merged(items: Iterable[BillItem]) -> list[BillItem]:
    found: dict[tuple[str, str, bool, str, str], BillItem] = {}
    for item in items:
        key = item.sort, item.say, item.from_stock, item.place, item.note
        known = found.get(key)
        found[key] = item if known is None else known._replace(
            qty=known.qty + item.qty, for_=tuple(dict.fromkeys((*known.for_, *item.for_))))
    return sorted(found.values(), key=lambda item: words.SORTS.index(item.sort))


# --- hoses --------------------------------------------------------------------------------------------------------------

def _hoses(job: Job, lines: list[PlannedLine], bins: "Bins | None") -> Iterator[BillItem]:
    made = [(line, line.hose) for line in lines if line.hose is not None]
    cuts = bins.cut([(of.hose.type, of.hose.size, of.length_in or inf) for _, of in made]) if bins else (None,) * len(made)
    for (line, of), cut in zip(made, cuts, strict=True):
        ends = f"ends of the hose maker's matched series ({of.hose.ends_series}); {words.MEASURED}"
        place = (cut.place or f"row {cut.number} of the shelf") if cut else ""
        brought = f"cut from the hose at {place}, if it is new and within the age its maker allows; " if cut else ""
        yield BillItem(1, assembly_words(of, job.units), of.hose.standard, for_=(line.name,), sort="hose",
                       ends=(end_of(of.ends[0]), end_of(of.ends[1])), note=brought + ends, place=place)


def assembly_words(assembly: HoseAssembly, units: Units) -> str:
    """A hose assembly in the words for the shop: type, size, length, both ends, angle.

    The length is the overall length (`shop_words.MEASURED`).
    """
    near, far = ((end_of(used), used.part.shape) for used in assembly.ends)
    return words.hose_words(
        f"{assembly.hose.type} {assembly.hose.size}", words.length_words(assembly.length_in, assembly.plus_in, assembly.minus_in, units),
        near, far, assembly.angle_deg)


# --- adapters and tees ---------------------------------------------------------------------------------------------------

def standard_of(ends: Iterable[End]) -> str:
    """Designations of the standards of a part's ends, each once."""
    return " × ".join(dict.fromkeys(family(each.family)["standard"] for each in ends if each.family != "hose"))


def _adapters(lines: list[PlannedLine], bins: "Bins | None") -> Iterator[BillItem]:
    for line in lines:
        for used in (*line.from_parts, *line.to_parts):
            yield _part(used.part, line.name, "adapter", bins)


def _tees(lines: list[PlannedLine], bins: "Bins | None") -> Iterator[BillItem]:
    for line in lines:
        for part in line.tees:
            yield _part(part, line.name, "tee", bins)


def _part(part: Part, line: str, sort: str, bins: "Bins | None") -> BillItem:
    own = [held for each in part.ends if (held := ring(each)) is not None and held.comes_with_part]
    had = "; ".join(filter(None, ("" if part.had == "common" else part.had, "stud of form E with its elastomer ring" if own else "")))
    bought = BillItem(1, part.say, standard_of(part.ends), for_=(line,), sort=sort, ends=part.ends, note=had)
    if bins is None:
        return bought
    taken = bins.take(part)
    if taken is None:
        return bought._replace(price=bins.prices.get(part))
    return bought._replace(from_stock=True, note="", place=taken.place or f"row {taken.row} of the shelf")


# --- flanges -------------------------------------------------------------------------------------------------------------

def _clamps(lines: list[PlannedLine]) -> Iterator[BillItem]:
    """A pair of halves and four bolts for each flange; the thread of the pad is for somebody to measure."""
    for line in lines:
        for each in line.joints:
            if bolted(each.joint):
                head = each.joint.a._replace(form="head")
                yield BillItem(1, halves_said(head), standard_of([head]), for_=(line.name,), sort="clamp",
                               note="the machine may have its own")
                yield BillItem(BOLTS, bolts_said(head), for_=(line.name,), sort="clamp",
                               note="four to a flange; which thread the pad has is not known: measure it first, a bolt of the other runs "
                                    "in and strips; length and strength as the maker of the halves asks")


# --- rings ---------------------------------------------------------------------------------------------------------------

def _rings(job: Job, lines: list[PlannedLine], bins: "Bins | None") -> Iterator[BillItem]:
    """One ring for each joint whose part does not bring its own, and one spare of each kind."""
    rings: dict[str, tuple[Ring, int, list[str]]] = {}
    for line in lines:
        for each in line.joints:
            held = each.joint.seal.ring if each.joint.seal else None
            if held is not None:
                known = rings.get(held.key, (held, 0, []))
                rings[held.key] = held, known[1] + 1, [*known[2], line.name]
    for held, count, names in rings.values():
        memory = "; size from memory: check it against the part" if held.confidence == "C" else ""
        wanted = rings_wanted(held, count)
        comes = "a spare; a stud of form E comes with its own: order it so" if held.comes_with_part else (
            "one for each joint and one spare; many parts come with theirs")
        when = f"; {held.note}" if held.kind == "bonded" else ""
        item = BillItem(wanted, words.ring_words(held, job.units), ring_spec(job, held), for_=tuple(dict.fromkeys(names)), sort="ring",
                        note=f"{comes}{when}{memory}")
        taken = bins.rings(held.key, wanted) if bins else []
        for number, place in taken:
            yield item._replace(qty=number, from_stock=True, place=place, note=f"only if it is new and of the right rubber{memory}")
        missing = wanted - sum(number for number, _ in taken)
        if missing:
            yield item._replace(qty=missing)


def rings_wanted(ring: Ring, joints: int) -> int:
    """How many of a ring to buy for so many joints: one spare, and one for each joint where the part does not bring it."""
    return 1 if ring.comes_with_part else joints + 1


# --- breathers, plugs and caps -------------------------------------------------------------------------------------------

def _breathers(job: Job) -> Iterator[BillItem]:
    """One for each port that the job leaves open to the air."""
    for component, port in vented(job):
        say, note = breather_words(component, port)
        yield BillItem(1, say, sort="breather", note=note)


def _plugs(job: Job, lines: tuple[PlannedLine, ...], bins: "Bins | None") -> Iterator[BillItem]:
    """For each port that a plug may shut one that holds what it can see, where one is made and rated."""
    for each in may_be_plugged(job, {line.name: line.demand.max_psi for line in lines}):
        plug = _plug_that_holds(job, each)
        if plug is not None:
            yield _part(plug, "", "plug", bins)._replace(for_=(), note=plug_note(job, each))


def _plug_that_holds(job: Job, of: IdlePort) -> Part | None:
    made = [part for each in _mates(of.port) for part in parts_with(each) if len(part.ends) == 1]
    holding = [part for part in made if (rated := left_of(job, of.reference, rating(part.ends[0]))) is not None
               and rated.exact_psi >= of.psi]
    return min(holding, key=lambda part: GRADES.index(part.had), default=None)


def _blanks(lines: list[PlannedLine], bins: "Bins | None") -> Iterator[BillItem]:
    """A blank for every port while it is open, and two for every hose."""
    for line in lines:
        for reference, port in ((line.from_ref, line.start), (line.to_ref, line.finish)):
            if reference != "tee" and port is not None:
                yield _blank(port, line.name, bins)
    ends = sum(2 for line in lines if line.hose is not None)
    if ends:
        yield BillItem(ends, HOSE_CAPS, for_=tuple(line.name for line in lines if line.hose is not None),
                       sort="plug", note=HOSE_DUST_NOTE)


def _blank(port: End, line: str, bins: "Bins | None") -> BillItem:
    made = [part for each in _mates(port) for part in parts_with(each) if len(part.ends) == 1]
    for part in made if bins else ():
        item = _part(part, line, "plug", bins)
        if item.from_stock:
            return item._replace(note=SHELF_DUST_NOTE)
    word = "cap" if port.sex == "male" else "plug"
    return BillItem(1, f"{word} for {port.say}" + ("" if made else " (plastic)"), for_=(line,), sort="plug",
                    note=DUST_NOTE)


def _mates(port: End) -> tuple[End, ...]:
    from fittings.mating import partners

    return tuple(each.end for each in partners(port) if each.planned)


# --- sealant and oil ------------------------------------------------------------------------------------------------------

def _sealant(lines: list[PlannedLine]) -> Iterator[BillItem]:
    names = [line.name for line in lines if any(each.joint.seal and each.joint.seal.sealant for each in line.joints)]
    if names:
        yield BillItem(1, SEALANT, for_=tuple(names), sort="sealant", note=SEALANT_NOTE)


def oil_needed_gal(job: Job, lines: Iterable[PlannedLine]) -> tuple[float, float]:
    """Oil that fills the new hoses, and the cylinders at their fullest, US gallons; what is not known is not counted."""
    hoses = sum(oil_gal(line.hose.hose, line.hose.length_in * MM_PER_IN) for line in lines
                if line.hose is not None and line.hose.length_in is not None)
    cylinders = 0.0
    for component in job.component:
        shape = shape_of(component)
        if shape is not None and shape.stroke_in is not None:
            cylinders += volume_gal(shape.cap_in2, shape.stroke_in)
    return hoses, cylinders


def _oil(job: Job, lines: list[PlannedLine]) -> Iterator[BillItem]:
    hoses, cylinders = oil_needed_gal(job, lines)
    total = hoses + cylinders
    if total:
        units = job.units
        qty = total * L_PER_GAL if units == "metric" else total
        filled = tuple(line.name for line in lines if line.hose is not None) or tuple(each.name for each in job.component if each.cylinder)
        takes = ((hoses, "in the new hoses"), (cylinders, "in the cylinders when they are out"))
        yield BillItem(round(qty, 2), oil_words(job), "ISO 11158", for_=filled, sort="oil",
                       note=", ".join(f"{format_volume(gal, units)} {where}" for gal, where in takes if gal))
