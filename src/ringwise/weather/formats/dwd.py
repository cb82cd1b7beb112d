"""Daily climate values of the German weather service (KL): semicolons, metric units, -999 for missing."""

from __future__ import annotations

from collections.abc import Sequence

from ringwise.kit.words import _
from ringwise.weather.file_units import WIND, judged
from ringwise.weather.formats.cells import Layout
from ringwise.weather.formats.found import WeatherRead, Wish
from ringwise.weather.formats.gather import Gather
from ringwise.weather.rows import rows_of_text

DWD = "dwd_daily_kl"
MARKS = frozenset({"STATIONS_ID", "MESS_DATUM"})
_MISSING = frozenset({-999.0, -9999.0})
_COLUMNS = {
    "TNK": ("tmin_degC", "degC"),
    "TXK": ("tmax_degC", "degC"),
    "TMK": ("tmean_degC", "degC"),
    "RSK": ("rain_mm", "mm"),
    "FM": (WIND, "m/s"),
    "SDK": ("sunshine_h", "h"),
}
_KPA_PER_HPA = 0.1
_MOST_VAPOUR_HPA = 60.0  # air over the warmest sea holds about 45


def read_dwd(text: str, wish: Wish) -> WeatherRead:
    """A `produkt_klima_tag` file of one station.

    Parameters
    ----------
    text : str
        The file's text.
    wish : Wish
        Its name and what else is known.

    Returns
    -------
    WeatherRead
        The series; FX is a gust and stays out, TGK is the minimum 5 cm over grass and is no TNK.

    Source
    ------
    own reasoning; names, units and the mark for missing are recalled, some names read.

    Examples
    --------
    >>> rows = "STATIONS_ID;MESS_DATUM; TMK; TXK; TNK;eor\\n 44;20240301; 5.0; 9.1;-999;eor\\n"
    >>> read_dwd(rows, Wish("a.txt")).series.tmax_degC.tolist()
    [9.1]
    """
    rows = rows_of_text(text, wish.file)
    layout = Layout(wish.file, next(rows)[1])
    gather = Gather(wish, DWD)
    for name, (ours, unit) in _COLUMNS.items():
        if name in layout.names:
            height_m = judged("anemometer_height") if ours == WIND else None
            gather.column(ours, name, unit, height_m=height_m)
    for line, row in rows:
        layout.check(line, row)
        layout.same_station(line, layout.cell(row, "STATIONS_ID"))
        _take(gather, layout, line, row)
    if "FX" in layout.names:
        gather.note(_("The highest wind of a day is no mean wind; it is left out."))
    if "TGK" in layout.names:
        gather.note(
            _("TGK, the minimum 5 cm over grass, is not kept; frost there comes before frost at 2 m.")
        )
    return gather.read(station=layout.station)


def _take(gather: Gather, layout: Layout, line: int, row: Sequence[str]) -> None:
    day = layout.day(row, "MESS_DATUM", line)
    for name, (ours, _unit) in _COLUMNS.items():
        if name in layout.names:
            gather.put(day, ours, layout.number(row, name, line, _MISSING), line=line)
    vapour = layout.number(row, "VPM", line, _MISSING)
    if 0.0 < vapour < _MOST_VAPOUR_HPA:
        gather.vapour(day, vapour * _KPA_PER_HPA)
