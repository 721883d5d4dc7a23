"""Attacks in bulk. Not part of the tests, which run a small budget of the same (tests/test_attacks.py).

    python tests/fuzz/run.py words 1000000 [--seed 7] [--from 0]
    python tests/fuzz/run.py             lists the attacks

Stopped by SIGTERM or after --seconds it tells how far it came.

Every case is made from the seed and its number alone, so a failure is told as `words 7 123456` and made again by
`python tests/fuzz/run.py words 1 --seed 7 --from 123456`.
"""

import argparse
import random
import resource
import signal
import sys
import time
import traceback
from collections import Counter
from pathlib import Path
from typing import Any

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP), str(TOP / "tests")]

from fuzz.attacks import ATTACKS, Attack  # noqa: E402

MOST_SECONDS = 30
MOST_TOLD = 12


class TooLong(BaseException):
    """A case took more of the processor than MOST_SECONDS."""


def _too_long(*_: Any) -> None:
    raise TooLong


_ended_early: list[int] = []


def attack(of: Attack, count: int, seed: int, first: int, seconds: float) -> tuple[Counter[str], dict[str, list[tuple[int, str, str]]], tuple[float, int]]:
    """How cases ended, the failures by their kind (number, case, traceback), and the slowest (seconds, number)."""
    ended: Counter[str] = Counter()
    failed: dict[str, list[tuple[int, str, str]]] = {}
    slowest = (0.0, first)
    signal.signal(signal.SIGPROF, _too_long)
    signal.signal(signal.SIGTERM, lambda number, _: _ended_early.append(number))
    until = time.monotonic() + seconds
    for number in range(first, first + count):
        if _ended_early or time.monotonic() > until:
            break
        case = of.case(random.Random(f"{seed} {number}"))
        began = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, MOST_SECONDS)
        try:
            ended[of.hold(case)] += 1
        except (Exception, TooLong) as error:
            signal.setitimer(signal.ITIMER_PROF, 0)
            frames = traceback.extract_tb(error.__traceback__)
            place = f"{type(error).__name__} in {Path(frames[-1].filename).name}:{frames[-1].lineno}"
            ended["FAILED"] += 1
            failed.setdefault(place, []).append((number, of.shown(case), traceback.format_exc(limit=-6)))
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
        slowest = max(slowest, (time.process_time() - began, number))
    return ended, failed, slowest


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("attack", nargs="?", choices=list(ATTACKS))
    asked.add_argument("count", nargs="?", type=int, default=1000)
    asked.add_argument("--seed", type=int, default=7)
    asked.add_argument("--from", dest="first", type=int, default=0)
    asked.add_argument("--seconds", type=float, default=1e9)
    given = asked.parse_args()
    if given.attack is None:
        print("\n".join(f"{name:10} {each.what}" for name, each in ATTACKS.items()))
        return 0
    began = time.perf_counter()
    ended, failed, (seconds, number) = attack(ATTACKS[given.attack], given.count, given.seed, given.first, given.seconds)
    took = time.perf_counter() - began
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"{given.attack} {given.seed}: {sum(ended.values())} cases in {took:.0f} s ({time.process_time():.0f} s of processor), slowest {seconds:.2f} s (case {number}), peak {peak} MB")
    print("  " + ", ".join(f"{name} {count}" for name, count in ended.most_common()))
    for place, cases in failed.items():
        print(f"  {place}: {len(cases)} cases, first {given.attack} {given.seed} {cases[0][0]}: {cases[0][1]}\n{cases[0][2]}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
