"""Quantities as people type them, converted exactly, and printed the way they are read in a shop.

Inside, every figure is a float whose name carries its unit. The exact definitions used: inch 25.4 mm,
pound 0.45359237 kg, standard gravity 9.80665 m/s², US gallon 231 in³ (NIST SP 811, appendix B).
"""

import re
import unicodedata
from collections.abc import Callable, Mapping
from math import ceil, floor, isfinite, pi
from typing import Literal, NamedTuple, cast

Units = Literal["inch", "metric", "both"]

MM_PER_IN = 25.4
N_PER_LBF = 0.45359237 * 9.80665
PA_PER_PSI = N_PER_LBF / 0.0254**2
PSI_PER_BAR = 1e5 / PA_PER_PSI
PSI_PER_MPA = 1e6 / PA_PER_PSI
IN3_PER_GAL = 231.0
L_PER_GAL = IN3_PER_GAL * MM_PER_IN**3 / 1e6
NM_PER_LBF_FT = N_PER_LBF * 0.3048
MM_PER_FT = 304.8

LONGEST_TEXT = 60
LARGEST = 1e9


class BadQuantity(ValueError):
    """A quantity could not be read: `typed` as given, `why` it fails, an `example` that would do."""

    def __init__(self, typed: str, why: str, example: str) -> None:
        shown = typed if len(typed) <= LONGEST_TEXT else typed[:LONGEST_TEXT] + "…"
        super().__init__(f"“{shown}”: {why}; write it like {example}")
        self.typed, self.why, self.example = shown, why, example


class _Kind(NamedTuple):
    """How one kind of quantity is written: a name for messages, examples, factors to the inner unit."""

    name: str
    example: str
    factors: Mapping[str, float]
    # "2,750 psi" is two thousand seven hundred and fifty, but "2,750 in" may be meant either way
    thousands: frozenset[str] = frozenset()
    may_be_negative: bool = False
    refused: Mapping[str, str] = {}

    @property
    def one(self) -> str:
        """The name with its article: `a length`, `an angle`."""
        return f"{'an' if self.name[0] in 'aeiou' else 'a'} {self.name}"


def _spellings(*groups: tuple[str, float]) -> dict[str, float]:
    return {word: factor for words, factor in groups for word in words.split()}


