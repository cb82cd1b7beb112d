"""calc stage by every published model through the command: rows named, latitude, overrides, refusals."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import Cli

GOE = Path(__file__).parents[1] / "reference" / "data" / "goe.csv"


# Source: days by an independent program with the published rows (see tests/reference); Göttingen 2003.
@pytest.mark.parametrize(
    ("model", "species", "day", "form", "more"),
    [
        ("menzel", "fagus_sylvatica", 128, "menzel", ()),
        ("uniforc", "fagus_sylvatica", 119, "uniforc", ()),
        ("photoperiod_chill", "fagus_sylvatica", 120, "photoperiod_chill", ("--lat", "51.5")),
        ("unichill", "fagus_sylvatica", None, "unichill_threshold", ()),
        ("unichill", "abies_alba", None, "unichill", ()),
        ("thermal_time", "G1", None, "thermal_time", ()),
        ("delpierre", "any", None, "delpierre", ("--lat", "51.5")),
    ],
)
def test_every_model_names_the_rows_it_used(
    cli: Cli, model: str, species: str, day: int | None, form: str, more: tuple[str, ...]
) -> None:
    words = ("calc", "stage", "--model", model, "--species", species, "--weather", GOE, "--year", "2003")
    data = cli(*words, *more, "--json").data
    assert data["model"] == model
    assert data["date"].startswith("2003-")
    assert day is None or data["day_of_year"] == day
    assert {row["parameter"].split(".")[0] for row in data["parameters"]} == {form}
    assert {row["key"] for row in data["parameters"]} == {species}
    assert all(row["source"] and row["basis"] for row in data["parameters"])


def test_forcing_is_told_with_what_was_needed(cli: Cli) -> None:
    # Source: algebra: the day before, the sum is short of the need; a day adds at most 1.
    words = ("calc", "stage", "--species", "fagus_sylvatica", "--weather", GOE, "--year", "2003", "--json")
    for model in ("uniforc", "unichill"):
        data = cli(*words, "--model", model).data
        assert data["forcing_needed_days"] <= data["forcing_days"] < data["forcing_needed_days"] + 1
    assert cli(*words, "--model", "unichill").data["chill_days"] > 73.7


def test_daylength_without_a_latitude_is_refused(cli: Cli) -> None:
    ran = cli(
        "calc", "stage", "--model", "photoperiod_chill", "--species", "fagus_sylvatica", "--weather", GOE,
        "--year", "2003",
    )  # fmt: skip
    assert ran.code == 2
    assert "latitude" in ran.err


def test_a_parameter_by_hand_moves_the_day_and_says_so(cli: Cli) -> None:
    words = ("calc", "stage", "--model", "unichill", "--species", "fagus_sylvatica", "--weather", GOE)
    plain = cli(*words, "--year", "2003", "--json").data
    more = cli(*words, "--year", "2003", "--json", "--parameters", "force=39").data
    assert more["day_of_year"] > plain["day_of_year"]
    (row,) = (row for row in more["parameters"] if row["parameter"].endswith(".force"))
    assert (row["value"], row["basis"], row["source"]) == ("39.0", "assumed", "own")


def test_all_parameters_by_hand_need_no_rows(cli: Cli) -> None:
    # Source: algebra on the record itself: 5 degrees are the base, 60 degree days the need, from 1 March.
    given = "start_day=60,base=5,heat=60"
    words = ("calc", "stage", "--model", "thermal_time", "--species", "zelkova_serrata", "--weather", GOE)
    data = cli(*words, "--year", "2003", "--json", "--parameters", given).data
    rows = dict(line.split(",")[:2] for line in GOE.read_text(encoding="utf-8").splitlines()[1:])
    total, days = 0.0, sorted(day for day in rows if day >= "2003-03-01")
    for day in days:
        total += max(float(rows[day]) - 5, 0.0)
        if total >= 60:
            break
    assert data["date"] == day
    assert {row["basis"] for row in data["parameters"]} == {"assumed"}
    assert cli(*words, "--year", "2003", "--parameters", "start_day=60").code == 2
