"""Charts and worked cases that others printed: what a reading is said to be, and what `identify` makes of it."""

import csv
from pathlib import Path

import pytest

from fittings.identify import Readings, Shares, identify, read_readings, shares
from fittings.threads import thread

AUTHORITIES = Path(__file__).parent / "authorities"


def _rows(name: str) -> list[dict[str, str]]:
    with (AUTHORITIES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", _rows("identify_charts.csv"), ids=lambda row: f"{row['thread']} {row['side']} {row['read_mm']}")
def test_diameter_and_pitch_of_a_printed_chart_name_its_thread(row: dict[str, str]) -> None:
    outside = row["side"] == "external"
    step_mm = 0.13 if "0.01 in" in row["where"] or "same distributor" in row["where"] else 0.15 if "." not in row["read_mm"] else 0.05
    read_mm = float(row["read_mm"])
    now = shares(Readings(
        sex="male" if outside else "female", od_mm=read_mm if outside else None, id_mm=None if outside else read_mm,
        tpi=float(row["tpi"]) if row["tpi"] else None, pitch_mm=float(row["pitch_mm"]) if row["pitch_mm"] else None,
        taper=False if row["tpi"] else None, plus_minus_mm=step_mm))
    by_thread = _threads(now)
    assert max(by_thread, key=by_thread.__getitem__) == thread(row["thread"]).key, by_thread
    assert by_thread[thread(row["thread"]).key] > max(0.5, now.none - sum(now.strangers.values())), by_thread


def _threads(now: Shares) -> dict[str, float]:
    summed: dict[str, float] = {}
    for end, share in now.ends.items():
        summed[end.thread] = summed.get(end.thread, 0.0) + share
    for stranger, share in now.strangers.items():  # a chart names a thread, whoever has it
        summed[stranger.kind[1]] = summed.get(stranger.kind[1], 0.0) + share
    return summed


@pytest.mark.parametrize("row", _rows("identify_cases.csv"), ids=lambda row: row["case"])
def test_worked_case(row: dict[str, str]) -> None:
    """`none`: no standard end. `end X`: this end first. `thread X Y`: one of these threads first; `; ask R`: R not yet
    told. `doubt TEXT`: the first end is told with this difference."""
    taken = read_readings(dict(pair.strip().split("=", 1) for pair in row["readings"].split(";")))
    answer = identify(taken.readings, taken.notes)
    by_thread = _threads(shares(taken.readings))
    first = max(by_thread, key=by_thread.__getitem__, default="")
    what, _, rest = row["expect"].partition(" ")
    names, _, open_question = rest.partition("; ask ")
    match what:
        case "none":
            assert answer.none_share > 0.5, answer.candidates[:2]
        case "end":
            assert answer.candidates[0].end.id == names
        case "thread":
            assert any(first == name or first.startswith(f"{name}x") for name in names.split()), by_thread
            assert by_thread[first] > answer.none_share
        case "doubt":
            assert any(names in said for said in answer.candidates[0].differs)
    if open_question:
        assert answer.ask_next is not None and not answer.clear
        assert len({end for end in by_thread if end.startswith(f"{names}x")}) > 1
