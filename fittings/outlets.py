"""Which way each end of a tee or cross looks: along the run, or off it on the branch."""

from collections.abc import Sequence

from fittings.ends import End
from fittings.parts import Part

RUN = (180.0, 0.0)


def directions(part: Part) -> tuple[float, ...]:
    """Which way each end of a tee or cross looks, degrees, in the order of its ends; the run is 180 and 0.

    The odd end is the last: of a run tee it is on the run, of a branch tee it is the branch. Raises ValueError for a part
    without three or four ends.

    >>> from fittings.ends import end
    >>> from fittings.parts import find
    >>> directions(find([end("jic", "-6", "male")] * 3, "tee")[0])
    (180.0, 0.0, 90.0)
    """
    if len(part.ends) == 4:
        return 180.0, 0.0, 90.0, -90.0
    if len(part.ends) != 3:
        raise ValueError(f"{part.say} has {len(part.ends)} ends: it is no tee")
    return (180.0, 90.0, 0.0) if part.shape.endswith("run") else (180.0, 0.0, 90.0)


def places(part: Part, ends: Sequence[End]) -> list[int]:
    """The number of each of these ends among those of a tee or cross. Where several are alike the run is gone along before the
    branch. Raises ValueError when they are not ends of the part."""
    left = list(range(len(part.ends)))
    looks = directions(part)
    order = sorted(left, key=lambda number: (looks[number] not in RUN, number))
    found = []
    for asked in ends:
        number = next((each for each in order if each in left and part.ends[each] == asked), None)
        if number is None:
            raise ValueError(f"{part.say} has no {asked.say} left")
        left.remove(number)
        found.append(number)
    return found


def outlet_words(part: Part, ends: Sequence[End]) -> list[str]:
    """`run` or `branch` for each of these ends of a tee, '' for those of a cross.

    >>> from fittings.ends import end
    >>> from fittings.parts import find
    >>> tee = find([end("jic", "-6", "male")] * 3, "tee")[0]
    >>> outlet_words(tee, tee.ends)
    ['run', 'run', 'branch']
    """
    if len(part.ends) == 4:
        return [""] * len(ends)
    looks = directions(part)
    return ["run" if looks[number] in RUN else "branch" for number in places(part, ends)]
