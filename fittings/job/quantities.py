"""The values of a job file as the models read them: quantities with a unit, ends, families, kinds of hose and oil."""

from collections.abc import Callable
from typing import Annotated, NamedTuple

from pydantic import BeforeValidator

from fittings import units
from fittings.circuit import LINE_KINDS, BadCircuit
from fittings.circuit import oil as oils
from fittings.circuit.hose import hose_sizes, hoses, size_of_dn
from fittings.ends import End
from fittings.job.mistakes import nearest, wrong_value
from fittings.limits import MOST_ALLOWED
from fittings.notation import BadText, read_end, read_family, read_shape
from fittings.ratings import materials
from fittings.tables import table
from fittings.units import BadQuantity


def _quantity(read: Callable[[str], float], example: str, at_most: float = 1e6, zero: bool = False,
              negative: bool = False) -> BeforeValidator:
    def value(typed: object) -> float:
        if isinstance(typed, (int, float)) and not isinstance(typed, bool):
            unit = example.split(" ", 1)[1]
            raise wrong_value(typed, "a bare number: the unit is missing", f'write it like "{typed:g} {unit}"')
        if not isinstance(typed, str):
            raise wrong_value(typed, "a number with its unit is wanted here", f'write it like "{example}"')
        try:
            number = read(typed)
        except BadQuantity as error:
            raise wrong_value(typed, error.why, f"write it like {error.example}") from None
        if not negative and (number < 0 or (number == 0 and not zero)):
            raise wrong_value(typed, "must be above 0", f'write it like "{example}"')
        if abs(number) > at_most:
            raise wrong_value(typed, "too large to be meant", f'write it like "{example}"')
        return number

    return BeforeValidator(value)


def _reader(read: Callable[..., float]) -> Callable[[str], float]:
    return lambda typed: read(typed)


Psi = Annotated[float, _quantity(_reader(units.pressure_psi), "2750 psi", at_most=20_000)]
Gpm = Annotated[float, _quantity(_reader(units.flow_gpm), "11 gpm", at_most=2000)]
Inches = Annotated[float, _quantity(_reader(units.length_in), "84 in", at_most=10_000)]
RodInches = Annotated[float, _quantity(_reader(units.length_in), "1.5 in", at_most=10_000, zero=True)]
Celsius = Annotated[float, _quantity(_reader(units.temperature_c), "60 C", at_most=400, negative=True)]
Pounds = Annotated[float, _quantity(_reader(units.force_lbf), "5000 lbf", at_most=1e7)]
Degrees = Annotated[float, _quantity(_reader(units.angle_deg), "90 deg", at_most=360, negative=True)]


class TypedEnd(NamedTuple):
    """An end as it was typed in the job file: the end, the text, and what it was taken for when something was left out."""

    end: End
    typed: str
    taken: str


def _end(place: str) -> BeforeValidator:
    def value(typed: object) -> TypedEnd:
        if not isinstance(typed, str) or not typed.strip():
            raise wrong_value(typed, "an end in words is wanted here", 'write it like "ORB -8 port"')
        try:
            reading = read_end(typed, place=place)
        except BadText as error:
            candidates = ", ".join(each.say for each in error.candidates[:4])
            ask = error.ask or "write it like ORB -8 port"
            raise wrong_value(typed, error.text, f"{ask} ({candidates})" if candidates else ask) from None
        if place == "port" and reading.end.family == "hose":
            raise wrong_value(typed, "a bare hose is no port: it has no end to be joined by", 'write the end that is crimped on it')
        return TypedEnd(reading.end, typed, reading.taken)

    return BeforeValidator(value)


Port = Annotated[TypedEnd, _end("port")]
HoseEnd = Annotated[TypedEnd, _end("loose")]


def _words(what: str, known: Callable[[], list[str]]) -> BeforeValidator:
    def value(typed: object) -> str:
        words = {each.lower(): each for each in known()}
        if not isinstance(typed, str) or typed.strip().lower() not in words:
            raise wrong_value(typed, f"not {what}", nearest(str(typed), known()))
        return words[typed.strip().lower()]

    return BeforeValidator(value)


KIND_LIKE = {row["kind"]: row["like"] for row in table("component-kinds")}
"""Kinds of component, each with the plainer one that it is like as far as oil goes through it or ends in it."""

Kind = Annotated[str, _words("a kind of component", lambda: list(KIND_LIKE))]
LineKindText = Annotated[str, _words("a kind of line", lambda: list(LINE_KINDS))]
PrintUnits = Annotated[units.Units, _words("how answers are printed", lambda: ["inch", "metric", "both"])]
BODIES = {each.removesuffix("-port"): each for each in materials() if not each.startswith("pipe-")}
"""Materials of a body other than steel, with what the tables call a port in it."""

