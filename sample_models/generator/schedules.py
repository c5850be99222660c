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

SHEAR_WALL = ["mark", "sheathing grade", "sheathing thickness [mm]", "nail", "nail diameter [mm]", "edge spacing [mm]",
              "field spacing [mm]", "sides", "sill anchor diameter [mm]", "sill anchor spacing [mm]"]
HOLD_DOWN = ["mark", "allowable tension [kN]", "rod diameter [mm]", "minimum post [mm]", "centreline offset [mm]",
             "anchor embedment [mm]", "edge distance [mm]"]
WALL_END = ["wall", "storey", "end", "tie", "reason", "tension demand [kN]", "compression demand [kN]", "load level"]
DEMAND = ["wall", "storey", "storey shear [kN]", "dead load [kN/m]", "load level"]


def add_schedules(plan: Plan) -> None:
    """Fill the four schedules of a house."""
    marks = sorted({wall.mark for wall in plan.walls if wall.shear})
    post = round(plan.on(1, shear=True)[0].post * 1000)
    offset = post + 38
    plan.house.schedules = {
        "shear-walls": [SHEAR_WALL, *([mark, "OSB structural", "11", "8d", "3.33", "101.6", "304.8", "1", "12.7", "1830"]
                                      for mark in marks)],
        "hold-downs": [HOLD_DOWN,
                       ["TD-1", "14", "15.9", str(post), str(offset), "250", "50"],
                       ["TD-2", "22", "15.9", str(post), str(offset), "250", "50"]],
        "wall-ends": [WALL_END, *_ends(plan)],
        "wall-demands": [DEMAND, *([wall.mark, f"Level {wall.storey}", f"{4.0 + 2.5 * (plan.storeys - wall.storey):.1f}",
                                    "3.0", "ASD wind"] for wall in plan.walls if wall.shear)],
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
