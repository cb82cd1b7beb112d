"""A lane: a process of its own for heavy work, started on demand, let go when idle, replaced when it dies.

Orders and answers are lines of JSON through the process's own pipes. The process ends by itself when its end
of the pipe closes, so that none is left behind however the server ends.
"""

from __future__ import annotations

import contextlib
import json
import logging
import subprocess
import sys
import threading
from concurrent.futures import Future
from dataclasses import dataclass, field
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

from ringwise.kit import errors
from ringwise.kit.words import _

IDLE_S = 60.0  # so long a process without work is kept warm
MOST_TRIES = 3  # an order whose process died so often is given up: it would only die again
_LONGEST_END_S = 5.0
_LOG = logging.getLogger("ringwise")


@dataclass
class _Order:
    task: dict[str, Any]
    answer: Future[Any] = field(default_factory=Future)


class Lane:
    """Orders done one after the other by one process.

    Parameters
    ----------
    name : str
        Of the lane; the process of "futures" steps back behind all others.
    folder : Path
        Of the collection.
    given : sequence of str
        Further flags of the process, such as the day that counts as today.
    idle_s : float
        How long a process without work is kept.

    Examples
    --------
    >>> Lane("almanac", Path("yard")).pid is None
    True
    """

    def __init__(
        self, name: str, folder: Path, given: tuple[str, ...] = (), *, idle_s: float = IDLE_S
    ) -> None:
        self.name = name
        self.idle_s = idle_s
        # -P: files of the folder that the grower stands in are no modules
        self._command = [
            sys.executable,
            "-P",
            "-m",
            "ringwise.desk.worker_process",
            name,
            str(folder),
            *given,
        ]
        self._queue: SimpleQueue[_Order | None] = SimpleQueue()
        self._process: subprocess.Popen[str] | None = None
        self._thread: threading.Thread | None = None
        self._lock = threading.Lock()
        self._closed = False

    @property
    def pid(self) -> int | None:
        """The number of its process; None while there is none."""
        process = self._process
        return process.pid if process is not None and process.poll() is None else None

    def order(self, task: dict[str, Any]) -> Future[Any]:
        """Have something done; the future brings the answer or the error."""
        order = _Order(task)
        with self._lock:
            if self._closed:
                order.answer.set_exception(errors.WorkspaceError(_("the server is stopping.")))
                return order.answer
            self._queue.put(order)
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name=f"lane {self.name}", daemon=True)
                self._thread.start()
        return order.answer

    def close(self) -> None:
        """End the process at once; an unfinished job is taken up again by its blocks another time."""
        with self._lock:
            self._closed = True
            thread = self._thread
        process = self._process
        if process is not None:
            process.kill()
        self._queue.put(None)
        if thread is not None:
            thread.join(_LONGEST_END_S)

    def _run(self) -> None:
        while True:
            try:
                order = self._queue.get(timeout=self.idle_s)
            except Empty:
                with self._lock:
                    if not self._queue.empty():
                        continue
                    self._thread = None
                    self._end_process()  # with the lock held: no new thread starts a second one meanwhile
                return
            if order is None:
                self._end_process()
                return
            self._do(order)

    def _do(self, order: _Order) -> None:
        for _try in range(MOST_TRIES):
            if self._closed:
                break
            try:
                answer = self._asked(order.task)
            except (OSError, ValueError) as wrong:
                _LOG.warning("lane %s: its process ended (%s), another one takes over", self.name, wrong)
                self._end_process()
                continue
            if "error" in answer:
                order.answer.set_exception(error_of(answer["error"]))
            else:
                order.answer.set_result(answer["done"])
            return
        order.answer.set_exception(
            errors.WorkspaceError(_("the work ended without an answer; it is in ringwise.log."))
        )

    def _asked(self, task: dict[str, Any]) -> dict[str, Any]:
        process = self._process
        if process is None or process.poll() is not None:
            process = self._process = subprocess.Popen(
                self._command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8"
            )
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(json.dumps(task) + "\n")
        process.stdin.flush()
        line = process.stdout.readline()
        if not line.endswith("\n"):
            raise OSError("no answer")
        answer: dict[str, Any] = json.loads(line)
        return answer

    def _end_process(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                with contextlib.suppress(OSError):
                    pipe.close()
        try:
            process.wait(_LONGEST_END_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def error_of(told: dict[str, str]) -> Exception:
    """The error that a process told, as its own class again.

    Parameters
    ----------
    told : dict
        Keys kind, message, where.

    Returns
    -------
    Exception
        To be raised.

    Examples
    --------
    >>> error_of({"kind": "NotFoundError", "message": "there is no tree.", "where": ""})
    NotFoundError('there is no tree.')
    """
    kind = getattr(errors, told["kind"], None)
    if isinstance(kind, type) and issubclass(kind, errors.RingwiseError):
        return kind(told["message"], where=told["where"])
    return RuntimeError(f"{told['kind']}: {told['message']}")
