"""Which hose: by pressure, velocity, kind of line, temperature and fluid, best first, with a reason for each refusal.

Figures stand in `data/hose/hoses.csv`, one row a type and size (SAE J517, EN 853 to 857); hose made before 2006 or
2008 to the lower inch pressures is kept as `legacy`: looked up when it is already on the machine, never chosen.
"""

import re
from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from math import pi
from typing import NamedTuple

from fittings.circuit import BadCircuit, Finding, LineKind, above_zero, worst
from fittings.circuit.flow import drop_psi, least_bore_in, reynolds, velocity_findings, velocity_fps, velocity_limits
from fittings.circuit.rules import because, rule_value
from fittings.ratings import exact_psi
from fittings.reasons import split_sources
from fittings.tables import Row, table
from fittings.units import (
    IN3_PER_GAL,
    MM_PER_IN,
    PA_PER_PSI,
    Units,
    format_flow,
    format_length,
    format_pressure,
    format_temperature,
)

HAD = ("common", "made", "to order", "old")

AIR_PSI = 101_325 / PA_PER_PSI
"""Pressure of the standard atmosphere (ISO 2533)."""


class Hose(NamedTuple):
    """One hose type in one size.

    Lengths in mm, pressures in psi and bar, temperatures in °C; `confidence` and `sources` are the pressure's.
    """

    type: str
    size: str
    say: str
    standard: str
    layers: str
    wire_layers: int
    ends_series: str
    bore_mm: float
    od_mm: float | None
    pressure_psi: float
    pressure_bar: float
    bend_mm: float
    temp_min_c: float
    temp_max_c: float
    lines: tuple[str, ...]
    had: str
    legacy: bool
    confidence: str
    sources: tuple[str, ...]
    bend_confidence: str
    bend_sources: tuple[str, ...]
    temp_confidence: str
    temp_sources: tuple[str, ...]
    note: str

    @property
    def exact_psi(self) -> float:
        """The most pressure it may be asked to hold, psi, also where the table is in bar."""
        return exact_psi(int(self.pressure_psi), self.pressure_bar)

    @property
    def bore_in(self) -> float:
        """True bore, in: not the dash in sixteenths where the type counts by the tube it replaces (R5, R14)."""
        return self.bore_mm / MM_PER_IN

    @property
    def bend_in(self) -> float:
        """Least bend radius, in, to the inside of the bend, at rest."""
        return self.bend_mm / MM_PER_IN

    @property
    def od_known_mm(self) -> float:
        """Outside diameter, mm; where none is known, that of the thickest hose of the same size."""
        if self.od_mm is not None:
            return self.od_mm
        return max(other.od_mm for other in _all() if other.size == self.size and other.od_mm is not None)

    @property
    def bend_to_centre_mm(self) -> float:
        """Least radius of the hose's centre line, mm: the bend radius is measured to the inside of the bend."""
        return self.bend_mm + rule_value("bend-to-inside") * self.od_known_mm


def _steps(size: str) -> int:
    return int(size.lstrip("-"))


@cache
def _all() -> tuple[Hose, ...]:
    types = {row["type"]: row for row in table("hose/types")}
    found = []
    for row in table("hose/hoses"):
        kind = types[row["type"]]
        found.append(
            Hose(
                type=row["type"],
                size=row["size"],
                say=kind["say"],
                standard=row["standard"],
                layers=kind["layers"],
                wire_layers=int(kind["wire_layers"]),
                ends_series=kind["ends_series"],
                bore_mm=float(row["bore_mm"]),
                od_mm=float(row["od_mm"]) if row["od_mm"] else None,
                pressure_psi=float(row["pressure_psi"]),
                pressure_bar=float(row["pressure_bar"]),
                bend_mm=float(row["bend_mm"]),
                temp_min_c=float(row["temp_min_c"]),
                temp_max_c=float(row["temp_max_c"]),
                lines=tuple(kind["lines"].split()),
                had=kind["had"],
                legacy=row["use"] == "legacy",
                confidence=row["confidence"],
                sources=split_sources(row["source"]),
                bend_confidence=row["bend_confidence"],
                bend_sources=split_sources(row["bend_source"]),
                temp_confidence=row["temp_confidence"],
                temp_sources=split_sources(row["temp_source"]),
                note=row["note"],
            )
        )
    return tuple(found)


