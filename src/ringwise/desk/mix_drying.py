"""How fast one tree dries the mixes it might stand in: in spring, in the hottest week, over a season."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.watering_pace import Pace, paces
from ringwise.desk.watering_pots import drying_tree, leaf_share, place_kinds
from ringwise.desk.watering_run import pots_demand
from ringwise.desk.watering_weather import DryingWeather, drying_weather
from ringwise.desk.yard_forecast import yard_forecast
from ringwise.kit.errors import MissingFieldError, RingwiseError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.watering_pots import DryingTree
    from ringwise.desk.workspace import Workspace
    from ringwise.desk.yard_forecast import YardForecast
    from ringwise.kit.types import FloatArray
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.pot import PotShape
    from ringwise.rootzone.purpose import Site
    from ringwise.rootzone.retention import RetentionCurve

_DRAWS = 20  # of each mix: the ends of a band of days hold to a few hours
_YEAR_DAYS = 365.25


@dataclass(frozen=True)
class MixDays:
    """Days from full to the next watering without rain, and days at risk in a season watered once a day."""

    spring: Shape
    hottest: Shape
    risk: Shape


@dataclass(frozen=True)
class Drying:
    """One tree with the weather that dries it; `leaf` gives the share of its leaves over some days."""

    tree: DryingTree
    pace: Pace
    weather: DryingWeather
    spring: date
    hottest: date
    yard: YardForecast | None
    site: Site
    assumed: tuple[str, ...]

    def in_mixes(self, pot: PotShape, curves: Sequence[RetentionCurve]) -> list[MixDays]:
        """How long each of several mixes lasts in a pot.

        Parameters
        ----------
        pot : PotShape
            As filled.
        curves : sequence of RetentionCurve
            One a mix, each with as many draws.

        Returns
        -------
        list of MixDays
            In the order of the curves.
        """
        from ringwise.rootzone.purpose import purpose_row

        trees = [self._in(pot, curve) for curve in curves]
        horizon = round(purpose_row("run", "horizon_days").number)
        spring = self._lasts(trees, self.spring, horizon)
        hottest = self._lasts(trees, self.hottest, horizon)
        risk = self._at_risk(trees)
        return [MixDays(*each) for each in zip(spring, hottest, risk, strict=True)]

    def _in(self, pot: PotShape, curve: RetentionCurve) -> DryingTree:
        import numpy as np

        from ringwise.rootzone.retention import RetentionCurve as Curve

        at = np.linspace(0, curve.draws - 1, _DRAWS).round().astype(int)
        few = Curve(*(getattr(curve, name)[at] for name in Curve.__dataclass_fields__))
        held = replace(self.tree.held, shape=pot, curve=few)
        return replace(self.tree, held=held, water=held.water(), roots=None)

    def _leaf(self, first: date, days: int) -> FloatArray:
        forecast = None if self.yard is None else self.yard.trees.get(self.tree.facts.tree.id)
        return leaf_share(self.tree, forecast, first, days)

    def _lasts(self, trees: Sequence[DryingTree], first: date, days: int) -> list[Shape]:
        """Days from full until it is time to check, without rain."""
        import numpy as np

        from ringwise.rootzone.balance import DailyForcing, run
        from ringwise.rootzone.due import due_days

        days = min(days, (self.weather.last - first).days + 1)
        given = self.weather.between(first, days)
        dry = DailyForcing(given.et0_mm_day, np.zeros_like(given.rain_mm), given.first_days)
        drawn = [self.pace.drawn(tree, self._leaf(first, days)) for tree in trees]
        usual = self.weather.usual_et0_mm_day(self.weather.first, self.weather.last)
        due = due_days(run(pots_demand(drawn, usual), dry)).reshape(len(trees), -1)
        return [_band(each) for each in due]

    def _at_risk(self, trees: Sequence[DryingTree]) -> list[Shape]:
        """Days of the growing season on which a pot filled up each morning is past due by evening."""
        from ringwise.rootzone.balance import Watering, run
        from ringwise.rootzone.purpose import purpose_row

        if self.yard is None:  # no season is known
            return [dict.fromkeys(("low", "median", "high")) for _tree in trees]
        weeks = purpose_row("season", "after_hottest_weeks").number
        last = min(self.hottest + timedelta(weeks=weeks), self.weather.last)
        days = (last - self.spring).days + 1
        drawn = [self.pace.drawn(tree, self._leaf(self.spring, days)) for tree in trees]
        usual = self.weather.usual_et0_mm_day(self.weather.first, self.weather.last)
        lived = run(pots_demand(drawn, usual), self.weather.between(self.spring, days), Watering("daily"))
        short = lived.water_cm3 < lived.water.refill_cm3[:, None, None]
        return [_band(each) for each in short.sum(axis=-1).reshape(len(trees), -1)]


def _band(samples: FloatArray) -> Shape:
    """One in ten, the median and nine in ten; None where a pot lasts beyond what was reckoned."""
    import numpy as np

    ordered = np.sort(np.asarray(samples, dtype=np.float64))
    ends = [float(ordered[min(int(p * ordered.size), ordered.size - 1)]) for p in (0.1, 0.5, 0.9)]
    return dict(
        zip(("low", "median", "high"), (end if np.isfinite(end) else None for end in ends), strict=True)
    )


def drying_of(workspace: Workspace, facts: TreeFacts) -> Drying:
    """A tree with the weather that dries it.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of a tree in a measured pot.

    Returns
    -------
    Drying
        With weather of usual strength where none is known, and it says so.

    Raises
    ------
    MissingFieldError
        If the tree stands in no measured pot, or in the ground.
    """
    kinds = place_kinds(workspace)
    kind = "bench" if facts.place is None else kinds[facts.place.place]
    try:
        yard = yard_forecast(workspace)
        weather = drying_weather(
            workspace, yard, yard.members_at(facts), workspace.year.start, workspace.year.end
        )
    except RingwiseError:
        return _without_weather(workspace, facts, kind)
    forecast = yard.trees.get(facts.tree.id)
    tree = drying_tree(workspace, facts, forecast, kind=kind, draws=_DRAWS)
    if tree is None:
        raise _no_pot(facts)
    hottest = _hottest(weather)
    spring, assumed = _spring(forecast, hottest)
    pace = paces(workspace, yard, [tree])[facts.tree.id]
    return Drying(
        tree, pace, weather, max(spring, weather.first), hottest, yard, _site(weather, hottest), assumed
    )


def _no_pot(facts: TreeFacts) -> MissingFieldError:
    return MissingFieldError(
        _("no measured pot is known for it; add it: ringwise pot add"), where=facts.tree.id
    )


def _hottest(weather: DryingWeather) -> date:
    """First day of the stretch with the most evaporating power, mean over the weather years."""
    import numpy as np

    from ringwise.rootzone.purpose import purpose_row

    days = round(purpose_row("hottest", "days").number)
    mean = weather.et0_mm_day.mean(axis=0)
    sums = np.convolve(mean, np.ones(min(days, mean.size)), mode="valid")
    return weather.first + timedelta(days=int(np.argmax(sums)))


def _spring(forecast: object, hottest: date) -> tuple[date, tuple[str, ...]]:
    """First day of spring: first leaf where it is known, else so many weeks before the hottest."""
    from ringwise.phenology.forecast import StageForecast
    from ringwise.rootzone.purpose import purpose_row
    from ringwise.season.risk import FIRST_LEAF

    if isinstance(forecast, StageForecast) and FIRST_LEAF in forecast.codes:
        half = timedelta(weeks=purpose_row("spring", "weeks").number / 2)
        return forecast.band(FIRST_LEAF).median + half, ()
    back = timedelta(weeks=purpose_row("spring", "before_hottest_weeks").number)
    return hottest - back, (_("No first leaf is known of it: spring is taken from the heat."),)


def _site(weather: DryingWeather, hottest: date) -> Site:
    from ringwise.rootzone.purpose import Site, purpose_row

    days = round(purpose_row("hottest", "days").number)
    rain = float(weather.rain_mm.mean() * _YEAR_DAYS) if weather.rain_known else None
    return Site(rain, weather.usual_et0_mm_day(hottest, hottest + timedelta(days=days - 1)))


def _without_weather(workspace: Workspace, facts: TreeFacts, kind: str) -> Drying:
    """The tree in full leaf under a spring and a summer of usual strength, joined as one made-up year."""
    import numpy as np

    from ringwise.rootzone.purpose import Site, purpose_row

    tree = drying_tree(workspace, facts, None, kind=kind, draws=_DRAWS)
    if tree is None:
        raise _no_pot(facts)
    spring_mm, hottest_mm = (
        purpose_row("usual", f"{each}_et0_mm_day").number for each in ("spring", "hottest")
    )
    half = round(purpose_row("run", "horizon_days").number)
    et0 = np.concatenate([np.full(half, spring_mm), np.full(half, hottest_mm)])[None, :]
    first = workspace.today
    weather = DryingWeather(
        first=first,
        et0_mm_day=et0,
        rain_mm=np.zeros_like(et0),
        tmin_degC=np.full_like(et0, np.nan),
        measured=(False,) * et0.shape[1],
        coarse_frac=1.0,
        rain_known=False,
    )
    return Drying(
        tree,
        Pace.unknown(),
        weather,
        first,
        first + timedelta(days=half),
        None,
        Site(),
        (
            _(
                "No weather is known: spring counts as {spring} mm a day, the hottest week as {hottest} mm."
            ).format(spring=spring_mm, hottest=hottest_mm),
        ),
    )
