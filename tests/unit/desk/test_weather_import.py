"""What an import stores and says: measured days alone, what was rejected, and nothing where a file is bad."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ringwise.desk.weather import import_weather
from ringwise.desk.weather_file import bring_weather
from ringwise.desk.weather_under import yard_series
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import RingwiseError

DATA = Path(__file__).parents[1] / "weather" / "data"
OWN = b"date,tmin_degC,tmax_degC\n2024-02-25,1,5\n2024-02-26,0,4\n"


def opened(folder: Path, on: str = "2024-03-01") -> Workspace:
    return open_workspace(folder, on=on)


def import_in(workspace: Workspace, file: Path, *, preview: bool = False) -> dict[str, object]:
    return import_weather(workspace, file, columns=None, station="yard", preview=preview)


def test_a_preview_says_what_is_understood_and_stores_nothing(tmp_path: Path) -> None:
    workspace = opened(tmp_path)
    told = import_in(workspace, DATA / "ghcn_by_station.csv", preview=True)
    assert told["format"] == "ghcn_by_station"
    assert told["understood"] == [
        {"column": "TMIN", "ours": "tmin_degC", "unit": "tenths_degC", "values": 5},
        {"column": "TMAX", "ours": "tmax_degC", "unit": "tenths_degC", "values": 4},
        {"column": "PRCP", "ours": "rain_mm", "unit": "tenths_mm", "values": 2},
    ]
    assert told["rejected"] == [
        {"day": "2024-02-29", "column": "TMAX", "text": "350", "reason": "quality flag I"}
    ]
    assert (told["stored"], told["new_days"]) == (False, None)
    assert workspace.store.weather_stations() == []
    assert workspace.store.latest_step() == opened(tmp_path).store.latest_step()


def test_days_to_come_are_no_measured_days_and_are_said(tmp_path: Path) -> None:
    told = import_in(opened(tmp_path, "2024-02-29"), DATA / "open_meteo.json")
    assert (told["forecast_from"], told["forecast_days"], told["stored"]) == ("2024-02-29", 2, True)
    assert told["last"] == "2024-02-28"
    assert any("kept as a forecast up to" in line for line in told["lines"])  # type: ignore[attr-defined]
    assert yard_series(opened(tmp_path)).last == date(2024, 2, 28)


def test_a_file_of_days_to_come_alone_is_kept_as_a_forecast(tmp_path: Path) -> None:
    told = import_in(opened(tmp_path, "2024-02-20"), DATA / "open_meteo.json")
    assert (told["first"], told["new_days"], told["forecast_from"]) == (None, 0, "2024-02-26")
    assert opened(tmp_path).store.weather_stations() == []
    assert opened(tmp_path).store.weather_stations(role="forecast") == ["yard"]


@pytest.mark.parametrize("name", sorted(file.name for file in DATA.iterdir() if file.suffix != ".md"))
def test_what_was_read_is_what_comes_back_from_the_store(tmp_path: Path, name: str) -> None:
    told = import_in(opened(tmp_path, "2026-01-01"), DATA / name)
    series = yard_series(opened(tmp_path, "2026-01-01"))
    assert (series.first.isoformat(), series.last.isoformat()) == (told["first"], told["last"])
    assert int(series.filled.sum()) == told["filled_days"]
    assert series.source == name


def test_the_app_takes_any_format_and_tells_what_it_did(tmp_path: Path) -> None:
    file = tmp_path / ".incoming-1"
    file.write_bytes((DATA / "gsod.csv").read_bytes())
    done = bring_weather(opened(tmp_path), file, "roof.csv")
    assert done["id"] == "roof"
    assert "read as: GSOD" in done["line"]
    assert "rain flag I" in done["line"]
    assert "tmin_degC from" not in done["line"]


def test_a_bridged_day_that_had_to_stay_open_does_not_lock_the_series(tmp_path: Path) -> None:
    cells = {"TMIN": (("01", 50), ("03", 50)), "TMAX": (("01", 100), ("02", 30), ("03", 100))}
    rows = [f"XX000000001,202402{d},{e},{v},,,S,\n" for e, each in cells.items() for d, v in each]
    (tmp_path / "a.csv").write_text("".join(rows))
    import_in(opened(tmp_path), tmp_path / "a.csv")
    day = yard_series(opened(tmp_path)).day(date(2024, 2, 2))
    assert (day["tmin_degC"], day["tmax_degC"]) == (None, 3.0)


@pytest.mark.parametrize("day", ["2024-02-24", "2024-02-27"])
def test_a_day_that_contradicts_the_stored_one_beside_it_is_refused(tmp_path: Path, day: str) -> None:
    (tmp_path / "own.csv").write_bytes(OWN)
    import_in(opened(tmp_path), tmp_path / "own.csv")
    (tmp_path / "next.csv").write_text(f"date,tmin_degC,tmax_degC\n{day},1,45\n")
    with pytest.raises(RingwiseError, match="beside the days that are stored, tmax_degC jumps") as wrong:
        import_in(opened(tmp_path), tmp_path / "next.csv")
    assert wrong.value.where == "next.csv"
    assert yard_series(opened(tmp_path)).n == 2
    (tmp_path / "far.csv").write_text("date,tmin_degC,tmax_degC\n2024-02-20,1,25\n")
    import_in(opened(tmp_path), tmp_path / "far.csv")
    assert yard_series(opened(tmp_path)).n == 7


@given(st.data())
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_file_with_changed_bytes_is_stored_whole_or_not_at_all(tmp_path: Path, data: st.DataObject) -> None:
    folder = tmp_path / "yard"
    workspace = opened(folder, "2026-01-01")
    if not workspace.store.weather_stations():
        (tmp_path / "own.csv").write_bytes(OWN)
        import_weather(workspace, tmp_path / "own.csv", columns=None, station="kept", preview=False)
    before = (workspace.store.latest_step(), workspace.store.weather_batches())
    name = data.draw(st.sampled_from(sorted(file.name for file in DATA.iterdir())))
    good = (DATA / name).read_bytes()
    place = data.draw(st.integers(0, len(good)))
    put = data.draw(st.one_of(st.binary(max_size=5), st.sampled_from([b"9999", b"-", b"\n", b",,"])))
    (tmp_path / "mutated").write_bytes(good[:place] + put + good[place + data.draw(st.integers(0, 9)) :])
    line = ""
    try:
        import_in(workspace, tmp_path / "mutated")
    except RingwiseError as wrong:
        line = str(wrong)
    assert len(line.splitlines()) <= 1
    after = (workspace.store.latest_step(), workspace.store.weather_batches())
    assert not line or after == before
    assert "kept" in workspace.store.weather_stations()
