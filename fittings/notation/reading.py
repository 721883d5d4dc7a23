"""One end as people type it.

Every word and size of the text narrows the ends that it can mean. What is left open is decided where one reading is
usual, and said; where two are, it is asked back (`data/words-usual.csv` holds both).
"""

from collections.abc import Sequence
from functools import cache
from typing import Literal, NamedTuple

from fittings.ends import End, UnknownEnd, all_ends, end_by_id, families, forms, size_row, sizes
from fittings.notation.asking import (
    Candidate,
    families_contradict,
    missing_size,
    nick,
    no_such_form,
    no_such_size,
    of_thread,
    which_family,
    which_form,
    which_size,
    without_rare,
)
from fittings.notation.errors import Ambiguous, BadText, NotUnderstood
from fittings.notation.hearing import Heard, hear, nothing_besides
from fittings.notation.pieces import cut
from fittings.notation.sizes import Fit, Size, fits, size_kind
from fittings.notation.words import Group, Usual, fold, groups, shapes, usual

BENDS = ("90", "45", "elbow")
"""Shapes that turn a corner."""

REDUCING_NIPPLE = "reducing-nipple"
"""The question of a word that leaves open whether each end of the part is male or female."""

Place = Literal["loose", "port", "part", "any"]


class Reading(NamedTuple):
    """An end that was read: the `end`, the text as `typed`, and what it was `taken` for when something was left out
    ("" when the text said everything)."""

    end: End
    typed: str
    taken: str


def read_end(text: str, *, place: str = "loose") -> Reading:
    """The end that a text means.

    `text`: at most 200 characters, in the words of the trade, an end's `say` or its `id`. `place` decides what is usual
    when words are left out: `loose` two pieces to be joined, `port` the port of a component, `part` one side of an
    adapter, `any` as `loose`. Sizes and genders follow the standards named in `data/families.csv`; the words stand in
    `data/words.csv`.

    Raises NotUnderstood, Ambiguous (with the question and the candidates) or NotCovered, all BadText.

    >>> read_end("9/16-18 o-ring boss").taken
    'taken as ORB -6 port; 9/16-18 is the thread of ORB -6; say “male” if it is the stud'
    >>> read_end("JIC -8 swivel").end.id
    'jic-8-swivel'
    """
    typed = text.strip()
    by_id = _by_id(typed)
    if by_id:
        return Reading(by_id, typed, "")
    pieces = cut(typed)
    sides = pieces.sides()
    if not sides:
        raise NotUnderstood(typed, "nothing was typed" if not typed else f"“{typed}” names no end",
                            "name family, size and form, such as “ORB -6 port”")
    if len(sides) > 1:
        raise _several(typed, len(sides))
    if any(each.is_kind("pair") for each in pieces.pieces):
        raise NotUnderstood(typed, f"“{typed}” names one end, and begins another", "give each end by itself, such as “ORB -6 port”",
                            part=True)
    try:
        heard = hear(sides[0], typed)
        if place != "any":
            nothing_besides(heard)
        return interpret(_of_one_end(heard, place), place)
    except NotUnderstood as error:
        raise _with_respelled(error, place) from None


def _several(typed: str, count: int) -> NotUnderstood:
    return NotUnderstood(typed, f"“{typed}” names {count} ends, and one is wanted here",
                         "give each end by itself, such as “ORB -6 port”", part=True)


def _of_one_end(heard: Heard, place: str) -> Heard:
    """What a shape word tells of a single end: a plug is male, an elbow's stud is adjustable. Raises NotUnderstood for a
    part with several ends, and where `any` end or part is wanted also for a cap or a plug, which are parts."""
    if heard.doubled:
        raise _several(heard.typed, 2)
    contexts: tuple[str, ...] = ()
    for key in heard.shapes:
        shape = shapes()[key]
        if key in BENDS:
            contexts = ("bent",)
        elif key != "straight" and (len(set(shape.sexes)) != 1 or place == "any"):
            raise NotUnderstood(heard.typed, f"a {key.replace('-', ' ')} is a part, and one end is wanted here",
                                "name one end, such as “JIC -8 male”", part=True)
        elif shape.sexes:
            heard = heard._replace(part_sex=shape.sexes[0])
            contexts = (key,)
    return heard._replace(contexts=contexts)


def _by_id(typed: str) -> End | None:
    if "-" not in typed or " " in typed:
        return None
    for spelled in (typed, typed.lower(), _id_case(typed)):
        try:
            return end_by_id(spelled)
        except UnknownEnd:
            continue
    return None


def _id_case(typed: str) -> str:
    """An id in the case that ids have: the M of a metric thread and the series of a tube are capitals."""
    family, _, rest = typed.lower().partition("-")
    size, _, form = rest.partition("-")
    return f"{family}-{size.upper().replace('X', 'x')}-{form}"


