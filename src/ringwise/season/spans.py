"""Stage spans as days: samples of when a span opens, closes and is excluded, from a stage forecast."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit.tables import load_rows, load_table
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.operations.base import StageSpan
from ringwise.phenology.stages import HALF_FRAC
from ringwise.weather.frost import MIDDLE_INDEX, first_autumn_frost

if TYPE_CHECKING:
    from ringwise.phenology.forecast import StageForecast
    from ringwise.weather.years import WeatherMembers

ROOM = "ringwise.season"
DAYS_PER_WEEK = 7  # exact


@dataclass(frozen=True)
class SpanDays:
    """Day indices of one span, one element a sample; None where only a sign tells.

    `last_days` is the day of the hard exclusion, None where passing the span is only past its best.
    `frost_unknown` says that the first autumn frost would close it but is not known here, `frost_free` that
    it would but comes in no weather year. `opens_never`, `closes_never` and `last_never` say that the stage
    is not reached within the weather years in half the samples or more, so that there is no day to tell.
    """

    span: StageSpan
    opens_days: FloatArray | None
    closes_days: FloatArray | None
    last_days: FloatArray | None
    frost_unknown: bool = False
    frost_free: bool = False
    opens_never: bool = False
    closes_never: bool = False
    last_never: bool = False

    @property
    def too_short(self) -> bool:
        """Whether it closes before it opens in half the samples or more."""
        if self.opens_days is None or self.closes_days is None or self.opens_never:
            return False
        return float((self.closes_days <= self.opens_days).mean()) >= HALF_FRAC

    @property
    def told(self) -> tuple[FloatArray | None, FloatArray | None, FloatArray | None]:
        """Opening, closing and hard end, each None where there is no day to tell."""
        if self.too_short or self.opens_never:
            return None, None, None
        return (
            self.opens_days,
            None if self.closes_never else self.closes_days,
            None if self.last_never else self.last_days,
        )


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


def _year_before(forecast: StageForecast, code: str) -> FloatArray | None:
    """A stage's days in the growing year before, counted in this one; None where they are not known."""
    before = forecast.before
    reached = None if before is None else stage_days(before, code)
    if before is None or reached is None:
        return None
    count = forecast.days.shape[0]  # the year before may stand on another number of weather years
    days: FloatArray = reached[np.arange(count) * reached.size // count]
    return days + (before.year.year_start - forecast.year.year_start).days


def _opens(forecast: StageForecast, span: StageSpan) -> FloatArray | None:
    if not span.opens:
        return None
    start, end = _year_ends(forecast)
    opens_at, closes_at = _order(forecast, span.opens), _order(forecast, span.closes)
    if opens_at is None:  # a leaf-fall stage of an evergreen: its rest began with the growing year
        return start if closes_at is not None else end
    if closes_at is not None and opens_at > closes_at:
        fallen = _year_before(forecast, span.opens)  # a span over the rest: leaf fall lies in the year before
        return start if fallen is None else fallen - DAYS_PER_WEEK * span.lead_weeks
    reached = stage_days(forecast, span.opens)
    if reached is None or opens_at == 0:
        return start  # dormant from the start of the growing year
    return reached - DAYS_PER_WEEK * span.lead_weeks


def _is_rest(forecast: StageForecast, span: StageSpan) -> bool:
    """Whether a span begins with or before the growing year, so that its first stage is not awaited."""
    opens_at, closes_at = _order(forecast, span.opens), _order(forecast, span.closes)
    return opens_at == 0 or (opens_at is not None and closes_at is not None and opens_at > closes_at)


def _passed_by(forecast: StageForecast, code: str) -> str:
    """The stage whose coming ends another; empty where the growing year's end does."""
    if code not in forecast.codes:
        return code if stage_days(forecast, code) is not None else ""
    return next(iter(forecast.codes[forecast.codes.index(code) + 1 :]), "")


def _passed(forecast: StageForecast, code: str) -> FloatArray | None:
    if not code:
        return None
    by = _passed_by(forecast, code)
    return stage_days(forecast, by) if by else _year_ends(forecast)[1]


def _unreached(forecast: StageForecast, code: str) -> BoolArray:
    """The samples in which a stage does not come within the weather years."""
    told = code if code in forecast.codes else _between().get(code, ("", "", 0.0))[1]
    if told not in forecast.codes:
        return np.zeros(forecast.days.shape[0], dtype=np.bool_)
    unreached: BoolArray = np.asarray(forecast.samples(told) >= forecast.horizon_index, dtype=np.bool_)
    return unreached


def _mostly(samples: BoolArray) -> bool:
    return float(samples.mean()) >= HALF_FRAC


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
    no_closing = _unreached(forecast, _passed_by(forecast, span.closes))
    if weeks is not None and first_frost_days is not None and closes is not None:
        limit = np.asarray(first_frost_days, dtype=np.float64)
        limit = limit - DAYS_PER_WEEK * weeks
        no_closing = np.logical_and(no_closing, ~(limit < closes))
        closes = np.fmin(closes, limit)  # where no frost comes, the stage closes it
    opens, closes, last = (None if each is None else np.rint(each) for each in (opens, closes, last))
    if opens is not None and closes is not None:
        closes = np.maximum(closes, opens)  # a season too short for the work leaves an empty window
    return SpanDays(
        span,
        opens,
        closes,
        last,
        frost_unknown=weeks is not None and first_frost_days is None,
        frost_free=weeks is not None
        and first_frost_days is not None
        and bool(np.isnan(first_frost_days).all()),
        opens_never=not _is_rest(forecast, span) and _mostly(_unreached(forecast, span.opens)),
        closes_never=closes is not None and _mostly(no_closing),
        last_never=last is not None and _mostly(_unreached(forecast, span.hard_closes)),
    )


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
        Day indices, NaN where no frost comes or none is known. All are NaN where no year has a frost and at
        least half of them have every minimum of autumn; None where too little is known to say so.

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
    if bool(np.isnan(days).all()):
        autumn_degC = weather.tmin_degC[:, max(MIDDLE_INDEX - weather.first_index, 0) :]
        whole: BoolArray = np.logical_not(np.isnan(autumn_degC).any(axis=1))
        if autumn_degC.shape[1] == 0 or not _mostly(whole):
            return None
    return days[forecast.member]
