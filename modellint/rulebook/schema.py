"""JSON Schema draft-07 of rule files, generated from the measures, sets and kinds that exist."""

from __future__ import annotations

import json
from typing import Any

from modellint.findings.finding import DECIDERS, LEVELS, STAGES
from modellint.rulebook.vocabulary import (
    BASIS_KINDS,
    COMPARISONS,
    CONNECTIVES,
    IF_NONE,
    QUANTIFIERS,
    REQUIRED,
    RULE_GROUPS,
    RULE_KEYS,
    Registry,
    nearest,
)
from modellint.rulebook.yaml_text import Document, Path_, Problem

_CONDITION = {"$ref": "#/definitions/condition"}
_VALUE = {"$ref": "#/definitions/value"}
_TEXT = {"type": "string", "minLength": 1}
_MEANING = {
    "at_least": "Not less than this.",
    "at_most": "Not more than this.",
    "more_than": "More than this.",
    "less_than": "Less than this.",
    "between": "From the first to the second value, both included.",
    "is": "Exactly this.",
    "is_one_of": "One of these.",
    "known": "Passes if a single value is possible, else open.",
}


def _branch(required: tuple[str, ...], *optional: str) -> dict[str, Any]:
    return {"required": list(required), "propertyNames": {"enum": [*required, *optional]}}


def _condition(registry: Registry) -> dict[str, Any]:
    sets = {"enum": sorted(registry.sets)}
    branches = [_branch(("measure", word), "on") for word in COMPARISONS]
    branches += [_branch((word,)) for word in CONNECTIVES]
    branches += [_branch((word, "have"), "where") for word in QUANTIFIERS]
    branches += [_branch(("count", word), "where") for word in COMPARISONS]
    values: dict[str, Any] = {word: {**_VALUE} for word in COMPARISONS}
    values["between"] = {"type": "array", "items": _VALUE, "minItems": 2, "maxItems": 2}
    values["is_one_of"] = {"type": "array", "items": _VALUE, "minItems": 1}
    values["known"] = {"const": True}
    parts = {"type": "array", "items": _CONDITION, "minItems": 1}
    return {
        "type": "object",
        "properties": {
            "measure": {"$ref": "#/definitions/measure"},
            "on": {"const": "subject", "description": "Ask the rule's subject, not the member of the set."},
            **{word: {"allOf": [values[word]], "description": _MEANING[word]} for word in COMPARISONS},
            "all": {**parts, "description": "Every one of these holds."},
            "any": {**parts, "description": "At least one of these holds."},
            "not": {"allOf": [_CONDITION], "description": "This does not hold."},
            "every": {**sets, "description": "Every member of this set has it."},
            "some": {**sets, "description": "At least one member of this set has it."},
            "no": {**sets, "description": "No member of this set has it."},
            "count": {**sets, "description": "Number of members of this set."},
            "where": {"allOf": [_CONDITION], "description": "Only members for which this holds."},
            "have": {"allOf": [_CONDITION], "description": "What a member must be like."},
        },
        "additionalProperties": False,
        "oneOf": branches,
    }


def _setting() -> dict[str, Any]:
    return {
        "type": "object",
        "additionalProperties": False,
        "required": ["value", "basis"],
        "properties": {
            "value": {
                "type": ["string", "number", "boolean"],
                "description": "In the unit of its source: 10 ft, 1/8 in/ft, 5 deg, 2.",
            },
            "level": {"type": "string", "description": "Load level of a force, e.g. ASD wind."},
            "description": _TEXT,
            "basis": {"$ref": "#/definitions/basis"},
        },
    }


def _basis() -> dict[str, Any]:
    return {
        "type": "object",
        "additionalProperties": False,
        "required": ["kind"],
        "properties": {
            "kind": {"enum": list(BASIS_KINDS), "description": "practice = common practice, no source."},
            "source": {**_TEXT, "description": "Publication and edition."},
            "clause": {**_TEXT, "description": "Clause, table or page."},
            "memory": {
                "type": "boolean",
                "description": "Written from memory, not checked against the source.",
            },
        },
    }


def _right_side() -> dict[str, Any]:
    return {
        "anyOf": [
            {"type": ["string", "number", "boolean"]},
            {
                "type": "object",
                "additionalProperties": False,
                "required": ["setting"],
                "properties": {
                    "setting": {**_TEXT, "description": "A setting of this rule or a general one."}
                },
            },
            {
                "type": "object",
                "additionalProperties": False,
                "required": ["measure"],
                "properties": {
                    "measure": {"$ref": "#/definitions/measure"},
                    "on": {"const": "subject"},
                },
            },
        ]
    }


