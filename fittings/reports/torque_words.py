"""What it takes to tighten a joint, in words: the same in every report."""

from collections.abc import Callable, Iterator, Sequence
from typing import Protocol

from fittings.mating import Seal
from fittings.ratings import Torque, Turn, makers_differ
from fittings.units import Units, format_torque, format_torque_band


class Tight(Protocol):
    """What carries torque and turns: a verdict, or a joint of a plan."""

    @property
    def torque(self) -> tuple[Torque, ...]: ...

    @property
    def turns(self) -> tuple[Turn, ...]: ...

    @property
    def no_torque_for(self) -> str: ...


Mark = Callable[[Sequence[str], str], str]
"""Gives the sources and the confidence of a figure as they stand behind it, with the blank before them."""

ASK = "ask the maker"
LESS = "for a steel port: aluminium takes less, often half"
DIFFER = "the makers differ by a factor of two or more: follow the maker of the part"


def band_words(band: Torque, units: Units) -> str:
    """A torque band, in lbf·ft never wider than it was printed.

    >>> band_words(Torque(56, 85, "light", "steel", True, (), "A", ""), "both")
    '42-62 lbf·ft (56-85 N·m)'
    """
    return format_torque_band(band.low_nm, band.high_nm, units)


def school_words(band: Torque) -> str:
    """The school of a band, the metal it is for, and what the school is for."""
    return f"{band.school}, {band.port}" + (f": {band.says}" if band.says else "")


def turn_words(turn: Turn, units: Units) -> str:
    """How far to turn, from where, and the torque never to be passed.

    >>> turn_words(Turn(2, 2, "flats", "finger tight", None, "light", (), "B"), "both")
    '2 flats past finger tight (light)'
    """
    far = f"{turn.low:g}" if turn.low == turn.high else f"{turn.low:g}-{turn.high:g}"
    unit = turn.unit.removesuffix("s") if turn.low == turn.high == 1 else turn.unit
    cap = f", at most {format_torque(turn.ceiling_nm, units)}" if turn.ceiling_nm else ""
    return f"{far} {unit} past {turn.start}{cap}" + (f" ({turn.school})" if turn.school else "")


def own_turns(of: Tight) -> list[Turn]:
    """The turns that stand beside the band in use: those of its school, and those of no band."""
    others = {band.school for band in of.torque[1:]}
    return [turn for turn in of.turns if turn.school not in others]


def lacking(of: Tight, seal: Seal | None) -> str:
    """What our tables do not hold of the torque, in words; '' when the first band is for this joint."""
    if seal is None or not seal.drawn_tight:
        return ""
    if of.no_torque_for:
        return f"not in our tables for {of.no_torque_for}: {ASK}"
    return "" if of.torque else f"not in our tables{'' if of.turns else ', nor how far to turn'}: {ASK}"


def torque_notes(of: Tight) -> Iterator[str]:
    """What is to be known beside the bands: a softer port, makers that lie far apart."""
    if of.torque and of.torque[0].less_in_aluminium:
        yield LESS
    if makers_differ(of.torque):
        yield DIFFER


def tightening_lines(of: Tight, seal: Seal | None, units: Units, mark: Mark, most: int = 99) -> Iterator[tuple[str, str]]:
    """Lines with their heads (`torque`, `or`, `turn`, ``): what is lacking, at most so many bands with the turns of their
    schools beside them, the other turns, and the notes."""
    head, left = "torque", list(of.turns)
    lacks = lacking(of, seal)
    if lacks:
        yield head, lacks
        head = "or"
    for band in of.torque[:most]:
        yield head, f"{band_words(band, units)} {school_words(band)}{mark(band.sources, band.confidence)}"
        for turn in [each for each in left if each.school == band.school]:
            left.remove(turn)
            yield "turn", f"{turn_words(turn, units)}{mark(turn.sources, turn.confidence)}"
        head = "or"
    for turn in left:
        yield "turn", f"{turn_words(turn, units)}{mark(turn.sources, turn.confidence)}"
    yield from (("", note) for note in torque_notes(of))
