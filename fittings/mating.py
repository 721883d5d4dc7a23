"""The verdict on two ends: do the threads go together, and does it seal and hold?

The two questions are answered apart, because what screws in does not always seal. Which halves seal on each other is
data (`data/mates.csv`); every other pair is judged by the arithmetic of its threads, and that can only make it `unsafe`
or `no`, never good.
"""

from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from fittings.ends import End, all_ends, family, sizes
from fittings.ratings import (
    Derated,
    Rating,
    Ring,
    Torque,
    Turn,
    also_printed,
    derated,
    has_torque,
    loose_ring,
    rated_by_hose,
    rating,
    ring,
    torques,
    turns,
    usual_series,
)
from fittings.reasons import Reason, reason, split_sources
from fittings.saying import either
from fittings.tables import Row, table

if TYPE_CHECKING:
    from fittings.threads import Meeting


class Seal(NamedTuple):
    """What seals a joint: `kind` (key of `data/seal-kinds.csv`), its words, the ring if there is one, sealant yes or no,
    whether two cones meet, whether it is drawn tight, whether it takes a ring that our tables do not hold; `loose` the ring that
    is laid under a part made without one of its own, and says when."""

    kind: str
    says: str
    ring: Ring | None
    sealant: bool
    why_no_sealant: str
    on_cones: bool
    drawn_tight: bool
    ring_unknown: bool
    loose: Ring | None = None


class Tightening(NamedTuple):
    """What it takes to tighten a joint: torque bands, the one in use first; how far to turn; and what our tables hold no
    torque for ('' when the first band is for this joint)."""

    torque: tuple[Torque, ...]
    turns: tuple[Turn, ...]
    no_torque_for: str


class Verdict(NamedTuple):
    """The answer to "may these two be screwed together?".

    `engages` fully | partly | no: from the threads alone. `seals` yes | if | no. `verdict` joint | conditional | unsafe
    (goes together and will not hold) | no. `reasons` holds all of them at once; `instead` what to do when the answer is no.
    `condition` holds the words of the condition, `condition_key` its key in `data/conditions.csv` ('' for none).
    `no_torque_for` says what our tables hold no torque for, as in `Tightening`.
    """

    a: End
    b: End
    engages: str
    seals: str
    verdict: str
    condition: str | None
    seal: Seal | None
    rating: Rating | None
    torque: tuple[Torque, ...]
    turns: tuple[Turn, ...]
    reasons: tuple[Reason, ...]
    instead: str | None
    no_torque_for: str = ""
    condition_key: str = ""

    @property
    def good(self) -> bool:
        """Whether the two make a joint, with or without a condition."""
        return self.verdict in ("joint", "conditional")

    @property
    def unproved(self) -> bool:
        """Whether it is a joint of which our tables do not know what it holds; a crimped one goes by its hose."""
        return self.seal is not None and self.rating is None and not rated_by_hose(self.a)


_HEADLINES = {
    "joint": "JOINT: goes together, seals and holds.",
    "conditional": "CONDITIONAL: a joint only if {condition}.",
    "unsafe": "UNSAFE: it goes together and will not hold.",
    "no": "NO: these do not go together.",
}
_UNPROVED = "JOINT: goes together and seals; what it holds is not in our tables."


def headline(of: Verdict) -> str:
    """The verdict in one line, wherever it stands.

    >>> from fittings.ends import end
    >>> headline(mate(end("jis30", "1/2", "male"), end("jis30", "1/2", "swivel")))
    'JOINT: goes together and seals; what it holds is not in our tables.'
    """
    return _UNPROVED if of.verdict == "joint" and of.unproved else _HEADLINES[of.verdict].format(condition=of.condition)


class Partner(NamedTuple):
    """An end that seals on another: the end, the condition (key or ''), and whether a plan may count on it."""

    end: End
    condition: str
    planned: bool


