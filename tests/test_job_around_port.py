"""Room beside a port and on its face, against arithmetic by hand and the port table of SAE J1926-1."""

import csv
from math import sqrt
from pathlib import Path

import pytest

from fittings.chain import Used
from fittings.circuit import Finding
from fittings.circuit.hose import hose
from fittings.ends import End, end
from fittings.envelopes import envelope
from fittings.job.around_port import beside_findings, hexagon, spotface_findings
from fittings.job.plan import plan
from fittings.job.reading import read_job
from fittings.job.room import height_mm, room_findings, too_high
from fittings.parts import find

AUTHORITIES = Path(__file__).parent / "authorities"

PORT = end("orb", "-8", "port")
STUD, ADJUSTABLE, CONE = end("orb", "-8", "stud"), end("orb", "-8", "stud-adj"), end("jic", "-8", "male")


def used(near: End, far: End, shape: str) -> Used:
    return Used(find((near, far), shape)[0], near, far)


STRAIGHT, ELBOW = used(STUD, CONE, "straight"), used(ADJUSTABLE, CONE, "90")


def codes(found: list[Finding]) -> list[str]:
    return [each.code for each in found]


def test_across_corners_of_a_hexagon() -> None:
    """Two over the root of three times across flats (plane geometry)."""
    known = hexagon(STRAIGHT)
    assert known is not None
    flats = envelope(STRAIGHT.part)
    assert flats is not None and known.flats_mm == flats.body_hex_mm
    assert known.corners_mm == pytest.approx(known.flats_mm * 2 / sqrt(3))


@pytest.mark.parametrize(("more_mm", "code"), [(-0.2, "next-port-short"), (0.2, "next-port-spanner"), (40, "next-port-enough")])
def test_neighbours_pass_each_other_or_not(more_mm: float, code: str) -> None:
    """Two equal hexagons side by side need the distance of one across its corners (plane geometry)."""
    known = hexagon(STRAIGHT)
    assert known is not None
    apart_in = (known.flats_mm * 2 / sqrt(3) + more_mm) / 25.4
    assert codes(list(beside_findings("valve.A", apart_in, STRAIGHT, "inch"))) == [code]


def test_head_of_a_spanner_beside_a_neighbour() -> None:
    """ISO 3318, from memory: at most 2.1 times the flats and 7 mm wide. 22 mm across flats: 53.2 mm of head, 25.4 mm across the
    corners next to it, so half of both, 39.3 mm, is enough and a little less is not."""
    known = hexagon(STRAIGHT)
    assert known is not None and known.flats_mm == 22
    assert codes(list(beside_findings("valve.A", 39.2 / 25.4, STRAIGHT, "inch"))) == ["next-port-spanner"]
    assert codes(list(beside_findings("valve.A", 39.4 / 25.4, STRAIGHT, "inch"))) == ["next-port-enough"]


def test_elbow_swings_into_its_neighbour_while_it_is_screwed_in() -> None:
    """Leg of the elbow 31.8 mm to the face of its cone (a maker's adapter table); the neighbour 40 mm off has a hexagon of 24 mm,
    13.9 mm from its axis to a corner: 45.7 mm is too much for 40, not for 60."""
    assert "elbow-sweep" in codes(list(beside_findings("valve.A", 40 / 25.4, ELBOW, "inch")))
    assert "elbow-sweep" not in codes(list(beside_findings("valve.A", 60 / 25.4, ELBOW, "inch")))
    assert "elbow-sweep" not in codes(list(beside_findings("valve.A", 40 / 25.4, STRAIGHT, "inch")))


def test_what_no_table_knows_is_said() -> None:
    tip = end("iso16028", "1/2", "tip")
    unknown = next(Used(part, part.ends[0], part.ends[1]) for part in find((tip, end("npt", "1/2", "female"))))
    assert hexagon(unknown) is None
    assert codes(list(beside_findings("a.b", 1.0, unknown, "both"))) == ["next-port-unknown"]


with open(AUTHORITIES / "ends_j1926_ports.csv", encoding="utf-8", newline="") as _file:
    PORTS = {row["size"]: row for row in csv.DictReader(_file)}


