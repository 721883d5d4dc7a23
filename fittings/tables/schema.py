"""What every data file must look like: one model per file, checked cell by cell.

This is the slow room. Nothing on the way to an answer imports it: the data check and the tests do.
"""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, ValidationError

from fittings.tables import BadTable, Row, names, table, trade
from fittings.tables.cells import (
    Above,
    AtLeast,
    Form,
    Forms,
    Ids,
    Key,
    MaybeAbove,
    MaybeAtLeast,
    MaybeEndWords,
    MaybeGrade,
    MaybeIds,
    MaybeSize,
    Model,
    Note,
    Number,
    Size,
    Sourced,
    Text,
    YesNo,
)


class Source(Model):
    id: Key
    kind: Literal["standard", "catalogue", "manual", "page", "dataset", "memory", "arithmetic", "practice"]
    what: Text
    edition: Note
    trust: Note
    note: Note


class Family(Model):
    family: Key
    name: Text
    standard: Text
    size_kind: Literal["dash", "pipe", "metric", "tube"]
    seal: Key
    nick: Text
    kin: Note
    system: Literal["", "inch", "BSP", "metric", "JIS"]


class FormRow(Model):
    family: Key
    form: Form
    sex: Literal["male", "female", "none"]
    thread_side: Literal["external", "internal", "none"]
    seat: Text
    moves: Literal["rigid", "turns", "sets", "winds", "crimps"]
    words: Text
    limited_by: Note


class SizeRow(Sourced):
    family: Key
    size: Size
    thread: Note
    nominal_16ths: MaybeAbove
    stud_series: Literal["", "L", "S"]
    forms: Forms
    note: Note


class Mate(Sourced):
    family_a: Key
    form_a: Form
    family_b: Key
    form_b: Form
    seal: Key
    condition: Note
    planned: YesNo
    tightened: Literal["", "a", "b"]
    note: Note


class Clash(Sourced):
    family_a: Key
    form_a: Form
    family_b: Key
    form_b: Form
    verdict: Literal["unsafe", "no"]
    code: Key
    says: Text


class Condition(Model):
    condition: Key
    rated_as: MaybeEndWords
    says: Text
    do: Text


class ReasonRow(Model):
    code: Key
    says: Text


class LineFinding(Model):
    code: Key
    levels: Annotated[str, StringConstraints(pattern=r"^(info|warn|refuse)( (warn|refuse))*$")]


class SealKind(Model):
    seal: Key
    says: Text
    sealant: YesNo
    ring: YesNo
    without_ring: Note
    on_cones: YesNo
    drawn_tight: YesNo
    why_no_sealant: Note


class JobRule(Sourced):
    rule: Key
    value: MaybeAbove
    unit: Note
    says: Note
    note: Note


class PortName(Sourced):
    name: Annotated[str, StringConstraints(pattern=r"^[a-z]+([ /][a-z]+)*$")]
    role: Literal["pressure", "inlet", "outlet", "tank", "work", "drain", "pilot", "load-sense", "carry-over", "excess", "brake", "gauge",
                  "one-passage"]
    says: Text
    note: Note


class ComponentKind(Sourced):
    kind: Text
    like: Literal["valve", "pump", "motor", "cylinder", "tank", "coupler", "filter", "manifold", "other"]
    does: Annotated[str, StringConstraints(pattern=r"^([a-z]+( [a-z]+)*)?$")]
    says: Text
    note: Note


class ComponentWord(Sourced):
    word: Annotated[str, StringConstraints(pattern=r"^[a-z]+( [a-z]+)*$")]
    kind: Text
    note: Note


class Rubber(Sourced):
    rubber: Key
    says: Text
    cold_c: Number
    hot_c: Number
    note: Note


class Preference(Model):
    what: Text
    which: Text
    points: AtLeast
    why: Note
    source: Ids


class Figure(Sourced):
    family: Key
    size: Size
    form: Form | Literal[""]
    figure: Annotated[str, StringConstraints(pattern=r"^[a-z0-9_]+_(mm|in|deg|nm|lpm|kpa|text)$")]
    value: Text
    note: Note


