"""Seeded defects along the soil-gas vent: joints, fall, sizes, labels."""

from __future__ import annotations

from dataclasses import replace

from ..pieces import House, Measure, Piece, PipeJoint
from ..shapes import Tube, Vec
from ..sizes import PIPE_OUTSIDE
from ..soil_gas import COUPLING
from .base import Defect
from .edit import BOTH, both, ends_of, on, raised, retube, shift, top_storey

BEND_LEG = 0.10


def _collector_keys(house: House) -> list[str]:
    marks = ("collector", "cap", "crossing", "coupling-crossing", "tee")
    return [k for k in house.pieces if k.startswith("soil-gas/") and k.split("/")[1].startswith(marks)]


def collector_missing(house: House) -> None:
    """The riser starts in the gravel without tee or perforated pipe."""
    house.remove(*_collector_keys(house))


def collector_in_soil(house: House) -> None:
    """Tee and perforated pipes lie 350 mm deeper, in the soil under the gravel."""
    shift(house, _collector_keys(house), (0.0, 0.0, -0.350))
    riser = house.pieces["soil-gas/riser-1"]
    retube(riser, start=raised(riser.ports[0], -0.350))


def riser_gap(house: House) -> None:
    """The second riser starts 42 mm over the coupling it should sit in."""
    riser = house.pieces["soil-gas/riser-2"]
    retube(riser, start=raised(riser.ports[0], 0.042))


def coupling_missing(house: House) -> None:
    """The coupling between the first two risers is gone."""
    house.remove("soil-gas/coupling-1")


def set_fall(house: House, rise: float) -> None:
    """Rebuild the attic offset so that its far end lies `rise` metres over its near end."""
    low, high = house.pieces["soil-gas/bend-1"], house.pieces["soil-gas/bend-2"]
    a: Vec = low.shape.points[1]  # type: ignore[union-attr]
    b: Vec = high.shape.points[1]  # type: ignore[union-attr]
    b = (b[0], b[1], a[2] + rise)
    run = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2 + rise**2) ** 0.5
    way = ((b[0] - a[0]) / run, (b[1] - a[1]) / run, rise / run)
    near: Vec = (a[0] + BEND_LEG * way[0], a[1] + BEND_LEG * way[1], a[2] + BEND_LEG * way[2])
    far: Vec = (b[0] - BEND_LEG * way[0], b[1] - BEND_LEG * way[1], b[2] - BEND_LEG * way[2])
    up = raised(b, BEND_LEG)
    for piece, points in ((low, (raised(a, -BEND_LEG), a, near)), (high, (far, b, up))):
        piece.shape = replace(piece.shape, points=points)  # type: ignore[type-var]
        piece.ports = (points[0], points[-1])
    retube(house.pieces["soil-gas/offset"], near, far)
    retube(house.pieces["soil-gas/exit"], start=up)


def falls_wrong(house: House) -> None:
    """The attic offset falls 20 mm away from the suction side."""
    set_fall(house, -0.020)


def falls_flat(house: House) -> None:
    """The attic offset falls back at 0.5 % only."""
    set_fall(house, 0.005 * 1.2)


def low_point(house: House) -> None:
    """The attic offset sags 40 mm at a coupling in its middle."""
    offset = house.pieces["soil-gas/offset"]
    start, end = offset.ports
    half = COUPLING / 2
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2, min(start[2], end[2]) - 0.040)
    left, right = (middle[0] - half, middle[1], middle[2]), (middle[0] + half, middle[1], middle[2])
    retube(offset, end=left)
    house.add(
        replace(
            offset,
            key="soil-gas/offset-2",
            name="Soil-gas attic offset, second piece",
            shape=replace(offset.shape, points=(right, end)),
            ports=(right, end),
        )
    )  # type: ignore[type-var]
    coupling = house.pieces["soil-gas/coupling-1"]
    house.add(
        replace(
            coupling,
            key="soil-gas/coupling-offset",
            storey=offset.storey,
            ports=(left, right),
            shape=replace(coupling.shape, points=(left, right)),
        )
    )  # type: ignore[type-var]
    house.pipe_joints = [j for j in house.pipe_joints if (j.first, j.first_port) != ("soil-gas/offset", 1)]
    house.pipe_joints += [
        PipeJoint("soil-gas/offset", 1, "soil-gas/coupling-offset", 0),
        PipeJoint("soil-gas/coupling-offset", 1, "soil-gas/offset-2", 0),
        PipeJoint("soil-gas/offset-2", 1, "soil-gas/bend-2", 0),
    ]


