"""In which order a job is put together: what is screwed into held ports first, hoses after, a joint that turns last.

Quick couplers are joined when every other joint of the job is made: there may be a live machine behind them.
"""

from collections.abc import Iterator
from typing import NamedTuple

from fittings.chain import Used, bends
from fittings.figures import Figure, figure
from fittings.job import shop_words as words
from fittings.job.flange import bolted, draw_down
from fittings.job.hexagons import flats_of_the_part_mm
from fittings.job.model import Job
from fittings.job.result import PlannedJoint, PlannedLine, Step, end_of
from fittings.job.tee_outlets import tee_outlets
from fittings.mating import condition_do
from fittings.parts import Part


class _Bare(NamedTuple):
    """A step before it has a number; `part` is what is screwed in, where it is no hose."""

    line: str
    do: str
    joint: PlannedJoint | None
    hold: str
    part: Part | None = None


def assembly_steps(job: Job, lines: tuple[PlannedLine, ...]) -> tuple[Step, ...]:
    """The steps of the whole job, numbered, in an order in which every joint can be made.

    For each line: adapters into the ports from the port outward, tees, then the hose, its rigid end first and an end that
    turns last. The halves of quick couplers come together after all lines.
    """
    bare = [step for line in lines if line.can_be_done for step in _line(line)]
    return tuple(_numbered(number, step) for number, step in enumerate(sorted(bare, key=_couples), 1))


def _couples(step: _Bare) -> bool:
    return step.joint is not None and step.joint.coupled


def _line(line: PlannedLine) -> Iterator[_Bare]:
    count = len(line.from_parts)
    inner = len(line.tees) - 1 if line.tees else 0
    outer = line.joints[: len(line.joints) - inner] if inner else line.joints
    if line.hose is None:
        yield from _outward(line, line.from_ref, line.from_parts, outer[:-1])
        yield from _tee(line, outer[-1], line.joints[len(outer) :])
    else:
        near, far = outer[: count + 1], outer[count + 1 :]
        sides = [
            _Side(line.from_ref, line.from_parts, near, line.hose.ends[0]),
            _Side(line.to_ref, tuple(used.turned for used in reversed(line.to_parts)),
                  tuple(_swapped(each) for each in reversed(far)), line.hose.ends[1]),
        ]
        yield from _with_hose(line, sides, line.joints[len(outer) :])
    for branch in line.branches:
        yield from _line(branch)


def _swapped(of: PlannedJoint) -> PlannedJoint:
    return of._replace(joint=of.joint.turned)


def _outward(line: PlannedLine, port: str, parts: tuple[Used, ...], joints: tuple[PlannedJoint, ...]) -> Iterator[_Bare]:
    """Adapters from a held port outward."""
    for number, (used, joint) in enumerate(zip(parts, joints, strict=True)):
        where = words.on_part(joint.joint.a) if number else words.at_port(port)
        if joint.coupled or bolted(joint.joint):
            do = words.couple(port) if joint.coupled else draw_down(used.part.say, where, joint.joint.a)
            yield _Bare(line.name, do, joint, "", used.part)
            continue
        hold = words.HOLD_PART if number else ""
        yield _Bare(line.name, words.outward(used.part.say, bends(used.part), used.near, where), joint, hold, used.part)


def _tee(line: PlannedLine, joint: PlannedJoint | None, inner: tuple[PlannedJoint, ...]) -> Iterator[_Bare]:
    (first, onward), *rest = tee_outlets(line)
    if joint is None:
        yield _Bare(line.name, words.tee_ready(first.say, words.outlets_said(onward)), None, "")
    else:
        do = words.tee_at_port(first.say, line.from_ref, words.outlets_said(onward), line.joints[0].coupled)
        yield _Bare(line.name, do, joint, words.HOLD_ADAPTER)
    for (part, onward), each in zip(rest, inner, strict=True):
        yield _Bare(line.name, words.tee_on_tee(part.say, words.outlets_said(onward)), each, words.HOLD_TEE)


def _with_hose(line: PlannedLine, sides: list["_Side"], inner: tuple[PlannedJoint, ...]) -> Iterator[_Bare]:
    """Adapters, tee and hose of a line: what cannot turn goes first, while the other end of the hose still hangs free."""
    sides.sort(key=lambda side: (side.couples, side.swivels, any(each.joint.turns_freely for each in side.joints)))
    last = sides[-1]
    benched = [side for side in sides if side.couples or (side is last and not last.swivels)]
    for side in sides:
        firm = side.closing if side in benched else len(side.parts)
        yield from _outward(line, side.port, side.parts[:firm], side.joints[:firm])
    if line.tees:
        yield from _tee(line, None, inner)
    for side in sides:
        if side in benched:
            yield from _benched(line, side)
        else:
            yield _hose_on(line, side, last=side is last)


