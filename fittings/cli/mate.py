from typing import Annotated

import typer

from fittings.cli.frame import ANSWERED, NOT_COVERED, REFUSED, JsonFlag, SvgFile, draw, leave, read_end, say


def mate(
    a: Annotated[str, typer.Argument(help='One end: "JIC -6 male".')],
    b: Annotated[str, typer.Argument(help='The other end: "ORB -6 port".')],
    svg: SvgFile = None,
    as_json: JsonFlag = False,
) -> None:
    """Do two ends go together, and does the joint seal and hold? Exit 0 for a joint, 1 for unsafe or no, 3 for unknown."""
    from fittings.mating import mate as judge
    from fittings.reports import as_json as js
    from fittings.reports import text as words

    (end_a, taken_a), (end_b, taken_b) = read_end(a), read_end(b)
    verdict = judge(end_a, end_b)
    say(js.dumps(js.verdict_json(verdict)) if as_json else words.verdict_text(verdict, [taken_a, taken_b]))
    if svg:
        from fittings.drawing.pair import pair_svg

        draw(svg, pair_svg(verdict))
    leave({"joint": ANSWERED, "conditional": ANSWERED, "unknown": NOT_COVERED}.get(verdict.verdict, REFUSED))
