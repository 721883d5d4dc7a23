"""What a cylinder does with pressure and flow, and whether another one fits in its place.

Plain hydrostatics (force = pressure × area, speed = flow ÷ area); friction, leakage and back pressure are left out, so
forces are upper bounds. US units inside: in, psi, lbf, US gpm; 1 US gallon = 231 in³.
"""

from collections.abc import Iterator
from math import pi
from typing import NamedTuple

from fittings.circuit import BadCircuit, Finding, above_zero
from fittings.circuit.rules import because, rule_value
from fittings.units import (
    IN3_PER_GAL,
    MM_PER_IN,
    PA_PER_PSI,
    Units,
    format_flow,
    format_force,
    format_length,
    format_pressure,
)

PSI_PER_GPA = 1e9 / PA_PER_PSI


def _long(value_in: float, units: Units) -> str:
    return format_length(value_in * MM_PER_IN, units)


class Cylinder(NamedTuple):
    """A single-rod cylinder: bore, rod and stroke in inches; a rod of 0 is a ram, the stroke may be unknown."""

    bore_in: float
    rod_in: float
    stroke_in: float | None = None

    @property
    def cap_in2(self) -> float:
        """Area of the piston, in²."""
        return pi / 4 * self.bore_in**2

    @property
    def annulus_in2(self) -> float:
        """Area of the piston less the rod, in²."""
        return pi / 4 * (self.bore_in**2 - self.rod_in**2)

    @property
    def phi(self) -> float:
        """Cap area over annulus area: how much more oil leaves the cap end on retract than enters the rod end."""
        return self.cap_in2 / self.annulus_in2


class CylinderAnswer(NamedTuple):
    """The fields of `fittings cylinder --json`; None where the question did not give what is needed."""

    push_lbf: float | None
    pull_lbf: float | None
    extend_in_s: float | None
    retract_in_s: float | None
    extend_s: float | None
    retract_s: float | None
    return_gpm: float | None
    rod_side_psi: float | None
    psi_to_push: float | None
    psi_to_pull: float | None
    volume_extend_gal: float | None
    volume_retract_gal: float | None
    buckling_lbf: float | None = None


def cylinder(bore_in: float, rod_in: float, stroke_in: float | None = None, units: Units = "both") -> Cylinder:
    """A cylinder whose measures can be (in).

    Raises BadCircuit when the rod is not thinner than the bore, or a measure is nothing.

    >>> round(cylinder(2.5, 1.25).phi, 3)
    1.333
    """
    above_zero(bore_in, "a bore", "in")
    if rod_in < 0:
        raise BadCircuit(f"a rod of {rod_in:g} in cannot be: 0 means a ram without a rod end")
    if rod_in >= bore_in:
        raise BadCircuit(f"a rod of {_long(rod_in, units)} does not go into a bore of {_long(bore_in, units)}: the rod must be thinner; "
                         "a plunger, all rod and no piston, has a rod of 0 and its own diameter as the bore")
    if stroke_in is not None:
        above_zero(stroke_in, "a stroke", "in")
    return Cylinder(bore_in, rod_in, stroke_in)


def push_lbf(cyl: Cylinder, psi: float) -> float:
    """Force of extending, lbf, at `psi` on the cap side with the rod side open to tank.

    >>> round(push_lbf(cylinder(2.0, 1.25), 2500))
    7854
    """
    return psi * cyl.cap_in2


def pull_lbf(cyl: Cylinder, psi: float) -> float:
    """Force of retracting, lbf, at `psi` on the rod side with the cap side open to tank.

    >>> round(pull_lbf(cylinder(2.0, 1.25), 2500))
    4786
    """
    return psi * cyl.annulus_in2


def speed_in_s(area_in2: float, flow_gpm: float) -> float:
    """Speed of a piston in in/s that takes `flow_gpm` (US) on `area_in2`.

    >>> round(speed_in_s(cylinder(4, 2).annulus_in2, 10), 3)
    4.085
    """
    return IN3_PER_GAL * flow_gpm / (60 * area_in2)


def flow_for_speed_gpm(area_in2: float, speed: float) -> float:
    """Flow in US gpm that moves a piston of `area_in2` at `speed` in/s.

    >>> round(flow_for_speed_gpm(cylinder(6, 3).cap_in2, 0.8), 2)
    5.88
    """
    return 60 * area_in2 * speed / IN3_PER_GAL


