"""Entries: what was seen, measured, done and planned; corrections and every stored state."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Query

from ringwise.faces.web.contract import CHANGES, READS
from ringwise.faces.web.fresh import NAMED
from ringwise.faces.web.routes.named import EntriesQuery, EntryId, TreeName
from ringwise.faces.web.shapes.base import Done
from ringwise.faces.web.shapes.trees import Entries, Entry, EntryChange, EntryGiven, History
from ringwise.faces.web.wishes import Desk, done

router = APIRouter(prefix="/api", tags=["entries"])


@router.get(
    "/trees/{tree}/entries",
    response_model=Entries,
    responses=READS,
    operation_id="entries",
    dependencies=NAMED,
    summary="Entries of a tree",
)
def get_entries(desk: Desk, tree: TreeName, query: Annotated[EntriesQuery, Query()]) -> Any:
    """Part of a tree's entries, newest first."""
    from ringwise.desk.tree_room import entries_page

    return desk(entries_page, tree, **query.model_dump())


@router.post(
    "/trees/{tree}/entries",
    response_model=Done,
    responses=CHANGES,
    operation_id="logEntry",
    summary="Write down",
)
def post_entry(desk: Desk, tree: TreeName, entry: Annotated[EntryGiven, Body()]) -> Any:
    """Write down an observation, a work, a plan, a question or a note."""
    from ringwise.desk.entries import log_entry
    from ringwise.desk.entry_reading import Given

    return done(desk(log_entry, tree, Given(**entry.model_dump())))


@router.get(
    "/entries/{entry}",
    response_model=Entry,
    responses=READS,
    operation_id="entry",
    dependencies=NAMED,
    summary="An entry",
)
def get_entry(desk: Desk, entry: EntryId) -> Any:
    """One entry as it reads now."""
    from ringwise.desk.entry_history import entry as entry_now

    return desk(entry_now, entry)


@router.patch(
    "/entries/{entry}",
    response_model=Done,
    responses=CHANGES,
    operation_id="changeEntry",
    summary="Correct an entry",
)
def patch_entry(desk: Desk, entry: EntryId, change: Annotated[EntryChange, Body()]) -> Any:
    """Correct an entry; the old wording stays in its history."""
    from ringwise.desk.entry_changes import change_entry
    from ringwise.desk.entry_reading import Given

    given = Given(**change.model_dump(exclude={"revision"}))
    return done(desk(change_entry, entry, given, revision=change.revision))


@router.delete(
    "/entries/{entry}",
    response_model=Done,
    responses=CHANGES,
    operation_id="withdrawEntry",
    summary="Withdraw an entry",
)
def delete_entry(
    desk: Desk,
    entry: EntryId,
    revision: Annotated[int, Query(ge=1, le=1_000_000, description="The revision that was seen.")],
) -> Any:
    """Withdraw an entry; it stays in the history."""
    from ringwise.desk.entry_changes import withdraw_entry

    return done(desk(withdraw_entry, entry, revision=revision))


@router.get(
    "/entries/{entry}/history",
    response_model=History,
    responses=READS,
    operation_id="entryHistory",
    dependencies=NAMED,
    summary="History of an entry",
)
def get_history(desk: Desk, entry: EntryId) -> Any:
    """Every stored state of an entry, newest first."""
    from ringwise.desk.entry_history import entry_history

    return desk(entry_history, entry)
