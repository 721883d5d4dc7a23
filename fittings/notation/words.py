"""The words of the trade, as `data/words.csv` and its companions hold them.

Words are compared in one folded spelling: lower case, no accents, one sign for each meaning. A new word, a new language
or a new family is new rows there, not new code.
"""

import re
import unicodedata
from collections.abc import Iterator
from functools import cache, lru_cache
from typing import NamedTuple

from fittings.tables import Row, table

LONGEST_TEXT = 200
"""Characters that a text may have: no end or part needs more, and a whole page pasted by mistake should say so."""

MOST_WORDS = 7
"""Words and numbers in the longest phrase of the table."""

_ONE_SIGN = {
    "‐": "-", "‑": "-", "‒": "-", "–": "-", "—": "-", "−": "-", "﹣": "-", "－": "-",
    "“": '"', "”": '"', "„": '"', "″": '"', "‟": '"', "‘": "'", "’": "'", "′": "'", "‚": "'", "`": "'", "´": "'",
    "⁄": "/", "∕": "/", "º": "°", "˚": "°", "×": "x", "✕": "x", "✖": "x", "∗": "x", "*": "x", "·": ".", "∅": " ", "⌀": " ",
    "ø": " ", "→": " -> ", "⇒": " -> ", "⟶": " -> ", "№": "#", "（": "(", "）": ")",
}

_DEGREES = r"[\s-]*(?<![a-z])(?:degrees?|degs?|grad|grados?|degres?)\b\.?"
_ATOM = re.compile(r"[a-z]+|\d+|[^\sa-z\d]", re.ASCII)
_SKIPPED = frozenset("-.°,()_")


class Folded(NamedTuple):
    """A text in its folded spelling, with the place in the typed text that each of its characters came from."""

    text: str
    places: tuple[int, ...]

    def typed(self, typed: str, start: int, stop: int) -> str:
        """The stretch of the typed text from which characters `start` to `stop` came."""
        if start >= stop:
            return ""
        after = self.places[stop] if stop < len(self.places) else len(typed)
        return typed[self.places[start]:max(after, self.places[stop - 1] + 1)].strip()


def fold(typed: str) -> Folded:
    """The folded spelling of a text: lower case, no accents, fractions and degrees spelled one way.

    >>> fold("1½” Außengewinde").text
    '1 1/2 " aussengewinde'
    """
    if typed.isascii() and typed.isprintable() and "*" not in typed and "`" not in typed:
        text, places = typed.lower(), list(range(len(typed)))
    else:
        signed = [(each, place) for place, sign in enumerate(typed) for each in _fold_sign(sign)]
        text, places = "".join(each for each, _ in signed), [place for _, place in signed]
    if "  " in text:
        kept = [number for number in range(len(text)) if text[number:number + 2] != "  "]
        text, places = "".join(text[number] for number in kept), [places[number] for number in kept]
    for match in reversed(list(re.finditer(_DEGREES, text))) if "deg" in text or "grad" in text else ():
        if not text[:match.start()].rstrip()[-1:].isdigit():
            continue
        text = text[:match.start()] + "°" + text[match.end():]
        places[match.start():match.end()] = [places[match.start()]]
    return Folded(text, tuple(places))


def _fold_sign(sign: str) -> str:
    if sign in _ONE_SIGN:
        return _ONE_SIGN[sign]
    if sign.isascii():
        return sign.lower() if sign.isprintable() else " "
    if sign.isspace() or not sign.isprintable():
        return " "
    category = unicodedata.category(sign)
    if category == "Mn":
        return ""
    if category == "No":
        plain = unicodedata.normalize("NFKC", sign)
        return f" {plain.replace('⁄', '/')} " if "⁄" in plain else sign
    plain = unicodedata.normalize("NFKD", sign).casefold()
    return "".join(each for each in plain if unicodedata.category(each) != "Mn") or sign


