"""Identity and state of findings: what must change them and what must not."""

from __future__ import annotations

from hashlib import sha256

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from modellint.findings.identity import finding_id, state
from modellint.ifc.model import Element
from modellint.ifc.solid import Box
from modellint.roles.part import Part, Rung


def part(key, centre, half, turn=None, shift=(0.0, 0.0, 0.0)):
    turn = np.eye(3) if turn is None else turn
    axes = np.eye(3) @ turn.T
    box = Box(turn @ np.array(centre) + np.array(shift), axes, np.array(half))
    return Part(key, Element(key, key, 1, "IfcMember"), roles={"post": Rung.DECLARED}, box=box)


def scene(turn=None, shift=(0.0, 0.0, 0.0), post_x=0.3):
    wall = part("W", (1.5, 0.0, 1.2), (1.5, 0.07, 1.2), turn, shift)
    post = part("P", (post_x, 0.02, 1.2), (0.0445, 0.07, 1.2), turn, shift)
    return state([wall], [wall, post])


@given(st.floats(0, 6.3), st.booleans(), st.tuples(*[st.floats(-1000, 1000)] * 3))
def test_moved_turned_and_mirrored_houses_keep_their_state(angle, mirrored, shift):
    turn = np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1.0]])
    turn = turn @ np.diag([-1.0, 1.0, 1.0]) if mirrored else turn
    assert scene(turn, shift) == scene()


def test_other_global_ids_keep_the_state():
    """An exporter that renews ids changes neither what was judged nor which part is the reference of places."""
    def row(first, second, third):
        panels = [part(first, (0.6, 0.0, 1.2), (0.6, 0.07, 1.2)), part(second, (1.8, 0.0, 1.2), (0.6, 0.07, 1.2))]
        return state(panels, [*panels, part(third, (0.3, 0.02, 1.2), (0.0445, 0.07, 1.2))])

    assert row("A", "B", "C") == row("Z", "Y", "X") == row("B", "A", "C")


def test_a_moved_part_changes_the_state():
    assert scene(post_x=0.302) != scene()
    assert scene(post_x=0.3000001) == scene()


def test_id_is_a_digest_of_names_only():
    """Sixteen hex digits of sha256; the separator keeps ("ab", "c") and ("a", "bc") apart."""
    assert finding_id("r", "s", "i") == sha256(b"r\x1fs\x1fi").hexdigest()[:16]
    assert finding_id("ab", "c") != finding_id("a", "bc")
