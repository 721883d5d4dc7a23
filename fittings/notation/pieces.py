"""A text cut into pieces: words of the table, sizes, and what is neither."""

import re
from functools import cache
from typing import NamedTuple

from fittings.notation.errors import NotUnderstood
from fittings.notation.sizes import Size, inch_text, inches_64, is_known_metric, is_known_thread
from fittings.notation.words import LONGEST_TEXT, Folded, Word, fold, phrase_at


class Piece(NamedTuple):
    """One piece of a text: a `word` of the table, a `size`, or neither; `text` as folded, and its place there."""

    text: str
    start: int
    stop: int
    word: Word | None = None
    size: Size | None = None

    def is_kind(self, kind: str) -> bool:
        return self.word is not None and self.word.kind == kind


class Cut(NamedTuple):
    """A text and its pieces."""

    typed: str
    folded: Folded
    pieces: tuple[Piece, ...]

    def sides(self) -> tuple[tuple[Piece, ...], ...]:
        """The pieces between the pair words; sides with nothing in them are left out."""
        found: list[list[Piece]] = [[]]
        for piece in self.pieces:
            if piece.is_kind("pair"):
                found.append([])
            else:
                found[-1].append(piece)
        return tuple(tuple(side) for side in found if side)

    def typed_side(self, side: tuple[Piece, ...]) -> str:
        """One side as it was typed."""
        stop = side[-1].stop
        closing = self.folded.text[stop:stop + 1] in (")", "°", '"')
        return self.folded.typed(self.typed, side[0].start, stop + 1 if closing else stop)


_METRIC = r"m(?P<gap> ?)(?P<mm>\d+(?:[.,]\d+)?)(?: ?mm)?(?: ?(?:x| by ) ?(?P<pitch>\d+(?:[.,]\d+)?)(?: ?mm)?)?(?![\d/])"
_METRIC_BARE = r"(?P<mm>\d+(?:[.,]\d+)?)(?P<unit> ?mm)? ?(?:x|by) ?(?P<pitch>\d+(?:[.,]\d+)?)(?: ?mm)?(?![\d/]|[.,]\d)"
_TUBE = r"(?P<mm>\d{1,2})[ -]?(?P<series>ll|l|s)(?![a-z\d])"
_TUBE_TURNED = r"(?P<series>ll|l|s)[ -]?(?P<mm>\d{1,2})(?![\d/]|[.,]\d)"
_NUMBER = r"(?:\d+(?: ?[-.] ?| )(?=\d+/))?\d+/\d+|\d+[.,]\d+|[.,]\d+|\d+"
_THREADS = r"(?P<link> ?- ?| ?x ?| by | ?un(?:ef|[fcs])?[ -]*(?=\d)| +)(?P<tpi>\d+(?:[.,]\d+)?)(?![\d/]|[.,]\d)"
_ARROW = r"[-=~]*>+"
_DASH = r"-(?P<number>\d+)(?![\d/]|[.,]\d|-\d+/)"
_MARKED = r"[ .:-]*(?P<number>\d+)(?![\d/]|[.,]\d)"
_MARKED_DN = r"[ .:-]*(?P<number>\d+(?:[.,]\d+)?)(?![\d/])"
_ID_GOES_ON = r"-[a-z]"
_BODIES = ("iso", "din", "sae", "jis", "bs", "en", "asme", "ansi", "nfpa", "gost")
_STANDARD = (
    rf"(?P<body>{'|'.join(_BODIES)})[ -]?(?P<letter>[a-z]{{0,2}}) ?(?P<number>\d{{3,6}}(?:[-.]\d+)*)(?![a-z\d/])")
_NO_UNIT = Word("unit", "", (), "")
_IN_MM = ("dn", "mm", "metric", "tube")
_PUNCTUATION = frozenset(",;:()[]{}._/'\"!?-°|")


