"""Rows of the tables of threads, hose, parts and identification."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, StringConstraints

from fittings.tables.cells import (
    Above,
    AtLeast,
    EndWords,
    Form,
    Forms,
    Grade,
    Had,
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
    Shape,
    Share,
    Size,
    Sourced,
    Text,
    YesNo,
    blank_is_none,
)


class ThreadFigure(Sourced):
    thread: Text
    side: Literal["", "external", "internal"]
    grade: Literal["", "A", "B", "2A", "2B", "6g", "6H", "6e"]
    figure: Annotated[str, StringConstraints(pattern=r"^(tpi|[a-z0-9_]+_(mm|in|turns|threads|deg))$")]
    value: Number
    note: Note


class ThreadTolerance(Sourced):
    figure: Annotated[str, StringConstraints(pattern=r"^[a-z_]+_um$")]
    pitch_mm: Above
    diameters_mm: Note
    value: Above
    note: Note


class ThreadSeries(Sourced):
    thread: Text
    series: Literal["UNC", "UNF", "UNEF", "UNS"]
    note: Note


class Caution(Sourced):
    code: Key
    place: Literal["plan", "short", "sheet", "elbow"]
    stage: Literal["before", "during", "after"]
    text: Text
    why: Text


class CouplerDrop(Sourced):
    size: Size
    dn: Above
    rated_gpm: Above
    rated_lpm: Above
    drop_psi: Above
    drop_bar: Above
    note: Note


class Fluid(Sourced):
    fluid: Text
    words: Text
    hose_max_c: MaybeAbove
    refused: YesNo
    text: Note


class HoseRow(Sourced):
    type: Text
    standard: Text
    reinforcement: Text
    size: Size
    dn: Above
    bore_mm: Above
    bore_min_mm: MaybeAbove
    bore_max_mm: MaybeAbove
    bore_source: Ids
    bore_confidence: Grade
    od_mm: MaybeAbove
    od_source: MaybeIds
    od_confidence: MaybeGrade
    od_max_mm: MaybeAbove
    pressure_bar: Above
    pressure_psi: Above
    bend_mm: Above
    bend_source: Ids
    bend_confidence: Grade
    temp_min_c: Number
    temp_max_c: Number
    temp_source: Ids
    temp_confidence: Grade
    use: Literal["current", "legacy"]
    note: Note


class HoseType(Sourced):
    type: Text
    say: Text
    layers: Text
    wire_layers: Annotated[int, Field(ge=0, le=6)]
    ends_series: Key
    lines: Text
    had: Literal["common", "made", "to order", "old"]
    note: Note


class Loss(Sourced):
    item: Key
    say: Text
    k1: AtLeast
    k_inf: AtLeast
    note: Note


class Oil(Sourced):
    oil: Text
    words: Text
    classes: Note
    cst_40c: Above
    cst_100c: Above
    density_15c_kg_l: Above
    note: Note


class LengthTolerance(Sourced):
    scheme: Literal["inch", "metric"]
    bore_to_mm: MaybeAbove
    length_to_mm: MaybeAbove
    plus_mm: MaybeAbove
    minus_mm: MaybeAbove
    plus_percent: MaybeAbove
    minus_percent: MaybeAbove
    note: Note


class Velocity(Sourced):
    kind: Literal["suction", "return", "drain", "pressure"]
    psi_to: MaybeAbove
    target_fps: Above
    warn_fps: Above
    refuse_fps: Above
    note: Note


class Ladder(Sourced):
    size: Size
    dash_step: AtLeast
    pipe_step: MaybeAtLeast
    seldom: Note


class PartRow(Sourced):
    end_a: EndWords
    end_b: MaybeEndWords
    note: Note


class PartRule(PartRow):
    shape: Shape
    had: Had
    jumps: Text
    smallest_a: MaybeSize
    largest_a: MaybeSize
    smallest_b: MaybeSize
    largest_b: MaybeSize
    not_sizes: Note


class PartPair(PartRow):
    shapes: Text
    had: Had
    sizes: Annotated[str, StringConstraints(pattern=r"^[^\s:]+:[^\s:]+( [^\s:]+:[^\s:]+)*$")]


class SeenPart(Sourced):
    shape: Shape
    ends: Text
    shop: Literal["", "yes"]
    note: Note


class NotMade(PartRow):
    shape: Shape | Literal[""]
    which: Note
    at_best: Literal["", "to order"]


class Lack(Sourced):
    condition: Key
    end: EndWords
    beside: MaybeEndWords
    shapes: Note
    note: Note


class Tee(PartRow):
    end_c: EndWords
    end_d: MaybeEndWords
    shape: Shape
    had: Had
    smallest: Size
    largest: Size
    not_sizes: Note
    leg: Text


class Envelope(PartRow):
    size_a: Size
    size_b: MaybeSize
    shape: Shape
    version: Note
    overall_length_mm: MaybeAbove
    leg_a_mm: MaybeAbove
    leg_b_mm: MaybeAbove
    thread_a_mm: MaybeAbove
    thread_b_mm: MaybeAbove
    cutoff_mm: MaybeAbove
    drop_mm: MaybeAbove
    body_hex_mm: MaybeAbove
    nut_hex_mm: MaybeAbove


class Blank(Sourced):
    end: EndWords
    shape: Literal["plug", "cap"]
    had: Had
    sizes: Text
    note: Note


class CouplerHalf(Sourced):
    coupler: Key
    size: Size
    half: Literal["tip", "body"]
    port: EndWords
    port_size: Size
    had: Had
    note: Note


class ShapeRow(Model):
    shape: Shape
    say: Text
    note: Note


class FamilyWeight(Sourced):
    region: Key
    family: Key
    weight: AtLeast
    note: Note


class FormWeight(Sourced):
    family: Key
    form: Form
    weight: AtLeast
    note: Note


class SizeWeight(Sourced):
    family: Key
    size: Size
    weight: AtLeast
    note: Note


class Region(Sourced):
    region: Key
    says: Text
    share: Share
    note: Note


class RegionWord(Model):
    word: Text
    region: Key


class GaugeLeaf(Sourced):
    unit: Literal["tpi", "mm"]
    leaf: Above
    note: Note


class Instrument(Sourced):
    instrument: Key
    says: Text
    outside_sd_mm: Above
    inside_sd_mm: Above
    pitch_by: Literal["gauge", "count"]
    pitch_sd: Above
    span_sd_mm: Above
    note: Note


class Look(Sourced):
    family: Key
    form: Form
    reading: Key
    word: Key
    share: Share
    note: Note


class Seat(Sourced):
    family: Key
    form: Form
    said_deg: Above
    share: Share
    note: Note


class StrangerRow(Sourced):
    stranger: Key
    says: Text
    thread: Text
    sex: Literal["male", "female"]
    share: Share
    regions: Note
    off: Note
    nose: Text
    chamfer: Literal["", "yes", "no"]
    turns: Literal["", "yes", "no"]
    hole: Literal["", "yes", "no"]
    seats: Note
    bores_mm: Note
    instead: Text
    note: Note


class Marking(Sourced):
    mark: Text
    families: Text
    forms: Forms
    note: Note


class Noise(Sourced):
    name: Annotated[str, StringConstraints(pattern=r"^[a-z0-9_]+$")]
    value: Number
    unit: Literal["share", "mm", "times", "part", "deg"]
    note: Note


class Question(Model):
    reading: Annotated[str, StringConstraints(pattern=r"^[a-z_]+$")]
    sex: Literal["", "male", "female", "none"]
    not_on: Note
    ask: Text
    why: Text
    effort: AtLeast
    told_share: Share
    note: Note


class ReadingWord(Model):
    reading: Key
    word: Text
    value: Key


class TaperPlace(Sourced):
    side: Literal["external", "internal"]
    pitches_in: Number
    share: Share
    note: Note


class Wear(Sourced):
    side: Literal["external", "internal"]
    off_mm: Number
    share: Share
    note: Note


class HoseRule(Sourced):
    rule: Key
    value: Annotated[Number | None, BeforeValidator(blank_is_none)]
    unit: Note
    says: Text
    note: Note


class MachinePort(Sourced):
    machine: Text
    component: Text
    detail: Note
    regions: Note
    port_family: Key
    port_size: MaybeSize
    usual: Literal["common", "sometimes"]
    note: Note


class Word(Model):
    word: Text
    kind: Key
    value: Note
    also: Note
    source: Ids
    note: Note


class WordGroup(Model):
    group: Key
    families: Text
    weak: Literal["", "yes"]
    said: Text
    tell: Note
    echo: Note
    source: Ids


class WordUsual(Model):
    said: Text
    given: Note
    place: Literal["*", "loose", "port", "part"]
    take: Text
    text: Note
    source: Ids


class WordShape(Model):
    shape: Key
    part: Shape
    ends: Above
    sexes: Note
    order: Literal["any", "large first", "male large", "male small"]
    source: Ids


class WordDn(Model):
    kind: Literal["hose", "flange", "pipe", "coupler"]
    dn_mm: Above
    size: Size
    source: Ids


class WordRare(Model):
    family: Key
    sizes: Text
    source: Ids


class StockWord(Model):
    word: Text
    kind: Literal["column", "total", "piece", "length", "hose", "assembly"]
    value: Literal["", "qty", "part", "price", "place", "unit", "m", "ft", "in"]
    source: Ids


class MachineWord(Sourced):
    word: Text
    means: Text
    note: Note


class DrawnLength(Sourced):
    family: Key
    size: Size
    form: Form
    length_mm: Above
    note: Note


class DrawnProfile(Sourced):
    family: Key
    form: Form
    outline: Key
    length_share: MaybeAbove
    length_plus_mm: MaybeAbove
    flats_share: MaybeAbove
    note: Note


class DrawnMeasure(Model):
    outline: Key
    how: Key
    place: Key
    what: Text
    tool: Text
    value: Note
