import os
from typing import Annotated

import typer

from fittings.cli.frame import BAD_INPUT, Failure, JsonFlag, note, say, write_file


def gauge(
    out: Annotated[str, typer.Option("--out", metavar="FILE", help="Where to write it: gauge.html to print, or gauge.svg.")] = "gauge.html",
    paper: Annotated[str, typer.Option("--paper", metavar="PAPER", help="What it is printed on: a4 or letter.")] = "a4",
    as_json: JsonFlag = False,
) -> None:
    """A gauge to print, true to scale. Thread pitches, seat angles, rings to stand an end on, bars to prove the print."""
    from fittings.drawing.gauge import UnknownPaper, gauge_html, gauge_svg, page_count, paper_mm

    stem, ending = os.path.splitext(out)
    if ending.lower() not in (".svg", ".html", ".htm"):
        raise Failure(BAD_INPUT, "bad input", out, f"{out}: the gauge is written as .html or .svg",
                      "for example: fittings gauge --out gauge.html --paper letter")
    try:
        paper_mm(paper)
        pages = page_count(paper.strip().lower())
    except UnknownPaper as error:
        raise Failure(BAD_INPUT, "bad input", paper, str(error)) from None
    paper = paper.strip().lower()
    if ending.lower() == ".svg":
        files = {out if n == 1 else f"{stem}-{n}{ending}": gauge_svg(paper, n) for n in range(1, pages + 1)}
    else:
        files = {out: gauge_html(paper)}
    for path, text in files.items():
        write_file(path, text)
    if as_json:
        from fittings.reports.as_json import dumps

        say(dumps({"files": list(files), "paper": paper, "pages": pages}))
        return
    say("\n".join(files))
    note("print at 100 % and check both bars before use")
