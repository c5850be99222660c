"""Measures of the collector: do the top plates run on from a shear wall into the wall it is in line with?"""

from __future__ import annotations

import numpy as np

from modellint.graph.boxed import boxed
from modellint.graph.wall_nodes import WallLine
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact
from modellint.roles.part import Part, Rung

# a wall goes on in line when one of the same direction stands within this of the end, metres; a plate joins both when
# it lies on each for the second length; a step in height above the third parts the plates (common practice, no source)
NEXT, LAP, STEP = 0.100, 0.300, 0.020


def _next_wall(line: WallLine, side: int, ask: Ask) -> Part | None:
    """The wall that goes on in line beyond an end (side -1 or +1) on the same storey."""
    end = 0.0 if side < 0 else line.length
    point = line.point(end + side * NEXT, (line.bottom + line.top) / 2)
    own = {wall.key for wall in line.walls}
    for part in boxed(ask.house, "shear_wall", "other_wall").over(float(point[0]), float(point[1]), 0.0):
        box = part.box
        if part.key in own or box is None or not box.contains(point, 0.001):
            continue
        along = box.axes[int(np.argmax(np.where(np.abs(box.axes[:, 2]) < 0.1, box.half, 0.0))), :2]
        if abs(float(along @ line.direction)) > 0.99:
            return part
    return None


def _runs_on(line: WallLine, at: float, ask: Ask) -> bool | None:
    """Whether a plate or strap joins both sides of a joint at the top; None if no plate is drawn on one of them."""
    sides = [False, False]
    for part in boxed(ask.house, "top_plate", "plate", "strap").within(line, line.top - 0.15, line.top + 0.10, 0.05):
        assert part.box is not None
        along = line.along(part.box.corners)
        low, high = float(along.min()), float(along.max())
        reach = LAP if not part.has("strap") else LAP / 2
        if low <= at - reach + 1e-6 and high >= at + reach - 1e-6:
            ask.part(part)
            return True
        if not part.has("strap"):
            sides[0] |= low <= at - NEXT <= high
            sides[1] |= low <= at + NEXT <= high
    # the band looks only as far as the line itself, so the other side is looked at from the joint
    sides[1 if at > 0 else 0] |= _plate_beyond(line, at, ask)
    return False if all(sides) else None


def _plate_beyond(line: WallLine, at: float, ask: Ask) -> bool:
    point = line.point(at + (NEXT if at > 0 else -NEXT), line.top - 0.02)
    rows = boxed(ask.house, "top_plate", "plate").over(float(point[0]), float(point[1]), 0.0)
    return any(part.box is not None and float(part.box.low[2]) >= line.bottom + 1.0
               and abs(float(part.box.high[2]) - line.top) < 1.0 for part in rows)


@measure("count", of="wall_line", example="1 where both top plates end at the joint with the next wall in line")
def parted_collectors(line: WallLine, ask: Ask) -> Quantity:
    """Ends of the wall at which the wall in line goes on, but no top plate or strap does; the text names them.

    A plate joins both walls when it lies on each for 300 mm; a strap, for 150 mm (common practice, no source). A
    joint at which no top plates are drawn may be parted or not.
    """
    parted, open_, seen = [], [], []
    for side, at in ((-1, 0.0), (1, line.length)):
        beyond = _next_wall(line, side, ask)
        if beyond is None or beyond.box is None:
            continue
        ask.part(beyond)
        word = line.compass[0 if side < 0 else 1]
        step = abs(float(beyond.box.high[2]) - line.top)
        joined = _runs_on(line, at, ask)
        words = f"{word} end, toward {beyond.name}" + (f", a step of {1000 * step:.0f} mm" if step > STEP else "")
        if joined is False:
            parted.append(words)
        elif joined is None:
            open_.append(words)
        seen.append(Evidence(words, {True: "joined", False: "parted", None: "no plates drawn"}[joined], "",
                             Rung.INFERRED, beyond.element.global_id))
    missing = (Missing("top_plate", "the building", "draw the top plates of the walls in line"),) if open_ else ()
    low, high = float(len(parted)), float(len(parted) + len(open_))
    text = "; ".join(parted) or "none"
    if low == high:
        return exact(low, "count", *seen, rung=Rung.INFERRED if seen else Rung.DECLARED, text=text)
    return between(low, high, "count", *seen, missing=missing, rung=Rung.INFERRED)
