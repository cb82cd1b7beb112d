"""Frost and heat on the days of the weather strip: at the bench, and in the core of the yard's usual pot."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Protocol

import numpy as np

from ringwise.desk.pot_skins import latitude_of, recorded_heat
from ringwise.desk.shapes import pot_words
from ringwise.desk.told import told
from ringwise.kit import show
from ringwise.kit.tables import load_table
from ringwise.kit.words import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.types import FloatArray
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Pot
    from ringwise.rootzone.core import CoreDays
    from ringwise.rootzone.skin import PotHeat
    from ringwise.weather.years import WeatherMembers

CORE_MEASURES = ("core_low", "core_high")
_LEAD_DAYS = 2  # a core starts at the air's own temperature; after two days nothing of that is left
_MIDDLE_PCT = 50.0


class Sky(Protocol):
    """What the strip knows of days, as `desk.weather_strip.YardSky` does."""

    @property
    def workspace(self) -> Workspace:
        """The collection."""

    @property
    def members(self) -> WeatherMembers | None:
        """The weather years of this growing year."""

    def behind(self, when: date, measure: str) -> float | None:
        """The value of a day up to today."""

    def years(self, when: date, measure: str) -> FloatArray:
        """A day's value in each weather year; empty where the years do not tell."""

    def measured(self, when: date, column: str) -> FloatArray:
        """What was measured of another column on a day, in each weather year; empty where nothing was."""


@dataclass(frozen=True)
class UsualPot:
    """The pot of the yard whose core lags as the middle one does, and its core."""

    pot: Pot
    core: PotHeat

    @property
    def words(self) -> str:
        """The pot in the reader's language."""
        return pot_words(self.pot)


@dataclass(frozen=True)
class Limits:
    """What counts as frost and as heat, at the bench and in the core."""

    bench_frost_degC: float
    core_frost_degC: float
    bench_heat_degC: float
    core_heat_degC: float


def limits() -> Limits:
    """The limits of the strip, as the tables of cues, roots and risks have them.

    Returns
    -------
    Limits
        Of freshly cut roots for frost in the core; of heat behind the sunny wall that asks to act.

    Examples
    --------
    >>> limits().core_frost_degC
    0.0
    """
    from ringwise.season.frost_limits import cut_root_limits

    return Limits(
        bench_frost_degC=load_table("ringwise.season", "cues").get("frost", "at_degC").number,
        core_frost_degC=cut_root_limits()[0].value,
        bench_heat_degC=load_table("ringwise.season", "risks").get("heat", "at_degC").number,
        core_heat_degC=load_table("ringwise.rootzone", "core").get("any", "act_degC").number,
    )


def _pot_of(facts: TreeFacts) -> UsualPot | None:
    heat = recorded_heat(facts.pot)
    return None if heat is None or facts.pot is None else UsualPot(facts.pot, heat)


