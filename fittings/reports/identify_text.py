"""What an unknown end may be, in words: one screen of 80 columns; a drawer of them in a window as a table."""

from fittings.ends import End, family
from fittings.identify import Answer, Ask, Candidate, Readings, counter_words
from fittings.identify.batch import BatchRow
from fittings.identify.strangers import Stranger
from fittings.lookalikes import lookalikes
from fittings.reports.window import lines, takes_tables
from fittings.threads import thread
from fittings.units import MM_PER_IN

SCREEN_LINES = 24
"""An answer that has to be scrolled is not read: the second remark is left out when it does not fit."""

SHOWN = 4
"""Kinds of ends that are told in full; `--json` has them all."""

NONE_IS_MEANT = 0.3
"""Share of “none of the standard ends” from which that is the answer; below it, though first, nothing is known yet."""

STRANGER_SHOWN = 0.01
"""Share from which a known stranger is named behind “none of the standard ends”."""

_INSTRUMENTS = {"caliper": "by caliper", "ruler": "by ruler", "guess": "by guess"}


def identify_text(of: Answer) -> str:
    """An answer of `identify`: ranked ends, what agrees, what to measure next, what no caliper tells."""
    out = [lines(readings_words(of.readings), "", "  ")]
    out += [lines(f"({note})", "  ", "   ") for note in of.notes]
    kinds = _kinds(of)
    none_line = lines(f"{_percent(of.none_share)}  none of the standard ends{_strangers(of)}", "", "       ")
    told_none = of.none_share < 0.005
    for place, group in enumerate(kinds[:SHOWN]):
        if not told_none and of.none_share > group[0].kind_share:
            out.append(none_line)
            told_none = True
        out += _kind_lines(group, place)
    if not told_none:
        out.append(none_line)
    rest = len(kinds) - SHOWN
    if rest > 0:
        out.append(f"       … and {rest} less likely (--json lists them)")
    out += [lines(f"slip?  {slip.text}", "", "       ") for slip in of.slips]
    out += _ask_lines(of)
    last = _last_lines(of, kinds)
    for text in of.cannot_tell[:2]:
        told = lines(text, "note   ", "       ")
        if "\n".join((*out, told, *last)).count("\n") < SCREEN_LINES:
            out.append(told)
    return "\n".join((*out, *last))


def _strangers(of: Answer) -> str:
    """The known strangers among none of the standard ends, each with its share."""
    if len(of.readings.given) < 2:
        return ""
    told = [f"{_percent(share).strip()} {each.name}" for each, share in of.strangers if share >= STRANGER_SHOWN][:3]
    return f": {'; '.join(told)}" if told else ""


def _stranger_ahead(of: Answer) -> Stranger | None:
    """A known stranger that holds most of what is none of the standard ends."""
    first, share = of.strangers[0] if of.strangers else (None, 0.0)
    return first if of.none_share >= NONE_IS_MEANT and share >= of.none_share / 2 else None


def readings_words(of: Readings) -> str:
    """The readings in one line, as they were understood.

    >>> readings_words(Readings(sex="male", od_mm=14.2, tpi=18))
    'male, 14.20 mm (0.559 in) outside, 18 TPI; by caliper'
    """
    said = [of.sex if of.sex != "none" else "no thread"] if of.sex else []
    said += [f"{value:.2f} mm ({value / MM_PER_IN:.3f} in) {word}"
             for value, word in ((of.od_mm, "outside"), (of.id_mm, "inside")) if value is not None]
    said += [text for value, text in ((of.tpi, f"{of.tpi:g} TPI" if of.tpi else ""),
                                      (of.pitch_mm, _pitch_words(of) if of.pitch_mm else "")) if value]
    flags = (
        (of.taper, "taper", "straight"),
        (of.chamfer, "edge cut to a cone", "edge not cut"),
        (of.turns, "nut turns", "fixed"),
        (of.hole, "a hole through it", "solid"),
    )
    said += [yes if value else no for value, yes, no in flags if value is not None]
    said += [
        f"{word} {value:g}{unit}"
        for value, word, unit in (
            (of.seat_deg, "seat", "°"),
            (of.flank_deg, "flanks", "°"),
            (of.tube_bore_mm, "bore", " mm"),
            (of.hex_mm, "hex", " mm"),
        )
        if value is not None
    ]
    said += [f"{word} {value}" for value, word in (
        (of.nose, "nose"), (of.marking, "marked"), (of.country, "built in"), (of.came_off, "off")) if value]
    how = f"; {_INSTRUMENTS[of.instrument]}" if of.od_mm is not None or of.id_mm is not None else ""
    wide = f" ±{of.plus_minus_mm:g} mm" if of.plus_minus_mm else ""
    return (", ".join(said) or "no reading yet") + how + wide


def _pitch_words(of: Readings) -> str:
    assert of.pitch_mm is not None
    counted = f", {of.counted} threads counted in {of.counted * of.pitch_mm:.4g} mm" if of.counted else ""
    return f"{of.pitch_mm:.4g} mm pitch{counted}"


