"""The page of past forecasts: what it needs, how scoring is asked for, watched, stopped, what it shows."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from living_yards import save, small_yard, stage

from ringwise.desk import clock
from ringwise.desk.calibration import calibration
from ringwise.desk.calibration_room import ALL, calibration_room
from ringwise.desk.living import LivingYard
from ringwise.desk.long_work import CALIBRATION, do_job, put_in_book
from ringwise.desk.settings import write_settings
from ringwise.desk.why import why_told
from ringwise.desk.workspace import open_workspace
from ringwise.kit.errors import InputError, NotReadyError, UnknownNameError
from ringwise.records.store import open_store


@pytest.fixture(scope="module")
def scored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A yard whose past forecasts are scored; not to be changed."""
    folder = small_yard(tmp_path_factory.mktemp("scored") / "yard")
    with LivingYard(folder) as yard:
        job = put_in_book(yard.workspace(), CALIBRATION, "")
        assert do_job(yard.workspace(), job.id)["state"] == "done"
    return folder


def test_without_weather_or_sightings_it_says_what_is_needed(tmp_path: Path) -> None:
    bare = open_workspace(small_yard(tmp_path / "bare", weather=False))
    assert (calibration_room(bare)["state"], calibration_room(bare)["rows"]) == ("none", [])
    assert "Bring in a file" in calibration_room(bare)["words"]
    with pytest.raises(NotReadyError):
        put_in_book(bare, CALIBRATION, "")
    folder = tmp_path / "new"
    write_settings(folder, {"name": "New", "latitude_deg": 52.4, "today": date(2027, 3, 7)})
    with open_store(folder) as store:
        small = open_workspace(small_yard(tmp_path / "seen"))
        rows = small.store.weather_get(small.store.weather_stations()[0])
        from living_yards import NOW

        store.weather_put(NOW, rows)
    assert "Log what buds" in calibration_room(open_workspace(folder))["words"]


def test_it_is_work_that_is_asked_for_once_and_can_be_stopped(tmp_path: Path) -> None:
    with LivingYard(small_yard(tmp_path / "yard")) as yard:
        workspace = yard.workspace()
        assert calibration_room(workspace)["state"] == "wanted"
        job = put_in_book(workspace, CALIBRATION, "")
        assert put_in_book(workspace, CALIBRATION, "T1").id == job.id  # of the yard, whatever tree is named
        room = calibration_room(workspace)
        assert (room["state"], room["job"], room["progress_frac"]) == ("making", job.id, 0.0)
        workspace.store.jobs.cancel(job.id, clock.now())
        assert do_job(workspace, job.id)["state"] == "cancelled"
        assert calibration_room(workspace)["state"] == "stopped"
        assert put_in_book(workspace, CALIBRATION, "").id == job.id
        assert do_job(workspace, job.id)["state"] == "done"
        assert calibration_room(workspace)["state"] == "ready"
        save(yard.store, stage("T2", "07", 365 - 12))
        assert calibration_room(yard.workspace())["state"] == "wanted"
        assert put_in_book(yard.workspace(), CALIBRATION, "").id != job.id


def test_a_stop_in_the_middle_keeps_the_springs_that_are_scored(tmp_path: Path) -> None:
    told: list[float] = []

    def stop_at_the_second(share: float, _words: str) -> None:
        told.append(share)
        if len(told) == 2:
            raise KeyboardInterrupt

    workspace = open_workspace(small_yard(tmp_path / "yard"))
    with pytest.raises(KeyboardInterrupt):
        calibration(workspace, progress=stop_at_the_second)
    assert told == [0.0, pytest.approx(1 / 3)]
    kept = workspace.store.latest_step()
    calibration(workspace, progress=lambda share, _words: told.append(share))
    assert told[2:] == [0.0, pytest.approx(1 / 3), pytest.approx(2 / 3)]
    assert workspace.store.latest_step() == kept  # results are no steps of the record


def test_rows_and_drawing_agree_with_the_scores(scored: Path) -> None:
    workspace = open_workspace(scored)
    room, told = calibration_room(workspace, lead_days=7), calibration(workspace)
    assert {(row["code"], row["lead_days"]) for row in room["rows"]} == {("07", d) for d in (0, 7, 14, 30)}
    for row, total in zip(room["rows"], told["totals"], strict=True):
        assert (row["seen"], row["springs"], row["compared"]) == (total["n"], 3, total["compared"])
        assert row["off_days"]["value"] == pytest.approx(total["mae_days"], abs=0.001)
        assert row["verdict"] == total["words"]
    lines = room["drawing"]["lines"]
    scores = [each for each in told["scores"] if each["lead_days"] == 7]
    assert sorted(line["year"] for line in lines) == sorted(each["year"] for each in scores)
    assert [line["year"] for line in lines] == sorted((line["year"] for line in lines), reverse=True)
    for line in lines:
        assert line["low_at"] <= line["median_at"] <= line["high_at"]
        assert line["inside"] == (line["low_at"] <= line["seen_at"] <= line["high_at"])
    assert {tick["words"] for tick in room["drawing"]["ticks"]} & {"Feb", "Mar", "Apr"}
    with pytest.raises(UnknownNameError):
        calibration_room(workspace, lead_days=8)
    assert calibration_room(workspace, code="nothing")["drawing"]["code"] == "07"


def test_each_figure_has_its_why_by_springs(scored: Path) -> None:
    workspace = open_workspace(scored)
    row = calibration_room(workspace)["rows"][0]
    for key in ("off_days", "bias_days", "band_frac", "compared_off_days", "mean_off_days"):
        why: Any = why_told(workspace, row[key]["why"])
        assert why["value"] == row[key]["shown"]
        springs = [link["label"] for link in why["chain"] if link["depth"] == 1]
        assert springs == sorted(springs)
        assert len(springs) == (2 if "compared" in key or "mean" in key else 3)
    assert why_told(workspace, f"yard:calibration:{ALL}:7:off")["value"].endswith(" d")
    for wrong in ("yard:calibration:07:off", "yard:calibration:07:7:hue", "yard:calibration:07:x:off"):
        with pytest.raises(InputError):
            why_told(workspace, wrong)
    with pytest.raises(NotReadyError):
        why_told(workspace, "yard:calibration:95:7:off")
