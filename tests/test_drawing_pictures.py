"""The pictures of the documentation are the program's own drawings, and none of them is stale."""

import pytest
from make_pictures import MAKERS, PICTURES


@pytest.mark.parametrize("name", MAKERS)
def test_picture_is_fresh(name: str) -> None:
    path = PICTURES / f"{name}.svg"
    assert path.exists() and path.read_text("utf-8") == MAKERS[name](), "stale: run python tests/make_pictures.py"


def test_no_picture_is_left_over() -> None:
    assert {path.name for path in PICTURES.iterdir()} == {f"{name}.svg" for name in MAKERS}
