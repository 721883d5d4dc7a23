"""The figures of a saved plan, worked out again from what stands beside them: flows, lengths, drops, cylinders; and the findings that
the tables alone demand of a line, an oil, a cylinder."""

from collections.abc import Iterable, Iterator, Mapping
from math import cos, radians
from typing import NamedTuple

from fittings.check import Flaw, Piece
from fittings.circuit import LEVELS, Finding, Level
from fittings.circuit import oil as oils
from fittings.circuit.cylinder import (
    Cylinder,
    between_pins_in,
    buckling_findings,
    buckling_lbf,
    cylinder,
    return_gpm,
    rod_side_psi,
    speed_in_s,
    volume_gal,
)
from fittings.circuit.flow import Stretch, coupler_drop, drop_findings, exit_drop_psi, line_drop_psi
from fittings.circuit.hose import Hose, end_bore_in, hose, judge
from fittings.circuit.lengths import end_length_mm, fixed, tolerance_mm
from fittings.circuit.rules import rule_value
from fittings.ends import family
from fittings.job.saved_plan import Saved, end_written, number, pieces, tables_in
from fittings.parts import find, is_elbow
from fittings.units import IN3_PER_GAL, MM_PER_IN, Units

ROUNDED = 0.001
"""Figures are saved to a thousandth."""

SLOW_IN_S, LITTLE_GPM = 1.0, 0.5
ROUGH = ("extend_in_s", "retract_in_s", "extend_s", "retract_s", "return_gpm")


class Demanded(NamedTuple):
    """A finding that the tables alone ask for: its code, its least level, and what it speaks of."""

    code: str
    level: Level
    what: str


def _demanded(found: Iterable[Finding]) -> Iterator[Demanded]:
    return (Demanded(each.code, each.level, each.text) for each in found)


def _told(value: float | None) -> str:
    return "none" if value is None else f"{value:.5g}"


def line_figure_flaws(saved: Saved, line: Saved) -> Iterator[Flaw]:
    """What is wrong with flow, length, drop and findings of a line that can be done. Raises LookupError, TypeError, ValueError."""
    yield from _flow_flaws(saved, line)
    if line.get("hose") is None:
        return
    of = hose(str(line["hose"]["type"]), str(line["hose"]["size"]))
    yield from _length_flaws(saved, line, of)
    yield from _drop_flaws(saved, line, of)
    yield from _missing(line.get("findings"), _of_line(saved, line, of))


def whole_figure_flaws(saved: Saved) -> Iterator[Flaw]:
    """What is wrong with the cylinders. Raises LookupError, TypeError, ValueError."""
    for each in tables_in(saved.get("cylinders")):
        yield from (flaw._replace(where=f"cylinder {each.get('name')}") for flaw in _cylinder_flaws(saved, each))


# --- flow ----------------------------------------------------------------------------------------------------------------------

def _flow_flaws(saved: Saved, line: Saved) -> Iterator[Flaw]:
    """The least that a line must carry: what the pump gives, more out of a cap end on retract, a share of it in a case drain."""
    flow, legs = float(line["flow_gpm"]), tables_in(line.get("branches"))
    if legs and sum(float(leg["flow_gpm"]) for leg in legs) < min(flow, float(saved["system"]["flow_gpm"])) * 0.999:
        yield Flaw("flow-too-low", "flow", "the legs together carry less than what comes into the line")
    # what a flow divider gives is held against the job that is written in the plan
    divided = any(each.get("code") in ("divider-share", "brake-line") for each in tables_in(line.get("findings")))
    if line.get("flow_asked") or divided or line["from"]["port"] == "tee":
        return
    least = float(saved["system"]["flow_gpm"]) * (rule_value("drain-share") if line["kind"] == "drain" else _back(saved, line))
    if flow < least * 0.999 - ROUNDED:
        yield Flaw("flow-too-low", "flow", f"{flow:g} gpm is written, it carries {least:.2f} gpm")


