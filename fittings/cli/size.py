from collections.abc import Callable
from typing import Annotated, TypeVar

import typer

from fittings.cli.frame import ANSWERED, BAD_INPUT, REFUSED, Failure, JsonFlag, leave, say

T = TypeVar("T")

UnitsOption = Annotated[str, typer.Option("--units", metavar="UNITS", help="How figures are printed: inch, metric or both.")]


def size(
    flow: Annotated[str, typer.Option(metavar="FLOW", help="Flow in the line: 11 gpm, 42 L/min.")],
    psi: Annotated[str | None, typer.Option(metavar="PRESSURE", help="Highest pressure in the line: 2750, 190 bar.")] = None,
    kind: Annotated[str, typer.Option(metavar="KIND", help="What the line is for: pressure, return, suction, drain or work.")] = "pressure",
    bore: Annotated[str | None, typer.Option(metavar="LENGTH", help="Reckon for this bore instead: 1/2 in, 12.7 mm.")] = None,
    length: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Length that the pressure drop is for: 10 ft, 3 m (120 in unless given).")
    ] = None,
    viscosity: Annotated[str, typer.Option(metavar="VISCOSITY", help="Viscosity of the oil: 20 cSt.")] = "20 cSt",
    density: Annotated[str, typer.Option(metavar="DENSITY", help="Density of the oil: 0.87, 870 kg/m3.")] = "0.87",
    units: UnitsOption = "both",
    as_json: JsonFlag = False,
) -> None:
    """Bore and hoses for a flow, without a job file. Also velocity, Reynolds number and pressure drop."""
    from fittings.circuit import BadCircuit, line_kind
    from fittings.circuit.hose import size_for
    from fittings.reports.as_json import dumps
    from fittings.reports.size_text import size_text
    from fittings.units import density_kg_l, flow_gpm, length_in, pressure_psi, units_style, viscosity_cst

    style = quantity(units_style, units)
    cst, kg_l = quantity(viscosity_cst, viscosity, "cst"), quantity(density_kg_l, density, "kg/l")
    try:
        sized = size_for(
            quantity(flow_gpm, flow, "gpm"), line_kind(kind),
            None if psi is None else quantity(pressure_psi, psi, "psi"),
            None if bore is None else quantity(length_in, bore, "in"),
            120.0 if length is None else quantity(length_in, length, "in"), cst, kg_l, style)
    except BadCircuit as error:
        typed = as_typed(flow=flow, kind=None if kind == "pressure" else kind, bore=bore, length=length)
        raise Failure(BAD_INPUT, "bad input", typed, str(error)) from None
    say(dumps(sized.as_json()) if as_json else size_text(sized, cst, kg_l, style))
    leave(ANSWERED if sized.hoses else REFUSED)


def as_typed(**options: str | None) -> str:
    """The options that a refusal is about, as they were typed.

    >>> as_typed(bore="2 in", rod="3 in", stroke=None)
    '--bore "2 in" --rod "3 in"'
    """
    return " ".join(f'--{name} "{text}"' for name, text in options.items() if text is not None)


def quantity(read: Callable[..., T], text: str, *default: str) -> T:
    """A quantity as typed, a bare number in the `default` unit. Raises Failure."""
    from fittings.units import BadQuantity

    try:
        return read(text, *default)
    except BadQuantity as error:
        raise Failure(BAD_INPUT, "bad input", text, str(error)) from None
