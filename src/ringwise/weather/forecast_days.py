"""Days to come of a forecast, and how far each is to be believed: past years keep the rest of the weight."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ringwise.kit.chance import spread_places
from ringwise.kit.errors import FileFormatError
from ringwise.kit.tables import load_table
from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.kit.words import _

ROOM = "ringwise.weather"
TEMPERATURES = ("tmin_degC", "tmax_degC", "tmean_degC")


@dataclass(frozen=True)
class DaysToCome:
    """Consecutive days of a forecast; NaN where it says nothing.

    `issue` is the day of its newest part. `lead_days` tells for each day how many days before it was
    forecast: days may stem from forecasts of different age.
    """

    issue: date
    first: date
    lead_days: IntArray
    tmin_degC: FloatArray
    tmax_degC: FloatArray
    tmean_degC: FloatArray
    wind_2m_m_s: FloatArray
    source: str = ""
    rain_mm: FloatArray | None = None

    def __post_init__(self) -> None:
        if any(self.column(name).size != self.n for name in (*TEMPERATURES, "wind_2m_m_s")):
            raise FileFormatError(_("a forecast needs each of its columns for each of its days."))
        if self.rain_mm is not None and self.rain_mm.size != self.n:
            raise FileFormatError(_("a forecast needs each of its columns for each of its days."))

    @property
    def n(self) -> int:
        """How many days."""
        return int(self.lead_days.size)

    @property
    def last(self) -> date:
        """The last day."""
        return self.first + timedelta(days=self.n - 1)

    def column(self, name: str) -> FloatArray:
        """The values of a measure by its column name."""
        values: FloatArray = getattr(self, name)
        return values

    @property
    def weights(self) -> FloatArray:
        """The weight of each day's temperature; 0 where the forecast gives no daily mean."""
        return np.where(np.isnan(self.tmean_degC), 0.0, lead_weight(self.lead_days))


def oldest_days() -> int:
    """After how many days a stored forecast is no longer used.

    Returns
    -------
    int
        Days.

    Source
    ------
    Row of lead.csv.

    Examples
    --------
    >>> oldest_days()
    16
    """
    return round(load_table(ROOM, "lead").get("any", "oldest").number)


def longest_lead_days() -> int:
    """The last day ahead on which a forecast weighs anything.

    Returns
    -------
    int
        Days.

    Source
    ------
    Rows of lead.csv.

    Examples
    --------
    >>> longest_lead_days()
    16
    """
    return len(_by_lead()) - 1


def lead_weight(lead_days: IntArray) -> FloatArray:
    """How far a forecast is to be believed, by how far ahead it was made.

    Parameters
    ----------
    lead_days : int array
        Days from the making of the forecast to the day; the day of making itself counts as one.

    Returns
    -------
    float array
        From 0 to 1: correlation of forecast and observed departures from the usual; 0 beyond the table.

    Source
    ------
    Rows of lead.csv, recalled.

    Examples
    --------
    >>> weights = lead_weight(np.array([0, 1, 5, 10, 17]))
    >>> bool(weights[0] == weights[1] > weights[2] > weights[3] > weights[4]), float(weights[4])
    (True, 0.0)
    """
    table = _by_lead()
    lead = np.maximum(np.asarray(lead_days), 1)
    return np.where(lead < table.size, table[np.minimum(lead, table.size - 1)], 0.0)


def _by_lead() -> FloatArray:
    """Weights by lead; place 0 is never asked for."""
    rows = [row for row in load_table(ROOM, "lead") if row.key == "temperature"]
    weights = np.zeros(len(rows) + 1)
    for row in rows:
        weights[int(row.parameter.removeprefix("day_"))] = row.number
    return weights


def between(years: FloatArray, forecast: FloatArray, weight: FloatArray) -> FloatArray:
    """Values of past years drawn towards a forecast as far as it is to be believed.

    Parameters
    ----------
    years : (members, days) float
        What past years had on these days, NaN where unknown.
    forecast : (days,) float
        What is forecast, NaN where nothing is.
    weight : (days,) float
        From `lead_weight`.

    Returns
    -------
    (members, days) float
        m + w (f - m) + sqrt(1 - w^2) (x - m), with m the mean over the members: the mean moves by w, the
        spread keeps what the forecast leaves open, and each year keeps its own run of warm and cold days.
        Where nothing is forecast the past year's own value, to the last bit.

    Source
    ------
    own reasoning (regression of the day on the forecast: slope and residual spread of a correlation w).

    Examples
    --------
    >>> years = np.array([[2.0], [6.0]])
    >>> between(years, np.array([10.0]), np.array([1.0])).tolist()
    [[10.0], [10.0]]
    >>> between(years, np.array([10.0]), np.array([0.6])).round(6).tolist()  # mean 7.6, spread 0.8 of 2
    [[6.0], [9.2]]
    """
    known = ~np.isnan(years)
    count = np.maximum(known.sum(axis=0), 1)
    middle = np.where(known, years, 0.0).sum(axis=0) / count
    drawn = middle + weight * (forecast - middle) + np.sqrt(1.0 - weight**2) * (years - middle)
    told = (weight > 0.0) & ~np.isnan(forecast)
    return np.where(told, np.where(weight == 1.0, np.where(known, forecast, years), drawn), years)


