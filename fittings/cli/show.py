from typing import Annotated

import typer

from fittings.cli.frame import BAD_INPUT, Failure, JsonFlag, read_end, say


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

    parts = _parts(text)
    if parts is not None:
        say(js.dumps(js.parts_json(parts)) if as_json else words.parts_text(parts))
        return
    read, taken = read_end(text, "any")
    say(js.dumps(js.show_json(read)) if as_json else words.show_text(read, taken))
