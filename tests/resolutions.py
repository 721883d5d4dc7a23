"""`python tests/resolutions.py lowest FOLDER`: the suite in an environment of the lowest (or `newest`) versions that the bounds allow.

Needs `uv` on the path and an index to install from; nothing else does. The environment is left in FOLDER. What follows
the folder goes to pytest: `python tests/resolutions.py lowest /tmp/low -n 2`.
"""

import argparse
import subprocess
import sys
import time
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
RESOLUTION = {"lowest": "lowest-direct", "newest": "highest"}
WITHOUT_ITS_OWN = "bd-warehouse==0.4.0"
"""Installed without what it depends on, as in the README: only its table of ISO 228-1 is read."""


def prepare(which: str, folder: Path) -> Path:
    """An environment in `folder` with that resolution; returns its python. Raises CalledProcessError."""
    python = folder / "bin" / "python"
    asked = ["--resolution", RESOLUTION[which], "--extra", "test", "--extra", "shelf"]
    for words in (
        ["uv", "venv", "--quiet", "--clear", str(folder)],
        ["uv", "pip", "install", "--quiet", "--python", str(python), "-r", "pyproject.toml", *asked],
        ["uv", "pip", "install", "--quiet", "--python", str(python), "--no-deps", WITHOUT_ITS_OWN],
        ["uv", "pip", "install", "--quiet", "--python", str(python), "pip"],
        ["uv", "pip", "install", "--quiet", "--python", str(python), "--no-deps", "--editable", "."],
    ):
        subprocess.run(words, cwd=TOP, check=True)
    return python


def main() -> int:
    read = argparse.ArgumentParser(description=__doc__)
    read.add_argument("which", choices=sorted(RESOLUTION))
    read.add_argument("folder", type=Path)
    asked, rest = read.parse_known_args()
    python = prepare(asked.which, asked.folder.resolve())
    subprocess.run(["uv", "pip", "freeze", "--python", str(python)], cwd=TOP, check=True)
    began = time.monotonic()
    status = subprocess.run([str(python), "-m", "pytest", *rest], cwd=TOP).returncode
    print(f"{asked.which}: {'passed' if status == 0 else 'failed'} in {time.monotonic() - began:.0f} s", file=sys.stderr)
    return status


if __name__ == "__main__":
    sys.exit(main())
