"""Lines whose kind is not what their ends are for: a suction that no pump draws from, a case drain on another line, a drain that begins
where no case is; and lines to the tank or from it that something can shut."""

from collections.abc import Iterator

from fittings.circuit import Finding
from fittings.circuit.rules import because
from fittings.job.cylinder_ends import cap_end_fed, rod_end_fed, side_of
from fittings.job.kinds import nature_of
from fittings.job.model import Component, Line
from fittings.job.port_names import is_drain, is_surely_drain, role_of
from fittings.job.stream import Circuit, is_tank, through_coupler


def no_suction(ends: list[tuple[Component, str]], circuit: Circuit) -> Iterator[Finding]:
    """A suction line leads from a tank to the inlet of a pump, at most through filters; any other sees pressure."""
    on_way = [component for component, _ in ends if component.kind == "filter" or _shut_off(component)]
    kinds = {"filter" if component in on_way else component.kind for component, _ in ends}
    pressed = any(component.kind == "pump" and role_of(port) in ("pressure", "outlet") for component, port in ends) or any(
        each.kind != "suction" for component in on_way for each in circuit.touching[component.name])
    if not pressed and kinds & {"tank", "filter"} and kinds <= {"tank", "filter", "pump"}:
        return
    names = " and ".join(f"{component.name}.{port}" for component, port in ends)
    if not pressed and kinds <= {"tank", "filter", "pump", None} and kinds & {"tank", "filter", "pump"}:
        yield Finding("suction-unknown", "warn", "a suction line leads from a tank to a pump, and holds no pressure: "
                      f"{names} must be that; write kind = \"tank\" or \"pump\" into the component", ("practice",))
    else:
        yield Finding("suction-elsewhere", "refuse", "a suction line leads from a tank to a pump, and its hose holds next to no "
                      f"pressure: {names} can see the pump's", ("practice",))


def _shut_off(component: Component, written: bool = False) -> bool:
    """Whether a component is a shut-off valve, by its kind or its name; with `written` only by its kind."""
    nature = nature_of(component, "shuts")
    return nature is not None and nature.kind == "shut-off valve" and (nature.written or not written)


