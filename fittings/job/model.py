"""The job file as data: system, components with their ports, lines between them, limits.

`read_job(text)` gives the job, or every mistake at once with its line. The keys are those of the file; what a quantity is
held in stands in the name of the field (`relief_psi` is the file's `relief`).
"""

from functools import cached_property
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from fittings.circuit import oil as oils
from fittings.job.mistakes import wrong_value
from fittings.job.quantities import (
    BODIES,
    KIND_LIKE,
    BackBy,
    Celsius,
    Centre,
    Count,
    Degrees,
    Family,
    FilePathText,
    Gpm,
    HoseEnd,
    HoseSize,
    HoseType,
    Inches,
    Kind,
    LineKindText,
    LoadActs,
    Material,
    Name,
    OilGrade,
    Port,
    PortOf,
    Pounds,
    PrintUnits,
    Psi,
    RodInches,
    Shape,
    YesNo,
)

DEFAULT_OIL = "ISO VG 46"
DEFAULT_COLD_C, DEFAULT_HOT_C = 0.0, 60.0


class Strict(BaseModel):
    """A table of the job file: a key that it does not know is a mistake."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False)


class Temperature(Strict):
    """Coldest start and hottest oil, °C."""

    cold_c: Celsius = Field(DEFAULT_COLD_C, alias="cold")
    hot_c: Celsius = Field(DEFAULT_HOT_C, alias="hot")


class System(Strict):
    """Relief setting (psi), pump flow (US gpm), oil, temperatures."""

    relief_psi: Psi = Field(alias="relief")
    flow_gpm: Gpm = Field(alias="flow")
    oil: OilGrade | None = None
    temperature: Temperature | None = None

    @property
    def oil_used(self) -> oils.Oil:
        return self.oil or oils.oil(DEFAULT_OIL)

    @property
    def temperature_used(self) -> Temperature:
        return self.temperature or Temperature.model_validate({})


class CylinderSize(Strict):
    """Bore, rod and stroke in inches; the load it moves in lbf, when that is known, and whether it
    `pushes` the rod in or `pulls` it out."""

    bore_in: Inches = Field(alias="bore")
    rod_in: RodInches = Field(alias="rod")
    stroke_in: Inches | None = Field(None, alias="stroke")
    load_lbf: Pounds | None = Field(None, alias="load")
    load_acts: LoadActs | None = None


class FitAsked(Strict):
    """The place that a cylinder must fit, in inches: its closed length and the pins' distances, the cylinder it replaces, eye and
    gap, pin and hole, port and what stands in its way."""

    closed_in: Inches | None = Field(None, alias="closed")
    retracted_in: Inches | None = Field(None, alias="retracted")
    extended_in: Inches | None = Field(None, alias="extended")
    replaces: CylinderSize | None = None
    eye_in: Inches | None = Field(None, alias="eye")
    gap_in: Inches | None = Field(None, alias="gap")
    pin_in: Inches | None = Field(None, alias="pin")
    hole_in: Inches | None = Field(None, alias="hole")
    port_from_pin_in: Inches | None = Field(None, alias="port_from_pin")
    obstacle_from_pin_in: Inches | None = Field(None, alias="obstacle_from_pin")


Ports = dict[str, Port]


def end_named(port: str) -> str:
    """The end of a cylinder that a port is named for: `cap` or `rod`; '' for a port with any other name.

    >>> end_named("Rod 2")
    'rod'
    """
    return next((end for end in ("cap", "rod") if port.lower().startswith(end)), "")


def _ports(typed: object) -> object:
    if not isinstance(typed, dict) or not typed:
        raise wrong_value(typed, "the ports of a component are named one by one",
                          'ports = { A = "ORB -8 port", B = "ORB -8 port" }')
    return typed


def _seats(typed: object) -> object:
    if not isinstance(typed, dict) or not typed:
        raise wrong_value(typed, "which port of it sits on which port is wanted here", 'on = { C = "ram.cap" }')
    return typed


Seats = Annotated[dict[Name, PortOf], BeforeValidator(_seats)]


class Component(Strict):
    """One thing with ports. `psi` the maker's rating; `back_driven` something else can push this cylinder while its valve
    is shut; `vented` ports left open to the air on purpose; `centre` of a valve; `back_by` what
    brings a cylinder back that oil does not; `bypass` the pressure at which that of a filter opens; `material` of the body that its
    ports are in; `on` which of its ports sit on ports of a cylinder or motor, no hose between."""

    name: Name
    kind_given: Kind | None = Field(None, alias="kind")
    ports: Annotated[Ports, BeforeValidator(_ports)]
    cylinder: CylinderSize | None = None
    fit: FitAsked | None = None
    psi: Psi | None = None
    back_driven: YesNo | None = None
    vented: list[Name] = []
    centre: Centre | None = None
    back_by: BackBy | None = None
    bypass_psi: Psi | None = Field(None, alias="bypass")
    material: Material | None = None
    on: Seats | None = None

    @property
    def kind(self) -> str | None:
        """What a component is as far as oil goes through it or ends in it: the plainer kind that the written one is like."""
        return None if self.kind_given is None else KIND_LIKE[self.kind_given]

    @property
    def other_than_steel(self) -> str:
        """The material of its body as the tables call it; '' for steel, and where none is said."""
        return BODIES.get(self.material or "", "")

    @property
    def is_cylinder(self) -> bool:
        return self.cylinder is not None or self.kind == "cylinder"

    @property
    def open_to_air(self) -> tuple[str, ...]:
        """The ports under `vented` that may be: an end of a cylinder, the breather of a tank; oil comes out of all others."""
        return tuple(self.vented) if self.is_cylinder or self.kind == "tank" else ()


class Swing(Strict):
    """A port that turns about a pivot: lengths in inches, angles in degrees (§8 of the format: see `fittings new`)."""

    pivot_to_from_in: Inches = Field(alias="pivot_to_from")
    pivot_to_to_in: Inches = Field(alias="pivot_to_to")
    angle_deg: Annotated[list[Degrees], Field(min_length=2, max_length=2)] = Field(alias="angle")
    from_points_deg: Degrees | None = Field(None, alias="from_points")
    to_points_deg: Degrees | None = Field(None, alias="to_points")


class Route(Strict):
    """Where a hose runs: port to port along the route in inches, or across a pivot."""

    length_in: Inches | None = Field(None, alias="length")
    swing: Swing | None = None


class AtPort(Strict):
    """What the room at a port asks for: shape of what is screwed in; free height above the port face, distance to the next port
    centre to centre, diameter of the flat round the port's mouth, all in inches."""

    shape: Shape | None = None
    room_in: Inches | None = Field(None, alias="room")
    next_port_in: Inches | None = Field(None, alias="next_port")
    spotface_in: Inches | None = Field(None, alias="spotface")


