"""The bill of a saved plan, counted again from its lines: parts and hoses, rings with a spare of each, plugs, sealant, oil."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping

from fittings.check import Flaw
from fittings.circuit.cylinder import cylinder, volume_gal
from fittings.circuit.hose import hose, oil_gal
from fittings.ends import family
from fittings.job.check_job import job_of, must_hold
from fittings.job.flange import BOLTS, bolts_said, halves_said
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
from fittings.job.rubber import ring_spec
from fittings.job.saved_plan import Saved, done_lines, end_written, number, tables_in
from fittings.job.shop_words import SORTS, ring_words
from fittings.job.written import hose_said
from fittings.mating import Seal, mate, partners
from fittings.parts import Part, find, parts_with
from fittings.ratings import rating
from fittings.units import L_PER_GAL, MM_PER_IN, Units


def bill_flaws(saved: Saved) -> Iterator[Flaw]:
    """Every part, hose, clamp and ring, and every plug for a port or a hose must be on the bill as often as the lines ask for it;
    sealant where a joint takes it; the oil that fills hoses and cylinders."""
    lines = done_lines(saved)
    seals = [seal for line in lines for joint in tables_in(line.get("joints")) if (seal := _seal(joint)) is not None]
    yield from _compared(_parts(lines, saved.get("units") or "both"), _billed(saved, "hose", "adapter", "tee"))
    yield from _compared(_clamps(lines), _billed(saved, "clamp"))
    yield from _compared(_rings(seals, saved.get("units") or "both"), _billed(saved, "ring"))
    yield from _compared(_plugs(lines), _plugs_billed(saved, lines))
    sealant = int(any(seal.sealant for seal in seals))
    yield from _compared({"thread sealant": sealant}, {"thread sealant": sum(_billed(saved, "sealant").values())})
    yield from _oil_flaws(saved, lines)
    yield from _strange(saved)
    job = job_of(saved)
    if job is not None:
        yield from _compared(Counter(say for say, _ in _breathers(job)), _billed(saved, "breather"))
        yield from _shutting_flaws(saved, job)
        yield from _words_flaws(saved, job, seals)


def _strange(saved: Saved) -> Iterator[Flaw]:
    for item in tables_in(saved.get("bill")):
        if item.get("sort") not in SORTS:
            yield Flaw("bill-long", "bill", f"{item.get('say')} is nothing that a plan buys")


def _breathers(job: Job) -> list[tuple[str, str]]:
    return [breather_words(component, port) for component, port in vented(job)]


def _shutting_flaws(saved: Saved, job: Job) -> Iterator[Flaw]:
    """Each port that a plug may shut takes one that goes into it and holds what it can see; no other port takes one."""
    billed = [item for item in tables_in(saved.get("bill")) if item.get("sort") == "plug" and not item.get("for")]
    for each in may_be_plugged(job, must_hold(saved, job)):
        note, holding = plug_note(job, each), _holding(job, each)
        there = [item for item in billed if item.get("note") == note]
        billed = [item for item in billed if item.get("note") != note]
        count, right = sum(number(item.get("qty")) or 0 for item in there), int(bool(holding))
        if count != right:
            yield Flaw("bill-short" if count < right else "bill-long", "bill",
                       f"{each.reference} takes {right} plug that holds {each.psi:g} psi, the bill has {count:g}")
        for item in there:
            if item.get("say") not in [part.say for part in holding]:
                yield Flaw("words-differ", "bill", f"{item.get('say')} is no plug that shuts {each.port.say} and holds {each.psi:g} psi")
    for item in billed:
        yield Flaw("bill-long", "bill", f"{item.get('say')} {item.get('note')}: the job has no such port that a plug may shut")


def _holding(job: Job, of: IdlePort) -> list[Part]:
    """Plugs and caps for a port that hold what it can see, in its body."""
    made = [part for each in partners(of.port) if each.planned for part in parts_with(each.end) if len(part.ends) == 1]
    return [part for part in made if (rated := left_of(job, of.reference, rating(part.ends[0]))) is not None and rated.exact_psi >= of.psi]


def _words_flaws(saved: Saved, job: Job, seals: list[Seal]) -> Iterator[Flaw]:
    """What a mistake can be made by: the rubber of rings, the oil, the sealant, and what a blank or breather is for."""
    specs = {ring_words(seal.ring, job.units): ring_spec(job, seal.ring) for seal in seals if seal.ring}
    notes = {*_breathers(job)}
    for item in tables_in(saved.get("bill")):
        sort, say, note, spec = (item.get(name) for name in ("sort", "say", "note", "spec"))
        right = {
            "ring": spec == specs.get(str(say), spec),
            "breather": (say, note) in notes,
            "plug": not item.get("for") or note in (DUST_NOTE, SHELF_DUST_NOTE, HOSE_DUST_NOTE),
            "sealant": (say, note) == (SEALANT, SEALANT_NOTE),
            "oil": say == oil_words(job),
        }
        if not right.get(str(sort), True):
            yield Flaw("words-differ", "bill", f"{say}, {spec or note}: these are not our words for it")


def _compared(needed: Mapping[str, float], there: Mapping[str, float]) -> Iterator[Flaw]:
    for say in dict.fromkeys((*needed, *there)):
        count, written = needed.get(say, 0), there.get(say, 0)
        if written != count:
            code = "bill-short" if written < count else "bill-long"
            yield Flaw(code, "bill", f"the lines take {count:g} of {say}, the bill has {written:g}")


def _billed(saved: Saved, *sorts: str) -> dict[str, float]:
    found: dict[str, float] = defaultdict(float)
    for item in tables_in(saved.get("bill")):
        if item.get("sort") in sorts:
            found[str(item.get("say"))] += number(item.get("qty")) or 0
    return found


def _parts(lines: list[Saved], units: Units) -> dict[str, int]:
    parts = (part for line in lines for name in ("from_parts", "to_parts", "tees") for part in tables_in(line.get(name)))
    found = Counter(str(part.get("say")) for part in parts)
    found.update(hose_said(line["hose"], units) for line in lines if isinstance(line.get("hose"), dict))
    return found


def _seal(joint: Saved) -> Seal | None:
    return mate(end_written({"id": joint["a"]}), end_written({"id": joint["b"]})).seal


def _rings(seals: list[Seal], units: Units) -> dict[str, int]:
    """One for each joint that takes it, save where the part is sold with it, and one spare of each kind."""
    found = Counter(seal.ring for seal in seals if seal.ring)
    return {ring_words(ring, units): 1 if ring.kind == "elastomer" else count + 1 for ring, count in found.items()}


def _clamps(lines: list[Saved]) -> dict[str, int]:
    """A pair of clamp halves and four bolts for each flange."""
    ends = [end_written({"id": joint["a"]}) for line in lines for joint in tables_in(line.get("joints"))]
    heads = Counter(each._replace(form="head") for each in ends if family(each.family)["kin"] == "flange")
    return {say: count * many for head, count in heads.items() for say, many in ((halves_said(head), 1), (bolts_said(head), BOLTS))}


def _ports(lines: list[Saved]) -> list[str]:
    sides = [line[side] for line in lines for side in ("from", "to") if isinstance(line.get(side), dict)]
    return [end_written(side["end"]).say for side in sides if side.get("port") != "tee" and side.get("end")]


def _plugs(lines: list[Saved]) -> dict[str, int]:
    """A plug for every port while it is open, and two for every hose."""
    found = Counter(f"cap or plug for {say}" for say in _ports(lines))
    hoses = sum(isinstance(line.get("hose"), dict) for line in lines)
    return found + Counter({HOSE_CAPS: 2 * hoses})


def _plugs_billed(saved: Saved, lines: list[Saved]) -> dict[str, float]:
    """The plugs on the bill by what they close: by their words, and those off a shelf by the port that they fit."""
    found: dict[str, float] = defaultdict(float)
    open_ = Counter(_ports(lines))
    for item in tables_in(saved.get("bill")):
        # a plug for no line shuts a port that the job leaves idle
        if item.get("sort") != "plug" or not item.get("for"):
            continue
        say, count = str(item.get("say")).removesuffix(" (plastic)"), number(item.get("qty")) or 0
        word, _, port = say.partition(" for ")
        if word in ("cap", "plug") and port in open_:
            say = f"cap or plug for {port}"
        elif item.get("from_stock"):
            say = next((f"cap or plug for {each}" for each in open_ if _fits(item, each, lines)), say)
        found[say] += count
    return found


def _fits(item: Saved, port: str, lines: list[Saved]) -> bool:
    ends = [end_written(each) for each in tables_in(item.get("ends"))]
    if len(ends) != 1 or not find(ends):
        return False
    mouths = [end_written(line[side]["end"]) for line in lines for side in ("from", "to") if line[side].get("end")]
    return any(mouth.say == port and mate(ends[0], mouth).good for mouth in mouths)


def _oil_flaws(saved: Saved, lines: list[Saved]) -> Iterator[Flaw]:
    filled = [line["hose"] for line in lines if isinstance(line.get("hose"), dict) and number(line["hose"].get("length_in"))]
    gallons = sum(oil_gal(hose(str(each["type"]), str(each["size"])), float(each["length_in"]) * MM_PER_IN) for each in filled)
    for each in tables_in(saved.get("cylinders")):
        if number(each.get("stroke_in")):
            shape = cylinder(float(each["bore_in"]), float(each["rod_in"]), float(each["stroke_in"]))
            gallons += volume_gal(shape.cap_in2, float(each["stroke_in"]))
    needed = gallons * L_PER_GAL if saved.get("units") == "metric" else gallons
    written = sum(_billed(saved, "oil").values())
    if abs(written - needed) > 0.01 + 0.001 * needed:
        unit = "litres" if saved.get("units") == "metric" else "gallons"
        yield Flaw("oil-differs", "bill", f"hoses and cylinders take {needed:.2f} {unit} of oil, the bill has {written:g}")
