"""Measures a whole check against the bare strict open of the same file, interleaved in the same run.

    python -m sample_models.speed [--houses 1 5 25] [--rounds 5] [--links stated] [--jobs N]

Prints a table in Markdown: wall clock of `ifcopenshell.open` and of `modellint check`, medians over the rounds, their
ratio, the same of processor seconds (which other work on the machine disturbs less), the peak of the summed
proportional set size of all processes, and the exponent of growth between the sizes; then what a cold start costs,
against one of Python that imports the library and opens the file. Results are kept in docs/performance.md.
"""

from __future__ import annotations

import argparse
import math
import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from sample_models.street import street

OPEN = ("import sys, time, ifcopenshell; t, c = time.perf_counter(), time.process_time(); "
        "ifcopenshell.open(sys.argv[1]); print(time.perf_counter() - t, time.process_time() - c)")


@dataclass(frozen=True)
class Run:
    """One run of a command: wall and processor seconds, peak memory of all its processes in bytes, its output."""

    seconds: float
    processor: float
    memory: int
    output: str


def tree_pss(pid: int) -> int:
    """Summed proportional set size of a process and its descendants, bytes; 0 where the system does not tell."""
    total = 0
    try:
        rollup = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii")
        total += next(int(line.split()[1]) * 1024 for line in rollup.splitlines() if line.startswith("Pss:"))
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()
    except (OSError, StopIteration):
        return total
    return total + sum(tree_pss(int(child)) for child in children)


def measured(command: list[str]) -> Run:
    """Run a command and watch it."""
    start = time.perf_counter()
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as child:
        peak, done = 0, threading.Event()

        def watch() -> None:
            nonlocal peak
            pause = 0.05
            while not done.wait(pause):
                start = time.perf_counter()
                peak = max(peak, tree_pss(child.pid))
                # counting the pages of a large process stops it meanwhile, so it is left alone in between
                pause = min(max(0.05, 20 * (time.perf_counter() - start)), 2.0)

        watcher = threading.Thread(target=watch)
        watcher.start()
        out = child.stdout.read() if child.stdout else ""
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode not in {0, 1}:
            raise SystemExit(f"{' '.join(command)} ended with status {child.returncode}.")
        seconds = time.perf_counter() - start
        done.set()
        watcher.join()
    return Run(seconds, used.ru_utime + used.ru_stime, peak, out)


def comparison(rounds: int) -> None:
    """Print what comparing two revisions costs against one check of the later one, medians of interleaved runs."""
    with tempfile.TemporaryDirectory() as folder:
        pair = [Path(folder) / "before.ifc", Path(folder) / "after.ifc"]
        for path in pair:
            street(1, path)
        tool = [sys.executable, "-m", "modellint.cli.main"]
        once, both = [], []
        for _ in range(rounds):
            once.append(measured([*tool, "check", str(pair[1]), "--cache", "off"]).seconds)
            both.append(measured([*tool, "compare", *map(str, pair)]).seconds)
    a, b = statistics.median(once), statistics.median(both)
    print(f"\nOne house: check {a:.2f} s, comparison {b:.2f} s, {b / a:.2f} times.")


def main(arguments: list[str] | None = None) -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--houses", type=int, nargs="+", default=[1, 5, 25])
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--links", choices=("stated", "inferred"), default="stated")
    parser.add_argument("--jobs", type=int, default=None, help="processes of a check [default: the cores]")
    given = parser.parse_args(arguments)
    print("| houses | instances | MB | open s | check s | ratio | open, processor s | check, processor s | ratio "
          "| memory, open MB | memory, check MB | ratio |")
    print("|---|---|---|---|---|---|---|---|---|---|---|---|")
    checks: list[tuple[int, float, float]] = []
    jobs = [] if given.jobs is None else ["--jobs", str(given.jobs)]
    for houses in given.houses:
        checks.append((houses, *row(houses, given.rounds, given.links, jobs)))
    for (few, *quick), (many, *slow) in [*pairwise(checks), *([(checks[0], checks[-1])] if len(checks) > 2 else [])]:
        wall, processor = (math.log(b / a) / math.log(many / few) for a, b in zip(quick, slow, strict=True))
        print(f"\nGrowth from {few} to {many} houses: exponent {wall:.2f}, of processor seconds {processor:.2f}.")
    comparison(given.rounds)


def row(houses: int, rounds: int, links: str, jobs: list[str]) -> tuple[float, float]:
    """Measure one size and print its row; gives wall and processor seconds of a check."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"street-{houses}.ifc"
        instances, size = street(houses, path, links), path.stat().st_size / 1e6
        opens, checks = [], []
        for _ in range(rounds):
            opens.append(measured([sys.executable, "-c", OPEN, str(path)]))
            checks.append(measured([sys.executable, "-m", "modellint.cli.main", "check", str(path),
                                    "--format", "json", "--cache", "off", "--memory", "16GB", "--seconds", "3600",
                                    *jobs]))
        bare = [[float(word) for word in run.output.split()] for run in opens]
    a, c = (statistics.median(values) for values in zip(*bare, strict=True))
    b, d = (statistics.median(values) for values in ([run.seconds for run in checks],
                                                     [run.processor for run in checks]))
    low, high = max(run.memory for run in opens), max(run.memory for run in checks)
    print(f"| {houses} | {instances:,} | {size:.1f} | {a:.2f} | {b:.2f} | {b / a:.1f} | {c:.2f} | {d:.2f} "
          f"| {d / c:.1f} | {low / 1e6:.0f} | {high / 1e6:.0f} | {high / low:.1f} |", flush=True)
    if houses == 1:
        start = statistics.median(run.seconds for run in opens)
        used = statistics.median(run.processor for run in opens)
        print(f"\nCold start, one house: import and open {start:.2f} s, check {b:.2f} s, {b / start:.1f} times; "
              f"processor seconds {used:.2f} and {d:.2f}, {d / used:.1f} times.\n", flush=True)
    return b, d


if __name__ == "__main__":
    main()