def usual_pot(workspace: Workspace) -> UsualPot | None:
    """The measured pot whose core lags behind the air as the middle one of the yard's does.

    Parameters
    ----------
    workspace : Workspace
        The collection; a living one keeps what was made of each tree.

    Returns
    -------
    UsualPot or None
        None where no pot was measured.
    """
    made_of = getattr(workspace, "made_of", None)
    if made_of is None:
        made = [_pot_of(each) for each in workspace.facts.values()]
    else:
        made = list(made_of("pot of the strip", _pot_of).values())
    pots = sorted((pot for pot in made if pot is not None), key=lambda pot: (pot.core.lag_min, pot.pot.id))
    return pots[(len(pots) - 1) // 2] if pots else None


def _rows(sky: Sky, days: Sequence[date], measure: str) -> FloatArray:
    """A value a weather year and day: what was measured is alike in all of them."""
    n = 1 if sky.members is None else sky.members.n
    columns = []
    for day in days:
        known = sky.behind(day, measure)
        years = sky.years(day, measure) if known is None and day > sky.workspace.today else np.empty(0)
        if known is not None:
            columns.append(np.full(n, known))
        else:
            columns.append(years if years.size == n else np.full(n, np.nan))
    return np.stack(columns, axis=1)


def core_of_days(sky: Sky, days: Sequence[date], core: PotHeat) -> CoreDays:
    """Lowest and highest of a pot on some days that follow each other, in the open, a row a weather year.

    Parameters
    ----------
    sky : Sky
        Of the yard.
    days : sequence of date
        Without a gap.
    core : PotHeat
        Of the pot.

    Returns
    -------
    CoreDays
        NaN where the air is not known.
    """
    from ringwise.rootzone.core import CoreDays, bench_hours
    from ringwise.rootzone.heat import place_heat, pot_days
    from ringwise.weather.sun_years import sun_of_days

    lead = [days[0] - timedelta(days=k) for k in range(_LEAD_DAYS, 0, -1)]
    wide = [*lead, *days, days[-1] + timedelta(days=1)]  # an evening falls towards the next morning
    latitude_deg = latitude_of(sky.workspace)
    lows, highs = _rows(sky, wide, "tmin"), _rows(sky, wide, "tmax")
    air = bench_hours(lows, highs, first=wide[0], latitude_deg=latitude_deg)
    sun = sun_of_days(
        np.array([day.timetuple().tm_yday for day in wide]),
        lows,
        highs,
        latitude_deg=latitude_deg,
        radiation_mj_m2=_columns(sky, wide, "radiation_mj_m2"),
        sunshine_h=_columns(sky, wide, "sunshine_h"),
    )
    wind = _columns(sky, wide, "wind_2m_m_s")
    found = pot_days(place_heat(air, sun.sun, sky_w_m2=sun.sky_w_m2, wind_2m_m_s=wind), core)
    kept = slice(_LEAD_DAYS, _LEAD_DAYS + len(days))
    return CoreDays(found.low_degC[:, kept], found.high_degC[:, kept], found.wall_high_degC[:, kept])


def _columns(sky: Sky, days: Sequence[date], column: str) -> FloatArray:
    """What else was measured, a weather year and day; NaN where nothing was."""
    n = 1 if sky.members is None else sky.members.n
    found = [sky.measured(day, column) for day in days]
    return np.stack([each if each.size == n else np.full(n, np.nan) for each in found], axis=1)


def _chance(values: FloatArray, limit: float, *, cold: bool) -> float | None:
    known = values[~np.isnan(values)]
    if known.size == 0:
        return None
    return round(float((known < limit).mean() if cold else (known > limit).mean()), 3)


def hazards(sky: Sky, days: Sequence[date], pot: UsualPot | None) -> list[Shape]:
    """The chance of frost and of heat on each day, and the core's temperatures.

    Parameters
    ----------
    sky : Sky
        Of the yard.
    days : sequence of date
        Of the strip, without a gap.
    pot : UsualPot or None
        Without one nothing is told of the core.

    Returns
    -------
    list of dict
        Chances are 0 or 1 on days behind, shares of the weather years on days ahead; None where not known.
    """
    at = limits()
    lows, highs = _rows(sky, days, "tmin"), _rows(sky, days, "tmax")
    core = None if pot is None else core_of_days(sky, days, pot.core)
    shapes = []
    for k, day in enumerate(days):
        core_low = None if core is None else core.low_degC[:, k]
        core_high = None if core is None else core.high_degC[:, k]
        wall_high = None if core is None else core.wall_high_degC[:, k]
        shapes.append(
            {
                "bench_frost_prob": _chance(lows[:, k], at.bench_frost_degC, cold=True),
                "bench_heat_prob": _chance(highs[:, k], at.bench_heat_degC, cold=False),
                "core_frost_prob": None
                if core_low is None
                else _chance(core_low, at.core_frost_degC, cold=True),
                "core_heat_prob": None
                if wall_high is None
                else _chance(wall_high, at.core_heat_degC, cold=False),
                "core_low_degC": _core_told(core_low, day, "core_low"),
                "core_high_degC": _core_told(core_high, day, "core_high"),
            }
        )
    return shapes


def _core_told(values: FloatArray | None, day: date, name: str) -> Shape:
    if values is None or bool(np.isnan(values).all()):
        return told(None, "", None)
    middle = float(np.nanpercentile(values, _MIDDLE_PCT))
    return told(round(middle, 2), show.temperature(middle), f"yard:weather:{day.isoformat()}:{name}")


def hazard_lines(days: Sequence[Shape], today: date, pot: UsualPot | None) -> list[str]:
    """What the marks say in sentences: frost and heat of the next nights at the bench and in the pot.

    Parameters
    ----------
    days : sequence of dict
        Days of the strip with the keys of `hazards`.
    today : date
        Days after it are looked at.
    pot : UsualPot or None
        Named in words.

    Returns
    -------
    list of str
        Empty where no day ahead is told.
    """
    cues = load_table("ringwise.season", "cues")
    nights, years = (round(cues.get("strip", name).number) for name in ("nights", "one_year_of"))
    ahead = [day for day in days if day["day"] > today.isoformat()][:nights]
    told_days = [day for day in ahead if day["bench_frost_prob"] is not None]
    if not told_days:
        return []
    at, n = limits(), len(told_days)
    bench = _likely(told_days, "bench_frost_prob", years)
    lines = [
        _("Frost at the bench on {count} of the next {n} nights in at least 1 year of {years}.").format(
            count=bench, n=n, years=years
        )
        if bench
        else _("No frost at the bench on the next {n} nights in {most} years of {years}.").format(
            n=n, most=years - 1, years=years
        )
    ]
    if pot is not None:
        core = _likely(told_days, "core_frost_prob", years)
        words = (
            _("The core of a usual pot ({pot}) falls below {limit} on {n} of them.")
            if core
            else _("The core of a usual pot ({pot}) stays above {limit}.")
        )
        lines.append(words.format(pot=pot.words, limit=show.temperature(at.core_frost_degC), n=core))
    for key, limit, words in (
        ("bench_heat_prob", at.bench_heat_degC, _("Above {limit} at the bench on {n} of these days.")),
        (
            "core_heat_prob",
            at.core_heat_degC,
            _("Above {limit} behind the sunny wall of that pot on {n} of these days: shade the wall."),
        ),
    ):
        hot = _likely(told_days, key, years)
        if hot:
            lines.append(words.format(limit=show.temperature(limit), n=hot))
    return lines


def _likely(days: Sequence[Shape], key: str, one_year_of: int) -> int:
    return sum(1 for day in days if (day[key] or 0.0) * one_year_of >= 1.0)