def drawn_to(years: dict[str, FloatArray], to_come: DaysToCome, places: IntArray) -> dict[str, FloatArray]:
    """Days of past years drawn towards a forecast, lowest and highest kept in their order.

    Parameters
    ----------
    years : dict of str to (members, days) float
        Temperatures and wind by column name.
    to_come : DaysToCome
        The forecast.
    places : (days,) int
        Place of each day in the forecast.

    Returns
    -------
    dict of str to (members, days) float
        The same columns. A forecast of the mean alone moves the day's extremes along with it.

    Source
    ------
    own reasoning; wind by a row of lead.csv.

    Examples
    --------
    >>> one = np.array([5.0])
    >>> ahead = DaysToCome(date(2027, 3, 7), date(2027, 3, 8), np.array([1]), one - 4, one + 4, one, one)
    >>> past = {"tmin_degC": np.array([[1.0], [3.0]]), "tmax_degC": np.array([[8.0], [12.0]]),
    ...         "tmean_degC": np.array([[4.0], [8.0]]), "wind_2m_m_s": np.array([[1.0], [np.nan]])}
    >>> drawn_to(past, ahead, np.array([0]))["tmean_degC"].mean().round(2)  # 6 drawn to 5 by 0.95
    np.float64(5.05)
    """
    weight = to_come.weights[places]
    mean = between(years["tmean_degC"], to_come.tmean_degC[places], weight)
    told, moved = weight > 0.0, mean - years["tmean_degC"]
    low, high = (
        np.where(
            np.isnan(to_come.column(name)[places]),
            years[name] + moved,
            between(years[name], to_come.column(name)[places], weight),
        )
        for name in ("tmin_degC", "tmax_degC")
    )
    low, high = _in_order(low, high, told)
    share = load_table(ROOM, "lead").get("wind", "share").number
    wind = between(years["wind_2m_m_s"], to_come.wind_2m_m_s[places], share * weight)
    return {
        "tmin_degC": low,
        "tmax_degC": high,
        "tmean_degC": _within(mean, low, high, told),
        "wind_2m_m_s": np.maximum(wind, 0.0),
    }


def rain_of(years_mm: FloatArray, to_come: DaysToCome, places: IntArray) -> FloatArray:
    """Rain of past years, in which so many of them have the forecast's as it is to be believed.

    A mean of a dry and a wet day is drizzle, which no year had; so each year has either its own day or the
    forecast's. A year that has it on a far day has it on all nearer ones.

    Parameters
    ----------
    years_mm : (members, days) float
        What past years had on these days, NaN where unknown.
    to_come : DaysToCome
        The forecast.
    places : (days,) int
        Place of each day in the forecast.

    Returns
    -------
    (members, days) float
        The same where no rain is forecast.

    Source
    ------
    own reasoning; how far it is believed by rows of lead.csv.

    Examples
    --------
    >>> one = np.array([5.0])
    >>> wet = DaysToCome(date(2027, 3, 7), date(2027, 3, 8), np.array([1]), one, one, one, one, rain_mm=one)
    >>> float(rain_of(np.zeros((20, 1)), wet, np.array([0])).mean())
    3.5
    """
    if to_come.rain_mm is None:
        return years_mm
    share = load_table(ROOM, "lead").get("rain", "share").number
    weight, told = share * to_come.weights[places], to_come.rain_mm[places]
    order = spread_places(years_mm.shape[0])  # spread evenly over the years, old and new
    believed = (order[:, None] < weight) & ~np.isnan(told)
    return np.where(believed, told, years_mm)


def _in_order(low: FloatArray, high: FloatArray, where: BoolArray) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest; where a narrow forecast of a narrow day crossed them, both their middle."""
    crossed = where & (low > high)
    middle = (low + high) / 2.0
    return np.where(crossed, middle, low), np.where(crossed, middle, high)


def _within(mean: FloatArray, low: FloatArray, high: FloatArray, where: BoolArray) -> FloatArray:
    known = where & ~np.isnan(low) & ~np.isnan(high)
    return np.where(known, np.clip(mean, low, high), mean)