def hoses(size: str | None = None, legacy: bool = False) -> tuple[Hose, ...]:
    """All hoses, or those of one size ("-8"); with `legacy` also those of the older, lower pressures.

    Raises BadCircuit when no hose has that size.

    >>> [each.pressure_psi for each in hoses("-8") if each.type == "2SN"]
    [3988.0]
    """
    found = tuple(each for each in _all() if (size is None or each.size == size) and (legacy or not each.legacy))
    if not found:
        raise BadCircuit(f"no hose of size “{str(size)[:40]}”: there are {', '.join(hose_sizes())}")
    return found


@cache
def sizes_by_dn() -> dict[float, str]:
    """The size of a hose by its nominal bore in millimetres, as in DN 12.

    >>> sizes_by_dn()[10], sizes_by_dn()[12]
    ('-6', '-8')
    """
    return {float(row["dn_mm"]): row["size"] for row in table("words-dn") if row["kind"] == "hose"}


_DN = re.compile(r"dn ?(\d{1,3}(?:[.,]\d)?)", re.ASCII)


def size_of_dn(text: str) -> str:
    """The size of a hose written by its nominal bore (`DN10`, `DN 12`); '' for anything else, and for a bore that no hose has.

    >>> size_of_dn("DN10"), size_of_dn("dn 12"), size_of_dn("10 mm")
    ('-6', '-8', '')
    """
    found = _DN.fullmatch(text.strip().lower())
    return sizes_by_dn().get(float(found[1].replace(",", ".")), "") if found else ""


@cache
def hose_sizes() -> tuple[str, ...]:
    """Sizes that any hose has, smallest first."""
    return tuple(sorted({each.size for each in _all()}, key=_steps))


def hose(type_name: str, size: str) -> Hose:
    """One hose by type and size; the type in any of its usual names (`2SN`, `R2AT`, `100R2AT`, `R2AT legacy`).

    A bare R1AT, R2AT or R16 is today's hose. Raises BadCircuit naming what there is.

    >>> hose("R2AT legacy", "-8").pressure_psi, hose("100R2AT", "-8").type
    (3500.0, '2SN')
    """
    wanted = _type_key(type_name)
    same_type = [each for each in _all() if _type_key(each.type) == wanted]
    if not same_type:
        known = sorted({each.type for each in _all()})
        raise BadCircuit(f"“{type_name[:40]}” is not a hose type that we have figures for: there are {', '.join(known)}")
    for each in same_type:
        if each.size == size:
            return each
    raise BadCircuit(f"{same_type[0].type} hose is not made in size {size[:20]}: there are {', '.join(each.size for each in same_type)}")


def older(word: str, size: str) -> Hose | None:
    """The hose of an older edition that bears the same name as a hose of today and holds less; None when there is none.

    >>> older("R2AT", "-8").pressure_psi, older("2SN", "-8"), older("R16", "-8")
    (3500.0, None, None)
    """
    try:
        then, now = hose(f"{word} legacy", size), hose(word, size)
    except BadCircuit:
        return None
    return then if then.exact_psi < now.exact_psi else None


_SAME_TYPE = {
    "r1": "1sn", "r1at": "1sn", "r1s": "1sn", "r1ats": "1sn", "1st": "1sn",
    "r2": "2sn", "r2at": "2sn", "r2s": "2sn", "r2ats": "2sn", "2st": "2sn",
    "r1legacy": "r1atlegacy", "r2legacy": "r2atlegacy", "r16s": "2sc",
}


def _type_key(text: str) -> str:
    plain = "".join(sign for sign in text.lower() if sign.isalnum()).removeprefix("sae").removeprefix("en853")
    for standard in ("en854", "en856", "en857"):
        plain = plain.removeprefix(standard)
    plain = plain.removeprefix("100") if plain.startswith("100r") else plain
    return _SAME_TYPE.get(plain, plain)


class Fit(NamedTuple):
    """A hose that serves, how fast the oil runs in it (ft/s), and what to know about it."""

    hose: Hose
    velocity_fps: float
    findings: tuple[Finding, ...]


class Unfit(NamedTuple):
    """A hose that does not serve, and every reason why."""

    hose: Hose
    reasons: tuple[Finding, ...]


class Choice(NamedTuple):
    """Hoses that serve, best first, and those that do not."""

    fits: tuple[Fit, ...]
    unfit: tuple[Unfit, ...]

    @property
    def best(self) -> Hose | None:
        """The first choice, None when nothing serves."""
        return self.fits[0].hose if self.fits else None


