"""The sample houses: exact, the same in each manner, changed by a defect only where it says so."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from itertools import pairwise
from math import cos, hypot, sin
from pathlib import Path

import ifcopenshell
import ifcopenshell.util.placement
import ifcopenshell.util.unit
import ifcopenshell.validate
import numpy as np
import pytest

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from sample_models.generator import DEFECTS, HOUSES, MANNERS, build, transform, write, write_together  # noqa: E402
from sample_models.generator.__main__ import main  # noqa: E402
from sample_models.generator.plain import FAR, TURN  # noqa: E402

CLEAN = {name: build(name) for name in HOUSES}
# IRC 2018 R403.1.6: at least two bolts in each plate piece, at most 6 ft apart, one within 12 in of each end
# but not nearer than 7 diameters, at least 7 in embedded, in the middle third of the plate.
SIX_FEET, TWELVE_INCHES, SEVEN_INCHES = 6 * 0.3048, 12 * 0.0254, 7 * 0.0254


def bounds(house, key):
    return house.pieces[key].shape.bounds()


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("samples")
    made = {}
    for name, house in CLEAN.items():
        for manner in MANNERS:
            path = folder / f"{name}-{manner}.ifc"
            write(house, manner, path)
            ifcopenshell.get_log()
            made[name, manner] = (path, ifcopenshell.open(path), ifcopenshell.get_log())
    return made


@pytest.mark.parametrize(("name", "least"), [("two-storey", 300), ("three-storey", 800)])
def test_house_is_as_large_as_asked(name, least):
    assert len(CLEAN[name].pieces) >= least


@pytest.mark.parametrize("name", HOUSES)
@pytest.mark.parametrize("manner", MANNERS)
def test_opens_without_complaint(files, name, manner):
    _, model, log = files[name, manner]
    assert log == ""
    assert len(model.by_type("IfcElement")) > 0.9 * len(CLEAN[name].pieces)


@pytest.mark.parametrize("manner", MANNERS)
def test_valid_against_the_schema(files, manner):
    logger = ifcopenshell.validate.json_logger()
    ifcopenshell.validate.validate(files["two-storey", manner][1], logger)
    assert logger.statements == []


def test_written_models_are_up_to_date(tmp_path):
    main(tmp_path)
    written = {p.relative_to(tmp_path): p.read_bytes() for p in sorted(tmp_path.rglob("*")) if p.is_file()}
    shipped = {path: (ROOT / "sample_models" / path).read_bytes() for path in written}
    assert [str(p) for p in written if written[p] != shipped[p]] == []
    assert sum(len(data) for data in written.values()) < 12e6


def test_bytes_do_not_depend_on_the_hash_seed(tmp_path):
    code = (
        "import sys; from sample_models.generator import *; "
        "[write(build('two-storey'), m, sys.argv[1] + m) for m in MANNERS]"
    )
    sums = []
    for seed in ("1", "2"):
        (tmp_path / seed).mkdir()
        subprocess.run(
            [sys.executable, "-c", code, f"{tmp_path / seed}/"],
            check=True,
            cwd=ROOT,
            env={"PYTHONHASHSEED": seed, "PATH": ""},
        )
        sums.append({m: hashlib.sha256((tmp_path / seed / m).read_bytes()).hexdigest() for m in MANNERS})
    assert sums[0] == sums[1]


@pytest.mark.parametrize("name", HOUSES)
def test_posts_stand_between_plates_and_ties_touch_posts(name):
    house = CLEAN[name]
    for post in house.of_kind("post"):
        low, high = post.shape.bounds()
        soles = [
            p
            for p in house.pieces.values()
            if p.parent == post.parent and p.kind in ("sill_plate", "bottom_plate")
        ]
        assert any(s.shape.bounds()[1][2] == pytest.approx(low[2], abs=1e-9) for s in soles)
        tops = [p for p in house.of_kind("top_plate") if p.parent == post.parent and p.variant == "lower"]
        assert all(t.shape.bounds()[0][2] == pytest.approx(high[2], abs=1e-9) for t in tops)
    for joint in (j for j in house.joints if j.kind == "fastened_to"):
        (a, b), (c, d) = bounds(house, joint.first), bounds(house, joint.second)
        gap = max(max(a[k] - d[k], c[k] - b[k]) for k in range(3))
        assert gap == pytest.approx(0, abs=1e-9), joint


@pytest.mark.parametrize("name", HOUSES)
def test_rods_end_inside_what_they_are_joined_to(name):
    house = CLEAN[name]
    for joint in (j for j in house.joints if j.kind in ("threaded_into", "embedded_in")):
        (low, high), points = bounds(house, joint.second), house.pieces[joint.first].shape.points
        inside = [all(low[k] - 1e-9 <= p[k] <= high[k] + 1e-9 for k in range(3)) for p in points]
        on_slab = joint.second.startswith("foundation/thickening")
        assert any(inside), joint
        assert on_slab or high[2] > points[0][2]


@pytest.mark.parametrize("name", HOUSES)
def test_sill_bolts_meet_the_clause(name):
    house = CLEAN[name]
    for plate in house.of_kind("sill_plate"):
        low, high = plate.shape.bounds()
        axis = 0 if high[0] - low[0] > high[1] - low[1] else 1
        bolts = [p for p in house.of_kind("anchor_bolt") if p.variant == plate.key]
        places = sorted(p.shape.points[0][axis] for p in bolts)
        assert len(places) >= 2
        assert max(b - a for a, b in pairwise(places)) <= SIX_FEET
        for distance in (places[0] - low[axis], high[axis] - places[-1]):
            assert 7 * 0.0127 <= distance <= TWELVE_INCHES
        assert all(-p.shape.points[0][2] >= SEVEN_INCHES for p in bolts)
        third = (high[1 - axis] - low[1 - axis]) / 3
        assert all(
            low[1 - axis] + third <= p.shape.points[0][1 - axis] <= high[1 - axis] - third for p in bolts
        )


@pytest.mark.parametrize("name", HOUSES)
def test_upper_rods_stand_over_lower_rods(name):
    house = CLEAN[name]
    upper = [p for p in house.of_kind("rod") if p.variant == "tie-rod"]
    assert upper
    for rod in upper:
        wall, storey, end, _ = rod.key.split("/")
        below = int(storey[1:]) - 1
        other = house.pieces[f"{wall}/L{below}/{end}/{'anchor' if below == 1 else 'rod'}"]
        assert rod.shape.points[0][:2] == pytest.approx(other.shape.points[0][:2], abs=1e-9)


@pytest.mark.parametrize("name", HOUSES)
def test_stated_pipe_ends_meet(name):
    house = CLEAN[name]
    for joint in house.pipe_joints:
        a = house.pieces[joint.first].ports[joint.first_port]
        b = house.pieces[joint.second].ports[joint.second_port]
        assert a == pytest.approx(b, abs=1e-9), joint


@pytest.mark.parametrize("name", HOUSES)
def test_wood_and_steel_do_not_run_into_one_another(name):
    """Boxes of upright pieces; sloped ones and what is meant to pass through others are left out."""
    house = CLEAN[name]
    kinds = {
        "stud",
        "post",
        "sill_plate",
        "bottom_plate",
        "top_plate",
        "header",
        "joist",
        "rim",
        "blocking",
        "sheathing",
        "hold_down",
        "strap",
        "bearing_plate",
        "plate_washer",
        "floor",
        "rough_sill",
        "stem_wall",
        "footing",
        "foundation_slab",
    }
    pieces = sorted(
        ((*p.shape.bounds(), p.key) for p in house.pieces.values() if p.kind in kinds), key=lambda t: t[0][0]
    )
    clashes = []
    for k, (low, high, key) in enumerate(pieces):
        for low_2, high_2, other in pieces[k + 1 :]:
            if low_2[0] >= high[0] - 1e-6:
                break
            if all(min(high[i], high_2[i]) - max(low[i], low_2[i]) > 1e-6 for i in range(3)):
                clashes.append((key, other))
    assert clashes == []


@pytest.mark.parametrize("name", HOUSES)
def test_soil_gas_exit_and_fall(name):
    house = CLEAN[name]
    start, end = house.pieces["soil-gas/offset"].ports
    assert (end[2] - start[2]) / hypot(end[0] - start[0], end[1] - start[1]) == pytest.approx(1 / 50)
    mouth = house.pieces["soil-gas/terminal"].shape.points[-1]
    _, high = bounds(house, "roof/opening-1/window")
    assert 0 < mouth[2] - high[2] < 0.6096
    assert mouth[0] - high[0] > 3.048


# What the library's own geometry says, against the abstract solids
PROBES = (
    "SW-1/L1/2a/post",
    "SW-1/L1/2a/base-tie",
    "SW-1/L2/2a/rod",
    "SW-4/L2/stud-3",
    "SW-3/L1/panel-2",
    "SW-2/L2/top-lower-1",
    "foundation/stem-SW-3",
    "roof/slab-north",
    "roof/rafter-south-4",
    "roof/gable-east",
    "soil-gas/riser-2",
    "soil-gas/offset",
    "soil-gas/bend-1",
    "floor-2/deck",
    "roof/opening-1/window",
)


@pytest.mark.parametrize("manner", MANNERS)
def test_kernel_boxes_equal_the_abstract_house(files, manner):
    import ifcopenshell.geom

    house, model = CLEAN["two-storey"], files["two-storey", manner][1]
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    for key in PROBES:
        shape = ifcopenshell.geom.create_shape(settings, model.by_guid(house.guid(key)))
        points = back(manner, np.array(shape.geometry.verts).reshape(-1, 3))
        low, high = bounds(house, key)
        # 0.5 mm: the kernel draws circles as polygons
        assert np.abs(points.min(0) - low).max() < 5e-4, key
        assert np.abs(points.max(0) - high).max() < 5e-4, key


def back(manner, points):
    """World metres of a manner in house coordinates."""
    if manner != "plain":
        return points
    moved = points - np.array(FAR)
    x, y = moved[:, 0], moved[:, 1]
    return np.column_stack([cos(TURN) * x + sin(TURN) * y, cos(TURN) * y - sin(TURN) * x, moved[:, 2]])


@pytest.mark.parametrize("manner", ["semantic", "panelised"])
def test_port_placements_equal_the_abstract_ports(files, manner):
    house, model = CLEAN["three-storey"], files["three-storey", manner][1]
    scale = ifcopenshell.util.unit.calculate_unit_scale(model)
    for piece in house.pieces.values():
        for k, at in enumerate(piece.ports):
            port = model.by_guid(house.guid(f"{piece.key}/port-{k}"))
            matrix = ifcopenshell.util.placement.get_local_placement(port.ObjectPlacement)
            assert matrix[:3, 3] * scale == pytest.approx(at, abs=1e-8)


def test_same_ids_in_every_manner(files):
    house = CLEAN["two-storey"]
    for key in ("SW-1/L1/2a/base-tie", "SW-1/L2/2a/rod", "SW-1/L1/2a/post", "soil-gas/riser-1", "SW-1/L1"):
        assert {files["two-storey", m][1].by_guid(house.guid(key)).GlobalId for m in MANNERS} == {
            house.guid(key)
        }


def test_files_by_trade_hold_each_element_once(tmp_path):
    house = CLEAN["three-storey"]
    write_together(house, tmp_path)
    models = [ifcopenshell.open(tmp_path / f"{n}.ifc") for n in ("structure", "architecture", "pipes")]
    ids = [{e.GlobalId for e in m.by_type("IfcElement")} for m in models]
    assert sum(map(len, ids)) == len(set().union(*ids))
    whole = {house.guid(k) for k, p in house.pieces.items() if p.kind != "space"}
    assert set().union(*ids) == whole
    assert len({m.by_type("IfcBuilding")[0].GlobalId for m in models}) == 1


# Defects


def test_defect_names_are_unique_and_enough():
    assert len({d.name for d in DEFECTS}) == len(DEFECTS) >= 34
    assert all(sum(name in d.where for d in DEFECTS) >= 34 for name in HOUSES)


@pytest.mark.parametrize("name", HOUSES)
def test_defects_change_only_what_they_say(name):
    clean = CLEAN[name]
    for defect in (d for d in DEFECTS if name in d.where):
        house = defect.apply(build(name))
        touched = {
            k for k in clean.pieces.keys() | house.pieces.keys() if clean.pieces.get(k) != house.pieces.get(k)
        }
        where = defect.where[name]
        named = set(where.pieces) & (clean.pieces.keys() | house.pieces.keys())
        changed = (house.storeys, house.schedules, house.props) != (clean.storeys, clean.schedules, clean.props)
        assert touched or changed or defect.settings, defect.name
        assert (
            not where.host
            or where.host in clean.pieces.keys() | house.pieces.keys()
            or where.host in ("building", "storey-2")
        )
        # a room that becomes a garage is found at the pipe in it, a part that is gone at what it held
        rooms = {key for key in touched if key.startswith("space-")}
        gone = touched - house.pieces.keys() if where.host else set()
        assert touched & named or not named or where.wall or not touched - rooms - gone, defect.name
        large = ("stripped", "upper-end-shifted", "shear-wall-undrawn", "column-off-end", "vent-detour",
                 "segment-narrow", "vent-missing", "vent-filed-as-plumbing", "pipe-too-small")
        if defect.name not in large:
            assert len(touched) <= 20, defect.name


def test_defect_refuses_the_wrong_house():
    strap = next(d for d in DEFECTS if d.name == "strap-missing")
    with pytest.raises(ValueError, match="three-storey"):
        strap.apply(build("two-storey"))


@pytest.mark.parametrize("manner", MANNERS)
def test_a_lost_tie_is_lost_in_each_manner(tmp_path, manner):
    house = next(d for d in DEFECTS if d.name == "tie-missing").apply(build("two-storey"))
    write(house, manner, tmp_path / "a.ifc")
    ids = {e.GlobalId for e in ifcopenshell.open(tmp_path / "a.ifc").by_type("IfcElement")}
    assert house.guid("SW-1/L2/2a/base-tie") not in ids
    assert house.guid("SW-1/L2/2b/base-tie") in ids


# Changes that mean nothing


def test_moved_turned_and_mirrored_houses_keep_their_sizes():
    house = CLEAN["two-storey"]
    moved = transform.move(house, (100.0, -50.0, 0.0))
    assert bounds(moved, "SW-1/L1/2a/post")[0][0] == pytest.approx(
        bounds(house, "SW-1/L1/2a/post")[0][0] + 100
    )
    mirrored = transform.mirror(house)
    assert bounds(mirrored, "SW-1/L1/2a/post")[0][0] == pytest.approx(-bounds(house, "SW-1/L1/2a/post")[1][0])
    turned = transform.rotate(transform.rotate(house, 30.0), -30.0)
    for key in PROBES:
        assert bounds(turned, key)[0] == pytest.approx(bounds(house, key)[0], abs=1e-9)


def test_shuffled_and_renumbered_text_says_the_same(files):
    path, model, _ = files["two-storey", "semantic"]
    text = path.read_text(encoding="utf-8")
    for other in (transform.shuffle(text, 3), transform.renumber(text, 3)):
        assert other != text
        again = ifcopenshell.file.from_string(other)
        assert summary(again) == summary(model)


def summary(model):
    return json.dumps(sorted((e.is_a(), e.GlobalId, e.Name or "") for e in model.by_type("IfcRoot")))
