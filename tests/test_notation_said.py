"""Every message of the reader, pinned whole: what it took for granted, what it asks back, what it offers.

`pinned/notation_said.txt` holds them as they were read over by a person; a changed word must be wilful:

    python tests/test_notation_said.py    # writes the page anew, to be read over as a difference
"""

import csv
from collections.abc import Iterator
from pathlib import Path

from fittings.ends import all_ends, families, family, sizes
from fittings.notation import BadText, read_end, read_family, read_pair, read_part

HERE = Path(__file__).parent
PINNED = HERE / "pinned" / "notation_said.txt"


def _questions() -> Iterator[tuple[str, str, str]]:
    """(text, read as, place): the tables of what people type, and each family by its bare name, sizes and sexes."""
    for name in ("habits", "typed"):
        with open(HERE / "authorities" / f"notation_{name}.csv", newline="", encoding="utf-8") as file:
            for row in csv.DictReader(file):
                read_as = row["read_as"]
                yield row["typed"], "end" if read_as == "port" else read_as, row.get("place") or ("port" if read_as == "port" else "loose")
    for key in families():
        nick = family(key)["nick"]
        for place in ("loose", "port"):
            yield from ((text, "end", place) for text in (nick, f"{nick} male", f"{nick} female", f"{nick} 99"))
            yield from ((f"{nick} {sizes(key)[3]}{sex}", "end", place) for sex in ("", " female", " swivel", " 90"))
    for size in dict.fromkeys(size for key in families() for size in sizes(key)[::5]):
        yield size, "end", "loose"
    for thread in dict.fromkeys(each.thread for each in all_ends()[::19] if each.thread):
        yield from ((text, "end", "loose") for text in (thread, f"{thread} male"))
    for a, b in zip(all_ends()[::61], all_ends()[30::61], strict=False):
        yield from ((f"{a.say} x {b.say}", read_as, "loose") for read_as in ("pair", "part"))


def _said(text: str, read_as: str, place: str) -> list[str]:
    """The lines of one answer; none where the text said everything and nothing is asked."""
    try:
        if read_as == "family":
            return [f"= {read_family(text)}"]
        if read_as == "part":
            part = read_part(text)
            return [f"= {part.shape or 'any shape'}, {' x '.join(each.id for each in part.ends)}", f"  {part.taken}"] if part.taken else []
        found = read_pair(text, place=place) if read_as == "pair" else (read_end(text, place=place),)
        return [line for each in found if each.taken for line in (f"= {each.end.id}", f"  {each.taken}")]
    except BadText as error:
        lines = [f"! {error.kind}: {error.text}"]
        lines += [f"? {error.ask}"] if error.ask else []
        return lines + ([f"  {' '.join(each.id for each in error.candidates)}"] if error.candidates else [])


def page() -> str:
    """All messages, in the order of the questions."""
    out = []
    for text, read_as, place in dict.fromkeys(_questions()):
        if lines := _said(text, read_as, place):
            out += [f"{text!r} as {read_as}, {place}", *lines, ""]
    return "\n".join(out)


def test_messages_are_those_that_were_read_over() -> None:
    now, then = page().split("\n\n"), PINNED.read_text("utf-8").split("\n\n")
    assert [(one, other) for one, other in zip(now, then, strict=False) if one != other][:3] == []
    assert len(now) == len(then) > 500


if __name__ == "__main__":
    PINNED.write_text(page(), "utf-8")
    print(PINNED)
