"""Distribution ports with their owners and places."""

from __future__ import annotations

from modellint.ifc.model import Port
from modellint.ifc.placements import PlacementError, Placements
from modellint.ifc.source import Source


def read_ports(source: Source, placements: Placements) -> dict[str, Port]:
    """Ports in key order; the owner is stated by nesting (IFC4 on) or by IfcRelConnectsPortToElement."""
    owners: dict[str, str] = {}
    for row in source.rows("IfcRelConnectsPortToElement"):
        owners.setdefault(source.key(row[4]), source.key(row[5]))
    for row in source.rows("IfcRelNests"):
        whole = source.key(row[4])
        for part in row[5] or ():
            if whole and part.is_a("IfcPort"):
                owners.setdefault(source.key(part), whole)
    ports: dict[str, Port] = {}
    for row in source.rows("IfcPort"):
        key = source.key(row)
        position = None
        if row[5] is not None:
            try:
                position = placements.world(row[5])[:3, 3]
            except (PlacementError, RuntimeError, TypeError, IndexError, AttributeError) as problem:
                source.note("port-unplaced", f"the port's place cannot be read: {problem}", row)
        flow = str(row[7] or "") if row.is_a("IfcDistributionPort") else ""
        ports[key] = Port(key, owners.get(key, ""), position, flow)
    return dict(sorted(ports.items()))
