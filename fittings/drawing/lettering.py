"""How much room words take in a drawing, and how they are made to fit.

A drawing is made without knowing the font that will show it. The widths here are those of a wide sans-serif face, so
that a narrower one never runs into its neighbour.
"""

import re
import unicodedata
from typing import NamedTuple

_WIDTHS = {
    0.28: "'ijl", 0.30: "I", 0.32: " ,.·‘’", 0.34: "/:;\\|", 0.36: "f", 0.37: "-", 0.40: "()[]t", 0.41: "!", 0.42: "r",
    0.46: '"', 0.50: "*J`°", 0.52: "“”", 0.53: "sz", 0.55: "c", 0.56: "?L_–", 0.58: "k", 0.60: "vxy", 0.62: "FTaeoøéäö",
    0.64: "$0123456789bdghnpqu{}µüß", 0.67: "EKPSY", 0.69: "ABVXZ", 0.73: "CR", 0.74: "U", 0.75: "N", 0.76: "H",
    0.77: "D", 0.78: "&G", 0.79: "OQØ", 0.82: "w", 0.84: "#+<=>^~×±≈≤≥↑↓", 0.87: "M", 0.96: "%", 0.97: "½¼¾⅛⅜⅝⅞",
    0.98: "m", 0.99: "W", 1.00: "—…→←", 1.02: "@",
}
_WIDTH = {letter: width for width, letters in _WIDTHS.items() for letter in letters}
_BOLD = 1.14
_UNKNOWN = 0.8
_SQUARE = 1.3
_NO_WIDTH = {"Mn", "Me", "Cf"}
_TURNERS = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Marks that turn the direction of whatever stands behind them, so also of words that are not theirs."""

ASCENT, DESCENT = 0.93, 0.24
"""How far letters reach above and below the line they stand on, as a share of their size."""

LINE = 1.3
"""From one line of words to the next, as a share of the size."""


class Box(NamedTuple):
    """A rectangle on the page in mm: left, top, right, bottom."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box", gap: float = 0.0) -> bool:
        """Whether the two overlap, or come closer than `gap` mm."""
        return (self.left < other.right + gap and other.left < self.right + gap
                and self.top < other.bottom + gap and other.top < self.bottom + gap)

    @property
    def middle(self) -> tuple[float, float]:
        """Its centre."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def grown(self, by: float) -> "Box":
        """The rectangle with `by` mm more on every side."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)


def clean(words: str) -> str:
    """Words on one line, without the characters that no page may hold.

    >>> clean("lift\\x00 cylinder\\n2")
    'lift cylinder 2'
    """
    kept = "".join(letter for letter in re.sub(r"\s+", " ", words)
                   if unicodedata.category(letter) not in ("Cc", "Cs", "Cn", "Co") and letter not in _TURNERS)
    return kept.strip()


def width_mm(words: str, size_mm: float, bold: bool = False) -> float:
    """Width in mm that words take at a letter size in mm.

    >>> width_mm("", 3.5)
    0.0
    """
    ems = sum(_letter_width(letter) for letter in words)
    return ems * size_mm * (_BOLD if bold else 1.0)


def _letter_width(letter: str) -> float:
    if letter in _WIDTH:
        return _WIDTH[letter]
    if unicodedata.category(letter) in _NO_WIDTH:
        return 0.0
    if unicodedata.east_asian_width(letter) in "WF" or ord(letter) > 0xFFFF:
        return _SQUARE
    return _UNKNOWN


def fitted(words: str, size_mm: float, room_mm: float, bold: bool = False) -> str:
    """Words cut to fit `room_mm`, with … where something was cut.

    >>> fitted("lift cylinder", 3.5, 15.0)
    'lift cyl…'
    """
    if width_mm(words, size_mm, bold) <= room_mm:
        return words
    kept = words
    while kept and width_mm(kept + "…", size_mm, bold) > room_mm:
        kept = kept[:-1]
        while kept and (unicodedata.category(kept[-1]) in _NO_WIDTH or unicodedata.combining(kept[-1])):
            kept = kept[:-1]
    return kept.rstrip() + "…"


def wrapped(words: str, size_mm: float, room_mm: float, lines: int = 99, bold: bool = False) -> list[str]:
    """Words broken into lines no wider than `room_mm`; the last of at most `lines` ends with … where something was cut.

    >>> wrapped("valve to lift cylinder", 3.5, 26.0)
    ['valve to lift', 'cylinder']
    """
    found: list[str] = []
    line = ""
    left = words.split(" ")
    while left:
        longer = f"{line} {left[0]}" if line else left[0]
        if width_mm(longer, size_mm, bold) <= room_mm:
            line = longer
            left.pop(0)
            continue
        if not line:
            head = fitted(left[0], size_mm, room_mm, bold).removesuffix("…") or left[0][:1]
            line, left[0] = head, left[0][len(head):]
        if len(found) + 1 == lines:
            found.append(fitted(" ".join([line, *left]), size_mm, room_mm, bold))
            return found
        found.append(line)
        line = ""
        left = [word for word in left if word]
    if line:
        found.append(line)
    return found


def box(x: float, y: float, words: str, size_mm: float, anchor: str = "start", bold: bool = False) -> Box:
    """The rectangle that words take whose line begins (`start`), has its `middle` or its `end` at x, y in mm."""
    wide = width_mm(words, size_mm, bold)
    left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    return Box(left, y - ASCENT * size_mm, left + wide, y + DESCENT * size_mm)