def _both_ends(typed: object) -> object:
    if isinstance(typed, str):
        return [typed, typed]
    if isinstance(typed, list) and len(typed) == 2:
        return typed
    raise wrong_value(typed, "a hose has two ends", 'ends = ["JIC -8 swivel", "JIC -8 swivel"], or one text for both')


class GivenHose(Strict):
    """A hose that is settled already: type, size, ends, angle between two bent ends. What is left out is chosen."""

    type: HoseType | None = None
    size: HoseSize | None = None
    ends: Annotated[list[HoseEnd] | None, BeforeValidator(_both_ends)] = None
    angle_deg: Degrees | None = Field(None, alias="angle")


class Branch(Strict):
    """One leg of a line that splits: where it goes, and what is known of its way."""

    to: PortOf
    route: Route | None = None
    at_to: AtPort | None = None
    hose: GivenHose | None = None


def _targets(typed: object) -> object:
    targets = [typed] if isinstance(typed, str) else typed
    if not isinstance(targets, list) or not targets:
        raise wrong_value(typed, "a port is wanted here", 'to = "lift cylinder.cap", or a list of ports for a line that splits')
    return targets


class Line(Strict):
    """One path of oil from a port to a port, or to several by a tee. `flow` and `pressure` when they are not the system's;
    `can_close`: whether something in this line can shut while the cylinder moves."""

    name: Name
    from_: PortOf = Field(alias="from")
    to: Annotated[list[PortOf], BeforeValidator(_targets)] = []
    kind: LineKindText = "work"
    flow_gpm: Gpm | None = Field(None, alias="flow")
    pressure_psi: Psi | None = Field(None, alias="pressure")
    can_close: YesNo | None = None
    route: Route | None = None
    at_from: AtPort | None = None
    at_to: AtPort | None = None
    hose: GivenHose | None = None
    branch: list[Branch] = []

    @property
    def targets(self) -> tuple[str, ...]:
        """Every port the line goes to."""
        return (*self.to, *(each.to for each in self.branch if each.to not in self.to))

    @property
    def references(self) -> tuple[str, ...]:
        """Every port that the line names, the one it begins at first."""
        return (self.from_, *self.targets)