def _with_respelled(error: NotUnderstood, place: str) -> NotUnderstood:
    """The error for an unknown word, with the end that the text would mean if the nearest word had been meant."""
    if not error.near:
        return error
    try:
        sides = cut(fold(error.typed).text.replace(error.wrong, error.near, 1)).sides()
        end = interpret(_of_one_end(hear(sides[0], error.typed), place), place).end if sides else None
    except BadText:
        return error
    if end is None:
        return error
    return NotUnderstood(error.typed, error.text, error.ask, (end,), wrong=error.wrong, near=error.near)


def interpret(heard: Heard, place: str = "loose") -> Reading:
    """The end that was heard of, at a `place` (see `read_end`). Raises BadText."""
    place = "loose" if place == "any" else place
    _questions_first(heard)
    asked, passed_over = _families(heard, place)
    by_size = _candidates(heard, asked)
    if not by_size:
        raise no_such_size(heard, asked, place)
    if heard.part_sex and not heard.sexes and any(each.end.sex == heard.part_sex for each in by_size):
        heard = heard._replace(sexes=((heard.part_sex, heard.part_sex),))
    said: list[str] = []
    fitting = tuple(each for each in by_size if _form_fits(heard, each.end)) or _called_otherwise(heard, by_size, place, said)
    if not fitting:
        raise no_such_form(heard, by_size, place)
    one_family = _choose_family(heard, fitting, place, said)
    one_form = _choose_form(heard, one_family, place, said)
    chosen = _choose_size(heard, one_form)
    return Reading(chosen.end, heard.typed, _taken(heard, chosen, said, passed_over, place))


def _questions_first(heard: Heard) -> None:
    for word in heard.asks:
        if not _settled(word, heard):
            raise _ask_of(word, heard)
    if heard.given == "nut" and not heard.groups and any(size.kind in ("mm", "inch", "whole") for size in heard.sizes):
        raise _ask_of("wrench", heard)
    if not heard.groups and any(size.kind == "mm" and not size.text.endswith("mm") for size in heard.sizes):
        raise _ask_of("bare-mm", heard)
    if heard.groups or heard.sizes:
        return
    if heard.shapes and any("swivel" in forms for _, forms in heard.forms):
        raise _ask_of("elbow-swivel", heard)
    if heard.forms or heard.sexes or heard.shapes:
        raise Ambiguous(heard.typed, f"“{heard.typed}” names no family and no size",
                        "Which family and size, such as “JIC -8 male” or “NPT 1/2 female”?")
    raise NotUnderstood(heard.typed, f"“{heard.typed}” names no end", "name family, size and form, such as “ORB -6 port”")


def _settled(word: str, heard: Heard) -> bool:
    """Whether what was said beside a word that is always asked about answers its question: FS beside JIC is a female swivel."""
    if word == "bung":
        return bool(heard.groups)
    if word == REDUCING_NIPPLE:
        return bool(heard.forms or heard.sexes)
    if word in ("ring", "ring-with"):
        return bool(heard.forms or heard.sexes or (word == "ring-with" and heard.strong))
    return any(usual(word, group.key, "*") for group in heard.groups)


def _ask_of(word: str, heard: Heard) -> Ambiguous:
    rule = usual(word, "*", "*")
    return Ambiguous(heard.typed, f"“{heard.typed}” can mean more than one thing", rule.text if rule else None)


def _families(heard: Heard, place: str) -> tuple[tuple[str, ...], list[str]]:
    """The families that the words allow, and the weak words that had to be passed over."""
    for first in heard.groups:
        for second in heard.groups:
            rule = usual(f"{first.key} {second.key}", "*", place)
            if rule and first is not second:
                raise Ambiguous(heard.typed, f"{first.said} and {second.said} do not go together", rule.text,
                                tuple(end for end in all_ends() if end.family in second.families + first.families
                                      and any(fit.size == end.size for size in heard.sizes for fit in fits(size, end.family)))[:12])
    allowed = families()
    for group in heard.strong:
        allowed = tuple(family for family in allowed if family in group.families)
    if not allowed:
        raise families_contradict(heard)
    passed_over = []
    for group in heard.weak:
        narrower = tuple(family for family in allowed if family in group.families)
        if narrower and (not heard.strong or _candidates(heard, narrower)):
            allowed = narrower
        else:
            passed_over.append(group.said)
    if not heard.groups:
        allowed = _bare_families(heard)
    if heard.strong or heard.weak:
        order = (heard.strong or heard.weak)[0].families
        allowed = tuple(sorted(allowed, key=lambda family: order.index(family) if family in order else len(order)))
    return allowed, passed_over


