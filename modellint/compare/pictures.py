"""Which drawing of the later revision shows the same wall line, storey or vent as one of the earlier revision."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from modellint.compare.nodes import Keys

Scene = Mapping[str, Any]
KINDS = ("elevations", "risers", "plans")


def drawing_pairs(before: Sequence[Scene], after: Sequence[Scene], keys: Keys) -> list[dict[str, Any]]:
    """Rows `{kind, before, after}`; both sides are `[scene, drawing]` numbers, None where it is not drawn.

    Wall lines and vents belong together by their matched keys, plans by their storey's name.
    """
    found: list[dict[str, Any]] = []
    for kind in KINDS:
        places = {_name(row, kind): [i, k] for i, scene in enumerate(after) for k, row in enumerate(scene[kind])}
        left = dict(places)
        for i, scene in enumerate(before):
            for k, row in enumerate(scene[kind]):
                name = _name(row, kind)
                there = left.pop(name if kind == "plans" else keys.translated(name), None)
                found.append({"kind": kind, "before": [i, k], "after": there})
        found += [{"kind": kind, "before": None, "after": place} for place in left.values()]
    return found


def _name(row: Mapping[str, Any], kind: str) -> str:
    return str(row["name"] if kind == "plans" else row["key"])
