"""The places of the yard in the app: each with its kind, what its readings taught, and the why of both."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.microsites import known_microsites, microsites
from ringwise.desk.place_readings import known_place
from ringwise.desk.shapes import Shape
from ringwise.kit.errors import unknown_name
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwise.desk.workspace import Workspace

PARTS = {"nights": "night", "days": "day"}  # of a shape, of the table


def places_room(workspace: Workspace) -> Shape:
    """Every place with its kind, its readings and what they taught.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict
        As the contract of the app has it; places with trees come first.
    """
    told = microsites(workspace)
    places = sorted(told["places"], key=lambda each: (each["trees"] == 0, each["place"].casefold()))
    return {
        "station": told["station"],
        "kinds": [{**kind, "more": ""} for kind in told["kinds"]],
        "places": [_place(each) for each in places],
    }


def _place(each: Shape) -> Shape:
    return {
        "name": each["place"],
        "kind": each["microsite"],
        "kind_words": each["microsite_words"],
        "stated": each["stated"],
        "trees": each["trees"],
        "readings": each["readings"],
        "nights": _line(each, "nights"),
        "days": _line(each, "days"),
        "frost": each["frost"]["line"],
        "left_out": [one["words"] for one in each["left_out"]],
    }


def _line(each: Shape, part: str) -> Shape:
    line = each[part]
    return {
        "words": line["line"],
        "offset_degC": line["offset_degC"],
        "offset_sd_degC": line["offset_sd_degC"],
        "readings": line["readings"],
        "why": f"yard:place:{part}:{each['place']}",
    }


def place_trace(workspace: Workspace, parts: Sequence[str]) -> Trace:
    """The chain behind what is said of the nights or days of a place.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    parts : sequence of str
        ("yard", "place", "nights", "left bench"); a name may have colons in it.

    Returns
    -------
    Trace
        Its first link.

    Raises
    ------
    UnknownNameError
        If it is neither nights nor days.
    NotFoundError
        If there is no such place.
    """
    from ringwise.weather.microsite import microsite_rows

    part = parts[2] if len(parts) > 2 else ""
    if part not in PARTS:
        raise unknown_name(_("part of a place's weather"), part, PARTS)
    name = known_place(workspace, ":".join(parts[3:]))
    site = next(each for each in known_microsites(workspace) if each.place == name)
    shape = next(each for each in microsites(workspace, name)["places"] if each["place"] == name)
    rows, line = microsite_rows(site.kind), shape[part]
    left_out = len(shape["left_out"])
    learned = Trace(
        _("readings"),
        counted("{n} reading", "{n} readings", line["readings"]),
        "weather.place_readings",
        counted("{n} reading is left out", "{n} readings are left out", left_out) if left_out else "",
        "",
        "measured",
    )
    return Trace(
        label=f"{name}, {_('nights') if part == 'nights' else _('days')}",
        value=line["line"],
        room="weather.microsite",
        formula=_("a line through the station's temperatures, drawn towards what is assumed of its kind"),
        source="own",
        basis="assumed" if line["assumed"] else "measured",
        inputs=(
            Trace(_("kind of place"), shape["microsite_words"]),
            learned,
            trace_parameter(rows[PARTS[part]], _("assumed difference from the station")),
            trace_parameter(rows[f"{PARTS[part]}_slope"], _("assumed degrees for one at the station")),
        ),
    )
