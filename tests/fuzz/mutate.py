"""Damages sample models and checks every one: `python -m tests.fuzz.mutate --count N [--seed S] [--keep FOLDER]`.

Promises that are tested: the parent never dies, no check ends in a traceback or runs past its limit, and a file
that was cut never gets a report without exit status 3. Mutants are checked in batches, one child for many; one
that kills its child, or runs past the limit there, is checked again by itself as the command would. Every so many
are given to the command itself, which must end with the same status.
"""

from __future__ import annotations

import argparse
import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from modellint.errors import ModellintError
from modellint.limits import Limits
from modellint.worker import run
from sample_models.generator import MANNERS, build, write
from tests.fuzz.damage import CUTS, DAMAGES

BATCH = 15
COMMAND_EVERY = 25
LEFT_OUT = frozenset({"joist", "rafter", "roof_tie", "blocking"})
PART_SECONDS = 30.0
ROOT = Path(__file__).resolve().parents[2]
_CUT = frozenset(damage.__name__ for damage in CUTS)


@dataclass(frozen=True)
class Mutant:
    """A damaged file."""

    number: int
    kind: str
    manner: str
    path: Path


@dataclass
class Tally:
    """What came out: (kind of damage, status) to number, and what broke a promise."""

    outcomes: Counter[tuple[str, int]] = field(default_factory=Counter)
    alone: int = 0
    commands: int = 0
    broken: list[str] = field(default_factory=list)


def bases(folder: Path) -> dict[str, bytes]:
    """A small part of the sample house in each manner: one wall stack, its foundation, the vent and the roof.

    The stack has windows and doors in one manner and none in the others, which are quicker so.
    """
    found = {}
    for manner in MANNERS:
        house = build("two-storey")
        walls = {"", "SW-1" if manner == "semantic" else "SW-5"}
        for key, piece in list(house.pieces.items()):
            if (piece.wall not in walls or piece.kind in LEFT_OUT) and key in house.pieces:
                house.remove(key)
        path = folder / f"{manner}.ifc"
        write(house, manner, path)
        found[manner] = path.read_bytes()
    return found


def mutants(count: int, seed: int, folder: Path) -> Iterator[Mutant]:
    """Damaged files, written one by one; the same for the same seed."""
    whole = bases(folder)
    for number in range(count):
        dice = random.Random(f"{seed}/{number}")
        damage = DAMAGES[number % len(DAMAGES)]
        manner = MANNERS[(number // len(DAMAGES)) % len(MANNERS)]
        path = folder / f"{number:06}-{damage.__name__}-{manner}.ifc"
        path.write_bytes(damage(whole[manner], dice))
        yield Mutant(number, damage.__name__, manner, path)


def check_batch(batch: list[Mutant], tally: Tally) -> None:
    """Check a batch in one child; those that killed it again by themselves."""
    limits = Limits(seconds=60 + PART_SECONDS * len(batch), cpu_seconds=600, part_seconds=PART_SECONDS)
    by_path = {str(mutant.path): mutant for mutant in batch}
    report = run({"mutants": list(by_path)}, limits, target="tests.fuzz.batch:check_batch")
    rows = report.get("rows", [])
    seen = {row["path"] for row in rows}
    for row in rows:
        mutant = by_path[row["path"]]
        _count(mutant, row["status"], row["reason"], row["trace"], tally)
        if mutant.number % COMMAND_EVERY == 0:
            _by_command(mutant, row["status"], tally)
    for path, mutant in by_path.items():
        if path not in seen:
            tally.alone += 1
            _count(mutant, *_by_itself(mutant), "", tally)


def _by_command(mutant: Mutant, expected: int, tally: Tally) -> None:
    """Run `modellint check`: the same status, a report and nothing else."""
    words = [sys.executable, "-m", "modellint.cli.main", "check", str(mutant.path), "--cache", "off"]
    env = {**os.environ, "PYTHONPATH": str(ROOT), "NO_COLOR": "1"}
    done = subprocess.run(words, cwd=ROOT, env=env, capture_output=True, check=False, timeout=4 * PART_SECONDS)
    tally.commands += 1
    if done.returncode != expected or b"Traceback" in done.stdout + done.stderr or b"\x1b" in done.stdout:
        said = (done.stdout + done.stderr)[-300:].decode(errors="replace")
        tally.broken.append(f"{mutant.path.name}: status {expected}, but {done.returncode} by the command: {said}")


def _by_itself(mutant: Mutant) -> tuple[int, str]:
    """Status and reason as the command gives them; -2 if it did not keep to its time."""
    start = time.monotonic()
    try:
        report: dict[str, Any] = run({"models": [mutant.path]}, Limits(seconds=2 * PART_SECONDS, part_seconds=10))
        status, reason = report["exit"]["status"], " ".join(report["exit"]["reasons"])
    except ModellintError as error:
        status, reason = error.exit_status, str(error)
    if time.monotonic() - start > 2 * PART_SECONDS + 15:
        return -2, "ran past its limit"
    return (-1, reason) if "error in modellint itself" in reason else (status, reason)


def _count(mutant: Mutant, status: int, reason: str, trace: str, tally: Tally) -> None:
    tally.outcomes[mutant.kind, status] += 1
    if status not in {0, 1, 3}:
        tally.broken.append(f"{mutant.path.name}: status {status}: {reason}\n{trace}")
    elif mutant.kind in _CUT and status != 3:
        tally.broken.append(f"{mutant.path.name}: the file was cut, and the status is {status}")


def fuzz(count: int, seed: int, folder: Path, jobs: int = 1) -> Tally:
    """Make and check mutants; files of those that kept all promises are removed."""
    tally = Tally()
    made = list(mutants(count, seed, folder))
    batches = [made[k:k + BATCH] for k in range(0, len(made), BATCH)]
    with ThreadPoolExecutor(jobs) as pool:
        list(pool.map(lambda batch: check_batch(batch, tally), batches))
    names = " ".join(tally.broken)
    for mutant in made:
        if mutant.path.name not in names:
            mutant.path.unlink()
    return tally


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--keep", type=Path, default=None, help="folder for mutants that broke a promise")
    given = parser.parse_args()
    folder = given.keep or Path(tempfile.mkdtemp(prefix="mutants-"))
    folder.mkdir(parents=True, exist_ok=True)
    start = time.monotonic()
    tally = fuzz(given.count, given.seed, folder, given.jobs)
    for damage in DAMAGES:
        kind = damage.__name__
        row = {status: number for (name, status), number in sorted(tally.outcomes.items()) if name == kind}
        print(f"{kind:24} " + "  ".join(f"status {status}: {number}" for status, number in row.items()))
    print(f"{given.count} mutants in {time.monotonic() - start:.0f} s, {tally.alone} checked by themselves, "
          f"{tally.commands} by the command too, "
          f"{len(tally.broken)} broke a promise")
    for text in sorted(tally.broken):
        print(text)
    if tally.broken:
        print(f"They are in {folder}.")
    return 1 if tally.broken else 0


if __name__ == "__main__":
    sys.exit(main())