_LENGTH = _Kind(
    "length", "84 in, 1-1/16 in, 7'6\" or 22 mm",
    _spellings(
        ("mm millimetre millimetres millimeter millimeters", 1.0), ("cm", 10.0),
        ("m metre metres meter meters", 1000.0),
        ("in inch inches ins \" '' zoll", MM_PER_IN), ("ft foot feet '", MM_PER_FT), ("thou", MM_PER_IN / 1000)),
)
_PRESSURE = _Kind(
    "pressure", "2750 psi, 190 bar or 19 MPa",
    _spellings(
        ("psi psig lbf/in2 lb/in2 lbs/in2 lbf/in^2 lb/in^2 pounds/squareinch", 1.0), ("ksi", 1000.0),
        ("bar bars barg", PSI_PER_BAR), ("mpa n/mm2 n/mm^2", PSI_PER_MPA),
        ("kpa", 1e3 / PA_PER_PSI), ("pa", 1 / PA_PER_PSI),
        ("kg/cm2 kgf/cm2 kg/cm^2 kgf/cm^2", 98066.5 / PA_PER_PSI)),
    thousands=frozenset({"psi", "psig", "kpa", "pa", "lbf/in2", "lb/in2"}),
    refused={"lb": "a pressure in “lb” may be a force", "lbs": "a pressure in “lbs” may be a force"},
)
_TORQUE = _Kind(
    "torque", "35 lbf·ft, 420 lbf·in or 47 N·m",
    _spellings(
        ("nm newtonmetre newtonmetres newtonmeter newtonmeters", 1.0),
        ("lbfft lbft lbsft ftlb ftlbs ftlbf footpound footpounds poundfoot poundfeet", NM_PER_LBF_FT),
        ("lbfin lbin lbsin inlb inlbs inlbf inchpound inchpounds poundinch", NM_PER_LBF_FT / 12),
        ("kgfm kgm mkg mkgf", 9.80665)),
)
_FLOW = _Kind(
    "flow", "11 gpm or 42 L/min",
    _spellings(
        ("gpm usgpm gal/min usgal/min gals/min gallons/min gallons/minute gal/minute", 1.0),
        ("l/min lpm lt/min ltr/min litre/min litres/min liter/min liters/min", 1 / L_PER_GAL),
        ("litres/minute liters/minute", 1 / L_PER_GAL), ("l/s", 60 / L_PER_GAL), ("m3/h m^3/h", 1000 / 60 / L_PER_GAL),
        ("impgpm ukgpm impgal/min", 4.54609 / L_PER_GAL), ("in3/min cuin/min", 1 / IN3_PER_GAL)),
)
_FORCE = _Kind(
    "force", "5000 lbf or 22 kN",
    _spellings(
        ("lbf lb lbs pound pounds", 1.0), ("n newton newtons", 1 / N_PER_LBF), ("kn", 1000 / N_PER_LBF),
        ("kgf kg kp", 9.80665 / N_PER_LBF), ("t tonne tonnes", 9806.65 / N_PER_LBF), ("shortton shorttons", 2000.0)),
    thousands=frozenset({"lbf", "lb", "lbs", "pounds", "n", "kg", "kgf"}),
    refused={"ton": "a ton may be 2000 lb, 2240 lb or 1000 kg", "tons": "a ton may be 2000 lb, 2240 lb or 1000 kg"},
)
_TEMPERATURE = _Kind(
    "temperature", "60 °C or 140 °F",
    _spellings(("c °c degc celsius", 1.0), ("f °f degf fahrenheit", 2.0), ("k kelvin", 3.0)),
    may_be_negative=True,
)
_VOLUME = _Kind(
    "volume", "0.5 gal, 2 L or 30 in³",
    _spellings(
        ("gal gals gallon gallons usgal", 1.0), ("l lt ltr litre litres liter liters", 1 / L_PER_GAL),
        ("ml cc cm3 cm^3", 1 / 1000 / L_PER_GAL), ("in3 in^3 cuin", 1 / IN3_PER_GAL), ("qt quart quarts", 0.25),
        ("impgal ukgal", 4.54609 / L_PER_GAL)),
)
_ANGLE = _Kind(
    "angle", "90 deg", _spellings(("deg degs ° degree degrees", 1.0), ("rad radian radians", 180 / pi)),
    may_be_negative=True,
)
_VISCOSITY = _Kind(
    "viscosity", "46 cSt",
    _spellings(("cst mm2/s mm^2/s centistoke centistokes", 1.0), ("st", 100.0)),
    refused={"ssu": "SSU does not convert by a factor (97 SSU is about 20 cSt, 315 SSU about 68 cSt)",
             "sus": "SUS does not convert by a factor (97 SUS is about 20 cSt, 315 SUS about 68 cSt)",
             "cp": "cP also needs the density", "mpas": "mPa·s also needs the density"},
)
_DENSITY = _Kind(
    "density", "0.87 or 870 kg/m³",
    _spellings(("kg/l g/cm3 g/cm^3 g/ml sg kg/dm3", 1.0), ("kg/m3 kg/m^3 g/l", 0.001)),
)


def length_mm(text: str, default: str | None = None) -> float:
    """A length in mm, from inches with fractions, feet and inches, mm, cm or m; `default` is the unit of a bare number.

    Exact: 1 in = 25.4 mm. Raises BadQuantity.

    >>> length_mm("1-1/16 in"), length_mm("2,5 cm"), length_mm("½", default="in")
    (26.9875, 25.0, 12.7)
    """
    feet = _FEET_AND_INCHES.fullmatch(_plain(text)) if len(text) <= LONGEST_TEXT else None
    if feet:
        whole, rest = (_number(part, text, _LENGTH) for part in feet.groups())
        if rest >= 12:
            raise BadQuantity(text, "the inches after the feet must be below 12", _LENGTH.example)
        if whole > LARGEST:
            raise BadQuantity(text, "too large to be a real length", _LENGTH.example)
        return _tidy(whole * MM_PER_FT + rest * MM_PER_IN)
    return _read(text, default, _LENGTH)


