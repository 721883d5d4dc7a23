"""Shares of all ends after the readings: the prior times the likelihood of each reading, made to add up to one."""

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import NamedTuple

from fittings.ends import End
from fittings.identify.likelihood import likelihood, none_likelihood
from fittings.identify.prior import prior_of
from fittings.identify.readings import Readings
from fittings.identify.specimen import Kind, Specimen, specimens

LEAST_SHARE = 0.001
"""An end with less than this share is no candidate."""


class Shares:
    """Share of every end that is still in question, and of none of them, given some readings.

    `ends` shares by end, the largest first, ends below `LEAST_SHARE` left out; `none` share of no standard end;
    `evidence` how well the readings fit any standard end at all (a plain number, to compare readings with); `notes`
    what was taken for granted.
    """

    def __init__(self, ends: Mapping[End, float], none: float, evidence: float, notes: tuple[str, ...],
                 kept: Mapping[End, Specimen]) -> None:
        self.ends, self.none, self.evidence, self.notes, self.kept = ends, none, evidence, notes, kept

    @cached_property
    def kinds(self) -> dict[Kind, float]:
        """Shares by family, size and sex, the largest first: forms of one kind take the same partner."""
        summed: dict[Kind, float] = {}
        for each, share in self.ends.items():
            kind = self.kept[each].kind
            summed[kind] = summed.get(kind, 0.0) + share
        return dict(sorted(summed.items(), key=lambda item: -item[1]))

    @property
    def best(self) -> End | None:
        """The likeliest end of the likeliest kind, None when no standard end is left."""
        if not self.ends:
            return None
        top = next(iter(self.kinds))
        return next(each for each in self.ends if self.kept[each].kind == top)


class _Weighed(NamedTuple):
    of: Specimen
    weight: float


def shares(readings: Readings, only: Callable[[Specimen], bool] | None = None) -> Shares:
    """Shares of all ends given the readings; `only` leaves out ends that it does not hold for."""
    start = prior_of(readings)
    given = readings.given
    # the diameter first: it leaves a handful of ends, and the rest of the readings are then cheap
    order = sorted((name for name in given if name not in ("country", "came_off")),
                   key=lambda name: ("od_mm", "id_mm", "pitch", "sex").index(name) if name in _FIRST else 9)
    none = start.none
    for name in order:
        none *= none_likelihood(name, readings)
    weighed = []
    for of in specimens():
        if only is not None and not only(of):
            continue
        weight = start.shares[of.end]
        for name in order:
            weight *= likelihood(name, readings, of)
            if weight < none * 1e-7 and weight < 1e-18:
                break
        weighed.append(_Weighed(of, weight))
    evidence = sum(each.weight for each in weighed)
    total = evidence + none
    kept = sorted((each for each in weighed if each.weight >= LEAST_SHARE * total), key=lambda each: -each.weight)
    return Shares({each.of.end: each.weight / total for each in kept}, none / total, evidence, start.notes,
                  {each.of.end: each.of for each in kept})


_FIRST = ("od_mm", "id_mm", "pitch", "sex")
