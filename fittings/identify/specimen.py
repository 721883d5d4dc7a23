"""What every end looks like to a caliper and an eye: the side of the model that does not depend on the readings.

A thread's diameter lies anywhere between its limits of size; wear takes crests down; a taper thread is read somewhere
along its taper. What is seen (nose, chamfer, a nut that turns) comes from `data/identify/looks.csv`.
"""

from collections.abc import Mapping
from functools import cache, cached_property
from typing import NamedTuple

from fittings.ends import End, all_ends
from fittings.figures import figure, figures
from fittings.identify.noise import noise
from fittings.tables import table
from fittings.threads import Thread, limits, thread
from fittings.units import MM_PER_IN

Kind = tuple[str, str, str]
"""Family, size and sex: forms of one kind (a stud and an adjustable stud) take the same partner."""


class Diameter(NamedTuple):
    """Where a true diameter lies: evenly between `low_mm` and `high_mm`, then moved by one of `moves` (mm, share)."""

    low_mm: float
    high_mm: float
    moves: tuple[tuple[float, float], ...]

    @property
    def span_mm(self) -> tuple[float, float]:
        """Smallest and largest that a perfect caliper may read."""
        offsets = [offset for offset, _ in self.moves]
        return self.low_mm + min(offsets), self.high_mm + max(offsets)


class BorePlace(NamedTuple):
    """One place where a bore may be read: `tube` (the socket that takes it, or the tube itself), `through` (the hole behind
    the socket) or `other` (a hose end's own bore, and whatever else), its diameter where our tables know it, and its share."""

    place: str
    size: Diameter | None
    share: float


def _socket(tube_mm: float) -> Diameter:
    return Diameter(tube_mm, tube_mm + noise("bore_play"), ((0.0, 1.0),))


class Seen:
    """What a caliper and an eye meet at one end: of the tables (`Specimen`), or of those that are not in them (`Stranger`).

    `side` external | internal | none; `nose`, `chamfer`, `turns`, `hole` shares of the words that are said; `seats` angles as
    said, with shares; `end` None where no table holds it. Diameters in mm, None where our tables know none; they are
    looked up when they are first needed: most ends are out of the question at once.
    """

    end: End | None
    kind: Kind
    sex: str
    side: str
    is_outside: bool
    thread: Thread | None
    nose: Mapping[str, float]
    chamfer: float
    turns: float
    hole: float
    seats: tuple[tuple[float, float], ...]

    def is_called(self, sex: str) -> bool:
        """Whether a person says so of its sex: a half of a coupler has no thread in front, and any thread at its back.

        >>> from fittings.ends import end
        >>> [Specimen(end("iso7241b", "1/2", "tip")).is_called(word) for word in ("male", "female", "none")]
        [True, True, True]
        """
        return sex == self.sex or self.is_coupler or (sex == "none" and self.thread is None)

    @property
    def is_coupler(self) -> bool:
        """Whether most people call its front a quick coupler: the thread they speak of is the one at its back.

        >>> from fittings.ends import end
        >>> Specimen(end("iso7241b", "1/2", "tip")).is_coupler, Specimen(end("npt", "1/2", "female")).is_coupler
        (True, False)
        """
        return self.thread is None and self.nose.get("coupler", 0.0) > 0.5

    @cached_property
    def crests(self) -> Diameter | None:
        """The diameter a caliper meets on its own side."""
        return _crests(self.thread.key, self.side) if self.thread else None

    @cached_property
    def other_side(self) -> Diameter | None:
        """What is met by one who measures the wrong half, or the roots of this one."""
        return _other_side(self.thread.key, self.side) if self.thread else None

    @property
    def say(self) -> str:
        """The words for the counter."""
        raise NotImplementedError

    @cached_property
    def bores_mm(self) -> tuple[float, ...]:
        """Bores that may take the tube, or the tubes themselves; empty where our tables know none."""
        return ()

    @cached_property
    def bore_places(self) -> tuple[BorePlace, ...]:
        """Where a bore may be read, with shares that add up to one; in one that is `other` our tables know no measure."""
        sockets = tuple(BorePlace("tube", _socket(bore_mm), 1 / len(self.bores_mm)) for bore_mm in self.bores_mm)
        return sockets or (BorePlace("other", None, 1.0),)

    @cached_property
    def hexes_mm(self) -> tuple[float, ...]:
        """Hexes across the flats; empty where our tables know none."""
        return ()

    def may_measure(self, read_mm: float, slack_mm: float) -> bool:
        """False when the reading is out of reach of this end, by its basic size alone."""
        if self.thread is None:
            return True
        return self.thread.major_mm - 5 - slack_mm < read_mm < self.thread.major_mm + 1 + slack_mm


