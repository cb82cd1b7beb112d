"""Read a weather file from disk, whatever its format, before anybody stores it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.kit.errors import FileFormatError, NotFoundError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.weather.formats.found import WeatherRead
    from ringwise.weather.series import WeatherSeries

_MOST_BYTES = 64 * 1024 * 1024  # two centuries of daily rows stay far below


def read_weather(
    file: Path, columns: str | None = None, *, station: str = "", called: str = "", today: date | None = None
) -> WeatherRead:
    """A weather file of any known format, with what was understood and what was rejected.

    Parameters
    ----------
    file : Path
        The file; its content tells the format.
    columns : str or None
        "date=day,tmin_degC=low:degF:missing=-99,..." or None to tell by the content.
    station : str
        Name of the series.
    called : str
        The file's name where it came from, which is kept as the source; by default its own.
    today : date, optional
        From which on days are forecast; without it none is called so.

    Returns
    -------
    WeatherRead
        Checked.

    Raises
    ------
    NotFoundError
        If there is no such file.
    FileFormatError
        If it is far too large, or none of the formats.
    """
    from ringwise.weather.formats.found import Wish
    from ringwise.weather.formats.sniff import read_weather as sniffed

    if not file.is_file():
        raise NotFoundError(_("there is no file {file}").format(file=file))
    name = called or file.name
    if file.stat().st_size > _MOST_BYTES:
        raise FileFormatError(_("is larger than 64 MB; cut it to the years you need"), where=name)
    return sniffed(file.read_bytes(), Wish(name, station=station, today=today), columns=columns)


def read_weather_file(
    file: Path, columns: str | None, *, station: str = "", called: str = ""
) -> WeatherSeries:
    """The series of a weather file alone, see `read_weather`."""
    return read_weather(file, columns, station=station, called=called).series
