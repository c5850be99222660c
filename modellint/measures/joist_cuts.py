"""Holes and notches in joists: sawn or engineered, where along the joist, approved by its maker or not."""

from __future__ import annotations

import re

import numpy as np

from modellint.contacts.polylines import nearest_on, usable
from modellint.ifc.solid import Array
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, truth, unknown, word
from modellint.roles.part import Part, Rung

_ENGINEERED = re.compile(
    r"\b(i-?joists?|i ?joists?|lvl|lsl|psl|osl|glulam|glue ?lam(inated)?|engineered|open ?web|truss(es)?)\b",
    re.IGNORECASE,
)


@measure("choice", "joist", words=("sawn", "engineered"), example="engineered for a joist named I-joist 302")
def joist_kind(joist: Part, ask: Ask) -> Quantity:
    """Whether a joist is sawn wood or engineered (I-joist, laminated or composite wood, truss), by its words.

    Name, type name and material are read; a joist that says none of these words counts as sawn, at rung inferred.
    """
    element = joist.element
    said = f"{element.name} {element.type_name} {' '.join(element.materials)}"
    found = _ENGINEERED.search(said)
    kind = "engineered" if found else "sawn"
    seen = Evidence(
        f"words of {joist.name}" + (f": {found[0]}" if found else ""), kind, "", Rung.INFERRED, element.global_id
    )
    return word(kind, seen, rung=Rung.INFERRED)


@measure("truth", "joist", item="any_pipe", example="true for a pipe that crosses at mid-span")
def cut_in_middle_third(joist: Part, pipe: Part, ask: Ask) -> Quantity:
    """Whether the pipe crosses within the middle third of the joist's length, taken as its span."""
    box, axis = joist.box, pipe.axis if pipe.axis is not None else _short(pipe)
    if box is None or axis is None or not usable(axis):
        return unknown("truth", Missing("shape", pipe.name, "draw the pipe and the joist"))
    along = int(np.argmax(box.half))
    spot = nearest_on(axis, box.centre)[2]
    place = float(box.local(np.asarray([spot]))[0][along])
    share = abs(place) / float(box.half[along])
    seen = Evidence(
        f"{pipe.name} at {(place / float(box.half[along]) + 1) / 2:.0%} of the joist's length",
        None,
        "",
        Rung.DECLARED,
        pipe.element.global_id,
    )
    return truth(share < 1 / 3, seen)


@measure("truth", "joist", item="any_pipe", example="true where the joist's property set says so")
def cut_approved(joist: Part, pipe: Part, ask: Ask) -> Quantity:
    """Whether the model says that the maker or designer of the joist allows the hole; silence is not known."""
    for part in (joist, pipe):
        found = ask.house.stated(part, "cut_approved")
        if found is not None and isinstance(found.value, bool):
            seen = Evidence(found.where, None, "", found.rung, part.element.global_id)
            return truth(found.value, seen, rung=found.rung)
    hint = "ask the joist's maker or designer, and note the answer"
    return unknown("truth", Missing("approval of the hole", joist.name, hint))


def _short(pipe: Part) -> Array | None:
    """Centre line of a piece of pipe too short to count as a bar."""
    return next((solid.axis for solid in pipe.solids if solid.axis is not None), None)
