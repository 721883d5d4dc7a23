"""Hose on the shelf, off the reel or in a length, as people write it: `2SN hose -8, 10 ft`, `R17 hose 1/2 in`, `hose 1SN DN10 2,5 m`.

Whatever is said of a hose and cannot be read keeps it aside: hose that is cracked, used or for water must not be cut for a job.
"""

import re
from collections.abc import Iterator
from functools import cache

from fittings.stock.words import folded, words_of
from fittings.tables import table

_NUMBER = r"\d+[ -]\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?|[.,]\d+"
_MEASURE = re.compile(
    rf"(?<![\w/.,-])(?:(?P<feet>{_NUMBER})\s*(?:feet|foot|ft\b\.?|')(?:\s*(?P<inches>{_NUMBER})\s*(?:inches|inch|in\b|\"|''))?"
    rf"|(?P<number>{_NUMBER})\s*(?P<unit>mm|cm|metres?|meters?|m|yards?|yd|inches|inch|in|\")(?!\w))", re.IGNORECASE | re.ASCII)
_BARE_FRACTION = re.compile(r"(?<![\w/.,-])(?:\d[ -])?\d/\d{1,2}(?![\w/])", re.ASCII)
_DASH = re.compile(r"(?:^|(?<=[\s(]))(?:[-\u2212\u2013]|dash |#)(\d{1,2})\b", re.IGNORECASE | re.ASCII)
_DN = re.compile(r"\bDN ?(\d+(?:[.,]\d+)?)\b", re.IGNORECASE | re.ASCII)

LARGEST_BORE_IN = 3.0
"""A measure in inches or mm up to this is the bore of a hose, above it its length."""

PLAIN = frozenset((
    "new", "unused", "reel", "roll", "coil", "drum", "bulk", "length", "long", "piece", "pieces", "bore",
    "id", "i.d", "size", "dash", "type", "bar", "wire", "braid", "braided", "x", "a", "an", "the", "of", "off", "on", "in", "and",
    "sae", "en", "din", "iso", "j517", "853", "854", "856", "857", "1436", "18752", "100"))
"""Words beside type, size and length that change nothing, with those that name hose."""


@cache
def _hose_words() -> frozenset[str]:
    return frozenset(word for phrase in words_of("hose") for word in phrase.split())


@cache
def _types() -> re.Pattern[str]:
    """A type of hose that is nothing else: `2SN`, `4SP`, `100R17`; a bare R1 or R2 can be a taper pipe thread."""
    told = {row["type"].split()[0] for row in table("hose/types")}
    typed = {f"100{each}(?:AT)?S?" if each.startswith("R") else each for each in told} | {"R[12]ATS?", "100R[12]S?", "[12]ST"}
    return re.compile(rf"\b(?:{'|'.join(sorted(typed))})\b", re.IGNORECASE)


_HOSE_END = re.compile(r"\b(?:ends?|tails?|barbs?|crimp\w*|swivels?|males?|females?|fittings?|assembl\w+|with)\b|[x×]\s+(?=[a-z])",
                       re.IGNORECASE)


def names_hose(text: str) -> bool:
    """Whether a text speaks of hose, with ends on it or without: by the word for it or by its type.

    >>> names_hose("Schlauch DN12"), names_hose("2SN DN12, 5 m"), names_hose("R2 male")
    (True, True, False)
    """
    said = f" {folded(text)} "
    return any(f" {phrase} " in said for phrase in words_of("hose")) or bool(_types().search(text))


def names_an_end(text: str) -> bool:
    """Whether a text that speaks of hose speaks of an end on it.

    >>> names_an_end("2SN hose -8 with JIC swivels"), names_an_end("2SN hose -8 x 10 ft"), names_an_end("Schlauchleitung 2SN DN12")
    (True, False, True)
    """
    said = f" {folded(text)} "
    return bool(_HOSE_END.search(text)) or any(f" {phrase} " in said for phrase in words_of("assembly"))


class NotAHose(ValueError):
    """A text that names hose and cannot be read as a hose; the text says why."""


