"""Time of a check: a whole process, a plan of 5,000 steps, and what lies before what in it.

    python tests/benchmarks/bench_check.py [--steps N] [--rules N] [--closure]

The whole process is ``ringcut check`` on the good plan of the demo, beside a bare interpreter, each the best of five.
The long plan repeats the steps of that plan, once in one line and once with groups in any order, and is judged in this
process by rules that apply to it. ``--closure`` also lets networkx build the transitive closure of the long plan's
graph, which takes a minute and more than a gigabyte. Times are wall time and, in brackets, time of the processor:
on a busy machine trust the brackets.
"""

from __future__ import annotations

import argparse
import os
import re
import resource
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter, process_time
from typing import TypeVar

import ringcut_cli
from ringcut.checking import read
from ringcut.judge.judge import judge_procedure
from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources
from ringcut.relations.order import plan_order
from ringcut.relations.procedure import Procedure
from ringcut.rulebookfiles import builtin_rulebook

PLAN = Path(ringcut_cli.__file__).parent / "demo" / "lead-opening.yaml"
GROUP = "  - any-order: [ventilate, identify-cable, check-foreign-voltage]"
TRIES = 5

T = TypeVar("T")


def tell(line: str) -> None:
    """A line of the result."""
    sys.stdout.write(line + "\n")


def timed(what: Callable[[], T]) -> tuple[T, str]:
    """A result, and its time in words."""
    wall, busy = perf_counter(), process_time()
    result = what()
    return result, f"{perf_counter() - wall:6.2f} s ({process_time() - busy:.2f})"


def best_of(command: list[str], env: dict[str, str]) -> tuple[float, float]:
    """The least wall time and processor time of a command, in seconds."""
    found = []
    for _ in range(TRIES):
        before, wall = resource.getrusage(resource.RUSAGE_CHILDREN), perf_counter()
        subprocess.run(command, capture_output=True, check=False, env=env)
        wall = perf_counter() - wall
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        found.append((wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime))
    return min(wall for wall, _ in found), min(busy for _, busy in found)


def whole_process() -> None:
    """``ringcut check`` beside a bare interpreter, with compiled modules as an installed program has them.

    The first run compiles them and fills the cache of rulebooks.
    """
    check = [sys.executable, "-m", "ringcut_cli", "check", str(PLAN)]
    with TemporaryDirectory() as folder:
        env = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
        env["PYTHONPYCACHEPREFIX"] = folder
        done = subprocess.run(check, capture_output=True, check=False, env=env)
        bare = best_of([sys.executable, "-c", "pass"], env)
        whole = best_of(check, env)
    tell(f"bare interpreter           {bare[0]:6.3f} s ({bare[1]:.3f})")
    tell(f"ringcut check, exit {done.returncode}      {whole[0]:6.3f} s ({whole[1]:.3f})")
    tell(f"above the interpreter      {whole[0] - bare[0]:6.3f} s ({whole[1] - bare[1]:.3f}); 0.35 s allowed")


def long_plan(steps: int, groups: bool) -> bytes:
    """The good plan's steps again and again, without the ids that must be unique."""
    head, body = PLAN.read_text(encoding="utf-8").split("steps:\n", 1)
    lines = [re.sub(r", id: [a-z-]+", "", line.split(" #")[0]) for line in body.splitlines() if line.strip()]
    if not groups:
        lines = [re.sub(r"- any-order: \[([a-z-]+), ([a-z-]+)\]", r"- \1\n  - \2", line) for line in lines]
    size = sum(line.startswith("  - ") for line in lines)
    repeated = "\n".join([*lines, GROUP] if groups else lines)
    return f"{head}steps:\n{chr(10).join([repeated] * (steps // size))}\n".encode()


def judged(book: Rulebook, steps: int, count: int, groups: bool) -> Procedure:
    """Read and judge the long plan; print what it took."""
    short = judge_procedure(read(PLAN.read_bytes(), PLAN.name, book), book)
    rules = [each.rule for each in short.rules if each.verdict != "not applicable"][:count]
    data = long_plan(steps, groups)
    procedure, reading = timed(lambda: read(data, "long.yaml", book))
    report, judging = timed(lambda: judge_procedure(procedure, book, rules=rules))
    kind = "groups in any order" if groups else "one line"
    tell(f"{len(procedure.occurrences)} steps, {kind}, {len(rules)} rules: {report.verdict}")
    tell(f"  read {reading}, judged {judging}; 2 s allowed")
    return procedure


def reachability(procedure: Procedure, closure: bool) -> None:
    """What lies before what: bitsets, and networkx's closure where asked for."""
    n, edges = len(procedure.occurrences), procedure.edges

    def filled() -> int:
        order = plan_order(n, edges)
        return order.after_bits(0).bit_count() + order.before_bits(n - 1).bit_count()

    _, bitsets = timed(filled)
    tell(f"reachability of {n} steps by bitsets {bitsets}")
    if closure:
        import networkx

        graph = networkx.DiGraph(edges)
        _, closed = timed(lambda: networkx.transitive_closure_dag(graph).number_of_edges())
        tell(f"reachability by networkx's closure {closed}")


def main() -> None:
    """Print all of it."""
    parser = argparse.ArgumentParser(description="Time of a check")
    parser.add_argument("--steps", type=int, default=5000)
    parser.add_argument("--rules", type=int, default=60)
    parser.add_argument("--closure", action="store_true")
    options = parser.parse_args()
    whole_process()
    book = compile_rulebook(read_sources(builtin_rulebook()))
    judged(book, options.steps, options.rules, groups=False)
    procedure = judged(book, options.steps, options.rules, groups=True)
    reachability(procedure, options.closure)


if __name__ == "__main__":
    main()
