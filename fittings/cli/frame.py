"""What every verb shares: where output goes, how a failure is told, and the exit codes.

0 answered; 1 asked and refused, with reasons; 2 not understood or bad input; 3 not in our tables; 70 our own fault.
Data goes to stdout, everything else to stderr.
"""

import sys
from contextlib import suppress
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from fittings.ends import End

if TYPE_CHECKING:
    from fittings.notation import BadText

ANSWERED, REFUSED, BAD_INPUT, NOT_COVERED, OUR_FAULT = 0, 1, 2, 3, 70
STOPPED = 130

JsonFlag = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]


SvgFile = Annotated[str | None, typer.Option("--svg", metavar="FILE", help="Also write a drawing to this SVG file.")]


class Failure(Exception):
    """A failure as the person will read it: exit code, kind, what was typed, what is wrong, what to answer or do."""

    def __init__(self, code: int, kind: str, typed: str, text: str, ask: str | None = None,
                 candidates: tuple[End, ...] = ()) -> None:
        super().__init__(text)
        self.code, self.kind, self.typed, self.text, self.ask, self.candidates = code, kind, typed, text, ask, candidates


def say(text: str) -> None:
    """Print the answer. Raises OSError when it cannot be given."""
    sys.stdout.write(text if text.endswith("\n") else text + "\n")


def note(text: str) -> None:
    """Print what is not part of the answer, where there is somewhere to print it; what was typed or read may be in it and must not
    steer the terminal."""
    from fittings.reports.window import each_folded, harmless

    if sys.stderr is not None:
        told = harmless(text).removesuffix("\n")
        with suppress(OSError):
            sys.stderr.write((each_folded(told) if sys.stderr.isatty() else told) + "\n")
            sys.stderr.flush()


def leave(code: int) -> NoReturn:
    """End the verb with an exit code."""
    raise typer.Exit(code)


def fail(failure: Failure, as_json: bool) -> int:
    """Tell a failure, as JSON on stdout or as text on stderr; returns its exit code."""
    if as_json:
        from fittings.reports.as_json import dumps, error_json

        say(dumps(error_json(failure.kind, failure.typed, failure.text, failure.ask, failure.candidates)))
        return failure.code
    lines = [f"{failure.kind}: {failure.text}"]
    if failure.ask:
        lines.append(failure.ask)
    lines += [f"  {each.say}   (write it: {each.id})" for each in failure.candidates[:8]]
    if len(failure.candidates) > 8:
        lines.append(f"  … and {len(failure.candidates) - 8} more")
    note("\n".join(lines))
    return failure.code


def read_end(text: str, place: str = "loose") -> tuple[End, str]:
    """An end as typed, and what it was taken for when something was left out. Raises Failure."""
    from fittings.notation import BadText
    from fittings.notation import read_end as read

    try:
        reading = read(text, place=place)
    except BadText as error:
        raise text_failure(error) from None
    return reading.end, reading.taken


def text_failure(error: "BadText") -> Failure:
    """The failure that a text which was not read as an end becomes."""
    code = NOT_COVERED if error.kind == "not covered" else BAD_INPUT
    return Failure(code, error.kind, error.typed, error.text, error.ask, tuple(error.candidates))


def write_file(path: str, content: str | bytes) -> None:
    """Write a whole file or nothing. Raises Failure."""
    from fittings.reports.files import write_whole

    try:
        write_whole(path, content)
    except OSError as error:
        why = f"{path} cannot be written: {error.strerror or error}"
        raise Failure(BAD_INPUT, "bad input", path, why, "choose another place") from None


def draw(path: str, svg: str) -> None:
    """Write a drawing and say so on stderr. Raises Failure."""
    write_file(path, svg)
    note(f"drawing written to {path}")
