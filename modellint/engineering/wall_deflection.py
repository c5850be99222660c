"""Deflection at the top of a shear wall and the stiffness that goes into it (SDPWS 4.3.2, IBC 2305.3)."""

from __future__ import annotations

from dataclasses import dataclass

from modellint.engineering.require import not_negative, one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.us_units import FT, IN, KIP_PER_IN, LBF, LBF_PER_IN, PLF

SOURCES = {
    "three_term_deflection": Source("standard", "SDPWS 2015", "Eq. 4.3-1", memory=True,
                                    note="inputs seen in two code texts; bending term re-derived"),
    "four_term_deflection": Source("code", "IBC", "Eq. 23-2", memory=True,
                                   note="inputs seen in two code texts"),
    "nail_slip": Source("standard", "SDPWS 2015", "commentary C4.2.2", memory=True,
                        note="reproduces 47 of 48 tabulated stiffness cells within 0.5 kip/in"),
    "derived_stiffness": Source("standard", "SDPWS 2015", "commentary C4.2.2", memory=True,
                                note="reproduces 47 of 48 tabulated stiffness cells within 0.5 kip/in"),
    "OSB_RIGIDITY": Source("standard", "SDPWS 2015", "commentary Table C4.2.2A", memory=True),
}

OSB_RIGIDITY = {"5/16": 77_500 * LBF_PER_IN, "3/8": 77_500 * LBF_PER_IN, "7/16": 83_500 * LBF_PER_IN,
                "15/32": 83_500 * LBF_PER_IN, "19/32": 88_500 * LBF_PER_IN}
"""Rigidity through the thickness G_v t_v of OSB by panel thickness in inches [N/m]."""

_SLIP = {"6d": (456.0, 3.144), "8d": (616.0, 3.018), "10d": (769.0, 3.276)}
_GRADE_SLIP = {"structural_1": 1.0, "sheathing": 1.2}


@dataclass(frozen=True)
class Deflection:
    """The terms of a wall's deflection [m]; `slip` is unknown (None) if no anchorage slip was given.

    Attributes:
        bending: chords.
        shear: panel shear and nail slip.
        slip: rotation by vertical slip of the anchorage.
    """

    bending: float
    shear: float
    slip: float | None

    @property
    def total(self) -> float | None:
        """Sum of the terms [m], None while the slip is unknown."""
        return None if self.slip is None else self.bending + self.shear + self.slip


def _bending(unit_shear: float, height: float, length: float, modulus: float, post_area: float) -> float:
    return 2 * unit_shear * height**3 / (3 * modulus * post_area * length)


def three_term_deflection(unit_shear: float, height: float, length: float, *, modulus: float,
                          post_area: float, stiffness: float, anchorage_slip: float | None) -> Deflection:
    """Deflection at the top of a blocked wall: 8vh³/(EAb) + vh/(1000 G_a) + hΔ_a/b, in consistent units.

    The bending term is 2vh³/(3EAb); the 8 of the printed form comes from feet and inches. Drift checks for
    seismic use a strength-level unit shear, serviceability for wind an allowable-level one (from memory).

    Args:
        unit_shear: v [N/m].
        height: h [m].
        length: b [m].
        modulus: E of the end post [Pa].
        post_area: A of one end post [m²].
        stiffness: G_a [N/m].
        anchorage_slip: Δ_a, all vertical slip at the tension end at this load: device, rod stretch, bearing,
            shrinkage [m]; None leaves the total unknown.

    Raises:
        ValueError: a negative unit shear or slip, or another input not above zero.
    """
    not_negative(unit_shear, "Unit shear")
    bending = _bending(unit_shear, positive(height, "Wall height"), positive(length, "Wall length"),
                       positive(modulus, "Modulus of elasticity"), positive(post_area, "Post area"))
    shear = unit_shear * height / positive(stiffness, "Stiffness")
    return Deflection(bending, shear, _slip_term(height, length, anchorage_slip))


def four_term_deflection(unit_shear: float, height: float, length: float, *, modulus: float, post_area: float,
                         rigidity: float, slip: float, anchorage_slip: float | None) -> Deflection:
    """Deflection with panel shear and nail slip apart: 8vh³/(EAb) + vh/(Gt) + 0.75 h e_n + d_a h/b.

    The 0.75 of the nail slip term is for h in feet, with e_n and the deflection in one and the same unit.

    Args:
        unit_shear: v [N/m].
        height: h [m].
        length: b [m].
        modulus: E of the end post [Pa].
        post_area: A of one end post [m²].
        rigidity: G_v t_v of the panel [N/m].
        slip: nail slip e_n [m], see `nail_slip`.
        anchorage_slip: d_a [m]; None leaves the total unknown.

    Raises:
        ValueError: a negative unit shear or slip, or another input not above zero.
    """
    not_negative(unit_shear, "Unit shear")
    bending = _bending(unit_shear, positive(height, "Wall height"), positive(length, "Wall length"),
                       positive(modulus, "Modulus of elasticity"), positive(post_area, "Post area"))
    nails = 0.75 * (height / FT) * (not_negative(slip, "Nail slip") / IN) * IN
    shear = unit_shear * height / positive(rigidity, "Panel rigidity") + nails
    return Deflection(bending, shear, _slip_term(height, length, anchorage_slip))


def _slip_term(height: float, length: float, anchorage_slip: float | None) -> float | None:
    return None if anchorage_slip is None else height * not_negative(anchorage_slip,
                                                                     "Anchorage slip") / length


def nail_slip(force: float, nail: str, grade: str) -> float:
    """Nail slip e_n [m] at a force per nail [N], dry lumber.

    e_n = (V_n / 456)^3.144 for 6d, (V_n / 616)^3.018 for 8d, (V_n / 769)^3.276 for 10d (lb, in); 1.2 times
    that for other than Structural I panels.

    Args:
        force: load per nail [N].
        nail: `6d`, `8d` or `10d`.
        grade: `structural_1` or `sheathing`.

    Raises:
        ValueError: negative force, or unknown nail or grade.
    """
    base, power = _SLIP[one_of(nail, _SLIP, "Nail")]
    scale = _GRADE_SLIP[one_of(grade, _GRADE_SLIP, "Panel grade")]
    return float((not_negative(force, "Force per nail") / LBF / base) ** power) * scale * IN


def derived_stiffness(allowable: float, spacing: float, nail: str, grade: str, rigidity: float) -> float:
    """Apparent stiffness G_a [N/m] from panel rigidity and nail slip at 1.4 times the allowable unit shear.

    G_a = 1.4 v / (1.4 v / (G_v t_v) + 0.75 e_n), v in plf, G_v t_v in lb/in, e_n in inches, G_a in kip/in.

    Args:
        allowable: allowable seismic unit shear of the 2008/2015 table (nominal / 2) [N/m].
        spacing: edge nail spacing [m].
        nail: `6d`, `8d` or `10d`.
        grade: `structural_1` or `sheathing`.
        rigidity: G_v t_v [N/m], see OSB_RIGIDITY.

    Raises:
        ValueError: an input not above zero, or unknown nail or grade.
    """
    strength = 1.4 * positive(allowable, "Allowable unit shear")
    slip = nail_slip(strength * positive(spacing, "Edge nail spacing"), nail, grade) / IN
    plf = strength / PLF
    shear = plf / (positive(rigidity, "Panel rigidity") / LBF_PER_IN)
    return plf / (shear + 0.75 * slip) / 1000.0 * KIP_PER_IN
