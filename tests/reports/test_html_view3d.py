"""The 3-D view of the HTML page: shapes equal to the kernel's, its data, policy, caps, and hostile strings."""

from __future__ import annotations

import base64
import copy
import hashlib
import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest
from click.testing import CliRunner

from modellint.cli.check import check
from modellint.drawings import scene_shapes
from modellint.graph.house import House
from modellint.ifc.model import Element, Model
from modellint.ifc.solid import Box, Solid
from modellint.reports import html_view3d
from modellint.reports.html import render
from modellint.roles.part import Part, Rung
from tests.drawn import seeded, seeded_in_3d
from tests.reports.plain_reports import ATTACKS, plain
from tests.reports.test_html import HARMLESS, Page

ROOT = Path(__file__).parents[2]
ASSETS = ROOT / "modellint" / "reports" / "assets"


@pytest.fixture(scope="module")
def page() -> str:
    return render(seeded_in_3d())


def _data(page: str) -> dict[str, Any]:
    found = re.search(r'<script type="application/json" id="v3-data">(.*?)</script>', page, re.DOTALL)
    assert found
    return json.loads(found[1])


def _points(solid: dict[str, Any]) -> np.ndarray:
    """Outermost points of a solid in metres; for a tube its axis widened square to it."""
    if "vertices" in solid:
        return np.reshape(solid["vertices"], (-1, 3)) / 1000
    if "outline" in solid:
        outline = np.reshape(solid["outline"], (-1, 3))
        return np.vstack([outline, outline + np.array(solid["sweep"])]) / 1000
    axis = np.reshape(solid["axis"], (-1, 3)) / 1000
    ways = np.diff(axis, axis=0)
    reach = np.max(np.sqrt(1 - (ways / np.linalg.norm(ways, axis=1)[:, None]) ** 2), axis=0) * solid["radius"] / 1000
    return np.vstack([axis - reach, axis + reach])


def test_shapes_lie_where_the_native_kernel_puts_them() -> None:
    """World boxes against IfcOpenShell's own geometry kernel, an independent reading of the same file."""
    geom = pytest.importorskip("ifcopenshell.geom")
    import ifcopenshell

    model = ifcopenshell.open(str(ROOT / "sample_models" / "three-storey" / "semantic.ifc"))
    settings = geom.settings()
    settings.set("use-world-coords", True)
    report = seeded_in_3d()
    origin = np.array(report["model"]["origin"])
    groups = {"Framing", "Walls and sheathing", "Foundation and gravel", "Windows and doors"}
    rows = [part for part in report["shapes"][0]["parts"] if part["group"] in groups]
    compared = 0
    for part in rows[::25]:
        element = model.by_guid(part["id"])
        shown = element.Representation.Representations if element.Representation else ()
        if not any(row.RepresentationIdentifier == "Body" for row in shown):
            continue
        vertices = np.reshape(geom.create_shape(settings, element).geometry.verts, (-1, 3))
        ours = np.vstack([_points(solid) for solid in part["solids"]]) + origin
        assert ours.min(axis=0) == pytest.approx(vertices.min(axis=0), abs=0.002), part["name"]
        assert ours.max(axis=0) == pytest.approx(vertices.max(axis=0), abs=0.002), part["name"]
        compared += 1
    assert compared > 30


def test_a_report_with_shapes_fits_its_schema_and_one_without_is_as_before() -> None:
    schema = json.loads((ROOT / "docs" / "report.schema.json").read_text("utf-8"))
    shape = seeded_in_3d()["shapes"][0]
    meshes = [part for part in shape["parts"] if any("vertices" in solid for solid in part["solids"])]
    some = [*shape["parts"][::40], *meshes[:1]]
    jsonschema.validate([{**shape, "parts": some}], schema["properties"]["shapes"])
    kinds = {tuple(sorted(solid)) for part in some for solid in part["solids"]}
    assert kinds == {("holes", "outline", "sweep"), ("axis", "radius"), ("triangles", "vertices")}
    without = render(seeded())
    for sign in ("v3-", "3-D", "THREE", "to3d"):
        assert sign not in without


