"""The closed vocabulary of rules: kinds of subject, operators, connectives, measures and sets."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from modellint.graph.house import GROUPS as ROLE_GROUPS
from modellint.measures.ask import MeasureSpec, SetSpec

ROLES = (
    "shear_wall",
    "sheathing",
    "stud",
    "post",
    "bottom_plate",
    "top_plate",
    "sill_plate",
    "hold_down",
    "rod",
    "coupler",
    "nut",
    "take_up",
    "bearing_plate",
    "strap",
    "anchor_bolt",
    "plate_washer",
    "blocking",
    "rim",
    "joist",
    "header",
    "floor",
    "beam",
    "rafter",
    "truss",
    "roof_tie",
    "roof",
    "footing",
    "stem_wall",
    "pile",
    "foundation_slab",
    "permeable_layer",
    "membrane",
    "collector",
    "suction_point",
    "vent_pipe",
    "vent_fitting",
    "vent_terminal",
    "pipe_support",
    "fan",
    "sump",
    "label",
    "power_outlet",
    "electrical_box",
    "site",
    "storey",
    "space",
    "other_wall",
    "window",
    "door",
    "opening",
    "plumbing_pipe",
    "plumbing_fixture",
    "duct",
    "plumbing_fitting",
    "pipe",
    "plate",
)
DERIVED = (
    "building",
    "wall_line",
    "wall_segment",
    "wall_end",
    "plate_piece",
    "vent_run",
    "vent_outlet",
    "gravel_pocket",
    "pool",
)
COMPARISONS = ("at_least", "at_most", "more_than", "less_than", "between", "is", "is_one_of", "known")
CONNECTIVES = ("all", "any", "not")
QUANTIFIERS = ("every", "some", "no")
RULE_GROUPS = ("lateral", "soil-gas", "coordination", "readiness")
IF_NONE = ("notApplicable", "open", "fail")
BASIS_KINDS = ("code", "standard", "guide", "practice", "project")
RULE_KEYS = {
    "id": "Name of the problem in kebab-case; equals the file's stem.",
    "title": "What should be so, one short sentence.",
    "group": "Group of rules it belongs to.",
    "subject": "A role, a role group or a derived node; one finding per subject.",
    "if_none": "Outcome when a building has no such subject.",
    "each": "A named set; one finding per (subject, item) instead of per subject.",
    "when": "The rule applies where this holds.",
    "expect": "What must hold.",
    "settings": "Limits with their basis, changeable in modellint.yaml as rule-id.name.",
    "level": "How much a fail weighs.",
    "stage": "Last stage of building at which a correction is cheap.",
    "decides": "Who decides about it.",
    "message": "Sentence for a fail; {subject}, {item}, {a setting}, {a measure of this rule}.",
    "ask": "Question for what cannot be told: what to add to the model or whom to ask.",
    "effect": "What happens on site or in the house if it stays so.",
    "remedy": "The next step.",
    "traps": "Where this rule is known to be fooled.",
    "was": "Earlier ids of this rule.",
}
REQUIRED = (
    "id",
    "title",
    "group",
    "subject",
    "expect",
    "level",
    "stage",
    "decides",
    "message",
    "ask",
    "remedy",
)


@dataclass(frozen=True)
class Registry:
    """The measures and named sets that exist."""

    measures: Mapping[str, MeasureSpec]
    sets: Mapping[str, SetSpec]
    kinds: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        named = {kind for spec in self.measures.values() for kind in (*spec.of, *spec.item)}
        named |= {kind for spec in self.sets.values() for kind in (*spec.of, spec.gives)}
        known = {*ROLES, *DERIVED, *ROLE_GROUPS, *named} - {"part", "any"}
        object.__setattr__(self, "kinds", tuple(sorted(known)))


def roles_of(kind: str) -> tuple[str, ...]:
    """Roles that a role group stands for; the kind itself otherwise."""
    return ROLE_GROUPS.get(kind, (kind,))


def fits(kind: str, wanted: Iterable[str]) -> bool:
    """Whether subjects of a kind are among the wanted kinds; `part` is any role, `any` is everything."""
    single = {role for word in wanted for role in roles_of(word)}
    if "any" in single or ("part" in single and kind not in DERIVED):
        return True
    return all(role in single for role in roles_of(kind))


def nearest(word: str, known: Iterable[str]) -> str:
    """`; did you mean 'x'?` for a slip of the pen, else ""."""
    from difflib import get_close_matches

    close = get_close_matches(word, sorted(known), n=1, cutoff=0.7)
    return f"; did you mean '{close[0]}'?" if close else ""
