"""In which order a job is put together: what is screwed into held ports first, hoses after, a joint that turns last.

Quick couplers are joined when every other joint of the job is made: there may be a live machine behind them.
"""

from collections.abc import Iterator
from typing import NamedTuple

from fittings.chain import Used, bends
from fittings.ends import End
from fittings.figures import Figure, figure
from fittings.job.bill import ring_words
from fittings.job.flange import bolted, draw_down
from fittings.job.hexagons import flats_of_the_part_mm
from fittings.job.model import Job
from fittings.job.result import PlannedJoint, PlannedLine, Step
from fittings.job.tee_outlets import outlets_said, tee_outlets
from fittings.mating import condition_do_for
from fittings.parts import Part
from fittings.threads import thread


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


def _couple(port: str) -> str:
    """Joining the halves at a port (common practice, no source)."""
    return (f"Now that every other joint is made, couple {port}: engine off, no pressure on either half, both halves wiped clean. Push "
            "them home without twisting the hose, and pull to see that they hold")


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
            _Side(line.to_ref, tuple(_turned(used) for used in reversed(line.to_parts)),
                  tuple(_swapped(each) for each in reversed(far)), line.hose.ends[1]),
        ]
        yield from _with_hose(line, sides, line.joints[len(outer) :])
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
        if joint.coupled or bolted(joint.joint):
            yield _Bare(line.name, _couple(port) if joint.coupled else draw_down(used.part.say, where, joint.joint), joint, "", used.part)
            continue
        hold = "" if number == 0 else "on the part before it"
        verb = "Put" if used.near.moves == "turns" else "Screw"
        way = "into" if used.near.sex == "male" else "onto"
        yield _Bare(line.name, f"{verb} {used.part.say} {way} {where}{_how_it_is_set(used)}", joint, hold, used.part)


def _how_it_is_set(used: Used) -> str:
    """How a part that must point somewhere is brought there: by its locknut, or by turning on."""
    if used.near.moves == "sets":
        return (": locknut back as far as it goes, in by hand until the washer meets the face, back at most one turn to where it must "
                "point, hold it there and tighten the locknut")
    if used.near.thread and thread(used.near.thread).taper and bends(used.part):
        return ": tighten, and go on to where it must point; never turn it back"
    return ""


def _tee(line: PlannedLine, joint: PlannedJoint | None, inner: tuple[PlannedJoint, ...]) -> Iterator[_Bare]:
    (first, onward), *rest = tee_outlets(line)
    if joint is None:
        yield _Bare(line.name, f"Have {first.say} ready where the line splits, held so that no hose is bent at its end: "
                    f"{outlets_said(onward)}", None, "")
    else:
        where = f"on what will lead to {line.from_ref}" if line.joints[0].coupled else f"on at {line.from_ref}"
        yield _Bare(line.name, f"Put {first.say} {where} and point its outlets: {outlets_said(onward)}", joint, "on the adapter behind it")
    for (part, onward), each in zip(rest, inner, strict=True):
        yield _Bare(line.name, f"Put {part.say} on the tee before it: {outlets_said(onward)}", each, "on the tee before it")


def _with_hose(line: PlannedLine, sides: list["_Side"], inner: tuple[PlannedJoint, ...]) -> Iterator[_Bare]:
    """Adapters, tee and hose of a line: what cannot turn goes first, while the other end of the hose still hangs free."""
    sides.sort(key=lambda side: (side.couples, side.swivels, any(_turns(each) for each in side.joints)))
    last = sides[-1]
    benched = [side for side in sides if side.couples or (side is last and not last.swivels)]
    for side in sides:
        if side not in benched:
            yield from _outward(line, side.port, side.parts, side.joints[:-1])
    if line.tees:
        yield from _tee(line, None, inner)
    for side in sides:
        if side in benched:
            yield from _benched(line, side)
        else:
            yield _hose_on(line, side, last=side is last)


def _benched(line: PlannedLine, side: "_Side") -> Iterator[_Bare]:
    """A side that is built on the hose: its parts from the hose outward, and the joint at the port last."""
    parts = list(reversed(side.parts))
    for number, (used, joint) in enumerate(zip(parts, reversed(side.joints), strict=False)):
        what = f"the hose end, {_hose_end(side.crimped).say}" if number == 0 else "the part before it"
        yield _Bare(line.name, f"Put {used.part.say} on {what}", _swapped(joint), "on the hose end, so that the hose does not turn",
                    used.part)
    last = side.joints[0]
    do = f"Join the hose to {side.port} without twisting the hose"
    if last.coupled:
        do = _couple(side.port)
    elif bolted(last.joint):
        do = draw_down("the hose, without twisting it,", side.port, last.joint)
    yield _Bare(line.name, do, last, "")


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
    def swivels(self) -> bool:
        return _hose_end(self.crimped).moves == "turns"


def _turns(of: PlannedJoint) -> bool:
    return "turns" in (of.joint.a.moves, of.joint.b.moves)


def _hose_on(line: PlannedLine, side: _Side, last: bool) -> _Bare:
    hose_end, joint = _hose_end(side.crimped), side.joints[-1]
    if joint.coupled or bolted(joint.joint):
        do = _couple(side.port) if joint.coupled else draw_down(f"the hose, {hose_end.say}, without a twist,", side.port, joint.joint)
        return _Bare(line.name, do, joint, "")
    if hose_end.moves != "turns":
        return _Bare(line.name, f"Screw the rigid end of the hose, {hose_end.say}, in at {side.port}, turning the whole hose",
                     side.joints[-1], "none: the other end of the hose must still hang free")
    do = f"Put the hose on at {side.port}: {hose_end.say}" + (
        ". Lay the hose without a twist (watch the lay line) and tighten" if last else ", by hand first, then tighten")
    return _Bare(line.name, do, side.joints[-1], "on the adapter, and mind the hexagon of the hose end: neither may turn")


def _hose_end(used: Used) -> End:
    return used.near if used.far.family == "hose" else used.far


def _numbered(number: int, bare: _Bare) -> Step:
    joint = bare.joint
    if joint is None or joint.joint.seal is None:
        return Step(number, bare.line, bare.do, joint, "", "", None, "", None, bare.hold)
    seal = joint.joint.seal
    ring = ring_words(seal.ring) if seal.ring else ""
    why = condition_do_for(joint.joint.condition) if seal.sealant else seal.why_no_sealant
    return Step(number, bare.line, bare.do, joint, ring, _lube(seal.kind, bool(ring), bolted(joint.joint)), seal.sealant, why,
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


def _lube(kind: str, ring: bool, bolts: bool) -> str:
    """What is oiled before the joint is made (common practice, no source)."""
    if bolts:
        return "a film of clean system oil on the ring; the bolts dry or oiled as the torque figure was meant"
    if kind in ("crimp", "coupler"):
        return ""
    if kind == "thread-and-sealant":
        return "no oil on the thread: the sealant is the lubricant"
    if ring or kind in ("o-ring-in-chamfer", "face-o-ring"):
        return "a film of clean system oil on the ring and the thread"
    if kind == "metal-cone":
        return "a drop of clean system oil on thread and nut, cones clean and dry"
    return "clean faces, a drop of system oil on the thread"
