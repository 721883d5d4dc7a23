"""In which order a job is put together: what is screwed into held ports first, hoses after, a joint that turns last."""

from collections.abc import Iterator
from typing import NamedTuple

from fittings.ends import End
from fittings.job.bill import ring_words
from fittings.job.model import Job
from fittings.job.result import PlannedJoint, PlannedLine, Step
from fittings.mating import condition_do_for
from fittings.search import Used


class _Bare(NamedTuple):
    """A step before it has a number."""

    line: str
    do: str
    joint: PlannedJoint | None
    hold: str


def assembly_steps(job: Job, lines: tuple[PlannedLine, ...]) -> tuple[Step, ...]:
    """The steps of the whole job, numbered, in an order in which every joint can be made.

    For each line: adapters into the ports from the port outward, tees, then the hose, its rigid end first and an end that
    turns last.
    """
    bare = [step for line in lines for step in _line(line)]
    return tuple(_numbered(number, step) for number, step in enumerate(bare, 1))


def _line(line: PlannedLine) -> Iterator[_Bare]:
    if line.hose is None and not line.tees:
        return
    count = len(line.from_parts)
    inner = len(line.tees) - 1 if line.tees else 0
    outer = line.joints[: len(line.joints) - inner] if inner else line.joints
    if line.hose is None:
        yield from _outward(line, line.from_ref, line.from_parts, outer[:-1])
        yield from _tee(line, outer[-1], line.joints[len(outer) :])
    else:
        near, far = outer[: count + 1], outer[count + 1 :]
        yield from _outward(line, line.from_ref, line.from_parts, near[:-1])
        yield from _outward(line, line.to_ref, tuple(_turned(used) for used in reversed(line.to_parts)),
                            tuple(_swapped(each) for each in reversed(far[1:])))
        if line.tees:
            yield from _tee(line, None, line.joints[len(outer) :])
        yield from _hose(line, near[-1], _swapped(far[0]))
    for branch in line.branches:
        yield from _line(branch)


def _turned(used: Used) -> Used:
    return Used(used.part, used.far, used.near)


def _swapped(of: PlannedJoint) -> PlannedJoint:
    return of._replace(joint=of.joint._replace(a=of.joint.b, b=of.joint.a))


def _outward(line: PlannedLine, port: str, parts: tuple[Used, ...], joints: tuple[PlannedJoint, ...]) -> Iterator[_Bare]:
    """Adapters from a held port outward."""
    for number, (used, joint) in enumerate(zip(parts, joints, strict=True)):
        where = f"port {port}" if number == 0 else f"{joint.joint.a.say} of the part before it"
        hold = "" if number == 0 else "on the part before it"
        verb = "Put" if used.near.moves == "turns" else "Screw"
        yield _Bare(line.name, f"{verb} {used.part.say} {'into' if used.near.sex == 'male' else 'onto'} {where}", joint, hold)


def _tee(line: PlannedLine, joint: PlannedJoint | None, inner: tuple[PlannedJoint, ...]) -> Iterator[_Bare]:
    first = line.tees[0]
    if joint is None:
        yield _Bare(line.name, f"Have {first.say} ready where the line splits, held so that no hose is bent at its end", None, "")
    else:
        yield _Bare(line.name, f"Put {first.say} on at {line.from_ref} and point its outlets", joint, "on the adapter behind it")
    for part, each in zip(line.tees[1:], inner, strict=False):
        yield _Bare(line.name, f"Put {part.say} on the tee before it", each, "on the tee before it")


def _hose(line: PlannedLine, near: PlannedJoint, far: PlannedJoint) -> Iterator[_Bare]:
    """The two ends of a hose; `near` and `far` are seen from the adapter or port towards the hose."""
    assert line.hose is not None
    sides = [(line.from_ref, near, line.hose.ends[0]), (line.to_ref, far, line.hose.ends[1])]
    # what cannot turn goes first, while the other end of the hose still hangs free
    sides.sort(key=lambda side: _hose_end(side[2]).moves == "turns")
    for number, (port, joint, used) in enumerate(sides):
        last = number == 1
        hose_end = _hose_end(used)
        if hose_end.moves != "turns":
            do = f"Screw the rigid end of the hose, {hose_end.say}, in at {port}, turning the whole hose"
            hold = "none: the other end of the hose must still hang free"
        else:
            do = f"Put the hose on at {port}: {hose_end.say}" + (
                ". Lay the hose without a twist (watch the lay line) and tighten" if last else ", by hand first, then tighten")
            hold = "on the adapter, and mind the hexagon of the hose end: neither may turn"
        yield _Bare(line.name, do, joint, hold)


def _hose_end(used: Used) -> End:
    return used.near if used.far.family == "hose" else used.far


def _numbered(number: int, bare: _Bare) -> Step:
    joint = bare.joint
    if joint is None or joint.joint.seal is None:
        return Step(number, bare.line, bare.do, joint, "", "", None, "", bare.hold)
    seal = joint.joint.seal
    ring = ring_words(seal.ring) if seal.ring else ""
    why = condition_do_for(joint.joint.condition) if seal.sealant else seal.why_no_sealant
    return Step(number, bare.line, bare.do, joint, ring, _lube(seal.kind, bool(ring)), seal.sealant, why, bare.hold)


def _lube(kind: str, ring: bool) -> str:
    """What is oiled before the joint is made (common practice, no source)."""
    if kind in ("crimp", "coupler"):
        return ""
    if kind == "thread-and-sealant":
        return "no oil on the thread: the sealant is the lubricant"
    if ring or kind in ("o-ring-in-chamfer", "face-o-ring"):
        return "a film of clean system oil on the ring and the thread"
    if kind == "metal-cone":
        return "a drop of clean system oil on thread and nut, cones clean and dry"
    return "clean faces, a drop of system oil on the thread"