def judge(
    of: Hose,
    max_psi: float,
    flow_gpm: float,
    kind: LineKind = "pressure",
    hot_c: float | None = None,
    cold_c: float | None = None,
    fluid: str = "mineral oil",
    units: Units = "both",
) -> tuple[Finding, ...]:
    """All findings about one hose on a line: psi it must hold (relief and surges), flow (US gpm), kind, °C, fluid.

    A `refuse` among them rules it out. The rating is lowered by nothing here: adapters and hose ends are judged apart.
    Raises BadCircuit for a fluid that we do not know.
    """
    carried = _fluid(fluid)
    return (
        *_by_fluid(carried), *_by_kind(of, kind), *_by_pressure(of, kind, max_psi, units),
        *(velocity_findings(flow_gpm, of.bore_in, kind, max_psi, units) if flow_gpm > 0 else ()),
        *_by_temperature(of, carried, hot_c, cold_c, units), *_by_age(of), *_from_memory(of))


def _by_fluid(fluid: Row) -> Iterator[Finding]:
    if fluid["refused"] == "yes":
        yield Finding("hose-fluid", "refuse", fluid["text"], split_sources(fluid["source"]))


_WHY_NOT = {
    "suction": "only a hose with a wire helix (100R4) stands suction: it would be sucked flat",
    "work": "a lever can put full pressure on a work line",
    "pressure": "it is a return and suction hose",
}


def _by_kind(of: Hose, kind: LineKind) -> Iterator[Finding]:
    """Whether a hose is made for such a line; of an old one nobody knows."""
    if not of.legacy and kind not in of.lines:
        why = _WHY_NOT.get(kind, "it is not made for such a line")
        yield Finding("hose-kind", "refuse", f"{of.type} on a {kind} line: {why}", because("suction-helix"))


def _by_pressure(of: Hose, kind: LineKind, max_psi: float, units: Units) -> Iterator[Finding]:
    """Whether it holds `max_psi`, and has something to spare for surges where they come."""
    if kind != "suction" and of.pressure_psi < max_psi * rule_value("surge-margin"):
        rated, reached = format_pressure(of.pressure_psi, units), format_pressure(max_psi, units)
        if of.exact_psi < max_psi:
            yield Finding("hose-rating", "refuse", f"{of.type} {of.size} is rated {rated}, below the {reached} that the line reaches",
                          of.sources)
        if kind in ("pressure", "work"):
            yield Finding("surge-margin", "info", f"{of.type} {of.size} at {rated} leaves little for surges above {reached}",
                          because("surge-margin"))


def _by_temperature(of: Hose, fluid: Row, hot_c: float | None, cold_c: float | None, units: Units) -> Iterator[Finding]:
    """Whether rubber and fluid stand the heat (°C) of the oil, and the rubber the cold of the start."""
    by_fluid = float(fluid["hose_max_c"] or of.temp_max_c) < of.temp_max_c
    top = float(fluid["hose_max_c"]) if by_fluid else of.temp_max_c
    told = " (from memory)" if of.temp_confidence == "C" else ""
    if hot_c is not None and hot_c > top:
        yield Finding("hose-hot", "refuse", f"{of.type} is good to {format_temperature(top, units)}{'' if by_fluid else told}, "
                      f"the oil gets to {format_temperature(hot_c, units)}",
                      split_sources(fluid["source"]) if by_fluid else of.temp_sources)
    if cold_c is not None and cold_c < of.temp_min_c:
        yield Finding("hose-cold", "refuse", f"{of.type} is good down to {format_temperature(of.temp_min_c, units)}{told}, "
                      f"the start is at {format_temperature(cold_c, units)}", of.temp_sources)


def _by_age(of: Hose) -> Iterator[Finding]:
    if of.legacy:
        yield Finding("hose-old", "warn", f"{of.type}: old hose with the lower pressures of its time; look at its date",
                      ("sae-j517-scope",))


def _from_memory(of: Hose) -> Iterator[Finding]:
    if of.confidence == "C":
        yield Finding("hose-from-memory", "info", f"the pressure of {of.type} {of.size} is from memory: go by the print on the hose",
                      of.sources)


@lru_cache(maxsize=64)
def _fluid(text: str) -> Row:
    wanted = text.strip().lower()
    for row in table("hose/fluids"):
        if wanted in {row["fluid"].lower(), *(word.lower() for word in row["words"].split(";"))}:
            return dict(row)
    raise BadCircuit(f"“{text[:40]}” is not a fluid that we know: write {', '.join(row['fluid'] for row in table('hose/fluids'))}")


