"""A turn of photos looked over in the app: they come in, are measured, and are kept or thrown away.

Photos of a run lie in a folder of their own in the collection until then; nothing is in the record.
"""

from __future__ import annotations

import json
import re
import shutil
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk.turntable_files import stored_lenses
from ringwise.desk.turntable_result import TurnResult, result_from_json
from ringwise.desk.turntable_runs import run_turn, seen_so_far
from ringwise.desk.turntable_told import turn_lines
from ringwise.desk.turntable_wish import Turn, TurntableWish, count_of, turn_of
from ringwise.kit.errors import InputError, NotFoundError, NotReadyError, out_of_range
from ringwise.kit.words import _
from ringwise.records.durable import write_whole
from ringwise.records.photos import photo_suffix

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.turntable_reading import SeenPhoto
    from ringwise.desk.workspace import Workspace
    from ringwise.structure.photo.refusal import Refused

FOLDER = "turns"
MOST_PHOTOS = 80
_RUN = re.compile(r"[0-9a-f]{32}")
_NAME = re.compile(r"[^A-Za-z0-9._-]+")
_OPTIONS = ("square", "columns", "rows", "row", "soil", "pot", "rod")
Progress = Callable[[float, str], None]


@dataclass(frozen=True)
class Run:
    """One run: its folder, its tree, what was typed, and the key of its result once it was begun."""

    id: str
    folder: Path
    tree: str
    options: dict[str, Any]
    key: str | None

    @property
    def photos(self) -> tuple[Path, ...]:
        """Its photos in the order in which they came."""
        return tuple(sorted((self.folder / "photos").iterdir()))


def new_run(workspace: Workspace, tree: str) -> Shape:
    """Begin a run of a tree, without photos yet.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.

    Returns
    -------
    dict
        As `run_told`.

    Raises
    ------
    NotFoundError
        If there is no such tree.
    """
    found = workspace.tree(tree)
    id_ = uuid.uuid4().hex
    folder = workspace.folder / FOLDER / id_
    (folder / "photos").mkdir(parents=True)
    _write(folder, {"tree": found.id, "options": {}, "key": None})
    return run_told(workspace, tree, id_)


def _write(folder: Path, data: dict[str, Any]) -> None:
    write_whole(folder, folder / "run.json", json.dumps(data).encode())


def open_run(workspace: Workspace, tree: str) -> str | None:
    """The run of a tree that was worked on last and is neither kept nor thrown away.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.

    Returns
    -------
    str or None
        Its id.
    """
    found = workspace.tree(tree).id
    noted = (workspace.folder / FOLDER).glob("*/run.json")
    own = [each for each in noted if json.loads(each.read_text(encoding="utf-8"))["tree"] == found]
    last = max(own, key=lambda each: each.stat().st_mtime_ns, default=None)
    return None if last is None else last.parent.name


def run_of(workspace: Workspace, tree: str, id_: str) -> Run:
    """A run by its id.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name of its tree.
    id_ : str
        As `new_run` gave it.

    Returns
    -------
    Run
        As it stands.

    Raises
    ------
    NotFoundError
        If there is none.
    """
    folder = workspace.folder / FOLDER / id_
    found = workspace.tree(tree)
    if _RUN.fullmatch(id_) and (folder / "run.json").is_file():
        data = json.loads((folder / "run.json").read_text(encoding="utf-8"))
        if data["tree"] == found.id:
            return Run(id_, folder, found.id, data["options"], data["key"])
    raise NotFoundError(_("there is no such turn of photos; it was kept or thrown away."))


def add_run_photo(workspace: Workspace, tree: str, id_: str, upload: Path, name: str) -> Shape:
    """Take a photo into a run, untouched.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree, id_ : str
        The run.
    upload : Path
        The file; it is only read.
    name : str
        What the user calls it.

    Returns
    -------
    dict
        As `run_told`.

    Raises
    ------
    InputError
        If it is no photo by its first bytes, or there are too many.
    NotReadyError
        If the run was begun.
    """
    run = run_of(workspace, tree, id_)
    if run.key is not None:
        raise NotReadyError(_("this turn is being measured; begin a new one for other photos."))
    if len(run.photos) >= MOST_PHOTOS:
        raise out_of_range(_("photos of a turn"), str(MOST_PHOTOS + 1), _("up to {n}").format(n=MOST_PHOTOS))
    with upload.open("rb") as stream:
        suffix = photo_suffix(stream.read(1 << 16))
    if suffix is None:
        raise InputError(_("photo {path} is no JPEG, PNG, WebP or HEIC picture.").format(path=name or "?"))
    plain = _NAME.sub("-", Path(name.replace("\\", "/")).stem)[:60] or "photo"
    shutil.copyfile(upload, run.folder / "photos" / f"{len(run.photos) + 1:02}-{plain}.{suffix}")
    return run_told(workspace, tree, id_)


def turn_of_run(workspace: Workspace, run: Run, options: dict[str, Any] | None = None) -> Turn:
    """What a run measures.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    run : Run
        The run.
    options : dict, optional
        What was typed; those of the run by default.

    Returns
    -------
    Turn
        Checked.

    Raises
    ------
    InputError
        If a size does not read.
    """
    given = run.options if options is None else options
    typed: dict[str, Any] = {key: given.get(key) for key in _OPTIONS}
    counts = {key: count_of(key, typed[key]) for key in ("columns", "rows")}
    wish = TurntableWish(photos=run.photos, tree=run.tree, **(typed | counts))
    return turn_of(wish, workspace.facts_of(run.tree), stored_lenses(workspace.folder))


