"""The figures of the noise model, each with its source in `data/identify/noise.csv`."""

from functools import cache

from fittings.tables import table


@cache
def noise(name: str) -> float:
    """One figure of the noise model, in the unit that its row names. Raises KeyError.

    >>> noise("slip_share")
    0.02
    """
    return _all()[name]


@cache
def _all() -> dict[str, float]:
    return {row["name"]: float(row["value"]) for row in table("identify/noise")}
