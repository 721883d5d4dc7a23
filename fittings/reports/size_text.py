"""The answers of `size` and `cylinder` in words, folded to 80 columns or to the window; stands without colour."""

from collections.abc import Callable, Iterable, Sequence

from fittings.cautions import short
from fittings.circuit import Finding
from fittings.circuit.cylinder import Cylinder, CylinderAnswer
from fittings.circuit.hose import Fit, Sizing
from fittings.reports.documents import sourced
from fittings.reports.window import Paint, lines, painted, takes_tables
from fittings.units import (
    MM_PER_IN,
    PSI_PER_BAR,
    Units,
    format_flow,
    format_force,
    format_least_length,
    format_length,
    format_pressure,
    format_speed,
    format_volume,
)

_LEVELS: dict[str, tuple[str, Paint]] = {"info": ("note", "plain"), "warn": ("LOOK", "yellow"), "refuse": ("NO", "red")}


def _row(what: str, value: str) -> str:
    return lines(f"{what:<26}{value}", "  ", " " * 28)


def findings_text(found: Iterable[Finding]) -> list[str]:
    """Findings with their levels and sources."""
    out = []
    for each in found:
        word, paint = _LEVELS[each.level]
        out.append(painted(lines(f"{word}: {each.text}" + (f" [{', '.join(each.sources)}]" if each.sources else ""), "", "  "), paint))
    return out


def size_text(of: Sizing, cst: float, kg_l: float, units: Units = "both", taken: Sequence[str] = ()) -> str:
    """Bore, velocity, drop and hoses; viscosity in cSt, density in kg/L; `taken`: what a number without a unit was taken for."""
    out = [
        *_taken(taken),
        lines(f"{of.kind} line, {format_flow(of.flow_gpm, units)}" + (f", {format_pressure(of.psi, units)}" if of.psi else "")),
        _row("sized for", f"{format_speed(of.limit_fps, units)} at most"),
        _row("least bore", format_length(of.bore_in * MM_PER_IN, units)),
        _row("hose size", of.size or "none is wide enough"),
        _row("velocity", format_speed(of.velocity_fps, units)),
        _row("Reynolds number", f"{of.reynolds:.0f}"),
        _row(f"drop in {format_length(of.length_in * MM_PER_IN, 'inch' if units == 'both' else units)}",
             f"{format_pressure(of.drop_psi, units) if of.drop_psi >= 1 else _small_drop(of.drop_psi, units)}, "
             f"oil of {cst:g} cSt and {kg_l:g} kg/L"),
    ]
    if of.hoses:
        out.append("hoses, best first")
        out += _hoses(of.hoses, units)
    out += findings_text(of.findings)
    out.append(lines(short()))
    return "\n".join(out)


def _hoses(fits: Iterable[Fit], units: Units) -> list[str]:
    rows = [(f"{fit.hose.type} {fit.hose.size}", format_pressure(fit.hose.pressure_psi, units),
             format_least_length(fit.hose.bend_mm, units), fit.hose.had, sourced(fit.hose.sources, fit.hose.confidence))
            for fit in fits]
    if takes_tables():
        from fittings.reports.board import Column, board

        heads = (Column("hose"), Column("holds"), Column("bend radius"), Column("had"), Column("source", 1))
        return [board(heads, rows, ruled=False)]
    return [lines(f"- {hose}: {holds}, bends to a radius of {radius}, {had} {source}", "  ", "    ")
            for hose, holds, radius, had, source in rows]


def _small_drop(psi: float, units: Units) -> str:
    inch, metric = f"{psi:.2f} psi", f"{psi / PSI_PER_BAR:.3f} bar"
    return {"inch": inch, "metric": metric}.get(units, f"{inch} ({metric})")


def _taken(taken: Sequence[str]) -> list[str]:
    return [lines("; ".join(taken))] if taken else []


def cylinder_text(cyl: Cylinder, of: CylinderAnswer, found: Iterable[Finding] = (), units: Units = "both",
                  taken: Sequence[str] = ()) -> str:
    """Everything that the question allows to be said of a cylinder."""
    rod = f"rod {format_length(cyl.rod_in * MM_PER_IN, units)}" if cyl.rod_in else "a ram, without a rod end"
    head = f"cylinder, bore {format_length(cyl.bore_in * MM_PER_IN, units)}, {rod}"
    if cyl.stroke_in is not None:
        head += f", stroke {format_length(cyl.stroke_in * MM_PER_IN, units)}"
    areas = [_row("area of the piston", _area(cyl.cap_in2, units))]
    if cyl.rod_in:
        areas += [_row("area on the rod side", _area(cyl.annulus_in2, units)), _row("ratio of the two", f"{cyl.phi:.3f}")]
    rows: tuple[tuple[str, str | None], ...] = (
        ("pushes", _said(of.push_lbf, format_force, units)),
        ("pulls", _said(of.pull_lbf, format_force, units)),
        ("extends at", _piston(of.extend_in_s, units)),
        ("retracts at", _piston(of.retract_in_s, units)),
        ("time to extend", None if of.extend_s is None else f"{of.extend_s:.1f} s"),
        ("time to retract", None if of.retract_s is None else f"{of.retract_s:.1f} s"),
        ("out of the cap end, back", _said(of.return_gpm, format_flow, units)),
        ("rod side, port blocked", _said(of.rod_side_psi, format_pressure, units)),
        ("to push the load", _said(of.psi_to_push, format_pressure, units)),
        ("to pull the load", _said(of.psi_to_pull, format_pressure, units)),
        ("its rod buckles at", _said(of.buckling_lbf, format_force, units)),
        ("oil to extend", _said(of.volume_extend_gal, format_volume, units)),
        ("oil to retract", _said(of.volume_retract_gal, format_volume, units)),
    )
    told = [_row(what, value) for what, value in rows if value is not None]
    told = told or [lines("give --psi, --flow, --stroke or --load, and there is more to say", "  ")]
    out = [*_taken(taken), lines(head), *areas, *told, *findings_text(found)]
    out.append(lines("Arithmetic, without friction and leakage; the load is taken along the rod. " + short()))
    return "\n".join(out)


def _said(value: float | None, form: Callable[[float, Units], str], units: Units) -> str | None:
    return None if value is None else form(value, units)


def _area(in2: float, units: Units) -> str:
    inch, metric = f"{in2:.3f} in²", f"{in2 * 2.54**2:.2f} cm²"
    return {"inch": inch, "metric": metric}.get(units, f"{inch} ({metric})")


def _piston(in_s: float | None, units: Units) -> str | None:
    if in_s is None:
        return None
    inch, metric = f"{in_s:.2f} in/s", f"{in_s * MM_PER_IN:.0f} mm/s"
    return {"inch": inch, "metric": metric}.get(units, f"{inch} ({metric})")
