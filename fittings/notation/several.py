"""Two ends in one text, and parts: the ends of one piece with its shape."""

from collections.abc import Sequence
from typing import NamedTuple

from fittings.ends import End, end, family, forms
from fittings.notation.errors import Ambiguous, BadText, NotCovered, NotUnderstood
from fittings.notation.hearing import Heard, hear, nothing_besides
from fittings.notation.pieces import Cut, Piece, cut
from fittings.notation.reading import REDUCING_NIPPLE, Reading, interpret, one_end_has
from fittings.notation.shaping import TEES, Shaped, shaped
from fittings.notation.sizes import Size, fits, size_kind
from fittings.notation.words import groups, usual
from fittings.saying import counted


class PartReading(NamedTuple):
    """A part as typed: its `ends` in the order named, its `shape` ("" when none was named), and what was `taken`."""

    ends: tuple[End, ...]
    shape: str
    taken: str


def read_pair(text: str, *, place: str = "loose") -> tuple[Reading, Reading]:
    """The two ends of "A to B", "A x B" or "A -> B"; what one side leaves out is lent by the other. Raises BadText.

    >>> [each.end.id for each in read_pair("ORB -6 port to JIC -8 swivel")]
    ['orb-6-port', 'jic-8-swivel']
    >>> [each.end.id for each in read_pair("1/2 NPT male to female")]
    ['npt-1/2-male', 'npt-1/2-female']
    """
    typed = text.strip()
    pieces = cut(typed)
    sides = [hear(side, pieces.typed_side(side)) for side in pieces.sides()]
    for each in sides:
        nothing_besides(each)
    sides = (_parted(pieces, place) if len(sides) == 1 else _in_sixteenths(_sizes_in_turn(sides))) or sides
    if len(sides) != 2 or any(each.doubled for each in sides):
        count = max(len(sides), 2 * any(each.doubled for each in sides))
        raise NotUnderstood(typed, f"“{typed}” names {counted(count, 'end')}, and two are wanted",
                            "put “to” between two ends, such as “ORB -6 port to JIC -8 swivel”")
    first, second = (interpret(each, place) for each in _lent(sides))
    return first, second


def read_part(text: str, *, besides: bool = False) -> PartReading:
    """The ends and the shape of a part, as people name it at the counter or as a part's own `say`. Raises BadText.

    A pressure or a material in the text is refused, since whoever counts on the part would take it as kept to; with
    `besides` it is left out of the reading and said in `taken`.

    >>> [each.id for each in read_part("90 ORB -6 male x JIC -6 male").ends]
    ['orb-6-stud-adj', 'jic-6-male']
    >>> read_part("1/2 NPT coupling").shape
    'straight'
    >>> [each.id for each in read_part("1/2 x 3/8 NPT bushing").ends]
    ['npt-1/2-male', 'npt-3/8-female']
    """
    typed = text.strip()
    pieces = cut(typed)
    heard = [hear(side, pieces.typed_side(side)) for side in pieces.sides()]
    for each in () if besides else heard:
        nothing_besides(each)
    shape = shaped((word for each in heard for word in each.shapes), typed)
    sides = [each._replace(shapes=()) for each in heard]
    sides = _in_sixteenths([each for each in sides if each != Heard(each.typed)])
    if not sides:
        raise NotUnderstood(typed, f"“{typed}” names no part", "name both ends, such as “ORB -6 male x JIC -6 male”")
    if shape.ends in (0, 2):
        sides = _sizes_in_turn(sides)
    if len(sides) == 1 and shape.ends != 1:
        sides = _parted(pieces, "part") or sides
    if any(each.doubled for each in sides):
        raise NotUnderstood(typed, f"“{typed}” names more ends than are parted by an x", "name each end, with an x between them")
    if len(sides) == 1 and (shape.reducing or shape.large_first):
        sides = _by_two_sizes(sides[0])
    sides = _each_end(_lent(sides, forms=not shape.reducing), shape, typed)
    # what stands on a hose is what is usual for a loose end: a nut that turns
    hose = any(group.families == ("hose",) for each in sides for group in each.groups)
    if any(REDUCING_NIPPLE in each.asks for each in heard):
        sides = [each._replace(asks=(*each.asks, REDUCING_NIPPLE)) for each in sides]
    read = [interpret(each, "loose" if hose else "part") for each in _in_context(_with_sexes(sides, shape), shape)]
    ends = tuple(_on_a_part(each.end) for each in read)
    coupler = any(family(each.family)["kin"] == "coupler" for each in ends) and shape.part in ("", "straight")
    taken = "; ".join(dict.fromkeys(each.taken for each in read if each.taken))
    return PartReading(ends, "coupler" if coupler else shape.part, taken)


