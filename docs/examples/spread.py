"""Many questions over the cores of one machine with joblib, or over many machines with another of its backends.

    python docs/examples/spread.py

`fittings.join` depends on nothing but its arguments and the tables, and arguments and answers can be sent between
processes: so any engine that hands out work will do, and nothing of this package needs to know of it.
"""

from collections.abc import Sequence

from joblib import Parallel, delayed

from fittings import Limits, join, read_end
from fittings.planner import Answer

Question = tuple[str, str, Limits]


def answered(questions: Sequence[Question]) -> list[Answer]:
    """A portion of the questions, on whatever worker it lands: the first one of a worker reads the tables."""
    return [join(read_end(start).end, read_end(finish).end, limits) for start, finish, limits in questions]


def spread(questions: Sequence[Question], workers: int, portion: int = 200) -> list[Answer]:
    """The answers in the order of the questions. A portion should take long enough (0.1 s) to be worth the sending."""
    portions = [questions[place:place + portion] for place in range(0, len(questions), portion)]
    told = Parallel(n_jobs=workers)(delayed(answered)(some) for some in portions)
    return [answer for some in told for answer in some]


if __name__ == "__main__":
    sizes = ("-4", "-6", "-8", "-10", "-12", "-16")
    asked = [(f"ORB {port} port", f"JIC {hose} swivel", Limits(psi=2000)) for port in sizes for hose in sizes]
    for answer in spread(asked, 2, 12):
        said = " + ".join(used.part.say for used in answer.chains[0].parts) if answer.chains else "no chain"
        print(f"{answer.start.say} to {answer.finish.say}: {said}")
