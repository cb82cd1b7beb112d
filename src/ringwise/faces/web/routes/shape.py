"""The Shape room of a tree: its measures, its mesh, and its drawing where nothing is drawn in space."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request, Response
from pydantic import Field

from ringwise.faces.web.contract import READS, Answers
from ringwise.faces.web.fresh import ASK_AGAIN, NAMED
from ringwise.faces.web.routes.named import ShapeQuery, TreeName
from ringwise.faces.web.routes.yard import FOR_EVER
from ringwise.faces.web.shapes.shape import ShapeRoom
from ringwise.faces.web.wishes import Desk

router = APIRouter(prefix="/api", tags=["trees"])

GLB = "model/gltf-binary"
SVG = "image/svg+xml"
_MESH: Answers = {200: {"description": "Binary glTF 2.0.", "content": {GLB: {}}}}
_DRAWING: Answers = {200: {"description": "A line drawing.", "content": {SVG: {}}}}


class MeshQuery(ShapeQuery):
    """Which mesh of a tree."""

    detail: Literal["light", "full"] = Field(
        default="full", description="light: few sides, twigs as lines, while it moves; full: all of it."
    )
    mark: str = Field(
        default="", pattern="^[0-9a-f]{0,64}$", description="Its name; then the answer may be kept for ever."
    )


class DrawingQuery(ShapeQuery):
    """Which drawing of a tree."""

    clock: float = Field(
        default=6, ge=0, le=12, allow_inf_nan=False, description="From where; 6 is the front, 3 the right."
    )
    elevation_deg: float = Field(
        default=0, ge=-30, le=90, allow_inf_nan=False, description="Above the level; 90 from above."
    )
    cut_mm: float | None = Field(
        default=None,
        ge=0,
        le=100_000,
        allow_inf_nan=False,
        description="Height of a cut through the trunk; what would come off is dashed.",
    )


@router.get(
    "/trees/{tree}/shape",
    response_model=ShapeRoom,
    responses=READS,
    operation_id="shape",
    dependencies=NAMED,
    summary="Shape of a tree",
)
def get_shape(desk: Desk, tree: TreeName, query: Annotated[ShapeQuery, Query()]) -> Any:
    """A tree as it was measured last up to a day: measures with spreads, branches, what a cut would part."""
    from ringwise.desk.shape_room import shape_room

    return desk(shape_room, tree, query.on, query.which)


@router.get(
    "/trees/{tree}/shape/mesh",
    responses={**READS, **_MESH},
    response_class=Response,
    operation_id="shapeMesh",
    summary="Mesh of a tree",
)
def get_mesh(desk: Desk, tree: TreeName, query: Annotated[MeshQuery, Query()], request: Request) -> Any:
    """The wood as a binary glTF file, each corner with the row of its segment; named, it never changes."""
    from ringwise.desk.shape_tree import mesh_mark, shape_mesh, tree_at

    measured = desk(tree_at, tree, query.on, query.which)
    mark = mesh_mark(measured, query.detail)
    answers = request.app.state.answers
    body = answers.get(f"mesh {mark}")
    if body is None:
        body = shape_mesh(measured, query.detail)
        answers.put(f"mesh {mark}", body)
    keep = FOR_EVER if query.mark == mark else ASK_AGAIN
    return Response(body, media_type=GLB, headers={"Cache-Control": keep, "ETag": f'"{mark}"'})


@router.get(
    "/trees/{tree}/shape/drawing",
    responses={**READS, **_DRAWING},
    response_class=Response,
    operation_id="shapeDrawing",
    dependencies=NAMED,
    summary="Line drawing of a tree",
)
def get_drawing(desk: Desk, tree: TreeName, query: Annotated[DrawingQuery, Query()]) -> Any:
    """The tree as a line drawing from any side, with its dimensions; before and after a cut in one."""
    from ringwise.desk.shape_tree import DrawingWish, shape_drawing

    text = desk(shape_drawing, tree, DrawingWish(**query.model_dump()))
    # the drawing's own style is all that it may use
    policy = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; sandbox"}
    return Response(text, media_type=SVG, headers=policy)
