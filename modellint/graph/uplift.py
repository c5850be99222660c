"""The uplift chain of a wall end: a row of slots from its post down to the foundation, link by link.

It is not searched for in the whole graph: sill bolts, plates or another end's parts never stand in
for a slot.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from modellint.graph.absence import Absence
from modellint.graph.continuous_rod import is_continuous, storey_steps
from modellint.graph.foundation import embedment, foundations, under_point
from modellint.graph.house import House
from modellint.graph.joints import Link, Stated, best_rung, contact_gap, faces_gap, link, thread_gap
from modellint.graph.transfer import transfer_step
from modellint.graph.wall_nodes import ChainStep, WallEnd
from modellint.roles.part import Part, Rung


@dataclass
class Chains:
    """Builds the chains of one building; holds what all of them look things up in."""

    house: House
    absence: Absence
    stated: Stated
    ground: tuple[Part, ...]

    def steps(self, end: WallEnd) -> tuple[ChainStep, ...]:
        """Steps of the chain that starts at this end's post, from the top down."""
        return tuple(Walk(self).down(end))


def uplift_chains(house: House, absence: Absence, ends: Iterable[WallEnd]) -> None:
    """Fill in `steps` of every end."""
    chains = Chains(house, absence, Stated(house), foundations(house))
    for end in ends:
        end.steps = chains.steps(end)


