"""Flow, oil and losses against a hose maker's table, tabled values, and two open libraries as second witnesses."""

import csv
import math
import statistics
from pathlib import Path

import chemicals
import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fittings.circuit import LINE_KINDS, BadCircuit, flow, oil
from fittings.circuit.hose import next_size
from fittings.units import PSI_PER_BAR

AUTHORITIES = Path(__file__).parent / "authorities"
LPM = 1 / 3.785411784


def read(name: str) -> list[dict[str, str]]:
    with (AUTHORITIES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(("gpm", "fps", "size"), [(16, 20, "-10"), (13, 10, "-12")])
def test_next_standard_bore_of_a_hose_makers_nomogram(gpm, fps, size):
    """Hose maker's nomogram: 16 gpm at 20 ft/s takes 5/8 in, 13 gpm at 10 ft/s takes 3/4 in (H1 of the oracles)."""
    assert next_size(flow.least_bore_in(gpm, fps)) == size


DROPS = [
    row
    for row in read("circuit_drop_table.csv")
    # the -40 column and -48 at 800 gpm are 30 to 45 % above theory; below 3 psi the table has one digit
    if row["size"] != "-40"
    and (row["size"], row["flow_gpm"]) != ("-48", "800")
    and float(row["drop_psi_per_10ft"]) >= 3
]


def our_drop(row: dict[str, str]) -> float:
    return flow.drop_psi(float(row["flow_gpm"]), float(row["bore_in"]), 120, 20, 0.85)


@pytest.mark.parametrize("row", DROPS, ids=lambda row: f"{row['size']} at {row['flow_gpm']} gpm")
def test_drop_against_a_hose_makers_table(row):
    assert our_drop(row) == pytest.approx(float(row["drop_psi_per_10ft"]), rel=0.13)


def test_drop_on_the_whole():
    ratios = [our_drop(row) / float(row["drop_psi_per_10ft"]) for row in DROPS]
    assert len(ratios) == 60
    assert statistics.mean(ratios) == pytest.approx(1.03, abs=0.005)
    assert statistics.pstdev(ratios) < 0.05


def test_reynolds_constants():
    """Re = 3162.6·Q/(d·ν) and 10 gpm in 5/8 in at 20 cSt gives 2530; both worked out apart from this code."""
    assert flow.reynolds(10, 0.625, 20) == pytest.approx(2530, abs=0.5)
    assert flow.reynolds(1, 1, 1) == pytest.approx(3162.6, abs=0.1)


@given(st.floats(1, 1180))
def test_laminar_friction_is_that_of_the_library(re):
    assert flow.friction_factor(re) == pytest.approx(fluids.friction_factor(re), rel=1e-9)


@given(st.floats(3000, 1e5))
def test_turbulent_friction_is_near_the_library(re):
    """Blasius stays within 3 % of the smooth Colebrook line over this range."""
    assert flow.friction_factor(re) == pytest.approx(fluids.friction_factor(re, 0), rel=0.03)


def test_friction_in_between_is_the_turbulent_line():
    """64/Re holds to Re 2300 in smooth pipe (the library agrees), hose makers' tables lie above it from Re 1187 on."""
    assert fluids.friction_factor(2000) == pytest.approx(64 / 2000)
    assert flow.friction_factor(2000) == pytest.approx(0.3164 * 2000**-0.25)
    assert flow.friction_factor(1187) == pytest.approx(64 / 1187, rel=1e-3)


def test_two_k_is_that_of_the_library():
    for item, name in (
        ("elbow-90", "Elbow, 90°, Standard (R/D = 1), Screwed"),
        ("elbow-45", "Elbow, 45°, Standard (R/D = 1), All types"),
        ("tee-run", "Tee, Run, Screwed"),
        ("ball-valve", "Valve, Gate, Full line size, Beta = 1"),
    ):
        loss = flow.losses()[item]
        for re in (100, 500, 1000, 2000, 10_000):
            assert flow.two_k(loss.k1, loss.k_inf, re, 0.5) == pytest.approx(
                fluids.fittings.Hooper2K(Di=0.5, Re=re, name=name)
            )


@pytest.mark.parametrize(("re", "k"), [(100, 9.2), (500, 2.8), (1000, 2.0), (2000, 1.6), (10_000, 1.28)])
def test_two_k_of_an_elbow_as_tabled(re, k):
    """Screwed 90° elbow of half an inch, tabled: cold oil costs several times the handbook K."""
    assert flow.two_k(800, 0.40, re, 0.5) == pytest.approx(k, rel=0.01)


def test_elbow_drop_from_its_coefficient():
    """Δp = K·ρ·v²/2 in SI, worked out apart: 10 gpm in 1/2 in at 20 cSt, 870 kg/m³."""
    metres_per_s = 10 * 3.785411784e-3 / 60 / (3.14159265 / 4 * 0.0127**2)
    k = 800 / flow.reynolds(10, 0.5, 20) + 0.40 * 3
    assert flow.fitting_drop_psi("elbow-90", 10, 0.5, 20, 0.87) == pytest.approx(
        k * 870 * metres_per_s**2 / 2 / 6894.757, rel=1e-6
    )
    with pytest.raises(BadCircuit, match="elbow-90"):
        flow.fitting_drop_psi("elbow-91", 10, 0.5)


def test_step_of_bore_against_the_library():
    v = flow.velocity_fps(10, 0.5) * 0.3048
    for into, ours in ((0.75, flow.step_drop_psi(10, 0.5, 0.75, 0.87)),):
        k = fluids.fittings.diffuser_sharp(0.5, into)
        assert ours == pytest.approx(k * 870 * v**2 / 2 / 6894.757, rel=1e-6)
    assert flow.step_drop_psi(10, 0.5, 0.5) == 0


def test_coupler_rated_drop():
    """Component maker's reprint of ISO 14541: 12.5 mm, 45 L/min, 1.5 bar at most."""
    drop = flow.coupler_drop("1/2", 45 * LPM)
    assert drop.psi / PSI_PER_BAR == pytest.approx(1.5, rel=0.002)
    assert flow.coupler_drop("1/2", 90 * LPM).psi == pytest.approx(4 * drop.psi)
    assert flow.coupler_drop("9/16", 5) is None


@pytest.mark.parametrize("row", read("circuit_oil.csv"), ids=lambda row: f"{row['oil']} at {row['celsius']} °C")
def test_viscosity_table(row):
    known = oil.oil(row["oil"])
    assert known.cst_100c == float(row["cst_100c"])
    assert oil.viscosity_cst(known, float(row["celsius"])) == pytest.approx(
        float(row["cst"]), rel=0.0005, abs=0.051 if "." in row["cst"] else 0.51
    )


@pytest.mark.parametrize("grade", [22, 32, 46, 68, 100])
def test_grades_are_those_of_iso_3448_and_near_a_viscosity_index_of_100(grade):
    """ISO 3448: the grade is the midpoint in cSt at 40 °C; the library's index says what kind of oil."""
    known = oil.oil(f"VG {grade}")
    assert known.cst_40c == grade
    assert 90 < chemicals.viscosity_index(grade * 1e-6, known.cst_100c * 1e-6) < 115


def test_oil_names():
    assert oil.oil("AW46") == oil.oil("46") == oil.oil("iso vg 46")
    assert oil.oil("UTF").confidence == "C"
    with pytest.raises(BadCircuit, match="ISO VG 46"):
        oil.oil("olive oil")


@given(st.sampled_from(oil.oils()), st.floats(-30, 110), st.floats(0.5, 40))
def test_oil_gets_thinner_as_it_warms(known, celsius, more):
    cold, warm = oil.viscosity_cst(known, celsius), oil.viscosity_cst(known, celsius + more)
    assert cold > warm > 1
    assert oil.density_kg_l(known, celsius + more) < oil.density_kg_l(known, celsius)


def test_oil_findings():
    codes = {each.code for each in oil.findings(oil.oil("68"), -20, 95)}
    assert codes == {"cold-oil-unsure", "oil-stiff-when-cold", "oil-thin-when-hot"} - (
        {"oil-thin-when-hot"} if oil.viscosity_cst(oil.oil("68"), 95) >= 10 else set()
    )
    assert oil.findings(oil.oil("46"), 5, 60) == ()


def test_velocity_limits_as_agreed():
    """Suction 4, fail above 1.5 m/s; return 10, fail above 15; pressure 15 to 500 psi, 20 to 3000 psi, 25 above, fail above 35 ft/s."""
    assert flow.velocity_limits("suction")[:3] == (4, 4, 4.92)
    assert flow.velocity_limits("return")[:3] == (10, 10, 15)
    assert [flow.velocity_limits("pressure", psi).target_fps for psi in (500, 501, 3000, 3001)] == [15, 20, 20, 25]
    assert flow.velocity_limits("work", 2750) == flow.velocity_limits("pressure", 2750)
    assert flow.velocity_limits("pressure", 2000).refuse_fps == 35


@pytest.mark.parametrize(
    ("gpm", "bore", "kind", "psi", "expected"),
    [
        (8, 0.375, "work", 2600, ("oil-fast", "warn")),  # 23 ft/s: accepted with a warning, short run
        (12, 0.5, "work", 2500, ("oil-fast", "info")),  # 19.6 ft/s: at the limit
        (8, 0.5, "work", 2600, None),  # 13.1 ft/s
        (10, 0.5, "return", 100, ("oil-too-fast", "refuse")),  # 16.3 ft/s
        (14, 0.75, "return", 100, ("oil-fast", "warn")),  # 10.2 ft/s
        (11, 0.75, "suction", 0, ("oil-too-fast", "refuse")),
        (20, 0.4375, "pressure", 3500, ("oil-too-fast", "refuse")),
    ],
)
def test_velocity_findings(gpm, bore, kind, psi, expected):
    """Velocities of worked jobs, 0.4085·Q/d²; what they mean is common practice, no source."""
    found = flow.velocity_findings(gpm, bore, kind, psi)
    assert [(each.code, each.level) for each in found] == ([expected] if expected else [])


@given(st.floats(0.1, 200), st.floats(0.15, 3), st.sampled_from(LINE_KINDS), st.floats(0, 6000), st.floats(0, 6000))
def test_raising_the_pressure_makes_no_finding_go_away(gpm, bore, kind, psi, more):
    before = {each.code for each in flow.velocity_findings(gpm, bore, kind, psi)}
    after = {each.code for each in flow.velocity_findings(gpm, bore, kind, psi + more)}
    assert before <= after


@given(st.floats(0.1, 200), st.floats(0.15, 3), st.floats(1, 500), st.floats(1, 5000))
def test_laws_of_drop(gpm, bore, length, cst):
    base = flow.drop_psi(gpm, bore, length, cst)
    assert flow.drop_psi(gpm * 1.1, bore, length, cst) > base
    assert flow.drop_psi(gpm, bore * 1.1, length, cst) < base
    assert flow.drop_psi(gpm, bore, length * 2, cst) == pytest.approx(2 * base)
    assert flow.velocity_fps(gpm, flow.least_bore_in(gpm, 12.0)) == pytest.approx(12.0)
    whole = flow.line_drop_psi([flow.Stretch(bore, length / 2), flow.Stretch(bore, length / 2)], gpm, cst, 0.87)
    assert whole == pytest.approx(base)


def test_drop_findings():
    assert flow.drop_findings(20, 80, "pressure") == ()
    assert [each.code for each in flow.drop_findings(200, 900, "work")] == ["drop-hot"]
    assert [each.code for each in flow.drop_findings(1, 8, "suction")] == ["suction-starves"]
    assert [each.code for each in flow.drop_findings(10, 300, "return")] == ["return-pressure"]


@pytest.mark.parametrize(
    "call",
    [
        lambda: flow.velocity_fps(1, 0),
        lambda: flow.reynolds(1, 1, 0),
        lambda: flow.drop_psi(-1, 0.5, 10),
        lambda: flow.orifice_gpm(0.1, -5),
        lambda: flow.least_bore_in(1, 0),
        lambda: oil.walther(0.1, 300, 5, 310),
        lambda: oil.walther(10, 300, 5, 300),
        lambda: oil.viscosity_cst(oil.oil("46"), -300),
    ],
)
def test_impossible_figures_are_refused(call):
    with pytest.raises(BadCircuit):
        call()


def test_a_speed_that_reads_as_the_calm_one_is_not_told() -> None:
    """15 ft/s is 4.57 m/s; 4.6 m/s beside 4.6 m/s says nothing. 34.8 L/min in 12.7 mm: 9.19 gpm · 0.3208 / 0.1963 in² = 15.02 ft/s."""
    gpm = 15.02 * math.pi / 4 * 0.5**2 / (231 / 60 / 12)
    assert flow.velocity_findings(gpm, 0.5, "pressure", 2000, "metric") == ()
    assert flow.velocity_findings(gpm * 1.05, 0.5, "pressure", 2000, "metric")[0].code == "oil-fast"
