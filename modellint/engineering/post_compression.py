"""Columns of sawn lumber, solid or built up: slenderness, column stability and capacity (NDS 2018 3.7 and
15.3)."""

from __future__ import annotations

from math import sqrt

from modellint.engineering.require import not_negative, one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED

SOURCES = {
    "slenderness": Source("standard", "NDS 2018", "3.7.1", note=RESTATED),
    "euler_stress": Source("standard", "NDS 2018", "3.7.1.5", note="checked by one textbook example"),
    "column_stability": Source("standard", "NDS 2018", "Eq. 3.7-1", note="checked by one textbook example"),
    "BUILT_UP": Source("standard", "NDS 2018", "15.3.2", note="0.60 seen in one textbook example"),
    "BUILT_UP@bolted": Source("standard", "NDS 2018", "15.3.2", memory=True),
    "column_strength": Source("standard", "NDS 2018", "3.6.3"),
    "SLENDERNESS_LIMIT": Source("standard", "NDS 2018", "3.7.1.4", note=RESTATED),
}

SLENDERNESS_LIMIT = 50.0
"""Largest l_e/d of a column in service [-]."""

BUILT_UP = {"solid": 1.0, "nailed": 0.60, "bolted": 0.75}
"""Factor K_f on C_P for buckling across the plies [-]; 1.0 for buckling along the wide face of the plies."""


def slenderness(effective_length: float, depth: float) -> float:
    """Slenderness l_e/d [-]; 0 where sheathing or blocking holds the column along its whole height.

    Args:
        effective_length: K_e l about the axis looked at [m].
        depth: dimension of the column in the direction of buckling [m].

    Raises:
        ValueError: negative length, depth not above zero, or l_e/d over 50.
    """
    ratio = not_negative(effective_length, "Effective length") / positive(depth, "Column depth")
    if ratio > SLENDERNESS_LIMIT * (1 + 1e-9):
        raise ValueError(f"Slenderness {ratio:.1f} is over 50, the limit for columns.")
    return ratio


def euler_stress(modulus_min: float, ratio: float) -> float:
    """Critical buckling stress F_cE = 0.822 E_min' / (l_e/d)² [Pa].

    Args:
        modulus_min: adjusted E_min [Pa].
        ratio: slenderness l_e/d [-].

    Raises:
        ValueError: an input not above zero.
    """
    return 0.822 * positive(modulus_min, "E_min") / positive(ratio, "Slenderness") ** 2


def column_stability(parallel: float, modulus_min: float, ratio: float, built_up: str = "solid") -> float:
    """Column stability factor C_P of sawn lumber (c = 0.8), times K_f for built-up columns [-].

    >>> column_stability(10e6, 4e9, 0.0)
    1.0

    Args:
        parallel: F_c* = F_c times all factors but C_P [Pa].
        modulus_min: adjusted E_min [Pa].
        ratio: slenderness l_e/d of the direction looked at [-]; 0 for full support.
        built_up: a key of BUILT_UP; `solid` for buckling along the plies' wide face too.

    Raises:
        ValueError: a stress not above zero, negative or too large slenderness, or unknown word.
    """
    factor = BUILT_UP[one_of(built_up, BUILT_UP, "Kind of post")]
    positive(parallel, "Compression stress")
    if slenderness(ratio, 1.0) == 0.0:
        positive(modulus_min, "E_min")
        return 1.0
    share = euler_stress(modulus_min, ratio) / parallel
    mean = (1.0 + share) / (2 * 0.8)
    return factor * (mean - sqrt(mean**2 - share / 0.8))


def column_strength(parallel: float, stability: float, area: float) -> float:
    """Allowable compression F_c* C_P A of a post [N], ASD; bearing on the plate is a separate link.

    Raises:
        ValueError: an input not above zero.
    """
    return positive(parallel, "Compression stress") * positive(stability, "C_P") * positive(area, "Post area")