_material = _words("a material that we have a rule for", lambda: ["steel", *BODIES])
Material = Annotated[str, _material, BeforeValidator(lambda typed: "aluminium" if str(typed).strip().lower() == "aluminum" else typed)]
Centre = Annotated[str, _words("a centre of a valve", lambda: ["open", "closed", "float", "motor"])]
LoadActs = Annotated[str, _words("a way in which a load acts", lambda: ["pushes", "pulls"])]
BackBy = Annotated[str, _words("what brings a cylinder back", lambda: ["load", "spring", "cylinder"])]


def _shape(typed: object) -> str:
    try:
        return read_shape(str(typed))
    except BadText:
        raise wrong_value(typed, "not a shape", 'a shape is "straight", "45" or "90"') from None


Shape = Annotated[str, BeforeValidator(_shape)]


def _oil(typed: object) -> oils.Oil:
    try:
        return oils.oil(str(typed))
    except BadCircuit:
        raise wrong_value(typed, "not an oil that we have figures for",
                          f"there are {', '.join(each.name for each in oils.oils())}") from None


OilGrade = Annotated[oils.Oil, BeforeValidator(_oil)]


def _family(typed: object) -> str:
    if not isinstance(typed, str):
        raise wrong_value(typed, "a family of ends is wanted here", 'write it like "npt"')
    try:
        return read_family(typed)
    except BadText as error:
        raise wrong_value(typed, error.text, error.ask or 'write it like "npt"') from None


Family = Annotated[str, BeforeValidator(_family)]


def _hose_type(typed: object) -> str:
    from fittings.circuit.hose import hose, older

    known = sorted({each.type for each in hoses()})
    for size in hose_sizes() if isinstance(typed, str) else ():
        try:
            now = hose(str(typed), size)
        except BadCircuit:
            continue
        then = older(str(typed), size)
        if then is None:
            return now.type
        raise wrong_value(
            typed, f"without a date it can be {then.say}, which holds less than today's {now.type}",
            f'write "{now.type}" where its lay line says S, SN or a later date, or where it is bought new, else "{then.type}"')
    raise wrong_value(typed, "not a hose type that we have figures for", nearest(str(typed), known))


HoseType = Annotated[str, BeforeValidator(_hose_type)]


def _hose_size(typed: object) -> str:
    """A hose size as people write it: `-8`, `8`, `1/2 in`, `12.7 mm`, `DN12`."""
    text = str(typed).strip().lower().removeprefix("#").removeprefix("dash ").removesuffix("hose").strip()
    dash = text.lstrip("-\u2212\u2013")
    if by_dn := size_of_dn(text):
        size = by_dn
    elif dash.isascii() and dash.isdigit():
        size = f"-{int(dash)}"
    else:
        try:
            sixteenths = units.length_in(text, "in") * 16
        except BadQuantity:
            sixteenths = 0.0
        size = f"-{round(sixteenths)}" if abs(sixteenths - round(sixteenths)) < 0.02 else ""
    if isinstance(typed, bool) or size not in hose_sizes():
        raise wrong_value(typed, "not a hose size",
                          f"there are {', '.join(hose_sizes())} (sixteenths of an inch of bore), or DN12 and the like")
    return size


HoseSize = Annotated[str, BeforeValidator(_hose_size)]


def _count(typed: object) -> int:
    if isinstance(typed, bool) or not isinstance(typed, int) or not 0 <= typed <= MOST_ALLOWED:
        raise wrong_value(typed, f"a whole number from 0 to {MOST_ALLOWED} is wanted here", "max_parts = 3")
    return typed


Count = Annotated[int, BeforeValidator(_count)]


LONGEST_NAME = 120


def _name(typed: object) -> str:
    if not isinstance(typed, str) or not typed.strip():
        raise wrong_value(typed, "a name in quotes is wanted here", 'write it like "valve"')
    if len(typed) > LONGEST_NAME:
        raise wrong_value(typed, f"a name of at most {LONGEST_NAME} signs is wanted here", 'write it like "valve"')
    return typed.strip()


Name = Annotated[str, BeforeValidator(_name)]


def _port_of(typed: object) -> str:
    if not isinstance(typed, str) or not typed.strip():
        raise wrong_value(typed, "a component and its port are wanted here", 'write it like "valve.A"')
    if len(typed) > 2 * LONGEST_NAME + 1:
        raise wrong_value(typed, f"names of a component and its port are at most {LONGEST_NAME} signs long each",
                          'write it like "valve.A"')
    return typed.strip()


PortOf = Annotated[str, BeforeValidator(_port_of)]
"""A port of a component, as a line names it: both names with a point between them."""


def _file(typed: object) -> str:
    if not isinstance(typed, str) or not typed.strip() or "\0" in typed or len(typed) > 1000:
        raise wrong_value(typed, "the name of a file is wanted here", 'write it like "shelf.csv"')
    return typed.strip()


FilePathText = Annotated[str, BeforeValidator(_file)]


def _yes_no(typed: object) -> bool:
    if not isinstance(typed, bool):
        raise wrong_value(typed, "true or false is wanted here, without quotes", "back_driven = false")
    return typed


YesNo = Annotated[bool, BeforeValidator(_yes_no)]