class Word(NamedTuple):
    """What a word or phrase of the table means: `kind`, `value`, what it says besides (`also`), its spelling, and the
    advice that goes with what is not covered (`note`)."""

    kind: str
    value: str
    also: tuple[tuple[str, str], ...]
    word: str
    note: str = ""

    def values(self, kind: str) -> Iterator[str]:
        """Everything of one kind that the word says."""
        if self.kind == kind or (kind == "family" and self.kind == "short"):
            yield self.value
        for name, value in self.also:
            if name == kind:
                yield value


class Found(NamedTuple):
    """A word of the table found in a text, and the place where it stops."""

    word: Word
    stop: int


def atoms(text: str) -> tuple[str, ...]:
    """A phrase as it is compared: its runs of letters, its runs of digits, its signs; hyphens and stops are left out.

    >>> atoms("o-ring boss"), atoms("iso7241-a")
    (('o', 'ring', 'boss'), ('iso', '7241', 'a'))
    """
    found = tuple(_ATOM.findall(text))
    return tuple(each for each in found if each not in _SKIPPED) or found


@cache
def _rows_by_initial() -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in table("words"):
        found.setdefault(_fold_sign(row["word"][0])[:1], []).append(row)
    return found


@cache
def _words(initial: str) -> dict[tuple[str, ...], tuple[Word, ...]]:
    """The words that begin with a letter, digit or sign: a question pays only for the letters that it uses."""
    found: dict[tuple[str, ...], list[Word]] = {}
    for row in _rows_by_initial().get(initial, ()):
        also = tuple(_split_also(part) for part in row["also"].split(";") if part.strip())
        spelled = fold(row["word"]).text.strip()
        found.setdefault(atoms(spelled), []).append(Word(row["kind"], row["value"], also, row["word"], row["note"]))
    return {key: tuple(words) for key, words in found.items()}


def _split_also(part: str) -> tuple[str, str]:
    kind, _, value = part.strip().partition(" ")
    return kind, value


def phrase_at(text: str, start: int) -> Found | None:
    """The longest phrase of the table that begins at a place of a folded text, or None."""
    stops: list[tuple[str, int]] = []
    place = start
    while place < len(text) and len(stops) < MOST_WORDS:
        match = _ATOM.match(text, place)
        if match is None:
            place += 1
            continue
        if match.group() not in _SKIPPED:
            stops.append((match.group(), match.end()))
        elif not stops:
            return None
        place = match.end()
    words = _words(stops[0][0][0]) if stops else {}
    for count in range(len(stops), 0, -1):
        key, stop = tuple(atom for atom, _ in stops[:count]), stops[count - 1][1]
        for word in words.get(key, ()):
            degrees = text[stop:stop + 1] == "°"
            if word.word.endswith("°") and "°" not in text[start:stop + 1]:
                continue
            if key[-1].isdigit() and _number_goes_on(text, stop, word):
                continue
            return Found(word, stop + 1 if degrees else stop)
    return None


_GOES_ON = re.compile(r"\d|[./,]\d", re.ASCII)
_BECOMES_MIXED = re.compile(r"[ .-]\d+/\d", re.ASCII)


def _number_goes_on(text: str, stop: int, word: Word) -> bool:
    if _GOES_ON.match(text, stop):
        return True
    # "R1" asks back, "R1-1/4" is a size; "90 1/2 NPT" is an elbow and a size
    return word.kind == "ask" and _BECOMES_MIXED.match(text, stop) is not None


@cache
def _spelled() -> dict[str, str]:
    return {fold(row["word"]).text.strip(): row["word"] for row in table("words") if len(row["word"]) > 2}


_LIKE_ENOUGH = 0.8
"""Likeness that a word must surpass to be offered for another: one strange letter in five is another word (`black` is no `blank`)."""

MOST_UNLIKE = 3
"""Letters of two spellings, counted in both, that the other has not: long words with a common tail are not alike for it."""


