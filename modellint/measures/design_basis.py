"""Measures of what the house is designed to: is the basis said, and said once?"""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from modellint.graph.house import BuildingSubject
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Rung

if TYPE_CHECKING:
    from modellint.ifc.model import Element

FACTS = {
    "building_code": "building code and edition",
    "design_wind": "design wind",
    "seismic_category": "seismic design category",
}


def _said(building: BuildingSubject) -> dict[str, list[Evidence]]:
    """What site and building say of each fact, in the order of the file."""
    house, found = building.house, {}
    for quantity in FACTS:
        rows: list[Evidence] = []
        if quantity in house.properties.entries:
            for node in house.model.spaces.values():
                if node.kind == "site" or node.key in {house.key, house.within}:
                    rows += [
                        Evidence(row.where, str(row.value).strip(), "", row.rung, node.key)
                        for row in house.properties.read(cast("Element", node), quantity)
                        if not row.unread and str(row.value).strip()
                    ]
        found[quantity] = rows
    return found


def _by_setting(building: BuildingSubject) -> str:
    given = str(building.house.settings.get("design_basis", "as modelled"))
    return "" if given == "as modelled" else given


@measure("truth", of="building", example="false where the model names the code but no wind")
def design_basis_said(building: BuildingSubject, ask: Ask) -> Quantity:
    """Whether code and edition, wind and earthquake basis are all said by the model or the project; else not known."""
    if given := _by_setting(building):
        return truth(True, Evidence("project setting design_basis", given, "", Rung.SCHEDULED), rung=Rung.SCHEDULED)
    said = _said(building)
    lacking = [words for quantity, words in FACTS.items() if not said[quantity]]
    if lacking:
        hint = "give it as a property of the building or in the project's setting design_basis"
        return unknown("truth", *(Missing(words, building.name, hint) for words in lacking),
                       evidence=tuple(row for rows in said.values() for row in rows))
    return truth(True, *(row for rows in said.values() for row in rows), rung=Rung.INFERRED)


@measure("count", of="building", example="1 where site and building name two different wind speeds")
def design_basis_clashes(building: BuildingSubject, ask: Ask) -> Quantity:
    """Facts of the design basis of which the model gives two different values; the text names them."""
    said = _said(building)
    clashing = {
        words: said[quantity]
        for quantity, words in FACTS.items()
        if len({str(row.value).lower() for row in said[quantity]}) > 1
    }
    text = "; ".join(f"{words}: " + " and ".join(sorted({str(row.value) for row in rows}))
                     for words, rows in clashing.items())
    seen = tuple(row for rows in clashing.values() for row in rows)
    return exact(float(len(clashing)), "count", *seen, text=text)
