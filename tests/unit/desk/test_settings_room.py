"""The settings of a yard: what is shown, what is changed, and that a bad value changes nothing at all."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier
from typing import Any

import pytest

from ringwise.desk.place_setup import PlaceGiven, set_place
from ringwise.desk.settings import FILE_NAME, load_settings
from ringwise.desk.settings_room import change_settings, settings_room
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import MissingFieldError, RingwiseError


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    opened(tmp_path / "yard").store.close()
    return tmp_path / "yard"


def opened(folder: Path) -> Workspace:
    return open_workspace(folder, on="2027-03-07")


def state(folder: Path) -> tuple[str, Any, int]:
    workspace = opened(folder)
    file = folder / FILE_NAME
    text = file.read_text(encoding="utf-8") if file.is_file() else ""
    kept = workspace.store.settings(), workspace.store.latest_step()
    workspace.store.close()
    return text, *kept


def test_place_and_climate_come_in_one_change(folder: Path) -> None:
    change = {"latitude": "52 24 N", "coldest": "1 C", "warmest": "64 F", "units": "inch", "name": "Yard"}
    answer = change_settings(opened(folder), change)
    settings = load_settings(folder, {})
    assert settings.latitude_deg == pytest.approx(52.4)
    assert (settings.units, settings.name) == ("inch", "Yard")
    told = settings_room(opened(folder))
    assert told["coldest_month_degC"] == pytest.approx(1.0)
    assert told["warmest_month_degC"] == pytest.approx((64 - 32) * 5 / 9)
    assert answer["action"] == opened(folder).store.latest_step()
    assert told["weather"] == "described"


def test_what_is_left_out_stays_and_a_blank_clears(folder: Path) -> None:
    change_settings(
        opened(folder), {"latitude": "52.4 N", "coldest": "1 C", "warmest": "17 C", "name": "Yard"}
    )
    change_settings(opened(folder), {"warmest": "18 C"})
    told = settings_room(opened(folder))
    assert (told["coldest_month_degC"], told["warmest_month_degC"]) == (1.0, 18.0)
    change_settings(opened(folder), {"name": ""})
    assert settings_room(opened(folder))["name"] == ""
    change_settings(opened(folder), {"coldest": "", "warmest": ""})
    told = settings_room(opened(folder))
    assert (told["coldest_month_degC"], told["coldest_shown"], told["weather"]) == (None, "", "none")


@pytest.mark.parametrize(
    "change",
    [
        {"latitude": "99 N"},
        {"latitude": "52 N", "units": "cubits"},
        {"language": "xx"},
        {"latitude": "48 N", "coldest": "hot"},
        {"latitude": "48 N", "coldest": "5 C", "warmest": "-20 C"},
        {"coldest": "2 C", "warmest": "20 C", "latitude": "north"},
        {"colour": "red"},
        {},
    ],
)
def test_a_bad_value_changes_nothing(folder: Path, change: dict[str, str]) -> None:
    change_settings(opened(folder), {"latitude": "52.4 N", "coldest": "1 C", "warmest": "17 C"})
    before = state(folder)
    with pytest.raises(RingwiseError):
        change_settings(opened(folder), change)
    assert state(folder) == before


def test_a_climate_needs_a_latitude(folder: Path) -> None:
    with pytest.raises(MissingFieldError, match="latitude"):
        change_settings(opened(folder), {"coldest": "1 C", "warmest": "17 C"})
    assert opened(folder).store.latest_step() == 0


def test_languages_are_named_in_their_own(folder: Path) -> None:
    told = settings_room(opened(folder))
    assert [(c["key"], c["words"]) for c in told["languages"]] == [("en", "English"), ("de", "Deutsch")]


def test_changes_at_once_lose_nothing_and_leave_a_file_that_reads(folder: Path) -> None:
    """Language and units tapped one after the other meet in the server."""
    settings = {"name": "Yard", "owner": "Ada", "units": "inch", "language": "de", "elevation": "140 m"}
    workspaces = {name: opened(folder) for name in settings}
    together = Barrier(len(settings))

    def change(name: str) -> None:
        for _again in range(20):
            together.wait(20)
            set_place(workspaces[name], PlaceGiven(**{name: settings[name]}))

    with ThreadPoolExecutor(len(settings)) as pool:
        for done in [pool.submit(change, name) for name in settings]:
            done.result()
    told = load_settings(folder, {})
    assert (told.name, told.owner, told.units, told.language, told.elevation_m) == (
        "Yard",
        "Ada",
        "inch",
        "de",
        140.0,
    )
