"""What first steps and settings need of the desk: fields named in errors, one series, a told climate."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringwise.desk.settings_room import change_settings, settings_room
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.weather_file import bring_weather
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import InputError, RingwiseError


def opened(folder: Path) -> Workspace:
    return open_workspace(folder, on="2027-03-07")


def days(year: int, temp: str = "1,5") -> str:
    return f"date,tmin_degC,tmax_degC\n{year}-01-01,{temp}\n{year}-01-02,0,4\n"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"latitude": "52.4 Q"}, "latitude"),
        ({"latitude": "91 N"}, "latitude"),
        ({"elevation": "high"}, "elevation"),
        ({"coldest": "cold", "warmest": "19 C"}, "coldest"),
        ({"coldest": "1 C", "warmest": ""}, "warmest"),
        ({"coldest": "20 C", "warmest": "1 C"}, "coldest"),
        ({"coldest": "1 C", "warmest": "19 C", "last_frost": "soon"}, "last_frost"),
        ({"coldest": "1 C", "warmest": "19 C", "first_frost": "31 Feb"}, "first_frost"),
        ({"last_frost": "31 Feb"}, "last_frost"),
        ({"first_frost": "20 Oct"}, "coldest"),  # without the means it could not be kept
    ],
)
def test_an_error_of_a_setting_names_its_field(tmp_path: Path, change: dict[str, str], field: str) -> None:
    change_settings(opened(tmp_path), {"latitude": "52.4 N"})
    with pytest.raises(RingwiseError) as caught:
        change_settings(opened(tmp_path), change)
    assert caught.value.field == field
    assert settings_room(opened(tmp_path))["described"]["coldest"] == ""


@pytest.mark.parametrize(
    ("given", "field"),
    [
        (NewTree("", "acer_palmatum"), "name"),
        (NewTree("Maple", "acer palmatun"), "species"),
        (NewTree("Maple", "acer_palmatum", started="some day"), "started"),
        (NewTree("Maple", "acer_palmatum", started="2031"), "started"),
        (NewTree("Maple", "acer_palmatum", height="tall"), "height"),
        (NewTree("Maple", "acer_palmatum", height="40 cm", girth="3 kg"), "girth"),
    ],
)
def test_an_error_of_a_new_tree_names_its_field(tmp_path: Path, given: NewTree, field: str) -> None:
    with pytest.raises(RingwiseError) as caught:
        add_tree(opened(tmp_path), given)
    assert caught.value.field == field
    assert "--" not in str(caught.value)
    assert opened(tmp_path).trees == ()


def test_a_tree_whose_beginning_is_left_blank_began_on_an_unknown_day(tmp_path: Path) -> None:
    add_tree(opened(tmp_path), NewTree("Maple", "acer_palmatum", started=""))
    assert not opened(tmp_path).trees[0].started.known


def test_what_was_said_of_the_climate_comes_back_as_typed(tmp_path: Path) -> None:
    change_settings(opened(tmp_path), {"latitude": "52.4 N"})
    before = settings_room(opened(tmp_path))
    assert before["described"] == {"coldest": "", "warmest": "", "last_frost": "", "first_frost": ""}
    assert before["guess_line"]
    said = {"coldest": "1 C", "warmest": "19 C", "last_frost": "1 Feb", "first_frost": ""}
    change_settings(opened(tmp_path), said)
    after = settings_room(opened(tmp_path))
    assert after["described"] == said
    assert len(after["contradictions"]) == 1  # frost ends long after the first of February at these means
    assert "1 Feb" in after["contradictions"][0]


def test_files_of_two_years_become_one_series(tmp_path: Path) -> None:
    change_settings(opened(tmp_path), {"latitude": "52.4 N"})
    for year in (2024, 2025):
        file = tmp_path / f".incoming-{year}"
        file.write_text(days(year, "1,5"))
        done = bring_weather(opened(tmp_path), file, f"roof-{year}.csv")
        assert done["action"] is not None
    assert opened(tmp_path).store.weather_stations() == ["roof-2024"]
    again = bring_weather(opened(tmp_path), file, "roof-2025.csv")
    assert again["action"] is None  # every day was known
    told = settings_room(opened(tmp_path))["weather_lines"]
    assert "roof-2024" in told[0]
    assert not [line for line in told if ".incoming" in line]  # the source is the grower's file


def test_a_file_that_does_not_read_is_told_by_its_own_name_and_stores_nothing(tmp_path: Path) -> None:
    file = tmp_path / ".incoming-1"
    file.write_text(days(2024, "x,5"))
    with pytest.raises(InputError) as caught:
        bring_weather(opened(tmp_path), file, "roof.csv")
    assert caught.value.where.startswith("roof.csv, ")
    assert "tmin_degC" in caught.value.where
    assert opened(tmp_path).store.weather_stations() == []
