"""What each room says of a question that cannot be: the error, its words, and the edge that is still answered."""

import pytest

from fittings import ends, lookalikes, ratings
from fittings.circuit import BadCircuit, cylinder, flow, hose, rules
from fittings.circuit import route as routes
from fittings.identify.batch import BadBatch, read_batch
from fittings.identify.interview import Interview
from fittings.identify.readings import BadReading
from fittings.ratings import Rating, derated
from fittings.stock import BadShelf
from fittings.stock.sheets import sheet_rows
from fittings.threads import metric

HOSE = hose.hose("2SN", "-8")


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: flow.velocity_limits("blood"), "no velocity is known for a blood line"),  # type: ignore[arg-type]
        (lambda: cylinder.fit(26, 16, 42, 42), "extended 42 in (1067 mm) must be longer than retracted 42 in (1067 mm)"),
        (lambda: hose.choose(-1, 8), "a pressure of -1 psi cannot be"), (lambda: hose.choose(2500, -1), "a flow of -1 gpm cannot be"),
        (lambda: routes.swing(routes.Swing(254, 355, (0, 361)), HOSE), "an angle of a swing lies between -360 and 360 degrees"),
    ],
)
def test_what_cannot_be(ask, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadCircuit) as caught:
        ask()
    assert str(caught.value).startswith(says)


def test_no_flow_takes_no_pressure() -> None:
    assert flow.drop_psi(0, 0.5, 100, 20, 0.87) == 0
    assert flow.fitting_drop_psi("elbow-90", 0, 0.5) == 0


def test_a_rule_without_a_figure() -> None:
    with pytest.raises(KeyError, match="one-plane"):
        rules.rule_value("one-plane")


def test_a_ram_without_a_rod_has_no_rod_side_to_warn_of() -> None:
    assert cylinder.findings(cylinder.cylinder(3, 0, 10), 2500) == ()


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: ends.end("jic", "-7", "male"), "37° flare is not made in size -7|JIC is not made in size -7"),
        (lambda: ends.family("jick"), "no such family"), (lambda: ends.end("jic", "-8", "port"), "no such form"),
        (lambda: ends.end("jic", "-12", "swivel-dual"), "no such form"),
    ],
)
def test_an_end_that_is_none(ask, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ends.UnknownEnd, match=says):
        ask()


def test_other_materials() -> None:
    """Brass half of steel, two instrument-fitting makers; aluminium bodies 210 bar, one valve-body maker; iron never."""
    steel = Rating(4000, 276.0, "", (), "B")
    assert [derated(steel, each).psi for each in ("brass", "aluminium-port", "malleable-iron")] == [2000, 3045, 0]
    assert derated(steel._replace(psi=2500), "aluminium-port").psi == 2500
    with pytest.raises(KeyError, match="wood"):
        derated(steel, "wood")
    assert set(ratings.materials()) == {"brass", "stainless", "malleable-iron", "aluminium-port", "pipe-nipple-40", "pipe-nipple-80"}


def test_an_end_without_a_thread_is_taken_for_its_like() -> None:
    """Code 61 and code 62 heads of one size differ by millimetres (alert of a fluid-power safety institute)."""
    told = lookalikes.lookalikes(ends.end("code61", "-16", "head"))
    assert "code62" in {each.end.family for each in told}


def test_two_flanges_are_told_apart_by_their_figures() -> None:
    """SAE J518 -12: head 38.1 mm in code 61, 41.3 in code 62; bolts 47.6 by 22.2 mm and 50.8 by 23.8 (a catalogue of flange clamps)."""
    (told,) = lookalikes.lookalikes(ends.end("code61", "-12", "head"))
    assert told.tell_apart == ("head diameter 38.1 mm here, 41.28 mm there; bolt spacing long 47.6 mm here, 50.8 mm there; "
                               "bolt spacing short 22.2 mm here, 23.8 mm there")
    for of in ends.all_ends():
        for each in lookalikes.lookalikes(of):
            # nothing is told from itself in the same words
            here, _, there = each.tell_apart.partition(", not ")
            assert not there or here.removeprefix("look for ") != there.split(";")[0]


def test_metric_diameters_beyond_the_standard() -> None:
    """ISO 965-1 runs from 1 to 355 mm."""
    with pytest.raises(ValueError, match="400 mm is outside ISO 965-1"):
        metric.tolerances_um(400, 3)


def test_a_batch_says_what_is_wrong_with_a_row_and_goes_on() -> None:
    found = read_batch(["name,od,tpi,sex", "a,14.2 mm,18,male,5", "b,,,", "", "c,wide,18,male", "d,14.2 mm,18,male"])
    assert [(each.name, each.wrong) for each in found[:2]] == [("a", "5 cells under 4 columns"), ("b", "no reading in this row")]
    assert found[-1].answer is not None
    with pytest.raises(BadBatch, match="the first line must name the columns"):
        read_batch([])


def test_a_shelf_that_is_a_folder(tmp_path) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadShelf) as caught:
        list(sheet_rows(str(tmp_path)))
    assert (str(caught.value).endswith("this is a folder"), caught.value.ask) == (True, "name a CSV or XLSX file")


def test_an_answer_when_nothing_is_asked() -> None:
    talk = Interview()
    for _ in range(40):
        if talk.question is None:
            break
        talk.answer("can't tell")
    assert talk.question is None
    with pytest.raises(BadReading, match="nothing is being asked"):
        talk.answer("14 mm")