def _back(saved: Saved, line: Saved) -> float:
    """How many times the pump's flow comes out of the cap end that a work line leads to; 1 where it leads to none."""
    if line["kind"] != "work" or tables_in(line.get("branches")):
        return 1.0
    ports = [str(line[side]["port"]).lower() for side in ("from", "to")]
    fed = [each for each in tables_in(saved.get("cylinders")) if each.get("return_gpm") and not _own_flow(each)]
    return max((cylinder(float(each["bore_in"]), float(each["rod_in"])).phi for each in fed
                if any(port.startswith(f"{each.get('name')}.cap".lower()) for port in ports)), default=1.0)


def _own_flow(cylinder_: Saved) -> bool:
    return any(each.get("code") == "own-flow" for each in tables_in(cylinder_.get("findings")))


# --- length --------------------------------------------------------------------------------------------------------------------

def _length_flaws(saved: Saved, line: Saved, of: Hose) -> Iterator[Flaw]:
    written, route = line["hose"], line.get("route") or {}
    scheme = "metric" if saved.get("units") == "metric" else "inch"
    length = number(written.get("length_in"))
    if length is None:
        if route:
            yield Flaw("length-differs", "hose", "a route is written, and no length of the hose")
        return
    plus, minus = (each / MM_PER_IN for each in tolerance_mm(length * MM_PER_IN, of.bore_mm, scheme))
    if abs(plus - float(written["plus_in"])) > 0.002 or abs(minus - float(written["minus_in"])) > 0.002:
        yield Flaw("length-differs", "hose", f"the tolerance of a hose so long is +{plus:.3f} -{minus:.3f} in")
    if number(route.get("length_in")) is not None:
        right = fixed(float(route["length_in"]) * MM_PER_IN, of, scheme=scheme).build_length_mm / MM_PER_IN
        if abs(right - length) > 0.01:
            yield Flaw("length-differs", "hose", f"{length:g} in is written, a route of {route['length_in']:g} in takes {right:.2f} in")
    elif isinstance(route.get("swing"), dict):
        yield from _swing_flaws(written, route["swing"], of)
    else:
        yield Flaw("length-differs", "hose", f"{length:g} in is written, and no route")


def _swing_flaws(written: Saved, swing: Saved, of: Hose) -> Iterator[Flaw]:
    """The distance of the ports at each position by the law of cosines; both ends of the motion are there, no position needs less hose
    than that distance, and what can shorten is long enough for all of them."""
    a, b = float(swing["pivot_to_from_in"]), float(swing["pivot_to_to_in"])
    positions = tables_in(written.get("positions"))
    angles = [float(each["angle_deg"]) for each in positions]
    if not angles or abs(min(angles) - min(swing["angle_deg"])) > 0.01 or abs(max(angles) - max(swing["angle_deg"])) > 0.01:
        yield Flaw("swing-differs", "hose", "the positions written do not reach from one end of the motion to the other")
        return
    for each in positions:
        chord = max(a * a + b * b - 2 * a * b * cos(radians(float(each["angle_deg"]))), 0.0) ** 0.5
        if abs(chord - float(each["chord_in"])) > 0.005 or float(each["needed_in"]) < chord - 0.005:
            yield Flaw("swing-differs", "hose", f"at {each['angle_deg']:g}° the ports are {chord:.2f} in apart; no shorter hose reaches")
            return
    # where the ports look is only known to the plan with the rigid ends of the hose
    directed = swing.get("from_points_deg") is not None and swing.get("to_points_deg") is not None
    rigid = 2 * end_length_mm(of) / MM_PER_IN if directed else 0.0
    least = rigid + (max(float(each["needed_in"]) for each in positions) - rigid) / (1 - rule_value("shortens"))
    if float(written["length_in"]) - float(written["minus_in"]) < least - 0.01:
        yield Flaw("hose-too-short", "hose", f"{written['length_in']:g} in less its tolerance is below the {least:.2f} in that the motion "
                   "and shortening ask for")


# --- drop ----------------------------------------------------------------------------------------------------------------------

