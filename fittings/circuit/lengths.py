"""How long a hose must be ordered: between ports that do not move, and by the published forms for bends.

A hose under pressure gets up to 4 % shorter and 2 % longer (SAE J517, EN 853 to 857), is cut to a tolerance, must run
straight for a little behind each ferrule, and its bend radius counts to the inside of the bend.
"""

from collections.abc import Iterator
from math import pi, radians, sqrt
from typing import NamedTuple

from fittings.circuit import BadCircuit, Finding, above_zero
from fittings.circuit.hose import Hose
from fittings.circuit.rules import because, rule_value
from fittings.tables import table
from fittings.units import Units, format_length, round_up

STEP_IN_MM, STEP_METRIC_MM = 12.7, 10.0


class Position(NamedTuple):
    """The hose at one angle of the swing: distance of the ports and hose needed, mm; then its slack.

    `radius_mm`: roomiest bend of the centre line at the length as ordered; `radius_grown_mm`: with the plus tolerance
    and 2 % grown; None where it cannot be laid. `turning_deg`: how far the hose turns in all.
    """

    angle_deg: float
    chord_mm: float
    needed_mm: float
    radius_mm: float | None
    radius_grown_mm: float | None
    turning_deg: float


class Laid(NamedTuple):
    """A hose laid out: overall length to order (mm), tolerance, positions of a swing, and what was found."""

    build_length_mm: float
    needed_mm: float
    plus_mm: float
    minus_mm: float
    positions: tuple[Position, ...]
    findings: tuple[Finding, ...]
    longest_at_deg: float | None = None
    tightest_at_deg: float | None = None

    @property
    def possible(self) -> bool:
        """Whether nothing found refuses this hose on this route."""
        return all(finding.level != "refuse" for finding in self.findings)


def tolerance_mm(length_mm: float, bore_mm: float, scheme: str = "inch") -> tuple[float, float]:
    """Plus and minus tolerance, mm, of a finished hose of `length_mm` and `bore_mm`.

    `scheme` is `inch` (SAE J517) or `metric` (EN 853 to 857). Up to 12 in from two sources, the rest from memory.
    Raises BadCircuit for another scheme.

    >>> tolerance_mm(622, 12.7), tolerance_mm(622, 12.7, "metric")
    ((6.4, 6.4), (7.0, 3.0))
    """
    for row in table("hose/tolerance"):
        wide_enough = not row["bore_to_mm"] or bore_mm <= float(row["bore_to_mm"]) + 1
        long_enough = not row["length_to_mm"] or length_mm <= float(row["length_to_mm"])
        if row["scheme"] == scheme and wide_enough and long_enough:
            if row["plus_mm"]:
                return float(row["plus_mm"]), float(row["minus_mm"])
            return length_mm * float(row["plus_percent"]) / 100, length_mm * float(row["minus_percent"]) / 100
    raise BadCircuit(f"“{scheme[:20]}” is not a tolerance scheme: write inch or metric")


def straight_behind_mm(hose: Hose) -> float:
    """Straight length, mm, that a hose wants behind each ferrule: 1.5 × OD, at least 25.4 mm (from memory).

    >>> from fittings.circuit.hose import hose
    >>> round(straight_behind_mm(hose("2SN", "-8")), 1)
    33.3
    """
    return max(rule_value("straight-behind-ferrule") * hose.od_known_mm, rule_value("straight-behind-ferrule-least"))


def end_length_mm(hose: Hose) -> float:
    """Estimated rigid length, mm, of one straight crimped end with its nut; for use where no table has it."""
    return rule_value("end-length") * hose.od_known_mm


def order_length_mm(needed_mm: float, hose: Hose, scheme: str, step_mm: float | None) -> tuple[float, float, float]:
    """Length to order, plus and minus tolerance, mm: so long that even a hose cut short is not below `needed_mm`."""
    step = step_mm or (STEP_METRIC_MM if scheme == "metric" else STEP_IN_MM)
    build = needed_mm
    # the tolerance belongs to the length as ordered, which the tolerance itself makes longer
    for _ in range(4):
        build = round_up(needed_mm + tolerance_mm(build, hose.bore_mm, scheme)[1], step)
    return build, *tolerance_mm(build, hose.bore_mm, scheme)


def fixed(
    distance_mm: float,
    hose: Hose,
    ends_mm: tuple[float, float] | None = None,
    scheme: str = "inch",
    step_mm: float | None = None,
    units: Units = "both",
) -> Laid:
    """A hose between two ports that do not move, `distance_mm` apart along the route, port face to port face.

    Length ≥ distance ÷ 0.96 and the minus tolerance, rounded up to `step_mm` (1/2 in, or 10 mm with the metric scheme).
    `ends_mm`: rigid length of both hose ends; estimated when not given. Raises BadCircuit.

    >>> from fittings.circuit.hose import hose
    >>> fixed(600, hose("2SN", "-8"), step_mm=1).needed_mm
    625.0
    """
    above_zero(distance_mm, "a distance", "mm")
    needed = distance_mm / (1 - rule_value("shortens"))
    build, plus, minus = order_length_mm(needed, hose, scheme, step_mm)
    found: list[Finding] = []
    ends = sum(ends_mm or (end_length_mm(hose), end_length_mm(hose)))
    shortest_made = ends + rule_value("shortest-hose") * hose.od_known_mm
    if build < shortest_made:
        found.append(Finding(
            "hose-too-short-to-make", "refuse", f"a {hose.size} hose shorter than about {format_length(shortest_made, units)} cannot be "
            f"made well: the two ends alone take {format_length(ends, units)}; use tube, or adapters", because("shortest-hose")))
    else:
        found += [*_slack_note(hose, build, units), *hanging(build, units)]
    return Laid(build, needed, plus, minus, (), tuple(found))


