"""An outlook of 300 trees x 30 weather years x 100 parameter draws: stages and windows of every tree.

Trees are made in memory from the list of taxa, a third of them with five seasons seen and one stage of this
year; weather is invented. Forecast and windows are the calls that `ringwise outlook` makes for a yard.
Seconds of the clock mean little on a busy machine, so the processor's are printed beside them. It ends with
1 where both miss the budget.
"""

from __future__ import annotations

import time
from datetime import date

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.operations.registry import OPERATIONS
from ringwise.phenology.choice import Luck
from ringwise.phenology.forecast import StageForecast
from ringwise.phenology.seen import SeenStage, TreeRecord
from ringwise.phenology.species import yard_weather
from ringwise.phenology.yard import one_place, yard_forecast
from ringwise.records.facts import tree_facts
from ringwise.records.model import Tree
from ringwise.records.taxa import all_taxa
from ringwise.season.window import operation_window
from ringwise.weather.series import WeatherSeries, series_of
from ringwise.weather.years import members

TREES, YEARS, DRAWS = 300, 30, 100
BUDGET_S = 5.0
LATITUDE_DEG = 50.0  # some models read the length of the day
YEAR, TODAY = GrowingYear(2026), date(2026, 3, 1)


def weather() -> WeatherSeries:
    """Invented days of enough years."""
    count = 366 * (YEARS + 3)
    wave = 9 - 10 * np.cos(2 * np.pi * (np.arange(count) - 15) / 365.25)
    rough = np.random.default_rng(1).normal(0, 3, count)
    low, high = wave + rough - 4.0, wave + rough + 5.0  # some models read the extremes of the days
    return series_of(date(YEAR.label - YEARS - 2, 1, 1), {"tmin_degC": low, "tmax_degC": high})


def seen_on(tree: int) -> tuple[SeenStage, ...]:
    """What was seen on a tree: of two in three nothing."""
    if tree % 3:
        return ()
    past = [GrowingYear(YEAR.label - k) for k in range(5, 0, -1)]
    told = [SeenStage("07", year, year.day_at(100 + tree % 9)) for year in past]
    return (*told, SeenStage("01", YEAR, date(2026, 2, 26), date(2026, 2, 20)))


def yard() -> list[TreeRecord]:
    """Trees of as many kinds as there are."""
    kinds = [taxon for taxon in all_taxa().values() if not taxon.is_genus]
    return [TreeRecord(k, kinds[k % len(kinds)], seen_on(k)) for k in range(TREES)]


def forecasts(records: list[TreeRecord], series: WeatherSeries) -> dict[int, StageForecast]:
    """Stages of every tree."""
    ahead = members(series, issue=TODAY, year=YEAR, most=YEARS)
    if ahead.n != YEARS:
        raise SystemExit(f"{ahead.n} weather years, {YEARS} wanted")
    luck = Luck(1, DRAWS)
    place = one_place(yard_weather(series, ahead, latitude_deg=LATITUDE_DEG))
    return yard_forecast(records, place, today=TODAY, luck=luck)


def windows(records: list[TreeRecord], made: dict[int, StageForecast]) -> int:
    """How many windows were told: the repot of every tree."""
    told = 0
    for record in records:
        tree = Tree(f"T{record.tree:03}", "bench", record.taxon.key, stage="S5")
        facts = tree_facts(tree, entries=(), pots=(), places=(), on=TODAY)
        told += operation_window(OPERATIONS["repot"], facts, made[record.tree], today=TODAY).sign != ""
    return told


def main() -> None:
    """Print the seconds."""
    records, series = yard(), weather()
    forecasts(records[:2], series)  # tables are read and cached once a process
    clock, processor = time.perf_counter(), time.process_time()
    made = forecasts(records, series)
    between = time.perf_counter(), time.process_time()
    told = windows(records, made)
    spent = time.perf_counter() - clock, time.process_time() - processor
    kinds = len({record.taxon.key for record in records})
    print(f"{TREES} trees of {kinds} kinds x {YEARS} weather years x {DRAWS} parameter draws, one process")
    print(f"stages    {between[0] - clock:6.2f} s, processor {between[1] - processor:6.2f} s")
    print(f"windows   {spent[0] - between[0] + clock:6.2f} s ({told} told)")
    print(f"together  {spent[0]:6.2f} s, processor {spent[1]:6.2f} s; budget {BUDGET_S:.0f} s")
    if min(spent) > BUDGET_S:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
