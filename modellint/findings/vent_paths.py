"""Each vent's chain, link by link, from the suction point to the exit."""

from __future__ import annotations

from modellint.findings.report import Path, PathLink, PathSlot
from modellint.graph.house import House
from modellint.graph.pipe_nodes import Joint, PipeEnd, VentRun
from modellint.graph.soil_gas import piping_of
from modellint.graph.storeys import Storey, storey_at, storeys_of
from modellint.graph.vent_fingerprint import piece_fingerprints
from modellint.roles.part import Part, Rung


def vent_paths(house: House) -> list[Path]:
    """Chains of all vent runs of a connected house, by key of the run."""
    storeys = storeys_of(house.model, house.key)
    return [_path(house, run, storeys) for run in house.nodes.get("vent_run", ())]


def _path(house: House, run: VentRun, storeys: tuple[Storey, ...]) -> Path:
    limits = piping_of(house).limits
    links = []
    for below, above in zip(run.order, run.order[1:], strict=False):
        joint = _joint(run, below, above)
        if joint is not None:
            limit = limits.port_gap if joint.origin == "stated" else limits.end_gap
            links.append(_link(run, below, joint, limit))
    states = [link.state for link in links]
    prints = piece_fingerprints(run)
    slots = tuple(_slot(run, key, storeys, states, k, prints.get(key, "")) for k, key in enumerate(run.order))
    lacks = _lacks(run)
    verdict = "broken" if "broken" in states else "unknown" if "unknown" in states else "joined"
    if lacks and verdict == "joined":
        verdict = "broken" if run.network.complete and "unknown" not in run.ends.values() else "unknown"
    others = [part for part in run.network.parts if part.key not in set(run.order)]
    told = ", ".join(
        f"{part.name} ({part.element.global_id}, fingerprint {prints[part.key]})"
        for part in others
        if part.key in prints
    )
    beside = f"; {len(others)} more pieces beside this way" + (f": {told}" if told else "") if others else ""
    return Path(
        "vent",
        run.key,
        run.name,
        slots[0].storey if slots else "",
        verdict,
        slots,
        tuple(links),
        ("; ".join(lacks) or "reaches from suction point to exit") + beside,
    )


def _joint(run: VentRun, below: str, above: str) -> Joint | None:
    order = {"joined": 0, "unknown": 1, "broken": 2}
    found = [
        joint
        for joint in run.network.joints
        if {joint.first.part.key, joint.second.part.key} == {below, above}
    ]
    return min(found, key=lambda joint: (order[joint.state], joint.key)) if found else None


def _link(run: VentRun, below: str, joint: Joint, limit: float) -> PathLink:
    first, second = (
        (joint.first, joint.second) if joint.first.part.key == below else (joint.second, joint.first)
    )
    said = "ports or relations state it" if joint.origin == "stated" else "the ends lie together"
    if joint.state != "joined":
        said = "stated, but drawn apart" if joint.origin == "stated" else "in line, but apart"
    return PathLink(
        "joined_to",
        _name(first.part),
        _name(second.part),
        joint.origin,
        joint.state,
        joint.gap,
        limit,
        joint.rung.word,
        said,
    )


def _name(part: Part) -> tuple[str, str]:
    return part.name, part.element.global_id


def _slot(
    run: VentRun, key: str, storeys: tuple[Storey, ...], states: list[str], place: int, fingerprint: str
) -> PathSlot:
    piece = run.network.pieces[key]
    part = piece.part
    near = states[max(place - 1, 0) : place + 1]
    state = next((word for word in ("broken", "unknown") if word in near), "joined")
    role = next((word for word in sorted(part.roles, key=lambda word: (-part.roles[word], word))), piece.kind)
    heights = [float(end.point[2]) for end in piece.ends if end.point is not None]
    storey = storey_at(storeys, (min(heights) + max(heights)) / 2) if heights else None
    rung = max(part.roles.values(), default=Rung.GUESSED)
    text = (
        f"axis from {min(heights):.3f} to {max(heights):.3f} m"
        if heights
        else part.element.undrawn or "not drawn"
    )
    text += f", fingerprint {fingerprint}" if fingerprint else ""
    return PathSlot(
        role.replace("_", " "), storey.name if storey else "", state, (_name(part),), rung.word, text
    )


def _lacks(run: VentRun) -> list[str]:
    found = []
    if not run.suction:
        found.append("no suction point is reached")
    if not any(use == "outlet" for use in run.ends.values()):
        tops: list[PipeEnd] = [end for end in run.free_ends() if run.ends[end.key] != "suction"]
        uses = ", ".join(f"{end.name}: {run.ends[end.key]}" for end in tops)
        found.append("no exit above the roof" + (f" ({uses})" if uses else ""))
    return found