def _slack_note(hose: Hose, build_mm: float, units: Units) -> Iterator[Finding]:
    """What a hose of `build_mm` does under pressure. Nothing of a hose with a wire helix: it is a suction hose, and no source holds it."""
    if hose.ends_series == "helix":
        return
    shorter, longer = (format_length(build_mm * rule_value(name), units) for name in ("shortens", "grows"))
    rests = " (the band of wire hose; textile hose of a larger bore may change more)" if hose.ends_series == "textile" else ""
    yield Finding("hose-shortens", "info", f"under pressure it may get {shorter} shorter and {longer} longer{rests}: let it bow, never "
                  "clamp it at the bend", because("shortens", "grows"))


def hanging(build_mm: float, units: Units) -> list[Finding]:
    """A word on clamps for a hose of `build_mm` that would hang, none for a short one."""
    every_mm = rule_value("clamp-every")
    if build_mm <= 2 * every_mm:
        return []
    about = 50 * round(every_mm / 50) if units == "metric" else every_mm
    return [Finding("clamp-hose", "info", f"clamp it about every {format_length(about, units)}, in straight runs, never a high-pressure "
                    "line together with a low-pressure one", because("one-plane", "clamp-every"))]


def corner_mm(leg_1_mm: float, leg_2_mm: float, radius_mm: float) -> float:
    """Length, mm, of a hose round a right angle: legs to the corner, radius to the centre line. Raises BadCircuit.

    >>> round(corner_mm(400, 600, 334), 1)
    856.6
    """
    if min(leg_1_mm, leg_2_mm) < radius_mm:
        raise BadCircuit("each leg must be at least as long as the radius")
    return leg_1_mm - radius_mm + leg_2_mm - radius_mm + pi * radius_mm / 2


def bend_mm(turn_deg: float, radius_mm: float) -> float:
    """Length, mm, of hose in a bend of `turn_deg` at `radius_mm` to the centre line.

    >>> round(bend_mm(90, 177.8) / 25.4, 1)
    11.0
    """
    return radians(turn_deg) * radius_mm


def rolling_loop_mm(radius_mm: float, travel_mm: float, across: bool = False) -> float:
    """Length, mm, of a loop that rolls with a `travel_mm` along its legs, or `across` them (two metal-hose handbooks).

    4·R + T/2 along; 4·R + 1.57·T across; radius to the centre line.

    >>> rolling_loop_mm(190.5, 304.8) / 25.4
    36.0
    """
    return rule_value("rolling-loop") * radius_mm + (1.57 * travel_mm if across else travel_mm / 2)


def offset_mm(radius_mm: float, offset: float) -> float:
    """Length, mm, of hose that lets one end move `offset` mm to the side, three handbooks: √(6·R·X + X²).

    >>> round(offset_mm(190.5, 25.4) / 25.4, 2)
    6.78
    """
    return sqrt(6 * radius_mm * offset + offset**2)


def trial_length_mm(radius_mm: float, od_mm: float, turn_deg: float = 180) -> float:
    """Free length, mm, of a test hose by SAE J343: (turn in radians)·(r + d/2) + 2·d with 2·d at least 50.8 mm.

    >>> round(trial_length_mm(180, 22.2), 1)
    651.2
    """
    return radians(turn_deg) * (radius_mm + od_mm / 2) + max(2 * od_mm, rule_value("test-hose"))


def elbow_angle_text(angle_deg: float, length_mm: float) -> str:
    """The words for the order sheet: the angle, its tolerance (±3° to 24 in, ±5° above) and the convention in words.

    The angle is the same from whichever end it is read (SAE J517 and two assemblers' pages).

    >>> elbow_angle_text(90, 500)
    '90° ±3°: look along the hose from its near end, which points down (6 o’clock); the far end points to 3 o’clock'
    """
    angle = angle_deg % 360
    tolerance = rule_value("elbow-angle" if length_mm <= rule_value("elbow-angle-turns-at") else "elbow-angle-long")
    hour, minutes = divmod(round((6 - angle / 30) * 60) % 720, 60)
    clock = f"{hour or 12}:{minutes:02d} on the clock" if minutes else f"{hour or 12} o’clock"
    return (
        f"{angle:g}° ±{tolerance:g}°: look along the hose from its near end, which points down (6 o’clock); "
        f"the far end points to {clock}"
    )
