"""Tables for a window, drawn by rich: the one module that loads it, and only for verbs that take their time anyway."""

import re
from collections.abc import Iterable, Sequence
from io import StringIO
from textwrap import wrap
from typing import NamedTuple

from rich.box import Box
from rich.console import Console, ConsoleOptions, RenderResult
from rich.measure import Measurement
from rich.table import Table
from rich.text import Text

from fittings.reports.window import harmless, shows, table_width, takes_colour

_RULED = Box("    \n    \n ━━ \n    \n ── \n ━━ \n    \n    \n")
_TYPED = Box("    \n    \n == \n    \n -- \n == \n    \n    \n", ascii=True)
"""Rules under the heads and between the rows, and the same for a terminal that has no signs for them."""

_HELD = re.compile(r"(?<=[^\W\d]) (?=-\d)|(?<=\d) (?=(?:psi|bar|in|mm|lbf·ft|N·m)\b)")
"""A size and the name before it, a figure and its unit: never torn apart at the end of a line."""

_GLUE = "\ue000"


class Column(NamedTuple):
    """A column: its head; its share of the room that is left when the others have what they need (0: it takes what it
    needs); whether its figures stand to the right."""

    head: str
    share: int = 0
    right: bool = False


class _Cell:
    """A text folded to the width that the table gives it, later lines hanging."""

    def __init__(self, text: str) -> None:
        self.text = "\n".join(map(harmless, text.split("\n")))

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        held = _HELD.sub(_GLUE, self.text).split("\n")
        folded = [line for each in held for line in wrap(each, options.max_width, subsequent_indent="  ", break_on_hyphens=False)]
        yield Text("\n".join(folded).replace(_GLUE, " "))

    def __rich_measure__(self, console: Console, options: ConsoleOptions) -> Measurement:
        return Measurement.get(console, options, Text(self.text))


def board(columns: Sequence[Column], rows: Iterable[Sequence[str]], indent: int = 2, ruled: bool = True) -> str:
    """A table as wide as the window allows: `rows` of one text a column, a line break where a cell has several lines.

    `ruled` draws a rule between rows, for rows of several lines. Whatever a cell holds is shown, never obeyed.
    """
    table = Table(box=_RULED if shows("━─") else _TYPED, show_lines=ruled, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0),
                  header_style="bold" if takes_colour() else "", expand=any(column.share for column in columns))
    for column in columns:
        table.add_column(column.head, ratio=column.share or None, justify="right" if column.right else "left",
                         overflow="fold", no_wrap=not column.share)
    for row in rows:
        table.add_row(*(_Cell(cell) if column.share else Text(harmless(cell)) for column, cell in zip(columns, row, strict=True)))
    out = StringIO()
    console = Console(file=out, width=table_width() - indent, force_terminal=takes_colour(), legacy_windows=False,
                      color_system="standard" if takes_colour() else None, _environ={})
    console.print(table)
    return "\n".join(" " * indent + line.rstrip() for line in out.getvalue().rstrip("\n").split("\n"))
