"""What is wrong with a job file: every mistake at once, each with its line, what was read, and what would be right."""

from difflib import get_close_matches
from typing import NamedTuple

from pydantic_core import PydanticCustomError

LONGEST_SHOWN = 80
MOST_LISTED = 40
MOST_COMPARED = 300
"""Words held against a mistyped one: each costs time, and a job of thousands of ports may have thousands of mistakes."""


class Mistake(NamedTuple):
    """One mistake: `line` from 1 (None when the whole file is meant), where in words, what was typed, what is wrong
    with it, what would be right."""

    line: int | None
    where: str
    typed: str
    wrong: str
    right: str

    def say(self, name: str = "") -> str:
        """The mistake in one line: `job.toml:12: line "raise", route.length: ...`."""
        place = ":".join(str(part) for part in (name, self.line) if part)
        head = f"{place}: " if place else ""
        typed = f" {shown(self.typed)}" if self.typed else ""
        right = f"; {self.right}" if self.right else ""
        return f"{head}{self.where}{typed}: {self.wrong}{right}"


class BadJob(ValueError):
    """A job file that cannot be planned as it stands; `mistakes` holds all of them, in the order of the file."""

    def __init__(self, mistakes: list[Mistake], name: str = "") -> None:
        self.mistakes = sorted(mistakes, key=lambda each: (each.line or 0, each.where))
        self.name = name
        super().__init__("\n".join(each.say(name) for each in self.mistakes))


def shown(typed: str) -> str:
    """What was typed, in quotes, cut when it is long."""
    plain = typed if len(typed) <= LONGEST_SHOWN else typed[:LONGEST_SHOWN] + "…"
    return f"“{plain}”"


def typed_text(value: object) -> str:
    """A value as it stands in a TOML file, near enough to be found again."""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return "[" + ", ".join(typed_text(each) for each in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {typed_text(each)}" for key, each in value.items()) + "}"
    return str(value)


def nearest(word: str, known: list[str]) -> str:
    """`did you mean relief?` with what comes near, else a list of what there is."""
    alike = known if len(known) <= MOST_COMPARED else [each for each in known if each[:1].lower() == word[:1].lower()][:MOST_COMPARED]
    near = get_close_matches(word.lower(), [each.lower() for each in alike], n=2, cutoff=0.6)
    close = [each for each in known if each.lower() in near]
    if close:
        return f"did you mean {' or '.join(close)}?"
    more = f" and {len(known) - MOST_LISTED} more" if len(known) > MOST_LISTED else ""
    return f"there is {', '.join(known[:MOST_LISTED])}{more}" if known else "there is none"


def wrong_value(typed: object, wrong: str, right: str) -> PydanticCustomError:
    """A mistake in one value, as the models raise it."""
    return PydanticCustomError("wrong_value", "{wrong}", {"typed": typed_text(typed), "wrong": wrong, "right": right})
