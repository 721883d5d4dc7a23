"""Do the tests bite? Each module is broken on purpose, one small change at a time, and its tests must notice.

    python tests/mutation.py                              # a seeded sample of every module
    python tests/mutation.py --of-all 400 --seed 5        # a sample of all mutants, each as likely as any other
    python tests/mutation.py --sample 0 fittings/check.py # every mutant of one module
    python tests/mutation.py --again build/mutation.jsonl # only those that survived the last time

The changes are cosmic-ray's, and three of the same kind: a word changed, a call left out, an argument left out. Its own
runner starts Python anew for each mutant and writes it into the checkout; here each mutant lives in a fork of one
process that has already read pytest and hypothesis, and no file is touched.
"""

import argparse
import ast
import contextlib
import importlib.abc
import importlib.machinery
import json
import os
import random
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from itertools import chain
from pathlib import Path
from types import CodeType, ModuleType
from typing import Any, NamedTuple

import cosmic_ray.plugins
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.operators.operator import Operator

TOP = Path(__file__).resolve().parent.parent
RESULTS = TOP / "build" / "mutation.jsonl"
SEED = 20261127

PLANNER = ("test_planner_laws", "test_planner -networkx", "test_tree")
READING = ("test_notation_counter", "test_notation_bounds", "test_notation_said", "test_notation_parts", "test_notation -own_words")
THREADS = ("test_threads_limits", "test_threads_meeting", "test_threads_designation")
IDENTIFY = ("test_identify_bounds", "test_identify_likelihood", "test_identify_published", "test_identify_readings", "test_identify_answer")
TESTS: dict[str, Sequence[str]] = {
    "fittings/threads/american_pipe.py": THREADS,
    "fittings/threads/designation.py": ("test_threads_designation", *THREADS[:2]),
    "fittings/threads/figures.py": THREADS,
    "fittings/threads/limits_of_size.py": THREADS,
    "fittings/threads/meeting.py": ("test_threads_meeting", "test_threads_limits"),
    "fittings/threads/metric.py": THREADS,
    "fittings/threads/unified.py": THREADS,
    "fittings/threads/whitworth.py": THREADS,
    "fittings/ends.py": ("test_ends",),
    "fittings/mating.py": ("test_mating_reasons", "test_mating", "test_data_torque"),
    "fittings/limits.py": PLANNER,
    "fittings/planner.py": PLANNER,
    "fittings/chain.py": ("test_elbows", *PLANNER),
    "fittings/search.py": PLANNER,
    "fittings/tree.py": ("test_tree",),
    "fittings/check.py": ("test_corrupted -tampered",),
    "fittings/identify/likelihood.py": IDENTIFY,
    "fittings/identify/shares.py": IDENTIFY,
    "fittings/identify/specimen.py": IDENTIFY,
    "fittings/identify/readings.py": ("test_identify_readings", "test_identify_bounds", "test_identify_answer"),
    **{f"fittings/notation/{name}.py": READING for name in
       ("asking", "errors", "families", "hearing", "pieces", "reading", "several", "shaping", "sizes", "words")},
}

_ARITHMETIC = ("Add_Sub", "Sub_Add", "Mul_Div", "Div_Mul", "FloorDiv_Div", "Mod_FloorDiv", "Pow_Mul", "BitAnd_BitOr",
               "BitOr_BitAnd", "Add_Mul", "Sub_Mul", "Mul_Add")
_ORDER = ("NotEq", "Lt", "LtE", "Gt", "GtE")
# Identity is left out: `==` for `is`, or the other way, changes nothing that a test could see, or only by luck.
OPERATORS = (
    *(f"core/ReplaceBinaryOperator_{each}" for each in _ARITHMETIC),
    *(f"core/ReplaceComparisonOperator_{a}_{b}" for a in ("Eq", *_ORDER) for b in ("Eq", *_ORDER) if a != b),
    "core/ReplaceComparisonOperator_Is_IsNot", "core/ReplaceComparisonOperator_IsNot_Is",
    "core/AddNot", "core/ReplaceAndWithOr", "core/ReplaceOrWithAnd", "core/ReplaceTrueWithFalse",
    "core/ReplaceFalseWithTrue", "core/ReplaceBreakWithContinue", "core/ReplaceContinueWithBreak", "core/NumberReplacer",
    "core/ReplaceUnaryOperator_USub_UAdd", "core/ReplaceUnaryOperator_Delete_USub", "core/ReplaceUnaryOperator_Delete_Not",
    "core/ZeroIterationForLoop", "core/ExceptionReplacer",
)

_ORDERING = {f"core/ReplaceComparisonOperator_{a}_{b}" for a in ("Eq", "NotEq") for b in _ORDER[1:]}

Place = tuple[int, int]


