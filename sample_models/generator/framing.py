"""Wood framing of one wall: plates, studs, end posts, headers and sheathing, each touching the next."""

from __future__ import annotations

from itertools import pairwise

from .pieces import Measure, Opening, Piece
from .plan import Hole, Plan, WallPlan
from .sizes import DEPTH, HEADER, PANEL, PANEL_WIDTH, PLY, SPACING, STUD

WOOD = "Spruce-pine-fir, No. 2"
TREATED = "Southern pine, preservative treated"
LONGEST_PLATE = 4.88
LAP = 0.66
Interval = tuple[float, float]


def frame_wall(plan: Plan, wall: WallPlan) -> None:
    """Add a wall and all its wood."""
    house = plan.house
    props: dict[str, object] = {"exterior": wall.exterior, "load_bearing": wall.shear or wall.exterior}
    if wall.shear:
        props |= {
            "sheathing_thickness": Measure(PANEL),
            "edge_nail_spacing": Measure(0.1016),
            "field_nail_spacing": Measure(0.3048),
            "nail_diameter": Measure(0.00333),
            "sheathed_sides": 1,
        }
    label = f"{wall.mark} shear wall" if wall.shear else f"{wall.mark} partition"
    house.add(
        Piece(
            wall.key,
            "shear_wall" if wall.shear else "other_wall",
            label,
            wall.storey,
            wall.box((0, wall.length), (0, DEPTH), (wall.base, wall.top), "z"),
            wall.mark,
            wall.mark,
            WOOD,
            props,
            type_name="Shear wall 2x6" if wall.shear else "Partition 2x6",
            axis=(wall.point(0, DEPTH / 2, wall.base), wall.point(wall.length, DEPTH / 2, wall.base)),
        )
    )
    taken = _end_studs(plan, wall)
    _plates(plan, wall)
    for number, hole in enumerate(wall.holes, 1):
        taken += _opening(plan, wall, number, hole)
    _studs(plan, wall, taken)
    if wall.shear:
        _sheathing(plan, wall)


def sole_pieces(wall: WallPlan) -> list[Interval]:
    """Lengths of the sole plate: cut at doors, spliced where it would be too long to buy."""
    runs, start = [], 0.0
    for hole in wall.holes:
        if hole.what == "door":
            runs.append((start, hole.start))
            start = hole.end
    runs.append((start, wall.length))
    return [piece for run in runs if run[1] - run[0] > 1e-9 for piece in _spliced(run, wall)]


def _spliced(run: Interval, wall: WallPlan) -> list[Interval]:
    count = int((run[1] - run[0]) / LONGEST_PLATE) + 1
    cuts = [run[0]]
    for k in range(1, count):
        cut = round(run[0] + k * (run[1] - run[0]) / count, 3)
        for end in wall.ends() if wall.shear else []:
            low, high = end.reach(-PLY, wall.post + 0.35)
            if low < cut < high:
                cut = round(high if end.side == "a" else low, 3)
        cuts.append(cut)
    cuts.append(run[1])
    return list(pairwise(cuts))


def _member(
    plan: Plan,
    wall: WallPlan,
    key: str,
    what: tuple[str, str],
    at: tuple[Interval, Interval, str],
    *,
    variant: str = "",
    material: str = WOOD,
    t: Interval = (0.0, DEPTH),
) -> Piece:
    """Add one piece of wood: `what` is its kind and name, `at` its length, height and sweep."""
    kind, name = what
    s, z, sweep = at
    return plan.house.add(
        Piece(
            f"{wall.key}/{key}",
            kind,
            name,
            wall.storey,
            wall.box(s, t, z, sweep),
            wall.mark,
            material=material,
            parent=wall.key,
            variant=variant,
            type_name=name,
        )
    )


def _plates(plan: Plan, wall: WallPlan) -> None:
    ground = wall.storey == 1 and wall.shear
    kind, name = (
        ("sill_plate", "Sill plate 38x140 treated") if ground else ("bottom_plate", "Sole plate 38x140")
    )
    for k, piece in enumerate(sole_pieces(wall), 1):
        _member(
            plan,
            wall,
            f"sole-{k}",
            (kind, name),
            (piece, (wall.base, wall.base + PLY), "s"),
            material=TREATED if wall.storey == 1 else WOOD,
        )
    low = wall.base + PLY + STUD
    lower = _spliced((0.0, wall.length), wall)
    cuts = [0.0, *(b + LAP for _, b in lower[:-1] if b + LAP < wall.length - LAP), wall.length]
    for course, pieces in (("lower", lower), ("upper", list(pairwise(cuts)))):
        z = (low, low + PLY) if course == "lower" else (low + PLY, low + 2 * PLY)
        for k, piece in enumerate(pieces, 1):
            _member(
                plan,
                wall,
                f"top-{course}-{k}",
                ("top_plate", "Top plate 38x140"),
                (piece, z, "s"),
                variant=course,
            )


