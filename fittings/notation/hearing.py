"""What the pieces of one side say, gathered but not yet judged."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from fittings.ends import family
from fittings.notation.errors import NotCovered, NotUnderstood
from fittings.notation.pieces import Piece
from fittings.notation.sizes import Size, fits
from fittings.notation.words import Group, Usual, groups, nearest, usual
from fittings.saying import either

HOSE_END = "hose-end"
"""The role of a word that says that an end stands on a hose."""


class Heard(NamedTuple):
    """What was said of one end: family words (`strong`, and `weak` ones that yield), form words, genders, shapes, sizes,
    questions that a word always raises (`asks`), the series (of a 24° cone; elsewhere light and heavy tell studs apart,
    not sizes), and how a form was named (`given`). What the part as a whole says of the end: its gender where the end
    does not say it itself (`part_sex`), and what kind of part it is (`contexts`: `bent`, `union`, `cap` …). Whether it was said
    to stand on a hose (`on_hose`)."""

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
    pieces, on_hose = _named_end(pieces)
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
    if series and not (strong or weak):
        strong.append(groups()["cone24"])
    if role == "tube" and not (strong or weak or forms or given):
        given = "tube"
    if role:
        sizes = [size._replace(role=role) for size in sizes]
    return Heard(typed, _once(strong), _once(weak), tuple(forms), tuple(sexes), tuple(dict.fromkeys(shapes)),
                 tuple(dict.fromkeys(sizes)), tuple(dict.fromkeys(asks)), series,
                 "" if plain_form else given, on_hose=on_hose)


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
        return NotUnderstood(typed, f"“{word}” is no size", "write sizes like -6, 1/2, 1-1/16-12, M22x1.5 or 15L")
    near = nearest(word)
    guessed = either(f"“{each}”" for each in near) if near else ""
    ask = f"did you mean {guessed}?" if near else "name family, size and form, such as “ORB -6 port” or “NPT 1/2 male”"
    return NotUnderstood(typed, f"“{word}” is not a word we know", ask)
