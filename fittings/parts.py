"""What is made, and how easily it is had: adapters, hose ends, coupler halves, caps, plugs, tees and crosses.

No list of parts is complete, so parts come from rules: which two halves stand on one piece, in which shape, and how
many steps of the size ladder may lie between them (`data/parts/rules.csv`). Metric studs and 24° cones have no common
ladder and go in fixed pairs (`pairs.csv`). What was really met on a shop list or in a catalogue (`seen.csv`) adds no
part; it says how well a rule's part is witnessed. Parts are made on demand, for one end at a time.
"""

from collections.abc import Iterable, Iterator
from functools import cache
from typing import NamedTuple

from fittings.ends import End, all_ends, family, size_row, sizes
from fittings.tables import Row, table

GRADES = ("common", "made", "to order")
"""How easily a part is had, easiest first: over the counter, from a maker's catalogue, made when somebody orders it."""


class Part(NamedTuple):
    """One piece that is sold: its ends (the odd end of a tee last), its shape, how easily it is had, and who says so.

    `source` is one or more ids of `data/sources.csv` joined by `;`, `confidence` A, B or C: of a part that was met
    somewhere, the documents it was met in; of any other, those that its rule rests on.

    >>> from fittings.ends import end
    >>> (bushing,) = find((end("npt", "1/4", "female"), end("npt", "3/8", "male")), "bushing")
    >>> bushing.say, bushing.had
    ('bushing, NPT 1/4 female × NPT 3/8 male', 'common')
    """

    ends: tuple[End, ...]
    shape: str
    had: str
    source: str
    confidence: str
    note: str

    @property
    def id(self) -> str:
        """Fixed name: the shape and the ids of the ends (`90:orb-6-stud-adj+jic-6-male`)."""
        return f"{self.shape}:{'+'.join(each.id for each in self.ends)}"

    @property
    def say(self) -> str:
        """The words for the counter: `90°, ORB -6 male stud, adjustable × JIC -6 male`."""
        word = _shapes()[self.shape]
        if any(each.family == "hose" for each in self.ends):
            word = f"hose end, {word}"
        return f"{word}, {' × '.join(each.say for each in self.ends)}"

    @property
    def rigid(self) -> bool:
        """Whether no end of it turns or can be set, so that only its neighbours let it be made up."""
        return not any(each.moves in ("turns", "sets") for each in self.ends)


class Half(NamedTuple):
    """Family and form of an end, without its size (`orb stud`)."""

    family: str
    form: str


class _Rule(NamedTuple):
    """A row of `rules.csv`: part B's size less part A's, in steps of the ladder, is one of `jumps`."""

    a: Half
    b: Half
    shape: str
    jumps: tuple[float, ...]
    sizes_a: tuple[str, ...]
    sizes_b: tuple[str, ...]
    row: Row


_Made = tuple[tuple[End, ...], str, Row]
"""Ends, shape, and the row of a table of `data/parts/` that says they are made."""


@cache
def parts_with(with_end: End) -> tuple[Part, ...]:
    """Every part that has this end, in the order of the tables.

    Rests on `data/parts/`; an end that stands on no part gives an empty tuple.

    >>> from fittings.ends import end
    >>> {part.shape for part in parts_with(end("jic", "-6", "swivel")) if len(part.ends) == 1}
    {'cap'}
    """
    return tuple(_easiest_had(_made_with(with_end)))


@cache
def all_parts() -> tuple[Part, ...]:
    """Every part of every end: two-ended, caps and plugs, tees and crosses.

    >>> all(part in parts_with(part.ends[0]) for part in all_parts()[:50])
    True
    """
    return tuple(dict.fromkeys(part for each in all_ends() for part in parts_with(each)))


@cache
def tees() -> tuple[Part, ...]:
    """Every tee and cross, in the order of `all_parts`, without making any other part.

    >>> {len(part.ends) for part in tees()}
    {3, 4}
    """
    return tuple(dict.fromkeys(part for each in all_ends() for part in _easiest_had(_tees(each))))


