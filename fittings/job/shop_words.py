"""The words for the shop, once: hoses and rings on the bill, sentences of the assembly list. Those who write a plan and those who
hold a saved one against it say the same.

Nothing here plans, so that the second opinion may use it.
"""

from collections.abc import Sequence
from math import floor

from fittings.ends import End
from fittings.ratings import Ring
from fittings.threads import thread
from fittings.units import MM_PER_IN, Units, format_length, inch

JOIN_HOSE = "Join the hose to {port} without twisting the hose"
UNTWISTED = "the hose, without twisting it,"
NEXT_TEE = "the next tee"
LAST_ON = ". Lay the hose without a twist (watch the lay line) and tighten"
FIRST_ON = ", by hand first, then tighten"

HOLD_PART = "on the part before it"
HOLD_ADAPTER = "on the adapter behind it"
HOLD_TEE = "on the tee before it"
HOLD_HOSE_END = "on the hose end, so that the hose does not turn"
HOLD_BOTH = "on the hexagon of the hose end, and mind that of the adapter: only the nut between them turns"
HOLD_BUILT = "on the part that is on the hose already, so that only the nut turns and not the hose"
HOLD_NEITHER = "on the adapter, and mind the hexagon of the hose end: neither may turn"
HOLD_NONE = "none: the other end of the hose must still hang free"

MEASURED = ("overall length: straight male end to its tip, US female swivel to the end of the nut, BSP and metric swivel and face "
            "seal to the seat, bent end to the centre line of its seat")
"""How the length of a hose is measured, for the order (read off four hose-assembly makers' pages)."""

SORTS = ("hose", "adapter", "tee", "clamp", "ring", "breather", "plug", "sealant", "oil")
"""What a bill holds, in its order."""


def outward(part: str, elbow: bool, near: End, where: str) -> str:
    """A part, in words, put on from a held port outward by its end `near`."""
    verb = "Put" if near.moves == "turns" else "Screw"
    way = "into" if near.sex == "male" else "onto"
    return f"{verb} {part} {way} {where}{_how_it_is_set(elbow, near)}"


def at_port(port: str) -> str:
    """Where the first part goes; `port` as `component.port`."""
    return f"port {port}"


def on_part(free: End) -> str:
    """Where the next part goes: on the free end of the one before it."""
    return f"{free.say} of the part before it"


def _how_it_is_set(elbow: bool, near: End) -> str:
    """How a part that must point somewhere is brought there: by its locknut, or by turning on."""
    if near.moves == "sets":
        return (": locknut back as far as it goes, in by hand until the washer meets the face, back at most one turn to where it must "
                "point, hold it there and tighten the locknut")
    if elbow and near.thread and thread(near.thread).taper:
        return ": tighten, and go on to where it must point; never turn it back"
    return ""


def outlets_said(outlets: Sequence[tuple[str, str]]) -> str:
    """Where the outlets of one tee lead, in words.

    >>> outlets_said([("run", "left arm.cap"), ("branch", "right arm.cap")])
    'run to left arm.cap, branch to right arm.cap'
    """
    return ", ".join(f"{place or 'an outlet'} to {leads}" for place, leads in outlets)


def tee_ready(tee: str, onward: str) -> str:
    """A tee between hoses, which is held and not screwed in; `onward`: where its outlets lead."""
    return f"Have {tee} ready where the line splits, held so that no hose is bent at its end: {onward}"


def tee_at_port(tee: str, port: str, onward: str, coupled: bool) -> str:
    """A tee put on what is in a port, or on what will be coupled to it."""
    return f"Put {tee} {f'on what will lead to {port}' if coupled else f'on at {port}'} and point its outlets: {onward}"


def tee_on_tee(tee: str, onward: str) -> str:
    """A tee screwed on the tee before it, with where its outlets lead."""
    return f"Put {tee} on the tee before it: {onward}"


def couple(port: str) -> str:
    """Joining the halves of a coupler at a port (common practice, no source)."""
    return (f"Now that every other joint is made, couple {port}: engine off, no pressure on either half, both halves wiped clean. Push "
            "them home without twisting the hose, and pull to see that they hold")


def on_the_bench(part: str, hose_end: End | None) -> str:
    """A part put on while the hose hangs free: on the hose end, or on the part that is there already."""
    return f"Put {part} on " + ("the part before it" if hose_end is None else f"the hose end, {hose_end.say}")


def hose_on(port: str, hose_end: End, last: bool) -> str:
    """A hose end that turns, put on at a port; the `last` one is laid first."""
    return f"Put the hose on at {port}: {hose_end.say}{LAST_ON if last else FIRST_ON}"


def hose_by(hose_end: End) -> str:
    """A hose that is bolted on by a flanged end."""
    return f"the hose, {hose_end.say}, without a twist,"


def hose_in(port: str, hose_end: End) -> str:
    """A hose end that does not turn, screwed in at a port."""
    return f"Screw the rigid end of the hose, {hose_end.say}, in at {port}, turning the whole hose"


def hose_words(hose: str, length: str, near: tuple[End, str], far: tuple[End, str], angle_deg: float | None) -> str:
    """A hose assembly: its type and size, its length in words, both ends with their shape, and the angle between two that are bent."""
    bent = all(shape != "straight" for _, shape in (near, far))
    between = "" if not bent else (
        ", angle to be measured" if angle_deg is None else f", angle between the bent ends {angle_deg:g}°")
    first, second = (f"{each.say}, {shape}{'°' if shape.isdigit() else ''}" for each, shape in (near, far))
    return f"hose {hose}, {length}, {first} × {second}{between}"


def length_words(length_in: float | None, plus_in: float | None, minus_in: float | None, units: Units) -> str:
    """The length of a hose with its tolerance, as ordered."""
    if length_in is None or plus_in is None or minus_in is None:
        return "length to be measured"
    plus, minus = (_tolerance(each, units) for each in (plus_in, minus_in))
    return f"{format_length(length_in * MM_PER_IN, units)} long, {'±' + plus if plus == minus else f'+{plus} -{minus}'}"


def _tolerance(value_in: float, units: Units) -> str:
    """A tolerance in sixteenths of an inch or whole millimetres, never wider than it is: cut shorter the hose would not reach."""
    if units == "metric":
        return f"{floor(value_in * MM_PER_IN + 1e-4)} mm"
    return inch(floor(value_in * 16 + 1e-4) / 16)


def ring_words(ring: Ring, units: Units = "both") -> str:
    """A ring in the words for the counter."""
    return ring.words(units)


def lube(kind: str, ring: bool, bolts: bool) -> str:
    """What is oiled before a joint is made, by the kind of its seal, or that it has bolts (common practice, no source)."""
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
