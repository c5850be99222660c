"""Which storey a height belongs to: by the storeys' elevations, not by where a part is filed."""

from __future__ import annotations

from dataclasses import dataclass

from modellint.ifc.model import Model

# a wall's sole stands on the floor that carries it, up to a deck's thickness above or below its storey's
# elevation (common practice, no source)
SLACK = 0.5


@dataclass(frozen=True)
class Storey:
    """A storey of one building: key, name and elevation in metres."""

    key: str
    name: str
    elevation: float


def storeys_of(model: Model, building: str) -> tuple[Storey, ...]:
    """Storeys with a known elevation, lowest first; only those of `building` if it is given."""
    found = []
    for node in model.spaces.values():
        if node.kind != "storey" or node.elevation is None:
            continue
        if building and node.parent and _building_of(model, node.parent) not in {"", building}:
            continue
        found.append(Storey(node.key, node.name or node.long_name or f"Storey {node.key}", node.elevation))
    return tuple(sorted(found, key=lambda storey: (storey.elevation, storey.key)))


def _building_of(model: Model, key: str) -> str:
    seen = set()
    while key and key not in seen:
        seen.add(key)
        node = model.spaces.get(key)
        if node is None:
            return ""
        if node.kind == "building":
            return key
        key = node.parent
    return ""


def storey_at(storeys: tuple[Storey, ...], z: float) -> Storey | None:
    """The highest storey whose elevation is not above `z` by more than the slack; the lowest if none is."""
    below = [storey for storey in storeys if storey.elevation <= z + SLACK]
    return below[-1] if below else (storeys[0] if storeys else None)
