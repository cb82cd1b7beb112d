"""Weather years made from a few plain words about a climate: described, not measured, and wide on purpose.

The daily mean is an annual harmonic through the means of the coldest and the warmest month, or the curve
through twelve monthly normals (`normals.py`) where they are known, plus a slow departure (each winter, each
summer, each turn between them), plus daily noise with memory; minimum and maximum lie half a daily range
below and above, or as far as the normals say. Every draw is keyed by the day itself, so a day is the same
whatever span is asked for. Days count from `GrowingYear.year_start`: a southern series is a northern one
moved by the 181 days from 1 January to 1 July.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from ringwise.kit.chance import Purpose, normal
from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import out_of_range
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.types import FloatArray, IntArray
from ringwise.kit.words import _, counted
from ringwise.weather.climate_words import ClimateWords as ClimateWords
from ringwise.weather.climate_words import checked_words
from ringwise.weather.normals import HARMONICS, Normals, curve_at, year_shares, yearly_curve
from ringwise.weather.series import PLAUSIBLE, WeatherSeries, series_of

ROOM = "ringwise.weather"
DESCRIBED = "described"  # the `source` of a series that was made from words
YEAR_DAYS = 365.2425  # mean length of the calendar's year
MONTHS = 12
SOLSTICE_INDEX = -10.0  # 21 December (21 June in the south) counted from year_start, by the calendar
MEMORY_DAYS = 60  # the noise remembers no further: 0.85 to the 60th power is below 1e-4
_EPOCH = 2001  # days are numbered from the year_start of this growing year
_NOISE, _SLOW, _RANGE = 0, 1, 2  # streams of draws
_WINTER, _SUMMER, _TURN = 0, 1, 2  # entities of the slow stream


@dataclass(frozen=True)
class Wave:
    """The annual harmonic: mean, half of its span, and the day index on which it is coldest.

    With twelve normals it is only the first wave of their curve, which tells winter from summer.
    """

    mean_degC: float
    half_degC: float
    coldest_index: float


def is_described(source: str) -> bool:
    """Whether a series with this source was made from a description.

    Parameters
    ----------
    source : str
        Of a `WeatherSeries` or `WeatherMembers`.

    Returns
    -------
    bool
        False for everything that was read from a file.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> is_described(DESCRIBED), is_described("weather.csv")
    (True, False)
    """
    return source == DESCRIBED


def described_rows() -> Mapping[str, Parameter]:
    """The rows that described weather stands on, by parameter.

    Returns
    -------
    mapping of str to Parameter
        Of `data/described.csv`.

    Source
    ------
    The rows name their own.

    Examples
    --------
    >>> described_rows()["persistence"].unit
    'ratio'
    """
    return load_table(ROOM, "described").of("any")


def described_trace(years: int) -> Trace:
    """The link of a chain that says: this weather was described, and by which rows it became years.

    Parameters
    ----------
    years : int
        How many described years were used.

    Returns
    -------
    Trace
        On the basis "assumed", with every row of the table below it.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> described_trace(20).value
    '20 years made from words, none of it measured'
    """
    return Trace(
        label=_("weather of a described climate"),
        value=_("{years} made from words, none of it measured").format(
            years=counted("{n} year", "{n} years", years)
        ),
        room="weather.described",
        formula=_("annual harmonic + slow departures + daily noise with memory"),
        source="own",
        basis="assumed",
        inputs=tuple(trace_parameter(row) for row in described_rows().values()),
    )


def wave(words: ClimateWords) -> Wave:
    """The harmonic whose coldest and warmest twelfth of the year have the two stated means.

    Parameters
    ----------
    words : ClimateWords
        As stated.

    Returns
    -------
    Wave
        T(index) = mean - half * cos(2 pi (index - coldest_index) / year).

    Source
    ------
    own: a month's mean of a cosine is the cosine at its middle times sin(pi/12) / (pi/12), two equations.

    Examples
    --------
    >>> made = wave(ClimateWords(52.4, 1.0, 19.0))
    >>> round(made.mean_degC, 1), made.half_degC > 9.0  # a month is milder than its extreme day
    (10.0, True)
    """
    coldest_index = SOLSTICE_INDEX + described_rows()["lag"].number
    if words.normals is not None:
        return _first_wave(words, words.normals, coldest_index)
    middles = 0.5 + YEAR_DAYS / MONTHS * (np.arange(MONTHS) + 0.5)
    flattened = math.sin(math.pi / MONTHS) / (math.pi / MONTHS)
    weights = flattened * np.cos(2.0 * math.pi * (middles - coldest_index) / YEAR_DAYS)
    top, bottom = float(weights.max()), float(weights.min())
    half_degC = (words.warmest_month_degC - words.coldest_month_degC) / (top - bottom)
    return Wave(words.coldest_month_degC + half_degC * top, half_degC, coldest_index)


def _first_wave(words: ClimateWords, normals: Normals, usual_index: float) -> Wave:
    """The first wave of the curve through the normals; where it is slight, its phase is the usual one."""
    waves = yearly_curve(normals.mean_degC)
    half_degC = math.hypot(waves[1], waves[1 + HARMONICS])
    if half_degC < described_rows()["stated_sd"].number:  # less than a stated mean may be off by
        return Wave(float(waves[0]), half_degC, usual_index)
    turn = math.atan2(-waves[1 + HARMONICS], -waves[1]) / (2.0 * math.pi)
    begins = GrowingYear(_EPOCH, words.south).year_start - GrowingYear(_EPOCH).year_start
    away_index = turn * YEAR_DAYS + 0.5 - begins.days - usual_index
    # The turn next to the usual one, so that a winter has the same draws in both hemispheres.
    return Wave(
        float(waves[0]), half_degC, usual_index + away_index - YEAR_DAYS * round(away_index / YEAR_DAYS)
    )


def described_years(words: ClimateWords, *, first: date, last: date, seed: int) -> WeatherSeries:
    """Daily weather as the description lets expect it: one possible course, not what was.

    Parameters
    ----------
    words : ClimateWords
        What the grower said; frost days do not enter (see `frost_checks`).
    first, last : date
        The span, both days included.
    seed : int
        Of the draws.

    Returns
    -------
    WeatherSeries
        With tmin, tmax and tmean; all else NaN, since nothing stands on it. `source` is `DESCRIBED`.

    Raises
    ------
    RangeError
        If the words cannot be a climate, or the span ends before it begins.

    Source
    ------
    own reasoning (harmonic and noise); the rows of `data/described.csv` name their own.

    Examples
    --------
    >>> words = ClimateWords(52.4, 1.0, 19.0)
    >>> short = described_years(words, first=date(2026, 1, 1), last=date(2026, 1, 9), seed=7)
    >>> longer = described_years(words, first=date(2026, 1, 1), last=date(2027, 1, 1), seed=7)
    >>> bool((short.tmin_degC == longer.tmin_degC[:9]).all()), short.source
    (True, 'described')
    """
    checked_words(words)
    if last < first:
        raise out_of_range(_("last day"), str(last), _("{first} or later").format(first=first))
    epoch = GrowingYear(_EPOCH, words.south).year_start
    numbers = np.arange((first - epoch).days, (last - epoch).days + 1, dtype=np.int64)
    annual = wave(words)
    turns: FloatArray = (
        numbers.astype(np.float64) + 1.0 - annual.coldest_index
    ) / YEAR_DAYS  # whole at the coldest day of each year
    mean_degC = (
        _level(words, annual, turns, first)
        + _slow(turns, annual.half_degC, seed)
        + _noise_sd(turns, words) * _noise(numbers, seed)
    )
    below_degC, above_degC = _reach(words, first, numbers, turns, seed)
    return series_of(
        first,
        _possible(mean_degC, below_degC, above_degC),
        station=_("described climate"),
        source=DESCRIBED,
    )


def _possible(mean_degC: FloatArray, below_degC: FloatArray, above_degC: FloatArray) -> dict[str, FloatArray]:
    """The three by name, kept to what weather can be: chance about an extreme climate may reach beyond it."""
    least_degC, most_degC, _unit = PLAUSIBLE["tmean_degC"]
    kept_degC = np.clip(mean_degC, least_degC + 1.0, most_degC - 1.0)  # a degree for the low and the high
    return {
        "tmin_degC": np.maximum(kept_degC - below_degC, least_degC),
        "tmax_degC": np.minimum(kept_degC + above_degC, most_degC),
        "tmean_degC": kept_degC,
    }


def _level(words: ClimateWords, annual: Wave, turns: FloatArray, first: date) -> FloatArray:
    """The usual mean of each day of the year."""
    if words.normals is not None:
        return curve_at(yearly_curve(words.normals.mean_degC), year_shares(first, turns.size))
    level: FloatArray = annual.mean_degC - annual.half_degC * np.cos(2.0 * math.pi * turns)
    return level


def _warmth(turns: FloatArray) -> FloatArray:
    """Nought on the coldest day of the year, one on the warmest."""
    weight: FloatArray = (1.0 - np.cos(2.0 * math.pi * turns)) / 2.0
    return weight


def _draws(seed: int, stream: int, year: IntArray, entity: IntArray | int, cut_index: float) -> FloatArray:
    drawn = normal(seed, 0, year, stream, Purpose.DESCRIBED_WEATHER, entity)
    return np.clip(drawn, -cut_index, cut_index)


def _slow(turns: FloatArray, half_degC: float, seed: int) -> FloatArray:
    """Departures of each winter, each summer and each turn between them; continuous, of mean nought."""
    rows = described_rows()
    cut = rows["noise_cut"].number
    sd_degC = math.hypot(rows["stated_sd"].number, rows["season_sd"].number)
    cycle = np.floor(turns).astype(np.int64)
    winter = np.floor(turns + 0.5).astype(np.int64)
    turn = np.floor(2.0 * turns).astype(np.int64)
    warmth = _warmth(turns)
    cold_degC = sd_degC * _draws(seed, _SLOW, winter, _WINTER, cut)
    warm_degC = sd_degC * _draws(seed, _SLOW, cycle, _SUMMER, cut)
    late_days = rows["lag_sd"].number * _draws(seed, _SLOW, turn, _TURN, cut)
    slope_degC_days = half_degC * 2.0 * math.pi / YEAR_DAYS * np.sin(2.0 * math.pi * turns)
    return (1.0 - warmth) * cold_degC + warmth * warm_degC - slope_degC_days * late_days


def _noise_sd(turns: FloatArray, words: ClimateWords) -> FloatArray:
    """Standard deviation of the daily noise, rougher in winter the larger the annual range."""
    rows = described_rows()
    span_degC = words.warmest_month_degC - words.coldest_month_degC
    winter = rows["noise_winter"].number + rows["noise_slope"].number * (
        span_degC - rows["noise_range"].number
    )
    winter = min(max(winter, rows["noise_least"].number), rows["noise_most"].number)
    summer = min(winter, rows["noise_summer"].number)
    warmth = _warmth(turns)
    sd_degC: FloatArray = (1.0 - warmth) * winter + warmth * summer
    return sd_degC


def _noise(numbers: IntArray, seed: int) -> FloatArray:
    """Autoregressive noise of unit variance as a weighted sum of each day's own draw and those before it."""
    rows = described_rows()
    weights = rows["persistence"].number ** np.arange(MEMORY_DAYS + 1.0)
    weights /= math.sqrt(float((weights**2).sum()))
    cut = rows["noise_cut"].number
    reach = np.arange(numbers[0] - MEMORY_DAYS, numbers[-1] + 1, dtype=np.int64)
    own = _draws(seed, _NOISE, np.zeros_like(reach), reach, cut)
    noise = np.zeros(numbers.size)
    for back, weight in enumerate(weights):  # day by day alike whatever the span, to the last bit
        noise += weight * own[MEMORY_DAYS - back : own.size - back]
    return np.clip(noise, -cut, cut)


