"""Mutations of good procedures judged by the engine and by the oracle, and a table of where the two part.

    python tests/benchmarks/agreement.py [mutations] [--seed N] [--processes N] [--rows]

The mutations are spread evenly over the good procedures of the oracle, each as a log and as a plan; the same number
and seed give the same table. ``--rows`` prints for each broken row of the oracle the rules that say it most often.
Ends with 1 where the two part.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from multiprocessing import Pool
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.rulebook.agreement.comparing import APART, BASES, Compared, mutated

from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook

BATCH = 50
EXAMPLES = 60
books: list[Rulebook] = []
"""The rulebook of this process."""


def prepare() -> None:
    """Read the rulebook once a process."""
    books.append(compile_rulebook(read_sources(builtin_rulebook())))


def batch(work: tuple[str, str, int, int]) -> list[Compared]:
    """A batch of mutations of one good procedure."""
    name, form, seed, count = work
    return list(mutated(name, form, seed, count, books[0]))


def batches(total: int, seed: int) -> Iterator[tuple[str, str, int, int]]:
    """Batches of all good procedures, each with a seed of its own."""
    each = -(-total // len(BASES))
    for number in range(-(-each // BATCH)):
        for name, form in BASES:
            yield name, form, seed * 10_000 + number, min(BATCH, each - number * BATCH)


def alike(found: Compared) -> tuple[str, ...]:
    """What makes two disagreements one: the verdict, the kind of change, the step, and who says what."""
    step = re.match(r"step \d+ ([a-z-]+)", found.words)
    theirs = " ".join(found.broken or found.unknown) or "nothing"
    ours = " ".join([*found.nonconforming, *found.unwritten, *found.undetermined]) or "nothing"
    return found.verdict, found.kind, step[1] if step else "?", theirs, ours


def table(results: Iterable[Compared]) -> Iterator[str]:
    """Each class of disagreement with its number, the bases it was seen on, and one example."""
    classes: dict[tuple[str, ...], list[Compared]] = {}
    for found in results:
        if found.verdict in APART:
            classes.setdefault(alike(found), []).append(found)
    for (verdict, kind, step, theirs, ours), group in sorted(classes.items(), key=lambda item: -len(item[1]))[
        :EXAMPLES
    ]:
        bases = sorted({found.base for found in group})
        yield f"{len(group):5} {verdict}: {step} {kind}; oracle says {theirs}, engine {ours}"
        yield f"      {bases[0]} and {len(bases) - 1} more: {group[0].words}"


def by_row(results: Iterable[Compared]) -> Iterator[str]:
    """For each row the rules that do not conform beside it, most often first."""
    seen: dict[str, Counter[str]] = {}
    for found in results:
        for row in found.broken:
            seen.setdefault(row, Counter()).update(["*", *found.nonconforming, *found.unwritten])
    for row, rules in sorted(seen.items()):
        named = [f"{rule} {count}" for rule, count in rules.most_common(6) if rule != "*"]
        yield f"{row} ({rules['*']}): {', '.join(named) or 'nothing'}"


def main() -> int:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("mutations", nargs="?", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--rows", action="store_true")
    chosen = parser.parse_args()
    with Pool(chosen.processes, prepare) as pool:
        results = [found for part in pool.imap(batch, batches(chosen.mutations, chosen.seed)) for found in part]
    counts = Counter(found.verdict for found in results)
    damaging = sum(1 for found in results if found.broken)
    print(f"{len(results)} mutations, {damaging} of them break a row of the oracle")  # noqa: T201
    for verdict, count in counts.most_common():
        print(f"{count:7} {verdict}{'  <- apart' if verdict in APART else ''}")  # noqa: T201
    print(*table(results), *(by_row(results) if chosen.rows else ()), sep="\n")  # noqa: T201
    return 1 if any(counts[verdict] for verdict in APART) else 0


if __name__ == "__main__":
    sys.exit(main())
