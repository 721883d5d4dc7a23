"""Amounts as they are written on a shelf list: how many there are, and what one costs.

“1,000” is a thousand or one, as the writer's country has it. Which sign parts the decimals is seen from the other amounts of the
file; where they do not tell, such an amount is not read.
"""

import re
from functools import lru_cache
from typing import NamedTuple

from fittings.stock.words import folded, words_of

MOST_OF_ONE = 100_000
MOST_MONEY = 100_000_000
KEPT = 65_536
"""Different texts of which it is kept what they were read as."""

_NUMBER = re.compile(r"[.,]?\d(?:[\d.,]|[ '’\u00a0\u202f](?=\d{3}(?!\d)))*", re.ASCII)
_SPACES = re.compile(r"[ '’\u00a0\u202f]")
_PER = re.compile(r"/|\b(?:per|pro|par|por|al|je)\b", re.IGNORECASE)


class Unread(NamedTuple):
    """Why a text was not read, and what would be right; `first`: to be told before anything else."""

    why: str
    ask: str
    first: bool = False


class Price(NamedTuple):
    """A price in the money of the file, of one piece or, with a `unit`, of so much hose."""

    value: float
    unit: str = ""


class _Number(NamedTuple):
    """A number, and what it is when its `sign` parts thousands, where it can be that too; else `sign` parts its decimals."""

    value: float
    grouped: float | None
    sign: str


def _number(text: str) -> _Number | None:
    plain = _SPACES.sub("", text)
    signs = re.findall(r"[.,]", plain)
    if not signs:
        return _Number(float(plain), None, "") if plain.isdecimal() else None
    last = signs[-1]
    before, after = plain.rsplit(last, 1)
    other = "," if last == "." else "."
    if not after:
        return None
    if len(signs) == 1:
        in_doubt = plain == text and re.fullmatch(r"[1-9]\d{0,2}", before) and len(after) == 3
        return _Number(float(f"{before}.{after}"), float(before + after) if in_doubt else None, last)
    if last in before:  # the same sign more than once: thousands
        return _Number(float(plain.replace(last, "")), None, other) if re.fullmatch(rf"\d{{1,3}}(?:\{last}\d{{3}})+", plain) else None
    if re.fullmatch(rf"\d{{1,3}}(?:\{other}\d{{3}})+", before):
        return _Number(float(f"{before.replace(other, '')}.{after}"), None, last)
    return None


@lru_cache(KEPT)
def decimal_sign(text: str) -> str:
    """The sign that parts the decimals in an amount: `.` or `,`, empty where none is seen, `?` where it may part thousands.

    >>> decimal_sign("€ 1.234,50"), decimal_sign("3.20"), decimal_sign("1,000"), decimal_sign("12")
    (',', '.', '?', '')
    """
    for each in _NUMBER.findall(text):
        number = _number(each)
        if number is not None and number.sign:
            return number.sign if number.grouped is None else "?"
    return ""


@lru_cache(KEPT)
def read_count(text: str, decimals: str = "") -> int | Unread:
    """How many: `3`, `3 pcs`, `x3`, `1,000` where the file's `decimals` leave no doubt.

    >>> read_count("6 Stück"), read_count("1,000", ".")
    (6, 1000)
    """
    parts = re.fullmatch(rf"(?:[x×]\s*)?({_NUMBER.pattern})[\s-]*(\D*)", text.strip().rstrip("."), re.ASCII | re.IGNORECASE)
    number = _number(parts[1]) if parts else None
    if parts is None or number is None or (parts[2].lower() not in ("", "x", "×") and folded(parts[2]) not in words_of("piece")):
        if parts and folded(parts[2]) in words_of("length"):
            return Unread(f"“{text[:20]}” is a length and not how many there are",
                          "write the length of hose in the part, such as “2SN hose -8, 10 ft”, and how many such pieces there are")
        return Unread(f"“{text[:20]}” is not a quantity" if text else "no quantity is given", "a whole number, such as 3")
    count = number.value
    if number.grouped is not None:
        # One with three decimals is never taken for granted: in a count they are as rare as they are dangerous.
        if decimals in ("", number.sign):
            one = f" or {count:.0f}" if count.is_integer() else ""
            return Unread(f"“{text[:20]}” can be read in two ways", f"write {number.grouped:.0f}{one}")
        count = number.grouped
    if not count.is_integer() or count > MOST_OF_ONE:
        return Unread(f"“{text[:20]}” is not a quantity", "a whole number, such as 3")
    return int(count)


@lru_cache(KEPT)
def read_price(text: str, decimals: str = "") -> Price | str:
    """An amount of money without its currency, or why it is not read.

    >>> read_price("EUR 4,20 / m"), read_price("3,200"), read_price("3,200", ",")
    (Price(value=4.2, unit='m'), 'can be read in two ways', Price(value=3.2, unit=''))
    """
    found = _NUMBER.findall(text)
    number = _number(found[0].rstrip(".,")) if len(found) == 1 else None
    if number is None or not number.value < MOST_MONEY or re.search(r"[-−–]\s*[.,]?\d", text):
        return "not read"
    if number.grouped is not None and not decimals:
        return "can be read in two ways"
    value = number.grouped if number.grouped is not None and number.sign != decimals else number.value
    head, *per = (folded(some).split() for some in _PER.split(_NUMBER.sub(" ", text), maxsplit=1))
    lengths = words_of("length")
    unit = next((lengths[word] for word in (per[0] if per else ()) if word in lengths), "")
    known = unit or any(word in words_of("piece") for word in per[0]) if per else not any(word in lengths for word in head)
    return Price(value, unit) if known else "not read"


@lru_cache(KEPT)
def length_said(text: str) -> str:
    """A length with its unit as it is known everywhere; any other text as it stands.

    >>> length_said("10 Metern")
    '10 m'
    """
    parts = re.fullmatch(r"(.*\d)\s*(\D+?)\.?", text.strip(), re.ASCII)
    unit = words_of("length").get(folded(parts[2])) if parts else None
    return f"{parts[1]} {unit}" if parts and unit else text
