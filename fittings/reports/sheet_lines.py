"""What the sheet draws of each line: from its port through adapters and hose to its other port, or to its tee; of a line
that splits, each leg on from the tee."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from fittings.chain import Joint, Used
from fittings.drawing.chain import Sketch
from fittings.drawing.diagram_ways import leg_mark
from fittings.drawing.fork import Branch, Fork
from fittings.ends import End
from fittings.job.bill import assembly_words
from fittings.job.result import PlannedLine
from fittings.parts import Part
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
        yield Drawn(str(number), line, False, line_sketch(line, units, number))
        for n, leg in enumerate(line.branches):
            yield Drawn(leg_mark(number, n), leg, True, leg_sketch(line, n, units, number))


def line_sketch(line: PlannedLine, units: Units, number: int = 1) -> Sketch | None:
    """What is to be drawn of a planned line, without its legs; None when it is refused or nothing is known of it.

    `number` of the line: the outlets of its tee lead to drawings that begin with it.
    """
    if line.refused is not None:
        return None
    joints = tuple(each.joint for each in line.joints)
    if line.tees:
        return _sketch(line, line.start, _uses(line), _forks(line, number)[0], joints, units)
    finish = line.finish or (joints[-1].b if joints else None)
    if finish is None or not joints:
        return None
    return _sketch(line, line.start, _uses(line), finish, joints, units)


def leg_sketch(line: PlannedLine, leg: int, units: Units, number: int = 1) -> Sketch | None:
    """What is to be drawn of a leg of a line that splits: its tee, turned to it, and all that goes on from there."""
    of = line.branches[leg]
    if line.refused is not None or of.refused is not None or of.finish is None or not line.tees:
        return None
    says = _leads(number, leg)
    fork = next(each for each in _forks(line, number) if says in [branch.says for branch in each.branches])
    branches = []
    for branch in fork.branches:
        if branch.says == says:
            branch = Branch(branch.opens, _uses(of), of.finish)
        elif branch.leads_to is not None:
            branch = Branch(branch.opens, says="to the next tee")
        branches.append(branch)
    return _sketch(of, fork._replace(branches=tuple(branches)), (), None, tuple(each.joint for each in of.joints), units)


def _sketch(line: PlannedLine, start: End | Fork, uses: Sequence[Used], finish: End | Fork | None, joints: Sequence[Joint],
            units: Units) -> Sketch:
    rated = [(joint.rating.psi if joint.rating else -1, n) for n, joint in enumerate(joints)]
    hose = assembly_words(line.hose, units) if line.hose is not None else ""
    shown = () if isinstance(start, Fork) else uses
    about = "; ".join(used.part.say for used in uses)
    weakest = min(rated)[1] if rated else None
    return Sketch(f"{line.from_ref} to {line.to_ref}", about, start, finish, shown, joints, weakest, hose, units)


def _uses(line: PlannedLine) -> tuple[Used, ...]:
    crimped = line.hose.ends if line.hose is not None else ()
    return (*line.from_parts, *crimped, *line.to_parts)


def _leads(number: int, leg: int) -> str:
    return f"to {leg_mark(number, leg)}"


def _forks(line: PlannedLine, number: int) -> list[Fork]:
    """The tee of a line with where each of its outlets leads; of two hung on each other both, the first holding the second."""
    inner = [each.joint for each in line.joints[len(line.joints) - len(line.tees) + 1:]]
    outer = line.joints[: len(line.joints) - len(inner)]
    first, mouth = line.tees[0], outer[-1].joint.b
    says = [_leads(number, n) for n in range(len(line.branches))]
    if not inner:
        branches = [Branch(opens, says=words) for opens, words in zip(_outlets(first, mouth), says, strict=True)]
        return [Fork(first, mouth, tuple(branches), f"from {number}")]
    (hung,) = inner
    outlets = zip(_outlets(line.tees[1], hung.b), says[1:], strict=True)
    second = Fork(line.tees[1], hung.b, tuple(Branch(opens, says=words) for opens, words in outlets), "from the tee before it")
    kept = _outlets(first, mouth)
    kept.remove(hung.a)
    onward = (Branch(kept[0], says=says[0]), Branch(hung.a, leads_to=second))
    return [Fork(first, mouth, onward, f"from {number}"), second]


def _outlets(part: Part, mouth: End) -> list[End]:
    found = list(part.ends)
    found.remove(mouth)
    return found
