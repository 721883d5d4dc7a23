"""Processes killed, stopped and starved while they write. Not part of the tests, which hold each step once (tests/test_attacks.py).

    python tests/attack_faults.py [--kills 1000] [--runs 60] [--seed 7]

Law: the file under its name is whole, the old one or the new one, at every moment; what a killed process leaves beside it
says what it is (`.unfinished`); Ctrl-C ends with "stopped" and 130; a disk that is full ends with exit 2 and one line.
"""

import argparse
import contextlib
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(TOP)}
FITTINGS = [sys.executable, "-m", "fittings"]

WRITER = """
import sys
from fittings.reports.files import write_whole
path, sign, length = sys.argv[1], sys.argv[2], int(sys.argv[3])
whole = "begin " + sign * length + " end"
print("ready", flush=True)
while True:
    write_whole(path, whole)
"""


def _writer(path: Path, sign: str, length: int) -> "subprocess.Popen[str]":
    started = subprocess.Popen([sys.executable, "-c", WRITER, str(path), sign, str(length)], env=ENVIRONMENT, stdout=subprocess.PIPE, text=True)
    assert started.stdout is not None and started.stdout.readline() == "ready\n"
    return started


def _whole(path: Path, signs: str, length: int) -> bool:
    text = path.read_text()
    return any(text == f"begin {sign * length} end" for sign in signs)


def _litter(folder: Path) -> list[str]:
    return [name for name in os.listdir(folder) if name.startswith(".")]


def killed_writers(folder: Path, kills: int, rng: random.Random) -> str:
    """SIGKILL and SIGTERM at any moment of a process that does nothing but write one file again and again."""
    path, length, found = folder / "sheet.html", 300_000, Counter[str]()
    path.write_text(f"begin {'a' * length} end")
    for number in range(kills):
        writer = _writer(path, "ab"[number % 2], length)
        time.sleep(rng.random() * 0.02)
        writer.send_signal(rng.choice((signal.SIGKILL, signal.SIGKILL, signal.SIGTERM)))
        writer.wait()
        writer.stdout.close()  # type: ignore[union-attr]
        found["whole" if _whole(path, "ab", length) else "BROKEN"] += 1
        for name in _litter(folder):
            found["left beside, named unfinished" if name.endswith(".unfinished") else "LEFT BESIDE"] += 1
            (folder / name).unlink()
    return f"{kills} kills of a writer of {length} bytes: {dict(found)}"


def two_writers(folder: Path, seconds: float) -> str:
    """Two processes write one file at once while a third reads it."""
    path, length, found = folder / "both.svg", 200_000, Counter[str]()
    path.write_text(f"begin {'a' * length} end")
    writers = [_writer(path, sign, length) for sign in "ab"]
    began = time.monotonic()
    while time.monotonic() - began < seconds:
        found["whole" if _whole(path, "ab", length) else "BROKEN"] += 1
    for each in writers:
        each.terminate()
        each.wait()
        each.stdout.close()  # type: ignore[union-attr]
    return f"two writers at once, {sum(found.values())} looks: {dict(found)}, left beside when both were ended: {len(_litter(folder))}"


def hears_ctrl_c() -> None:
    """What is started in the background of a shell is started deaf to it."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


COMMANDS = (
    ["plan", str(TOP / "docs/examples/tailgate.toml"), "--sheet", "out.html", "--bill", "out.csv"],
    ["gauge", "--out", "out.svg"],
    ["mate", "JIC -6 male", "JIC -6 swivel", "--svg", "out.svg"],
)


def stopped_verbs(folder: Path, runs: int, rng: random.Random, how: signal.Signals) -> str:
    """Ctrl-C, or SIGKILL, at any moment of a verb that writes, over files that are there."""
    found: Counter[str] = Counter()
    fresh: dict[str, str] = {}
    took = []
    for command in COMMANDS:
        began = time.monotonic()
        subprocess.run([*FITTINGS, *command], cwd=folder, env=ENVIRONMENT, capture_output=True)
        took.append(time.monotonic() - began)
        fresh |= {f"{command[0]} {name}": (folder / name).read_text() for name in os.listdir(folder) if name.startswith("out")}
    for number in range(runs):
        which = number % len(COMMANDS)
        for name in os.listdir(folder):
            if name.startswith("out"):
                (folder / name).write_text("old")
        started = subprocess.Popen([*FITTINGS, *COMMANDS[which]], cwd=folder, env=ENVIRONMENT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
                                   preexec_fn=hears_ctrl_c)
        time.sleep(rng.random() * took[which])
        started.send_signal(how)
        told = started.communicate()[1]
        if how == signal.SIGINT and "Traceback" in told:
            early = "fittings/__main__" not in told and "fittings/cli" not in told
            found["traceback of Python itself, before the command begins" if early else f"TRACEBACK {told[-400:]}"] += 1
        else:
            found[f"exit {started.returncode}"] += 1
        for name in os.listdir(folder):
            if name.startswith("out"):
                text = (folder / name).read_text()
                found["old file" if text == "old" else "new file" if text == fresh[f"{COMMANDS[which][0]} {name}"] else f"BROKEN {name}"] += 1
        for name in _litter(folder):
            found["left beside, named unfinished" if name.endswith(".unfinished") else "LEFT BESIDE"] += 1
            (folder / name).unlink()
    return f"{runs} verbs ended by {how.name}: {dict(found)}"


def full_disk(folder: Path) -> list[str]:
    """A file system of 64 KiB where one can be mounted, a limit on the size of files where not."""
    said = []
    small = folder / "small"
    small.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(small)], capture_output=True).returncode == 0
    for command in COMMANDS:
        for name in ("out.html", "out.csv", "out.svg"):
            (small / name).write_text("old")
        limit = None if mounted else (lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (10_000, 10_000)))
        filler = small / "filler"
        if mounted:
            with contextlib.suppress(OSError):
                filler.write_bytes(b"x" * 60_000)
        done = subprocess.run([*FITTINGS, *command], cwd=small, env=ENVIRONMENT, capture_output=True, text=True, preexec_fn=limit)
        kept = {name: (small / name).read_text() == "old" for name in ("out.html", "out.svg") if name in command}
        said.append(f"{'a full file system' if mounted else 'files of 10 kB at most'}: {command[0]} exits {done.returncode}, old files kept: "
                    f"{all(kept.values())}, left beside: {len(_litter(small))}: {done.stderr.strip().splitlines()[-2:]}")
        filler.unlink(missing_ok=True)
    if mounted:
        subprocess.run(["umount", str(small)], check=True)
    return said


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--kills", type=int, default=1000)
    asked.add_argument("--runs", type=int, default=60)
    asked.add_argument("--seed", type=int, default=7)
    given = asked.parse_args()
    rng = random.Random(given.seed)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        print(killed_writers(folder, given.kills, rng), flush=True)
        print(two_writers(folder, 10), flush=True)
        for how in (signal.SIGINT, signal.SIGKILL):
            verbs = folder / how.name
            verbs.mkdir()
            print(stopped_verbs(verbs, given.runs, rng, how), flush=True)
        print("\n".join(full_disk(folder)), flush=True)


if __name__ == "__main__":
    main()
