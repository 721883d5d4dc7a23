"""Cells that a spreadsheet shows as they are, whatever somebody wrote into them."""

import re

_FORMULA = re.compile(r"\s*[-=+@\t\r\n\u2212\uFF0B\uFF0D\uFF1D\uFF20]")
_NUMBER = re.compile(r"[-\u2212]?\d+(?:\.\d+)?", re.ASCII)


def harmless(cell: str) -> str:
    """The cell with an apostrophe before it where a spreadsheet would take it for a formula; numbers, and with them dash
    sizes, stay as they are.

    >>> harmless("=1+1"), harmless("-8"), harmless("-8+cmd"), harmless("ORB -8 port")
    ("'=1+1", '-8', "'-8+cmd", 'ORB -8 port')
    """
    return f"'{cell}" if _FORMULA.match(cell) and not _NUMBER.fullmatch(cell) else cell
