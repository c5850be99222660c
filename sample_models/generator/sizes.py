"""Sizes that both houses share, in metres. Dressed lumber and spacings: common practice, no source."""

from __future__ import annotations

PLY = 0.038
DEPTH = 0.140
STUD = 2.353
SPACING = 0.4064
PLATES = 2 * PLY
WALL = PLY + STUD + PLATES
JOIST = 0.302
DECK = 0.018
STEP = WALL + JOIST + DECK
PANEL = 0.011
PANEL_WIDTH = 1.220
HEADER = 0.235

ROD = 0.0159
BOLT = 0.0127
BOLT_EMBEDMENT = 0.190
ROD_EMBEDMENT = 0.350
TIE_LENGTH = 0.300
TIE_ALONG = 0.070
TIE_ACROSS = 0.060
TIE_LIFT = 0.025
ROD_FROM_POST = 0.038
THREAD = 0.060

STEM = 0.200
STEM_BOTTOM = -0.500
FOOTING = 0.500
FOOTING_BOTTOM = -0.750
SLAB = 0.100
MEMBRANE = 0.00025
GRAVEL = 0.150

PIPE_OUTSIDE = 0.1143
PIPE_BORE = 0.1015


def floor(storey: int) -> float:
    """Elevation of a storey's floor, metres; the attic floor is the underside of the roof framing."""
    return (storey - 1) * STEP