def cut(typed: str) -> Cut:
    """Cut a text into pieces.

    Raises NotUnderstood for no text and for a text longer than 200 characters.

    >>> [piece.text for piece in cut("ORB -6 port x 7/8 x 14 JIC").pieces]
    ['orb', '-6', 'port', 'x', '7/8 x 14', 'jic']
    """
    if len(typed) > LONGEST_TEXT:
        shown = typed[:40].strip() + " …"
        raise NotUnderstood(shown, f"{len(typed)} characters are too long for an end or a part (at most {LONGEST_TEXT})",
                            "name one end, such as “ORB -6 port”")
    folded = fold(typed)
    return Cut(typed, folded, tuple(_Cutter(folded.text).pieces()))


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.ASCII)


def _match(pattern: str, text: str, place: int) -> re.Match[str] | None:
    # compiled when first needed: most texts use few of the patterns, and compiling all takes longer than the answer
    return _compiled(pattern).match(text, place)


class _Cutter:
    def __init__(self, text: str) -> None:
        self.text = text
        self.found: list[Piece] = []

    def pieces(self) -> list[Piece]:
        place = 0
        while place < len(self.text):
            if self.text[place].isspace():
                place += 1
                continue
            place = self._next(place)
        return _how_many_apart(self.found)

    def _next(self, place: int) -> int:
        sign = self.text[place]
        arrow = _match(_ARROW, self.text, place) if sign in "-=~>" else None
        if arrow:
            return self._word(Word("pair", "", (), "->"), place, arrow.end())
        if sign == "-":
            return self._hyphen(place)
        if (sign.isascii() and sign.isdigit()) or (sign in ".," and _match(_NUMBER, self.text, place)):
            return self._numeral(place)
        if sign.isalpha():
            return self._letters(place)
        found = phrase_at(self.text, place)
        if found:
            return self._mark_or_word(found.word, place, found.stop)
        if sign not in _PUNCTUATION:
            self.found.append(Piece(sign, place, place + 1))
        return place + 1

    def _word(self, word: Word, start: int, stop: int) -> int:
        self.found.append(Piece(self.text[start:stop], start, stop, word=word))
        return stop

    def _size(self, size: Size, start: int, stop: int) -> int:
        self.found.append(Piece(self.text[start:stop].strip(), start, stop, size=size))
        return stop

    def _mark_or_word(self, word: Word, start: int, stop: int) -> int:
        if word.kind == "unit" and self.found and self.found[-1].size and self.found[-1].size.kind in _IN_MM:
            return stop
        if word.kind == "inch":
            return self._size(Size("inch", word.value, inch_64=inches_64(word.value) or 0), start, stop)
        if word.kind != "mark":
            return self._word(word, start, stop)
        match = _match(_MARKED_DN if word.value == "dn" else _MARKED, self.text, stop)
        if not match:
            return self._number_in_words(word, start, stop)
        if word.value == "how many":
            return self._word(word._replace(kind="aside"), start, match.end())
        if word.value == "dn":
            millimetres = float(match["number"].replace(",", "."))
            return self._size(Size("dn", f"DN{millimetres:g}", mm=millimetres), start, match.end())
        number = int(match["number"])
        return self._size(Size("dash", f"-{number}", number=number), start, match.end())

    def _number_in_words(self, mark: Word, start: int, stop: int) -> int:
        """The dash size of `number eight`; a mark with nothing to mark tells nothing."""
        after = stop + len(self.text[stop:]) - len(self.text[stop:].lstrip())
        found = phrase_at(self.text, after) if mark.value == "dash" and after < len(self.text) else None
        number = int(next(found.word.values("number"), 0)) if found else 0
        return self._size(Size("dash", f"-{number}", number=number), start, found.stop) if found and number else stop

    def _hyphen(self, place: int) -> int:
        after = place + 1
        glued = place > 0 and not self.text[place - 1].isspace()
        if glued and (_match(_TUBE, self.text, after) or self._bare_metric(after)):
            return after
        match = _match(_DASH, self.text, place)
        if match:
            number = int(match["number"])
            shape = phrase_at(self.text, after)
            if shape and shape.word.kind == "shape" and number in (45, 90):
                return self._word(shape.word, after, shape.stop)
            if glued and self.found and self.found[-1].is_kind("short") and self._short_follows(match.end()):
                return self._word(Word("pair", "", (), "-"), place, after)
            # in an id such as npt-1-male the hyphens only part its words
            in_id = glued and _match(_ID_GOES_ON, self.text, match.end()) is not None
            return self._size(Size("dash", f"-{number}", number=number, role="id" if in_id else ""), place, match.end())
        if glued and self.found and self.found[-1].is_kind("short") and self._short_follows(after):
            return self._word(Word("pair", "", (), "-"), place, after)
        return after

    def _short_follows(self, place: int) -> bool:
        found = phrase_at(self.text, place)
        return found is not None and found.word.kind == "short"

    def _letters(self, place: int) -> int:
        metric = _match(_METRIC, self.text, place) if self.text[place] == "m" else None
        if metric and not (metric["gap"] and not metric["pitch"]):
            return self._metric(metric, place)
        tube = _match(_TUBE_TURNED, self.text, place) if self.text[place] in "ls" else None
        if tube:
            return self._size(_tube_size(tube), place, tube.end())
        found = phrase_at(self.text, place)
        standard = _match(_STANDARD, self.text, place) if self.text.startswith(_BODIES, place) else None
        # `BSPT 316` is a thread and a steel
        a_word = standard and found and standard["letter"] and found.stop >= standard.end("letter")
        if standard and not a_word and (found is None or found.stop < standard.start("number") + 3):
            name = f"{standard['body']} {standard['letter']}{standard['number']}".upper()
            return self._word(Word("uncovered", f"the standard {name}", (), name), place, standard.end())
        if found:
            return self._mark_or_word(found.word, place, found.stop)
        stop = place + 1
        while stop < len(self.text) and self.text[stop].isalpha():
            stop += 1
        if self.text[place] == "x" and place > 0 and phrase_at(self.text, place + 1):
            return self._word(Word("pair", "", (), "x"), place, place + 1)
        if self.text[stop - 1] == "s":
            single = phrase_at(self.text[:stop - 1], place)
            if single and single.stop == stop - 1 and _has_plural(single.word):
                return self._word(single.word, place, stop)
        self.found.append(Piece(self.text[place:stop], place, stop))
        return stop

    def _metric(self, match: re.Match[str], place: int) -> int:
        across, pitch = _metric_figures(match)
        shown = f"M{across:g}x{pitch:g}" if pitch else f"M{across:g}"
        return self._size(Size("metric", shown, mm=across, pitch_mm=pitch), place, match.end())

    def _bare_metric(self, place: int) -> re.Match[str] | None:
        """A metric thread without its M: `22x1,5`, `10mm x 1.0`; `8 x 6` is a pair of sizes."""
        match = _match(_METRIC_BARE, self.text, place)
        if not match:
            return None
        across, pitch = _metric_figures(match)
        written_out = bool(match["unit"]) or any(sign in match["pitch"] for sign in ".,")
        plausible = 0.25 <= pitch <= 6 and pitch * 3 <= across
        return match if plausible and (written_out or is_known_metric(across, pitch)) else None

    def _numeral(self, place: int) -> int:
        found = phrase_at(self.text, place)
        if found and not self._is_measure(found.word, found.stop):
            return self._word(found.word, place, found.stop)
        metric = self._bare_metric(place)
        if metric:
            return self._metric(metric, place)
        tube = _match(_TUBE, self.text, place)
        if tube:
            return self._size(_tube_size(tube), place, tube.end())
        number = _match(_NUMBER, self.text, place)
        assert number is not None
        return self._figure(number.group(), place, number.end())

    def _is_measure(self, word: Word, stop: int) -> bool:
        """`45` is a shape and `3000` a pressure, but `45 mm` and `3000 mm` are measures."""
        return word.word.isdigit() and self._unit(stop)[0].value in ("mm", "inch")

    def _unit(self, place: int) -> tuple[Word, int]:
        """The unit that follows a number, and where it stops; no unit and `place` when none does."""
        start = place
        while start < len(self.text) and self.text[start] in " -":
            start += 1
        found = phrase_at(self.text, start) if start < len(self.text) else None
        if found and found.word.kind == "unit":
            stop = found.stop
            if self.text[stop:stop + 1] == ".":
                stop += 1
            return found.word, stop
        return _NO_UNIT, place

    def _figure(self, text: str, start: int, stop: int) -> int:
        word, after = self._unit(stop)
        unit = word.value
        if unit not in ("", "mm", "inch", "tpi"):
            return self._word(word._replace(kind="aside"), start, after)
        if unit == "mm" or (not unit and _is_metric_decimal(text)):
            if "/" in text:
                self.found.append(Piece(self.text[start:after], start, after))
                return after
            across = float(text.replace(",", "."))
            return self._size(Size("mm", f"{across:g}{' mm' if unit else ''}", mm=across), start, after)
        if unit == "tpi":
            count = 0.0 if "/" in text else float(text.replace(",", ".")) * 2
            if not count or count != int(count):
                self.found.append(Piece(self.text[start:after], start, after))
                return after
            return self._size(Size("tpi", f"{count / 2:g} threads per inch", tpi_x2=int(count)), start, after)
        inches = inches_64(" ".join(text.replace("-", " ").split()) if "/" in text else text)
        if inches is None:
            if text.isdigit():
                return self._size(Size("whole", text[:12], number=int(text)), start, stop)
            self.found.append(Piece(self.text[start:stop], start, stop))
            return stop
        threads = self._threads_after(inches, text, after if unit else stop)
        if threads:
            return self._size(threads[0], start, threads[1])
        if text.isdigit() and unit != "inch":
            return self._size(Size("whole", str(int(text)), number=int(text)), start, stop)
        return self._size(Size("inch", inch_text(inches), inch_64=inches), start, after)

    def _threads_after(self, inches: int, text: str, stop: int) -> tuple[Size, int] | None:
        """The thread that a diameter and a count make: `3/4-16`, `7/8 x 14`, `3/8 18`, `1/2 UNF 20`; None when they are two things."""
        match = _match(_THREADS, self.text, stop)
        if not match:
            return None
        count = float(match["tpi"].replace(",", ".")) * 2
        if count != int(count) or not 6 <= count <= 160:
            return None
        tpi_x2, link = int(count), match["link"]
        unit, after = self._unit(match.end())
        if unit.value in ("mm", "inch"):
            return None
        counted, whole, by_hyphen, named = unit.value == "tpi", text.isdigit(), link.strip() == "-", "un" in link
        one_size_twice = tpi_x2 * 2 == inches
        bare = by_hyphen and not whole and link == "-" and not one_size_twice
        if not (counted or bare or ((by_hyphen or named or not whole) and is_known_thread(inches, tpi_x2))):
            return None
        shown = f"{inch_text(inches)}-{count / 2:g}"
        return Size("thread", shown, inch_64=inches, tpi_x2=tpi_x2), after if counted else match.end()


