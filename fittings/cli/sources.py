from typing import Annotated

import typer

from fittings.cli.frame import BAD_INPUT, Failure, JsonFlag, say


def sources(
    key: Annotated[str | None, typer.Argument(metavar="ID", help="Id of one document; without it, the whole register.")] = None,
    as_json: JsonFlag = False,
) -> None:
    """The documents that the figures rest on. With an id, the figures that rest on that one."""
    from fittings.reports import sources_report as report
    from fittings.sources import UnknownSource, register, source, uses

    if key is None:
        say(report.register_json(register()) if as_json else report.register_text(register()))
        return
    try:
        document, resting = source(key), uses(key)
    except UnknownSource:
        from difflib import get_close_matches

        near = get_close_matches(key, register(), n=3, cutoff=0.4)
        raise Failure(BAD_INPUT, "not understood", key, f"no document has the id {key}",
                      f"did you mean {', '.join(near)}?" if near else "fittings sources lists them all") from None
    say(report.source_json(document, resting) if as_json else report.source_text(document, resting))
