"""The assembly list of a saved plan, gone through again as at the bench: every joint made once, each in words that fit it, and no
joint that could only be made by turning what is held, or a hose that is fast at its other end."""

from collections.abc import Iterator
from typing import NamedTuple

from fittings.check import Flaw
from fittings.ends import End, family, turns_freely
from fittings.figures import figure
from fittings.job import shop_words as words
from fittings.job.flange import draw_down
from fittings.job.saved_plan import Saved, done_lines, end_written, number, tables_in
from fittings.job.shop_words import NEXT_TEE, outlets_said
from fittings.mating import condition_do, mate
from fittings.outlets import outlet_words
from fittings.parts import find, is_elbow

MOST_JOINTS = 20
"""In one line, with room to spare: five adapters at either side of a hose, and two tees."""


class Made(NamedTuple):
    """A joint of a line: its ends, the pieces on either side by number, and every sentence that may tell of it."""

    a: End
    b: End
    left: int
    right: int
    said: frozenset[str]

    @property
    def turns(self) -> bool:
        return turns_freely(self.a, self.b)


class Bench(NamedTuple):
    """The pieces of a line by number from port to port: joints, which pieces stand still, and the hose."""

    joints: tuple[Made, ...]
    held: frozenset[int]
    hose: int | None


def step_flaws(saved: Saved) -> Iterator[Flaw]:
    """Everything wrong with the steps of a plan. Raises LookupError, TypeError, ValueError for what cannot be read."""
    steps = tables_in(saved.get("steps"))
    yield from _couplers_last(steps)
    if [step.get("n") for step in steps] != list(range(1, len(steps) + 1)):
        yield Flaw("steps-disordered", "steps", "the steps are not numbered in the order in which they stand")
    lines = {str(line.get("name")): line for line in done_lines(saved)}
    for step in steps:
        if str(step.get("line")) not in lines:
            yield Flaw("step-strange", "steps", f"step {step.get('n')} belongs to no line of the plan that can be done")
        yield from _beside(step)
    for name, line in lines.items():
        yield from (flaw._replace(where=f"line {name}") for flaw in _line_flaws(line, [each for each in steps if each.get("line") == name]))


def _couplers_last(steps: list[Saved]) -> Iterator[Flaw]:
    """Halves of quick couplers come together when every other joint of the job is made: there may be a live machine behind them."""
    couples = [family(end_written({"id": each["joint"]["a"]}).family)["kin"] == "coupler" for each in steps if each.get("joint")]
    if couples != sorted(couples):
        yield Flaw("steps-disordered", "steps", "a coupler is joined before every other joint is made")


def _line_flaws(line: Saved, steps: list[Saved]) -> Iterator[Flaw]:
    bench = _bench(line)
    if len(bench.joints) > MOST_JOINTS:
        yield Flaw("step-strange", "", f"{len(bench.joints)} joints are too many for one line")
        return
    screwed = [step for step in steps if step.get("joint")]
    yield from _counted(bench, screwed)
    loose = [str(step.get("do")) for step in steps if not step.get("joint")]
    onward = _outlets(line)
    ready = [words.tee_ready(*onward[0])] if line.get("hose") and line.get("tees") else []
    for do in loose:
        if do not in ready:
            yield Flaw("words-differ", "", f"“{do}” is no step of this line")
    if ready and ready[0] not in loose:
        yield Flaw("step-missing", "", "no step has the tee ready where the line splits")
    yield from _in_order(bench, screwed)


def _counted(bench: Bench, steps: list[Saved]) -> Iterator[Flaw]:
    pairs = [frozenset((str(step["joint"].get("a")), str(step["joint"].get("b")))) for step in steps]
    wanted = [frozenset((each.a.id, each.b.id)) for each in bench.joints]
    for pair in dict.fromkeys((*wanted, *pairs)):
        ends = " and ".join(sorted(pair))
        if pairs.count(pair) < wanted.count(pair):
            yield Flaw("step-missing", "", f"no step makes the joint of {ends}")
        elif pairs.count(pair) > wanted.count(pair):
            yield Flaw("step-strange", "", f"a step makes a joint of {ends} that the line does not have")