def return_gpm(cyl: Cylinder, flow_gpm: float) -> float:
    """Flow out of the cap end, US gpm, while `flow_gpm` enters the rod end: phi times as much.

    >>> round(return_gpm(cylinder(4, 2), 10), 3)
    13.333
    """
    return flow_gpm * cyl.phi


def rod_side_psi(cyl: Cylinder, psi: float, pulling_lbf: float = 0.0) -> float:
    """Pressure in the rod side, psi, with its port blocked, the cap side at `psi` and a load pulling by `pulling_lbf`.

    The balance of forces on the piston: p_rod = (p·A_cap + F) / A_annulus.

    >>> round(rod_side_psi(cylinder(3, 2), 2000))
    3600
    """
    return (psi * cyl.cap_in2 + pulling_lbf) / cyl.annulus_in2


def cap_side_psi(cyl: Cylinder, psi: float, pushing_lbf: float = 0.0) -> float:
    """Pressure on the cap side when the cap port is blocked, with `psi` on the rod side and a load (lbf) that pushes the rod in.

    >>> round(cap_side_psi(cylinder(2.5, 1.25), 2500, 9000))
    3708
    """
    return (psi * cyl.annulus_in2 + pushing_lbf) / cyl.cap_in2


def volume_gal(area_in2: float, stroke_in: float) -> float:
    """Oil that a stroke (in) takes on `area_in2`, US gallons.

    >>> round(volume_gal(cylinder(4, 2).cap_in2, 18.38), 2)
    1.0
    """
    return area_in2 * stroke_in / IN3_PER_GAL


def buckling_lbf(rod_in: float, length_in: float) -> float:
    """Load, lbf, at which a steel rod (in) buckles with a pin at either end, `length_in` (in) apart: Euler, F = π²·E·I/L².

    >>> round(buckling_lbf(0.75, 120))
    320
    """
    above_zero(rod_in, "a rod", "in")
    above_zero(length_in, "a length", "in")
    return pi**2 * rule_value("steel-modulus") * PSI_PER_GPA * pi / 64 * rod_in**4 / length_in**2


def between_pins_in(cyl: Cylinder, extended_in: float | None = None) -> float | None:
    """Length between the pins of an extended cylinder, in: as given, else the least that it can be; None when the stroke is not known."""
    if extended_in is not None:
        return extended_in
    return None if cyl.stroke_in is None else rule_value("buckling-length") * cyl.stroke_in


def answer(
    cyl: Cylinder, psi: float | None = None, flow_gpm: float | None = None, load_lbf: float | None = None,
    extended_in: float | None = None,
) -> CylinderAnswer:
    """Everything that `psi`, `flow_gpm` (US) and `load_lbf` allow to be said of a cylinder.

    `return_gpm` is out of the cap end while retracting; `rod_side_psi` with the rod port blocked and the cap side at
    `psi`; `psi_to_push` and `psi_to_pull` are for the load; `buckling_lbf` is the Euler load of the rod with the pins
    `extended_in` apart, else twice the stroke. A ram (rod of 0) has no rod end to be fed: nothing is said of
    pulling, of going back, and of its rod side. Raises BadCircuit when a figure is not above 0.

    >>> answer(cylinder(2.5, 1.5, 16), psi=2750, flow_gpm=11).rod_side_psi
    4296.875
    >>> answer(cylinder(2.5, 0), psi=2750).pull_lbf is None
    True
    """
    for value, what, unit in ((psi, "a pressure", "psi"), (flow_gpm, "a flow", "gpm"), (load_lbf, "a load", "lbf")):
        if value is not None:
            above_zero(value, what, unit)
    out = _stroke(cyl.cap_in2, cyl.stroke_in, psi, flow_gpm, load_lbf)
    back = _stroke(cyl.annulus_in2, cyl.stroke_in, psi, flow_gpm, load_lbf) if cyl.rod_in else _NO_STROKE
    return CylinderAnswer(
        push_lbf=out.force_lbf,
        pull_lbf=back.force_lbf,
        extend_in_s=out.in_s,
        retract_in_s=back.in_s,
        extend_s=out.takes_s,
        retract_s=back.takes_s,
        return_gpm=None if flow_gpm is None or not cyl.rod_in else return_gpm(cyl, flow_gpm),
        rod_side_psi=None if psi is None or not cyl.rod_in else rod_side_psi(cyl, psi),
        psi_to_push=out.psi_for_load,
        psi_to_pull=back.psi_for_load,
        volume_extend_gal=out.volume_gal,
        volume_retract_gal=back.volume_gal,
        buckling_lbf=None if (apart := between_pins_in(cyl, extended_in)) is None else buckling_lbf(cyl.rod_in or cyl.bore_in, apart),
    )


