"""Take-offs: counts against a plain reading of the file by ifcopenshell, files against independent readers."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from modellint.cli.takeoff import takeoff as command
from modellint.pipeline_takeoff import take_off
from modellint.reports import takeoff_csv, takeoff_text, workbook
from modellint.reports.atomic import write_atomic
from modellint.reports.takeoff_tables import Table
from sample_models.generator import DEFECTS, build, write

SAMPLES = Path(__file__).parents[2] / "sample_models"


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The three-storey house after a coupler was lost; beside it the whole house."""
    path, house = tmp_path_factory.mktemp("takeoff") / "house.ifc", build("three-storey")
    write(house, "semantic", path.with_name("whole.ifc"))
    write(next(row for row in DEFECTS if row.name == "coupler-missing").apply(house), "semantic", path)
    return path


@pytest.fixture(scope="module")
def plain(path: Path) -> dict[str, Any]:
    """Its take-off, with the differences to the whole house."""
    return take_off({"models": [str(path)], "before": [str(path.with_name("whole.ifc"))]})


def counts(plain: dict[str, Any]) -> Counter[str]:
    found: Counter[str] = Counter()
    for row in plain["takeoff"]["items"]:
        found[row["item"]] += row["count"]
    return found


def test_counts_and_lengths_are_those_of_a_plain_reading(path: Path, plain: dict[str, Any]) -> None:
    # ifcopenshell reads the file element by element; names are those the file gives, nothing is recognised
    ifcopenshell = pytest.importorskip("ifcopenshell")
    unit = pytest.importorskip("ifcopenshell.util.unit")
    file = ifcopenshell.open(path)
    names = Counter(element.Name for element in file.by_type("IfcElement"))
    found = counts(plain)
    for name in (
        "Coupler nut M16",
        "Hex nut M16",
        "Hex nut M12",
        "Bearing plate 76x64x12",
        "Take-up TU-1",
        "Roof tie RT-1",
    ):
        assert found[name] == names[name] > 0, name
    for mark in ("TD-1", "TD-2"):
        assert found[f"Tie-down {mark}"] == sum(n for name, n in names.items() if mark in (name or "")) > 0
    assert found["Anchor bolt 12.7 mm"] == sum(n for name, n in names.items() if (name or "").startswith("Anchor bolt"))
    scale = unit.calculate_unit_scale(file)
    rods = [
        item.Depth * scale
        for element in file.by_type("IfcMechanicalFastener")
        if re.search(r"\brod\b", element.Name or "", re.IGNORECASE)
        for item in element.Representation.Representations[0].Items
        if item.is_a("IfcExtrudedAreaSolid")
    ]
    pieces = [row["length"] for row in plain["takeoff"]["pieces"] if row["role"] == "rod"]
    assert len(pieces) == len(rods) > 0
    assert sum(pieces) == pytest.approx(sum(rods), abs=1e-3 * len(rods))


def test_two_manners_of_one_house_give_the_same_hardware() -> None:
    wanted = (
        "hold_down",
        "strap",
        "rod",
        "coupler",
        "bearing_plate",
        "take_up",
        "nut",
        "post",
        "vent_pipe",
        "collector",
    )
    seen = []
    for manner in ("semantic", "plain"):
        rows = take_off({"models": [str(SAMPLES / "two-storey" / f"{manner}.ifc")]})["takeoff"]["pieces"]
        seen.append(
            Counter((row["role"], row["item"], round(row["length"] or 0, 2)) for row in rows if row["role"] in wanted)
        )
    assert seen[0]
    assert seen[0] == seen[1]
    # the plain manner draws washers as groups named after their number, and membrane and gravel as layers of the slab
    items = {row["role"]: row["item"] for row in rows}
    assert "(" not in items["plate_washer"]
    assert items["membrane"].startswith("Membrane, ")
    assert items["permeable_layer"].startswith("Permeable layer, ")


def test_places_storeys_stages_and_sets(plain: dict[str, Any]) -> None:
    made = plain["takeoff"]
    ties = [row for row in made["pieces"] if row["role"] == "hold_down"]
    assert all(row["place"] and row["storey"] for row in ties)
    bolts = [row for row in made["pieces"] if row["role"] == "anchor_bolt"]
    assert {row["stage"] for row in bolts} == {"pour"}
    assert all(row["place"].startswith("sill of") for row in bolts)
    assert {row["stage"] for row in made["pieces"] if row["role"] == "coupler"} == {"cover"}
    posts = [row for row in made["pieces"] if row["role"] == "post"]
    assert posts
    assert all(row["plies"] == 3 for row in posts)  # 114 mm are three plies of 38 mm (common practice, no source)
    assert {row["device"] for row in made["sets"]} == {"tie-down", "continuous rod", "strap"}
    whole = [run for run in made["runs"] if run["couplers"] == 2]
    broken = [run for run in made["runs"] if run["couplers"] == 1]
    assert len(broken) == 1
    assert broken[0]["runs"] == 1  # the column whose coupler was lost stands alone
    # the defect also draws the piece above the lost coupler 60 mm shorter
    off = [round(a["length"] - b["length"], 3) for a, b in zip(whole[0]["cuts"], broken[0]["cuts"], strict=True)]
    assert off == [0, 0.06, 0]
    assert [(row["lacks"], row["storey"]) for row in made["sets"] if row["lacks"]] == [(("coupler",), "Level 2")]


