from typing import TYPE_CHECKING, Annotated

import typer

from fittings.cli.frame import BAD_INPUT, NOT_COVERED, Failure, JsonFlag, read_end, say, text_failure

if TYPE_CHECKING:
    from fittings.parts import Part


def show(
    end: Annotated[list[str], typer.Argument(help='An end or a part: "ORB -6 port", "15L swivel", "90 ORB -6 male x JIC -6 male".')],
    as_json: JsonFlag = False,
) -> None:
    """Everything known of an end: sizes, thread limits, what it mates, what it is taken for, every figure's source."""
    text = " ".join(end).strip()
    if not text:
        raise Failure(BAD_INPUT, "not understood", text, "nothing was typed", 'for example: fittings show "ORB -6 port"')
    from fittings.reports import as_json as js
    from fittings.reports import text as words

    parts = _made(text)
    if parts is not None:
        say(js.dumps(js.parts_json(parts)) if as_json else words.parts_text(parts))
        return
    read, taken = read_end(text, "any")
    say(js.dumps(js.show_json(read)) if as_json else words.show_text(read, taken))


def _made(text: str) -> "tuple[Part, ...] | None":
    """The parts that a text of several ends means, or None when it is a single end."""
    from fittings.notation import BadText, looks_like_part, read_part

    if not looks_like_part(text):
        return None
    from fittings.parts import find

    try:
        reading = read_part(text)
    except BadText as error:
        raise text_failure(error) from None
    found = find(reading.ends, reading.shape or None)
    if not found:
        words = " x ".join(each.say for each in reading.ends)
        raise Failure(NOT_COVERED, "not covered", text, f"nobody makes {reading.shape or 'a part with'} {words}, as far as our tables know",
                      "fittings join tells how two parts do it")
    return found