class _Stroke(NamedTuple):
    force_lbf: float | None
    in_s: float | None
    takes_s: float | None
    psi_for_load: float | None
    volume_gal: float | None


_NO_STROKE = _Stroke(None, None, None, None, None)


def _stroke(area_in2: float, stroke_in: float | None, psi: float | None, flow_gpm: float | None, load_lbf: float | None) -> _Stroke:
    """One stroke, out or back: both follow from the area that the oil presses on."""
    in_s = None if flow_gpm is None else speed_in_s(area_in2, flow_gpm)
    return _Stroke(
        force_lbf=None if psi is None else psi * area_in2,
        in_s=in_s,
        takes_s=None if in_s is None or stroke_in is None else stroke_in / in_s,
        psi_for_load=None if load_lbf is None else load_lbf / area_in2,
        volume_gal=None if stroke_in is None else volume_gal(area_in2, stroke_in),
    )


def findings(cyl: Cylinder, psi: float, rated_psi: float | None = None, units: Units = "both", load_lbf: float | None = None
             ) -> tuple[Finding, ...]:
    """What to know of a cylinder on a circuit that reaches `psi`; `rated_psi` is the maker's rating, `load_lbf` its load, when known."""
    return (*_load_findings(cyl, psi, load_lbf, units), *_blocked_findings(cyl, psi, rated_psi, units),
            *_rating_findings(psi, rated_psi, units))


def _load_findings(cyl: Cylinder, psi: float, load_lbf: float | None, units: Units) -> Iterator[Finding]:
    """Whether it moves its load, and if out, also in."""
    if load_lbf is None:
        return
    if load_lbf > push_lbf(cyl, psi):
        yield Finding("load-too-great", "refuse", f"the load of {format_force(load_lbf, units)} is more than it pushes: at "
                      f"{format_pressure(psi, units)} {format_force(push_lbf(cyl, psi), units)}, friction not counted; a larger bore, or "
                      "less load", ("arithmetic",))
    elif cyl.rod_in and load_lbf > pull_lbf(cyl, psi):
        yield Finding("load-above-pull", "info", f"it pushes the load of {format_force(load_lbf, units)}, and pulls only "
                      f"{format_force(pull_lbf(cyl, psi), units)}", ("arithmetic",))


def _blocked_findings(cyl: Cylinder, psi: float, rated_psi: float | None, units: Units) -> Iterator[Finding]:
    """What the rod side reaches with its port blocked; a ram has none."""
    if not cyl.rod_in:
        return
    blocked = rod_side_psi(cyl, psi)
    above = ""
    if rated_psi is not None and psi <= rated_psi < blocked:
        above = f", more than the {format_pressure(rated_psi, units)} that the cylinder is rated"
    yield Finding("intensification", "warn", f"with the rod port blocked and {format_pressure(psi, units)} on the cap side, the rod side "
                  f"reaches {format_pressure(blocked, units)}{above}: never plug or shut the rod port; what holds there must be rated for "
                  "it", because("rod-port-blocked"))


def _rating_findings(psi: float, rated_psi: float | None, units: Units) -> Iterator[Finding]:
    if rated_psi is not None and rated_psi < psi:
        yield Finding("cylinder-rating", "refuse", f"the cylinder is rated {format_pressure(rated_psi, units)}, below the "
                      f"{format_pressure(psi, units)} that the circuit reaches", because("lowest-rules"))


SLACK_IN = 0.002
"""Less than this is no difference: what is typed in mm comes to inches with a rest, and no pin stands that true."""


def _beyond(one_in: float, other_in: float) -> float:
    """How much longer one length is than another, in inches; nothing within the slack."""
    return one_in - other_in if one_in - other_in > SLACK_IN else 0.0


