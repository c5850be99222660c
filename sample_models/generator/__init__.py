"""Sample houses: an abstract house, three manners of writing it, and seeded defects.

from sample_models.generator import DEFECTS, HOUSES, MANNERS, build, write
house = DEFECTS[0].apply(build("two-storey"))
write(house, "semantic", "house.ifc")
"""

from __future__ import annotations

from .defects import DEFECTS, Defect, Where
from .house import three_storey, three_storey_transfer, two_storey
from .pieces import House, Piece
from .soil_variants import split_slab, two_risers
from .write import MANNERS, write, write_together

HOUSES = {"two-storey": two_storey, "three-storey": three_storey}
VARIANTS = {
    "three-storey-transfer": three_storey_transfer,
    "two-risers": two_risers,
    "split-slab": split_slab,
}


def build(name: str) -> House:
    """A fresh abstract house by name (a key of HOUSES or VARIANTS).

    Raises:
        ValueError: no such house.
    """
    known = HOUSES | VARIANTS
    if name not in known:
        raise ValueError(f"no house {name!r}: choose one of {', '.join(known)}")
    return known[name]()


__all__ = [
    "DEFECTS",
    "HOUSES",
    "MANNERS",
    "VARIANTS",
    "Defect",
    "House",
    "Piece",
    "Where",
    "build",
    "write",
    "write_together",
]