class Walk:
    """One walk down one stack of ends."""

    def __init__(self, chains: Chains) -> None:
        self.chains, self.house = chains, chains.house
        self.found: list[ChainStep] = []
        self.contact = contact_gap(self.house)
        self.coupled: set[frozenset[str]] = set()
        # rod that came down from the storey above
        self.rod: Part | None = None

    def down(self, end: WallEnd) -> list[ChainStep]:
        """All steps from the post of `end` down."""
        held = self._post(end)
        current: WallEnd | None = end
        while current is not None:
            current, held = self._storey(current, held)
        return self.found

    def _storey(self, end: WallEnd, post: Part | None) -> tuple[WallEnd | None, Part | None]:
        """From the post of `end` to the post of the end below; None when the foundation is reached."""
        below = end.below
        strap = self._strap(end, below)
        if strap is not None:
            return self._over_strap(end, below, post, strap)
        if is_continuous(end):
            return self._continuous(end, below)
        tie = self._tie(end, post, end.base_ties, "base tie")
        if below is None and not end.on_foundation:
            self._transfer(end, tie)
            return None, None
        rod = self._rod(end, tie)
        if below is None:
            self._foundation(end, rod)
            return None, None
        return self._below(below, rod)

    def _below(self, below: WallEnd, rod: Part | None) -> tuple[WallEnd, Part | None]:
        """From the rod through the floor to the post of the end below."""
        if is_continuous(below) and rod is not None:
            self.rod = rod
            return below, self._post(below)
        top = self._top_tie(below, rod)
        lower = self._post(below)
        if top is not None and lower is not None:
            lower = min(below.posts, key=lambda post: (_or_far(faces_gap(top, post)), post.key))
            self.join("fastened_to", "post", below, (top, lower), gap=faces_gap(top, lower),
                      limit=self.contact, text="{a} to {b}")
        return below, lower

    def _post(self, end: WallEnd) -> Part | None:
        if end.posts:
            return end.posts[0]
        self.absent(end, "post", ("post",), "post", "no end post drawn")
        return None

    def _tie(self, end: WallEnd, post: Part | None, ties: tuple[Part, ...], slot: str) -> Part | None:
        if not ties:
            if end.stated_tie:
                self.step(
                    "slot",
                    slot,
                    end,
                    "unknown",
                    (),
                    text=f"tie '{end.stated_tie}' is stated, not drawn",
                    missing="place of the tie",
                    roles=("hold_down",),
                )
                return None
            # the end without a tie is a finding of its own, in words that send the reader there
            text = f"no {slot} drawn (follows from the missing tie at this end, which is reported there)"
            told = slot == "base tie" and self.chains.absence.complete(slot, end)
            self.absent(end, slot, ("hold_down", "strap"), slot, text if told else f"no {slot} drawn")
            return None
        if post is None:
            return ties[0]
        candidates = [(tie, faces_gap(other, tie), other) for tie in ties for other in end.posts]
        tie, gap, held = min(
            candidates,
            key=lambda row: (
                _beyond(row[1], self.contact),
                -best_rung(row[0]),
                row[1] if row[1] is not None else 9.0,
                row[0].key,
                row[2].key,
            ),
        )
        self.join("fastened_to", slot, end, (held, tie), gap=gap,
                  limit=self.contact, text="{a} to {b}")
        return tie

    def _rod(self, end: WallEnd, tie: Part | None) -> Part | None:
        slot = "rod" if end.below is not None else "anchor rod"
        if not end.rods:
            place = "anchor rod" if end.below is None else "floor rod"
            self.absent(end, slot, ("rod",), place, f"no {slot} drawn")
            return None
        if tie is None:
            return end.rods[0]
        rod = min(end.rods, key=lambda part: (_or_far(thread_gap(part, tie)), part.key))
        self.join("threaded_into", slot, end, (tie, rod), gap=thread_gap(rod, tie),
                  limit=self.contact, text="{b} to {a}")
        return rod

    def _top_tie(self, below: WallEnd, rod: Part | None) -> Part | None:
        used = {piece.key for step in self.found for piece in step.pieces}
        ties = [part for part in below.top_ties if part.key not in used]
        if not ties:
            self.absent(below, "top tie", ("hold_down",), "top tie", "no top tie drawn")
            return None
        if rod is None:
            return ties[0]

        def rank(part: Part) -> tuple[int, int, float, str]:
            gaps = [gap for gap in (faces_gap(part, post) for post in below.posts) if gap is not None]
            thread = thread_gap(rod, part)
            return (_beyond(thread, self.contact), _beyond(min(gaps, default=None), self.contact),
                    _or_far(thread), part.key)

        tie = min(ties, key=rank)
        self.join("threaded_into", "top tie", below, (rod, tie), gap=thread_gap(rod, tie),
                  limit=self.contact, text="{a} to {b}")
        return tie

    def _foundation(self, end: WallEnd, rod: Part | None) -> None:
        ground = self.chains.ground
        point = rod.axis.mean(axis=0) if rod is not None and rod.axis is not None else end.point
        under = under_point(ground, float(point[0]), float(point[1]), end.segment.sole)
        if not under:
            self.absent(end, "foundation", ("foundation",), "foundation", "no foundation drawn under it")
            return
        if rod is None:
            return
        if rod.axis is None:
            self.step(
                "embedded_in",
                "foundation",
                end,
                "unknown",
                (rod, under[0].part),
                text=f"{rod.name} has no shape",
                missing="shape of the rod",
                roles=("rod",),
            )
            return
        inside, holder = embedment(ground, rod.axis)
        target = holder or under[0].part
        gap = 0.0 if inside > 0 else max(float(rod.axis[:, 2].min()) - under[0].top, 0.001)
        self.join("embedded_in", "foundation", end, (rod, target), gap=gap,
                  limit=0.0, text="{a} into {b}")

    def _strap(self, end: WallEnd, below: WallEnd | None) -> Part | None:
        if not end.straps or end.base_ties:
            return None
        if below is None and not end.on_foundation:
            return end.straps[0]
        if below is None:
            return next(
                (
                    strap
                    for strap in end.straps
                    if strap.axis is not None and embedment(self.chains.ground, strap.axis)[0] > 0
                ),
                None,
            )
        return end.straps[0]

    def _over_strap(self, end: WallEnd, below: WallEnd | None, post: Part | None,
                    strap: Part) -> tuple[WallEnd | None, Part | None]:
        if post is not None:
            self.join("fastened_to", "strap", end, (post, strap), gap=faces_gap(post, strap),
                      limit=self.contact, text="{b} to {a}")
        if below is None and not end.on_foundation:
            self._transfer(end, strap)
            return None, None
        if below is None:
            assert strap.axis is not None
            holder = embedment(self.chains.ground, strap.axis)[1]
            if holder is not None:
                self.join("embedded_in", "foundation", end, (strap, holder), gap=0.0,
                          limit=0.0, text="{a} into {b}")
            return None, None
        lower = self._post(below)
        if lower is not None:
            self.join("fastened_to", "post", below, (strap, lower), gap=faces_gap(strap, lower),
                      limit=self.contact, text="{a} to {b}")
        return below, lower

    def _continuous(self, end: WallEnd, below: WallEnd | None) -> tuple[WallEnd | None, Part | None]:
        rod = storey_steps(self, end)
        if below is None:
            if not end.on_foundation:
                self._transfer(end, None)
            else:
                self._foundation(end, rod)
            return None, None
        return self._below(below, rod)

    def _transfer(self, end: WallEnd, tie: Part | None) -> None:
        self.found.append(transfer_step(self.house, self.chains.stated, end, tie))

    # -- steps ------------------------------------------------------------------------------------

    def absent(self, end: WallEnd, slot: str, roles: tuple[str, ...], place: str, text: str) -> None:
        """A slot without a part: broken or unknown, as the other ends tell."""
        state, rung = self.chains.absence.state(place, end)
        self.step("slot", slot, end, state, (), rung=rung, text=text, roles=roles,
                   missing="" if state == "broken" else slot)

    def join(self, kind: str, slot: str, end: WallEnd, pair: tuple[Part, Part], *, gap: float | None,
             limit: float, text: str) -> None:
        """A link between two parts, judged by its gap; `{a}` and `{b}` in the text are their names."""
        one, other = pair
        found: Link = link(self.chains.stated, one, other, gap, limit)
        words = text.format(a=one.name, b=other.name)
        if found.state == "broken":
            words += f" (gap {1000 * (found.gap or 0.0):.0f} mm)"
        self.step(
            kind,
            slot,
            end,
            found.state,
            pair,
            origin=found.origin,
            gap=found.gap,
            limit=found.limit,
            rung=found.rung,
            text=words,
            missing="" if gap is not None else "shape of a part",
        )

    def step(self, kind: str, slot: str, end: WallEnd, state: str, pieces: tuple[Part, ...], *,
             origin: str = "", gap: float | None = None, limit: float | None = None,
             rung: Rung = Rung.DECLARED, text: str = "", missing: str = "",
             roles: tuple[str, ...] = ()) -> None:
        """A further step of the chain; the attributes are those of `ChainStep`."""
        key = f"{end.key}|{slot}|{kind}"
        again = sum(step.key == key or step.key.startswith(f"{key}|") for step in self.found)
        key += f"|{again}" if again else ""
        self.found.append(
            ChainStep(key, kind, slot, end, state, pieces, origin, gap, limit, rung, text, missing, roles)
        )


def _beyond(gap: float | None, limit: float) -> int:
    return 1 if gap is None else 0 if gap <= limit else 2


def _or_far(gap: float | None) -> float:
    return gap if gap is not None else 99.0