def buckling_findings(
    cyl: Cylinder, psi: float | None = None, load_lbf: float | None = None, extended_in: float | None = None, units: Units = "both"
) -> tuple[Finding, ...]:
    """Does the rod buckle under its load, and under all that it can push at `psi`? Nothing where the stroke or both forces are unknown."""
    apart = between_pins_in(cyl, extended_in)
    if apart is None:
        return ()
    most, factor = buckling_lbf(cyl.rod_in or cyl.bore_in, apart), rule_value("buckling-factor")
    taken = "between them" if extended_in is not None else "between them, taken as twice the stroke, the least that it can be"
    basis = (f"the rod bends sideways at {format_force(most, units)} (steel rod, a pin at either end, {_long(apart, units)} {taken}; side "
             "load, its own weight and play not counted)")
    usual = f"Usual is a load of no more than 1/{factor:g} of that, {format_force(most / factor, units)}"
    cure = "a thicker rod, a shorter stroke, or a guide"
    found = []
    if load_lbf is not None and load_lbf > most:
        found.append(Finding("buckling", "refuse", f"{basis}, and the load is {format_force(load_lbf, units)}: {cure}",
                             because("buckling-factor")))
    elif load_lbf is not None and load_lbf * factor > most:
        found.append(Finding("buckling", "warn", f"{basis}. {usual}, and the load is {format_force(load_lbf, units)}: {cure}",
                             because("buckling-factor")))
    push = None if psi is None else push_lbf(cyl, psi)
    if push is not None and not found and push * (1 if load_lbf is not None else factor) > most:
        held = f"at {format_pressure(psi or 0.0, units)} it pushes {format_force(push, units)} against whatever stops it"
        found.append(Finding("buckling", "warn", (f"{basis}, and {held}" if push > most else f"{basis}. {usual}, and {held}")
                             + f": {cure}, or a lower relief at its port", because("buckling-factor")))
    return tuple(found)


class Fit(NamedTuple):
    """A candidate cylinder against the pins: all inches.

    `lost` is motion missing, `past` is motion beyond what was wanted.
    """

    stroke_wanted_in: float
    lost_closing_in: float
    lost_opening_in: float
    past_closing_in: float
    past_opening_in: float
    findings: tuple[Finding, ...]


def fit(closed_in: float, stroke_in: float, retracted_in: float, extended_in: float, units: Units = "both") -> Fit:
    """Does a cylinder `closed_in` long when shut, of `stroke_in`, serve pins at `retracted_in` and `extended_in`?

    All in inches, pin centre to pin centre; stroke wanted = extended less retracted (common practice, no source).
    Raises BadCircuit when the measures cannot be.

    >>> seen = fit(closed_in=26.25, stroke_in=16, retracted_in=26, extended_in=42)
    >>> seen.stroke_wanted_in, seen.lost_closing_in, seen.past_opening_in
    (16, 0.25, 0.25)
    """
    _can_fit(closed_in, stroke_in, retracted_in, extended_in, units)
    opened_in = closed_in + stroke_in
    off = Fit(
        stroke_wanted_in=extended_in - retracted_in,
        lost_closing_in=_beyond(closed_in, retracted_in), lost_opening_in=_beyond(extended_in, opened_in),
        past_closing_in=_beyond(retracted_in, closed_in), past_opening_in=_beyond(opened_in, extended_in),
        findings=())
    out_of_reach = _out_of_reach(closed_in, opened_in, retracted_in, extended_in, units)
    return off._replace(findings=(*out_of_reach, *_short_or_past(off, units)))


def _can_fit(closed_in: float, stroke_in: float, retracted_in: float, extended_in: float, units: Units) -> None:
    """Raises BadCircuit for measures that no cylinder and no pair of pins has."""
    above_zero(closed_in, "a closed length", "in")
    above_zero(stroke_in, "a stroke", "in")
    above_zero(retracted_in, "a retracted length", "in")
    if stroke_in >= closed_in:
        raise BadCircuit(f"a stroke of {_long(stroke_in, units)} cannot hide in a closed length of {_long(closed_in, units)} pin to pin")
    if extended_in <= retracted_in:
        raise BadCircuit(f"extended {_long(extended_in, units)} must be longer than retracted {_long(retracted_in, units)}")


def _out_of_reach(closed_in: float, opened_in: float, retracted_in: float, extended_in: float, units: Units) -> Iterator[Finding]:
    if closed_in >= extended_in or opened_in <= retracted_in:
        yield Finding("pins-out-of-reach", "refuse", f"the cylinder is {_long(closed_in, units)} shut and {_long(opened_in, units)} open: "
                      f"it never reaches pins between {_long(retracted_in, units)} and {_long(extended_in, units)}", ("arithmetic",))


