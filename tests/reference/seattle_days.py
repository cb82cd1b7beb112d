"""The Seattle record of the packaged test data, as measured."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from ringwise.weather.reading import parse_columns, read_csv
from ringwise.weather.series import WeatherSeries

LATITUDE_DEG = 47.45
COLUMNS = "date=date,tmin_degC=temp_min,tmax_degC=temp_max"


def seattle_file() -> Path:
    """Where it lies."""
    return Path(str(resources.files("vega_datasets"))) / "_data" / "seattle-weather.csv"


def seattle_series() -> WeatherSeries:
    """Daily extremes 2012 to 2015, as shipped in vega_datasets 0.9.0."""
    text = seattle_file().read_text(encoding="utf-8")
    return read_csv(text, file="seattle-weather.csv", columns=parse_columns(COLUMNS))
