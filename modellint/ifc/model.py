"""What the reader hands on: a building model in SI and world coordinates, free of IFC library objects.

World coordinates are shifted by `Model.origin` so that numbers stay small; a report adds it back.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from modellint.ifc.solid import Array, Solid


@dataclass(frozen=True)
class Note:
    """Something about the input that a user must know.

    Attributes:
        code: short stable word, e.g. `duplicate-global-id`.
        text: one sentence.
        file: file name, or "".
        line: line in the STEP text from 1, or None.
        global_id: element concerned, or "".
        serious: the check is incomplete because of it (exit status 3).
    """

    code: str
    text: str
    file: str = ""
    line: int | None = None
    global_id: str = ""
    serious: bool = False


@dataclass(frozen=True)
class PropertyValue:
    """One property or quantity as the file states it.

    Attributes:
        value: str, bool, int, float, or a tuple of these for a list; lengths etc. already SI when
            `dimension` is set.
        dimension: dimension word of units.py when the IFC measure type or own unit fixes one, else "".
        measure: IFC measure type, e.g. `IfcLengthMeasure`, `IfcLabel`.
        own_unit: the property names its own unit (not the project's).
    """

    value: Any
    dimension: str = ""
    measure: str = ""
    own_unit: bool = False


@dataclass(frozen=True)
class MaterialLayer:
    """One layer of a layered element.

    Attributes:
        name: material name (or layer name), "" if none.
        thickness: metres.
        offset: metres from the reference line to the layer's lower face, along the positive `layer_axis`
            (whichever way the layers run).
        category: layer category, "" if none.
    """

    name: str
    thickness: float
    offset: float
    category: str = ""


@dataclass(eq=False)
class Port:
    """A distribution port.

    Attributes:
        key: GlobalId.
        element: key of the owning element, "" if none.
        position: (3,) world metres, None if unplaced.
        flow: `SOURCE`, `SINK`, `SOURCEANDSINK`, `NOTDEFINED` or "".
    """

    key: str
    element: str
    position: Array | None = None
    flow: str = ""


@dataclass(eq=False)
class Element:
    """One IFC product that is not a spatial container.

    Attributes:
        key: GlobalId, or `GlobalId~2` for a second one with the same id.
        ifc_class: e.g. `IfcMember`.
        predefined: predefined type of the occurrence, else of its type; "" for none, NOTDEFINED.
            For USERDEFINED it stays `USERDEFINED` and `object_type` tells more.
        object_type: ObjectType of the occurrence, else ElementType of the type.
        mark: Tag of the occurrence.
        layers_cad: presentation layer names.
        classifications: identification and name of each classification reference.
        materials: all material names, in order.
        layers: layers in order, with `layer_axis` "AXIS1", "AXIS2" or "AXIS3".
        properties: `(set name, property name)` to value; a type's properties first, overridden by the
            occurrence's.
        storey, building: keys of spatial containers, "" if none (found through aggregates too).
        space: key of the space that contains it, "" if none.
        parent: key of the element that aggregates or nests it; children the other way round.
        systems: names (and long names, predefined types) of systems and groups it is assigned to.
        solids: body in world metres (shifted by Model.origin); () if undrawn.
        axis_line: (n, 3) `Axis` representation, if given.
        undrawn: why there is no shape although one is stated, e.g. "cyclic placement"; "" otherwise.
        late: makes the solids by the native kernel where nothing else reads them; may end the process.
        line: line of its record in the STEP text, from 1; None if unknown.
        source: index into Model.files.
    """

    key: str
    global_id: str
    step_id: int
    ifc_class: str
    source: int = 0
    line: int | None = None
    predefined: str = ""
    object_type: str = ""
    name: str = ""
    type_name: str = ""
    mark: str = ""
    description: str = ""
    layers_cad: tuple[str, ...] = ()
    classifications: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()
    layers: tuple[MaterialLayer, ...] = ()
    layer_axis: str = ""
    properties: dict[tuple[str, str], PropertyValue] = field(default_factory=dict)
    storey: str = ""
    building: str = ""
    space: str = ""
    parent: str = ""
    children: tuple[str, ...] = ()
    systems: tuple[str, ...] = ()
    ports: tuple[str, ...] = ()
    solids: tuple[Solid, ...] = ()
    axis_line: Array | None = None
    undrawn: str = ""
    late: Callable[[], tuple[Solid, ...]] | None = field(default=None, repr=False)


@dataclass(eq=False)
class SpatialNode:
    """A site, building, storey or space.

    Attributes:
        kind: `site`, `building`, `storey` or `space`; `dwelling` for a unit that zones or the project state.
        elevation: metres in world z (shifted like everything else); None if not given.
        position: (3,) placement origin, None if unplaced.
        solids: body of a space or site, if drawn.
        predefined: e.g. `INTERNAL` or the space's ObjectType.
        composition: `COMPLEX`, `ELEMENT`, `PARTIAL` or "".
    """

    key: str
    kind: str
    name: str
    parent: str = ""
    long_name: str = ""
    predefined: str = ""
    elevation: float | None = None
    position: Array | None = None
    properties: dict[tuple[str, str], PropertyValue] = field(default_factory=dict)
    solids: tuple[Solid, ...] = ()
    source: int = 0
    composition: str = ""


@dataclass(frozen=True)
class Zone:
    """A group of spaces or elements that belong together for a purpose: IfcZone, IfcSpatialZone.

    Attributes:
        words: name, long name, object type, description and predefined type, as far as given.
        members: keys of spaces and elements in it, sorted.
    """

    key: str
    name: str
    words: tuple[str, ...]
    members: tuple[str, ...]
    properties: dict[tuple[str, str], PropertyValue] = field(default_factory=dict)
    source: int = 0


@dataclass(frozen=True)
class Relation:
    """A stated relation between two elements (and those that realise it).

    Attributes:
        kind: `connects` (IfcRelConnectsElements), `realizes` (…WithRealizingElements), `path`
            (…PathElements), `ports` (IfcRelConnectsPorts, first/second are port keys), `voids`
            (first = element, second = opening), `fills` (first = opening, second = filling),
            `covers` (first = covered element, second = covering), `interferes`.
        realizing: keys of realizing elements.
        description: Description or ConnectionType of the relation.
        line: line in the STEP text, None if unknown.
    """

    kind: str
    first: str
    second: str
    realizing: tuple[str, ...] = ()
    key: str = ""
    description: str = ""
    source: int = 0
    line: int | None = None


@dataclass(frozen=True)
class SourceFile:
    """One file that was read."""

    name: str
    sha256: str
    schema: str
    length_unit: str
    length_scale: float
    size: int
    entities: int


@dataclass(eq=False)
class Grid:
    """One grid axis: its tag and two points in plan, world metres."""

    tag: str
    start: Array
    end: Array


@dataclass(eq=False)
class Model:
    """All that was read, keyed by GlobalId; dictionaries iterate in key order.

    Attributes:
        origin: (3,) vector that was subtracted from world metres; add it to get the file's coordinates.
        north: unit plan vector (2,) of true north, or None if the file does not say.
        openings: keys of IfcOpeningElement within `elements`.
    """

    files: tuple[SourceFile, ...]
    elements: dict[str, Element]
    spaces: dict[str, SpatialNode]
    ports: dict[str, Port]
    relations: tuple[Relation, ...]
    origin: Array
    north: Array | None = None
    grids: tuple[Grid, ...] = ()
    notes: list[Note] = field(default_factory=list)
    zones: tuple[Zone, ...] = ()
