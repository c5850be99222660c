"""Single cast-in or post-installed anchors in concrete: SCREENING ONLY (ACI 318-19 chapter 17).

Tells which anchors an engineer should look at, nothing more: one anchor, no groups, no eccentricity, no thin
slabs, no supplementary reinforcement unless the factor for it is chosen, cracked concrete unless said
otherwise. It cannot show that an anchor is adequate. Formulae are those of the inch-pound edition; inputs and
results are SI.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from modellint.engineering.require import in_range, one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED, SECONDARY
from modellint.engineering.us_units import IN, KSI, LBF, PSI

_EXAMPLES = "checked by the ACI 349.2R examples"
_ACI = ("standard", "ACI 318-19")

SOURCES = {
    "root_strength": Source(*_ACI, "17.3.1", note=RESTATED),
    "basic_breakout": Source(*_ACI, "17.6.2.2", note=_EXAMPLES),
    "breakout": Source(*_ACI, "17.6.2", note=_EXAMPLES),
    "edge_factor": Source(*_ACI, "17.6.2.4", note=RESTATED),
    "headed_pullout": Source(*_ACI, "17.6.3.2.2(a)", note=_EXAMPLES),
    "hooked_pullout": Source(*_ACI, "17.6.3.2.2(b)", note=RESTATED),
    "side_face_blowout": Source(*_ACI, "17.6.4", note=RESTATED),
    "steel_tension": Source(*_ACI, "17.6.1.2", note=_EXAMPLES),
    "resistance_factor": Source(*_ACI, "17.5.3", note=RESTATED),
    "SEISMIC_FACTOR": Source(*_ACI, "17.10.5.4", note=RESTATED),
    "least_strength": Source("arithmetic"),
    "minimum_edge": Source(*_ACI, "17.9.2", note=SECONDARY),
    "minimum_spacing": Source(*_ACI, "17.9.2", note=SECONDARY),
}

SEISMIC_FACTOR = 0.75
"""Extra factor on concrete failure modes in tension under earthquake load [-]."""

_PHI = {
    "steel_tension_ductile": 0.75, "steel_tension_brittle": 0.65,
    "steel_shear_ductile": 0.65, "steel_shear_brittle": 0.60,
    "cast_in": 0.70, "cast_in_supplementary": 0.75,
    "post_installed_1": 0.65, "post_installed_2": 0.55, "post_installed_3": 0.45,
    "post_installed_1_supplementary": 0.75, "post_installed_2_supplementary": 0.65,
    "post_installed_3_supplementary": 0.55,
}


@dataclass(frozen=True)
class Anchor:
    """One anchor in tension.

    Attributes:
        embedment: effective embedment h_ef [m].
        edges: distances from the anchor's axis to the free edges in the four plan directions, in turn (+x,
            +y, −x, −y) [m]; `inf` where there is none.
        concrete: f'c [Pa].
        post_installed: drilled and set; else cast in.
        cracked: the concrete is taken as cracked.
        lightweight: λ_a [-].
    """

    embedment: float
    edges: tuple[float, float, float, float]
    concrete: float
    post_installed: bool = False
    cracked: bool = True
    lightweight: float = 1.0


def root_strength(concrete: float, post_installed: bool) -> float:
    """√f'c [√psi] from f'c [Pa]; f'c counts up to 10,000 psi for cast-in, 8,000 psi for post-installed
    anchors (17.3.1).

    Raises:
        ValueError: f'c not above zero.
    """
    return sqrt(min(positive(concrete, "Concrete strength") / PSI, 8_000.0 if post_installed else 10_000.0))


def basic_breakout(embedment: float, concrete: float, *, post_installed: bool = False,
                   lightweight: float = 1.0,
                   deep: bool = False) -> float:
    """Basic concrete breakout strength N_b [N]: k_c λ √f'c h_ef^1.5, k_c 24 cast in, 17 post-installed.
    Screening.

    Args:
        embedment: h_ef [m].
        concrete: f'c [Pa]; counts up to 10,000 psi cast in, 8,000 psi post-installed.
        post_installed: drilled and set.
        lightweight: λ_a [-].
        deep: use 16 λ √f'c h_ef^(5/3), open to cast-in headed anchors with h_ef of 11 to 25 in.

    Raises:
        ValueError: an input out of range.
    """
    inches = positive(embedment, "Embedment") / IN
    root = root_strength(concrete, post_installed) * in_range(lightweight, 0.1, 1.0, "Lightweight factor")
    if deep:
        if post_installed:
            raise ValueError("The deep form is for cast-in anchors only.")
        in_range(inches, 11.0, 25.0, "Embedment in inches for the deep form")
        return 16.0 * root * float(inches ** (5.0 / 3.0)) * LBF
    return (17.0 if post_installed else 24.0) * root * float(inches**1.5) * LBF


def edge_factor(embedment: float, nearest_edge: float) -> float:
    """Factor ψ_ed for the nearest edge [-]: 0.7 + 0.3 c / (1.5 h_ef), at most 1.

    >>> edge_factor(0.2, 0.5)
    1.0

    Raises:
        ValueError: an input not above zero.
    """
    critical = 1.5 * positive(embedment, "Embedment")
    return min(1.0, 0.7 + 0.3 * positive(nearest_edge, "Edge distance") / critical)


def breakout(anchor: Anchor, *, deep: bool = False) -> float:
    """Concrete breakout strength of one anchor N_cb [N]: (A_Nc / A_Nco) ψ_ed ψ_c N_b, before φ. Screening.

    ψ_c is 1.25 cast in or 1.4 post-installed where the concrete is taken as uncracked. Where three or more
    edges are nearer than 1.5 h_ef the code shortens h_ef; that is not done here, which is on the low side.

    Raises:
        ValueError: an input out of range.
    """
    reach = 1.5 * positive(anchor.embedment, "Embedment")
    x_plus, y_plus, x_minus, y_minus = (min(positive(edge,
                                                     "Edge distance") if edge != float("inf") else reach,
                                            reach)
                                        for edge in anchor.edges)
    share = (x_plus + x_minus) * (y_plus + y_minus) / (2 * reach) ** 2
    uncracked = 1.0 if anchor.cracked else (1.4 if anchor.post_installed else 1.25)
    basic = basic_breakout(anchor.embedment, anchor.concrete, post_installed=anchor.post_installed,
                           lightweight=anchor.lightweight, deep=deep)
    return share * edge_factor(anchor.embedment, min(x_plus, y_plus, x_minus, y_minus)) * uncracked * basic


def headed_pullout(bearing_area: float, concrete: float, cracked: bool = True) -> float:
    """Pullout of a headed anchor N_pn = 8 A_brg f'c [N], times 1.4 uncracked, before φ. Screening.

    Args:
        bearing_area: net bearing area of head, nut or plate washer [m²].
        concrete: f'c [Pa].
        cracked: taken as cracked.

    Raises:
        ValueError: an input not above zero.
    """
    return 8.0 * positive(bearing_area, "Bearing area") * positive(concrete, "Concrete strength") * (
        1.0 if cracked else 1.4)


def hooked_pullout(hook: float, diameter: float, concrete: float, cracked: bool = True) -> float:
    """Pullout of an L- or J-bolt 0.9 f'c e_h d_a [N], times 1.4 uncracked, before φ. Screening.

    Args:
        hook: inner length e_h from the shank to the tip [m], 3 d_a to 4.5 d_a (longer counts as 4.5 d_a).
        diameter: d_a [m].
        concrete: f'c [Pa].
        cracked: taken as cracked.

    Raises:
        ValueError: hook shorter than 3 d_a, or an input not above zero.
    """
    positive(diameter, "Anchor diameter")
    if positive(hook, "Hook length") < 3 * diameter * (1 - 1e-9):
        raise ValueError("A hook shorter than three diameters has no pullout value.")
    return 0.9 * positive(concrete, "Concrete strength") * min(hook, 4.5 * diameter) * diameter * (
        1.0 if cracked else 1.4)


def side_face_blowout(embedment: float, near_edge: float, second_edge: float, bearing_area: float,
                      concrete: float, *, lightweight: float = 1.0) -> float | None:
    """Side-face blowout of a headed anchor N_sb = 160 c_a1 √A_brg λ √f'c [N], before φ. Screening.

    Applies where h_ef is more than 2.5 c_a1; None where it does not. At a corner with c_a2 under 3 c_a1 times
    (1 + c_a2/c_a1)/4, c_a2/c_a1 taken as 1 to 3.

    Args:
        embedment: h_ef [m].
        near_edge: c_a1 [m].
        second_edge: c_a2, at right angles [m]; `inf` where there is none.
        bearing_area: [m²].
        concrete: f'c [Pa].
        lightweight: λ_a [-].

    Raises:
        ValueError: an input not above zero.
    """
    if positive(embedment, "Embedment") <= 2.5 * positive(near_edge, "Edge distance"):
        return None
    area = positive(bearing_area, "Bearing area") / IN**2
    value = 160.0 * near_edge / IN * sqrt(area) * lightweight * root_strength(concrete, False) * LBF
    ratio = max(1.0, second_edge / near_edge)
    return value * (1 + ratio) / 4.0 if ratio < 3.0 else value


def steel_tension(stress_area: float, tensile: float, yield_strength: float | None = None) -> float:
    """Steel strength N_sa = A_se f_uta [N], f_uta at most 1.9 f_ya and 125 ksi, before φ.

    Args:
        stress_area: A_se [m²], see `rod.stress_area`.
        tensile: F_u [Pa].
        yield_strength: F_y [Pa], None where the standard sets none.

    Raises:
        ValueError: an input not above zero.
    """
    limit = min(positive(tensile, "Tensile strength"), 125 * KSI)
    if yield_strength is not None:
        limit = min(limit, 1.9 * positive(yield_strength, "Yield strength"))
    return positive(stress_area, "Stress area") * limit


def resistance_factor(mode: str) -> float:
    """Resistance factor φ by failure mode and kind of anchor [-], e.g. `cast_in`, `steel_tension_ductile`.

    Raises:
        ValueError: unknown mode.
    """
    return _PHI[one_of(mode, _PHI, "Failure mode")]


def least_strength(strengths: Sequence[tuple[str, float]]) -> tuple[str, float]:
    """The weakest of named strengths: (name, strength).

    Raises:
        ValueError: none given.
    """
    if not strengths:
        raise ValueError("No strengths were given to compare.")
    return min(strengths, key=lambda pair: pair[1])


def minimum_edge(diameter: float, cover: float, torqued: bool) -> float:
    """Least edge distance of a cast-in anchor [m]: the concrete cover, or 6 d_a where it is torqued.

    Args:
        diameter: d_a [m].
        cover: cover that the code wants for reinforcement in this place, to the anchor's face [m].
        torqued: the nut is tightened with a specified torque.

    Raises:
        ValueError: an input not above zero.
    """
    positive(diameter, "Anchor diameter")
    return 6 * diameter if torqued else positive(cover, "Concrete cover") + diameter / 2


def minimum_spacing(diameter: float, torqued: bool) -> float:
    """Least spacing of cast-in anchors [m]: 4 d_a, or 6 d_a where torqued.

    Raises:
        ValueError: diameter not above zero.
    """
    return (6 if torqued else 4) * positive(diameter, "Anchor diameter")