@lru_cache(4096)
def nearest(word: str) -> tuple[str, ...]:
    """Words of the table that are spelled much like an unknown one, nearest first, at most three.

    A slip leaves the first letter, or only changes places; an abbreviation with a letter of its own is another one, so that
    `storz` is no STOR.

    >>> nearest("orffs"), nearest("mael"), nearest("storz")
    (('ORFS',), ('male',), ())
    """
    from difflib import get_close_matches  # only a failure pays for it

    if len(word) < 3:
        return ()
    known = _spelled()
    close = [(known[each], _likeness(word, each)) for each in get_close_matches(word, known, n=5, cutoff=0.74)
             if not known[each].isupper() or set(word) <= set(each)]
    near = sorted((each for each in close if each[1] > _LIKE_ENOUGH), key=lambda each: -each[1])
    return tuple(each for each, ratio in near if ratio >= near[0][1] - 0.06)[:3]


def _likeness(word: str, known: str) -> float:
    """How like two spellings are, 1 where a long word was broken off or two letters side by side changed places; 0 where the first
    letter is another."""
    from difflib import SequenceMatcher

    if known.startswith(word) and len(word) > 3 and len(known) - len(word) <= MOST_UNLIKE:
        return 1.0
    apart = [place for place, (one, other) in enumerate(zip(word, known, strict=False)) if one != other]
    if sorted(word) == sorted(known) and len(apart) == 2 and apart[1] - apart[0] == 1:
        return 1.0
    ratio = SequenceMatcher(None, word, known).ratio() if word[0] == known[0] else 0.0
    return ratio if (1 - ratio) * (len(word) + len(known)) <= MOST_UNLIKE + 0.5 else 0.0


class Group(NamedTuple):
    """What a family word can mean: `families` in order of likelihood; `weak` words yield when others contradict them;
    `said` is its name in messages; `tell` how one sees that it is this family; `echo` what must always be said back."""

    key: str
    families: tuple[str, ...]
    weak: bool
    said: str
    tell: str
    echo: str


@cache
def groups() -> dict[str, Group]:
    """All family words by their key."""
    return {
        row["group"]: Group(row["group"], tuple(row["families"].split()), row["weak"] == "yes", row["said"], row["tell"],
                            row["echo"])
        for row in table("words-groups")
    }


class Usual(NamedTuple):
    """What is usual when something is left out: take `family` and `form`; or, when there is none, ask the question in
    `text` and offer only the families or `family:form`s of `offers` (all, when it is empty)."""

    family: str
    form: str
    text: str
    offers: tuple[str, ...] = ()

    @property
    def asks(self) -> bool:
        return not self.family


@cache
def _usual() -> dict[tuple[str, str, str], Usual]:
    return {(row["said"], row["given"], row["place"]): _as_usual(row) for row in table("words-usual")}


def _as_usual(row: Row) -> Usual:
    first, *rest = row["take"].split()
    if first == "ask":
        return Usual("", "", row["text"], tuple(rest))
    return Usual(first, rest[0], row["text"])


def usual(said: str, given: str, place: str) -> Usual | None:
    """What is usual for a family word when `given` is said of it at a `place`: a gender, a form, a kind of part, nothing
    (""), or anything at all ("*")."""
    known = _usual()
    return known.get((said, given, place)) or known.get((said, given, "*"))


@cache
def rare_sizes(family: str) -> frozenset[str]:
    """Sizes that nobody means unless they are written out: a fraction is not read as one of these."""
    return frozenset(size for row in table("words-rare") if row["family"] == family for size in row["sizes"].split())


class Shape(NamedTuple):
    """A shape word: the `part` shape it makes, how many `ends` it has, their genders where the word fixes them."""

    part: str
    ends: int
    sexes: tuple[str, ...]
    order: str


@cache
def shapes() -> dict[str, Shape]:
    """All shape words by their key."""
    return {
        row["shape"]: Shape(row["part"], int(row["ends"]), tuple(row["sexes"].split()), row["order"])
        for row in table("words-shapes")
    }
