from collections.abc import Callable
from contextlib import suppress
from math import inf
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
    from fittings.reports.size_json import size_json
    from fittings.reports.size_text import size_text
    from fittings.units import density_kg_l, flow_gpm, pressure_psi, units_style, viscosity_cst

    style = quantity(units_style, units)
    taken: list[str] = []
    cst, kg_l = quantity(viscosity_cst, viscosity, "cst"), quantity(density_kg_l, density, "kg/l")
    try:
        sized = size_for(
            bare(flow_gpm, "flow", flow, "gpm", style, taken), line_kind(kind),
            None if psi is None else bare(pressure_psi, "psi", psi, "psi", style, taken),
            None if bore is None else inches("bore", bore, taken, LARGEST_LINE_BORE_IN, style),
            120.0 if length is None else inches("length", length, taken, style=style), cst, kg_l, style)
    except BadCircuit as error:
        typed = as_typed(flow=flow, psi=psi, kind=None if kind == "pressure" else kind, bore=bore, length=length)
        raise Failure(BAD_INPUT, "bad input", typed, str(error)) from None
    say(dumps(size_json(sized, taken)) if as_json else size_text(sized, cst, kg_l, style, taken))
    leave(REFUSED if not sized.hoses or any(each.level == "refuse" for each in sized.findings) else ANSWERED)


LARGEST_LINE_BORE_IN = 4.0
"""A bare number above this is not taken for a bore in inches: no hose is so wide (the widest of our tables is 2 in)."""


WHAT = {"psi": "pressure", "flow": "flow", "load": "load"}
"""What an option is about, as it is said of a number without a unit."""


def bare(read: Callable[..., float], option: str, text: str, default: str, style: str, taken: list[str]) -> float:
    """A quantity as typed. A number without a unit is taken for the `default`, which is added to `taken`; where answers are wanted in
    metric units it is asked back. Raises Failure."""
    from fittings.units import BadQuantity

    with suppress(BadQuantity):
        return read(text)
    value = quantity(read, text, default)
    if style == "metric":
        quantity(read, text)
    taken.append(f"{WHAT[option]} {text.strip()} taken as {default}")
    return value


def inches(option: str, text: str, taken: list[str], most: float = inf, style: str = "both") -> float:
    """A length as typed, in inches. A bare number is taken for inches, which is added to `taken`; above `most`, and where answers are
    wanted in metric units, it is asked back. Raises Failure."""
    from fittings.circuit.hose import size_of_dn
    from fittings.units import MM_PER_IN, BadQuantity, format_length, length_in, units_style

    with suppress(BadQuantity):
        return length_in(text)
    if option == "bore" and most == LARGEST_LINE_BORE_IN and (dash := size_of_dn(text)):
        bore = int(dash.lstrip("-")) / 16
        taken.append(f"bore {text.strip()} taken as hose {dash}, {format_length(bore * MM_PER_IN, units_style(style))}")
        return bore
    value = quantity(length_in, text, "in")
    if value > most or style == "metric":
        raise Failure(BAD_INPUT, "ambiguous", text, f"--{option} {text.strip()}: inches or millimetres?",
                      f'write --{option} "{text.strip()} mm" or "{text.strip()} in"')
    if "/" not in text:
        taken.append(f"{option} {text.strip()} taken as inches")
    return value


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
