import os
from typing import Annotated

import typer

from fittings.cli.frame import BAD_INPUT, Failure, JsonFlag, note, say, write_file


def new(
    file: Annotated[str, typer.Argument(metavar="FILE", help="The job file to write.")] = "job.toml",
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
    as_json: JsonFlag = False,
) -> None:
    """Writes a commented job file to start from. Never over one that is there, unless --force is given."""
    from fittings.job.template import TEMPLATE

    if os.path.exists(file) and not force:
        raise Failure(BAD_INPUT, "bad input", file, f"{file} is there already and is left as it is",
                      f"another name, or: fittings new {file} --force")
    write_file(file, TEMPLATE)
    if as_json:
        from fittings.reports.as_json import dumps

        say(dumps({"written": file}))
    else:
        note(f"written to {file}; fill it in, then: fittings plan {file}")
