"""Fitting the stage models to station records: the usable days, the forms, their weights, their spreads.

Used by `accuracy_phenology.py`. Spring: three forms by the search of the product. Autumn: two forms, their
shapes from a grid. Every fit sees the fitting stations alone, and of those at most 600 days: the other days
of the same stations weigh the forms.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.phenology.fit import days_of, fit, seen_on
from ringwise.phenology.form import crossing
from ringwise.phenology.model_daylength import autumn_sums
from ringwise.phenology.models import model
from ringwise.phenology.offsets import Offset, Prior, offset
from ringwise.phenology.search import Search
from ringwise.phenology.seen import variation
from ringwise.phenology.sums import DailyMeans, daily_means
from station_records import Event, Records, Weather

FIT_DAYS = 600
FORMS = ("thermal_time", "menzel", "uniforc")  # three forms a species
SPRING_INDEX, AUTUMN_INDEX = (-60, 220), (182, 365)  # days of weather kept, by day index
AUTUMN_FORM, AUTUMN_WINDOW_DAYS, AUTUMN_RUN_DAYS = "cool_run", 7.0, 5.0  # as in the table of models
COLD_SHAPES = {
    "base": (16.0, 18.0, 20.0, 22.0, 25.0, 28.5),
    "warm_power": (1.0, 2.0),
    "day_start": (11.5, 12.0, 12.5, 13.0),
    "day_power": (0.0, 2.0),
}
LATITUDE_DEG = 36.0  # the middle of the country: the package tells no coordinates
THRESHOLDS_DEGC = np.arange(4.0, 22.1, 0.5)
NEARLY_ALIKE_FRAC = 1e-6  # two forecasts that are the same day by day share evenly
YEAR = GrowingYear(2013)  # only carries the starts of chill and heat, the same day indices in any year


@dataclass(frozen=True)
class Cases:
    """The usable days of an event: station, year, day, and the weather of each season as a row."""

    event: Event
    site: list[str]
    label: FloatArray
    day_index: FloatArray
    rows: FloatArray
    first_index: int

    def days(self, rows: FloatArray) -> DailyMeans:
        """Rows of weather as the models take them."""
        return daily_means(rows, first_index=self.first_index, year=YEAR)


@dataclass(frozen=True)
class Fitted:
    """A fitted form and what the fitting stations say of its spreads."""

    form: str
    fit_rmse_days: float
    modelled: FloatArray
    site_sd_days: float
    season_sd_days: float
    values: dict[str, float]

    def own(self, residuals: FloatArray) -> Offset:
        """The offset of a station after its own seasons."""
        return shrunk(residuals, self.site_sd_days, self.season_sd_days)


@dataclass(frozen=True)
class Split:
    """The forms of one split; `spare` marks the days of the fitting stations that none was fitted to."""

    forms: tuple[Fitted, ...]
    spare: BoolArray


def cases(told: Records, event: Event, weather: dict[str, Weather]) -> Cases:
    """The records that have whole weather."""
    first, last = AUTUMN_INDEX if event.autumn else SPRING_INDEX
    kept, rows = [], []
    for at, site in enumerate(told.site):
        season = weather[site].season(int(told.label[at]), first, last) if site in weather else None
        if season is not None:
            kept.append(at)
            rows.append(season)
    sites = [told.site[at] for at in kept]
    return Cases(
        event, sites, told.label[kept].astype(np.float64), told.day_index[kept], np.array(rows), first
    )


def fitted(of: Cases, fits: BoolArray, seed: int) -> Split:
    """The forms, fitted to at most 600 days of the fitting stations; in autumn the one that errs less."""
    taken = np.random.default_rng(seed).permutation(np.flatnonzero(fits))[:FIT_DAYS]
    used = np.zeros_like(fits)
    used[taken] = True
    spare = fits & ~used
    if of.event.autumn:
        both = (_cool(of, fits, used), _cold(of, fits, used))
        return Split((min(both, key=lambda each: each.fit_rmse_days),), spare)
    days, seen = of.days(of.rows[taken]), seen_on(np.arange(taken.size), of.day_index[taken])
    forms = []
    for name in FORMS:
        values = dict(fit(name, days, seen, search_of(seed)).values)
        modelled = days_of(name, values, of.days(of.rows))
        forms.append(_with_spreads(of, fits, used, (name, modelled, values)))
    return Split(tuple(forms), spare)


def search_of(seed: int) -> Search:
    """Seed and effort of each fit."""
    return Search(seed, population=32, patience=20, least_gain_frac=1e-3, generations=200)


def _cold(of: Cases, fits: BoolArray, used: BoolArray) -> Fitted:
    """The sum of cold on short days: of a grid of shapes the one that errs least, its need the median sum."""
    days = replace(of.days(of.rows), latitude_deg=LATITUDE_DEG)
    seen = np.round(of.day_index).astype(np.int64) - of.first_index
    found: list[tuple[float, FloatArray, dict[str, float]]] = []
    for shape in itertools.product(*COLD_SHAPES.values()):
        values = {"start_day": float(of.first_index), **dict(zip(COLD_SHAPES, shape, strict=True))}
        total = autumn_sums({name: np.array([value]) for name, value in values.items()}, days)["cold_sum"]
        need = float(np.median(total[0][used, seen[used]]))
        reached = crossing(days, total, np.full((1, 1, 1), need))[:, 0]
        reached = np.where(np.isnan(reached), float(AUTUMN_INDEX[1] + 1), reached)
        error = root((of.day_index - reached)[used])
        found.append((error, reached, {**values, "cold_need": need}))
    _error, modelled, values = min(found, key=lambda each: each[0])
    return _with_spreads(of, fits, used, ("delpierre", modelled, values))


def _cool(of: Cases, fits: BoolArray, used: BoolArray) -> Fitted:
    """The run of cool days with the threshold that errs least, and the days between it and the colour."""
    held = {"start_day": AUTUMN_INDEX[0], "window": AUTUMN_WINDOW_DAYS, "run": AUTUMN_RUN_DAYS}
    needs = {name: np.array([float(value)]) for name, value in held.items()}
    days = model(AUTUMN_FORM).run({**needs, "threshold": THRESHOLDS_DEGC}, of.days(of.rows))
    days = np.where(np.isnan(days), float(AUTUMN_INDEX[1] + 1), days)
    days = days + (of.day_index[used, None] - days[used]).mean(axis=0)
    errors = ((of.day_index[used, None] - days[used]) ** 2).mean(axis=0)
    at = int(errors.argmin())
    return _with_spreads(
        of, fits, used, (AUTUMN_FORM, days[:, at], {"threshold": float(THRESHOLDS_DEGC[at])})
    )


def _with_spreads(
    of: Cases, fits: BoolArray, used: BoolArray, told: tuple[str, FloatArray, dict[str, float]]
) -> Fitted:
    form, modelled, values = told
    residual = of.day_index - modelled
    return Fitted(form, root(residual[used]), modelled, *spreads(of, fits, residual), values)


def best_shares(errors: FloatArray, seasons: int) -> FloatArray:
    """Shares of forecasts whose weighted mean errs least, shrunk to equal ones as in the product.

    `errors` (cases, forecasts) are of days that none of them was fitted to. Unlike weights by each one's own
    error these mind that errors are alike: a poor forecast whose errors go along with a better one's adds
    nothing.
    """
    count = errors.shape[1]
    products = errors.T @ errors
    products += np.eye(count) * NEARLY_ALIKE_FRAC * np.trace(products)
    found: list[tuple[float, FloatArray]] = []
    for chosen in itertools.product((False, True), repeat=count):
        some = np.flatnonzero(chosen)
        if some.size == 0:
            continue
        raw = np.linalg.solve(products[np.ix_(some, some)], np.ones(some.size))
        shares = np.zeros(count)
        shares[some] = raw / raw.sum()
        if bool((shares >= 0.0).all()):
            found.append((float(shares @ products @ shares), shares))
    least = min(found, key=lambda each: each[0])[1]
    trusted = seasons / (seasons + variation().get("any", "weight_seasons").number)
    return np.asarray(trusted * least + (1.0 - trusted) / count)


def spreads(of: Cases, fits: BoolArray, residual: FloatArray) -> tuple[float, float]:
    """Spread between stations and within them, by their variances."""
    groups = [residual[at] for at in by_site(of, fits).values() if len(at) > 1]
    count = sum(each.size for each in groups)
    within = sum(float(((each - each.mean()) ** 2).sum()) for each in groups) / (count - len(groups))
    chance = within * float(np.mean([1.0 / each.size for each in groups]))
    between = float(np.var([each.mean() for each in groups], ddof=1)) - chance
    return float(np.sqrt(max(between, 0.25))), float(np.sqrt(within))


def by_site(of: Cases, chosen: BoolArray) -> dict[str, list[int]]:
    """Places of the chosen days, by station."""
    places: dict[str, list[int]] = defaultdict(list)
    for at in np.flatnonzero(chosen):
        places[of.site[at]].append(int(at))
    return places


def shrunk(residuals: FloatArray, site_sd_days: float, season_sd_days: float) -> Offset:
    """An offset learned from residuals, from nothing known of the station."""
    variances = np.full(residuals.size, season_sd_days**2)
    return offset(residuals[:, None], variances, Prior(0.0, site_sd_days))


def root(errors: FloatArray) -> float:
    """Root of the mean of squares."""
    return float(np.sqrt((errors**2).mean()))
