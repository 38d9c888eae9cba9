"""Every combination of the job facts that decide the steps, each with a draw of all other facts.

    python -m tests.benchmarks.combinations [draws] [--seed N] [--part K/N]

For each possible combination of work, sheath of both ends, construction, jacket, core, pressurized, fed, volumes and
place, ``draws`` draws of the other facts are taken. Each job is refused by the vocabulary's table, outside the
rulebook's cover, or its model procedure is judged as a plan and as a complete good log, both of which must conform with
nothing undetermined. Prints the counts and how many pairs and triples of values occurred together in some job that was
judged; ends with 1 where something is wrong.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Iterator
from itertools import combinations
from time import perf_counter

from tests.rulebook.combining import REFUSED, looked_at
from tests.rulebook.jobs import CABLE, REST, cables, drawn

from ringcut.draft.models import Job, read_models
from ringcut.language.compile import compile_rulebook
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook

FAULTS_SHOWN = 20


def jobs(draws: int, seed: int, part: int, parts: int) -> Iterator[Job]:
    """The jobs of one part of the product."""
    for number, cable in enumerate(cables()):
        if number % parts == part:
            for draw in range(draws):
                yield drawn(cable, random.Random(f"{seed} {number} {draw}"))


def values_of(job: Job) -> list[str]:
    """Each fact with its value, those of lists by what they hold."""
    return [f"{name}={job[name]}" for name in (*CABLE, *REST) if name not in ("special", "special-procedure")]


def main() -> int:
    """Run; 1 where a model does not conform."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("draws", type=int, nargs="?", default=1)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--part", default="0/1")
    given = options.parse_args()
    part, parts = map(int, given.part.split("/"))
    book = compile_rulebook(read_sources(builtin_rulebook()))
    models = read_models(builtin_rulebook(), book)
    outcomes: dict[str, int] = {}
    reasons: dict[str, int] = {}
    faults: list[str] = []
    seen: dict[int, set[tuple[str, ...]]] = {2: set(), 3: set()}
    began = perf_counter()
    for job in jobs(given.draws, given.seed, part, parts):
        outcome, why, wrong = looked_at(job, models, book)
        outcomes[outcome] = outcomes.get(outcome, 0) + 1
        for reason in why:
            reasons[reason] = reasons.get(reason, 0) + 1
        faults += [f"{fault} in {job}" for fault in wrong]
        if outcome != REFUSED:
            values = values_of(job)
            for size, found in seen.items():
                found.update(combinations(values, size))
    said = [f"{count:6} {outcome}" for outcome, count in sorted(outcomes.items())]
    said += [f"{count:6} {reason}" for reason, count in sorted(reasons.items(), key=lambda item: -item[1])]
    said += [f"{len(found):6} different sets of {size} values judged together" for size, found in seen.items()]
    said += [f"{len(faults):6} faults in {perf_counter() - began:.0f} s", *faults[:FAULTS_SHOWN]]
    sys.stdout.write("\n".join(said) + "\n")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
