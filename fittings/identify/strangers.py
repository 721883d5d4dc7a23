"""Known strangers: threads that are often met, are none of the standard ends, and would be taken for one.

They stand in `data/identify/strangers.csv`, all from memory. Each takes its part of the share of “none of the standard
ends”, and then weighs by the readings as any end does; what is left of that share lies evenly over all sizes.
"""

from collections.abc import Mapping
from functools import cache, cached_property

from fittings.identify.noise import noise
from fittings.identify.specimen import Kind, Seen
from fittings.tables import Row, table
from fittings.threads import thread

_SAID = {"yes": 0.97, "no": 0.03, "": 0.5}
"""Share of people who would say yes, where the row says yes, no, or nothing."""


class Stranger(Seen):
    """One half of a known stranger: `instead` what to do with it, `source` and `confidence` of the row."""

    def __init__(self, row: Row) -> None:
        words, seats = row["nose"].split(), row["seats"].split()
        self.end = None
        self.instead = row["instead"]
        self.source, self.confidence, self.note = row["source"], row["confidence"], row["note"]
        self.sex = row["sex"]
        self.thread = thread(row["thread"])
        self.side = "external" if self.sex == "male" else "internal"
        self.is_outside = self.side == "external"
        self.kind: Kind = (row["stranger"], row["thread"], row["sex"])
        self.nose = {word: 1 / len(words) for word in words}
        self.chamfer, self.turns = _SAID[row["chamfer"]], _SAID[row["turns"]]
        self.hole = _SAID[row["hole"]]
        self.seats = tuple((float(deg), 1 / len(seats)) for deg in seats)
        self._row = row

    @property
    def say(self) -> str:
        """Its name."""
        return self._row["says"]

    @cached_property
    def bores_mm(self) -> tuple[float, ...]:
        """Outside diameters of the tubes that it is made for, or of the plug that slides into it, mm."""
        return tuple(float(bore_mm) for bore_mm in self._row["bores_mm"].split())

    @property
    def name(self) -> str:
        """Its name with its thread.

        >>> strangers()[0].name
        'garden hose thread (ASME B1.20.7), 1-1/16-11.5'
        """
        assert self.thread is not None
        return f"{self.say}, {self.thread.key}"

    def share_of_odd(self, region: str | None, region_shares: Mapping[str, float]) -> float:
        """Its part of the ends that are in no table, in a region; None where nobody says where."""
        home, elsewhere = self._row["regions"].split(), noise("stranger_elsewhere")
        if not home:
            met = 1.0
        elif region is not None:
            met = 1.0 if region in home else elsewhere
        else:
            met = sum(share * (1.0 if place in home else elsewhere) for place, share in region_shares.items())
        return float(self._row["share"]) * met

    def named_in(self, came_off: str) -> bool:
        """Whether the words for what it came off name it.

        >>> [each.thread.key for each in strangers() if each.named_in("my pressure washer")]
        ['M22x1.5', 'M22x1.5']
        """
        text = f" {' '.join(came_off.lower().replace('-', ' ').split())} "
        return any(f" {word} " in text or f" {word}s " in text for word in self._row["off"].split(";") if word)


@cache
def strangers() -> tuple[Stranger, ...]:
    """Every row of the table, in its order."""
    return tuple(Stranger(row) for row in table("identify/strangers"))
