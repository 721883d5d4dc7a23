"""Velocity and pressure drop of oil in hoses, fittings and couplers.

Darcy with f = max(64/Re, 0.3164·Re^-0.25): laminar by Hagen and Poiseuille, turbulent by Blasius (smooth bore), and
between the two the turbulent line, which is what hose makers' tables show. Fittings by the two-K method (1981),
because a plain K is several times too small in cold oil. US units inside: US gpm, in, psi, ft/s; viscosity in cSt;
density in kg/L.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from math import isclose, pi, sqrt
from typing import NamedTuple

from fittings.circuit import BadCircuit, Finding, LineKind, above_zero
from fittings.circuit.rules import because, rule_value
from fittings.reasons import split_sources
from fittings.tables import table
from fittings.units import (
    IN3_PER_GAL,
    L_PER_GAL,
    MM_PER_IN,
    PA_PER_PSI,
    Units,
    format_flow,
    format_length,
    format_pressure,
    format_speed,
)

FPS_PER_GPM_IN2 = IN3_PER_GAL / 720
M_PER_IN = 0.0254
GPM_PER_M3_S = 60_000 / L_PER_GAL


def velocity_fps(flow_gpm: float, bore_in: float) -> float:
    """Mean velocity, ft/s, of `flow_gpm` (US) in a bore (in): v = 0.320833·Q/A exactly.

    >>> round(velocity_fps(10, 0.625), 2)
    10.46
    """
    above_zero(bore_in, "a bore", "in")
    return FPS_PER_GPM_IN2 * flow_gpm / (pi / 4 * bore_in**2)


def least_bore_in(flow_gpm: float, fps: float) -> float:
    """Least bore, in, that keeps `flow_gpm` (US) at or below `fps`: d = 0.639138·√(Q/v).

    >>> round(least_bore_in(16, 20), 4)
    0.5717
    """
    above_zero(fps, "a velocity", "ft/s")
    return sqrt(FPS_PER_GPM_IN2 * flow_gpm / fps / (pi / 4))


def reynolds(flow_gpm: float, bore_in: float, cst: float) -> float:
    """Reynolds number of `flow_gpm` (US) in a bore (in) at a viscosity in cSt.

    >>> round(reynolds(10, 0.625, 20))
    2530
    """
    above_zero(cst, "a viscosity", "cSt")
    metres_per_s = velocity_fps(flow_gpm, bore_in) * 0.3048
    return metres_per_s * bore_in * M_PER_IN / (cst * 1e-6)


def friction_factor(re: float) -> float:
    """Darcy friction factor: the greater of 64/Re and Blasius 0.3164·Re^-0.25; they cross at Re 1187.

    Blasius holds to Re 100 000; beyond, it is too small by a few per cent, where no hose of ours goes.

    >>> round(friction_factor(500), 3), round(friction_factor(10_000), 5)
    (0.128, 0.03164)
    """
    above_zero(re, "a Reynolds number", "")
    return max(64 / re, 0.3164 / sqrt(sqrt(re)))


def dynamic_psi(flow_gpm: float, bore_in: float, density_kg_l: float) -> float:
    """Dynamic pressure ρ·v²/2, psi, of a flow (US gpm) in a bore (in)."""
    metres_per_s = velocity_fps(flow_gpm, bore_in) * 0.3048
    return density_kg_l * 1000 * metres_per_s**2 / 2 / PA_PER_PSI


def drop_psi(flow_gpm: float, bore_in: float, length_in: float, cst: float = 20.0, density_kg_l: float = 0.87) -> float:
    """Pressure drop, psi, along `length_in` of bore `bore_in` (in) at `flow_gpm` (US), viscosity cSt, density kg/L.

    Darcy; on a hose maker's table (60 values of 3 psi and more) 3 % high on the mean, 13 % at most. Raises BadCircuit.

    >>> round(drop_psi(10, 0.625, 120, 20, 0.85), 1)
    5.4
    """
    if flow_gpm == 0:
        return 0.0
    above_zero(flow_gpm, "a flow", "gpm")
    above_zero(density_kg_l, "a density", "kg/L")
    friction = friction_factor(reynolds(flow_gpm, bore_in, cst))
    return friction * length_in / bore_in * dynamic_psi(flow_gpm, bore_in, density_kg_l)


class Loss(NamedTuple):
    """Two-K figures of one fitting: K = k1/Re + k_inf·(1 + 1/bore in inches)."""

    item: str
    say: str
    k1: float
    k_inf: float


def losses() -> dict[str, Loss]:
    """Fittings whose loss we have figures for, by key: `elbow-90`, `tee-run`, `straight` and so on."""
    return {row["item"]: Loss(row["item"], row["say"], float(row["k1"]), float(row["k_inf"])) for row in table("hose/losses")}


def two_k(k1: float, k_inf: float, re: float, bore_in: float) -> float:
    """Loss coefficient by the two-K method (1981) at a Reynolds number and a bore in inches.

    >>> round(two_k(800, 0.40, 1000, 0.5), 2)
    2.0
    """
    above_zero(re, "a Reynolds number", "")
    above_zero(bore_in, "a bore", "in")
    return k1 / re + k_inf * (1 + 1 / bore_in)


def fitting_drop_psi(item: str, flow_gpm: float, bore_in: float, cst: float = 20.0, density_kg_l: float = 0.87) -> float:
    """Pressure drop, psi, of one fitting (a key of `losses`) at a flow (US gpm), bore (in), cSt, kg/L.

    Raises BadCircuit.

    >>> round(fitting_drop_psi("elbow-90", 10, 0.5, 20, 0.87), 1)
    2.3
    """
    if flow_gpm == 0:
        return 0.0
    try:
        loss = losses()[item]
    except KeyError:
        raise BadCircuit(f"no loss is known for “{item[:40]}”: there are {', '.join(losses())}") from None
    factor = two_k(loss.k1, loss.k_inf, reynolds(flow_gpm, bore_in, cst), bore_in)
    return factor * dynamic_psi(flow_gpm, bore_in, density_kg_l)


def exit_drop_psi(flow_gpm: float, bore_in: float, density_kg_l: float = 0.87) -> float:
    """Pressure drop, psi, of a flow (US gpm) that leaves a bore (in) into a cylinder, a block or a tank: all its velocity head.

    >>> round(exit_drop_psi(11.1, 0.25, 0.845))
    30
    """
    return losses()["exit"].k_inf * dynamic_psi(flow_gpm, bore_in, density_kg_l)


def step_drop_psi(flow_gpm: float, bore_in: float, next_bore_in: float, density_kg_l: float = 0.87) -> float:
    """Pressure drop, psi, of a sudden step from one bore to the next (in), on the smaller bore's velocity.

    Contraction 0.5·(1 − A2/A1); widening (1 − A1/A2)² (Borda and Carnot); turbulent figures.
    """
    if isclose(bore_in, next_bore_in):
        return 0.0
    small, large = sorted((bore_in, next_bore_in))
    areas = (small / large) ** 2
    factor = 0.5 * (1 - areas) if next_bore_in < bore_in else (1 - areas) ** 2
    return factor * dynamic_psi(flow_gpm, small, density_kg_l)


class CouplerDrop(NamedTuple):
    """Pressure drop of one coupler half pair, and where its rated figure comes from; `over` is flow over rated flow."""

    psi: float
    over: float
    rated_gpm: float
    confidence: str
    sources: tuple[str, ...]


def coupler_drop(size: str, flow_gpm: float) -> CouplerDrop | None:
    """Drop of a quick coupler of body size `size` ("1/2") at a flow (US gpm): the rated drop times (flow/rated)².

    The rated flows and drops are those of ISO 14541; for ISO 7241 and ISO 16028 bodies they are a planning guess.
    None when that size is not in the table.

    >>> round(coupler_drop("1/2", 11.88).psi, 1)
    21.7
    """
    for row in table("hose/couplers"):
        if row["size"] == size:
            over = flow_gpm / float(row["rated_gpm"])
            return CouplerDrop(float(row["drop_psi"]) * over**2, over, float(row["rated_gpm"]), row["confidence"],
                               split_sources(row["source"]))
    return None


def orifice_gpm(bore_in: float, psi: float, density_kg_l: float = 0.87, cd: float | None = None) -> float:
    """Flow, US gpm, through a sharp-edged orifice of `bore_in` at a drop in psi: Q = Cd·A·√(2Δp/ρ), turbulent.

    >>> round(orifice_gpm(0.0625, 1000, 0.87), 2)
    2.41
    """
    if psi < 0:
        raise BadCircuit(f"a pressure drop of {psi:g} psi cannot be")
    above_zero(bore_in, "an orifice", "in")
    area_m2 = pi / 4 * (bore_in * M_PER_IN) ** 2
    return (
        (rule_value("square-edge-cd") if cd is None else cd)
        * area_m2
        * sqrt(2 * psi * PA_PER_PSI / (above_zero(density_kg_l, "a density", "kg/L") * 1000))
        * GPM_PER_M3_S
    )


def power_hp(flow_gpm: float, psi: float) -> float:
    """Hydraulic power, hp: flow (US gpm) × psi / 1714.29 exactly.

    What a relief or a restriction takes, it turns to heat.

    >>> round(power_hp(20, 1500), 1)
    17.5
    """
    return flow_gpm * psi * IN3_PER_GAL / (33_000 * 12)


class Limits(NamedTuple):
    """Velocities for one kind of line, ft/s: size for `target`, look again above `warn`, do not go above `refuse`."""

    target_fps: float
    warn_fps: float
    refuse_fps: float
    sources: tuple[str, ...]
    confidence: str


@lru_cache(maxsize=256)
def velocity_limits(kind: LineKind, psi: float | None = None) -> Limits:
    """Limits of velocity by kind of line; a `work` line counts as pressure; without `psi` the band up to 3000 psi.

    >>> velocity_limits("return").target_fps, velocity_limits("work", 2750).target_fps
    (10.0, 20.0)
    """
    wanted = "pressure" if kind == "work" else kind
    for row in table("hose/velocity"):
        if row["kind"] == wanted and (not row["psi_to"] or (3000 if psi is None else psi) <= float(row["psi_to"])):
            return Limits(float(row["target_fps"]), float(row["warn_fps"]), float(row["refuse_fps"]), split_sources(row["source"]),
                          row["confidence"])
    raise BadCircuit(f"no velocity is known for a {kind} line")


_TOO_FAST = {
    "suction": "the pump starves and cavitates",
    "return": "the oil foams and holds back what returns",
    "drain": "it presses on the shaft seal",
}


@lru_cache(maxsize=1024)
def velocity_findings(flow_gpm: float, bore_in: float, kind: LineKind, psi: float | None = None, units: Units = "both"
                      ) -> tuple[Finding, ...]:
    """What the velocity of `flow_gpm` (US) in `bore_in` means on a line of that kind at `psi`.

    A finding never goes away because the pressure is raised: only its level follows the pressure.
    """
    limits = velocity_limits(kind, psi)
    fps = velocity_fps(flow_gpm, bore_in)
    calm = min(limits.target_fps, velocity_limits(kind, 0).target_fps)
    bore = format_length(bore_in * MM_PER_IN, units)
    where = f"{format_flow(flow_gpm, units)} in a bore of {bore} runs at {format_speed(fps, units)}"
    if fps > limits.refuse_fps * (1 + 1e-9):
        does = f"above {format_speed(limits.refuse_fps, units)} {_TOO_FAST.get(kind, 'the tube of the hose erodes')}"
        return (Finding("oil-too-fast", "refuse", f"{where}: {does}; it wants a wider bore", limits.sources),)
    if fps > limits.warn_fps * (1 + 1e-9):
        so = ("short and straight, or the pump starves while the oil is cold" if kind == "suction" else
              "more heat and drop, keep it short")
        usual = f"the usual limit for such a line is {format_speed(limits.warn_fps, units)}"
        return (Finding("oil-fast", "warn", f"{where}: {usual}; {so}", limits.sources),)
    if fps > calm * (1 + 1e-9) and format_speed(fps, units) != format_speed(calm, units):
        calmer = f"{format_speed(calm, units)} is calmer where the line works all day"
        return (Finding("oil-fast", "info", f"{where}: within the limit, but {calmer}", limits.sources),)
    return ()


class Stretch(NamedTuple):
    """One stretch of a line for `line_drop`: a bore (in), a length (in), and the fittings in it by key of `losses`."""

    bore_in: float
    length_in: float = 0.0
    fittings: tuple[str, ...] = ()


def line_drop_psi(stretches: Sequence[Stretch], flow_gpm: float, cst: float, density_kg_l: float) -> float:
    """Pressure drop, psi, of stretches in series at a flow (US gpm), cSt and kg/L, with the steps of bore between them.

    >>> round(line_drop_psi([Stretch(0.5, 84, ("elbow-90",))], 11, 20.6, 0.845), 1)
    15.5
    """
    total = 0.0
    for number, stretch in enumerate(stretches):
        total += drop_psi(flow_gpm, stretch.bore_in, stretch.length_in, cst, density_kg_l)
        total += sum(fitting_drop_psi(item, flow_gpm, stretch.bore_in, cst, density_kg_l) for item in stretch.fittings)
        if number:
            total += step_drop_psi(flow_gpm, stretches[number - 1].bore_in, stretch.bore_in, density_kg_l)
    return total


def drop_findings(psi_hot: float, psi_cold: float, kind: LineKind, units: Units = "both", relief_psi: float | None = None
                  ) -> tuple[Finding, ...]:
    """What a drop, hot and at cold start (psi), means on a line of that kind (common practice, no source); `relief_psi` is all that the
    pump has to push with."""
    presses = kind in ("pressure", "work")
    return (
        *(_cold_findings(psi_cold, relief_psi, units) if presses and relief_psi is not None else ()),
        *(_starving_findings(psi_cold, units) if kind == "suction" else ()),
        *(return_findings(psi_cold, units) if kind == "return" else ()),
        *(_hot_findings(psi_hot, units) if presses else ()))


def _cold_findings(psi_cold: float, relief_psi: float, units: Units) -> Iterator[Finding]:
    if psi_cold <= rule_value("pressure-drop-cold") * relief_psi:
        return
    yield Finding("drop-cold", "warn", f"with cold oil this line alone would take {takes_cold(psi_cold, relief_psi, units)}. Warm it at "
                  "idle first; thinner oil, a shorter line or a larger bore", because("pressure-drop-cold"))


def _starving_findings(psi_cold: float, units: Units) -> Iterator[Finding]:
    if psi_cold > rule_value("suction-drop-cold"):
        yield Finding("suction-starves", "warn", f"cold, the suction line takes {format_pressure(psi_cold, units)}: the pump will cavitate "
                      "until the oil is warm; shorter, or a size larger", because("suction-drop-cold"))


def _hot_findings(psi_hot: float, units: Units) -> Iterator[Finding]:
    if psi_hot > rule_value("pressure-drop-hot"):
        yield Finding("drop-hot", "warn", f"the line takes {format_pressure(psi_hot, units)} with warm oil, which turns to heat: shorter, "
                      "or a size larger", because("pressure-drop-hot"))


MANY_TIMES = 10
"""A drop so many times all that there is to push with is no figure any more: oil as thick as that is hardly pumped."""


def takes_cold(psi: float, relief_psi: float, units: Units = "both") -> str:
    """What lines that take so much with cold oil at full flow, psi, leave of speed and force, in words to follow "take".

    Thick oil flows laminar, and what it takes goes with the flow (Hagen and Poiseuille, 64/Re): so slow it goes that the relief setting
    is enough. Where nothing flows nothing is lost, and the whole relief setting presses.
    """
    takes, has = format_pressure(psi, units), format_pressure(relief_psi, units)
    force = "held up or at its end it still presses with its full force"
    if psi < relief_psi:
        return (f"about {takes} at full flow of the {has} that the relief lets through: until the oil is warm little is left for the load "
                f"while it moves; {force}")
    takes = f"about {takes}" if psi < MANY_TIMES * relief_psi else f"more than {MANY_TIMES} times"
    than = ", more than" if psi < MANY_TIMES * relief_psi else ""
    speed = f"about {relief_psi / psi:.0%}" if psi < 100 * relief_psi else "less than 1%"
    how = "only creeps, at" if psi > 2 * relief_psi else "slows down to"
    return (f"{takes}{than} the {has} that the relief lets through, at full flow: until the oil is warm the motion {how} {speed} of its "
            f"speed without a load. It does not stand: {force}")


def return_findings(psi_cold: float, units: Units = "both") -> tuple[Finding, ...]:
    """What so much pressure, psi, that is held back at a cold start means for what stands on the way to the tank (common practice, no
    source)."""
    if psi_cold <= rule_value("return-drop-cold"):
        return ()
    return (Finding("return-pressure", "warn", f"with cold oil {format_pressure(psi_cold, units)} is held back from here to the tank: what "
                    "filter, cooler or shaft seal is on the way sees that pressure", because("return-drop-cold")),)
