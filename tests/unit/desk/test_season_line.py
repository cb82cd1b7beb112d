"""The season line tells a growing year by the almanac's values: stages, chances by day, risks, time left."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from living_yards import entry, save, small_yard, stage

from ringwise.desk.almanac import AlmanacView
from ringwise.desk.almanac_making import make_almanac
from ringwise.desk.season_line import season_line, short_stage
from ringwise.desk.settings import write_settings
from ringwise.desk.why import why_told
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.faces.web.shapes.season import SeasonLine
from ringwise.kit.days import GrowingYear
from ringwise.phenology.stages import ORDER

YEAR = GrowingYear(2027)


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Workspace]:
    workspace = open_workspace(small_yard(tmp_path / "yard"))
    yield workspace
    workspace.store.close()


def told(workspace: Workspace, tree: str = "T1") -> dict[str, Any]:
    view = AlmanacView("ready", make_almanac(workspace, "key"))
    line = season_line(workspace, tree, almanac=view)
    SeasonLine.model_validate(line)
    return dict(line)


def again(workspace: Workspace) -> Workspace:
    return open_workspace(workspace.folder)


def test_a_line_runs_from_rest_to_rest(yard: Workspace) -> None:
    line = told(yard)
    assert (line["first"], line["days"], line["year"]) == ("2026-11-01", 365, 2027)
    assert line["today"] == "2027-03-07"
    assert line["growth"][0] == [0.0, 0.0]
    assert line["growth"][-1] == [1.0, 1.0]


def test_in_the_south_it_begins_in_may(yard: Workspace) -> None:
    write_settings(yard.folder, {"latitude_deg": -35.0})
    south = season_line(again(yard), "T1", almanac=AlmanacView("none"))
    assert (south["first"], south["days"], south["south"]) == ("2026-05-01", 365, True)
    assert (south["works"], south["stages"], south["state"]) == ([], [], "none")


def test_stages_come_in_the_order_of_time_and_what_was_seen_is_told_so(yard: Workspace) -> None:
    save(yard.store, stage("T1", "01", 5))
    stages = told(again(yard))["stages"]
    assert stages[0]["code"] == "01"
    assert (stages[0]["seen"], stages[0]["seen_shown"]) == ("2027-03-02", "2 Mar")
    days = [each["seen"] or each["expected"]["median"] for each in stages]
    assert days == sorted(days)
    for each in stages[1:]:
        band = each["expected"]
        assert each["seen"] is None
        assert band["low"] <= band["median"] <= band["high"]
        assert each["why"] == f"T1:stage:{each['code']}"


def test_a_work_tells_its_chances_its_plan_and_what_may_follow(yard: Workspace) -> None:
    save(yard.store, entry("T1", "planned", -20, {"operation": "repot"}))
    work = next(each for each in told(again(yard))["works"] if each["operation"] == "repot")
    by_day = work["chance_by_day"]
    assert by_day["first"] <= work["opens"]["low"]
    last = date.fromisoformat(by_day["first"]) + timedelta(days=len(by_day["open_prob"]) - 1)
    assert last.isoformat() >= work["closes"]["median"]
    assert max(by_day["open_prob"]) > 0.3
    assert (work["wanted"], work["beyond"]) == (True, False)
    assert [plan["earliest"] for plan in work["planned"]] == ["2027-02-05", "2027-03-27"]
    assert {risk["kind"] for risk in work["risks"]} >= {"bench_frost", "heat"}  # its roots will be cut


def test_a_window_of_the_next_growing_year_is_said_to_be_beyond(tmp_path: Path) -> None:
    workspace = open_workspace(small_yard(tmp_path / "yard"), on="2027-09-20")
    works = told(workspace)["works"]
    repot = next(work for work in works if work["operation"] == "repot")
    assert repot["opens"]["median"] > YEAR.end.isoformat()
    assert repot["beyond"] is True


def test_works_that_are_wanted_come_first(yard: Workspace) -> None:
    save(yard.store, entry("T1", "planned", 1, {"operation": "wire"}))
    wanted = [work["wanted"] for work in told(again(yard))["works"]]
    assert wanted == sorted(wanted, reverse=True)
    assert wanted.count(True) >= 2


def test_every_number_has_a_why(yard: Workspace) -> None:
    line = told(yard)
    whys = [line["works"][0]["why"], line["works"][0]["chance"]["why"], line["stages"][0]["why"]]
    for name in filter(None, whys):
        assert why_told(yard, name)["chain"]


def test_the_line_is_told_in_sentences(yard: Workspace) -> None:
    line = told(yard)
    said = "Mill 1, growing year 2027, from 1 Nov 2026 to 31 Oct 2027; today is 7 Mar."
    assert line["sentence"].startswith(said)
    assert f"Repot: {line['works'][0]['sentence']}." in line["sentence"]
    alone = season_line(yard, "T10", almanac=AlmanacView("none"))["sentence"]
    assert alone.endswith("No window of work is known yet.")


def test_it_asks_for_no_forecast_and_is_quick(yard: Workspace, monkeypatch: pytest.MonkeyPatch) -> None:
    view = AlmanacView("ready", make_almanac(yard, "key"))
    monkeypatch.setattr("ringwise.desk.yard_forecast.yard_forecast", None)
    season_line(yard, "T1", almanac=view)
    took_s = []
    for _turn in range(20):
        began = time.perf_counter()
        season_line(yard, "T1", almanac=view)
        took_s.append(time.perf_counter() - began)
    assert sorted(took_s)[18] < 0.05


@pytest.mark.parametrize("group", ["", "G1", "G5", "G6"])
def test_a_short_name_is_short(group: str) -> None:
    for code in ORDER:
        assert 0 < len(short_stage(code, group)) <= 20
