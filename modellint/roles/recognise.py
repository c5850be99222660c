"""Recognition in two sweeps: first each part alone, then from the first sweep's roles of its contacts.

Both sweeps look at all parts at once, so the order of records in the file cannot matter. Names are matched
once per distinct signature, not per part.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from modellint.contacts.boxes import point_gap
from modellint.contacts.touching import touching
from modellint.ifc.model import Element, Model
from modellint.roles.book import Clause, PlaceTest, RoleBook, RoleEntry
from modellint.roles.part import Ground, Part, Rung
from modellint.roles.parts import item_parts, layer_parts, parts_of, with_shape
from modellint.roles.shapes import SHAPES

# within 20 mm a contact counts as a ground for a role: faces that touch, an axis end that reaches into a body
# (common practice, no source; measured on real framing, where 0.5 to 20 mm give the same groups)
REACH = 0.020
# material and shape alone do not say what a part is for
SPEAKING = frozenset({"name", "class", "place", "property"})
SLABS = frozenset({"IfcSlab", "IfcSlabStandardCase", "IfcSlabElementedCase"})
Candidate = tuple[RoleEntry, list[Ground]]
Best = tuple[RoleEntry, list[Ground], Rung] | None
HasProperty = Callable[[Element, str], str]


def recognise(model: Model, book: RoleBook, has_property: HasProperty,
              marks: Mapping[str, str] | None = None,
              considered: dict[str, list[Candidate]] | None = None) -> dict[str, Part]:
    """Parts with their roles, in key order.

    Args:
        book: role book with the project's overrides.
        has_property: `(element, quantity) -> text` naming the property that gives the quantity, "" if none.
        marks: schedule mark (lower case) to the role its schedule is for.
        considered: is filled with every part's candidates and their grounds, chosen or not.
    """
    parts = parts_of(model)
    matcher = _Matcher(book, has_property, marks or {})
    candidates = {key: matcher.candidates(part) for key, part in parts.items()}
    settled: dict[int, Best] = {}
    for key, part in list(parts.items()):
        left, layers = [], layer_parts(part)
        for layer in layers:
            found = matcher.layer_candidates(layer)
            if found:
                parts[layer.key], candidates[layer.key] = layer, found
            else:
                left.append(layer)
        if len(left) < len(layers) and part.element.ifc_class in SLABS:
            _keep_layers(part, left)
        shared = id(candidates[key])
        if shared not in settled:
            settled[shared] = _best(candidates[key])
        _give(part, settled[shared])
    for key in list(candidates):
        if "/" in key:
            _settle(parts[key], candidates[key])
    _second_sweep(parts, candidates)
    if considered is not None:
        considered.update(candidates)
    _drop_leaves_of_own_kind(parts)
    _split_groups(parts, book)
    return dict(sorted(parts.items()))


class _Template:
    """Candidates by words alone, and with the grounds of shape and properties that parts of this signature add.

    Parts with the same words, looks and properties share one list of candidates, which nobody may change.
    """

    def __init__(self, candidates: list[Candidate]) -> None:
        self.candidates = candidates
        self.shapes = tuple(dict.fromkeys(shape for entry, _ in candidates for shape in entry.shapes))
        self.quantities = tuple(dict.fromkeys(name for entry, _ in candidates for name in entry.properties))
        self.filled: dict[tuple[tuple[bool, ...], tuple[str, ...]], list[Candidate]] = {}

    def fill(self, looks: tuple[bool, ...], where: tuple[str, ...]) -> list[Candidate]:
        """The candidates with their grounds; `looks` and `where` go with `shapes` and `quantities`."""
        seen = dict(zip(self.shapes, looks, strict=True))
        stated = dict(zip(self.quantities, where, strict=True))
        found = []
        for entry, words in self.candidates:
            grounds = list(words)
            grounds += [Ground("shape", shape.replace("_", " ")) for shape in entry.shapes if seen[shape]][:1]
            grounds += [Ground("property", stated[name]) for name in entry.properties if stated.get(name)][:1]
            found.append((entry, grounds))
        return found


class _Matcher:
    """Grounds of a part alone; what depends only on words is remembered per signature."""

    def __init__(self, book: RoleBook, has_property: HasProperty, marks: Mapping[str, str]) -> None:
        self.book, self.has_property, self.marks = book, has_property, marks
        self._by_words: dict[tuple[object, ...], _Template] = {}
        self._reads_properties = any(key == "property" for _, clause in book.overrides for key, _ in clause.tests)

    def candidates(self, part: Part) -> list[Candidate]:
        element = part.element
        signature = (element.ifc_class, element.predefined, element.object_type, element.name,
                     element.type_name, element.mark, element.materials, element.systems,
                     element.classifications, element.layers_cad,
                     _property_texts(element) if self._reads_properties else ())
        template = self._by_words.get(signature)
        if template is None:
            template = self._by_words[signature] = _Template(self._from_words(element))
        looks = tuple([SHAPES[shape](part) for shape in template.shapes])
        where = tuple([self.has_property(element, quantity) for quantity in template.quantities])
        found = template.filled.get((looks, where))
        if found is None:
            found = template.filled[looks, where] = template.fill(looks, where)
        return found

    def _from_words(self, element: Element) -> list[Candidate]:
        names = [text for text in (element.name, element.type_name, element.object_type) if text]
        found: list[Candidate] = []
        overridden = [(role, clause) for role, clause in self.book.overrides if holds(clause, element)]
        for entry in self.book.entries:
            if overridden:
                if entry.role == overridden[0][0]:
                    found.append((entry, [Ground("declared", f"project file: {overridden[0][1].text}")]))
                continue
            if entry.only and element.ifc_class not in entry.only:
                continue
            if entry.not_names and any(entry.not_names.match(name.lower()) for name in names):
                continue
            grounds = [Ground("declared", clause.text) for clause in entry.declared
                       if holds(clause, element)][:1]
            for mark in (element.mark, element.name, element.type_name):
                if self.marks.get(mark.lower()) == entry.role:
                    grounds.append(Ground("schedule", f"mark '{mark}' is in a schedule"))
                    break
            if entry.names:
                grounds += [
                    Ground("name", f"name '{name}'") for name in names if entry.names.match(name.lower())
                ][:1]
            if element.ifc_class in entry.classes:
                grounds.append(Ground("class", element.ifc_class))
            if entry.materials:
                grounds += [Ground("material", f"material '{text}'") for text in element.materials
                            if entry.materials.match(text.lower())][:1]
            if grounds:
                found.append((entry, grounds))
        return found

    def layer_candidates(self, layer: Part) -> list[Candidate]:
        k = int(layer.key.rsplit(":", 1)[1])
        name = layer.element.layers[k].name
        found: list[Candidate] = []
        for entry in self.book.entries:
            if entry.slices == "layer" and entry.materials and entry.materials.match(name.lower()):
                found.append((entry, [Ground("material", f"material layer '{name}'"),
                                      Ground("class", f"layer of an {layer.element.ifc_class}")]))
        return found


def holds(clause: Clause, element: Element) -> bool:
    """Whether all tests of a clause hold for an element."""
    return bool(clause.tests) and all(
        any(pattern.match(text.lower()) for text in _texts(element, key) if text)
        for key, pattern in clause.tests
    )


def _texts(element: Element, key: str) -> tuple[str, ...]:
    if key == "class":
        return (element.ifc_class,)
    if key == "layer":
        return element.layers_cad
    if key == "system":
        return element.systems
    if key == "classification":
        return element.classifications
    if key == "property":
        return _property_texts(element)
    return (str(getattr(element, key)),)


def _property_texts(element: Element) -> tuple[str, ...]:
    """Properties as an override's glob sees them: `Set.Property = value`."""
    return tuple(f"{set_name}.{name} = {value.value}" for (set_name, name), value in element.properties.items())


