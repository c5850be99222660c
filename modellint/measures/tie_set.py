"""Measures of the hardware at a wall end as one set: device, rod, post and anchorage of one schedule row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from modellint.graph.continuous_rod import is_continuous, plates_of
from modellint.graph.foundation import embedment, foundations
from modellint.graph.lever_arms import compression_post, inset_in, post_thickness, tension_line
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.chain_links import ROD_SLACK, WOOD_SLACK, anchor_edges, own_steps, rod_diameter
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, truth, unknown
from modellint.measures.rod_run import rods_of
from modellint.measures.schedule_rows import end_row, rod_run_row, tie_mark_of, tie_row
from modellint.roles.part import Part, Rung

# a rod may stand this far off the centreline offset its device was rated for (common practice, no source)
OFFSET_SLACK = 0.010


@dataclass(eq=False)
class SetPart:
    """One thing that the schedule row of a tie asks for at a wall end. Subject kind `set_part`.

    Attributes:
        fits: whether it is as asked; None if the model does not show it.
    """

    key: str
    text: str
    fits: bool | None
    pieces: tuple[Part, ...]
    line: int

    @property
    def name(self) -> str:
        """What was seen and what the row asks for."""
        return self.text

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts it is about."""
        return self.pieces

    def rung_as(self, role: str) -> Rung:
        """The schedule names it."""
        return Rung.SCHEDULED


def _mm(value: float | None) -> str:
    return "not drawn" if value is None else f"{1000 * value:.4g} mm"


def set_of(end: WallEnd, ask: Ask) -> tuple[SetPart, ...]:
    """What the row of this end's base tie asks for, each compared with the model."""
    tie = tension_line(end)
    row = tie_row(ask, tie_mark_of(tie, ask)) if tie is not None and tie.has("hold_down") else None
    if is_continuous(end):
        return _run(end, ask)
    rod = next(
        (part for step in own_steps(end) for part in step.pieces if part.has("rod") and step.end is end), None
    )
    if tie is None or row is None:
        return _own(end, tie, rod, ask)
    post = compression_post(end)
    rows = [*_rod(end, rod, row, ask), *_post(end, post, row), *_offset(end, rod, post, row)]
    if end.below is None and rod is not None:
        rows += _anchor(end, rod, row, ask)
    return tuple(
        SetPart(
            f"{end.key}|set|{name}",
            f"{text}, row {row.get('mark')} asks for {asked}",
            fits,
            tuple(part for part in pieces if part is not None),
            row.line,
        )
        for name, text, asked, fits, pieces in rows
    )


def _own(end: WallEnd, tie: Part | None, rod: Part | None, ask: Ask) -> tuple[SetPart, ...]:
    """What the device itself states of its rod, where no schedule row speaks of it."""
    stated = ask.house.stated(tie, "rod_diameter") if tie is not None and tie.has("hold_down") else None
    if tie is None or rod is None or stated is None:
        return ()
    return tuple(
        SetPart(f"{end.key}|set|{name}", f"{text}, {tie.name} itself asks for {asked}", fits, (rod,), 0)
        for name, text, asked, fits, _ in _rod(end, rod, {"rod_diameter": stated.value}, ask)
    )


def _run(end: WallEnd, ask: Ask) -> tuple[SetPart, ...]:
    """What the rod-run schedule asks for at this storey: rod and bearing plate."""
    row = rod_run_row(ask, end.line)
    if row is None:
        return ()
    rows: list[_Row] = []
    for number, rod in enumerate(rods_of(end), 1):
        if end.below is not None and number == 1 and len(rods_of(end)) > 1 and _mostly_above(rod, end):
            continue
        rows += [(f"{made[0]} {number}", made[1], made[2], made[3], made[4]) for made in _rod(end, rod, row, ask)]
    plates = [part for part in plates_of(end) if part.box is not None]
    for plate in plates[:1]:
        sides = sorted((2 * float(half) for half in plate.box.half), reverse=True) if plate.box is not None else []
        asked = sorted((row.get(name) for name in ("plate_width", "plate_length") if row.get(name)), reverse=True)
        wanted = [*asked, *([row.get("plate_thickness")] if row.get("plate_thickness") else [])]
        drawn = [*sides[: len(asked)], *(sides[2:] if row.get("plate_thickness") else [])]
        if wanted:
            fits = all(side >= least - WOOD_SLACK for side, least in zip(drawn, wanted, strict=True))
            rows.append(("plate", f"bearing plate {_mm_by(drawn)}", _mm_by(wanted), fits, (plate,)))
    return tuple(
        SetPart(f"{end.key}|set|{name}", f"{text}, the rod-run schedule asks for {asked_for}", fits,
                tuple(part for part in pieces if part is not None), row.line)
        for name, text, asked_for, fits, pieces in rows
    )


def _mostly_above(rod: Part, end: WallEnd) -> bool:
    """Whether a piece belongs to the storey above: most of it stands over this storey's plates."""
    if rod.box is None:
        return False
    return float(rod.box.high[2]) - end.segment.top > end.segment.top - float(rod.box.low[2])


def _mm_by(sizes: list[float]) -> str:
    return " x ".join(f"{1000 * size:.4g}" for size in sizes) + " mm"


_Row = tuple[str, str, str, bool | None, tuple[Part | None, ...]]


def _rod(end: WallEnd, rod: Part | None, row: Any, ask: Ask) -> list[_Row]:
    asked = row.get("rod_diameter")
    if asked is None:
        return []
    wide = rod_diameter(rod, ask) if rod is not None else None
    return [
        ("rod", f"rod {_mm(wide)}", _mm(asked), None if wide is None else wide >= asked - ROD_SLACK, (rod,))
    ]


