"""Soil gas for the building as a whole: level asked for, vents, collectors, labels."""

from __future__ import annotations

from modellint.graph.house import BuildingSubject
from modellint.graph.pipe_nodes import VentStorey
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import (
    TRUE,
    Evidence,
    Members,
    Missing,
    Quantity,
    Subject,
    truth,
    unknown,
    word,
)
from modellint.roles.part import Rung

LEVELS = ("none", "stub", "passive", "fan")


@measure("choice", "building", words=LEVELS, example="passive")
def soil_gas_level(building: BuildingSubject, ask: Ask) -> Quantity:
    """Level of soil-gas control asked for: none, a stub, a passive vent through the roof, or with fan.

    Read from a property of the building or site, or from the project's settings; never guessed from what
    is drawn.
    """
    house = building.house
    given = house.settings.get("soil_gas_level", "")
    if given in LEVELS:
        return word(str(given), Evidence("project setting soil_gas_level", str(given), "", Rung.SCHEDULED))
    facts = piping_of(house).facts
    for node in house.model.spaces.values():
        if node.kind == "site" or node.key in {house.key, house.within}:
            rows = facts.readings(node, "soil_gas_level")
            words = sorted({str(row.value) for row in rows})
            if words:
                seen = tuple(Evidence(row.where, str(row.value), "", row.rung, node.key) for row in rows)
                if len(words) == 1:
                    return word(words[0], *seen, rung=rows[0].rung)
                clash = Missing("level of soil-gas control", building.name, "two properties disagree")
                return unknown("choice", clash, words=frozenset(words), evidence=seen)
    missing = Missing(
        "level of soil-gas control",
        building.name,
        "ask the building official or designer: none, stub, passive or fan",
    )
    return unknown("choice", missing, words=frozenset(LEVELS))


@measure(
    "truth", ("building", "foundation_slab"), example="true where a passive vent is asked for or any is drawn"
)
def soil_gas_control_due(subject: Subject, ask: Ask) -> Quantity:
    """Whether soil-gas control is asked for; a vent that is drawn counts as asking where no level is
    given."""
    building = next(iter(ask.house.subjects("building")))
    level = ask.measure("soil_gas_level", building)
    if "none" not in level.words:
        return truth(True, *level.evidence, rung=level.rung)
    if level.known:
        return truth(False, *level.evidence, rung=level.rung)
    drawn = ask.measure("vent_drawn", building)
    if drawn.words == TRUE:
        return truth(True, *drawn.evidence, rung=min(drawn.rung, Rung.INFERRED))
    return unknown("truth", *level.missing)


@measure("truth", ("vent_run", "vent_outlet"), example="true where the official asks for a capped stub only")
def only_stub_asked(subject: Subject, ask: Ask) -> Quantity:
    """Whether no more than a stub is asked for; without a known level a drawn vent is judged in full."""
    level = ask.measure("soil_gas_level", next(iter(ask.house.subjects("building"))))
    return truth(level.words == frozenset({"stub"}), *level.evidence, rung=level.rung)


@measure("truth", "building", example="true when any soil-gas vent pipe is drawn")
def vent_drawn(building: BuildingSubject, ask: Ask) -> Quantity:
    """Whether the model draws any soil-gas vent; what is drawn must work whatever level is asked for."""
    runs = ask.house.nodes.get("vent_run", ())
    if runs:
        return truth(True, Evidence(f"{len(runs)} vent run(s)", None, "", runs[0].rung), rung=runs[0].rung)
    return truth(False)


@named_set("building", gives="vent_run")
def vent_runs(building: BuildingSubject, ask: Ask) -> Members:
    """Soil-gas vents of the building; never complete without one, as another trade's model may draw it."""
    runs = ask.house.nodes.get("vent_run", ())
    if any(run.network.complete for run in runs):
        return Members(runs)
    return Members(
        runs, False, (Missing("vent_pipe", building.name, "draw the soil-gas vent with its fittings"),)
    )


@named_set("building", gives="collector")
def collectors(building: BuildingSubject, ask: Ask) -> Members:
    """Collectors, suction points and sumps that take soil gas.

    Complete where a vent is drawn with its fittings and its exit, so that what it lacks is absent.
    """
    parts = ask.house.with_role("collector", "suction_point")
    runs = ask.house.nodes.get("vent_run", ())
    whole = any(run.network.complete and run.outlets for run in runs)
    missing = () if whole else (Missing("collector", building.name, "draw the collector under the slab"),)
    return Members(parts, whole, missing)


@named_set("vent_storey", gives="label")
def vent_labels(storey: VentStorey, ask: Ask) -> Members:
    """Labels on the vent on one storey.

    Complete when at least two other storeys, and half of them, have theirs drawn; an attic never is, as
    only an
    accessible one needs a label.
    """
    others = [other for other in ask.house.nodes.get("vent_storey", ()) if other.key != storey.key]
    drawn = sum(bool(other.labels) for other in others)
    least, share = ask.house.limit("complete_at_least", 2.0), ask.house.limit("complete_share", 0.5)
    complete = drawn >= least and drawn >= share * len(others) and not storey.attic
    hint = "draw the label, or note it for the site"
    missing = () if complete else (Missing("label", storey.name, hint),)
    return Members(storey.labels, complete, missing)
