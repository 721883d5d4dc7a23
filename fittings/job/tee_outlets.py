"""Where each outlet of the tees of a line leads: along the run or off on the branch, and to which leg."""

from collections.abc import Iterator

from fittings.ends import End
from fittings.job.result import PlannedLine
from fittings.job.shop_words import NEXT_TEE
from fittings.outlets import outlet_words
from fittings.parts import Part


def tee_outlets(line: PlannedLine) -> Iterator[tuple[Part, list[tuple[str, str]]]]:
    """The tees of a line in order, each with its outlets: `run` or `branch` ('' for a cross), and the port that the leg leads to,
    or `NEXT_TEE`."""
    if not line.tees:
        return
    inner = [each.joint for each in line.joints[len(line.joints) - len(line.tees) + 1:]]
    mouth = line.joints[len(line.joints) - len(inner) - 1].joint.b
    left = [leg.to_ref for leg in line.branches]
    for number, part in enumerate(line.tees):
        outlets = list(part.ends)
        outlets.remove(mouth)
        onward = inner[number] if number < len(inner) else None
        if onward is not None:
            outlets.remove(onward.a)
        here, left = left[: len(outlets)], left[len(outlets):]
        ends: list[End] = [*outlets, *([onward.a] if onward is not None else [])]
        words = outlet_words(part, [mouth, *ends])[1:]
        yield part, list(zip(words, [*here, *([NEXT_TEE] if onward is not None else [])], strict=True))
        mouth = onward.b if onward is not None else mouth
