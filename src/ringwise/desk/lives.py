"""A course lived many times as a job, in blocks that survive a kill, kept by all that it is made from."""

from __future__ import annotations

import base64
import io
import json
import zlib
from collections.abc import Callable, Generator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ringwise.desk import clock
from ringwise.desk.engine import engine_version
from ringwise.desk.results import result_key
from ringwise.kit.types import FloatArray

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.course import Course
    from ringwise.futures.outcome import Lives
    from ringwise.futures.start import Start
    from ringwise.growth.biology import Biology

BLOCK = 100  # futures between two looks at whether to stop; about a second of work
TABLES = (
    ("ringwise.growth", "species"),
    ("ringwise.growth", "parameters"),
    ("ringwise.growth", "wounds"),
    ("ringwise.growth", "odds"),
    ("ringwise.operations", "minutes"),
)
Progress = Callable[[float, str], None]


@dataclass(frozen=True)
class Look:
    """How often and how far a course is lived; `scheduler` is the address of other machines, if any."""

    futures: int
    years: int
    workers: int
    scheduler: str = ""


def _packed(values: FloatArray, parameters: FloatArray) -> bytes:
    box = io.BytesIO()
    np.savez(box, values=values, parameters=parameters)
    return zlib.compress(box.getvalue(), 6)


def _unpacked(payload: bytes) -> tuple[FloatArray, FloatArray]:
    with np.load(io.BytesIO(zlib.decompress(payload)), allow_pickle=False) as box:
        return box["values"], box["parameters"]


def lives_key(workspace: Workspace, start: Start, course: Course, look: Look) -> str:
    """The key of a course's lives; workers are no part of it, since they change nothing.

    Parameters
    ----------
    workspace : Workspace
        For the seed.
    start : Start
        The tree as it is known.
    course : Course
        What is done.
    look : Look
        Futures and years.

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    inputs = {"start": start, "course": course, "futures": look.futures, "years": look.years}
    return result_key("lives", inputs, TABLES, workspace.seed)


def course_lives(
    workspace: Workspace,
    start: Start,
    course: Course,
    life: Biology,
    look: Look,
    progress: Progress | None = None,
) -> Lives:
    """The lives of a course: stored ones, or lived now, block by block.

    Parameters
    ----------
    workspace : Workspace
        The collection; it keeps blocks and result.
    start : Start
        The tree as it is known.
    course : Course
        What is done.
    life : Biology
        Its taxon.
    look : Look
        Futures, years, workers.
    progress : callable, optional
        Told the share done and the course's title.

    Returns
    -------
    Lives
        Complete. A run that is stopped keeps its blocks and goes on from them the next time.
    """
    from ringwise.futures.outcome import Lives

    key = lives_key(workspace, start, course, look)
    stored = workspace.store.result_get(key)
    if stored is not None:
        values, parameters = _unpacked(base64.b64decode(json.loads(stored)["packed"]))
    else:
        values, parameters = _lived(workspace, key, start, course, life, look, progress)
        text = json.dumps({"packed": base64.b64encode(_packed(values, parameters)).decode("ascii")})
        workspace.store.result_put(
            key, "lives", text, made=clock.now(), engine_version=engine_version(), seed=workspace.seed
        )
        workspace.store.jobs.finish(key, clock.now())
    if progress is not None:
        progress(1.0, course.told[0])
    return Lives(course.key, 0, workspace.seed, engine_version(), values, parameters, True)


def _lived(
    workspace: Workspace,
    key: str,
    start: Start,
    course: Course,
    life: Biology,
    look: Look,
    progress: Progress | None,
) -> tuple[FloatArray, FloatArray]:
    jobs = workspace.store.jobs
    jobs.start(
        key, "futures", clock.now(), resume=json.dumps({"course": course.key, "futures": look.futures})
    )
    parts = {number: _unpacked(block) for number, block in jobs.blocks(key).items()}
    lives_of = _blocks(start, course, life, look, workspace.seed, frozenset(parts))
    try:
        for number, lived in lives_of:
            parts[number] = (lived.values, lived.parameters)
            share = min(1.0, len(parts) * BLOCK / look.futures)
            stop = jobs.progress(key, clock.now(), share, block=number, payload=_packed(*parts[number]))
            if progress is not None:
                progress(share, course.told[0])
            if stop:
                raise KeyboardInterrupt
    except KeyboardInterrupt:
        jobs.finish(key, clock.now(), state="cancelled")
        raise
    except Exception as wrong:
        jobs.finish(key, clock.now(), state="failed", error=type(wrong).__name__)
        raise
    finally:
        lives_of.close()
    ordered = [parts[number] for number in sorted(parts)]
    return np.concatenate([p[0] for p in ordered]), np.concatenate([p[1] for p in ordered])


def _blocks(
    start: Start, course: Course, life: Biology, look: Look, seed: int, held: frozenset[int]
) -> Generator[tuple[int, Lives], None, None]:
    """The blocks that are not held yet, lived here or on other machines."""
    from ringwise.desk.compiling import ensure_compiled
    from ringwise.desk.many_machines import lived_there, scheduler
    from ringwise.futures.simulate import Run, simulate

    workers = 1 if look.scheduler else look.workers
    runs = [
        (number, Run(min(BLOCK, look.futures - first), look.years, seed, workers, first))
        for number, first in enumerate(range(0, look.futures, BLOCK))
        if number not in held
    ]
    if look.scheduler:
        with scheduler(look.scheduler) as client:
            yield from lived_there(client, start, course, life, runs)
        return
    ensure_compiled()
    for number, run in runs:
        yield number, simulate(start, course, life, run)


def plain(value: Any) -> Any:
    """A number as JSON knows it: NaN becomes null.

    Parameters
    ----------
    value : object
        A number, list, dictionary or text.

    Returns
    -------
    object
        The same without NaN.

    Examples
    --------
    >>> plain([1.0, float("nan")])
    [1.0, None]
    """
    if isinstance(value, float) and value != value:
        return None
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [plain(each) for each in value]
    return value
