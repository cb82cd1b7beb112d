"""The weather room: what stands under the windows line by line, the series stored, and their whys."""

from __future__ import annotations

from pathlib import Path

import pytest
from living_yards import small_yard

from ringwise.desk.entries import undo_last
from ringwise.desk.weather import import_weather
from ringwise.desk.weather_file import bring_weather
from ringwise.desk.weather_room import weather_room
from ringwise.desk.why import why_told
from ringwise.desk.workspace import open_workspace
from ringwise.weather.file_units import UNITS

HERE = 10.0  # a value that each measure may have, in our unit


def test_measured_weather_has_its_series_and_a_why(tmp_path: Path) -> None:
    workspace = open_workspace(small_yard(tmp_path / "yard"))
    room = weather_room(workspace)
    station = room["stations"][0]
    assert (room["state"], len(room["stations"]), station["chosen"]) == ("measured", 1, True)
    assert station["length"] == "11 years"  # from November 2015 to March 2027
    whys = {line["why"] for line in room["lines"] if line["why"]}
    assert whys == {f"yard:stored:{station['name']}"}
    why = why_told(workspace, whys.pop())
    assert why["value"] == station["span"]
    assert {"days", "filled", "lowest temperature"} <= {link["label"] for link in why["chain"]}


def test_nothing_stored_and_several_series_are_said(tmp_path: Path) -> None:
    bare = open_workspace(small_yard(tmp_path / "bare", weather=False))
    room = weather_room(bare)
    assert (room["state"], room["lines"], room["stations"]) == ("none", [], [])
    text = "date,tmin_degC,tmax_degC\n2026-01-01,1,5\n"
    for name in ("north", "south"):
        file = bare.folder / "incoming"
        file.write_text(text)
        import_weather(bare, file, columns=None, station=name, called=f"{name}.csv")
    room = weather_room(bare)
    assert [each["chosen"] for each in room["stations"]] == [False, False]
    assert "several weather series" in room["lines"][0]["words"]


def test_each_measure_has_units_to_choose_and_no_two_read_alike(tmp_path: Path) -> None:
    workspace = open_workspace(small_yard(tmp_path / "yard", weather=False))
    for measure in weather_room(workspace)["measures"]:
        words = [unit["words"] for unit in measure["units"]]
        assert len(words) == len(set(words))
        file = workspace.folder / "incoming"
        for unit in measure["units"]:  # each is one that a mapping takes
            scale, offset = UNITS[measure["key"]][unit["key"]]
            file.write_text(f"day,x\n2026-01-01,{(HERE - offset) / scale}\n")
            columns = f"date=day,{measure['key']}=x:{unit['key']}"
            bring_weather(workspace, file, f"{measure['key']}.csv", columns)
            stored = workspace.store.weather_get(measure["key"]).columns[measure["key"]]
            assert stored[0] == pytest.approx(HERE)
            undo_last(workspace)
