"""Plain check valves: which way round they stand, and what does not come back through them."""

from collections.abc import Iterator

from fittings.circuit import Finding
from fittings.circuit.rules import because
from fittings.job.between import Block, blocks_between
from fittings.job.cylinder_ends import side_of
from fittings.job.kinds import Nature, nature_of
from fittings.job.model import Component, Job, Line
from fittings.job.port_names import role_of
from fittings.job.stream import Circuit

GOES = {"cap": ("go out", "go in"), "rod": ("go in", "go out")}
"""What a cylinder does while oil is fed into an end, and while it leaves there."""


def check_valve(component: Component) -> Nature | None:
    """What makes a component a plain check valve, by its kind or its name; None where it is none."""
    nature = nature_of(component, "shuts")
    return nature if nature is not None and nature.kind == "check valve" else None


def one_way_told(job: Job, circuit: Circuit) -> Iterator[Finding]:
    """Plain check valves in the work line of a cylinder, in which oil must go both ways."""
    for line in job.paths:
        for component, port in circuit.ends(line) if line.kind == "work" else ():
            for block in blocks_between(circuit.stream(line, [component.name]), component) if component.is_cylinder else ():
                yield from _one_way(circuit, component, side_of(component, port), block)


def _one_way(circuit: Circuit, cylinder: Component, side: str, block: Block) -> Iterator[Finding]:
    nature, line = check_valve(block.component), block.near.line
    ends = circuit.ends(line)
    if nature is None or line.can_close is False or len(ends) > 2:
        return  # beside a tee another way may lead round it
    near = next(port for of, port in ends if of is block.component)
    fed, left = GOES[side]
    found = {
        "outlet": f"As its ports are named it lets oil in at the {side} end and none out: {cylinder.name} can {fed}, and not {left} again",
        "inlet": f"As its ports are named it lets oil out at the {side} end and none in: {cylinder.name} cannot {fed}",
    }.get(role_of(near), f"With its arrow to {cylinder.name} that can {fed} and not {left} again, the other way round it cannot {fed}: "
          "which way round does it stand? Call its ports in and out")
    yield Finding(
        "check-one-way", "warn",
        f"{nature.told_of(block.component.name)}, in the line at the {side} end of {cylinder.name}, and in a work line oil goes both ways. "
        f"{found}. What must let oil by both ways is a pilot-operated check, or a flow control with a check; where another way leads round "
        f"it, write can_close = false into line {line.name}", because("one-way"))


def return_check_told(line: Line, component: Component, port: str) -> Iterator[Finding]:
    """Which way round a plain check valve stands in a return that comes in at one of its ports."""
    nature = check_valve(component)
    if nature is None or line.can_close is False:
        return
    is_ = f"{nature.told_of(component.name)}, and this is a return"
    if role_of(port) == "outlet":
        yield Finding(
            "return-check", "refuse", f"{is_} that comes in at its port {port}: as its ports are named it stands the wrong way round and "
            "shuts the return, and what is behind it sees the relief pressure or more. Turn it round, or call its ports as they are",
            because("one-way"))
    elif role_of(port) == "inlet":
        yield Finding("return-check", "info", f"{is_}: its arrow points to the tank, and what it takes to open comes on top of what is "
                      "held back; the wrong way round it shuts the return", because("one-way"))
    else:
        yield Finding(
            "return-check", "warn", f"{is_}: see that its arrow points to the tank, and call its ports in and out. The wrong way round it "
            "shuts the return, and what is behind it sees the relief pressure or more", because("one-way"))