def test_the_page_nests_its_policy_names_its_three_scripts_and_nothing_loads(page: str) -> None:
    tags = Page(page).tags
    assert {tag for tag, _ in tags} <= HARMLESS | {"canvas", "noscript", "ol"}
    scripts = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    assert len(scripts) == 3
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)
    assert policy
    assert "default-src 'none'" in policy[1]
    assert "unsafe" not in policy[1]
    for script in scripts:
        assert base64.b64encode(hashlib.sha256(script.encode()).digest()).decode() in policy[1]
    assert not [row for row in tags if row[1].get("src")]
    assert len(page.encode()) < 3_000_000


def test_the_library_is_the_one_its_note_names_with_its_licence() -> None:
    bundle = (ASSETS / "three" / "three.bundle.min.js").read_bytes()
    assert hashlib.sha256(bundle).hexdigest() in (ASSETS / "three" / "README.md").read_text("utf-8")
    assert "The MIT License" in (ASSETS / "three" / "LICENSE").read_text("utf-8")
    text = bundle.decode("ascii")
    for word in ("fetch(", "XMLHttpRequest", "eval(", "new Function", "importScripts", "localStorage", "</script"):
        assert word not in text


def test_the_finding_about_the_missing_rod_leads_to_its_broken_chain(page: str) -> None:
    data = _data(page)
    cards = {card["title"]: card for card in data["cards"] if card["outcome"] == "fail"}
    card = next(card for title, card in cards.items() if "foundation" in title)
    chain = data["chains"][card["chain"]]
    assert chain["verdict"] == "broken"
    broken = [step for step in chain["steps"] if step[1] == "broken"]
    assert [step[0] for step in broken] == ["Level 2: rod (no rod drawn)"]
    assert broken[0][2] == []
    known = {part[0] for part in data["parts"]}
    assert all(set(step[2]) <= known for step in chain["steps"])
    vent = next(card for title, card in cards.items() if title.startswith("The vent is joined"))
    assert data["chains"][vent["chain"]]["name"] == "Soil-gas vent SG-1"


def test_ends_on_every_storey_lead_to_the_chain_that_runs_through_them() -> None:
    """Three storeys: each of the 30 chains is found from its top end and from the ends its steps name below."""
    report = seeded_in_3d()
    chains = [path for path in report["paths"] if path["kind"] in {"uplift", "vent"}]
    found = html_view3d._chains_by_subject(report, chains)
    below = 0
    for elevation in report["drawings"][0]["elevations"]:
        for chain in elevation["chains"]:
            for step in chain["steps"]:
                assert chains[found[step["end"]]]["subject_key"] == chain["end"]
                below += step["end"] != chain["end"]
    assert below > 60


def _house(rods: int, studs: int, undrawn: int) -> House:
    """Parts side by side: rods, studs, and parts without a shape."""
    model = Model((), {}, {}, {}, (), np.zeros(3))
    parts = {}
    for number in range(rods + studs + undrawn):
        key, role = f"key-{number:04}", "stud" if number >= rods else "rod"
        box = Box(np.array([number, 0.0, 1.0]), np.eye(3), np.array([0.02, 0.07, 1.2]))
        drawn = number < rods + studs
        element = Element(key, key, number, "IfcMember", name=f"{role} {number}")
        parts[key] = Part(key, element, roles={role: Rung.DECLARED}, box=box if drawn else None,
                          solids=(Solid("mesh", box),) if drawn else ())  # fmt: skip
    return House("b", "Heron Lane 12", model, parts)


