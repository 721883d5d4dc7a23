from typing import TYPE_CHECKING, Annotated

import typer

from fittings.cli.frame import BAD_INPUT, NOT_COVERED, Failure, JsonFlag, SvgFile, draw, read_end, say, text_failure

if TYPE_CHECKING:
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
    try:
        read, taken = read_end(text, "any")
    except Failure as failure:
        parts, taken = _made(text, failure)
        if svg:
            from fittings.drawing.part import part_svg

            draw(svg, part_svg(parts))
        if as_json:
            from fittings.reports.as_json import dumps, parts_json

            say(dumps(parts_json(parts)))
        else:
            from fittings.reports.text import parts_text

            say(parts_text(parts, taken))
        return
    if svg:
        from fittings.drawing.end import end_svg

        draw(svg, end_svg(read))
    if as_json:
        from fittings.reports.as_json import dumps, show_json

        say(dumps(show_json(read)))
    else:
        from fittings.reports.show_text import show_text

        say(show_text(read, taken))


def _made(text: str, as_end: Failure) -> "tuple[tuple[Part, ...], str]":
    """The parts that a text means which is not a single end, and what was taken for granted; raises the failure that tells most."""
    from fittings.notation import BadText, read_part

    try:
        reading = read_part(text)
    except BadText as error:
        raise text_failure(error) if error.kind == "ambiguous" and as_end.kind != "ambiguous" else as_end from None
    from fittings.parts import find, why_not_made

    found = find(reading.ends, reading.shape or None)
    if not found:
        words = " x ".join(each.say for each in reading.ends)
        why = why_not_made(reading.ends, reading.shape or None)
        text_ = f"our tables hold no {reading.shape or 'part with'} {words}: {why or 'ask at the counter'}"
        raise Failure(NOT_COVERED, "not covered", text, text_, "fittings join tells which parts do it together")
    return found, reading.taken
