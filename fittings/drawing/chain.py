"""A chain of parts as it stands when it is made up, to scale, each joint with its seal, thread, rating and torque."""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from fittings.cautions import short
from fittings.chain import Chain, Joint, Used
from fittings.drawing.bodies import overall_words
from fittings.drawing.callouts import (
    PREFERRED,
    TEXT_MM,
    Label,
    Row,
    across,
    listing,
    paragraph,
    place,
    scale_bar,
    scale_for,
)
from fittings.drawing.fork import Fork
from fittings.drawing.layout import LaidJoint, LaidPart, Run, lay_out, render
from fittings.drawing.lettering import Box, fitted
from fittings.drawing.svg import MARGIN_MM, NARROW_MM, Canvas
from fittings.ends import End, family
from fittings.mating import Seal, Tightening, Verdict, tightening_of_part
from fittings.ratings import Rating, Ring, rated_by_hose
from fittings.units import Units, format_torque_band

WIDE_MM = 172.0
"""Width of a drawing with its list: an A4 or Letter page less its margins."""

ROOM_MM = (140.0, 120.0)
ROOM_WITH_HOSE_MM = (168.0, 130.0)

ROOM_WITH_TEE_MM = (168.0, 150.0)

PAPER_MM = 186.0
"""Width of A4 between the margins of the sheet."""

SAYS_MM = 46.0
"""Room for the words at an end that nothing is drawn on."""


CONFIDENCE = {"A": "two sources", "B": "one source", "C": "from memory"}
"""Confidence in words: the letters of a drawing name its joints."""


def chain_svg(chain: Chain, listed: bool = True, root: bool = True) -> str:
    """A chain as SVG: its parts pushed together, to the scale it states, outside above the axis and section below.

    Lengths are those of `data/parts/envelopes.csv`; where it has none they are estimates and their dimension lines are
    dashed. `listed` False leaves out the list below the drawing; `root` False the XML line, for use inside a page.

    >>> from fittings.ends import end
    >>> from fittings.planner import join
    >>> chain_svg(join(end("orb", "-8", "port"), end("jic", "-8", "swivel")).chains[0]).startswith("<?xml")
    True
    """
    uses = chain.parts
    words = " + ".join(used.part.say for used in uses) or "they join directly"
    title = f"{chain.start.say} to {chain.finish.say}"
    return run_svg(Sketch(title, words, chain.start, chain.finish, uses, chain.joints, chain.weakest), listed, root)


class Sketch(NamedTuple):
    """What is to be drawn as a run: words for it, its ends, the parts between them, its joints in the order that they are
    drawn in, the index of the weakest joint (None when that is not asked). A run may begin at a tee (then all of it is on the
    tee's branches) or lead to one. Two hose tails in a row have their hose between them; `hose` says it in words. `units` are
    those of the words and dimensions; lengths are in mm unless inches alone are asked for."""

    title: str
    about: str
    start: End | Fork
    finish: End | Fork | None
    uses: Sequence[Used]
    joints: Sequence[Joint]
    weakest: int | None
    hose: str = ""
    units: Units = "both"


def run_svg(sketch: Sketch, listed: bool = True, root: bool = True) -> str:
    """A run of parts as SVG; see `chain_svg`. With its words it is no wider than a page."""
    run = laid_to_fit(sketch)
    canvas = _drawn(sketch, run)
    while _width_mm(canvas) > PAPER_MM - 2 * NARROW_MM and run.scale > PREFERRED[-1]:
        smaller = next(each for each in PREFERRED if each < run.scale)
        run = lay_out(sketch.start, sketch.uses, sketch.finish, smaller)
        canvas = _drawn(sketch, run)
    held = canvas.extent
    end = scale_bar(canvas, held.left, held.bottom + 4.0, run.scale, sketch.units)
    if listed:
        _words(canvas, sketch, run, held.left, end + 3.0)
    return canvas.svg(MARGIN_MM if listed else NARROW_MM, root=root)


def _drawn(sketch: Sketch, run: Run) -> Canvas:
    canvas = Canvas(sketch.title, sketch.about, run.scale)
    render(canvas, run)
    taken = run.taken()
    _lengths(canvas, run, taken, sketch.units)
    parts = list(_part_labels(run))
    tees = [label for label in parts if label.mark.startswith("T")]
    place(canvas, [*tees, *_joint_labels(run), *(label for label in parts if label not in tees), *_open_labels(run)], taken)
    return canvas


