"""The limits of a question as they are typed, on the command line or in a row of a file."""

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING

from fittings.cli.frame import BAD_INPUT, Failure, text_failure
from fittings.limits import MOST_ALLOWED

if TYPE_CHECKING:
    from fittings.ends import End


def psi_of(text: str) -> float:
    """A working pressure in psi: `3000`, `210 bar`. Raises Failure."""
    from fittings.units import BadQuantity, pressure_psi

    try:
        value = pressure_psi(text, "psi")
    except BadQuantity as error:
        raise Failure(BAD_INPUT, "bad input", text, str(error)) from None
    if not 0 < value <= 100_000:
        raise Failure(BAD_INPUT, "bad input", text, f"{text}: a working pressure is above 0 and below 100,000 psi")
    return value


def families_of(typed: Iterable[str]) -> tuple[str, ...]:
    """Families by their names, several in one text parted by commas; each once. Raises Failure."""
    from fittings.notation import BadText, read_family

    found = []
    for word in (each for some in typed for each in some.split(",")):
        try:
            found.append(read_family(word))
        except BadText as error:
            raise text_failure(error) from None
    return tuple(dict.fromkeys(found))


def avoided_at_an_end(ends: "Iterable[End]", avoid: Collection[str]) -> list[str]:
    """What to say of ends that are of a family to be avoided themselves: what they join to is of it too."""
    from fittings.ends import family

    return [f"{each.say} is {family(each.family)['nick']} itself, which was to be avoided: it is joined all the same, and only what lies "
            "between is kept free of it" for each in dict.fromkeys(ends) if each.family in avoid]


def shape_of(text: str) -> str:
    """The shape of a part: `straight`, `45` or `90`, with or without its degrees. Raises Failure."""
    from fittings.notation import BadText, read_shape

    try:
        return read_shape(text)
    except BadText:
        raise Failure(BAD_INPUT, "bad input", text, f"{text}: a shape is straight, 45 or 90") from None


def parts_of(text: str) -> int:
    """A number of parts, 0 to 5. Raises Failure."""
    if not (text.isascii() and text.isdigit() and int(text[:3]) <= MOST_ALLOWED):
        raise Failure(BAD_INPUT, "bad input", text, f"{text}: a chain has 0 to {MOST_ALLOWED} parts")
    return int(text)


def yes_of(text: str) -> bool:
    """`yes` or `no`. Raises Failure."""
    word = text.strip().lower()
    if word not in ("yes", "no"):
        raise Failure(BAD_INPUT, "bad input", text, f"{text}: write yes or no")
    return word == "yes"
