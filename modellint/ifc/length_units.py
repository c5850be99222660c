"""Units of a file: factors to SI for its lengths, angles and other measures."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import isfinite
from typing import Any

from modellint.ifc.source import Source

PREFIXES = {
    "EXA": 1e18,
    "PETA": 1e15,
    "TERA": 1e12,
    "GIGA": 1e9,
    "MEGA": 1e6,
    "KILO": 1e3,
    "HECTO": 1e2,
    "DECA": 1e1,
    "DECI": 1e-1,
    "CENTI": 1e-2,
    "MILLI": 1e-3,
    "MICRO": 1e-6,
    "NANO": 1e-9,
    "PICO": 1e-12,
    "FEMTO": 1e-15,
    "ATTO": 1e-18,
}
"""SI prefixes, ISO 16739-1 IfcSIPrefix."""

POWERS = {"SQUARE_METRE": 2, "CUBIC_METRE": 3}
"""A prefix belongs to the metre, so it counts with the power (ISO 16739-1 IfcSIUnit)."""

SI_NAMES = {
    "LENGTHUNIT": "METRE",
    "AREAUNIT": "SQUARE_METRE",
    "VOLUMEUNIT": "CUBIC_METRE",
    "PLANEANGLEUNIT": "RADIAN",
    "FORCEUNIT": "NEWTON",
    "PRESSUREUNIT": "PASCAL",
}
"""The SI unit that a unit type names, ISO 16739-1 IfcUnitEnum and IfcSIUnitName."""

BELIEVABLE = (1e-6, 1e3)
"""Metres per length unit of a building model, micrometre to kilometre (judgement, no source)."""

MEASURES = {
    "IfcLengthMeasure": ("length", "LENGTHUNIT"),
    "IfcPositiveLengthMeasure": ("length", "LENGTHUNIT"),
    "IfcNonNegativeLengthMeasure": ("length", "LENGTHUNIT"),
    "IfcAreaMeasure": ("area", "AREAUNIT"),
    "IfcVolumeMeasure": ("volume", "VOLUMEUNIT"),
    "IfcPlaneAngleMeasure": ("angle", "PLANEANGLEUNIT"),
    "IfcPositivePlaneAngleMeasure": ("angle", "PLANEANGLEUNIT"),
    "IfcForceMeasure": ("force", "FORCEUNIT"),
    "IfcLinearForceMeasure": ("force_per_length", "LINEARFORCEUNIT"),
    "IfcPressureMeasure": ("pressure", "PRESSUREUNIT"),
    "IfcPlanarForceMeasure": ("pressure", "PLANARFORCEUNIT"),
    "IfcModulusOfElasticityMeasure": ("pressure", "MODULUSOFELASTICITYUNIT"),
    "IfcThermodynamicTemperatureMeasure": ("temperature", "THERMODYNAMICTEMPERATUREUNIT"),
    "IfcVolumetricFlowRateMeasure": ("flow", "VOLUMETRICFLOWRATEUNIT"),
}
"""Measure type to dimension word and unit type (ISO 16739-1, IfcUnitEnum and IfcDerivedUnitEnum)."""

PLAIN = {
    "IfcCountMeasure": "count",
    "IfcRatioMeasure": "ratio",
    "IfcPositiveRatioMeasure": "ratio",
    "IfcNormalisedRatioMeasure": "ratio",
}
"""Measure types that need no unit."""

DIMENSIONS = {unit: dimension for dimension, unit in MEASURES.values()}


@dataclass(frozen=True)
class Scale:
    """How a number becomes SI: `value * factor + offset`, with the unit's name."""

    factor: float
    name: str
    offset: float = 0.0


