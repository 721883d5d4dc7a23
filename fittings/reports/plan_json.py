"""A plan as plain dictionaries, with the field names that other programs rely on."""

from fittings.cautions import Caution
from fittings.job.bill import assembly_words
from fittings.job.from_job import PlannedCylinder
from fittings.job.result import (
    BillItem,
    HoseAssembly,
    Plan,
    PlannedJoint,
    PlannedLine,
    ShelfUse,
    Step,
    end_of,
)
from fittings.job.written_job import job_written
from fittings.parts import Part
from fittings.reports.as_json import (
    Json,
    end_json,
    figure_json,
    findings_json,
    joint_json,
    part_json,
    refusal_json,
    torque_json,
    turn_json,
)
from fittings.units import MM_PER_IN


def plan_json(of: Plan) -> Json:
    """The whole plan; `job` is the job itself in the keys of a job file, for the second opinion."""
    system = of.job.system
    warm = system.temperature_used
    return {
        "title": of.title,
        "units": of.units,
        "system": {"relief_psi": _rounded(system.relief_psi), "flow_gpm": _rounded(system.flow_gpm), "oil": system.oil_used.name,
                   "cold_c": warm.cold_c, "hot_c": warm.hot_c},
        "limits": {"avoid": list(of.job.limits.avoid), "max_parts": of.job.limits.max_parts,
                   "full_bore": of.job.limits.full_bore},
        "job": job_written(of.job),
        "lines": [line_json(each) for each in of.lines],
        "bill": [bill_json(each) for each in of.bill],
        "shelf": shelf_json(of.shelf),
        "steps": [step_json(each) for each in of.steps],
        "cylinders": [cylinder_json(each) for each in of.cylinders],
        "findings": findings_json(of.findings),
        "cautions": [caution_json(each) for each in of.cautions],
    }


def line_json(of: PlannedLine) -> Json:
    """One line, its branches in the same shape."""
    return {
        "name": of.name,
        "kind": of.kind,
        "from": {"port": of.from_ref, "end": end_json(of.start)},
        "to": {"port": of.to_ref, "end": end_json(of.finish) if of.finish else None},
        "flow_gpm": _rounded(of.demand.flow_gpm),
        "flow_why": of.demand.flow_why,
        "flow_asked": of.demand.flow_asked,
        "max_psi": _rounded(of.demand.max_psi),
        "route": None if of.way is None else of.way.model_dump(exclude_none=True),
        "hose": hose_json(of.hose),
        "from_parts": [part_json(used) for used in of.from_parts],
        "to_parts": [part_json(used) for used in of.to_parts],
        "tees": [tee_json(each) for each in of.tees],
        "joints": [planned_joint_json(each) for each in of.joints],
        "rating_psi": _rounded(of.rating_psi),
        "weakest": of.weakest or None,
        "velocity_fps": _rounded(of.velocity_fps),
        "drop_psi": {"hot": _rounded(of.drop_hot_psi), "cold": _rounded(of.drop_cold_psi)},
        "findings": findings_json(of.findings),
        "refused": refusal_json(of.refused),
        "branches": [line_json(each) for each in of.branches],
    }


def _rounded(value: float | None, places: int = 3) -> float | None:
    return None if value is None else round(value, places)


def hose_json(of: HoseAssembly | None) -> Json | None:
    """A hose assembly: `ends` are what is screwed on, `end_parts` the crimped ends as they are bought."""
    if of is None:
        return None
    return {
        "type": of.hose.type, "size": of.hose.size, "length_in": _rounded(of.length_in, 4),
        "ends": [end_json(end_of(used)) for used in of.ends], "angle_deg": of.angle_deg,
        "end_parts": [part_json(used) for used in of.ends],
        "say": assembly_words(of, "both"), "standard": of.hose.standard, "rating_psi": _rounded(of.hose.pressure_psi),
        "source": ";".join(of.hose.sources), "confidence": of.hose.confidence, "bend_in": _rounded(of.hose.bend_in),
        "plus_in": _rounded(of.plus_in, 6), "minus_in": _rounded(of.minus_in, 6),
        "positions": [
            {"angle_deg": each.angle_deg,
             "chord_in": _rounded(each.chord_mm / MM_PER_IN), "needed_in": _rounded(each.needed_mm / MM_PER_IN),
             "radius_in": _rounded(None if each.radius_mm is None else each.radius_mm / MM_PER_IN)}
            for each in (of.route.positions if of.route else ())
        ],
    }


def tee_json(of: Part) -> Json:
    """A tee or cross of a line that splits."""
    return {"say": of.say, "shape": of.shape, "had": of.had, "ends": [end_json(each) for each in of.ends]}


def planned_joint_json(of: PlannedJoint) -> Json:
    """A joint with its torque bands and turns."""
    return {**joint_json(of.joint), "torque": [torque_json(each) for each in of.torque],
            "turns": [turn_json(each) for each in of.turns], "no_torque_for": of.no_torque_for or None}


def bill_json(of: BillItem) -> Json:
    """An item of the bill: how many (of oil: how much), what, for which lines, from which place, at what price."""
    qty = int(of.qty) if of.qty == int(of.qty) else of.qty
    return {"qty": qty, "say": of.say, "spec": of.spec, "for": list(of.for_), "from_stock": of.from_stock, "sort": of.sort,
            "ends": [end_json(each) for each in of.ends], "note": of.note, "place": of.place or None, "price": of.price}


def shelf_json(of: ShelfUse | None) -> Json | None:
    """What the job takes from a shelf; which parts from which place stands in the bill."""
    if of is None:
        return None
    return {"file": of.file, "taken": of.taken, "bought": of.bought, "kinds_bought": of.kinds_bought,
            "extra_joints": [{"line": line, "joints": count} for line, count in of.extra_joints],
            "aside": [{"row": each.number, "text": each.text, "why": each.why, "ask": each.ask} for each in of.aside]}


def step_json(of: Step) -> Json:
    """A step: what to do, its joint, ring, oil, sealant, spanner, and where the second spanner holds."""
    return {"n": of.n, "line": of.line, "do": of.do, "joint": planned_joint_json(of.joint) if of.joint else None,
            "ring": of.ring or None, "lube": of.lube or None, "sealant": of.sealant, "sealant_why": of.sealant_why or None,
            "spanner": figure_json(of.spanner) if of.spanner else None, "hold": of.hold or None}


def cylinder_json(of: PlannedCylinder) -> Json:
    """The fields of `cylinder --json`, with the name and measures of the cylinder."""
    answer = {name: _rounded(value) for name, value in of.answer._asdict().items()}
    return {"name": of.name, "bore_in": of.bore_in, "rod_in": of.rod_in, "stroke_in": of.stroke_in, "phi": _rounded(of.phi), **answer,
            "back_by": of.back_by, "findings": findings_json(of.findings)}


def caution_json(of: Caution) -> Json:
    """A caution: its code, the stage of the work, the words, why it is there, ids of `data/sources.csv`."""
    return {"code": of.code, "stage": of.stage, "text": of.text, "why": of.why, "sources": list(of.sources),
            "confidence": of.confidence}
