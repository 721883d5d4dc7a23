"""A hose across a pivot: how long, how tight, which position is worst, and what helps.

With the directions of both ports the hose takes the shortest curve of bounded curvature (Dubins) at every position of
the motion; the longest of them governs the length, and at the other positions the slack must find room to bend.
"""

from collections.abc import Sequence
from math import ceil, cos, degrees, hypot, pi, radians, sin
from typing import NamedTuple

from fittings.circuit import BadCircuit, Finding, above_zero
from fittings.circuit.curve import Pose, ahead, calmest, slack_curve
from fittings.circuit.hose import Hose, hoses
from fittings.circuit.lengths import (
    Laid,
    Position,
    elbow_angle_text,
    end_length_mm,
    fixed,
    hanging,
    order_length_mm,
    straight_behind_mm,
)
from fittings.circuit.rules import because, rule_value
from fittings.units import MM_PER_IN, Units, format_least_length, format_length, format_reached_length

__all__ = [
    "Laid",
    "Position",
    "Swing",
    "elbow_angle_text",
    "fixed",
    "swing",
    "what_helps",
]

# the slack that the longest position has anyway (4 % and a little) is never held against the hose
NEARLY_LONGEST = 0.98


class Swing(NamedTuple):
    """A port that turns about a pivot, as the job file has it. Lengths in mm, angles in degrees.

    `angle_deg`: between the lines pivot→from and pivot→to, at both ends of the motion. `from_points_deg`,
    `to_points_deg`: where a port looks, counter-clockwise from its own line pivot→port; None when the end of the hose
    is free to turn in the plane of motion.
    """

    pivot_to_from_mm: float
    pivot_to_to_mm: float
    angle_deg: tuple[float, float]
    from_points_deg: float | None = None
    to_points_deg: float | None = None


def _poses(swing: Swing, angle_deg: float, stub_mm: float) -> tuple[Pose, Pose] | None:
    """Where the bending may begin and must have ended, after the straight pieces; None when the ends turn freely."""
    if swing.from_points_deg is None or swing.to_points_deg is None:
        return None
    theta = radians(angle_deg)
    looks_from, looks_to = radians(swing.from_points_deg), theta + radians(swing.to_points_deg)
    start = Pose(swing.pivot_to_from_mm, 0.0, looks_from)
    goal = Pose(swing.pivot_to_to_mm * cos(theta), swing.pivot_to_to_mm * sin(theta), looks_to + pi)
    return ahead(start, stub_mm), ahead(goal, -stub_mm)


def _chord_mm(swing: Swing, angle_deg: float) -> float:
    a, b, theta = swing.pivot_to_from_mm, swing.pivot_to_to_mm, radians(angle_deg)
    return hypot(b * cos(theta) - a, b * sin(theta))


def _angles(swing: Swing, step_deg: float) -> list[float]:
    low, high = sorted(swing.angle_deg)
    count = max(4, ceil((high - low) / step_deg))
    found = [low + (high - low) * number / count for number in range(count + 1)]
    # the ports stand farthest apart in line across the pivot, closest in line on one side of it
    found += [turn for turn in (-360.0, -180.0, 0.0, 180.0, 360.0) if low < turn < high]
    return sorted(set(found))


def _arc(chord_mm: float, length_mm: float) -> tuple[float, float]:
    """Radius (mm) and turning (degrees) of the arc of a given length over a chord: sin φ / φ = chord / length."""
    if chord_mm >= length_mm:
        return float("inf"), 0.0
    low, high = 0.0, pi
    for _ in range(60):
        phi = (low + high) / 2
        if sin(phi) / phi > chord_mm / length_mm:
            low = phi
        else:
            high = phi
    return length_mm / (2 * phi), degrees(2 * phi)


def swing(
    motion: Swing,
    hose: Hose,
    ends_mm: tuple[float, float] | None = None,
    scheme: str = "inch",
    step_mm: float | None = None,
    max_psi: float | None = None,
    units: Units = "both",
) -> Laid:
    """A hose across a pivot: length by the longest position, bend by the closest, and what helps when it fails.

    With port directions the hose takes the shortest curve of bounded curvature (Dubins) behind its straight pieces,
    and its slack the easiest curve of its length; without, a straight line and a circular arc. `ends_mm` as in `fixed`;
    `max_psi` keeps hoses that would not hold out of the hints. Raises BadCircuit.

    >>> from fittings.circuit.hose import hose
    >>> log = Swing(254, 355.6, (40, 150))
    >>> answer = swing(log, hose("2SN", "-8"))
    >>> round(answer.build_length_mm / 25.4, 2), answer.possible, swing(log, hose("R17", "-8")).possible
    (24.5, False, True)
    """
    route = _lay(motion, hose, ends_mm, scheme, step_mm, units)
    if route.possible:
        return route
    helps = what_helps(motion, hose, ends_mm, max_psi, scheme, units)
    return route._replace(findings=(*route.findings, *helps))


