"""The verdict on two ends: do the threads go together, and does it seal and hold?

The two questions are answered apart, because what screws in does not always seal. Which halves seal on each other is
data (`data/mates.csv`); every other pair is judged by the arithmetic of its threads, and that can only make it `unsafe`
or `no`, never good.
"""

from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from fittings.ends import End, all_ends, family, sizes
from fittings.ratings import (
    BAR_PER_PSI,
    Derated,
    Rating,
    Ring,
    Torque,
    Turn,
    derated,
    rated_by_hose,
    rating,
    ring,
    torques,
    turns,
)
from fittings.reasons import Reason, reason, split_sources
from fittings.saying import either
from fittings.tables import Row, table

if TYPE_CHECKING:
    from fittings.threads import Meeting


class Seal(NamedTuple):
    """What seals a joint: `kind` (key of `data/seal-kinds.csv`), its words, the ring if there is one, sealant yes or no,
    whether two cones meet."""

    kind: str
    says: str
    ring: Ring | None
    sealant: bool
    why_no_sealant: str
    on_cones: bool


class Verdict(NamedTuple):
    """The answer to "may these two be screwed together?".

    `engages` fully | partly | no: from the threads alone. `seals` yes | if | no. `verdict` joint | conditional | unsafe
    (goes together and will not hold) | no | unknown. `reasons` holds all of them at once; `instead` what to do when the
    answer is no.
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


def condition_do_for(says: str | None) -> str:
    """What the fitter does about a condition, found by its words; '' for none."""
    return next((row["do"] for row in _conditions().values() if row["says"] == says), "")


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
            return "no", [reason("other-profile", a=a.say, b=b.say)]
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
    kind, ring_ = _seal_kind(a, b, row)
    reasons.append(reason("seal", sources, says=kind["says"]))
    condition = row["condition"]
    if condition:
        reasons.append(reason("condition", sources, says=condition_says(condition)))
    rated = joint_rating(a, b)
    if rated_by_hose(a):
        reasons.append(reason("rated-by-hose"))
    elif rated is None:
        reasons += [reason("rating-unknown", end=each.say) for each in (a, b) if rating(each) is None]
    seal = Seal(kind["seal"], kind["says"], ring_, kind["sealant"] == "yes", kind["why_no_sealant"], kind["on_cones"] == "yes")
    return Verdict(
        a, b, engages, "if" if condition else "yes", "conditional" if condition else "joint",
        condition_says(condition) if condition else None, seal, rated,
        tuple(band for each in _tightened(a, b, row) for band in torques(each) if _assembly(band)),
        tuple(turn for each in _tightened(a, b, row) for turn in turns(each)), tuple(reasons), None,
    )


def _seal_kind(a: End, b: End, row: Row) -> tuple[Row, Ring | None]:
    """How the halves of a row seal in this size, with the ring: the smallest cones are made without a groove for one."""
    kind = _seal_kinds()[row["seal"]]
    takes = _tightened(a, b, row)
    under = _conditions()[row["condition"]]["ring_of"] if row["condition"] else ""
    if under:
        # a shoulder that is no stud's takes the ring that the stud of that port does
        takes = tuple(End(each.family, each.size, under) for each in takes)
    rings = [found for each in takes if kind["ring"] == "yes" and (found := ring(each))]
    if kind["without_ring"] and not rings:
        kind = _seal_kinds()[kind["without_ring"]]
    return kind, rings[0] if rings else None


def _tightened(a: End, b: End, row: Row) -> tuple[End, ...]:
    """The ends whose torque and turns hold for this joint: a pipe male that seals on a swivel's seat is not wound in."""
    if not row["tightened"]:
        return a, b
    return tuple(each for each in (a, b)
                 if (each.family, each.form) == (row[f"family_{row['tightened']}"], row[f"form_{row['tightened']}"]))


def _assembly(band: Torque) -> bool:
    return band.default or not band.school.startswith("plug")


def joint_rating(a: End, b: End) -> Rating | None:
    """The lower of the ratings of two ends that make a joint, or None when our tables lack one of them."""
    of_a, of_b = rating(a), rating(b)
    if of_a is None or of_b is None:
        return None
    return min(of_a, of_b, key=lambda each: each.psi)


class InMaterial(NamedTuple):
    """A verdict on two steel ends as it stands in another material; `steel` is the rating in steel."""

    verdict: Verdict
    steel: Rating | None
    derated: Derated


def in_material(of: Verdict, material: str) -> InMaterial:
    """The verdict with the rating that the material leaves of it, unsafe where it leaves none.

    Raises KeyError for a material without a rule.
    """
    left = derated(of.rating, material)
    if of.seal is None:
        return InMaterial(of, None, left)
    said = (*of.reasons, reason("material", left.sources, material=material, text=left.text))
    in_steel = f"{of.rating.psi} psi in steel, {of.rating.context}" if of.rating else "not in our tables for steel"
    brought = None if left.psi is None else Rating(
        left.psi, round(left.psi * BAR_PER_PSI, 1), f"in {material}; {in_steel}",
        tuple(dict.fromkeys((*(of.rating.sources if of.rating else ()), *left.sources))),
        max(of.rating.confidence if of.rating else "A", left.confidence))
    verdict = of._replace(rating=brought, reasons=said)
    if left.psi == 0:
        said = tuple(each for each in said if each.code not in ("seal", "condition"))
        verdict = verdict._replace(seals="no", verdict="unsafe", condition=None, seal=None, torque=(), turns=(), reasons=said)
    return InMaterial(verdict, of.rating, left)


def _refusal(a: End, b: End, engages: str, verdict: str, reasons: list[Reason]) -> Verdict:
    return Verdict(a, b, engages, "no", verdict, None, None, None, (), (), tuple(reasons), _instead(a, b))


def _instead(a: End, b: End) -> str:
    takes = [f"{each.say} takes {_list_partners(each)}" for each in dict.fromkeys((a, b)) if partners(each)]
    return "; ".join([*takes, f"for the adapter between them: fittings join {a.id} {b.id}"])


def _list_partners(of: End) -> str:
    return either(each.end.say for each in partners(of) if each.planned)
