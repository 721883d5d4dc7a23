"""A family by name: its key, its everyday name, or any word for it that means one family only."""

from difflib import get_close_matches
from functools import cache

from fittings.ends import families, family
from fittings.notation.errors import Ambiguous, NotUnderstood
from fittings.tables import table


@cache
def _names() -> dict[str, tuple[str, ...]]:
    groups = {row["group"]: tuple(row["families"].split()) for row in table("words-groups")}
    names = {row["word"].casefold(): groups.get(row["value"], (row["value"],))
             for row in table("words") if row["kind"] == "family"}
    for key in families():
        names[key] = names[family(key)["nick"].casefold()] = (key,)
    return {name: some for name, some in names.items() if all(key in families() for key in some)}


def read_family(text: str) -> str:
    """The key of the family that a text names. Raises NotUnderstood, or Ambiguous when it names more than one.

    >>> read_family("NPT")
    'npt'
    """
    found = _names().get(" ".join(text.casefold().split()))
    if found is None:
        near = get_close_matches(text.casefold(), _names(), n=3, cutoff=0.6)
        ask = f"did you mean {' or '.join(near)}?" if near else f"the families are {', '.join(families())}"
        raise NotUnderstood(text, f"{text!r} is not the name of a family of ends", ask)
    if len(found) > 1:
        raise Ambiguous(text, f"{text!r} can be {' or '.join(found)}", f"say which: {', '.join(found)}")
    return found[0]