def _in_order(bench: Bench, steps: list[Saved]) -> Iterator[Flaw]:
    """The farthest that a fitter comes; steps alike in their ends may be either joint, so every reading is followed."""
    readings = {frozenset[int]()}
    for step in steps:
        ends = {str(step["joint"].get("a")), str(step["joint"].get("b"))}
        like = [number for number, each in enumerate(bench.joints) if {each.a.id, each.b.id} == ends]
        told = [each for each in like if str(step.get("do")) in bench.joints[each].said]
        if like and not told:
            yield Flaw("words-differ", "", f"step {step.get('n')}: “{step.get('do')}” is not how {' and '.join(sorted(ends))} are joined")
            return
        after = {made | {each} for made in readings for each in told if each not in made and _can_be_made(bench, made, bench.joints[each])}
        if told and not after:
            yield Flaw("steps-disordered", "", f"step {step.get('n')} comes too early or too late: nothing turns in the joint of "
                       f"{' and '.join(sorted(ends))}, and by then it could only be made by turning what is held or a hose that is fast")
            return
        readings = after or readings


def _can_be_made(bench: Bench, made: frozenset[int], joint: Made) -> bool:
    """Whether a fitter can: a nut, flange or coupler turns by itself; otherwise one side must hang free, and be no stack with the
    hose on it, which would whip round: only its own rigid end is screwed in with it."""
    if joint.turns:
        return True
    for side in (joint.left, joint.right):
        loose = _with(bench, made, side)
        if not loose & bench.held and (bench.hose not in loose or side == bench.hose):
            return True
    return False


def _with(bench: Bench, made: frozenset[int], piece: int) -> set[int]:
    """The pieces that are one with a piece by the joints that are made."""
    found = {piece}
    while more := {each for number in made for each in bench.joints[number][2:4] if found & set(bench.joints[number][2:4])} - found:
        found |= more
    return found


# --- the pieces of a line, and what may be said of each joint ----------------------------------------------------------------

def _bench(line: Saved) -> Bench:
    before, behind = (tables_in(line.get(name)) for name in ("from_parts", "to_parts"))
    start = end_written(line["from"]["end"])
    from_port, to_port = str(line["from"]["port"]), str(line["to"]["port"])
    if line.get("hose") is None:
        joints = _chain(start, from_port, before)
        mouth = end_written(line["to"]["end"])
        free = end_written(before[-1]["ends"][1]) if before else start
        say, onward = _outlets(line)[0]
        coupled = family((joints[0].b if joints else mouth).family)["kin"] == "coupler"
        said = words.tee_at_port(say, from_port, onward, coupled)
        joints.append(Made(free, mouth, len(before), len(before) + 1, frozenset({said})))
        return Bench((*joints, *_on_tees(line, len(joints))), frozenset({0}), None)
    ends = [end_written(each) for each in line["hose"]["ends"]]
    hose = len(before) + 1
    turned = [{**part, "ends": list(reversed(part["ends"]))} for part in reversed(behind)]
    finish = end_written(line["to"]["end"])
    near = _side(start, from_port, before, ends[0], hose, range(hose))
    last: int = hose + len(behind) + 1
    far = _side(finish, to_port, turned, ends[1], hose, range(last, hose, -1))
    return Bench((*near, *far, *_on_tees(line, last)), frozenset({0, last}), hose)


def _chain(start: End, port: str, parts: list[Saved]) -> list[Made]:
    """Parts from a port outward, piece 0 the port."""
    found, free = [], start
    for place, part in enumerate(parts):
        near = end_written(part["ends"][0])
        found.append(Made(free, near, place, place + 1, frozenset({_outward(part, near, free, port, place)})))
        free = end_written(part["ends"][1])
    return found


def _outward(part: Saved, near: End, free: End, port: str, place: int) -> str:
    where = words.on_part(free) if place else words.at_port(port)
    kin = family(near.family)["kin"]
    if kin in ("coupler", "flange"):
        return words.couple(port) if kin == "coupler" else draw_down(str(part["say"]), where, near)
    return words.outward(str(part["say"]), is_elbow(str(part["shape"])), near, where)


