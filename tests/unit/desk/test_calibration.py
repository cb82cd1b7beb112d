"""The page of past forecasts: what it says of a small yard, and that a kept season is not reckoned again."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from living_yards import TODAY, save, small_yard, stage

from ringwise.desk import calibration as room
from ringwise.desk.settings import write_settings
from ringwise.desk.workspace import open_workspace
from ringwise.faces.start import exit_code
from ringwise.phenology import hindcast
from ringwise.records.model import Tree
from ringwise.records.store import open_store


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return small_yard(tmp_path / "yard")


def said(folder: Path, *words: str) -> Any:
    return room.calibration(open_workspace(folder), *words)


def test_every_sighting_at_every_lead(folder: Path) -> None:
    answer = said(folder)
    assert (answer["sightings"], answer["sightings_scored"]) == (6, 6)
    assert len(answer["scores"]) == 24
    assert {row["tree"] for row in answer["scores"]} == {"T1", "T3"}
    for row in answer["scores"]:
        assert row["forecast_low"] <= row["forecast_median"] <= row["forecast_high"]
        inside = row["forecast_low"] <= row["seen"] <= row["forecast_high"]
        edge = row["seen"] in {row["forecast_low"], row["forecast_high"]}  # days are rounded, scores are not
        assert row["inside"] == inside or edge
        assert date.fromisoformat(row["seen"]).year == row["year"]
    for total in answer["totals"]:
        rows = [row for row in answer["scores"] if row["lead_days"] == total["lead_days"]]
        assert (total["n"], total["seasons"]) == (6, 3)
        errors = [row["error_days"] for row in rows]
        assert total["bias_days"] == pytest.approx(sum(errors) / 6, abs=0.01)
        assert total["mae_days"] == pytest.approx(sum(map(abs, errors)) / 6, abs=0.01)
        assert total["words"] == "too few to judge by"
        assert total["compared"] == 4  # the first season of each tree has no earlier one
    assert any("own mean" in note for note in answer["notes"])


def test_one_tree(folder: Path) -> None:
    assert {row["tree"] for row in said(folder, "Mill 3")["scores"]} == {"T3"}
    assert said(folder, "T2")["totals"][0]["words"] == "nothing to judge by"


def test_a_season_is_reckoned_once_until_what_it_stands_on_changes(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = said(folder)
    asked: list[int] = []
    real = hindcast.season_scores

    def counted(records: Any, series: Any, year: Any, **more: Any) -> Any:
        asked.append(year.label)
        return real(records, series, year, **more)

    monkeypatch.setattr(hindcast, "season_scores", counted)
    assert said(folder)["scores"] == first["scores"]
    assert asked == []
    with open_store(folder) as store:
        save(store, stage("T2", "07", 365 - 12))
    again = said(folder)
    assert asked == [2026]  # the springs before cannot have known it
    assert again["sightings"] == 7


def test_no_sightings_and_described_weather(tmp_path: Path) -> None:
    folder = tmp_path / "new"
    write_settings(folder, {"latitude_deg": 52.4, "today": TODAY})
    with open_store(folder) as store:
        save(store, Tree("T1", "Mill", "acer_palmatum"), stage("T1", "07", 340))
    words = ["weather", "describe", "--coldest", "1 C", "--warmest", "19 C", "--collection", str(folder)]
    assert exit_code(words) == 0
    answer = said(folder)
    assert answer["scores"] == []
    assert "import weather" in answer["notes"][0]


def test_on_the_command_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    assert exit_code(["calibration", "T1", "--json", "--collection", str(folder)]) == 0
    data = json.loads(capsys.readouterr().out)
    assert (data["tree"], len(data["scores"]), len(data["totals"])) == ("T1", 12, 4)
    assert exit_code(["calibration", "T1", "--collection", str(folder)]) == 0
    shown = capsys.readouterr().out
    assert "2026, stage 07, 14 days before: " in shown
    assert exit_code(["calibration", "T99", "--collection", str(folder)]) == 2
    assert capsys.readouterr().err.count("\n") == 1
