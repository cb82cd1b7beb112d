"""Wishes about the weather of each place: its kind, what its readings taught, what was left out and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from ringwise.desk.deeds import action
from ringwise.desk.moving import kind_of_place
from ringwise.desk.place_readings import MICROSITE_SETTING, known_place, place_names, readings_of
from ringwise.desk.place_readings import record_reading as record_reading
from ringwise.desk.texts import checked_name
from ringwise.desk.weather_under import own_stations, yard_weather
from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError, NotFoundError, at_field, unknown_name
from ringwise.kit.words import _, counted
from ringwise.records.model import Setting
from ringwise.records.store import Seen
from ringwise.weather.microsite import KINDS, microsite_prior, microsite_rows
from ringwise.weather.place_readings import DAY, FAR, NIGHT, SUN, Learned, LeftOut, PlaceReadings, learned

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.weather.microsite import MicrositeOffset, PlaceLine
    from ringwise.weather.series import WeatherSeries

# By the kind of place in the record; a bench, a show, a friend's yard and quarantine count as an open bench.
DEFAULT_KIND = {"shade": "shade", "shed": "shed", "tunnel": "tunnel", "ground": "ground"}
_MOST_TOLD = 3  # readings left out that are told one by one; the answer has them all


@dataclass(frozen=True)
class Microsite:
    """A place with all that is known of its weather."""

    place: str
    kind: str
    stated: bool
    read: PlaceReadings
    learned: Learned

    @property
    def offset(self) -> MicrositeOffset:
        """What it does to the weather of the station."""
        return self.learned.offset


def microsite_kind(workspace: Workspace, place: str, settings: Mapping[str, object] | None = None) -> str:
    """What kind of microsite a place is: as the grower stated it, else by the kind of place.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    place : str
        As it is written in the record.
    settings : mapping, optional
        The stored settings, where they were read already.

    Returns
    -------
    str
        One of `KINDS`.
    """
    stored = workspace.store.settings() if settings is None else settings
    stated = stored.get(MICROSITE_SETTING + place)
    if isinstance(stated, str) and stated in KINDS:
        return stated
    return DEFAULT_KIND.get(kind_of_place(workspace, place, stored), "open_bench")


def known_microsites(workspace: Workspace) -> tuple[Microsite, ...]:
    """Every place of the record with its kind, its readings and what they taught.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    tuple of Microsite
        By name of the place.
    """
    series = measured_series(workspace)
    settings = workspace.store.settings()
    found = []
    for place in place_names(workspace):
        kind, read = microsite_kind(workspace, place, settings), readings_of(workspace, place)
        stated = bool(settings.get(MICROSITE_SETTING + place))
        found.append(Microsite(place, kind, stated, read, _learned(read, series, kind)))
    return tuple(found)


def _learned(read: PlaceReadings, series: WeatherSeries | None, kind: str) -> Learned:
    prior = microsite_prior(kind)
    return Learned(prior, ()) if series is None else learned(read, series, prior)


def measured_series(workspace: Workspace) -> WeatherSeries | None:
    """What was measured at the yard's station: readings are held against nothing else.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    WeatherSeries or None
        None where there is none, or only a description of the climate.
    """
    from ringwise.weather.described import is_described

    try:
        series = yard_weather(workspace) if own_stations(workspace) else None
    except (MissingFieldError, NotFoundError):
        return None
    return None if series is None or is_described(series.source) else series


def place_offsets(workspace: Workspace) -> Mapping[str, MicrositeOffset]:
    """What each place of the record does to the weather of the station.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    mapping of str to MicrositeOffset
        By name of the place; `moved(members, offset)` of `weather.microsite` applies one.
    """
    return {each.place: each.offset for each in known_microsites(workspace)}


def microsites(workspace: Workspace, place: str | None = None) -> Shape:
    """The weather of the places: of each its kind, its readings, nights and days against the station.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    place : str or None
        Only this one.

    Returns
    -------
    dict
        Keys station (None where nothing was measured), kinds (key and words), places and lines.
        A place has place, kind, microsite, microsite_words, stated, trees (how many stand there today),
        readings (days), first, last, nights, days, frost, left_out and lines.

    Raises
    ------
    NotFoundError
        If there is no such place.
    """
    wanted = None if place is None else known_place(workspace, place)
    series = measured_series(workspace)
    standing: dict[str, int] = {}
    for facts in workspace.facts.values():
        if facts.place is not None:
            standing[facts.place.place] = standing.get(facts.place.place, 0) + 1
    settings = workspace.store.settings()
    shapes = [
        _shape(
            kind_of_place(workspace, each.place, settings),
            each,
            standing.get(each.place, 0),
            measured=series is not None,
        )
        for each in known_microsites(workspace)
        if wanted in (None, each.place)
    ]
    return {
        "station": None if series is None else series.station,
        "kinds": [{"key": kind, "words": kind_words(kind)} for kind in KINDS],
        "places": shapes,
        "lines": [line for shape in shapes for line in shape["lines"]] or [_("There is no place yet.")],
    }


def kind_words(kind: str) -> str:
    """A kind of microsite in words.

    Parameters
    ----------
    kind : str
        One of `KINDS`.

    Returns
    -------
    str
        In the reader's language.
    """
    words = {
        "open_bench": _("open bench"),
        "wall": _("by a sunny wall"),
        "shade": _("under shade"),
        "tunnel": _("tunnel without heat"),
        "cold_frame": _("cold frame"),
        "shed": _("shed without heat"),
        "ground": _("in the ground"),
    }
    return words[kind]


def _shape(kind: str, each: Microsite, trees: int, *, measured: bool) -> Shape:
    nights, days = (
        _line_shape(line, part) for part, line in (("nights", each.offset.nights), ("days", each.offset.days))
    )
    frost_degC = microsite_rows()["frost_shown"].number
    here_degC = frost_degC + float(each.offset.nights.lift_degC(frost_degC))
    frost = {
        "station_degC": frost_degC,
        "place_degC": here_degC,
        "sd_degC": each.offset.nights.sd_degC(frost_degC),
        "line": _("a night of {station} at the station is about {place} here").format(
            station=show.fine_temperature(frost_degC), place=show.fine_temperature(here_degC)
        ),
    }
    left_out = [_left_out_shape(one) for one in each.learned.left_out]
    first, last = _read_span(each.read)
    shape: Shape = {
        "place": each.place,
        "kind": kind,
        "microsite": each.kind,
        "microsite_words": kind_words(each.kind),
        "stated": each.stated,
        "trees": trees,
        "readings": each.read.n,
        "first": None if first is None else first.isoformat(),
        "last": None if last is None else last.isoformat(),
        "nights": nights,
        "days": days,
        "frost": frost,
        "left_out": left_out,
    }
    return shape | {"lines": _lines(shape, each.learned.left_out, measured=measured)}


def _read_span(read: PlaceReadings) -> tuple[date | None, date | None]:
    import numpy as np

    at = np.flatnonzero(~np.isnan(read.tmin_degC) | ~np.isnan(read.tmax_degC))
    if not at.size:
        return None, None
    start = read.first.toordinal()
    return date.fromordinal(start + int(at[0])), date.fromordinal(start + int(at[-1]))


def _line_shape(line: PlaceLine, part: str) -> Shape:
    """The line of nights or days as values and in words."""
    return {
        "offset_degC": line.offset_degC,
        "offset_sd_degC": line.offset_sd_degC,
        "slope_ratio": line.slope_ratio,
        "slope_sd_ratio": line.slope_sd_ratio,
        "centre_degC": line.centre_degC,
        "residual_degC": line.residual_degC,
        "readings": line.readings,
        "assumed": line.readings == 0,
        "line": line_words(line, part),
    }


def line_words(line: PlaceLine, part: str) -> str:
    """How nights or days of a place lie against the station, with their spread, in words."""
    about = show.temperature_step(line.offset_degC)
    spread = show.temperature_step(line.offset_sd_degC)
    if about == show.temperature_step(0.0):
        head = _("nights as at the station") if part == "nights" else _("days as at the station")
    elif part == "nights":
        warmer, colder = (
            _("nights {about} warmer than at the station"),
            _("nights {about} colder than at the station"),
        )
        head = (warmer if line.offset_degC > 0 else colder).format(about=about)
    else:
        warmer, cooler = (
            _("days {about} warmer than at the station"),
            _("days {about} cooler than at the station"),
        )
        head = (warmer if line.offset_degC > 0 else cooler).format(about=about)
    if line.readings == 0:
        return _("{head}, give or take {spread}: assumed, nothing was read").format(head=head, spread=spread)
    read = counted("from {n} reading", "from {n} readings", line.readings)
    return _("{head}, give or take {spread}, {read}").format(head=head, spread=spread, read=read)


def _left_out_shape(one: LeftOut) -> Shape:
    return {
        "day": one.day.isoformat(),
        "measure": one.measure,
        "read_degC": one.read_degC,
        "station_degC": one.station_degC,
        "reason": one.reason,
        "words": _left_out_words(one),
    }


def _left_out_words(one: LeftOut) -> str:
    measure = {NIGHT: _("minimum"), DAY: _("maximum")}[one.measure]
    read = _("{measure} {value} of {day}").format(
        measure=measure, value=show.fine_temperature(one.read_degC), day=show.day(one.day, year=True)
    )
    if one.station_degC is None:
        return _("{read}: the station has no value for that day").format(read=read)
    reasons = {
        SUN: _("{read}: far above the station ({station}), most likely read in the sun"),
        FAR: _("{read}: too far from the station ({station}); check sign, unit and day"),
    }
    return reasons[one.reason].format(read=read, station=show.fine_temperature(one.station_degC))


def _lines(shape: Shape, left_out: tuple[LeftOut, ...], *, measured: bool) -> list[str]:
    head = _("{place}: {kind}, {trees}").format(
        place=shape["place"],
        kind=shape["microsite_words"],
        trees=counted("{n} tree", "{n} trees", shape["trees"]),
    )
    lines = [
        head,
        *(f"  {shape[part]['line']}" for part in ("nights", "days")),
        f"  {shape['frost']['line']}",
    ]
    if shape["readings"] and not measured:
        lines.append("  " + _("its readings teach once weather of the station is imported"))
    told = [one for one in left_out if one.station_degC is not None]
    silent = len(left_out) - len(told)
    lines += ["  " + _("left out: {words}").format(words=_left_out_words(one)) for one in told[:_MOST_TOLD]]
    if len(told) > _MOST_TOLD:
        lines.append("  " + counted("left out: {n} more", "left out: {n} more", len(told) - _MOST_TOLD))
    if silent:
        lines.append(
            "  "
            + counted(
                "left out: {n} reading of a day that the station lacks",
                "left out: {n} readings of days that the station lacks",
                silent,
            )
        )
    return lines


def set_microsite(workspace: Workspace, place: str, kind: str, *, by: str | None = None) -> Shape:
    """State what kind of microsite a place is; a place that is new is known from then on.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    place : str
        Its name.
    kind : str
        One of `KINDS`.
    by : str or None
        Who states it.

    Returns
    -------
    dict
        Keys action, line and id (the place).

    Raises
    ------
    InputError
        If there is no such kind, or nothing would change.
    """
    with at_field("place"):
        try:
            name = known_place(workspace, place)
        except NotFoundError:
            name = checked_name(place)
    with at_field("kind"):
        folded = kind.strip().casefold().replace(" ", "_").replace("-", "_")
        if folded not in KINDS:
            raise unknown_name(_("kind of microsite"), kind, KINDS)
    key = MICROSITE_SETTING + name
    before = workspace.store.settings().get(key)
    if before == folded:
        raise InputError(_("nothing changes: that is its kind"))
    seen = [Seen("setting", key, None if before is None else Setting(key, before))]
    saved = workspace.store.save(action(workspace, by, f"place {name}"), [Setting(key, folded)], seen=seen)
    return {
        "action": saved,
        "line": _("{place}: {kind}").format(place=name, kind=kind_words(folded)),
        "id": name,
    }