def find(ends: Iterable[End], shape: str | None = None) -> tuple[Part, ...]:
    """The parts with exactly these ends, in any order; of one `shape`, or of any when None.

    `tee` also finds run and branch tees: people seldom say which. No such part gives an empty tuple.

    >>> from fittings.ends import end
    >>> [part.had for part in find((end("jic", "-8", "male"), end("orb", "-6", "stud")), "straight")]
    ['common']
    """
    asked = sorted(ends)
    if not asked:
        return ()
    shapes = ("tee", "tee-run", "tee-branch") if shape == "tee" else (shape,)
    return tuple(
        part for part in parts_with(asked[0])
        if sorted(part.ends) == asked and (shape is None or part.shape in shapes)
    )


STRAIGHT = frozenset(("straight", "bushing"))


def is_elbow(shape: str) -> bool:
    """Whether a shape is bent by 45° or 90°: an elbow, an adapter or a hose end, also one through a bulkhead."""
    return shape.endswith(("45", "90"))


def find_straight(ends: Iterable[End], shape: str) -> tuple[Part, ...]:
    """The straight parts with these ends where `shape` names the other kind of straight: what one shop calls a reducer is a bushing to
    the next. Empty for any other shape."""
    return tuple(part for part in find(ends) if {part.shape, shape} <= STRAIGHT)


def find_named(ends: Iterable[End], shape: str) -> tuple[Part, ...]:
    """The parts that ends and a `shape` word mean, as someone names a part: without a word ("") never an elbow alone, since nobody
    writes “straight”, unless an end stands on bent parts only: an adjustable stud.

    >>> from fittings.ends import end
    >>> ends = (end("bsp60", "3/4", "male"), end("jic", "-12", "male"))
    >>> len(find_named(ends, "")), len(find_named(ends, "90"))
    (0, 1)
    """
    asked = tuple(ends)
    found = find(asked, shape or None)
    if shape or any(each.moves == "sets" for each in asked) or any(each.shape in STRAIGHT for each in found):
        return found
    return tuple(part for part in found if not is_elbow(part.shape))


def why_not_made(ends: Iterable[End], shape: str | None = None) -> str:
    """What is known of why no list holds a part (`data/parts/not-made.csv`), in words; empty when nothing is.

    >>> from fittings.ends import end
    >>> why_not_made((end("orb", "-8", "stud"), end("orb", "-8", "port")), "90")
    'no elbow of ORB male with ORB female in any list'
    """
    pair = tuple(ends)
    if len(pair) != 2 or find(pair, shape):
        return ""
    for row in table("parts/not-made"):
        if row["shape"] in ("", shape) and any(_row_says(row, *order) for order in (pair, pair[::-1])):
            return row["note"]
    return ""


def _row_says(row: Row, a: End, b: End) -> bool:
    if (row["end_a"], row["end_b"]) != (f"{a.family} {a.form}", f"{b.family} {b.form}"):
        return False
    which = row["which"]
    if which.startswith("above "):
        return sizes(a.family).index(a.size) > sizes(a.family).index(which.removeprefix("above "))
    return which != "unequal" or step(a.family, a.size, b.family) != step(b.family, b.size, a.family)


@cache
def lacks(part: Part, of: End) -> frozenset[str]:
    """Conditions of a joint (keys of `data/conditions.csv`) that this end of the part never meets, whatever a look would show.

    >>> from fittings.ends import end
    >>> (coupling,) = find((end("bspp", "1/2", "stud"), end("cone24", "15L", "male")), "straight")
    >>> sorted(lacks(coupling, end("bspp", "1/2", "stud")))
    ['chamfer-60']
    """
    others = list(part.ends)
    others.remove(of)
    beside = {"", *map(_words, others)}
    return frozenset(
        row["condition"] for row in table("parts/lacks")
        if row["end"] == _words(of) and row["beside"] in beside and (not row["shapes"] or part.shape in row["shapes"].split()))


@cache
def _shapes() -> dict[str, str]:
    return {row["shape"]: row["say"] for row in table("parts/shapes")}


# Sizes and the ladder


@cache
def _ladder() -> dict[str, Row]:
    return {row["size"]: row for row in table("parts/ladder")}


def _column(family_a: str, family_b: str) -> str:
    both_pipe = family(family_a)["size_kind"] == family(family_b)["size_kind"] == "pipe"
    return "pipe_step" if both_pipe else "dash_step"


