"""The whole yard: its head, today's page, the plan, the steps, whys, what a search line finds."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Query, Response

from ringwise.faces.web.contract import CHANGES, READS
from ringwise.faces.web.fresh import NAMED
from ringwise.faces.web.routes.named import BenchName, Typed
from ringwise.faces.web.shapes.base import Done, Head, Why
from ringwise.faces.web.shapes.yard import (
    BenchGiven,
    Figures,
    Hits,
    Move,
    Plan,
    SpeciesList,
    Steps,
    Today,
)
from ringwise.faces.web.wishes import Desk, done
from ringwise.kit.errors import InputError
from ringwise.kit.words import _

router = APIRouter(prefix="/api", tags=["yard"])

FOR_EVER = "private, max-age=31536000, immutable"


@router.get(
    "/head",
    response_model=Head,
    responses=READS,
    operation_id="head",
    dependencies=NAMED,
    summary="Title block",
)
def get_head(desk: Desk) -> Any:
    """What the title block shows, the stamp of the record and the state of the almanac."""
    from ringwise.desk.head import head

    return desk(head)


@router.get(
    "/today",
    response_model=Today,
    responses=READS,
    operation_id="today",
    dependencies=NAMED,
    summary="Today's page",
)
def get_today(desk: Desk) -> Any:
    """What needs the grower, what is left alone and why, planned works that collide, the weather strip."""
    from ringwise.desk.today_sheet import today_sheet

    return desk(today_sheet)


@router.get(
    "/yard",
    response_model=Plan,
    responses=READS,
    operation_id="plan",
    dependencies=NAMED,
    summary="The yard in plan",
)
def get_plan(desk: Desk) -> Any:
    """Benches and spots seen from above."""
    from ringwise.desk.almanac_views import plan_room

    return desk(plan_room)


@router.get(
    "/figures", response_model=Figures, responses=READS, operation_id="figures", summary="Silhouettes"
)
def get_figures(
    desk: Desk,
    response: Response,
    keys: Annotated[
        str, Query(min_length=1, max_length=40_000, description="Keys of figures, set apart by commas.")
    ],
) -> Any:
    """Silhouettes by their keys; a key names what it was drawn from, so that they never change.

    Drawing takes time: those that are not ready within a moment are named in `more`, to be asked for again.
    """
    from ringwise.desk.figures import figures

    asked = [key for key in keys.split(",") if key]
    answer = desk(figures, asked)
    # A name that no tree has now may be that of one again after an undo: only a whole answer is kept.
    is_whole = {figure["key"] for figure in answer["figures"]} == set(asked)
    response.headers["Cache-Control"] = FOR_EVER if is_whole else "no-store"
    return answer


@router.post("/yard/move", response_model=Done, responses=CHANGES, operation_id="move", summary="Carry trees")
def post_move(desk: Desk, move: Annotated[Move, Body()]) -> Any:
    """Carry trees to a place and set their spots; all of it is one step."""
    from ringwise.desk.moving import MoveWish, move_trees

    return done(desk(move_trees, MoveWish(tuple(move.trees), move.place, move.spots, move.date)))


@router.put(
    "/yard/benches/{name:path}",
    response_model=Done,
    responses=CHANGES,
    operation_id="placeBench",
    summary="Place a bench",
)
def put_bench(desk: Desk, name: BenchName, bench: Annotated[BenchGiven, Body()]) -> Any:
    """Where a bench stands in the plan and how large it is; a new name makes a new bench."""
    from ringwise.desk.moving import BenchWish, place_bench

    if bench.name != name:
        raise InputError(_("the body names another bench than the address; give the same name"))
    return done(desk(place_bench, BenchWish(**bench.model_dump())))


@router.get(
    "/steps",
    response_model=Steps,
    responses=READS,
    operation_id="steps",
    dependencies=NAMED,
    summary="Latest steps",
)
def get_steps(
    desk: Desk, limit: Annotated[int, Query(ge=1, le=500, description="How many at most.")] = 50
) -> Any:
    """The latest steps of the record, newest first."""
    from ringwise.desk.steps import steps

    return desk(steps, limit=limit)


@router.post("/undo", response_model=Done, responses=CHANGES, operation_id="undo", summary="Take back")
def post_undo(
    desk: Desk,
    step: Annotated[
        int | None,
        Query(ge=1, le=2**53, description="The step that is meant; 409 where another came since."),
    ] = None,
) -> Any:
    """Take back the latest step; again for the one before."""
    from ringwise.desk.entries import undo_last

    return done(desk(undo_last, expected=step))


@router.get("/why", response_model=Why, responses=READS, operation_id="why", summary="Why")
def get_why(
    desk: Desk, of: Annotated[str, Query(min_length=1, max_length=200, description="Name of a why.")]
) -> Any:
    """The chain from a shown number to its inputs, formula and sources."""
    return desk.work(lambda worker, how: worker.why(of, how))


@router.get(
    "/goto", response_model=Hits, responses=READS, operation_id="goto", dependencies=NAMED, summary="Go to"
)
def get_goto(desk: Desk, q: Typed = "") -> Any:
    """Trees, benches and rooms that a search line finds."""
    from ringwise.desk.goto import goto

    return desk(goto, q)


@router.get(
    "/species",
    response_model=SpeciesList,
    responses=READS,
    operation_id="species",
    dependencies=NAMED,
    summary="Find a species",
)
def get_species(desk: Desk, q: Typed = "") -> Any:
    """Species whose names match, nearest first."""
    from ringwise.desk.goto import species

    return desk(species, q)
