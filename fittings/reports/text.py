"""Answers in words, folded to 80 columns or to the window; stands without colour."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from fittings.cautions import elbow_on_taper, short
from fittings.chain import Chain, winds_an_elbow
from fittings.ends import End
from fittings.limits import Limits
from fittings.mating import Seal, Verdict, also_held, also_of, condition_do, headline, partners
from fittings.parts import Part
from fittings.planner import Answer, Refusal
from fittings.ratings import Rating, rated_by_hose
from fittings.reports.documents import sourced
from fittings.reports.torque_words import ASK, tightening_lines
from fittings.reports.window import Paint, lines, painted
from fittings.saying import both, counted

if TYPE_CHECKING:
    from fittings.tree import Leg, Tree

_VERDICT_PAINTS: dict[str, Paint] = {
    "joint": "green", "conditional": "yellow", "unsafe": "red", "no": "red",
}


def taken_text(taken: Iterable[str]) -> list[str]:
    """What an end was taken for where something was left out, a line each."""
    return [lines(each) for each in taken if each]


def verdict_text(of: Verdict, taken: Iterable[str] = ()) -> str:
    """The verdict on two ends with every reason."""
    out = taken_text(taken)
    out.append(lines(f"{of.a.say}  with  {of.b.say}"))
    unproved = of.verdict == "joint" and of.unproved
    out.append(painted(lines(headline(of)), "yellow" if unproved else _VERDICT_PAINTS[of.verdict]))
    out.append(f"  threads engage  {of.engages}")
    out.append(f"  seals           {of.seals}")
    if of.rating and not of.rating.psi:
        out.append(lines(f"rating          NOT in a pressure line, {of.rating.context}", "  ", " " * 18))
    if of.seal:
        out += _seal_lines(of.seal)
        do = condition_do(of.condition_key)
        if do:
            out.append(lines(f"look first      {do}", "  ", " " * 18))
        out.append(lines(f"rating          {rating_words(of.rating)}", "  ", " " * 18))
        out += [lines(f"  also          {rating_words(each)}; the lower is in use", "  ", " " * 18) for each in also_of(of)]
        out += _tightening_lines(of)
    out.append("why")
    out += [lines(f"- {each.text}" + (f" [{', '.join(each.sources)}]" if each.sources else ""), "  ", "    ")
            for each in of.reasons]
    if of.instead:
        out.append("instead")
        out += [lines(f"- {each}", "  ", "    ") for each in of.instead.split("; ")]
    if of.seal:
        out.append(lines(short()))
    return "\n".join(out)


def _seal_lines(seal: Seal) -> list[str]:
    out = [lines(f"seal            {seal.says}", "  ", " " * 18)]
    if seal.ring:
        when = f", {seal.ring.note}" if seal.ring.note else ""
        out.append(lines(f"ring            {seal.ring.say}{when} {sourced(seal.ring.sources, seal.ring.confidence)}", "  ", " " * 18))
    if seal.loose:
        out.append(lines(f"  or            {seal.loose.say}, {seal.loose.note} {sourced(seal.loose.sources, seal.loose.confidence)}",
                         "  ", " " * 18))
    if seal.ring_unknown:
        out.append(lines(f"ring            not in our tables: {ASK}", "  ", " " * 18))
    out.append(lines(f"sealant         {'yes' if seal.sealant else 'no: ' + seal.why_no_sealant}", "  ", " " * 18))
    return out


def rating_words(of: Rating | None) -> str:
    """A rating with what it holds for and its source, or whom to ask."""
    if of is None:
        return "not in our tables: ask the maker"
    return f"{of.psi} psi ({of.bar:g} bar), {of.context} {sourced(of.sources, of.confidence)}"


def _tightening_lines(of: Verdict) -> list[str]:
    return [lines(f"{head if head != 'or' else '  or':<16}{said}", "  ", " " * 18)
            for head, said in tightening_lines(of, of.seal, "both", lambda some, grade: f" {sourced(some, grade)}")]


def answer_text(of: Answer, taken: Iterable[str] = (), limits_: Limits = Limits()) -> str:
    """The chains between two ends, or why there is none."""
    out = taken_text(taken)
    out.append(lines(f"{of.start.say}  to  {of.finish.say}" + (f", {limits_.pressure}" if limits_.psi else "")))
    if of.refused is not None:
        return "\n".join([*out, refusal_text(of.refused)])
    for number, chain in enumerate(of.chains, 1):
        out += ["", *chain_lines(chain, number)]
    out += ["", lines(short())]
    return "\n".join(out)


def _rated(of: Rating | None) -> str:
    if of is None:
        return "not every end is rated in our tables"
    return f"rated {of.psi} psi ({of.bar:g} bar) {sourced(of.sources, of.confidence)}"


def chain_lines(chain: Chain, number: int) -> list[str]:
    """One chain, end to end, each joint with what seals it."""
    count = len(chain.parts)
    parts = "no part: they join directly" if not count else counted(count, "part")
    out = [painted(lines(f"{number}. {parts}; {_rated(chain.rating)}", "", "   "), "bold")]
    if chain.gives_up:
        out.append(lines(chain.gives_up, "   "))
    if chain.rating is not None and count:
        ruling = chain.joints[chain.weakest]
        out += [lines(f"its weakest joint is also printed with {of.psi} psi ({of.bar:g} bar), {of.context} "
                      f"{sourced(of.sources, of.confidence)}; the lower is in use", "   ") for of in also_held(ruling.a, ruling.b)]
    if chain.needs_a_turn:
        out.append(lines("only if one side can be turned as a whole, for nothing in it swivels; for two that stand still ask with "
                         "--fixed", "   "))
    out.append(lines(chain.start.say, "     "))
    for index, joint in enumerate(chain.joints):
        held = joint.seal.ring if joint.seal else None
        ring = f", {held.say}{f' ({held.note})' if held.kind == 'bonded' and held.note else ''}" if held else ""
        weak = "  <- weakest" if index == chain.weakest and chain.rating and count else ""
        seal = joint.seal.says if joint.seal else ""
        if weak and rated_by_hose(joint.a) and joint.rating:
            seal += f", at most {joint.rating.psi} psi: {joint.rating.context}"
        out.append(lines(f"|  {seal}{ring}{weak}", "       ", "       |  "))
        if joint.condition:
            out.append(lines(f"|  only if {joint.condition}", "       ", "       |  "))
        limits_ = dict.fromkeys(end.limited_by for end in (joint.a, joint.b) if end.limited_by)
        out += [lines(f"|  {each}", "       ", "       |  ") for each in limits_]
        if winds_an_elbow(chain, index):
            out.append(lines(f"|  {elbow_on_taper()}", "       ", "       |  "))
        if index < count:
            used = chain.parts[index]
            out.append(lines(f"[{used.part.had}] {used.part.say}", "   * ", "     "))
    out.append(lines(chain.finish.say, "     "))
    return out


def tree_text(ends: Sequence[End], tree: "Tree | None", refused: Refusal | None, limits_: Limits, taken: Iterable[str] = ()) -> str:
    """Three or four ends joined by tees and crosses, chain by chain."""
    from fittings.tree import legs, tree_rating  # here, since two ends are joined without it

    out = taken_text(taken)
    out.append(lines("  and  ".join(each.say for each in ends) + (f", {limits_.pressure}" if limits_.psi else "")))
    if refused is not None:
        return "\n".join([*out, refusal_text(refused, "TREE")])
    assert tree is not None
    out.append(lines(_rated(tree_rating(tree))))
    names = [f"tee {number}" if len(body.ends) == 3 else f"cross {number}" for number, body in enumerate(tree.bodies, 1)]
    for name, body in zip(names, tree.bodies, strict=True):
        out.append(lines(f"{name}: [{body.had}] {body.say}", "   * ", "     "))
    told = legs(tree)
    rest = [_outlets(body, number, told) for number, body in enumerate(tree.bodies)]
    for leg in told:
        out += ["", f"from {names[leg.hangs_on]}{rest[leg.hangs_on].pop(0)}", *chain_lines(leg.chain, 0)[1:]]
        if leg.leads_to is not None:
            out.append(f"     of {names[leg.leads_to]}{rest[leg.leads_to].pop(0)}")
    return "\n".join([*out, "", lines(short())])


def _outlets(body: Part, number: int, told: Sequence["Leg"]) -> list[str]:
    """Whether each leg of a tee is on its run or its branch: the one that leads to it first, then those from it, in order."""
    from fittings.outlets import outlet_words

    ends = [leg.chain.finish for leg in told if leg.leads_to == number] + [leg.chain.start for leg in told if leg.hangs_on == number]
    return [f", its {word}" if word else "" for word in outlet_words(body, ends)]


def refusal_text(of: Refusal, what: str = "CHAIN") -> str:
    """The facts in order, each once; which of them stand against each other; and what was tried that helps."""
    out = [painted(lines(f"NO {what}: {of.kind}."), "red")]
    out += [lines(f"{fact.n}. {fact.text}" + (f" [{', '.join(fact.sources)}]" if fact.sources else ""), "  ", "     ")
            for fact in of.facts]
    for some in of.because:
        out.append(lines(f"so {both(map(str, some))} cannot all be kept", "  "))
    if of.hints:
        out.append(lines("what would help (each was tried)"))
        for hint in of.hints:
            out.append(lines(f"- {hint.text}", "  ", "    "))
            out.append(f"    {hint.run}")
    return "\n".join(out)


def parts_text(parts: Sequence[Part], taken: str = "") -> str:
    """A part as it is made: shape, both ends, how easily it is had, what each end takes."""
    out = taken_text([taken])
    for part in parts:
        out.append(lines(part.say))
        source = sourced(part.source.split(";"), part.confidence)
        out.append(lines(f"had             {part.had} {source}", "  ", " " * 18))
        for each in part.ends:
            takes = ", ".join(other.end.say for other in partners(each) if other.planned)
            out.append(lines(f"end             {each.say}; takes {takes}", "  ", " " * 18))
    out.append(lines(short()))
    return "\n".join(out)
