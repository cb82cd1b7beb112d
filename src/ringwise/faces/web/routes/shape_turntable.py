"""A turn of photos under review: it comes in, is measured as long work, is kept or thrown away."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Path, Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import FileResponse

from ringwise.faces.web.contract import CHANGES, READS, Answers, body_of
from ringwise.faces.web.fresh import ASK_AGAIN
from ringwise.faces.web.routes.named import TreeName
from ringwise.faces.web.shapes.base import Done
from ringwise.faces.web.shapes.turntable import TurnOptions, TurnOverlay, TurnPage, TurnRun
from ringwise.faces.web.uploads import PHOTO_TYPES, PHOTOS_MOST_BYTES, received
from ringwise.faces.web.wishes import Desk, done

router = APIRouter(prefix="/api/trees/{tree}/shape/turntable", tags=["trees"])

RunId = Annotated[str, Path(pattern="^[0-9a-f]{32}$", description="Id of the turn.")]
Number = Annotated[int, Path(ge=1, le=99, description="Which photo, from 1.")]
Called = Annotated[str, Query(max_length=255, description="Name of the file.")]
_PICTURE: Answers = {200: {"description": "A small upright picture.", "content": {"image/jpeg": {}}}}


def _told(desk: Desk, tree: str, run: str) -> Any:
    from ringwise.desk.turntable_job import run_job
    from ringwise.desk.turntable_review import run_told

    return desk(run_told, tree, run) | {"job": desk(run_job, tree, run)}


@router.get(
    "", response_model=TurnPage, responses=READS, operation_id="openTurn", summary="Turn under review"
)
def get_open_turn(desk: Desk, tree: TreeName) -> Any:
    """The turn of a tree that is neither kept nor thrown away, to go on with it."""
    from ringwise.desk.turntable_review import open_run

    run = desk(open_run, tree)
    return {"run": None if run is None else _told(desk, tree, run)}


@router.post(
    "", response_model=TurnRun, responses=CHANGES, operation_id="beginTurn", summary="Begin a turn of photos"
)
def post_turn(desk: Desk, tree: TreeName) -> Any:
    """Begin a turn, without photos yet."""
    from ringwise.desk.turntable_review import new_run

    return _told(desk, tree, desk(new_run, tree)["run"])


@router.get(
    "/{run}", response_model=TurnRun, responses=READS, operation_id="turn", summary="A turn of photos"
)
def get_turn(desk: Desk, tree: TreeName, run: RunId) -> Any:
    """Each photo with its verdict as far as it was read, and what was measured."""
    return _told(desk, tree, run)


@router.post(
    "/{run}/photos",
    response_model=TurnRun,
    responses=CHANGES,
    operation_id="addTurnPhoto",
    summary="Add a photo to a turn",
    openapi_extra=body_of(PHOTO_TYPES, "The image as the camera made it."),
)
async def post_turn_photo(desk: Desk, tree: TreeName, run: RunId, request: Request, name: Called = "") -> Any:
    """Take a photo into a turn; it is not in the record."""
    from ringwise.desk.turntable_review import add_run_photo

    async with received(request, desk.yard.folder, PHOTOS_MOST_BYTES) as file:
        await run_in_threadpool(lambda: desk(add_run_photo, tree, run, file, name))
        return await run_in_threadpool(lambda: _told(desk, tree, run))


@router.post(
    "/{run}/measure",
    response_model=TurnRun,
    responses=CHANGES,
    operation_id="measureTurn",
    summary="Measure a turn of photos",
)
def post_measure(desk: Desk, tree: TreeName, run: RunId, options: Annotated[TurnOptions, Body()]) -> Any:
    """Measure as long work; asked again after it was stopped, it goes on from what was read."""
    from ringwise.desk.long_work import TURN
    from ringwise.desk.turntable_review import prepare_run

    prepared = desk(prepare_run, tree, run, options.model_dump())
    desk.work(lambda worker, how: worker.start_job(TURN, prepared.tree, how, prepared.id))
    return _told(desk, tree, run)


@router.get(
    "/{run}/photos/{number}.jpg",
    responses={**READS, **_PICTURE},
    response_class=FileResponse,
    operation_id="turnPicture",
    summary="Small picture of a turn",
)
def get_picture(desk: Desk, tree: TreeName, run: RunId, number: Number) -> Any:
    """A small upright picture of one photo."""
    from ringwise.desk.turntable_pictures import run_picture

    file = desk(run_picture, tree, run, number)
    kept = {"Cache-Control": ASK_AGAIN, "Content-Security-Policy": "default-src 'none'; sandbox"}
    return FileResponse(file, media_type="image/jpeg", headers=kept)


@router.get(
    "/{run}/photos/{number}/overlay",
    response_model=TurnOverlay,
    responses=READS,
    operation_id="turnOverlay",
    summary="The measured tree over a photo",
)
def get_overlay(desk: Desk, tree: TreeName, run: RunId, number: Number) -> Any:
    """The flanks of each branch as the camera of one photo would see them."""
    from ringwise.desk.turntable_pictures import run_overlay

    return desk(run_overlay, tree, run, number)


@router.post(
    "/{run}/accept", response_model=Done, responses=CHANGES, operation_id="keepTurn", summary="Keep a turn"
)
def post_accept(desk: Desk, tree: TreeName, run: RunId) -> Any:
    """Keep the measured tree with its photos, as one step."""
    from ringwise.desk.turntable_review import accept_run

    return done(desk(accept_run, tree, run))


@router.delete(
    "/{run}", response_model=Done, responses=CHANGES, operation_id="dropTurn", summary="Throw a turn away"
)
def delete_turn(desk: Desk, tree: TreeName, run: RunId) -> Any:
    """Throw a turn away with its photos; the record never held them."""
    from ringwise.desk.turntable_review import throw_away_run

    return done(desk(throw_away_run, tree, run))