def _parted(pieces: Cut, place: str) -> list[Heard]:
    """Two ends without a word between them ("-8 hose end JIC swivel"): cut where both halves are ends, if that can be done
    in one way only; empty when it cannot. Raises Ambiguous when both halves are named, and one of them can be two ends."""
    all_pieces = tuple(piece for piece in pieces.pieces if not piece.is_kind("shape"))
    named = [groups()[value].families for piece in all_pieces if piece.word for value in piece.word.values("family")]
    # M18x1.5 is the thread of a 12L, and beside it another end where it is said to be a stud's
    studs = [some for some in named if all("stud" in forms(each) for each in some)]
    apart = not one_end_has(tuple(piece.size for piece in all_pieces if piece.size), studs)
    for lending in (False, True):
        questions: list[tuple[int, Ambiguous]] = []
        found: dict[tuple[End, ...], tuple[tuple[bool, int], list[Heard]]] = {}
        for place_of_cut in range(1, len(all_pieces)):
            first, second = all_pieces[:place_of_cut], all_pieces[place_of_cut:]
            sides = _two_sides(pieces, first, second, lending, apart)
            read = _read_or_asked(_lent(sides) if lending else sides, place)
            asked = [each for each in read if isinstance(each, Ambiguous)]
            # a comma parts two ends
            parted = any(sign in pieces.folded.text[first[-1].stop:second[0].start] for sign in _PARTING)
            if asked:
                # the fewer questions, and the fewer sides of two genders, the likelier
                both_genders = sum(len(each.sexes) > 1 for each in sides)
                questions.append((len(asked) + both_genders - 2 * parted, asked[0]))
            ends = tuple(each.end for each in read if isinstance(each, Reading))
            if ends and not asked and not _one_end_contradicted(sides, ends):
                rank = not parted, sum(len(each.taken) for each in read if isinstance(each, Reading))
                if ends not in found or rank < found[ends][0]:
                    found[ends] = rank, sides
        if len(found) == 1:
            return next(iter(found.values()))[1]
        if questions and not found and not lending:
            raise min(questions, key=lambda each: each[0])[1]
    return []


_PARTING = (",", ";", " - ")
"""Signs that part two ends where no word does: `JIC 8 AG - M22x1,5 AG`."""


def _read_or_asked(sides: list[Heard], place: str) -> list[Reading | Ambiguous]:
    """The end of each side, or the question that it raises; empty where a side is no end."""
    read: list[Reading | Ambiguous] = []
    for each in sides:
        try:
            read.append(interpret(each, place))
        except Ambiguous as error:
            read.append(error)
        except BadText:
            return []
    return read


def _sizes_in_turn(sides: list[Heard]) -> list[Heard]:
    """Two ends named in turn and their two dash sizes in turn: `8-6 FJX-MP`, `MJ x MOR -8 x -10`. Other sides as they are."""
    names = [each for each in sides if each.groups]
    written = [size for each in sides for size in each.sizes]
    if len(names) != 2 or len(written) != 2 or any(size.kind not in ("dash", "whole") for size in written):
        return sides
    counts = [(bool(each.groups), len(each.sizes)) for each in sides]
    bare = [each for each in sides if not each.groups]
    if counts not in _IN_TURN or any(each != Heard(each.typed, sizes=each.sizes) for each in bare):
        return sides
    dashes = [Size("dash", f"-{size.number}", number=size.number) for size in written]
    return [name._replace(sizes=(dash,)) for name, dash in zip(names, dashes, strict=True)]


_IN_TURN = ([(True, 2), (True, 0)], [(True, 0), (True, 1), (False, 1)], [(False, 1), (True, 1), (True, 0)])
"""Whether each side has a name, and how many sizes, where names and sizes are told apart."""


def _by_two_sizes(side: Heard) -> list[Heard]:
    """The two ends of a reducer whose sizes stand side by side: `8-6 ORB reducer`, `reducer 1/2 3/8 NPT`."""
    kinds = {size.kind for size in side.sizes}
    if len(side.sizes) != 2 or not (kinds <= {"dash", "whole"} or kinds == {"inch"}):
        return [side]
    first, second = side.sizes
    return [side._replace(sizes=(first,), forms=(), given=""), side._replace(sizes=(second,))]


def _one_end_contradicted(sides: list[Heard], ends: Sequence[End]) -> bool:
    """Whether a bare thread beside a tube with its series gives another 24° cone: `M12x1 6L` is one end with a wrong thread."""
    kinds = {size.kind for each in sides for size in each.sizes}
    return kinds == {"tube", "metric"} and not any(each.groups for each in sides) and {each.family for each in ends} == {"cone24"}


