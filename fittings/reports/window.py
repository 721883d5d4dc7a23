"""The window that an answer is shown in: how wide it is, whether it takes tables and colour; and what may not steer it.

Where the answer goes to a file or a pipe there is no window: 80 columns, plain words, and nothing else.
"""

import os
import sys
from textwrap import wrap
from typing import Literal

WIDTH = 80
WIDEST_WORDS = 100
"""Longer lines of running words are hard to follow back to their beginning."""

WIDEST_TABLE = 140
NARROWEST = 20

LEAST_ROOM = 22
"""Columns that are left to words beside their indent, in however narrow a window."""

STEERING = {
    **dict.fromkeys((*range(0x09), *range(0x0E, 0x20), *range(0x7F, 0xA0))),  # a terminal acts on these
    **dict.fromkeys((0x0B, 0x0C, 0x0D), " "),
    **dict.fromkeys((0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))),  # these turn the writing round
}


def harmless(text: str) -> str:
    """A text that was typed or read from a file, without the signs that steer a terminal or turn the writing round.

    >>> harmless("left\\x1b[2J cylinder\\u202e")
    'left[2J cylinder'
    """
    return text.translate(STEERING)


def has_window() -> bool:
    """Whether the answer goes to a terminal."""
    return sys.stdout.isatty()


def columns() -> int:
    """Columns of the window, never fewer than 20; 80 where there is none."""
    if not has_window():
        return WIDTH
    from shutil import get_terminal_size

    return max(get_terminal_size((WIDTH, 24)).columns, NARROWEST)


def words_width() -> int:
    """Columns that running words are folded to."""
    return min(columns(), WIDEST_WORDS)


def lines(text: str, indent: str = "", hang: str | None = None) -> str:
    """A paragraph folded to the window, or to 80 columns; signs that would steer a terminal are left out."""
    width = words_width()
    deepest = max(width - LEAST_ROOM, width // 3)
    return "\n".join(wrap(harmless(text), width, initial_indent=indent[:deepest],
                          subsequent_indent=(indent if hang is None else hang)[:deepest],
                          break_on_hyphens=False, break_long_words=True))


def each_folded(text: str) -> str:
    """Lines folded one by one to the window, what is left of a line hanging under it."""
    out = []
    for line in text.split("\n"):
        indent = " " * (len(line) - len(line.lstrip(" ")))
        out.append(lines(line.lstrip(" "), indent, indent + "  ") if len(line) > words_width() else line)
    return "\n".join(out)


def table_width() -> int:
    """Columns that a table may take."""
    return min(columns(), WIDEST_TABLE)


def _able() -> bool:
    return has_window() and (os.name == "nt" or os.environ.get("TERM", "") not in ("", "dumb", "unknown"))


def takes_tables() -> bool:
    """Whether tables are drawn: in a terminal that is not dumb and has 80 columns; in less room a table is a row of splinters."""
    return _able() and columns() >= WIDTH


def takes_colour() -> bool:
    """Whether colour is used: in a terminal that is not dumb, unless NO_COLOR is set to anything."""
    return _able() and not os.environ.get("NO_COLOR") and (os.name != "nt" or "WT_SESSION" in os.environ)


def shows(signs: str) -> bool:
    """Whether the terminal has these signs."""
    try:
        signs.encode(sys.stdout.encoding or "utf-8")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


Paint = Literal["plain", "bold", "red", "yellow", "green"]
_PAINTS: dict[Paint, str] = {"bold": "1", "red": "1;31", "yellow": "33", "green": "1;32"}


def painted(text: str, paint: Paint) -> str:
    """A text in colour where there is colour; the words alone must say it all."""
    if paint == "plain" or not takes_colour():
        return text
    return "\n".join(f"\x1b[{_PAINTS[paint]}m{line}\x1b[0m" for line in text.split("\n"))
