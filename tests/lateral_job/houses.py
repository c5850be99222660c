"""The sample house with its invented schedules, written to a folder, and a small house in code."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from modellint import pipeline
from modellint.measures.ask import Ask
from modellint.rulebook.registry import registry
from modellint.rulebook.schedules import parse_schedule
from modellint.rulebook.settings import in_si
from sample_models.generator import House, build, write
from sample_models.generator.schedules import write_schedules
from tests.builders_lateral import Build, two_storey_stack

KNOWN = registry()
ENDS = "wall,storey,end,tie,reason,tension (kN),level\n"
DEMANDS = "wall,storey,shear (kN),dead load (kN),level\n"
TIES = (
    "mark,allowable tension (kN),level,rod diameter (mm),minimum post thickness (mm),anchor embedment (mm),"
    "anchor edge distance (mm)\n"
)
WALLS = "mark,sheathing grade,sheathing thickness (mm),nail,edge spacing (mm),unit shear (kN/m),level,method\n"
ROW_3 = "TD-3,22,ASD wind,16,76,250,50\n"


def sample(name: str = "two-storey") -> House:
    """A fresh copy of a sample house."""
    return build(name)


def written(house: House, folder: Path, manner: str = "semantic") -> Path:
    """The house as a file with its schedules beside it."""
    path = folder / "model.ifc"
    write(house, manner, path)
    write_schedules(house, folder)
    return path


def report_of(house: House, folder: Path, manner: str = "semantic") -> dict[str, Any]:
    """The report over a house with its schedules."""
    return pipeline.check({"models": [str(written(house, folder, manner))]})


def asked(path: Path) -> list[Ask]:
    """The measures of a model's buildings."""
    books = pipeline.load_books(path)
    model = pipeline.read_model([path], frozenset(), lambda _: None)
    settings = in_si(books.settings)
    return [Ask(house, KNOWN.measures, KNOWN.sets, settings) for house in pipeline.houses(model, books, settings)]


def tables(**texts: str) -> dict[str, Any]:
    """Schedules from CSV text by table name."""
    return {name: parse_schedule(name, text, f"{name}.csv") for name, text in texts.items()}


def small(kind: str = "tie", **texts: str) -> Build:
    """Three two-storey shear walls S1 to S3 of 2.4 m with 2.4 m storeys and a 0.3 m floor."""
    build = two_storey_stack(kind)
    build.schedules = tables(**texts)
    return build


def ask_of(build: Build) -> Ask:
    """The measures of a house in code."""
    return Ask(build.house(), KNOWN.measures, KNOWN.sets, {})


def end_of(ask: Ask, key: str) -> Any:
    """A wall end by its key."""
    return next(end for end in ask.house.nodes["wall_end"] if end.key == key)