def _drop_flaws(saved: Saved, line: Saved, of: Hose) -> Iterator[Flaw]:
    length, system = number(line["hose"].get("length_in")), saved["system"]
    if length is None:
        return
    flow, oil = float(line["flow_gpm"]), oils.oil(str(system["oil"]))
    before, behind = (pieces(tables_in(line[name])) for name in ("from_parts", "to_parts"))
    crimped = pieces(line["hose"]["end_parts"])
    near, far = [*before, crimped[0]], [crimped[1], *behind]
    tight = end_bore_in(of)
    stretches = [Stretch(tight, 0.0, ("tee-branch",))] if line["from"]["port"] == "tee" else []
    stretches += [*_stretches(near, tight), Stretch(of.bore_in, length), *_stretches(far, tight)]
    # oil in a work line runs both ways: it leaves by the narrower of the two ports
    mouth = min(_bore_in(each, tight) for each in (near[0], far[-1]))
    couplers = _couplers(line)
    about = (max(flow - ROUNDED, 0.0), flow + ROUNDED)
    drops = [[coupler_drop(size, each) for size in couplers] for each in about]
    for name in ("hot", "cold"):
        celsius, written = float(system[f"{name}_c"]), number(line["drop_psi"].get(name))
        if any(drop is None for drop in drops[0]):
            if written is not None:
                yield Flaw("drop-differs", "hose", f"{written:g} psi is written, and no table holds what a coupler in it takes")
            continue
        cst, density = oils.viscosity_cst(oil, celsius), oils.density_kg_l(oil, celsius)
        low, high = (
            line_drop_psi(stretches, each, cst, density) + exit_drop_psi(each, mouth, density) + sum(drop.psi for drop in some if drop)
            for each, some in zip(about, drops, strict=True))
        if written is None or not low * 0.99 - 0.01 <= written <= high * 1.01 + 0.01:
            yield Flaw("drop-differs", "hose", f"{_told(written)} psi is written as what it loses {name}, {high:.1f} psi is right")


def _stretches(parts: Iterable[Piece], most: float) -> Iterator[Stretch]:
    for each in parts:
        if each.shape != "coupler":
            bend = f"elbow-{each.shape[-2:]}" if is_elbow(each.shape) else "straight"
            yield Stretch(_bore_in(each, most), 0.0, (bend,))


def _bore_in(of: Piece, most: float) -> float:
    return min((*(end.nominal_16ths / 16 for end in (of.near, of.far) if end.nominal_16ths is not None), most))


def _couplers(line: Saved) -> list[str]:
    """The sizes of the coupler halves in a line with a hose."""
    parts = pieces([*tables_in(line["from_parts"]), *line["hose"]["end_parts"], *tables_in(line["to_parts"])])
    return [next(end.size for end in (each.near, each.far) if family(end.family)["kin"] == "coupler")
            for each in parts if each.shape == "coupler"]


# --- cylinders -------------------------------------------------------------------------------------------------------------------

def _cylinder_flaws(saved: Saved, written: Saved) -> Iterator[Flaw]:
    """Forces, pressures, speeds and volumes by the areas; a load that is not written is taken from the pressure to push it."""
    relief, flow = float(saved["system"]["relief_psi"]), float(saved["system"]["flow_gpm"])
    stroke = number(written.get("stroke_in"))
    shape = cylinder(float(written["bore_in"]), float(written["rod_in"]), stroke)
    pulled = written.get("pull_lbf") is not None
    if pulled and written.get("push_lbf") is None:
        yield from _pulling_flaws(relief, flow, shape, written)
        return
    own = _own_flow(written)
    out, back = (number(written.get(name)) if own else speed_in_s(area, flow)
                 for name, area in (("extend_in_s", shape.cap_in2), ("retract_in_s", shape.annulus_in2)))
    push = number(written.get("psi_to_push"))
    right = {
        "phi": shape.phi, "push_lbf": relief * shape.cap_in2, "pull_lbf": relief * shape.annulus_in2 if pulled else None,
        "rod_side_psi": rod_side_psi(shape, relief) if pulled else None,
        "extend_in_s": out, "retract_in_s": back if pulled else None,
        "psi_to_pull": push * shape.phi if pulled and push is not None else None,
        **_strokes(shape, stroke, out, back if pulled else None),
    }
    yield from _differing(written, right, own, flow, min(out or 0.0, back or SLOW_IN_S))
    demanded = [Demanded("intensification", "warn", "what its rod side reaches when its port is shut")] if pulled else []
    buckles, rod = number(written.get("buckling_lbf")), shape.rod_in or shape.bore_in
    if (buckles is None) != (stroke is None) or (stroke and buckles and buckles > 1.001 * buckling_lbf(rod, between_pins_in(shape) or 1.0)):
        yield Flaw("cylinder-differs", "", f"buckling_lbf is written as {_told(buckles)}, more than a rod so long can stand")
    if push is not None and push > relief * 1.001:
        demanded.append(Demanded("load-too-great", "refuse", "a load that it cannot push"))
    yield from _missing(written.get("findings"), [*demanded, *_of_the_rod(shape, relief, push, number(written.get("buckling_lbf")))])


