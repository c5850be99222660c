"""One check in a child process: started, watched, restarted without the part that killed it.

The parent never opens a model. Native geometry code does crash on hostile files, and running out of memory
looks the same; the child therefore names the part it is about to hand to native code.
"""

from __future__ import annotations

import json
import os
import queue
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from modellint import errors
from modellint.limits import MEGABYTE, Limits
from modellint.worker_child import LENGTH

__all__ = ["Limits", "run"]

MOST_DEAD_PARTS = 5
_LOOK = 0.2  # seconds between looks at whether another thread wants the check stopped
_PATIENCE = 5.0  # seconds for a child that has answered, or was killed, to be gone
_BOOT = ("import json, sys; sys.path[:] = json.loads(sys.argv[1]); "
         "from modellint.worker_child import main; main()")
_KEPT = ("PATH", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "SYSTEMROOT", "SOURCE_DATE_EPOCH", "TZ")


@dataclass(frozen=True)
class _Outcome:
    """How one child ended: with a report, an error, or `death` (a phrase), perhaps over a part."""

    report: dict[str, Any] | None = None
    error: dict[str, Any] | None = None
    death: str = ""
    part: str = ""
    late: bool = False


def run(request: Mapping[str, Any], limits: Limits | None = None, *,
        target: str = "modellint.pipeline:check",
        progress: Callable[[str], None] | None = None,
        stop: threading.Event | None = None) -> dict[str, Any]:
    """Check in a child process and return the JSON report as a dict.

    The child calls `target(request, announce=…, progress=…) -> dict`. It must call `announce(GlobalId)`
    before it hands a part to native geometry code and `announce("")` afterwards. If it dies, hangs or runs
    out of memory over a part, it is started again with that GlobalId in `request["skip"]` and the report
    gets an input note. After MOST_DEAD_PARTS parts it is started once more with `request["native"]` false,
    and the report is marked incomplete.

    Args:
        request: what to check; anything JSON can hold, and paths, which become absolute (the child stands
            in a folder of its own). `debug` true shows the child's own output.
        limits: see Limits.
        target: `module:function`, for tests.
        progress: is called with each progress text.
        stop: when set from another thread, the child is killed and KeyboardInterrupt raised.

    Raises:
        UsageProblem: wrong usage, project, rule or schedule file (exit status 2), as the child found it.
        KeyboardInterrupt: after the child was killed.
    """
    limits = limits or Limits()
    order = {"native": True, **request, "skip": list(request.get("skip", ()))}
    dead: list[tuple[str, str]] = []
    deadline = time.monotonic() + limits.seconds
    while True:
        outcome = _attempt(order, limits, target, progress, deadline, stop)
        if outcome.report is not None:
            return _with_dead_parts(outcome.report, dead, off=len(dead) > MOST_DEAD_PARTS)
        if outcome.error and outcome.error["kind"] != "memory":
            return _from_error(outcome.error)
        death = outcome.death or "ran out of memory"
        if not outcome.part or outcome.late or not order["native"]:
            sentence = f"The checking process {death}, so the check is incomplete{_advice(outcome, limits)}."
            return _with_dead_parts(incomplete_report(sentence), dead, off=False)
        dead.append((outcome.part, death))
        order["skip"].append(outcome.part)
        order["native"] = len(dead) <= MOST_DEAD_PARTS


def incomplete_report(sentence: str) -> dict[str, Any]:
    """A report that says only why there is no more to say; its exit status is 3."""
    from modellint.findings.report import Report
    from modellint.reports.json_report import to_dict

    return to_dict(Report((), (0.0, 0.0, 0.0), [], [], [], [], [], incomplete=[sentence]))


def _advice(outcome: _Outcome, limits: Limits) -> str:
    if outcome.late:
        return f"; allow more than {limits.seconds:g} s with --seconds"
    return f"; it may use {limits.memory / MEGABYTE:,.0f} MB, more with --memory"


def _from_error(error: dict[str, Any]) -> dict[str, Any]:
    """Errors of usage are raised again, all others make a report that says so."""
    if error["kind"] == "FileProblems":
        raise errors.FileProblems([tuple(row) for row in error["problems"]])
    if error["exit"] == errors.UsageProblem.exit_status:
        raise errors.UsageProblem(error["text"])
    text = error["text"]
    if error["kind"] == "internal":
        text = (f"The check stopped on an error in modellint itself ({text}); run it with --debug and "
                "report it.")
    return incomplete_report(text)


def _with_dead_parts(report: dict[str, Any], dead: list[tuple[str, str]], *, off: bool) -> dict[str, Any]:
    """Add what happened to the children before this one, and count again what the exit status is.

    A comparison holds the later revision's report below `report`; what happened is said there.
    """
    if not dead:
        return report
    whole, report = report, report.get("report", report)
    notes = [{"code": "part-not-drawn", "text": f"The geometry of {part} could not be read: the reader "
              f"{death} over it. It is treated as not drawn.", "file": "", "line": None, "global_id": part,
              "serious": False} for part, death in dead]
    report["input_notes"] = [*report.get("input_notes", []), *notes]
    if off:
        report["incomplete"] = [*report.get("incomplete", []), f"More than {MOST_DEAD_PARTS} parts killed "
                                "the geometry reader, so it was switched off; parts it would have read count "
                                "as not drawn."]
    _count_again(report)
    if whole is not report and report["exit"]["status"] == 3:
        whole["exit"] = {**whole["exit"], "status": 3, "reasons": report["exit"]["reasons"]}
    return whole


