"""How a count and a list are said."""

from collections.abc import Iterable


def counted(count: int, what: str) -> str:
    """A number with its word, in the plural where it is not one.

    >>> counted(1, "part"), counted(2, "kind")
    ('1 part', '2 kinds')
    """
    return f"{count} {what}{'' if count == 1 else 's'}"


def both(words: Iterable[str]) -> str:
    """Words in a row, each once: `a`, `a and b`, `a, b and c`."""
    return _row(words, "and")


def either(words: Iterable[str]) -> str:
    """Words in a row, each once: `a`, `a or b`, `a, b or c`."""
    return _row(words, "or")


def _row(words: Iterable[str], link: str) -> str:
    *before, last = dict.fromkeys(words)
    return f"{', '.join(before)} {link} {last}" if before else last
