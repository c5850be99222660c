"""Runs every seeded defect in every manner and prints, per rule, found, missed and false alarms.

    python -m sample_models.benchmark [--house NAME] [--manner NAME] [--defect NAME] [--verbose]

A defect counts as found when its rule speaks up, with the expected outcome, at the expected place. A false alarm is
a `fail` of any rule that neither the defect nor the clean house explains. All manners of one house must also say the
same. Exit status 1 if anything was missed, false or different.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from modellint import pipeline
from sample_models.generator import DEFECTS, HOUSES, MANNERS, VARIANTS, Defect, House, build, write
from sample_models.generator.schedules import write_schedules
from sample_models.generator.styles import Style, write_style

Place = tuple[str, str, str]
# rule, outcome, role of the subject, storey, end, host: what no manner of writing may change
Said = tuple[str, str, str, str, str, str]
# further ways of writing: as `semantic`, but with half of the pipe joints stated, or none
PORTS = ("ports-half", "ports-none")


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
    said: tuple[Said, ...] = ()


def checked(
    house: House, manner: str, *, schedules: bool = False, settings: Mapping[str, str] | None = None
) -> dict[str, Any]:
    """The report of a house written in a manner, with its schedules and changed settings if asked for."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{house.name}.ifc"
        if manner in PORTS:
            write_style(house, Style(manner, ports=manner.removeprefix("ports-")), path)
        else:
            write(house, manner, path)
        if schedules:
            write_schedules(house, Path(folder))
        if settings:
            rows = "".join(f"  {name}: {value}\n" for name, value in settings.items())
            with (Path(folder) / "modellint.yaml").open("a", encoding="utf-8") as project:
                project.write(f"settings:\n{rows}")
        return pipeline.check({"models": [str(path)]})


def run(defect: Defect, house_name: str, manner: str) -> Result:
    """One defect in one house and manner."""
    clean = build(house_name)
    house = defect.apply(clean)
    report = checked(house, manner, schedules=defect.needs == "schedules", settings=defect.settings)
    where = defect.where[house_name]
    mine = [row for row in report["findings"] if row["rule"] == defect.rule]
    right = [row for row in mine if row["outcome"] == defect.expect and _at(row, where, house, clean)]
    allowed = {defect.rule, *defect.also}
    false = tuple(sorted({f"{row['rule']}: {row['message']}" for row in report["findings"]
                          if row["outcome"] == "fail" and row["rule"] not in allowed}))
    said = said_of(report, house)
    if right:
        return Result(defect.name, defect.rule, house_name, manner, "found", right[0]["message"], false, said)
    if manner in defect.silent:
        return Result(defect.name, defect.rule, house_name, manner, "silent", "", false, said)
    detail = "; ".join(f"{row['outcome']} {row['message']}" for row in mine[:3]) or "the rule said nothing"
    return Result(defect.name, defect.rule, house_name, manner, "missed", detail, false, said)


def said_of(report: dict[str, Any], house: House) -> tuple[Said, ...]:
    """Rule, outcome and place of all findings, in words that no manner of writing changes."""
    pieces = {house.guid(key): key for key in house.pieces}
    rows = []
    for row in report["findings"]:
        subject, end = row["subject"], row["subject"]["end"]
        host = pieces.get(subject["global_id"], "") if end else ""
        rows.append((row["rule"], row["outcome"], subject["role"], row["place"]["storey"], end, host))
    return tuple(sorted(rows))


def different(results: Iterable[Result]) -> list[str]:
    """Where the manners of writing one house with one defect do not say the same; one line for each.

    A rule that a manner cannot carry (`Defect.silent`) is left out of the comparison with that manner.
    """
    silent = {defect.name: (defect.rule, *defect.also) for defect in DEFECTS if defect.silent}
    first: dict[tuple[str, str], Result] = {}
    lines = []
    for result in results:
        usual = first.setdefault((result.defect, result.house), result)
        skip = silent.get(result.defect, ())
        one, other = (Counter(row for row in each.said if row[0] not in skip) for each in (usual, result))
        if one != other:
            lost = "; ".join(" ".join(row) for row in sorted((one - other).elements())[:3])
            new = "; ".join(" ".join(row) for row in sorted((other - one).elements())[:3])
            lines.append(f"{result.defect}, {result.house}: {usual.manner} says [{lost}], {result.manner} says [{new}]")
    return lines


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
    parser.add_argument("--house", choices=sorted(HOUSES | VARIANTS), action="append")
    parser.add_argument("--manner", choices=[*sorted(MANNERS), *PORTS], action="append")
    parser.add_argument("--defect", action="append", default=[])
    parser.add_argument("--verbose", action="store_true", help="say what every run found")
    given = parser.parse_args(arguments)
    seeded = {house for defect in DEFECTS for house in defect.where}
    every = [house for house in HOUSES | VARIANTS if house in seeded]
    houses, manners = given.house or every, given.manner or list(MANNERS)
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
    apart = different(results)
    for text in apart:
        print(f"DIFFERENT {text}")
    print(table(results))
    wrong += len(apart) + sum((result.verdict == "missed") + len(result.false) for result in results)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