def _side(start: End, port: str, parts: list[Saved], hose_end: End, hose: int, numbers: range) -> list[Made]:
    """One side of a hose from its port; `numbers` of the port and the parts."""
    chain = _chain(start, port, parts)
    found = []
    for place, each in enumerate(chain):
        # on the bench a part goes on the one nearer to the hose, and the joint that turns comes last
        bench = {words.on_the_bench(str(parts[place - 1]["say"]), None)} if place else set()
        closing = {_joined(port, each.b, words.UNTWISTED)} if each.turns else set()
        found.append(each._replace(left=numbers[place], right=numbers[place + 1], said=each.said | bench | closing))
    free = end_written(parts[-1]["ends"][1]) if parts else start
    if family(hose_end.family)["kin"] in ("coupler", "flange"):
        said = {_joined(port, hose_end, words.hose_by(hose_end)), _joined(port, hose_end, words.UNTWISTED)}
    elif hose_end.moves == "turns":
        said = {words.hose_on(port, hose_end, last) for last in (True, False)}
    else:
        said = {words.hose_in(port, hose_end)}
    said |= {words.JOIN_HOSE.format(port=port), *([words.on_the_bench(str(parts[-1]["say"]), hose_end)] if parts else [])}
    return [*found, Made(free, hose_end, numbers[len(parts)], hose, frozenset(said))]


def _joined(port: str, end: End, hose: str) -> str:
    """The joint that closes a side: coupled, bolted or screwed."""
    kin = family(end.family)["kin"]
    if kin == "coupler":
        return words.couple(port)
    return draw_down(hose, port, end) if kin == "flange" else words.JOIN_HOSE.format(port=port)


def _inner(line: Saved) -> list[tuple[End, End]]:
    """The joints between the tees of a line, which are its last."""
    count = max(len(tables_in(line.get("tees"))) - 1, 0)
    joints = tables_in(line.get("joints"))[-count:] if count else []
    return [(end_written({"id": each["a"]}), end_written({"id": each["b"]})) for each in joints]


def _on_tees(line: Saved, first: int) -> Iterator[Made]:
    onward = _outlets(line)
    for place, (a, b) in enumerate(_inner(line)):
        yield Made(a, b, first + place, first + place + 1, frozenset({words.tee_on_tee(*onward[place + 1])}))


def _outlets(line: Saved) -> list[tuple[str, str]]:
    """The tees of a line in words, each with where its outlets lead: the legs in their order, the next tee last."""
    tees, inner = tables_in(line.get("tees")), _inner(line)
    left = [str(leg["to"]["port"]) for leg in tables_in(line.get("branches"))]
    found = []
    for place, tee in enumerate(tees):
        mouth = inner[place - 1][1] if place else end_written(line["to"]["end"])
        ends = [end_written(each) for each in tee["ends"]]
        part = find(ends, str(tee["shape"]))[0]
        outlets = list(part.ends)
        outlets.remove(mouth)
        last = [inner[place][0]] if place < len(inner) else []
        for each in last:
            outlets.remove(each)
        here, left = left[: len(outlets)], left[len(outlets):]
        way = outlet_words(part, [mouth, *outlets, *last])[1:]
        found.append((str(tee["say"]), outlets_said(list(zip(way, [*here, *([NEXT_TEE] * len(last))], strict=True)))))
    return found


# --- what stands beside a step -------------------------------------------------------------------------------------------------

HOLDS = ("", words.HOLD_PART, words.HOLD_ADAPTER, words.HOLD_TEE, words.HOLD_HOSE_END, words.HOLD_BOTH, words.HOLD_BUILT,
         words.HOLD_NEITHER, words.HOLD_NONE)


def _beside(step: Saved) -> Iterator[Flaw]:
    where = f"line {step.get('line')}"
    if (step.get("hold") or "") not in HOLDS:
        yield Flaw("words-differ", where, f"step {step.get('n')}: “{step.get('hold')}” is no place for a second spanner")
    if not isinstance(step.get("joint"), dict):
        return
    a, b = (end_written({"id": step["joint"][name]}) for name in ("a", "b"))
    verdict = mate(a, b)
    if verdict.seal is not None:
        oiled = words.lube(verdict.seal.kind, verdict.seal.ring is not None, family(a.family)["kin"] == "flange")
        why = condition_do(verdict.condition_key) if verdict.seal.sealant else verdict.seal.why_no_sealant
        for name, right in (("lube", oiled), ("sealant_why", why)):
            if (step.get(name) or "") != right:
                yield Flaw("words-differ", where, f"step {step.get('n')}: “{step.get(name)}” is written, it is “{right}”")
    spanner = step.get("spanner")
    if isinstance(spanner, dict):
        known = [each for end in (a, b) if (each := figure(end, str(spanner.get("name")))) is not None]
        if (number(spanner.get("value")), spanner.get("unit")) not in [(float(each.value), each.unit) for each in known]:
            size = f"{spanner.get('value')} {spanner.get('unit')}"
            yield Flaw("spanner-differs", where, f"step {step.get('n')}: {size} is the hexagon of neither end")
