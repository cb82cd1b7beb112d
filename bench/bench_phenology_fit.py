"""Fitting UniForc to the Vaccinium records of pyPhenology: its own fit and ours, in one run.

The same model, the same bounds (its defaults) and the same records; its preset for practical work. It ends
with 1 where ours is not ten times faster, or its error is larger. `--quick` lets pyPhenology search with its
preset for tests, which shows that the bench runs and says nothing of speed.
"""

from __future__ import annotations

import sys
import time
import warnings

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.phenology.fit import Sightings, fit, seen_on
from ringwise.phenology.search import Search
from ringwise.phenology.sums import DailyMeans, daily_means

TIMES_FASTER = 10.0
PHASES = ("budburst", "flowers")


def records(phase: str) -> tuple[object, object, DailyMeans, Sightings]:
    """The packaged records: theirs as they come, ours as one row a season."""
    from pyPhenology import utils

    seen, weather = utils.load_test_data(name="vaccinium", phenophase=phase)
    rows = weather.pivot(index="year", columns="doy", values="temperature")
    row = {year: k for k, year in enumerate(rows.index)}
    days = daily_means(rows.to_numpy(), first_index=int(rows.columns[0]), year=GrowingYear(1991))
    season = np.array([row[year] for year in seen.year])
    return seen, weather, days, seen_on(season, seen.doy.to_numpy(dtype=float))


def theirs(seen: object, weather: object, preset: str) -> tuple[float, float]:
    """Seconds and root mean square error of pyPhenology's fit."""
    from pyPhenology import models

    np.random.seed(42)  # noqa: NPY002 - its search draws from the global generator
    began = time.perf_counter()
    found = models.Uniforc()
    found.fit(seen, weather, optimizer_params=preset)
    spent = time.perf_counter() - began
    return spent, float(np.sqrt(np.mean((found.predict() - seen.doy.to_numpy()) ** 2)))  # type: ignore[attr-defined]


def ours(days: DailyMeans, seen: Sightings, seed: int) -> tuple[float, float]:
    """Seconds and root mean square error of our fit."""
    began = time.perf_counter()
    found = fit("uniforc", days, seen, Search(seed))
    return time.perf_counter() - began, found.rmse_days


def main() -> None:
    """Print the table."""
    warnings.simplefilter("ignore")  # of its pandas
    preset = "testing" if "--quick" in sys.argv else "practical"
    missed = False
    for phase in PHASES:
        seen, weather, days, told = records(phase)
        slow_s, their_days = theirs(seen, weather, preset)
        print(f"{phase:10} pyPhenology ({preset}) {slow_s:8.2f} s   error {their_days:.3f} days")
        for seed in (1, 2, 3):
            fast_s, our_days = ours(days, told, seed)
            ratio = slow_s / fast_s
            print(f"{phase:10} ringwise, seed {seed} {fast_s:14.2f} s   error {our_days:.3f} days", end="")
            print(f"   {ratio:.1f} times as fast")
            missed |= ratio < TIMES_FASTER or our_days > their_days + 1e-9
    if missed and preset == "practical":
        raise SystemExit(1)


if __name__ == "__main__":
    main()
