"""What people type, to an end or a part; and the question to ask back when it can mean two things."""

from fittings.notation.errors import Ambiguous, BadText, NotCovered, NotUnderstood
from fittings.notation.families import read_family
from fittings.notation.reading import Reading, read_end

__all__ = ["Ambiguous", "BadText", "NotCovered", "NotUnderstood", "Reading", "read_end", "read_family"]
