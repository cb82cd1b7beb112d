"""The weather of places through the command: readings, a file of a logger, kinds, what is known of them."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import Cli


def test_a_reading_is_written_shown_and_taken_back(cli: Cli, demo: Path) -> None:
    ran = cli("place", "reading", "bench 1", "--min", "-1.5 C", "--max", "48 F", "--json", folder=demo)
    assert ran.code == 0, ran.err
    (day,) = ran.data["days"]
    assert day == {"day": "2027-03-07", "tmin_degC": -1.5, "tmax_degC": pytest.approx(8.89)}
    assert ran.data["id"] == "bench 1"
    shown = cli("place", "show", "bench 1", "--json", folder=demo).data["places"][0]
    assert (shown["readings"], shown["nights"]["readings"], shown["days"]["readings"]) == (1, 1, 1)
    assert "from 1 reading" in cli("place", "show", "bench 1", folder=demo).out
    assert cli("undo", folder=demo).code == 0
    shown = cli("place", "show", "bench 1", "--json", folder=demo).data["places"][0]
    assert shown["readings"] == 0
    assert shown["nights"]["assumed"]


def test_a_morning_reading_belongs_to_two_days(cli: Cli, demo: Path) -> None:
    ran = cli(
        "place",
        "reading",
        "bench 2",
        "--date",
        "2027-03-05",
        "--min",
        "1",
        "--max",
        "9",
        "--morning",
        "--json",
        folder=demo,
    )
    assert [(day["day"], day["tmin_degC"], day["tmax_degC"]) for day in ran.data["days"]] == [
        ("2027-03-04", None, 9.0),
        ("2027-03-05", 1.0, None),
    ]


def test_a_file_of_a_logger_with_its_own_columns(cli: Cli, demo: Path, tmp_path: Path) -> None:
    file = tmp_path / "logger.csv"
    file.write_text("day;lowest;highest\n2027-03-01;30.2;48.2\n2027-03-02;32;50\n")
    columns = "date=day,tmin_degC=lowest:degF,tmax_degC=highest:degF"
    wish = ("place", "readings", "bench 3", "--file", str(file), "--columns", columns)
    previewed = cli(*wish, "--preview", "--json", folder=demo)
    assert previewed.code == 0, previewed.err
    assert not previewed.data["stored"]
    ran = cli(*wish, "--json", folder=demo)
    assert (ran.data["new_days"], ran.data["first"], ran.data["last"]) == (2, "2027-03-01", "2027-03-02")
    shown = cli("place", "show", "bench 3", "--json", folder=demo).data["places"][0]
    assert shown["readings"] == 2


def test_a_kind_is_stated_and_a_new_place_named(cli: Cli, demo: Path) -> None:
    assert cli("place", "kind", "lean-to", "cold frame", folder=demo).code == 0
    shown = cli("place", "show", "lean-to", "--json", folder=demo).data["places"][0]
    assert (shown["microsite"], shown["stated"], shown["trees"]) == ("cold_frame", True, 0)


def test_the_demo_yard_shows_two_places_with_readings(cli: Cli, demo: Path) -> None:
    answer = cli("place", "show", "--json", folder=demo).data
    read = {place["place"]: place for place in answer["places"] if place["readings"]}
    assert set(read) == {"frost-free shed", "shade house"}
    shed = read["frost-free shed"]
    assert shed["frost"]["place_degC"] > 0.0  # it stays free of frost, as its readings say
    assert [out["reason"] for out in read["shade house"]["left_out"]] == ["sun"]


def test_the_outlook_of_a_tree_follows_its_place(cli: Cli, demo: Path) -> None:
    wish = ("outlook", "T16", "--json")
    before = cli(*wish, folder=demo).data["windows"]
    cli("place", "kind", "shade house", "tunnel", folder=demo)
    after = cli(*wish, folder=demo).data["windows"]
    assert before != after


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("reading", "bench 1"), "minimum, the maximum or both"),
        (("reading", "bench 1", "--min", "warm"), "warm"),
        (("reading", "bench 1", "--min", "5", "--max", "3"), "above the maximum"),
        (("reading", "bench 1", "--min", "5", "--date", "2027-03-08"), "up to today"),
        (("reading", "no such", "--min", "5"), "no place"),
        (("readings", "bench 1", "--file", "nowhere.csv"), "nowhere.csv"),
        (("kind", "bench 1", "balcony"), "open_bench"),
        (("show", "no such"), "no place"),
    ],
)
def test_bad_values_are_refused_in_one_line(cli: Cli, demo: Path, words: tuple[str, ...], part: str) -> None:
    ran = cli("place", *words, folder=demo)
    assert ran.code == 2
    assert part in ran.one_line


def test_the_outlook_says_how_a_place_differs_and_is_silent_of_an_open_bench(cli: Cli, demo: Path) -> None:
    notes = cli("outlook", "T16", "--json", folder=demo).data["notes"]
    assert any(note.startswith("shade house: nights") and "from 14 readings" in note for note in notes)
    notes = cli("outlook", "T01", "--json", folder=demo).data["notes"]
    assert not any(note.startswith("bench") for note in notes)
