"""Daily summaries, one row a day, one column an element: the unit is not written, so it is found or asked.

Bulk files hold tenths of a degree and of a millimetre; exports from the web hold degrees Celsius and
millimetres, or degrees Fahrenheit and inches. Only one of the three may fit, else nothing is read.
"""

from __future__ import annotations

import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ringwise.kit.errors import UnitError
from ringwise.kit.words import _
from ringwise.weather.file_units import WIND, converter, judged
from ringwise.weather.formats.cells import Layout, number_of
from ringwise.weather.formats.found import WeatherRead, Wish
from ringwise.weather.formats.gather import Gather
from ringwise.weather.formats.ghcn import ELEMENTS, GUSTS, MISSING, ElementDay, ElementDays
from ringwise.weather.rows import rows_of_text
from ringwise.weather.series import PLAUSIBLE

WIDE = "ghcn_daily_summaries"
_TEMPERATURES = ("TMAX", "TMIN", "TAVG")
_DESCRIBING = frozenset({"STATION", "DATE", "LATITUDE", "LONGITUDE", "ELEVATION", "NAME"})
_MISSING = MISSING | {9999.0, 99999.0}


@dataclass(frozen=True)
class _System:
    """One set of units that such a file may be in."""

    name: str
    temperature: str
    rain: str
    wind: str
    whole: bool  # temperatures are whole numbers in it

    def units(self) -> dict[str, tuple[str, str]]:
        by_column = {"rain_mm": self.rain, WIND: self.wind}
        return {
            element: (ours, self.temperature if ours.endswith("_degC") else by_column.get(ours, unit))
            for element, (ours, unit) in ELEMENTS.items()
        }


_SYSTEMS = (
    _System("tenths_degC", "tenths_degC", "tenths_mm", "tenths_m/s", whole=True),
    _System("degC", "degC", "mm", "m/s", whole=False),
    _System("degF", "degF", "in", "mph", whole=True),
)


def read_wide(text: str, wish: Wish) -> WeatherRead:
    """A CSV of daily summaries.

    Parameters
    ----------
    text : str
        The file's text.
    wish : Wish
        Its name and what else is known.

    Returns
    -------
    WeatherRead
        The series; a note names the unit that was found and by what.

    Raises
    ------
    UnitError
        If more than one unit fits the values, or none.

    Source
    ------
    own reasoning; names of the columns, tenths in bulk and whole degrees Fahrenheit in exports are recalled.

    Examples
    --------
    >>> rows = "STATION,DATE,TMAX,TMIN\\nX,2024-07-01,283,151\\nX,2024-07-02,291,160\\n"
    >>> read_wide(rows, Wish("a.csv")).series.tmax_degC.tolist()
    [28.3, 29.1]
    """
    rows = rows_of_text(text, wish.file)
    layout = Layout(wish.file, next(rows)[1])
    table = list(rows)
    for line, row in table:
        layout.check(line, row)
        layout.same_station(line, layout.cell(row, "STATION"))
    system = _system(layout, table)
    gather = Gather(wish, WIDE)
    days = ElementDays(gather)
    for line, row in table:
        for one in _row(layout, line, row):
            days.take(one, system.units())
    for name in layout.names:
        if name not in _DESCRIBING and name not in ELEMENTS and not name.endswith("_ATTRIBUTES"):
            days.unused[name] = None
    days.close()
    gather.note(
        _("The file names no unit; of three that such files come in only {unit} fits its values.").format(
            unit=system.name
        )
    )
    if any(name in GUSTS for name in layout.names):
        gather.note(_("The highest wind of a day is no mean wind; it is left out."))
    return gather.read(station=layout.station)


def _row(layout: Layout, line: int, row: Sequence[str]) -> list[ElementDay]:
    day = layout.day(row, "DATE", line)
    found = []
    for element in ELEMENTS:
        text = layout.cell(row, element)
        value = number_of(text, _MISSING, file=layout.file, line=line, column=element)
        if value == value:
            flags = [each.strip() for each in layout.cell(row, f"{element}_ATTRIBUTES").split(",")]
            measured, quality, _source, time = [*flags, "", "", "", ""][:4]
            found.append(ElementDay(line, day, element, text, measured, quality, time))
    return found


def _values(
    layout: Layout, table: Sequence[tuple[int, list[str]]]
) -> tuple[dict[str, list[float]], list[float]]:
    """Temperatures that no flag doubts, by element, and the daily ranges between them."""
    values: dict[str, list[float]] = {name: [] for name in (*_TEMPERATURES, "PRCP")}
    ranges = []
    for line, row in table:
        sound = {one.element: float(one.text) for one in _row(layout, line, row) if not one.quality}
        for name, column in values.items():
            if name in sound:
                column.append(sound[name])
        if "TMAX" in sound and "TMIN" in sound:
            ranges.append(sound["TMAX"] - sound["TMIN"])
    return values, ranges


def _system(layout: Layout, table: Sequence[tuple[int, list[str]]]) -> _System:
    values, ranges = _values(layout, table)
    if not any(values[name] for name in _TEMPERATURES):
        raise UnitError(
            _(
                "the file names no unit and has no temperature to tell it by. "
                "Say it in a mapping, such as date=DATE,rain_mm=PRCP:tenths_mm."
            ),
            where=layout.file,
        )
    fitting = [system for system in _SYSTEMS if _fits(system, values, ranges)]
    if len(fitting) != 1:
        found = ", ".join(system.name for system in fitting) or _("none")
        raise UnitError(
            _(
                "the file names no unit and its values fit these: {found}. "
                "Say it in a mapping, such as date=DATE,tmax_degC=TMAX:degF,tmin_degC=TMIN:degF."
            ).format(found=found),
            where=layout.file,
        )
    return fitting[0]


def _fits(system: _System, values: Mapping[str, list[float]], ranges: list[float]) -> bool:
    temperatures = [value for name in _TEMPERATURES for value in values[name]]
    if system.whole and any(not value.is_integer() for value in temperatures):
        return False
    if system.rain == "tenths_mm" and any(not value.is_integer() for value in values["PRCP"]):
        return False
    convert = converter("tmax_degC", system.temperature)
    low, high, _unit = PLAUSIBLE["tmax_degC"]
    if not all(low <= convert(value) <= high for value in temperatures):
        return False
    if not ranges:
        return True
    middle = convert(statistics.median(ranges)) - convert(0.0)
    return judged("least_middle_range") <= middle <= judged("most_middle_range")