class Seat(Line):
    """A port of a component that sits on a port of a cylinder or motor itself: a path of oil, and no hose. What the lines at the component
    say of it holds here too: whether anything can shut, what it is set to."""


class Limits(Strict):
    """What every line must keep to: families to avoid, adapters at either end of a hose at most, and with `full_bore` none narrower
    than the narrower of hose and port."""

    avoid: list[Family] = []
    max_parts: Count | None = None
    full_bore: YesNo = False


class Stock(Strict):
    """The shelf whose parts are used before any is bought: a file beside the job file."""

    file: FilePathText


class Job(Strict):
    """A whole job file."""

    title: Name = "Untitled job"
    units: PrintUnits = "both"
    system: System
    component: Annotated[list[Component], Field(min_length=1)]
    line: Annotated[list[Line], Field(min_length=1)]
    limits: Limits = Limits()
    stock: Stock | None = None

    @cached_property
    def places(self) -> dict[str, tuple[Component, str]]:
        """Every component and port by its reference, `valve.A`."""
        # where two readings of a reference are possible the longer name of a component is meant
        return {f"{component.name}.{port}": (component, port) for component in sorted(self.component, key=lambda each: len(each.name))
                for port in (*component.ports, *(component.on or ()))}

    @cached_property
    def seats(self) -> tuple[Seat, ...]:
        """Where a component sits on a port itself."""
        return tuple(self._seat(component, port, to) for component in self.component for port, to in (component.on or {}).items())

    def _seat(self, component: Component, port: str, to: str) -> Seat:
        own = [line for line in self.line if any(self.places[each][0] is component for each in line.references)]
        return Seat.model_construct(
            name=f"{component.name} on {to}", from_=f"{component.name}.{port}", to=[to], kind="work",
            can_close=False if any(line.can_close is False for line in own) else None,
            pressure_psi=max((line.pressure_psi for line in own if line.pressure_psi is not None), default=None))

    @cached_property
    def paths(self) -> tuple[Line, ...]:
        """Every path of oil: the lines, and the seats."""
        return (*self.line, *self.seats)

    @cached_property
    def used(self) -> frozenset[str]:
        """Every port that a line or a seat takes."""
        return frozenset(reference for path in self.paths for reference in path.references)

    @cached_property
    def _lines_at(self) -> dict[str, list[Line]]:
        found: dict[str, list[Line]] = {component.name: [] for component in self.component}
        for line in self.paths:
            for name in dict.fromkeys(self.port(each)[0].name for each in line.references):
                found[name].append(line)
        return found

    def port(self, reference: str) -> tuple[Component, str]:
        """The component and port name that `valve.A` means. Raises KeyError."""
        return self.places[reference]

    def touching(self, component: Component) -> list[Line]:
        """The lines and seats that begin or end at a component; which way round a line is written says nothing of the oil."""
        return self._lines_at[component.name]


def fields_of(model: type[BaseModel]) -> dict[str, Any]:
    """Keys of a table of the job file, as they are written there, with the field behind each."""
    return {field.alias or name: field for name, field in model.model_fields.items()}
