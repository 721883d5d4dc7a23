"""A hose across a pivot: how long, how tight, which position is worst, and what helps.

With the directions of both ports the hose takes the shortest curve of bounded curvature (Dubins) at every position of
the motion; the longest of them governs the length, and at the other positions the slack must find room to bend.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
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

__all__ = ["Laid", "Position", "Swing", "elbow_angle_text", "fixed", "swing", "what_helps"]

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

    @property
    def directed(self) -> bool:
        """Whether it is known where both ports look."""
        return self.from_points_deg is not None and self.to_points_deg is not None


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


class _Stiff(NamedTuple):
    """What does not bend at either end of a hose, mm: the end itself, and the straight piece that it wants behind the ferrule.

    Both ends are laid out by the longer, which keeps the picture simple; ends that turn freely are reckoned without.
    """

    end_mm: float
    straight_mm: float

    @property
    def stub_mm(self) -> float:
        """Both together."""
        return self.end_mm + self.straight_mm


def _stiff(motion: Swing, hose: Hose, ends_mm: tuple[float, float] | None) -> _Stiff:
    if not motion.directed:
        return _Stiff(0.0, 0.0)
    return _Stiff(max(ends_mm or (end_length_mm(hose), end_length_mm(hose))), straight_behind_mm(hose))


class _Way(NamedTuple):
    """The shortest way from port to port at one angle: where the bending begins and ends, its length (mm), how far it turns."""

    poses: tuple[Pose, Pose] | None
    length_mm: float
    turning_deg: float


def _shortest(motion: Swing, angle_deg: float, stub_mm: float, least_mm: float) -> _Way:
    """By the calmest curve that bends to no less than `least_mm`; straight across where the ends turn freely."""
    poses = _poses(motion, angle_deg, stub_mm)
    if poses is None:
        return _Way(None, _chord_mm(motion, angle_deg), 0.0)
    curve = calmest(*poses, least_mm, radians(rule_value("most-turning")))
    return _Way(poses, curve.length_mm, degrees(curve.turning_rad))


def _lay(motion: Swing, hose: Hose, ends_mm: tuple[float, float] | None, scheme: str, step_mm: float | None, units: Units,
         angle_step_deg: float = 5.0) -> Laid:
    """A hose as long as its longest way wants it, laid at every angle; what helps is not tried here."""
    _can_swing(motion)
    stiff, least = _stiff(motion, hose, ends_mm), hose.bend_to_centre_mm
    ways = {angle: _shortest(motion, angle, stiff.stub_mm, least) for angle in _angles(motion, angle_step_deg)}
    longest = max(ways, key=lambda angle: ways[angle].length_mm)
    needed = 2 * stiff.end_mm + (2 * stiff.straight_mm + ways[longest].length_mm) / (1 - rule_value("shortens"))
    build, plus, minus = order_length_mm(needed, hose, scheme, step_mm)
    grown = (build + plus - 2 * stiff.end_mm) * (1 + rule_value("grows")) - 2 * stiff.straight_mm
    positions = tuple(_positions(motion, ways, stiff.stub_mm, build - 2 * stiff.stub_mm, grown, least))
    loop = max(positions, key=lambda each: each.turning_deg)
    loops = motion.directed and loop.turning_deg > rule_value("most-turning")
    tightest, says = (loop, _looped) if loops else (_tightest(positions, ways, longest), _bent)
    found = (
        Finding("swing-longest", "info",
                f"the way from port to port is longest at {longest:.0f}°: that position sets the length", ("arithmetic",)),
        *says(tightest, hose, units), *_in_the_plane(motion), *hanging(build, units))
    return Laid(build, needed, plus, minus, positions, found, longest, tightest.angle_deg)


def _can_swing(motion: Swing) -> None:
    """Raises BadCircuit for measures that no swing has."""
    above_zero(motion.pivot_to_from_mm, "a distance from the pivot", "mm")
    above_zero(motion.pivot_to_to_mm, "a distance from the pivot", "mm")
    if max(abs(angle) for angle in motion.angle_deg) > 360:
        raise BadCircuit("an angle of a swing lies between -360 and 360 degrees")
    if motion.angle_deg[0] == motion.angle_deg[1]:
        raise BadCircuit("a swing needs two different angles: for ports that do not move give a length")


def _positions(motion: Swing, ways: Mapping[float, _Way], stub_mm: float, free_mm: float, grown_mm: float, least_mm: float
               ) -> Iterator[Position]:
    """The hose at every angle, with the bend that its slack finds: `free_mm` to bend in as ordered, `grown_mm` as long as it may get."""
    most_turning = rule_value("most-turning")
    loops = max(way.turning_deg for way in ways.values()) > most_turning
    for angle, way in ways.items():
        chord = _chord_mm(motion, angle)
        radius: float | None = None
        radius_grown: float | None = None
        turning = way.turning_deg
        if way.poses is None:
            (radius, turning), (radius_grown, _) = _arc(chord, free_mm), _arc(chord, grown_mm)
        elif not loops:
            slack = slack_curve(*way.poses, grown_mm, least_mm, radians(most_turning))
            radius_grown = slack.curve.radius_mm if slack else None
            if angle in motion.angle_deg:
                slack = slack_curve(*way.poses, free_mm, least_mm, radians(most_turning))
            radius = slack.curve.radius_mm if slack else None
            turning = degrees(slack.curve.turning_rad) if slack else turning
        yield Position(angle, chord, 2 * stub_mm + way.length_mm, radius, radius_grown, turning)


def _tightest(positions: Sequence[Position], ways: Mapping[float, _Way], longest_deg: float) -> Position:
    """Where the slack bends tightest, of all positions but those about as long as the longest."""
    slack = [each for each in positions if ways[each.angle_deg].length_mm < NEARLY_LONGEST * ways[longest_deg].length_mm]
    return min(slack or [each for each in positions if each.angle_deg == longest_deg], key=lambda each: each.radius_grown_mm or 0.0)


def _at(position: Position, units: Units) -> str:
    return f"at {position.angle_deg:.0f}°, {format_length(position.chord_mm, units)} between the ports,"


def _on_bends(hose: Hose) -> tuple[str, ...]:
    return *because("bend-to-inside"), *hose.bend_sources


def _looped(loop: Position, hose: Hose, units: Units) -> Iterator[Finding]:
    """The hose gets from port to port only in a loop."""
    yield Finding("hose-loops", "refuse", f"{_at(loop, units)} {hose.type} {hose.size} gets from one port to the other only in a loop of "
                  f"{loop.turning_deg:.0f}°: no room for its bend radius of {format_least_length(hose.bend_to_centre_mm, units)}",
                  _on_bends(hose))


def _bent(tightest: Position, hose: Hose, units: Units) -> Iterator[Finding]:
    """How the slack bends where it bends tightest, when that is tighter than the hose allows, or near it."""
    radius, least = tightest.radius_grown_mm, hose.bend_to_centre_mm
    at, allowed = _at(tightest, units), format_least_length(least, units)
    bend = "finds no room" if radius is None else f"bends to a radius of {format_reached_length(radius, units)}"
    if radius is None or radius < least:
        yield Finding("bend-too-tight", "refuse", f"{at} the slack {bend}, {hose.type} {hose.size} allows {allowed} to its centre line: "
                      "it would kink or fold", _on_bends(hose))
    elif radius < rule_value("moving-bend") * least:
        yield Finding("bend-close", "warn", f"{at} the slack {bend}, near the {allowed} that {hose.type} {hose.size} allows at rest; "
                      "a hose that moves wants a quarter more", (*_on_bends(hose), *because("moving-bend")))


def _in_the_plane(motion: Swing) -> Iterator[Finding]:
    """That ports and motion lie in one plane; and what was taken where it is not said where the ports look."""
    yield Finding("swing-plane", "info", "both port axes and the motion must lie in one plane, or the swing twists the hose: set elbows "
                  "so, or use a live swivel", because("one-plane"))
    if not motion.directed:
        yield Finding("ports-free", "info", "where the ports look was not given: reckoned as if both hose ends turn freely in the plane of "
                      "motion", ("arithmetic",))


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
    tighter = _tighter(hose, hose.pressure_psi if max_psi is None else max_psi)
    tries: list[tuple[list[Hose], _Elbows]] = [(tighter, (None,))]
    if motion.directed:
        tries.append(([hose, *tighter], _ELBOWS))
    found = [hint for tried, elbows in tries
             for hint in islice(_that_pass(motion, hose, tried, elbows, ends_mm, scheme, units), 1)]
    turn = radians(abs(motion.angle_deg[1] - motion.angle_deg[0]))
    return (*found, Finding(
        "try-near-pivot", "info", f"led past the pivot at {format_length(MM_PER_IN, units)} from its centre and clamped on both members, "
        f"the hose changes by only {format_length(MM_PER_IN * turn, units)} over the whole motion", because("near-pivot")))


def _tighter(hose: Hose, hold_psi: float) -> list[Hose]:
    """Hoses of the same size for a work line that hold `hold_psi`, the easiest had first, each bending tighter than those before it."""
    some = [each for each in hoses(hose.size) if each.bend_mm < hose.bend_mm and each.pressure_psi >= hold_psi
            and each.had != "to order" and "work" in each.lines]
    some.sort(key=lambda each: (each.had, -each.bend_mm))
    return [each for number, each in enumerate(some) if all(each.bend_mm < other.bend_mm for other in some[:number])]


_Elbows = Sequence[tuple[str, int] | None]
"""Elbows to try: at which end, and by how many degrees, counter-clockwise; None for no elbow."""
_ELBOWS: _Elbows = tuple((end, turn) for turn in (90, -90, 45, -45) for end in ("from", "to"))


def _that_pass(motion: Swing, hose: Hose, tried: Sequence[Hose], elbows: _Elbows, ends_mm: tuple[float, float] | None, scheme: str,
               units: Units) -> Iterator[Finding]:
    """Every hose with every elbow that makes the swing possible."""
    for each in tried:
        other = [f"{each.say}, size {each.size} (bend radius {format_least_length(each.bend_mm, units)})"] if each is not hose else []
        for elbow in elbows:
            turned, said = _with_elbow(motion, elbow)
            # a coarse look first, since most of what is tried fails
            if not _lay(turned, each, ends_mm, scheme, None, units, 30.0).possible:
                continue
            route = _lay(turned, each, ends_mm, scheme, None, units)
            if route.possible:
                text = f"{' and '.join(other + said)} would do, {format_length(route.build_length_mm, units)} long"
                yield Finding("try-elbow" if elbow else "try-compact", "info", text, (*each.bend_sources, "arithmetic"))


def _with_elbow(motion: Swing, elbow: tuple[str, int] | None) -> tuple[Swing, list[str]]:
    """The swing with an elbow at one of its ports, and the words for it."""
    if elbow is None or motion.from_points_deg is None or motion.to_points_deg is None:
        return motion, []
    end, turn = elbow
    turned = (motion._replace(from_points_deg=motion.from_points_deg + turn) if end == "from" else
              motion._replace(to_points_deg=motion.to_points_deg + turn))
    return turned, [f"a {abs(turn)}° elbow at the “{end}” port, turned {'counter-' if turn > 0 else ''}clockwise"]