_MOST_INCHES = 5
"""Inches of the largest size in our tables: the flange -80 of SAE J518."""


def _is_metric_decimal(text: str) -> bool:
    """Whether a number without a unit can only be mm: `12,5`, the body of a coupler or the bore of a hose."""
    return "/" not in text and not text.isdigit() and float(text.replace(",", ".")) > _MOST_INCHES


_NOUNS = ("family", "form", "sex", "shape", "role", "ask", "uncovered")


def _has_plural(word: Word) -> bool:
    """Whether an s behind a word makes its plural: of swivel, hose and tee, never of a short name or of "of"."""
    return word.kind in _NOUNS and len(word.word) > 2 and word.word.islower()


def _how_many_apart(found: list[Piece]) -> list[Piece]:
    """The pieces of `4 x JIC -8 male`, where the 4 is a number of pieces: what follows it has a size of its own, and its
    family word does not come last as in `8 x 6 JIC`."""
    counted = len(found) > 2 and found[0].size and found[0].size.kind == "whole" and found[1].text == "x" and found[1].is_kind("pair")
    if not counted or found[2].size or not any(each.size for each in found[3:]):
        return found
    return [found[0]._replace(text=f"{found[0].text} x", stop=found[1].stop, size=None, word=Word("aside", "how many", (), "")), *found[2:]]


def _metric_figures(match: re.Match[str]) -> tuple[float, float]:
    return float(match["mm"].replace(",", ".")), float((match["pitch"] or "0").replace(",", "."))


def _tube_size(match: re.Match[str]) -> Size:
    across = int(match["mm"])
    return Size("tube", f"{across}{match['series'].upper()}", number=across, mm=float(across))