def drain_elsewhere(line: Line, ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """A case drain on a line that is none. A bare D or L is also a name of other ports, so it is asked about, and only on a return."""
    for component, port in ends:
        if component.kind not in ("motor", "pump") or not is_drain(port):
            continue
        if is_surely_drain(port):
            yield Finding(
                "drain-elsewhere", "refuse", f"{component.name}.{port} is a case drain, and this line is of kind {line.kind}: in any "
                "other line it sees more than the shaft seal stands. Write kind = \"drain\" and lead it alone to the tank",
                because("drain-alone"))
        elif line.kind == "return":
            yield Finding(
                "drain-elsewhere", "warn", f"is {component.name}.{port} its case drain? Then this line is of kind = \"drain\" and goes "
                "alone to the tank", because("drain-alone"))


def pack_tanks(ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """The T of a power pack, which has a tank of its own."""
    for component, port in ends:
        if component.kind == "pump" and is_tank(component, port):
            yield Finding("power-pack-tank", "info", f"{component.name}.{port} is taken for the opening of the tank that {component.name} "
                          "has itself; where it is another port, call it by its name", ("practice",))


def return_shut(line: Line, ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """A return that something can shut: by the line's own word, or a shut-off valve by its kind."""
    if line.can_close or (line.can_close is None and any(_shut_off(component, written=True) for component, _ in ends)):
        yield Finding(
            "return-shut", "refuse", "something can shut this return: what is behind it then sees the relief setting, and while a cylinder "
            "is pushed out more than that, by its ratio of areas; the tank port of a valve and shaft seals stand neither. Take out what "
            "can shut it, or lock it open so that it cannot, and write can_close = false", because("return-shut"))


def pump_shut(line: Line, ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """A pump's own line that something can shut, or that a coupler can: the relief in the valve behind it is then cut off."""
    if any(component.kind == "pump" for component, _ in ends) and (
            line.can_close or through_coupler(ends) or (
                line.can_close is None and any(_shut_off(component) for component, _ in ends))):
        yield Finding(
            "pump-shut", "warn", "this is the pump's own line, and it can be shut: a relief in the valve behind it is then cut off, and "
            "nothing limits what the pump gives. The relief must sit between the pump and whatever can shut", because("pump-relief"))


def suction_shut(line: Line, ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """A suction that something can shut."""
    if line.can_close or (line.can_close is None and any(_shut_off(component) for component, _ in ends)):
        yield Finding(
            "suction-shut", "warn", "something can shut this suction: shut, or half shut, it starves the pump, which is soon ruined. "
            "Only a valve of full bore that is locked open, or whose switch keeps the engine from starting", because("suction-open"))


def no_drain(ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """Ends of a drain that are no case: what comes out there is what the pump drives, not what leaks past a seal."""
    for component, port in ends:
        name = f"{component.name}.{port}"
        if component.is_cylinder:
            yield Finding(
                "drain-no-case", "refuse", f"a drain begins at the case of a motor or pump: {name} is an end of a cylinder, and what the "
                "pump drives comes out there. Write kind = \"work\" where it leads to a valve, kind = \"return\" where it leads to a tank",
                because("drain-begins"))
        elif not (_is_way_on(component, port) or is_drain(port) or (component.kind not in ("motor", "pump") and role_of(port) == "pilot")):
            yield Finding(
                "drain-no-case", "refuse", f"a drain begins at the case of a motor or pump, or at the drain or pilot port of a valve: "
                f"{name} is none by its name, and what the pump drives may come out there. Find out from the maker's sheet; where it is a "
                "drain, call it drain, else write kind = \"return\"", because("drain-begins"))


def drain_shut(line: Line, ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """A case drain that something can shut, or that goes through a quick coupler."""
    if line.can_close:
        yield Finding("drain-shut", "refuse", "something can shut this drain: shut, the pump's pressure comes into the case and blows the "
                      "shaft seal. Take out what can shut it, or lock it open so that it cannot, and write can_close = false",
                      because("drain-alone"))
    for component, port in ends:
        if through_coupler([(component, port)]):
            yield Finding(
                "drain-coupler", "warn", f"{component.name}.{port} is a quick coupler in a case drain: parted, or not fully home, it shuts "
                "the drain, and the shaft seal goes the moment the motor turns. Join it first and part it last, see that it is home before "
                "every start, never run the motor with it parted; a drain without a coupler is safer", because("drain-coupler"))


def drain_alone(ends: list[tuple[Component, str]]) -> bool:
    """Whether a drain leads straight to a tank, or to the coupler of a machine that has it, with nothing but drains on it."""
    tanks = [_is_way_on(component, port) and component.kind != "filter" for component, port in ends]
    return any(tanks) if len(ends) == 2 else tanks[0] and not any(tanks[1:])


def _is_way_on(component: Component, port: str) -> bool:
    """Whether a drain leads on from a port: a tank, the machine's coupler, a filter."""
    return is_tank(component, port) or component.kind in ("coupler", "filter")


def both_ways(line: Line, ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """A line at an end of a cylinder that is called a pressure line or a return: what a work line is reckoned with is left out."""
    for component, port in ends:
        if side_of(component, port) and rod_end_fed(component) and cap_end_fed(component):
            rod = side_of(component, port) == "rod"
            yield Finding(
                "both-ways", "refuse" if rod else "warn",
                f"oil goes both ways at {component.name}.{port}, and this line is of kind {line.kind}: "
                + ("what its rod side reaches when something shuts it is" if rod else "what leaves its cap end while it goes in is")
                + ' reckoned for kind = "work" only; write that', because("retract-flow"))


def regeneration(ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """Both ends of one cylinder on one line: the oil of its rod end goes into its cap end, and no longer to the tank."""
    for name in dict.fromkeys(component.name for component, _ in ends if component.is_cylinder):
        if len({side_of(component, port) for component, port in ends if component.name == name}) > 1:
            yield Finding(
                "regeneration", "refuse", f"both ends of {name} are on one line: the oil of its rod end then helps to fill its cap end, "
                "it goes out faster and pushes only with the area of its rod. That is not planned here: it takes a valve made for it. Give "
                "each end a line of its own", because("regeneration"))
