from typing import TYPE_CHECKING, Annotated, NoReturn

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
    text_failure,
)
from fittings.cli.limits import avoided_at_an_end, families_of, psi_of, shape_of
from fittings.limits import MOST_ALLOWED

if TYPE_CHECKING:
    from fittings.ends import End
    from fittings.limits import Limits
    from fittings.planner import Answer


def join(
    ends: Annotated[
        list[str] | None,
        typer.Argument(metavar="END...", help='Two ends, or three or four for a tee or cross: "ORB -6 port" "JIC -8 swivel".')
    ] = None,
    psi: Annotated[str | None, typer.Option(metavar="PRESSURE", help="Working pressure every joint must hold: 3000, 210 bar.")] = None,
    avoid: Annotated[list[str] | None, typer.Option(metavar="FAMILY", help="A family to keep out: npt. May be given again.")] = None,
    max_parts: Annotated[int | None, typer.Option(metavar="NUMBER", min=0, max=MOST_ALLOWED, help="At most so many parts.")] = None,
    shape_from: Annotated[str | None, typer.Option(metavar="SHAPE", help="Shape of the first part: straight, 45 or 90.")] = None,
    shape_to: Annotated[str | None, typer.Option(metavar="SHAPE", help="Shape of the last part: straight, 45 or 90.")] = None,
    full_bore: Annotated[bool, typer.Option("--full-bore", help="No part narrower than the narrower end.")] = False,
    fixed: Annotated[bool, typer.Option("--fixed", help="Both ends are held and cannot be turned.")] = False,
    stock: Annotated[
        str | None, typer.Option(metavar="FILE", help="A shelf (CSV or XLSX): its parts are used before any is bought.")
    ] = None,
    best: Annotated[int, typer.Option(metavar="NUMBER", min=1, max=20, help="Show at most so many chains.")] = 3,
    batch: Annotated[
        str | None, typer.Option(metavar="FILE", help="A CSV of questions (- for stdin): columns from, to, and name or any limit.")
    ] = None,
    jobs: Annotated[
        int | None, typer.Option(metavar="NUMBER", min=1, max=256, help="With --batch: so many cores (1 unless given).")
    ] = None,
    svg: SvgFile = None,
    as_json: JsonFlag = False,
) -> None:
    """The parts that join two ends, every joint proved. Where there are none, every reason why."""
    from fittings.limits import Limits

    limits = Limits(
        None if psi is None else psi_of(psi), families_of(avoid or []), max_parts,
        None if shape_from is None else shape_of(shape_from), None if shape_to is None else shape_of(shape_to), full_bore, fixed)
    if batch is not None:
        _join_batch(batch, jobs or 1, best, as_json, alone=not ends and limits == Limits() and stock is None and svg is None)
    if jobs is not None:
        raise Failure(BAD_INPUT, "bad input", "--jobs", "--jobs goes only with --batch", "one question is answered by one core")
    read = _read(ends or [])
    taken = [*(said for _, said in read if said), *avoided_at_an_end((each for each, _ in read), limits.avoid)]
    if len(read) > 2:
        _join_all(tuple(each for each, _ in read), limits, taken, stock, svg, as_json)
    _join_two(read[0][0], read[1][0], limits, taken, stock, best, svg, as_json)


def _join_batch(batch: str, jobs: int, best: int, as_json: bool, alone: bool) -> NoReturn:
    """A file of questions; `alone` says that nothing is typed beside it but what goes with it."""
    if not alone:
        raise Failure(BAD_INPUT, "bad input", batch, "--batch takes its questions and their limits from the file alone",
                      "leave the ends, the limits, --stock and --svg out; only --best, --jobs and --json go with it")
    from fittings.cli.join_batch import join_batch

    leave(join_batch(batch, jobs, best, as_json))


def _join_two(start: "End", finish: "End", limits: "Limits", taken: list[str], stock: str | None, best: int, svg: str | None,
              as_json: bool) -> NoReturn:
    answer = _answer(start, finish, limits, stock, best)
    if svg and answer.chains:
        from fittings.drawing.chain import chain_svg

        draw(svg, chain_svg(answer.chains[0]))
    if as_json:
        from fittings.reports.as_json import answer_json, dumps

        say(dumps(answer_json(answer) | {"taken": taken}))
    else:
        from fittings.reports.text import answer_text

        say(answer_text(answer, taken, limits))
    leave(REFUSED if answer.refused else ANSWERED)


def _answer(start: "End", finish: "End", limits: "Limits", stock: str | None, best: int) -> "Answer":
    """The chains between two ends, from a shelf first where there is one."""
    if stock is None:
        from fittings.planner import join as find

        return find(start, finish, limits, best)
    from fittings.cli.stock import no_solver, shelf_of
    from fittings.stock import SolverMissing, join_with_shelf

    try:
        return join_with_shelf(start, finish, limits, shelf_of(stock), best)
    except SolverMissing as error:
        raise no_solver(error) from None


def _join_all(ends: "tuple[End, ...]", limits: "Limits", taken: list[str], stock: str | None, svg: str | None, as_json: bool) -> NoReturn:
    from fittings.tree import join_all, why_no_tree

    if stock is not None:
        raise Failure(BAD_INPUT, "bad input", stock, "a shelf is kept to between two ends",
                      "leave --stock out, or join two ends at a time")
    if limits.shape_from or limits.shape_to or limits.max_parts is not None or limits.fixed:
        raise Failure(BAD_INPUT, "bad input", "", "with three or four ends only --psi, --avoid and --full-bore are kept to",
                      "leave the other limits out, or join two ends at a time")
    tree = join_all(ends, limits)
    refused = None if tree is not None else why_no_tree(ends, limits)
    if svg and tree is not None:
        from fittings.drawing.tree import tree_svg

        draw(svg, tree_svg(tree))
    if as_json:
        from fittings.reports.as_json import dumps, tree_json

        say(dumps(tree_json(ends, tree, refused) | {"taken": taken}))
    else:
        from fittings.reports.text import tree_text

        say(tree_text(ends, tree, refused, limits, taken))
    leave(REFUSED if tree is None else ANSWERED)


def _read(ends: list[str]) -> "list[tuple[End, str]]":
    if len(ends) == 1:
        from fittings.notation import BadText, read_pair

        try:
            pair = read_pair(ends[0])
        except BadText as error:
            raise text_failure(error) from None
        return [(each.end, each.taken) for each in pair]
    if not 2 <= len(ends) <= 4:
        raise Failure(BAD_INPUT, "not understood", " ".join(ends), f"two to four ends are needed, {len(ends)} read",
                      'for example: fittings join "ORB -6 port" "JIC -8 swivel"')
    return [read_end(each) for each in ends]
