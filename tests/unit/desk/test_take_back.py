"""Taking back: the step that is meant and no other; the demo yard is not emptied by a tap."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringwise.desk.build_demo import build_demo
from ringwise.desk.deeds import undo_step
from ringwise.desk.entries import Given, log_entry, undo_last
from ringwise.desk.head import head
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import open_workspace
from ringwise.kit.errors import ConflictError, NotFoundError


def test_another_step_that_came_since_is_not_taken_back_instead(tmp_path: Path) -> None:
    workspace = open_workspace(tmp_path / "yard", on="2027-03-07")
    add_tree(workspace, NewTree("Reed", "Acer palmatum"))
    meant = log_entry(workspace, "T01", Given(("vigour", "4")))["action"]
    log_entry(workspace, "T01", Given(("note", "written in another tab")))
    with pytest.raises(ConflictError, match="meanwhile"):
        undo_last(workspace, expected=meant)
    kinds = [entry.kind for entry in workspace.store.entries()]
    assert sorted(kinds) == ["note", "vigour"]
    latest = undo_step(workspace)
    assert latest is not None
    assert undo_last(workspace, expected=latest[0])["undone"] == latest[0]
    assert [entry.kind for entry in workspace.store.entries()] == ["vigour"]


def test_the_head_names_the_step_that_it_would_take_back(tmp_path: Path) -> None:
    workspace = open_workspace(tmp_path / "yard", on="2027-03-07")
    assert head(workspace)["undo_step"] is None
    saved = add_tree(workspace, NewTree("Reed", "Acer palmatum"))["action"]
    told = head(open_workspace(tmp_path / "yard", on="2027-03-07"))
    assert told["undo_step"] == saved
    assert told["undo"]


def test_the_demo_yard_is_not_taken_back(tmp_path: Path) -> None:
    workspace = build_demo(tmp_path / "demo")
    trees = len(workspace.store.trees())
    assert undo_step(workspace) is None
    with pytest.raises(NotFoundError):
        undo_last(workspace)
    log_entry(workspace, "T21", Given(("note", "mine")))
    undo_last(workspace)
    with pytest.raises(NotFoundError):
        undo_last(workspace)
    assert len(workspace.store.trees()) == trees
