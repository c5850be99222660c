"""Steel that carries the pull: ties, rods, straps, couplers, anchors and sill bolts."""

from __future__ import annotations

from .framing import bolt_places, sole_pieces, stud_height
from .pieces import Joint, Measure, Piece
from .plan import End, Plan, WallPlan
from .shapes import Shape, add, rod
from .sizes import (
    BOLT,
    BOLT_EMBEDMENT,
    DEPTH,
    PLY,
    ROD,
    ROD_EMBEDMENT,
    STEP,
    THREAD,
    TIE_ACROSS,
    TIE_ALONG,
    TIE_LENGTH,
    TIE_LIFT,
    WALL,
)

STEEL = "Steel, galvanised"
MID = DEPTH / 2
SEAT = 0.010
NUT = 0.014
TAKE_UP = 0.040


def hold_down(plan: Plan, wall: WallPlan) -> None:
    """Add what holds the ends of one wall, down to the storey below or the foundation."""
    for end in wall.ends():
        if wall.hold == "continuous":
            _continuous(plan, end)
            continue
        if wall.straps and wall.storey > 1:
            _strap(plan, end)
            continue
        base = _tie(plan, end, "base")
        top = _tie(plan, _below(plan, end), "top") if wall.storey > 1 else None
        _rod(plan, end, base, top)


def _below(plan: Plan, end: End) -> End:
    wall = plan.wall(end.wall.mark, end.wall.storey - 1)
    if wall is None:
        raise ValueError(f"nothing below {end.key}")
    return next(e for e in wall.ends() if e.side == end.side and e.segment.number == end.segment.number)


def _put(plan: Plan, end: End, name: str, what: tuple[str, str], shape: Shape, **more: object) -> Piece:
    kind, label = what
    return plan.house.add(
        Piece(f"{end.key}/{name}", kind, label, end.wall.storey, shape, end.wall.mark, material=STEEL, **more)
    )  # type: ignore[arg-type]


def _tie(plan: Plan, end: End, which: str) -> Piece:
    wall = end.wall
    low, high = stud_height(wall)
    z = (
        (low + TIE_LIFT, low + TIE_LIFT + TIE_LENGTH)
        if which == "base"
        else (high - TIE_LIFT - TIE_LENGTH, high - TIE_LIFT)
    )
    mark = "TD-2" if wall.storey == 1 else "TD-1"
    across = (MID - TIE_ACROSS / 2, MID + TIE_ACROSS / 2)
    piece = _put(
        plan,
        end,
        f"{which}-tie",
        ("hold_down", f"Tie-down {mark}"),
        wall.box(end.reach(wall.post, wall.post + TIE_ALONG), across, z, "z"),
        mark=mark,
        variant=which,
        type_name=f"Tie-down {mark}",
        props={"mark": mark, "rod_diameter": Measure(ROD)},
    )
    plan.house.joints.append(Joint("fastened_to", piece.key, f"{end.key}/post"))
    return piece


def nut_shape(end: End, z: float, diameter: float = ROD) -> Shape:
    """A nut of 14 mm height (across flats about 1.6 diameters), as a short round bar."""
    at = end.wall.point(end.rod, MID, z)
    return rod(at, add(at, (0.0, 0.0, NUT)), 1.6 * diameter)


def _rod(plan: Plan, end: End, base: Piece, top: Piece | None) -> None:
    wall = end.wall
    seat = wall.base + PLY + TIE_LIFT
    head = seat + THREAD
    _put(plan, end, "base-nut", ("nut", "Hex nut M16"), nut_shape(end, seat + SEAT), type_name="Hex nut M16")
    if top is None:
        foot = -ROD_EMBEDMENT
        name, label, kind = "anchor", "Anchor rod 15.9 mm", "rod"
        props = {"rod_diameter": Measure(ROD), "embedment": Measure(ROD_EMBEDMENT)}
    else:
        below = wall.base - STEP + PLY + WALL - PLY - 2 * PLY - TIE_LIFT
        foot = below - THREAD
        name, label, kind = "rod", "Threaded rod 15.9 mm", "rod"
        props = {"rod_diameter": Measure(ROD)}
        lower = top.key.rsplit("/", 1)[0]
        plan.house.add(
            Piece(
                f"{lower}/top-nut",
                "nut",
                "Hex nut M16",
                wall.storey - 1,
                nut_shape(end, below - SEAT - NUT),
                wall.mark,
                material=STEEL,
                type_name="Hex nut M16",
            )
        )
    piece = _put(
        plan,
        end,
        name,
        (kind, label),
        rod(wall.point(end.rod, MID, foot), wall.point(end.rod, MID, head), ROD),
        props=props,
        variant="anchor" if top is None else "tie-rod",
    )
    joints = plan.house.joints
    joints.append(Joint("threaded_into", piece.key, base.key))
    concrete = foundation_key(wall)
    if top is None:
        joints.append(Joint("embedded_in", piece.key, concrete))
    else:
        joints.append(Joint("threaded_into", piece.key, top.key))
    joints.append(Joint("rod", base.key, concrete if top is None else top.key, piece.key))


