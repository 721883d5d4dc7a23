"""What a text becomes on its way here: typing slips, other people's keyboards, broken copies, and malice. Seeded, no randomness of its own."""

import random
from collections.abc import Callable, Sequence

STRANGE = [
    "\0", "\t", "\n", "\r", "\x0b", "\x1b[2J", "\x7f", "\x85", "\u00a0", "\u00ad", "\u200b", "\u200e", "\u202e", "\u2066", "\u2028", "\ufeff",
    "½", "⅓", "⅝", "↉", "⁄", "∕", "′", "″", "‴", "ʹ", "´", "“", "”", "„", "«", "’", "‐", "–", "—", "−", "×", "✕", "⌀", "Ø", "°", "º",
    "٣", "೪", "３", "Ⅷ", "²", "³", "①", "x̄", "é", "e\u0301", "ß", "ẞ", "İ", "ı", "ſ", "ﬁ", "K", "Å", "ΐ", "🔧", "👩‍🔧", "\ud800", "\udfff", "\U0010ffff", "中",
    "ق", "=", "+", "-", "@", "#", "%", "$", "&", "|", ";", "`", "'", '"', "''", "\\", "/", "//", "(", ")", "[", "]", "{", "}", "<", ">", "<b>", "&lt;",
    "nan", "inf", "1e400", "-0", "0x1F", "1_000", "9" * 400, "None", "null", "true", "NaN", "../", "%s", "{0}", "%n", "‮",
]

SLIPS: Sequence[tuple[str, str]] = (
    ("1/2", "½"), ("3/8", "⅜"), ("1/4", "¼"), ("3/4", "¾"), ("-", "–"), ("-", "−"), ("-", "#"), ('"', "″"), ('"', "''"), ("'", "′"), ("x", "×"),
    (" ", "\u00a0"), (" ", ""), (" ", "  "), (" ", "_"), (" ", ","), (".", ","), ("0", "O"), ("O", "0"), ("1", "l"), ("I", "1"), ("°", "deg"),
    ("male", "mael"), ("female", "fem"), ("swivel", "swivle"), ("JIC", "jci"), ("NPT", "NTP"), ("to", "->"), ("in", '"'), ("mm", "㎜"),
    ("psi", "㎪"), ("L", "ℓ"), ("i", "İ"), ("s", "ſ"), ("K", "K"),
)


def strange(rng: random.Random) -> str:
    """A sign, or a few, that nobody expects."""
    return "".join(rng.choice(STRANGE) for _ in range(rng.choice((1, 1, 1, 2, 3, 8))))


def noise(rng: random.Random) -> str:
    """A text of nothing but chance; one in a few hundred very long."""
    length = rng.choice((0, 1, 2, 5, 12, 30, 60, 199, 200, 201)) if rng.random() > 0.003 else rng.choice((5_000, 50_000, 400_000))
    piece = [rng.choice((chr(rng.randrange(32, 127)), chr(rng.randrange(0x20, 0x2FFF)), strange(rng), "1/2 ", "JIC ", " x "))
             for _ in range(min(length, 200))]
    return ("".join(piece) * (length // 200 + 1))[:length]


def _cut(text: str, rng: random.Random) -> str:
    start = rng.randrange(len(text) + 1)
    return text[:start] + text[start + rng.choice((1, 1, 1, 2, 5)):]


def _twice(text: str, rng: random.Random) -> str:
    start = rng.randrange(len(text) + 1)
    end = min(len(text), start + rng.choice((1, 1, 3, 8)))
    return text[:end] + text[start:end] * rng.choice((1, 1, 2, 30)) + text[end:]


def _put_in(text: str, rng: random.Random) -> str:
    at = rng.randrange(len(text) + 1)
    return text[:at] + strange(rng) + text[at:]


def _swap(text: str, rng: random.Random) -> str:
    at = rng.randrange(max(len(text) - 1, 1))
    return text[:at] + text[at + 1:at + 2] + text[at:at + 1] + text[at + 2:]


def _slip(text: str, rng: random.Random) -> str:
    was, becomes = rng.choice(SLIPS)
    return text.replace(was, becomes, rng.choice((1, -1)))


def _digit(text: str, rng: random.Random) -> str:
    places = [at for at, sign in enumerate(text) if sign.isdigit()]
    if not places:
        return _put_in(text, rng)
    at = rng.choice(places)
    return text[:at] + rng.choice(("0", "1", "3", "7", "9", "16", "22", "99", "000", "", "½", "٣", "1/0")) + text[at + 1:]


def _case(text: str, rng: random.Random) -> str:
    return rng.choice((str.upper, str.lower, str.title, str.swapcase, str.casefold))(text)


def _words(text: str, rng: random.Random) -> str:
    words = text.split(" ")
    rng.shuffle(words)
    return " ".join(words)


def _wrong_bytes(text: str, rng: random.Random) -> str:
    """Read in another encoding than it was written in."""
    written, read = rng.sample(("utf-8", "cp1252", "latin-1", "utf-16-le", "shift_jis"), 2)
    return text.encode(written, "replace").decode(read, "replace")


CHANGES: Sequence[Callable[[str, random.Random], str]] = (
    _cut, _cut, _twice, _put_in, _put_in, _swap, _slip, _slip, _slip, _digit, _digit, _digit, _case, _words, _wrong_bytes)


def mutated(text: str, rng: random.Random, others: Sequence[str] = ()) -> str:
    """A text after a few accidents; `others` are texts of which a piece may land in it."""
    for _ in range(rng.choice((1, 1, 1, 2, 2, 3, 5))):
        if others and rng.random() < 0.12:
            other = rng.choice(others)
            at, start = rng.randrange(len(text) + 1), rng.randrange(len(other) + 1)
            text = text[:at] + other[start:start + rng.choice((1, 4, 20))] + text[at:]
        else:
            text = rng.choice(CHANGES)(text, rng)
    return text
