"""Wood values that the other formulae take: specific gravity, stiffness, bearing, load duration (NDS
2018)."""

from __future__ import annotations

from dataclasses import dataclass

from modellint.engineering.require import one_of
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED
from modellint.engineering.us_units import IN, PSI

_SUPPLEMENT = Source("standard", "NDS 2018 Supplement", "Table 4A", note=RESTATED)

SOURCES = {
    "SPECIES": _SUPPLEMENT,
    "SPECIES@gravity": Source("standard", "NDS 2018", "Table 12.3.3A", note=RESTATED),
    "species": _SUPPLEMENT,
    "load_duration": Source("standard", "NDS 2018", "Table 2.3.2", note=RESTATED),
    "dressed_size": Source("standard", "NDS 2018 Supplement", "Table 1A", note=RESTATED),
}


@dataclass(frozen=True)
class Species:
    """A species combination of sawn lumber.

    Attributes:
        gravity: specific gravity G [-].
        bearing: F_c⊥ [Pa]; None where not seen.
        modulus: mean E of No. 2 [Pa]; None where not seen.
        modulus_min: E_min of No. 2 [Pa]; None where not seen.
    """

    gravity: float
    bearing: float | None
    modulus: float | None
    modulus_min: float | None


SPECIES = {
    "DF-L": Species(0.50, 625 * PSI, 1.6e6 * PSI, 580e3 * PSI),
    "DF-L(N)": Species(0.49, None, None, None),
    "HF": Species(0.43, 405 * PSI, 1.3e6 * PSI, 470e3 * PSI),
    "HF(N)": Species(0.46, None, None, None),
    "SP": Species(0.55, 565 * PSI, None, None),
    "SPF": Species(0.42, 425 * PSI, 1.4e6 * PSI, 510e3 * PSI),
}
"""By the abbreviations of the trade: Douglas Fir-Larch, Hem-Fir, Southern Pine, Spruce-Pine-Fir; (N) for
North."""

_DURATION = {"dead": 0.9, "live": 1.0, "snow": 1.15, "construction": 1.25, "wind": 1.6, "seismic": 1.6}

_DRESSED = {2: 1.5, 3: 2.5, 4: 3.5, 5: 4.5, 6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25}


def species(name: str) -> Species:
    """The values of a species combination.

    Raises:
        ValueError: unknown name.
    """
    return SPECIES[one_of(name, SPECIES, "Wood species")]


def load_duration(load: str) -> float:
    """Load duration factor C_D by the shortest load of the combination [-]; never used on F_c⊥, E or E_min.

    Raises:
        ValueError: unknown load.
    """
    return _DURATION[one_of(load, _DURATION, "Load")]


def dressed_size(nominal: int) -> float:
    """Dry dressed size [m] of a nominal size in inches, e.g. 2 gives 38.1 mm.

    Raises:
        ValueError: no such size.
    """
    if nominal not in _DRESSED:
        raise ValueError(f"Nominal size {nominal} is not known; known are {', '.join(map(str, _DRESSED))}.")
    return _DRESSED[nominal] * IN
