"""A turn of photos from files to a measured tree, stage by stage; watched, stopped, taken up again."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ringwise.desk import clock
from ringwise.desk.engine import engine_version
from ringwise.desk.turntable_measuring import measured_turn
from ringwise.desk.turntable_reading import SeenPhoto, packed, read_photo, unpacked
from ringwise.desk.turntable_result import READ_SHARE, Progress, TurnResult, result_from_json
from ringwise.desk.turntable_wish import Turn
from ringwise.kit.errors import NotFoundError
from ringwise.kit.words import _
from ringwise.records.pictures import Pixels, read_pixels

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace


def run_turn(
    turn: Turn, *, workspace: Workspace | None = None, progress: Progress | None = None
) -> TurnResult:
    """Measure a turn.

    Parameters
    ----------
    turn : Turn
        What is measured.
    workspace : Workspace, optional
        A collection, which keeps each stage: a run that was stopped goes on from there.
    progress : callable, optional
        Told the share done, and of what.

    Returns
    -------
    TurnResult
        The tree with its quality.

    Raises
    ------
    NotReadyError
        If too few sound photos are left; the line names each photo with its reason and the way out.
    InputError
        If the board is of the wrong print size.
    """
    if workspace is None:
        return measured_turn(turn, _read_all(turn, None, progress), progress)
    stored = workspace.store.result_get(turn.key)
    if stored is not None:
        return result_from_json(json.loads(stored))
    jobs = workspace.store.jobs
    jobs.start(turn.key, "turntable", clock.now(), resume=json.dumps({"photos": len(turn.sources)}))
    stages = _Stages(workspace, turn)
    told = _watched(workspace, turn, progress)
    try:
        result = measured_turn(turn, _read_all(turn, workspace, progress), told, stages)
    except KeyboardInterrupt:
        jobs.finish(turn.key, clock.now(), state="cancelled")
        raise
    except Exception as wrong:
        jobs.finish(turn.key, clock.now(), state="failed", error=str(wrong) or type(wrong).__name__)
        raise
    workspace.store.result_put(
        turn.key,
        "turntable",
        json.dumps(result.to_json(), allow_nan=False),
        made=clock.now(),
        engine_version=engine_version(),
    )
    jobs.finish(turn.key, clock.now())
    return result


def _watched(workspace: Workspace, turn: Turn, progress: Progress | None) -> Progress:
    def told(share: float, what: str) -> None:
        if progress is not None:
            progress(share, what)
        if workspace.store.jobs.progress(turn.key, clock.now(), min(share, 1.0)):
            raise KeyboardInterrupt

    return told


def seen_so_far(turn: Turn, workspace: Workspace) -> dict[int, SeenPhoto]:
    """The photos of a turn that were read already, by their place in it.

    Parameters
    ----------
    turn : Turn
        The turn.
    workspace : Workspace
        The collection that keeps them.

    Returns
    -------
    dict
        Empty where nothing was read.
    """
    try:
        held = workspace.store.jobs.blocks(turn.key)
    except NotFoundError:
        return {}
    return {
        number: unpacked(turn.sources[number], payload)
        for number, payload in held.items()
        if number < len(turn.sources)
    }


def _read_all(turn: Turn, workspace: Workspace | None, progress: Progress | None) -> list[SeenPhoto]:
    held = {} if workspace is None else seen_so_far(turn, workspace)
    backdrops = [_backdrop(each.name, each.path) for each in turn.backdrops]
    photos = []
    for number, source in enumerate(turn.sources):
        seen = held.get(number)
        share = READ_SHARE * (number + 1) / len(turn.sources)
        if seen is None:
            seen = read_photo(source, turn.board, backdrops)
            if workspace is not None:
                jobs = workspace.store.jobs
                if jobs.progress(turn.key, clock.now(), share, block=number, payload=packed(seen)):
                    raise KeyboardInterrupt
        photos.append(seen)
        if progress is not None:
            progress(share, _("reading {photo}").format(photo=source.name))
    return photos


def _backdrop(name: str, path: Path) -> Pixels:
    from ringwise.structure.photo.board import threshold

    return read_pixels(path, longest_px=int(threshold("picture", "longest_px")), shown=Path(name))


class _Stages:
    """Stages of the measuring beyond single photos, kept as blocks of the job after those of the photos."""

    def __init__(self, workspace: Workspace, turn: Turn) -> None:
        from ringwise.structure.turntable.reconstruct import STAGES

        self._jobs, self._key = workspace.store.jobs, turn.key
        self._block = {name: len(turn.sources) + number for number, name in enumerate(STAGES)}

    def held(self) -> dict[str, dict[str, NDArray[Any]]]:
        """What was kept, by stage."""
        blocks = self._jobs.blocks(self._key)
        found = {}
        for name, block in self._block.items():
            if block in blocks:
                with np.load(io.BytesIO(blocks[block]), allow_pickle=False) as box:
                    found[name] = dict(box.items())
        return found

    def keep(self, stage: str, arrays: Mapping[str, NDArray[Any]]) -> None:
        """Keep one stage."""
        box = io.BytesIO()
        np.savez_compressed(box, allow_pickle=False, **arrays)
        share = self._jobs.get(self._key).progress_frac
        self._jobs.progress(self._key, clock.now(), share, block=self._block[stage], payload=box.getvalue())
