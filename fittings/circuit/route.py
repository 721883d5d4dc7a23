"""How long a hose must be, and whether it can move: between fixed ports, in a U, and across a pivot.

A hose under pressure gets up to 4 % shorter and 2 % longer (SAE J517, EN 853 to 857), is cut to a tolerance, must run
straight for a little behind each ferrule, and its bend radius counts to the inside of the bend.
"""

from collections.abc import Sequence
from math import ceil, cos, degrees, hypot, pi, radians, sin, sqrt
from typing import NamedTuple

from fittings.circuit import BadCircuit, Finding, above_zero
from fittings.circuit.curve import Pose, ahead, calmest, slack_curve
from fittings.circuit.hose import Hose, hoses
from fittings.tables import table
from fittings.units import Units, format_length, round_up

SHORTENS, GROWS = 0.04, 0.02
# from memory of DIN 20066 practice: 1.5 × OD straight behind the ferrule, never under an inch
STRAIGHT_ODS, STRAIGHT_LEAST_MM = 1.5, 25.4
# common practice, no source: a hose that moves wants a quarter more than the radius at rest
MOVING_FACTOR = 1.25
# common practice, no source: a crimped straight end is about two and a half hose diameters long, nut and ferrule
END_ODS = 2.5
SHORTEST_ODS = 6.0
CLAMP_EVERY_MM = 900.0
STEP_IN_MM, STEP_METRIC_MM = 12.7, 10.0
# common practice, no source: a hose that must turn further than this is a loop that catches on things
MOST_TURNING_DEG = 300.0
# the slack that the longest position has anyway (4 % and a little) is never held against the hose
NEARLY_LONGEST = 0.98

_LENGTH_SOURCES = ("en-hose-summaries", "hose-assembly-makers-pages")
_BEND_SOURCES = ("bend-radius-pages", "en-hose-summaries")


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


class Position(NamedTuple):
    """The hose at one angle of the swing: distance of the ports and hose needed, mm; then its slack.

    `radius_mm`: roomiest bend of the centre line at the length as ordered; `radius_grown_mm`: with the tolerance above and
    2 % grown; None where it cannot be laid. `turning_deg`: how far the hose turns in all.
    """

    angle_deg: float
    chord_mm: float
    needed_mm: float
    radius_mm: float | None
    radius_grown_mm: float | None
    turning_deg: float


