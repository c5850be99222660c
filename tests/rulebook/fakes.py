"""A house of plain facts: measures and sets answer from dictionaries."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from modellint.measures.ask import MeasureSpec, SetSpec
from modellint.measures.quantity import Members, Quantity
from modellint.roles.part import Rung
from modellint.rulebook.vocabulary import Registry


@dataclass(eq=False)
class Thing:
    key: str
    kind_rung: Rung = Rung.DECLARED
    parts: tuple[Any, ...] = ()

    @property
    def name(self) -> str:
        return self.key

    def rung_as(self, role: str) -> Rung:
        return self.kind_rung


@dataclass
class FakeAsk:
    values: dict[tuple[str, str, str], Quantity] = field(default_factory=dict)
    sets: dict[tuple[str, str], Members] = field(default_factory=dict)
    parts_read: dict[str, Any] = field(default_factory=dict)

    def measure(self, name: str, subject: Any, item: Any = None) -> Quantity:
        return self.values[name, subject.key, item.key if item is not None else ""]

    def members(self, name: str, subject: Any) -> Members:
        return self.sets[name, subject.key]

    def reads(self, name: str, subject: Any, item: Any = None) -> frozenset[str]:
        return frozenset()


@dataclass
class FakeHouse:
    by_kind: dict[str, tuple[Any, ...]]
    key: str = "house"

    def subjects(self, kind: str) -> tuple[Any, ...]:
        return self.by_kind.get(kind, (Thing("house"),) if kind == "building" else ())


def _spec(name: str, dimension: str, of: str, item: str = "", words: tuple[str, ...] = ()) -> MeasureSpec:
    return MeasureSpec(name, dimension, lambda *_: None, (of,), (item,) if item else (), words)  # type: ignore


MEASURES = (
    _spec("wall_is_shear", "truth", "wall_end"),
    _spec("tie_waived_by_schedule", "truth", "wall_end"),
    _spec("link_state", "choice", "uplift_link", words=("joined", "broken", "unknown")),
    _spec("above_permeable_layer", "truth", "vent_pipe"),
    _spec("fall_to_suction", "slope", "vent_pipe"),
    _spec("opening_opens", "truth", "opening"),
    _spec("same_dwelling", "truth", "vent_outlet", "opening"),
    _spec("exit_above_opening_top", "length", "vent_outlet", "opening"),
    _spec("string_distance", "length", "vent_outlet", "opening"),
    _spec("uplift_demand", "force", "wall_end"),
    _spec("chain_capacity", "force", "wall_end"),
    _spec("soil_gas_level", "choice", "building", words=("none", "stub", "passive", "fan")),
    _spec("vent_joined", "truth", "vent_run"),
    _spec("a", "length", "post"),
    _spec("b", "length", "post"),
    _spec("c", "length", "post"),
    _spec("p", "length", "stud"),
    _spec("q", "length", "stud"),
)
SETS = (
    SetSpec("ties", lambda *_: None, ("wall_end",), "hold_down"),  # type: ignore
    SetSpec("uplift_links", lambda *_: None, ("wall_end",), "uplift_link"),  # type: ignore
    SetSpec("openings_near_exit", lambda *_: None, ("vent_outlet",), "opening"),  # type: ignore
    SetSpec("vent_runs", lambda *_: None, ("building",), "vent_run"),  # type: ignore
    SetSpec("studs_near", lambda *_: None, ("post",), "stud"),
)  # type: ignore
REGISTRY = Registry({spec.name: spec for spec in MEASURES}, {spec.name: spec for spec in SETS})

HEAD = """id: {id}
title: The thing is as it should be
group: lateral
level: error
stage: pour
decides: engineer of record
message: "{{subject}} is not right"
ask: "What about {{subject}}?"
remedy: Put it right.
"""


def rule_text(body: str, id_: str = "some-rule") -> str:
    return HEAD.format(id=id_) + body
