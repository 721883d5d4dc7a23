"""Parts of which not every end is named, and words that are nearly understood: what is filled in, and what is asked back.

What a counter would hand over or ask (common practice, no source).
"""

import pytest

from fittings.notation import BadText, NotUnderstood, read_end, read_part, read_shape

FILLED_IN = [
    # the ends that are alike are named once, the odd one by itself
    ("tee ORB -8 male adjustable x JIC -8", "tee", ["jic-8-male", "jic-8-male", "orb-8-stud-adj"]),
    ("tee JIC -8 male x JIC -8 swivel", "tee", ["jic-8-male", "jic-8-male", "jic-8-swivel"]),
    ("run tee JIC -8 swivel", "tee-run", ["jic-8-male", "jic-8-male", "jic-8-swivel"]),
    ("union JIC -8", "straight", ["jic-8-male", "jic-8-male"]),
    ("cross JIC -8", "cross", ["jic-8-male"] * 4),
    ("90 street elbow NPT 1/2", "90", ["npt-1/2-female", "npt-1/2-male"]),
    ("45 degree union JIC -8", "45", ["jic-8-male", "jic-8-male"]),
]


@pytest.mark.parametrize(("typed", "shape", "ends"), FILLED_IN, ids=[each[0] for each in FILLED_IN])
def test_ends_that_were_not_named(typed: str, shape: str, ends: list[str]) -> None:
    read = read_part(typed)
    assert (read.shape, sorted(each.id for each in read.ends)) == (shape, sorted(ends))


ASKED_BACK = [
    ("tee JIC -8 male x NPT 1/2 male", "ambiguous", "Which of the two is there twice? Name all three"),
    ("run tee JIC -8", "ambiguous", "What is on the run? Name it with an x between"),
    ("branch tee JIC -8", "ambiguous", "What is on the branch? Name it with an x between"),
    ("bulkhead tee JIC -8", "ambiguous", "Is it on the run or the branch?"),
    ("90 JIC -8", "ambiguous", "What is at the other end? Write it after an x; for two ends alike say “union”, for male and female “street”"),
    ("ORB -6 male", "not understood", "name both ends, such as “ORB -6 male x JIC -6 male”"),
    ("straight JIC -8 x JIC -8 x JIC -8 x JIC -8", "not understood", "name each end, with an x between them"),
]


@pytest.mark.parametrize(("typed", "kind", "ask"), ASKED_BACK, ids=[each[0] for each in ASKED_BACK])
def test_what_is_asked_back(typed: str, kind: str, ask: str) -> None:
    with pytest.raises(BadText) as caught:
        read_part(typed)
    assert (caught.value.kind, caught.value.ask) == (kind, ask)


@pytest.mark.parametrize("typed", ["9/16 tpi JIC male", "1.3 tpi JIC male", "3/8 mm ORB port"])
def test_a_figure_with_a_unit_that_cannot_be_is_no_size(typed: str) -> None:
    with pytest.raises(BadText) as caught:
        read_end(typed)
    assert caught.value.text.endswith("is no size")
    assert caught.value.ask == "write sizes like -6, 1/2, 1-1/16-12, M22x1.5 or 15L"


def test_a_count_of_threads_that_nothing_has() -> None:
    with pytest.raises(BadText) as caught:
        read_end("18.5 tpi JIC male")
    assert (caught.value.kind, caught.value.text) == ("not covered", "no end in our tables has 18.5 threads per inch")


@pytest.mark.parametrize("degrees", ["37 deg", "37deg", "37 degree", "37-degree", "37°", "37º"])
def test_degrees_however_they_are_written(degrees: str) -> None:
    assert read_end(f"{degrees} flare -6 male").end.id == "jic-6-male"


@pytest.mark.parametrize(("typed", "shape"), [("straight", "straight"), (" Straight ", "straight"), ("45", "45"), ("45°", "45"), ("90 deg", "90")])
def test_a_shape_is_read_with_or_without_its_degrees(typed: str, shape: str) -> None:
    assert read_shape(typed) == shape


@pytest.mark.parametrize("typed", ["", "30", "elbow", "tee", "900", "True"])
def test_what_is_no_shape_of_a_part_between_two_ends(typed: str) -> None:
    with pytest.raises(NotUnderstood, match="a shape is straight, 45 or 90"):
        read_shape(typed)
