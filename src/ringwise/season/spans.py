"""Stage spans as days: samples of when a span opens, closes and is excluded, from a stage forecast."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit.tables import load_rows, load_table
from ringwise.kit.types import FloatArray
from ringwise.operations.base import StageSpan
from ringwise.weather.frost import first_autumn_frost

if TYPE_CHECKING:
    from ringwise.phenology.forecast import StageForecast
    from ringwise.weather.years import WeatherMembers

ROOM = "ringwise.season"
DAYS_PER_WEEK = 7  # exact


@dataclass(frozen=True)
class SpanDays:
    """Day indices of one span, one element a sample; None where only a sign tells.

    `last_days` is the day of the hard exclusion, None where passing the span is only past its best.
    `frost_unknown` says that the first autumn frost would close it but is not known here.
    """

    span: StageSpan
    opens_days: FloatArray | None
    closes_days: FloatArray | None
    last_days: FloatArray | None
    frost_unknown: bool = False


@lru_cache(maxsize=1)
def _between() -> dict[str, tuple[str, str, float]]:
    rows = load_rows("ringwise.operations", "stage_between")
    return {row["code"]: (row["earlier"], row["later"], float(row["share_frac"])) for row in rows}


def stage_days(forecast: StageForecast, code: str) -> FloatArray | None:
    """Samples of the day on which a stage is first reached, also for stages between those forecast.

    Parameters
    ----------
    forecast : StageForecast
        For this tree and growing year.
    code : str
        A BBCH code or H1.

    Returns
    -------
    (n,) float or None
        Day indices; None where the tree has no such stage (evergreens in autumn, flower stages).

    Source
    ------
    own: own reasoning; stages in between by share of the span around them.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> seen = SimpleNamespace(codes=("03", "07"), samples=lambda c: np.array([{"03": 70.0, "07": 80.0}[c]]))
    >>> float(stage_days(seen, "05")[0])
    75.0
    """
    if code in forecast.codes:
        return np.asarray(forecast.samples(code), dtype=np.float64)
    if code in _between():
        earlier, later, share_frac = _between()[code]
        if earlier in forecast.codes and later in forecast.codes:
            before, after = forecast.samples(earlier), forecast.samples(later)
            return np.asarray(before + share_frac * (after - before), dtype=np.float64)
    return None


def _order(forecast: StageForecast, code: str) -> float | None:
    if code in forecast.codes:
        return float(forecast.codes.index(code))
    if code in _between():
        earlier, later, share_frac = _between()[code]
        if earlier in forecast.codes and later in forecast.codes:
            first, last = float(forecast.codes.index(earlier)), float(forecast.codes.index(later))
            return first + share_frac * (last - first)
    return None


def _year_ends(forecast: StageForecast) -> tuple[FloatArray, FloatArray]:
    count = forecast.days.shape[0]
    first = forecast.year.day_index(forecast.year.start)
    last = forecast.year.day_index(forecast.year.end) + 1
    return np.full(count, float(first)), np.full(count, float(last))


def _opens(forecast: StageForecast, span: StageSpan) -> FloatArray | None:
    if not span.opens:
        return None
    start, end = _year_ends(forecast)
    opens_at, closes_at = _order(forecast, span.opens), _order(forecast, span.closes)
    if opens_at is None:  # a leaf-fall stage of an evergreen: its rest began with the growing year
        return start if closes_at is not None else end
    if closes_at is not None and opens_at > closes_at:
        return start  # a span over the rest: leaf fall lies in the growing year before
    reached = stage_days(forecast, span.opens)
    if reached is None or opens_at == 0:
        return start  # dormant from the start of the growing year
    return reached - DAYS_PER_WEEK * span.lead_weeks


def _passed(forecast: StageForecast, code: str) -> FloatArray | None:
    if not code:
        return None
    if code not in forecast.codes:
        reached = stage_days(forecast, code)
        return reached if reached is not None else _year_ends(forecast)[1]
    after = forecast.codes.index(code) + 1
    if after == len(forecast.codes):
        return _year_ends(forecast)[1]
    return stage_days(forecast, forecast.codes[after])


def span_days(
    forecast: StageForecast, span: StageSpan, first_frost_days: FloatArray | None = None
) -> SpanDays:
    """When a span opens and closes, as samples of day indices.

    Parameters
    ----------
    forecast : StageForecast
        For this tree and growing year.
    span : StageSpan
        A span that is done on this species.
    first_frost_days : (n,) float, optional
        Day indices of the first autumn frost, from `first_frosts`.

    Returns
    -------
    SpanDays
        Whole days. A span opens when its opening stage is first reached and closes when its closing
        stage is passed, that is when the next one is reached, or so many weeks before the first frost.

    Source
    ------
    practice: windows by first buds; own reasoning for the sampling.

    Examples
    --------
    >>> from ringwise.operations.timing import timing_rows
    >>> timing_rows()[("repot", "larix")][0].closes
    '03'
    """
    opens = _opens(forecast, span)
    closes = _passed(forecast, span.closes)
    last = stage_days(forecast, span.hard_closes) if span.hard else None
    weeks = span.before_frost_weeks
    if weeks is not None and first_frost_days is not None and closes is not None:
        limit = np.asarray(first_frost_days, dtype=np.float64)
        closes = np.fmin(closes, limit - DAYS_PER_WEEK * weeks)  # where no frost comes, the stage closes it
    opens, closes, last = (None if each is None else np.rint(each) for each in (opens, closes, last))
    if opens is not None and closes is not None:
        closes = np.maximum(closes, opens)  # a season too short for the work leaves an empty window
    return SpanDays(span, opens, closes, last, weeks is not None and first_frost_days is None)


def first_frosts(forecast: StageForecast, weather: WeatherMembers) -> FloatArray | None:
    """The day of the first autumn frost in the weather year of each sample of a forecast.

    Parameters
    ----------
    forecast : StageForecast
        For a tree and growing year.
    weather : WeatherMembers
        The weather years of the place where it stands.

    Returns
    -------
    (n,) float or None
        Day indices, NaN where no frost comes or none is known; None where that is so in every year.

    Source
    ------
    practice: frost is a night below 0 degrees C at the bench, row frost.at_degC of the cues.

    Examples
    --------
    >>> first_frosts.__name__
    'first_frosts'
    """
    below_degC = load_table(ROOM, "cues").get("frost", "at_degC").number
    days = first_autumn_frost(weather, below_degC=below_degC)
    return None if bool(np.isnan(days).all()) else days[forecast.member]