class FigureName(Model):
    figure: Annotated[str, StringConstraints(pattern=r"^[a-z0-9_]+_(mm|in|deg|nm|lpm|kpa|text)$")]
    meaning: Text
    unit: Literal["mm", "in", "°", "N·m", "L/min", "kPa", "text"]


class Rating(Sourced):
    family: Key
    size: Size
    form: Form
    series: Literal["", "L", "S"]
    context: Text
    material: Literal["", "brass"]
    pressure_psi: Annotated[int, Field(gt=0, le=15000)]
    pressure_mpa: Annotated[float, Field(gt=0, le=100)]
    use: Literal["yes", "also"]
    note: Note


class Derating(Sourced):
    code: Key
    size: MaybeSize
    factor: MaybeAtLeast
    low: MaybeAtLeast
    high: MaybeAtLeast
    unit: Literal["", "factor", "psi", "bar"]
    applies: Text
    text: Text


Series = Literal["", "L", "S"]
Metal = Literal["steel", "aluminium", "brass"]


class Torque(Sourced):
    family: Key
    size: Size
    form: Form
    series: Series
    school: Text
    port: Metal
    screw: Note
    low_nm: Above
    high_nm: Above
    default: YesNo
    note: Note


class TorqueSchool(Model):
    family: Key
    school: Text
    kind: Note
    plug: YesNo
    says: Text


class Flats(Sourced):
    family: Key
    size: Size
    form: Form
    series: Series
    school: Note
    port: Metal
    low_flats: Above
    high_flats: Above
    from_: Annotated[Literal["wrench resistance", "finger tight"], Field(alias="from")]
    note: Note


class Turns(Sourced):
    family: Key
    size: Size
    form: Form
    school: Text
    port: Metal
    low_turns: Above
    high_turns: Above
    from_: Annotated[Text, Field(alias="from")]
    ceiling_nm: MaybeAbove
    note: Note


class RingRow(Sourced):
    key: Annotated[str, StringConstraints(pattern=r"^(AS568-\d{3}|\d+(\.\d+)?x\d+(\.\d+)?|(bonded|elastomer) (G|M)\d[\d/-]*)$")]
    kind: Literal["o-ring", "bonded", "elastomer"]
    id_mm: Above
    cs_mm: MaybeAbove
    id_in: MaybeAbove
    cs_in: MaybeAbove
    od_mm: MaybeAbove
    thickness_mm: MaybeAbove
    id_tol_mm: MaybeAbove
    cs_tol_mm: MaybeAbove
    thickness_source: MaybeIds
    thickness_confidence: MaybeGrade
    note: Note


class RingUse(Sourced):
    family: Key
    size: Size
    form: Form
    role: Literal["stud seal", "face seal", "cone seal", "loose seal"]
    ring: Text
    note: Note


class Pin(Model):
    table: Annotated[str, StringConstraints(pattern=r"^[a-z0-9/-]+$")]
    what: Text
    cells: Annotated[int, Field(ge=0)]
    sum: Annotated[str, StringConstraints(pattern=r"^(-?\d+(\.\d+)?)?$")]
    crc32: Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{8})?$")]


