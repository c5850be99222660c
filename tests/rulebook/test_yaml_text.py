"""The YAML reader: what it refuses, where, and what stays a text."""

from __future__ import annotations

import pytest

from modellint.errors import FileProblems
from modellint.rulebook.yaml_text import parse_yaml


def problems(text):
    with pytest.raises(FileProblems) as caught:
        parse_yaml(text, "rule.yaml")
    return str(caught.value)


def test_values_that_other_readers_turn_into_surprises():
    data = parse_yaml(
        "a: no\nb: 1:30\nc: 2026-01-31\nd: 010\ne: yes\nf: true\ng: 12\nh: 1.5\ni: 1:96\nj: '7'\n"
        "k: .inf\nl: 1_000\nno: x\n",
        "f",
    ).data
    assert data == {
        "a": "no",
        "b": "1:30",
        "c": "2026-01-31",
        "d": "010",
        "e": "yes",
        "f": True,
        "g": 12,
        "h": 1.5,
        "i": "1:96",
        "j": "7",
        "k": ".inf",
        "l": "1_000",
        "no": "x",
    }


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a: 1\nb: 2\na: 3\n", "rule.yaml:3:1: The key 'a' stands here a second time (first on line 1)."),
        ("a: &x [1]\nb: *x\n", "rule.yaml:1:4: Anchors (&x) are not allowed"),
        ("a: {<<: {b: 1}}\n", "rule.yaml:1:5: Merging with << is not allowed"),
        ("a: !!python/object/apply:os.system [x]\n", "rule.yaml:1:4: Tags"),
        ("a:\nb: 1\n", "rule.yaml:1:3: A value is missing here."),
        ("a: [1\nb: 2\n", "rule.yaml:2:"),
        ("", "rule.yaml:1:1: The file is empty."),
        ("a: 1\n---\nb: 2\n", "second one"),
        ("a: \x07\n", "rule.yaml:1:4: Not readable as YAML"),
        ("[" * 30 + "]" * 30, "rule.yaml:1:21: Nested more than 20 levels deep."),
        ("a: b\n" + "#" * 300_000, "larger than 256 KB"),
        ("? [a]\n: 1\n", "A key must be a word."),
    ],
)
def test_refused_with_place(text, said):
    assert said in problems(text)


def test_bombs_are_refused():
    bomb = "a: &a [x, x, x]\n" + "".join(
        f"{chr(98 + i)}: &{chr(98 + i)} [*{chr(97 + i)}, *{chr(97 + i)}]\n" for i in range(9)
    )
    # unfolded, the aliases would be 1,500 lists and the brackets would end the stack
    assert "Anchors" in problems(bomb)
    assert "nest" in problems("[" * 100_000)
