"""Which storey a height belongs to: by the storeys' elevations, not by where a part is filed."""

from __future__ import annotations

from dataclasses import dataclass
from weakref import WeakKeyDictionary

from modellint.ifc.model import Model, SpatialNode

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
    """Storeys with a known elevation, lowest first; only those of `building` if it is given.

    A dwelling or a part of a building that has no storeys of its own has those of the whole. Storeys of a
    building's parts count for the building where it has none itself.
    """
    known = _KNOWN.setdefault(model, {})
    if building not in known:
        known[building] = _storeys_of(model, building)
    return known[building]


_KNOWN: WeakKeyDictionary[Model, dict[str, tuple[Storey, ...]]] = WeakKeyDictionary()
_ROWS: WeakKeyDictionary[Model, list[tuple[SpatialNode, list[str]]]] = WeakKeyDictionary()


def _rows(model: Model) -> list[tuple[SpatialNode, list[str]]]:
    """Storeys with an elevation, each with the buildings it lies in, looked up once however many buildings ask."""
    if model not in _ROWS:
        _ROWS[model] = [(node, _buildings_of(model, node.parent)) for node in model.spaces.values()
                        if node.kind == "storey" and node.elevation is not None]
    return _ROWS[model]


def _storeys_of(model: Model, building: str) -> tuple[Storey, ...]:
    found = [node for node, within in _rows(model)
             if not building or not node.parent or (within[0] if within else building) == building]
    whole = model.spaces[building].parent if building in model.spaces else ""
    if not found and whole in model.spaces and model.spaces[whole].kind in {"building", "dwelling"}:
        return storeys_of(model, whole)
    found = found or [node for node, within in _rows(model) if building in within]
    return tuple(sorted((Storey(node.key, node.name or node.long_name or f"Storey {node.key}", node.elevation or 0.0)
                         for node in found), key=lambda storey: (storey.elevation, storey.key)))


def _buildings_of(model: Model, key: str) -> list[str]:
    """Buildings that a spatial node lies in, the nearest first."""
    found: list[str] = []
    seen = set()
    while key and key not in seen:
        seen.add(key)
        node = model.spaces.get(key)
        if node is None:
            return found
        if node.kind == "building":
            found.append(key)
        key = node.parent
    return found


def storey_at(storeys: tuple[Storey, ...], z: float) -> Storey | None:
    """The highest storey whose elevation is not above `z` by more than the slack; the lowest if none is."""
    below = [storey for storey in storeys if storey.elevation <= z + SLACK]
    return below[-1] if below else (storeys[0] if storeys else None)