@cache
def _mates() -> dict[tuple[str, str, str, str], Row]:
    rows = {}
    for row in table("mates"):
        key = row["family_a"], row["form_a"], row["family_b"], row["form_b"]
        rows[key] = rows[key[2:] + key[:2]] = row
    return rows


@cache
def _partner_forms() -> dict[tuple[str, str], tuple[tuple[str, str, Row], ...]]:
    found: dict[tuple[str, str], list[tuple[str, str, Row]]] = {}
    for (family_a, form_a, family_b, form_b), row in _mates().items():
        found.setdefault((family_a, form_a), []).append((family_b, form_b, row))
    return {key: tuple(rows) for key, rows in found.items()}


@cache
def _clashes() -> dict[tuple[str, str, str, str], Row]:
    rows = {}
    for row in table("clashes"):
        key = row["family_a"], row["form_a"], row["family_b"], row["form_b"]
        rows[key] = rows[key[2:] + key[:2]] = row
    return rows


@cache
def _conditions() -> dict[str, Row]:
    return {row["condition"]: row for row in table("conditions")}


@cache
def _seal_kinds() -> dict[str, Row]:
    return {row["seal"]: row for row in table("seal-kinds")}


def condition_says(key: str) -> str:
    """The words of a condition: what must be true for the joint to hold. Raises KeyError."""
    return _conditions()[key]["says"]


def condition_do(key: str) -> str:
    """What the fitter does about a condition; '' for none. Raises KeyError."""
    return _conditions()[key]["do"] if key else ""


@cache
def partners(of: End) -> tuple[Partner, ...]:
    """Ends that make a joint with `of`, with or without a condition: same size, the other half.

    >>> [each.end.id for each in partners(End("orb", "-6", "port"))]
    ['orb-6-stud', 'orb-6-stud-adj']
    """
    found = []
    for family_b, form_b, row in _partner_forms().get((of.family, of.form), ()):
        if of.size in sizes(family_b):
            other = End(family_b, of.size, form_b)
            if other in _every():
                found.append(Partner(other, row["condition"], row["planned"] == "yes"))
    return tuple(found)


@cache
def _every() -> frozenset[End]:
    return frozenset(all_ends())


def mate(a: End, b: End) -> Verdict:
    """The verdict on two ends, symmetric in them. Pressures in psi and bar, torque in N·m.

    >>> from fittings.ends import end
    >>> mate(end("jic", "-6", "male"), end("orb", "-6", "port")).verdict
    'unsafe'
    """
    if (a.side, a) <= (b.side, b):
        return _judge(a, b)
    return _judge(b, a)._replace(a=a, b=b)


@cache
def _judge(a: End, b: End) -> Verdict:
    row = _mates().get((a.family, a.form, b.family, b.form))
    if row is not None and a.size == b.size:
        return _joint(a, b, row)
    engages, reasons = _threads_alone(a, b)
    clash = _clashes().get((a.family, a.form, b.family, b.form))
    if clash is not None and a.size == b.size:
        reasons = [*reasons, reason(clash["code"], split_sources(clash["source"]), text=clash["says"])]
        return _refusal(a, b, engages, clash["verdict"], reasons)
    if engages == "no":
        return _refusal(a, b, "no", "no", reasons)
    reasons += [_why_no_seal(a, b, row), reason("screws-in-only"), reason("suspicion")]
    return _refusal(a, b, engages, "unsafe", reasons)


def _why_no_seal(a: End, b: End, row: Row | None) -> Reason:
    if row is not None:
        return reason("seat-size", a=f"{family(a.family)['nick']} {a.size}", b=f"{family(b.family)['nick']} {b.size}")
    if family(a.family)["seal"] == family(b.family)["seal"] == "thread-and-sealant":
        return reason("tapers-differ", a=a.thread, b=b.thread)
    return reason("seat-clash", sa=a.seat, sb=b.seat)


