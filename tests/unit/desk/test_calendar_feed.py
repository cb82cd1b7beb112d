"""The calendar of windows: lasting names, numbers that rise with a change, what is gone is cancelled."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar
from living_yards import NOW, TODAY, entry, save, small_yard, stage

from ringwise.desk import clock
from ringwise.desk.settings import load_settings, write_settings
from ringwise.desk.weather import rows_of
from ringwise.faces.start import exit_code
from ringwise.records.model import Tree
from ringwise.records.store import open_store
from ringwise.weather.series import series_of

LISTED = ("T1", "T2", "T3", "T4", "T5")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_yard(tmp_path_factory.mktemp("calendar") / "yard")


@pytest.fixture
def folder(made: Path, tmp_path: Path) -> Path:
    import shutil

    return Path(shutil.copytree(made, tmp_path / "yard"))


def events(folder: Path, *words: str) -> dict[str, Any]:
    """The events of a calendar of the listed trees, by tree and work."""
    file = folder.parent / "windows.ics"
    assert exit_code(["outlook", *LISTED, "--ics", str(file), "--collection", str(folder), *words]) == 0
    found = Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    return {str(each["uid"]).split("@")[0]: each for each in found}


def at(monkeypatch: pytest.MonkeyPatch, hour: int) -> datetime:
    moment = datetime(2027, 3, 7, hour, tzinfo=UTC)
    monkeypatch.setattr(clock, "now", lambda: moment)
    return moment


def test_the_same_windows_give_the_same_bytes(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    at(monkeypatch, 8)
    first = events(folder)
    content = (folder.parent / "windows.ics").read_bytes()
    at(monkeypatch, 9)
    assert events(folder).keys() == first.keys()
    assert (folder.parent / "windows.ics").read_bytes() == content


def test_days_are_those_of_the_outlook(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = events(folder)
    capsys.readouterr()
    assert exit_code(["outlook", *LISTED, "--collection", str(folder), "--json"]) == 0
    rows = {
        f"{row['tree']}-{row['operation']}": row
        for row in json.loads(capsys.readouterr().out)["windows"]
        if row["state"] != "blocked" and row["opens_median"]
    }
    assert {uid.rsplit("-", 1)[0] for uid in found} == rows.keys()
    assert "T4-repot" not in rows  # a weak tree is not repotted, so nobody is called to it
    for uid, event in found.items():
        row = rows[uid.rsplit("-", 1)[0]]
        assert event["dtstart"].dt.isoformat() == row["opens_median"]
        assert event["dtend"].dt.isoformat() == row["closes_median"]
        assert row["sign"] in event["description"]
        assert row["closes_by"] in event["description"]
        day = date.fromisoformat(row["closes_low"])
        assert f"{day.day} {day:%b} {day.year} 10 %" in event["description"]
        assert event["status"] in {"TENTATIVE", "CONFIRMED"}


def test_a_change_raises_the_number_of_that_event_alone(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = at(monkeypatch, 8)
    first = events(folder)
    with open_store(folder) as store:
        save(store, stage("T1", "03", 1))
    after = at(monkeypatch, 9)
    second = events(folder)
    assert second["T1-repot-2027"]["uid"] == first["T1-repot-2027"]["uid"]
    assert (first["T1-repot-2027"]["sequence"], second["T1-repot-2027"]["sequence"]) == (0, 1)
    assert second["T1-repot-2027"]["dtstamp"].dt == after
    same = second["T2-wire-2027"]
    assert (same["sequence"], same["dtstamp"].dt) == (0, before)


def test_a_window_that_is_offered_no_more_is_cancelled_once(folder: Path) -> None:
    first = events(folder)
    with open_store(folder) as store:
        save(store, entry("T1", "vigour", 0, {"score": 1}))
    second, third = events(folder), events(folder)
    for found in (second, third):
        gone = found["T1-repot-2027"]
        assert (gone["status"], gone["sequence"]) == ("CANCELLED", 1)
        assert gone["dtstart"].dt == first["T1-repot-2027"]["dtstart"].dt
    with open_store(folder) as store:
        save(store, entry("T1", "vigour", 0, {"score": 4}))
    assert events(folder)["T1-repot-2027"]["sequence"] == 2


def test_another_calendar_of_the_yard_cancels_nothing(folder: Path) -> None:
    first = events(folder)
    other = folder.parent / "one.ics"
    words = ["outlook", "T2", "--operation", "repot", "--ics", str(other), "--collection", str(folder)]
    assert exit_code(words) == 0
    (event,) = Calendar.from_ical(other.read_bytes()).walk("VEVENT")
    assert str(event["uid"]).startswith("T2-repot-2027@")
    again = events(folder)
    assert {uid: each["sequence"] for uid, each in again.items()} == dict.fromkeys(first, 0)
    assert all(each["status"] != "CANCELLED" for each in again.values())


def test_the_next_growing_year_is_another_event(folder: Path) -> None:
    late = events(folder, "--on", "2027-09-01")
    assert "T1-repot-2028" in late
    assert late["T1-repot-2028"]["dtstart"].dt.year == 2028


def test_in_the_growers_language(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    english = events(folder)["T1-repot-2027"]
    write_settings(folder, {"latitude_deg": 52.4, "today": TODAY, "language": "de"})
    german = events(folder)["T1-repot-2027"]
    assert english["summary"].params["language"] == "en"
    assert german["summary"].params["language"] == "de"
    assert str(german["summary"]).startswith("Umtopfen")
    assert "womit es schließt: " in german["description"]
    assert german["sequence"] == 1


def test_south_of_the_equator_and_a_leap_year(tmp_path: Path) -> None:
    """The same weather half a year later, at the mirrored latitude: windows half a year later."""
    import numpy as np

    found = {}
    for south, today in ((False, date(2028, 2, 1)), (True, date(2028, 8, 1))):
        folder = tmp_path / ("south" if south else "north")
        write_settings(folder, {"latitude_deg": -50.0 if south else 50.0, "today": today})
        first = date(2018, 5, 1) if south else date(2017, 11, 1)
        days = np.arange((today - first).days)
        mean = 9.0 - 9.0 * np.cos(2 * np.pi * (days - 76) / 365.25)
        columns = {"tmin_degC": mean - 4, "tmax_degC": mean + 4, "tmean_degC": mean}
        with open_store(folder) as store:
            save(store, Tree("T1", "Mill", "acer_palmatum"))
            store.weather_put(NOW, rows_of(series_of(first, columns, station="yard")))
        assert exit_code(["outlook", "--ics", str(tmp_path / "a.ics"), "--collection", str(folder)]) == 0
        (found[south],) = Calendar.from_ical((tmp_path / "a.ics").read_bytes()).walk("VEVENT")
    assert str(found[True]["uid"]).startswith("T1-repot-2028@")
    apart = found[True]["dtstart"].dt - found[False]["dtstart"].dt
    assert timedelta(days=178) <= apart <= timedelta(days=187)
    assert found[False]["dtstart"].dt.year == 2028


@pytest.mark.parametrize("text", ["", "{", "[]", '{"mark": "x", "events": [], "calendars": {}}', "\xff"])
def test_a_damaged_memory_is_said_and_left(
    folder: Path, text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    memory = folder / "calendar.json"
    memory.write_text(text, encoding="latin-1")
    file = folder.parent / "never.ics"
    assert exit_code(["outlook", "T1", "--ics", str(file), "--collection", str(folder)]) == 1
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "calendar.json" in said
    assert not file.exists()
    assert memory.read_text(encoding="latin-1") == text


def test_what_was_not_written_is_not_remembered(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    nowhere = folder / "no folder" / "a.ics"
    assert exit_code(["outlook", "T1", "--ics", str(nowhere), "--collection", str(folder)]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert not (folder / "calendar.json").exists()


def test_standard_output(folder: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    assert exit_code(["outlook", "T1", "--ics", "-", "--collection", str(folder)]) == 0
    content = capfdbinary.readouterr().out
    assert content.startswith(b"BEGIN:VCALENDAR\r\n")
    assert content.endswith(b"END:VCALENDAR\r\n")
    assert len(Calendar.from_ical(content).walk("VEVENT")) == 1
    assert exit_code(["outlook", "T1", "--ics", "-", "--json", "--collection", str(folder)]) == 2


def test_nothing_with_days_is_said(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = folder.parent / "never.ics"
    assert exit_code(["outlook", "T4", "--ics", str(file), "--collection", str(folder)]) == 2
    assert "no window has days" in capsys.readouterr().err
    assert not file.exists()
    assert load_settings(folder, {}).today == TODAY