_ONE_FAMILY = ("tube", "metric")
"""Kinds of sizes that name an end without its family, beside one that is written in another way: `15L 1/2 BSPP`."""


def _two_sides(pieces: Cut, first: Sequence[Piece], second: Sequence[Piece], lending: bool, apart: bool) -> list[Heard]:
    try:
        sides = [hear(tuple(side), pieces.typed_side(tuple(side))) for side in (first, second)]
    except BadText:
        return []
    sides = _in_sixteenths(sides)
    both_named = all(each.strong or (apart and any(size.kind in _ONE_FAMILY for size in each.sizes)) for each in sides)
    return sides if both_named and (lending or all(each.sizes for each in sides)) else []


def _in_sixteenths(sides: list[Heard]) -> list[Heard]:
    """Whole numbers that are no size of pipe are dash sizes beside an end that counts in them: `8 ORB F x 8 NPT M`."""
    kinds = [{size_kind(each) for group in side.groups for each in group.families} for side in sides]
    if {"dash"} not in kinds:
        return sides
    return [side._replace(sizes=tuple(_dash_of_whole(size, side) for size in side.sizes)) if kind == {"pipe"} else side
            for side, kind in zip(sides, kinds, strict=True)]


def _dash_of_whole(size: Size, side: Heard) -> Size:
    if size.kind != "whole" or any(fits(size, each) for group in side.groups for each in group.families):
        return size
    return Size("dash", f"-{size.number}", number=size.number)


def _lent(sides: list[Heard], forms: bool = True) -> list[Heard]:
    """Sides that leave something out take it from a side that says it: the family ("1/2 x 3/8 NPT bushing"), the gender
    and the form where they name only a size (of a reducer not the form: one of its ends turns, not both), and the size
    where both families count alike ("JIC -8 male x ORB male")."""
    lent = []
    for number, side in enumerate(sides):
        others = sides[number + 1:] + sides[:number][::-1]
        if not side.groups:
            lender = next((each for each in others if each.groups and _can_be(side, each)), None)
            if lender is not None:
                only_size = not (side.forms or side.sexes)
                side = side._replace(
                    strong=lender.strong, weak=lender.weak, forms=lender.forms if only_size and forms else side.forms,
                    sexes=lender.sexes if only_size else side.sexes, given=lender.given if only_size and forms else side.given)
        if not side.sizes:
            lender = next((each for each in others if each.sizes and _count_alike(side, each)), None)
            if lender is not None:
                side = side._replace(sizes=lender.sizes)
        lent.append(side)
    return lent


def _can_be(side: Heard, lender: Heard) -> bool:
    """Whether the sizes of a side without a family are sizes of the lender's: `15L` never is one of BSPP."""
    return all(any(fits(size, each) for group in lender.groups for each in group.families) for size in side.sizes)


def _count_alike(one: Heard, other: Heard) -> bool:
    kinds = [{size_kind(each) for group in heard.groups for each in group.families} for heard in (one, other)]
    return len(kinds[0] | kinds[1]) == 1


def _each_end(sides: list[Heard], shape: Shaped, typed: str) -> list[Heard]:
    """One entry for each end of the part."""
    count = shape.ends or len(sides)
    if len(sides) == count and count > 0 and (count > 1 or shape.ends):
        return sides
    if len(sides) == 1:
        return _all_from_one(sides[0], shape, count, typed)
    if len(sides) == 2 and shape.part.endswith(TEES) and count == 3:
        return _two_of_three(sides, typed)
    what = f"a {' '.join(shape.words)}" if shape.words else "a part"
    raise NotUnderstood(typed, f"“{typed}” names {len(sides)} ends, {what} has {count}", "name each end, with an x between them")


def _all_from_one(side: Heard, shape: Shaped, count: int, typed: str) -> list[Heard]:
    turning = any("swivel" in forms for _, forms in side.forms)
    if shape.part in ("tee-run", "tee-branch") or (shape.part == "tee" and turning):
        if not (side.forms or side.sexes):
            raise Ambiguous(typed, f"“{typed}” does not name the odd end", f"What is on the {shape.part[4:]}? Name it with an x between")
        plain = side._replace(forms=(), sexes=(), given="")
        said = ("one end of a swivel tee turns; for more of them name each, with an x between",) if shape.part == "tee" else ()
        return [plain, plain, side._replace(notes=(*side.notes, *said))]
    if shape.same_ends or len(set(shape.sexes)) > 1:
        return [side] * count
    piece = usual(side.alone, "alone", "*") if side.alone else None
    if piece and not shape.words:
        raise Ambiguous(typed, f"“{typed}” names one piece, and no part with two ends", piece.text)
    if not shape.words:
        _is_covered(side)
        raise NotUnderstood(typed, f"“{typed}” names one end, and a part has two",
                            "name both ends, such as “ORB -6 male x JIC -6 male”")
    raise Ambiguous(typed, f"“{typed}” names one end of the part",
                    "What is at the other end? Write it after an x; for two ends alike say “union”, for male and female “street”")


