"""The form that questions walk: made on demand from the tables, beside what else it could be; first use and memory.

Every work runs in a process of its own, in turn with the others: first use can only be measured once a process.
"""

import pickle
import subprocess
import sys
import tempfile
from pathlib import Path

from measuring import TOP, Table, noise, ratios, spread

ROUNDS = 15
QUESTION = "join(end_by_id('orb-6-port'), end_by_id('jic-8-swivel'), Limits(psi=3000))"

BEGIN = f"""
import gc, sys, time, tracemalloc
sys.path.insert(0, {str(TOP)!r})
gc.set_threshold(50_000)
from fittings.ends import all_ends, end_by_id
from fittings.limits import Limits
from fittings.planner import join
from fittings.chain import (joints_made)
from fittings.search import (options)
def everything():
    return {{each: (options(each), joints_made(each)) for each in all_ends()}}
begun = time.perf_counter()
"""
END = "print(time.perf_counter() - begun)"
MEMORY = "print(tracemalloc.get_traced_memory()[0])"

DEMAND, WHOLE, GRAPH = "one question, what it needs made on demand", "every end's parts and joints made at once", \
    "the networkx graph, networkx loaded as well"
READ, PICKLE = "the same bytes mapped and read", "every end's parts and joints out of a pickle, then one question"
DOING = {
    DEMAND: QUESTION,
    WHOLE: "kept = everything()",
    GRAPH: "from fittings.network import graph\nkept = graph()",
    PICKLE: "import pickle\nkept = pickle.load(open({file!r}, 'rb'))\n" + QUESTION,
    READ: "import mmap\nwith open({file!r}, 'rb') as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as mapped:\n"
          "    kept = sum(mapped[::4096])",
}


def told(code: str) -> float:
    """The number that a fresh interpreter prints last."""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return float(done.stdout.split()[-1])


def tables() -> list[Table]:
    """First use in ms, memory that stays in MB."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "form.pickle"
        subprocess.run([sys.executable, "-c", f"{BEGIN}import pickle\npickle.dump(everything(), open({str(file)!r}, 'wb'), 5)"], check=True)
        doing = {name: code.format(file=str(file)) for name, code in DOING.items()}
        times: dict[str, list[float]] = {name: [] for name in doing}
        for _ in range(ROUNDS):
            for name, code in doing.items():
                times[name].append(told(f"{BEGIN}{code}\n{END}"))
        memory = {name: told(f"{BEGIN}tracemalloc.start()\n{code}\n{MEMORY}") / 1e6 for name, code in doing.items()}
        size = file.stat().st_size / 1e6
        assert len(pickle.loads(file.read_bytes())) > 500
    rows = [
        (name, spread([each * 1000 for each in times[name]]).say(".2f" if name == READ else ".1f"),
         "1" if name == DEMAND else ratios(times[name], times[DEMAND]).say(".2f"), f"{memory[name]:.1f}")
        for name in doing
    ]
    above = (
        f"The first use in a process whose modules are loaded, {ROUNDS} rounds. {noise(times[DEMAND])} Memory is what `tracemalloc` "
        f"counts after it. The pickle is {size:.1f} MB; mapping and reading its bytes is the least that any cache file could cost.")
    return [Table("The form that questions walk", above, ("what", "median (quartiles), ms", "times one question on demand", "MB kept"), rows)]