@cache
def _steps(of: str, column: str) -> dict[str, float]:
    if family(of)["size_kind"] not in ("dash", "pipe"):
        return {}
    rungs = ((size, _ladder()[size][column]) for size in sizes(of) if size in _ladder())
    return {size: float(rung) for size, rung in rungs if rung}


@cache
def _at_step(of: str, column: str) -> dict[float, str]:
    return {rung: size for size, rung in _steps(of, column).items()}


def step(of: str, size: str, beside: str) -> float | None:
    """Place of a family's `size` on the ladder that it shares with the family `beside`; None when it is not on it.

    Two pipe families share the ladder of pipe sizes; otherwise a size counts by its sixteenths of an inch
    (`data/parts/ladder.csv`).

    >>> step("npt", "3/4", "npt") - step("npt", "1/2", "npt"), step("npt", "3/4", "jic") - step("npt", "1/2", "jic")
    (1.0, 2.0)
    """
    return _steps(of, _column(of, beside)).get(size)


def _half(cell: str) -> Half:
    return Half(*cell.split())


@cache
def _between(half: Half, smallest: str, largest: str, left_out: str) -> tuple[str, ...]:
    there = sizes(half.family)
    first = there.index(smallest) if smallest else 0
    last = there.index(largest) if largest else len(there) - 1
    return tuple(size for size in there[first:last + 1] if size not in left_out.split() and _is_end(half, size))


def _is_end(half: Half, size: str) -> bool:
    only = size_row(half.family, size)["forms"]
    return not only or half.form in only.split()


# Where parts come from


def _easiest_had(made: Iterable[_Made]) -> Iterator[Part]:
    found: dict[tuple[tuple[End, ...], str], Row] = {}
    for ends, shape, row in made:
        known = found.get((ends, shape))
        if known is None or GRADES.index(row["had"]) < GRADES.index(known["had"]):
            found[ends, shape] = row
    return (_part(ends, shape, row) for (ends, shape), row in found.items())


def _made_with(with_end: End) -> Iterator[_Made]:
    for tables_rows in (_by_rule, _by_pair, _blanks, _coupler_halves, _tees):
        yield from tables_rows(with_end)


@cache
def _index(name: str, *columns: str) -> dict[str, list[int]]:
    """Numbers of the rows of a table that name a cell's text in one of these columns."""
    found: dict[str, list[int]] = {}
    for number, row in enumerate(table(name)):
        for cell in {row[column] for column in columns}:
            found.setdefault(cell, []).append(number)
    return found


def _words(of: End) -> str:
    return f"{of.family} {of.form}"


@cache
def _rule(number: int) -> _Rule:
    row = table("parts/rules")[number]
    a, b = _half(row["end_a"]), _half(row["end_b"])
    return _Rule(
        a, b, row["shape"], tuple(float(jump) for jump in row["jumps"].split()),
        _between(a, row["smallest_a"], row["largest_a"], row["not_sizes"]),
        _between(b, row["smallest_b"], row["largest_b"], row["not_sizes"]), row)


def _by_rule(with_end: End) -> Iterator[_Made]:
    half = Half(with_end.family, with_end.form)
    for number in _index("parts/rules", "end_a", "end_b").get(_words(with_end), ()):
        rule = _rule(number)
        column = _column(rule.a.family, rule.b.family)
        rung = _steps(half.family, column).get(with_end.size)
        if rung is None:
            continue
        for jump in rule.jumps:
            if half == rule.a:
                yield from _if_made(rule, with_end.size, _at_step(rule.b.family, column).get(rung + jump))
            if half == rule.b:
                yield from _if_made(rule, _at_step(rule.a.family, column).get(rung - jump), with_end.size)


def _if_made(rule: _Rule, size_a: str | None, size_b: str | None) -> Iterator[_Made]:
    if size_a in rule.sizes_a and size_b in rule.sizes_b:
        yield (End(rule.a.family, size_a, rule.a.form), End(rule.b.family, size_b, rule.b.form)), rule.shape, rule.row


