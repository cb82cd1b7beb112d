"""Daily summaries of the world's synoptic stations (GSOD): Fahrenheit, knots, inches, nines for missing."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ringwise.kit.words import _, counted
from ringwise.weather.file_units import WIND, converter, judged
from ringwise.weather.formats.cells import Layout
from ringwise.weather.formats.found import WeatherRead, Wish
from ringwise.weather.formats.gather import Gather
from ringwise.weather.humidity import saturation_kPa
from ringwise.weather.rows import rows_of_text

GSOD = "gsod"
MARKS = frozenset({"TEMP", "MAX", "MIN", "FRSHTT"})
_NINES = frozenset({9999.9})
_COLUMNS = {
    "TEMP": ("tmean_degC", "degF", _NINES),
    "MAX": ("tmax_degC", "degF", _NINES),
    "MIN": ("tmin_degC", "degF", _NINES),
    "WDSP": (WIND, "kn", frozenset({999.9})),
    "PRCP": ("rain_mm", "in", frozenset({99.99})),
}
# Rain flags of days that were not measured whole: reports of 6, 12 or 18 hours, a zero that other reports
# contradict, no report at all.
_PART_OF_DAY = frozenset("ABCE")
COLDEST_DEGC, WARMEST_DEGC = -90.0, 60.0  # no dew point of air lies beyond
_CONTRADICTED, _NO_REPORT = "H", "I"


def read_gsod(text: str, wish: Wish) -> WeatherRead:
    """A CSV of one station and one or more years.

    Parameters
    ----------
    text : str
        The file's text.
    wish : Wish
        Its name and what else is known.

    Returns
    -------
    WeatherRead
        The series; MXSPD and GUST are no mean wind and stay out; DEWP gives the humidity.

    Source
    ------
    own reasoning; units, marks for missing and rain flags recalled from the data set's readme.

    Examples
    --------
    >>> rows = "STATION,DATE,TEMP,MAX,MIN,FRSHTT\\n1,2024-03-01,50.0,59.0,9999.9,000000\\n"
    >>> read_gsod(rows, Wish("a.csv")).series.tmax_degC.tolist()
    [15.0]
    """
    rows = rows_of_text(text, wish.file)
    layout = Layout(wish.file, next(rows)[1])
    gather = Gather(wish, GSOD)
    for name, (ours, unit, _missing) in _COLUMNS.items():
        if name in layout.names:
            height_m = judged("anemometer_height") if ours == WIND else None
            gather.column(ours, name, unit, height_m=height_m)
    hourly = 0
    for line, row in rows:
        layout.check(line, row)
        layout.same_station(line, layout.cell(row, "STATION"))
        _take(gather, layout, line, row)
        hourly += "*" in layout.cell(row, "MAX_ATTRIBUTES") + layout.cell(row, "MIN_ATTRIBUTES")
    if hourly:
        gather.note(
            counted(
                "The extremes of {n} day are those of its hourly readings, "
                "a little narrower than the true ones.",
                "The extremes of {n} days are those of their hourly readings, "
                "a little narrower than the true ones.",
                hourly,
            )
        )
    if "MXSPD" in layout.names or "GUST" in layout.names:
        gather.note(_("The highest wind of a day is no mean wind; it is left out."))
    gather.note(_("Days of this source run by universal time, not by the day of the place."))
    return gather.read(station=layout.station)


def _take(gather: Gather, layout: Layout, line: int, row: Sequence[str]) -> None:
    day = layout.day(row, "DATE", line)
    for name, (ours, _unit, missing) in _COLUMNS.items():
        if name not in layout.names:
            continue
        value = layout.number(row, name, line, missing)
        reason = _rain_doubt(layout.cell(row, "PRCP_ATTRIBUTES")) if name == "PRCP" else ""
        if reason and value == value:
            gather.reject(day, name, layout.cell(row, name), reason)
        else:
            gather.put(day, ours, value, line=line)
    dew_point_degF = layout.number(row, "DEWP", line, _NINES)
    if dew_point_degF == dew_point_degF:
        _moisture(gather, day, converter("tmean_degC", "degF")(dew_point_degF))


def _moisture(gather: Gather, day: date, dew_point_degC: float) -> None:
    """The dew point as vapour pressure; what is no dew point of air is left."""
    if COLDEST_DEGC < dew_point_degC < WARMEST_DEGC:
        gather.vapour(day, float(saturation_kPa(dew_point_degC)))


def _rain_doubt(flag: str) -> str:
    if flag in _PART_OF_DAY and flag:
        return _("rain flag {flag}: reports of only a part of the day").format(flag=flag)
    if flag == _CONTRADICTED:
        return _("rain flag H: 0 reported, though rain was seen")
    return _("rain flag I: no rain reported at all") if flag == _NO_REPORT else ""
