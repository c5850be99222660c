"""Many damaged models in one checking process; run there by modellint.worker.

The rules and books are read once for all of them: no mutant has a project file. Else each is checked as by the
command, and some are checked by the command too, which must come to the same status.
"""

from __future__ import annotations

import json
import traceback
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from modellint import pipeline
from modellint.errors import ModellintError
from modellint.reports.json_report import to_dict


def check_batch(request: Mapping[str, Any], announce: Callable[[str], None],
                progress: Callable[[str], None]) -> dict[str, Any]:
    """Check each path of `mutants`; one row per path: status, first reason, and a traceback if there was one."""
    rows = []
    books = pipeline.load_books(Path(request["mutants"][0]))
    for path in request["mutants"]:
        if path in request["skip"]:
            continue
        announce(path)
        rows.append({"path": path, **_outcome(path, books)})
        announce("")
    return {"rows": rows, "input_notes": [], "incomplete": []}


def _outcome(path: str, books: pipeline.Books) -> dict[str, Any]:
    try:
        model = pipeline.read_model([Path(path)], frozenset(), lambda _: None)
        report = to_dict(pipeline.judge_model(model, books, {"models": [path]}), display=books.display)
        json.dumps(report, allow_nan=False)
    except ModellintError as error:
        return {"status": error.exit_status, "reason": str(error), "trace": ""}
    except MemoryError:
        raise
    except Exception as error:
        return {"status": -1, "reason": f"{type(error).__name__}: {error}", "trace": traceback.format_exc(limit=-6)}
    reasons = report["exit"]["reasons"]
    return {"status": report["exit"]["status"], "reason": reasons[0] if reasons else "", "trace": ""}
