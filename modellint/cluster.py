"""Many models on an existing Dask cluster: the same rows as `modellint.many.check_all` gives on one machine.

Needs the extra `modellint[cluster]`. An order goes to a worker for one model at a time; a model whose worker was
lost is ordered again, a few times, and then named as failed. Nothing of the cluster is started or stopped here.
"""

from __future__ import annotations

import gc
import json
import logging
import queue
import re
import socket
import time
import warnings
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from modellint.cache import Cache
from modellint.cluster_task import check_there, order_for, parcel_of, tools
from modellint.errors import ModellintError, UsageProblem
from modellint.limits import Limits
from modellint.many import Checked, Tell, check_one, shown_name

MOST_TRIES = 3  # orders of one model whose worker was lost; judgement, no source
WAIT = 10.0
_LOOK = 0.5  # seconds between looks at whether the cluster is still there
_AHEAD = 2  # orders for each thread of the cluster, so that none waits for us
_LAST_PORT = 65535
_ADDRESS = re.compile(r"(?:(?:tcp|tls)://)?(?P<host>\[[0-9A-Fa-f:.%]+\]|[^\s:/\[\]]+):(?P<port>\d{1,5})/?")
_HOW = "Start its scheduler and workers, or check its address (tcp://HOST:8786)."
_LOST = ("KilledWorker", "CancelledError", "FutureCancelledError", "CommClosedError", "TimeoutError")
Task = Callable[[Mapping[str, Any], bytes | None, Mapping[str, str]], dict[str, Any]]


def check_on_cluster(address: str, models: Sequence[Path], request: Mapping[str, Any], limits: Limits, *,
                     wait: float = WAIT, cache: Cache | None = None, tell: Tell | None = None,
                     task: Task = check_there) -> list[Checked]:
    """Check models on the workers of a Dask cluster; rows in the order of the models.

    Args:
        address: of the cluster's scheduler, e.g. `tcp://10.0.0.5:8786`.
        models, request, limits, cache, tell: as for `modellint.many.check_all`. Kept results stay on this machine.
        wait: seconds that the scheduler may take to answer, and the cluster may be without any worker.
        task: what a worker runs, for tests.

    Raises:
        UsageProblem: the extra is missing, nobody answers at the address, or the workers have other versions.
        KeyboardInterrupt: after all orders were taken back.
    """
    with _client(address, wait) as client:
        return _Run(client, address, request, limits, wait, cache, tell, task).rows(models)


@contextmanager
def _client(address: str, wait: float) -> Iterator[Any]:
    """A connection to the cluster, with at least one worker; quiet, since what matters is said in rows."""
    try:
        import distributed
    except ImportError:
        raise UsageProblem("--cluster needs the extra: pip install 'modellint[cluster]'.") from None
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    _knock(address, wait)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        client = None
        try:
            client = distributed.Client(address, timeout=wait, set_as_default=False)
            client.wait_for_workers(1, timeout=wait)
        except (TimeoutError, OSError, ValueError, TypeError, KeyError, RuntimeError, ImportError):
            who = "No scheduler answers" if client is None else "The scheduler has no worker"
            _close(client)
            gc.collect()  # a connection that failed closes itself when collected: now, not within the next one
            raise UsageProblem(f"{who} at --cluster {address} within {wait:g} s. {_HOW}") from None
        try:
            yield client
        finally:
            _close(client)


def _knock(address: str, wait: float) -> None:
    """See that something listens at the address, before the cluster library tries, which is slow to give up."""
    found = _ADDRESS.fullmatch(address)
    if found is None or int(found["port"]) > _LAST_PORT:
        raise UsageProblem(f"--cluster {address} is no address of a scheduler. {_HOW}")
    try:
        socket.create_connection((found["host"].strip("[]"), int(found["port"])), timeout=wait).close()
    except (OSError, UnicodeError):
        raise UsageProblem(f"No scheduler answers at --cluster {address} within {wait:g} s. {_HOW}") from None


def _close(client: Any) -> None:
    if client is not None:
        with suppress(Exception):  # it may be gone already
            client.close(timeout=2)


@dataclass
class _Model:
    """One model on its way."""

    number: int
    path: Path
    order: dict[str, Any]
    key: str
    tries: int = 0


