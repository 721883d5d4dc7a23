import io
import sys
from typing import Annotated

import typer

from fittings.cli.frame import ANSWERED, BAD_INPUT, Failure, JsonFlag, leave, note, say

EXAMPLE = 'for example: fittings identify --od "14.2 mm" --tpi 18 --male'

Words = str | None

LARGEST_BATCH = 5_000_000
"""Bytes of a table of readings."""


def identify(
    od: Annotated[Words, typer.Option(metavar="LENGTH", help="Outside diameter of a male, across the crests: 14.2 mm, 9/16.")] = None,
    id_: Annotated[Words, typer.Option("--id", metavar="LENGTH", help="Inside diameter of a female, crest to crest: 12.9 mm.")] = None,
    pitch: Annotated[Words, typer.Option(metavar="PITCH", help="Pitch: 1.5 mm, 18 TPI, or as counted: 10 in 14.1 mm.")] = None,
    tpi: Annotated[Words, typer.Option(metavar="NUMBER", help="Threads per inch: 18.")] = None,
    male: Annotated[bool, typer.Option("--male", help="The thread is outside.")] = False,
    female: Annotated[bool, typer.Option("--female", help="The thread is inside.")] = False,
    taper: Annotated[bool, typer.Option("--taper", help="The thread tapers.")] = False,
    straight: Annotated[bool, typer.Option("--straight", help="The thread is straight.")] = False,
    seat: Annotated[Words, typer.Option(metavar="ANGLE", help="Angle of the cone: 37, 45, 30, 60, 24.")] = None,
    nose: Annotated[
        Words, typer.Option(metavar="WORD", help="Looks of the end: cone, seat, flat-groove, flat, o-ring-at-hex, plain, flange, coupler.")
    ] = None,
    chamfer: Annotated[bool, typer.Option("--chamfer", help="The inner edge, or the mouth of the port, is cut to a cone.")] = False,
    no_chamfer: Annotated[bool, typer.Option("--no-chamfer", help="It is not.")] = False,
    swivel: Annotated[bool, typer.Option("--swivel", help="The nut turns by itself.")] = False,
    fixed: Annotated[bool, typer.Option("--fixed", help="Nothing turns by itself.")] = False,
    hole: Annotated[bool, typer.Option("--hole", help="A hole goes through it.")] = False,
    solid: Annotated[bool, typer.Option("--solid", help="It is solid: a bolt or a plug.")] = False,
    bore: Annotated[Words, typer.Option(metavar="LENGTH", help="The bore that takes the tube, or the tube: 12 mm.")] = None,
    hex_: Annotated[Words, typer.Option("--hex", metavar="LENGTH", help="Hexagon, across the flats: 22 mm.")] = None,
    flank: Annotated[Words, typer.Option(metavar="ANGLE", help="Flank angle of the thread, by a profile gauge: 55 or 60.")] = None,
    marking: Annotated[Words, typer.Option(metavar="TEXT", help="What is stamped on it: 15L.")] = None,
    country: Annotated[Words, typer.Option(metavar="COUNTRY", help="Where the machine was built: Japan.")] = None,
    came_off: Annotated[
        Words, typer.Option("--from", metavar="TEXT", help='What it came off: "rear remote of a compact tractor".')
    ] = None,
    plus_minus: Annotated[Words, typer.Option("--plus-minus", metavar="LENGTH", help="How far off the diameter may be: 0.2 mm.")] = None,
    instrument: Annotated[Words, typer.Option(metavar="WORD", help="What the diameter was taken with: caliper, ruler or guess.")] = None,
    batch: Annotated[
        Words, typer.Option(metavar="FILE", help="A CSV, one fitting a row: columns named like these options, and name.")
    ] = None,
    as_json: JsonFlag = False,
) -> None:
    """Names an unknown end from any readings. Tells which reading to take next; bare, it asks one question at a time."""
    texts = {"od": od, "id": id_, "pitch": pitch, "tpi": tpi, "seat": seat, "nose": nose, "bore": bore, "hex": hex_,
             "flank": flank, "marking": marking, "country": country, "from": came_off, "plus-minus": plus_minus,
             "instrument": instrument}
    flags = {"male": male, "female": female, "taper": taper, "straight": straight, "chamfer": chamfer, "no-chamfer": no_chamfer,
             "swivel": swivel, "fixed": fixed, "hole": hole, "solid": solid}
    typed = {name: text for name, text in texts.items() if text is not None}
    typed |= {name: "yes" for name, flag in flags.items() if flag}
    if batch is not None:
        _batch(batch, bool(typed), as_json)
        return
    if not set(typed) - {"plus-minus", "instrument"}:
        if as_json or not sys.stdin.isatty():
            raise Failure(BAD_INPUT, "not understood", "", "no reading was given", EXAMPLE)
        _talk(typed)
        return
    _answer(typed, as_json)


