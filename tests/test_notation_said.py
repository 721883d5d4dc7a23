"""Every message of the reader, pinned whole: what it took for granted, what it asks back, what it offers.

`pinned/notation_said.txt` holds them as they were read over by a person; a changed word must be wilful:

    python tests/test_notation_said.py    # writes the page anew, to be read over as a difference
"""

import csv
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from fittings.ends import all_ends, families, family, sizes
from fittings.notation import BadText, read_end, read_family, read_pair, read_part
from fittings.tables import table

HERE = Path(__file__).parent
PINNED = HERE / "pinned" / "notation_said.txt"


LIGHT_AND_HEAVY = ("38 mm light", "42 mm heavy", "25 mm light", "35 mm heavy male", "16 mm light", "16 mm heavy male", "15 mm light male", "light 15 mm swivel", "heavy 15 mm", "12 mm light tube nut", "light JIC -6", "9L", "9S male",
                   "L15 male", "s14 swivel", "15l", "15 L male", "24° cone light", "heavy series", "6LL male", "8 mm very light male")
RUN_TOGETHER = ("8MJ", "8FJX", "8MP", "8MB", "6MB-6MJ", "8MP-8MJ", "6MBx6MJ", "MJ8", "8 MJ 3/4", "8MP 8", "-8MJ", "8-MJ", "8MJ-8", "8MJ-90", "6mb-90-6mj", "08MB",
                "8 FP", "8FP-8MJ", "16MJ 90", "8mj 8fj", "8MJ8", "12FFORX", "8FF", "8MFF", "4MP4FP")
SIGNS = ("JIC #8 male", "ORB # 6", "DN 12 hose", "dn6", "DN 13", "JIC no. 8 male", "size 8 JIC male", "1/2 in. NPT male", "1/2 inch NPT male", "12.7 mm JIC", "1/2 mm",
         "45 mm", "90 mm", "45 JIC -8", "JIC -45", "JIC -90", "JIC-8-90", "90 JIC-8", "ORB-90-6", "22x1,5", "22 x 1.5 metric", "10mm x 1.0", "8 x 6", "24x2", "23 x 1.5",
         "M 22", "M 22 x 1.5 port", "m22x1.5 male", "M22,5x1.5", "metric 22x1.5 port", "22x9", "14 x 1.5 male", "npt-1-male", "npt-1-1/4-male", "jic-06-male", "hose-8-bore",
         "3/4 x 16", "3/4 - 16", "3/4 16", "7/8 x 14 male", "3/8 18", "3/8-18 male", "1 11.5 male", "1-11.5", "1-11-1/2", "3/4 x 3/4", "1-14 tpi", "14 tpi 1/2 male", "18 threads per inch",
         "11.5 tpi male", "11.3 tpi", "1/2 tpi", "0 tpi", "16 TPI 3/4", "20.95 mm 14 tpi", "999999999999999", "1234", "0", "00 JIC", "3/0 JIC", "1/3 NPT male", "5/7 JIC",
         "0.5625-18 male", "0,875 x 14", ".5 NPT male", "1.5 NPT male", "JIC 0.75", "1.1/4 NPT male", "14 bsp", "8 npt", "38 npt male", "12 npt", "34 bspp port", "19 bsp male")
