"""The weather that dries pots: evapotranspiration and rain of each weather year where a tree stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk.pot_skins import latitude_of
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.desk.yard_forecast import YardForecast
    from ringwise.kit.types import FloatArray
    from ringwise.rootzone.balance import DailyForcing
    from ringwise.weather.years import WeatherMembers


@dataclass(frozen=True)
class DryingWeather:
    """Days of weather years at one place: (members, days) from `first` on.

    `coarse_frac` is the share of days whose evapotranspiration temperatures alone had to tell; `rain_known`
    is false where no day of rain is known, `measured` marks days that were observed.
    """

    first: date
    et0_mm_day: FloatArray
    rain_mm: FloatArray
    tmin_degC: FloatArray
    measured: tuple[bool, ...]
    coarse_frac: float
    rain_known: bool

    @property
    def last(self) -> date:
        """The last day."""
        return self.first + timedelta(days=self.et0_mm_day.shape[1] - 1)

    def column(self, day: date) -> int:
        """The column of a day."""
        return (day - self.first).days

    def between(self, first: date, days: int) -> DailyForcing:
        """Some days as the balance takes them; day indices are ordinals."""
        from ringwise.rootzone.balance import DailyForcing

        at = slice(self.column(first), self.column(first) + days)
        return DailyForcing(self.et0_mm_day[:, at], self.rain_mm[:, at], float(first.toordinal()))

    def usual_et0_mm_day(self, first: date, last: date) -> float:
        """The mean evapotranspiration of some days over all years."""
        import numpy as np

        at = slice(max(self.column(first), 0), max(self.column(last) + 1, 1))
        return float(np.mean(self.et0_mm_day[:, at]))


def drying_weather(
    workspace: Workspace, yard: YardForecast, members: WeatherMembers, first: date, last: date
) -> DryingWeather:
    """The weather of some days where a tree stands.

    Parameters
    ----------
    workspace : Workspace
        The collection, for latitude and elevation.
    yard : YardForecast
        Of the growing year.
    members : WeatherMembers
        The weather years of the place, `yard.members_at(facts)`.
    first, last : date
        The days; cut to those that the weather years hold.

    Returns
    -------
    DryingWeather
        A day that one year does not know has the mean of the others; rain that nobody measured is none.

    Raises
    ------
    MissingFieldError
        If no year has daily minima and maxima for one of the days.
    """
    import numpy as np

    from ringwise.weather.et0_years import et0_years

    begin = max(members.column(first), 0)
    days = slice(begin, min(members.column(last) + 1, members.tmean_degC.shape[1]))
    found = et0_years(
        members,
        yard.series,
        days,
        latitude_deg=latitude_of(workspace),
        elevation_m=workspace.settings.elevation_m,
    )
    rain = members.rain_mm[:, days]
    et0 = found.et0_mm_day
    known = ~np.isnan(et0)
    if not bool(known.any(axis=0).all()):
        raise MissingFieldError(
            _(
                "water cannot be told: the weather has no daily minima and maxima. "
                "Import a file that has them: ringwise weather import FILE"
            )
        )
    middle = np.where(known, et0, 0.0).sum(axis=0) / known.sum(axis=0)
    return DryingWeather(
        first=members.first + timedelta(days=days.start),
        et0_mm_day=np.where(known, et0, middle),
        rain_mm=np.nan_to_num(rain, nan=0.0),
        tmin_degC=members.tmin_degC[:, days],
        measured=tuple(bool(each) for each in members.observed[days]),
        coarse_frac=found.coarse_frac,
        rain_known=bool((~np.isnan(rain)).any()),
    )