@dataclass(eq=False)
class Units:
    """Units of one file.

    Attributes:
        length: metres per length unit.
        length_name: e.g. `foot`, `millimetre`.
        angle: radians per plane angle unit (radian if the file names none).
        project: unit type to scale, as the project assigns them.
    """

    length: float = 1.0
    length_name: str = "metre"
    angle: float = 1.0
    project: dict[str, Scale] = field(default_factory=dict)
    _own: dict[int, tuple[str, Scale] | None] = field(default_factory=dict)

    def si(self, value: float, measure: str, unit: Any = None) -> tuple[float, str]:
        """A number in SI and its dimension word; unchanged and "" where no unit is known.

        Args:
            value: as in the file.
            measure: IFC measure type, e.g. `IfcLengthMeasure`.
            unit: the value's own unit, if it names one.
        """
        if unit is not None:
            own = self._of(unit)
            return (value * own[1].factor + own[1].offset, own[0]) if own else (value, "")
        if measure in PLAIN:
            return value, PLAIN[measure]
        dimension, unit_type = MEASURES.get(measure, ("", ""))
        scale = self.project.get(unit_type)
        return (value * scale.factor + scale.offset, dimension) if scale else (value, "")

    def _of(self, unit: Any) -> tuple[str, Scale] | None:
        step_id = unit.id()
        if step_id not in self._own:
            scale = _scale(unit)
            dimension = DIMENSIONS.get(_unit_type(unit), "")
            self._own[step_id] = (dimension, scale) if scale and dimension else None
        return self._own[step_id]


def read_units(source: Source) -> Units:
    """Units of the project; a missing length unit becomes a serious note, never a silent 1."""
    units = Units()
    for project in source.rows("IfcProject") or source.rows("IfcContext"):
        assignment = project[8]
        for unit in _sorted(assignment[0]) if assignment is not None else ():
            scale = _readable_scale(source, unit)
            if scale is not None:
                units.project.setdefault(_unit_type(unit), scale)
    length, angle = units.project.get("LENGTHUNIT"), units.project.get("PLANEANGLEUNIT")
    if length is None:
        source.note(
            "units-missing",
            "the file states no length unit; lengths are read as metres, which may be wrong",
            serious=True,
        )
    else:
        units.length, units.length_name = length.factor, length.name
        if not BELIEVABLE[0] <= length.factor <= BELIEVABLE[1]:
            source.note("units-unbelievable", f"the file's length unit {length.name!r} is {length.factor:.3g} m; no "
                        "building is drawn in it", serious=True)
    if angle is not None:
        units.angle = angle.factor
    return units


def _readable_scale(source: Source, unit: Any) -> Scale | None:
    try:
        return None if unit.is_a("IfcMonetaryUnit") else _scale(unit)
    except (RuntimeError, ValueError, TypeError, IndexError, AttributeError, ArithmeticError) as problem:
        source.note("unit-unread", f"a unit cannot be read: {problem}", unit)
        return None


def _sorted(rows: Any) -> list[Any]:
    return sorted((row for row in rows or () if hasattr(row, "id")), key=lambda row: int(row.id()))


def _unit_type(unit: Any) -> str:
    return str(unit[1] or "")


def _scale(unit: Any, depth: int = 0) -> Scale | None:
    """Scale of a unit entity; None for units that only a contract explains, and for broken ones."""
    if unit is None or depth > 5:
        return None
    kind = unit.is_a()
    if kind == "IfcSIUnit":
        return _si_scale(unit)
    if kind in {"IfcConversionBasedUnit", "IfcConversionBasedUnitWithOffset"}:
        measure = unit[3]
        base = _scale(measure[1], depth + 1) if measure is not None else None
        number = float(measure[0][0]) if base else 0.0
        if base is None or number <= 0 or not isfinite(number):
            return None
        offset = float(unit[4] or 0.0) if kind.endswith("WithOffset") else 0.0
        factor = number * base.factor
        return Scale(factor, str(unit[2] or "").strip().lower(), offset * factor + base.offset)
    if kind == "IfcDerivedUnit":
        factor = 1.0
        for element in unit[0] or ():
            part = _scale(element[0], depth + 1)
            if part is None:
                return None
            factor *= part.factor ** int(element[1])
        return Scale(factor, _unit_type(unit).lower())
    return None


def _si_scale(unit: Any) -> Scale | None:
    name = str(unit[3] or "")
    if name != SI_NAMES.get(_unit_type(unit), name) or not name:
        return None  # seconds for a length
    prefix = str(unit[2] or "")
    factor = PREFIXES.get(prefix, 1.0) ** POWERS.get(name, 1)
    if name == "GRAM":
        factor *= 1e-3
    offset = 273.15 if name == "DEGREE_CELSIUS" else 0.0
    return Scale(factor, (prefix + name).lower().replace("_", " "), offset)
