"""A part by itself: both ends in section, its thread called out at each, its size, and the words for the counter."""

from collections.abc import Iterator, Sequence

from fittings.cautions import short
from fittings.drawing.callouts import Label, Row, across, listing, paragraph, place, scale_bar, scale_for, upright
from fittings.drawing.chain import WIDE_MM, ring_words
from fittings.drawing.layout import LaidPart, Run, lay_out_part, render
from fittings.drawing.lettering import Box
from fittings.drawing.svg import Canvas, Point
from fittings.ends import End, family
from fittings.envelopes import envelope
from fittings.parts import Part
from fittings.ratings import ring

ROOM_MM = (128.0, 100.0)


def part_svg(parts: Sequence[Part], listed: bool = True, root: bool = True) -> str:
    """Parts as SVG, one under the other, to one scale that is stated: outside above the axis and section below it.

    Lengths are those of `data/parts/envelopes.csv`; where it has none they are estimates and their dimension lines are
    dashed. `listed` False leaves out the list below each, `root` False the XML line. Raises ValueError for no part.

    >>> from fittings.ends import end
    >>> from fittings.parts import find
    >>> "9/16-18" in part_svg(find((end("orb", "-6", "stud"), end("jic", "-6", "male"))))
    True
    """
    if not parts:
        raise ValueError("there is no part to draw")
    scale = min(_scale(part) for part in parts)
    canvas = Canvas("; ".join(part.say for part in parts), short(), scale)
    top = 0.0
    for part in parts:
        trial = Canvas("", "", scale)
        _one(trial, part, (0.0, 0.0), listed)
        _one(canvas, part, (-trial.extent.left, top - trial.extent.top), listed)
        top = canvas.extent.bottom + 8.0
    if listed:
        paragraph(canvas, short(), 0.0, canvas.extent.bottom + 1.5, WIDE_MM, 2.6)
    return canvas.svg(root=root)


def _scale(part: Part) -> float:
    extent = lay_out_part(part, 1.0).extent
    return scale_for(extent.right - extent.left, extent.bottom - extent.top, ROOM_MM)


def _one(canvas: Canvas, part: Part, at: Point, listed: bool) -> None:
    """One part with its marks, its first end's foot at a place of the page."""
    run = lay_out_part(part, canvas.scale, at)
    render(canvas, run)
    taken = run.taken()
    left = run.extent.left
    for laid in run.parts:
        _sizes(canvas, laid, taken)
    labels = [Label(each.at, each.section_deg, "abcd"[n], each.end.thread or each.end.size) for n, each in enumerate(run.opens)]
    drawn = len(canvas.texts)
    place(canvas, labels, taken)
    left = min([left - 4.0, *(each.left for each in canvas.texts[drawn:])])
    bottom = max(each.bottom for each in taken)
    end = scale_bar(canvas, left, bottom + 4.0, canvas.scale)
    if listed:
        end = paragraph(canvas, part.say, left, end + 3.0, WIDE_MM, 4.0, bold=True)
        found = envelope(part)
        across_flats = f"; body {found.body_hex_mm:g} mm across flats" if found is not None and found.body_hex_mm else ""
        end = paragraph(canvas, f"{part.had}; {run.parts[0].size.words()}{across_flats}", left, end + 0.5, WIDE_MM, 3.2) + 2.0
        listing(canvas, end_rows(run), left, end, WIDE_MM)


def end_rows(run: Run) -> Iterator[Row]:
    """The list of a part's ends: words, thread, seat, ring."""
    for index, each in enumerate(run.opens):
        yield Row("abcd"[index], each.end.say, (_end_words(each.end),))


def _end_words(of: End) -> str:
    held = ring(of)
    return "; ".join(each for each in (
        of.standard, f"thread {of.thread}" if of.thread else family(of.family)["name"], of.seat, ring_words(held) if held else "") if each)


def _sizes(canvas: Canvas, laid: LaidPart, taken: list[Box]) -> None:
    """The dimensions of a part: from tip to tip, or each leg from the centre."""
    figures = laid.size
    for number, ((x1, y1), (x2, y2)) in enumerate(laid.spans):
        if "hose" in [each.family for each in (laid.part.ends if laid.straight else laid.part.ends[number:number + 1])]:
            continue  # how deep a tail goes into its hose stands in no table
        long = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5 / canvas.scale
        words = f"≈ {round(long)}" if figures.guessed else f"{round(long, 1):g}"
        if figures.stretched:
            words = f"{figures.overall_mm:g}, drawn longer" if figures.overall_mm else "drawn longer"
        dashed = figures.guessed or figures.stretched
        if abs(y2 - y1) < 0.5:
            left, right = sorted(((x1, y1), (x2, y2)))
            level = min(each.top for each in taken if each.left < right[0] + 8.0 and each.right > left[0] - 8.0) - 5.0
            across(canvas, left, right, level, words, dashed, taken, "overall" if laid.straight else "leg")
        elif abs(x2 - x1) < 0.5:
            high, low = sorted(((x1, y1), (x2, y2)), key=lambda point: point[1])
            at = max(each.right for each in taken if each.top < low[1] + 4.0 and each.bottom > high[1] - 4.0) + 6.0
            upright(canvas, high, low, at, words, dashed, taken, "leg")
