"""From the command line: whole runs against a bare interpreter of the same environment, and what nothing can go below."""

import gc
import os
import subprocess
import sys
import time
from typing import NamedTuple

from measuring import TOP, Table, noise, ratios, spread

ROUNDS = 21
BARE = "`python -c pass`"
RUNS = {
    BARE: ["-c", "pass"],
    "`import typer`, nothing done": ["-c", "import typer"],
    "`--help`": ["-m", "fittings", "--help"],
    "`show`": ["-m", "fittings", "show", "ORB -6 port"],
    "`mate`": ["-m", "fittings", "mate", "JIC -6 male", "JIC -6 swivel"],
    "`join`": ["-m", "fittings", "join", "ORB -6 port", "JIC -8 swivel", "--psi", "3000"],
    "`identify`": ["-m", "fittings", "identify", "--od", "14.2 mm", "--tpi", "18", "--male"],
    "`import typer, pydantic`, a model of one field": ["-c", "import typer, pydantic\nclass One(pydantic.BaseModel):\n    a: int"],
    "`plan`, four lines (log-lift)": ["-m", "fittings", "plan", "docs/examples/log-lift.toml"],
    "`plan`, four lines, two tees, a shelf (tailgate)": ["-m", "fittings", "plan", "docs/examples/tailgate.toml"],
}


class Run(NamedTuple):
    """Wall time and processor time of one run, in seconds."""

    wall: float
    processor: float


def run(words: list[str]) -> Run:
    """One run of the interpreter; RuntimeError when it ends otherwise than it should."""
    # A user's modules are compiled once and for all; where that is switched off every run would compile what was changed last.
    env = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    began = time.perf_counter()
    child = subprocess.Popen([sys.executable, *words], cwd=TOP, env=env, stdin=subprocess.DEVNULL,
                             stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(child.pid, 0)
    wall = time.perf_counter() - began
    child.returncode = os.waitstatus_to_exitcode(status)  # it was waited for here
    if child.returncode:
        raise RuntimeError(f"{words} ended with {child.returncode}")
    return Run(wall, used.ru_utime + used.ru_stime)


def tables() -> list[Table]:
    """One table: the quick verbs, two plans, and the floor under each."""
    runs: dict[str, list[Run]] = {name: [] for name in RUNS}
    for words in RUNS.values():
        run(words)
    gc.collect()
    for _ in range(ROUNDS):
        for name, words in RUNS.items():
            runs[name].append(run(words))
    bare = runs[BARE]
    rows = [
        (name, spread([each.wall * 1000 for each in some]).say(".0f"),
         "1" if name == BARE else ratios([each.wall for each in some], [each.wall for each in bare]).say(),
         spread([each.processor * 1000 for each in some]).say(".0f"),
         "1" if name == BARE else ratios([each.processor for each in some], [each.processor for each in bare]).say())
        for name, some in runs.items()
    ]
    above = (
        f"{ROUNDS} rounds. {noise([each.wall for each in bare])} Processor time suffers less from what else the machine does. The two "
        "rows of imports are the floor: no verb can start sooner while the command line is typer's and a job file is read by pydantic.")
    return [Table("From the command line", above,
                  ("what", "wall, ms", "times bare", "processor, ms", "times bare"), rows)]
