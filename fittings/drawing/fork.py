"""A tee or cross: which of its ends lies where, how long its legs are, and the outline of its body."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from fittings.chain import Used
from fittings.drawing.bodies import Size, flats_of, thread_past_wall_mm
from fittings.drawing.solids import Shape
from fittings.drawing.svg import Point
from fittings.ends import End
from fittings.envelopes import envelope
from fittings.outlets import directions, places
from fittings.parts import Part

_WORDS = {"A": "two sources", "B": "one source", "C": "from memory"}


class Branch(NamedTuple):
    """What goes on from an open end of a tee: the parts in order, and what they lead to (None: nothing is drawn on it, and
    `says` tells where it goes)."""

    opens: End
    uses: tuple[Used, ...] = ()
    leads_to: "End | Fork | None" = None
    says: str = ""


class Fork(NamedTuple):
    """A tee or cross as it stands in a run: the part, the end the run comes in at, and what goes on from each other end.

    One that a drawing begins with has nothing on its mouth; `says` tells where that comes from.
    """

    part: Part
    mouth: End
    branches: tuple[Branch, ...]
    says: str = ""

    @property
    def ends(self) -> tuple[End, ...]:
        """The mouth, then the end that each branch opens with."""
        return self.mouth, *(branch.opens for branch in self.branches)


class Arm(NamedTuple):
    """One arm of a tee: its end, how far it is turned from the way the run comes in (0 straight on, 90 to the right, as a
    walker would turn; the mouth itself 180), the length of its leg in mm from the centre to the foot of its end, half its
    width, the radius of its passage, and of a bulkhead how far its long thread goes on before the end begins."""

    end: End
    turn_deg: float
    leg_mm: float
    half_mm: float
    bore_mm: float
    wall_mm: float


class Junction(NamedTuple):
    """The body of a tee: its arms, the mouth first, then in the order of the branches; its size."""

    arms: tuple[Arm, ...]
    size: Size


def junction(fork: Fork, shapes: Sequence[Shape]) -> Junction:
    """The body of a tee. `shapes` are those of its mouth and of what its branches open with, in that order.

    Legs are those of `data/parts/envelopes.csv`; where it has none they are estimates. Raises ValueError for a part
    without three or four ends, or when the ends are not those of the part.
    """
    part = fork.part
    numbers = places(part, fork.ends)
    found = envelope(part)
    flats = flats_of(part, *shapes)
    turns = _turns(part, numbers)
    wide = [max(of.neck_mm + 0.6, min(0.5 * flats, 1.6 * of.neck_mm)) for of in shapes]
    halves = [max(wide[n] for n in _in_line(turns, turn)) for turn in turns]
    bores = [min(shapes[n].bore_mm for n in _in_line(turns, turn)) for turn in turns]
    least = max(halves) + 0.5
    arms, stretched = [], False
    for number, of, turn, half, bore in zip(numbers, shapes, turns, halves, bores, strict=True):
        last = number == len(part.ends) - 1
        wall = thread_past_wall_mm(None, of) if last and part.shape.startswith("bulkhead") else 0.0
        leg = 0.5 * flats + 0.75 * half
        if found is not None and found.leg_a_mm and not wall:
            leg = (found.leg_b_mm or found.leg_a_mm if last else found.leg_a_mm) - of.tip_mm
            stretched = stretched or leg < least
        arms.append(Arm(of.end, turn, max(leg, least), half, bore, wall))
    if found is not None and found.leg_a_mm:
        lengths = list(dict.fromkeys(each for each in (found.leg_a_mm, found.leg_b_mm) if each))
        says = f"legs {_places_for(lengths)} {{unit}} from the centre ({_WORDS[found.confidence]})"
    else:
        lengths = sorted({round(arm.leg_mm + arm.wall_mm + of.tip_mm) for arm, of in zip(arms, shapes, strict=True)})
        says = f"legs about {_places_for(lengths)} {{unit}} from the centre: an estimate"
    return Junction(tuple(arms), Size(says, tuple(lengths), found is None or not found.leg_a_mm, stretched))


def _places_for(lengths: Sequence[float]) -> str:
    """Where the lengths of a size stand in its words."""
    return " and ".join(f"{{{n}}}" for n in range(len(lengths)))


def _in_line(turns: Sequence[float], turn: float) -> list[int]:
    """The arms that lie on one line with an arm, itself among them."""
    return [number for number, each in enumerate(turns) if (each - turn) % 180.0 == 0.0]


def _turns(part: Part, numbers: Sequence[int]) -> list[float]:
    looks = directions(part)
    mouth = looks[numbers[0]]
    turns = [(looks[number] - mouth + 180.0 + 180.0) % 360.0 - 180.0 for number in numbers]
    turns[0] = 180.0
    # the first branch off the run lies to the right, which is below when the run goes to the right
    sides = [turn for turn in turns[1:] if abs(turn) == 90.0]
    return [-turn if abs(turn) == 90.0 else turn for turn in turns] if sides and sides[0] < 0 else turns


def outline(centre: Point, feet: Sequence[Point], halves: Sequence[float]) -> list[list[Point]]:
    """The sides of a body of arms that stand at right angles: one run of lines from each foot to the next around it.

    `halves` half the width of each arm, in the unit of the page.
    """
    order = sorted(zip(feet, halves, strict=True), key=lambda arm: math.atan2(arm[0][1] - centre[1], arm[0][0] - centre[0]))
    sides = []
    for (foot, half), (following, other_half) in zip(order, [*order[1:], order[0]], strict=True):
        one, other = _way(centre, foot), _way(centre, following)
        start = foot[0] - one[1] * half, foot[1] + one[0] * half
        stop = following[0] + other[1] * other_half, following[1] - other[0] * other_half
        square = abs(one[0] * other[0] + one[1] * other[1]) < 0.5
        corner = centre[0] + one[0] * other_half + other[0] * half, centre[1] + one[1] * other_half + other[1] * half
        sides.append([start, *([corner] if square else []), stop])
    return sides


def _way(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length