def foundation_key(wall: WallPlan) -> str:
    """Key of the concrete right under a wall."""
    return f"foundation/{'stem' if wall.exterior else 'thickening'}-{wall.mark}"


def _strap(plan: Plan, end: End) -> None:
    wall = end.wall
    middle = sum(end.post) / 2
    s = (middle - 0.016, middle + 0.016)
    low, high = wall.base - STEP + WALL - 2 * PLY, wall.base + PLY
    piece = _put(
        plan,
        end,
        "strap",
        ("strap", "Strap tie ST-1 32x1.5"),
        wall.box(s, (-0.0015, 0.0), (low - 0.45, high + 0.45)),
        mark="ST-1",
        type_name="Strap tie ST-1",
        props={"mark": "ST-1"},
    )
    for post in (f"{end.key}/post", f"{_below(plan, end).key}/post"):
        plan.house.joints.append(Joint("fastened_to", piece.key, post))


def _continuous(plan: Plan, end: End) -> None:
    """One rod piece per storey, coupled 1.2 m above the floors; a plate and nut on each top plate."""
    wall = end.wall
    last = wall.storey == plan.storeys
    foot = -ROD_EMBEDMENT if wall.storey == 1 else wall.base + 1.2
    head = wall.top + 0.120 if last else wall.base + STEP + 1.2
    piece = _put(
        plan,
        end,
        "rod",
        ("rod", "Continuous rod 15.9 mm"),
        rod(wall.point(end.rod, MID, foot), wall.point(end.rod, MID, head), ROD),
        props={"rod_diameter": Measure(ROD)},
        variant="continuous",
    )
    joints = plan.house.joints
    if wall.storey == 1:
        piece.props["embedment"] = Measure(ROD_EMBEDMENT)
        joints.append(Joint("embedded_in", piece.key, foundation_key(wall)))
    else:
        at = wall.point(end.rod, MID, wall.base + 1.2)
        coupler = _put(
            plan,
            end,
            "coupler",
            ("coupler", "Coupler nut M16"),
            rod(add(at, (0, 0, -0.025)), add(at, (0, 0, 0.025)), 1.7 * ROD),
            type_name="Coupler nut M16",
        )
        joints.append(Joint("threaded_into", piece.key, coupler.key))
        joints.append(Joint("threaded_into", f"{_below(plan, end).key}/rod", coupler.key))
    s = (end.rod - 0.038, end.rod + 0.038)
    _put(
        plan,
        end,
        "bearing-plate",
        ("bearing_plate", "Bearing plate 76x64x12"),
        wall.box(s, (MID - 0.032, MID + 0.032), (wall.top, wall.top + 0.012), "z"),
        type_name="Bearing plate 76x64x12",
    )
    seat = wall.top + 0.012
    at = wall.point(end.rod, MID, seat)
    _put(
        plan,
        end,
        "take-up",
        ("take_up", "Take-up TU-1"),
        rod(at, add(at, (0.0, 0.0, TAKE_UP)), 2.4 * ROD),
        mark="TU-1",
        type_name="Take-up TU-1",
    )
    _put(
        plan,
        end,
        "bearing-nut",
        ("nut", "Hex nut M16"),
        nut_shape(end, seat + TAKE_UP),
        type_name="Hex nut M16",
    )


def sill_bolts(plan: Plan, wall: WallPlan) -> None:
    """Bolts, plate washers and nuts along a ground-storey shear wall; at least two in each plate piece."""
    pieces = sole_pieces(wall)
    for k, s in enumerate(bolt_places(wall), 1):
        plate = next(n for n, (a, b) in enumerate(pieces, 1) if a < s < b)
        top = PLY + 0.006
        for name, kind, label, shape in (
            (
                "bolt",
                "anchor_bolt",
                "Anchor bolt 12.7x240",
                rod(wall.point(s, MID, -BOLT_EMBEDMENT), wall.point(s, MID, 0.062), BOLT),
            ),
            (
                "washer",
                "plate_washer",
                "Plate washer 77x130x6",
                wall.box((s - 0.0385, s + 0.0385), (MID - 0.065, MID + 0.065), (PLY, top), "z"),
            ),
            (
                "nut",
                "nut",
                "Hex nut M12",
                rod(wall.point(s, MID, top), wall.point(s, MID, top + 0.011), 1.6 * BOLT),
            ),
        ):
            props = (
                {"bolt_diameter": Measure(BOLT), "embedment": Measure(BOLT_EMBEDMENT)}
                if name == "bolt"
                else {}
            )
            plan.house.add(
                Piece(
                    f"{wall.key}/{name}-{k}",
                    kind,
                    label,
                    1,
                    shape,
                    wall.mark,
                    material=STEEL,
                    props=props,
                    type_name=label,
                    variant=f"{wall.key}/sole-{plate}",
                )
            )
        plan.house.joints.append(Joint("embedded_in", f"{wall.key}/bolt-{k}", foundation_key(wall)))
