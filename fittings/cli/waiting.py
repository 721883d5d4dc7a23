"""What somebody at a terminal sees while work takes long: what is being done, and for how long already."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, Thread
from time import monotonic

PATIENCE_S = 1.0
"""Whoever waits no longer than this wants nothing but the answer."""

TICK_S = 0.25


@contextmanager
def waiting(doing: str) -> Iterator[Callable[[str], None]]:
    """Tells on stderr what is being done, once it has taken a second; hands out a function that tells what is done now.

    Nothing is told where stderr is not a terminal, and nothing of it is left when the work ends.
    """
    told = [doing]
    if not sys.stderr.isatty():
        yield lambda now: told.__setitem__(0, now)
        return
    ended = Event()
    clock = Thread(target=_tell, args=(told, ended), daemon=True)
    clock.start()
    try:
        yield lambda now: told.__setitem__(0, now)
    finally:
        ended.set()
        clock.join()


def _tell(told: list[str], ended: Event) -> None:
    from fittings.reports.window import harmless

    began, room = monotonic(), _room()
    if ended.wait(PATIENCE_S):
        return
    while True:
        seconds = f" … {monotonic() - began:.0f} s"
        line = harmless(told[0])[: room - len(seconds)] + seconds
        sys.stderr.write("\r" + line.ljust(room))
        sys.stderr.flush()
        if ended.wait(TICK_S):
            break
    sys.stderr.write("\r" + " " * room + "\r")
    sys.stderr.flush()


def _room() -> int:
    """Signs that fit in a line of the terminal without the last, which would begin a new line."""
    try:
        return max(os.get_terminal_size(sys.stderr.fileno()).columns, 20) - 1
    except (OSError, ValueError):
        return 79
