"""What every data file must look like: one model per file, checked cell by cell.

This is the slow room. Nothing on the way to an answer imports it: the data check and the tests do.
"""

from collections.abc import Callable
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints, ValidationError

from fittings.tables import BadTable, Row, names, table


def _blank_is_none(cell: object) -> object:
    return None if cell == "" else cell


def _listed(of: tuple[str, ...]) -> Callable[[str], str]:
    def check(cell: str) -> str:
        strange = [word for word in cell.split() if word not in of]
        if strange:
            raise ValueError(f"{' '.join(strange)}: should be out of {', '.join(of)}")
        return cell

    return check


Key = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9.-]*$")]
Text = Annotated[str, StringConstraints(min_length=1, strip_whitespace=False, pattern=r"^\S(.*\S)?$")]
Note = Annotated[str, StringConstraints(pattern=r"^(\S(.*\S)?)?$")]
Ids = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]*(;[a-z0-9][a-z0-9-]*)*$")]
MaybeIds = Annotated[str, StringConstraints(pattern=r"^([a-z0-9][a-z0-9-]*(;[a-z0-9][a-z0-9-]*)*)?$")]
Grade = Literal["A", "B", "C"]
MaybeGrade = Literal["", "A", "B", "C"]
YesNo = Literal["yes", "no"]
Size = Annotated[
    str, StringConstraints(pattern=r"^(-\d+|\d+(-\d+/\d+)?|\d+/\d+|M\d+(\.\d+)?x\d+(\.\d+)?|\d+(LL|L|S))$")
]
Above = Annotated[float, Field(gt=0, allow_inf_nan=False)]
AtLeast = Annotated[float, Field(ge=0, allow_inf_nan=False)]
MaybeAbove = Annotated[Above | None, BeforeValidator(_blank_is_none)]
MaybeAtLeast = Annotated[AtLeast | None, BeforeValidator(_blank_is_none)]
FORMS = (
    "port",
    "stud",
    "stud-adj",
    "male",
    "female",
    "swivel",
    "swivel-dual",
    "tube-nut",
    "head",
    "pad",
    "tip",
    "body",
    "bore",
    "tail",
)
Forms = Annotated[str, AfterValidator(_listed(FORMS))]
Form = Literal[
    "port",
    "stud",
    "stud-adj",
    "male",
    "female",
    "swivel",
    "swivel-dual",
    "tube-nut",
    "head",
    "pad",
    "tip",
    "body",
    "bore",
    "tail",
]


class Model(BaseModel):
    """A row: no column more and none less than the model names."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Sourced(Model):
    source: Ids
    confidence: Grade


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


class FormRow(Model):
    family: Key
    form: Form
    sex: Literal["male", "female", "none"]
    thread_side: Literal["external", "internal", "none"]
    seat: Text
    moves: Literal["rigid", "turns", "sets", "winds"]
    words: Text


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
    says: Text
    do: Text


class ReasonRow(Model):
    code: Key
    says: Text


class SealKind(Model):
    seal: Key
    says: Text
    sealant: YesNo
    why_no_sealant: Note


class Preference(Model):
    what: Key
    which: Text
    points: AtLeast
    why: Note
    source: Ids


class Figure(Sourced):
    family: Key
    size: Size
    form: Literal[
        "",
        "port",
        "stud",
        "stud-adj",
        "male",
        "female",
        "swivel",
        "swivel-dual",
        "tube-nut",
        "head",
        "pad",
        "tip",
        "body",
        "bore",
        "tail",
    ]
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
    pressure_psi: Annotated[int, Field(gt=0, le=15000)]
    pressure_mpa: Annotated[float, Field(gt=0, le=100)]
    use: Literal["yes", "also"]
    note: Note


class Derating(Sourced):
    code: Key
    factor: MaybeAtLeast
    low: MaybeAtLeast
    high: MaybeAtLeast
    unit: Literal["", "factor", "psi"]
    applies: Text
    text: Text


class Torque(Sourced):
    family: Key
    size: Size
    form: Form
    school: Text
    port: Literal["steel", "aluminium", "brass"]
    low_nm: Above
    high_nm: Above
    default: YesNo
    note: Note


class Flats(Sourced):
    family: Key
    size: Size
    form: Form
    low_flats: Above
    high_flats: Above
    from_: Annotated[Literal["wrench resistance", "finger tight"], Field(alias="from")]
    note: Note


class Turns(Sourced):
    family: Key
    size: Size
    form: Form
    school: Text
    low_turns: Above
    high_turns: Above
    from_: Annotated[Text, Field(alias="from")]
    ceiling_nm: MaybeAbove
    note: Note


class RingRow(Sourced):
    key: Annotated[str, StringConstraints(pattern=r"^(AS568-\d{3}|\d+(\.\d+)?x\d+(\.\d+)?|bonded (G|M)\d[\d/-]*)$")]
    kind: Literal["o-ring", "bonded"]
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
    role: Literal["stud seal", "face seal", "cone seal"]
    ring: Text
    note: Note


class Pin(Model):
    table: Key
    what: Text
    rows: Annotated[int, Field(ge=0)]
    sum: Annotated[float, Field(allow_inf_nan=False)]


MODELS: dict[str, type[Model]] = {
    "sources": Source,
    "families": Family,
    "forms": FormRow,
    "sizes": SizeRow,
    "mates": Mate,
    "clashes": Clash,
    "conditions": Condition,
    "reasons": ReasonRow,
    "seal-kinds": SealKind,
    "preferences": Preference,
    "figure-names": FigureName,
    "ratings": Rating,
    "derating": Derating,
    "torque": Torque,
    "flats": Flats,
    "turns": Turns,
    "rings": RingRow,
    "ring-use": RingUse,
    "pins": Pin,
}


def model_of(name: str) -> type[Model] | None:
    """The model that rows of the table `name` (as `tables.table` takes it) must fit, or None when there is none.

    >>> model_of("figures/sae-j1926").__name__
    'Figure'
    """
    return Figure if name.startswith("figures/") else MODELS.get(name)


def row_problems(model: type[Model], row: Row, where: str) -> list[str]:
    """What is wrong with one row, in words, each beginning with `where`.

    >>> row_problems(Condition, {"condition": "ok", "says": "", "do": "x"}, "conditions row 2")
    ["conditions row 2, says '': String should have at least 1 character"]
    """
    try:
        model.model_validate(dict(row))
    except ValidationError as error:
        return [
            f"{where}, {'.'.join(str(part) for part in each['loc'])} {each['input']!r}: {each['msg']}"
            if each["type"] not in ("extra_forbidden", "missing")
            else f"{where}, column {each['loc'][0]}: {'not in the model' if each['type'] == 'extra_forbidden' else 'missing'}"
            for each in error.errors()
        ]
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
