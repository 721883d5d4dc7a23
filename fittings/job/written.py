"""What a saved plan writes beside its ids, held against the tables: words, verdicts, seals, hoses.

A fitter reads the words and not the ids, so a word that was changed is as wrong as an end that was.
"""

from collections.abc import Iterator
from typing import Any

from fittings.check import Flaw
from fittings.circuit.hose import hose
from fittings.ends import end_by_id
from fittings.job.saved_plan import Saved, end_written, number
from fittings.job.shop_words import hose_words, length_words, ring_words
from fittings.mating import Verdict, mate
from fittings.parts import find
from fittings.threads import thread
from fittings.units import MM_PER_IN, Units


def written_flaws(saved: Saved) -> list[Flaw]:
    """Everything written in a plan, or in a piece of one, that is not what the tables say of the ids beside it.

    Raises nothing: what cannot be read is a flaw.

    >>> [flaw.code for flaw in written_flaws({"a": "jic-6-male", "b": "orb-6-port", "verdict": "joint"})]
    ['joint-differs']
    """
    return list(dict.fromkeys(_inside(saved, "plan")))


def _inside(value: Any, where: str) -> Iterator[Flaw]:
    if isinstance(value, list):
        for each in value:
            yield from _inside(each, where)
    elif isinstance(value, dict):
        if isinstance(value.get("name"), str):
            where = f"line {value['name']}"
        try:
            yield from _here(value, where)
        except (LookupError, TypeError, ValueError, ArithmeticError, AttributeError) as error:
            yield Flaw("cannot-be-read", where, f"what is written cannot be checked: {error}")
        for each in value.values():
            yield from _inside(each, where)


def _here(value: Saved, where: str) -> Iterator[Flaw]:
    if {"a", "b", "verdict"} <= value.keys():
        yield from _joint(value, where)
    elif {"id", "family"} <= value.keys():
        yield from _end(value, where)
    elif {"ends", "shape", "say"} <= value.keys():
        ends = [end_by_id(each["id"]) for each in value["ends"]]
        made = find(ends, value["shape"])
        if value["say"] not in [part.say for part in made]:
            yield Flaw("words-differ", where, f"{value['say']} is written for {' × '.join(each.say for each in ends)}")
        elif "had" in value and value["had"] not in [part.had for part in made]:
            yield Flaw("words-differ", where, f"{value['say']} is written as {value['had']}, it is {made[0].had}")
    elif {"type", "size", "rating_psi"} <= value.keys():
        yield from _hose(value, where)
    elif {"do", "joint", "sealant", "ring"} <= value.keys() and value["joint"]:
        yield from _step(value, where)


def _end(value: Saved, where: str) -> Iterator[Flaw]:
    of = end_by_id(value["id"])
    right = {name: getattr(of, name) for name in ("family", "size", "form", "sex", "say", "standard")}
    right["thread"] = thread(of.thread).say if of.thread else None
    for name, word in right.items():
        if value[name] != word:
            yield Flaw("words-differ", where, f"{value[name]} is written for {of.id}, which is {word}")


def _joint(value: Saved, where: str) -> Iterator[Flaw]:
    a, b = end_by_id(value["a"]), end_by_id(value["b"])
    verdict = mate(a, b)
    said = f"{a.say} with {b.say}"
    for name in ("verdict", "condition"):
        right = getattr(verdict, name)
        if value.get(name) != right:
            yield Flaw("joint-differs", where, f"{said}: the {name} written is {value.get(name) or 'none'}, it is {right or 'none'}")
    yield from _seal(value, verdict, where, said)


