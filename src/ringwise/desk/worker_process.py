"""The process behind a lane: reads orders, does one after the other, ends when its server does."""

from __future__ import annotations

import argparse
import contextlib
import json
import logging
import os
import signal
import sys
import threading
from pathlib import Path
from queue import SimpleQueue
from typing import TYPE_CHECKING, Any

from ringwise.desk.living import LivingYard
from ringwise.kit.errors import RingwiseError
from ringwise.kit.reading import Reading, reading

if TYPE_CHECKING:
    from ringwise.desk.living_workspace import LivingWorkspace

_NICE = {"futures": 10, "offers": 5}  # pages come before what they wait for, and that before long work
_LOG = logging.getLogger("ringwise")


def done(workspace: LivingWorkspace, order: dict[str, Any]) -> Any:
    """Do one order.

    Parameters
    ----------
    workspace : LivingWorkspace
        The collection as it is now.
    order : dict
        With the key task: "almanac", "why" or "job".

    Returns
    -------
    object
        Plain JSON values.
    """
    if order["task"] == "almanac":
        from ringwise.desk.almanac_making import kept_almanac

        made = kept_almanac(workspace)
        return {"key": made.key, "step": made.step}
    if order["task"] == "why":
        from ringwise.desk.why import why_told

        return why_told(workspace, order["of"])
    if order["task"] == "job":
        from ringwise.desk.long_work import do_job

        return do_job(workspace, order["id"])
    if order["task"] == "loaded":
        return sorted(name for name in order["names"] if name in sys.modules)
    raise ValueError(f"no such task: {order['task']}")


def _told(wrong: BaseException) -> dict[str, str]:
    if isinstance(wrong, RingwiseError):
        return {"kind": type(wrong).__name__, "message": wrong.message, "where": wrong.where}
    _LOG.error("unexpected failure in the worker", exc_info=wrong)
    return {"kind": type(wrong).__name__, "message": str(wrong), "where": ""}


def _answered(yard: LivingYard, order: dict[str, Any]) -> dict[str, Any]:
    try:
        with reading(Reading(*order["reading"])):
            return {"done": done(yard.workspace(), order)}
    except Exception as wrong:
        return {"error": _told(wrong)}


def _read_orders(orders: SimpleQueue[dict[str, Any]]) -> None:
    """Runs beside the work, so that the end of the server is noticed in the middle of it."""
    for line in sys.stdin:
        orders.put(json.loads(line))
    os._exit(0)


def main() -> None:
    """Serve a lane until the server lets go."""
    parser = argparse.ArgumentParser()
    parser.add_argument("lane")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--on")
    parser.add_argument("--seed", type=int)
    given = parser.parse_args()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which lets go of this one
    with contextlib.suppress(OSError):
        os.nice(_NICE.get(given.lane, 0))
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # whatever a library prints must not look like an answer
    orders: SimpleQueue[dict[str, Any]] = SimpleQueue()
    threading.Thread(target=_read_orders, args=(orders,), daemon=True).start()
    yard = LivingYard(given.folder, on=given.on, seed=given.seed, create=False)
    while True:
        answer = _answered(yard, orders.get())
        answers.write(json.dumps(answer, allow_nan=False) + "\n")
        answers.flush()


if __name__ == "__main__":
    main()
