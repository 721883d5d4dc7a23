"""A family by name: its key, its everyday name, or any word for it that means one family only."""

from functools import cache

from fittings.ends import families, family
from fittings.notation.errors import Ambiguous, NotUnderstood
from fittings.notation.words import LONGEST_TEXT, atoms, fold, groups, nearest, phrase_at


@cache
def _by_name() -> dict[tuple[str, ...], str]:
    named = {atoms(fold(family(key)["nick"]).text): key for key in families()}
    return named | {atoms(fold(key).text): key for key in families()}


def read_family(text: str) -> str:
    """The key of the family that a text names. Raises NotUnderstood, or Ambiguous when it names more than one.

    >>> read_family("NPT"), read_family("O-ring boss")
    ('npt', 'orb')
    """
    typed = text.strip()
    folded = fold(typed[:LONGEST_TEXT]).text.strip()
    key = _by_name().get(atoms(folded))
    if key:
        return key
    found = phrase_at(folded, 0) if folded else None
    keys = list(found.word.values("family")) if found and not folded[found.stop:].strip(" .)°") else []
    if len(keys) != 1:
        near = nearest(folded)
        known = ", ".join(families())
        shown = f"“{typed if len(typed) <= LONGEST_TEXT else typed[:40] + ' …'}”"
        raise NotUnderstood(typed[:LONGEST_TEXT], f"{shown} is not the name of a family of ends",
                            f"did you mean {' or '.join(near)}?" if near else f"the families are {known}")
    group = groups()[keys[0]]
    if group.key in families():
        return group.key
    if len(group.families) > 1:
        raise Ambiguous(typed, f"“{typed}” can be {' or '.join(group.families)}", f"say which: {', '.join(group.families)}")
    return group.families[0]
