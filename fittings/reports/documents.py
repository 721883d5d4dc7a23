"""Documents cited by number, as in `[A 1 4]`, with the confidence of the figure before them; the list stands at the foot."""

from collections.abc import Sequence

from fittings.sources import register

FROM_MEMORY = " (from memory)"


def memory(confidence: str) -> str:
    """The mark beside a figure that nothing but memory stands for."""
    return FROM_MEMORY if confidence == "C" else ""


class Documents:
    """Numbers documents in the order in which they are first cited.

    >>> cited = Documents()
    >>> cited.mark(("practice", "arithmetic"), "A"), cited.mark(("arithmetic",)), cited.mark((), "C")
    (' [A 1 2]', ' [2]', ' [C] (from memory)')
    """

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def mark(self, sources: Sequence[str], confidence: str = "") -> str:
        """What stands behind a figure or a sentence: confidence and numbers in brackets, nothing where both are missing."""
        numbers = [str(self._numbers.setdefault(each, len(self._numbers) + 1)) for each in sources]
        inside = " ".join(each for each in (confidence, *numbers) if each)
        return (f" [{inside}]" if inside else "") + memory(confidence)

    def listed(self) -> list[str]:
        """What each number stands for, from 1 on: the document in words and its id."""
        known = register()
        return [f"{known[each].what} ({each})" if each in known else each for each in self._numbers]


def sourced(sources: Sequence[str], confidence: str) -> str:
    """The documents that a figure comes from, its confidence, and the mark of what is from memory: `[sae-j514; A]`."""
    return f"[{', '.join(sources)}; {confidence}]{memory(confidence)}"
