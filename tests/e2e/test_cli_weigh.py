"""Weighing a pot by the command: what is stored, learned and refused, and the wet pot of July."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import Cli

ON = ("--on", "2027-07-15")
LATER = ("--on", "2027-07-22")


@pytest.fixture
def elm(cli: Cli, yard: Path) -> Path:
    on = ("--on", "2027-06-01")
    assert cli("tree", "add", "Old Elm", "--species", "Ulmus procera", *on, folder=yard).code == 0
    assert cli("pot", "add", "P1", "--shape", "rect", "--size", "30x20x6 cm", *on, folder=yard).code == 0
    assert cli("pot", "put", "P1", "T01", *on, folder=yard).code == 0
    words = ("work", "repot", "--pot", "P1", "--mix", "D", "--date", "2024-04-01")
    assert cli("log", "T01", *words, *on, folder=yard).code == 0
    return yard


def kinds(cli: Cli, folder: Path) -> list[str]:
    entries = cli("tree", "show", "T01", "--json", *LATER, folder=folder).data["entries"]
    return [each["kind"] for each in entries if each["kind"] in {"weight", "drain", "days_dry"}]


def band(data: dict[str, object], key: str, when: str) -> dict[str, float]:
    rows = data["learned"]
    assert isinstance(rows, list)
    return next(row for row in rows if row["key"] == key)[when]


def test_level_and_tilted_narrow_what_the_pot_is_taken_for(cli: Cli, elm: Path) -> None:
    given = ("--level", "6.50kg", "--tilted", "6.10kg", "--tilt", "30deg")
    data = cli("weigh", "T01", *given, "--json", *ON, folder=elm).data
    assert [each["data"]["moment"] for each in data["entries"]] == ["drained_level", "drained_tilted"]
    assert data["entries"][1]["data"]["tilt_deg"] == 30.0
    assert data["entries"][0]["data"]["typed"] == "6.50kg"
    drop = data["drops"][0]
    before, after = drop["before"], drop["after"]
    assert after["high"] - after["low"] < 0.7 * (before["high"] - before["low"])
    assert after["low"] < drop["measured_g"] < after["high"]
    assert "tilting by 30 degrees let out 400 g" in drop["line"]
    assert band(data, "air", "after") != band(data, "air", "before")
    assert any("Never dry a tree out" in line for line in data["lines"])
    again = cli("weigh", "T01", "--json", *ON, folder=elm).data
    assert again["entries"] == []
    assert again["action"] is None
    assert "Corrected by 2 weighings of this pot" in " ".join(again["soil"])


def test_all_go_in_as_one_step_and_come_out_by_one_undo(cli: Cli, elm: Path) -> None:
    given = ("--after", "10min", "5.10kg", "--after", "24h", "4.6kg", "--drain", "30s", "--days-dry", "2")
    told = cli("weigh", "T01", *given, "--dry", "4.1kg", *ON, folder=elm)
    assert told.code == 0
    assert "A day after watering it had lost 500 g" in told.out
    assert sorted(kinds(cli, elm)) == ["days_dry", "drain", "weight", "weight", "weight"]
    entries = cli("tree", "show", "T01", "--json", *LATER, folder=elm).data["entries"]
    drain = next(each for each in entries if each["kind"] == "drain")
    assert drain["data"]["water_cm3"] == 600.0  # one centimetre over 30 x 20 cm
    assert cli("undo", *ON, folder=elm).code == 0
    assert kinds(cli, elm) == []


def test_one_weight_alone_is_kept_and_said_to_tell_nothing(cli: Cli, elm: Path) -> None:
    data = cli("weigh", "T01", "--level", "6.5kg", "--json", *ON, folder=elm).data
    assert data["learned"] == []
    assert any("One weight alone" in line for line in data["lines"])
    second = cli("weigh", "T01", "--tilted", "6.1kg", "--tilt", "30deg", "--json", *ON, folder=elm).data
    assert second["learned"]


def test_weights_that_do_not_fit_the_mix_are_told_and_kept(cli: Cli, elm: Path) -> None:
    given = ("--level", "9kg", "--tilted", "4kg", "--tilt", "30deg")
    data = cli("weigh", "T01", *given, "--json", *ON, folder=elm).data
    assert "do not fit" in data["contradicts"]
    assert data["contradicts"] in data["lines"]
    assert len(kinds(cli, elm)) == 2


REFUSED: tuple[tuple[tuple[str, ...], str], ...] = (
    (("--level", "6.5cm"), "does not fit a mass"),
    (("--level", "heavy"), "--level"),
    (("--tilted", "6.1kg"), "--tilt"),
    (("--tilt", "30deg"), "--tilted"),
    (("--tilted", "6.1kg", "--tilt", "30kg"), "does not fit an angle"),
    (("--tilted", "6.1kg", "--tilt", "85deg"), "5 to 70"),
    (("--level", "6.1kg", "--tilted", "6.5kg", "--tilt", "30deg"), "tilting adds no water"),
    (("--after", "10min", "5.1kg", "--after", "24h", "5.4kg"), "rain or watering came between"),
    (("--level", "4g"), "Check the unit"),
    (("--level", "4000"), "Check the unit"),
    (("--level", "-3kg"), "more than 0"),
    (("--days-dry", "5%"), "days from full to watering"),
    (("--after", "2h", "5.1kg"), "10min or 24h"),
    (("--after", "10min"), "needs its weight"),
    (("5.1kg",), "--after 10min 5.10kg"),
    (("--drain", "0s"), "0.5 to 86400"),
    (("--drain", "210kg"), "does not fit a time"),
    (("--water", "1l"), "--drain"),
    (("--days-dry", "0"), "0.05 to 366"),
    (("--level", "0g"), "more than 0"),
    (("--empty", "9kg", "--level", "6kg"), "the empty pot weighs"),
    (("--level", "6kg", "--date", "2099-01-01"), "up to today"),
)


def test_what_cannot_be_is_one_line_and_stores_nothing(cli: Cli, elm: Path) -> None:
    for words, says in REFUSED:
        ran = cli("weigh", "T01", *words, *ON, folder=elm)
        assert (ran.code, ran.out) == (2, ""), words
        assert says in ran.one_line
    assert kinds(cli, elm) == []


def test_a_tree_without_a_measured_pot_keeps_its_weights(cli: Cli, yard: Path) -> None:
    assert cli("tree", "add", "Seedling", "--species", "Acer palmatum", *ON, folder=yard).code == 0
    ran = cli("weigh", "T01", "--level", "2kg", "--json", *ON, folder=yard)
    assert ran.code == 0
    assert "no measured pot" in ran.data["lines"][-1]
    assert cli("weigh", "T01", *ON, folder=yard).code == 2


def test_a_weight_of_the_empty_pot_names_the_pot_and_makes_one_weight_speak(cli: Cli, elm: Path) -> None:
    assert cli("log", "T01", "trunk", "41mm", *ON, folder=elm).code == 0
    assert cli("log", "T01", "height", "50cm", *ON, folder=elm).code == 0
    data = cli("weigh", "T01", "--empty", "1.9kg", "--level", "7.5kg", "--json", *ON, folder=elm).data
    assert data["entries"][0]["data"]["pot"] == "P1"
    assert data["learned"]


def test_weights_of_an_earlier_filling_say_nothing_of_this_one(cli: Cli, elm: Path) -> None:
    given = ("--level", "6.5kg", "--tilted", "6.1kg", "--tilt", "30deg", "--date", "2024-03-01")
    data = cli("weigh", "T01", *given, "--json", *ON, folder=elm).data
    assert data["learned"] == []


def test_a_wet_tray_without_a_sign_of_trouble_gets_no_alarm(cli: Cli, elm: Path) -> None:
    given = ("--level", "6.50kg", "--tilted", "6.35kg", "--tilt", "30deg")
    air = cli("weigh", "T01", *given, "--json", *ON, folder=elm).data["air"]
    assert air["wet_depth"]["median"] > 0.5
    assert not air["wet"]
    assert air["causes"] == air["do_now"] == air["do_later"] == []
    assert "Old Elm" not in "".join(cli("today", "--json", *ON, folder=elm).data["notes"])
    assert cli("log", "T01", "vigour", "2", *ON, folder=elm).code == 0
    assert cli("weigh", "T01", "--json", *ON, folder=elm).data["air"]["wet"]
    assert "Old Elm" in "".join(cli("today", "--json", *ON, folder=elm).data["notes"])


# The sour pot of July: a weak beech of the demo yard whose tray drains slowly.


def sour(cli: Cli, demo: Path, day_later: str = "17.05kg") -> dict[str, object]:
    for when, mass in (("after_10_min", "17.3kg"), ("after_24_h", day_later)):
        assert cli("log", "T17", "weight", mass, "--when", when, *ON, folder=demo).code == 0
    return cli("weigh", "T17", "--drain", "210s", "--json", *ON, folder=demo).data


def test_a_sour_pot_in_july(cli: Cli, demo: Path) -> None:
    data = sour(cli, demo)
    air = data["air"]
    assert isinstance(air, dict)
    depth = air["wet_depth"]
    assert air["wet"]
    assert 0.0 <= depth["low"] < depth["median"] <= depth["high"] <= 1.0
    assert "less than 10% air" in air["line"]
    assert [each["key"] for each in air["causes"]][:2] == ["fines", "roots"]
    assert {each["key"] for each in air["causes"]} == {"fines", "roots", "mesh", "core"}
    assert all(each["of_lost_air"] or "common practice" in each["line"] for each in air["causes"])
    now, later = " ".join(air["do_now"]), " ".join(air["do_later"])
    assert "Tilt" in now
    assert "roof" in now
    assert "Scrape" in now
    assert "lightly" in now
    assert "next bud swell" in later
    told = " ".join([now, later]).casefold()
    assert "feed" not in told
    assert "repot" not in told
    assert "210 s then, 210 s now" in str(data["trend"])


def test_a_fresh_weight_a_day_after_watering_updates_the_range(cli: Cli, demo: Path) -> None:
    first = sour(cli, demo)["air"]
    assert isinstance(first, dict)
    again = ("--after", "10min", "17.3kg", "--after", "24h", "16.5kg")
    data = cli("weigh", "T17", *again, "--json", *LATER, folder=demo).data
    second = data["air"]["wet_depth"]
    assert (second["low"], second["median"]) != (first["wet_depth"]["low"], first["wet_depth"]["median"])
    row = next(each for each in data["learned"] if each["key"] == "wet_depth")
    assert row["before"]["median"] == pytest.approx(first["wet_depth"]["median"])


def test_the_wet_pot_joins_its_own_line_of_today_and_of_the_pot(cli: Cli, demo: Path) -> None:
    quiet = cli("today", "--json", *ON, folder=demo).data
    assert "has less than 10% air" not in str(quiet)
    sour(cli, demo)
    page = cli("today", "--json", *ON, folder=demo).data
    lines = [*page["due"], *page["left_alone"]]
    told = [each["tree"] for each in lines if "has less than 10% air" in " ".join(each["reasons"])]
    noted = [each for each in page["notes"] if "has less than 10% air" in each]
    assert set(told) <= {"T17"}
    assert bool(told) != bool(noted)  # once, and in one place
    shown = cli("pot", "show", "P-T17", *ON, folder=demo)
    assert "share of the soil's depth with less than 10% air" in shown.out
    assert "Corrected by 2 weighings and 2 drain tests of this pot" in shown.out


def test_a_pot_that_loses_water_for_long_points_to_its_holes(cli: Cli, demo: Path) -> None:
    air = sour(cli, demo, day_later="15.2kg")["air"]
    assert isinstance(air, dict)
    assert air["causes"][0]["key"] == "mesh"
    assert "long after watering" in air["causes"][0]["sign"]


def test_what_the_day_before_tells_is_minded_and_by_log_as_well(cli: Cli, elm: Path) -> None:
    assert cli("weigh", "T01", "--after", "10min", "5.1kg", *ON, folder=elm).code == 0
    assert cli("weigh", "T01", "--empty", "1.9kg", *ON, folder=elm).code == 0
    day = ("--on", "2027-07-16")
    for given in (
        ("weigh", "T01", "--after", "24h", "5.4kg"),
        ("log", "T01", "weight", "5.4kg", "--when", "after_24_h"),
        ("log", "T01", "weight", "4g", "--when", "drained_level"),
        ("weigh", "T01", "--dry", "1.8kg"),
    ):
        told = cli(*given, *day, folder=elm)
        assert told.code == 2, given
        assert told.err.count("\n") == 1
    assert kinds(cli, elm) == ["weight", "weight"]
    other = cli("log", "T01", "weight", "5.4kg", "--when", "other", *day, folder=elm)
    assert other.code == 0  # the way out that the line names


def test_a_full_pot_lighter_than_its_soil_and_water_is_told(cli: Cli, elm: Path) -> None:
    light = ("--level", "2.2kg", "--tilted", "2.0kg", "--tilt", "30deg")  # pounds read as kilograms
    assert "its soil and water alone" in cli("weigh", "T01", *light, *ON, folder=elm).out
    sound = ("--level", "5.2kg", "--tilted", "4.8kg", "--tilt", "30deg")
    assert "its soil and water alone" not in cli("weigh", "T01", *sound, *LATER, folder=elm).out


def test_many_sessions_are_told_as_shortly_as_one(cli: Cli, elm: Path) -> None:
    given = ("--after", "10min", "5.2kg", "--tilted", "4.9kg", "--tilt", "30deg", "--after", "24h", "4.8kg")
    lengths = []
    for day in ("2027-07-01", "2027-07-06", "2027-07-11"):
        told = cli("weigh", "T01", *given, "--on", day, folder=elm)
        assert told.code == 0
        assert told.out.count("it had lost 400 g") == 1
        assert told.out.count("of the soil's depth") == 1
        lengths.append(told.out.count("\n"))
    assert len(set(lengths)) == 1