class _Ours(Operator):  # type: ignore[misc]
    """A change at every node that `at` picks."""

    def at(self, node: Any) -> bool:
        raise NotImplementedError

    def mutation_positions(self, node: Any) -> Iterator[tuple[Place, Place]]:
        if self.at(node):
            yield node.start_pos, node.end_pos

    @classmethod
    def examples(cls) -> tuple[()]:
        return ()


class WordChanged(_Ours):
    """A string that is neither a docstring nor a name of `__all__` gets other text."""

    def at(self, node: Any) -> bool:
        return node.type == "string" and not (node.parent and node.parent.type == "simple_stmt") and not _exported(node)

    def mutate(self, node: Any, index: int) -> Any:
        quote = node.value[-3:] if node.value.endswith('"""') else node.value[-1]
        node.value = node.value[: -len(quote)] + "XX" + quote
        return node


class CallLeftOut(_Ours):
    """A statement that only calls something, or adds to a name, does nothing."""

    def at(self, node: Any) -> bool:
        return node.type == "simple_stmt" and _does_something(node.children[0])

    def mutate(self, node: Any, index: int) -> Any:
        _write_over(node.children[0], "pass")
        return node


class ArgumentLeftOut(_Ours):
    """A named argument of a call is not passed on."""

    def at(self, node: Any) -> bool:
        return node.type == "argument" and node.children[1] == "=" and node.parent.type == "arglist"

    def mutate(self, node: Any, index: int) -> Any:
        _write_over(node, "**{}")
        return node


OURS: dict[str, type[_Ours]] = {each.__name__: each for each in (WordChanged, CallLeftOut, ArgumentLeftOut)}


def _exported(node: Any) -> bool:
    while node.parent is not None and node.type != "expr_stmt":
        node = node.parent
    return bool(node.get_first_leaf().value == "__all__")


def _does_something(statement: Any) -> bool:
    if statement.type == "atom_expr":
        return statement.children[-1].type == "trailer" and statement.children[-1].children[0] == "("
    return statement.type == "expr_stmt" and str(getattr(statement.children[1], "value", "")) in ("+=", "-=", "|=", "&=")


def _write_over(node: Any, text: str) -> None:
    first, *others = _leaves(node)
    first.value = text
    for other in others:
        other.value = other.prefix = ""


def _leaves(node: Any) -> Iterator[Any]:
    if hasattr(node, "children"):
        for child in node.children:
            yield from _leaves(child)
    else:
        yield node


class Mutant(NamedTuple):
    """One change: which operator, its how-manieth place in the file, and where that is."""

    module: str
    operator: str
    occurrence: int
    line: int
    column: int


def _operator(name: str) -> Operator:
    return OURS[name]() if name in OURS else cosmic_ray.plugins.get_operator(name)()


def _untestable(node: ast.AST) -> Iterator[ast.expr | ast.keyword | None]:
    """Annotations, where nothing runs; `strict=`, which only says what holds anyway."""
    if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
        yield node.returns
    elif isinstance(node, ast.arg | ast.AnnAssign):
        yield node.annotation
    elif isinstance(node, ast.keyword) and node.arg == "strict":
        yield node


def _words_compared(node: ast.AST) -> Iterator[ast.expr | ast.keyword | None]:
    """A word is or is not another; it has no order, so only `==` for `!=` is a mistake that anybody makes."""
    if isinstance(node, ast.Compare) and any(isinstance(each, ast.Constant) and isinstance(each.value, str)
                                             for each in (node.left, *node.comparators)):
        yield node


def _spans(source: str, of: Callable[[ast.AST], Iterator[ast.expr | ast.keyword | None]]) -> list[tuple[Place, Place]]:
    found = [each for node in ast.walk(ast.parse(source)) for each in of(node) if each is not None]
    return [((each.lineno, each.col_offset), (each.end_lineno or 0, each.end_col_offset or 0)) for each in found]


def mutants(module: str) -> list[Mutant]:
    """Every change that the operators can make in a module, where something runs."""
    source = (TOP / module).read_text("utf-8")
    untestable, words, tree = _spans(source, _untestable), _spans(source, _words_compared), get_ast(source)
    found = []
    for name in (*OPERATORS, *OURS):
        operator, number = _operator(name), 0
        left_out = untestable + words if name in _ORDERING else untestable
        for node in ast_nodes(tree):
            for start, _ in operator.mutation_positions(node):
                if not any(first <= start < last for first, last in left_out):
                    found.append(Mutant(module, name, number, *start))
                number += 1
    return found