@pytest.mark.parametrize("size", ["-4", "-6", "-8", "-10", "-12", "-16"])
def test_flat_round_a_port_against_the_standard(size: str) -> None:
    """SAE J1926-1, least diameter of the wide spotface, from the transcribed table of ports."""
    least = float(PORTS[size]["spotface_wide_min_mm"])
    port = end("orb", size, "port")
    stud = used(end("orb", size, "stud"), end("jic", size, "male"), "straight")
    assert "spotface-short" in codes(list(spotface_findings("v.A", (least - 0.2) / 25.4, port, stud, "metric")))
    assert "spotface-enough" in codes(list(spotface_findings("v.A", least / 25.4, port, stud, "metric")))


def test_hexagon_wider_than_the_flat() -> None:
    """22 mm across flats is 25.4 mm across corners: wider than a flat of 24 mm, not than one of 26."""
    assert "spotface-hexagon" in codes(list(spotface_findings("v.A", 24 / 25.4, PORT, STRAIGHT, "both")))
    assert "spotface-hexagon" not in codes(list(spotface_findings("v.A", 26 / 25.4, PORT, STRAIGHT, "both")))


def test_port_without_a_flat_in_the_tables() -> None:
    pipe = end("npt", "1/2", "female")
    first = used(end("npt", "1/2", "male"), CONE, "straight")
    assert codes(list(spotface_findings("t.r", 1.0, pipe, first, "inch")))[0] == "spotface-unknown"


JOB = """
[system]
relief = "2500 psi"
flow = "8 gpm"
[[component]]
name = "valve"
ports = { A = "ORB -8 port" }
[[component]]
name = "block"
kind = "manifold"
ports = { a = "ORB -6 port" }
[[line]]
name = "one"
from = "valve.A"
to = "block.a"
route = { length = "60 in" }
at_from = { next_port = "1 in", spotface = "0.9 in" }
at_to = { next_port = "3 in" }
"""


def test_job_file_says_where_the_neighbours_stand() -> None:
    """25.4 mm across the corners of the -8 hexagon against 25.4 mm to the next port and a flat of 22.9 mm."""
    found = {each.code: each.text for each in plan(read_job(JOB)).lines[0].findings}
    assert "spotface-short" in found and "spotface-hexagon" in found
    assert found["next-port-short"].startswith("valve.A lies 1 in (25.4 mm) from the next port")
    assert found["next-port-enough"].startswith("block.a lies 3 in (76.2 mm) from the next port")


def test_room_beside_a_port_where_a_tee_sits() -> None:
    text = JOB.replace('ports = { a = "ORB -6 port" }', 'ports = { a = "ORB -6 port", b = "ORB -6 port" }').replace(
        'to = "block.a"\nroute = { length = "60 in" }', 'to = ["block.a", "block.b"]')
    of = plan(read_job(text)).lines[0]
    assert of.tees
    assert any(each.code.startswith("next-port") for each in of.findings)


def test_what_cannot_go_in_is_refused_though_not_all_of_its_height_is_known() -> None:
    """ORB -8 by JIC -8, straight: 37.6 mm overall less the 11.1 mm that go into the port (a maker's adapter table), 26.5 mm; another
    maker's may be 6 mm shorter, so 20 mm are too little for any, whatever stands on it; 24 mm may be."""
    tail, swivel = end("hose", "-8", "tail"), end("jic", "-8", "swivel")
    bent = used(swivel, tail, "90")
    height = height_mm([STRAIGHT], bent, hose("2SN", "-8"))
    assert height.mm is None and height.least_mm == pytest.approx(26.5, abs=0.05)
    for room_mm, told in ((20, ("room-short", "refuse")), (24, ("room-unknown", "warn")), (200, ("room-unknown", "warn"))):
        assert [(each.code, each.level) for each in room_findings("v.A", room_mm / 25.4, height, "metric")] == [told]
    assert too_high(20 / 25.4, height) and not too_high(30 / 25.4, height)