class Route(NamedTuple):
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
    """Plus and minus tolerance, mm, of a finished hose of `length_mm` and `bore_mm`; `scheme` `inch` (SAE J517) or `metric` (EN).

    Up to 12 in from two sources, the rest from memory. Raises BadCircuit for another scheme.

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
    """Straight length, mm, that a hose wants behind each ferrule before it bends: 1.5 × OD, at least 25.4 mm (from memory).

    >>> from fittings.circuit.hose import hose
    >>> round(straight_behind_mm(hose("2SN", "-8")), 1)
    33.3
    """
    return max(STRAIGHT_ODS * hose.od_known_mm, STRAIGHT_LEAST_MM)


def end_length_mm(hose: Hose) -> float:
    """Estimated rigid length, mm, of one straight crimped end with its nut; for use where no table has it."""
    return END_ODS * hose.od_known_mm


def _build(needed_mm: float, hose: Hose, scheme: str, step_mm: float | None) -> tuple[float, float, float]:
    step = step_mm or (STEP_METRIC_MM if scheme == "metric" else STEP_IN_MM)
    build = needed_mm
    # the tolerance belongs to the length as ordered, which the tolerance itself makes longer
    for _ in range(4):
        build = round_up(needed_mm + tolerance_mm(build, hose.bore_mm, scheme)[1], step)
    return build, *tolerance_mm(build, hose.bore_mm, scheme)


def fixed(distance_mm: float, hose: Hose, ends_mm: tuple[float, float] | None = None, scheme: str = "inch",
          step_mm: float | None = None, units: Units = "both") -> Route:
    """A hose between two ports that do not move, `distance_mm` apart along the route, port face to port face.

    Length ≥ distance ÷ 0.96 and the minus tolerance, rounded up to `step_mm` (1/2 in, or 10 mm with the metric scheme).
    `ends_mm`: rigid length of both hose ends; estimated when not given. Raises BadCircuit.

    >>> from fittings.circuit.hose import hose
    >>> fixed(600, hose("2SN", "-8"), step_mm=1).needed_mm
    625.0
    """
    above_zero(distance_mm, "a distance", "mm")
    needed = distance_mm / (1 - SHORTENS)
    build, plus, minus = _build(needed, hose, scheme, step_mm)
    found = [_slack_note(build, units)]
    ends = sum(ends_mm or (end_length_mm(hose), end_length_mm(hose)))
    shortest_made = ends + SHORTEST_ODS * hose.od_known_mm
    if build < shortest_made:
        found.append(Finding(
            "hose-too-short-to-make", "warn",
            f"a {hose.size} hose shorter than about {format_length(shortest_made, units)} cannot be made well: the two ends "
            f"alone take {format_length(ends, units)}; use tube, or adapters", ("practice",)))
    found += _hanging(build, units)
    return Route(build, needed, plus, minus, (), tuple(found))


def u_bend(hose: Hose, travel_mm: float = 0.0, spacing_mm: float | None = None, scheme: str = "inch",
           step_mm: float | None = None, units: Units = "both") -> Route:
    """A hose in a U between two ports side by side that look the same way, `spacing_mm` apart, one moving by `travel_mm`.

    L = 2·A + π·R_c + T, with A the straight length behind each ferrule and R_c the radius to the centre line; ports
    further apart than the bend add the straight across. Raises BadCircuit.

    >>> from fittings.circuit.hose import hose
    >>> round(u_bend(hose("2SN", "-8")).needed_mm)
    667
    """
    if travel_mm < 0:
        raise BadCircuit(f"a travel of {travel_mm:g} mm cannot be")
    width = 2 * hose.bend_to_centre_mm
    spacing = width if spacing_mm is None else above_zero(spacing_mm, "a spacing", "mm")
    needed = 2 * straight_behind_mm(hose) + pi * hose.bend_to_centre_mm + travel_mm + max(spacing - width, 0.0)
    build, plus, minus = _build(needed, hose, scheme, step_mm)
    found = [_slack_note(build, units)]
    if spacing < width - 0.5:
        found.append(Finding(
            "legs-too-close", "refuse",
            f"the legs stand {format_length(spacing, units)} apart, the bend needs {format_length(width, units)} "
            f"(twice the bend radius and one diameter of {hose.type} {hose.size})", _BEND_SOURCES + hose.bend_sources))
    return Route(build, needed, plus, minus, (), tuple(found))


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
    """Radius (mm) and turning (degrees) of the circular arc of a given length over a chord: sin φ / φ = chord / length."""
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


def swing(motion: Swing, hose: Hose, ends_mm: tuple[float, float] | None = None, scheme: str = "inch",
          step_mm: float | None = None, max_psi: float | None = None, units: Units = "both") -> Route:
    """A hose across a pivot: length by the longest position, bend by the closest, and what helps when it cannot be done.

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


def _lay(motion: Swing, hose: Hose, ends_mm: tuple[float, float] | None, scheme: str, step_mm: float | None,
         units: Units, angle_step_deg: float = 5.0) -> Route:
    above_zero(motion.pivot_to_from_mm, "a distance from the pivot", "mm")
    above_zero(motion.pivot_to_to_mm, "a distance from the pivot", "mm")
    if max(abs(angle) for angle in motion.angle_deg) > 360:
        raise BadCircuit("an angle of a swing lies between -360 and 360 degrees")
    if motion.angle_deg[0] == motion.angle_deg[1]:
        raise BadCircuit("a swing needs two different angles: for ports that do not move give a length")
    directed = motion.from_points_deg is not None and motion.to_points_deg is not None
    rigid = max(ends_mm or (end_length_mm(hose), end_length_mm(hose))) if directed else 0.0
    straight = straight_behind_mm(hose) if directed else 0.0
    least, most_turning = hose.bend_to_centre_mm, radians(MOST_TURNING_DEG)
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
    needed = 2 * rigid + (2 * straight + bent[longest]) / (1 - SHORTENS)
    build, plus, minus = _build(needed, hose, scheme, step_mm)
    free, grown = build - 2 * stub, (build + plus - 2 * rigid) * (1 + GROWS) - 2 * straight
    loops = max(turned.values()) > MOST_TURNING_DEG
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
    found += _hanging(build, units)
    return Route(build, needed, plus, minus, tuple(positions), tuple(found), longest, tightest)