@dataclass
class _Run:
    """One run: what waits, what is out, what is done."""

    client: Any
    address: str
    request: Mapping[str, Any]
    limits: Limits
    wait: float
    cache: Cache | None
    tell: Tell | None
    task: Task
    send: bool = False
    done: dict[int, Checked] = field(default_factory=dict)
    out: dict[str, tuple[Any, _Model]] = field(default_factory=dict)
    again: deque[_Model] = field(default_factory=deque)
    ended: queue.SimpleQueue[str] = field(default_factory=queue.SimpleQueue)

    def rows(self, models: Sequence[Path]) -> list[Checked]:
        """All rows."""
        self.number, self.tools = len(models), tools()
        coming = iter(list(enumerate(models)))
        alone = time.monotonic()
        try:
            while len(self.done) < self.number:
                room = self._room()
                self._fill(coming, room)
                alone = alone if room == 0 else time.monotonic()
                if time.monotonic() - alone > self.wait:
                    self._give_up(coming)
                if len(self.done) < self.number:
                    self._take()
        finally:
            for future, _ in self.out.values():
                with suppress(Exception):
                    future.cancel()
        return [self.done[k] for k in sorted(self.done)]

    def _room(self) -> int:
        """Orders that the cluster should hold; 0 if it has no worker or is gone."""
        try:
            if self.client.status != "running":
                return 0
            return _AHEAD * sum(int(threads) for threads in self.client.nthreads().values())
        except Exception:  # the scheduler went away while it was asked
            return 0

    def _fill(self, coming: Iterator[tuple[int, Path]], room: int) -> None:
        while len(self.out) < room:
            model = self.again.popleft() if self.again else self._next(coming)
            if model is None:
                return
            self._submit(model)

    def _next(self, coming: Iterator[tuple[int, Path]]) -> _Model | None:
        """The next model that needs a worker; those with a kept result or without a readable file need none."""
        for number, path in coming:
            asked = {**self.request, "models": [path]}
            key = self.cache.key(asked) if self.cache is not None else ""
            report = self.cache.get(key, asked) if self.cache is not None else None
            if report is not None:
                self._row(number, Checked(shown_name(path), path, report, status=report["exit"]["status"], kept=True))
                continue
            try:
                return _Model(number, path, order_for(path, self.request, self.limits), key)
            except (OSError, ValueError, ModellintError):
                self._row(number, check_one(path, self.request, self.limits))  # says what is wrong with the file
        return None

    def _submit(self, model: _Model) -> None:
        try:
            parcel = parcel_of(model.order) if self.send else None
        except OSError as error:
            self._fail(model, f"It could not be sent to the cluster: {error.strerror}.")
            return
        model.tries += 1
        future = self.client.submit(self.task, model.order, parcel, self.tools, pure=False)
        self.out[future.key] = (future, model)
        future.add_done_callback(lambda one: self.ended.put(one.key))

    def _take(self) -> None:
        """Wait a moment for an order that has ended, and see what came of it."""
        try:
            key = self.ended.get(timeout=_LOOK)
        except queue.Empty:
            return
        future, model = self.out.pop(key, (None, None))
        if future is None or model is None:
            return
        try:
            answer = future.result(timeout=self.wait)
        except ModuleNotFoundError as error:
            raise UsageProblem(f"The workers at --cluster {self.address} lack the module {error.name}; install the "
                               "same modellint there.") from None
        except BaseException as error:
            if isinstance(error, KeyboardInterrupt | SystemExit):
                raise
            self._lost(model, error)
            return
        self._answered(model, answer)

    def _lost(self, model: _Model, error: BaseException) -> None:
        if type(error).__name__ not in _LOST:
            self._fail(model, f"A worker of the cluster could not check it: {type(error).__name__}: {error}.")
        elif model.tries < MOST_TRIES:
            self.again.append(model)
        else:
            self._fail(model, f"The cluster lost the workers that were to check it, {model.tries} times over.")

    def _answered(self, model: _Model, answer: Mapping[str, Any]) -> None:
        if "other" in answer:
            raise UsageProblem(_differs(answer["other"], self.tools, self.address))
        if "send" in answer:
            self.send, model.tries = True, 0
            self.again.append(model)
            return
        name = shown_name(model.path)
        if "report" not in answer:
            self._row(model.number, Checked(name, model.path, problem=answer["problem"], status=answer["status"]))
            return
        report = json.loads(answer["report"])
        if self.cache is not None:
            self.cache.put(model.key, {**self.request, "models": [model.path]}, report)
        self._row(model.number, Checked(name, model.path, report, status=report["exit"]["status"]))

    def _fail(self, model: _Model, sentence: str) -> None:
        self._row(model.number, Checked(shown_name(model.path), model.path, problem=sentence, status=3))

    def _row(self, number: int, row: Checked) -> None:
        self.done[number] = row
        if self.tell is not None:
            self.tell(len(self.done), self.number, row.name)

    def _give_up(self, coming: Iterator[tuple[int, Path]]) -> None:
        """No worker is left and none came back: name what was not checked, rather than wait for ever."""
        sentence = f"It was not checked: the cluster has had no worker for {self.wait:g} s."
        out = [model for _, model in self.out.values()]
        for number, path in [*((one.number, one.path) for one in (*out, *self.again)), *coming]:
            self._row(number, Checked(shown_name(path), path, problem=sentence, status=3))


def _differs(there: Mapping[str, str], here: Mapping[str, str], address: str) -> str:
    name = next(name for name in here if there.get(name) != here[name])
    if name in {"program", "rules"}:
        what = "run another modellint" if name == "program" else "have other rules"
    else:
        what = f"have {name} {there.get(name)}, this machine has {here[name]}"
    return (f"The workers at --cluster {address} {what}; install the same there, so that the results are those of this "
            "machine.")
