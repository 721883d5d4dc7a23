from typing import TYPE_CHECKING, Annotated

import typer

from fittings.cli.frame import ANSWERED, BAD_INPUT, Failure, JsonFlag, leave, say

if TYPE_CHECKING:
    from fittings.stock import BadShelf, Shelf, SolverMissing


def stock(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="The shelf: CSV or XLSX with columns qty, part, price, place, or as shops name them.")
    ],
    as_json: JsonFlag = False,
) -> None:
    """Reads a shelf and says what was understood. Rows that were not are kept aside, each with the reason."""
    from fittings.reports.as_json import dumps
    from fittings.reports.stock_text import shelf_json, shelf_text

    shelf = shelf_of(file)
    say(dumps(shelf_json(shelf)) if as_json else shelf_text(shelf))
    leave(ANSWERED)


def shelf_of(file: str) -> "Shelf":
    """The shelf in a file. Raises Failure."""
    from fittings.cli.waiting import waiting
    from fittings.stock import BadShelf, read_shelf

    try:
        with waiting(f"reading {file}"):
            return read_shelf(file)
    except BadShelf as error:
        raise bad_shelf(error) from None
    except OSError as error:
        why = "there is no such file" if isinstance(error, FileNotFoundError) else (error.strerror or str(error))
        raise Failure(BAD_INPUT, "bad input", file, f"{file}: {why}", "a shelf begins with a row of names: qty,part,price,place") from None


def bad_shelf(error: "BadShelf") -> Failure:
    """The failure of a file that is no shelf."""
    return Failure(BAD_INPUT, "bad input", error.file, str(error), error.ask)


def no_solver(error: "SolverMissing") -> Failure:
    """The failure of a question that is too large to be tried out where the solver is not installed."""
    return Failure(BAD_INPUT, "bad input", "", str(error),
                   'or install it with: pip install "fluid-fittings[shelf]"')
