"""The weather room: what is stored, a file before and when it is brought in, how past forecasts did."""

from __future__ import annotations

from pathlib import PurePath
from typing import Annotated, Any

from fastapi import APIRouter, Body, Query, Request
from fastapi.concurrency import run_in_threadpool

from ringwise.faces.web.contract import CHANGES, READS, body_of
from ringwise.faces.web.fresh import NAMED
from ringwise.faces.web.routes.named import BenchName
from ringwise.faces.web.shapes.base import Done
from ringwise.faces.web.shapes.weather import (
    Calibration,
    Microsites,
    PlaceKindAsked,
    ReadingAsked,
    WeatherPreview,
    WeatherRoom,
)
from ringwise.faces.web.uploads import WEATHER_MOST_BYTES, WEATHER_TYPES, received
from ringwise.faces.web.wishes import Desk, done

router = APIRouter(prefix="/api", tags=["yard"])

FILE = body_of(WEATHER_TYPES, "A table of days; the file may come from any weather service.")
FileName = Annotated[str, Query(max_length=255, description="Name of the file, to name the station by.")]
Columns = Annotated[
    str,
    Query(
        max_length=8000,
        description="What its columns are, such as date=Day:DD.MM.YYYY,tmin_degC=Low:degF:missing=-99; "
        "blank to tell by the content.",
    ),
]


@router.get(
    "/weather",
    response_model=WeatherRoom,
    responses=READS,
    operation_id="weather",
    dependencies=NAMED,
    summary="The weather room",
)
def get_weather(desk: Desk) -> Any:
    """What stands under the windows, and what a table of weather can be mapped to."""
    from ringwise.desk.weather_room import weather_room

    return desk(weather_room)


@router.post(
    "/weather",
    response_model=Done,
    responses=CHANGES,
    operation_id="importWeather",
    summary="Bring in weather",
    openapi_extra=FILE,
)
async def post_weather(desk: Desk, request: Request, name: FileName = "", columns: Columns = "") -> Any:
    """Take in the measured days of a weather station."""
    from ringwise.desk.weather_file import bring_weather

    async with received(request, desk.yard.folder, WEATHER_MOST_BYTES) as file:
        called = PurePath(name).name
        return done(await run_in_threadpool(lambda: desk(bring_weather, file, called, columns)))


@router.post(
    "/weather/preview",
    response_model=WeatherPreview,
    responses=CHANGES,
    operation_id="previewWeather",
    summary="Look into a weather file",
    openapi_extra=FILE,
)
async def post_preview(desk: Desk, request: Request, name: FileName = "", columns: Columns = "") -> Any:
    """What a file would bring in; nothing is stored."""
    from ringwise.desk.weather_preview import preview_weather

    async with received(request, desk.yard.folder, WEATHER_MOST_BYTES) as file:
        called = PurePath(name).name or "weather.csv"
        return await run_in_threadpool(lambda: desk(preview_weather, file, called, columns))


@router.get(
    "/calibration",
    response_model=Calibration,
    responses=READS,
    operation_id="calibration",
    summary="How past forecasts did",
)
def get_calibration(
    desk: Desk,
    stage: Annotated[
        str, Query(max_length=10, description="Code of the stage to draw; blank: the one seen most.")
    ] = "",
    lead: Annotated[int, Query(ge=0, le=365, description="Days before it was seen: 0, 7, 14 or 30.")] = 14,
) -> Any:
    """Past forecasts against what was then seen; scoring them is work of its own, see POST /api/jobs."""
    from ringwise.desk.calibration_room import calibration_room

    return desk(calibration_room, code=stage, lead_days=lead)


@router.get(
    "/microsites",
    response_model=Microsites,
    responses=READS,
    operation_id="microsites",
    dependencies=NAMED,
    summary="Weather of the places",
)
def get_microsites(desk: Desk) -> Any:
    """Each place with its kind, its readings, and what they taught of its nights and days."""
    from ringwise.desk.places_room import places_room

    return desk(places_room)


@router.post(
    "/places/{name:path}/readings",
    response_model=Done,
    responses=CHANGES,
    operation_id="readPlace",
    summary="Write down a reading",
)
def post_reading(desk: Desk, name: BenchName, reading: Annotated[ReadingAsked, Body()]) -> Any:
    """What a min/max thermometer showed at a place."""
    from ringwise.desk.place_readings import ReadingGiven, record_reading

    return done(desk(record_reading, ReadingGiven(name, **reading.model_dump())))


@router.put(
    "/places/{name:path}/kind",
    response_model=Done,
    responses=CHANGES,
    operation_id="setPlaceKind",
    summary="State the kind of a place",
)
def put_kind(desk: Desk, name: BenchName, asked: Annotated[PlaceKindAsked, Body()]) -> Any:
    """What kind of place it is: its weather is told by that until readings say otherwise."""
    from ringwise.desk.microsites import set_microsite

    return done(desk(set_microsite, name, asked.kind))


@router.post(
    "/places/{name:path}/logger",
    response_model=Done,
    responses=CHANGES,
    operation_id="readLogger",
    summary="Take in the file of a logger",
    openapi_extra=body_of(WEATHER_TYPES, "A table of daily minima and maxima."),
)
async def post_logger(
    desk: Desk, request: Request, name: BenchName, file_name: FileName = "", columns: Columns = ""
) -> Any:
    """Take the daily minima and maxima of a logger's file as readings of a place."""
    from ringwise.desk.logger_file import ReadingsWish, import_readings

    async with received(request, desk.yard.folder, WEATHER_MOST_BYTES) as file:
        called = PurePath(file_name).name or "logger.csv"
        wish = ReadingsWish(name, file, columns or None, called)
        return done(await run_in_threadpool(lambda: desk(import_readings, wish)))
