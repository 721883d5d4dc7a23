"""Threads: what a designation means, its limits of size, and what happens when a male is offered to a female.

>>> thread("9/16-18").say
'9/16-18 UNF'
>>> meet(thread("9/16-18"), thread("9/16-18")).engages
'fully'
"""

from fittings.threads.designation import Thread, UnknownThread, thread
from fittings.threads.figures import Figure, Sizes, Witness
from fittings.threads.limits_of_size import Limits, NoSuchLimits, basics, grades, limits, planes
from fittings.threads.meeting import Meeting, meet

__all__ = [
    "Figure", "Limits", "Meeting", "NoSuchLimits", "Sizes", "Thread", "UnknownThread", "Witness", "basics", "grades",
    "limits", "meet", "planes", "thread",
]
