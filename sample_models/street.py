"""A street of sample houses in one file, for measuring speed: each a building of its own on one site.

    python -m sample_models.street 20 /tmp/street.ifc [stated|inferred]

The houses are copies of the two-storey sample; instance numbers and GlobalIds are made anew for each, and each
building stands 40 m from the next. `stated` is manner `semantic`, with property sets, windows, clipped extrusions,
relations and ports, and every fiftieth element a faceted brep; `inferred` is manner `plain`, which states no link.
"""

from __future__ import annotations

import re
import sys
import uuid
from pathlib import Path

import ifcopenshell.guid

from sample_models.generator import build, write
from sample_models.generator.styles import FRAMING, Style, write_style

_LINE = re.compile(r"#(\d+)=(\w+)\((.*)\);$")
_REF = re.compile(r"#(\d+)")
_GUID = re.compile(r"^'([0-9A-Za-z_$]{22})'")
_SHARED = {"IFCPROJECT", "IFCSITE", "IFCUNITASSIGNMENT", "IFCOWNERHISTORY", "IFCGEOMETRICREPRESENTATIONCONTEXT",
           "IFCGEOMETRICREPRESENTATIONSUBCONTEXT"}
PITCH = 40_000.0  # mm
SHARE_OF_BREPS = 50  # one element in so many


def street(houses: int, path: Path, links: str = "stated") -> int:
    """Write a street whose links are `stated` or `inferred`; returns the number of instances."""
    house = path.with_suffix(".house.ifc")
    if links == "inferred":
        write(build("two-storey"), "plain", house)
    else:
        drawn = build("two-storey")
        framing = [key for key, piece in drawn.pieces.items() if piece.kind in FRAMING]
        breps = framing[::len(framing) * SHARE_OF_BREPS // len(drawn.pieces)]
        write_style(drawn, Style("street", breps=tuple(breps)), house)
    head, data, tail = _parts(house.read_text(encoding="utf-8"))
    house.unlink()
    rows = [match.groups() for match in map(_LINE.match, data) if match]
    shared = _closure({number: text for number, _, text in rows}, [n for n, name, _ in rows if name in _SHARED])
    step = max(int(number) for number, _, _ in rows) + 1
    place = _building_placement(rows)
    count = 0
    with path.open("w", encoding="utf-8") as file:
        file.write(head)
        for k in range(houses):
            spare = houses * step + 2 * k
            if k:
                file.write(f"#{spare}=IFCCARTESIANPOINT(({k * PITCH},0.,0.));\n")
                file.write(f"#{spare + 1}=IFCAXIS2PLACEMENT3D(#{spare},$,$);\n")
            for number, name, text in rows:
                if k and number in shared:
                    continue
                own = _copied(text, k, step, shared)
                if k and number == place:
                    own = f"{own.split(',')[0]},#{spare + 1}"
                file.write(f"#{_moved(number, k, step, shared)}={name}({own});\n")
                count += 1
        file.write(tail)
    return count


def _parts(text: str) -> tuple[str, list[str], str]:
    start = text.index("DATA;\n") + len("DATA;\n")
    end = text.index("ENDSEC;", start)
    return text[:start], text[start:end].splitlines(), text[end:]


def _closure(texts: dict[str, str], roots: list[str]) -> set[str]:
    """Instances that the shared ones refer to, and these themselves."""
    found, queue = set(), list(roots)
    while queue:
        number = queue.pop()
        if number not in found:
            found.add(number)
            queue += _REF.findall(texts[number])
    return found


def _building_placement(rows: list[tuple[str, ...]]) -> str:
    """Number of the building's local placement."""
    names = {number: name for number, name, _ in rows}
    building = next(text for _, name, text in rows if name == "IFCBUILDING")
    return next(ref for ref in _REF.findall(building) if names[ref] == "IFCLOCALPLACEMENT")


def _moved(number: str, k: int, step: int, shared: set[str]) -> int:
    return int(number) if number in shared else int(number) + k * step


def _copied(text: str, k: int, step: int, shared: set[str]) -> str:
    if not k:
        return text
    text = _REF.sub(lambda match: f"#{_moved(match[1], k, step, shared)}", text)
    return _GUID.sub(lambda match: f"'{_new_guid(match[1], k)}'", text)


def _new_guid(old: str, k: int) -> str:
    return ifcopenshell.guid.compress(uuid.uuid5(uuid.NAMESPACE_URL, f"{old}/{k}").hex)


if __name__ == "__main__":
    print(street(int(sys.argv[1]), Path(sys.argv[2]), *sys.argv[3:]))
