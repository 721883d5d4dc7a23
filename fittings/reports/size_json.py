"""The answers of `size` and `cylinder` as plain dictionaries, with the field names that other programs rely on."""

from collections.abc import Iterable, Sequence

from fittings.circuit import Finding
from fittings.circuit.cylinder import Cylinder, CylinderAnswer
from fittings.circuit.hose import Fit, Sizing
from fittings.reports.as_json import Json, findings_json


def size_json(of: Sizing, taken: Sequence[str] = ()) -> Json:
    """Bore, velocity, drop and hoses; `taken`: what a number without a unit was taken for."""
    return {**of._asdict(), "hoses": [_hose(each) for each in of.hoses], "findings": findings_json(of.findings), "taken": list(taken)}


def _hose(fit: Fit) -> Json:
    hose = fit.hose
    return {"type": hose.type, "size": hose.size, "rating_psi": hose.pressure_psi, "bend_in": round(hose.bend_in, 2), "had": hose.had,
            "confidence": hose.confidence, "sources": list(hose.sources)}


def cylinder_json(cyl: Cylinder, of: CylinderAnswer, found: Iterable[Finding], taken: Sequence[str] = ()) -> Json:
    """The areas of a cylinder and everything that the question allows to be said of it."""
    return {"cap_in2": cyl.cap_in2, "annulus_in2": cyl.annulus_in2 if cyl.rod_in else None, "phi": cyl.phi if cyl.rod_in else None,
            **of._asdict(), "findings": findings_json(found), "taken": list(taken)}
