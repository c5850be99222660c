"""Factors on dead and lateral load for uplift and compression at wall ends (ASCE 7)."""

from __future__ import annotations

from dataclasses import dataclass

from modellint.engineering.require import in_range, one_of
from modellint.engineering.sheathing_capacity import LEVELS
from modellint.engineering.sheathing_table import LOADS
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED

EFFECTS = ("uplift", "compression")

SOURCES = {
    "combination@ASD wind uplift": Source("standard", "ASCE 7-10 and 7-16", "2.4.1", note=RESTATED),
    "combination@ASD seismic uplift": Source("standard", "ASCE 7-10 and 7-16", "2.4.1, 12.4.2",
                                             note=RESTATED),
    "combination@ASD wind compression": Source("standard", "ASCE 7-16", "2.4.1", memory=True),
    "combination@ASD seismic compression": Source("standard", "ASCE 7-10 and 7-16", "2.4.1, 12.4.2",
                                                  note=RESTATED),
    "combination@LRFD wind uplift": Source("standard", "ASCE 7-16", "2.3.1", memory=True),
    "combination@LRFD seismic uplift": Source("standard", "ASCE 7-16", "2.3.6", memory=True),
    "combination@LRFD wind compression": Source("standard", "ASCE 7-16", "2.3.1", memory=True),
    "combination@LRFD seismic compression": Source("standard", "ASCE 7-16", "2.3.6", memory=True),
}


@dataclass(frozen=True)
class Combination:
    """Factors of one load combination; live, snow and rain loads are not part of it.

    Attributes:
        dead: factor on dead load, the vertical part of earthquake load included.
        lateral: factor on wind W or horizontal earthquake load E_h at strength level.
        source: origin.
    """

    dead: float
    lateral: float
    source: Source


def combination(effect: str, level: str, load: str, s_ds: float | None = None) -> Combination:
    """The combination of dead and lateral load for one effect.

    Lateral loads are taken at strength level (W and E_h of ASCE 7); a demand already at allowable level takes
    no lateral factor.

    Args:
        effect: `uplift` (least dead load) or `compression` (most).
        level: `ASD` or `LRFD`.
        load: `wind` or `seismic`.
        s_ds: design spectral acceleration S_DS in g, needed for seismic load.

    Raises:
        ValueError: an unknown word, or S_DS missing for seismic load or out of 0 to 3.
    """
    one_of(effect, EFFECTS, "Effect")
    one_of(level, LEVELS, "Load level")
    one_of(load, LOADS, "Load")
    vertical = 0.0
    if load == "seismic":
        if s_ds is None:
            raise ValueError("A seismic combination needs S_DS, which was not given.")
        vertical = 0.2 * in_range(s_ds, 0.0, 3.0, "S_DS")
    uplift = effect == "uplift"
    if level == "ASD":
        lateral = 0.6 if load == "wind" else 0.7
        dead = (0.6 if uplift else 1.0) + (-0.7 if uplift else 0.7) * vertical
    else:
        lateral = 1.0
        dead = (0.9 if uplift else 1.2) + (-vertical if uplift else vertical)
    return Combination(dead, lateral, SOURCES[f"combination@{level} {load} {effect}"])