def meeting(a: End, b: End) -> "Meeting | None":
    """The arithmetic of two threads offered to each other, or None where no external meets an internal one."""
    if {a.side, b.side} != {"external", "internal"}:
        return None
    from fittings.threads import meet, thread  # here, since most joints are of one thread and ask for no arithmetic

    external, internal = (a, b) if a.side == "external" else (b, a)
    return meet(thread(external.thread), thread(internal.thread))


def _threads_alone(a: End, b: End) -> tuple[str, list[Reason]]:
    if a.side == b.side == "none":
        if a.family != b.family:
            flanges = family(a.family)["kin"] == family(b.family)["kin"] == "flange"
            return "no", [reason("other-flange" if flanges else "other-profile", a=a.say, b=b.say)]
        if a.form == b.form:
            return "no", [reason("same-half", a=a.say, b=b.say)]
        return "no", [reason("other-size", a=a.say, b=b.say)]
    if "none" in (a.side, b.side):
        bare, threaded = (a, b) if a.side == "none" else (b, a)
        return "no", [reason("no-thread-to-meet", a=bare.say, b=threaded.say)]
    if a.side == b.side:
        return "no", [reason("both-external" if a.side == "external" else "both-internal")]
    if a.thread == b.thread:
        return "fully", [reason("same-thread", a=a.say, b=b.say, thread=a.thread)]
    met = meeting(a, b)
    assert met is not None
    return met.engages, [reason("meeting", text=met.text)]


def _joint(a: End, b: End, row: Row) -> Verdict:
    sources = split_sources(row["source"])
    engages, reasons = ("fully", []) if a.side == "none" else _threads_alone(a, b)
    kind, ring_, loose = _seal_kind(a, b, row)
    reasons.append(reason("seal", sources, says=kind["says"]))
    condition = row["condition"]
    if condition:
        reasons.append(reason("condition", sources, says=condition_says(condition)))
    rated, stands_for = joint_rating(a, b), rated_as(a, b)
    if stands_for is not None:
        reasons.append(reason("rated-as", end=stands_for.say))
    if rated_by_hose(a):
        reasons.append(reason("rated-by-hose"))
    elif rated is None:
        reasons += [reason("rating-unknown", end=each.say) for each in (a, b, stands_for) if each is not None and rating(each) is None]
    if rated is not None:
        reasons += [reason("tube-wall", end=each.say, limited=each.limited_by) for each in (a, b) if each.limited_by]
    seal = Seal(kind["seal"], kind["says"], ring_, kind["sealant"] == "yes", kind["why_no_sealant"], kind["on_cones"] == "yes",
                kind["drawn_tight"] == "yes", kind["ring"] == "yes" and ring_ is None, loose)
    tight = tightening(a, b)
    return Verdict(
        a, b, engages, seals="if" if condition else "yes", verdict="conditional" if condition else "joint",
        condition=condition_says(condition) if condition else None, seal=seal, rating=rated, torque=tight.torque, turns=tight.turns,
        reasons=tuple(reasons), instead=None, no_torque_for=tight.no_torque_for, condition_key=condition)


def _seal_kind(a: End, b: End, row: Row) -> tuple[Row, Ring | None, Ring | None]:
    """How the halves of a row seal in this size, with the ring and the loose one in its place: the smallest cones are made without a
    groove for one, and what only stands for a stud has no ring of its own."""
    kind = _seal_kinds()[row["seal"]]
    stands_for = rated_as(a, b)
    if stands_for is not None:
        return kind, loose_ring(stands_for), None
    takes = _tightened(a, b, row) if kind["ring"] == "yes" else ()
    rings = [found for each in takes if (found := ring(each))]
    loose = [found for each in takes if (found := loose_ring(each)) and found not in rings]
    if kind["without_ring"] and not rings:
        kind = _seal_kinds()[kind["without_ring"]]
    return kind, rings[0] if rings else None, loose[0] if loose else None


def _tightened(a: End, b: End, row: Row) -> tuple[End, ...]:
    """The ends whose torque and turns hold for this joint: a pipe male that seals on a swivel's seat is not wound in."""
    if not row["tightened"]:
        return a, b
    return tuple(each for each in (a, b)
                 if (each.family, each.form) == (row[f"family_{row['tightened']}"], row[f"form_{row['tightened']}"]))


