"""`python -m fittings.tables`: the data check. With `--pins` it prints what `data/pins.csv` should hold instead."""

import csv
import sys

from fittings.tables.audit import problems, shares
from fittings.tables.pins import Pin, pins_now


def main(arguments: list[str]) -> int:
    """Prints what is wrong with the data and returns 1, or a line of counts and 0."""
    if arguments == ["--pins"]:
        lines = csv.writer(sys.stdout, lineterminator="\n")
        lines.writerow(Pin._fields)
        lines.writerows(pins_now())
        return 0
    found = problems()
    for said in found:
        print(said)
    counts = shares()
    total = sum(counts.values()) or 1
    told = ", ".join(f"{count} {grade} ({count / total:.0%})" for grade, count in counts.items())
    print(f"{len(found)} problems; sourced cells by confidence: {told}", file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