def resize(house: House, keys: list[str], outside: float, bore: float) -> None:
    """Give pipes and fittings another size, in shape and properties."""
    for key in keys:
        piece = house.pieces[key]
        if not isinstance(piece.shape, Tube):
            continue
        more = 0.0 if piece.kind in ("vent_pipe", "collector") else 0.006
        piece.shape = replace(piece.shape, radius=outside / 2 + more, inner=piece.shape.inner and bore / 2)
        piece.more_shapes = tuple(
            replace(s, radius=outside / 2 + more, inner=bore / 2)
            for s in piece.more_shapes
            if isinstance(s, Tube)
        )
        piece.props = piece.props | {"outside_diameter": Measure(outside), "inside_diameter": Measure(bore)}
        if piece.kind in ("vent_pipe", "collector"):
            piece.type_name = f"PVC pipe {outside * 1000:.1f}"


def shrinks_upward(house: House) -> None:
    """From the second riser up the pipe is 89 mm instead of 114 mm; the coupling is a reducer."""
    upper = ("riser-2", "riser-3", "coupling-2", "bend", "offset", "exit", "terminal")
    resize(
        house,
        [k for k in house.pieces if k.startswith("soil-gas/") and k.split("/")[1].startswith(upper)],
        0.0889,
        0.0779,
    )
    reducer = house.pieces["soil-gas/coupling-1"]
    reducer.variant, reducer.name, reducer.type_name = "reducer", "Reducer 114x89", "Reducer 114x89"


def too_small(house: House) -> None:
    """The whole system is 60 mm pipe with a 52.5 mm bore."""
    resize(
        house,
        [k for k, p in house.pieces.items() if k.startswith("soil-gas/") and "outside_diameter" in p.props],
        0.0603,
        0.0525,
    )
    closer = (PIPE_OUTSIDE - 0.0603) / 2
    for key in [key for key in house.pieces if key.startswith("soil-gas/support-")]:
        shift(house, [key], (0.0, 0.0, closer) if key.endswith("offset") else (-closer, 0.0, 0.0))


def label_missing(house: House) -> None:
    """No label on the upper storey."""
    house.remove("soil-gas/label-2")


def shared_vent(house: House) -> None:
    """A pipe in the attic joins the plumbing vent to the soil-gas riser."""
    stack = house.pieces["plumbing/vent"]
    riser = house.pieces[f"soil-gas/riser-{top_storey(house.name)}"]
    z = riser.ports[1][2] - 0.05
    reach = [p.shape.radius for p in (stack, riser)]  # type: ignore[union-attr]
    a = (stack.ports[0][0] + reach[0], stack.ports[0][1], z)
    b = (riser.ports[0][0] - reach[1], riser.ports[0][1], z)
    house.add(
        Piece(
            "plumbing/tie-in",
            "plumbing_pipe",
            "Vent tie-in 60",
            stack.storey,
            Tube((a, b), 0.03015, 0.02625),
            material=stack.material,
            system="plumbing-vent",
            ports=(a, b),
            variant="vent",
            type_name=stack.type_name,
            props=dict(stack.props),
        )
    )
    stack.ports, riser.ports = (*stack.ports, a), (*riser.ports, b)
    house.pipe_joints += [
        PipeJoint(stack.key, 2, "plumbing/tie-in", 0),
        PipeJoint("plumbing/tie-in", 1, riser.key, 2),
    ]


def open_branch(house: House) -> None:
    """A tee stands in place of the first coupling; its branch, a short stub, is open to the room."""
    tee = house.pieces["soil-gas/coupling-1"]
    low, high = tee.ports
    start = (low[0] + 0.10, low[1], (low[2] + high[2]) / 2)
    end = (start[0] + 0.30, start[1], start[2])
    tee.variant, tee.name, tee.type_name, tee.ports = "tee", "Tee 114", "Tee 114", (low, high, start)
    tee.more_shapes = (replace(tee.shape, points=((low[0], low[1], start[2]), start)),)  # type: ignore[type-var]
    riser = house.pieces["soil-gas/riser-1"]
    house.add(
        replace(
            riser,
            key="soil-gas/stub",
            name="Soil-gas stub",
            shape=replace(riser.shape, points=(start, end)),  # type: ignore[type-var]
            ports=(start, end),
            props=riser.props | {"length": Measure(0.30)},
            variant="stub",
        )
    )
    house.pipe_joints.append(PipeJoint(tee.key, 2, "soil-gas/stub", 0))


