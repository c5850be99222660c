"""Lines by instance number against a plain dictionary of the same text."""

import numpy as np
import pytest

from modellint.ifc.line_numbers import LineNumbers
from modellint.ifc.step_scan import scan

NEW = "\n"


def test_lines_are_those_of_a_dictionary():
    rng = np.random.default_rng(2)
    numbers = [*rng.permutation(900)[:400].tolist(), 17, 17, 40]
    rows = "".join(f"#{number}=IFCDIRECTION((1.,0.,0.));{NEW * (k % 3)}" for k, number in enumerate(numbers))
    index = scan(f"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n{rows}\nENDSEC;\nEND-ISO-10303-21;\n".encode())
    plain = dict(zip(index.ids.tolist(), index.lines.tolist(), strict=True))
    lines = LineNumbers(index)
    assert dict(lines) == plain
    assert len(lines) == len(plain)
    assert [lines.get(number) for number in range(-1, 910)] == [plain.get(number) for number in range(-1, 910)]
    with pytest.raises(KeyError):
        lines[10**6]