def read_measures(text: str) -> tuple[str, str, float | None]:
    """Size, the rest of the words, and the length in inches of hose in words.

    >>> read_measures('2SN hose -8, 3 ft 6 in')
    ('-8', '2SN hose', 42.0)

    Raises NotAHose.
    """
    from fittings.units import BadQuantity, length_in

    rest = text
    bores: list[float] = []
    lengths: list[float] = []
    by_mm: list[str] = []
    for found in reversed(list(_MEASURE.finditer(text))):
        said = found[0].strip()
        if re.search(r"\d,\d{3}(?!\d)", said):
            raise NotAHose(f"“{said}” can be read in two ways: write it without the comma")
        try:
            yards = 3 if (found["unit"] or "").lower().startswith("y") else 1
            plain = re.sub(r"(?<=\d),(?=\d)|^,", ".", said.lower())
            inches = yards * length_in(re.sub(r"y(?:ar)?ds?$", "ft", plain))
        except BadQuantity as error:
            raise NotAHose(str(error)) from None
        unit = (found["unit"] or "").lower()
        if unit == "mm" and inches <= LARGEST_BORE_IN:
            by_mm.append(_nominal_size(f"{inches * 25.4:.4g}", said))
        else:
            in_inches = unit in ("in", "inch", "inches", '"')
            (bores if in_inches and inches <= LARGEST_BORE_IN else lengths).append(inches)
        rest = rest[: found.start()] + " " + rest[found.end() :]
    for found in reversed(list(_BARE_FRACTION.finditer(rest))):
        try:
            bores.append(length_in(found[0], "in"))
        except BadQuantity as error:
            raise NotAHose(str(error)) from None
        rest = rest[: found.start()] + " " + rest[found.end() :]
    sizes = [f"-{int(found)}" for found in _DASH.findall(rest)] + [f"-{16 * bore:g}" for bore in bores] + by_mm + list(_by_dn(rest))
    rest = re.sub(r"[\s,;()]+", " ", _DN.sub(" ", _DASH.sub(" ", rest))).strip()
    if not sizes:
        raise NotAHose("no size of hose is named")
    if len(set(sizes)) > 1 or len(lengths) > 1:
        raise NotAHose("two sizes or two lengths are named")
    return sizes[0], rest, lengths[0] if lengths else None


def _by_dn(text: str) -> Iterator[str]:
    for found in _DN.findall(text):
        yield _nominal_size(found, f"DN{found}")


def _nominal_size(mm: str, said: str) -> str:
    """The size of hose of a nominal bore in mm. Raises NotAHose."""
    from fittings.circuit.hose import sizes_by_dn

    size = sizes_by_dn().get(float(mm.replace(",", ".")))
    if size is None:
        raise NotAHose(f"{said} is no size of hose that we know")
    return size


def read_hose(text: str) -> tuple[str, str, float | None]:
    """Type and size as in the tables, and the length in inches, None when none is written.

    >>> read_hose("hose 2SN DN12 2,54 m")
    ('2SN', '-8', 100.0)

    Raises NotAHose.
    """
    from fittings.circuit import BadCircuit
    from fittings.circuit.hose import hose, older

    size, rest, length_in = read_measures(text)
    why, kinds, strange = "no type of hose is named", [], []
    for word in rest.split():
        if word.lower().strip(".-") in PLAIN or (not re.search(r"\d", word) and folded(word) in _hose_words()):
            continue
        try:
            kinds.append(hose(word, size))
        except BadCircuit as error:
            if re.search(r"\d", word):
                why = str(error)
            strange.append(word)
            continue
        then, now = older(word, size), kinds[-1]
        if then is not None:
            raise NotAHose(f"“{word}” without a date can be hose of before 2006, which holds {then.pressure_psi:g} psi and not "
                           f"{now.pressure_psi:g}: look at its lay line, and write {now.type} where it says S, SN or a later date")
    if not kinds:
        raise NotAHose(why)
    if strange:
        raise NotAHose(f"“{strange[0]}” is not a word we know here, and hose of which something is said that we cannot read is not cut")
    if len({each.type for each in kinds}) > 1:
        raise NotAHose("two types of hose are named")
    return kinds[0].type, kinds[0].size, length_in
