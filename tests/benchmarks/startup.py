"""From the command line: wall time of whole runs against a bare interpreter of the same environment."""

from measuring import Table, compared, in_turn, noise, python

ROUNDS = 21
VERBS = {
    "--help": ["--help"],
    "show": ["show", "ORB -6 port"],
    "mate": ["mate", "JIC -6 male", "JIC -6 swivel"],
    "join": ["join", "ORB -6 port", "JIC -8 swivel", "--psi", "3000"],
    "identify": ["identify", "--od", "14.2 mm", "--tpi", "18", "--male"],
    "plan (tailgate)": ["plan", "docs/examples/tailgate.toml"],
}


def tables() -> list[Table]:
    """One table: every quick verb and the plan of the demo."""
    bare = "python -c pass"
    works = {bare: python("-c", "pass")} | {name: python("-m", "fittings", *words) for name, words in VERBS.items()}
    for work in works.values():
        work()
    times = in_turn(works, ROUNDS)
    return [compared("From the command line", f"{ROUNDS} rounds. {noise(times[bare])}", times, bare, "a bare interpreter")]
