"""Reading normals: the ways they come in, and one line for each way they can be wrong."""

from __future__ import annotations

import pytest

from ringwise.kit.errors import InputError
from ringwise.weather.normals_reading import read_normals

MEANS = (0.6, 1.4, 4.8, 8.9, 14.3, 17.1, 19.2, 18.9, 14.5, 9.7, 4.7, 2.0)
NAMES = ("Jan", "February", "mar", "APR", "May", "June", "Jul", "Aug", "September", "Oct", "Nov", "Dec")


def table(rows: list[str], header: str = "month,tmean_degC") -> str:
    return "\n".join([header, *rows]) + "\n"


PLAIN = [f"{number},{mean}" for number, mean in enumerate(MEANS, 1)]


def changed(place: int, row: str) -> str:
    return table([*PLAIN[:place], row, *PLAIN[place + 1 :]])


@pytest.mark.parametrize(
    "text",
    [
        table(PLAIN),
        table(list(reversed(PLAIN))),
        table([f"{name},{mean}" for name, mean in zip(NAMES, MEANS, strict=True)]),
        table([f"{n};{str(m).replace('.', ',')}" for n, m in enumerate(MEANS, 1)], "month;tmean_degC"),
        table([f"{mean}\t{n}" for n, mean in enumerate(MEANS, 1)], "tmean_degC\tmonth"),
        "\ufeff" + table(PLAIN).replace("\n", "\r\n") + "\r\n\r\n",
        table([f"{n},{m - 4:.2f},{m + 4:.2f}" for n, m in enumerate(MEANS, 1)], "month,tmin_degC,tmax_degC"),
    ],
)
def test_the_same_twelve_however_they_come(text: str) -> None:
    assert read_normals(text, file="town.csv").mean_degC == pytest.approx(MEANS)


def test_lows_and_highs_are_kept() -> None:
    rows = [f"{n},{m},{m - 3:.1f},{m + 5:.1f}" for n, m in enumerate(MEANS, 1)]
    found = read_normals(table(rows, "month,tmean_degC,tmin_degC,tmax_degC"), file="town.csv")
    assert found.low_degC == pytest.approx([m - 3 for m in MEANS])
    assert found.high_degC == pytest.approx([m + 5 for m in MEANS])


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "town.csv: the header must hold month"),
        ("\x00\x01", "town.csv: this is no text file"),
        ("month\n1\n", "must hold month and tmean_degC"),
        ("month,tmean_degF\n1,33\n", 'row 1: the header holds "tmean_degF"'),
        ("month,tmean_degC,tmean_degC\n", 'the header holds "tmean_degC"'),
        ("month,tmin_degC\n1,3\n", "must hold month and tmean_degC"),
        (table(PLAIN[:11]), "missing: Dec"),
        (table([*PLAIN, "13,5.0"]), 'row 14, column month: "13" is no month'),
        (table([*PLAIN, "Year,9.7"]), 'row 14, column month: "Year" is no month.*whole year'),
        (table([*PLAIN, "12,5.0"]), "row 14, column month: Dec is there twice"),
        (changed(2, "3,mild"), 'row 4, column tmean_degC: "mild" is no number'),
        (changed(2, "3,NaN"), 'row 4, column tmean_degC: "NaN" is no number'),
        (changed(2, "3,"), 'row 4, column tmean_degC: "" is no number'),
        (changed(2, "3,41 F"), 'row 4, column tmean_degC: "41 F" is no number'),
        (changed(2, "3,1e1"), '"1e1" is no number'),
        (changed(2, "3,4.8,9"), "row 4: the row has 3 cells where the header has 2"),
        (changed(2, "0,4.8"), '"0" is no month'),
        (changed(0, "1,33.1"), "town.csv: mean of Jan is 33.1 degC.*one unit"),
        (
            table([f"{n},{m * 9 / 5 + 32}" for n, m in enumerate(MEANS, 1)]),
            r"mean of Mar is 40.64 degC.*unit",
        ),
        (changed(6, "7,-9999"), "mean of Jul is -9999 degC.*Check the unit"),
        ('month,tmean_degC\n"1,2\n', "cells|CSV|no month|missing"),
    ],
)
def test_a_bad_table_is_told_in_one_line(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says) as told:
        read_normals(text, file="town.csv")
    assert "\n" not in str(told.value)
    assert str(told.value).startswith("town.csv")