def test_too_many_parts_are_cut_with_the_number_and_chains_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    house = _house(100, 200, 4)
    whole = scene_shapes.shapes(house)
    assert (len(whole["parts"]), whole["left_out"], whole["undrawn"]) == (300, 0, 4)
    assert _points(whole["parts"][7]["solids"][0]).min(axis=0) == pytest.approx([6.98, -0.07, -0.2])
    assert _points(whole["parts"][7]["solids"][0]).max(axis=0) == pytest.approx([7.02, 0.07, 2.2])
    monkeypatch.setattr(scene_shapes, "MOST_PARTS", 150)
    cut = scene_shapes.shapes(house)
    assert (len(cut["parts"]), cut["left_out"], cut["undrawn"]) == (150, 150, 4)
    assert [part["role"] for part in cut["parts"]] == ["rod"] * 100 + ["stud"] * 50
    report = {**seeded(), "shapes": [cut]}
    assert "150 parts of Heron Lane 12 are left out of the view, which shows 150." in render(report)
    assert "4 parts of Heron Lane 12 have no shape in the model" in render(report)
    monkeypatch.setattr(scene_shapes, "MOST_NUMBERS", 1000)
    assert 0 < len(scene_shapes.shapes(house)["parts"]) < 100


def test_the_view_has_a_colour_for_every_group() -> None:
    script = html_view3d.scripts()[1]
    for group in scene_shapes.SHAPE_GROUPS:
        assert re.search(rf'"{group}": "#[0-9a-f]{{6}}"', script), group


def test_what_is_not_finite_or_absurdly_far_is_not_drawn() -> None:
    box = Box(np.array([0.0, float("nan"), 0.0]), np.eye(3), np.ones(3))
    far = Box(np.array([1e9, 0.0, 0.0]), np.eye(3), np.ones(3))
    house = _house(2, 0, 0)
    for part, bad in zip(house.parts.values(), (box, far), strict=True):
        part.solids = (Solid("mesh", bad),)
    assert scene_shapes.shapes(house)["parts"] == []
    assert scene_shapes.shapes(house)["undrawn"] == 2


OUT_OF_THE_BLOCK = ("</script><script>alert(1)</script>", "<!--<script>", "\u2028x")


@pytest.mark.parametrize("attack", [*ATTACKS[::2], ATTACKS[-1], *OUT_OF_THE_BLOCK])
def test_hostile_names_stay_text(attack: str) -> None:
    report = copy.copy(seeded_in_3d())
    shape = copy.deepcopy({**report["shapes"][0], "parts": report["shapes"][0]["parts"][:8]})
    for part in shape["parts"]:
        part["name"] = part["storey"] = part["id"] = attack
    shape["name"], shape["left_out"] = attack, 3
    report["shapes"] = [shape]
    report["paths"] = json.loads(json.dumps(report["paths"][:2]).replace("Tie-down TD-1", json.dumps(attack)[1:-1]))
    page = render(report)
    assert {tag for tag, _ in Page(page).tags} <= HARMLESS | {"canvas", "noscript", "ol"}
    assert len(re.findall(r"<script", page)) == 4
    block = re.search(r'id="v3-data">(.*?)</script>', page, re.DOTALL)
    assert block
    assert not set(block[1]) & {"<", ">", "&"}
    assert _data(page)["parts"][0][1]


def test_the_option_asks_for_shapes_and_goes_with_html(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    asked: list[dict[str, Any]] = []
    monkeypatch.setattr("modellint.worker.run", lambda request, *_, **__: (asked.append(request), plain())[1])
    out = tmp_path / "house.html"
    done = CliRunner().invoke(check, ["house.ifc", "--write", f"html={out}", "--three-d"])
    assert done.exit_code == 1
    assert asked[-1]["shapes"] is True
    assert asked[-1]["drawings"] is True
    done = CliRunner().invoke(check, ["house.ifc", "--three-d"])
    assert done.exit_code == 2
    assert "--three-d goes with --write html=FILE" in done.output
    CliRunner().invoke(check, ["house.ifc", "--write", f"html={out}"])
    assert asked[-1]["shapes"] is False


def test_a_report_whose_parts_have_no_shape_still_makes_a_page() -> None:
    report = {**plain(), "shapes": [{"building": "", "name": "", "parts": [], "left_out": 0, "undrawn": 7}]}
    page = render(report)
    assert "7 parts have no shape in the model and cannot be shown." in page
    assert html_view3d.wanted(report)
