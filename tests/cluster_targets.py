"""What workers of the test cluster run in place of a check."""

from __future__ import annotations

import os
import signal
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from modellint.cluster_task import check_there, tools

ONCE, ALWAYS = "dies-once", "dies-always"


def dying(order: Mapping[str, Any], parcel: bytes | None, wanted: Mapping[str, str]) -> dict[str, Any]:
    """A check whose worker is killed: over `dies-once…` the first time, over `dies-always…` each time."""
    model = Path(order["request"]["models"][0])
    been = model.with_suffix(".been")
    if model.name.startswith(ALWAYS) or (model.name.startswith(ONCE) and not been.exists()):
        been.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return check_there(order, parcel, wanted)


def elsewhere(order: Mapping[str, Any], parcel: bytes | None, wanted: Mapping[str, str]) -> dict[str, Any]:
    """A worker that does not see the files of the machine that asks."""
    if parcel is None:
        return {"send": True}
    return check_there(order, parcel, wanted)


def older(order: Mapping[str, Any], parcel: bytes | None, wanted: Mapping[str, str]) -> dict[str, Any]:
    """A worker with another version of a library."""
    return {"other": {**tools(), "shapely": "1.0"}}
