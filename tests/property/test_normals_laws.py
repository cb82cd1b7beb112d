"""Whatever twelve normals are accepted: their weather can be, and holds to its seed; bad text is refused."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.errors import InputError
from ringwise.weather.climate_words import words_of_normals
from ringwise.weather.described import described_years
from ringwise.weather.normals import Normals, curve_at, month_edges, yearly_curve
from ringwise.weather.normals_reading import read_normals


@st.composite
def climates(draw: st.DrawFn) -> Normals:
    """Months that follow each other by at most 25 degC all round the year, with lows and highs."""
    mean = [draw(st.floats(-25, 25))]
    for left in range(11, 0, -1):
        # Never so far that the months left cannot come back to the first.
        low = max(mean[-1] - 20, mean[0] - 20 * left, -50)
        high = max(low, min(mean[-1] + 20, mean[0] + 20 * left, 38))  # sums round past each other
        mean.append(draw(st.floats(low, high)))
    if draw(st.booleans()):
        return Normals(tuple(mean))
    below, above = draw(st.floats(0.6, 9)), draw(st.floats(0.6, 11))
    return Normals(tuple(mean), tuple(m - below for m in mean), tuple(m + above for m in mean))


@given(
    climates(), st.floats(-90, 90), st.integers(0, 2**63 - 1), st.dates(date(1700, 1, 1), date(2199, 1, 1))
)
def test_any_normals_give_weather_that_can_be(
    normals: Normals, latitude_deg: float, seed: int, first: date
) -> None:
    words = words_of_normals(latitude_deg, normals)
    series = described_years(words, first=first, last=first + timedelta(days=500), seed=seed)
    assert (series.tmin_degC < series.tmean_degC).all()
    assert (series.tmean_degC < series.tmax_degC).all()
    assert not series.filled.any()


@given(climates())
def test_any_normals_are_the_averages_of_their_months(normals: Normals) -> None:
    waves = yearly_curve(normals.mean_degC)
    for (begin, end), mean in zip(pairwise(month_edges()), normals.mean_degC, strict=True):
        inside = begin + (end - begin) * (np.arange(2000) + 0.5) / 2000
        assert curve_at(waves, inside).mean() == pytest.approx(mean, abs=1e-3)


@given(climates(), st.integers(0, 1000), st.integers(0, 600), st.integers(0, 600))
def test_a_longer_span_keeps_every_earlier_day(normals: Normals, seed: int, begin: int, more: int) -> None:
    words = words_of_normals(52.4, normals)
    first = date(2003, 11, 1) + timedelta(days=begin)
    short = described_years(words, first=first, last=first + timedelta(days=30), seed=seed)
    long = described_years(words, first=date(2003, 11, 1), last=first + timedelta(days=30 + more), seed=seed)
    for name in ("tmin_degC", "tmax_degC", "tmean_degC"):
        assert np.array_equal(short.column(name), long.column(name)[begin : begin + 31])


@given(st.text(max_size=300))
def test_any_text_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(InputError) as told:
        read_normals(text, file="town.csv")
    assert str(told.value).startswith("town.csv")


@given(st.integers(0, 11), st.text(st.characters(exclude_characters="\r\n"), max_size=12))
def test_any_cell_that_is_no_number_is_refused(place: int, cell: str) -> None:
    rows = [f"{month},{5.0}" for month in range(1, 13)]
    rows[place] = f"{place + 1},{cell}"
    wanted = cell.strip().strip('"').replace(",", ".")
    text = "month,tmean_degC\n" + "\n".join(rows)
    if wanted.isascii() and wanted.lstrip("+-").replace(".", "", 1).isdigit():
        return  # a number that is accepted or refused by its range, see the unit tests
    with pytest.raises(InputError) as told:
        read_normals(text, file="town.csv")
    assert "\n" not in str(told.value)