def rule_schema(registry: Registry) -> dict[str, Any]:
    """The schema as a dictionary, in a fixed order."""
    keys: dict[str, Any] = {name: {**_TEXT} for name in RULE_KEYS}
    keys["id"] = {"type": "string", "pattern": "^[a-z][a-z0-9]*(-[a-z0-9]+)*$"}
    keys["group"] = {"enum": list(RULE_GROUPS)}
    keys["subject"] = {"enum": list(registry.kinds)}
    keys["if_none"] = {"enum": list(IF_NONE)}
    keys["each"] = {"enum": sorted(registry.sets)}
    keys["when"] = keys["expect"] = {"allOf": [_CONDITION]}
    keys["settings"] = {
        "type": "object",
        "additionalProperties": _setting(),
        "propertyNames": {"pattern": "^[a-z][a-z0-9_]*$"},
    }
    keys["level"], keys["stage"] = {"enum": list(LEVELS)}, {"enum": list(STAGES)}
    keys["decides"] = {"enum": list(DECIDERS)}
    keys["traps"] = keys["was"] = {"type": "array", "items": _TEXT}
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "Rule file of modellint",
        "description": "Generated; do not edit.",
        "type": "object",
        "additionalProperties": False,
        "required": list(REQUIRED),
        "properties": {name: {**keys[name], "description": RULE_KEYS[name]} for name in RULE_KEYS},
        "definitions": {
            "condition": _condition(registry),
            "measure": {"enum": sorted(registry.measures), "description": "Name of a measure."},
            "value": _right_side(),
            "basis": _basis(),
        },
    }


def schema_text(registry: Registry) -> str:
    """The schema file's text."""
    return json.dumps(rule_schema(registry), indent=1, ensure_ascii=False) + "\n"


def schema_problems(document: Document, schema: dict[str, Any]) -> list[Problem]:
    """All the places where a document does not fit a schema, each one sentence."""
    from jsonschema import Draft7Validator

    problems = []
    for error in Draft7Validator(schema).iter_errors(document.data):
        path: Path_ = tuple(error.absolute_path)
        problems += _sentences(document, path, error)
    return list(dict.fromkeys(problems))


def _sentences(document: Document, path: Path_, error: Any) -> list[Problem]:
    value, keyword = error.instance, error.validator
    if keyword == "additionalProperties" and isinstance(value, dict):
        known = error.schema.get("properties", {})
        return [
            document.problem(
                (*path, key), f"The key '{key}' is not known here{nearest(key, known)}.", key=True
            )
            for key in value
            if key not in known
        ]
    if keyword == "required":
        lacking = [name for name in error.validator_value if name not in value]
        return [document.problem(path, f"The key '{name}' is missing.") for name in lacking]
    if keyword == "enum":
        options = [str(option) for option in error.validator_value]
        listed = f" ({', '.join(options)})" if len(options) <= 10 else ""
        what = {
            "measure": "measure",
            "every": "set",
            "some": "set",
            "no": "set",
            "count": "set",
            "each": "set",
            "subject": "kind of subject",
        }.get(str(path[-1]) if path else "", "word that is allowed here")
        return [document.problem(path, f"'{value}' is not a {what}{listed}{nearest(str(value), options)}.")]
    if keyword == "oneOf":
        strange = not isinstance(value, dict) or set(value) - set(error.schema["properties"])
        return [] if strange else [document.problem(path, _not_a_condition(value))]
    if keyword == "type":
        wanted = error.validator_value
        wanted = wanted if isinstance(wanted, str) else " or ".join(wanted)
        spoken = wanted.replace("object", "mapping").replace("array", "list").replace("string", "text")
        return [document.problem(path, f"A {spoken} is needed here.")]
    if keyword == "anyOf":
        return [document.problem(path, "A value is a quantity, a word, {setting: NAME} or {measure: NAME}.")]
    if keyword == "pattern":
        return [
            document.problem(
                path,
                f"'{value}' is not a name in kebab-case."
                if path == ("id",)
                else f"'{value}' is not a name in small letters.",
            )
        ]
    if keyword == "const":
        return [document.problem(path, f"Only {str(error.validator_value).lower()} is allowed here.")]
    return [document.problem(path, "The value is empty or of the wrong length.")]


def _not_a_condition(value: dict[str, Any]) -> str:
    operators = [key for key in COMPARISONS if key in value]
    heads = [key for key in ("measure", "count", *QUANTIFIERS, *CONNECTIVES) if key in value]
    if len(heads) > 1:
        return f"A condition has one head; here stand {', '.join(heads)}."
    if heads and heads[0] in {"measure", "count"} and len(operators) != 1:
        return f"A comparison needs exactly one of {', '.join(COMPARISONS)}."
    if heads and heads[0] in QUANTIFIERS and "have" not in value:
        return f"'{heads[0]}' needs 'have': what its members must be like."
    if not heads:
        return "A condition starts with measure, count, every, some, no, all, any or not."
    return f"The keys {', '.join(value)} do not go together."
