"""The attacks by name: how a case is made from a seeded chance, and the law that it is held against."""

import random
from collections.abc import Callable
from typing import Any, NamedTuple

from fuzz import jobs, tables, verbs, words


class Attack(NamedTuple):
    """`case` makes one, `hold` tries it and returns how it ended or raises, `shown` prints it so that it can be kept."""

    what: str
    case: Callable[[random.Random], Any]
    hold: Callable[[Any], str]
    shown: Callable[[Any], str]


ATTACKS = {
    "words": Attack("texts into the readers of ends, parts, pairs and families", words.text_case, words.hold_notation, words.shown),
    "amounts": Attack("texts into the readers of quantities", words.amount_case, words.hold_quantity, words.shown),
    "readings": Attack("texts into the readings of identify", words.amount_case, words.hold_reading, words.shown),
    "talks": Attack("dialogues of identify", words.talk_case, words.hold_talk, words.shown_talk),
    "jobs": Attack("job files, only read", jobs.job_case, jobs.hold_job, words.shown),
    "plans": Attack("job files, read, planned, told in every form and checked", jobs.plan_case, jobs.hold_plan, words.shown),
    "saved": Attack("saved plans into the second opinion", jobs.saved_case, jobs.hold_saved, words.shown),
    "shelves": Attack("CSV shelves", tables.shelf_case, tables.hold_shelf, tables.shown),
    "books": Attack("XLSX shelves", tables.book_case, tables.hold_shelf, tables.shown),
    "batches": Attack("lists of readings", tables.batch_case, tables.hold_batch, tables.shown),
    "questions": Attack("files of questions for join", tables.questions_case, tables.hold_questions, tables.shown),
    "verbs": Attack("command lines of every verb", verbs.verb_case, verbs.hold_verb, verbs.shown),
}
