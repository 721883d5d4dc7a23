"""A plan for a window: bill of materials, the way of each line and the steps as tables, everything else in words."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from fittings.chain import Used
from fittings.job.bill import assembly_words
from fittings.job.result import BillItem, PlannedLine, ShelfUse, Step
from fittings.job.shop_words import MEASURED, outlets_said
from fittings.job.tee_outlets import tee_outlets
from fittings.reports.board import Column, board
from fittings.reports.plan_text import PlanWords, glances, headed
from fittings.reports.window import lines, painted, table_width
from fittings.units import format_pressure

WIDE = 110
"""From so many columns on, what belongs to a row stands beside it and not below."""


class PlanBoards(PlanWords):
    """Writes a plan with tables."""

    def glance(self) -> Iterator[str]:
        """Every line in short, a line a row."""
        columns = [Column("line", 4), Column("hose, length", 4), Column("parts", right=True),
                   Column("must hold", 3), Column("rated", 3), Column("look")]
        rows = [(each.line, each.hose, str(each.parts or ""), each.must_hold, each.rated, each.look) for each in glances(self.plan)]
        yield board(columns, rows, ruled=False)

    def way(self, of: PlannedLine, indent: str) -> Iterator[str]:
        """The line from port to port, a piece a row, each with the joint to the piece in the next row."""
        inner = max(len(of.tees) - 1, 0)
        pieces = [of.start.say, *map(_part, of.from_parts)]
        if of.hose is not None:
            hose = of.hose.hose
            pieces.append(f"{assembly_words(of.hose, self.units)}\n{format_pressure(hose.pressure_psi, self.units)}"
                          f"{self.cited.mark(hose.sources, hose.confidence)}")
        pieces += map(_part, of.to_parts)
        tees = [f"{part.say}: {outlets_said(onward)}\n[{part.had}]" for part, onward in tee_outlets(of)]
        pieces += tees or ([of.finish.say] if of.finish is not None else [])
        joints = [*of.joints[: len(of.joints) - inner], *[None] * len(pieces)]
        rows = [(piece, *(("", "") if joint is None else self.joint_words(joint))) for piece, joint in zip(pieces, joints, strict=False)]
        yield ""
        yield board([Column("from port to port", 5), Column("sealed to the next by", 4), Column("joint holds", 3)], rows, len(indent))
        yield ""

    def shelf(self, of: ShelfUse, bill: Sequence[BillItem]) -> Iterator[str]:
        """What to take from the shelf, a part a row."""
        yield headed(f"FROM THE SHELF, {of.file}")
        rows = [[f"{each.qty:g}", each.say, each.place, ", ".join(each.for_)] for each in bill if each.from_stock]
        if rows:
            yield board([Column("qty", right=True), Column("item", 5), Column("from", 2), Column("for", 3)], rows)
        yield from self._shelf_notes(of, bill)

    def bill(self, of: Sequence[BillItem]) -> Iterator[str]:
        """The bill, an item a row."""
        yield self._bill_head()
        wide = table_width() >= WIDE
        rows = []
        for each in of:
            item = [each.say, f"({each.spec})" if each.spec else ""]
            note = each.note_beside
            told = [*item, "" if wide else note]
            cells = [f"{each.qty:g}", "\n".join(filter(None, told)), ", ".join(each.for_)]
            rows.append([*cells, note] if wide else cells)
        columns = [Column("qty", right=True), Column("item", 6), Column("for", 3)]
        yield board([*columns, Column("note", 4)] if wide else columns, rows)
        if any(each.sort == "hose" for each in of):
            yield lines(f"hoses: {MEASURED}", "  ")

    def steps(self, of: Sequence[Step]) -> Iterator[str]:
        """The steps, a table for those of one line after another."""
        yield headed("PUTTING IT TOGETHER, in this order")
        wide = table_width() >= WIDE
        columns = [Column("step", right=True), Column("do", 4 if wide else 3)]
        columns += [Column("look, ring, oil", 5), Column("torque and turn", 5), Column("spanners", 3)] if wide else [Column("how", 7)]
        for name, steps in groupby(of, key=lambda step: step.line):
            yield from ("", painted(lines(name, "  "), "bold"))
            rows = []
            for step in steps:
                told = ["\n".join(some) for some in self.how(step)]
                rows.append([f"[ ] {step.n}", step.do, *(told if wide else ["\n".join(filter(None, told))])])
            yield board(columns, rows)


def _part(used: Used) -> str:
    return f"{used.part.say}\n[{used.part.had}]"