_SPECIAL = ("code61", "code62", "iso7241a", "iso7241b", "iso16028", "invflare")
"""Families that must be named: nobody means a flange by a bare size."""


def _bare_families(heard: Heard) -> tuple[str, ...]:
    """The families that a size without any family word can mean."""
    if any(size.kind == "dn" for size in heard.sizes):
        return ("hose",)
    if any(size.kind == "tube" for size in heard.sizes):
        return tuple(family for family in families() if size_kind(family) == "tube")
    if any(size.kind in ("thread", "metric", "tpi") for size in heard.sizes):
        return families()
    named_form = any(form in ("head", "pad", "tip", "body") for _, forms in heard.forms for form in forms[:1])
    if named_form:
        return families()
    bare = _bare_group(heard)
    no_pipe = bare is not None and bare.key == "bare-inch" and not any(fits(size, "npt") for size in heard.sizes)
    if bare is None or no_pipe or (heard.forms and bare.key != "bare-tube"):
        if bare and bare.key == "bare-dash":
            return tuple(family for family in families() if family not in _SPECIAL and size_kind(family) == "dash")
        return tuple(family for family in families() if family not in _SPECIAL or (not heard.forms and family == "invflare"))
    return bare.families


def _bare_group(heard: Heard) -> Group | None:
    kinds = {size.kind for size in heard.sizes}
    if heard.given == "tube":
        return groups()["bare-tube"]
    for key, kind in (("bare-inch", "inch"), ("bare-dash", "dash"), ("bare-dash", "whole"), ("bare-mm", "mm")):
        if kind in kinds:
            return groups()[key]
    return None


def _candidates(heard: Heard, asked: Sequence[str]) -> tuple[Candidate, ...]:
    """Every end of the families asked for that all the sizes allow, whatever its form."""
    return tuple(
        Candidate(each, fit.by) for family in asked for fit in _fits_all(heard, family) for each in _ends_of(family, fit.size))


@cache
def _ends_of(family: str, size: str) -> tuple[End, ...]:
    return tuple(End(family, size, form) for form in size_row(family, size)["forms"].split() or forms(family))


def one_end_has(sizes: tuple[Size, ...], named: Sequence[tuple[str, ...]] = ()) -> bool:
    """Whether some end of all the families `named` has all these sizes at once, as 15L has M22x1.5."""
    return any(_fits_all(Heard("", sizes=sizes), family) for family in families() if all(family in some for some in named))


def _fits_all(heard: Heard, family: str) -> tuple[Fit, ...]:
    if heard.sizes:
        left: dict[str, str] = {}
        for number, written in enumerate(heard.sizes):
            allowed = {fit.size: fit.by for fit in reversed(fits(written, family))}
            kept = allowed if number == 0 else {size: min(by, allowed[size]) for size, by in left.items() if size in allowed}
            left = dict(sorted(kept.items(), key=lambda each: sizes(family).index(each[0]))) if number else kept
        found = tuple(Fit(size, by) for size, by in reversed(left.items()))
    else:
        found = tuple(Fit(size, "missing") for size in sizes(family))
    if heard.series and size_kind(family) == "tube":
        found = tuple(fit for fit in found if fit.size.endswith(heard.series) and not fit.size.endswith("LL"))
    return found


def _form_fits(heard: Heard, end: End) -> bool:
    return all(end.form in forms for _, forms in heard.forms) and all(end.sex == sex for _, sex in heard.sexes)


def _called_otherwise(heard: Heard, candidates: Sequence[Candidate], place: str, said: list[str]) -> tuple[Candidate, ...]:
    """The ends of families that have another word for the form that was said: the tube nut of an inverted flare is its male."""
    found = []
    for each in candidates:
        rules = [[usual(f"{each.end.family} {form}", "*", place) for form in forms] for _, forms in heard.forms]
        meant = [rule for some in rules for rule in some if rule and (rule.family, rule.form) == (each.end.family, each.end.form)]
        if len(meant) == len(rules) > 0 and all(each.end.sex == sex for _, sex in heard.sexes):
            found.append(each)
            said += [rule.text for rule in meant if rule.text not in said]
    return tuple(found)