class Specimen(Seen):
    """One end of the tables as the model sees it."""

    end: End

    def __init__(self, end: End) -> None:
        seen = _looks().get((end.family, end.form), {})
        self.end, self.sex = end, end.sex
        self.thread: Thread | None = thread(end.thread) if end.thread else None
        self.side = end.side if self.thread else "none"
        self.is_outside = self.side == "external" or end.form in ("head", "tip", "tail")
        self.kind: Kind = (end.family, end.size, end.sex)
        self.nose: Mapping[str, float] = seen.get("nose", {})
        self.chamfer = seen.get("chamfer", {}).get("yes", 0.1)
        self.turns = seen.get("turns", {}).get("yes", 0.05)
        self.hole = seen.get("hole", {}).get("yes", 0.97)
        self.seats = _seats().get((end.family, end.form), ())

    @property
    def say(self) -> str:
        """The words for the counter: those of the end."""
        return self.end.say

    @cached_property
    def crests(self) -> Diameter | None:
        """The diameter a caliper meets on its own side."""
        return super().crests if self.thread else _smooth(self.end)

    @cached_property
    def bore_mm(self) -> float | None:
        """Bore that takes the tube, or the tube itself, where the form has one."""
        return _bore_mm(self.end)

    @cached_property
    def bores_mm(self) -> tuple[float, ...]:
        """The one bore, where the form has one."""
        return () if self.bore_mm is None else (self.bore_mm,)

    @cached_property
    def bore_places(self) -> tuple[BorePlace, ...]:
        """As the looks of its form have it: of a hose's swivel most read the bore of its nipple, which is no tube."""
        through_mm, play_mm = self.through_mm, noise("through_play")
        sizes = {"tube": _socket(self.bore_mm) if self.bore_mm else None,
                 "through": Diameter(through_mm - play_mm, through_mm + play_mm, ((0.0, 1.0),)) if through_mm else None}
        rows = _looks().get((self.end.family, self.end.form), {}).get("bore", {"other": 1.0})
        return tuple(BorePlace(place if sizes.get(place) else "other", sizes.get(place), share) for place, share in rows.items())

    @cached_property
    def through_mm(self) -> float | None:
        """The hole behind the socket of its size, where our tables know it."""
        return _figure_mm(End(self.end.family, self.end.size, "male"), "through_bore_mm")

    @cached_property
    def hexes_mm(self) -> tuple[float, ...]:
        """Hexes across the flats that the tables list; where they list none, those of other ends with this thread.

        A nut and a body are as wide as their thread asks for; without it a hex would speak for whoever is listed.
        """
        return _hexes_mm(self.end) or _hexes_by_thread().get((self.end.thread, self.side, self.end.moves), ())


NOSES = ("cone", "seat", "flat-groove", "flat", "o-ring-at-hex", "plain", "flange", "coupler")


@cache
def specimens() -> tuple[Specimen, ...]:
    """Every end of the tables, in their order."""
    return tuple(Specimen(each) for each in all_ends())


@cache
def _looks() -> dict[tuple[str, str], dict[str, dict[str, float]]]:
    found: dict[tuple[str, str], dict[str, dict[str, float]]] = {}
    for row in table("identify/looks"):
        words = found.setdefault((row["family"], row["form"]), {}).setdefault(row["reading"], {})
        words[row["word"]] = float(row["share"])
    return found


@cache
def _seats() -> dict[tuple[str, str], tuple[tuple[float, float], ...]]:
    found: dict[tuple[str, str], tuple[tuple[float, float], ...]] = {}
    for row in table("identify/seats"):
        key = row["family"], row["form"]
        found[key] = (*found.get(key, ()), (float(row["said_deg"]), float(row["share"])))
    return found