def _pulling_flaws(relief: float, flow: float, shape: Cylinder, written: Saved) -> Iterator[Flaw]:
    """The same of a cylinder that is only pulled: nothing is said of its way out."""
    own, stroke, load = _own_flow(written), shape.stroke_in, number(written.get("psi_to_pull"))
    back = number(written.get("retract_in_s")) if own else speed_in_s(shape.annulus_in2, flow)
    right = {
        "phi": shape.phi, "pull_lbf": relief * shape.annulus_in2, "retract_in_s": back, **_strokes(shape, stroke, None, back),
        **dict.fromkeys(("volume_extend_gal", "return_gpm", "extend_in_s", "rod_side_psi", "psi_to_push", "buckling_lbf")),
    }
    yield from _differing(written, right, own, flow, back)
    yield from _missing(written.get("findings"), [
        Demanded("load-too-great", "refuse", "a load that it cannot pull")] if load is not None and load > relief * 1.001 else [])


def _differing(written: Saved, right: Mapping[str, float | None], own: bool, flow: float, slowest: float | None) -> Iterator[Flaw]:
    for name, value in right.items():
        # what is saved to a thousandth is too rough to reckon on with where it is little itself
        if name in ROUGH and (own or flow < LITTLE_GPM) and (slowest or 0.0) < SLOW_IN_S:
            continue
        there = number(written.get(name))
        apart = abs(there - value) if there is not None and value is not None else 0.0
        if (there is None) != (value is None) or apart > 0.002 * (value or 0.0) + 0.002:
            yield Flaw("cylinder-differs", "", f"{name} is written as {_told(there)}, it is {_told(value)}")


def _of_the_rod(shape: Cylinder, relief: float, push_psi: float | None, buckles_lbf: float | None) -> Iterator[Demanded]:
    """What must be said of a rod that buckles at so much, a little more or less, so that no rounding tips the scale."""
    if not buckles_lbf:
        return
    load = None if push_psi is None else push_psi * shape.cap_in2
    apart = (buckling_lbf(shape.rod_in or shape.bore_in, 1.0) / buckles_lbf) ** 0.5
    low, high = (buckling_findings(shape, relief, load, apart * (1 + way * 1e-3)) for way in (-1, 1))
    yield from _demanded(each for each in low if (each.code, each.level) in {(other.code, other.level) for other in high})


def _strokes(shape: Cylinder, stroke: float | None, out: float | None, back: float | None) -> dict[str, float | None]:
    """What hangs on the stroke, and on the speeds that are written."""
    def takes(speed: float | None) -> float | None:
        return None if stroke is None or not speed else stroke / speed

    gallons = None if stroke is None else volume_gal(shape.cap_in2, stroke)
    emptied = None if stroke is None or not back else volume_gal(shape.annulus_in2, stroke)
    fed = None if not back else back * 60 * shape.annulus_in2 / IN3_PER_GAL
    return {"extend_s": takes(out), "retract_s": takes(back), "volume_extend_gal": gallons, "volume_retract_gal": emptied,
            "return_gpm": None if fed is None else return_gpm(shape, fed)}


# --- what must be found ------------------------------------------------------------------------------------------------------------

