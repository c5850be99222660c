"""Exact inch-pound constants: multiply to get SI, divide to get back.

All follow from the international inch (25.4 mm) and the pound-force (0.45359237 kg × 9.80665 m/s²).
"""

from __future__ import annotations

IN = 0.0254
FT = 0.3048
LBF = 4.4482216152605
KIP = 1000.0 * LBF
PLF = LBF / FT
PSI = LBF / IN**2
KSI = 1000.0 * PSI
PSF = LBF / FT**2
KIP_PER_IN = KIP / IN
LBF_PER_IN = LBF / IN
MPH = 1609.344 / 3600.0
