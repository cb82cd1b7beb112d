"""The tape's form in the Shape room: what it begins with, a drawing while it is typed, storing it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

from fastapi import APIRouter, Body

from ringwise.faces.web.contract import CHANGES, READS
from ringwise.faces.web.fresh import NAMED
from ringwise.faces.web.routes.named import TreeName
from ringwise.faces.web.shapes.base import Done
from ringwise.faces.web.shapes.tape import TapeAsked, TapePage, TapeSent, TapeTried, TapeTry
from ringwise.faces.web.wishes import Desk, done

if TYPE_CHECKING:
    from ringwise.desk.tape_typed import TapeGiven

router = APIRouter(prefix="/api", tags=["trees"])


@router.get(
    "/trees/{tree}/shape/tape",
    response_model=TapePage,
    responses=READS,
    operation_id="tape",
    dependencies=NAMED,
    summary="Last tape of a tree",
)
def get_tape(desk: Desk, tree: TreeName) -> Any:
    """The last tape of a tree, to begin the next from."""
    from ringwise.desk.tape_form import tape_page

    return desk(tape_page, tree)


@router.post(
    "/trees/{tree}/shape/tape/tried",
    response_model=TapeTried,
    responses=CHANGES,
    operation_id="tapeTried",
    summary="Draw a tape",
)
def post_tried(desk: Desk, tree: TreeName, tape: Annotated[TapeTry, Body()]) -> Any:
    """A tree from what is typed so far, as a line drawing; stores nothing."""
    from ringwise.desk.tape_form import tape_tried

    return desk(tape_tried, tree, _given(tape), tape.clock, tape.which)


@router.post(
    "/trees/{tree}/shape/tape",
    response_model=Done,
    responses=CHANGES,
    operation_id="storeTape",
    summary="Store a tape",
)
def post_tape(desk: Desk, tree: TreeName, tape: Annotated[TapeSent, Body()]) -> Any:
    """Store a tape as one entry that can be taken back."""
    from ringwise.desk.tape_form import store_tape

    given = _given(tape)
    return done(desk(store_tape, tree, given, key=tape.key, date=tape.date, note=tape.note, by=tape.by))


def _given(tape: TapeAsked) -> TapeGiven:
    from ringwise.desk.tape_typed import BranchGiven, GirthGiven, TapeGiven

    return TapeGiven(
        tape.height,
        tuple(GirthGiven(each.girth, each.at) for each in tape.girths),
        tuple(BranchGiven(**each.model_dump()) for each in tape.branches),
        tape.apex_tips,
        tape.lean,
        tape.lean_clock,
        tuple(tape.roots),
    )
