"""Wood species by the names that drawings give them."""

from __future__ import annotations

from collections.abc import Iterable

from modellint.engineering.wood_species import SPECIES
from modellint.roles.part import Part

# lightest and heaviest framing for which the species factor differs (SDPWS Table 4.3A note)
LIGHTEST, NO_REDUCTION = 0.31, 0.50


def species_of(parts: Iterable[Part]) -> str:
    """Key of `wood_species.SPECIES` that all material names of the parts agree on, "" if none or several."""
    found = {
        _species(name.lower()) for part in parts for element in part.elements for name in element.materials
    }
    found.discard("")
    return found.pop() if len(found) == 1 else ""


def _species(name: str) -> str:
    if ("spruce" in name and "fir" in name) or name.strip() in {"spf", "s-p-f"}:
        return "SPF"
    if "douglas" in name or name.strip() in {"df-l", "dfl"}:
        return "DF-L"
    if "southern" in name and "pine" in name:
        return "SP"
    return "HF" if "hem" in name and "fir" in name else ""


def gravity_range(parts: Iterable[Part]) -> tuple[float, float]:
    """Specific gravity of the framing: that of its species, else the whole range that matters."""
    species = species_of(parts)
    return (SPECIES[species].gravity,) * 2 if species else (LIGHTEST, NO_REDUCTION)
