"""The wish for the weather strip: the days behind as measured, the days ahead as past years spread them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from ringwise.desk.shapes import Shape
from ringwise.desk.strip_core import hazard_lines, hazards, usual_pot
from ringwise.desk.weather_under import yard_series, yard_weather
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError, NotFoundError, out_of_range
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.types import FloatArray
    from ringwise.weather.series import WeatherSeries
    from ringwise.weather.years import WeatherMembers

State = Literal["measured", "bridged", "lent", "described", "missing", "forecast", "ahead"]
MEASURES = {"tmin": "tmin_degC", "tmax": "tmax_degC", "rain": "rain_mm"}
LOW_PCT, MIDDLE_PCT, HIGH_PCT = 10.0, 50.0, 90.0  # the band of the whole house
MOST_DAYS_BACK, MOST_DAYS_AHEAD = 366, 60


@dataclass(frozen=True)
class YardSky:
    """What is known of the yard's days: the stored series, and the weather years ahead."""

    workspace: Workspace

    @cached_property
    def stored(self) -> WeatherSeries | None:
        """The stored series of the yard."""
        try:
            return yard_weather(self.workspace)
        except (MissingFieldError, NotFoundError):
            return None

    @cached_property
    def under(self) -> WeatherSeries | None:
        """The series that windows stand on."""
        try:
            return yard_series(self.workspace)
        except (MissingFieldError, NotFoundError):
            return None

    @cached_property
    def members(self) -> WeatherMembers | None:
        """The weather years of this growing year."""
        from ringwise.desk.days_to_come import days_to_come
        from ringwise.desk.yard_forecast import WEATHER_YEARS
        from ringwise.weather.years import members

        if self.under is None:
            return None
        try:
            return members(
                self.under,
                issue=self.workspace.today,
                year=self.workspace.year,
                most=WEATHER_YEARS,
                to_come=days_to_come(self.workspace),
            )
        except MissingFieldError:
            return None

    @property
    def described(self) -> bool:
        """Whether the weather years were made from a description."""
        from ringwise.weather.described import is_described

        return self.under is not None and is_described(self.under.source)

    def state(self, when: date) -> State:
        """What a day rests on."""
        if when > self.workspace.today:
            if self.years(when, "tmin").size == 0:
                return "missing"
            return "ahead" if self.forecast_of(when) is None else "forecast"
        series = self.stored
        if series is not None and series.first <= when <= series.last:
            values = series.day(when)
            if values["tmin_degC"] is not None or values["tmax_degC"] is not None:
                return "bridged" if bool(series.filled[series.position(when)]) else "measured"
        if self.lent(when):
            return "lent"
        if self.described and self.stored is None and self.years(when, "tmin").size:
            return "described"
        return "missing"

    def lent(self, when: date) -> bool:
        """Whether a day behind was lent by another station."""
        under = self.under
        if under is None or not under.first <= when <= min(under.last, self.workspace.today):
            return False
        return bool(under.lent_days[under.position(when)])

    def behind(self, when: date, measure: str) -> float | None:
        """The value of a day up to today: stored, else lent; None where neither is known."""
        state = self.state(when)
        series = self.stored if state in {"measured", "bridged"} else self.under
        if series is None or state not in {"measured", "bridged", "lent"}:
            return None
        return series.day(when)[MEASURES[measure]]

    def years(self, when: date, measure: str) -> FloatArray:
        """A day's value in each weather year; empty where the years do not tell."""
        import numpy as np

        nothing: FloatArray = np.empty(0)
        if self.members is None or measure not in {"tmin", "tmax"}:
            return nothing
        values = self.members.tmin_degC if measure == "tmin" else self.members.tmax_degC
        at = self.members.column(when)
        if at < 0 or bool(np.isnan(values[:, min(at, values.shape[1] - 1)]).any()):
            at = self.members.column(_a_year_later(when))  # the same calendar day at the growing year's end
        if not 0 <= at < values.shape[1] or bool(np.isnan(values[:, at]).any()):
            return nothing
        return values[:, at]

    def measured(self, when: date, column: str) -> FloatArray:
        """What was measured of another column on a day, in each weather year; empty where nothing was."""
        import numpy as np

        members, under = self.members, self.under
        n = 1 if members is None else members.n
        for series in (self.stored, under):
            if when <= self.workspace.today and series is not None and series.first <= when <= series.last:
                return np.full(n, float(series.column(column)[series.position(when)]))
        if members is None or under is None or members.stands_on is None:
            return np.empty(0)
        at = members.column(when)
        if not 0 <= at < members.stands_on.shape[1]:
            return np.empty(0)
        places = members.stands_on[:, at]
        return np.where(places >= 0, under.column(column)[np.maximum(places, 0)], np.nan)

    def forecast_of(self, when: date) -> date | None:
        """The day of the forecast that a day leans on; None where it leans on past years alone."""
        members = self.members
        if members is None or not 0 <= members.column(when) < members.forecast.size:
            return None
        return members.forecast_of if bool(members.forecast[members.column(when)]) else None


def _a_year_later(when: date) -> date:
    kept = 28 if (when.month, when.day) == (2, 29) else when.day
    return date(when.year + 1, when.month, kept)


