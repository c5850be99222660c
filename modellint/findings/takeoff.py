"""The take-off of a building: what is drawn, as lines to order from; what cannot be seen is said, never filled in.

Only what the model shows is counted. Stages are the last ones before which a thing must be there (common practice,
no source); a project knows its own dates.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from math import isfinite

import numpy as np

from modellint.contacts.surfaces import plan_of
from modellint.findings.takeoff_places import Places
from modellint.graph.foundation import embedment, foundations
from modellint.graph.soil_gas import piping_of
from modellint.graph.storeys import storey_at, storeys_of
from modellint.measures.ask import Ask
from modellint.measures.build_state import progress_of
from modellint.measures.chain_links import rod_diameter
from modellint.measures.post_plies import plies_of
from modellint.roles.part import Part, Rung

Show = Callable[[float, str], str]

LISTS: dict[str, tuple[str, ...]] = {
    "Hold-downs and rods": ("hold_down", "strap", "rod", "coupler", "bearing_plate", "take_up", "nut"),
    "Sill anchors": ("anchor_bolt", "plate_washer"),
    "Posts": ("post",),
    "Roof ties": ("roof_tie",),
    "Soil gas": (
        "vent_pipe",
        "collector",
        "suction_point",
        "vent_fitting",
        "vent_terminal",
        "fan",
        "pipe_support",
        "label",
        "power_outlet",
        "sump",
        "membrane",
        "permeable_layer",
    ),
}
_LIST_OF = {role: name for name, roles in LISTS.items() for role in roles}
_ORDER = {role: k for k, role in enumerate(role for roles in LISTS.values() for role in roles)}
_POUR = {"anchor_bolt", "collector", "suction_point", "membrane", "permeable_layer", "sump"}
_CLOSE = {"fan"}
_LONG = {"rod", "vent_pipe", "collector", "post", "anchor_bolt"}
_AREA = {"membrane", "permeable_layer"}
_MARKED = {"hold_down": "Tie-down", "strap": "Strap"}
_OF_GROUP = re.compile(r"\s*\(\d+\)$")  # how many a group holds, behind its name
_EXPORT_NUMBER = re.compile(r"\s*[:#]\s*\d{4,}$")  # authoring programs add their own number to a name


@dataclass(frozen=True)
class Piece:
    """One thing to order.

    Attributes:
        key: of its part; `element` of the element that holds it; `id` its GlobalId.
        item: what it is, in words; the diameter of rods and pipes belongs to it.
        length: to cut, metres; None if it has none or it is not known (`lacks` says so then).
        area: square metres of a sheet in plan, without laps.
        plies: of a built-up post, 0 if it is not one or that cannot be told.
        stage: before which it must be on site.
        marked: what is noted of it, such as "ordered on 2026-03-02", "".
        lacks: what cannot be seen of it, in words, "".
    """

    key: str
    element: str
    id: str
    role: str
    item: str
    storey: str
    place: str
    stage: str
    rung: Rung
    length: float | None = None
    area: float | None = None
    plies: int = 0
    marked: str = ""
    lacks: str = ""

    @property
    def list(self) -> str:
        """Name of the list it stands in."""
        return _LIST_OF[self.role]

    @property
    def cut(self) -> int | None:
        """Length in whole millimetres, which tells pieces of one item apart."""
        return None if self.length is None else round(self.length * 1000)

    @property
    def identity(self) -> tuple[str, str, int]:
        """What is ordered: pieces with one identity are interchangeable."""
        return self.role, self.item, -1 if self.cut is None else self.cut


def order_of(piece: Piece) -> tuple[object, ...]:
    """Sort key of pieces: lists in their order, then item, length, storey and place."""
    return (_ORDER[piece.role], piece.item, piece.identity[2], piece.storey, piece.place, piece.key)


def pieces(ask: Ask, show: Show, counted: set[str]) -> tuple[list[Piece], list[Part]]:
    """All things to order of a house, and the parts that look like such things by one sign only.

    Args:
        ask: the house with its measures.
        show: a value in SI and its dimension as text.
        counted: keys of parts counted already (units of one building share parts); gets this house's.
    """
    maker, found, guessed = _Maker(ask, show), [], []
    for part, role in _orderable(ask):
        if part.key in counted or part.key in ask.house.guests:
            continue
        counted.add(part.key)
        if part.rung_as(role) < Rung.INFERRED:
            guessed.append(part)
        else:
            found.append(maker.piece(part, role))
    return sorted(found, key=order_of), guessed


def _orderable(ask: Ask) -> Iterator[tuple[Part, str]]:
    """Parts with a role of a list, each with the best evidenced one of its roles."""
    for part in ask.house.with_role(*_ORDER):
        roles = [role for role in part.roles if role in _ORDER]
        yield part, min(roles, key=lambda role: (-part.rung_as(role), _ORDER[role]))


class _Maker:
    """Makes lines of one house's parts."""

    def __init__(self, ask: Ask, show: Show) -> None:
        self.ask, self.house, self.show = ask, ask.house, show
        self.places = Places(ask.house)
        self.ground = foundations(ask.house)
        self.storeys = storeys_of(ask.house.model, ask.house.key)
        self.progress = progress_of(ask.house, ask)
        self.piping = piping_of(ask.house)

    def piece(self, part: Part, role: str) -> Piece:
        """The line of one part."""
        storey, place = self.places.of(part)
        length = self._length(part, role)
        item, lacks = self._item(part, role)
        plies = plies_of(part) or 0 if role == "post" else 0
        mark = self.progress.strongest([part.element.key])
        unseen = [word for word in (lacks, "length" if role in _LONG and length is None else "") if word]
        area = _area(part) if role in _AREA else None
        if role in _AREA and area is None:
            unseen.append("area")
        return Piece(
            part.key,
            part.element.key,
            part.element.global_id,
            role,
            item,
            storey or self._storey(part),
            place,
            self._stage(part, role),
            part.rung_as(role),
            length,
            area,
            plies,
            mark[1].said if mark else "",
            " and ".join(unseen),
        )

    def _storey(self, part: Part) -> str:
        if part.box is not None and self.storeys:
            found = storey_at(self.storeys, float(part.box.centre[2]))
            return found.name if found is not None else ""
        node = self.house.model.spaces.get(part.element.storey)
        return node.name if node is not None else ""

    def _length(self, part: Part, role: str) -> float | None:
        if role not in _LONG:
            return None
        piece = self.piping.pieces.get(part.key)
        line = piece.line if piece is not None and piece.line is not None else part.axis
        if line is None or len(line) < 2:
            return None
        length = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
        return length if isfinite(length) and length > 0 else None

    def _item(self, part: Part, role: str) -> tuple[str, str]:
        """What to order in words, and what of it cannot be seen."""
        if role in {"rod", "anchor_bolt"}:
            word, size = "Rod" if role == "rod" else "Anchor bolt", rod_diameter(part, self.ask)
            return (f"{word} {self.show(size, 'length')}", "") if size else (f"{word}, diameter not known", "diameter")
        if role in {"vent_pipe", "collector", "vent_fitting", "suction_point", "vent_terminal"}:
            return self._pipe(part, role)
        if role == "post":
            return self._post(part)
        return self._named(part, role), ""

    def _pipe(self, part: Part, role: str) -> tuple[str, str]:
        piece = self.piping.pieces.get(part.key)
        pipe = piece is not None and piece.kind == "pipe"
        holes = bool(piece is not None and (piece.perforated or (pipe and role == "collector")))
        word = ("Perforated pipe" if holes else "Pipe") if pipe else self._named(part, role)
        size = piece.nominal if piece is not None else None
        if size is None:
            return f"{word}, size not known" if pipe else word, "size" if pipe else ""
        low, high = (self.show(value, "length") for value in size)
        if low == high:
            return f"{word} {low}" if pipe else f"{word}, {low}", ""
        return f"{word} {low} to {high}", "size"

    def _post(self, part: Part) -> tuple[str, str]:
        if part.box is None:
            return self._named(part, "post"), "section"
        sides = sorted(2 * float(half) for half in part.box.half)[:2]
        plies = plies_of(part)
        return (
            " ".join(
                (
                    "Post",
                    " x ".join(self.show(side, "length") for side in sides),
                    f"({plies} {'plies' if plies > 1 else 'ply'})" if plies else "(plies not told)",
                )
            ),
            "" if plies else "plies",
        )

    def _named(self, part: Part, role: str) -> str:
        element = part.element
        name = _EXPORT_NUMBER.sub("", element.type_name or element.name or element.object_type).strip()
        if "/item:" in part.key:
            name = _OF_GROUP.sub("", name)
        if "/layer:" in part.key:
            return self._layer(part, role)
        mark = self._mark(part, name)
        if role in _MARKED and mark:
            return f"{_MARKED[role]} {mark}"
        return name or role.replace("_", " ").capitalize()

    def _layer(self, part: Part, role: str) -> str:
        """A sheet that is a layer of an element: its role, the layer's own name and its thickness."""
        word, number = role.replace("_", " ").capitalize(), part.key.rsplit(":", 1)[-1]
        layers = part.element.layers
        own = layers[int(number)].name if number.isdigit() and int(number) < len(layers) else ""
        thick = self.show(part.thickness, "length") if part.thickness else ""
        return ", ".join(text for text in (word, own, thick) if text)

    def _mark(self, part: Part, name: str) -> str:
        """The mark of a type of device; a tag that its name does not hold numbers the single thing."""
        stated = self.house.stated(part, "tie_mark")
        if stated is not None:
            return str(stated.value)
        mark = part.element.mark
        return mark if mark and mark in name.split() else ""

    def _stage(self, part: Part, role: str) -> str:
        if role in _POUR:
            return "pour"
        if role in _CLOSE:
            return "close"
        if role == "rod" and part.axis is not None and embedment(self.ground, part.axis)[0] > 0:
            return "pour"
        if role in {"vent_pipe", "vent_fitting"} and part.box is not None and self._under_slab(part):
            return "pour"
        return "cover"

    def _under_slab(self, part: Part) -> bool:
        tops = [float(slab.box.low[2]) for slab in self.house.with_role("foundation_slab") if slab.box is not None]
        return bool(tops) and part.box is not None and float(part.box.low[2]) < min(tops)


def _area(part: Part) -> float | None:
    """Area in plan, square metres."""
    area = float(plan_of(part.solids).area) if part.solids else 0.0
    return round(area, 3) if isfinite(area) and area > 0 else None


def total(values: Iterable[float | None]) -> float | None:
    """Sum of what is known; None if nothing is."""
    known = [value for value in values if value is not None]
    return sum(known) if known else None
