"""What the sheet draws of each line: from its port through adapters and hose to its other port, or to its tee; of a line
that splits, each leg on from the tee."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from fittings.drawing.chain import Sketch
from fittings.drawing.diagram import leg_mark
from fittings.drawing.fork import Branch, Fork
from fittings.ends import End
from fittings.job.bill import hose_words
from fittings.job.result import PlannedLine
from fittings.parts import Part
from fittings.planner import Joint, Used
from fittings.units import Units


class Drawn(NamedTuple):
    """A line or leg with the mark it has on the sheet and its drawing (None: there is nothing to draw)."""

    mark: str
    line: PlannedLine
    leg: bool
    sketch: Sketch | None


def drawn_lines(lines: Sequence[PlannedLine], units: Units) -> Iterator[Drawn]:
    """Every line and, behind it, its legs, in the order of the plan."""
    for number, line in enumerate(lines, 1):
        yield Drawn(str(number), line, False, line_sketch(line, units))
        for n, leg in enumerate(line.branches):
            yield Drawn(leg_mark(number, n), leg, True, leg_sketch(line, n, units))


def line_sketch(line: PlannedLine, units: Units) -> Sketch | None:
    """What is to be drawn of a planned line, without its legs; None when it is refused or nothing is known of it."""
    if line.refused is not None:
        return None
    joints = tuple(each.joint for each in line.joints)
    if line.tees:
        return _sketch(line, line.start, _uses(line), _forks(line)[0], joints, units)
    finish = line.finish or (joints[-1].b if joints else None)
    if finish is None or not joints:
        return None
    return _sketch(line, line.start, _uses(line), finish, joints, units)


def leg_sketch(line: PlannedLine, number: int, units: Units) -> Sketch | None:
    """What is to be drawn of a leg of a line that splits: its tee, turned to it, and all that goes on from there."""
    leg = line.branches[number]
    if line.refused is not None or leg.refused is not None or leg.finish is None or not line.tees:
        return None
    for fork in _forks(line):
        branches = list(fork.branches)
        mine = next((n for n, branch in enumerate(branches) if branch.says == _leads(leg)), None)
        if mine is None:
            continue
        branches = [branch if branch.leads_to is None else branch._replace(leads_to=None, says="to the next tee") for branch in branches]
        branches[mine] = Branch(branches[mine].opens, _uses(leg), leg.finish)
        return _sketch(leg, fork._replace(branches=tuple(branches)), (), None, tuple(each.joint for each in leg.joints), units)
    return None


def _sketch(line: PlannedLine, start: End | Fork, uses: Sequence[Used], finish: End | Fork | None, joints: Sequence[Joint],
            units: Units) -> Sketch:
    rated = [(joint.rating.psi if joint.rating else -1, n) for n, joint in enumerate(joints)]
    hose = hose_words(line.hose, units) if line.hose is not None else ""
    shown = () if isinstance(start, Fork) else uses
    about = "; ".join(used.part.say for used in uses)
    return Sketch(f"{line.from_ref} to {line.to_ref}", about, start, finish, shown, joints, min(rated)[1] if rated else None, hose)


def _uses(line: PlannedLine) -> tuple[Used, ...]:
    crimped = line.hose.ends if line.hose is not None else ()
    return (*line.from_parts, *crimped, *line.to_parts)


def _leads(leg: PlannedLine) -> str:
    return f"to {leg.to_ref}"


def _forks(line: PlannedLine) -> list[Fork]:
    """The tee of a line with where each of its outlets leads; of two hung on each other both, the first holding the second."""
    inner = [each.joint for each in line.joints[len(line.joints) - len(line.tees) + 1:]]
    outer = line.joints[: len(line.joints) - len(inner)]
    first, mouth = line.tees[0], outer[-1].joint.b
    legs = list(line.branches)
    if not inner:
        branches = [Branch(end, says=_leads(leg)) for end, leg in zip(_outlets(first, mouth), legs, strict=True)]
        return [Fork(first, mouth, tuple(branches), f"from {line.from_ref}")]
    (hung,) = inner
    second = Fork(line.tees[1], hung.b, tuple(
        Branch(end, says=_leads(leg)) for end, leg in zip(_outlets(line.tees[1], hung.b), legs[1:], strict=True)), "from the tee before it")
    kept = _outlets(first, mouth)
    kept.remove(hung.a)
    onward = (Branch(kept[0], says=_leads(legs[0])), Branch(hung.a, leads_to=second))
    return [Fork(first, mouth, onward, f"from {line.from_ref}"), second]


def _outlets(part: Part, mouth: End) -> list[End]:
    found = list(part.ends)
    found.remove(mouth)
    return found
