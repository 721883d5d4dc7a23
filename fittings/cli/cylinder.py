from typing import Annotated

import typer

from fittings.cli.frame import ANSWERED, BAD_INPUT, REFUSED, Failure, JsonFlag, leave, say
from fittings.cli.size import UnitsOption, as_typed, bare, inches, quantity

LARGEST_BORE_IN = 24.0
"""A bare number above this is not taken for inches: no cylinder is kept so wide (common practice, no source)."""


def cylinder(
    bore: Annotated[str, typer.Option(metavar="LENGTH", help="Bore: 2.5 in, 63 mm.")],
    rod: Annotated[str, typer.Option(metavar="LENGTH", help="Rod: 1-1/2 in, 36 mm.")],
    stroke: Annotated[str | None, typer.Option(metavar="LENGTH", help="Stroke: 16 in, 400 mm.")] = None,
    psi: Annotated[str | None, typer.Option(metavar="PRESSURE", help="Pressure of the circuit: 2750, 190 bar.")] = None,
    flow: Annotated[str | None, typer.Option(metavar="FLOW", help="Flow to the cylinder: 11 gpm, 42 L/min.")] = None,
    load: Annotated[str | None, typer.Option(metavar="FORCE", help="Load to be moved: 5000 lbf, 22 kN.")] = None,
    units: UnitsOption = "both",
    as_json: JsonFlag = False,
) -> None:
    """Force, speed, time and oil of a cylinder. Also what a blocked rod port does."""
    from fittings.circuit import BadCircuit
    from fittings.circuit import cylinder as circuit
    from fittings.reports.as_json import dumps
    from fittings.reports.size_json import cylinder_json
    from fittings.reports.size_text import cylinder_text
    from fittings.units import flow_gpm, force_lbf, pressure_psi, units_style

    style = quantity(units_style, units)
    taken: list[str] = []
    at_psi = None if psi is None else bare(pressure_psi, "psi", psi, "psi", style, taken)
    try:
        cyl = circuit.cylinder(
            inches("bore", bore, taken, LARGEST_BORE_IN, style), inches("rod", rod, taken, LARGEST_BORE_IN, style),
            None if stroke is None else inches("stroke", stroke, taken, style=style), style)
        load_lbf = None if load is None else bare(force_lbf, "load", load, "lbf", style, taken)
        answer = circuit.answer(cyl, at_psi, None if flow is None else bare(flow_gpm, "flow", flow, "gpm", style, taken), load_lbf)
    except BadCircuit as error:
        typed = as_typed(bore=bore, rod=rod, stroke=stroke, psi=psi, flow=flow, load=load)
        raise Failure(BAD_INPUT, "bad input", typed, str(error)) from None
    found = () if at_psi is None else circuit.findings(cyl, at_psi, units=style, load_lbf=load_lbf)
    found += circuit.buckling_findings(cyl, at_psi, load_lbf, units=style)
    if as_json:
        say(dumps(cylinder_json(cyl, answer, found, taken)))
    else:
        say(cylinder_text(cyl, answer, found, style, taken))
    leave(REFUSED if any(each.level == "refuse" for each in found) else ANSWERED)