@lru_cache(maxsize=256)
def choose(
    max_psi: float,
    flow_gpm: float,
    kind: LineKind = "pressure",
    temp_c: float | None = None,
    cold_c: float | None = None,
    fluid: str = "mineral oil",
    size: str | None = None,
    units: Units = "both",
) -> Choice:
    """Hoses for a line that reaches `max_psi` and carries `flow_gpm` (US), hottest `temp_c`, coldest `cold_c` (°C).

    Best first: nothing to warn of, commonly had, the smallest bore that keeps the velocity, some margin for surges, a
    pressure that is not from memory, the fewest layers of wire, the lowest rating, the tightest bend. Raises BadCircuit.

    >>> choice = choose(2600, 8, "work")
    >>> choice.best.type, choice.best.size
    ('R17', '-8')
    """
    if max_psi < 0:
        raise BadCircuit(f"a pressure of {max_psi:g} psi cannot be")
    if flow_gpm < 0:
        raise BadCircuit(f"a flow of {flow_gpm:g} gpm cannot be")
    fits, unfit = [], []
    for each in hoses(size):
        found = judge(each, max_psi, flow_gpm, kind, temp_c, cold_c, fluid, units)
        reasons = tuple(finding for finding in found if finding.level == "refuse")
        if reasons:
            unfit.append(Unfit(each, reasons))
        else:
            fits.append(Fit(each, velocity_fps(flow_gpm, each.bore_in), found))
    fits.sort(key=_preference)
    return Choice(tuple(fits), tuple(unfit))


def _preference(fit: Fit) -> tuple[bool, int, float, bool, bool, int, float, float, str]:
    """What comes first. Of two that serve the one with fewer layers of wire: braid is what a shop hangs at working pressures, spiral is
    stiff, heavy and wants ends of its own (common practice, no source)."""
    codes = {finding.code for finding in fit.findings}
    return (
        worst(fit.findings) == "warn",
        HAD.index(fit.hose.had),
        fit.hose.bore_mm,
        "surge-margin" in codes,
        fit.hose.confidence == "C",
        fit.hose.wire_layers,
        fit.hose.pressure_psi,
        fit.hose.bend_mm,
        fit.hose.type,
    )


class Sizing(NamedTuple):
    """The fields of `fittings size --json`, in inches, psi and ft/s; `length_in` is what the drop is for, `psi` what the hoses must
    hold."""

    flow_gpm: float
    kind: LineKind
    bore_in: float
    size: str | None
    velocity_fps: float
    reynolds: float
    drop_psi: float
    hoses: tuple[Fit, ...]
    length_in: float
    limit_fps: float
    findings: tuple[Finding, ...]
    psi: float | None


def next_size(bore_in: float) -> str | None:
    """The next hose size whose nominal bore (dash in sixteenths) is at or above `bore_in`; None beyond the largest.

    >>> next_size(0.5717), next_size(0.5)
    ('-10', '-8')
    """
    for size in hose_sizes():
        if _steps(size) / 16 >= bore_in - 1e-6:
            return size
    return None


def size_for(
    flow_gpm: float,
    kind: LineKind = "pressure",
    psi: float | None = None,
    bore_in: float | None = None,
    length_in: float = 120.0,
    cst: float = 20.0,
    density_kg_l: float = 0.87,
    units: Units = "both",
) -> Sizing:
    """Bore and hoses for a flow (US gpm) on a kind of line, at `psi` when it is known.

    `bore_in` of the answer is the least bore by velocity; velocity, Reynolds number and drop (over `length_in`, cSt,
    kg/L) are those of the bore given, else of the next hose size. The hoses are those of that size whose true bore is
    wide enough. Raises BadCircuit.

    >>> seen = size_for(16, "pressure", 2750)
    >>> round(seen.bore_in, 4), seen.size
    (0.5717, '-10')
    """
    _can_be(flow_gpm, kind, psi, length_in)
    limits = velocity_limits(kind, psi)
    least = least_bore_in(flow_gpm, limits.target_fps)
    size = next_size(least)
    used = _bore_used_in(bore_in, least, size)
    too_fast = () if bore_in is None else velocity_findings(flow_gpm, used, kind, psi, units)
    lost = drop_psi(flow_gpm, used, length_in, cst, density_kg_l)
    fits, no_hose = _serving(flow_gpm, kind, psi, least, size, units)
    return Sizing(
        flow_gpm=flow_gpm,
        kind=kind,
        bore_in=least,
        size=size,
        velocity_fps=velocity_fps(flow_gpm, used),
        reynolds=reynolds(flow_gpm, used, cst),
        drop_psi=lost,
        hoses=fits,
        length_in=length_in,
        limit_fps=limits.target_fps,
        findings=(*too_fast, *_suction_findings(lost, kind, length_in, units), *no_hose),
        psi=psi,
    )


