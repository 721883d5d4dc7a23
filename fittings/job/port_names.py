"""What the name of a port says of it: drain, tank, work, pilot. The names stand in `data/port-names.csv`, and nowhere else.

A name is read without its number (`T2` as `T`, `case 1` as `case`), in capitals or not. What it says holds for valves, blocks, pumps
and motors; a cylinder's ports are its ends.
"""

import re
from collections.abc import Iterable
from functools import cache

from fittings.tables import table

VALVE_PORTS = frozenset({"P", "T"})
"""Names of ports that make a component without a kind look like a valve."""

UNASKED = ("drain", "pilot", "load-sense", "carry-over", "excess", "brake")
"""What a port is for that must not be plugged before the maker's sheet was read."""


def looks_like_valve(ports: Iterable[str]) -> bool:
    """Whether what has these ports, and no kind, looks like a valve."""
    return not VALVE_PORTS.isdisjoint(ports)


def role_of(port: str) -> str:
    """What a port is for: `drain`, `tank`, `work`, `pilot`, `load-sense`, `carry-over`, `excess`, `brake`, `gauge`, `inlet`, `outlet`,
    `pressure`; '' where its name does not say.

    >>> [role_of(name) for name in ("L1", "case 2", "T", "Power Beyond", "A2", "port 3")]
    ['drain', 'drain', 'tank', 'carry-over', 'work', '']
    """
    return _roles().get(letters_of(port), "")


def says_of(port: str) -> str:
    """The word for what a port is for, '' for a name that says nothing.

    >>> says_of("LS")
    'load-sensing'
    """
    return next((row["says"] for row in table("port-names") if row["name"] == letters_of(port)), "")


def is_drain(port: str) -> bool:
    """Whether a port is a drain by its name."""
    return role_of(port) == "drain"


def is_surely_drain(port: str) -> bool:
    """Whether a drain's name is no name of another port: a bare D or L is.

    >>> is_surely_drain("case"), is_surely_drain("L1"), is_surely_drain("L")
    (True, True, False)
    """
    return is_drain(port) and len(port.strip()) > 1


def is_tank_port(port: str) -> bool:
    """Whether oil leaves by a port to the tank, by its name."""
    return role_of(port) == "tank"


def is_work_port(port: str) -> bool:
    """Whether work is done from a port, by its name as makers stamp it: A, B, C with or without a number."""
    return role_of(port) == "work" and port.strip()[:1].isupper()


def never_plugged_unasked(port: str) -> bool:
    """Whether a port is a drain, a pilot, load-sensing, power-beyond or excess-flow port by its name."""
    return role_of(port) in UNASKED


def one_passage(ports: Iterable[str]) -> bool:
    """Whether two ports are the two ends of one passage by their names.

    >>> one_passage(["V1", "C1"]), one_passage(["V1", "C2"]), one_passage(["in", "out"])
    (True, False, True)
    """
    ports = list(ports)
    return frozenset(map(letters_of, ports)) in _passages() and len(set(map(number_of, ports))) == 1


def number_of(port: str) -> str:
    """The number at the end of a port's name, '' where there is none."""
    return port[len(port.rstrip("0123456789")):]


def letters_of(port: str) -> str:
    """A port's name without its number, in small letters, words a space apart."""
    return re.sub(r"[\s_-]+", " ", port.rstrip("0123456789")).strip(" .").lower()


@cache
def _roles() -> dict[str, str]:
    return {row["name"]: row["role"] for row in table("port-names") if row["role"] != "one-passage"}


@cache
def _passages() -> frozenset[frozenset[str]]:
    return frozenset(frozenset(row["name"].split("/")) for row in table("port-names") if row["role"] == "one-passage")
