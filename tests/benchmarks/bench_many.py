"""Time of counting very many logs, beside the parse of the same file alone, and the agreement of its two ways.

    python tests/benchmarks/bench_many.py [--logs N] [--seed N] [--workers N]
    python tests/benchmarks/bench_many.py --agree N [--seed N]

The logs are those of ``manylogs``, 40 steps on average, written as JSON Lines to a temporary file; they are judged by
all rules of the built-in rulebook. "learning" is the first time over the file, in a process that has met no log;
"known" is any later time in the same process. Times of one process are time of the processor, the best of five for
the parses and for what is known: trust the ratios. With more workers the time of the wall counts, from the first
stretch that is done, so that the start of the processes is not in it. ``--agree`` judges unlikely logs and their
siblings in both ways and ends with 1 where they part.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter, process_time
from typing import Any

import msgspec

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.manylogs import write
from tests.bulk.adversarial import families
from tests.bulk.comparing import differences

from ringcut.archive.counting import AT_ONCE, Counter, stretches
from ringcut.archive.counts import Adding
from ringcut.archive.crowd import counted
from ringcut.archive.work import Settings
from ringcut.bulk.judging import Bulk
from ringcut.language.compile import compile_rulebook
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook

AS_OF = "2026-12-01"


def tell(line: str) -> None:
    """A line of the result."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def parsed(path: Path, parse: Callable[[bytes], Any]) -> float:
    """Seconds of the processor to parse every line of a file, the best of five."""
    found = []
    for _ in range(5):
        began = process_time()
        with path.open("rb", buffering=AT_ONCE) as stream:
            for line in stream:
                parse(line)
        found.append(process_time() - began)
    return min(found)


def once(path: Path, settings: Settings, counter: Counter) -> tuple[float, Adding]:
    """Seconds of the processor to count a file in this process, and the counts."""
    adding, began = Adding(), process_time()
    for work, found in counted(stretches([(path, path.name)]), settings, 1, counter):
        adding.add(found, work.name)
    return process_time() - began, adding


def spread(path: Path, settings: Settings, workers: int, counter: Counter) -> float:
    """Logs a second by the wall, between the first stretch that is done and the last."""
    began, logs, first = 0.0, 0, True
    for _, found in counted(stretches([(path, path.name)]), settings, workers, counter):
        if first:
            began, first = perf_counter(), False
        else:
            logs += found.logs
    return logs / (perf_counter() - began)


def megabytes() -> float:
    """The most memory that this process has held."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def timed(count: int, seed: int, workers: int) -> None:
    """Print the times."""
    settings = Settings(builtin_rulebook(), AS_OF)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "logs.jsonl"
        write(path, count, seed)
        size = path.stat().st_size
        tell(f"{count:,} logs, {size / count:,.0f} bytes each")
        base = parsed(path, json.loads)
        tell(f"json, parse alone      {base / count * 1e6:7.1f} us a log  1.00")
        other = parsed(path, msgspec.json.decode)
        tell(f"msgspec, parse alone   {other / count * 1e6:7.1f} us a log  {other / base:.2f}")
        counter = Counter(settings)
        before = megabytes()
        for name, times in (("learning", 1), ("known", 5)):
            seconds, adding = min((once(path, settings, counter) for _ in range(times)), key=lambda each: each[0])
            told = f"{seconds / count * 1e6:7.1f} us a log  {seconds / base:.2f}  {count / seconds:9,.0f} logs a second"
            tell(f"counts, {name:14} {told}")
        tell(f"{adding.in_bulk:,} of {adding.logs:,} in bulk; {before:.0f} MB before, {megabytes():.0f} MB at most")
        if workers > 1:
            one, several = (spread(path, settings, number, Counter(settings)) for number in (1, workers))
            told = f"with {workers} processes {several:,.0f}, {several / one:.2f} times"
            tell(f"by the wall {one:,.0f} logs a second, {told}")
            tell(f"processors: {os.cpu_count()}, load {os.getloadavg()[0]:.1f}")


def agreed(count: int, seed: int) -> bool:
    """Print where the two ways part."""
    book = compile_rulebook(read_sources(builtin_rulebook()))
    bulk, looked, left, parted = Bulk(book), 0, 0, 0
    for line in families(count // 4, seed):
        found = differences(line, bulk, book)
        looked += 1
        left += found is None
        if found:
            parted += 1
            tell(f"{line.decode()}\n  {'; '.join(found)}")
    tell(f"{looked:,} logs: {looked - left:,} judged in both ways, {parted} of them apart; {left:,} left to one way")
    return not parted


def main() -> int:
    """The benchmark."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--logs", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--agree", type=int, default=0)
    asked = parser.parse_args()
    if asked.agree:
        return 0 if agreed(asked.agree, asked.seed) else 1
    timed(asked.logs, asked.seed, asked.workers)
    return 0


if __name__ == "__main__":
    sys.exit(main())