def _of_line(saved: Saved, line: Saved, of: Hose) -> Iterator[Demanded]:
    """What the tables alone say of a hose on a line, of its parts and of its joints."""
    units: Units = saved.get("units") or "both"
    yield from _certain(saved, line, of, units)
    written, route = line["hose"], line.get("route") or {}
    if written.get("length_in") is None:
        yield Demanded("no-length", "warn", "a length that is to be measured")
    elif number(route.get("length_in")) is not None:
        yield from _demanded(fixed(float(route["length_in"]) * MM_PER_IN, of, scheme="metric" if units == "metric" else "inch").findings)
    drops = [number(line["drop_psi"].get(name)) for name in ("hot", "cold")]
    if drops[0] is not None and drops[1] is not None:
        reckoned = any(each.get("code") == "return-pressure-reckoned" for each in tables_in(line.get("findings")))
        yield from _demanded(each for each in drop_findings(drops[0], drops[1], line["kind"], units, float(saved["system"]["relief_psi"]))
                             if each.code != "return-pressure" or not reckoned)
        if line["kind"] == "drain" and max(drops[0], drops[1]) > float(line["max_psi"]) + ROUNDED:
            hot = drops[0] > float(line["max_psi"]) + ROUNDED
            yield Demanded("drain-pressure", "refuse" if hot else "warn", "more pressure than the shaft seal stands")
        # behind a relief a return holds back no more than there is to push with
        held = min(drops[1], float(saved["system"]["relief_psi"])) if line["kind"] == "return" else drops[1]
        if line["kind"] in ("return", "drain") and held > of.pressure_psi + ROUNDED:
            yield Demanded("drop-above-rating", "refuse", "more pressure than the hose holds")
    yield from _of_couplers(line)
    before, behind = tables_in(line["from_parts"]), tables_in(line["to_parts"])
    for some in (before, behind):
        if sum(part["shape"] != "coupler" for part in some) >= rule_value("stacked-parts"):
            yield Demanded("stacked-adapters", "warn", "a stack of adapters on one port")
    parts = [*before, *written["end_parts"], *behind]
    if sum(is_elbow(str(part["shape"])) for part in written["end_parts"]) == 2:
        known = written.get("angle_deg") is not None
        yield Demanded(*(("angle-between-ends", "info") if known else ("angle-unknown", "warn")), "the angle between two bent ends")
    for part in parts:
        made = find([end_written(each) for each in part["ends"]], str(part["shape"]))
        if made and all(each.had == "to order" for each in made):
            yield Demanded("to-order", "warn", f"a part that is made to order, {part['say']}")
    if any(end_written({"id": joint[side]}).limited_by for joint in tables_in(line["joints"]) for side in ("a", "b")):
        yield Demanded("tube-wall", "info", "a fitting on a tube, whose wall may carry less")
    if any(joint.get("condition") for joint in tables_in(line["joints"])):
        yield Demanded("condition", "info", "a joint that holds on a condition only")


def _of_couplers(line: Saved) -> Iterator[Demanded]:
    """What a coupler is rated for in flow, against what the line carries."""
    for size in _couplers(line):
        drop = coupler_drop(size, float(line["flow_gpm"]) * (1 - 1e-4))
        if drop is None:
            yield Demanded("coupler-flow-unknown", "warn", f"a coupler {size}, of which no table holds the flow")
        elif round(drop.over, 2) > 1:
            over = round(drop.over, 2)
            level: Level = "refuse" if over > rule_value("coupler-most") else "info" if over < rule_value("coupler-slight") else "warn"
            yield Demanded("coupler-flow", level, f"a coupler {size} that carries more than it is rated for")


def _certain(saved: Saved, line: Saved, of: Hose, units: Units) -> Iterator[Demanded]:
    """What is found of a hose a little below and a little above what is written, so that no rounding tips the scale."""
    psi, flow = float(line["max_psi"]), float(line["flow_gpm"])
    hot, cold = (number(saved["system"].get(name)) for name in ("hot_c", "cold_c"))
    low, high = (judge(of, max(psi + way * ROUNDED, 0.0), flow * (1 + way * 1e-4), line["kind"], hot, cold, units=units) for way in (-1, 1))
    return _demanded(each for each in low if (each.code, each.level) in {(other.code, other.level) for other in high})


def _missing(written: object, demanded: Iterable[Demanded]) -> Iterator[Flaw]:
    """Findings that must be told and are not, or at a lower level. Their words are not compared."""
    order: tuple[str, ...] = LEVELS
    told = [(each.get("code"), order.index(str(each.get("level")))) for each in tables_in(written)]
    for each in dict.fromkeys(demanded):
        if not any(code == each.code and level <= order.index(each.level) for code, level in told):
            yield Flaw("finding-missing", "findings", f"{each.code} ({each.level}) is not told: {each.what}")