def length_in(text: str, default: str | None = None) -> float:
    """A length in inches; reads the same texts as `length_mm`. Raises BadQuantity.

    >>> length_in("7'6\\"")
    90.0
    """
    return _tidy(length_mm(text, default) / MM_PER_IN)


def pressure_psi(text: str, default: str | None = None) -> float:
    """A gauge pressure in psi, from psi, bar, MPa, kPa or kgf/cm²; `default` is the unit of a bare number.

    Raises BadQuantity.

    >>> pressure_psi("2,750 psi"), round(pressure_psi("19 MPa"))
    (2750.0, 2756)
    """
    return _read(text, default, _PRESSURE)


def torque_nm(text: str, default: str | None = None) -> float:
    """A torque in N·m, from N·m, lbf·ft, lbf·in (in either order of the words) or kgf·m. Raises BadQuantity.

    >>> round(torque_nm("35 ft-lb"), 2)
    47.45
    """
    return _read(text, default, _TORQUE)


def flow_gpm(text: str, default: str | None = None) -> float:
    """A flow in US gallons per minute, from gpm (US), L/min, L/s, m³/h; an imperial gallon must be said.

    Raises BadQuantity.

    >>> round(flow_gpm("42 L/min"), 2)
    11.1
    """
    return _read(text, default, _FLOW)


def force_lbf(text: str, default: str | None = None) -> float:
    """A force in lbf, from lbf, N, kN; a load in lb, kg or tonnes counts as its weight. Raises BadQuantity.

    >>> round(force_lbf("22 kN"))
    4946
    """
    return _read(text, default, _FORCE)


def temperature_c(text: str, default: str | None = None) -> float:
    """A temperature in °C, from °C, °F or K. Raises BadQuantity, also below absolute zero.

    >>> temperature_c("-10 C"), temperature_c("212 °F")
    (-10.0, 100.0)
    """
    number, unit = _split(text, default, _TEMPERATURE)
    scale = _TEMPERATURE.factors[unit]
    celsius = number if scale == 1.0 else (number - 32) / 1.8 if scale == 2.0 else number - 273.15
    if celsius < -273.15:
        raise BadQuantity(text, "that is below absolute zero", _TEMPERATURE.example)
    return celsius


def volume_gal(text: str, default: str | None = None) -> float:
    """A volume in US gallons, from gal, quarts, L, mL, cm³ or in³. Raises BadQuantity.

    >>> volume_gal("231 in³")
    1.0
    """
    return _read(text, default, _VOLUME)


def angle_deg(text: str, default: str | None = "deg") -> float:
    """An angle in degrees, negative allowed; a bare number is degrees unless `default` says otherwise.

    Raises BadQuantity.

    >>> angle_deg("-90°")
    -90.0
    """
    return _read(text, default, _ANGLE)


def viscosity_cst(text: str, default: str | None = None) -> float:
    """A kinematic viscosity in cSt (mm²/s). Raises BadQuantity, also for SSU and for dynamic viscosity.

    >>> viscosity_cst("46 cSt")
    46.0
    """
    return _read(text, default, _VISCOSITY)


def density_kg_l(text: str, default: str | None = "kg/l") -> float:
    """A density in kg/L (the same number as specific gravity), from kg/L, g/cm³ or kg/m³. Raises BadQuantity, also for what no liquid
    of a machine weighs.

    >>> density_kg_l("870 kg/m³")
    0.87
    """
    value = _read(text, default, _DENSITY)
    if not 0.5 <= value <= 2:
        raise BadQuantity(text, f"{value:g} kg/L is the density of no oil: they lie near 0.87 kg/L, which is 870 kg/m3", "0.87")
    return value


_FEET_AND_INCHES = re.compile(
    r"(.+?) ?(?:'|ft\.?|foot|feet)(?!') ?-? ?([0-9][0-9 ./,-]*?) ?(?:\"|''|in\.?|inch|inches)?", re.IGNORECASE)
_NUMBER_AND_UNIT = re.compile(r"([+-]?[0-9.,][0-9., /-]*?) ?-?([^0-9 .,/-].*)?")
_FRACTION = re.compile(r"(?:([0-9]+)[ .-]{1,3})?([0-9]+) ?/ ?([0-9]+)")
_GROUPED = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?")
_GROUPED_THE_OTHER_WAY = re.compile(r"[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+")
_DECIMAL = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+|[0-9]+\.")
_SPACED_THOUSANDS = re.compile(r"[0-9]{1,3}(?: [0-9]{3})+")

