"""The answers as plain dictionaries, with the field names that other programs rely on."""

from collections.abc import Iterable, Sequence
from typing import Any

from fittings.cautions import elbow_on_taper
from fittings.chain import Chain, Joint, Used, winds_an_elbow
from fittings.circuit import Finding
from fittings.ends import End
from fittings.figures import Figure, figures
from fittings.lookalikes import lookalikes
from fittings.mating import Seal, Verdict, also_of, partners
from fittings.parts import Part
from fittings.planner import Answer, Refusal
from fittings.ratings import Derated, Rating, Torque, Turn, ratings, torques, turns
from fittings.reasons import Reason
from fittings.reports.window import STEERING
from fittings.threads import limits, thread
from fittings.tree import Tree, legs, tree_rating

Json = dict[str, Any]

_ESCAPED = {sign: f"\\u{sign:04x}" for sign in STEERING if sign > 0x7E}


def dumps(answer: object, indent: int | None = 2) -> str:
    """An answer as text, readable by people too or (`indent` None) on one line; signs that steer a terminal or turn the writing
    round stand as `\\u…`."""
    import json  # here, since answers in words do without it

    text = json.dumps(answer, ensure_ascii=False, indent=indent)
    return text if text.isascii() else text.translate(_ESCAPED)


def end_json(of: End) -> Json:
    """An end: its `id`, family, size, form and sex, its thread and standard in words, and how it is said."""
    return {
        "id": of.id, "family": of.family, "size": of.size, "form": of.form, "sex": of.sex,
        "thread": thread(of.thread).say if of.thread else None, "standard": of.standard, "say": of.say,
    }


def error_json(kind: str, typed: str, text: str, ask: str | None = None, candidates: Sequence[End] = ()) -> Json:
    """A question that was not answered: the kind of mistake, what was typed, what is wrong, what to answer, and the ends it may mean."""
    return {"error": {"kind": kind, "typed": typed, "text": text, "ask": ask,
                      "candidates": [end_json(each) for each in candidates]}}


def reason_json(of: Reason) -> Json:
    """A reason: its code that never changes, its words, ids of `data/sources.csv`."""
    return {"code": of.code, "text": of.text, "sources": list(of.sources)}


def rating_json(of: Rating | None) -> Json | None:
    """A rating in psi and bar, with source, confidence and what it holds for; None where the tables have none."""
    if of is None:
        return None
    return {"psi": of.psi, "bar": of.bar, "source": ";".join(of.sources), "confidence": of.confidence,
            "context": of.context}


def derated_json(of: Derated | None) -> Json | None:
    """A rating brought down by what a part is made of, in psi, and why; None where nothing brings it down."""
    if of is None:
        return None
    return {"psi": of.psi, "bar": of.bar, "text": of.text, "source": ";".join(of.sources), "confidence": of.confidence}


def seal_json(of: Seal | None) -> Json | None:
    """What seals a joint: the kind, the ring with its key, words and confidence, the sealant; None where nothing seals."""
    if of is None:
        return None
    return {"kind": of.kind, "ring": of.ring.key if of.ring else None, "say": of.says, "sealant": of.sealant,
            "ring_say": of.ring.say if of.ring else None, "ring_confidence": of.ring.confidence if of.ring else None,
            "ring_when": of.ring.note or None if of.ring else None,
            "loose_ring": {"key": of.loose.key, "say": of.loose.say, "when": of.loose.note, "confidence": of.loose.confidence}
            if of.loose else None}


def torque_json(of: Torque) -> Json:
    """A torque band in N·m: the school, the port and series it is for, whether it is the one in use, and source."""
    return {"low_nm": of.low_nm, "high_nm": of.high_nm, "school": of.school, "port": of.port, "default": of.default,
            "source": ";".join(of.sources), "confidence": of.confidence, "note": of.note, "says": of.says, "series": of.series,
            "for": of.kind}


def turn_json(of: Turn) -> Json:
    """How far to turn from where: a band in flats or turns, the torque in N·m never to be passed, and source."""
    return {"low": of.low, "high": of.high, "unit": of.unit, "from": of.start, "ceiling_nm": of.ceiling_nm,
            "school": of.school, "source": ";".join(of.sources), "confidence": of.confidence}


def verdict_json(of: Verdict) -> Json:
    """The verdict on two ends: engages, seals, condition, seal, rating, torques, turns, reasons, and what fits instead."""
    return {
        "a": end_json(of.a), "b": end_json(of.b), "engages": of.engages, "seals": of.seals, "verdict": of.verdict,
        "condition": of.condition, "seal": seal_json(of.seal), "rating": rating_json(of.rating),
        "also_printed": [rating_json(each) for each in also_of(of)],
        "torque": [torque_json(each) for each in of.torque], "turns": [turn_json(each) for each in of.turns],
        "no_torque_for": of.no_torque_for or None, "reasons": [reason_json(each) for each in of.reasons], "instead": of.instead,
    }


