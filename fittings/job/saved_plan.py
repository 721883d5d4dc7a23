"""A saved plan as it stands in its file: read, and gone through line by line. Nothing here plans or judges."""

import json
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from fittings.check import Piece
from fittings.ends import End, end_by_id

Saved = dict[str, Any]

LARGEST_BYTES = 20_000_000
MOST_LINES = 5_000


class BadPlan(ValueError):
    """A file is not a saved plan, or something in it cannot be read; the text says where and what."""


def read_plan_file(path: str) -> Saved:
    """A saved plan. Raises BadPlan, and OSError when the file cannot be read."""
    with Path(path).open("rb") as file:
        content = file.read(LARGEST_BYTES + 1)  # never all of it: a device never ends
    if len(content) > LARGEST_BYTES:
        raise BadPlan(f"more than {LARGEST_BYTES} bytes is too long for a saved plan")
    try:
        saved = json.loads(content.decode("utf-8-sig"), parse_constant=_no_number)
    except (ValueError, RecursionError) as error:  # ValueError: no UTF-8, no JSON, or a number of thousands of digits
        raise BadPlan(f"not a saved plan: {error}; it is what fittings plan FILE --json prints") from None
    if not isinstance(saved, dict) or not isinstance(saved.get("lines"), list):
        raise BadPlan("not a saved plan: it has no list of lines; it is what fittings plan FILE --json prints")
    if next(islice(every_line(saved["lines"]), MOST_LINES, None), None) is not None:
        raise BadPlan(f"more than {MOST_LINES} lines is too long for a saved plan")
    return saved


def _no_number(constant: str) -> None:
    raise ValueError(f"{constant} is no number that a plan can hold")


def tables_in(value: Any) -> list[Saved]:
    """The tables of a list; none of anything else."""
    return [each for each in value if isinstance(each, dict)] if isinstance(value, list) else []


def every_line(lines: Any) -> Iterator[Saved]:
    """All lines, and the branches of those that split."""
    for line in tables_in(lines):
        yield line
        yield from every_line(line.get("branches"))


def done_lines(saved: Saved) -> list[Saved]:
    """Lines, and branches, of which no part was given up: those that are bought for and put together."""
    whole = [line for line in tables_in(saved.get("lines")) if not any(each.get("refused") for each in every_line([line]))]
    return list(every_line(whole))


def end_written(written: Saved) -> End:
    """The end that an id names. Raises KeyError, UnknownEnd."""
    return end_by_id(str(written["id"]))


def pieces(parts: list[Saved]) -> list[Piece]:
    """Parts as they lie in a line. Raises KeyError, UnknownEnd."""
    return [Piece(end_written(each["ends"][0]), end_written(each["ends"][1]), str(each["shape"])) for each in parts]


def asked_psi(line: Saved) -> float:
    """What a line must hold, psi, as it was before it was saved to a thousandth: the least that it can have been. Raises KeyError."""
    return max(float(line["max_psi"]) - 0.0005, 0.0)


def written_as(written: Any, right: Any, within: Callable[[float], float]) -> bool:
    """Whether a value is written as it is: a figure `within` so much of it, all else just so.

    >>> written_as(3.0004, 3, lambda _: 0.001), written_as("3", 3, lambda _: 0.001)
    (True, False)
    """
    if (one := number(written)) is not None and (other := number(right)) is not None:
        return abs(one - other) <= within(abs(other))
    return type(written) is type(right) and bool(written == right)


def number(value: Any) -> float | None:
    """A number as written, None where there is none, nor one that a float can hold.

    >>> number(3), number("3"), number(10**400)
    (3.0, None, None)
    """
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        return None
    try:
        return float(value)
    except OverflowError:
        return None
