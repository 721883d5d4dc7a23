"""Lines whose kind is not what their ends are for: a suction that no pump draws from, a case drain on another line."""

from collections.abc import Iterator

from fittings.circuit import Finding
from fittings.circuit.rules import because
from fittings.job.model import Component, Line
from fittings.job.port_names import is_drain, is_surely_drain


def no_suction(ends: list[tuple[Component, str]]) -> Iterator[Finding]:
    """A suction line leads from a tank to the inlet of a pump; any other sees pressure."""
    kinds = {component.kind for component, _ in ends}
    if kinds & {"tank", "filter"} and kinds <= {"tank", "filter", "pump"}:
        return
    names = " and ".join(f"{component.name}.{port}" for component, port in ends)
    if kinds <= {"tank", "filter", "pump", None} and kinds & {"tank", "filter", "pump"}:
        yield Finding("suction-unknown", "warn", "a suction line leads from a tank to a pump, and holds no pressure: "
                      f"{names} must be that; write kind = \"tank\" or \"pump\" into the component", ("practice",))
    else:
        yield Finding("suction-elsewhere", "refuse", "a suction line leads from a tank to a pump, and its hose holds next to no "
                      f"pressure: {names} can see the pump's", ("practice",))


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