MODELS: dict[str, type[Model]] = {
    "sources": Source,
    "families": Family,
    "forms": FormRow,
    "sizes": SizeRow,
    "mates": Mate,
    "clashes": Clash,
    "conditions": Condition,
    "reasons": ReasonRow,
    "line-findings": LineFinding,
    "seal-kinds": SealKind,
    "job-rules": JobRule,
    "port-names": PortName,
    "component-kinds": ComponentKind,
    "component-words": ComponentWord,
    "preferences": Preference,
    "figure-names": FigureName,
    "ratings": Rating,
    "derating": Derating,
    "torque": Torque,
    "torque-schools": TorqueSchool,
    "flats": Flats,
    "turns": Turns,
    "rings": RingRow,
    "rubbers": Rubber,
    "ring-use": RingUse,
    "pins": Pin,
    "cautions": trade.Caution,
    "threads/g": trade.ThreadFigure,
    "threads/metric": trade.ThreadFigure,
    "threads/npt": trade.ThreadFigure,
    "threads/r": trade.ThreadFigure,
    "threads/un": trade.ThreadFigure,
    "threads/metric-tolerances": trade.ThreadTolerance,
    "threads/un-series": trade.ThreadSeries,
    "parts/ladder": trade.Ladder,
    "parts/rules": trade.PartRule,
    "parts/pairs": trade.PartPair,
    "parts/seen": trade.SeenPart,
    "parts/not-made": trade.NotMade,
    "parts/lacks": trade.Lack,
    "parts/tees": trade.Tee,
    "parts/envelopes": trade.Envelope,
    "parts/blanks": trade.Blank,
    "parts/couplers": trade.CouplerHalf,
    "parts/shapes": trade.ShapeRow,
    "hose/couplers": trade.CouplerDrop,
    "hose/fluids": trade.Fluid,
    "hose/hoses": trade.HoseRow,
    "hose/types": trade.HoseType,
    "hose/losses": trade.Loss,
    "hose/oil": trade.Oil,
    "hose/tolerance": trade.LengthTolerance,
    "hose/velocity": trade.Velocity,
    "hose/rules": trade.HoseRule,
    "identify/families": trade.FamilyWeight,
    "identify/forms": trade.FormWeight,
    "identify/sizes": trade.SizeWeight,
    "identify/regions": trade.Region,
    "identify/region-words": trade.RegionWord,
    "identify/gauge-leaves": trade.GaugeLeaf,
    "identify/instruments": trade.Instrument,
    "identify/looks": trade.Look,
    "identify/seats": trade.Seat,
    "identify/strangers": trade.StrangerRow,
    "identify/markings": trade.Marking,
    "identify/noise": trade.Noise,
    "identify/questions": trade.Question,
    "identify/words": trade.ReadingWord,
    "identify/taper-places": trade.TaperPlace,
    "identify/wear": trade.Wear,
    "identify/machines": trade.MachinePort,
    "identify/machine-words": trade.MachineWord,
    "drawing/lengths": trade.DrawnLength,
    "drawing/profiles": trade.DrawnProfile,
    "drawing/measures": trade.DrawnMeasure,
    "stock/words": trade.StockWord,
    "words": trade.Word,
    "words-groups": trade.WordGroup,
    "words-usual": trade.WordUsual,
    "words-shapes": trade.WordShape,
    "words-dn": trade.WordDn,
    "words-rare": trade.WordRare,
}


def model_of(name: str) -> type[Model] | None:
    """The model that rows of the table `name` (as `tables.table` takes it) must fit, or None when there is none.

    >>> model_of("figures/sae-j1926").__name__
    'Figure'
    """
    return Figure if name.startswith("figures/") else MODELS.get(name)


def _say(kind: str, where: str, column: str, cell: object, wrong: str) -> str:
    if kind in ("extra_forbidden", "missing"):
        return f"{where}, column {column}: {'not in the model' if kind == 'extra_forbidden' else 'missing'}"
    return f"{where}, {column} {cell!r}: {wrong}"


def row_problems(model: type[Model], row: Row, where: str) -> list[str]:
    """What is wrong with one row, in words, each beginning with `where`.

    >>> row_problems(ReasonRow, {"code": "ok", "says": ""}, "reasons row 2")
    ["reasons row 2, says '': String should have at least 1 character"]
    """
    try:
        model.model_validate(dict(row))
    except ValidationError as error:
        return [_say(each["type"], where, str(each["loc"][0]), each["input"], each["msg"]) for each in error.errors()]
    return []


def validate_all() -> list[str]:
    """Every cell of every data file that does not fit its model, in words; empty when all is well.

    A file without a model is a problem, and so is one that cannot be read. Rows are numbered as in the file: the
    header is row 1.
    """
    found = []
    for name in names():
        model = model_of(name)
        if model is None:
            found.append(f"{name}: no model in fittings/tables/schema.py")
            continue
        try:
            rows = table(name)
        except BadTable as error:
            found.append(str(error))
            continue
        for number, row in enumerate(rows, 2):
            found += row_problems(model, row, f"{name} row {number}")
    return found