def _lay(
    motion: Swing,
    hose: Hose,
    ends_mm: tuple[float, float] | None,
    scheme: str,
    step_mm: float | None,
    units: Units,
    angle_step_deg: float = 5.0,
) -> Laid:
    above_zero(motion.pivot_to_from_mm, "a distance from the pivot", "mm")
    above_zero(motion.pivot_to_to_mm, "a distance from the pivot", "mm")
    if max(abs(angle) for angle in motion.angle_deg) > 360:
        raise BadCircuit("an angle of a swing lies between -360 and 360 degrees")
    if motion.angle_deg[0] == motion.angle_deg[1]:
        raise BadCircuit("a swing needs two different angles: for ports that do not move give a length")
    directed = motion.from_points_deg is not None and motion.to_points_deg is not None
    rigid = max(ends_mm or (end_length_mm(hose), end_length_mm(hose))) if directed else 0.0
    straight = straight_behind_mm(hose) if directed else 0.0
    least, most_turning = hose.bend_to_centre_mm, radians(rule_value("most-turning"))
    bent: dict[float, float] = {}
    turned: dict[float, float] = {}
    # one stub for both ends keeps the picture simple: ends of unequal length are laid out by the longer
    stub = rigid + straight
    for angle in _angles(motion, angle_step_deg):
        poses = _poses(motion, angle, stub)
        curve = calmest(*poses, least, most_turning) if poses else None
        bent[angle] = curve.length_mm if curve else _chord_mm(motion, angle)
        turned[angle] = degrees(curve.turning_rad) if curve else 0.0
    longest = max(bent, key=lambda angle: bent[angle])
    needed = 2 * rigid + (2 * straight + bent[longest]) / (1 - rule_value("shortens"))
    build, plus, minus = order_length_mm(needed, hose, scheme, step_mm)
    free, grown = build - 2 * stub, (build + plus - 2 * rigid) * (1 + rule_value("grows")) - 2 * straight
    loops = max(turned.values()) > rule_value("most-turning")
    positions = []
    for angle, path in bent.items():
        poses = _poses(motion, angle, stub)
        radius: float | None = None
        radius_grown: float | None = None
        turning = turned[angle]
        if poses is None:
            chord = _chord_mm(motion, angle)
            (radius, turning), (radius_grown, _) = _arc(chord, free), _arc(chord, grown)
        elif not loops:
            slack = slack_curve(*poses, grown, least, most_turning)
            radius_grown = slack.curve.radius_mm if slack else None
            if angle in motion.angle_deg:
                slack = slack_curve(*poses, free, least, most_turning)
            radius = slack.curve.radius_mm if slack else None
            turning = degrees(slack.curve.turning_rad) if slack else turning
        positions.append(Position(angle, _chord_mm(motion, angle), 2 * stub + path, radius, radius_grown, turning))
    found, tightest = _swing_findings(positions, bent, hose, directed, units)
    found += hanging(build, units)
    return Laid(build, needed, plus, minus, tuple(positions), tuple(found), longest, tightest)


def _swing_findings(
    positions: Sequence[Position], path: dict[float, float], hose: Hose, directed: bool, units: Units
) -> tuple[list[Finding], float]:
    least = hose.bend_to_centre_mm
    longest = max(positions, key=lambda each: path[each.angle_deg])
    found = [
        Finding(
            "swing-longest",
            "info",
            f"the way from port to port is longest at {longest.angle_deg:.0f}°: that position sets the length",
            ("arithmetic",),
        )
    ]
    loop = max(positions, key=lambda each: each.turning_deg)
    loose = [each for each in positions if path[each.angle_deg] < NEARLY_LONGEST * path[longest.angle_deg]] or [longest]
    tightest = min(loose, key=lambda each: each.radius_grown_mm or 0.0)
    at = f"at {tightest.angle_deg:.0f}°, {format_length(tightest.chord_mm, units)} between the ports,"
    allowed = format_least_length(least, units)
    sources = (*because("bend-to-inside"), *hose.bend_sources)
    if directed and loop.turning_deg > rule_value("most-turning"):
        tightest = loop
        found.append(
            Finding(
                "hose-loops",
                "refuse",
                f"at {loop.angle_deg:.0f}°, {format_length(loop.chord_mm, units)} between the ports, {hose.type} "
                f"{hose.size} gets "
                f"from one port to the other only in a loop of {loop.turning_deg:.0f}°: no room for its bend radius "
                f"of {allowed}",
                sources,
            )
        )
    elif tightest.radius_grown_mm is None or tightest.radius_grown_mm < least:
        bend = (
            "finds no room"
            if tightest.radius_grown_mm is None
            else (f"bends to a radius of {format_reached_length(tightest.radius_grown_mm, units)}")
        )
        found.append(
            Finding(
                "bend-too-tight",
                "refuse",
                f"{at} the slack {bend}, {hose.type} {hose.size} allows {allowed} to its centre line: it would kink "
                "or fold",
                sources,
            )
        )
    elif tightest.radius_grown_mm < rule_value("moving-bend") * least:
        found.append(
            Finding(
                "bend-close",
                "warn",
                f"{at} the slack bends to a radius of {format_reached_length(tightest.radius_grown_mm, units)}, near the "
                f"{allowed} "
                f"that {hose.type} {hose.size} allows at rest; a hose that moves wants a quarter more",
                (*sources, *because("moving-bend")),
            )
        )
    found.append(
        Finding(
            "swing-plane",
            "info",
            "both port axes and the motion must lie in one plane, or the swing twists the hose: set elbows so, or use "
            "a live "
            "swivel",
            because("one-plane"),
        )
    )
    if not directed:
        found.append(
            Finding(
                "ports-free",
                "info",
                "where the ports look was not given: reckoned as if both hose ends turn freely in the plane of motion",
                ("arithmetic",),
            )
        )
    return found, tightest.angle_deg


