from typing import Annotated

import typer

from fittings.cli.frame import (
    ANSWERED,
    BAD_INPUT,
    REFUSED,
    Failure,
    JsonFlag,
    SvgFile,
    draw,
    leave,
    read_end,
    say,
)


def mate(
    a: Annotated[str, typer.Argument(metavar="END", help='One end: "JIC -6 male".')],
    b: Annotated[str, typer.Argument(metavar="END", help='The other end: "ORB -6 port".')],
    material: Annotated[
        str,
        typer.Option(metavar="MATERIAL", help="What the weaker side is made of: steel, brass, stainless, malleable-iron, aluminium-port; "
                     "pipe-nipple-40 or -80: a nipple cut from pipe of that schedule.")
    ] = "steel",
    svg: SvgFile = None,
    as_json: JsonFlag = False,
) -> None:
    """Whether two ends go together, and whether it seals and holds. Exit 0 for a joint, 1 for unsafe or no."""
    from fittings.mating import in_material
    from fittings.mating import mate as judge
    from fittings.ratings import materials

    known = ("steel", *materials())
    meant = material.lower().replace("aluminum", "aluminium")
    material = next((each for each in known if each.startswith(meant)), material) if meant else material
    if material not in known:
        raise Failure(BAD_INPUT, "bad input", material, f"we have no rule for {material}", f"there is {', '.join(known)}")
    (end_a, taken_a), (end_b, taken_b) = read_end(a), read_end(b)
    verdict = judge(end_a, end_b)
    steel, weaker = verdict.rating, None
    if material != "steel":
        verdict, steel, weaker = in_material(verdict, material)
    if svg:
        from fittings.drawing.pair import pair_svg

        draw(svg, pair_svg(verdict))
    if as_json:
        from fittings.reports.as_json import derated_json, dumps, rating_json, verdict_json

        say(dumps({**verdict_json(verdict), "material": material, "derated": derated_json(weaker), "rating_in_steel": rating_json(steel),
                   "taken": [each for each in (taken_a, taken_b) if each]}))
    else:
        from fittings.reports.text import verdict_text

        say(verdict_text(verdict, [taken_a, taken_b]))
    leave(ANSWERED if verdict.good else REFUSED)