def stud_height(wall: WallPlan) -> Interval:
    """Elevations of the ends of full-height studs."""
    return (wall.base + PLY, wall.base + PLY + STUD)


def _end_studs(plan: Plan, wall: WallPlan) -> list[Interval]:
    """Posts or end studs at both ends of every segment; returns what they and their ties take up."""
    taken: list[Interval] = []
    for end in wall.ends():
        mark = f"{end.segment.number}{end.side}"
        if wall.shear:
            post = _member(
                plan,
                wall,
                f"{mark}/post",
                ("post", f"End post {round(wall.post / PLY)}-38x140"),
                (end.post, stud_height(wall), "z"),
            )
            post.props["ply_fastening"] = "16d common nails, two rows, 150 mm staggered"
            taken.append(end.reach(-PLY, wall.post + 0.075))
        else:
            _member(
                plan,
                wall,
                f"{mark}/end-stud",
                ("stud", "Stud 38x140"),
                (end.reach(0, PLY), stud_height(wall), "z"),
                variant="end",
            )
            taken.append(end.reach(-PLY, PLY))
    return taken


def _opening(plan: Plan, wall: WallPlan, number: int, hole: Hole) -> list[Interval]:
    low, high = stud_height(wall)
    head, sill = wall.base + hole.head, wall.base + hole.sill
    key = f"opening-{number}"
    for side, s in (("a", (hole.start - PLY, hole.start)), ("b", (hole.end, hole.end + PLY))):
        _member(
            plan,
            wall,
            f"{key}/trimmer-{side}",
            ("stud", "Trimmer stud 38x140"),
            (s, (low, head), "z"),
            variant="trimmer",
        )
    over = (hole.start - PLY, hole.end + PLY)
    _member(plan, wall, f"{key}/header", ("header", "Header 140x235"), (over, (head, head + HEADER), "s"))
    for k, s in enumerate(_spread(wall, hole), 1):
        around = (s - PLY / 2, s + PLY / 2)
        if high - head - HEADER > 0.01:
            _member(
                plan,
                wall,
                f"{key}/cripple-top-{k}",
                ("stud", "Cripple stud 38x140"),
                (around, (head + HEADER, high), "z"),
                variant="cripple",
            )
        if hole.what == "window":
            _member(
                plan,
                wall,
                f"{key}/cripple-{k}",
                ("stud", "Cripple stud 38x140"),
                (around, (low, sill - PLY), "z"),
                variant="cripple",
            )
    if hole.what == "window":
        _member(
            plan,
            wall,
            f"{key}/sill",
            ("rough_sill", "Rough sill 38x140"),
            ((hole.start, hole.end), (sill - PLY, sill), "s"),
        )
    _fill(plan, wall, number, hole)
    return [over]


def _spread(wall: WallPlan, hole: Hole) -> list[float]:
    """Places of the cripple studs in an opening: at both sides and in between, clear of sill bolts."""
    count = max(2, round((hole.end - hole.start) / SPACING) + 1)
    step = (hole.end - hole.start - PLY) / (count - 1)
    wanted = [hole.start + PLY / 2 + k * step for k in range(count)]
    if wall.storey > 1 or not wall.shear:
        return wanted
    busy = [(s - 0.040, s + 0.040) for s in bolt_places(wall)]
    free = [free_place(round(s, 4), PLY / 2, busy, (hole.start, hole.end)) for s in wanted]
    return [s for s in free if s is not None]


def _fill(plan: Plan, wall: WallPlan, number: int, hole: Hole) -> None:
    house, base = plan.house, wall.base
    key = f"{wall.key}/opening-{number}"
    house.add(
        Piece(
            f"{key}/void",
            "opening",
            f"Opening {number} in {wall.mark}",
            wall.storey,
            wall.box((hole.start, hole.end), (-PANEL, DEPTH), (base + hole.sill, base + hole.head), "z"),
            wall.mark,
        )
    )
    kind = hole.what
    name = hole.name or f"{kind.capitalize()} {wall.mark}-{number}"
    house.add(
        Piece(
            f"{key}/{kind}",
            kind,
            name,
            wall.storey,
            wall.box(
                (hole.start + 0.01, hole.end - 0.01),
                (0.02, 0.10),
                (base + hole.sill + 0.005, base + hole.head - 0.01),
                "z",
            ),
            wall.mark,
            material="Wood frame, glazed" if kind == "window" else "Wood",
            props={
                "operable": hole.operable,
                "exterior": wall.exterior,
                "overall_width": Measure(hole.end - hole.start),
                "overall_height": Measure(hole.head - hole.sill),
            },
            type_name=f"{kind.capitalize()} {round((hole.end - hole.start) * 1000)}",
        )
    )
    house.openings[f"{key}/void"] = Opening(f"{key}/void", wall.key, f"{key}/{kind}")