def _benched(line: PlannedLine, side: "_Side") -> Iterator[_Bare]:
    """A side that is built on the hose: its parts from the hose outward, and the joint that turns last."""
    parts, joints = side.parts[side.closing:], side.joints[side.closing + 1:]
    for number, (used, joint) in enumerate(zip(reversed(parts), reversed(joints), strict=True)):
        do = words.on_the_bench(used.part.say, None if number else end_of(side.crimped))
        yield _Bare(line.name, do, _swapped(joint), words.HOLD_HOSE_END, used.part)
    last = side.joints[side.closing]
    do = words.JOIN_HOSE.format(port=side.port)
    if last.coupled:
        do = words.couple(side.port)
    elif bolted(last.joint):
        do = draw_down(words.UNTWISTED, side.port, last.joint.a)
    yield _Bare(line.name, do, last, _hold_while_joined(side))


def _hold_while_joined(side: "_Side") -> str:
    """Where the second spanner goes while the nut is turned that joins a hose, built on the bench, to its port; '' where no nut is."""
    last = side.joints[side.closing]
    if not last.joint.turns_freely or last.coupled or bolted(last.joint):
        return ""
    if side.parts[side.closing:]:
        return words.HOLD_BUILT
    return words.HOLD_BOTH if side.parts else words.HOLD_HOSE_END


class _Side(NamedTuple):
    """One side of a hose, from the port to the hose: parts, joints, and the crimped end."""

    port: str
    parts: tuple[Used, ...]
    joints: tuple[PlannedJoint, ...]
    crimped: Used

    @property
    def couples(self) -> bool:
        """Whether it ends in a coupler half, which is put together by hand."""
        return bool(self.parts) and self.parts[0].part.shape == "coupler"

    @property
    def closing(self) -> int:
        """The joint, by number from the port, that is made last where the side is built on the hose: the first in which something turns.
        A stud that was screwed in with the hose on it would twist the hose."""
        return next((number for number, joint in enumerate(self.joints) if joint.joint.turns_freely), 0)

    @property
    def swivels(self) -> bool:
        return end_of(self.crimped).moves == "turns"


def _hose_on(line: PlannedLine, side: _Side, last: bool) -> _Bare:
    hose_end, joint = end_of(side.crimped), side.joints[-1]
    if joint.coupled or bolted(joint.joint):
        do = words.couple(side.port) if joint.coupled else draw_down(words.hose_by(hose_end), side.port, joint.joint.a)
        return _Bare(line.name, do, joint, "")
    if hose_end.moves != "turns":
        return _Bare(line.name, words.hose_in(side.port, hose_end), side.joints[-1], words.HOLD_NONE)
    return _Bare(line.name, words.hose_on(side.port, hose_end, last), side.joints[-1], words.HOLD_NEITHER)


def _numbered(number: int, bare: _Bare) -> Step:
    joint = bare.joint
    if joint is None or joint.joint.seal is None:
        return Step(number, bare.line, bare.do, joint, "", "", None, "", None, bare.hold)
    seal = joint.joint.seal
    ring = words.ring_words(seal.ring) if seal.ring else ""
    why = condition_do(joint.joint.condition_key) if seal.sealant else seal.why_no_sealant
    return Step(number, bare.line, bare.do, joint, ring, words.lube(seal.kind, bool(ring), bolted(joint.joint)), seal.sealant, why,
                _spanner(joint, bare.part), bare.hold)


def _spanner(of: PlannedJoint, part: Part | None) -> Figure | None:
    """Across flats of what is turned: the nut where there is one, else the hexagon behind a stud. A hexagon through which the far end of
    its own part would not pass is none: the part has a larger one, and no table says which."""
    ends = sorted((of.joint.a, of.joint.b), key=lambda each: (each.moves != "turns", each.sex != "male"))
    names = ("nut_hex_in", "nut_hex_mm", "hex_in", "hex_mm")
    found = [figure(each, name) for each in ends if each.moves == "turns" or each.sex == "male" for name in names]
    first = next((each for each in found if each is not None), None)
    if first is None or part is None or flats_of_the_part_mm(first, part) is not None:
        return first
    return None
