"""Make every picture of docs/pictures again: python tests/make_pictures.py

They are the program's own drawings, so a test finds out when one of them is stale.
"""

import sys
from collections.abc import Callable, Mapping
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(TOP))

from fittings.circuit.hose import hose  # noqa: E402
from fittings.circuit.route import Swing, swing  # noqa: E402
from fittings.drawing import chain_svg, diagram_svg, end_svg, gauge_svg, pair_svg, run_svg, swing_svg  # noqa: E402
from fittings.ends import end_by_id  # noqa: E402
from fittings.job.plan import plan_file  # noqa: E402
from fittings.mating import mate  # noqa: E402
from fittings.planner import Limits, join  # noqa: E402
from fittings.reports.sheet import line_sketch  # noqa: E402

PICTURES = TOP / "docs" / "pictures"
DEMO = TOP / "docs" / "examples" / "log-lift.toml"


def _end(name: str) -> str:
    return end_svg(end_by_id(name))


def _pair(a: str, b: str) -> str:
    return pair_svg(mate(end_by_id(a), end_by_id(b)))


def _chain(start: str, finish: str, shape: str | None = None) -> str:
    return chain_svg(join(end_by_id(start), end_by_id(finish), Limits(shape_from=shape)).chains[0])


def _diagram() -> str:
    return diagram_svg(plan_file(str(DEMO)))


def _line() -> str:
    plan = plan_file(str(DEMO))
    sketch = line_sketch(next(line for line in plan.lines if line.name == "raise"), "both")
    assert sketch is not None
    return run_svg(sketch)


def _swing(kind: str) -> str:
    motion = Swing(254, 355.6, (40, 150))
    return swing_svg(motion, hose(kind, "-8"), swing(motion, hose(kind, "-8")))


MAKERS: Mapping[str, Callable[[], str]] = {
    "end-37-flare-male": lambda: _end("jic-6-male"),
    "end-o-ring-port": lambda: _end("orb-8-port"),
    "end-37-flare-swivel": lambda: _end("jic-8-swivel"),
    "chain-elbow": lambda: _chain("orb-8-port", "jic-8-swivel", "90"),
    "chain-inch-to-pipe": lambda: _chain("orb-8-port", "bspp-1/2-port"),
    "pair-37-in-o-ring-port": lambda: _pair("jic-6-male", "orb-6-port"),
    "pair-45-on-37": lambda: _pair("sae45-8-male", "jic-8-swivel"),
    "pair-npt-in-bspt": lambda: _pair("npt-1/2-male", "bspt-1/2-female"),
    "pair-chamfer": lambda: _pair("npt-1/2-male", "npsm-1/2-swivel"),
    "job-diagram": _diagram,
    "job-line": _line,
    "swing-too-tight": lambda: _swing("2SN"),
    "swing-compact": lambda: _swing("R17"),
    "gauge": lambda: gauge_svg("a4", 1),
}


def main() -> None:
    """Write every picture and remove those that nobody makes any more."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    for name, make in MAKERS.items():
        (PICTURES / f"{name}.svg").write_text(make(), "utf-8", newline="\n")
    for path in PICTURES.glob("*.svg"):
        if path.stem not in MAKERS:
            path.unlink()
    print(f"{len(MAKERS)} pictures in {PICTURES.relative_to(TOP)}")


if __name__ == "__main__":
    main()
