"""What an unknown end may be, as plain dictionaries."""

from fittings.identify import COLUMN_OF, Answer, Ask, counter_words
from fittings.identify.batch import BatchRow
from fittings.lookalikes import lookalikes
from fittings.reports.as_json import Json, end_json


def identify_json(of: Answer) -> Json:
    """An answer of `identify`."""
    return {
        "readings": {name: value for name, value in of.readings._asdict().items() if value is not None},
        "candidates": [
            {"end": end_json(each.end), "share": round(each.share, 6), "kind_share": round(each.kind_share, 6),
             "agrees": list(each.agrees), "differs": list(each.differs), "counter": counter_words(each.end),
             "looks_like": [other.end.id for other in lookalikes(each.end)] if each.share >= 0.05 else []}
            for each in of.candidates
        ],
        "none_share": round(of.none_share, 6),
        "strangers": [{"name": each.say, "thread": each.thread.key if each.thread else "", "sex": each.sex, "share": round(share, 6),
                       "instead": each.instead, "source": each.source, "confidence": each.confidence, "note": each.note}
                      for each, share in of.strangers],
        "clear": of.clear,
        "ask_next": _ask_json(of.ask_next) if of.ask_next else None,
        "cannot_tell": list(of.cannot_tell),
        "slips": [{"code": slip.code, "text": slip.text, "end": end_json(slip.end) if slip.end else None,
                   "ends": [end_json(each) for each in slip.ends or ((slip.end,) if slip.end else ())]}
                  for slip in of.slips],
        "taken": list(of.notes),
    }


def _ask_json(of: Ask) -> Json:
    return {
        "reading": COLUMN_OF[of.reading], "ask": of.ask, "why": of.why, "bits": of.bits,
        "splits": [{"answer": split.answer, "share": split.share, "ends": [end_json(each) for each in split.ends],
                    "strangers": list(split.strangers)}
                   for split in of.splits],
    }


def batch_json(rows: tuple[BatchRow, ...]) -> Json:
    """The answers for a drawer of fittings."""
    return {"rows": [
        {"line": row.line, "name": row.name, "wrong": row.wrong or None,
         "answer": identify_json(row.answer) if row.answer else None}
        for row in rows
    ]}