def _post(end: WallEnd, post: Part | None, row: Any) -> list[_Row]:
    asked = row.get("minimum_post_thickness")
    if asked is None:
        return []
    thick = post_thickness(end, post) if post is not None else None
    return [
        (
            "post",
            f"post {_mm(thick)} thick",
            _mm(asked),
            None if thick is None else thick >= asked - WOOD_SLACK,
            (post,),
        )
    ]


def _offset(end: WallEnd, rod: Part | None, post: Part | None, row: Any) -> list[_Row]:
    asked = row.get("centreline_offset")
    if asked is None:
        return []
    off = None
    if rod is not None and post is not None and rod.box is not None and (thick := post_thickness(end, post)):
        off = abs(inset_in(end, rod) - inset_in(end, post)) - thick / 2
    return [
        (
            "offset",
            f"rod {_mm(off)} off the face of its post",
            _mm(asked),
            None if off is None else off <= asked + OFFSET_SLACK,
            (rod, post),
        )
    ]


def _anchor(end: WallEnd, rod: Part, row: Any, ask: Ask) -> list[_Row]:
    found: list[_Row] = []
    ground = foundations(ask.house)
    drawn = rod.axis is not None and bool(ground)
    deep, holder = embedment(ground, rod.axis) if drawn and rod.axis is not None else (None, None)
    if (asked := row.get("anchor_embedment")) is not None:
        found.append(
            (
                "embedment",
                f"anchor {_mm(deep)} deep in concrete",
                _mm(asked),
                None if deep is None else deep >= asked - 1e-4,
                (rod, holder),
            )
        )
    if (asked := row.get("anchor_edge_distance")) is not None:
        edges = anchor_edges(rod, end, ask) if deep else None
        near = min(edges) if edges else None
        found.append(
            (
                "edge",
                f"anchor {_mm(near)} from the edge of the concrete",
                _mm(asked),
                None if near is None else near >= asked - 1e-4,
                (rod, holder),
            )
        )
    return found


@named_set(of="wall_end", gives="set_part")
def set_parts(end: WallEnd, ask: Ask) -> Members:
    """Rod, post, offset, embedment and edge distance that the schedule row of this end's tie asks for."""
    found, tie = set_of(end, ask), tension_line(end)
    for part in (*((tie,) if tie is not None else ()), *(piece for row in found for piece in row.pieces)):
        ask.part(part)
    return Members(found, True)


@measure(
    "truth", of="wall_end", item="set_part", example="false for a 16 mm rod where the row asks for 22 mm"
)
def part_as_scheduled(end: WallEnd, part: SetPart, ask: Ask) -> Quantity:
    """Whether one part of the set is at least what the tie's schedule row asks for."""
    table = f"{'rod-run' if 'rod-run' in part.text else 'hold-down'} schedule, line {part.line}"
    seen = Evidence(
        f"{part.text}; {table if part.line else 'property of the device'}",
        rung=Rung.SCHEDULED,
        global_id=part.pieces[0].element.global_id if part.pieces else "",
    )
    if part.fits is None:
        return Quantity(
            "truth",
            words=frozenset({"true", "false"}),
            evidence=(seen,),
            missing=(Missing(part.key.rsplit("|", 1)[-1], end.name, "draw it, or state its size"),),
        )
    return truth(part.fits, seen, rung=Rung.SCHEDULED)


@measure("truth", of="wall_end", example="true where the wall-end schedule names TD-2 for this end")
def tie_is_scheduled(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the wall-end schedule names a tie for this end."""
    row = end_row(ask, end)
    mark = str(row.get("tie") or "") if row is not None else ""
    return truth(mark.lower() not in {"", "none"})


@measure("truth", of="wall_end", example="false for TD-1 where the schedule puts TD-2")
def tie_as_scheduled(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the base tie is the scheduled one, or a stronger one with its whole set.

    A device with a larger allowable tension counts only if rod, post and anchorage are those of its own row.
    """
    row, tie = end_row(ask, end), tension_line(end)
    if row is None or tie is None or not tie.has("hold_down"):
        return unknown("truth", Missing("hold_down", end.name, "draw the tie-down"))
    ask.part(tie)
    wanted, found = str(row.get("tie") or "").strip(), tie_mark_of(tie, ask).strip()
    seen = Evidence(
        f"{tie.name}; wall-end schedule, line {row.line}: {wanted}",
        rung=Rung.SCHEDULED,
        global_id=tie.element.global_id,
    )
    text = f"{found} where the schedule puts {wanted}"
    if wanted.lower() == found.lower():
        return truth(True, seen, rung=Rung.SCHEDULED)
    old, new = tie_row(ask, wanted), tie_row(ask, found)
    stronger = (
        old is not None
        and new is not None
        and old.get("level") == new.get("level")
        and (new.get("allowable_tension") or 0.0) >= (old.get("allowable_tension") or float("inf"))
    )
    if not stronger:
        return truth(False, seen, rung=Rung.SCHEDULED, text=text)
    fits = [part.fits for part in set_of(end, ask)]
    if False in fits:
        return truth(
            False, seen, rung=Rung.SCHEDULED, text=f"{text}, without the rod, post or anchor of {found}"
        )
    if None in fits or not fits:
        return unknown("truth", Missing("hardware set", end.name, f"draw what row {found} asks for"))
    return truth(True, seen, rung=Rung.SCHEDULED)