def _short_or_past(off: Fit, units: Units) -> Iterator[Finding]:
    """Motion that is missing, and motion beyond what was wanted, at either end."""
    if off.lost_closing_in:
        yield Finding("closing-short", "warn", f"shut it is {_long(off.lost_closing_in, units)} too long: the motion ends that much before "
                      "the retracted position", ("arithmetic",))
    if off.lost_opening_in:
        yield Finding("opening-short", "warn", f"open it is {_long(off.lost_opening_in, units)} too short: that much of the motion is lost",
                      ("arithmetic",))
    if off.past_closing_in:
        yield Finding("closing-past", "warn", f"it shuts {_long(off.past_closing_in, units)} past the retracted position: something else "
                      "will be the stop (the machine, or a stop collar on the rod)", ("arithmetic",))
    if off.past_opening_in:
        yield Finding("opening-past", "warn", f"it opens {_long(off.past_opening_in, units)} past the extended position: something else "
                      "will be the stop (the machine, or a stop tube inside)", ("arithmetic",))


def compare(old: Cylinder, new: Cylinder, psi: float, flow_gpm: float, units: Units = "both") -> tuple[Finding, ...]:
    """How a cylinder differs from the one it must match, at `psi` and `flow_gpm` (US): force and speed, both ways."""
    ways = [("push", old.cap_in2, new.cap_in2)]
    found = []
    if old.rod_in and new.rod_in:
        ways.append(("pull", old.annulus_in2, new.annulus_in2))
    elif old.rod_in or new.rod_in:
        text = "it is a ram and does not pull" if old.rod_in else "it pulls too, which the ram that it replaces does not"
        found.append(Finding("pull-differs", "warn", text, ("arithmetic",)))
    for way, old_area, new_area in ways:
        share = new_area / old_area - 1
        if abs(share) < 0.005:
            continue
        text = (f"{way}: {format_force(psi * new_area, units)} instead of {format_force(psi * old_area, units)} ({share:+.0%}), and "
                f"{1 / (1 + share) - 1:+.0%} speed at {format_flow(flow_gpm, units)}")
        found.append(Finding(f"{way}-differs", "warn" if abs(share) > 0.1 else "info", text, ("arithmetic",)))
    return tuple(found)


def spacers_in(eye_in: float, gap_in: float, units: Units = "both") -> float:
    """Spacer on each side, in, that centres an eye of width `eye_in` in a gap of `gap_in`.

    Raises BadCircuit when it does not go in.

    >>> spacers_in(1.5, 2.5)
    0.5
    """
    above_zero(eye_in, "an eye", "in")
    if eye_in > gap_in:
        raise BadCircuit(f"an eye {_long(eye_in, units)} wide does not go into a gap of {_long(gap_in, units)}")
    return (gap_in - eye_in) / 2


def sleeve_wall_in(pin_in: float, hole_in: float, units: Units = "both") -> float:
    """Wall, in, of the sleeve that makes a pin of `pin_in` fit a hole of `hole_in`.

    Raises BadCircuit when the pin is too thick.

    >>> sleeve_wall_in(1.0, 1.25)
    0.125
    """
    above_zero(pin_in, "a pin", "in")
    if pin_in > hole_in:
        raise BadCircuit(f"a pin of {_long(pin_in, units)} does not go into a hole of {_long(hole_in, units)}")
    return (hole_in - pin_in) / 2


def port_clear(port_from_pin_in: float, obstacle_from_pin_in: float, units: Units = "both") -> Finding | None:
    """Is a port, `port_from_pin_in` from the pin, clear of what reaches `obstacle_from_pin_in`? None when it is.

    >>> port_clear(2.0, 2.5, "inch").text
    'the port stands 2 in from the pin, behind what reaches to 2-1/2 in: it is covered'
    """
    if port_from_pin_in > obstacle_from_pin_in:
        return None
    stands, reaches = _long(port_from_pin_in, units), _long(obstacle_from_pin_in, units)
    return Finding("port-covered", "refuse", f"the port stands {stands} from the pin, behind what reaches to {reaches}: it is covered",
                   ("arithmetic",))
