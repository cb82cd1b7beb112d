"""Risks after a work through the command: a yard with a known course of nights, its pots, its whys."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from command_line import Cli

ASKED = "2026-03-20"


@pytest.fixture
def cold(cli: Cli, yard: Path, tmp_path: Path) -> Path:
    """Five springs; in two of them three nights of late March are hard, in all others nothing freezes."""
    rows = ["date,tmin_degC,tmax_degC,wind_2m_m_s"]
    day = date(2020, 10, 1)
    while day <= date(2026, 3, 15):
        night = (9.0 if day.month in range(4, 11) else 3.0) + 0.3 * (day.toordinal() * 7 % 5)
        if day.year in {2022, 2024} and (day.month, day.day) in {(3, 26), (3, 27), (3, 28)}:
            night = -6.0
        rows.append(f"{day.isoformat()},{night},{night + 7.0},2.0")
        day += timedelta(days=1)
    file = tmp_path / "nights.csv"
    file.write_text("\n".join(rows) + "\n")
    assert cli("weather", "import", file, "--station", "Here", folder=yard).code == 0
    cli("tree", "add", "Maple", "--species", "acer_palmatum", folder=yard)
    return yard


def outlook(cli: Cli, yard: Path, *more: str) -> dict[str, Any]:
    window: dict[str, Any]
    (window,) = cli("outlook", "--operation", "repot", "--on", ASKED, *more, "--json", folder=yard).data[
        "windows"
    ]
    return window


def kinds(row: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {each["kind"]: each for each in row["risks"]}


def test_without_a_pot_the_bench_air_counts(cli: Cli, cold: Path) -> None:
    row = outlook(cli, cold)["on_day"]
    found = kinds(row)
    assert row["day"] == ASKED
    assert (found["bench_frost"]["years"], found["bench_frost"]["of_years"]) == (2, 5)
    assert found["bench_frost"]["worst"] == -6.0
    assert "core_frost" not in found
    assert found["wind"]["years"] == 0
    assert row["carry_in"] == "alarm"
    assert "not known" in row["carry_in_words"]


def test_with_a_pot_the_core_counts(cli: Cli, cold: Path) -> None:
    added = cli("pot", "add", "P-1", "--shape", "rect", "--size", "30x22x7cm", "--tree", "Maple", folder=cold)
    assert added.code == 0, added.err
    row = outlook(cli, cold)["on_day"]
    found = kinds(row)
    assert (found["core_frost"]["years"], found["core_alarm"]["years"]) == (2, 2)
    assert -8.0 < found["core_frost"]["worst"] < -3.0  # slower than the air; a clear sky takes some more
    shown = cli("outlook", "Maple", "--operation", "repot", "--on", ASKED, folder=cold).out
    assert "pot core below 0 °C in 2 of 5 years" in shown
    assert "in one year of ten" in shown


def test_the_window_tells_days_left_and_a_chance_a_day(cli: Cli, cold: Path) -> None:
    row = outlook(cli, cold)
    assert row["days_left"]["low"] <= row["days_left"]["median"] <= row["days_left"]["high"]
    chances = row["chance_by_day"]
    assert all(0 <= each <= 1 for each in chances["open_prob"])
    place = (date.fromisoformat(ASKED) - date.fromisoformat(chances["first"])).days
    at = chances["open_prob"][place] if 0 <= place < len(chances["open_prob"]) else 0.0
    assert at == pytest.approx(row["open_prob"], abs=2e-3)
    assert row["on_day"]["open_prob"] == pytest.approx(row["open_prob"])


def test_each_number_has_a_why(cli: Cli, cold: Path) -> None:
    cli("pot", "add", "P-1", "--shape", "rect", "--size", "30x22x7cm", "--tree", "Maple", folder=cold)
    row = outlook(cli, cold)
    whys = [each["why"] for each in row["risks"]]
    assert len(whys) >= 5
    for why in (*whys, row["days_left"]["why"], row["chance_by_day"]["why"]):
        told = cli("why", why, "--on", ASKED, "--json", folder=cold)
        assert told.code == 0, why
        assert len(told.data["chain"]) > 1
        assert told.data["sources"]
    carried = cli("why", whys[0].rsplit(":", 1)[0] + ":carry_in", "--on", ASKED, "--json", folder=cold)
    assert carried.data["value"].endswith("°C")


def test_what_is_not_told_is_said_in_one_line(cli: Cli, cold: Path) -> None:
    tree = outlook(cli, cold)["tree"]
    ran = cli("why", f"{tree}:repot:core_frost", "--on", ASKED, folder=cold)
    assert ran.code != 0
    assert "core_frost" in ran.one_line


def test_today_asks_to_carry_in_while_nights_are_cold(cli: Cli, cold: Path) -> None:
    done = cli("log", "Maple", "work", "repot", "--date", "2026-03-18", "--on", ASKED, folder=cold)
    assert done.code == 0, done.err
    notes = cli("today", "--on", ASKED, "--json", folder=cold).data["notes"]
    assert any("roots cut and not active yet: carry in" in note for note in notes)
    assert cli("log", "Maple", "stage", "ra", "--date", ASKED, "--on", ASKED, folder=cold).code == 0
    notes = cli("today", "--on", ASKED, "--json", folder=cold).data["notes"]
    assert not any("carry in" in note for note in notes)  # roots seen active end it
    assert cli("undo", folder=cold).code == 0
    for warm in ("2026-03-14", "2026-06-01"):  # before the work, and when no night is cold any more
        notes = cli("today", "--on", warm, "--json", folder=cold).data["notes"]
        assert not any("carry in" in note for note in notes)


def notes_of(cli: Cli, yard: Path, on: str = ASKED) -> list[str]:
    notes: list[str] = cli("today", "--on", on, "--json", folder=yard).data["notes"]
    return notes


def test_a_tree_repotted_in_autumn_is_watched_through_its_rest(cli: Cli, cold: Path) -> None:
    assert cli("log", "Maple", "work", "repot", "--date", "2025-10-25", "--on", ASKED, folder=cold).code == 0
    assert any("roots cut and not active yet: carry in" in note for note in notes_of(cli, cold))


def test_a_tree_in_the_ground_is_not_carried(cli: Cli, cold: Path) -> None:
    moved = cli("tree", "edit", "Maple", "--place", "Row", "--on", "2026-03-14", folder=cold)
    assert moved.code == 0, moved.err
    stated = cli("place", "kind", "Row", "ground", "--on", "2026-03-14", folder=cold)
    assert stated.code == 0, stated.err
    assert cli("log", "Maple", "work", "repot", "--date", "2026-03-10", "--on", ASKED, folder=cold).code == 0
    assert not any("roots cut" in note for note in notes_of(cli, cold))
    done = cli(
        "log", "Maple", "work", "root_prune_in_ground", "--date", "2026-03-18", "--on", ASKED, folder=cold
    )
    assert done.code == 0, done.err
    assert not any("roots cut" in note for note in notes_of(cli, cold))
    ahead = cli(
        "outlook", "Maple", "--operation", "root_prune_in_ground", "--on", ASKED, "--json", folder=cold
    ).data["windows"][0]
    assert not {"bench_frost", "core_frost"} & set(kinds(ahead["on_day"]))
    assert (ahead["on_day"]["carry_in"], ahead["on_day"]["carry_in_words"]) == (None, "")
    lifted = cli("outlook", "Maple", "--operation", "lift", "--on", ASKED, "--json", folder=cold).data[
        "windows"
    ][0]
    assert lifted["on_day"]["carry_in"] == "alarm"  # then it stands in a pot


@pytest.fixture
def means(cli: Cli, yard: Path, tmp_path: Path) -> Path:
    """Five springs of which only the means of the days are known."""
    days = [date(2020, 10, 1) + timedelta(days=n) for n in range(1992)]
    rows = [f"{day.isoformat()},{12.0 if day.month in range(4, 11) else 4.0}" for day in days]
    file = tmp_path / "means.csv"
    file.write_text("\n".join(["date,tmean_degC", *rows]) + "\n")
    assert cli("weather", "import", file, "--station", "Here", folder=yard).code == 0
    cli("tree", "add", "Maple", "--species", "acer_palmatum", folder=yard)
    return yard


def test_without_lowest_temperatures_frost_on_roots_is_said_to_be_unknown(cli: Cli, means: Path) -> None:
    unknown = "frost on cut roots cannot be told: no daily minima"
    assert not any(unknown in note for note in notes_of(cli, means))
    assert unknown in cli("outlook", "Maple", "--operation", "repot", "--on", ASKED, folder=means).out
    assert unknown not in cli("outlook", "Maple", "--operation", "wire", "--on", ASKED, folder=means).out
    assert cli("log", "Maple", "work", "repot", "--date", "2026-03-18", "--on", ASKED, folder=means).code == 0
    assert [unknown in note for note in notes_of(cli, means)].count(True) == 1
    assert unknown in cli("today", "--on", ASKED, folder=means).out.replace("\n", " ")


def test_days_left_are_printed_of_an_open_window_alone(cli: Cli, cold: Path) -> None:
    """The window opens on 9 March to 6 April and closes on 22 March to 18 April."""
    for on, state in ((ASKED, "ahead"), ("2026-03-28", "open")):
        (row,) = cli("outlook", "--operation", "repot", "--on", on, "--json", folder=cold).data["windows"]
        assert row["state"] == state
        shown = cli("outlook", "Maple", "--operation", "repot", "--on", on, folder=cold).out
        assert (row["days_left"]["shown"] in shown) is (state == "open")