CLASHES = ("JIC ORB -8", "JIC male female -8", "NPT BSP 1/2 male", "ORB -6 stud port", "M22x1.5 -8 port", "JIC -8 -6 male", "1/2 3/4 NPT male", "9/16-18 -8 JIC male", "3/4-16 -8 JIC male",
           "ORB -6 tail", "JIC -8 port", "JIC -8 stud", "ORB -8 male swivel", "NPT 1/2 swivel", "NPT 1/2 port", "BSPP 1/2 swivel", "cone24 15L port", "ORFS -8 port", "ORFS -14 male",
           "ORB -7 male", "JIC -7", "JIC -18 male", "JIC -40", "NPT 5/8 male", "NPT 3 male", "BSPT 5/8 male", "iso6149 M15x1.5", "iso6149 M20x1.5 stud-adj", "metric30 M16x1.5", "code 62 -64 head",
           "13/16-18 male", "13/16-16 JIC male", "9/16-18 ORFS", "M26x1.5 JIC", "15L JIC male", "M22x1.5 ORB port", "1/2-14 JIC male", "7/16-28", "M21x1.5", "M17x1 male", "G5/8 male taper",
           "plug 1/2 ISO 7241 A", "nipple iso16028 1/2", "coupling 7241-A 1/2", "male tip flat face 3/8", "female coupler 1/2 B", "orifice 1/2", "banjo 1/2", "DIN 7642", "ISO 8434-1 15L", "SAE J514 -8",
           "JIK -8 male", "jicc -8", "malle JIC -8", "swivvel jic -6", "elbow", "90", "union", "tee JIC -6", "JIC -8 bulkhead", "union ORFS -8", "frobnicator 3", "?", "JIC -8 male!!", "(JIC) [-8] male")


PARTS = ("tee JIC -8", "JIC -8 tee", "tee JIC -8 x ORB -8 male", "tee JIC -8 male x JIC -8 swivel", "JIC -8 x JIC -8 x ORB -8 stud run tee", "branch tee JIC -8 x ORB -8 adjustable",
         "run tee JIC -8 swivel", "run tee JIC -8", "branch tee ORB -8 male", "tee NPT 1/2 male x NPT 1/2 female", "tee NPT 1/2 male x NPT 1/2 male", "street tee NPT 1/2", "cross JIC -8",
         "cross JIC -8 x JIC -8", "tee JIC -8 x JIC -6 x JIC -8", "tee JIC -8 x ORB -8", "street elbow NPT 1/2", "90 street NPT 1/2", "street 45 NPT 3/8", "union ORFS -8", "JIC -8 union elbow",
         "bushing 3/4 x 1/2 NPT", "bushing 1/2 x 3/4 NPT", "NPT bushing 1/2 x 1/2", "bushing NPT 3/4 male x 1/2", "bushing NPT 3/4 x 1/2 female", "bushing NPT 1/2 female x 3/4",
         "reducer JIC -8 x -6", "reducer JIC -6 x -8", "reducer NPT 3/4 x 1/2", "expander JIC -6 x JIC -8", "nipple NPT 1/2", "hex nipple 1/2 x 3/8 NPT", "coupling NPT 1/2",
         "coupling BSPP 1/2", "cap JIC -8", "plug ORB -8", "NPT 1/2 plug", "hex head plug ORB -6", "cap ORFS -8", "hose end -8 JIC -8 swivel", "hose -8 x JIC -8 female swivel 90",
         "ORB -8 x JIC -8", "ORB -8 JIC -8", "1/2 NPT x -8 JIC", "NPT 1/2 male x JIC", "ORB x JIC -8", "-8 x -6 JIC", "15L x 1/2 BSPP", "BSPP 1/2 x 15L male", "90 ORB -8 x JIC -8",
         "45 ORB -8 x JIC -8", "bulkhead JIC -8", "bulkhead 90 JIC -8", "JIC -8 x x ORB -8", "JIC -8 x", "x JIC -8", "JIC -8", "straight", "adapter JIC -8 to NPT 1/2", "adapter", "elbow JIC -8",
         "swivel elbow JIC -8", "one two three", "JIC -8 x frob", "ORB -8 x JIC -8 x NPT 1/2 x BSPP 1/2", "tee ORB -8 x JIC -8 x NPT 1/2 x BSPP 1/2")
