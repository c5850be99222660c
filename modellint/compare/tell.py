"""Who must be told of a change, with a sentence ready to send."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from modellint.compare.built import BuiltChange
from modellint.compare.changes import Change, groups
from modellint.compare.outcomes import NEW, RETURNED, Outcome

ENGINEER, PLUMBER, GAS = "engineer of record", "plumber", "soil-gas professional"
CONCRETE, FRAMER, ROOFER, DESIGNER, BUYER = ("concrete crew", "framer", "roofer", "designer", "purchasing")
SITE = "superintendent"
_EVERYONE = (ENGINEER, DESIGNER, CONCRETE, FRAMER, PLUMBER, GAS, ROOFER)
MOST_SAID = 4
_GROUND = ("footing", "stem_wall", "foundation_slab", "pile", "anchor_bolt")
_STEEL = ("hold_down", "rod", "strap", "coupler", "nut", "take_up", "bearing_plate", "plate_washer")
_WOOD = ("shear_wall", "sheathing", "post", "stud", "bottom_plate", "sill_plate", "top_plate", "plate", "blocking",
         "rim", "joist", "header", "beam", "floor")
_ROOF = ("rafter", "truss", "roof", "roof_tie")
_VENT = ("vent_pipe", "vent_fitting", "vent_terminal", "collector", "suction_point", "fan", "label")
_SLAB = ("permeable_layer", "membrane", "sump")
_PIPES = ("plumbing_pipe", "plumbing_fixture", "pipe")
_HOLES = ("window", "door", "opening", "IfcOpeningElement")
# who works with what; the order of a list is the order of telling (common practice, no source)
_WHO: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(_GROUND, (ENGINEER, CONCRETE)),
    **dict.fromkeys(_STEEL, (ENGINEER, FRAMER)),
    **dict.fromkeys(_WOOD, (FRAMER,)),
    **dict.fromkeys(("shear_wall", "sheathing", "post", "beam"), (ENGINEER, FRAMER)),
    **dict.fromkeys(_ROOF, (FRAMER, ROOFER)),
    **dict.fromkeys(_VENT, (GAS,)),
    "vent_terminal": (GAS, ROOFER),
    **dict.fromkeys(_SLAB, (GAS, CONCRETE)),
    **dict.fromkeys(_PIPES, (PLUMBER,)),
    **dict.fromkeys(_HOLES, (DESIGNER, FRAMER)),
    "duct": ("mechanical contractor",),
    "power_outlet": ("electrician",),
    "electrical_box": ("electrician",),
}
_CAST_IN = ("hold_down", "rod", "anchor_bolt")
_BOUGHT = (*_STEEL, "anchor_bolt", "window", "door", "vent_pipe", "fan")
_BEFORE = {"permit": "before the permit", "issue": "before the drawings are issued",
           "pour": "before the concrete is poured", "cover": "before it is covered", "close": "before closing out"}


def tell(changes: Sequence[Change], found: Iterable[Outcome], lowest: str = "",
         frame_text: str = "", built: Sequence[BuiltChange] = ()) -> list[dict[str, str]]:
    """One row `{who, text}` per person, those who decide something new first.

    Args:
        changes: all changes.
        found: all findings over both revisions; the new and returned ones are named to who decides them.
        lowest: name of the lowest storey, whose ties and rods stand in the concrete.
        frame_text: the sentence on a mirrored house; everyone is told.
        built: changes of what is ordered or built; who holds the order or runs the site is told, and the engineer.
    """
    new = [row.after for row in found if row.status in {NEW, RETURNED} and row.after is not None
           and row.after.accepted is None]
    touched: dict[str, list[Change]] = {}
    for change in changes:
        for who in _concerned(change, lowest):
            touched.setdefault(who, []).append(change)
    for who in _EVERYONE if frame_text else ():
        touched.setdefault(who, [])
    on_site: dict[str, list[BuiltChange]] = {}
    for one in built:
        for who in _meets(one):
            on_site.setdefault(who, []).append(one)
            touched.setdefault(who, [])
    decides = list(dict.fromkeys(row.decides for row in new if row.decides))
    rows = []
    for who in [*decides, *(name for name in touched if name not in decides)]:
        said = _sentence([text for text, _ in groups(touched.get(who, []))])
        mine = [row for row in new if row.decides == who]
        asks = [f"Please decide{' ' + _BEFORE[row.stage] if row.stage in _BEFORE else ''}: {row.message.rstrip('.')}."
                for row in mine[:MOST_SAID]]
        more = [f"{len(mine) - MOST_SAID} more are in the report."] if len(mine) > MOST_SAID else []
        stands = _stands(on_site.get(who, []))
        check = ["Please check your work and your orders against it."] if not mine else []
        head = [frame_text] if frame_text else []
        rows.append({"who": who, "text": " ".join([*head, *stands, *said, *asks, *more, *check])})
    return rows


def _meets(one: BuiltChange) -> tuple[str, ...]:
    return (BUYER,) if one.level == "warning" else (SITE, ENGINEER)


def _stands(rows: Sequence[BuiltChange]) -> list[str]:
    """What is marked on site or on order and is another one now; said before all else."""
    texts = []
    for one in rows[:MOST_SAID]:
        where = f", {one.change.storey}" if one.change.storey else ""
        follows = "the model was corrected to it" if one.mark.as_built else "the revised model changes it"
        texts.append(f"{one.change.name}{where} is marked {one.mark.said}, and {follows} ({one.change.text})")
    more = f"; and {len(rows) - MOST_SAID} more" if len(rows) > MOST_SAID else ""
    return [f"Already ordered or built: {'; '.join(texts)}{more}."] if texts else []


def _concerned(change: Change, lowest: str) -> list[str]:
    who = list(_WHO.get(change.role, ()))
    if change.role in _CAST_IN and change.storey in {"", lowest}:
        who.append(CONCRETE)
    if change.role in _BOUGHT and {"retyped", "resized", "appeared", "vanished"} & set(change.kinds):
        who.append(BUYER)
    if change.role in _HOLES and change.hosts:
        who.append(ENGINEER)
    return list(dict.fromkeys(who))


def _sentence(texts: list[str]) -> list[str]:
    if not texts:
        return []
    more = f"; and {len(texts) - MOST_SAID} more changes" if len(texts) > MOST_SAID else ""
    return [f"In the revised model: {'; '.join(texts[:MOST_SAID])}{more}."]