def part_json(used: Used) -> Json:
    """A part as it stands in a chain: `ends` with the one towards the start first."""
    return {"say": used.part.say, "shape": used.part.shape, "had": used.part.had,
            "ends": [end_json(used.near), end_json(used.far)]}


def joint_json(of: Joint) -> Json:
    """A joint of a chain: the ids of its ends, the verdict, its condition and seal, the rating in psi."""
    return {"a": of.a.id, "b": of.b.id, "verdict": of.verdict, "condition": of.condition, "seal": seal_json(of.seal),
            "rating_psi": of.rating.psi if of.rating else None}


def chain_json(of: Chain) -> Json:
    """A chain: parts and joints from start to finish, the rating of the weakest joint or part, what it gives up."""
    return {
        "parts": [part_json(used) for used in of.parts],
        "joints": [{**joint_json(each), "caution": elbow_on_taper() if winds_an_elbow(of, index) else None}
                   for index, each in enumerate(of.joints)],
        "rating_psi": of.rating.psi if of.rating else None, "rating": rating_json(of.rating), "weakest": of.weakest,
        "gives_up": of.gives_up, "needs_a_turn": of.needs_a_turn,
    }


def refusal_json(of: Refusal | None) -> Json | None:
    """Why something cannot be done: the facts, and which of them stand against each other."""
    if of is None:
        return None
    return {
        "kind": of.kind,
        "facts": [{"n": fact.n, "code": fact.code, "text": fact.text, "sources": list(fact.sources)} for fact in of.facts],
        "because": [list(some) for some in of.because],
        "hints": [hint._asdict() for hint in of.hints],
    }


def findings_json(of: Iterable[Finding]) -> list[Json]:
    """Findings in the order given: code, level, words, ids of `data/sources.csv`."""
    return [{"code": each.code, "level": each.level, "text": each.text, "sources": list(each.sources)} for each in of]


def answer_json(of: Answer) -> Json:
    """The chains between two ends, best first, or why there is none."""
    return {"from": end_json(of.start), "to": end_json(of.finish), "chains": [chain_json(each) for each in of.chains],
            "refused": refusal_json(of.refused)}


def parts_json(parts: Sequence[Part]) -> Json:
    """Parts as they are made: ends, shape, how easily they are had, source and confidence."""
    return {"parts": [
        {"say": part.say, "shape": part.shape, "had": part.had, "ends": [end_json(each) for each in part.ends],
         "source": part.source, "confidence": part.confidence, "note": part.note}
        for part in parts
    ]}


def tree_json(ends: Sequence[End], tree: Tree | None, refused: Refusal | None) -> Json:
    """Three or four ends joined: the tees and crosses, and the chains to and between them."""
    rated = tree_rating(tree) if tree else None
    return {
        "ends": [end_json(each) for each in ends],
        "bodies": parts_json(tree.bodies)["parts"] if tree else [],
        "chains": [{"from": end_json(leg.chain.start), "to": end_json(leg.chain.finish), "from_body": leg.hangs_on,
                    "to_body": leg.leads_to, **chain_json(leg.chain)} for leg in (legs(tree) if tree else ())],
        "rating_psi": rated.psi if rated else None, "rating": rating_json(rated), "refused": refusal_json(refused),
    }


def figure_json(of: Figure) -> Json:
    """A figure with its unit, source and confidence; `also` holds what other sources say."""
    return {"name": of.name, "value": _number(of.value), "unit": of.unit, "source": ";".join(of.sources),
            "confidence": of.confidence, "note": of.note,
            "also": [{"value": _number(each.value), "source": ";".join(each.sources), "confidence": each.confidence}
                     for each in of.also]}


def _number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def show_json(of: End) -> Json:
    """Everything known of an end."""
    return {
        "end": end_json(of), "limits": _limits_json(of) if of.thread else None,
        "figures": [figure_json(each) for each in figures(of)],
        "ratings": [{"series": series or None, "in_use": used, **(rating_json(each) or {})} for series, used, each in ratings(of)],
        "torque": [torque_json(each) for each in torques(of)], "turns": [turn_json(each) for each in turns(of)],
        "mates": [end_json(each.end) for each in partners(of)],
        "looks_like": [{"end": end_json(each.end), "tell_apart": each.tell_apart} for each in lookalikes(of)],
    }


def _limits_json(of: End) -> Json:
    spec = thread(of.thread)
    external, internal = limits(spec, "external"), limits(spec, "internal")
    return {
        "external": {name: getattr(external, name) for name in ("major_max", "major_min", "pitch_max", "pitch_min")},
        "internal": {name: getattr(internal, name) for name in ("minor_max", "minor_min", "pitch_max", "pitch_min")},
        "unit": external.unit, "tpi": spec.tpi, "pitch_mm": spec.pitch_mm, "flank_deg": spec.flank_deg,
        "taper": spec.taper, "source": external.source, "confidence": external.confidence,
    }
