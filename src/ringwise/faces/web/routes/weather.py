"""Weather that is brought in as a file."""

from __future__ import annotations

from pathlib import PurePath
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.concurrency import run_in_threadpool

from ringwise.faces.web.contract import CHANGES, body_of
from ringwise.faces.web.shapes.base import Done
from ringwise.faces.web.uploads import WEATHER_MOST_BYTES, WEATHER_TYPES, received
from ringwise.faces.web.wishes import Desk, done

router = APIRouter(prefix="/api/weather", tags=["yard"])


@router.post(
    "",
    response_model=Done,
    responses=CHANGES,
    operation_id="importWeather",
    summary="Bring in weather",
    openapi_extra=body_of(WEATHER_TYPES, "A table of days; the file may come from any weather service."),
)
async def post_weather(
    desk: Desk,
    request: Request,
    name: Annotated[str, Query(max_length=255, description="Name of the file, to name the station by.")] = "",
) -> Any:
    """Take in the measured days of a weather station."""
    from ringwise.desk.weather_file import bring_weather

    async with received(request, desk.yard.folder, WEATHER_MOST_BYTES) as file:
        called = PurePath(name).name
        return done(await run_in_threadpool(lambda: desk(bring_weather, file, called)))
