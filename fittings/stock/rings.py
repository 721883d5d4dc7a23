"""Seal rings on the shelf, as people write them: `O-ring -908`, `AS568-908`, `15.3x2.2 O-ring`, `bonded seal G1/4`."""

import re

from fittings.ratings import ring_keys

_A_RING = re.compile(r"\bo[- ]?rings?\b|\bbonded\b|\b(?:elastomer|profile) (?:sealing )?rings?\b|\bsealing (?:ring|washer)s?\b|\bas ?568",
                     re.IGNORECASE)
_NO_RING = re.compile(r"\b(?:boss|port|face seal|stud|plug|cap|male|female|swivel|adapter|union|elbow|tee|kit|set)s?\b|[x×]\s+(?=[a-z])",
                      re.IGNORECASE)
_NUMBER = re.compile(r"(?:\bas ?568[a-d]?[ -]*|(?<![\d.,/x-])-?)(\d{3})(?![\d.,/x])", re.IGNORECASE | re.ASCII)
_SECTION = re.compile(r"(\d{1,3}(?:[.,]\d{1,2})?)\s*(?:mm)?\s*[x×]\s*(\d{1,2}(?:[.,]\d{1,2})?)", re.IGNORECASE | re.ASCII)
_PIPE = re.compile(r"\b(?:g ?)?((?:1[ -])?\d/\d|[12])\b(?![ -]?\d)", re.IGNORECASE | re.ASCII)
_METRIC = re.compile(r"\bm ?(\d{1,2})\b", re.IGNORECASE | re.ASCII)


def names_a_ring(text: str) -> bool:
    """Whether a text speaks of a ring alone, and not of a part that has one.

    >>> names_a_ring("AS568-908 O-ring"), names_a_ring("-8 O-ring boss plug")
    (True, False)
    """
    return bool(_A_RING.search(text)) and not _NO_RING.search(text)


def read_ring(text: str) -> str | None:
    """The key of the ring that is meant, as in `data/rings.csv`; None when our tables know none of that size.

    >>> read_ring("o-ring 15,3 x 2,2 mm"), read_ring("bonded seal 3/8 BSP"), read_ring("O-ring 7.77x1.1")
    ('15.3x2.2', 'bonded G3/8', None)
    """
    return next((key for key in _keys(text) if key in ring_keys()), None)


def _keys(text: str) -> list[str]:
    goes_by_thread = re.search(r"\bbonded\b|washer|\b(?:elastomer|profile)\b", text, re.IGNORECASE)
    if goes_by_thread:
        kind = "elastomer" if goes_by_thread[0].lower() in ("elastomer", "profile") else "bonded"
        metric, pipe = _METRIC.search(text), _PIPE.search(text)
        return [*([f"{kind} M{metric[1]}"] if metric else []), *([f"{kind} G{pipe[1].replace(' ', '-')}"] if pipe else [])]
    section = _SECTION.search(text)
    if section:
        inside, across = (float(each.replace(",", ".")) for each in section.groups())
        return [f"{inside:g}x{across:g}"]
    return [f"AS568-{number}" for number in _NUMBER.findall(text)]
