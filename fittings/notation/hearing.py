"""What the pieces of one side say, gathered but not yet judged."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from fittings.ends import family
from fittings.ends import forms as forms_of
from fittings.notation.errors import NotCovered, NotUnderstood
from fittings.notation.pieces import Piece
from fittings.notation.sizes import Size, fits
from fittings.notation.words import Group, Usual, Word, groups, nearest, usual
from fittings.saying import either

SERIES = "a pressure or a series"
"""What a bare 3000 or 6000 is: beside a flange its series, else a pressure."""

BINDING = ("a pressure", "a material", SERIES)
"""What may not be left out of a question about a joint: passed over, it would be taken as kept to."""

HOSE_END = "hose-end"
"""The role of a word that says that an end stands on a hose."""


class Aside(NamedTuple):
    """Words beside an end: as `text`, `what` they are, and the `advice` that goes with them. One that is `binding` changes
    what a joint holds, so that no joint may be judged without it."""

    text: str
    what: str
    advice: str

    @property
    def binding(self) -> bool:
        return self.what in BINDING

    @property
    def say(self) -> str:
        return f"“{self.text}” is {self.what}, and no part of an end"


class Heard(NamedTuple):
    """What was said of one end: family words (`strong`, and `weak` ones that yield), form words, genders, shapes, sizes,
    questions that a word always raises (`asks`), the series (of a 24° cone; elsewhere light and heavy tell studs apart,
    not sizes), and how a form was named (`given`). What the part as a whole says of the end: its gender where the end
    does not say it itself (`part_sex`), and what kind of part it is (`contexts`: `bent`, `union`, `cap` …). Whether it was said
    to stand on a hose (`on_hose`); what is said besides and tells no end (`asides`: a pressure, a material, how many);
    whether it names two ends with no word between them (`doubled`: `8 MJ 8 MJ`); what else must be said back (`notes`); what piece
    of a joint it is, when it is all that was named (`alone`: a ring, a nut)."""

    typed: str
    strong: tuple[Group, ...] = ()
    weak: tuple[Group, ...] = ()
    forms: tuple[tuple[str, tuple[str, ...]], ...] = ()
    sexes: tuple[tuple[str, str], ...] = ()
    shapes: tuple[str, ...] = ()
    sizes: tuple[Size, ...] = ()
    asks: tuple[str, ...] = ()
    series: str = ""
    given: str = ""
    part_sex: str = ""
    contexts: tuple[str, ...] = ()
    on_hose: bool = False
    asides: tuple[Aside, ...] = ()
    doubled: bool = False
    notes: tuple[str, ...] = ()
    alone: str = ""

    @property
    def groups(self) -> tuple[Group, ...]:
        return self.strong + self.weak

    @property
    def sex(self) -> str:
        return self.sexes[0][1] if self.sexes else ""

    def rules(self, keys: Sequence[str], place: str) -> Iterator[tuple[str, str, Usual]]:
        """What is usual for these family words: what was given, the word, the rule. What the part as a whole tells comes
        first, then the form and the gender that were said, then what holds when nothing was said, then what always
        holds."""
        said = tuple(dict.fromkeys(each for each in (*self.contexts, self.given, self.sex) if each))
        nothing = ("",) if not (self.given or self.sex) else ()
        for given in (*said, *nothing, "*"):
            for key in keys:
                rule = usual(key, given, place)
                if rule:
                    yield given, key, rule


def hear(pieces: tuple[Piece, ...], typed: str) -> Heard:
    """Gather what the pieces of one side say.

    Raises NotCovered for what is known but not in the tables (a banjo, another standard), NotUnderstood for words that
    are unknown.
    """
    pieces, on_hose = _named_end(_with_class(pieces))
    for piece in pieces:
        if piece.word and piece.word.kind == "uncovered":
            raise NotCovered(typed, f"our tables do not cover {piece.word.value}", piece.word.note or None)
    for piece in pieces:
        if piece.word is None and piece.size is None:
            raise unknown_word(piece.text, typed)
    strong: list[Group] = []
    weak: list[Group] = []
    forms, sexes, shapes, asks = [], [], [], []
    sizes: list[Size] = []
    asides: list[tuple[Piece, str]] = []
    series, given, role, plain_form = "", "", "", False
    for number, piece in enumerate(pieces):
        if piece.size:
            sizes.append(_dash_of_short(piece.size, pieces[number + 1:number + 2]))
            continue
        word = piece.word
        assert word is not None
        for value in word.values("family"):
            group = groups()[value]
            (weak if group.weak else strong).append(group)
        forms += [(piece.text, tuple(value.split())) for value in word.values("form")]
        sexes += [(piece.text, value) for value in word.values("sex")]
        shapes += list(word.values("shape"))
        asks += list(word.values("ask"))
        asides += [(piece, next(word.values("series"), ""))] if word.kind == "aside" else []
        for value in word.values("given"):
            given = value
        plain_form = plain_form or (word.kind == "form" and not any(word.values("given")))
        for value in word.values("role"):
            if value in ("light", "heavy"):
                series = "L" if value == "light" else "S"
            elif value != HOSE_END:
                role = value
    if any(_is_coupler(group) for group in strong):
        # among couplers these words name the halves
        forms += [(shape, (_HALVES[shape],)) for shape in shapes if _HALVES.get(shape)]
        shapes = [shape for shape in shapes if shape not in _HALVES]
        forms += [(word, ("body",)) for word, sex in sexes if sex == "female"]
        forms += [(word, ("tip",)) for word, sex in sexes if sex == "male"]
        sexes = []
    told = tuple(f"“{piece.word.word}” {value}" for piece in pieces if piece.word for value in piece.word.values("told"))
    alone = _alone([piece.word for piece in pieces if piece.word])
    besides = []
    for piece, key in asides:
        assert piece.word is not None
        named = groups().get(key)
        flange = any(set(group.families) <= _FLANGES for group in strong)
        if named and (any(set(named.families) & set(group.families) for group in strong) or (flange and piece.word.value == SERIES)):
            strong.append(named)
        else:
            besides.append(Aside(piece.text, piece.word.value, piece.word.note))
    if series and not strong and _can_be_cone24(weak, forms, sizes):
        strong.append(groups()["cone24"])
    if role == "tube" and not (strong or weak or forms or given):
        given = "tube"
    if role:
        sizes = [size._replace(role=role) for size in sizes]
    return Heard(typed, _once(strong), _once(weak), tuple(forms), tuple(sexes), tuple(dict.fromkeys(shapes)),
                 tuple(dict.fromkeys(sizes)), tuple(dict.fromkeys(asks)), series,
                 "" if plain_form else given, on_hose=on_hose, asides=tuple(besides), doubled=_names_two(pieces), notes=told, alone=alone)


def _alone(words: Sequence[Word]) -> str:
    """What piece of a joint the words name, unless another word says which end it is on: a soft seal is a ring, a `soft seal stud` none."""
    of_an_end = any(any(word.values(kind)) for word in words if not any(word.values("alone")) for kind in ("form", "sex"))
    pieces = [value for word in words for value in word.values("alone") if word.kind == "noise" or not of_an_end]
    return pieces[0] if pieces else ""


_FLANGES = frozenset(("code61", "code62"))


def _can_be_cone24(weak: Sequence[Group], said: Iterable[tuple[str, tuple[str, ...]]], sizes: Iterable[Size]) -> bool:
    """Whether light and heavy are the series of a 24° cone: `20 mm metric light swivel`, and not of a stud: `M18x1.5 light stud`."""
    if weak and any(each.kind == "metric" for each in sizes):
        return False
    return all("cone24" in each.families for each in weak) and all(set(some) & set(forms_of("cone24")) for _, some in said)


_PARALLEL = frozenset(("g", "bspp"))
_OUTSIDE = Word("sex", "male", (("told", "is a class of the outside thread (ISO 228-1)"),), "")


def _with_class(pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """The pieces with the A or B behind the size of a parallel pipe thread as what it is: ISO 228-1 has classes of the outside
    thread only, so that `G1/2 A` is a male."""
    if not any(_PARALLEL & set(each.word.values("family")) for each in pieces if each.word):
        return pieces
    return tuple(
        each._replace(word=_OUTSIDE._replace(word=each.text.upper()))
        if each.text in ("a", "b") and before and before.size and not _begins_an_end(after) else each
        for before, each, after in zip((None, *pieces[:-1]), pieces, (*pieces[1:], None), strict=True))


def _begins_an_end(piece: Piece | None) -> bool:
    """Whether a piece begins another end: in `G1/2 a JIC -8` the a is no class, and means "to"."""
    if piece is None or piece.word is None:
        return piece is not None and piece.size is not None
    return any(not set(groups()[value].families) & set(groups()["g"].families) for value in piece.word.values("family"))


def _names_two(pieces: Sequence[Piece]) -> bool:
    """Whether pieces with no word between them name two ends: a gender twice running, a short name twice, or a family and a
    size twice."""
    def twice(some: Iterable[str]) -> bool:
        said = list(some)
        return len(said) > len(set(said))

    genders = any(one.is_kind("sex") and one.text == other.text for one, other in pairwise(pieces))
    return (genders or twice(each.text for each in pieces if each.is_kind("short"))
            or (twice(each.text for each in pieces if each.is_kind("family")) and twice(each.text for each in pieces if each.size)))


def nothing_besides(heard: Heard) -> None:
    """Raises NotUnderstood for a pressure or a material beside an end that is to be joined: it is asked for in its own place."""
    for each in heard.asides:
        if each.binding:
            raise NotUnderstood(heard.typed, each.say, f"leave it out: {each.advice}")


def _named_end(pieces: tuple[Piece, ...]) -> tuple[tuple[Piece, ...], bool]:
    """The pieces without "hose end", where the text names the end that stands on it (`JIC -8 hose end`), and whether it does."""
    hose_ends = [each for each in pieces if each.word and HOSE_END in each.word.values("role") and any(each.word.values("family"))]
    others = tuple(each for each in pieces if each not in hose_ends)
    families = {value for each in others if each.word for value in each.word.values("family")}
    named = families - {"hose"} if families else {each.text for each in others if each.size and not fits(each.size, "hose")}
    return (others, True) if hose_ends and named else (pieces, False)


_HALVES = {"plug": "tip", "nipple": "tip", "coupling": ""}


def _is_coupler(group: Group) -> bool:
    return all(family(each)["kin"] == "coupler" for each in group.families)


def _once(found: list[Group]) -> tuple[Group, ...]:
    return tuple(dict.fromkeys(found))


def _dash_of_short(size: Size, after: tuple[Piece, ...]) -> Size:
    """In `8MP` the number is a dash size, for pipe too: 8MP is a 1/2 male pipe."""
    if size.kind == "whole" and after and after[0].is_kind("short"):
        return Size("dash", f"-{size.number}", number=size.number)
    return size


def unknown_word(word: str, typed: str) -> NotUnderstood:
    """The error for a word that is in no table, with the words that are spelled like it."""
    if word[:1].isdigit() or "/" in word:
        return NotUnderstood(typed, f"“{word}” is no size", "write sizes like -6, 1/2, 1-1/16-12, M22x1.5 or 15L", wrong=word)
    near = nearest(word)
    guessed = either(f"“{each}”" for each in near) if near else ""
    ask = f"did you mean {guessed}?" if near else "name family, size and form, such as “ORB -6 port” or “NPT 1/2 male”"
    return NotUnderstood(typed, f"“{word}” is not a word we know", ask, wrong=word, near=near[0] if near else "")
