"""What the weather may do in the days after a work: frost on roots and tender growth, heat, wind.

Each is counted over the weather years. Frost on buds, leaves and flowers is held against the stages of the
very same weather year, so that a warm spring that opens leaves early meets its own late frosts.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.phenology.stages import HALF_FRAC
from ringwise.season.frost_limits import Limit, cut_root_limits, settled_root_limit
from ringwise.season.risk_kinds import (
    BENCH_FROST,
    CORE_ALARM,
    CORE_FROST,
    CORE_HEAT,
    CORE_REST,
    CORE_SETTLED,
    CORE_UNTIL_LEAF,
    HEAT,
    KINDS,
    LEAF_FROST,
    TENDER_FROST,
    WIND,
)
from ringwise.season.tender import Tender, tender_growth

if TYPE_CHECKING:
    from ringwise.phenology.forecast import StageForecast
    from ringwise.rootzone.core import CoreDays
    from ringwise.weather.years import WeatherMembers

ROOM = "ringwise.season"
FIRST_LEAF = "11"
_LATE_PCT = 90.0  # leaves count as tender up to the day by which nine samples of ten have them hard


@dataclass(frozen=True)
class Risk:
    """One thing that the weather may do: in `years` of `of_years` weather years within `days` days.

    `limit` is what is passed and `worst` the worst of all years, in degrees C, of wind in m/s. `lost_frac`
    is the mean share of flower buds that the cold kills, where a table tells. `first` and `last` are the
    days looked at.
    """

    kind: str
    prob: float
    of_years: int
    first: date
    last: date
    limit: float
    worst: float
    rows: tuple[Parameter, ...] = field(repr=False, compare=False)
    lost_frac: float | None = None

    @property
    def years(self) -> int:
        """The weather years in which it happens, rounded where the stages of a year are uncertain."""
        return round(self.prob * self.of_years)

    @property
    def days(self) -> int:
        """How many days or nights are looked at."""
        return (self.last - self.first).days + 1


@dataclass(frozen=True)
class Stand:
    """Where and in which state a tree stands: weather of its place, its stages, its pot's core, its roots.

    `core` is None where the pot's measures are not known; `cut` says that its roots are freshly cut, or will
    be by the work that is asked about.
    """

    weather: WeatherMembers
    forecast: StageForecast
    keys: tuple[str, ...]
    core: CoreDays | None
    cut: bool
    lag: Trace | None = None


def _row(key: str, parameter: str) -> Parameter:
    return load_table(ROOM, "risks").get(key, parameter)


def nights_after() -> int:
    """How many nights after root work are looked at.

    Returns
    -------
    int
        As the table of cues says.

    Source
    ------
    practice.

    Examples
    --------
    >>> nights_after()
    14
    """
    return round(load_table(ROOM, "cues").get("frost", "nights").number)


@dataclass(frozen=True)
class _Stretch:
    """The columns of a stretch of days, the first night being the one that follows the work."""

    begin: int
    end: int
    first: date
    last: date


def _stretch(weather: WeatherMembers, work: date, days: int) -> _Stretch | None:
    """None where the weather years do not reach over all of them."""
    begin = weather.column(work) + 1
    if days < 1 or begin < 0 or begin + days > weather.tmean_degC.shape[1]:
        return None
    return _Stretch(begin, begin + days, work + timedelta(days=1), work + timedelta(days=days))


def _whole(part: FloatArray) -> BoolArray:
    """The weather years without a gap in these days."""
    whole: BoolArray = np.asarray(~np.isnan(part).any(axis=1), dtype=np.bool_)
    return whole


def _counted(kind: str, values: FloatArray, at: _Stretch, limit: Limit, *, cold: bool = True) -> Risk | None:
    """The share of weather years that pass a limit on any day; years with a gap are left out."""
    part = values[:, at.begin : at.end]
    part = part[_whole(part)]
    if part.shape[0] == 0:
        return None
    extreme = part.min(axis=1) if cold else part.max(axis=1)
    passed = extreme < limit.value if cold else extreme > limit.value
    return Risk(
        kind=kind,
        prob=float(passed.mean()),
        of_years=int(part.shape[0]),
        first=at.first,
        last=at.last,
        limit=limit.value,
        worst=float(extreme.min() if cold else extreme.max()),
        rows=limit.rows,
    )


def work_risks(stand: Stand, work: date, *, nights: int | None = None) -> tuple[Risk, ...]:
    """What may happen in the days after a day of work.

    Parameters
    ----------
    stand : Stand
        The tree where it stands.
    work : date
        The day of the work.
    nights : int, optional
        How many nights after it; by default as the table of cues says.

    Returns
    -------
    tuple of Risk
        In the order of `KINDS`; those that the weather years cannot tell are left out.

    Source
    ------
    practice: 14 nights, pot core at 0 and -2 degrees C, else bench air; own reasoning for the counting.

    Examples
    --------
    >>> len(KINDS) == len(set(KINDS))
    True
    """
    look = nights_after() if nights is None else nights
    found = [*_root_risks(stand, work, look), *_tender_risks(stand, work, look)]
    found += _warm_risks(stand, work, look)
    return tuple(sorted((each for each in found if each is not None), key=lambda r: KINDS.index(r.kind)))


def _root_risks(stand: Stand, work: date, look: int) -> list[Risk | None]:
    at = _stretch(stand.weather, work, look)
    if at is None:
        return []
    carry, alarm = cut_root_limits()
    if not stand.cut:
        limit = settled_root_limit(stand.keys)
        return [] if stand.core is None else [_counted(CORE_SETTLED, stand.core.low_degC, at, limit)]
    bench = _counted(BENCH_FROST, stand.weather.tmin_degC, at, carry)
    if stand.core is None:
        return [bench]
    low_degC = stand.core.low_degC
    return [
        bench,
        _counted(CORE_FROST, low_degC, at, carry),
        _counted(CORE_ALARM, low_degC, at, alarm),
        _until_leaf(stand, low_degC, work, look),
    ]


def _until_leaf(stand: Stand, low_degC: FloatArray, work: date, look: int) -> Risk | None:
    """The pot's core until the first leaf opens in the same weather year, and for all nights of the look.

    After work that follows this year's leaves the next ones lie beyond the weather years: then every night
    that they know is looked at, for cut roots may not be active before spring.
    """
    forecast, weather, limit = stand.forecast, stand.weather, cut_root_limits()[0]
    if FIRST_LEAF not in forecast.codes or forecast.member.size == 0:
        return None
    opened = forecast.samples(FIRST_LEAF) - weather.first_index
    begin = weather.column(work) + 1
    past = float((opened < begin).mean()) >= HALF_FRAC
    ends = np.maximum(np.rint(opened), begin + look).astype(np.int64)
    if past:
        ends = np.full(ends.shape, low_degC.shape[1], dtype=np.int64)
    longest = int(min(ends.max(), low_degC.shape[1]))
    if begin < 0 or longest <= begin:
        return None
    part = low_degC[:, begin:longest]
    whole = _whole(part)
    member = forecast.member
    known = whole[member]
    if not bool(known.any()):
        return None
    lows = np.minimum.accumulate(part, axis=1)
    last = np.minimum(ends, longest) - begin - 1
    reached = lows[member[known], last[known]]
    return Risk(
        kind=CORE_REST if past else CORE_UNTIL_LEAF,
        prob=float((reached < limit.value).mean()),
        of_years=int(whole.sum()),
        first=work + timedelta(days=1),
        last=weather.first + timedelta(days=longest - 1),
        limit=limit.value,
        worst=float(reached.min()),
        rows=limit.rows,
    )


def _tender_risks(stand: Stand, work: date, look: int) -> list[Risk | None]:
    growth = tender_growth(stand.forecast, stand.keys)
    if growth is None or stand.forecast.member.size == 0:
        return []
    weather = stand.weather
    begin = weather.column(work) + 1
    if begin < 0:
        return []
    soon = _tender(TENDER_FROST, stand, growth, (begin, begin + look))
    offset = weather.first_index
    hard = int(np.percentile(growth.hard_days, _LATE_PCT)) - offset
    out = int(np.floor(growth.leaf_days.min())) - offset
    later = _tender(LEAF_FROST, stand, growth, (max(begin, out), hard))
    return [soon, later]


def _tender(kind: str, stand: Stand, growth: Tender, columns: tuple[int, int]) -> Risk | None:
    """Frost below what the tissue of the same sample stands on a night, and the buds that it kills."""
    weather, member = stand.weather, stand.forecast.member
    begin, end = columns
    if begin < 0 or end > weather.tmin_degC.shape[1] or end <= begin:
        return None
    nights_index: FloatArray = np.arange(begin, end, dtype=np.float64) + weather.first_index
    part = weather.tmin_degC[:, begin:end]
    whole = _whole(part)
    known = whole[member]
    hit = growth.harm(part[member], nights_index, known) if bool(known.any()) else None
    if hit is None:
        return None
    return Risk(
        kind=kind,
        prob=float(hit.struck.mean()),
        of_years=int(whole.sum()),
        first=weather.first + timedelta(days=begin),
        last=weather.first + timedelta(days=end - 1),
        limit=hit.limit_degC,
        worst=hit.worst_degC,
        rows=growth.rows,
        lost_frac=None if hit.lost_frac is None else float(hit.lost_frac.mean()),
    )


def _warm_risks(stand: Stand, work: date, look: int) -> list[Risk | None]:
    weather = stand.weather
    found: list[Risk | None] = []
    heat, wind = _row("heat", "at_degC"), _row("wind", "at_m_s")
    at = _stretch(weather, work, round(_row("heat", "days").number))
    if at is not None:
        found.append(_counted(HEAT, weather.tmax_degC, at, Limit(heat.number, (heat,)), cold=False))
    at = _stretch(weather, work, look)
    if at is not None and stand.core is not None:
        rows = [
            load_table("ringwise.rootzone", "core").get("any", name) for name in ("act_degC", "injury_degC")
        ]
        limit = Limit(rows[0].number, tuple(rows))
        found.append(_counted(CORE_HEAT, stand.core.wall_high_degC, at, limit, cold=False))
    at = _stretch(weather, work, round(_row("wind", "days").number))
    if at is not None:
        found.append(_counted(WIND, weather.wind_2m_m_s, at, Limit(wind.number, (wind,)), cold=False))
    return found