def _width_mm(canvas: Canvas) -> float:
    return canvas.extent.right - canvas.extent.left


def laid_to_fit(sketch: Sketch) -> Run:
    """The run at the largest scale at which it fits its room."""
    tried = lay_out(sketch.start, sketch.uses, sketch.finish, 1.0)
    extent = tried.extent
    room = ROOM_WITH_HOSE_MM if sketch.hose else ROOM_WITH_TEE_MM if tried.tees else ROOM_MM
    scale = scale_for(extent.right - extent.left, extent.bottom - extent.top, room)
    return lay_out(sketch.start, sketch.uses, sketch.finish, scale)


def joint_mark(index: int) -> str:
    """The letter of a joint, by its place in the run."""
    return chr(ord("A") + index) if index < 26 else f"A{index - 25}"


def _joint_labels(run: Run) -> Iterator[Label]:
    for index, joint in enumerate(_made_joints(run)):
        yield Label(joint.seal, joint.section_deg, joint_mark(index), _threads(joint.a, joint.b))


def _made_joints(run: Run) -> list[LaidJoint]:
    """Joints that a fitter makes; a hose on its tail is made by whoever crimps it."""
    return [joint for joint in run.joints if "hose" not in (joint.a.family, joint.b.family)]


def _threads(a: End, b: End) -> str:
    if not a.thread and not b.thread:
        return a.say.rpartition(" ")[0] if a.say == b.say else _nick(a)
    return a.thread if a.thread == b.thread else f"{a.thread or '–'} in {b.thread or '–'}"


def _nick(of: End) -> str:
    return f"{family(of.family)['nick']} {of.size}"


def _part_labels(run: Run) -> Iterator[Label]:
    for part in run.parts:
        if part.mark:
            yield Label(_on_body(part), part.heading_deg - 90.0 + (0.0 if part.straight else 45.0), part.mark, "",
                        part.half_mm + 6.0)
    for broken in run.breaks[::2]:
        yield Label(broken.at(-3.0 / run.scale, 0.0), -90.0, "H")


def _open_labels(run: Run) -> Iterator[Label]:
    """Where an end leads that nothing is drawn on; the words run towards the middle of the drawing, not out of it."""
    middle = (run.extent.left + run.extent.right) / 2
    for each in run.opens:
        if each.says:
            inward = 35.0 if each.at[0] > middle else -35.0
            turn = inward if abs(each.section_deg - 90.0) < 1.0 else 0.0
            yield Label(each.at, each.section_deg + turn, "", fitted(each.says, TEXT_MM, SAYS_MM), 7.0)


def _on_body(part: LaidPart) -> tuple[float, float]:
    """A point well inside the outside view of a part's body."""
    turn = math.radians(part.heading_deg - 90.0)
    reach = 0.6 * part.half_mm if part.straight else 0.0
    return part.middle[0] + reach * math.cos(turn), part.middle[1] + reach * math.sin(turn)


def _lengths(canvas: Canvas, run: Run, taken: list[Box], units: Units) -> None:
    """Overall lengths of straight parts, above them, on two levels so that neighbours do not run into one another."""
    measured = [part for part in run.parts
                if part.size.overall_mm is not None and abs(math.sin(math.radians(part.heading_deg))) < 0.02]
    for index, part in enumerate(run.parts):
        if part not in measured or part.size.overall_mm is None:
            continue
        left, right = sorted(part.spans[0])
        others = [x for each in measured if each is not part for x, y in each.spans[0] if abs(y - left[1]) < 1.0]
        beside = [each for each in taken if each.left < right[0] + 22.0 and each.right > left[0] - 2.0]
        top = min((each.top for each in beside if each.top < left[1]), default=left[1])
        bottom = max((each.bottom for each in beside if each.bottom > left[1]), default=left[1])
        level = top - 5.0 - 1.5 * (index % 2)
        side = -1.0
        if left[1] - top > bottom - left[1] + 15.0:  # another arm of a tee lies above
            level, side = bottom + 6.0, 1.0
        figure = overall_words(part.size.overall_mm, part.size.guessed, units)
        words = f"≈ {figure} estimate" if part.size.guessed else figure
        if part.size.stretched:
            words = f"{figure}, drawn longer"
        start, stop = ((x, y + side * part.half_mm * 0.3) for x, y in (left, right))
        across(canvas, start, stop, level, words, part.size.guessed or part.size.stretched, taken, "overall", others)


