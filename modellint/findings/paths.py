"""Chains of wall ends as a report shows them, slot by slot and link by link."""

from __future__ import annotations

from itertools import pairwise
from math import isfinite

from modellint.findings.path_numbers import numbers_of
from modellint.findings.report import Path, PathLink, PathLoad, PathNumber, PathSlot
from modellint.graph.compression import Bearing
from modellint.graph.house import House
from modellint.graph.wall_nodes import ChainStep, WallEnd
from modellint.measures.ask import Ask
from modellint.measures.capacity import end_links, weakest
from modellint.measures.quantity import Quantity
from modellint.roles.part import Part, Rung

WORST = {"joined": 0, "unknown": 1, "broken": 2}


def wall_paths(house: House, ask: Ask | None = None) -> list[Path]:
    """Uplift and compression chains of all ends where a chain starts, sorted by the ends' keys.

    With `ask` the links of an uplift chain are shown with what they take beside the pull.
    """
    found = []
    for end in house.nodes.get("wall_end", ()):
        if any(upper.line.shear is not None for upper in end.above):
            continue
        loads = loads_of(end, ask) if ask is not None else ()
        numbers = numbers_of(end, ask) if ask is not None and loads else ()
        found.append(_uplift(end, loads, numbers))
        bearing = house.bearings.get(end.key)
        if bearing is not None:
            found.append(_compression(end, bearing))
    return found


def _verdict(states: list[str]) -> str:
    return max(states, key=lambda state: WORST[state], default="unknown")


def _named(part: Part) -> tuple[str, str]:
    return part.name, part.element.global_id


def loads_of(end: WallEnd, ask: Ask) -> tuple[PathLoad, ...]:
    """Each link of the chain from this end down, storey by storey, beside the pull it has to carry.

    Nothing where neither a demand nor any capacity is known.
    """
    rows: list[PathLoad] = []
    current: WallEnd | None = end
    while current is not None:
        demand = ask.measure("uplift_demand", current)
        links = end_links(current, ask)
        least = weakest(links)
        for link in links:
            known = least is not None and isfinite(least.capacity.high) and link is least
            rows.append(
                PathLoad(
                    link.name,
                    current.line.storey,
                    _range(demand),
                    _range(link.capacity),
                    demand.level,
                    known,
                )
            )
        current = current.below
    told = any(bound is not None and bound > 0 for row in rows for bound in (*row.demand, row.capacity[1]))
    return tuple(rows) if told else ()


def _range(value: Quantity) -> tuple[float | None, float | None]:
    low, high = (round(bound) if isfinite(bound) else None for bound in (value.low, value.high))
    return low, high


def _uplift(end: WallEnd, loads: tuple[PathLoad, ...], numbers: tuple[PathNumber, ...]) -> Path:
    slots, links = [], []
    for step in end.steps:
        if step.kind == "slot":
            slots.append(
                PathSlot(
                    step.slot,
                    step.end.line.storey,
                    step.state,
                    tuple(_named(p) for p in step.pieces),
                    step.rung.word,
                    step.text,
                )
            )
            continue
        links.append(_link(step))
        last = step.pieces[-1]
        if not any(slot.name == step.slot and slot.storey == step.end.line.storey for slot in slots):
            slots.append(PathSlot(step.slot, step.end.line.storey, step.state, (_named(last),),
                                  _rung(last).word, ""))
    for post in _posts(end):
        slots.insert(0, post)
    return Path("uplift", end.key, end.name, end.line.storey, _verdict([step.state for step in end.steps]),
                tuple(slots), tuple(links), _first_break(end.steps), loads, numbers)


def _posts(end: WallEnd) -> list[PathSlot]:
    if not end.posts:
        return []
    post = end.posts[0]
    return [PathSlot("post", end.line.storey, "joined", (_named(post),), _rung(post).word, "")]


def _rung(part: Part) -> Rung:
    return max(part.roles.values(), default=Rung.GUESSED)


def _link(step: ChainStep) -> PathLink:
    return PathLink(
        step.kind,
        _named(step.pieces[0]),
        _named(step.pieces[-1]),
        step.origin,
        step.state,
        step.gap,
        step.limit,
        step.rung.word,
        step.text if step.state != "joined" else "",
    )


def _first_break(steps: tuple[ChainStep, ...]) -> str:
    broken = next((step for step in steps if step.state == "broken"), None)
    return f"first break from the top: {broken.name}" if broken else ""


def _compression(end: WallEnd, bearing: Bearing) -> Path:
    slots = tuple(PathSlot(sorted(part.roles)[0].replace("_", " ") if part.roles else "part", "", "joined",
                           (_named(part),), _rung(part).word, "") for part in bearing.parts)
    links = tuple(PathLink("bears_on", _named(one), _named(other), "inferred", "joined", 0.0, 0.005,
                           min(_rung(one), _rung(other), Rung.INFERRED).word, "")
                  for one, other in pairwise(bearing.parts))
    text = "" if bearing.reached else f"nothing drawn under {bearing.parts[-1].name}"
    return Path(
        "compression",
        end.key,
        end.name,
        end.line.storey,
        "joined" if bearing.reached else "unknown",
        slots,
        links,
        text,
    )
