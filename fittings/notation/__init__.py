"""What people type, to an end or a part; and the question to ask back when it can mean two things."""

from fittings.notation.errors import Ambiguous, BadText, NotCovered, NotUnderstood
from fittings.notation.families import read_family
from fittings.notation.reading import Reading, read_end
from fittings.notation.several import PartReading, read_pair, read_part
from fittings.notation.shaping import read_shape

__all__ = ["Ambiguous", "BadText", "NotCovered", "NotUnderstood", "PartReading", "Reading", "read_end", "read_family",
           "read_pair", "read_part", "read_shape"]
