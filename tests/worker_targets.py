"""What the checking process is told to do in tests/test_worker.py."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from modellint.errors import FileProblems, ModelUnreadable, UsageProblem

PARTS = [f"part{number}" for number in range(10)]


def report(**more: Any) -> dict[str, Any]:
    from modellint.findings.report import Report
    from modellint.reports.json_report import to_dict

    return to_dict(Report((), (0.0, 0.0, 0.0), [], [], [], [], [])) | more


def check(request: dict[str, Any], announce: Callable[[str], None],
          progress: Callable[[str], None]) -> dict[str, Any]:
    """Go over PARTS that are not skipped; do `request["deed"]` at those named in `request["deadly"]`."""
    os.write(1, b"native chatter\n")
    print("python chatter")
    progress("reading")
    done = []
    for part in PARTS:
        if part in request["skip"] or not request["native"]:
            continue
        announce(part)
        if part in request.get("deadly", ()):
            DEEDS[request["deed"]](request)
        announce("")
        done.append(part)
    DEEDS[request.get("after", "nothing")](request)
    return report(done=done, native=request["native"], here=str(Path.cwd()), names=sorted(os.environ),
                  pid=os.getpid(), modules=sorted(sys.modules))


def _raise(error: Exception) -> Callable[[Any], None]:
    def deed(_: Any) -> None:
        raise error
    return deed


def _hog(_: Any) -> None:
    held = []
    while True:
        held.append(bytearray(1 << 26))


def _spin(_: Any) -> None:
    while True:
        pass


def _sleep(request: dict[str, Any]) -> None:
    if "pid_file" in request:
        Path(request["pid_file"]).write_text(f"{os.getpid()} {Path.cwd()}")
    time.sleep(60)


DEEDS: dict[str, Callable[[Any], Any]] = {
    "nothing": lambda _: None,
    "crash": lambda _: os.kill(os.getpid(), signal.SIGSEGV),
    "leave": lambda _: os._exit(0),
    "garbage": lambda _: [os.write(fd, b"\xff" * 64) for fd in range(3, 12) if _open(fd)],
    "hog": _hog, "spin": _spin, "sleep": _sleep,
    "usage": _raise(UsageProblem("No such stage.")),
    "problems": _raise(FileProblems([("b.yaml", 2, 1, "second"), ("a.yaml", 1, 5, "first")])),
    "unreadable": _raise(ModelUnreadable("It is cut.")),
    "bug": _raise(KeyError("oops")),
}


def _open(fd: int) -> bool:
    import stat
    try:
        return stat.S_ISFIFO(os.fstat(fd).st_mode)
    except OSError:
        return False
