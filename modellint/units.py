"""Units: text to SI and back, one dimension at a time, with exact factors.

Factors are the definitions and exact values of NIST Special Publication 811 (2008), appendix B; the two that
are not definitions (inch and millimetre of water) are its conventional values.
SI units inside: m, m2, m3, rad, slope as a tangent, N, N/m, N m, Pa, K, m3/s, kg, kg/m3, s, Bq/m3, m/s.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import atan, degrees, inf, isfinite, isnan, radians, tan

from modellint.errors import UnitProblem

_INCH, _FOOT, _POUND = Fraction(254, 10_000), Fraction(3048, 10_000), Fraction(45_359_237, 100_000_000)
_LBF = _POUND * Fraction(980_665, 100_000)
_KGF = Fraction(980_665, 100_000)
_WATER_INCH = Fraction(24_908_891, 100_000)  # NIST SP 811 B.8: inch of water, conventional, 249.088 9 Pa

# Units of one factor share a row: "names separated by |", factor.
_ROWS: dict[str, tuple[tuple[str, Fraction], ...]] = {
    "length": (("m|metre|metres|meter|meters", Fraction(1)), ("mm", Fraction(1, 1000)),
               ("cm", Fraction(1, 100)), ("km", Fraction(1000)),
               ('in|in.|inch|inches|"|″|”', _INCH), ("ft|ft.|foot|feet|'|′|’", _FOOT),
               ("yd", 3 * _FOOT)),
    "area": (("m2|m²|m^2", Fraction(1)), ("mm2|mm²|mm^2", Fraction(1, 10**6)),
             ("cm2|cm²", Fraction(1, 10**4)), ("in2|in²|in^2|sq in|sq. in.", _INCH**2),
             ("ft2|ft²|ft^2|sq ft|sf", _FOOT**2)),
    "volume": (("m3|m³|m^3", Fraction(1)), ("L|l|litre|liter", Fraction(1, 1000)),
               ("mL|ml", Fraction(1, 10**6)), ("in3|in³|cu in", _INCH**3), ("ft3|ft³|cu ft|cf", _FOOT**3),
               ("gal", 231 * _INCH**3)),
    "force": (("N", Fraction(1)), ("kN", Fraction(1000)), ("MN", Fraction(10**6)),
              ("lb|lbs|lbf|lb.|lbs.|pound|pounds", _LBF), ("kip|kips|k", 1000 * _LBF), ("kgf", _KGF)),
    "force_per_length": (("N/m", Fraction(1)), ("kN/m", Fraction(1000)), ("N/mm", Fraction(1000)),
                         ("plf|lb/ft|lbf/ft", _LBF / _FOOT), ("klf|kip/ft|kips/ft", 1000 * _LBF / _FOOT)),
    "moment": (("N m|N·m|Nm|N*m", Fraction(1)), ("kN m|kN·m|kNm", Fraction(1000)),
               ("ft lb|ft-lb|ft·lb|lb-ft|lb ft|ft lbf", _LBF * _FOOT),
               ("in lb|in-lb|lb-in|lb in", _LBF * _INCH), ("kip ft|kip-ft|k-ft", 1000 * _LBF * _FOOT)),
    "pressure": (("Pa", Fraction(1)), ("kPa", Fraction(1000)), ("MPa|N/mm2|N/mm²", Fraction(10**6)),
                 ("bar", Fraction(10**5)), ("mbar|hPa", Fraction(100)),
                 ("psi|lb/in2", _LBF / _INCH**2),
                 ("ksi", 1000 * _LBF / _INCH**2), ("psf|lb/ft2", _LBF / _FOOT**2),
                 ("in w.c.|in wc|in. w.c.|inwc|in w.g.|inH2O|in H2O|in. H2O|in of water", _WATER_INCH),
                 ("mm w.c.|mmH2O|mm H2O", Fraction(980_665, 100_000))),
    "flow": (("m3/s|m³/s", Fraction(1)), ("m3/h|m³/h", Fraction(1, 3600)), ("L/s|l/s", Fraction(1, 1000)),
             ("cfm|CFM|ft3/min", _FOOT**3 / 60), ("gpm", 231 * _INCH**3 / 60)),
    "mass": (("kg", Fraction(1)), ("g", Fraction(1, 1000)), ("t|tonne", Fraction(1000)),
             ("lb|lbs|lbm", _POUND)),
    "density": (("kg/m3|kg/m³", Fraction(1)), ("pcf|lb/ft3", _POUND / _FOOT**3)),
    "time": (("s|sec", Fraction(1)), ("min", Fraction(60)), ("h|hr|hours", Fraction(3600)),
             ("d|day|days", Fraction(86_400))),
    "activity": (("Bq/m3|Bq/m³", Fraction(1)), ("kBq/m3|kBq/m³", Fraction(1000)),
                 ("pCi/L|pCi/l", Fraction(37))),
    "speed": (("m/s", Fraction(1)), ("km/h", Fraction(1000, 3600)), ("mph", Fraction(1_609_344, 3_600_000))),
    "ratio": (("%|percent", Fraction(1, 100)), ("", Fraction(1))),
    "count": (("|pcs|pieces|ea", Fraction(1)),),
    "temperature": (("K|kelvin", Fraction(1)),),
    "slope": (("%|percent", Fraction(1, 100)),
              ("in/ft|in./ft|in per ft|in per foot|\"/ft|\"/'|in/foot", Fraction(1, 12)),
              ("mm/m", Fraction(1, 1000)), ("cm/m", Fraction(1, 100)),
              ("m/m|ft/ft|in/in|mm/mm", Fraction(1))),
    "angle": (),
}
_ANGLES = {"deg": True, "degree": True, "degrees": True, "°": True, "rad": False}  # word -> in degrees
_CELSIUS = {"degC": (Fraction(1), Fraction(27_315, 100)), "°C": (Fraction(1), Fraction(27_315, 100)),
            "C": (Fraction(1), Fraction(27_315, 100)),
            "degF": (Fraction(5, 9), Fraction(45_967, 180)), "°F": (Fraction(5, 9), Fraction(45_967, 180)),
            "F": (Fraction(5, 9), Fraction(45_967, 180))}

FACTORS: dict[str, dict[str, Fraction]] = {
    dimension: {name: factor for names, factor in rows for name in names.split("|")}
    for dimension, rows in _ROWS.items()}
DIMENSIONS = (*FACTORS, "choice", "truth")
"""Every dimension word."""
WORDS = frozenset({"choice", "truth"})
"""Dimensions whose values are words."""
_TYPICAL = {"length": "12 in or 300 mm", "area": "1 m2", "volume": "1 L", "force": "60 kN or 10 lb",
            "force_per_length": "350 plf", "moment": "2 kN m", "pressure": "50 Pa or 1 in w.c.",
            "flow": "20 L/s",
            "mass": "5 kg", "density": "500 kg/m3", "time": "10 min", "activity": "150 Bq/m3",
            "speed": "5 m/s or 12 mph",
            "ratio": "0.5 or 50 %", "count": "2", "temperature": "20 degC",
            "slope": "1/8 in/ft, 1 % or 1:96", "angle": "5 deg"}
_STEP = {"length": 1e-4, "angle": radians(0.01), "slope": 1e-5, "force": 1.0}

_NUMBER = r"(?:\d+[-\s]\d+/\d+|\d+/\d+|\d*\.\d+(?:[eE][-+]?\d+)?|\d+\.?(?:[eE][-+]?\d+)?)"
_ONE = re.compile(rf"\s*({_NUMBER})\s*")
_PITCH = re.compile(rf"({_NUMBER})\s*:\s*({_NUMBER})")
_FEET_INCHES = re.compile(rf"({_NUMBER})\s*(?:ft\.?|feet|foot|'|′|’)\s*-?\s*({_NUMBER})\s*"
                          r"(?:in\.?|inch|inches|\"|″|”|'')")
_THOUSANDS = re.compile(r"^[-+]?\d{1,3}(?:,\d{3})+(?:\.\d+)?(?=\D|$)")
_US = frozenset({"lb", "lbs", "lbf", "plf", "psi", "psf", "in", "ft", "kip", "kips", "pounds", "klf", "ksi",
                 "cfm"})
_TAIL = re.compile(r"\s+(?:o\.?\s?c\.?|c/c|ctrs?|on cent(?:er|re)|max\.?|min\.|typ\.?|each)\s*$",
                   re.IGNORECASE)


def _fraction(text: str) -> Fraction:
    parts = re.split(r"[-\s]+", text.strip()) if "/" in text else [text]
    total = Fraction(0)
    for part in parts:
        if "/" in part:
            above, below = part.split("/")
            if int(below) == 0:
                raise UnitProblem(f"'{text}' divides by zero.")
            total += Fraction(int(above), int(below))
        else:
            total += Fraction(Decimal(part))
    return total


def _float(value: Fraction, text: str) -> float:
    try:
        return float(value)
    except OverflowError:
        raise UnitProblem(f"'{text[:60]}' is too large a number.") from None


@lru_cache(maxsize=4096)
def parse(text: str, dimension: str) -> float:
    """Value of a text in SI.

    Args:
        text: e.g. `7 ft 6 in`, `1-1/2 in`, `1/8 in/ft`, `1:96`, `5 deg`, `in w.c.` after a number.
        dimension: a word of `DIMENSIONS`; slope and angle texts convert into each other.

    Raises:
        UnitProblem: not readable, no unit, or a unit of another dimension; one sentence.
    """
    if dimension not in FACTORS:
        raise UnitProblem(f"'{text}' is compared with a {dimension}, which has no unit.")
    stripped = text.strip()
    if len(stripped) > 60:
        raise UnitProblem(f"'{stripped[:40]}…' is too long for a quantity.")
    negative = stripped[:1] in {"-", "−"}
    sign, body = (-1 if negative else 1), (stripped[1:] if negative else stripped.removeprefix("+")).strip()
    if dimension in {"slope", "angle"}:
        return sign * _inclination(body, dimension, stripped)
    feet = _FEET_INCHES.fullmatch(body) if dimension == "length" else None
    if feet:
        return sign * _float(_fraction(feet[1]) * _FOOT + _fraction(feet[2]) * _INCH, stripped)
    number, unit = _split(body, stripped, dimension)
    if dimension == "temperature" and unit in _CELSIUS:
        factor, offset = _CELSIUS[unit]
        return _float(sign * number * factor + offset, stripped)
    if unit not in FACTORS[dimension]:
        raise _wrong_unit(stripped, unit, dimension)
    return _float(sign * number * FACTORS[dimension][unit], stripped)


def _split(body: str, text: str, dimension: str) -> tuple[Fraction, str]:
    match = _ONE.match(body)
    if not match or re.search(r"[eE][-+]?\d{4}", match[1]):
        raise UnitProblem(f"'{text}' is not a quantity; write {_wanted(dimension)}.")
    return _fraction(match[1]), " ".join(body[match.end():].split())


def _inclination(body: str, dimension: str, text: str) -> float:
    pitch = _PITCH.fullmatch(body)
    if pitch:
        run = _fraction(pitch[2])
        if run == 0:
            raise UnitProblem(f"'{text}' divides by zero.")
        slope = _float(_fraction(pitch[1]) / run, text)
        return slope if dimension == "slope" else atan(slope)
    number, unit = _split(body, text, dimension)
    if unit in _ANGLES:
        angle = radians(float(number)) if _ANGLES[unit] else float(number)
        if dimension == "slope" and angle >= radians(90):
            raise UnitProblem(f"'{text}' is vertical or beyond and has no slope.")
        return angle if dimension == "angle" else tan(angle)
    if unit not in FACTORS["slope"]:
        raise _wrong_unit(text, unit, dimension)
    slope = _float(number * FACTORS["slope"][unit], text)
    return slope if dimension == "slope" else atan(slope)


def _wanted(dimension: str) -> str:
    spoken = dimension.replace("_", " ")
    return f"{'an' if spoken[0] in 'aeiou' else 'a'} {spoken} like {_TYPICAL[dimension]}"


def _wrong_unit(text: str, unit: str, dimension: str) -> UnitProblem:
    wanted = _wanted(dimension)
    if not unit:
        return UnitProblem(f"'{text}' has no unit; write {wanted}.")
    others = dimensions_of(unit)
    if others:
        other = others[0].replace("_", " ")
        article = "an" if other[0] in "aeiou" else "a"
        return UnitProblem(f"'{text}' is {article} {other}, but {wanted} is needed.")
    return UnitProblem(f"'{text}' has the unknown unit '{unit}'; write {wanted}.")


def dimensions_of(unit: str) -> tuple[str, ...]:
    """Dimensions that have a unit of this spelling, in a fixed order; () if none."""
    found = [dimension for dimension, units in FACTORS.items() if unit and unit in units]
    found += ["angle"] if unit in _ANGLES else []
    found += ["temperature"] if unit in _CELSIUS else []
    return tuple(found)


def dimension_of(text: str) -> str:
    """The dimension that a text with a unit belongs to: the first that can read it; `%` reads as a ratio.

    Raises:
        UnitProblem: no dimension can read it.
    """
    for dimension in FACTORS:
        try:
            parse(text, dimension)
        except UnitProblem:
            continue
        return dimension
    raise UnitProblem(f"'{text[:60]}' is not a quantity with a known unit.")


def parse_loose(text: str, dimension: str, unit: str = "") -> float:
    """Value in SI of a text found in a model.

    Tolerates what people add on drawings ("4 in o.c.", "100 mm max"), and thousands commas with US units
    only, since `1,200 kN` is 1.2 kN elsewhere.

    Args:
        unit: unit from the property's name, used when the text is a bare number.

    Raises:
        UnitProblem: it has no readable unit of the dimension; one sentence.
    """
    cleaned = text.strip()[:80]
    while (shorter := _TAIL.sub("", cleaned)) != cleaned:
        cleaned = shorter
    cleaned = cleaned.removeprefix("@").strip()
    thousands = _THOUSANDS.match(cleaned)
    if thousands:
        rest = cleaned[thousands.end():].strip() or unit
        if rest not in _US:
            raise UnitProblem(f"'{cleaned}' is ambiguous: the comma may be a decimal sign.")
        cleaned = thousands[0].replace(",", "") + cleaned[thousands.end():]
    if unit and re.fullmatch(rf"[-+]?{_NUMBER}", cleaned):
        cleaned = f"{cleaned} {unit}"  # the name's unit decides
    return parse(cleaned, dimension)


_BRACKET = re.compile(r"[(\[]\s*([^()\[\]]{1,16}?)\s*[)\]]\s*$")
_SHORT = frozenset({"in", "m", "s", "h", "t", "d", "K", "k", "C", "F", "g", "l", "L", "N", "min", "ea", "day",
                    "days", "foot", "feet", "pounds", "pound", "pieces", "'", '"', "%"})


def unit_in_name(name: str) -> str | None:
    """Unit that a property or column name carries: "Pull (lb)", "uplift [kN]", "gap_mm", "Depth, in".

    Short words that are also English ("check in") count only in brackets or after `_` or a comma.
    """
    bracket = _BRACKET.search(name)
    if bracket:
        return bracket[1] if dimensions_of(bracket[1]) else None
    for separator, plain in (("_", True), (", ", True), (" ", False)):
        head, found, tail = name.strip().rpartition(separator)
        if found and head and dimensions_of(tail.strip()) and (plain or tail not in _SHORT):
            return tail.strip()
    return None


def round_for_comparison(value: float, dimension: str) -> float:
    """Value as it is compared: to 0.1 mm, 0.01 deg, slope 1e-5, 1 N.

    Other dimensions keep 12 significant digits, which removes the noise of binary fractions and nothing else.
    """
    if not isfinite(value):
        return value
    step = _STEP.get(dimension)
    return round(value / step) * step if step else float(f"{value:.12g}")


def _plain(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in {"-0", ""} else text


def _inches(value: float) -> str:
    """Inches to the nearest sixteenth as a mixed fraction."""
    sixteenths = round(value * 16)
    whole, rest = divmod(sixteenths, 16)
    fraction = str(Fraction(rest, 16)) if rest else ""
    return "-".join(part for part in (str(whole) if whole or not rest else "", fraction) if part)


def _us_length(value: float) -> str:
    inches = value / 0.0254
    if 0 < inches < 1 / 32:
        return f"{inches:.2g} in"
    if round(inches * 16) < 24 * 16 and round(inches * 16) != 12 * 16:
        return f"{_inches(inches)} in"
    if round(inches * 16) == 12 * 16:
        return "12 in"
    feet, rest = divmod(round(inches * 16), 192)
    return f"{feet} ft" + (f" {_inches(rest / 16)} in" if rest else "")


def _metric_length(value: float) -> str:
    if value >= 10:
        return f"{_plain(value, 2)} m"
    millimetres = value * 1000
    return f"{_plain(millimetres, 1 if millimetres < 100 else 0)} mm"


def _slope(value: float) -> str:
    per_foot = value * 12
    nearest = round(per_foot * 16) / 16
    exact = abs(nearest - per_foot) <= 0.001
    inches = _inches(nearest) if exact else _plain(per_foot, 2)
    return f"{_plain(value * 100, 2)} % ({inches} in/ft)"


_SHOWN: dict[str, tuple[tuple[str, float, int], tuple[str, float, int]]] = {  # metric, US
    "area": (("m²", 1.0, 2), ("ft²", float(_FOOT**2), 1)),
    "volume": (("L", 1e-3, 1), ("gal", float(231 * _INCH**3), 1)),
    "force": (("kN", 1e3, 2), ("lb", float(_LBF), 0)),
    "force_per_length": (("kN/m", 1e3, 2), ("plf", float(_LBF / _FOOT), 0)),
    "moment": (("kN m", 1e3, 2), ("ft lb", float(_LBF * _FOOT), 0)),
    "pressure": (("Pa", 1.0, 1), ("in w.c.", float(_WATER_INCH), 3)),
    "flow": (("L/s", 1e-3, 1), ("cfm", float(_FOOT**3 / 60), 1)),
    "mass": (("kg", 1.0, 1), ("lb", float(_POUND), 1)),
    "density": (("kg/m³", 1.0, 0), ("pcf", float(_POUND / _FOOT**3), 1)),
    "time": (("s", 1.0, 0), ("s", 1.0, 0)),
    "activity": (("Bq/m³", 1.0, 0), ("pCi/L", 37.0, 1)),
    "speed": (("m/s", 1.0, 1), ("mph", 0.44704, 1)),
}


def show(value: float, dimension: str, system: str = "metric") -> str:
    """A value in SI as a builder reads it: `305 mm` or `12 in`, `1.04 % (1/8 in/ft)`, `13.34 kN`.

    Args:
        system: `metric` or `us`. NaN reads "not known", infinity "no limit".
    """
    if isnan(value):
        return "not known"
    if value in {inf, -inf}:
        return "no limit"
    if value < 0 and dimension != "temperature":
        shown = show(-value, dimension, system)
        return shown if re.match(r"0( |$)", shown) else f"-{shown}".replace(" (", " (-")
    if dimension == "length":
        return _us_length(value) if system == "us" and value < 1e9 else _metric_length(value)
    if dimension == "slope" and value < 1e9:
        return _slope(value)
    if dimension == "angle":
        return f"{_plain(degrees(value), 2)}°"
    if dimension == "temperature":
        celsius = value - 273.15
        return f"{_plain(celsius * 1.8 + 32, 1)} °F" if system == "us" else f"{_plain(celsius, 1)} °C"
    if dimension in _SHOWN:
        return _scaled(value, dimension, system)
    if value >= 1e15:
        return _plain(value, 0)
    return _plain(value, 3 if value < 1 else 2 if value < 10 else 1)


def _scaled(value: float, dimension: str, system: str) -> str:
    unit, factor, digits = _SHOWN[dimension][1 if system == "us" else 0]
    if dimension == "force" and unit == "kN" and value < 100:
        unit, factor, digits = "N", 1.0, 0
    if dimension == "pressure" and value >= 10_000:  # stresses, not draughts
        unit, factor, digits = ("psi", float(_LBF / _INCH**2), 0) if system == "us" else ("MPa", 1e6, 2)
    if dimension == "time" and value >= 86_400:
        unit, factor, digits = "d", 86_400.0, 1
    return f"{_plain(value / factor, digits)} {unit}"
