"""Attacks on what reads words: ends, parts, pairs, families, quantities, readings. Law: an answer that reads back as itself, or a question."""

import csv
import random
import re
from functools import cache
from pathlib import Path

from fuzz.signs import mutated, noise

from fittings import units
from fittings.ends import End, all_ends
from fittings.identify.interview import Interview
from fittings.identify.readings import COLUMNS, BadReading, read_readings
from fittings.notation import BadText, read_end, read_family, read_pair, read_part
from fittings.parts import all_parts, find

AUTHORITIES = Path(__file__).parents[1] / "authorities"
KINDS = {"not understood", "ambiguous", "not covered"}
LONGEST_ANSWER = 4_000
PLACES = ("loose", "port", "part", "any")
QUANTITIES = (
    units.length_mm, units.length_in, units.pressure_psi, units.torque_nm, units.flow_gpm, units.force_lbf, units.temperature_c,
    units.volume_gal, units.angle_deg, units.viscosity_cst, units.density_kg_l)
AMOUNTS = ("84 in", "1-1/16 in", "7'6\"", "22 mm", "2,5 cm", "½", "2750 psi", "190 bar", "2,750 psi", "35 ft-lb", "11 gpm", "42 L/min", "22 kN", "5000 lbf",
           "-10 C", "140 °F", "0.5 gal", "30 in³", "90 deg", "46 cSt", "0.87", "870 kg/m³", "1.234,5 mm", "1 000 psi", "1/2", "10 in 14.1 mm", "18 TPI",
           "13.7 to 13.9 mm", "13.8 mm / 0.54 in", "16 tpi or 1.5 mm", "14.2 ± 0.1 mm")


@cache
def typed() -> tuple[str, ...]:
    """What people type, from the tables of the tests, and the words and ids of all ends and some parts."""
    found = []
    for name in ("notation_typed.csv", "notation_habits.csv", "parts_counter_questions.csv", "joints_by_hand.csv"):
        with open(AUTHORITIES / name, newline="", encoding="utf-8") as file:
            found += [cell for row in csv.reader(file) for cell in row if 2 < len(cell) < 90]
    ends = all_ends()
    found += [each.say for each in ends] + [each.id for each in ends] + [each.say for each in all_parts()[::9]]
    return tuple(dict.fromkeys(found))


@cache
def _known() -> frozenset[End]:
    return frozenset(all_ends())


@cache
def _reads_back(end: End) -> bool:
    return end in _known() and all(read_end(text, place=place).end == end for text in (end.say, end.id) for place in PLACES)


@cache
def _part_reads_back(part_id: str, say: str, ends: tuple[End, ...], shape: str) -> bool:
    return all((sorted(read.ends), read.shape) == (sorted(ends), shape) for read in (read_part(say), read_part(part_id)))


def text_case(rng: random.Random) -> str:
    return noise(rng) if rng.random() < 0.15 else mutated(rng.choice(typed()), rng, typed())


def hold_notation(text: str) -> str:
    """Any text, at any place. Raises what the parser lets through, or AssertionError."""
    place = PLACES[len(text) % 4]
    answers = [_end(text, place), _part(text)]
    if len(text) % 5 == 0:
        answers += [_pair(text), _family(text)]
    return answers[0]


def _told(error: BadText) -> str:
    assert error.kind in KINDS and error.text, error.kind
    told = " ".join((str(error), error.text, error.typed, error.ask or ""))
    assert len(told) < LONGEST_ANSWER, f"an answer of {len(told)} signs"
    assert set(error.candidates) <= _known()
    return error.kind


def _end(text: str, place: str) -> str:
    try:
        read = read_end(text, place=place)
    except BadText as error:
        return _told(error)
    assert _reads_back(read.end), f"{read.end} does not read back"
    assert len(read.taken) < LONGEST_ANSWER
    return "read"


def _part(text: str) -> str:
    try:
        read = read_part(text)
    except BadText as error:
        return _told(error)
    assert set(read.ends) <= _known()
    for part in find(read.ends, read.shape or None):
        assert _part_reads_back(part.id, part.say, part.ends, part.shape), part.say
    return "read"


def _pair(text: str) -> str:
    try:
        pair = read_pair(text)
    except BadText as error:
        return _told(error)
    assert len(pair) == 2 and all(_reads_back(each.end) for each in pair)
    return "read"


def _family(text: str) -> str:
    try:
        key = read_family(text)
    except BadText as error:
        return _told(error)
    assert read_family(key) == key
    return "read"


def amount_case(rng: random.Random) -> str:
    return noise(rng) if rng.random() < 0.1 else mutated(rng.choice(AMOUNTS), rng, AMOUNTS)


def hold_quantity(text: str) -> str:
    """Any text as any quantity, with and without a unit of its own: a finite number, or what would be right."""
    answer = "refused"
    for read in QUANTITIES:
        for default in (None, "in", "psi"):
            try:
                number = read(text, default)
            except units.BadQuantity as error:
                assert error.why and error.example and len(str(error)) < LONGEST_ANSWER
            else:
                assert abs(number) <= 1e13, number
                answer = "read"
    return answer


def hold_reading(text: str) -> str:
    """Any text as any reading of a fitting."""
    answer = "refused"
    for column in COLUMNS:
        try:
            taken = read_readings({column: text})
        except BadReading as error:
            assert error.reading and error.why and error.right
        else:
            assert all(abs(value) < 1e7 for value in taken.readings if isinstance(value, float))
            if column not in ("marking", "country", "from"):  # which take any words
                answer = "read"
    return answer


ANSWERS = ("male", "female", "yes", "no", "?", "", "back", "14.2 mm", "9/16", "18", "1.5", "37", "cone", "flat", "plain", "taper", "straight", "Japan", "60", "caliper")


def talk_case(rng: random.Random) -> list[str]:
    return [rng.choice((rng.choice(ANSWERS), rng.choice(ANSWERS), rng.choice(AMOUNTS), mutated(rng.choice(ANSWERS) or "x", rng), noise(rng))) for _ in range(rng.randrange(1, 40))]


def hold_talk(answers: list[str]) -> str:
    """The dialogue of identify with any answers: it asks, or says why not, and ends with shares."""
    talk = Interview(read_readings({}).readings)
    for line in answers:
        if talk.question is None:
            break
        assert talk.question.ask and talk.question.why
        try:
            talk.answer(line.strip())
        except BadReading as error:
            assert error.why and error.right
    answer = talk.result
    assert abs(sum(each.share for each in answer.candidates) + answer.none_share) < 1.02
    return "all was asked" if talk.question is None else "stopped"


def shown_talk(answers: list[str]) -> str:
    return shown("\n".join(answers))


def shown(text: str) -> str:
    """A case as it can be kept: pure ASCII, cut when it is long."""
    plain = ascii(text)
    return plain if len(plain) < 300 else f"{plain[:280]}… ({len(text)} signs, {len(re.findall(r'[0-9]', text))} digits)"
