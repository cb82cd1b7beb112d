"""The stream of events: what changed in the record, the almanac, long work."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response, StreamingResponse

from ringwise.faces.web.contract import READS, Answers
from ringwise.faces.web.events import EventStream
from ringwise.faces.web.trouble import trouble
from ringwise.faces.web.wishes import Desk
from ringwise.kit.words import _

router = APIRouter(prefix="/api/events", tags=["work"])

_STREAM: Answers = {
    200: {
        "description": "Events: `change` and `almanac` with {stamp}, `job` with a Job.",
        "content": {"text/event-stream": {"schema": {"type": "string"}}},
    },
    423: {**READS[423], "description": "Too many streams are open; close a tab of the app."},
}


@router.get(
    "",
    responses={**READS, **_STREAM},
    response_class=StreamingResponse,
    operation_id="events",
    summary="Stream of events",
)
async def get_events(desk: Desk, request: Request) -> Response:
    """Tells when the record rose, a newer almanac is there, or long work went on."""
    hub = request.app.state.events
    if hub.is_full:
        return trouble(423, "locked", _("too many tabs of the app are open; close one"))
    return StreamingResponse(
        EventStream(hub, desk).texts(), media_type="text/event-stream", headers={"Cache-Control": "no-store"}
    )
