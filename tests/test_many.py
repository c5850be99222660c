"""Many models in one run: the order is the models', one broken model stops no other, the sums are right."""

from __future__ import annotations

import json
import threading
import time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from modellint import many
from modellint.cache import Cache
from modellint.cli.main import cli
from modellint.errors import ModelUnreadable, UsageProblem
from modellint.limits import Limits
from modellint.many import check_all, expand, is_many, summary_of
from tests.ifc.small_models import Writer


def small(folder: Path, name: str, wall: str = "Shear wall SW-1") -> Path:
    w = Writer()
    w.element("IfcWall", w.body(w.extruded(w.rectangle(3000, 140), 2400)), None, wall, guid="0000000000000000000001")
    return w.save(folder, name)


@pytest.fixture
def lots(tmp_path: Path) -> Path:
    folder = tmp_path / "lots"
    (folder / "b").mkdir(parents=True)
    (folder / ".hidden").mkdir()
    small(folder, "c.ifc")
    small(folder / "b", "a.IFC")
    small(folder, "plain.ifc", "Partition")
    (folder / "cut.ifc").write_bytes((folder / "c.ifc").read_bytes()[:900])
    (folder / ".hidden" / "x.ifc").write_text("")
    (folder / "notes.txt").write_text("")
    return folder


def names(paths: list[Path], folder: Path) -> list[str]:
    return [path.relative_to(folder).as_posix() for path in paths]


def test_folders_and_globs_name_models_once_and_sorted(lots: Path) -> None:
    assert names(expand([lots]), lots) == ["b/a.IFC", "c.ifc", "cut.ifc", "plain.ifc"]
    assert names(expand([lots / "c*.ifc", lots]), lots) == ["c.ifc", "cut.ifc", "b/a.IFC", "plain.ifc"]
    assert names(expand([lots / "**" / "*.IFC"]), lots) == ["b/a.IFC"]
    assert expand([lots / "none.ifc"]) == [lots / "none.ifc"]
    (lots.parent / "empty").mkdir()
    for empty in (lots / "*.zip", lots.parent / "empty"):
        with pytest.raises(UsageProblem, match="holds no model"):
            expand([empty])
    assert is_many([lots])
    assert is_many([lots / "*.ifc"])
    assert is_many([lots / "c.ifc", lots / "c.ifc"])
    assert not is_many([lots / "c.ifc"])


def test_one_broken_model_stops_no_other(lots: Path) -> None:
    (lots / "b" / "modellint.yaml").write_text("unts: us\n")
    done = CliRunner().invoke(cli, ["check", str(lots), "--format", "json"])
    plain = json.loads(done.output)
    rows = {row["model"].rsplit("/lots/")[-1]: row for row in plain["models"]}
    assert list(rows) == ["b/a.IFC", "c.ifc", "cut.ifc", "plain.ifc"]
    assert [row["status"] for row in rows.values()] == [2, rows["c.ifc"]["status"], 3, 3]
    assert rows["c.ifc"]["status"] in {0, 1}
    assert "The key 'unts' is not known" in rows["b/a.IFC"]["reasons"][0]
    assert rows["b/a.IFC"]["summary"] is None
    assert plain["summary"]["models"] == 4
    assert plain["summary"]["by_status"]["3"] == 2
    counted = [row["summary"] for row in rows.values() if row["summary"]]
    assert plain["summary"]["open"] == sum(row["open"] for row in counted)
    assert done.exit_code == plain["exit"]["status"] == 3


def test_text_names_every_model_and_the_totals(lots: Path) -> None:
    done = CliRunner().invoke(cli, ["check", str(lots)])
    for word in ("b/a.IFC", "cut.ifc", "IN TOTAL", "4 MODELS", "3  incomplete"):
        assert word in done.output
    again = CliRunner().invoke(cli, ["check", str(lots), "--jobs", "1"])
    assert again.output == done.output


def test_each_model_is_written_into_the_folder(lots: Path, tmp_path: Path) -> None:
    target = tmp_path / "reports"
    CliRunner().invoke(cli, ["check", str(lots), "--write", f"json={target}", "--write", f"junit={target}"])
    assert len(list(target.glob("*.json"))) == 4
    assert len(list(target.glob("*.xml"))) == 4
    single = json.loads(CliRunner().invoke(cli, ["check", str(lots / "c.ifc"), "--format", "json"]).output)
    written = [json.loads(path.read_bytes()) for path in sorted(target.glob("*.json"))]
    assert single in written


@pytest.mark.parametrize("arguments", [["--format", "sarif"], ["--write", "json=FILE"], ["--baseline", "x.json"]])
def test_wrong_usage(lots: Path, arguments: list[str]) -> None:
    (lots / "FILE").write_text("")
    given = [word.replace("FILE", str(lots / "FILE")) for word in arguments]
    assert CliRunner().invoke(cli, ["check", str(lots), *given], standalone_mode=True).exit_code in {1, 2}


def fake(seconds: dict[str, float], fails: tuple[str, ...] = ()) -> Any:
    def run(request: dict[str, Any], limits: Limits, stop: threading.Event | None = None) -> dict[str, Any]:
        name = request["models"][0].name
        end = time.monotonic() + seconds.get(name, 0.0)
        while time.monotonic() < end:
            if stop is not None and stop.is_set():
                raise KeyboardInterrupt
            time.sleep(0.005)
        if name in fails:
            raise ModelUnreadable(f"{name} is cut")
        finding = {"rule": "r", "outcome": "fail", "due": True, "accepted": None}
        counts = dict.fromkeys(("fail", "open", "pass", "notApplicable", "accepted", "later"), 1)
        return {"findings": [finding, finding], "summary": counts, "model": {"files": []}, "input_notes": [],
                "today": None, "exit": {"status": 1, "reasons": ["a fail"]}}
    return run


def test_the_order_is_the_models_not_the_clocks(monkeypatch: pytest.MonkeyPatch) -> None:
    paths = [Path(f"{k}.ifc") for k in range(6)]
    monkeypatch.setattr(many, "run", fake({"0.ifc": 0.2, "3.ifc": 0.1}, ("2.ifc",)))
    told: list[tuple[int, int]] = []
    rows = check_all(paths, {}, Limits(), jobs=3, tell=lambda done, number, _: told.append((done, number)))
    assert [row.name for row in rows] == [path.name for path in paths]
    assert told == [(k, 6) for k in range(1, 7)]
    plain = summary_of(rows)
    assert [row["status"] for row in plain["models"]] == [1, 1, 3, 1, 1, 1]
    assert plain["rules"] == {"r": {"fail": 10, "open": 0, "models": 5}}
    assert plain["summary"]["fail"] == 5


def test_an_interruption_stops_the_children(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(many, "run", fake({"slow.ifc": 30.0}))

    def interrupt(done: int, number: int, name: str) -> None:
        raise KeyboardInterrupt

    start = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        check_all([Path("quick.ifc"), Path("slow.ifc")], {}, Limits(), jobs=2, tell=interrupt)
    assert time.monotonic() - start < 25  # the slow one was not waited for


def test_a_second_run_answers_from_the_cache(lots: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = Cache(tmp_path / "kept")
    request = {"project": None, "today": "2026-11-25"}
    first = check_all(expand([lots]), request, Limits(), cache=kept)
    monkeypatch.setattr(many, "run", fake({}, ("cut.ifc",)))
    second = check_all(expand([lots]), request, Limits(), cache=kept)
    assert [row.kept for row in second] == [True, True, False, True]
    assert [row.report for row in second if row.kept] == [row.report for row in first if row.name[-7:] != "cut.ifc"]
