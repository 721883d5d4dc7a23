from typing import Annotated, Optional

import typer

from fittings.cli.frame import ANSWERED, BAD_INPUT, REFUSED, Failure, JsonFlag, leave, read_end, say, text_failure


def join(
    ends: Annotated[list[str], typer.Argument(help='Two ends: "ORB -6 port" "JIC -8 swivel".')],
    psi: Annotated[Optional[str], typer.Option(help="Working pressure every joint must hold: 3000, 210 bar.")] = None,
    avoid: Annotated[Optional[list[str]], typer.Option(help="A family to keep out: npt. May be given again.")] = None,
    max_parts: Annotated[Optional[int], typer.Option(min=0, max=5, help="At most so many parts.")] = None,
    shape_from: Annotated[Optional[str], typer.Option(help="Shape of the first part: straight, 45 or 90.")] = None,
    shape_to: Annotated[Optional[str], typer.Option(help="Shape of the last part: straight, 45 or 90.")] = None,
    full_bore: Annotated[bool, typer.Option("--full-bore", help="No part narrower than the narrower end.")] = False,
    fixed: Annotated[bool, typer.Option("--fixed", help="Both ends are held and cannot be turned.")] = False,
    best: Annotated[int, typer.Option(min=1, max=20, help="Show at most so many chains.")] = 3,
    as_json: JsonFlag = False,
) -> None:
    """The chain of parts that joins two ends, with every joint proved; or every reason why there is none."""
    from fittings.planner import Limits
    from fittings.planner import join as find
    from fittings.reports import as_json as js
    from fittings.reports import text as words

    limits = Limits(_psi(psi), _families(avoid or []), max_parts, _shape(shape_from), _shape(shape_to), full_bore, fixed)
    read = [read_end(each) for each in _split(ends)]
    (start, taken_a), (finish, taken_b) = read
    answer = find(start, finish, limits, best)
    say(js.dumps(js.answer_json(answer)) if as_json else words.answer_text(answer, [taken_a, taken_b], limits))
    leave(REFUSED if answer.refused else ANSWERED)


def _split(ends: list[str]) -> list[str]:
    if len(ends) == 1:
        from fittings.notation import split_pair

        ends = list(split_pair(ends[0]) or ends)
    if len(ends) != 2:
        raise Failure(BAD_INPUT, "not understood", " ".join(ends), f"two ends are needed, {len(ends)} read",
                      'for example: fittings join "ORB -6 port" "JIC -8 swivel"')
    return ends


def _psi(text: str | None) -> int | None:
    if text is None:
        return None
    from fittings.units import BadQuantity, pressure_psi

    try:
        value = pressure_psi(text, "psi")
    except BadQuantity as error:
        raise Failure(BAD_INPUT, "bad input", text, str(error)) from None
    if not 0 < value <= 100_000:
        raise Failure(BAD_INPUT, "bad input", text, f"{text}: a working pressure is above 0 and below 100,000 psi")
    return -int(-value // 1)


def _families(typed: list[str]) -> tuple[str, ...]:
    from fittings.notation import BadText, read_family

    found = []
    for word in typed:
        for each in word.split(","):
            try:
                found.append(read_family(each))
            except BadText as error:
                raise text_failure(error) from None
    return tuple(dict.fromkeys(found))


def _shape(typed: str | None) -> str | None:
    if typed is None:
        return None
    shape = typed.strip().lower().rstrip("°").removesuffix("deg").strip()
    if shape not in ("straight", "45", "90"):
        raise Failure(BAD_INPUT, "bad input", typed, f"{typed}: a shape is straight, 45 or 90")
    return shape
