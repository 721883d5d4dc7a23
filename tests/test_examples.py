"""Every example in a docstring answers as it says."""

import doctest
import pkgutil
from importlib import import_module

import pytest

import fittings

MODULES = sorted(each.name for each in pkgutil.walk_packages(fittings.__path__, "fittings.") if not each.name.endswith("__main__"))


@pytest.mark.parametrize("name", MODULES)
def test_examples_of(name: str) -> None:
    module = import_module(name)
    finder = doctest.DocTestFinder(exclude_empty=True)
    runner = doctest.DocTestRunner()
    for each in finder.find(module, name):
        runner.run(each)
    assert runner.failures == 0


def test_most_rooms_have_examples() -> None:
    finder = doctest.DocTestFinder(exclude_empty=True)
    assert sum(len(each.examples) for name in MODULES for each in finder.find(import_module(name), name)) > 150
