"""Wishes about the settings of a yard: what holds, and changing it; a bad value changes nothing."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import fields, replace
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.climate import SETTING, ClimateGiven, climate, describe_climate, stated_climate
from ringwise.desk.climate_guess import year_curve
from ringwise.desk.deeds import action
from ringwise.desk.head import weather_told
from ringwise.desk.place_setup import PlaceGiven, set_place
from ringwise.desk.settings import FILE_NAME, Settings, load_settings
from ringwise.desk.shapes import Shape, day_text
from ringwise.desk.weather_file import weather_lines
from ringwise.kit.errors import InputError, unknown_name
from ringwise.kit.reading import languages
from ringwise.kit.words import _
from ringwise.records.model import Withdrawn

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

_PLACE = tuple(field.name for field in fields(PlaceGiven))
_CLIMATE = ("coldest", "warmest", "last_frost", "first_frost")  # as typed; twelve normals come by command
_OWN_NAMES = {"en": "English", "de": "Deutsch"}  # never translated: whoever reads no other finds theirs


def settings_room(workspace: Workspace) -> Shape:
    """What holds for the yard: people, place, language, units, climate and weather.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict
        As the contract of the app has it.
    """
    settings = workspace.settings
    stated = climate(workspace)
    guess = stated["guess"] or {}
    weather, weather_shown = weather_told(workspace)
    return {
        "name": settings.name,
        "owner": settings.owner,
        "latitude_deg": settings.latitude_deg,
        "longitude_deg": settings.longitude_deg,
        "elevation_m": settings.elevation_m,
        "language": settings.language,
        "languages": [{"key": code, "words": _OWN_NAMES.get(code, code), "more": ""} for code in languages()],
        "units": settings.units,
        "today": day_text(settings.today),
        "coldest_month_degC": stated["coldest_month_degC"],
        "warmest_month_degC": stated["warmest_month_degC"],
        "coldest_shown": stated["coldest_shown"],
        "warmest_shown": stated["warmest_shown"],
        "months": stated["months"],
        "guess_coldest_shown": guess.get("coldest_shown", ""),
        "guess_warmest_shown": guess.get("warmest_shown", ""),
        "guess_line": guess.get("line", ""),
        "described": {name: str((stated["typed"] or {}).get(name, "")) for name in _CLIMATE},
        "contradictions": stated["contradictions"],
        "curve": year_curve(),
        "weather": weather,
        "weather_shown": weather_shown,
        "weather_lines": weather_lines(workspace),
        "folder": str(workspace.folder),
    }


def _tried(workspace: Workspace, given: PlaceGiven) -> Settings:
    """The settings as they would be, tried on a copy of the file so that a fault spares the real one."""
    with tempfile.TemporaryDirectory() as scratch:
        copy = Path(scratch)
        if (workspace.folder / FILE_NAME).is_file():
            shutil.copy(workspace.folder / FILE_NAME, copy / FILE_NAME)
        set_place(replace(workspace, folder=copy), given)
        return load_settings(copy)


def _climate_given(workspace: Workspace, change: Mapping[str, str]) -> ClimateGiven | None:
    """The description with what was typed now; None where both means were cleared.

    Twelve normals stay as long as the two means are left as they are: another mean is another description.
    A frost day that is typed now cannot be kept without the means: it is then read, and refused with them.
    """
    typed = climate(workspace)["typed"] or {}
    kept = {name: str(typed.get(name, "")).strip() for name in _CLIMATE}
    texts = kept | {name: change[name].strip() for name in _CLIMATE if name in change}
    new_day = any(texts[name] not in ("", kept[name]) for name in ("last_frost", "first_frost"))
    if not texts["coldest"] and not texts["warmest"] and not new_day:
        return None
    words = stated_climate(workspace)
    same = all(texts[name] == kept[name] for name in ("coldest", "warmest"))
    return ClimateGiven(**texts, normals=words.normals if words is not None and same else None)


def _describe(workspace: Workspace, given: ClimateGiven | None) -> Shape | None:
    if given is not None:
        return describe_climate(workspace, given)
    if SETTING not in workspace.store.settings():
        return None
    saved = workspace.store.save(action(workspace, None, "weather describe"), [Withdrawn("setting", SETTING)])
    return {"action": saved, "line": _("the description of the climate is taken out")}


def change_settings(workspace: Workspace, change: Mapping[str, str]) -> Shape:
    """Change settings; what is left out stays, a blank clears.

    Parameters
    ----------
    workspace : Workspace
        The collection. Open it again to see the change.
    change : mapping of str to str
        Fields of `PlaceGiven` and `ClimateGiven`, as typed.

    Returns
    -------
    dict
        Keys action (of the description of the climate; None where only the file changed), line and id.

    Raises
    ------
    InputError
        If a value does not read, is out of range or unknown; nothing changes then.
    """
    for name in change:
        if name not in (*_PLACE, *_CLIMATE):
            raise unknown_name(_("setting"), name, [*_PLACE, *_CLIMATE])
    place = {name: change[name] for name in _PLACE if name in change}
    spoken = any(name in change for name in _CLIMATE)
    if not place and not spoken:
        raise InputError(_("nothing to change; name a setting"))
    given = PlaceGiven(**place)
    settings = _tried(workspace, given) if place else workspace.settings
    lines: list[str] = []
    described = None
    if spoken:
        there = replace(workspace, settings=settings)
        described = _describe(there, _climate_given(there, change))
        if described is not None:
            lines.append(str(described["line"]))
    if place:
        lines.insert(0, str(set_place(workspace, given)["line"]))
    return {
        "action": None if described is None else described["action"],
        "line": "; ".join(lines) or _("nothing was described yet"),
        "id": None,
    }
