"""On which line of a TOML text each key stands, so that a mistake can be shown where it was typed.

The reader of the standard library tells what a text means and not where; this one tells where and not what. It is only
asked about texts that the other has already accepted.
"""

import re
from bisect import bisect_right
from itertools import accumulate

Path = tuple[str | int, ...]
"""A way into a job file: `("line", 0, "route", "length")` is the length of the route of the first line."""

DEEPEST = 12
"""Keys within keys that are remembered: no table of a job file lies so deep, and a hostile one could fill the memory."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_PLAIN_VALUE = re.compile(r"[^,\]}#\n]*")


def toml_lines(text: str) -> dict[Path, int]:
    """Line number, from 1, of every table header, key and array element of a TOML text.

    >>> toml_lines('[a]\\nb = 1\\n[[c]]\\nd = {e = 2}\\n')[("c", 0, "d", "e")]
    4
    """
    scan = _Scan(text)
    scan.document()
    return scan.found


def line_of(lines: dict[Path, int], path: Path) -> int | None:
    """The line of a key, or of the nearest thing around it that has one.

    >>> line_of({("a",): 3}, ("a", "b", 0))
    3
    """
    for count in range(len(path), 0, -1):
        if path[:count] in lines:
            return lines[path[:count]]
    return None


class _Scan:
    def __init__(self, text: str) -> None:
        self.text, self.at = text.replace("\r\n", "\n"), 0
        self.found: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}
        self.starts = [0, *accumulate(len(line) + 1 for line in self.text.split("\n"))]

    def document(self) -> None:
        table: Path = ()
        while self._skip_blank():
            if self._starts("["):
                table = self._header()
            else:
                self._key_value(table)
            self._rest_of_line()

    def _header(self) -> Path:
        double = self._starts("[[")
        self.at += 2 if double else 1
        path = self._resolved(self._key())
        if double:
            self.found.setdefault(path, self._line())
            self.counts[path] = self.counts.get(path, -1) + 1
            path = (*path, self.counts[path])
        self.found.setdefault(path, self._line())
        self._until("\n")
        return path

    def _resolved(self, key: Path) -> Path:
        """A header's key with the number of the array element that it means put in."""
        path: Path = ()
        for number, part in enumerate(key):
            path = (*path, part)
            if path in self.counts and number < len(key) - 1:
                path = (*path, self.counts[path])
        return path

    def _key_value(self, table: Path) -> None:
        line, key = self._line(), self._key()
        for count in range(1, min(len(key), DEEPEST) + 1):
            self.found.setdefault((*table, *key[:count]), line)
        self._skip_spaces()
        if self._starts("="):
            self.at += 1
            self._skip_spaces()
            self._value((*table, *key))

    def _key(self) -> Path:
        parts: list[str | int] = []
        while True:
            self._skip_spaces()
            if self._starts('"') or self._starts("'"):
                parts.append(self._string()[1:-1])
            else:
                match = _BARE.match(self.text, self.at)
                if match is None:
                    return tuple(parts)
                parts.append(match.group())
                self.at = match.end()
            self._skip_spaces()
            if not self._starts("."):
                return tuple(parts)
            self.at += 1

    def _value(self, path: Path) -> None:
        if self._starts('"') or self._starts("'"):
            self._string()
        elif self._starts("["):
            self._inside(path, "]", named=False)
        elif self._starts("{"):
            self._inside(path, "}", named=True)
        else:
            match = _PLAIN_VALUE.match(self.text, self.at)
            self.at = match.end() if match else len(self.text)

    def _inside(self, path: Path, closing: str, named: bool) -> None:
        self.at += 1
        count = 0
        while self._skip_blank() and not self._starts(closing):
            before = self.at
            if self._starts(","):
                self.at += 1
            elif named:
                self._key_value(path)
            else:
                self.found.setdefault((*path, count), self._line())
                self._value((*path, count))
                count += 1
            if self.at == before:
                return
        self.at += 1

    def _string(self) -> str:
        start, quote = self.at, self.text[self.at]
        fence = quote * 3 if self._starts(quote * 3) else quote
        self.at += len(fence)
        while self.at < len(self.text) and not self._starts(fence):
            self.at += 2 if quote == '"' and self._starts("\\") else 1
        self.at += len(fence)
        while len(fence) == 3 and self._starts(quote):
            self.at += 1
        return self.text[start : self.at]

    def _skip_blank(self) -> bool:
        while self.at < len(self.text):
            if self._starts("#"):
                self._until("\n")
            elif self.text[self.at].isspace():
                self.at += 1
            else:
                return True
        return False

    def _skip_spaces(self) -> None:
        while self.at < len(self.text) and self.text[self.at] in " \t":
            self.at += 1

    def _rest_of_line(self) -> None:
        self._until("\n")

    def _until(self, sign: str) -> None:
        found = self.text.find(sign, self.at)
        self.at = len(self.text) if found < 0 else found

    def _starts(self, sign: str) -> bool:
        return self.text.startswith(sign, self.at)

    def _line(self) -> int:
        return bisect_right(self.starts, self.at)