def _reach(
    words: ClimateWords, first: date, numbers: IntArray, turns: FloatArray, seed: int
) -> tuple[FloatArray, FloatArray]:
    """How far each day's low lies below its mean, and its high above it."""
    normals = words.normals
    if normals is None or normals.low_degC is None or normals.high_degC is None:
        half_degC = _range(numbers, turns, seed) / 2.0
        return half_degC, half_degC
    rows = described_rows()
    shares = year_shares(first, numbers.size)
    least_degC = rows["reach_least"].number
    usual = [
        np.maximum(curve_at(yearly_curve(apart), shares), least_degC)
        for apart in (
            [mean - low for mean, low in zip(normals.mean_degC, normals.low_degC, strict=True)],
            [high - mean for mean, high in zip(normals.mean_degC, normals.high_degC, strict=True)],
        )
    ]
    # In places of a wide range the days differ by no more degrees than in those of the table's summer.
    wide_degC = np.maximum(np.maximum(*usual), rows["range_summer"].number / 2.0)
    sd_log = rows["range_log_sd"].number * (rows["range_summer"].number / 2.0) / wide_degC
    cut = rows["range_cut"].number
    factor = np.exp(sd_log * _draws(seed, _RANGE, np.zeros_like(numbers), numbers, cut))
    factor /= _cut_mean(sd_log, cut)
    return usual[0] * factor, usual[1] * factor