def _can_be(flow_gpm: float, kind: LineKind, psi: float | None, length_in: float) -> None:
    """Raises BadCircuit for figures that no line has."""
    above_zero(flow_gpm, "a flow", "gpm")
    above_zero(length_in, "a length", "in")
    if psi is not None:
        above_zero(psi, "a pressure", "psi")
        if kind == "suction":
            raise BadCircuit("a suction line sees no pressure, only less than that of the air: leave the pressure out, or say which kind "
                             "of line it is")


def _bore_used_in(given_in: float | None, least_in: float, size: str | None) -> float:
    """The bore to reckon with, in: as given, else that of the next hose size, else, beyond all hoses, the least itself."""
    if given_in is not None:
        return above_zero(given_in, "a bore", "in")
    return least_in if size is None else _steps(size) / 16


def _serving(flow_gpm: float, kind: LineKind, psi: float | None, least_in: float, size: str | None, units: Units
             ) -> tuple[tuple[Fit, ...], tuple[Finding, ...]]:
    """Hoses of a size whose true bore is wide enough; where there are none, those of the next size that serves, and a word on it."""
    if size is None:
        return (), (Finding("bore-too-large", "refuse", f"the least bore is {format_length(least_in * MM_PER_IN, units)}, wider than the "
                            "largest hose of our tables: use two lines, or pipe", ("sae-j517-scope",)),)
    wide = [fit for fit in choose(psi or 0.0, flow_gpm, kind, units=units).fits if fit.hose.bore_in >= least_in - 1e-3]
    fits = tuple(fit for fit in wide if fit.hose.size == size)
    if fits:
        return fits, ()
    other = min(wide, key=lambda fit: fit.hose.bore_mm, default=None)
    held = "" if psi is None else f" at {format_pressure(psi, units)}"
    served = f": the next that does is {other.hose.type} {other.hose.size}" if other else ", nor does a larger one"
    said = Finding("no-hose", "refuse" if other is None else "warn",
                   f"no {size} hose serves {format_flow(flow_gpm, units)} on a {kind} line{held}{served}", ("sae-j517-scope",))
    return tuple(fit for fit in wide if other and fit.hose.size == other.hose.size), (said,)


def _suction_findings(lost_psi: float, kind: LineKind, length_in: float, units: Units) -> Iterator[Finding]:
    """What a loss (psi) over a suction line (in) means: the air presses the oil to the pump, and nothing else does."""
    most = rule_value("suction-drop-cold")
    if kind != "suction" or lost_psi <= most:
        return
    takes = f"over {format_length(length_in * MM_PER_IN, units)} the line takes {format_pressure(lost_psi, units)}"
    cure = "a wider bore, a shorter line, thinner or warmer oil"
    if lost_psi >= AIR_PSI:
        yield Finding("suction-drop", "refuse", f"{takes}, and the air presses with no more than {format_pressure(AIR_PSI, units)}: no oil "
                      f"comes. {cure[0].upper()}{cure[1:]}", ("arithmetic",))
    else:
        yield Finding("suction-drop", "warn", f"{takes}: above {format_pressure(most, units)} a pump cavitates; {cure}",
                      because("suction-drop-cold"))


def oil_gal(of: Hose, length_mm: float) -> float:
    """Oil that fills a length of hose (mm), US gallons, by its nominal bore.

    >>> round(oil_gal(hose("2SN", "-8"), 2540), 3)
    0.085
    """
    return pi / 4 * of.bore_in**2 * length_mm / MM_PER_IN / IN3_PER_GAL


def end_bore_in(of: Hose) -> float:
    """Bore, in, to reckon with inside a crimped hose end: SAE J516 lets crimping take up to 10 % off.

    >>> round(end_bore_in(hose("2SN", "-8")), 2)
    0.45
    """
    return of.bore_in * rule_value("crimp-bore")


def lowest_psi(ratings: Sequence[float | None]) -> float | None:
    """The rating of an assembly, psi: the lowest of hose, ends, adapters, couplers; None when one is unknown.

    SAE J517 and ISO 18752: the lowest-rated component decides.

    >>> lowest_psi([3988.0, 3000.0, 5000.0])
    3000.0
    """
    known = [rating for rating in ratings if rating is not None]
    return min(known) if known and len(known) == len(ratings) else None
