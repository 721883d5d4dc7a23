"""A four-bolt flange as it is bought and drawn down: a pair of split clamp halves, four bolts, evenly and crosswise.

The pad's thread is metric or inch and nothing outside tells which, so a plan names both until somebody has measured.
"""

from typing import TYPE_CHECKING

from fittings.ends import End, family
from fittings.figures import figure
from fittings.saying import either

if TYPE_CHECKING:
    from fittings.chain import Joint

BOLTS = 4


def bolted(of: "Joint") -> bool:
    """Whether a joint is held by the bolts of a flange."""
    return family(of.a.family)["kin"] == "flange"


def bolt_words(of: End) -> str:
    """The threads that the pad of a flange may have, '' when our tables hold none.

    >>> bolt_words(End("code62", "-32", "head"))
    'M20 or 3/4-10'
    """
    pad = End(of.family, of.size, "pad")
    found = [each for name in ("screw_metric_text", "screw_inch_text") if (each := figure(pad, name)) is not None]
    return either(value for each in found for value in (each.value, *(also.value for also in each.also))) if found else ""


def halves_said(head: End) -> str:
    """What holds a flanged head, in the words for the counter; a pair for each."""
    return f"pair of split clamp halves for {head.say}"


def bolts_said(head: End) -> str:
    """The bolts of a flange in the words for the counter; `BOLTS` for each."""
    return f"bolt for {head.say}, {bolt_words(head) or 'thread not in our tables'}"


def draw_down(head: str, place: str, of: End) -> str:
    """How a flanged head is put on its pad; `head` and `place` in words, `of` the one or the other (common practice, no source)."""
    bolts = bolt_words(of) or "their thread is not in our tables"
    return (f"Put {head} on {place}: O-ring in the groove of the head, head flat on the pad, both clamp halves over it, four bolts "
            f"({bolts}: as the pad measures) in by hand until the gap is the same all round. Tighten crosswise in stages, evenly, so "
            "that no side closes before the other")