def prepare_run(workspace: Workspace, tree: str, id_: str, options: dict[str, Any]) -> Run:
    """Note what was typed, so that the worker can measure; nothing is measured yet.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree, id_ : str
        The run.
    options : dict
        square, columns, rows, row, soil, pot, rod as typed; blank or missing ones are not given.

    Returns
    -------
    Run
        With its key.

    Raises
    ------
    InputError
        If a size does not read or is needed, or there is no photo.
    """
    run = run_of(workspace, tree, id_)
    if not run.photos:
        raise InputError(_("choose the photos of the turn first."))
    given = {key: value for key, value in options.items() if key in _OPTIONS and value.strip()}
    turn = turn_of_run(workspace, run, given)
    _write(run.folder, {"tree": run.tree, "options": given, "key": turn.key})
    return run_of(workspace, tree, id_)


def measure_run(workspace: Workspace, tree: str, id_: str, progress: Progress) -> None:
    """Measure a run; called in the worker.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree, id_ : str
        The run.
    progress : callable
        Told the share done, and of what; it may stop the work.
    """
    run = run_of(workspace, tree, id_)
    run_turn(turn_of_run(workspace, run), workspace=workspace, progress=progress)


def result_of_run(workspace: Workspace, run: Run) -> TurnResult | None:
    """What a run measured.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    run : Run
        The run.

    Returns
    -------
    TurnResult or None
        None before it was measured.
    """
    if run.key is None:
        return None
    stored = workspace.store.result_get(run.key)
    return None if stored is None else result_from_json(json.loads(stored))


def run_told(workspace: Workspace, tree: str, id_: str) -> Shape:
    """A run as it stands: each photo with its verdict, and what was measured.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree, id_ : str
        The run.

    Returns
    -------
    dict
        As `faces/web/shapes/turntable.TurnRun`, without its job.
    """
    run = run_of(workspace, tree, id_)
    result = result_of_run(workspace, run)
    seen: dict[int, SeenPhoto] = {}
    if run.key is not None and result is None:
        seen = seen_so_far(turn_of_run(workspace, run), workspace)
    refused = {} if result is None else {each.name: each for each in result.refused}
    used = set() if result is None else {camera.name for camera in result.cameras}
    return {
        "run": run.id,
        "tree": run.tree,
        "begun": run.key is not None,
        "options": run.options,
        "photos": [
            _photo_told(number, path.name, seen.get(number), refused.get(path.name), path.name in used)
            for number, path in enumerate(run.photos)
        ],
        "lines": [] if result is None else list(turn_lines(result)),
        "measured": result is not None,
    }


def _photo_told(number: int, name: str, seen: SeenPhoto | None, refused: Refused | None, used: bool) -> Shape:
    from ringwise.structure.photo.refusal import refused_by_board, refused_by_light

    bad = refused
    if bad is None and seen is not None:
        bad = seen.refused
        if bad is None and seen.sight is not None:
            bad = refused_by_light(seen.sight) or refused_by_board(seen.sight)
    told = {
        "number": number + 1,
        "name": name[3:],
        "verdict": "waiting",
        "words": "",
        "way_out": "",
    }
    if bad is not None:
        return told | {"verdict": "left_out", "words": bad.why, "way_out": bad.way_out}
    if used:
        return told | {"verdict": "used"}
    if seen is not None and seen.sight is not None:
        words = _("{n} corners of the board, edges {width:.1f} px wide").format(
            n=len(seen.sight.ids), width=seen.sight.edge_px
        )
        return told | {"verdict": "read", "words": words}
    return told


def accept_run(workspace: Workspace, tree: str, id_: str) -> Shape:
    """Keep what a run measured, with its photos, as one step; the run's folder goes.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree, id_ : str
        The run.

    Returns
    -------
    dict
        As deeds are answered: action, id, line.

    Raises
    ------
    NotReadyError
        If nothing was measured yet.
    """
    from ringwise.desk.turntable_keep import keep_turn

    run = run_of(workspace, tree, id_)
    result = result_of_run(workspace, run)
    if result is None:
        raise NotReadyError(_("this turn is not measured yet."))
    facts = workspace.facts_of(run.tree)
    kept = keep_turn(workspace, facts, turn_of_run(workspace, run), result)
    shutil.rmtree(run.folder, ignore_errors=True)
    name = f"{facts.tree.id} {facts.tree.name}"
    line = _("kept for {tree}") if kept["action"] is not None else _("{tree} holds this turn already")
    return {"action": kept["action"], "id": kept["id"], "line": line.format(tree=name)}


def throw_away_run(workspace: Workspace, tree: str, id_: str) -> Shape:
    """Let a run go with its photos; the record never held it.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree, id_ : str
        The run.

    Returns
    -------
    dict
        As deeds are answered.
    """
    run = run_of(workspace, tree, id_)
    shutil.rmtree(run.folder)
    return {"action": None, "id": run.id, "line": _("the turn was thrown away; the record is as it was")}
