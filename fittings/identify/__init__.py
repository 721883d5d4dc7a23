"""Naming an unknown end: readings to ranked ends, and the one reading that would tell them apart.

>>> identify(read_readings({"od": "14.2 mm", "tpi": "18", "nose": "cone"}).readings).candidates[0].end.say
'JIC -6 male'
"""

from fittings.identify.answer import Answer, Candidate, identify
from fittings.identify.ask import Ask, Split, next_reading
from fittings.identify.readings import COLUMN_OF, COLUMNS, BadReading, Readings, Taken, read_readings
from fittings.identify.shares import Shares, shares
from fittings.identify.slips import Slip
from fittings.identify.tell import counter_words

__all__ = [
    "COLUMNS", "COLUMN_OF", "Answer", "Ask", "BadReading", "Candidate", "Readings", "Shares", "Slip", "Split", "Taken",
    "counter_words", "identify", "next_reading", "read_readings", "shares",
]