OTHERS = ("DN 12.5 hose", "DN12,5", "JIC #8.5 male", "#8,5", "8MP-MJ", "MP-MJ 8", "FP-MJ", "8 MP-MJ", "10 mm", "13 mm male", "6 mm", "20 mm male", "25 mm female", "19 mm port",
          "reducer tee JIC -8", "reducing cross JIC -8", "reducer 90 JIC -8", "reducer cap NPT 1/2", "-8 tube NPT male", "-4 thread BSPP male", "tube -12 BSPP port", "13 mm JIC male", "20 mm ORB port",
          "25 mm NPT male", "swiv JIC -8", "couping NPT 1/2", "coupli 1/2", "adju ORB -8", "flang JIC -8", "1/2 7241-A body", "8 7241-A body", "-8 7241-A tip", "13 mm hose", "12 mm hose", "10 mm 7241-A body", "12.5 mm flat face tip", "12 mm coupler body", "DN10 7241-A body", "JIC -8 tube male", "tube -8 JIC male", "thread -8", "thread 3/4 JIC male",
          "bore -8 hose", "1/2 tube JIC male", "1/2 thread JIC male", "OD 1/2 JIC male", "ID 1/2 hose", "45 90 JIC -8", "cap plug JIC -8", "tee cross JIC -8", "union bushing NPT 1/2", "reducer bushing NPT 1/2",
          "bulkhead tee JIC -8", "bulkhead run tee JIC -8", "straight union JIC -8", "elbow tee JIC -8", "coupling cap NPT 1/2", "NPT bushing reducer 3/4 x 1/2", "swivl JIC -8", "femal JIC -8", "orffs -8", "npft 1/2",
          "fmale NPT 1/2", "adjustible ORB -8", "conne 15L", "flang -16", "couplr 1/2", "bsppp 1/2 port", "qq JIC -8", "xyzzy")
BARE = ("1/2 male", "-8 male", "1/2 female", "3/4 tip", "3/4 body", "-16 head", "-16 pad", "1 port", "1/2 swivel", "-8 swivel", "-8 stud", "-8 tube nut", "12 mm male", "12 mm port", "weld bung -8",
        "bung", "weld bung JIC -8", "R2 hose -8", "hose R2", "R12", "r1/2 hose", "8 hose", "3/8 hose tail", "hose barb 1/2", "push lock -8", "1/2 wrench", "19 mm nut", "11/16 nut",
        "nut JIC -8", "compression 1/2", "male", "female", "swivel", "stud", "port", "hose", "coupler", "flange", "flange -16", "pipe", "tube", "thread", "swivel elbow", "elbow JIC -8 male",
        "90 JIC -8 swivel", "45° ORB -6", "plug JIC -8", "cap JIC -8", "tee JIC -8 male", "straight JIC -8 male", "bushing NPT 1/2")


def _questions() -> Iterator[tuple[str, str, str]]:
    """(text, read as, place): the tables of what people type, and each family by its bare name, sizes and sexes."""
    for name in ("habits", "typed"):
        with open(HERE / "authorities" / f"notation_{name}.csv", newline="", encoding="utf-8") as file:
            for row in csv.DictReader(file):
                read_as = row["read_as"]
                yield row["typed"], "end" if read_as == "port" else read_as, row.get("place") or ("port" if read_as == "port" else "loose")
    for text in (*LIGHT_AND_HEAVY, *RUN_TOGETHER, *SIGNS, *CLASHES):
        yield from ((text, read_as, "loose") for read_as in (("end", "part") if text in RUN_TOGETHER else ("end",)))
    yield from ((text, "part", "loose") for text in PARTS)
    yield from ((text, read_as, "loose") for text in OTHERS
                for read_as in (("end", "part") if re.search("tee|union|bush|cap|cross|elbow|-MJ|reduc", text) else ("end",)))
    yield from ((row["word"], "family", "loose") for row in table("words") if row["kind"] in ("family", "short"))
    yield from ((text, "family", "loose") for text in ("", "jicc", "ORB -6", "SAE 37 degree", "JIC.", "(JIC)", "bsp", "y" * 60, "z" * 300))
    yield from ((text, "end", place) for text in BARE for place in (("loose", "any") if "JIC" in text else ("loose", "port")))
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
    """The lines of one answer: what it was read as and what was taken, or what is asked back and offered."""
    try:
        if read_as == "family":
            return [f"= {read_family(text)}"]
        if read_as == "part":
            part = read_part(text)
            return [f"= {part.shape or 'any shape'}, {' x '.join(each.id for each in part.ends)}", *([f"  {part.taken}"] * bool(part.taken))]
        found = read_pair(text, place=place) if read_as == "pair" else (read_end(text, place=place),)
        return [line for each in found for line in (f"= {each.end.id}", *([f"  {each.taken}"] * bool(each.taken)))]
    except BadText as error:
        lines = [f"! {error.kind}: {error.text}"]
        lines += [f"? {error.ask}"] if error.ask else []
        ids = [each.id for each in error.candidates]
        shown = ids if len(ids) <= 6 else [*ids[:4], f"… {ids[-1]}, {len(ids)} in all"]
        return lines + [f"  {' '.join(shown)}"] * bool(ids)


