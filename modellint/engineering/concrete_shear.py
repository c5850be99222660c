"""Single anchors in shear toward a concrete edge: SCREENING ONLY, see `concrete_breakout` (ACI 318-19)."""

from __future__ import annotations

from math import sqrt

from modellint.engineering.concrete_breakout import root_strength
from modellint.engineering.require import not_negative, one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED, SECONDARY
from modellint.engineering.us_units import IN, LBF

_EXAMPLES = "checked by the ACI 349.2R examples"
_ACI = ("standard", "ACI 318-19")

SOURCES = {
    "basic_shear_breakout@318-19": Source(*_ACI, "17.7.2.2", note=SECONDARY),
    "basic_shear_breakout@349-06": Source("standard", "ACI 349-06", "Appendix D", note=_EXAMPLES),
    "pryout": Source(*_ACI, "17.7.3", note=_EXAMPLES),
    "interaction": Source(*_ACI, "17.8", note=RESTATED),
}


def basic_shear_breakout(diameter: float, embedment: float, edge: float, concrete: float, *,
                         edition: str = "318-19", lightweight: float = 1.0) -> float:
    """Basic concrete breakout in shear V_b [N], toward an edge, before φ. Screening.

    318-19: the lesser of 7 (l_e/d)^0.2 √d λ √f'c c^1.5 and 9 λ √f'c c^1.5; 349-06: 8 (l_e/d)^0.2 √d √f'c
    c^1.5 for a stud welded to a plate. l_e = h_ef, at most 8 d.

    Args:
        diameter: d_a [m].
        embedment: h_ef [m].
        edge: c_a1 in the direction of the load [m].
        concrete: f'c [Pa].
        edition: `318-19` or `349-06`.
        lightweight: λ_a [-].

    Raises:
        ValueError: an input not above zero, or unknown edition.
    """
    one_of(edition, ("318-19", "349-06"), "ACI edition")
    d = positive(diameter, "Anchor diameter") / IN
    bearing = min(positive(embedment, "Embedment") / IN, 8 * d)
    base = root_strength(concrete, False) * lightweight * float((positive(edge, "Edge distance") / IN) ** 1.5)
    slender = float((bearing / d) ** 0.2) * sqrt(d) * base
    return (8.0 * slender if edition == "349-06" else min(7.0 * slender, 9.0 * base)) * LBF


def pryout(embedment: float, breakout_strength: float) -> float:
    """Concrete pryout V_cp = k_cp N_cb [N], k_cp 1 under 2.5 in embedment, else 2, before φ. Screening.

    Raises:
        ValueError: an input not above zero.
    """
    factor = 1.0 if positive(embedment, "Embedment") < 2.5 * IN - 1e-9 else 2.0
    return factor * positive(breakout_strength, "Breakout strength")


def interaction(tension_ratio: float, shear_ratio: float) -> tuple[float, bool]:
    """Sum of demand over strength in tension and shear [-], and whether it is within the limit.

    Full strength in one where the other is at most 0.2; else the sum may be 1.2.

    Raises:
        ValueError: a negative ratio.
    """
    not_negative(tension_ratio, "Tension ratio")
    not_negative(shear_ratio, "Shear ratio")
    total = tension_ratio + shear_ratio
    if min(tension_ratio, shear_ratio) <= 0.2:
        return total, max(tension_ratio, shear_ratio) <= 1.0
    return total, total <= 1.2
