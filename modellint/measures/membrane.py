"""The sheet itself: how thick the membrane is, and whether it is a cross-laminated one."""

from __future__ import annotations

import re

from modellint.contacts.polylines import usable
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.roles.part import Part, Rung

_CROSS = re.compile(r"\bcross[- ]?laminated\b", re.IGNORECASE)
# a body thicker than this stands for the sheet and does not tell its thickness, metres (common practice, no source)
SYMBOL = 0.002


@measure("length", "membrane", example="0.25 mm (10 mil)")
def membrane_thickness(sheet: Part, ask: Ask) -> Quantity:
    """Thickness of the sheet: as stated, else as drawn where it is drawn thinner than 2 mm."""
    rows = piping_of(ask.house).facts.readings(sheet.element, "thickness") if "/layer:" not in sheet.key else []
    of = f"{sheet.name} ({sheet.element.global_id})"
    if rows:
        values = [float(row.value) for row in rows]
        seen = tuple(Evidence(row.where, float(row.value), "length", row.rung, sheet.element.global_id) for row in rows)
        rung = min(row.rung for row in rows)
        if max(values) - min(values) < 1e-9:
            return exact(values[0], "length", *seen, rung=rung)
        lack = Missing("thickness of the membrane", of, "two properties disagree")
        return between(min(values), max(values), "length", *seen, rung=rung, missing=(lack,))
    if sheet.box is not None and usable(sheet.box.corners):
        thin = 2 * float(min(sheet.box.half))
        if 0.0 < thin <= SYMBOL:
            drawn = Evidence(f"{sheet.name} as drawn", thin, "length", Rung.INFERRED, sheet.element.global_id)
            return exact(thin, "length", drawn, rung=Rung.INFERRED)
    return unknown("length", Missing("thickness of the membrane", of, "state the sheet's thickness"), low=0.0)


@measure("truth", "membrane", example="true for a sheet whose material is named cross-laminated polyethylene")
def membrane_cross_laminated(sheet: Part, ask: Ask) -> Quantity:
    """Whether the sheet's name, type or material says that it is cross-laminated."""
    element = sheet.element
    said = f"{element.name} {element.type_name} {' '.join(element.materials)}"
    seen = Evidence(f"words of {sheet.name}", None, "", Rung.INFERRED, element.global_id)
    return truth(bool(_CROSS.search(said)), seen, rung=Rung.INFERRED)
