"""Sill plates of one wall line seen from above as a strip, with every anchor at its running distance."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from modellint.drawings.svg import Sheet
from modellint.units import show

Data = Mapping[str, Any]
WIDE, LEFT = 900.0, 40.0


def anchors_of(elevation: Data) -> list[dict[str, Any]]:
    """Anchors through the sill plates and rods of ground ends from the left.

    Each has a `kind` (`sill bolt`, `hold-down rod`), `at` from the line's start in metres, `id` and a `name`.
    """
    names = {part["id"]: part["name"] for part in elevation["parts"]}
    rows = [
        {
            "kind": "sill bolt",
            "at": bolt["at"] - elevation["span"][0],
            "id": bolt["id"],
            "name": names.get(bolt["id"], ""),
        }
        for plate in elevation["plates"]
        for bolt in plate["bolts"]
    ]
    bolts = {row["id"] for row in rows}
    rods = {part["id"]: part for part in elevation["parts"] if part["role"] in {"rod", "anchor_bolt"}}
    for end in elevation["ends"]:
        for key in end["parts"].get("rods", ()) if not end["below"] else ():
            if key in rods and key not in bolts:
                low, _, high, _ = rods[key]["box"]
                at = (low + high) / 2 - elevation["span"][0]
                rows.append({"kind": "hold-down rod", "at": at, "id": key, "name": rods[key]["name"]})
    found = {(row["id"], round(row["at"], 3)): row for row in rows}
    return sorted(found.values(), key=lambda row: (row["at"], row["id"]))


def draw_anchor_strip(elevation: Data, anchors: Sequence[Data], ident: str, display: str) -> Sheet:
    """The strip; numbers are those of the list of anchors."""
    start, end = elevation["span"]
    scale = WIDE / max(end - start, 0.5)
    sheet = Sheet(
        ident,
        WIDE + 2 * LEFT,
        190,
        f"Anchors of {elevation['name']}",
        f"{len(anchors)} anchors along {end - start:.2f} m",
    )
    for plate in elevation["plates"]:
        x0, x1 = (LEFT + (plate[key] - start) * scale for key in ("from", "to"))
        sheet.box("wood", (x0, 70), (x1, 96))
    sheet.words("quiet", (LEFT, 30), f"{elevation['compass'][0]}: 0")
    total = show(end - start, "length", display)
    sheet.words("quiet", (LEFT + WIDE, 30), f"{elevation['compass'][1]}: {total}", "end")
    sheet.line("dim", (LEFT, 44), (LEFT + WIDE, 44))
    for side in (LEFT, LEFT + WIDE):
        sheet.line("dim", (side, 38), (side, 100))
    reached = [-99.0, -99.0, -99.0, -99.0]
    for number, row in enumerate(anchors, 1):
        x = LEFT + row["at"] * scale
        if row["kind"] == "sill bolt":
            sheet.circle("dot-joined", (x, 83), 5)
        else:
            sheet.box("steel", (x - 5, 78), (x + 5, 88))
        level = next((k for k, last in enumerate(reached) if x - last > 34), len(reached) - 1)
        reached[level] = x
        sheet.line("dim-foot", (x, 96), (x, 110 + 17 * level))
        sheet.words("head-small", (x, 122 + 17 * level), str(number), "middle")
    return sheet
