"""The register of documents, in words or tables, and as JSON."""

from collections.abc import Mapping, Sequence

from fittings.reports.as_json import dumps
from fittings.reports.window import lines, takes_tables
from fittings.sources import Source, Use


def register_text(register: Mapping[str, Source]) -> str:
    """All documents, one paragraph or one row each."""
    out = [f"{len(register)} documents. fittings sources ID lists what rests on one."]
    if takes_tables():
        from fittings.reports.board import Column, board

        rows = [(each.id, each.kind, _titled(each)) for each in register.values()]
        return "\n".join([*out, board((Column("id"), Column("kind"), Column("document", 1)), rows, 0, ruled=False)])
    out += [lines(f"{each.id} ({each.kind}): {_titled(each)}", "", "    ")
            for each in register.values()]
    return "\n".join(out)


def register_json(register: Mapping[str, Source]) -> str:
    """The whole register as JSON."""
    return dumps({"sources": [each._asdict() for each in register.values()]})


def source_text(document: Source, resting: Sequence[Use]) -> str:
    """One document, and the tables that rest on it."""
    out = [document.id, lines(f"{document.kind}: {document.what}", "  ")]
    out += [lines(f"{name}: {getattr(document, name)}", "  ", "    ")
            for name in ("edition", "trust", "note") if getattr(document, name)]
    out.append(f"{sum(use.rows for use in resting)} rows rest on it")
    if takes_tables() and resting:
        from fittings.reports.board import Column, board

        heads = (Column("table"), Column("rows", right=True), Column("grades"), Column("among them", 1))
        return "\n".join([*out, board(heads, [
            (f"data/{use.table}.csv", str(use.rows), _letters(use), "\n".join(use.examples)) for use in resting])])
    for use in resting:
        out.append(lines(f"data/{use.table}.csv: {use.rows} rows ({_letters(use)})", "  ", "    "))
        out += [lines(each, "    ", "      ") for each in use.examples]
    return "\n".join(out)


def _titled(of: Source) -> str:
    return f"{of.what}, {of.edition}" if of.edition else of.what


def _letters(use: Use) -> str:
    return ", ".join(f"{count} {letter or 'without grade'}" for letter, count in sorted(use.confidences.items()))


def source_json(document: Source, resting: Sequence[Use]) -> str:
    """One document as JSON, with every figure that rests on it."""
    return dumps({"source": document._asdict(), "uses": [use._asdict() for use in resting]})