def weather_strip(workspace: Workspace, days_back: int = 7, days_ahead: int = 14) -> Shape:
    """The weather of the days behind and what past years let expect of the days ahead.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    days_back : int
        Days before today; today comes with them.
    days_ahead : int
        Days after today.

    Returns
    -------
    dict
        Keys station, state, days, sentence and lines, as the app's contract names them. Days ahead carry the
        median of the weather years, `tmin_low_degC` the coldest and `tmax_high_degC` the warmest tenth of
        them: the spread of past years, drawn towards a stored forecast where there is one.

    Raises
    ------
    RangeError
        If a number of days is out of range.
    """
    _check_days(_("days back"), days_back, MOST_DAYS_BACK)
    _check_days(_("days ahead"), days_ahead, MOST_DAYS_AHEAD)
    sky = YardSky(workspace)
    if sky.under is None and sky.stored is None:
        return {
            "station": "",
            "state": "none",
            "days": [],
            "sentence": _("No weather is stored and no climate is described: windows cannot be told yet."),
            "lines": [],
        }
    station = sky.stored or sky.under
    pot = usual_pot(workspace)
    dates = [workspace.today + timedelta(days=k) for k in range(-days_back, days_ahead + 1)]
    days = [_day_shape(sky, day) | more for day, more in zip(dates, hazards(sky, dates, pot), strict=True)]
    return {
        "station": station.station if station is not None else "",
        "state": "described" if sky.described else "measured",
        "days": days,
        "sentence": frost_sentence(sky, days_ahead),
        "lines": hazard_lines(days, workspace.today, pot),
    }


def _check_days(field: str, given: int, most: int) -> None:
    if not 0 <= given <= most:
        raise out_of_range(field, str(given), f"0 {_('to')} {most}")


def _day_shape(sky: YardSky, when: date) -> Shape:
    import numpy as np

    state = sky.state(when)
    told: dict[str, Shape] = {}
    low: float | None = None
    high: float | None = None
    values: dict[str, float | None] = dict.fromkeys(MEASURES)
    if state in {"measured", "bridged", "lent"}:
        values = {name: sky.behind(when, name) for name in MEASURES}
    elif state != "missing":
        lows, highs = sky.years(when, "tmin"), sky.years(when, "tmax")
        values["tmin"] = float(np.percentile(lows, MIDDLE_PCT))
        low = float(np.percentile(lows, LOW_PCT))
        if highs.size:
            values["tmax"] = float(np.percentile(highs, MIDDLE_PCT))
            high = float(np.percentile(highs, HIGH_PCT))
    for name, value in values.items():
        known = value is not None
        told[MEASURES[name]] = {
            "value": None if value is None else round(value, 2),
            "shown": "" if value is None else shown(name, value),
            "why": f"yard:weather:{when.isoformat()}:{name}" if known else None,
        }
    coldest = values["tmin"]
    return {
        "day": when.isoformat(),
        "day_shown": show.day(when),
        "state": state,
        **told,
        "tmin_low_degC": None if low is None else round(low, 2),
        "tmax_high_degC": None if high is None else round(high, 2),
        "frost": coldest is not None and coldest < frost_below_degC(),
    }


def shown(measure: str, value: float) -> str:
    """A value of the strip as people read it.

    Parameters
    ----------
    measure : str
        "tmin", "tmax" or "rain".
    value : float
        In degrees Celsius, or mm of rain.

    Returns
    -------
    str
        With its unit.

    Examples
    --------
    >>> shown("tmin", -2.0)
    '-2 °C'
    """
    return show.rain(value) if measure == "rain" else show.temperature(value)


def frost_below_degC() -> float:
    """The bench air that counts as frost, as the table of cues says.

    Returns
    -------
    float
        In degrees Celsius.

    Examples
    --------
    >>> frost_below_degC()
    0.0
    """
    from ringwise.kit.tables import load_table

    return load_table("ringwise.season", "cues").get("frost", "at_degC").number


def frost_sentence(sky: YardSky, days_ahead: int) -> str:
    """The frost ahead in one sentence, with what it rests on.

    Parameters
    ----------
    sky : YardSky
        Of the yard.
    days_ahead : int
        Nights looked at.

    Returns
    -------
    str
        A sentence; it also says where nothing can be told.
    """
    from ringwise.weather.frost import frost_years

    if days_ahead < 1:
        return ""
    if sky.members is None:
        return _("The stored weather holds no past year, so the days ahead cannot be told.")
    try:
        frost = frost_years(
            sky.members,
            after=sky.workspace.today,
            within_days=days_ahead,
            below_degC=frost_below_degC(),
        )
    except MissingFieldError:
        return _("The past years hold no daily minimum, so frost ahead cannot be told.")
    return _("Frost in {n} of {years} years within {days} days: {rests}.").format(
        n=frost.years, years=frost.of_years, days=days_ahead, rests=_rests(sky, sky.members)
    )


def _rests(sky: YardSky, members: WeatherMembers) -> str:
    """What the days ahead rest on, for the end of a sentence."""
    if members.forecast_of is not None and members.forecast_to is not None:
        issue, last = show.day(members.forecast_of), show.day(members.forecast_to)
        if sky.described:
            return _(
                "years made from your description, drawn towards the forecast of {issue} up to {last}"
            ).format(issue=issue, last=last)
        return _("past years, drawn towards the forecast of {issue} up to {last}").format(
            issue=issue, last=last
        )
    if sky.described:
        return _("years made from your description, not a forecast")
    return _("the spread of past years, not a forecast")
