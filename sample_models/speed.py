"""Measures a whole check against the bare strict open of the same file, interleaved in the same run.

    python -m sample_models.speed [--houses 1 5 25] [--rounds 5]

Prints a table in Markdown: wall clock of `ifcopenshell.open` and of `modellint check`, medians over the rounds, their
ratio, the peak of the summed proportional set size of all processes, and the exponent of growth between the sizes.
Results are kept in docs/performance.md.
"""

from __future__ import annotations

import argparse
import math
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from itertools import pairwise
from pathlib import Path

from sample_models.street import street

OPEN = ("import sys, time, ifcopenshell; t = time.perf_counter(); ifcopenshell.open(sys.argv[1]); "
        "print(time.perf_counter() - t)")


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


def measured(command: list[str]) -> tuple[float, int, str]:
    """Wall seconds, peak memory in bytes and standard output of a command."""
    start = time.perf_counter()
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as child:
        peak, done = 0, threading.Event()

        def watch() -> None:
            nonlocal peak
            while not done.wait(0.05):
                peak = max(peak, tree_pss(child.pid))

        watcher = threading.Thread(target=watch)
        watcher.start()
        out = child.stdout.read() if child.stdout else ""
        child.wait()
        seconds = time.perf_counter() - start
        done.set()
        watcher.join()
    return seconds, peak, out


def comparison(rounds: int) -> None:
    """Print what comparing two revisions costs against one check of the later one, medians of interleaved runs."""
    with tempfile.TemporaryDirectory() as folder:
        pair = [Path(folder) / "before.ifc", Path(folder) / "after.ifc"]
        for path in pair:
            street(1, path)
        tool = [sys.executable, "-m", "modellint.cli.main"]
        once, both = [], []
        for _ in range(rounds):
            once.append(measured([*tool, "check", str(pair[1]), "--cache", "off"])[0])
            both.append(measured([*tool, "compare", *map(str, pair)])[0])
    a, b = statistics.median(once), statistics.median(both)
    print(f"\nOne house: check {a:.2f} s, comparison {b:.2f} s, {b / a:.2f} times.")


def main(arguments: list[str] | None = None) -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--houses", type=int, nargs="+", default=[1, 5, 25])
    parser.add_argument("--rounds", type=int, default=5)
    given = parser.parse_args(arguments)
    print("| houses | instances | MB | open s | check s | ratio | memory, open MB | memory, check MB |")
    print("|---|---|---|---|---|---|---|---|")
    checks: list[tuple[int, float]] = []
    with tempfile.TemporaryDirectory() as folder:
        for houses in given.houses:
            path = Path(folder) / f"street-{houses}.ifc"
            instances = street(houses, path)
            opens, whole, memory = [], [], [0, 0]
            for _ in range(given.rounds):
                _, peak, out = measured([sys.executable, "-c", OPEN, str(path)])
                opens.append(float(out))
                memory[0] = max(memory[0], peak)
                seconds, peak, _ = measured([sys.executable, "-m", "modellint.cli.main", "check", str(path),
                                             "--format", "json", "--cache", "off"])
                whole.append(seconds)
                memory[1] = max(memory[1], peak)
            a, b = statistics.median(opens), statistics.median(whole)
            checks.append((houses, b))
            print(f"| {houses} | {instances:,} | {path.stat().st_size / 1e6:.1f} | {a:.2f} | {b:.2f} | {b / a:.1f} | "
                  f"{memory[0] / 1e6:.0f} | {memory[1] / 1e6:.0f} |", flush=True)
    for (few, quick), (many, slow) in pairwise(checks):
        print(f"\nGrowth from {few} to {many} houses: exponent {math.log(slow / quick) / math.log(many / few):.2f}.")
    comparison(given.rounds)


if __name__ == "__main__":
    main()