def _by_pair(with_end: End) -> Iterator[_Made]:
    for number in _index("parts/pairs", "end_a", "end_b").get(_words(with_end), ()):
        row = table("parts/pairs")[number]
        a, b = _half(row["end_a"]), _half(row["end_b"])
        for pair in row["sizes"].split():
            size_a, size_b = pair.split(":")
            ends = End(a.family, size_a, a.form), End(b.family, size_b, b.form)
            if with_end in ends:
                for shape in row["shapes"].split():
                    yield ends, shape, row


def _blanks(with_end: End) -> Iterator[_Made]:
    for number in _index("parts/blanks", "end").get(_words(with_end), ()):
        row = table("parts/blanks")[number]
        if with_end.size in row["sizes"].split():
            yield (with_end,), row["shape"], row


def _coupler_halves(with_end: End) -> Iterator[_Made]:
    rows = _index("parts/couplers", "port", "coupler")
    for number in (*rows.get(_words(with_end), ()), *rows.get(with_end.family, ())):
        row = table("parts/couplers")[number]
        port = _half(row["port"])
        ends = End(row["coupler"], row["size"], row["half"]), End(port.family, row["port_size"], port.form)
        if with_end in ends:
            yield ends, "coupler", row


_TEE_ENDS = ("end_a", "end_b", "end_c", "end_d")


def _tees(with_end: End) -> Iterator[_Made]:
    for number in _index("parts/tees", *_TEE_ENDS).get(_words(with_end), ()):
        for ends, row in _tees_of_row(number):
            if with_end in ends:
                yield ends, row["shape"], row


@cache
def _tees_of_row(number: int) -> tuple[tuple[tuple[End, ...], Row], ...]:
    row = table("parts/tees")[number]
    *through, odd = (_half(row[name]) for name in _TEE_ENDS if row[name])
    return tuple(
        ((*(End(half.family, size, half.form) for half in through), End(odd.family, leg, odd.form)), row)
        for size in _between(through[0], row["smallest"], row["largest"], row["not_sizes"])
        for leg in _legs(through[0].family, size, odd, row["leg"])
    )


def _legs(run: str, size: str, odd: Half, leg: str) -> Iterator[str]:
    if leg.startswith("to "):
        yield leg.removeprefix("to ")
    elif leg == "0" and run == odd.family:
        yield size
    else:
        column = _column(run, odd.family)
        for jump in leg.split():
            other = _at_step(odd.family, column).get(_steps(run, column)[size] + float(jump))
            if other is not None and _is_end(odd, other):
                yield other


# What was really met, and what follows for the grade


@cache
def _met() -> dict[tuple[str, str], Row]:
    return {(row["shape"], row["ends"]): row for row in table("parts/seen")}


def _where_met(ends: tuple[End, ...], shape: str) -> tuple[Row, ...]:
    key = " ".join(each.id for each in ends)
    # A list that says only "tee" has met a run tee or a branch tee, and does not tell which: it counts for both.
    shapes = (shape, "tee") if shape in ("tee-run", "tee-branch") else (shape,)
    return tuple(_met()[each, key] for each in shapes if (each, key) in _met())


def _part(ends: tuple[End, ...], shape: str, row: Row) -> Part:
    met = _where_met(ends, shape)
    had = _had(row["had"], ends, met)
    if not met:
        # The rule's documents were not read for this very size, so two of them do not make it an A.
        return Part(ends, shape, had, row["source"], max(row["confidence"], "B"), row["note"])
    sources = dict.fromkeys(key for each in met for key in each["source"].split(";"))
    notes = dict.fromkeys(each["note"] for each in (*met, row) if each["note"])
    return Part(ends, shape, had, ";".join(sources), min(each["confidence"] for each in met), "; ".join(notes))


def _had(by_rule: str, ends: tuple[End, ...], met: tuple[Row, ...]) -> str:
    in_shop = any(each["shop"] for each in met)
    if any(_seldom(each) for each in ends):
        return "made" if in_shop else "to order"
    if any(each["confidence"] == "A" for each in met):
        return "common"
    return "made" if in_shop and by_rule == "to order" else by_rule


@cache
def _seldom(of: End) -> bool:
    rung = _ladder().get(of.size)
    return rung is not None and of.family in rung["seldom"].split()
