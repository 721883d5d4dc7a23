"""One question at a time: the logic of it, without a keyboard or a screen.

`Interview` holds what was answered so far, hands out the next question, takes an answer as text, and can go back. The
command only prints and reads lines; a test gives a list of answers.
"""

from typing import NamedTuple

from fittings.identify.answer import Answer, ask_next, identify, is_clear
from fittings.identify.marks import meant
from fittings.identify.prior import region_of
from fittings.identify.readings import COLUMN_OF, BadReading, Readings, names_a_place, read_readings
from fittings.identify.shares import shares

CANNOT_TELL = frozenset(
    {"", "?", "-", "can't tell", "cant tell", "cannot tell", "don't know", "dont know", "i don't know", "i dont know", "dunno", "idk",
     "no idea", "no clue", "not sure", "skip", "unknown", "n/a"}
)
NO_MARK = frozenset({"no", "none", "nothing", "no mark", "no marking"})
NOT_THERE = frozenset({"no", "none", "none there", "nothing", "no tip", "no head"})
NONE_OF_IT = {"marking": NO_MARK, "od_mm": NOT_THERE, "id_mm": NOT_THERE}
"""Answers that say of a reading that the end has nothing to take it of."""
BACK = frozenset({"back", "b", "<", "undo"})

_CHOICES = {
    "sex": "answer male, female or none", "taper": "answer taper or straight", "turns": "answer turns or fixed",
    "chamfer": "answer yes or no", "hole": "answer yes or no", "flank_deg": "answer 55 or 60",
    "nose": "answer cone, seat, flat-groove, flat, o-ring-at-hex, plain, flange or coupler",
    "od_mm": "for example 14.2 mm or 9/16 in", "id_mm": "for example 12.9 mm or 1/2 in",
    "pitch": "for example 18 TPI, 1.5 mm, or as counted: 10 in 14.1 mm", "seat_deg": "for example 37, 45, 30, 60 or 24",
    "tube_bore_mm": "for example 12 mm, or 12.2 mm at the mouth", "hex_mm": "for example 22 mm or 7/8 in", "marking": "as it is stamped",
    "country": "for example Germany, USA or Japan",
}


def _known_word(reading: str, typed: str) -> None:
    """Refuses a country or a marking that our tables do not know, so that it is asked again. Raises BadReading."""
    if reading == "country" and region_of(typed) is None:
        right = "write a neighbour, or a continent such as Europe; ? when unknown"
        raise BadReading(reading, typed, f"our tables do not know “{typed}”", right)
    if reading == "marking" and not meant(typed):
        raise BadReading(reading, typed, f"our tables know no marking “{typed}”", "write another that stands on it; ? when there is none")


class Question(NamedTuple):
    """One question: the reading it asks for, its words, why it helps, and what an answer looks like."""

    reading: str
    ask: str
    why: str
    answers: str


class _Step(NamedTuple):
    reading: str
    typed: str | None


class Interview:
    """A dialogue about one unknown end, begun with readings that were given already.

    `question` is the next one, None when the answer is clear or nothing more helps; `readings` what is known so far;
    `notes` what was taken for granted; `cannot` the readings that could not be taken.

    >>> talk = Interview()
    >>> talk.question.reading
    'sex'
    >>> talk.answer("male")
    >>> talk.question.reading
    'od_mm'
    """

    def __init__(self, start: Readings | None = None) -> None:
        self._start = start or Readings()
        self._steps: list[_Step] = []
        self._refresh()

    def _refresh(self) -> None:
        texts = {COLUMN_OF[step.reading]: step.typed for step in self._steps if step.typed is not None}
        if self._start.instrument != "caliper":
            texts["instrument"] = self._start.instrument
        taken = read_readings(texts)
        said = {
            name: value
            for name, value in taken.readings._asdict().items()
            if value is not None and name != "instrument"
        }
        if "bore" in texts:
            said = {"bore_at": None, **said}
        if "pitch" in texts:
            said = {"tpi": None, "pitch_mm": None, "counted": None, "counted_sd_mm": None, **said}  # the last word on it
        self.readings = self._start._replace(**said)
        self.notes = taken.notes
        told = [step.reading for step in self._steps]
        self.cannot = tuple(dict.fromkeys(step.reading for step in self._steps if step.typed is None or told.count(step.reading) > 1))
        self._now = shares(self.readings)
        self.question = self._next()

    def _next(self) -> Question | None:
        if self.clear:
            return None
        ask = ask_next(self.readings, self._now, self.cannot)
        return Question(ask.reading, ask.ask, ask.why, _CHOICES[ask.reading]) if ask else None

    @property
    def count(self) -> int:
        """How many questions were answered or passed over."""
        return len(self._steps)

    @property
    def clear(self) -> bool:
        """True when the end is named and no question more is needed."""
        return is_clear(self.readings, self._now, self.cannot)

    def answer(self, typed: str) -> None:
        """Takes the answer to the question that stands: a reading, “can't tell”, or “back”.

        Raises BadReading when the text is none of these; the question then still stands.
        """
        word = " ".join(typed.lower().replace("’", "'").split()).rstrip(".!")
        if word in BACK:
            self.back()
            return
        asked = self.question
        if asked is None:
            raise BadReading("answer", typed, "nothing is being asked", "write back to change an answer")
        typed = self._with_its_bore(asked.reading, word, typed)
        told = word not in CANNOT_TELL and word not in NONE_OF_IT.get(asked.reading, ())
        if told:
            _known_word(asked.reading, typed)
        self._steps.append(_Step(asked.reading, typed if told else None))
        try:
            self._refresh()
        except BadReading:
            self._steps.pop()
            raise

    def _with_its_bore(self, reading: str, word: str, typed: str) -> str:
        """“The mouth” alone says where the bore was read that was answered before."""
        bore_mm, place = self.readings.tube_bore_mm, word.removeprefix("at ").removeprefix("the ")
        if reading != "tube_bore_mm" or bore_mm is None or not names_a_place(place):
            return typed
        return f"{bore_mm:g} mm at the {place}"

    def back(self) -> None:
        """Takes the last answer back; at the first question nothing happens."""
        if self._steps:
            self._steps.pop()
            self._refresh()

    @property
    def result(self) -> Answer:
        """What the end may be by the answers so far."""
        return identify(self.readings, self.notes, self.cannot)