def _words(canvas: Canvas, sketch: Sketch, run: Run, left: float, top: float) -> None:
    y = paragraph(canvas, sketch.title, left, top, WIDE_MM, 4.0, bold=True) + 2.0
    y = listing(canvas, part_rows(sketch, run), left, y, WIDE_MM)
    y = listing(canvas, joint_rows(sketch), left, y + 1.0, WIDE_MM)
    paragraph(canvas, short(), left, y + 0.5, WIDE_MM, 2.6)


def part_rows(sketch: Sketch, run: Run) -> Iterator[Row]:
    """The list of the parts: words for the counter, how it is had, its length."""
    for laid in run.parts:
        length = laid.size.words(sketch.units) + ("; drawn longer than it is" if laid.size.stretched else "")
        if laid.mark:
            yield Row(laid.mark, laid.part.say, (f"{laid.part.had}; {length}",))
        if laid.into_hose:
            yield Row("H", sketch.hose or "hose", ("drawn cut short",))


def joint_rows(sketch: Sketch) -> Iterator[Row]:
    """The list of the joints: both ends, the seal, thread, rating and torque, each with its confidence."""
    for index, joint in enumerate(sketch.joints):
        lines = joint_lines(joint, sketch.weakest == index, len(sketch.joints) > 1, sketch.units)
        yield Row(joint_mark(index), f"{joint.a.say} × {joint.b.say}", lines)


def joint_lines(joint: Joint, weakest: bool, several: bool, units: Units) -> tuple[str, ...]:
    """What belongs to a joint, in words: seal and condition, rating, torque."""
    seal = seal_words(joint.seal, units)
    first = f"thread {_threads(joint.a, joint.b)}; {seal}" if joint.a.thread or joint.b.thread else seal
    rating = rating_words(joint.rating, units)
    if rated_by_hose(joint.a) and joint.rating:
        rating = f"rated by its hose, at most {rating} ({joint.rating.context})"
    if weakest and several:
        rating += " — the weakest joint: it rules the chain"
    judged = tightening_of_part(joint.a, joint.b, joint.series)
    lines = [first]
    if joint.condition:
        lines.append(f"only if {joint.condition}")
    return (*lines, f"{rating}; {torque_words(judged, units)}")


def seal_words(seal: Seal | None, units: Units = "both") -> str:
    """What seals a joint, with its ring."""
    if seal is None:
        return ""
    return seal.says if seal.ring is None else f"{seal.says}; {ring_words(seal.ring, units)}"


def ring_words(ring: Ring, units: Units = "both") -> str:
    """A seal ring in words, with its confidence; its section in mm, in inches where those alone are asked for."""
    return f"{ring.words(units)}, {CONFIDENCE[ring.confidence]}"


def rating_words(rating: Rating | None, units: Units = "both") -> str:
    """A rating with its confidence."""
    if rating is None:
        return "rating: not in our tables"
    said = {"inch": f"{rating.psi} psi", "metric": f"{rating.bar:g} bar", "both": f"{rating.psi} psi ({rating.bar:g} bar)"}
    return f"{said[units]}, {CONFIDENCE[rating.confidence]}"


def torque_words(of: Tightening | Verdict, units: Units = "both") -> str:
    """The torque band in use, or the turns where that is the trade's method, with its confidence."""
    if of.torque and not of.no_torque_for:
        band = of.torque[0]
        return f"torque {format_torque_band(band.low_nm, band.high_nm, units)}, {CONFIDENCE[band.confidence]}, school: {band.school}"
    if of.turns and not of.torque:
        turn = of.turns[0]
        return f"{_band(turn.low, turn.high)} {turn.unit} past {turn.start}, {CONFIDENCE[turn.confidence]}"
    return "torque: not in our tables" + (f" for {of.no_torque_for}" if of.no_torque_for else "")


def _band(low: float, high: float) -> str:
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"
