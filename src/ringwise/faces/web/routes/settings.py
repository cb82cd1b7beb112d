"""Settings of the yard."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body

from ringwise.faces.web.contract import CHANGES, READS
from ringwise.faces.web.fresh import NAMED
from ringwise.faces.web.shapes.base import Done
from ringwise.faces.web.shapes.yard import Settings, SettingsChange
from ringwise.faces.web.wishes import Desk, done

router = APIRouter(prefix="/api/settings", tags=["settings"])


@router.get(
    "",
    response_model=Settings,
    responses=READS,
    operation_id="settings",
    dependencies=NAMED,
    summary="Settings",
)
def get_settings(desk: Desk) -> Any:
    """What holds for the yard: place, people, language, units, climate."""
    from ringwise.desk.settings_room import settings_room

    return desk(settings_room)


@router.patch(
    "", response_model=Done, responses=CHANGES, operation_id="changeSettings", summary="Change settings"
)
def patch_settings(desk: Desk, change: Annotated[SettingsChange, Body()]) -> Any:
    """Change settings; what is left out stays."""
    from ringwise.desk.settings_room import change_settings

    return done(desk(change_settings, change.model_dump(exclude_none=True)))