def _seal(value: Saved, verdict: Verdict, where: str, said: str) -> Iterator[Flaw]:
    seal, written = verdict.seal, value.get("seal")
    if seal is None or written is None:
        return
    ring = (seal.ring.key, seal.ring.say) if seal.ring else (None, None)
    loose = written.get("loose_ring") or {}
    right = (seal.loose.key, seal.loose.say, seal.loose.note, seal.loose.confidence) if seal.loose else (None,) * 4
    if tuple(loose.get(name) for name in ("key", "say", "when", "confidence")) != right:
        yield Flaw("seal-differs", where, f"{said}: the ring to be laid under a part without one of its own is "
                   f"{seal.loose.say if seal.loose else 'none'}, written is {loose.get('say') or 'none'}")
    if (written.get("ring_when") or "") != (seal.ring.note if seal.ring else ""):
        yield Flaw("seal-differs", where, f"{said}: when its ring is used is written otherwise than in our tables")
    if (written["kind"], written["say"], written["sealant"]) != (seal.kind, seal.says, seal.sealant):
        yield Flaw("seal-differs", where, f"{said}: it seals by {seal.says}; sealant: {'yes' if seal.sealant else 'no'}")
    if (written["ring"], written["ring_say"]) != ring:
        yield Flaw("seal-differs", where, f"{said}: the ring written is {written['ring'] or 'none'}, it takes {ring[1] or 'none'}")


def _step(value: Saved, where: str) -> Iterator[Flaw]:
    seal = mate(end_by_id(value["joint"]["a"]), end_by_id(value["joint"]["b"])).seal
    if seal is not None and value["sealant"] != seal.sealant:
        yield Flaw("seal-differs", where, f"step {value['n']}: sealant {'belongs' if seal.sealant else 'does not belong'} in this joint")
    if seal is not None and (value["ring"] or "") != (ring_words(seal.ring) if seal.ring else ""):
        yield Flaw("seal-differs", where, f"step {value['n']}: {value['ring']} is not the ring of this joint")


def hose_said(written: Saved, units: Units) -> str:
    """A hose of a saved plan in the words for the shop. Raises LookupError, TypeError, ValueError."""
    length, plus, minus = (number(written.get(name)) for name in ("length_in", "plus_in", "minus_in"))
    near, far = ((end_written(each), str(part["shape"])) for each, part in zip(written["ends"], written["end_parts"], strict=True))
    return hose_words(f"{written['type']} {written['size']}", length_words(length, plus, minus, units), near, far,
                      number(written.get("angle_deg")))


def _hose(value: Saved, where: str) -> Iterator[Flaw]:
    if value["say"] != (said := hose_said(value, "both")):
        yield Flaw("words-differ", where, f"{value['say']} is written for {said}")
    of = hose(str(value["type"]), str(value["size"]))
    known = {"standard": of.standard, "source": ";".join(of.sources), "confidence": of.confidence}
    for name, word in known.items():
        if value.get(name) != word:
            yield Flaw("words-differ", where, f"{value.get(name)} is written for {of.type} {of.size}, which is {word}")
    if float(value["rating_psi"]) > of.pressure_psi + 0.5:
        text = f"{value['rating_psi']:g} psi is claimed for {of.type} {of.size}, which is rated {of.pressure_psi:g} psi"
        yield Flaw("rating-too-high", where, text)
    if abs(float(value["bend_in"]) - of.bend_mm / MM_PER_IN) > 0.002:
        yield Flaw("bend-differs", where, f"{value['bend_in']:g} in is written as its least bend, not {of.bend_mm / MM_PER_IN:.3f} in")
    outer = [each["ends"][place]["id"] for each, place in zip(value["end_parts"], (0, 1), strict=True)]
    if [each["id"] for each in value["ends"]] != outer:
        yield Flaw("words-differ", where, "the ends written are not those of the crimped parts")
    short = [each for each in value.get("positions", ()) if value.get("length_in") is not None
             and float(each["needed_in"]) > float(value["length_in"]) - float(value.get("minus_in") or 0) + 0.01]
    if short:
        text = f"at {short[0]['angle_deg']:g}° it needs {short[0]['needed_in']:g} in, it is {value['length_in']:g} in long"
        yield Flaw("hose-too-short", where, text)
