"""The checking process: it alone opens models, so that whatever they do to the reader stays in it.

Messages go to the parent as JSON, each after its length in four bytes, over what was standard output; native
code that prints finds standard output closed off.
"""

from __future__ import annotations

import gc
import importlib
import json
import os
import struct
import sys
import threading
import traceback
from collections.abc import Callable
from typing import Any

from modellint.errors import FileProblems, ModellintError

LENGTH = struct.Struct(">I")
_REQUEST, _OUT = 0, 1


def main() -> None:
    """Read one request from standard input, check, and answer."""
    answer = os.dup(_OUT)
    nowhere = os.open(os.devnull, os.O_RDWR)
    os.dup2(nowhere, _OUT)
    # One check and then the end: hunting for dead cycles costs an eighth of the time and finds next to nothing.
    gc.disable()
    order = json.loads(_read_frame(_REQUEST))
    threading.Thread(target=_end_with_parent, daemon=True).start()
    _limit(order["limits"])
    send: Callable[[dict[str, Any]], None] = lambda message: _write_frame(answer, _text(message))  # noqa: E731
    _write_frame(answer, _answer(order["target"], order["request"], send))
    os._exit(0)  # the answer is out: no destructor of a native library may spoil it


def _text(message: dict[str, Any]) -> bytes:
    return json.dumps(message, allow_nan=False, separators=(",", ":")).encode()


def _answer(target: str, request: dict[str, Any], send: Callable[[dict[str, Any]], None]) -> bytes:
    """The last message: a report or an error."""
    made = _made(target, request, send)
    return made if isinstance(made, bytes) else _text(made)


def _made(target: str, request: dict[str, Any], send: Callable[[dict[str, Any]], None]) -> bytes | dict[str, Any]:
    """The report as the text of a message, or an error."""
    try:
        module, _, function = target.partition(":")
        check = getattr(importlib.import_module(module), function)
        report = check(request, announce=lambda part: send({"begin": part}),
                       progress=lambda text: send({"progress": text}))
        return _text({"report": report})
    except FileProblems as error:
        return {"error": {"kind": "FileProblems", "text": str(error), "exit": error.exit_status,
                          "problems": error.problems}}
    except ModellintError as error:
        return {"error": {"kind": type(error).__name__, "text": str(error), "exit": error.exit_status}}
    except MemoryError:
        return {"error": {"kind": "memory", "text": "", "exit": 3}}
    except Exception as error:
        traceback.print_exc(limit=-30)  # seen with --debug only
        return {"error": {"kind": "internal", "text": f"{type(error).__name__}: {error}", "exit": 3}}


def _read_frame(source: int) -> bytes:
    (size,) = LENGTH.unpack(_read_exactly(source, LENGTH.size))
    return _read_exactly(source, size)


def _read_exactly(source: int, size: int) -> bytes:
    parts = bytearray()
    while len(parts) < size:
        part = os.read(source, size - len(parts))
        if not part:
            os._exit(1)
        parts += part
    return bytes(parts)


def _write_frame(target: int, text: bytes) -> None:
    rest = memoryview(LENGTH.pack(len(text)) + text)
    while rest:
        rest = rest[os.write(target, rest):]


def _end_with_parent() -> None:
    """End this process when the parent is gone: its end of standard input closes then."""
    while os.read(_REQUEST, 1):
        pass
    os._exit(1)


def _limit(limits: dict[str, int]) -> None:
    if sys.platform == "win32":  # only the parent's clock limits there
        return
    import resource

    for name, value in (("RLIMIT_CORE", 0), ("RLIMIT_AS", limits["memory"]), ("RLIMIT_CPU", limits["cpu"]),
                        ("RLIMIT_FSIZE", limits["file"])):
        kind = getattr(resource, name)
        hard = resource.getrlimit(kind)[1]
        wanted = value if hard == resource.RLIM_INFINITY else min(value, hard)
        try:
            resource.setrlimit(kind, (wanted, hard))
        except (ValueError, OSError):  # macOS refuses some limits
            continue
