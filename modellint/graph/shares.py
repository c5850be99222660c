"""What of a model belongs to which of its buildings, found in one pass however many there are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence, Set

from modellint.ifc.model import Model, Relation
from modellint.roles.part import Part

Share = tuple[dict[str, Part], Sequence[Relation]]


def by_building(model: Model, parts: dict[str, Part], wholes: Mapping[str, Set[str]]) -> dict[str, Share]:
    """Key of each whole to its parts (in the order of `parts`) and the relations that may concern them.

    Where there are fewer than two, the one (key "" if none) has all. A relation is left out of a whole's share
    only if every element it names is known to be another's.

    Args:
        model: the model as read.
        parts: all its parts.
        wholes: key of each building that is judged as one to the keys of the buildings within it, its own included.
    """
    if len(wholes) < 2:
        return dict.fromkeys((*wholes, ""), (parts, model.relations))
    over: dict[str, list[str]] = defaultdict(list)
    for whole, within in wholes.items():
        for building in sorted(within):
            over[building].append(whole)
    own: dict[str, dict[str, Part]] = {key: {} for key in wholes}
    at: dict[str, set[str]] = defaultdict(set)
    for key, part in parts.items():
        for whole in over.get(part.element.building, ()):
            own[whole][key] = part
            for element in part.elements:
                at[element.key].add(whole)
    relations: dict[str, list[Relation]] = {key: [] for key in wholes}
    for relation in model.relations:
        for whole in _touched(model, relation, at, over, wholes):
            relations[whole].append(relation)
    return {key: (own[key], relations[key]) for key in wholes}


def _touched(model: Model, relation: Relation, at: Mapping[str, Set[str]], over: Mapping[str, Sequence[str]],
             wholes: Mapping[str, Set[str]]) -> Set[str]:
    """Wholes that an end of the relation belongs to; all of them if an end belongs to none."""
    found: set[str] = set()
    for key in (relation.first, relation.second, *relation.realizing):
        port = model.ports.get(key)
        element = model.elements.get(port.element if port is not None else key)
        where = at.get(element.key, set()) | set(over.get(element.building, ())) if element is not None else set()
        if not where:
            return wholes.keys()
        found |= where
    return found
