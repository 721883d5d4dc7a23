from typing import TYPE_CHECKING, Annotated

import typer

from fittings.cli.frame import (
    ANSWERED,
    BAD_INPUT,
    NOT_COVERED,
    REFUSED,
    Failure,
    JsonFlag,
    SvgFile,
    draw,
    leave,
    note,
    say,
    write_file,
)
from fittings.saying import counted

if TYPE_CHECKING:
    from fittings.job.mistakes import BadJob
    from fittings.job.result import Plan


def plan(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A job file; `fittings new` writes one to start from.")],
    stock: Annotated[
        str | None, typer.Option(metavar="FILE", help="A shelf (CSV or XLSX): its parts are used before any is bought.")
    ] = None,
    bill: Annotated[str | None, typer.Option(metavar="FILE", help="Also write the bill of materials to this CSV or XLSX file.")] = None,
    sheet: Annotated[
        str | None, typer.Option(metavar="FILE", help="Also write the sheet to print, with drawings, to this HTML file.")
    ] = None,
    svg: SvgFile = None,
    counter: Annotated[bool, typer.Option("--counter", help="Print only what to say at the counter, one line an item.")] = False,
    as_json: JsonFlag = False,
) -> None:
    """Plans a whole job from a file. Hoses, parts at both ends of each, bill of materials, order of assembly, cautions."""
    from fittings.reports import bill as bills
    from fittings.reports.as_json import dumps

    planned = planned_job(file, as_json, stock)
    if bill is not None:
        write_file(bill, _bill_file(bill, planned))
        note(f"bill written to {bill}")
    if sheet is not None:
        from fittings.reports.sheet import sheet_html

        write_file(sheet, sheet_html(planned))
        note(f"sheet written to {sheet}")
    if svg is not None:
        from fittings.drawing.diagram import diagram_svg

        draw(svg, diagram_svg(planned))
    if as_json:
        from fittings.reports.plan_json import plan_json

        say(dumps(plan_json(planned)))
    elif counter:
        say(bills.counter_text(planned.bill))
    else:
        from fittings.reports.plan_shown import plan_shown

        say(plan_shown(planned))
    leave(NOT_COVERED if planned.only_not_covered else REFUSED if planned.refused else ANSWERED)


def _bill_file(path: str, planned: "Plan") -> str | bytes:
    from fittings.reports import bill as bills

    if path.lower().endswith((".csv", ".txt")) or "." not in path.rpartition("/")[2]:
        return bills.bill_csv(planned.bill)
    if not path.lower().endswith(".xlsx"):
        raise Failure(BAD_INPUT, "bad input", path, f"{path}: a bill is written as CSV or as a workbook", "name the file .csv or .xlsx")
    try:
        return bills.bill_xlsx(planned.bill)
    except ImportError:
        raise Failure(BAD_INPUT, "bad input", path, "a workbook needs openpyxl, which is not installed",
                      'write a .csv file, or install it with: pip install "fluid-fittings[shelf]"') from None


def planned_job(file: str, as_json: bool, stock: str | None = None) -> "Plan":
    """The plan of a job file, with the shelf in `stock` or the job's own; its mistakes are told all at once and end the verb.
    Raises Failure."""
    from fittings.cli.waiting import waiting
    from fittings.job.mistakes import BadJob
    from fittings.job.plan import plan, shelf_file
    from fittings.job.reading import read_job_file

    try:
        job = read_job_file(file)
    except BadJob as error:
        tell_mistakes(error, as_json)
        raise leave(BAD_INPUT) from None
    except OSError as error:
        raise unreadable(file, error) from None
    shelf = stock or shelf_file(job, file)
    if shelf is None:
        with waiting(f"planning {file}") as now:
            return plan(job, lambda line: now(f"planning {line}"))
    from fittings.cli.stock import no_solver, shelf_of
    from fittings.stock import SolverMissing

    parts = shelf_of(shelf)
    try:
        with waiting(f"planning {file}") as now:
            return plan(job, lambda line: now(f"planning {line}"), parts)
    except SolverMissing as error:
        raise no_solver(error) from None


def tell_mistakes(error: "BadJob", as_json: bool) -> None:
    """Every mistake of a job file, as JSON on stdout or in words on stderr."""
    count = len(error.mistakes)
    head = f"{error.name}: {counted(count, 'mistake')}"
    if not as_json:
        note("\n".join([f"bad input: {head}", *(each.say(error.name) for each in error.mistakes)]))
        return
    from fittings.reports.as_json import dumps, error_json

    told = error_json("bad input", error.name, head, "put them right and plan again")
    told["error"]["mistakes"] = [each._asdict() for each in error.mistakes]
    say(dumps(told))


def unreadable(file: str, error: OSError) -> Failure:
    """The failure of a file that cannot be opened."""
    why = "there is no such file" if isinstance(error, FileNotFoundError) else (error.strerror or str(error))
    return Failure(BAD_INPUT, "bad input", file, f"{file}: {why}", "fittings new writes a job file to start from")
