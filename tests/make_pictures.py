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
from fittings.drawing import (  # noqa: E402
    chain_svg,
    diagram_svg,
    end_svg,
    gauge_svg,
    pair_svg,
    part_svg,
    run_svg,
    swing_svg,
    tree_svg,
)
from fittings.ends import end_by_id  # noqa: E402
from fittings.job.plan import plan_file  # noqa: E402
from fittings.limits import Limits  # noqa: E402
from fittings.mating import mate  # noqa: E402
from fittings.parts import find  # noqa: E402
from fittings.planner import join  # noqa: E402
from fittings.reports.sheet_lines import leg_sketch, line_sketch  # noqa: E402
from fittings.tree import join_all  # noqa: E402

PICTURES = TOP / "docs" / "pictures"
DEMO = TOP / "docs" / "examples" / "log-lift.toml"
SPLIT = TOP / "docs" / "examples" / "tailgate.toml"


def _end(name: str) -> str:
    return end_svg(end_by_id(name))


def _pair(a: str, b: str) -> str:
    return pair_svg(mate(end_by_id(a), end_by_id(b)))


def _chain(start: str, finish: str, shape: str | None = None) -> str:
    return chain_svg(join(end_by_id(start), end_by_id(finish), Limits(shape_from=shape)).chains[0])


def _part(shape: str, *ends: str) -> str:
    return part_svg(find([end_by_id(each) for each in ends], shape))


def _tree(*ends: str) -> str:
    found = join_all(tuple(end_by_id(each) for each in ends), Limits())
    assert found is not None
    return tree_svg(found)


def _diagram(job: Path = DEMO) -> str:
    return diagram_svg(plan_file(str(job)))


def _split(leg: int | None) -> str:
    line = plan_file(str(SPLIT)).lines[0]
    sketch = line_sketch(line, "both") if leg is None else leg_sketch(line, leg, "both")
    assert sketch is not None
    return run_svg(sketch)


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
    "part-elbow": lambda: _part("90", "orb-6-stud-adj", "jic-6-male"),
    "part-bushing": lambda: _part("bushing", "npt-1/4-female", "npt-1/2-male"),
    "tee-three-ends": lambda: _tree("orb-8-port", "jic-8-swivel", "bspp-1/2-port"),
    "tee-four-ends": lambda: _tree("orb-8-port", "jic-8-swivel", "bspp-1/2-port", "npt-1/2-female"),
    "pair-37-in-o-ring-port": lambda: _pair("jic-6-male", "orb-6-port"),
    "pair-45-on-37": lambda: _pair("sae45-8-male", "jic-8-swivel"),
    "pair-npt-in-bspt": lambda: _pair("npt-1/2-male", "bspt-1/2-female"),
    "pair-chamfer": lambda: _pair("npt-1/2-male", "npsm-1/2-swivel"),
    "job-diagram": _diagram,
    "job-diagram-tee": lambda: _diagram(SPLIT),
    "job-line": _line,
    "job-line-to-tee": lambda: _split(None),
    "job-line-from-tee": lambda: _split(1),
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