def what_helps(
    motion: Swing,
    hose: Hose,
    ends_mm: tuple[float, float] | None = None,
    max_psi: float | None = None,
    scheme: str = "inch",
    units: Units = "both",
) -> tuple[Finding, ...]:
    """What makes a swing possible, each tried before it is said; last, what always helps.

    Tried in this order: a hose of the same size that bends tighter and holds `max_psi` (this hose's own pressure when
    not given), an elbow at one end, both together. Raises BadCircuit.
    """
    hold = hose.pressure_psi if max_psi is None else max_psi
    tighter = sorted(
        (
            each
            for each in hoses(hose.size)
            if each.bend_mm < hose.bend_mm
            and each.pressure_psi >= hold
            and each.had != "to order"
            and "work" in each.lines
        ),
        key=lambda each: (each.had, -each.bend_mm),
    )
    compact = [
        each for number, each in enumerate(tighter) if all(each.bend_mm < other.bend_mm for other in tighter[:number])
    ]
    found = []
    for elbows in ((None,), _ELBOWS):
        for each in ([hose] if elbows != (None,) else []) + compact:
            hint = _first_that_passes(motion, each, elbows, ends_mm, scheme, units, each is not hose)
            if hint:
                found.append(hint)
                break
        if motion.from_points_deg is None or motion.to_points_deg is None:
            break
    turn = radians(abs(motion.angle_deg[1] - motion.angle_deg[0]))
    found.append(
        Finding(
            "try-near-pivot",
            "info",
            f"led past the pivot at {format_length(MM_PER_IN, units)} from its centre and clamped on both members, the "
            "hose changes by "
            f"only {format_length(MM_PER_IN * turn, units)} over the whole motion",
            because("near-pivot"),
        )
    )
    return tuple(found)


_ELBOWS: tuple[tuple[str, int] | None, ...] = tuple(
    (end, turn) for turn in (90, -90, 45, -45) for end in ("from", "to")
)


def _first_that_passes(
    motion: Swing,
    hose: Hose,
    elbows: Sequence[tuple[str, int] | None],
    ends_mm: tuple[float, float] | None,
    scheme: str,
    units: Units,
    other_hose: bool,
) -> Finding | None:
    for elbow in elbows:
        tried, words = motion, []
        if other_hose:
            words.append(f"{hose.say}, size {hose.size} (bend radius {format_least_length(hose.bend_mm, units)})")
        if elbow and motion.from_points_deg is not None and motion.to_points_deg is not None:
            end, turn = elbow
            tried = (
                motion._replace(from_points_deg=motion.from_points_deg + turn)
                if end == "from"
                else motion._replace(to_points_deg=motion.to_points_deg + turn)
            )
            way = "counter-clockwise" if turn > 0 else "clockwise"
            words.append(f"a {abs(turn)}° elbow at the “{end}” port, turned {way}")
        # a coarse look first, since most of what is tried fails
        if _lay(tried, hose, ends_mm, scheme, None, units, 30.0).possible:
            route = _lay(tried, hose, ends_mm, scheme, None, units)
            if route.possible:
                text = f"{' and '.join(words)} would do, {format_length(route.build_length_mm, units)} long"
                return Finding(
                    "try-elbow" if elbow else "try-compact", "info", text, (*hose.bend_sources, "arithmetic")
                )
    return None
