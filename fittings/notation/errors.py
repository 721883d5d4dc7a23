"""The three ways in which a text fails to be an end or a part.

Not understood, ambiguous and not covered are kept apart because the person does something else in each case: corrects
a word, answers a question, or looks for the piece somewhere else.
"""

from typing import Literal

from fittings.ends import End

Kind = Literal["not understood", "ambiguous", "not covered"]


class BadText(ValueError):
    """A text that was not read: what was `typed`, what is wrong in one line (`text`), the question to ask back or what
    would be right (`ask`, or None), and the ends that it may mean (`candidates`).

    >>> from fittings.notation import read_end
    >>> try:
    ...     read_end("JIC -7 male")
    ... except BadText as error:
    ...     print(error.kind)
    not covered
    """

    kind: Kind = "not understood"

    def __init__(self, typed: str, text: str, ask: str | None = None, candidates: tuple[End, ...] = ()) -> None:
        text = " ".join(text.split())  # what was typed may hold line breaks, the message is one line
        super().__init__(text)
        self.typed, self.text, self.ask, self.candidates = typed, text, ask, candidates


class NotUnderstood(BadText):
    """A word is unknown, the words contradict each other, or nothing in the text names an end.

    `wrong` is the unknown word as it stands in the folded text, `near` the word of the table that is most like it; both are
    "" when no word is at fault. `part` says that the text names no single end: it may be a part.
    """

    kind: Kind = "not understood"

    def __init__(self, typed: str, text: str, ask: str | None = None, candidates: tuple[End, ...] = (), *,
                 wrong: str = "", near: str = "", part: bool = False) -> None:
        super().__init__(typed, text, ask, candidates)
        self.wrong, self.near, self.part = wrong, near, part


class Ambiguous(BadText):
    """The text can mean several ends; `ask` is the question that an experienced hand would ask back."""

    kind: Kind = "ambiguous"


class NotCovered(BadText):
    """The text is understood, but the tables do not hold that end; `ask` says what they hold instead."""

    kind: Kind = "not covered"
