"""The yard's forecast is made once while nothing changes, and anew when anything that it stands on does."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from living_yards import NOW, TODAY, save, small_yard, stage

from ringwise.desk.living import LivingYard
from ringwise.desk.settings import write_settings
from ringwise.desk.weather import rows_of
from ringwise.desk.workspace import open_workspace
from ringwise.desk.yard_forecast import YardForecast, yard_forecast
from ringwise.kit.reading import Reading, reading
from ringwise.records.store import open_store
from ringwise.weather.series import series_of


def days_of(made: YardForecast, tree: str = "T1") -> np.ndarray:
    return made.trees[tree].samples("07")


def test_one_step_has_one_forecast_and_a_sighting_makes_it_anew(tmp_path: Path) -> None:
    folder = small_yard(tmp_path / "yard")
    with LivingYard(folder) as yard:
        first = yard_forecast(yard.workspace())
        assert yard_forecast(yard.workspace()) is first
        assert yard_forecast(yard.workspace(), years_on=1) is not first
        with reading(Reading("de")):
            german = yard_forecast(yard.workspace())
        assert german.trees["T1"].trace.label != first.trees["T1"].trace.label
        with open_store(folder) as other:  # as another program would
            save(other, stage("T1", "07", 1))
        anew = yard_forecast(yard.workspace())
        assert days_of(anew).max() < days_of(first).max()
        warm = series_of(
            TODAY, {"tmin_degC": np.array([9.0]), "tmax_degC": np.array([15.0])}, station="Sallow Yard"
        )
        with open_store(folder) as other:
            other.weather_put(NOW, rows_of(warm))
        assert yard_forecast(yard.workspace()) is not anew


def test_kept_and_made_anew_are_the_same_and_settings_count(tmp_path: Path) -> None:
    folder = small_yard(tmp_path / "yard")
    with LivingYard(folder) as yard:
        kept = yard_forecast(yard.workspace())
        fresh = open_workspace(folder)
        made = yard_forecast(fresh)
        assert yard_forecast(fresh) is made  # for one wish
        fresh.store.close()
        np.testing.assert_array_equal(days_of(kept), days_of(made))
    write_settings(folder, {"name": "Small yard", "latitude_deg": 52.4, "today": TODAY, "seed": 5})
    with LivingYard(folder) as yard:
        assert not np.array_equal(days_of(yard_forecast(yard.workspace())), days_of(kept))