def _is_covered(side: Heard) -> None:
    """Raises NotCovered for an end that our tables do not hold, and Ambiguous for a word that always raises a question: that
    another end is not named is then the lesser want."""
    try:
        interpret(side, "part")
    except BadText as error:
        if isinstance(error, NotCovered) or (isinstance(error, Ambiguous) and side.asks):
            raise


def _two_of_three(sides: list[Heard], typed: str) -> list[Heard]:
    """The three ends of a tee of which two were named: the plain end is there twice, the stud, swivel or port once."""
    odd = [each for each in sides if each.forms or any("swivel" in group.key for group in each.groups)]
    if len(odd) != 1:
        read = [interpret(each, "part").end for each in sides]
        plain = [number for number, each in enumerate(read) if each.form in ("male", "female")]
        if len(plain) != 1:
            raise Ambiguous(typed, f"“{typed}” names two of the three ends", "Which of the two is there twice? Name all three")
        return [sides[plain[0]]] * 2 + [sides[1 - plain[0]]]
    return [each for each in sides if each is not odd[0]] * 2 + odd


def _with_sexes(sides: list[Heard], shape: Shaped) -> list[Heard]:
    """What the shape says of the genders, for ends that do not say it themselves."""
    sexes = list(shape.sexes)
    if not sexes:
        return sides
    if len(sides) == 2 and len(set(sexes)) == 2:
        said = [each.sex for each in sides]
        if any(said):
            known = next(number for number, sex in enumerate(said) if sex)
            sexes = [said[known], "female" if said[known] == "male" else "male"]
            sexes = sexes if known == 0 else sexes[::-1]
        elif shape.large_first and _large(sides[0]) < _large(sides[1]):
            sexes = sexes[::-1]
    else:
        sexes = [sexes[0]] * len(sides)
    return [each if each.sexes or each.forms else each._replace(part_sex=sex) for each, sex in zip(sides, sexes, strict=True)]


def _large(of: Heard) -> float:
    inches = any(size_kind(each) == "pipe" for group in of.groups for each in group.families)
    return max((size.inch_64 or size.mm or size.number * (64 if inches and size.kind == "whole" else 4) for size in of.sizes), default=0.0)


_TELLING = ("cap", "plug", "bushing", "nipple", "street", "street-45")
"""Shape words that tell what an end is which does not say it: a cap goes on a cone, a bushing has pipe threads."""

_BRITISH = frozenset({"bspp", "bsp60", "bspt"})


def _in_context(sides: list[Heard], shape: Shaped) -> list[Heard]:
    """What the part as a whole tells of each end, as `data/words-usual.csv` names it."""
    alike = len(sides) > 1 and len({each._replace(typed="", sizes=()) for each in sides}) == 1
    told = []
    for number, side in enumerate(sides):
        contexts = [word for word in shape.words if word in _TELLING]
        if shape.reducing and len(sides) == 2 and not (side.sexes or side.forms):
            contexts.append(f"{shape.reducing}-{_sex_by_size(side, sides[1 - number], number, shape.male)}")
        if alike and (shape.same_ends or shape.bent):
            contexts.append("union")
            if not (side.sexes or side.forms or side.part_sex):
                contexts.append("union-unsaid")
        if shape.bent:
            others = sides[:number] + sides[number + 1:]
            british = all(group.families and set(group.families) <= _BRITISH for each in others for group in each.groups)
            contexts.append("bent-british" if british and others else "bent")
        told.append(side._replace(contexts=tuple(contexts)))
    return told


def _sex_by_size(of: Heard, other: Heard, number: int, male: str) -> str:
    """The gender of an end of a reducer that does not say it: not that of the other end, else by which of the two is larger."""
    if other.sex:
        return "female" if other.sex == "male" else "male"
    larger = (_large(of), -number) > (_large(other), number - 1)
    return "male" if larger == (male == "large") else "female"


def _on_a_part(of: End) -> End:
    """A part never has a hose, only the tail that goes into one."""
    return end(of.family, of.size, "tail") if of.form == "bore" and "tail" in forms(of.family) else of
