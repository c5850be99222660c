"""Many models in one run: found in folders and by globs, checked side by side, summed up in one place.

Each model is a check of its own in a child process of its own, with its own project file. One that cannot be read,
or whose project file is wrong, is a row like the others. Rows come in the order of the models, not of the clock.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import modellint
from modellint.cache import Cache
from modellint.errors import ModellintError
from modellint.limits import Limits
from modellint.model_paths import expand as expand
from modellint.model_paths import is_many as is_many
from modellint.worker import run

FORMAT = 1
_COUNTS = ("fail", "open", "pass", "notApplicable", "accepted", "later")
Tell = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Checked:
    """One model of the run: its report, or the sentence that says why there is none (with its exit status)."""

    name: str
    path: Path
    report: dict[str, Any] | None = None
    problem: str = ""
    status: int = 0
    kept: bool = False


def check_all(models: Sequence[Path], request: Mapping[str, Any], limits: Limits, *, jobs: int = 0,
              cache: Cache | None = None, tell: Tell | None = None) -> list[Checked]:
    """Check models side by side; rows in the order of the models.

    Args:
        models: paths, as `expand` gives them.
        request: options of a check without `models`.
        limits: of each check.
        jobs: how many at a time; 0 for the machine's cores.
        cache: where results of earlier checks are kept, None for nowhere.
        tell: is called with the number done, the number of all and the name of the model just done.

    Raises:
        KeyboardInterrupt: after every child was killed.
    """
    stop = threading.Event()
    rows: dict[int, Checked] = {}
    at_once = max(1, min(jobs or os.cpu_count() or 1, len(models)))
    with ThreadPoolExecutor(at_once) as pool:
        waiting: dict[Future[Checked], int] = {
            pool.submit(check_one, path, request, limits, cache, stop): k for k, path in enumerate(models)}
        try:
            while waiting:
                done, _ = wait(waiting, timeout=1.0, return_when=FIRST_COMPLETED)
                for future in sorted(done, key=lambda one: waiting[one]):
                    k = waiting.pop(future)
                    rows[k] = future.result()
                    if tell is not None:
                        tell(len(rows), len(models), rows[k].name)
        except BaseException:
            stop.set()
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return [rows[k] for k in sorted(rows)]


def check_one(path: Path, request: Mapping[str, Any], limits: Limits, cache: Cache | None = None,
              stop: threading.Event | None = None) -> Checked:
    """Check one model of several: its report, or why there is none."""
    name, order = shown_name(path), {**request, "models": [path]}
    key = cache.key(order) if cache is not None else ""
    report = cache.get(key, order) if cache is not None else None
    if report is not None:
        return Checked(name, path, report, status=report["exit"]["status"], kept=True)
    try:
        report = run(order, limits, stop=stop)
    except ModellintError as error:
        return Checked(name, path, problem=str(error), status=error.exit_status)
    if cache is not None:
        cache.put(key, order, report)
    return Checked(name, path, report, status=report["exit"]["status"])


def shown_name(path: Path) -> str:
    """Path below the working folder where it lies below it, else as given."""
    relative = os.path.relpath(path) if path.is_absolute() else str(path)
    inside = not relative.startswith(os.pardir) and not Path(relative).is_absolute()
    return Path(relative).as_posix() if inside else path.as_posix()


def summary_of(rows: Sequence[Checked]) -> dict[str, Any]:
    """The merged summary as plain data: one row per model, and the total.

    The exit status is the highest of all models: 3 outranks 2, which outranks 1.
    """
    models = [_row(row) for row in rows]
    total = {name: sum(row["summary"][name] for row in models if row["summary"]) for name in _COUNTS}
    rules: dict[str, dict[str, int]] = {}
    for row in rows:
        for finding in row.report["findings"] if row.report is not None else ():
            if finding["due"] and finding["accepted"] is None:
                counts = rules.setdefault(finding["rule"], {"fail": 0, "open": 0, "models": 0})
                counts[finding["outcome"]] += 1
        for name in {f["rule"] for f in row.report["findings"] if f["outcome"] == "fail" and f["due"]
                     and f["accepted"] is None} if row.report is not None else ():
            rules[name]["models"] += 1
    status = max((row["status"] for row in models), default=0)
    by_status = {str(value): sum(row["status"] == value for row in models) for value in (0, 1, 2, 3)}
    return {"format": FORMAT, "tool": {"name": "modellint", "version": modellint.__version__},
            "models": models, "rules": dict(sorted(rules.items())),
            "summary": {"models": len(models), **total, "by_status": by_status}, "exit": {"status": status}}


def _row(row: Checked) -> dict[str, Any]:
    report = row.report
    if report is None:
        return {"model": row.name, "status": row.status, "reasons": [row.problem], "summary": None, "sha256": []}
    return {"model": row.name, "status": row.status, "reasons": report["exit"]["reasons"],
            "summary": report["summary"], "sha256": [file["sha256"] for file in report["model"]["files"]]}