_ONE_SIGN = str.maketrans({
    "‐": "-", "‑": "-", "‒": "-", "–": "-", "—": "-", "−": "-", "“": '"', "”": '"', "″": '"', "„": '"',
    "‘": "'", "’": "'", "′": "'", "⁄": "/", "∕": "/", "º": "°", "˚": "°", "×": "x",
})


def _plain(text: str) -> str:
    """The text with one sign for each meaning and Unicode fractions spelled out ("1½" becomes "1 1/2")."""
    spelled = []
    for sign in text:
        fraction = unicodedata.normalize("NFKC", sign) if unicodedata.category(sign) == "No" else ""
        if "⁄" in fraction:
            spelled.append(f" {fraction} ")
        else:
            spelled.append({"²": "2", "³": "3"}.get(sign, sign))
    return " ".join("".join(spelled).translate(_ONE_SIGN).split())


def _number(number: str, typed: str, kind: _Kind, thousands: bool = False) -> float:
    text = number.strip()
    fraction = _FRACTION.fullmatch(text)
    if fraction:
        whole, top, bottom = fraction.groups()
        if int(bottom) == 0:
            raise BadQuantity(typed, "a fraction cannot have 0 below the line", kind.example)
        return int(whole or 0) + int(top) / int(bottom)
    if _GROUPED.fullmatch(text):
        certain = "." in text or text.count(",") > 1 or text.startswith("0,")
        if text.startswith("0,"):
            return float(text.replace(",", "."))
        if not certain and not thousands:
            readings = f"{text.replace(',', '')} or {text.replace(',', '.')}"
            raise BadQuantity(typed, f"{text} can mean {readings}: leave the comma out", kind.example)
        return float(text.replace(",", ""))
    if _GROUPED_THE_OTHER_WAY.fullmatch(text):
        return float(text.replace(".", "").replace(",", "."))
    if _SPACED_THOUSANDS.fullmatch(text):
        return float(text.replace(" ", ""))
    if _DECIMAL.fullmatch(text):
        return float(text.replace(",", "."))
    raise BadQuantity(typed, f"“{text}” is not a number", kind.example)


def _unit(word: str) -> str:
    """A unit as a key of the tables: lower case, without spaces, full stops or the sign between two units."""
    low = word.lower()
    if low.strip() in ('"', "''", "'"):
        return low.strip()
    return re.sub(r"[\s.·⋅*_-]", "", low).replace("per", "/")


def _split(text: str, default: str | None, kind: _Kind) -> tuple[float, str]:
    if len(text) > LONGEST_TEXT:
        raise BadQuantity(text, f"too long for {kind.one}", kind.example)
    plain = _plain(text)
    if not plain:
        raise BadQuantity(text, f"no {kind.name} given", kind.example)
    match = _NUMBER_AND_UNIT.fullmatch(plain)
    if not match:
        raise BadQuantity(text, f"not {kind.one}: it must be a number and a unit", kind.example)
    number, word = match.groups()
    unit = _unit(word or "")
    if not unit:
        if default is None:
            raise BadQuantity(text, f"no unit: the {kind.name} could be in several", kind.example)
        unit = _unit(default)
    if unit in kind.refused:
        raise BadQuantity(text, kind.refused[unit], kind.example)
    if unit not in kind.factors:
        raise BadQuantity(text, f"“{word or default}” is not a unit of {kind.name} that we read", kind.example)
    negative = number.startswith("-")
    if negative and not kind.may_be_negative:
        raise BadQuantity(text, f"{kind.one} cannot be negative", kind.example)
    value = _number(number.lstrip("+-"), text, kind, unit in kind.thousands)
    if not isfinite(value) or value > LARGEST:
        raise BadQuantity(text, f"too large to be a real {kind.name}", kind.example)
    return (-value if negative else value), unit


def _read(text: str, default: str | None, kind: _Kind) -> float:
    number, unit = _split(text, default, kind)
    return _tidy(number * kind.factors[unit])


