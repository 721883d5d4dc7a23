"""Shares of all ends after the readings: the prior times the likelihood of each reading, made to add up to one."""

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property

from fittings.ends import End
from fittings.identify.likelihood import likelihood, none_likelihood
from fittings.identify.prior import prior_of
from fittings.identify.readings import Readings
from fittings.identify.specimen import Kind, Seen, Specimen, specimens
from fittings.identify.strangers import Stranger

LEAST_SHARE = 0.001
"""An end with less than this share is no candidate …"""

LEAST_PART = 0.01
"""… unless it still has this part of the likeliest one: with few readings nothing stands out."""


class Shares:
    """Share of every end that is still in question, and of none of them, given some readings.

    `ends` shares by end, the largest first, hopeless ones left out; `none` share of no standard end: together they are
    one; `strangers` the parts of `none` that known strangers hold, the largest first; `notes` what was taken for granted;
    `kept` the same ends as the model sees them.
    """

    def __init__(self, kept: Mapping[Specimen, float], none: float, notes: tuple[str, ...],
                 strangers: Mapping[Stranger, float] | None = None) -> None:
        self.strangers = dict(strangers or {})
        self.ends = {of.end: share for of, share in kept.items()}
        self.kept = {of.end: of for of in kept}
        self.none, self.notes = none, notes

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


HOPELESS = 1e-6
"""An end this much less likely than none of them, with readings still to weigh, is not weighed further."""


def shares(readings: Readings, only: Callable[[Specimen], bool] | None = None, doubt: float = 0.0) -> Shares:
    """Shares of all ends given the readings; `only` leaves out ends that it does not hold for; `doubt` as in `prior`."""
    start = prior_of(readings, doubt)
    # the diameter comes first: it leaves a handful of ends, and the loop below stops early for the rest
    order = tuple(dict.fromkeys(name for name in (*_TELLING, *readings.given) if name in readings.given))
    odd = {each: _weight(share, order, readings, each, 0.0) for each, share in start.strangers.items()} if only is None else {}
    none = start.none - sum(start.strangers.values())
    for name in order:
        none *= none_likelihood(name, readings)
    none += sum(odd.values())
    weights: dict[Specimen, float] = {}
    for of in specimens():
        if only is not None and not only(of):
            continue
        weights[of] = _weight(start.shares[of.end], order, readings, of, none * HOPELESS)
    total = sum(weights.values()) + none
    best = max(weights.values(), default=0.0)
    nothing_left = best < LEAST_SHARE * total
    least = min(LEAST_SHARE * total, LEAST_PART * best)
    kept = [] if nothing_left else sorted((of for of in weights if weights[of] >= least), key=lambda of: -weights[of])
    total = sum(weights[of] for of in kept) + none
    known = sorted((each for each in odd if odd[each] >= LEAST_SHARE * total), key=lambda each: -odd[each])
    return Shares({of: weights[of] / total for of in kept}, none / total, start.notes, {each: odd[each] / total for each in known})


def _weight(start: float, order: Sequence[str], readings: Readings, of: Seen, hopeless: float) -> float:
    """The prior times the likelihood of each reading in turn, until nothing is left of it."""
    weight = start
    for name in order:
        weight *= likelihood(name, readings, of)
        if weight < hopeless:
            break
    return weight


_TELLING = ("od_mm", "id_mm", "pitch", "sex")
