"""The room Futures of a tree: its courses, a run of them, what came of it."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Path

from ringwise.faces.web.contract import CHANGES, READS
from ringwise.faces.web.fresh import NAMED
from ringwise.faces.web.routes.named import TreeName
from ringwise.faces.web.shapes.base import Done, Job
from ringwise.faces.web.shapes.turning import (
    CourseTried,
    CourseTry,
    RunAsked,
    TurningDrawings,
    TurningResult,
    TurningRoom,
)
from ringwise.faces.web.shapes.weighed import AimsAsked
from ringwise.faces.web.wishes import Desk, done

router = APIRouter(prefix="/api/trees/{tree}/turning", tags=["trees"])

ResultName = Annotated[str, Path(pattern="^[0-9a-f]{16}$", description="Name of the result.")]
Letter = Annotated[str, Path(pattern="^[A-Z]$", description="Letter of the course.")]


@router.get(
    "", response_model=TurningRoom, responses=READS, operation_id="turning", summary="Turning of a tree"
)
def get_turning(desk: Desk, tree: TreeName) -> Any:
    """The open question, courses offered and own, what was run, decided and spent."""
    from ringwise.desk.turning_room import turning_room

    return desk(turning_room, tree)


@router.put("/aims", response_model=Done, responses=CHANGES, operation_id="setAims", summary="Set aims")
def put_aims(desk: Desk, tree: TreeName, asked: Annotated[AimsAsked, Body()]) -> Any:
    """Set what is aimed at with a tree; courses are weighed by it when they are run again."""
    from ringwise.desk.aims_room import AimsTyped, WishTyped, set_aims

    wishes = tuple(WishTyped(each.measure, each.weight, each.low, each.high) for each in asked.wishes)
    typed = AimsTyped(asked.set, wishes, (asked.early, asked.middle, asked.late), asked.revision)
    return done(desk(set_aims, tree, typed))


@router.post("/runs", response_model=Job, responses=CHANGES, operation_id="runTurning", summary="Run courses")
def post_run(desk: Desk, tree: TreeName, asked: Annotated[RunAsked, Body()]) -> Any:
    """Have courses lived many times; asked twice, it is done once."""
    from ringwise.desk.turning_kept import TurningWish

    wish = TurningWish(tuple(asked.courses), asked.futures, asked.years)
    return desk.work(lambda worker, how: worker.start_job("futures", tree, how, wish.text()))


@router.post(
    "/tried",
    response_model=CourseTried,
    responses=CHANGES,
    operation_id="courseTried",
    summary="Check a course",
)
def post_tried(desk: Desk, tree: TreeName, course: Annotated[CourseTry, Body()]) -> Any:
    """What a text says as a course, or what of it does not read; stores nothing."""
    from ringwise.desk.turning_room import course_tried

    return desk(course_tried, tree, course.text)


@router.get(
    "/results/{result}",
    response_model=TurningResult,
    responses=READS,
    operation_id="turningResult",
    dependencies=NAMED,
    summary="Result of a run",
)
def get_result(desk: Desk, tree: TreeName, result: ResultName) -> Any:
    """What came of a run, course by course."""
    from ringwise.desk.turning_kept import kept_result

    return desk(kept_result, tree, result)


@router.get(
    "/results/{result}/drawings/{course}",
    response_model=TurningDrawings,
    responses=READS,
    operation_id="turningDrawings",
    dependencies=NAMED,
    summary="Drawn futures of a course",
)
def get_drawings(desk: Desk, tree: TreeName, result: ResultName, course: Letter) -> Any:
    """Some futures of a course as outlines, each replayed from its seed."""
    from ringwise.desk.turning_kept import kept_drawings

    return desk(kept_drawings, tree, result, course)
