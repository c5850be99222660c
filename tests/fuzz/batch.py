"""Many damaged models in one checking process; run there by modellint.worker."""

from __future__ import annotations

import json
import traceback
from collections.abc import Callable, Mapping
from typing import Any

from modellint import pipeline
from modellint.errors import ModellintError


def check_batch(request: Mapping[str, Any], announce: Callable[[str], None],
                progress: Callable[[str], None]) -> dict[str, Any]:
    """Check each path of `mutants`; one row per path: status, first reason, and a traceback if there was one."""
    rows = []
    for path in request["mutants"]:
        if path in request["skip"]:
            continue
        announce(path)
        rows.append({"path": path, **_outcome(path)})
        announce("")
    return {"rows": rows, "input_notes": [], "incomplete": []}


def _outcome(path: str) -> dict[str, Any]:
    try:
        report = pipeline.check({"models": [path]})
        json.dumps(report, allow_nan=False)
    except ModellintError as error:
        return {"status": error.exit_status, "reason": str(error), "trace": ""}
    except MemoryError:
        raise
    except Exception as error:
        return {"status": -1, "reason": f"{type(error).__name__}: {error}", "trace": traceback.format_exc(limit=-6)}
    reasons = report["exit"]["reasons"]
    return {"status": report["exit"]["status"], "reason": reasons[0] if reasons else "", "trace": ""}
