"""STEP id to line in the text, in two arrays: a dictionary of a large file's instances takes ten times the memory."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from modellint.ifc.step_scan import StepIndex


class LineNumbers(Mapping[int, int]):
    """The line, from 1, of each instance; of several with one number the last."""

    def __init__(self, index: StepIndex) -> None:
        order = np.argsort(index.ids, kind="stable")
        self._ids, self._lines = index.ids[order], index.lines[order]

    def __getitem__(self, step_id: int) -> int:
        row = int(self._ids.searchsorted(step_id, side="right")) - 1
        if row < 0 or int(self._ids[row]) != step_id:
            raise KeyError(step_id)
        return int(self._lines[row])

    def __iter__(self) -> Iterator[int]:
        return iter(np.unique(self._ids).tolist())

    def __len__(self) -> int:
        return len(np.unique(self._ids))