def rung_of(grounds: Sequence[Ground]) -> Rung:
    """Rung that grounds give: declared, scheduled, inferred (two kinds, one of them speaking) or guessed."""
    kinds = {ground.kind for ground in grounds}
    if "declared" in kinds:
        return Rung.DECLARED
    if "schedule" in kinds:
        return Rung.SCHEDULED
    return Rung.INFERRED if len(kinds) >= 2 and kinds & SPEAKING else Rung.GUESSED


def _best(candidates: list[Candidate]) -> Best:
    """Best candidate by rung, then by words, then by number of kinds, then by order in the book."""
    rows = []
    for entry, grounds in candidates:
        rung, kinds = rung_of(grounds), {ground.kind for ground in grounds}
        if rung == Rung.GUESSED and (not entry.guess or not kinds & {"name", "declared"}):
            continue
        if not entry.words_suffice(kinds):
            continue
        rank = (
            rung == Rung.GUESSED,
            entry.generic,
            -rung,
            "name" not in kinds,
            -len(kinds),
            entry.order,
            entry.role,
        )
        rows.append((rank, entry, grounds, rung))
    if not rows:
        return None
    _, entry, grounds, rung = min(rows, key=lambda row: row[0])
    return entry, grounds, rung


def _settle(part: Part, candidates: list[Candidate]) -> None:
    _give(part, _best(candidates))


