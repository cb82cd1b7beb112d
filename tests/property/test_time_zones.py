"""A collection on machines in other zones at one instant: each has its own civil day, all through.

Day of an entry and moment of its writing, growing year, outlook, calendar, the app's head and almanac, and
which days of a weather file are still to come.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar
from zones import machine

from ringwise.desk.almanac_making import kept_almanac
from ringwise.desk.clock import now
from ringwise.desk.demo.weather import demo_weather
from ringwise.desk.head import head
from ringwise.desk.living import LivingYard
from ringwise.desk.settings import write_settings
from ringwise.desk.weather import import_weather, rows_of
from ringwise.desk.workspace import open_workspace
from ringwise.faces.start import exit_code
from ringwise.kit.days import GrowingYear
from ringwise.records.model import Action, Tree
from ringwise.records.store import open_store

BEHIND, AHEAD, BETWEEN = "Pacific/Pago_Pago", "Pacific/Kiritimati", "Asia/Kathmandu"
SETTINGS: dict[str, Any] = {"name": "Zones", "latitude_deg": 47.5}
ZONES = (BEHIND, BETWEEN, "Europe/Berlin", AHEAD)
NEW_YEAR = datetime(2027, 12, 31, 10, 15, tzinfo=UTC)
LEAP = datetime(2028, 2, 29, 10, 15, tzinfo=UTC)
NORTH_TURN = datetime(2027, 10, 31, 10, 15, tzinfo=UTC)
SOUTH_TURN = datetime(2027, 4, 30, 10, 15, tzinfo=UTC)
CLOCKS_BACK = datetime(2027, 10, 31, 0, 59, 59, tzinfo=UTC)  # 02:59:59 in Berlin; then it is 02:00 again


@pytest.fixture(autouse=True)
def _own_zone_again() -> Iterator[None]:
    yield
    time.tzset()


def yard(folder: Path, *, south: bool = False, until: date = date(2028, 2, 26)) -> Path:
    """Two trees and some years of weather; no day is pinned."""
    write_settings(folder, SETTINGS | ({"latitude_deg": -37.5} if south else {}))
    written = Action("grower", "tree add", datetime(2027, 1, 5, 12, tzinfo=UTC))
    with open_store(folder) as store:
        store.save(written, [Tree("T1", "Gate", "larix_decidua"), Tree("T2", "Well", "acer_palmatum")])
        store.weather_put(written, rows_of(demo_weather(until, first=date(2019, 11, 1))))
    return folder


def said(capsys: pytest.CaptureFixture[str], folder: Path, *words: str) -> Any:
    capsys.readouterr()
    assert exit_code([*words, "--collection", str(folder), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def local(zone: str, instant: datetime) -> datetime:
    return instant.astimezone(ZoneInfo(zone))


@pytest.mark.parametrize("instant", [NEW_YEAR, LEAP, CLOCKS_BACK, CLOCKS_BACK + timedelta(seconds=2)])
@pytest.mark.parametrize("zone", ZONES)
def test_an_entry_is_of_its_own_day_and_carries_its_offset(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], zone: str, instant: datetime
) -> None:
    folder = yard(tmp_path / "yard")
    with machine(zone, instant):
        said(capsys, folder, "log", "T1", "note", "buds are tight")
        workspace = open_workspace(folder)
        (entry,) = workspace.store.entries(tree="T1")
        action = workspace.store.actions(latest=1)[0][1]
    there = local(zone, instant)
    assert workspace.today == there.date()
    assert (entry.on.earliest, entry.on.latest) == (there.date(), there.date())
    assert entry.recorded_at is not None
    for at in (entry.recorded_at, action.at):
        assert at == instant
        assert at.utcoffset() == there.utcoffset()
        assert at.isoformat() == there.isoformat()


@pytest.mark.parametrize("south", [False, True])
@pytest.mark.parametrize("zone", ZONES)
def test_the_growing_year_turns_with_the_local_day(tmp_path: Path, zone: str, south: bool) -> None:
    folder = yard(tmp_path / "yard", south=south)
    instant = SOUTH_TURN if south else NORTH_TURN
    labels = {}
    for hours in (-24, 0, 24):
        with machine(zone, instant + timedelta(hours=hours)):
            labels[hours] = open_workspace(folder).year
    turn = date(2027, 5, 1) if south else date(2027, 11, 1)
    for hours, year in labels.items():
        turned = local(zone, instant + timedelta(hours=hours)).date() >= turn
        assert year == GrowingYear(2027 if turned == south else 2027 + (1 if turned else -1), south)


def test_the_growing_year_of_that_instant_differs_around_the_world(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    found = {}
    for zone in (BEHIND, AHEAD):
        with machine(zone, NORTH_TURN):
            found[zone] = open_workspace(folder).year.label
    assert found == {BEHIND: 2027, AHEAD: 2028}


@pytest.mark.parametrize("zone", [BEHIND, AHEAD])
def test_outlook_and_calendar_are_those_of_the_local_day(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], zone: str
) -> None:
    folder, file = yard(tmp_path / "yard"), tmp_path / "windows.ics"
    there = local(zone, LEAP).date()
    assert there == (date(2028, 2, 28) if zone == BEHIND else date(2028, 3, 1))
    with machine(zone, LEAP):
        told = said(capsys, folder, "outlook", "--operation", "repot")
        words = ["outlook", "--operation", "repot", "--ics", str(file), "--collection", str(folder)]
        assert exit_code(words) == 0
    for pinned in (there, date(2028, 2, 20)):
        write_settings(folder, SETTINGS | {"today": pinned})
        again = said(capsys, folder, "outlook", "--operation", "repot")
        assert (told["windows"] == again["windows"]) == (pinned == there)
    days = {row["tree"]: (row["opens_median"], row["closes_median"]) for row in told["windows"]}
    events = Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    assert len(events) == len([each for each in told["windows"] if each["state"] != "blocked"]) > 0
    for event in events:
        first, end = days[str(event["uid"]).split("-")[0]]
        assert (event["dtstart"].dt.isoformat(), event["dtend"].dt.isoformat()) == (first, end)
        assert type(event["dtstart"].dt) is date  # a day, in whatever zone it is read
        assert event["dtstamp"].dt == LEAP


def test_an_open_app_follows_the_local_midnight(tmp_path: Path) -> None:
    midnight = datetime(2028, 2, 29, 10, tzinfo=UTC)  # 1 March begins where clocks are 14 hours ahead
    told = []
    with machine(AHEAD, midnight - timedelta(seconds=1)), LivingYard(yard(tmp_path / "yard")) as living:
        for instant in (midnight - timedelta(seconds=1), midnight):
            with machine(AHEAD, instant):
                workspace = living.workspace()
                told.append((head(workspace)["today"], kept_almanac(workspace).today))
    assert told == [("2028-02-29", date(2028, 2, 29)), ("2028-03-01", date(2028, 3, 1))]


@pytest.mark.parametrize(("zone", "measured"), [(BEHIND, 2), (BETWEEN, 3), (AHEAD, 4)])
def test_days_after_the_local_day_are_still_to_come(tmp_path: Path, zone: str, measured: int) -> None:
    folder, file = tmp_path / "yard", tmp_path / "yard.csv"
    write_settings(folder, SETTINGS)
    rows = [f"{date(2028, 2, 27) + timedelta(days=k)},-1,6" for k in range(6)]
    file.write_text("\n".join(["date,tmin_degC,tmax_degC", *rows, ""]))
    with machine(zone, LEAP):
        workspace = open_workspace(folder, create=True)
        told = import_weather(workspace, file, columns=None, station="yard")
    last = local(zone, LEAP).date()
    assert told["last"] == last.isoformat()
    assert told["days"] == measured
    assert told["forecast_from"] == (last + timedelta(days=1)).isoformat()


def test_newest_is_by_the_moment_where_the_hour_comes_twice(tmp_path: Path) -> None:
    moments = []
    for minutes in (-20, 20):  # 02:40 of summer time, then 02:20 of winter time
        with machine("Europe/Berlin", CLOCKS_BACK + timedelta(minutes=minutes)):
            moments.append(now())
    first, second = moments
    assert first < second
    assert first.isoformat() > second.isoformat()
    with open_store(tmp_path / "yard") as store:
        for name, at in (("first", first), ("second", second)):
            store.result_put(name, "almanac", "{}", made=at, engine_version="1")
            store.jobs.start(name, "futures", at)
        assert [job.id for job in store.jobs.all()] == ["second", "first"]
        assert store.results_keep("almanac", 1) == 1
        assert store.result_get("second") == "{}"
        assert store.result_get("first") is None