_ATTIC = "Attic"
DEFECTS = (
    Defect(
        "collector-missing",
        "collector-present",
        "fail",
        collector_missing.__doc__ or "",
        collector_missing,
        {
            name: on(
                "Level 1",
                "soil-gas/tee",
                "soil-gas/collector-west",
                "soil-gas/collector-east",
                host="building",
            )
            for name in BOTH
        },
        ("gravel-pocket-served", "vent-joined", "collector-in-gravel"),
    ),
    Defect(
        "collector-in-soil",
        "collector-in-gravel",
        "fail",
        collector_in_soil.__doc__ or "",
        collector_in_soil,
        both(on("Level 1", "soil-gas/collector-west", "soil-gas/collector-east", "soil-gas/tee")),
        ("gravel-pocket-served", "vent-falls-back", "vent-fall-too-flat", "collector-present"),
    ),
    Defect(
        "riser-gap-42-mm",
        "vent-joined",
        "fail",
        riser_gap.__doc__ or "",
        riser_gap,
        both(on("Level 2", "soil-gas/riser-2", "soil-gas/coupling-1")),
        ("vent-open-end",),
    ),
    Defect(
        "coupling-missing",
        "vent-joined",
        "fail",
        coupling_missing.__doc__ or "",
        coupling_missing,
        both(
            on(
                "Level 1",
                "soil-gas/coupling-1",
                "soil-gas/riser-1",
                "soil-gas/riser-2",
                host="soil-gas/riser-1",
            )
        ),
        ("vent-open-end",),
    ),
    Defect(
        "offset-falls-wrong",
        "vent-falls-back",
        "fail",
        falls_wrong.__doc__ or "",
        falls_wrong,
        both(on(_ATTIC, "soil-gas/offset", "soil-gas/bend-2")),
        ("vent-low-point", "vent-fall-too-flat"),
    ),
    Defect(
        "offset-falls-flat",
        "vent-fall-too-flat",
        "fail",
        falls_flat.__doc__ or "",
        falls_flat,
        both(on(_ATTIC, "soil-gas/offset")),
    ),
    Defect(
        "offset-sags",
        "vent-low-point",
        "fail",
        low_point.__doc__ or "",
        low_point,
        both(on(_ATTIC, "soil-gas/coupling-offset", "soil-gas/offset", "soil-gas/offset-2")),
        ("vent-falls-back", "vent-fall-too-flat"),
    ),
    Defect(
        "pipe-shrinks-upward",
        "vent-size-kept",
        "fail",
        shrinks_upward.__doc__ or "",
        shrinks_upward,
        both(on("Level 2", "soil-gas/riser-2", "soil-gas/coupling-1")),
    ),
    Defect(
        "pipe-too-small",
        "vent-size-minimum",
        "fail",
        too_small.__doc__ or "",
        too_small,
        both(on("Level 1", "soil-gas/riser-1", "soil-gas/riser-2", "soil-gas/offset", "soil-gas/exit")),
    ),
    Defect(
        "label-missing",
        "vent-label-per-storey",
        "fail",
        label_missing.__doc__ or "",
        label_missing,
        both(on("Level 2", "soil-gas/label-2", host="soil-gas/riser-2")),
    ),
    Defect(
        "vent-shared",
        "vent-shared-with-plumbing",
        "fail",
        shared_vent.__doc__ or "",
        shared_vent,
        {
            name: on(_ATTIC, "plumbing/tie-in", f"soil-gas/riser-{top_storey(name)}", "plumbing/vent")
            for name in BOTH
        },
        ("vent-falls-back", "vent-fall-too-flat", "vent-size-kept", "vent-low-point", "vent-filed-as-plumbing"),
    ),
    Defect(
        "branch-open",
        "vent-open-end",
        "fail",
        open_branch.__doc__ or "",
        open_branch,
        both(on("Level 1", "soil-gas/stub", "soil-gas/coupling-1")),
        ("vent-fall-too-flat", "vent-falls-back"),
    ),
)

__all__ = ["DEFECTS", "ends_of", "set_fall"]
