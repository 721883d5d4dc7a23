from typing import TYPE_CHECKING, Annotated

import typer

from fittings.cli.frame import BAD_INPUT, NOT_COVERED, Failure, JsonFlag, SvgFile, draw, say, text_failure
from fittings.saying import either

if TYPE_CHECKING:
    from fittings.notation import BadText
    from fittings.parts import Part


def show(
    end: Annotated[
        list[str], typer.Argument(metavar="END...", help='An end or a part: "ORB -6 port", "15L swivel", "90 ORB -6 male x JIC -6 male".')
    ],
    svg: SvgFile = None,
    as_json: JsonFlag = False,
) -> None:
    """Everything known of an end or a part. Thread limits, what it mates, what it is taken for, and every figure's source."""
    text = " ".join(end).strip()
    if not text:
        raise Failure(BAD_INPUT, "not understood", text, "nothing was typed", 'for example: fittings show "ORB -6 port"')
    from fittings.notation import BadText, read_end

    try:
        reading = read_end(text, place="any")
    except BadText as error:
        parts, taken = _made(text, error)
        if svg:
            from fittings.drawing.part import part_svg

            draw(svg, part_svg(parts))
        if as_json:
            from fittings.reports.as_json import dumps, parts_json

            say(dumps(parts_json(parts) | {"taken": [taken] if taken else []}))
        else:
            from fittings.reports.text import parts_text

            say(parts_text(parts, taken))
        return
    if svg:
        from fittings.drawing.end import end_svg

        draw(svg, end_svg(reading.end))
    if as_json:
        from fittings.reports.as_json import dumps, show_json

        say(dumps(show_json(reading.end) | {"taken": [reading.taken] if reading.taken else []}))
    else:
        from fittings.reports.show_text import show_text

        say(show_text(reading.end, reading.taken))


def _made(text: str, as_end: "BadText") -> "tuple[tuple[Part, ...], str]":
    """The parts that a text means which is not a single end, and what was taken for granted; raises the failure that tells most."""
    from fittings.notation import BadText, NotUnderstood, read_part

    try:
        reading = read_part(text, besides=True)
    except BadText as error:
        # a text of several ends was never an end: what the reader of parts says of it is the cause
        a_part = isinstance(as_end, NotUnderstood) and as_end.part
        asked_back = error.kind == "ambiguous" and as_end.kind != "ambiguous"
        raise text_failure(error if a_part or asked_back else as_end) from None
    from fittings.parts import find, find_named, find_straight, why_not_made

    found = find_named(reading.ends, reading.shape)
    if found:
        return found, reading.taken
    words = " x ".join(each.say for each in reading.ends)
    otherwise = find(reading.ends)
    shape = reading.shape or ("straight" if otherwise else "")
    lacks = f"our tables hold no {shape or 'part with'} {words}"
    alike = find_straight(reading.ends, reading.shape)
    if alike:
        return alike, "; ".join(each for each in (reading.taken, f"{lacks}: this is what is made") if each)
    made = f"; it is made as {either(each.say for each in otherwise)}" if otherwise else ""
    why = why_not_made(reading.ends, shape or None)
    raise Failure(NOT_COVERED, "not covered", text, f"{lacks}: {why or 'ask at the counter'}{made}",
                  "fittings join tells which parts do it together")
