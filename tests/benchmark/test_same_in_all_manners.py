"""The same house gives the same findings however it is written, moved, turned, renumbered or shuffled."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from modellint import pipeline
from sample_models.generator import DEFECTS, HOUSES, MANNERS, House, build, transform, write, write_together

SWAPPED = {"west": "east", "east": "west"}
# defects that leave traces in several rules and on both sides of the house
SOME = ("rod-missing", "riser-gap-42-mm", "bolt-too-far-from-end", "sheathing-missing", "offset-falls-wrong")


def report_of(house: House, manner: str, folder: Path, change: Any = None) -> dict[str, Any]:
    path = folder / "model.ifc"
    write(house, manner, path)
    if change is not None:
        path.write_text(change(path.read_text(encoding="utf-8")), encoding="utf-8")
    return pipeline.check({"models": [str(path)]})


def findings(report: dict[str, Any], house: House, *, mirrored: bool = False) -> list[tuple[Any, ...]]:
    """Rule, outcome and place of all findings, in words that no manner changes."""
    pieces = {house.guid(key): key for key in house.pieces}
    rows = []
    for row in report["findings"]:
        end = row["subject"]["end"]
        end = SWAPPED.get(end, end) if mirrored else end
        storey = row["place"]["storey"]
        host = pieces.get(row["subject"]["global_id"], "") if end else ""
        rows.append((row["rule"], row["outcome"], row["subject"]["role"], storey, end, host))
    return sorted(rows)


def without_lines(thing: Any) -> Any:
    """A report without what only says where in the text an element stands, and without the file's own facts."""
    if isinstance(thing, dict):
        return {key: without_lines(value) for key, value in thing.items() if key not in {"line", "lines", "files"}}
    return [without_lines(value) for value in thing] if isinstance(thing, list) else thing


def defective(name: str, house: str) -> House:
    defect = next(row for row in DEFECTS if row.name == name)
    return defect.apply(build(house))


@pytest.mark.parametrize("house", HOUSES)
@pytest.mark.parametrize("name", SOME)
def test_three_manners_say_the_same(name: str, house: str, tmp_path: Path) -> None:
    made = defective(name, house)
    said = [findings(report_of(made, manner, tmp_path), made) for manner in MANNERS]
    assert said[0]
    assert said[1] == said[0]
    assert said[2] == said[0]


@pytest.mark.parametrize("manner", MANNERS)
@pytest.mark.parametrize("name", SOME)
def test_moved_and_turned(name: str, manner: str, tmp_path: Path) -> None:
    made = defective(name, "two-storey")
    still = findings(report_of(made, manner, tmp_path), made)
    moved = transform.rotate(transform.move(made, (310.0, -95.5, 0.0)), 37.0)
    assert findings(report_of(moved, manner, tmp_path), moved) == still


@pytest.mark.parametrize("manner", MANNERS)
def test_mirrored_swaps_east_and_west(manner: str, tmp_path: Path) -> None:
    made = defective("rod-missing", "two-storey")
    still = findings(report_of(made, manner, tmp_path), made)
    flipped = transform.mirror(made)
    assert findings(report_of(flipped, manner, tmp_path), flipped, mirrored=True) == still


@pytest.mark.parametrize("manner", MANNERS)
@pytest.mark.parametrize("change", [transform.shuffle, transform.renumber])
def test_step_order_and_numbers_do_not_matter(manner: str, change: Any, tmp_path: Path) -> None:
    made = defective("riser-gap-42-mm", "two-storey")
    plain = report_of(made, manner, tmp_path)
    other = report_of(made, manner, tmp_path, change)
    assert without_lines(other) == without_lines(plain)


def test_several_files_say_what_one_file_says(tmp_path: Path) -> None:
    made = defective("rod-missing", "three-storey")
    alone = report_of(made, "semantic", tmp_path)
    write_together(made, tmp_path / "together")
    files = sorted(str(path) for path in (tmp_path / "together").glob("*.ifc"))
    assert len(files) == 3
    together = pipeline.check({"models": files})
    assert findings(together, made) == findings(alone, made)


def test_same_bytes_under_any_hash_seed_and_folder(tmp_path: Path) -> None:
    path = tmp_path / "house.ifc"
    write(defective("rod-missing", "two-storey"), "plain", path)
    printed = set()
    for seed, folder in (("0", tmp_path), ("1", tmp_path.parent), ("random", Path.cwd())):
        done = subprocess.run([sys.executable, "-m", "modellint.cli.main", "check", str(path), "--format", "json"],
                              cwd=folder, capture_output=True, check=False,
                              env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(Path.cwd())})
        assert done.returncode == 1, done.stderr
        printed.add(done.stdout)
    assert len(printed) == 1
    assert json.loads(printed.pop())["findings"]