@cache
def tightening(a: End, b: End, series: str = "", metal: str = "steel") -> Tightening:
    """What it takes to tighten two ends that make a joint: the stud by the series of its part (`L`, `S`, '' not known), in or of
    that metal. The ring that the joint names decides which band stands first, then the series. Raises KeyError for ends that
    make none.

    >>> from fittings.ends import end
    >>> tightening(end("orb", "-8", "port"), end("orb", "-8", "stud"), "S").torque[0].school
    'heavy'
    """
    row = _mates()[a.family, a.form, b.family, b.form]
    used = _tightened(a, b, row)
    _, ring_, loose = _seal_kind(a, b, row)
    named, laid = ring_.kind if ring_ else "", loose.kind if loose else ""
    bands = sorted((band for each in used for band in torques(each, series, metal) if band.default or not band.plug),
                   key=lambda band: (band.kind != named, band.kind != laid))
    turned = tuple(turn for each in used for turn in turns(each, series, metal))
    lacks = ""
    if not bands:
        stud = next((each for each in used if has_torque(each, metal)), None)
        lacks = "" if metal == "steel" else metal if stud is None else f"{_stud_words(series or usual_series(stud))} in {metal}"
    elif named in ("bonded", "elastomer") and named != bands[0].kind:
        lacks = "a bonded seal" if named == "bonded" else "an elastomer ring"
    elif series and bands[0].series not in ("", series):
        lacks = _stud_words(series)
    return Tightening(tuple(bands), turned, lacks)


def tightening_of_part(a: End, b: End, series: str = "", metal: str = "steel") -> Tightening:
    """The same for a part that is chosen: only bands for the ring that seals it, or the loose one in its place, and for one series; where
    the part does not say which, the usual one, by which it is rated too.

    >>> from fittings.ends import end
    >>> [band.school for band in tightening_of_part(end("bspp", "1/2", "port"), end("bspp", "1/2", "stud")).torque]
    ['form E', 'bonded']
    """
    row = _mates()[a.family, a.form, b.family, b.form]
    usual = next((known for each in _tightened(a, b, row) if (known := usual_series(each))), "")
    tight = tightening(a, b, series or usual, metal)
    _, ring_, loose = _seal_kind(a, b, row)
    rings = {each.kind for each in (ring_, loose) if each is not None}
    if not rings & {"bonded", "elastomer"}:
        return tight
    return tight._replace(torque=tuple(band for band in tight.torque if band.kind in rings))


def _stud_words(series: str) -> str:
    return f"a {'heavy' if series == 'S' else 'light'} stud"


def joint_condition(a: End, b: End) -> str:
    """Key of the condition (`data/conditions.csv`) on which two ends make a joint; '' for none, and for ends that make no joint."""
    row = _mates().get((a.family, a.form, b.family, b.form))
    return "" if row is None or a.size != b.size else row["condition"]


@cache
def rated_as(a: End, b: End) -> End | None:
    """The end that one half of a joint stands for, and that the joint carries no more than: of a coned male under a bonded seal
    the stud of its size, since in a port its cone does nothing. None for any other joint.

    >>> from fittings.ends import end
    >>> rated_as(end("bspp", "1/2", "port"), end("bsp60", "1/2", "male")).id
    'bspp-1/2-stud'
    """
    condition = joint_condition(a, b)
    half = _conditions()[condition]["rated_as"].split() if condition else []
    return End(half[0], a.size, half[1]) if half else None


def joint_rating(a: End, b: End) -> Rating | None:
    """The lowest rating of two ends that make a joint and of what one of them stands for; None when our tables lack any."""
    stands_for = rated_as(a, b)
    rated = [rating(each) for each in (a, b, stands_for) if each is not None]
    known = [each for each in rated if each is not None]
    return min(known, key=lambda each: each.exact_psi) if len(known) == len(rated) else None


