from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

from fittings.cli.frame import ANSWERED, BAD_INPUT, Failure, JsonFlag, leave, say

if TYPE_CHECKING:
    from fittings.stock import Shelf


def stock(
    file: Annotated[str, typer.Argument(help="The shelf: CSV or XLSX with columns qty, part, price, place.")],
    as_json: JsonFlag = False,
) -> None:
    """Read a shelf and say what was understood, and which rows were kept aside and why."""
    from fittings.reports.as_json import dumps
    from fittings.reports.stock_text import shelf_json, shelf_text

    shelf = shelf_of(file)
    say(dumps(shelf_json(shelf)) if as_json else shelf_text(shelf))
    leave(ANSWERED)


def shelf_of(file: str) -> "Shelf":
    """The shelf in a file. Raises Failure."""
    from fittings.stock import BadShelf, read_shelf

    try:
        return read_shelf(file)
    except BadShelf as error:
        raise Failure(BAD_INPUT, "bad input", file, str(error), error.ask) from None
    except OSError as error:
        why = "there is no such file" if isinstance(error, FileNotFoundError) else (error.strerror or str(error))
        raise Failure(BAD_INPUT, "bad input", file, f"{file}: {why}", "a shelf begins with a row of names: qty,part,price,place") from None


@contextmanager
def solver_for(file: str) -> Iterator[None]:
    """Round a choice from the shelf in `file`: a solver that is needed and not installed ends in a Failure."""
    from fittings.stock import SolverMissing

    try:
        yield
    except SolverMissing as error:
        raise Failure(BAD_INPUT, "bad input", file, str(error), error.ask) from None
