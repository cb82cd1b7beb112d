"""Weather in bulk, stored results, and jobs that can be watched, cancelled and taken up again."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from record_samples import NOON, action

from ringwise.kit.errors import ConflictError, FileFormatError, NotFoundError, RangeError, UnknownNameError
from ringwise.records.store import Store, WeatherRows, open_store
from ringwise.records.store.tables import WEATHER_COLUMNS

FIRST = date(2026, 1, 1)


def _rows(tmin: list[float], first: date = FIRST, *, station: str = "yard", source: str = "a") -> WeatherRows:
    filled = np.zeros(len(tmin), dtype=bool)
    return WeatherRows(station, first, {"tmin_degC": np.array(tmin)}, filled, source, invented=False)


def test_weather_comes_back_as_it_was_stored(store: Store) -> None:
    columns = {name: np.arange(4.0) + i for i, name in enumerate(WEATHER_COLUMNS)}
    columns["rain_mm"] = np.array([0.0, np.nan, 2.5, np.nan])
    given = WeatherRows(
        "yard", FIRST, columns, np.array([False, True, False, False]), "file.csv", invented=True
    )
    assert store.weather_put(action("weather import"), given) == 4
    found = store.weather_get("yard")
    assert (found.station, found.first, found.n_days) == ("yard", FIRST, 4)
    assert (found.source, found.invented) == ("file.csv", True)
    assert found.filled.tolist() == [False, True, False, False]
    for name in WEATHER_COLUMNS:
        np.testing.assert_array_equal(found.columns[name], columns[name])


def test_a_missing_column_is_not_a_number_and_never_zero(store: Store) -> None:
    store.weather_put(action(), _rows([1.0, 2.0]))
    assert np.isnan(store.weather_get("yard").columns["rain_mm"]).all()


def test_importing_again_adds_only_what_is_new(store: Store) -> None:
    store.weather_put(action(), _rows([1.0, 2.0, np.nan]))
    assert store.weather_put(action(), _rows([1.0, 2.0, np.nan])) == 0
    assert len(store.actions()) == 2
    assert store.weather_put(action(), _rows([1.0, 9.0, np.nan, 4.0], source="b")) == 2
    found = store.weather_get("yard")
    np.testing.assert_array_equal(found.columns["tmin_degC"], [1.0, 9.0, np.nan, 4.0])
    assert found.source == "a; b"


def test_an_import_can_be_undone_and_seen_as_known_then(store: Store) -> None:
    store.weather_put(action(days=1), _rows([1.0, 2.0]))
    store.weather_put(action("second import", days=2), _rows([5.0, 6.0]))
    known = store.weather_get("yard", as_of=NOON.date() + timedelta(days=1))
    assert known.columns["tmin_degC"].tolist() == [1.0, 2.0]
    assert store.undo("Ida", NOON).command == "second import"
    assert store.weather_get("yard").columns["tmin_degC"].tolist() == [1.0, 2.0]
    store.undo("Ida", NOON)
    assert store.weather_stations() == []
    with pytest.raises(NotFoundError, match="yard"):
        store.weather_get("yard")


def test_days_in_between_are_missing(store: Store) -> None:
    store.weather_put(action(), _rows([1.0]))
    store.weather_put(action(), _rows([4.0], FIRST + timedelta(days=3)))
    found = store.weather_get("yard")
    np.testing.assert_array_equal(found.columns["tmin_degC"], [1.0, np.nan, np.nan, 4.0])
    assert found.filled.tolist() == [False] * 4


def test_stations_do_not_mix(store: Store) -> None:
    store.weather_put(action(), _rows([1.0]))
    store.weather_put(action(), _rows([2.0], station="field"))
    assert store.weather_stations() == ["field", "yard"]
    assert store.weather_get("field").columns["tmin_degC"].tolist() == [2.0]


def test_days_of_another_role_are_never_a_stations(store: Store) -> None:
    store.weather_put(action(days=1), _rows([1.0]))
    ahead = replace(_rows([7.0, 8.0], FIRST + timedelta(days=1)), role="forecast")
    shed = replace(_rows([5.0], station="Shed"), role="place")
    assert store.weather_put_all(action("weather import", days=2), [ahead, shed]) == [2, 1]
    assert store.weather_get("yard").n_days == 1
    assert store.weather_stations() == ["yard"]
    assert (store.weather_stations(role="forecast"), store.weather_stations(role="place")) == (
        ["yard"],
        ["Shed"],
    )
    found = store.weather_get("yard", role="forecast")
    assert (found.role, found.columns["tmin_degC"].tolist()) == ("forecast", [7.0, 8.0])
    assert found.recorded is not None
    assert found.recorded.tolist() == [(NOON.date() + timedelta(days=2)).toordinal()] * 2
    assert len(store.weather_batches()) == len(store.weather_batches("forecast")) == 1
    with pytest.raises(NotFoundError, match="Shed"):
        store.weather_get("Shed")


def test_the_day_of_storing_is_told_day_by_day(store: Store) -> None:
    for days, values in enumerate(([1.0, 2.0, 3.0], [1.0, 9.0])):
        store.weather_put(action(days=days), replace(_rows(values), role="forecast"))
    recorded = store.weather_get("yard", role="forecast").recorded
    assert recorded is not None
    first = NOON.date().toordinal()
    assert recorded.tolist() == [first, first + 1, first]  # an unchanged day is the older forecast still


def test_days_stored_together_are_taken_back_together(store: Store) -> None:
    ahead = replace(_rows([7.0], FIRST + timedelta(days=2)), role="forecast")
    before = store.latest_step()
    assert store.weather_put_all(action("weather import"), [_rows([1.0, 2.0]), ahead]) == [2, 1]
    assert store.weather_put_all(action("weather import"), [_rows([1.0, 2.0]), ahead]) == [0, 0]
    assert store.latest_step() == before + 1
    assert store.undo("Ida", NOON + timedelta(hours=1)).command == "weather import"
    assert store.weather_stations() == store.weather_stations(role="forecast") == []


def test_weather_that_does_not_fit_is_refused(store: Store) -> None:
    with pytest.raises(FileFormatError, match="3 values for 2 days"):
        store.weather_put(
            action(),
            WeatherRows("y", FIRST, {"tmin_degC": np.zeros(3)}, np.zeros(2, bool), "", invented=True),
        )
    with pytest.raises(UnknownNameError, match="tmin_degC"):
        store.weather_put(action(), replace(_rows([1.0, 2.0]), columns={"tmin_deg": np.zeros(2)}))
    with pytest.raises(UnknownNameError, match="forecast"):
        store.weather_put(action(), replace(_rows([1.0]), role="forcast"))
    assert store.weather_stations() == []


def test_results_are_served_by_their_key_alone(store: Store) -> None:
    store.result_put("abc", "outlook", '{"day": 87}', made=NOON, engine_version="1", seed=7)
    assert store.result_get("abc") == '{"day": 87}'
    assert store.result_get("abd") is None
    store.result_put("abc", "outlook", '{"day": 88}', made=NOON)
    assert store.result_get("abc") == '{"day": 88}'


def test_a_job_runs_and_ends(store: Store) -> None:
    jobs = store.jobs
    assert jobs.start("j", "futures", NOON).state == "running"
    assert jobs.progress("j", NOON, 0.5, block=0, payload=b"half") is False
    assert (jobs.get("j").progress_frac, jobs.blocks("j")) == (0.5, {0: b"half"})
    done = jobs.finish("j", NOON + timedelta(minutes=1))
    assert (done.state, done.progress_frac, done.ended) == ("done", 1.0, True)
    assert done.finished_at == NOON + timedelta(minutes=1)
    assert jobs.blocks("j") == {}
    with pytest.raises(ConflictError, match="done already"):
        jobs.start("j", "futures", NOON)


def test_a_killed_job_is_taken_up_where_it_was(store: Store, engine: str) -> None:
    store.jobs.start("j", "futures", NOON, resume='{"seed": 7}')
    for block in (2, 0):
        store.jobs.progress("j", NOON, 0.1, block=block, payload=bytes([block]))
    store.jobs.progress("j", NOON, 0.2, block=2, payload=b"again")
    store.close()
    with open_store(store.folder, engine=engine) as later:
        assert [job.id for job in later.jobs.all("running")] == ["j"]
        job = later.jobs.start("j", "futures", NOON + timedelta(hours=1))
        assert (job.resume, job.progress_frac) == ('{"seed": 7}', 0.2)
        assert list(later.jobs.blocks("j").items()) == [(0, b"\x00"), (2, b"again")]


def test_cancelling(store: Store) -> None:
    store.jobs.start("running", "futures", NOON)
    store.jobs.start("waiting", "futures", NOON, queued=True)
    assert store.jobs.cancel("running", NOON).state == "running"
    assert store.jobs.progress("running", NOON, 0.5) is True
    assert store.jobs.finish("running", NOON, state="cancelled").progress_frac == 0.5
    assert store.jobs.cancel("waiting", NOON).state == "cancelled"
    assert store.jobs.start("running", "futures", NOON).cancel_requested is False


def test_a_failed_job_says_why(store: Store) -> None:
    store.jobs.start("j", "futures", NOON)
    assert store.jobs.finish("j", NOON, state="failed", error="no weather").error == "no weather"
    assert store.jobs.start("j", "futures", NOON).error == ""


def test_jobs_refuse(store: Store) -> None:
    with pytest.raises(NotFoundError, match="no job x"):
        store.jobs.get("x")
    store.jobs.start("j", "futures", NOON)
    with pytest.raises(RangeError, match="progress"):
        store.jobs.progress("j", NOON, 1.5)
    with pytest.raises(UnknownNameError):
        store.jobs.finish("j", NOON, state="lost")
    with pytest.raises(UnknownNameError):
        store.jobs.all("lost")


def test_jobs_newest_first(store: Store) -> None:
    for hour, name in enumerate("abc"):
        store.jobs.start(name, "futures", datetime(2027, 3, 7, hour, tzinfo=UTC))
    assert [job.id for job in store.jobs.all()] == ["c", "b", "a"]
