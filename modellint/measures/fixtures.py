"""Measures of plumbing fixtures on shear walls, and of the stud bays that pipes could use."""

from __future__ import annotations

from itertools import pairwise

from modellint.contacts.boxes import box_gap
from modellint.graph.wall_nodes import WallLine
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Part, Rung
from modellint.roles.shapes import radius_of

# a fixture stands on a wall when its back is this near its face, and its pipe is drawn when one comes this
# near, metres (common practice, no source)
ON_WALL, PIPE_NEAR = 0.100, 0.350
# a bay takes a pipe with this much air on both sides, metres (common practice, no source)
AIR = 0.010


def _band(line: WallLine, part: Part, spare: float) -> bool:
    box = part.box
    if box is None or not line.bottom - 0.1 <= float(box.centre[2]) <= line.top:
        return False
    across, along = line.across(box.corners), line.along(box.corners)
    half = line.thickness / 2 + spare
    return bool(
        across.min() <= half and across.max() >= -half and along.max() >= 0 and along.min() <= line.length
    )


@measure("truth", of="plumbing_fixture", example="true for a basin against a wall of predefined type SHEAR")
def on_shear_wall(fixture: Part, ask: Ask) -> Quantity:
    """Whether the fixture stands against a shear wall."""
    if fixture.box is None:
        return unknown("truth", Missing("shape", fixture.name, "draw the fixture"))
    for line in ask.house.subjects("wall_line"):
        if _band(line, fixture, ON_WALL):
            for wall in line.walls:
                ask.part(wall)
            return truth(True, Evidence(f"against wall {line.name}"), rung=line.rung_as("shear_wall"))
    return truth(False)


@measure("truth", of="plumbing_fixture", example="true where a drain ends under the basin")
def pipe_at_fixture(fixture: Part, ask: Ask) -> Quantity:
    """Whether any plumbing pipe is drawn near the fixture."""
    if fixture.box is None:
        return truth(False)
    for pipe in ask.house.with_role("plumbing_pipe", "pipe", "plumbing_fitting"):
        if pipe.box is not None and box_gap(pipe.box, fixture.box) <= PIPE_NEAR:
            ask.part(pipe)
            return truth(True, Evidence(f"{pipe.name} near it", global_id=pipe.element.global_id))
    return truth(False)


@measure(
    "truth", of="plumbing_fixture", example="false where the other fixtures have pipes and this one has none"
)
def pipe_drawn(fixture: Part, ask: Ask) -> Quantity:
    """Whether the fixture's pipe is drawn; it is missing only where the others are drawn with theirs."""
    if "true" in ask.measure("pipe_at_fixture", fixture).words:
        return ask.measure("pipe_at_fixture", fixture)
    others = [row for row in ask.house.with_role("plumbing_fixture") if row.key != fixture.key]
    held = sum("true" in ask.measure("pipe_at_fixture", row).words for row in others)
    if held >= ask.house.limit("complete_at_least", 2.0) and held >= ask.house.limit(
        "complete_share", 0.5
    ) * len(others):
        return truth(
            False,
            Evidence(f"{held} of {len(others)} other fixtures have pipes near them"),
            rung=Rung.INFERRED,
        )
    return unknown(
        "truth",
        Missing(
            "plumbing pipes", "the building", "draw the pipes of the fixtures, or add the plumber's model"
        ),
    )


@measure("length", of="any_pipe", item="part", example="368 mm clear, from 0.86 to 1.23 m from the south end")
def free_stud_bay(pipe: Part, part: Part, ask: Ask) -> Quantity:
    """Clear width of the nearest bay of the pierced part's wall that would take the pipe, metres.

    A bay is free when it is wider than the pipe with 10 mm of air on both sides (common practice, no
    source), and no tie, rod, other pipe or sill bolt's hardware stands in it. The text names it by a wall
    end.
    """
    line = next((row for row in ask.house.subjects("wall_line") if _band(row, part, 0.0)), None)
    radius = radius_of(pipe)
    stated = ask.house.stated(pipe, "outside_diameter")
    wide = float(stated.value) if stated is not None else 2 * radius if radius else None
    if line is None or part.box is None or wide is None:
        return unknown(
            "length", Missing("stud bays", "the building", "draw the framing of the wall"), low=0.0
        )
    uprights = sorted(
        _reach(line, row) for row in ask.house.with_role("stud", "post") if _band(line, row, 0.0)
    )
    taken = [
        _reach(line, row)
        for row in ask.house.with_role("rod", "hold_down", "strap", "any_pipe")
        if row is not pipe and _band(line, row, 0.0)
    ]
    taken += [(opening.start, opening.end) for opening in line.openings]
    place = float(line.along(part.box.centre)[0])
    bays = [
        (a[1], b[0])
        for a, b in pairwise(uprights)
        if b[0] - a[1] >= wide + 2 * AIR and not any(low < b[0] and high > a[1] for low, high in taken)
    ]
    if not bays:
        return unknown(
            "length",
            Missing("free stud bay", f"wall {line.name}", "find a way for the pipe outside the wall"),
            low=0.0,
        )
    low, high = min(bays, key=lambda bay: (round(abs((bay[0] + bay[1]) / 2 - place), 3), bay[0]))
    return exact(
        high - low,
        "length",
        Evidence(f"free bay of wall {line.name}", high - low, "length", Rung.INFERRED),
        rung=Rung.INFERRED,
        text=f"the bay between {low:.2f} and {high:.2f} m from the {line.compass[0]} end of wall {line.name}",
    )


def _reach(line: WallLine, part: Part) -> tuple[float, float]:
    assert part.box is not None
    along = line.along(part.box.corners)
    return float(along.min()), float(along.max())
