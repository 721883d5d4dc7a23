import os
from typing import TYPE_CHECKING, Annotated

import typer

from fittings.cli.frame import ANSWERED, BAD_INPUT, REFUSED, Failure, JsonFlag, leave, say
from fittings.cli.plan import planned_job, unreadable

if TYPE_CHECKING:
    from fittings.job.saved_plan import Saved


def check(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A job file, or a plan saved with `fittings plan FILE --json`.")],
    as_json: JsonFlag = False,
) -> None:
    """A second opinion on a job or a saved plan. It comes from code that did not plan it; exit 1 when something is wrong."""
    from fittings.cli.waiting import waiting
    from fittings.job.recheck import second_opinion
    from fittings.reports import check_report as report
    from fittings.reports.as_json import dumps

    saved = _saved(file, as_json)
    with waiting("working every joint, part, hose and length out again"):
        opinion = second_opinion(saved)
    say(dumps(report.check_json(saved, opinion)) if as_json else report.check_text(saved, opinion))
    leave(ANSWERED if opinion.stands else REFUSED)


def _saved(file: str, as_json: bool) -> "Saved":
    from fittings.job.saved_plan import BadPlan, read_plan_file

    if not _looks_like_json(file):
        from fittings.reports.plan_json import plan_json

        return plan_json(planned_job(file, as_json))
    try:
        return read_plan_file(file)
    except BadPlan as error:
        raise Failure(BAD_INPUT, "bad input", file, f"{file}: {error}") from None
    except OSError as error:
        raise unreadable(file, error) from None


def _looks_like_json(file: str) -> bool:
    """Whether the first sign of a file opens an object; a TOML file never begins so. What can be read only once is a plan."""
    if os.path.exists(file) and not os.path.isfile(file) and not os.path.isdir(file):
        return True
    try:
        with open(file, "rb") as opened:
            return opened.read(4096).lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"{")
    except OSError as error:
        raise unreadable(file, error) from None
