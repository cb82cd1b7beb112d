"""Weather from CSV text: mappings, and every fault with file, row, column and the way out."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.errors import (
    DateError,
    FileFormatError,
    InputError,
    MissingFieldError,
    RangeError,
    UnknownNameError,
)
from ringwise.weather.reading import parse_columns, read_csv

OWN = "date,tmin_degC,tmax_degC,rain_mm\n"


def test_our_own_header_needs_no_mapping() -> None:
    series = read_csv(OWN + "2024-02-28,1,9,0.5\n2024-02-29,2,10,\n", file="own.csv")
    assert series.first == date(2024, 2, 28)
    assert series.tmean_degC.tolist() == [5.0, 6.0]
    assert series.rain_mm[0] == 0.5
    assert np.isnan(series.rain_mm[1])
    assert (series.station, series.source, series.invented) == ("own.csv", "own.csv", False)


def test_a_mapping_reads_any_header_and_ignores_other_columns() -> None:
    text = "day;hi;lo;sky\n2024/03/01;9,5;1,5;cloud\n20240302;10;2;sun\n"
    series = read_csv(text, file="b.csv", columns=parse_columns("date=day,tmin_degC=lo,tmax_degC=hi"))
    assert series.tmean_degC.tolist() == [5.5, 6.0]


def test_a_mean_alone_is_enough() -> None:
    series = read_csv("\ufeffdate,tmean_degC\n2024-03-01,4\n", file="c.csv", station="yard")
    assert series.tmean_degC.tolist() == [4.0]
    assert np.isnan(series.tmin_degC).all()
    assert series.station == "yard"


def test_missing_dates_become_gaps_and_short_ones_are_marked() -> None:
    series = read_csv("date,tmean_degC\n2024-03-01,4\n2024-03-03,6\n2024-03-09,8\n", file="d.csv")
    assert series.n == 9
    assert series.filled.tolist() == [False, True] + [False] * 7
    assert series.tmean_degC[1] == 5.0
    assert np.isnan(series.tmean_degC[3:8]).all()


FAULTS = [
    ("", FileFormatError, "the file is empty"),
    ("\n\n", FileFormatError, "the file is empty"),
    (OWN, FileFormatError, "no row below the header"),
    ("day,temp\n2024-03-01,4\n", MissingFieldError, 'no column "date"; the file has day, temp'),
    ("date,temp\n2024-03-01,4\n", MissingFieldError, "no column is known; the file has date, temp"),
    ("date,tmean_degC,tmean_degC\n2024-03-01,4,4\n", FileFormatError, '"tmean_degC" stands twice'),
    (OWN + "2024-03-01,1,9\n", FileFormatError, "f.csv, row 2: the row has 3 cells where the header has 4"),
    (OWN + "2024-03-01,1,9,0,0\n", FileFormatError, "the row has 5 cells"),
    (OWN + "2024-03-01,x,9,0\n", FileFormatError, 'f.csv, row 2, column tmin_degC: "x" is no number'),
    (OWN + "2024-03-01,1_0,9,0\n", FileFormatError, '"1_0" is no number'),
    (OWN + "2024-03-01,1,inf,0\n", FileFormatError, 'column tmax_degC: "inf" is no number'),
    (OWN + "2023-02-29,1,9,0\n", DateError, 'f.csv, row 2, column date: "2023-02-29" is no day'),
    (OWN + "01.03.2024,1,9,0\n", DateError, "Write YYYY-MM-DD"),
    (OWN + "03/01/2024,1,9,0\n", DateError, "is no day of the calendar"),
    (OWN + ",1,9,0\n", DateError, '"" is no day'),
    (OWN + "2024-03-01,1,9,0\n2024-03-01,1,9,0\n", DateError, "f.csv, row 3: 2024-03-01 stands there twice"),
    (OWN + "2024-03-02,1,9,0\n2024-03-01,1,9,0\n", DateError, "2024-03-01 comes after 2024-03-02"),
    (OWN + "2024-03-01,1,9,0\n\n2024-03-02,9,1,0\n", RangeError, "row 4, column tmax_degC: on 2024-03-02"),
    (OWN + "2024-03-01,1,9,0\n2024-03-02,30,40,0\n", RangeError, "jumps by 29.0 degC"),
    (OWN + "2024-03-01,1,9,-9999\n", RangeError, "rain_mm is -9999; accepted: 0 to 2000 mm"),
    (OWN + "0024-03-01,1,9,0\n2024-03-02,1,9,0\n", RangeError, "Check the years"),
    ("date,tmean_degC\n2024-03-01,4\x00\n", FileFormatError, "no text file"),
]


@pytest.mark.parametrize(("text", "kind", "words"), FAULTS, ids=[words for _t, _k, words in FAULTS])
def test_each_fault_is_named_with_its_place(text: str, kind: type[InputError], words: str) -> None:
    with pytest.raises(kind) as wrong:
        read_csv(text, file="f.csv")
    assert words in str(wrong.value)
    assert "\n" not in str(wrong.value)
    assert wrong.value.where.startswith("f.csv")
    assert wrong.value.exit_code == 2


def test_a_fault_names_the_column_of_the_file_not_ours() -> None:
    columns = parse_columns("date=d,tmin_degC=lo,tmax_degC=hi")
    with pytest.raises(RangeError) as wrong:
        read_csv("d,lo,hi\n2024-03-01,9,4\n", file="g.csv", columns=columns)
    assert str(wrong.value).startswith(
        "g.csv, row 2, column hi: on 2024-03-01 tmax_degC 4 is below tmin_degC 9"
    )


def test_a_mapping_to_a_missing_column_shows_what_there_is() -> None:
    with pytest.raises(MissingFieldError, match='no column "low"; the file has date, lo'):
        read_csv("date,lo\n2024-03-01,9\n", file="h.csv", columns=parse_columns("tmin_degC=low"))


@pytest.mark.parametrize("text", ["date", "date=", "=d", "date=d,", "date=d,date=e"])
def test_a_mapping_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        parse_columns(text)


def test_a_mapping_offers_near_names() -> None:
    with pytest.raises(UnknownNameError, match="tmin_degC"):
        parse_columns("tmin=low")


@given(st.text(alphabet="date,tminx_degC2024-031;\t\"'\n\r\x00é -.", max_size=120))
def test_any_text_reads_or_is_refused_in_one_line(text: str) -> None:
    answer = ""
    try:
        days = read_csv("date,tmin_degC\n" + text, file="any.csv").n
    except InputError as wrong:
        days, answer = 0, str(wrong)
    assert days >= 1 or answer.startswith("any.csv")
    assert len(answer.splitlines()) <= 1
