"""Independent pieces of one job over several cores: forked copies of this process, each with every n-th piece.

A copy shares what the process has read so far, so nothing has to be sent to it; only results come back. What a copy
could not deliver (it died, ran out of memory or into an error) is done again here, so that the answer, or the error,
is the one that a single process gives.
"""

from __future__ import annotations

import gc
import os
import pickle
import struct
import sys
from collections.abc import Callable, Iterator
from typing import Any, TypeVar

_LENGTH = struct.Struct(">Q")
_PIECES = 4  # finished pieces between two sweeps
_MANY = 8  # pieces from which one is done ahead of the copies
T = TypeVar("T")


def cores() -> int:
    """Processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def each(work: Callable[[int], T], count: int, workers: int) -> Iterator[T]:
    """Results of `work(0)` to `work(count - 1)` in this order.

    Args:
        work: depends on nothing that another piece changes; its result can be pickled.
        count: number of pieces.
        workers: processes to use; with one, or where a process cannot be forked safely, all is done here.
    """
    copies = min(workers, count) if sys.platform == "linux" else 1
    gc.freeze()  # so that a collection neither looks at nor, in a copy, touches what all pieces share
    if copies < 2:
        for index in range(count):
            yield work(index)
            _sweep(index)
        gc.unfreeze()
        return
    first = int(count >= _MANY)
    if first:  # what all pieces look up is then known before the copies are made, and none of them has to keep its own
        yield work(0)
    running = [_started(work, range(first + k, count, copies)) for k in range(copies)]
    try:
        for index in range(first, count):
            found = running[(index - first) % copies].result()
            yield work(index) if found is None else found[0]
    finally:
        for copy in running:
            copy.end()
        gc.unfreeze()


def ahead(work: Callable[[], T]) -> Callable[[], T]:
    """Begin with `work` in a forked copy while this process goes on; the function that comes back waits for the result.

    What the copy cannot deliver is worked out here when the result is asked for.
    """
    if sys.platform != "linux":
        return work
    copy = _started(lambda _: work(), range(1))

    def result() -> T:
        found = copy.result()
        copy.end()
        return work() if found is None else found[0]

    return result


def _sweep(index: int) -> None:
    """Now and then clear away what finished pieces left in cycles; the checking process does not do it by itself."""
    if index % _PIECES == _PIECES - 1:
        gc.collect()


class _Copy:
    """The reading end of one forked copy."""

    def __init__(self, pid: int, source: int) -> None:
        self._pid, self._source = pid, os.fdopen(source, "rb")
        self._good = True

    def result(self) -> tuple[Any] | None:
        """The next result in a tuple, None if there is no further one."""
        try:
            head = self._source.read(_LENGTH.size) if self._good else b""
            if len(head) == _LENGTH.size:
                text = self._source.read(_LENGTH.unpack(head)[0])
                return (pickle.loads(text),)  # noqa: S301  (written by our own copy, through a pipe of our own)
        except (OSError, EOFError, ValueError, pickle.UnpicklingError):
            pass
        self._good = False
        return None

    def end(self) -> None:
        """Let go of the copy, which ends at its next result if it is still at work."""
        self._source.close()
        os.waitpid(self._pid, 0)


def _started(work: Callable[[int], Any], share: range) -> _Copy:
    source, target = os.pipe()
    parent, pid = os.getpid(), os.fork()
    if pid:
        os.close(target)
        return _Copy(pid, source)
    try:  # from here on in the copy, which must not return
        os.close(source)
        for done, index in enumerate(share):
            if os.getppid() != parent:
                break
            _sweep(done)
            text = pickle.dumps(work(index), protocol=pickle.HIGHEST_PROTOCOL)
            rest = memoryview(_LENGTH.pack(len(text)) + text)
            while rest:
                rest = rest[os.write(target, rest):]
    finally:
        os._exit(0)
