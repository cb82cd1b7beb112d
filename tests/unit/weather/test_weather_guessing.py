"""What the columns of an unknown table may be: names of two languages, units in them, days by their cells."""

from __future__ import annotations

import pytest

from ringwise.weather.formats.guessing import date_forms, guesses


def one(name: str, *cells: str) -> tuple[str, str]:
    guess = guesses([name], [[cell] for cell in cells])[0]
    return guess.ours, guess.unit


@pytest.mark.parametrize(
    ("name", "ours", "unit"),
    [
        ("Min Temp (°C)", "tmin_degC", "degC"),
        ("temp_max_F", "tmax_degC", "degF"),
        ("Temperatur Mittel", "tmean_degC", ""),
        ("Tiefstwert", "tmin_degC", ""),
        ("Niederschlag mm", "rain_mm", "mm"),
        ("Precip [in]", "rain_mm", "in"),
        ("Humidity max %", "rh_max_pct", "%"),
        ("Wind km/h", "wind_2m_m_s", "km/h"),
        ("Sonnenschein h", "sunshine_h", "h"),
        ("grass", "", ""),
        ("station", "", ""),
        ("notes", "", ""),
    ],
)
def test_names_and_units_in_headers(name: str, ours: str, unit: str) -> None:
    assert one(name, "1.0", "2.0") == (ours, unit)


def test_a_measure_is_named_once_and_the_first_holds() -> None:
    found = guesses(["tmin", "tmin 2", "day"], [["1", "2", "2026-01-01"]])
    assert [each.ours for each in found] == ["tmin_degC", "", "date"]


@pytest.mark.parametrize(
    ("cells", "forms"),
    [
        (["2026-01-31"], ["YYYY-MM-DD"]),
        (["20260131", "20260201"], ["YYYY-MM-DD"]),
        (["31.1.2026"], ["DD.MM.YYYY"]),
        (["12/31/2026"], ["MM/DD/YYYY"]),
        (["1/2/2026"], ["DD/MM/YYYY", "MM/DD/YYYY"]),
        (["2026-02-30"], []),
        (["", ""], []),
        (["1.5", "2.5"], []),
    ],
)
def test_days_are_told_by_the_cells(cells: list[str], forms: list[str]) -> None:
    assert date_forms(cells) == forms


def test_where_day_and_month_cannot_be_told_apart_no_form_is_guessed() -> None:
    assert guesses(["d", "low"], [["1/2/2026", "3"]])[0].date_form == ""


def test_marks_for_missing_are_found_among_the_cells() -> None:
    guess = guesses(["low"], [["-99"], ["3"], ["-999.9"], ["99"], ["9"]])[0]
    assert guess.missing == ("-99", "-999.9", "99")


def test_short_rows_and_large_tables_are_no_trouble() -> None:
    rows = [["2026-01-01"], ["2026-01-02", "3"]] * 5000
    assert [each.ours for each in guesses(["day", "low"], rows)] == ["date", "tmin_degC"]