def _studs(plan: Plan, wall: WallPlan, taken: list[Interval]) -> None:
    bolts = [(s - 0.040, s + 0.040) for s in bolt_places(wall)] if wall.storey == 1 and wall.shear else []
    busy = taken + bolts
    if not wall.shear and wall.along == 0:
        busy.append((plan.stack[0] - wall.origin[0] - 0.09, plan.stack[0] - wall.origin[0] + 0.09))
    count = 0
    for k in range(1, int(wall.length / SPACING) + 1):
        place = free_place(round(k * SPACING, 4), PLY / 2, busy, (0.0, wall.length))
        if place is None:
            continue
        count += 1
        s = (place - PLY / 2, place + PLY / 2)
        busy = [*busy, s]
        _member(plan, wall, f"stud-{count}", ("stud", "Stud 38x140"), (s, stud_height(wall), "z"))


def free_place(
    wanted: float, half: float, busy: list[Interval], within: Interval, most: float = 0.15
) -> float | None:
    """The free place nearest to the wanted one, in steps of 5 mm; None if there is none."""
    for k in range(int(most / 0.005) + 1):
        for place in (wanted - k * 0.005, wanted + k * 0.005):
            low, high = place - half, place + half
            inside = low >= within[0] - 1e-9 and high <= within[1] + 1e-9
            if inside and all(high <= a + 1e-9 or low >= b - 1e-9 for a, b in busy):
                return round(place, 4)
    return None


def bolt_places(wall: WallPlan) -> list[float]:
    """Places of the sill bolts along a ground-storey shear wall: clear of posts and ties."""
    edges = {round(edge, 6) for seg in wall.segments() for edge in (seg.start, seg.end)}
    busy = [end.reach(-PLY, wall.post + 0.070) for end in wall.ends()]
    busy += [(h.start - PLY, h.start) for h in wall.holes] + [(h.end, h.end + PLY) for h in wall.holes]
    places: list[float] = []
    for start, end in sole_pieces(wall):
        low = start + _bolt_inset(wall, start, edges)
        high = end - _bolt_inset(wall, end, edges)
        count = max(1, -(-int((high - low) * 1000) // 1500))
        inner = [low + k * (high - low) / count for k in range(1, count)]
        moved = [free_place(round(s, 3), 0.040, busy, (low, high), 0.2) for s in inner]
        places += [low, *(s for s in moved if s is not None), high]
    return places


def _bolt_inset(wall: WallPlan, edge: float, edges: set[float]) -> float:
    if round(edge, 6) not in edges:
        return 0.150
    at_wall_end = edge < 1e-6 or edge > wall.length - 1e-6
    return wall.post + 0.070 + 0.045 + (0.0 if at_wall_end else PLY)


def _sheathing(plan: Plan, wall: WallPlan) -> None:
    """Panels on the outer face, at most 1220 wide: full height beside openings, pieces above and below."""
    proud = 0.0015 if wall.straps else 0.0
    top = wall.top - (0.008 if wall.storey == plan.storeys else 0.0)
    fields = [((seg.start, seg.end), (wall.base, top)) for seg in wall.segments()]
    for hole in wall.holes:
        fields.append(((hole.start, hole.end), (wall.base + hole.head, top)))
        if hole.what == "window":
            fields.append(((hole.start, hole.end), (wall.base, wall.base + hole.sill)))
    count = 0
    for (start, end), z in fields:
        panels = int((end - start - 1e-6) / PANEL_WIDTH) + 1
        for k in range(panels):
            count += 1
            s = (start + k * PANEL_WIDTH, min(end, start + (k + 1) * PANEL_WIDTH))
            piece = _member(
                plan,
                wall,
                f"panel-{count}",
                ("sheathing", "OSB sheathing 11 mm"),
                (s, z, "t"),
                material="Oriented strand board",
                t=(-PANEL - proud, -proud),
            )
            piece.props["sheathing_thickness"] = Measure(PANEL)
