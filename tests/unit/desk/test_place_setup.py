"""The first steps: a latitude as people write it, settings that stay, what comes next."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringwise.desk.climate import ClimateGiven, describe_climate
from ringwise.desk.place_setup import PlaceGiven, read_angle, set_place, start_state
from ringwise.desk.settings import FILE_NAME, load_settings
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import FileFormatError, InputError, RangeError


def opened(folder: Path) -> Workspace:
    return open_workspace(folder, on="2027-03-07")


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [
        ("52.4", 52.4),
        ("52,4", 52.4),
        ("52.4 N", 52.4),
        ("52.4°N", 52.4),
        ("-33.9", -33.9),
        ("33 52 S", -(33 + 52 / 60)),
        ("S 33 52", -(33 + 52 / 60)),
        ("52°24′N", 52.4),
        ("52° 24' 36\" n", 52.41),
        ("0", 0.0),
        ("90 S", -90.0),
    ],
)
def test_a_latitude_reads_as_people_write_it(typed: str, degrees: float) -> None:
    assert read_angle(typed, field="latitude", letters="NS", most_deg=90.0) == pytest.approx(degrees)


@pytest.mark.parametrize(
    "typed", ["", "north", "52.4 E", "-33.9 S", "1 2 3 4", "52..4", "nan", "5e1", "\x1b[31m"]
)
def test_what_is_no_latitude_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="latitude"):
        read_angle(typed, field="latitude", letters="NS", most_deg=90.0)


@pytest.mark.parametrize("typed", ["90.1", "91 S", "52 60 N", "52 10 60 N"])
def test_an_angle_beyond_its_range_is_refused(typed: str) -> None:
    with pytest.raises(RangeError, match="latitude"):
        read_angle(typed, field="latitude", letters="NS", most_deg=90.0)


def test_a_place_is_written_and_all_else_stays(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    folder.mkdir()
    (folder / FILE_NAME).write_text('station = "roof"\nseed = 5\ntoday = 2027-03-07\nowner = "Ann"\n')
    given = PlaceGiven(
        name='Back "yard"', latitude="33 52 S", longitude="151 12 E", elevation="100 ft", units="inch"
    )
    answer = set_place(opened(folder), given)
    assert answer["action"] is None
    read = load_settings(folder, {})
    assert (read.name, read.owner, read.station, read.seed) == ('Back "yard"', "Ann", "roof", 5)
    assert read.latitude_deg == pytest.approx(-33.8667, abs=1e-4)
    assert read.longitude_deg == pytest.approx(151.2)
    assert read.elevation_m == pytest.approx(30.48)  # a foot is 0.3048 m by definition
    assert (read.units, str(read.today)) == ("inch", "2027-03-07")


def test_a_blank_clears_and_what_is_not_given_stays(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    set_place(opened(folder), PlaceGiven(name="A", latitude="52.4"))
    set_place(opened(folder), PlaceGiven(name=""))
    read = load_settings(folder, {})
    assert (read.name, read.latitude_deg) == ("", 52.4)


def test_the_environment_is_not_written_down(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RINGWISE_LATITUDE_DEG", "10")
    folder = tmp_path / "yard"
    set_place(opened(folder), PlaceGiven(name="A"))
    assert "latitude" not in (folder / FILE_NAME).read_text()


@pytest.mark.parametrize(
    "given",
    [
        PlaceGiven(),
        PlaceGiven(latitude="up"),
        PlaceGiven(name="A", units="cubits"),
        PlaceGiven(name="A", language="xx"),
        PlaceGiven(owner="two\x07lines"),
        PlaceGiven(elevation="9000 m"),
        PlaceGiven(name="x" * 81),
    ],
)
def test_a_bad_value_leaves_the_file_as_it_was(tmp_path: Path, given: PlaceGiven) -> None:
    folder = tmp_path / "yard"
    set_place(opened(folder), PlaceGiven(name="Yard", latitude="52.4"))
    before = (folder / FILE_NAME).read_bytes()
    with pytest.raises(InputError):
        set_place(opened(folder), given)
    assert (folder / FILE_NAME).read_bytes() == before


def test_a_file_that_does_not_read_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    workspace = opened(folder)
    (folder / FILE_NAME).write_text("latitude_deg = = 5")
    with pytest.raises(FileFormatError, match="TOML"):
        set_place(workspace, PlaceGiven(name="A"))
    assert (folder / FILE_NAME).read_text() == "latitude_deg = = 5"


def test_first_steps_come_in_their_order(tmp_path: Path) -> None:
    folder = tmp_path / "yard"
    assert start_state(opened(folder)) == {
        "has_place": False,
        "has_weather": "none",
        "trees": 0,
        "next": "place",
    }
    set_place(opened(folder), PlaceGiven(latitude="52.4 N"))
    assert start_state(opened(folder))["next"] == "weather"
    describe_climate(opened(folder), ClimateGiven("1 C", "19 C"))
    assert start_state(opened(folder))["has_weather"] == "described"
    assert start_state(opened(folder))["next"] == "tree"
    add_tree(opened(folder), NewTree("Old Elm", "Ulmus procera"))
    assert start_state(opened(folder)) == {
        "has_place": True,
        "has_weather": "described",
        "trees": 1,
        "next": "done",
    }
