"""The documents cannot drift: pages made by a command are fresh, links lead somewhere, what is listed is there, words are the
glossary's."""

import re
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(TOP / "tests"))

import make_docs  # noqa: E402
from test_house import ROOMS  # noqa: E402

from fittings.circuit import LEVELS, LINE_KINDS  # noqa: E402
from fittings.ends import all_ends  # noqa: E402
from fittings.identify.specimen import NOSES  # noqa: E402
from fittings.tables import table  # noqa: E402

PAGES = [TOP / "README.md", TOP / "DEVELOPERS.md", *sorted((TOP / "docs").rglob("*.md")), TOP / "data" / "README.md"]


def test_pages_made_by_a_command_are_fresh() -> None:
    """`python tests/make_docs.py` mends this."""
    stale = [str(path.relative_to(TOP)) for path, text in make_docs.pages().items()
             if not path.exists() or path.read_text("utf-8") != text]
    assert stale == []


def test_readme_has_exactly_two_setup_commands() -> None:
    readme = (TOP / "README.md").read_text("utf-8")
    blocks = re.findall(r"```sh\n(.*?)```", readme, re.DOTALL)
    assert len(blocks) == 2
    assert all(len(block.strip().splitlines()) == 1 for block in blocks)
    assert "fittings plan docs/examples/" in blocks[0]
    assert "pytest" in blocks[1]


def test_the_readme_says_what_its_marks_mean_before_it_shows_them() -> None:
    """And begins with what can go wrong, not with a plan."""
    readme = (TOP / "README.md").read_text("utf-8")
    shown = re.findall(r"```console\n(.*?)```", readme, re.DOTALL)
    assert shown[0].startswith("$ fittings mate ") and "UNSAFE" in shown[0]
    explained = re.findall(r"`(\[[^`]+\]|\d !)` (?:says|are)", readme.replace("\n", " "))
    assert len(explained) == 3
    for mark in explained:
        places = [readme.index(block) for block in shown if mark in block]
        assert places, f"{mark} is explained and no longer shown: take one that is"
        assert readme.index(f"`{mark}`") < min(places)


def test_every_verb_is_documented() -> None:
    from fittings.cli import VERBS, verb

    readme = (TOP / "README.md").read_text("utf-8")
    for name in VERBS:
        assert f"`{name}`" in readme
        assert verb(name).__doc__


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(TOP)))
def test_links_lead_somewhere(page: Path) -> None:
    text = page.read_text("utf-8")
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        assert not target.startswith("http"), f"{page}: {target}: nothing outside is needed"
        assert (page.parent / target).exists(), f"{page}: {target}"


def test_the_map_of_a_job_names_every_module() -> None:
    """A line of the docstring of `fittings/job/__init__.py` for each, and none for what is not there."""
    import fittings.job

    named = re.findall(r"^    (\w+)  +\S", fittings.job.__doc__ or "", re.MULTILINE)
    there = {path.stem for path in (TOP / "fittings" / "job").glob("*.py")} - {"__init__"}
    assert len(named) == len(set(named)), "named twice"
    assert set(named) == there


def _fixed_words() -> dict[str, set[str]]:
    """Words of the glossary whose values are fixed, with the values that there are."""
    return {
        "kin": {row["kin"] for row in table("families")} - {""},
        "form": {end.form for end in all_ends()},
        "series": {row["series"] for row in table("ratings")} - {""},
        "nose": set(NOSES),
        "line": set(LINE_KINDS),
        "finding": set(LEVELS),
    }


@pytest.mark.parametrize("word", ["kin", "form", "series", "nose", "line", "finding"])
def test_the_glossary_holds_the_words_that_are_used(word: str) -> None:
    text = (TOP / "docs" / "glossary.md").read_text("utf-8")
    row = re.search(rf"^\| {word} \| .*? \| (.*) \|$", text, re.MULTILINE)
    assert row
    assert set(re.findall(r"`([\w-]+)`", row[1])) == _fixed_words()[word]


def test_the_page_of_the_tables_names_every_table() -> None:
    text = (TOP / "data" / "README.md").read_text("utf-8").partition("## All files")[2]
    named = re.findall(r"^\* `([\w/-]+)`: \S", text, re.MULTILINE)
    there = [str(path.relative_to(TOP / "data").with_suffix("")) for path in (TOP / "data").rglob("*.csv")]
    assert sorted(named) == sorted(there)


def test_the_page_of_the_tables_says_what_has_no_rating() -> None:
    text = (TOP / "data" / "README.md").read_text("utf-8")
    said = set()
    for family, forms, sizes in re.findall(r"^\| `(\w+)` \| (`.+?`) \| (.+?)(?: \(.*\))? \|$", text, re.MULTILINE):
        for form in re.findall(r"`([\w-]+)`", forms):
            said |= {each for each in all_ends() if (each.family, each.form) == (family, form)
                     and (sizes == "all" or each.size in sizes.split())}
    rated = {(row["family"], row["size"], row["form"]) for row in table("ratings") if row["use"] == "yes"}
    assert said == {each for each in all_ends() if tuple(each) not in rated}


def test_the_developers_guide_names_every_room() -> None:
    """In the table of rooms, and in the flow of the imports in the order that `test_house.ROOMS` holds them to."""
    text = (TOP / "DEVELOPERS.md").read_text("utf-8")
    rooms = [room for together in ROOMS for room in together if not room.startswith("__")]
    told = [name for row in re.findall(r"^\| (`.+?) \|", text, re.MULTILINE) for name in re.findall(r"`(\w+)`", row)]
    assert sorted(told) == sorted(rooms)
    flow = re.search(r"^    data/ -> (.+?)\n\n", text, re.MULTILINE | re.DOTALL)
    assert flow
    assert [sorted(each.split(", ")) for each in re.split(r"\s+-> ", flow[1])] == [sorted(each) for each in ROOMS[:-1]]


def test_files_named_in_the_developers_guide_exist() -> None:
    text = (TOP / "DEVELOPERS.md").read_text("utf-8")
    for name in re.findall(r"`((?:tests|docs|data|fittings)/[\w/.-]+\.(?:py|md|csv|toml))`", text):
        assert (TOP / name).exists(), name
