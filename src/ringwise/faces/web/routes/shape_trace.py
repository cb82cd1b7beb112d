"""The tracing table: edges while somebody clicks, the tree the clicks make, and keeping it."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body

from ringwise.faces.web.contract import CHANGES, READS
from ringwise.faces.web.fresh import NAMED
from ringwise.faces.web.routes.named import TreeName
from ringwise.faces.web.shapes.base import Done
from ringwise.faces.web.shapes.trace import TraceClicks, TraceDraft, TraceEdges, TraceEdgesAsked, TracePage
from ringwise.faces.web.wishes import Desk, done

router = APIRouter(prefix="/api", tags=["trees"])


@router.get(
    "/trees/{tree}/shape/trace",
    response_model=TracePage,
    responses=READS,
    operation_id="trace",
    dependencies=NAMED,
    summary="Last trace of a tree",
)
def get_trace(desk: Desk, tree: TreeName) -> Any:
    """The clicks of the last kept trace, to be corrected."""
    from ringwise.desk.tracing import kept_trace

    return desk(kept_trace, tree)


@router.post(
    "/trees/{tree}/shape/trace/edges",
    response_model=TraceEdges,
    responses=CHANGES,
    operation_id="traceEdges",
    summary="Edges of traced branches",
)
def post_edges(desk: Desk, tree: TreeName, clicks: Annotated[TraceEdgesAsked, Body()]) -> Any:
    """The edges that are found along the clicks on one photo; nothing is kept."""
    from ringwise.desk.tracing import trace_edges

    return desk(trace_edges, tree, clicks.points(), clicks.given(), clicks.view)


@router.post(
    "/trees/{tree}/shape/trace/draft",
    response_model=TraceDraft,
    responses=CHANGES,
    operation_id="traceDraft",
    summary="Tree that clicks make",
)
def post_draft(desk: Desk, tree: TreeName, clicks: Annotated[TraceClicks, Body()]) -> Any:
    """The tree that the clicks make so far; nothing is kept."""
    from ringwise.desk.tracing import trace_draft

    return desk(trace_draft, tree, clicks.points(), clicks.given())


@router.post(
    "/trees/{tree}/shape/trace",
    response_model=Done,
    responses=CHANGES,
    operation_id="keepTrace",
    summary="Keep a traced tree",
)
def post_trace(desk: Desk, tree: TreeName, clicks: Annotated[TraceClicks, Body()]) -> Any:
    """Measure the tree on its traced photos and keep it as its latest shape."""
    from ringwise.desk.tracing import keep_trace

    return done(desk(keep_trace, tree, clicks.points(), clicks.given()).data)
