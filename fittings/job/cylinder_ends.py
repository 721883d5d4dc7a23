"""The two ends of a cylinder in a job: its measures, which end a port is, and which of them oil is fed into."""

from fittings.circuit.cylinder import Cylinder, cylinder
from fittings.job.model import Component, end_named


def shape_of(component: Component) -> Cylinder | None:
    """The cylinder of a component, None when it is none or its measures are not given."""
    size = component.cylinder
    return None if size is None else cylinder(size.bore_in, size.rod_in, size.stroke_in)


def ratio(component: Component) -> float:
    """How much more leaves the cap end on retract than is fed in at the rod end; 1 when one of the two is not fed with oil."""
    shape = shape_of(component)
    return shape.phi if shape is not None and shape.rod_in and rod_end_fed(component) and cap_end_fed(component) else 1.0


def rod_end_fed(component: Component) -> bool:
    """Whether oil is fed into the rod end of a cylinder: it has a port there that is not open to the air."""
    return any(side_of(component, port) == "rod" for port in component.ports) and not any(
        end_named(each) == "rod" for each in component.vented)


def cap_end_fed(component: Component) -> bool:
    """Whether oil can be fed into the cap end of a cylinder: it is not open to the air. Else it only pulls."""
    return not any(end_named(each) == "cap" for each in component.vented)


def side_of(component: Component, port: str) -> str:
    """`cap` or `rod` for a cylinder's port, '' for any other."""
    return end_named(port) if component.is_cylinder else ""
