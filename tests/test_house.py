"""How the house stands: direction of imports, the quick path, lint, types, what lies at the top, the wheel."""

import ast
import json
import re
import subprocess
import sys
import tomllib
from graphlib import CycleError, TopologicalSorter
from importlib.metadata import version
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parent.parent
PACKAGE = TOP / "fittings"

ROOMS = [
    ["tables", "units", "saying"],
    ["sources", "reasons"],
    ["threads"],
    ["ends"],
    ["limits", "ratings", "figures", "lookalikes", "notation", "circuit", "cautions"],
    ["mating", "identify"],
    ["parts", "envelopes"],
    ["outlets"],
    ["network"],
    ["chain"],
    ["search"],
    ["planner", "tree"],
    ["check", "stock"],
    ["job"],
    ["drawing"],
    ["reports"],
    ["cli"],
    ["__init__", "__main__"],
]
ORDER = {room: number for number, rooms in enumerate(ROOMS) for room in rooms}


def _room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def _name(path: Path) -> str:
    return ".".join(path.relative_to(TOP).with_suffix("").parts).removesuffix(".__init__")


MODULES = {_name(path): path for path in PACKAGE.rglob("*.py")}


def _modules_imported(text: str) -> set[str]:
    """The modules of ours that a module imports, anywhere in it: `from fittings import units` imports fittings.units."""
    found = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "fittings":
            named = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= {name if name in MODULES else node.module for name in named}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names} & set(MODULES)
    return found


def _imports(path: Path) -> set[str]:
    return {module.split(".")[1] for module in _modules_imported(path.read_text("utf-8")) if module != "fittings"}


@pytest.mark.parametrize(("text", "expected"), [
    ("from fittings import units", {"fittings.units"}),
    ("from fittings.circuit import oil as oils", {"fittings.circuit.oil"}),
    ("from fittings.circuit import Finding, flow", {"fittings.circuit", "fittings.circuit.flow"}),
    ("import fittings.tables", {"fittings.tables"}),
    ("def here():\n    from fittings.tree import tree", {"fittings.tree"}),
    ("import csv\nfrom pathlib import Path", set()),
])
def test_every_way_to_import_is_seen(text: str, expected: set[str]) -> None:
    assert _modules_imported(text) == expected


def test_no_two_modules_need_each_other() -> None:
    """Within a room too: what two of them share stands in a third."""
    needs = {name: _modules_imported(path.read_text("utf-8")) - {name} for name, path in MODULES.items()}
    try:
        TopologicalSorter(needs).prepare()
    except CycleError as error:
        pytest.fail(" needs ".join(reversed(error.args[1])))


def test_every_module_has_its_room() -> None:
    assert {_room(path) for path in PACKAGE.rglob("*.py")} <= set(ORDER)


def test_imports_point_backwards_only() -> None:
    wrong = [
        f"{path.relative_to(TOP)} imports {other}"
        for path in PACKAGE.rglob("*.py")
        for other in _imports(path)
        if ORDER[other] > ORDER[_room(path)]
    ]
    assert wrong == []


def test_second_opinion_never_imports_the_planner() -> None:
    reached, queue = set(), ["check"]
    while queue:
        room = queue.pop()
        if room in reached:
            continue
        reached.add(room)
        places = [PACKAGE / f"{room}.py"] if (PACKAGE / f"{room}.py").exists() else list((PACKAGE / room).rglob("*.py"))
        for place in places:
            queue += _imports(place)
    assert "mating" in reached
    assert not {"planner", "search", "network", "tree"} & reached