def _cut_mean(sd_log: FloatArray, cut_index: float) -> FloatArray:
    """The mean of exp(sd z) where z is normal, drawn to its cuts beyond them."""
    inside = np.array(
        [_below(cut_index - sd) - _below(-cut_index - sd) for sd in np.atleast_1d(sd_log).tolist()]
    )
    tail = _below(-cut_index)
    mean: FloatArray = np.exp(sd_log**2 / 2.0) * inside + 2.0 * tail * np.cosh(sd_log * cut_index)
    return mean


def _below(at_index: float) -> float:
    """The share of a standard normal below a value."""
    return math.erfc(-at_index / math.sqrt(2.0)) / 2.0


def _range(numbers: IntArray, turns: FloatArray, seed: int) -> FloatArray:
    """The daily range tmax - tmin: lognormal about its seasonal mean."""
    rows = described_rows()
    warmth = _warmth(turns)
    mean_degC = (1.0 - warmth) * rows["range_winter"].number + warmth * rows["range_summer"].number
    sd_log = rows["range_log_sd"].number
    drawn = _draws(seed, _RANGE, np.zeros_like(numbers), numbers, rows["range_cut"].number)
    range_degC: FloatArray = mean_degC * np.exp(sd_log * drawn - sd_log**2 / 2.0)
    return range_degC
