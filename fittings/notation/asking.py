"""The questions to ask back, and what to offer with them."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from fittings.ends import End, all_ends, families, sizes
from fittings.ends import family as family_row
from fittings.notation.errors import Ambiguous, BadText, NotCovered, NotUnderstood
from fittings.notation.hearing import Heard
from fittings.notation.sizes import Size, fits, inch_text, size_kind
from fittings.notation.words import groups, rare_sizes, usual
from fittings.saying import either
from fittings.tables import table

MOST_OFFERED = 16
"""Ends offered with a question: more than these nobody reads, and the question itself must narrow them."""


class Candidate(NamedTuple):
    """An end that a text can mean, and by what its size was named (see `sizes.Fit`)."""

    end: End
    by: str


def offer(candidates: Iterable[Candidate], heard: Heard, place: str) -> tuple[End, ...]:
    """The ends to offer with a question: for each family and size its usual form, or all its forms when none is usual."""
    forms: dict[tuple[str, str], list[End]] = {}
    for candidate in without_rare(tuple(candidates)):
        forms.setdefault((candidate.end.family, candidate.end.size), []).append(candidate.end)
    found: list[End] = []
    for (family, _), ends in forms.items():
        usual_forms = [rule.form for _, _, rule in heard.rules((family,), place) if rule.family == family]
        wanted = next(([end for end in ends if end.form == form] for form in usual_forms
                       if any(end.form == form for end in ends)), [])
        if not wanted and heard.forms:
            wanted = [end for form in heard.forms[0][1] for end in ends if end.form == form][:1]
        found += wanted or ends
    return tuple(found[:MOST_OFFERED])


def without_rare(candidates: Sequence[Candidate]) -> tuple[Candidate, ...]:
    """The candidates without the sizes that nobody means by a fraction, unless none would be left in their family."""
    kept: list[Candidate] = []
    for family in dict.fromkeys(each.end.family for each in candidates):
        ours = [each for each in candidates if each.end.family == family]
        common = [each for each in ours if not (each.by and each.end.size in rare_sizes(family))]
        kept += common or ours
    return tuple(kept)


def nick(end: End) -> str:
    """Family and size as they are said: `JIC -8`."""
    return f"{family_row(end.family)['nick']} {end.size}"


def which_family(heard: Heard, candidates: Sequence[Candidate], place: str, question: str | None = None) -> Ambiguous:
    """The error for a text that can be ends of several families."""
    ends = offer(candidates, heard, place)
    text = f"“{heard.typed}” can mean {either(nick(end) for end in ends)}"
    return Ambiguous(heard.typed, text, question or _family_question(heard, candidates, ends), ends)


def _family_question(heard: Heard, candidates: Sequence[Candidate], ends: Sequence[End]) -> str:
    counts: dict[str, list[str]] = {}
    across = {size.inch_64 for size in heard.sizes if size.kind == "inch"}
    for end in ends:
        if across and end.thread[:1].isdigit():
            counts.setdefault(end.thread.split()[0].rpartition("-")[2], []).append(nick(end))
    if all(each.by == "thread" for each in candidates) and across and len(counts) > 1:
        return "How many threads per inch? " + "; ".join(
            f"{count} is {either(names)}" for count, names in counts.items())
    told: dict[str, list[str]] = {}
    for end in ends:
        told.setdefault(groups()[end.family].tell, []).append(nick(end))
    return "What is it? " + "; ".join(f"{tell}: {either(names)}" for tell, names in told.items())


def which_form(heard: Heard, candidates: Sequence[Candidate], question: str | None = None) -> Ambiguous:
    """The error for a text that leaves the form open."""
    ends = tuple(candidate.end for candidate in without_rare(candidates))
    names = [end.say.removeprefix(nick(end)).strip() for end in ends]
    text = f"“{heard.typed}” does not say which form of {either(nick(end) for end in ends)} it is"
    return Ambiguous(heard.typed, text, question or f"Is it {either(names)}?", ends[:MOST_OFFERED])


def which_size(heard: Heard, candidates: Sequence[Candidate]) -> Ambiguous:
    """The error for a size that can be two sizes of one family: the tube, or the thread."""
    ends = tuple(candidate.end for candidate in candidates)
    family = ends[0].family
    written = heard.sizes[0]
    said = written.text
    told = []
    for candidate in candidates:
        if size_kind(family) == "tube":
            told.append(f"{candidate.end.size} ({_series_and_tube(candidate.end.size)})")
        elif candidate.by in ("tube", "bore"):
            told.append(f"the {'tube' if candidate.by == 'tube' else 'bore'} is {said}, then it is {candidate.end.size}")
        elif candidate.by == "thread":
            told.append(f"the thread is {candidate.end.thread}, then it is {candidate.end.size}")
        else:
            told.append(f"dash {candidate.end.size.removeprefix('-')}")
    return Ambiguous(heard.typed, f"“{heard.typed}” can mean {either(nick(end) for end in ends)}",
                     f"Which is meant: {', or '.join(told)}?", ends[:MOST_OFFERED])


def _series_and_tube(size: str) -> str:
    series = "very light" if size.endswith("LL") else "light" if size.endswith("L") else "heavy"
    return f"{series} series, tube {size.rstrip('LS')} mm outside"


def missing_size(heard: Heard, candidates: Sequence[Candidate], question: str | None = None) -> Ambiguous:
    """The error for an end without a size; `question` is another that is open besides."""
    ends = tuple(candidate.end for candidate in candidates)
    known = dict.fromkeys(end.size for end in ends)
    asked = f"Which size? {said_of(ends[0].family)} is made in {', '.join(known)}"
    return Ambiguous(heard.typed, f"“{heard.typed}” names no size", f"{question} {asked}" if question else asked,
                     ends[:MOST_OFFERED])


def said_of(family: str) -> str:
    """A family as it is said in a sentence: `ORB`, `the 24° cone`."""
    return groups()[family].said


_SPOKEN = {
    "dash": ("dash", "whole", "inch"), "pipe": ("inch", "whole", "dash", "dn"), "metric": ("metric", "mm", "whole"),
    "tube": ("tube", "mm", "whole"),
}
_EXAMPLE = {"dash": "-6", "pipe": "1/2", "metric": "M22x1.5", "tube": "15L"}


def no_such_size(heard: Heard, asked: Sequence[str], place: str) -> BadText:
    """The error for sizes that none of the families asked for is made in."""
    named = {group.key for group in heard.groups}
    asked = [family for family in asked if family in named] or asked
    strange = [size for size in heard.sizes if not any(fits(size, family) for family in asked)]
    if not strange:
        return _sizes_contradict(heard, asked)
    size, said = strange[0], either(said_of(family) for family in asked[:4])
    if size.kind == "whole":
        slip = _slash_lost(heard, size, asked)
        if slip:
            return slip
    elsewhere = [] if size.kind in ("whole", "dash", "inch") else [family for family in families() if fits(size, family)]
    if size.kind in ("thread", "metric", "tpi") and not elsewhere:
        shown = size.text if size.kind == "tpi" else f"the thread {size.text}"
        return _no_such_thread(heard, size, shown, asked, place)
    if any(size.kind in _SPOKEN[size_kind(family)] for family in asked):
        made = "is" if len(asked) == 1 else "are"
        return NotCovered(heard.typed, f"{said} {made} not made in size {size.text}, as far as our tables go",
                          _sizes_there_are(asked), _nearest_sizes(heard, size, asked))
    others = tuple(
        candidate for family in elsewhere for fit in fits(size, family)
        for candidate in (Candidate(end, fit.by) for end in all_ends() if (end.family, end.size) == (family, fit.size))
        if _said_of_it(heard, candidate.end))
    # what was typed beside it narrows what it can be: M18x1.5 and 12L are a 12L, never a 10S
    others = tuple(each for each in others
                   if all(each.end.size in ways_of(written, each.end.family) for written in heard.sizes)) or others
    ends = offer(others, heard, place)
    if size.kind == "thread" or not elsewhere:
        text = f"{said} has no size {size.text}" if size.kind != "thread" else f"{said} has no thread {size.text}"
    else:
        text = f"{size.text} is no size of {said}, which is written like {_EXAMPLE[size_kind(asked[0])]}"
    belongs = of_thread(size) or f"{size.text} belongs to {either(nick(end) for end in ends)}" if ends else _sizes_there_are(asked)
    return NotUnderstood(heard.typed, text, belongs, ends)


def of_thread(size: Size) -> str | None:
    """What else has a metric thread, though our tables do not hold it; None when nothing is known."""
    rule = usual("thread-metric", size.text, "*")
    return rule.text if rule else None


def _stranger(size: Size) -> str | None:
    """What a thread is of that is met on no end of ours (`data/identify/strangers.csv`, from memory), and what to do with it."""
    for row in table("identify/strangers"):
        if row["thread"] == size.text:
            return f"{size.text}: {row['says']}, from memory; {row['instead']}"
    return None


def _no_such_thread(heard: Heard, size: Size, shown: str, asked: Sequence[str], place: str) -> NotCovered:
    if heard.groups:
        return NotCovered(heard.typed, f"no end in our tables has {shown}", of_thread(size) or _sizes_there_are(asked))
    same_diameter = size._replace(kind="inch", role="thread") if size.kind == "thread" else size._replace(pitch_mm=0.0)
    ends = offer((Candidate(end, "") for family in families() for fit in fits(same_diameter, family) for end in all_ends()
                  if size.kind != "tpi" and size_kind(family) in ("dash", "metric") and fit.by
                  and (end.family, end.size) == (family, fit.size) and _said_of_it(heard, end)), heard, place)
    threads = dict.fromkeys(end.thread for end in ends)
    again = f"Count the pitch again: with that diameter there is {either(threads)}" if threads else None
    told = of_thread(size) or ". ".join(filter(None, (_stranger(size), again))) or None
    return NotCovered(heard.typed, f"no end in our tables has {shown}", told, ends)


def _said_of_it(heard: Heard, end: End) -> bool:
    """Whether the gender and the forms that were said are those of an end."""
    return all(end.sex == sex for _, sex in heard.sexes) and all(end.form in forms for _, forms in heard.forms)


def _sizes_contradict(heard: Heard, asked: Sequence[str]) -> BadText:
    first, second = heard.sizes[0], heard.sizes[-1]
    if first == second:
        return NotCovered(heard.typed, f"{either(said_of(family) for family in asked[:4])} is not made in {first.text} "
                          f"of the {'light' if heard.series == 'L' else 'heavy'} series", _sizes_there_are(asked))
    told = []
    asked = [family for family in asked if all(fits(size, family) for size in heard.sizes)] or asked
    for size in (first, second):
        meant = [end for family in asked for fit in fits(size, family)
                 for end in all_ends() if (end.family, end.size) == (family, fit.size)]
        names = list(dict.fromkeys(f"{nick(end)}" + (f" ({end.thread})" if end.thread else "") for end in meant))
        told.append(f"{size.text} is {either(names[:4])}")
    ask = "; ".join(told) if len(asked) <= 4 else "name one size"
    return NotUnderstood(heard.typed, f"{first.text} and {second.text} are two sizes that do not agree", ask)


def _slash_lost(heard: Heard, size: Size, asked: Sequence[str]) -> Ambiguous | None:
    """`14 bsp`: 1/4 with its slash lost, or 14 threads per inch; `8 npt`: eight sixteenths."""
    piped = [family for family in asked if size_kind(family) == "pipe"]
    digits = str(size.number)
    name = f"{digits[0]}/{digits[1]}" if len(digits) == 2 else ""
    threads, sixteenths = Size("tpi", "", tpi_x2=size.number * 2), Size("dash", "", number=size.number)
    ends = tuple(
        end for end in all_ends() if end.family in piped and _said_of_it(heard, end)
        and (end.size == name or end.size in ways_of(threads, end.family) or end.size in ways_of(sixteenths, end.family)))
    if not ends:
        return None
    told = []
    if any(end.size == name for end in ends):
        told.append(f"{name} with its slash lost")
    counted = dict.fromkeys(end.size for end in ends if end.size in ways_of(threads, end.family))
    if counted:
        told.append(f"{digits} threads per inch (sizes {', '.join(counted)})")
    by_dash = dict.fromkeys(end.size for end in ends if end.size in ways_of(sixteenths, end.family))
    if by_dash:
        told.append(f"dash {digits}, which is {either(by_dash)}")
    return Ambiguous(heard.typed, f"{digits} is no size of {either(said_of(family) for family in piped[:4])}",
                     f"Is that {either(told)}?", offer((Candidate(end, "") for end in ends), heard, "loose"))


def ways_of(size: Size, family: str) -> tuple[str, ...]:
    """Sizes of a family that a written size can be."""
    return tuple(fit.size for fit in fits(size, family))


def _sizes_there_are(asked: Sequence[str]) -> str:
    return "; ".join(f"{said_of(family)} is made in {', '.join(sizes(family))}" for family in asked[:3])


def _nearest_sizes(heard: Heard, size: Size, asked: Sequence[str]) -> tuple[End, ...]:
    """The next size below and above in each family, of the gender and form that was said."""
    found: list[End] = []
    for family in asked[:3]:
        wanted = _measure(size)
        ends = [end for end in all_ends() if end.family == family and _said_of_it(heard, end)]
        ranked = [(_nominal(end), end) for end in ends]
        below = max((value for value, _ in ranked if value < wanted), default=None)
        above = min((value for value, _ in ranked if value > wanted), default=None)
        found += [end for value, end in ranked if value in (below, above)]
    return offer((Candidate(end, "") for end in found), heard, "loose")


def _measure(size: Size) -> float:
    if size.kind == "inch":
        return size.inch_64 / 4
    if size.kind in ("mm", "metric", "tube", "dn"):
        return size.mm
    return float(size.number)


def _nominal(end: End) -> float:
    kind = size_kind(end.family)
    if kind == "metric":
        return float(end.size[1:].split("x")[0])
    if kind == "tube":
        return float(end.size.rstrip("LS"))
    return end.nominal_16ths or 0.0


def no_such_form(heard: Heard, candidates: Sequence[Candidate], place: str) -> BadText:
    """The error for a gender or form that the families asked for are not made in; `candidates` are those that fit in size."""
    families_asked = list(dict.fromkeys(each.end.family for each in candidates))
    words = [word for word, _ in heard.forms] + [word for word, _ in heard.sexes]
    said = either(said_of(family) for family in families_asked[:4])
    if {sex for _, sex in heard.sexes} == {"male", "female"}:
        return Ambiguous(heard.typed, f"“{heard.typed}” says both male and female", "Which of the two is this end?",
                         offer(candidates, heard._replace(sexes=(), forms=()), place))
    for family in families_asked:
        rule = usual(f"{family} {heard.given}", "*", place) if heard.given else None
        if rule:
            thread = candidates[0].end.thread
            ends = tuple(each.end for each in candidates if each.end.sex == "male") + tuple(
                end for end in all_ends() if end.family == "orb" and end.form == "port" and end.thread == thread)
            return Ambiguous(heard.typed, f"there is no {heard.given} of {said}", rule.text, ends[:MOST_OFFERED])
    ends = tuple(each.end for each in without_rare(candidates))
    made = dict.fromkeys(end.say.removeprefix(nick(end)).strip() for end in ends)
    return NotCovered(heard.typed, f"{either(nick(end) for end in ends[:6])} is not made as “{' '.join(words)}”",
                      f"{said} is made as {'; '.join(made)}", ends[:MOST_OFFERED])


def families_contradict(heard: Heard) -> NotUnderstood:
    """The error for family words that cannot be true of one end."""
    for number, second in enumerate(heard.strong):
        for first in heard.strong[:number]:
            if not set(first.families) & set(second.families):
                return NotUnderstood(heard.typed, f"{first.said} and {second.said} contradict each other: an end is one or the other",
                                     "for a part with two ends, write “… x …” between them")
    said = ", ".join(group.said for group in heard.strong)
    return NotUnderstood(heard.typed, f"{said}: no end is all of these", "name one family")


__all__ = [
    "Candidate", "families_contradict", "inch_text", "missing_size", "nick", "no_such_form", "no_such_size", "of_thread", "offer",
    "which_family", "which_form", "which_size", "without_rare",
]
