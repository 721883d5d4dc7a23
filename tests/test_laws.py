"""Laws of the house that reach over several rooms; those of one room stand beside it (`docs/reliability.md` lists all)."""

import random

import pytest
from budget import examples
from chain_oracle import wrong
from hypothesis import given, settings
from hypothesis import strategies as st

from fittings import units
from fittings.ends import all_ends, end_by_id
from fittings.identify import Readings, shares
from fittings.limits import Limits
from fittings.parts import Part, all_parts
from fittings.stock import Need, Shelf, choose
from fittings.stock.shelf import ShelfRow
from fittings.threads import limits as limits_of_size
from fittings.threads import thread

USUAL = [end_by_id(each) for each in (
    "orb-6-port", "orb-8-port", "jic-6-swivel", "jic-8-swivel", "jic-8-male", "npt-3/8-female", "npt-1/2-female", "bspp-3/8-port",
    "orfs-8-swivel", "bspp-1/2-port", "jic-6-male")]


def _shelf(chances: random.Random, pieces: int) -> list[Part]:
    usual = {(each.family, each.size) for each in USUAL}
    there = [part for part in all_parts() if len(part.ends) == 2 and all((each.family, each.size) in usual for each in part.ends)]
    return [chances.choice(there) for _ in range(pieces)]


def _laid_out(parts: list[Part]) -> Shelf:
    return Shelf("", tuple(ShelfRow(n, 1, part.say, part, None, None, "", "") for n, part in enumerate(parts, 2)), ())


def test_a_shelf_never_makes_a_job_dearer_and_a_fuller_one_neither() -> None:
    """Parts to buy, then kinds: no more with a shelf than without, and no more with one part added to it."""
    chances, saved = random.Random(31), 0
    for _ in range(examples(15)):
        needs = []
        for number in range(chances.randrange(1, 4)):
            start, finish = chances.sample(USUAL, 2)
            asked = Limits(psi=chances.choice((None, 2000)), fixed=chances.random() < 0.2, shape_from=chances.choice((None, None, "90")))
            needs.append(Need(str(number), start, finish, asked))
        parts = _shelf(chances, 25)
        bare, shelved, fuller = (choose(needs, _laid_out(some)) for some in ([], parts, [*parts, *_shelf(chances, 1)]))
        assert fuller.score[:1] <= shelved.score[:1] <= bare.score[:1]
        assert shelved.score <= bare.score
        assert shelved.from_shelf <= len(parts)
        for pick in (*bare.picks, *shelved.picks):
            if pick.chain is not None:
                row = tuple((used.near, used.far, used.part.shape) for used in pick.chain.parts)
                assert wrong(pick.need.start, pick.need.finish, row, pick.need.limits) == set()
        saved += shelved.score.bought < bare.score.bought
    assert saved > examples(2)


PRINTED = [
    # printed in a style and read again: within half of the last place that is printed
    (units.format_pressure, units.pressure_psi, "inch", 1, lambda value: 0.5 if value >= 20 else 0.05),
    (units.format_pressure, units.pressure_psi, "metric", 1, lambda value: 7.3),  # half a bar
    (units.format_flow, units.flow_gpm, "inch", 1, lambda value: 0.05),
    (units.format_flow, units.flow_gpm, "metric", 1, lambda value: 0.0133),  # 0.05 L
    (units.format_torque, units.torque_nm, "inch", 1, lambda value: 0.68),  # half a lbf·ft
    (units.format_torque, units.torque_nm, "metric", 1, lambda value: 0.5 if value >= 10 else 0.05),
    (units.format_temperature, units.temperature_c, "metric", 1, lambda value: 0.5),
    (units.format_temperature, units.temperature_c, "inch", 1, lambda value: 0.28),  # half a °F
    (units.format_length, units.length_mm, "metric", 1, lambda value: 0.05 if value < 200 else 0.5),
    (units.format_length, units.length_mm, "inch", 1, lambda value: 0.13),  # 0.005 in
]


@pytest.mark.parametrize(("print_", "read", "style", "least", "room"), PRINTED, ids=lambda each: getattr(each, "__name__", str(each)))
@settings(max_examples=examples(40), deadline=None)
@given(value=st.floats(0, 9000))
def test_what_is_printed_is_read_back(print_, read, style, least, room, value) -> None:
    assert read(print_(value, style)) == pytest.approx(value, abs=room(value) * 1.001 + 1e-9)


@settings(max_examples=examples(40), deadline=None)
@given(st.floats(0, 1e5))
def test_any_unit_of_a_kind_reads_alike(value: float) -> None:
    """Force, volume, temperature, angle: 1 kgf = 9.80665 N, 1 in³ = 16.387064 mL, 1 gal = 231 in³ (NIST SP 811)."""
    assert units.force_lbf(f"{value * 9.80665:.6f} N") == pytest.approx(units.force_lbf(f"{value:.6f} kgf"), rel=1e-6, abs=1e-5)
    assert units.volume_gal(f"{value * 16.387064:.6f} mL") == pytest.approx(units.volume_gal(f"{value:.6f} in³"), rel=1e-6, abs=1e-6)
    assert units.volume_gal(f"{value * 231:.6f} in³") == pytest.approx(value, rel=1e-6, abs=1e-6)
    assert units.temperature_c(f"{value * 1.8 + 32:.6f} °F") == pytest.approx(units.temperature_c(f"{value + 273.15:.6f} K"), abs=1e-4)


THREADED = [each for each in all_ends() if each.side == "external"]


@settings(max_examples=examples(60), deadline=None)
@given(st.sampled_from(THREADED), st.floats(0, 1), st.floats(-2, 2))
def test_more_readings_inside_tolerance_never_lose_the_true_end(of, place: float, sigmas: float) -> None:
    """Diameter, then pitch, then the taper: the true end stays among the candidates after each."""
    spec = thread(of.thread)
    size = limits_of_size(spec, "external")
    assert size.major_max is not None and size.major_min is not None
    od_mm = (size.major_min + place * (size.major_max - size.major_min)) * size.unit_mm + 0.05 * sigmas
    readings = Readings(sex=of.sex, od_mm=od_mm)
    for more in ({}, {"pitch_mm": spec.pitch_mm}, {"taper": spec.taper > 0}):
        readings = readings._replace(**more)
        assert of in shares(readings).ends
