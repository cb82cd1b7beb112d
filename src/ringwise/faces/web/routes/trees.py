"""Trees: the list, a tree's room, its dial, its sheet."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Query

from ringwise.faces.web.contract import CHANGES, READS
from ringwise.faces.web.fresh import NAMED
from ringwise.faces.web.routes.named import ListQuery, TreeName
from ringwise.faces.web.shapes.base import Done
from ringwise.faces.web.shapes.dial import Dial
from ringwise.faces.web.shapes.season import SeasonLine
from ringwise.faces.web.shapes.trees import (
    History,
    LogChoices,
    Retired,
    TreeChange,
    TreeGiven,
    TreeList,
    TreePage,
)
from ringwise.faces.web.wishes import Desk, done

router = APIRouter(prefix="/api/trees", tags=["trees"])


@router.get(
    "",
    response_model=TreeList,
    responses=READS,
    operation_id="trees",
    dependencies=NAMED,
    summary="List of trees",
)
def get_trees(desk: Desk, query: Annotated[ListQuery, Query()]) -> Any:
    """Part of the list of trees, filtered and sorted."""
    from ringwise.desk.tree_list import ListWish, tree_list

    return desk(tree_list, ListWish(**query.model_dump()))


@router.post("", response_model=Done, responses=CHANGES, operation_id="addTree", summary="Add a tree")
def post_tree(desk: Desk, tree: Annotated[TreeGiven, Body()]) -> Any:
    """A new tree; only its name and species need be known."""
    from ringwise.desk.trees import NewTree, add_tree

    return done(desk(add_tree, NewTree(**tree.model_dump())))


@router.get(
    "/{tree}",
    response_model=TreePage,
    responses=READS,
    operation_id="tree",
    dependencies=NAMED,
    summary="Room of a tree",
)
def get_tree(desk: Desk, tree: TreeName) -> Any:
    """The room of one tree: its sheet, facts, windows, tasks and latest entries."""
    from ringwise.desk.tree_room import tree_room

    return desk(tree_room, tree)


@router.patch(
    "/{tree}", response_model=Done, responses=CHANGES, operation_id="editTree", summary="Correct a sheet"
)
def patch_tree(desk: Desk, tree: TreeName, change: Annotated[TreeChange, Body()]) -> Any:
    """Correct fields of a tree's sheet; the old wording stays in the history."""
    from ringwise.desk.trees import edit_tree

    given = change.model_dump(exclude={"revision"}, exclude_none=True)
    return done(desk(edit_tree, tree, given, revision=change.revision))


@router.post(
    "/{tree}/retire", response_model=Done, responses=CHANGES, operation_id="retire", summary="Retire a tree"
)
def post_retire(desk: Desk, tree: TreeName, retired: Annotated[Retired, Body()]) -> Any:
    """Take a tree out of the collection; its record stays."""
    from ringwise.desk.trees import retire_tree

    return done(desk(retire_tree, tree, retired.reason))


@router.get(
    "/{tree}/history",
    response_model=History,
    responses=READS,
    operation_id="sheetHistory",
    dependencies=NAMED,
    summary="History of a sheet",
)
def get_history(desk: Desk, tree: TreeName) -> Any:
    """Every stored state of a tree's sheet, newest first."""
    from ringwise.desk.entry_history import sheet_history

    return desk(sheet_history, tree)


@router.get(
    "/{tree}/dial", response_model=Dial, responses=READS, operation_id="dial", summary="Dial of a tree"
)
def get_dial(desk: Desk, tree: TreeName) -> Any:
    """Everything that the ring dial of a tree draws."""
    from ringwise.desk.almanac_views import dial_room

    return desk(dial_room, tree)


@router.get(
    "/{tree}/season",
    response_model=SeasonLine,
    responses=READS,
    operation_id="season",
    dependencies=NAMED,
    summary="Season line of a tree",
)
def get_season(desk: Desk, tree: TreeName) -> Any:
    """The growing year of a tree: stages, and when each work is likely to be open."""
    from ringwise.desk.season_line import season_line

    return desk(season_line, tree)


@router.get(
    "/{tree}/choices",
    response_model=LogChoices,
    responses=READS,
    operation_id="choices",
    dependencies=NAMED,
    summary="What can be logged",
)
def get_choices(desk: Desk, tree: TreeName) -> Any:
    """What can be logged on a tree, with what the app needs for each."""
    from ringwise.desk.log_choices import log_choices

    return desk(log_choices, tree)