def also_of(of: Verdict) -> tuple[Rating, ...]:
    """Higher pressures that others print for a joint of steel; none where it is judged in another material."""
    return also_held(of.a, of.b) if of.rating is not None and of.rating == joint_rating(of.a, of.b) else ()


def also_held(a: End, b: End) -> tuple[Rating, ...]:
    """Higher pressures that others print for the ends that rule a joint; the lower is in use."""
    ruled = joint_rating(a, b)
    weak = [each for each in (a, b) if ruled is not None and (of := rating(each)) is not None and of.psi == ruled.psi]
    return tuple({(of.psi, of.context): of for each in weak for of in also_printed(each)}.values())


class InMaterial(NamedTuple):
    """A verdict on two steel ends as it stands in another material; `steel` is the rating in steel."""

    verdict: Verdict
    steel: Rating | None
    derated: Derated


def in_material(of: Verdict, material: str) -> InMaterial:
    """The verdict with the rating that the material leaves of it, unsafe where it leaves none. A figure that was printed for that very
    material is not brought down again; one for another says nothing of steel.

    Raises KeyError for a material without a rule.
    """
    printed = of.rating if of.rating is not None and of.rating.material == material else None
    steel = of.rating if of.rating is not None and not of.rating.material else None
    pipe = next((each.size for each in (of.a, of.b) if (each.family, each.form) == ("npt", "male")), "")
    left = derated(steel, material, pipe) if printed is None else Derated(
        printed.psi, printed.bar, f"the pressure is printed for {material}", printed.sources, printed.confidence)
    if of.seal is None:
        return InMaterial(of, None, left)
    said = (*of.reasons, reason("material", left.sources, material=material, text=left.text))
    brought = printed or _brought_down(steel, material, left)
    tight = tightening(of.a, of.b, metal=metal_of_torque(material))
    verdict = of._replace(rating=brought, torque=tight.torque, turns=tight.turns, no_torque_for=tight.no_torque_for, reasons=said)
    if left.psi == 0:
        said = tuple(each for each in said if each.code not in ("seal", "condition"))
        verdict = verdict._replace(seals="no", verdict="unsafe", condition=None, condition_key="", seal=None, torque=(), turns=(),
                                   no_torque_for="", reasons=said)
    return InMaterial(verdict, steel, left)


def _brought_down(steel: Rating | None, material: str, left: Derated) -> Rating | None:
    if left.psi is None or left.bar is None:
        return None
    in_steel = f"{steel.psi} psi in steel, {steel.context}" if steel else "not in our tables for steel"
    return Rating(
        left.psi, left.bar, f"in {material}; {in_steel}",
        tuple(dict.fromkeys((*(steel.sources if steel else ()), *left.sources))), max(steel.confidence if steel else "A", left.confidence))


def rated_in(of: Rating | None, material: str) -> Rating | None:
    """What another material leaves of the rating of a joint; a figure printed for that material stays as it is, and one for another says
    nothing. Raises KeyError for a material without a rule."""
    if of is not None and of.material:
        return of if of.material == material else None
    return _brought_down(of, material, derated(of, material))


def metal_of_torque(material: str) -> str:
    """The metal that torque is listed by, whatever piece is made of it."""
    return material.removesuffix("-port")


def _refusal(a: End, b: End, engages: str, verdict: str, reasons: list[Reason]) -> Verdict:
    return Verdict(a, b, engages, seals="no", verdict=verdict, condition=None, seal=None, rating=None, torque=(), turns=(),
                   reasons=tuple(reasons), instead=_instead(a, b))


def _instead(a: End, b: End) -> str:
    takes = [f"{each.say} takes {_list_partners(each)}" for each in dict.fromkeys((a, b)) if partners(each)]
    return "; ".join([*takes, f"for the adapter between them: fittings join {a.id} {b.id}"])


def _list_partners(of: End) -> str:
    return either(each.end.say for each in partners(of) if each.planned)