@cache
def _moves(side: str, taper: bool, pitch_mm: float) -> tuple[tuple[float, float], ...]:
    """How far a reading lies from the limits of size by wear and by the place on a taper, with the share of each."""
    wear = [(float(row["off_mm"]), float(row["share"])) for row in table("identify/wear") if row["side"] == side]
    places = [(0.0, 1.0)]
    if taper:
        grows = 1 if side == "external" else -1
        places = [(grows * pitch_mm * float(row["pitches_in"]) / 16, float(row["share"]))
                  for row in table("identify/taper-places") if row["side"] == side]
    return tuple((worn + place, a * b) for worn, a in wear for place, b in places)


@cache
def _crests(key: str, side: str) -> Diameter:
    """Major diameter of a male, minor diameter of a female, at the end where a caliper reaches first."""
    spec = thread(key)
    size = limits(spec, side)
    low, high = (size.major_min, size.major_max) if side == "external" else (size.minor_min, size.minor_max)
    assert low is not None and high is not None
    return Diameter(low * size.unit_mm, high * size.unit_mm, _moves(side, bool(spec.taper), spec.pitch_mm))


@cache
def _other_side(key: str, side: str) -> Diameter:
    """What the wrong half, or the roots of this one, would read: the major of a female, the bore of a male's mate."""
    spec = thread(key)
    if side == "internal":
        low = spec.major_mm - (0.9 if spec.taper else 0.3)
        return Diameter(low, spec.major_mm + 0.1, ((0.0, 1.0),))
    depth = (1.08 if spec.flank_deg == 60 else 1.28) * spec.pitch_mm
    return Diameter(spec.major_mm - depth - (0.6 if spec.taper else 0.0), spec.major_mm - depth + 0.4, ((0.0, 1.0),))


def _figure_mm(of: End, *names: str) -> float | None:
    for name in names:
        found = figure(of, name)
        if found:
            return float(found.value) * (MM_PER_IN if name.endswith("_in") else 1.0)
    return None


def _smooth(of: End) -> Diameter | None:
    """The diameter of an end that has no thread: a flange head, a coupler's tip, a hose's bore."""
    still = ((0.0, 1.0),)
    if of.form == "head":
        head_mm = _figure_mm(of, "head_dia_mm", "head_dia_in")
        return Diameter(head_mm - 0.3, head_mm + 0.3, still) if head_mm else None
    if of.form == "pad":
        bore_mm = _figure_mm(of, "port_bore_max_mm")
        return Diameter(bore_mm - 1.5, bore_mm, still) if bore_mm else None
    if of.form in ("tip", "body"):
        tip = End(of.family, of.size, "tip")
        low_mm = _figure_mm(tip, "probe_tip_dia_min_mm", "probe_od_mm")
        high_mm = _figure_mm(tip, "probe_tip_dia_max_mm", "probe_od_mm")
        if low_mm is None or high_mm is None:
            return None
        return (
            Diameter(low_mm - 0.1, high_mm + 0.1, still) if of.form == "tip" else Diameter(low_mm, high_mm + 0.5, still)
        )
    if of.nominal_16ths is None:
        return None
    bore_mm = of.nominal_16ths * MM_PER_IN / 16
    return Diameter(bore_mm - 0.4, bore_mm + 0.6, still)


def _bore_mm(of: End) -> float | None:
    """The tube that goes into the end or through its nut; the bore of a body is its maker's choice."""
    if "tube" in _looks().get((of.family, of.form), {}).get("bore", {}):
        return _figure_mm(of, "tube_od_mm", "tube_od_in")
    return None


def _hexes_mm(of: End) -> tuple[float, ...]:
    found = []
    for each in figures(of):
        if each.name in ("nut_hex_mm", "nut_hex_in", "hex_in", "body_hex_in"):
            scale = MM_PER_IN if each.name.endswith("_in") else 1.0
            found += [float(value) * scale for value in (each.value, *(also.value for also in each.also))]
    return tuple(sorted({round(value, 2) for value in found}))


@cache
def _hexes_by_thread() -> Mapping[tuple[str, str, str], tuple[float, ...]]:
    """All listed hexes by thread, side and how the end turns."""
    found: dict[tuple[str, str, str], set[float]] = {}
    for each in all_ends():
        if each.thread:
            found.setdefault((each.thread, each.side, each.moves), set()).update(_hexes_mm(each))
    return {key: tuple(sorted(hexes)) for key, hexes in found.items()}
