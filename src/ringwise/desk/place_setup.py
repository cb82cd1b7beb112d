"""Wishes of the first steps: write down where the yard is, and tell what a newcomer needs next."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk.settings import FILE_NAME, write_settings
from ringwise.desk.shapes import Shape
from ringwise.desk.texts import one_line
from ringwise.desk.weather_under import weather_state
from ringwise.kit.errors import FileFormatError, InputError, at_field, out_of_range
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.durable import folder_held

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

LATITUDE_LETTERS, LONGITUDE_LETTERS = "NS", "EW"
MOST_LATITUDE_DEG, MOST_LONGITUDE_DEG = 90.0, 180.0
_MARKS = re.compile(r"[°º'’′\"”″]|\bdeg\b", re.IGNORECASE)
_NUMBERS = re.compile(r"([+-]?)(\d+(?:\.\d+)?)(?: (\d+(?:\.\d+)?))?(?: (\d+(?:\.\d+)?))?")
_LETTER = re.compile(r"^([NSEWnsew])\s*(.+)$|^(.+?)\s*([NSEWnsew])$")


@dataclass(frozen=True)
class PlaceGiven:
    """What was typed of a place; what is None stays as it is, a blank clears."""

    name: str | None = None
    owner: str | None = None
    latitude: str | None = None
    longitude: str | None = None
    elevation: str | None = None
    units: str | None = None
    language: str | None = None


def set_place(workspace: Workspace, given: PlaceGiven) -> Shape:
    """Write name, owner, place, units and language into `collection.toml`; all else in it stays.

    Parameters
    ----------
    workspace : Workspace
        The collection. Open it again to see the change: its settings were read when it was opened.
    given : PlaceGiven
        As typed.

    Returns
    -------
    dict
        Keys changed (setting: value), action (None: the file is not part of the record) and line.

    Raises
    ------
    InputError
        If a value does not read or is out of range; the file stays as it was.
    """
    changed = _changes(given)
    if not changed:
        raise InputError(_("nothing to change; give at least one of name, owner, latitude, units"))
    with folder_held(workspace.folder):  # two changes at once: the second builds on the first
        values = _written(workspace)
        for name, value in changed.items():
            if value is None:
                values.pop(name, None)
            else:
                values[name] = value
        write_settings(workspace.folder, values)
    return {
        "changed": changed,
        "action": None,
        "line": _("settings written: {names}").format(names=_named(changed)),
    }


def _changes(given: PlaceGiven) -> dict[str, object]:
    changed: dict[str, object] = {}
    for name in ("name", "owner", "units", "language"):
        text = getattr(given, name)
        if text is not None:
            with at_field(name):
                changed[name] = _plain(text, name) or None
    for name, text, letters, most_deg in (
        ("latitude_deg", given.latitude, LATITUDE_LETTERS, MOST_LATITUDE_DEG),
        ("longitude_deg", given.longitude, LONGITUDE_LETTERS, MOST_LONGITUDE_DEG),
    ):
        if text is not None:
            field = _("latitude") if name == "latitude_deg" else _("longitude")
            with at_field(name.removesuffix("_deg")):
                changed[name] = (
                    read_angle(text, field=field, letters=letters, most_deg=most_deg)
                    if text.strip()
                    else None
                )
    if (typed := given.elevation) is not None:
        with at_field("elevation"):
            changed["elevation_m"] = (
                parse_quantity(typed, "elevation", field=_("elevation")) if typed.strip() else None
            )
    return changed


def _named(changed: Mapping[str, object]) -> str:
    """The settings that were written, in words."""
    words = {
        "name": _("name"),
        "owner": _("owner"),
        "units": _("units"),
        "language": _("language"),
        "latitude_deg": _("latitude"),
        "longitude_deg": _("longitude"),
        "elevation_m": _("elevation"),
    }
    return ", ".join(words[name] for name in changed)


def _plain(text: str, field: str) -> str:
    """One line without control characters: the settings file is read by people and programs."""
    plain = " ".join(text.split())
    if one_line(text) != plain:
        raise InputError(
            _('{field} is "{text}"; write one line of at most 80 characters').format(
                field=field, text=one_line(text)
            )
        )
    return plain


def _written(workspace: Workspace) -> dict[str, object]:
    """What the file says now; variables of the environment are not written down."""
    file = workspace.folder / FILE_NAME
    if not file.is_file():
        return {}
    try:
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as wrong:
        raise FileFormatError(_("does not read as TOML: {why}").format(why=wrong), where=str(file)) from None


def read_angle(text: str, *, field: str, letters: str, most_deg: float) -> float:
    """A latitude or longitude as people write it, in degrees; south and west are negative.

    Parameters
    ----------
    text : str
        "52.4", "52.4 N", "-33.9", "33 52 S" (degrees and minutes) or "52°24′N".
    field : str
        The field's name, for the error line.
    letters : str
        The two letters, the positive one first: "NS" or "EW".
    most_deg : float
        The largest angle, in degrees.

    Returns
    -------
    float
        In degrees.

    Raises
    ------
    InputError
        If it does not read.
    RangeError
        If it is beyond the largest angle.

    Examples
    --------
    >>> round(read_angle("33 52 S", field="latitude", letters="NS", most_deg=90.0), 3)
    -33.867
    """
    typed = one_line(text)
    rest = " ".join(_MARKS.sub(" ", typed.replace(",", ".")).split())
    letter = ""
    if (found := _LETTER.match(rest)) is not None:
        letter = (found.group(1) or found.group(4)).upper()
        rest = (found.group(2) or found.group(3)).strip()
    numbers = _NUMBERS.fullmatch(rest)
    if numbers is None or (letter and (letter not in letters or numbers.group(1))):
        raise InputError(
            _('{field} is "{text}", which does not read. Write 52.4 {first}, 52 24 {first} or -33.9.').format(
                field=field, text=typed, first=letters[0]
            )
        )
    whole, minutes, seconds = (float(part or 0.0) for part in numbers.groups()[1:])
    angle_deg = whole + minutes / 60.0 + seconds / 3600.0
    if minutes >= 60.0 or seconds >= 60.0 or angle_deg > most_deg:
        raise out_of_range(
            field,
            typed,
            _("up to {most:g} degrees, minutes and seconds below 60").format(most=most_deg),
        )
    return -angle_deg if letter == letters[1] or numbers.group(1) == "-" else angle_deg


def start_state(workspace: Workspace) -> Shape:
    """What a newcomer has and needs next.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict
        Keys has_place, has_weather ("measured", "described" or "none"), trees, and next ("place",
        "weather", "tree" or "done").
    """
    has_place = workspace.settings.latitude_deg is not None
    weather = weather_state(workspace)
    trees = len(workspace.trees)
    wanted = (("place", has_place), ("weather", weather != "none"), ("tree", trees > 0))
    return {
        "has_place": has_place,
        "has_weather": weather,
        "trees": trees,
        "next": next((name for name, done in wanted if not done), "done"),
    }
