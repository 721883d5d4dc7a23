"""Which of its two forms a plan is shown in."""

from fittings.job.result import Plan
from fittings.reports.plan_text import plan_text
from fittings.reports.window import takes_tables


def plan_shown(of: Plan) -> str:
    """The whole plan: with tables in a window, in paragraphs and lists in a pipe or a file."""
    if not takes_tables():
        return plan_text(of)
    from fittings.reports.plan_board import PlanBoards  # here, since what draws tables takes long to load

    return "\n".join(PlanBoards(of).whole())
