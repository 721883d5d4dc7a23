"""What is stamped on a fitting, read as far as a mark says anything.

A mark is matched by whole words: letters of a standard (`NPTF`, `PT`, `ORFS`), a thread (`9/16-18`, `M22x1.5`, `G1/2`)
or a tube with its series (`15L`). A maker's own signs say nothing and count for nothing.
"""

import re
from functools import cache

from fittings.ends import End, all_ends, sizes
from fittings.identify.noise import noise
from fittings.saying import either
from fittings.tables import table
from fittings.threads import UnknownThread, thread

_THREADS = re.compile(
    r"(?:\d+[ -])?\d+(?:/\d+)?\s*-\s*\d+(?:\.\d+)? ?(?:NPTF?|NPSM)"
    r"|M\s*\d+(?:[.,]\d+)?\s*[X×*]\s*\d+(?:[.,]\d+)?"
    r"|(?:\d+[ -])?\d+/\d+\s*-\s*\d+(?:\.\d+)?"
    r"|(?<![A-Z])(?:G|RC|RP|R)\s*\d[\d/ -]*"
)
_APART = r"(?<![\w/.])"
_SIZE = _APART + r"\d+(?:[ -]\d+)?(?:/\d+)?(?![\w/.])"
_TUBE = re.compile(r"\b(\d{1,2})\s*(DKO)?(LL|L|S)\b|\b(DKO)?(LL|L|S)\s*(\d{1,2})\b")


LEFT_HAND = "left-hand"
"""What stands in place of families for a mark of a left-hand thread: none of the ends of our tables has one."""


@cache
def meant(text: str) -> frozenset[tuple[str, str, str]]:
    """What a marking speaks of: (family, size, form), each empty where it does not say; empty when it says nothing.

    >>> sorted(meant("M22x1.5"))[0]
    ('cone24', '14S', '')
    """
    upper = " ".join(text.upper().replace("”", "").replace('"', "").split())
    if any(row["mark"] in _tokens(upper) for row in table("identify/markings") if row["families"] == LEFT_HAND):
        return frozenset({(LEFT_HAND, "", "")})
    found: set[tuple[str, str, str]] = set()
    for piece in _THREADS.findall(upper):
        found |= _ends_of_thread(piece.strip())
    for number, nut_after, series, nut_before, before, after in _TUBE.findall(upper):
        size, form = f"{number or after}{series or before}", "swivel" if nut_after or nut_before else ""
        found |= {("cone24", each.size, form) for each in all_ends() if each.family == "cone24" and each.size == size}
    found = found or _sized(upper)
    if found:
        return frozenset(found)
    tokens = _tokens(upper)
    for row in table("identify/markings"):
        if row["mark"] in tokens:
            found |= {(family, "", form) for family in row["families"].split() for form in row["forms"].split() or [""]}
    return frozenset(found)


def _tokens(upper: str) -> set[str]:
    return set(re.findall(r"[A-Z]+\d*|\d+", upper.replace("ISO 6149", "ISO6149")))


def _sized(upper: str) -> set[tuple[str, str, str]]:
    """Letters of a standard with a size of its own beside them: `JIC 8`, `ORB-10`, `1/2 NPT`."""
    found: set[tuple[str, str, str]] = set()
    for row in table("identify/markings"):
        if row["mark"].isdigit():
            continue
        beside = re.findall(rf"({_SIZE}) (?={row['mark']}(?![A-Z]))|(?<![A-Z]){row['mark']}[ -]*({_SIZE.removeprefix(_APART)})", upper)
        for number in {(before or after).replace(" ", "-") for before, after in beside}:
            found |= {(family, size, form) for family in row["families"].split() for size in (number, f"-{number}") if size in sizes(family)
                      for form in row["forms"].split() or [""]}
    return found


def _ends_of_thread(piece: str) -> set[tuple[str, str, str]]:
    try:
        spec = thread(piece)
    except UnknownThread:
        return set()
    keys = {spec.key, spec.key.replace("Rp", "R")}
    return {(each.family, each.size, "") for each in all_ends() if each.thread in keys}


def mark_share(text: str, of: End | None) -> float:
    """Share of ends of this kind that would carry such a mark; None is an end that is none of the standard ones."""
    speaks = meant(text)
    if not speaks:
        return 1.0
    left_hand = is_left_hand(text)
    wrong = noise("mark_left_hand" if left_hand else "mark_false_size" if all(size for _, size, _ in speaks) else "mark_false")
    if of is None:
        return noise("mark_true") if left_hand else wrong
    fits = any(family == of.family and size in ("", of.size) and form in ("", of.form) for family, size, form in speaks)
    return noise("mark_true") if fits else wrong


def is_left_hand(text: str) -> bool:
    """Whether a marking speaks of a left-hand thread, whatever else it says.

    >>> is_left_hand("G3/8 LH"), is_left_hand("15L"), is_left_hand("Linksgewinde")
    (True, False, True)
    """
    return (LEFT_HAND, "", "") in meant(text)


def mark_notes(text: str | None) -> tuple[str, ...]:
    """A line for a marking that says nothing to our tables, so that nobody thinks it was counted.

    >>> mark_notes("XK77"), mark_notes("15L")
    (('our tables know no marking “XK77”: it counts for nothing',), ())
    >>> mark_notes("JIC 7")
    ('of the marking “JIC 7” the 7 is no size that our tables know: it counts for nothing',)
    """
    if not text:
        return ()
    if is_left_hand(text):
        return ("a left-hand thread is for gas, or for what a shaft would undo, and not for hydraulics: none of our ends has one",)
    if not meant(text):
        return (f"our tables know no marking “{text}”: it counts for nothing",)
    marks = {row["mark"] for row in table("identify/markings")}
    number = next((token for token in sorted(_tokens(text.upper())) if token.isdigit() and token not in marks), None)
    if number and not all(size for _, size, _ in meant(text)):
        return (f"of the marking “{text}” the {number} is no size that our tables know: it counts for nothing",)
    return ()


@cache
def own_marks(family: str) -> str:
    """The marks that say most of a family, in words; ends that share all their marks have the same, '' without any.

    >>> own_marks("npt"), own_marks("jis30") == own_marks("bsp60")
    ('NPTF, NPT or PTF', True)
    """
    sets = [(frozenset(row["families"].split()), row["mark"]) for row in table("identify/markings")]
    speaking = [families for families, _ in sets if family in families]
    narrowest = min(speaking, key=len, default=frozenset())
    return either([mark for families, mark in sets if families == narrowest][:3]) if speaking else ""
