"""A climate told by twelve normals: kept, shown, carried into windows; the form of two means does no harm."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.climate import ClimateGiven, climate, describe_climate, stated_climate
from ringwise.desk.climate_months import kept_months, normals_given, normals_of
from ringwise.desk.entries import undo_last
from ringwise.desk.outlook import outlook
from ringwise.desk.settings_room import change_settings, settings_room
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.weather_under import weather_state, yard_series
from ringwise.desk.why import why
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import InputError, NotFoundError
from ringwise.weather.normals import Normals

TODAY = date(2027, 3, 7)
MEANS = (0.6, 1.4, 4.8, 8.9, 14.3, 17.1, 19.2, 18.9, 14.5, 9.7, 4.7, 2.0)
TYPED = ",".join(f"{mean}" for mean in MEANS)
FULL = Normals(MEANS, tuple(m - 4.0 for m in MEANS), tuple(m + 5.0 for m in MEANS))


def opened(folder: Path) -> Workspace:
    return open_workspace(folder, on=TODAY.isoformat())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "yard"
    made.mkdir()
    (made / "collection.toml").write_text("latitude_deg = 52.4\n")
    describe_climate(opened(made), ClimateGiven("", "", "20 Apr", normals=FULL))
    add_tree(opened(made), NewTree("Old Elm", "Ulmus procera"))
    return made


def test_the_twelve_are_kept_and_shown(folder: Path) -> None:
    words = stated_climate(opened(folder))
    assert words is not None
    assert words.normals == FULL
    told = climate(opened(folder))
    assert (told["coldest_month_degC"], told["warmest_month_degC"]) == (0.6, 19.2)
    assert [each["mean_degC"] for each in told["months"]] == list(MEANS)
    assert told["months"][0] == {
        "month": 1,
        "words": "Jan",
        "mean_degC": 0.6,
        "low_degC": -3.4,
        "high_degC": 5.6,
        "shown": "0.6 °C",
    }
    assert any("Jan 0.6 °C, Feb 1.4 °C" in line for line in told["lines"])


def test_windows_stand_on_the_normals(folder: Path) -> None:
    workspace = opened(folder)
    assert weather_state(workspace) == "described"
    assert outlook(workspace, [])["windows"]
    series = yard_series(workspace)
    months = np.array([(series.first.toordinal() + k) for k in range(series.n)])
    november = np.array([date.fromordinal(int(day)).month == 11 for day in months])
    # Twenty Novembers: three standard errors of about 0.5 degC by the table.
    assert series.tmean_degC[november].mean() == pytest.approx(4.7, abs=1.5)
    assert (series.tmean_degC - series.tmin_degC).mean() == pytest.approx(4.0, rel=0.05)


def test_normals_differ_from_their_two_means(folder: Path, tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    plain.mkdir()
    (plain / "collection.toml").write_text("latitude_deg = 52.4\n")
    describe_climate(opened(plain), ClimateGiven("0.6 C", "19.2 C"))
    assert climate(opened(plain))["months"] == []
    assert not np.array_equal(yard_series(opened(plain)).tmean_degC, yard_series(opened(folder)).tmean_degC)


def test_the_settings_carry_the_months(folder: Path) -> None:
    told = settings_room(opened(folder))
    assert [each["mean_degC"] for each in told["months"]] == list(MEANS)
    assert told["described"] == {
        "coldest": "0.6 C",
        "warmest": "19.2 C",
        "last_frost": "20 Apr",
        "first_frost": "",
    }


def test_a_form_of_two_means_leaves_the_twelve_alone_unless_a_mean_changes(folder: Path) -> None:
    change_settings(opened(folder), {"coldest": "0.6 C", "warmest": "19.2 C", "last_frost": "25 Apr"})
    told = settings_room(opened(folder))
    assert len(told["months"]) == 12
    assert told["described"]["last_frost"] == "25 Apr"
    change_settings(opened(folder), {"coldest": "-2 C"})
    told = settings_room(opened(folder))
    assert told["months"] == []
    assert (told["coldest_month_degC"], told["warmest_month_degC"]) == (-2.0, 19.2)
    undo_last(opened(folder))
    assert len(settings_room(opened(folder))["months"]) == 12
    change_settings(opened(folder), {"coldest": "", "warmest": "", "last_frost": ""})
    assert stated_climate(opened(folder)) is None


def test_an_older_record_without_months_reads(folder: Path) -> None:
    assert normals_of(None) is None
    assert normals_of({}) is None
    assert normals_of(kept_months(FULL)) == FULL
    assert normals_of(kept_months(Normals(MEANS))) == Normals(MEANS)


@pytest.mark.parametrize(
    "typed",
    [
        TYPED,
        TYPED.replace(",", " , "),
        "; ".join(f"{mean}".replace(".", ",") for mean in MEANS),
        ",".join(f"{mean * 9 / 5 + 32:.10f} F" for mean in MEANS),
        ";".join(f"{mean} °C" for mean in MEANS),
    ],
)
def test_twelve_numbers_read_with_or_without_units(typed: str) -> None:
    found = normals_given(None, typed)
    assert found is not None
    assert found.mean_degC == pytest.approx(MEANS)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (TYPED + ",3.0", "13 months; give twelve"),
        ("1,2,3", "3 months; give twelve"),
        (TYPED.replace("4.8", "mild"), 'mean of Mar is "mild"'),
        (TYPED.replace("4.8", "nan"), 'mean of Mar is "nan"'),
        (TYPED.replace("4.8", ""), 'mean of Mar is ""'),
        (TYPED.replace("4.8", "41 F"), "some months have a unit and Jan has none"),
        (TYPED.replace("4.8", "41"), "mean of Mar is 41 degC"),
        (TYPED.replace("0.6", "33"), "within 25 degC of the month before"),
        (",".join(f"{mean} kg" for mean in MEANS), "does not fit a temperature"),
    ],
)
def test_bad_numbers_are_told_in_one_line(typed: str, says: str) -> None:
    with pytest.raises(InputError, match=says) as told:
        normals_given(None, typed)
    assert "\n" not in str(told.value)


def test_a_file_reads_and_a_bad_one_is_named(tmp_path: Path) -> None:
    file = tmp_path / "town.csv"
    file.write_text("month,tmean_degC\n" + "".join(f"{n},{m}\n" for n, m in enumerate(MEANS, 1)))
    found = normals_given(file, "")
    assert found is not None
    assert found.mean_degC == MEANS
    with pytest.raises(InputError, match="not both"):
        normals_given(file, TYPED)
    with pytest.raises(InputError, match="leave --coldest"):
        normals_given(file, "", means="1 C")
    with pytest.raises(NotFoundError, match="there is no file"):
        normals_given(tmp_path / "none.csv", "")
    file.write_bytes(b"month,tmean_degC\n1,\xff\n")
    with pytest.raises(InputError, match=r"town\.csv: is no text"):
        normals_given(file, "")
    file.write_text("x" * 70_000)
    with pytest.raises(InputError, match="too large"):
        normals_given(file, "")


def test_nothing_is_stored_of_normals_that_are_no_climate(folder: Path) -> None:
    before = opened(folder).store.settings()
    bad = Normals((*MEANS[:11], 60.0))
    with pytest.raises(InputError):
        describe_climate(opened(folder), ClimateGiven("", "", normals=bad))
    assert opened(folder).store.settings() == before


def test_a_frost_day_is_held_against_the_normals(folder: Path) -> None:
    answer = describe_climate(opened(folder), ClimateGiven("", "", "10 Jul", normals=FULL))
    assert len(answer["contradictions"]) == 1
    assert "With these means the last frost" in answer["contradictions"][0]


def test_why_names_the_twelve_and_not_the_two(folder: Path) -> None:
    chain = why(opened(folder), "yard:climate")["chain"]
    labels = [link["label"] for link in chain]
    assert "monthly normals, as given" in labels
    assert not any("as typed" in label and "coldest" in label for label in labels)
    (link,) = [each for each in chain if each["label"] == "monthly normals, as given"]
    assert link["value"].startswith("Jan 0.6 °C, Feb 1.4 °C")
    assert link["basis"] == "assumed"