def _kinds(of: Answer) -> list[list[Candidate]]:
    groups: dict[tuple[str, str, str], list[Candidate]] = {}
    for each in of.candidates:
        groups.setdefault((each.end.family, each.end.size, each.end.sex), []).append(each)
    return list(groups.values())


def _percent(share: float) -> str:
    return f"{share:5.0%}" if share >= 0.01 else " < 1%"


def _kind_lines(group: list[Candidate], place: int) -> list[str]:
    first, *others = group
    forms = f" (or {', '.join(_short(each.end) for each in others[:2])})" if others else ""
    name = f"{first.end.say}{forms}"
    called = thread(first.end.thread).say if first.end.thread else ""
    out = [lines(f"{_percent(first.kind_share)}  {name}" + (f", {called}" if called else ""), "", "       ")]
    if place < 3 and first.agrees and place == 0:
        out.append(lines("fits: " + "; ".join(first.agrees), "       ", "         "))
    if first.differs:
        out.append(lines("but: " + "; ".join(first.differs), "       ", "         "))
    return out


def _short(of: End) -> str:
    words = of.say.removeprefix(f"{family(of.family)['nick']} {of.size} ")
    return words.removeprefix("male ").removeprefix("female ")


def _ask_lines(of: Answer) -> list[str]:
    if of.ask_next is None or of.clear:
        return []
    out = [lines(f"next   {of.ask_next.ask}", "", "       ")]
    return out + splits_lines(of.ask_next)


def splits_lines(of: Ask) -> list[str]:
    """What each answer to a question would leave on top."""
    return [lines(f"- {split.answer}: {' or '.join(split.left[:2])}", "       ", "         ")
            for split in of.splits[:3]]


def _last_lines(of: Answer, kinds: list[list[Candidate]]) -> list[str]:
    if not kinds or of.none_share > kinds[0][0].kind_share:
        measured = of.readings.od_mm is not None or of.readings.id_mm is not None
        none = not kinds or of.clear or (of.none_share >= NONE_IS_MEANT and measured)
        stranger = _stranger_ahead(of)
        if stranger is not None:
            memory = " (from memory)" if stranger.confidence == "C" else ""
            return [lines(f"end    not in our tables: {stranger.name}{memory}; {stranger.instead}", "", "       ")]
        what = "none of the standard ends: take it along, with what it screws into" if none else "too little is known yet"
        return [lines(f"end    {what}", "", "       ")]
    best = kinds[0][0].end
    alike = [
        each.end.say
        for each in lookalikes(best)
        if each.end.sex == best.sex
        and (each.end.family, each.end.size) not in {(k[0].end.family, k[0].end.size) for k in kinds[:SHOWN]}
    ]
    out = []
    if of.clear:
        out.append(lines(f"say    “{counter_words(best)}”", "", "       "))
        if alike:
            out.append(lines(f"taken for {', '.join(dict.fromkeys(alike[:4]))}", "       ", "         "))
    out.append(f'run    fittings show "{best.id}"' + (f'   fittings join "{best.id}" "…"' if of.clear else ""))
    return out


def batch_text(rows: tuple[BatchRow, ...]) -> str:
    """One line for each fitting of a drawer: best end, its share, and what to look at when it is not clear."""
    if not rows:
        return "no fitting in the file"
    told = [(row.name or f"line {row.line}", *_in_short(row)) for row in rows]
    if takes_tables():
        from fittings.reports.board import Column, board

        heads = (Column("fitting", 1), Column("what it may be", 3), Column("what to do", 3))
        return board(heads, [(name, "\n".join(may_be), what_next) for name, may_be, what_next in told], 0)
    return "\n".join(lines(f"{name}: {'; '.join(filter(None, (*may_be, what_next)))}", "", "    ") for name, may_be, what_next in told)


def _in_short(row: BatchRow) -> tuple[list[str], str]:
    """What a fitting may be, each with its share, and what is to be done where that is not enough."""
    of = row.answer
    if of is None:
        return [f"cannot be used: {row.wrong}"], ""
    kinds = _kinds(of)
    if not kinds or of.none_share > kinds[0][0].kind_share:
        stranger = _stranger_ahead(of)
        named = f"not in our tables: {stranger.name}" if stranger else "none of the standard ends"
        return [f"{named} ({of.none_share:.0%})"], stranger.instead if stranger else of.slips[0].text if of.slips else ""
    may_be = [f"{group[0].end.say} ({group[0].kind_share:.0%})" for group in kinds[:3] if group is kinds[0] or group[0].kind_share >= 0.01]
    if of.clear:
        return may_be[:1], ""
    may_be += [f"not in our tables: {each.name} ({share:.0%})" for each, share in of.strangers[:1] if share >= 0.02]
    if of.slips:
        return may_be, of.slips[0].text
    return may_be, f"next: {of.ask_next.ask}" if of.ask_next else "nothing more helps"
