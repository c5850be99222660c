"""The drawings' schedules for a house, as tables for CSV files; all values invented for the demo."""

from __future__ import annotations

import csv
from pathlib import Path

from .pieces import House
from .plan import Plan

PROJECT = """\
# Project file of an invented house; every value is made up for the demonstration.
schedules:
  shear_walls: schedules/shear-walls.csv
  hold_downs: schedules/hold-downs.csv
  wall_ends: schedules/wall-ends.csv
  wall_demands: schedules/wall-demands.csv
"""

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
]
HOLD_DOWN = [
    "mark",
    "allowable tension (kN)",
    "level",
    "rod diameter (mm)",
    "minimum post thickness (mm)",
    "anchor embedment (mm)",
    "anchor edge distance (mm)",
]
WALL_END = ["wall", "storey", "end", "tie", "reason", "tension (kN)", "compression (kN)", "level"]
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
                ]
                for mark in marks
            ),
        ],
        "hold-downs": [
            HOLD_DOWN,
            ["TD-1", "14", "ASD wind", "15.9", post, "250", "50"],
            ["TD-2", "22", "ASD wind", "15.9", post, "250", "50"],
        ],
        "wall-ends": [WALL_END, *_ends(plan)],
        "wall-demands": [
            DEMAND,
            *(
                [
                    wall.mark,
                    f"Level {wall.storey}",
                    f"{4.0 + 2.5 * (plan.storeys - wall.storey):.1f}",
                    f"{3.0 * wall.length:.1f}",
                    "ASD wind",
                ]
                for wall in plan.walls
                if wall.shear
            ),
        ],
    }


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
    (folder / "modellint.yaml").write_text(PROJECT, encoding="utf-8", newline="\n")