def _tidy(value: float) -> float:
    # 1-1/2 in times 25.4 and back must be 1.5 again, not 1.4999999999999998
    return float(f"{value:.13g}")


def units_style(text: str) -> Units:
    """`inch`, `metric` or `both`, as the job file and the command line say how to print. Raises BadQuantity.

    >>> units_style("Metric")
    'metric'
    """
    word = text.strip().lower()
    if word not in ("inch", "metric", "both"):
        raise BadQuantity(text, "answers are printed in inch, metric or both", "units = \"both\"")
    return cast(Units, word)


def inch(value_in: float, parts: int = 64) -> str:
    """A length in inches as it is said: a fraction when it lies within 0.0005 in of one of `parts`, else a decimal.

    >>> inch(0.5625), inch(26.9875 / 25.4), inch(0.571)
    ('9/16 in', '1-1/16 in', '0.571 in')
    """
    steps = round(abs(value_in) * parts)
    if abs(steps / parts - abs(value_in)) > 0.0005:
        return f"{_trim(value_in, 3 if abs(value_in) < 4 else 2)} in"
    sign = "-" if value_in < 0 and steps else ""
    whole, over = divmod(steps, parts)
    if not over:
        return f"{sign}{whole} in"
    below = parts
    while over % 2 == 0 and below % 2 == 0:
        over, below = over // 2, below // 2
    return f"{sign}{f'{whole}-' if whole else ''}{over}/{below} in"


def format_length(value_mm: float, units: Units = "both") -> str:
    """A length given in mm, printed in inch (fractions where they fit), metric (0.1 mm) or both.

    >>> format_length(622.3, "inch"), format_length(622.3, "metric")
    ('24-1/2 in', '622 mm')
    """
    return _pair(value_mm / MM_PER_IN, inch, value_mm, lambda mm: f"{_trim(mm, 1 if abs(mm) < 200 else 0)} mm", units)


def format_least_length(value_mm: float, units: Units = "both") -> str:
    """A length in mm that is the least allowed, such as a bend radius: rounded up to sixteenths of an inch and to whole mm.

    >>> format_least_length(151.2), format_least_length(127.0, "inch")
    ('6 in (152 mm)', '5 in')
    """
    up_in, up_mm = ceil(value_mm / MM_PER_IN * 16 - 1e-6) / 16, ceil(value_mm - 1e-6)
    return _pair(up_in, lambda v: inch(v, 16), up_mm, lambda mm: f"{mm:g} mm", units)


def format_reached_length(value_mm: float, units: Units = "both") -> str:
    """A reckoned length in mm that is held against the least allowed: rounded down to sixteenths of an inch and to whole mm.

    >>> format_reached_length(151.2), format_reached_length(127.0, "inch")
    ('5-15/16 in (151 mm)', '5 in')
    """
    down_in, down_mm = floor(value_mm / MM_PER_IN * 16 + 1e-6) / 16, floor(value_mm + 1e-6)
    return _pair(down_in, lambda v: inch(v, 16), down_mm, lambda mm: f"{mm:g} mm", units)


def format_pressure(psi: float, units: Units = "both") -> str:
    """A pressure given in psi, printed in psi, bar or both.

    >>> format_pressure(2750), format_pressure(2750, "inch")
    ('2750 psi (190 bar)', '2750 psi')
    """
    return _pair(psi, lambda v: f"{_trim(v, 0 if abs(v) >= 20 else 1)} psi",
                 psi / PSI_PER_BAR, lambda v: f"{_trim(v, 0 if abs(v) >= 100 else 1)} bar", units)


def format_torque(nm: float, units: Units = "both") -> str:
    """A torque given in N·m, printed in lbf·ft (lbf·in when small), N·m or both.

    >>> format_torque(47.0), format_torque(10.0, "inch")
    ('35 lbf·ft (47 N·m)', '89 lbf·in')
    """
    feet = nm / NM_PER_LBF_FT
    return _pair(feet, lambda v: f"{_trim(v, 0)} lbf·ft" if abs(v) >= 10 else f"{_trim(v * 12, 0)} lbf·in",
                 nm, lambda v: f"{_trim(v, 0 if abs(v) >= 10 else 1)} N·m", units)


