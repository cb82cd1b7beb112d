"""The day on which one published model puts a stage on a weather series: what `ringwise calc stage` shows."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError, unknown_name
from ringwise.kit.tables import Parameter
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.phenology.choice import EVENTS, Choice, by_hand, forcing, has_rows, named_choice
from ringwise.phenology.models import model
from ringwise.phenology.sums import DailyMeans, daily_means
from ringwise.weather.series import WeatherSeries
from ringwise.weather.years import lived

_TOLD = {"forcing_days": "forcing"}


@dataclass(frozen=True)
class StageAsk:
    """What to compute: model, table key, growing year; a stage as event or code; parameters to override.

    The latitude (south negative) is needed by models that read the daylength.
    """

    model: str
    species: str
    year: int
    south: bool = False
    stage: str | None = None
    overrides: Mapping[str, float] = field(default_factory=dict)
    latitude_deg: float | None = None


@dataclass(frozen=True)
class StageDay:
    """The answer: `when` is None where the series never reaches the stage; sums are those of that day.

    `day_of_year` is the calendar's (1 on 1 January), in either hemisphere.
    """

    species: str
    stage: str
    model: str
    when: date | None
    day_of_year: int | None
    chill_days: float | None
    heat_degC_days: float | None
    heat_needed_degC_days: float | None
    forcing_days: float | None
    forcing_needed_days: float | None
    chill_portions: float | None
    rows: tuple[Parameter, ...]


def stage_day(series: WeatherSeries, ask: StageAsk) -> StageDay:
    """The day on which a model puts a stage in one growing year of a series.

    Parameters
    ----------
    series : WeatherSeries
        With daily means from the day from which the model counts.
    ask : StageAsk
        Model, species, year and overrides.

    Returns
    -------
    StageDay
        With the parameter rows it used, overridden ones marked as assumed.

    Raises
    ------
    MissingFieldError
        If days are missing between the model's start and the stage, or the latitude where it is needed.

    Source
    ------
    own reasoning; each row names its own.

    Examples
    --------
    >>> from ringwise.weather.series import series_of
    >>> cool = series_of(date(2012, 11, 1), {"tmean_degC": np.full(300, 6.0)})
    >>> stage_day(cool, StageAsk("menzel", "larix_decidua", 2013)).when  # 51 days x 3 >= 1372 - 246 ln 143
    datetime.date(2013, 3, 23)
    """
    choice = _overridden(_choice(ask), ask.overrides)
    year = GrowingYear(ask.year, ask.south)
    parameters = {name: np.array([row.number]) for name, row in choice.rows.items()}
    form = model(choice.model)
    counted = float(parameters["start_day"][0]) if form.counts_from_start_day else -math.inf
    if form.hourly:
        days = _hourly_days(series, year, ask.latitude_deg)
    else:
        days = _days(series, year, counted, ask.latitude_deg)
    index = float(form.run(parameters, days)[0, 0])
    start = counted if form.counts_from_start_day else days.start_index
    _check_gaps(days, float(start), index, series)
    when = None if np.isnan(index) else year.day_at(index)
    sums = _sums(choice, parameters, days, index)
    return StageDay(
        species=choice.key,
        stage=choice.event,
        model=choice.model,
        when=when,
        day_of_year=None if when is None else when.timetuple().tm_yday,
        chill_days=sums.get("chill_days"),
        heat_degC_days=sums.get("heat"),
        heat_needed_degC_days=sums.get("needed"),
        forcing_days=sums.get("forcing"),
        forcing_needed_days=choice.rows["force"].number if "forcing" in sums else None,
        chill_portions=sums.get("chill_portions"),
        rows=tuple(choice.rows.values()),
    )


def _days(
    series: WeatherSeries, year: GrowingYear, counted_index: float, latitude_deg: float | None
) -> DailyMeans:
    """The growing year as lived; with days before it where the model counts from before its start."""
    first = year.day_index(year.start)
    means = lived(series, year)
    if -math.inf < counted_index < first:
        reach = first - math.floor(counted_index)
        before = [(year.start - series.first).days - k for k in range(reach, 0, -1)]
        held = [series.tmean_degC[k] if 0 <= k < series.tmean_degC.size else np.nan for k in before]
        means, first = np.concatenate([held, means]), first - reach
    return daily_means(means, first_index=first, year=year, latitude_deg=latitude_deg)


def _hourly_days(series: WeatherSeries, year: GrowingYear, latitude_deg: float | None) -> DailyMeans:
    """The growing year as lived, with the extremes of its days; a day that lacks one is a missing day."""
    low, high = (lived(series, year, measure=name) for name in ("tmin_degC", "tmax_degC"))
    return daily_means(
        (low + high) / 2.0,
        first_index=year.day_index(year.start),
        year=year,
        latitude_deg=latitude_deg,
        tmin_degC=low,
        tmax_degC=high,
    )


def _choice(ask: StageAsk) -> Choice:
    key = "_".join(ask.species.split())
    key = key if key in forcing().keys() else key.lower()  # noqa: SIM118 - a Table iterates over rows
    event = None
    if ask.stage is not None:
        named = ask.stage.strip().lower().replace(" ", "_").replace("-", "_")
        by_code = [event for event, code in EVENTS.items() if code == ask.stage.strip()]
        event = by_code[0] if by_code else named
    form = model(ask.model)
    if set(form.needs) <= set(ask.overrides):
        return by_hand(ask.model, key, event if event in EVENTS else next(iter(EVENTS)))
    if form.instead and not has_rows(ask.model, key, event) and has_rows(form.instead, key, event):
        return named_choice(form.instead, key, event)
    return named_choice(ask.model, key, event)


def _overridden(choice: Choice, overrides: Mapping[str, float]) -> Choice:
    rows = dict(choice.rows)
    for name, value in overrides.items():
        if name not in rows:
            raise unknown_name(_("parameter of {model}").format(model=choice.model), name, rows)
        rows[name] = replace(
            rows[name],
            value=repr(float(value)),
            low=None,
            high=None,
            range_kind="none",
            spread="fixed",
            basis="assumed",
            source="own",
            locator="",
            read=False,
            note=_("given by hand"),
        )
    return replace(choice, rows=rows)


def _check_gaps(days: DailyMeans, start_index: float, index: float, series: WeatherSeries) -> None:
    """A stage that is not reached because days are missing is an error, not an answer."""
    row = days.tmean_degC[0]
    counted = days.since(start_index)
    missing = counted & np.isnan(row)
    if not np.isnan(index) or not missing.any():
        return
    first = int(np.flatnonzero(missing)[0])
    if np.isnan(row[first:]).all() and first > int(np.flatnonzero(counted)[0]):
        return  # the series ends before the stage: not reached, honestly
    raise MissingFieldError(
        _(
            "the weather of {station} ({first} to {last}) lacks days from which the model counts, the first "
            "{lacks} days after the growing year begins. Import them, or choose a later year."
        ).format(station=series.station, first=series.first, last=series.last, lacks=first)
    )


def _sums(
    choice: Choice, parameters: Mapping[str, FloatArray], days: DailyMeans, index: float
) -> dict[str, float]:
    if np.isnan(index):
        return {}
    told = model(choice.model).sums
    if told is None:
        return {}
    at = round(index) - days.first_index
    sums = {_TOLD.get(key, key): float(sum_[0, 0, at]) for key, sum_ in told(parameters, days).items()}
    if "heat" in sums and "needed" not in sums:
        sums["needed"] = float(parameters[model(choice.model).need][0])
    return sums