def _choose_family(heard: Heard, candidates: Sequence[Candidate], place: str, said: list[str]) -> tuple[Candidate, ...]:
    left = {candidate.end.family for candidate in candidates}
    metric = [] if heard.groups else [size for size in heard.sizes if size.kind == "metric"]
    elsewhere = of_thread(metric[0]) if len(metric) == len(heard.sizes) == 1 else None
    if elsewhere:
        raise which_family(heard, candidates, place, elsewhere)
    if len(left) == 1:
        return tuple(candidates)
    bare = _bare_group(heard) if not heard.groups else None
    keys = [group.key for group in heard.groups] or ([bare.key] if bare else [])
    if not keys and metric:
        keys = ["thread-metric" if metric[0].pitch_mm else "thread-metric-bare"]
    question: Usual | None = None
    for _, _, rule in heard.rules(keys, place):
        if rule.asks:
            question = question or rule
        else:
            usual_ones = tuple(each for each in candidates if (each.end.family, each.end.form) == (rule.family, rule.form))
            if usual_ones:
                said.append(rule.text)
                return usual_ones
    if bare and (heard.forms or all(candidate.by == "thread" for candidate in candidates)):
        question = None
    if all(candidate.by == "missing" for candidate in candidates):
        names = tuple(group.said for group in heard.groups)
        raise Ambiguous(heard.typed, f"“{heard.typed}” names no size, and {' '.join(names)} can be several things",
                        question.text if question else "Which family and size, such as “ORB -8 port”?")
    if question and question.offers:
        offered = tuple(each for each in candidates
                        if {each.end.family, f"{each.end.family}:{each.end.form}"} & set(question.offers))
        if len({each.end.family for each in offered}) == 1:
            raise which_form(heard, offered, question.text)
        candidates = offered or candidates
    raise which_family(heard, candidates, place, question.text if question else None)


def _choose_form(heard: Heard, candidates: Sequence[Candidate], place: str, said: list[str]) -> tuple[Candidate, ...]:
    left = tuple(dict.fromkeys(candidate.end.form for candidate in candidates))
    family = candidates[0].end.family
    if len(left) == 1:
        return tuple(candidates)
    told_apart = heard.forms and not heard.given
    for given, key, rule in heard.rules((*(group.key for group in heard.groups), family), place):
        if told_apart and given not in heard.contexts:
            continue  # the form that was said tells more than a gender does
        if rule.asks:
            if key not in families() and not rule.offers:
                continue  # a question about the family, which is settled
            if candidates[0].by == "missing":
                raise missing_size(heard, candidates, rule.text)
            raise which_form(heard, candidates, rule.text)
        if rule.family == family and rule.form in left:
            if not (told_apart and rule.form == heard.forms[0][1][0]):
                said.append(rule.text)
            return _of_form(candidates, rule.form)
    for form in heard.forms[0][1] if heard.forms else ():
        if form in left:
            return _of_form(candidates, form)
    raise which_form(heard, candidates)


def _of_form(candidates: Sequence[Candidate], form: str) -> tuple[Candidate, ...]:
    return tuple(candidate for candidate in candidates if candidate.end.form == form)


def _choose_size(heard: Heard, candidates: Sequence[Candidate]) -> Candidate:
    if candidates[0].by == "missing":
        if len(candidates) > 1:
            raise missing_size(heard, candidates)
        return candidates[0]
    common = without_rare(candidates)
    if len(common) > 1:
        raise which_size(heard, common)
    return common[0]


def _taken(heard: Heard, chosen: Candidate, said: list[str], passed_over: list[str], place: str) -> str:
    end, notes = chosen.end, [text for text in said if text]
    first = heard.sizes[0] if heard.sizes else None
    if first and chosen.by == "thread":
        shown = size_row(end.family, end.size)["thread"]
        same = first.text in (shown, "")
        notes.insert(0, f"{shown} is the thread of {nick(end)}" if same else f"{first.text} is read as its thread, {shown}")
    elif first and chosen.by in ("tube", "bore"):
        notes.insert(0, f"{first.text} is read as its {chosen.by}")
    elif first and chosen.by == "dash":
        notes.insert(0, f"{first.text} is read in sixteenths of an inch")
    elif chosen.by == "missing":
        notes.insert(0, "it is made in one size only")
    notes += [group.echo for group in heard.groups if group.echo]
    notes += [f"“{word}” does not fit and was passed over" for word in passed_over]
    if heard.on_hose:
        notes.append(f"for the whole hose end write both its ends, such as “hose {end.size if end.size[0] == '-' else '-8'} x {end.say}”")
    if set(heard.shapes) - {"plug", "cap"} and place != "part":
        angle = "45" if "45" in heard.shapes else "90" if set(BENDS) & set(heard.shapes) else ""
        asked = f" (join takes it with --shape-from {angle} or --shape-to {angle})" if angle else ""
        notes.append(f"the shape belongs to the part, not to the end{asked}")
    notes += [f"{each.say}: {each.advice}" if each.advice else f"“{each.text}” is {each.what}" for each in heard.asides]
    notes += heard.notes
    other_family = any(group.key in families() and group.key != end.family for group in heard.groups)
    bare = not heard.groups and not any(size.kind == "tube" for size in heard.sizes)
    if not (notes or other_family or bare):
        return ""
    return "; ".join([f"taken as {end.say}", *notes])
