"""All that is known of one end, in words."""

from fittings.cautions import short
from fittings.ends import End
from fittings.figures import Figure, figures
from fittings.lookalikes import lookalikes
from fittings.mating import condition_says, partners
from fittings.ratings import ratings, torques, turns
from fittings.reports.documents import sourced
from fittings.reports.text import rating_words
from fittings.reports.torque_words import band_words, school_words, turn_words
from fittings.reports.window import lines, painted
from fittings.threads import limits, thread


def show_text(of: End, taken: str = "") -> str:
    """Everything known of an end."""
    out = [lines(taken)] if taken else []
    out += [painted(lines(of.say), "bold"), lines(of.standard, "  "), f"  id {of.id}"]
    if of.thread:
        out += _thread_lines(of)
    if of.seat:
        out.append(lines(f"seals by        {of.seat}", "  ", " " * 18))
    if of.limited_by:
        out.append(lines(f"holds           what the fitting is rated for, and {of.limited_by}", "  ", " " * 18))
    known = figures(of)
    if known:
        out.append("figures")
        out += [_figure_line(each) for each in known]
    out += _strength_lines(of)
    mates = partners(of)
    if mates:
        out.append("mates")
        for each in mates:
            only = f" - only if {condition_says(each.condition)}" if each.condition else ""
            out.append(lines(f"- {each.end.say}{only}", "  ", "    "))
    alike = list({(each.end.family, each.end.size): each for each in reversed(lookalikes(of))}.values())[::-1]
    if alike:
        out.append("taken for")
        out += [lines(f"- {each.end.say}: {each.tell_apart}", "  ", "    ") for each in alike[:8]]
        if len(alike) > 8:
            out.append(f"  … and {len(alike) - 8} more (--json lists them)")
    out.append(lines(short()))
    return "\n".join(out)


def _thread_lines(of: End) -> list[str]:
    spec = thread(of.thread)
    size = limits(spec, of.side)
    per = f"{spec.tpi:g} TPI ({spec.pitch_mm:.3f} mm)" if spec.tpi else f"{spec.pitch_mm:g} mm pitch"
    taper = ", taper 1:16" if spec.taper else ""
    out = [lines(f"thread          {spec.say}, {per}, {spec.flank_deg:g}° flanks{taper}", "  ", " " * 18)]
    names = ("major_max", "major_min", "pitch_max", "pitch_min") if of.side == "external" else (
        "minor_max", "minor_min", "pitch_max", "pitch_min")
    told = [f"{name.replace('_', ' ')} {getattr(size, name):.{4 if size.unit == 'in' else 3}f}"
            for name in names if getattr(size, name) is not None]
    where = f" at the {size.plane}" if getattr(size, "plane", "") else ""
    out.append(lines(f"limits          {', '.join(told)} {size.unit}{where}", "  ", " " * 18))
    return out


def _strength_lines(of: End) -> list[str]:
    """The pressures of an end, in use and printed beside it, and what it is tightened with."""
    of_series = {"L": "light series: ", "S": "heavy series: "}
    out = [lines(f"{'rating' if used else '  also':<16}{of_series.get(series, '')}{rating_words(each)}" + ("" if used else "; not in use"),
                 "  ", " " * 18) for series, used, each in ratings(of)]
    drawn = [("", torques(of), turns(of))]
    if not torques(of) and not turns(of):
        # it is the other half that is turned
        drawn = [(f"{each.end.say}: ", torques(each.end), turns(each.end)) for each in partners(of) if each.planned]
    bands = [f"{of_end}{band_words(band, 'both')} {school_words(band)} {sourced(band.sources, band.confidence)}"
             for of_end, some, _ in drawn for band in some]
    ways = [f"{of_end}{turn_words(turn, 'both')} {sourced(turn.sources, turn.confidence)}" for of_end, _, some in drawn for turn in some]
    for head, said in (("torque", bands), ("turn", ways)):
        out += [lines(f"{head if not number else '  or':<16}{each}", "  ", " " * 18) for number, each in enumerate(said)]
    return out


def _figure_line(of: Figure) -> str:
    name = of.name.removesuffix("_text")
    also = "".join(f"; also {each.value} {sourced(each.sources, each.confidence)}" for each in of.also)
    label = name.rpartition("_")[0].replace("_", " ") if of.unit and "_" in name else name.replace("_", " ")
    return lines(f"{label} {of.value} {of.unit} {sourced(of.sources, of.confidence)}{also}".replace("  ", " "), "  ", "    ")