def test_a_saved_plan_is_checked_without_the_planner() -> None:
    """Nor by way of another module of the room, nor of an import inside a function; a chain is put together by the network too."""
    code = ("import json, sys\n"
            "from fittings.job.recheck import second_opinion\n"
            "opinion = second_opinion(json.load(sys.stdin))\n"
            "assert opinion.stands, opinion.flaws\n"
            "print(' '.join(sys.modules))\n")
    planned = subprocess.run([sys.executable, "-m", "fittings", "plan", str(TOP / "docs" / "examples" / "log-lift.toml"), "--json"],
                             cwd=TOP, capture_output=True, text=True, check=True)
    done = subprocess.run([sys.executable, "-c", code], cwd=TOP, input=planned.stdout, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    loaded = {name.removeprefix("fittings.") for name in done.stdout.split() if name.startswith("fittings.")}
    assert "mating" in loaded
    assert not loaded & {"planner", "search", "network", "tree", "chain", "job.plan", "job.bill", "job.assembly", "job.one_hose"}


def test_only_tables_opens_data_files() -> None:
    opening = re.compile(r"\bcsv\.(reader|DictReader)\b")
    guilty = {_room(path) for path in PACKAGE.rglob("*.py") if opening.search(path.read_text("utf-8"))}
    assert guilty <= {"tables", "stock", "identify", "cli"}  # the last three read files of the user, never of data/


def test_top_level_holds_what_was_agreed() -> None:
    seen = {
        name.split("/")[0]
        for name in subprocess.run(["git", "ls-files"], cwd=TOP, capture_output=True, text=True).stdout.split("\n") if name
    }
    if not seen:
        pytest.skip("not a git checkout")
    assert {name for name in seen if not name.startswith(".")} == {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "fittings", "data", "tests", "docs"}


HEAVY = ("pydantic", "networkx", "rich", "numpy")
QUICK = [
    ["--help"],
    ["show", "ORB -6 port"],
    ["show", "90 ORB -6 male adjustable x JIC -6 male"],
    ["mate", "JIC -6 male", "ORB -6 port"],
    ["join", "ORB -6 port", "JIC -8 swivel", "--psi", "3000"],
    ["identify", "--od", "14.2 mm", "--tpi", "18", "--male"],
]


@pytest.mark.parametrize("words", QUICK, ids=" ".join)
@pytest.mark.parametrize("form", ["text", "json"])
def test_quick_path_loads_nothing_heavy(words: list[str], form: str) -> None:
    """When a newer typer passes this test, the upper bound of its pin can go (docs/decisions/0002)."""
    if form == "json":
        if words == ["--help"]:
            pytest.skip("help has no JSON form")
        words = [*words, "--json"]
    code = (
        "import sys, json\n"
        "from fittings.cli import run\n"
        f"status = run({words!r})\n"
        f"heavy = sorted(name for name in sys.modules if name.split('.')[0] in {HEAVY!r})\n"
        "print('\\n' + json.dumps([status, heavy]))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=TOP, capture_output=True, text=True)
    status, heavy = json.loads(done.stdout.strip().rsplit("\n", 1)[-1])
    assert status in (0, 1), done.stderr
    assert heavy == []


def test_only_what_a_question_needs_is_loaded() -> None:
    """The verb that was asked for and no other; two ends of one thread ask for no thread arithmetic, and words for no JSON."""
    code = ("import sys\n"
            "from fittings.cli import run\n"
            "run(['mate', 'JIC -6 male', 'JIC -6 swivel'])\n"
            "print('\\n' + ' '.join(sys.modules))\n")
    done = subprocess.run([sys.executable, "-c", code], cwd=TOP, capture_output=True, text=True, check=True)
    loaded = set(done.stdout.strip().rsplit("\n", 1)[-1].split())
    assert {name for name in loaded if name.startswith("fittings.cli.")} == {"fittings.cli.frame", "fittings.cli.mate"}
    assert not loaded & {"json", "fittings.threads", "fittings.tree", "fittings.figures", "fittings.reports.as_json"}


def test_pin_of_typer_stands_or_can_go() -> None:
    """Fails in an environment with a typer beyond the pin, and says which of the two must be changed.

    `pip install -U typer` and this test are how the pin is looked at again (docs/decisions/0002).
    """
    wanted = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
    (pin,) = (each.removeprefix("typer") for each in wanted if each.startswith("typer"))
    assert f"`{pin}`" in (TOP / "docs" / "decisions" / "0002-typer-version.md").read_text("utf-8")
    bound = re.search(r"<(\d+)\.(\d+)", pin)
    assert bound, "the upper bound of typer is gone: this test has done its work and can go too"
    code = ("import sys, json, typer\n"
            "app = typer.Typer(rich_markup_mode=None, add_completion=False, pretty_exceptions_enable=False)\n"
            "app.command()(lambda: None)\n"
            "app([], standalone_mode=False)\n"
            f"print(json.dumps(sorted({{name.split('.')[0] for name in sys.modules}} & set({HEAVY!r}))))\n")
    done = subprocess.run([sys.executable, "-c", code], cwd=TOP, capture_output=True, text=True)
    heavy, installed = json.loads(done.stdout), version("typer")
    if tuple(int(each) for each in installed.split(".")[:2]) < tuple(int(each) for each in bound.groups()):
        assert heavy == []
    else:
        pytest.fail(f"typer {installed} is beyond the pin and loads " + (f"{', '.join(heavy)}: the pin must stay" if heavy else
                    "nothing heavy: raise the bound in pyproject.toml and add its row to docs/decisions/0002"))


def test_every_module_imports_alone() -> None:
    modules = sorted(
        ".".join(path.relative_to(TOP).with_suffix("").parts).removesuffix(".__init__")
        for path in PACKAGE.rglob("*.py") if path.name != "__main__.py"
    )
    code = (
        "import sys, importlib\n"
        "for name in sys.argv[1:]:\n"
        "    for known in [each for each in sys.modules if each.split('.')[0] == 'fittings']: del sys.modules[known]\n"
        "    importlib.import_module(name)\n"
    )
    done = subprocess.run([sys.executable, "-c", code, *modules], cwd=TOP, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_modules_keep_a_readable_size_and_a_plain_name() -> None:
    too_long = [str(path) for path in PACKAGE.rglob("*.py") if path.stat().st_size > 24_000]
    assert too_long == []
    stems = {path.stem for path in PACKAGE.rglob("*.py")} - {"__init__", "__main__"}
    assert not stems & ({"utils", "helpers"} | set(sys.stdlib_module_names))


def test_lint() -> None:
    done = subprocess.run([sys.executable, "-m", "ruff", "check", "."], cwd=TOP, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout


def test_types() -> None:
    done = subprocess.run([sys.executable, "-m", "mypy"], cwd=TOP, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout


def test_nobody_is_told_to_install_fittings_from_an_index() -> None:
    name = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]["name"]
    assert name != "fittings"
    wrong = re.compile(r"(pip|pipx|uv|uvx)\s+(install|run|tool install)[^\n|`]*\s" + r"(fittings)(\s|$)")
    told = [path for path in TOP.rglob("*.md") if ".venv" not in path.parts and wrong.search(path.read_text("utf-8"))]
    assert told == []


def test_wheel_carries_its_data(tmp_path: Path) -> None:
    """Built, put in a folder of its own, and asked from elsewhere: the tables are there."""
    built = subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--no-deps", "-q", "-w", str(tmp_path), str(TOP)],
        capture_output=True, text=True)
    assert built.returncode == 0, built.stderr
    (wheel,) = tmp_path.glob("*.whl")
    place = tmp_path / "site"
    subprocess.run([sys.executable, "-m", "pip", "install", "--no-deps", "-q", "--target", str(place), str(wheel)], check=True)
    code = "import fittings.tables as t; print(t.folder()); print(len(t.table('sizes')))"
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True,
                          env={"PYTHONPATH": str(place), "PATH": "/usr/bin:/bin"})
    assert done.returncode == 0, done.stderr
    folder, rows = done.stdout.split()
    assert folder == str(place / "fittings" / "data")
    assert int(rows) > 200