def format_torque_band(low_nm: float, high_nm: float, units: Units = "both") -> str:
    """A torque band given in N·m, printed in lbf·ft, N·m or both, in lbf·ft never wider than it is.

    >>> format_torque_band(56, 85), format_torque_band(3.5, 6.5, "inch"), format_torque_band(73, 73, "metric")
    ('42-62 lbf·ft (56-85 N·m)', '2.6-4.7 lbf·ft', '73 N·m')
    """
    low, high = low_nm / NM_PER_LBF_FT, high_nm / NM_PER_LBF_FT
    step = 1 if ceil(low) <= floor(high) and low >= 10 else 0.1
    inner = [ceil(low / step) * step, floor(high / step) * step]
    # nothing round lies within a single figure
    said = inner if inner[0] <= inner[1] else [round(low / step) * step, round(high / step) * step]
    inch_said, metric_said = f"{_range(said[0], said[1])} lbf·ft", f"{_range(low_nm, high_nm)} N·m"
    return inch_said if units == "inch" else metric_said if units == "metric" else f"{inch_said} ({metric_said})"


def _range(low: float, high: float) -> str:
    return "-".join(dict.fromkeys(f"{round(each, 2):g}" for each in (low, high)))


def format_flow(gpm: float, units: Units = "both") -> str:
    """A flow given in US gpm, printed in gpm, L/min or both.

    >>> format_flow(11)
    '11 gpm (41.6 L/min)'
    """
    def said(value: float) -> str:
        return _trim(value, 1 if abs(value) >= 1 else 2)

    return _pair(gpm, lambda v: f"{said(v)} gpm", gpm * L_PER_GAL, lambda v: f"{said(v)} L/min", units)


def format_force(lbf: float, units: Units = "both") -> str:
    """A force given in lbf, printed in lbf, kN or both.

    >>> format_force(13499.0)
    '13499 lbf (60 kN)'
    """
    return _pair(lbf, lambda v: f"{_trim(v, 0)} lbf", lbf * N_PER_LBF / 1000, lambda v: f"{_trim(v, 1)} kN", units)


def format_temperature(celsius: float, units: Units = "both") -> str:
    """A temperature given in °C, printed in °F, °C or both.

    >>> format_temperature(60)
    '140 °F (60 °C)'
    """
    return _pair(celsius * 1.8 + 32, lambda v: f"{_trim(v, 0)} °F", celsius, lambda v: f"{_trim(v, 0)} °C", units)


def format_volume(gal: float, units: Units = "both") -> str:
    """A volume given in US gallons, printed in gal, L or both.

    >>> format_volume(0.34)
    '0.34 gal (1.29 L)'
    """
    return _pair(gal, lambda v: f"{_trim(v, 2)} gal", gal * L_PER_GAL, lambda v: f"{_trim(v, 2)} L", units)


def format_power(hp: float, units: Units = "both") -> str:
    """A power given in hp, printed in hp, kW or both.

    >>> format_power(17.6)
    '17.6 hp (13.1 kW)'
    """
    return _pair(hp, lambda v: f"{_trim(v, 1)} hp", hp * 550 * N_PER_LBF * 0.3048 / 1000, lambda v: f"{_trim(v, 1)} kW", units)


def format_speed(fps: float, units: Units = "both") -> str:
    """A velocity of oil given in ft/s, printed in ft/s, m/s or both.

    >>> format_speed(15)
    '15 ft/s (4.6 m/s)'
    """
    return _pair(fps, lambda v: f"{_trim(v, 1)} ft/s", fps * 0.3048, lambda v: f"{_trim(v, 1)} m/s", units)


def _pair(inch_value: float, in_inch: Callable[[float], str], metric_value: float, in_metric: Callable[[float], str],
          units: Units) -> str:
    if units == "inch":
        return in_inch(inch_value)
    if units == "metric":
        return in_metric(metric_value)
    return f"{in_inch(inch_value)} ({in_metric(metric_value)})"


def _trim(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def round_up(value: float, step: float) -> float:
    """The next multiple of `step` at or above `value`, same unit; 1e-9 of a step above a multiple counts as on it.

    >>> round_up(24.17, 0.5)
    24.5
    """
    return ceil(value / step - 1e-9) * step