def _count_again(report: dict[str, Any]) -> None:
    known = report.get("exit")
    if known:
        from modellint.reports.exit_status import exit_status

        status, reasons = exit_status(report, fail_on=known["fail_on"], open_is_fail=known["open_is_fail"])
        report["exit"] = {**known, "status": status, "reasons": reasons}


def _attempt(request: dict[str, Any], limits: Limits, target: str, progress: Callable[[str], None] | None,
             deadline: float, stop: threading.Event | None) -> _Outcome:
    order = {"target": target, "request": request,
             "limits": {"memory": limits.memory, "cpu": limits.cpu_seconds, "file": limits.file_bytes}}
    text = json.dumps(order, default=os.path.abspath).encode()
    with _child(text, debug=bool(request.get("debug"))) as child:
        assert child.stdout is not None
        messages: queue.Queue[dict[str, Any] | None] = queue.Queue()
        threading.Thread(target=_listen, args=(child.stdout, messages, limits.report_bytes),
                         daemon=True).start()
        return _follow(child, messages, limits, progress, deadline, stop)


def _follow(child: subprocess.Popen[bytes], messages: queue.Queue[dict[str, Any] | None], limits: Limits,
            progress: Callable[[str], None] | None, deadline: float, stop: threading.Event | None) -> _Outcome:
    part, until = "", deadline
    while True:
        left = max(0.0, until - time.monotonic())
        try:
            message = messages.get(timeout=left if stop is None else min(left, _LOOK))
        except queue.Empty:
            if stop is not None and stop.is_set():
                raise KeyboardInterrupt from None
            if time.monotonic() < until:
                continue
            late = time.monotonic() >= deadline
            allowed = limits.seconds if late else limits.part_seconds
            return _Outcome(death=f"was stopped after {allowed:g} s", part=part, late=late)
        if message is None:
            return _Outcome(death=_death(child), part=part)
        if "begin" in message:
            part = str(message["begin"] or "")
            until = min(deadline, time.monotonic() + limits.part_seconds) if part else deadline
        elif "progress" in message and progress:
            progress(str(message["progress"]))
        elif "report" in message:
            return _Outcome(report=message["report"])
        elif "error" in message:
            return _Outcome(error=message["error"], part=part)


def _listen(source: IO[bytes], messages: queue.Queue[dict[str, Any] | None], largest: int) -> None:
    """Put each message into the queue; None when there are no more, or none that can be trusted."""
    try:
        while len(head := source.read(LENGTH.size)) == LENGTH.size:
            (size,) = LENGTH.unpack(head)
            text = source.read(size) if size <= largest else b""
            message = json.loads(text)
            if not isinstance(message, dict):
                break
            messages.put(message)
    except (ValueError, OSError, RecursionError, MemoryError):
        pass
    messages.put(None)


def _death(child: subprocess.Popen[bytes]) -> str:
    try:
        status = child.wait(_PATIENCE)
    except subprocess.TimeoutExpired:
        return "stopped answering"
    if status >= 0:
        return f"ended without an answer (status {status})"
    if status == -getattr(signal, "SIGXCPU", 0):
        return "used up its processor time"
    try:
        return f"was killed by {signal.Signals(-status).name}"
    except ValueError:
        return f"was killed by signal {-status}"


@contextmanager
def _child(order: bytes, *, debug: bool) -> Iterator[subprocess.Popen[bytes]]:
    """A running child that has its order; killed, reaped and cleaned up after on every way out.

    Its standard input stays open so that it can notice when this process is gone.
    """
    with tempfile.TemporaryDirectory(prefix="modellint-", ignore_cleanup_errors=True) as folder:
        child = subprocess.Popen(
            [sys.executable, "-I", "-X", "utf8", "-c", _BOOT, json.dumps(_import_path())],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=None if debug else subprocess.DEVNULL,
            cwd=folder, env=_environment(folder), start_new_session=True)
        try:
            assert child.stdin is not None
            try:
                child.stdin.write(LENGTH.pack(len(order)) + order)
                child.stdin.flush()
            except BrokenPipeError:
                pass  # it died at once; the empty answer tells
            yield child
        finally:
            _kill(child)


def _kill(child: subprocess.Popen[bytes]) -> None:
    if child.poll() is None:
        if sys.platform != "win32":
            os.killpg(child.pid, signal.SIGKILL)  # it leads its own group, helpers of its own included
        child.kill()
    child.wait()
    for pipe in (child.stdin, child.stdout):
        try:
            if pipe:
                pipe.close()
        except OSError:  # unsent rest of the order
            continue


def _import_path() -> list[str]:
    """This process's import path without the folder the user happens to stand in."""
    package = str(Path(__file__).resolve().parent.parent)
    here = {"", str(Path.cwd())} - {package}
    path = [entry for entry in sys.path if entry not in here and Path(entry).is_absolute()]
    return path if package in path else [*path, package]


def _environment(folder: str) -> dict[str, str]:
    """Little: nothing of the user's may change an answer, and no library may start threads of its own."""
    kept = {name: os.environ[name] for name in _KEPT if name in os.environ}
    threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    return kept | threads | {"HOME": folder, "TMPDIR": folder, "TEMP": folder, "TMP": folder,
                             "LC_ALL": "C.UTF-8"}