def test_the_difference_is_the_part_that_was_lost(plain: dict[str, Any]) -> None:
    rods, row = plain["differences"]["items"][:2], plain["differences"]["items"][2]
    assert len(plain["differences"]["items"]) == 3
    assert [(rod["length"], rod["before"], rod["after"]) for rod in rods] == [(2.727, 0, 1), (2.787, 8, 7)]
    assert rods[1]["became"][0]["after"]["length"] == 2.727
    assert (row["item"], row["before"], row["after"], row["difference"]) == ("Coupler nut M16", 16, 15, -1)
    assert len(row["dropped"]) == 1
    assert not row["added"]
    assert row["dropped"][0]["place"].startswith("SW-2")


def test_what_cannot_be_seen_is_open_and_not_filled_in(tmp_path: Path) -> None:
    text = (SAMPLES / "two-storey" / "semantic.ifc").read_text()
    rod = re.search(
        r"^(#\d+=\s*IFCMECHANICALFASTENER\('[^']*',[^;]*?'Anchor rod[^;]*?)(#\d+),(#\d+),([^,;]*,[^;]*);$",
        text,
        re.MULTILINE,
    )
    assert rod is not None
    path = tmp_path / "house.ifc"
    path.write_text(text.replace(rod[0], f"{rod[1]}{rod[2]},$,{rod[4]};"))
    rows = take_off({"models": [str(path)]})["takeoff"]
    bare = [row for row in rows["pieces"] if "length" in row["lacks"]]
    assert len(bare) == 1
    assert bare[0]["length"] is None
    assert any("1 without" in row["text"] and "length" in row["text"] for row in rows["open"])


def test_csv_is_read_by_the_csv_module(plain: dict[str, Any]) -> None:
    data = takeoff_csv.render(plain)
    rows = list(csv.DictReader(io.StringIO(data.decode(), newline="")))
    kinds = Counter(row["table"] for row in rows)
    assert kinds["counted"]
    assert kinds["open"] == len(plain["takeoff"]["open"])
    assert kinds["difference"] == 3
    assert sum(int(row["count"]) for row in rows if row["table"] == "counted") == len(plain["takeoff"]["pieces"])
    assert data == takeoff_csv.render(plain)


def test_workbook_is_read_by_openpyxl(plain: dict[str, Any], tmp_path: Path) -> None:
    openpyxl = pytest.importorskip("openpyxl")
    data = workbook.render(plain)
    assert data == workbook.render(plain)
    book = openpyxl.load_workbook(io.BytesIO(data))
    assert book.sheetnames == [
        "Items",
        "By place",
        "Rods by column",
        "Matched sets",
        "Against the schedule",
        "Open",
        "Differences",
        "About",
    ]
    items = list(book["Items"].iter_rows(values_only=True))
    count = items[0].index("Count")
    assert sum(row[count] for row in items[1:]) == len(plain["takeoff"]["pieces"])
    assert book["Items"].freeze_panes == "A2"
    write_atomic(tmp_path / "a.xlsx", data)
    write_atomic(tmp_path / "a.xlsx", data)  # its own mark lets it be written again


# formulas that spreadsheets run on opening a CSV file: OWASP, "CSV Injection"
@pytest.mark.parametrize(
    "text", ['=HYPERLINK("http://x")', "+1+1", "-2+3", "@SUM(A1)", "\t=1", "＝1", "<b>&'\"\x00\x1b[2J"]
)
def test_no_cell_is_a_formula(plain: dict[str, Any], text: str) -> None:
    openpyxl = pytest.importorskip("openpyxl")
    made = {
        **plain,
        "differences": None,
        "takeoff": {**plain["takeoff"], "pieces": [{**plain["takeoff"]["pieces"][0], "item": text, "place": text}]},
    }
    row = next(csv.DictReader(io.StringIO(takeoff_csv.render(made).decode(), newline="")))
    assert row["item"][0] not in "=+-@＝\t"
    assert "\x1b" not in takeoff_csv.render(made).decode() + takeoff_text.render(made)
    data = workbook.workbook([Table("T", ("a",), ((text,),))])
    cell = openpyxl.load_workbook(io.BytesIO(data)).active["A2"]
    assert cell.data_type in {"s", "inlineStr"}
    assert "\x00" not in str(cell.value)


def test_text_says_what_is_open_and_what_differs(plain: dict[str, Any]) -> None:
    for width in (60, 100):
        text = takeoff_text.render(plain, width=width)
        assert max(map(len, text.splitlines())) <= width
    assert "Coupler nut M16: 16 -> 15" in text
    assert "OPEN: NOT SEEN IN THE MODEL" in text
    assert "\x1b" not in text


def test_the_command_prints_and_writes(tmp_path: Path) -> None:
    house = str(SAMPLES / "two-storey" / "semantic.ifc")
    files = {kind: tmp_path / f"order.{kind}" for kind in ("csv", "xlsx", "json")}
    writes = [word for kind, path in files.items() for word in ("--write", f"{kind}={path}")]
    done = CliRunner().invoke(command, [house, *writes])
    assert done.exit_code == 0, done.output
    assert "Tie-down TD-2" in done.stdout
    assert all(path.stat().st_size > 500 for path in files.values())
    empty = tmp_path / "empty.ifc"
    empty.write_text(
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\n"
        "FILE_SCHEMA(('IFC4'));\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n"
    )
    assert CliRunner().invoke(command, [str(empty)]).exit_code == 3
