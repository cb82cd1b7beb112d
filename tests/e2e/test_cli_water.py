"""Water through the command: a yard with a known course of days, its places, its records and its words."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from command_line import Cli

ASKED = "2026-07-20"
Make = Callable[..., Path]


def weather_file(file: Path, *, july_degC: float, rain_mm: float = 0.0, south: bool = False) -> Path:
    """Five years of one course of the seasons; the days around the day of asking are as told."""
    rows = ["date,tmin_degC,tmax_degC,rain_mm"]
    day, last = date(2020, 10, 1), date(2026, 7, 19)
    while day <= last:
        turn = math.cos(2 * math.pi * ((day.timetuple().tm_yday - 200) / 365.25))
        mean = 10.0 - 9.0 * turn if south else 10.0 + 9.0 * turn
        if day.month == 7:
            mean = july_degC
        wet = rain_mm if day.month == 7 and day.day % 3 == 0 else 0.0
        rows.append(f"{day.isoformat()},{mean - 5},{mean + 7},{wet}")
        day += timedelta(days=1)
    file.write_text("\n".join(rows) + "\n")
    return file


@pytest.fixture
def make(cli: Cli, tmp_path: Path) -> Make:
    """A yard with one maple in a measured pot."""

    def made(name: str, latitude: float = 50.0, **weather: Any) -> Path:
        folder = tmp_path / name
        file = weather_file(tmp_path / f"{name}.csv", **weather)
        folder.mkdir()
        (folder / "collection.toml").write_text(f"latitude_deg = {latitude}\n")
        assert cli("weather", "import", file, "--station", "Here", folder=folder).code == 0
        add = ("tree", "add", "Maple", "--species", "acer_palmatum", "--place", "bench 1")
        assert cli(*add, "--on", "2025-05-01", folder=folder).code == 0
        pot = ("pot", "add", "P-1", "--shape", "rect", "--size", "30x22x7cm", "--tree", "Maple")
        assert cli(*pot, folder=folder).code == 0
        assert cli("log", "Maple", "height", "45cm", "--date", "2026-05-01", folder=folder).code == 0
        return folder

    return made


def one(cli: Cli, yard: Path, on: str = ASKED) -> dict[str, Any]:
    ran = cli("water", "Maple", "--on", on, "--json", folder=yard)
    assert ran.code == 0, ran.err
    row: dict[str, Any] = ran.data
    return row


def test_a_heat_week_dries_sooner_than_a_mild_one(cli: Cli, make: Make) -> None:
    hot, mild = (one(cli, make(f"j{t}", july_degC=t)) for t in (27.0, 15.0))
    assert hot["lasts_median_days"] < 0.8 * mild["lasts_median_days"]
    assert hot["words"].startswith("check, then water")
    assert hot["due_low_days"] <= hot["due_median_days"] <= hot["due_high_days"]


def test_each_day_of_the_balance_closes(cli: Cli, make: Make) -> None:
    row = one(cli, make("closes", july_degC=22.0, rain_mm=6.0))
    assert sum(day["rain_cm3"] for day in row["days"]) > 0
    left = [day["left_median_frac"] for day in row["days"]]
    assert left[0] <= 1.0
    assert all(day["transpired_cm3"] > 0 for day in row["days"] if day["left_median_frac"] > 0)


def test_no_rain_comes_into_a_shed(cli: Cli, make: Make) -> None:
    yard = make("shed", july_degC=20.0, rain_mm=15.0)
    outside = one(cli, yard)
    moved = cli("place", "kind", "bench 1", "shed", folder=yard)
    assert moved.code == 0, moved.err
    inside = one(cli, yard)
    assert sum(day["rain_cm3"] for day in outside["days"]) > 0
    assert sum(day["rain_cm3"] for day in inside["days"]) == 0
    assert "no rain where it stands" in inside["stands_on"]


def test_freshly_cut_roots_drink_less(cli: Cli, make: Make) -> None:
    yard = make("roots", july_degC=20.0)
    whole = one(cli, yard)
    done = cli(
        "log", "Maple", "work", "root_rescue", "--root-removed", "60%", "--date", "2026-07-15",
        "--on", ASKED, folder=yard,
    )  # fmt: skip
    assert done.code == 0, done.err
    cut = one(cli, yard)
    assert cut["days"][0]["transpired_cm3"] < 0.8 * whole["days"][0]["transpired_cm3"]
    assert any("roots were cut" in line for line in cut["stands_on"])


def test_days_to_dry_of_its_own_draw_the_forecast(cli: Cli, make: Make) -> None:
    yard = make("own", july_degC=20.0)
    before = one(cli, yard)
    assert before["measured"] is False
    for day in ("2026-07-02", "2026-07-08", "2026-07-14"):
        assert cli("log", "Maple", "dry", "0.6", "--date", day, "--on", ASKED, folder=yard).code == 0
    after = one(cli, yard)
    assert after["measured"] is True
    assert after["lasts_median_days"] < before["lasts_median_days"]
    assert after["lasts_median_days"] == pytest.approx(0.6, abs=0.35)
    spread = after["lasts_high_days"] - after["lasts_low_days"]
    assert spread < before["lasts_high_days"] - before["lasts_low_days"]
    listed = cli("water", "--on", ASKED, folder=yard).out
    assert "Not measured" not in listed
    assert "morning and evening" in listed


def test_a_logged_watering_begins_the_balance_anew(cli: Cli, make: Make) -> None:
    yard = make("logged", july_degC=24.0)
    assumed = one(cli, yard)
    assert assumed["full_how"] == "assumed"
    assert cli("log", "bench 1", "watered", "--date", "2026-07-16", "--on", ASKED, folder=yard).code == 0
    old = one(cli, yard)
    assert (old["full_how"], old["full_from"]) == ("logged", "2026-07-16")
    assert old["due_median_days"] < assumed["due_median_days"]
    part = cli("log", "Maple", "watered", "0.4L", "--date", "2026-07-19", "--on", ASKED, folder=yard)
    assert part.code == 0, part.err
    helped = one(cli, yard)
    assert helped["full_from"] == "2026-07-16"
    assert helped["due_median_days"] > old["due_median_days"]
    assert cli("log", "Maple", "watered", "--date", ASKED, "--on", ASKED, folder=yard).code == 0
    assert one(cli, yard)["full_from"] == ASKED


def test_the_page_of_the_day_is_quiet_until_something_is_due(cli: Cli, make: Make) -> None:
    yard = make("page", july_degC=27.0)
    assert cli("log", "Maple", "watered", "--date", "2026-07-15", "--on", ASKED, folder=yard).code == 0
    block = cli("today", "--on", ASKED, "--json", folder=yard).data["water"]
    assert [[tree["tree"] for tree in row["trees"]] for row in block["rows"]] == [["T01"]]
    assert "check, then water" in cli("today", "--on", ASKED, folder=yard).out
    assert cli("log", "Maple", "watered", "--date", ASKED, "--on", ASKED, folder=yard).code == 0
    assert cli("today", "--on", ASKED, "--json", folder=yard).data["water"]["rows"] == []
    assert cli("today", "--on", "2026-01-20", "--json", folder=yard).data["water"]["rows"] == []


def test_away_names_days_at_risk(cli: Cli, make: Make) -> None:
    yard = make("away", july_degC=24.0)
    told = cli("water", "--away", "8-15 Aug", "--on", ASKED, "--json", folder=yard).data
    assert (told["away_first"], told["away_last"]) == ("2026-08-08", "2026-08-15")
    (row,) = told["trees"]
    assert 0 < row["days_at_risk"] <= 8
    assert row["words"].startswith("check, water")
    wrong = cli("water", "--away", "whenever", "--on", ASKED, folder=yard)
    assert "8-15 Aug" in wrong.one_line


def test_in_the_south_january_is_the_thirsty_month(cli: Cli, make: Make) -> None:
    yard = make("south", latitude=-37.0, july_degC=6.0, south=True)
    summer, winter = one(cli, yard, "2026-01-20"), one(cli, yard, ASKED)
    assert summer["leaf_frac"] > 0.8 > 0.2 > winter["leaf_frac"]
    assert winter["state"] in {"rest", "wet", "frost"}
    assert summer["lasts_median_days"] < 8


def test_without_weather_one_line_names_the_way_out(cli: Cli, yard: Path) -> None:
    assert cli("tree", "add", "Maple", "--species", "acer_palmatum", folder=yard).code == 0
    assert "weather import" in cli("water", folder=yard).one_line


def test_why_goes_down_to_the_rows(cli: Cli, make: Make) -> None:
    yard = make("why", july_degC=20.0)
    told = cli("why", "T01:water:due", "--on", ASKED, "--json", folder=yard)
    assert told.code == 0, told.err
    labels = [link["label"] for link in told.data["chain"]]
    assert "reference evapotranspiration" in labels
    assert "allen1998" in told.data["sources"] or "hargreaves1985" in told.data["sources"]
    assert "due" in cli("why", "T01:water:never", "--on", ASKED, folder=yard).one_line


def test_a_wet_pot_is_told_of_only_where_tree_or_pot_show_a_sign(cli: Cli, make: Make) -> None:
    yard = make("wet", july_degC=20.0)
    assert one(cli, yard)["warnings"] == []
    assert cli("log", "Maple", "vigour", "1", "--date", "2026-07-10", "--on", ASKED, folder=yard).code == 0
    (said,) = one(cli, yard)["warnings"]
    assert said.startswith("wet below:")
    assert "ringwise weigh T01" in said


def test_a_pace_far_from_the_reckoned_is_said_plainly(cli: Cli, make: Make) -> None:
    yard = make("apart", july_degC=20.0)
    assert cli("log", "Maple", "dry", "0.5", "--date", "2026-07-08", "--on", ASKED, folder=yard).code == 0
    row = one(cli, yard)
    assert any("times as quickly as reckoned" in line for line in row["stands_on"])
    assert any("T01" in note for note in cli("water", "--on", ASKED, "--json", folder=yard).data["notes"])


def test_a_bare_tree_is_looked_at_before_its_pot_is_dry(cli: Cli, make: Make) -> None:
    row = one(cli, make("bare", july_degC=20.0), "2026-01-25")
    assert row["state"] in {"rest", "frost"}
    days = int(row["when_shown"].split()[3]) if row["state"] == "rest" else 1
    assert days <= min(10, row["lasts_median_days"] or math.inf)


def test_the_list_is_narrow_and_a_table_ends_when_the_pot_is_dry(cli: Cli, make: Make) -> None:
    yard = make("narrow", july_degC=27.0)
    listed = cli("water", "--on", ASKED, folder=yard).out.splitlines()
    table = [line for line in listed if line.startswith(("tree", "T01"))]
    assert len(table) == 2
    assert all(len(line.rstrip()) <= 80 for line in table)
    told = cli("water", "Maple", "--on", ASKED, folder=yard).out
    assert told.count(" dry\n") == 1
    assert "0% (0%" not in told
    assert "is assumed full" not in told  # its own line says so


def test_away_names_trees_of_which_nothing_can_be_told(cli: Cli, make: Make) -> None:
    yard = make("unknown", july_degC=24.0)
    add = ("tree", "add", "Lane", "--species", "acer_palmatum", "--place", "bench 1")
    assert cli(*add, "--on", "2025-05-01", folder=yard).code == 0
    told = cli("water", "--away", "8-15 Aug", "--on", ASKED, "--json", folder=yard).data
    assert [row["tree"] for row in told["trees"]] == ["T01"]
    assert any("T02" in note for note in told["notes"])


def test_watered_this_evening_keeps_the_leaf_of_today(cli: Cli, make: Make, monkeypatch: Any) -> None:
    from ringwise.desk import clock

    yard = make("evening", july_degC=20.0)
    asked = "2026-10-25"  # leaves fall within three weeks
    before = one(cli, yard, asked)["leaf_frac"]
    real = clock.now()
    late = real.replace(year=2026, month=10, day=25, hour=19)
    monkeypatch.setattr(clock, "now", lambda: late)
    assert cli("log", "Maple", "watered", "--date", asked, "--on", asked, folder=yard).code == 0
    after = one(cli, yard, asked)
    assert after["full_from"] == "2026-10-26"
    assert after["leaf_frac"] == pytest.approx(before, abs=0.1)


def test_wet_pots_before_root_work_are_a_line_a_day_and_nothing_far_ahead(cli: Cli, demo: Path) -> None:
    """Wet soil is a planning cue and never a block (common practice); T27 is planned for 11 March."""
    lines = cli("today", "--json", folder=demo).data["water"]["roof"]
    assert any("from today" in line and "T27" in line for line in lines)
    assert not any("T13" in line for line in lines)  # its work is twelve days off: told when the day has come
    stuck = [line for line in lines if "comb gently" in line]
    assert len(stuck) == 1
    assert "T21" in stuck[0]
    windows = cli("outlook", "T27", "--json", folder=demo).data["windows"]
    assert [row["blocked"] for row in windows if row["operation"] == "repot"] == [""]
