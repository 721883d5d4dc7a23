"""What is stamped on a fitting, read as far as a mark says anything.

A mark is matched by whole words: letters of a standard (`NPTF`, `PT`, `ORFS`), a thread (`9/16-18`, `M22x1.5`, `G1/2`)
or a tube with its series (`15L`). A maker's own signs say nothing and count for nothing.
"""

import re
from functools import cache

from fittings.ends import End, all_ends
from fittings.identify.noise import noise
from fittings.tables import table
from fittings.threads import UnknownThread, thread

_THREADS = re.compile(
    r"(?:\d+[ -])?\d+(?:/\d+)?\s*-\s*\d+(?:\.\d+)? ?(?:NPTF?|NPSM)"
    r"|M\s*\d+(?:[.,]\d+)?\s*[X×*]\s*\d+(?:[.,]\d+)?"
    r"|(?:\d+[ -])?\d+/\d+\s*-\s*\d+(?:\.\d+)?"
    r"|(?<![A-Z])(?:G|RC|RP|R)\s*\d[\d/ -]*"
)
_TUBE = re.compile(r"\b(\d{1,2})\s*(LL|L|S)\b|\b(LL|L|S)\s*(\d{1,2})\b")


@cache
def meant(text: str) -> frozenset[tuple[str, str, str]]:
    """What a marking speaks of: (family, size, form), each empty where it does not say; empty when it says nothing.

    >>> sorted(meant("M22x1.5"))[0]
    ('cone24', '14S', '')
    """
    upper = " ".join(text.upper().replace("”", "").replace('"', "").split())
    found: set[tuple[str, str, str]] = set()
    for piece in _THREADS.findall(upper):
        found |= _ends_of_thread(piece.strip())
    for number, series, before, after in _TUBE.findall(upper):
        size = f"{number or after}{series or before}"
        found |= {("cone24", each.size, "") for each in all_ends() if each.family == "cone24" and each.size == size}
    if found:
        return frozenset(found)
    tokens = set(re.findall(r"[A-Z]+\d*|\d+", upper.replace("ISO 6149", "ISO6149")))
    for row in table("identify/markings"):
        if row["mark"] in tokens:
            found |= {(family, "", form) for family in row["families"].split() for form in row["forms"].split() or [""]}
    return frozenset(found)


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
    if of is None:
        return noise("mark_false")
    fits = any(family == of.family and size in ("", of.size) and form in ("", of.form) for family, size, form in speaks)
    return noise("mark_true") if fits else noise("mark_false")