def page() -> str:
    """All messages, in the order of the questions."""
    out = []
    for text, read_as, place in dict.fromkeys(_questions()):
        out += [f"{text!r} as {read_as}, {place}", *_said(text, read_as, place), ""]
    return "\n".join(out)


@pytest.mark.parametrize(("sign", "text", "id_"), [
    # signs that a word processor or another keyboard puts in the place of the plain one (Unicode names them so)
    *[(sign, "JIC {}8 male", "jic-8-male") for sign in "‐‑‒–—−﹣－"],
    *[(sign, "1/2{} NPT male", "npt-1/2-male") for sign in "“”„″‟"], *[(sign * 2, "1/2{} NPT male", "npt-1/2-male") for sign in "‘’′`´"],
    *[(sign, "1{}2 NPT male", "npt-1/2-male") for sign in "⁄∕"], *[(sign, "37{} flare -8 male", "jic-8-male") for sign in "°º˚"],
    *[(sign, "M22{}1.5 ISO 6149 port", "iso6149-M22x1.5-port") for sign in "×✕✖∗*"], ("·", "M22x1{}5 ISO 6149 port", "iso6149-M22x1.5-port"),
    *[(sign, "JIC -8 {}male", "jic-8-male") for sign in "∅⌀ø"], ("№", "JIC {}8 male", "jic-8-male"),
    ("（", "{}JIC) -8 male", "jic-8-male"), ("）", "(JIC{} -8 male", "jic-8-male"),
])
def test_signs_of_print(sign: str, text: str, id_: str) -> None:
    assert read_end(text.format(sign)).end.id == id_


def test_an_error_carries_what_was_typed_and_reads_as_its_text() -> None:
    with pytest.raises(BadText) as caught:
        read_end("JIC -7\n male")
    error = caught.value
    assert (error.typed, error.kind, str(error)) == ("JIC -7\n male", "not covered", error.text)
    assert error.text == "JIC is not made in size -7, as far as our tables go"
    assert (BadText("a", "b").ask, BadText("a", "b").candidates, BadText("a", "b \n c").text, BadText("a", "b").kind) == (None, (), "b c", "not understood")


@pytest.mark.parametrize("arrow", ["→", "⇒", "⟶", "->"])
def test_arrows_part_two_ends(arrow: str) -> None:
    assert [each.end.id for each in read_pair(f"ORB -6 port{arrow}JIC -8 male")] == ["orb-6-port", "jic-8-male"]


def test_messages_are_those_that_were_read_over() -> None:
    now, then = page().split("\n\n"), PINNED.read_text("utf-8").split("\n\n")
    assert [(one, other) for one, other in zip(now, then, strict=False) if one != other][:3] == []
    assert len(now) == len(then) > 500


if __name__ == "__main__":
    PINNED.write_text(page(), "utf-8")
    print(PINNED)