def _give(part: Part, best: Best) -> None:
    part.roles.clear()
    part.grounds.clear()
    if best is not None:
        entry, grounds, rung = best
        part.roles[entry.role] = rung
        part.grounds[entry.role] = tuple(grounds)


def _second_sweep(parts: dict[str, Part], candidates: dict[str, list[Candidate]]) -> None:
    keys = [key for key, found in candidates.items() if found]
    asking = [k for k, key in enumerate(keys) if _may_rise(parts[key], candidates[key])]
    first = {key: {role for role, rung in parts[key].roles.items() if rung >= Rung.INFERRED} for key in keys}
    neighbours = touching([parts[key].box for key in keys], REACH, asking)
    for row in asking:
        key, near = keys[row], [keys[k] for k in neighbours[row]]
        candidates[key] = [(entry, list(grounds)) for entry, grounds in candidates[key]]
        for entry, grounds in candidates[key]:
            ground = _place_ground(parts, first, key, near, entry.places)
            if ground:
                grounds.append(ground)
        _settle(parts[key], candidates[key])


def _may_rise(part: Part, candidates: list[Candidate]) -> bool:
    settled = any(rung > Rung.GUESSED for rung in part.roles.values())
    return not settled and any(entry.places for entry, _ in candidates)


def _place_ground(parts: dict[str, Part], roles: dict[str, set[str]], key: str, near: list[str],
                  tests: tuple[PlaceTest, ...]) -> Ground | None:
    for test in tests:
        for other in near:
            if roles[other] & set(test.roles) and _stands(parts[key], parts[other], test.relation):
                found = sorted(roles[other] & set(test.roles))[0]
                return Ground("place", f"{test.relation.replace('_', ' ')} {found} '{parts[other].name}'")
    return None


def _stands(part: Part, other: Part, relation: str) -> bool:
    one, two = part.box, other.box
    if one is None or two is None:
        return False
    if relation == "touches":
        return True
    if relation == "inside":
        return two.contains(one.centre)
    if relation in {"over", "under"}:
        higher = float(one.centre[2]) > float(two.centre[2])
        return higher == (relation == "over")
    if part.axis is None:
        return False
    return min(point_gap(two, part.axis[0]), point_gap(two, part.axis[-1])) <= REACH


def _keep_layers(part: Part, left: list[Part]) -> None:
    """A slab's own body shrinks to the layers that are no parts of their own."""
    solids = tuple(solid for layer in left for solid in layer.solids)
    if solids:
        with_shape(part, solids)


def _drop_leaves_of_own_kind(parts: dict[str, Part]) -> None:
    """A leaf keeps its role only where it is another trade part than the assembly that took in its shape.

    Where two leaves or more share the assembly's role, it is a mere collection and they are the parts.
    """
    for part in parts.values():
        leaves = [
            parts[key]
            for key in (*(leaf.key for leaf in part.members), *part.element.children)
            if key in parts
        ]
        for role in list(part.roles):
            own = {
                leaf.key: leaf for leaf in leaves if leaf.rung_as(role) >= Rung.INFERRED and leaf.has(role)
            }
            losers = [part] if len(own) > 1 else list(own.values())
            for loser in losers:
                del loser.roles[role], loser.grounds[role]


def _split_groups(parts: dict[str, Part], book: RoleBook) -> None:
    counted = {entry.role for entry in book.entries if entry.slices == "item"}
    for part in list(parts.values()):
        roles = counted & part.roles.keys()
        if not roles or part.members:
            continue
        for item in item_parts(part):
            for role in sorted(roles):
                item.roles[role], item.grounds[role] = part.roles[role], part.grounds[role]
            parts[item.key] = item
        if len(part.solids) > 1:
            for role in roles:
                del part.roles[role], part.grounds[role]
