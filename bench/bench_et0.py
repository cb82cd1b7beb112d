"""Reference evapotranspiration of a million days against pyet, in one run.

Both get the same days at one place, with humidity, wind and radiation, and both are asked for the answer
alone; ours brings every intermediate with it. pyet works on pandas columns, whose making is not counted. It
spends most of its time on writing dates out to find the day of the year, so it is timed again with that done
before: the second ratio compares the formulas.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
import pandas as pd

DAYS = 1_000_000
ROUNDS = 7
LATITUDE_DEG, ELEVATION_M = 47.45, 120.0


def best_s(*works: Callable[[], object]) -> list[float]:
    """The fastest of several rounds of each, in seconds, taken in turn so that all meet the same machine."""
    spent: list[list[float]] = [[] for _work in works]
    for _round in range(ROUNDS):
        for place, work in enumerate(works):
            began = time.perf_counter()
            work()
            spent[place].append(time.perf_counter() - began)
    return [min(each) for each in spent]


def made() -> dict[str, np.ndarray]:
    """Weather of any sort, one value a day, by pyet's names."""
    draw = np.random.default_rng(1)
    low = draw.uniform(-15.0, 25.0, DAYS)
    least = draw.uniform(10.0, 70.0, DAYS)
    return {
        "tmin": low,
        "tmax": low + draw.uniform(1.0, 20.0, DAYS),
        "rhmin": least,
        "rhmax": least + draw.uniform(0.0, 30.0, DAYS),
        "wind": draw.uniform(0.0, 9.0, DAYS),
        "rs": draw.uniform(0.5, 35.0, DAYS),
    }


def century() -> pd.DatetimeIndex:
    """As many dates, the days of a hundred years again and again."""
    once = pd.date_range("1901-01-01", "2000-12-31")
    return once.append([once] * (DAYS // once.size))[:DAYS]


def tell(pyet_s: float, bare_s: float, formula_s: float, routes_s: float) -> None:
    """Print the seconds and both ratios."""
    print(f"pyet, with its calendar           {pyet_s:7.3f} s")
    print(f"pyet, days of the year given      {bare_s:7.3f} s")
    for name, spent_s in (("Penman-Monteith", formula_s), ("with the choice of route", routes_s)):
        ratios = f"{spent_s / pyet_s:.2f} and {spent_s / bare_s:.2f}"
        print(f"ours, {name:28s}{spent_s:7.3f} s; ratio {ratios}")


def main() -> None:
    """Print the table."""
    import pyet

    from ringwise.weather.et0_routes import MeasuredDays, et0_days
    from ringwise.weather.evapotranspiration import DailyAir, penman_monteith
    from ringwise.weather.humidity import Humidity, actual_vapour

    index = century()
    days = index.dayofyear.to_numpy().astype(np.int64)
    values = made()
    column = {name: pd.Series(each, index) for name, each in values.items()}
    humidity = Humidity(rh_min_pct=values["rhmin"], rh_max_pct=values["rhmax"])
    measured = MeasuredDays(days, values["tmin"], values["tmax"], humidity, values["wind"], values["rs"])
    place = {"latitude_deg": LATITUDE_DEG, "elevation_m": ELEVATION_M}

    def theirs() -> np.ndarray:
        mean = (column["tmin"] + column["tmax"]) / 2
        found = pyet.pm_fao56(mean, elevation=ELEVATION_M, lat=np.radians(LATITUDE_DEG), **column)
        return found.to_numpy()

    def formula() -> np.ndarray:
        actual = actual_vapour(values["tmin"], values["tmax"], humidity).actual_kPa
        air = DailyAir(days, values["tmin"], values["tmax"], actual, values["wind"], values["rs"])
        return penman_monteith(air, **place).et0_mm_day

    def routes() -> np.ndarray:
        return et0_days(measured, **place).et0_mm_day

    apart = float(np.abs(formula() - theirs()).max())
    if apart > 1e-4 or not np.array_equal(formula(), routes()):
        raise SystemExit(f"the two differ by {apart:g} mm")
    began = time.perf_counter()
    theirs()
    pyet_s = time.perf_counter() - began
    known = pd.Series(days, index)
    pyet.meteo_utils.day_of_year = lambda _index: known
    bare_s, formula_s, routes_s = best_s(theirs, formula, routes)
    print(f"{DAYS:,} days, best of {ROUNDS}; largest difference {apart:.1e} mm")
    tell(pyet_s, bare_s, formula_s, routes_s)


if __name__ == "__main__":
    main()
