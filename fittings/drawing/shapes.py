"""The shape of an end: which outline its form has stands in `data/drawing/profiles.csv`, its figures in the tables.

A new family of ends is new rows there; a new kind of seat is a new outline.
"""

from collections.abc import Callable, Mapping
from functools import cache

from fittings.drawing import couplers, female_ends, male_ends, other_ends
from fittings.drawing.solids import Shape
from fittings.ends import End
from fittings.tables import BadTable, Row, table

_OUTLINES: Mapping[str, Callable[[End, Row], Shape]] = {
    "port-chamfer": female_ends.port_chamfer,
    "port-flat": female_ends.port_flat,
    "taper-female": female_ends.taper_female,
    "nut-hollow": female_ends.nut_hollow,
    "nut-flat": female_ends.nut_flat,
    "nut-nose": female_ends.nut_nose,
    "nut-flare": female_ends.nut_flare,
    "nut-cutting-ring": female_ends.nut_cutting_ring,
    "flare-seat-female": female_ends.flare_seat_female,
    "stud-shoulder": male_ends.stud_shoulder,
    "stud-washer": male_ends.stud_washer,
    "stud-face": male_ends.stud_face,
    "nose-cone": male_ends.nose_cone,
    "face-groove": male_ends.face_groove,
    "mouth-cone": male_ends.mouth_cone,
    "taper": male_ends.taper,
    "flare-nut-male": male_ends.flare_nut_male,
    "flange-head": other_ends.flange_head,
    "flange-pad": other_ends.flange_pad,
    "coupler-tip": couplers.coupler_tip,
    "coupler-body": couplers.coupler_body,
    "flat-face-tip": couplers.flat_face_tip,
    "flat-face-body": couplers.flat_face_body,
    "hose-bore": other_ends.hose_bore,
    "hose-tail": other_ends.hose_tail,
}


@cache
def _profiles() -> dict[tuple[str, str], Row]:
    return {(row["family"], row["form"]): row for row in table("drawing/profiles")}


def profile(of: End) -> Row:
    """The row of an end in `data/drawing/profiles.csv`. Raises BadTable when its form has none."""
    try:
        return _profiles()[of.family, of.form]
    except KeyError:
        raise BadTable(f"data/drawing/profiles.csv has no row for {of.family} {of.form}") from None


@cache
def shape(of: End) -> Shape:
    """The geometry of an end in mm. Raises BadTable when its form has no outline in the tables.

    >>> from fittings.ends import end
    >>> round(shape(end("jic", "-6", "male")).screws[0].major_mm, 2)
    14.29
    """
    row = profile(of)
    try:
        build = _OUTLINES[row["outline"]]
    except KeyError:
        raise BadTable(f"data/drawing/profiles.csv: no outline {row['outline']!r}") from None
    built = build(of, row)
    pieces = tuple(
        piece._replace(grown=((0.0, built.wide_mm),)) if piece.kind in ("body", "tail", "tube", "hose") else piece
        for piece in built.pieces
    )
    return built._replace(pieces=pieces)
