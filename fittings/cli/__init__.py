"""The command line: one thin verb per public function."""

import gc
import os
import re
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from io import TextIOWrapper

import typer

from fittings.cli.frame import BAD_INPUT, OUR_FAULT, STOPPED, Failure, fail, note
from fittings.tables import BadTable

# What typer raises for a line it cannot read; it does not export the base class by name.
UsageError: type[Exception] = typer.BadParameter.__mro__[1]

VERBS = ("show", "mate", "join", "identify", "plan", "check", "new", "stock", "size", "cylinder", "gauge", "sources")


def verb(name: str) -> Callable[..., None]:
    """The function behind a verb, from the module of its name."""
    found: Callable[..., None] = getattr(import_module(f"fittings.cli.{name}"), name)
    return found


def command(typed: Sequence[str]) -> typer.Typer:
    """The command line as far as what was typed needs it: of one verb when it begins with a verb, else of all."""
    made = typer.Typer(
        name="fittings", rich_markup_mode=None, add_completion=False, pretty_exceptions_enable=False, no_args_is_help=True,
        help="Which adapters and hoses really join these ports, and does every joint engage, seal and hold.",
        epilog="Exit codes: 0 answered, 1 refused with reasons, 2 not understood, 3 not in our tables, 70 our own fault.",
    )
    # Without a callback typer takes a single verb for the whole command and wants no name for it.
    made.callback()(lambda: None)
    for name in typed[:1] if typed and typed[0] in VERBS else VERBS:
        made.command()(verb(name))
    return made


def run(arguments: Sequence[str]) -> int:
    """Run one command line and return its exit code; never raises for anything a person can type."""
    if sys.stdout is None:
        note("bad input: the answer cannot be written: standard output is closed")
        return BAD_INPUT
    try:
        code = _run(arguments)
        sys.stdout.flush()
        return code
    except OSError as error:
        # the reader is gone or the disk is full: what is still held back must not be tried again at the end
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115
        if isinstance(error, BrokenPipeError):
            return 0
        note(f"bad input: the answer cannot be written: {error.strerror or error}")
        return BAD_INPUT


def _run(arguments: Sequence[str]) -> int:
    typed = [_dash_size(each) for each in arguments] or ["--help"]
    as_json = "--json" in typed
    try:
        code = command(typed)(typed, prog_name="fittings", standalone_mode=False) or 0
        if code == STOPPED:  # typer has met the Ctrl-C
            note("stopped")
        return code
    except SystemExit:
        raise BrokenPipeError from None  # what typer makes of a reader that is gone
    except Failure as failure:
        return fail(failure, as_json)
    except UsageError as error:
        text = error.format_message() if hasattr(error, "format_message") else str(error)
        loose = "an end of several words stands in quotes, such as \"JIC -8 male\"; " if "extra argument" in text else ""
        return fail(Failure(BAD_INPUT, "bad input", " ".join(arguments), text, f"{loose}see: fittings --help"), as_json)
    except (KeyboardInterrupt, EOFError, typer.Abort):
        note("stopped")
        return STOPPED
    except OSError:
        raise  # files are met where they are opened: what is left is that the answer cannot be given
    except BadTable as error:
        return fail(Failure(OUR_FAULT, "our fault", "", str(error), "the installation is damaged: install the package again"), as_json)
    except Exception as error:
        if os.environ.get("FITTINGS_TRACEBACK"):
            raise
        text = f"something went wrong inside fittings ({type(error).__name__}: {error}); this is our fault, not yours"
        return fail(Failure(OUR_FAULT, "our fault", " ".join(arguments), text,
                            "please report it with the command as typed (FITTINGS_TRACEBACK=1 shows where)"), as_json)


def _dash_size(argument: str) -> str:
    """A size such as `-8 JIC` begins like an option; a true minus sign keeps it an end."""
    return "\u2212" + argument[1:] if re.match(r"-\d", argument) else argument


def main() -> None:
    """Entry point of the `fittings` command."""
    if "_FITTINGS_COMPLETE" in os.environ:
        from typer.completion import completion_init  # type: ignore[attr-defined]

        completion_init()
    if sys.stdin is None:
        sys.stdin = open(os.devnull)  # noqa: SIM115
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a sign that the terminal has not is no reason to keep the answer back
    code = run(sys.argv[1:])
    # Nothing is left to be found unused: without this the interpreter looks through all that was read before it ends.
    gc.freeze()
    sys.exit(code)
