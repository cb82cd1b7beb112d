"""A weather file before it is stored: what is understood, what is new, what a table's columns may be."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from living_yards import small_yard

from ringwise.desk.weather_file import bring_weather
from ringwise.desk.weather_preview import MOST_REJECTED, preview_weather
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import FileFormatError, InputError, RangeError

# Five days of a table with a header of no service, one of them marked as not measured.
UNKNOWN = "Day;Low (°F);High (°F);Rain, in;Note\n" + "\n".join(
    ["01.03.2026;28;46;0.1;a", "02.03.2026;-99;48;0;<b>", "13.03.2026;31;51;;c"]
)
MAPPED = r"date=Day:DD.MM.YYYY,tmin_degC=Low (°F):degF:missing=-99,rain_mm=Rain\, in:inch"


@pytest.fixture
def bare(tmp_path: Path) -> Workspace:
    """A yard without weather."""
    return open_workspace(small_yard(tmp_path / "yard", weather=False))


def looked(workspace: Workspace, text: str, columns: str = "", name: str = "own.csv") -> Any:
    file = workspace.folder / "incoming"
    file.write_text(text, encoding="utf-8")
    return preview_weather(workspace, file, name, columns)


def brought(workspace: Workspace, text: str, columns: str = "") -> Any:
    file = workspace.folder / "incoming"
    file.write_text(text, encoding="utf-8")
    return bring_weather(workspace, file, "own.csv", columns)


def days(first: int, last: int, low: float = 1.0) -> str:
    rows = "".join(f"2026-01-{day:02d},{low},5\n" for day in range(first, last + 1))
    return "date,tmin_degC,tmax_degC\n" + rows


def test_a_look_stores_nothing_and_says_what_taking_it_in_would(bare: Workspace) -> None:
    before = bare.store.latest_step()
    look = looked(bare, days(1, 20))
    assert (look["state"], look["days"], look["new_days"], look["first"]) == ("read", 20, 20, "2026-01-01")
    assert [(each["column"], each["how"]) for each in look["columns"]] == [
        ("tmin_degC", "taken as it is"),
        ("tmax_degC", "taken as it is"),
    ]
    assert bare.store.latest_step() == before
    assert bare.store.weather_stations() == []
    assert brought(bare, days(1, 20))["action"] == before + 1


def test_only_days_that_are_not_stored_yet_or_otherwise_are_new(bare: Workspace) -> None:
    brought(bare, days(5, 10))
    assert looked(bare, days(5, 10))["new_days"] == 0
    for text, new in ((days(1, 10), 4), (days(8, 14), 4), (days(6, 7, low=2.0), 2)):
        assert looked(bare, text)["new_days"] == new
        answer = brought(bare, text)
        assert f"{new} of them new or changed" in answer["line"]
        brought(bare, days(5, 10))  # what the changed days were before
        assert looked(bare, text)["new_days"] == (2 if new == 2 else 0)


def test_a_day_that_was_stored_without_values_is_not_new_again(bare: Workspace) -> None:
    gap = days(1, 2) + "2026-01-12,1,5\n"
    brought(bare, gap)
    assert looked(bare, gap)["new_days"] == 0
    assert looked(bare, gap)["missing_days"] == 9  # a gap of nine days stays open
    assert looked(bare, days(1, 12))["new_days"] == 9


def test_days_that_contradict_what_is_stored_beside_them_are_told_beforehand(bare: Workspace) -> None:
    brought(bare, days(1, 10))
    with pytest.raises(RangeError, match="beside the days that are stored"):
        looked(bare, "date,tmin_degC,tmax_degC\n2026-01-11,35,40\n")


def test_a_table_of_no_format_comes_back_with_its_columns_and_a_guess_for_each(bare: Workspace) -> None:
    look = looked(bare, UNKNOWN)
    assert (look["state"], look["days"]) == ("columns", 0)
    assert "none of the formats" in look["line"]
    table = look["table"]
    assert table["rows"] == 3
    guessed = {each["column"]: (each["ours"], each["unit"], each["date_form"]) for each in table["columns"]}
    assert guessed == {
        "Day": ("date", "", "DD.MM.YYYY"),
        "Low (°F)": ("tmin_degC", "degF", ""),
        "High (°F)": ("tmax_degC", "degF", ""),
        "Rain, in": ("rain_mm", "in", ""),
        "Note": ("", "", ""),
    }
    assert table["columns"][1]["missing"] == "-99"
    assert table["columns"][4]["cells"] == ["a", "<b>", "c"]


@pytest.mark.parametrize(
    "header", ["date,low,high", "Day,tmin_degC,tmax_degC", "STATION,DATE,TMAX"], ids=lambda text: text[:7]
)
def test_a_header_that_says_too_little_can_be_mapped_too(bare: Workspace, header: str) -> None:
    look = looked(bare, header + "\n2026-01-01,2026-01-01,999\n")
    assert (look["state"], len(look["table"]["columns"])) == ("columns", 3)


def test_a_mapping_is_read_as_it_will_be_stored(bare: Workspace) -> None:
    look = looked(bare, UNKNOWN, MAPPED)
    assert look["state"] == "read"
    assert [(each["ours"], each["how"], each["values"]) for each in look["columns"]] == [
        ("tmin_degC", "from °F to °C", 2),
        ("rain_mm", "from in to mm", 2),
    ]
    brought(bare, UNKNOWN, MAPPED)
    rows = bare.store.weather_get("own")
    assert rows.columns["rain_mm"][0] == pytest.approx(2.54)  # an inch is 25.4 mm
    assert rows.columns["tmin_degC"][0] == pytest.approx((28 - 32) / 1.8)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("date,tmin_degC,tmax_degC\n2026-01-01,1,x\n", r"own\.csv, row 2, column tmax_degC"),
        ("date,tmin_degC,tmax_degC\n2026-01-01,1\n", r"own\.csv, row 2"),
        ("", "is none|empty|no row"),
        ("a,b\n", "none of the formats"),
        ("{}", r"own\.csv"),
        ("\x00\x01", "no text file"),
    ],
)
def test_a_bad_file_is_one_line_with_its_place(bare: Workspace, text: str, said: str) -> None:
    with pytest.raises(InputError) as wrong:
        looked(bare, text)
    assert len(str(wrong.value).splitlines()) == 1
    assert re.search(said, str(wrong.value))
    assert bare.store.weather_stations() == []


def test_a_wrong_mapping_is_refused_and_not_answered_with_the_table(bare: Workspace) -> None:
    with pytest.raises(InputError, match="no column"):
        looked(bare, UNKNOWN, "date=Tag,tmin_degC=Low (°F)")
    with pytest.raises(FileFormatError, match="row 3, column Low"):
        looked(bare, UNKNOWN.replace("-99", "cold"), MAPPED)


def test_days_to_come_are_counted_apart_and_known_again(bare: Workspace) -> None:
    text = "date,tmin_degC,tmax_degC\n2027-03-06,1,5\n2027-03-07,1,5\n2027-03-08,1,5\n2027-03-09,1,5\n"
    look = looked(bare, text)
    assert (look["last"], look["new_days"]) == ("2027-03-07", 2)
    assert (look["forecast_days"], look["forecast_new_days"]) == (2, 2)
    brought(bare, text)
    look = looked(bare, text)
    assert (look["new_days"], look["forecast_days"], look["forecast_new_days"]) == (0, 2, 0)


def test_a_file_of_nothing_but_days_to_come(bare: Workspace) -> None:
    rows = "".join(f"2027-{3 + day // 31:02d}-{day % 31 + 1:02d},1,5\n" for day in range(7, 60))
    look = looked(bare, "date,tmin_degC,tmax_degC\n" + rows)
    assert (look["days"], look["first"]) == (0, None)
    assert look["forecast_days"] + look["beyond_days"] == 53
    assert look["beyond_days"] > 20  # no forecast tells a month


def test_values_that_are_not_taken_are_listed_up_to_a_screen_and_counted_all(bare: Workspace) -> None:
    # GHCN-Daily by station: a sixth column that is not blank says that the value failed its check
    rows = "".join(
        f"GME00000001,{year}{month:02d}{day:02d},{element},{value},,{'X' if day < 13 else ''},E\n"
        for year in (2020, 2021)
        for month in range(1, 13)
        for day in range(1, 29)
        for element, value in (("TMAX", 50), ("TMIN", 10))
    )
    look = looked(bare, rows)
    assert look["rejected_values"] == 2 * 12 * 12 * 2
    assert len(look["rejected"]) == MOST_REJECTED
    assert look["rejected"][0].keys() == {"day", "day_shown", "column", "text", "reason"}
    assert any(str(2 * 12 * 12) in line for line in look["rejected_lines"])
