"""What a component is on the inside: what it can shut, hold, store, divide or reduce.

The kinds stand in `data/component-kinds.csv`, words of names that hint at one in `data/component-words.csv`. A kind that the job file
writes is believed. A word in a name only adds a danger: it never takes one away, and it never lowers a pressure.
"""

import re
from functools import cache
from typing import Literal, NamedTuple

from fittings.job.model import Component, Job
from fittings.job.port_names import role_of
from fittings.tables import table

Does = Literal["shuts", "holds", "guards", "piloted", "stores", "divides", "raises", "reduces", "regenerates", "hand"]
"""`shuts` what is behind it, or holds it back; `holds` a load; `guards` against a burst hose; `piloted`: its pilot must be open to the tank
to seat; `stores` oil under pressure; `divides` flow, and `raises` one leg above its inlet; `reduces` the pressure behind
its outlet; `regenerates`: leads the oil of a rod end into the cap end; is worked by `hand`."""

PASSES = ("valve", "manifold", "other", None)
"""What the name of a component is asked for: what it is otherwise says enough."""


class Nature(NamedTuple):
    """What a component is: its kind, in words; whether the job file says so or only a word in its name, and which."""

    kind: str
    says: str
    does: frozenset[str]
    word: str = ""

    @property
    def written(self) -> bool:
        """Whether the job file says it."""
        return not self.word

    def told_of(self, name: str) -> str:
        """What a component of this name is, in words, and whether only its name says so."""
        return f"{name} is {self.says}" + ("" if self.written else ", by its name")


def nature_of(component: Component, does: Does) -> Nature | None:
    """What makes a component do this: the kind that the job file writes, else a word in its name; None where neither says so.

    A kind that says more than `valve`, `manifold` or `other` stands against every word.
    """
    kind = component.kind_given
    if kind is not None and (_kinds()[kind].does or kind not in PASSES):
        own = _kinds()[kind]
        return own if does in own.does else None
    return None if component.is_cylinder else _by_word(component.name, does)


def reduces(component: Component, port: str) -> bool:
    """Whether behind this port of a component the pressure is reduced: the outlet of what the job file says is a reducing valve."""
    nature = nature_of(component, "reduces")
    return nature is not None and nature.written and role_of(port) == "outlet"


def is_counterbalance(component: Component) -> bool:
    """Whether the job file says that a component is a counterbalance valve, which opens by itself at its setting."""
    nature = nature_of(component, "holds")
    return nature is not None and nature.written and "piloted" not in nature.does


def hand_pump(job: Job) -> Component | None:
    """The hand pump of a job in which the job file says that every pump is one; None in any other."""
    pumps = [each for each in job.component if each.kind == "pump"]
    return pumps[0] if pumps and all(nature_of(each, "hand") is not None for each in pumps) else None


def by_hand_by_name(component: Component) -> bool:
    """Whether the name of a pump says that it is worked by hand, and its kind does not."""
    return component.kind_given == "pump" and _by_word(component.name, "hand") is not None


def is_directional(component: Component, works: bool) -> bool:
    """Whether a component is the valve that a function is worked with; `works`: the job shows it between pump and cylinder."""
    return component.centre is not None or (component.kind in ("valve", None) and works)


@cache
def _kinds() -> dict[str, Nature]:
    return {row["kind"]: Nature(row["kind"], row["says"], frozenset(row["does"].split())) for row in table("component-kinds")}


@cache
def _by_word(name: str, does: Does) -> Nature | None:
    """The longest word of a name that hints at a kind which does this."""
    spaced = f" {re.sub(r'[^a-z0-9]+', ' ', name.lower())} "
    found = [row for row in table("component-words") if f" {row['word']} " in spaced and does in _kinds()[row["kind"]].does]
    row = max(found, key=lambda each: len(each["word"]), default=None)
    return None if row is None else _kinds()[row["kind"]]._replace(word=row["word"])