class _Broken(importlib.abc.MetaPathFinder, importlib.abc.SourceLoader):
    """Loads one module from other source than its file's."""

    def __init__(self, module: str, source: str) -> None:
        self.name = module.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        self.path, self.source = str(TOP / module), source

    def find_spec(self, fullname: str, path: Any, target: ModuleType | None = None) -> importlib.machinery.ModuleSpec | None:
        if fullname != self.name:
            return None
        return importlib.machinery.ModuleSpec(fullname, self, origin=self.path)

    def get_filename(self, fullname: str) -> str:
        return self.path

    def get_data(self, path: str | bytes) -> bytes:
        return self.source.encode()

    def get_code(self, fullname: str) -> CodeType:
        return compile(self.source, self.path, "exec")


def _pytest(tests: Sequence[str]) -> int:
    import pytest

    for each in tests:
        name, _, without = each.partition(" -")
        place = str(TOP / "tests" / f"{name}.py")
        words = ["-x", "-q", "-p", "no:xdist", "-p", "no:cacheprovider", "-o", "addopts=", "--no-header", "--tb=no", place]
        if status := pytest.main([*words, *(["-k", f"not {without}"] if without else [])]):
            return int(status)
    return 0


def outcome(module: str, source: str | None, limit_s: float) -> tuple[str, float]:
    """`killed`, `too slow` or `survived`, and the seconds it took: the module's tests with this source in its place."""
    began = time.monotonic()
    child = os.fork()
    if child == 0:
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        if source is not None:
            sys.meta_path.insert(0, _Broken(module, source))
        status = 1
        with contextlib.suppress(BaseException):
            status = _pytest(TESTS[module])
        os._exit(1 if status else 0)
    while True:
        done, status = os.waitpid(child, os.WNOHANG)
        took = time.monotonic() - began
        if done:
            return ("killed" if status else "survived"), took
        if took > limit_s:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return "too slow", took
        time.sleep(0.02)


def _line(source: str, number: int) -> str:
    lines = source.splitlines()
    return lines[number - 1].strip() if number <= len(lines) else ""


def run(module: str, chosen: Sequence[Mutant], population: int, results: Any) -> None:
    source = (TOP / module).read_text("utf-8")
    state, whole_s = outcome(module, None, 600)
    if state != "survived":
        print(f"{module}: its tests fail as it stands; left out", flush=True)
        return
    counts = {"killed": 0, "too slow": 0, "survived": 0}
    for mutant in chosen:
        broken = mutate_code(source, _operator(mutant.operator), mutant.occurrence)
        if broken is None or broken == source:
            continue
        state, took = outcome(module, broken, 3 * whole_s + 20)
        counts[state] += 1
        row = {**mutant._asdict(), "state": state, "seconds": round(took, 1), "was": _line(source, mutant.line),
               "became": _line(broken, mutant.line)}
        results.write(json.dumps(row, ensure_ascii=False) + "\n")
        results.flush()
    tried = sum(counts.values())
    killed = tried - counts["survived"]
    print(f"| `{module}` | {population} | {tried} | {killed} | {killed / tried if tried else 1:.0%} |", flush=True)


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("modules", nargs="*", default=list(TESTS))
    words.add_argument("--sample", type=int, default=60, help="mutants of each module, 0 for all of them")
    words.add_argument("--of-all", type=int, help="so many mutants of all the modules together, drawn at random")
    words.add_argument("--seed", type=int, default=SEED, help="of the sample")
    words.add_argument("--again", type=Path, help="results of an earlier run: only its survivors")
    words.add_argument("--results", type=Path, default=RESULTS)
    asked = words.parse_args()
    os.environ["HYPOTHESIS_PROFILE"] = "mutation"
    os.chdir(TOP)
    sys.path[:0] = [str(TOP)]
    # Read before the forks, so that none has to read them again; nothing of the program itself.
    import hypothesis.strategies  # noqa: F401
    import networkx  # noqa: F401
    import pytest  # noqa: F401

    found = {module: mutants(module) for module in asked.modules}
    if asked.again:
        rows = [json.loads(line) for line in asked.again.read_text("utf-8").splitlines()]
        chosen = {Mutant(*(row[name] for name in Mutant._fields)) for row in rows if row["state"] == "survived"}
    elif asked.of_all:
        chosen = set(random.Random(asked.seed).sample(list(chain.from_iterable(found.values())), asked.of_all))
    else:
        chosen = {mutant for module, there in found.items()
                  for mutant in random.Random(f"{asked.seed} {module}").sample(there, min(asked.sample or len(there), len(there)))}
    asked.results.parent.mkdir(exist_ok=True)
    print("| module | mutants | tried | killed | share |\n| --- | --- | --- | --- | --- |", flush=True)
    with open(asked.results, "w", encoding="utf-8") as results:
        for module, there in found.items():
            if picked := [mutant for mutant in there if mutant in chosen]:
                run(module, picked, len(there), results)


if __name__ == "__main__":
    main()
