"""Runs every seeded defect in every manner and prints, per rule, found, missed and false alarms.

    python -m sample_models.benchmark [--house NAME] [--manner NAME] [--defect NAME] [--verbose]

A defect counts as found when its rule speaks up, with the expected outcome, at the expected place. A false alarm is
a `fail` of any rule that neither the defect nor the clean house explains. Exit status 1 if anything was missed or
false.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from modellint import pipeline
from sample_models.generator import DEFECTS, HOUSES, MANNERS, Defect, House, build, write
from sample_models.generator.schedules import write_schedules

Place = tuple[str, str, str]


@dataclass(frozen=True)
class Result:
    """What one run of one defect showed."""

    defect: str
    rule: str
    house: str
    manner: str
    verdict: str
    detail: str = ""
    false: tuple[str, ...] = ()


def checked(house: House, manner: str, *, schedules: bool = False) -> dict[str, Any]:
    """The report of a house written in a manner."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{house.name}.ifc"
        write(house, manner, path)
        if schedules:
            write_schedules(house, Path(folder))
        return pipeline.check({"models": [str(path)]})


def run(defect: Defect, house_name: str, manner: str) -> Result:
    """One defect in one house and manner."""
    clean = build(house_name)
    house = defect.apply(clean)
    report = checked(house, manner, schedules=defect.needs == "schedules")
    where = defect.where[house_name]
    mine = [row for row in report["findings"] if row["rule"] == defect.rule]
    right = [row for row in mine if row["outcome"] == defect.expect and _at(row, where, house, clean)]
    allowed = {defect.rule, *defect.also}
    false = tuple(sorted({f"{row['rule']}: {row['message']}" for row in report["findings"]
                          if row["outcome"] == "fail" and row["rule"] not in allowed}))
    if right:
        return Result(defect.name, defect.rule, house_name, manner, "found", right[0]["message"], false)
    if manner in defect.silent:
        return Result(defect.name, defect.rule, house_name, manner, "silent", "", false)
    detail = "; ".join(f"{row['outcome']} {row['message']}" for row in mine[:3]) or "the rule said nothing"
    return Result(defect.name, defect.rule, house_name, manner, "missed", detail, false)


def _at(finding: dict[str, Any], where: Any, house: House, clean: House) -> bool:
    """Whether a finding names the expected place: an element of it, or its wall, storey and end."""
    guids = {house.guid(key) if key in house.pieces else clean.guid(key) for key in (*where.pieces, where.host) if key}
    named = {*finding["elements"], *(row["global_id"] for row in finding["evidence"]),
             finding["subject"]["global_id"]}
    if guids & named:
        return True
    if finding["subject"]["role"] == "building" and not where.wall:
        return True
    text = f"{finding['subject']['name']} {finding['place']['text']} {finding['message']}"
    words = [word for word in (where.wall, where.storey, where.end) if word]
    return bool(words) and all(word in text for word in words)


def _one(job: tuple[str, str, str]) -> Result:
    name, house, manner = job
    return run(next(defect for defect in DEFECTS if defect.name == name), house, manner)


def clean_fails(house_name: str, manner: str) -> list[str]:
    """Fails on the clean house, of which there must be none."""
    report = checked(build(house_name), manner)
    return [f"{row['rule']}: {row['message']}" for row in report["findings"] if row["outcome"] == "fail"]


def jobs(houses: Iterable[str], manners: Iterable[str], names: Iterable[str] = ()) -> Iterator[tuple[str, str, str]]:
    """All (defect, house, manner) of a run."""
    wanted = set(names)
    for defect in DEFECTS:
        if wanted and defect.name not in wanted:
            continue
        for house in houses:
            if house in defect.where:
                yield from ((defect.name, house, manner) for manner in manners)


def table(results: Iterable[Result]) -> str:
    """Found, missed and false alarms per rule."""
    rows: dict[str, list[int]] = {}
    for result in results:
        row = rows.setdefault(result.rule, [0, 0, 0, 0])
        row[("found", "missed", "silent").index(result.verdict)] += 1
        row[3] += len(result.false)
    lines = [f"{'rule':34} {'found':>6} {'missed':>7} {'silent':>7} {'false alarms':>13}"]
    lines += [f"{rule:34} {row[0]:>6} {row[1]:>7} {row[2]:>7} {row[3]:>13}" for rule, row in sorted(rows.items())]
    total = [sum(row[k] for row in rows.values()) for k in range(4)]
    lines.append(f"{'all':34} {total[0]:>6} {total[1]:>7} {total[2]:>7} {total[3]:>13}")
    return "\n".join(lines)


def main(arguments: list[str] | None = None) -> int:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--house", choices=sorted(HOUSES), action="append")
    parser.add_argument("--manner", choices=sorted(MANNERS), action="append")
    parser.add_argument("--defect", action="append", default=[])
    parser.add_argument("--verbose", action="store_true", help="say what every run found")
    given = parser.parse_args(arguments)
    houses, manners = given.house or list(HOUSES), given.manner or list(MANNERS)
    wrong = 0
    for house in houses:
        for manner in manners:
            for text in clean_fails(house, manner):
                wrong += 1
                print(f"FALSE ALARM on the clean {house} in manner {manner}: {text}")
    with ProcessPoolExecutor(2) as pool:
        results = list(pool.map(_one, jobs(houses, manners, given.defect), chunksize=4))
    for result in results:
        head = f"{result.defect}, {result.house}, {result.manner}"
        if result.verdict == "missed":
            print(f"MISSED {head} ({result.rule}): {result.detail}")
        elif given.verbose:
            print(f"{result.verdict} {head}: {result.detail}")
        for text in result.false:
            print(f"FALSE ALARM {head}: {text}")
    print(table(results))
    wrong += sum(result.verdict == "missed" for result in results) + sum(len(result.false) for result in results)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