def _swing_findings(positions: Sequence[Position], path: dict[float, float], hose: Hose, directed: bool,
                    units: Units) -> tuple[list[Finding], float]:
    least = hose.bend_to_centre_mm
    longest = max(positions, key=lambda each: path[each.angle_deg])
    found = [Finding(
        "swing-longest", "info",
        f"the way from port to port is longest at {longest.angle_deg:.0f}°: that position sets the length", ("arithmetic",))]
    loop = max(positions, key=lambda each: each.turning_deg)
    loose = [each for each in positions if path[each.angle_deg] < NEARLY_LONGEST * path[longest.angle_deg]] or [longest]
    tightest = min(loose, key=lambda each: each.radius_grown_mm or 0.0)
    at = f"at {tightest.angle_deg:.0f}°, {format_length(tightest.chord_mm, units)} between the ports,"
    allowed = format_length(least, units)
    sources = _BEND_SOURCES + hose.bend_sources
    if directed and loop.turning_deg > MOST_TURNING_DEG:
        tightest = loop
        found.append(Finding(
            "hose-loops", "refuse",
            f"at {loop.angle_deg:.0f}°, {format_length(loop.chord_mm, units)} between the ports, {hose.type} {hose.size} gets "
            f"from one port to the other only in a loop of {loop.turning_deg:.0f}°: no room for its bend radius of {allowed}",
            sources))
    elif tightest.radius_grown_mm is None or tightest.radius_grown_mm < least:
        bend = "finds no room" if tightest.radius_grown_mm is None else (
            f"bends to a radius of {format_length(tightest.radius_grown_mm, units)}")
        found.append(Finding(
            "bend-too-tight", "refuse",
            f"{at} the slack {bend}, {hose.type} {hose.size} allows {allowed} to its centre line: it would kink or fold",
            sources))
    elif tightest.radius_grown_mm < MOVING_FACTOR * least:
        found.append(Finding(
            "bend-close", "warn",
            f"{at} the slack bends to a radius of {format_length(tightest.radius_grown_mm, units)}, near the {allowed} "
            f"that {hose.type} {hose.size} allows at rest; a hose that moves wants a quarter more", (*sources, "practice")))
    found.append(Finding(
        "swing-plane", "info",
        "both port axes and the motion must lie in one plane, or the swing twists the hose: set elbows so, or use a live "
        "swivel", ("hose-installation-pages",)))
    if not directed:
        found.append(Finding("ports-free", "info", "where the ports look was not given: reckoned as if both hose ends turn freely "
                             "in the plane of motion", ("arithmetic",)))
    return found, tightest.angle_deg


def what_helps(motion: Swing, hose: Hose, ends_mm: tuple[float, float] | None = None, max_psi: float | None = None,
               scheme: str = "inch", units: Units = "both") -> tuple[Finding, ...]:
    """What makes a swing possible, each tried before it is said; last, what always helps.

    Tried in this order: a hose of the same size that bends tighter and holds `max_psi` (this hose's own pressure when
    not given), an elbow at one end, both together. Raises BadCircuit.
    """
    hold = hose.pressure_psi if max_psi is None else max_psi
    tighter = sorted((each for each in hoses(hose.size) if each.bend_mm < hose.bend_mm and each.pressure_psi >= hold
                      and each.had != "to order" and "work" in each.lines), key=lambda each: (each.had, -each.bend_mm))
    compact = [each for number, each in enumerate(tighter) if all(each.bend_mm < other.bend_mm for other in tighter[:number])]
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
    found.append(Finding(
        "try-near-pivot", "info",
        f"led past the pivot at {format_length(25.4, units)} from its centre and clamped on both members, the hose changes by "
        f"only {format_length(25.4 * turn, units)} over the whole motion", ("hose-installation-pages", "arithmetic")))
    return tuple(found)


_ELBOWS: tuple[tuple[str, int] | None, ...] = tuple((end, turn) for turn in (90, -90, 45, -45) for end in ("from", "to"))


