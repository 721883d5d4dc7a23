"""The public functions are pure: what is asked and answered can be sent to other processes, whoever sends it."""

import pickle
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest

import fittings
from fittings.job.plan import plan_text_of
from fittings.limits import Limits

TOP = Path(__file__).parent.parent
EXAMPLES = TOP / "docs" / "examples"


@pytest.fixture
def spread(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    pytest.importorskip("joblib")
    monkeypatch.syspath_prepend(str(EXAMPLES))  # the workers look where this process looks
    return import_module("spread")


def test_the_example_answers_as_one_process_does(spread: ModuleType) -> None:
    asked = [(f"ORB {size} port", f"JIC {hose} swivel", Limits(psi=psi)) for size in ("-4", "-6", "-8") for hose in ("-6", "-8", "-12")
             for psi in (None, 3000, 9000)]
    told = spread.spread(asked, 2, 5)
    assert told == spread.answered(asked)
    assert {bool(answer.chains) for answer in told} == {True, False}


def test_questions_and_answers_can_be_sent() -> None:
    a, b = fittings.end("orb", "-6", "port"), fittings.end("jic", "-8", "swivel")
    text = (EXAMPLES / "log-lift.toml").read_text("utf-8")
    for told in (a, Limits(psi=3000), fittings.join(a, b), fittings.join(a, b, Limits(psi=9000)), fittings.mate(a, b), plan_text_of(text)):
        assert pickle.loads(pickle.dumps(told)) == told
