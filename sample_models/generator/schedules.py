"""The drawings' schedules for a house, as tables for CSV files; all values invented for the demo."""

from __future__ import annotations

import csv
from pathlib import Path

from .pieces import House
from .plan import Plan, WallPlan

PROJECT = """\
# Project file of an invented house; every value is made up for the demonstration.
schedules:
  shear_walls: schedules/shear-walls.csv
  hold_downs: schedules/hold-downs.csv
  wall_ends: schedules/wall-ends.csv
  wall_demands: schedules/wall-demands.csv
"""

RECORDS = ("rod-runs", "vent-tests", "radon-tests", "progress", "tested-pieces")
"""Tables that a house may have besides its four schedules."""

SHEAR_WALL = [
    "mark",
    "sheathing grade",
    "sheathing thickness (mm)",
    "nail",
    "edge spacing (mm)",
    "field spacing (mm)",
    "sides",
    "anchor diameter (mm)",
    "anchor spacing (mm)",
    "method",
    "deflection limit (mm)",
]
HOLD_DOWN = [
    "mark",
    "allowable tension (kN)",
    "level",
    "rod diameter (mm)",
    "minimum post thickness (mm)",
    "anchor embedment (mm)",
    "anchor edge distance (mm)",
    "device slip (mm)",
    "post compression (kN)",
]
WALL_END = ["wall", "storey", "end", "tie", "reason", "tension (kN)", "compression (kN)", "level"]
# invented storey shears per full-height length, the top storey first, and dead load that may count [kN/m]
UNIT_SHEAR = (1.0, 1.8, 2.3)
DEAD_LOAD = 0.4
ROD_RUN = [
    "wall",
    "storey",
    "rod diameter (mm)",
    "rod tension (kN)",
    "coupler tension (kN)",
    "plate width (mm)",
    "plate length (mm)",
    "plate thickness (mm)",
    "take-up travel (mm)",
    "movement limit (mm)",
    "level",
]
RUN_CELLS = ["15.9", "22", "22", "64", "76", "12", "25", "5", "ASD wind"]
DEMAND = ["wall", "storey", "shear (kN)", "dead load (kN)", "level"]


def add_schedules(plan: Plan) -> None:
    """Fill the four schedules of a house."""
    marks = sorted({wall.mark for wall in plan.walls if wall.shear})
    post = str(round(plan.on(1, shear=True)[0].post * 1000))
    plan.house.schedules = {
        "shear-walls": [
            SHEAR_WALL,
            *(
                [
                    mark,
                    "OSB structural",
                    "11",
                    "3.33 x 63 mm",
                    "101.6",
                    "304.8",
                    "1",
                    "12.7",
                    "1830",
                    "segmented",
                    "15",
                ]
                for mark in marks
            ),
        ],
        "hold-downs": [
            HOLD_DOWN,
            ["TD-1", "14", "ASD wind", "15.9", post, "250", "50", "3", "60"],
            ["TD-2", "22", "ASD wind", "15.9", post, "250", "50", "3", "60"],
            *([["ST-1", "18", "ASD wind", "", "", "", "", "2", ""]] if any(wall.straps for wall in plan.walls) else []),
        ],
        "wall-ends": [WALL_END, *_ends(plan)],
        "wall-demands": [
            DEMAND,
            *(
                [
                    wall.mark,
                    f"Level {wall.storey}",
                    f"{UNIT_SHEAR[plan.storeys - wall.storey] * _full_height(wall):.2f}",
                    f"{DEAD_LOAD * wall.length:.2f}",
                    "ASD wind",
                ]
                for wall in plan.walls
                if wall.shear
            ),
        ],
    }
    if runs := _rod_runs(plan):
        plan.house.schedules["rod-runs"] = [ROD_RUN, *runs]


def _rod_runs(plan: Plan) -> list[list[str]]:
    """One row for each wall and storey that hangs on continuous rods."""
    return [[wall.mark, f"Level {wall.storey}", *RUN_CELLS] for wall in plan.walls
            if wall.shear and wall.hold == "continuous"]


def _full_height(wall: WallPlan) -> float:
    return sum(segment.end - segment.start for segment in wall.segments())


def _ends(plan: Plan) -> list[list[str]]:
    """One row for each outer wall end that hangs on a tie-down."""
    rows = []
    for wall in plan.walls:
        if not wall.shear or wall.hold == "continuous" or (wall.straps and wall.storey > 1):
            continue
        tie = "TD-2" if wall.storey == 1 else "TD-1"
        for side in "ab":
            rows.append([wall.mark, f"Level {wall.storey}", wall.compass(side), tie, "", "", "", ""])
    return rows


def write_schedules(house: House, folder: Path) -> None:
    """Write the schedules as CSV files and a project file that names them."""
    (folder / "schedules").mkdir(parents=True, exist_ok=True)
    for name, rows in house.schedules.items():
        with (folder / "schedules" / f"{name}.csv").open("w", encoding="utf-8", newline="") as out:
            csv.writer(out, lineterminator="\n").writerows(rows)
    records = [name for name in RECORDS if name in house.schedules]
    more = "".join(f"  {name.replace('-', '_')}: schedules/{name}.csv\n" for name in records)
    (folder / "modellint.yaml").write_text(PROJECT + more, encoding="utf-8", newline="\n")