def _first_that_passes(motion: Swing, hose: Hose, elbows: Sequence[tuple[str, int] | None],
                       ends_mm: tuple[float, float] | None, scheme: str, units: Units, other_hose: bool) -> Finding | None:
    for elbow in elbows:
        tried, words = motion, []
        if other_hose:
            words.append(f"{hose.say}, size {hose.size} (bend radius {format_length(hose.bend_mm, units)})")
        if elbow and motion.from_points_deg is not None and motion.to_points_deg is not None:
            end, turn = elbow
            tried = (motion._replace(from_points_deg=motion.from_points_deg + turn) if end == "from"
                     else motion._replace(to_points_deg=motion.to_points_deg + turn))
            way = "counter-clockwise" if turn > 0 else "clockwise"
            words.append(f"a {abs(turn)}° elbow at the “{end}” port, turned {way}")
        # a coarse look first, since most of what is tried fails
        if _lay(tried, hose, ends_mm, scheme, None, units, 30.0).possible:
            route = _lay(tried, hose, ends_mm, scheme, None, units)
            if route.possible:
                text = f"{' and '.join(words)} would do, {format_length(route.build_length_mm, units)} long"
                return Finding("try-elbow" if elbow else "try-compact", "info", text, (*hose.bend_sources, "arithmetic"))
    return None


def _slack_note(build_mm: float, units: Units) -> Finding:
    return Finding("hose-shortens", "info", f"under pressure it may get {format_length(build_mm * SHORTENS, units)} shorter and "
                   f"{format_length(build_mm * GROWS, units)} longer: let it bow, never clamp it at the bend", _LENGTH_SOURCES)


def _hanging(build_mm: float, units: Units) -> list[Finding]:
    if build_mm <= 2 * CLAMP_EVERY_MM:
        return []
    return [Finding("clamp-hose", "info", f"clamp it about every {format_length(CLAMP_EVERY_MM, units)}, in straight runs, "
                    "never a high-pressure line together with a low-pressure one", ("hose-installation-pages", "practice"))]


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
    return 4 * radius_mm + (1.57 * travel_mm if across else travel_mm / 2)


def offset_mm(radius_mm: float, offset: float) -> float:
    """Length, mm, of hose that lets one end move `offset` mm to the side, three handbooks: √(6·R·X + X²).

    >>> round(offset_mm(190.5, 25.4) / 25.4, 2)
    6.78
    """
    return sqrt(6 * radius_mm * offset + offset**2)


def test_length_mm(radius_mm: float, od_mm: float, turn_deg: float = 180) -> float:
    """Free length, mm, of a test hose by SAE J343: (turn in radians)·(r + d/2) + 2·d with 2·d at least 50.8 mm.

    >>> round(test_length_mm(180, 22.2), 1)
    651.2
    """
    return radians(turn_deg) * (radius_mm + od_mm / 2) + max(2 * od_mm, 50.8)


def elbow_angle_deg(near_deg: float, far_deg: float) -> float:
    """Angle between two bent hose ends: look along the hose, turn counter-clockwise from the near end to the far end.

    Both are read as on a clock face from the same place, degrees counter-clockwise; the answer lies in 0 to below 360.
    The same number comes out from the other end, and clockwise from far to near (SAE J517 and two assemblers' pages).

    >>> elbow_angle_deg(0, 90), elbow_angle_deg(270, 180)
    (90.0, 270.0)
    """
    return float((far_deg - near_deg) % 360)


def elbow_angle_text(angle_deg: float, length_mm: float) -> str:
    """The words for the order sheet: the angle, its tolerance (±3° to 24 in, ±5° above) and the convention in words.

    >>> elbow_angle_text(90, 500)
    '90° ±3°: hold the hose before you with the near end pointing down (6 o’clock); the far end points to 3 o’clock'
    """
    angle = angle_deg % 360
    tolerance = 3 if length_mm <= 610 else 5
    hour = (6 - angle / 30) % 12
    whole, minutes = int(hour), round(hour % 1 * 60)
    clock = f"{whole or 12} o’clock" if not minutes else f"{whole or 12}:{minutes:02d} on the clock"
    return (f"{angle:g}° ±{tolerance}°: hold the hose before you with the near end pointing down (6 o’clock); "
            f"the far end points to {clock}")


def bow_mm(chord_mm: float, length_mm: float) -> float:
    """How far, mm, a slack hose bows out of the straight line between its ends, taken as an arc of a circle.

    >>> round(bow_mm(23.205 * 25.4, 24.5 * 25.4) / 25.4, 1)
    3.4
    """
    radius, turning = _arc(chord_mm, length_mm)
    if turning == 0:
        return 0.0
    return radius * (1 - cos(radians(turning) / 2))

