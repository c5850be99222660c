"""What an IFC schema knows: whether a class can be used in it, and its predefined types."""

from __future__ import annotations

from functools import cache
from typing import Any


@cache
def predefined_types(schema: str, ifc_class: str) -> tuple[str, ...] | None:
    """Values that the class's PredefinedType may take in a schema.

    Args:
        schema: `IFC2X3`, `IFC4` or `IFC4X3_ADD2`; another one counts as IFC4X3_ADD2.
        ifc_class: e.g. `IfcWall`.

    Returns:
        () if the class has no such attribute; None if the schema has no such class or it is abstract.
    """
    from ifcopenshell import ifcopenshell_wrapper

    known: Any = ifcopenshell_wrapper
    declared = known.schema_by_name(schema if schema in {"IFC2X3", "IFC4"} else "IFC4X3_ADD2")
    try:
        entity = declared.declaration_by_name(ifc_class).as_entity()
    except RuntimeError:  # the schema has no such name
        return None
    if entity is None or entity.is_abstract():
        return None
    for attribute in entity.all_attributes():
        if attribute.name() == "PredefinedType":
            return tuple(attribute.type_of_attribute().declared_type().enumeration_items())
    return ()
