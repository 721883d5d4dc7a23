"""Drawings: one end, one part, a chain of parts, three or four ends on a tee, a pair that does not
seal, a job's diagram, a swinging hose, a printed gauge.

Everything is drawn from the tables, to the scale it states; what no table holds is drawn by proportion and said to be.
Drawings decide nothing.
"""

from fittings.drawing.chain import chain_svg, run_svg
from fittings.drawing.diagram import diagram_svg
from fittings.drawing.end import end_svg
from fittings.drawing.gauge import gauge_html, gauge_svg
from fittings.drawing.pair import pair_svg
from fittings.drawing.part import part_svg
from fittings.drawing.swing import swing_svg
from fittings.drawing.tree import tree_svg

__all__ = ["chain_svg", "diagram_svg", "end_svg", "gauge_html", "gauge_svg", "pair_svg", "part_svg", "run_svg", "swing_svg",
           "tree_svg"]
