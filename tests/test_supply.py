"""What is installed beside the package: every dependency is bounded, and none is there that nothing uses."""

import ast
import re
import sys
import tomllib
from collections import defaultdict
from functools import cache
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]

RUN_NOT_IMPORTED = {
    "ruff": "tests/test_house.py runs it", "mypy": "tests/test_house.py runs it", "pytest-xdist": "addopts in pyproject.toml",
    "types-networkx": "mypy reads it",
}
"""What the tests need and do not import."""


BY_NAME = ("import_module", "importorskip", "find_spec", "metadata.files", "distribution")
"""Calls that reach a package by its name."""


def name_of(requirement: str) -> str:
    return re.split(r"[\s<>=!~\[;]", requirement)[0].lower()


@cache
def imported(folder: Path) -> frozenset[str]:
    """Top-level modules that the files of a folder import or look up by a plain name."""
    found = set()
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                found.add(node.module.split(".")[0])
            elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith(BY_NAME) and node.args and isinstance(node.args[0], ast.Constant):
                found.add(str(node.args[0].value).split(".")[0])
    return frozenset(found)


@cache
def installed() -> dict[str, set[str]]:
    """Top-level modules of each installed distribution, by its name as requirements write it."""
    found: dict[str, set[str]] = defaultdict(set)
    for module, of in packages_distributions().items():
        for each in of:
            found[re.sub(r"[-_.]+", "-", each).lower()].add(module)
    return found


def modules_of(distribution: str) -> set[str]:
    return installed().get(distribution) or {distribution.replace("-", "_")}


USED = [(each, "fittings") for each in (*PROJECT["dependencies"], *EXTRAS["shelf"])]
USED += [(each, "tests") for extra, some in EXTRAS.items() if extra != "shelf" for each in some]


@pytest.mark.parametrize(("requirement", "folder"), USED, ids=[f"{name_of(each)} in {folder}" for each, folder in USED])
def test_no_dependency_that_nothing_uses(requirement: str, folder: str) -> None:
    name = name_of(requirement)
    if name not in RUN_NOT_IMPORTED:
        assert modules_of(name) & (imported(TOP / folder) | imported(TOP / "fittings"))
    else:
        assert folder == "tests"


def test_what_is_imported_is_declared() -> None:
    declared = {module for each, _ in USED for module in modules_of(name_of(each))} | {"fittings"}
    strange = imported(TOP / "fittings") - declared - set(sys.stdlib_module_names)
    known = {"pydantic_core", "annotated_types", "click", "markupsafe"}  # parts of pydantic, typer and jinja2 that stand by themselves
    assert strange <= known


@pytest.mark.parametrize("requirement", sorted({each for each, _ in USED}))
def test_every_dependency_has_a_lowest_and_a_highest_version(requirement: str) -> None:
    """`python tests/resolutions.py lowest FOLDER` and `newest` run the suite at both."""
    assert re.search(r">=.*<|==", requirement), requirement
