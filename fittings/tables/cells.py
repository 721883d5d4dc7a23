"""The kinds of cells that data files are made of, and the two bases of every row."""

from collections.abc import Callable
from typing import Annotated, Literal, get_args

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints


def blank_is_none(cell: object) -> object:
    """An empty cell is no value."""
    return None if cell == "" else cell


def listed(of: tuple[str, ...]) -> Callable[[str], str]:
    """Checks that every word of a cell is one of `of`."""

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
MaybeSize = Annotated[Size | None, BeforeValidator(blank_is_none)]
Above = Annotated[float, Field(gt=0, allow_inf_nan=False)]
AtLeast = Annotated[float, Field(ge=0, allow_inf_nan=False)]
Share = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]
Number = Annotated[float, Field(allow_inf_nan=False)]
MaybeAbove = Annotated[Above | None, BeforeValidator(blank_is_none)]
MaybeAtLeast = Annotated[AtLeast | None, BeforeValidator(blank_is_none)]
EndWords = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+ [a-z-]+$")]
MaybeEndWords = Annotated[EndWords | None, BeforeValidator(blank_is_none)]
Shape = Literal[
    "straight",
    "45",
    "90",
    "bushing",
    "plug",
    "cap",
    "coupler",
    "bulkhead",
    "bulkhead-45",
    "bulkhead-90",
    "tee",
    "tee-run",
    "tee-branch",
    "bulkhead-tee",
    "bulkhead-tee-run",
    "bulkhead-tee-branch",
    "cross",
]
Had = Literal["common", "made", "to order"]
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
FORMS: tuple[str, ...] = get_args(Form)
Forms = Annotated[str, AfterValidator(listed(FORMS))]


class Model(BaseModel):
    """A row: no column more and none less than the model names."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Sourced(Model):
    """A row that rests on documents."""

    source: Ids
    confidence: Grade