def _answer(typed: dict[str, str], as_json: bool) -> None:
    from fittings.identify import BadReading, read_readings
    from fittings.identify import identify as find

    try:
        taken = read_readings(typed)
    except BadReading as error:
        raise Failure(
            BAD_INPUT, "bad input", error.typed, f"{error.reading}: “{error.typed}”: {error.why}", error.right
        ) from None
    if not taken.readings.given:
        raise Failure(BAD_INPUT, "not understood", " ".join(typed.values()), "no reading was given", EXAMPLE)
    answer = find(taken.readings, taken.notes)
    if as_json:
        from fittings.reports.as_json import dumps
        from fittings.reports.identify_json import identify_json

        say(dumps(identify_json(answer)))
    else:
        from fittings.reports.identify_text import identify_text

        say(identify_text(answer))
    leave(ANSWERED)


def _batch(path: str, with_readings: bool, as_json: bool) -> None:
    from fittings.identify.batch import BadBatch, read_batch

    if with_readings:
        raise Failure(
            BAD_INPUT,
            "bad input",
            path,
            "--batch takes its readings from the file alone",
            "leave the other readings out",
        )
    from fittings.cli.waiting import waiting

    try:
        with open(path, "rb") as file:
            content = file.read(LARGEST_BATCH + 1)  # never all of it: a device never ends
        if len(content) > LARGEST_BATCH:
            raise BadBatch(f"more than {LARGEST_BATCH} bytes is too long for a table of readings")
        with waiting(f"looking at what is in {path}"):
            rows = read_batch(io.StringIO(content.decode("utf-8-sig"), newline=""))
    except BadBatch as error:
        raise Failure(BAD_INPUT, "bad input", path, f"{path}: {error}") from None
    except UnicodeDecodeError:
        raise Failure(BAD_INPUT, "bad input", path, f"{path} is not a text file", "save it as CSV in UTF-8") from None
    except OSError as error:
        raise Failure(BAD_INPUT, "bad input", path, f"{path} cannot be read: {error.strerror}") from None
    if as_json:
        from fittings.reports.as_json import dumps
        from fittings.reports.identify_json import batch_json

        say(dumps(batch_json(rows)))
    else:
        from fittings.reports.identify_text import batch_text

        say(batch_text(rows))
    leave(BAD_INPUT if any(row.answer is None for row in rows) else ANSWERED)


def _talk(typed: dict[str, str]) -> None:
    """The dialogue: prints and reads lines, decides nothing."""
    from fittings.identify import BadReading, read_readings
    from fittings.identify.interview import Interview
    from fittings.reports.identify_text import identify_text
    from fittings.reports.show_text import show_text
    from fittings.reports.window import lines

    talk = Interview(read_readings(typed).readings)
    note(lines("One question at a time. Enter or ? when you can't tell, back for the one before, stop to see what is known."))
    while talk.question is not None:
        asked = talk.question
        note("\n" + lines(f"{talk.count + 1}. {asked.ask}", "", "   "))
        note(lines(f"({asked.why}; {asked.answers})", "   "))
        sys.stderr.write("> ")
        sys.stderr.flush()
        line = sys.stdin.readline()
        if not line or line.strip().lower() in ("stop", "quit", "q", "exit"):
            break
        try:
            talk.answer(line.strip())
        except BadReading as error:
            note(lines(f"{error.why}; {error.right}", "   "))
    answer = talk.result
    say("\n" + identify_text(answer))
    if answer.clear and answer.candidates and answer.candidates[0].kind_share > answer.none_share:
        say("\n" + show_text(answer.candidates[0].end))
    leave(ANSWERED)
