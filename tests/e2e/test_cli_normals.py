"""A newcomer with a table of monthly normals and nothing else: windows through the command."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from command_line import Cli

ON = ("--on", "2027-03-07")
MEANS = (0.6, 1.4, 4.8, 8.9, 14.3, 17.1, 19.2, 18.9, 14.5, 9.7, 4.7, 2.0)
MONTHLY = ",".join(f"{mean}" for mean in MEANS)


def table(path: Path, means: tuple[float, ...] = MEANS) -> Path:
    rows = [f"{month},{mean},{mean - 4},{mean + 5}" for month, mean in enumerate(means, 1)]
    path.write_text("month,tmean_degC,tmin_degC,tmax_degC\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def placed(cli: Cli, yard: Path, tmp_path: Path) -> Path:
    """A fresh collection with a latitude, a tree and normals."""
    yard.mkdir()
    (yard / "collection.toml").write_text("latitude_deg = 52.4\n")
    assert cli("tree", "add", "Old Elm", "--species", "Ulmus procera", *ON, folder=yard).code == 0
    ran = cli("weather", "describe", "--normals", table(tmp_path / "town.csv"), *ON, folder=yard)
    assert ran.code == 0, ran.err
    return yard


def test_the_outlook_stands_on_normals_alone(cli: Cli, placed: Path) -> None:
    answer = cli("outlook", "T01", "--json", *ON, folder=placed).data
    (window,) = answer["windows"]
    assert window["opens_low"] < window["opens_median"] < window["opens_high"]
    assert any(note.startswith("No weather is stored yet") for note in answer["notes"])


def test_the_same_day_gives_the_same_answer(cli: Cli, placed: Path) -> None:
    one, other = (cli("outlook", "--json", *ON, folder=placed).out for _again in range(2))
    assert one == other


def test_numbers_on_the_line_do_as_well(cli: Cli, placed: Path) -> None:
    ran = cli("weather", "describe", "--monthly", MONTHLY, "--json", *ON, folder=placed)
    assert [each["mean_degC"] for each in ran.data["months"]] == list(MEANS)
    assert [each["low_degC"] for each in ran.data["months"]] == [None] * 12
    assert "Jan 0.6 °C, Feb 1.4 °C" in cli("weather", "describe", *ON, folder=placed).out


def test_a_warmer_spring_opens_the_window_earlier(cli: Cli, placed: Path) -> None:
    """The two means stay the same: only the months between can tell."""

    def opens(monthly: str) -> date:
        assert cli("weather", "describe", "--monthly", monthly, *ON, folder=placed).code == 0
        (window,) = cli("outlook", "T01", "--json", *ON, folder=placed).data["windows"]
        return date.fromisoformat(window["opens_median"])

    late = ",".join(str(each) for each in (0.6, 0.8, 2.3, 6.4, 12.3, 17.1, *MEANS[6:]))
    assert (opens(late) - opens(MONTHLY)).days >= 7


def test_the_south_reads_the_same_table_from_july(cli: Cli, placed: Path, tmp_path: Path) -> None:
    (placed / "collection.toml").write_text("latitude_deg = -42.9\n")
    file = table(tmp_path / "south.csv", MEANS[6:] + MEANS[:6])
    assert cli("weather", "describe", "--normals", file, *ON, folder=placed).code == 0
    (window,) = cli("outlook", "T01", "--json", *ON, folder=placed).data["windows"]
    assert date.fromisoformat(window["opens_median"]).month in {8, 9, 10}


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--monthly", MONTHLY + ",4.0"), "13 months; give twelve"),
        (("--monthly", MONTHLY.replace("4.8", "mild")), 'mean of Mar is "mild"'),
        (("--monthly", MONTHLY.replace("4.8", "nan")), 'mean of Mar is "nan"'),
        (("--monthly", MONTHLY.replace("4.8", "41 F")), "some months have a unit"),
        (("--monthly", MONTHLY.replace("4.8", "41")), "mean of Mar is 41 degC; accepted: -50 to 38 degC"),
        (("--monthly", MONTHLY, "--coldest", "1 C"), "leave --coldest and --warmest out"),
        (("--monthly", MONTHLY, "--last-frost", "31 Feb"), "which is no day of the year"),
        (("--normals", "none.csv"), "there is no file none.csv"),
    ],
)
def test_bad_normals_are_one_line_and_store_nothing(
    cli: Cli, placed: Path, options: tuple[str, ...], says: str
) -> None:
    before = cli("weather", "describe", "--json", *ON, folder=placed).data
    ran = cli("weather", "describe", *options, *ON, folder=placed)
    assert ran.code == 2
    assert says in ran.one_line
    assert cli("weather", "describe", "--json", *ON, folder=placed).data == before


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("month,tmean_degC\n" + "".join(f"{n},5\n" for n in range(1, 14)), 'row 14, column month: "13"'),
        ("month,tmean_degC\n" + "".join(f"{n},5\n" for n in range(1, 12)), "missing: Dec"),
        ("month,tmean_degC\n1,warm\n", 'row 2, column tmean_degC: "warm" is no number'),
        ("month,tmean_degF\n1,33\n", 'the header holds "tmean_degF"'),
        ("month,tmean_degC,tmin_degC\n1,3,0\n", "belong together|missing"),
        ("date,tmin_degC,tmax_degC\n2027-01-01,1,2\n", 'the header holds "date"'),
    ],
)
def test_a_bad_file_is_one_line_and_stores_nothing(
    cli: Cli, placed: Path, tmp_path: Path, text: str, says: str
) -> None:
    import re

    before = cli("weather", "describe", "--json", *ON, folder=placed).data
    file = tmp_path / "bad.csv"
    file.write_text(text)
    ran = cli("weather", "describe", "--normals", file, *ON, folder=placed)
    assert ran.code == 2
    assert ran.one_line.startswith("ringwise: bad.csv")
    assert re.search(says, ran.one_line)
    assert cli("weather", "describe", "--json", *ON, folder=placed).data == before
