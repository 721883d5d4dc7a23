"""What one side of a connection is.

An end is a family (how it seals), a size (as its standard writes it) and a form (which half of the joint). All that is
known of families, forms and sizes stands in `data/families.csv`, `data/forms.csv` and `data/sizes.csv`; a new family is
new rows there.
"""

from functools import cache
from typing import NamedTuple

from fittings.tables import Row, table


class UnknownEnd(LookupError):
    """No such family, size or form in the tables."""

    def __init__(self, asked: str, why: str, known: tuple[str, ...] = ()) -> None:
        self.asked, self.why, self.known = asked, why, known
        super().__init__(f"{asked}: {why}" + (f"; there is {', '.join(known)}" if known else ""))


class End(NamedTuple):
    """One side of a connection: `family`, `size` as its standard writes it, `form`.

    >>> End("orb", "-6", "port").say
    'ORB -6 port'
    """

    family: str
    size: str
    form: str

    @property
    def id(self) -> str:
        """Fixed name, as in JSON: the dash of a dash size is dropped (`orb-6-port`)."""
        return f"{self.family}-{self.size.removeprefix('-')}-{self.form}"

    @property
    def sex(self) -> str:
        """`male`, `female` or `none` (flanges and hose)."""
        return _form(self.family, self.form)["sex"]

    @property
    def thread(self) -> str:
        """Designation of the thread (`9/16-18`, `G1/2`, `M22x1.5`), empty where there is none."""
        return _size(self.family, self.size)["thread"]

    @property
    def side(self) -> str:
        """Where the thread is: `external`, `internal` or `none`."""
        return _form(self.family, self.form)["thread_side"]

    @property
    def standard(self) -> str:
        return family(self.family)["standard"]

    @property
    def seat(self) -> str:
        """What meets the other end, in words (`a 37° cone nose`)."""
        return _form(self.family, self.form)["seat"]

    @property
    def moves(self) -> str:
        """How it is tightened while its part stands still.

        `turns` (a nut, a flange, a coupler), `sets` (locknut: any angle, but the whole part is wound in first),
        `winds` (taper: stops where it is tight), `crimps` (a hose end: at the angle it is crimped at), `rigid`.
        """
        return _form(self.family, self.form)["moves"]

    @property
    def limited_by(self) -> str:
        """What may carry less than the rating of the end says, in words; '' for nothing."""
        return _form(self.family, self.form)["limited_by"]

    @property
    def held(self) -> bool:
        """Whether it stands still when a part is put on it: a port is a hole in a component."""
        return self.form == "port"

    @property
    def say(self) -> str:
        """The words for the counter: `JIC -8 male`, `ISO 6149 M22x1.5 port`."""
        return f"{family(self.family)['nick']} {self.size} {_form(self.family, self.form)['words']}"

    @property
    def nominal_16ths(self) -> float | None:
        """Nominal size in sixteenths of an inch (tube, pipe or hose); None for a size that names only a thread."""
        text = _size(self.family, self.size)["nominal_16ths"]
        return float(text) if text else None


def turns_freely(a: End, b: End) -> bool:
    """Whether a joint of two ends can be tightened while the parts at both sides stand still: one of them is on a nut, a flange or a
    coupler.

    >>> turns_freely(end("jic", "-6", "male"), end("jic", "-6", "swivel"))
    True
    """
    return "turns" in (a.moves, b.moves)


@cache
def _families() -> dict[str, Row]:
    return {row["family"]: row for row in table("families")}


@cache
def _forms() -> dict[tuple[str, str], Row]:
    return {(row["family"], row["form"]): row for row in table("forms")}


@cache
def _sizes() -> dict[tuple[str, str], Row]:
    return {(row["family"], row["size"]): row for row in table("sizes")}


def family(key: str) -> Row:
    """The row of a family: `name`, `standard`, `size_kind`, `seal`, `nick`. Raises UnknownEnd."""
    try:
        return _families()[key]
    except KeyError:
        raise UnknownEnd(key, "no such family", tuple(_families())) from None


def _form(family_key: str, form: str) -> Row:
    return _forms()[family_key, form]


def _size(family_key: str, size: str) -> Row:
    return _sizes()[family_key, size]


def size_row(family_key: str, size: str) -> Row:
    """The row of `data/sizes.csv` for a size: thread, nominal size, source, confidence. Raises UnknownEnd."""
    try:
        return _size(family_key, size)
    except KeyError:
        raise UnknownEnd(f"{family_key} {size}", f"{family(family_key)['nick']} is not made in size {size}",
                         sizes(family_key)) from None


@cache
def families() -> tuple[str, ...]:
    """All family keys, in the order of the tables."""
    return tuple(_families())


@cache
def sizes(family_key: str) -> tuple[str, ...]:
    """Sizes of a family, smallest first, as its standard writes them."""
    return tuple(size for key, size in _sizes() if key == family_key)


@cache
def forms(family_key: str) -> tuple[str, ...]:
    """Forms of a family."""
    return tuple(form for key, form in _forms() if key == family_key)


def end(family_key: str, size: str, form: str) -> End:
    """The end of that family, size and form.

    Raises UnknownEnd, which names what there is instead.

    >>> end("npt", "1/2", "male").id
    'npt-1/2-male'
    """
    family(family_key)
    only = size_row(family_key, size)["forms"].split()
    known = tuple(only) or forms(family_key)
    if form not in known:
        raise UnknownEnd(f"{family_key} {size} {form}", "no such form", known)
    return End(family_key, size, form)


@cache
def all_ends() -> tuple[End, ...]:
    """Every end of the tables, by family, size and form."""
    return tuple(
        End(key, size, form)
        for key in families()
        for size in sizes(key)
        for form in (_size(key, size)["forms"].split() or forms(key))
    )


@cache
def _by_id() -> dict[str, End]:
    return {each.id: each for each in all_ends()}


def end_by_id(text: str) -> End:
    """The end of that id. Raises UnknownEnd."""
    try:
        return _by_id()[text]
    except KeyError:
        raise UnknownEnd(text, "no end has this id") from None
