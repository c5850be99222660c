"""Writing a house to IFC: one file in one of three manners, or three files by trade."""

from __future__ import annotations

from pathlib import Path

from .pieces import House, Piece
from .shapes import Shape

MANNERS = ("semantic", "plain", "panelised")
PIPES = {
    "collector",
    "vent_pipe",
    "suction_point",
    "vent_fitting",
    "vent_terminal",
    "pipe_support",
    "label",
    "power_outlet",
    "plumbing_pipe",
    "plumbing_fitting",
    "plumbing_fixture",
    "duct",
    "fan",
}
ARCHITECTURE = {"window", "door", "space", "other_wall"}


def write(house: House, manner: str, path: Path | str) -> None:
    """Write a house in one manner.

    Raises:
        ValueError: no such manner.
    """
    _manner(manner)(house).write(path)


def write_together(house: House, folder: Path | str) -> None:
    """Write structure.ifc, architecture.ifc and pipes.ifc with the same spatial structure."""
    from .semantic import Semantic

    parts: dict[str, list[str]] = {"structure": [], "architecture": [], "pipes": []}
    for piece in house.pieces.values():
        parts[discipline(house, piece)].append(piece.key)
    Path(folder).mkdir(parents=True, exist_ok=True)
    for name, keys in parts.items():
        Semantic(house, keys).write(Path(folder) / f"{name}.ifc")


def discipline(house: House, piece: Piece) -> str:
    """`structure`, `architecture` or `pipes`: the file a piece belongs to."""
    if piece.kind in PIPES:
        return "pipes"
    host = house.pieces.get(piece.parent)
    if (
        piece.kind in ARCHITECTURE
        or piece.key == "roof"
        or piece.parent == "roof"
        or piece.key.startswith("roof/opening")
    ):
        return "architecture"
    if piece.kind == "opening" or host is None:
        opening = house.openings.get(piece.key)
        owner = house.pieces.get(opening.host) if opening else None
        return "architecture" if owner is not None and owner.kind == "other_wall" else "structure"
    return "architecture" if host.kind == "other_wall" else "structure"


def _manner(name: str) -> type:
    from .panelised import Panelised
    from .plain import Plain
    from .semantic import Semantic

    manners = {m.name: m for m in (Semantic, Plain, Panelised)}
    if name not in manners:
        raise ValueError(f"no manner {name!r}: choose one of {', '.join(MANNERS)}")
    return manners[name]


__all__ = ["MANNERS", "Shape", "discipline", "write", "write_together"]
