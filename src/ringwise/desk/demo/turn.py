"""The demo's turn of pictures: rendered, not photographed, of one of its trees, with where each was taken.

The pictures and their cameras lie in `data/turntable`, made by a script of the tests from an invented tree;
`tree.json` and `quality.json` are what the command `measure turntable` made of them. They are shipped so that
building the demo yard does not wait for the measuring, which anybody may run again on the same pictures.
"""

from __future__ import annotations

import json
import shutil
import uuid
from dataclasses import replace
from importlib import resources
from pathlib import Path

from ringwise.desk.deeds import DEMO_COMMAND
from ringwise.desk.photos import PhotoGiven, photo_entry
from ringwise.desk.structures import ShapeGiven, keep_structure
from ringwise.desk.workspace import Workspace
from ringwise.records.dates import parse_fuzzy_date
from ringwise.structure.exchange.tree_json import tree_from_json

TREE = "T39"
DAY = "2027-02-20"
CAMERAS = "cameras.json"
NOTE = "Invented: rendered by a computer, not photographed."
_SIDES = {
    "rendered_01.jpg": "front",
    "rendered_03.jpg": "right",
    "rendered_05.jpg": "back",
    "rendered_07.jpg": "left",
}
_MEASURED = ("tree.json", "quality.json")


def _folder() -> Path:
    with resources.as_file(resources.files("ringwise.desk.demo") / "data" / "turntable") as folder:
        return folder


def copy_turn(target: Path) -> Path:
    """The pictures and their cameras in a folder of their own, to run the command on.

    Parameters
    ----------
    target : Path
        Made where it is not there.

    Returns
    -------
    Path
        The file of the cameras, beside the pictures.
    """
    target.mkdir(parents=True, exist_ok=True)
    for file in sorted(_folder().iterdir()):
        if file.is_file() and file.name not in _MEASURED:
            shutil.copyfile(file, target / file.name)
    return target / CAMERAS


def keep_demo_turn(workspace: Workspace) -> bool:
    """Keep the measured tree with the pictures of its four sides, unless the yard holds it.

    Parameters
    ----------
    workspace : Workspace
        The demo yard with its trees.

    Returns
    -------
    bool
        Whether it was stored now.
    """
    if workspace.store.entries(tree=TREE, kind="shape"):
        return False
    folder = _folder()
    views = {
        view["image"]: view
        for view in json.loads((folder / CAMERAS).read_text(encoding="utf-8"))["views"]
        if view["image"] in _SIDES
    }
    entries, ids = [], {}
    for name, side in _SIDES.items():
        given = PhotoGiven(view=side, date=DAY, note=NOTE, original_name=name)
        entry = replace(
            photo_entry(workspace, workspace.tree(TREE), folder / name, given), id=uuid.uuid4().hex
        )
        entries.append(entry)
        ids[name] = entry.id
    measured = tree_from_json(json.loads((folder / "tree.json").read_text(encoding="utf-8")))
    given_shape = ShapeGiven(
        source="turntable",
        quality=json.loads((folder / "quality.json").read_text(encoding="utf-8")),
        photos=list(ids.values()),
        views=[
            {"photo": ids[name], **{key: view[key] for key in ("K", "R", "t", "k1")}}
            for name, view in views.items()
        ],
        on=parse_fuzzy_date(DAY, field="date"),
        note=NOTE,
        command=DEMO_COMMAND,  # part of the yard's building, which is not taken back
        with_entries=entries,
    )
    keep_structure(workspace, workspace.facts_of(TREE), measured, given_shape)
    return True
