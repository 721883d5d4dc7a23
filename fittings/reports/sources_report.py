"""The register of documents, as text and as JSON."""

from collections.abc import Mapping, Sequence

from fittings.reports.as_json import dumps
from fittings.reports.text import lines
from fittings.sources import Source, Use


def register_text(register: Mapping[str, Source]) -> str:
    """All documents, one paragraph each."""
    out = [f"{len(register)} documents. fittings sources ID lists what rests on one."]
    out += [lines(f"{each.id} ({each.kind}): {each.what}{', ' + each.edition if each.edition else ''}", "", "    ")
            for each in register.values()]
    return "\n".join(out)


def register_json(register: Mapping[str, Source]) -> str:
    return dumps({"sources": [each._asdict() for each in register.values()]})


def source_text(document: Source, resting: Sequence[Use]) -> str:
    """One document, and the tables that rest on it."""
    out = [document.id, lines(f"{document.kind}: {document.what}", "  ")]
    out += [lines(f"{name}: {getattr(document, name)}", "  ", "    ")
            for name in ("edition", "trust", "note") if getattr(document, name)]
    out.append(f"{sum(use.rows for use in resting)} rows rest on it")
    for use in resting:
        letters = ", ".join(f"{count} {letter or 'without grade'}" for letter, count in sorted(use.confidences.items()))
        out.append(lines(f"data/{use.table}.csv: {use.rows} rows ({letters})", "  ", "    "))
        out += [lines(each, "    ", "      ") for each in use.examples]
    return "\n".join(out)


def source_json(document: Source, resting: Sequence[Use]) -> str:
    return dumps({"source": document._asdict(), "uses": [use._asdict() for use in resting]})
